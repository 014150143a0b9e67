//! What short circuits and link capacitors drive, and what stands it.

use super::{How, Work};
use crate::design::{
    Battery, Conductor, ConductorId, Contactor, ContactorId, EnclosureId, Fuse, FuseId, Kind, Load,
    Thing,
};
use crate::fault::{Fault, FaultCurrent, FaultResult};
use crate::protection::SELECTIVE_SHARE;
use crate::quantity::{Capacitance, Current, CurrentSquaredTime, Inductance};
use crate::review::aspect::{Aspect, Unit};
use crate::review::finding::Because;
use crate::standard::SourceId;
use crate::study::guarded;

const FEEDERS: [[&str; 3]; 3] = [
    ["n1", "Ucell1", "Rcell1"],
    ["n2", "Ucell2", "Rcell2"],
    ["n3", "Ucell3", "Rcell3"],
];

/// How the current of a short circuit comes about.
const FAULT: How = How::Words(
    "the network of the worst short circuit, solved: batteries full and at their least \
     resistance, conductors at their coldest",
);

/// Inductances of several batteries.
const INDUCTANCES: [&str; 3] = ["L1", "L2", "L3"];

/// Current and time of several fuses.
const STAGES: [[&str; 2]; 3] = [["Ifuse1", "t1"], ["Ifuse2", "t2"], ["Ifuse3", "t3"]];

/// Capacitances of several loads.
const CAPACITORS: [&str; 8] = ["C1", "C2", "C3", "C4", "C5", "C6", "C7", "C8"];

impl<'a> Work<'a> {
    pub(super) fn of_short_circuit(&self) -> Option<()> {
        let thing = self.finding.thing;
        match self.finding.judged.name {
            Aspect::WithoutFuse | Aspect::FaultLargest | Aspect::FaultSmallest => self.at_lead(),
            Aspect::LeadI2t => {
                self.i2t();
                self.adiabatic()
            }
            Aspect::FuseTimeConstant => {
                self.time_constant();
                let (part, _) = self.fuse_type()?;
                self.limit("tautest", part, "fuse-type.time-constant");
                Some(())
            }
            Aspect::FuseBreaking => {
                self.largest();
                let (part, _) = self.fuse_type()?;
                self.limit("Ibreaks", part, "fuse-type.breaking");
                Some(())
            }
            Aspect::LeastFault => self.least_fault(),
            Aspect::TakesOver => self.takes_over(),
            Aspect::ContactPeak => {
                self.largest();
                let (part, _) = self.contactor_type()?;
                self.limit("Ipeak", part, "contactor-type.withstand-peak");
                Some(())
            }
            Aspect::ContactI2t => {
                self.i2t();
                let (part, _) = self.contactor_type()?;
                self.limit("I2twithstand", part, "contactor-type.withstand");
                Some(())
            }
            Aspect::SelectiveI2t => {
                let (part, _) = self.fuse_type()?;
                self.value("I2ttotal", part, "fuse-type.total");
                self.melting_share(self.finding.at?)
            }
            Aspect::SelectiveTime => self.selective_time(),
            Aspect::CapacitorPeak | Aspect::CapacitorI2t => self.surge(),
            Aspect::ShieldSection => self.shield(thing),
            _ => self.strap(thing),
        }
    }

    fn of_fault(&self, fault: Fault) -> Option<&'a FaultResult> {
        self.shorts.iter().find(|one| one.fault == fault)
    }

    /// The batteries that feed a short circuit, as they are stated.
    fn fed(
        &self,
        what: &'static str,
        how: How,
        current: &FaultCurrent,
        symbol: &'static str,
        value: f32,
        unit: Unit,
    ) -> Option<()> {
        let mut step = self.step(what, how, SourceId::OhmsLaw);
        for (feeder, [number, cell, ohms]) in current.feeders.iter().zip(FEEDERS) {
            let id = feeder.battery;
            let battery: &Battery = self.design.get(id)?;
            let series = f32::from(battery.in_series);
            step = step.stated(number, series, Unit::Number, id, "battery.in-series");
            if let Some(full) = battery.cell.maximum {
                step = step.stated(cell, full.as_volts(), Unit::Volt, id, "cell-type.maximum");
            }
            let least = battery.cell.resistance.and_then(|one| one.least().ok());
            if let Some(least) = least {
                step = step.stated(ohms, least.as_ohms(), Unit::Ohm, id, "cell-type.resistance");
            }
        }
        step.gives(symbol, value, unit);
        Some(())
    }

    fn at_lead(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let limit = self.finding.judged.limit;
        if let Some(Because::Short(fault)) = self.finding.because {
            let result = self.of_fault(fault)?;
            let how = match self.finding.judged.name {
                Aspect::FaultSmallest => How::Words(
                    "the network of that short circuit, solved: batteries empty, cold and at \
                     their most resistance, conductors warm",
                ),
                Aspect::WithoutFuse => {
                    How::Words("the network of that short circuit with every fuse open, solved")
                }
                _ => FAULT,
            };
            let current = match self.finding.judged.name {
                Aspect::FaultSmallest => &result.lowest,
                _ => &result.highest,
            };
            let what = self.finding.judged.name.value_words();
            self.fed(what, how, current, "I", value, Unit::Ampere)?;
        } else {
            let how = How::Words("every loop that feeds a short circuit here has a fuse");
            let what = self.finding.judged.name.value_words();
            self.step(what, how, SourceId::CommonPractice)
                .gives("I", value, Unit::Ampere);
        }
        if limit.is_some() {
            self.fixed_limit("Ilimit");
        }
        Some(())
    }

    /// The short circuits in which a thing carries a current: the currents of it.
    fn carried(&self) -> impl Iterator<Item = (&'a FaultCurrent, f32)> + 'a {
        let thing = self.finding.thing;
        let all = self.shorts.iter();
        let both = all.flat_map(|one| [&one.highest, &one.lowest]);
        both.filter_map(move |current| {
            let amperes = match thing.kind {
                Kind::Fuse => {
                    let mut carriers = current.carriers.iter();
                    let found = carriers.find(|one| Thing::from(one.fuse) == thing)?;
                    found.current.as_amperes()
                }
                _ => {
                    let mut burdens = current.burdens.iter();
                    let found = burdens.find(|one| one.thing == thing)?;
                    found.current?.as_amperes()
                }
            };
            Some((current, libm::fabsf(amperes)))
        })
    }

    fn largest(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let (current, _) = self
            .carried()
            .find(|(_, amperes)| amperes.total_cmp(&value).is_eq())?;
        self.fed(
            "largest prospective current through it",
            FAULT,
            current,
            "I",
            value,
            Unit::Ampere,
        )
    }

    fn least_fault(&self) -> Option<()> {
        let id = self.finding.thing.id::<FuseId>()?;
        let least = self.subject.faults.fuse(id)?.smallest;
        if let Some(least) = least.map(Current::as_amperes) {
            let how = How::Words(
                "the network of that short circuit, solved: batteries empty, cold and at their \
                 most resistance, conductors warm, bonds as read or 0.1 ohm",
            );
            self.step(
                "smallest prospective current of those that no other fuse ends",
                how,
                SourceId::OhmsLaw,
            )
            .gives("Ileast", least, Unit::Ampere);
        }
        if let Some((least, value)) = least.zip(self.finding.judged.value) {
            let how = How::Words(
                "read off the latest melting curve within its tolerance, and three times the \
                 I2t of its arc over the current squared",
            );
            self.step("time until it is off", how, SourceId::MeltingIntegral)
                .number("Ileast", least.as_amperes(), Unit::Ampere)
                .gives("t", value, Unit::Second);
        }
        self.fixed_limit("tlimit");
        Some(())
    }

    fn takes_over(&self) -> Option<()> {
        let judged = &self.finding.judged;
        if let Some(value) = judged.value {
            let how = How::Words(
                "where the latest melting curve within its tolerance ends, or the least that it \
                 breaks, the larger of both",
            );
            self.step(judged.name.value_words(), how, SourceId::MeltingIntegral)
                .of(self.finding.at?)
                .gives("Iclears", value, Unit::Ampere);
        }
        if let Some(limit) = judged.limit {
            let how = How::Words(
                "its breaking current along or against its arrow at the highest voltage, or that \
                 on which the controller opens it, the smaller of both",
            );
            self.step(judged.name.limit_words(), how, SourceId::Entered)
                .gives("Iopens", limit, Unit::Ampere);
        }
        Some(())
    }

    fn time_constant(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let mut carried = self.carried();
        let (current, _) =
            carried.find(|(one, _)| one.time_constant.as_seconds().total_cmp(&value).is_eq())?;
        let how = How::Words("energy in all inductances over half the power in all resistances");
        let mut step = self
            .step(
                "L/R of the short circuit that takes longest",
                how,
                SourceId::OhmsLaw,
            )
            .number("I", current.prospective.as_amperes(), Unit::Ampere);
        for (feeder, name) in current.feeders.iter().zip(INDUCTANCES) {
            let battery: &Battery = self.design.get(feeder.battery)?;
            if let Some(own) = battery.inductance.map(Inductance::as_henries) {
                step = step.stated(name, own, Unit::Henry, feeder.battery, "battery.inductance");
            }
        }
        step.gives("tau", value, Unit::Second);
        Some(())
    }

    /// The joule integral through it until a short circuit is off.
    fn i2t(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let thing = self.finding.thing;
        let worst = self.carried().find(|(current, _)| {
            let mut burdens = current.burdens.iter();
            burdens.any(|one| {
                one.thing == thing && one.i2t.map(CurrentSquaredTime::as_a2s) == Some(value)
            })
        });
        let Some((current, amperes)) = worst else {
            let how = How::Words("no short circuit leads through it");
            self.step("joule integral", how, SourceId::OhmsLaw)
                .gives("I2t", value, Unit::A2s);
            return Some(());
        };
        let how = How::Words(
            "integral of I^2 until the last fuse has broken it, each by its melting curve and \
             total I2t",
        );
        let mut step = self
            .step(
                "joule integral of the worst short circuit",
                how,
                SourceId::MeltingIntegral,
            )
            .number("I", amperes, Unit::Ampere);
        for (stage, [fuse, time]) in current.stages.iter().zip(STAGES) {
            step = step
                .number(fuse, stage.current.as_amperes(), Unit::Ampere)
                .number(time, stage.cleared.as_seconds(), Unit::Second);
        }
        step.gives("I2t", value, Unit::A2s);
        Some(())
    }

    /// What a conductor stands, with its own resistance.
    fn adiabatic(&self) -> Option<()> {
        let limit = self.finding.judged.limit?;
        let id = self.finding.thing.id::<ConductorId>()?;
        let lead: &Conductor = self.design.get(id)?;
        let part = lead.cable?;
        let guarded = guarded(self.design, self.subject.study, id)?;
        let cable = guarded.cable();
        let build = cable.build;
        let alpha = build.metal.temperature_coefficient_20().as_per_kelvin();
        let beta = 1.0 / alpha - 20.0;
        let heat = build.metal.heat_capacity().as_j_per_m3_k();
        self.by(
            "joule integral that heats it from its duty to the limit of a short circuit",
            "S * 0.000001 * Cv / (R20 * a) * ln((Tend + b) / (Tbegin + b))",
            SourceId::AdiabaticBalance,
        )
        .of(part)
        .stated(
            "S",
            build.section.as_mm2(),
            Unit::Mm2,
            part,
            "cable-type.section",
        )
        .number("Cv", heat, Unit::Number)
        .number("R20", build.resistance_20.as_ohm_per_m(), Unit::OhmPerMetre)
        .number("a", alpha, Unit::PerKelvin)
        .number("b", beta, Unit::Kelvin)
        .number("Tend", cable.short_limit.as_degc(), Unit::DegC)
        .number("Tbegin", cable.start.as_degc(), Unit::DegC)
        .gives("I2tstands", limit, Unit::A2s);
        Some(())
    }

    /// A share of what melts a fuse.
    fn melting_share(&self, fuse: Thing) -> Option<()> {
        let limit = self.finding.judged.limit?;
        let entry: &Fuse = self.design.get(fuse.id::<FuseId>()?)?;
        let part = entry.part?;
        let melting = self.design.get(part)?.melting?.as_a2s();
        self.by(
            "what surely does not melt it",
            "share * I2tmelt",
            SourceId::FuseSelectivity,
        )
        .of(fuse)
        .number("share", SELECTIVE_SHARE.as_fraction(), Unit::Number)
        .stated("I2tmelt", melting, Unit::A2s, part, "fuse-type.melting")
        .gives("I2tlimit", limit, Unit::A2s);
        Some(())
    }

    fn selective_time(&self) -> Option<()> {
        if let Some(value) = self.finding.judged.value {
            let burden = self
                .subject
                .faults
                .fuse(self.finding.thing.id::<FuseId>()?)?;
            let how = How::Words(
                "the latest clearing time over the earliest melting time upstream, at the worst \
                 of all currents of both curves",
            );
            self.step("worst quotient of times", how, SourceId::MeltingIntegral)
                .number("Imost", burden.largest?.as_amperes(), Unit::Ampere)
                .gives("quotient", value, Unit::Share);
        }
        self.fixed_limit("quotientlimit");
        Some(())
    }

    fn surge(&self) -> Option<()> {
        let thing = self.finding.thing;
        let peak = self.finding.judged.name == Aspect::CapacitorPeak;
        if let Some(value) = self.finding.judged.value {
            let volts = self.highest_voltage()?;
            let how = if peak {
                How::Words(
                    "sum of the peaks U / R or U sqrt(C / L) of every capacitor that reaches it",
                )
            } else {
                How::Words("0.5 C U^2 / R of every capacitor that reaches it, together")
            };
            let what = self.finding.judged.name.value_words();
            let mut step =
                self.step(what, how, SourceId::OhmsLaw)
                    .number("Umax", volts, Unit::Volt);
            let loads = self.design.all::<Load>().filter(|(_, load)| {
                self.subject.is_high(load.positive)
                    && load.link.map_or(0.0, Capacitance::as_farads) > 0.0
            });
            for ((id, load), name) in loads.zip(CAPACITORS) {
                let farads = load.link.map_or(0.0, Capacitance::as_farads);
                step = step.stated(name, farads, Unit::Farad, id, "load.link");
            }
            let (symbol, unit) = if peak {
                ("I", Unit::Ampere)
            } else {
                ("I2t", Unit::A2s)
            };
            step.gives(symbol, value, unit);
        }
        match (thing.id::<ContactorId>(), peak) {
            (Some(id), true) => {
                let contactor: &Contactor = self.design.get(id)?;
                self.limit("Ipeak", contactor.part?, "contactor-type.withstand-peak");
            }
            (Some(id), false) => {
                let contactor: &Contactor = self.design.get(id)?;
                self.limit("I2tstands", contactor.part?, "contactor-type.withstand");
            }
            (None, true) => {
                let (part, _) = self.fuse_type()?;
                self.limit("Ibreaks", part, "fuse-type.breaking");
            }
            (None, false) => self.melting_share(thing)?,
        }
        Some(())
    }

    fn strap(&self, thing: Thing) -> Option<()> {
        let id = thing.id::<EnclosureId>()?;
        self.value("S", thing, "box.bond");
        let largest = self.subject.faults.bond(id)?.largest?;
        self.metal(largest)
    }

    fn shield(&self, thing: Thing) -> Option<()> {
        let id = thing.id::<ConductorId>()?;
        let part = self.design.get(id)?.cable?;
        let build = self.design.get(part)?.braid?;
        let value = self.finding.judged.value?;
        let (count, key) = (Unit::Number, "cable-type.braid");
        self.by(
            "section of all strands of its shield",
            "carriers * ends * 0.7853982 * d^2",
            None,
        )
        .of(part)
        .stated("carriers", f32::from(build.carriers), count, part, key)
        .stated("ends", f32::from(build.ends), count, part, key)
        .stated("d", build.strand.as_mm(), Unit::Mm, part, key)
        .gives("S", value, Unit::Mm2);
        let largest = self.subject.faults.shield(id)?.largest?;
        self.metal(largest)
    }

    /// How much of what metal stands is used, and the section at which all of it is.
    fn metal(&self, largest: Current) -> Option<()> {
        let judged = &self.finding.judged;
        let (section, limit) = (judged.value?, judged.limit?);
        let share = (limit / section) * (limit / section);
        let how = How::Words(
            "(s I)^2 t over K^2 S^2 ln((b + T) / (b + Tbegin)) at the worst current of each fuse \
             that ends a short circuit through it",
        );
        self.step(
            "share of what it stands that is used",
            how,
            SourceId::Iec60949,
        )
        .number("Imost", largest.as_amperes(), Unit::Ampere)
        .number("S", section, Unit::Mm2)
        .gives("used", share, Unit::Number);
        self.by(
            "section at which all of it is used",
            "S * sqrt(used)",
            SourceId::Iec60949,
        )
        .number("S", section, Unit::Mm2)
        .number("used", share, Unit::Number)
        .gives("Sneeded", limit, Unit::Mm2);
        Some(())
    }
}
