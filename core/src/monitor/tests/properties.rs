//! Whatever is fed in.

use proptest::prelude::*;

use super::*;

fn value() -> impl Strategy<Value = f32> {
    prop_oneof![
        4 => -50.0_f32..450.0,
        1 => any::<f32>(),
        1 => Just(f32::NAN),
        1 => Just(f32::INFINITY),
        1 => Just(0.0),
        1 => -2000.0_f32..2000.0,
    ]
}

fn signal() -> impl Strategy<Value = Signal> {
    (value(), prop_oneof![4 => 0_u32..40, 1 => any::<u32>()])
        .prop_map(|(value, age_ms)| Signal { value, age_ms })
}

fn flag() -> impl Strategy<Value = Flag> {
    (
        proptest::option::of(any::<bool>()),
        prop_oneof![4 => 0_u32..100, 1 => any::<u32>()],
    )
        .prop_map(|(on, age_ms)| Flag { on, age_ms })
}

prop_compose! {
    fn inputs()(
        string_voltage in proptest::array::uniform4(signal()),
        link_voltage in signal(),
        current in proptest::array::uniform8(signal()),
        commanded in proptest::array::uniform12(any::<bool>()),
        contact in proptest::array::uniform12(flag()),
        (isolation, speed, supply) in (signal(), signal(), signal()),
        (interlock, plugged) in (proptest::option::of(flag()), proptest::option::of(flag())),
        (resistor, pair) in (proptest::option::of(signal()), proptest::option::of((signal(), signal()))),
        (torque, discharging, start) in any::<(bool, bool, bool)>(),
        open in 0_u8..3,
    ) -> Inputs {
        let mut inputs = Inputs {
            string_voltage, link_voltage, current, isolation, interlock, plugged, speed, torque,
            supply, resistor, discharging, start,
            open: [OpenRequest::None, OpenRequest::Soft, OpenRequest::AtOnce][usize::from(open)],
            ..Inputs::NONE
        };
        inputs.joints[1] = pair.map(|(one, other)| [one, other]);
        for (place, switch) in inputs.switches.iter_mut().enumerate() {
            switch.commanded = commanded[place];
            switch.contact = contact[place];
        }
        inputs
    }
}

type Steps = Vec<(Inputs, u32)>;

/// Inputs that stay for some ticks each.
fn sequence() -> impl Strategy<Value = Steps> {
    let step = prop_oneof![6 => 1_u32..50, 1 => any::<u32>()];
    proptest::collection::vec((inputs().boxed(), step, 1_usize..8), 1..12)
        .prop_map(|parts| {
            let mut steps = Steps::new();
            for (inputs, dt, times) in parts {
                for _ in 0..times {
                    steps.push((inputs, dt));
                }
            }
            steps
        })
        .boxed()
}

/// What a tick told that forbids closing, by check and part, with what clears it.
fn forbidding(found: &[Finding]) -> Vec<(CheckId, u8, Reset, State)> {
    let forbids = |one: &&Finding| one.advice.has(Advice::FORBID_CLOSING);
    let found = found.iter().filter(forbids);
    found
        .map(|one| (one.check, one.part, one.reset, one.state))
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    #[test]
    fn nothing_panics_and_everything_told_is_sound(steps in sequence()) {
        let mut scene = Scene::parked();
        for (inputs, dt) in steps {
            scene.inputs = inputs;
            scene.now_ms = scene.now_ms.wrapping_add(dt);
            scene.tick();
            prop_assert!((0.0..=1.0).contains(&scene.summary.derate));
            for one in &scene.found {
                prop_assert!(matches!(one.state, State::Watching | State::Found | State::Clearing | State::Blind));
                prop_assert_eq!(one.blind.is_some(), one.blind.is_some() && one.state != State::Watching);
                prop_assert!(scene.summary.advice.has(one.advice));
                prop_assert!(usize::from(one.part) < one.check.parts(&scene.limits), "{:?}", one);
            }
            let mut told: Vec<_> = scene.found.iter().map(|one| (one.check, one.part)).collect();
            told.sort_unstable();
            told.dedup();
            prop_assert_eq!(told.len(), scene.found.len(), "each part once");
            prop_assert!(told.len() <= MAX_FINDINGS);
            for circuit in 0..3 {
                let degc = scene.monitors.conductor_degc(&scene.limits, circuit).unwrap();
                prop_assert!((-100.0..=2100.0).contains(&degc), "{}", degc);
            }
            let mut kept = [0; MAX_KEPT_BYTES];
            scene.monitors.keep(&scene.limits, &mut kept).unwrap();
            Monitors::new().restore(&scene.limits, &kept).unwrap();
        }
    }

    /// From one state on, an input that cannot be used allows no more closing than any
    /// value of it.
    #[test]
    fn an_input_that_is_lost_never_allows_more(steps in sequence(), lost in 0_usize..12, last in inputs().boxed()) {
        let mut scene = Scene::parked();
        for (inputs, dt) in steps {
            scene.inputs = inputs;
            scene.now_ms = scene.now_ms.wrapping_add(dt);
            scene.tick();
        }
        let now = scene.now_ms.wrapping_add(10);
        let mut blind = last;
        match lost {
            0 => blind.link_voltage = Signal::NONE,
            1 => blind.string_voltage[0] = Signal::NONE,
            2 => blind.string_voltage[1] = Signal::NONE,
            3 => blind.current[0] = Signal::NONE,
            4 => blind.current[1] = Signal::NONE,
            5 => blind.isolation = Signal::NONE,
            6 => blind.supply = Signal::NONE,
            7 => blind.interlock = blind.interlock.map(|_| Flag::NONE),
            8 => blind.resistor = blind.resistor.map(|_| Signal::NONE),
            9 => blind.switches[0].contact = Flag::NONE,
            10 => blind.switches[1].contact = Flag::NONE,
            _ => blind.plugged = blind.plugged.map(|_| Flag::NONE),
        }
        let limits = scene.limits.clone();
        let mut seeing = scene.monitors.clone();
        let mut lost = scene.monitors.clone();
        let seen = seeing.tick(&limits, now, &last, &mut |_| {});
        let without = lost.tick(&limits, now, &blind, &mut |_| {});
        prop_assert!(seen.may_close() || !without.may_close());
        for string in 0..2 {
            prop_assert!(
                seen.may_close_main(string) || !without.may_close_main(string),
                "{:?} {:?}", seen, without
            );
        }
        for path in 0..2 {
            prop_assert!(seen.may_precharge(path) || !without.may_precharge(path));
        }
        prop_assert!(!seen.advice.has(Advice::STOP_CHARGING) || without.advice.has(Advice::STOP_CHARGING));
    }

    /// What forbids closing is cleared by what it tells and by nothing else.
    #[test]
    fn only_its_reset_clears_what_forbids_closing(steps in sequence()) {
        let mut scene = Scene::parked();
        let mut before = Vec::new();
        let mut started = false;
        for (inputs, dt) in steps {
            let start = inputs.start && !started;
            started = inputs.start;
            scene.inputs = inputs;
            scene.now_ms = scene.now_ms.wrapping_add(dt);
            scene.tick();
            let after = forbidding(&scene.found);
            for (check, part, reset, state) in before {
                let stays = after.iter().any(|one| (one.0, one.1) == (check, part));
                // An acknowledgement was never given, and only a start starts.
                let may_clear = match reset {
                    Reset::Acknowledge => state == State::Blind,
                    Reset::Start => start || state == State::Blind,
                    _ => true,
                };
                prop_assert!(stays || may_clear, "{:?} {}", check, part);
            }
            before = after;
        }
    }

    #[test]
    fn any_record_is_refused_or_taken_and_nothing_panics(bytes in proptest::collection::vec(any::<u8>(), 0..500)) {
        let scene = Scene::parked();
        prop_assert!(Monitors::new().restore(&scene.limits, &bytes).is_err());
    }
}
