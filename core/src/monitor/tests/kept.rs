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
