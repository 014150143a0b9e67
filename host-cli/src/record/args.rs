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

    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}
