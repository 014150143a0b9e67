//! What happens step by step, for people and as JSON: precharge, discharge, joining of
//! strings, what contactors close on, their coils.

use comfy_table::CellAlignment;
use orangeloom_core::design::{Index, MAX_CONTACTORS, Set, Thing};
use orangeloom_core::fault::Precharged;
use orangeloom_core::link::{Reached, StringCheck};
use orangeloom_core::protection::ContactorCheck;
use orangeloom_core::quantity::Voltage;
use orangeloom_core::study::sequence::{
    DischargeStudy, JoinStudy, PrechargeStudy, SequenceStudy, ShareStudy, StatedWindow,
};
use orangeloom_core::study::{Checked, Known, Unknown};
use orangeloom_core::verdict::{Judged, Verdict};
use serde::Serialize;

use super::faults::contactor_words;
use super::open::{Gaps, why};
use super::{Report, names};
use crate::document::NamedLimit;
use crate::page::{self, Sources, align, plain_table, wrap};
use crate::precharge::names::{discharge_row, precharge_row};
use crate::precharge::text::lock_words;
use crate::quantity_text::ToText;
use crate::working::{cite, n, n_down, value_and_limit};

/// One check of one thing, ready to be shown.
struct Row {
    thing: Thing,
    what: &'static str,
    unit: &'static str,
    judged: Judged<()>,
    because: Option<Unknown>,
}

impl Row {
    fn new<N: Copy>(
        thing: impl Into<Thing>,
        checked: &Checked<N>,
        (what, unit): (&'static str, &'static str),
    ) -> Self {
        let judged = checked.judged;
        Self {
            thing: thing.into(),
            what,
            unit,
            judged: with(
                judged.verdict,
                Judged::open((), judged.value, judged.side, judged.limit, judged.source),
            ),
            because: checked.because,
        }
    }
}

const fn with(verdict: Verdict, mut judged: Judged<()>) -> Judged<()> {
    judged.verdict = verdict;
    judged
}

/// The blocks of the report.
pub(crate) fn blocks(report: &Report, sources: &mut Sources) -> Vec<String> {
    let found = &report.study.sequences;
    let mut blocks = vec![headline(report)];
    for one in &found.precharges {
        blocks.push(precharge(report, one, sources));
    }
    blocks.push(capacitors(report, found));
    for one in &found.discharges {
        blocks.push(discharge(report, one, sources));
    }
    if !found.joins.is_empty() {
        blocks.push(strings(report, found, sources));
    }
    blocks.push(contactors(report, found, sources));
    blocks.push(open(report));
    blocks.push(wrap(
        "",
        "Taken where nothing is stated: link capacitors 20 % high, resistors 5 % high or low, \
         three tries in a row without pause, 0.1 s from a time-out to an open relay. Loops at \
         their least resistance: cells and the cables of the string alone, at the coldest.",
    ));
    blocks
}

fn headline(report: &Report) -> String {
    let rows = all_rows(report);
    let count = |verdict| {
        rows.iter()
            .filter(|row| row.judged.verdict == verdict)
            .count()
    };
    wrap(
        "",
        &format!(
            "Step by step: {} checks fail, {} are open, {} hold.",
            count(Verdict::Fails),
            count(Verdict::Open),
            count(Verdict::Holds)
        ),
    )
}

fn list<I: Index>(report: &Report, set: Set<I>) -> String {
    let names: Vec<String> = set
        .iter()
        .map(|id| names::name(report.design(), id))
        .collect();
    if names.is_empty() {
        "none".to_owned()
    } else {
        names.join(", ")
    }
}

fn table(report: &Report, rows: &[Row], with_thing: bool, sources: &mut Sources) -> String {
    let mut table = plain_table();
    let mut header = vec!["check", "value", "allowed", "margin", "verdict", "source"];
    if with_thing {
        header.insert(0, "of");
    }
    table.set_header(header);
    for row in rows {
        if row.judged.verdict == Verdict::NotApplicable {
            continue;
        }
        let [value, limit] = value_and_limit(&row.judged, 1.0);
        let margin = row.judged.margin().map(n_down);
        let shown = |digits: Option<String>| {
            let shown = digits.map(|digits| format!("{digits} {}", row.unit));
            shown.unwrap_or_else(|| "-".to_owned())
        };
        let mut cells = vec![
            row.what.to_owned(),
            shown(value),
            shown(limit),
            shown(margin),
            row.judged.verdict.word().to_owned(),
            sources.mark(&cite(row.judged.source)),
        ];
        if with_thing {
            cells.insert(0, names::name(report.design(), row.thing));
        }
        table.add_row(cells);
    }
    align(&mut table, 1 + usize::from(with_thing));
    let words = if with_thing { 2 } else { 1 };
    for column in table.column_iter_mut().take(words) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    for column in table.column_iter_mut().rev().take(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    page::table(&mut table)
}

fn precharge_rows(one: &PrechargeStudy) -> Vec<Row> {
    let of = |checked: &Checked<_>| {
        let row = precharge_row(&checked.judged);
        Row::new(one.resistor, checked, (row.words, row.unit))
    };
    one.checks.iter().map(of).collect()
}

fn precharge(report: &Report, one: &PrechargeStudy, sources: &mut Sources) -> String {
    let name = names::name(report.design(), one.resistor);
    let units = report.units;
    let path = match &one.path {
        Ok(path) => path,
        Err(unknown) => {
            return wrap(
                "",
                &format!("Precharge through {name}: open, {}", why(report, *unknown)),
            );
        }
    };
    let from = path.phase.map_or_else(
        || "no phase says so".to_owned(),
        |phase| format!("phase {}", names::name(report.design(), phase)),
    );
    let mut lines = vec![format!("Precharge through {name}")];
    lines.push(wrap(
        "  ",
        &format!(
            "closed with it: {} ({from}); then {} closes; it charges {}",
            list(report, path.closed),
            list(report, path.mains),
            list(report, path.loads)
        ),
    ));
    if let (Ok([lowest, highest]), Ok(capacitance), Ok(found)) =
        (&one.voltages, &one.capacitance, &one.found)
    {
        let reached = match found.reached {
            Reached::After { time, .. } => format!("reached after {}", time.to_text(units)),
            Reached::Never(_) => "never reached".to_owned(),
        };
        let standing = if one.standing.is_empty() {
            "nothing".to_owned()
        } else {
            list(report, one.standing)
        };
        lines.push(wrap(
            "  ",
            &format!(
                "{} to {}, {}; time constant {}; the link has to come to {} of {}: {reached}; {standing} draws meanwhile; {}",
                lowest.to_text(units),
                highest.to_text(units),
                capacitance.to_text(units),
                found.time_constant.to_text(units),
                found.needed.to_text(units),
                found.settled_at.to_text(units),
                lock_words(found.lock, units)
            ),
        ));
    }
    lines.push(table(report, &precharge_rows(one), false, sources));
    lines.join("\n")
}

/// How each capacitor is charged, those without a path by name.
fn capacitors(report: &Report, found: &SequenceStudy) -> String {
    let mut lines = vec!["Capacitors, and how they are charged".to_owned()];
    for one in &found.reached {
        let how = match one.how {
            Precharged::NoCapacitor if one.check.verdict() == Verdict::Open => {
                "open: its capacitance is not stated (link)".to_owned()
            }
            Precharged::NoCapacitor => "has none".to_owned(),
            Precharged::NotReached => "no contactor joins it to a battery".to_owned(),
            Precharged::AlwaysJoined => "always joined to a battery".to_owned(),
            Precharged::Through { resistor, .. } => {
                format!("through {}", names::name(report.design(), resistor))
            }
            Precharged::Missing => "fails: a contactor joins it and no resistor before".to_owned(),
            _ => one.check.verdict().word().to_owned(),
        };
        lines.push(wrap(
            "  ",
            &format!("{}: {how}", names::name(report.design(), one.load)),
        ));
    }
    lines.join("\n")
}

fn discharge_rows(one: &DischargeStudy) -> Vec<Row> {
    let first = one.loads.iter().next().map_or(Thing::VEHICLE, Into::into);
    let bleed = one
        .bleed_power
        .as_ref()
        .map(|(id, check)| (Thing::from(*id), check));
    let of = |(thing, checked): (Thing, &Checked<_>)| {
        let row = discharge_row(&checked.judged);
        Row::new(thing, checked, (row.words, row.unit))
    };
    let checks = one.checks.iter().map(|check| (first, check));
    checks.chain(bleed).map(of).collect()
}

fn discharge(report: &Report, one: &DischargeStudy, sources: &mut Sources) -> String {
    let units = report.units;
    let mut lines = vec![wrap(
        "",
        &format!("Discharge of {}", list(report, one.loads)),
    )];
    let active = one.active.map_or_else(
        || "no active discharge".to_owned(),
        |id| {
            format!(
                "{} when it is switched on",
                names::name(report.design(), id)
            )
        },
    );
    let label = match one.found.as_ref().ok().and_then(|found| found.label) {
        Some(time) => format!("; a label has to say {} at least", time.at_least(units)),
        None => String::new(),
    };
    let capacitance = match &one.capacitance {
        Ok(capacitance) => capacitance.to_text(units),
        Err(unknown) => format!("open, {}", why(report, *unknown)),
    };
    lines.push(wrap(
        "  ",
        &format!(
            "{capacitance}; bleeds: {}; {active}{label}",
            list(report, one.bleeds)
        ),
    ));
    lines.push(table(report, &discharge_rows(one), false, sources));
    lines.join("\n")
}

const fn string_words(check: StringCheck) -> (&'static str, &'static str) {
    match check {
        StringCheck::JoinWindow => ("joined at", "V"),
        StringCheck::JoinSensors => ("error of a measured voltage", "V"),
        StringCheck::Share => ("limit of the controller for each", "A"),
        StringCheck::ChargeShare => ("limit of the controller into each", "A"),
        StringCheck::BackFeed => ("others into it when shorted", "A"),
        _ => ("check", ""),
    }
}

/// The first battery of a string stands for it.
fn string_thing(report: &Report, number: u8) -> Thing {
    let strings = &report.study.strings;
    let string = strings.get(usize::from(number));
    let battery = string.and_then(|one| one.string.batteries.iter().next());
    battery.map_or(Thing::VEHICLE, Into::into)
}

fn join_rows(report: &Report, one: &JoinStudy) -> Vec<Row> {
    let thing = string_thing(report, one.string);
    [&one.window_check, &one.sensors_check, &one.back_feed]
        .map(|check| Row::new(thing, check, string_words(check.judged.name)))
        .into()
}

fn share_rows(report: &Report, one: &ShareStudy) -> [Row; 2] {
    let in_group = |number: &u8| {
        let strings = &report.study.strings;
        let string = strings.get(usize::from(*number));
        string.is_some_and(|string| string.string.group == one.group)
    };
    let first = (0_u8..).take(report.study.strings.len()).find(in_group);
    let thing = first.map_or(Thing::VEHICLE, |number| string_thing(report, number));
    let row = |lost| Row::new(thing, lost, string_words(lost.judged.name));
    one.lost.each_ref().map(row)
}

/// Which of two stated differences the join is judged with, and which is passed over.
fn passed_over(report: &Report, one: &JoinStudy) -> Option<String> {
    let (design, units) = (report.design(), report.units);
    let closes = format!("closes-within of {}", names::name(design, one.through?));
    let [larger, smaller] = match one.stated_as? {
        StatedWindow::ClosesWithin => [closes.as_str(), "join-window"],
        StatedWindow::JoinWindow => ["join-window", closes.as_str()],
    };
    let window = one.window.ok()?;
    let less = one.passed_over.filter(|less| *less < window)?;
    Some(format!(
        "judged with {larger} {}, because {smaller} {} is less",
        window.to_text(units),
        less.to_text(units)
    ))
}

fn strings(report: &Report, found: &SequenceStudy, sources: &mut Sources) -> String {
    let (design, units) = (report.design(), report.units);
    let mut lines = vec!["Strings in parallel".to_owned()];
    for one in &found.joins {
        let through = one.through.map_or_else(
            || "no resistor evens it out first".to_owned(),
            |id| format!("evened out through {} first", names::name(design, id)),
        );
        let mut prose = format!(
            "{} to {}: joined by {}, {through}",
            names::name(design, string_thing(report, one.string)),
            names::name(design, string_thing(report, one.with)),
            list(report, one.contactors),
        );
        if let (Ok(found), Ok(window)) = (&one.found, one.window)
            && let Some(current) = found.window_current
        {
            let drives = [Voltage::to_text(window, units), current.to_text(units)];
            prose = format!("{prose}; {} drives {}", drives[0], drives[1]);
            if let (Some(charge), Some(time)) = (found.charge, found.time_constant) {
                let flows = [charge.to_text(units), time.to_text(units)];
                prose = format!("{prose}, at least {}, with {} to 37 %", flows[0], flows[1]);
            }
        }
        if let Some(told) = passed_over(report, one) {
            prose = format!("{prose}; {told}");
        }
        lines.push(wrap("  ", &prose));
    }
    for one in &found.shares {
        let amount = |known: &Known<orangeloom_core::quantity::Current>| match known {
            Ok(current) => current.to_text(units),
            Err(unknown) => format!("open, {}", why(report, *unknown)),
        };
        let spread = one.spread.map_or_else(
            |unknown| format!("open, {}", why(report, unknown)),
            |spread| format!("{} %", n(100.0 * spread)),
        );
        lines.push(wrap(
            "  ",
            &format!(
                "currents apart: {spread}; most together: {}; with the strongest lost: {}",
                amount(&one.together),
                amount(&one.one_lost)
            ),
        ));
    }
    let joins = found.joins.iter().flat_map(|one| join_rows(report, one));
    let shares = found.shares.iter().flat_map(|one| share_rows(report, one));
    let rows: Vec<Row> = joins.chain(shares).collect();
    lines.push(table(report, &rows, true, sources));
    lines.join("\n")
}

fn contactor_rows(found: &SequenceStudy) -> Vec<Row> {
    let words = |check: ContactorCheck| (contactor_words(check), check.unit());
    let mut rows = Vec::with_capacity(3 * MAX_CONTACTORS);
    for (make, coil) in found.makes.iter().zip(&found.coils) {
        for check in [&make.check].into_iter().chain(&coil.checks) {
            rows.push(Row::new(make.contactor, check, words(check.judged.name)));
        }
    }
    rows
}

fn contactors(report: &Report, found: &SequenceStudy, sources: &mut Sources) -> String {
    let table = table(report, &contactor_rows(found), true, sources);
    format!("Contactors: what they close on, and their coils\n{table}")
}

/// Every check.
fn all_rows(report: &Report) -> Vec<Row> {
    let found = &report.study.sequences;
    let mut rows: Vec<Row> = found.precharges.iter().flat_map(precharge_rows).collect();
    let reached = found.reached.iter();
    rows.extend(reached.map(|one| Row::new(one.load, &one.check, ("precharge path", ""))));
    rows.extend(found.discharges.iter().flat_map(discharge_rows));
    rows.extend(found.joins.iter().flat_map(|one| join_rows(report, one)));
    rows.extend(found.shares.iter().flat_map(|one| share_rows(report, one)));
    rows.extend(contactor_rows(found));
    rows
}

/// What is not known, with its line.
fn open(report: &Report) -> String {
    let mut gaps = Gaps::default();
    for row in all_rows(report) {
        if let Some(unknown) = row.because {
            gaps.add(unknown, &names::name(report.design(), row.thing));
        }
    }
    gaps.block(report)
}

/// One check in JSON.
#[derive(Serialize)]
pub(crate) struct SequenceCheck {
    of: String,
    #[serde(flatten)]
    check: NamedLimit,
    #[serde(skip_serializing_if = "Option::is_none")]
    open_because: Option<String>,
}

/// Everything in JSON, check by check.
pub(crate) fn document(report: &Report) -> Vec<SequenceCheck> {
    let rows = all_rows(report);
    let shown = rows.iter().map(|row| SequenceCheck {
        of: names::thing(report.design(), row.thing),
        check: NamedLimit::new(row.what.to_owned(), &row.judged, row.unit),
        open_because: row.because.map(|unknown| why(report, unknown)),
    });
    shown.collect()
}
