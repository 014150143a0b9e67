//! Which batteries are in series, which strings are in parallel, and what follows.

use heapless::Vec;

use super::battery::{Battery, Charged, Resisting, System};
use super::capacity::MAX_BATTERIES;
use super::drawn::Joined;
use super::index::{BatteryId, Kind, TerminalId};
use super::load::Converter;
use super::model::Design;
use super::set::Set;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Charge, Current, Energy, Mass, Resistance, Voltage};

/// Batteries in series between two points where a battery system divides or ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct BatteryString {
    /// Its batteries.
    pub batteries: Set<BatteryId>,
    /// Negative terminal of its first battery.
    pub negative: TerminalId,
    /// Positive terminal of its last battery.
    pub positive: TerminalId,
    /// Strings with one number are in parallel.
    pub group: u8,
}

/// The strings of one system.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Strings {
    /// Every string.
    pub strings: Vec<BatteryString, MAX_BATTERIES, u8>,
    /// Batteries that form a closed ring or cannot be followed; none in a sound design.
    pub astray: Set<BatteryId>,
}

impl Design {
    /// Computes: the highest voltage of the low-voltage side: that of its fullest string or
    /// of its converter. `None` where one of them does not tell.
    pub(crate) fn low_voltage_highest(&self) -> Option<Voltage> {
        self.low_voltage_among(&self.strings(System::LowVoltage), |_| true)
    }

    /// The same of what feeds one terminal, all switches closed; of all where nothing that
    /// is drawn leads there.
    pub(crate) fn low_voltage_highest_at(&self, terminal: TerminalId) -> Option<Voltage> {
        let metal = self.metal(|_| true);
        let feeds = |positive| metal.together(positive, terminal);
        let strings = self.strings(System::LowVoltage);
        let fed = strings.strings.iter().any(|one| feeds(one.positive))
            || self
                .all::<Converter>()
                .any(|(_, converter)| feeds(converter.positive));
        self.low_voltage_among(&strings, |positive| !fed || feeds(positive))
    }

    /// Of the sources whose positive terminal is asked for.
    fn low_voltage_among(
        &self,
        strings: &Strings,
        asked: impl Fn(TerminalId) -> bool,
    ) -> Option<Voltage> {
        let full = strings.strings.iter().filter(|one| asked(one.positive));
        let full = full.map(|one| one.voltage(self, Charged::Maximum).ok().flatten());
        let outputs = self.all::<Converter>();
        let outputs = outputs.filter(|(_, converter)| asked(converter.positive));
        let outputs = outputs.map(|(_, converter)| converter.output);
        let mut highest: Option<Voltage> = None;
        for voltage in full.chain(outputs) {
            let voltage = voltage?;
            highest = match highest {
                Some(known) if known > voltage => Some(known),
                _ => Some(voltage),
            };
        }
        highest
    }

    /// Two batteries that are joined with like poles and nothing else is there: one of them is
    /// the wrong way round. With every contactor closed and every service disconnect in.
    pub(crate) fn opposed(&self, system: System) -> Option<(BatteryId, BatteryId)> {
        let metal = self.metal(|_| true);
        let batteries = || {
            self.all::<Battery>()
                .filter(|(_, battery)| battery.system == system)
        };
        let both = |one: &Battery| [one.positive, one.negative];
        let alone = |end: TerminalId, pair: [BatteryId; 2]| {
            let others = batteries().filter(|(id, _)| !pair.contains(id));
            let used = self.drawn().filter(|drawn| {
                matches!(
                    drawn.thing.kind,
                    Kind::Load | Kind::Resistor | Kind::Converter
                )
            });
            !others
                .flat_map(|(_, other)| both(other))
                .chain(used.flat_map(|drawn| [drawn.from, drawn.to]))
                .any(|terminal| metal.together(terminal, end))
        };
        batteries().find_map(|(first, one)| {
            let mut later = batteries().filter(|(id, _)| *id > first);
            later.find_map(|(second, other)| {
                let plus = metal.together(one.positive, other.positive);
                let minus = metal.together(one.negative, other.negative);
                let end = if plus { one.positive } else { one.negative };
                (plus != minus && alone(end, [first, second])).then_some((first, second))
            })
        })
    }

    /// Computes: the strings of a system, with every contactor closed and every
    /// service disconnect in.
    ///
    /// Where exactly one negative and one positive terminal of batteries meet,
    /// conductors, fuses, contactors and service disconnects counting as one
    /// piece of metal, the two are in series; anywhere else a string ends.
    /// Strings that start and end at the same two pieces of metal are in
    /// parallel. Bound: batteries squared.
    pub fn strings(&self, system: System) -> Strings {
        let metal = self.metal(|_| true);
        let of_system = || {
            self.all::<Battery>()
                .filter(move |(_, battery)| battery.system == system)
        };
        // The battery that alone goes on from where this one ends.
        let next = |end: TerminalId| {
            let mut arriving = of_system().filter(|(_, b)| metal.together(b.positive, end));
            let mut leaving = of_system().filter(|(_, b)| metal.together(b.negative, end));
            match (
                arriving.next(),
                arriving.next(),
                leaving.next(),
                leaving.next(),
            ) {
                (Some(_), None, Some(going_on), None) => Some(going_on),
                _ => None,
            }
        };
        let mut found = Strings {
            strings: Vec::new(),
            astray: of_system().map(|(id, _)| id).collect(),
        };
        for (id, first) in of_system() {
            if next(first.negative).is_some() {
                continue;
            }
            let mut string = BatteryString {
                batteries: Set::EMPTY.with(id),
                negative: first.negative,
                positive: first.positive,
                group: 0,
            };
            for _ in 0..MAX_BATTERIES {
                let Some((id, battery)) = next(string.positive) else {
                    break;
                };
                string.batteries.insert(id);
                string.positive = battery.positive;
            }
            found.take(string, &metal);
        }
        found
    }
}

impl Strings {
    /// Adds a string, in the group of those it is in parallel with.
    fn take(&mut self, mut string: BatteryString, metal: &Joined) {
        let alike = self.strings.iter().find(|other| {
            metal.together(other.negative, string.negative)
                && metal.together(other.positive, string.positive)
        });
        string.group = match alike {
            Some(other) => other.group,
            None => self.group_count(),
        };
        for id in string.batteries.iter() {
            self.astray.remove(id);
        }
        // There are as many places as batteries.
        let _ = self.strings.push(string);
    }

    /// How many groups of parallel strings there are.
    pub fn group_count(&self) -> u8 {
        let highest = self.strings.iter().map(|string| string.group).max();
        highest.map_or(0, |group| group.saturating_add(1))
    }

    /// The strings of one group.
    pub fn group(&self, group: u8) -> impl Iterator<Item = &BatteryString> {
        self.strings
            .iter()
            .filter(move |string| string.group == group)
    }

    /// Computes: voltage of a group without load: of the fullest string for the
    /// maximum, of the emptiest for the others. `None` when that of a battery is
    /// not known, or there is no such group.
    ///
    /// # Errors
    /// Those of [`BatteryString::voltage`].
    pub fn group_voltage(
        &self,
        design: &Design,
        group: u8,
        charged: Charged,
    ) -> Result<Option<Voltage>, Error> {
        let mut worst: Option<Voltage> = None;
        for string in self.group(group) {
            let Some(voltage) = string.voltage(design, charged)? else {
                return Ok(None);
            };
            worst = Some(match worst {
                Some(known) if (charged == Charged::Maximum) == (known > voltage) => known,
                _ => voltage,
            });
        }
        Ok(worst)
    }

    /// Computes: resistance of a group: that of its strings in parallel, cables left
    /// out. `None` when that of a battery is not known, or there is no such group.
    ///
    /// # Errors
    /// Those of [`BatteryString::resistance`].
    pub fn group_resistance(
        &self,
        design: &Design,
        group: u8,
        resisting: Resisting,
    ) -> Result<Option<Resistance>, Error> {
        let mut conductance = 0.0;
        for string in self.group(group) {
            let Some(resistance) = string.resistance(design, resisting)? else {
                return Ok(None);
            };
            conductance += 1.0 / resistance.as_ohms();
        }
        if conductance > 0.0 {
            Resistance::from_ohms(1.0 / conductance).map(Some)
        } else {
            Ok(None)
        }
    }

    /// Computes: the highest voltage without load of any group: what parts have to
    /// be rated for. The stated tolerance of the charging voltage is added.
    ///
    /// # Errors
    /// Those of [`Self::group_voltage`].
    pub fn highest_voltage(&self, design: &Design) -> Result<Option<Voltage>, Error> {
        let mut highest = None;
        for group in 0..self.group_count() {
            let Some(voltage) = self.group_voltage(design, group, Charged::Maximum)? else {
                return Ok(None);
            };
            if highest.is_none_or(|known| voltage > known) {
                highest = Some(voltage);
            }
        }
        let factor = design.vehicle.charging();
        highest
            .map(|voltage| Voltage::from_volts(voltage.as_volts() * factor))
            .transpose()
    }
}

/// Sums what each battery of a string gives; `None` as soon as one gives nothing.
fn sum(
    string: &BatteryString,
    design: &Design,
    of: impl Fn(&Battery) -> Result<Option<f32>, Error>,
) -> Result<Option<f32>, Error> {
    let mut total = 0.0;
    for id in string.batteries.iter() {
        let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
        let battery = design.get(id).ok_or(unknown)?;
        match of(battery)? {
            Some(part) => total += part,
            None => return Ok(None),
        }
    }
    Ok(Some(total))
}

/// The least of what the batteries of a string give; `None` as soon as one gives nothing.
fn least(
    string: &BatteryString,
    design: &Design,
    of: impl Fn(&Battery) -> Result<Option<f32>, Error>,
) -> Result<Option<f32>, Error> {
    let mut least = f32::INFINITY;
    for id in string.batteries.iter() {
        let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
        let battery = design.get(id).ok_or(unknown)?;
        match of(battery)? {
            Some(part) => least = libm::fminf(least, part),
            None => return Ok(None),
        }
    }
    Ok(least.is_finite().then_some(least))
}

impl BatteryString {
    /// Computes: voltage without load, the sum over its batteries.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownReference`] for a string of another design;
    /// [`Error::OutOfRange`] beyond the bounds.
    pub fn voltage(&self, design: &Design, charged: Charged) -> Result<Option<Voltage>, Error> {
        let volts = sum(self, design, |b| {
            Ok(b.voltage(charged)?.map(Voltage::as_volts))
        })?;
        volts.map(Voltage::from_volts).transpose()
    }

    /// Computes: resistance, the sum over its batteries, cables left out.
    ///
    /// # Errors
    /// As [`Self::voltage`].
    pub fn resistance(
        &self,
        design: &Design,
        resisting: Resisting,
    ) -> Result<Option<Resistance>, Error> {
        let ohms = sum(self, design, |b| {
            Ok(b.resistance(resisting)?.map(Resistance::as_ohms))
        })?;
        ohms.map(Resistance::from_ohms).transpose()
    }

    /// Computes: capacity, that of its smallest battery.
    ///
    /// # Errors
    /// As [`Self::voltage`].
    pub fn capacity(&self, design: &Design) -> Result<Option<Charge>, Error> {
        let coulombs = least(self, design, |b| Ok(b.capacity()?.map(Charge::as_coulombs)))?;
        coulombs.map(Charge::from_coulombs).transpose()
    }

    /// Computes: energy from full to empty, the sum over its batteries.
    ///
    /// # Errors
    /// As [`Self::voltage`].
    pub fn energy(&self, design: &Design) -> Result<Option<Energy>, Error> {
        let joules = sum(self, design, |b| Ok(b.energy()?.map(Energy::as_joules)))?;
        joules.map(Energy::from_joules).transpose()
    }

    /// Computes: mass of its cells.
    ///
    /// # Errors
    /// As [`Self::voltage`].
    pub fn cell_mass(&self, design: &Design) -> Result<Option<Mass>, Error> {
        let kg = sum(self, design, |b| Ok(b.cell_mass()?.map(Mass::as_kg)))?;
        kg.map(Mass::from_kg).transpose()
    }

    /// Computes: the largest current that its weakest battery allows.
    ///
    /// # Errors
    /// As [`Self::voltage`].
    pub fn current_limit(&self, design: &Design, charging: bool) -> Result<Option<Current>, Error> {
        let amperes = least(self, design, |b| {
            Ok(b.current_limit(charging)?.map(Current::as_amperes))
        })?;
        amperes.map(Current::from_amperes).transpose()
    }
}
