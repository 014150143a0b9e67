//! A charged capacitor into a short circuit, in closed form.

use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{
    Capacitance, Current, CurrentSquaredTime, Inductance, Resistance, Time, Voltage,
};

/// A capacitor that discharges through a resistance and an inductance in series.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Discharge {
    /// Capacitance.
    pub capacitance: Capacitance,
    /// Voltage at the beginning.
    pub voltage: Voltage,
    /// Resistance of the loop.
    pub resistance: Resistance,
    /// Inductance of the loop.
    pub inductance: Inductance,
}

/// Below this |(zeta2 - 1)| (w t)2 sinh and sin over their argument are summed as series.
const SERIES_BELOW: f64 = 1.0e-4;

impl Discharge {
    /// Computes: the joule integral of the whole discharge.
    ///
    /// Equation: C V2 / (2 R), whatever the inductance.
    ///
    /// # Errors
    /// [`Inconsistency::DivisionByZero`] without resistance; [`Error::OutOfRange`] beyond
    /// the bounds.
    pub fn i2t(&self) -> Result<CurrentSquaredTime, Error> {
        let (c, v, r, _) = self.values();
        if r <= 0.0 {
            return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
        }
        CurrentSquaredTime::from_a2s(narrow(0.5 * c * v * v / r))
    }

    /// Computes: the current after a time.
    ///
    /// Equation: i = V/L t exp(-a t) S(d2 t2), a = R/(2 L), d2 = a2 - 1/(L C), S(x) =
    /// sinh(sqrt x)/sqrt x or, below zero, sin(sqrt -x)/sqrt -x: one form for all
    /// dampings, exact at zeta = 1. Without inductance V/R exp(-t/(R C)).
    ///
    /// # Errors
    /// [`Inconsistency::DivisionByZero`] without capacitance, or without inductance and
    /// resistance; [`Error::OutOfRange`] beyond the bounds.
    pub fn at(&self, after: Time) -> Result<Current, Error> {
        Current::from_amperes(narrow(self.amperes(f64::from(after.as_seconds()))?))
    }

    /// Computes: the largest current and when it flows.
    ///
    /// Equation: tan(w t) = w/a, w2 = 1/(L C) - a2; tanh above zeta = 1; t = 1/a at one.
    ///
    /// # Errors
    /// Those of [`Self::at`].
    pub fn peak(&self) -> Result<(Current, Time), Error> {
        let (c, _, r, l) = self.values();
        if c <= 0.0 {
            return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
        }
        let seconds = if l > 0.0 {
            let a = 0.5 * r / l;
            let d2 = a * a - 1.0 / (l * c);
            let root = libm::sqrt(d2.abs());
            if a > 0.0 && root < 1.0e-6 * a {
                1.0 / a
            } else if d2 < 0.0 {
                libm::atan2(root, a) / root
            } else {
                // atanh(root / a) without cancellation: a - root = 1/(L C) / (a + root).
                0.5 * libm::log((a + root) * (a + root) * l * c) / root
            }
        } else {
            0.0
        };
        let peak = Current::from_amperes(narrow(self.amperes(seconds)?))?;
        Ok((peak, Time::from_seconds(narrow(seconds))?))
    }

    fn values(&self) -> (f64, f64, f64, f64) {
        (
            f64::from(self.capacitance.as_farads()),
            f64::from(self.voltage.as_volts()),
            f64::from(self.resistance.as_ohms()),
            f64::from(self.inductance.as_henries()),
        )
    }

    fn amperes(&self, t: f64) -> Result<f64, Error> {
        let (c, v, r, l) = self.values();
        if c <= 0.0 || (l <= 0.0 && r <= 0.0) {
            return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
        }
        if l <= 0.0 {
            return Ok(v / r * libm::exp(-t / (r * c)));
        }
        let a = 0.5 * r / l;
        let x = (a * a - 1.0 / (l * c)) * t * t;
        let root = libm::sqrt(x.abs());
        let amperes = if x.abs() < SERIES_BELOW {
            v / l * t * libm::exp(-a * t) * (1.0 + x / 6.0 * (1.0 + x / 20.0))
        } else if x < 0.0 {
            v / l * t * libm::exp(-a * t) * libm::sin(root) / root
        } else {
            // exp(-a t) sinh(root), of which the second factor alone would overflow;
            // root - a t without cancellation.
            let slow = -t * t / (l * c) / (root + a * t);
            v / l * t * libm::exp(slow) * -0.5 * libm::expm1(-2.0 * root) / root
        };
        if amperes.is_finite() {
            Ok(amperes)
        } else {
            Err(Error::OutOfRange {
                what: Bounded::Current,
                value: f32::INFINITY,
            })
        }
    }
}

#[allow(clippy::cast_possible_truncation)] // to the precision of the quantities
fn narrow(value: f64) -> f32 {
    value as f32
}
