//! The answer for other programs: keys end in their unit, always SI, distances in mm.

use orangeloom_core::insulation::{
    CreepageOutcome, IsolationCase, Precaution, Spacing, SpacingCheck, Step as CoreStep, StepValue,
    Supply, VehicleTest, VoltageClass, WithstandTest,
};
use orangeloom_core::quantity::{Capacitance, ComparativeTrackingIndex, Length, Voltage};
use orangeloom_core::standard::SourceId;
use orangeloom_core::standard::iec60664::{Insulation, MaterialGroup, OvervoltageCategory};
use orangeloom_core::verdict::{Judged, Verdict};
use serde::Serialize;

use super::ask::Asked;
use super::bench::{Limits, Tests};
use super::next_steps::NextStep;
use super::table::{self, Row};
use super::{Report, explain, names};
use crate::document::{self, Stated};
use crate::page::CAUTIONS;
use crate::quantity_text::Units;
use crate::working::{Step, cite, evidence};

/// Raised when a key changes its meaning or goes away.
const SCHEMA_VERSION: u32 = 1;

#[derive(Serialize)]
struct Document<T> {
    schema_version: u32,
    program: &'static str,
    program_version: &'static str,
    /// The worse of both distances; `open` where one was not entered.
    verdict: Verdict,
    inputs: Inputs,
    /// What the reader has to know about this answer.
    notes: Vec<String>,
    #[serde(flatten)]
    answer: T,
    cautions: [&'static str; CAUTIONS.len()],
}

fn document<T: Serialize>(
    asked: &Asked,
    verdict: Verdict,
    notes: Vec<String>,
    answer: T,
) -> Result<String, String> {
    document::text(&Document {
        schema_version: SCHEMA_VERSION,
        program: env!("CARGO_PKG_NAME"),
        program_version: env!("CARGO_PKG_VERSION"),
        verdict,
        inputs: inputs(asked),
        notes,
        answer,
        cautions: CAUTIONS,
    })
}

#[derive(Serialize)]
#[allow(non_snake_case)] // units keep their case
struct Inputs {
    voltages_V: Stated<Vec<f32>>,
    alternating: Stated<bool>,
    peak_V: Stated<Option<f32>>,
    impulse_V: Stated<Option<f32>>,
    overvoltage_category: Stated<Option<&'static str>>,
    system_voltage_V: Stated<Option<f32>>,
    mains_V: Stated<Option<f32>>,
    temporary_peak_V: Stated<Option<f32>>,
    altitude_m: Stated<f32>,
    pollution_degree: Stated<u8>,
    cti: Stated<Option<f32>>,
    material_group: Stated<&'static str>,
    surface: Stated<&'static str>,
    insulation: Stated<Insulation>,
    clearance_mm: Stated<Option<f32>>,
    creepage_mm: Stated<Option<f32>>,
    profile_mm: Stated<Option<String>>,
    domain: Stated<&'static str>,
}

#[derive(Serialize)]
struct Answer {
    clearance: Distance,
    creepage: Distance,
    profile: Option<Paths>,
    steps: Vec<StepRow>,
    next_steps: Vec<NextRow>,
    tests: TestRows,
    limits: LimitRows,
    #[serde(skip_serializing_if = "Option::is_none")]
    working: Option<Vec<Step>>,
}

#[derive(Serialize)]
struct TableAnswer {
    rows: Vec<TableRow>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct TableRow {
    working_voltage_V: f32,
    impulse_V: Option<f32>,
    clearance: Distance,
    creepage: Distance,
    withstand_tests: Vec<TestRow>,
    steps: Vec<StepRow>,
    verdict: Verdict,
}

/// A requirement and the built distance.
#[derive(Serialize)]
struct Distance {
    /// Absent where no distance helps.
    required_mm: Option<f32>,
    no_distance_helps: bool,
    /// Key of the step that decided.
    governed_by: Option<&'static str>,
    as_built_mm: Option<f32>,
    margin_mm: Option<f32>,
    verdict: Verdict,
    #[serde(skip_serializing_if = "Option::is_none")]
    narrowest_groove_mm: Option<f32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    material_not_recommended: Option<bool>,
    source: String,
}

#[derive(Serialize)]
#[allow(clippy::struct_field_names)] // each key ends in its unit
struct Paths {
    creepage_path_mm: f32,
    surface_path_mm: f32,
    air_path_mm: f32,
    groove_width_mm: f32,
}

#[derive(Serialize)]
struct StepRow {
    of: &'static str,
    name: &'static str,
    words: &'static str,
    #[serde(flatten)]
    value: Value,
    governs: bool,
    source: String,
    evidence: &'static str,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
#[serde(untagged)]
enum Value {
    Voltage { value_V: f32 },
    Length { value_mm: f32 },
    Pressure { value_kPa: f32 },
    Factor { value: f32 },
}

#[derive(Serialize)]
struct NextRow {
    about: SpacingCheck,
    words: String,
    required_mm: Option<f32>,
    as_built_would_hold: Option<bool>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct TestRows {
    component: Vec<TestRow>,
    before_component: Vec<&'static str>,
    vehicle_isolation_least_V: f32,
    vehicle_isolation_source: String,
    vehicle_external_source_least_V: f32,
    vehicle_external_source_source: String,
    tester_setting_V: Option<f32>,
    before_vehicle: Vec<&'static str>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct TestRow {
    supply: Supply,
    alternating_V: f32,
    direct_V: f32,
    duration_s: f32,
    source: String,
    evidence: &'static str,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct LimitRows {
    isolation: Vec<IsolationRow>,
    isolation_new_build_factor: f32,
    y_capacitance_F: Option<f32>,
    y_capacitance_source: String,
    bond_ohm: f32,
    bond_source: String,
    bond_test_current_A: f32,
    touchable_V: f32,
    touchable_source: String,
    voltage_class: VoltageClass,
}

#[derive(Serialize)]
struct IsolationRow {
    case: IsolationCase,
    least_ohm: f32,
    source: String,
}

/// The document, ending with a line break.
pub(crate) fn render(report: &Report<'_>, explained: bool) -> Result<String, String> {
    let answer = Answer {
        clearance: clearance(&report.spacing, report.input.built_clearance),
        creepage: creepage(&report.spacing, report.input.built_creepage),
        profile: report.path.as_ref().map(|path| Paths {
            creepage_path_mm: mm(path.creepage),
            surface_path_mm: mm(path.surface),
            air_path_mm: mm(path.air),
            groove_width_mm: mm(path.groove_width),
        }),
        steps: steps(&report.spacing),
        next_steps: report.next.iter().map(next_row).collect(),
        tests: test_rows(&report.tests),
        limits: limit_rows(report),
        working: explained.then(|| explain::steps(report, true)),
    };
    let notes = names::notes(report.asked, report.input.working, &report.spacing);
    let notes = notes
        .into_iter()
        .map(|(words, source)| match source {
            Some(source) => format!("{words} ({})", cite(source)),
            None => words,
        })
        .collect();
    document(report.asked, report.spacing.verdict(), notes, answer)
}

/// The same for a list of voltages.
pub(crate) fn render_table(asked: &Asked, rows: &[Row]) -> Result<String, String> {
    let answer = TableAnswer {
        rows: rows
            .iter()
            .map(|row| TableRow {
                working_voltage_V: row.working.as_volts(),
                impulse_V: row.impulse().map(Voltage::as_volts),
                clearance: clearance(&row.spacing, asked.clearance),
                creepage: creepage(&row.spacing, asked.creepage),
                withstand_tests: row.tests.iter().map(test_row).collect(),
                steps: steps(&row.spacing),
                verdict: row.spacing.verdict(),
            })
            .collect(),
    };
    document(
        asked,
        table::verdict(rows),
        table::notes(asked, rows),
        answer,
    )
}

fn inputs(asked: &Asked) -> Inputs {
    fn stated<T>(asked: &Asked, name: &str, value: T) -> Stated<T> {
        Stated {
            value,
            default: asked.is_default(name),
        }
    }
    let volts = |voltage: Option<Voltage>| voltage.map(Voltage::as_volts);
    let category = asked
        .impulse
        .is_none()
        .then(|| OvervoltageCategory::word(asked.category));
    Inputs {
        voltages_V: stated(
            asked,
            "voltage",
            asked.voltages.iter().map(|v| v.as_volts()).collect(),
        ),
        alternating: stated(asked, "alternating", asked.alternating),
        peak_V: stated(asked, "peak", volts(asked.peak)),
        impulse_V: stated(asked, "impulse", volts(asked.impulse)),
        overvoltage_category: stated(asked, "overvoltage_category", category),
        system_voltage_V: stated(asked, "system_voltage", volts(asked.system)),
        mains_V: stated(asked, "mains", volts(asked.mains)),
        temporary_peak_V: stated(asked, "mains", volts(asked.temporary)),
        altitude_m: stated(asked, "altitude", asked.altitude.as_metres()),
        pollution_degree: stated(asked, "pollution", asked.pollution.number()),
        cti: stated(
            asked,
            "cti",
            asked.cti.map(ComparativeTrackingIndex::as_index),
        ),
        material_group: stated(asked, "material_group", MaterialGroup::word(asked.group)),
        surface: stated(asked, "surface", names::surface(asked.surface)),
        insulation: stated(asked, "insulation", asked.insulation),
        clearance_mm: stated(asked, "clearance", asked.clearance.map(mm)),
        creepage_mm: stated(asked, "creepage", asked.creepage.map(mm)),
        profile_mm: stated(
            asked,
            "profile",
            asked.profile.as_ref().map(|cut| cut.written.clone()),
        ),
        domain: stated(asked, "domain", names::domain(asked.domain)),
    }
}

fn clearance(spacing: &Spacing, built: Option<Length>) -> Distance {
    Distance {
        governed_by: Some(names::step_key(spacing.clearance.governed_by)),
        ..judged(&spacing.clearance_check, built)
    }
}

fn creepage(spacing: &Spacing, built: Option<Length>) -> Distance {
    let judged = judged(&spacing.creepage_check, built);
    match &spacing.creepage {
        CreepageOutcome::NoDistanceHelps => Distance {
            no_distance_helps: true,
            ..judged
        },
        CreepageOutcome::Distance(found) => Distance {
            governed_by: found
                .steps
                .iter()
                .find(|step| step.governs)
                .map(|step| names::step_key(step.kind)),
            narrowest_groove_mm: Some(mm(found.groove_width)),
            material_not_recommended: Some(found.material_not_recommended),
            ..judged
        },
    }
}

fn judged(check: &Judged<SpacingCheck>, built: Option<Length>) -> Distance {
    Distance {
        required_mm: check.limit,
        no_distance_helps: false,
        governed_by: None,
        as_built_mm: built.map(mm),
        margin_mm: check.margin(),
        verdict: check.verdict,
        narrowest_groove_mm: None,
        material_not_recommended: None,
        source: cite(check.source),
    }
}

fn steps(spacing: &Spacing) -> Vec<StepRow> {
    let row = |of| {
        move |step: &CoreStep| StepRow {
            of,
            name: names::step_key(step.kind),
            words: step.kind.words(),
            value: match step.value {
                StepValue::Voltage(volts) => Value::Voltage {
                    value_V: volts.as_volts(),
                },
                StepValue::Length(length) => Value::Length {
                    value_mm: mm(length),
                },
                StepValue::Pressure(pressure) => Value::Pressure {
                    value_kPa: pressure.as_pascals() / 1000.0,
                },
                StepValue::Factor(value) => Value::Factor { value },
            },
            governs: step.governs,
            source: cite(step.source),
            evidence: evidence(step.source),
        }
    };
    let clearance = spacing.clearance.steps.iter();
    let mut rows: Vec<StepRow> = clearance
        .map(row(names::check(SpacingCheck::Clearance)))
        .collect();
    if let CreepageOutcome::Distance(found) = &spacing.creepage {
        rows.extend(
            found
                .steps
                .iter()
                .map(row(names::check(SpacingCheck::Creepage))),
        );
    }
    rows
}

/// In `f64`, so that what was entered as 10 mm comes back as 10.
#[allow(clippy::cast_possible_truncation)] // to the precision of every interface
fn mm(length: Length) -> f32 {
    (f64::from(length.as_metres()) * 1000.0) as f32
}

fn next_row(step: &NextStep) -> NextRow {
    NextRow {
        about: step.about,
        words: step.words(Units::Metric),
        required_mm: step.required.map(mm),
        as_built_would_hold: step.would.map(|verdict| verdict == Verdict::Holds),
    }
}

fn test_rows(tests: &Tests) -> TestRows {
    let words = |all: &[Precaution]| all.iter().map(|one| one.words()).collect();
    TestRows {
        component: tests.component.iter().map(test_row).collect(),
        before_component: words(&Tests::BEFORE_COMPONENT),
        vehicle_isolation_least_V: tests.vehicle.least.as_volts(),
        vehicle_isolation_source: cite(VehicleTest::SOURCE),
        vehicle_external_source_least_V: tests.vehicle.least_r100.as_volts(),
        vehicle_external_source_source: cite(VehicleTest::SOURCE_R100),
        tester_setting_V: tests.vehicle.tester_setting.map(Voltage::as_volts),
        before_vehicle: words(&Tests::BEFORE_VEHICLE),
    }
}

fn test_row((supply, test): &(Supply, WithstandTest)) -> TestRow {
    TestRow {
        supply: *supply,
        alternating_V: test.alternating.as_volts(),
        direct_V: test.direct.as_volts(),
        duration_s: test.duration.as_seconds(),
        source: cite(test.source),
        evidence: evidence(test.source),
    }
}

fn limit_rows(report: &Report<'_>) -> LimitRows {
    let (bond_ohm, bond) = Limits::bond();
    let (touchable_v, touchable) = Limits::touchable(report.asked.domain, report.asked.alternating);
    LimitRows {
        isolation: report
            .limits
            .isolation
            .iter()
            .map(|&(case, resistance)| IsolationRow {
                case,
                least_ohm: resistance.as_ohms(),
                source: cite(IsolationCase::SOURCE),
            })
            .collect(),
        isolation_new_build_factor: Limits::NEW_BUILD,
        y_capacitance_F: report.limits.y_capacitance.map(Capacitance::as_farads),
        y_capacitance_source: cite(SourceId::Iso6469YEnergy),
        bond_ohm,
        bond_source: cite(bond),
        bond_test_current_A: Limits::BOND_CURRENT_A,
        touchable_V: touchable_v,
        touchable_source: cite(touchable),
        voltage_class: report.limits.class,
    }
}
