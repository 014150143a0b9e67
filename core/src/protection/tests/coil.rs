use proptest::prelude::*;

use super::volts;
use crate::design::Coil;
use crate::protection::*;
use crate::quantity::{Power, Resistance, Temperature};
use crate::verdict::Verdict;

fn ohms(ohms: f32) -> Resistance {
    Resistance::from_ohms(ohms).unwrap()
}

fn supply(lowest: f32, dip: f32, wire: f32, degc: f32) -> CoilSupply {
    CoilSupply {
        lowest: Some(volts(lowest)),
        dip: Some(volts(dip)),
        wire: Some(ohms(wire)),
        coil: Some(Temperature::from_degc(degc).unwrap()),
    }
}

/// Plain copper: 5 ohm, pulls in at 8 V and drops out at 2 V, at 20 degC.
fn copper() -> Coil {
    Coil {
        nominal: Some(volts(12.0)),
        resistance_20: Some(ohms(5.0)),
        pull_in: Some(volts(8.0)),
        drop_out: Some(volts(2.0)),
        ..Coil::default()
    }
}

#[test]
fn a_hot_coil_needs_more_and_the_wire_takes_its_part() {
    // 105 degC: 1 + 0.00393 x 85 = 1.33405; 6.670 ohm, pulls in at 10.672 V, drops out
    // at 2.668 V. 11 V through 0.5 ohm leave 11 x 6.670 / 7.170 = 10.233 V; 3 V leave
    // 2.791 V. By hand.
    let [pull_in, hold] = judge_coil(&copper(), &supply(11.0, 3.0, 0.5, 105.0)).unwrap();
    assert_eq!(
        (pull_in.verdict, hold.verdict),
        (Verdict::Fails, Verdict::Holds)
    );
    assert!(
        (pull_in.value.unwrap() - 10.233).abs() < 1e-3,
        "{pull_in:?}"
    );
    assert!(
        (pull_in.limit.unwrap() - 10.672).abs() < 1e-3,
        "{pull_in:?}"
    );
    assert!((hold.value.unwrap() - 2.791).abs() < 1e-3, "{hold:?}");
    // Cold it does pull in.
    let [cold, _] = judge_coil(&copper(), &supply(11.0, 3.0, 0.5, 20.0)).unwrap();
    assert_eq!(cold.verdict, Verdict::Holds);
}

#[test]
fn a_coil_known_by_its_power_draws_it_through_the_wire() {
    // 40 W through 0.5 ohm from 11 V: (11 + sqrt(121 - 80)) / 2 = 8.702 V; 3 W in a dip
    // to 6 V: 5.738 V. At 85 degC it needs 1.25545 x 9 = 11.299 V and 1.25545 x 4 =
    // 5.022 V. By hand.
    let coil = Coil {
        pull_in: Some(volts(9.0)),
        drop_out: Some(volts(4.0)),
        pull_in_power: Some(Power::from_watts(40.0).unwrap()),
        hold_power: Some(Power::from_watts(3.0).unwrap()),
        ..Coil::default()
    };
    let [pull_in, hold] = judge_coil(&coil, &supply(11.0, 6.0, 0.5, 85.0)).unwrap();
    assert!(
        (pull_in.value.unwrap() - 8.7016).abs() < 1e-3,
        "{pull_in:?}"
    );
    assert!((hold.value.unwrap() - 5.7386).abs() < 1e-3, "{hold:?}");
    assert!(
        (pull_in.limit.unwrap() - 11.299).abs() < 1e-3,
        "{pull_in:?}"
    );
    assert!((hold.limit.unwrap() - 5.022).abs() < 1e-3, "{hold:?}");
    assert_eq!(
        (pull_in.verdict, hold.verdict),
        (Verdict::Fails, Verdict::Holds)
    );
    // More power than the wire passes at all leaves nothing.
    let [starved, _] = judge_coil(&coil, &supply(8.0, 6.0, 0.5, 85.0)).unwrap();
    assert_eq!(starved.verdict, Verdict::Fails);
    assert!(starved.value.unwrap() < 1e-6);
}

#[test]
fn what_is_missing_leaves_the_coil_open() {
    let full = supply(11.0, 9.0, 0.1, 60.0);
    for (coil, supply) in [
        (Coil::default(), full),
        (copper(), CoilSupply { coil: None, ..full }),
        (copper(), CoilSupply { wire: None, ..full }),
        (copper(), CoilSupply::default()),
        (
            Coil {
                pull_in: None,
                drop_out: None,
                ..copper()
            },
            full,
        ),
    ] {
        for judged in judge_coil(&coil, &supply).unwrap() {
            assert_eq!(judged.verdict, Verdict::Open);
        }
    }
    let dead = Coil {
        resistance_20: Some(ohms(0.0)),
        ..copper()
    };
    assert_eq!(judge_coil(&dead, &full).unwrap()[0].verdict, Verdict::Fails);
}

proptest! {
    #[test]
    fn hotter_lower_or_more_wire_never_helps(
        lowest in 5.0_f32..16.0, less in 0.0_f32..3.0, wire in 0.0_f32..2.0, more in 0.0_f32..1.0,
        degc in -40.0_f32..150.0, up in 0.0_f32..40.0,
    ) {
        let judge = |lowest, wire, degc| judge_coil(&copper(), &supply(lowest, lowest, wire, degc)).unwrap();
        let (easy, hard) = (judge(lowest, wire, degc), judge(lowest - less, wire + more, degc + up));
        for (easy, hard) in easy.into_iter().zip(hard) {
            let (easy, hard) = (easy.value.unwrap() / easy.limit.unwrap(), hard.value.unwrap() / hard.limit.unwrap());
            prop_assert!(hard <= easy * 1.000_01);
        }
    }
}
