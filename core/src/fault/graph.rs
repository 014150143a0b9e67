//! The network that feeds a fault, at one end of all ranges.

use core::f32::consts::PI;

use heapless::Vec;

use super::place::{Sites, is_closed};
use crate::conductor::installation::InTube;
use crate::design::{
    Battery, Charged, Conductor, Contactor, Design, Fuse, Gap, Guess, Index, Laid, Load, LoadId,
    MAX_LOADS, Phase, PhaseId, Resisting, ServiceDisconnect, TerminalId, Thing,
};
use crate::error::{Capacity, Error, Inconsistency};
use crate::network::MAX_BRANCHES;
use crate::quantity::{Capacitance, ConductorArea, Inductance, Length, Resistance, Temperature};

/// Which end of all ranges a fault is computed at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a range has two ends
pub enum Extreme {
    /// Largest current: full cells with the stated charging tolerance, lowest
    /// resistances, conductors at the coldest air of their route.
    Largest,
    /// Smallest current: empty cells, highest resistances, conductors at their
    /// temperature class.
    Smallest,
}

/// Conductors where the coldest air is not stated: lowest that vehicles are used in
/// (own choice).
pub const COLDEST: Temperature = constant!(Temperature::from_degc(-40.0));

/// Conductors whose temperature class is not known: above every class of the trade's
/// cables but silicone (own choice).
pub const HOTTEST: Temperature = constant!(Temperature::from_degc(150.0));

/// Distance between the axes of outgoing and return conductor where they do not run
/// together (own choice: two rails of a frame). Twice the distance is a fifth more
/// inductance.
pub const APART: Length = constant!(Length::from_mm(300.0));

/// What a closed contact has where nothing is stated, so that equal contacts in
/// parallel share alike. A ten-thousandth of a battery's resistance.
const CONTACT_OHMS: f32 = 1.0e-6;

/// Magnetic constant over two pi, H/m.
const MU0_OVER_2PI: f32 = 2.0e-7;

/// Computes: inductance of one of two parallel round conductors that carry the same
/// current there and back.
///
/// Equation: L = length x mu0 / (2 pi) (ln(2 a / d) + 1/4), a the distance of the axes,
/// d the diameter of a solid conductor of this section; 1/4 is the field inside the
/// metal. The loop has twice that. Inputs: metal section, distance of the axes (below d
/// counts as d), length. Source: handbooks of electrical engineering (from memory).
/// Valid far from iron; a steel panel behind the pair adds some tens of per cent.
///
/// # Errors
/// [`Error::OutOfRange`] beyond the bounds of an inductance.
pub fn pair_inductance(
    section: ConductorArea,
    distance: Length,
    length: Length,
) -> Result<Inductance, Error> {
    let diameter = 2.0 * libm::sqrtf(section.as_m2() / PI);
    let ratio = libm::fmaxf(distance.as_metres() / diameter, 1.0);
    let per_metre = MU0_OVER_2PI * (libm::logf(2.0 * ratio) + 0.25);
    Inductance::from_henries(length.as_metres() * per_metre)
}

/// A branch that can carry fault current. A current is positive from its first end to
/// its second, as everywhere in [`crate::design`].
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(super) struct Edge {
    pub(super) thing: Thing,
    pub(super) from: TerminalId,
    pub(super) to: TerminalId,
    pub(super) ohms: f32,
    pub(super) volts: f32,
    pub(super) henries: f32,
}

/// A capacitor between the terminals of a load.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(super) struct Link {
    pub(super) load: LoadId,
    pub(super) from: TerminalId,
    pub(super) to: TerminalId,
    pub(super) farads: f32,
}

/// Most of what is not known that is listed one by one.
pub const MAX_FAULT_GAPS: usize = 8;

/// Everything that carries fault current in one phase.
///
/// Left out, because they give little beside a battery: loads, charging sources,
/// converters and resistors (bleed, precharge).
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(super) struct Graph {
    pub(super) edges: Vec<Edge, MAX_BRANCHES>,
    pub(super) links: Vec<Link, MAX_LOADS>,
    pub(super) guesses: Vec<Guess, MAX_BRANCHES>,
}

const UNKNOWN: Error = Error::Inconsistent(Inconsistency::UnknownReference);

impl Graph {
    pub(super) const fn empty() -> Self {
        Self {
            edges: Vec::new(),
            links: Vec::new(),
            guesses: Vec::new(),
        }
    }

    pub(super) fn build(
        design: &Design,
        sites: &Sites,
        phase: PhaseId,
        extreme: Extreme,
    ) -> Result<Self, Error> {
        let mut graph = Self::empty();
        let phase = design.get(phase).ok_or(UNKNOWN)?;
        graph.batteries(design, sites, extreme)?;
        graph.conductors(design, sites, extreme)?;
        graph.contacts(design, sites, phase, extreme)?;
        for (id, load) in design.all::<Load>() {
            let farads = load.link.map_or(0.0, Capacitance::as_farads);
            if farads > 0.0 && sites.is_traction(load.positive) {
                let link = Link {
                    load: id,
                    from: load.negative,
                    to: load.positive,
                    farads,
                };
                // As many places as loads.
                let _ = graph.links.push(link);
            }
        }
        Ok(graph)
    }

    /// Whether another one has the same things between the same terminals.
    pub(super) fn is_drawn_as(&self, other: &Self) -> bool {
        let drawn = |edge: &Edge| (edge.thing, edge.from, edge.to);
        self.edges
            .iter()
            .map(drawn)
            .eq(other.edges.iter().map(drawn))
    }

    fn push(&mut self, edge: Edge) -> Result<(), Error> {
        let full = Error::Capacity(Capacity::NetworkBranches);
        self.edges.push(edge).map_err(|_| full)
    }

    fn guess(&mut self, thing: impl Into<Thing>, gap: Gap) {
        let thing = thing.into();
        // Beyond the limit the first ones tell.
        let _ = self.guesses.push(Guess { thing, gap });
    }

    fn batteries(&mut self, design: &Design, sites: &Sites, extreme: Extreme) -> Result<(), Error> {
        let (charged, resisting) = match extreme {
            Extreme::Largest => (Charged::Maximum, Resisting::Lowest),
            Extreme::Smallest => (Charged::Minimum, Resisting::Highest),
        };
        let factor = match extreme {
            Extreme::Largest => design.vehicle.charging(),
            Extreme::Smallest => 1.0,
        };
        for (id, battery) in design.all::<Battery>() {
            if !sites.is_traction(battery.positive) {
                continue;
            }
            let volts = battery.voltage(charged)?;
            let ohms = battery.resistance(resisting)?;
            if volts.is_none() {
                self.guess(id, Gap::CellVoltage);
            }
            if ohms.is_none() {
                self.guess(id, Gap::CellResistance);
            } else if battery.lacks_links(resisting) {
                self.guess(id, Gap::Links);
            }
            if battery.inductance.is_none() {
                self.guess(id, Gap::BatteryInductance);
            }
            // Without voltage or resistance no current can be told; it is left out and
            // every fault that it could feed says so.
            let (Some(volts), Some(ohms)) = (volts, ohms) else {
                continue;
            };
            self.push(Edge {
                thing: id.into(),
                from: battery.negative,
                to: battery.positive,
                ohms: libm::fmaxf(ohms.as_ohms(), CONTACT_OHMS),
                volts: volts.as_volts() * factor,
                henries: battery.inductance.map_or(0.0, Inductance::as_henries),
            })?;
        }
        Ok(())
    }

    fn conductors(
        &mut self,
        design: &Design,
        sites: &Sites,
        extreme: Extreme,
    ) -> Result<(), Error> {
        for (id, conductor) in design.all::<Conductor>() {
            if !sites.is_traction(conductor.from) {
                continue;
            }
            let (temperature, resisting) = match extreme {
                Extreme::Largest => (coldest(design, conductor)?, Resisting::Lowest),
                Extreme::Smallest => (hottest(design, conductor)?, Resisting::Highest),
            };
            let ohms = match design.conductor_resistance(conductor, resisting, temperature)? {
                Ok(resistance) => resistance.as_ohms(),
                Err(gap) => {
                    self.guess(id, gap);
                    0.0
                }
            };
            self.push(Edge {
                thing: id.into(),
                from: conductor.from,
                to: conductor.to,
                ohms: libm::fmaxf(ohms, CONTACT_OHMS),
                volts: 0.0,
                henries: inductance(design, conductor)?,
            })?;
        }
        Ok(())
    }

    fn contacts(
        &mut self,
        design: &Design,
        sites: &Sites,
        phase: &Phase,
        extreme: Extreme,
    ) -> Result<(), Error> {
        let contact = |thing, [from, to]: [TerminalId; 2], stated: Option<Resistance>| Edge {
            thing,
            from,
            to,
            ohms: match extreme {
                Extreme::Largest => CONTACT_OHMS,
                Extreme::Smallest => {
                    libm::fmaxf(stated.map_or(0.0, Resistance::as_ohms), CONTACT_OHMS)
                }
            },
            volts: 0.0,
            henries: 0.0,
        };
        for (id, fuse) in design.all::<Fuse>() {
            if sites.is_traction(fuse.from) {
                let part = fuse.part.and_then(|part| design.get(part));
                let stated = part.and_then(|part| part.resistance);
                self.push(contact(id.into(), [fuse.from, fuse.to], stated))?;
            }
        }
        for (id, contactor) in design.all::<Contactor>() {
            let thing = Thing::from(id);
            if sites.is_traction(contactor.from) && is_closed(design, phase, thing) {
                let part = contactor.part.and_then(|part| design.get(part));
                let stated = part.and_then(|part| part.resistance);
                self.push(contact(thing, [contactor.from, contactor.to], stated))?;
            }
        }
        for (id, disconnect) in design.all::<ServiceDisconnect>() {
            let thing = Thing::from(id);
            if sites.is_traction(disconnect.from) && is_closed(design, phase, thing) {
                let ends = [disconnect.from, disconnect.to];
                self.push(contact(thing, ends, disconnect.resistance))?;
            }
        }
        Ok(())
    }

    /// The voltage of one terminal over another by the first way that leads there, no
    /// current flowing. Bound: terminals times branches.
    pub(super) fn at_rest(&self, from: TerminalId, to: TerminalId) -> Option<f32> {
        let mut potential = [None; crate::design::MAX_TERMINALS];
        *potential.get_mut(from.position())? = Some(0.0_f32);
        for _ in 0..self.edges.len() {
            let mut grew = false;
            for edge in &self.edges {
                let known = |id: TerminalId| potential.get(id.position()).copied().flatten();
                let (place, volts) = match (known(edge.from), known(edge.to)) {
                    (Some(volts), None) => (edge.to, volts + edge.volts),
                    (None, Some(volts)) => (edge.from, volts - edge.volts),
                    _ => continue,
                };
                if let Some(entry) = potential.get_mut(place.position()) {
                    *entry = Some(volts);
                    grew = true;
                }
            }
            if !grew {
                break;
            }
        }
        potential.get(to.position()).copied().flatten()
    }
}

/// The coldest air along a route.
pub(crate) fn coldest(design: &Design, conductor: &Conductor) -> Result<Temperature, Error> {
    let mut coldest: Option<Temperature> = None;
    for piece in conductor.route.pieces() {
        let zone = design.get(piece).ok_or(UNKNOWN)?.zone;
        let Some(air) = design.get(zone).ok_or(UNKNOWN)?.coldest else {
            return Ok(COLDEST);
        };
        if coldest.is_none_or(|known| air < known) {
            coldest = Some(air);
        }
    }
    Ok(coldest.unwrap_or(COLDEST))
}

/// The temperature class of the cable.
fn hottest(design: &Design, conductor: &Conductor) -> Result<Temperature, Error> {
    let Some(cable) = conductor.cable else {
        return Ok(HOTTEST);
    };
    let cable = design.get(cable).ok_or(UNKNOWN)?;
    Ok(cable.temperature_class.unwrap_or(HOTTEST))
}

/// Inductance of a conductor, piece by piece; zero where cable or length is not known,
/// which its resistance has said already.
fn inductance(design: &Design, conductor: &Conductor) -> Result<f32, Error> {
    let Some(cable) = conductor.cable else {
        return Ok(0.0);
    };
    let cable = design.get(cable).ok_or(UNKNOWN)?;
    let section = cable.conductor.section;
    let mut henries = 0.0;
    for piece in conductor.route.pieces() {
        let piece = design.get(piece).ok_or(UNKNOWN)?;
        let distance = match piece.laid {
            Some(Laid::TouchingPair | Laid::InTube(InTube::Pair, _)) => {
                match cable.outer_diameter {
                    Some(diameter) => diameter,
                    None => cable.cable()?.outer_diameter(),
                }
            }
            // What nobody says counts as far apart: most inductance, longest arc.
            None | Some(Laid::FreeAir | Laid::AgainstPanel | Laid::InTube(InTube::One, _)) => APART,
        };
        if let Some(length) = piece.length {
            henries += pair_inductance(section, distance, length)?.as_henries();
        }
    }
    Ok(henries)
}
