//! What a resistor may take: one pulse, several in a row, a relay that stays closed.
//!
//! The resistor is a heat store: `dq/dt = p - q/T`. `q` is what is left in it of past
//! pulses, and one pulse rating is what it may hold.

use crate::design::ResistorType;
use crate::error::Error;
use crate::quantity::{Energy, Power, Time};
use crate::standard::SourceId;

/// The ratings of a resistor, from its datasheet.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ResistorRating {
    /// Energy of one pulse from cold.
    pub pulse: Option<Energy>,
    /// Peak power of one pulse.
    pub peak_power: Option<Power>,
    /// Lasting power.
    pub power: Option<Power>,
    /// Time constant of its cooling.
    pub cooling: Option<Time>,
}

impl From<&ResistorType> for ResistorRating {
    fn from(part: &ResistorType) -> Self {
        Self {
            pulse: part.pulse,
            peak_power: part.peak_power,
            power: part.power,
            cooling: part.cooling,
        }
    }
}

/// Tries in a row.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Tries {
    /// How many, at least one.
    pub count: u8,
    /// Pause between the end of one and the beginning of the next.
    pub pause: Time,
}

/// How long a resistor stands a power.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // for a time, for ever, or nobody can say
pub enum Stands {
    /// For this long.
    For(Time),
    /// As long as it lasts.
    Always,
    /// The datasheet values that would tell are missing.
    NotKnown,
}

/// How long to wait before a whole series of tries may begin again.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // after a time, never, or nobody can say
pub enum Lock {
    /// After this long.
    For(Time),
    /// Even one series from cold is too much.
    Never,
    /// The datasheet values that would tell are missing.
    NotKnown,
}

impl ResistorRating {
    /// Time constant of the cooling and where it comes from.
    ///
    /// Where the datasheet states none it is pulse energy over lasting power: the time
    /// in which a resistor at its lasting power gives off what one pulse brings. That is
    /// a choice of this project and not a datasheet value.
    pub fn cooling(&self) -> Option<(Time, SourceId)> {
        if let Some(cooling) = self.cooling {
            return (cooling.as_seconds() > 0.0).then_some((cooling, SourceId::Entered));
        }
        let (pulse, power) = (self.pulse?.as_joules(), self.power?.as_watts());
        if pulse <= 0.0 || power <= 0.0 {
            return None;
        }
        let time = Time::from_seconds(pulse / power).ok()?;
        Some((time, SourceId::ProjectDefault))
    }

    /// Share of the stored energy that is left after a time; all of it where the cooling
    /// is not known.
    fn left_after(&self, time: Time) -> f32 {
        self.cooling().map_or(1.0, |(cooling, _)| {
            libm::expf(-time.as_seconds() / cooling.as_seconds())
        })
    }

    /// What is stored after a time at constant power: `q P T` of the heat store. A
    /// controller calls it in every tick.
    ///
    /// Without a known cooling nothing is given off, which is the safe side.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of an energy.
    pub fn stored_after(&self, stored: Energy, power: Power, time: Time) -> Result<Energy, Error> {
        let (before, watts, seconds) = (stored.as_joules(), power.as_watts(), time.as_seconds());
        let Some((cooling, _)) = self.cooling() else {
            return Energy::from_joules(before + watts * seconds);
        };
        let cooling = cooling.as_seconds();
        // Written over the change, so that a short tick is not lost in the sum.
        let change = (watts * cooling - before) * -libm::expm1f(-seconds / cooling);
        Energy::from_joules(before + change)
    }

    /// Most that is stored at the end of the last of several equal tries from cold:
    /// `E (1 - a^N)/(1 - a)` with `a = exp(-pause/T)`. What it gives off during a try is
    /// not counted.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of an energy.
    pub fn stored_by_tries(&self, each: Energy, tries: Tries) -> Result<Energy, Error> {
        let left = self.left_after(tries.pause);
        let mut stored = 0.0;
        for _ in 0..tries.count.max(1) {
            stored = stored * left + each.as_joules();
        }
        Energy::from_joules(stored)
    }

    /// Most tries in a row that one pulse rating holds, at most 255; absent where the
    /// pulse energy is not known.
    pub fn most_tries(&self, each: Energy, pause: Time) -> Option<u8> {
        let pulse = self.pulse?.as_joules();
        let (left, each) = (self.left_after(pause), each.as_joules());
        let mut stored = 0.0;
        let mut count = 0;
        while count < u8::MAX {
            stored = stored * left + each;
            if stored > pulse || stored.is_nan() {
                break;
            }
            count += 1;
        }
        Some(count)
    }

    /// How long to wait after a series of tries before the whole series may begin again,
    /// as often as one likes.
    ///
    /// Computes: `t = T ln(a^(N-1) Ep / (Ep - q))` with `q` of [`Self::stored_by_tries`]
    /// and `Ep` the pulse energy; zero where nothing has to be waited for.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of an energy or a time.
    pub fn lock(&self, each: Energy, tries: Tries) -> Result<Lock, Error> {
        let Some(pulse) = self.pulse.map(Energy::as_joules) else {
            return Ok(Lock::NotKnown);
        };
        let stored = self.stored_by_tries(each, tries)?.as_joules();
        if stored >= pulse {
            // Without a known cooling the sum leaves out what the pauses give off.
            return Ok(if self.cooling().is_some() || each.as_joules() > pulse {
                Lock::Never
            } else {
                Lock::NotKnown
            });
        }
        let Some((cooling, _)) = self.cooling() else {
            return Ok(Lock::NotKnown);
        };
        let left = self.left_after(tries.pause);
        let mut at_last = pulse;
        for _ in 1..tries.count.max(1) {
            at_last *= left;
        }
        let wait = cooling.as_seconds() * libm::logf(at_last / (pulse - stored));
        Ok(Lock::For(Time::from_seconds(wait.max(0.0))?))
    }

    /// How long it stands a constant power from cold.
    ///
    /// Computes: `t = -T ln(1 - Ep/(P T))`; `Ep/P` where the cooling is not known;
    /// always up to its lasting power.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a time.
    pub fn stands(&self, power: Power) -> Result<Stands, Error> {
        let watts = power.as_watts();
        if watts <= 0.0
            || self
                .power
                .is_some_and(|lasting| watts <= lasting.as_watts())
        {
            return Ok(Stands::Always);
        }
        let Some(pulse) = self.pulse.map(Energy::as_joules) else {
            return Ok(Stands::NotKnown);
        };
        let adiabatic = pulse / watts;
        let time = match self.cooling() {
            None => adiabatic,
            Some((cooling, _)) => {
                let cooling = cooling.as_seconds();
                let share = adiabatic / cooling;
                if share >= 1.0 {
                    // Above the lasting power, so that the store does not tell: whichever
                    // of both is lower holds.
                    return Ok(match self.power {
                        Some(_) => Stands::For(Time::from_seconds(adiabatic)?),
                        None => Stands::Always,
                    });
                }
                -cooling * libm::log1pf(-share)
            }
        };
        Ok(Stands::For(Time::from_seconds(time)?))
    }
}
