//! Whatever is fed in.

use proptest::prelude::*;
use proptest::test_runner::TestCaseError;

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

/// How many inputs there are to lose: see [`without`].
const LOST: usize = 20;
const SPEED: usize = 6;
const CURRENTS: core::ops::Range<usize> = 11..14;

/// The same inputs but one.
fn without(inputs: &Inputs, lost: usize) -> Inputs {
    let mut blind = *inputs;
    match lost {
        0 => blind.link_voltage = Signal::NONE,
        1 => blind.isolation = Signal::NONE,
        2 => blind.supply = Signal::NONE,
        3 => blind.interlock = blind.interlock.map(|_| Flag::NONE),
        4 => blind.resistor = blind.resistor.map(|_| Signal::NONE),
        5 => blind.plugged = blind.plugged.map(|_| Flag::NONE),
        SPEED => blind.speed = Signal::NONE,
        7 => blind.joints[0] = blind.joints[0].map(|pair| [Signal::NONE, pair[1]]),
        8 => blind.joints[1] = blind.joints[1].map(|pair| [pair[0], Signal::NONE]),
        9 | 10 => blind.string_voltage[lost - 9] = Signal::NONE,
        lost if CURRENTS.contains(&lost) => blind.current[lost - CURRENTS.start] = Signal::NONE,
        _ => blind.switches[lost - 14].contact = Flag::NONE,
    }
    blind
}

/// Goes on for some ticks with all of `last`, and with all but one of it, and compares what may
/// be done then.
fn lose(scene: &Scene, last: &Inputs, lost: usize, ticks: u32) -> Result<(), TestCaseError> {
    let [(seen, seen_none), (blind, _)] = [*last, without(last, lost)].map(|inputs| {
        let mut monitors = scene.monitors.clone();
        let ticks = (1..=ticks).map(|tick| scene.now_ms.wrapping_add(10 * tick));
        ticks.fold((scene.summary, false), |_, now| {
            let mut none = false;
            let summary = monitors.tick(&scene.limits, now, &inputs, &mut |one| {
                // What only a current that is seen can tell: that it flows through what is open,
                // that it is above its trip or heats a conductor. And only a speed, that a weld
                // charges the link and not a motor that turns.
                let by_itself = match one.check {
                    CheckId::Weld => lost == SPEED || CURRENTS.contains(&lost),
                    CheckId::OvercurrentBand | CheckId::ConductorHot => CURRENTS.contains(&lost),
                    _ => false,
                };
                none |= one.advice.has(Advice::FORBID_CLOSING) && !by_itself;
            });
            (summary, none)
        })
    });
    let none = blind.advice.has(Advice::FORBID_CLOSING);
    prop_assert!(!seen_none || none, "{:?} {:?}", seen, blind);
    for string in 0..2 {
        prop_assert!(
            seen.held & (1 << string) == 0 || blind.held & (1 << string) != 0 || none,
            "{:?} {:?}",
            seen,
            blind
        );
    }
    prop_assert!(seen.hot & !blind.hot == 0 || none, "{:?} {:?}", seen, blind);
    // Without a speed it counts as moving, where nothing is seen to be plugged in.
    let out = lost == SPEED && last.plugged.is_some_and(|flag| flag.on == Some(false));
    prop_assert!(
        out || !seen.advice.has(Advice::STOP_CHARGING) || blind.advice.has(Advice::STOP_CHARGING),
        "{:?} {:?}",
        seen,
        blind
    );
    Ok(())
}

/// Some inputs that are replaced by others.
#[derive(Clone, Debug)]
struct Mutation {
    by: Inputs,
    /// A bit for each input that is.
    which: u32,
}

impl Mutation {
    fn put(&self, inputs: &mut Inputs) {
        let by = self.by;
        let is = |bit: usize| self.which >> bit & 1 == 1;
        macro_rules! put {
            ($($bit:literal $field:ident)*) => { $(if is($bit) { inputs.$field = by.$field; })* };
        }
        put!(0 link_voltage 1 isolation 2 supply 3 interlock 4 resistor 5 plugged 6 speed 7 joints 8 start 20 torque 21 discharging 22 open);
        for place in 0..2 {
            if is(9 + place) {
                inputs.string_voltage[place] = by.string_voltage[place];
            }
        }
        for place in 0..3 {
            if is(11 + place) {
                inputs.current[place] = by.current[place];
            }
        }
        for place in 0..6 {
            if is(14 + place) {
                inputs.switches[place] = by.switches[place];
            }
            if is(23 + place) {
                inputs.switches[place].commanded = by.switches[place].commanded;
            }
        }
    }
}

/// Few inputs at a time, and values of which many are possible ones.
fn mutation() -> impl Strategy<Value = Mutation> {
    let near = |values: &'static [f32]| prop_oneof![3 => proptest::sample::select(values).prop_map(Signal::now), 1 => signal()];
    let which = prop_oneof![
        3 => (0_u32..29).prop_map(|bit| 1 << bit),
        1 => any::<(u32, u32, u32)>().prop_map(|(one, two, three)| one & two & three),
    ];
    let volts = &[
        0.0, 5.0, 20.0, 200.0, 355.0, 359.0, 360.0, 361.0, 380.0, 420.0,
    ];
    (
        inputs().boxed(),
        which,
        near(&[1.0e3, 1.0e5, 3.0e5, 9.0e5, 5.0e6]),
        near(&[0.0, 2.0, 7.0, 50.0]),
        near(&[0.0, 6.0, 9.0, 11.0, 13.8]),
        [near(volts), near(volts), near(volts)],
        near(&[-100.0, 0.0, 3.0, 60.0, 200.0, 400.0, 800.0]),
    )
        .prop_map(
            |(mut by, which, isolation, speed, supply, [link, one, other], current)| {
                by.isolation = isolation;
                by.speed = speed;
                by.supply = supply;
                by.link_voltage = link;
                by.string_voltage[0] = one;
                by.string_voltage[1] = other;
                by.current[0] = current;
                by.current[1] = current;
                Mutation { by, which }
            },
        )
        .boxed()
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
    fn an_input_that_is_lost_never_allows_more(steps in sequence(), lost in 0..LOST, last in inputs().boxed()) {
        let mut scene = Scene::parked();
        for (inputs, dt) in steps {
            scene.inputs = inputs;
            scene.now_ms = scene.now_ms.wrapping_add(dt);
            scene.tick();
        }
        lose(&scene, &last, lost, 1)?;
    }

    /// The same of a vehicle in which little is wrong: where everything is, nothing may close
    /// for other reasons.
    #[test]
    fn an_input_that_is_lost_of_a_sound_vehicle_never_allows_more(
        start in 0_u8..3,
        steps in proptest::collection::vec((mutation(), 1_u32..60, 1_usize..400), 0..6),
        lost in 0..LOST,
        last in mutation(),
        ticks in prop_oneof![Just(1_u32), 1_u32..50, 1_u32..4000],
    ) {
        let mut scene = [Scene::parked, Scene::driving, Scene::joined][usize::from(start)]();
        for (mutation, dt, times) in steps {
            mutation.put(&mut scene.inputs);
            for _ in 0..times {
                scene.now_ms = scene.now_ms.wrapping_add(dt);
                scene.tick();
            }
        }
        let mut inputs = scene.inputs;
        last.put(&mut inputs);
        lose(&scene, &inputs, lost, ticks)?;
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
