use super::*;

/// 100 ohm and 1 mF: 100 ms.
const TAU_MS: f32 = 100.0;

/// Charges the first string's way with this much of the ideal curve and of the ideal
/// current, in ticks of 10 ms.
fn charge(
    scene: &mut Scene,
    for_ms: u16,
    volts: impl Fn(f32) -> f32,
    amperes: impl Fn(f32) -> f32,
) {
    scene.close(NEGATIVE, true);
    scene.close(RELAY, true);
    for ms in (0..for_ms).step_by(10) {
        let taus = (f32::from(ms) - 20.0).max(0.0) / TAU_MS;
        scene.inputs.link_voltage = Signal::now(volts(taus));
        scene.draw(amperes(taus));
        scene.run(10);
    }
}

fn ideal(taus: f32) -> f32 {
    360.0 * (1.0 - (-taus).exp())
}

fn current(taus: f32) -> f32 {
    3.6 * (-taus).exp()
}

fn told(scene: &Scene) -> Vec<CheckId> {
    let found = scene
        .found
        .iter()
        .filter(|one| one.state == State::Found && one.check != CheckId::ClosePermission);
    found.map(|one| one.check).collect()
}

#[test]
fn a_link_that_rises_as_it_should_is_left_alone() {
    // 20 % more and less of the time constant, a relay that pulls in 20 ms after the
    // command and noise of a volt.
    for stretch in [0.8, 1.0, 1.2] {
        let mut scene = Scene::parked();
        charge(
            &mut scene,
            800,
            |taus| (ideal(taus / stretch) + 0.3 * (taus * 91.0).sin()).max(0.0),
            |taus| current(taus / stretch),
        );
        assert_eq!(told(&scene), [], "{stretch}");
        assert!(scene.summary.may_close_main(0));
    }
}

#[test]
fn a_shorted_link_is_told_from_a_broken_sense_wire() {
    let mut scene = Scene::parked();
    charge(&mut scene, 120, |_| 3.0, |_| 3.5);
    assert_eq!(told(&scene), [CheckId::PrechargeShort]);
    let told_now = scene.one(CheckId::PrechargeShort);
    assert_eq!((told_now.measured, told_now.limit), (3.0, 36.0));
    assert!(told_now.advice.has(Advice::ABORT_PRECHARGE));
    assert_eq!(told_now.reset, Reset::Acknowledge);
    // Neither a new start nor time clears it.
    scene.close(RELAY, false);
    scene.close(NEGATIVE, false);
    scene.draw(0.0);
    scene.inputs.start = true;
    scene.run(120_000);
    assert!(!scene.summary.may_close());

    // The current decays while the wire reads zero: not shorted, but not right either.
    let mut scene = Scene::parked();
    charge(&mut scene, 250, |_| 0.0, current);
    assert!(
        told(&scene)
            .iter()
            .all(|check| *check != CheckId::PrechargeOpen)
    );
    assert!(!scene.summary.may_close());
}

#[test]
fn an_open_path_is_told_by_its_current_and_cleared_by_a_new_start() {
    let mut scene = Scene::parked();
    charge(&mut scene, 110, |_| 0.5, |_| 0.02);
    assert_eq!(told(&scene), [CheckId::PrechargeOpen]);
    scene.close(RELAY, false);
    scene.close(NEGATIVE, false);
    scene.run(1000);
    assert!(!scene.summary.may_close());
    scene.inputs.start = true;
    scene.run(10);
    assert!(scene.summary.may_close(), "{:?}", scene.found);
}

#[test]
fn a_load_that_holds_the_link_down_is_told() {
    let mut scene = Scene::parked();
    // Settles at 300 V, well above what is too slow.
    charge(
        &mut scene,
        700,
        |taus| 300.0 * (1.0 - (-taus * 1.2).exp()),
        |taus| (360.0 - 300.0 * (1.0 - (-taus * 1.2).exp())) / 100.0,
    );
    assert!(
        told(&scene).contains(&CheckId::PrechargeLoad),
        "{:?}",
        scene.found
    );
    assert!(!told(&scene).contains(&CheckId::PrechargeRise));
}

#[test]
fn half_the_expected_voltage_is_no_rise() {
    let mut scene = Scene::parked();
    charge(&mut scene, 200, |taus| 0.6 * ideal(taus), current);
    assert!(told(&scene).contains(&CheckId::PrechargeRise));
    let mut scene = Scene::parked();
    // A capacitor that is gone: up at once.
    let up = |taus| if taus > 0.0 { 355.0 } else { 0.0 };
    charge(&mut scene, 120, up, |_| 0.0);
    assert!(told(&scene).contains(&CheckId::PrechargeRise));
}

#[test]
fn it_gives_up_after_its_time() {
    let mut scene = Scene::parked();
    scene.limits.precharge[0].time_out_ms = 500.0;
    charge(&mut scene, 600, ideal, current);
    assert_eq!(told(&scene), [CheckId::PrechargeTimeOut]);
}

#[test]
fn the_resistor_has_to_cool_after_its_tries() {
    let mut scene = Scene::parked();
    // After a restart one try is left.
    charge(&mut scene, 600, ideal, current);
    scene.close(POSITIVE, true);
    scene.close(RELAY, false);
    scene.run(20);
    assert!(!scene.summary.may_precharge(0), "{:?}", scene.found);
    assert!(scene.summary.may_precharge(1), "the other resistor is cold");
    assert!(scene.summary.may_close());
    // ln(3/2) x 40 s to cool, and 60 s to wait.
    scene.run(60_000);
    assert!(!scene.summary.may_precharge(0));
    scene.run(30_000);
    assert!(scene.summary.may_precharge(0), "{:?}", scene.found);
}

#[test]
fn a_restart_in_the_middle_is_judged_from_where_it_is() {
    let mut scene = Scene::parked();
    charge(&mut scene, 150, ideal, current);
    scene.monitors = Monitors::new();
    let taus = 1.3;
    for ms in (0..600_u16).step_by(10) {
        let now = taus + f32::from(ms) / TAU_MS;
        scene.inputs.link_voltage = Signal::now(ideal(now));
        scene.draw(current(now));
        scene.run(10);
        let told = told(&scene);
        let bad = told
            .iter()
            .any(|check| check.rule().found.has(Advice::ABORT_PRECHARGE));
        assert!(!bad, "{ms} {told:?}");
    }
}

#[test]
fn without_a_voltage_precharge_is_aborted() {
    let mut scene = Scene::parked();
    charge(&mut scene, 100, ideal, current);
    scene.inputs.link_voltage = Signal::NONE;
    scene.run(10);
    assert!(scene.summary.advice.has(Advice::ABORT_PRECHARGE));
    assert_eq!(scene.state(CheckId::PrechargeRise, 0), Some(State::Blind));
}

#[test]
fn a_welded_relay_heats_the_resistor_although_nobody_commands_it() {
    let mut scene = Scene::parked();
    scene.inputs.link_voltage = Signal::now(100.0);
    scene.run(10);
    let before = scene.monitors.paths[0].kept();
    scene.inputs.switches[RELAY].contact = Flag::now(true);
    scene.run(1000);
    let after = scene.monitors.paths[0].kept();
    // 260 V across 100 ohm for a second, of half of 1 mF at 410 V.
    assert!(
        (after - before - 8.04).abs() < 0.1 || after >= 6.0,
        "{after}"
    );
    assert!(!scene.summary.may_precharge(0));
}

#[test]
fn what_bleeds_the_link_is_no_load_that_nobody_knows() {
    // 2.2 kohm behind 33 ohm leave 5.3 V of 360, a little less than may be left: it comes
    // there ever slower.
    let mut scene = Scene::parked();
    scene.limits.close.within_v = 6.0;
    let path = &mut scene.limits.precharge[0];
    (path.resistance_ohm, path.capacitance_f) = (33.0, 2.2e-3);
    scene.limits.standing[0].amount = 2200.0;
    let share = 2200.0 / 2233.0;
    let tau = share * 0.0726;
    let mut told_of = Vec::new();
    scene.close(NEGATIVE, true);
    scene.close(RELAY, true);
    for ms in (0..1200_u16).step_by(10) {
        let seconds = (f32::from(ms) - 20.0).max(0.0) * 1.0e-3;
        scene.inputs.link_voltage = Signal::now(360.0 * share * (1.0 - (-seconds / tau).exp()));
        scene.draw(2.0);
        scene.run(10);
        told_of.extend(told(&scene));
    }
    assert_eq!(told_of, []);
    assert!(scene.summary.may_close_main(0), "{:?}", scene.found);
}

#[test]
fn an_open_path_is_told_however_short_the_time_constant() {
    let mut scene = Scene::parked();
    scene.limits.precharge[0].capacitance_f = 8.0e-5;
    charge(&mut scene, 200, |_| 0.0, |_| 0.0);
    assert!(scene.finds(CheckId::PrechargeOpen), "{:?}", scene.found);
}

#[test]
fn a_second_start_waits_for_no_more_than_the_resistor_needs() {
    // It stands the heat of 1.8 tries: after one, and 26 J until the relay pulled in, 1.1
    // are left to fall to 0.8: 40 s x ln(1.1 / 0.8) = 13 s.
    let mut scene = Scene::parked();
    scene.limits.precharge[0].tries = 1.8;
    scene.limits.precharge[0].wait_ms = 1000.0;
    scene.run(300_000);
    charge(&mut scene, 800, ideal, current);
    scene.close(RELAY, false);
    scene.inputs.link_voltage = Signal::now(0.0);
    scene.run(2000);
    assert!(!scene.summary.may_precharge(0));
    scene.run(16_000);
    assert!(scene.summary.may_precharge(0), "{:?}", scene.found);
}

#[test]
fn steps_of_a_sensor_are_no_load() {
    // In steps of 1 V, in each place between two of them.
    for part in 0..10_u8 {
        let mut scene = Scene::parked();
        scene.limits.close.within_v = 2.0;
        let off = 0.1 * f32::from(part);
        let step = |volts: f32| (volts + off).floor() - off;
        let mut loads = false;
        scene.close(NEGATIVE, true);
        scene.close(RELAY, true);
        for ms in (0..800_u16).step_by(10) {
            let taus = (f32::from(ms) - 20.0).max(0.0) / TAU_MS;
            scene.inputs.link_voltage = Signal::now(step(ideal(taus)).max(0.0));
            scene.draw(current(taus));
            scene.run(10);
            loads |= scene.state(CheckId::PrechargeLoad, 0).is_some();
        }
        assert!(!loads, "{off}");
    }
}

#[test]
fn a_relay_may_take_its_time() {
    for late_ms in [5.0, 50.0, 95.0] {
        let mut scene = Scene::parked();
        scene.limits.precharge[0].pull_in_ms = 100.0;
        scene.close(NEGATIVE, true);
        scene.close(RELAY, true);
        for ms in (0..800_u16).step_by(10) {
            let taus = (f32::from(ms) - late_ms).max(0.0) / TAU_MS;
            scene.inputs.link_voltage = Signal::now(ideal(taus));
            scene.draw(if taus > 0.0 { current(taus) } else { 0.0 });
            scene.run(10);
            assert_eq!(told(&scene), [], "{late_ms} {ms}");
        }
    }
}

#[test]
fn a_string_that_joins_through_its_resistor_is_not_aborted() {
    let mut scene = Scene::driving();
    scene.draw(0.0);
    scene.inputs.string_voltage[1] = Signal::now(372.0);
    scene.close(4, true);
    scene.close(5, true);
    for _ in 0..300 {
        scene.run(10);
        assert!(
            !scene.summary.advice.has(Advice::ABORT_PRECHARGE),
            "{:?}",
            scene.found
        );
    }
}
