//! What is measured at the finished vehicle.

use super::{Method, RuleId};

methods! {
    ChargeEarth {
        equation: "R from the pin of the protective conductor to chassis <= 0.1 ohm with at least 0.2 A. Where a source may be joined to the mains, somebody attests its separation or a residual-current plan.",
        inputs: ["vehicle.never-on-mains", "load.alternating", "attestation.rule", "reading.bond", "reading.load", "reading.test-current", "load.role"],
        get: "Four-wire milliohm meter from the earth pin of the inlet to bare chassis.",
        blind: "The earth of the socket that you plug into."
    }
    BrakeVacuumReserve {
        equation: "Full strokes of the brake without supply >= 3.",
        inputs: ["reading.count", "attestation.rule"],
        get: "Pump off, vacuum full, press the pedal fully until it hardens; count. On a level yard with chocks.",
        blind: "A leak that grows, altitude, and a pump that is already off when you need it."
    }
    EnergisingOrder {
        equation: "U_empty <= voltage read at each battery before the first closing <= U_full; strings in parallel no farther apart than they may be joined, 1.5 V where no join-window is stated.",
        inputs: ["reading.voltage", "reading.battery", "reading.accuracy", "battery.in-series", "cell-type.minimum", "cell-type.maximum", "controller.join-window"],
        get: "Meter rated for the voltage, proven before and after, one hand; then the first closing on a limited source: a lamp or a resistor in series.",
        blind: "Two links swapped inside of a box that give the right sum. Of strings that were read within an hour with one instrument its error counts as the same."
    }
    MeasuredVsComputed {
        equation: "Time constant of the precharge within 20 % of what was computed; discharge time at most 30 % above it, and 30 % below what the capacitors as marked give; drop along a conductor at the current that flowed within 30 % of what it is cold and hot; temperature within 15 K of what the conductor settles at with that current in that air; capacitance of a load within 20 % of its link.",
        inputs: ["reading.precharge", "reading.discharge", "reading.drop", "reading.current", "reading.temperature", "reading.air", "reading.capacitance", "reading.accuracy", "load.link"],
        get: "Log of the link voltage at a start and at a stop; for a drop leads that were fitted dead to both ends of the conductor, and a clamp meter at the same moment; for a temperature a thermocouple that was fitted dead, air and current beside it, when nothing rises any more.",
        blind: "Two errors that cancel each other, and a temperature at a contactor or where several conductors meet, which is held against its limit alone."
    }
    ContactorLog {
        equation: "Closings counted <= endurance of the contactor.",
        inputs: ["reading.count", "reading.contactor", "contactor-type.endurance"],
        get: "Counter of the controller.",
        blind: "Openings under load, which wear far more than closings: look at their log as well."
    }
}
