//! The study for people.

use comfy_table::{CellAlignment, Table};
use orangeloom_core::design::{Conductor, ConductorId, Load, Phase, PhaseId, System};
use orangeloom_core::quantity::{Current, Mass, Temperature, Time, Voltage};
use orangeloom_core::study::{ConductorStudy, Known, Solved, StringStudy};
use orangeloom_core::verdict::{Judged, Verdict};

use super::insulation::InsulationReport;
use super::open::{Gaps, why};
use super::{Asked, FaultReport, Report, chassis, faults, fuse_working, names, sequences};
use crate::page::{self, Sources, align, cautions, plain_table, wrap};
use crate::quantity_text::{Kind, ToText, Units, digits_in, significant};

/// The whole answer.
pub(crate) fn render(report: &Report) -> String {
    let gaps = Gaps::of(report);
    page::join(&[
        headline(report),
        failures(report),
        phases(report),
        conductors(report, System::Traction, "Conductors, least margin first"),
        pack(report),
        loads(report),
        low_voltage(report),
        conductors(
            report,
            System::LowVoltage,
            "Low-voltage conductors, least margin first",
        ),
        masses(report),
        gaps.block(report),
        page::taken_as_default(&taken()),
        cautions(),
    ])
}

/// The faults with what fuses and contactors do, the insulation.
pub(crate) fn render_parts(
    report: &Report,
    solved: Option<&FaultReport>,
    insulation: Option<&InsulationReport>,
    step_by_step: bool,
) -> String {
    let mut sources = Sources::new();
    let mut blocks = vec![headline(report)];
    if let Some(solved) = solved {
        blocks.push(faults::table(report, solved));
        blocks.extend(faults::fuses(report, solved, &mut sources));
        blocks.extend(faults::other_fuses(report, solved));
        blocks.extend(faults::contactors(report, solved, &mut sources));
        let title = "Bond straps, over all currents of faults through chassis";
        blocks.push(chassis::block(report, title, "box", &solved.straps));
        let title = "Shields, over all currents of faults to them";
        blocks.push(chassis::block(report, title, "circuit", &solved.shields));
    }
    if let Some(insulation) = insulation {
        blocks.extend(insulation.blocks(report, &mut sources));
    }
    if step_by_step {
        blocks.extend(sequences::blocks(report, &mut sources));
    }
    blocks.push(sources.list());
    blocks.push(cautions());
    page::join(&blocks)
}

/// One fuse or contactor.
pub(crate) fn protection_of(report: &Report, solved: &FaultReport, asked: Asked) -> String {
    let mut sources = Sources::new();
    let block = match asked {
        Asked::Fuse(_) => faults::fuses(report, solved, &mut sources),
        Asked::Contactor(_) => faults::contactors(report, solved, &mut sources),
        Asked::Conductor(_) => Vec::new(),
    };
    let block = page::join(&block);
    let working = match asked {
        Asked::Fuse(id) => fuse_working::render(report, solved, id),
        _ => String::new(),
    };
    page::join(&[block, working, sources.list(), cautions()])
}

/// Name, revision, and how many of what was judged hold.
fn headline(report: &Report) -> String {
    let design = report.design();
    let vehicle = &design.vehicle;
    let name = vehicle.name.and_then(|id| design.text(id));
    let name = name.unwrap_or("the vehicle");
    let revision = vehicle.revision.and_then(|id| design.text(id));
    let revision = revision.map_or_else(String::new, |text| format!(", revision {text}"));
    let [mut fails, mut open, mut holds] = [0_usize; 3];
    for verdict in verdicts(report) {
        match verdict {
            Verdict::Fails => fails += 1,
            Verdict::Open => open += 1,
            Verdict::Holds => holds += 1,
            Verdict::NotApplicable => {}
        }
    }
    let phases = phases_apart(report);
    let parts = report.parts.iter();
    let parts = parts.map(|(name, verdict)| format!(" {name}: {}.", verdict.word()));
    wrap(
        "",
        &format!(
            "{name}{revision}: {}. Of {} limits, {fails} failing, {open} open, {holds} kept.{phases}{}",
            report.verdict().word(),
            fails + open + holds,
            parts.collect::<String>()
        ),
    )
}

/// The phases that no limit is judged in: they have no operating point, or one that rests on a
/// guess. Empty where every phase has one.
fn phases_apart(report: &Report) -> String {
    let all: Vec<PhaseId> = report.design().all::<Phase>().map(|(id, _)| id).collect();
    let count = |judged: Verdict| {
        let phases = all.iter().filter(|id| {
            let systems = [System::Traction, System::LowVoltage];
            let verdicts = systems.map(|system| report.study.points.solved(**id, system).verdict());
            verdicts[0].worse(verdicts[1]) == judged
        });
        phases.count()
    };
    let mut told = String::new();
    for (count, words) in [
        (
            count(Verdict::Fails),
            "without an operating point, which fails",
        ),
        (
            count(Verdict::Open),
            "whose operating point rests on a guess, which is open",
        ),
    ] {
        if count > 0 {
            told = format!("{told} Of {} phases, {count} {words}.", all.len());
        }
    }
    told
}

/// The verdict of every limit.
fn verdicts(report: &Report) -> impl Iterator<Item = Verdict> {
    let study = &report.study;
    let conductors = study.conductors.iter().flat_map(|studied| match studied {
        Ok(studied) => studied.limits.map(|judged| judged.verdict).to_vec(),
        Err(_) => vec![Verdict::Open],
    });
    let strings = study.strings.iter().flat_map(|string| &string.limits);
    let loads = study.loads.iter().flat_map(|load| &load.limits);
    let converters = study.converters.iter();
    conductors
        .chain(strings.map(|judged| judged.verdict))
        .chain(loads.map(|judged| judged.verdict))
        .chain(converters.map(|converter| converter.output.verdict))
}

/// Everything that fails, one a line.
fn failures(report: &Report) -> String {
    let (design, study, units) = (report.design(), &report.study, report.units);
    let mut lines = Vec::new();
    for (phase, _) in design.all::<Phase>() {
        for system in [System::Traction, System::LowVoltage] {
            let phase_name = names::name(design, phase);
            match study.points.solved(phase, system) {
                Solved::Refused { thing, why } => {
                    let thing = thing.map_or_else(
                        || "the network".to_owned(),
                        |thing| names::thing(design, thing),
                    );
                    lines.push(format!(
                        "phase \"{phase_name}\": {thing} {}",
                        refusal(why, units)
                    ));
                }
                Solved::Reversed { load, voltage } => lines.push(format!(
                    "phase \"{phase_name}\": {} sees {}, the wrong polarity: check which of its \
                     terminals is joined to which pole",
                    names::thing(design, load.into()),
                    voltage.to_text(units)
                )),
                Solved::Unbuildable(error) => {
                    lines.push(format!("phase \"{phase_name}\": {error}"));
                }
                _ => {}
            }
        }
    }
    for (id, _) in design.all::<Conductor>() {
        let Ok(studied) = study.conductor(id) else {
            continue;
        };
        for judged in failing(&studied.limits) {
            let limit = names::limit(design, id, judged.name);
            let value = match judged.value {
                Some(value) => degrees(value, units),
                None => "nothing settles".to_owned(),
            };
            let limit_is = judged.limit.map_or_else(String::new, |limit| {
                format!(" against {}", degrees(limit, units))
            });
            lines.push(format!(
                "conductor {}: {value} {limit}{limit_is}{}",
                names::circuit(design, id),
                place(report, &studied)
            ));
        }
    }
    for (number, string) in (1..).zip(&study.strings) {
        for judged in failing(&string.limits) {
            use orangeloom_core::study::StringLimit;
            let direction = match judged.name {
                StringLimit::ChargeCurrent => "is charged with",
                _ => "delivers",
            };
            lines.push(format!(
                "string {number} {direction} {}, its cells allow {}",
                amperes(judged.value),
                amperes(judged.limit)
            ));
        }
    }
    for load in &study.loads {
        for judged in failing(&load.limits) {
            use orangeloom_core::study::LoadLimit;
            let words = match judged.name {
                LoadLimit::LowestVoltage => "is left with",
                _ => "has to stand",
            };
            lines.push(format!(
                "{} {words} {}, its limit is {}",
                names::thing(design, load.load.into()),
                volts(judged.value),
                volts(judged.limit)
            ));
        }
    }
    for converter in &study.converters {
        if converter.output.verdict == Verdict::Fails {
            lines.push(format!(
                "{} has to deliver {}, it is rated for {}",
                names::thing(design, converter.converter.into()),
                amperes(converter.output.value),
                amperes(converter.output.limit)
            ));
        }
    }
    if lines.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = lines.iter().map(|line| wrap("  - ", line)).collect();
    format!("Fails\n{}", lines.join("\n"))
}

fn failing<N: Copy>(limits: &[Judged<N>]) -> impl Iterator<Item = &Judged<N>> {
    limits
        .iter()
        .filter(|judged| judged.verdict == Verdict::Fails)
}

/// Where and when a conductor is hottest.
fn place(report: &Report, studied: &ConductorStudy) -> String {
    let design = report.design();
    studied.warmest.map_or_else(
        |_| String::new(),
        |warmest| {
            format!(
                ", in zone {} during {}",
                names::zone(design, warmest.piece),
                names::operation(design, warmest.operation)
            )
        },
    )
}

fn refusal(why: orangeloom_core::network::Refusal, units: Units) -> String {
    use orangeloom_core::network::Refusal;
    match why {
        Refusal::CannotBeFed(shortfall) => format!(
            "{}: it wants {}, the most it can get is {} ({} through {})",
            why.words(),
            shortfall.power.to_text(units),
            shortfall.most.to_text(units),
            shortfall.open_circuit.to_text(units),
            shortfall.resistance.to_text(units)
        ),
        other => other.words().to_owned(),
    }
}

/// A temperature of a limit.
pub(super) fn degrees(degc: f32, units: Units) -> String {
    Temperature::from_degc(degc).map_or_else(|_| "-".into(), |t| t.to_text(units))
}

fn amperes(value: Option<f32>) -> String {
    value
        .and_then(|value| Current::from_amperes(value).ok())
        .map_or_else(|| "-".into(), |current| current.to_text(Units::Metric))
}

fn volts(value: Option<f32>) -> String {
    value
        .and_then(|value| Voltage::from_volts(value).ok())
        .map_or_else(|| "-".into(), |voltage| voltage.to_text(Units::Metric))
}

/// Every phase: how long, what the battery delivers, at which voltage.
fn phases(report: &Report) -> String {
    let (design, study) = (report.design(), &report.study);
    let mut table = plain_table();
    let mut header = vec!["phase".to_owned(), "lasts".to_owned(), "in duty".to_owned()];
    for (number, _) in (1..).zip(&study.strings) {
        header.push(format!("string {number}\nA"));
        header.push("V\nempty to full".to_owned());
    }
    header.push("state".to_owned());
    table.set_header(header);
    for (id, phase) in design.all::<Phase>() {
        let lasts = phase
            .duration
            .map_or_else(|| "?".into(), |time: Time| time.to_text(report.units));
        let duties: Vec<String> = design
            .all::<orangeloom_core::design::Duty>()
            .filter(|(_, duty)| duty.phases.contains(&id))
            .map(|(duty, _)| names::name(design, duty))
            .collect();
        let duties = if duties.is_empty() {
            "none: lasting".to_owned()
        } else {
            duties.join(", ")
        };
        let mut row = vec![names::name(design, id), lasts, duties];
        for (index, string) in study.strings.iter().enumerate() {
            let current = string
                .string
                .batteries
                .iter()
                .next()
                .and_then(|battery| study.points.current(id, battery));
            row.push(current.map_or_else(|| "?".into(), |a| digits(a.as_amperes(), 4)));
            let span = study.points.string(id, index);
            row.push(span.map_or_else(
                || "?".into(),
                |span| {
                    format!(
                        "{} to {}",
                        digits(span.lowest.as_volts(), 4),
                        digits(span.highest.as_volts(), 4)
                    )
                },
            ));
        }
        row.push(state(report, id));
        table.add_row(row);
    }
    if design.all::<Phase>().next().is_none() {
        return String::new();
    }
    align(&mut table, 1);
    if let Some(column) = table.column_mut(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    left_last(&mut table, 1);
    format!(
        "Phases\n{}\n{}",
        page::table(&mut table),
        wrap(
            "",
            "A string that delivers counts positive, one that is charged negative. Each current \
             is the larger of empty and full cells."
        )
    )
}

fn state(report: &Report, phase: PhaseId) -> String {
    let mut words = Vec::new();
    for (system, name) in [
        (System::Traction, "high voltage"),
        (System::LowVoltage, "low voltage"),
    ] {
        match report.study.points.solved(phase, system) {
            Solved::Settled {
                guessed: None,
                unfed,
                ..
            } => {
                if unfed.iter().next().is_some() {
                    let loads: Vec<String> = unfed
                        .iter()
                        .map(|load| names::name(report.design(), load))
                        .collect();
                    words.push(format!("not fed: {}", loads.join(", ")));
                }
            }
            Solved::Settled { .. } => words.push(format!("{name} open")),
            Solved::NotAsked => {}
            _ => words.push(format!("{name}: no operating point")),
        }
    }
    if words.is_empty() {
        "solved".to_owned()
    } else {
        words.join("; ")
    }
}

/// Left-aligns the last columns, which hold words.
fn left_last(table: &mut Table, count: usize) {
    for column in table.column_iter_mut().rev().take(count) {
        column.set_cell_alignment(CellAlignment::Left);
    }
}

/// The conductors of one system, worst first.
fn conductors(report: &Report, system: System, title: &str) -> String {
    let (design, units) = (report.design(), report.units);
    let systems = design.systems();
    let mut rows: Vec<(ConductorId, Known<ConductorStudy>)> = design
        .all::<Conductor>()
        .filter(|(_, conductor)| systems.of(conductor.from) == Some(system))
        .map(|(id, _)| (id, report.study.conductor(id)))
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    rows.sort_by(|(_, one), (_, other)| order(one).total_cmp(&order(other)));
    let (degree, difference, length, mass) = match units {
        Units::Metric => ("degC", "K", "m", "kg"),
        Units::Us => ("degF", "degF", "ft", "lb"),
    };
    let mut table = plain_table();
    table.set_header([
        "id".to_owned(),
        "most\nA".to_owned(),
        "in phase".to_owned(),
        "r.m.s.\nA".to_owned(),
        format!("steady\n{degree}"),
        format!("peak\n{degree}"),
        format!("class\n{degree}"),
        format!("margin\n{difference}"),
        "drop\nV".to_owned(),
        "loss\nW".to_owned(),
        format!("length\n{length}"),
        format!("mass\n{mass}"),
        "verdict".to_owned(),
    ]);
    let rows = rows
        .iter()
        .map(|(id, studied)| row(report, *id, studied, [degree, length, mass]))
        .collect();
    for row in pairs(rows) {
        table.add_row(row);
    }
    align(&mut table, 1);
    if let Some(column) = table.column_mut(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    left_last(&mut table, 1);
    format!(
        "{title}\n{}\n{}",
        page::table(&mut table),
        wrap(
            "",
            "steady: what the worst r.m.s. over a thermal time constant leads to. peak: hottest \
             moment of the repeating duty. margin: to the temperature class or the terminal, \
             whichever is nearer. drop: of this conductor at its most current. Working: \
             --conductor ID."
        )
    )
}

/// Two conductors of a circuit that differ in nothing but their sign share a row.
pub(super) fn pairs(rows: Vec<Vec<String>>) -> Vec<Vec<String>> {
    let mut shown: Vec<Vec<String>> = Vec::new();
    for row in rows {
        let twin = shown.last_mut().filter(|last| {
            let circuit = |row: &[String]| {
                let id = row.first()?;
                id.strip_suffix(['+', '-']).map(String::from)
            };
            circuit(last).is_some() && circuit(last) == circuit(&row) && last[1..] == row[1..]
        });
        match (twin, row.first()) {
            (Some(twin), Some(id)) => twin[0] = format!("{} {id}", twin[0]),
            _ => shown.push(row),
        }
    }
    shown
}

/// Failing first, then by margin, what is open last.
fn order(studied: &Known<ConductorStudy>) -> f32 {
    match studied {
        Err(_) => f32::MAX,
        Ok(studied) => match (studied.verdict(), studied.margin()) {
            (Verdict::Fails, None) => f32::MIN,
            (_, Some(margin)) => margin.as_kelvin(),
            (_, None) => f32::MAX,
        },
    }
}

fn row(
    report: &Report,
    id: ConductorId,
    studied: &Known<ConductorStudy>,
    [degree, length, mass]: [&str; 3],
) -> Vec<String> {
    let design = report.design();
    let unknown = || "?".to_owned();
    let Ok(studied) = studied else {
        let mut row = vec![names::circuit(design, id)];
        row.resize_with(12, unknown);
        row.push(Verdict::Open.word().to_owned());
        return row;
    };
    let temperature = |value: Option<Temperature>| {
        value.map_or_else(
            || "none".to_owned(),
            |value| digits_in(Kind::Temperature, degree, value.into(), 4),
        )
    };
    let warmest = studied.warmest.ok();
    let peak = warmest.map(|warmest| match warmest.warmth.duty {
        orangeloom_core::study::Repeating::Periodic { peak, .. } => Some(peak),
        orangeloom_core::study::Repeating::RunsAway => None,
    });
    let class = studied.limits.first().and_then(|judged| judged.limit);
    vec![
        names::circuit(design, id),
        studied
            .largest
            .map_or_else(|_| unknown(), |(_, a)| digits(a.as_amperes().abs(), 4)),
        studied
            .largest
            .map_or_else(|_| unknown(), |(phase, _)| names::name(design, phase)),
        warmest.map_or_else(unknown, |warmest| {
            digits(warmest.warmth.rms.as_amperes(), 4)
        }),
        warmest.map_or_else(unknown, |warmest| {
            temperature(warmest.warmth.steady.conductor())
        }),
        peak.map_or_else(unknown, temperature),
        class.map_or_else(unknown, |class| {
            temperature(Temperature::from_degc(class).ok())
        }),
        match (studied.verdict(), studied.margin()) {
            (_, Some(margin)) => margin_digits(margin.as_kelvin(), report.units),
            (Verdict::Fails, None) => "none".to_owned(),
            (_, None) => unknown(),
        },
        studied
            .drop
            .map_or_else(|_| unknown(), |drop| digits(drop.as_volts(), 3)),
        studied
            .loss
            .map_or_else(|_| unknown(), |loss| digits(loss.as_watts(), 3)),
        studied.length.map_or_else(
            |_| unknown(),
            |metres| digits_in(Kind::Length, length, metres.into(), 3),
        ),
        studied.mass.map_or_else(
            |_| unknown(),
            |kg| digits_in(Kind::Mass, mass, kg.into(), 3),
        ),
        studied.verdict().word().to_owned(),
    ]
}

/// A margin in the scale of the other temperatures, never shown larger than it is
/// but for the last digits of `f32`.
pub(super) fn margin_digits(kelvin: f32, units: Units) -> String {
    const LAST_DIGITS: f64 = 1.0e-3;
    let difference = match units {
        Units::Metric => f64::from(kelvin),
        Units::Us => f64::from(kelvin) * 1.8,
    };
    format!("{:.1}", (difference * 10.0 + LAST_DIGITS).floor() / 10.0)
}

fn digits(value: f32, count: usize) -> String {
    significant(f64::from(value), count)
}

/// The traction battery, string by string.
fn pack(report: &Report) -> String {
    let (study, units) = (&report.study, report.units);
    if study.strings.is_empty() {
        return String::new();
    }
    let mut lines = vec!["Traction battery".to_owned()];
    for (number, string) in (1..).zip(&study.strings) {
        lines.push(wrap("  ", &string_line(report, number, string)));
    }
    let pack = &study.pack;
    let told = |what: &str, text: String| wrap("  ", &format!("{what} {text}"));
    let unless = match report.design().vehicle.charge_tolerance {
        Some(_) => "",
        None => " (charging tolerance 1 % unless stated)",
    };
    lines.push(told(
        "Highest voltage that parts have to stand:",
        format!("{}{unless}", shown(report, &pack.highest_voltage)),
    ));
    if let Some((phase, braked)) = pack.braked {
        lines.push(told(
            "Braking into the full battery, which ratings have to stand:",
            format!(
                "{} in phase {}",
                braked.to_text(units),
                names::name(report.design(), phase)
            ),
        ));
    }
    lines.push(told(
        "Lowest under load:",
        match pack.lowest_voltage {
            Ok((phase, voltage)) => format!(
                "{} in phase {}",
                voltage.to_text(units),
                names::name(report.design(), phase)
            ),
            Err(unknown) => format!("not known ({})", why(report, unknown)),
        },
    ));
    lines.push(told(
        "Energy from full to empty:",
        shown(report, &pack.energy),
    ));
    lines.join("\n")
}

fn string_line(report: &Report, number: usize, string: &StringStudy) -> String {
    let units = report.units;
    let [empty, nominal, full] = string.voltages.map(|voltage| shown(report, &voltage));
    let [least, most] = string.resistances.map(|ohms| shown(report, &ohms));
    let current = |known: Known<(PhaseId, Current)>| match known {
        Ok((phase, current)) if current.as_amperes() > 0.0 => format!(
            "{} in phase {}",
            current.to_text(units),
            names::name(report.design(), phase)
        ),
        Ok(_) => "none".to_owned(),
        Err(_) => "not known".to_owned(),
    };
    let allowed = |index: usize| {
        let judged = string.limits.get(index);
        let limit = judged.and_then(|judged| judged.limit);
        limit.map_or_else(
            || "limit of the cells not stated".to_owned(),
            |_| format!("cells allow {}", amperes(limit)),
        )
    };
    format!(
        "string {number}: {empty} empty, {nominal} nominal, {full} full; {least} to {most}; {}; \
         sag {}; most discharge {} ({}), most charge {} ({})",
        shown(report, &string.capacity),
        shown(report, &string.sag),
        current(string.discharge),
        allowed(0),
        current(string.charge),
        allowed(1)
    )
}

fn shown<T: ToText + Copy>(report: &Report, known: &Known<T>) -> String {
    match known {
        Ok(value) => value.to_text(report.units),
        Err(_) => "not known".to_owned(),
    }
}

/// The high-voltage loads and their windows.
fn loads(report: &Report) -> String {
    let design = report.design();
    if report.study.loads.is_empty() {
        return String::new();
    }
    let mut table = plain_table();
    table.set_header([
        "load",
        "lowest\nV",
        "in phase",
        "works from\nV",
        "highest\nV",
        "stands\nV",
        "verdict",
    ]);
    for studied in &report.study.loads {
        let [low, high] = &studied.limits;
        let shown =
            |value: Option<f32>| value.map_or_else(|| "?".to_owned(), |value| digits(value, 4));
        let phase = studied
            .lowest
            .map_or_else(|_| "-".to_owned(), |(phase, _)| names::name(design, phase));
        table.add_row([
            names::name(design, studied.load),
            shown(low.value),
            phase,
            shown(low.limit),
            shown(high.value),
            shown(high.limit),
            low.verdict.worse(high.verdict).word().to_owned(),
        ]);
    }
    align(&mut table, 1);
    if let Some(column) = table.column_mut(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
    left_last(&mut table, 1);
    format!(
        "Loads of the high-voltage side\n{}",
        page::table(&mut table)
    )
}

/// What the low-voltage side draws, phase by phase, against what feeds it.
fn low_voltage(report: &Report) -> String {
    let (design, study, units) = (report.design(), &report.study, report.units);
    let systems = design.systems();
    let consumers: Vec<_> = design
        .all::<Load>()
        .filter(|(_, load)| systems.of(load.positive) == Some(System::LowVoltage))
        .map(|(id, _)| id)
        .collect();
    if consumers.is_empty() && study.converters.is_empty() {
        return String::new();
    }
    let mut lines = vec!["Low-voltage budget".to_owned()];
    match study.low_voltage.drawn {
        Ok((phase, drawn)) => {
            let parts: Vec<String> = consumers
                .iter()
                .filter_map(|id| {
                    let current = study.points.current(phase, *id)?;
                    Some(format!(
                        "{} {}",
                        names::name(design, *id),
                        current.to_text(units)
                    ))
                })
                .collect();
            lines.push(wrap(
                "  ",
                &format!(
                    "drawn together: {} in phase {} ({})",
                    drawn.to_text(units),
                    names::name(design, phase),
                    parts.join(", ")
                ),
            ));
        }
        Err(unknown) => lines.push(wrap("  ", &format!("not known: {}", why(report, unknown)))),
    }
    for converter in &study.converters {
        let judged = &converter.output;
        let margin = judged.margin().map_or_else(String::new, |margin| {
            format!(", margin {}", amperes(Some(margin)))
        });
        lines.push(wrap(
            "  ",
            &format!(
                "{}: delivers {}, rated {}{margin}: {}",
                names::thing(design, converter.converter.into()),
                amperes(judged.value),
                amperes(judged.limit),
                judged.verdict.word()
            ),
        ));
    }
    if let Ok(reserve) = study.low_voltage.reserve {
        lines.push(wrap(
            "  ",
            &format!(
                "without a converter the battery lasts {} from full to empty; an aged one less",
                reserve.to_text(units)
            ),
        ));
    }
    lines.join("\n")
}

fn masses(report: &Report) -> String {
    let study = &report.study;
    let known = |mass: &Known<Mass>| shown(report, mass);
    wrap(
        "",
        &format!(
            "Mass: cells {}, high-voltage cable {}, low-voltage cable {}; boxes, lugs and glands \
             not counted.",
            known(&study.pack.cell_mass),
            known(&study.cable_mass),
            known(&study.low_voltage_cable_mass)
        ),
    )
}

/// What the study supposes.
fn taken() -> Vec<String> {
    [
        "every resistance at the highest of its range; currents and sag with conductors as hot as \
         their class allows, the drop of one conductor with it as hot as it becomes",
        "still air; sun and neighbours only where the design states them",
        "a phase outside every duty lasts for ever",
        "walls of a cable that its part does not state: a generic build, invented",
    ]
    .map(String::from)
    .to_vec()
}
