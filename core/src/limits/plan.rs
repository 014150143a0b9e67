//! How each number of a section is kept, and which range it has: tables that are made while
//! the program is built, so that one loop reads all sections.

use super::sections::{BOUNDS, RANGES};

/// Smallest and largest accepted value.
pub(super) type Range = [f32; 2];

/// How a number stands in an image.
#[derive(Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub(super) enum Kind {
    /// In four bytes.
    Number,
    /// The same, and of the same value as the number before.
    Another,
    /// In one byte.
    Byte,
    /// In four bytes, behind one that tells whether there is one.
    Optional,
}

/// How many kinds there are.
const KINDS: u8 = 4;

/// How a number is kept and the place of its range, in one byte: code for each value would be
/// ten times as long.
#[derive(Clone, Copy)]
pub(super) struct Step(u8);

impl Step {
    const fn new(kind: Kind, range: Range) -> Self {
        let place = place_in(&RANGES, &range);
        assert!(place < 256 / KINDS as usize, "a byte for kind and place");
        #[allow(clippy::cast_possible_truncation)] // looked at above
        Self(place as u8 * KINDS + kind as u8)
    }

    pub(super) const fn kind(self) -> Kind {
        match self.0 % KINDS {
            0 => Kind::Number,
            1 => Kind::Another,
            2 => Kind::Byte,
            _ => Kind::Optional,
        }
    }

    /// Whether a number lies within its range; what is no number lies in none.
    pub(super) fn accepts(self, number: f32) -> bool {
        // Many ranges have a bound in common: its place takes a byte of each, itself four.
        static ENDS: [[u8; 2]; RANGES.len()] = ends(&RANGES);
        let ends = ENDS.get(usize::from(self.0 / KINDS));
        let [min, max] = ends.copied().unwrap_or([u8::MAX; 2]);
        let bound = |place| match BOUNDS.get(usize::from(place)) {
            Some([bound]) => *bound,
            None => f32::NAN,
        };
        number >= bound(min) && number <= bound(max)
    }
}

/// The places of both bounds of each range.
const fn ends<const N: usize>(ranges: &[Range; N]) -> [[u8; 2]; N] {
    let mut all = [[0; 2]; N];
    let (mut rest, mut left) = (ranges.as_slice(), all.as_mut_slice());
    while let ([[min, max], others @ ..], [ends, more @ ..]) = (rest, left) {
        let places = [place_in(&BOUNDS, &[*min]), place_in(&BOUNDS, &[*max])];
        #[allow(clippy::cast_possible_truncation)] // there are fewer than ranges
        (*ends = [places[0] as u8, places[1] as u8]);
        (rest, left) = (others, more);
    }
    all
}

/// Whether two bounds, or two ranges, are the same.
const fn same<const K: usize>(one: &[f32; K], other: &[f32; K]) -> bool {
    let (mut one, mut other) = (one.as_slice(), other.as_slice());
    while let ([a, more @ ..], [b, others @ ..]) = (one, other) {
        if a.to_bits() != b.to_bits() {
            return false;
        }
        (one, other) = (more, others);
    }
    true
}

/// Place of a bound or a range in a list; the length of the list where it is not in it.
const fn place_in<const K: usize>(mut list: &[[f32; K]], one: &[f32; K]) -> usize {
    let mut place = 0;
    while let [first, others @ ..] = list {
        if same(first, one) {
            break;
        }
        (list, place) = (others, place + 1);
    }
    place
}

/// How many different bounds or ranges a list has.
pub(super) const fn count_once<const K: usize>(list: &[[f32; K]]) -> usize {
    let (mut count, mut place, mut rest) = (0, 0, list);
    while let [one, others @ ..] = rest {
        if place_in(list, one) == place {
            count += 1;
        }
        (rest, place) = (others, place + 1);
    }
    count
}

/// Each bound or range of a list once.
pub(super) const fn once<const K: usize, const N: usize>(list: &[[f32; K]]) -> [[f32; K]; N] {
    let mut all = [[0.0; K]; N];
    let (mut count, mut rest) = (0, list);
    while let [one, others @ ..] = rest {
        let (before, free) = all.split_at_mut(count);
        if place_in(before, one) == count
            && let [next, ..] = free
        {
            *next = *one;
            count += 1;
        }
        rest = others;
    }
    all
}

/// The numbers of each value of a section, and the range of all of them.
pub(super) type Field = (&'static [Kind], Range);

/// How many numbers a section has.
pub(super) const fn count_numbers(mut fields: &[Field]) -> usize {
    let mut count = 0;
    while let [(kinds, _), others @ ..] = fields {
        count += kinds.len();
        fields = others;
    }
    count
}

/// How each number of a section is kept.
pub(super) const fn plan<const N: usize>(mut fields: &[Field]) -> [Step; N] {
    let (mut steps, mut count) = ([Step(0); N], 0);
    while let [(kinds, range), others @ ..] = fields {
        let mut kinds = *kinds;
        while let [kind, more @ ..] = kinds {
            if let [next, ..] = steps.split_at_mut(count).1 {
                *next = Step::new(*kind, *range);
            }
            (kinds, count) = (more, count + 1);
        }
        fields = others;
    }
    steps
}
