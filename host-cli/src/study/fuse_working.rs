//! The working of one fuse: each comparison with its numbers.

use orangeloom_core::design::FuseId;
use orangeloom_core::protection::{FuseCheck, SELECTIVE_SHARE};
use orangeloom_core::study::FuseStudy;
use orangeloom_core::verdict::Judged;

use super::fault_report::FaultReport;
use super::faults::with_unit;
use super::{Report, names};
use crate::working::{self, Step, cite, n, n_down};

/// For people.
pub(crate) fn render(report: &Report, faults: &FaultReport, id: FuseId) -> String {
    let steps = steps(report, faults, id);
    if steps.is_empty() {
        return String::new();
    }
    working::render(&names::name(report.design(), id), &steps)
}

/// Every step; none for a fuse that could not be studied.
pub(crate) fn steps(report: &Report, faults: &FaultReport, id: FuseId) -> Vec<Step> {
    let design = report.design();
    let of_id = faults.fuses.iter().find(|(of, _)| *of == id);
    let Some((_, Ok(studied))) = of_id else {
        return Vec::new();
    };
    let mut steps = selectivity(report, studied);
    for (name, what, equation) in [
        (
            FuseCheck::Cable,
            "the cable in series over all currents, at the worst",
            "used = I2t let through / I2t that the cable stands",
        ),
        (
            FuseCheck::Strap,
            "the bond strap over all currents, at the worst",
            "used = (s I)2 t / (K2 S2 ln((beta + T_limit)/(beta + T_start))), s of I through it",
        ),
        (
            FuseCheck::Shield,
            "the shield over all currents, at the worst",
            "used = (s I)2 t / (K2 S2 ln((beta + T_limit)/(beta + T_start))), s of I through it",
        ),
    ] {
        let judged = studied.checks.iter().find(|judged| judged.name == name);
        let place = match name {
            FuseCheck::Strap => studied.strap.map(|id| names::name(design, id)),
            FuseCheck::Shield => studied.shield.map(|id| names::circuit(design, id)),
            _ => {
                let guard = studied.guard.as_ref();
                guard.map(|(id, _)| names::circuit(design, *id))
            }
        };
        if let (Some(judged), Some(place)) = (judged, place) {
            steps.push(Step {
                what,
                equation,
                numbers: format!("{place}: {}", compared(judged)),
                result: judged.verdict.word().to_owned(),
                source: cite(judged.source),
            });
        }
    }
    steps
}

fn selectivity(report: &Report, studied: &FuseStudy) -> Vec<Step> {
    let design = report.design();
    let mut steps = Vec::new();
    for pair in &studied.selectivity {
        let upper = names::name(design, pair.upper);
        let part = design.get(pair.upper).and_then(|fuse| fuse.part);
        let melting = part.and_then(|part| design.get(part)?.melting);
        let melting = melting.map_or_else(
            || "not known".to_owned(),
            |i2t| format!("{} A2s", n(i2t.as_a2s())),
        );
        steps.push(Step {
            what: "a short that both carry: this fuse clears before the upper one melts",
            equation: "total I2t <= share x melting I2t upstream",
            numbers: format!(
                "{upper}: {} x {melting}; {}",
                n(SELECTIVE_SHARE.as_fraction()),
                compared(&pair.by_i2t)
            ),
            result: pair.by_i2t.verdict.word().to_owned(),
            source: cite(pair.by_i2t.source),
        });
        steps.push(Step {
            what: "overloads and small faults: the same by the curves",
            equation: "worst of latest clearing time / earliest melting time upstream <= 1",
            numbers: format!("{upper}: {}", compared(&pair.by_time)),
            result: pair.by_time.verdict.word().to_owned(),
            source: cite(pair.by_time.source),
        });
    }
    steps
}

/// Value, limit and margin.
fn compared(judged: &Judged<FuseCheck>) -> String {
    let unit = judged.name.unit();
    let shown = |value: Option<f32>, digits: fn(f32) -> String| {
        value.map_or_else(
            || "not known".to_owned(),
            |value| with_unit(&digits(value), unit),
        )
    };
    format!(
        "{} against {}, margin {}",
        shown(judged.value, n),
        shown(judged.limit, n),
        shown(judged.margin(), n_down)
    )
}
