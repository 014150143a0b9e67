//! Insulation values against their published tables, cell by cell.
//!
//! Which standard, edition, table, and how well each row is known:
//! `published/README-insulation.md`.

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{
    CreepageInput, CreepageOutcome, Impulse, Spacing, SpacingInput, StepKind, StepValue, Supply,
    TemporaryOvervoltage, creepage, spacing, withstand_test,
};
use orangeloom_core::quantity::{Altitude, ComparativeTrackingIndex, Length, Voltage};
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PREFERRED_IMPULSE_V, PollutionDegree, TABLE_F1,
    rated_impulse,
};
use orangeloom_core::standard::iec60664_altitude::{TABLE_A2, altitude_correction};
use orangeloom_core::standard::iec60664_clearance::{
    TABLE_F2, TABLE_F7A, impulse_clearance, peak_clearance,
};
use orangeloom_core::standard::iec60664_creepage::{
    Surface, TABLE_F4, TABLE_F4_RIB, creepage_distance, groove_width,
};
use orangeloom_core::standard::{Evidence, SourceId};
use orangeloom_core::verdict::Verdict;

/// The cells of a table, header left out.
fn rows(csv: &str) -> Vec<Vec<&str>> {
    csv.lines()
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

fn number(cell: &str) -> f32 {
    cell.parse()
        .unwrap_or_else(|_| panic!("not a number: {cell:?}"))
}

fn same(found: f32, printed: &str) {
    assert_eq!(
        found.to_bits(),
        number(printed).to_bits(),
        "{found} is not {printed}"
    );
}

/// A value that went through metres and back: one rounding of `f32` each way.
fn same_mm(found: Length, printed: &str) {
    let (found, printed) = (found.as_mm(), number(printed));
    assert!(
        (found / printed - 1.0).abs() < 2.0e-7,
        "{found} is not {printed}"
    );
}

fn same_evidence(source: SourceId, words: &str) {
    let expected = match words {
        "seen" => Evidence::Seen,
        "partly seen" => Evidence::PartlySeen,
        "from memory" => Evidence::FromMemory,
        other => panic!("unknown evidence {other}"),
    };
    assert_eq!(source.source().evidence, expected, "{source:?}");
}

fn volts(volts: f32) -> Voltage {
    Voltage::from_volts(volts).unwrap()
}

// IEC 60664-1:2007 Table F.1; 150 V to 1000 V seen in part, 50 V and 100 V from
// memory; 1250 V and 1500 V from the 2020 edition, from memory.
#[test]
fn rated_impulse_voltages_are_those_of_table_f1() {
    let printed = rows(include_str!("../published/iec60664_impulse.csv"));
    assert_eq!(printed.len(), TABLE_F1.len());
    for (row, cells) in TABLE_F1.iter().zip(&printed) {
        same(row.system_v, cells[0]);
        same_evidence(row.source, cells[5]);
        for (category, cell) in OvervoltageCategory::ALL.into_iter().zip(&cells[1..5]) {
            let (impulse, used) = rated_impulse(volts(row.system_v), category).unwrap();
            same(impulse.as_volts(), cell);
            assert_eq!(used, *row);
        }
    }
}

// IEC 60664-1:2007 Table F.2, case A, same rows in :2020; per row seen or seen in part.
#[test]
fn clearances_are_those_of_table_f2() {
    let printed = rows(include_str!("../published/iec60664_clearance.csv"));
    assert_eq!(printed.len(), TABLE_F2.len());
    for (row, cells) in TABLE_F2.iter().zip(&printed) {
        same(row.impulse_kv, cells[0]);
        same_evidence(row.source, cells[5]);
        let impulse = volts(number(cells[0]) * 1000.0);
        for (index, pollution) in PollutionDegree::ALL.into_iter().take(3).enumerate() {
            same(row.clearance_mm[index], cells[index + 1]);
            let (length, source) = impulse_clearance(impulse, pollution).unwrap();
            same_mm(length, cells[index + 1]);
            assert_eq!(source, row.source);
        }
        let preferred = PREFERRED_IMPULSE_V
            .iter()
            .any(|v| (v - impulse.as_volts()).abs() < 0.01);
        assert_eq!(preferred, cells[4] == "yes", "{} kV", cells[0]);
    }
}

// IEC 60664-1:2007 Table F.7a, case A; from memory.
#[test]
fn clearances_for_peaks_are_those_remembered_of_table_f7a() {
    let printed = rows(include_str!("../published/iec60664_peak_clearance.csv"));
    assert_eq!(printed.len(), TABLE_F7A.len());
    for (row, cells) in TABLE_F7A.iter().zip(&printed) {
        same(row.0, cells[0]);
        same(row.1, cells[1]);
        same_evidence(SourceId::Iec60664PeakClearance, cells[2]);
        same_mm(
            peak_clearance(volts(number(cells[0]) * 1000.0)).unwrap(),
            cells[1],
        );
    }
}

// IEC 60664-1:2007 Table A.2; seen in part. 15 km and 20 km lie beyond the type of an
// altitude, so that only the table itself is compared there.
#[test]
fn altitude_factors_are_those_of_table_a2() {
    let printed = rows(include_str!("../published/iec60664_altitude.csv"));
    assert_eq!(printed.len(), TABLE_A2.len());
    for (row, cells) in TABLE_A2.iter().zip(&printed) {
        same(row.altitude_m, cells[0]);
        same(row.pressure_kpa, cells[1]);
        same(row.factor, cells[2]);
        same_evidence(SourceId::Iec60664Altitude, cells[3]);
        match Altitude::from_metres(row.altitude_m) {
            Ok(altitude) => {
                let found = altitude_correction(altitude).unwrap();
                same(found.factor, cells[2]);
                same(found.pressure.as_pascals() / 1000.0, cells[1]);
            }
            Err(error) => {
                assert!(row.altitude_m > 11_000.0);
                assert!(matches!(error, Error::OutOfRange { .. }));
            }
        }
    }
}

// IEC 60664-1:2007 Table F.4 (2020: F.5); up to 2000 V seen, above seen in part.
#[test]
fn creepage_distances_are_those_of_table_f4() {
    use MaterialGroup::{I, Ii, Iiia, Iiib};
    use PollutionDegree::{One, Three, Two};
    let printed = rows(include_str!("../published/iec60664_creepage.csv"));
    assert_eq!(printed.len(), TABLE_F4.len());
    for (row, cells) in TABLE_F4.iter().zip(&printed) {
        same(row.working_v, cells[0]);
        same_evidence(row.source, cells[10]);
        let check = |pollution, group, surface, cell: &str| {
            let (length, source) =
                creepage_distance(volts(row.working_v), pollution, group, surface)
                    .unwrap()
                    .unwrap();
            same_mm(length, cell);
            assert_eq!(source, row.source);
        };
        if cells[1].is_empty() {
            assert_eq!(row.printed_wiring_mm, None);
        } else {
            for group in MaterialGroup::ALL {
                check(One, group, Surface::PrintedWiring, cells[1]);
            }
            for group in [I, Ii, Iiia] {
                check(Two, group, Surface::PrintedWiring, cells[2]);
            }
        }
        for group in MaterialGroup::ALL {
            check(One, group, Surface::Plain, cells[3]);
        }
        for (group, column) in [(I, 0), (Ii, 1), (Iiia, 2), (Iiib, 2)] {
            check(Two, group, Surface::Plain, cells[4 + column]);
            check(Three, group, Surface::Plain, cells[7 + column]);
        }
    }
}

// IEC 60664-1:2007 Table F.4 footnote 4; seen.
#[test]
fn creepage_distances_with_a_rib_are_the_bracketed_ones() {
    use MaterialGroup::{I, Ii, Iiia};
    let printed = rows(include_str!("../published/iec60664_creepage_rib.csv"));
    assert_eq!(printed.len(), TABLE_F4_RIB.len());
    for (row, cells) in TABLE_F4_RIB.iter().zip(&printed) {
        same(row.0, cells[0]);
        same_evidence(SourceId::Iec60664Creepage, cells[4]);
        for (index, group) in [I, Ii, Iiia].into_iter().enumerate() {
            let cell = cells[index + 1];
            assert_eq!(row.1[index].is_none(), cell.is_empty());
            if !cell.is_empty() {
                let found =
                    creepage_distance(volts(row.0), PollutionDegree::Three, group, Surface::Ribbed);
                same_mm(found.unwrap().unwrap().0, cell);
            }
        }
    }
}

// IEC 60664-1:2007, 4.8.1.3 (seen in part): 600, 400, 175, 100.
#[test]
fn material_groups_start_at_their_printed_index() {
    for (cti, group) in [
        (600.0, MaterialGroup::I),
        (400.0, MaterialGroup::Ii),
        (175.0, MaterialGroup::Iiia),
        (100.0, MaterialGroup::Iiib),
    ] {
        let index = ComparativeTrackingIndex::from_index(cti).unwrap();
        assert_eq!(MaterialGroup::from_cti(index), group);
        // One below belongs to the next worse group, or to none.
        let below = ComparativeTrackingIndex::from_index(cti - 1.0);
        assert_ne!(below.map(MaterialGroup::from_cti), Ok(group));
    }
}

// IEC 60664-1:2007, 6.2; seen.
#[test]
fn groove_widths_are_those_of_clause_6_2() {
    let wide = Length::from_mm(3.0).unwrap();
    for (pollution, printed) in PollutionDegree::ALL
        .into_iter()
        .zip(["0.25", "1.0", "1.5", "2.5"])
    {
        // At 3 mm the third is 1 mm and is not yet allowed.
        same_mm(groove_width(pollution, wide).unwrap(), printed);
    }
}

fn input() -> SpacingInput {
    SpacingInput {
        working: volts(1000.0),
        alternating: true,
        recurring_peak: None,
        impulse: Impulse::Rated {
            system: volts(1000.0),
            category: OvervoltageCategory::Two,
        },
        temporary: TemporaryOvervoltage::Mains {
            nominal: volts(1000.0),
        },
        pollution: PollutionDegree::Two,
        group: MaterialGroup::I,
        surface: Surface::Plain,
        altitude: Altitude::from_metres(2000.0).unwrap(),
        insulation: Insulation::Reinforced,
        built_clearance: Some(Length::from_mm(8.0).unwrap()),
        built_creepage: Some(Length::from_mm(10.0).unwrap()),
    }
}

fn value(found: &Spacing, kind: StepKind) -> f32 {
    let step = found.steps().find(|step| step.kind == kind).unwrap();
    match step.value {
        StepValue::Voltage(voltage) => voltage.as_volts(),
        StepValue::Length(length) => length.as_mm(),
        StepValue::Pressure(pressure) => pressure.as_pascals(),
        StepValue::Factor(factor) => factor,
    }
}

// Application text for an on-board charger, with IEC 60664-1 Tables B.1 and F.2: a
// 1000 V unearthed system, overvoltage category II. Seen: impulse 6000 V, reinforced
// clearance 8.0 mm by the next preferred step, temporary overvoltage 2200 V,
// reinforced 4400 V r.m.s. = 6250 V peak (printed rounded; 4400 sqrt(2) = 6223).
#[test]
fn the_published_charger_example_comes_back() {
    let found = spacing(&input()).unwrap();
    same(value(&found, StepKind::BasicImpulse), "6000");
    same(value(&found, StepKind::ReinforcedImpulse), "8000");
    assert!((found.clearance.distance.as_mm() - 8.0).abs() < 1e-5);
    assert_eq!(found.clearance.governed_by, StepKind::ImpulseClearance);
    let temporary = value(&found, StepKind::TemporaryPeak) / core::f32::consts::SQRT_2;
    assert!((temporary - 2200.0).abs() < 0.01);
    let reinforced = withstand_test(volts(1000.0), Supply::Mains, Insulation::Reinforced)
        .unwrap()
        .unwrap();
    same(reinforced.alternating.as_volts(), "4400");
    // The text rounds up to the next 50 V.
    let peak = reinforced.direct.as_volts();
    assert!((peak / 50.0).ceil() * 50.0 - 6250.0 < 0.01 && (peak - 6222.5).abs() < 0.1);
    // Twice 5.0 mm: Table F.4, 1000 V, pollution degree 2, group I.
    let CreepageOutcome::Distance(over_surface) = &found.creepage else {
        panic!("a distance was expected")
    };
    assert!((over_surface.distance.as_mm() - 10.0).abs() < 1e-5);
    assert_eq!(found.verdict(), Verdict::Holds);
}

#[test]
fn what_lies_beyond_the_tables_is_refused_with_its_range() {
    let refused = |error: Error| error.to_string();
    let cti = ComparativeTrackingIndex::from_index(90.0).unwrap_err();
    assert_eq!(
        refused(cti),
        "the comparative tracking index (CTI) is 90, accepted is 100 to 1000"
    );
    let altitude = Altitude::from_metres(25_000.0).unwrap_err();
    assert_eq!(
        refused(altitude),
        "the altitude is 25000 m, accepted is -500 to 11000 m"
    );
    for (bad, shown) in [(20_000.0, "20000"), (0.0, "0")] {
        let error = spacing(&SpacingInput {
            working: volts(bad),
            ..input()
        });
        assert_eq!(
            refused(error.unwrap_err()),
            format!("the working voltage is {shown} V, accepted is 1 to 10000 V")
        );
    }
    assert!(Voltage::from_volts(f32::NAN).is_err());
    let beyond_f1 = spacing(&SpacingInput {
        impulse: Impulse::Rated {
            system: volts(1600.0),
            category: OvervoltageCategory::One,
        },
        ..input()
    });
    assert!(matches!(beyond_f1, Err(Error::NotInTable { .. })));
    let beyond_f2 = spacing(&SpacingInput {
        impulse: Impulse::Entered(volts(70_000.0)),
        ..input()
    });
    // 160 % of 70 kV is 112 kV; Table F.2 ends at 100 kV.
    assert!(matches!(
        beyond_f2,
        Err(Error::NotInTable { table: SourceId::Iec60664Clearance, value }) if value > 100.0
    ));
}

#[test]
fn the_creepage_distance_of_a_wet_surface_does_not_exist() {
    let found = creepage(&CreepageInput {
        working: volts(400.0),
        pollution: PollutionDegree::Four,
        group: MaterialGroup::I,
        surface: Surface::Plain,
        insulation: Insulation::Basic,
        clearance: Length::from_mm(3.0).unwrap(),
    });
    assert_eq!(found, Ok(CreepageOutcome::NoDistanceHelps));
}
