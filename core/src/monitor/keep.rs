//! What is kept over a restart: counters, locks, heat, overloads. The caller stores the bytes.
//!
//! Of each check that forbids closing, or aborts or stops something, it is kept whether it is
//! found: a restart is not what clears it. Permissions begin as refused after every start.

use super::counters::Counters;
use super::latch::Latch;
use super::warmth::Warmth;
use super::{MAX_KEPT_BYTES, Monitors};
use crate::limits::{IMAGE_CRC, Limits, MAX_PATHS, MAX_STRINGS, MAX_SWITCHES};

/// First bytes of what is kept.
const MAGIC: [u8; 4] = *b"OLKP";

/// Version of what is kept.
const VERSION: u16 = 2;

/// Checks of which is kept whether they are found: two of the program, two of the link, six
/// around, two of each contactor and string, six of each precharge path.
const LOCKS: usize = 2 + 2 + 6 + 2 * MAX_SWITCHES + 2 * MAX_STRINGS + 6 * MAX_PATHS;

/// A bit for each of them.
pub(super) const LOCK_BYTES: usize = LOCKS.div_ceil(8);

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
    /// Nothing was taken over yet: what would be kept lacks the locks that are stored.
    Unrestored,
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
    /// Every check of which is kept whether it is found, always in the same order.
    fn locks(&mut self, see: &mut dyn FnMut(&mut Latch)) {
        see(&mut self.late);
        see(&mut self.coils);
        self.link.latches().into_iter().for_each(&mut *see);
        self.around.latches().into_iter().for_each(&mut *see);
        for position in &mut self.contactors.positions {
            position.latches().into_iter().for_each(&mut *see);
        }
        for string in &mut self.strings {
            string.latches().into_iter().for_each(&mut *see);
        }
        for path in &mut self.paths {
            path.latches().into_iter().for_each(&mut *see);
        }
    }

    /// Writes what has to outlast a restart into a buffer of [`MAX_KEPT_BYTES`] and gives
    /// its length. Do it when the vehicle is switched off, whenever a lock is found or
    /// cleared, and every few seconds while [`super::CheckId::OvercurrentBand`] or
    /// [`super::CheckId::ConductorHot`] is told: after a brown-out nothing is as warm or as
    /// overloaded as it was, but as it was kept.
    ///
    /// Of monitors that began with [`Self::new`] it gives a record without the locks that are
    /// stored, until [`Self::restore`] took them over: store none of it before.
    ///
    /// # Errors
    /// [`KeptError::Length`] for a buffer that is too short; [`KeptError::Unrestored`] while
    /// closing is forbidden for what was not restored: what is stored has to stay.
    pub fn keep(&mut self, limits: &Limits, buffer: &mut [u8]) -> Result<usize, KeptError> {
        if self.unrestored {
            return Err(KeptError::Unrestored);
        }
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
        let mut locks = [0_u8; LOCK_BYTES];
        let mut place = 0;
        self.locks(&mut |lock| {
            if let Some(byte) = locks.get_mut(place / 8) {
                *byte |= u8::from(lock.holds()) << (place % 8);
            }
            place += 1;
        });
        out.put(&locks);
        for path in &self.paths {
            out.put(&path.kept().to_le_bytes());
        }
        for load in &self.loads {
            out.put(&load.kept().to_le_bytes());
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

    /// Takes over what was kept. Temperatures and heat that are no finite numbers or below
    /// the surroundings are left as after [`Self::new`]; nothing has cooled meanwhile.
    ///
    /// # Errors
    /// [`KeptError`]; then nothing is taken over, and every tick forbids closing, for a lock
    /// may be lost: until another copy is restored, or [`Self::start_without_store`] says that
    /// somebody looked at the vehicle.
    pub fn restore(&mut self, limits: &Limits, kept: &[u8]) -> Result<(), KeptError> {
        self.unrestored = true;
        self.take_over(limits, kept)?;
        self.unrestored = false;
        Ok(())
    }

    fn take_over(&mut self, limits: &Limits, kept: &[u8]) -> Result<(), KeptError> {
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
        self.contactors.look_at_all();
        self.gathered.look_at_all();
        let locks: [u8; LOCK_BYTES] = from.take();
        let mut place = 0;
        self.locks(&mut |lock| {
            let byte = locks.get(place / 8).copied().unwrap_or(0);
            if byte & 1 << (place % 8) != 0 {
                *lock = Latch::LOCKED;
            }
            place += 1;
        });
        for path in &mut self.paths {
            let heat = f32::from_le_bytes(from.take());
            if (0.0..f32::INFINITY).contains(&heat) {
                path.go_on_from(heat);
            }
        }
        for load in &mut self.loads {
            let used = f32::from_le_bytes(from.take());
            // What is no share counts as all of it.
            load.go_on_from(if used >= 0.0 { used } else { 1.0 });
        }
        for watched in &mut self.watched {
            let [inner, outer] = [from.take(), from.take()].map(f32::from_le_bytes);
            if [inner, outer]
                .iter()
                .all(|rise| (0.0..f32::INFINITY).contains(rise))
            {
                watched.warmth = Warmth { inner, outer };
            }
        }
        Ok(())
    }
}
