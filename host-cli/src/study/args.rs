//! The flags of `study`.

use std::path::PathBuf;

use clap::Args;

use crate::flags::UnitSystem;

/// What to study.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
#[allow(clippy::struct_excessive_bools)] // each is a flag of its own
pub struct StudyArgs {
    /// The design file
    pub file: PathBuf,

    /// Show what happens in every short circuit, and what fuses and contactors do; their lasting
    /// current is the r.m.s. over the worst 300 s, that of a conductor over its own time constant
    #[arg(long)]
    pub faults: bool,

    /// Show what clearance, creepage, isolation, shields and cable classes have to be
    #[arg(long)]
    pub insulation: bool,

    /// Show what happens step by step: precharge, discharge, joining of strings, coils
    #[arg(long)]
    pub sequences: bool,

    /// Show the working of one conductor, by the id printed at its ends (01, 05+)
    #[arg(long, value_name = "ID", conflicts_with_all = ["fuse", "contactor"])]
    pub conductor: Option<String>,

    /// Show one fuse alone: its checks, its window of rated currents
    #[arg(long, value_name = "NAME", conflicts_with = "contactor")]
    pub fuse: Option<String>,

    /// Show one contactor alone: its checks, the currents on which it stays closed
    #[arg(long, value_name = "NAME")]
    pub contactor: Option<String>,

    /// Units of the text
    #[arg(long, value_name = "UNITS", default_value = "metric")]
    pub units: UnitSystem,

    /// Print JSON for other programs
    #[arg(long)]
    pub json: bool,
}
