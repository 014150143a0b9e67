//! Short circuits: rise, discharge, a battery and a capacitor into one fault.

use orangeloom_core::error::Error;
use orangeloom_core::fault::{
    Course, Discharge, Rise, Transient, TransientBranch, pair_inductance,
};
use orangeloom_core::quantity::{
    Capacitance, ConductorArea, Current, CurrentSquaredTime, Inductance, Length, Resistance, Time,
    Voltage,
};

use crate::lines::{Lines, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("fault/rise", |s| word(rise(s)));
    lines.many("fault/discharge", |s| word(discharge(s)));
    lines.many("fault/inductance", |s| outcome(inductance(s)));
    lines.few("fault/transient", |s| word(transient(s)));
}

fn rise(s: &mut Sample) -> Result<u32, Error> {
    let rise = Rise {
        steady: Current::from_amperes(s.between(10.0, 50_000.0))?,
        time_constant: Time::from_seconds(s.between(0.0, 0.002))?,
    };
    let after = Time::from_seconds(s.between(0.0, 0.01))?;
    let target = CurrentSquaredTime::from_a2s(s.between(1.0, 1.0e6))?;
    let reached = rise.reaches(target)?.as_seconds();
    let i2t = rise.i2t(after)?.as_a2s();
    Ok(bits(rise.at(after)?.as_amperes()) ^ bits(i2t) ^ bits(reached))
}

fn link(s: &mut Sample) -> Result<Discharge, Error> {
    Ok(Discharge {
        capacitance: Capacitance::from_farads(s.between(1.0e-5, 1.0e-2))?,
        voltage: Voltage::from_volts(s.between(60.0, 900.0))?,
        resistance: Resistance::from_ohms(s.between(1.0e-3, 0.2))?,
        inductance: Inductance::from_henries(s.between(2.0e-8, 5.0e-6))?,
    })
}

fn discharge(s: &mut Sample) -> Result<u32, Error> {
    let link = link(s)?;
    let (peak, at) = link.peak()?;
    let after = Time::from_seconds(s.between(0.0, 0.001))?;
    let current = link.at(after)?.as_amperes();
    Ok(bits(peak.as_amperes()) ^ bits(at.as_seconds()) ^ bits(current))
}

fn inductance(s: &mut Sample) -> Result<Inductance, Error> {
    pair_inductance(
        ConductorArea::from_mm2(s.between(1.0, 240.0))?,
        Length::from_mm(s.between(0.0, 600.0))?,
        Length::from_metres(s.between(0.1, 20.0))?,
    )
}

fn transient(s: &mut Sample) -> Result<u32, Error> {
    let link = link(s)?;
    let mut network = Transient::new();
    let mut branch = |[from, to]: [u8; 2], emf, capacitor| -> Result<_, Error> {
        network.add(&TransientBranch {
            from,
            to,
            emf,
            resistance: Resistance::from_ohms(s.between(1.0e-3, 0.1))?,
            inductance: Inductance::from_henries(s.between(1.0e-7, 3.0e-5))?,
            capacitor,
        })
    };
    branch([0, 1], link.voltage, None)?;
    branch([0, 1], link.voltage, Some(link.capacitance))?;
    let fault = branch([1, 0], Voltage::from_volts(0.0)?, None)?;
    let until = Time::from_seconds(s.between(1.0e-4, 0.01))?;
    let mut courses = [Course::NONE];
    network.run(&[fault], until, &mut courses)?;
    let [course] = courses;
    Ok(bits(course.peak.as_amperes())
        ^ bits(course.i2t.as_a2s())
        ^ bits(course.at_end.as_amperes())
        ^ bits(course.peak_at.as_seconds()))
}
