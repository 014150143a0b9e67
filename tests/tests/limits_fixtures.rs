//! Limits of the demonstrations: they are made, survive their image, and say where each
//! value comes from.

use orangeloom_core::limits::{Built, Limits, MAX_IMAGE_BYTES, Origin, build, fingerprint, origin};
use orangeloom_core::monitor::{Inputs, Monitors};
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
    let built = built("starter");
    let mut values = 0;
    built.limits.show(&mut |shown| {
        values += 1;
        if let Origin::Rule(slug) = origin(shown.section, shown.name) {
            assert!(RuleId::find(slug).is_some(), "{slug}");
        }
    });
    assert!(values > 100, "{values}");
}
