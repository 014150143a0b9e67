//! A current that rises to its prospective value: I (1 - exp(-t/tau)).

use crate::error::{Error, Inconsistency};
use crate::protection::{CurveSide, Melting, MeltingCurve, MeltingTime};
use crate::quantity::{Current, CurrentSquaredTime, Time};

/// The current of a short circuit that one voltage feeds through one resistance and one
/// inductance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // two numbers describe it
pub struct Rise {
    /// Prospective current.
    pub steady: Current,
    /// L/R; zero for a current that is there at once.
    pub time_constant: Time,
}

/// Below this t/tau the bracket of the joule integral is summed as a series; f64.
const SERIES_BELOW: f64 = 0.05;

/// Steps that the rise is followed in while a fuse melts: over six time constants, when
/// 0.25 % are missing.
const STEPS: u8 = 48;

/// Length of a step in time constants.
const STEP: f32 = 0.125;

/// What is missing in the middle of the first step, exp(-0.0625), and what is left of it a
/// step later, exp(-0.125).
const MISSING: [f32; 2] = [0.939_413_1, 0.882_496_9];

impl Rise {
    /// Computes: the current after a time.
    ///
    /// Equation: I (1 - exp(-t/tau)).
    ///
    /// # Errors
    /// None in practice: it does not exceed the prospective current.
    pub fn at(self, after: Time) -> Result<Current, Error> {
        Current::from_amperes(self.steady.as_amperes() * self.share(after.as_seconds()))
    }

    fn share(self, seconds: f32) -> f32 {
        let tau = self.time_constant.as_seconds();
        if tau > 0.0 {
            -libm::expm1f(-seconds / tau)
        } else {
            1.0
        }
    }

    /// Computes: the joule integral from the beginning to a time.
    ///
    /// Equation: I2 tau [x + 2 expm1(-x) - expm1(-2 x)/2], x = t/tau; below 0.05 its
    /// series x3 (1/3 - x/4 + 7 x2/60 - x3/24 + 31 x4/2520), because the bracket cancels.
    /// Precision 1e-6, in f64 inside.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a joule integral.
    pub fn i2t(self, until: Time) -> Result<CurrentSquaredTime, Error> {
        let amperes = f64::from(self.steady.as_amperes());
        let seconds = steady_seconds(self.time_constant, until);
        CurrentSquaredTime::from_a2s(narrow(amperes * amperes * seconds))
    }

    /// Computes: when the joule integral reaches a value. Bisection, 60 steps.
    ///
    /// # Errors
    /// [`Inconsistency::DivisionByZero`] without a current; [`Error::OutOfRange`] beyond
    /// the bounds of a time.
    pub fn reaches(self, i2t: CurrentSquaredTime) -> Result<Time, Error> {
        let squared = f64::from(self.steady.as_amperes()) * f64::from(self.steady.as_amperes());
        if squared <= 0.0 {
            return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
        }
        let tau = f64::from(self.time_constant.as_seconds());
        let steady = f64::from(i2t.as_a2s()) / squared;
        if tau <= 0.0 {
            return Time::from_seconds(narrow(steady));
        }
        // The rise costs at most 1.5 time constants of the steady current.
        let (mut below, mut above) = (0.0, steady / tau + 1.5);
        for _ in 0..60 {
            let middle = 0.5 * (below + above);
            if tau * bracket(middle) < steady {
                below = middle;
            } else {
                above = middle;
            }
        }
        Time::from_seconds(narrow(above * tau))
    }

    /// Computes: when a fuse melts that has melted in part already, and how far it has
    /// melted at a time before that.
    ///
    /// The rise is followed in 48 steps over six time constants, each at the current in
    /// its middle; after that the current is steady. `elapsed` is the time since the rise
    /// began.
    pub(super) fn melts(
        self,
        curve: &MeltingCurve,
        mut melting: Melting,
        elapsed: Time,
        stop: Option<Time>,
    ) -> (MeltingTime, Melting) {
        let step = STEP * self.time_constant.as_seconds();
        let stop = stop.map_or(f32::INFINITY, Time::as_seconds);
        let mut now = elapsed.as_seconds();
        let steady = self.steady.as_amperes();
        let idle = curve.idle_below();
        // Below its curve the latest fuse takes nothing up, all the less on the way there.
        if curve.side() == CurveSide::Latest && steady < idle {
            return (curve.time_at(self.steady), melting);
        }
        // What has melted takes nothing up either, and is told at once.
        let idle = if melting.has_melted() { 0.0 } else { idle };
        let [mut missing, less] = MISSING;
        // A current that is there at once is followed in no step.
        let steps = if step > 0.0 { STEPS } else { 0 };
        for number in 0..steps {
            let (begin, end) = (f32::from(number) * step, f32::from(number + 1) * step);
            let share = 1.0 - missing;
            missing *= less;
            let until = if end < stop { end } else { stop };
            if until <= now {
                continue;
            }
            // A step that begins or ends elsewhere has another middle.
            let share = if now <= begin && end <= until {
                share
            } else {
                self.share(0.5 * (now + until))
            };
            if steady * share < idle {
                now = until;
                continue;
            }
            let length = until - now;
            let after = melting.advance_by(curve.per_second(steady * share), length);
            if after.has_melted() {
                let current = Current::from_amperes(steady * share);
                let left = current.map(|current| melting.time_left(curve, current));
                let left = match left.ok().and_then(MeltingTime::known) {
                    Some(left) if left.as_seconds() < length => left.as_seconds(),
                    _ => length,
                };
                return (MeltingTime::After(span(now + left)), melting);
            }
            melting = after;
            now = until;
        }
        if stop.is_finite() && stop > now {
            melting = melting.advance(curve, self.steady, span(stop - now));
            now = stop;
        }
        let left = match melting.time_left(curve, self.steady) {
            MeltingTime::After(left) => MeltingTime::After(span(now + left.as_seconds())),
            MeltingTime::LaterThan(left) => MeltingTime::LaterThan(span(now + left.as_seconds())),
            MeltingTime::NotKnown => MeltingTime::NotKnown,
        };
        (left, melting)
    }

    /// Computes: when a cold fuse melts under this current, read from the latest or the
    /// earliest side of its curve.
    ///
    /// Validity: the time within 0.3 % where the curve is a straight line over the rise.
    pub fn melts_fuse(self, curve: &MeltingCurve) -> MeltingTime {
        self.melts(curve, Melting::new(), span(0.0), None).0
    }
}

/// For how long the prospective current would have to flow for the joule integral of a rise
/// from its beginning to a time, s.
pub(super) fn steady_seconds(time_constant: Time, until: Time) -> f64 {
    let (t, tau) = (
        f64::from(until.as_seconds()),
        f64::from(time_constant.as_seconds()),
    );
    if tau > 0.0 { tau * bracket(t / tau) } else { t }
}

/// x + 2 expm1(-x) - expm1(-2x)/2.
fn bracket(x: f64) -> f64 {
    if x < SERIES_BELOW {
        let series =
            1.0 / 3.0 + x * (-0.25 + x * (7.0 / 60.0 + x * (-1.0 / 24.0 + x * (31.0 / 2520.0))));
        x * x * x * series
    } else {
        x + 2.0 * libm::expm1(-x) - 0.5 * libm::expm1(-2.0 * x)
    }
}

/// A time that is known to be within its range, or the longest.
pub(super) fn span(seconds: f32) -> Time {
    const LONGEST: Time = constant!(Time::from_seconds(1.0e9));
    Time::from_seconds(seconds).unwrap_or(LONGEST)
}

#[allow(clippy::cast_possible_truncation)] // to the precision of the quantities
fn narrow(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_of_a_rise_falls_as_the_exponential_function() {
        let [first, less] = MISSING;
        assert!((first - libm::expf(-0.5 * STEP)).abs() < f32::EPSILON);
        assert!((less - libm::expf(-STEP)).abs() < f32::EPSILON);
    }
}
