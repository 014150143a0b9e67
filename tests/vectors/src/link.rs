//! Precharge, discharge, strings in parallel.

use orangeloom_core::design::Draw;
use orangeloom_core::error::Error;
use orangeloom_core::link::{
    ChargingCircuit, Reached, ResistorRating, StandingLoad, Stands, StringData, discharge_time,
    string_current,
};
use orangeloom_core::quantity::{Capacitance, Current, Energy, Power, Resistance, Time, Voltage};

use crate::lines::{Lines, NONE, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.some("link/charging", |s| word(charged(s)));
    lines.many("link/rating", |s| word(rated(s)));
    lines.many("link/discharge_time", |s| outcome(discharged(s)));
    lines.many("link/string_current", |s| outcome(shared(s)));
}

fn load(s: &mut Sample, kind: u8) -> Result<StandingLoad, Error> {
    let size = s.between(0.0, 1.0);
    Ok(StandingLoad {
        draw: match kind {
            0 => Draw::Power(Power::from_watts(300.0 * size)?),
            1 => Draw::Current(Current::from_amperes(size)?),
            _ => Draw::Resistance(Resistance::from_ohms(500.0 + 9000.0 * size)?),
        },
        from: Voltage::from_volts(s.between(1.0, 400.0))?,
    })
}

fn charged(s: &mut Sample) -> Result<u32, Error> {
    let (first, second) = (s.up_to(2), s.up_to(2));
    let loads = [load(s, first)?, load(s, second)?];
    let circuit = ChargingCircuit {
        source: Voltage::from_volts(s.between(100.0, 900.0))?,
        resistance: Resistance::from_ohms(s.between(5.0, 200.0))?,
        capacitance: Capacitance::from_farads(s.between(1.0e-4, 1.0e-2))?,
        start: Voltage::from_volts(s.between(0.0, 200.0))?,
        loads: &loads,
    };
    let state = circuit.after(Time::from_seconds(s.between(0.0, 1.0))?)?;
    let settled = circuit.settles()?.voltage.as_volts();
    let reached = match circuit.reaches(Voltage::from_volts(s.between(50.0, 500.0))?)? {
        Reached::After { time, energy } => {
            bits(time.as_seconds()) ^ bits(energy.as_joules()).rotate_left(4)
        }
        Reached::Never(_) => NONE,
    };
    Ok(bits(state.voltage.as_volts())
        ^ bits(state.energy.as_joules()).rotate_left(8)
        ^ bits(settled).rotate_left(16)
        ^ reached.rotate_left(24))
}

fn rated(s: &mut Sample) -> Result<u32, Error> {
    let rating = ResistorRating {
        pulse: Some(Energy::from_joules(s.between(10.0, 2000.0))?),
        peak_power: None,
        power: Some(Power::from_watts(s.between(1.0, 100.0))?),
        cooling: None,
    };
    let power = Power::from_watts(s.between(0.0, 5000.0))?;
    let stored = rating.stored_after(
        Energy::from_joules(s.between(0.0, 500.0))?,
        power,
        Time::from_seconds(s.between(0.0, 10.0))?,
    )?;
    let stands = match rating.stands(power)? {
        Stands::For(time) => bits(time.as_seconds()),
        Stands::Always | Stands::NotKnown => NONE,
    };
    Ok(bits(stored.as_joules()) ^ stands.rotate_left(16))
}

fn discharged(s: &mut Sample) -> Result<Time, Error> {
    discharge_time(
        Resistance::from_ohms(s.between(100.0, 1.0e5))?,
        Capacitance::from_farads(s.between(1.0e-4, 1.0e-2))?,
        Voltage::from_volts(s.between(60.0, 1000.0))?,
        Voltage::from_volts(60.0)?,
    )
}

fn shared(s: &mut Sample) -> Result<Current, Error> {
    let mut string = || -> Result<StringData, Error> {
        Ok(StringData {
            voltage: Voltage::from_volts(s.between(390.0, 400.0))?,
            resistance: Resistance::from_ohms(s.between(0.01, 0.2))?,
            charge: None,
            discharge: None,
        })
    };
    let strings = [string()?, string()?, string()?];
    string_current(
        &strings,
        &[],
        1,
        Current::from_amperes(s.between(-500.0, 500.0))?,
    )
}
