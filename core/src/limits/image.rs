//! The bytes of an image.
//!
//! All numbers are little-endian, `f32` is IEEE 754.
//!
//! | from byte | what |
//! |---|---|
//! | 0 | `OLLM` |
//! | 4 | version of this layout, `u16`: [`VERSION`] |
//! | 6 | length of the payload, `u16` |
//! | 8 | fingerprint of the design, `u32`, see [`Revision`] |
//! | 12 | revision of the design, 40 letters, filled up with zero bytes |
//! | 52 | payload |
//! | 52 + length | CRC-32 (ISO-HDLC, as of IEEE 802.3) of all bytes before |
//!
//! The payload is every section in the order of [`Limits`], every value in the order of
//! its section: `f32` in four bytes, a `u8` in one; a value or a section that may be
//! absent begins with one byte, 0 or 1; a list begins with the count of its entries in one
//! byte. The last is the reason, a list of letters.
//!
//! A CRC-32 of this polynomial finds every error of one or two bits and every burst of up
//! to 32 bits in data of this length; of all other errors it misses one in 2^32, and
//! those have to pass the ranges as well.

use heapless::Vec;

use super::field::Part;
use super::sections::Section;
use super::{Limits, MAX_REASON, Revision};
use crate::design::MAX_TEXT_BYTES;

/// The first bytes.
pub const MAGIC: [u8; 4] = *b"OLLM";

/// Version of the layout; another version is refused.
pub const VERSION: u16 = 1;

/// Bytes before the payload.
pub const HEADER_BYTES: usize = 12 + MAX_TEXT_BYTES;

/// Bytes behind it.
const CHECK_BYTES: usize = 4;

/// Bytes of the longest image.
pub const MAX_IMAGE_BYTES: usize = 4096;

/// No table: one kibibyte of flash for a sum that is made once.
pub(super) const CRC: crc::Crc<u32, crc::NoTable> =
    crc::Crc::<u32, crc::NoTable>::new(&crc::CRC_32_ISO_HDLC);

/// Why an image, or limits, are refused.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum ImageError {
    /// Not the first bytes of an image.
    Magic,
    /// Another version of the layout.
    Version(u16),
    /// The length is not the one it states, or it ends within a value.
    Length,
    /// The checksum differs.
    Checksum,
    /// A value is outside its range, or no number.
    Range {
        /// Section.
        section: Section,
        /// Place in the section, from zero.
        field: u8,
    },
    /// A byte that stands for yes or no is neither.
    Flag,
    /// A list has more entries than fit, or the image has no room.
    TooMany,
    /// Revision or reason holds something else than printable letters.
    Letters,
    /// Values contradict each other: an entry refers to one that is not there, a list
    /// does not fall, a lowest is above a highest.
    Contradiction(Section),
}

/// Writes into a buffer.
pub(super) struct Writer<'a> {
    buffer: &'a mut [u8],
    used: usize,
}

impl Writer<'_> {
    pub(super) fn bytes(&mut self, bytes: &[u8]) -> Result<(), ImageError> {
        let room = self.used..self.used.saturating_add(bytes.len());
        let room = self.buffer.get_mut(room).ok_or(ImageError::TooMany)?;
        room.copy_from_slice(bytes);
        self.used = self.used.saturating_add(bytes.len());
        Ok(())
    }
}

/// Reads from bytes.
pub(super) struct Reader<'a> {
    rest: &'a [u8],
}

impl Reader<'_> {
    pub(super) fn bytes<const N: usize>(&mut self) -> Result<[u8; N], ImageError> {
        let (taken, rest) = self.rest.split_first_chunk().ok_or(ImageError::Length)?;
        self.rest = rest;
        Ok(*taken)
    }

    pub(super) fn flag(&mut self) -> Result<bool, ImageError> {
        match self.bytes()? {
            [0] => Ok(false),
            [1] => Ok(true),
            [_] => Err(ImageError::Flag),
        }
    }
}

/// Letters that can be printed, without a line end.
fn printable(letters: &[u8]) -> Result<(), ImageError> {
    let prints = letters.iter().all(|letter| (0x20..0x7f).contains(letter));
    if prints {
        Ok(())
    } else {
        Err(ImageError::Letters)
    }
}

impl Revision {
    fn put(&self, out: &mut Writer<'_>) -> Result<(), ImageError> {
        out.bytes(&self.fingerprint.to_le_bytes())?;
        printable(&self.letters)?;
        out.bytes(&self.letters)?;
        for _ in self.letters.len()..MAX_TEXT_BYTES {
            out.bytes(&[0])?;
        }
        Ok(())
    }

    fn take(from: &mut Reader<'_>) -> Result<Self, ImageError> {
        let fingerprint = u32::from_le_bytes(from.bytes()?);
        let padded: [u8; MAX_TEXT_BYTES] = from.bytes()?;
        let mut letters = Vec::new();
        let mut ended = false;
        for letter in padded {
            ended |= letter == 0;
            if !ended {
                letters.push(letter).map_err(|_| ImageError::TooMany)?;
            } else if letter != 0 {
                return Err(ImageError::Letters);
            }
        }
        printable(&letters)?;
        Ok(Self {
            fingerprint,
            letters,
        })
    }
}

macro_rules! parts {
    ($( $part:ident ),* $(,)?) => {
        impl Limits {
            fn put_parts(&self, out: &mut Writer<'_>) -> Result<(), ImageError> {
                $( self.$part.put(out)?; )*
                Ok(())
            }

            fn take_parts(
                revision: Revision,
                from: &mut Reader<'_>,
            ) -> Result<Self, ImageError> {
                $( let $part = Part::take(from)?; )*
                let reason = take_reason(from)?;
                Ok(Self { revision, $( $part, )* reason })
            }

            /// Every value, in the order of the image.
            #[cfg(feature = "text")]
            pub fn show(&self, see: &mut dyn FnMut(super::field::Shown)) {
                $( self.$part.show(0, see); )*
            }
        }
    };
}

parts!(
    pack, sensors, close, link, precharge, standing, switches, opening, channels, strings,
    parallel, isolation, interlock, coils, heat, circuits,
);

fn take_reason(from: &mut Reader<'_>) -> Result<Vec<u8, MAX_REASON, u8>, ImageError> {
    let [count] = from.bytes()?;
    let mut reason = Vec::new();
    for _ in 0..count {
        let [letter] = from.bytes()?;
        reason.push(letter).map_err(|_| ImageError::TooMany)?;
    }
    printable(&reason)?;
    Ok(reason)
}

impl Limits {
    /// Writes the image into a buffer, of [`MAX_IMAGE_BYTES`] at best, and returns its
    /// length.
    ///
    /// # Errors
    /// [`ImageError`] for values that [`Self::decode`] would refuse, and for a buffer
    /// that is too short.
    pub fn encode(&self, buffer: &mut [u8]) -> Result<usize, ImageError> {
        self.consistent()?;
        let mut out = Writer { buffer, used: 0 };
        out.bytes(&MAGIC)?;
        out.bytes(&VERSION.to_le_bytes())?;
        out.bytes(&[0; 2])?;
        self.revision.put(&mut out)?;
        self.put_parts(&mut out)?;
        printable(&self.reason)?;
        let count = u8::try_from(self.reason.len()).map_err(|_| ImageError::TooMany)?;
        out.bytes(&[count])?;
        out.bytes(&self.reason)?;
        let end = out.used;
        let length = u16::try_from(end.saturating_sub(HEADER_BYTES));
        let length = length.map_err(|_| ImageError::TooMany)?.to_le_bytes();
        if let Some(place) = out.buffer.get_mut(6..8) {
            place.copy_from_slice(&length);
        }
        let sum = CRC.checksum(out.buffer.get(..end).ok_or(ImageError::TooMany)?);
        out.bytes(&sum.to_le_bytes())?;
        Ok(out.used)
    }

    /// Reads an image. Bounded by its length; every value is held against its range.
    ///
    /// # Errors
    /// [`ImageError`]; nothing is returned of an image in which anything is wrong.
    pub fn decode(image: &[u8]) -> Result<Self, ImageError> {
        let mut from = Reader { rest: image };
        if from.bytes()? != MAGIC {
            return Err(ImageError::Magic);
        }
        let version = u16::from_le_bytes(from.bytes()?);
        if version != VERSION {
            return Err(ImageError::Version(version));
        }
        let length = usize::from(u16::from_le_bytes(from.bytes()?));
        let (body, sum) = image
            .split_last_chunk::<CHECK_BYTES>()
            .ok_or(ImageError::Length)?;
        if body.len() != HEADER_BYTES + length {
            return Err(ImageError::Length);
        }
        if CRC.checksum(body) != u32::from_le_bytes(*sum) {
            return Err(ImageError::Checksum);
        }
        let revision = Revision::take(&mut from)?;
        let limits = Self::take_parts(revision, &mut from)?;
        if from.rest.len() != CHECK_BYTES {
            return Err(ImageError::Length);
        }
        limits.consistent()?;
        Ok(limits)
    }
}
