use super::*;

#[test]
fn a_lasting_overload_is_limited_and_then_opened() {
    let mut scene = Scene::driving();
    // Twice the 150 A of the string: 4.0e5 A2s at 2.0 times.
    scene.draw(299.0);
    let after = scene.until(CheckId::OvercurrentBand, 10_000);
    // Half of 4.0e5 A2s at 299 A: 2.24 s.
    assert!((2200..=2300).contains(&after), "{after}");
    assert!(scene.summary.advice.has(Advice::DERATE));
    assert!(!scene.summary.advice.has(Advice::OPEN_SOFTLY));
    scene.run(2400);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
    let told = scene
        .found
        .iter()
        .find(|one| one.check == CheckId::OvercurrentBand && one.part == 1);
    assert_eq!(told.unwrap().limit, 150.0);
    assert!(
        !scene.summary.may_close(),
        "nothing is closed on what is hot"
    );
    // The lasting current forgets nothing before its time.
    scene.draw(150.0);
    scene.run(290_000);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
    scene.run(620_000);
    assert!(
        !scene.summary.advice.has(Advice::OPEN_SOFTLY),
        "{:?}",
        scene.found
    );
}

#[test]
fn regeneration_has_its_own_limit() {
    let mut scene = Scene::driving();
    // 75 A of charge.
    scene.draw(-140.0);
    let after = scene.until(CheckId::OvercurrentBand, 60_000);
    assert!(after > 10_000, "{after}");
    let mut scene = Scene::driving();
    scene.draw(140.0);
    scene.run(60_000);
    assert_eq!(scene.state(CheckId::OvercurrentBand, 1), None);
}

#[test]
fn with_a_string_missing_the_pack_carries_what_is_left() {
    let mut scene = Scene::joined();
    scene.inputs.current = [Signal::now(0.0); MAX_CHANNELS];
    scene.limits.strings[0].discharge_a = 120.0;
    scene.run(10);
    // Only the first string: 120 A, although the pack channel stands for 300 A.
    scene.close(3, false);
    scene.close(4, false);
    scene.inputs.current[0] = Signal::now(250.0);
    let mut seen = None;
    for _ in 0..20_000 {
        scene.run(10);
        if let Some(told) = scene.found.iter().find(|one| {
            one.check == CheckId::OvercurrentBand && one.part == 0 && one.state == State::Found
        }) {
            seen = Some(told.limit);
            break;
        }
    }
    assert!(
        seen.is_some_and(|limit| (limit - 120.0).abs() < 0.01),
        "{seen:?}"
    );
}

#[test]
fn a_pulse_that_ages_the_fuse_is_counted() {
    let mut scene = Scene::driving();
    // 900 A through the 150 A string: 2.2e5 A2s melt its fuse at 6 times.
    for (seconds, bins) in [
        (0.05, [0, 0, 0]),
        (0.1, [1, 0, 0]),
        (0.16, [1, 1, 0]),
        (0.25, [1, 1, 1]),
    ] {
        scene.draw(880.0);
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        scene.run((seconds * 1e3) as u32);
        scene.draw(10.0);
        scene.run(10);
        assert_eq!(scene.monitors.counters().pulses[1], bins, "{seconds}");
        assert_eq!(
            scene
                .found
                .iter()
                .any(|one| one.check == CheckId::FusePulse && one.part == 1),
            seconds > 0.05
        );
        scene.run(100);
        assert!(!scene.finds(CheckId::FusePulse));
    }
    scene.monitors.fuse_replaced(1);
    assert_eq!(scene.monitors.counters().pulses[1], [0; 3]);
}

#[test]
fn a_current_that_is_not_known_limits_and_is_no_rest() {
    let mut scene = Scene::driving();
    scene.inputs.current[1] = Signal::NONE;
    scene.run(10);
    assert_eq!(scene.state(CheckId::OvercurrentBand, 1), Some(State::Blind));
    assert_eq!(scene.state(CheckId::ConductorHot, 1), Some(State::Blind));
    assert!(scene.summary.advice.has(Advice::DERATE));
    assert!(!scene.summary.may_close_main(1));
}

#[test]
fn a_conductor_warms_as_its_model_says_and_limits_the_current() {
    let mut scene = Scene::driving();
    let start = scene.monitors.conductor_degc(&scene.limits, 1).unwrap();
    assert!((start - 75.0).abs() < 1.0, "{start}");
    scene.draw(0.0);
    scene.run(2_000_000);
    let cold = scene.monitors.conductor_degc(&scene.limits, 1).unwrap();
    assert!((cold - 40.0).abs() < 6.0, "{cold}");
    // 0.75 x - 6 = i2 r (1 + g x): 115 K.
    scene.draw(450.0);
    scene.run(2_000_000);
    assert!(scene.finds(CheckId::ConductorHot));
    assert!(scene.summary.advice.has(Advice::DERATE));
}

#[test]
fn heating_does_not_depend_on_the_ticks() {
    let rise = |tick_ms: u32| {
        let mut scene = Scene::driving();
        scene.draw(200.0);
        let start = scene.monitors.conductor_degc(&scene.limits, 1).unwrap();
        for _ in 0..60_000 / tick_ms {
            scene.now_ms = scene.now_ms.wrapping_add(tick_ms);
            scene.tick();
        }
        scene.monitors.conductor_degc(&scene.limits, 1).unwrap() - start
    };
    let fine = rise(1);
    for tick_ms in [2, 5, 10, 50, 100, 200] {
        let coarse = rise(tick_ms);
        assert!(
            (coarse - fine).abs() < 0.01 * fine.abs() + 0.05,
            "{tick_ms}: {coarse} {fine}"
        );
    }
}

#[test]
fn a_current_beyond_its_sensor_counts_as_what_the_sensor_shows() {
    let mut scene = Scene::driving();
    // Of the first string: 1500 A, as much as 1.0e5 A2s of it in 44 ms.
    scene.inputs.current[1] = Signal::now(2000.0);
    let start = scene.monitors.conductor_degc(&scene.limits, 1).unwrap();
    scene.run(60);
    let one = scene.found.iter();
    let mut one = one.filter(|one| one.check == CheckId::OvercurrentBand && one.part == 1);
    let one = one.next().unwrap();
    assert_eq!((one.state, one.measured), (State::Found, 1500.0));
    assert!(one.advice.has(Advice::OPEN_SOFTLY), "{one:?}");
    scene.run(1000);
    let hot = scene.monitors.conductor_degc(&scene.limits, 1).unwrap();
    // 2.8e-4 ohm/m, 245 J/(m K): 2.6 K/s at least.
    assert!(hot - start > 2.4, "{start} {hot}");
}

#[test]
fn a_hot_conductor_is_told_although_its_current_is_not_known() {
    let mut scene = Scene::driving();
    scene.monitors.watched[1].warmth = warmth::Warmth::level(90.0);
    scene.inputs.current[1] = Signal::NONE;
    scene.run(10);
    assert_eq!(scene.state(CheckId::ConductorHot, 1), Some(State::Found));
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
    assert_eq!(scene.summary.derate, 0.0);
}

/// However long the ticks are, no conductor is left at what it was 0.14 s and a tick ago.
#[test]
fn heat_is_worked_in_soon() {
    for dt_ms in [1, 3, 10, 20, 33, 49, 50, 70, 100, 400] {
        let mut scene = Scene::driving();
        let circuit = scene.limits.circuits[0];
        scene.limits.circuits.clear();
        while scene.limits.circuits.push(circuit).is_ok() {}
        scene.run(500);
        scene.draw(600.0);
        let before = scene.monitors.watched.map(|one| one.warmth);
        let mut elapsed_ms = 0;
        while elapsed_ms < 2000 {
            elapsed_ms += dt_ms;
            scene.now_ms = scene.now_ms.wrapping_add(dt_ms);
            scene.tick();
            let seen_ms = elapsed_ms.saturating_sub(140 + dt_ms);
            for (now, before) in scene.monitors.watched.iter().zip(before) {
                let mut least = before;
                for _ in 0..seen_ms / 10 {
                    least.step(&circuit, 600.0 * 600.0, 0.01);
                }
                let (now, least) = (now.warmth.inner, least.inner);
                assert!(now >= least - 0.02, "{dt_ms} {elapsed_ms} {now} {least}");
            }
        }
    }
}

#[test]
fn what_is_missing_to_the_lasting_current_cools_what_was_heated() {
    // 299 A for 2 s use 0.447 of 4.0e5 A2s; 100 A are 12,500 A2 less than 150 A: 14.3 s.
    let mut scene = Scene::driving();
    scene.draw(299.0);
    scene.run(2000);
    let used = |scene: &Scene| scene.monitors.loads[1].used();
    assert!((used(&scene) - 0.447).abs() < 0.002, "{}", used(&scene));
    scene.draw(100.0);
    scene.run(10_000);
    assert!((used(&scene) - 0.1345).abs() < 0.003, "{}", used(&scene));
    scene.run(5000);
    assert_eq!(used(&scene), 0.0);
    // A duty of which the r.m.s. is below the lasting current goes on for ever...
    for _ in 0..200 {
        scene.draw(299.0);
        scene.run(1000);
        scene.draw(60.0);
        scene.run(6000);
        assert_eq!(scene.state(CheckId::OvercurrentBand, 1), None);
    }
    // ... and one of which it is above is found.
    let mut told = false;
    for _ in 0..200 {
        scene.draw(299.0);
        scene.run(1000);
        scene.draw(140.0);
        scene.run(6000);
        told |= scene.state(CheckId::OvercurrentBand, 1).is_some();
    }
    assert!(told);
}

#[test]
fn what_was_used_before_a_restart_comes_back_by_rest_alone() {
    let mut scene = Scene::driving();
    scene.monitors.loads[1].go_on_from(0.9);
    scene.run(100_000);
    assert!(scene.monitors.loads[1].used() >= 0.9);
    scene.run(210_000);
    assert_eq!(scene.monitors.loads[1].used(), 0.0);
}

#[test]
fn a_current_that_is_too_old_goes_on_as_it_was() {
    // In every other tick it is too old: nothing is won by that.
    let mut scene = Scene::driving();
    let mut found_after = 0;
    for tick in 0..1000 {
        scene.draw(299.0);
        if tick % 2 == 1 {
            scene.inputs.current[1].age_ms = 60;
        }
        scene.run(10);
        let half = scene.state(CheckId::OvercurrentBand, 1) == Some(State::Found);
        if half && found_after == 0 {
            found_after = 10 * tick;
        }
    }
    assert!((2200..=2300).contains(&found_after), "{found_after}");
    // And of one that cannot be used half is left at most.
    scene.inputs.current[1] = Signal::NONE;
    scene.run(10);
    assert!(scene.summary.derate <= 0.5);
}

#[test]
fn the_current_of_the_trip_is_told_in_its_time() {
    let mut scene = Scene::driving();
    scene.limits.channels[1].trip_a = Some(250.0);
    scene.limits.channels[1].trip_ms = 50.0;
    scene.draw(240.0);
    scene.run(100);
    assert!(!scene.summary.open(), "{:?}", scene.found);
    scene.draw(260.0);
    scene.run(40);
    assert!(!scene.summary.open(), "{:?}", scene.found);
    scene.run(10);
    assert!(scene.summary.open(), "{:?}", scene.found);
    // More than the contactors break stays with the fuse.
    scene.draw(1000.0);
    scene.run(10);
    assert!(!scene.summary.open(), "{:?}", scene.found);
}

#[test]
fn a_current_that_does_not_obey_is_opened_before_the_fuse_melts() {
    // 600 A of 150 A, 1.5e5 A2s at 4 times: 0.417 s, and a quarter more.
    let mut scene = Scene::driving();
    scene.draw(600.0);
    scene.run(400);
    assert!(!scene.summary.open());
    scene.run(20);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
    assert!(!scene.summary.open());
    scene.run(110);
    assert!(scene.summary.open(), "{:?}", scene.found);
    // One that goes is opened softly.
    let mut scene = Scene::driving();
    scene.draw(600.0);
    scene.run(430);
    scene.draw(0.0);
    scene.run(1000);
    assert!(!scene.summary.open(), "{:?}", scene.found);
}

#[test]
fn a_trip_below_the_lasting_current_is_advised() {
    for (trip_a, amperes, opens) in [
        (120.0, 119.0, false),
        (120.0, 122.0, true),
        (150.0, 151.0, true),
    ] {
        let mut scene = Scene::driving();
        scene.limits.channels[1].trip_a = Some(trip_a);
        scene.limits.channels[1].trip_ms = 50.0;
        scene.draw(amperes);
        scene.run(60);
        assert_eq!(scene.summary.open(), opens, "{amperes}");
    }
}

#[test]
fn a_string_that_carries_too_much_takes_the_pack_back_by_its_share() {
    let mut scene = Scene::joined();
    // 180 of 200 A flow through the first string, which stands 150 A.
    scene.inputs.current[0] = Signal::now(200.0);
    scene.inputs.current[1] = Signal::now(180.0);
    scene.inputs.current[2] = Signal::now(20.0);
    scene.until(CheckId::OvercurrentBand, 60_000);
    // 200 A x 0.95 x 150 / 180 are 158 A, of 300 A.
    let share = scene.summary.derate;
    assert!((share - 0.5278).abs() < 0.001, "{share}");
}

#[test]
fn what_was_to_be_opened_is_not_closed_again_at_once() {
    let mut scene = Scene::driving();
    scene.limits.channels[1].trip_a = Some(600.0);
    scene.draw(800.0);
    scene.run(60);
    assert!(scene.summary.open());
    scene.draw(0.0);
    scene.inputs.speed = Signal::now(0.0);
    scene.close(POSITIVE, false);
    scene.close(NEGATIVE, false);
    scene.inputs.link_voltage = Signal::now(10.0);
    // 2.2e5 A2s at 800 A, 150 A of lasting current: 5 s.
    scene.run(4000);
    assert!(!scene.summary.may_close(), "{:?}", scene.found);
    assert!(!scene.summary.advice.has(Advice::OPEN_NOW));
    scene.run(4000);
    assert!(scene.summary.may_close(), "{:?}", scene.found);
}
