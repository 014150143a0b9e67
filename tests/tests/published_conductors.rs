//! The conductor tables of the core against the published values, cell by cell and
//! in both directions, and the formulas against the cells that they must reproduce.

use std::collections::BTreeMap;

use orangeloom_core::error::Error;
use orangeloom_core::quantity::{ConductorArea, Temperature};
use orangeloom_core::standard::{
    Evidence, SourceId, ambient, awg, din43671, grouping, iec60228, iec60287, insulation, iso6722,
    metal::Metal, short_circuit,
};
use orangeloom_tests::published::{self, Cell};

/// One cell of a core table: its key, its value, its evidence.
type CoreCell = (String, f32, Evidence);

/// Every cell of `file` stands in the core exactly as printed, and the core has no
/// cell beyond them. Reports all differences at once.
fn same_cells(
    file: &'static str,
    key: impl Fn(&Cell) -> String,
    table: SourceId,
    core: impl IntoIterator<Item = CoreCell>,
) {
    let mut left = BTreeMap::new();
    for (key, value, evidence) in core {
        let twice = left.insert(key.clone(), (value, evidence));
        assert!(twice.is_none(), "{table:?}: the core has {key} twice");
    }
    let mut wrong = Vec::new();
    let mut evidences = Vec::new();
    for cell in published::read(file) {
        evidences.push(cell.evidence);
        match left.remove(&key(&cell)) {
            None => wrong.push(format!("missing in the core: {cell}")),
            Some((value, evidence)) => {
                if value.to_bits() != cell.value().to_bits() {
                    wrong.push(format!("the core has {value} instead of {cell}"));
                }
                // The table as a whole may be "seen in part"; one cell never claims
                // more than its line in the file.
                if evidence != cell.evidence && evidence != Evidence::PartlySeen {
                    wrong.push(format!("the core says \"{}\" of {cell}", evidence.words()));
                }
            }
        }
    }
    let source = table.source();
    for (key, (value, _)) in left {
        wrong.push(format!(
            "only in the core: {key} = {value} ({} {}, {})",
            source.standard,
            source.place,
            source.evidence.words()
        ));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let honest = match source.evidence {
        Evidence::Seen => evidences.iter().all(|&e| e == Evidence::Seen),
        Evidence::PartlySeen => evidences.iter().any(|&e| e != Evidence::Seen),
        Evidence::FromMemory => evidences.iter().all(|&e| e == Evidence::FromMemory),
        _ => false,
    };
    assert!(
        honest,
        "{table:?} claims \"{}\", the cells of {file} do not bear it",
        source.evidence.words()
    );
}

fn cell(key: String, value: f32, table: SourceId) -> CoreCell {
    (key, value, table.source().evidence)
}

const fn metal_key(metal: Metal) -> &'static str {
    match metal {
        Metal::Copper => "copper",
        Metal::TinnedCopper => "tinned-copper",
        Metal::Aluminium => "aluminium",
        _ => "another metal",
    }
}

const fn class_key(class: iec60228::ConductorClass) -> &'static str {
    match class {
        iec60228::ConductorClass::Class2 => "class-2",
        iec60228::ConductorClass::Class5 => "class-5",
        _ => "another class",
    }
}

fn mm2(value: f32) -> ConductorArea {
    ConductorArea::from_mm2(value).expect("a published section")
}

fn degc(value: f32) -> Temperature {
    Temperature::from_degc(value).expect("a published temperature")
}

#[test]
fn iec_60228_resistances_stand_as_printed() {
    let key = |cell: &Cell| {
        format!(
            "{} {} {}",
            cell.text("class"),
            cell.text("metal"),
            cell.number::<f32>("section_mm2")
        )
    };
    let mut core = Vec::new();
    for table in [
        ("class-2", "copper", iec60228::CLASS_2_COPPER),
        ("class-5", "copper", iec60228::CLASS_5_COPPER),
        ("class-2", "aluminium", iec60228::CLASS_2_ALUMINIUM),
    ] {
        let (class, metal, table) = table;
        for row in table.rows {
            core.push(cell(
                format!("{class} {metal} {}", row.section_mm2),
                row.plain_ohm_per_km,
                table.source,
            ));
            if let Some(tinned) = row.tinned_ohm_per_km {
                core.push(cell(
                    format!("{class} tinned-{metal} {}", row.section_mm2),
                    tinned,
                    table.source,
                ));
            }
        }
    }
    same_cells(
        "iec60228_resistance.csv",
        key,
        SourceId::Iec60228Class2,
        core,
    );
}

#[test]
fn the_lookup_of_iec_60228_finds_every_printed_cell_and_nothing_else() {
    let mut found = 0;
    let cells = published::read("iec60228_resistance.csv");
    for class in iec60228::ConductorClass::ALL {
        for metal in Metal::ALL {
            for printed in &cells {
                let section = mm2(printed.number("section_mm2"));
                let here = cells.iter().find(|cell| {
                    cell.text("class") == class_key(class)
                        && cell.text("metal") == metal_key(metal)
                        && cell.text("section_mm2") == printed.text("section_mm2")
                });
                match (iec60228::resistance_20(class, metal, section), here) {
                    (Ok(core), Some(cell)) => {
                        found += 1;
                        // Stored in ohm/m and back: two roundings of f32.
                        let error = core.as_ohm_per_km() / cell.value() - 1.0;
                        assert!(error.abs() < 3e-7, "{cell}: {core:?}");
                    }
                    (Err(_), None) => {}
                    (core, here) => panic!("{class:?} {metal:?} {section:?}: {core:?}, {here:?}"),
                }
            }
        }
    }
    // Each section of a table is visited once for every column that prints it.
    assert!(found >= cells.len());
}

#[test]
fn iec_60228_strand_diameters_stand_as_printed() {
    let core = iec60228::CLASS_5_COPPER.rows.iter().filter_map(|row| {
        let (_, diameter) = iec60228::CLASS_5_STRAND_DIAMETER
            .into_iter()
            .find(|&(up_to, _)| row.section_mm2 <= up_to)?;
        Some(cell(
            row.section_mm2.to_string(),
            diameter,
            SourceId::Iec60228StrandDiameter,
        ))
    });
    same_cells(
        "iec60228_strand_diameter.csv",
        |cell| cell.number::<f32>("section_mm2").to_string(),
        SourceId::Iec60228StrandDiameter,
        core,
    );
    for cell in published::read("iec60228_strand_diameter.csv") {
        let core = iec60228::class_5_strand_diameter(mm2(cell.number("section_mm2")));
        let core = core.unwrap_or_else(|error| panic!("{cell}: {error}"));
        // Stored in metres and back: two roundings of f32.
        assert!(
            (core.as_mm() - cell.value()).abs() < 1e-7,
            "{cell}: {core:?}"
        );
    }
}

#[test]
fn iso_6722_conductors_stand_as_printed() {
    let mut resistances = Vec::new();
    let mut diameters = Vec::new();
    for row in iso6722::CONDUCTORS {
        let size = row.section_mm2;
        resistances.push(cell(
            format!("copper {size}"),
            row.bare_mohm_per_m,
            iso6722::SOURCE,
        ));
        if let Some(tinned) = row.tinned_mohm_per_m {
            resistances.push(cell(
                format!("tinned-copper {size}"),
                tinned,
                iso6722::SOURCE,
            ));
        }
        diameters.push(cell(size.to_string(), row.diameter_mm, iso6722::SOURCE));
    }
    same_cells(
        "iso6722_resistance.csv",
        |cell| {
            format!(
                "{} {}",
                cell.text("metal"),
                cell.number::<f32>("section_mm2")
            )
        },
        iso6722::SOURCE,
        resistances,
    );
    same_cells(
        "iso6722_conductor_diameter.csv",
        |cell| cell.number::<f32>("section_mm2").to_string(),
        iso6722::SOURCE,
        diameters,
    );
}

#[test]
fn metals_and_compounds_stand_as_printed() {
    for cell in published::read("metals.csv") {
        let metal = Metal::ALL
            .into_iter()
            .find(|&metal| metal_key(metal) == cell.text("metal"))
            .unwrap_or_else(|| panic!("{cell}"));
        let (core, source) = match cell.text("property") {
            "resistivity" => (metal.resistivity_20().as_ohm_m(), Metal::RESISTANCE_SOURCE),
            "temperature coefficient" => (
                metal.temperature_coefficient_20().as_per_kelvin(),
                Metal::RESISTANCE_SOURCE,
            ),
            "beta" => (metal.beta().as_kelvin(), Metal::HEAT_SOURCE),
            "heat capacity" => (metal.heat_capacity().as_j_per_m3_k(), Metal::HEAT_SOURCE),
            "density" => (metal.density().as_kg_per_m3(), Metal::DENSITY_SOURCE),
            "thermal conductivity" => (
                metal.thermal_conductivity().as_w_per_m_k(),
                Metal::CONDUCTIVITY_SOURCE,
            ),
            other => panic!("{cell}: property {other}"),
        };
        assert_eq!(core.to_bits(), cell.value().to_bits(), "{cell}: {core}");
        assert_eq!(source.source().evidence, cell.evidence, "{cell}");
    }
    for cell in published::read("compounds.csv") {
        let compound = match cell.text("compound") {
            "xlpe" => insulation::Compound::Xlpe,
            "pvc" => insulation::Compound::Pvc,
            other => panic!("{cell}: compound {other}"),
        };
        let (core, source) = match cell.text("property") {
            "thermal resistivity" => (
                1.0 / compound.thermal_conductivity().as_w_per_m_k(),
                insulation::Compound::CONDUCTIVITY_SOURCE,
            ),
            "heat capacity" => (
                compound.heat_capacity().as_j_per_m3_k(),
                insulation::Compound::HEAT_SOURCE,
            ),
            "density" => (
                compound.density().as_kg_per_m3(),
                insulation::Compound::DENSITY_SOURCE,
            ),
            other => panic!("{cell}: property {other}"),
        };
        // The resistivity is stored as its reciprocal: two roundings of f32.
        let error = core / cell.value() - 1.0;
        assert!(error.abs() < 2e-7, "{cell}: {core}");
        assert_eq!(source.source().evidence, cell.evidence, "{cell}");
    }
    // The core has no metal, compound or property beyond the files.
    assert_eq!(published::read("metals.csv").len(), Metal::ALL.len() * 6);
    assert_eq!(
        published::read("compounds.csv").len(),
        insulation::Compound::ALL.len() * 3
    );
}

#[test]
fn iec_60287_constants_stand_as_printed() {
    const fn row_key(row: iec60287::InAir) -> &'static str {
        match row {
            iec60287::InAir::SingleFree => "single-free",
            iec60287::InAir::TwoTouchingHorizontal => "two-touching-horizontal",
            iec60287::InAir::TwoTouchingVertical => "two-touching-vertical",
            iec60287::InAir::ThreeTouchingHorizontal => "three-touching-horizontal",
            iec60287::InAir::Trefoil => "trefoil",
            iec60287::InAir::SingleOnWall => "single-on-wall",
            iec60287::InAir::TrefoilOnWall => "trefoil-on-wall",
            _ => "another row",
        }
    }
    let key = |cell: &Cell| format!("{} {}", cell.text("row"), cell.text("constant"));
    let surface = iec60287::InAir::ALL.into_iter().flat_map(|row| {
        let constants = row.constants();
        [("Z", constants.z), ("E", constants.e), ("g", constants.g)].map(|(name, value)| {
            cell(
                format!("{} {name}", row_key(row)),
                value,
                iec60287::SURFACE_SOURCE,
            )
        })
    });
    same_cells(
        "iec60287_surface.csv",
        key,
        iec60287::SURFACE_SOURCE,
        surface,
    );
    let tube = iec60287::Tube::ALL.into_iter().flat_map(|tube| {
        let row = match tube {
            iec60287::Tube::Metallic => "metallic",
            iec60287::Tube::FibreInAir => "fibre-in-air",
            iec60287::Tube::Plastic => "plastic",
            _ => "another tube",
        };
        let constants = tube.constants();
        [("U", constants.u), ("V", constants.v), ("Y", constants.y)]
            .map(|(name, value)| cell(format!("{row} {name}"), value, iec60287::TUBE_SOURCE))
    });
    same_cells("iec60287_tube.csv", key, iec60287::TUBE_SOURCE, tube);
}

#[test]
fn short_circuit_constants_stand_as_printed() {
    let core = short_circuit::K_TABLE.into_iter().flat_map(|row| {
        // The two temperatures are part of the key: a wrong one makes the line
        // missing.
        let key = format!(
            "{} {} {} {}",
            row.metal.word(),
            row.case.words(),
            row.start_degc,
            row.end_degc
        );
        [(key, row.k, row.evidence)]
    });
    let key = |cell: &Cell| {
        format!(
            "{} {} {} {}",
            cell.text("metal"),
            cell.text("case"),
            cell.number::<f32>("start_degC"),
            cell.number::<f32>("end_degC")
        )
    };
    same_cells("iec60364_k.csv", key, short_circuit::SOURCE, core);

    let constants = short_circuit::HeatedMetal::ALL
        .into_iter()
        .flat_map(|metal| {
            let constants = metal.constants();
            [
                ("heat capacity", constants.heat_capacity),
                ("beta", constants.beta),
                ("resistivity", constants.resistivity),
                ("k0", constants.k0),
            ]
            .map(|(name, value)| {
                cell(
                    format!("{} {name}", metal.word()),
                    value,
                    short_circuit::SOURCE,
                )
            })
        });
    same_cells(
        "iec60364_k_constants.csv",
        |cell| format!("{} {}", cell.text("metal"), cell.text("constant")),
        short_circuit::SOURCE,
        constants,
    );
}

#[test]
fn the_formula_of_k_reproduces_every_printed_k() {
    // Half of the printed digit. With the printed k0 (226, 148, 41, 78) and not the
    // computed one: 225.7 and 148.1 would give 94.55 for aluminium in XLPE, printed 94.
    const ROUNDING: f32 = 0.5;
    for cell in published::read("iec60364_k.csv") {
        let metal = short_circuit::HeatedMetal::ALL
            .into_iter()
            .find(|metal| metal.word() == cell.text("metal"))
            .unwrap_or_else(|| panic!("{cell}"));
        let k = short_circuit::k_factor(
            metal.constants(),
            degc(cell.number("start_degC")),
            degc(cell.number("end_degC")),
        )
        .unwrap_or_else(|error| panic!("{cell}: {error}"));
        assert!((k - cell.value()).abs() <= ROUNDING, "{cell}: computed {k}");
    }
    for metal in short_circuit::HeatedMetal::ALL {
        let c = metal.constants();
        let k0 = (c.heat_capacity * (c.beta + 20.0) / c.resistivity).sqrt();
        // IEC 60949:1988, seen in part: printed as whole numbers, so half a unit.
        assert!((k0 - c.k0).abs() <= 0.5, "{metal:?}: {k0}");
    }
}

#[test]
fn iec_60364_grouping_factors_stand_as_printed() {
    const fn row_key(row: grouping::GroupingRow) -> &'static str {
        match row {
            grouping::GroupingRow::Bunched => "bunched",
            grouping::GroupingRow::SingleLayerOnWall => "single-layer-on-wall",
            grouping::GroupingRow::PerforatedTray => "perforated-tray",
            grouping::GroupingRow::Ladder => "ladder",
            _ => "another row",
        }
    }
    let core = grouping::GroupingRow::ALL.into_iter().flat_map(|row| {
        grouping::CIRCUITS.into_iter().map(move |circuits| {
            let factor = grouping::grouping_factor(row, circuits).expect("a printed column");
            cell(
                format!("{} {circuits}", row_key(row)),
                factor,
                grouping::SOURCE,
            )
        })
    });
    same_cells(
        "iec60364_grouping.csv",
        |cell| format!("{} {}", cell.text("row"), cell.text("circuits")),
        grouping::SOURCE,
        core,
    );
}

#[test]
fn iec_60364_ambient_factors_stand_as_printed() {
    let core = [(70, &ambient::PVC_70[..]), (90, &ambient::XLPE_90[..])]
        .into_iter()
        .flat_map(|(limit, rows)| {
            rows.iter().map(move |row| {
                (
                    format!("{limit} {}", row.ambient_degc),
                    row.factor,
                    row.evidence,
                )
            })
        });
    same_cells(
        "iec60364_ambient.csv",
        |cell| {
            format!(
                "{} {}",
                cell.text("limit_degC"),
                cell.number::<f32>("ambient_degC")
            )
        },
        ambient::SOURCE,
        core,
    );
}

#[test]
fn din_43671_currents_stand_as_printed() {
    let core = din43671::COPPER_BARS.into_iter().flat_map(|row| {
        let bar = format!("{} {} {}", row.width_mm, row.thickness_mm, row.bars);
        [("ac", Some(row.alternating)), ("dc", row.direct)]
            .into_iter()
            .filter_map(|(current, finish)| Some((current, finish?)))
            .flat_map(move |(current, finish)| {
                [("painted", finish.painted), ("bare", finish.bare)]
                    .map(|(surface, value)| (format!("{bar} {current} {surface}"), value))
            })
            .map(move |(key, value)| (key, value, row.evidence))
            .collect::<Vec<_>>()
    });
    let key = |cell: &Cell| {
        format!(
            "{} {} {} {} {}",
            cell.number::<f32>("width_mm"),
            cell.number::<f32>("thickness_mm"),
            cell.text("bars"),
            cell.text("current"),
            cell.text("surface")
        )
    };
    same_cells("din43671_busbar.csv", key, din43671::SOURCE, core);
}

#[test]
fn the_gauge_formula_reproduces_every_seen_wire_table_cell() {
    const INCH: f64 = 25.4;
    // pi/4 (0.0254 mm)^2
    const CIRCULAR_MIL: f64 = core::f64::consts::FRAC_PI_4 * 0.0254 * 0.0254;
    for cell in published::read("awg.csv") {
        let gauge = awg::Gauge::new(cell.number("awg")).unwrap_or_else(|e| panic!("{cell}: {e}"));
        let diameter = f64::from(gauge.diameter().expect("printed gauge").as_mm());
        let area = gauge.area().expect("printed gauge");
        let mm2 = f64::from(area.as_mm2());
        let rho = f64::from(Metal::Copper.resistivity_20().as_ohm_m());
        let core = match (cell.text("property"), cell.unit.as_str()) {
            ("diameter", "mm") => diameter,
            ("diameter", "inch") => diameter / INCH,
            ("area", "mm2") => mm2,
            ("area", "circular mil") => mm2 / CIRCULAR_MIL,
            ("resistance", _) => rho / mm2 * 1.0e9,
            other => panic!("{cell}: {other:?}"),
        };
        let last_digit: f64 = cell.number("last_digit");
        // Two cells were converted from the diameter in inches with four decimals
        // (0.3249 and 0.4096 inch) and bear that rounding, half of 0.0001 inch.
        let through_inches = matches!(
            (cell.text("awg"), cell.printed.as_str()),
            ("0", "8.252") | ("-2", "10.404")
        );
        let printed = if through_inches {
            0.5e-4 * INCH
        } else {
            0.5 * last_digit
        };
        let stored = match cell.text("property") {
            // The table takes 1/58 ohm mm2/m for 100 % IACS, the core the 1.7241e-8
            // of IEC 60287-1-1, which is 2.2e-5 less.
            "resistance" => 2.3e-5,
            // The rounding of f32.
            _ => 3e-7,
        };
        let allowed = printed + stored * core;
        let off = (core - cell.value_f64()).abs();
        assert!(off <= allowed, "{cell}: computed {core}, off by {off}");
    }
}

#[test]
fn the_strand_allowance_is_the_largest_that_iec_60228_prints() {
    let cells = published::read("iec60228_resistance.csv");
    for (metal, class, rounded) in [
        (Metal::Copper, "class-5", 1.157),
        (Metal::TinnedCopper, "class-5", 1.192),
        (Metal::Aluminium, "class-2", 1.134),
    ] {
        let rho = f64::from(metal.resistivity_20().as_ohm_m());
        let largest = cells
            .iter()
            .filter(|cell| cell.text("class") == class && cell.text("metal") == metal_key(metal))
            .map(|cell| cell.value_f64() * cell.number::<f64>("section_mm2") * 1.0e-9 / rho)
            .fold(0.0, f64::max);
        let core = f64::from(awg::strand_allowance(metal));
        // f32 against f64.
        assert!((core / largest - 1.0).abs() < 3e-7, "{metal:?}: {core}");
        // The figure in the documentation, three decimals.
        assert!((core - rounded).abs() < 0.0005, "{metal:?}: {core}");
    }
}

#[test]
fn the_strand_rule_against_the_limits_for_aircraft_wire() {
    // FAA AC 43.13-1B Table 11-9 (seen): largest resistance of tinned strands and
    // their true metal area. Plausibility, not proof: two independent ways to a
    // limit for AWG strands.
    const METRES_PER_1000_FT: f64 = 304.8;
    let cells = published::read("ac43_13_tinned_copper.csv");
    let mut thin = Vec::new();
    let mut checked = 0;
    for cell in cells
        .iter()
        .filter(|cell| cell.text("property") == "resistance")
    {
        let number = cell.text("awg");
        let mils = cells
            .iter()
            .find(|other| other.text("awg") == number && other.text("property") == "area")
            .unwrap_or_else(|| panic!("{cell}: no area"))
            .value();
        let gauge = awg::Gauge::new(cell.number("awg")).unwrap_or_else(|e| panic!("{cell}: {e}"));
        let by_gauge = gauge.area().unwrap_or_else(|e| panic!("{cell}: {e}"));
        let by_mils = awg::kcmil_area(mils * 1.0e-3).unwrap_or_else(|e| panic!("{cell}: {e}"));
        let rule = |area| {
            let r = awg::strand_resistance_20(Metal::TinnedCopper, area);
            f64::from(r.unwrap_or_else(|e| panic!("{cell}: {e}")).as_ohm_per_m())
        };
        let published = cell.value_f64() / METRES_PER_1000_FT;
        // The largest sizes print one or two digits: half of the last one is 8 %.
        let half_digit = 0.5 * cell.number::<f64>("last_digit") / METRES_PER_1000_FT;

        // With the metal that is really there the rule is on the safe side.
        let metal_there = if by_mils < by_gauge {
            by_mils
        } else {
            by_gauge
        };
        assert!(
            rule(metal_there) >= published - half_digit,
            "{cell}: the rule gives {} ohm/m, less than {published}",
            rule(metal_there)
        );
        // And not absurdly so: within 30 % of the published limit.
        assert!(
            rule(metal_there) < 1.3 * (published + half_digit),
            "{cell}: the rule gives {} ohm/m",
            rule(metal_there)
        );
        // By the gauge alone it is too low where aircraft wire is thinner.
        if rule(by_gauge) < published - half_digit {
            thin.push(number.to_owned());
            let low = published / rule(by_gauge);
            assert!(low < 1.07, "{cell}: {low}");
        }
        checked += 1;
    }
    assert_eq!(checked, 17);
    // The documentation of `awg` warns of exactly these.
    assert_eq!(thin, ["16", "14", "12", "10"]);
}

#[test]
fn a_gauge_never_passes_for_the_metric_section_beside_it() {
    let two_aught = awg::Gauge::new(-1).and_then(awg::Gauge::area).expect("2/0");
    // ASTM B258 formula, computed: 67.43 mm2.
    assert!((two_aught.as_mm2() - 67.43).abs() < 0.005);
    for class in iec60228::ConductorClass::ALL {
        assert!(matches!(
            iec60228::resistance_20(class, Metal::Copper, two_aught),
            Err(Error::NotInTable { .. })
        ));
    }
    assert!(iso6722::resistance_20(Metal::Copper, two_aught).is_err());
}

/// Files that later tests lean on: they parse, and current rises with section.
#[test]
fn published_currents_rise_with_section() {
    for file in [
        "iec60364_b52_12_xlpe.csv",
        "iec60364_b52_10_pvc.csv",
        "bs7671_4e1a_xlpe.csv",
    ] {
        let mut columns: BTreeMap<String, Vec<(f32, f32)>> = BTreeMap::new();
        for cell in published::read(file) {
            let (conductor, air): (f32, f32) =
                (cell.number("conductor_degC"), cell.number("ambient_degC"));
            assert!(conductor > air, "{cell}");
            columns
                .entry(cell.text("method").to_owned())
                .or_default()
                .push((cell.number("section_mm2"), cell.value()));
        }
        assert!(columns.len() >= 2, "{file}");
        for (method, column) in columns {
            for pair in column.windows(2) {
                assert!(pair[0].0 < pair[1].0, "{file} {method} {pair:?}");
                assert!(pair[0].1 < pair[1].1, "{file} {method} {pair:?}");
            }
        }
    }
    for pair in published::read("ac43_13_bundled.csv").windows(2) {
        if pair[0].text("awg") == pair[1].text("awg") {
            assert!(pair[0].value() < pair[1].value(), "{}", pair[1]);
        }
    }
    assert_eq!(published::read("ac43_13_points.csv").len(), 3);
}
