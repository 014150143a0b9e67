//! Limits of the demonstrations: they are made, survive their image, and say where each
//! value comes from.

use orangeloom_core::design::{ContactorId, Design, EntryId, FuseId, Index, LoadId};
use orangeloom_core::limits::{
    Built, Limits, MAX_IMAGE_BYTES, Origin, Section, Unwatched, build, fingerprint, origin,
};
use orangeloom_core::monitor::{Inputs, Monitors};
use orangeloom_core::quantity::{Current, Voltage};
use orangeloom_core::review::RuleId;
use orangeloom_tests::fixture;

fn built(name: &str) -> Built {
    let design = fixture::design(name);
    let study = fixture::study(&design);
    build(&design, &study, fingerprint(name.as_bytes()), "a test").unwrap()
}

/// Strings, contactors, precharge paths, watched conductors at least: read off the design
/// files.
const FIXTURES: [(&str, usize, usize, usize, usize); 4] = [
    ("starter", 1, 3, 1, 1),
    ("lake-rescue-truck-mended", 1, 3, 1, 2),
    ("orchard-tractor-mended", 2, 5, 2, 1),
    ("road-rail-shunter-mended", 2, 12, 2, 1),
];

#[test]
fn the_demonstrations_have_limits_that_a_controller_reads() {
    for (name, strings, contactors, paths, conductors) in FIXTURES {
        let built = built(name);
        let limits = &built.limits;
        assert_eq!(limits.strings.len(), strings, "{name}");
        assert!(
            limits.switches.len() >= contactors,
            "{name}: {}",
            limits.switches.len()
        );
        assert_eq!(limits.precharge.len(), paths, "{name}");
        assert!(limits.circuits.len() >= conductors, "{name}");
        let mut room = [0; MAX_IMAGE_BYTES];
        let length = limits.encode(&mut room).unwrap();
        assert_eq!(
            Limits::decode(&room[..length]).as_ref(),
            Ok(limits),
            "{name}"
        );
        // Every string has both poles, and every path its relay.
        for string in 0..strings {
            for role in [0, 1] {
                let switches = limits.switches.iter();
                let own = |s: u8| s == 255 || usize::from(s) == string;
                let mut poles = switches.filter(|one| one.role == role && own(one.string));
                assert!(poles.next().is_some(), "{name} {string} {role}");
            }
        }
        for path in &limits.precharge {
            assert_eq!(limits.switches[usize::from(path.relay)].role, 2, "{name}");
        }
        // Nothing measured: nothing may be closed.
        let mut told = 0;
        let summary = Monitors::new().tick(limits, 0, &Inputs::NONE, &mut |_| told += 1);
        assert!(!summary.may_close() && told > 0, "{name}");
    }
}

#[test]
fn every_value_names_a_rule_that_there_is_or_says_otherwise() {
    let design = fixture::design("starter");
    let built = built("starter");
    let mut values = 0;
    built.limits.show(&mut |shown| {
        values += 1;
        if let Origin::Rule(slug) = origin(&design, shown.section, shown.name) {
            assert!(RuleId::find(slug).is_some(), "{slug}");
        }
    });
    assert!(values > 100, "{values}");
}

fn id<I: Index + EntryId>(design: &Design, name: &str) -> I {
    design.find::<I::Entry>(name).unwrap()
}

fn limits_of(design: &Design) -> Built {
    let study = fixture::study(design);
    build(design, &study, 1, "a test").unwrap()
}

fn place<T: PartialEq>(all: &[T], one: &T) -> usize {
    all.iter().position(|other| other == one).unwrap()
}

/// The monitors compare two voltages: one as wrong as is stated, one as wrong as usual.
#[test]
fn a_stated_error_of_the_voltages_takes_the_place_of_the_usual_one() {
    let mut design = fixture::design("lake-rescue-truck-mended");
    let sensors = |design: &Design| {
        let sensors = limits_of(design).limits.sensors;
        let from = origin(design, Section::Sensors, "voltage_offset_v");
        (sensors.voltage_share, sensors.voltage_offset_v, from)
    };
    assert_eq!(design.controller.voltage_error, None);
    assert_eq!(sensors(&design), (0.015, 2.0, Origin::Usual));
    for (stated, between) in [(0.4, 1.4), (5.0, 6.0)] {
        design.controller.voltage_error = Some(Voltage::from_volts(stated).unwrap());
        assert_eq!(sensors(&design), (0.0075, between, Origin::Design));
    }
}

#[allow(clippy::float_cmp)] // what is compared was entered
/// At its end a sensor shows no more than that. Where nobody states the end nothing is opened
/// on more than it has to show by its task.
#[test]
fn nothing_is_opened_on_more_than_its_current_sensor_is_known_to_show() {
    let mut design = fixture::design("lake-rescue-truck-mended");
    let of = |design: &Design| {
        let limits = limits_of(design).limits;
        let range = origin(design, Section::Channel, "range_a");
        (limits.channels[0].range_a, limits.channels[0].sure_a, range)
    };
    assert!(design.controller.current_range.take().is_some());
    let (range_a, most, from) = of(&design);
    assert!(range_a > 3000.0);
    assert_eq!(from, Origin::Usual);
    // It trips at 800 A, more than any phase draws.
    assert!((most - 840.0).abs() < 0.01, "{most}");
    for stated in [1000.0, 2000.0] {
        design.controller.current_range = Some(Current::from_amperes(stated).unwrap());
        let (range_a, most, from) = of(&design);
        assert_eq!((range_a, from), (stated, Origin::Design));
        assert_eq!(most, 0.99 * stated);
    }
}

#[allow(clippy::float_cmp)] // sums of the same numbers
/// What melts the fuses of all strings melts them one after the other.
#[test]
fn a_contactor_of_all_strings_is_held_for_all_of_their_fuses() {
    let limits = built("orchard-tractor-mended").limits;
    let [pack, one, other, ..] = limits.channels.as_slice() else {
        panic!("two strings");
    };
    assert_eq!(pack.fuse_a, None);
    assert_eq!(pack.late_a[0], 1.0e6);
    for moment in 1..6 {
        let both = one.late_a[moment - 1] + other.late_a[moment - 1];
        assert!(one.late_a[moment] > 0.0);
        assert_eq!(pack.late_a[moment], both);
    }
    // Later than the early curve, and than what the fuse carries.
    let single = built("starter").limits;
    let channel = &single.channels[0];
    assert!(channel.late_a.is_sorted_by(|more, less| more >= less));
    assert!(channel.late_a[5] > channel.fuse_a.unwrap());
}

#[test]
fn an_auxiliary_contact_is_read_where_one_is_stated() {
    let mut design = fixture::design("lake-rescue-truck-mended");
    let contacts = |design: &Design| {
        let built = limits_of(design);
        let switches = built.limits.switches.iter().zip(&built.contactors);
        let with = switches.filter(|(switch, _)| switch.feedback == 1);
        with.map(|(_, id)| *id).collect::<Vec<_>>()
    };
    assert!(contacts(&design).is_empty());
    let negative: ContactorId = id(&design, "K-");
    design.get_mut(negative).unwrap().auxiliary_contact = Some(true);
    assert_eq!(contacts(&design), [negative]);
}

/// A branch is watched by the current of its own load, and by nothing else.
#[test]
fn a_branch_is_watched_where_its_load_tells_its_current() {
    let mut design = fixture::design("lake-rescue-truck-mended");
    let [heater, inlet]: [LoadId; 2] = ["heater", "inlet"].map(|name| id(&design, name));
    let fuse: FuseId = id(&design, "F4");
    let [into, out]: [ContactorId; 2] = ["Kd+", "Kd-"].map(|name| id(&design, name));
    let before = limits_of(&design);
    assert!(before.branches.is_empty());
    for thing in [fuse.into(), into.into(), out.into()] {
        let left = (thing, Unwatched::NotMeasured);
        assert!(before.unwatched.contains(&left), "{thing:?}");
    }

    for load in [heater, inlet] {
        design.get_mut(load).unwrap().current_measured = Some(true);
    }
    let built = limits_of(&design);
    let limits = &built.limits;
    assert_eq!(built.branches.as_slice(), [heater, inlet]);
    let [.., own, charging] = limits.channels.as_slice() else {
        panic!("{}", limits.channels.len());
    };
    assert_eq!([own.kind, charging.kind], [2, 2]);
    // F4 is rated 32 A; 0.8 times that, or less by the cable.
    assert_eq!(own.fuse_a, Some(32.0));
    assert!(own.discharge_a <= 25.6 && own.discharge_a > 5.0, "{own:?}");
    assert!(
        built
            .unwatched
            .iter()
            .all(|(thing, _)| *thing != fuse.into())
    );
    let last = u8::try_from(limits.channels.len() - 1).unwrap();
    for contactor in [into, out] {
        let switch = limits.switches[place(&built.contactors, &contactor)];
        assert_eq!((switch.role, switch.channel), (4, last));
    }
    let warm = limits.circuits.iter();
    let mut warm = warm.filter(|one| one.channel == last - 1);
    assert!(warm.next().is_some(), "a conductor of the heater");
    let mut room = [0; MAX_IMAGE_BYTES];
    let length = limits.encode(&mut room).unwrap();
    assert_eq!(Limits::decode(&room[..length]).as_ref(), Ok(limits));
}

/// Strings that are alike carry one current; the drawing tells which contactor is whose.
#[test]
fn twin_strings_are_told_apart() {
    let vehicles = [
        (
            "orchard-tractor-mended",
            [["KS1", "Kp1"], ["KS2", "Kp2"]],
            3,
        ),
        ("road-rail-shunter-mended", [["KL", "1"], ["KR", "2"]], 6),
    ];
    for (name, strings, count) in vehicles {
        let design = fixture::design(name);
        let built = limits_of(&design);
        for (string, [main, other]) in (0..).zip(strings) {
            let own = built.limits.switches.iter().zip(&built.contactors);
            let own = own.filter(|(switch, _)| switch.string == string);
            let mut found = 0;
            for (switch, id) in own {
                let contactor = design.text(design.get(*id).unwrap().name).unwrap();
                assert!(
                    contactor.starts_with(main) || contactor.ends_with(other),
                    "{name} {string} {contactor}"
                );
                assert_eq!(switch.channel, string + 1);
                found += 1;
            }
            assert_eq!(found, count, "{name} {string}");
        }
    }
}
