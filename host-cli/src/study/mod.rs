//! `orangeloom study`: what flows where in a design, how hot it becomes, what is left.

mod args;
mod chassis;
mod conductor;
mod faults;
mod fuse_working;
mod insulation;
mod json;
pub(crate) mod names;
mod open;
mod sequences;
mod text;

pub use args::StudyArgs;

use orangeloom_core::design::{
    Conductor, ConductorId, Contactor, ContactorId, Design, Entry, Fuse, FuseId,
};
use orangeloom_core::error::Error;
use orangeloom_core::fault::{FaultResult, FaultWorkspace};
use orangeloom_core::network::Workspace;
use orangeloom_core::study::{FaultBurdens, Study, Withstands};
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::design_file::{DesignFile, refuse};
use crate::quantity_text::Units;
use faults::FaultRow;
use insulation::InsulationReport;

/// Everything that the renderers show.
pub(crate) struct Report {
    read: DesignFile,
    study: Box<Study>,
    units: Units,
    /// The thing whose working is asked for.
    asked: Option<Asked>,
}

/// One thing that is asked for.
#[derive(Clone, Copy)]
pub(crate) enum Asked {
    Conductor(ConductorId),
    Fuse(FuseId),
    Contactor(ContactorId),
}

/// The faults of the design.
pub(crate) struct FaultReport {
    burdens: Box<FaultBurdens>,
    withstands: Withstands,
    rows: Vec<FaultRow>,
    /// Faults that could not be solved, in words.
    refused: Vec<String>,
}

impl Report {
    fn design(&self) -> &Design {
        &self.read.design
    }

    /// The verdict on everything that was judged; faults not.
    fn verdict(&self) -> Verdict {
        self.study.verdict(&self.read.design)
    }

    /// Solves every fault.
    fn faults(&self) -> FaultReport {
        let mut report = FaultReport {
            burdens: Box::new(FaultBurdens::new()),
            withstands: Withstands::new(self.design(), &self.study),
            rows: Vec::new(),
            refused: Vec::new(),
        };
        let mut burdens = Box::new(FaultBurdens::new());
        let mut workspace = Box::new(FaultWorkspace::new());
        let mut each = |_, result: Result<&FaultResult, Error>| match result {
            Ok(result) if result.is_dead() => {}
            Ok(result) => {
                let row = FaultRow::new(self, result, &report);
                report.rows.push(row);
            }
            Err(error) => report.refused.push(error.to_string()),
        };
        if let Err(error) = burdens.solve(self.design(), &mut workspace, &mut each) {
            report.refused.push(error.to_string());
        }
        report.burdens = burdens;
        report
    }
}

/// Studies one design.
pub fn run(args: &StudyArgs) -> Outcome {
    let read = DesignFile::read(&args.file);
    if !read.problems.is_empty() {
        return refuse(&read, &args.file);
    }
    let asked = match asked(&read, args) {
        Ok(asked) => asked,
        Err(message) => return Outcome::unusable(&message),
    };
    let mut study = Box::new(Study::new());
    study.compute(&read.design, &mut Box::new(Workspace::new()));
    let report = Report {
        read,
        study,
        units: args.units.into(),
        asked,
    };
    let of_protection = matches!(asked, Some(Asked::Fuse(_) | Asked::Contactor(_)));
    let faults = (args.faults || of_protection).then(|| report.faults());
    let insulation = args.insulation.then(|| InsulationReport::new(&report));
    let verdict = insulation
        .iter()
        .map(InsulationReport::verdict)
        .fold(report.verdict(), Verdict::worse);
    let verdict = if args.sequences {
        verdict.worse(report.study.sequences.verdict())
    } else {
        verdict
    };
    let verdict = faults.iter().fold(verdict, |verdict, faults| {
        let rows = faults.rows.iter().map(FaultRow::verdict);
        rows.fold(verdict, Verdict::worse)
    });
    let exit = match verdict {
        Verdict::Fails => Exit::Fails,
        Verdict::Holds | Verdict::Open | Verdict::NotApplicable => Exit::Holds,
    };
    let rendered = match (args.json, asked, &faults) {
        (true, ..) => json::render(
            &report,
            faults.as_ref(),
            insulation.as_ref(),
            args.sequences,
        ),
        (false, Some(Asked::Conductor(id)), _) => Ok(conductor::render(&report, id)),
        (false, Some(asked), Some(faults)) => Ok(text::protection_of(&report, faults, asked)),
        (false, ..) if faults.is_some() || insulation.is_some() || args.sequences => {
            Ok(text::render_parts(
                &report,
                faults.as_ref(),
                insulation.as_ref(),
                args.sequences,
            ))
        }
        (false, ..) => Ok(text::render(&report)),
    };
    Outcome::rendered(rendered, exit)
}

/// The thing that is asked for, if one is.
fn asked(read: &DesignFile, args: &StudyArgs) -> Result<Option<Asked>, String> {
    if let Some(name) = &args.conductor {
        return find::<Conductor>(read, name, "conductor").map(|id| Some(Asked::Conductor(id)));
    }
    if let Some(name) = &args.fuse {
        return find::<Fuse>(read, name, "fuse").map(|id| Some(Asked::Fuse(id)));
    }
    if let Some(name) = &args.contactor {
        return find::<Contactor>(read, name, "contactor").map(|id| Some(Asked::Contactor(id)));
    }
    Ok(None)
}

/// The thing of this name, or what there is instead.
fn find<E: Entry>(read: &DesignFile, name: &str, kind: &str) -> Result<E::Id, String> {
    if let Some(id) = read.design.find::<E>(name) {
        return Ok(id);
    }
    let known: Vec<&str> = read
        .design
        .all::<E>()
        .filter_map(|(_, entry)| read.design.text(entry.name()?))
        .collect();
    // The two conductors of a pair have the name of their circuit with + and -.
    let alike: Vec<&str> = known
        .iter()
        .copied()
        .filter(|known| known.starts_with(name))
        .collect();
    let offered = if alike.is_empty() { known } else { alike };
    Err(format!(
        "{} has no {kind} \"{name}\"; there is {}",
        read.sources.first().map_or("the design", |s| &s.path),
        offered.join(", ")
    ))
}
