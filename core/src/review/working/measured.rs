//! Readings, and what they are held against.

use super::{How, Work};
use crate::design::{
    Battery, BatteryId, Conductor, ConductorId, Contactor, ContactorId, Kind, Measured, Reading,
    ReadingId, Thing, WhichEnd,
};
use crate::quantity::Length;
use crate::review::aspect::{Aspect, Unit};
use crate::review::compared::compared;
use crate::review::conductor_read::ReadAt;
use crate::review::finding::{Because, Finding};
use crate::review::measured::{JOINT_FACTOR, farthest};
use crate::review::shield::CONTACTS_OHM;
use crate::shield::braid;
use crate::standard::SourceId;
use crate::verdict::Side;

/// Whether a reading is of the kind that a finding judges.
const fn is_read_for(aspect: Aspect, measured: &Measured) -> bool {
    matches!(
        (aspect, measured),
        (
            Aspect::Isolation | Aspect::IsolationNew | Aspect::TesterVoltage,
            Measured::Isolation { .. }
        ) | (Aspect::Bond, Measured::Bond { .. })
            | (Aspect::Joint, Measured::Joint(_) | Measured::Drop { .. })
            | (Aspect::CutBack, Measured::CutBack(_))
            | (Aspect::ShieldResistance, Measured::Shield(_))
            | (Aspect::Strokes | Aspect::Closings, Measured::Count(_))
            | (
                Aspect::TestPointHigh | Aspect::TestPointLow | Aspect::TestPointApart,
                Measured::Voltage(_)
            )
            | (Aspect::TimeConstantOff, Measured::Precharge(_))
            | (Aspect::DischargeOff, Measured::Discharge(_))
            | (Aspect::DropOff, Measured::Drop { .. })
            | (
                Aspect::TemperatureRead | Aspect::TemperatureCarried | Aspect::TemperatureOff,
                Measured::Temperature { .. }
            )
            | (Aspect::CapacitanceOff, Measured::Capacitance(_))
    )
}

impl Finding {
    /// The reading that a finding judges, whether its record counts or not.
    #[cfg(feature = "text")]
    pub fn reading(&self, design: &crate::design::Design) -> Option<ReadingId> {
        if let Some(Because::Read(reading)) = self.because {
            return Some(reading);
        }
        let end = self
            .thing
            .id::<ConductorId>()
            .and_then(|id| design.get(id))
            .and_then(|lead: &Conductor| {
                let at = self.at?;
                let which = [(lead.from, WhichEnd::From), (lead.to, WhichEnd::To)];
                let found = which.into_iter().find(|(end, _)| at == (*end).into());
                found.map(|(_, which)| which)
            });
        // A drop without an end is one along the whole conductor.
        let whole = matches!(
            self.judged.name,
            Aspect::DropOff
                | Aspect::TemperatureOff
                | Aspect::TemperatureRead
                | Aspect::TemperatureCarried
        );
        let of = |reading: &Reading| {
            let here = reading.end == end || (end.is_none() && !whole);
            (here && is_read_for(self.judged.name, &reading.measured)).then_some(())
        };
        let (reading, ..) = design.latest_reading(self.thing, of)?;
        Some(reading)
    }
}

impl Work<'_> {
    pub(super) fn of_reading(&self) -> Option<()> {
        let value = self.read_value();
        let limit = self.read_limit();
        value.and(limit)
    }

    /// The reading, or how far it is from what was computed.
    fn read_value(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let id = self.finding.reading(self.design)?;
        let reading: &Reading = self.design.get(id)?;
        let shown = |symbol, read, key| {
            let unit = self.finding.judged.name.unit();
            self.worse_end(symbol, (id, reading), read, value, (unit, key));
        };
        match (self.finding.judged.name, reading.measured) {
            (Aspect::TesterVoltage, _) => self.value("Utest", id, "reading.test-voltage"),
            (_, Measured::Isolation { resistance, .. }) => {
                shown("R", resistance.as_ohms(), "reading.isolation");
            }
            (_, Measured::Bond { resistance, .. }) => {
                shown("R", resistance.as_ohms(), "reading.bond");
            }
            (Aspect::Joint, Measured::Joint(ohms)) => shown("R", ohms.as_ohms(), "reading.joint"),
            (Aspect::Joint, Measured::Drop { voltage, at }) => {
                let read = reading.joint()?.as_ohms();
                self.by(
                    "resistance of the joint",
                    "max(U / I, -U / I)",
                    SourceId::OhmsLaw,
                )
                .stated("U", voltage.as_volts(), Unit::Volt, id, "reading.drop")
                .stated("I", at.as_amperes(), Unit::Ampere, id, "reading.current")
                .gives("R", read, Unit::Ohm);
                if self.design.accuracy(reading) > 0.0 {
                    shown("R", read, "reading.drop");
                }
            }
            (_, Measured::CutBack(length)) => shown("d", length.as_mm(), "reading.cut-back"),
            (_, Measured::Shield(ohms)) => shown("R", ohms.as_ohms(), "reading.shield"),
            (Aspect::TestPointApart, _) => return self.strings_apart(),
            (_, Measured::Voltage(voltage)) => shown("U", voltage.as_volts(), "reading.voltage"),
            (Aspect::TemperatureRead, Measured::Temperature { temperature, .. }) => {
                shown("T", temperature.as_degc(), "reading.temperature");
            }
            (Aspect::TemperatureCarried, Measured::Temperature { .. }) => {
                return self.told_of_duty((id, reading), value);
            }
            (_, Measured::Count(_)) => self.value("n", id, "reading.count"),
            _ => return self.off(id),
        }
        Some(())
    }

    fn read_limit(&self) -> Option<()> {
        let limit = self.finding.judged.limit?;
        match self.finding.judged.name {
            Aspect::Isolation => self.isolation_limit("z * Umax", SourceId::UnR100Isolation),
            Aspect::IsolationNew => self.isolation_limit("5 * z * Umax", SourceId::CommonPractice),
            Aspect::TesterVoltage => self.highest_voltage().map(drop),
            Aspect::Joint => self.best_joint(limit),
            Aspect::CutBack => {
                let volts = self.highest_voltage()?;
                let how = How::Words(
                    "the table of creepage distances for that voltage, with pollution degree and \
                     the worst material group of the box",
                );
                self.step("distance that is needed", how, self.finding.judged.source)
                    .number("Umax", volts, Unit::Volt)
                    .gives("dneeded", limit, Unit::Mm);
                Some(())
            }
            Aspect::ShieldResistance => self.twice_the_braid(limit),
            Aspect::Closings => {
                let id = self.finding.thing.id::<ContactorId>()?;
                let contactor: &Contactor = self.design.get(id)?;
                self.limit("nmost", contactor.part?, "contactor-type.endurance");
                Some(())
            }
            Aspect::TestPointHigh => self.battery_voltage(true, limit),
            Aspect::TemperatureRead => self.temperature_allowed(limit),
            Aspect::TemperatureCarried => {
                let how = How::Words(
                    "what cable, terminal or lug allows, less the reserve that is kept of what is \
                     computed",
                );
                self.step(self.finding.judged.name.limit_words(), how, None)
                    .gives("Tlimit", limit, Unit::DegC);
                Some(())
            }
            Aspect::TestPointApart if self.design.controller.join_window.is_some() => {
                self.limit("dUlimit", Thing::CONTROLLER, "controller.join-window");
                Some(())
            }
            Aspect::TestPointLow => self.battery_voltage(false, limit),
            _ => {
                self.fixed_limit("limit");
                Some(())
            }
        }
    }

    /// The best of all joints on the same cable, and what is allowed beside it.
    fn best_joint(&self, limit: f32) -> Option<()> {
        let lead: &Conductor = self.design.get(self.finding.thing.id::<ConductorId>()?)?;
        let best = self.design.all::<Reading>().find_map(|(id, reading)| {
            let other: &Conductor = self.design.get(reading.at.id::<ConductorId>()?)?;
            let ohms = reading.joint().filter(|_| other.cable == lead.cable)?;
            let own = JOINT_FACTOR * ohms.as_ohms();
            let key = match reading.measured {
                Measured::Joint(_) => Some("reading.joint"),
                _ => None,
            };
            own.total_cmp(&limit).is_eq().then_some((id, ohms, key))
        });
        let (id, ohms, key) = best?;
        let step = self
            .by(
                "what is allowed beside the best on the same cable",
                "k * Rbest",
                SourceId::CommonPractice,
            )
            .of(id)
            .number("k", JOINT_FACTOR, Unit::Number);
        match key {
            Some(key) => step.stated("Rbest", ohms.as_ohms(), Unit::Ohm, id, key),
            // A drop over a current.
            None => step.number("Rbest", ohms.as_ohms(), Unit::Ohm),
        }
        .gives("Rlimit", limit, Unit::Ohm);
        Some(())
    }

    fn twice_the_braid(&self, limit: f32) -> Option<()> {
        let lead: &Conductor = self.design.get(self.finding.thing.id::<ConductorId>()?)?;
        let built = braid(&self.design.get(lead.cable?)?.braid?).ok()?;
        let length = self.design.length(lead).ok().flatten()?;
        self.by(
            "twice its braid, and 10 mohm of contacts",
            "2 * Rmetre * l + Rcontacts",
            SourceId::CommonPractice,
        )
        .number("Rmetre", built.resistance.as_ohm_per_m(), Unit::OhmPerMetre)
        .number("l", Length::as_metres(length), Unit::Metre)
        .number("Rcontacts", CONTACTS_OHM, Unit::Ohm)
        .gives("Rlimit", limit, Unit::Ohm);
        Some(())
    }

    fn battery_voltage(&self, full: bool, limit: f32) -> Option<()> {
        let id = self.finding.thing.id::<BatteryId>()?;
        let battery: &Battery = self.design.get(id)?;
        let (cell, key) = if full {
            (battery.cell.maximum?, "cell-type.maximum")
        } else {
            (battery.cell.minimum?, "cell-type.minimum")
        };
        let cells = f32::from(battery.in_series);
        self.by(self.finding.judged.name.limit_words(), "n * Ucell", None)
            .stated("n", cells, Unit::Number, id, "battery.in-series")
            .stated("Ucell", cell.as_volts(), Unit::Volt, id, key)
            .gives("Ulimit", limit, Unit::Volt);
        Some(())
    }

    /// How far a reading is from what was computed or stated.
    fn off(&self, id: ReadingId) -> Option<()> {
        let off = self.finding.judged.value?;
        let about = (self.finding.thing, self.finding.at);
        let found = compared(self.subject, about, id)?;
        let reading = *self.design.get(id)?;
        let (read, unit, key) = as_read(reading.measured)?;
        self.worse_end("read", (id, &reading), read, found.read, (unit, key));
        let computed = |what: &'static str| self.step(what, how_computed(reading.measured), None);
        let (least, most) = (found.least, found.most);
        if least < most {
            let words = [
                "the least of what was computed",
                "the most of what was computed",
            ];
            computed(words[0]).gives("least", least, unit);
            computed(words[1]).gives("most", most, unit);
        } else {
            computed("what was computed or stated").gives("most", most, unit);
        }
        let kelvin = self.finding.judged.name == Aspect::TemperatureOff;
        let equation = match (found.beyond(), kelvin) {
            (Some(Side::AtMost), false) if most <= 0.0 => "read / read",
            (Some(Side::AtMost), false) => "read / most - 1",
            (Some(Side::AtLeast), false) if least < most => "1 - read / least",
            (Some(Side::AtLeast), false) => "1 - read / most",
            (Some(Side::AtMost), true) => "read - most",
            (Some(Side::AtLeast), true) if least < most => "least - read",
            (Some(Side::AtLeast), true) => "most - read",
            (None, _) => "0 * read",
        };
        let what = self.finding.judged.name.value_words();
        let step = self
            .by(what, equation, None)
            .number("read", found.read, unit);
        let step = step.number("most", most, unit).number("least", least, unit);
        step.gives("off", off, self.finding.judged.name.unit());
        Some(())
    }

    /// A number as it was read, and at the worse end of its accuracy.
    pub(super) fn worse_end(
        &self,
        symbol: &'static str,
        (id, reading): (ReadingId, &Reading),
        read: f32,
        worse: f32,
        (unit, key): (Unit, &'static str),
    ) {
        // Where it is compared, the value of the finding is how far it is off.
        let name = self.finding.judged.name;
        let what = match as_read(reading.measured) {
            Some(_) if name != Aspect::TemperatureRead => "what was read",
            _ => name.value_words(),
        };
        let accuracy = self.design.accuracy(reading);
        if accuracy <= 0.0 {
            return self.given(what, symbol, worse, unit, id.into(), key);
        }
        let equation = if worse >= read {
            "R + a * max(R, -R)"
        } else {
            "R - a * max(R, -R)"
        };
        self.by(
            "what was read, at the worse end of its accuracy",
            equation,
            None,
        )
        .stated("R", read, unit, id, key)
        .stated("a", accuracy, Unit::Share, id, "reading.accuracy")
        .gives(symbol, worse, unit);
    }

    /// What a reading tells of the duty in the hottest air.
    fn told_of_duty(&self, (id, reading): (ReadingId, &Reading), value: f32) -> Option<()> {
        let Measured::Temperature {
            temperature, air, ..
        } = reading.measured
        else {
            return None;
        };
        let read = ReadAt {
            thing: self.finding.thing,
            at: self.finding.at,
            reading: *reading,
        };
        let found = read.carried(self.subject)?;
        let unit = Unit::DegC;
        let key = (unit, "reading.temperature");
        self.worse_end(
            "Tread",
            (id, reading),
            temperature.as_degc(),
            found.read,
            key,
        );
        let computed = |what| self.step(what, how_computed(reading.measured), None);
        computed("what was computed for that current and air").gives("Tmost", found.computed, unit);
        let how = How::Words("as in the steps of the temperature that was computed");
        self.step("what was computed for its duty", how, None)
            .gives("Tduty", found.duty, unit);
        self.by(
            self.finding.judged.name.value_words(),
            "Tair + (Tduty - Tair) * (Tread - Tthen) / (Tmost - Tthen)",
            None,
        )
        .number("Tair", found.air, unit)
        .number("Tduty", found.duty, unit)
        .number("Tread", found.read, unit)
        .stated("Tthen", air.as_degc(), unit, id, "reading.air")
        .number("Tmost", found.computed, unit)
        .gives("T", value, unit);
        Some(())
    }

    /// What cable, terminal or lug allows, where somebody read a temperature.
    fn temperature_allowed(&self, limit: f32) -> Option<()> {
        let id = self.finding.reading(self.design)?;
        let read = ReadAt {
            thing: self.finding.thing,
            at: self.finding.at,
            reading: *self.design.get(id)?,
        };
        let (_, stated) = read.limit(self.design)?;
        let key = match stated.kind {
            Kind::Terminal => "terminal.limit",
            Kind::LugType => "lug-type.limit",
            _ => "cable-type.temperature-class",
        };
        let what = self.finding.judged.name.limit_words();
        self.given(what, "Tlimit", limit, Unit::DegC, stated, key);
        Some(())
    }

    /// Two strings that are farthest apart.
    fn strings_apart(&self) -> Option<()> {
        let id = self.finding.thing.id::<BatteryId>()?;
        let mut strings = self.subject.strings.strings.iter();
        let string = strings.find(|string| string.batteries.contains(id))?;
        let [own, other] = farthest(self.subject, string)?;
        let what = self.finding.judged.name.value_words();
        self.by(what, "max(Uown, Uother) - min(Uown, Uother)", None)
            .number("Uown", own, Unit::Volt)
            .number("Uother", other, Unit::Volt)
            .gives("dU", self.finding.judged.value?, Unit::Volt);
        Some(())
    }
}

/// A value as it was read, its unit and the key that states it.
fn as_read(measured: Measured) -> Option<(f32, Unit, &'static str)> {
    Some(match measured {
        Measured::Precharge(time) => (time.as_seconds(), Unit::Second, "reading.precharge"),
        Measured::Discharge(time) => (time.as_seconds(), Unit::Second, "reading.discharge"),
        Measured::Drop { voltage, .. } => {
            (libm::fabsf(voltage.as_volts()), Unit::Volt, "reading.drop")
        }
        Measured::Temperature { temperature, .. } => {
            (temperature.as_degc(), Unit::DegC, "reading.temperature")
        }
        Measured::Capacitance(farads) => (farads.as_farads(), Unit::Farad, "reading.capacitance"),
        _ => return None,
    })
}

/// How the least and the most come about.
const fn how_computed(measured: Measured) -> How {
    How::Words(match measured {
        Measured::Precharge(_) => {
            "the time constant of the study, resistor and capacitors as marked"
        }
        Measured::Discharge(_) => {
            "the study's discharge: with the largest capacitors, and with them as marked"
        }
        Measured::Drop { .. } => {
            "at the current that flowed: the resistance of the cable at 20 degC without joints, \
             and of all of it as hot as it becomes"
        }
        Measured::Temperature { .. } => {
            "what the conductor settles at with this current in this air: the coolest outside and \
             the hottest inside along the route, or the end with its joint"
        }
        _ => "as stated in the design",
    })
}
