use super::super::latch::{Latch, Look};
use super::*;

fn steps(latch: &mut Latch, look: Look, ticks: u32, times: [u32; 2], reset: Reset) {
    for _ in 0..ticks {
        latch.step(look, 10, times, reset, false);
    }
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
    for look in [Look::Idle, Look::Blind(Blind::Stale)] {
        steps(&mut latch, look, 100, [0, 50], Reset::Gone);
        assert_eq!(latch.state(), State::Found);
    }
    // Seen once and then not seen, it counts as going on.
    let mut latch = Latch::IDLE;
    steps(&mut latch, Look::Bad, 1, [30, 0], Reset::Gone);
    steps(
        &mut latch,
        Look::Blind(Blind::Stale),
        2,
        [30, 0],
        Reset::Gone,
    );
    assert_eq!(latch.state(), State::Found);
}

#[test]
fn the_time_in_a_state_stands_still_after_six_days() {
    let mut latch = Latch::IDLE;
    for _ in 0..3 {
        latch.step(Look::Good, u32::MAX / 2, [0; 2], Reset::Gone, false);
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
