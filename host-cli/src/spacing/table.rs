//! The requirement over a list of voltages, a row for each.

use comfy_table::CellAlignment;
use orangeloom_core::insulation::{
    CreepageOutcome, Spacing, StepKind, StepValue, Supply, WithstandTest,
};
use orangeloom_core::quantity::Voltage;
use orangeloom_core::verdict::Verdict;

use super::ask::{Asked, advice};
use super::bench::component_tests;
use super::names::{self, distance_digits, length_unit};
use super::text;
use crate::page::{self, align, plain_table};
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
        page::wrap("Asked: ", &text::circumstances(asked)),
        table(asked, rows),
        judged(asked, rows),
        notes(asked, rows)
            .iter()
            .map(|note| page::wrap("", note))
            .collect::<Vec<_>>()
            .join("\n"),
        sources(rows),
        text::defaults(asked),
        page::cautions(),
    ];
    page::join(&blocks)
}

fn table(asked: &Asked, rows: &[Row]) -> String {
    let unit = length_unit(asked.units);
    let mut table = plain_table();
    table.set_header([
        "working\nV".to_owned(),
        "impulse\nV".to_owned(),
        format!("clearance\n{unit}"),
        "decided\nby".to_owned(),
        format!("creepage\n{unit}"),
        "decided\nby".to_owned(),
        "component\ntest V AC".to_owned(),
    ]);
    for row in rows {
        table.add_row(cells(asked, row));
    }
    align(&mut table, 0);
    for index in [3, 5] {
        if let Some(column) = table.column_mut(index) {
            column.set_cell_alignment(CellAlignment::Left);
        }
    }
    page::table(&mut table)
}

/// The verdicts on what was entered.
fn judged(asked: &Asked, rows: &[Row]) -> String {
    let built: Vec<String> = [("clearance", asked.clearance), ("creepage", asked.creepage)]
        .into_iter()
        .filter_map(|(name, length)| {
            length.map(|length| format!("{name} {}", names::entered(length, asked.units)))
        })
        .collect();
    if built.is_empty() {
        return String::new();
    }
    let mut table = plain_table();
    table.set_header(["working\nV", "clearance", "creepage"]);
    for row in rows {
        table.add_row([
            n(row.working.as_volts()),
            row.spacing.clearance_check.verdict.word().to_owned(),
            row.spacing.creepage_check.verdict.word().to_owned(),
        ]);
    }
    if let Some(column) = table.column_mut(0) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    format!(
        "As built: {}\n{}",
        built.join(", "),
        page::table(&mut table)
    )
}

fn cells(asked: &Asked, row: &Row) -> Vec<String> {
    let (creepage, decided) = match &row.spacing.creepage {
        CreepageOutcome::Distance(found) => (
            distance_digits(found.distance, asked.units),
            found
                .steps
                .iter()
                .find(|step| step.governs)
                .map_or("", |step| names::decided_by(step.kind)),
        ),
        CreepageOutcome::NoDistanceHelps => ("none".to_owned(), "wet"),
    };
    let test = row
        .tests
        .iter()
        .map(|(_, test)| test.alternating.as_volts())
        .reduce(f32::max);
    vec![
        n(row.working.as_volts()),
        row.impulse()
            .map_or_else(|| "-".to_owned(), |impulse| n(impulse.as_volts())),
        distance_digits(row.spacing.clearance.distance, asked.units),
        names::decided_by(row.spacing.clearance.governed_by).to_owned(),
        creepage,
        decided.to_owned(),
        test.map_or_else(|| "-".to_owned(), n),
    ]
}

/// What the reader has to know about some of the rows.
pub(crate) fn notes(asked: &Asked, rows: &[Row]) -> Vec<String> {
    let at = |marked: &dyn Fn(&Row) -> bool| {
        let volts: Vec<String> = rows
            .iter()
            .filter(|row| marked(row))
            .map(|row| format!("{} V", n(row.working.as_volts())))
            .collect();
        (!volts.is_empty()).then(|| volts.join(", "))
    };
    let mut notes = Vec::new();
    if let Some(volts) = at(&Row::not_recommended) {
        notes.push(format!("Caution at {volts}: {}", names::NOT_RECOMMENDED));
    }
    if let Some(volts) = at(&|row| asked.system_below(row.working)) {
        notes.push(format!(
            "Caution at {volts}: {}",
            names::system_below(asked)
        ));
    }
    if at(&|row| row.spacing.creepage == CreepageOutcome::NoDistanceHelps).is_some() {
        notes.push("No creepage distance helps while the surface is wet".to_owned());
    }
    let ribs: Vec<String> = rows
        .iter()
        .filter_map(|row| {
            let CreepageOutcome::Distance(found) = &row.spacing.creepage else {
                return None;
            };
            let rib = found.rib?;
            Some(format!(
                "at {} V {} high and {} wide",
                n(row.working.as_volts()),
                names::distance(rib.height, asked.units),
                names::distance(rib.width, asked.units)
            ))
        })
        .collect();
    if !ribs.is_empty() {
        notes.push(format!(
            "Some creepage distances rely on a rib across the whole path (size from memory), at \
             least: {}; a rib counts for nothing at the other voltages",
            ribs.join(", ")
        ));
    }
    notes
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
        let line = page::wrap("  - ", &cite(source));
        if !cited.contains(&line) {
            cited.push(line);
        }
    }
    format!("Sources\n{}", cited.join("\n"))
}
