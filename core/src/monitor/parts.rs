//! Of how many parts of a vehicle each check tells.

use super::CheckId;
use super::input::MAX_JOINTS;
use crate::limits::{Limits, MAX_CHANNELS, MAX_CIRCUITS, MAX_PATHS, MAX_STRINGS, MAX_SWITCHES};

/// Findings of one tick at most: each check tells of each part once.
pub const MAX_FINDINGS: usize = {
    let mut sum = 0;
    let mut rest = CheckId::ALL;
    while let [check, others @ ..] = rest {
        sum += check.counts([
            MAX_SWITCHES,
            MAX_PATHS,
            MAX_STRINGS,
            MAX_STRINGS,
            MAX_CHANNELS,
            MAX_CIRCUITS,
            1,
        ]);
        rest = others;
    }
    sum
};

impl CheckId {
    /// How many parts the check can tell of in the vehicle of these limits: parts of its
    /// findings are below this number, and there is nothing to acknowledge beyond.
    pub fn parts(self, limits: &Limits) -> usize {
        let strings = limits.strings.len();
        let joined = if limits.parallel.is_some() {
            strings
        } else {
            0
        };
        self.counts([
            limits.switches.len(),
            limits.precharge.len(),
            strings,
            joined,
            limits.channels.len(),
            limits.circuits.len(),
            usize::from(limits.isolation.is_some()),
        ])
    }

    /// Of how many of the contactors, precharge paths, strings, strings in parallel,
    /// currents, conductors and isolation monitors that there are.
    const fn counts(
        self,
        [
            switches,
            paths,
            strings,
            parallel,
            channels,
            circuits,
            isolation,
        ]: [usize; 7],
    ) -> usize {
        match self {
            Self::TickLate
            | Self::LinkDeadBeforeClose
            | Self::SoftOpen
            | Self::InterlockOpen
            | Self::HighVoltageAfterOff
            | Self::DischargeOnPack
            | Self::CoilDip
            | Self::ResistorHot
            | Self::PlugMoves => 1,
            Self::IsolationStale => isolation,
            // Warning and alarm.
            Self::IsolationLow => 2 * isolation,
            Self::JointHot => MAX_JOINTS,
            Self::MainCloseVerify | Self::Weld | Self::OpenUnderLoad | Self::DoNotOpenBand => {
                switches
            }
            Self::PrechargeRise
            | Self::PrechargeShort
            | Self::PrechargeOpen
            | Self::PrechargeLoad
            | Self::PrechargeTimeOut
            | Self::PrechargeBudget => paths,
            Self::SensorPlausible | Self::ClosePermission => strings,
            Self::StringShare | Self::StringJoin | Self::StringDrift => parallel,
            Self::OvercurrentBand | Self::FusePulse => channels,
            Self::ConductorHot => circuits,
        }
    }
}
