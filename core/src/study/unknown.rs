//! Why a result of the study is not known.

use crate::design::{Design, EntryId, Gap, Thing};
use crate::error::{Error, Inconsistency};

/// Why a result is not known, and the thing that is to be looked at.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // something is missing or contradicts itself
pub enum Unknown {
    /// Of this thing, this is not known.
    Missing(Thing, Gap),
    /// With this thing, the computation was refused.
    Refused(Thing, Error),
}

/// A result, or why there is none. A verdict on it is open.
pub type Known<T> = Result<T, Unknown>;

impl Unknown {
    /// The thing that is to be looked at.
    pub const fn thing(self) -> Thing {
        match self {
            Self::Missing(thing, _) | Self::Refused(thing, _) => thing,
        }
    }

    pub(crate) fn missing(thing: impl Into<Thing>, gap: Gap) -> Self {
        Self::Missing(thing.into(), gap)
    }

    /// For `map_err`.
    pub(crate) fn refused(thing: impl Into<Thing>) -> impl Fn(Error) -> Self {
        let thing = thing.into();
        move |error| Self::Refused(thing, error)
    }
}

/// The entry of a reference, which a checked design has.
pub(crate) fn entry<I: EntryId>(design: &Design, id: I) -> Known<&I::Entry> {
    let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
    design.get(id).ok_or(Unknown::Refused(id.into(), unknown))
}
