//! What the text of every answer shares: blocks, plain tables, the closing cautions.

use comfy_table::{CellAlignment, Table, presets};

/// What every answer ends with.
pub(crate) const CAUTIONS: [&str; 3] = [
    "Calculated from what was entered; a wrong entry gives a wrong answer. Measure after fitting.",
    "An open limit is not a pass.",
    "High-voltage DC kills. Local codes, the makers' instructions and licensed practice come first.",
];

/// Blocks with an empty line between them; empty ones are left out.
pub(crate) fn join(blocks: &[String]) -> String {
    let mut text = String::new();
    for block in blocks.iter().filter(|block| !block.is_empty()) {
        if !text.is_empty() {
            text.push('\n');
        }
        text.push_str(block.trim_end());
        text.push('\n');
    }
    text
}

/// What was assumed because nobody stated it.
pub(crate) fn taken_as_default(taken: &[String]) -> String {
    if taken.is_empty() {
        String::new()
    } else {
        format!("Taken as default: {}", taken.join("; "))
    }
}

/// A table without lines.
pub(crate) fn plain_table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table
}

/// Right-aligns everything after the first columns: numbers line up.
pub(crate) fn align(table: &mut Table, first: usize) {
    for column in table.column_iter_mut().skip(first) {
        column.set_cell_alignment(CellAlignment::Right);
    }
}
