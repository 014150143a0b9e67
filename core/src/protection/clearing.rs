//! When a fuse has broken the current, and what it has let through until then.

use super::melting::{CurveSide, MeltingCurve, MeltingTime, time};
use crate::design::FuseType;
use crate::error::Error;
use crate::quantity::{Current, CurrentSquaredTime, Share, Time, Voltage};

/// What the datasheet does not say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum FuseGap {
    /// Melting curve, or melting I2t.
    Melting,
    /// Melting time at such a current.
    MeltingThere,
    /// Total I2t, melting I2t or the voltage that the total one holds for.
    Arcing,
    /// Total I2t at such a voltage.
    ArcingThere,
    /// Rated direct voltage.
    Voltage,
    /// Breaking capacity.
    Breaking,
    /// Smallest current that it breaks, of a fuse that is not known to break all.
    LeastBreaking,
}

/// Why a fuse does not break a current.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the three ratings of breaking
pub enum Unbroken {
    /// The voltage is above its rated direct voltage.
    Voltage,
    /// The current is above its breaking capacity.
    TooLarge,
    /// The current is below the smallest that it breaks: it melts and goes on arcing.
    TooSmall,
}

/// What a fuse does at a steady prospective current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[allow(clippy::exhaustive_enums)] // breaks, never, later, not known
pub enum Clearing {
    /// It breaks the current.
    After {
        /// Melting time.
        melting: Time,
        /// Melting and arcing time.
        total: Time,
        /// I2t of both.
        let_through: CurrentSquaredTime,
    },
    /// It melts later than this, the longest time of its curve, or never. Whether it
    /// then breaks is not said.
    LaterThan(Time),
    /// It does not break the current: the arc goes on, and the fuse may burst.
    Never(Unbroken),
    /// The datasheet does not say.
    NotKnown(FuseGap),
}

/// A fuse in a circuit of a known voltage, as the one that breaks last.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct ClearingCurve {
    melting: Option<MeltingCurve>,
    /// Whether the datasheet has a curve and not only an I2t: what that leaves out above
    /// some milliseconds the fuse does all the same.
    drawn: bool,
    /// I2t of the arc, A2s.
    arcing: Result<f32, FuseGap>,
    /// The same where only its time is asked; more if it is not known how much of the
    /// total I2t is the arc's.
    arcing_for_time: f32,
    /// Whether it breaks at this voltage at all.
    voltage: Result<bool, FuseGap>,
    breaking: Option<f32>,
    least_breaking: Result<f32, FuseGap>,
}

impl ClearingCurve {
    /// Reads a fuse at the voltage that it has to break.
    ///
    /// Inputs: the datasheet; highest voltage of the circuit; tolerance of the melting
    /// curve in current, usually [`super::CURVE_TOLERANCE`].
    ///
    /// The I2t of the arc is total I2t less melting I2t. Where no melting I2t is stated, all
    /// of the total counts as the arc's; where there is no curve either, the fuse melts at
    /// the total one, which it never exceeds. The total I2t counts up to the voltage
    /// that the total I2t is stated for and is not known above; it holds up to the time
    /// constant of the fuse's test, which [`super::judge_time_constant`] judges.
    ///
    /// # Errors
    /// Those of [`MeltingCurve::new`].
    pub fn new(fuse: &FuseType, voltage: Voltage, tolerance: Share) -> Result<Self, Error> {
        let mut clearing = Self::without_melting(fuse, voltage);
        let of = |fuse: &FuseType| MeltingCurve::new(fuse, CurveSide::Latest, tolerance);
        let undrawn = fuse.melting.is_none() && fuse.curve.is_empty() && clearing.arcing.is_ok();
        if let Some(total) = fuse.total.filter(|_| undrawn) {
            let mut all_of_it = fuse.clone();
            all_of_it.melting = Some(total);
            clearing.melting = of(&all_of_it)?;
        }
        if clearing.melting.is_none() {
            clearing.melting = of(fuse)?;
        }
        Ok(clearing)
    }

    /// The same for whoever asks for the arc only, and knows when the fuse melts.
    pub(crate) fn without_melting(fuse: &FuseType, voltage: Voltage) -> Self {
        let volts = libm::fabsf(voltage.as_volts());
        let (arcing, arcing_for_time) = match (fuse.melting, fuse.total, fuse.total_at) {
            (_, Some(_), Some(at)) if volts > at.as_volts() => (Err(FuseGap::ArcingThere), 0.0),
            (Some(melting), Some(total), Some(_)) => {
                let arc = libm::fmaxf(total.as_a2s() - melting.as_a2s(), 0.0);
                (Ok(arc), arc)
            }
            // All of it may be the arc's.
            (None, Some(total), Some(_)) if !fuse.curve.is_empty() => {
                (Ok(total.as_a2s()), total.as_a2s())
            }
            // With the melting time, three times the total I2t over the current squared: as
            // if all of it were the arc's.
            (None, Some(total), Some(_)) => (Ok(0.0), total.as_a2s() * (2.0 / 3.0)),
            _ => (Err(FuseGap::Arcing), 0.0),
        };
        let least_breaking = match (fuse.least_breaking, fuse.utilisation) {
            (Some(least), _) => Ok(least.as_amperes()),
            (None, Some(made_for)) if made_for.full_range() => Ok(0.0),
            (None, _) => Err(FuseGap::LeastBreaking),
        };
        Self {
            melting: None,
            drawn: !fuse.curve.is_empty(),
            arcing,
            arcing_for_time,
            voltage: fuse
                .voltage
                .map(|rated| volts <= rated.as_volts())
                .ok_or(FuseGap::Voltage),
            breaking: fuse.breaking.map(Current::as_amperes),
            least_breaking,
        }
    }

    /// The melting curve, from its latest side.
    pub const fn melting(&self) -> Option<&MeltingCurve> {
        self.melting.as_ref()
    }

    /// Whether the datasheet has a curve and not only an I2t.
    pub(super) const fn is_drawn(&self) -> bool {
        self.drawn
    }

    /// Smallest current of which it is known that the fuse clears it, A.
    pub(super) fn least_cleared(&self) -> Result<f32, FuseGap> {
        let curve = self.melting.as_ref().ok_or(FuseGap::Melting)?;
        let melts = curve.least_current().map_err(|_| FuseGap::MeltingThere)?;
        Ok(libm::fmaxf(melts.as_amperes(), self.least_breaking?))
    }

    /// I2t of the arc; to be added to the I2t until the fuse melts.
    ///
    /// # Errors
    /// What the datasheet does not say.
    pub fn arcing(&self) -> Result<CurrentSquaredTime, FuseGap> {
        self.arcing
            .and_then(|a2s| CurrentSquaredTime::from_a2s(a2s).map_err(|_| FuseGap::Arcing))
    }

    /// Whether the fuse breaks a prospective current, all else aside: voltage,
    /// breaking capacity, smallest breaking current.
    ///
    /// # Errors
    /// What the datasheet does not say. A rating that is broken comes before one that
    /// is missing.
    pub fn breaks(&self, prospective: Current) -> Result<Result<(), Unbroken>, FuseGap> {
        let amperes = libm::fabsf(prospective.as_amperes());
        if self.voltage == Ok(false) {
            return Ok(Err(Unbroken::Voltage));
        }
        if self.breaking.is_some_and(|most| amperes > most) {
            return Ok(Err(Unbroken::TooLarge));
        }
        if self.least_breaking.is_ok_and(|least| amperes < least) {
            return Ok(Err(Unbroken::TooSmall));
        }
        self.voltage?;
        self.breaking.ok_or(FuseGap::Breaking)?;
        self.least_breaking?;
        Ok(Ok(()))
    }

    /// Computes: how long an arc burns, until the current is zero.
    ///
    /// Equation: t = 3 (I2t of the arc) / I2, the current falling along a straight line
    /// from I at the end of melting. Computed; only the I2t heats what the fuse
    /// protects, the time is for people and for what opens after it.
    ///
    /// # Errors
    /// What the datasheet does not say.
    pub fn arcing_time(&self, at_melting: Current) -> Result<Time, FuseGap> {
        let amperes = at_melting.as_amperes();
        self.arcing?;
        Ok(time(3.0 * self.arcing_for_time / (amperes * amperes)))
    }

    /// Computes: what the fuse does at a steady prospective current.
    ///
    /// Clearing time is the latest melting time and the time of the arc; the I2t let
    /// through is I2 times that melting time and the I2t of the arc. A current that is
    /// not yet steady when the fuse melts is limited: then follow its course with
    /// [`super::Melting`] and add [`ClearingCurve::arcing`].
    pub fn at(&self, prospective: Current) -> Clearing {
        let breaks = self.breaks(prospective);
        let melting = self
            .melting
            .as_ref()
            .map(|curve| curve.time_at(prospective));
        let melting = match (breaks, melting) {
            (Ok(Err(why @ (Unbroken::Voltage | Unbroken::TooLarge))), _) => {
                return Clearing::Never(why);
            }
            (_, Some(MeltingTime::LaterThan(time))) => return Clearing::LaterThan(time),
            (Ok(Err(why)), _) => return Clearing::Never(why),
            (Err(gap), _) => return Clearing::NotKnown(gap),
            (_, None) => return Clearing::NotKnown(FuseGap::Melting),
            (_, Some(MeltingTime::NotKnown)) => {
                return Clearing::NotKnown(FuseGap::MeltingThere);
            }
            (Ok(Ok(())), Some(MeltingTime::After(melting))) => melting,
        };
        let (arc, arc_time) = match (self.arcing, self.arcing_time(prospective)) {
            (Ok(arc), Ok(time)) => (arc, time),
            (Err(gap), _) | (_, Err(gap)) => return Clearing::NotKnown(gap),
        };
        let amperes = prospective.as_amperes();
        let i2t = amperes * amperes * melting.as_seconds() + arc;
        match CurrentSquaredTime::from_a2s(i2t) {
            Ok(let_through) => Clearing::After {
                melting,
                total: time(melting.as_seconds() + arc_time.as_seconds()),
                let_through,
            },
            Err(_) => Clearing::NotKnown(FuseGap::MeltingThere),
        }
    }
}
