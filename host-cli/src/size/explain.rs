//! The working: each equation with the numbers in it.
//!
//! All values come from the core; here they are only put into words.

use orangeloom_core::conductor::heat_balance::{Steady, SteadyState};
use orangeloom_core::size::candidate::{Candidate, LimitName, PieceResult};
use orangeloom_core::size::question::{Piece, Question};
use orangeloom_core::standard::SourceId;

use super::Report;
use crate::heat_working::{Settled, build};
use crate::working::{Step, cite, n};

/// The working of the section that the answer is about, in its hottest piece.
pub(crate) fn steps(report: &Report) -> Vec<Step> {
    let question = report.question();
    let Some(candidate) = report.subject().or_else(|| report.candidates.last()) else {
        return Vec::new();
    };
    let (Some(result), Some(piece)) = (
        candidate.hottest_piece(),
        question.route.get(candidate.hottest),
    ) else {
        return Vec::new();
    };
    let mut steps = build(&candidate.cable, candidate.conductor.source);
    steps.extend(share(result));
    if let Steady::Settles(state) = result.steady {
        steps.extend(balance(candidate, question, piece, result, &state));
    }
    steps.extend(with_margin(result, question));
    steps.extend(carried(candidate, question));
    steps.extend(peaks(candidate, question));
    steps.extend(drop(candidate, question));
    steps.extend(peak_drops(candidate, question));
    steps.push(short_circuit(candidate, question));
    steps.extend(terminal(candidate, question));
    steps
}

fn share(result: &PieceResult) -> Option<Step> {
    let share = result.share?;
    Some(Step {
        what: "share of the free-air current that the installation leaves",
        equation: "share = installation x grouping",
        numbers: format!("{} x {}", n(share.installation), n(share.grouping)),
        result: format!("share = {}", n(share.total)),
        source: format!(
            "{}; {}",
            cite(share.installation_source),
            cite(SourceId::Iec60364Grouping)
        ),
    })
}

fn balance(
    candidate: &Candidate,
    question: &Question,
    piece: &Piece,
    result: &PieceResult,
    state: &SteadyState,
) -> Vec<Step> {
    let mut steps = Vec::new();
    if question.frequency.as_hertz() > 0.0
        && let Ok(effective) = result.balance.effective_resistance_20()
    {
        steps.push(Step {
            what: "skin effect",
            equation: "R20 kac, kac = 1 + y(x), x^2 = 8 pi f 1e-7 ks / R'",
            numbers: format!("f = {} Hz", n(question.frequency.as_hertz())),
            result: format!("R20 kac = {} ohm/m", n(effective.as_ohm_per_m())),
            source: cite(SourceId::Iec60287Skin),
        });
    }
    if let Some(ripple) = question.ripple {
        let (stated, shield) = (question.shield_loss, state.shield_loss.as_watts_per_m());
        let by_current = stated.ratio.as_fraction() * state.conductor_loss.as_watts_per_m();
        let induced = shield - stated.fixed.as_watts_per_m() - by_current;
        steps.push(Step {
            what: "heat of the ripple in the shield",
            equation: "I^2 X^2 R / (R^2 + X^2), X = 2 w 1e-7 ln(2 s / d), R as warm as makes \
                       most of it; I^2 R where frequency or distance is not stated",
            numbers: format!(
                "I = {} A, R20 = {} ohm/m",
                n(ripple.current.as_amperes()),
                n(ripple.braid.as_ohm_per_m())
            ),
            result: format!("{} W/m", n(induced)),
            source: cite(SourceId::Iec60287ShieldLoss),
        });
    }
    let settled = Settled {
        cable: &candidate.cable,
        balance: &result.balance,
        state,
        current: question.current,
        air: piece.surroundings.air,
        absorbed: piece.surroundings.absorbed,
        what: "temperature of the conductor without margin",
    };
    steps.extend(settled.steps());
    steps
}

/// The value that is judged: the same balance with the current divided by the margin.
fn with_margin(result: &PieceResult, question: &Question) -> Option<Step> {
    let Steady::Settles(state) = result.steady_with_margin else {
        return None;
    };
    Some(Step {
        what: "temperature of the conductor with margin",
        equation: "the same balance at I / margin",
        numbers: format!(
            "{} / {}; qc = {} W/m, Ts = {} degC",
            n(question.current.as_amperes()),
            n(question.margin.as_fraction()),
            n(state.conductor_loss.as_watts_per_m()),
            n(state.surface.as_degc())
        ),
        result: format!("Tc = {} degC", n(state.conductor.as_degc())),
        source: cite(SourceId::Iec60287),
    })
}

fn terminal(candidate: &Candidate, question: &Question) -> Option<Step> {
    let limit = candidate
        .limits
        .iter()
        .find(|limit| limit.name == LimitName::TerminalTemperature)?;
    let joint = question.joint.map_or_else(
        || "none stated".to_owned(),
        |joint| format!("{} ohm", n(joint.as_ohms())),
    );
    Some(Step {
        what: "temperature at the terminal with margin",
        equation: "cable of the end piece + d (e^(-a/l) - e^(-b/l)) of hotter pieces + joint \
                   I^2 Rj / (k A m tanh(m L)) + the cable's rise in a peak",
        numbers: format!(
            "I / margin = {} A, Rj = {joint}",
            n(question.current.as_amperes() / question.margin.as_fraction())
        ),
        result: limit
            .value
            .map_or_else(|| "none".into(), |value| format!("{} degC", n(value))),
        source: cite(SourceId::FinEquation),
    })
}

fn carried(candidate: &Candidate, question: &Question) -> Option<Step> {
    let ampacity = candidate.ampacity?;
    let with_margin = candidate.ampacity_with_margin(question.margin)?;
    Some(Step {
        what: "current that brings the conductor to its limit",
        equation: "Iz from the same balance with Tc = limit, then Iz x margin",
        numbers: format!(
            "limit {} degC, {} A x {}",
            n(question.insulation_limit.as_degc()),
            n(ampacity.as_amperes()),
            n(question.margin.as_fraction())
        ),
        result: format!("{} A with margin", n(with_margin.as_amperes())),
        source: cite(SourceId::Iec60287),
    })
}

fn peaks(candidate: &Candidate, question: &Question) -> Vec<Step> {
    let margin = question.margin.as_fraction();
    candidate
        .peaks
        .iter()
        .map(|peak| {
            let temperature = |value: Option<orangeloom_core::quantity::Temperature>| {
                value.map_or("melts or never settles".into(), |t| {
                    format!("{} degC", n(t.as_degc()))
                })
            };
            Step {
                what: "conductor at the end of a peak",
                equation: "radial chain in time, from the settled continuous current",
                numbers: format!(
                    "{} A, then {} A for {} s; with margin all currents / {}",
                    n(question.current.as_amperes()),
                    n(peak.peak.current.as_amperes()),
                    n(peak.peak.duration.as_seconds()),
                    n(margin)
                ),
                result: format!(
                    "{}, with margin {}",
                    temperature(peak.temperature),
                    temperature(peak.temperature_with_margin)
                ),
                source: cite(SourceId::RadialChain),
            }
        })
        .collect()
}

fn drop(candidate: &Candidate, question: &Question) -> Option<Step> {
    let drop = candidate.voltage_drop?;
    let length = question.length()?;
    let joints = question
        .joint
        .map_or(0.0, orangeloom_core::quantity::Resistance::as_ohms);
    Some(Step {
        what: "drop over the loop",
        equation: "dU = I (2 sum(R L) + 4 Rj)",
        numbers: format!(
            "{} A over 2 x {} m at the working temperature of each piece, Rj = {} ohm",
            n(question.current.as_amperes()),
            n(length),
            n(joints)
        ),
        result: format!("dU = {} V", n(drop.as_volts())),
        source: cite(SourceId::OhmsLaw),
    })
}

/// The same at the end of each peak.
fn peak_drops(candidate: &Candidate, question: &Question) -> Vec<Step> {
    let Some(length) = question.length() else {
        return Vec::new();
    };
    let joints = question
        .joint
        .map_or(0.0, orangeloom_core::quantity::Resistance::as_ohms);
    let peaks = candidate.peaks.iter().filter_map(|peak| {
        Some(Step {
            what: "drop over the loop at the end of a peak",
            equation: "dU = I (2 sum(R L) + 4 Rj)",
            numbers: format!(
                "{} A over 2 x {} m at {} degC, Rj = {} ohm",
                n(peak.peak.current.as_amperes()),
                n(length),
                n(peak.temperature?.as_degc()),
                n(joints)
            ),
            result: format!("dU = {} V", n(peak.voltage_drop?.as_volts())),
            source: cite(SourceId::OhmsLaw),
        })
    });
    peaks.collect()
}

fn short_circuit(candidate: &Candidate, question: &Question) -> Step {
    let withstand = &candidate.withstand;
    Step {
        what: "joule integral that the conductor stands",
        equation: "I2t = S Cv / (R20 a20) ln[(Tf + b) / (Ti + b)]; the standard's form k^2 S^2",
        numbers: format!(
            "from {} to {} degC; k = {}, k^2 S^2 = {} A2s",
            n(question.insulation_limit.as_degc()),
            n(question.short_circuit_limit.as_degc()),
            n(withstand.k),
            n(withstand.standard_form.as_a2s())
        ),
        result: format!("I2t = {} A2s", n(withstand.own_resistance.as_a2s())),
        source: format!(
            "{}; {}",
            cite(SourceId::AdiabaticBalance),
            cite(SourceId::Iec60364ShortCircuit)
        ),
    }
}
