//! Conductor sections as they are printed on the drum: mm2, AWG, kcmil.

use core::fmt;
use core::str::FromStr;

use orangeloom_core::quantity::{Area, ConductorArea};
use orangeloom_core::standard::awg::{AmericanSize, Gauge};

use super::error::{Problem, TextError};
use super::from_text::{FromText, parse};
use super::kind::Kind;
use super::measure::{measure, range_in_words, within};
use super::units;

/// The series of sizes that a section belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(clippy::exhaustive_enums)] // what is read; another series is another parser
pub enum Series {
    /// Square millimetres.
    Metric,
    /// American wire gauge of this size.
    Awg(Gauge),
    /// Thousand circular mils, in old papers MCM.
    Kcmil,
}

/// A conductor section: how it was called, and what it is.
///
/// 2/0 AWG is not 70 mm2: the name decides what is bought and which lug fits,
/// the area decides what the conductor carries.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Section {
    /// As entered, without space around.
    pub designation: String,
    /// The same size as the trade writes it: `4/0 AWG` for `0000 awg`.
    pub label: String,
    /// The series of the designation.
    pub series: Series,
    /// The true metal area, not the nominal one of the next size.
    pub area: ConductorArea,
}

impl fmt::Display for Section {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.label)
    }
}

impl FromStr for Section {
    type Err = TextError;

    fn from_str(text: &str) -> Result<Self, TextError> {
        parse(text)
    }
}

impl FromText for Section {
    fn from_text(text: &str) -> Result<Self, TextError> {
        let designation = text.trim().to_owned();
        if let Some(gauge) = read_gauge(text, Kind::Section) {
            let gauge = gauge?;
            let size = AmericanSize::Awg(gauge);
            return Ok(Self {
                designation,
                label: size.to_string(),
                series: Series::Awg(gauge),
                area: gauge_area(text, Kind::Section, gauge)?,
            });
        }
        let value = measure(text, Kind::Section).map_err(|error| with_gauge(text, error))?;
        let series = match value.unit.symbol {
            "kcmil" => Series::Kcmil,
            _ => Series::Metric,
        };
        // Back through the factor 250 kcmil may read 249.99999999999997.
        let shown = value.unit.from_stored(value.stored);
        let shown = format!("{shown:.9e}").parse::<f64>().unwrap_or(shown);
        Ok(Self {
            designation,
            label: format!("{shown} {}", value.unit.symbol),
            series,
            area: within(text, Kind::Section, ConductorArea::BOUND, value)?,
        })
    }

    fn needed() -> String {
        format!("{}: {}", Kind::Section.noun(), Kind::Section.accepted())
    }
}

/// An area of any kind, also written as a gauge.
pub(crate) fn read_area(text: &str) -> Result<Area, TextError> {
    if let Some(gauge) = read_gauge(text, Kind::Area) {
        return gauge_area(text, Kind::Area, gauge?).map(Area::from);
    }
    let value = measure(text, Kind::Area).map_err(|error| with_gauge(text, error))?;
    within(text, Kind::Area, Area::BOUND, value)
}

/// The area of a gauge; too thin for a conductor here from 31 AWG on.
fn gauge_area(text: &str, kind: Kind, gauge: Gauge) -> Result<ConductorArea, TextError> {
    gauge.area().map_err(|_| {
        let range = range_in_words(ConductorArea::BOUND, &units::SECTION[0]);
        TextError::whole(text, Problem::OutOfRange(range), kind)
    })
}

/// Whether a text names American wire gauge, in a field of any kind.
pub(crate) fn names_a_gauge(text: &str) -> bool {
    let mut three = text.as_bytes().windows(3);
    three.any(|letters| letters.eq_ignore_ascii_case(b"awg"))
}

/// Reads `2/0 AWG`, `AWG 2/0`, `00 awg`, `#2 AWG`. None if AWG is not in the text.
fn read_gauge(text: &str, kind: Kind) -> Option<Result<Gauge, TextError>> {
    if !names_a_gauge(text) {
        return None;
    }
    let lower = text.trim().to_ascii_lowercase();
    // A dash may join the two, as in AWG-14; it is no minus sign.
    let size = if let Some(size) = lower.strip_suffix("awg") {
        size.strip_suffix('-').unwrap_or(size)
    } else if let Some(size) = lower.strip_prefix("awg") {
        size.strip_prefix(['-', ':']).unwrap_or(size)
    } else {
        let reason = "beside AWG only the size can be read";
        return Some(Err(TextError::whole(text, Problem::Refused(reason), kind)));
    };
    let size = size.trim();
    let size = size.strip_prefix("no.").unwrap_or(size).trim_start();
    let size = size.strip_prefix('#').unwrap_or(size).trim_start();
    Some(read_gauge_size(size).map_err(|(reason, instead)| {
        let mut error = TextError::whole(text, Problem::Refused(reason), kind);
        error.suggestions = instead
            .into_iter()
            .map(|size| format!("{size} AWG"))
            .collect();
        error
    }))
}

fn read_gauge_size(size: &str) -> Result<Gauge, (&'static str, Vec<String>)> {
    const SIZES: &str = "gauge sizes are the whole numbers from 40 to 1, then 1/0, 2/0, 3/0, 4/0";
    const KCMIL: &str = "the gauge ends at 4/0, thicker conductors are named in kcmil or mm2";
    let gauge = |number| Gauge::new(number).map_err(|_| (SIZES, Vec::new()));
    let aught = |zeros| match zeros {
        Some(zeros @ 1..=4) => gauge(1 - zeros),
        Some(5..) => Err((KCMIL, Vec::new())),
        _ => Err((SIZES, Vec::new())),
    };
    if !size.is_empty() && size.bytes().all(|digit| digit == b'0') {
        return aught(Some(i8::try_from(size.len()).unwrap_or(i8::MAX)));
    }
    if let Some(zeros) = size
        .strip_suffix("/0")
        .or_else(|| size.strip_suffix("\u{2044}0"))
    {
        return aught(whole(zeros));
    }
    if let Some(zeros @ 1..=4) = size.strip_suffix("-0").and_then(whole) {
        return Err((SIZES, vec![format!("{zeros}/0")]));
    }
    match size.strip_prefix('0').and_then(whole) {
        // 02 is seen for 2 and for 2/0.
        Some(number @ 1..=4) => Err((SIZES, vec![format!("{number}"), format!("{number}/0")])),
        Some(_) => Err((SIZES, Vec::new())),
        None => whole(size).map_or_else(|| Err((SIZES, Vec::new())), gauge),
    }
}

/// Digits only: no sign, no point.
fn whole(text: &str) -> Option<i8> {
    let digits = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    digits.then(|| text.parse().ok()).flatten()
}

/// `2/0` alone can only be a gauge.
fn with_gauge(text: &str, error: TextError) -> TextError {
    match text.trim().strip_suffix("/0").and_then(whole) {
        Some(zeros @ 1..=4) => {
            let mut error = error;
            error.problem = Problem::NoUnit;
            error.suggestions = vec![format!("{zeros}/0 AWG")];
            error
        }
        _ => error,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gauge(number: i8) -> Gauge {
        Gauge::new(number).unwrap()
    }

    fn section(text: &str) -> Section {
        match text.parse() {
            Ok(section) => section,
            Err(error) => panic!("{text}: {error}"),
        }
    }

    #[test]
    fn a_section_remembers_what_it_was_called() {
        for (text, label, series, mm2) in [
            ("70 mm2", "70 mm2", Series::Metric, 70.0),
            ("70mm2", "70 mm2", Series::Metric, 70.0),
            ("70 mm²", "70 mm2", Series::Metric, 70.0),
            (" 70 mm^2 ", "70 mm2", Series::Metric, 70.0),
            ("2.5 mm2", "2.5 mm2", Series::Metric, 2.5),
            ("2/0 AWG", "2/0 AWG", Series::Awg(gauge(-1)), 67.43),
            ("AWG 2/0", "2/0 AWG", Series::Awg(gauge(-1)), 67.43),
            ("awg2/0", "2/0 AWG", Series::Awg(gauge(-1)), 67.43),
            ("00 awg", "2/0 AWG", Series::Awg(gauge(-1)), 67.43),
            ("0000 AWG", "4/0 AWG", Series::Awg(gauge(-3)), 107.2),
            ("0 AWG", "1/0 AWG", Series::Awg(gauge(0)), 53.49),
            ("2 AWG", "2 AWG", Series::Awg(gauge(2)), 33.62),
            ("#2 AWG", "2 AWG", Series::Awg(gauge(2)), 33.62),
            ("2AWG", "2 AWG", Series::Awg(gauge(2)), 33.62),
            ("AWG-14", "14 AWG", Series::Awg(gauge(14)), 2.081),
            ("14-AWG", "14 AWG", Series::Awg(gauge(14)), 2.081),
            ("No. 14 AWG", "14 AWG", Series::Awg(gauge(14)), 2.081),
            ("250 kcmil", "250 kcmil", Series::Kcmil, 126.7),
            ("250 MCM", "250 kcmil", Series::Kcmil, 126.7),
            ("250mcm", "250 kcmil", Series::Kcmil, 126.7),
        ] {
            let read = section(text);
            assert_eq!(read.label, label, "{text}");
            assert_eq!(read.designation, text.trim());
            assert_eq!(read.series, series, "{text}");
            // The areas are printed with four digits (ASTM B258, from memory).
            let error = (f64::from(read.area.as_mm2()) / mm2 - 1.0).abs();
            assert!(error < 5e-4, "{text} {}", read.area.as_mm2());
        }
    }

    #[test]
    fn the_metric_section_is_not_touched_by_any_arithmetic() {
        assert_eq!(
            section("67.43 mm2").area.as_mm2().to_bits(),
            67.43_f32.to_bits()
        );
    }

    #[test]
    fn doubtful_sections_are_refused_with_advice() {
        for (text, part) in [
            ("2/0", "did you mean \"2/0 AWG\""),
            ("70", "has no unit"),
            ("70 sq mm", "did you mean \"70 mm2\""),
            ("70 mm", "mm is a length"),
            ("2-0 AWG", "did you mean \"2/0 AWG\""),
            ("02 AWG", "did you mean \"2 AWG\" or \"2/0 AWG\""),
            ("5/0 AWG", "kcmil"),
            ("00000 AWG", "kcmil"),
            ("2.5 AWG", "whole numbers"),
            ("-2 AWG", "whole numbers"),
            ("AWG - 2", "whole numbers"),
            ("2/0 AWG copper", "only the size"),
            ("AWG 2 AWG", "whole numbers"),
            ("AWG", "whole numbers"),
            ("41 AWG", "whole numbers"),
            ("31 AWG", "0.05 to 5000 mm2"),
            ("99999999999999999999 AWG", "whole numbers"),
            ("4 ga", "did you mean \"4 AWG\""),
            ("4 SWG", "write the area in mm2"),
            ("2,5 mm2", "did you mean \"2.5 mm2\""),
            ("0 mm2", "0.05 to 5000 mm2"),
            ("-70 mm2", "0.05 to 5000 mm2"),
            ("12000 kcmil", "kcmil (0.05 to 5000 mm2)"),
            ("70 MM2", "the case decides"),
            ("0.5 in2", "written in mm2, AWG or kcmil"),
            (
                "3 V",
                "is a voltage, a conductor section is needed: mm2, kcmil, AWG",
            ),
        ] {
            let message = text.parse::<Section>().unwrap_err().to_string();
            assert!(message.contains(part), "{text}: {message}");
        }
    }
}
