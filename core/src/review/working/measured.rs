//! Readings, and what they are held against.

use super::{How, Work};
use crate::design::{
    Battery, BatteryId, Conductor, ConductorId, Contactor, ContactorId, Measured, Reading,
    ReadingId, ResistorId, Thing, WhichEnd,
};
use crate::quantity::Length;
use crate::review::aspect::{Aspect, Unit};
use crate::review::finding::{Because, Finding};
use crate::review::measured::JOINT_FACTOR;
use crate::review::shield::CONTACTS_OHM;
use crate::shield::braid;
use crate::standard::SourceId;

/// Whether a reading is of the kind that a finding judges.
const fn is_read_for(aspect: Aspect, measured: &Measured) -> bool {
    matches!(
        (aspect, measured),
        (
            Aspect::Isolation | Aspect::IsolationNew | Aspect::TesterVoltage,
            Measured::Isolation { .. }
        ) | (Aspect::Bond, Measured::Bond { .. })
            | (Aspect::Joint, Measured::Joint(_))
            | (Aspect::CutBack, Measured::CutBack(_))
            | (Aspect::ShieldResistance, Measured::Shield(_))
            | (Aspect::Strokes | Aspect::Closings, Measured::Count(_))
            | (
                Aspect::TestPointHigh | Aspect::TestPointLow,
                Measured::Voltage(_)
            )
            | (Aspect::TimeConstantOff, Measured::Precharge(_))
            | (Aspect::DischargeOff, Measured::Discharge(_))
            | (Aspect::DropOff, Measured::Drop { .. })
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
        let of = |reading: &Reading| {
            let here = end.is_none() || reading.end == end;
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
        self.finding.judged.value?;
        let id = self.finding.reading(self.design)?;
        match self.finding.judged.name {
            Aspect::Isolation | Aspect::IsolationNew => self.value("R", id, "reading.isolation"),
            Aspect::TesterVoltage => self.value("Utest", id, "reading.test-voltage"),
            Aspect::Bond => self.value("R", id, "reading.bond"),
            Aspect::Joint => self.value("R", id, "reading.joint"),
            Aspect::CutBack => self.value("d", id, "reading.cut-back"),
            Aspect::ShieldResistance => self.value("R", id, "reading.shield"),
            Aspect::Strokes | Aspect::Closings => self.value("n", id, "reading.count"),
            Aspect::TestPointHigh | Aspect::TestPointLow => {
                self.value("U", id, "reading.voltage");
            }
            Aspect::TimeConstantOff => return self.time_constant_off(id),
            Aspect::DischargeOff => return self.discharge_off(id),
            _ => return self.drop_off(id),
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
            match reading.measured {
                Measured::Joint(ohms) if other.cable == lead.cable => {
                    let own = JOINT_FACTOR * ohms.as_ohms();
                    own.total_cmp(&limit).is_eq().then_some((id, ohms))
                }
                _ => None,
            }
        });
        let (id, ohms) = best?;
        self.by(
            "what is allowed beside the best on the same cable",
            "k * Rbest",
            SourceId::CommonPractice,
        )
        .of(id)
        .number("k", JOINT_FACTOR, Unit::Number)
        .stated("Rbest", ohms.as_ohms(), Unit::Ohm, id, "reading.joint")
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

    /// How far a time is from a computed one.
    fn off(
        &self,
        id: ReadingId,
        (read, key): (f32, &'static str),
        computed: f32,
        both_ways: bool,
    ) -> Option<()> {
        let value = self.finding.judged.value?;
        let equation = if both_ways && read < computed {
            "1 - tread / tcomputed"
        } else {
            "tread / tcomputed - 1"
        };
        self.by(self.finding.judged.name.value_words(), equation, None)
            .stated("tread", read, Unit::Second, id, key)
            .number("tcomputed", computed, Unit::Second)
            .gives("off", value, Unit::Share);
        Some(())
    }

    fn time_constant_off(&self, id: ReadingId) -> Option<()> {
        let Measured::Precharge(read) = self.design.get(id)?.measured else {
            return None;
        };
        let resistor = self.finding.thing.id::<ResistorId>()?;
        let studied = self.subject.study.sequences.precharge(resistor)?;
        let computed = studied.found.as_ref().ok()?.time_constant.as_seconds();
        self.off(id, (read.as_seconds(), "reading.precharge"), computed, true)
    }

    fn discharge_off(&self, id: ReadingId) -> Option<()> {
        let Measured::Discharge(read) = self.design.get(id)?.measured else {
            return None;
        };
        let mut all = self.subject.study.sequences.discharges.iter();
        let one = all.find(|one| {
            let loads = one.loads.iter().map(Thing::from);
            let resistors = one.bleeds.iter().chain(one.active).map(Thing::from);
            loads
                .chain(resistors)
                .any(|thing| thing == self.finding.thing)
        })?;
        let found = one.found.as_ref().ok()?;
        let computed = found.active.or(found.passive)?.as_seconds();
        self.off(
            id,
            (read.as_seconds(), "reading.discharge"),
            computed,
            false,
        )
    }

    fn drop_off(&self, id: ReadingId) -> Option<()> {
        let Measured::Drop { voltage, at } = self.design.get(id)?.measured else {
            return None;
        };
        let conductor = self.finding.thing.id::<ConductorId>()?;
        let studied = self.subject.study.conductor(conductor).ok()?;
        let (_, largest) = studied.largest.ok()?;
        let [drop, largest] =
            [studied.drop.ok()?.as_volts(), largest.as_amperes()].map(libm::fabsf);
        let [read, flowed] = [voltage.as_volts(), at.as_amperes()].map(libm::fabsf);
        let computed = drop * flowed / largest;
        self.by("drop at the current that flowed", "Udrop * I / Imost", None)
            .number("Udrop", drop, Unit::Volt)
            .stated("I", flowed, Unit::Ampere, id, "reading.current")
            .number("Imost", largest, Unit::Ampere)
            .gives("Ucomputed", computed, Unit::Volt);
        self.by(
            self.finding.judged.name.value_words(),
            "Uread / Ucomputed - 1",
            None,
        )
        .stated("Uread", read, Unit::Volt, id, "reading.drop")
        .number("Ucomputed", computed, Unit::Volt)
        .gives("off", self.finding.judged.value?, Unit::Share);
        Some(())
    }
}
