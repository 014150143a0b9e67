//! What of the vehicle has to be measured and looked at again after a change: what the change
//! can reach.

use orangeloom_core::design::{Conductor, Spacing, SpacingId, Thing};
use orangeloom_core::review::{Finding, Moved, RuleId};
use orangeloom_core::verdict::Verdict;

use super::Report;
use super::entries::Edited;

/// Sections that say nothing about what is built: what somebody does with it, what a controller
/// keeps to, what was read.
const NOT_BUILT: [&str; 5] = ["phase", "duty", "controller", "reading", "attestation"];

/// Whether an edited entry is something that is built otherwise now.
pub(super) fn is_built(edit: &Edited) -> bool {
    !NOT_BUILT.contains(&edit.section())
}

/// The sections whose entries a rule about the whole vehicle looks at; `None` for one that
/// every change reaches.
const fn looks_at(rule: RuleId) -> Option<&'static [&'static str]> {
    Some(match rule {
        RuleId::IsolationLimit
        | RuleId::IsolationNewBuild
        | RuleId::InsulationTestLevel
        | RuleId::HipotScope => &[
            "vehicle",
            "zone",
            "box",
            "terminal",
            "tube",
            "battery",
            "conductor",
            "pair",
            "fuse",
            "contactor",
            "service-disconnect",
            "resistor",
            "load",
            "converter",
            "consumer",
            "spacing",
            "cell-type",
            "cable-type",
            "fuse-type",
            "contactor-type",
            "resistor-type",
            "lug-type",
            "gland-type",
        ],
        RuleId::BrakeVacuumReserve => &["vehicle", "load", "consumer", "converter", "battery"],
        RuleId::StopAndCrash | RuleId::OpenWithoutSoftware => &[
            "vehicle",
            "controller",
            "contactor",
            "contactor-type",
            "service-disconnect",
            "converter",
        ],
        RuleId::InterlockComplete => &[
            "vehicle",
            "box",
            "conductor",
            "pair",
            "contactor",
            "service-disconnect",
            "load",
            "converter",
        ],
        RuleId::OutgoingAndReturnTogether => &["vehicle", "conductor", "pair", "tube", "load"],
        RuleId::FuseToolAndSpares => &["fuse", "fuse-type"],
        RuleId::OrangeAndSymbol => &["vehicle", "conductor", "pair", "cable-type", "box"],
        RuleId::StringJoinSymmetric => &[
            "vehicle",
            "controller",
            "battery",
            "cell-type",
            "contactor",
            "contactor-type",
            "resistor",
            "resistor-type",
        ],
        _ => return None,
    })
}

/// Rules about a conductor that are about what lies on its ends.
const fn is_about_ends(rule: RuleId) -> bool {
    matches!(rule, RuleId::JointStack | RuleId::JointTorque)
}

impl Report {
    /// Whether a finding that rests on a reading or on somebody who looked is asked for again.
    pub(super) fn asks_again(&self, one: &Finding) -> bool {
        if one.thing == Thing::VEHICLE {
            let looks_at = looks_at(one.rule);
            return self
                .edited
                .iter()
                .any(|edit| looks_at.is_none_or(|sections| sections.contains(&edit.section())));
        }
        let built = |thing: Thing| self.built.binary_search(&thing).is_ok();
        let at_an_end = || {
            let leads = self.new.design().all::<Conductor>();
            let mut leads = leads.filter(|(id, _)| Thing::from(*id) == one.thing);
            leads.any(|(_, lead)| built(lead.from.into()) || built(lead.to.into()))
        };
        let in_box = || {
            let spacing: Option<&Spacing> = one
                .thing
                .id::<SpacingId>()
                .and_then(|id| self.new.design().get(id));
            spacing.is_some_and(|spacing| built(spacing.enclosure.into()))
        };
        built(one.thing)
            || in_box()
            || one.at.is_some_and(built)
            || self.has_moved(one)
            || (is_about_ends(one.rule) && at_an_end())
    }

    /// Whether what it is held against, or what it says, is another than before.
    fn has_moved(&self, one: &Finding) -> bool {
        let pair = self
            .pairs
            .iter()
            .find(|pair| pair.new.as_ref() == Some(one));
        pair.is_some_and(|pair| {
            let fails = one.judged.verdict == Verdict::Fails && pair.moved() == Some(Moved::Worse);
            fails || pair.moved_by(super::REACHES)
        })
    }
}
