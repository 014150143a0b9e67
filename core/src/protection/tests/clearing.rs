use proptest::prelude::*;

use super::melting::any_fuse;
use super::{a2s, amperes, fuse_350, seconds, share, volts};
use crate::design::{FuseType, Utilisation};
use crate::protection::{Clearing, ClearingCurve, FuseGap, Unbroken};

fn at(fuse: &FuseType, voltage: f32, current: f32) -> Clearing {
    let curve = ClearingCurve::new(fuse, volts(voltage), share(0.0)).unwrap();
    curve.at(amperes(current))
}

#[test]
fn clearing_is_melting_and_the_arc() {
    let Clearing::After {
        melting,
        total,
        let_through,
    } = at(&fuse_350(), 400.0, 4000.0)
    else {
        panic!("it clears");
    };
    // 4 kA for 30 ms, 4.8e5 A2s, and the arc 7.0e5 - 2.6e5 A2s; its time 3 x 4.4e5 / 4000^2.
    assert!((melting.as_seconds() / 0.03 - 1.0).abs() < 1e-5);
    assert!((let_through.as_a2s() / 9.2e5 - 1.0).abs() < 1e-5);
    assert!((total.as_seconds() - 0.03 - 0.0825).abs() < 1e-5);
}

#[test]
fn what_a_fuse_cannot_break_is_said_with_its_reason() {
    let mut fuse = fuse_350();
    fuse.utilisation = Some(Utilisation::Ar);
    fuse.least_breaking = Some(amperes(1400.0));
    assert_eq!(at(&fuse, 501.0, 4000.0), Clearing::Never(Unbroken::Voltage));
    assert_eq!(
        at(&fuse, 400.0, 50_001.0),
        Clearing::Never(Unbroken::TooLarge)
    );
    assert_eq!(
        at(&fuse, 400.0, 1399.0),
        Clearing::Never(Unbroken::TooSmall)
    );
    assert!(matches!(at(&fuse, 400.0, 1400.0), Clearing::After { .. }));
    // Below the curve nobody says that it melts.
    assert_eq!(
        at(&fuse, 400.0, 300.0),
        Clearing::LaterThan(seconds(1000.0))
    );
}

#[test]
fn each_missing_value_is_named_and_never_a_time() {
    let missing = |take: fn(&mut FuseType)| {
        let mut fuse = fuse_350();
        take(&mut fuse);
        at(&fuse, 400.0, 4000.0)
    };
    for (take, gap) in [
        (
            (|fuse| fuse.voltage = None) as fn(&mut FuseType),
            FuseGap::Voltage,
        ),
        (|fuse| fuse.breaking = None, FuseGap::Breaking),
        (|fuse| fuse.utilisation = None, FuseGap::LeastBreaking),
        (
            |fuse| fuse.utilisation = Some(Utilisation::Ar),
            FuseGap::LeastBreaking,
        ),
        (|fuse| fuse.total = None, FuseGap::Arcing),
        (|fuse| fuse.total_at = None, FuseGap::Arcing),
        (
            |fuse| fuse.total_at = Some(volts(399.0)),
            FuseGap::ArcingThere,
        ),
        (
            |fuse| {
                fuse.curve.clear();
                fuse.melting = None;
                fuse.total = None;
            },
            FuseGap::Melting,
        ),
    ] {
        assert_eq!(missing(take), Clearing::NotKnown(gap));
    }
    let curve = ClearingCurve::new(&fuse_350(), volts(-400.0), share(0.0)).unwrap();
    assert_eq!(curve.arcing(), Ok(a2s(4.4e5)));
    assert!(curve.melting().is_some());
    assert_eq!(curve.breaks(amperes(4000.0)), Ok(Ok(())));
    let arc = curve.arcing_time(amperes(4000.0)).unwrap();
    assert!((arc.as_seconds() - 0.0825).abs() < 1e-6);
}

#[test]
fn total_i2t_alone_bounds_what_is_let_through() {
    // 7.0e5 A2s at 10 kA: 7 ms as if it were all melting, 21 ms as if it were all arc.
    let mut fuse = fuse_350();
    fuse.melting = None;
    fuse.curve.clear();
    let Clearing::After {
        melting,
        total,
        let_through,
    } = at(&fuse, 400.0, 10_000.0)
    else {
        panic!("it clears");
    };
    assert!((melting.as_seconds() - 0.007).abs() < 1e-6);
    assert!((total.as_seconds() - 0.021).abs() < 1e-6);
    assert!((let_through.as_a2s() / 7.0e5 - 1.0).abs() < 1e-5);
    // With the curve it melts by that: 4 kA for 30 ms, and all 7.0e5 A2s are the arc's.
    let mut with_curve = fuse_350();
    with_curve.melting = None;
    let Clearing::After { let_through, .. } = at(&with_curve, 400.0, 4000.0) else {
        panic!("it clears");
    };
    assert!((let_through.as_a2s() / 11.8e5 - 1.0).abs() < 1e-5);
    // Below 8.37 kA it would take more than the 0.01 s that I2t holds for.
    assert_eq!(at(&fuse, 400.0, 8000.0), Clearing::LaterThan(seconds(0.01)));
    assert_eq!(
        at(&fuse, 501.0, 10_000.0),
        Clearing::Never(Unbroken::Voltage)
    );
}

#[test]
fn an_arc_without_current_has_no_end_within_range_and_no_panic() {
    let curve = ClearingCurve::new(&fuse_350(), volts(400.0), share(0.0)).unwrap();
    let longest = curve.arcing_time(amperes(0.0)).unwrap();
    assert!((longest.as_seconds() / 1.0e9 - 1.0).abs() < 1e-6);
}

proptest! {
    #[test]
    fn more_current_never_clears_later(
        fuse in any_fuse(), less in 0.5_f32..5.5, more in 0.0_f32..1.0, arc in 0.0_f32..9.0,
    ) {
        let mut fuse = fuse;
        fuse.utilisation = Some(Utilisation::Gg);
        fuse.voltage = Some(volts(500.0));
        fuse.breaking = Some(amperes(1.0e6));
        fuse.total_at = Some(volts(500.0));
        fuse.total = fuse.melting.map(|melting| a2s(melting.as_a2s() + libm::exp10f(arc)));
        let curve = ClearingCurve::new(&fuse, volts(400.0), share(0.1)).unwrap();
        let slow = curve.at(amperes(libm::exp10f(less)));
        let fast = curve.at(amperes(libm::exp10f(less + more).min(1.0e6)));
        if let (Clearing::After { total: slow, .. }, Clearing::After { total: fast, .. }) = (slow, fast) {
            prop_assert!(fast.as_seconds() <= slow.as_seconds() * 1.000_01);
        }
    }
}
