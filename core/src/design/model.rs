//! The design itself: lists of entries, filled by adding, read by number or name.

use heapless::Vec;

use super::battery::Battery;
#[allow(clippy::wildcard_imports)] // the list of entries names nearly every capacity
use super::capacity::*;
use super::conductor::{Conductor, Route, RoutePiece, TubeEntry};
use super::controller::Controller;
use super::device::{Contactor, Fuse, Resistor, ServiceDisconnect};
use super::evidence::{Attestation, Reading, Signature};
#[allow(clippy::wildcard_imports)] // and every id
use super::index::*;
use super::load::{Converter, Load};
use super::operation::{Duty, Phase, PhaseDraw};
use super::part_cable::CableType;
use super::part_contactor::ContactorType;
use super::part_fuse::FuseType;
use super::part_small::{GlandType, LugType, ResistorType};
use super::place::{Enclosure, Spacing, Terminal, Vehicle, Zone};
use super::text::Texts;
use crate::error::{Capacity, Error};
use crate::insulation::Domain;

/// A kind of entry that [`Design`] keeps a list of.
///
/// Sealed: the kinds are those of this crate.
pub trait Entry: stored::Stored + 'static {
    /// The number that stands for one of them.
    type Id: EntryId<Entry = Self>;

    /// Its id in words: on labels, in messages, in references by name.
    fn name(&self) -> Option<TextId>;
}

/// A number that stands for an entry.
pub trait EntryId: Index {
    /// What it stands for.
    type Entry: Entry<Id = Self>;
}

impl Thing {
    /// The number among its kind, where the thing is of that kind.
    pub fn id<I: EntryId>(self) -> Option<I> {
        let id = I::at(usize::from(self.index))?;
        (id.into() == self).then_some(id)
    }
}

mod stored {
    use super::{Design, Error};

    /// Where the entries of one kind are kept.
    pub trait Stored: Sized {
        /// Whether it is drawn between terminals; such entries share their names.
        const DRAWN: bool;
        fn list(design: &Design) -> &[Self];
        fn list_mut(design: &mut Design) -> &mut [Self];
        fn push(design: &mut Design, entry: Self) -> Result<(), Error>;
    }
}

macro_rules! design {
    ($( $field:ident: $kind:ident, $entry:ident, $id:ident, $most:ident, $drawn:literal, $name:expr; )*) => {
        /// What a builder describes; see the [module](super).
        ///
        /// Large (see [`DESIGN_BYTES`]): keep it in a `static` or on the heap.
        #[derive(Clone, Debug, PartialEq)]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
        pub struct Design {
            /// The vehicle as a whole.
            pub vehicle: Vehicle,
            /// What its controller keeps to.
            pub controller: Controller,
            texts: Texts,
            $( $field: Vec<$entry, $most, u16>, )*
        }

        impl Design {
            /// A vehicle with nothing in it.
            pub const fn new(domain: Domain) -> Self {
                Self {
                    vehicle: Vehicle::new(domain),
                    controller: Controller::UNKNOWN,
                    texts: Texts::new(),
                    $( $field: Vec::new(), )*
                }
            }

            /// The number of a thing's name, if it is there and has one.
            fn name_of(&self, thing: Thing) -> Option<TextId> {
                let position = usize::from(thing.index);
                match thing.kind {
                    Kind::Vehicle => self.vehicle.name,
                    Kind::Controller => None,
                    Kind::Text => TextId::at(position),
                    $( Kind::$kind => self.$field.get(position)?.name(), )*
                }
            }

            /// How many entries of a kind there are.
            pub fn count(&self, kind: Kind) -> usize {
                match kind {
                    Kind::Vehicle | Kind::Controller => 1,
                    Kind::Text => self.texts.len(),
                    $( Kind::$kind => self.$field.len(), )*
                }
            }

            /// What is drawn between terminals under this name.
            fn drawn_as(&self, name: TextId) -> Option<Thing> {
                $(
                    if $drawn && let Some(id) = named(&self.$field, name) {
                        return Some(id.into());
                    }
                )*
                None
            }
        }

        $(
            impl stored::Stored for $entry {
                const DRAWN: bool = $drawn;

                fn list(design: &Design) -> &[Self] {
                    &design.$field
                }

                fn list_mut(design: &mut Design) -> &mut [Self] {
                    &mut design.$field
                }

                fn push(design: &mut Design, entry: Self) -> Result<(), Error> {
                    let pushed = design.$field.push(entry);
                    pushed.map_err(|_| Error::Full(Kind::$kind))
                }
            }

            impl Entry for $entry {
                type Id = $id;

                fn name(&self) -> Option<TextId> {
                    let name: fn(&Self) -> Option<TextId> = $name;
                    name(self)
                }
            }

            impl EntryId for $id {
                type Entry = $entry;
            }
        )*
    };
}

/// The position of the entry that has this name.
fn named<E: Entry>(list: &[E], name: TextId) -> Option<E::Id> {
    let position = list.iter().position(|entry| entry.name() == Some(name))?;
    E::Id::at(position)
}

design! {
    zones: Zone, Zone, ZoneId, MAX_ZONES, false, |e| Some(e.name);
    enclosures: Enclosure, Enclosure, EnclosureId, MAX_ENCLOSURES, false, |e| Some(e.name);
    terminals: Terminal, Terminal, TerminalId, MAX_TERMINALS, false, |e| Some(e.name);
    batteries: Battery, Battery, BatteryId, MAX_BATTERIES, true, |e| Some(e.name);
    conductors: Conductor, Conductor, ConductorId, MAX_CONDUCTORS, true, |e| Some(e.circuit);
    fuses: Fuse, Fuse, FuseId, MAX_FUSES, true, |e| Some(e.name);
    contactors: Contactor, Contactor, ContactorId, MAX_CONTACTORS, true, |e| Some(e.name);
    service_disconnects: ServiceDisconnect, ServiceDisconnect, ServiceDisconnectId, MAX_SERVICE_DISCONNECTS, true, |e| Some(e.name);
    resistors: Resistor, Resistor, ResistorId, MAX_RESISTORS, true, |e| Some(e.name);
    loads: Load, Load, LoadId, MAX_LOADS, true, |e| Some(e.name);
    converters: Converter, Converter, ConverterId, MAX_CONVERTERS, false, |e| Some(e.name);
    route_pieces: RoutePiece, RoutePiece, RoutePieceId, MAX_ROUTE_PIECES, false, |_| None;
    tubes: Tube, TubeEntry, TubeId, MAX_TUBES, false, |e| Some(e.name);
    cable_types: CableType, CableType, CableTypeId, MAX_CABLE_TYPES, false, |e| Some(e.name);
    fuse_types: FuseType, FuseType, FuseTypeId, MAX_FUSE_TYPES, false, |e| Some(e.name);
    contactor_types: ContactorType, ContactorType, ContactorTypeId, MAX_CONTACTOR_TYPES, false, |e| Some(e.name);
    resistor_types: ResistorType, ResistorType, ResistorTypeId, MAX_RESISTOR_TYPES, false, |e| Some(e.name);
    lug_types: LugType, LugType, LugTypeId, MAX_LUG_TYPES, false, |e| Some(e.name);
    gland_types: GlandType, GlandType, GlandTypeId, MAX_GLAND_TYPES, false, |e| Some(e.name);
    phases: Phase, Phase, PhaseId, MAX_PHASES, false, |e| Some(e.name);
    draws: PhaseDraw, PhaseDraw, PhaseDrawId, MAX_DRAWS, false, |_| None;
    duties: Duty, Duty, DutyId, MAX_DUTIES, false, |e| Some(e.name);
    spacings: Spacing, Spacing, SpacingId, MAX_SPACINGS, false, |e| Some(e.name);
    readings: Reading, Reading, ReadingId, MAX_READINGS, false, |_| None;
    signatures: Signature, Signature, SignatureId, MAX_SIGNATURES, false, |_| None;
    attestations: Attestation, Attestation, AttestationId, MAX_ATTESTATIONS, false, |_| None;
}

const _: () = assert!(size_of::<Design>() <= DESIGN_BYTES);

impl Design {
    /// The number of a text, which is kept once however often it is put in.
    ///
    /// # Errors
    /// [`crate::error::Inconsistency::TextNotPrintable`] for what cannot stand on
    /// a label; [`Capacity::TextLength`] beyond [`MAX_TEXT_BYTES`];
    /// [`Capacity::Letters`] and [`Error::Full`] when the table of texts is full.
    pub fn put_text(&mut self, text: &str) -> Result<TextId, Error> {
        self.texts.intern(text)
    }

    /// The text of a number; `None` for a number of another design.
    pub fn text(&self, id: TextId) -> Option<&str> {
        self.texts.get(id)
    }

    /// The name of a thing, if it is there and has one.
    pub fn name(&self, thing: Thing) -> Option<&str> {
        self.text(self.name_of(thing)?)
    }

    /// Whether a thing is there and has a name, known or not.
    pub(super) fn is_named(&self, thing: Thing) -> bool {
        self.name_of(thing).is_some()
    }

    /// Adds an entry.
    ///
    /// Whether what it refers to exists is not asked here but by `check`, so that
    /// every fault of a design is reported in one go.
    ///
    /// # Errors
    /// [`Error::NameTaken`] when its name is given to another of its kind; all
    /// that is drawn between terminals counts as one kind here, so that a label
    /// names one thing. [`Error::Full`] when no more of its kind fit.
    pub fn add<E: Entry>(&mut self, entry: E) -> Result<E::Id, Error> {
        if let Some(name) = entry.name() {
            let taken = if E::DRAWN {
                self.drawn_as(name)
            } else {
                named(E::list(self), name).map(Into::into)
            };
            if let Some(other) = taken {
                return Err(Error::NameTaken(other));
            }
        }
        let id = E::Id::at(E::list(self).len()).ok_or(Error::Full(E::Id::KIND))?;
        E::push(self, entry)?;
        Ok(id)
    }

    /// Adds a route. One that is there already, piece by piece, is not kept twice:
    /// the two conductors of a circuit share theirs.
    ///
    /// # Errors
    /// [`Capacity::RoutePieces`] beyond [`MAX_PIECES_OF_ROUTE`]; [`Error::Full`]
    /// when no more pieces fit.
    pub fn add_route(&mut self, pieces: &[RoutePiece]) -> Result<Route, Error> {
        if pieces.len() > MAX_PIECES_OF_ROUTE {
            return Err(Error::Capacity(Capacity::RoutePieces));
        }
        if pieces.is_empty() {
            return Ok(Route::UNKNOWN);
        }
        let full = Error::Full(Kind::RoutePiece);
        let known = &self.route_pieces;
        let run = |first: usize| known.get(first..first.saturating_add(pieces.len()));
        let first = match (0..known.len()).find(|first| run(*first) == Some(pieces)) {
            Some(first) => first,
            None if known.len() + pieces.len() > MAX_ROUTE_PIECES => return Err(full),
            None => {
                let first = known.len();
                for piece in pieces {
                    self.route_pieces.push(*piece).map_err(|_| full)?;
                }
                first
            }
        };
        Ok(Route {
            first: u8::try_from(first).map_err(|_| full)?,
            pieces: u8::try_from(pieces.len()).map_err(|_| full)?,
            backwards: false,
        })
    }

    /// Adds a signature, or finds the one that is there already.
    ///
    /// # Errors
    /// [`Error::Full`] when no more fit.
    pub fn add_signature(&mut self, signature: Signature) -> Result<SignatureId, Error> {
        let known = self.signatures.iter().position(|s| *s == signature);
        match known.and_then(SignatureId::at) {
            Some(known) => Ok(known),
            None => self.add(signature),
        }
    }

    /// An entry; `None` for a number of another design.
    pub fn get<I: EntryId>(&self, id: I) -> Option<&I::Entry> {
        <I::Entry as stored::Stored>::list(self).get(id.position())
    }

    /// The type that an entry names, with its number; `None` where it names none.
    pub(crate) fn part<I: EntryId>(&self, part: Option<I>) -> Option<(I, &I::Entry)> {
        let part = part?;
        Some((part, self.get(part)?))
    }

    /// An entry, to be changed. Give it no name that another one has.
    pub fn get_mut<I: EntryId>(&mut self, id: I) -> Option<&mut I::Entry> {
        <I::Entry as stored::Stored>::list_mut(self).get_mut(id.position())
    }

    /// Every entry of a kind with its number, in the order in which they were added.
    pub fn all<E: Entry>(&self) -> impl Iterator<Item = (E::Id, &E)> {
        let list = E::list(self).iter().enumerate();
        list.filter_map(|(position, entry)| Some((E::Id::at(position)?, entry)))
    }

    /// The entry of a kind that has this name.
    pub fn find<E: Entry>(&self, name: &str) -> Option<E::Id> {
        named(E::list(self), self.texts.find(name)?)
    }

    /// What is drawn between terminals under this name: battery, conductor, fuse,
    /// contactor, service disconnect, resistor or load.
    pub fn find_drawn(&self, name: &str) -> Option<Thing> {
        self.drawn_as(self.texts.find(name)?)
    }
}
