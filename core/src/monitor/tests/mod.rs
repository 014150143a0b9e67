//! A scene to tick through, and what every check does in it.

#![allow(clippy::float_cmp)] // what is compared was entered

mod around;
mod closing;
mod contact;
mod kept;
mod latch;
mod overload;
mod precharge;
mod properties;
mod strings;

use std::vec::Vec;

use super::*;
use crate::limits::tests::sample;

/// Positive, negative, relay of the first string, then of the second, in the sample limits.
pub(super) const POSITIVE: usize = 0;
pub(super) const NEGATIVE: usize = 1;
pub(super) const RELAY: usize = 2;

/// Limits, monitors, inputs and the clock.
pub(super) struct Scene {
    pub(super) limits: Limits,
    pub(super) monitors: Monitors,
    pub(super) inputs: Inputs,
    pub(super) now_ms: u32,
    pub(super) found: Vec<Finding>,
    pub(super) summary: Summary,
}

impl Scene {
    /// Parked, everything open, all sensors right; 360 V in both strings.
    pub(super) fn parked() -> Self {
        let mut inputs = Inputs {
            string_voltage: [Signal::now(360.0); MAX_STRINGS],
            link_voltage: Signal::now(0.0),
            current: [Signal::now(0.0); MAX_CHANNELS],
            isolation: Signal::now(5.0e6),
            interlock: Some(Flag::now(true)),
            plugged: Some(Flag::now(false)),
            speed: Signal::now(0.0),
            supply: Signal::now(13.8),
            resistor: Some(Signal::now(25.0)),
            ..Inputs::NONE
        };
        inputs.joints[0] = Some([Signal::now(30.0); 2]);
        for switch in &mut inputs.switches {
            switch.contact = Flag::now(false);
        }
        let mut scene = Self {
            limits: sample(),
            monitors: Monitors::new(),
            inputs,
            now_ms: u32::MAX - 500,
            found: Vec::new(),
            summary: Monitors::new().tick(&sample(), 0, &inputs, &mut |_| {}),
        };
        scene.run(200);
        scene
    }

    /// The first string on the link, driving at 50 km/h with 60 A.
    pub(super) fn driving() -> Self {
        let mut scene = Self::parked();
        scene.close(NEGATIVE, true);
        scene.close(POSITIVE, true);
        scene.inputs.link_voltage = Signal::now(360.0);
        scene.run(200);
        scene.draw(60.0);
        scene.inputs.speed = Signal::now(50.0);
        scene.run(500);
        scene
    }

    /// Both strings on the link.
    pub(super) fn joined() -> Self {
        let mut scene = Self::driving();
        scene.draw(0.0);
        scene.run(600);
        scene.close(4, true);
        scene.close(3, true);
        scene.run(200);
        scene
    }

    /// Current of the pack, shared by the strings that are closed.
    pub(super) fn draw(&mut self, amperes: f32) {
        let both = self.inputs.switches[3].commanded;
        let share = if both { 0.5 } else { 1.0 };
        self.inputs.current[0] = Signal::now(amperes);
        self.inputs.current[1] = Signal::now(share * amperes);
        self.inputs.current[2] = Signal::now((1.0 - share) * amperes);
    }

    /// Commands a contactor; its contact follows at once.
    pub(super) fn close(&mut self, switch: usize, on: bool) {
        self.inputs.switches[switch].commanded = on;
        self.inputs.switches[switch].contact = Flag::now(on);
    }

    /// Ticks of 10 ms.
    pub(super) fn run(&mut self, for_ms: u32) {
        for _ in 0..for_ms / 10 {
            self.now_ms = self.now_ms.wrapping_add(10);
            self.tick();
        }
    }

    pub(super) fn tick(&mut self) {
        let found = &mut self.found;
        found.clear();
        self.summary =
            self.monitors
                .tick(&self.limits, self.now_ms, &self.inputs, &mut |finding| {
                    found.push(*finding);
                });
    }

    pub(super) fn state(&self, check: CheckId, part: u8) -> Option<State> {
        let mut found = self.found.iter();
        Some(
            found
                .find(|one| one.check == check && one.part == part)?
                .state,
        )
    }

    pub(super) fn finds(&self, check: CheckId) -> bool {
        let mut found = self.found.iter();
        found.any(|one| one.check == check && one.state == State::Found)
    }

    pub(super) fn one(&self, check: CheckId) -> Finding {
        *self.found.iter().find(|one| one.check == check).unwrap()
    }

    /// Runs until a check is found, and gives how long that took, ms.
    pub(super) fn until(&mut self, check: CheckId, most_ms: u32) -> u32 {
        for ms in (10..=most_ms).step_by(10) {
            self.run(10);
            if self.finds(check) {
                return ms;
            }
        }
        panic!("{check:?} not found in {most_ms} ms: {:?}", self.found);
    }

    /// Nothing is told but what must be while the vehicle stands: main contactors wait.
    pub(super) fn is_quiet(&self) -> bool {
        let waits = [CheckId::ClosePermission, CheckId::StringJoin];
        self.found.iter().all(|one| waits.contains(&one.check))
    }
}

#[test]
fn a_vehicle_that_stands_and_drives_is_quiet() {
    let parked = Scene::parked();
    assert!(parked.is_quiet(), "{:?}", parked.found);
    assert!(parked.summary.may_close());
    assert!(!parked.summary.may_close_main(0), "not precharged");
    let driving = Scene::driving();
    assert!(
        driving.is_quiet() || driving.finds(CheckId::StringJoin),
        "{:?}",
        driving.found
    );
    assert!(driving.summary.may_close());
    let joined = Scene::joined();
    assert!(joined.found.is_empty(), "{:?}", joined.found);
    assert_eq!(joined.summary.advice, Advice::NONE);
}

#[test]
fn the_state_of_all_checks_is_small() {
    // 1 KiB for four contactors, and 28 bytes for each of eight more.
    let bytes = size_of::<Monitors>();
    assert!(bytes <= 1024 + 8 * 28, "{bytes}");
    assert!(bytes - 8 * 28 <= 1024);
}

#[test]
fn no_limits_make_room_for_more_findings_than_are_told_of() {
    let sum = |limits: &Limits| {
        CheckId::ALL
            .iter()
            .map(|one| one.parts(limits))
            .sum::<usize>()
    };
    let mut limits = sample();
    assert!(sum(&limits) < MAX_FINDINGS);
    assert_eq!(CheckId::Weld.parts(&limits), limits.switches.len());
    while limits.switches.push(limits.switches[0]).is_ok() {}
    while limits.precharge.push(limits.precharge[0]).is_ok() {}
    while limits.strings.push(limits.strings[0]).is_ok() {}
    while limits.channels.push(limits.channels[0]).is_ok() {}
    while limits.circuits.push(limits.circuits[0]).is_ok() {}
    assert_eq!(sum(&limits), MAX_FINDINGS);
    (limits.parallel, limits.isolation) = (None, None);
    assert_eq!(CheckId::StringDrift.parts(&limits), 0);
    assert_eq!(CheckId::IsolationLow.parts(&limits), 0);
}

#[test]
fn every_check_has_words_and_a_rule() {
    for check in CheckId::ALL {
        let rule = check.rule();
        // What an input that cannot be used leads to allows no more closing than what the
        // check finds.
        for forbids in [
            Advice::FORBID_CLOSING,
            Advice::FORBID_MAIN,
            Advice::FORBID_PRECHARGE,
        ] {
            assert!(
                !rule.found.has(forbids)
                    || rule.blind.has(forbids)
                    || rule.blind.has(Advice::FORBID_CLOSING),
                "{check:?}"
            );
        }
    }
}
