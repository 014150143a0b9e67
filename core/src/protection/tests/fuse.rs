use proptest::prelude::*;

use super::{amperes, curve, fuse_350, seconds, share, volts};
use crate::design::{DeratingPoint, FuseType};
use crate::protection::*;
use crate::quantity::{Altitude, Temperature};
use crate::verdict::{Judged, Verdict};

fn place(air: Option<f32>, altitude: Option<f32>) -> FusePlace {
    FusePlace {
        air: air.map(|degc| Temperature::from_degc(degc).unwrap()),
        altitude: altitude.map(|metres| Altitude::from_metres(metres).unwrap()),
    }
}

/// The 350 A fuse with a derating curve and a holder that takes 10 %.
fn derated() -> FuseType {
    let mut fuse = fuse_350();
    for (degc, carries) in [(25.0, 1.0), (65.0, 0.8), (105.0, 0.5)] {
        let point = DeratingPoint {
            air: Temperature::from_degc(degc).unwrap(),
            carries: share(carries),
        };
        fuse.derating.push(point).unwrap();
    }
    fuse.holder = Some(share(0.9));
    fuse
}

fn near(judged: Judged<FuseCheck>, verdict: Verdict, limit: f32) {
    assert_eq!(judged.verdict, verdict, "{judged:?}");
    let found = judged.limit.unwrap();
    assert!((found / limit - 1.0).abs() < 1e-3, "{judged:?}");
}

#[test]
fn ratings_hold_at_their_limit_fail_above_and_are_open_without_it() {
    let mut fuse = fuse_350();
    let verdicts = |fuse: &FuseType, u: Option<f32>, tau: Option<f32>, i: Option<f32>| {
        [
            judge_fuse_voltage(fuse, u.map(volts)).verdict,
            judge_time_constant(fuse, tau.map(seconds)).verdict,
            judge_breaking(fuse, i.map(amperes)).verdict,
        ]
    };
    let at = verdicts(&fuse, Some(500.0), Some(0.002), Some(50_000.0));
    assert_eq!(at, [Verdict::Holds; 3]);
    let above = verdicts(&fuse, Some(500.1), Some(0.002_1), Some(-50_010.0));
    assert_eq!(above, [Verdict::Fails; 3]);
    assert_eq!(verdicts(&fuse, None, None, None), [Verdict::Open; 3]);
    fuse.voltage = None;
    fuse.time_constant = None;
    fuse.breaking = None;
    let unknown = verdicts(&fuse, Some(1.0), Some(0.0), Some(1.0));
    assert_eq!(unknown, [Verdict::Open; 3]);
}

#[test]
fn the_lasting_current_is_derated_by_air_holder_and_altitude() {
    // 85 degC is half way from 0.8 to 0.5: 350 x 0.65 x 0.9 = 204.75 A; at 4000 m
    // 10 % less, 184.275 A. By hand.
    let fuse = derated();
    let judge = |place: &FusePlace, lasting: f32| {
        judge_continuous(&fuse, place, Some(amperes(lasting))).unwrap()
    };
    near(
        judge(&place(Some(85.0), Some(0.0)), 204.0),
        Verdict::Holds,
        204.75,
    );
    near(
        judge(&place(Some(85.0), Some(2000.0)), 205.0),
        Verdict::Fails,
        204.75,
    );
    near(
        judge(&place(Some(85.0), Some(4000.0)), 185.0),
        Verdict::Fails,
        184.275,
    );
    near(
        judge(&place(Some(-20.0), Some(0.0)), 315.0),
        Verdict::Holds,
        315.0,
    );
    // Hotter than the curve: not known, and too much in any case.
    near(
        judge(&place(Some(106.0), Some(0.0)), 100.0),
        Verdict::Open,
        315.0,
    );
    near(
        judge(&place(Some(106.0), Some(0.0)), 316.0),
        Verdict::Fails,
        315.0,
    );
    near(judge(&place(None, None), 100.0), Verdict::Open, 315.0);
    let shares = carried(&fuse, &place(Some(65.0), Some(3000.0))).unwrap();
    assert!((shares.altitude.unwrap().as_fraction() - 0.95).abs() < 1e-6);
    assert!(shares.complete);
}

#[test]
fn without_a_curve_only_cool_air_has_a_share() {
    let mut fuse = fuse_350();
    fuse.holder = Some(share(1.0));
    let judge = |fuse: &FuseType, degc: f32| {
        judge_continuous(fuse, &place(Some(degc), Some(0.0)), Some(amperes(300.0))).unwrap()
    };
    near(judge(&fuse, 25.0), Verdict::Holds, 350.0);
    near(judge(&fuse, 26.0), Verdict::Open, 350.0);
    fuse.holder = None;
    near(judge(&fuse, 25.0), Verdict::Open, 350.0);
    fuse.rated = None;
    assert_eq!(judge(&fuse, 25.0).verdict, Verdict::Open);
}

#[test]
fn a_repeated_pulse_keeps_half_the_melting_current_of_its_time() {
    // 12 s: 1000 A on the curve, 900 A the earliest, half of it 450 A. By hand.
    let fuse = derated();
    let judge = |current: f32, duration: f32| {
        let pulse = Pulse {
            current: amperes(current),
            duration: seconds(duration),
        };
        judge_pulse(
            &fuse,
            &place(Some(85.0), Some(0.0)),
            pulse,
            REPEATED_PULSE,
            CURVE_TOLERANCE,
        )
        .unwrap()
    };
    near(judge(449.0, 12.0), Verdict::Holds, 450.0);
    near(judge(-451.0, 12.0), Verdict::Fails, 450.0);
    // Up to 204.75 A is lasting, of any length.
    near(judge(200.0, 1.0e6), Verdict::Holds, 204.75);
    // 4000 s, curve ends at 1000 s: between 540 sqrt(1/4) = 270 A and 540 A, half of
    // each 135 A and 270 A.
    near(judge(250.0, 4000.0), Verdict::Open, 135.0);
    near(judge(271.0, 4000.0), Verdict::Fails, 270.0);
    assert_eq!(judge(5000.0, 0.0).verdict, Verdict::NotApplicable);
    assert_eq!(judge(5000.0, 1.0e-9).verdict, Verdict::Holds);
    let unknown = judge_pulse(
        &curve(&[]),
        &place(None, None),
        Pulse {
            current: amperes(10.0),
            duration: seconds(1.0),
        },
        REPEATED_PULSE,
        CURVE_TOLERANCE,
    );
    assert_eq!(unknown.unwrap().verdict, Verdict::Open);
}

#[test]
fn a_course_keeps_a_quarter_of_a_melting() {
    assert_eq!(
        judge_course(Some(share(0.25)), REPEATED_MELTING).verdict,
        Verdict::Holds
    );
    assert_eq!(
        judge_course(Some(share(0.26)), REPEATED_MELTING).verdict,
        Verdict::Fails
    );
    assert_eq!(judge_course(None, REPEATED_MELTING).verdict, Verdict::Open);
}

#[test]
fn a_lasting_overload_has_an_owner() {
    let fuse = fuse_350();
    let judge = |conductor, limit: Option<f32>| {
        judge_overload_owner(&fuse, Some(amperes(conductor)), limit.map(amperes)).verdict
    };
    assert_eq!(judge(350.0, None), Verdict::Holds);
    assert_eq!(judge(300.0, None), Verdict::Fails);
    assert_eq!(judge(300.0, Some(290.0)), Verdict::Holds);
    assert_eq!(judge(300.0, Some(310.0)), Verdict::Fails);
    assert_eq!(
        judge_overload_owner(&fuse, None, None).verdict,
        Verdict::Open
    );
}

#[test]
fn the_smallest_fault_is_cleared_in_time() {
    let fuse = fuse_350();
    let clearing = |current| {
        let curve = ClearingCurve::new(&fuse, volts(400.0), CURVE_TOLERANCE).unwrap();
        Some(curve.at(amperes(current)))
    };
    let judge = |clearing| judge_least_fault(clearing, DISCONNECTION);
    // 1.5 s at 1500 A on the curve, 1650 A for the latest; its arc 3 x 4.4e5 / 1650^2.
    let holds = judge(clearing(1650.0));
    assert_eq!(holds.verdict, Verdict::Holds);
    assert!((holds.value.unwrap() - 1.9848).abs() < 1e-3, "{holds:?}");
    assert_eq!(judge(clearing(1100.0)).verdict, Verdict::Fails);
    assert_eq!(judge(clearing(500.0)).verdict, Verdict::Fails);
    assert_eq!(judge(clearing(60_000.0)).verdict, Verdict::Fails);
    assert_eq!(judge(None).verdict, Verdict::Open);
    // A curve that ends before the allowed time says nothing about the rest.
    let short = curve(&[[1000.0, 1.0]]);
    let short = ClearingCurve::new(&short, volts(400.0), CURVE_TOLERANCE).unwrap();
    assert_eq!(judge(Some(short.at(amperes(900.0)))).verdict, Verdict::Open);
}

proptest! {
    #[test]
    fn hotter_or_higher_or_more_current_never_helps(
        air in -40.0_f32..150.0, up in 0.0_f32..50.0, metres in 0.0_f32..9000.0,
        higher in 0.0_f32..2000.0, current in 1.0_f32..500.0, more in 0.0_f32..100.0,
    ) {
        let fuse = derated();
        let judge = |air, metres, current| {
            let place = place(Some(air), Some(metres));
            judge_continuous(&fuse, &place, Some(amperes(current))).unwrap().verdict
        };
        let worse = judge(air + up, metres + higher, current + more);
        prop_assert!(worse != Verdict::Holds || judge(air, metres, current) == Verdict::Holds);
    }

    #[test]
    fn a_longer_or_larger_pulse_never_helps(
        fuse in super::melting::any_fuse(), current in 0.0_f32..5.0, more in 0.0_f32..1.0,
        duration in -4.0_f32..5.0, longer in 0.0_f32..2.0,
    ) {
        let judge = |current, duration| {
            let pulse = Pulse {
                current: amperes(libm::exp10f(current)),
                duration: seconds(libm::exp10f(duration)),
            };
            judge_pulse(&fuse, &FusePlace::default(), pulse, REPEATED_PULSE, CURVE_TOLERANCE).unwrap()
        };
        let (easy, hard) = (judge(current, duration), judge(current + more, duration + longer));
        if hard.verdict == Verdict::Holds && easy.verdict != Verdict::Holds {
            // Only by what f32 rounds off at equal pulses.
            prop_assert!(easy.value.unwrap() < easy.limit.unwrap() * 1.000_1, "{easy:?} {hard:?}");
        }
    }

    #[test]
    fn melting_current_and_melting_time_are_inverse(
        fuse in super::melting::any_fuse(), current in 0.5_f32..5.5,
    ) {
        for side in [CurveSide::Earliest, CurveSide::Latest] {
            let curve = MeltingCurve::new(&fuse, side, share(0.1)).unwrap().unwrap();
            let current = libm::exp10f(current);
            let Some(time) = curve.time_at(amperes(current)).known() else { continue };
            if time.as_seconds() <= 0.0 { continue }
            // The smallest current that melts in that time is not above this one, and
            // melts in that time or sooner.
            let Ok(MeltingCurrent::At(least)) = curve.current_within(time) else { continue };
            // On a piece that falls from 10.06 to 10 ms over four decades of current the last
            // digit of the time in f32 is 2e-4 of the current: there the times are compared.
            let at_least = curve.time_at(least).known();
            let same_time = at_least.is_some_and(|at| at.as_seconds() >= time.as_seconds() * 0.999_998);
            prop_assert!(least.as_amperes() <= current * 1.000_1 || same_time);
            let nearly = amperes(least.as_amperes() * 1.000_1);
            let Some(again) = curve.time_at(nearly).known() else {
                // Just beyond the first point of a curve without a melting I2t.
                prop_assert!(fuse.melting.is_none());
                continue;
            };
            prop_assert!(again.as_seconds() <= time.as_seconds() * 1.001);
        }
    }
}
