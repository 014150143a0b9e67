//! What a design consists of, and the small numbers by which one thing refers to another.

#[allow(clippy::wildcard_imports)] // the list of kinds names nearly every capacity
use super::capacity::*;

macro_rules! kinds {
    ($( $(#[$doc:meta])* $kind:ident, $one:literal, $many:literal, $most:expr; )*) => {
        /// What kind of thing an entry of a design is.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[cfg_attr(
            feature = "serde",
            derive(serde::Serialize, serde::Deserialize),
            serde(rename_all = "kebab-case")
        )]
        #[non_exhaustive]
        #[repr(u8)]
        pub enum Kind {
            $( $(#[$doc])* $kind, )*
        }

        impl Kind {
            /// Every kind.
            pub const ALL: &'static [Self] = &[ $( Self::$kind, )* ];

            /// How many of this kind a design holds at most.
            pub const fn most(self) -> usize {
                match self { $( Self::$kind => $most, )* }
            }

            /// One of them, in words that read well after "the".
            #[cfg(feature = "text")]
            pub const fn words(self) -> &'static str {
                match self { $( Self::$kind => $one, )* }
            }

            /// Several of them, in words that read well after "more".
            #[cfg(feature = "text")]
            pub const fn plural(self) -> &'static str {
                match self { $( Self::$kind => $many, )* }
            }
        }
    };
}

kinds! {
    /// The vehicle as a whole.
    Vehicle, "vehicle", "vehicles", 1;
    /// The controller.
    Controller, "controller", "controllers", 1;
    /// A climate.
    Zone, "zone", "zones", MAX_ZONES;
    /// A box.
    Enclosure, "box", "boxes", MAX_ENCLOSURES;
    /// A terminal.
    Terminal, "terminal", "terminals", MAX_TERMINALS;
    /// A battery.
    Battery, "battery", "batteries", MAX_BATTERIES;
    /// A conductor.
    Conductor, "conductor", "conductors", MAX_CONDUCTORS;
    /// A fuse.
    Fuse, "fuse", "fuses", MAX_FUSES;
    /// A contactor.
    Contactor, "contactor", "contactors", MAX_CONTACTORS;
    /// A service disconnect.
    ServiceDisconnect, "service disconnect", "service disconnects", MAX_SERVICE_DISCONNECTS;
    /// A resistor.
    Resistor, "resistor", "resistors", MAX_RESISTORS;
    /// A load or charging source.
    Load, "load", "loads", MAX_LOADS;
    /// A converter.
    Converter, "converter", "converters", MAX_CONVERTERS;
    /// A piece of a route.
    RoutePiece, "route piece", "route pieces", MAX_ROUTE_PIECES;
    /// A tube or sleeve.
    Tube, "tube", "tubes", MAX_TUBES;
    /// A type of cable.
    CableType, "cable type", "cable types", MAX_CABLE_TYPES;
    /// A type of fuse.
    FuseType, "fuse type", "fuse types", MAX_FUSE_TYPES;
    /// A type of contactor.
    ContactorType, "contactor type", "contactor types", MAX_CONTACTOR_TYPES;
    /// A type of resistor.
    ResistorType, "resistor type", "resistor types", MAX_RESISTOR_TYPES;
    /// A type of lug.
    LugType, "lug type", "lug types", MAX_LUG_TYPES;
    /// A type of gland.
    GlandType, "gland type", "gland types", MAX_GLAND_TYPES;
    /// An operating phase.
    Phase, "phase", "phases", MAX_PHASES;
    /// What one load draws in one phase.
    PhaseDraw, "draw of a phase", "draws of phases", MAX_DRAWS;
    /// A duty.
    Duty, "duty", "duties", MAX_DUTIES;
    /// A distance inside a box.
    Spacing, "spacing", "spacings", MAX_SPACINGS;
    /// A reading.
    Reading, "reading", "readings", MAX_READINGS;
    /// A signature.
    Signature, "signature", "signatures", MAX_SIGNATURES;
    /// An attestation.
    Attestation, "attestation", "attestations", MAX_ATTESTATIONS;
    /// A text.
    Text, "text", "different texts", MAX_TEXTS;
}

/// One entry of a design, by its kind and its position among its kind.
///
/// Entries are numbered from zero in the order in which they were added, so that
/// a reader of files can keep a list of source lines beside them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // a kind and a number is all there is
pub struct Thing {
    /// What kind of entry.
    pub kind: Kind,
    /// Its position.
    pub index: u16,
}

impl Thing {
    /// The vehicle as a whole.
    pub const VEHICLE: Self = Self {
        kind: Kind::Vehicle,
        index: 0,
    };

    /// The controller.
    pub const CONTROLLER: Self = Self {
        kind: Kind::Controller,
        index: 0,
    };
}

/// A number that stands for one entry of one kind.
pub trait Index: Copy + Eq + Into<Thing> {
    /// The kind it belongs to.
    const KIND: Kind;

    /// The position among its kind, from zero.
    fn position(self) -> usize;

    /// The number of a position; `None` beyond what the capacity allows.
    fn at(position: usize) -> Option<Self>;
}

macro_rules! ids {
    ($( $(#[$doc:meta])* $id:ident, $kind:ident, $number:ty; )*) => { $(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
        #[repr(transparent)]
        pub struct $id($number);

        impl Index for $id {
            const KIND: Kind = Kind::$kind;

            fn position(self) -> usize {
                usize::from(self.0)
            }

            fn at(position: usize) -> Option<Self> {
                if position >= Kind::$kind.most() {
                    return None;
                }
                <$number>::try_from(position).ok().map(Self)
            }
        }

        impl From<$id> for Thing {
            fn from(id: $id) -> Self {
                Self { kind: Kind::$kind, index: u16::from(id.0) }
            }
        }
    )* };
}

ids! {
    /// A climate.
    ZoneId, Zone, u8;
    /// A box.
    EnclosureId, Enclosure, u8;
    /// A terminal.
    TerminalId, Terminal, u8;
    /// A battery.
    BatteryId, Battery, u8;
    /// A conductor.
    ConductorId, Conductor, u8;
    /// A fuse.
    FuseId, Fuse, u8;
    /// A contactor.
    ContactorId, Contactor, u8;
    /// A service disconnect.
    ServiceDisconnectId, ServiceDisconnect, u8;
    /// A resistor.
    ResistorId, Resistor, u8;
    /// A load or charging source.
    LoadId, Load, u8;
    /// A converter.
    ConverterId, Converter, u8;
    /// A piece of a route.
    RoutePieceId, RoutePiece, u8;
    /// A tube or sleeve.
    TubeId, Tube, u8;
    /// A type of cable.
    CableTypeId, CableType, u8;
    /// A type of fuse.
    FuseTypeId, FuseType, u8;
    /// A type of contactor.
    ContactorTypeId, ContactorType, u8;
    /// A type of resistor.
    ResistorTypeId, ResistorType, u8;
    /// A type of lug.
    LugTypeId, LugType, u8;
    /// A type of gland.
    GlandTypeId, GlandType, u8;
    /// An operating phase.
    PhaseId, Phase, u8;
    /// What one load draws in one phase.
    PhaseDrawId, PhaseDraw, u16;
    /// A duty.
    DutyId, Duty, u8;
    /// A distance inside a box.
    SpacingId, Spacing, u8;
    /// A reading.
    ReadingId, Reading, u8;
    /// A signature.
    SignatureId, Signature, u8;
    /// An attestation.
    AttestationId, Attestation, u8;
    /// A text.
    TextId, Text, u16;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_stands_for_each_position_of_its_kind_and_none_beyond() {
        fn all<I: Index + core::fmt::Debug>() {
            for position in 0..I::KIND.most() {
                let id = I::at(position).unwrap();
                assert_eq!(id.position(), position);
                let thing: Thing = id.into();
                assert_eq!(usize::from(thing.index), position);
                assert_eq!(thing.kind, I::KIND);
            }
            assert_eq!(I::at(I::KIND.most()), None);
        }
        all::<TerminalId>();
        all::<ConductorId>();
        all::<RoutePieceId>();
        all::<PhaseDrawId>();
        all::<ReadingId>();
        all::<TextId>();
    }
}
