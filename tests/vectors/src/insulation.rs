//! Distances, isolation and touch, and the shield around a cable.

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{
    CreepageOutcome, Impulse, InsertedResistor, IsolationCase, IsolationMeasured, Pole,
    PoleVoltages, Profile, Spacing, SpacingInput, StrapMetal, TemporaryOvervoltage,
    isolation_budget, isolation_by_resistor, judge_isolation, judge_reading, spacing,
    strap_section, strap_withstand, touch_current, touch_energy,
};
use orangeloom_core::quantity::{
    Altitude, Capacitance, ConductorArea, Current, CurrentSquaredTime, Length, Resistance, Share,
    Temperature, Voltage,
};
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree,
};
use orangeloom_core::standard::iec60664_creepage::Surface;

use crate::lines::{Lines, NONE, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("insulation/spacing", |s| word(distances(s)));
    lines.few("insulation/creepage_path", |s| word(path(s)));
    lines.many("insulation/isolation_by_resistor", |s| word(reading(s)));
    lines.many("insulation/judge_isolation", |s| word(judged(s)));
    lines.many("insulation/isolation_budget", |s| word(budget(s)));
    lines.many("insulation/touch_current", |s| outcome(current(s)));
    lines.many("insulation/touch_energy", |s| word(energy(s)));
    lines.many("insulation/strap", |s| word(strap(s)));
}

fn case(s: &mut Sample) -> IsolationCase {
    s.one_of(IsolationCase::ALL)
}

fn working(s: &mut Sample) -> Result<Voltage, Error> {
    Voltage::from_volts(s.between(12.0, 1000.0))
}

/// A resistance from 100 ohm to 100 Mohm, each decade as likely as another.
fn ohms(s: &mut Sample) -> Result<Resistance, Error> {
    let decade = s.one_of([100.0, 1.0e3, 1.0e4, 1.0e5, 1.0e6, 1.0e7]);
    Resistance::from_ohms(decade * s.between(1.0, 10.0))
}

fn distances(s: &mut Sample) -> Result<u32, Error> {
    let mains = Voltage::from_volts(s.one_of([120.0, 230.0, 400.0, 690.0]))?;
    let category = s.one_of(OvervoltageCategory::ALL);
    let entered = Voltage::from_volts(s.between(330.0, 12000.0))?;
    let impulse = [
        Impulse::Rated {
            system: mains,
            category,
        },
        Impulse::Entered(entered),
    ];
    let temporary = [
        TemporaryOvervoltage::NotFromMains,
        TemporaryOvervoltage::Mains { nominal: mains },
    ];
    let found = spacing(&SpacingInput {
        working: working(s)?,
        alternating: s.one_of([false, true]),
        recurring_peak: None,
        impulse: s.one_of(impulse),
        temporary: s.one_of(temporary),
        pollution: s.one_of(PollutionDegree::ALL),
        group: s.one_of(MaterialGroup::ALL),
        surface: s.one_of([Surface::Plain, Surface::Ribbed, Surface::PrintedWiring]),
        altitude: Altitude::from_metres(s.between(0.0, 5000.0))?,
        insulation: s.one_of(Insulation::ALL),
        built_clearance: Some(Length::from_mm(s.between(0.1, 20.0))?),
        built_creepage: Some(Length::from_mm(s.between(0.1, 40.0))?),
    })?;
    let over_surface = match &found.creepage {
        CreepageOutcome::Distance(creepage) => bits(creepage.distance.as_mm()),
        CreepageOutcome::NoDistanceHelps => NONE,
    };
    Ok(bits(found.clearance.distance.as_mm())
        ^ over_surface.rotate_left(8)
        ^ (Spacing::verdict(&found) as u32).rotate_left(16))
}

/// Surfaces of twelve points with grooves, ribs and sheets.
fn path(s: &mut Sample) -> Result<u32, Error> {
    let mut x = 0.0;
    let mut points = [(0.0, 0.0); 12];
    for point in &mut points {
        let step = s.between(0.1, 2.0);
        x += s.one_of([0.0, step]);
        *point = (x, s.between(-3.0, 3.0));
    }
    let cut = Profile::from_mm(&points)?;
    let groove_width = Length::from_mm(s.between(0.25, 2.5))?;
    Ok(bits(cut.creepage_path(groove_width)?.as_mm())
        ^ bits(cut.air_path()?.as_mm()).rotate_left(8)
        ^ bits(cut.surface_path()?.as_mm()).rotate_left(16))
}

/// What a voltmeter would read on a system with two resistances to chassis, with
/// half a percent of error.
fn reading(s: &mut Sample) -> Result<u32, Error> {
    let pack = s.between(60.0, 1000.0);
    let (positive, negative) = (ohms(s)?.as_ohms(), ohms(s)?.as_ohms());
    let (case, inserted_at) = (case(s), s.one_of([Pole::Positive, Pole::Negative]));
    let resistor = pack * s.between(100.0, 500.0);
    let (here, there) = match inserted_at {
        Pole::Positive => (positive, negative),
        Pole::Negative => (negative, positive),
    };
    let with = here * resistor / (here + resistor);
    let both = positive + negative;
    let mut read = |volts: f32| Voltage::from_volts(volts * s.between(0.995, 1.005));
    let reading = InsertedResistor {
        pack: Some(Voltage::from_volts(pack)?),
        negative_to_chassis: read(pack * (negative / both))?,
        positive_to_chassis: read(pack * (positive / both))?,
        resistor: Resistance::from_ohms(resistor)?,
        inserted_at,
        with_resistor: read(pack * (with / (with + there)))?,
        meter: Some(Resistance::from_ohms(1.0e7)?),
        accuracy: Share::from_fraction(0.01)?,
    };
    match isolation_by_resistor(&reading)? {
        IsolationMeasured::BeyondRange => Ok(NONE),
        IsolationMeasured::Reading(read) => {
            let judged = judge_reading(case, Voltage::from_volts(pack)?, &read)?;
            Ok(bits(read.smaller_side.as_ohms())
                ^ bits(read.at_least.as_ohms()).rotate_left(8)
                ^ bits(read.parallel.as_ohms()).rotate_left(16)
                ^ (judged.verdict as u32).rotate_left(24))
        }
    }
}

fn judged(s: &mut Sample) -> Result<u32, Error> {
    let [limit, new_build] = judge_isolation(case(s), working(s)?, ohms(s)?)?;
    let margin = limit.margin().map_or(NONE, bits);
    Ok(margin ^ new_build.margin().map_or(NONE, bits).rotate_left(8))
}

fn budget(s: &mut Sample) -> Result<u32, Error> {
    let parts = [ohms(s)?, ohms(s)?, ohms(s)?, ohms(s)?, ohms(s)?];
    let budget = isolation_budget(&parts)?;
    Ok(budget.map_or(NONE, |budget| bits(budget.parallel.as_ohms())))
}

fn current(s: &mut Sample) -> Result<Current, Error> {
    let body = Resistance::from_ohms(s.between(300.0, 3000.0))?;
    touch_current(working(s)?, ohms(s)?, ohms(s)?, body)
}

fn energy(s: &mut Sample) -> Result<u32, Error> {
    let mut farads = || Capacitance::from_farads(s.between(0.0, 2.0e-6));
    let (positive, negative) = (farads()?, farads()?);
    let shares = PoleVoltages::ByIsolation {
        positive: ohms(s)?,
        negative: ohms(s)?,
    };
    let found = touch_energy(working(s)?, positive, negative, shares)?;
    Ok(bits(found.energy.as_joules()) ^ bits(found.worst_case.as_joules()).rotate_left(8))
}

fn strap(s: &mut Sample) -> Result<u32, Error> {
    let metal = s.one_of(StrapMetal::ALL);
    let fault = CurrentSquaredTime::from_a2s(s.between(1.0e3, 1.0e7))?;
    let section = ConductorArea::from_mm2(s.between(1.0, 100.0))?;
    let start = Temperature::from_degc(s.between(-20.0, 80.0))?;
    let limit = Temperature::from_degc(s.between(100.0, 300.0))?;
    let least = strap_section(metal, fault, start, limit)?;
    let may = strap_withstand(metal, section, start, limit)?;
    Ok(bits(least.as_mm2()) ^ bits(may.as_a2s()).rotate_left(8))
}
