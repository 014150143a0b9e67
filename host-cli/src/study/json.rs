//! The study as JSON; every key carries its unit.

use orangeloom_core::design::{Conductor, ContactorId, FuseId, Phase, System};
use orangeloom_core::protection::{ContactorCheck, FuseCheck, FuseWindow, Remedy, WindowSide};
use orangeloom_core::quantity::{
    Charge, Current, Energy, Mass, Resistance, Temperature, TemperatureDifference, Time, Voltage,
};
use orangeloom_core::study::{
    ConductorStudy, ContactorStudy, FuseStudy, Known, Repeating, Solved, StringStudy,
};
use orangeloom_core::verdict::{Judged, Verdict};
use serde::Serialize;

use super::chassis::MetalDocument;
use super::fault_report::FaultReport;
use super::faults::FaultRow;
use super::insulation::{InsulationDocument, InsulationReport};
use super::open::{Gaps, why};
use super::sequences::SequenceCheck;
use super::{Asked, Report, chassis, conductor, fuse_working, names, sequences};
use crate::document::{self, NamedLimit};
use crate::page::CAUTIONS;
use crate::working::Step;

/// Raised when a key changes its meaning or goes.
const SCHEMA_VERSION: u32 = 1;

#[derive(Serialize)]
struct Document {
    schema_version: u32,
    program: &'static str,
    program_version: &'static str,
    verdict: Verdict,
    vehicle: Option<String>,
    revision: Option<String>,
    files: Vec<String>,
    phases: Vec<PhaseRow>,
    conductors: Vec<ConductorRow>,
    battery: Battery,
    loads: Vec<LoadRow>,
    low_voltage: LowVoltage,
    mass: Masses,
    open: Vec<String>,
    /// Only with `--conductor`.
    #[serde(skip_serializing_if = "Option::is_none")]
    working: Option<Vec<Step>>,
    /// Only with `--faults`, as the next two.
    #[serde(skip_serializing_if = "Option::is_none")]
    faults: Option<Vec<FaultDocument>>,
    /// Faults that could not be solved, and why.
    #[serde(skip_serializing_if = "Option::is_none")]
    not_solved: Option<Vec<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    fuses: Option<Vec<FuseDocument>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    contactors: Option<Vec<ContactorDocument>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bond_straps: Option<Vec<MetalDocument>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shields: Option<Vec<MetalDocument>>,
    /// Only with `--insulation`.
    #[serde(skip_serializing_if = "Option::is_none")]
    insulation: Option<InsulationDocument>,
    /// Only with `--sequences`.
    #[serde(skip_serializing_if = "Option::is_none")]
    sequences: Option<Vec<SequenceCheck>>,
    cautions: [&'static str; 3],
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct PhaseRow {
    name: String,
    duration_s: Option<f32>,
    high_voltage: &'static str,
    low_voltage: &'static str,
    currents_A: serde_json::Map<String, serde_json::Value>,
    strings: Vec<Option<Span>>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct Span {
    lowest_V: f32,
    highest_V: f32,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct ConductorRow {
    id: String,
    from: String,
    to: String,
    system: Option<System>,
    cable: Option<String>,
    verdict: Verdict,
    margin_K: Option<f32>,
    largest_current_A: Option<f32>,
    largest_in_phase: Option<String>,
    hottest_during: Option<String>,
    hottest_in_zone: Option<String>,
    rms_current_A: Option<f32>,
    rms_window_s: Option<f32>,
    steady_temperature_degC: Option<f32>,
    peak_temperature_degC: Option<f32>,
    peak_after_s: Option<f32>,
    ampacity_A: Option<f32>,
    length_m: Option<f32>,
    mass_kg: Option<f32>,
    drop_V: Option<f32>,
    loss_W: Option<f32>,
    limits: Vec<NamedLimit>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct Battery {
    strings: Vec<StringRow>,
    highest_voltage_V: Option<f32>,
    lowest_voltage_V: Option<f32>,
    lowest_in_phase: Option<String>,
    energy_J: Option<f32>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct StringRow {
    batteries: Vec<String>,
    empty_V: Option<f32>,
    nominal_V: Option<f32>,
    full_V: Option<f32>,
    least_resistance_ohm: Option<f32>,
    most_resistance_ohm: Option<f32>,
    capacity_C: Option<f32>,
    energy_J: Option<f32>,
    cell_mass_kg: Option<f32>,
    sag_V: Option<f32>,
    largest_discharge_A: Option<f32>,
    largest_charge_A: Option<f32>,
    limits: Vec<NamedLimit>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct LoadRow {
    name: String,
    lowest_voltage_V: Option<f32>,
    lowest_in_phase: Option<String>,
    limits: Vec<NamedLimit>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct LowVoltage {
    drawn_A: Option<f32>,
    drawn_in_phase: Option<String>,
    reserve_s: Option<f32>,
    converters: Vec<ConverterRow>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct ConverterRow {
    name: String,
    largest_output_A: Option<f32>,
    limits: Vec<NamedLimit>,
}

#[derive(Serialize)]
#[allow(clippy::struct_field_names)] // each key carries its unit
struct Masses {
    cells_kg: Option<f32>,
    high_voltage_cable_kg: Option<f32>,
    low_voltage_cable_kg: Option<f32>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct FaultDocument {
    place: String,
    kind: &'static str,
    verdict: Verdict,
    highest_current_A: f32,
    lowest_current_A: f32,
    time_constant_s: f32,
    fed_by: Vec<String>,
    without_fuse_A: f32,
    cleared_by: Vec<String>,
    cleared_in_s: Option<f32>,
    end: String,
    hardest_on: Option<String>,
    i2t_A2s: Option<f32>,
    withstand_A2s: Option<f32>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct FuseDocument {
    name: String,
    verdict: Verdict,
    /// Why it could not be judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    open: Option<String>,
    lasting_current_A: Option<f32>,
    highest_fault_A: Option<f32>,
    lowest_fault_A: Option<f32>,
    conductors: Vec<String>,
    contactors: Vec<String>,
    contactor: Option<String>,
    limits: Vec<NamedLimit>,
    upstream: Vec<UpstreamDocument>,
    window: Option<WindowDocument>,
}

#[derive(Serialize)]
struct UpstreamDocument {
    fuse: String,
    verdict: Verdict,
    limits: Vec<NamedLimit>,
    open: Option<String>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct WindowDocument {
    verdict: Verdict,
    least_rated_A: Option<f32>,
    least_binds: Option<String>,
    most_rated_A: Option<f32>,
    most_binds: Option<String>,
    not_judged: Vec<String>,
    remedies: Vec<Remedy>,
}

#[derive(Serialize)]
struct ContactorDocument {
    name: String,
    verdict: Verdict,
    /// Why it could not be judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    open: Option<String>,
    limits: Vec<NamedLimit>,
    stays_closed: Option<BandDocument>,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct BandDocument {
    above_A: f32,
    fuse_first_from_A: Option<f32>,
    wait_s: Option<f32>,
}

fn fault(row: &FaultRow) -> FaultDocument {
    let judged = row.hardest.as_ref().map(|(_, judged)| judged);
    FaultDocument {
        place: row.place.clone(),
        kind: row.kind,
        verdict: row.verdict(),
        highest_current_A: row.most.as_amperes(),
        lowest_current_A: row.least.as_amperes(),
        time_constant_s: row.time_constant.as_seconds(),
        fed_by: row.fed_by.clone(),
        without_fuse_A: row.without_fuse.as_amperes(),
        cleared_by: row.cleared_by.clone(),
        cleared_in_s: row.cleared_in.map(Time::as_seconds),
        end: row.end.clone(),
        hardest_on: row.hardest.as_ref().map(|(name, _)| name.clone()),
        i2t_A2s: judged.and_then(|judged| judged.value),
        withstand_A2s: judged.and_then(|judged| judged.limit),
    }
}

/// Limits whose units differ.
fn of_units<N: Copy + Serialize>(
    judged: &[Judged<N>],
    unit: fn(N) -> &'static str,
) -> Vec<NamedLimit> {
    judged
        .iter()
        .flat_map(|judged| {
            limits(core::slice::from_ref(judged), unit(judged.name), |name| {
                key(&name)
            })
        })
        .collect()
}

fn fuses(report: &Report, faults: &FaultReport) -> Vec<FuseDocument> {
    let design = report.design();
    let document = |(id, studied): &(FuseId, Known<FuseStudy>)| {
        let name = names::name(design, *id);
        let studied = match studied {
            Ok(studied) => studied,
            Err(unknown) => {
                return FuseDocument {
                    name,
                    verdict: Verdict::Open,
                    open: Some(why(report, *unknown)),
                    lasting_current_A: None,
                    highest_fault_A: None,
                    lowest_fault_A: None,
                    conductors: Vec::new(),
                    contactors: Vec::new(),
                    contactor: None,
                    limits: Vec::new(),
                    upstream: Vec::new(),
                    window: None,
                };
            }
        };
        let burden = studied.faults.unwrap_or_default();
        FuseDocument {
            name,
            verdict: studied.verdict(),
            open: None,
            lasting_current_A: studied.lasting.ok().map(Current::as_amperes),
            highest_fault_A: burden.largest.map(Current::as_amperes),
            lowest_fault_A: burden.smallest.map(Current::as_amperes),
            conductors: studied
                .conductors
                .iter()
                .map(|id| names::circuit(design, *id))
                .collect(),
            contactors: studied
                .contactors
                .iter()
                .map(|id| names::name(design, *id))
                .collect(),
            contactor: studied.contactor.map(|id| names::name(design, id)),
            limits: of_units(&studied.checks, FuseCheck::unit),
            upstream: studied
                .selectivity
                .iter()
                .map(|pair| UpstreamDocument {
                    fuse: names::name(design, pair.upper),
                    verdict: pair.verdict(),
                    limits: of_units(&[pair.by_i2t, pair.by_time], FuseCheck::unit),
                    open: pair.because.map(|unknown| why(report, unknown)),
                })
                .collect(),
            window: studied.window.as_ref().map(window),
        }
    };
    faults.fuses.iter().map(document).collect()
}

fn window(window: &FuseWindow) -> WindowDocument {
    let side = |side: &WindowSide| match side {
        WindowSide::At(end) => (Some(end.rated.as_amperes()), Some(key(&end.binds))),
        WindowSide::Never(check) => (None, Some(key(check))),
        WindowSide::Free => (None, None),
    };
    let (least, least_binds) = side(&window.least);
    let (most, most_binds) = side(&window.most);
    WindowDocument {
        verdict: window.verdict,
        least_rated_A: least,
        least_binds,
        most_rated_A: most,
        most_binds,
        not_judged: window.open.iter().map(key).collect(),
        remedies: window.remedies.to_vec(),
    }
}

fn contactors(report: &Report, faults: &FaultReport) -> Vec<ContactorDocument> {
    let design = report.design();
    let document = |(id, studied): &(ContactorId, Known<ContactorStudy>)| {
        let name = names::name(design, *id);
        match studied {
            Ok(studied) => ContactorDocument {
                name,
                verdict: studied.verdict(),
                open: None,
                limits: of_units(&studied.checks, ContactorCheck::unit),
                stays_closed: studied.closed_band.map(|band| BandDocument {
                    above_A: band.above.as_amperes(),
                    fuse_first_from_A: band.fuse_first_from.map(Current::as_amperes),
                    wait_s: band.wait.map(Time::as_seconds),
                }),
            },
            Err(unknown) => ContactorDocument {
                name,
                verdict: Verdict::Open,
                open: Some(why(report, *unknown)),
                limits: Vec::new(),
                stays_closed: None,
            },
        }
    };
    faults.contactors.iter().map(document).collect()
}

/// The document, ending with a line break.
pub(crate) fn render(
    report: &Report,
    faults: Option<&FaultReport>,
    insulation: Option<&InsulationReport>,
    step_by_step: bool,
) -> Result<String, String> {
    let (design, study) = (report.design(), &report.study);
    let text = |id: Option<_>| id.and_then(|id| design.text(id)).map(String::from);
    let mass = |known: &Known<Mass>| known.ok().map(Mass::as_kg);
    document::text(&Document {
        schema_version: SCHEMA_VERSION,
        program: env!("CARGO_PKG_NAME"),
        program_version: env!("CARGO_PKG_VERSION"),
        verdict: report.verdict(),
        vehicle: text(design.vehicle.name),
        revision: text(design.vehicle.revision),
        files: report.read.sources.iter().map(|s| s.path.clone()).collect(),
        phases: phases(report),
        conductors: conductors(report),
        battery: battery(report),
        loads: loads(report),
        low_voltage: low_voltage(report),
        mass: Masses {
            cells_kg: mass(&study.pack.cell_mass),
            high_voltage_cable_kg: mass(&study.cable_mass),
            low_voltage_cable_kg: mass(&study.low_voltage_cable_mass),
        },
        open: Gaps::of(report).texts(report),
        working: match report.asked {
            Some(Asked::Conductor(id)) => Some(conductor::steps(report, id)),
            Some(Asked::Fuse(id)) => faults.map(|faults| fuse_working::steps(report, faults, id)),
            _ => None,
        },
        faults: faults.map(|faults| faults.rows.iter().map(fault).collect()),
        not_solved: faults.map(|faults| faults.refused.clone()),
        fuses: faults.map(|faults| fuses(report, faults)),
        contactors: faults.map(|faults| contactors(report, faults)),
        bond_straps: faults.map(|faults| chassis::documents(report, &faults.straps)),
        shields: faults.map(|faults| chassis::documents(report, &faults.shields)),
        insulation: insulation.map(|insulation| insulation.document(report)),
        sequences: step_by_step.then(|| sequences::document(report)),
        cautions: CAUTIONS,
    })
}

fn phases(report: &Report) -> Vec<PhaseRow> {
    let (design, points) = (report.design(), &report.study.points);
    design
        .all::<Phase>()
        .map(|(id, phase)| {
            let mut currents = serde_json::Map::new();
            for drawn in design.drawn() {
                if let (Some(name), Some(current)) =
                    (design.name(drawn.thing), points.current(id, drawn.thing))
                {
                    currents.insert(name.to_owned(), f64::from(current.as_amperes()).into());
                }
            }
            PhaseRow {
                name: names::name(design, id),
                duration_s: phase.duration.map(Time::as_seconds),
                high_voltage: state(points.solved(id, System::Traction)),
                low_voltage: state(points.solved(id, System::LowVoltage)),
                currents_A: currents,
                strings: (0..report.study.strings.len())
                    .map(|index| {
                        points.string(id, index).map(|span| Span {
                            lowest_V: span.lowest.as_volts(),
                            highest_V: span.highest.as_volts(),
                        })
                    })
                    .collect(),
            }
        })
        .collect()
}

const fn state(solved: Solved) -> &'static str {
    match solved {
        Solved::NotAsked => "not asked",
        Solved::Settled { guessed: None, .. } => "solved",
        Solved::Settled { .. } => "open",
        _ => "no operating point",
    }
}

fn conductors(report: &Report) -> Vec<ConductorRow> {
    let design = report.design();
    let systems = design.systems();
    design
        .all::<Conductor>()
        .filter(|(id, _)| match report.asked {
            Some(Asked::Conductor(asked)) => asked == *id,
            _ => true,
        })
        .map(|(id, lead)| {
            let studied = report.study.conductor(id);
            let known = studied.as_ref().ok();
            let warmest = known.and_then(|studied| studied.warmest.ok());
            let largest = known.and_then(|studied| studied.largest.ok());
            let (peak, after) = match warmest.map(|warmest| warmest.warmth.duty) {
                Some(Repeating::Periodic { peak, at, .. }) => {
                    (Some(peak.as_degc()), Some(at.as_seconds()))
                }
                _ => (None, None),
            };
            ConductorRow {
                id: names::circuit(design, id),
                from: names::name(design, lead.from),
                to: names::name(design, lead.to),
                system: systems.of(lead.from),
                cable: lead.cable.map(|cable| names::name(design, cable)),
                verdict: known.map_or(Verdict::Open, ConductorStudy::verdict),
                margin_K: known
                    .and_then(ConductorStudy::margin)
                    .map(TemperatureDifference::as_kelvin),
                largest_current_A: largest.map(|(_, current)| current.as_amperes()),
                largest_in_phase: largest.map(|(phase, _)| names::name(design, phase)),
                hottest_during: warmest.map(|warmest| names::name(design, warmest.operation)),
                hottest_in_zone: warmest.map(|warmest| names::zone(design, warmest.piece)),
                rms_current_A: warmest.map(|warmest| warmest.warmth.rms.as_amperes()),
                rms_window_s: warmest
                    .and_then(|warmest| warmest.warmth.window)
                    .map(Time::as_seconds),
                steady_temperature_degC: warmest
                    .and_then(|warmest| warmest.warmth.steady.conductor())
                    .map(Temperature::as_degc),
                peak_temperature_degC: peak,
                peak_after_s: after,
                ampacity_A: warmest
                    .and_then(|warmest| warmest.ampacity)
                    .map(Current::as_amperes),
                length_m: known.and_then(|studied| Some(studied.length.ok()?.as_metres())),
                mass_kg: known.and_then(|studied| Some(studied.mass.ok()?.as_kg())),
                drop_V: known.and_then(|studied| Some(studied.drop.ok()?.as_volts())),
                loss_W: known.and_then(|studied| Some(studied.loss.ok()?.as_watts())),
                limits: known.map_or_else(Vec::new, |studied| {
                    limits(&studied.limits, "degC", |name| key(&name))
                }),
            }
        })
        .collect()
}

/// The name of a limit as serde writes it.
fn key(name: &impl Serialize) -> String {
    serde_json::to_value(name)
        .ok()
        .and_then(|value| value.as_str().map(String::from))
        .unwrap_or_default()
}

fn limits<N: Copy>(
    judged: &[Judged<N>],
    unit: &'static str,
    name: impl Fn(N) -> String,
) -> Vec<NamedLimit> {
    judged
        .iter()
        .map(|judged| NamedLimit::new(name(judged.name), judged, unit))
        .collect()
}

fn battery(report: &Report) -> Battery {
    let (design, study) = (report.design(), &report.study);
    let lowest = study.pack.lowest_voltage.ok();
    Battery {
        strings: study
            .strings
            .iter()
            .map(|string| string_row(report, string))
            .collect(),
        highest_voltage_V: study.pack.highest_voltage.ok().map(Voltage::as_volts),
        lowest_voltage_V: lowest.map(|(_, voltage)| voltage.as_volts()),
        lowest_in_phase: lowest.map(|(phase, _)| names::name(design, phase)),
        energy_J: study.pack.energy.ok().map(Energy::as_joules),
    }
}

fn string_row(report: &Report, string: &StringStudy) -> StringRow {
    let design = report.design();
    let [empty, nominal, full] = string
        .voltages
        .map(|voltage| voltage.ok().map(Voltage::as_volts));
    let [least, most] = string
        .resistances
        .map(|ohms| ohms.ok().map(Resistance::as_ohms));
    StringRow {
        batteries: string
            .string
            .batteries
            .iter()
            .map(|battery| names::name(design, battery))
            .collect(),
        empty_V: empty,
        nominal_V: nominal,
        full_V: full,
        least_resistance_ohm: least,
        most_resistance_ohm: most,
        capacity_C: string.capacity.ok().map(Charge::as_coulombs),
        energy_J: string.energy.ok().map(Energy::as_joules),
        cell_mass_kg: string.cell_mass.ok().map(Mass::as_kg),
        sag_V: string.sag.ok().map(Voltage::as_volts),
        largest_discharge_A: string.discharge.ok().map(|(_, a)| a.as_amperes()),
        largest_charge_A: string.charge.ok().map(|(_, a)| a.as_amperes()),
        limits: limits(&string.limits, "A", |name| key(&name)),
    }
}

fn loads(report: &Report) -> Vec<LoadRow> {
    let design = report.design();
    report
        .study
        .loads
        .iter()
        .map(|load| LoadRow {
            name: names::name(design, load.load),
            lowest_voltage_V: load.lowest.ok().map(|(_, voltage)| voltage.as_volts()),
            lowest_in_phase: load
                .lowest
                .ok()
                .map(|(phase, _)| names::name(design, phase)),
            limits: limits(&load.limits, "V", |name| key(&name)),
        })
        .collect()
}

fn low_voltage(report: &Report) -> LowVoltage {
    let (design, study) = (report.design(), &report.study);
    let drawn = study.low_voltage.drawn.ok();
    LowVoltage {
        drawn_A: drawn.map(|(_, current)| current.as_amperes()),
        drawn_in_phase: drawn.map(|(phase, _)| names::name(design, phase)),
        reserve_s: study.low_voltage.reserve.ok().map(Time::as_seconds),
        converters: study
            .converters
            .iter()
            .map(|converter| ConverterRow {
                name: names::name(design, converter.converter),
                largest_output_A: converter.largest.ok().map(|(_, a)| a.as_amperes()),
                limits: limits(&[converter.output], "A", |name| key(&name)),
            })
            .collect(),
    }
}
