//! What one value of the limits is: its range, its bytes, its name.

use heapless::Vec;

use super::image::{ImageError, Reader, Writer};
use super::sections::Section;

/// The accepted range of a value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Range {
    pub(super) section: Section,
    /// Place of the value in its section.
    pub(super) field: u8,
    pub(super) min: f32,
    pub(super) max: f32,
}

impl Range {
    /// Written so that NaN fails.
    fn holds(self, value: f32) -> bool {
        value >= self.min && value <= self.max
    }

    fn check(self, value: f32) -> Result<f32, ImageError> {
        if self.holds(value) {
            Ok(value)
        } else {
            Err(ImageError::Range {
                section: self.section,
                field: self.field,
            })
        }
    }
}

/// A value that is kept in an image.
pub(super) trait Stored: Sized {
    fn put(&self, range: Range, out: &mut Writer<'_>) -> Result<(), ImageError>;
    fn take(range: Range, from: &mut Reader<'_>) -> Result<Self, ImageError>;
    /// As text shows it, one after the other; nothing for one that is absent.
    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>));
}

impl Stored for f32 {
    fn put(&self, range: Range, out: &mut Writer<'_>) -> Result<(), ImageError> {
        out.bytes(&range.check(*self)?.to_bits().to_le_bytes())
    }

    fn take(range: Range, from: &mut Reader<'_>) -> Result<Self, ImageError> {
        range.check(Self::from_bits(u32::from_le_bytes(from.bytes()?)))
    }

    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(Some(*self));
    }
}

impl Stored for u8 {
    fn put(&self, range: Range, out: &mut Writer<'_>) -> Result<(), ImageError> {
        range.check(f32::from(*self))?;
        out.bytes(&[*self])
    }

    fn take(range: Range, from: &mut Reader<'_>) -> Result<Self, ImageError> {
        let [byte] = from.bytes()?;
        range.check(f32::from(byte))?;
        Ok(byte)
    }

    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(Some(f32::from(*self)));
    }
}

impl Stored for Option<f32> {
    fn put(&self, range: Range, out: &mut Writer<'_>) -> Result<(), ImageError> {
        match self {
            None => out.bytes(&[0]),
            Some(value) => {
                out.bytes(&[1])?;
                value.put(range, out)
            }
        }
    }

    fn take(range: Range, from: &mut Reader<'_>) -> Result<Self, ImageError> {
        if from.flag()? {
            f32::take(range, from).map(Some)
        } else {
            Ok(None)
        }
    }

    #[cfg(feature = "text")]
    fn show(&self, see: &mut dyn FnMut(Option<f32>)) {
        see(*self);
    }
}

impl<const N: usize> Stored for [f32; N] {
    fn put(&self, range: Range, out: &mut Writer<'_>) -> Result<(), ImageError> {
        self.iter().try_for_each(|value| value.put(range, out))
    }

    fn take(range: Range, from: &mut Reader<'_>) -> Result<Self, ImageError> {
        let mut values = [0.0; N];
        for value in &mut values {
            *value = f32::take(range, from)?;
        }
        Ok(values)
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
    fn put(&self, out: &mut Writer<'_>) -> Result<(), ImageError>;
    fn take(from: &mut Reader<'_>) -> Result<Self, ImageError>;
    #[cfg(feature = "text")]
    fn show(&self, entry: usize, see: &mut dyn FnMut(Shown));
}

impl<P: Part> Part for Option<P> {
    fn put(&self, out: &mut Writer<'_>) -> Result<(), ImageError> {
        match self {
            None => out.bytes(&[0]),
            Some(part) => {
                out.bytes(&[1])?;
                part.put(out)
            }
        }
    }

    fn take(from: &mut Reader<'_>) -> Result<Self, ImageError> {
        if from.flag()? {
            P::take(from).map(Some)
        } else {
            Ok(None)
        }
    }

    #[cfg(feature = "text")]
    fn show(&self, entry: usize, see: &mut dyn FnMut(Shown)) {
        if let Some(part) = self {
            part.show(entry, see);
        }
    }
}

impl<P: Part, const N: usize> Part for Vec<P, N, u8> {
    fn put(&self, out: &mut Writer<'_>) -> Result<(), ImageError> {
        let count = u8::try_from(self.len()).map_err(|_| ImageError::TooMany)?;
        out.bytes(&[count])?;
        self.iter().try_for_each(|part| part.put(out))
    }

    fn take(from: &mut Reader<'_>) -> Result<Self, ImageError> {
        let [count] = from.bytes()?;
        let mut parts = Self::new();
        for _ in 0..count {
            let part = P::take(from)?;
            parts.push(part).map_err(|_| ImageError::TooMany)?;
        }
        Ok(parts)
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
                fn put(&self, out: &mut Writer<'_>) -> Result<(), ImageError> {
                    let mut field = 0;
                    $( self.$field.put(next_range(Section::$name, &mut field, $min, $max), out)?; )*
                    let _ = field;
                    Ok(())
                }

                fn take(from: &mut Reader<'_>) -> Result<Self, ImageError> {
                    let mut field = 0;
                    let taken = Self {
                        $( $field: Stored::take(next_range(Section::$name, &mut field, $min, $max), from)?, )*
                    };
                    let _ = field;
                    Ok(taken)
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

/// The range of the next value of a section.
pub(super) const fn next_range(section: Section, field: &mut u8, min: f32, max: f32) -> Range {
    let range = Range {
        section,
        field: *field,
        min,
        max,
    };
    *field = field.wrapping_add(1);
    range
}
