//! What a solve ends with: an operating point, or the reason why there is none.

use super::netlist::BranchId;
use super::point::OperatingPoint;
use crate::quantity::{Power, Resistance, Share, Voltage};

/// The end of a solve.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // there is a point or there is none
pub enum Outcome<'a> {
    /// Voltages and currents that fulfil every law and every branch.
    Settled(OperatingPoint<'a>),
    /// The network as described has no operating point.
    Refused(Refusal),
}

/// Why a network has no operating point.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Refusal {
    /// This branch without resistance closes a loop whose EMFs do not cancel and
    /// in which nothing limits the current.
    EmfShorted {
        /// The branch that closes the loop.
        branch: BranchId,
    },
    /// This load or source draws a current in an island without any EMF, so
    /// nothing sets a voltage there.
    NoEmf {
        /// The load or source.
        branch: BranchId,
    },
    /// The current of this load or source has no way back: its two ends lie in
    /// different islands.
    NoReturnPath {
        /// The load or source.
        branch: BranchId,
    },
    /// The voltage at this constant-power branch, before it draws anything, is
    /// zero or the wrong way round.
    WrongPolarity {
        /// The load or source.
        branch: BranchId,
        /// The voltage from its first end to its second.
        voltage: Voltage,
    },
    /// This load cannot be fed: it wants more than `V^2 / (4 R)`.
    CannotBeFed(Shortfall),
    /// No operating point was found within the documented number of steps, or
    /// the one found does not balance. It may exist nevertheless.
    NotSettled,
}

/// A constant-power load that wants more than the network can bring to it.
///
/// For a single load all values are exact. With several, `V` and `R` are those
/// at the point of collapse, where they move fast: known to about 1e-4, beside
/// sources of constant power to a few per cent; `V^2 / (4 R)` is far more exact
/// than either. Beside sources of constant power the limit errs to the low side
/// by up to 0.1 %.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Shortfall {
    /// The load; with several, the one whose voltage has collapsed furthest.
    pub branch: BranchId,
    /// What it wants.
    pub power: Power,
    /// The voltage `V` of the network as this load sees it, the other
    /// constant-power branches at work.
    pub open_circuit: Voltage,
    /// The resistance `R` of the network as this load sees it, the other
    /// constant-power branches at work.
    pub resistance: Resistance,
    /// The most this load can get: `V^2 / (4 R)`.
    pub most: Power,
    /// The part of their power that all constant-power loads together can get,
    /// each reduced by the same factor.
    pub feedable: Share,
}

#[cfg(feature = "text")]
impl Refusal {
    /// The reason, as one clause after the name of the branch.
    pub const fn words(self) -> &'static str {
        match self {
            Self::EmfShorted { .. } => {
                "closes a loop without resistance in which the EMFs do not cancel: \
                 enter the resistance of the battery or open the loop"
            }
            Self::NoEmf { .. } => {
                "draws or delivers current where no battery sets a voltage: \
                 close the contactors to a battery or set the draw to zero in this phase"
            }
            Self::NoReturnPath { .. } => {
                "has no way back for its current: join its second terminal to the same network"
            }
            Self::WrongPolarity { .. } => {
                "sees no voltage or the wrong polarity: check which terminal is positive"
            }
            Self::CannotBeFed(_) => {
                "cannot be fed: it wants more than V^2/(4R) of the network in front of it"
            }
            Self::NotSettled => "has no operating point that could be found",
        }
    }
}
