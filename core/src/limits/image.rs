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

use heapless::{Vec, VecView};

use super::field::{ABSENT, Numbers, Part, Values, Words};
use super::plan::{Kind, Step};
use super::sections::{MOST_NUMBERS, Section};
use super::{Limits, MAX_REASON, Revision};
use crate::design::MAX_TEXT_BYTES;

/// The first bytes.
pub const MAGIC: [u8; 4] = *b"OLLM";

/// Version of the layout; another version is refused.
pub const VERSION: u16 = 3;

/// Bytes before the payload.
pub const HEADER_BYTES: usize = 12 + MAX_TEXT_BYTES;

/// Bytes behind it.
const CHECK_BYTES: usize = 4;

/// Bytes of the longest image.
pub const MAX_IMAGE_BYTES: usize = 4096;

/// No table: one kibibyte of flash for a sum that is made once.
pub(crate) const CRC: crc::Crc<u32, crc::NoTable> =
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

/// Where in the sections reader or writer are, and the first fault.
struct Place {
    section: Section,
    field: u8,
    fault: Option<ImageError>,
}

impl Place {
    const START: Self = Self {
        section: Section::Pack,
        field: 0,
        fault: None,
    };

    /// Before the first value of a section.
    fn enter(&mut self, section: Section) {
        (self.section, self.field) = (section, u8::MAX);
    }

    /// At the next number.
    fn go_on(&mut self, step: Step) {
        if step.kind() != Kind::Another {
            self.field = self.field.wrapping_add(1);
        }
    }

    fn fail(&mut self, fault: ImageError) {
        if self.fault.is_none() {
            self.fault = Some(fault);
        }
    }

    fn check(&mut self, step: Step, number: f32) {
        if !step.accepts(number) {
            self.fail(ImageError::Range {
                section: self.section,
                field: self.field,
            });
        }
    }
}

/// Writes into a buffer.
pub(super) struct Writer<'a> {
    buffer: &'a mut [u8],
    used: usize,
    place: Place,
}

impl Writer<'_> {
    pub(super) fn bytes(&mut self, bytes: &[u8]) {
        let room = self.used..self.used.saturating_add(bytes.len());
        let Some(room) = self.buffer.get_mut(room) else {
            self.place.fail(ImageError::TooMany);
            return;
        };
        for (place, byte) in room.iter_mut().zip(bytes) {
            *place = *byte;
        }
        self.used = self.used.saturating_add(bytes.len());
    }

    pub(super) fn section<V: Values>(&mut self, values: &V) {
        self.place.enter(V::SECTION);
        let mut plan = V::PLAN.iter();
        values.each(&mut |number| {
            if let Some(step) = plan.next() {
                self.number(*step, number);
            }
        });
    }

    fn number(&mut self, step: Step, number: Option<f32>) {
        self.place.go_on(step);
        if step.kind() == Kind::Optional {
            self.bytes(&[u8::from(number.is_some())]);
            if number.is_none() {
                return;
            }
        }
        // Only of what is optional there may be none.
        let number = number.unwrap_or(f32::NAN);
        self.place.check(step, number);
        if step.kind() == Kind::Byte {
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // it was a byte
            self.bytes(&[number as u8]);
        } else {
            self.bytes(&number.to_bits().to_le_bytes());
        }
    }

    /// Letters that can be printed, without a line end.
    fn letters(&mut self, letters: &[u8]) {
        if !printable(letters) {
            self.place.fail(ImageError::Letters);
        }
        self.bytes(letters);
    }
}

/// Reads from bytes; after the first fault what it gives is of no use.
pub(super) struct Reader<'a> {
    rest: &'a [u8],
    place: Place,
    /// Of a section.
    numbers: Numbers,
}

impl<'a> Reader<'a> {
    fn bytes<const N: usize>(&mut self) -> [u8; N] {
        if let Some((taken, rest)) = self.rest.split_first_chunk() {
            self.rest = rest;
            *taken
        } else {
            self.place.fail(ImageError::Length);
            [0; N]
        }
    }

    /// The next bytes; none where there are too few.
    fn take(&mut self, many: usize) -> &'a [u8] {
        let Some((taken, rest)) = self.rest.split_at_checked(many) else {
            self.place.fail(ImageError::Length);
            return &[];
        };
        self.rest = rest;
        taken
    }

    /// Takes over letters that can be printed.
    // Once for lists of any length.
    #[inline(never)]
    fn letters(&mut self, letters: &[u8], into: &mut VecView<u8, u8>) {
        if !printable(letters) || into.extend_from_slice(letters).is_err() {
            self.place.fail(ImageError::Letters);
        }
    }

    #[inline(never)]
    fn byte(&mut self) -> u8 {
        let [byte] = self.bytes();
        byte
    }

    pub(super) fn section<V: Values>(&mut self) -> V {
        self.read(V::SECTION, V::PLAN);
        V::of(&mut Words::of(&self.numbers))
    }

    /// Reads the numbers of a section, and holds each against its range.
    #[inline(never)]
    fn read(&mut self, section: Section, plan: &[Step]) {
        self.place.enter(section);
        for (place, step) in plan.iter().enumerate() {
            self.place.go_on(*step);
            let word = self.number(*step);
            if let Some(slot) = self.numbers.get_mut(place) {
                *slot = word;
            }
        }
    }

    fn number(&mut self, step: Step) -> u32 {
        let kind = step.kind();
        if kind == Kind::Byte {
            let byte = self.byte();
            self.place.check(step, f32::from(byte));
            return u32::from(byte);
        }
        if kind == Kind::Optional && !self.flag() {
            return ABSENT;
        }
        let word = u32::from_le_bytes(self.bytes());
        self.place.check(step, f32::from_bits(word));
        word
    }

    #[inline(never)]
    pub(super) fn flag(&mut self) -> bool {
        let byte = self.byte();
        if byte > 1 {
            self.place.fail(ImageError::Flag);
        }
        byte == 1
    }

    /// How many entries follow, `most` at most.
    #[inline(never)]
    pub(super) fn count(&mut self, most: usize) -> usize {
        let count = usize::from(self.byte());
        if count > most {
            self.place.fail(ImageError::TooMany);
            return 0;
        }
        count
    }
}

fn printable(letters: &[u8]) -> bool {
    letters.iter().all(|letter| (0x20..0x7f).contains(letter))
}

impl Revision {
    fn put(&self, out: &mut Writer<'_>) {
        out.bytes(&self.fingerprint.to_le_bytes());
        out.letters(&self.letters);
        for _ in self.letters.len()..MAX_TEXT_BYTES {
            out.bytes(&[0]);
        }
    }

    fn read(&mut self, from: &mut Reader<'_>) {
        self.fingerprint = u32::from_le_bytes(from.bytes());
        let mut letters = from.take(MAX_TEXT_BYTES);
        // They are filled up with zero bytes.
        while let [before @ .., 0] = letters {
            letters = before;
        }
        from.letters(letters, &mut self.letters);
    }
}

macro_rules! parts {
    ($( $part:ident ),* $(,)?) => {
        impl Limits {
            fn put_parts(&self, out: &mut Writer<'_>) {
                $( self.$part.put(out); )*
            }

            fn read_parts(&mut self, from: &mut Reader<'_>) {
                $( self.$part.read(from); )*
            }

            /// Before anything is read.
            const EMPTY: Self = Self {
                revision: Revision { fingerprint: 0, letters: Vec::new() },
                $( $part: Part::EMPTY, )*
                reason: Vec::new(),
            };

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

impl Limits {
    /// Writes the image into a buffer, of [`MAX_IMAGE_BYTES`] at best, and returns its
    /// length.
    ///
    /// # Errors
    /// [`ImageError`] for values that [`Self::decode`] would refuse, and for a buffer
    /// that is too short.
    pub fn encode(&self, buffer: &mut [u8]) -> Result<usize, ImageError> {
        self.consistent().map_err(ImageError::Contradiction)?;
        let mut out = Writer {
            buffer,
            used: 0,
            place: Place::START,
        };
        out.bytes(&MAGIC);
        out.bytes(&VERSION.to_le_bytes());
        out.bytes(&[0; 2]);
        self.revision.put(&mut out);
        self.put_parts(&mut out);
        // There are fewer places than a byte counts.
        #[allow(clippy::cast_possible_truncation)]
        out.bytes(&[self.reason.len() as u8]);
        out.letters(&self.reason);
        if let Some(fault) = out.place.fault {
            return Err(fault);
        }
        let end = out.used;
        let length = u16::try_from(end.saturating_sub(HEADER_BYTES));
        let length = length.map_err(|_| ImageError::TooMany)?.to_le_bytes();
        for (place, byte) in out.buffer.iter_mut().skip(6).zip(length) {
            *place = byte;
        }
        let sum = CRC.checksum(out.buffer.get(..end).ok_or(ImageError::TooMany)?);
        out.bytes(&sum.to_le_bytes());
        match out.place.fault {
            Some(fault) => Err(fault),
            None => Ok(out.used),
        }
    }

    /// Reads an image. Bounded by its length; every value is held against its range.
    ///
    /// # Errors
    /// [`ImageError`]; nothing is returned of an image in which anything is wrong.
    pub fn decode(image: &[u8]) -> Result<Self, ImageError> {
        // Read where they stay: each copy of them takes two and a half kilobytes of stack.
        let mut limits = Ok(Self::EMPTY);
        if let Ok(empty) = &mut limits
            && let Err(fault) = empty.read(image)
        {
            limits = Err(fault);
        }
        limits
    }

    #[inline(never)]
    fn read(&mut self, image: &[u8]) -> Result<(), ImageError> {
        let mut from = Reader {
            rest: image,
            place: Place::START,
            numbers: [0; MOST_NUMBERS],
        };
        if from.bytes() != MAGIC {
            return Err(ImageError::Magic);
        }
        let version = u16::from_le_bytes(from.bytes());
        if version != VERSION {
            return Err(ImageError::Version(version));
        }
        let length = usize::from(u16::from_le_bytes(from.bytes()));
        let (body, sum) = image
            .split_last_chunk::<CHECK_BYTES>()
            .ok_or(ImageError::Length)?;
        if body.len() != HEADER_BYTES + length {
            return Err(ImageError::Length);
        }
        if CRC.checksum(body) != u32::from_le_bytes(*sum) {
            return Err(ImageError::Checksum);
        }
        self.revision.read(&mut from);
        self.read_parts(&mut from);
        let count = from.count(MAX_REASON);
        let letters = from.take(count);
        from.letters(letters, &mut self.reason);
        if let Some(fault) = from.place.fault {
            return Err(fault);
        }
        if from.rest.len() != CHECK_BYTES {
            return Err(ImageError::Length);
        }
        self.consistent().map_err(ImageError::Contradiction)
    }
}
