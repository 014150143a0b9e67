//! Things of a design with the line that they were read from.

use orangeloom_core::design::Thing;

use crate::design_file::DesignFile;
use crate::study::names;

/// The thing with its line: `fuse "F1" (parts.toml:12)`.
pub(crate) fn thing_at(read: &DesignFile, thing: Thing) -> String {
    with_line(read, thing, names::thing(&read.design, thing))
}

/// Words about a thing with its line behind them.
pub(crate) fn with_line(read: &DesignFile, thing: Thing, words: String) -> String {
    match read.places.get(&thing) {
        Some(place) => format!("{words} ({})", read.line(place)),
        None => words,
    }
}

/// File, line and column of a thing, for programs.
pub(crate) fn position(read: &DesignFile, thing: Thing) -> Option<String> {
    let place = read.places.get(&thing)?;
    Some(read.position(place))
}
