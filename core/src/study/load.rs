//! What loads and converters see.

use super::pack::reserve;
use super::points::Points;
use super::unknown::{Known, Unknown};
use crate::design::{
    Converter, ConverterId, Design, Gap, Load, LoadId, Phase, PhaseId, System, Systems, Thing,
};
use crate::quantity::{Current, Time, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// What a load is held against in a study.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum LoadLimit {
    /// Lowest voltage at its terminals while it works, V, against the lowest it works at.
    LowestVoltage,
    /// Highest voltage of the battery, V, against the highest it stands.
    HighestVoltage,
}

/// What one load of the high-voltage side sees.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct LoadStudy {
    /// The load.
    pub load: LoadId,
    /// Lowest voltage at its terminals in a phase in which it carries current.
    pub lowest: Known<(PhaseId, Voltage)>,
    /// Both limits of its window.
    pub limits: [Judged<LoadLimit>; 2],
}

/// Studies one load; `None` for one of the low-voltage side.
pub(super) fn study_load(
    design: &Design,
    points: &Points,
    systems: &Systems,
    (id, load): (LoadId, &Load),
    battery: Known<Voltage>,
) -> Option<LoadStudy> {
    if !systems.is_high(load.positive) {
        return None;
    }
    let lowest = lowest(design, points, id);
    let volts = |found: Option<Voltage>| found.map(Voltage::as_volts);
    let judge =
        |name, value, side, limit| Judged::known(name, value, side, limit, SourceId::Entered);
    Some(LoadStudy {
        load: id,
        lowest,
        limits: [
            judge(
                LoadLimit::LowestVoltage,
                volts(lowest.ok().map(|(_, voltage)| voltage)),
                Side::AtLeast,
                volts(load.lowest),
            ),
            judge(
                LoadLimit::HighestVoltage,
                volts(battery.ok()),
                Side::AtMost,
                volts(load.highest),
            ),
        ],
    })
}

fn lowest(design: &Design, points: &Points, load: LoadId) -> Known<(PhaseId, Voltage)> {
    let mut lowest: Known<(PhaseId, Voltage)> = Err(Unknown::missing(load, Gap::Draw));
    for (phase, _) in design.all::<Phase>() {
        if points.known_current(phase, load)?.as_amperes() == 0.0 {
            continue;
        }
        let Some(span) = points.load(phase, load) else {
            continue;
        };
        let lower = |known: &(PhaseId, Voltage)| span.lowest < known.1;
        if lowest.as_ref().map_or(true, lower) {
            lowest = Ok((phase, span.lowest));
        }
    }
    lowest
}

/// What a converter is held against in a study.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum ConverterLimit {
    /// Largest output current of all phases, A, against the rated one.
    OutputCurrent,
}

/// What one converter delivers.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ConverterStudy {
    /// The converter.
    pub converter: ConverterId,
    /// Largest output current of all phases.
    pub largest: Known<(PhaseId, Current)>,
    /// Its limit.
    pub output: Judged<ConverterLimit>,
}

/// The low-voltage side as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct LowVoltageStudy {
    /// Largest current that all its loads draw together, and the phase.
    pub drawn: Known<(PhaseId, Current)>,
    /// How long its batteries feed that when no converter works, from full to empty:
    /// capacity over current. An aged battery lasts shorter.
    pub reserve: Known<Time>,
}

pub(super) fn study_converter(
    design: &Design,
    points: &Points,
    (id, converter): (ConverterId, &Converter),
) -> ConverterStudy {
    let largest = points.largest(design, id);
    let value = largest.ok().map(|(_, current)| current.as_amperes());
    let limit = converter.rated.map(Current::as_amperes);
    let name = ConverterLimit::OutputCurrent;
    ConverterStudy {
        converter: id,
        largest,
        output: Judged::known(name, value, Side::AtMost, limit, SourceId::Entered),
    }
}

pub(super) fn study_low_voltage(
    design: &Design,
    points: &Points,
    systems: &Systems,
) -> LowVoltageStudy {
    let drawn = drawn(design, points, systems);
    let reserve = drawn.and_then(|(phase, current)| {
        let charge = reserve(design)?;
        if current.as_amperes() <= 0.0 {
            return Err(Unknown::missing(phase, Gap::Draw));
        }
        let seconds = charge.as_coulombs() / current.as_amperes();
        Time::from_seconds(seconds).map_err(Unknown::refused(phase))
    });
    LowVoltageStudy { drawn, reserve }
}

fn drawn(design: &Design, points: &Points, systems: &Systems) -> Known<(PhaseId, Current)> {
    let mut largest: Known<(PhaseId, Current)> = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for (phase, _) in design.all::<Phase>() {
        let mut sum = 0.0;
        for (id, load) in design.all::<Load>() {
            if systems.of(load.positive) == Some(System::LowVoltage) {
                sum += points.known_current(phase, id)?.as_amperes();
            }
        }
        if largest
            .as_ref()
            .map_or(true, |known| sum > known.1.as_amperes())
        {
            let sum = Current::from_amperes(sum).map_err(Unknown::refused(phase))?;
            largest = Ok((phase, sum));
        }
    }
    largest
}
