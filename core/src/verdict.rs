//! Verdicts and the evidence that comes with each.

use crate::standard::SourceId;

/// What a check found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a fifth verdict would be a new design
pub enum Verdict {
    /// The value keeps the limit.
    Holds,
    /// The value breaks the limit.
    Fails,
    /// An input is missing, so nothing can be said. Never a pass.
    Open,
    /// The check has no object here.
    NotApplicable,
}

impl Verdict {
    /// The worse of two: a failure outranks an open check, which outranks the rest.
    #[must_use]
    pub const fn worse(self, other: Self) -> Self {
        match (self, other) {
            (Self::Fails, _) | (_, Self::Fails) => Self::Fails,
            (Self::Open, _) | (_, Self::Open) => Self::Open,
            (Self::Holds, _) | (_, Self::Holds) => Self::Holds,
            (Self::NotApplicable, Self::NotApplicable) => Self::NotApplicable,
        }
    }

    /// How bad it is: 0 where it holds or does not apply, 1 open, 2 fails.
    pub(crate) const fn rank(self) -> u8 {
        match self {
            Self::Holds | Self::NotApplicable => 0,
            Self::Open => 1,
            Self::Fails => 2,
        }
    }

    /// The word people read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Fails => "fails",
            Self::Open => "open",
            Self::NotApplicable => "not applicable",
        }
    }
}

/// On which side of the limit a value has to stay.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // there are two sides
pub enum Side {
    /// The value must not exceed the limit.
    AtMost,
    /// The value must reach the limit.
    AtLeast,
}

/// One value judged against one limit.
///
/// `N` names the check. Value, limit and margin share the unit that belongs to
/// the name. The margin is positive while the check holds: the distance that is
/// left, not a share.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Judged<N> {
    /// Which check.
    pub name: N,
    /// What was computed; absent when an input is missing or no value exists
    /// (no steady state).
    pub value: Option<f32>,
    /// What it is held against; absent when not stated.
    pub limit: Option<f32>,
    /// On which side of the limit the value has to stay.
    pub side: Side,
    /// The verdict.
    pub verdict: Verdict,
    /// Where the check, or its limit, comes from.
    pub source: SourceId,
}

impl<N> Judged<N> {
    /// Judges a value. NaN never holds.
    pub fn compare(name: N, value: f32, side: Side, limit: f32, source: SourceId) -> Self {
        let keeps = match side {
            Side::AtMost => value <= limit,
            Side::AtLeast => value >= limit,
        };
        let verdict = if keeps {
            Verdict::Holds
        } else {
            Verdict::Fails
        };
        Self {
            name,
            value: Some(value),
            limit: Some(limit),
            side,
            verdict,
            source,
        }
    }

    /// Judges a value against a limit where both are known; open where either is missing.
    pub(crate) fn known(
        name: N,
        value: Option<f32>,
        side: Side,
        limit: Option<f32>,
        source: SourceId,
    ) -> Self {
        match (value, limit) {
            (Some(value), Some(limit)) => Self::compare(name, value, side, limit, source),
            _ => Self::open(name, value, side, limit, source),
        }
    }

    /// Judges a value that has to stay below a limit, not at it. NaN never holds.
    pub fn below(name: N, value: f32, limit: f32, source: SourceId) -> Self {
        let verdict = if value < limit {
            Verdict::Holds
        } else {
            Verdict::Fails
        };
        Self {
            name,
            value: Some(value),
            limit: Some(limit),
            side: Side::AtMost,
            verdict,
            source,
        }
    }

    /// A check whose input is missing.
    pub const fn open(
        name: N,
        value: Option<f32>,
        side: Side,
        limit: Option<f32>,
        source: SourceId,
    ) -> Self {
        Self {
            name,
            value,
            limit,
            side,
            verdict: Verdict::Open,
            source,
        }
    }

    /// A check that fails because the value does not exist: nothing settles, or
    /// nothing can be carried at all.
    pub const fn failed_without_value(
        name: N,
        side: Side,
        limit: Option<f32>,
        source: SourceId,
    ) -> Self {
        Self {
            name,
            value: None,
            limit,
            side,
            verdict: Verdict::Fails,
            source,
        }
    }

    /// Distance left to the limit, in the unit of the check; negative when it fails.
    pub fn margin(&self) -> Option<f32> {
        let (value, limit) = (self.value?, self.limit?);
        Some(match self.side {
            Side::AtMost => limit - value,
            Side::AtLeast => value - limit,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Verdict; 4] = [
        Verdict::Holds,
        Verdict::Fails,
        Verdict::Open,
        Verdict::NotApplicable,
    ];

    #[test]
    fn open_is_never_turned_into_a_pass() {
        for other in ALL {
            assert_ne!(Verdict::Open.worse(other), Verdict::Holds);
            assert_eq!(Verdict::Open.worse(other), other.worse(Verdict::Open));
            assert_eq!(Verdict::Fails.worse(other), Verdict::Fails);
        }
    }

    #[test]
    fn a_value_that_is_not_a_number_fails() {
        for side in [Side::AtMost, Side::AtLeast] {
            let judged = Judged::compare((), f32::NAN, side, 1.0, SourceId::CommonPractice);
            assert_eq!(judged.verdict, Verdict::Fails);
        }
    }

    #[test]
    fn below_a_limit_is_not_at_it() {
        let at = Judged::below((), 0.1, 0.1, SourceId::CommonPractice);
        assert_eq!(at.verdict, Verdict::Fails);
        let under = Judged::below((), 0.09, 0.1, SourceId::CommonPractice);
        assert_eq!(under.verdict, Verdict::Holds);
        let none = Judged::below((), f32::NAN, 0.1, SourceId::CommonPractice);
        assert_eq!(none.verdict, Verdict::Fails);
    }

    #[test]
    fn the_margin_is_positive_while_the_check_holds() {
        let below = Judged::compare((), 80.0, Side::AtMost, 90.0, SourceId::CommonPractice);
        assert_eq!(below.verdict, Verdict::Holds);
        assert_eq!(below.margin(), Some(10.0));
        let short = Judged::compare((), 80.0, Side::AtLeast, 90.0, SourceId::CommonPractice);
        assert_eq!(short.verdict, Verdict::Fails);
        assert_eq!(short.margin(), Some(-10.0));
    }
}
