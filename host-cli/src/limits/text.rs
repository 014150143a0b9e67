//! Limits as people read them.

use std::collections::BTreeSet;

use orangeloom_core::limits::{Built, Origin, Shown, origin};

use crate::page;
use crate::study::names;

use super::Made;

/// A number, without more digits than an `f32` has.
fn number(value: f32) -> String {
    if value == 0.0 || (1.0e-3..1.0e6).contains(&value.abs()) {
        value.to_string()
    } else {
        format!("{value:e}")
    }
}

fn told(origin: Origin) -> String {
    match origin {
        Origin::Rule(slug) => format!("rule {slug}"),
        Origin::Design => "design".to_owned(),
        Origin::Usual => "usual value".to_owned(),
    }
}

/// Every value, several of one name in one row.
pub(super) fn table(built: &Built) -> String {
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
    let mut table = page::plain_table();
    table.set_header(["section", "value", "", "what", "from"]);
    for (shown, values) in rows {
        table.add_row([
            format!("{} {}", shown.section.name(), shown.entry),
            values.join(" "),
            shown.unit.to_owned(),
            shown.words.to_owned(),
            told(origin(shown.section, shown.name)),
        ]);
    }
    table.to_string()
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
            "{} strings, {} contactors, {} currents, {} precharge paths, {} conductors watched",
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
    let mut left = BTreeSet::new();
    for id in &made.built.unwatched {
        left.insert(names::thing(design, *id));
    }
    if !left.is_empty() {
        let names: Vec<String> = left.into_iter().collect();
        lines.push(format!(
            "not watched, for their current is that of no string or no model of them is safe: {}",
            names.join(", ")
        ));
    }
    if limits.isolation.is_none() {
        lines.push("isolation is not watched: the design states no isolation monitor".to_owned());
    }
    let reason = String::from_utf8_lossy(&limits.reason);
    if !reason.is_empty() {
        lines.push(format!("made although the review does not pass: {reason}"));
    }
    lines.push(
        "contactors count as without auxiliary contacts; usual values are common practice without a source"
            .to_owned(),
    );
    lines.join("\n") + "\n"
}
