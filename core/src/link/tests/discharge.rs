//! Bleed, active discharge, label.

use super::*;
use crate::insulation::Domain;
use crate::verdict::Verdict;
use proptest::prelude::*;

/// The shunter of the fixtures: 806 V, 2.2 mF, 100 kohm, a label of 60 s.
fn shunter() -> DischargeInput {
    DischargeInput {
        highest: volts(806.4),
        safe: touchable(Domain::Rail).unwrap().0,
        capacitance: farads(2.2e-3),
        y_positive: farads(0.0),
        y_negative: farads(0.0),
        capacitance_tolerance: share(0.0),
        bleed: Some(Bleed {
            resistance: ohms(100.0e3),
            tolerance: share(0.0),
            power: Some(watts(10.0)),
        }),
        active: None,
        wanted: Some(seconds(OPENED_WITH_TOOL_S)),
        label: Some(seconds(60.0)),
    }
}

fn verdict(found: &Discharge, name: DischargeCheck) -> Verdict {
    found
        .checks
        .iter()
        .find(|one| one.name == name)
        .unwrap()
        .verdict
}

#[test]
fn the_planted_bleed_of_the_shunter_is_found_by_value() {
    let found = discharge(&shunter()).unwrap();
    // 220 s ln(806.4/60).
    assert!((found.passive.unwrap().as_seconds() - 571.6).abs() < 0.1);
    assert_eq!(found.label, Some(seconds(600.0)));
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Fails);
    assert_eq!(verdict(&found, DischargeCheck::Label), Verdict::Fails);
    assert_eq!(verdict(&found, DischargeCheck::BleedPower), Verdict::Holds);
    assert_eq!(
        verdict(&found, DischargeCheck::Welded),
        Verdict::NotApplicable
    );
    // About 875 ohm for 5 s, 743 W.
    let window = bleed_window(&shunter(), share(0.0), Some(watts(10.0)), seconds(5.0)).unwrap();
    assert!((window.largest.unwrap().as_ohms() - 874.8).abs() < 0.1);
    assert!((window.power_of_largest.unwrap().as_watts() - 743.4).abs() < 0.2);
    assert!((window.smallest.unwrap().as_ohms() - 65028.0).abs() < 10.0);
}

#[test]
fn an_active_discharge_against_a_welded_contactor_is_judged() {
    let active = ActiveDischarge {
        resistance: ohms(800.0),
        tolerance: share(0.0),
        rating: ResistorRating {
            pulse: Some(joules(2000.0)),
            power: Some(watts(50.0)),
            ..ResistorRating::default()
        },
        cut_off: Some(seconds(6.0)),
    };
    let with = |active| {
        discharge(&DischargeInput {
            active: Some(active),
            ..shunter()
        })
        .unwrap()
    };
    let found = with(active);
    // 800 ohm beside 100 kohm: 793.7 ohm x 2.2 mF x 2.598.
    assert!((found.active.unwrap().as_seconds() - 4.537).abs() < 0.005);
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Holds);
    assert_eq!(
        verdict(&found, DischargeCheck::ActiveEnergy),
        Verdict::Holds
    );
    // 813 W for 6 s is 4.9 kJ: it stands 2.5 s.
    assert!((found.welded_power.unwrap().as_watts() - 812.9).abs() < 0.1);
    assert_eq!(verdict(&found, DischargeCheck::Welded), Verdict::Fails);
    // The label is about the bleed alone.
    assert_eq!(verdict(&found, DischargeCheck::Label), Verdict::Fails);
    let unlimited = ActiveDischarge {
        cut_off: None,
        ..active
    };
    assert_eq!(
        verdict(&with(unlimited), DischargeCheck::Welded),
        Verdict::Open
    );
    let strong = ActiveDischarge {
        rating: ResistorRating {
            power: Some(watts(900.0)),
            ..ResistorRating::default()
        },
        cut_off: None,
        ..active
    };
    assert_eq!(
        verdict(&with(strong), DischargeCheck::Welded),
        Verdict::Holds
    );
}

#[test]
fn what_an_early_cut_off_leaves_is_left_to_the_bleed() {
    let active = ActiveDischarge {
        resistance: ohms(800.0),
        tolerance: share(0.0),
        rating: ResistorRating::default(),
        cut_off: Some(seconds(1.0)),
    };
    let with = |cut_off: f32, bleed| {
        let cut_off = Some(seconds(cut_off));
        let active = Some(ActiveDischarge { cut_off, ..active });
        discharge(&DischargeInput {
            bleed,
            active,
            ..shunter()
        })
        .unwrap()
    };
    let bleed = shunter().bleed;
    // 1/(1/800 + 1/100e3) = 793.65 ohm, tau = 1.7460 s; 806.4 V exp(-1/1.7460) = 454.8 V;
    // then 1 s + 220 s ln(454.8/60) = 446.6 s.
    let found = with(1.0, bleed);
    assert!((found.left.unwrap().as_volts() - 454.8).abs() < 0.1);
    assert!((found.active.unwrap().as_seconds() - 446.6).abs() < 0.2);
    assert!((found.uncut.unwrap().as_seconds() - 4.537).abs() < 0.005);
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Fails);
    // Nothing takes the rest.
    let found = with(1.0, None);
    assert_eq!((found.active, found.passive), (None, None));
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Fails);
    // 1.7460 s ln(806.4/60) = 4.5366 s: just inside and just outside.
    let found = with(4.53, bleed);
    // What is left, 60.2 V, takes the bleed 220 s ln(60.2/60) = 0.83 s.
    assert!((found.active.unwrap().as_seconds() - 5.36).abs() < 0.02);
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Fails);
    let found = with(4.54, bleed);
    assert_eq!((found.left, found.active), (None, found.uncut));
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Holds);
}

#[test]
fn without_a_bleed_nothing_is_promised() {
    let found = discharge(&DischargeInput {
        bleed: None,
        ..shunter()
    })
    .unwrap();
    assert_eq!((found.passive, found.label), (None, None));
    assert_eq!(verdict(&found, DischargeCheck::Time), Verdict::Open);
    assert_eq!(verdict(&found, DischargeCheck::Label), Verdict::Open);
    assert_eq!(
        verdict(&found, DischargeCheck::BleedPower),
        Verdict::NotApplicable
    );
}

#[test]
fn tolerances_and_capacitors_to_chassis_lengthen_the_wait() {
    let wide = DischargeInput {
        capacitance_tolerance: share(0.2),
        y_positive: farads(0.2e-3),
        y_negative: farads(0.1e-3),
        bleed: Some(Bleed {
            resistance: ohms(100.0e3),
            tolerance: share(0.05),
            power: None,
        }),
        ..shunter()
    };
    let found = discharge(&wide).unwrap();
    let factor = 1.2 * 1.05 * 2.4 / 2.2;
    assert!((found.passive.unwrap().as_seconds() / 571.6 - factor).abs() < 1e-3);
    assert_eq!(verdict(&found, DischargeCheck::BleedPower), Verdict::Open);
}

#[test]
fn each_domain_has_its_own_limit() {
    let safe = |domain| touchable(domain).unwrap().0.as_volts();
    let all = [Domain::Road, Domain::Farm, Domain::Rail, Domain::Craft].map(safe);
    for (got, expected) in all.into_iter().zip([60.0, 75.0, 60.0, 50.0]) {
        assert!((got - expected).abs() < 1e-6);
    }
    // A link that may be touched from the beginning.
    let low = DischargeInput {
        highest: volts(48.0),
        ..shunter()
    };
    assert_eq!(discharge(&low).unwrap().passive, Some(seconds(0.0)));
    let window = bleed_window(&low, share(0.0), None, seconds(5.0)).unwrap();
    assert_eq!((window.largest, window.smallest), (None, None));
    assert!(
        discharge(&DischargeInput {
            safe: volts(0.0),
            ..shunter()
        })
        .is_err()
    );
}

proptest! {
    #[test]
    fn a_label_is_never_too_early(time in 0.0_f32..20_000.0) {
        let printed = label_time(seconds(time)).unwrap().as_seconds();
        prop_assert!(printed >= time);
        prop_assert!(printed <= (2.0 * time).max(5.0) || printed <= time + 600.0);
    }

    #[test]
    fn time_and_voltage_are_inverse(
        r in 10.0_f32..1.0e6, c in 1.0e-6_f32..0.1, u in 61.0_f32..1000.0,
    ) {
        let time = discharge_time(ohms(r), farads(c), volts(u), volts(60.0)).unwrap();
        let left = discharged_after(ohms(r), farads(c), volts(u), time).unwrap();
        prop_assert!((left.as_volts() - 60.0).abs() < 1e-3);
    }

    #[test]
    fn a_bleed_of_the_window_is_in_time(
        u in 100.0_f32..1000.0, wanted in 1.0_f32..600.0, tolerance in 0.0_f32..0.2,
    ) {
        let input = DischargeInput { highest: volts(u), ..shunter() };
        let window = bleed_window(&input, share(tolerance), None, seconds(wanted)).unwrap();
        let with = |r: f32| discharge(&DischargeInput {
            bleed: Some(Bleed { resistance: ohms(r), tolerance: share(tolerance), power: None }),
            wanted: Some(seconds(wanted)),
            ..input
        }).unwrap();
        let largest = window.largest.unwrap().as_ohms();
        prop_assert_eq!(verdict(&with(largest * 0.999), DischargeCheck::Time), Verdict::Holds);
        prop_assert_eq!(verdict(&with(largest * 1.001), DischargeCheck::Time), Verdict::Fails);
    }
}
