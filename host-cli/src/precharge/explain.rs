//! The working: each equation with the numbers in it.
//!
//! All values come from the core; here they are only put into words.

use orangeloom_core::design::Draw;
use orangeloom_core::link::{Reached, Stands};
use orangeloom_core::quantity::{Capacitance, Energy, Power, Resistance, Time, Voltage};
use orangeloom_core::standard::SourceId;

use super::{DischargeReport, JudgedResistor, Report};
use crate::working::{Step, cite, n};

/// Every step behind the answer.
pub(crate) fn steps(report: &Report<'_>) -> Vec<Step> {
    let mut steps = Vec::new();
    if let Some(judged) = &report.judged {
        steps.extend(charging(judged));
        steps.extend(heating(report, judged));
    }
    if let Some(discharge) = &report.discharge {
        steps.extend(discharging(report, discharge));
    }
    steps
}

fn step(
    what: &'static str,
    equation: &'static str,
    numbers: String,
    result: String,
    source: SourceId,
) -> Step {
    Step {
        what,
        equation,
        numbers,
        result,
        source: cite(source),
    }
}

fn v(voltage: Voltage) -> String {
    n(voltage.as_volts())
}

fn j(energy: Energy) -> String {
    format!("{} J", n(energy.as_joules()))
}

fn w(power: Power) -> String {
    format!("{} W", n(power.as_watts()))
}

fn s(time: Time) -> String {
    format!("{} s", n(time.as_seconds()))
}

/// The worst corner: highest resistance and capacitance.
fn corner(judged: &JudgedResistor<'_>) -> (Resistance, Capacitance) {
    let input = &judged.input;
    input
        .circuit(input.highest, true)
        .map_or((input.resistance, input.capacitance), |circuit| {
            (circuit.resistance, circuit.capacitance)
        })
}

fn charging(judged: &JudgedResistor<'_>) -> Vec<Step> {
    let (input, found) = (&judged.input, &judged.found);
    let (resistance, capacitance) = corner(judged);
    let (r, c) = (n(resistance.as_ohms()), n(capacitance.as_farads()));
    let loads: Vec<String> = input
        .loads
        .iter()
        .map(|load| match load.draw {
            Draw::Power(power) => format!("{} W / U from {} V", n(power.as_watts()), v(load.from)),
            Draw::Current(current) => {
                format!("{} A from {} V", n(current.as_amperes()), v(load.from))
            }
            Draw::Resistance(ohms) => {
                format!("U / {} ohm from {} V", n(ohms.as_ohms()), v(load.from))
            }
        })
        .collect();
    let drawn = if loads.is_empty() {
        "nothing".to_owned()
    } else {
        loads.join(" + ")
    };
    let circuit = SourceId::CapacitorCircuit;
    let mut steps = vec![step(
        "where the link settles, at the highest resistance",
        "(U0 - U) / R = I(U)",
        format!("({} V - U) / {r} ohm against {drawn}", v(found.settled_at)),
        format!("{} V", v(found.settled.voltage)),
        circuit,
    )];
    let (equation, numbers) = if input.loads.is_empty() {
        (
            "t = R C ln((U0 - Us) / (U0 - U))",
            format!(
                "{r} ohm x {c} F, up to where {} V of {} V are left",
                v(input.threshold.left(input.highest).unwrap_or(found.left)),
                v(input.highest)
            ),
        )
    } else {
        (
            "R C U dU/dt = -(1 + R G) U2 + (U0 - R I) U - R P, closed form over U",
            format!("{r} ohm, {c} F, drawn {drawn}; both ends of the pack voltage"),
        )
    };
    steps.push(step(
        "time to the threshold, the longest",
        equation,
        numbers,
        match found.reached {
            Reached::After { time, .. } => s(time),
            Reached::Never(_) => "never".to_owned(),
        },
        circuit,
    ));
    // The end of the pack voltage that the link begins farther from.
    let forward = input.highest.as_volts() - input.start.as_volts();
    let (first, second) = if input.start.as_volts() - input.lowest.as_volts() > forward {
        (input.start, input.lowest)
    } else {
        (input.highest, input.start)
    };
    steps.push(step(
        "first current, at the lowest resistance",
        "I = |U0 - Us| / R",
        format!(
            "({} - {}) V over {} ohm less its tolerance",
            v(first),
            v(second),
            n(input.resistance.as_ohms())
        ),
        format!("{} A", n(found.peak_current.as_amperes())),
        SourceId::OhmsLaw,
    ));
    if let (Some(inrush), Some(ohms)) = (found.inrush, input.loop_resistance) {
        let left = if judged.begins_above() {
            format!("({} - {}) V", v(input.start), v(input.lowest))
        } else {
            format!("{} V", v(found.left))
        };
        steps.push(step(
            "current on closing",
            "I = dU / R",
            format!("{left} / {} ohm", n(ohms.as_ohms())),
            format!("{} A", n(inrush.as_amperes())),
            SourceId::OhmsLaw,
        ));
    }
    steps
}

fn heating(report: &Report<'_>, judged: &JudgedResistor<'_>) -> Vec<Step> {
    let (input, found) = (&judged.input, &judged.found);
    let (_, capacitance) = corner(judged);
    let mut steps = Vec::new();
    if let Some(energy) = found.try_energy {
        let equation = if input.loads.is_empty() {
            "E = C/2 ((U0 - Us)2 - (U0 - U)2)"
        } else {
            "E = integral of (U0 - U)2 / R, closed form over U"
        };
        steps.push(step(
            "energy of one try in the resistor, the most",
            equation,
            format!(
                "{} F, {} V, {}",
                n(capacitance.as_farads()),
                v(input.highest),
                match input.time_out {
                    Some(time) => format!("until {} + {}", s(time), s(input.reaction)),
                    None => "until the threshold".to_owned(),
                }
            ),
            j(energy),
            SourceId::CapacitorCircuit,
        ));
        if let Some(series) = found.series_energy {
            steps.push(step(
                "stored after all tries",
                "q = E (1 - a^N) / (1 - a), a = exp(-pause / T); N E without a pause",
                format!(
                    "{} tries of {}, pause {}, T {}",
                    input.tries.count,
                    j(energy),
                    s(input.tries.pause),
                    report.asked.rating.cooling().map_or_else(
                        || "not known, nothing is given off".to_owned(),
                        |(t, _)| s(t)
                    )
                ),
                j(series),
                SourceId::ResistorHeat,
            ));
        }
    }
    if let Stands::For(time) = found.stands {
        steps.push(step(
            "how long the resistor stands a shorted link",
            "t = -T ln(1 - Ep / (P T)); Ep / P where T is not known",
            format!(
                "{}, pulse {}",
                w(found.shorted_power),
                input.rating.pulse.map_or_else(|| "not known".to_owned(), j)
            ),
            s(time),
            SourceId::ResistorHeat,
        ));
    }
    steps
}

fn discharging(report: &Report<'_>, discharge: &DischargeReport) -> Vec<Step> {
    let (input, found) = (&discharge.input, &discharge.found);
    let tolerance = n(report.asked.resistor_tolerance.as_percent());
    let mut steps = vec![step(
        "voltage that may be touched",
        "limit of the domain",
        crate::spacing::names::domain(report.asked.domain).to_owned(),
        format!("{} V", v(input.safe)),
        report.asked.safe_source,
    )];
    let time = |ohms: Resistance| {
        format!(
            "{} ohm + {tolerance} %, {} F, {} V to {} V",
            n(ohms.as_ohms()),
            n(found.capacitance.as_farads()),
            v(input.highest),
            v(input.safe)
        )
    };
    if let (Some(bleed), Some(passive)) = (input.bleed, found.passive) {
        steps.push(step(
            "time by the bleed alone",
            "t = R C ln(U / Us)",
            time(bleed.resistance),
            s(passive),
            SourceId::CapacitorCircuit,
        ));
    }
    if let (Some(bleed), Some(power)) = (input.bleed, found.bleed_power) {
        steps.push(step(
            "power of the bleed",
            "P = U2 / R",
            format!(
                "{} V, {} ohm - {tolerance} %",
                v(input.highest),
                n(bleed.resistance.as_ohms())
            ),
            w(power),
            SourceId::OhmsLaw,
        ));
    }
    if let (Some(active), Some(needed)) = (input.active, found.uncut) {
        steps.push(step(
            "time with the active discharge, the bleed beside it",
            "t = R C ln(U / Us)",
            time(active.resistance),
            s(needed),
            SourceId::CapacitorCircuit,
        ));
        if let (Some(cut_off), Some(left)) = (active.cut_off, found.left) {
            steps.push(step(
                "voltage at its cut-off, before that",
                "Ul = U exp(-toff / (R C))",
                format!("{}, {} V", s(cut_off), v(input.highest)),
                format!("{} V", v(left)),
                SourceId::CapacitorCircuit,
            ));
            if let (Some(bleed), Some(reached)) = (input.bleed, found.active) {
                steps.push(step(
                    "time with the bleed alone for the rest",
                    "t = toff + R C ln(Ul / Us)",
                    format!(
                        "{}, {} ohm + {tolerance} %, {} F, {} V to {} V",
                        s(cut_off),
                        n(bleed.resistance.as_ohms()),
                        n(found.capacitance.as_farads()),
                        v(left),
                        v(input.safe)
                    ),
                    s(reached),
                    SourceId::CapacitorCircuit,
                ));
            }
        }
    }
    steps
}
