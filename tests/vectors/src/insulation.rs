//! Spacing, isolation, touch and bonding.

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{
    ClearanceInput, Impulse, InsertedResistor, IsolationMeasured, Pole, PoleVoltages, Profile,
    StrapMetal, TemporaryOvervoltage, clearance, isolation_by_resistor, strap_section,
    touch_current, touch_energy,
};
use orangeloom_core::quantity::{
    Altitude, Capacitance, ConductorArea, Current, CurrentSquaredTime, Length, Resistance, Share,
    Temperature, Voltage,
};
use orangeloom_core::standard::iec60664::{Insulation, OvervoltageCategory, PollutionDegree};

use crate::lines::{Lines, NONE, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("insulation/clearance", |s| outcome(distance(s)));
    lines.some("insulation/creepage_path", |s| outcome(path(s)));
    lines.many("insulation/by_resistor", |s| word(by_resistor(s)));
    lines.many("insulation/touch_current", |s| outcome(through_a_body(s)));
    lines.many("insulation/touch_energy", |s| outcome(energy(s)));
    lines.many("insulation/strap_section", |s| outcome(strap(s)));
}

fn distance(s: &mut Sample) -> Result<Length, Error> {
    let volts = Voltage::from_volts(s.between(60.0, 1000.0))?;
    let known = Voltage::from_volts(s.between(500.0, 8000.0))?;
    let input = ClearanceInput {
        working_peak: volts,
        impulse: s.one_of([
            Impulse::Rated {
                system: volts,
                category: OvervoltageCategory::Two,
            },
            Impulse::Entered(known),
        ]),
        temporary: s.one_of([
            TemporaryOvervoltage::NotFromMains,
            TemporaryOvervoltage::Mains { nominal: volts },
        ]),
        pollution: s.one_of(PollutionDegree::ALL),
        altitude: Altitude::from_metres(s.between(0.0, 6000.0))?,
        insulation: s.one_of(Insulation::ALL),
    };
    Ok(clearance(&input)?.distance)
}

/// Over a surface with two slots of random width and depth.
fn path(s: &mut Sample) -> Result<Length, Error> {
    let mut x = 0.0;
    let mut points = [(0.0, 0.0); 10];
    for (index, point) in points.iter_mut().enumerate() {
        // Down, along the bottom, up, along the top.
        let depth = match index % 4 {
            2 | 3 => s.between(-6.0, -0.5),
            _ => 0.0,
        };
        *point = (x, depth);
        x += s.between(0.1, 4.0);
    }
    Profile::from_mm(&points)?.creepage_path(Length::from_mm(s.between(0.25, 2.5))?)
}

fn by_resistor(s: &mut Sample) -> Result<u32, Error> {
    let (negative, positive) = (s.between(0.0, 400.0), s.between(0.0, 400.0));
    let reading = InsertedResistor {
        pack: s
            .one_of([false, true])
            .then(|| Voltage::from_volts(negative + positive))
            .transpose()?,
        negative_to_chassis: Voltage::from_volts(negative)?,
        positive_to_chassis: Voltage::from_volts(positive)?,
        resistor: Resistance::from_ohms(s.between(50.0e3, 500.0e3))?,
        inserted_at: s.one_of([Pole::Positive, Pole::Negative]),
        with_resistor: Voltage::from_volts(negative.max(positive) * s.between(0.05, 1.0))?,
        meter: Some(Resistance::from_ohms(s.between(1.0e6, 20.0e6))?),
        accuracy: Share::from_percent(s.between(0.0, 2.0))?,
    };
    Ok(match isolation_by_resistor(&reading)? {
        IsolationMeasured::Reading(found) => {
            bits(found.smaller_side.as_ohms()) ^ bits(found.at_least.as_ohms()).rotate_left(9)
        }
        IsolationMeasured::BeyondRange => NONE,
    })
}

fn through_a_body(s: &mut Sample) -> Result<Current, Error> {
    touch_current(
        Voltage::from_volts(s.between(60.0, 1000.0))?,
        Resistance::from_ohms(s.between(1.0e3, 5.0e6))?,
        Resistance::from_ohms(s.between(1.0e3, 5.0e6))?,
        Resistance::from_ohms(s.between(300.0, 3000.0))?,
    )
}

fn energy(s: &mut Sample) -> Result<f32, Error> {
    let working = Voltage::from_volts(s.between(60.0, 1000.0))?;
    let positive = Capacitance::from_farads(s.between(0.0, 2.0e-6))?;
    let negative = Capacitance::from_farads(s.between(0.0, 2.0e-6))?;
    let shares = PoleVoltages::ByIsolation {
        positive: Resistance::from_ohms(s.between(1.0e3, 5.0e6))?,
        negative: Resistance::from_ohms(s.between(1.0e3, 5.0e6))?,
    };
    Ok(touch_energy(working, positive, negative, shares)?
        .energy
        .as_joules())
}

fn strap(s: &mut Sample) -> Result<ConductorArea, Error> {
    strap_section(
        s.one_of(StrapMetal::ALL),
        CurrentSquaredTime::from_a2s(s.between(1.0e3, 1.0e8))?,
        Temperature::from_degc(s.between(-20.0, 80.0))?,
        Temperature::from_degc(s.between(100.0, 200.0))?,
    )
}
