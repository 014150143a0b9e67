//! Conductor sections as they are printed on the drum: mm2, AWG, kcmil.

use core::fmt;
use core::str::FromStr;

use orangeloom_core::quantity::ConductorArea;

use super::error::{Problem, TextError};
use super::from_text::{FromText, parse};
use super::kind::Kind;
use super::measure::{Measured, measure, within};
use super::units;

/// The series of sizes that a section belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(clippy::exhaustive_enums)] // what is read; another series is another parser
pub enum Series {
    /// Square millimetres.
    Metric,
    /// American wire gauge.
    Awg,
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
        let (value, label, series) = if let Some(gauge) = read_gauge(text, Kind::Section) {
            let gauge = gauge?;
            (gauge.measured(), gauge.label(), Series::Awg)
        } else {
            let value = measure(text, Kind::Section).map_err(|error| with_gauge(text, error))?;
            let series = match value.unit.symbol {
                "kcmil" => Series::Kcmil,
                _ => Series::Metric,
            };
            // Back through the factor 250 kcmil may read 249.99999999999997.
            let shown = value.unit.from_stored(value.stored);
            let shown = format!("{shown:.9e}").parse::<f64>().unwrap_or(shown);
            (value, format!("{shown} {}", value.unit.symbol), series)
        };
        Ok(Self {
            designation,
            label,
            series,
            area: within(text, Kind::Section, ConductorArea::BOUND, value)?,
        })
    }

    fn needed() -> String {
        format!("{}: {}", Kind::Section.noun(), Kind::Section.accepted())
    }
}

/// An area of any kind, also written as a gauge.
pub(crate) fn measure_area(text: &str) -> Result<Measured, TextError> {
    match read_gauge(text, Kind::Area) {
        Some(gauge) => Ok(gauge?.measured()),
        None => measure(text, Kind::Area).map_err(|error| with_gauge(text, error)),
    }
}

/// A gauge size as the whole number of its formula: 4/0 is -3.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Gauge(i8);

/// The thickest size is 4/0.
const THICKEST: i8 = -3;
/// The thinnest size of the table in ASTM B258 (from memory).
const THINNEST: i8 = 56;

impl Gauge {
    fn label(self) -> String {
        if self.0 < 1 {
            format!("{}/0 AWG", 1 - self.0)
        } else {
            format!("{} AWG", self.0)
        }
    }

    /// The unit is only used to print the accepted range.
    fn measured(self) -> Measured {
        Measured {
            stored: gauge_area_mm2(self.0),
            unit: &units::SECTION[0],
        }
    }
}

// SWAP: use `orangeloom_core::standard::awg` once it is merged.
/// ASTM B258, from memory: d = 0.127 mm * 92^((36 - n) / 39).
fn gauge_area_mm2(gauge: i8) -> f64 {
    let diameter_mm = 0.127 * libm::pow(92.0, (36.0 - f64::from(gauge)) / 39.0);
    core::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm
}

/// Whether a text names American wire gauge, in a field of any kind.
pub(crate) fn names_a_gauge(text: &str) -> bool {
    text.to_ascii_lowercase().contains("awg")
}

/// Reads `2/0 AWG`, `AWG 2/0`, `00 awg`, `#2 AWG`. None if AWG is not in the text.
fn read_gauge(text: &str, kind: Kind) -> Option<Result<Gauge, TextError>> {
    let lower = text.trim().to_ascii_lowercase();
    let size = lower
        .strip_suffix("awg")
        .or_else(|| lower.strip_prefix("awg"))?;
    let size = size
        .trim_matches(|c: char| c.is_whitespace() || c == '-' || c == ':')
        .trim_start_matches("no.")
        .trim_start_matches('#')
        .trim();
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
    const SIZES: &str = "gauge sizes are the whole numbers from 56 to 1, then 1/0, 2/0, 3/0, 4/0";
    const KCMIL: &str = "the gauge ends at 4/0, thicker conductors are named in kcmil or mm2";
    let no_idea = || (SIZES, Vec::new());
    if !size.is_empty() && size.bytes().all(|digit| digit == b'0') {
        let zeros = i8::try_from(size.len()).unwrap_or(i8::MAX);
        let gauge = 1_i8.saturating_sub(zeros);
        return if gauge >= THICKEST {
            Ok(Gauge(gauge))
        } else {
            Err((KCMIL, Vec::new()))
        };
    }
    if let Some(zeros) = size
        .strip_suffix("/0")
        .or_else(|| size.strip_suffix("\u{2044}0"))
    {
        return match whole(zeros) {
            Some(zeros @ 1..=4) => Ok(Gauge(1 - zeros)),
            Some(5..) => Err((KCMIL, Vec::new())),
            _ => Err(no_idea()),
        };
    }
    if let Some(zeros) = size.strip_suffix("-0") {
        return match whole(zeros) {
            Some(zeros @ 1..=4) => Err((SIZES, vec![format!("{zeros}/0")])),
            _ => Err(no_idea()),
        };
    }
    match size.strip_prefix('0').and_then(whole) {
        // 02 is seen for 2 and for 2/0.
        Some(number @ 1..=4) => {
            return Err((SIZES, vec![format!("{number}"), format!("{number}/0")]));
        }
        Some(_) => return Err(no_idea()),
        None => {}
    }
    match whole(size) {
        Some(gauge @ 1..=THINNEST) => Ok(Gauge(gauge)),
        _ => Err(no_idea()),
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
            ("2/0 AWG", "2/0 AWG", Series::Awg, 67.43),
            ("AWG 2/0", "2/0 AWG", Series::Awg, 67.43),
            ("awg2/0", "2/0 AWG", Series::Awg, 67.43),
            ("00 awg", "2/0 AWG", Series::Awg, 67.43),
            ("0000 AWG", "4/0 AWG", Series::Awg, 107.2),
            ("0 AWG", "1/0 AWG", Series::Awg, 53.49),
            ("2 AWG", "2 AWG", Series::Awg, 33.62),
            ("#2 AWG", "2 AWG", Series::Awg, 33.62),
            ("2AWG", "2 AWG", Series::Awg, 33.62),
            ("AWG-14", "14 AWG", Series::Awg, 2.081),
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
    fn the_gauge_keeps_its_defining_sizes() {
        // ASTM B258 (from memory): 4/0 is 0.4600 in, 36 is 0.0050 in, both exact.
        for (gauge, inches) in [(-3, 0.46), (36, 0.005)] {
            let mm = inches * 25.4;
            let area = core::f64::consts::FRAC_PI_4 * mm * mm;
            assert!((gauge_area_mm2(gauge) / area - 1.0).abs() < 1e-12);
        }
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
            ("-2 AWG x", "AWG"),
            ("AWG", "whole numbers"),
            ("57 AWG", "whole numbers"),
            ("40 AWG", "0.05 to 5000 mm2"),
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
