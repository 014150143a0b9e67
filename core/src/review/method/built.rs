//! What is built and looked at: touch, connectors, routing, marking.

use super::{Method, RuleId};

methods! {
    TouchProtection {
        equation: "Somebody looked: a 1 mm wire inside of cab and luggage space, a jointed finger elsewhere, reach nothing live; covers need a tool.",
        inputs: ["attestation.rule", "attestation.box"],
        get: "A wire of 1 mm and 100 mm length, and a test finger or a 12 mm rod, at each gap, everything dead.",
        blind: "Covers that are left off."
    }
    InterlockComplete {
        equation: "Somebody looked: each connector and cover that opens by hand breaks the loop.",
        inputs: ["attestation.rule", "attestation.holds"],
        get: "Open each in turn, low voltage on, contactors disconnected, and read the loop.",
        blind: "Plugs whose power pins part before the loop does."
    }
    StopAndCrash {
        equation: "Somebody looked: stop within reach of the driver, crash or roll switch, both poles open.",
        inputs: ["attestation.rule", "attestation.holds"],
        get: "Press it with the contactors closed on a limited source; tip the switch by hand.",
        blind: "Whether the driver finds it in the dark."
    }
    LugFitsCable {
        equation: "0.95 <= section of the barrel / section of the cable <= 1.2, both in true mm2. Barrel and cable both of aluminium, or neither.",
        inputs: ["lug-type.metal", "cable-type.metal", "lug-type.barrel", "cable-type.section", "conductor.lug"],
        get: "Stamp on the lug; AWG and mm2 are not the same: 2/0 AWG is 67.4 mm2. Without a stamp: inner diameter with a calliper against the bare strand.",
        blind: "A crimp with the wrong die: look at the cut of a test crimp."
    }
    LugFitsStud {
        equation: "0 <= hole - stud <= 1 mm; (width of the palm - hole) x thickness >= section of the cable.",
        inputs: ["lug-type.hole", "lug-type.palm-width", "lug-type.palm-thickness", "terminal.stud", "conductor.lug"],
        get: "Calliper on stud, hole and palm; 5/16 in is 7.94 mm.",
        blind: "A palm that is bent or tinned unevenly."
    }
    JointStack {
        equation: "Somebody looked: metal on metal in the way of the current, washers only under the nut.",
        inputs: ["attestation.rule", "attestation.photo"],
        get: "Photograph each stack before the nut goes on.",
        blind: "Oxide under a bright face: joint-resistance shows it."
    }
    JointTorque {
        equation: "Somebody looked: tightened to the table, marked, initialled by two.",
        inputs: ["terminal.torque", "attestation.rule"],
        get: "A calibrated wrench; a line of paint over nut and stud.",
        blind: "Copper that creeps: look at the marks after a month."
    }
    JointResistance {
        equation: "R, at the worse end of its accuracy, <= 1.5 x the least reading on the same cable type; R is the drop across the end over the current where that was read.",
        inputs: ["reading.joint", "reading.end", "reading.drop", "reading.current", "reading.accuracy", "conductor.cable"],
        get: "Four-wire milliohm meter across the joint; or millivolts at a known direct current, with the end. Same points at each joint.",
        blind: "A whole series that is bad alike: compare with the joint of the study."
    }
    GlandFitsCable {
        equation: "Thinnest <= outer diameter <= thickest of the gland; a circuit that switches and is shielded has one that clamps the shield.",
        inputs: ["gland-type.thinnest", "gland-type.thickest", "gland-type.clamps-shield", "cable-type.outer-diameter", "conductor.gland", "conductor.noise"],
        get: "Calliper on the cable in two directions; the range is on the gland's bag.",
        blind: "A gland that was not tightened."
    }
    DriveInhibit {
        equation: "Somebody looked: plugged in, the vehicle does not drive.",
        inputs: ["load.role", "attestation.rule"],
        get: "Wheels off the ground, plug in, ask for drive; each inlet alone.",
        blind: "A plug that is half in."
    }
    DcInletMatch {
        equation: "Somebody looked: voltages are matched before closing, the cable stands a full hour, isolation above the station's threshold.",
        inputs: ["load.role", "conductor.cable", "attestation.rule"],
        get: "Log of a charge: voltage on both sides at closing, temperature of the inlet after an hour.",
        blind: "Stations that you have not met."
    }
    ConverterCapacity {
        equation: "Largest sum of what the loads draw in a phase, each with its share of duty, <= rated output current.",
        inputs: ["converter.rated", "load.rated", "load.duty-share", "consumer.rated", "consumer.duty-share", "phase.draws"],
        get: "Clamp meter on the converter's output with everything on at night in the rain.",
        blind: "Starting currents, which the battery has to give."
    }
    LvReserve {
        equation: "t = half of the charge / current of the essential loads >= 20 min; of all loads while one of them does not state essential.",
        inputs: ["battery.system", "cell-type.capacity", "load.essential", "consumer.essential", "consumer.rated"],
        get: "Capacity on the battery's label; clamp meter with the converter off and the essential loads on.",
        blind: "A battery that is cold or old beyond half; a low-voltage side without converter is not judged."
    }
    BendRadius {
        equation: "Somebody looked: each bend >= the radius of the sheet, else 4 x outer diameter fixed, 6 x moving.",
        inputs: ["cable-type.bend-radius", "cable-type.outer-diameter", "attestation.rule"],
        get: "A disc cut from card with that radius, held into each bend.",
        blind: "Movement of the suspension: look at both ends of its travel."
    }
    ClipSpacing {
        equation: "Somebody looked: first support <= 120 mm from a connector, then <= 300 mm, <= 200 mm up to 16 mm2.",
        inputs: ["cable-type.section", "attestation.rule"],
        get: "Tape along the cable.",
        blind: "Clips that crack in the cold."
    }
    HeatAndMotion {
        equation: "Somebody looked: >= 100 mm from hot parts or a shield, >= 50 mm from moving ones, grommets, clear of the ground.",
        inputs: ["conductor.route", "attestation.rule"],
        get: "Ruler with wheels at full lock and springs pressed; heat-sensitive paper at the hot spots.",
        blind: "Exhausts and heaters that are hotter than on the day of the look."
    }
    OrangeAndSymbol {
        equation: "Somebody looked: orange outside of boxes, nothing else orange, warning sign on each box.",
        inputs: ["attestation.rule", "attestation.photo"],
        get: "Walk round with a camera.",
        blind: "Sleeves that fade."
    }
    IdBothEnds {
        equation: "Somebody looked: two ids for each conductor, as in the wire schedule.",
        inputs: ["conductor.circuit", "attestation.rule"],
        get: "Count: twice the number of conductors.",
        blind: "Two ends with each other's label: ring them out."
    }
    PapersComplete {
        equation: "Somebody looked: diagram, fault table, schedule, test sheet, rescue card, change notes and accepted deviations, all of one revision.",
        inputs: ["vehicle.revision", "attestation.rule"],
        get: "Lay them on a table and read the revision on each.",
        blind: "What was changed and not written down."
    }
    HipotScope {
        equation: "Somebody looked: the withstand test saw bare harness and boxes only.",
        inputs: ["reading.withstood", "attestation.rule"],
        get: "List every plug that was pulled before the test and put back after it.",
        blind: "Damage that the test itself began."
    }
}
