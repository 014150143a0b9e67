//! The working: each equation with the numbers in it.
//!
//! All values come from the core; here they are only put into words.

use orangeloom_core::conductor::cable::Cable;
use orangeloom_core::conductor::heat_balance::{OutsideHeat, Steady, SteadyState};
use orangeloom_core::size::candidate::{Candidate, PieceResult};
use orangeloom_core::size::question::{Piece, Question};
use orangeloom_core::standard::SourceId;

use super::Report;
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
    let mut steps = build(candidate);
    steps.extend(share(result));
    if let Steady::Settles(state) = result.steady {
        steps.extend(balance(candidate, question, piece, result, &state));
    }
    steps.extend(carried(candidate, question));
    steps.extend(peaks(candidate, question));
    steps.extend(drop(candidate, question));
    steps.push(short_circuit(candidate, question));
    steps
}

fn build(candidate: &Candidate) -> Vec<Step> {
    let cable = &candidate.cable;
    let build = cable.build();
    let mut steps = vec![
        Step {
            what: "resistance at 20 degC",
            equation: "R20 as printed, or rho20 / S times the strand's allowance",
            numbers: format!(
                "{} of {} mm2",
                build.metal.word(),
                n(candidate.conductor.section.as_mm2())
            ),
            result: format!("R20 = {} ohm/m", n(build.resistance_20.as_ohm_per_m())),
            source: cite(candidate.conductor.source),
        },
        Step {
            what: "thermal resistance of the insulation",
            equation: "T1 = ln(Di / dc) / (2 pi k)",
            numbers: format!(
                "ln({} / {}) / (2 pi {})",
                mm(cable.diameter_over_insulation().as_mm()),
                mm(build.conductor_diameter.as_mm()),
                n(build.insulation.conductivity.as_w_per_m_k())
            ),
            result: format!(
                "T1 = {} K m/W",
                n(cable.insulation_resistance().as_k_m_per_w())
            ),
            source: cite(SourceId::Iec60287),
        },
    ];
    steps.extend(jacket(cable));
    steps
}

fn jacket(cable: &Cable) -> Option<Step> {
    let jacket = cable.build().jacket?;
    Some(Step {
        what: "thermal resistance of the jacket",
        equation: "T3 = ln(Do / Ds) / (2 pi k)",
        numbers: format!(
            "ln({} / {}) / (2 pi {})",
            mm(cable.outer_diameter().as_mm()),
            mm(cable.diameter_over_shield().as_mm()),
            n(jacket.conductivity.as_w_per_m_k())
        ),
        result: format!("T3 = {} K m/W", n(cable.jacket_resistance().as_k_m_per_w())),
        source: cite(SourceId::Iec60287),
    })
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
    let Ok(heat) = result.balance.outside_heat(state.surface) else {
        return Vec::new();
    };
    let cable = &candidate.cable;
    let build = cable.build();
    let (conductor, shield) = (
        state.conductor_loss.as_watts_per_m(),
        state.shield_loss.as_watts_per_m(),
    );
    let air = piece.surroundings.air.as_degc();
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
    steps.push(Step {
        what: "resistance at the working temperature",
        equation: "R = R20 kac [1 + a20 (Tc - 20)]",
        numbers: format!(
            "a20 = {}, Tc = {} degC",
            n(build.metal.temperature_coefficient_20().as_per_kelvin()),
            n(state.conductor.as_degc())
        ),
        result: format!("R = {} ohm/m", n(state.resistance.as_ohm_per_m())),
        source: cite(SourceId::Iec60287Conductor),
    });
    steps.push(Step {
        what: "heat of the conductor",
        equation: "qc = I^2 R",
        numbers: format!(
            "{}^2 x {}",
            n(question.current.as_amperes()),
            n(state.resistance.as_ohm_per_m())
        ),
        result: format!("qc = {} W/m, shield {} W/m", n(conductor), n(shield)),
        source: cite(SourceId::OhmsLaw),
    });
    steps.push(outside(cable, state, &heat, piece));
    steps.push(Step {
        what: "temperature of the conductor without margin",
        equation: "Tc = Ts + T3 (qc + qs) + T1 qc",
        numbers: format!(
            "{} + {} x {} + {} x {}",
            n(state.surface.as_degc()),
            n(cable.jacket_resistance().as_k_m_per_w()),
            n(conductor + shield),
            n(cable.insulation_resistance().as_k_m_per_w()),
            n(conductor)
        ),
        result: format!(
            "Tc = {} degC in {} degC air",
            n(state.conductor.as_degc()),
            n(air)
        ),
        source: cite(SourceId::Iec60287),
    });
    steps
}

fn outside(cable: &Cable, state: &SteadyState, heat: &OutsideHeat, piece: &Piece) -> Step {
    Step {
        what: "heat given off by the outside (equal to the heat produced)",
        equation: "q = f pi D [h (Ts - Ta) + eps sigma (Ts^4 - Tr^4)] - Wabs",
        numbers: format!(
            "{} x pi x {} x [{} x ({} - {}) + {}] - {}",
            n(heat.share_left),
            n(cable.outer_diameter().as_metres()),
            n(heat.convection_w_per_m2_k),
            n(state.surface.as_degc()),
            n(piece.surroundings.air.as_degc()),
            n(heat.radiation_w_per_m2),
            n(piece.surroundings.absorbed.as_watts_per_m())
        ),
        result: format!("q = {} W/m", n(heat.given_off.as_watts_per_m())),
        source: format!(
            "{}; {}",
            cite(SourceId::Iec60287),
            cite(SourceId::ChurchillChu)
        ),
    }
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

fn mm(value: f32) -> String {
    format!("{} mm", n(value))
}
