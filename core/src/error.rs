//! The one error type of the crate.
//!
//! Small, `Copy` and free of text, so that it costs a controller nothing; the
//! `text` feature adds the words. "There is no steady state", "it never
//! reaches", "no section holds" are results, not errors, and live with the
//! computation that finds them.

use crate::bounds::Bounded;
use crate::standard::SourceId;

/// Why a computation was refused.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Error {
    /// A value is not finite or outside its row of [`crate::bounds`].
    OutOfRange {
        /// Which row.
        what: Bounded,
        /// What was given, in the unit of the row.
        value: f32,
    },
    /// A published table has no entry for this value, and the standard does not
    /// allow to go beyond it.
    NotInTable {
        /// Which table.
        table: SourceId,
        /// What was looked for, in the unit of the table's first column.
        value: f32,
    },
    /// Inputs that are fine one by one contradict each other.
    Inconsistent(Inconsistency),
    /// More items than the fixed capacity holds.
    Capacity(Capacity),
}

/// Which inputs contradict each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
#[repr(u8)]
pub enum Inconsistency {
    /// The metal of the conductor does not fit into its diameter.
    ConductorTooThin,
    /// The metal of the shield does not fit into its wall.
    ShieldTooThin,
    /// The cable does not fit into the tube around it.
    TubeTooNarrow,
    /// The limit temperature is not above the temperature it starts from.
    LimitBelowStart,
    /// The surroundings are hotter than the limit temperature.
    SurroundingsAboveLimit,
    /// The route has no piece.
    EmptyRoute,
    /// A divisor is zero.
    DivisionByZero,
    /// A size is given by an aluminium table that has copper only, or the other way round.
    MaterialNotInTable,
    /// The temperature is so low that the straight resistance law gives nothing
    /// above zero.
    NoResistanceLeft,
    /// A node does not belong to the network.
    UnknownNode,
    /// A branch does not belong to the network.
    UnknownBranch,
    /// Both ends of a branch are on one node.
    BothEndsOnOneNode,
}

/// Which fixed capacity overflowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
#[repr(u8)]
pub enum Capacity {
    /// Pieces of one route.
    RoutePieces,
    /// Peaks of one sizing question.
    Peaks,
    /// Candidate sections of one sizing answer.
    Candidates,
    /// Limits judged for one candidate.
    Limits,
    /// Nodes of one network.
    NetworkNodes,
    /// Branches of one network.
    NetworkBranches,
    /// Constant-power branches of one network.
    ConstantPowerBranches,
}

impl Error {
    /// Stable number for C and for a bus message: the high byte names the
    /// variant, the low byte its detail.
    pub const fn code(self) -> u16 {
        match self {
            Self::OutOfRange { what, .. } => 0x0100 | what as u16,
            Self::NotInTable { table, .. } => 0x0200 | table as u16,
            Self::Inconsistent(which) => 0x0300 | which as u16,
            Self::Capacity(which) => 0x0400 | which as u16,
        }
    }
}

/// Without the words: the number alone, so that a controller that reads stored
/// quantities links no prose and no float formatting.
#[cfg(not(feature = "text"))]
impl core::fmt::Display for Error {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "refused with code {}", self.code())
    }
}

#[cfg(feature = "text")]
impl core::fmt::Display for Error {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        match self {
            Self::OutOfRange { what, value } => write!(
                f,
                "the {} is {} {unit}, accepted is {} to {} {unit}",
                what.words(),
                value,
                what.min(),
                what.max(),
                unit = what.unit()
            ),
            Self::NotInTable { table, value } => {
                let source = table.source();
                write!(
                    f,
                    "{} {} has no entry for {}",
                    source.standard, source.place, value
                )
            }
            Self::Inconsistent(which) => f.write_str(which.words()),
            Self::Capacity(which) => f.write_str(which.words()),
        }
    }
}

impl core::error::Error for Error {}

#[cfg(feature = "text")]
impl Inconsistency {
    /// What contradicts what, as one clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::ConductorTooThin => {
                "the conductor's metal does not fit into the conductor diameter"
            }
            Self::ShieldTooThin => "the shield's metal does not fit into the shield wall",
            Self::TubeTooNarrow => "the cable does not fit into the tube around it",
            Self::LimitBelowStart => {
                "the limit temperature is not above the temperature it starts from"
            }
            Self::SurroundingsAboveLimit => {
                "the surroundings are as hot as the conductor may become, or hotter"
            }
            Self::EmptyRoute => "the route has no piece",
            Self::DivisionByZero => "a divisor is zero",
            Self::MaterialNotInTable => "the conductor table has no values for this material",
            Self::NoResistanceLeft => {
                "the metal is so cold that the resistance law ends; use the real lowest temperature"
            }
            Self::UnknownNode => "the network has no such node",
            Self::UnknownBranch => "the network has no such branch",
            Self::BothEndsOnOneNode => "both ends of the branch are on one node",
        }
    }
}

#[cfg(feature = "text")]
impl Capacity {
    /// What was too many, as one clause.
    pub const fn words(self) -> &'static str {
        match self {
            Self::RoutePieces => "the route has more pieces than fit",
            Self::Peaks => "more peaks than fit",
            Self::Candidates => "more candidate sections than fit",
            Self::Limits => "more limits than fit",
            Self::NetworkNodes => "the network has more nodes than fit",
            Self::NetworkBranches => "the network has more branches than fit",
            Self::ConstantPowerBranches => "the network has more constant-power branches than fit",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_error_stays_small_enough_to_return_in_registers() {
        assert!(size_of::<Error>() <= 8);
    }

    #[test]
    fn codes_of_different_errors_differ() {
        let a = Error::OutOfRange {
            what: Bounded::Length,
            value: 1.0,
        };
        let b = Error::Inconsistent(Inconsistency::TubeTooNarrow);
        let c = Error::Capacity(Capacity::Peaks);
        assert_ne!(a.code(), b.code());
        assert_ne!(b.code(), c.code());
    }
}
