//! The working of a requirement: each equation with the numbers in it.
//!
//! All values come from the core; here they are only put into words.

use orangeloom_core::insulation::{
    CreepageOutcome, Impulse, MAINS_TEMPORARY_V, SpacingInput, Step as CoreStep, StepKind,
    StepValue, Supply, TemporaryOvervoltage, spacing,
};
use orangeloom_core::quantity::{Length, Voltage};
use orangeloom_core::standard::iec60664::Insulation;
use orangeloom_core::standard::iec60664_altitude::TABLE_A2;
use orangeloom_core::standard::iec60664_clearance::{
    TABLE_F2, TABLE_F7A, impulse_clearance, peak_clearance,
};
use orangeloom_core::standard::iec60664_creepage::{Surface, TABLE_F4, creepage_distance};

use super::Report;
use crate::working::{Step, cite, n};

const INTERPOLATED: &str = "d = d1 + (d2 - d1) (U - U1) / (U2 - U1)";
const REINFORCED_PEAK: &str = "U = 1.6 Up";

/// The working of both distances, and of the test voltages if `all`.
pub(crate) fn steps(report: &Report<'_>, all: bool) -> Vec<Step> {
    let mut steps: Vec<Step> = report
        .spacing
        .steps()
        .map(|step| {
            let (equation, numbers) = behind(report, step);
            Step {
                what: step.kind.words(),
                equation,
                numbers,
                result: shown(step.value),
                source: cite(step.source),
            }
        })
        .collect();
    if all {
        steps.extend(tests(report));
    }
    steps
}

/// A value with its unit, four digits.
fn shown(value: StepValue) -> String {
    match value {
        StepValue::Voltage(volts) => format!("{} V", n(volts.as_volts())),
        StepValue::Length(length) => format!("{} mm", n(length.as_mm())),
        StepValue::Pressure(pressure) => format!("{} kPa", n(pressure.as_pascals() / 1000.0)),
        StepValue::Factor(factor) => n(factor),
    }
}

/// The value of the step of one kind, in words.
fn before(report: &Report<'_>, kind: StepKind) -> String {
    report
        .spacing
        .steps()
        .find(|step| step.kind == kind)
        .map_or_else(|| "none".to_owned(), |step| shown(step.value))
}

fn volts_before(report: &Report<'_>, kinds: &[StepKind]) -> Option<Voltage> {
    kinds.iter().find_map(|&kind| {
        report.spacing.steps().find_map(|step| match step.value {
            StepValue::Voltage(volts) if step.kind == kind => Some(volts),
            _ => None,
        })
    })
}

fn behind(report: &Report<'_>, step: &CoreStep) -> (&'static str, String) {
    let input = &report.input;
    match step.kind {
        StepKind::SystemVoltageRow | StepKind::BasicImpulse => impulse(report, step.kind),
        StepKind::ReinforcedImpulse => (
            "the next preferred impulse voltage; where the basic one is not preferred 160 %, at most the \
             step above",
            before(report, StepKind::BasicImpulse),
        ),
        StepKind::ImpulseClearance => between(
            volts_before(
                report,
                &[StepKind::ReinforcedImpulse, StepKind::BasicImpulse],
            ),
            TABLE_F2.iter().map(|row| row.impulse_kv * 1000.0),
            |volts| {
                let (length, _) = impulse_clearance(volts, input.pollution).ok()?;
                Some(length)
            },
        ),
        StepKind::WorkingPeak => match (input.recurring_peak, input.alternating) {
            (Some(_), _) => ("as entered", shown(step.value)),
            (None, true) => (
                "Up = sqrt(2) U",
                format!("1.414 x {} V", n(input.working.as_volts())),
            ),
            (None, false) => (
                "Up = U",
                format!("{} V direct", n(input.working.as_volts())),
            ),
        },
        StepKind::ReinforcedPeak => (
            REINFORCED_PEAK,
            format!("1.6 x {}", before(report, StepKind::WorkingPeak)),
        ),
        StepKind::ReinforcedTemporaryPeak => (
            REINFORCED_PEAK,
            format!("1.6 x {}", before(report, StepKind::TemporaryPeak)),
        ),
        StepKind::PeakClearance => by_peak(volts_before(
            report,
            &[StepKind::ReinforcedPeak, StepKind::WorkingPeak],
        )),
        StepKind::TemporaryPeak => match input.temporary {
            TemporaryOvervoltage::Mains { nominal } => (
                "Up = sqrt(2) (Un + 1200 V)",
                format!(
                    "1.414 x ({} + {}) V",
                    n(nominal.as_volts()),
                    n(MAINS_TEMPORARY_V)
                ),
            ),
            _ => ("as entered", shown(step.value)),
        },
        StepKind::TemporaryClearance => by_peak(volts_before(
            report,
            &[StepKind::ReinforcedTemporaryPeak, StepKind::TemporaryPeak],
        )),
        StepKind::AirPressure | StepKind::AltitudeFactor => altitude(report, step.kind),
        StepKind::Clearance => (
            "clearance = k max(impulse, peak, temporary)",
            format!(
                "{} x max({}, {}, {})",
                before(report, StepKind::AltitudeFactor),
                before(report, StepKind::ImpulseClearance),
                before(report, StepKind::PeakClearance),
                before(report, StepKind::TemporaryClearance)
            ),
        ),
        _ => over_surface(report, step),
    }
}

fn over_surface(report: &Report<'_>, step: &CoreStep) -> (&'static str, String) {
    let input = &report.input;
    match step.kind {
        StepKind::BasicCreepage => basic_creepage(report),
        StepKind::RibHeight => (
            "max(2 mm, 25 % of the distance without the rib)",
            without_rib(report),
        ),
        StepKind::RibWidth => ("20 % of the distance without the rib", without_rib(report)),
        StepKind::ReinforcedCreepage => (
            "2 x basic",
            format!("2 x {}", before(report, StepKind::BasicCreepage)),
        ),
        StepKind::CreepageFloor => (
            "creepage >= clearance",
            format!("the clearance is {}", before(report, StepKind::Clearance)),
        ),
        StepKind::Creepage => (
            "creepage = max(over the surface, clearance)",
            format!(
                "max({}, {})",
                if input.insulation == Insulation::Reinforced {
                    before(report, StepKind::ReinforcedCreepage)
                } else {
                    before(report, StepKind::BasicCreepage)
                },
                before(report, StepKind::Clearance)
            ),
        ),
        StepKind::GrooveWidth => (
            "X of the pollution degree; at most a third of a clearance below 3 mm",
            format!(
                "pollution degree {}, clearance {}",
                input.pollution.number(),
                before(report, StepKind::Clearance)
            ),
        ),
        _ => ("as entered", shown(step.value)),
    }
}

fn basic_creepage(report: &Report<'_>) -> (&'static str, String) {
    let input = &report.input;
    let over = |surface: Surface, volts: Voltage| {
        let found = creepage_distance(volts, input.pollution, input.group, surface).ok()?;
        found.map(|(length, _)| length)
    };
    let rows = || TABLE_F4.iter().map(|row| row.working_v);
    let (asked, plain) = (
        over(input.surface, input.working),
        over(Surface::Plain, input.working),
    );
    if input.surface != Surface::Ribbed || asked == plain {
        let surface = match input.surface {
            Surface::Ribbed => Surface::Plain,
            other => other,
        };
        return between(Some(input.working), rows(), |volts| over(surface, volts));
    }
    // From a row without bracketed value the next one holds as it is.
    let next = rows().find(|&row| row >= input.working.as_volts());
    if let Some(row) = next
        && let Some(length) = asked
        && Voltage::from_volts(row).is_ok_and(|volts| over(input.surface, volts) == asked)
    {
        return (
            "the bracketed value of the next row, for a rib",
            format!("{} V: {} mm", n(row), n(length.as_mm())),
        );
    }
    between(Some(input.working), rows(), |volts| {
        over(input.surface, volts)
    })
}

/// The distance that the size of a rib hangs on.
fn without_rib(report: &Report<'_>) -> String {
    let plain = SpacingInput {
        surface: Surface::Plain,
        ..report.input
    };
    match spacing(&plain).map(|found| found.creepage) {
        Ok(CreepageOutcome::Distance(found)) => format!("{} mm", n(found.distance.as_mm())),
        _ => "-".to_owned(),
    }
}

fn impulse(report: &Report<'_>, kind: StepKind) -> (&'static str, String) {
    match report.input.impulse {
        Impulse::Entered(volts) => ("as entered", format!("{} V", n(volts.as_volts()))),
        Impulse::Rated { system, .. } if kind == StepKind::SystemVoltageRow => (
            "the next row of the table, without interpolation",
            format!("system voltage {} V", n(system.as_volts())),
        ),
        Impulse::Rated { category, .. } => (
            "the row's entry for the category",
            format!(
                "row {}, overvoltage category {}",
                before(report, StepKind::SystemVoltageRow),
                category.word()
            ),
        ),
    }
}

fn by_peak(volts: Option<Voltage>) -> (&'static str, String) {
    between(volts, TABLE_F7A.iter().map(|row| row.0 * 1000.0), |volts| {
        peak_clearance(volts).ok()
    })
}

/// The rows of a table on either side of a voltage, put into the interpolation.
fn between(
    volts: Option<Voltage>,
    rows: impl Iterator<Item = f32>,
    cell: impl Fn(Voltage) -> Option<Length>,
) -> (&'static str, String) {
    /// Rows are kept in kV; the way to V rounds by less than this share.
    const ROUNDING: f32 = 1.0e-5;
    let Some(at) = volts.map(Voltage::as_volts) else {
        return ("as entered", String::new());
    };
    let distance = |row: f32| {
        let length = Voltage::from_volts(row).ok().and_then(&cell);
        length.map_or_else(|| "-".to_owned(), |length| n(length.as_mm()))
    };
    let mut below = None;
    for row in rows {
        if (row - at).abs() <= ROUNDING * at {
            return (
                "the row of the table",
                format!("{} V: {} mm", n(row), distance(row)),
            );
        }
        if row > at {
            return match below {
                None => (
                    "below the first row the first row holds",
                    format!("{} V: {} mm", n(row), distance(row)),
                ),
                Some(below) => (
                    INTERPOLATED,
                    format!(
                        "{d1} mm + ({d2} - {d1}) mm x ({u} - {u1}) / ({u2} - {u1})",
                        d1 = distance(below),
                        d2 = distance(row),
                        u = n(at),
                        u1 = n(below),
                        u2 = n(row)
                    ),
                ),
            };
        }
        below = Some(row);
    }
    ("the last row of the table", format!("{} V", n(at)))
}

fn altitude(report: &Report<'_>, kind: StepKind) -> (&'static str, String) {
    let metres = report.input.altitude.as_metres();
    let mut rows = TABLE_A2.iter();
    let mut below = rows.next();
    for upper in rows {
        let Some(lower) = below else { break };
        if metres <= lower.altitude_m {
            break;
        }
        if metres <= upper.altitude_m {
            return match kind {
                StepKind::AirPressure => (
                    "p = p1 (p2 / p1)^((z - z1) / (z2 - z1))",
                    format!(
                        "{p1} kPa x ({p2} / {p1})^(({} - {z1}) / ({z2} - {z1}))",
                        n(metres),
                        p1 = n(lower.pressure_kpa),
                        p2 = n(upper.pressure_kpa),
                        z1 = n(lower.altitude_m),
                        z2 = n(upper.altitude_m)
                    ),
                ),
                _ => (
                    "k = k1 + (k2 - k1) (1/p - 1/p1) / (1/p2 - 1/p1)",
                    format!(
                        "{k1} + ({k2} - {k1}) x (1/p - 1/{p1}) / (1/{p2} - 1/{p1}), p = {}",
                        before(report, StepKind::AirPressure),
                        k1 = n(lower.factor),
                        k2 = n(upper.factor),
                        p1 = n(lower.pressure_kpa),
                        p2 = n(upper.pressure_kpa)
                    ),
                ),
            };
        }
        below = Some(upper);
    }
    (
        "up to 2000 m the tables hold as they are",
        format!("altitude {} m", n(metres)),
    )
}

fn tests(report: &Report<'_>) -> Vec<Step> {
    let reinforced = report.input.insulation == Insulation::Reinforced;
    let tests = report.tests.component.iter();
    tests
        .map(|(supply, test)| {
            let (equation, voltage) = match (supply, reinforced) {
                (Supply::Vehicle, false) => ("Ut = 2 U + 1000 V", Some(report.input.working)),
                (Supply::Vehicle, true) => ("Ut = 2 U + 3250 V", Some(report.input.working)),
                (Supply::Mains, false) => ("Ut = Un + 1200 V", report.asked.mains),
                (Supply::Mains, true) => ("Ut = 2 (Un + 1200 V)", report.asked.mains),
            };
            Step {
                what: "withstand test of the component, r.m.s.; direct: times 1.414",
                equation,
                numbers: format!(
                    "{} V",
                    voltage.map_or_else(|| "-".to_owned(), |volts| n(volts.as_volts()))
                ),
                result: format!(
                    "{} V AC, {} V DC",
                    n(test.alternating.as_volts()),
                    n(test.direct.as_volts())
                ),
                source: cite(test.source),
            }
        })
        .collect()
}
