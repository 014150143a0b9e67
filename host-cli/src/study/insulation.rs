//! What the insulation and the shields of a design have to be, for people and as JSON.

use comfy_table::{CellAlignment, Table};
use orangeloom_core::quantity::{ConductorArea, Energy, Length, Voltage};
use orangeloom_core::shield::{CableVoltageClass, ShieldNeed};
use orangeloom_core::standard::iec60664::PollutionDegree;
use orangeloom_core::study::insulation::{CircuitInsulation, Distances, InsulationStudy};
use orangeloom_core::study::{Known, Unknown};
use orangeloom_core::verdict::{Judged, Verdict};
use serde::Serialize;

use super::faults::with_unit;
use super::open::{Gaps, why};
use super::{Report, names};
use crate::document::Limit;
use crate::page::{self, Sources, align, plain_table, wrap};
use crate::quantity_text::ToText;
use crate::working::{cite, n_down, n_up, value_and_limit};

/// What is checked of the isolation monitor, in the order of the study, and its unit.
const MONITOR: [(&str, &str); 5] = [
    ("capacitance", "F"),
    ("highest voltage", "V"),
    ("lowest voltage", "V"),
    ("response", "s"),
    ("alarm", "ohm"),
];

/// The study of the insulation with every circuit.
pub(crate) struct InsulationReport {
    study: Box<InsulationStudy>,
    circuits: Vec<CircuitInsulation>,
}

impl InsulationReport {
    pub(crate) fn new(report: &Report) -> Self {
        let design = report.design();
        let study = Box::new(InsulationStudy::find(design));
        let circuits = study
            .circuits()
            .filter_map(|id| {
                let hottest = report.study.conductor(id).ok();
                let hottest = hottest.and_then(|studied| studied.warmest.ok()?.warmth.hottest());
                study.circuit(design, id, hottest)
            })
            .collect();
        Self { study, circuits }
    }

    pub(crate) fn verdict(&self) -> Verdict {
        let circuits = self.circuits.iter().map(CircuitInsulation::verdict);
        circuits.fold(self.study.verdict(), Verdict::worse)
    }

    /// Every block for people.
    pub(crate) fn blocks(&self, report: &Report, sources: &mut Sources) -> Vec<String> {
        vec![
            self.headline(report),
            self.boxes(report),
            self.built(report, sources),
            self.to_chassis(report, sources),
            self.circuits(report),
            self.open(report),
        ]
    }

    fn headline(&self, report: &Report) -> String {
        let study = &self.study;
        let voltage = match study.highest {
            Ok(voltage) => format!("at {}", voltage.at_least(report.units)),
            Err(unknown) => format!("open, {}", why(report, unknown)),
        };
        let impulse = if study.impulse_assumed {
            "; impulse voltage not stated: overvoltage category II is taken"
        } else {
            ""
        };
        wrap(
            "",
            &format!("Insulation {voltage}: {}{impulse}.", self.verdict().word()),
        )
    }

    /// What each box asks for.
    fn boxes(&self, report: &Report) -> String {
        if self.study.boxes.is_empty() {
            return String::new();
        }
        let mut table = plain_table();
        table.set_header([
            "box",
            "pollution\ndegree",
            "material\ngroup",
            "basic:\nclearance",
            "creepage\nmm",
            "reinforced:\nclearance",
            "creepage\nmm",
        ]);
        for found in &self.study.boxes {
            let mut row = vec![
                names::name(report.design(), found.enclosure),
                found.pollution.map_or("?", pollution).to_owned(),
                format!(
                    "{}{}",
                    found.group.word(),
                    if found.group_assumed { " (worst)" } else { "" }
                ),
            ];
            for distances in [&found.basic, &found.reinforced] {
                row.extend(needed(distances));
            }
            table.add_row(row);
        }
        align(&mut table, 1);
        format!(
            "Boxes: least distances over a plain surface\n{}",
            page::table(&mut table)
        )
    }

    /// The distances that were stated.
    fn built(&self, report: &Report, sources: &mut Sources) -> String {
        let design = report.design();
        if self.study.spacings.is_empty() {
            return wrap(
                "",
                "No distance as built is stated: [[spacing]] with clearance, creepage, material.",
            );
        }
        let mut table = plain_table();
        table.set_header([
            "distance",
            "way",
            "built\nmm",
            "needed\nmm",
            "margin\nmm",
            "verdict",
            "source",
        ]);
        for built in &self.study.spacings {
            let name = design
                .get(built.spacing)
                .and_then(|spacing| design.text(spacing.name))
                .unwrap_or("-");
            for (way, checked) in [("air", &built.clearance), ("surface", &built.creepage)] {
                let mut row = vec![name.to_owned(), way.to_owned()];
                row.extend(cells(&checked.judged, "", sources));
                table.add_row(row);
            }
        }
        words_around_numbers(&mut table, 2);
        format!("Distances as built\n{}", page::table(&mut table))
    }

    /// Isolation resistance, capacitance, monitor.
    fn to_chassis(&self, report: &Report, sources: &mut Sources) -> String {
        let to_chassis = &self.study.to_chassis;
        let mut table = plain_table();
        table.set_header([
            "to chassis",
            "value",
            "limit",
            "margin",
            "verdict",
            "source",
        ]);
        let mut add = |what: &str, cells_of: [String; 5]| {
            let mut row = vec![what.to_owned()];
            row.extend(cells_of);
            table.add_row(row);
        };
        let ohm = cells(&to_chassis.budget.judged, "ohm", sources);
        add("all parts in parallel", ohm);
        let joule = cells(&to_chassis.touch.judged, "J", sources);
        add("energy of Y capacitors", joule);
        for ((what, unit), checked) in MONITOR.into_iter().zip(&to_chassis.monitor) {
            if checked.verdict() != Verdict::NotApplicable {
                let row = cells(&checked.judged, unit, sources);
                add(&format!("monitor: {what}"), row);
            }
        }
        words_around_numbers(&mut table, 1);
        let weakest = to_chassis.weakest.map_or_else(String::new, |load| {
            wrap(
                "\n  ",
                &format!(
                    "weakest part: {}",
                    names::thing(report.design(), load.into())
                ),
            )
        });
        format!("{}{weakest}", page::table(&mut table))
    }

    /// Shield and cable class of every circuit.
    fn circuits(&self, report: &Report) -> String {
        if self.circuits.is_empty() {
            return String::new();
        }
        let mut table = plain_table();
        table.set_header([
            "id",
            "shield",
            "covers\n%",
            "section\nmm2",
            "cut back\nmm",
            "class",
            "verdict",
        ]);
        let mut rows: Vec<Vec<String>> = Vec::new();
        for circuit in &self.circuits {
            let cut_back = circuit
                .least_cut_back
                .iter()
                .map(|known| match known {
                    Ok(Some(length)) => millimetres(*length),
                    Ok(None) => "wet".to_owned(),
                    Err(_) => "?".to_owned(),
                })
                .collect::<Vec<_>>();
            let [start, end] = [&cut_back[0], &cut_back[1]];
            rows.push(vec![
                names::circuit(report.design(), circuit.conductor),
                need(circuit.need).to_owned(),
                circuit
                    .least_coverage
                    .map_or_else(|| "-".to_owned(), |share| n_up(100.0 * share)),
                circuit.least_section.map_or_else(
                    |_| "?".to_owned(),
                    |section: ConductorArea| n_up(section.as_mm2()),
                ),
                if start == end {
                    start.clone()
                } else {
                    format!("{start}, {end}")
                },
                match circuit.least_class {
                    Ok(Some(class)) => class_words(class).to_owned(),
                    Ok(None) => "none".to_owned(),
                    Err(_) => "?".to_owned(),
                },
                circuit.verdict().word().to_owned(),
            ]);
        }
        for row in super::text::pairs(rows) {
            table.add_row(row);
        }
        align(&mut table, 2);
        for column in table.column_iter_mut().rev().take(2) {
            column.set_cell_alignment(CellAlignment::Left);
        }
        format!(
            "Circuits: what shield and cable have to be at least\n{}\n{}",
            page::table(&mut table),
            wrap(
                "",
                "covers: optical coverage of the braid. section: of the shield, for a fault from \
                 conductor to shield until its fuse has cleared it. cut back: from the edge of \
                 the shield to the bare conductor, at start and end. class: lowest voltage class."
            )
        )
    }

    /// Why checks are open.
    fn open(&self, report: &Report) -> String {
        self.gaps(report).block(report)
    }

    fn gaps(&self, report: &Report) -> Gaps {
        let mut gaps = Gaps::default();
        for (who, unknown) in self.reasons(report) {
            gaps.add(unknown, &who);
        }
        gaps
    }

    fn reasons(&self, report: &Report) -> Vec<(String, Unknown)> {
        let design = report.design();
        let mut found = Vec::new();
        let mut add = |who: String, because: Option<Unknown>| {
            if let Some(unknown) = because {
                found.push((who, unknown));
            }
        };
        for built in &self.study.spacings {
            let name = design
                .get(built.spacing)
                .and_then(|spacing| design.text(spacing.name))
                .unwrap_or("-");
            add(name.to_owned(), built.clearance.because);
            add(name.to_owned(), built.creepage.because);
        }
        let chassis = "to chassis".to_owned();
        add(chassis.clone(), self.study.to_chassis.budget.because);
        add(chassis.clone(), self.study.to_chassis.touch.because);
        for checked in &self.study.to_chassis.monitor {
            add("the monitor".to_owned(), checked.because);
        }
        for circuit in &self.circuits {
            let name = names::circuit(design, circuit.conductor);
            let [start, end] = circuit.ends;
            let [cut_start, cut_end] = circuit.cut_backs;
            for because in [
                circuit.shield.because,
                circuit.coverage.because,
                circuit.section.because,
                start.because,
                end.because,
                cut_start.because,
                cut_end.because,
                circuit.voltage.because,
                circuit.temperature.because,
            ] {
                add(name.clone(), because);
            }
        }
        found
    }
}

fn words_around_numbers(table: &mut Table, first: usize) {
    align(table, first);
    for column in table.column_iter_mut().rev().take(2) {
        column.set_cell_alignment(CellAlignment::Left);
    }
}

/// Value, limit, margin, verdict, source.
fn cells<N>(judged: &Judged<N>, unit: &str, sources: &mut Sources) -> [String; 5] {
    let shown = |digits: Option<String>| {
        digits.map_or_else(|| "-".to_owned(), |digits| with_unit(&digits, unit))
    };
    let [value, limit] = value_and_limit(judged, 1.0);
    [
        shown(value),
        shown(limit),
        shown(judged.margin().map(n_down)),
        judged.verdict.word().to_owned(),
        sources.mark(&cite(judged.source)),
    ]
}

/// Of a distance that is required.
fn millimetres(length: Length) -> String {
    n_up(length.as_mm())
}

fn needed(distances: &Known<Distances>) -> [String; 2] {
    match distances {
        Ok(distances) => {
            let more = if distances.at_least_until.is_some() {
                "+"
            } else {
                ""
            };
            [
                format!("{}{more}", millimetres(distances.clearance)),
                distances.creepage.map_or_else(
                    || "wet: none helps".to_owned(),
                    |creepage| format!("{}{more}", millimetres(creepage)),
                ),
            ]
        }
        Err(_) => ["?".to_owned(), "?".to_owned()],
    }
}

const fn pollution(degree: PollutionDegree) -> &'static str {
    match degree {
        PollutionDegree::One => "1",
        PollutionDegree::Two => "2",
        PollutionDegree::Three => "3",
        PollutionDegree::Four => "4",
    }
}

const fn need(need: ShieldNeed) -> &'static str {
    match need {
        ShieldNeed::Switching => "needed: switching",
        ShieldNeed::NotInMetal => "needed: not in metal",
        ShieldNeed::PolesApart => "needed: poles apart",
        ShieldNeed::NearLowVoltage => "needed: near low voltage",
        ShieldNeed::Unknown => "needed until known",
        ShieldNeed::MayBeUnshielded => "may go without",
        _ => "needed",
    }
}

const fn class_words(class: CableVoltageClass) -> &'static str {
    match class {
        CableVoltageClass::Dc60 => "60 V DC",
        CableVoltageClass::Dc900 => "900 V DC",
        CableVoltageClass::Dc1500 => "1500 V DC",
    }
}

/// The insulation as JSON.
#[derive(Serialize)]
#[allow(non_snake_case)]
pub(crate) struct InsulationDocument {
    verdict: Verdict,
    highest_voltage_V: Option<f32>,
    impulse_assumed: bool,
    boxes: Vec<BoxDocument>,
    spacings: Vec<SpacingDocument>,
    isolation: Limit,
    y_energy: Limit,
    y_worst_energy_J: Option<f32>,
    /// The isolation monitor.
    monitor: Vec<MonitorDocument>,
    circuits: Vec<CircuitDocument>,
    /// Why checks are open.
    open: Vec<String>,
}

#[derive(Serialize)]
struct MonitorDocument {
    check: &'static str,
    limit: Limit,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct BoxDocument {
    name: String,
    pollution_degree: Option<&'static str>,
    material_group: &'static str,
    group_assumed: bool,
    basic_clearance_mm: Option<f32>,
    basic_creepage_mm: Option<f32>,
    reinforced_clearance_mm: Option<f32>,
    reinforced_creepage_mm: Option<f32>,
}

#[derive(Serialize)]
struct SpacingDocument {
    name: String,
    clearance: Limit,
    creepage: Limit,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct CircuitDocument {
    id: String,
    verdict: Verdict,
    shield: &'static str,
    least_coverage: Option<f32>,
    least_section_mm2: Option<f32>,
    least_cut_back_mm: [Option<f32>; 2],
    least_voltage_class: Option<&'static str>,
}

impl InsulationReport {
    /// The same for other programs.
    pub(crate) fn document(&self, report: &Report) -> InsulationDocument {
        let design = report.design();
        let study = &self.study;
        let mm = |known: &Known<Distances>, creepage: bool| {
            let distances = known.as_ref().ok()?;
            if creepage {
                distances.creepage.map(Length::as_mm)
            } else {
                Some(distances.clearance.as_mm())
            }
        };
        InsulationDocument {
            verdict: self.verdict(),
            highest_voltage_V: study.highest.ok().map(Voltage::as_volts),
            impulse_assumed: study.impulse_assumed,
            boxes: study
                .boxes
                .iter()
                .map(|found| BoxDocument {
                    name: names::name(design, found.enclosure),
                    pollution_degree: found.pollution.map(pollution),
                    material_group: found.group.word(),
                    group_assumed: found.group_assumed,
                    basic_clearance_mm: mm(&found.basic, false),
                    basic_creepage_mm: mm(&found.basic, true),
                    reinforced_clearance_mm: mm(&found.reinforced, false),
                    reinforced_creepage_mm: mm(&found.reinforced, true),
                })
                .collect(),
            spacings: study
                .spacings
                .iter()
                .map(|built| SpacingDocument {
                    name: design
                        .get(built.spacing)
                        .and_then(|spacing| design.text(spacing.name))
                        .unwrap_or_default()
                        .to_owned(),
                    clearance: Limit::new(&built.clearance.judged, "mm"),
                    creepage: Limit::new(&built.creepage.judged, "mm"),
                })
                .collect(),
            isolation: Limit::new(&study.to_chassis.budget.judged, "ohm"),
            y_energy: Limit::new(&study.to_chassis.touch.judged, "J"),
            y_worst_energy_J: study
                .to_chassis
                .energy
                .map(|energy| Energy::as_joules(energy.worst_case)),
            monitor: MONITOR
                .into_iter()
                .zip(&study.to_chassis.monitor)
                .map(|((check, unit), checked)| MonitorDocument {
                    check,
                    limit: Limit::new(&checked.judged, unit),
                })
                .collect(),
            open: self.gaps(report).texts(report),
            circuits: self
                .circuits
                .iter()
                .map(|circuit| CircuitDocument {
                    id: names::circuit(design, circuit.conductor),
                    verdict: circuit.verdict(),
                    shield: need(circuit.need),
                    least_coverage: circuit.least_coverage,
                    least_section_mm2: circuit.least_section.ok().map(ConductorArea::as_mm2),
                    least_cut_back_mm: circuit
                        .least_cut_back
                        .map(|known| known.ok().flatten().map(Length::as_mm)),
                    least_voltage_class: circuit.least_class.ok().flatten().map(class_words),
                })
                .collect(),
        }
    }
}
