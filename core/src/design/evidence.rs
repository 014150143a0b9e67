//! What was measured and what was attested, by whom and when.

use core::cmp::Ordering;
use core::num::NonZeroU16;

use super::Design;
use super::index::{ReadingId, SignatureId, TextId, Thing};
use crate::error::{Error, Inconsistency};
use crate::quantity::{
    Capacitance, Current, Length, Mass, Resistance, Share, Temperature, Time, Torque, Voltage,
};
use crate::verdict::Side;

/// A day of the calendar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// A day.
    ///
    /// # Errors
    /// [`Inconsistency::NoSuchDay`] before 1900, after 2199, and for days that the
    /// calendar does not have.
    pub const fn new(year: u16, month: u8, day: u8) -> Result<Self, Error> {
        let leap =
            year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            _ => 0,
        };
        if year < 1900 || year > 2199 || day == 0 || day > days {
            return Err(Error::Inconsistent(Inconsistency::NoSuchDay));
        }
        Ok(Self { year, month, day })
    }

    /// Year, month, day.
    pub const fn parts(self) -> (u16, u8, u8) {
        (self.year, self.month, self.day)
    }
}

/// A minute of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
pub struct TimeOfDay {
    /// Minutes of the day that have begun: never zero, so that a record without a time needs no
    /// room to say so.
    begun: NonZeroU16,
}

impl TimeOfDay {
    /// Hour and minute.
    ///
    /// # Errors
    /// [`Inconsistency::NoSuchMinute`] from 24 hours or 60 minutes on.
    pub const fn new(hour: u8, minute: u8) -> Result<Self, Error> {
        let begun = NonZeroU16::new(hour as u16 * 60 + minute as u16 + 1);
        match begun {
            Some(begun) if hour <= 23 && minute <= 59 => Ok(Self { begun }),
            _ => Err(Error::Inconsistent(Inconsistency::NoSuchMinute)),
        }
    }

    /// Hour and minute.
    #[allow(clippy::cast_possible_truncation)] // less than 24 and less than 60
    pub const fn parts(self) -> (u8, u8) {
        let passed = self.minutes();
        ((passed / 60) as u8, (passed % 60) as u8)
    }

    /// Minutes since the day began.
    pub(crate) const fn minutes(self) -> u16 {
        self.begun.get() - 1
    }
}

/// When something was read or looked at, as far as that was written down.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Moment {
    /// The day.
    pub date: Option<Date>,
    /// The minute of the day.
    pub time: Option<TimeOfDay>,
}

impl Moment {
    /// Whether it is known to be later: of a later day, or of a later minute of the same day.
    /// Nobody knows whether anything is later than what has no day, nor, of the same day, than
    /// what has no time.
    pub fn is_after(self, other: Self) -> bool {
        self.order(other) == Some(Ordering::Greater)
    }

    /// Which is later, as far as anybody knows; two of one minute are in no order.
    fn order(self, other: Self) -> Option<Ordering> {
        let by_day = self.date?.cmp(&other.date?);
        let order = match by_day {
            Ordering::Equal => self.time?.cmp(&other.time?),
            _ => by_day,
        };
        Some(order).filter(|order| order.is_ne())
    }

    /// Whether a record of this moment counts in place of another, where neither is worse: the
    /// later one; where nobody knows which that is, one with a day before one without, and of
    /// one day the one written last.
    pub fn outdates(self, other: Self, is_written_later: bool) -> bool {
        match self.order(other) {
            Some(order) => order.is_gt(),
            None => self.date > other.date || self.date == other.date && is_written_later,
        }
    }

    /// Whether more is later than this than is later than another.
    pub(crate) fn is_easier_to_follow(self, other: Self) -> bool {
        let bar = |one: Self| (one.date.is_none(), one.date, one.time.is_none(), one.time);
        bar(self) < bar(other)
    }
}

/// Which end of a conductor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // a conductor has two ends
pub enum WhichEnd {
    /// Where it starts.
    From,
    /// Where it ends.
    To,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[non_exhaustive]
pub enum Measured {
    /// Resistance from the high-voltage system to chassis, with the tester's voltage.
    Isolation {
        /// What was read.
        resistance: Resistance,
        /// Voltage of the tester.
        at: Voltage,
    },
    /// One of the voltages of the method with an inserted resistor.
    PoleToChassis {
        /// What was read.
        voltage: Voltage,
        /// The resistor that was put in, if one was.
        inserted: Option<Resistance>,
    },
    /// Resistance of a bond to chassis, with the tester's current.
    Bond {
        /// What was read.
        resistance: Resistance,
        /// Current of the tester.
        at: Option<Current>,
    },
    /// Resistance of a joint.
    Joint(Resistance),
    /// Voltage across a joint or along a conductor at a current.
    Drop {
        /// What was read.
        voltage: Voltage,
        /// Current that flowed.
        at: Current,
    },
    /// Resistance of a shield from end to end.
    Shield(Resistance),
    /// Distance from the edge of the shield to the bare conductor.
    CutBack(Length),
    /// Voltage of a withstand or insulation test that was passed.
    Withstood(Voltage),
    /// Time constant of the precharge.
    Precharge(Time),
    /// Time until the link capacitor was down to the touchable voltage.
    Discharge(Time),
    /// Voltage at a test point.
    Voltage(Voltage),
    /// Temperature after a load.
    Temperature {
        /// What was read.
        temperature: Temperature,
        /// Current that flowed.
        at: Current,
        /// Air beside it.
        air: Temperature,
    },
    /// Capacitance.
    Capacitance(Capacitance),
    /// Torque that a joint was tightened with.
    Torque(Torque),
    /// Mass.
    Mass(Mass),
    /// A number that was counted: strokes, closings.
    Count(u32),
}

impl Measured {
    /// Whether two readings of one thing on one day cannot both be right: the same was
    /// measured under the same conditions, with another result. Voltages of a pole to
    /// chassis differ from pole to pole and never contradict each other.
    #[cfg(feature = "text")]
    pub fn contradicts(self, other: Self) -> bool {
        let same_question = match (self, other) {
            (Self::Isolation { at, .. }, Self::Isolation { at: then, .. }) => at == then,
            (Self::Bond { at, .. }, Self::Bond { at: then, .. }) => at == then,
            (Self::Drop { at, .. }, Self::Drop { at: then, .. }) => at == then,
            (
                Self::Temperature { at, air, .. },
                Self::Temperature {
                    at: then,
                    air: air_then,
                    ..
                },
            ) => at == then && air == air_then,
            (Self::PoleToChassis { .. }, _) => false,
            _ => core::mem::discriminant(&self) == core::mem::discriminant(&other),
        };
        same_question && self != other
    }
}

/// Who, when and with what: kept once for all readings and attestations of one go.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Signature {
    /// By whom.
    pub initials: Option<TextId>,
    /// When.
    pub date: Option<Date>,
    /// At which minute of the day, where another record of the day says otherwise.
    pub time: Option<TimeOfDay>,
    /// The instrument.
    pub instrument: Option<TextId>,
    /// Accuracy of the instrument.
    pub accuracy: Option<Share>,
    /// Revision of the design that was in force.
    pub revision: Option<TextId>,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Reading {
    /// What it was read at.
    pub at: Thing,
    /// Which end of it, where it has two.
    pub end: Option<WhichEnd>,
    /// What was read.
    pub measured: Measured,
    /// Who, when and with what.
    pub signature: Option<SignatureId>,
}

impl Reading {
    /// What it says of the resistance of a joint: read as such, or the drop across one end
    /// at a known current.
    pub(crate) fn joint(&self) -> Option<Resistance> {
        match self.measured {
            Measured::Joint(ohms) => Some(ohms),
            Measured::Drop { voltage, at } if self.end.is_some() => {
                let ohms = libm::fabsf(voltage.as_volts() / at.as_amperes());
                Resistance::from_ohms(ohms).ok()
            }
            _ => None,
        }
    }

    /// Which of two readings of a kind is worse, each at the worse end of its accuracy, a share;
    /// greater is worse. `None` of kinds of which neither side is.
    fn worse_by(&self, other: &Self, accuracies: [f32; 2]) -> Option<Ordering> {
        let [own, its] = accuracies;
        let at_worst = |side: Side, read: f32, accuracy: f32| match side {
            Side::AtMost => read + libm::fabsf(read) * accuracy,
            Side::AtLeast => libm::fabsf(read) * accuracy - read,
        };
        let order = |side: Side, [one, two]: [f32; 2]| {
            at_worst(side, one, own).total_cmp(&at_worst(side, two, its))
        };
        let most = |read| order(Side::AtMost, read);
        let least = |read| order(Side::AtLeast, read);
        if let (Some(one), Some(two)) = (self.joint(), other.joint()) {
            return Some(most([one, two].map(Resistance::as_ohms)));
        }
        let along = |voltage: Voltage, at: Current| {
            libm::fabsf(voltage.as_volts()) / libm::fabsf(at.as_amperes())
        };
        Some(match (self.measured, other.measured) {
            (
                Measured::Isolation { resistance, at },
                Measured::Isolation {
                    resistance: other,
                    at: then,
                },
            ) => least([resistance, other].map(Resistance::as_ohms))
                .then(then.as_volts().total_cmp(&at.as_volts())),
            (
                Measured::Bond { resistance, .. },
                Measured::Bond {
                    resistance: other, ..
                },
            ) => most([resistance, other].map(Resistance::as_ohms)),
            (
                Measured::Drop { voltage, at },
                Measured::Drop {
                    voltage: other,
                    at: then,
                },
            ) => most([along(voltage, at), along(other, then)]),
            (Measured::Shield(one), Measured::Shield(two)) => {
                most([one, two].map(Resistance::as_ohms))
            }
            (Measured::CutBack(one), Measured::CutBack(two)) => {
                least([one, two].map(Length::as_metres))
            }
            (Measured::Precharge(one), Measured::Precharge(two))
            | (Measured::Discharge(one), Measured::Discharge(two)) => {
                most([one, two].map(Time::as_seconds))
            }
            _ => return None,
        })
    }
}

impl Design {
    /// The stated accuracy of the instrument of a reading, as a share; one that nobody
    /// stated counts as exact.
    pub(crate) fn accuracy(&self, reading: &Reading) -> f32 {
        let signature = reading.signature.and_then(|id| self.get(id));
        let accuracy = signature.and_then(|signature| signature.accuracy);
        accuracy.map_or(0.0, Share::as_fraction)
    }

    /// What was read, at the end of its accuracy that is worse on a side of a limit.
    #[inline(never)] // a dozen places call it
    pub(crate) fn worse_end(&self, reading: &Reading, read: f32, side: Side) -> f32 {
        let off = libm::fabsf(read) * self.accuracy(reading);
        match side {
            Side::AtMost => read + off,
            Side::AtLeast => read - off,
        }
    }

    /// The reading of a kind at a thing that counts: see [`Self::replaces`].
    pub(crate) fn latest_reading<T>(
        &self,
        at: Thing,
        of: impl Fn(&Reading) -> Option<T>,
    ) -> Option<(ReadingId, Reading, T)> {
        let mut found: Option<(ReadingId, Reading, T)> = None;
        for (id, reading) in self.all::<Reading>() {
            if reading.at != at {
                continue;
            }
            let Some(value) = of(reading) else {
                continue;
            };
            if !self.is_outdated(reading, &|other| of(other).is_some())
                && found
                    .as_ref()
                    .is_none_or(|(_, known, _)| self.replaces(reading, known))
            {
                found = Some((id, *reading, value));
            }
        }
        found
    }

    /// Whether a later reading of the same kind was made at the same thing.
    #[inline(never)] // as above
    fn is_outdated(&self, reading: &Reading, of: &dyn Fn(&Reading) -> bool) -> bool {
        let when = self.moment(reading.signature);
        self.all::<Reading>().any(|(_, other)| {
            other.at == reading.at && self.moment(other.signature).is_after(when) && of(other)
        })
    }

    /// When a record was made.
    pub fn moment(&self, signature: Option<SignatureId>) -> Moment {
        let signature = signature.and_then(|id| self.get(id));
        signature.map_or_else(Moment::default, |one| Moment {
            date: one.date,
            time: one.time,
        })
    }

    /// Whether a reading counts in place of one that was written before it: a later one, or
    /// where nobody knows which was first (see [`Moment::is_after`]) a worse one; where neither
    /// is worse see [`Moment::outdates`].
    pub(crate) fn replaces(&self, reading: &Reading, known: &Reading) -> bool {
        let (then, before) = (self.moment(reading.signature), self.moment(known.signature));
        if let Some(order) = then.order(before) {
            return order.is_gt();
        }
        match reading.worse_by(known, [reading, known].map(|one| self.accuracy(one))) {
            Some(Ordering::Equal) | None => then.outdates(before, true),
            Some(order) => order.is_gt(),
        }
    }
}

/// What somebody looked at and stands for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Attestation {
    /// The rule that it answers, by its slug.
    pub rule: TextId,
    /// What it is about.
    pub about: Thing,
    /// Whether the rule is kept.
    pub holds: bool,
    /// Name of a photo.
    pub photo: Option<TextId>,
    /// Who and when.
    pub signature: Option<SignatureId>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_calendar_has_these_days_and_not_those() {
        for (year, month, day) in [(2024, 2, 29), (2000, 2, 29), (2025, 12, 31), (1900, 1, 1)] {
            let date = Date::new(year, month, day).unwrap();
            assert_eq!(date.parts(), (year, month, day));
        }
        for (year, month, day) in [
            (2025, 2, 29),
            (1900, 2, 29),
            (2025, 4, 31),
            (2025, 13, 1),
            (2025, 0, 1),
            (2025, 1, 0),
            (1899, 12, 31),
            (2200, 1, 1),
        ] {
            assert!(Date::new(year, month, day).is_err(), "{year}-{month}-{day}");
        }
    }

    #[cfg(feature = "text")]
    #[test]
    fn readings_contradict_each_other_only_under_the_same_conditions() {
        let ohm = |value| Resistance::from_ohms(value).unwrap();
        let volt = |value| Voltage::from_volts(value).unwrap();
        let isolation = |ohms, volts| Measured::Isolation {
            resistance: ohm(ohms),
            at: volt(volts),
        };
        let pole = |volts| Measured::PoleToChassis {
            voltage: volt(volts),
            inserted: None,
        };
        for (one, other, contradict) in [
            (isolation(1.0e6, 500.0), isolation(2.0e6, 500.0), true),
            (isolation(1.0e6, 500.0), isolation(2.0e6, 1000.0), false),
            (isolation(1.0e6, 500.0), isolation(1.0e6, 500.0), false),
            (Measured::Joint(ohm(1.0)), Measured::Joint(ohm(2.0)), true),
            (Measured::Joint(ohm(1.0)), Measured::Shield(ohm(2.0)), false),
            (pole(40.0), pole(60.0), false),
        ] {
            assert_eq!(one.contradicts(other), contradict);
            assert_eq!(other.contradicts(one), contradict);
        }
    }

    fn with_readings(readings: impl IntoIterator<Item = (Measured, Signature)>) -> Design {
        let mut design = Design::new(crate::insulation::Domain::Road);
        for (measured, signature) in readings {
            let reading = Reading {
                at: Thing::VEHICLE,
                end: None,
                measured,
                signature: Some(design.add(signature).unwrap()),
            };
            design.add(reading).unwrap();
        }
        design
    }

    /// What is judged is the worse end of the accuracy, so that is what is worse.
    #[test]
    fn of_one_day_the_worse_end_of_the_accuracy_counts() {
        let joint = |uohm: f32| Measured::Joint(Resistance::from_ohms(1.0e-6 * uohm).unwrap());
        let isolation = |ohms: f32| Measured::Isolation {
            resistance: Resistance::from_ohms(ohms).unwrap(),
            at: Voltage::from_volts(500.0).unwrap(),
        };
        let cut_back = |mm: f32| Measured::CutBack(Length::from_mm(mm).unwrap());
        // The first one counts in each.
        for pair in [
            [(joint(100.0), 5.0), (joint(104.0), 0.0)],
            [(joint(106.0), 0.0), (joint(100.0), 5.0)],
            [(isolation(75.0e3), 10.0), (isolation(74.0e3), 0.0)],
            [(isolation(67.0e3), 0.0), (isolation(75.0e3), 10.0)],
            [(cut_back(20.0), 10.0), (cut_back(19.0), 0.0)],
        ] {
            for order in [pair, [pair[1], pair[0]]] {
                let design = with_readings(order.map(|(measured, percent)| {
                    let signature = Signature {
                        date: Some(Date::new(2025, 6, 1).unwrap()),
                        accuracy: Some(Share::from_fraction(0.01 * percent).unwrap()),
                        ..Signature::default()
                    };
                    (measured, signature)
                }));
                let any = |reading: &Reading| Some(reading.measured);
                let (.., found) = design.latest_reading(Thing::VEHICLE, any).unwrap();
                assert_eq!(found, pair[0].0);
            }
        }
    }

    #[test]
    fn a_minute_is_one_of_its_day() {
        for (hour, minute) in [(0, 0), (9, 5), (23, 59)] {
            let time = TimeOfDay::new(hour, minute).unwrap();
            assert_eq!(time.parts(), (hour, minute));
        }
        for (hour, minute) in [(24, 0), (0, 60), (255, 255)] {
            assert!(TimeOfDay::new(hour, minute).is_err(), "{hour}:{minute}");
        }
        assert!(TimeOfDay::new(9, 59).unwrap() < TimeOfDay::new(10, 0).unwrap());
    }

    /// A later one counts; where nobody can say which was first the worse one does, whatever
    /// the order in the file.
    #[test]
    fn of_one_time_and_of_no_day_the_worse_counts() {
        type Read = (f32, Option<u8>, Option<u8>);
        let design = |readings: &[Read]| {
            with_readings(readings.iter().map(|(ohms, day, hour)| {
                let signature = Signature {
                    date: day.map(|day| Date::new(2025, 6, day).unwrap()),
                    time: hour.map(|hour| TimeOfDay::new(hour, 30).unwrap()),
                    ..Signature::default()
                };
                let measured = Measured::Isolation {
                    resistance: Resistance::from_ohms(*ohms).unwrap(),
                    at: Voltage::from_volts(500.0).unwrap(),
                };
                (measured, signature)
            }))
        };
        let cases: &[(&[Read], f32)] = &[
            (&[(3.0e3, Some(1), None), (9.0e5, Some(2), None)], 9.0e5),
            (&[(3.0e3, Some(2), None), (9.0e5, Some(1), None)], 3.0e3),
            (&[(3.0e3, Some(1), None), (9.0e5, Some(1), None)], 3.0e3),
            (&[(3.0e3, None, None), (9.0e5, Some(1), None)], 3.0e3),
            (&[(3.0e3, Some(1), None), (9.0e5, None, None)], 3.0e3),
            (&[(3.0e3, None, None), (9.0e5, None, None)], 3.0e3),
            // Found in the morning, mended before noon.
            (
                &[(3.0e3, Some(1), Some(9)), (9.0e5, Some(1), Some(11))],
                9.0e5,
            ),
            (
                &[(3.0e3, Some(1), Some(11)), (9.0e5, Some(1), Some(9))],
                3.0e3,
            ),
            (
                &[(3.0e3, Some(1), Some(9)), (9.0e5, Some(1), Some(9))],
                3.0e3,
            ),
            (
                &[(3.0e3, Some(1), Some(23)), (9.0e5, Some(2), Some(0))],
                9.0e5,
            ),
            (&[(3.0e3, Some(1), None), (9.0e5, Some(1), Some(11))], 3.0e3),
            (&[(3.0e3, Some(1), Some(9)), (9.0e5, Some(1), None)], 3.0e3),
            (&[(3.0e3, None, Some(9)), (9.0e5, None, Some(11))], 3.0e3),
            // Of three the worst of those that no other is later than.
            (
                &[
                    (3.0e3, Some(1), Some(9)),
                    (5.0e3, Some(1), None),
                    (9.0e5, Some(1), Some(11)),
                ],
                5.0e3,
            ),
            (
                &[
                    (3.0e3, Some(1), None),
                    (5.0e3, None, None),
                    (9.0e5, Some(2), None),
                ],
                5.0e3,
            ),
        ];
        for (readings, counts) in cases {
            for order in [
                [0, 1, 2],
                [0, 2, 1],
                [1, 0, 2],
                [1, 2, 0],
                [2, 0, 1],
                [2, 1, 0],
            ] {
                let mut some: heapless::Vec<Read, 3> = heapless::Vec::new();
                for at in order {
                    if let Some(reading) = readings.get(at) {
                        some.push(*reading).unwrap();
                    }
                }
                let design = design(&some);
                let ohms = |reading: &Reading| match reading.measured {
                    Measured::Isolation { resistance, .. } => Some(resistance.as_ohms()),
                    _ => None,
                };
                let (.., found) = design.latest_reading(Thing::VEHICLE, ohms).unwrap();
                assert_eq!(found.to_bits(), f32::to_bits(*counts), "{some:?}");
            }
        }
    }

    #[test]
    fn a_later_day_is_greater() {
        let day = |y, m, d| Date::new(y, m, d).unwrap();
        assert!(day(2024, 12, 31) < day(2025, 1, 1));
        assert!(day(2025, 1, 31) < day(2025, 2, 1));
    }
}
