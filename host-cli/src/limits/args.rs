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

    /// Write the image as a C header
    #[arg(long, value_name = "FILE")]
    pub c_header: Option<PathBuf>,

    /// Write the image as a Rust constant
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
