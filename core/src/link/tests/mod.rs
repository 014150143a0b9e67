//! Precharge, discharge, strings.

mod charging;
mod discharge;
mod precharge;
mod rating;
mod strings;
mod window;

use std::vec::Vec;

use crate::design::Draw;
use crate::link::*;
use crate::quantity::*;

fn volts(volts: f32) -> Voltage {
    Voltage::from_volts(volts).unwrap()
}

fn amperes(amperes: f32) -> Current {
    Current::from_amperes(amperes).unwrap()
}

fn ohms(ohms: f32) -> Resistance {
    Resistance::from_ohms(ohms).unwrap()
}

fn farads(farads: f32) -> Capacitance {
    Capacitance::from_farads(farads).unwrap()
}

fn seconds(seconds: f32) -> Time {
    Time::from_seconds(seconds).unwrap()
}

fn joules(joules: f32) -> Energy {
    Energy::from_joules(joules).unwrap()
}

fn watts(watts: f32) -> Power {
    Power::from_watts(watts).unwrap()
}

fn share(fraction: f32) -> Share {
    Share::from_fraction(fraction).unwrap()
}

fn power(draw: f32, from: f32) -> StandingLoad {
    StandingLoad {
        draw: Draw::Power(watts(draw)),
        from: volts(from),
    }
}

fn current(draw: f32, from: f32) -> StandingLoad {
    StandingLoad {
        draw: Draw::Current(amperes(draw)),
        from: volts(from),
    }
}

fn resistance(draw: f32, from: f32) -> StandingLoad {
    StandingLoad {
        draw: Draw::Resistance(ohms(draw)),
        from: volts(from),
    }
}

/// 400 V, 47 ohm, 1 mF: a time constant of 47 ms.
fn circuit(loads: &[StandingLoad]) -> ChargingCircuit<'_> {
    ChargingCircuit {
        source: volts(400.0),
        resistance: ohms(47.0),
        capacitance: farads(1.0e-3),
        start: volts(0.0),
        loads,
    }
}

/// The truck of the fixtures: 403 V, 1.152 mF, 47 ohm, 95 %.
fn truck(loads: &[StandingLoad]) -> PrechargeInput<'_> {
    PrechargeInput {
        highest: volts(403.2),
        lowest: volts(288.0),
        capacitance: farads(1.152e-3),
        capacitance_tolerance: share(0.0),
        resistance: ohms(47.0),
        resistance_tolerance: share(0.0),
        start: volts(0.0),
        loads,
        threshold: Threshold::Share(share(0.95)),
        time_out: Some(seconds(0.5)),
        reaction: seconds(0.05),
        loop_resistance: Some(ohms(0.06)),
        make: Some(amperes(400.0)),
        peak_current: Some(amperes(20.0)),
        rating: ResistorRating {
            pulse: Some(joules(400.0)),
            peak_power: Some(watts(5000.0)),
            power: Some(watts(25.0)),
            cooling: None,
        },
        cut_out: false,
        tries: Tries {
            count: 3,
            pause: seconds(0.0),
        },
    }
}

fn verdicts(found: &Precharge) -> Vec<(PrechargeCheck, crate::verdict::Verdict)> {
    found
        .checks
        .iter()
        .map(|one| (one.name, one.verdict))
        .collect()
}
