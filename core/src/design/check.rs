//! Whether a design is consistent in itself.
//!
//! Nothing is judged here that a rule of the review judges: only what makes
//! computing impossible or leaves it open.

use super::battery::Battery;
use super::capacity::MAX_TERMINALS;
use super::conductor::{Conductor, Laid, RoutePiece};
use super::device::{Contactor, Fuse, Resistor, ServiceDisconnect};
use super::evidence::{Attestation, Reading};
use super::finding::{Fault, Finding, Gap, Pair};
use super::index::{EnclosureId, Index, Kind, TerminalId, Thing};
use super::load::{Converter, Load, Role};
use super::model::{Design, EntryId};
use super::operation::{Duty, Phase, PhaseDraw};
use super::place::{Enclosure, Spacing, Terminal, Zone};
use super::{System, check_parts};
use crate::bounds::Bounded;
use crate::limits::SATURATED;
use crate::quantity::Voltage;

/// Where findings go.
pub(super) type Sink<'a> = dyn FnMut(Finding) + 'a;

impl Design {
    /// Reports every fault of the design and everything that is missing, each by
    /// itself, to `sink`; grouped by kind of entry, in the order in which they
    /// were added. Without a fault that is more than a [`Fault::Missing`] the
    /// design can be computed.
    ///
    /// Bound: each entry once, draws and terminals against all others.
    pub fn check(&self, sink: &mut dyn FnMut(Finding)) {
        let check = Check { design: self };
        check.vehicle(sink);
        check.places(sink);
        check.terminals(sink);
        check.batteries(sink);
        check.conductors(sink);
        check.devices(sink);
        check.loads(sink);
        check_parts::parts(self, sink);
        check.operation(sink);
        check.evidence(sink);
    }
}

pub(super) fn report(sink: &mut Sink<'_>, thing: impl Into<Thing>, fault: Fault) {
    sink(Finding {
        thing: thing.into(),
        fault,
    });
}

/// Reports a gap where a value is not there.
#[allow(clippy::needless_pass_by_value)] // an option that is asked only whether it is there
pub(super) fn wanted<T>(sink: &mut Sink<'_>, thing: impl Into<Thing>, value: Option<T>, gap: Gap) {
    if value.is_none() {
        report(sink, thing, Fault::Missing(gap));
    }
}

struct Check<'a> {
    design: &'a Design,
}

impl Check<'_> {
    fn vehicle(&self, sink: &mut Sink<'_>) {
        let vehicle = &self.design.vehicle;
        wanted(sink, Thing::VEHICLE, vehicle.altitude, Gap::Altitude);
        wanted(sink, Thing::VEHICLE, vehicle.revision, Gap::Revision);
        let controller = &self.design.controller;
        let below = |low: Option<Voltage>, high: Option<Voltage>| {
            low.zip(high).is_some_and(|(low, high)| low < high)
        };
        let trips_early = controller
            .trip_current
            .zip(controller.string_limit)
            .is_some_and(|(trip, limit)| trip <= limit);
        let never_trips = controller
            .trip_current
            .zip(controller.opens_discharging)
            .is_some_and(|(trip, opens)| trip > opens);
        let acts = [
            controller.trip_current,
            controller.opens_discharging,
            controller.opens_charging,
        ];
        let out_of_range = controller.current_range.is_some_and(|range| {
            let shown = SATURATED * range.as_amperes();
            let mut acts = acts.into_iter().flatten();
            acts.any(|acts| acts.as_amperes() > shown)
        });
        for (contradicts, pair) in [
            (
                below(controller.lowest_supply, controller.supply_dip),
                Pair::CoilSupply,
            ),
            (trips_early, Pair::TripAndLimit),
            (never_trips, Pair::TripAndOpening),
            (out_of_range, Pair::ActsOutOfRange),
        ] {
            if contradicts {
                report(sink, Thing::CONTROLLER, Fault::Contradicts(pair));
            }
        }
    }

    fn places(&self, sink: &mut Sink<'_>) {
        for (id, zone) in self.design.all::<Zone>() {
            wanted(sink, id, zone.air, Gap::Air);
            if zone
                .coldest
                .zip(zone.air)
                .is_some_and(|(cold, hot)| cold > hot)
            {
                report(sink, id, Fault::Contradicts(Pair::ZoneAir));
            }
        }
        for (id, enclosure) in self.design.all::<Enclosure>() {
            wanted(sink, id, enclosure.zone, Gap::Zone);
            self.refers(sink, id, enclosure.zone);
        }
        for (id, spacing) in self.design.all::<Spacing>() {
            self.refers(sink, id, Some(spacing.enclosure));
        }
    }

    fn terminals(&self, sink: &mut Sink<'_>) {
        let mut ends = [0_u16; MAX_TERMINALS];
        let mut end_at = |terminal: TerminalId| {
            if let Some(count) = ends.get_mut(terminal.position()) {
                *count = count.saturating_add(1);
            }
        };
        for drawn in self.design.drawn() {
            end_at(drawn.from);
            end_at(drawn.to);
        }
        for (_, contactor) in self.design.all::<Contactor>() {
            contactor.coil.into_iter().flatten().for_each(&mut end_at);
        }
        for ((id, terminal), count) in self.design.all::<Terminal>().zip(ends) {
            self.refers(sink, id, terminal.enclosure);
            match count {
                0 => report(sink, id, Fault::Unused),
                1 => report(sink, id, Fault::Dangling),
                _ => {}
            }
        }
    }

    /// What every thing between two terminals has to keep.
    fn ends(&self, sink: &mut Sink<'_>, thing: impl Into<Thing>, ends: [TerminalId; 2]) {
        let thing = thing.into();
        let [from, to] = ends;
        for end in ends {
            self.refers(sink, thing, Some(end));
        }
        if from == to {
            report(sink, thing, Fault::BothEndsOnOneTerminal);
        }
    }

    /// What lies in a box ends there: from box to box goes a cable, which has a length, a
    /// section and a fuse, and has to be drawn.
    fn in_one_box(
        &self,
        sink: &mut Sink<'_>,
        thing: impl Into<Thing>,
        own: Option<EnclosureId>,
        ends: [TerminalId; 2],
    ) {
        let ends = ends.map(|end| self.design.get(end).and_then(|end| end.enclosure));
        let [from, to] = ends;
        let Some(own) = own.or(from) else {
            return;
        };
        if let Some(other) = [from, to].into_iter().flatten().find(|end| *end != own) {
            report(sink, thing, Fault::InTwoBoxes(own, other));
        }
    }

    /// Reports a number that stands for nothing.
    fn refers<I: EntryId>(&self, sink: &mut Sink<'_>, thing: impl Into<Thing>, to: Option<I>) {
        if to.is_some_and(|id| self.design.get(id).is_none()) {
            report(sink, thing, Fault::NoSuch(I::KIND));
        }
    }

    /// Reports a thing that is not there.
    fn exists(&self, sink: &mut Sink<'_>, thing: impl Into<Thing>, about: Thing) {
        if usize::from(about.index) >= self.design.count(about.kind) {
            report(sink, thing, Fault::NoSuch(about.kind));
        }
    }

    fn batteries(&self, sink: &mut Sink<'_>) {
        let systems = self.design.systems();
        for (id, battery) in self.design.all::<Battery>() {
            self.ends(sink, id, [battery.negative, battery.positive]);
            self.refers(sink, id, battery.enclosure);
            self.in_one_box(
                sink,
                id,
                battery.enclosure,
                [battery.negative, battery.positive],
            );
            if battery.in_series == 0 || battery.in_parallel == 0 {
                report(sink, id, Fault::NoCells);
            }
            check_parts::cell(id, &battery.cell, sink);
            if battery
                .links_least
                .zip(battery.links)
                .is_some_and(|(least, most)| least > most)
            {
                report(sink, id, Fault::Contradicts(Pair::Resistances));
            }
            if systems.meet(battery.positive) {
                report(sink, id, Fault::SystemsJoined);
            }
        }
        for system in [System::Traction, System::LowVoltage] {
            for id in self.design.strings(system).astray.iter() {
                report(sink, id, Fault::Ring);
            }
        }
    }

    fn conductors(&self, sink: &mut Sink<'_>) {
        for (id, conductor) in self.design.all::<Conductor>() {
            self.ends(sink, id, [conductor.from, conductor.to]);
            wanted(sink, id, conductor.cable, Gap::CableType);
            self.refers(sink, id, conductor.cable);
            for end in &conductor.ends {
                self.refers(sink, id, end.lug);
                self.refers(sink, id, end.gland);
            }
            if conductor.route.piece_count() == 0 {
                report(sink, id, Fault::Missing(Gap::Route));
            }
            for piece in conductor.route.pieces() {
                self.refers(sink, id, Some(piece));
                // Said at the conductor: that is where the builder wrote it.
                let Some(piece) = self.design.get(piece) else {
                    continue;
                };
                if piece.length.is_none() {
                    report(sink, id, Fault::Missing(Gap::RouteLength));
                }
                if let Err(gap) = piece.stated() {
                    report(sink, id, Fault::Missing(gap));
                }
            }
        }
        for (id, piece) in self.design.all::<RoutePiece>() {
            self.refers(sink, id, Some(piece.zone));
            if let Some(Laid::InTube(_, tube)) = piece.laid {
                self.refers(sink, id, tube);
            }
            let circuits = piece.circuits.map(f32::from);
            if circuits.is_some_and(|count| Bounded::GroupedCircuits.check(count).is_err()) {
                report(sink, id, Fault::BundleCount);
            }
        }
    }

    fn devices(&self, sink: &mut Sink<'_>) {
        for (id, fuse) in self.design.all::<Fuse>() {
            self.ends(sink, id, [fuse.from, fuse.to]);
            wanted(sink, id, fuse.part, Gap::FuseType);
            self.refers(sink, id, fuse.part);
            self.refers(sink, id, fuse.enclosure);
            self.in_one_box(sink, id, fuse.enclosure, [fuse.from, fuse.to]);
        }
        for (id, contactor) in self.design.all::<Contactor>() {
            self.ends(sink, id, [contactor.from, contactor.to]);
            if let Some(coil) = contactor.coil {
                self.ends(sink, id, coil);
            }
            wanted(sink, id, contactor.part, Gap::ContactorType);
            self.refers(sink, id, contactor.part);
            self.refers(sink, id, contactor.enclosure);
            self.in_one_box(
                sink,
                id,
                contactor.enclosure,
                [contactor.from, contactor.to],
            );
        }
        for (id, disconnect) in self.design.all::<ServiceDisconnect>() {
            self.ends(sink, id, [disconnect.from, disconnect.to]);
            self.refers(sink, id, disconnect.enclosure);
            self.in_one_box(
                sink,
                id,
                disconnect.enclosure,
                [disconnect.from, disconnect.to],
            );
        }
        for (id, resistor) in self.design.all::<Resistor>() {
            self.ends(sink, id, [resistor.from, resistor.to]);
            wanted(sink, id, resistor.part, Gap::ResistorType);
            self.refers(sink, id, resistor.part);
            self.refers(sink, id, resistor.enclosure);
            self.in_one_box(sink, id, resistor.enclosure, [resistor.from, resistor.to]);
        }
    }

    fn loads(&self, sink: &mut Sink<'_>) {
        for (id, load) in self.design.all::<Load>() {
            self.ends(sink, id, [load.positive, load.negative]);
            self.refers(sink, id, load.enclosure);
            self.in_one_box(sink, id, load.enclosure, [load.positive, load.negative]);
            if load
                .lowest
                .zip(load.highest)
                .is_some_and(|(low, high)| low >= high)
            {
                report(sink, id, Fault::Contradicts(Pair::LoadWindow));
            }
            let wrong_sign = |draw| wrong_sign(load.role, draw);
            if load.rated.is_some_and(wrong_sign) {
                report(sink, id, Fault::WrongSign);
            }
            // Electronics that idle never deliver, whatever they are part of.
            if load.idle.is_some_and(super::Draw::delivers) {
                report(sink, id, Fault::WrongSign);
            }
        }
        for (id, converter) in self.design.all::<Converter>() {
            self.ends(sink, id, [converter.negative, converter.positive]);
            self.refers(sink, id, Some(converter.input));
            wanted(sink, id, converter.output, Gap::OutputVoltage);
        }
    }

    fn operation(&self, sink: &mut Sink<'_>) {
        for (id, phase) in self.design.all::<Phase>() {
            wanted(sink, id, phase.duration, Gap::Duration);
            for contactor in phase.closed.iter() {
                self.refers(sink, id, Some(contactor));
            }
            for disconnect in phase.out.iter() {
                self.refers(sink, id, Some(disconnect));
            }
        }
        for (id, draw) in self.design.all::<PhaseDraw>() {
            self.refers(sink, id, Some(draw.phase));
            self.refers(sink, id, Some(draw.load));
            let earlier = self.design.all::<PhaseDraw>().take(id.position());
            let same =
                |(_, other): (_, &PhaseDraw)| other.phase == draw.phase && other.load == draw.load;
            if earlier.into_iter().any(same) {
                report(sink, id, Fault::DrawTwice);
            }
            let load = self.design.get(draw.load);
            if load.is_some_and(|load| wrong_sign(load.role, draw.draw)) {
                report(sink, id, Fault::WrongSign);
            }
        }
        for (id, duty) in self.design.all::<Duty>() {
            if duty.phases.is_empty() {
                report(sink, id, Fault::NoPhase);
            }
            for phase in &duty.phases {
                self.refers(sink, id, Some(*phase));
            }
        }
    }

    fn evidence(&self, sink: &mut Sink<'_>) {
        for (id, reading) in self.design.all::<Reading>() {
            self.exists(sink, id, reading.at);
            self.refers(sink, id, reading.signature);
        }
        for (id, attestation) in self.design.all::<Attestation>() {
            self.exists(sink, id, attestation.about);
            self.refers(sink, id, attestation.signature);
            self.exists(sink, id, attestation.rule.into());
        }
        self.names(sink);
    }

    /// A text that is not in the table: only in a design that was read from bytes.
    fn names(&self, sink: &mut Sink<'_>) {
        for &kind in Kind::ALL {
            for index in 0..self.design.count(kind) {
                let Ok(index) = u16::try_from(index) else {
                    break;
                };
                let thing = Thing { kind, index };
                if self.design.is_named(thing) && self.design.name(thing).is_none() {
                    report(sink, thing, Fault::NoSuch(Kind::Text));
                }
            }
        }
    }
}

fn wrong_sign(role: Role, draw: super::Draw) -> bool {
    match role {
        Role::Consumer => draw.delivers(),
        Role::Drive => false,
        Role::ChargingSource => !draw.delivers() && !draw.is_nothing(),
    }
}
