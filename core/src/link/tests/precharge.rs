//! Corners and verdicts of a precharge.

use super::*;
use crate::error::{Error, Inconsistency};
use crate::verdict::Verdict;
use proptest::prelude::*;

fn verdict(found: &Precharge, name: PrechargeCheck) -> Verdict {
    found
        .checks
        .iter()
        .find(|one| one.name == name)
        .unwrap()
        .verdict
}

#[test]
fn the_truck_without_loads_is_as_reckoned_by_hand() {
    let found = precharge(&truck(&[])).unwrap();
    // 47 ohm x 1.152 mF; x ln 20; 403.2/47; CU2/2 after ten time constants.
    assert!((found.time_constant.as_seconds() - 0.054_144).abs() < 1e-6);
    assert!((found.reached.time().unwrap().as_seconds() - 0.162_201).abs() < 1e-5);
    assert!((found.peak_current.as_amperes() - 8.578_7).abs() < 1e-3);
    assert!((found.try_energy.unwrap().as_joules() - 93.639).abs() < 0.01);
    assert!((found.left.as_volts() - 20.16).abs() < 1e-3);
    assert!((found.inrush.unwrap().as_amperes() - 336.0).abs() < 0.01);
    assert_eq!(verdict(&found, PrechargeCheck::Inrush), Verdict::Holds);
    // 3459 W until 0.55 s is far above 400 J.
    assert_eq!(verdict(&found, PrechargeCheck::Stuck), Verdict::Fails);
    let longest = found.longest_time_out(seconds(0.05)).unwrap();
    assert!(
        (longest.as_seconds() - 0.066_06).abs() < 1e-4,
        "{longest:?}"
    );
    for name in [
        PrechargeCheck::Settles,
        PrechargeCheck::Time,
        PrechargeCheck::PeakCurrent,
        PrechargeCheck::PeakPower,
        PrechargeCheck::TryEnergy,
        PrechargeCheck::SeriesEnergy,
    ] {
        assert_eq!(verdict(&found, name), Verdict::Holds, "{name:?}");
    }
}

#[test]
fn the_planted_standing_load_of_the_truck_is_found_by_value() {
    // 0.8 A x 47 ohm = 37.6 V: 95 % is never reached, least of all at 288 V.
    let loads = [current(0.8, 150.0)];
    let found = precharge(&truck(&loads)).unwrap();
    assert!(matches!(found.reached, Reached::Never(_)));
    assert_eq!(found.settled_at, volts(288.0));
    assert!((found.settled.voltage.as_volts() - 250.4).abs() < 0.01);
    assert!((found.needed.as_volts() - 273.6).abs() < 0.01);
    assert_eq!(verdict(&found, PrechargeCheck::Settles), Verdict::Fails);
    assert_eq!(verdict(&found, PrechargeCheck::Time), Verdict::Fails);
}

#[test]
fn a_missing_input_leaves_its_check_open() {
    let bare = PrechargeInput {
        time_out: None,
        loop_resistance: None,
        make: None,
        peak_current: None,
        rating: ResistorRating::default(),
        ..truck(&[])
    };
    let found = precharge(&bare).unwrap();
    for (name, verdict) in verdicts(&found) {
        let expected = if name == PrechargeCheck::Settles {
            Verdict::Holds
        } else {
            Verdict::Open
        };
        assert_eq!(verdict, expected, "{name:?}");
    }
    // Until the threshold instead of the time-out.
    assert!((found.try_energy.unwrap().as_joules() - 93.405).abs() < 0.01);
}

#[test]
fn tries_without_a_known_cooling_stay_open_where_their_sum_is_too_much() {
    let with = |pulse, count| {
        let input = PrechargeInput {
            rating: ResistorRating {
                pulse: Some(joules(pulse)),
                ..ResistorRating::default()
            },
            tries: Tries {
                count,
                pause: seconds(30.0),
            },
            ..truck(&[])
        };
        verdict(&precharge(&input).unwrap(), PrechargeCheck::SeriesEnergy)
    };
    assert_eq!(with(300.0, 3), Verdict::Holds);
    assert_eq!(with(200.0, 3), Verdict::Open);
    assert_eq!(with(90.0, 3), Verdict::Fails);
}

#[test]
fn tolerances_lengthen_the_time_and_raise_the_peak() {
    let wide = PrechargeInput {
        resistance_tolerance: share(0.1),
        capacitance_tolerance: share(0.2),
        ..truck(&[])
    };
    let (nominal, wide) = (precharge(&truck(&[])).unwrap(), precharge(&wide).unwrap());
    let time = |found: &Precharge| found.reached.time().unwrap().as_seconds();
    assert!((time(&wide) / time(&nominal) - 1.32).abs() < 1e-4);
    let peak = wide.peak_current.as_amperes() / nominal.peak_current.as_amperes();
    assert!((peak - 1.0 / 0.9).abs() < 1e-5);
}

#[test]
fn a_threshold_in_volts_is_kept_at_every_pack_voltage() {
    let input = PrechargeInput {
        threshold: Threshold::Left(volts(6.0)),
        ..truck(&[])
    };
    let found = precharge(&input).unwrap();
    assert!((found.inrush.unwrap().as_amperes() - 100.0).abs() < 0.01);
    // Longest at the highest voltage: ln(403.2/6).
    let time = found.reached.time().unwrap().as_seconds();
    assert!((time - 0.054_144 * (403.2_f32 / 6.0).ln()).abs() < 1e-5);
    let none = PrechargeInput {
        loop_resistance: Some(ohms(0.0)),
        ..input
    };
    let found = precharge(&none).unwrap();
    assert_eq!(verdict(&found, PrechargeCheck::Inrush), Verdict::Fails);
}

#[test]
fn a_thermal_cut_out_takes_the_place_of_the_stuck_check() {
    let input = PrechargeInput {
        cut_out: true,
        ..truck(&[])
    };
    let found = precharge(&input).unwrap();
    assert_eq!(
        verdict(&found, PrechargeCheck::Stuck),
        Verdict::NotApplicable
    );
    let window = resistor_window(&input).unwrap();
    assert_eq!(window.lower[2], None);
    assert_eq!(window.smallest().unwrap().bound, WindowBound::PeakPower);
    assert!(!window.is_empty());
}

#[test]
fn a_resistor_that_stands_the_pack_for_ever_may_stick() {
    let input = PrechargeInput {
        rating: ResistorRating {
            power: Some(watts(4000.0)),
            ..ResistorRating::default()
        },
        ..truck(&[])
    };
    let found = precharge(&input).unwrap();
    assert_eq!(found.stands, Stands::Always);
    assert_eq!(verdict(&found, PrechargeCheck::Stuck), Verdict::Holds);
}

#[test]
fn what_cannot_be_is_refused() {
    let threshold = |threshold| {
        precharge(&PrechargeInput {
            threshold,
            ..truck(&[])
        })
    };
    for beyond in [
        Threshold::Share(share(1.0)),
        Threshold::Share(share(0.0)),
        Threshold::Left(volts(0.0)),
        Threshold::Left(volts(500.0)),
        Threshold::Left(volts(-5.0)),
    ] {
        assert_eq!(
            threshold(beyond),
            Err(Error::Inconsistent(Inconsistency::ThresholdBeyondPack))
        );
    }
    let crossed = PrechargeInput {
        lowest: volts(500.0),
        ..truck(&[])
    };
    assert_eq!(
        precharge(&crossed),
        Err(Error::Inconsistent(Inconsistency::LowestAboveHighest))
    );
    let shorted = PrechargeInput {
        resistance_tolerance: share(1.0),
        ..truck(&[])
    };
    assert!(precharge(&shorted).is_err());
}

proptest! {
    #[test]
    fn more_resistance_never_peaks_higher_nor_ends_sooner(
        r in 1.0_f32..500.0, more in 0.1_f32..500.0, load in 0.0_f32..0.2,
    ) {
        let loads = [current(load, 100.0)];
        let with = |r| precharge(&PrechargeInput { resistance: ohms(r), ..truck(&loads) }).unwrap();
        let (small, large) = (with(r), with(r + more));
        prop_assert!(large.peak_current <= small.peak_current);
        prop_assert!(large.peak_power <= small.peak_power);
        prop_assert!(large.shorted_power <= small.shorted_power);
        match (small.reached.time(), large.reached.time()) {
            (Some(small), Some(large)) => prop_assert!(large >= small),
            (None, later) => prop_assert!(later.is_none()),
            (Some(_), None) => {}
        }
        prop_assert!(large.settled.voltage.as_volts() <= small.settled.voltage.as_volts() * (1.0 + 1e-6));
    }
}

/// Once only the highest pack voltage was looked at.
#[test]
fn a_link_above_the_lowest_pack_voltage_is_judged_there_too() {
    let from = |start| PrechargeInput {
        highest: volts(108.0),
        lowest: volts(75.0),
        start: volts(start),
        threshold: Threshold::Left(volts(1.5)),
        resistance: ohms(33.0),
        resistance_tolerance: share(0.0),
        loop_resistance: Some(ohms(0.012)),
        make: Some(amperes(250.0)),
        peak_current: Some(amperes(0.5)),
        ..truck(&[])
    };
    // 107 - 75 = 32 V through 12 mohm, against 1.5 V of the threshold.
    let found = precharge(&from(107.0)).unwrap();
    assert!((found.left.as_volts() - 32.0).abs() < 1e-4);
    assert!((found.inrush.unwrap().as_amperes() - 2666.67).abs() < 0.1);
    assert_eq!(verdict(&found, PrechargeCheck::Inrush), Verdict::Fails);
    // 32 V over 33 ohm are 0.97 A, where forward 1 V were 0.03 A.
    assert!((found.peak_current.as_amperes() - 0.969_697).abs() < 1e-5);
    assert_eq!(verdict(&found, PrechargeCheck::PeakCurrent), Verdict::Fails);
    // 3 V above are 250 A; 1.5 V above are what the threshold leaves anyway.
    let found = precharge(&from(77.9)).unwrap();
    assert_eq!(verdict(&found, PrechargeCheck::Inrush), Verdict::Holds);
    let found = precharge(&from(78.1)).unwrap();
    assert_eq!(verdict(&found, PrechargeCheck::Inrush), Verdict::Fails);
    let found = precharge(&from(76.0)).unwrap();
    assert!((found.left.as_volts() - 1.5).abs() < 1e-6);
}
