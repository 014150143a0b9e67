//! Fuses and contactors of a 400 V circuit.

use orangeloom_core::design::{CurvePoint, FuseType, Index, TextId, Utilisation};
use orangeloom_core::protection::*;
use orangeloom_core::quantity::{Current, CurrentSquaredTime, Time, Voltage};

use super::{Visit, accepted};

const VOLTAGE: Voltage = accepted(Voltage::from_volts(400.0));
const RATED_VOLTAGE: Voltage = accepted(Voltage::from_volts(500.0));
const RATED: Current = accepted(Current::from_amperes(350.0));
const FAULT: Current = accepted(Current::from_amperes(4000.0));
const CAPACITY: Current = accepted(Current::from_amperes(50_000.0));
const TICK: Time = accepted(Time::from_seconds(0.001));
const MELTING: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(2.6e5));
const TOTAL: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(7.0e5));

/// Calls of `protection`.
pub fn all(visit: &mut impl Visit) {
    if let Some(fuse) = fuse() {
        melting(visit, &fuse);
    }
}

/// An invented fuse of 350 A.
fn fuse() -> Option<FuseType> {
    const POINT: CurvePoint = CurvePoint {
        time: accepted(Time::from_seconds(10.0)),
        current: accepted(Current::from_amperes(1050.0)),
    };
    let mut fuse = FuseType::new(TextId::at(0)?);
    fuse.utilisation = Some(Utilisation::Gr);
    fuse.rated = Some(RATED);
    fuse.voltage = Some(RATED_VOLTAGE);
    fuse.breaking = Some(CAPACITY);
    fuse.melting = Some(MELTING);
    fuse.total = Some(TOTAL);
    fuse.total_at = Some(RATED_VOLTAGE);
    fuse.curve.push(POINT).ok()?;
    Some(fuse)
}

fn melting(visit: &mut impl Visit, fuse: &FuseType) {
    visit.call(
        "protection/melting_curve",
        (fuse.clone(), CurveSide::Latest),
        |(fuse, side)| MeltingCurve::new(fuse, *side, CURVE_TOLERANCE).is_ok(),
    );
    let curve = MeltingCurve::new(fuse, CurveSide::Earliest, CURVE_TOLERANCE);
    if let Some(Some(curve)) = visit.given("protection/curve", curve) {
        visit.call(
            "protection/time_at",
            (curve.clone(), FAULT),
            |(curve, current)| MeltingCurve::time_at(curve, *current).known(),
        );
        visit.brief(curve.clone(), |curve| (curve.side(), curve.least_current()));
        visit.brief(MeltingTime::NotKnown, |time| MeltingTime::known(*time));
        visit.call(
            "protection/advance",
            (Melting::new(), curve.clone(), FAULT, TICK),
            |(state, curve, current, tick)| state.advance(curve, *current, *tick),
        );
        visit.brief((Melting::new(), curve, FAULT), |(state, curve, current)| {
            let left = Melting::time_left(*state, curve, *current);
            (Melting::fraction(*state), Melting::has_melted(*state), left)
        });
    }
    let curve = ClearingCurve::new(fuse, VOLTAGE, CURVE_TOLERANCE);
    if let Some(curve) = visit.given("protection/clearing_curve", curve) {
        visit.call("protection/clearing", (curve, FAULT), |(curve, current)| {
            let arc = (curve.arcing(), curve.arcing_time(*current));
            let known = ClearingCurve::melting(curve).is_some();
            (curve.at(*current), arc, curve.breaks(*current), known)
        });
    }
}
