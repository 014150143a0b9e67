//! Precharge, discharge, strings in parallel.

use orangeloom_core::design::Draw;
use orangeloom_core::insulation::Domain;
use orangeloom_core::link::*;
use orangeloom_core::quantity::{
    Capacitance, Charge, Current, Energy, Power, Resistance, Share, Time, Voltage,
};

use super::{Visit, accepted};

const PACK: Voltage = accepted(Voltage::from_volts(403.2));
const TARGET: Voltage = accepted(Voltage::from_volts(380.0));
const SAFE: Voltage = accepted(Voltage::from_volts(60.0));
const LINK: Capacitance = accepted(Capacitance::from_farads(1.152e-3));
const RESISTOR: Resistance = accepted(Resistance::from_ohms(47.0));
const BLEED: Resistance = accepted(Resistance::from_ohms(33.0e3));
const MOMENT: Time = accepted(Time::from_seconds(0.1));
const HEAT: Energy = accepted(Energy::from_joules(94.0));
const STUCK: Power = accepted(Power::from_watts(3459.0));
const TOLERANCE: Share = accepted(Share::from_percent(5.0));
const AMPERES: Current = accepted(Current::from_amperes(180.0));

const LOADS: [StandingLoad; 3] = [
    StandingLoad {
        draw: Draw::Power(accepted(Power::from_watts(60.0))),
        from: accepted(Voltage::from_volts(150.0)),
    },
    StandingLoad {
        draw: Draw::Current(accepted(Current::from_amperes(0.05))),
        from: accepted(Voltage::from_volts(90.0)),
    },
    StandingLoad {
        draw: Draw::Resistance(accepted(Resistance::from_ohms(20.0e3))),
        from: accepted(Voltage::from_volts(0.0)),
    },
];

const RATING: ResistorRating = ResistorRating {
    pulse: Some(accepted(Energy::from_joules(800.0))),
    peak_power: Some(accepted(Power::from_watts(5000.0))),
    power: Some(accepted(Power::from_watts(25.0))),
    cooling: None,
};

const TRIES: Tries = Tries {
    count: 3,
    pause: accepted(Time::from_seconds(10.0)),
};

const STRING: StringData = StringData {
    voltage: PACK,
    resistance: accepted(Resistance::from_ohms(0.05)),
    charge: Some(accepted(Current::from_amperes(75.0))),
    discharge: Some(accepted(Current::from_amperes(300.0))),
};

/// Calls of `link`.
pub fn all(visit: &mut impl Visit) {
    charging(visit);
    rating(visit);
    discharging(visit);
    strings(visit);
}

fn charging(visit: &mut impl Visit) {
    let circuit = ChargingCircuit {
        source: PACK,
        resistance: RESISTOR,
        capacitance: LINK,
        start: accepted(Voltage::from_volts(0.0)),
        loads: &LOADS,
    };
    visit.call("link/settles", circuit, |circuit| circuit.settles());
    visit.call("link/reaches", (circuit, TARGET), |(circuit, target)| {
        circuit.reaches(*target).map(Reached::time)
    });
    visit.call("link/after", (circuit, MOMENT), |(circuit, moment)| {
        circuit.after(*moment)
    });
    let input = PrechargeInput {
        highest: PACK,
        lowest: accepted(Voltage::from_volts(288.0)),
        capacitance: LINK,
        capacitance_tolerance: TOLERANCE,
        resistance: RESISTOR,
        resistance_tolerance: TOLERANCE,
        start: accepted(Voltage::from_volts(0.0)),
        loads: &LOADS,
        threshold: Threshold::Share(accepted(Share::from_percent(95.0))),
        time_out: Some(accepted(Time::from_seconds(0.3))),
        reaction: accepted(Time::from_seconds(0.05)),
        loop_resistance: Some(accepted(Resistance::from_ohms(0.06))),
        make: Some(accepted(Current::from_amperes(400.0))),
        peak_current: Some(accepted(Current::from_amperes(20.0))),
        rating: RATING,
        cut_out: false,
        tries: TRIES,
    };
    visit.call("link/precharge", input, |input| precharge(input));
    visit.call("link/resistor_window", input, |input| {
        resistor_window(input)
    });
    visit.brief((input, PACK), |(input, source)| {
        (
            PrechargeInput::circuit(input, *source, true).map(|circuit| circuit.resistance),
            Threshold::left(input.threshold, *source),
            Threshold::link(input.threshold, *source),
        )
    });
    if let Some(found) = visit.given("link/precharged", precharge(&input)) {
        visit.brief((found, MOMENT), |(found, reaction)| {
            Precharge::longest_time_out(found, *reaction)
        });
    }
    if let Some(window) = visit.given("link/window", resistor_window(&input)) {
        visit.brief(window, |window: &ResistorWindow| {
            (
                window.smallest(),
                window.largest(),
                window.is_empty(),
                window.preferred(),
            )
        });
    }
    visit.brief(WindowBound::Stuck, |bound| WindowBound::source(*bound));
}

fn rating(visit: &mut impl Visit) {
    visit.call(
        "link/stored_after",
        (RATING, HEAT, STUCK, MOMENT),
        |(rating, heat, power, time)| rating.stored_after(*heat, *power, *time),
    );
    visit.brief((RATING, HEAT, TRIES), |(rating, heat, tries)| {
        (
            ResistorRating::cooling(rating),
            ResistorRating::stored_by_tries(rating, *heat, *tries),
            ResistorRating::most_tries(rating, *heat, tries.pause),
            ResistorRating::lock(rating, *heat, *tries),
        )
    });
    visit.brief((RATING, STUCK), |(rating, power)| {
        ResistorRating::stands(rating, *power)
    });
}

fn discharging(visit: &mut impl Visit) {
    let input = DischargeInput {
        highest: PACK,
        safe: SAFE,
        capacitance: LINK,
        y_positive: accepted(Capacitance::from_farads(0.4e-6)),
        y_negative: accepted(Capacitance::from_farads(0.4e-6)),
        capacitance_tolerance: TOLERANCE,
        bleed: Some(Bleed {
            resistance: BLEED,
            tolerance: TOLERANCE,
            power: Some(accepted(Power::from_watts(10.0))),
        }),
        active: Some(ActiveDischarge {
            resistance: accepted(Resistance::from_ohms(1500.0)),
            tolerance: TOLERANCE,
            rating: RATING,
            cut_off: Some(accepted(Time::from_seconds(6.0))),
        }),
        wanted: Some(accepted(Time::from_seconds(5.0))),
        label: Some(accepted(Time::from_seconds(120.0))),
    };
    visit.brief(Domain::Road, |domain| touchable(*domain));
    visit.call("link/discharge", input, |input| discharge(input));
    visit.brief((input, MOMENT), |(input, wanted)| {
        bleed_window(input, TOLERANCE, Some(STUCK), *wanted)
    });
    visit.call("link/discharge_time", (BLEED, LINK), |(bleed, link)| {
        discharge_time(*bleed, *link, PACK, SAFE)
    });
    visit.call("link/discharged_after", (BLEED, LINK), |(bleed, link)| {
        discharged_after(*bleed, *link, PACK, MOMENT)
    });
    visit.brief(MOMENT, |time| label_time(*time));
}

fn strings(visit: &mut impl Visit) {
    let joining = Joining {
        one: STRING,
        other: STRING,
        path: accepted(Resistance::from_ohms(0.001)),
        make: Some(AMPERES),
        fuse: Some(AMPERES),
        ceiling: Some(accepted(Voltage::from_volts(JOIN_CEILING_V))),
        window: Some(accepted(Voltage::from_volts(1.0))),
        voltage_error: Some(accepted(Voltage::from_volts(0.2))),
        charge_over: Some((accepted(Charge::from_ampere_hours(120.0)), SAFE)),
    };
    visit.call("link/join", joining, |joining| join(joining));
    let all = [STRING; 3];
    visit.call("link/string_current", all, |all| {
        string_current(all, &[2], 1, AMPERES)
    });
    visit.brief(all, |all| {
        (
            judge_string_current(all, &[], 0, AMPERES),
            most_together(all, &[1]),
            string_spread(all, &[]),
        )
    });
    let fault = FaultedString {
        which: 1,
        voltage: SAFE,
        resistance: accepted(Resistance::from_ohms(0.02)),
    };
    visit.brief((all, fault), |(all, fault)| {
        (
            back_feed(all, fault),
            judge_back_feed(all, fault, Some(AMPERES)),
        )
    });
}
