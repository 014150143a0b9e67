//! What one value of the limits is: its range, its bytes, its name.

use heapless::Vec;

use super::image::{Reader, Writer};
#[cfg(feature = "text")]
use super::sections::Section;

/// A value that is kept in an image. Reader and writer know its range, and remember the
/// first fault: code for each value alone would be ten times as long.
pub(super) trait Stored: Sized {
    fn put(&self, out: &mut Writer<'_>);
    fn take(from: &mut Reader<'_>) -> Self;
    /// As text shows it, one after the other.
    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>));
}

impl Stored for f32 {
    fn put(&self, out: &mut Writer<'_>) {
        out.value(*self);
        out.next_field();
    }

    fn take(from: &mut Reader<'_>) -> Self {
        from.value()
    }

    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(Some(*self));
    }
}

impl Stored for u8 {
    fn put(&self, out: &mut Writer<'_>) {
        out.byte(*self);
        out.next_field();
    }

    fn take(from: &mut Reader<'_>) -> Self {
        from.byte_in_range()
    }

    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(Some(Self::into(*self)));
    }
}

impl Stored for Option<f32> {
    fn put(&self, out: &mut Writer<'_>) {
        out.bytes(&[u8::from(self.is_some())]);
        if let Some(value) = self {
            out.value(*value);
        }
        out.next_field();
    }

    fn take(from: &mut Reader<'_>) -> Self {
        from.optional()
    }

    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(*self);
    }
}

impl<const N: usize> Stored for [f32; N] {
    fn put(&self, out: &mut Writer<'_>) {
        for value in self {
            out.value(*value);
        }
        out.next_field();
    }

    fn take(from: &mut Reader<'_>) -> Self {
        let mut values = [0.0; N];
        for value in &mut values {
            *value = from.part();
        }
        from.next_field();
        values
    }

    #[cfg(feature = "text")]
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

/// A group of values.
pub(super) trait Part: Sized {
    fn put(&self, out: &mut Writer<'_>);
    fn take(from: &mut Reader<'_>) -> Self;
    #[cfg(feature = "text")]
    fn show(&self, entry: usize, see: &mut dyn FnMut(Shown));
}

impl<P: Part> Part for Option<P> {
    fn put(&self, out: &mut Writer<'_>) {
        out.bytes(&[u8::from(self.is_some())]);
        if let Some(part) = self {
            part.put(out);
        }
    }

    fn take(from: &mut Reader<'_>) -> Self {
        from.flag().then(|| P::take(from))
    }

    #[cfg(feature = "text")]
    fn show(&self, entry: usize, see: &mut dyn FnMut(Shown)) {
        if let Some(part) = self {
            part.show(entry, see);
        }
    }
}

impl<P: Part, const N: usize> Part for Vec<P, N, u8> {
    fn put(&self, out: &mut Writer<'_>) {
        // There are fewer places than a byte counts.
        #[allow(clippy::cast_possible_truncation)]
        out.bytes(&[self.len() as u8]);
        for part in self {
            part.put(out);
        }
    }

    fn take(from: &mut Reader<'_>) -> Self {
        let mut parts = Self::new();
        for _ in 0..from.count(N) {
            // `count` gives no more than there are places.
            let _ = parts.push(P::take(from));
        }
        parts
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

            impl Part for $name {
                fn put(&self, out: &mut Writer<'_>) {
                    out.enter(Section::$name, &[$( ($min, $max) ),*]);
                    $( self.$field.put(out); )*
                }

                // Once, and not where it is called.
                #[inline(never)]
                fn take(from: &mut Reader<'_>) -> Self {
                    from.enter(Section::$name, &[$( ($min, $max) ),*]);
                    Self { $( $field: Stored::take(from), )* }
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
    };
}
