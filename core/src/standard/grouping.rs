//! Several loaded circuits touching each other.
//!
//! IEC 60364-5-52, Table B.52.17: factor on the current of each of several
//! circuits or multi-core cables that touch and are equally loaded. All cells seen
//! in one source (the same values stand in BS 7671:2008, Table 4C1).
//!
//! Validity: 1 to 20 circuits; a d.c. pair is one circuit and the base value is
//! that of the pair. A count between two columns takes the next larger column,
//! which is the smaller factor. No factor is needed where the horizontal clearance
//! exceeds two cable diameters, and a cable that carries at most 30 % of its
//! grouped rating may be left out of the count (notes of the table and clause
//! 523.5, seen).

use super::SourceId;
use crate::bounds::Bounded;
use crate::error::Error;

/// How the circuits lie: a line of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum GroupingRow {
    /// Bunched in air, on a surface, embedded or enclosed.
    Bunched,
    /// Single layer on a wall or floor.
    SingleLayerOnWall,
    /// Single layer on a perforated tray.
    PerforatedTray,
    /// Single layer on a ladder or in cleats.
    Ladder,
}

/// Source of every value in this file.
pub const SOURCE: SourceId = SourceId::Iec60364Grouping;

/// The printed columns: number of circuits.
pub const CIRCUITS: [u8; 12] = [1, 2, 3, 4, 5, 6, 7, 8, 9, 12, 16, 20];

impl GroupingRow {
    /// Every line.
    pub const ALL: [Self; 4] = [
        Self::Bunched,
        Self::SingleLayerOnWall,
        Self::PerforatedTray,
        Self::Ladder,
    ];

    /// The printed factors, column by column of [`CIRCUITS`].
    pub const fn factors(self) -> &'static [f32; 12] {
        match self {
            Self::Bunched => &[
                1.0, 0.80, 0.70, 0.65, 0.60, 0.57, 0.54, 0.52, 0.50, 0.45, 0.41, 0.38,
            ],
            Self::SingleLayerOnWall => &[
                1.0, 0.85, 0.79, 0.75, 0.73, 0.72, 0.72, 0.71, 0.70, 0.70, 0.70, 0.70,
            ],
            Self::PerforatedTray => &[
                1.0, 0.88, 0.82, 0.77, 0.75, 0.73, 0.73, 0.72, 0.72, 0.72, 0.72, 0.72,
            ],
            Self::Ladder => &[
                1.0, 0.87, 0.82, 0.80, 0.80, 0.79, 0.79, 0.78, 0.78, 0.78, 0.78, 0.78,
            ],
        }
    }

    /// The words of the table.
    #[cfg(feature = "text")]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Bunched => "bunched in air, on a surface, embedded or enclosed",
            Self::SingleLayerOnWall => "single layer on a wall or floor",
            Self::PerforatedTray => "single layer on a perforated tray",
            Self::Ladder => "single layer on a ladder or in cleats",
        }
    }
}

/// Factor on the current of each circuit, for a count of loaded circuits rounded
/// up to the next printed column.
///
/// # Errors
/// [`Error::OutOfRange`] for no circuit and for more than 20.
pub fn grouping_factor(row: GroupingRow, circuits: u8) -> Result<f32, Error> {
    Bounded::GroupedCircuits.check(f32::from(circuits))?;
    CIRCUITS
        .iter()
        .zip(row.factors())
        .find(|&(&column, _)| circuits <= column)
        .map(|(_, &factor)| factor)
        .ok_or(Error::NotInTable {
            table: SOURCE,
            value: f32::from(circuits),
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_circuits_never_carry_more_each() {
        for row in GroupingRow::ALL {
            for count in 1..20 {
                let here = grouping_factor(row, count).unwrap();
                let more = grouping_factor(row, count + 1).unwrap();
                assert!(more <= here, "{row:?} {count}");
            }
        }
    }

    #[test]
    fn a_count_between_columns_takes_the_next_larger_column() {
        // IEC 60364-5-52 Table B.52.17, seen: 12 circuits 0.45, 16 circuits 0.41.
        for (count, factor) in [(10, 0.45), (12, 0.45), (13, 0.41), (17, 0.38)] {
            let found: f32 = grouping_factor(GroupingRow::Bunched, count).unwrap();
            assert_eq!(found.to_bits(), f32::to_bits(factor), "{count}");
        }
    }

    #[test]
    fn the_table_ends_at_one_and_at_twenty() {
        for count in [0, 21, u8::MAX] {
            assert!(matches!(
                grouping_factor(GroupingRow::Ladder, count),
                Err(Error::OutOfRange {
                    what: Bounded::GroupedCircuits,
                    ..
                })
            ));
        }
    }
}
