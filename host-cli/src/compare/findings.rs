//! Findings of both states, side by side: by rule and by the names of things.

use std::collections::HashMap;

use orangeloom_core::review::{Finding, Moved, RuleId, moved, value_moved};
use orangeloom_core::verdict::Verdict;

use crate::review::Reviewed;
use crate::study::names;

/// One finding as it was and as it is.
pub(super) struct Pair {
    pub(super) old: Option<Finding>,
    pub(super) new: Option<Finding>,
}

impl Pair {
    /// Where its verdict went; `None` where it is there only once.
    pub(super) fn moved(&self) -> Option<Moved> {
        let (old, new) = (self.old.as_ref()?, self.new.as_ref()?);
        Some(moved(old.judged.verdict, new.judged.verdict))
    }

    /// Whether value or limit moved by more than a share.
    pub(super) fn moved_by(&self, share: f32) -> bool {
        let (Some(old), Some(new)) = (&self.old, &self.new) else {
            return false;
        };
        let by = |old: Option<f32>, new: Option<f32>| match (old, new) {
            (Some(old), Some(new)) => value_moved(old, new) > share,
            _ => false,
        };
        by(old.judged.value, new.judged.value) || by(old.judged.limit, new.judged.limit)
    }

    /// Whether it is new and something is to be done about it.
    pub(super) fn came(&self) -> Option<&Finding> {
        let new = self.new.as_ref().filter(|_| self.old.is_none())?;
        matches!(new.judged.verdict, Verdict::Fails | Verdict::Open).then_some(new)
    }

    /// Whether it was something to be done about, and its thing is gone.
    pub(super) fn went(&self) -> Option<&Finding> {
        let old = self.old.as_ref().filter(|_| self.new.is_none())?;
        matches!(old.judged.verdict, Verdict::Fails | Verdict::Open).then_some(old)
    }
}

type Key = (RuleId, String, u8);

fn by_thing(reviewed: &Reviewed) -> HashMap<Key, Vec<Finding>> {
    let mut found: HashMap<Key, Vec<Finding>> = HashMap::new();
    for one in &reviewed.findings {
        let thing = names::thing(reviewed.design(), one.thing);
        let key = (one.rule, thing, one.judged.name as u8);
        found.entry(key).or_default().push(*one);
    }
    found
}

/// Puts findings side by side. What a rule finds once of a thing is compared wherever on
/// the thing it was found: the worst phase may be another one now.
pub(super) fn pairs(old: &Reviewed, new: &Reviewed) -> Vec<Pair> {
    let mut before = by_thing(old);
    let mut pairs = Vec::new();
    let after = by_thing(new);
    for one in &new.findings {
        let thing = names::thing(new.design(), one.thing);
        let key = (one.rule, thing, one.judged.name as u8);
        let alone = after.get(&key).is_some_and(|all| all.len() == 1);
        let at = |reviewed: &Reviewed, one: &Finding| {
            one.at.map(|at| names::thing(reviewed.design(), at))
        };
        let known = before.get_mut(&key).and_then(|all| {
            let place = if alone && all.len() == 1 {
                Some(0)
            } else {
                all.iter().position(|other| at(old, other) == at(new, one))
            };
            place.map(|place| all.remove(place))
        });
        pairs.push(Pair {
            old: known,
            new: Some(*one),
        });
    }
    // What is left has no counterpart; in the order of the old review.
    for one in &old.findings {
        let thing = names::thing(old.design(), one.thing);
        let key = (one.rule, thing, one.judged.name as u8);
        let left = before.get_mut(&key).filter(|all| !all.is_empty());
        if let Some(all) = left
            && let Some(place) = all.iter().position(|other| other == one)
        {
            pairs.push(Pair {
                old: Some(all.remove(place)),
                new: None,
            });
        }
    }
    pairs
}
