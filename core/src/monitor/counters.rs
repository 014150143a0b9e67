//! What wears: openings under load, pulses of fuses. Kept over restarts.

use crate::limits::{MAX_CHANNELS, MAX_SWITCHES};

/// How hard an opening was: up to half of what the contactor breaks, up to all of it,
/// above, not known.
pub const OPENING_BINS: usize = 4;

/// How near a pulse came to melting the fuse: from 30, 50, 80 % of its melting integral.
pub const PULSE_BINS: usize = 3;

/// Shares from which on pulses are counted.
pub const PULSE_SHARES: [f32; PULSE_BINS] = [0.3, 0.5, 0.8];

/// Counts since the part was new.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // two kinds of wear
pub struct Counters {
    /// Openings under load of each contactor, by how hard they were.
    pub openings: [[u16; OPENING_BINS]; MAX_SWITCHES],
    /// Pulses of the fuse of each current, by how near it came to melting.
    pub pulses: [[u16; PULSE_BINS]; MAX_CHANNELS],
}

impl Counters {
    /// Everything is new.
    pub const NEW: Self = Self {
        openings: [[0; OPENING_BINS]; MAX_SWITCHES],
        pulses: [[0; PULSE_BINS]; MAX_CHANNELS],
    };

    /// Counts an opening with this share of what the contactor breaks; no number where it
    /// is not known.
    pub(super) fn opened(&mut self, switch: usize, share: f32) {
        let bin = if share <= 0.5 {
            0
        } else if share <= 1.0 {
            1
        } else if share.is_nan() {
            3
        } else {
            2
        };
        let bins = self.openings.get_mut(switch);
        if let Some(count) = bins.and_then(|bins| bins.get_mut(bin)) {
            *count = count.saturating_add(1);
        }
    }

    /// Counts a pulse that took this share; whether it is counted.
    pub(super) fn pulsed(&mut self, channel: usize, share: f32) -> bool {
        let reached = PULSE_SHARES.iter().filter(|from| share >= **from).count();
        let bin = reached.checked_sub(1);
        let bins = self.pulses.get_mut(channel);
        match bins.zip(bin).and_then(|(bins, bin)| bins.get_mut(bin)) {
            Some(count) => {
                *count = count.saturating_add(1);
                true
            }
            None => false,
        }
    }
}
