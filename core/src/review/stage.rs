//! When in the work a rule is proven, and which readings prove it.
//! On the host only: a controller keeps no papers.

#![cfg(feature = "text")]

use super::registry::RuleId;
use crate::design::Measured;

worded! {
    /// When in the work a rule is proven, in this order; common practice.
    #[allow(clippy::exhaustive_enums)] // renderers have to know each
    Stage {
        /// From the design alone.
        Paper: "on paper";
        /// With boxes open and cables in the hand.
        Workshop: "while it is built";
        /// With the battery disconnected; the low-voltage side may be on.
        Cold: "cold tests, battery disconnected";
        /// When the battery is joined for the first time.
        Energising: "polarity and first energising";
        /// Under load, while driving and while charging.
        Trial: "trial, driving and charging";
        /// With the papers.
        HandOver: "before it is handed over";
    }
}

impl RuleId {
    /// When in the work it is proven.
    pub const fn stage(self) -> Stage {
        match self {
            Self::ServiceDisconnectUse
            | Self::CableMarked
            | Self::OutgoingAndReturnTogether
            | Self::CoilSuppression
            | Self::ShieldBothEnds
            | Self::ShieldCutback
            | Self::ShieldNotBond
            | Self::UnshieldedJustified
            | Self::Clearance
            | Self::Creepage
            | Self::ReinforcedToLv
            | Self::PollutionByBox
            | Self::BoxDrainBreather
            | Self::LoosePartSafe
            | Self::JointStack
            | Self::JointTorque
            | Self::BendRadius
            | Self::ClipSpacing
            | Self::HeatAndMotion
            | Self::OrangeAndSymbol
            | Self::IdBothEnds => Stage::Workshop,
            Self::ContactFeedback
            | Self::OpenWithoutSoftware
            | Self::ShieldContinuity
            | Self::IsolationLimit
            | Self::IsolationNewBuild
            | Self::BondResistance
            | Self::LvAndHvSeparate
            | Self::TouchProtection
            | Self::InterlockComplete
            | Self::StopAndCrash
            | Self::JointResistance
            | Self::ChargeEarth
            | Self::InsulationTestLevel
            | Self::HipotScope => Stage::Cold,
            Self::EnergisingOrder | Self::StringJoinSymmetric => Stage::Energising,
            Self::OneMonitorAtATime
            | Self::DriveInhibit
            | Self::DcInletMatch
            | Self::BrakeVacuumReserve
            | Self::MeasuredVsComputed => Stage::Trial,
            Self::FuseToolAndSpares | Self::ContactorLog | Self::PapersComplete => Stage::HandOver,
            _ => Stage::Paper,
        }
    }
}

/// The rules that look at a reading of this kind, wherever it was taken.
pub const fn rules_that_read(measured: Measured) -> &'static [RuleId] {
    match measured {
        Measured::Isolation { .. } => &[
            RuleId::IsolationLimit,
            RuleId::IsolationNewBuild,
            RuleId::InsulationTestLevel,
            RuleId::LvAndHvSeparate,
        ],
        Measured::Bond { .. } => &[RuleId::BondResistance, RuleId::ChargeEarth],
        Measured::Joint(_) => &[RuleId::JointResistance],
        Measured::Shield(_) => &[RuleId::ShieldContinuity],
        Measured::CutBack(_) => &[RuleId::ShieldCutback],
        Measured::Voltage(_) => &[RuleId::EnergisingOrder],
        Measured::Count(_) => &[RuleId::BrakeVacuumReserve, RuleId::ContactorLog],
        Measured::Precharge(_)
        | Measured::Discharge(_)
        | Measured::Drop { .. }
        | Measured::Temperature { .. } => &[RuleId::MeasuredVsComputed],
        Measured::PoleToChassis { .. }
        | Measured::Withstood(_)
        | Measured::Capacitance(_)
        | Measured::Torque(_)
        | Measured::Mass(_) => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::super::rule::Proof;
    use super::*;

    #[test]
    fn what_is_not_computed_has_its_stage_in_the_work() {
        for id in RuleId::ALL {
            if id.rule().proof != Proof::Computed {
                assert_ne!(id.stage(), Stage::Paper, "{}", id.slug());
            }
        }
    }
}
