//! The flags of `review`, `rules` and `explain`.

use std::path::PathBuf;

use clap::Args;

/// What to review.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct ReviewArgs {
    /// The design file
    pub file: PathBuf,

    /// Print JSON for other programs, every finding of every rule
    #[arg(long)]
    pub json: bool,
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

    /// A design file: show every finding of the rule in it
    pub file: Option<PathBuf>,
}
