//! The one error type of the crate.
//!
//! Small, `Copy` and free of text, so that it costs a controller nothing; the
//! `text` feature adds the words. "There is no steady state", "it never
//! reaches", "no section holds" are results, not errors, and live with the
//! computation that finds them.

use crate::bounds::Bounded;
use crate::design::{Kind, Thing};
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
    /// A design holds no more entries of this kind.
    Full(Kind),
    /// The name of the entry is that of this one already.
    NameTaken(Thing),
}

/// Which inputs contradict each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
#[repr(u8)]
pub enum Inconsistency {
    /// The metal of the conductor does not fit into its diameter.
    ConductorTooThin,
    /// The metal of the conductor fills less than a quarter of its diameter.
    ConductorTooThick,
    /// The resistance is below that of a solid rod of pure metal.
    ResistanceTooLow,
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
    /// The peak of a voltage is below its direct or r.m.s. value.
    PeakBelowWorking,
    /// The impulse voltage is below the peak of the working voltage.
    ImpulseBelowPeak,
    /// The temporary overvoltage is below the working voltage.
    TemporaryBelowWorking,
    /// The points of a surface do not run from left to right, or two are missing.
    SurfaceRunsBack,
    /// The inserted resistor raised the voltage it is put across.
    ResistorRaisesVoltage,
    /// The two pole-to-chassis voltages add to more than the pack voltage.
    PolesExceedPack,
    /// The measured leak is smaller than that of the meter itself.
    MeterHidesLeak,
    /// One direction of the braid would fill the whole surface.
    BraidOverfull,
    /// Two cables are closer than their shields are wide.
    CablesOverlap,
    /// A text is empty, has spaces around it or control characters in it.
    TextNotPrintable,
    /// A number stands for an entry that the design does not have.
    UnknownReference,
    /// The calendar has no such day.
    NoSuchDay,
    /// The day has no such minute.
    NoSuchMinute,
    /// The walls of the cable do not fit its outer diameter.
    OuterDiameterTooSmall,
    /// Along the melting curve of a fuse the time does not rise, the current does not
    /// fall, or one of them is zero.
    MeltingCurve,
    /// The limit of an overload is above that of a short circuit.
    OverloadAboveShortCircuit,
    /// A standing load delivers instead of drawing.
    LoadDelivers,
    /// A load of constant power draws from zero volts on.
    PowerFromZero,
    /// The lowest voltage is above the highest.
    LowestAboveHighest,
    /// The threshold cannot be below the pack voltage: nothing or all of it is left.
    ThresholdBeyondPack,
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
    /// Steps of one derivation.
    Steps,
    /// Points of one surface.
    SurfacePoints,
    /// Steps of one duty.
    DutySteps,
    /// Letters of one text.
    TextLength,
    /// Letters of all texts of a design.
    Letters,
    /// Loops or capacitors of one fault.
    FaultLoops,
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
            Self::Full(kind) => 0x0500 | kind as u16,
            Self::NameTaken(thing) => 0x0600 | thing.kind as u16,
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
            Self::OutOfRange { what, value } => {
                let unit = what.unit();
                // A plain number has no unit and no space before it.
                let space = if unit.is_empty() { "" } else { " " };
                write!(
                    f,
                    "the {} is {value}{space}{unit}, accepted is {} to {}{space}{unit}",
                    what.words(),
                    what.min(),
                    what.max(),
                )
            }
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
            Self::Full(kind) => {
                write!(
                    f,
                    "more {} than the {} that fit",
                    kind.plural(),
                    kind.most()
                )
            }
            Self::NameTaken(thing) => {
                write!(
                    f,
                    "the name is that of another {} already",
                    thing.kind.words()
                )
            }
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
            Self::ConductorTooThick => {
                "the conductor's metal fills less than a quarter of the conductor diameter"
            }
            Self::ResistanceTooLow => {
                "the resistance is below that of a solid rod of the purest metal of this section"
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
            Self::PeakBelowWorking => "the peak voltage is below the working voltage",
            Self::ImpulseBelowPeak => {
                "the impulse voltage is below the peak of the working voltage"
            }
            Self::TemporaryBelowWorking => "the temporary overvoltage is below the working voltage",
            Self::SurfaceRunsBack => {
                "the surface points need at least two and must run from left to right"
            }
            Self::ResistorRaisesVoltage => {
                "the voltage rose when the resistor was put in; measure again and check the leads"
            }
            Self::PolesExceedPack => {
                "the two pole-to-chassis voltages add to more than the pack voltage; measure all at rest"
            }
            Self::BraidOverfull => "the strands of the braid do not fit around the cable",
            Self::TextNotPrintable => {
                "the text is empty, or has spaces around it or control characters in it"
            }
            Self::UnknownReference => "the design has no such entry",
            Self::NoSuchDay => "the calendar has no such day; write year, month and day",
            Self::NoSuchMinute => {
                "the day has no such minute; write hour and minute, 0:00 to 23:59"
            }
            Self::OuterDiameterTooSmall => {
                "conductor and walls do not fit the outer diameter; measure both again"
            }
            Self::MeltingCurve => {
                "along the melting curve the time must rise and the current fall, all above zero; so must the melting I2t be"
            }
            Self::OverloadAboveShortCircuit => {
                "the limit temperature of an overload is above that of a short circuit"
            }
            Self::LoadDelivers => "a standing load draws; it cannot be negative",
            Self::PowerFromZero => {
                "constant power at zero volts is endless current; state the voltage from which the load draws"
            }
            Self::LowestAboveHighest => "the lowest voltage is above the highest",
            Self::ThresholdBeyondPack => {
                "the contactor has to close above zero and below the pack voltage"
            }
            Self::CablesOverlap => "the two cables are closer than their shields are wide",
            Self::MeterHidesLeak => {
                "the meter leaks more than was measured; enter its input resistance and the pack voltage"
            }
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
            Self::Steps => "more steps than fit",
            Self::SurfacePoints => "more surface points than fit",
            Self::DutySteps => "the duty has more steps than fit",
            Self::TextLength => "the text has more letters than fit",
            Self::Letters => "all texts together have more letters than fit",
            Self::FaultLoops => "the fault has more loops or capacitors than fit",
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
