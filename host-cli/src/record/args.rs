//! The flags of `record`.

use std::path::PathBuf;

use clap::Args;

/// What to record, and where.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct RecordArgs {
    /// The design file
    pub file: PathBuf,

    /// Readings and attestations: TOML, or a spreadsheet saved as .csv, .tsv or .txt
    pub readings: PathBuf,

    /// Add the records at the end of the design file; nothing else in it changes
    #[arg(long, group = "to")]
    pub write: bool,

    /// Write the design with the records into a new file beside it
    #[arg(long, value_name = "FILE", group = "to")]
    pub output: Option<PathBuf>,

    /// List what is open in every stage of the work, not only in the next one
    #[arg(long, conflicts_with = "json")]
    pub all: bool,

    /// Print JSON for other programs, all that is open with it
    #[arg(long)]
    pub json: bool,
}
