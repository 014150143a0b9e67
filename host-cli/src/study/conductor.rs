//! The working of one conductor.

use orangeloom_core::conductor::heat_balance::Steady;
use orangeloom_core::design::{ConductorId, Phase};
use orangeloom_core::quantity::{LinearPower, Time};
use orangeloom_core::standard::SourceId;
use orangeloom_core::study::{ConductorStudy, PieceResult, Repeating, Warmest, conductor_warmth};
use orangeloom_core::verdict::Judged;

use super::open::why;
use super::text::{degrees, margin_digits};
use super::{Report, names};
use crate::heat_working::{Settled, build};
use crate::page::{self, Sources, align, cautions, plain_table};
use crate::quantity_text::{ToText, Units, significant};
use crate::thing_text::with_line;
use crate::working::{Step, cite, n, render as working};

/// Everything about one conductor.
pub(crate) fn render(report: &Report, id: ConductorId) -> String {
    let design = report.design();
    let name = names::circuit(design, id);
    let Some(lead) = design.get(id) else {
        return String::new();
    };
    let ends = format!(
        "{} to {}",
        names::name(design, lead.from),
        names::name(design, lead.to)
    );
    let cable = lead.cable.map_or_else(
        || "cable not stated".to_owned(),
        |cable| names::name(design, cable),
    );
    let studied = match report.study.conductor(id) {
        Ok(studied) => studied,
        Err(unknown) => return format!("{name}: open, {}\n", why(report, unknown)),
    };
    let mut sources = Sources::new();
    let limits = limits(report, id, &studied, &mut sources);
    page::join(&[
        with_line(
            &report.read,
            id.into(),
            format!("{name}: {} ({ends}, {cable})", studied.verdict().word()),
        ),
        currents(report, id),
        pieces(report, id),
        limits,
        match studied.warmest {
            Ok(_) => working(
                "where and when it becomes hottest, 4 digits shown",
                &steps(report, id),
            ),
            Err(unknown) => format!("Open: {}", why(report, unknown)),
        },
        sources.list(),
        cautions(),
    ])
}

/// The current of every phase.
fn currents(report: &Report, id: ConductorId) -> String {
    let design = report.design();
    let mut table = plain_table();
    table.set_header(["phase", "current\nA"]);
    for (phase, _) in design.all::<Phase>() {
        let current = report.study.points.known_current(phase, id);
        table.add_row([
            names::name(design, phase),
            current.map_or_else(
                |_| "?".to_owned(),
                |current| significant(f64::from(current.as_amperes()), 4),
            ),
        ]);
    }
    align(&mut table, 1);
    format!(
        "Currents, positive along the arrow\n{}",
        page::table(&mut table)
    )
}

/// Every piece in every operation.
fn pieces(report: &Report, id: ConductorId) -> String {
    let (design, units) = (report.design(), report.units);
    let mut table = plain_table();
    table.set_header([
        "during", "zone", "r.m.s.", "window", "steady", "peak", "after", "carries",
    ]);
    for operation in design.operations() {
        let Ok(warmth) = conductor_warmth(design, &report.study.points, operation, id) else {
            continue;
        };
        for piece in &warmth.pieces {
            let warmth = &piece.warmth;
            let steady = warmth.steady.conductor();
            let (peak, at) = match warmth.duty {
                Repeating::Periodic { peak, at, .. } => (peak.to_text(units), at.to_text(units)),
                Repeating::RunsAway => ("none".to_owned(), "-".to_owned()),
            };
            table.add_row([
                names::operation(design, operation),
                names::zone(design, piece.piece),
                warmth.rms.to_text(units),
                warmth
                    .window
                    .map_or_else(|| "-".to_owned(), |time: Time| time.to_text(units)),
                steady.map_or_else(|| "none".to_owned(), |steady| steady.to_text(units)),
                peak,
                at,
                piece
                    .ampacity
                    .map_or_else(|| "nothing".to_owned(), |a| a.to_text(units)),
            ]);
        }
    }
    align(&mut table, 2);
    format!(
        "Piece by piece\n{}\n{}",
        page::table(&mut table),
        page::wrap(
            "",
            "window: thermal time constant, over which the r.m.s. is worst; none where the \
             current hardly changes. after: from the start of the duty. carries: for ever, at \
             the temperature class."
        )
    )
}

/// Every limit with margin and source.
fn limits(
    report: &Report,
    id: ConductorId,
    studied: &ConductorStudy,
    sources: &mut Sources,
) -> String {
    let units = report.units;
    let mut table = plain_table();
    table.set_header(["limit", "value", "allowed", "margin", "verdict", "source"]);
    for judged in &studied.limits {
        let shown = |value: Option<f32>| {
            value.map_or_else(|| "-".to_owned(), |value| degrees(value, units))
        };
        table.add_row([
            names::limit(report.design(), id, judged.name),
            shown(judged.value),
            shown(judged.limit),
            margin(judged, units),
            judged.verdict.word().to_owned(),
            sources.mark(&cite(judged.source)),
        ]);
    }
    align(&mut table, 1);
    for column in table.column_iter_mut().rev().take(2) {
        column.set_cell_alignment(comfy_table::CellAlignment::Left);
    }
    format!("Limits\n{}", page::table(&mut table))
}

fn margin<N>(judged: &Judged<N>, units: Units) -> String {
    let unit = match units {
        Units::Metric => "K",
        Units::Us => "degF",
    };
    judged.margin().map_or_else(
        || "-".to_owned(),
        |margin| format!("{} {unit}", margin_digits(margin, units)),
    )
}

/// The working where the conductor becomes hottest.
pub(super) fn steps(report: &Report, id: ConductorId) -> Vec<Step> {
    let design = report.design();
    let Ok(studied) = report.study.conductor(id) else {
        return Vec::new();
    };
    let (Some(lead), Ok(warmest)) = (design.get(id), studied.warmest) else {
        return Vec::new();
    };
    let Some(part) = lead.cable.and_then(|cable| design.get(cable)) else {
        return Vec::new();
    };
    let Ok(cable) = part.cable() else {
        return Vec::new();
    };
    let along = conductor_warmth(design, &report.study.points, warmest.operation, id);
    let governing = along.ok().and_then(|along| along.governing().copied());
    let Some(piece) = governing else {
        return Vec::new();
    };
    let mut steps = vec![rms(report, id, &warmest)];
    steps.extend(build(&cable, part.conductor.source));
    let air = design
        .get(piece.piece)
        .and_then(|piece| design.get(piece.zone)?.air);
    if let (Steady::Settles(state), Some(air), Ok(absorbed)) =
        (piece.warmth.steady, air, LinearPower::from_watts_per_m(0.0))
    {
        let settled = Settled {
            cable: &cable,
            balance: &piece.balance,
            state: &state,
            current: piece.warmth.rms,
            air,
            absorbed,
            what: "temperature that the r.m.s. current leads to",
        };
        steps.extend(settled.steps());
    }
    steps.extend(peak(report, &piece, &warmest));
    steps.extend(carried(&studied, &piece));
    steps.extend(drop_and_loss(&studied));
    steps.extend(terminals(report, id, &studied));
    steps
}

fn rms(report: &Report, id: ConductorId, warmest: &Warmest) -> Step {
    let steps = report
        .study
        .points
        .steps(report.design(), warmest.operation, id);
    let parts: Vec<String> = steps
        .iter()
        .flatten()
        .map(|step| {
            format!(
                "{} A for {} s",
                n(step.current.as_amperes()),
                n(step.duration.as_seconds())
            )
        })
        .collect();
    let window = warmest.warmth.window.map_or_else(
        || "; the current hardly changes, its largest is taken".to_owned(),
        |window| format!("; window {} s", n(window.as_seconds())),
    );
    Step {
        what: "worst r.m.s. current",
        equation: "I = sqrt(max over t of (1/W) integral of I^2 from t to t + W)",
        numbers: format!("{}{window}", parts.join(", ")),
        result: format!("I = {} A", n(warmest.warmth.rms.as_amperes())),
        source: "definition of the r.m.s. value".to_owned(),
    }
}

fn peak(report: &Report, piece: &PieceResult, warmest: &Warmest) -> Option<Step> {
    let (numbers, result) = match piece.warmth.duty {
        // A current taken as lasting has no course in time.
        Repeating::Periodic { periods: 0, .. } if piece.warmth.window.is_none() => return None,
        Repeating::Periodic { peak, at, periods } => (
            format!("{periods} periods followed, the rest of the way jumped over"),
            format!(
                "{} degC, {} s after the start of {}",
                n(peak.as_degc()),
                n(at.as_seconds()),
                names::operation(report.design(), warmest.operation)
            ),
        ),
        Repeating::RunsAway => (
            "until the conductor leaves 1000 degC".to_owned(),
            "it runs away".to_owned(),
        ),
    };
    Some(Step {
        what: "highest temperature of the repeating duty",
        equation: "radial chain in time, period by period until it repeats",
        numbers,
        result,
        source: cite(SourceId::RadialChain),
    })
}

fn carried(studied: &ConductorStudy, piece: &PieceResult) -> Option<Step> {
    let limit = studied.limits.first()?.limit?;
    Some(Step {
        what: "current that brings the conductor to its class in this piece",
        equation: "the same balance with Tc = class",
        numbers: format!("class {} degC", n(limit)),
        result: piece.ampacity.map_or_else(
            || "nothing: the place alone is as hot".to_owned(),
            |current| format!("Iz = {} A", n(current.as_amperes())),
        ),
        source: cite(SourceId::Iec60287),
    })
}

fn drop_and_loss(studied: &ConductorStudy) -> Option<Step> {
    let (drop, loss) = (studied.drop.ok()?, studied.loss.ok()?);
    let (_, largest) = studied.largest.ok()?;
    let rms = studied.warmest.ok()?.warmth.rms;
    Some(Step {
        what: "drop and loss from end to end",
        equation: "U = I R, P = I^2 R; R of the whole route as hot as its hottest piece, with \
                   the stated joints",
        numbers: format!(
            "{} A at most, {} A r.m.s., {} m",
            n(largest.as_amperes().abs()),
            n(rms.as_amperes()),
            studied
                .length
                .map_or_else(|_| "?".to_owned(), |length| n(length.as_metres()))
        ),
        result: format!("U = {} V, P = {} W", n(drop.as_volts()), n(loss.as_watts())),
        source: "Ohm's law".to_owned(),
    })
}

fn terminals(report: &Report, id: ConductorId, studied: &ConductorStudy) -> Vec<Step> {
    let design = report.design();
    let Some(lead) = design.get(id) else {
        return Vec::new();
    };
    let [_, _, first, second] = &studied.limits;
    [(first, &lead.ends[0]), (second, &lead.ends[1])]
        .into_iter()
        .filter_map(|(judged, end)| {
            let value = judged.value?;
            let joint = end.joint.map_or_else(
                || "not stated, its heat is missing".to_owned(),
                |joint| format!("{} ohm", n(joint.as_ohms())),
            );
            Some(Step {
                what: "temperature at a terminal",
                equation: "cable of the end piece + d (e^(-a/l) - e^(-b/l)) of hotter pieces + \
                           joint I^2 Rj / (k A m tanh(m L)) + peak above steady",
                numbers: format!("{}, Rj {joint}", names::limit(design, id, judged.name)),
                result: format!("{} degC", n(value)),
                source: cite(SourceId::FinEquation),
            })
        })
        .collect()
}
