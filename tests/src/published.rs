//! Reads the published values in `tests/published`.
//!
//! Plain comma-separated files without quotes: input columns, then `value`, `unit`,
//! `source`, `evidence`. A file that breaks this form panics with its name and line,
//! because a check against half a table would pass for the wrong reason.

use core::fmt;
use core::str::FromStr;
use std::collections::BTreeMap;
use std::path::Path;

use orangeloom_core::standard::Evidence;

/// One published value.
#[derive(Clone, Debug)]
pub struct Cell {
    file: &'static str,
    inputs: BTreeMap<String, String>,
    /// The value as printed.
    pub printed: String,
    /// Its unit.
    pub unit: String,
    /// Standard and table.
    pub source: String,
    /// Whether anybody saw it.
    pub evidence: Evidence,
}

/// The columns that every file ends with.
const TAIL: [&str; 4] = ["value", "unit", "source", "evidence"];

/// Every cell of one file.
///
/// # Panics
/// If the file is missing, empty or not of the form that the module describes.
pub fn read(file: &'static str) -> Vec<Cell> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("published")
        .join(file);
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().unwrap_or_default().split(',').collect();
    assert!(header.ends_with(&TAIL), "{file}: columns are {header:?}");
    let cells: Vec<Cell> = lines
        .enumerate()
        .map(|(at, line)| {
            let fields: Vec<&str> = line.split(',').collect();
            assert_eq!(
                fields.len(),
                header.len(),
                "{file}: line {}: {line}",
                at + 2
            );
            let (inputs, tail) = fields.split_at(fields.len() - TAIL.len());
            let evidence = match tail[3] {
                "seen" => Evidence::Seen,
                "partly seen" => Evidence::PartlySeen,
                "memory" => Evidence::FromMemory,
                other => panic!("{file}: line {}: evidence {other}", at + 2),
            };
            Cell {
                file,
                inputs: header
                    .iter()
                    .zip(inputs)
                    .map(|(name, input)| ((*name).to_owned(), (*input).to_owned()))
                    .collect(),
                printed: tail[0].to_owned(),
                unit: tail[1].to_owned(),
                source: tail[2].to_owned(),
                evidence,
            }
        })
        .collect();
    assert!(!cells.is_empty(), "{file}: no line");
    cells
}

impl Cell {
    /// The printed value as the nearest `f32`, as the core stores it.
    ///
    /// # Panics
    /// If it is not a number.
    pub fn value(&self) -> f32 {
        self.printed
            .parse()
            .unwrap_or_else(|_| panic!("{self}: not a number"))
    }

    /// The printed value in double precision.
    ///
    /// # Panics
    /// If it is not a number.
    pub fn value_f64(&self) -> f64 {
        self.printed
            .parse()
            .unwrap_or_else(|_| panic!("{self}: not a number"))
    }

    /// An input column as text.
    ///
    /// # Panics
    /// If the file has no such column.
    pub fn text(&self, column: &str) -> &str {
        self.inputs
            .get(column)
            .unwrap_or_else(|| panic!("{}: no column {column}", self.file))
    }

    /// An input column as a number.
    ///
    /// # Panics
    /// If the file has no such column or the entry is not a number.
    pub fn number<T: FromStr>(&self, column: &str) -> T {
        self.text(column)
            .parse()
            .unwrap_or_else(|_| panic!("{self}: {column} is not a number"))
    }
}

/// Standard, table, evidence and place of the value, for a failure message.
impl fmt::Display for Cell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} ({}), {} {:?}: {} {}",
            self.source,
            self.evidence.words(),
            self.file,
            self.inputs,
            self.printed,
            self.unit
        )
    }
}
