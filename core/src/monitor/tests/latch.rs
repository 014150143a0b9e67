use super::super::finding::Rule;
use super::super::latch::{Latch, Look};
use super::*;

fn rule(reset: Reset) -> Rule {
    Rule {
        reset,
        remembers: false,
        found: Advice::WARN,
        blind: Advice::WARN,
    }
}

fn steps(latch: &mut Latch, look: Look, ticks: u32, times: [u32; 2], reset: Reset) {
    for _ in 0..ticks {
        latch.step(look, 10, times, rule(reset), false);
    }
}

/// Looks that repeat, until it is found; ms.
fn flickers(looks: &[Look], dt_ms: u32, on_ms: u32, most_ms: u32) -> Option<u32> {
    let mut latch = Latch::IDLE;
    let rule = Rule {
        remembers: true,
        ..rule(Reset::Gone)
    };
    let mut ms = 0;
    for look in looks.iter().cycle() {
        ms += dt_ms;
        latch.step(*look, dt_ms, [on_ms, on_ms], rule, false);
        if latch.state() == State::Found {
            return Some(ms);
        }
        if ms >= most_ms {
            return None;
        }
    }
    None
}

#[test]
fn what_flickers_is_found_where_a_check_remembers() {
    use Look::{Bad, Good};
    let hour = 3_600_000;
    // Without a gap as soon as ever.
    assert_eq!(flickers(&[Bad], 20, 10_000, hour), Some(10_000));
    // Half of the time: 20 ms on, 5 ms off.
    let half = flickers(&[Bad, Good], 20, 10_000, hour).unwrap();
    assert!((26_000..28_000).contains(&half), "{half}");
    assert!(flickers(&[Bad, Good, Good, Good], 20, 10_000, hour).is_some());
    // A fifth of the time and less is none, however long.
    assert_eq!(
        flickers(&[Bad, Good, Good, Good, Good], 20, 10_000, hour),
        None
    );
    // In ticks of a millisecond both count the same.
    assert_eq!(flickers(&[Bad, Good], 1, 10_000, hour), None);
    assert!(flickers(&[Bad, Bad, Good], 1, 10_000, hour).is_some());
}

#[test]
fn what_was_bad_for_a_while_is_forgotten() {
    let mut latch = Latch::IDLE;
    let rule = Rule {
        remembers: true,
        ..rule(Reset::Gone)
    };
    let mut run = |look, ms: u32| {
        for _ in 0..ms / 20 {
            latch.step(look, 20, [10_000, 10_000], rule, false);
        }
        latch
    };
    assert_eq!(run(Look::Bad, 9_000).state(), State::Watching);
    assert_eq!(run(Look::Good, 35_900).state(), State::Watching);
    assert_eq!(run(Look::Good, 100).state(), State::Good);
    assert_eq!(run(Look::Bad, 9_980).state(), State::Watching);
    assert_eq!(run(Look::Bad, 20).state(), State::Found);
    // Once found it has to be gone without a gap.
    run(Look::Good, 9_000);
    run(Look::Bad, 20);
    assert_eq!(run(Look::Good, 9_000).state(), State::Clearing);
}

#[test]
fn it_has_to_last_and_to_be_gone() {
    let mut latch = Latch::IDLE;
    steps(&mut latch, Look::Bad, 2, [30, 50], Reset::Gone);
    assert_eq!(latch.state(), State::Watching);
    steps(&mut latch, Look::Bad, 1, [30, 50], Reset::Gone);
    assert_eq!(latch.state(), State::Found);
    steps(&mut latch, Look::Good, 4, [30, 50], Reset::Gone);
    assert_eq!(latch.state(), State::Clearing);
    steps(&mut latch, Look::Bad, 1, [30, 50], Reset::Gone);
    assert_eq!(latch.state(), State::Found);
    steps(&mut latch, Look::Good, 5, [30, 50], Reset::Gone);
    assert_eq!(latch.state(), State::Good);
}

#[test]
fn a_gap_between_two_tries_starts_the_time_anew() {
    let mut latch = Latch::IDLE;
    for _ in 0..100 {
        steps(&mut latch, Look::Bad, 2, [30, 0], Reset::Gone);
        steps(&mut latch, Look::Good, 1, [30, 0], Reset::Gone);
    }
    assert_eq!(latch.state(), State::Good);
}

#[test]
fn what_is_not_seen_is_not_gone() {
    let mut latch = Latch::IDLE;
    steps(&mut latch, Look::Bad, 1, [0, 50], Reset::Gone);
    for look in [Look::Idle, Look::Stale] {
        steps(&mut latch, look, 100, [0, 50], Reset::Gone);
        assert_eq!(latch.state(), State::Found);
    }
    // Seen once and then not seen, it counts as going on.
    let mut latch = Latch::IDLE;
    steps(&mut latch, Look::Bad, 1, [30, 0], Reset::Gone);
    steps(&mut latch, Look::Stale, 2, [30, 0], Reset::Gone);
    assert_eq!(latch.state(), State::Found);
}

#[test]
fn the_time_in_a_state_stands_still_after_six_days() {
    let mut latch = Latch::IDLE;
    for _ in 0..3 {
        latch.step(Look::Good, u32::MAX / 2, [0; 2], rule(Reset::Gone), false);
    }
    assert_eq!(latch.for_ms(), (1 << 29) - 1);
    assert_eq!(latch.state(), State::Good);
}

#[test]
fn an_acknowledgement_clears_nothing_that_clears_otherwise() {
    let mut scene = Scene::parked();
    scene.close(RELAY, true);
    scene.until(CheckId::PrechargeTimeOut, 3000);
    scene.close(RELAY, false);
    for check in CheckId::ALL {
        if check.rule().reset != Reset::Acknowledge {
            scene.monitors.acknowledge(*check, 0);
        }
    }
    scene.run(10);
    assert!(!scene.summary.may_close(), "{:?}", scene.found);
}

#[test]
fn a_clock_that_stands_still_is_found() {
    let mut scene = Scene::parked();
    // Ticks of less than a millisecond may come twice in one.
    for _ in 0..50 {
        scene.tick();
    }
    assert_eq!(scene.state(CheckId::TickLate, 0), None);
    for _ in 0..60 {
        scene.tick();
    }
    assert_eq!(scene.state(CheckId::TickLate, 0), Some(State::Blind));
    assert!(!scene.summary.may_close());
    scene.run(10);
    assert_eq!(scene.state(CheckId::TickLate, 0), None);
}

#[test]
fn acknowledging_again_and_again_hides_nothing() {
    for every_ms in [10, 150] {
        let mut scene = Scene::driving();
        for switch in &mut scene.limits.switches {
            switch.feedback = 0;
        }
        scene.draw(0.0);
        scene.run(500);
        scene.inputs.link_voltage = Signal::now(5.0);
        let mut opens = 0;
        for _ in 0..2000 / every_ms {
            for part in [0, 1] {
                scene.monitors.acknowledge(CheckId::MainCloseVerify, part);
            }
            for _ in 0..every_ms / 10 {
                scene.run(10);
                opens += u32::from(scene.summary.open());
            }
        }
        assert!(opens > 0, "{every_ms}: {opens}");
    }
}

#[test]
fn one_sample_is_no_time_however_long_the_tick() {
    let mut latch = Latch::IDLE;
    latch.step(Look::Bad, 200, [200, 0], rule(Reset::Gone), false);
    assert_eq!(latch.state(), State::Watching);
    latch.step(Look::Good, 10, [200, 0], rule(Reset::Gone), false);
    assert_eq!(latch.state(), State::Good);
    latch.step(Look::Bad, 200, [200, 0], rule(Reset::Gone), false);
    latch.step(Look::Bad, 1, [200, 0], rule(Reset::Gone), false);
    assert_eq!(latch.state(), State::Found);
    // What has to last for no time is found at once.
    let mut latch = Latch::IDLE;
    latch.step(Look::Bad, 0, [0, 0], rule(Reset::Gone), false);
    assert_eq!(latch.state(), State::Found);
}
