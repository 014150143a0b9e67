//! The flags of `compare`.

use std::path::PathBuf;

use clap::Args;
use orangeloom_core::quantity::Share;

use crate::flags::read;

/// What to compare.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct CompareArgs {
    /// The design file as it was
    pub old: PathBuf,

    /// The design file as it is now
    pub new: PathBuf,

    /// Show values that moved by more than this share of what they were
    #[arg(long, value_parser = read::<Share>, default_value = "5 %")]
    pub share: Share,

    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}
