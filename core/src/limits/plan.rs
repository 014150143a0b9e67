//! How each number of a section is kept, and which range it has: tables that are made while
//! the program is built, so that one loop reads all sections.

use super::sections::RANGES;

/// Smallest and largest accepted value.
pub(super) type Range = (f32, f32);

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
        let place = place_in(&RANGES, range);
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
        let range = RANGES.get(usize::from(self.0 / KINDS));
        range.is_some_and(|(min, max)| number >= *min && number <= *max)
    }
}

/// Place of a range in a list; the length of the list where it is not in it.
const fn place_in(mut ranges: &[Range], (min, max): Range) -> usize {
    let mut place = 0;
    while let [(low, high), others @ ..] = ranges {
        if low.to_bits() == min.to_bits() && high.to_bits() == max.to_bits() {
            break;
        }
        (ranges, place) = (others, place + 1);
    }
    place
}

/// How many different ranges a list has.
pub(super) const fn count_once(ranges: &[Range]) -> usize {
    let (mut count, mut place, mut rest) = (0, 0, ranges);
    while let [range, others @ ..] = rest {
        if place_in(ranges, *range) == place {
            count += 1;
        }
        (rest, place) = (others, place + 1);
    }
    count
}

/// Each range of a list once.
pub(super) const fn once<const N: usize>(ranges: &[Range]) -> [Range; N] {
    let mut all = [(0.0, 0.0); N];
    let (mut count, mut rest) = (0, ranges);
    while let [range, others @ ..] = rest {
        let (before, free) = all.split_at_mut(count);
        if place_in(before, *range) == count
            && let [next, ..] = free
        {
            *next = *range;
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
