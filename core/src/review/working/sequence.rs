//! Precharge, discharge, closing.

use super::pack::alike;
use super::{How, Work};
use crate::design::{
    BatteryString, Charged, Contactor, ContactorId, Load, LoadId, Measured, Reading, Resistor,
    ResistorId, ResistorType, ResistorTypeId, Set, Thing,
};
use crate::link::{
    CAPACITANCE_TOLERANCE, REACTION, RESISTOR_TOLERANCE, ResistorRating, TRIES, touchable,
};
use crate::quantity::{Capacitance, Current, Energy, Power, Resistance, Share, Time, Voltage};
use crate::review::aspect::{Aspect, Unit};
use crate::review::finding::Because;
use crate::standard::SourceId;
use crate::study::sequence::{DischargeStudy, PrechargePath, PrechargeStudy};

/// Powers of several loads.
const POWERS: [&str; 4] = ["P1", "P2", "P3", "P4"];

/// Currents of several things.
const CURRENTS: [&str; 4] = ["I1", "I2", "I3", "I4"];

/// Resistances of several loads.
const OHMS: [&str; 4] = ["R1", "R2", "R3", "R4"];

impl<'a> Work<'a> {
    pub(super) fn of_sequence(&self) -> Option<()> {
        match self.finding.judged.name {
            Aspect::ContactMake => self.make(),
            Aspect::DischargeLabel
            | Aspect::DischargeTime
            | Aspect::DischargeEnergy
            | Aspect::DischargeWelded
            | Aspect::BleedPower => self.discharge(),
            _ => self.precharge(),
        }
    }

    fn rated(&self, id: ResistorId) -> Option<(ResistorTypeId, ResistorType)> {
        let resistor: &Resistor = self.design.get(id)?;
        let part = resistor.part?;
        Some((part, *self.design.get(part)?))
    }

    /// Resistance at one end of its tolerance.
    fn resistance(&self, id: ResistorId, highest: bool) -> Option<f32> {
        let (part, kind) = self.rated(id)?;
        let ohms = kind.resistance?.as_ohms();
        let stated = kind.tolerance.map(Share::as_fraction);
        let tolerance = stated.unwrap_or(RESISTOR_TOLERANCE.as_fraction());
        let (what, equation, symbol, value) = if highest {
            (
                "resistance at its highest",
                "R * (1 + tol)",
                "Rhigh",
                ohms * (1.0 + tolerance),
            )
        } else {
            (
                "resistance at its lowest",
                "R * (1 - tol)",
                "Rlow",
                ohms * (1.0 - tolerance),
            )
        };
        self.by(what, equation, SourceId::Entered)
            .of(part)
            .stated("R", ohms, Unit::Ohm, part, "resistor-type.resistance")
            .stated_or(
                "tol",
                (stated, tolerance),
                Unit::Share,
                part,
                "resistor-type.tolerance",
            )
            .gives(symbol, value, Unit::Ohm);
        Some(value)
    }

    /// All capacitors between the poles, as nominal.
    fn capacitors(&self, loads: Set<LoadId>) -> Option<f32> {
        let mut sum = 0.0;
        for id in loads.iter() {
            let load: &Load = self.design.get(id)?;
            let Some(farads) = load.link.map(Capacitance::as_farads) else {
                continue;
            };
            self.by(
                "capacitors of the link so far",
                "Cbefore + Cload",
                SourceId::ParallelSum,
            )
            .of(id)
            .number("Cbefore", sum, Unit::Farad)
            .stated("Cload", farads, Unit::Farad, id, "load.link")
            .gives("C", sum + farads, Unit::Farad);
            sum += farads;
        }
        Some(sum)
    }

    fn largest_capacitance(&self, loads: Set<LoadId>) -> Option<f32> {
        let farads = self.capacitors(loads)?;
        let tolerance = CAPACITANCE_TOLERANCE.as_fraction();
        let largest = farads * (1.0 + tolerance);
        self.by(
            "with the tolerance of capacitors",
            "C * (1 + tol)",
            SourceId::ProjectDefault,
        )
        .number("C", farads, Unit::Farad)
        .number("tol", tolerance, Unit::Share)
        .gives("Cmax", largest, Unit::Farad);
        Some(largest)
    }

    /// The string that feeds a path with most, or with least.
    fn feeding(&self, path: &PrechargePath, charged: Charged) -> Option<&'a BatteryString> {
        let strings = &self.subject.strings.strings;
        let mut best: Option<(&BatteryString, f32)> = None;
        for number in &path.strings {
            let string = strings.get(usize::from(*number))?;
            let volts = string.voltage(self.design, charged).ok()??.as_volts();
            let further = |known: f32| (volts > known) == (charged == Charged::Maximum);
            if best.is_none_or(|(_, known)| further(known)) {
                best = Some((string, volts));
            }
        }
        best.map(|(string, _)| string)
    }

    fn precharge(&self) -> Option<()> {
        let id = self.finding.thing.id::<ResistorId>()?;
        let sequences = &self.subject.study.sequences;
        let one = sequences.precharge(id)?;
        let path = one.path.as_ref().ok()?;
        let (part, kind) = self.rated(id)?;
        match self.finding.judged.name {
            Aspect::PrechargePeakCurrent => {
                let volts = self.charged_voltage(self.feeding(path, Charged::Maximum)?)?;
                let ohms = self.resistance(id, false)?;
                self.by("first current", "Umax / Rlow", SourceId::OhmsLaw)
                    .number("Umax", volts, Unit::Volt)
                    .number("Rlow", ohms, Unit::Ohm)
                    .gives("Ipeak", volts / ohms, Unit::Ampere);
                self.make_limit(path.closed);
            }
            Aspect::PrechargePeakPower => {
                let volts = self.charged_voltage(self.feeding(path, Charged::Maximum)?)?;
                self.power(id, volts, "Ppeak")?;
                self.limit("Prated", part, "resistor-type.peak-power");
            }
            Aspect::PrechargeTry | Aspect::PrechargeSeries => {
                let energy = self.try_energy(one, path)?;
                if self.finding.judged.name == Aspect::PrechargeSeries {
                    self.tries(part, &kind, energy)?;
                }
                self.limit("Epulse", part, "resistor-type.pulse");
            }
            Aspect::PrechargeStuck => {
                self.closed_time(id)?;
                let volts = self.charged_voltage(self.feeding(path, Charged::Maximum)?)?;
                self.stands(id, volts)?;
            }
            Aspect::PrechargeTime => {
                self.charging_time(one, path)?;
                self.limit("tout", id, "resistor.time-out");
            }
            _ => self.settles(one, path)?,
        }
        Some(())
    }

    /// Power of the whole voltage on a resistor at its lowest.
    fn power(&self, id: ResistorId, volts: f32, symbol: &'static str) -> Option<f32> {
        let ohms = self.resistance(id, false)?;
        let watts = volts * volts / ohms;
        self.by(
            "power with the whole voltage on it",
            "Umax^2 / Rlow",
            SourceId::OhmsLaw,
        )
        .number("Umax", volts, Unit::Volt)
        .number("Rlow", ohms, Unit::Ohm)
        .gives(symbol, watts, Unit::Watt);
        Some(watts)
    }

    /// The making current that is the limit, of one of these contactors.
    fn make_limit(&self, contactors: Set<ContactorId>) {
        let Some(limit) = self.finding.judged.limit else {
            return;
        };
        let part = contactors.iter().find_map(|id| {
            let contactor: &Contactor = self.design.get(id)?;
            let part = contactor.part?;
            let make = self.design.get(part)?.make?;
            alike(make.as_amperes(), limit).then_some(part)
        });
        if let Some(part) = part {
            self.limit("Imake", part, "contactor-type.make");
        }
    }

    fn try_energy(&self, one: &PrechargeStudy, path: &PrechargePath) -> Option<f32> {
        let found = one.found.as_ref().ok()?;
        let energy = found.try_energy.map(Energy::as_joules)?;
        let volts = self.charged_voltage(self.feeding(path, Charged::Maximum)?)?;
        let farads = self.largest_capacitance(path.loads)?;
        self.by(
            "energy of charging alone, without anything that draws",
            "0.5 * Cmax * Umax^2",
            SourceId::CapacitorCircuit,
        )
        .number("Cmax", farads, Unit::Farad)
        .number("Umax", volts, Unit::Volt)
        .gives("Echarge", 0.5 * farads * volts * volts, Unit::Joule);
        let resistor: &Resistor = self.design.get(one.resistor)?;
        let (part, kind) = self.rated(one.resistor)?;
        let how = How::Words(
            "integral of I^2 R until time-out and reaction, with what draws meanwhile, the more \
             of both ends of R",
        );
        let mut step = self
            .step(
                "heat of one try in the resistor",
                how,
                SourceId::CapacitorCircuit,
            )
            .number("Cmax", farads, Unit::Farad)
            .number("Umax", volts, Unit::Volt)
            .stated(
                "R",
                kind.resistance?.as_ohms(),
                Unit::Ohm,
                part,
                "resistor-type.resistance",
            );
        if let Some(seconds) = resistor.time_out.map(Time::as_seconds) {
            step = step.stated(
                "tout",
                seconds,
                Unit::Second,
                one.resistor,
                "resistor.time-out",
            );
        }
        step.gives("E", energy, Unit::Joule);
        Some(energy)
    }

    /// Time constant of the cooling, stated or pulse over power; `None` where not known.
    fn cooling(&self, part: ResistorTypeId, kind: &ResistorType) -> Option<f32> {
        let (time, _) = ResistorRating::from(kind).cooling()?;
        let seconds = time.as_seconds();
        let what = "time constant of its cooling";
        if kind.cooling.is_some() {
            self.given(
                what,
                "Tcool",
                seconds,
                Unit::Second,
                part.into(),
                "resistor-type.cooling",
            );
            return Some(seconds);
        }
        self.by(what, "Epulse / Prated", SourceId::ProjectDefault)
            .stated(
                "Epulse",
                kind.pulse?.as_joules(),
                Unit::Joule,
                part,
                "resistor-type.pulse",
            )
            .stated(
                "Prated",
                kind.power?.as_watts(),
                Unit::Watt,
                part,
                "resistor-type.power",
            )
            .gives("Tcool", seconds, Unit::Second);
        Some(seconds)
    }

    fn tries(&self, part: ResistorTypeId, kind: &ResistorType, energy: f32) -> Option<()> {
        let controller = &self.design.controller;
        let count = f32::from(controller.precharge_tries.unwrap_or(TRIES));
        let stated = controller.precharge_tries.map(f32::from);
        let pause = controller.precharge_pause.map(Time::as_seconds);
        let cooling = self.cooling(part, kind);
        let left = match (cooling, pause) {
            (Some(cooling), pause) => {
                let seconds = pause.unwrap_or(0.0);
                let left = libm::expf(-seconds / cooling);
                self.by(
                    "share that a pause leaves in the resistor",
                    "exp(-tpause / Tcool)",
                    SourceId::ResistorHeat,
                )
                .stated_or(
                    "tpause",
                    (pause, 0.0),
                    Unit::Second,
                    Thing::CONTROLLER,
                    "controller.precharge-pause",
                )
                .number("Tcool", cooling, Unit::Second)
                .gives("a", left, Unit::Number);
                left
            }
            (None, _) => 1.0,
        };
        let what = "heat in the resistor after the last try";
        let value = self.finding.judged.value?;
        let equation = if left < 0.9999 {
            "E * (1 - a^N) / (1 - a)"
        } else {
            "E * N"
        };
        self.by(what, equation, SourceId::ResistorHeat)
            .number("E", energy, Unit::Joule)
            .number("a", left, Unit::Number)
            .stated_or(
                "N",
                (stated, count),
                Unit::Number,
                Thing::CONTROLLER,
                "controller.precharge-tries",
            )
            .gives("Eall", value, Unit::Joule);
        Some(())
    }

    fn closed_time(&self, id: ResistorId) -> Option<()> {
        let Some(value) = self.finding.judged.value else {
            return Some(());
        };
        let resistor: &Resistor = self.design.get(id)?;
        let reaction = self.design.controller.reaction.map(Time::as_seconds);
        self.by(
            "from the beginning until the relay is open",
            "tout + treact",
            SourceId::Entered,
        )
        .stated(
            "tout",
            resistor.time_out?.as_seconds(),
            Unit::Second,
            id,
            "resistor.time-out",
        )
        .stated_or(
            "treact",
            (reaction, REACTION.as_seconds()),
            Unit::Second,
            Thing::CONTROLLER,
            "controller.reaction",
        )
        .gives("tclosed", value, Unit::Second);
        Some(())
    }

    /// How long a resistor stands the whole voltage.
    fn stands(&self, id: ResistorId, volts: f32) -> Option<()> {
        let watts = self.power(id, volts, "P")?;
        let (part, kind) = self.rated(id)?;
        let Some(limit) = self.finding.judged.limit else {
            if let Some(lasting) = kind.power.map(Power::as_watts) {
                let what = "lasting power, up to which it stands it for ever";
                self.given(
                    what,
                    "Prated",
                    lasting,
                    Unit::Watt,
                    part.into(),
                    "resistor-type.power",
                );
            }
            return Some(());
        };
        let pulse = kind.pulse?.as_joules();
        let what = "how long it stands that from cold";
        let cooling = self.cooling(part, &kind);
        match cooling.filter(|cooling| pulse < watts * cooling) {
            Some(cooling) => self
                .by(
                    what,
                    "-Tcool * ln(1 - Epulse / (P * Tcool))",
                    SourceId::ResistorHeat,
                )
                .number("Tcool", cooling, Unit::Second)
                .stated("Epulse", pulse, Unit::Joule, part, "resistor-type.pulse")
                .number("P", watts, Unit::Watt)
                .gives("tstands", limit, Unit::Second),
            None => self
                .by(what, "Epulse / P", SourceId::ResistorHeat)
                .stated("Epulse", pulse, Unit::Joule, part, "resistor-type.pulse")
                .number("P", watts, Unit::Watt)
                .gives("tstands", limit, Unit::Second),
        }
        Some(())
    }

    fn charging_time(&self, one: &PrechargeStudy, path: &PrechargePath) -> Option<()> {
        let id = one.resistor;
        let resistor: &Resistor = self.design.get(id)?;
        let left = resistor.closes_within?.as_volts();
        let volts = self.charged_voltage(self.feeding(path, Charged::Maximum)?)?;
        let ohms = self.resistance(id, true)?;
        let farads = self.largest_capacitance(path.loads)?;
        self.by(
            "time until so many volts are left, without anything that draws",
            "Rhigh * Cmax * ln(Umax / dU)",
            SourceId::CapacitorCircuit,
        )
        .number("Rhigh", ohms, Unit::Ohm)
        .number("Cmax", farads, Unit::Farad)
        .number("Umax", volts, Unit::Volt)
        .stated("dU", left, Unit::Volt, id, "resistor.closes-within")
        .gives("t0", ohms * farads * libm::logf(volts / left), Unit::Second);
        if let Some(value) = self.finding.judged.value {
            let how = How::Words(
                "the same beside what draws from the link, the longest over the voltages of the \
                 battery",
            );
            let step = self.step("time to the threshold", how, SourceId::CapacitorCircuit);
            let step = step
                .number("Rhigh", ohms, Unit::Ohm)
                .number("Cmax", farads, Unit::Farad);
            let step = Self::standing(self.design, step, one);
            step.gives("t", value, Unit::Second);
        }
        Some(())
    }

    /// With what the loads draw meanwhile.
    fn standing<'s>(
        design: &crate::design::Design,
        mut step: super::Open<'s>,
        one: &PrechargeStudy,
    ) -> super::Open<'s> {
        for (number, id) in one.standing.iter().take(4).enumerate() {
            let draw = design.get(id).and_then(|load: &Load| load.idle);
            let name = |names: [&'static str; 4]| names.get(number).copied().unwrap_or("");
            step = match draw {
                Some(crate::design::Draw::Power(power)) => {
                    let watts = power.as_watts();
                    step.stated(name(POWERS), watts, Unit::Watt, id, "load.idle")
                }
                Some(crate::design::Draw::Current(current)) => {
                    let amperes = current.as_amperes();
                    step.stated(name(CURRENTS), amperes, Unit::Ampere, id, "load.idle")
                }
                Some(crate::design::Draw::Resistance(resistance)) => {
                    let ohms = Resistance::as_ohms(resistance);
                    step.stated(name(OHMS), ohms, Unit::Ohm, id, "load.idle")
                }
                _ => step,
            };
        }
        step
    }

    fn settles(&self, one: &PrechargeStudy, path: &PrechargePath) -> Option<()> {
        let found = one.found.as_ref().ok()?;
        let [_, highest] = one.voltages.ok()?;
        let at = found.settled_at;
        let volts = if at == highest {
            self.charged_voltage(self.feeding(path, Charged::Maximum)?)?
        } else {
            self.string_voltage(self.feeding(path, Charged::Minimum)?, Charged::Minimum)?
        };
        let ohms = self.resistance(one.resistor, true)?;
        if let Some(value) = self.finding.judged.value {
            let how = How::Words("U - I x Rhigh, with I what the link draws at that voltage");
            let step = self.step(
                "voltage at which it settles",
                how,
                SourceId::CapacitorCircuit,
            );
            let step = step
                .number("U", volts, Unit::Volt)
                .number("Rhigh", ohms, Unit::Ohm);
            let step = Self::standing(self.design, step, one);
            step.gives("Usettles", value, Unit::Volt);
        }
        let resistor: &Resistor = self.design.get(one.resistor)?;
        if let (Some(left), Some(limit)) = (resistor.closes_within, self.finding.judged.limit) {
            self.by(
                "voltage at which the contactor closes",
                "U - dU",
                SourceId::CapacitorCircuit,
            )
            .number("U", volts, Unit::Volt)
            .stated(
                "dU",
                left.as_volts(),
                Unit::Volt,
                one.resistor,
                "resistor.closes-within",
            )
            .gives("Ucloses", limit, Unit::Volt);
        }
        Some(())
    }

    /// What is left over the loop.
    fn left_over(&self, one: &PrechargeStudy) -> Option<()> {
        let value = self.finding.judged.value?;
        let path = one.path.as_ref().ok()?;
        let resistor: &Resistor = self.design.get(one.resistor)?;
        let left = resistor.closes_within?.as_volts();
        let ohms = one.loop_resistance.ok()?.as_ohms();
        let mut feeding: heapless::Vec<&BatteryString, 8, u8> = heapless::Vec::new();
        for number in &path.strings {
            let strings = &self.subject.strings.strings;
            // More than these are not shown.
            let _ = feeding.push(strings.get(usize::from(*number))?);
        }
        self.loop_of_cells("resistance of the loop that closes", &feeding, ohms)?;
        self.by("current on closing", "dU / R", SourceId::OhmsLaw)
            .stated(
                "dU",
                left,
                Unit::Volt,
                one.resistor,
                "resistor.closes-within",
            )
            .number("R", ohms, Unit::Ohm)
            .gives("I", value, Unit::Ampere);
        Some(())
    }

    fn make(&self) -> Option<()> {
        let sequences = &self.subject.study.sequences;
        // precharge-threshold names the resistor, contactor-make the contactor.
        if let Some(id) = self.finding.thing.id::<ResistorId>() {
            let one = sequences.precharge(id)?;
            if self.finding.judged.value.is_some() {
                self.left_over(one)?;
            }
            self.make_limit(one.path.as_ref().ok()?.mains);
            return Some(());
        }
        let id = self.finding.thing.id::<ContactorId>()?;
        if let Some(value) = self.finding.judged.value {
            self.closes_on(id, value)?;
        }
        let (part, _) = self.contactor_type()?;
        self.limit("Imake", part, "contactor-type.make");
        Some(())
    }

    fn closes_on(&self, id: ContactorId, value: f32) -> Option<()> {
        let sequences = &self.subject.study.sequences;
        for one in &sequences.precharges {
            let (Ok(path), Ok(found)) = (&one.path, &one.found) else {
                continue;
            };
            let inrush = found.inrush.map(Current::as_amperes);
            if path.mains.contains(id) && inrush == Some(value) {
                return self.left_over(one);
            }
            if path.closed.contains(id) && alike(found.peak_current.as_amperes(), value) {
                let volts = self.charged_voltage(self.feeding(path, Charged::Maximum)?)?;
                let ohms = self.resistance(one.resistor, false)?;
                self.by(
                    "first current through the precharge resistor",
                    "Umax / Rlow",
                    SourceId::OhmsLaw,
                )
                .number("Umax", volts, Unit::Volt)
                .number("Rlow", ohms, Unit::Ohm)
                .gives("I", value, Unit::Ampere);
                return Some(());
            }
        }
        for join in &sequences.joins {
            let (Ok(found), Ok(window)) = (&join.found, join.window) else {
                continue;
            };
            let current = found.window_current.map(Current::as_amperes);
            if !join.contactors.contains(id) || current != Some(value) {
                continue;
            }
            let volts = window.as_volts();
            let strings = &self.subject.strings.strings;
            let both = [
                strings.get(usize::from(join.string))?,
                strings.get(usize::from(join.with))?,
            ];
            self.loop_of_cells(
                "resistance of the loop of both strings",
                &both,
                volts / value,
            )?;
            let through = join.through.and_then(|id| self.design.get(id));
            let left = through.and_then(|one: &Resistor| one.closes_within);
            let (thing, key) = match (join.through, left) {
                (Some(resistor), Some(left)) if left == window => {
                    (resistor.into(), "resistor.closes-within")
                }
                _ => (Thing::CONTROLLER, "controller.join-window"),
            };
            self.by("current that evens both out", "dU / R", SourceId::OhmsLaw)
                .stated("dU", volts, Unit::Volt, thing, key)
                .number("R", volts / value, Unit::Ohm)
                .gives("I", value, Unit::Ampere);
            return Some(());
        }
        let resistor = self.finding.at?.id::<ResistorId>()?;
        let volts = self.highest_voltage()?;
        let ohms = self.resistance(resistor, false)?;
        self.by(
            "first current through the discharge resistor",
            "Umax / Rlow",
            SourceId::OhmsLaw,
        )
        .number("Umax", volts, Unit::Volt)
        .number("Rlow", ohms, Unit::Ohm)
        .gives("I", value, Unit::Ampere);
        Some(())
    }

    fn discharge_of(&self, thing: Thing) -> Option<&'a DischargeStudy> {
        let mut all = self.subject.study.sequences.discharges.iter();
        all.find(|one| {
            let load = one.loads.iter().next().map(Thing::from);
            let bleed = one.bleed_power.as_ref().map(|(id, _)| Thing::from(*id));
            load == Some(thing)
                || one.active.map(Thing::from) == Some(thing)
                || bleed == Some(thing)
        })
    }

    fn discharge(&self) -> Option<()> {
        let thing = self.finding.thing;
        let one = self.discharge_of(thing)?;
        match self.finding.judged.name {
            Aspect::BleedPower => {
                let id = thing.id::<ResistorId>()?;
                let volts = self.highest_voltage()?;
                let watts = self.power(id, volts, "P")?;
                if let (Some(operation), Some(value)) = (self.finding.at, self.finding.judged.value)
                {
                    let share = one.held.ok()??.share;
                    let how = How::Words("time of the phases that hold it on the battery over all");
                    self.step("share of the time on the battery", how, None)
                        .of(operation)
                        .gives("share", share, Unit::Share);
                    self.by("mean power", "P * share", SourceId::OhmsLaw)
                        .number("P", watts, Unit::Watt)
                        .number("share", share, Unit::Share)
                        .gives("Pmean", value, Unit::Watt);
                }
                let (part, _) = self.rated(id)?;
                self.limit("Prated", part, "resistor-type.power");
            }
            Aspect::DischargeWelded => {
                let id = thing.id::<ResistorId>()?;
                match (self.finding.at, self.finding.judged.value) {
                    (Some(operation), Some(value)) => {
                        let how = How::Words("the phases that hold it on the battery, together");
                        self.step("time that it is held on the battery", how, None)
                            .of(operation)
                            .gives("ton", value, Unit::Second);
                    }
                    _ => self.value("ton", id, "resistor.time-out"),
                }
                let volts = self.highest_voltage()?;
                self.stands(id, volts)?;
            }
            Aspect::DischargeEnergy => {
                let id = thing.id::<ResistorId>()?;
                let found = one.found.as_ref().ok()?;
                let volts = self.highest_voltage()?;
                let farads = self.discharged_capacitance(one, found.capacitance.as_farads())?;
                self.by(
                    "energy of one discharge",
                    "0.5 * Cmax * Umax^2",
                    SourceId::CapacitorCircuit,
                )
                .number("Cmax", farads, Unit::Farad)
                .number("Umax", volts, Unit::Volt)
                .gives("E", found.energy.as_joules(), Unit::Joule);
                let (part, _) = self.rated(id)?;
                self.limit("Epulse", part, "resistor-type.pulse");
            }
            Aspect::DischargeLabel => {
                self.discharge_time(one, false)?;
                if let Some((enclosure, _)) = one.label {
                    self.limit("tlabel", enclosure, "box.label-wait");
                }
            }
            _ => {
                self.discharge_time(one, true)?;
                self.fixed_limit("tlimit");
            }
        }
        Some(())
    }

    /// With the larger capacitor to chassis beside it, and the tolerance.
    fn discharged_capacitance(&self, one: &DischargeStudy, largest: f32) -> Option<f32> {
        let farads = self.capacitors(one.loads)?;
        let tolerance = CAPACITANCE_TOLERANCE.as_fraction();
        let of = |pole: fn(&Load) -> Option<Capacitance>| -> f32 {
            let loads = one.loads.iter().filter_map(|id| self.design.get(id));
            loads
                .map(|load| pole(load).map_or(0.0, Capacitance::as_farads))
                .sum()
        };
        let (positive, negative) = (of(|load| load.y_positive), of(|load| load.y_negative));
        self.by(
            "with the larger capacitor to chassis beside it, and the tolerance",
            "(C + max(Cpositive, Cnegative)) * (1 + tol)",
            SourceId::ProjectDefault,
        )
        .number("C", farads, Unit::Farad)
        .number("Cpositive", positive, Unit::Farad)
        .number("Cnegative", negative, Unit::Farad)
        .number("tol", tolerance, Unit::Share)
        .gives("Cmax", largest, Unit::Farad);
        Some(largest)
    }

    /// All that bleeds the link in parallel, each at its highest.
    fn bleeds(&self, one: &DischargeStudy) -> Option<f32> {
        let (mut siemens, what) = (0.0_f32, "what bleeds the link in parallel so far");
        for id in one.bleeds.iter() {
            let ohms = self.resistance(id, true)?;
            siemens = self.beside(what, siemens, ohms);
        }
        for id in one.loads.iter() {
            let load: &Load = self.design.get(id)?;
            let Some(own) = load.bleed.map(Resistance::as_ohms) else {
                continue;
            };
            let tolerance = RESISTOR_TOLERANCE.as_fraction();
            let highest = own * (1.0 + tolerance);
            self.by(
                "bleed of a load at its highest",
                "R * (1 + tol)",
                SourceId::Entered,
            )
            .of(id)
            .stated("R", own, Unit::Ohm, id, "load.bleed")
            .number("tol", tolerance, Unit::Share)
            .gives("Rhigh", highest, Unit::Ohm);
            siemens = self.beside(what, siemens, highest);
        }
        (siemens > 0.0).then(|| 1.0 / siemens)
    }

    fn beside(&self, what: &'static str, siemens: f32, ohms: f32) -> f32 {
        let both = siemens + 1.0 / ohms;
        if siemens > 0.0 {
            self.by(what, "1 / (1 / Rbefore + 1 / Rhigh)", SourceId::ParallelSum)
                .number("Rbefore", 1.0 / siemens, Unit::Ohm)
                .number("Rhigh", ohms, Unit::Ohm)
                .gives("R", 1.0 / both, Unit::Ohm);
        }
        both
    }

    fn discharge_time(&self, one: &DischargeStudy, active: bool) -> Option<()> {
        let value = self.finding.judged.value?;
        if let Some(Because::Read(id)) = self.finding.because {
            // Longer than what was computed, so that it counts.
            let reading: &Reading = self.design.get(id)?;
            let Measured::Discharge(read) = reading.measured else {
                return None;
            };
            let stated = (Unit::Second, "reading.discharge");
            self.worse_end("tread", (id, reading), read.as_seconds(), value, stated);
            return Some(());
        }
        let found = one.found.as_ref().ok()?;
        let volts = self.highest_voltage()?;
        let farads = self.discharged_capacitance(one, found.capacitance.as_farads())?;
        let bleed = self.bleeds(one);
        let mut ohms = bleed;
        let switched = one.active.filter(|_| active);
        if let Some(id) = switched {
            let own = self.resistance(id, true)?;
            let before = ohms.map_or(0.0, |ohms| 1.0 / ohms);
            let what = "with the resistor that is switched on";
            ohms = Some(1.0 / self.beside(what, before, own));
        }
        let ohms = ohms?;
        let (safe, source) = touchable(self.design.vehicle.domain).ok()?;
        let safe = Voltage::as_volts(safe);
        let how = How::Words("a figure of the rules of the domain");
        self.step("voltage that may be touched", how, source)
            .gives("Usafe", safe, Unit::Volt);
        if let (Some(id), Some(left)) = (switched, found.left) {
            return self.cut_off(id, (ohms, farads, volts), left.as_volts(), (bleed?, safe));
        }
        self.by(
            "time until it may be touched",
            "R * Cmax * ln(Umax / Usafe)",
            SourceId::CapacitorCircuit,
        )
        .number("R", ohms, Unit::Ohm)
        .number("Cmax", farads, Unit::Farad)
        .number("Umax", volts, Unit::Volt)
        .number("Usafe", safe, Unit::Volt)
        .gives("t", value, Unit::Second);
        Some(())
    }
    /// A discharge that is cut off before the link is safe: the bleed takes the rest.
    fn cut_off(
        &self,
        id: ResistorId,
        (ohms, farads, volts): (f32, f32, f32),
        left: f32,
        (bleed, safe): (f32, f32),
    ) -> Option<()> {
        let resistor: &Resistor = self.design.get(id)?;
        let cut_off = resistor.time_out?.as_seconds();
        self.by(
            "voltage that is left when it is switched off again",
            "Umax * exp(-ton / (R * Cmax))",
            SourceId::CapacitorCircuit,
        )
        .number("Umax", volts, Unit::Volt)
        .stated("ton", cut_off, Unit::Second, id, "resistor.time-out")
        .number("R", ohms, Unit::Ohm)
        .number("Cmax", farads, Unit::Farad)
        .gives("Uleft", left, Unit::Volt);
        self.by(
            "time until it may be touched, the rest by the bleed alone",
            "ton + Rbleed * Cmax * ln(Uleft / Usafe)",
            SourceId::CapacitorCircuit,
        )
        .stated("ton", cut_off, Unit::Second, id, "resistor.time-out")
        .number("Rbleed", bleed, Unit::Ohm)
        .number("Cmax", farads, Unit::Farad)
        .number("Uleft", left, Unit::Volt)
        .number("Usafe", safe, Unit::Volt)
        .gives("t", self.finding.judged.value?, Unit::Second);
        Some(())
    }
}
