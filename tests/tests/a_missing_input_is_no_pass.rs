//! Inputs whose removal, or whose change for the worse, once made a verdict better: none of
//! these does again. Demonstrations and the design that `orangeloom new` begins with;
//! invented.

use orangeloom_core::design::{Battery, Contactor, Design, Load, Phase, PhaseId};
use orangeloom_core::quantity::Current;
use orangeloom_core::review::{Aspect, Finding, RuleId};
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::fixture::{self, id};
use orangeloom_tests::reviewed::Reviewed;

/// What a rule finds in one aspect, of a design after a change.
fn found(name: &str, rule: RuleId, aspect: Aspect, change: impl Fn(&mut Design)) -> Vec<Finding> {
    let mut design = fixture::design(name);
    change(&mut design);
    let mut found = Reviewed::new(design).findings(rule);
    found.retain(|one| one.judged.name == aspect);
    found
}

/// Keys of the controller that make it do less when they are taken away or lowered.
const LESS: [fn(&mut Design); 6] = [
    |design| design.controller.charge_limit = None,
    |design| design.controller.discharge_limit = None,
    |design| design.controller.trip_current = None,
    |design| design.controller.opens_discharging = None,
    |design| opens(design, 0.8),
    |design| opens(design, 0.3),
];

fn opens(design: &mut Design, share: f32) {
    let stated = design.controller.opens_discharging;
    let lower = stated.map(|stated| Current::from_amperes(share * stated.as_amperes()).unwrap());
    design.controller.opens_discharging = lower;
}

/// The fuse of the starter had to clear for its cable all that the controller does not break,
/// 300 A and more, but without a limit of the controller only what is above 1.45 times the
/// lasting current, 391 A; and nothing at all was looked at where the controller breaks less
/// than the lasting current.
#[test]
fn a_controller_that_does_less_protects_no_conductor_and_closes_no_gap() {
    let asked = [
        (RuleId::OverloadOwner, Aspect::CableAllCurrents),
        (RuleId::FuseLowCurrentGap, Aspect::TakesOver),
    ];
    // As it is stated, and so that the starter opens on 300 A.
    let tried = fixture::whole().flat_map(|name| [(name.clone(), 1.0), (name, 0.75)]);
    for (name, share) in tried {
        for (rule, aspect) in asked {
            let before = found(&name, rule, aspect, |design| opens(design, share));
            for (number, change) in LESS.iter().enumerate() {
                let after = found(&name, rule, aspect, |design| {
                    opens(design, share);
                    change(design);
                });
                for one in &before {
                    let same = |other: &&Finding| other.thing == one.thing;
                    let Some(other) = after.iter().find(same) else {
                        continue;
                    };
                    // What fails may become open: it is not known any more.
                    let [was, is] = [one, other].map(|one| one.judged.verdict);
                    let better = is == Verdict::Holds && was != Verdict::Holds;
                    assert!(!better, "{name} {share} {number}: {one:?} {other:?}");
                }
            }
        }
    }
}

/// Its fuse surely clears from 385 A on, its contactors break 600 A. Where the controller holds
/// them closed above 384 A, between the two nobody opens.
#[test]
fn above_what_the_controller_opens_the_fuse_has_to_act() {
    for (amperes, verdict) in [(385.0, Verdict::Holds), (384.0, Verdict::Fails)] {
        let rule = RuleId::FuseLowCurrentGap;
        let found = found("starter", rule, Aspect::TakesOver, |design| {
            design.controller.opens_discharging = Some(Current::from_amperes(amperes).unwrap());
        });
        for contactor in ["K+", "K-"] {
            let thing = id::<Contactor>(&fixture::design("starter"), contactor).into();
            let one = found.iter().find(|one| one.thing == thing).unwrap();
            assert_eq!(one.judged.verdict, verdict, "{amperes} A: {one:?}");
            assert_eq!(one.judged.limit, Some(amperes));
        }
    }
}

/// The resistance of fuse F-51 of the lamps is not stated. Without that of the traction battery
/// no current of the traction side is known, and the drop at the lamps held.
#[test]
fn what_is_not_known_elsewhere_hides_no_contact() {
    let lamps = id::<Load>(&fixture::design("orchard-tractor"), "lamps").into();
    let without_links = |design: &mut Design| {
        let battery = id::<Battery>(design, "S1");
        design.get_mut(battery).unwrap().links = None;
    };
    for change in [(|_: &mut Design| {}) as fn(&mut Design), without_links] {
        let found = found("orchard-tractor", RuleId::VoltageDrop, Aspect::Drop, change);
        let one = found.iter().find(|one| one.thing == lamps).unwrap();
        assert_eq!(one.judged.verdict, Verdict::Open, "{one:?}");
    }
}

/// With the precharge relay left closed every phase counted as a precharge, and the drop at the
/// drive as none.
#[test]
fn a_relay_that_stays_closed_hides_no_drop() {
    let drive = id::<Load>(&fixture::design("starter"), "drive").into();
    let found = found("starter", RuleId::VoltageDrop, Aspect::Drop, |design| {
        let relay = id::<Contactor>(design, "Kp");
        let phases: Vec<PhaseId> = design.all::<Phase>().map(|(id, _)| id).collect();
        for phase in phases {
            design.get_mut(phase).unwrap().closed.insert(relay);
        }
    });
    let one = found.iter().find(|one| one.thing == drive).unwrap();
    // 140 A through 0.5 mohm at least.
    assert!(
        one.judged.value.is_some_and(|volts| volts > 0.07),
        "{one:?}"
    );
}
