//! Bond straps and shields in faults through chassis, for people and for programs.

use comfy_table::CellAlignment;
use orangeloom_core::design::{Conductor, Enclosure};
use orangeloom_core::error::Error;
use orangeloom_core::protection::Used;
use orangeloom_core::study::{ChassisGuard, FaultBurdens, judge_shield_of, judge_strap_of};
use orangeloom_core::verdict::Verdict;
use serde::Serialize;

use super::open::why;
use super::{Report, names, or_open};
use crate::page::{self, align, plain_table, wrap};
use crate::quantity_text::ToText;
use crate::working::{n, n_down};

/// One strap or shield.
pub(crate) struct MetalRow {
    /// Box or circuit.
    at: String,
    guard: Result<ChassisGuard, Error>,
}

impl MetalRow {
    pub(crate) fn verdict(&self) -> Verdict {
        or_open(self.guard.as_ref(), |guard| guard.judged.verdict)
    }

    /// Value against limit, in words; why there is none.
    fn told(&self, report: &Report) -> [String; 4] {
        let none = || "-".to_owned();
        let guard = match &self.guard {
            Ok(guard) => guard,
            Err(error) => return [none(), none(), none(), error.to_string()],
        };
        let design = report.design();
        let fuse = guard.worst.map(|(fuse, _)| names::name(design, fuse));
        let percent = |value: Option<f32>, digits: fn(f32) -> String| {
            value.map_or_else(none, |share| format!("{} %", digits(100.0 * share)))
        };
        let used = percent(guard.judged.value, n);
        let left = percent(guard.judged.margin(), n_down);
        let words = match (guard.fault, guard.because, guard.worst) {
            (Some((fault, end)), ..) => format!(
                "{}: {}",
                names::fault(design, fault),
                names::end(design, end)
            ),
            (None, Some(unknown), _) => why(report, unknown),
            (None, None, Some((_, worst))) => match (worst.gap, worst.worst) {
                (Some(gap), _) => format!("fuse lacks: {}", gap.words()),
                (None, Some(used)) => at(report, &used),
                (None, None) => String::new(),
            },
            _ => String::new(),
        };
        [fuse.unwrap_or_else(none), used, left, words]
    }
}

fn at(report: &Report, used: &Used) -> String {
    let time = used.cleared_after.map_or_else(String::new, |time| {
        format!(", off in {}", time.to_text(report.units))
    });
    format!(
        "worst at {} in the fuse{time}",
        used.current.to_text(report.units)
    )
}

/// Every strap that a fault through chassis loads.
pub(crate) fn straps(report: &Report, burdens: &FaultBurdens) -> Vec<MetalRow> {
    let design = report.design();
    let all = design.all::<Enclosure>().map(|(id, _)| MetalRow {
        at: names::name(design, id),
        guard: judge_strap_of(design, &report.study, burdens, id),
    });
    concerned(all)
}

/// Every shield that a fault through chassis loads.
pub(crate) fn shields(report: &Report, burdens: &FaultBurdens) -> Vec<MetalRow> {
    let design = report.design();
    let all = design.all::<Conductor>().map(|(id, _)| MetalRow {
        at: names::circuit(design, id),
        guard: judge_shield_of(design, &report.study, burdens, id),
    });
    concerned(all)
}

fn concerned(all: impl Iterator<Item = MetalRow>) -> Vec<MetalRow> {
    all.filter(|row| row.verdict() != Verdict::NotApplicable)
        .collect()
}

/// A block for people.
pub(crate) fn block(report: &Report, title: &str, column: &str, rows: &[MetalRow]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let mut table = plain_table();
    table.set_header([column, "fuse", "used", "left", "verdict"]);
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for row in rows {
        let [fuse, used, left, words] = row.told(report);
        table.add_row([
            row.at.clone(),
            fuse,
            used,
            left,
            row.verdict().word().to_owned(),
        ]);
        if !words.is_empty() && row.verdict() != Verdict::Holds {
            match told.iter_mut().find(|(known, _)| *known == words) {
                Some((_, places)) => places.push(&row.at),
                None => told.push((words, vec![&row.at])),
            }
        }
    }
    align(&mut table, 2);
    if let Some(column) = table.column_mut(4) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    let mut lines = vec![title.to_owned(), page::table(&mut table)];
    for (words, places) in told {
        lines.push(wrap("  - ", &format!("{}: {words}", places.join(", "))));
    }
    lines.join("\n")
}

/// One strap or shield for programs.
#[derive(Serialize)]
pub(crate) struct MetalDocument {
    name: String,
    verdict: Verdict,
    fuse: Option<String>,
    used_fraction: Option<f32>,
    limit_fraction: Option<f32>,
    margin_fraction: Option<f32>,
    reason: Option<String>,
}

pub(crate) fn documents(report: &Report, rows: &[MetalRow]) -> Vec<MetalDocument> {
    let document = |row: &MetalRow| {
        let guard = row.guard.as_ref().ok();
        let judged = guard.map(|guard| guard.judged);
        let [.., words] = row.told(report);
        MetalDocument {
            name: row.at.clone(),
            verdict: row.verdict(),
            fuse: guard.and_then(|guard| {
                let (fuse, _) = guard.worst?;
                Some(names::name(report.design(), fuse))
            }),
            used_fraction: judged.and_then(|judged| judged.value),
            limit_fraction: judged.and_then(|judged| judged.limit),
            margin_fraction: judged.and_then(|judged| judged.margin()),
            reason: (!words.is_empty()).then_some(words),
        }
    };
    rows.iter().map(document).collect()
}
