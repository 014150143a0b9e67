//! Conductors and the way they run.

use super::battery::Resisting;
use super::finding::Gap;
use super::index::{
    CableTypeId, GlandTypeId, LugTypeId, RoutePieceId, TerminalId, TextId, TubeId, ZoneId,
};
use super::model::Design;
use crate::conductor::installation::{InTube, Installation, Routing, Tube};
use crate::error::{Error, Inconsistency};
use crate::quantity::{Length, Resistance, Temperature};
use crate::shield::CircuitNoise;

/// A tube or sleeve of known size that routes refer to.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct TubeEntry {
    /// What it is called.
    pub name: TextId,
    /// Its size and material.
    pub tube: Tube,
}

/// What is around a piece of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Laid {
    /// Alone in free air.
    FreeAir,
    /// Outgoing and return conductor side by side, touching.
    TouchingPair,
    /// Touching a panel or frame.
    AgainstPanel,
    /// In a tube or sleeve; without its size a safe rule is used.
    InTube(InTube, Option<TubeId>),
}

/// A piece of a route in one climate and one installation.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct RoutePiece {
    /// Where.
    pub zone: ZoneId,
    /// How long; `None` while it has not been measured.
    pub length: Option<Length>,
    /// What is around it; `None` while nobody says.
    pub laid: Option<Laid>,
    /// Loaded circuits in the bundle, this one included; `None` while nobody says, which
    /// is no more than one only for what is laid alone.
    pub circuits: Option<u8>,
}

/// Which pieces a route consists of: a run in the table of all pieces.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Route {
    pub(super) first: u8,
    pub(super) pieces: u8,
    /// Whether it runs through them from the last to the first.
    pub(super) backwards: bool,
}

impl Route {
    /// No piece: where the conductor runs is not known.
    pub const UNKNOWN: Self = Self {
        first: 0,
        pieces: 0,
        backwards: false,
    };

    /// The same way from its other end: that of the return conductor of a circuit.
    #[must_use]
    pub const fn turned_round(self) -> Self {
        Self {
            // One piece is the same from both ends.
            backwards: self.pieces > 1 && !self.backwards,
            ..self
        }
    }

    /// Whether two conductors run through the same pieces, from whichever end.
    #[cfg(feature = "text")] // for who makes limits
    pub(crate) fn is_along(self, other: Self) -> bool {
        self == other || self == other.turned_round()
    }

    /// The numbers of its pieces, in order.
    pub fn pieces(self) -> impl Iterator<Item = RoutePieceId> {
        use super::index::Index;
        let (first, count) = (usize::from(self.first), usize::from(self.pieces));
        (0..count).filter_map(move |at| {
            let at = if self.backwards { count - 1 - at } else { at };
            RoutePieceId::at(first + at)
        })
    }

    /// How many pieces it has.
    pub const fn piece_count(self) -> usize {
        self.pieces as usize
    }
}

/// How a shield ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum ShieldEnd {
    /// All round, in a shield gland or clamp.
    Round,
    /// Through a twisted tail of this length.
    Pigtail(Length),
    /// Cut off and insulated.
    NotConnected,
}

/// One end of a conductor.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct End {
    /// The lug.
    pub lug: Option<LugTypeId>,
    /// The gland it goes through.
    pub gland: Option<GlandTypeId>,
    /// Resistance of crimp and bolted face together.
    pub joint: Option<Resistance>,
    /// How the shield ends.
    pub shield: Option<ShieldEnd>,
}

/// A conductor from one terminal to another.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Conductor {
    /// The id printed at both ends.
    pub circuit: TextId,
    /// Where it starts.
    pub from: TerminalId,
    /// Where it ends.
    pub to: TerminalId,
    /// What it is made of.
    pub cable: Option<CableTypeId>,
    /// Where it runs.
    pub route: Route,
    /// What is at its start and at its end.
    pub ends: [End; 2],
    /// Whether switching devices drive current through it.
    pub noise: Option<CircuitNoise>,
    /// Shortest distance to low-voltage wiring that runs alongside.
    pub low_voltage_distance: Option<Length>,
}

impl Conductor {
    /// Whether it lies between these two terminals, either way round.
    pub(crate) fn is_between(&self, ends: [TerminalId; 2]) -> bool {
        let [one, other] = ends;
        [self.from, self.to] == ends || [self.from, self.to] == [other, one]
    }

    /// A conductor of which only the ends are known.
    pub fn new(circuit: TextId, [from, to]: [TerminalId; 2]) -> Self {
        Self {
            circuit,
            from,
            to,
            cable: None,
            route: Route::UNKNOWN,
            ends: [End::default(); 2],
            noise: None,
            low_voltage_distance: None,
        }
    }
}

impl Design {
    /// Computes: length of a conductor, the sum over its route. `None` while a
    /// piece has not been measured or there is none.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownReference`] for a route of another design;
    /// [`Error::OutOfRange`] beyond the bounds of a length.
    pub fn length(&self, conductor: &Conductor) -> Result<Option<Length>, Error> {
        let mut metres = 0.0;
        for piece in conductor.route.pieces() {
            match self.get(piece).ok_or(UNKNOWN)?.length {
                Some(length) => metres += length.as_metres(),
                None => return Ok(None),
            }
        }
        if conductor.route.piece_count() == 0 {
            return Ok(None);
        }
        Length::from_metres(metres).map(Some)
    }

    /// Computes: resistance of a conductor from stud to stud, at one temperature
    /// along its whole length.
    ///
    /// Equation: length x resistance per metre, and with the highest resistance
    /// the stated joints. What is missing comes back in the inner result.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownReference`]; those of [`super::CableType::resistance_at`].
    pub fn conductor_resistance(
        &self,
        conductor: &Conductor,
        resisting: Resisting,
        temperature: Temperature,
    ) -> Result<Result<Resistance, Gap>, Error> {
        let Some(cable) = conductor.cable else {
            return Ok(Err(Gap::CableType));
        };
        let cable = self.get(cable).ok_or(UNKNOWN)?;
        let Some(length) = self.length(conductor)? else {
            return Ok(Err(Gap::RouteLength));
        };
        let per_metre = cable.resistance_at(resisting, temperature)?;
        let joints: f32 = match resisting {
            Resisting::Lowest => 0.0,
            Resisting::Highest => {
                let stated = conductor.ends.iter().filter_map(|end| end.joint);
                stated.map(Resistance::as_ohms).sum()
            }
        };
        let ohms = length.as_metres() * per_metre.as_ohm_per_m() + joints;
        Resistance::from_ohms(ohms).map(Ok)
    }
}

const UNKNOWN: Error = Error::Inconsistent(Inconsistency::UnknownReference);

impl RoutePiece {
    /// The installation as the heat balance wants it, or what is missing for it.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownReference`] for a tube that the design does not have.
    pub fn routing(&self, design: &Design) -> Result<Result<Routing, Gap>, Error> {
        let (laid, circuits) = match self.stated() {
            Ok(stated) => stated,
            Err(gap) => return Ok(Err(gap)),
        };
        let installation = match laid {
            Laid::FreeAir => Installation::FreeAir,
            Laid::TouchingPair => Installation::TouchingPair,
            Laid::AgainstPanel => Installation::AgainstPanel,
            Laid::InTube(fill, None) => Installation::ClosedTube(fill, None),
            Laid::InTube(fill, Some(tube)) => {
                let entry = design.get(tube).ok_or(UNKNOWN)?;
                Installation::ClosedTube(fill, Some(entry.tube))
            }
        };
        Ok(Ok(Routing {
            installation,
            circuits,
        }))
    }

    /// How it is laid and with how many loaded circuits, or what is missing of that. What is
    /// laid in free air is alone where nothing else is said.
    pub(crate) fn stated(&self) -> Result<(Laid, u8), Gap> {
        match (self.laid, self.circuits) {
            (None, _) => Err(Gap::Laid),
            (Some(laid), Some(circuits)) => Ok((laid, circuits)),
            (Some(laid @ Laid::FreeAir), None) => Ok((laid, 1)),
            (Some(_), None) => Err(Gap::Bundle),
        }
    }
}
