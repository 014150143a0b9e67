//! `orangeloom study`: what flows where in a design, how hot it becomes, what is left.

mod args;
mod conductor;
mod json;
mod names;
mod open;
mod text;

pub use args::StudyArgs;

use orangeloom_core::design::{Conductor, ConductorId, Design};
use orangeloom_core::network::Workspace;
use orangeloom_core::study::Study;
use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::design_file::{DesignFile, refuse};
use crate::quantity_text::Units;

/// Everything that the renderers show.
pub(crate) struct Report {
    read: DesignFile,
    study: Box<Study>,
    units: Units,
    /// The conductor whose working is asked for.
    asked: Option<ConductorId>,
}

impl Report {
    fn design(&self) -> &Design {
        &self.read.design
    }

    /// The verdict on everything that was judged.
    fn verdict(&self) -> Verdict {
        self.study.verdict(&self.read.design)
    }
}

/// Studies one design.
pub fn run(args: &StudyArgs) -> Outcome {
    let read = DesignFile::read(&args.file);
    if !read.problems.is_empty() {
        return refuse(&read, &args.file);
    }
    let asked = match args.conductor.as_deref().map(|name| find(&read, name)) {
        None => None,
        Some(Ok(id)) => Some(id),
        Some(Err(message)) => return Outcome::unusable(&message),
    };
    let mut study = Box::new(Study::new());
    study.compute(&read.design, &mut Box::new(Workspace::new()));
    let report = Report {
        read,
        study,
        units: args.units.into(),
        asked,
    };
    let exit = match report.verdict() {
        Verdict::Fails => Exit::Fails,
        Verdict::Holds | Verdict::Open | Verdict::NotApplicable => Exit::Holds,
    };
    let rendered = match (args.json, asked) {
        (true, _) => json::render(&report),
        (false, Some(id)) => Ok(conductor::render(&report, id)),
        (false, None) => Ok(text::render(&report)),
    };
    match rendered {
        Ok(rendered) => Outcome::result(rendered, exit),
        Err(message) => Outcome::unusable(&message),
    }
}

/// The conductor of this name, or what there is instead.
fn find(read: &DesignFile, name: &str) -> Result<ConductorId, String> {
    if let Some(id) = read.design.find::<Conductor>(name) {
        return Ok(id);
    }
    let known: Vec<&str> = read
        .design
        .all::<Conductor>()
        .filter_map(|(_, conductor)| read.design.text(conductor.circuit))
        .collect();
    // The two conductors of a pair have the name of their circuit with + and -.
    let alike: Vec<&str> = known
        .iter()
        .copied()
        .filter(|known| known.starts_with(name))
        .collect();
    let offered = if alike.is_empty() { known } else { alike };
    Err(format!(
        "{} has no conductor \"{name}\"; there is {}",
        read.sources.first().map_or("the design", |s| &s.path),
        offered.join(", ")
    ))
}
