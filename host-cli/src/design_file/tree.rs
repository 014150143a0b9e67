//! What a TOML file says, with the place of every key and value.

use toml::Spanned;
use toml::de::{DeTable, DeValue};
use toml::value::Datetime;

use super::source::Place;

/// A value and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) place: Place,
    pub(super) value: Tree,
}

/// A value.
#[derive(Clone, Debug)]
pub(super) enum Tree {
    Text(String),
    /// Digits and radix.
    Whole(String, u32),
    /// As written: also `nan` and `inf`.
    Decimal(String),
    Flag(bool),
    Day(Datetime),
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key with its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: String,
    pub(super) place: Place,
    pub(super) node: Node,
}

impl Node {
    /// Whether a single value stands nowhere in the file.
    fn made_up(&self) -> bool {
        let single = !matches!(self.value, Tree::List(_) | Tree::Table(_));
        single && self.place.start == self.place.end
    }
}

impl Tree {
    /// What it is, with its article.
    pub(super) const fn words(&self) -> &'static str {
        match self {
            Self::Text(_) => "a text",
            Self::Whole(..) | Self::Decimal(_) => "a bare number",
            Self::Flag(_) => "true or false",
            Self::Day(_) => "a date",
            Self::List(_) => "a list",
            Self::Table(_) => "a table",
        }
    }
}

/// The entries of a table in the order of the file.
pub(super) fn entries(file: usize, table: DeTable<'_>) -> Vec<Entry> {
    let mut entries: Vec<Entry> = table
        .into_iter()
        .map(|(key, value)| Entry {
            place: Place::new(file, key.span()),
            key: key.into_inner().into_owned(),
            node: node(file, value),
        })
        // What the parser puts where it could not read a value; it told so.
        .filter(|entry| !entry.node.made_up())
        .collect();
    entries.sort_by(|one, other| one.place.cmp(&other.place));
    entries
}

// As deep as the parser lets tables and lists nest, which is bounded.
fn node(file: usize, value: Spanned<DeValue<'_>>) -> Node {
    let place = Place::new(file, value.span());
    let value = match value.into_inner() {
        DeValue::String(text) => Tree::Text(text.into_owned()),
        DeValue::Integer(number) => Tree::Whole(number.as_str().to_owned(), number.radix()),
        DeValue::Float(number) => Tree::Decimal(number.as_str().to_owned()),
        DeValue::Boolean(flag) => Tree::Flag(flag),
        DeValue::Datetime(day) => Tree::Day(day),
        DeValue::Array(list) => Tree::List(list.into_iter().map(|item| node(file, item)).collect()),
        DeValue::Table(table) => Tree::Table(entries(file, table)),
    };
    Node { place, value }
}
