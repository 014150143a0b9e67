use super::*;

#[test]
fn isolation_is_warned_of_first_and_forbids_closing_at_its_limit() {
    let mut scene = Scene::parked();
    scene.run(60_000);
    // 410 V: warning below 1.025 Mohm, limit 205 kohm.
    scene.inputs.isolation = Signal::now(800.0e3);
    let after = scene.until(CheckId::IsolationLow, 20_000);
    assert_eq!(after, 10_000);
    assert!(scene.summary.may_close());
    scene.inputs.isolation = Signal::now(200.0e3);
    scene.run(10_000);
    assert!(!scene.summary.may_close());
    assert!(scene.summary.advice.has(Advice::STOP_CHARGING));
    scene.inputs.speed = Signal::now(50.0);
    scene.run(10);
    assert!(
        !scene.summary.advice.has(Advice::OPEN_NOW),
        "moving it is only told"
    );
    // Dry again.
    scene.inputs.isolation = Signal::now(5.0e6);
    scene.run(9_000);
    assert!(!scene.summary.may_close());
    scene.run(2_000);
    assert!(scene.summary.may_close(), "{:?}", scene.found);
}

#[test]
fn isolation_is_given_time_after_a_contactor_moved_and_after_plugging() {
    let mut scene = Scene::driving();
    scene.inputs.isolation = Signal::now(100.0e3);
    scene.run(20_000);
    assert!(scene.summary.may_close(), "30 s after a contactor moved");
    scene.run(15_000);
    assert!(!scene.summary.may_close());
    let mut scene = Scene::parked();
    scene.run(60_000);
    scene.inputs.plugged = Some(Flag::now(true));
    scene.inputs.isolation = Signal::now(100.0e3);
    scene.run(15_000);
    assert!(scene.summary.may_close());
    scene.run(10_000);
    assert!(!scene.summary.may_close());
}

/// A value that comes and goes around its limit.
#[test]
fn isolation_that_flickers_is_found() {
    let mut scene = Scene::parked();
    let mut after_s = 0;
    while !scene.finds(CheckId::IsolationLow) {
        scene.inputs.isolation = Signal::now(990.0e3);
        scene.run(1000);
        if !scene.finds(CheckId::IsolationLow) {
            scene.inputs.isolation = Signal::now(1.05e6);
            scene.run(1000);
        }
        after_s += 2;
        assert!(after_s < 60, "{:?}", scene.found);
    }
    assert!(after_s > 20, "{after_s}");
    // Less than the alarm: told, and nothing more.
    assert!(scene.summary.may_close());
}

#[test]
fn an_old_isolation_is_unknown_and_not_zero() {
    let mut scene = Scene::parked();
    scene.inputs.isolation.age_ms = 19_000;
    scene.run(20);
    assert!(scene.summary.may_close());
    scene.inputs.isolation.age_ms = 21_000;
    scene.run(20);
    assert!(scene.finds(CheckId::IsolationStale));
    assert_eq!(scene.state(CheckId::IsolationLow, 1), Some(State::Blind));
    assert!(!scene.finds(CheckId::IsolationLow));
    assert!(!scene.summary.may_close());
}

#[test]
fn the_interlock_is_warned_of_while_moving_and_opens_when_slow() {
    let mut scene = Scene::driving();
    scene.inputs.interlock = Some(Flag::now(false));
    scene.run(20);
    assert_eq!(
        scene.state(CheckId::InterlockOpen, 0),
        Some(State::Watching),
        "a bump"
    );
    scene.run(20);
    assert!(scene.finds(CheckId::InterlockOpen));
    assert!(!scene.summary.advice.has(Advice::OPEN_SOFTLY));
    scene.inputs.speed = Signal::now(3.0);
    scene.run(10);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
    // Closed again: a new start clears it.
    scene.inputs.interlock = Some(Flag::now(true));
    scene.run(1000);
    assert!(!scene.summary.may_close());
    scene.inputs.start = true;
    scene.run(10);
    assert!(scene.summary.may_close());
}

#[test]
fn a_vehicle_that_moves_while_plugged_is_stopped() {
    let mut scene = Scene::parked();
    scene.inputs.plugged = Some(Flag::now(true));
    scene.run(200);
    assert!(scene.is_quiet(), "{:?}", scene.found);
    scene.inputs.torque = true;
    scene.run(60);
    assert!(scene.summary.advice.has(Advice::ZERO_TORQUE));
}

#[test]
fn a_joint_is_held_against_its_limit_and_its_twin() {
    let mut scene = Scene::driving();
    scene.inputs.joints[0] = Some([Signal::now(60.0), Signal::now(40.0)]);
    let after = scene.until(CheckId::JointHot, 20_000);
    assert_eq!(after, 10_000);
    let told = scene.one(CheckId::JointHot);
    assert_eq!((told.measured, told.limit), (20.0, 15.0));
    scene.inputs.joints[0] = Some([Signal::now(95.0), Signal::now(94.0)]);
    scene.run(10);
    assert_eq!(scene.one(CheckId::JointHot).limit, 90.0);
    scene.inputs.joints[0] = Some([Signal::NONE, Signal::now(94.0)]);
    scene.run(10);
    assert!(scene.finds(CheckId::JointHot), "it stays found");
    let mut scene = Scene::driving();
    scene.inputs.joints[0] = Some([Signal::now(50.0), Signal::now(40.0)]);
    scene.run(20_000);
    assert_eq!(scene.state(CheckId::JointHot, 0), None, "the sun");
}

#[test]
fn a_hot_precharge_resistor_forbids_closing() {
    let mut scene = Scene::parked();
    scene.inputs.resistor = Some(Signal::now(210.0));
    scene.until(CheckId::ResistorHot, 10_000);
    assert!(!scene.summary.may_close());
}

#[test]
fn a_late_tick_is_told_and_the_clock_may_wrap() {
    let mut scene = Scene::parked();
    scene.now_ms = u32::MAX - 5;
    scene.tick();
    scene.run(500);
    assert!(!scene.finds(CheckId::TickLate));
    scene.now_ms = scene.now_ms.wrapping_add(300);
    scene.tick();
    assert!(scene.finds(CheckId::TickLate));
    assert!(!scene.summary.may_close());
    // Back in time is late too.
    let mut scene = Scene::parked();
    scene.now_ms = scene.now_ms.wrapping_sub(50);
    scene.tick();
    assert!(scene.finds(CheckId::TickLate));
}

#[test]
fn what_is_plugged_in_stands_though_its_speed_is_not_known() {
    let mut scene = Scene::parked();
    scene.inputs.speed = Signal::NONE;
    scene.run(10);
    // Less is found of what may move: that is told.
    assert_eq!(scene.state(CheckId::PlugMoves, 0), Some(State::Blind));
    assert!(!scene.summary.advice.has(Advice::ZERO_TORQUE));
    scene.inputs.plugged = Some(Flag::now(true));
    scene.inputs.isolation = Signal::now(50_000.0);
    scene.run(40_000);
    assert!(scene.summary.advice.has(Advice::STOP_CHARGING));
    scene.inputs.interlock = Some(Flag::now(false));
    scene.run(100);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
}

#[test]
fn charging_stops_unless_the_vehicle_is_seen_to_move_or_to_be_unplugged() {
    let mut scene = Scene::parked();
    scene.inputs.plugged = Some(Flag::now(true));
    scene.inputs.isolation = Signal::now(50_000.0);
    scene.run(40_000);
    let speeds = [Signal::now(0.0), Signal::now(50.0), Signal::NONE];
    let plugs = [
        Some(Flag::now(true)),
        Some(Flag::now(false)),
        Some(Flag::NONE),
        None,
    ];
    for (speed, stops) in speeds.into_iter().zip([
        [true; 4],
        [false; 4],
        // Without either nobody knows whether it charges.
        [true, false, true, true],
    ]) {
        for (plugged, stops) in plugs.into_iter().zip(stops) {
            scene.inputs.speed = speed;
            scene.inputs.plugged = plugged;
            scene.run(10);
            assert!(scene.finds(CheckId::IsolationLow));
            let told = scene.summary.advice.has(Advice::STOP_CHARGING);
            assert_eq!(told, stops, "{speed:?} {plugged:?}");
        }
    }
}

/// Only capacitors that are seen to be plugged in give isolation more time.
#[test]
fn a_plug_contact_that_tells_nothing_gives_isolation_no_time() {
    for plugged in [Some(Flag::now(false)), Some(Flag::NONE), None] {
        let mut scene = Scene::parked();
        scene.run(60_000);
        scene.inputs.plugged = plugged;
        scene.inputs.isolation = Signal::now(100.0e3);
        scene.run(9_990);
        assert!(scene.summary.may_close());
        scene.run(20);
        assert!(!scene.summary.may_close(), "{plugged:?}");
    }
    // Nor more than a charger that is there, where a contactor moved.
    for plugged in [true, false] {
        let mut scene = Scene::driving();
        scene.inputs.speed = Signal::now(0.0);
        scene.inputs.isolation = Signal::now(100.0e3);
        let told = Some(plugged).filter(|_| plugged);
        scene.inputs.plugged = Some(Flag {
            on: told,
            age_ms: 0,
        });
        scene.run(19_000);
        assert!(scene.summary.may_close());
        scene.run(1010);
        assert!(!scene.summary.may_close(), "{plugged}");
    }
    // Nor are they new again after it told nothing for a while.
    let mut scene = Scene::parked();
    scene.inputs.plugged = Some(Flag::now(true));
    scene.run(40_000);
    scene.inputs.plugged = Some(Flag::NONE);
    scene.run(1000);
    scene.inputs.plugged = Some(Flag::now(true));
    scene.inputs.isolation = Signal::now(100.0e3);
    scene.run(10_010);
    assert!(!scene.summary.may_close());
}

#[test]
fn a_clock_that_goes_back_is_told_and_counts_as_no_time() {
    let mut scene = Scene::driving();
    scene.inputs.open = OpenRequest::Soft;
    scene.draw(200.0);
    scene.run(100);
    scene.now_ms = scene.now_ms.wrapping_sub(1);
    scene.tick();
    assert!(scene.finds(CheckId::TickLate));
    assert!(!scene.summary.open(), "{:?}", scene.found);
    assert_eq!(scene.state(CheckId::OvercurrentBand, 1), None);
    scene.run(4700);
    assert!(!scene.summary.open());
    scene.run(300);
    assert!(scene.summary.open());
}

#[test]
fn an_interlock_that_bounced_while_driving_opens_nothing_at_the_next_stop() {
    let mut scene = Scene::driving();
    scene.inputs.interlock = Some(Flag::now(false));
    scene.run(40);
    assert!(scene.finds(CheckId::InterlockOpen));
    scene.inputs.interlock = Some(Flag::now(true));
    scene.run(600_000);
    scene.inputs.speed = Signal::now(3.0);
    scene.run(100);
    assert!(!scene.summary.advice.has(Advice::OPEN_SOFTLY));
    assert!(!scene.summary.may_close(), "until a new start");
    // Opened while it stands it goes on to be opened.
    scene.inputs.interlock = Some(Flag::now(false));
    scene.run(40);
    scene.inputs.interlock = Some(Flag::now(true));
    scene.run(1000);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
}
