//! What is kept over a restart: counters, locks, heat. The caller stores the bytes.

use super::counters::Counters;
use super::latch::Latch;
use super::warmth::Warmth;
use super::{MAX_KEPT_BYTES, Monitors};
use crate::limits::{IMAGE_CRC, Limits};

/// First bytes of what is kept.
const MAGIC: [u8; 4] = *b"OLKP";

/// Version of what is kept.
const VERSION: u16 = 1;

/// Why what was kept cannot be taken over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // what can be wrong with it
pub enum KeptError {
    /// The buffer or the kept bytes are too short or too long.
    Length,
    /// Other first bytes, or another version.
    Version,
    /// The checksum differs.
    Checksum,
    /// It belongs to limits of another design.
    OtherDesign,
}

struct Out<'a> {
    buffer: &'a mut [u8],
    used: usize,
}

impl Out<'_> {
    fn put(&mut self, bytes: &[u8]) {
        for byte in bytes {
            if let Some(place) = self.buffer.get_mut(self.used) {
                *place = *byte;
            }
            self.used = self.used.saturating_add(1);
        }
    }
}

struct In<'a> {
    rest: &'a [u8],
}

impl In<'_> {
    /// Zero bytes behind the end; the length was looked at before.
    fn take<const N: usize>(&mut self) -> [u8; N] {
        match self.rest.split_first_chunk() {
            Some((taken, rest)) => {
                self.rest = rest;
                *taken
            }
            None => [0; N],
        }
    }
}

impl Monitors {
    /// Every lock that only a person clears.
    fn locks(&mut self) -> impl Iterator<Item = &mut Latch> {
        let paths = self
            .paths
            .iter_mut()
            .flat_map(super::precharge::Path::locks);
        let welds = self.positions.iter_mut().map(|position| &mut position.weld);
        paths.chain(welds)
    }

    /// Writes what has to outlast a restart into a buffer of [`MAX_KEPT_BYTES`] and gives
    /// its length. Do it when the vehicle is switched off and whenever a lock is found.
    ///
    /// # Errors
    /// [`KeptError::Length`] for a buffer that is too short.
    pub fn keep(&mut self, limits: &Limits, buffer: &mut [u8]) -> Result<usize, KeptError> {
        let mut out = Out { buffer, used: 0 };
        out.put(&MAGIC);
        out.put(&VERSION.to_le_bytes());
        out.put(&limits.revision.fingerprint.to_le_bytes());
        let counters = self.counters;
        for count in counters
            .openings
            .iter()
            .flatten()
            .chain(counters.pulses.iter().flatten())
        {
            out.put(&count.to_le_bytes());
        }
        for lock in self.locks() {
            out.put(&[u8::from(lock.holds())]);
        }
        for path in &mut self.paths {
            out.put(&path.heat_mut().to_le_bytes());
        }
        for watched in &self.watched {
            out.put(&watched.warmth.inner.to_le_bytes());
            out.put(&watched.warmth.outer.to_le_bytes());
        }
        let body = out.buffer.get(..out.used).ok_or(KeptError::Length)?;
        let sum = IMAGE_CRC.checksum(body);
        out.put(&sum.to_le_bytes());
        if out.used <= out.buffer.len() {
            Ok(out.used)
        } else {
            Err(KeptError::Length)
        }
    }

    /// Takes over what was kept. Temperatures that are no numbers or below the
    /// surroundings are left at what the limits state; nothing has cooled meanwhile.
    ///
    /// # Errors
    /// [`KeptError`]; then nothing is taken over, and the vehicle starts as if its
    /// controller were new: look after locks that may have been lost.
    pub fn restore(&mut self, limits: &Limits, kept: &[u8]) -> Result<(), KeptError> {
        let (body, sum) = kept.split_last_chunk().ok_or(KeptError::Length)?;
        if body.len() + 4 != MAX_KEPT_BYTES {
            return Err(KeptError::Length);
        }
        if IMAGE_CRC.checksum(body) != u32::from_le_bytes(*sum) {
            return Err(KeptError::Checksum);
        }
        let mut from = In { rest: body };
        if from.take() != MAGIC || from.take() != VERSION.to_le_bytes() {
            return Err(KeptError::Version);
        }
        if from.take() != limits.revision.fingerprint.to_le_bytes() {
            return Err(KeptError::OtherDesign);
        }
        let mut counters = Counters::NEW;
        let openings = counters.openings.iter_mut().flatten();
        for count in openings.chain(counters.pulses.iter_mut().flatten()) {
            *count = u16::from_le_bytes(from.take());
        }
        self.counters = counters;
        for lock in self.locks() {
            if from.take() != [0] {
                *lock = Latch::LOCKED;
            }
        }
        for path in &mut self.paths {
            let heat = f32::from_le_bytes(from.take());
            if heat >= 0.0 {
                *path.heat_mut() = heat;
            }
        }
        for watched in &mut self.watched {
            let [inner, outer] = [from.take(), from.take()].map(f32::from_le_bytes);
            if inner >= 0.0 && outer >= 0.0 {
                watched.warmth = Warmth { inner, outer };
            }
        }
        Ok(())
    }
}
