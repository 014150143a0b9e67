//! The window of resistors.

use super::*;
use crate::verdict::Verdict;
use proptest::prelude::*;

#[test]
fn both_ends_of_the_truck_and_what_binds() {
    let window = resistor_window(&truck(&[])).unwrap();
    // 0.5 s over 1.152 mF and ln 20.
    let largest = window.largest().unwrap();
    assert_eq!(largest.bound, WindowBound::Time);
    assert!((largest.resistance.unwrap().as_ohms() - 144.88).abs() < 0.05);
    // Peak current 20.2 ohm, peak power 32.5 ohm; stuck: 16 s of cooling, 0.55 s.
    let [current, power, stuck] = window
        .lower
        .map(|end| end.unwrap().resistance.unwrap().as_ohms());
    assert!((current - 20.16).abs() < 0.01);
    assert!((power - 32.51).abs() < 0.01);
    assert!((stuck - 219.7).abs() < 0.2, "{stuck}");
    assert_eq!(window.smallest().unwrap().bound, WindowBound::Stuck);
    // Nothing stands a shorted link for so long and is still quick enough.
    assert!(window.is_empty());
    assert_eq!(window.preferred(), None);
    assert_eq!(window.pulse, Verdict::NotApplicable);
}

#[test]
fn a_cut_out_by_time_opens_the_window() {
    let input = PrechargeInput {
        time_out: Some(seconds(0.25)),
        reaction: seconds(0.0),
        rating: ResistorRating {
            pulse: Some(joules(800.0)),
            ..truck(&[]).rating
        },
        ..truck(&[])
    };
    let window = resistor_window(&input).unwrap();
    assert!(!window.is_empty());
    assert_eq!(window.pulse, Verdict::Holds);
    let chosen = window.preferred().unwrap();
    assert_eq!(chosen, ohms(56.0));
    let found = precharge(&PrechargeInput {
        resistance: chosen,
        ..input
    });
    for (name, verdict) in verdicts(&found.unwrap()) {
        assert_eq!(verdict, Verdict::Holds, "{name:?}");
    }
}

#[test]
fn a_standing_load_bounds_from_above() {
    let loads = [current(0.8, 150.0)];
    let input = PrechargeInput {
        time_out: Some(seconds(0.1)),
        ..truck(&loads)
    };
    let window = resistor_window(&input).unwrap();
    // 5 % of 288 V at 0.8 A: 18 ohm; a little less to be there in time.
    let [time, standing] = window.upper.map(|end| end.unwrap());
    assert!((standing.resistance.unwrap().as_ohms() - 18.0).abs() < 0.01);
    assert!(time.resistance.unwrap() < standing.resistance.unwrap());
    // With time enough the two ends are one.
    let slow = resistor_window(&truck(&loads)).unwrap();
    assert_eq!(slow.upper[0], None);
    assert_eq!(slow.largest().unwrap().bound, WindowBound::StandingLoad);
    let never = [power(5000.0, 100.0), current(1.0e6, 50.0)];
    let window = resistor_window(&truck(&never)).unwrap();
    assert_eq!(window.largest().unwrap().resistance, None);
    assert!(window.is_empty());
}

#[test]
fn an_end_without_input_is_left_out() {
    let bare = PrechargeInput {
        time_out: None,
        peak_current: None,
        rating: ResistorRating::default(),
        ..truck(&[])
    };
    let window = resistor_window(&bare).unwrap();
    assert_eq!((window.lower, window.upper), ([None; 3], [None; 2]));
    assert_eq!((window.smallest(), window.largest()), (None, None));
    assert!(!window.is_empty());
    assert_eq!(window.preferred(), None);
    assert_eq!(window.pulse, Verdict::Open);
    // A relay that may carry nothing.
    let nothing = PrechargeInput {
        peak_current: Some(amperes(0.0)),
        ..bare
    };
    assert!(resistor_window(&nothing).unwrap().is_empty());
}

proptest! {
    #[test]
    fn inside_holds_and_outside_fails(
        time_out in 0.05_f32..2.0, load in 0.0_f32..0.3, tolerance in 0.0_f32..0.2,
    ) {
        let loads = [current(load, 100.0)];
        let input = PrechargeInput {
            time_out: Some(seconds(time_out)),
            resistance_tolerance: share(tolerance),
            ..truck(&loads)
        };
        let window = resistor_window(&input).unwrap();
        let judged = |r: f32, name| {
            let input = PrechargeInput { resistance: ohms(r), ..input };
            let found = precharge(&input).unwrap();
            found.checks.iter().find(|one| one.name == name).unwrap().verdict
        };
        let largest = window.largest().unwrap().resistance.unwrap().as_ohms();
        prop_assert_eq!(judged(largest * 0.999, PrechargeCheck::Time), Verdict::Holds);
        prop_assert_eq!(judged(largest * 1.001, PrechargeCheck::Time), Verdict::Fails);
        let names = [PrechargeCheck::PeakCurrent, PrechargeCheck::PeakPower, PrechargeCheck::Stuck];
        for (end, name) in window.lower.iter().zip(names) {
            let least = end.unwrap().resistance.unwrap().as_ohms();
            prop_assert_eq!(judged(least * 1.001, name), Verdict::Holds);
            prop_assert_eq!(judged(least * 0.999, name), Verdict::Fails);
        }
    }
}
