//! The heat store of a resistor.

use super::*;
use crate::standard::SourceId;
use proptest::prelude::*;

fn rating() -> ResistorRating {
    ResistorRating {
        pulse: Some(joules(400.0)),
        peak_power: None,
        power: Some(watts(25.0)),
        cooling: Some(seconds(60.0)),
    }
}

fn tries(count: u8, pause: f32) -> Tries {
    Tries {
        count,
        pause: seconds(pause),
    }
}

fn near(got: f32, expected: f32) {
    assert!(
        (got / expected - 1.0).abs() < 1e-5,
        "{got}, expected {expected}"
    );
}

#[test]
fn tries_add_up_and_pauses_take_off() {
    let three = rating()
        .stored_by_tries(joules(94.0), tries(3, 0.0))
        .unwrap();
    near(three.as_joules(), 282.0);
    // 94 (1 + e^-0.5 + e^-1)
    let apart = rating()
        .stored_by_tries(joules(94.0), tries(3, 30.0))
        .unwrap();
    near(
        apart.as_joules(),
        94.0 * (1.0 + 0.606_530_66 + 0.367_879_44),
    );
    assert_eq!(rating().most_tries(joules(94.0), seconds(0.0)), Some(4));
    assert_eq!(rating().most_tries(joules(401.0), seconds(0.0)), Some(0));
    assert_eq!(
        rating().most_tries(joules(94.0), seconds(60.0)),
        Some(u8::MAX)
    );
    assert_eq!(
        ResistorRating::default().most_tries(joules(1.0), seconds(0.0)),
        None
    );
    // None counts as one.
    let none = rating()
        .stored_by_tries(joules(94.0), tries(0, 0.0))
        .unwrap();
    near(none.as_joules(), 94.0);
}

#[test]
fn the_lock_lets_the_series_begin_again_for_ever() {
    for (count, pause) in [(3, 0.0), (3, 10.0), (2, 60.0), (4, 5.0)] {
        let series = tries(count, pause);
        let Lock::For(lock) = rating().lock(joules(94.0), series).unwrap() else {
            panic!("a time was expected")
        };
        let mut stored = joules(0.0);
        let mut peak = 0.0_f32;
        for _ in 0..20 {
            for number in 0..count {
                if number > 0 {
                    stored = rating()
                        .stored_after(stored, watts(0.0), seconds(pause))
                        .unwrap();
                }
                stored = joules(stored.as_joules() + 94.0);
                peak = peak.max(stored.as_joules());
            }
            stored = rating().stored_after(stored, watts(0.0), lock).unwrap();
        }
        assert!(peak <= 400.0 * (1.0 + 1e-5), "{peak}");
        // Not longer than needed, except where nothing has to be waited for.
        assert!(peak > 399.0 || lock.as_seconds() <= 0.0, "{peak} {lock:?}");
    }
    assert_eq!(rating().lock(joules(200.0), tries(3, 0.0)), Ok(Lock::Never));
    let bare = ResistorRating {
        power: None,
        cooling: None,
        ..rating()
    };
    assert_eq!(bare.lock(joules(94.0), tries(3, 0.0)), Ok(Lock::NotKnown));
    assert_eq!(bare.lock(joules(500.0), tries(1, 0.0)), Ok(Lock::Never));
    let nothing = ResistorRating::default();
    assert_eq!(
        nothing.lock(joules(94.0), tries(3, 0.0)),
        Ok(Lock::NotKnown)
    );
}

#[test]
fn a_stuck_relay_is_stood_for_as_long_as_the_store_lasts() {
    // 3459 W: 400 J in 0.1156 s, a little longer with cooling.
    let Stands::For(time) = rating().stands(watts(3459.0)).unwrap() else {
        panic!("a time was expected")
    };
    near(
        time.as_seconds(),
        -60.0 * (-400.0 / (3459.0 * 60.0_f32)).ln_1p(),
    );
    assert_eq!(rating().stands(watts(25.0)), Ok(Stands::Always));
    // Above the lasting power the datasheet promises nothing for ever.
    let slow = ResistorRating {
        cooling: Some(seconds(5.0)),
        ..rating()
    };
    assert_eq!(slow.stands(watts(50.0)), Ok(Stands::For(seconds(8.0))));
    assert_eq!(
        ResistorRating::default().stands(watts(1.0)),
        Ok(Stands::NotKnown)
    );
}

#[test]
fn cooling_that_is_not_stated_is_pulse_over_power() {
    let derived = ResistorRating {
        cooling: None,
        ..rating()
    };
    assert_eq!(
        derived.cooling(),
        Some((seconds(16.0), SourceId::ProjectDefault))
    );
    assert_eq!(rating().cooling(), Some((seconds(60.0), SourceId::Entered)));
    assert_eq!(ResistorRating::default().cooling(), None);
    let none = ResistorRating {
        cooling: Some(seconds(0.0)),
        ..rating()
    };
    assert_eq!(none.cooling(), None);
}

proptest! {
    #[test]
    fn many_ticks_are_one_long_one(power in 0.0_f32..5000.0, ticks in 1_u16..500) {
        let tick = seconds(0.01);
        let mut stored = joules(100.0);
        for _ in 0..ticks {
            stored = rating().stored_after(stored, watts(power), tick).unwrap();
        }
        let whole = rating()
            .stored_after(joules(100.0), watts(power), seconds(f32::from(ticks) * 0.01))
            .unwrap();
        // Hundreds of additions in f32.
        prop_assert!((stored.as_joules() / whole.as_joules() - 1.0).abs() < 1e-4);
    }

    #[test]
    fn more_power_is_never_stood_for_longer(low in 30.0_f32..5000.0, more in 1.0_f32..5000.0) {
        let time = |power| match rating().stands(watts(power)).unwrap() {
            Stands::For(time) => time.as_seconds(),
            Stands::Always => f32::INFINITY,
            Stands::NotKnown => panic!("everything is known"),
        };
        prop_assert!(time(low + more) <= time(low));
    }
}
