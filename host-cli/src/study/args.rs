//! The flags of `study`.

use std::path::PathBuf;

use clap::Args;

use crate::flags::UnitSystem;

/// What to study.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct StudyArgs {
    /// The design file
    pub file: PathBuf,

    /// Show the working of one conductor, by the id printed at its ends (01, 05+)
    #[arg(long, value_name = "ID")]
    pub conductor: Option<String>,

    /// Units of the text
    #[arg(long, value_name = "UNITS", default_value = "metric")]
    pub units: UnitSystem,

    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}
