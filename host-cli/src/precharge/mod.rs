//! `orangeloom precharge`: how a link is charged and discharged, and which resistors do it.

mod args;
mod ask;
mod explain;
mod json;
mod load_text;
pub(crate) mod names;
mod next_steps;
pub(crate) mod text;

pub use args::PrechargeArgs;

use orangeloom_core::error::Error;
use orangeloom_core::link::{
    Bleed, BleedWindow, ChargingCircuit, Discharge, DischargeInput, Precharge, PrechargeInput,
    Reached, ResistorWindow, Settled, StandingLoad, bleed_window, discharge, precharge,
    resistor_window,
};
use orangeloom_core::quantity::{Power, Resistance, Share, Voltage};
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::quantity_text::{ToText, Units, parse};
use ask::Asked;
use names::Row;
use next_steps::NextStep;

/// The answer with everything that the renderers show.
pub(crate) struct Report<'a> {
    asked: &'a Asked,
    window: ResistorWindow,
    /// The resistor that is judged: the entered one, or one of the window.
    judged: Option<JudgedResistor<'a>>,
    discharge: Option<DischargeReport>,
    next: Vec<NextStep>,
}

/// One precharge resistor and what it does.
pub(crate) struct JudgedResistor<'a> {
    input: PrechargeInput<'a>,
    found: Precharge,
    expected: Option<Expected>,
}

impl JudgedResistor<'_> {
    /// Whether most is left on closing because the link begins above the pack.
    fn begins_above(&self) -> bool {
        let threshold = self.input.threshold.left(self.input.highest);
        threshold.is_ok_and(|left| left < self.found.left)
    }
}

/// What to expect on an ordinary day, without tolerances.
pub(crate) struct Expected {
    source: Voltage,
    settled: Settled,
    reached: Reached,
}

/// The discharge and the resistors that would do.
pub(crate) struct DischargeReport {
    input: DischargeInput,
    /// Of the resistors.
    tolerance: Share,
    found: Discharge,
    /// For the wanted time, where one is wanted.
    for_wanted: Option<BleedWindow>,
    /// For the time on the label, where there is one.
    for_label: Option<BleedWindow>,
}

impl DischargeReport {
    /// The largest resistor of a window, rounded down as it is printed, with the power that
    /// this one takes.
    fn largest_as_printed(&self, window: &BleedWindow) -> Option<(Resistance, Option<Power>)> {
        let largest = window.largest?;
        let printed = parse(&largest.at_most(Units::Metric)).unwrap_or(largest);
        let bleed = Bleed {
            resistance: printed,
            tolerance: self.tolerance,
            power: None,
        };
        let with_it = DischargeInput {
            bleed: Some(bleed),
            active: None,
            ..self.input
        };
        let power = discharge(&with_it).ok().and_then(|found| found.bleed_power);
        Some((printed, power))
    }
}

impl Report<'_> {
    /// Every check, in the order of the table.
    fn rows(&self) -> Vec<Row> {
        let precharge = self.judged.iter().flat_map(|one| &one.found.checks);
        let discharge = self.discharge.iter().flat_map(|one| &one.found.checks);
        precharge
            .map(names::precharge_row)
            .chain(discharge.map(names::discharge_row))
            .filter(|row| row.verdict != Verdict::NotApplicable)
            .collect()
    }

    /// The worst verdict of all.
    fn verdict(&self) -> Verdict {
        // No resistor is left to judge where the window is empty.
        let start = match self.judged {
            None => Verdict::Fails,
            Some(_) => Verdict::NotApplicable,
        };
        self.rows()
            .iter()
            .fold(start, |worst, row| worst.worse(row.verdict))
    }
}

/// Answers one question about precharge.
pub fn run(args: &PrechargeArgs) -> Outcome {
    match answer(args) {
        Ok((text, exit)) => Outcome::result(text, exit),
        Err(message) => Outcome::unusable(&message),
    }
}

fn answer(args: &PrechargeArgs) -> Result<(String, Exit), String> {
    let asked = args.ask()?;
    let report = find(&asked).map_err(|error| ask::advice(error, &asked))?;
    if report.judged.is_none() && !report.window.is_empty() {
        return Err(
            "no resistor can be proposed: state --resistor, or what limits it (--time-out, \
             --peak-current, --pulse-power, --pulse-energy)"
                .into(),
        );
    }
    let text = if args.json {
        json::render(&report, args.explain)?
    } else {
        text::render(&report, args.explain)
    };
    let none_works = report.judged.is_none().then_some((Verdict::Fails, true));
    let checks = report.rows();
    let checks = checks.iter().map(|row| (row.verdict, row.asked));
    let exit = Exit::of(checks.chain(none_works));
    Ok((text, exit))
}

fn find(asked: &Asked) -> Result<Report<'_>, Error> {
    // The window does not look at the resistor.
    let any = asked
        .resistor
        .map_or_else(|| Resistance::from_ohms(1.0), Ok)?;
    let window = resistor_window(&asked.input(any))?;
    let resistor = asked.resistor.or_else(|| proposed(&window));
    let judged = match resistor {
        None => None,
        Some(resistance) => {
            let input = asked.input(resistance);
            Some(JudgedResistor {
                found: precharge(&input)?,
                expected: asked
                    .nominal
                    .map(|source| expected(&input, &asked.ordinary_loads, source))
                    .transpose()?,
                input,
            })
        }
    };
    let discharge = asked
        .discharge()
        .map(|input| discharged(asked, input))
        .transpose()?;
    let next = next_steps::find(asked, &window, judged.as_ref(), discharge.as_ref())?;
    Ok(Report {
        asked,
        window,
        judged,
        discharge,
        next,
    })
}

/// A preferred value, or an end of a window that has none inside.
fn proposed(window: &ResistorWindow) -> Option<Resistance> {
    if window.is_empty() {
        return None;
    }
    window
        .preferred()
        .or_else(|| window.smallest()?.resistance)
        .or_else(|| window.largest()?.resistance)
}

fn expected(
    input: &PrechargeInput<'_>,
    loads: &[StandingLoad],
    source: Voltage,
) -> Result<Expected, Error> {
    let circuit = ChargingCircuit {
        source,
        resistance: input.resistance,
        capacitance: input.capacitance,
        start: input.start,
        loads,
    };
    Ok(Expected {
        source,
        settled: circuit.settles()?,
        reached: circuit.reaches(input.threshold.link(source)?)?,
    })
}

fn discharged(asked: &Asked, input: DischargeInput) -> Result<DischargeReport, Error> {
    let tolerance = asked.resistor_tolerance;
    let power = asked.given.bleed_power;
    let window = |time| bleed_window(&input, tolerance, power, time);
    Ok(DischargeReport {
        found: discharge(&input)?,
        for_wanted: input.wanted.map(window).transpose()?,
        for_label: input.label.map(window).transpose()?,
        input,
        tolerance,
    })
}
