//! `orangeloom study`: what flows where in a design, how hot it becomes, what is left.

mod args;
mod chassis;
mod conductor;
mod fault_report;
pub(crate) mod faults;
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
use orangeloom_core::network::Workspace;
use orangeloom_core::study::{ConductorStudy, Study};
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::design_file::{DesignFile, refuse};
use crate::quantity_text::Units;
use fault_report::FaultReport;
use insulation::InsulationReport;

/// Everything that the renderers show.
pub(crate) struct Report {
    read: DesignFile,
    study: Box<Study>,
    units: Units,
    /// The thing whose working is asked for.
    asked: Option<Asked>,
    /// What was judged beside currents and temperatures because a flag asked for it.
    parts: Vec<(&'static str, Verdict)>,
}

/// One thing that is asked for.
#[derive(Clone, Copy)]
pub(crate) enum Asked {
    Conductor(ConductorId),
    Fuse(FuseId),
    Contactor(ContactorId),
}

impl Report {
    fn design(&self) -> &Design {
        &self.read.design
    }

    /// The verdict on everything that was judged.
    fn verdict(&self) -> Verdict {
        let parts = self.parts.iter().map(|(_, verdict)| *verdict);
        parts.fold(self.study.verdict(self.design()), Verdict::worse)
    }

    /// Fails count; what is open counts where it was asked for by its own flag.
    fn exit(&self) -> Exit {
        let of_one = match self.asked {
            Some(Asked::Conductor(id)) => {
                or_open(self.study.conductor(id).as_ref(), ConductorStudy::verdict)
            }
            _ => Verdict::NotApplicable,
        };
        let parts = self.parts.iter().map(|(_, verdict)| (*verdict, true));
        let whole = self.study.verdict(self.design());
        Exit::of(parts.chain([(whole, false), (of_one, true)]))
    }
}

/// The verdict on what could be studied; open where it could not.
fn or_open<T, E>(studied: Result<&T, E>, verdict: fn(&T) -> Verdict) -> Verdict {
    studied.map_or(Verdict::Open, verdict)
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
    let mut study = Box::<Study>::default();
    study.compute(&read.design, &mut Box::<Workspace>::default());
    let mut report = Report {
        read,
        study,
        units: args.units.into(),
        asked,
        parts: Vec::new(),
    };
    let of_protection = matches!(asked, Some(Asked::Fuse(_) | Asked::Contactor(_)));
    let faults = (args.faults || of_protection).then(|| FaultReport::new(&report));
    let insulation = args.insulation.then(|| InsulationReport::new(&report));
    let sequences = report.study.sequences.verdict();
    let parts = [
        (
            "Faults and protection",
            faults.as_ref().map(FaultReport::verdict),
        ),
        (
            "Insulation",
            insulation.as_ref().map(InsulationReport::verdict),
        ),
        ("Sequences", args.sequences.then_some(sequences)),
    ];
    let parts = parts.into_iter();
    report.parts = parts
        .filter_map(|(name, verdict)| Some((name, verdict?)))
        .collect();
    let exit = report.exit();
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
