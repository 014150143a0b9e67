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

impl Stage {
    /// What is dangerous meanwhile, and what comes first.
    pub const fn beware(self) -> &'static str {
        match self {
            Self::Paper => {
                "Nothing is touched for the proof. To change the vehicle afterwards make it dead \
                 first: contactors open, service disconnect out and locked, wait as the label \
                 says, meter proven before and after, each pole against the other and chassis. \
                 What is beside the battery's own poles stays live."
            }
            Self::Workshop => {
                "Make it dead first: contactors open, service disconnect out and locked, wait as \
                 the label says, meter proven before and after, each pole against the other and \
                 chassis. The battery's own poles and what is on them stay live: insulating \
                 gloves, covered tools, no jewellery, a second person."
            }
            Self::Cold => {
                "Battery disconnected at its terminals and locked, link discharged and proven \
                 dead. The tester itself puts voltage on the wiring: nobody touches it, and it is \
                 discharged before the leads come off. Electronics as their makers say."
            }
            Self::Energising => {
                "Now it is live. Area closed off, second person, insulating gloves rated for the \
                 voltage, one hand, meter and leads of its category; somebody at the stop. Only \
                 for those who are trained and allowed to by the law of the place."
            }
            Self::Trial => {
                "Live and moving. Readings from logs or from leads that were fitted while it was \
                 dead; wheels off the ground or a closed yard; somebody at the stop. After each \
                 surprise stop, make it dead, look."
            }
            Self::HandOver => {
                "Nothing is live that need not be. To count or look inside make it dead first, as \
                 for work in the workshop."
            }
        }
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
        // Across one end of a conductor, or along it.
        Measured::Drop { .. } => &[RuleId::JointResistance, RuleId::MeasuredVsComputed],
        Measured::Temperature { .. } => &[
            RuleId::ConductorTemperature,
            RuleId::TerminalTemperature,
            RuleId::MeasuredVsComputed,
        ],
        Measured::Shield(_) => &[RuleId::ShieldContinuity],
        Measured::CutBack(_) => &[RuleId::ShieldCutback],
        Measured::Voltage(_) => &[RuleId::EnergisingOrder],
        Measured::Count(_) => &[RuleId::BrakeVacuumReserve, RuleId::ContactorLog],
        Measured::Precharge(_) | Measured::Discharge(_) | Measured::Capacitance(_) => {
            &[RuleId::MeasuredVsComputed]
        }
        Measured::PoleToChassis { .. }
        | Measured::Withstood(_)
        | Measured::Torque(_)
        | Measured::Mass(_) => &[],
    }
}

#[cfg(test)]
mod tests {
    use super::super::astray;
    use super::super::rule::Proof;
    use super::*;

    /// What is told to be read is read, and what is read is told. What is looked at may be
    /// held against a reading.
    #[test]
    fn a_rule_tells_the_readings_that_it_reads() {
        use crate::quantity::{Capacitance, Current, Length, Mass, Resistance, Temperature};
        use crate::quantity::{Time, Torque, Voltage};
        let ohms = Resistance::from_ohms(1.0).unwrap();
        let volts = Voltage::from_volts(1.0).unwrap();
        let amperes = Current::from_amperes(1.0).unwrap();
        let seconds = Time::from_seconds(1.0).unwrap();
        let degrees = Temperature::from_degc(20.0).unwrap();
        let length = Length::from_mm(1.0).unwrap();
        let farads = Capacitance::from_farads(1.0e-6).unwrap();
        let torque = Torque::from_newton_metres(1.0).unwrap();
        let mass = Mass::from_kg(1.0).unwrap();
        let readings = [
            (
                "reading.isolation",
                Measured::Isolation {
                    resistance: ohms,
                    at: volts,
                },
            ),
            (
                "reading.bond",
                Measured::Bond {
                    resistance: ohms,
                    at: Some(amperes),
                },
            ),
            ("reading.joint", Measured::Joint(ohms)),
            ("reading.shield", Measured::Shield(ohms)),
            ("reading.cut-back", Measured::CutBack(length)),
            ("reading.voltage", Measured::Voltage(volts)),
            ("reading.count", Measured::Count(1)),
            ("reading.precharge", Measured::Precharge(seconds)),
            ("reading.discharge", Measured::Discharge(seconds)),
            (
                "reading.drop",
                Measured::Drop {
                    voltage: volts,
                    at: amperes,
                },
            ),
            (
                "reading.temperature",
                Measured::Temperature {
                    temperature: degrees,
                    at: amperes,
                    air: degrees,
                },
            ),
            ("reading.capacitance", Measured::Capacitance(farads)),
            ("reading.torque", Measured::Torque(torque)),
            ("reading.mass", Measured::Mass(mass)),
        ];
        for id in RuleId::ALL {
            if id.rule().proof == Proof::Attested {
                continue;
            }
            let inputs = id.method().inputs;
            for (key, measured) in &readings {
                if let Some((home, _)) = astray::home(*measured).filter(|(home, _)| home == id) {
                    assert_eq!(home.rule().proof, Proof::Measured, "{key}");
                    assert!(rules_that_read(*measured).contains(id), "{key}");
                }
                let (told, read) = (
                    inputs.contains(key),
                    rules_that_read(*measured).contains(id),
                );
                assert_eq!(told, read, "{} {key}", id.slug());
            }
        }
    }

    #[test]
    fn what_is_not_computed_has_its_stage_in_the_work() {
        for id in RuleId::ALL {
            if id.rule().proof != Proof::Computed {
                assert_ne!(id.stage(), Stage::Paper, "{}", id.slug());
            }
        }
    }
}
