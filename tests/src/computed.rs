//! Tables under `published/` and computed columns under `reference_scripts/`.
//!
//! Plain comma-separated text: `#` starts a comment line, the first other line names
//! the columns, no quoting.

use std::collections::HashMap;
use std::path::Path;

/// One line, by column name.
#[derive(Debug)]
pub struct Row(HashMap<String, String>);

impl Row {
    /// The cell as it is printed.
    ///
    /// # Panics
    /// If there is no such column.
    pub fn text(&self, column: &str) -> &str {
        self.0
            .get(column)
            .unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The cell as a number; `None` if it is empty.
    ///
    /// # Panics
    /// If there is no such column or it holds something else.
    pub fn number(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        if text.is_empty() {
            return None;
        }
        Some(text.parse().unwrap_or_else(|_| panic!("{column}: {text}")))
    }

    /// The cell as a number in `f32`, which must be there.
    ///
    /// # Panics
    /// As [`Self::number`], and if the cell is empty.
    #[allow(clippy::cast_possible_truncation)] // printed values have few digits
    pub fn value(&self, column: &str) -> f32 {
        self.number(column)
            .unwrap_or_else(|| panic!("{column} is empty")) as f32
    }
}

/// Reads a table; `path` counts from the folder of this crate.
///
/// # Panics
/// If it cannot be read, has no lines, or a line has another number of cells.
pub fn read(path: &str) -> Vec<Row> {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
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
