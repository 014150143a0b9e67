//! Contactors, precharge and discharge.

use super::{Method, RuleId};

methods! {
    BothPolesSwitched {
        equation: "With every contactor open neither pole of a string reaches a load.",
        inputs: ["contactor.from", "contactor.to", "battery.positive", "battery.negative", "load.positive", "load.negative"],
        get: "Meter between each pole of the load side and each pole of the battery, contactors open, with the link discharged.",
        blind: "Welded contacts and leakage over wet insulation."
    }
    ContactorCarry {
        equation: "I_rms <= carry, air <= the air of that rating, section on the terminals, of the cable there or of the stated bar, >= the section of that rating. I_rms <= carry of a service disconnect. The same for the lasting limit of the controller (of a string in one, of the battery where all of it flows) where it is more than I_rms.",
        inputs: ["controller.discharge-limit", "controller.charge-limit", "controller.string-limit", "contactor-type.carry", "service-disconnect.carry", "contactor-type.carry-air", "contactor-type.carry-section", "contactor.section", "contactor.box", "duty.phases"],
        get: "All three stand together in the sheet: 300 A with 70 mm2 at 40 degC. Thermometer on the terminal after an hour of work.",
        blind: "A loose terminal."
    }
    ContactorMake {
        equation: "I = dU at closing / R of the loop without the precharge resistor <= making current.",
        inputs: ["contactor-type.make", "resistor.closes-within", "cell-type.resistance-least", "conductor.route"],
        get: "Volts across the open contact at the moment of closing, from the controller's log or a scope; making current from the sheet, capacitive if it says.",
        blind: "Bounce, and capacitors that are not stated."
    }
    ContactorBreak {
        equation: "Largest current in the main direction <= breaking current at U_max: the most of what flows in all phases, what the controller opens at (what it trips at, where it does not say), what it allows to last, and what flows when strings are joined.",
        inputs: ["contactor-type.break-forward", "contactor-type.break-voltage", "contactor.arrow", "controller.opens-discharging", "controller.discharge-limit", "controller.trip-current", "phase.draws"],
        get: "Breaking current belongs to a voltage, a direction and a number of operations: take the row of your voltage.",
        blind: "How many openings under load there were before."
    }
    ContactorDirection {
        equation: "Largest current against the main direction <= reverse breaking current: the most of what flows in all phases (regeneration, charging), what the controller opens at, what it allows to last, and what flows when strings are joined; a polarised part states its arrow.",
        inputs: ["contactor.arrow", "contactor-type.polarised", "contactor-type.break-reverse", "controller.opens-charging", "controller.charge-limit", "controller.join-window", "phase.draws"],
        get: "Look at the marks at the main terminals (a + or an arrow), and which side the battery is on; in the negative pole it is mirrored.",
        blind: "A part that was turned round after the look."
    }
    ContactorVoltage {
        equation: "U_max <= rated contact voltage, altitude <= rated altitude.",
        inputs: ["contactor-type.voltage", "contactor-type.altitude", "vehicle.altitude", "cell-type.maximum"],
        get: "Both in the sheet; where the altitude is not there, ask the maker: 2000 m is usual, and is not a proof.",
        blind: "Dirt in an open contact chamber."
    }
    CoilSupply {
        equation: "Lowest supply - drop of the coil's wires >= pull-in voltage at the hot coil, R_hot = R_20 x (1 + 0.00393 x rise); in a dip >= drop-out. Highest voltage of batteries and converters that feed it, charged, <= highest of the coil, or 4/3 of its nominal voltage.",
        inputs: ["contactor.coil", "converter.output", "cell-type.maximum", "controller.lowest-supply", "controller.supply-dip", "contactor.coil-wire", "contactor-type.coil"],
        get: "Voltmeter at the coil's own terminals while lamps, pumps and fans start.",
        blind: "A driver stage that drops more when it is hot."
    }
    CoilSuppression {
        equation: "Somebody looked: no bare diode lies across a coil.",
        inputs: ["contactor.coil", "attestation.rule"],
        get: "Look into the driver and along the coil's wires; a scope across the coil shows more than 0.7 V of swing at opening.",
        blind: "A diode inside of the part: its sheet says so."
    }
    ContactFeedback {
        equation: "Somebody looked: each contactor has an auxiliary contact or a voltage sense on both sides, and the controller notices.",
        inputs: ["contactor.from", "attestation.rule"],
        get: "Pull the coil's plug, ask for closing, read the fault in the controller.",
        blind: "A sense wire that breaks later."
    }
    OpenWithoutSoftware {
        equation: "Somebody looked: interlock, crash switch and stop button break the coil's current itself.",
        inputs: ["attestation.rule", "attestation.holds"],
        get: "Hold the controller in reset with the coils driven by hand, then open each switch in turn.",
        blind: "Two wires of one loom that touch."
    }
    PrechargeEnergy {
        equation: "E = C x U_max^2 / 2 for each try, plus what standing loads take; E <= pulse energy, and what the resistor holds after all tries, less what it gives off in the pauses, <= pulse energy.",
        inputs: ["load.link", "resistor-type.pulse", "controller.precharge-tries", "controller.precharge-pause", "cell-type.maximum"],
        get: "Add up the capacitors of every device on the link: inverter, charger, converter, heater, compressor. Pulse energy is in the resistor's sheet.",
        blind: "Tries in a row after a restart of the controller."
    }
    PrechargePeak {
        equation: "I = U_max / R, P = U_max^2 / R, with R at its lower tolerance; both within relay and resistor.",
        inputs: ["resistor-type.resistance", "resistor-type.tolerance", "resistor-type.peak-power", "contactor-type.make"],
        get: "Ohmmeter on the resistor, cold.",
        blind: "A resistor that was hit by a pulse before and lost turns."
    }
    PrechargeStuck {
        equation: "U_max^2 / R x (time-out + reaction) <= pulse energy, or lasting power, or a thermal cut-out of at most 250 degC opens.",
        inputs: ["resistor-type.power", "resistor-type.pulse", "resistor-type.cut-out", "resistor.time-out", "controller.reaction"],
        get: "Time-out from the controller's settings; lasting power holds on the heat sink and in the air of the sheet.",
        blind: "A cut-out that is not bolted to the resistor. A controller that tries again into a short circuit: each try adds its heat. Let it lock after a try in which the link did not rise."
    }
    PrechargeTime {
        equation: "t = R x C x ln(U / dU), with standing loads longer; t <= time-out. Two to three times t is usual; that it is not more nobody judges here, precharge-stuck judges what the resistor stands.",
        inputs: ["resistor.time-out", "resistor.closes-within", "resistor-type.resistance", "load.link", "load.idle"],
        get: "Scope or log of the link voltage at a start: the time to 63 % is R x C.",
        blind: "A capacitor that has dried out; compare the time each year."
    }
    PrechargeStandingLoad {
        equation: "Link comes up to U - I_standing x R; a constant power P lets it pass only below U^2 / (4 R).",
        inputs: ["load.idle", "load.idle-from", "resistor-type.resistance", "resistor.closes-within"],
        get: "Clamp or shunt on the link with only the precharge on: what flows after five R x C is the standing load.",
        blind: "Loads that start by themselves when they see voltage: state from which voltage."
    }
    PrechargeThreshold {
        equation: "dU left at closing / R of the loop <= making current; dU in volts, not in percent.",
        inputs: ["resistor.closes-within", "contactor-type.make", "cell-type.resistance-least"],
        get: "Setting of the controller; check with a meter on both sides of the contactor at the moment of closing.",
        blind: "Offset between two voltage senses: compare them with all closed."
    }
    PrechargeAllPaths {
        equation: "Each capacitor that a contactor joins to a source is reached by a precharge path first.",
        inputs: ["load.link", "resistor.purpose", "contactor.from", "contactor.to"],
        get: "Follow each device with a capacitor back to the battery: which contact closes it, and what is beside that contact.",
        blind: "Devices whose capacitor nobody stated: state 0 where there is none."
    }
    DischargePassive {
        equation: "t = R x C x ln(U_max / touchable voltage of the domain, 60 V on the road), R and C at their upper tolerance, <= the wait on the label.",
        inputs: ["resistor-type.resistance", "resistor-type.tolerance", "load.link", "load.bleed", "box.label-wait"],
        get: "Stopwatch and the log of the link voltage after opening, from full to touchable voltage.",
        blind: "A bleed resistor that has failed: prove dead with a meter all the same."
    }
    DischargeActive {
        equation: "t = R x C x ln(U_max / touchable voltage of the domain, 60 V on the road) <= 5 s, or 1 s where a connector parts without a tool.",
        inputs: ["resistor.purpose", "resistor-type.resistance", "load.link"],
        get: "The same with the discharge switched on; a log of the link voltage does.",
        blind: "A discharge that needs the low-voltage supply and has none after a crash."
    }
    DischargeAgainstWeld {
        equation: "U_max^2 / R for as long as it may be on <= power and pulse energy, or a cut-out opens.",
        inputs: ["resistor-type.power", "resistor-type.pulse", "resistor-type.cut-out", "resistor.time-out"],
        get: "Lasting power at its place from the sheet; time from the controller's settings.",
        blind: "Several tries one after the other on a hot resistor."
    }
    InletDead {
        equation: "With every contactor open neither pin of a direct-current inlet reaches a battery or another load.",
        inputs: ["load.role", "contactor.from", "contactor.to"],
        get: "Meter at the pins, unplugged, one second after opening: below the touchable voltage of the domain (60 V on the road), each pin to chassis as well.",
        blind: "Welded inlet contactors: test them at each charge."
    }
}
