//! The traction battery, and the conductors that carry its current.

use super::{Method, RuleId};

methods! {
    PackVoltageWindow {
        equation: "U_max = cells in series x highest cell voltage x (1 + charge tolerance, 1 % unless stated), or the voltage of a string in a phase in which a drive delivers, if that is more; U_max <= highest voltage of the domain, and <= rated voltage of each service disconnect and resistor. U of each load from its positive to its negative terminal >= 0 in the network of each phase. Where two batteries meet and nothing else, unlike poles meet.",
        inputs: ["battery.in-series", "cell-type.maximum", "vehicle.charge-tolerance", "vehicle.domain", "service-disconnect.voltage", "resistor-type.voltage", "conductor.from", "conductor.to", "battery.positive", "battery.negative", "phase.draws"],
        get: "Count the cells between the poles; the highest cell voltage is in the cell's datasheet under charging. Read a part's direct voltage off its print, not off the catalogue page.",
        blind: "Ratings of fuses, contactors and cables, which have rules of their own. Voltage spikes of an inverter or a charger, regeneration into a full battery, and a charger that is set higher than the cells allow. The polarity of loads and batteries in the vehicle, which may be wired otherwise than it is drawn."
    }
    LoadVoltageWindow {
        equation: "U_low = U_empty - I x R of battery and cables, in the worst phase; U_low >= lowest voltage of the load, U_max <= its highest. P of a load <= U^2 / (4 R) of the network as it sees it.",
        inputs: ["load.lowest", "load.highest", "load.rated", "cell-type.minimum", "cell-type.resistance", "phase.draws"],
        get: "Both ends of the window are in the load's sheet. To check the sag, note the voltage at the load's terminals before and during full pull.",
        blind: "Cells that are colder or older than the stated resistance, and dips shorter than a phase."
    }
    ParallelStringsAlike {
        equation: "Cells in series, full voltage and chemistry of each string are those of the string beside it.",
        inputs: ["battery.in-series", "cell-type.maximum", "cell-type.chemistry"],
        get: "Count cells, read the type off the cell's label, measure each string at rest and full with one meter.",
        blind: "Cells of one type with another past: capacity and resistance drift apart with age."
    }
    StringCurrentShare {
        equation: "I_k = I x G_k / sum of G, G the conductance of string and its cables, solved as a network with all cells at their most, times the share that its own cells at their least make of it; I_k <= what the cells allow, discharging and charging. The larger I_k <= trip current.",
        inputs: ["controller.trip-current", "cell-type.discharge-limit", "cell-type.charge-limit", "cell-type.resistance", "cell-type.resistance-spread", "battery.in-parallel", "conductor.route", "conductor.joint"],
        get: "A clamp meter on each string in the same moment under load. The limits are in the cell's datasheet, for the temperature that it has.",
        blind: "Strings of unequal charge right after joining, and one warm string beside a cold one."
    }
    StringJoinWindow {
        equation: "I = dU / (R_a + R_b + R_path); dU is the difference at which the controller joins; I <= what the contactor makes, the cells take and the fuse carries, which gives the largest dU; dU <= 1.5 V where no precharge resistor is in the way. Current of the other strings into a shorted one <= breaking capacity of its fuse. Error of a measured voltage <= dU / 2 and <= (largest dU - dU) / 2.",
        inputs: ["controller.join-window", "controller.voltage-error", "contactor-type.make", "cell-type.charge-limit", "cell-type.resistance", "battery.links", "fuse-type.rated", "fuse-type.breaking"],
        get: "Read the window in the controller's settings, in volts. The error: each measured voltage beside a good meter, empty, full, cold and hot. Resistance of a string: change of voltage over change of current at a load step, after some seconds.",
        blind: "A flat voltage curve: cells a few tenths of a volt apart can be far apart in charge and go on equalising for hours."
    }
    StringJoinSymmetric {
        equation: "Somebody looked: the difference is tested before every closing of every string, in both directions.",
        inputs: ["attestation.rule", "attestation.holds"],
        get: "Set strings apart by a few volts with a load, then ask for each order of closing, the first start and a start after a drop-out included; the contactor has to stay open.",
        blind: "A change of software after the test."
    }
    StringLostLimit {
        equation: "I_k = what all strings carry together in a phase / (their number - 1), or the limit of each string that the controller keeps if that is less; I_k <= what its cells allow, or an attestation that the controller lowers its limit.",
        inputs: ["cell-type.discharge-limit", "cell-type.charge-limit", "controller.string-limit", "controller.string-charge-limit", "attestation.rule"],
        get: "Open one string on the stand and read the limit that the controller then tells the drive.",
        blind: "The moment of the loss itself, before the controller reacts."
    }
    LoopWithoutFuse {
        equation: "Of each pair of conductors that leave a box, and each way two faults to chassis close: the ring with a source in it holds at least one fuse that can break it.",
        inputs: ["battery.box", "battery.positive", "battery.negative", "conductor.from", "conductor.to", "fuse.from", "fuse.type"],
        get: "Trace the ring by finger on the diagram: from one cable through the short to the other and back through the cells.",
        blind: "Shorts inside a battery box, between cells or from cell to lid."
    }
    ShortCircuitKnown {
        equation: "I_max = U_full / (least resistance of battery, links and path); I_min = U_empty / (largest resistance). Both have to be known.",
        inputs: ["cell-type.resistance", "cell-type.resistance-least", "cell-type.resistance-most", "battery.links", "battery.in-parallel", "conductor.route"],
        get: "A load step: change of voltage over change of current after one second and after ten, on the warm full and on the cold empty battery. A 1 kHz figure is too low.",
        blind: "Arc voltage, which lowers the real current, and chemistry that gives more than its resistance says in the first milliseconds."
    }
    ServiceDisconnectPlace {
        equation: "With the disconnect out, the voltage between any two terminals of each piece that is left; aim: half of U_max at most.",
        inputs: ["service-disconnect.from", "service-disconnect.to", "battery.in-series", "cell-type.maximum"],
        get: "Count cells on either side of the disconnect on the diagram.",
        blind: "That each piece is still live: no disconnect makes a battery dead."
    }
    ServiceDisconnectUse {
        equation: "Somebody looked: it comes out by hand without body panels, and the interlock opens the contactors first.",
        inputs: ["service-disconnect.breaks-load", "attestation.rule"],
        get: "Take it out with a watch in the hand and no load, somebody at the meter on the link.",
        blind: "Mud, frost and a driver who does not know where it is."
    }
    BoxCableDeadWhenOff {
        equation: "With every contactor open no high-voltage conductor that leaves a box is joined to a pole of a battery, not even to one alone, or somebody attests guard and label.",
        inputs: ["contactor.from", "contactor.to", "conductor.from", "conductor.to", "battery.box", "attestation.rule"],
        get: "Follow each cable from the box to the first contact that opens.",
        blind: "A contact that has welded."
    }
    ConductorTemperature {
        equation: "T = T_air + I_rms^2 x R(T) x thermal resistance of the place, solved for T; r.m.s. over the worst window as long as the cable's time constant, with all that a load with a duty-share draws where nothing else flows; T <= class less 10 K. A temperature that was read along it <= class, whatever was computed.",
        inputs: ["reading.temperature", "cable-type.section", "cable-type.outer-diameter", "cable-type.temperature-class", "conductor.cable", "conductor.route", "zone.air", "zone.radiant", "phase.draws", "duty.phases"],
        get: "Air: a thermometer at the cable after the hottest hour, not the weather report. Diameter: calliper. Class: print on the sheath. Current: clamp meter over a whole duty.",
        blind: "Hot surfaces that are not stated as radiant, a cable that is pressed into foam, and neighbours that are not counted in circuits. orangeloom study --conductor shows the whole working."
    }
    ConductorPeakTemperature {
        equation: "Heat equation in rings of metal, insulation and jacket along the repeating duty; highest moment <= temperature class.",
        inputs: ["cable-type.section", "cable-type.temperature-class", "duty.phases", "phase.duration", "phase.draws", "conductor.route", "zone.air"],
        get: "Time the peaks of a real drive with a clamp meter that records.",
        blind: "Peaks that follow each other faster than the stated duty."
    }
    DutyWindow {
        equation: "The study takes the r.m.s. over a window as long as tau = thermal resistance x heat capacity of the cable in its place, or the largest current where it has none. This holds wherever the hottest piece is known; it tells the window.",
        inputs: ["phase.duration", "duty.phases", "cable-type.section", "conductor.route"],
        get: "Cut a long phase of changing load into shorter ones.",
        blind: "What happens inside a phase: it is taken as constant."
    }
    TerminalTemperature {
        equation: "T_end from the fin equation with the heat I^2 x R of the joint; T_end <= the lesser of terminal and lug. A temperature that was read there, or at a contactor, <= the least of terminals, lugs and cable, whatever was computed. The same for the lasting limit of the controller where it is more than I_rms.",
        inputs: ["controller.discharge-limit", "controller.charge-limit", "controller.string-limit", "reading.temperature", "terminal.limit", "lug-type.limit", "conductor.lug", "conductor.joint", "cable-type.section"],
        get: "The limit is in the device's sheet under connection; 85 to 105 degC is usual. Joint: millivolts at a known current, divided.",
        blind: "Heat that the device itself sends into the cable."
    }
    VoltageDrop {
        equation: "dU = highest voltage of the strings that deliver - voltage at the load, from the network, in the worst phase without precharge; dU <= 2 % of U_empty. On the low-voltage side dU = output of the converter that feeds the load - lowest voltage at the load; dU <= 3 % of that output; of several in parallel the one with the larger share.",
        inputs: ["conductor.route", "cable-type.section", "cable-type.resistance", "conductor.joint", "phase.draws"],
        get: "Voltmeter at the source and at the load under the same current.",
        blind: "Plugs, which have no entry of their own, what loads with a duty-share take together when all are on at once, and loads that no converter feeds."
    }
    CableVoltageClass {
        equation: "U_max <= voltage class of the cable (60, 900 or 1500 V DC).",
        inputs: ["cable-type.voltage-class", "battery.in-series", "cell-type.maximum"],
        get: "Print on the sheath or the maker's sheet; 600 V a.c. is 900 V DC there.",
        blind: "Nicks, heat and oil that the insulation has seen."
    }
    CableMarked {
        equation: "Somebody looked: the print on the cable proves section, temperature and voltage.",
        inputs: ["conductor.cable", "attestation.rule", "attestation.photo"],
        get: "Photograph the print with the id of the cable beside it. Without print: weigh a metre and measure the strand.",
        blind: "Print that lies."
    }
    ParallelConductorsEqual {
        equation: "Conductors that join the same two terminals have one cable type, and lengths that differ by 5 % at most.",
        inputs: ["conductor.route", "conductor.from", "conductor.to", "conductor.cable"],
        get: "Lay them side by side before crimping.",
        blind: "Unequal crimps: compare their millivolts under load."
    }
    GroupingAndSleeve {
        equation: "Each piece of the route states what it lies in and, unless that is free air, how many loaded circuits share it.",
        inputs: ["conductor.route", "tube.inner", "tube.outer"],
        get: "Look along the route and count; inner and outer diameter of the tube with a calliper.",
        blind: "What is tied on later."
    }
    OutgoingAndReturnTogether {
        equation: "Somebody looked: both conductors of each circuit run side by side.",
        inputs: ["attestation.rule", "attestation.holds"],
        get: "Follow each pair from end to end with both hands.",
        blind: "Fields of the motor leads."
    }
}
