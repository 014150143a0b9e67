//! When a fuse melts: the melting curve of its datasheet, read on the safe side.

use heapless::Vec;

use crate::bounds::Bounded;
use crate::design::{FuseType, MAX_CURVE_POINTS};
use crate::error::{Error, Inconsistency};
use crate::quantity::{Current, CurrentSquaredTime, Share, Time};

/// Common tolerance of a printed melting curve: 10 % in current, either way (common
/// practice, no source).
pub const CURVE_TOLERANCE: Share = constant!(Share::from_fraction(0.1));

/// Melting time, s, up to which no heat leaves the element, so that the melting I2t is
/// one number. IEC 60269-1 states melting I2t at 0.01 s (from memory).
pub const ADIABATIC_MELTING_S: f32 = 0.01;

/// Knots: the points of the datasheet and the one of the melting I2t.
const KNOTS: usize = MAX_CURVE_POINTS + 1;

/// Parts of a piece of the curve in a sweep.
const SWEEP_PARTS: u8 = 4;

/// From which side of its tolerance band a curve is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a band has two sides
pub enum CurveSide {
    /// The fuse that melts first: the safe side for a pulse that it has to survive.
    Earliest,
    /// The fuse that melts last: the safe side for a conductor that it has to protect.
    Latest,
}

/// When a fuse melts at a steady current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[allow(clippy::exhaustive_enums)] // known, beyond the curve, not known
pub enum MeltingTime {
    /// After this time.
    After(Time),
    /// After more than this time, the longest of the curve, or never: the current is
    /// below the curve.
    LaterThan(Time),
    /// The datasheet does not say.
    NotKnown,
}

impl MeltingTime {
    /// The time, where it is known.
    pub const fn known(self) -> Option<Time> {
        match self {
            Self::After(time) => Some(time),
            Self::LaterThan(_) | Self::NotKnown => None,
        }
    }
}

/// Smallest current that melts a fuse within a time.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[allow(clippy::exhaustive_enums)] // on the curve, longer, shorter
pub enum MeltingCurrent {
    /// This one.
    At(Current),
    /// The time is longer than the curve: not more than the smallest current of the
    /// curve, and not less than the I2t of its last point gives in that time.
    Between {
        /// By the I2t of the last point.
        least: Current,
        /// Of the last point.
        most: Current,
    },
    /// The time is shorter than the curve and no melting I2t is stated: this one, the
    /// largest of the curve, or more.
    AtLeast(Current),
}

/// A point of the curve, as natural logarithms of A and s.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
struct Knot {
    current: f32,
    time: f32,
}

/// The melting curve of a fuse, read from one side of its tolerance band.
///
/// Between two points the logarithm of time is a straight line over that of the
/// current. Real curves are hollow, so the line is late between points that are far
/// apart: safe for [`CurveSide::Latest`]; for [`CurveSide::Earliest`] take at least one
/// point for each decade of time.
///
/// | current | [`CurveSide::Latest`] | [`CurveSide::Earliest`] |
/// |---|---|---|
/// | below the curve | not known: later than its last point, or never | the same |
/// | on the curve | current of the point + tolerance | current of the point - tolerance |
/// | above it, melting I2t stated | straight to that I2t at 0.01 s, then that I2t | that I2t at once |
/// | above it, no I2t stated | the I2t of the first point | not known |
///
/// Where I2t and first point disagree, the larger I2t counts for the latest, the
/// smaller for the earliest; more current never melts later. Without any point the
/// melting I2t alone makes a curve that starts at 0.01 s.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct MeltingCurve {
    side: CurveSide,
    /// Shortest time first.
    knots: Vec<Knot, KNOTS, u8>,
    first: Point,
    last: Point,
    /// I2t above the first knot, A2s.
    beyond: Option<f32>,
    /// Current that it carries for ever, A.
    carried: f32,
}

/// A point of the curve in A and s.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
struct Point {
    current: f32,
    time: f32,
}

impl MeltingCurve {
    /// Reads the curve of a datasheet; `None` where it states neither a point nor a
    /// melting I2t.
    ///
    /// Inputs: points, melting I2t and rated current of the fuse; which side; tolerance
    /// in current, 0 to 0.5, usually [`CURVE_TOLERANCE`].
    ///
    /// # Errors
    /// [`Inconsistency::MeltingCurve`] unless along the points the time rises and the
    /// current falls, all above zero; [`Error::OutOfRange`] for the tolerance.
    pub fn new(fuse: &FuseType, side: CurveSide, tolerance: Share) -> Result<Option<Self>, Error> {
        let tolerance = Bounded::CurveTolerance.check(tolerance.as_fraction())?;
        let scale = match side {
            CurveSide::Earliest => 1.0 - tolerance,
            CurveSide::Latest => 1.0 + tolerance,
        };
        let melting = match fuse.melting.map(CurrentSquaredTime::as_a2s) {
            Some(stated) if stated > 0.0 => Some(stated * scale * scale),
            Some(_) => return Err(Error::Inconsistent(Inconsistency::MeltingCurve)),
            None => None,
        };
        let mut points: Vec<Point, KNOTS, u8> = Vec::new();
        for point in &fuse.curve {
            let next = Point {
                current: point.current.as_amperes() * scale,
                time: point.time.as_seconds(),
            };
            let falls = points
                .last()
                .is_none_or(|last| last.time < next.time && last.current > next.current);
            if !(falls && next.current > 0.0 && next.time > 0.0) {
                return Err(Error::Inconsistent(Inconsistency::MeltingCurve));
            }
            push(&mut points, next)?;
        }
        let first = points.first().copied();
        let adiabatic = melting.map(|i2t| Point {
            current: libm::sqrtf(i2t / ADIABATIC_MELTING_S),
            time: ADIABATIC_MELTING_S,
        });
        let starts_late = first.is_some_and(|first| first.time > ADIABATIC_MELTING_S);
        if let (CurveSide::Latest, true, Some(first), Some(knot)) =
            (side, starts_late, first, adiabatic)
            && knot.current > first.current
        {
            let mut longer: Vec<Point, KNOTS, u8> = Vec::new();
            push(&mut longer, knot)?;
            for point in points {
                push(&mut longer, point)?;
            }
            points = longer;
        } else if let (None, Some(knot)) = (first, adiabatic) {
            push(&mut points, knot)?;
        }
        let (Some(&first), Some(&last)) = (points.first(), points.last()) else {
            return Ok(None);
        };
        let own = first.current * first.current * first.time;
        let beyond = match (side, melting) {
            (CurveSide::Latest, stated) => Some(stated.map_or(own, |i2t| libm::fmaxf(i2t, own))),
            (CurveSide::Earliest, Some(stated)) => Some(libm::fminf(stated, own)),
            // Less than the first point's, by an unknown part.
            (CurveSide::Earliest, None) => None,
        };
        let mut knots = Vec::new();
        for point in points {
            let knot = Knot {
                current: libm::logf(point.current),
                time: libm::logf(point.time),
            };
            if knots.push(knot).is_err() {
                return Err(Error::Inconsistent(Inconsistency::MeltingCurve));
            }
        }
        Ok(Some(Self {
            side,
            knots,
            first,
            last,
            beyond,
            carried: fuse.rated.map_or(0.0, Current::as_amperes),
        }))
    }

    /// From which side it is read.
    pub const fn side(&self) -> CurveSide {
        self.side
    }

    /// The amount, A, below which a current adds nothing to the melting, whatever its time.
    pub(crate) fn idle_below(&self) -> f32 {
        match self.side {
            CurveSide::Latest => self.last.current,
            CurveSide::Earliest => libm::fminf(self.carried, self.last.current),
        }
    }

    /// Computes: when the fuse melts at a steady current, from cold.
    ///
    /// The direction of the current does not matter.
    pub fn time_at(&self, current: Current) -> MeltingTime {
        let amperes = libm::fabsf(current.as_amperes());
        if amperes < self.last.current {
            return MeltingTime::LaterThan(time(self.last.time));
        }
        match self.seconds(amperes) {
            Some(seconds) => MeltingTime::After(time(seconds)),
            None => MeltingTime::NotKnown,
        }
    }

    /// Computes: the smallest current that melts the fuse within a time, from cold; the
    /// inverse of [`MeltingCurve::time_at`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where the current leaves the accepted range, as for a time
    /// of zero.
    pub fn current_within(&self, duration: Time) -> Result<MeltingCurrent, Error> {
        let seconds = duration.as_seconds();
        if seconds > self.last.time {
            let least = self.last.current * libm::sqrtf(self.last.time / seconds);
            return Ok(MeltingCurrent::Between {
                least: Current::from_amperes(least)?,
                most: Current::from_amperes(self.last.current)?,
            });
        }
        if seconds < self.first.time {
            let Some(i2t) = self.beyond else {
                let most = Current::from_amperes(self.first.current)?;
                return Ok(MeltingCurrent::AtLeast(most));
            };
            let amperes = libm::fmaxf(self.first.current, libm::sqrtf(i2t / seconds));
            return Ok(MeltingCurrent::At(Current::from_amperes(amperes)?));
        }
        let log = libm::logf(seconds);
        let after = self.knots.iter().skip(1);
        for (fast, slow) in self.knots.iter().zip(after) {
            if log <= slow.time {
                let slope = (fast.current - slow.current) / (fast.time - slow.time);
                let log_current = slow.current + (log - slow.time) * slope;
                let log_current = libm::fminf(libm::fmaxf(log_current, slow.current), fast.current);
                let amperes = libm::expf(log_current);
                return Ok(MeltingCurrent::At(Current::from_amperes(amperes)?));
            }
        }
        Ok(MeltingCurrent::At(self.least_current()?))
    }

    /// Calls for currents from one to another, A: both, each corner of the curve
    /// between them, and three between two neighbours.
    pub(super) fn sweep<E>(
        &self,
        from: f32,
        to: f32,
        mut visit: impl FnMut(f32) -> Result<(), E>,
    ) -> Result<(), E> {
        let corners = self.knots.iter().rev().map(|knot| libm::expf(knot.current));
        let mut left = from;
        for right in corners.chain(core::iter::once(to)) {
            let right = libm::fminf(right, to);
            if right > left {
                let step = libm::sqrtf(libm::sqrtf(right / left));
                let mut amperes = left;
                for _ in 0..SWEEP_PARTS {
                    visit(amperes)?;
                    amperes = libm::fminf(amperes * step, right);
                }
                left = right;
            }
        }
        visit(to)
    }

    /// Smallest current of the curve: below it no time is known.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] where the tolerance takes it beyond the accepted range.
    pub fn least_current(&self) -> Result<Current, Error> {
        Current::from_amperes(self.last.current)
    }

    /// Share of the melting that one second at this amount of current, A, adds; `None`
    /// where it is not known.
    pub(crate) fn per_second(&self, amperes: f32) -> Option<f32> {
        if amperes > self.first.current {
            // The reciprocal of the seconds there.
            let i2t = self.beyond?;
            return Some(libm::fmaxf(1.0 / self.first.time, amperes * amperes / i2t));
        }
        if amperes >= self.last.current {
            // A melting time that rounds to zero is over at once: the share is
            // infinite and the accumulator full.
            return self.seconds(amperes).map(|seconds| 1.0 / seconds);
        }
        if matches!(self.side, CurveSide::Latest) || amperes <= self.carried {
            return Some(0.0);
        }
        // No slower than with the I2t of the last point, because the curve is steeper
        // than a constant I2t everywhere.
        let ratio = amperes / self.last.current;
        Some(ratio * ratio / self.last.time)
    }

    /// Melting time in s of a current on the curve or above it.
    fn seconds(&self, amperes: f32) -> Option<f32> {
        if amperes > self.first.current {
            let i2t = self.beyond?;
            return Some(libm::fminf(self.first.time, i2t / (amperes * amperes)));
        }
        let log = libm::logf(amperes);
        let after = self.knots.iter().skip(1);
        for (fast, slow) in self.knots.iter().zip(after) {
            if log >= slow.current {
                let slope = (fast.time - slow.time) / (fast.current - slow.current);
                let log_time = slow.time + (log - slow.current) * slope;
                // Rounding must not leave the two ends of the piece.
                let log_time = libm::fminf(libm::fmaxf(log_time, fast.time), slow.time);
                return Some(libm::expf(log_time));
            }
        }
        Some(self.last.time)
    }
}

/// A time that is known to be within the range, or the longest.
pub(super) fn time(seconds: f32) -> Time {
    Time::from_seconds(seconds).unwrap_or(constant!(Time::from_seconds(Bounded::Time.max())))
}

fn push(points: &mut Vec<Point, KNOTS, u8>, point: Point) -> Result<(), Error> {
    points
        .push(point)
        .map_err(|_| Error::Inconsistent(Inconsistency::MeltingCurve))
}
