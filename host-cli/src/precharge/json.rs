//! The answer for other programs: keys end in their unit, always SI.

use orangeloom_core::design::Draw;
use orangeloom_core::link::{
    Lock, Reached, ResistorWindow, SettledBy, StandingLoad, Stands, Threshold, WindowEnd,
};
use orangeloom_core::quantity::{Current, Energy, Power, Resistance, Time, Voltage};
use orangeloom_core::verdict::Verdict;
use serde::Serialize;

use super::ask::Asked;
use super::names::{Row, bound_key};
use super::next_steps::NextStep;
use super::{DischargeReport, JudgedResistor, Report, explain};
use crate::document::{self, Stated};
use crate::page::CAUTIONS;
use crate::quantity_text::Units;
use crate::spacing::names::domain;
use crate::working::{Step, cite, evidence};

/// Raised when a key changes its meaning or goes away.
const SCHEMA_VERSION: u32 = 1;

#[derive(Serialize)]
struct Document {
    schema_version: u32,
    program: &'static str,
    program_version: &'static str,
    /// The worst of all checks.
    verdict: Verdict,
    inputs: Inputs,
    /// The resistor that was judged; absent where none works.
    precharge: Option<PrechargeRow>,
    window: WindowRow,
    discharge: Option<DischargeRow>,
    checks: Vec<CheckRow>,
    next_steps: Vec<NextRow>,
    #[serde(skip_serializing_if = "Option::is_none")]
    working: Option<Vec<Step>>,
    cautions: [&'static str; CAUTIONS.len()],
}

#[derive(Serialize)]
#[allow(non_snake_case)] // units keep their case
struct Inputs {
    voltage_V: f32,
    lowest_V: Stated<f32>,
    nominal_V: Option<f32>,
    capacitance_F: f32,
    capacitance_tolerance: Stated<f32>,
    resistor_ohm: Option<f32>,
    resistor_tolerance: Stated<f32>,
    pulse_energy_J: Option<f32>,
    pulse_power_W: Option<f32>,
    resistor_power_W: Option<f32>,
    cooling_s: Stated<Option<f32>>,
    cut_out: bool,
    loads: Vec<LoadRow>,
    start_V: Stated<f32>,
    threshold: Stated<Option<f32>>,
    close_below_V: Option<f32>,
    time_out_s: Option<f32>,
    reaction_s: Stated<f32>,
    tries: Stated<u8>,
    pause_s: Stated<f32>,
    peak_current_A: Option<f32>,
    loop_resistance_ohm: Option<f32>,
    make_A: Option<f32>,
    bleed_ohm: Option<f32>,
    bleed_power_W: Option<f32>,
    discharge_ohm: Option<f32>,
    discharge_energy_J: Option<f32>,
    discharge_power_W: Option<f32>,
    discharge_cut_off_s: Option<f32>,
    discharge_time_s: Stated<Option<f32>>,
    label_s: Option<f32>,
    y_capacitance_F: Stated<f32>,
    domain: Stated<&'static str>,
    touchable_V: f32,
    touchable_source: String,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct LoadRow {
    power_W: Option<f32>,
    current_A: Option<f32>,
    resistance_ohm: Option<f32>,
    from_V: f32,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct PrechargeRow {
    resistor_ohm: f32,
    /// Whether the resistor was proposed and not entered.
    proposed: bool,
    time_constant_s: f32,
    /// Absent where the threshold is never reached.
    reached_s: Option<f32>,
    settles_V: f32,
    settles_by: SettledBy,
    settles_at_pack_V: f32,
    needed_V: f32,
    nominal_reached_s: Option<f32>,
    peak_current_A: f32,
    peak_power_W: f32,
    try_energy_J: Option<f32>,
    series_energy_J: Option<f32>,
    lock: &'static str,
    lock_s: Option<f32>,
    shorted_power_W: f32,
    stands_shorted: &'static str,
    stands_shorted_s: Option<f32>,
    left_on_closing_V: f32,
    closing_energy_J: f32,
    inrush_A: Option<f32>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct WindowRow {
    empty: bool,
    smallest_ohm: Option<f32>,
    smallest_from: Option<&'static str>,
    largest_ohm: Option<f32>,
    largest_from: Option<&'static str>,
    preferred_ohm: Option<f32>,
    pulse_energy: Verdict,
    ends: Vec<EndRow>,
}

#[derive(Serialize)]
struct EndRow {
    bound: &'static str,
    side: &'static str,
    /// Absent where no resistance at all satisfies it.
    resistance_ohm: Option<f32>,
    source: String,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct DischargeRow {
    capacitance_F: f32,
    energy_J: f32,
    passive_s: Option<f32>,
    label_s: Option<f32>,
    bleed_power_W: Option<f32>,
    active_s: Option<f32>,
    welded_power_W: Option<f32>,
    stands_welded: Option<&'static str>,
    stands_welded_s: Option<f32>,
    largest_for_time_ohm: Option<f32>,
    power_of_largest_for_time_W: Option<f32>,
    largest_for_label_ohm: Option<f32>,
}

#[derive(Serialize)]
struct CheckRow {
    name: &'static str,
    unit: &'static str,
    value: Option<f32>,
    limit: Option<f32>,
    side: &'static str,
    margin: Option<f32>,
    verdict: Verdict,
    source: String,
    evidence: &'static str,
}

#[derive(Serialize)]
struct NextRow {
    about: &'static str,
    advice: String,
}

/// The document.
pub(crate) fn render(report: &Report<'_>, explained: bool) -> Result<String, String> {
    document::text(&Document {
        schema_version: SCHEMA_VERSION,
        program: env!("CARGO_PKG_NAME"),
        program_version: env!("CARGO_PKG_VERSION"),
        verdict: report.verdict(),
        inputs: inputs(report.asked),
        precharge: report
            .judged
            .as_ref()
            .map(|judged| precharge_row(report.asked, judged)),
        window: window_row(&report.window),
        discharge: report.discharge.as_ref().map(discharge_row),
        checks: report.rows().iter().map(check_row).collect(),
        next_steps: report.next.iter().map(next_row).collect(),
        working: explained.then(|| explain::steps(report)),
        cautions: CAUTIONS,
    })
}

fn inputs(asked: &Asked) -> Inputs {
    let given = &asked.given;
    let (threshold, close_below) = match asked.threshold {
        Threshold::Share(share) => (Some(share.as_fraction()), None),
        Threshold::Left(left) => (None, Some(left.as_volts())),
    };
    let cooling = asked.rating.cooling().map(|(time, _)| time.as_seconds());
    Inputs {
        voltage_V: asked.highest.as_volts(),
        lowest_V: stated(asked, "lowest", asked.lowest.as_volts()),
        nominal_V: asked.nominal.map(Voltage::as_volts),
        capacitance_F: asked.capacitance.as_farads(),
        capacitance_tolerance: stated(
            asked,
            "capacitance_tolerance",
            asked.capacitance_tolerance.as_fraction(),
        ),
        resistor_ohm: asked.resistor.map(Resistance::as_ohms),
        resistor_tolerance: stated(
            asked,
            "resistor_tolerance",
            asked.resistor_tolerance.as_fraction(),
        ),
        pulse_energy_J: given.pulse_energy.map(Energy::as_joules),
        pulse_power_W: given.pulse_power.map(Power::as_watts),
        resistor_power_W: given.resistor_power.map(Power::as_watts),
        cooling_s: Stated {
            value: cooling,
            default: given.cooling.is_none(),
        },
        cut_out: given.cut_out,
        loads: asked.loads.iter().map(load_row).collect(),
        start_V: stated(asked, "start", asked.start.as_volts()),
        threshold: stated(asked, "threshold", threshold),
        close_below_V: close_below,
        time_out_s: asked.time_out.map(Time::as_seconds),
        reaction_s: stated(asked, "reaction", asked.reaction.as_seconds()),
        tries: stated(asked, "tries", asked.tries.count),
        pause_s: stated(asked, "pause", asked.tries.pause.as_seconds()),
        peak_current_A: given.peak_current.map(Current::as_amperes),
        loop_resistance_ohm: given.loop_resistance.map(Resistance::as_ohms),
        make_A: given.make.map(Current::as_amperes),
        bleed_ohm: given.bleed.map(Resistance::as_ohms),
        bleed_power_W: given.bleed_power.map(Power::as_watts),
        discharge_ohm: given.discharge.map(Resistance::as_ohms),
        discharge_energy_J: given.discharge_energy.map(Energy::as_joules),
        discharge_power_W: given.discharge_power.map(Power::as_watts),
        discharge_cut_off_s: given.discharge_cut_off.map(Time::as_seconds),
        discharge_time_s: stated(asked, "discharge_time", asked.wanted.map(Time::as_seconds)),
        label_s: given.label.map(Time::as_seconds),
        y_capacitance_F: stated(asked, "y_capacitance", asked.y_capacitance.as_farads()),
        domain: stated(asked, "domain", domain(asked.domain)),
        touchable_V: asked.safe.as_volts(),
        touchable_source: cite(asked.safe_source),
    }
}

fn stated<T>(asked: &Asked, input: &str, value: T) -> Stated<T> {
    Stated {
        value,
        default: asked.is_default(input),
    }
}

fn load_row(load: &StandingLoad) -> LoadRow {
    let mut row = LoadRow {
        power_W: None,
        current_A: None,
        resistance_ohm: None,
        from_V: load.from.as_volts(),
    };
    match load.draw {
        Draw::Power(power) => row.power_W = Some(power.as_watts()),
        Draw::Current(current) => row.current_A = Some(current.as_amperes()),
        Draw::Resistance(resistance) => row.resistance_ohm = Some(resistance.as_ohms()),
    }
    row
}

fn precharge_row(asked: &Asked, judged: &JudgedResistor<'_>) -> PrechargeRow {
    let found = &judged.found;
    let (lock, lock_s) = match found.lock {
        Lock::For(time) => ("for", Some(time.as_seconds())),
        Lock::Never => ("never", None),
        Lock::NotKnown => ("not-known", None),
    };
    let (stands, stands_s) = stands(found.stands);
    PrechargeRow {
        resistor_ohm: judged.input.resistance.as_ohms(),
        proposed: asked.resistor.is_none(),
        time_constant_s: found.time_constant.as_seconds(),
        reached_s: found.reached.time().map(Time::as_seconds),
        settles_V: found.settled.voltage.as_volts(),
        settles_by: found.settled.by,
        settles_at_pack_V: found.settled_at.as_volts(),
        needed_V: found.needed.as_volts(),
        nominal_reached_s: judged
            .expected
            .as_ref()
            .and_then(|expected| Reached::time(expected.reached))
            .map(Time::as_seconds),
        peak_current_A: found.peak_current.as_amperes(),
        peak_power_W: found.peak_power.as_watts(),
        try_energy_J: found.try_energy.map(Energy::as_joules),
        series_energy_J: found.series_energy.map(Energy::as_joules),
        lock,
        lock_s,
        shorted_power_W: found.shorted_power.as_watts(),
        stands_shorted: stands,
        stands_shorted_s: stands_s,
        left_on_closing_V: found.left.as_volts(),
        closing_energy_J: found.closing_energy.as_joules(),
        inrush_A: found.inrush.map(Current::as_amperes),
    }
}

const fn stands(stands: Stands) -> (&'static str, Option<f32>) {
    match stands {
        Stands::For(time) => ("for", Some(time.as_seconds())),
        Stands::Always => ("always", None),
        Stands::NotKnown => ("not-known", None),
    }
}

fn window_row(window: &ResistorWindow) -> WindowRow {
    let ohms = |end: Option<WindowEnd>| end?.resistance.map(Resistance::as_ohms);
    let from = |end: Option<WindowEnd>| end.map(|end| bound_key(end.bound));
    let row = |side| {
        move |end: &WindowEnd| EndRow {
            bound: bound_key(end.bound),
            side,
            resistance_ohm: end.resistance.map(Resistance::as_ohms),
            source: cite(end.bound.source()),
        }
    };
    let lower = window.lower.iter().flatten().map(row("at-least"));
    let upper = window.upper.iter().flatten().map(row("at-most"));
    WindowRow {
        empty: window.is_empty(),
        smallest_ohm: ohms(window.smallest()),
        smallest_from: from(window.smallest()),
        largest_ohm: ohms(window.largest()),
        largest_from: from(window.largest()),
        preferred_ohm: window.preferred().map(Resistance::as_ohms),
        pulse_energy: window.pulse,
        ends: lower.chain(upper).collect(),
    }
}

fn discharge_row(report: &DischargeReport) -> DischargeRow {
    let found = &report.found;
    let welded = found.stands.map(stands);
    DischargeRow {
        capacitance_F: found.capacitance.as_farads(),
        energy_J: found.energy.as_joules(),
        passive_s: found.passive.map(Time::as_seconds),
        label_s: found.label.map(Time::as_seconds),
        bleed_power_W: found.bleed_power.map(Power::as_watts),
        active_s: found.active.map(Time::as_seconds),
        welded_power_W: found.welded_power.map(Power::as_watts),
        stands_welded: welded.map(|(word, _)| word),
        stands_welded_s: welded.and_then(|(_, time)| time),
        largest_for_time_ohm: report
            .for_wanted
            .and_then(|window| window.largest)
            .map(Resistance::as_ohms),
        power_of_largest_for_time_W: report
            .for_wanted
            .and_then(|window| window.power_of_largest)
            .map(Power::as_watts),
        largest_for_label_ohm: report
            .for_label
            .and_then(|window| window.largest)
            .map(Resistance::as_ohms),
    }
}

fn check_row(row: &Row) -> CheckRow {
    CheckRow {
        name: row.key,
        unit: row.unit,
        value: row.value,
        limit: row.limit,
        side: if row.at_least { "at-least" } else { "at-most" },
        margin: row.margin,
        verdict: row.verdict,
        source: cite(row.source),
        evidence: evidence(row.source),
    }
}

fn next_row(step: &NextStep) -> NextRow {
    NextRow {
        about: step.about,
        advice: step.words(Units::Metric),
    }
}
