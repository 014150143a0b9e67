//! Fuses, and what they guard.

use super::{Method, RuleId};

methods! {
    ConductorShortCircuit {
        equation: "I2t let through by the fuses in the ring <= (k x S)^2, k from start and end temperature by the heat balance of the metal.",
        inputs: ["fuse-type.total", "fuse-type.curve", "fuse-type.total-at", "cable-type.section", "cable-type.temperature-class", "conductor.cable", "box.bond", "load.box"],
        get: "Total I2t at your voltage is a curve or a table in the fuse's sheet; the melting I2t is less and not the same.",
        blind: "Short circuits of the low-voltage side: only those of the traction battery are computed. The arc at the fault, which burns what the cable survives. A bond that nobody measured or described counts as 0.1 ohm; what fails for that alone is open."
    }
    ReducedSectionTap {
        equation: "Each conductor thinner than the one that feeds it has a fuse before the next junction, within 0.3 m of guarded way.",
        inputs: ["conductor.cable", "cable-type.section", "fuse.from", "fuse.to", "conductor.route"],
        get: "Walk the wiring and look where a thin cable leaves a thick one; measure to its fuse.",
        blind: "How well the piece before the fuse is guarded."
    }
    OverloadOwner {
        equation: "Rated current of the fuse <= lasting current of the weakest conductor in series with it, or a lasting limit that the controller keeps there <= that current; one below the r.m.s. current of an operation is not kept. Without a fuse in series the sum of those that feed it; of parallel conductors each by its share of conductance. And at every current that the contactor leaves to the fuse: I2t or rise until it opens <= what the conductor stands; the contactor has those up to what it is opened on, if the conductor stands that for trip-time.",
        inputs: ["fuse-type.rated", "controller.discharge-limit", "controller.charge-limit", "controller.string-limit", "controller.trip-current", "controller.trip-time", "fuse-type.curve", "fuse-type.total", "conductor.cable", "conductor.route"],
        get: "Read the limits in the controller's settings; the lasting current is in orangeloom study.",
        blind: "On the low-voltage side what a fuse shares with others: only conductors in series with one fuse are held against it. A controller that hangs. Parallel conductors that end on different terminals."
    }
    FuseDcVoltage {
        equation: "U_max <= rated direct voltage of the fuse.",
        inputs: ["fuse-type.voltage", "battery.in-series", "cell-type.maximum"],
        get: "Print on the fuse: V DC or V with a straight line. A figure with a wave, or without any, proves nothing.",
        blind: "A fuse of the right print from a doubtful shop."
    }
    FuseTimeConstant {
        equation: "tau = L / R of the ring at each current <= time constant of the fuse's test.",
        inputs: ["fuse-type.time-constant", "battery.inductance", "cell-type.resistance", "conductor.route"],
        get: "The time constant of the test stands beside the DC rating in the sheet. L of a pair: about 1 uH for each metre that its conductors run apart.",
        blind: "Motors and chokes in the ring that are not stated."
    }
    FuseBreakingCapacity {
        equation: "Largest current that any fault sends through the fuse, other strings included, <= breaking capacity. Smallest current of a fault that it has to end: latest melting time and arc <= 5 s. Low-voltage side: sum of U_full / (R_least + R of the conductors on the way, at -40 degC) over its batteries <= breaking capacity.",
        inputs: ["fuse-type.breaking", "fuse-type.least-breaking", "fuse-type.curve", "fuse-type.total", "cell-type.resistance", "cell-type.resistance-least", "battery.links", "conductor.route", "box.bond", "load.box"],
        get: "Breaking capacity at DC is on the fuse or in its sheet in kA. Both currents are in orangeloom study --faults.",
        blind: "A battery that gives more than its stated resistance allows; an arc at the fault that makes a small current smaller. What a converter adds on the low-voltage side, and what its fuses let their cables bear."
    }
    FuseContinuous {
        equation: "I_rms <= I_rated x share for the air x share for the holder x share for the altitude; the same for the lasting limit of the controller where it is more than I_rms.",
        inputs: ["controller.discharge-limit", "controller.charge-limit", "controller.string-limit", "fuse.type", "fuse-type.rated", "fuse-type.derating", "fuse-type.holder", "fuse.box", "zone.air", "vehicle.altitude", "duty.phases"],
        get: "The derating curve is a chart in the sheet: three points do. Air: a thermometer inside the closed box under load.",
        blind: "Several loads with a duty-share behind one fuse: their means are added, while a load alone counts with all that it draws. A loose clip; it heats the fuse and looks like overload."
    }
    FuseCyclic {
        equation: "Each repeated current above the lasting one <= half of what melts the fuse in the same time.",
        inputs: ["fuse-type.curve", "phase.duration", "phase.draws", "duty.phases"],
        get: "Read current and time pairs off the melting curve, one for each decade of time.",
        blind: "How often the fuse was already near melting."
    }
    FuseLowCurrentGap {
        equation: "Partial range: least breaking current of the fuse <= what the contactor breaks at U_max, and the controller trips inside that band before the fuse melts. Every contactor with a fuse in series that faults flow through: least current that the fuse surely clears <= what the contactor breaks in their direction, or that on which the controller opens it, if that is less: above, it stays closed.",
        inputs: ["fuse-type.utilisation", "fuse-type.curve", "fuse-type.least-breaking", "contactor-type.break-forward", "contactor-type.break-voltage", "controller.trip-current", "controller.trip-time", "controller.opens-discharging", "controller.opens-charging"],
        get: "aR on the fuse means partial range: the least breaking current is in the sheet, often where the curve turns to dashes.",
        blind: "A contactor that has welded already."
    }
    FuseContactorMatch {
        equation: "Largest prospective current <= peak that the closed contactor stands, as if the fuse limited nothing; I2t until the fuses clear <= its I2t.",
        inputs: ["contactor-type.withstand-peak", "contactor-type.withstand", "fuse-type.total", "fuse-type.curve", "cell-type.resistance-least", "battery.links", "box.bond", "load.box"],
        get: "Short-time withstand is in the contactor's sheet as current and time; a sheet without it is a reason to ask or to choose another.",
        blind: "Contacts worn by earlier openings under load. A bond that nobody measured or described counts as 0.1 ohm; what fails for that alone is open."
    }
    FuseSelectivity {
        equation: "Total I2t of the branch fuse x (share of its current in the fuse upstream)^2 <= 0.75 x melting I2t upstream; slower: it clears before that one melts. Of parallel strings the share is that of the one with the lowest resistance.",
        inputs: ["fuse-type.total", "fuse-type.melting", "fuse-type.curve", "fuse.from", "fuse.to", "cell-type.resistance-spread"],
        get: "Both figures are in the sheets, each at its voltage.",
        blind: "The main fuse's preload when it is hot; a string switched off, so that the others carry all."
    }
    FuseFedByCapacitor {
        equation: "Peak U / R of the link capacitors into a fault <= breaking capacity of each fuse in the way, <= peak that each closed contactor stands. Their I2t <= what the contactor stands, and <= 0.75 x melting I2t of a fuse that has no fault behind it.",
        inputs: ["load.link", "fuse-type.melting", "fuse-type.breaking", "contactor-type.withstand-peak", "contactor-type.withstand", "conductor.route"],
        get: "The capacitance is on the label of the link capacitor or in the inverter's sheet.",
        blind: "Inductance of the busbars inside of an inverter."
    }
    FusePerStringAtSource {
        equation: "From one pole of a string at least the next junction is reached through a fuse.",
        inputs: ["battery.positive", "battery.negative", "fuse.from", "fuse.to"],
        get: "Follow the cable from the battery's pole: fuse first, then anything else.",
        blind: "The piece before the fuse, whether that is inside of the box, and the other pole; loop-without-fuse looks at the rings."
    }
    FuseToolAndSpares {
        equation: "Somebody looked: tool needed, spare of the same type carried, label with the full type.",
        inputs: ["fuse.type", "attestation.rule", "attestation.photo"],
        get: "Compare the print of each spare with the print of the fuse in place.",
        blind: "What the next owner puts in."
    }
    AuxOwnFuse {
        equation: "Between one pole at least of each load that is no drive and the next junction stands a fuse.",
        inputs: ["load.positive", "load.negative", "fuse.from", "fuse.to"],
        get: "Follow the cable from the load to the first place where something else joins.",
        blind: "A fuse inside of the device that nobody stated."
    }
    BondSection {
        equation: "I2t of a first and a second fault through strap or shield until the fuses clear <= (k x S)^2 of its metal, over all currents between the least and the most. A fault to a shield counts wherever the second one is.",
        inputs: ["box.bond", "cable-type.shielded", "cable-type.braid", "conductor.route", "fuse-type.total", "fuse-type.curve", "cell-type.resistance-least", "load.box"],
        get: "Section of a braid: strands times strand area, or weigh a metre: 8.9 g for each mm2 of copper.",
        blind: "Rust under the strap's eye: that is bond-resistance. How the shield is clamped: shield-both-ends and shield-continuity. The section that a shield needs is told for the faults with the braid it has; a thinner one lets them last longer. A bond that nobody measured or described counts as 0.1 ohm; what fails for that alone is open."
    }
}
