//! Strings in parallel.

use super::*;
use crate::verdict::Verdict;
use proptest::prelude::*;

fn string(v: f32, r: f32) -> StringData {
    StringData {
        voltage: volts(v),
        resistance: ohms(r),
        charge: Some(amperes(75.0)),
        discharge: Some(amperes(300.0)),
    }
}

/// The tractor of the fixtures: 50.5 mohm, cells charged with 75 A, a window of 6 V.
fn tractor() -> Joining {
    Joining {
        one: string(131.0, 0.0240),
        other: string(125.0, 0.0265),
        path: ohms(0.0),
        make: Some(amperes(200.0)),
        fuse: Some(amperes(250.0)),
        ceiling: None,
        window: Some(volts(6.0)),
        voltage_error: Some(volts(0.5)),
        charge_over: Some((Charge::from_ampere_hours(150.0).unwrap(), volts(30.0))),
    }
}

#[test]
fn the_planted_window_of_the_tractor_is_found_by_value() {
    let found = join(&tractor()).unwrap();
    // 6 V / 50.5 mohm = 119 A; 75 A x 50.5 mohm = 3.79 V.
    assert!((found.window_current.unwrap().as_amperes() - 118.8).abs() < 0.1);
    let (largest, bound) = found.largest.unwrap();
    assert!((largest.as_volts() - 3.7875).abs() < 1e-3);
    assert_eq!(bound, JoinBound::CellCharge);
    assert_eq!(found.check.verdict, Verdict::Fails);
    // 18 kC/V: 6 V move half of 108 kC = 15 Ah.
    assert!((found.charge.unwrap().as_ampere_hours() - 15.0).abs() < 1e-3);
    assert!((found.time_constant.unwrap().as_seconds() - 454.5).abs() < 0.1);
    // What one capacitor C loses to another: C dU2/4.
    assert!((found.heat.unwrap().as_joules() - 162_000.0).abs() < 10.0);
    let ceiling = Joining {
        ceiling: Some(volts(JOIN_CEILING_V)),
        window: Some(volts(1.5)),
        ..tractor()
    };
    let found = join(&ceiling).unwrap();
    assert_eq!(found.largest.unwrap().1, JoinBound::Ceiling);
    assert_eq!(found.check.verdict, Verdict::Holds);
}

#[test]
fn a_limit_that_is_missing_keeps_the_window_open_and_a_broken_one_fails_it() {
    let missing = Joining {
        make: None,
        window: Some(volts(1.0)),
        ..tractor()
    };
    assert_eq!(join(&missing).unwrap().check.verdict, Verdict::Open);
    let too_wide = Joining {
        window: Some(volts(6.0)),
        ..missing
    };
    assert_eq!(join(&too_wide).unwrap().check.verdict, Verdict::Fails);
    // A charge limit of one string alone says nothing: the other may be the lower one.
    let mut half = tractor();
    half.other.charge = None;
    assert_eq!(
        join(&half).unwrap().largest.unwrap().1,
        JoinBound::ContactorMake
    );
    let none = Joining {
        path: ohms(0.0),
        one: string(100.0, 0.0),
        other: string(100.0, 0.0),
        ..tractor()
    };
    assert!(join(&none).is_err());
}

#[test]
fn sensors_tell_strings_apart_within_half_the_window_and_half_of_what_is_left() {
    let sensors = |window: f32, error: f32, ceiling| {
        let joining = Joining {
            ceiling,
            window: Some(volts(window)),
            voltage_error: Some(volts(error)),
            ..tractor()
        };
        let judged = join(&joining).unwrap().sensors;
        (judged.verdict, judged.limit.unwrap())
    };
    // 3.79 V by the cells: with a window of 1.5 V half of that, with 3 V half of 0.79 V.
    assert_eq!(sensors(1.5, 0.74, None), (Verdict::Holds, 0.75));
    assert_eq!(sensors(1.5, 0.76, None).0, Verdict::Fails);
    let (verdict, most) = sensors(3.0, 0.39, None);
    assert_eq!(verdict, Verdict::Holds);
    assert!((most - 0.5 * 0.7875).abs() < 1e-3, "{most}");
    assert_eq!(sensors(3.0, 0.4, None).0, Verdict::Fails);
    // The ceiling is one on the window.
    let ceiling = Some(volts(JOIN_CEILING_V));
    assert_eq!(sensors(1.5, 0.74, ceiling), (Verdict::Holds, 0.75));
    // A window that is too wide fails by itself.
    assert_eq!(sensors(6.0, 2.9, None), (Verdict::Holds, 3.0));
    for without in [
        Joining {
            voltage_error: None,
            ..tractor()
        },
        Joining {
            window: None,
            ..tractor()
        },
        Joining {
            make: None,
            window: Some(volts(1.5)),
            ..tractor()
        },
    ] {
        assert_eq!(join(&without).unwrap().sensors.verdict, Verdict::Open);
    }
}

#[test]
fn unequal_cables_share_unequally() {
    // 25.3 and 28.7 mohm: 53.15 % and 46.85 % of 180 A.
    let strings = [string(128.0, 0.0253), string(128.0, 0.0287)];
    let shares = [0, 1].map(|which| {
        string_current(&strings, &[], which, amperes(180.0))
            .unwrap()
            .as_amperes()
    });
    assert!((shares[0] - 95.667).abs() < 0.01 && (shares[1] - 84.333).abs() < 0.01);
    assert!((string_spread(&strings, &[]).unwrap() - 0.1259).abs() < 1e-3);
    let most = most_together(&strings, &[]).unwrap().unwrap().as_amperes();
    assert!((most - 564.46).abs() < 0.1);
    // One lost: the other carries it all.
    let alone = string_current(&strings, &[0], 1, amperes(180.0)).unwrap();
    assert!((alone.as_amperes() - 180.0).abs() < 1e-3);
    assert!((most_together(&strings, &[0]).unwrap().unwrap().as_amperes() - 300.0).abs() < 1e-3);
    assert!(string_current(&strings, &[1], 1, amperes(1.0)).is_err());
    assert!(string_current(&strings, &[], 2, amperes(1.0)).is_err());
    assert!(most_together(&strings, &[0, 1]).is_err());
    assert!(string_spread(&strings, &[0, 1]).is_err());
    let judged = judge_string_current(&strings, &[0], 1, amperes(310.0)).unwrap();
    assert_eq!(judged.verdict, Verdict::Fails);
    // Back into it the charge limit counts.
    let judged = judge_string_current(&strings, &[], 1, amperes(-180.0)).unwrap();
    assert_eq!((judged.verdict, judged.limit), (Verdict::Fails, Some(75.0)));
    let mut unknown = strings;
    unknown[0].discharge = None;
    assert_eq!(most_together(&unknown, &[]), Ok(None));
}

#[test]
fn healthy_strings_feed_the_faulted_one() {
    let strings = [string(400.0, 0.1), string(400.0, 0.1), string(400.0, 0.1)];
    let fault = FaultedString {
        which: 1,
        voltage: volts(100.0),
        resistance: ohms(0.05),
    };
    // (E - aE)/(R/(n - 1) + Rf) = 300/(0.05 + 0.05).
    let current = back_feed(&strings, &fault).unwrap().as_amperes();
    assert!((current - 3000.0).abs() < 0.01);
    let judged = |breaking| judge_back_feed(&strings, &fault, breaking).unwrap().verdict;
    assert_eq!(judged(Some(amperes(10_000.0))), Verdict::Holds);
    assert_eq!(judged(Some(amperes(2000.0))), Verdict::Fails);
    assert_eq!(judged(None), Verdict::Open);
    let alone = FaultedString { which: 0, ..fault };
    assert!(back_feed(&strings[..1], &alone).is_err());
    assert!(back_feed(&strings, &FaultedString { which: 9, ..fault }).is_err());
}

proptest! {
    #[test]
    fn shares_add_up_to_the_total(
        v in proptest::collection::vec((100.0_f32..102.0, 0.01_f32..0.2), 2..6),
        total in -500.0_f32..500.0,
    ) {
        let strings: Vec<StringData> = v.iter().map(|&(v, r)| string(v, r)).collect();
        let sum: f32 = (0..strings.len())
            .map(|k| string_current(&strings, &[], k, amperes(total)).unwrap().as_amperes())
            .sum();
        // Voltages of 100 V in f32 over 10 mohm.
        prop_assert!((sum - total).abs() < 0.05);
    }

    #[test]
    fn more_resistance_in_the_path_never_narrows_the_window(more in 0.0_f32..1.0) {
        let wide = Joining { path: ohms(more), ..tractor() };
        let (narrow, wide) = (join(&tractor()).unwrap(), join(&wide).unwrap());
        prop_assert!(wide.largest.unwrap().0 >= narrow.largest.unwrap().0);
        prop_assert!(wide.current <= narrow.current);
    }
}
