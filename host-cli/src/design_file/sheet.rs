//! Readings and attestations from a spreadsheet, saved as CSV (RFC 4180).
//!
//! The first row names a key in each column, as in a `[[reading]]` or `[[attestation]]`;
//! a unit may stand behind it: `bond [mohm]`. A row with a rule is an attestation, any
//! other a reading. Columns are parted by semicolons, commas or tabs; where a comma
//! stands in a number it is the decimal sign, unless it could part thousands. A point that
//! could part thousands is refused as well: in a sheet with decimal commas, and in one whose
//! columns no comma parts, unless other numbers of it show that its point is a decimal sign.

use orangeloom_core::design::Date;
use time::Month;
use toml::value::Datetime;

use super::keys::{Key, SECTIONS, Section, Tag, Value, section};
use super::near::nearest;
use super::problem::{Problem, ProblemName, quoted};
use super::source::Place;
use super::tree::{Entry, Node, Tree};

/// One field: its place, quotes included, and what it says.
struct Field {
    place: Place,
    text: String,
}

/// Reads a sheet as if it were a TOML file with the same readings.
pub(super) fn read(file: usize, text: &str, problems: &mut Vec<Problem>) -> Vec<Entry> {
    let (rows, delimiter) = rows(file, text, problems);
    let mut rows = rows.into_iter();
    let Some(head) = rows.next() else {
        let what = "the sheet is empty";
        problems.push(
            Problem::new(ProblemName::MissingSection, Place::new(file, 0..0), what)
                .advice("its first row names the columns: box;bond;test-current;instrument;initials;date;revision"),
        );
        return Vec::new();
    };
    let columns = columns(&head, problems);
    let mut readings = Vec::new();
    let mut attestations = Vec::new();
    let rows: Vec<Vec<Field>> = rows.collect();
    let signs = Signs::of(&columns, &rows, delimiter);
    for row in &rows {
        let Some((section, node)) = entry(&columns, row, &signs, problems) else {
            continue;
        };
        match section.tag {
            Tag::Attestation => attestations.push(node),
            _ => readings.push(node),
        }
    }
    [(Tag::Reading, readings), (Tag::Attestation, attestations)]
        .into_iter()
        .filter_map(|(tag, list)| {
            let place = list.first()?.place.clone();
            Some(Entry {
                key: section(tag).key.to_owned(),
                place: place.clone(),
                node: Node {
                    place,
                    value: Tree::List(list),
                },
            })
        })
        .collect()
}

/// What parts the columns: what there is most of in the first row.
fn delimiter(text: &str) -> char {
    let first = text.lines().next().unwrap_or("");
    let count = |sign| first.matches(sign).count();
    let mut best = ';';
    for sign in ['\t', ','] {
        if count(sign) > count(best) {
            best = sign;
        }
    }
    best
}

/// The rows that say something, and what parts their columns.
fn rows(file: usize, text: &str, problems: &mut Vec<Problem>) -> (Vec<Vec<Field>>, char) {
    // Some programs name the delimiter in a row of its own.
    // Blanks may stand in place of a byte order mark.
    let said = text.trim_start_matches(['\u{feff}', ' ']);
    let (start, delimiter) = match said.strip_prefix("sep=") {
        Some(rest) if rest.chars().nth(1).is_none_or(|next| "\r\n".contains(next)) => {
            let at = text.find('\n').map_or(text.len(), |at| at + 1);
            (at, rest.chars().next().unwrap_or(';'))
        }
        _ => (0, delimiter(text)),
    };
    let mut rows = Vec::new();
    let mut row: Vec<Field> = Vec::new();
    let mut letters = text
        .char_indices()
        .skip_while(|(at, letter)| *at < start || *letter == '\u{feff}')
        .peekable();
    while letters.peek().is_some() {
        let (field, end) = field(file, text.len(), delimiter, &mut letters, problems);
        row.push(field);
        if end {
            rows.push(core::mem::take(&mut row));
        }
    }
    rows.retain(|row| row.iter().any(|field| !field.text.is_empty()));
    (rows, delimiter)
}

/// One field, and whether the row ends with it.
fn field(
    file: usize,
    length: usize,
    delimiter: char,
    letters: &mut core::iter::Peekable<impl Iterator<Item = (usize, char)>>,
    problems: &mut Vec<Problem>,
) -> (Field, bool) {
    let first = letters.peek().map_or(length, |(at, _)| *at);
    let (mut text, mut end, mut inside) = (String::new(), length, false);
    let mut row_ends = true;
    while let Some((at, letter)) = letters.next() {
        match letter {
            '"' if inside && letters.peek().is_some_and(|(_, next)| *next == '"') => {
                letters.next();
                text.push('"');
            }
            '"' if inside || text.trim().is_empty() => {
                inside = !inside;
                if inside {
                    text.clear();
                }
            }
            '\n' if !inside => {
                end = at;
                break;
            }
            other if other == delimiter && !inside => {
                end = at;
                row_ends = false;
                break;
            }
            '\r' | '\n' => text.push(' '),
            other => text.push(other),
        }
    }
    let place = Place::new(file, first..end);
    if inside {
        let what = "a quote is opened and not closed";
        problems.push(
            Problem::new(
                ProblemName::Syntax,
                Place::new(file, first..first + 1),
                what,
            )
            .here("opened here")
            .advice("close it, or write a quote inside of quotes twice"),
        );
    }
    let text = text.trim().to_owned();
    (Field { place, text }, row_ends)
}

/// A column: its key with the unit of its numbers.
struct Column {
    key: String,
    unit: Option<String>,
    place: Place,
}

fn columns(head: &[Field], problems: &mut Vec<Problem>) -> Vec<Option<Column>> {
    let mut columns: Vec<Option<Column>> = Vec::new();
    for field in head {
        if field.text.is_empty() {
            columns.push(None);
            continue;
        }
        let (name, unit) = match field.text.split_once(['[', '(']) {
            Some((name, unit)) => (
                name,
                Some(unit.trim_end_matches([']', ')']).trim().to_owned()),
            ),
            None => (field.text.as_str(), None),
        };
        let key = name.trim().to_ascii_lowercase().replace([' ', '_'], "-");
        let twice = columns.iter().flatten().find(|column| column.key == key);
        if !is_known(&key) {
            let what = format!(
                "no reading or attestation has a key {}",
                quoted(&field.text)
            );
            let keys = record_sections()
                .into_iter()
                .flat_map(|section| section.keys.iter().map(|row| row.key));
            problems.push(
                Problem::new(ProblemName::UnknownKey, field.place.clone(), what)
                    .here("not a column")
                    .meant(nearest(&key, keys))
                    .advice(elsewhere(&key).unwrap_or_else(|| "the first row names the columns: box;bond;test-current;instrument;initials;date;revision".to_owned())),
            );
        } else if let Some(first) = twice {
            let what = format!("two columns are called {key}");
            problems.push(
                Problem::new(ProblemName::NameTaken, field.place.clone(), what)
                    .here("here again")
                    .and(first.place.clone(), "first here"),
            );
        }
        columns.push(Some(Column {
            key,
            unit,
            place: field.place.clone(),
        }));
    }
    columns
}

fn record_sections() -> [&'static Section; 2] {
    [section(Tag::Reading), section(Tag::Attestation)]
}

/// Whether a record has such a key.
fn is_known(key: &str) -> bool {
    let mut sections = record_sections().into_iter();
    sections.any(|section| section.row(key).is_some())
}

/// Where a key belongs that no record has.
fn elsewhere(key: &str) -> Option<String> {
    let section = SECTIONS.iter().find(|section| section.row(key).is_some())?;
    Some(format!(
        "{key} is no record: state it in the design, under {}",
        section.heading()
    ))
}

/// What a sheet shows of the signs in its numbers.
struct Signs<'a> {
    /// The first amount that is written with a decimal comma.
    comma: Option<&'a Field>,
    /// Whether a comma parts the columns: who has decimal commas has other columns.
    columns_by_comma: bool,
    /// Whether a number alone has a point that can only be a decimal sign.
    point: bool,
    /// Whether one with its unit has. Typed as text, it says nothing of how the sheet writes
    /// numbers.
    point_before_unit: bool,
}

impl<'a> Signs<'a> {
    fn of(columns: &[Option<Column>], rows: &'a [Vec<Field>], delimiter: char) -> Self {
        let amounts = || rows.iter().flat_map(|row| amounts(columns, row));
        let point = |bare: bool| {
            amounts().any(|field| {
                let number = field.text.parse::<f64>().is_ok() == bare;
                number && has_decimal_point(&field.text)
            })
        };
        let comma = |field: &&Field| decimal(&field.text).is_some_and(|read| read != field.text);
        Self {
            comma: amounts().find(comma),
            columns_by_comma: delimiter == ',',
            point: point(true),
            point_before_unit: point(false),
        }
    }

    /// What is wrong with an amount whose point could part thousands.
    fn refused(&self, key: &Key, field: &Field) -> Option<Problem> {
        let (thousands, [before, fraction, unit]) = thousands_or_decimals(&field.text)?;
        let read = format!("{}: {}", key.key, quoted(&field.text));
        let bare = field.text.parse::<f64>().is_ok();
        let problem = |what| Problem::new(ProblemName::NoAmount, field.place.clone(), what);
        let (problem, sign) = if let Some(comma) = self.comma {
            let what = format!(
                "{read} has a point, and other numbers of this sheet a decimal comma: nobody knows \
                 whether the point parts thousands"
            );
            let here = problem(what).here("thousands or decimals");
            (here.and(comma.place.clone(), "a decimal comma"), ',')
        } else if self.columns_by_comma || self.point || (!bare && self.point_before_unit) {
            return None;
        } else {
            let what = format!(
                "{read}: where decimals have a comma such a point parts thousands, and no other \
                 number of this sheet shows which it is"
            );
            (problem(what).here("thousands or decimals"), '.')
        };
        // With fewer or more digits behind it nobody takes it for a sign between thousands.
        let decimals = match fraction.trim_end_matches('0') {
            "" => "0".to_owned(),
            short if short.len() < 3 => short.to_owned(),
            long => format!("{long}0"),
        };
        let decimals = format!("{before}{sign}{decimals}{unit}");
        let (thousands, decimals) = (quoted(&thousands), quoted(&decimals));
        Some(problem.advice(format!("write {decimals} or {thousands}")))
    }
}

/// The amounts of a row.
fn amounts<'a>(columns: &[Option<Column>], row: &'a [Field]) -> impl Iterator<Item = &'a Field> {
    let amount = |column: &Column| {
        let mut keys = record_sections().into_iter();
        keys.any(|section| {
            let key = section.row(&column.key);
            key.is_some_and(|key| matches!(key.value, Value::Quantity(..)))
        })
    };
    let fields = columns.iter().zip(row);
    fields.filter_map(move |(column, field)| {
        let amount = column.as_ref().is_some_and(amount);
        amount.then_some(field)
    })
}

/// Whether a number has one point, and too few or too many digits beside it for thousands.
fn has_decimal_point(text: &str) -> bool {
    let number = text.trim_start_matches(['-', '+']);
    let number = number.split(|sign: char| !sign.is_ascii_digit() && sign != '.');
    let number = number.into_iter().next().unwrap_or("");
    let parts: Vec<&str> = number.split('.').collect();
    matches!(parts.as_slice(), [before, after] if !before.is_empty() && !after.is_empty())
        && thousands_or_decimals(text).is_none()
}

/// A row as a table of a section.
fn entry(
    columns: &[Option<Column>],
    row: &[Field],
    signs: &Signs<'_>,
    problems: &mut Vec<Problem>,
) -> Option<(&'static Section, Node)> {
    let filled = |key: &str| {
        columns.iter().zip(row).any(|(column, field)| {
            column.as_ref().is_some_and(|column| column.key == key) && !field.text.is_empty()
        })
    };
    let section = section(if filled("rule") {
        Tag::Attestation
    } else {
        Tag::Reading
    });
    let mut entries = Vec::new();
    for (index, field) in row.iter().enumerate() {
        if field.text.is_empty() {
            continue;
        }
        let Some(column) = columns.get(index).and_then(Option::as_ref) else {
            let what = format!("{} stands in a column without a name", quoted(&field.text));
            problems.push(
                Problem::new(ProblemName::UnknownKey, field.place.clone(), what)
                    .here("no column")
                    .advice(
                        "name the column in the first row, or quote a text with a delimiter in it",
                    ),
            );
            continue;
        };
        let value = match section.row(&column.key) {
            Some(key) => value(key, column, field, signs, problems),
            // Told of the first row already.
            None if !is_known(&column.key) => continue,
            None => Tree::Text(field.text.clone()),
        };
        entries.push(Entry {
            key: column.key.clone(),
            place: field.place.clone(),
            node: Node {
                place: field.place.clone(),
                value,
            },
        });
    }
    let (first, last) = (row.first()?, row.last()?);
    let place = Place {
        file: first.place.file,
        start: first.place.start,
        end: last.place.end,
    };
    let value = Tree::Table(entries);
    Some((section, Node { place, value }))
}

/// A field as the value that its key takes; what it cannot be is told by whoever reads it.
fn value(
    key: &Key,
    column: &Column,
    field: &Field,
    signs: &Signs<'_>,
    problems: &mut Vec<Problem>,
) -> Tree {
    let text = &field.text;
    match key.value {
        Value::Quantity(..) => {
            problems.extend(signs.refused(key, field));
            // Where nobody knows what a comma is, whoever reads the amount refuses it.
            let number = decimal(text).unwrap_or_else(|| text.clone());
            // A unit beside the number goes before the unit of the column.
            let bare = number.parse::<f64>().is_ok();
            Tree::Text(match &column.unit {
                Some(unit) if bare => format!("{number} {unit}"),
                _ => number,
            })
        }
        Value::Whole(..) => match text.parse::<u32>() {
            Ok(_) => Tree::Whole(text.clone(), 10),
            Err(_) => Tree::Text(text.clone()),
        },
        Value::Flag => match text.to_ascii_lowercase().as_str() {
            "yes" | "true" => Tree::Flag(true),
            "no" | "false" => Tree::Flag(false),
            _ => {
                let what = format!("{} is {}, yes or no is needed", key.key, quoted(text));
                problems.push(
                    Problem::new(ProblemName::WrongType, field.place.clone(), what)
                        .here("neither yes nor no")
                        .advice("write yes or no, in English whatever the language of the sheet"),
                );
                // Read on, to tell what else is wrong; nothing is used of such a sheet.
                Tree::Flag(false)
            }
        },
        Value::Day => day(text).map_or_else(
            |why| {
                let what = match why {
                    NoDay::Unreadable => {
                        format!("{} is {}, a date is needed", key.key, quoted(text))
                    }
                    NoDay::NotThere { day, month, year } => {
                        format!("{}: there is no {day} {month} {year}", key.key)
                    }
                };
                problems.push(
                    Problem::new(ProblemName::NoDay, field.place.clone(), what)
                        .here(match why {
                            NoDay::Unreadable => "no date",
                            NoDay::NotThere { .. } => "not in the calendar",
                        })
                        .advice(
                            "write year-month-day as 2026-02-28, or day.month.year as 28.2.2026; \
                         of 02/03/2026 nobody knows which is the month",
                        ),
                );
                // As above.
                "2000-01-01".parse().map_or(Tree::Flag(false), Tree::Day)
            },
            Tree::Day,
        ),
        _ => Tree::Text(text.clone()),
    }
}

/// An amount with a point for the decimal comma; `None` where the comma could part
/// thousands.
fn decimal(text: &str) -> Option<String> {
    let Some((before, after)) = text.split_once(',') else {
        return Some(text.to_owned());
    };
    let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
    let whole: Vec<char> = before
        .chars()
        .rev()
        .take_while(char::is_ascii_digit)
        .collect();
    let starts_with_zero = whole.last() == Some(&'0');
    let thousands = digits(after) == 3 && (1..=3).contains(&whole.len()) && !starts_with_zero;
    if after.contains(',') || before.contains('.') || after.contains('.') || thousands {
        return None;
    }
    Some(text.replacen(',', ".", 1))
}

/// A number whose point could part thousands: without the point, and what stands before and
/// behind it.
fn thousands_or_decimals(text: &str) -> Option<(String, [&str; 3])> {
    let (before, after) = text.split_once('.')?;
    let digits = |text: &str| text.chars().take_while(char::is_ascii_digit).count();
    let whole = before.trim_start_matches(['-', '+']);
    let parts = (1..=3).contains(&whole.len())
        && digits(whole) == whole.len()
        && !whole.starts_with('0')
        && digits(after) == 3
        && !after.contains(['.', ',']);
    let (fraction, unit) = after.split_at_checked(3)?;
    parts.then(|| (format!("{before}{after}"), [before, fraction, unit]))
}

/// Why a text is no day.
#[derive(Clone, Copy, Debug, PartialEq)]
enum NoDay {
    /// Written in another way.
    Unreadable,
    /// The month has no such day.
    NotThere { day: u8, month: Month, year: u16 },
}

/// A day as 2026-03-01 or 1.3.2026; with slashes nobody knows which is the month.
fn day(text: &str) -> Result<Datetime, NoDay> {
    let (dotted, dashed): (Vec<&str>, Vec<&str>) =
        (text.split('.').collect(), text.split('-').collect());
    let (([day, month, year], _) | (_, [year, month, day])) =
        (dotted.as_slice(), dashed.as_slice())
    else {
        return Err(NoDay::Unreadable);
    };
    let parsed = (
        year.trim().parse(),
        month.trim().parse(),
        day.trim().parse(),
    );
    let (Ok(year), Ok(month), Ok(day)) = parsed else {
        return Err(NoDay::Unreadable);
    };
    if Date::new(year, month, day).is_err() {
        return Err(match Month::try_from(month) {
            Ok(month) if (29..=31).contains(&day) && year >= 1000 => {
                NoDay::NotThere { day, month, year }
            }
            _ => NoDay::Unreadable,
        });
    }
    let written = format!("{year:04}-{month:02}-{day:02}");
    written.parse().map_err(|_| NoDay::Unreadable)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn fields(text: &str) -> Vec<Vec<String>> {
        let mut problems = Vec::new();
        let (rows, _) = rows(0, text, &mut problems);
        assert!(problems.is_empty(), "{problems:?}");
        rows.into_iter()
            .map(|row| row.into_iter().map(|field| field.text).collect())
            .collect()
    }

    #[test]
    fn sheets_of_all_countries_are_the_same() {
        let wanted = [["box", "bond"], ["J1", "0.034 ohm"]];
        for text in [
            "box;bond\nJ1;0.034 ohm\n",
            "box,bond\r\nJ1,0.034 ohm\r\n",
            "\u{feff}box\tbond\nJ1\t0.034 ohm",
            "sep=;\nbox;bond\n;\n\n\"J1\";\"0.034 ohm\"",
            "\u{feff}sep=,\r\nbox,bond\r\nJ1 , \"0.034 ohm\"\r\n",
        ] {
            assert_eq!(fields(text), wanted, "{text:?}");
        }
    }

    #[test]
    fn quotes_hold_delimiters_breaks_and_quotes() {
        let found = fields("a;b\n\"1;2\";\"say \"\"no\"\"\nagain\"\n5/16\" stud;x");
        assert_eq!(found[1], ["1;2", "say \"no\" again"]);
        assert_eq!(found[2], ["5/16\" stud", "x"]);
    }

    #[test]
    fn a_quote_that_is_not_closed_is_told_where_it_opens() {
        let mut problems = Vec::new();
        rows(0, "box;bond\nJ1;\"0.1 ohm\n", &mut problems);
        assert_eq!(problems.len(), 1);
        assert_eq!(problems[0].place, Place::new(0, 12..13));
    }

    #[test]
    fn a_comma_is_a_decimal_sign_unless_it_could_part_thousands() {
        for (written, read) in [
            ("0,034 ohm", Some("0.034 ohm")),
            ("12,5 mohm", Some("12.5 mohm")),
            ("1234,567 V", Some("1234.567 V")),
            ("-0,5 V", Some("-0.5 V")),
            ("5 V", Some("5 V")),
            ("1,200 kohm", None),
            ("1,200,000 ohm", None),
            ("1.200,5 ohm", None),
            ("1,200.5 ohm", None),
        ] {
            assert_eq!(decimal(written).as_deref(), read, "{written}");
        }
    }

    #[test]
    fn a_point_beside_decimal_commas_is_refused_where_it_could_part_thousands() {
        for (written, thousands) in [
            ("1.234", Some("1234")),
            ("12.345 mohm", Some("12345 mohm")),
            ("-1.234 V", Some("-1234 V")),
            ("0.034 ohm", None),
            ("1.25", None),
            ("1.2345", None),
            ("1234.567", None),
            ("5", None),
        ] {
            let found = thousands_or_decimals(written).map(|found| found.0);
            assert_eq!(found.as_deref(), thousands, "{written}");
        }
        let problems = |cells: &str| {
            let mut problems = Vec::new();
            let head = "box;bond [mohm];test-current";
            read(0, &format!("{head}\n{cells}"), &mut problems);
            problems
                .into_iter()
                .map(|one| one.place.start)
                .collect::<Vec<_>>()
        };
        // Once it was taken for 1.234 mohm.
        assert_eq!(problems("J1;34,5;0.2 A\nS1;1.234;0,2 A\n"), [46]);
        assert!(problems("J1;34.5;0.2 A\nS1;1.234;0.2 A\n").is_empty());
    }

    /// What is advised for each amount of a sheet that is refused.
    fn advised(text: &str) -> Vec<String> {
        let mut problems = Vec::new();
        read(0, text, &mut problems);
        problems.into_iter().flat_map(|one| one.advice).collect()
    }

    #[test]
    fn a_point_that_could_part_thousands_is_refused_unless_the_sheet_shows_which() {
        let one = |head: &str, cells: &str| advised(&format!("{head}\n{cells}\n"));
        let head = "box;bond [mohm];test-current";
        for (cells, advice) in [
            ("J1;1.200;0.2 A", Some("write \"1.2\" or \"1200\"")),
            ("J1;12.345;200 mA", Some("write \"12.3450\" or \"12345\"")),
            (
                "J1;1.000 ohm;1 A",
                Some("write \"1.0 ohm\" or \"1000 ohm\""),
            ),
            // A number with its unit is text, typed by hand.
            (
                "J1;1.200;0.2 A\nS1;34;0.2 A",
                Some("write \"1.2\" or \"1200\""),
            ),
            ("J1;1.200 ohm;0.2 A", None),
            // No thousands have so many digits.
            ("J1;1.200;0.2 A\nS1;34.5;0.2 A", None),
            ("J1;1.200;0.2", None),
            ("J1;1.200;1.25", None),
            ("J1;1.200;1.2500", None),
            // What is written twice shows nothing.
            (
                "J1;1.200;0.2 A\nS1;1.300;0.2 A",
                Some("write \"1.2\" or \"1200\""),
            ),
        ] {
            let found = one(head, cells);
            assert_eq!(found.first().map(String::as_str), advice, "{cells}");
        }
        // Tabs part columns everywhere; commas only where they are no decimal sign.
        let tabs = one("box\tbond [mohm]\ttest-current", "J1\t1.200\t0.2 A");
        assert_eq!(tabs.len(), 1);
        assert!(one("box,bond [mohm],test-current", "J1,1.200,0.2 A").is_empty());
    }

    #[test]
    fn a_day_is_read_where_its_order_is_known() {
        for (written, read) in [
            ("2026-03-14", Some("2026-03-14")),
            ("14.3.2026", Some("2026-03-14")),
            ("14.03.2026", Some("2026-03-14")),
            ("2026-3-14", Some("2026-03-14")),
            ("03/14/2026", None),
            ("31.2.2026", None),
            ("32.3.2026", None),
            ("14.13.2026", None),
            ("14.3.26", None),
            ("14. Maerz 2026", None),
        ] {
            let found = day(written).ok().map(|day| day.to_string());
            assert_eq!(found.as_deref(), read, "{written}");
        }
        let month = Month::February;
        for (written, day_of) in [("31.2.2026", 31), ("2026-02-29", 29)] {
            let there_is_none = NoDay::NotThere {
                day: day_of,
                month,
                year: 2026,
            };
            assert_eq!(day(written), Err(there_is_none), "{written}");
        }
    }

    proptest! {
        #[test]
        fn any_text_is_read_or_refused_with_places_inside_of_it(text in "[a-z;,\"\n\r\t0-9 \u{e9}\u{feff}]{0,80}") {
            let mut problems = Vec::new();
            for row in rows(0, &text, &mut problems).0 {
                for field in row {
                    prop_assert!(text.get(field.place.start..field.place.end).is_some());
                }
            }
            let mut problems = Vec::new();
            read(0, &text, &mut problems);
        }

        #[test]
        fn what_is_quoted_comes_back(fields in prop::collection::vec("[ -~]{1,12}", 2..5)) {
            let written: Vec<String> = fields
                .iter()
                .map(|one| format!("\"{}\"", one.replace('"', "\"\"")))
                .collect();
            let text = format!("a;b;c;d;e;f\n{}\n", written.join(";"));
            let mut problems = Vec::new();
            let (rows, _) = rows(0, &text, &mut problems);
            prop_assert!(problems.is_empty());
            if let Some(row) = rows.get(1) {
                let found: Vec<&str> = row.iter().map(|one| one.text.as_str()).collect();
                let wanted: Vec<&str> = fields.iter().map(|one| one.trim()).collect();
                prop_assert_eq!(found, wanted);
            }
        }
    }
}
