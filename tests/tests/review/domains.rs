//! What differs by where the vehicle is used: the voltage that its rules reach to, and
//! whose rules they are.

use orangeloom_core::design::{Battery, Thing};
use orangeloom_core::insulation::{Domain, VoltageClass};
use orangeloom_core::quantity::Voltage;
use orangeloom_core::review::{Aspect, Finding, RuleId};
use orangeloom_core::standard::{Evidence, SourceId};
use orangeloom_core::verdict::Verdict;

use crate::edit::{self, Edit};
use orangeloom_tests::reviewed::Reviewed;

/// Domain as it is written, touchable direct voltage, source with what is in its name.
///
/// Road: ISO 6469-3:2021, clause 4, voltage class B above 60 V d.c. up to 1500 V d.c., the
/// same in UN R100. Farm: ISO 16230-1, scope, above 75 V d.c. Rail: EN 50153, from memory.
/// Craft: ISO 13297 up to 50 V d.c. and ISO 16315 above, from memory.
const DOMAINS: [(Domain, &str, f32, SourceId, &str); 4] = [
    (
        Domain::Road,
        "\"road\"",
        60.0,
        SourceId::Iso6469VoltageClass,
        "ISO 6469-3",
    ),
    (
        Domain::Farm,
        "\"farm\"",
        75.0,
        SourceId::Iso16230,
        "ISO 16230-1",
    ),
    (
        Domain::Rail,
        "\"rail\"",
        60.0,
        SourceId::En50153,
        "EN 50153",
    ),
    (
        Domain::Craft,
        "\"craft\"",
        50.0,
        SourceId::Iso16315,
        "ISO 16315",
    ),
];

fn of_domain(word: &'static str, cells: &'static str) -> Reviewed {
    let domain = Edit::Set("vehicle/bench vehicle/domain", word);
    // What a stopwatch said of one voltage it does not say of another.
    let unread = Edit::Cut("reading/fall");
    edit::reviewed(&[domain, unread, Edit::Set("battery/cells/in-series", cells)])
}

fn reach(reviewed: &Reviewed) -> Finding {
    let findings = reviewed.findings(RuleId::PackVoltageWindow);
    let of = |one: &&Finding| one.judged.name == Aspect::DomainVoltage;
    *findings.iter().find(of).unwrap()
}

#[test]
fn each_domain_reaches_to_its_voltage_by_its_own_standard() {
    for (domain, word, _, source, name) in DOMAINS {
        // 375 cells of 4 V are 1500 V.
        for (cells, verdict) in [("375", Verdict::Holds), ("376", Verdict::Fails)] {
            let reviewed = of_domain(word, cells);
            assert_eq!(reviewed.design.vehicle.domain, domain);
            let finding = reach(&reviewed);
            assert_eq!(finding.thing, Thing::VEHICLE);
            assert_eq!(finding.judged.verdict, verdict, "{word} {cells}");
            assert_eq!(finding.judged.limit, Some(1500.0));
            assert_eq!(finding.judged.source, source);
            let told = source.source();
            assert!(told.standard.contains(name), "{}", told.standard);
            // Nobody claims to have seen what nobody saw.
            let seen = matches!(told.evidence, Evidence::Seen);
            assert!(!seen || domain == Domain::Road, "{word}");
        }
    }
}

/// The voltage at the limit may still be touched.
#[test]
fn each_domain_has_its_own_voltage_that_may_be_touched() {
    for (_, word, touchable, ..) in DOMAINS {
        for (more, class) in [
            (0.0, VoltageClass::Touchable),
            (0.1, VoltageClass::Protected),
        ] {
            let mut reviewed = of_domain(word, "1");
            let battery = reviewed.design.find::<Battery>("cells").unwrap();
            let battery = reviewed.design.get_mut(battery).unwrap();
            battery.cell.maximum = Voltage::from_volts(touchable + more).ok();
            let again = Reviewed::new(reviewed.design);
            assert_eq!(
                again.insulation.class,
                Ok(class),
                "{word} {}",
                touchable + more
            );
        }
    }
}

/// Capacitors are discharged to what may be touched: 5 kohm x 1.272 mF x ln(100 V / U).
#[test]
fn each_domain_discharges_to_its_own_voltage() {
    for (_, word, touchable, ..) in DOMAINS {
        let by_hand = 5.0e3 * 1.272e-3 * (100.0 / touchable).ln();
        for rule in [RuleId::DischargePassive, RuleId::DischargeActive] {
            let findings = of_domain(word, "25").findings(rule);
            let near = |value: f32| (value - by_hand).abs() < 1.0e-3 * by_hand;
            let found = findings
                .iter()
                .any(|one| one.judged.value.is_some_and(near));
            assert!(found, "{word}: {} {by_hand}: {findings:?}", rule.slug());
        }
    }
}

/// What a domain does not change: every rule that knows nothing of what may be touched.
#[test]
fn nothing_else_differs_by_domain() {
    let touched = [
        RuleId::DischargePassive,
        RuleId::DischargeActive,
        RuleId::MeasuredVsComputed,
    ];
    let rest = |word| {
        let reviewed = of_domain(word, "25");
        let rules = RuleId::ALL.iter().filter(|rule| !touched.contains(*rule));
        rules
            .flat_map(|rule| reviewed.findings(*rule))
            .filter(|one| one.judged.name != Aspect::DomainVoltage)
            .collect::<Vec<_>>()
    };
    let road = rest("\"road\"");
    for word in ["\"farm\"", "\"rail\"", "\"craft\""] {
        assert_eq!(road, rest(word), "{word}");
    }
}
