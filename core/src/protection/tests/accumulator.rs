use proptest::prelude::*;

use super::melting::any_fuse;
use super::{POINTS, amperes, curve, fuse_350, seconds, share};
use crate::protection::{CurveSide, Melting, MeltingCurve, MeltingTime};

fn read(side: CurveSide) -> MeltingCurve {
    MeltingCurve::new(&fuse_350(), side, share(0.0))
        .unwrap()
        .unwrap()
}

#[test]
fn a_steady_current_melts_after_its_melting_time() {
    let curve = read(CurveSide::Latest);
    let half = Melting::new().advance(&curve, amperes(1500.0), seconds(0.75));
    assert!((half.fraction().unwrap().as_fraction() - 0.5).abs() < 1e-5);
    assert!(!half.has_melted());
    let MeltingTime::After(left) = half.time_left(&curve, amperes(1500.0)) else {
        panic!("the time is known");
    };
    assert!((left.as_seconds() - 0.75).abs() < 1e-5);
    let whole = half.advance(&curve, amperes(-1500.0), seconds(0.751));
    assert!(whole.has_melted());
    assert_eq!(
        whole.fraction().unwrap().as_fraction().to_bits(),
        1.0_f32.to_bits()
    );
    // What has melted stays so.
    assert_eq!(whole.advance(&curve, amperes(0.0), seconds(1.0e9)), whole);
}

#[test]
fn ticks_of_a_millisecond_are_not_lost_in_a_long_melting_time() {
    // 600 A melt in 1000 s: a million ticks of 1 ms. Tolerance: each share, 1e-6, is
    // rounded to 6e-8 of itself.
    let curve = read(CurveSide::Latest);
    let mut state = Melting::new();
    for _ in 0..500_000_u32 {
        state = state.advance(&curve, amperes(600.0), seconds(0.001));
    }
    let fraction = state.fraction().unwrap().as_fraction();
    assert!((fraction - 0.5).abs() < 1e-5, "{fraction}");
}

#[test]
fn below_the_curve_only_the_earliest_side_counts_and_only_above_the_rated_current() {
    let hour = seconds(3600.0);
    let fraction = |side, current| {
        let state = Melting::new().advance(&read(side), amperes(current), hour);
        state.fraction().unwrap().as_fraction()
    };
    assert!(fraction(CurveSide::Latest, 590.0) < 1e-9);
    assert!(fraction(CurveSide::Earliest, 350.0) < 1e-9);
    // 3600 s x (400 / 600)^2 / 1000 s = 1.6: held to have melted.
    assert!(fraction(CurveSide::Earliest, 400.0) > 0.999);
    let later = Melting::new().time_left(&read(CurveSide::Latest), amperes(590.0));
    assert_eq!(later, MeltingTime::LaterThan(seconds(1000.0)));
}

#[test]
fn where_the_curve_is_not_known_neither_is_the_state() {
    let fuse = curve(&[[2500.0, 0.15], [1000.0, 12.0]]);
    let curve = MeltingCurve::new(&fuse, CurveSide::Earliest, share(0.0))
        .unwrap()
        .unwrap();
    let state = Melting::new().advance(&curve, amperes(1000.0), seconds(1.0));
    assert!(state.fraction().is_some());
    let nothing = state.advance(&curve, amperes(3000.0), seconds(0.0));
    assert_eq!(nothing, state);
    let unknown = state.advance(&curve, amperes(3000.0), seconds(0.001));
    assert_eq!(unknown.fraction(), None);
    assert_eq!(
        unknown.time_left(&curve, amperes(1000.0)),
        MeltingTime::NotKnown
    );
    let still = unknown.advance(&curve, amperes(1000.0), seconds(100.0));
    assert_eq!(still.fraction(), None);
    assert!(!still.has_melted());
    assert_eq!(
        Melting::default().time_left(&curve, amperes(3000.0)),
        MeltingTime::NotKnown
    );
}

#[test]
fn a_rising_current_melts_when_double_precision_says() {
    // 350 V, 0.25 ohm, 30 uH: i = 1400 A (1 - exp(-t / 0.12 ms)), then the melting time
    // of 1400 A. Double-precision integration, checked with ngspice: 2.137 053 s.
    // Tolerance: 10 us steps while it rises, 1e-4.
    let curve = MeltingCurve::new(&curve(&POINTS), CurveSide::Latest, share(0.0))
        .unwrap()
        .unwrap();
    let (mut state, mut now) = (Melting::new(), 0.0_f32);
    while now < 0.002 {
        let current = -1400.0 * libm::expm1f(-(now + 0.5e-5) / 1.2e-4);
        state = state.advance(&curve, amperes(current), seconds(1.0e-5));
        now += 1.0e-5;
    }
    let left = state.time_left(&curve, amperes(1400.0)).known().unwrap();
    let whole = now + left.as_seconds();
    assert!((whole / 2.137_052_7 - 1.0).abs() < 1e-4, "{whole}");
}

proptest! {
    #[test]
    fn two_halves_equal_one(
        fuse in any_fuse(), current in 0.1_f32..5.9, duration in -6.0_f32..6.0, rated in 1.0_f32..3.0,
    ) {
        let mut fuse = fuse;
        fuse.rated = Some(amperes(libm::exp10f(rated)));
        let current = amperes(libm::exp10f(current));
        let duration = libm::exp10f(duration);
        for side in [CurveSide::Earliest, CurveSide::Latest] {
            let curve = MeltingCurve::new(&fuse, side, share(0.1)).unwrap().unwrap();
            let once = Melting::new().advance(&curve, current, seconds(duration));
            let half = seconds(duration * 0.5);
            let twice = Melting::new().advance(&curve, current, half).advance(&curve, current, half);
            match (once.fraction(), twice.fraction()) {
                (Some(once), Some(twice)) => {
                    prop_assert!((once.as_fraction() - twice.as_fraction()).abs() < 1e-6);
                }
                (None, None) => {}
                _ => prop_assert!(false, "one is known, the other is not"),
            }
        }
    }

    #[test]
    fn melting_never_goes_back_and_never_beyond_one(
        fuse in any_fuse(),
        currents in proptest::collection::vec((-1.0e6_f32..1.0e6, 0.0_f32..10.0), 0..20),
    ) {
        for side in [CurveSide::Earliest, CurveSide::Latest] {
            let curve = MeltingCurve::new(&fuse, side, share(0.1)).unwrap().unwrap();
            let (mut state, mut before) = (Melting::new(), 0.0);
            for &(current, duration) in &currents {
                state = state.advance(&curve, amperes(current), seconds(duration));
                let Some(fraction) = state.fraction() else { break };
                prop_assert!(fraction.as_fraction() >= before);
                before = fraction.as_fraction();
            }
        }
    }
}
