//! The answer for people.

use comfy_table::CellAlignment;
use orangeloom_core::link::{Lock, Precharge, Reached, SettledBy, Stands, Threshold};
use orangeloom_core::quantity::Time;
use orangeloom_core::standard::SourceId;
use orangeloom_core::verdict::Verdict;

use super::ask::Asked;
use super::load_text::load_words;
use super::names::{Row, bound_words, margin, shown};
use super::{DischargeReport, JudgedResistor, Report, explain};
use crate::page::{self, Sources, next_steps, plain_table, wrap};
use crate::quantity_text::{Rounding, ToText, Units};
use crate::working::{self, cite};

/// The whole answer.
pub(crate) fn render(report: &Report<'_>, explained: bool) -> String {
    let mut sources = Sources::new();
    let mut blocks = vec![question(report.asked), headline(report)];
    if let Some(judged) = &report.judged {
        blocks.push(findings(report.asked, judged));
    }
    if let Some(discharge) = &report.discharge {
        blocks.push(discharging(report.asked, discharge));
    }
    blocks.push(checks(report, &mut sources));
    blocks.push(window(report, &mut sources));
    blocks.push(next_steps(
        report
            .next
            .iter()
            .map(|step| step.words(report.asked.units)),
    ));
    blocks.push(still_open(report));
    blocks.push(sources.list());
    if explained {
        blocks.push(working::render("4 digits shown", &explain::steps(report)));
    }
    if report.discharge.is_none() {
        blocks.push("Discharge and waiting time: add --bleed or --discharge".to_owned());
    }
    blocks.push(defaults(report.asked));
    blocks.push(page::cautions());
    page::join(&blocks)
}

/// When the contactor closes, in words.
pub(crate) fn threshold_words(threshold: Threshold, units: Units) -> String {
    match threshold {
        Threshold::Share(share) => format!("closes at {}", share.to_text(units)),
        Threshold::Left(left) => format!("closes below {} left", left.to_text(units)),
    }
}

fn question(asked: &Asked) -> String {
    let units = asked.units;
    let mut words = vec![if asked.is_default("lowest") {
        asked.highest.to_text(units)
    } else {
        format!(
            "{} to {}",
            asked.lowest.to_text(units),
            asked.highest.to_text(units)
        )
    }];
    words.push(format!(
        "{} +/- {}",
        asked.capacitance.to_text(units),
        asked.capacitance_tolerance.to_text(units)
    ));
    match asked.resistor {
        Some(resistor) => words.push(format!(
            "{} +/- {}",
            resistor.to_text(units),
            asked.resistor_tolerance.to_text(units)
        )),
        None => words.push("resistor to be found".to_owned()),
    }
    words.push(threshold_words(asked.threshold, units));
    if asked.start.as_volts() > 0.0 {
        words.push(format!("begins at {}", asked.start.to_text(units)));
    }
    if asked.loads.is_empty() {
        words.push("nothing draws meanwhile".to_owned());
    }
    for load in &asked.given.load {
        words.push(format!("load {}", load_words(load, units)));
    }
    if let Some(bleed) = asked.given.bleed {
        words.push(format!("the bleed of {} draws", bleed.to_text(units)));
    }
    wrap("Asked: ", &words.join(", "))
}

fn headline(report: &Report<'_>) -> String {
    let units = report.asked.units;
    let Some(judged) = &report.judged else {
        return "Precharge fails: no resistor does all that was asked".to_owned();
    };
    let of_precharge: Vec<Verdict> = judged.found.checks.iter().map(|one| one.verdict).collect();
    let worst = |all: &[Verdict]| {
        all.iter()
            .fold(Verdict::NotApplicable, |worst, &one| worst.worse(one))
    };
    let resistor = judged.input.resistance.to_text(units);
    let mut lines = vec![match report.asked.resistor {
        Some(_) => format!("Precharge {}: {resistor}", worst(&of_precharge).word()),
        None => format!(
            "Precharge {}: {resistor} proposed, not entered",
            worst(&of_precharge).word()
        ),
    }];
    if let Some(discharge) = &report.discharge {
        let all: Vec<Verdict> = discharge
            .found
            .checks
            .iter()
            .map(|one| one.verdict)
            .collect();
        let label = discharge.found.label.map_or_else(
            || "no waiting time can be promised without a bleed".to_owned(),
            |time| format!("wait {} (for the label)", time.at_least(units)),
        );
        lines.push(format!("Discharge {}: {label}", worst(&all).word()));
    }
    lines.join("\n")
}

fn time_of(reached: Reached, units: Units) -> String {
    match reached {
        Reached::After { time, .. } => {
            format!("reached after {} at the latest", time.at_least(units))
        }
        Reached::Never(_) => "never reached".to_owned(),
    }
}

fn findings(asked: &Asked, judged: &JudgedResistor<'_>) -> String {
    let units = asked.units;
    let found = &judged.found;
    let mut lines = vec!["Charging at its worst".to_owned()];
    let mut line = |words: String| lines.push(wrap("  - ", &words));
    line(format!(
        "threshold {}; time constant {} as entered",
        time_of(found.reached, units),
        found.time_constant.to_text(units)
    ));
    let settles = format!(
        "with a pack of {} the link settles at {}, {} are needed",
        found.settled_at.to_text(units),
        found.settled.voltage.to_text(units),
        found.needed.to_text(units)
    );
    line(match found.settled.by {
        SettledBy::Source => settles,
        SettledBy::Load => format!("{settles}: the standing load holds it there"),
        SettledBy::StartUp => format!(
            "{settles}: a load starts there and draws more than the resistor brings, so that it \
             starts, stops and starts again"
        ),
    });
    if let Some(expected) = &judged.expected {
        let reached = match expected.reached {
            Reached::After { time, .. } => format!("reached after {}", time.to_text(units)),
            Reached::Never(_) => format!(
                "never reached, the link settles at {}",
                expected.settled.voltage.to_text(units)
            ),
        };
        line(format!(
            "on an ordinary day, {} and no tolerances: {reached}",
            expected.source.to_text(units)
        ));
    }
    line(format!(
        "first current {}, first power in the resistor {}",
        found.peak_current.to_text(units),
        found.peak_power.to_text(units)
    ));
    line(energy_words(asked, found));
    line(lock_words(found.lock, units));
    let shorted = found.shorted_power.to_text(units);
    line(match found.stands {
        _ if asked.given.cut_out => format!(
            "relay closed on a shorted link: {shorted}, until the thermal cut-out opens (entered, \
             not computed)"
        ),
        Stands::For(time) => format!(
            "relay closed on a shorted link: {shorted}, which the resistor stands for {}",
            time.at_most(units)
        ),
        Stands::Always => {
            format!("relay closed on a shorted link: {shorted}, which the resistor stands")
        }
        Stands::NotKnown => format!(
            "relay closed on a shorted link: {shorted}; how long the resistor stands it is not \
             known without --pulse-energy"
        ),
    });
    let above = if judged.begins_above() {
        format!(
            ": the link begins above the pack of {}",
            asked.lowest.to_text(units)
        )
    } else {
        String::new()
    };
    line(format!(
        "on closing {} are left{above}, {} to be moved at once{}",
        found.left.to_text(units),
        found.closing_energy.to_text(units),
        found.inrush.map_or_else(String::new, |current| format!(
            ", {} through the loop",
            current.to_text(units)
        ))
    ));
    lines.join("\n")
}

/// What the resistor takes in a try and in a row of them.
fn energy_words(asked: &Asked, found: &Precharge) -> String {
    let units = asked.units;
    match (found.try_energy, found.series_energy) {
        (Some(each), Some(series)) => format!(
            "the resistor takes {} in a try ({}) and holds {} after {}",
            each.to_text(units),
            if asked.time_out.is_some() {
                "until the time-out and reaction"
            } else {
                "until the threshold"
            },
            series.to_text(units),
            match asked.tries.count {
                1 => "it".to_owned(),
                count => format!("{count} tries"),
            }
        ),
        _ => "the resistor heats on without end: the threshold is never reached and there is no \
              --time-out"
            .to_owned(),
    }
}

pub(crate) fn lock_words(lock: Lock, units: Units) -> String {
    match lock {
        Lock::For(time) if time.as_seconds() > 0.0 => format!(
            "lock {} after the last try before a series begins anew",
            time.at_least(units)
        ),
        Lock::For(_) => "no lock is needed between two series".to_owned(),
        Lock::Never => "even one series from cold is too much for the resistor".to_owned(),
        Lock::NotKnown => {
            "how long to lock after the last try is not known without --pulse-energy and \
             --resistor-power or --cooling"
                .to_owned()
        }
    }
}

fn discharging(asked: &Asked, report: &DischargeReport) -> String {
    let units = asked.units;
    let found = &report.found;
    let mut lines = vec![format!(
        "Discharging to {} at its worst",
        asked.safe.to_text(units)
    )];
    let mut line = |words: String| lines.push(wrap("  - ", &words));
    line(format!(
        "{} hold {} at {}",
        found.capacitance.to_text(units),
        found.energy.to_text(units),
        asked.highest.to_text(units)
    ));
    if let (Some(time), Some(power)) = (found.passive, found.bleed_power) {
        line(format!(
            "by the bleed alone after {}; it takes {} for ever",
            time.at_least(units),
            power.at_least(units)
        ));
    }
    if let (Some(needed), Some(power)) = (found.uncut, found.welded_power) {
        line(match (found.left, found.active) {
            (None, _) => format!("with the active discharge after {}", needed.at_least(units)),
            (Some(left), Some(time)) => format!(
                "the active discharge would need {}; its cut-off leaves {} to the bleed, so after {}",
                needed.at_least(units),
                left.at_least(units),
                time.at_least(units)
            ),
            (Some(left), None) => format!(
                "the active discharge would need {}; its cut-off leaves {}, and no bleed takes that",
                needed.at_least(units),
                left.at_least(units)
            ),
        });
        line(format!(
            "held on the pack by a welded contactor it takes {}{}",
            power.to_text(units),
            match found.stands {
                Some(Stands::For(time)) => format!(", for {} at most", time.at_most(units)),
                Some(Stands::Always) => ", and stands it".to_owned(),
                _ => "; for how long is not known without --discharge-energy".to_owned(),
            }
        ));
    }
    if let (Some(window), Some(wanted)) = (&report.for_wanted, report.input.wanted)
        && let Some((largest, Some(power))) = report.largest_as_printed(window)
    {
        line(format!(
            "{} need a resistor of at most {}, {} on the full pack",
            wanted.to_text(units),
            largest.to_text(units),
            power.at_least(units)
        ));
    }
    lines.join("\n")
}

fn checks(report: &Report<'_>, sources: &mut Sources) -> String {
    let rows = report.rows();
    if rows.is_empty() {
        return String::new();
    }
    let mut table = plain_table();
    table.set_header(["check", "value", "allowed", "margin", "verdict", "source"]);
    let units = report.asked.units;
    for row in &rows {
        table.add_row(cells(row, units, sources));
    }
    for column in table.column_iter_mut().skip(1).take(3) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    format!("Checks\n{}", page::table(&mut table))
}

fn cells(row: &Row, units: Units, sources: &mut Sources) -> [String; 6] {
    // Each to the side on which what the table says is never better than it is.
    let (worse, stricter) = if row.at_least {
        (Rounding::Down, Rounding::Up)
    } else {
        (Rounding::Up, Rounding::Down)
    };
    let show = |value: Option<f32>| {
        let shown = value.map(|value| shown(value, row.unit, units, worse));
        shown.unwrap_or_else(|| "-".to_owned())
    };
    let limit = match row.limit {
        None if row.verdict == Verdict::Holds => "no limit".to_owned(),
        None => "-".to_owned(),
        Some(limit) => format!(
            "{}{}",
            if row.at_least { "from " } else { "" },
            shown(limit, row.unit, units, stricter)
        ),
    };
    let value = if row.value.is_none() && row.verdict == Verdict::Fails {
        "never".to_owned()
    } else {
        show(row.value)
    };
    [
        row.words.to_owned(),
        value,
        limit,
        row.margin
            .map_or_else(|| "-".to_owned(), |left| margin(left, row.unit)),
        row.verdict.word().to_owned(),
        sources.mark(&cite(row.source)),
    ]
}

fn window(report: &Report<'_>, sources: &mut Sources) -> String {
    let units = report.asked.units;
    let window = &report.window;
    let ends: Vec<_> = window.lower.iter().chain(&window.upper).flatten().collect();
    if ends.is_empty() {
        return String::new();
    }
    let binding = [window.smallest(), window.largest()];
    let mut lines = vec![if window.is_empty() {
        "Resistors that work: none".to_owned()
    } else {
        let text = |end: Option<orangeloom_core::link::WindowEnd>, rounding| {
            end.and_then(|end| end.resistance)
                .map(|resistance| resistance.rounded(units, rounding))
        };
        match (
            text(window.smallest(), Rounding::Up),
            text(window.largest(), Rounding::Down),
        ) {
            (Some(smallest), Some(largest)) => {
                format!("Resistors that work: {smallest} to {largest}, as nominal")
            }
            (Some(smallest), None) => format!("Resistors that work: from {smallest}, as nominal"),
            (_, largest) => format!(
                "Resistors that work: up to {}, as nominal",
                largest.unwrap_or_default()
            ),
        }
    }];
    for (index, end) in ends.iter().enumerate() {
        let lower = index < window.lower.iter().flatten().count();
        let governs = if binding.contains(&Some(**end)) {
            ", binds"
        } else {
            ""
        };
        let value = match end.resistance {
            Some(resistance) if lower => format!("at least {}", resistance.at_least(units)),
            Some(resistance) => format!("at most {}", resistance.at_most(units)),
            None => "no resistance at all".to_owned(),
        };
        let mark = sources.mark(&cite(end.bound.source()));
        lines.push(wrap(
            "  - ",
            &format!("{value}: {}{governs} {mark}", bound_words(end.bound)),
        ));
    }
    match window.pulse {
        Verdict::Fails => lines.push(wrap(
            "  - ",
            "whatever its resistance, all tries are more than the entered pulse energy",
        )),
        Verdict::Open if report.asked.rating.pulse.is_none() => lines.push(wrap(
            "  - ",
            "the energy hardly hangs on the resistance: it needs the pulse energy of the part",
        )),
        _ => {}
    }
    if let Some(preferred) = window.preferred() {
        let mark = sources.mark(&cite(SourceId::Iec60063));
        lines.push(wrap(
            "  - ",
            &format!(
                "in the middle of them: {} (E12) {mark}",
                preferred.to_text(units)
            ),
        ));
    }
    lines.join("\n")
}

/// What was not said, and which flag would let it be said.
fn still_open(report: &Report<'_>) -> String {
    let lines: Vec<String> = report
        .rows()
        .iter()
        .filter(|row| row.verdict == Verdict::Open)
        .map(|row| wrap("  - ", &format!("{}: {}", row.words, row.flag)))
        .collect();
    if lines.is_empty() {
        return String::new();
    }
    format!("Open until it is stated\n{}", lines.join("\n"))
}

/// Each default in words.
pub(crate) fn default_words(asked: &Asked) -> Vec<String> {
    let units = asked.units;
    let zero = |time: Time| time.as_seconds() <= 0.0;
    let mut taken = Vec::new();
    let mut say = |input: &str, words: String| {
        if asked.is_default(input) {
            taken.push(words);
        }
    };
    say(
        "lowest",
        "the pack never falls below its highest voltage (--lowest); standing loads weigh more \
         the lower it is"
            .into(),
    );
    say(
        "capacitance_tolerance",
        format!(
            "capacitors +/- {} (--capacitance-tolerance)",
            asked.capacitance_tolerance.to_text(units)
        ),
    );
    say(
        "resistor_tolerance",
        format!(
            "resistors +/- {} (--resistor-tolerance)",
            asked.resistor_tolerance.to_text(units)
        ),
    );
    say(
        "threshold",
        "the contactor closes at 95 % (--threshold)".into(),
    );
    say("start", "the link is empty when it begins (--start)".into());
    if asked.time_out.is_some() {
        say(
            "reaction",
            format!(
                "the relay is open {} after the time-out (--reaction)",
                asked.reaction.to_text(units)
            ),
        );
    }
    say(
        "tries",
        format!("{} tries in a row (--tries)", asked.tries.count),
    );
    if asked.tries.count > 1 && zero(asked.tries.pause) {
        say("pause", "no pause between tries (--pause)".into());
    }
    if asked.rating.cooling.is_none()
        && let Some((cooling, _)) = asked.rating.cooling()
    {
        taken.push(format!(
            "the resistor cools with a time constant of {}, pulse energy over lasting power \
             (--cooling)",
            cooling.to_text(units)
        ));
    }
    let mut say = |input: &str, words: String| {
        if asked.is_default(input) {
            taken.push(words);
        }
    };
    if asked.given.bleed.is_some() || asked.given.discharge.is_some() || asked.wanted.is_some() {
        say(
            "domain",
            format!(
                "road: {} may be touched (--domain)",
                asked.safe.to_text(units)
            ),
        );
        say(
            "discharge_time",
            "5 s until it may be touched, as after opening with a tool (--discharge-time)".into(),
        );
        say(
            "y_capacitance",
            "no capacitors to chassis (--y-capacitance)".into(),
        );
    }
    taken
}

fn defaults(asked: &Asked) -> String {
    page::taken_as_default(&default_words(asked))
}
