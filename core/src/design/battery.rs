//! Batteries: cells in series and parallel between two terminals.

use super::index::{EnclosureId, TerminalId, TextId};
use crate::error::Error;
use crate::quantity::{Charge, Current, Energy, Inductance, Mass, Resistance, Share, Voltage};

/// Which of the two networks a battery feeds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a vehicle has these two
pub enum System {
    /// The traction battery's.
    Traction,
    /// The low-voltage supply's, 12 or 24 V.
    LowVoltage,
}

/// A resistance known within a range.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_enums)] // two ways to state a range
pub enum ResistanceRange {
    /// New, warm and full against aged, cold and empty.
    Between {
        /// Lowest.
        least: Resistance,
        /// Highest.
        most: Resistance,
    },
    /// One value, that may be off by this share either way.
    About {
        /// The value.
        value: Resistance,
        /// The share.
        spread: Share,
    },
}

impl ResistanceRange {
    /// The lowest resistance.
    ///
    /// # Errors
    /// None in practice: it is not above the stated value.
    pub fn least(self) -> Result<Resistance, Error> {
        match self {
            Self::Between { least, .. } => Ok(least),
            Self::About { value, spread } => {
                Resistance::from_ohms(value.as_ohms() * (1.0 - spread.as_fraction()))
            }
        }
    }

    /// The highest resistance.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] when value and spread together exceed the bound.
    pub fn most(self) -> Result<Resistance, Error> {
        match self {
            Self::Between { most, .. } => Ok(most),
            Self::About { value, spread } => {
                Resistance::from_ohms(value.as_ohms() * (1.0 + spread.as_fraction()))
            }
        }
    }
}

/// One cell, from its datasheet.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Cell {
    /// Lowest voltage it is discharged to, without load.
    pub minimum: Option<Voltage>,
    /// Nominal voltage.
    pub nominal: Option<Voltage>,
    /// Highest voltage it is charged to.
    pub maximum: Option<Voltage>,
    /// Resistance for a load of some seconds; that at 1 kHz is too low by a third
    /// to a half.
    pub resistance: Option<ResistanceRange>,
    /// Capacity.
    pub capacity: Option<Charge>,
    /// Mass.
    pub mass: Option<Mass>,
    /// Largest discharge current.
    pub discharge_limit: Option<Current>,
    /// Largest charge current.
    pub charge_limit: Option<Current>,
}

/// A battery, or the part of one that lies between two terminals.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Battery {
    /// What it is called.
    pub name: TextId,
    /// Which network it feeds.
    pub system: System,
    /// Its negative terminal.
    pub negative: TerminalId,
    /// Its positive terminal.
    pub positive: TerminalId,
    /// The box it is in.
    pub enclosure: Option<EnclosureId>,
    /// Chemistry, to tell unlike strings apart.
    pub chemistry: Option<TextId>,
    /// Cells, or groups of parallel cells, in series.
    pub in_series: u16,
    /// Cells in parallel in each group.
    pub in_parallel: u16,
    /// The cell.
    pub cell: Cell,
    /// Resistance of all links between the cells together.
    pub links: Option<Resistance>,
    /// The least that the links have, from the drawing of the pack or a measurement. Zero
    /// where nothing is stated, which makes the largest fault current larger.
    pub links_least: Option<Resistance>,
    /// Inductance from terminal to terminal.
    pub inductance: Option<Inductance>,
}

/// A voltage at the three states that a battery is judged in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a cell has these three
pub enum Charged {
    /// Empty.
    Minimum,
    /// Nominal.
    Nominal,
    /// Full.
    Maximum,
}

impl Charged {
    /// All three.
    pub const ALL: [Self; 3] = [Self::Minimum, Self::Nominal, Self::Maximum];
}

/// Which end of its range each resistance has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a range has two ends
pub enum Resisting {
    /// Lowest: largest fault current.
    Lowest,
    /// Highest: most heat, most drop, slowest fuse.
    Highest,
}

impl Cell {
    /// Its voltage in one state.
    pub const fn voltage(&self, charged: Charged) -> Option<Voltage> {
        match charged {
            Charged::Minimum => self.minimum,
            Charged::Nominal => self.nominal,
            Charged::Maximum => self.maximum,
        }
    }
}

impl Battery {
    /// A battery of which only place and cell counts are known.
    pub const fn new(
        name: TextId,
        system: System,
        [negative, positive]: [TerminalId; 2],
        [in_series, in_parallel]: [u16; 2],
        cell: Cell,
    ) -> Self {
        Self {
            name,
            system,
            negative,
            positive,
            enclosure: None,
            chemistry: None,
            in_series,
            in_parallel,
            cell,
            links: None,
            links_least: None,
            inductance: None,
        }
    }

    /// Computes: voltage between the terminals without load.
    ///
    /// Equation: cells in series x cell voltage. `None` when the cell's voltage is
    /// not known.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a voltage.
    pub fn voltage(&self, charged: Charged) -> Result<Option<Voltage>, Error> {
        let series = f32::from(self.in_series);
        self.cell
            .voltage(charged)
            .map(|cell| Voltage::from_volts(series * cell.as_volts()))
            .transpose()
    }

    /// Computes: resistance between the terminals.
    ///
    /// Equation: cells in series x cell resistance / cells in parallel + links.
    /// Links that are not stated count as zero; for the lowest resistance those that
    /// are stated do as well, unless their least is. `None` when the cell's resistance is not known or there is
    /// no cell.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a resistance.
    pub fn resistance(&self, resisting: Resisting) -> Result<Option<Resistance>, Error> {
        let Some(range) = self.cell.resistance else {
            return Ok(None);
        };
        if self.in_series == 0 || self.in_parallel == 0 {
            return Ok(None);
        }
        let (cell, links) = match resisting {
            Resisting::Lowest => (range.least()?, self.links_least),
            Resisting::Highest => (range.most()?, self.links),
        };
        let links = links.map_or(0.0, Resistance::as_ohms);
        let groups = f32::from(self.in_series) / f32::from(self.in_parallel);
        Resistance::from_ohms(groups * cell.as_ohms() + links).map(Some)
    }

    /// Whether the most of its resistance is a guess, because nobody states its links. Those of
    /// the low-voltage side decide nothing.
    pub(crate) fn lacks_links(&self, resisting: Resisting) -> bool {
        let most = resisting == Resisting::Highest && self.system == System::Traction;
        most && self.links.is_none()
    }

    /// Computes: charge from full to empty: cells in parallel x cell capacity.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a charge.
    pub fn capacity(&self) -> Result<Option<Charge>, Error> {
        let parallel = f32::from(self.in_parallel);
        self.cell
            .capacity
            .map(|cell| Charge::from_coulombs(parallel * cell.as_coulombs()))
            .transpose()
    }

    /// Computes: energy from full to empty: capacity x nominal voltage.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of an energy.
    pub fn energy(&self) -> Result<Option<Energy>, Error> {
        let (Some(capacity), Some(voltage)) = (self.capacity()?, self.voltage(Charged::Nominal)?)
        else {
            return Ok(None);
        };
        Energy::from_joules(capacity.as_coulombs() * voltage.as_volts()).map(Some)
    }

    /// Computes: mass of the cells alone.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a mass.
    pub fn cell_mass(&self) -> Result<Option<Mass>, Error> {
        let cells = f32::from(self.in_series) * f32::from(self.in_parallel);
        self.cell
            .mass
            .map(|cell| Mass::from_kg(cells * cell.as_kg()))
            .transpose()
    }

    /// Computes: the largest current that its cells allow, by direction:
    /// cells in parallel x the cell's limit.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a current.
    pub fn current_limit(&self, charging: bool) -> Result<Option<Current>, Error> {
        let limit = if charging {
            self.cell.charge_limit
        } else {
            self.cell.discharge_limit
        };
        let parallel = f32::from(self.in_parallel);
        limit
            .map(|cell| Current::from_amperes(parallel * cell.as_amperes()))
            .transpose()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::Index;

    /// The pack of demonstration A: 96 x 2 cells of 3.0/3.7/4.2 V, 60 Ah, 0.9 mohm,
    /// eight links; its figures are 288/355.2/403.2 V, 42.6 kWh, 51 mohm with links
    /// of about 1 mohm.
    fn pack() -> Battery {
        let volts = |v| Some(Voltage::from_volts(v).unwrap());
        let ohms = |r| Resistance::from_ohms(r).unwrap();
        let cell = Cell {
            minimum: volts(3.0),
            nominal: volts(3.7),
            maximum: volts(4.2),
            resistance: Some(ResistanceRange::About {
                value: ohms(0.9e-3),
                spread: Share::from_percent(10.0).unwrap(),
            }),
            capacity: Some(Charge::from_ampere_hours(60.0).unwrap()),
            mass: Some(Mass::from_kg(1.2).unwrap()),
            discharge_limit: None,
            charge_limit: Some(Current::from_amperes(90.0).unwrap()),
        };
        let ends = [0, 1].map(|end| TerminalId::at(end).unwrap());
        let name = TextId::at(0).unwrap();
        Battery {
            links: Some(ohms(8.0e-3)),
            ..Battery::new(name, System::Traction, ends, [96, 2], cell)
        }
    }

    #[test]
    fn a_pack_has_the_figures_of_its_cells() {
        let pack = pack();
        for (charged, volts) in Charged::ALL.into_iter().zip([288.0, 355.2, 403.2]) {
            let computed = pack.voltage(charged).unwrap().unwrap().as_volts();
            assert!((computed - volts).abs() < 1e-3, "{computed}");
        }
        let kwh = pack.energy().unwrap().unwrap().as_joules() / 3.6e6;
        assert!((kwh - 42.624).abs() < 1e-3, "{kwh}");
        let ohms = |resisting| pack.resistance(resisting).unwrap().unwrap().as_ohms();
        // 48 x 0.81 mohm; 48 x 0.99 mohm + 8 mohm.
        assert!((ohms(Resisting::Lowest) - 0.03888).abs() < 1e-6);
        assert!((ohms(Resisting::Highest) - 0.05552).abs() < 1e-6);
        let kg = pack.cell_mass().unwrap().unwrap().as_kg();
        assert!((kg - 230.4).abs() < 1e-3, "{kg}");
        let limit = pack.current_limit(true).unwrap().unwrap().as_amperes();
        assert!((limit - 180.0).abs() < f32::EPSILON, "{limit}");
        assert_eq!(pack.current_limit(false), Ok(None));
    }

    #[test]
    fn what_is_not_known_stays_unknown() {
        let bare = Battery {
            cell: Cell::default(),
            ..pack()
        };
        assert_eq!(bare.voltage(Charged::Maximum), Ok(None));
        assert_eq!(bare.resistance(Resisting::Highest), Ok(None));
        assert_eq!(bare.energy(), Ok(None));
        assert_eq!(bare.cell_mass(), Ok(None));
    }

    #[test]
    fn no_cell_in_parallel_is_no_resistance_rather_than_an_infinite_one() {
        let empty = Battery {
            in_parallel: 0,
            ..pack()
        };
        assert_eq!(empty.resistance(Resisting::Highest), Ok(None));
    }
}
