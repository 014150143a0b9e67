//! Isolation, touch energy, the monitor, distances.

use super::pack::alike;
use super::{How, Work};
use crate::design::{Charged, Load, LoadId, SpacingId, Thing};
use crate::quantity::{Altitude, Capacitance, Resistance};
use crate::review::aspect::{Aspect, Unit};
use crate::standard::SourceId;

impl Work<'_> {
    pub(super) fn of_chassis(&self) -> Option<()> {
        match self.finding.judged.name {
            Aspect::IsolationBudget => {
                self.isolation_sum();
                self.isolation_limit("z * Umax", SourceId::UnR100Isolation)
            }
            Aspect::TouchEnergy => self.touch_energy(),
            Aspect::MonitorCapacitance => {
                self.to_chassis();
                self.limit("Cmost", Thing::VEHICLE, "vehicle.monitor");
                Some(())
            }
            Aspect::MonitorVoltage => self.monitor_voltage(),
            Aspect::MonitorTime => {
                self.value("t", Thing::VEHICLE, "vehicle.monitor");
                self.fixed_limit("tmost");
                Some(())
            }
            Aspect::MonitorAlarm => {
                self.value("Ralarm", Thing::VEHICLE, "vehicle.monitor");
                self.isolation_limit("z * Umax", SourceId::UnR100Isolation)
            }
            Aspect::Clearance => self.distance("spacing.clearance"),
            Aspect::SystemVoltage => {
                self.value("Usystem", Thing::VEHICLE, "vehicle.system-voltage");
                self.highest_voltage().map(|_| ())
            }
            Aspect::StatedImpulse => self.stated_impulse(),
            _ => self.distance("spacing.creepage"),
        }
    }

    fn high_loads(&self) -> impl Iterator<Item = (LoadId, &Load)> {
        let all = self.design.all::<Load>();
        all.filter(|(_, load)| self.subject.is_high(load.positive))
    }

    /// All parts to chassis in parallel.
    fn isolation_sum(&self) {
        let mut siemens = 0.0;
        let design = self.design;
        for (id, load) in design.all::<Load>() {
            let Some(ohms) = load.isolation.map(Resistance::as_ohms) else {
                continue;
            };
            if !self.subject.is_high(load.positive) {
                continue;
            }
            let (what, source) = ("all parts in parallel so far", SourceId::ParallelSum);
            let step = if siemens > 0.0 {
                self.by(what, "1 / (1 / Rbefore + 1 / Rpart)", source)
                    .number("Rbefore", 1.0 / siemens, Unit::Ohm)
            } else {
                self.by(what, "Rpart", source)
            };
            siemens += 1.0 / ohms;
            step.of(id)
                .stated("Rpart", ohms, Unit::Ohm, id, "load.isolation")
                .gives("R", 1.0 / siemens, Unit::Ohm);
        }
    }

    pub(super) fn isolation_limit(&self, equation: &'static str, source: SourceId) -> Option<()> {
        let limit = self.finding.judged.limit?;
        let volts = self.highest_voltage()?;
        let per_volt = self.subject.insulation.to_chassis.case.ohm_per_volt();
        self.by("what the circuit has to keep", equation, source)
            .number("z", per_volt, Unit::Number)
            .number("Umax", volts, Unit::Volt)
            .gives("Rlimit", limit, Unit::Ohm);
        Some(())
    }

    /// All capacitors to chassis, both poles together.
    fn to_chassis(&self) -> f32 {
        let (mut sum, design) = (0.0, self.design);
        for (id, load) in design.all::<Load>() {
            if !self.subject.is_high(load.positive) {
                continue;
            }
            let farads = |one: Option<Capacitance>| one.map_or(0.0, Capacitance::as_farads);
            let (positive, negative) = (farads(load.y_positive), farads(load.y_negative));
            if positive + negative <= 0.0 {
                continue;
            }
            let before = sum;
            sum += positive + negative;
            self.by(
                "capacitors of both poles to chassis so far",
                "Cbefore + Cpositive + Cnegative",
                SourceId::ParallelSum,
            )
            .of(id)
            .number("Cbefore", before, Unit::Farad)
            .stated("Cpositive", positive, Unit::Farad, id, "load.y")
            .stated("Cnegative", negative, Unit::Farad, id, "load.y")
            .gives("C", sum, Unit::Farad);
        }
        if sum <= 0.0 && self.high_loads().next().is_some() {
            let how = How::Words("no load states any");
            self.step("capacitors to chassis", how, SourceId::ParallelSum)
                .gives("C", 0.0, Unit::Farad);
        }
        sum
    }

    fn touch_energy(&self) -> Option<()> {
        if let Some(value) = self.finding.judged.value {
            let farads = self.to_chassis();
            let volts = self.highest_voltage()?;
            self.by(
                "energy of all of them, the other pole lying at chassis",
                "0.5 * C * Umax^2",
                SourceId::Iso6469YEnergy,
            )
            .number("C", farads, Unit::Farad)
            .number("Umax", volts, Unit::Volt)
            .gives("E", value, Unit::Joule);
        }
        self.fixed_limit("Elimit");
        Some(())
    }

    fn monitor_voltage(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let highest = self.subject.highest().ok()?.as_volts();
        if alike(value, highest) {
            self.highest_voltage()?;
        } else {
            let strings = &self.subject.strings.strings;
            let string = strings.iter().find(|string| {
                let volts = string.voltage(self.design, Charged::Minimum).ok().flatten();
                volts.is_some_and(|volts| alike(volts.as_volts(), value))
            });
            self.string_voltage(string?, Charged::Minimum)?;
        }
        self.limit("Umonitor", Thing::VEHICLE, "vehicle.monitor");
        Some(())
    }

    fn stated_impulse(&self) -> Option<()> {
        self.value("Uimpulse", Thing::VEHICLE, "vehicle.impulse");
        let limit = self.finding.judged.limit?;
        let volts = self.highest_voltage()?;
        let how = How::Words("the table of rated impulse voltages for that voltage, category I");
        self.step("least impulse voltage", how, self.finding.judged.source)
            .number("Umax", volts, Unit::Volt)
            .gives("Uleast", limit, Unit::Volt);
        Some(())
    }

    /// What a distance needs comes out of tables: what they are asked with is shown.
    fn distance(&self, key: &'static str) -> Option<()> {
        self.finding.thing.id::<SpacingId>()?;
        self.value("dbuilt", self.finding.thing, key);
        let limit = self.finding.judged.limit?;
        let volts = self.highest_voltage()?;
        let altitude = self.design.vehicle.altitude.map(Altitude::as_metres);
        let how = How::Words(
            "the table for that voltage, pollution degree, material and overvoltage; clearance \
             times the factor of the altitude",
        );
        let mut step = self
            .step("distance that is needed", how, self.finding.judged.source)
            .number("Umax", volts, Unit::Volt);
        if let Some(metres) = altitude {
            step = step.stated("h", metres, Unit::Metre, Thing::VEHICLE, "vehicle.altitude");
        }
        step.gives("dneeded", limit, Unit::Mm);
        Some(())
    }
}
