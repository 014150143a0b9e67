//! What one value of the limits is: its bytes, its name.

use heapless::Vec;

use super::image::{Reader, Writer};
use super::plan::{Kind, Step};
use super::sections::{MOST_NUMBERS, Section};

/// The bits of a number that is not there; no range accepts what they stand for.
pub(super) const ABSENT: u32 = u32::MAX;

/// The bits of each number of a section.
pub(super) type Numbers = [u32; MOST_NUMBERS];

/// What was read of a section, from a place on. A place and no iterator: it is known while
/// the program is built, so that nothing is left but to copy the numbers.
pub(super) struct Words<'a> {
    numbers: &'a Numbers,
    place: usize,
}

impl<'a> Words<'a> {
    pub(super) const fn of(numbers: &'a Numbers) -> Self {
        Self { numbers, place: 0 }
    }

    /// The next ones; no section has more than there are.
    fn next<const N: usize>(&mut self) -> [u32; N] {
        let rest = self.numbers.get(self.place..);
        self.place += N;
        let next = rest.and_then(|rest| rest.first_chunk());
        next.copied().unwrap_or([ABSENT; N])
    }
}

/// A value that is kept in an image, of one number or several.
pub(super) trait Stored: Sized {
    const KINDS: &'static [Kind];
    /// Before anything is read.
    const ZERO: Self;
    fn of(words: &mut Words<'_>) -> Self;
    /// Shows its numbers, one after the other.
    fn show(&self, see: &mut dyn FnMut(Option<f32>));
}

impl Stored for f32 {
    const KINDS: &'static [Kind] = &[Kind::Number];
    const ZERO: Self = 0.0;

    fn of(words: &mut Words<'_>) -> Self {
        let [bits] = words.next();
        Self::from_bits(bits)
    }

    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(Some(*self));
    }
}

impl Stored for u8 {
    const KINDS: &'static [Kind] = &[Kind::Byte];
    const ZERO: Self = 0;

    #[allow(clippy::cast_possible_truncation)] // it was read as a byte
    fn of(words: &mut Words<'_>) -> Self {
        let [byte] = words.next();
        byte as Self
    }

    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(Some(Self::into(*self)));
    }
}

impl Stored for Option<f32> {
    const KINDS: &'static [Kind] = &[Kind::Optional];
    const ZERO: Self = None;

    fn of(words: &mut Words<'_>) -> Self {
        match words.next() {
            [ABSENT] => None,
            [bits] => Some(f32::from_bits(bits)),
        }
    }

    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(*self);
    }
}

impl<const N: usize> Stored for [f32; N] {
    const KINDS: &'static [Kind] = &{
        let mut kinds = [Kind::Another; N];
        if let [first, ..] = kinds.as_mut_slice() {
            *first = Kind::Number;
        }
        kinds
    };
    const ZERO: Self = [0.0; N];

    fn of(words: &mut Words<'_>) -> Self {
        words.next().map(f32::from_bits)
    }

    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        for value in self {
            see(Some(*value));
        }
    }
}

/// One value of the limits as text shows it.
#[cfg(feature = "text")]
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Shown {
    /// Its section.
    pub section: Section,
    /// Which entry of a list, from zero.
    pub entry: usize,
    /// Its name in the section; the last word is the unit.
    pub name: &'static str,
    /// What it is.
    pub words: &'static str,
    /// Unit; empty for a plain number.
    pub unit: &'static str,
    /// Which value of several.
    pub place: usize,
    /// The value; absent where there is none.
    pub value: Option<f32>,
}

/// The values of a section, and how its numbers are kept.
pub(super) trait Values: Sized {
    const SECTION: Section;
    const PLAN: &'static [Step];
    fn of(words: &mut Words<'_>) -> Self;
    /// Shows its numbers, one after the other.
    fn each(&self, see: &mut dyn FnMut(Option<f32>));
}

/// A section, one that may be absent, or a list of them.
pub(super) trait Part: Sized {
    /// Before anything is read.
    const EMPTY: Self;
    fn put(&self, out: &mut Writer<'_>);
    /// Reads it where it stays, for it may be long.
    fn read(&mut self, from: &mut Reader<'_>);
    #[cfg(feature = "text")]
    fn show(&self, entry: usize, see: &mut dyn FnMut(Shown));
}

impl<P: Part> Part for Option<P> {
    const EMPTY: Self = None;

    fn put(&self, out: &mut Writer<'_>) {
        out.bytes(&[u8::from(self.is_some())]);
        if let Some(part) = self {
            part.put(out);
        }
    }

    fn read(&mut self, from: &mut Reader<'_>) {
        if from.flag() {
            self.insert(P::EMPTY).read(from);
        }
    }

    #[cfg(feature = "text")]
    fn show(&self, entry: usize, see: &mut dyn FnMut(Shown)) {
        if let Some(part) = self {
            part.show(entry, see);
        }
    }
}

impl<P: Part + Values, const N: usize> Part for Vec<P, N, u8> {
    const EMPTY: Self = Self::new();

    fn put(&self, out: &mut Writer<'_>) {
        // There are fewer places than a byte counts.
        #[allow(clippy::cast_possible_truncation)]
        out.bytes(&[self.len() as u8]);
        for part in self {
            part.put(out);
        }
    }

    fn read(&mut self, from: &mut Reader<'_>) {
        for _ in 0..from.count(N) {
            // `count` gives no more than there are places.
            let _ = self.push(from.section());
        }
    }

    #[cfg(feature = "text")]
    fn show(&self, _: usize, see: &mut dyn FnMut(Shown)) {
        for (entry, part) in self.iter().enumerate() {
            part.show(entry, see);
        }
    }
}

/// Declares sections: of each value its name, type, unit, range and, in its words, what
/// it is. The order is that of the image.
macro_rules! sections {
    ($(
        $(#[$doc:meta])*
        $name:ident {
            $( #[doc = $words:literal] $field:ident: $kind:ty = $unit:literal, $min:literal, $max:literal; )*
        }
    )*) => {
        /// Which group of values.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[non_exhaustive]
        #[repr(u8)]
        pub enum Section {
            $( $(#[$doc])* $name, )*
        }

        impl Section {
            /// Its name.
            #[cfg(feature = "text")]
            pub const fn name(self) -> &'static str {
                match self { $( Self::$name => stringify!($name), )* }
            }

            /// What a value of it is, by its place.
            #[cfg(feature = "text")]
            pub fn field(self, place: u8) -> Option<&'static str> {
                match self {
                    $( Self::$name => [$( stringify!($field) ),*].get(usize::from(place)).copied(), )*
                }
            }
        }

        $(
            $(#[$doc])*
            #[derive(Clone, Copy, Debug, PartialEq)]
            #[cfg_attr(feature = "defmt", derive(defmt::Format))]
            #[allow(clippy::exhaustive_structs)] // every value must be stated
            pub struct $name {
                $(
                    #[doc = $words]
                    #[doc = concat!("\n\nUnit: ", $unit, ". Range: ", $min, " to ", $max, ".")]
                    pub $field: $kind,
                )*
            }

            impl Values for $name {
                const SECTION: Section = Section::$name;

                const PLAN: &'static [Step] = {
                    const FIELDS: &[Field] = &[$( (<$kind as Stored>::KINDS, [$min, $max]), )*];
                    const PLAN: &[Step] = &plan::<{ count_numbers(FIELDS) }>(FIELDS);
                    PLAN
                };

                fn of(words: &mut Words<'_>) -> Self {
                    Self { $( $field: Stored::of(words), )* }
                }

                fn each(&self, see: &mut dyn FnMut(Option<f32>)) {
                    $( self.$field.show(see); )*
                }
            }

            impl Part for $name {
                const EMPTY: Self = Self { $( $field: Stored::ZERO, )* };

                fn put(&self, out: &mut Writer<'_>) {
                    out.section(self);
                }

                fn read(&mut self, from: &mut Reader<'_>) {
                    *self = from.section();
                }

                #[cfg(feature = "text")]
                fn show(&self, entry: usize, see: &mut dyn FnMut(Shown)) {
                    $(
                        let mut place = 0;
                        self.$field.show(&mut |value| {
                            see(Shown {
                                section: Section::$name,
                                entry,
                                name: stringify!($field),
                                words: $words,
                                unit: $unit,
                                place,
                                value,
                            });
                            place += 1;
                        });
                    )*
                }
            }
        )*

        /// The range of every value.
        const STATED: &[Range] = &[ $( $( [$min, $max], )* )* ];

        /// Each range once.
        pub(super) const RANGES: [Range; count_once(STATED)] = once(STATED);

        const STATED_BOUNDS: &[[f32; 1]] = &[ $( $( [$min], [$max], )* )* ];

        /// Each bound of a range once.
        pub(super) static BOUNDS: [[f32; 1]; count_once(STATED_BOUNDS)] = once(STATED_BOUNDS);

        /// Numbers of the longest section.
        pub(super) const MOST_NUMBERS: usize = {
            let mut most = 0;
            $(
                if <$name as Values>::PLAN.len() > most {
                    most = <$name as Values>::PLAN.len();
                }
            )*
            most
        };
    };
}
