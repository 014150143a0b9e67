//! Limits as people read them.

use std::collections::BTreeSet;

use orangeloom_core::design::Design;
use orangeloom_core::limits::{Built, Origin, Shown, Unwatched, origin};

use crate::page;
use crate::quantity_text::significant;
use crate::study::names;

use super::Made;
use super::places::places;

/// A number to six digits, as many as an `f32` is sure to have. A whole number is whole.
fn number(value: f32) -> String {
    let size = value.abs();
    if value == 0.0 || (1.0e-3..1.0e6).contains(&size) || value.fract() == 0.0 && size < 1.0e7 {
        if value.fract() == 0.0 {
            return value.to_string();
        }
        significant(f64::from(value), 6)
    } else {
        let digits = significant(f64::from(value), 6);
        digits
            .parse::<f64>()
            .map_or(digits, |value| format!("{value:e}"))
    }
}

fn told(origin: Origin) -> String {
    match origin {
        Origin::Rule(slug) => format!("rule {slug}"),
        Origin::Design => "design".to_owned(),
        Origin::Usual => "usual value".to_owned(),
    }
}

/// Every value, several of one name in one row, by section.
pub(super) fn listing(width: usize, design: &Design, built: &Built) -> String {
    let mut rows: Vec<(Shown, Vec<String>)> = Vec::new();
    built.limits.show(&mut |shown| {
        let value = shown.value.map_or_else(|| "none".to_owned(), number);
        match rows.last_mut() {
            Some((before, values)) if shown.place > 0 && before.name == shown.name => {
                values.push(value);
            }
            _ => rows.push((shown, vec![value])),
        }
    });
    let (mut lines, mut before) = (Vec::new(), None);
    for (shown, values) in rows {
        if before.replace((shown.section, shown.entry)) != Some((shown.section, shown.entry)) {
            lines.push(format!("{} {}", shown.section.name(), shown.entry));
        }
        let mut value = values.join(" ");
        if !shown.unit.is_empty() && shown.value.is_some() {
            value = format!("{value} {}", shown.unit);
        }
        let line = format!(
            "{value}: {} ({})",
            shown.words,
            told(origin(design, shown.section, shown.name)),
        );
        let hung = hanging(width - 2, &line);
        lines.extend(hung.lines().map(|part| format!("  {part}")));
    }
    lines.join("\n")
}

fn words(why: Unwatched) -> &'static str {
    match why {
        Unwatched::NotMeasured => {
            "for no sensor measures their current (state current-measured of the load of a branch)"
        }
        Unwatched::NoModel => "for no model of them is known to stay on the safe side",
        _ => "for there are more than a controller watches",
    }
}

/// What firmware calls by number, in its order.
pub(super) fn numbers(made: &Made) -> String {
    let mut table = page::plain_table();
    table.set_header(["input", "number", "what"]);
    for place in places(made) {
        let (input, number) = (place.of.input(), place.number);
        table.add_row([input.to_owned(), number.to_string(), place.what]);
    }
    page::table(&mut table)
}

/// A line that goes on indented.
fn hanging(width: usize, line: &str) -> String {
    let mut lines = Vec::new();
    for (index, part) in page::wrap_to(width - 2, "", line).lines().enumerate() {
        lines.push(format!("{}{part}", if index == 0 { "" } else { "  " }));
    }
    lines.join("\n") + "\n"
}

/// What was made.
pub(super) fn summary(made: &Made) -> String {
    let design = made.reviewed.design();
    let limits = &made.built.limits;
    let mut lines = vec![
        format!(
            "{}, {}: limits of {} bytes, fingerprint {:08x}",
            made.reviewed.vehicle(),
            made.reviewed.revision(),
            made.image.len(),
            limits.revision.fingerprint
        ),
        format!(
            "strings: {}; contactors: {}; currents: {}; precharge paths: {}; conductors watched: {}",
            limits.strings.len(),
            limits.switches.len(),
            limits.channels.len(),
            limits.precharge.len(),
            limits.circuits.len()
        ),
        format!(
            "a conductor is never reckoned colder than its radial chain, and up to {:.0} K hotter",
            made.built.pessimism_k.ceil()
        ),
    ];
    for why in [
        Unwatched::NotMeasured,
        Unwatched::NoModel,
        Unwatched::NoRoom,
    ] {
        let left = made.built.unwatched.iter().filter(|(_, of)| *of == why);
        let left: BTreeSet<String> = left.map(|(id, _)| names::thing(design, *id)).collect();
        if !left.is_empty() {
            let left: Vec<String> = left.into_iter().collect();
            lines.push(format!("not watched, {}: {}", words(why), left.join(", ")));
        }
    }
    if limits.isolation.is_none() {
        lines.push("isolation is not watched: the design states no isolation monitor".to_owned());
    }
    if made.reason_unneeded {
        lines.push(
            "the review passes: the reason was not needed and is not in the image".to_owned(),
        );
    }
    let reason = String::from_utf8_lossy(&limits.reason);
    if !reason.is_empty() {
        lines.push(format!("made although the review does not pass: {reason}"));
    }
    let contacts = made.built.contactors.iter().zip(&limits.switches);
    let without = contacts.filter(|(_, switch)| switch.feedback == 0);
    let without: Vec<String> = without
        .map(|(id, _)| names::thing(design, (*id).into()))
        .collect();
    if !without.is_empty() {
        lines.push(format!(
            "no auxiliary-contact is stated, so voltages alone tell whether they open and close: {}",
            without.join(", ")
        ));
    }
    lines.push(if design.controller.current_range.is_none() {
        "no current-range is stated, so nothing is opened on more than 1.05 times the largest current of the phases, of the limits of the controller and its trip: current sensors have to show 1.1 times as much (AoU-26)".to_owned()
    } else {
        "current-range is that of the battery and the strings: of a branch nothing is opened on more than 1.05 times its largest current, and its sensor has to show 1.1 times as much (AoU-26)".to_owned()
    });
    lines.push("usual values are common practice without a source".to_owned());
    let width = page::width();
    let lines: Vec<String> = lines.iter().map(|line| hanging(width, line)).collect();
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn a_number_has_no_noise_of_f32_and_a_whole_one_is_whole() {
        for (value, shown) in [
            (503.999_97, "504"),
            (0.002_696_696_4, "0.0026967"),
            (4.315_094_3e-4, "4.31509e-4"),
            (120_000.0, "120000"),
            (4_000_000.0, "4000000"),
            (1_234_567.0, "1234567"),
            (1.5e9, "1.5e9"),
            (0.0, "0"),
            (-40.0, "-40"),
        ] {
            assert_eq!(number(value), shown);
        }
    }
}
