//! A finding in words.

use orangeloom_core::design::ReadingId;
use orangeloom_core::review::{Aspect, Because, Finding, Unit};
use orangeloom_core::study::Unknown;
use orangeloom_core::verdict::{Side, Verdict};

use super::Reviewed;
use super::evidence::{by_whom, uncounted};
use crate::quantity_text::{ToText, Units};
use crate::study::names;
use crate::thing_text::thing_at;
use crate::working::{self, n, n_down, n_up};

/// The unit as it is printed behind a number, and the factor to it.
const fn symbol(unit: Unit) -> (&'static str, f32) {
    match unit {
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
        Unit::Watt => ("W", 1.0),
        Unit::Farad => ("uF", 1.0e6),
        Unit::Metre => ("m", 1.0),
        Unit::A2s => ("A2s", 1.0),
        Unit::AmpereHour => ("Ah", 1.0),
        Unit::Henry => ("uH", 1.0e6),
        Unit::OhmPerMetre => ("ohm/m", 1.0),
        Unit::WattPerMetre => ("W/m", 1.0),
        Unit::KelvinMetrePerWatt => ("K m/W", 1.0),
        Unit::Kelvin => ("K", 1.0),
        Unit::PerKelvin => ("1/K", 1.0),
    }
}

/// The unit in a key of JSON.
pub(crate) const fn unit_key(unit: Unit) -> &'static str {
    match unit {
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
        Unit::Watt => "W",
        Unit::Farad => "F",
        Unit::Metre => "m",
        Unit::A2s => "A2s",
        Unit::AmpereHour => "Ah",
        Unit::Henry => "H",
        Unit::OhmPerMetre => "ohm_per_m",
        Unit::WattPerMetre => "W_per_m",
        Unit::KelvinMetrePerWatt => "K_m_per_W",
        Unit::Kelvin => "K",
        Unit::PerKelvin => "per_K",
    }
}

/// The unit of a difference in a key of JSON: that of temperatures is in kelvin.
pub(crate) const fn difference_unit_key(unit: Unit) -> &'static str {
    match unit {
        Unit::DegC => unit_key(Unit::Kelvin),
        other => unit_key(other),
    }
}

fn with_unit(digits: &str, unit: &str) -> String {
    format!("{digits} {unit}").trim_end().to_owned()
}

/// A value or a limit with its unit, to the nearest.
pub(crate) fn amount(aspect: Aspect, value: f32) -> String {
    amount_in(aspect.unit(), value, None)
}

/// Value and limit of a finding with their unit, neither looking better than it is.
pub(super) fn value_and_limit(finding: &Finding) -> [Option<String>; 2] {
    let judged = &finding.judged;
    let (unit, factor) = symbol(judged.name.unit());
    let both = working::value_and_limit(judged, factor);
    both.map(|digits| digits.map(|digits| with_unit(&digits, unit)))
}

/// An amount with its unit, rounded up, down or, where neither is safer, to the nearest.
pub(super) fn amount_in(unit: Unit, value: f32, up: Option<bool>) -> String {
    let (unit, factor) = symbol(unit);
    let value = value * factor;
    let digits = match up {
        None => n(value),
        Some(false) => n_down(value),
        Some(true) => n_up(value),
    };
    with_unit(&digits, unit)
}

/// What is left of a limit, rounded down, or what is missing, rounded up.
pub(super) fn margin(finding: &Finding) -> Option<String> {
    let judged = &finding.judged;
    let left = judged.margin()?;
    let (unit, factor) = symbol(judged.name.unit());
    // A difference of temperatures is told in kelvin.
    let unit = if unit == "degC" { "K" } else { unit };
    let digits = n_down(left * factor);
    let size = with_unit(digits.trim_start_matches('-'), unit);
    let beyond = left < 0.0 || judged.verdict == Verdict::Fails;
    Some(match (beyond, judged.side) {
        (false, _) => format!("{size} left"),
        (true, Side::AtMost) => format!("{size} too much"),
        (true, Side::AtLeast) => format!("{size} too little"),
    })
}

/// What a finding is about: thing, line, and where on it.
pub(crate) fn about(reviewed: &Reviewed, finding: &Finding) -> String {
    with_place(reviewed, finding, thing_at(&reviewed.read, finding.thing))
}

/// The same without the line, for names that have to stay when lines move.
pub(crate) fn about_by_name(reviewed: &Reviewed, finding: &Finding) -> String {
    let thing = names::thing(reviewed.design(), finding.thing);
    with_place(reviewed, finding, thing)
}

fn with_place(reviewed: &Reviewed, finding: &Finding, thing: String) -> String {
    match place_on(reviewed, finding) {
        Some(place) => format!("{thing}, {place}"),
        None => thing,
    }
}

/// Where on the thing, or with what.
pub(super) fn place_on(reviewed: &Reviewed, finding: &Finding) -> Option<String> {
    Some(names::thing(reviewed.design(), finding.at?))
}

/// Value, limit and margin in words; empty where there is nothing to tell.
pub(crate) fn numbers(finding: &Finding) -> String {
    let judged = &finding.judged;
    let aspect = judged.name;
    let [value, limit] = value_and_limit(finding);
    let value = value.map(|value| format!("{} {value}", aspect.value_words()));
    let limit = limit.map(|limit| format!("{} {limit}", aspect.limit_words()));
    let decided = matches!(judged.verdict, Verdict::Fails | Verdict::Holds);
    let value = value.or_else(|| {
        let fails = judged.verdict == Verdict::Fails;
        let words = aspect.without_value_words().filter(|_| fails)?;
        Some(words.to_owned())
    });
    let limit = limit.or_else(|| {
        let known = decided && judged.value.is_some();
        let words = aspect.without_limit_words().filter(|_| known)?;
        Some(words.to_owned())
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
    match margin(finding) {
        Some(margin) => format!("{}: {margin}", parts.join(", ")),
        None => parts.join(", "),
    }
}

/// Numbers and reason together.
pub(crate) fn said(reviewed: &Reviewed, finding: &Finding) -> String {
    let parts = [Some(numbers(finding)), because(reviewed, finding)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let parts: Vec<&str> = parts.iter().map(String::as_str).collect();
    parts
        .into_iter()
        .filter(|part| !part.is_empty())
        .collect::<Vec<_>>()
        .join("; ")
}

/// The same with the record that does not count, where there is one.
pub(super) fn said_with_record(reviewed: &Reviewed, finding: &Finding) -> String {
    let said = said(reviewed, finding);
    match uncounted(reviewed, finding) {
        Some(record) => format!("{said}: {record}"),
        None => said,
    }
}

/// That the value is the worse end of what was read, where an accuracy is stated.
pub(crate) fn accuracy(reviewed: &Reviewed, finding: &Finding, reading: ReadingId) -> String {
    let design = reviewed.design();
    // What was counted, what it was tested with, and differences of what one meter read.
    let exact = matches!(
        finding.judged.name,
        Aspect::Strokes | Aspect::Closings | Aspect::TesterVoltage | Aspect::TestPointApart
    );
    let signature = design.get(reading).and_then(|one| one.signature);
    let accuracy = signature.and_then(|id| design.get(id)?.accuracy);
    accuracy
        .filter(|accuracy| !exact && accuracy.as_fraction() > 0.0)
        .map_or_else(String::new, |accuracy| {
            format!(
                ", at the worse end of its accuracy of {}",
                accuracy.to_text(Units::Metric)
            )
        })
}

/// Why a finding is open, or what it rests on.
pub(crate) fn because(reviewed: &Reviewed, finding: &Finding) -> Option<String> {
    let aspect = finding.judged.name;
    let thing_at = |thing| thing_at(&reviewed.read, thing);
    Some(match finding.because? {
        Because::Unknown(Unknown::Missing(thing, gap)) if thing == finding.thing => {
            format!("not known: {}", gap.words())
        }
        Because::Unknown(Unknown::Missing(thing, gap)) => {
            format!("not known: {}: {}", thing_at(thing), gap.words())
        }
        Because::Unknown(Unknown::Refused(thing, error)) => {
            format!("refused: {}: {error}", thing_at(thing))
        }
        Because::NoLimit(thing) => {
            format!(
                "not stated in {}: {}",
                thing_at(thing),
                aspect.limit_words()
            )
        }
        Because::NoValue(thing) => {
            format!(
                "not stated in {}: {}",
                thing_at(thing),
                aspect.value_words()
            )
        }
        Because::Evidence(gap) => gap.words().to_owned(),
        Because::Short(fault) => {
            format!("short circuit {}", names::fault(reviewed.design(), fault))
        }
        Because::Ends(fault, end) => format!(
            "short circuit {}: {}",
            names::fault(reviewed.design(), fault),
            names::end(reviewed.design(), end)
        ),
        Because::Datasheet(thing, gap) => {
            format!("not stated in {}: {}", thing_at(thing), gap.words())
        }
        Because::NotBroken(thing, why) => format!("{}: {}", thing_at(thing), why.words()),
        Because::Read(reading) => format!(
            "read {}: {}{}",
            by_whom(reviewed.design(), reading.into()),
            thing_at(reading.into()),
            accuracy(reviewed, finding, reading)
        ),
        Because::Attested(one) => format!(
            "{} {}: {}",
            match finding.judged.verdict {
                Verdict::Fails => "a no",
                _ => "attested",
            },
            by_whom(reviewed.design(), one.into()),
            thing_at(one.into())
        ),
        Because::NotSolved(why) => why.words().to_owned(),
        Because::Refused(error) => format!("refused: {error}"),
        _ => return None,
    })
}
