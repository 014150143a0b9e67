//! How far a fuse has melted under a current that changes.

use super::melting::{MeltingCurve, MeltingTime, time};
use crate::quantity::{Current, Share, Time};

/// How far a fuse has melted. Pure and small: a controller keeps one for each fuse and
/// advances it with every measured current.
///
/// The share of a piece of time is its length over the melting time at its current;
/// the fuse melts when the shares add to one. That is the same as adding I2t up to a
/// melting I2t which depends on the current. Nothing cools: it is exact for a current
/// that rises and then stays, and too early for pulses with rests between them, so
/// start a new one after each rest that is long beside the time constant of the fuse.
///
/// Below the smallest current of the curve the latest side adds nothing. The earliest
/// side adds what the I2t of the last point would, which is too much, for each current
/// above the rated one.
///
/// The sum keeps what each addition rounds off, so that ticks of 1 ms against a melting
/// time of an hour are not lost.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Melting {
    progress: Progress,
    known: bool,
}

impl Default for Melting {
    fn default() -> Self {
        Self::new()
    }
}

impl Melting {
    /// A cold fuse.
    pub const fn new() -> Self {
        Self {
            progress: Progress::NONE,
            known: true,
        }
    }

    /// Adds a steady current that flows for a time.
    ///
    /// From a current whose melting time is not known on, the state is not known
    /// either, unless the fuse had melted before.
    #[must_use]
    pub fn advance(self, curve: &MeltingCurve, current: Current, duration: Time) -> Self {
        let amperes = libm::fabsf(current.as_amperes());
        self.advance_by(curve.per_second(amperes), duration.as_seconds())
    }

    /// The same with what a second of the current adds, where that is known already.
    #[must_use]
    pub(crate) fn advance_by(self, per_second: Option<f32>, seconds: f32) -> Self {
        if seconds <= 0.0 || self.has_melted() {
            return self;
        }
        let Some(per_second) = per_second else {
            return Self {
                known: false,
                ..self
            };
        };
        Self {
            progress: self.progress.add(seconds * per_second),
            ..self
        }
    }

    /// How far it has melted; `None` where that is not known.
    pub fn fraction(self) -> Option<Share> {
        if self.known {
            Share::from_fraction(self.progress.fraction).ok()
        } else {
            None
        }
    }

    /// Whether it has melted. An unknown state has not been shown to have.
    pub fn has_melted(self) -> bool {
        self.known && self.progress.fraction >= 1.0
    }

    /// When it melts if this current goes on.
    pub fn time_left(self, curve: &MeltingCurve, current: Current) -> MeltingTime {
        if !self.known {
            return MeltingTime::NotKnown;
        }
        let left = 1.0 - self.progress.fraction;
        match curve.time_at(current) {
            MeltingTime::After(whole) => MeltingTime::After(time(left * whole.as_seconds())),
            MeltingTime::LaterThan(whole) => {
                MeltingTime::LaterThan(time(left * whole.as_seconds()))
            }
            MeltingTime::NotKnown => MeltingTime::NotKnown,
        }
    }
}

/// How far something has come that ends at one: a sum that keeps what each addition rounds
/// off.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(crate) struct Progress {
    /// 0 to 1.
    fraction: f32,
    /// What the sum has rounded off.
    lost: f32,
}

impl Progress {
    pub(crate) const NONE: Self = Self {
        fraction: 0.0,
        lost: 0.0,
    };

    /// 0 to 1.
    pub(crate) const fn fraction(self) -> f32 {
        self.fraction
    }

    /// Adds a share of the whole way.
    #[must_use]
    pub(crate) fn add(self, share: f32) -> Self {
        if self.fraction >= 1.0 {
            return self;
        }
        let more = share - self.lost;
        let sum = self.fraction + more;
        // Written so that an infinity, and what is no number, count as the whole.
        if sum < 1.0 {
            Self {
                fraction: sum,
                lost: (sum - self.fraction) - more,
            }
        } else {
            Self {
                fraction: 1.0,
                lost: 0.0,
            }
        }
    }

    /// Takes a share of the whole way back; what is no number takes nothing.
    #[must_use]
    pub(crate) fn less(self, share: f32) -> Self {
        if share >= self.fraction {
            return Self::NONE;
        }
        let more = -share - self.lost;
        let sum = self.fraction + more;
        if sum < self.fraction {
            Self {
                fraction: sum,
                lost: (sum - self.fraction) - more,
            }
        } else {
            self
        }
    }
}
