//! A check of the study with what keeps it open.

use super::unknown::Unknown;
use crate::verdict::{Judged, Verdict};

/// A check, and why it is open where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Checked<N> {
    /// The check.
    pub judged: Judged<N>,
    /// What keeps it open, or makes it fail as long as it is not stated; absent otherwise,
    /// and where only its source tells why.
    pub because: Option<Unknown>,
}

impl<N> Checked<N> {
    /// A check that lacks nothing that could be named.
    pub(super) const fn sure(judged: Judged<N>) -> Self {
        Self {
            judged,
            because: None,
        }
    }

    /// An open check for a reason; a check with another verdict keeps it.
    pub(super) fn open_because(judged: Judged<N>, because: Unknown) -> Self {
        let open = judged.verdict == Verdict::Open;
        Self {
            judged,
            because: open.then_some(because),
        }
    }

    /// A check that fails as long as something is not stated.
    pub(super) const fn failed_because(judged: Judged<N>, because: Unknown) -> Self {
        Self {
            judged,
            because: Some(because),
        }
    }

    /// Takes a verdict back that rests on something not known.
    pub(super) fn doubted(mut self, verdict: Verdict, because: Unknown) -> Self {
        if self.judged.verdict == verdict {
            self.judged.verdict = Verdict::Open;
            self.because = Some(because);
        }
        self
    }

    /// The verdict.
    pub const fn verdict(&self) -> Verdict {
        self.judged.verdict
    }
}
