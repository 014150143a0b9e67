//! Reads the columns that the scripts under `reference_scripts/` and `ngspice/` made.
//!
//! Plain comma-separated text: `#` starts a comment line, the first other line names
//! the columns, no quoting.

use std::collections::HashMap;
use std::path::Path;

/// One line, by column name.
#[derive(Debug)]
pub struct Row(HashMap<String, String>);

impl Row {
    /// The cell as text.
    ///
    /// # Panics
    /// If there is no such column.
    pub fn text(&self, column: &str) -> &str {
        self.0
            .get(column)
            .unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The cell as a number.
    ///
    /// # Panics
    /// If there is no such column or it holds something else.
    pub fn value(&self, column: &str) -> f32 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column}: {text}"))
    }
}

/// Reads a file under `reference_scripts/`.
///
/// # Panics
/// If it cannot be read, has no lines, or a line has another number of cells.
pub fn read(path: &str) -> Vec<Row> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("reference_scripts")
        .join(path);
    let text = std::fs::read_to_string(file).unwrap_or_else(|e| panic!("{path}: {e}"));
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let names: Vec<&str> = lines.next().expect("a line of names").split(',').collect();
    let rows: Vec<Row> = lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            assert_eq!(cells.len(), names.len(), "{path}: {line}");
            let pairs = names.iter().zip(cells);
            Row(pairs.map(|(n, c)| ((*n).into(), c.into())).collect())
        })
        .collect();
    assert!(!rows.is_empty(), "{path} has no lines");
    rows
}

/// The cells of every line but the first, which names the columns, and of no comment.
pub fn cells(csv: &str) -> Vec<Vec<&str>> {
    csv.lines()
        .filter(|line| !line.starts_with('#'))
        .skip(1)
        .map(|line| line.split(',').collect())
        .collect()
}

/// A cell as a number.
///
/// # Panics
/// If it holds something else.
pub fn number(cell: &str) -> f32 {
    cell.parse()
        .unwrap_or_else(|_| panic!("not a number: {cell:?}"))
}
