//! The requirement over a list of voltages, a row for each.

use comfy_table::CellAlignment;
use orangeloom_core::insulation::{
    CreepageOutcome, Spacing, StepKind, StepValue, Supply, WithstandTest,
};
use orangeloom_core::quantity::Voltage;
use orangeloom_core::verdict::Verdict;

use super::ask::{Asked, advice};
use super::bench::component_tests;
use super::names::{self, Round, distance_digits, length_unit};
use super::text;
use crate::page::{self, CAUTIONS, align, plain_table};
use crate::working::{cite, n};

/// One voltage.
pub(crate) struct Row {
    pub(crate) working: Voltage,
    pub(crate) spacing: Spacing,
    pub(crate) tests: Vec<(Supply, WithstandTest)>,
}

impl Row {
    pub(crate) fn impulse(&self) -> Option<Voltage> {
        self.spacing.steps().find_map(|step| match step.value {
            StepValue::Voltage(volts) if step.kind == StepKind::BasicImpulse => Some(volts),
            _ => None,
        })
    }

    pub(crate) fn not_recommended(&self) -> bool {
        matches!(
            &self.spacing.creepage,
            CreepageOutcome::Distance(found) if found.material_not_recommended
        )
    }
}

pub(crate) fn rows(asked: &Asked) -> Result<Vec<Row>, String> {
    let mut rows = Vec::new();
    for &working in &asked.voltages {
        let row = orangeloom_core::insulation::spacing(&asked.input(working))
            .and_then(|spacing| {
                Ok(Row {
                    working,
                    spacing,
                    tests: component_tests(working, asked.mains, asked.insulation)?,
                })
            })
            .map_err(|error| {
                format!(
                    "in the row of {} V: {}",
                    working.as_volts(),
                    advice(error, asked, working)
                )
            })?;
        rows.push(row);
    }
    Ok(rows)
}

/// The worst of all rows.
pub(crate) fn verdict(rows: &[Row]) -> Verdict {
    rows.iter()
        .map(|row| row.spacing.verdict())
        .reduce(Verdict::worse)
        .unwrap_or(Verdict::Open)
}

pub(crate) fn render(asked: &Asked, rows: &[Row]) -> String {
    let blocks = [
        format!("Asked: {}", text::circumstances(asked)),
        table(asked, rows),
        notes(rows),
        sources(rows),
        text::defaults(asked),
        CAUTIONS.join("\n"),
    ];
    page::join(&blocks)
}

fn table(asked: &Asked, rows: &[Row]) -> String {
    let judged = asked.clearance.is_some() || asked.creepage.is_some();
    let unit = length_unit(asked.units);
    let mut table = plain_table();
    let mut header = vec![
        "working\nV".to_owned(),
        "impulse\nV".to_owned(),
        format!("clearance\n{unit}"),
        format!("creepage\n{unit}"),
        "component test\nV AC".to_owned(),
        "clearance decided by".to_owned(),
        "creepage decided by".to_owned(),
    ];
    if judged {
        header.push("clearance".to_owned());
        header.push("creepage".to_owned());
    }
    let texts = header.len() - 5;
    table.set_header(header);
    for row in rows {
        table.add_row(cells(asked, row, judged));
    }
    align(&mut table, 0);
    for column in table.column_iter_mut().rev().take(texts) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    table.trim_fmt()
}

fn cells(asked: &Asked, row: &Row, judged: bool) -> Vec<String> {
    let (creepage, decided) = match &row.spacing.creepage {
        CreepageOutcome::Distance(found) => (
            distance_digits(found.distance, asked.units, Round::Up),
            found
                .steps
                .iter()
                .find(|step| step.governs)
                .map_or("", |step| names::decided_by(step.kind)),
        ),
        CreepageOutcome::NoDistanceHelps => ("none".to_owned(), "no distance helps while wet"),
    };
    let test = row
        .tests
        .iter()
        .map(|(_, test)| test.alternating.as_volts())
        .reduce(f32::max);
    let mut cells = vec![
        n(row.working.as_volts()),
        row.impulse()
            .map_or_else(|| "-".to_owned(), |impulse| n(impulse.as_volts())),
        distance_digits(row.spacing.clearance.distance, asked.units, Round::Up),
        creepage,
        test.map_or_else(|| "-".to_owned(), n),
        names::decided_by(row.spacing.clearance.governed_by).to_owned(),
        decided.to_owned(),
    ];
    if judged {
        cells.push(row.spacing.clearance_check.verdict.word().to_owned());
        cells.push(row.spacing.creepage_check.verdict.word().to_owned());
    }
    cells
}

fn notes(rows: &[Row]) -> String {
    let marked: Vec<String> = rows
        .iter()
        .filter(|row| row.not_recommended())
        .map(|row| format!("{} V", n(row.working.as_volts())))
        .collect();
    if marked.is_empty() {
        return String::new();
    }
    format!(
        "Caution at {}: {}",
        marked.join(", "),
        names::NOT_RECOMMENDED
    )
}

/// Each source once, in the order of the steps.
fn sources(rows: &[Row]) -> String {
    let mut cited: Vec<String> = Vec::new();
    let steps = rows.iter().flat_map(|row| row.spacing.steps());
    let tests = rows.iter().flat_map(|row| &row.tests);
    for source in steps
        .map(|step| step.source)
        .chain(tests.map(|(_, test)| test.source))
    {
        let line = format!("  {}", cite(source));
        if !cited.contains(&line) {
            cited.push(line);
        }
    }
    format!("Sources\n{}", cited.join("\n"))
}
