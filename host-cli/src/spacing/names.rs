//! What kinds, surfaces and steps are called, and how distances are shown.

use orangeloom_core::insulation::{CreepageOutcome, Domain, Spacing, SpacingCheck, StepKind};
use orangeloom_core::quantity::{Length, Voltage};
use orangeloom_core::standard::SourceId;
use orangeloom_core::standard::iec60664::{MaterialGroup, OvervoltageCategory, PollutionDegree};
use orangeloom_core::standard::iec60664_creepage::{Surface, TABLE_F4};

use super::ask::Asked;
use crate::quantity_text::{Units, parse, significant_down};

/// The number of a pollution degree as a word.
pub(crate) const fn pollution(degree: PollutionDegree) -> &'static str {
    match degree {
        PollutionDegree::One => "1",
        PollutionDegree::Two => "2",
        PollutionDegree::Three => "3",
        PollutionDegree::Four => "4",
    }
}

/// Every surface.
pub(crate) const SURFACES: [Surface; 3] = [Surface::Plain, Surface::Ribbed, Surface::PrintedWiring];

/// What a path runs over.
pub(crate) const fn surface(surface: Surface) -> &'static str {
    match surface {
        Surface::Plain => "plain",
        Surface::Ribbed => "ribbed",
        Surface::PrintedWiring => "printed-wiring",
    }
}

/// Where a machine is used.
pub(crate) const fn domain(domain: Domain) -> &'static str {
    match domain {
        Domain::Road => "road",
        Domain::Farm => "farm",
        Domain::Rail => "rail",
        Domain::Craft => "craft",
    }
}

/// Who falls under the limits of a domain.
pub(crate) const fn domain_described(domain: Domain) -> &'static str {
    match domain {
        Domain::Road => "cars, vans, trucks, buses and motorcycles",
        Domain::Farm => "tractors and farm machinery",
        Domain::Rail => "rail vehicles",
        Domain::Craft => "boats and other craft on water",
    }
}

/// Other spellings of an overvoltage category.
pub(crate) const fn category_spelled(category: OvervoltageCategory) -> &'static [&'static str] {
    match category {
        OvervoltageCategory::One => &["1"],
        OvervoltageCategory::Two => &["2"],
        OvervoltageCategory::Three => &["3"],
        OvervoltageCategory::Four => &["4"],
    }
}

/// Other spellings of a material group.
pub(crate) const fn group_spelled(group: MaterialGroup) -> &'static [&'static str] {
    match group {
        MaterialGroup::I => &["1"],
        MaterialGroup::Ii => &["2"],
        MaterialGroup::Iiia => &["3a"],
        MaterialGroup::Iiib => &["3b"],
    }
}

/// The tracking index from which a group begins, for people.
pub(crate) const fn group_from(group: MaterialGroup) -> &'static str {
    match group {
        MaterialGroup::I => "CTI 600 and above",
        MaterialGroup::Ii => "CTI 400 and above",
        MaterialGroup::Iiia => "CTI 175 and above",
        MaterialGroup::Iiib => "CTI 100 and above",
    }
}

/// What keeps the pollution that low.
pub(crate) const fn kept_by(degree: PollutionDegree) -> &'static str {
    match degree {
        PollutionDegree::One => "a sealed dry box, potting or a coating over the whole surface",
        PollutionDegree::Two => "a sealed box with a breather, dry apart from dew now and then",
        PollutionDegree::Three => "a box or a drip edge that keeps spray off",
        PollutionDegree::Four => "nothing",
    }
}

/// What is wrong with a material that the standard does not recommend.
pub(crate) const NOT_RECOMMENDED: &str = "material group IIIb is not recommended in pollution degree 3 above 630 V, at whatever distance";

/// Why a rib does not count.
const RIB_USELESS: &str = "the rib lowers nothing here: it counts in pollution degree 3 only, from a required \
     distance of 8 mm, up to 2000 V, and never below the clearance";

/// What the reader has to know about an answer besides the numbers, and its source.
pub(crate) fn notes(
    asked: &Asked,
    working: Voltage,
    spacing: &Spacing,
) -> Vec<(String, Option<SourceId>)> {
    let mut notes = Vec::new();
    if let CreepageOutcome::Distance(found) = &spacing.creepage {
        if found.material_not_recommended {
            let words = format!("Caution: {NOT_RECOMMENDED}");
            notes.push((words, Some(SourceId::Iec60664GroupIiib)));
        }
        if asked.surface == Surface::Ribbed {
            let words = match found.rib {
                Some(rib) => format!(
                    "This creepage distance relies on a rib across the whole path, at least {} \
                     high and {} wide (from memory); without it: --surface plain",
                    distance(rib.height, asked.units),
                    distance(rib.width, asked.units)
                ),
                None => format!("Note: {RIB_USELESS} (from memory)"),
            };
            notes.push((words, Some(SourceId::Iec60664Rib)));
        }
    }
    if asked.system_below(working) {
        notes.push((format!("Caution: {}", system_below(asked)), None));
    }
    notes
}

/// A caution about a system voltage below the working voltage.
pub(crate) fn system_below(asked: &Asked) -> String {
    format!(
        "--system-voltage of {} V is below the working voltage: that lowers the impulse \
         and the clearance; only right where the category belongs to another, lower system",
        asked.system.map_or(0.0, Voltage::as_volts)
    )
}

/// A check as people and JSON name it.
pub(crate) const fn check(check: SpacingCheck) -> &'static str {
    match check {
        SpacingCheck::Clearance => "clearance",
        SpacingCheck::Creepage => "creepage",
    }
}

/// What decided a requirement, in one word.
pub(crate) const fn decided_by(kind: StepKind) -> &'static str {
    match kind {
        StepKind::ImpulseClearance => "impulse",
        StepKind::PeakClearance => "peak",
        StepKind::TemporaryClearance => "temporary",
        StepKind::BasicCreepage | StepKind::ReinforcedCreepage => "surface",
        StepKind::CreepageFloor => "clearance",
        other => other.words(),
    }
}

/// A kind of step as JSON names it; programs rely on these words.
pub(crate) const fn step_key(kind: StepKind) -> &'static str {
    match kind {
        StepKind::SystemVoltageRow => "system-voltage-row",
        StepKind::BasicImpulse => "basic-impulse",
        StepKind::ReinforcedImpulse => "reinforced-impulse",
        StepKind::ImpulseClearance => "impulse-clearance",
        StepKind::WorkingPeak => "working-peak",
        StepKind::ReinforcedPeak => "reinforced-peak",
        StepKind::PeakClearance => "peak-clearance",
        StepKind::TemporaryPeak => "temporary-peak",
        StepKind::ReinforcedTemporaryPeak => "reinforced-temporary-peak",
        StepKind::TemporaryClearance => "temporary-clearance",
        StepKind::AirPressure => "air-pressure",
        StepKind::AltitudeFactor => "altitude-factor",
        StepKind::Clearance => "clearance",
        StepKind::WorkingVoltage => "working-voltage",
        StepKind::BasicCreepage => "basic-creepage",
        StepKind::ReinforcedCreepage => "reinforced-creepage",
        StepKind::CreepageFloor => "creepage-floor",
        StepKind::Creepage => "creepage",
        StepKind::GrooveWidth => "groove-width",
        StepKind::RibHeight => "rib-height",
        StepKind::RibWidth => "rib-width",
        _ => NO_WORD,
    }
}

/// What has no word of its own yet; a test finds it.
const NO_WORD: &str = "other";

/// A distance that is required or missing, rounded up to 0.01 mm (below 1 mm: to
/// 0.001 mm), or to 0.001 in (below 0.1 in: to 0.0001 in).
pub(crate) fn distance(length: Length, units: Units) -> String {
    let (digits, symbol) = (distance_digits(length, units), length_unit(units));
    format!("{digits} {symbol}")
}

/// The unit that distances are shown in.
pub(crate) const fn length_unit(units: Units) -> &'static str {
    match units {
        Units::Metric => "mm",
        Units::Us => "in",
    }
}

/// [`distance`] without its unit.
pub(crate) fn distance_digits(length: Length, units: Units) -> String {
    /// Rounding of `f32` on the way from the table must not push a printed value up.
    const ROUNDING: f64 = 1.0e-6;
    let (coarse_from, coarse) = match units {
        Units::Metric => (1.0, 100.0),
        Units::Us => (0.1, 1000.0),
    };
    let value = f64::from(length.as_metres()) * per_metre(units);
    let scale = if value < coarse_from {
        coarse * 10.0
    } else {
        coarse
    };
    let steps = (value * (1.0 - ROUNDING) * scale).ceil();
    (steps / scale).to_string()
}

/// A length as it was entered, four digits, rounded down: what was built is never
/// printed as more than it is.
pub(crate) fn entered(length: Length, units: Units) -> String {
    format!("{} {}", entered_digits(length, units), length_unit(units))
}

fn entered_digits(length: Length, units: Units) -> String {
    significant_down(f64::from(length.as_metres()) * per_metre(units), 4)
}

const fn per_metre(units: Units) -> f64 {
    match units {
        Units::Metric => 1000.0,
        Units::Us => 1.0 / 0.0254,
    }
}

/// What is left over (or missing) between a built and a required distance: the
/// difference of the printed numbers, so that it adds up on paper. What is built is
/// printed rounded down and what is required rounded up, so that what is left over comes
/// out rounded down and what is missing rounded up.
pub(crate) fn difference(built: Length, required: Length, units: Units) -> String {
    /// What the core lets pass as rounding of `f32`.
    const ROUNDING: f32 = 1.0e-6;
    let symbol = length_unit(units);
    let built_digits = entered_digits(built, units);
    let required_digits = distance_digits(required, units);
    let places = |digits: &str| digits.split_once('.').map_or(0, |(_, after)| after.len());
    let apart = match (built_digits.parse::<f64>(), required_digits.parse::<f64>()) {
        (Ok(built), Ok(required)) => built - required,
        _ => 0.0,
    };
    let places = places(&built_digits).max(places(&required_digits));
    let digits = format!("{:.places$}", apart.abs());
    let digits = if digits.contains('.') {
        digits.trim_end_matches('0').trim_end_matches('.')
    } else {
        &digits
    };
    let missing = required.as_metres() * (1.0 - ROUNDING) - built.as_metres();
    // Less is missing than the printed digits tell apart, or the other way round.
    let agrees = if missing > 0.0 {
        apart < 0.0
    } else {
        apart >= 0.0
    };
    match (agrees, Length::from_metres(missing.max(0.0))) {
        (false, Ok(missing)) => distance(missing, units),
        _ => format!("{digits} {symbol}"),
    }
}

/// The voltages of a table.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::exhaustive_structs)] // a wrapper and nothing else
pub struct Voltages(pub Vec<Voltage>);

/// Most rows that a table may have.
const MAX_ROWS: usize = 100;

/// Reads voltages with commas or semicolons between them; nothing stands for the usual ones.
///
/// # Errors
/// One line: what was read, what was expected.
pub(crate) fn read_voltages(text: &str) -> Result<Voltages, String> {
    if text.trim().is_empty() {
        return Ok(Voltages(usual_voltages()));
    }
    let parts: Vec<&str> = text.split([',', ';']).collect();
    if parts.len() > MAX_ROWS {
        return Err(format!(
            "{} voltages were read, at most {MAX_ROWS} are accepted",
            parts.len()
        ));
    }
    parts
        .into_iter()
        .map(|part| parse::<Voltage>(part).map_err(|error| error.to_string()))
        .collect::<Result<_, _>>()
        .map(Voltages)
}

/// The rows of the creepage table that a vehicle has to do with.
fn usual_voltages() -> Vec<Voltage> {
    TABLE_F4
        .iter()
        .filter(|row| (63.0..=1000.0).contains(&row.working_v))
        .filter_map(|row| Voltage::from_volts(row.working_v).ok())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(mm: f32) -> Length {
        Length::from_mm(mm).unwrap()
    }

    #[test]
    fn what_is_required_is_rounded_up() {
        let metric = |value| distance(mm(value), Units::Metric);
        assert_eq!(metric(12.561), "12.57 mm");
        assert_eq!(metric(0.0401), "0.041 mm");
        assert_eq!(distance(mm(25.41), Units::Us), "1.001 in");
        assert_eq!(distance(mm(25.4), Units::Us), "1 in");
        assert_eq!(metric(0.0), "0 mm");
    }

    #[test]
    fn a_printed_value_of_the_table_is_not_pushed_up() {
        for row in &TABLE_F4 {
            for cell in row.pd3_mm.into_iter().chain(row.pd2_mm) {
                let shown = distance_digits(mm(cell), Units::Metric);
                assert_eq!(shown, cell.to_string());
            }
        }
    }

    #[test]
    fn what_is_left_over_adds_up_on_paper() {
        let left = |built, required| difference(mm(built), mm(required), Units::Metric);
        assert_eq!(left(9.0, 8.321), "0.67 mm"); // 9 - 8.33
        assert_eq!(left(10.0, 12.62), "2.62 mm");
        assert_eq!(left(9.0, 8.0), "1 mm");
        assert_eq!(left(20.0, 10.0), "10 mm");
        assert_eq!(left(10.0, 10.0), "0 mm");
        assert_eq!(left(1.0, 0.7031), "0.296 mm"); // 1 - 0.704
        // Rounded to the nearest it would be printed as 8.33, and is too short.
        assert_eq!(left(8.3299, 8.33), "0.001 mm");
        // Rounded to the nearest it would be 10 mm and leave 2 mm.
        assert_eq!(left(9.9996, 8.0), "1.999 mm");
        assert_eq!(left(9.9996, 12.0), "2.001 mm");
        // Long enough by less than the rounding up.
        assert_eq!(left(8.325, 8.3249), "0 mm");
        let inches = difference(mm(25.4), mm(12.7), Units::Us);
        assert_eq!(inches, "0.5 in");
    }

    #[test]
    fn steps_have_keys_and_the_usual_table_has_rows() {
        // As they have always been spelt: the name in small letters joined by hyphens.
        for kind in StepKind::ALL {
            let mut spelt = String::new();
            for letter in format!("{kind:?}").chars() {
                if letter.is_ascii_uppercase() && !spelt.is_empty() {
                    spelt.push('-');
                }
                spelt.push(letter.to_ascii_lowercase());
            }
            assert_eq!(step_key(*kind), spelt);
            assert_ne!(step_key(*kind), NO_WORD);
        }
        assert_eq!(read_voltages("").unwrap().0.len(), 13);
        assert_eq!(read_voltages("60 V,0.4 kV").unwrap().0.len(), 2);
        assert_eq!(read_voltages("60 V; 0.4 kV"), read_voltages("60 V, 0.4 kV"));
        assert!(read_voltages("60 V,").is_err());
        assert!(read_voltages(&vec!["60 V"; 101].join(",")).is_err());
    }
}
