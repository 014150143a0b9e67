//! Fuses, contactors, coils, lugs, glands, converters.

use super::pack::{NETWORK, alike};
use super::{How, Work};
use crate::design::{
    Battery, Conductor, ConductorId, Contactor, ContactorId, ContactorType, ContactorTypeId,
    ConverterId, EnclosureId, End, Fuse, FuseId, FuseType, FuseTypeId, Load, Phase, PhaseId,
    ServiceDisconnectId, System, Terminal, TerminalId, Thing,
};
use crate::protection::{FULL_RATING_M, FusePlace, REPEATED_PULSE, carried};
use crate::quantity::{Charge, ConductorArea, Current, Length, Share};
use crate::review::aspect::{Aspect, Unit};
use crate::review::low_fuse;
use crate::review::low_voltage::AGED_SHARE;
use crate::standard::SourceId;
use crate::standard::metal::Metal;
use crate::study::{Operation, cable_guard, lasting, opened, shared_overload};

/// Currents of several things.
const CURRENTS: [&str; 10] = ["I1", "I2", "I3", "I4", "I5", "I6", "I7", "I8", "I9", "I10"];

impl Work<'_> {
    pub(super) fn of_part(&self) -> Option<()> {
        match self.finding.judged.name {
            Aspect::FuseVoltage => self.fuse_voltage(),
            Aspect::FuseCarry => self.fuse_carry(),
            Aspect::FuseAllowed => {
                self.allowed()?;
                self.fuse_carries()?;
                Some(())
            }
            Aspect::LowFuseBreaking => self.low_breaking(),
            Aspect::ContactAllowed => {
                self.allowed()?;
                self.contact_carries()
            }
            Aspect::FusePulse => self.fuse_pulse(),
            Aspect::OverloadOwner => self.overload(),
            Aspect::SharedOverload => self.shared_overload(),
            Aspect::CableAllCurrents => self.all_currents(),
            Aspect::GapBreaks | Aspect::GapTripCurrent | Aspect::GapTripTime => self.gap(),
            Aspect::ContactVoltage => {
                self.rated_voltage()?;
                let (part, _) = self.contactor_type()?;
                self.limit("Urated", part, "contactor-type.voltage");
                Some(())
            }
            Aspect::ContactAltitude => {
                self.value("h", Thing::VEHICLE, "vehicle.altitude");
                let (part, _) = self.contactor_type()?;
                self.limit("hrated", part, "contactor-type.altitude");
                Some(())
            }
            Aspect::ContactCarry => {
                if self.finding.judged.value.is_some() {
                    self.lasting_current()?;
                }
                self.contact_carries()
            }
            Aspect::ContactAir => {
                let id = self.finding.thing.id::<ContactorId>()?;
                let contactor: &Contactor = self.design.get(id)?;
                self.air(contactor.enclosure, contactor.from)?;
                let (part, _) = self.contactor_type()?;
                self.limit("Trated", part, "contactor-type.carry-air");
                Some(())
            }
            Aspect::ContactSection => self.contact_section(),
            Aspect::ContactBreak => self.contact_break(),
            Aspect::CoilPullIn => self.coil(true),
            Aspect::CoilHold => self.coil(false),
            Aspect::CoilHighest => self.coil_highest(),
            Aspect::LugSmall | Aspect::LugLarge => self.barrel(),
            Aspect::LugHole | Aspect::LugOverStud => self.hole(),
            Aspect::LugPalm => self.palm(),
            Aspect::GlandThick | Aspect::GlandThin => self.gland(),
            Aspect::ConverterCurrent => self.converter(),
            Aspect::Reserve => self.reserve(),
            _ => None,
        }
    }

    pub(super) fn fuse_type(&self) -> Option<(FuseTypeId, FuseType)> {
        let fuse: &Fuse = self.design.get(self.finding.thing.id::<FuseId>()?)?;
        let part = fuse.part?;
        Some((part, self.design.get(part)?.clone()))
    }

    pub(super) fn contactor_type(&self) -> Option<(ContactorTypeId, ContactorType)> {
        let id = self.finding.thing.id::<ContactorId>()?;
        let contactor: &Contactor = self.design.get(id)?;
        let part = contactor.part?;
        Some((part, *self.design.get(part)?))
    }

    /// What each string of the low-voltage side drives through a fuse of it.
    fn low_breaking(&self) -> Option<()> {
        let id = self.finding.thing.id::<FuseId>()?;
        let fuse: &Fuse = self.design.get(id)?;
        let (mut sum, strings) = (0.0, self.design.strings(System::LowVoltage));
        let each = strings.strings.iter();
        for string in each.filter(|_| self.finding.judged.value.is_some()) {
            let driven = low_fuse::driven(self.subject, &strings, string, (id, fuse)).ok()?;
            let Some([volts, ohms, way]) = driven else {
                continue;
            };
            let first = string.batteries.iter().next()?;
            let own = volts / (ohms + way);
            self.by(
                "most that the low-voltage batteries drive through it",
                "before + Ufull / (Rleast + Rway)",
                SourceId::OhmsLaw,
            )
            .of(first)
            .number("before", sum, Unit::Ampere)
            .number("Ufull", volts, Unit::Volt)
            .number("Rleast", ohms, Unit::Ohm)
            .number("Rway", way, Unit::Ohm)
            .gives("I", sum + own, Unit::Ampere);
            sum += own;
        }
        let (part, _) = self.fuse_type()?;
        self.limit("Ibreaks", part, "fuse-type.breaking");
        Some(())
    }

    fn contact_carries(&self) -> Option<()> {
        if let Some(id) = self.finding.thing.id::<ServiceDisconnectId>() {
            self.limit("Icarry", id, "service-disconnect.carry");
            return Some(());
        }
        let (part, _) = self.contactor_type()?;
        self.limit("Icarry", part, "contactor-type.carry");
        Some(())
    }

    /// Which limit of the controller allows this to last.
    fn allowed(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let controller = &self.design.controller;
        let (_, key) = [
            (controller.string_limit, "controller.string-limit"),
            (controller.discharge_limit, "controller.discharge-limit"),
            (controller.charge_limit, "controller.charge-limit"),
        ]
        .into_iter()
        .find(|(limit, _)| limit.is_some_and(|limit| alike(limit.as_amperes(), value)))?;
        self.value("Iallowed", Thing::CONTROLLER, key);
        Some(())
    }

    fn fuse_voltage(&self) -> Option<()> {
        let id = self.finding.thing.id::<FuseId>()?;
        let fuse: &Fuse = self.design.get(id)?;
        if self.subject.systems.of(fuse.from) == Some(System::LowVoltage) {
            if let Some(value) = self.finding.judged.value {
                self.low_voltage(value)?;
            }
        } else {
            self.rated_voltage()?;
        }
        let (part, _) = self.fuse_type()?;
        self.limit("Urated", part, "fuse-type.voltage");
        Some(())
    }

    fn lasting_current(&self) -> Option<()> {
        let thing = self.finding.thing;
        let points = &self.subject.study.points;
        let (operation, current) = lasting(self.design, points, thing).ok()?;
        self.rms(thing, operation, current.as_amperes())
    }

    /// The air around something.
    fn air(&self, own: Option<EnclosureId>, terminal: TerminalId) -> Option<f32> {
        let enclosure = own.or_else(|| self.subject.box_of(terminal))?;
        let entry = self.design.get(enclosure)?;
        let what = "hottest air around it";
        let hottest = self.design.air_in(Some(enclosure));
        if let Some(inside) = entry.inside.filter(|inside| hottest == Some(*inside)) {
            let degc = inside.as_degc();
            self.given(
                what,
                "Tair",
                degc,
                Unit::DegC,
                enclosure.into(),
                "box.inside",
            );
            return Some(degc);
        }
        let zone = entry.zone?;
        let degc = self.design.get(zone)?.air?.as_degc();
        self.given(what, "Tair", degc, Unit::DegC, zone.into(), "zone.air");
        Some(degc)
    }

    fn fuse_place(&self, fuse: Fuse) -> FusePlace {
        let enclosure = fuse.enclosure.or_else(|| self.subject.box_of(fuse.from));
        FusePlace {
            air: self.design.air_in(enclosure),
            altitude: self.design.vehicle.altitude,
        }
    }

    /// What the fuse carries for ever in its place.
    fn fuse_carries(&self) -> Option<f32> {
        let id = self.finding.thing.id::<FuseId>()?;
        let fuse = *self.design.get(id)?;
        let (part, kind) = self.fuse_type()?;
        let place = self.fuse_place(fuse);
        let found = carried(&kind, &place).ok()?;
        let at_most = found.at_most?.as_amperes();
        let known = |share: Option<Share>| share.map_or(1.0, Share::as_fraction);
        if let (Some(_), Some(share)) = (place.air, found.air) {
            let air = self.air(fuse.enclosure, fuse.from)?;
            let how =
                How::Words("straight between the points of its derating curve; 1 in cool air");
            self.step(
                "what the air leaves of its rated current",
                how,
                SourceId::Entered,
            )
            .of(part)
            .number("Tair", air, Unit::DegC)
            .gives("kair", share.as_fraction(), Unit::Number);
        }
        if let (Some(altitude), Some(share)) = (place.altitude, found.altitude) {
            self.by(
                "what the altitude leaves of it",
                "1 - 0.005 * max(h - h0, 0) / 100",
                SourceId::FuseAltitude,
            )
            .stated(
                "h",
                altitude.as_metres(),
                Unit::Metre,
                Thing::VEHICLE,
                "vehicle.altitude",
            )
            .number("h0", FULL_RATING_M, Unit::Metre)
            .gives("kaltitude", share.as_fraction(), Unit::Number);
        }
        self.by(
            "what it carries for ever in its place; a share that is not known counts as 1",
            "In * kair * kholder * kaltitude",
            SourceId::CommonPractice,
        )
        .of(part)
        .stated(
            "In",
            kind.rated?.as_amperes(),
            Unit::Ampere,
            part,
            "fuse-type.rated",
        )
        .number("kair", known(found.air), Unit::Number)
        .stated_or(
            "kholder",
            (found.holder.map(Share::as_fraction), 1.0),
            Unit::Number,
            part,
            "fuse-type.holder",
        )
        .number("kaltitude", known(found.altitude), Unit::Number)
        .gives("Icarry", at_most, Unit::Ampere);
        Some(at_most)
    }

    fn fuse_carry(&self) -> Option<()> {
        if self.finding.judged.value.is_some() {
            self.lasting_current()?;
        }
        self.fuse_carries()?;
        Some(())
    }

    fn fuse_pulse(&self) -> Option<()> {
        let thing = self.finding.thing;
        let (value, points) = (self.finding.judged.value?, &self.subject.study.points);
        let operation = Operation::Duty(self.finding.at?.id()?);
        let steps = points.steps(self.design, operation, thing).ok()?;
        let phases = self.design.phases_of(operation);
        let (step, phase) = steps
            .iter()
            .zip(phases)
            .find(|(step, _)| alike(libm::fabsf(step.current.as_amperes()), value))?;
        let seconds = step.duration.as_seconds();
        self.step("current of the worst phase", NETWORK, SourceId::OhmsLaw)
            .of(phase)
            .stated("t", seconds, Unit::Second, phase, "phase.duration")
            .gives("I", value, Unit::Ampere);
        let Some(limit) = self.finding.judged.limit else {
            return Some(());
        };
        let carries = self.fuse_type().and_then(|(_, kind)| {
            let fuse = self.design.get(thing.id::<FuseId>()?)?;
            let place = self.fuse_place(*fuse);
            carried(&kind, &place).ok()?.at_most
        });
        if carries.is_some_and(|amperes| alike(amperes.as_amperes(), limit)) {
            self.fuse_carries()?;
            return Some(());
        }
        let (part, _) = self.fuse_type()?;
        let share = REPEATED_PULSE.as_fraction();
        let how = How::Words("the melting curve at that time, at its earliest");
        self.step("current that melts it in that time", how, SourceId::Entered)
            .of(part)
            .stated("t", seconds, Unit::Second, phase, "phase.duration")
            .gives("Imelt", limit / share, Unit::Ampere);
        self.by(
            "what may come again and again",
            "share * Imelt",
            SourceId::FusePulses,
        )
        .number("share", share, Unit::Number)
        .number("Imelt", limit / share, Unit::Ampere)
        .gives("Ilimit", limit, Unit::Ampere);
        Some(())
    }

    fn overload(&self) -> Option<()> {
        let (part, kind) = self.fuse_type()?;
        if let Some(value) = self.finding.judged.value {
            let rated = kind.rated.map(Current::as_amperes);
            let controller = &self.design.controller;
            let keys = [
                (controller.string_limit, "controller.string-limit"),
                (controller.discharge_limit, "controller.discharge-limit"),
                (controller.charge_limit, "controller.charge-limit"),
            ];
            let of_controller = keys
                .iter()
                .find(|(limit, _)| limit.is_some_and(|limit| alike(limit.as_amperes(), value)));
            match of_controller {
                _ if rated == Some(value) => self.value("I", part, "fuse-type.rated"),
                Some((_, key)) => self.value("I", Thing::CONTROLLER, key),
                None => return None,
            }
        }
        if let Some(at) = self.finding.at {
            self.carried_for_ever(at.id()?)?;
        }
        Some(())
    }

    /// The limit of the finding: what a conductor carries for ever.
    fn carried_for_ever(&self, id: ConductorId) -> Option<()> {
        let Some(limit) = self.finding.judged.limit else {
            return Some(());
        };
        let lead: &Conductor = self.design.get(id)?;
        let cable = lead.cable?;
        let class = self.design.get(cable)?.temperature_class?.as_degc();
        let how = How::Words("the heat balance of the piece that carries least, at Tc = class");
        self.step(
            "current that the conductor carries for ever",
            how,
            SourceId::Iec60287,
        )
        .of(id)
        .stated(
            "class",
            class,
            Unit::DegC,
            cable,
            "cable-type.temperature-class",
        )
        .gives("Iz", limit, Unit::Ampere);
        Some(())
    }

    /// What several fuses let through together, or the controller, and the share of it.
    fn shared_overload(&self) -> Option<()> {
        let id = self.finding.thing.id::<ConductorId>()?;
        let found = shared_overload(self.design, self.subject.study, id).ok()??;
        let value = found
            .judged
            .value
            .filter(|_| self.finding.judged.value.is_some());
        if let Some(value) = value {
            let whole = value / found.share;
            let limit = found.controller.map(Current::as_amperes);
            let controller = &self.design.controller;
            let of_controller = limit
                .filter(|limit| alike(*limit, whole))
                .and_then(|limit| {
                    [
                        (controller.string_limit, "controller.string-limit"),
                        (controller.discharge_limit, "controller.discharge-limit"),
                        (controller.charge_limit, "controller.charge-limit"),
                    ]
                    .into_iter()
                    .find(|(one, _)| one.is_some_and(|one| alike(one.as_amperes(), limit)))
                });
            if let Some((_, key)) = of_controller {
                let what = "limit of the controller";
                self.given(what, "I", whole, Unit::Ampere, Thing::CONTROLLER, key);
            } else {
                let mut all = 0.0;
                for id in found.fuses?.iter() {
                    let fuse: &Fuse = self.design.get(id)?;
                    let part = fuse.part?;
                    let rated = self.design.get(part)?.rated?.as_amperes();
                    let so_far = all + rated;
                    self.by("rated currents of the fuses so far", "Ibefore + In", None)
                        .of(id)
                        .number("Ibefore", all, Unit::Ampere)
                        .stated("In", rated, Unit::Ampere, part, "fuse-type.rated")
                        .gives("I", so_far, Unit::Ampere);
                    all = so_far;
                }
            }
            let how = How::Words(
                "by conductance beside those parallel to it, itself at its least resistance and \
                 they at their most; 1 where it is alone",
            );
            self.step("its share", how, SourceId::ParallelSum).gives(
                "share",
                found.share,
                Unit::Share,
            );
            self.by("what may last in it", "I * share", SourceId::OhmsLaw)
                .number("I", whole, Unit::Ampere)
                .number("share", found.share, Unit::Share)
                .gives("Ishare", value, Unit::Ampere);
        }
        self.carried_for_ever(id)
    }

    /// What every current does to a conductor until its fuse opens.
    fn all_currents(&self) -> Option<()> {
        if let Some(value) = self.finding.judged.value {
            let id = self.finding.thing.id::<FuseId>()?;
            let subject = self.subject;
            let found = cable_guard(self.design, subject.study, subject.faults, id).ok()?;
            let used = found?.1.worst?;
            let how = How::Words(
                "the latest curve of the fuse at the worst current from the smallest that it has \
                 to clear to the largest of a short circuit, and what the conductor stands for \
                 that long",
            );
            self.step(self.finding.judged.name.value_words(), how, used.source)
                .number("Iworst", used.current.as_amperes(), Unit::Ampere)
                .gives("used", value, Unit::Share);
        }
        self.fixed_limit("usedmost");
        Some(())
    }

    /// Who opens what melts a partial-range fuse without being broken.
    fn gap(&self) -> Option<()> {
        let judged = &self.finding.judged;
        let (part, _) = self.fuse_type()?;
        let controller = &self.design.controller;
        let (how, source) = match judged.name {
            Aspect::GapBreaks => {
                self.value("Ileast", part, "fuse-type.least-breaking");
                let how = How::Words(
                    "what the contactor in series breaks at the highest voltage, at most the \
                     current on which the controller opens it, the smaller of both directions",
                );
                (how, SourceId::Entered)
            }
            Aspect::GapTripCurrent => {
                let trip = controller.trip_current.map(Current::as_amperes);
                if let (Some(trip), Some(value)) = (trip, judged.value) {
                    let what = "current from which the controller trips, of all strings that meet";
                    self.by(what, "Itrip * k", SourceId::Entered)
                        .stated(
                            "Itrip",
                            trip,
                            Unit::Ampere,
                            Thing::CONTROLLER,
                            "controller.trip-current",
                        )
                        .number("k", value / trip, Unit::Number)
                        .gives("I", value, Unit::Ampere);
                }
                let how =
                    How::Words("where the earliest melting curve within its tolerance begins");
                (how, SourceId::MeltingIntegral)
            }
            _ => {
                self.value("ttrip", Thing::CONTROLLER, "controller.trip-time");
                let how = How::Words(
                    "read off the earliest melting curve within its tolerance, at the least \
                     current that the fuse breaks",
                );
                (how, SourceId::MeltingIntegral)
            }
        };
        if let Some(limit) = judged.limit {
            self.step(judged.name.limit_words(), how, source).gives(
                "limit",
                limit,
                judged.name.unit(),
            );
        }
        Some(())
    }

    fn contact_section(&self) -> Option<()> {
        let id = self.finding.thing.id::<ContactorId>()?;
        let contactor = self.design.get(id)?;
        let value = self.finding.judged.value?;
        let inside = contactor
            .section
            .is_some_and(|section| alike(section.as_mm2(), value));
        if inside {
            self.value("S", id, "contactor.section");
        }
        for (_, lead) in self.design.all::<Conductor>() {
            let ends = [lead.from, lead.to];
            let here = ends.contains(&contactor.from) || ends.contains(&contactor.to);
            let Some(cable) = lead.cable.filter(|_| here && !inside) else {
                continue;
            };
            let section = self.design.get(cable)?.conductor.section;
            if alike(section.as_mm2(), value) {
                self.value("S", cable, "cable-type.section");
                break;
            }
        }
        let (part, _) = self.contactor_type()?;
        self.limit("Srated", part, "contactor-type.carry-section");
        Some(())
    }

    fn contact_break(&self) -> Option<()> {
        let id = self.finding.thing.id::<ContactorId>()?;
        let study = self.subject.study;
        opened(self.design, study, id).ok()?;
        if let Some(value) = self.finding.judged.value {
            let phase = self.design.all::<Phase>().find(|(phase, _)| {
                let current = study.points.current(*phase, id);
                current.is_some_and(|current| alike(libm::fabsf(current.as_amperes()), value))
            });
            let controller = &self.design.controller;
            let stated = |limit: Option<Current>| {
                limit.is_some_and(|limit| alike(limit.as_amperes(), value))
            };
            if stated(controller.opens_discharging) {
                self.value("I", Thing::CONTROLLER, "controller.opens-discharging");
            } else if stated(controller.opens_charging) {
                self.value("I", Thing::CONTROLLER, "controller.opens-charging");
            } else if let Some((_, key)) = [
                (controller.trip_current, "controller.trip-current"),
                (controller.discharge_limit, "controller.discharge-limit"),
                (controller.charge_limit, "controller.charge-limit"),
                (controller.string_limit, "controller.string-limit"),
                (
                    controller.string_charge_limit,
                    "controller.string-charge-limit",
                ),
            ]
            .into_iter()
            .find(|(limit, _)| phase.is_none() && stated(*limit))
            {
                self.value("I", Thing::CONTROLLER, key);
            } else if let Some((phase, _)) = phase {
                self.step("largest current that way", NETWORK, SourceId::OhmsLaw)
                    .of(phase)
                    .gives("I", value, Unit::Ampere);
            } else if study
                .sequences
                .joins
                .iter()
                .any(|one| one.contactors.contains(id) && one.closes_on().is_some())
            {
                let how = How::Words("what flows at the window at which its string is joined");
                self.step("largest current that way", how, SourceId::OhmsLaw)
                    .gives("I", value, Unit::Ampere);
            } else {
                let how = How::Words("the first current through its precharge resistor");
                self.step("largest current that way", how, SourceId::OhmsLaw)
                    .gives("I", value, Unit::Ampere);
            }
        }
        let (part, kind) = self.contactor_type()?;
        let limit = self.finding.judged.limit?;
        let is = |stated: Option<Current>| {
            stated.is_some_and(|stated| alike(stated.as_amperes(), limit))
        };
        if is(kind.break_forward) {
            self.limit("Ibreak", part, "contactor-type.break-forward");
        } else {
            self.limit("Ibreak", part, "contactor-type.break-reverse");
        }
        Some(())
    }

    fn coil(&self, pulls_in: bool) -> Option<()> {
        let id = self.finding.thing.id::<ContactorId>()?;
        let contactor = *self.design.get(id)?;
        let (part, kind) = self.contactor_type()?;
        let coil = kind.coil;
        let controller = &self.design.controller;
        let (supply, key, needs) = if pulls_in {
            (
                controller.lowest_supply,
                "controller.lowest-supply",
                coil.pull_in,
            )
        } else {
            (
                controller.supply_dip,
                "controller.supply-dip",
                coil.drop_out,
            )
        };
        let (supply, needs) = (supply?.as_volts(), needs?.as_volts());
        let wire = contactor.coil_wire?.as_ohms();
        let rise = coil.rise?.as_kelvin();
        let air = self.air(contactor.enclosure, contactor.from)?;
        let degc = air + rise;
        self.by("how hot the coil is", "Tair + dT", SourceId::CoilCopper)
            .number("Tair", air, Unit::DegC)
            .stated("dT", rise, Unit::Kelvin, part, "contactor-type.coil")
            .gives("T", degc, Unit::DegC);
        let alpha = Metal::Copper.temperature_coefficient_20().as_per_kelvin();
        let warmed = 1.0 + alpha * (degc - 20.0);
        self.by(
            "resistance of the hot coil over that at 20 degC",
            "1 + a * (T - 20)",
            SourceId::CoilCopper,
        )
        .number("a", alpha, Unit::PerKelvin)
        .number("T", degc, Unit::DegC)
        .gives("k", warmed, Unit::Number);
        let gets = self.finding.judged.value?;
        let what = "voltage at the coil";
        let source = SourceId::OhmsLaw;
        match (coil.resistance_20, coil.pull_in_power, coil.hold_power) {
            (Some(cold), ..) => self
                .by(what, "Usupply * R20 * k / (R20 * k + Rwire)", source)
                .stated("Usupply", supply, Unit::Volt, Thing::CONTROLLER, key)
                .stated(
                    "R20",
                    cold.as_ohms(),
                    Unit::Ohm,
                    part,
                    "contactor-type.coil",
                )
                .number("k", warmed, Unit::Number)
                .stated("Rwire", wire, Unit::Ohm, id, "contactor.coil-wire")
                .gives("Ucoil", gets, Unit::Volt),
            (None, pull_in, hold) => {
                let power = if pulls_in { pull_in } else { hold.or(pull_in) };
                self.by(
                    what,
                    "(Usupply + sqrt(max(Usupply^2 - 4 * P * Rwire, 0))) / 2",
                    source,
                )
                .stated("Usupply", supply, Unit::Volt, Thing::CONTROLLER, key)
                .stated(
                    "P",
                    power?.as_watts(),
                    Unit::Watt,
                    part,
                    "contactor-type.coil",
                )
                .stated("Rwire", wire, Unit::Ohm, id, "contactor.coil-wire")
                .gives("Ucoil", gets, Unit::Volt);
            }
        }
        let what = if pulls_in {
            "voltage that it needs hot to pull in"
        } else {
            "voltage at which it drops out hot"
        };
        self.by(what, "Ucold * k", SourceId::CoilCopper)
            .stated("Ucold", needs, Unit::Volt, part, "contactor-type.coil")
            .number("k", warmed, Unit::Number)
            .gives("Uneeds", needs * warmed, Unit::Volt);
        Some(())
    }

    fn coil_highest(&self) -> Option<()> {
        if let Some(value) = self.finding.judged.value {
            self.low_voltage(value)?;
        }
        let (part, kind) = self.contactor_type()?;
        let limit = self.finding.judged.limit?;
        match (kind.coil.highest, kind.coil.nominal) {
            (None, Some(nominal)) => {
                let what = "what a coil of this nominal voltage stands";
                self.by(what, "Unominal * 4 / 3", SourceId::CommonPractice)
                    .stated(
                        "Unominal",
                        nominal.as_volts(),
                        Unit::Volt,
                        part,
                        "contactor-type.coil",
                    )
                    .gives("Ustands", limit, Unit::Volt);
            }
            _ => self.limit("Ustands", part, "contactor-type.coil"),
        }
        Some(())
    }

    /// The end of a conductor that the finding is about, and its cable.
    fn end(&self) -> Option<(Conductor, End)> {
        let lead: &Conductor = self.design.get(self.finding.thing.id::<ConductorId>()?)?;
        let [first, second] = &lead.ends;
        let at = self.finding.at?.id::<TerminalId>()?;
        Some((*lead, if lead.from == at { *first } else { *second }))
    }

    fn barrel(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let (lead, end) = self.end()?;
        let (lug, cable) = (end.lug?, lead.cable?);
        let barrel = self.design.get(lug)?.barrel.map(ConductorArea::as_mm2)?;
        let section = self.design.get(cable)?.conductor.section.as_mm2();
        self.by(
            "barrel over section of the cable",
            "Sbarrel / Scable",
            SourceId::CommonPractice,
        )
        .stated("Sbarrel", barrel, Unit::Mm2, lug, "lug-type.barrel")
        .stated("Scable", section, Unit::Mm2, cable, "cable-type.section")
        .gives("share", value, Unit::Share);
        self.fixed_limit("sharelimit");
        Some(())
    }

    fn hole(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let (_, end) = self.end()?;
        let lug = end.lug?;
        let hole = self.design.get(lug)?.hole.map(Length::as_mm)?;
        let at = self.finding.at?;
        let terminal: &Terminal = self.design.get(at.id::<TerminalId>()?)?;
        let stud = terminal.stud.map(Length::as_mm)?;
        if self.finding.judged.name == Aspect::LugOverStud {
            self.value("dhole", lug, "lug-type.hole");
            self.limit("dstud", at, "terminal.stud");
            return Some(());
        }
        self.by(
            "play of the stud in the hole",
            "dhole - dstud",
            SourceId::CommonPractice,
        )
        .stated("dhole", hole, Unit::Mm, lug, "lug-type.hole")
        .stated("dstud", stud, Unit::Mm, at, "terminal.stud")
        .gives("play", value, Unit::Mm);
        self.fixed_limit("playmost");
        Some(())
    }

    fn palm(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let (lead, end) = self.end()?;
        let (lug, cable) = (end.lug?, lead.cable?);
        let kind = self.design.get(lug)?;
        let [wide, hole, thick] =
            [kind.palm_width, kind.hole, kind.palm_thickness].map(|one| one.map(Length::as_mm));
        self.by(
            "metal beside the hole",
            "(w - dhole) * t",
            SourceId::CommonPractice,
        )
        .stated("w", wide?, Unit::Mm, lug, "lug-type.palm-width")
        .stated("dhole", hole?, Unit::Mm, lug, "lug-type.hole")
        .stated("t", thick?, Unit::Mm, lug, "lug-type.palm-thickness")
        .gives("S", value, Unit::Mm2);
        self.limit("Scable", cable, "cable-type.section");
        Some(())
    }

    fn gland(&self) -> Option<()> {
        let (lead, end) = self.end()?;
        self.value("D", lead.cable?, "cable-type.outer-diameter");
        let key = if self.finding.judged.name == Aspect::GlandThick {
            "gland-type.thickest"
        } else {
            "gland-type.thinnest"
        };
        self.limit("Dlimit", end.gland?, key);
        Some(())
    }

    fn converter(&self) -> Option<()> {
        let id = self.finding.thing.id::<ConverterId>()?;
        if let (Some(value), Some(at)) = (self.finding.judged.value, self.finding.at) {
            let phase: PhaseId = at.id()?;
            let points = &self.subject.study.points;
            let how = How::Words("what the loads of the low-voltage side draw together");
            let mut step = self
                .step("largest output current", how, SourceId::OhmsLaw)
                .of(phase);
            let loads = self.design.all::<Load>().filter(|(_, load)| {
                self.subject.systems.of(load.positive) == Some(System::LowVoltage)
            });
            let drawn = loads.filter_map(|(load, _)| points.current(phase, load));
            let drawn = drawn.filter(|drawn| drawn.as_amperes() != 0.0);
            for (current, name) in drawn.zip(CURRENTS) {
                step = step.number(name, current.as_amperes(), Unit::Ampere);
            }
            step.gives("Iout", value, Unit::Ampere);
        }
        self.limit("Irated", id, "converter.rated");
        Some(())
    }

    fn reserve(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let batteries = self.design.all::<Battery>();
        let mut charge = 0.0;
        for (id, battery) in batteries.filter(|(_, one)| one.system == System::LowVoltage) {
            let cell = battery.cell.capacity.map(Charge::as_ampere_hours)?;
            let beside = f32::from(battery.in_parallel);
            self.by(
                "charge of the low-voltage batteries",
                "before + np * Qcell",
                SourceId::Entered,
            )
            .of(id)
            .number("before", charge, Unit::AmpereHour)
            .stated("np", beside, Unit::Number, id, "battery.in-parallel")
            .stated("Qcell", cell, Unit::AmpereHour, id, "cell-type.capacity")
            .gives("Q", charge + beside * cell, Unit::AmpereHour);
            charge += beside * cell;
        }
        let amperes = AGED_SHARE * charge * 3600.0 / value;
        let how = How::Words(
            "the most that loads draw that are stated as essential, of all while one is silent",
        );
        self.step("what goes on without a converter", how, SourceId::OhmsLaw)
            .gives("I", amperes, Unit::Ampere);
        self.by(
            "time with what an aged battery is trusted with",
            "share * Q * 3600 / I",
            SourceId::CommonPractice,
        )
        .number("share", AGED_SHARE, Unit::Number)
        .number("Q", charge, Unit::AmpereHour)
        .number("I", amperes, Unit::Ampere)
        .gives("t", value, Unit::Second);
        self.fixed_limit("tleast");
        Some(())
    }
}
