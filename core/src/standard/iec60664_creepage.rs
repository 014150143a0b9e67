//! Table F.4 of IEC 60664-1 (Table F.5 of the 2020 edition): creepage distances,
//! and the groove width X of clause 6.2.

use super::SourceId;
use super::iec60664::{MaterialGroup, PollutionDegree};
use super::iec60664_clearance::between;
use crate::error::Error;
use crate::quantity::{Length, Voltage};

/// One row of Table F.4.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct CreepageRow {
    /// Working voltage, r.m.s. or d.c., in V.
    pub working_v: f32,
    /// Bare printed wiring, pollution degree 1 and 2 (not group `IIIb`), in mm;
    /// absent above 1000 V.
    pub printed_wiring_mm: Option<[f32; 2]>,
    /// Pollution degree 1, all material groups, in mm.
    pub pd1_mm: f32,
    /// Pollution degree 2, material group I, II, III, in mm.
    pub pd2_mm: [f32; 3],
    /// Pollution degree 3, material group I, II, III, in mm.
    pub pd3_mm: [f32; 3],
    /// Where the row comes from.
    pub source: SourceId,
}

const fn row(
    working_v: f32,
    printed_wiring_mm: Option<[f32; 2]>,
    pd1_mm: f32,
    pd2_mm: [f32; 3],
    pd3_mm: [f32; 3],
    source: SourceId,
) -> CreepageRow {
    CreepageRow {
        working_v,
        printed_wiring_mm,
        pd1_mm,
        pd2_mm,
        pd3_mm,
        source,
    }
}

/// Table F.4 as printed, basic insulation.
#[rustfmt::skip]
pub const TABLE_F4: [CreepageRow; 31] = {
    use SourceId::{Iec60664Creepage as SEEN, Iec60664CreepageHigh as PART};
    [
        row(10.0, Some([0.025, 0.04]), 0.08, [0.4, 0.4, 0.4], [1.0, 1.0, 1.0], SEEN),
        row(12.5, Some([0.025, 0.04]), 0.09, [0.42, 0.42, 0.42], [1.05, 1.05, 1.05], SEEN),
        row(16.0, Some([0.025, 0.04]), 0.1, [0.45, 0.45, 0.45], [1.1, 1.1, 1.1], SEEN),
        row(20.0, Some([0.025, 0.04]), 0.11, [0.48, 0.48, 0.48], [1.2, 1.2, 1.2], SEEN),
        row(25.0, Some([0.025, 0.04]), 0.125, [0.5, 0.5, 0.5], [1.25, 1.25, 1.25], SEEN),
        row(32.0, Some([0.025, 0.04]), 0.14, [0.53, 0.53, 0.53], [1.3, 1.3, 1.3], SEEN),
        row(40.0, Some([0.025, 0.04]), 0.16, [0.56, 0.8, 1.1], [1.4, 1.6, 1.8], SEEN),
        row(50.0, Some([0.025, 0.04]), 0.18, [0.6, 0.85, 1.2], [1.5, 1.7, 1.9], SEEN),
        row(63.0, Some([0.04, 0.063]), 0.2, [0.63, 0.9, 1.25], [1.6, 1.8, 2.0], SEEN),
        row(80.0, Some([0.063, 0.1]), 0.22, [0.67, 0.95, 1.3], [1.7, 1.9, 2.1], SEEN),
        row(100.0, Some([0.1, 0.16]), 0.25, [0.71, 1.0, 1.4], [1.8, 2.0, 2.2], SEEN),
        row(125.0, Some([0.16, 0.25]), 0.28, [0.75, 1.05, 1.5], [1.9, 2.1, 2.4], SEEN),
        row(160.0, Some([0.25, 0.4]), 0.32, [0.8, 1.1, 1.6], [2.0, 2.2, 2.5], SEEN),
        row(200.0, Some([0.4, 0.63]), 0.42, [1.0, 1.4, 2.0], [2.5, 2.8, 3.2], SEEN),
        row(250.0, Some([0.56, 1.0]), 0.56, [1.25, 1.8, 2.5], [3.2, 3.6, 4.0], SEEN),
        row(320.0, Some([0.75, 1.6]), 0.75, [1.6, 2.2, 3.2], [4.0, 4.5, 5.0], SEEN),
        row(400.0, Some([1.0, 2.0]), 1.0, [2.0, 2.8, 4.0], [5.0, 5.6, 6.3], SEEN),
        row(500.0, Some([1.3, 2.5]), 1.3, [2.5, 3.6, 5.0], [6.3, 7.1, 8.0], SEEN),
        row(630.0, Some([1.8, 3.2]), 1.8, [3.2, 4.5, 6.3], [8.0, 9.0, 10.0], SEEN),
        row(800.0, Some([2.4, 4.0]), 2.4, [4.0, 5.6, 8.0], [10.0, 11.0, 12.5], SEEN),
        row(1000.0, Some([3.2, 5.0]), 3.2, [5.0, 7.1, 10.0], [12.5, 14.0, 16.0], SEEN),
        row(1250.0, None, 4.2, [6.3, 9.0, 12.5], [16.0, 18.0, 20.0], SEEN),
        row(1600.0, None, 5.6, [8.0, 11.0, 16.0], [20.0, 22.0, 25.0], SEEN),
        row(2000.0, None, 7.5, [10.0, 14.0, 20.0], [25.0, 28.0, 32.0], SEEN),
        row(2500.0, None, 10.0, [12.5, 18.0, 25.0], [32.0, 36.0, 40.0], PART),
        row(3200.0, None, 12.5, [16.0, 22.0, 32.0], [40.0, 45.0, 50.0], PART),
        row(4000.0, None, 16.0, [20.0, 28.0, 40.0], [50.0, 56.0, 63.0], PART),
        row(5000.0, None, 20.0, [25.0, 36.0, 50.0], [63.0, 71.0, 80.0], PART),
        row(6300.0, None, 25.0, [32.0, 45.0, 63.0], [80.0, 90.0, 100.0], PART),
        row(8000.0, None, 32.0, [40.0, 56.0, 80.0], [100.0, 110.0, 125.0], PART),
        row(10000.0, None, 40.0, [50.0, 71.0, 100.0], [125.0, 140.0, 160.0], PART),
    ]
};

/// Bracketed values of Table F.4 (footnote 4): pollution degree 3, material
/// group I, II, III, in mm, where a rib at least 2 mm high interrupts the path.
pub const TABLE_F4_RIB: [(f32, [Option<f32>; 3]); 7] = [
    (500.0, [None, None, Some(7.9)]),
    (630.0, [Some(7.9), Some(8.4), Some(9.0)]),
    (800.0, [Some(9.0), Some(9.6), Some(10.2)]),
    (1000.0, [Some(10.2), Some(11.2), Some(12.8)]),
    (1250.0, [Some(12.8), Some(14.4), Some(16.0)]),
    (1600.0, [Some(16.0), Some(17.6), Some(20.0)]),
    (2000.0, [Some(20.0), Some(22.4), Some(25.6)]),
];

/// A rib counts only where the distance without it is at least this, in mm
/// (IEC 60664-1:2007, 5.2.5; from memory). Every bracketed value belongs to such a
/// distance.
pub const RIB_FROM_MM: f32 = 8.0;

/// Least height of a rib in mm (Table F.4, footnote 4; seen).
pub const RIB_HEIGHT_MM: f32 = 2.0;

/// Least height of a rib as a share of the required creepage distance
/// (IEC 60664-1:2007, 5.2.5; from memory).
pub const RIB_HEIGHT_SHARE: f32 = 0.25;

/// Least width of a rib as a share of the required creepage distance
/// (IEC 60664-1:2007, 5.2.5; from memory).
pub const RIB_WIDTH_SHARE: f32 = 0.2;

/// Last row of Table F.4 with values for printed wiring, in V.
const PRINTED_WIRING_ENDS_V: f32 = 1000.0;

/// What the creepage path runs over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the table knows these
pub enum Surface {
    /// Any insulating surface.
    Plain,
    /// Any insulating surface with a rib across the path that is as high and wide as
    /// the requirement says.
    Ribbed,
    /// Bare printed wiring, without coating.
    PrintedWiring,
}

/// Creepage distance of basic insulation and the source of the row; `None` in
/// pollution degree 4, where the surface conducts and no distance helps.
///
/// Below the first row (10 V) the first row holds. Between rows the standard
/// allows linear interpolation; the result is not rounded. Printed wiring falls
/// back to the general columns above 1000 V, in pollution degree 3 and for group
/// `IIIb`.
///
/// The smaller values with a rib hold in pollution degree 3 and up to 2000 V. Between a
/// row without a bracketed value and one with it there is no line to follow: whoever
/// insulates for the higher voltage insulates for the lower one too, so the bracketed
/// value of the higher row holds where it is the smaller one ([`rib_counted_at`]).
/// So the distance never falls while the voltage rises, although the table asks for
/// 7.9 mm with a rib where it asks for 8.0 mm without. Above 2000 V a rib saves nothing
/// and the distance jumps up.
///
/// # Errors
/// [`Error::NotInTable`] above 10 kV.
pub fn creepage_distance(
    working: Voltage,
    pollution: PollutionDegree,
    group: MaterialGroup,
    surface: Surface,
) -> Result<Option<(Length, SourceId)>, Error> {
    if pollution == PollutionDegree::Four {
        return Ok(None);
    }
    let volts = working.as_volts();
    let wiring = surface == Surface::PrintedWiring && volts <= PRINTED_WIRING_ENDS_V;
    let ribbed = surface == Surface::Ribbed && pollution == PollutionDegree::Three;
    let column = |row: &CreepageRow| {
        let by_group = |[one, two, three]: [f32; 3]| match group {
            MaterialGroup::I => one,
            MaterialGroup::Ii => two,
            MaterialGroup::Iiia | MaterialGroup::Iiib => three,
        };
        match (pollution, row.printed_wiring_mm) {
            (PollutionDegree::One, Some([one, _])) if wiring => one,
            (PollutionDegree::One, _) => row.pd1_mm,
            (PollutionDegree::Two, Some([_, two])) if wiring && group != MaterialGroup::Iiib => two,
            (PollutionDegree::Two, _) => by_group(row.pd2_mm),
            (PollutionDegree::Three | PollutionDegree::Four, _) => by_group(row.pd3_mm),
        }
    };
    let mut lower = TABLE_F4.first();
    for upper in &TABLE_F4 {
        if volts <= upper.working_v {
            let below = lower.unwrap_or(upper);
            let mut mm = between(
                volts,
                (below.working_v, column(below)),
                (upper.working_v, column(upper)),
            );
            if ribbed {
                mm = with_rib(volts, group, below.working_v, upper.working_v)
                    .map_or(mm, |reduced| mm.min(reduced));
            }
            return Ok(Some((Length::from_mm(mm)?, upper.source)));
        }
        lower = Some(upper);
    }
    Err(Error::NotInTable {
        table: SourceId::Iec60664CreepageHigh,
        value: volts,
    })
}

/// Voltage whose plain distance a rib belongs to: the working voltage, or the row
/// above it where only that one has a bracketed value.
pub fn rib_counted_at(working: Voltage, group: MaterialGroup) -> Voltage {
    let volts = working.as_volts();
    let mut below_v = 0.0;
    for row in &TABLE_F4 {
        if volts <= row.working_v {
            let first =
                rib_value(row.working_v, group).is_some() && rib_value(below_v, group).is_none();
            return if first {
                Voltage::from_volts(row.working_v).unwrap_or(working)
            } else {
                working
            };
        }
        below_v = row.working_v;
    }
    working
}

/// The distance with a rib between two rows, in mm; absent where the upper one has no
/// bracketed value.
fn with_rib(volts: f32, group: MaterialGroup, below_v: f32, upper_v: f32) -> Option<f32> {
    let upper = rib_value(upper_v, group)?;
    Some(match rib_value(below_v, group) {
        Some(below) => between(volts, (below_v, below), (upper_v, upper)),
        None => upper,
    })
}

fn rib_value(row_v: f32, group: MaterialGroup) -> Option<f32> {
    let (_, [one, two, three]) = TABLE_F4_RIB
        .iter()
        .find(|(v, _)| v.to_bits() == row_v.to_bits())?;
    match group {
        MaterialGroup::I => *one,
        MaterialGroup::Ii => *two,
        MaterialGroup::Iiia | MaterialGroup::Iiib => *three,
    }
}

/// True where the standard does not recommend the material at all: group `IIIb` in
/// pollution degree 3 above 630 V.
pub fn not_recommended(working: Voltage, pollution: PollutionDegree, group: MaterialGroup) -> bool {
    pollution >= PollutionDegree::Three
        && group == MaterialGroup::Iiib
        && working.as_volts() > 630.0
}

/// Groove width X in mm for pollution degree 1 to 4.
pub const GROOVE_WIDTH_MM: [f32; 4] = [0.25, 1.0, 1.5, 2.5];

/// Groove width X: a narrower groove is bridged by dirt and does not lengthen the
/// path. Where the associated clearance is below 3 mm, X is at most a third of it.
///
/// # Errors
/// None for the tabulated values; the signature follows the length type.
pub fn groove_width(pollution: PollutionDegree, clearance: Length) -> Result<Length, Error> {
    let [one, two, three, four] = GROOVE_WIDTH_MM;
    let x = match pollution {
        PollutionDegree::One => one,
        PollutionDegree::Two => two,
        PollutionDegree::Three => three,
        PollutionDegree::Four => four,
    };
    let clearance_mm = clearance.as_mm();
    let x = if clearance_mm < 3.0 {
        x.min(clearance_mm / 3.0)
    } else {
        x
    };
    Length::from_mm(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(v: f32, pollution: PollutionDegree, group: MaterialGroup, surface: Surface) -> f32 {
        creepage_distance(Voltage::from_volts(v).unwrap(), pollution, group, surface)
            .unwrap()
            .unwrap()
            .0
            .as_mm()
    }

    #[test]
    fn between_rows_the_line_is_straight() {
        // Midway between 400 V (5.0 mm) and 500 V (6.3 mm).
        let found = mm(
            450.0,
            PollutionDegree::Three,
            MaterialGroup::I,
            Surface::Plain,
        );
        assert!((found - 5.65).abs() < 1e-5);
    }

    #[test]
    fn printed_wiring_of_the_worst_material_takes_the_general_column() {
        let found = mm(
            400.0,
            PollutionDegree::Two,
            MaterialGroup::Iiib,
            Surface::PrintedWiring,
        );
        assert!((found - 4.0).abs() < 1e-6);
        let better = mm(
            400.0,
            PollutionDegree::Two,
            MaterialGroup::Iiia,
            Surface::PrintedWiring,
        );
        assert!((better - 2.0).abs() < 1e-6);
    }

    #[test]
    fn a_rib_never_asks_for_more() {
        for step in 1..300_u16 {
            let v = f32::from(step) * 10.0;
            for group in MaterialGroup::ALL {
                let plain = mm(v, PollutionDegree::Three, group, Surface::Plain);
                let ribbed = mm(v, PollutionDegree::Three, group, Surface::Ribbed);
                assert!(ribbed <= plain, "{v} {group:?}");
            }
        }
    }

    #[test]
    fn a_rib_counts_in_pollution_degree_3_up_to_2000_v_only() {
        let both = |v, pollution, group| {
            let at = |surface| mm(v, pollution, group, surface);
            (at(Surface::Plain), at(Surface::Ribbed))
        };
        for step in 1..1000_u16 {
            let v = f32::from(step) * 10.0;
            for group in MaterialGroup::ALL {
                for pollution in [PollutionDegree::One, PollutionDegree::Two] {
                    let (plain, ribbed) = both(v, pollution, group);
                    assert_eq!(plain.to_bits(), ribbed.to_bits());
                }
                let (plain, ribbed) = both(v, PollutionDegree::Three, group);
                if plain < 7.9 || v > 2000.0 {
                    assert_eq!(plain.to_bits(), ribbed.to_bits(), "{v} {group:?}");
                }
            }
        }
        // Group III, 450 V: 7.15 mm, between a row without brackets and one with them.
        let (plain, ribbed) = both(450.0, PollutionDegree::Three, MaterialGroup::Iiia);
        assert_eq!(plain.to_bits(), ribbed.to_bits());
        // Group II, 620 V: 8.85 mm; the bracketed value of 630 V, 8.4 mm, is smaller.
        let (_, ribbed) = both(620.0, PollutionDegree::Three, MaterialGroup::Ii);
        assert!((ribbed - 8.4).abs() < 1e-5);
    }

    #[test]
    fn every_bracketed_value_belongs_to_a_distance_of_at_least_8_mm() {
        for (v, values) in TABLE_F4_RIB {
            let groups = [MaterialGroup::I, MaterialGroup::Ii, MaterialGroup::Iiia];
            for (value, group) in values.into_iter().zip(groups) {
                let plain = mm(v, PollutionDegree::Three, group, Surface::Plain);
                // One rounding of f32 to metres and back.
                assert!(value.is_none() || plain >= RIB_FROM_MM * (1.0 - 1e-6));
            }
        }
    }

    // 499 V without a rib: 7.98 mm; 500 V with one: 7.9 mm. Taking each rule by its
    // letter the requirement would fall from 8.0 to 7.9 mm while the voltage rises.
    #[test]
    fn no_distance_falls_while_the_voltage_rises() {
        let surfaces = [Surface::Plain, Surface::Ribbed, Surface::PrintedWiring];
        for group in MaterialGroup::ALL {
            for pollution in PollutionDegree::ALL.into_iter().take(3) {
                for surface in surfaces {
                    let mut last = 0.0;
                    for step in 4..8000_u16 {
                        let found = mm(f32::from(step) * 0.25, pollution, group, surface);
                        assert!(found >= last, "{step} {pollution:?} {group:?} {surface:?}");
                        last = found;
                    }
                }
            }
        }
        let at = |v| {
            mm(
                v,
                PollutionDegree::Three,
                MaterialGroup::Iiia,
                Surface::Ribbed,
            )
        };
        assert!((at(499.0) - 7.9).abs() < 1e-5 && (at(500.0) - 7.9).abs() < 1e-5);
    }

    #[test]
    fn a_rib_between_two_rows_is_sized_for_the_higher_one() {
        let at = |v| {
            let working = Voltage::from_volts(v).unwrap();
            rib_counted_at(working, MaterialGroup::Iiia).as_volts()
        };
        for (working, counted) in [
            (400.0, 400.0),
            (499.0, 500.0),
            (500.0, 500.0),
            (620.0, 620.0),
            (2000.0, 2000.0),
            (2100.0, 2100.0),
            (10_000.0, 10_000.0),
        ] {
            assert!((at(working) - counted).abs() < 1e-3, "{working}");
        }
    }

    #[test]
    fn the_groove_width_shrinks_with_a_small_clearance_only() {
        let x = |c| {
            groove_width(PollutionDegree::Three, Length::from_mm(c).unwrap())
                .unwrap()
                .as_mm()
        };
        assert!((x(8.0) - 1.5).abs() < 1e-6);
        assert!((x(3.0) - 1.5).abs() < 1e-6);
        assert!((x(1.5) - 0.5).abs() < 1e-6);
    }
}
