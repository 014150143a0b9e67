use proptest::prelude::*;

use super::{POINTS, a2s, amperes, curve, fuse_350, seconds, share};
use crate::error::{Error, Inconsistency};
use crate::protection::{CURVE_TOLERANCE, CurveSide, MeltingCurve, MeltingTime};

fn latest(points: &[[f32; 2]]) -> MeltingCurve {
    MeltingCurve::new(&curve(points), CurveSide::Latest, share(0.0))
        .unwrap()
        .unwrap()
}

fn after(curve: &MeltingCurve, current: f32) -> f32 {
    curve
        .time_at(amperes(current))
        .known()
        .unwrap()
        .as_seconds()
}

#[test]
fn log_log_interpolation_gives_times_computed_independently() {
    // Double precision, log-log over POINTS; beyond the first point its I2t.
    // Tolerance: logarithm and exponential of f32 amplify 6e-8 by the exponent.
    let curve = latest(&POINTS);
    for (current, time) in [
        (1200.0, 4.710_831),
        (600.0, 1000.0),
        (15_000.0, 0.0012),
        (30_000.0, 0.0003),
    ] {
        let found = after(&curve, current);
        assert!((found / time - 1.0).abs() < 1e-5, "{current}: {found}");
    }
    assert_eq!(
        curve.time_at(amperes(599.0)),
        MeltingTime::LaterThan(seconds(1000.0))
    );
    assert_eq!(
        curve.time_at(amperes(-1200.0)),
        curve.time_at(amperes(1200.0))
    );
    assert!((curve.least_current().unwrap().as_amperes() - 600.0).abs() < 1e-3);
}

#[test]
fn the_tolerance_shifts_currents_and_not_times() {
    let fuse = curve(&POINTS);
    let read = |side| {
        MeltingCurve::new(&fuse, side, CURVE_TOLERANCE)
            .unwrap()
            .unwrap()
    };
    let (early, late) = (read(CurveSide::Earliest), read(CurveSide::Latest));
    assert_eq!(early.side(), CurveSide::Earliest);
    for [current, time] in POINTS {
        assert!((after(&late, 1.1 * current) / time - 1.0).abs() < 1e-4);
        assert!((after(&early, 0.9 * current) / time - 1.0).abs() < 1e-4);
    }
    // Above 660 A the latest one melts, above 540 A the earliest.
    assert_eq!(late.time_at(amperes(655.0)).known(), None);
    assert!(early.time_at(amperes(545.0)).known().is_some());
}

#[test]
fn melting_i2t_carries_a_curve_with_one_point_on() {
    // The point: 10 s at 1050 A, which is 1.1e7 A2s; melting I2t 1.1e5 A2s.
    let mut fuse = curve(&[[1050.0, 10.0]]);
    fuse.melting = Some(a2s(1.1e5));
    let read = |side| MeltingCurve::new(&fuse, side, share(0.0)).unwrap().unwrap();
    let (early, late) = (read(CurveSide::Earliest), read(CurveSide::Latest));
    // 1.1e5 / 7600^2 = 1.904 ms on both sides, by hand.
    for curve in [&early, &late] {
        assert!((after(curve, 7600.0) - 1.904e-3).abs() < 1e-6);
        assert!((after(curve, 1050.0) - 10.0).abs() < 1e-3);
    }
    // At 2 kA the earliest takes the I2t at once, 27.5 ms; the latest the straight line
    // to 0.01 s at 3316.6 A: 10 (2000 / 1050)^-6.0062 = 0.2087 s, by hand.
    assert!((after(&early, 2000.0) - 0.0275).abs() < 1e-6);
    assert!((after(&late, 2000.0) - 0.2087).abs() < 1e-3);
}

#[test]
fn melting_i2t_alone_makes_a_curve_from_a_hundredth_of_a_second() {
    let mut fuse = curve(&[]);
    assert_eq!(
        MeltingCurve::new(&fuse, CurveSide::Latest, share(0.0)),
        Ok(None)
    );
    fuse.melting = Some(a2s(1.0e4));
    for side in [CurveSide::Earliest, CurveSide::Latest] {
        let curve = MeltingCurve::new(&fuse, side, share(0.0)).unwrap().unwrap();
        assert!((after(&curve, 2000.0) - 2.5e-3).abs() < 1e-7);
        assert_eq!(
            curve.time_at(amperes(999.0)),
            MeltingTime::LaterThan(seconds(0.01))
        );
    }
}

#[test]
fn what_the_datasheet_does_not_say_is_not_known() {
    let fuse = curve(&[[2500.0, 0.15], [1000.0, 12.0]]);
    let early = MeltingCurve::new(&fuse, CurveSide::Earliest, share(0.0))
        .unwrap()
        .unwrap();
    assert_eq!(early.time_at(amperes(2501.0)), MeltingTime::NotKnown);
    let late = MeltingCurve::new(&fuse, CurveSide::Latest, share(0.0))
        .unwrap()
        .unwrap();
    assert!((after(&late, 5000.0) - 0.15 / 4.0).abs() < 1e-6);
}

#[test]
fn a_curve_that_runs_back_is_refused() {
    let refused = Err(Error::Inconsistent(Inconsistency::MeltingCurve));
    for points in [
        &[[1000.0, 1.0], [1000.0, 2.0]][..],
        &[[1000.0, 2.0], [900.0, 2.0]],
        &[[0.0, 1.0]],
        &[[1000.0, 0.0]],
        &[[-1000.0, 1.0]],
    ] {
        let read = MeltingCurve::new(&curve(points), CurveSide::Latest, share(0.0));
        assert_eq!(read, refused, "{points:?}");
    }
    let mut fuse = fuse_350();
    fuse.melting = Some(a2s(0.0));
    assert_eq!(
        MeltingCurve::new(&fuse, CurveSide::Latest, share(0.0)),
        refused
    );
    assert!(MeltingCurve::new(&fuse_350(), CurveSide::Earliest, share(0.6)).is_err());
}

prop_compose! {
    /// Any curve that is allowed, with or without a melting I2t.
    pub(super) fn any_fuse()(
        first in (-4.0_f32..0.5, 1.5_f32..4.5),
        steps in proptest::collection::vec((0.05_f32..1.0, 0.01_f32..0.5), 0..9),
        melting in proptest::option::of(0.0_f32..9.0),
    ) -> crate::design::FuseType {
        let (mut time, mut current) = first;
        let mut points = std::vec![[libm::exp10f(current), libm::exp10f(time)]];
        for (later, less) in steps {
            time += later;
            current -= less;
            points.push([libm::exp10f(current), libm::exp10f(time)]);
        }
        let mut fuse = curve(&points);
        fuse.melting = melting.map(|log| a2s(libm::exp10f(log)));
        fuse
    }
}

proptest! {
    #[test]
    fn more_current_never_lengthens_melting(
        fuse in any_fuse(), less in 0.1_f32..5.5, more in 0.0_f32..1.0, tolerance in 0.0_f32..0.5,
    ) {
        let (less, more) = (libm::exp10f(less), libm::exp10f(less + more));
        for side in [CurveSide::Earliest, CurveSide::Latest] {
            let curve = MeltingCurve::new(&fuse, side, share(tolerance)).unwrap().unwrap();
            match (curve.time_at(amperes(less)), curve.time_at(amperes(more.min(1.0e6)))) {
                (MeltingTime::After(slow) | MeltingTime::LaterThan(slow), MeltingTime::After(fast)) => {
                    // The exponential of f32 may round by a part in 1e6.
                    prop_assert!(fast.as_seconds() <= slow.as_seconds() * 1.000_002);
                }
                (MeltingTime::After(_), MeltingTime::LaterThan(_)) => prop_assert!(false),
                _ => {}
            }
        }
    }

    #[test]
    fn the_earliest_never_comes_after_the_latest(
        fuse in any_fuse(), current in 0.1_f32..5.9, tolerance in 0.0_f32..0.5,
    ) {
        let current = amperes(libm::exp10f(current));
        let read = |side| MeltingCurve::new(&fuse, side, share(tolerance)).unwrap().unwrap();
        let early = read(CurveSide::Earliest).time_at(current);
        let late = read(CurveSide::Latest).time_at(current);
        if let (Some(early), Some(late)) = (early.known(), late.known()) {
            prop_assert!(early.as_seconds() <= late.as_seconds() * 1.000_002);
        }
        // Where the latest is known to melt, the earliest is not said to be still below.
        prop_assert!(late.known().is_none() || !matches!(early, MeltingTime::LaterThan(_)));
    }
}
