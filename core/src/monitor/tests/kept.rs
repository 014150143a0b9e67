use super::*;

fn kept(scene: &mut Scene) -> [u8; MAX_KEPT_BYTES] {
    let mut buffer = [0; MAX_KEPT_BYTES];
    let length = scene.monitors.keep(&scene.limits, &mut buffer).unwrap();
    assert_eq!(length, MAX_KEPT_BYTES);
    buffer
}

#[test]
fn counters_locks_and_heat_outlast_a_restart() {
    let mut scene = Scene::driving();
    scene.draw(500.0);
    scene.run(60_000);
    scene.inputs.switches[POSITIVE].commanded = false;
    scene.until(CheckId::Weld, 500);
    let hot = scene.monitors.conductor_degc(&scene.limits, 0);
    let bytes = kept(&mut scene);
    let counters = *scene.monitors.counters();

    let mut again = Scene::parked();
    again.monitors = Monitors::new();
    again.monitors.restore(&again.limits, &bytes).unwrap();
    assert_eq!(*again.monitors.counters(), counters);
    assert_eq!(again.monitors.conductor_degc(&again.limits, 0), hot);
    again.run(1000);
    assert!(!again.summary.may_close(), "the weld is not forgotten");
    again.monitors.acknowledge(CheckId::Weld, 0);
    again.run(1000);
    assert_eq!(again.state(CheckId::Weld, 0), None);
    // Nor is the overload: what is hot is not closed on.
    let forbids = again
        .found
        .iter()
        .filter(|one| one.advice.has(Advice::FORBID_CLOSING));
    assert!(
        forbids
            .map(|one| one.check)
            .eq([CheckId::OvercurrentBand, CheckId::OvercurrentBand]),
        "{:?}",
        again.found
    );
    again.run(310_000);
    assert!(again.summary.may_close(), "{:?}", again.found);
}

#[test]
fn a_damaged_record_is_refused_as_a_whole() {
    let mut scene = Scene::driving();
    let bytes = kept(&mut scene);
    let mut monitors = Monitors::new();
    for bit in 0..bytes.len() * 8 {
        let mut damaged = bytes;
        damaged[bit / 8] ^= 1 << (bit % 8);
        assert_eq!(
            monitors.restore(&scene.limits, &damaged),
            Err(KeptError::Checksum)
        );
    }
    assert_eq!(
        monitors.restore(&scene.limits, &bytes[1..]),
        Err(KeptError::Length)
    );
    assert_eq!(monitors.restore(&scene.limits, &[]), Err(KeptError::Length));
    let mut other = scene.limits.clone();
    other.revision.fingerprint ^= 1;
    assert_eq!(
        monitors.restore(&other, &bytes),
        Err(KeptError::OtherDesign)
    );
    assert_eq!(
        scene.monitors.keep(&scene.limits, &mut [0; 100]),
        Err(KeptError::Length)
    );
}

/// Whatever refuses a record: with the error dropped, a weld must not be forgotten.
#[test]
fn a_refused_record_forbids_closing_until_one_is_taken_over() {
    let mut scene = Scene::driving();
    let good = kept(&mut scene);
    let mut flipped = good;
    flipped[20] ^= 1;
    let mut newer = good;
    newer[4] ^= 1;
    let end = MAX_KEPT_BYTES - 4;
    let sum = crate::limits::IMAGE_CRC.checksum(&newer[..end]);
    newer[end..].copy_from_slice(&sum.to_le_bytes());
    let mut other = Scene::parked();
    other.limits.revision.fingerprint ^= 1;
    let other = kept(&mut other);
    for (bad, why) in [
        (&flipped[..], KeptError::Checksum),
        (&newer[..], KeptError::Version),
        (&other[..], KeptError::OtherDesign),
        (&good[1..], KeptError::Length),
        (&[], KeptError::Length),
    ] {
        let mut again = Scene::parked();
        assert!(again.summary.may_close());
        again.monitors = Monitors::new();
        assert_eq!(again.monitors.restore(&again.limits, bad), Err(why));
        again.inputs.start = true;
        for _ in 0..300 {
            again.run(10);
            assert!(!again.summary.may_close(), "{why:?}");
        }
        assert!(again.summary.advice.has(Advice::WARN));
        let forbid = |one: &Finding| one.advice.has(Advice::FORBID_CLOSING);
        assert!(!again.found.iter().any(forbid), "{:?}", again.found);
        // What was stored must not be written over with a record of no locks.
        let mut buffer = [0; MAX_KEPT_BYTES];
        let refused = again.monitors.keep(&again.limits, &mut buffer);
        assert_eq!(refused, Err(KeptError::Unrestored));
        assert_eq!(buffer, [0; MAX_KEPT_BYTES]);
        for check in CheckId::ALL {
            again.monitors.acknowledge(*check, 0);
        }
        again.run(10);
        assert!(!again.summary.may_close(), "no other reset clears it");

        let mut decided = again.monitors.clone();
        // The second copy is readable.
        again.monitors.restore(&again.limits, &good).unwrap();
        again.run(1000);
        assert!(again.summary.may_close(), "{:?}", again.found);
        // A damaged copy after a good one.
        assert_eq!(again.monitors.restore(&again.limits, bad), Err(why));
        again.run(1000);
        assert!(!again.summary.may_close());
        // Somebody looked at the vehicle.
        decided.start_without_store();
        again.monitors = decided;
        again.run(1000);
        assert!(again.summary.may_close(), "{:?}", again.found);
        assert!(again.monitors.keep(&again.limits, &mut buffer).is_ok());
    }
}

#[test]
fn who_keeps_something_may_not_close_before_it_is_restored() {
    let mut scene = Scene::driving();
    let bytes = kept(&mut scene);
    let mut again = Scene::parked();
    again.monitors = Monitors::before_restore();
    again.run(1000);
    assert!(!again.summary.may_close());
    let mut buffer = [0; MAX_KEPT_BYTES];
    let refused = again.monitors.keep(&again.limits, &mut buffer);
    assert_eq!(refused, Err(KeptError::Unrestored));
    let mut new = again.monitors.clone();
    again.monitors.restore(&again.limits, &bytes).unwrap();
    again.run(1000);
    assert!(again.summary.may_close(), "{:?}", again.found);
    new.start_without_store();
    again.monitors = new;
    again.run(1000);
    assert!(again.summary.may_close(), "{:?}", again.found);
}

/// Keeps, starts anew with the same inputs, restores.
fn restarted(mut scene: Scene) -> Scene {
    let bytes = kept(&mut scene);
    scene.monitors = Monitors::new();
    scene.monitors.restore(&scene.limits, &bytes).unwrap();
    scene
}

/// Bytes with another value at a place, and the right checksum.
fn with_value(bytes: &[u8; MAX_KEPT_BYTES], place: usize, value: f32) -> [u8; MAX_KEPT_BYTES] {
    let mut other = *bytes;
    other[place..place + 4].copy_from_slice(&value.to_le_bytes());
    let end = MAX_KEPT_BYTES - 4;
    let sum = crate::limits::IMAGE_CRC.checksum(&other[..end]);
    other[end..].copy_from_slice(&sum.to_le_bytes());
    other
}

/// From the end: heat of the paths, shares of overloads, conductors, checksum.
const CONDUCTORS_AT: usize = MAX_KEPT_BYTES - 4 - 8 * MAX_CIRCUITS;
const LOADS_AT: usize = CONDUCTORS_AT - 4 * MAX_CHANNELS;
const HEAT_AT: usize = LOADS_AT - 4 * MAX_PATHS;

#[test]
fn heat_that_is_no_finite_number_is_not_taken() {
    let mut scene = Scene::parked();
    scene.monitors.paths[0].go_on_from(2.9);
    scene.run(10);
    let bytes = kept(&mut scene);
    for bad in [f32::INFINITY, f32::NEG_INFINITY, f32::NAN, -1.0] {
        let mut monitors = scene.monitors.clone();
        let other = with_value(&bytes, HEAT_AT, bad);
        monitors.restore(&scene.limits, &other).unwrap();
        let heat = monitors.paths[0].kept();
        assert!((2.5..3.0).contains(&heat), "{bad} became {heat}");
        let before = monitors.conductor_degc(&scene.limits, 0);
        let other = with_value(&bytes, CONDUCTORS_AT, bad);
        monitors.restore(&scene.limits, &other).unwrap();
        assert_eq!(monitors.conductor_degc(&scene.limits, 0), before);
        // A share that nobody knows is all of it.
        let other = with_value(&bytes, LOADS_AT, bad);
        monitors.restore(&scene.limits, &other).unwrap();
        assert_eq!(monitors.loads[0].used(), 1.0);
    }
}

#[test]
fn a_contactor_that_did_not_close_is_not_forgotten_by_a_restart() {
    let mut scene = Scene::parked();
    scene.inputs.switches[NEGATIVE].commanded = true;
    scene.until(CheckId::MainCloseVerify, 500);
    scene.close(NEGATIVE, false);
    let mut again = restarted(scene);
    again.run(1000);
    assert!(again.finds(CheckId::MainCloseVerify) || !again.summary.may_close());
    again.inputs.start = true;
    again.run(1000);
    assert!(!again.summary.may_close(), "not by a start");
    again.monitors.acknowledge(CheckId::MainCloseVerify, 1);
    again.run(1000);
    assert!(again.summary.may_close(), "{:?}", again.found);
}

/// Each check that forbids closing, and what brings it about.
#[test]
fn what_forbids_closing_outlasts_a_restart_until_its_reset() {
    type Fault = fn(&mut Scene);
    let faults: [(CheckId, Fault); 7] = [
        (CheckId::InterlockOpen, |s| {
            s.inputs.interlock = Some(Flag::now(false));
        }),
        (CheckId::SensorPlausible, |s| {
            s.inputs.string_voltage[0] = Signal::now(480.0);
        }),
        (CheckId::IsolationLow, |s| {
            s.inputs.isolation = Signal::now(1000.0);
        }),
        (CheckId::ResistorHot, |s| {
            s.inputs.resistor = Some(Signal::now(250.0));
        }),
        (CheckId::DischargeOnPack, |s| {
            s.inputs.link_voltage = Signal::now(360.0);
            s.run(10);
            s.inputs.discharging = true;
        }),
        (CheckId::CoilDip, |s| s.inputs.supply = Signal::now(5.0)),
        (CheckId::PrechargeTimeOut, |s| s.close(RELAY, true)),
    ];
    for (check, fault) in faults {
        let mut scene = Scene::parked();
        let good = scene.inputs;
        fault(&mut scene);
        for _ in 0..6000 {
            scene.run(10);
            if scene.finds(check) {
                break;
            }
        }
        assert!(scene.finds(check), "{check:?}");
        let reset = scene.one(check).reset;
        // The cause is gone while nobody looks.
        scene.inputs = good;
        // The key is on already.
        scene.inputs.start = true;
        let mut again = restarted(scene);
        again.run(10);
        assert!(!again.summary.may_close(), "{check:?}");
        again.run(120_000);
        let still = !again.summary.may_close();
        assert_eq!(still, reset != Reset::Gone, "{check:?} {:?}", again.found);
        again.inputs.start = false;
        again.run(10);
        again.inputs.start = true;
        again.run(10);
        let still = !again.summary.may_close();
        assert_eq!(still, reset == Reset::Acknowledge, "{check:?}");
        again.monitors.acknowledge(check, 0);
        again.run(10);
        assert!(again.summary.may_close(), "{check:?} {:?}", again.found);
    }
}

#[test]
fn an_overload_goes_on_after_a_restart() {
    let mut scene = Scene::driving();
    scene.draw(299.0);
    scene.until(CheckId::OvercurrentBand, 10_000);
    let mut again = restarted(scene);
    again.draw(100.0);
    again.run(10);
    assert!(again.finds(CheckId::OvercurrentBand));
    again.draw(299.0);
    again.run(2400);
    assert!(again.summary.advice.has(Advice::OPEN_SOFTLY));
}

#[test]
fn nothing_is_permitted_by_the_first_sample_after_a_start() {
    let mut scene = Scene::parked();
    scene.monitors = Monitors::new();
    scene.run(10);
    assert!(!scene.summary.may_close(), "the link was seen dead once");
    let mut scene = Scene::driving();
    scene.draw(0.0);
    scene.run(600);
    assert!(scene.summary.may_close_main(1));
    scene.monitors = Monitors::new();
    scene.run(150);
    assert!(!scene.summary.may_close_main(1), "not for long enough");
}

#[test]
fn what_was_to_be_opened_is_not_closed_again_after_a_restart() {
    let mut scene = Scene::driving();
    scene.limits.channels[1].trip_a = Some(600.0);
    scene.draw(800.0);
    scene.run(60);
    scene.draw(0.0);
    scene.close(POSITIVE, false);
    scene.close(NEGATIVE, false);
    scene.inputs.link_voltage = Signal::now(10.0);
    scene.run(1000);
    assert!(!scene.summary.may_close());
    let mut kept = [0; MAX_KEPT_BYTES];
    scene.monitors.keep(&scene.limits, &mut kept).unwrap();
    scene.monitors = Monitors::before_restore();
    scene.monitors.restore(&scene.limits, &kept).unwrap();
    scene.run(1000);
    assert!(!scene.summary.may_close());
}
