#![allow(clippy::cast_precision_loss)] // some hundred ticks

use super::*;

#[test]
fn voltages_that_differ_while_closed_are_implausible() {
    let mut scene = Scene::driving();
    // 1.5 % and 2 V of 360 V are 7.4 V.
    scene.inputs.link_voltage = Signal::now(353.0);
    scene.run(1000);
    assert_eq!(scene.state(CheckId::SensorPlausible, 0), None);
    scene.inputs.link_voltage = Signal::now(352.0);
    let after = scene.until(CheckId::SensorPlausible, 1000);
    assert_eq!(after, 200);
    assert!(!scene.summary.may_close());
    assert!(scene.summary.advice.has(Advice::DERATE));
    // Right again, it stays until somebody looked after it.
    scene.inputs.link_voltage = Signal::now(360.0);
    scene.run(60_000);
    assert!(!scene.summary.may_close());
    scene.monitors.acknowledge(CheckId::SensorPlausible, 0);
    scene.run(10);
    assert!(scene.summary.may_close());
}

#[test]
fn a_ramp_of_current_excuses_filters_of_different_length() {
    let mut scene = Scene::driving();
    scene.inputs.link_voltage = Signal::now(350.0);
    let mut amperes = 0.0;
    for _ in 0..100 {
        // 500 A/s.
        amperes += 5.0;
        scene.draw(amperes);
        scene.run(10);
    }
    assert!(!scene.finds(CheckId::SensorPlausible));
    // The ramp is forgotten within 100 ms, then they have to differ for 200.
    scene.run(320);
    assert!(
        scene.finds(CheckId::SensorPlausible),
        "without a ramp it is found"
    );
}

#[test]
fn noise_of_the_current_hides_nothing() {
    // 3 A up and down from tick to tick are 600 A/s of one tick, and none of a while.
    let mut scene = Scene::driving();
    scene.inputs.link_voltage = Signal::now(340.0);
    let mut after = 0;
    for tick in 0..100 {
        scene.draw(if tick % 2 == 0 { 57.0 } else { 63.0 });
        scene.run(10);
        if scene.finds(CheckId::SensorPlausible) {
            after = 10 * tick;
            break;
        }
    }
    assert!((190..=220).contains(&after), "{after}");
}

#[test]
fn a_current_that_swings_gives_the_voltages_time_between() {
    // 20 A at 2 Hz: 251 A/s at its steepest.
    let mut scene = Scene::driving();
    scene.inputs.link_voltage = Signal::now(340.0);
    let mut after = 0;
    for tick in 0..1000 {
        let seconds = 0.01 * tick as f32;
        scene.draw(150.0 + 20.0 * (2.0 * core::f32::consts::TAU * seconds).sin());
        scene.run(10);
        if scene.finds(CheckId::SensorPlausible) {
            after = 10 * tick;
            break;
        }
    }
    assert!((190..=800).contains(&after), "{after}");
}

#[test]
fn what_lies_between_cells_and_link_takes_its_share() {
    let mut scene = Scene::driving();
    scene.limits.sensors.drop_ohm = 0.0125;
    scene.draw(120.0);
    // 7.4 V of the sensors, and 1.5 V.
    scene.inputs.link_voltage = Signal::now(351.2);
    scene.run(2000);
    assert_eq!(scene.state(CheckId::SensorPlausible, 0), None);
    scene.inputs.link_voltage = Signal::now(351.0);
    scene.until(CheckId::SensorPlausible, 300);
}

#[test]
fn more_than_a_full_pack_stops_the_charging() {
    let mut scene = Scene::parked();
    scene.inputs.string_voltage[0] = Signal::now(425.0);
    scene.until(CheckId::SensorPlausible, 300);
    assert!(scene.summary.advice.has(Advice::STOP_CHARGING));
    // Nor is one that nobody knows charged on.
    let mut scene = Scene::parked();
    scene.inputs.string_voltage[0] = Signal::NONE;
    scene.run(10);
    assert!(scene.summary.advice.has(Advice::STOP_CHARGING));
}

#[test]
fn a_string_outside_its_window_is_implausible_when_open_too() {
    for volts in [240.0, 425.0] {
        let mut scene = Scene::parked();
        scene.inputs.string_voltage[1] = Signal::now(volts);
        scene.until(CheckId::SensorPlausible, 300);
        assert_eq!(scene.state(CheckId::SensorPlausible, 1), Some(State::Found));
        assert!(!scene.summary.may_close());
    }
}

#[test]
fn a_string_that_does_not_share_is_told_after_its_time() {
    let mut scene = Scene::joined();
    scene.draw(200.0);
    scene.run(12_000);
    assert_eq!(scene.state(CheckId::StringShare, 0), None);
    scene.inputs.current[1] = Signal::now(145.0);
    scene.inputs.current[2] = Signal::now(55.0);
    let after = scene.until(CheckId::StringShare, 12_000);
    assert_eq!(after, 10_000);
    assert_eq!(scene.summary.advice, Advice::WARN);
    // With little current nothing is judged.
    let mut scene = Scene::joined();
    scene.inputs.current[0] = Signal::now(50.0);
    scene.inputs.current[1] = Signal::now(50.0);
    scene.run(20_000);
    assert_eq!(scene.state(CheckId::StringShare, 0), None);
}

#[test]
fn joined_strings_that_drift_apart_are_told() {
    let mut scene = Scene::joined();
    scene.inputs.string_voltage[1] = Signal::now(364.0);
    let after = scene.until(CheckId::StringDrift, 12_000);
    assert_eq!(after, 10_000);
    assert!(scene.summary.advice.has(Advice::OPEN_SOFTLY));
    assert!(!scene.summary.may_close_main(1));
    let mut scene = Scene::joined();
    scene.inputs.string_voltage[1] = Signal::now(362.0);
    scene.run(20_000);
    assert_eq!(scene.state(CheckId::StringDrift, 1), None);
}

#[test]
fn the_sensor_of_the_link_and_what_drops_before_it_are_no_drift() {
    let mut scene = Scene::joined();
    scene.inputs.link_voltage = Signal::now(364.0);
    scene.run(20_000);
    assert!(!scene.finds(CheckId::StringDrift), "{:?}", scene.found);
}
