//! The answer for people.

use comfy_table::CellAlignment;
use orangeloom_core::quantity::{Current, Length, Temperature, Time, Voltage};
use orangeloom_core::size::candidate::{Candidate, LimitName};
use orangeloom_core::size::headroom::{Edge, Headroom};
use orangeloom_core::size::question::Question;
use orangeloom_core::verdict::{Judged, Verdict};

use super::{Report, explain, names};
use crate::page::{self, CAUTIONS, align, plain_table, wrap};
use crate::quantity_text::{Kind, ToText, Units, diameter, digits_in, down_in, significant};
use crate::working;

/// The whole answer.
pub(crate) fn render(report: &Report, explained: bool) -> String {
    let mut blocks = vec![question(report), headline(report), candidates(report)];
    if let Some(candidate) = report.subject().or_else(|| report.candidates.last()) {
        blocks.push(limits(candidate, report.question(), report.asked.units));
    }
    blocks.extend(room(report));
    if explained {
        blocks.push(working::render(
            "hottest piece of the route, 4 digits shown",
            &explain::steps(report),
        ));
    }
    blocks.push(defaults(report));
    blocks.push(CAUTIONS.join("\n"));
    page::join(&blocks)
}

fn question(report: &Report) -> String {
    let (question, units) = (report.question(), report.asked.units);
    let mut words = vec![format!("{} continuous", question.current.to_text(units))];
    for peak in &question.peaks {
        words.push(format!(
            "{} for {}",
            peak.current.to_text(units),
            peak.duration.to_text(units)
        ));
    }
    if let Some(voltage) = question.voltage {
        words.push(voltage.to_text(units));
    }
    if let Some(length) = question.length()
        && let Ok(length) = Length::from_metres(length)
    {
        words.push(format!("{} one way", length.to_text(units)));
    }
    let hottest = question
        .route
        .iter()
        .map(|piece| piece.surroundings.air)
        .reduce(|a, b| if b > a { b } else { a });
    if let Some(air) = hottest {
        words.push(format!("air {}", air.to_text(units)));
    }
    words.push(format!(
        "insulation {}",
        question.insulation_limit.to_text(units)
    ));
    format!("Asked: {}", words.join(", "))
}

fn headline(report: &Report) -> String {
    let units = report.asked.units;
    let Some(candidate) = report.subject() else {
        let (largest, why) = report.candidates.last().map_or_else(
            || {
                (
                    String::from("any section"),
                    String::from("the table is empty"),
                )
            },
            |last| {
                (
                    names::designation(last.conductor.designation),
                    binding(last),
                )
            },
        );
        return format!("No section holds. Even {largest} fails: {why}.");
    };
    let name = names::designation(candidate.conductor.designation);
    let build = candidate.cable.build();
    let shield = if build.shield.is_some() {
        "shielded"
    } else {
        "unshielded"
    };
    let cable = format!(
        "{}, {shield}, outer diameter {}",
        build.metal.word(),
        diameter(candidate.cable.outer_diameter(), units)
    );
    let mut lines = Vec::new();
    if report.asked.judge.is_some() {
        lines.push(format!("{name} {}  ({cable})", candidate.verdict.word()));
    } else {
        // With a limit open nothing is said to hold.
        let said = match candidate.verdict {
            Verdict::Open => "Smallest that breaks no limit",
            _ => "Smallest that holds",
        };
        lines.push(format!("{said}: {name}  ({cable})"));
        if let Some(other) = report
            .other_choice
            .and_then(|index| report.candidates.get(index))
        {
            lines.push(format!(
                "In the other series:  {}  (true area {} mm2)",
                names::designation(other.conductor.designation),
                significant(f64::from(other.conductor.section.as_mm2()), 4)
            ));
        } else {
            lines.push("In the other series:  no section holds".into());
        }
    }
    lines.push(format!("Binding: {}", binding(candidate)));
    let alternating = report.question().frequency.as_hertz() > 0.0;
    for limit in candidate
        .limits
        .iter()
        .filter(|limit| limit.verdict == Verdict::Open)
    {
        lines.push(format!("Open: {}", how_to_close(limit.name, alternating)));
    }
    lines.extend(hottest_piece(report, candidate));
    if let Some(time) = shortest_time_constant(report, candidate) {
        lines.push(format!(
            "Time constant: {}; the continuous current is the r.m.s. over the worst window of \
             that length",
            time.to_text(units)
        ));
    }
    lines.extend(
        notes(report)
            .into_iter()
            .map(|note| format!("Note: {note}")),
    );
    lines.join("\n")
}

/// Which piece of the route decides, where there are several.
fn hottest_piece(report: &Report, candidate: &Candidate) -> Option<String> {
    let units = report.asked.units;
    if candidate.pieces.len() < 2 {
        return None;
    }
    let of = |index: usize| {
        let piece = candidate.pieces.get(index)?;
        let written = &report.asked.entered.get(index)?.written;
        let hot = piece.steady_with_margin.conductor();
        let hot = hot.map_or_else(|| "no steady state".into(), |hot| hot.to_text(units));
        Some(format!("\"{written}\" ({hot} with margin)"))
    };
    let others: Vec<String> = (0..candidate.pieces.len())
        .filter(|&index| index != candidate.hottest)
        .filter_map(of)
        .collect();
    Some(format!(
        "Hottest piece: {}; the others: {}",
        of(candidate.hottest)?,
        others.join(", ")
    ))
}

/// The shortest of all pieces: an r.m.s. over a longer window hides a hill from it.
fn shortest_time_constant(report: &Report, candidate: &Candidate) -> Option<Time> {
    candidate
        .time_constants(report.question().current)
        .ok()?
        .into_iter()
        .reduce(|a, b| if b < a { b } else { a })
}

/// What the answer leaves out, or what looks like a slip.
fn notes(report: &Report) -> Vec<String> {
    /// The adiabatic limit is meant for shorter faults.
    const LONGEST_FAULT_S: f32 = 5.0;
    let question = report.question();
    let mut notes = Vec::new();
    if question.terminal_limit.is_some() && question.joint.is_none() {
        notes.push(
            "the terminal is judged by the cable alone; a joint adds heat, state --joint-resistance"
                .into(),
        );
    }
    if question.joint.is_some() && question.terminal_limit.is_none() {
        notes.push("the joint's heat is not judged; state --terminal-temperature".into());
    }
    if let Some(ripple) = question.ripple {
        notes.push(format!(
            "a ripple of {} heats the shield, bonded at both ends; its heat is in every \
             temperature",
            ripple.current.to_text(report.asked.units)
        ));
    }
    if question.frequency.as_hertz() > 0.0 {
        notes.push(
            "phase leads: the field of the neighbours (proximity) and the leads' reactance are not \
             counted"
                .into(),
        );
        if report.asked.is_default("shield_loss") && report.asked.is_default("shield_loss_ratio") {
            notes.push(
                "phase leads: currents induced in the shields are not counted; state \
                 --shield-loss-ratio"
                    .into(),
            );
        }
    }
    if report
        .asked
        .fault
        .is_some_and(|(_, seconds)| seconds > LONGEST_FAULT_S)
    {
        notes.push("a short circuit of more than 5 s: no heat is let out, which is safe".into());
    }
    if question
        .peaks
        .iter()
        .any(|peak| peak.current <= question.current)
    {
        notes.push("a peak is not above the continuous current".into());
    }
    notes
}

/// What to state so that an open limit can be judged.
fn how_to_close(name: LimitName, alternating: bool) -> String {
    match name {
        LimitName::VoltageDrop if alternating => {
            "voltage drop, not judged: reactance is not counted for phase leads".into()
        }
        LimitName::VoltageDrop => {
            "voltage drop, not judged; state --voltage and --length (or lengths in --route)".into()
        }
        LimitName::ShortCircuit => {
            "short circuit, not judged; state --let-through (total I2t of the fuse at this \
             voltage) or --fault"
                .into()
        }
        other => names::limit_words(other),
    }
}

fn binding(candidate: &Candidate) -> String {
    match candidate.binding {
        Some((name, used)) if used.is_finite() => {
            format!(
                "{}, {} % used",
                names::limit_words(name),
                significant(f64::from(used * 100.0), 3)
            )
        }
        Some((name, _)) => format!("{}, beyond any limit", names::limit_words(name)),
        None => "nothing was judged".into(),
    }
}

const CHOICE_LEGEND: &str = "> the choice   - the choice of the other series\n";
const LEGEND: &str = "\
R20: resistance at 20 degC. steady: conductor without margin. +margin, peak: with margin.
drop: over the loop, at the continuous current or the peak that drops most. loss: of one
conductor. withstand: I2t of a short circuit. outer: diameter. bend: smallest radius, 4 x
outer (common practice; the datasheet comes first). binding: uses the largest share of what
is allowed above the air.";

/// Units of the columns of the candidates.
struct Columns {
    resistance: &'static str,
    temperature: &'static str,
    loss: &'static str,
    diameter: &'static str,
    mass: &'static str,
}

const METRIC: Columns = Columns {
    resistance: "ohm/km",
    temperature: "degC",
    loss: "W/m",
    diameter: "mm",
    mass: "kg/m",
};
const US: Columns = Columns {
    resistance: "ohm/kft",
    temperature: "degF",
    loss: "W/ft",
    diameter: "in",
    mass: "lb/ft",
};

fn candidates(report: &Report) -> String {
    let columns = match report.asked.units {
        Units::Metric => &METRIC,
        Units::Us => &US,
    };
    let mut table = plain_table();
    let mut header = vec![
        String::new(),
        "section".to_owned(),
        format!("R20\n{}", columns.resistance),
        format!("steady\n{}", columns.temperature),
        format!("+margin\n{}", columns.temperature),
    ];
    for (number, _) in (1..).zip(&report.question().peaks) {
        header.push(format!("peak {number}\n{}", columns.temperature));
    }
    header.extend([
        "drop\n%".to_owned(),
        format!("loss\n{}", columns.loss),
        "withstand\nA2s".to_owned(),
        format!("outer\n{}", columns.diameter),
        format!("mass\n{}", columns.mass),
        format!("bend\n{}", columns.diameter),
        "verdict".to_owned(),
        "binding".to_owned(),
    ]);
    table.set_header(header);
    for (index, candidate) in report.candidates.iter().enumerate() {
        let mark = if Some(index) == report.choice && report.holds() {
            ">"
        } else if Some(index) == report.other_choice {
            "-"
        } else {
            ""
        };
        table.add_row(candidate_row(mark, candidate, columns));
    }
    align(&mut table, 2);
    for column in table.column_iter_mut().rev().take(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    let legend = if report.asked.judge.is_some() {
        ""
    } else {
        CHOICE_LEGEND
    };
    format!("{}\n{legend}{LEGEND}", page::table(&mut table))
}

fn candidate_row(mark: &str, candidate: &Candidate, columns: &Columns) -> Vec<String> {
    let hottest = candidate.hottest_piece();
    let degrees = |value: Option<Temperature>| {
        value.map_or_else(
            || "none".into(),
            |value| digits_in(Kind::Temperature, columns.temperature, value.into(), 4),
        )
    };
    let millimetres = |length: Length| digits_in(Kind::Length, columns.diameter, length.into(), 3);
    let mut row = vec![
        mark.to_owned(),
        names::designation(candidate.conductor.designation),
        digits_in(
            Kind::LinearResistance,
            columns.resistance,
            candidate.conductor.resistance_20.into(),
            4,
        ),
        degrees(hottest.and_then(|piece| piece.steady.conductor())),
        degrees(hottest.and_then(|piece| piece.steady_with_margin.conductor())),
    ];
    row.extend(
        candidate
            .peaks
            .iter()
            .map(|peak| degrees(peak.temperature_with_margin)),
    );
    let drop = candidate
        .limits
        .iter()
        .find(|limit| limit.name == LimitName::VoltageDrop)
        .and_then(|limit| limit.value);
    let dash = || "-".to_owned();
    row.extend([
        drop.map_or_else(dash, |drop| significant(f64::from(drop), 3)),
        candidate.loss.map_or_else(dash, |loss| {
            digits_in(Kind::LinearPower, columns.loss, loss.into(), 3)
        }),
        format!("{:.2e}", candidate.withstand.own_resistance.as_a2s()),
        millimetres(candidate.cable.outer_diameter()),
        digits_in(
            Kind::LinearMass,
            columns.mass,
            candidate.cable.linear_mass().into(),
            3,
        ),
        millimetres(candidate.bend_radius),
        candidate.verdict.word().to_owned(),
        candidate
            .binding
            .map_or_else(String::new, |(name, _)| names::limit_words(name)),
    ]);
    row
}

fn limits(candidate: &Candidate, question: &Question, units: Units) -> String {
    let mut table = plain_table();
    table.set_header(["limit", "value", "allowed", "margin", "verdict", "source"]);
    for limit in &candidate.limits {
        table.add_row(limit_row(limit, units));
    }
    align(&mut table, 1);
    for column in table.column_iter_mut().rev().take(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    let mut told = format!(
        "Limits of {}\n{}",
        names::designation(candidate.conductor.designation),
        page::table(&mut table)
    );
    if let Some(drops) = drops(candidate, question) {
        told = format!("{told}\n{}", wrap("", &drops));
    }
    told
}

/// The drop at the continuous current and at each peak, where both are judged.
fn drops(candidate: &Candidate, question: &Question) -> Option<String> {
    let judged = candidate
        .limits
        .iter()
        .find(|limit| limit.name == LimitName::VoltageDrop);
    judged?.value?;
    let volts = question.voltage?.as_volts();
    let share = |drop: Voltage| {
        let percent = drop.as_volts() / volts * 100.0;
        format!("{} %", significant(f64::from(percent), 3))
    };
    let continuous = share(candidate.voltage_drop?);
    let units = Units::Metric;
    let peaks = (1..).zip(&candidate.peaks).filter_map(|(number, peak)| {
        let drop = share(peak.voltage_drop?);
        let current = peak.peak.current.to_text(units);
        Some(format!("{drop} at the end of peak {number}, {current}"))
    });
    let peaks: Vec<String> = peaks.collect();
    (!peaks.is_empty()).then(|| {
        format!(
            "Drop over the loop: {} at {} continuous; {}",
            continuous,
            question.current.to_text(units),
            peaks.join("; ")
        )
    })
}

fn limit_row(limit: &Judged<LimitName>, units: Units) -> [String; 6] {
    let unit = names::limit_unit(limit.name);
    let show = |value: Option<f32>| match value {
        None => "-".into(),
        Some(value) if unit == "degC" => Temperature::from_degc(value)
            .map_or_else(|_| "-".into(), |temperature| temperature.to_text(units)),
        Some(value) => format!("{} {unit}", working::n(value)),
    };
    let (margin, margin_unit) = match (unit, units) {
        ("degC", Units::Metric) => (limit.margin(), "K"),
        // Differences in the scale of the rest of the row.
        ("degC", Units::Us) => (limit.margin().map(|kelvin| kelvin * 1.8), "degF"),
        _ => (limit.margin(), unit),
    };
    [
        names::limit_words(limit.name),
        show(limit.value),
        show(limit.limit),
        margin.map_or_else(
            || "-".into(),
            |margin| format!("{} {margin_unit}", working::n_down(margin)),
        ),
        limit.verdict.word().to_owned(),
        working::cite(limit.source),
    ]
}

fn room(report: &Report) -> Option<String> {
    let units = report.asked.units;
    let mut lines = Vec::new();
    if let (Some(candidate), Some(room)) = (report.subject(), &report.room) {
        let name = names::designation(candidate.conductor.designation);
        lines.push(format!("{name} holds up to:  {}", edges(room, units)));
    }
    if let Some((index, room)) = &report.smaller
        && let Some(candidate) = report.candidates.get(*index)
    {
        let name = names::designation(candidate.conductor.designation);
        lines.push(format!(
            "One size smaller, {name}, would hold up to:  {}",
            edges(room, units)
        ));
    }
    (!lines.is_empty())
        .then(|| format!("Headroom (one input moved at a time)\n{}", lines.join("\n")))
}

fn edges(room: &Headroom, units: Units) -> String {
    let (temperature, length) = match units {
        Units::Metric => ("degC", "m"),
        Units::Us => ("degF", "ft"),
    };
    [
        edge("continuous current", room.current, |current: Current| {
            down_in(Kind::Current, "A", current.into())
        }),
        edge("air", room.air, |air: Temperature| {
            down_in(Kind::Temperature, temperature, air.into())
        }),
        edge("length", room.length, |metres: Length| {
            down_in(Kind::Length, length, metres.into())
        }),
    ]
    .into_iter()
    .flatten()
    .collect::<Vec<_>>()
    .join("; ")
}

fn edge<T>(what: &str, edge: Edge<T>, show: impl Fn(T) -> String) -> Option<String> {
    match edge {
        Edge::UpTo(value) => Some(format!("{what} {}", show(value))),
        Edge::Always => Some(format!("{what} any")),
        Edge::Never => Some(format!("{what} no help")),
        Edge::NotAsked => None,
    }
}

fn defaults(report: &Report) -> String {
    let question = report.question();
    let units = report.asked.units;
    let mut taken = Vec::new();
    let mut note = |input: &str, words: String| {
        if report.asked.is_default(input) {
            taken.push(words);
        }
    };
    let pieces = question.route.iter().enumerate();
    let of_default = |(index, _): &(usize, _)| report.asked.air_is_default(*index);
    let mut unstated = pieces.filter(of_default).map(|(_, piece)| piece);
    if let Some(piece) = unstated.next() {
        let all = question.route.len() == unstated.count() + 1;
        let which = if all {
            ""
        } else {
            " for each piece of --route that states none"
        };
        let air = piece.surroundings.air.to_text(units);
        note("ambient", format!("air {air}{which} (--ambient)"));
    }
    note(
        "insulation_temperature",
        format!(
            "insulation class {} (--insulation-temperature)",
            question.insulation_limit.to_text(units)
        ),
    );
    note(
        "route",
        "alone in free air (--route; a pair side by side carries less)".into(),
    );
    note("altitude", "sea level (--altitude)".into());
    note("material", "copper (--material)".into());
    note("shield", "shielded (--shield)".into());
    note(
        "ripple_frequency",
        "all of the ripple flows in the shield (--ripple-frequency)".into(),
    );
    note(
        "axis_distance",
        "outgoing and return conductor far apart (--axis-distance)".into(),
    );
    note(
        "drop",
        format!("drop {} (--drop)", question.allowed_drop.to_text(units)),
    );
    note(
        "margin",
        format!(
            "margin on current {} (--margin)",
            question.margin.to_text(units)
        ),
    );
    note(
        "short_circuit_temperature",
        format!(
            "short circuit up to {} (--short-circuit-temperature)",
            question.short_circuit_limit.to_text(units)
        ),
    );
    if question.dimensions.is_generic() {
        taken.push("a generic cable build, invented: enter the datasheet's walls".into());
    }
    page::taken_as_default(&taken)
}
