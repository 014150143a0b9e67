//! Insulation coordination after IEC 60664-1: the terms, and the rated impulse
//! voltage of Table F.1.

use super::SourceId;
use crate::error::Error;
use crate::quantity::{ComparativeTrackingIndex, Voltage};

/// What an insulation is relied upon for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the standard knows these
pub enum Insulation {
    /// Needed for the equipment to work, not against shock.
    Functional,
    /// The first protection against shock.
    Basic,
    /// A second, independent protection behind the basic one.
    Supplementary,
    /// One insulation that is as good as basic and supplementary together.
    Reinforced,
}

impl Insulation {
    /// Every kind, in the order of the standard.
    pub const ALL: [Self; 4] = [
        Self::Functional,
        Self::Basic,
        Self::Supplementary,
        Self::Reinforced,
    ];

    /// The word people read.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Functional => "functional",
            Self::Basic => "basic",
            Self::Supplementary => "supplementary",
            Self::Reinforced => "reinforced",
        }
    }
}

/// How dirty and how wet a surface becomes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the standard knows four
pub enum PollutionDegree {
    /// Clean or dry dirt only: a sealed, dry box.
    One,
    /// Dry dirt, dew now and then.
    Two,
    /// Conductive dirt, or dirt that dew makes conductive.
    Three,
    /// Conductive all the time: rain, road spray, wet dust.
    Four,
}

impl PollutionDegree {
    /// All degrees, cleanest first.
    pub const ALL: [Self; 4] = [Self::One, Self::Two, Self::Three, Self::Four];

    /// The number of the degree.
    pub const fn number(self) -> u8 {
        match self {
            Self::One => 1,
            Self::Two => 2,
            Self::Three => 3,
            Self::Four => 4,
        }
    }
}

/// How well a surface resists tracking, best first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the standard knows four
pub enum MaterialGroup {
    /// CTI 600 and above.
    I,
    /// CTI 400 to below 600.
    Ii,
    /// CTI 175 to below 400.
    Iiia,
    /// CTI 100 to below 175.
    Iiib,
}

impl MaterialGroup {
    /// All groups, best first.
    pub const ALL: [Self; 4] = [Self::I, Self::Ii, Self::Iiia, Self::Iiib];

    /// Where the limits of the groups come from.
    pub const SOURCE: SourceId = SourceId::Iec60664Cti;

    /// The group of a material by its comparative tracking index.
    ///
    /// Below CTI 100 there is no group; the type of the index refuses it.
    pub const fn from_cti(cti: ComparativeTrackingIndex) -> Self {
        let cti = cti.as_index();
        if cti >= 600.0 {
            Self::I
        } else if cti >= 400.0 {
            Self::Ii
        } else if cti >= 175.0 {
            Self::Iiia
        } else {
            Self::Iiib
        }
    }

    /// The name of the group in the standard.
    pub const fn word(self) -> &'static str {
        match self {
            Self::I => "I",
            Self::Ii => "II",
            Self::Iiia => "IIIa",
            Self::Iiib => "IIIb",
        }
    }
}

/// What overvoltages a circuit sees from its supply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the standard knows four
pub enum OvervoltageCategory {
    /// Overvoltages are limited by measures in the circuit.
    One,
    /// Equipment fed from the fixed installation: a charger on a socket.
    Two,
    /// Part of the fixed installation: a charging post.
    Three,
    /// At the origin of the installation.
    Four,
}

impl OvervoltageCategory {
    /// All categories, lowest first.
    pub const ALL: [Self; 4] = [Self::One, Self::Two, Self::Three, Self::Four];

    /// The Roman numeral of the category.
    pub const fn word(self) -> &'static str {
        match self {
            Self::One => "I",
            Self::Two => "II",
            Self::Three => "III",
            Self::Four => "IV",
        }
    }
}

/// The preferred series of rated impulse voltages, in V.
pub const PREFERRED_IMPULSE_V: [f32; 9] = [
    330.0, 500.0, 800.0, 1500.0, 2500.0, 4000.0, 6000.0, 8000.0, 12000.0,
];

/// One row of Table F.1.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct RatedImpulseRow {
    /// Largest voltage of the row, in V: line to neutral, or d.c.; of an
    /// unearthed system from line to line or pole to pole (Table B.1).
    pub system_v: f32,
    /// Rated impulse voltage in V for overvoltage category I to IV.
    pub impulse_v: [f32; 4],
    /// Where the row comes from.
    pub source: SourceId,
}

const fn row(system_v: f32, impulse_v: [f32; 4], source: SourceId) -> RatedImpulseRow {
    RatedImpulseRow {
        system_v,
        impulse_v,
        source,
    }
}

/// Table F.1: rated impulse voltage by system voltage and overvoltage category.
///
/// The standard does not interpolate here; the next higher row holds.
pub const TABLE_F1: [RatedImpulseRow; 8] = {
    use SourceId::{Iec60664Impulse as F1, Iec60664ImpulseHigh as HIGH, Iec60664ImpulseLow as LOW};
    [
        row(50.0, [330.0, 500.0, 800.0, 1500.0], LOW),
        row(100.0, [500.0, 800.0, 1500.0, 2500.0], LOW),
        row(150.0, [800.0, 1500.0, 2500.0, 4000.0], F1),
        row(300.0, [1500.0, 2500.0, 4000.0, 6000.0], F1),
        row(600.0, [2500.0, 4000.0, 6000.0, 8000.0], F1),
        row(1000.0, [4000.0, 6000.0, 8000.0, 12000.0], F1),
        row(1250.0, [4000.0, 6000.0, 8000.0, 12000.0], HIGH),
        row(1500.0, [6000.0, 8000.0, 10000.0, 15000.0], HIGH),
    ]
};

/// Rated impulse voltage by system voltage and overvoltage category, and the row
/// it was taken from.
///
/// A traction battery is not earthed, so its voltage from pole to pole counts
/// (Table B.1).
///
/// # Errors
/// [`Error::NotInTable`] above 1500 V.
pub fn rated_impulse(
    system: Voltage,
    category: OvervoltageCategory,
) -> Result<(Voltage, RatedImpulseRow), Error> {
    let system_v = system.as_volts();
    let row = TABLE_F1
        .iter()
        .find(|row| system_v <= row.system_v)
        .ok_or(Error::NotInTable {
            table: SourceId::Iec60664ImpulseHigh,
            value: system_v,
        })?;
    let [one, two, three, four] = row.impulse_v;
    let impulse = match category {
        OvervoltageCategory::One => one,
        OvervoltageCategory::Two => two,
        OvervoltageCategory::Three => three,
        OvervoltageCategory::Four => four,
    };
    Ok((Voltage::from_volts(impulse)?, *row))
}

/// Impulse voltage in V that a reinforced clearance is dimensioned for.
///
/// The standard (2007: 5.1.6) takes the next step of the preferred series, or
/// 160 % where the basic value is not in the series. By the letter 5990 V would
/// then ask for 9584 V and 6000 V for only 8000 V. A rated voltage may always be
/// raised to the next preferred value, so the result here is 160 %, but at most
/// the step above the next preferred value and at least the step above the last
/// one. It therefore never falls while the voltage rises.
pub fn reinforced_impulse_v(basic_v: f32) -> f32 {
    let mut least = 0.0;
    let mut preferred = PREFERRED_IMPULSE_V.iter().copied().peekable();
    while let Some(value) = preferred.next() {
        let step = preferred.peek().copied().unwrap_or(value * 1.6);
        if basic_v <= value {
            let capped = (basic_v * 1.6).min(step);
            let at_value = basic_v >= value;
            return if at_value { step } else { capped.max(least) };
        }
        least = step;
    }
    basic_v * 1.6
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reinforced_takes_the_next_preferred_step() {
        for pair in PREFERRED_IMPULSE_V.windows(2) {
            let step = reinforced_impulse_v(pair[0]);
            assert_eq!(step.to_bits(), pair[1].to_bits(), "{}", pair[0]);
        }
    }

    #[test]
    fn between_preferred_values_160_percent_holds_unless_a_step_covers_it() {
        assert!((reinforced_impulse_v(5000.0) - 8000.0).abs() < 0.01);
        assert!((reinforced_impulse_v(4500.0) - 7200.0).abs() < 0.01);
        assert!((reinforced_impulse_v(5990.0) - 8000.0).abs() < 0.01);
        assert!((reinforced_impulse_v(1510.0) - 2500.0).abs() < 0.01);
        assert!((reinforced_impulse_v(100.0) - 160.0).abs() < 0.01);
        assert!((reinforced_impulse_v(15000.0) - 24000.0).abs() < 0.01);
    }

    #[test]
    fn every_group_starts_at_its_own_index() {
        let group =
            |cti| MaterialGroup::from_cti(ComparativeTrackingIndex::from_index(cti).unwrap());
        assert_eq!(group(600.0), MaterialGroup::I);
        assert_eq!(group(599.0), MaterialGroup::Ii);
        assert_eq!(group(400.0), MaterialGroup::Ii);
        assert_eq!(group(399.0), MaterialGroup::Iiia);
        assert_eq!(group(175.0), MaterialGroup::Iiia);
        assert_eq!(group(174.0), MaterialGroup::Iiib);
        assert_eq!(group(100.0), MaterialGroup::Iiib);
        assert!(ComparativeTrackingIndex::from_index(90.0).is_err());
    }

    #[test]
    fn above_the_last_row_there_is_no_rated_impulse_voltage() {
        let system = Voltage::from_volts(1500.1).unwrap();
        assert!(matches!(
            rated_impulse(system, OvervoltageCategory::One),
            Err(Error::NotInTable { .. })
        ));
    }
}
