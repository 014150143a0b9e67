//! Where a verdict turns, in words: what mends what fails, and how far what holds may
//! move.

use orangeloom_core::review::{Finding, Input, Scratch, Turning, turning};
use orangeloom_core::verdict::Verdict;
use serde_json::{Value, json};

use super::Reviewed;
use super::told::{amount_in, unit_key};
use crate::study::names;
use crate::thing_text::thing_at;

/// Where a verdict turns.
pub(super) fn turning_of(reviewed: &Reviewed, finding: &Finding) -> Option<Turning> {
    let (design, study) = (reviewed.design(), &reviewed.study);
    let scratch = &mut Box::new(Scratch::new(design));
    turning(design, study, &reviewed.insulation, finding, scratch)
}

/// The smallest change that mends a finding that fails; empty where none is known.
pub(super) fn mended(reviewed: &Reviewed, finding: &Finding) -> Option<String> {
    if finding.judged.verdict != Verdict::Fails {
        return None;
    }
    let turning = turning_of(reviewed, finding)?;
    let unit = turning.input.unit();
    let more = turning.now.is_none_or(|now| turning.turns_at > now);
    let bound = match (turning.input, more) {
        // A section is bought as it is listed.
        (Input::Section, _) => "",
        (_, true) => "at least ",
        (_, false) => "at most ",
    };
    let now = turning
        .now
        .map(|now| format!(", now {}", amount_in(unit, now, None)))
        .unwrap_or_default();
    Some(format!(
        "holds with: {}: {} {bound}{}{now}",
        thing_at(&reviewed.read, turning.thing),
        turning.input.words(),
        amount_in(unit, turning.turns_at, Some(more)),
    ))
}

/// Both for a program; null where the verdict turns with no input that can be moved.
pub(super) fn json(reviewed: &Reviewed, finding: &Finding) -> Value {
    turning_of(reviewed, finding).map_or(Value::Null, |turning| {
        let unit = unit_key(turning.input.unit());
        json!({
            "thing": names::thing(reviewed.design(), turning.thing),
            "input": turning.input,
            format!("now_{unit}"): turning.now,
            format!("turns_at_{unit}"): turning.turns_at,
        })
    })
}
