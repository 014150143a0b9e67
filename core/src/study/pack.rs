//! What the strings of the traction battery do.

use super::points::Points;
use super::unknown::{Known, Unknown};
use crate::design::{
    Battery, BatteryString, Charged, Conductor, Design, Gap, Load, Phase, PhaseId, Resisting, Role,
    Strings, System, Thing,
};
use crate::error::Error;
use crate::quantity::{Charge, Current, Energy, Mass, Resistance, Temperature, Voltage};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// What a string is held against in a study.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum StringLimit {
    /// Largest discharge current of all phases, A, against that of the cells.
    DischargeCurrent,
    /// Largest charge current of all phases, A, against that of the cells.
    ChargeCurrent,
}

/// What one string of the traction battery does.
///
/// Currents are those of its battery that carries most; see [`Points`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct StringStudy {
    /// The string.
    pub string: BatteryString,
    /// Voltage without load: empty, nominal, full.
    pub voltages: [Known<Voltage>; 3],
    /// Resistance: least, most.
    pub resistances: [Known<Resistance>; 2],
    /// Charge from full to empty.
    pub capacity: Known<Charge>,
    /// Energy from full to empty, at nominal voltage.
    pub energy: Known<Energy>,
    /// Mass of its cells.
    pub cell_mass: Known<Mass>,
    /// Lowest voltage of all phases with empty cells.
    pub lowest: Known<(PhaseId, Voltage)>,
    /// Highest voltage of all phases with full cells.
    pub highest: Known<(PhaseId, Voltage)>,
    /// How far the lowest lies below the voltage of empty cells without load.
    pub sag: Known<Voltage>,
    /// Largest discharge current, zero at least, with its cells at their least resistance
    /// and those of parallel strings at their most.
    pub discharge: Known<(PhaseId, Current)>,
    /// Largest charge current, as a positive number, zero at least, likewise.
    pub charge: Known<(PhaseId, Current)>,
    /// Every limit.
    pub limits: [Judged<StringLimit>; 2],
}

impl Design {
    /// The battery that something of a string is to be looked up at: the first that
    /// lacks it, else the first.
    pub(crate) fn lacking(
        &self,
        string: &BatteryString,
        known: impl Fn(&Battery) -> bool,
    ) -> Thing {
        let mut batteries = string.batteries.iter();
        let lacks = string
            .batteries
            .iter()
            .find(|id| self.get(*id).is_some_and(|battery| !known(battery)));
        lacks
            .or(batteries.next())
            .map_or(Thing::VEHICLE, Into::into)
    }
}

/// Studies one string; `index` is its place in [`Design::strings`].
pub(super) fn study_string(
    design: &Design,
    points: &Points,
    strings: &Strings,
    (index, string): (usize, &BatteryString),
) -> StringStudy {
    let at = |charged: Charged| {
        let gap = design.lacking(string, |b| b.cell.voltage(charged).is_some());
        known(string.voltage(design, charged), gap, Gap::CellVoltage)
    };
    let resisting = |resisting: Resisting| {
        let gap = design.lacking(string, |b| b.cell.resistance.is_some());
        let found = string.resistance(design, resisting);
        known(found, gap, Gap::CellResistance)
    };
    let no_capacity = design.lacking(string, |b| b.cell.capacity.is_some());
    let no_mass = design.lacking(string, |b| b.cell.mass.is_some());
    let empty = at(Charged::Minimum);
    let discharge = largest(design, points, strings, string, 1.0);
    let charge = largest(design, points, strings, string, -1.0);
    let lowest = extreme(design, points, index, false);
    let judge = |name, charging: bool, value: Known<(PhaseId, Current)>| {
        let limit = string.current_limit(design, charging).ok().flatten();
        let limit = limit.map(Current::as_amperes);
        let value = value.ok().map(|(_, current)| current.as_amperes());
        Judged::known(name, value, Side::AtMost, limit, SourceId::Entered)
    };
    StringStudy {
        string: *string,
        voltages: [empty, at(Charged::Nominal), at(Charged::Maximum)],
        resistances: [resisting(Resisting::Lowest), resisting(Resisting::Highest)],
        capacity: known(string.capacity(design), no_capacity, Gap::CellCapacity),
        energy: known(string.energy(design), no_capacity, Gap::CellCapacity),
        cell_mass: known(string.cell_mass(design), no_mass, Gap::CellMass),
        lowest,
        highest: extreme(design, points, index, true),
        sag: empty.and_then(|empty| {
            let (phase, lowest) = lowest?;
            let sag = libm::fmaxf(empty.as_volts() - lowest.as_volts(), 0.0);
            Voltage::from_volts(sag).map_err(Unknown::refused(phase))
        }),
        discharge,
        charge,
        limits: [
            judge(StringLimit::DischargeCurrent, false, discharge),
            judge(StringLimit::ChargeCurrent, true, charge),
        ],
    }
}

/// A result that may be missing, as known or not.
pub(super) fn known<T>(
    found: Result<Option<T>, Error>,
    thing: impl Into<Thing>,
    gap: Gap,
) -> Known<T> {
    let thing = thing.into();
    found
        .map_err(Unknown::refused(thing))?
        .ok_or(Unknown::Missing(thing, gap))
}

/// By how much more than in the network, in which all cells have their most resistance, a
/// string carries where its own have their least: its share of conductance over that share.
/// Only strings that carry current in the phase count; 1 without others.
pub(crate) fn share_by_spread(
    design: &Design,
    points: &Points,
    strings: &Strings,
    string: &BatteryString,
    phase: PhaseId,
) -> f32 {
    let siemens = |one: &BatteryString, resisting| {
        let cells = one.resistance(design, resisting).ok().flatten();
        let cables = cables(design, points, one);
        cells.map_or(0.0, |cells| 1.0 / (cells.as_ohms() + cables))
    };
    let carries = |one: &&BatteryString| {
        let current = one
            .batteries
            .iter()
            .next()
            .and_then(|id| points.current(phase, id));
        current.is_some_and(|current| current.as_amperes() != 0.0)
    };
    let others: f32 = strings
        .group(string.group)
        .filter(|one| *one != string)
        .filter(carries)
        .map(|one| siemens(one, Resisting::Highest))
        .sum();
    if others <= 0.0 {
        return 1.0;
    }
    let [own, least] = [Resisting::Highest, Resisting::Lowest].map(|one| siemens(string, one));
    if own <= 0.0 {
        return 1.0;
    }
    (least / (least + others)) / (own / (own + others))
}

/// Resistance of the cables that a string has to itself; what is not known counts as none,
/// which evens out less.
fn cables(design: &Design, points: &Points, string: &BatteryString) -> f32 {
    let Some(battery) = string.batteries.iter().next() else {
        return 0.0;
    };
    let own = design
        .all::<Conductor>()
        .filter(|(id, _)| points.series().together((*id).into(), battery.into()));
    own.map(|(_, lead)| {
        let found = design.conductor_resistance(lead, Resisting::Highest, COMPARED);
        found
            .ok()
            .and_then(Result::ok)
            .map_or(0.0, Resistance::as_ohms)
    })
    .sum()
}

/// Where resistances of cables are compared.
const COMPARED: Temperature = constant!(Temperature::from_degc(20.0));

/// The largest current of a string in one direction over all phases.
fn largest(
    design: &Design,
    points: &Points,
    strings: &Strings,
    string: &BatteryString,
    direction: f32,
) -> Known<(PhaseId, Current)> {
    let mut largest = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for (phase, _) in design.all::<Phase>() {
        let spread = share_by_spread(design, points, strings, string, phase);
        for battery in string.batteries.iter() {
            let amperes = direction * points.known_current(phase, battery)?.as_amperes();
            let amperes = spread * libm::fmaxf(amperes, 0.0);
            let more = |known: &(PhaseId, Current)| amperes > known.1.as_amperes();
            if largest.as_ref().map_or(true, more) {
                let current = Current::from_amperes(amperes);
                largest = Ok((phase, current.map_err(Unknown::refused(phase))?));
            }
        }
    }
    largest
}

/// The lowest or highest voltage of a string over all phases.
fn extreme(
    design: &Design,
    points: &Points,
    string: usize,
    highest: bool,
) -> Known<(PhaseId, Voltage)> {
    let mut found: Known<(PhaseId, Voltage)> = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
    for (phase, _) in design.all::<Phase>() {
        let Some(span) = points.string(phase, string) else {
            // Its own boxes are open in this phase: no load, no way between its ends.
            continue;
        };
        if !points.solved(phase, System::Traction).is_known() {
            return Err(Unknown::missing(phase, Gap::Current));
        }
        let here = if highest { span.highest } else { span.lowest };
        let further = |known: &(PhaseId, Voltage)| (here > known.1) == highest && here != known.1;
        if found.as_ref().map_or(true, further) {
            found = Ok((phase, here));
        }
    }
    found
}

/// What the traction battery as a whole does.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PackStudy {
    /// The highest voltage that parts have to be rated for, see
    /// [`Strings::highest_voltage`].
    pub highest_voltage: Known<Voltage>,
    /// The highest voltage of any string in a phase in which a drive delivers, with full
    /// cells; `None` where that is not above [`Self::highest_voltage`]. A charging source
    /// keeps to its voltage by itself; a brake does not.
    pub braked: Option<(PhaseId, Voltage)>,
    /// The lowest voltage of any string in any phase with empty cells.
    pub lowest_voltage: Known<(PhaseId, Voltage)>,
    /// Energy of all strings.
    pub energy: Known<Energy>,
    /// Mass of all cells.
    pub cell_mass: Known<Mass>,
}

impl PackStudy {
    /// The highest voltage that the ratings of parts are held against: that of the full
    /// battery, or what brakes drive it to.
    pub(crate) fn rated_voltage(&self) -> Known<Voltage> {
        let highest = self.highest_voltage?;
        Ok(self.braked.map_or(highest, |(_, braked)| braked))
    }
}

/// The highest voltage of a string in a phase in which a drive delivers.
fn braked(design: &Design, points: &Points, strings: &Strings) -> Option<(PhaseId, Voltage)> {
    let mut found: Option<(PhaseId, Voltage)> = None;
    for (phase, _) in design.all::<Phase>() {
        let delivers = |role| {
            design.all::<Load>().any(|(id, load)| {
                let current = points.current(phase, id).map(Current::as_amperes);
                load.role == role && current.is_some_and(|current| current < 0.0)
            })
        };
        if !delivers(Role::Drive) || delivers(Role::ChargingSource) {
            continue;
        }
        for string in 0..strings.strings.len() {
            let span = points.string(phase, string);
            let higher = |here: &Voltage| found.is_none_or(|(_, known)| *here > known);
            if let Some(here) = span.map(|span| span.highest).filter(higher) {
                found = Some((phase, here));
            }
        }
    }
    found
}

/// Sums up the strings.
pub(super) fn study_pack(
    design: &Design,
    points: &Points,
    strings: &Strings,
    studied: &[StringStudy],
) -> PackStudy {
    let some = studied
        .first()
        .ok_or(Unknown::Missing(Thing::VEHICLE, Gap::Battery));
    let mut energy = some.map(|_| 0.0);
    let mut mass = some.map(|_| 0.0);
    let mut lowest = some.and_then(|first| first.lowest);
    for string in studied {
        energy = energy.and_then(|sum| Ok(sum + string.energy?.as_joules()));
        mass = mass.and_then(|sum| Ok(sum + string.cell_mass?.as_kg()));
        lowest = lowest.and_then(|known| {
            let here = string.lowest?;
            Ok(if here.1 < known.1 { here } else { known })
        });
    }
    let refused = Unknown::refused(Thing::VEHICLE);
    let no_voltage = studied
        .iter()
        .find_map(|string| string.voltages.last()?.err())
        .unwrap_or(Unknown::Missing(Thing::VEHICLE, Gap::Battery));
    let highest_voltage = strings
        .highest_voltage(design)
        .map_err(&refused)
        .and_then(|found| found.ok_or(no_voltage));
    PackStudy {
        highest_voltage,
        braked: braked(design, points, strings)
            .filter(|(_, braked)| highest_voltage.is_ok_and(|highest| *braked > highest)),
        lowest_voltage: lowest,
        energy: energy.and_then(|joules| Energy::from_joules(joules).map_err(&refused)),
        cell_mass: mass.and_then(|kg| Mass::from_kg(kg).map_err(&refused)),
    }
}

/// The battery of a system that holds the low-voltage side up when no converter works.
pub(super) fn reserve(design: &Design) -> Known<Charge> {
    let mut coulombs = None;
    for (id, battery) in design.all::<Battery>() {
        if battery.system == System::LowVoltage {
            let capacity = known(battery.capacity(), id, Gap::CellCapacity)?;
            coulombs = Some(coulombs.unwrap_or(0.0) + capacity.as_coulombs());
        }
    }
    let coulombs = coulombs.ok_or(Unknown::Missing(Thing::VEHICLE, Gap::Battery))?;
    Charge::from_coulombs(coulombs).map_err(Unknown::refused(Thing::VEHICLE))
}
