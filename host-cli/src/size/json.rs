//! The answer for other programs: keys end in their unit, always SI and degC.

use orangeloom_core::quantity::{
    Current, CurrentSquaredTime, Emissivity, Length, LinearPower, Resistance, Temperature, Time,
    Voltage,
};
use orangeloom_core::size::candidate::{Candidate, LimitName, PeakResult};
use orangeloom_core::size::headroom::{Edge, Headroom};
use orangeloom_core::size::question::Question;
use orangeloom_core::verdict::{Judged, Verdict};
use serde::Serialize;

use super::{Report, explain, names};
use crate::document::{self, NamedLimit, Stated};
use crate::page::CAUTIONS;
use crate::working::{Step, cite};

/// Raised when a key changes its meaning or goes away.
const SCHEMA_VERSION: u32 = 1;

#[derive(Serialize)]
struct Document {
    schema_version: u32,
    program: &'static str,
    program_version: &'static str,
    /// Of the choice, or of the judged section; `fails` when no section holds.
    verdict: Verdict,
    inputs: Inputs,
    choice: Option<Choice>,
    choice_other_series: Option<Choice>,
    candidates: Vec<Row>,
    headroom: Option<Room>,
    one_size_smaller: Option<SmallerRoom>,
    #[serde(skip_serializing_if = "Option::is_none")]
    working: Option<Vec<Step>>,
    cautions: [&'static str; CAUTIONS.len()],
}

#[derive(Serialize)]
#[allow(non_snake_case)] // units keep their case
struct Inputs {
    current_A: Stated<f32>,
    peaks: Stated<Vec<PeakInput>>,
    voltage_V: Stated<Option<f32>>,
    length_m: Stated<Option<f32>>,
    allowed_drop_percent: Stated<f32>,
    insulation_temperature_degC: Stated<f32>,
    short_circuit_temperature_degC: Stated<f32>,
    terminal_temperature_degC: Stated<Option<f32>>,
    joint_resistance_ohm: Stated<Option<f32>>,
    let_through_A2s: Stated<Option<f32>>,
    fault: Stated<Option<PeakInput>>,
    material: Stated<&'static str>,
    resistance_table: Stated<&'static str>,
    shield: Stated<bool>,
    shield_loss_W_per_m: Stated<f32>,
    shield_loss_ratio: Stated<f32>,
    ripple_A: Stated<Option<f32>>,
    ripple_frequency_Hz: Stated<Option<f32>>,
    axis_distance_mm: Stated<Option<f32>>,
    shield_resistance_ohm_per_km: Stated<Option<f32>>,
    frequency_Hz: Stated<f32>,
    margin: Stated<f32>,
    section_mm2: Stated<Option<f32>>,
    conductor_diameter_mm: Stated<Option<f32>>,
    insulation_wall_mm: Stated<Option<f32>>,
    shield_wall_mm: Stated<Option<f32>>,
    jacket_wall_mm: Stated<Option<f32>>,
    emissivity: Stated<Option<f32>>,
    route: Stated<Vec<PieceInput>>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct PeakInput {
    current_A: f32,
    duration_s: f32,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct PieceInput {
    written: Option<String>,
    circuits: u8,
    length_m: Option<f32>,
    ambient_degC: Stated<f32>,
    radiant_degC: Stated<f32>,
    altitude_m: Stated<f32>,
    absorbed_W_per_m: Stated<f32>,
}

#[derive(Serialize)]
struct Choice {
    section_mm2: f32,
    designation: String,
    verdict: Verdict,
    binding_limit: Option<String>,
    binding_share_used: Option<f32>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct Row {
    section_mm2: f32,
    designation: String,
    resistance_20degC_ohm_per_m: f32,
    resistance_source: String,
    steady_temperature_degC: Option<f32>,
    steady_temperature_with_margin_degC: Option<f32>,
    surface_temperature_degC: Option<f32>,
    ampacity_A: Option<f32>,
    ampacity_with_margin_A: Option<f32>,
    time_constant_s: Option<f32>,
    peaks: Vec<PeakRow>,
    voltage_drop_V: Option<f32>,
    voltage_drop_percent: Option<f32>,
    loss_W_per_m: Option<f32>,
    withstand_A2s: f32,
    withstand_standard_form_A2s: f32,
    withstand_k: f32,
    conductor_diameter_mm: f32,
    outer_diameter_mm: f32,
    generic_geometry: bool,
    mass_kg_per_m: f32,
    bend_radius_mm: f32,
    hottest_route_piece: usize,
    pieces: Vec<PieceRow>,
    limits: Vec<NamedLimit>,
    binding_limit: Option<String>,
    binding_share_used: Option<f32>,
    verdict: Verdict,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct PeakRow {
    current_A: f32,
    duration_s: f32,
    temperature_degC: Option<f32>,
    temperature_with_margin_degC: Option<f32>,
    voltage_drop_V: Option<f32>,
    voltage_drop_percent: Option<f32>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct PieceRow {
    share_of_free_air: Option<f32>,
    ampacity_A: Option<f32>,
    steady_temperature_degC: Option<f32>,
    steady_temperature_with_margin_degC: Option<f32>,
}

/// The value up to which it holds; or in words why there is none.
#[derive(Serialize)]
#[allow(non_snake_case)]
struct Room {
    holds_up_to_current_A: Option<f32>,
    current: &'static str,
    holds_up_to_ambient_degC: Option<f32>,
    ambient: &'static str,
    holds_up_to_length_m: Option<f32>,
    length: &'static str,
}

#[derive(Serialize)]
struct SmallerRoom {
    section_mm2: f32,
    designation: String,
    #[serde(flatten)]
    room: Room,
}

/// The document, ending with a line break.
pub(crate) fn render(report: &Report, explained: bool) -> Result<String, String> {
    let document = Document {
        schema_version: SCHEMA_VERSION,
        program: env!("CARGO_PKG_NAME"),
        program_version: env!("CARGO_PKG_VERSION"),
        verdict: report
            .subject()
            .map_or(Verdict::Fails, |candidate| candidate.verdict),
        inputs: inputs(report),
        choice: report.subject().map(choice),
        choice_other_series: report
            .other_choice
            .and_then(|index| report.candidates.get(index))
            .map(choice),
        candidates: report
            .candidates
            .iter()
            .map(|one| row(report, one))
            .collect(),
        headroom: report.room.as_ref().map(room),
        one_size_smaller: report.smaller.as_ref().and_then(|(index, headroom)| {
            let candidate = report.candidates.get(*index)?;
            Some(SmallerRoom {
                section_mm2: candidate.conductor.section.as_mm2(),
                designation: names::designation(candidate.conductor.designation),
                room: room(headroom),
            })
        }),
        working: explained.then(|| explain::steps(report)),
        cautions: CAUTIONS,
    };
    document::text(&document)
}

fn inputs(report: &Report) -> Inputs {
    let question = report.question();
    let asked = &report.asked;
    let dimensions = &question.dimensions;
    let mm = |length: Option<Length>| length.map(Length::as_mm);
    let degc = Temperature::as_degc;
    Inputs {
        current_A: stated(report, "current", question.current.as_amperes()),
        peaks: stated(report, "peak", peak_inputs(question)),
        voltage_V: stated(report, "voltage", question.voltage.map(Voltage::as_volts)),
        length_m: stated(report, "length", question.length()),
        allowed_drop_percent: stated(report, "drop", question.allowed_drop.as_percent()),
        insulation_temperature_degC: stated(
            report,
            "insulation_temperature",
            degc(question.insulation_limit),
        ),
        short_circuit_temperature_degC: stated(
            report,
            "short_circuit_temperature",
            degc(question.short_circuit_limit),
        ),
        terminal_temperature_degC: stated(report, "terminal", question.terminal_limit.map(degc)),
        joint_resistance_ohm: stated(report, "joint", question.joint.map(Resistance::as_ohms)),
        let_through_A2s: stated(
            report,
            "let_through",
            question.let_through.map(CurrentSquaredTime::as_a2s),
        ),
        fault: stated(
            report,
            "fault",
            asked.fault.map(|(current, duration)| PeakInput {
                current_A: current,
                duration_s: duration,
            }),
        ),
        material: stated(report, "material", question.metal.word()),
        resistance_table: stated(report, "strand", names::series_words(asked.series)),
        shield: stated(report, "shield", question.shielded),
        shield_loss_W_per_m: stated(
            report,
            "shield_loss",
            question.shield_loss.fixed.as_watts_per_m(),
        ),
        shield_loss_ratio: stated(
            report,
            "shield_loss_ratio",
            question.shield_loss.ratio.as_fraction(),
        ),
        ripple_A: stated(
            report,
            "ripple",
            question.ripple.map(|ripple| ripple.current.as_amperes()),
        ),
        ripple_frequency_Hz: stated(
            report,
            "ripple_frequency",
            (question.ripple)
                .and_then(|ripple| ripple.frequency)
                .map(orangeloom_core::quantity::Frequency::as_hertz),
        ),
        axis_distance_mm: stated(
            report,
            "axis_distance",
            mm(question.ripple.and_then(|ripple| ripple.spacing)),
        ),
        shield_resistance_ohm_per_km: stated(
            report,
            "shield_resistance",
            question.ripple.map(|ripple| ripple.braid.as_ohm_per_km()),
        ),
        frequency_Hz: stated(report, "frequency", question.frequency.as_hertz()),
        margin: stated(report, "margin", question.margin.as_fraction()),
        section_mm2: stated(
            report,
            "section",
            asked.judge.map(|one| one.section.as_mm2()),
        ),
        conductor_diameter_mm: stated(
            report,
            "conductor_diameter",
            mm(dimensions.conductor_diameter),
        ),
        insulation_wall_mm: stated(report, "insulation_wall", mm(dimensions.insulation_wall)),
        shield_wall_mm: stated(report, "shield_wall", mm(dimensions.shield_wall)),
        jacket_wall_mm: stated(report, "jacket_wall", mm(dimensions.jacket_wall)),
        emissivity: stated(
            report,
            "emissivity",
            dimensions.emissivity.map(Emissivity::as_fraction),
        ),
        route: stated(report, "route", route(report)),
    }
}

fn stated<T>(report: &Report, name: &str, value: T) -> Stated<T> {
    Stated {
        value,
        default: report.asked.is_default(name),
    }
}

fn peak_inputs(question: &Question) -> Vec<PeakInput> {
    let peaks = question.peaks.iter();
    peaks
        .map(|peak| PeakInput {
            current_A: peak.current.as_amperes(),
            duration_s: peak.duration.as_seconds(),
        })
        .collect()
}

fn route(report: &Report) -> Vec<PieceInput> {
    let asked = &report.asked;
    let pieces = report.question().route.iter().enumerate();
    pieces
        .map(|(index, piece)| {
            let place = &piece.surroundings;
            PieceInput {
                written: asked.entered.get(index).map(|piece| piece.written.clone()),
                circuits: piece.routing.circuits,
                length_m: piece.length.map(Length::as_metres),
                ambient_degC: Stated {
                    value: place.air.as_degc(),
                    default: asked.air_is_default(index),
                },
                radiant_degC: Stated {
                    value: place.radiant.as_degc(),
                    default: asked.radiant_is_default(index),
                },
                altitude_m: stated(report, "altitude", place.altitude.as_metres()),
                absorbed_W_per_m: stated(report, "absorbed", place.absorbed.as_watts_per_m()),
            }
        })
        .collect()
}

fn choice(candidate: &Candidate) -> Choice {
    Choice {
        section_mm2: candidate.conductor.section.as_mm2(),
        designation: names::designation(candidate.conductor.designation),
        verdict: candidate.verdict,
        binding_limit: binding_name(candidate),
        binding_share_used: binding_share(candidate),
    }
}

fn binding_name(candidate: &Candidate) -> Option<String> {
    candidate.binding.map(|(name, _)| names::limit_key(name))
}

/// Absent when the limit cannot be reached by any amount: JSON has no infinity.
fn binding_share(candidate: &Candidate) -> Option<f32> {
    candidate
        .binding
        .map(|(_, used)| used)
        .filter(|used| used.is_finite())
}

fn row(report: &Report, candidate: &Candidate) -> Row {
    let question = report.question();
    let cable = &candidate.cable;
    let hottest = candidate.hottest_piece();
    let amperes = |current: Option<Current>| current.map(Current::as_amperes);
    let drop = candidate.voltage_drop.map(Voltage::as_volts);
    let judged = candidate
        .limits
        .iter()
        .any(|limit| limit.name == LimitName::VoltageDrop && limit.value.is_some());
    let volts = question.voltage.filter(|_| judged).map(Voltage::as_volts);
    let percent = |drop: Option<Voltage>| Some(drop?.as_volts() / volts? * 100.0);
    Row {
        section_mm2: candidate.conductor.section.as_mm2(),
        designation: names::designation(candidate.conductor.designation),
        resistance_20degC_ohm_per_m: candidate.conductor.resistance_20.as_ohm_per_m(),
        resistance_source: cite(candidate.conductor.source),
        steady_temperature_degC: hottest.and_then(|piece| celsius(piece.steady.conductor())),
        steady_temperature_with_margin_degC: hottest
            .and_then(|piece| celsius(piece.steady_with_margin.conductor())),
        surface_temperature_degC: hottest.and_then(|piece| celsius(piece.steady.surface())),
        ampacity_A: amperes(candidate.ampacity),
        ampacity_with_margin_A: amperes(candidate.ampacity_with_margin(question.margin)),
        time_constant_s: candidate
            .time_constants(question.current)
            .ok()
            .and_then(|times| times.into_iter().map(Time::as_seconds).reduce(f32::min)),
        peaks: candidate
            .peaks
            .iter()
            .map(|peak| peak_row(peak, percent(peak.voltage_drop)))
            .collect(),
        voltage_drop_V: drop,
        voltage_drop_percent: percent(candidate.voltage_drop),
        loss_W_per_m: candidate.loss.map(LinearPower::as_watts_per_m),
        withstand_A2s: candidate.withstand.own_resistance.as_a2s(),
        withstand_standard_form_A2s: candidate.withstand.standard_form.as_a2s(),
        withstand_k: candidate.withstand.k,
        conductor_diameter_mm: cable.build().conductor_diameter.as_mm(),
        outer_diameter_mm: cable.outer_diameter().as_mm(),
        generic_geometry: question.dimensions.is_generic(),
        mass_kg_per_m: cable.linear_mass().as_kg_per_m(),
        bend_radius_mm: candidate.bend_radius.as_mm(),
        hottest_route_piece: candidate.hottest,
        pieces: candidate
            .pieces
            .iter()
            .map(|piece| PieceRow {
                share_of_free_air: piece.share.map(|share| share.total),
                ampacity_A: amperes(piece.ampacity),
                steady_temperature_degC: celsius(piece.steady.conductor()),
                steady_temperature_with_margin_degC: celsius(piece.steady_with_margin.conductor()),
            })
            .collect(),
        limits: candidate.limits.iter().map(limit_row).collect(),
        binding_limit: binding_name(candidate),
        binding_share_used: binding_share(candidate),
        verdict: candidate.verdict,
    }
}

fn celsius(temperature: Option<Temperature>) -> Option<f32> {
    temperature.map(Temperature::as_degc)
}

fn peak_row(peak: &PeakResult, voltage_drop_percent: Option<f32>) -> PeakRow {
    PeakRow {
        current_A: peak.peak.current.as_amperes(),
        duration_s: peak.peak.duration.as_seconds(),
        temperature_degC: celsius(peak.temperature),
        temperature_with_margin_degC: celsius(peak.temperature_with_margin),
        voltage_drop_V: peak.voltage_drop.map(Voltage::as_volts),
        voltage_drop_percent,
    }
}

fn limit_row(limit: &Judged<LimitName>) -> NamedLimit {
    NamedLimit::new(
        names::limit_key(limit.name),
        limit,
        names::limit_unit(limit.name),
    )
}

fn room(headroom: &Headroom) -> Room {
    Room {
        holds_up_to_current_A: value(headroom.current, Current::as_amperes),
        current: names::edge_key(&headroom.current),
        holds_up_to_ambient_degC: value(headroom.air, Temperature::as_degc),
        ambient: names::edge_key(&headroom.air),
        holds_up_to_length_m: value(headroom.length, Length::as_metres),
        length: names::edge_key(&headroom.length),
    }
}

fn value<T>(edge: Edge<T>, number: impl Fn(T) -> f32) -> Option<f32> {
    match edge {
        Edge::UpTo(limit) => Some(number(limit)),
        Edge::Always | Edge::Never | Edge::NotAsked => None,
    }
}
