//! A set of entries of one kind, as bits.

use core::fmt;
use core::marker::PhantomData;

use super::index::Index;

/// A set of entries of one kind, for kinds of which there are at most 64.
#[derive(Clone, Copy, PartialEq, Eq)]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(transparent, bound = "")
)]
pub struct Set<I> {
    bits: u64,
    of: PhantomData<I>,
}

impl<I: Index> Set<I> {
    /// Nothing.
    pub const EMPTY: Self = Self {
        bits: 0,
        of: PhantomData,
    };

    /// The set with one entry more.
    #[must_use]
    pub fn with(mut self, id: I) -> Self {
        self.insert(id);
        self
    }

    /// Adds an entry.
    pub fn insert(&mut self, id: I) {
        self.bits |= bit(id);
    }

    /// Takes an entry out.
    pub fn remove(&mut self, id: I) {
        self.bits &= !bit(id);
    }

    /// Whether the entry is part of it.
    pub fn contains(self, id: I) -> bool {
        self.bits & bit(id) != 0
    }

    /// The entries of both.
    #[must_use]
    pub(crate) const fn union(self, other: Self) -> Self {
        Self {
            bits: self.bits | other.bits,
            of: PhantomData,
        }
    }

    /// Whether nothing is part of it.
    pub const fn is_empty(self) -> bool {
        self.bits == 0
    }

    /// How many entries it has.
    pub const fn len(self) -> usize {
        self.bits.count_ones() as usize
    }

    /// Its entries, lowest number first.
    pub fn iter(self) -> impl Iterator<Item = I> {
        let mut left = self.bits;
        core::iter::from_fn(move || {
            let first = left.trailing_zeros();
            left &= left.checked_sub(1)?;
            I::at(first as usize)
        })
    }
}

/// No bit for a position that does not fit; the check beside each use keeps such
/// kinds out when compiling.
fn bit<I: Index>(id: I) -> u64 {
    const { assert!(I::KIND.most() <= 64, "a set holds 64 entries") };
    u32::try_from(id.position())
        .ok()
        .and_then(|position| 1_u64.checked_shl(position))
        .unwrap_or(0)
}

impl<I: Index> Default for Set<I> {
    fn default() -> Self {
        Self::EMPTY
    }
}

impl<I: Index> FromIterator<I> for Set<I> {
    fn from_iter<T: IntoIterator<Item = I>>(ids: T) -> Self {
        ids.into_iter().fold(Self::EMPTY, Self::with)
    }
}

impl<I: Index> fmt::Debug for Set<I> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_set()
            .entries(self.iter().map(Index::position))
            .finish()
    }
}

#[cfg(feature = "defmt")]
impl<I> defmt::Format for Set<I> {
    fn format(&self, f: defmt::Formatter<'_>) {
        defmt::write!(f, "{=u64:b}", self.bits);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::LoadId;

    #[test]
    fn a_set_has_what_was_put_in_and_nothing_else() {
        let ids: std::vec::Vec<LoadId> = [0, 7, 47].into_iter().filter_map(LoadId::at).collect();
        let set: Set<LoadId> = ids.iter().copied().collect();
        assert_eq!(set.len(), 3);
        assert!(!set.is_empty());
        assert!(set.iter().eq(ids));
        assert!(!set.contains(LoadId::at(6).unwrap()));
        assert!(Set::<LoadId>::EMPTY.is_empty());
        assert_eq!(set.union(Set::EMPTY.with(LoadId::at(6).unwrap())).len(), 4);
    }
}
