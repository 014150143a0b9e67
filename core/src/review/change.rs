//! What moved between the reviews of two states of a vehicle.
//! On the host only: a controller keeps no papers.

#![cfg(feature = "text")]

use super::registry::RuleId;
use super::rule::Proof;
use crate::verdict::Verdict;

worded! {
    /// Where a verdict went.
    #[allow(clippy::exhaustive_enums)] // renderers have to know each
    Moved {
        /// From holding to open or failing, from open to failing.
        Worse: "worse";
        /// The other way.
        Better: "better";
        /// It holds in place of not applying, or the other way.
        Other: "changed";
        /// It stayed.
        Not: "the same";
    }
}

/// Where a verdict went from one state to the next.
pub fn moved(old: Verdict, new: Verdict) -> Moved {
    match new.rank().cmp(&old.rank()) {
        core::cmp::Ordering::Greater => Moved::Worse,
        core::cmp::Ordering::Less => Moved::Better,
        core::cmp::Ordering::Equal if old == new => Moved::Not,
        core::cmp::Ordering::Equal => Moved::Other,
    }
}

/// By which share of the old value the new one differs; infinite from zero.
pub fn value_moved(old: f32, new: f32) -> f32 {
    let by = libm::fabsf(new - old);
    if by == 0.0 {
        return 0.0;
    }
    let share = by / libm::fabsf(old);
    if share.is_nan() { f32::INFINITY } else { share }
}

impl RuleId {
    /// Whether a change of the thing that it is about asks for a new reading or a new look.
    pub fn is_repeated(self) -> bool {
        self.rule().proof != Proof::Computed
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use Verdict::{Fails, Holds, NotApplicable, Open};

    #[test]
    fn what_is_open_is_worse_than_what_holds_and_better_than_what_fails() {
        assert_eq!(moved(Holds, Open), Moved::Worse);
        assert_eq!(moved(NotApplicable, Fails), Moved::Worse);
        assert_eq!(moved(Open, Fails), Moved::Worse);
        assert_eq!(moved(Fails, Open), Moved::Better);
        assert_eq!(moved(Open, Holds), Moved::Better);
        assert_eq!(moved(Holds, NotApplicable), Moved::Other);
        for verdict in [Holds, Fails, Open, NotApplicable] {
            assert_eq!(moved(verdict, verdict), Moved::Not);
        }
    }

    #[test]
    fn a_share_is_of_the_old_value() {
        for (old, new, share) in [
            (100.0, 105.0, 0.05),
            (100.0, 95.0, 0.05),
            (-4.0, -3.0, 0.25),
            (0.0, 0.0, 0.0),
            (0.0, 1.0e-9, f32::INFINITY),
            (f32::NAN, 1.0, f32::INFINITY),
        ] {
            let found = value_moved(old, new);
            let same = found.is_infinite() && share.is_infinite();
            assert!(
                same || (found - share).abs() < 1.0e-6,
                "{old} {new}: {found}"
            );
        }
    }
}
