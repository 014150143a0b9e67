//! What the text of every answer shares: blocks, wrapped prose, numbered sources, plain
//! tables, the closing cautions.

use core::fmt::Write;

use comfy_table::{CellAlignment, ColumnConstraint, ContentArrangement, Table, Width, presets};

/// What every answer ends with.
pub(crate) const CAUTIONS: [&str; 3] = [
    "Calculated from what was entered; a wrong entry gives a wrong answer. Measure after fitting.",
    "An open limit is not a pass.",
    "High-voltage DC kills. Local codes, the makers' instructions and licensed practice come first.",
];

/// Which version made an answer that is kept with the papers of a vehicle.
pub(crate) fn made_by() -> String {
    format!("By orangeloom {}.", env!("CARGO_PKG_VERSION"))
}

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

/// What to do next; nothing when there is nothing to do.
pub(crate) fn next_steps(steps: impl Iterator<Item = String>) -> String {
    let lines: Vec<String> = steps.map(|words| wrap("  - ", &words)).collect();
    if lines.is_empty() {
        return String::new();
    }
    format!("Next steps\n{}", lines.join("\n"))
}

/// Columns of a terminal that nobody made wider.
pub(crate) const WIDTH: usize = 80;

/// Narrower than this nothing is readable.
const NARROWEST: usize = 40;

/// Columns of the terminal that the answer goes to, within what reads well; [`WIDTH`] for
/// a file or a pipe.
pub(crate) fn width() -> usize {
    const WIDEST: usize = 110;
    columns().map_or(WIDTH, |columns| columns.clamp(NARROWEST, WIDEST))
}

/// The columns that COLUMNS names, or those of the terminal; a file or a pipe has none.
fn columns() -> Option<usize> {
    let stated = std::env::var("COLUMNS").ok();
    let stated = stated.and_then(|columns| columns.trim().parse().ok());
    stated.filter(|columns| *columns > 0).or_else(|| {
        let found = terminal_size::terminal_size_of(std::io::stdout());
        found.map(|(columns, _)| usize::from(columns.0))
    })
}

/// Prose broken at spaces so that no line is wider than [`WIDTH`], unless a single word
/// is. The first line begins with `first`, the others with as many spaces. A number is
/// not parted from the unit after it.
pub(crate) fn wrap(first: &str, prose: &str) -> String {
    wrap_to(WIDTH, first, prose)
}

/// The same for a page of another width.
pub(crate) fn wrap_to(width: usize, first: &str, prose: &str) -> String {
    let indent = first.chars().count();
    let lines = prose.len() / width.saturating_sub(indent).max(1) + 1;
    let mut text = String::with_capacity(first.len() + prose.len() + lines * (indent + 1));
    text.push_str(first);
    let mut used = indent;
    let mut words = prose.split_whitespace();
    while let Some(word) = words.next() {
        let digits =
            word.starts_with(|first: char| first.is_ascii_digit() || "+-.".contains(first));
        let number = digits && word.parse::<f64>().is_ok();
        let unit = if number { words.next() } else { None };
        let wide = |word: &str| word.chars().count();
        let wide = wide(word) + unit.map_or(0, |unit| 1 + wide(unit));
        if used > indent {
            if used + 1 + wide > width {
                let _ = write!(text, "\n{:indent$}", "");
                used = indent;
            } else {
                text.push(' ');
                used += 1;
            }
        }
        text.push_str(word);
        if let Some(unit) = unit {
            text.push(' ');
            text.push_str(unit);
        }
        used += wide;
    }
    text
}

/// The sources that an answer cites: each is numbered when it is first cited and listed
/// once below the tables.
#[derive(Debug, Default)]
pub(crate) struct Sources(Vec<String>);

impl Sources {
    /// No source yet.
    pub(crate) const fn new() -> Self {
        Self(Vec::new())
    }

    /// The mark of a source, as "[1]"; the same text gets the same mark.
    pub(crate) fn mark(&mut self, cited: &str) -> String {
        let known = self.0.iter().position(|one| one == cited);
        let number = known.unwrap_or_else(|| {
            self.0.push(cited.to_owned());
            self.0.len() - 1
        });
        format!("[{}]", number + 1)
    }

    /// The block that says what the marks stand for, with its heading; empty without marks.
    pub(crate) fn list(&self) -> String {
        self.list_to(WIDTH)
    }

    /// The same for a page of another width.
    pub(crate) fn list_to(&self, width: usize) -> String {
        let mut text = String::new();
        let wide = self.0.len().to_string().len() + 2;
        for (index, cited) in self.0.iter().enumerate() {
            let mark = format!("[{}]", index + 1);
            text.push_str(if index == 0 { "Sources\n" } else { "\n" });
            text.push_str(&wrap_to(width, &format!("  {mark:>wide$} "), cited));
        }
        text
    }
}

/// Most things that one line names.
pub(crate) const SHOWN: usize = 8;

/// A number of things in words.
pub(crate) fn counted(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// Things in a row; long rows are cut.
pub(crate) fn in_a_row(things: &[String]) -> String {
    row_of(things, Clone::clone)
}

/// The same of what has yet to be named.
pub(crate) fn row_of<T>(things: &[T], name: impl Fn(&T) -> String) -> String {
    let shown: Vec<String> = things.iter().take(SHOWN).map(name).collect();
    let shown = shown.join("; ");
    match things.len().checked_sub(SHOWN) {
        None | Some(0) => shown,
        Some(more) => format!("{shown}; and {more} more"),
    }
}

/// Puts a thing beside those that say the same.
pub(crate) fn gather<K: PartialEq>(alike: &mut Vec<(K, Vec<String>)>, said: K, thing: String) {
    match alike.iter_mut().find(|(known, _)| *known == said) {
        Some((_, things)) if things.contains(&thing) => {}
        Some((_, things)) => things.push(thing),
        None => alike.push((said, vec![thing])),
    }
}

/// What was assumed because nobody stated it, one a line.
pub(crate) fn taken_as_default(taken: &[String]) -> String {
    if taken.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = taken.iter().map(|one| wrap("  - ", one)).collect();
    format!("Taken as default\n{}", lines.join("\n"))
}

/// The closing cautions as a block.
pub(crate) fn cautions() -> String {
    cautions_to(WIDTH)
}

/// The same for a page of another width.
pub(crate) fn cautions_to(width: usize) -> String {
    CAUTIONS
        .map(|caution| wrap_to(width, "", caution))
        .join("\n")
}

/// A table without lines.
pub(crate) fn plain_table() -> Table {
    let mut table = Table::new();
    table.load_style(presets::NOTHING);
    table
}

/// A table as text, no wider than there are columns: cells are broken at spaces, never
/// within a word or a number, which makes a table of many numbers wider at need. In a file
/// or a pipe nothing is broken.
pub(crate) fn table(table: &mut Table) -> String {
    match columns() {
        Some(columns) => table_to(columns.max(NARROWEST), table),
        None => table.trim_fmt(),
    }
}

/// The same for a table of long texts, which a file or a pipe does not need in full width.
pub(crate) fn narrow_table(table: &mut Table) -> String {
    table_to(
        columns().map_or(WIDTH, |columns| columns.max(NARROWEST)),
        table,
    )
}

fn table_to(width: usize, table: &mut Table) -> String {
    let mut longest = vec![0; table.column_count()];
    for row in table.header().into_iter().chain(table.row_iter()) {
        for (longest, cell) in longest.iter_mut().zip(row.cell_iter()) {
            let content = cell.content();
            let words = content.split_whitespace().map(|word| word.chars().count());
            *longest = words.fold(*longest, usize::max);
        }
    }
    for (column, longest) in table.column_iter_mut().zip(longest) {
        let least = longest + usize::from(column.padding_width());
        let least = u16::try_from(least).unwrap_or(u16::MAX);
        column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(least)));
    }
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(u16::try_from(width).unwrap_or(u16::MAX));
    table.trim_fmt()
}

/// Right-aligns everything after the first columns: numbers line up.
pub(crate) fn align(table: &mut Table, first: usize) {
    for column in table.column_iter_mut().skip(first) {
        column.set_cell_alignment(CellAlignment::Right);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prose_is_broken_before_the_last_column_and_hangs() {
        let text = wrap("  - ", &"word ".repeat(40));
        assert!(text.lines().all(|line| line.chars().count() <= WIDTH));
        assert!(text.starts_with("  - word"));
        assert!(
            text.lines()
                .skip(1)
                .all(|line| line.starts_with("    word"))
        );
        assert_eq!(text.split_whitespace().count(), 41);
        // 80 columns exactly stay on one line.
        assert_eq!(
            wrap("", &format!("{} a", "b".repeat(78))).lines().count(),
            1
        );
        assert_eq!(
            wrap("", &format!("{} a", "b".repeat(79))).lines().count(),
            2
        );
        let with_unit = wrap("", &format!("{} 630 V", "b".repeat(75)));
        assert!(with_unit.ends_with("\n630 V"), "{with_unit}");
        let long = "x".repeat(100);
        assert_eq!(wrap("  ", &long), format!("  {long}"));
    }

    #[test]
    fn a_table_is_as_wide_as_the_page_and_breaks_no_number() {
        let filled = || {
            let mut table = plain_table();
            table.set_header(["what", "value"]);
            table.add_row(["word ".repeat(30), "123456789012".to_owned()]);
            table
        };
        for width in [40, 60, 80, 300] {
            let text = table_to(width, &mut filled());
            let widest = text.lines().map(|line| line.chars().count()).max();
            assert!(
                widest.is_some_and(|widest| widest <= width),
                "{width}: {text}"
            );
            assert!(text.contains("123456789012"), "{width}: {text}");
            assert_eq!(text.matches("word").count(), 30, "{width}: {text}");
        }
        // What cannot be broken stays whole, whatever the page.
        let mut numbers = plain_table();
        numbers.add_row(vec!["1234567890"; 8]);
        assert_eq!(table_to(40, &mut numbers).matches("1234567890").count(), 8);
    }

    #[test]
    fn a_source_keeps_its_number_and_is_listed_once() {
        let mut sources = Sources::new();
        assert_eq!(sources.list(), "");
        assert_eq!(sources.mark("a table"), "[1]");
        assert_eq!(sources.mark("another"), "[2]");
        assert_eq!(sources.mark("a table"), "[1]");
        assert_eq!(sources.list(), "Sources\n  [1] a table\n  [2] another");
        for number in 3..=10 {
            sources.mark(&number.to_string());
        }
        assert!(sources.list().starts_with("Sources\n   [1] a table\n"));
        assert!(sources.list().ends_with("\n  [10] 10"));
    }
}
