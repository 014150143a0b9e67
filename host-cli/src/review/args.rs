//! The flags of `review`, `rules` and `explain`.

use std::path::PathBuf;

use clap::Args;

/// What to review.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
#[allow(clippy::struct_excessive_bools)] // each is a flag of its own
pub struct ReviewArgs {
    /// The design file
    pub file: PathBuf,

    /// A file of deviations that somebody accepted: shown as such, never as a pass
    #[arg(long, value_name = "FILE")]
    pub accepted: Option<PathBuf>,

    /// Shorten nothing, and give the numbers of what holds too; the other forms always do
    #[arg(long, group = "form")]
    pub all: bool,

    /// Print JSON for other programs, every finding of every rule
    #[arg(long, group = "form")]
    pub json: bool,

    /// Print Markdown for the inspector's file, every finding with value and limit
    #[arg(long, group = "form")]
    pub markdown: bool,

    /// Print test results as XML in the form of `JUnit`, for a build server: one test for each finding
    #[arg(long, group = "form")]
    pub junit: bool,
}

/// How to list the rules.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct RulesArgs {
    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}

/// Which rule to explain.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct ExplainArgs {
    /// Name of the rule, as `rules` lists it
    pub rule: String,

    /// A design file: show the working of every finding of the rule in it
    pub file: Option<PathBuf>,
}
