//! What kinds, surfaces and steps are called, and how distances are shown.

use orangeloom_core::insulation::{Domain, SpacingCheck, StepKind};
use orangeloom_core::quantity::{Length, Voltage};
use orangeloom_core::standard::iec60664::{MaterialGroup, PollutionDegree};
use orangeloom_core::standard::iec60664_creepage::{Surface, TABLE_F4};

use crate::quantity_text::{Kind, Units, digits_in, parse};

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

/// A check as people and JSON name it.
pub(crate) const fn check(check: SpacingCheck) -> &'static str {
    match check {
        SpacingCheck::Clearance => "clearance",
        SpacingCheck::Creepage => "creepage",
    }
}

/// What decided a requirement, in a few words.
pub(crate) const fn decided_by(kind: StepKind) -> &'static str {
    match kind {
        StepKind::ImpulseClearance => "impulse voltage",
        StepKind::PeakClearance => "peak of the working voltage",
        StepKind::TemporaryClearance => "temporary overvoltage",
        StepKind::BasicCreepage => "working voltage over the surface",
        StepKind::ReinforcedCreepage => "working voltage over the surface, doubled",
        StepKind::CreepageFloor => "the clearance",
        other => other.words(),
    }
}

/// A kind of step as JSON names it: its name in small letters joined by hyphens.
pub(crate) fn step_key(kind: StepKind) -> String {
    let mut key = String::new();
    for letter in format!("{kind:?}").chars() {
        if letter.is_ascii_uppercase() && !key.is_empty() {
            key.push('-');
        }
        key.push(letter.to_ascii_lowercase());
    }
    key
}

/// Which way a shown distance is rounded: always to the side that costs distance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Round {
    /// What is required or missing.
    Up,
    /// What is left over.
    Down,
}

/// A distance rounded to 0.01 mm (below 1 mm: to 0.001 mm), or to 0.001 in (below
/// 0.1 in: to 0.0001 in).
pub(crate) fn distance(length: Length, units: Units, round: Round) -> String {
    let (digits, symbol) = (distance_digits(length, units, round), length_unit(units));
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
pub(crate) fn distance_digits(length: Length, units: Units, round: Round) -> String {
    /// Rounding of `f32` on the way from the table must not push a printed value up.
    const ROUNDING: f64 = 1.0e-6;
    let (per_metre, coarse_from, coarse) = match units {
        Units::Metric => (1000.0, 1.0, 100.0),
        Units::Us => (1.0 / 0.0254, 0.1, 1000.0),
    };
    let value = f64::from(length.as_metres()) * per_metre;
    let scale = if value < coarse_from {
        coarse * 10.0
    } else {
        coarse
    };
    let steps = match round {
        Round::Up => (value * (1.0 - ROUNDING) * scale).ceil(),
        Round::Down => (value * (1.0 + ROUNDING) * scale).floor(),
    };
    (steps / scale).to_string()
}

/// A length as it was entered, four digits.
pub(crate) fn entered(length: Length, units: Units) -> String {
    let symbol = length_unit(units);
    format!(
        "{} {symbol}",
        digits_in(Kind::Length, symbol, length.into(), 4)
    )
}

/// The voltages of a table.
#[derive(Clone, Debug, PartialEq)]
#[allow(clippy::exhaustive_structs)] // a wrapper and nothing else
pub struct Voltages(pub Vec<Voltage>);

/// Most rows that a table may have.
const MAX_ROWS: usize = 100;

/// Reads voltages with commas between them; nothing stands for the usual ones.
///
/// # Errors
/// One line: what was read, what was expected.
pub(crate) fn read_voltages(text: &str) -> Result<Voltages, String> {
    if text.trim().is_empty() {
        return Ok(Voltages(usual_voltages()));
    }
    let parts: Vec<&str> = text.split(',').collect();
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
    fn what_is_required_is_rounded_up_and_what_is_left_down() {
        let metric = |value, round| distance(mm(value), Units::Metric, round);
        assert_eq!(metric(12.564, Round::Up), "12.57 mm");
        assert_eq!(metric(12.564, Round::Down), "12.56 mm");
        assert_eq!(metric(0.0401, Round::Up), "0.041 mm");
        assert_eq!(distance(mm(25.41), Units::Us, Round::Up), "1.001 in");
        assert_eq!(distance(mm(25.4), Units::Us, Round::Up), "1 in");
        assert_eq!(metric(0.0, Round::Up), "0 mm");
    }

    #[test]
    fn a_printed_value_of_the_table_is_not_pushed_up() {
        for row in &TABLE_F4 {
            for cell in row.pd3_mm.into_iter().chain(row.pd2_mm) {
                let shown = distance_digits(mm(cell), Units::Metric, Round::Up);
                assert_eq!(shown, cell.to_string());
            }
        }
    }

    #[test]
    fn steps_have_keys_and_the_usual_table_has_rows() {
        assert_eq!(step_key(StepKind::ImpulseClearance), "impulse-clearance");
        assert_eq!(read_voltages("").unwrap().0.len(), 13);
        assert_eq!(read_voltages("60 V,0.4 kV").unwrap().0.len(), 2);
        assert!(read_voltages("60 V,").is_err());
        assert!(read_voltages(&vec!["60 V"; 101].join(",")).is_err());
    }
}
