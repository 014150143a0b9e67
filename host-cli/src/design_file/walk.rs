//! Takes keys out of tables, converts their values and collects what is wrong.

use orangeloom_core::design::{Date, Draw, TimeOfDay};
use orangeloom_core::quantity::{Current, Power, Resistance};

use super::beyond_range;
use super::keys::{Key, Section, Sign, Tag, Value, example_of};
use super::near::nearest;
use super::problem::{Problem, ProblemName, listed, one_of, quoted};
use super::source::{Place, Source};
use super::tree::{Entry, Node, Tree};
use super::words::Words;
use crate::quantity_text::{FromText, Kind, Problem as TextProblem, TextError, parse};

/// Where problems go, and the text that they point into.
pub(super) struct Report<'a> {
    pub(super) sources: &'a [Source],
    pub(super) problems: Vec<Problem>,
}

impl Report<'_> {
    pub(super) fn add(&mut self, problem: Problem) {
        self.problems.push(problem);
    }

    /// The part of a text value, told in bytes of the text, as a place in the file.
    fn inside(&self, node: &Node, text: &str, span: &core::ops::Range<usize>) -> Place {
        let written = self
            .sources
            .get(node.place.file)
            .and_then(|source| source.text.get(node.place.start..node.place.end))
            .unwrap_or("");
        // Only where the quotes hold what they mean, without escapes.
        for quote in [1, 3] {
            let content = written.get(quote..written.len().saturating_sub(quote));
            if content == Some(text) && span.start < span.end {
                let at = node.place.start + quote;
                return Place {
                    file: node.place.file,
                    start: at + span.start,
                    end: at + span.end,
                };
            }
        }
        node.place.clone()
    }
}

/// A table of the file with the section that it is read as.
#[derive(Clone, Copy)]
pub(super) struct Table<'a> {
    pub(super) section: &'static Section,
    pub(super) entries: &'a [Entry],
    pub(super) place: &'a Place,
}

/// A text and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Written<'a> {
    pub(super) text: &'a str,
    pub(super) place: &'a Place,
}

impl<'a> Table<'a> {
    /// The value of a key of this section.
    pub(super) fn node(&self, key: &str) -> Option<&'a Node> {
        debug_assert!(
            self.section.row(key).is_some(),
            "{} has no row {key}",
            self.section.key
        );
        self.entries
            .iter()
            .find(|entry| entry.key == key)
            .map(|entry| &entry.node)
    }

    /// Whether a key is there.
    pub(super) fn has(&self, key: &str) -> bool {
        self.node(key).is_some()
    }

    /// The place of the value of a key, or of the table.
    pub(super) fn place_of(&self, key: &str) -> Place {
        self.node(key)
            .map_or(self.place, |node| &node.place)
            .clone()
    }

    /// Reports keys that the section does not have, and those that it needs and
    /// that are not there.
    pub(super) fn check_keys(&self, report: &mut Report<'_>) {
        for entry in self.entries {
            if self.section.row(&entry.key).is_none() {
                report.add(unknown_key(self.section, entry, self.entries));
            }
        }
        for row in self.section.keys.iter().filter(|row| row.required) {
            let there = self.entries.iter().any(|entry| entry.key == row.key);
            // A slip of the pen is reported once, as the unknown key it is.
            let slipped = || {
                self.entries.iter().any(|entry| {
                    self.section.row(&entry.key).is_none()
                        && nearest(&entry.key, [row.key]).is_some()
                })
            };
            if !there && !slipped() {
                let what = format!("this {} has no key {}", self.section.one, quoted(row.key));
                report.add(
                    Problem::new(ProblemName::MissingKey, self.place.clone(), what)
                        .here(format!("{} is needed here", quoted(row.key)))
                        .advice(format!("{}: {}; {}", row.key, row.doc, expected(row))),
                );
            }
        }
    }

    fn row(&self, key: &str) -> &'static Key {
        // Asked only for keys of the section, see `node`.
        self.section.row(key).unwrap_or(&self.section.keys[0])
    }

    fn wrong_type(&self, key: &str, node: &Node) -> Problem {
        wrong_type(self.row(key), node)
    }

    /// A text.
    pub(super) fn text(&self, key: &str, report: &mut Report<'_>) -> Option<Written<'a>> {
        let node = self.node(key)?;
        let text = text_of(node);
        if text.is_none() {
            report.add(self.wrong_type(key, node));
        }
        text
    }

    /// Several texts.
    pub(super) fn texts(&self, key: &str, report: &mut Report<'_>) -> Vec<Written<'a>> {
        let Some(node) = self.node(key) else {
            return Vec::new();
        };
        let Tree::List(list) = &node.value else {
            report.add(self.wrong_type(key, node));
            return Vec::new();
        };
        let mut texts = Vec::new();
        for item in list {
            match text_of(item) {
                Some(text) => texts.push(text),
                None => report.add(self.wrong_type(key, item)),
            }
        }
        texts
    }

    /// One text for both ends, or one for each.
    pub(super) fn each_end(&self, key: &str, report: &mut Report<'_>) -> [Option<&'a Node>; 2] {
        let Some(node) = self.node(key) else {
            return [None; 2];
        };
        match &node.value {
            Tree::Text(_) => [Some(node), Some(node)],
            Tree::List(list) => {
                if let [from, to] = list.as_slice() {
                    [Some(from), Some(to)]
                } else {
                    report.add(self.wrong_type(key, node));
                    [None; 2]
                }
            }
            _ => {
                report.add(self.wrong_type(key, node));
                [None; 2]
            }
        }
    }

    /// true or false.
    pub(super) fn flag(&self, key: &str, report: &mut Report<'_>) -> Option<bool> {
        let node = self.node(key)?;
        if let Tree::Flag(flag) = node.value {
            Some(flag)
        } else {
            report.add(self.wrong_type(key, node));
            None
        }
    }

    /// A whole number within the limits of its row.
    pub(super) fn whole(&self, key: &str, report: &mut Report<'_>) -> Option<u32> {
        let node = self.node(key)?;
        let row = self.row(key);
        let Value::Whole(least, most) = row.value else {
            debug_assert!(false, "{key} is no whole number");
            return None;
        };
        let Tree::Whole(digits, radix) = &node.value else {
            report.add(self.wrong_type(key, node));
            return None;
        };
        let number = i64::from_str_radix(digits, *radix)
            .ok()
            .and_then(|number| u32::try_from(number).ok())
            .filter(|number| (least..=most).contains(number));
        if number.is_none() {
            let what = format!("{key} is {digits}, it has to be {least} to {most}");
            report.add(
                Problem::new(ProblemName::OutOfRange, node.place.clone(), what)
                    .here("out of range")
                    .advice(format!("{key}: {}", row.doc)),
            );
        }
        number
    }

    /// A day.
    pub(super) fn day(&self, key: &str, report: &mut Report<'_>) -> Option<Date> {
        let node = self.node(key)?;
        let Tree::Day(day) = &node.value else {
            report.add(self.wrong_type(key, node));
            return None;
        };
        if let Some(date) = self.date(key) {
            Some(date)
        } else {
            let what = format!("{day} is no day between 1900 and 2199");
            report.add(
                Problem::new(ProblemName::NoDay, node.place.clone(), what)
                    .advice("write year, month and day without quotes: 2026-03-01"),
            );
            None
        }
    }

    /// A day, where it is one: that it is none is told by [`Self::day`].
    pub(super) fn date(&self, key: &str) -> Option<Date> {
        let Tree::Day(day) = &self.node(key)?.value else {
            return None;
        };
        let day = day.date?;
        Date::new(day.year, day.month, day.day).ok()
    }

    /// A minute of a day.
    pub(super) fn minute(&self, key: &str, report: &mut Report<'_>) -> Option<TimeOfDay> {
        let node = self.node(key)?;
        let Tree::Text(text) = &node.value else {
            report.add(self.wrong_type(key, node));
            return None;
        };
        // A spreadsheet may add seconds.
        let parts: Vec<Option<u8>> = text
            .split(':')
            .map(|part| part.trim().parse().ok())
            .collect();
        let time = match parts.as_slice() {
            [Some(hour), Some(minute)] | [Some(hour), Some(minute), Some(0..=59)] => {
                TimeOfDay::new(*hour, *minute).ok()
            }
            _ => None,
        };
        if time.is_none() {
            let what = format!("{key} is {}, hour and minute are needed", quoted(text));
            report.add(
                Problem::new(ProblemName::NoDay, node.place.clone(), what)
                    .here("no minute of a day")
                    .advice("write 0:00 to 23:59, as 9:05 or 14:30"),
            );
        }
        time
    }

    /// An amount with its unit.
    pub(super) fn quantity<Q>(&self, key: &str, report: &mut Report<'_>) -> Option<Q>
    where
        Q: FromText + Copy + Into<f32>,
    {
        let quantity: Q = self.amount(key, report)?;
        let positive = self.sign_is_kept(key, quantity.into(), report);
        positive.then_some(quantity)
    }

    /// An amount whose sign is not looked at.
    pub(super) fn amount<Q: FromText>(&self, key: &str, report: &mut Report<'_>) -> Option<Q> {
        let node = self.node(key)?;
        let row = self.row(key);
        let Value::Quantity(kind, _) = row.value else {
            debug_assert!(false, "{key} is no quantity");
            return None;
        };
        debug_assert!(
            Q::needed() == format!("{}: {}", kind.noun(), kind.accepted()),
            "{key} is read as {}, its row says {}",
            Q::needed(),
            kind.noun()
        );
        // What an instrument does not show as a number, a design does not hold elsewhere.
        let reading = self.section.tag == Tag::Reading;
        if let Some(problem) = beyond_range::refused::<Q>(key, node).filter(|_| reading) {
            report.add(problem);
            return None;
        }
        read_amount(key, kind, node, report)
    }

    /// Reports an amount that is zero or below where that makes no sense.
    pub(super) fn sign_is_kept(&self, key: &str, value: f32, report: &mut Report<'_>) -> bool {
        let Value::Quantity(kind, sign) = self.row(key).value else {
            return true;
        };
        let kept = match sign {
            Sign::Positive => value > 0.0,
            Sign::NotNegative => value >= 0.0,
            Sign::Any => true,
        };
        if !kept {
            let place = self.place_of(key);
            report.add(
                not_positive(key, kind, sign, place)
                    .advice(format!("{key}: {}", self.row(key).doc)),
            );
        }
        kept
    }

    /// A power, a current or a resistance.
    pub(super) fn draw(&self, key: &str, report: &mut Report<'_>) -> Option<Draw> {
        let node = self.node(key)?;
        read_draw(key, node, report)
    }

    /// One word out of a list.
    pub(super) fn word<W: Words>(&self, key: &str, report: &mut Report<'_>) -> Option<W> {
        let node = self.node(key)?;
        let Some(written) = text_of(node) else {
            report.add(self.wrong_type(key, node));
            return None;
        };
        let found = W::ROWS.iter().find(|(word, _)| *word == written.text);
        if found.is_none() {
            let words: Vec<String> = W::ROWS.iter().map(|(word, _)| quoted(word)).collect();
            let what = format!("{} is no word for {key}", quoted(written.text));
            report.add(
                Problem::new(ProblemName::UnknownWord, node.place.clone(), what)
                    .here("not in the list")
                    .meant(nearest(written.text, W::ROWS.iter().map(|(word, _)| *word)))
                    .advice(format!("write {}", listed(&words, "or"))),
            );
        }
        found.map(|(_, value)| *value)
    }

    /// A table inside this one.
    pub(super) fn table(&self, key: &str, report: &mut Report<'_>) -> Option<Self> {
        let node = self.node(key)?;
        let Value::Table(section) = self.row(key).value else {
            debug_assert!(false, "{key} is no table");
            return None;
        };
        let table = table_of(node, section);
        match table {
            Some(table) => table.check_keys(report),
            None => report.add(self.wrong_type(key, node)),
        }
        table
    }

    /// Several tables inside this one.
    pub(super) fn tables(&self, key: &str, report: &mut Report<'_>) -> Vec<Self> {
        let Some(node) = self.node(key) else {
            return Vec::new();
        };
        let Value::Tables(section) = self.row(key).value else {
            debug_assert!(false, "{key} is no list of tables");
            return Vec::new();
        };
        let Tree::List(list) = &node.value else {
            report.add(self.wrong_type(key, node));
            return Vec::new();
        };
        let mut tables = Vec::new();
        for item in list {
            match table_of(item, section) {
                Some(table) => {
                    table.check_keys(report);
                    tables.push(table);
                }
                None => report.add(self.wrong_type(key, item)),
            }
        }
        tables
    }
}

/// A node as a table of a section.
pub(super) fn table_of<'a>(node: &'a Node, section: &'static Section) -> Option<Table<'a>> {
    match &node.value {
        Tree::Table(entries) => Some(Table {
            section,
            entries,
            place: &node.place,
        }),
        _ => None,
    }
}

/// A node as a text.
pub(super) fn text_of(node: &Node) -> Option<Written<'_>> {
    match &node.value {
        Tree::Text(text) => Some(Written {
            text,
            place: &node.place,
        }),
        _ => None,
    }
}

fn unknown_key(section: &Section, entry: &Entry, beside: &[Entry]) -> Problem {
    // A key that is there already is not what was meant.
    let free = section
        .keys
        .iter()
        .map(|row| row.key)
        .filter(|key| !beside.iter().any(|other| other.key == *key));
    let keys: Vec<&str> = section.keys.iter().map(|row| row.key).collect();
    let what = format!("{} has no key {}", one_of(section.one), quoted(&entry.key));
    let problem = Problem::new(ProblemName::UnknownKey, entry.place.clone(), what)
        .here("not a key of this section");
    match nearest(&entry.key, free) {
        Some(near) => problem.meant(Some(near)),
        None => problem.advice(format!("its keys are {}", listed(&keys, "and"))),
    }
}

pub(super) fn wrong_type(row: &Key, node: &Node) -> Problem {
    let bare = matches!(node.value, Tree::Whole(..) | Tree::Decimal(_));
    if let (true, Value::Quantity(kind, _) | Value::EachEndAmount(kind)) = (bare, row.value) {
        return no_unit(row.key, kind, node);
    }
    let what = format!(
        "{} is {}, {} is needed",
        row.key,
        node.value.words(),
        noun(row)
    );
    Problem::new(ProblemName::WrongType, node.place.clone(), what)
        .here(node.value.words())
        .advice(expected(row))
}

fn no_unit(key: &str, kind: Kind, node: &Node) -> Problem {
    let number = match &node.value {
        Tree::Whole(digits, 10) | Tree::Decimal(digits) => digits.as_str(),
        _ => "5",
    };
    let example = example_of(key, kind);
    let unit = example.trim_start_matches(|c: char| c.is_ascii_digit() || ". e/-".contains(c));
    let what = format!("{key} is a bare number, {} needs a unit", kind.noun());
    Problem::new(ProblemName::NoUnit, node.place.clone(), what)
        .here("no unit")
        .advice(format!(
            "write it in quotes with its unit, as {key} = \"{number} {unit}\" if that is what it is; accepted: {}",
            kind.accepted_as(example)
        ))
}

fn not_positive(key: &str, kind: Kind, sign: Sign, place: Place) -> Problem {
    let (what, here) = match sign {
        Sign::Positive => ("has to be above zero", "not above zero"),
        _ => ("cannot be below zero", "below zero"),
    };
    let what = format!("{key}: {} here {what}", kind.noun());
    Problem::new(ProblemName::NotPositive, place, what).here(here)
}

/// What is wrong with a text that has to name somebody or something: without a letter or a
/// digit it names nobody.
pub(super) fn names_nothing(key: &str, text: &str, place: &Place) -> Option<Problem> {
    if text.chars().any(char::is_alphanumeric) {
        return None;
    }
    let what = format!("{key} is {}, which names nothing", quoted(text));
    let problem = Problem::new(ProblemName::MissingKey, place.clone(), what);
    let problem = problem.here("neither a letter nor a digit");
    Some(
        problem.advice(
            "write a name or a word; without one nobody can ask again, and nothing is proven",
        ),
    )
}

/// Reads an amount of a kind out of a value.
pub(super) fn read_amount<Q: FromText>(
    key: &str,
    kind: Kind,
    node: &Node,
    report: &mut Report<'_>,
) -> Option<Q> {
    let Some(written) = text_of(node) else {
        let bare = matches!(node.value, Tree::Whole(..) | Tree::Decimal(_));
        report.add(if bare {
            no_unit(key, kind, node)
        } else {
            let what = format!("{key} is {}, {} is needed", node.value.words(), kind.noun());
            Problem::new(ProblemName::WrongType, node.place.clone(), what)
                .here(node.value.words())
                .advice(format!("write {key} = \"{}\"", example_of(key, kind)))
        });
        return None;
    };
    match parse::<Q>(written.text) {
        Ok(value) => Some(value),
        Err(error) => {
            let place = report.inside(node, written.text, &error.span);
            report.add(text_problem(key, kind, &error, place));
            None
        }
    }
}

/// A refused text as a problem; what is accepted goes into the advice.
fn text_problem(key: &str, kind: Kind, error: &TextError, place: Place) -> Problem {
    let read = quoted(&error.read);
    let noun = kind.noun();
    let example = example_of(key, kind);
    let accepted = || {
        if example == kind.example() {
            format!("accepted: {}", error.accepted)
        } else {
            format!("accepted: {}", kind.accepted_as(example))
        }
    };
    let (name, what, here) = match &error.problem {
        TextProblem::NoUnit => (
            ProblemName::NoUnit,
            format!("{key} is {read} without a unit, {noun} needs one"),
            "no unit".into(),
        ),
        TextProblem::OtherKind(kinds) => {
            let kinds: Vec<&str> = kinds.iter().map(|kind| kind.noun()).collect();
            let kinds = listed(&kinds, "or");
            (
                ProblemName::WrongUnit,
                format!("{key}: {noun} is needed, {read} is {kinds}"),
                kinds,
            )
        }
        TextProblem::UnknownUnit | TextProblem::CaseDecides => (
            ProblemName::WrongUnit,
            format!("{read} is no unit of {noun}"),
            "this unit is not known".into(),
        ),
        TextProblem::OutOfRange(range) => (
            ProblemName::OutOfRange,
            format!("{key} is out of range: {range}"),
            // Each of these is zero at its lowest, a temperature on its own scale.
            match (kind, error.read.starts_with(['-', '\u{2212}'])) {
                (Kind::Temperature, true) => "below absolute zero".into(),
                (Kind::Section | Kind::Length | Kind::Time | Kind::Mass, true) => {
                    "below zero".into()
                }
                _ => "out of range".into(),
            },
        ),
        TextProblem::Empty => (
            ProblemName::NoAmount,
            format!("{key} is empty, {noun} is needed"),
            "nothing is written here".into(),
        ),
        _ => {
            // What was perhaps meant is told apart from it below.
            let mut bare = error.clone();
            bare.suggestions.clear();
            (
                ProblemName::NoAmount,
                format!("{key}: {bare}"),
                "cannot be read".into(),
            )
        }
    };
    let mut problem = Problem::new(name, place, what).here(here);
    if !error.suggestions.is_empty() {
        let meant: Vec<String> = error.suggestions.iter().map(|text| quoted(text)).collect();
        problem = problem.advice(format!("did you mean {}", listed(&meant, "or")));
    }
    if matches!(name, ProblemName::NoAmount) && !matches!(error.problem, TextProblem::Empty) {
        return problem;
    }
    problem.advice(accepted())
}

const DRAW_WORDS: &str =
    "a power, a current or a resistance: \"6 kW\", \"180 A\", \"24 ohm\"; negative delivers";

/// Reads what a load draws.
pub(super) fn read_draw(key: &str, node: &Node, report: &mut Report<'_>) -> Option<Draw> {
    let what = |found: &str| format!("{key} is {found}, what it draws is needed");
    let Some(written) = text_of(node) else {
        let bare = matches!(node.value, Tree::Whole(..) | Tree::Decimal(_));
        let name = if bare {
            ProblemName::NoUnit
        } else {
            ProblemName::WrongType
        };
        report.add(
            Problem::new(name, node.place.clone(), what(node.value.words()))
                .here(if bare { "no unit" } else { "wrong type" })
                .advice(format!("write {DRAW_WORDS}")),
        );
        return None;
    };
    let current = match parse::<Current>(written.text) {
        Ok(current) => return Some(Draw::Current(current)),
        Err(error) => error,
    };
    let other = |error: &TextError| {
        matches!(
            error.problem,
            TextProblem::OtherKind(_) | TextProblem::UnknownUnit
        )
    };
    let power = match parse::<Power>(written.text) {
        Ok(power) => return Some(Draw::Power(power)),
        Err(error) => error,
    };
    let resistance = match parse::<Resistance>(written.text) {
        Ok(resistance) if resistance.as_ohms() > 0.0 => {
            return Some(Draw::Resistance(resistance));
        }
        Ok(_) => {
            report.add(not_positive(
                key,
                Kind::Resistance,
                Sign::Positive,
                node.place.clone(),
            ));
            return None;
        }
        Err(error) => error,
    };
    let errors = [
        (Kind::Current, current),
        (Kind::Power, power),
        (Kind::Resistance, resistance),
    ];
    // The kind whose unit was understood tells best what is wrong.
    let best = errors
        .iter()
        .find(|(_, error)| !other(error) && error.problem != TextProblem::CaseDecides);
    let (kind, error) = best.unwrap_or(&errors[0]);
    let place = report.inside(node, written.text, &error.span);
    let mut problem = text_problem(key, *kind, error, place);
    if best.is_none() || error.problem == TextProblem::NoUnit {
        problem.what = match problem.name {
            ProblemName::NoUnit => format!("{key} is {} without a unit", quoted(&error.read)),
            _ => format!("{} is nothing that a load draws", quoted(&error.read)),
        };
        problem.advice = vec![format!("write {DRAW_WORDS}")];
    }
    report.add(problem);
    None
}

/// What a key needs, with its article.
fn noun(row: &Key) -> &'static str {
    match row.value {
        Value::Name | Value::Text => "a text in quotes",
        Value::Refers(_) => "a list of names",
        Value::Flag => "true or false",
        Value::Whole(..) => "a whole number",
        Value::Day => "a date",
        Value::Minute => "hour and minute in quotes",
        Value::Quantity(kind, _) | Value::EachEndAmount(kind) => kind.noun(),
        Value::Draw => "a power, a current or a resistance",
        Value::Word(_) => "a word in quotes",
        Value::Refer(_) | Value::EachEnd(_) => "a name in quotes",
        Value::EachEndShield => "a way to end a shield",
        Value::Terminal => "a terminal in quotes",
        Value::Terminals | Value::PairEnd => "two terminals",
        Value::Table(_) => "a table",
        Value::Tables(_) => "a list of tables",
        Value::Draws => "a table of loads and what they draw",
    }
}

/// What a key takes, as an instruction.
pub(super) fn expected(row: &Key) -> String {
    let key = row.key;
    match row.value {
        Value::Name | Value::Text => format!("write {key} = \"...\""),
        Value::Flag => format!("write {key} = true or {key} = false, without quotes"),
        Value::Whole(least, most) => {
            format!("write a whole number from {least} to {most}, without quotes")
        }
        Value::Day => format!("write {key} = 2026-03-01, without quotes"),
        Value::Minute => format!("write {key} = \"14:30\""),
        Value::Quantity(kind, _) => {
            let example = example_of(key, kind);
            let accepted = kind.accepted_as(example);
            format!("write {key} = \"{example}\"; accepted: {accepted}")
        }
        Value::EachEndAmount(kind) => format!(
            "write {key} = \"{0}\" for both ends or {key} = [\"{0}\", \"{0}\"] for each",
            kind.example()
        ),
        Value::Draw => format!("write {DRAW_WORDS}"),
        Value::Word(words) => {
            let words: Vec<String> = words().iter().map(|word| quoted(word)).collect();
            format!("write {}", listed(&words, "or"))
        }
        Value::Refer(tag) => format!(
            "write the name of {}",
            one_of(super::keys::section(tag).one)
        ),
        Value::Refers(tag) => format!(
            "write the names of {}s: {key} = [\"...\", \"...\"]",
            super::keys::section(tag).one
        ),
        Value::EachEnd(tag) => format!(
            "write the name of {0} for both ends, or two names [from, to]",
            one_of(super::keys::section(tag).one)
        ),
        Value::EachEndShield => {
            "write \"round\", \"not-connected\" or \"pigtail 30 mm\", or two of them [from, to]"
                .into()
        }
        Value::Terminal => {
            format!("write {key} = \"J1.+\": a box or device, a point, its terminal")
        }
        Value::Terminals => format!("write {key} = [\"LV.+\", \"chassis\"]"),
        Value::PairEnd => {
            format!("write {key} = \"J1\" for J1.+ and J1.-, or {key} = [\"F4.out\", \"J1.-\"]")
        }
        Value::Table(_) => format!("write {key} = {{ ... }}"),
        Value::Tables(section) => {
            let keys: Vec<&str> = section.keys.iter().map(|row| row.key).collect();
            format!(
                "write {key} = [{{ ... }}, {{ ... }}] with {}",
                listed(&keys, "and")
            )
        }
        Value::Draws => format!("write {key}.heater = \"6 kW\""),
    }
}

/// Whether a tag names a section of a parts file.
pub(super) const fn is_part(tag: Tag) -> bool {
    matches!(
        tag,
        Tag::CellType
            | Tag::CableType
            | Tag::FuseType
            | Tag::ContactorType
            | Tag::ResistorType
            | Tag::LugType
            | Tag::GlandType
    )
}
