//! `orangeloom spacing`: the distances that insulation needs, or a verdict on built ones.

mod args;
mod ask;
mod bench;
mod explain;
mod json;
pub(crate) mod names;
mod next_steps;
mod profile_text;
mod table;
mod text;

pub use args::SpacingArgs;
pub use names::Voltages;
pub use profile_text::SurfaceCut;

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{Spacing, SpacingInput, spacing};
use orangeloom_core::quantity::{Length, Voltage};
use orangeloom_core::standard::iec60664_creepage::groove_width;

use crate::cli::{Exit, Outcome};
use ask::Asked;
use bench::{Limits, Tests};
use next_steps::NextStep;

/// The answer for one working voltage, with everything that the renderers show.
pub(crate) struct Report<'a> {
    asked: &'a Asked,
    input: SpacingInput,
    spacing: Spacing,
    /// Where a surface was entered.
    path: Option<Path>,
    tests: Tests,
    limits: Limits,
    next: Vec<NextStep>,
}

/// The ways over an entered surface.
pub(crate) struct Path {
    /// Straight through air above everything that stands up.
    air: Length,
    /// Over every groove.
    surface: Length,
    /// Narrow grooves bridged.
    creepage: Length,
    /// Narrower grooves are bridged.
    groove_width: Length,
}

impl Report<'_> {
    /// Every way over a surface is also one through air, so that the clearance, the
    /// shortest of those, cannot be longer.
    fn check_ways(&self) -> Result<(), String> {
        /// Rounding of `f32` on both ways.
        const ROUNDING: f32 = 1.0e-6;
        let over_surface = match &self.path {
            Some(path) => Some((path.air, "the way through air above --profile")),
            None => self.asked.creepage.map(|length| (length, "--creepage")),
        };
        let (Some(clearance), Some((other, name))) = (self.asked.clearance, over_surface) else {
            return Ok(());
        };
        if clearance.as_mm() <= other.as_mm() * (1.0 + ROUNDING) {
            return Ok(());
        }
        let units = self.asked.units;
        Err(format!(
            "--clearance is {}, longer than {name} of {}: the clearance is the shortest way \
             through air and every way over the surface is one too; measure both again",
            names::entered(clearance, units),
            names::entered(other, units)
        ))
    }
}

/// Answers one question about spacing.
pub fn run(args: &SpacingArgs) -> Outcome {
    match answer(args) {
        Ok((text, exit)) => Outcome::result(text, exit),
        Err(message) => Outcome::unusable(&message),
    }
}

/// A distance is asked about when it was entered.
fn exit<'a>(all: impl IntoIterator<Item = &'a Spacing>) -> Exit {
    let checks = all.into_iter().flat_map(|spacing| {
        [&spacing.clearance_check, &spacing.creepage_check]
            .map(|check| (check.verdict, check.value.is_some()))
    });
    Exit::of(checks)
}

fn answer(args: &SpacingArgs) -> Result<(String, Exit), String> {
    let asked = args.ask()?;
    if asked.is_table {
        let rows = table::rows(&asked)?;
        let text = if args.json {
            json::render_table(&asked, &rows)?
        } else {
            table::render(&asked, &rows)
        };
        return Ok((text, exit(rows.iter().map(|row| &row.spacing))));
    }
    let working = *asked
        .voltages
        .first()
        .ok_or("--voltage is missing: state the highest working voltage")?;
    let report = find(&asked, working).map_err(|error| ask::advice(error, &asked, working))?;
    report.check_ways()?;
    let text = if args.json {
        json::render(&report, args.explain)?
    } else {
        text::render(&report, args.explain)
    };
    Ok((text, exit([&report.spacing])))
}

fn find(asked: &Asked, working: Voltage) -> Result<Report<'_>, Error> {
    let mut input = asked.input(working);
    let path = match &asked.profile {
        None => None,
        Some(cut) => {
            // The width of a groove that counts hangs on the required clearance, so that
            // the requirement comes first.
            let required = spacing(&input)?.clearance.distance;
            let groove_width = groove_width(input.pollution, required)?;
            Some(Path {
                air: cut.profile.air_path()?,
                surface: cut.profile.surface_path()?,
                creepage: cut.profile.creepage_path(groove_width)?,
                groove_width,
            })
        }
    };
    if let Some(path) = &path {
        input.built_creepage = Some(path.creepage);
        input.built_clearance = input.built_clearance.or(Some(path.air));
    }
    let spacing = spacing(&input)?;
    Ok(Report {
        asked,
        next: next_steps::find(&input, &spacing)?,
        tests: Tests::find(asked, working)?,
        limits: Limits::find(asked, working)?,
        input,
        spacing,
        path,
    })
}
