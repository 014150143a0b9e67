//! A finding in words.

use orangeloom_core::design::Thing;
use orangeloom_core::review::{Aspect, Because, Finding, Unit};
use orangeloom_core::study::Unknown;
use orangeloom_core::verdict::{Side, Verdict};

use super::Reviewed;
use crate::quantity_text::significant;
use crate::study::names;

/// The unit as it is printed behind a number, and the factor to it.
pub(super) const fn unit(aspect: Aspect) -> (&'static str, f64) {
    match aspect.unit() {
        Unit::None | Unit::Number => ("", 1.0),
        Unit::Share => ("%", 100.0),
        Unit::Volt => ("V", 1.0),
        Unit::Ampere => ("A", 1.0),
        Unit::DegC => ("degC", 1.0),
        Unit::Ohm => ("ohm", 1.0),
        Unit::Mm2 => ("mm2", 1.0),
        Unit::Mm => ("mm", 1.0),
        Unit::Second => ("s", 1.0),
        Unit::Joule => ("J", 1.0),
        Unit::Farad => ("uF", 1.0e6),
        Unit::Metre => ("m", 1.0),
        Unit::A2s => ("A2s", 1.0),
    }
}

/// The unit in a key of JSON.
pub(super) const fn unit_key(aspect: Aspect) -> &'static str {
    match aspect.unit() {
        Unit::None | Unit::Number => "number",
        Unit::Share => "fraction",
        Unit::Volt => "V",
        Unit::Ampere => "A",
        Unit::DegC => "degC",
        Unit::Ohm => "ohm",
        Unit::Mm2 => "mm2",
        Unit::Mm => "mm",
        Unit::Second => "s",
        Unit::Joule => "J",
        Unit::Farad => "F",
        Unit::Metre => "m",
        Unit::A2s => "A2s",
    }
}

fn number(aspect: Aspect, value: f32) -> String {
    let (unit, factor) = unit(aspect);
    let digits = significant(f64::from(value) * factor, 4);
    if unit.is_empty() {
        digits
    } else {
        format!("{digits} {unit}")
    }
}

/// The thing with the line that it was read from.
pub(super) fn thing_at(reviewed: &Reviewed, thing: Thing) -> String {
    let name = names::thing(reviewed.design(), thing);
    match reviewed.read.places.get(&thing) {
        Some(place) => format!("{name} ({})", reviewed.read.position(place)),
        None => name,
    }
}

/// Where the thing was read from.
pub(super) fn place(reviewed: &Reviewed, thing: Thing) -> Option<String> {
    let place = reviewed.read.places.get(&thing)?;
    Some(reviewed.read.position(place))
}

/// What a finding is about: thing, line, and where on it.
pub(super) fn about(reviewed: &Reviewed, finding: &Finding) -> String {
    let thing = thing_at(reviewed, finding.thing);
    match finding.at {
        Some(at) => format!("{thing}, {}", names::thing(reviewed.design(), at)),
        None => thing,
    }
}

/// Value, limit and margin in words; empty where there is nothing to tell.
pub(super) fn numbers(finding: &Finding) -> String {
    let judged = &finding.judged;
    let aspect = judged.name;
    let value = judged
        .value
        .map(|value| format!("{} {}", aspect.value_words(), number(aspect, value)));
    let limit = judged
        .limit
        .map(|limit| format!("{} {}", aspect.limit_words(), number(aspect, limit)));
    let margin = judged.margin().map(|margin| {
        let size = number(aspect, margin.abs());
        match (judged.verdict, judged.side) {
            (Verdict::Fails, Side::AtMost) => format!("{size} too much"),
            (Verdict::Fails, Side::AtLeast) => format!("{size} too little"),
            _ => format!("{size} left"),
        }
    });
    let parts: Vec<String> = [value, limit].into_iter().flatten().collect();
    if parts.is_empty() {
        return match (aspect, judged.verdict) {
            (Aspect::Proof, _) => String::new(),
            (_, Verdict::Fails) => {
                format!("{}: needed: {}", aspect.value_words(), aspect.limit_words())
            }
            _ => aspect.value_words().to_owned(),
        };
    }
    match margin {
        Some(margin) => format!("{}: {margin}", parts.join(", ")),
        None => parts.join(", "),
    }
}

/// Why a finding is open, or what it rests on.
pub(super) fn because(reviewed: &Reviewed, finding: &Finding) -> Option<String> {
    let aspect = finding.judged.name;
    Some(match finding.because? {
        Because::Unknown(Unknown::Missing(thing, gap)) => {
            format!("not known: {}: {}", thing_at(reviewed, thing), gap.words())
        }
        Because::Unknown(Unknown::Refused(thing, error)) => {
            format!("refused: {}: {error}", thing_at(reviewed, thing))
        }
        Because::NoLimit(thing) => format!(
            "not stated in {}: {}",
            thing_at(reviewed, thing),
            aspect.limit_words()
        ),
        Because::NoValue(thing) => format!(
            "not stated in {}: {}",
            thing_at(reviewed, thing),
            aspect.value_words()
        ),
        Because::Evidence(gap) => gap.words().to_owned(),
        Because::Pending(pending) => pending.words().to_owned(),
        Because::Read(reading) => format!("read: {}", thing_at(reviewed, reading.into())),
        Because::Attested(one) => format!("attested: {}", thing_at(reviewed, one.into())),
        Because::Refused(error) => format!("refused: {error}"),
        _ => return None,
    })
}
