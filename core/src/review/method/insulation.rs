//! Shields, insulation, spacing, isolation and bonding.

use super::{Method, RuleId};

methods! {
    ShieldBothEnds {
        equation: "At both ends of each shield that is needed: round contact, or a pigtail <= 25 mm.",
        inputs: ["conductor.shield", "conductor.noise", "conductor.gland", "cable-type.shielded"],
        get: "Ruler along the pigtail from where the braid opens to the screw.",
        blind: "A clamp that sits on the jacket; shield-continuity shows it."
    }
    ShieldCutback {
        equation: "Distance from the edge of the shield to bare metal >= creepage distance of the box.",
        inputs: ["reading.cut-back", "reading.end", "terminal.stud", "box.pollution", "cable-type.shielded"],
        get: "Calliper along the insulation, at its shortest; record it with the end.",
        blind: "Loose strands of the braid that stand up later."
    }
    ShieldContinuity {
        equation: "R <= 2 x braid resistance for each metre x length + 10 mohm.",
        inputs: ["reading.shield", "cable-type.braid", "conductor.route"],
        get: "Four-wire milliohm meter from clamp to clamp, both ends lifted from chassis. The braid: diameter, strands and lay from the sheet, or a metre measured.",
        blind: "Contacts that shake loose: write down the trend."
    }
    ShieldNotBond {
        equation: "Somebody looked: each box has a strap beside the shields.",
        inputs: ["box.bond", "attestation.rule"],
        get: "Lift the shields and measure the bond again: it must not change.",
        blind: "A strap that was taken off for paint."
    }
    UnshieldedJustified {
        equation: "A circuit that switches (noise) is shielded. So is a quiet one unless all of it runs in metal, as a tight pair, 400 mm away from low-voltage wiring that runs alongside. The harness trade keeps 200 mm in cars and 400 mm in commercial vehicles; the larger counts, since no key says which it is.",
        inputs: ["conductor.noise", "cable-type.shielded", "conductor.route", "conductor.low-voltage-distance"],
        get: "Tape measure along the run, at the closest place; wiring that only crosses it square does not count. An AM radio along the cable under load tells more than any rule.",
        blind: "What your radios and sensors bear."
    }
    Clearance {
        equation: "Shortest way through air >= table of IEC 60664-1 by rated impulse or peak voltage, times the factor of the altitude, next step up for reinforced insulation. Stated system voltage >= U_max, stated impulse >= that of category I at U_max; else those count.",
        inputs: ["spacing.clearance", "spacing.insulation", "vehicle.impulse", "vehicle.overvoltage-category", "vehicle.system-voltage", "vehicle.altitude", "box.pollution", "box.kept-by", "zone.wet"],
        get: "Calliper or feeler gauge between bare parts with lugs and screws in place, at the worst tolerance.",
        blind: "A screw that is longer than the one that was measured with."
    }
    Creepage {
        equation: "Shortest way over the surface >= table of IEC 60664-1 by voltage, pollution degree and material group; never less than the clearance.",
        inputs: ["spacing.creepage", "spacing.group", "spacing.surface", "spacing.working", "box.pollution", "box.kept-by", "zone.wet"],
        get: "Thread or strip of paper over the surface, grooves under 1 mm jumped; the tracking index is in the material's sheet: group IIIb where it is not.",
        blind: "Flux, brake dust and salt that make the place dirtier than its degree."
    }
    ReinforcedToLv {
        equation: "As clearance and creepage, for reinforced insulation: next impulse step, twice the creepage distance; of each spacing that states it, and at least one in every box with a contactor, whose coil is fed from the low-voltage side.",
        inputs: ["spacing.insulation", "spacing.clearance", "spacing.creepage", "vehicle.impulse"],
        get: "Where low-voltage wires enter a box, measure from them to the nearest live part.",
        blind: "A loom that sags into the box after the lid is on, and low-voltage wires in a box without contactor that nobody stated a spacing for."
    }
    PollutionByBox {
        equation: "Somebody looked: what keeps the pollution degree of each box (kept-by) is there and sound. Stated degree >= the best that it allows: the zone's without anything (3 at least where it is wet), min(zone, 2) with seal and breather, the zone's with blown air where that is above 2.",
        inputs: ["box.pollution", "box.kept-by", "zone.pollution", "zone.wet", "attestation.rule"],
        get: "Open it after a wet week: drops or rust are degree 3 or worse.",
        blind: "A seal that ages."
    }
    BoxDrainBreather {
        equation: "Somebody looked: breather, no pocket, glands from below.",
        inputs: ["attestation.rule", "attestation.box"],
        get: "Pour a cup of water on the closed box where spray reaches it, open, look.",
        blind: "A breather under mud."
    }
    LoosePartSafe {
        equation: "Somebody looked: no nut of the box can lie across two poles.",
        inputs: ["attestation.rule", "attestation.photo"],
        get: "Drop the largest nut of the box in, battery out, and turn the box.",
        blind: "A tool that is left inside."
    }
    IsolationLimit {
        equation: "R >= 100 ohm for each volt of U_max, 500 where alternating current is connected without further protection. A drive, and each load that does not state alternating = false, counts as having it.",
        inputs: ["reading.isolation", "reading.test-voltage", "vehicle.isolation-case", "load.alternating", "load.role", "cell-type.maximum"],
        get: "Insulation tester at U_max or more, battery disconnected at its terminals, link joined, each pole to chassis, wait until the figure stands. Take the lesser.",
        blind: "Weather: a dry day says nothing of a wet one."
    }
    IsolationNewBuild {
        equation: "R >= 5 x the limit, new and dry.",
        inputs: ["reading.isolation", "reading.test-voltage", "vehicle.isolation-case"],
        get: "The same reading. Where it is low, unplug by halves until it jumps.",
        blind: "What the years take away: read it again at each inspection."
    }
    IsolationBudget {
        equation: "1 / R = sum of 1 / R of every part; R >= the limit.",
        inputs: ["load.isolation", "vehicle.isolation-case", "cell-type.maximum"],
        get: "Isolation of each part from its sheet, or the tester on the part alone before it goes in.",
        blind: "Coolant that conducts."
    }
    YCapacitorEnergy {
        equation: "E = C_y x U_max^2 / 2, C_y of all parts and both poles together, < 0.2 J.",
        inputs: ["load.y", "load.y-positive", "load.y-negative", "cell-type.maximum"],
        get: "In the sheet under filter or Y; else a capacitance meter from both poles joined to the case, device off and discharged.",
        blind: "Capacitance of long shielded cables: some nanofarads for each metre."
    }
    IsolationMonitorRange {
        equation: "C_y <= what the monitor bears, U_empty to U_max inside of its range, response <= 30 s, alarm >= the limit.",
        inputs: ["vehicle.monitor", "load.y", "cell-type.minimum", "cell-type.maximum"],
        get: "All four are in the monitor's sheet. Try it: a resistor of the alarm value from one pole to chassis, with care, by somebody trained.",
        blind: "Faults of both poles alike, which some monitors do not see."
    }
    OneMonitorAtATime {
        equation: "Somebody looked: the vehicle's monitor is off or passive while a station monitors.",
        inputs: ["load.role", "attestation.rule"],
        get: "Plug in and watch both readings for a minute.",
        blind: "Stations that measure otherwise."
    }
    BondResistance {
        equation: "R from box to chassis <= 0.1 ohm with at least 0.2 A.",
        inputs: ["reading.bond", "reading.test-current", "box.metal", "box.bond"],
        get: "Four-wire milliohm meter, tips on bare metal; or a known current from a bench supply and a millivolt meter.",
        blind: "Paint that is scraped for the reading and not for the strap."
    }
    LvAndHvSeparate {
        equation: "Isolation resistance between both sides of each converter >= the limit. Both terminals of each coil are none of the traction side, its supply one of the low-voltage side.",
        inputs: ["reading.isolation", "reading.converter", "converter.input", "converter.output", "contactor.coil"],
        get: "Insulation tester from both high-voltage pins joined to both low-voltage pins joined, device unplugged, only where its maker allows the test voltage.",
        blind: "A joint elsewhere: sensors, gauges, a heater's controller."
    }
    InsulationTestLevel {
        equation: "Voltage of the tester >= U_max.",
        inputs: ["reading.isolation", "reading.test-voltage", "cell-type.maximum"],
        get: "The range of the tester: 500 or 1000 V. Battery and electronics disconnected as their makers ask.",
        blind: "What fails only at the impulse voltage."
    }
}
