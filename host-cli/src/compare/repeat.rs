//! What of the vehicle has to be measured and looked at again after a change: what the change
//! can reach.

use orangeloom_core::design::{Conductor, Spacing, SpacingId, Thing};
use orangeloom_core::review::{Finding, Moved, RuleId};
use orangeloom_core::verdict::Verdict;

use super::Report;
use super::entries::Edited;
use crate::review::{record_of, signature};

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

/// Whether a test that a change asks for was done again.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Done {
    /// The new state has a record of it that is of its revision.
    Yes,
    /// It has none, or one of before.
    No,
    /// It has one of before with its own revision written on it.
    Relabelled,
    /// It rests on what the design states, which has no date.
    NoRecord,
}

impl Done {
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Yes => "done",
            Self::No => "to be done",
            Self::Relabelled => "to be done, its old record has only got another revision",
            Self::NoRecord => "to be looked at, stated without a record",
        }
    }
}

impl Report {
    /// Whether a finding of the new state rests on a record of its revision that the old state
    /// did not have.
    pub(super) fn done(&self, one: &Finding) -> Done {
        let Some(record) = record_of(&self.new, one) else {
            return match one.judged.verdict {
                Verdict::Open => Done::No,
                _ => Done::NoRecord,
            };
        };
        let design = self.new.design();
        let revision = signature(design, record).revision;
        let in_force = revision.is_some() && revision == design.vehicle.revision;
        if one.judged.verdict == Verdict::Open || !in_force {
            return Done::No;
        }
        // A record of before stays one of before, whatever revision is written on it now.
        if self.recorded.iter().any(|edit| edit.is_anew(record)) {
            Done::Yes
        } else if self.revision_is_kept() {
            Done::No
        } else {
            Done::Relabelled
        }
    }

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
