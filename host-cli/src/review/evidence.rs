//! The record that a finding rests on: what was read, when, by whom, with what, and whether
//! it is of the revision that is in force.

use orangeloom_core::design::{
    Attestation, AttestationId, Design, ReadingId, Signature, TextId, Thing,
};
use orangeloom_core::review::{Because, EvidenceGap, Finding};
use serde_json::{Value, json};

use super::Reviewed;
use super::accepted::{day, minute, moment};
use crate::page::wrap;
use crate::quantity_text::{ToText, Units};
use crate::thing_text::{position, thing_at};

/// The record that a finding rests on, or would if it counted.
pub(crate) fn record_of(reviewed: &Reviewed, finding: &Finding) -> Option<Thing> {
    let design = reviewed.design();
    let of_reading = || finding.reading(design).map(Into::into);
    match finding.because {
        Some(Because::Attested(id)) => Some(id.into()),
        Some(Because::Evidence(gap)) if !is_nothing(gap) => {
            of_reading().or_else(|| last_attested(design, finding))
        }
        _ => of_reading(),
    }
}

/// Whether there is no record at all.
const fn is_nothing(gap: EvidenceGap) -> bool {
    matches!(gap, EvidenceGap::NoReading | EvidenceGap::NoAttestation)
}

/// Of attestations that do not count the last one, of which the finding tells what it lacks.
fn last_attested(design: &Design, finding: &Finding) -> Option<Thing> {
    let all = design.all::<Attestation>();
    let about = all.filter(|(_, one)| {
        let rule = design.text(one.rule) == Some(finding.rule.slug());
        let here = one.about == finding.thing || one.about == Thing::VEHICLE;
        rule && here && one.holds
    });
    about.last().map(|(id, _)| id.into())
}

/// Who signed a record, when and with what; empty where nobody did.
pub(crate) fn signature(design: &Design, record: Thing) -> Signature {
    let of_reading = record
        .id::<ReadingId>()
        .and_then(|id| design.get(id)?.signature);
    let signature = of_reading.or_else(|| design.get(record.id::<AttestationId>()?)?.signature);
    signature
        .and_then(|id| design.get(id))
        .copied()
        .unwrap_or_default()
}

/// Who, when and, of a reading, with what: `by EM on 2026-03-14 with milliohm meter`.
pub(super) fn by_whom(design: &Design, record: Thing) -> String {
    let signed = signature(design, record);
    let text = |id: Option<TextId>| id.and_then(|id| design.text(id));
    let by = text(signed.initials).map_or("without initials".to_owned(), |who| format!("by {who}"));
    let on = signed.date.map_or("without a date".to_owned(), |date| {
        format!("on {}", moment(date, signed.time))
    });
    let told = format!("{by} {on}");
    if record.id::<ReadingId>().is_none() {
        return told;
    }
    match text(signed.instrument) {
        Some(instrument) => format!("{told} with {instrument}"),
        None => format!("{told} without an instrument"),
    }
}

/// Which record does not count; `None` where there is none, and where one does.
pub(super) fn uncounted(reviewed: &Reviewed, finding: &Finding) -> Option<String> {
    let Some(Because::Evidence(gap)) = finding.because else {
        return None;
    };
    let record = record_of(reviewed, finding).filter(|_| !is_nothing(gap))?;
    let by_whom = by_whom(reviewed.design(), record);
    Some(format!("{}, {by_whom}", thing_at(&reviewed.read, record)))
}

/// The same for programs; null where a finding rests on no record.
pub(super) fn row(reviewed: &Reviewed, finding: &Finding) -> Value {
    let Some(record) = record_of(reviewed, finding) else {
        return Value::Null;
    };
    let design = reviewed.design();
    let signed = signature(design, record);
    let text = |id: Option<TextId>| id.and_then(|id| design.text(id));
    json!({
        "kind": record.kind.words(),
        "place": position(&reviewed.read, record),
        "initials": text(signed.initials),
        "date": signed.date.map(day),
        "time_of_day": signed.time.map(minute),
        "instrument": text(signed.instrument),
        "accuracy_fraction": signed.accuracy,
        "revision": text(signed.revision),
    })
}

/// The lines that tell it; none where nothing was read.
pub(super) fn lines(reviewed: &Reviewed, finding: &Finding) -> Vec<String> {
    let design = reviewed.design();
    let Some(id) = finding.reading(design) else {
        return Vec::new();
    };
    let signature = signature(design, id.into());
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
        |date| format!("read {}", moment(date, signature.time)),
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
