//! Test voltages, and what to disconnect before.
//!
//! A withstand test is destructive for whatever was left connected and lethal for
//! whoever touches it. It belongs to a component on the bench; the finished
//! vehicle gets the much lower isolation test.

use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::{Time, Voltage};
use crate::standard::SourceId;
use crate::standard::iec60664::Insulation;

/// Whether the part can be connected to the mains.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // it can or it cannot
pub enum Supply {
    /// Only the vehicle's own high voltage.
    Vehicle,
    /// Conductively connected to the mains while charging.
    Mains,
}

/// What has to be disconnected or joined before a test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum Precaution {
    /// The traction battery is disconnected at both poles.
    DisconnectBattery,
    /// The isolation monitoring device is disconnected: it leaks on purpose.
    DisconnectMonitor,
    /// Surge arresters are disconnected: they conduct on purpose.
    DisconnectArresters,
    /// Semiconductors are disconnected, or all their terminals are joined.
    JoinSemiconductors,
    /// Y capacitors are disconnected, or the test is made with direct voltage.
    MindYCapacitors,
    /// All live parts are joined, so that none is left out and no voltage stands
    /// between them.
    JoinLiveParts,
    /// Parts with a lower rating are taken out and tested alone at their own voltage.
    TestLowerRatedAlone,
    /// The tested circuit is discharged and proven dead afterwards.
    DischargeAfter,
}

impl Precaution {
    /// Before a withstand test of a component.
    pub const WITHSTAND: [Self; 7] = [
        Self::DisconnectBattery,
        Self::DisconnectMonitor,
        Self::DisconnectArresters,
        Self::JoinSemiconductors,
        Self::MindYCapacitors,
        Self::JoinLiveParts,
        Self::DischargeAfter,
    ];

    /// Before the isolation test of the finished vehicle.
    pub const VEHICLE: [Self; 5] = [
        Self::DisconnectBattery,
        Self::DisconnectMonitor,
        Self::JoinLiveParts,
        Self::TestLowerRatedAlone,
        Self::DischargeAfter,
    ];

    /// The sentence people read.
    #[cfg(feature = "text")]
    pub const fn words(self) -> &'static str {
        match self {
            Self::DisconnectBattery => "disconnect the traction battery at both poles",
            Self::DisconnectMonitor => {
                "disconnect the isolation monitoring device; it leaks on purpose"
            }
            Self::DisconnectArresters => "disconnect surge arresters; they conduct on purpose",
            Self::JoinSemiconductors => {
                "disconnect electronics, or join all their high-voltage terminals"
            }
            Self::MindYCapacitors => {
                "disconnect capacitors to chassis, or test with direct voltage"
            }
            Self::JoinLiveParts => "join all live parts of the circuit with each other",
            Self::TestLowerRatedAlone => {
                "take out parts with a lower rating and test them alone at their own voltage"
            }
            Self::DischargeAfter => "discharge the circuit after the test and prove it dead",
        }
    }
}

/// A withstand test.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct WithstandTest {
    /// Alternating test voltage, r.m.s., 50 or 60 Hz.
    pub alternating: Voltage,
    /// Direct test voltage of the same peak.
    pub direct: Voltage,
    /// How long it is applied.
    pub duration: Time,
    /// Where the form comes from; say it when it is from memory.
    pub source: SourceId,
}

/// Withstand test voltage of a component.
///
/// | supply | basic, supplementary | reinforced |
/// |---|---|---|
/// | vehicle | 2 U + 1000 V | 2 U + 3250 V |
/// | mains | U + 1200 V | 2 (U + 1200 V) |
///
/// U is the highest working voltage (mains: the nominal voltage), the test voltage
/// r.m.s. for 1 min; with direct voltage times the square root of two.
///
/// `None` for functional insulation: it is not tested against shock.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV.
///
/// Source: ISO 6469-3:2011, Table 2 (from memory); IEC 60664-1:2007, 5.3.3.2.3.
pub fn withstand_test(
    working: Voltage,
    supply: Supply,
    insulation: Insulation,
) -> Result<Option<WithstandTest>, Error> {
    let u = Bounded::WorkingVoltage.check(working.as_volts())?;
    let (alternating_v, source) = match (supply, insulation) {
        (_, Insulation::Functional) => return Ok(None),
        (Supply::Vehicle, Insulation::Reinforced) => {
            (2.0 * u + 3250.0, SourceId::Iso6469WithstandReinforced)
        }
        (Supply::Vehicle, _) => (2.0 * u + 1000.0, SourceId::Iso6469Withstand),
        (Supply::Mains, Insulation::Reinforced) => {
            (2.0 * (u + 1200.0), SourceId::Iec60664Withstand)
        }
        (Supply::Mains, _) => (u + 1200.0, SourceId::Iec60664Withstand),
    };
    Ok(Some(WithstandTest {
        alternating: Voltage::from_volts(alternating_v)?,
        direct: Voltage::from_volts(alternating_v * core::f32::consts::SQRT_2)?,
        duration: Time::from_seconds(60.0)?,
        source,
    }))
}

/// Isolation test of the finished vehicle with an insulation tester.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct VehicleTest {
    /// Least direct voltage by ISO 6469-3: the highest working voltage.
    pub least: Voltage,
    /// Least voltage of an external source by UN R100: half the working voltage.
    pub least_r100: Voltage,
    /// The next usual setting of an insulation tester, 250 V, 500 V or 1000 V;
    /// absent above 1000 V. No part may be left connected that is rated below it.
    pub tester_setting: Option<Voltage>,
}

impl VehicleTest {
    /// Where [`Self::least`] comes from.
    pub const SOURCE: SourceId = SourceId::Iso6469VehicleTest;
    /// Where [`Self::least_r100`] comes from.
    pub const SOURCE_R100: SourceId = SourceId::UnR100ExternalSource;
    /// Where the settings of the tester come from.
    pub const SOURCE_SETTING: SourceId = SourceId::CommonPractice;
}

/// Usual settings of an insulation tester, in V; common practice, no source.
pub const TESTER_SETTINGS_V: [f32; 3] = [250.0, 500.0, 1000.0];

/// Voltages for the isolation test of the finished vehicle.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV.
///
/// Source: ISO 6469-3:2011, 8.2.2; UN R100 Rev.3, Annex 5A.
pub fn vehicle_test(working: Voltage) -> Result<VehicleTest, Error> {
    let u = Bounded::WorkingVoltage.check(working.as_volts())?;
    let setting = TESTER_SETTINGS_V.iter().find(|setting| **setting >= u);
    Ok(VehicleTest {
        least: working,
        least_r100: Voltage::from_volts(0.5 * u)?,
        tester_setting: match setting {
            Some(setting) => Some(Voltage::from_volts(*setting)?),
            None => None,
        },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    #[test]
    fn the_four_forms() {
        // From memory (ISO 6469-3:2011 Table 2) and seen (IEC 60664-1, 5.3.3.2.3).
        for (u, supply, insulation, expected) in [
            (400.0, Supply::Vehicle, Insulation::Basic, 1800.0),
            (400.0, Supply::Vehicle, Insulation::Reinforced, 4050.0),
            (230.0, Supply::Mains, Insulation::Supplementary, 1430.0),
            (1000.0, Supply::Mains, Insulation::Reinforced, 4400.0),
        ] {
            let test = withstand_test(volts(u), supply, insulation)
                .unwrap()
                .unwrap();
            assert!((test.alternating.as_volts() - expected).abs() < 1e-2);
            assert!((test.direct.as_volts() / expected - core::f32::consts::SQRT_2).abs() < 1e-6);
        }
        let none = withstand_test(volts(400.0), Supply::Vehicle, Insulation::Functional);
        assert_eq!(none, Ok(None));
    }

    #[test]
    fn the_tester_is_set_to_the_next_step() {
        let setting = |u| {
            vehicle_test(volts(u))
                .unwrap()
                .tester_setting
                .map(Voltage::as_volts)
        };
        assert_eq!(setting(144.0), Some(250.0));
        assert_eq!(setting(250.0), Some(250.0));
        assert_eq!(setting(403.0), Some(500.0));
        assert_eq!(setting(806.0), Some(1000.0));
        assert_eq!(setting(1200.0), None);
    }

    #[test]
    fn reinforced_is_always_tested_higher_than_basic() {
        for supply in [Supply::Vehicle, Supply::Mains] {
            for u in [60.0, 400.0, 1000.0] {
                let test = |kind| withstand_test(volts(u), supply, kind).unwrap().unwrap();
                let (basic, reinforced) = (test(Insulation::Basic), test(Insulation::Reinforced));
                assert!(reinforced.alternating.as_volts() > basic.alternating.as_volts());
            }
        }
    }

    #[test]
    fn zero_volts_has_no_test() {
        assert!(withstand_test(volts(0.0), Supply::Vehicle, Insulation::Basic).is_err());
        assert!(vehicle_test(volts(0.0)).is_err());
    }
}
