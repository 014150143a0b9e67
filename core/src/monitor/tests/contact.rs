use super::*;

#[test]
fn a_contactor_that_does_not_close_opens_all() {
    let mut scene = Scene::parked();
    scene.inputs.switches[NEGATIVE].commanded = true;
    let after = scene.until(CheckId::MainCloseVerify, 500);
    assert!((100..=120).contains(&after), "{after}");
    assert!(scene.summary.open());
    assert!(!scene.summary.may_close());
    // A contact that wipes late is in time.
    let mut scene = Scene::parked();
    scene.inputs.switches[NEGATIVE].commanded = true;
    scene.run(90);
    scene.close(NEGATIVE, true);
    scene.run(200);
    assert_eq!(scene.state(CheckId::MainCloseVerify, 1), None);
}

/// Drives, stops, opens one contactor with the other closed; the link then falls, or not.
fn opened(switch: usize, falls: bool) -> Scene {
    let mut scene = Scene::driving();
    scene.draw(0.0);
    scene.inputs.speed = Signal::now(0.0);
    scene.run(200);
    scene.close(switch, false);
    // 33 kohm, 1.15 mF: 4.0 s for a tenth.
    for ms in (0..5000_u16).step_by(10) {
        let left = if falls {
            (-f32::from(ms) * 1e-3 / 36.0).exp()
        } else {
            1.0
        };
        scene.inputs.link_voltage = Signal::now(360.0 * left);
        scene.run(10);
    }
    scene
}

#[test]
fn a_weld_is_told_by_a_link_that_does_not_fall() {
    for switch in [POSITIVE, NEGATIVE] {
        let scene = opened(switch, false);
        let part = u8::try_from(switch).unwrap();
        assert_eq!(scene.state(CheckId::Weld, part), Some(State::Found));
        assert!(!scene.summary.may_close());
        assert!(scene.summary.advice.has(Advice::SERVICE_DISCONNECT));
        let scene = opened(switch, true);
        assert_eq!(scene.state(CheckId::Weld, part), None);
    }
}

#[test]
fn a_weld_is_told_by_its_contact() {
    let mut scene = Scene::driving();
    scene.draw(0.0);
    scene.run(50);
    scene.inputs.switches[POSITIVE].commanded = false;
    let after = scene.until(CheckId::Weld, 500);
    assert!(
        (90..=120).contains(&after),
        "50 ms to open and 50 to last: {after}"
    );
}

#[test]
fn a_charged_link_after_a_restart_is_no_weld() {
    let mut scene = opened(POSITIVE, true);
    scene.close(NEGATIVE, false);
    scene.monitors = Monitors::new();
    scene.inputs.link_voltage = Signal::now(350.0);
    scene.run(30_000);
    assert!(!scene.finds(CheckId::Weld));
    assert!(scene.finds(CheckId::HighVoltageAfterOff));
}

#[test]
fn another_string_that_holds_the_link_hides_nothing_and_accuses_nobody() {
    let mut scene = Scene::joined();
    scene.inputs.speed = Signal::now(0.0);
    scene.close(POSITIVE, false);
    scene.run(20_000);
    assert!(!scene.finds(CheckId::Weld));
}

#[test]
fn opening_under_load_is_told_once_and_counted() {
    let mut scene = Scene::driving();
    scene.draw(500.0);
    scene.run(10);
    scene.close(POSITIVE, false);
    scene.run(10);
    let told = scene.one(CheckId::OpenUnderLoad);
    assert_eq!(
        (told.part, told.measured, told.reset),
        (0, 500.0, Reset::Told)
    );
    scene.run(10);
    assert_eq!(scene.state(CheckId::OpenUnderLoad, 0), None);
    // 500 A of 900 A.
    assert_eq!(scene.monitors.counters().openings[0], [0, 1, 0, 0]);
    scene.draw(1.0);
    scene.close(NEGATIVE, false);
    scene.run(10);
    assert_eq!(
        scene.monitors.counters().openings[1],
        [0; 4],
        "1 A is no load"
    );
    scene.monitors.contactor_replaced(0);
    assert_eq!(scene.monitors.counters().openings[0], [0; 4]);
}

#[test]
fn more_than_it_breaks_is_kept_closed_until_the_fuse_had_its_time() {
    let mut scene = Scene::driving();
    scene.inputs.open = OpenRequest::AtOnce;
    scene.draw(1000.0);
    scene.run(10);
    assert!(scene.summary.advice.has(Advice::DO_NOT_OPEN));
    assert!(!scene.summary.open(), "although it is asked for");
    scene.run(480);
    assert!(!scene.summary.open());
    scene.run(30);
    assert!(scene.summary.open(), "after 500 ms");
    // Charging: it breaks 300 A against its arrow.
    let mut scene = Scene::driving();
    scene.draw(-350.0);
    scene.run(10);
    assert!(scene.finds(CheckId::DoNotOpenBand));
    assert_eq!(scene.one(CheckId::DoNotOpenBand).limit, 300.0);
    scene.draw(-250.0);
    scene.run(20);
    assert!(!scene.summary.advice.has(Advice::DO_NOT_OPEN));
}

#[test]
fn a_saturated_sensor_counts_as_more_than_it_breaks() {
    for amperes in [1499.0, 1600.0, f32::INFINITY] {
        let mut scene = Scene::driving();
        scene.draw(amperes);
        scene.run(10);
        assert!(scene.summary.advice.has(Advice::DO_NOT_OPEN), "{amperes}");
    }
}

#[test]
fn soft_opening_waits_for_a_current_measured_after_the_request() {
    let mut scene = Scene::driving();
    scene.draw(100.0);
    scene.run(100);
    scene.inputs.open = OpenRequest::Soft;
    scene.run(10);
    assert!(scene.summary.advice.has(Advice::ZERO_TORQUE));
    assert!(!scene.summary.open());
    scene.draw(0.5);
    // Old by the time of the request: says nothing.
    for current in &mut scene.inputs.current {
        current.age_ms = 45;
    }
    scene.run(30);
    assert!(!scene.summary.open());
    for current in &mut scene.inputs.current {
        current.age_ms = 1;
    }
    scene.run(10);
    assert!(scene.summary.open());
    scene.inputs.open = OpenRequest::None;
    scene.run(10);
    assert!(!scene.summary.open());
}

#[test]
fn soft_opening_opens_anyway_and_a_crash_at_once() {
    let mut scene = Scene::driving();
    scene.inputs.open = OpenRequest::Soft;
    scene.draw(100.0);
    let after = scene.until(CheckId::SoftOpen, 6000);
    // 5000 ms after the tick that saw the request.
    assert_eq!(after, 5010);
    let mut scene = Scene::driving();
    scene.inputs.open = OpenRequest::AtOnce;
    scene.run(10);
    assert!(scene.summary.open());
}

#[test]
fn a_dip_of_the_supply_asks_for_pull_in_again() {
    let mut scene = Scene::driving();
    scene.inputs.supply = Signal::now(8.5);
    scene.run(20);
    assert!(scene.summary.advice.has(Advice::PULL_IN_AGAIN));
    scene.inputs.supply = Signal::now(13.0);
    scene.run(50);
    assert!(
        scene.summary.advice.has(Advice::PULL_IN_AGAIN),
        "no chatter"
    );
    scene.run(100);
    assert!(!scene.summary.advice.has(Advice::PULL_IN_AGAIN));
    // A dip of one tick of 5 ms is none.
    let mut scene = Scene::driving();
    scene.inputs.supply = Signal::now(8.5);
    scene.now_ms = scene.now_ms.wrapping_add(5);
    scene.tick();
    assert!(!scene.finds(CheckId::CoilDip));
}

/// Limits whose contactors have no auxiliary contacts.
fn without_contacts(scene: &mut Scene) {
    for switch in &mut scene.limits.switches {
        switch.feedback = 0;
    }
}

#[test]
fn without_contacts_the_voltages_tell_that_one_is_open() {
    let mut scene = Scene::parked();
    without_contacts(&mut scene);
    for switch in [NEGATIVE, POSITIVE] {
        scene.inputs.switches[switch].commanded = true;
    }
    scene.inputs.link_voltage = Signal::now(358.0);
    scene.run(500);
    assert!(!scene.finds(CheckId::MainCloseVerify));
    // One drops out: the link runs down.
    scene.inputs.link_voltage = Signal::now(300.0);
    let after = scene.until(CheckId::MainCloseVerify, 500);
    assert!((190..=220).contains(&after), "{after}");
    assert!(scene.summary.open() && !scene.summary.may_close());
    // With contacts they are what counts.
    let mut scene = Scene::driving();
    scene.inputs.link_voltage = Signal::now(300.0);
    scene.run(500);
    assert!(!scene.finds(CheckId::MainCloseVerify));
    assert!(scene.finds(CheckId::SensorPlausible));
}

#[test]
fn a_dead_link_that_comes_up_behind_an_open_contactor_tells_of_a_weld() {
    for contacts in [true, false] {
        // After a restart: nothing was seen to open.
        let mut scene = Scene::parked();
        scene.monitors = Monitors::new();
        if !contacts {
            without_contacts(&mut scene);
        }
        scene.run(200);
        assert!(scene.summary.may_close());
        scene.close(NEGATIVE, true);
        scene.run(10);
        scene.inputs.link_voltage = Signal::now(359.0);
        let after = scene.until(CheckId::Weld, 500);
        assert!(after <= 120, "{after}");
        assert_eq!(scene.state(CheckId::Weld, 0), Some(State::Found));
        // The others of that string are not on their own.
        assert_eq!(scene.state(CheckId::Weld, 1), None);
        assert!(!scene.summary.may_close());
    }
    // One that was charged before says nothing.
    let mut scene = Scene::parked();
    scene.monitors = Monitors::new();
    scene.inputs.link_voltage = Signal::now(350.0);
    scene.run(200);
    scene.close(NEGATIVE, true);
    scene.run(500);
    assert!(!scene.finds(CheckId::Weld));
    // While it rolls a motor may charge it.
    let mut scene = Scene::parked();
    scene.run(200);
    scene.inputs.speed = Signal::now(80.0);
    scene.close(NEGATIVE, true);
    scene.run(10);
    scene.inputs.link_voltage = Signal::now(359.0);
    scene.run(500);
    assert!(!scene.finds(CheckId::Weld));
}

/// A contactor of a heater, behind the link.
fn with_a_branch(scene: &mut Scene) -> usize {
    let place = scene.limits.switches.len();
    let branch = crate::limits::Switch {
        role: 3,
        string: crate::limits::NONE,
        channel: 0,
        feedback: 0,
        ..scene.limits.switches[0]
    };
    scene.limits.switches.push(branch).unwrap();
    place
}

#[test]
fn a_branch_is_not_judged_by_the_link_and_hides_nothing_of_it() {
    let mut scene = Scene::driving();
    let branch = with_a_branch(&mut scene);
    scene.inputs.speed = Signal::now(0.0);
    for on in [true, false] {
        scene.inputs.switches[branch].commanded = on;
        scene.run(10_000);
        assert!(!scene.finds(CheckId::Weld), "{:?}", scene.found);
        assert!(!scene.finds(CheckId::MainCloseVerify), "{:?}", scene.found);
    }
    scene.draw(1000.0);
    scene.inputs.switches[branch].commanded = true;
    scene.run(10);
    let of = |check| {
        let mut all = scene.found.iter();
        all.any(|one| one.check == check && usize::from(one.part) == branch)
    };
    assert!(of(CheckId::DoNotOpenBand), "{:?}", scene.found);
    // Left closed while everything else is open, it joins no battery to the link.
    let mut scene = Scene::parked();
    let branch = with_a_branch(&mut scene);
    scene.inputs.switches[branch].commanded = true;
    scene.inputs.link_voltage = Signal::now(360.0);
    scene.run(10_000);
    assert!(scene.finds(CheckId::LinkDeadBeforeClose));
    assert!(scene.finds(CheckId::HighVoltageAfterOff));
}

#[test]
fn a_current_through_what_is_commanded_open_tells_of_a_weld() {
    // Both contacts are torn off: they tell of open contactors for ever.
    let mut scene = Scene::driving();
    scene.draw(0.0);
    scene.close(POSITIVE, false);
    scene.close(NEGATIVE, false);
    scene.run(100);
    scene.draw(25.0);
    let after = scene.until(CheckId::Weld, 2000);
    assert!((290..=320).contains(&after), "{after}");
    for part in [0, 1] {
        assert_eq!(scene.state(CheckId::Weld, part), Some(State::Found));
    }
    // As much as a sensor may be off is no current: 0.5 % of 1500 A.
    let mut scene = Scene::parked();
    scene.draw(7.0);
    scene.run(2000);
    assert!(!scene.finds(CheckId::Weld), "{:?}", scene.found);
    // Nor is what a charger feeds past them.
    let mut scene = Scene::parked();
    for switch in &mut scene.limits.switches {
        switch.only_way = 0;
    }
    scene.draw(-60.0);
    scene.run(2000);
    assert!(!scene.finds(CheckId::Weld), "{:?}", scene.found);
    // A relay takes it past its positive contactor, which is open.
    let mut scene = Scene::parked();
    scene.close(NEGATIVE, true);
    scene.close(RELAY, true);
    scene.draw(20.0);
    scene.run(500);
    assert!(!scene.finds(CheckId::Weld), "{:?}", scene.found);
}

#[test]
fn a_current_that_is_broken_has_gone_before_it_tells_of_a_weld() {
    let mut scene = Scene::driving();
    scene.draw(400.0);
    scene.run(20);
    scene.close(POSITIVE, false);
    scene.close(NEGATIVE, false);
    // A sensor that lags by 60 ms.
    for tick in 0..100_u16 {
        scene.draw(400.0 * (-f32::from(tick) / 6.0).exp());
        scene.run(10);
    }
    assert_eq!(scene.state(CheckId::Weld, 0), None);
}

#[test]
fn a_contact_that_sticks_hides_no_contactor_that_dropped_out() {
    let mut scene = Scene::driving();
    scene.draw(0.0);
    for volts in [300.0, 150.0, 40.0, 5.0] {
        scene.inputs.link_voltage = Signal::now(volts);
        scene.run(30);
    }
    let after = scene.until(CheckId::MainCloseVerify, 1000);
    // Differing for 200 ms, behind a ramp of the current.
    assert!(after <= 200, "{after}");
    assert!(scene.summary.open());
}

#[test]
fn what_carries_a_current_is_not_opened_for_what_a_sensor_says() {
    // 8 V too much at 150 A: something is wrong with a sensor, nothing with a contactor.
    for silent in [true, false] {
        let mut scene = Scene::driving();
        if silent {
            without_contacts(&mut scene);
        }
        scene.draw(150.0);
        scene.inputs.link_voltage = Signal::now(350.0);
        scene.run(1000);
        assert!(scene.finds(CheckId::SensorPlausible));
        assert!(!scene.summary.open(), "{:?}", scene.found);
    }
    // Nor for a contact that bounces: it cannot be used.
    let mut scene = Scene::driving();
    scene.draw(100.0);
    scene.inputs.switches[POSITIVE].contact = Flag::now(false);
    scene.run(10);
    assert_eq!(scene.state(CheckId::MainCloseVerify, 0), Some(State::Blind));
    assert!(!scene.summary.open());
    scene.inputs.switches[POSITIVE].contact = Flag::now(true);
    scene.run(10);
    assert_eq!(scene.state(CheckId::MainCloseVerify, 0), None);
    // Without a current it is believed.
    scene.draw(0.0);
    scene.inputs.switches[POSITIVE].contact = Flag::now(false);
    scene.run(10);
    assert!(scene.summary.open());
}

#[test]
fn one_of_several_strings_that_is_lost_opens_not_all() {
    let mut scene = Scene::joined();
    without_contacts(&mut scene);
    scene.run(200);
    // The fuse of the second string is open: it rises to its own voltage.
    scene.inputs.current[0] = Signal::now(120.0);
    scene.inputs.current[1] = Signal::now(120.0);
    scene.inputs.current[2] = Signal::now(0.0);
    scene.inputs.string_voltage[1] = Signal::now(372.0);
    for _ in 0..1500 {
        scene.run(10);
        assert!(!scene.summary.open(), "{:?}", scene.found);
    }
    assert!(scene.finds(CheckId::StringDrift));
}

#[test]
fn a_weld_that_shows_in_the_tick_of_the_command_is_found() {
    let mut scene = Scene::parked();
    scene.limits.switches[POSITIVE].feedback = 0;
    // The negative one closes faster than a tick, and the link jumps with it.
    scene.close(NEGATIVE, true);
    scene.inputs.link_voltage = Signal::now(359.0);
    let after = scene.until(CheckId::Weld, 1000);
    assert!(after <= 200, "{after}");
    assert_eq!(scene.state(CheckId::Weld, 0), Some(State::Found));
}

#[test]
fn more_than_it_breaks_but_less_than_a_fuse_acts_on_is_taken_back() {
    // 320 A of regeneration: 300 A are broken, the fuse carries 195 A; of one that carries
    // 390 A nothing is to be hoped for.
    let mut scene = Scene::driving();
    for switch in &mut scene.limits.switches {
        switch.channel = 0;
    }
    scene.inputs.current[0] = Signal::now(-320.0);
    scene.run(700);
    assert!(scene.summary.advice.has(Advice::DO_NOT_OPEN));
    assert!(scene.summary.advice.has(Advice::DERATE));
    assert!(!scene.summary.advice.has(Advice::OPEN_NOW));
    // A crash does not wait for ever.
    scene.inputs.open = OpenRequest::AtOnce;
    scene.run(10);
    assert!(scene.summary.open(), "{:?}", scene.found);
}

#[test]
fn a_contactor_of_all_strings_that_drops_out_is_found() {
    let mut scene = Scene::joined();
    without_contacts(&mut scene);
    scene.limits.switches[NEGATIVE].string = crate::limits::NONE;
    scene.run(200);
    scene.draw(0.0);
    scene.inputs.link_voltage = Signal::now(200.0);
    let after = scene.until(CheckId::MainCloseVerify, 1000);
    assert!(after <= 320, "{after}");
    assert!(scene.summary.open());
}

#[test]
fn what_let_go_in_a_dip_is_opened_and_not_pulled_in_again() {
    for (volts, opens) in [(358.0, false), (250.0, true)] {
        let mut scene = Scene::driving();
        without_contacts(&mut scene);
        scene.run(200);
        scene.inputs.supply = Signal::now(8.5);
        scene.inputs.link_voltage = Signal::now(volts);
        scene.run(30);
        assert!(scene.finds(CheckId::CoilDip));
        assert_eq!(scene.summary.open(), opens);
        assert_eq!(scene.summary.advice.has(Advice::PULL_IN_AGAIN), !opens);
        // The supply is back.
        scene.inputs.supply = Signal::now(13.0);
        scene.run(20);
        assert_eq!(scene.summary.advice.has(Advice::PULL_IN_AGAIN), !opens);
    }
    // Where nobody knows, neither.
    let mut scene = Scene::driving();
    scene.inputs.supply = Signal::now(8.5);
    scene.inputs.link_voltage = Signal::NONE;
    scene.run(30);
    assert!(!scene.summary.advice.has(Advice::PULL_IN_AGAIN));
    assert!(!scene.summary.open());
    // What is to be opened is not pulled in.
    let mut scene = Scene::driving();
    scene.inputs.supply = Signal::now(8.5);
    scene.inputs.open = OpenRequest::AtOnce;
    scene.run(30);
    assert!(scene.summary.open());
    assert!(!scene.summary.advice.has(Advice::PULL_IN_AGAIN));
}

#[test]
fn a_weld_is_found_before_the_relay_follows() {
    let mut scene = Scene::parked();
    without_contacts(&mut scene);
    scene.close(NEGATIVE, true);
    scene.run(20);
    scene.inputs.link_voltage = Signal::now(359.0);
    scene.run(10);
    assert!(!scene.summary.may_precharge(0), "{:?}", scene.found);
    scene.close(RELAY, true);
    scene.run(1000);
    assert_eq!(scene.state(CheckId::Weld, 0), Some(State::Found));
    assert!(!scene.summary.may_close_main(0));
}

#[test]
fn nothing_may_close_while_it_is_to_be_opened_at_once() {
    let mut scene = Scene::parked();
    scene.inputs.open = OpenRequest::AtOnce;
    scene.run(10);
    assert!(scene.summary.open());
    assert!(!scene.summary.may_close());
    assert!(!scene.summary.may_precharge(0));
    scene.inputs.open = OpenRequest::None;
    scene.run(10);
    assert!(scene.summary.may_precharge(0));
}

#[test]
fn above_what_it_breaks_it_is_held_as_long_as_the_fuse_needs() {
    // 920 A: 900 A are broken, the fuse needs 1 s at the latest (750 A), not 0.3 s (1050 A).
    let mut scene = Scene::driving();
    scene.draw(920.0);
    scene.run(10);
    let held = scene.summary;
    assert!(held.advice.has(Advice::DO_NOT_OPEN));
    assert!(held.advice.has(Advice::ZERO_TORQUE.and(Advice::DERATE)));
    assert!(held.derate <= 0.0, "all of it is taken back");
    scene.run(970);
    assert!(!scene.summary.open(), "hold_ms is over, the fuse is not");
    scene.run(40);
    assert!(scene.summary.open(), "{:?}", scene.found);
    // Charging with 400 A, more than the fuse carries: 30 s at the latest.
    let mut scene = Scene::driving();
    scene.draw(-400.0);
    scene.run(29_900);
    assert!(!scene.summary.open());
    scene.run(200);
    assert!(scene.summary.open());
    // It does not go on where it was.
    scene.draw(0.0);
    scene.run(100);
    scene.draw(-400.0);
    scene.run(2000);
    assert!(!scene.summary.open());
}

#[test]
fn an_offset_of_the_current_hides_no_contactor_that_dropped_out() {
    // 12 A are more than the 7.5 A by which a sensor of 1500 A may be off.
    for offset in [12.0, -12.0] {
        let mut scene = Scene::driving();
        scene.draw(offset);
        scene.run(500);
        scene.inputs.switches[POSITIVE].contact = Flag::now(false);
        scene.inputs.link_voltage = Signal::now(3.0);
        scene.run(10);
        assert!(scene.summary.open(), "its contact: {:?}", scene.found);
        let mut scene = Scene::driving();
        without_contacts(&mut scene);
        scene.draw(offset);
        scene.run(500);
        scene.inputs.link_voltage = Signal::now(340.0);
        let after = scene.until(CheckId::MainCloseVerify, 500);
        assert!((190..=220).contains(&after), "no contact: {after}");
        let mut scene = Scene::driving();
        scene.draw(offset);
        scene.run(500);
        scene.inputs.link_voltage = Signal::now(3.0);
        let after = scene.until(CheckId::MainCloseVerify, 500);
        assert!((190..=220).contains(&after), "one that sticks: {after}");
    }
}

/// Opens all at once after a drive, with this much of what the bleed leaves.
fn all_opened(reads: f32, falls: bool) -> Scene {
    let mut scene = Scene::driving();
    without_contacts(&mut scene);
    scene.draw(0.0);
    scene.inputs.speed = Signal::now(0.0);
    scene.run(200);
    scene.close(POSITIVE, false);
    scene.close(NEGATIVE, false);
    for ms in (0..6000_u16).step_by(10) {
        let left = if falls {
            // 33 kohm x 1.15 mF.
            (-f32::from(ms) * 1e-3 / 37.95).exp()
        } else {
            1.0
        };
        scene.inputs.link_voltage = Signal::now(360.0 * reads * left);
        scene.run(10);
    }
    scene
}

#[test]
fn all_welded_contactors_are_found_by_a_link_that_does_not_fall() {
    let scene = all_opened(1.0, false);
    for part in [0, 1] {
        assert_eq!(scene.state(CheckId::Weld, part), Some(State::Found));
    }
    assert_eq!(scene.state(CheckId::Weld, 2), None, "a relay holds nothing");
    assert!(scene.summary.advice.has(Advice::SERVICE_DISCONNECT));
    assert!(!scene.summary.may_close());
    for reads in [1.0, 1.004, 1.015] {
        let scene = all_opened(reads, true);
        assert!(!scene.finds(CheckId::Weld), "{reads}");
    }
    // A link that nobody saw joined to a battery says nothing.
    let mut scene = Scene::parked();
    scene.inputs.link_voltage = Signal::now(360.0);
    scene.run(10_000);
    assert!(!scene.finds(CheckId::Weld));
}

#[test]
fn a_link_that_reads_a_little_high_is_no_weld() {
    let mut scene = Scene::driving();
    without_contacts(&mut scene);
    scene.draw(0.0);
    scene.inputs.speed = Signal::now(0.0);
    scene.run(200);
    scene.close(POSITIVE, false);
    for ms in (0..6000_u16).step_by(10) {
        let left = (-f32::from(ms) * 1e-3 / 37.95).exp();
        scene.inputs.link_voltage = Signal::now(360.0 * 1.01 * left);
        scene.run(10);
        assert!(!scene.finds(CheckId::Weld), "{ms}");
    }
}

#[test]
fn soft_opening_believes_no_current_that_is_as_old_as_the_request() {
    // Ticks of 50 ms, then one that comes a millisecond later with the same sample.
    let mut scene = Scene::driving();
    scene.draw(1.0);
    let mut tick = |ms: u32, age_ms: u32, open| {
        scene.inputs.open = open;
        for current in &mut scene.inputs.current {
            current.age_ms = age_ms;
        }
        scene.now_ms = scene.now_ms.wrapping_add(ms);
        scene.tick();
        scene.summary.open()
    };
    tick(50, 0, OpenRequest::None);
    assert!(!tick(50, 0, OpenRequest::Soft));
    assert!(!tick(1, 1, OpenRequest::Soft));
    assert!(!tick(30, 31, OpenRequest::Soft));
    assert!(tick(10, 0, OpenRequest::Soft));
}

#[test]
fn a_link_that_was_charged_higher_is_no_weld() {
    // Opened at once while braking: the string falls back by 3 %.
    let mut scene = Scene::driving();
    without_contacts(&mut scene);
    scene.draw(0.0);
    scene.inputs.speed = Signal::now(0.0);
    scene.inputs.link_voltage = Signal::now(371.0);
    scene.inputs.string_voltage[0] = Signal::now(371.0);
    scene.run(200);
    scene.inputs.string_voltage[0] = Signal::now(360.0);
    scene.close(POSITIVE, false);
    scene.close(NEGATIVE, false);
    for ms in (0..6000_u16).step_by(10) {
        let left = (-f32::from(ms) * 1e-3 / 37.95).exp();
        scene.inputs.link_voltage = Signal::now(371.0 * 1.01 * left);
        scene.run(10);
        assert!(!scene.finds(CheckId::Weld), "{ms}");
    }
}

#[test]
fn what_a_sensor_may_not_show_is_not_opened_and_not_taken_back() {
    // A sensor that may end at 400 A: more may flow than it shows, or it is a pull.
    let mut scene = Scene::driving();
    scene.limits.channels[1].sure_a = 400.0;
    scene.limits.channels[1].trip_a = Some(420.0);
    scene.draw(450.0);
    scene.run(100);
    assert!(scene.summary.advice.has(Advice::OPEN_NOW), "the trip");
    assert!(!scene.summary.open());
    assert!(!scene.summary.advice.has(Advice::ZERO_TORQUE));
    // 390 A melt the fuse within 30 s at the latest.
    scene.run(30_000);
    assert!(scene.summary.open());
    // By itself it opens nothing then.
    let mut scene = Scene::driving();
    scene.limits.channels[1].sure_a = 140.0;
    scene.draw(145.0);
    scene.run(60_000);
    let advice = scene.summary.advice;
    assert!(advice.has(Advice::DO_NOT_OPEN));
    for more in [Advice::OPEN_NOW, Advice::DERATE, Advice::ZERO_TORQUE] {
        assert!(!advice.has(more), "{:?}", scene.found);
    }
}
