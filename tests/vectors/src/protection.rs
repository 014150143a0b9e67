//! Fuses and contactors: melting, clearing, coil.

use orangeloom_core::design::{CurvePoint, FuseType, Index, TextId, Utilisation};
use orangeloom_core::error::{Error, Inconsistency};
use orangeloom_core::protection::{
    Clearing, ClearingCurve, CurveSide, Melting, MeltingCurrent, MeltingCurve, MeltingTime,
    coil_state,
};
use orangeloom_core::quantity::{
    Current, CurrentSquaredTime, Resistance, Share, Temperature, Time, Voltage,
};

use crate::lines::{Lines, NONE, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("protection/melting_time", |s| word(melting_time(s)));
    lines.many("protection/melting_current", |s| word(melting_current(s)));
    lines.some("protection/accumulator", |s| word(accumulator(s)));
    lines.many("protection/clearing", |s| word(clearing(s)));
    lines.many("protection/coil", |s| outcome(coil(s)));
}

/// A fuse with up to four points that run as they have to.
fn fuse(s: &mut Sample) -> Result<FuseType, Error> {
    let name = TextId::at(0).ok_or(Error::Inconsistent(Inconsistency::UnknownReference))?;
    let mut fuse = FuseType::new(name);
    let (mut time, mut current) = (s.between(0.0005, 0.02), s.between(2000.0, 20_000.0));
    for _ in 0..s.up_to(5) {
        let point = CurvePoint {
            time: Time::from_seconds(time)?,
            current: Current::from_amperes(current)?,
        };
        time *= s.between(2.0, 50.0);
        current *= s.between(0.3, 0.9);
        // Up to four of ten that fit.
        if fuse.curve.push(point).is_err() {
            break;
        }
    }
    fuse.utilisation = Some(Utilisation::Gr);
    fuse.rated = Some(Current::from_amperes(s.between(20.0, 500.0))?);
    fuse.voltage = Some(Voltage::from_volts(500.0)?);
    fuse.breaking = Some(Current::from_amperes(50_000.0)?);
    fuse.melting = Some(CurrentSquaredTime::from_a2s(s.between(1.0e3, 1.0e6))?);
    fuse.total = Some(CurrentSquaredTime::from_a2s(s.between(1.0e6, 3.0e6))?);
    fuse.total_at = fuse.voltage;
    Ok(fuse)
}

fn tolerance(s: &mut Sample) -> Result<Share, Error> {
    Share::from_fraction(s.between(0.0, 0.2))
}

fn curve(s: &mut Sample) -> Result<Option<MeltingCurve>, Error> {
    let side = s.one_of([CurveSide::Earliest, CurveSide::Latest]);
    MeltingCurve::new(&fuse(s)?, side, tolerance(s)?)
}

fn current(s: &mut Sample) -> Result<Current, Error> {
    Current::from_amperes(s.between(-30_000.0, 30_000.0))
}

fn melting_time(s: &mut Sample) -> Result<u32, Error> {
    let Some(curve) = curve(s)? else {
        return Ok(NONE);
    };
    Ok(match curve.time_at(current(s)?) {
        MeltingTime::After(time) => bits(time.as_seconds()),
        MeltingTime::LaterThan(time) => !bits(time.as_seconds()),
        MeltingTime::NotKnown => NONE,
    })
}

fn melting_current(s: &mut Sample) -> Result<u32, Error> {
    let Some(curve) = curve(s)? else {
        return Ok(NONE);
    };
    let time = Time::from_seconds(s.between(0.0001, 100.0))?;
    Ok(match curve.current_within(time)? {
        MeltingCurrent::At(current) | MeltingCurrent::AtLeast(current) => {
            bits(current.as_amperes())
        }
        MeltingCurrent::Between { least, .. } => !bits(least.as_amperes()),
    })
}

/// Twenty steps of a random course.
fn accumulator(s: &mut Sample) -> Result<u32, Error> {
    let Some(curve) = curve(s)? else {
        return Ok(NONE);
    };
    let mut state = Melting::new();
    for _ in 0..20_u8 {
        let current = Current::from_amperes(s.between(0.0, 3000.0))?;
        let duration = Time::from_seconds(s.between(0.0, 0.01))?;
        state = state.advance(&curve, current, duration);
    }
    Ok(state
        .fraction()
        .map_or(NONE, |share| bits(share.as_fraction())))
}

fn clearing(s: &mut Sample) -> Result<u32, Error> {
    let fuse = fuse(s)?;
    let voltage = Voltage::from_volts(s.between(60.0, 520.0))?;
    let curve = ClearingCurve::new(&fuse, voltage, tolerance(s)?)?;
    Ok(match curve.at(current(s)?) {
        Clearing::After {
            total, let_through, ..
        } => bits(total.as_seconds()) ^ bits(let_through.as_a2s()),
        Clearing::LaterThan(time) => !bits(time.as_seconds()),
        Clearing::Never(why) => why as u32,
        Clearing::NotKnown(gap) => NONE ^ gap as u32,
    })
}

fn coil(s: &mut Sample) -> Result<Voltage, Error> {
    let state = coil_state(
        Some(Voltage::from_volts(s.between(6.0, 32.0))?),
        Some(Resistance::from_ohms(s.between(0.0, 2.0))?),
        Some(Temperature::from_degc(s.between(-40.0, 150.0))?),
        Some(Resistance::from_ohms(s.between(1.0, 60.0))?),
        None,
        Some(Voltage::from_volts(s.between(4.0, 20.0))?),
    )?;
    match state {
        Some(state) => Voltage::from_volts(state.gets.as_volts() - state.needs.as_volts()),
        None => Voltage::from_volts(0.0),
    }
}
