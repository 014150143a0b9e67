//! The flags of `limits`.

use std::path::PathBuf;

use clap::Args;

/// Which limits to make, and where to put them.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct LimitsArgs {
    /// The design file
    pub file: PathBuf,

    /// Write the image for the controller
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,

    /// Write the image as a C header, with the numbers of contactors, strings, currents and
    /// precharge paths by the names in the design
    #[arg(long, value_name = "FILE")]
    pub c_header: Option<PathBuf>,

    /// Write the image as a Rust module, with the same numbers
    #[arg(long, value_name = "FILE")]
    pub rust: Option<PathBuf>,

    /// Show every value and the rule it comes from
    #[arg(long)]
    pub show: bool,

    /// Why the image is made although the review does not pass; it is kept in the image.
    /// Where the review passes none is needed, and none is kept
    #[arg(long, value_name = "TEXT")]
    pub reason: Option<String>,
}
