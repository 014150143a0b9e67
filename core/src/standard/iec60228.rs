//! Largest d.c. resistance of metric conductors.
//!
//! IEC 60228:2004, Table 2 (class 2, stranded), Table 3 (class 5, flexible),
//! Tables 1 and 2 (class 1 and 2 aluminium): resistance of one kilometre at
//! 20 degC. All cells seen; the largest strand diameter of class 5 is from memory.
//!
//! Validity: the value is the **limit** for a new conductor, not its actual
//! resistance. It bounds heating and voltage drop from above; a fault current
//! computed from it is too small. Values stand as printed and are never
//! interpolated: a section between two nominal ones is not in the table.

use super::{SourceId, metal::Metal, nominal};
use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, Length, LinearResistance};

/// How the conductor is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum ConductorClass {
    /// Class 2, stranded, for fixed installation; aluminium covers class 1 too.
    #[cfg_attr(feature = "serde", serde(rename = "class-2"))]
    Class2,
    /// Class 5, flexible.
    #[cfg_attr(feature = "serde", serde(rename = "class-5"))]
    Class5,
}

impl ConductorClass {
    /// Every class.
    pub const ALL: [Self; 2] = [Self::Class2, Self::Class5];
}

/// One line of a table, as printed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ResistanceRow {
    /// Nominal section in mm2.
    pub section_mm2: f32,
    /// Largest resistance of bare metal at 20 degC in ohm/km.
    pub plain_ohm_per_km: f32,
    /// The same with tinned strands; absent for aluminium.
    pub tinned_ohm_per_km: Option<f32>,
}

/// One table with its source; rows ascend in section.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ResistanceTable {
    /// Where it is printed.
    pub source: SourceId,
    /// Its lines.
    pub rows: &'static [ResistanceRow],
}

const fn copper(section_mm2: f32, plain: f32, tinned: f32) -> ResistanceRow {
    ResistanceRow {
        section_mm2,
        plain_ohm_per_km: plain,
        tinned_ohm_per_km: Some(tinned),
    }
}

const fn aluminium(section_mm2: f32, plain: f32) -> ResistanceRow {
    ResistanceRow {
        section_mm2,
        plain_ohm_per_km: plain,
        tinned_ohm_per_km: None,
    }
}

/// Class 2 copper, IEC 60228:2004 Table 2.
pub const CLASS_2_COPPER: ResistanceTable = ResistanceTable {
    source: SourceId::Iec60228Class2,
    rows: &[
        copper(0.5, 36.0, 36.7),
        copper(0.75, 24.5, 24.8),
        copper(1.0, 18.1, 18.2),
        copper(1.5, 12.1, 12.2),
        copper(2.5, 7.41, 7.56),
        copper(4.0, 4.61, 4.7),
        copper(6.0, 3.08, 3.11),
        copper(10.0, 1.83, 1.84),
        copper(16.0, 1.15, 1.16),
        copper(25.0, 0.727, 0.734),
        copper(35.0, 0.524, 0.529),
        copper(50.0, 0.387, 0.391),
        copper(70.0, 0.268, 0.27),
        copper(95.0, 0.193, 0.195),
        copper(120.0, 0.153, 0.154),
        copper(150.0, 0.124, 0.126),
        copper(185.0, 0.0991, 0.1),
        copper(240.0, 0.0754, 0.0762),
        copper(300.0, 0.0601, 0.0607),
        copper(400.0, 0.047, 0.0475),
        copper(500.0, 0.0366, 0.0369),
        copper(630.0, 0.0283, 0.0286),
    ],
};

/// Class 5 copper, IEC 60228:2004 Table 3.
pub const CLASS_5_COPPER: ResistanceTable = ResistanceTable {
    source: SourceId::Iec60228Class5,
    rows: &[
        copper(0.5, 39.0, 40.1),
        copper(0.75, 26.0, 26.7),
        copper(1.0, 19.5, 20.0),
        copper(1.5, 13.3, 13.7),
        copper(2.5, 7.98, 8.21),
        copper(4.0, 4.95, 5.09),
        copper(6.0, 3.3, 3.39),
        copper(10.0, 1.91, 1.95),
        copper(16.0, 1.21, 1.24),
        copper(25.0, 0.78, 0.795),
        copper(35.0, 0.554, 0.565),
        copper(50.0, 0.386, 0.393),
        copper(70.0, 0.272, 0.277),
        copper(95.0, 0.206, 0.21),
        copper(120.0, 0.161, 0.164),
        copper(150.0, 0.129, 0.132),
        copper(185.0, 0.106, 0.108),
        copper(240.0, 0.0801, 0.0817),
        copper(300.0, 0.0641, 0.0654),
        copper(400.0, 0.0486, 0.0495),
        copper(500.0, 0.0384, 0.0391),
        copper(630.0, 0.0287, 0.0292),
    ],
};

/// Class 1 and 2 aluminium, IEC 60228:2004 Tables 1 and 2.
pub const CLASS_2_ALUMINIUM: ResistanceTable = ResistanceTable {
    source: SourceId::Iec60228Class2,
    rows: &[
        aluminium(10.0, 3.08),
        aluminium(16.0, 1.91),
        aluminium(25.0, 1.2),
        aluminium(35.0, 0.868),
        aluminium(50.0, 0.641),
        aluminium(70.0, 0.443),
        aluminium(95.0, 0.32),
        aluminium(120.0, 0.253),
        aluminium(150.0, 0.206),
        aluminium(185.0, 0.164),
        aluminium(240.0, 0.125),
        aluminium(300.0, 0.1),
        aluminium(400.0, 0.0778),
        aluminium(500.0, 0.0605),
        aluminium(630.0, 0.0469),
    ],
};

/// Largest strand diameter of class 5 copper: up to and including the nominal
/// section in mm2, the diameter in mm. IEC 60228:2004 Table 3, from memory.
pub const CLASS_5_STRAND_DIAMETER: [(f32, f32); 5] = [
    (1.0, 0.21),
    (2.5, 0.26),
    (6.0, 0.31),
    (50.0, 0.41),
    (300.0, 0.51),
];

/// The table of a class and a metal.
///
/// # Errors
/// [`Inconsistency::MaterialNotInTable`] for flexible aluminium, which the
/// standard does not know.
pub const fn table(class: ConductorClass, metal: Metal) -> Result<&'static ResistanceTable, Error> {
    match (class, metal) {
        (ConductorClass::Class2, Metal::Copper | Metal::TinnedCopper) => Ok(&CLASS_2_COPPER),
        (ConductorClass::Class5, Metal::Copper | Metal::TinnedCopper) => Ok(&CLASS_5_COPPER),
        (ConductorClass::Class2, Metal::Aluminium) => Ok(&CLASS_2_ALUMINIUM),
        (ConductorClass::Class5, Metal::Aluminium) => {
            Err(Error::Inconsistent(Inconsistency::MaterialNotInTable))
        }
    }
}

/// Largest resistance per length at 20 degC of a nominal section.
///
/// `section` has to be within 0.5 % of a nominal section. The value belongs to the
/// nominal section and is not scaled.
///
/// # Errors
/// [`Error::NotInTable`] for any other section, [`Inconsistency::MaterialNotInTable`]
/// as in [`table`].
pub fn resistance_20(
    class: ConductorClass,
    metal: Metal,
    section: ConductorArea,
) -> Result<LinearResistance, Error> {
    let table = table(class, metal)?;
    let asked = section.as_mm2();
    let missing = Error::NotInTable {
        table: table.source,
        value: asked,
    };
    let row = table
        .rows
        .iter()
        .find(|row| nominal::means(row.section_mm2, asked))
        .ok_or(missing)?;
    let printed = match metal {
        Metal::TinnedCopper => row.tinned_ohm_per_km.ok_or(missing)?,
        Metal::Copper | Metal::Aluminium => row.plain_ohm_per_km,
    };
    LinearResistance::from_ohm_per_km(printed)
}

impl ResistanceTable {
    /// Nominal sections in ascending order.
    pub fn sections(&self) -> impl Iterator<Item = ConductorArea> + use<> {
        self.rows
            .iter()
            .filter_map(|row| ConductorArea::from_mm2(row.section_mm2).ok())
    }

    /// The nominal section above `section`; absent above the largest. A section
    /// within 0.5 % of a nominal one counts as that one.
    pub fn next_larger(&self, section: ConductorArea) -> Option<ConductorArea> {
        nominal::next_larger(self.rows.iter().map(|row| row.section_mm2), section)
    }

    /// The nominal section below `section`; absent below the smallest. A section
    /// within 0.5 % of a nominal one counts as that one.
    pub fn next_smaller(&self, section: ConductorArea) -> Option<ConductorArea> {
        nominal::next_smaller(self.rows.iter().map(|row| row.section_mm2), section)
    }
}

/// Largest strand diameter of a class 5 conductor.
///
/// # Errors
/// [`Error::NotInTable`] unless `section` is within 0.5 % of a nominal section up
/// to 300 mm2.
pub fn class_5_strand_diameter(section: ConductorArea) -> Result<Length, Error> {
    let asked = section.as_mm2();
    let missing = Error::NotInTable {
        table: SourceId::Iec60228StrandDiameter,
        value: asked,
    };
    let row = CLASS_5_COPPER
        .rows
        .iter()
        .find(|row| nominal::means(row.section_mm2, asked))
        .ok_or(missing)?;
    let &(_, diameter_mm) = CLASS_5_STRAND_DIAMETER
        .iter()
        .find(|&&(up_to_mm2, _)| row.section_mm2 <= up_to_mm2)
        .ok_or(missing)?;
    Length::from_mm(diameter_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const TABLES: [ResistanceTable; 3] = [CLASS_2_COPPER, CLASS_5_COPPER, CLASS_2_ALUMINIUM];

    fn mm2(value: f32) -> ConductorArea {
        ConductorArea::from_mm2(value).unwrap()
    }

    #[test]
    fn sections_ascend_and_resistances_descend() {
        for table in TABLES {
            for pair in table.rows.windows(2) {
                assert!(pair[0].section_mm2 < pair[1].section_mm2, "{pair:?}");
                assert!(
                    pair[0].plain_ohm_per_km > pair[1].plain_ohm_per_km,
                    "{pair:?}"
                );
            }
            for row in table.rows {
                // Tin never lowers the limit.
                assert!(
                    row.tinned_ohm_per_km
                        .is_none_or(|tinned| tinned > row.plain_ohm_per_km),
                    "{row:?}"
                );
            }
            assert_eq!(table.sections().count(), table.rows.len());
        }
    }

    #[test]
    fn a_gauge_is_not_the_metric_section_beside_it() {
        let two_aught = resistance_20(ConductorClass::Class5, Metal::Copper, mm2(67.4309));
        assert!(matches!(
            two_aught,
            Err(Error::NotInTable {
                table: SourceId::Iec60228Class5,
                ..
            })
        ));
    }

    #[test]
    fn the_metal_selects_the_column() {
        let of = |metal| {
            resistance_20(ConductorClass::Class5, metal, mm2(70.0))
                .map(LinearResistance::as_ohm_per_km)
        };
        // IEC 60228:2004 Table 3, seen.
        assert!((of(Metal::Copper).unwrap() - 0.272).abs() < 1e-6);
        assert!((of(Metal::TinnedCopper).unwrap() - 0.277).abs() < 1e-6);
        assert_eq!(
            of(Metal::Aluminium),
            Err(Error::Inconsistent(Inconsistency::MaterialNotInTable))
        );
    }

    #[test]
    fn strands_are_known_to_300_mm2() {
        // IEC 60228:2004 Table 3, from memory.
        assert!((class_5_strand_diameter(mm2(50.0)).unwrap().as_mm() - 0.41).abs() < 1e-6);
        assert!((class_5_strand_diameter(mm2(70.0)).unwrap().as_mm() - 0.51).abs() < 1e-6);
        assert!(class_5_strand_diameter(mm2(400.0)).is_err());
        assert!(class_5_strand_diameter(mm2(60.0)).is_err());
    }

    proptest! {
        #[test]
        fn the_next_larger_section_is_larger(asked in 0.05_f32..5000.0) {
            let asked = mm2(asked);
            for table in TABLES {
                if let Some(larger) = table.next_larger(asked) {
                    prop_assert!(larger > asked);
                }
                if let Some(smaller) = table.next_smaller(asked) {
                    prop_assert!(smaller < asked);
                }
            }
        }
    }

    #[test]
    fn stepping_up_and_down_visits_every_section() {
        for table in TABLES {
            let all: std::vec::Vec<_> = table.sections().collect();
            for pair in all.windows(2) {
                assert_eq!(table.next_larger(pair[0]), Some(pair[1]));
                assert_eq!(table.next_smaller(pair[1]), Some(pair[0]));
            }
        }
    }
}
