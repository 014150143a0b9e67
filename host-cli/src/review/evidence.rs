//! The record that a finding rests on: what was read, when, by whom, with what, and whether
//! it is of the revision that is in force.

use orangeloom_core::design::{Signature, TextId};
use orangeloom_core::review::Finding;

use super::Reviewed;
use super::accepted::day;
use crate::page::wrap;
use crate::quantity_text::{ToText, Units};
use crate::thing_text::thing_at;

/// The lines that tell it; none where nothing was read.
pub(super) fn lines(reviewed: &Reviewed, finding: &Finding) -> Vec<String> {
    let design = reviewed.design();
    let Some(id) = finding.reading(design) else {
        return Vec::new();
    };
    let signature = design.get(id).and_then(|reading| reading.signature);
    let signature = signature.and_then(|id| design.get(id)).copied();
    let signature = signature.unwrap_or_default();
    let text = |id: Option<TextId>| id.and_then(|id| design.text(id));
    let told = format!(
        "the record, {}: {}; {}",
        thing_at(&reviewed.read, id.into()),
        signed(&signature, text),
        in_force(text(signature.revision), text(design.vehicle.revision))
    );
    vec![wrap("      - ", &told)]
}

fn signed<'a>(signature: &Signature, text: impl Fn(Option<TextId>) -> Option<&'a str>) -> String {
    let date = signature.date.map_or_else(
        || "no date".to_owned(),
        |date| format!("read {}", day(date)),
    );
    let by = text(signature.initials)
        .map_or_else(|| "no initials".to_owned(), |who| format!("by {who}"));
    let with = text(signature.instrument)
        .map_or_else(|| "no instrument".to_owned(), |what| format!("with {what}"));
    let right_to = signature.accuracy.map_or_else(String::new, |accuracy| {
        format!(", right to {}", accuracy.to_text(Units::Metric))
    });
    format!("{date}, {by}, {with}{right_to}")
}

fn in_force(record: Option<&str>, design: Option<&str>) -> String {
    match (record, design) {
        (None, None) => "neither it nor the design names a revision, so that nobody can tell \
                         whether it is older"
            .to_owned(),
        (None, Some(design)) => {
            format!("it names no revision, the design is revision {design}")
        }
        (Some(record), None) => {
            format!("it is of revision {record}, the design names none")
        }
        (Some(record), Some(design)) if record == design => {
            format!("it is of revision {record}, as the design")
        }
        (Some(record), Some(design)) => format!(
            "it is of revision {record}, the design is revision {design}: read again what has \
             changed since"
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_of_another_revision_is_told_apart() {
        assert!(in_force(Some("B"), Some("B")).contains("as the design"));
        let other = in_force(Some("A"), Some("B"));
        assert!(other.contains("revision A") && other.contains("read again"));
        assert!(in_force(None, Some("B")).contains("no revision"));
        assert!(in_force(Some("A"), None).contains("names none"));
        assert!(in_force(None, None).contains("neither"));
    }

    #[test]
    fn what_a_record_lacks_is_told() {
        let told = signed(&Signature::default(), |_| None);
        assert_eq!(told, "no date, no initials, no instrument");
    }
}
