//! Voltages, currents of strings, joining.

use super::{How, Work};
use crate::design::{
    Battery, BatteryId, BatteryString, CHARGE_TOLERANCE, Charged, Contactor, Fuse, LoadId, PhaseId,
    Resistor, ResistorId, ServiceDisconnectId, System, Thing,
};
use crate::link::JoinBound;
use crate::network::Refusal;
use crate::quantity::{Current, Resistance, Share};
use crate::review::aspect::{Aspect, Unit};
use crate::review::pack::largest_together;
use crate::review::trip::largest;
use crate::standard::SourceId;
use crate::study::Solved;
use crate::study::sequence::{JoinStudy, StatedWindow};
use crate::study::share_by_spread;

/// Numbers of currents are alike where they differ by less, as a share.
const ALIKE: f32 = 1.0e-4;

pub(super) fn alike(one: f32, other: f32) -> bool {
    libm::fabsf(one - other) <= ALIKE * libm::fmaxf(libm::fabsf(one), libm::fabsf(other))
}

/// What a network gives, in words.
pub(super) const NETWORK: How =
    How::Words("the network of that phase, all sources and loads at once");

const fn cell_key(charged: Charged) -> &'static str {
    match charged {
        Charged::Minimum => "cell-type.minimum",
        Charged::Nominal => "cell-type.nominal",
        Charged::Maximum => "cell-type.maximum",
    }
}

/// Cells of batteries in series.
const FULL_CELLS: [[&str; 2]; 6] = [
    ["n1", "Ucell1"],
    ["n2", "Ucell2"],
    ["n3", "Ucell3"],
    ["n4", "Ucell4"],
    ["n5", "Ucell5"],
    ["n6", "Ucell6"],
];

/// Cells of batteries, with their resistance.
const CELLS: [[&str; 3]; 4] = [
    ["n1", "np1", "Rcell1"],
    ["n2", "np2", "Rcell2"],
    ["n3", "np3", "Rcell3"],
    ["n4", "np4", "Rcell4"],
];

impl<'a> Work<'a> {
    pub(super) fn of_pack(&self) -> Option<()> {
        let thing = self.finding.thing;
        match self.finding.judged.name {
            Aspect::RatedVoltage => {
                self.rated_voltage()?;
                match thing.id::<ResistorId>() {
                    Some(id) => {
                        let resistor: &Resistor = self.design.get(id)?;
                        self.limit("Urated", resistor.part?, "resistor-type.voltage");
                    }
                    None => {
                        thing.id::<ServiceDisconnectId>()?;
                        self.limit("Urated", thing, "service-disconnect.voltage");
                    }
                }
            }
            Aspect::DomainVoltage => {
                self.highest_voltage()?;
                self.fixed_limit("Ulimit");
            }
            Aspect::HighestVoltage => {
                self.rated_voltage()?;
                self.limit("Ulimit", thing, "load.highest");
            }
            Aspect::LowestVoltage => self.lowest_at_load()?,
            Aspect::Polarity => {
                let value = self.finding.judged.value?;
                self.step("voltage as the load is drawn", NETWORK, SourceId::OhmsLaw)
                    .of(self.finding.at?)
                    .gives("U", value, Unit::Volt);
                self.fixed_limit("Uleast");
            }
            Aspect::FedPower => self.fed_power()?,
            Aspect::CellsInSeries => {
                self.cells_in_series(self.string_of(thing)?, "n")?;
                self.cells_in_series(self.string_of(self.finding.at?)?, "nbeside")?;
            }
            Aspect::FullVoltage => {
                self.string_voltage(self.string_of(thing)?, Charged::Maximum)?;
                self.string_voltage(self.string_of(self.finding.at?)?, Charged::Maximum)?;
            }
            Aspect::StringDischarge => self.string_current(false)?,
            Aspect::StringCharge => self.string_current(true)?,
            Aspect::StringTrip => self.string_trip()?,
            Aspect::StringLost => self.string_lost(false)?,
            Aspect::StringLostCharge => self.string_lost(true)?,
            Aspect::PieceVoltage => self.piece_voltage()?,
            Aspect::JoinWindow => self.join_window()?,
            Aspect::JoinSensors => self.join_sensors()?,
            _ => self.back_feed()?,
        }
        Some(())
    }

    /// The string with a battery, or with a service disconnect beside one.
    fn string_of(&self, thing: Thing) -> Option<&'a BatteryString> {
        let strings = &self.subject.strings.strings;
        let id = thing.id::<BatteryId>()?;
        strings
            .iter()
            .find(|string| string.batteries.iter().any(|one| one == id))
    }

    /// The sum over the batteries of a string.
    pub(super) fn string_voltage(&self, string: &BatteryString, charged: Charged) -> Option<f32> {
        let (mut sum, what) = (None, "voltage without load, battery by battery");
        for id in string.batteries.iter() {
            let battery: &Battery = self.design.get(id)?;
            let cell = battery.cell.voltage(charged)?.as_volts();
            let cells = f32::from(battery.in_series);
            let source = None;
            let step = match sum {
                None => self.by(what, "n * Ucell", source),
                Some(before) => self.by(what, "Ubefore + n * Ucell", source).number(
                    "Ubefore",
                    before,
                    Unit::Volt,
                ),
            };
            let volts = sum.unwrap_or(0.0) + cells * cell;
            step.of(id)
                .stated("n", cells, Unit::Number, id, "battery.in-series")
                .stated("Ucell", cell, Unit::Volt, id, cell_key(charged))
                .gives("U", volts, Unit::Volt);
            sum = Some(volts);
        }
        sum
    }

    /// The same with what charging may go beyond.
    pub(super) fn charged_voltage(&self, string: &BatteryString) -> Option<f32> {
        let volts = self.string_voltage(string, Charged::Maximum)?;
        let vehicle = &self.design.vehicle;
        let tolerance = vehicle.charge_tolerance.map(Share::as_fraction);
        let highest = volts * vehicle.charging();
        self.by(
            "highest voltage, with the tolerance of charging",
            "U * (1 + tol)",
            None,
        )
        .number("U", volts, Unit::Volt)
        .stated_or(
            "tol",
            (tolerance, CHARGE_TOLERANCE.as_fraction()),
            Unit::Share,
            Thing::VEHICLE,
            "vehicle.charge-tolerance",
        )
        .gives("Umax", highest, Unit::Volt);
        Some(highest)
    }

    /// What ratings are held against.
    pub(super) fn rated_voltage(&self) -> Option<f32> {
        let highest = self.highest_voltage()?;
        let Some((phase, braked)) = self.subject.study.pack.braked else {
            return Some(highest);
        };
        let what = "voltage of the full battery while a drive brakes";
        let braked = braked.as_volts();
        self.step(what, NETWORK, SourceId::OhmsLaw)
            .of(phase)
            .gives("Ubrake", braked, Unit::Volt);
        Some(braked)
    }

    /// The highest voltage of the traction battery.
    pub(super) fn highest_voltage(&self) -> Option<f32> {
        let mut best: Option<(&BatteryString, f32)> = None;
        for string in &self.subject.strings.strings {
            let volts = string.voltage(self.design, Charged::Maximum).ok()??;
            let volts = volts.as_volts();
            if best.is_none_or(|(_, known)| volts > known) {
                best = Some((string, volts));
            }
        }
        self.charged_voltage(best?.0)
    }

    fn cells_in_series(&self, string: &BatteryString, symbol: &'static str) -> Option<()> {
        let (mut sum, what) = (0.0, "cells in series, battery by battery");
        for id in string.batteries.iter() {
            let cells = f32::from(self.design.get(id)?.in_series);
            self.by(what, "before + n", None)
                .of(id)
                .number("before", sum, Unit::Number)
                .stated("n", cells, Unit::Number, id, "battery.in-series")
                .gives(symbol, sum + cells, Unit::Number);
            sum += cells;
        }
        Some(())
    }

    fn lowest_at_load(&self) -> Option<()> {
        let thing = self.finding.thing;
        let load = thing.id::<LoadId>()?;
        let phase: PhaseId = self.finding.at?.id()?;
        let (points, value) = (&self.subject.study.points, self.finding.judged.value?);
        let strings = self.subject.strings.strings.iter().enumerate();
        let mut best: Option<(&BatteryString, f32)> = None;
        for (index, string) in strings {
            if let Some(span) = points.string(phase, index)
                && best.is_none_or(|(_, known)| span.lowest.as_volts() > known)
            {
                best = Some((string, span.lowest.as_volts()));
            }
        }
        let (string, source) = best?;
        let empty = self.string_voltage(string, Charged::Minimum)?;
        let drawn = points.current(phase, load)?.as_amperes();
        self.step(
            "voltage at the battery in that phase",
            NETWORK,
            SourceId::OhmsLaw,
        )
        .of(phase)
        .number("Uempty", empty, Unit::Volt)
        .number("Iload", drawn, Unit::Ampere)
        .gives("Ubattery", source, Unit::Volt);
        let way = "drop of fuses, contactors and conductors on the way to the load";
        self.step(way, NETWORK, SourceId::OhmsLaw)
            .number("Iload", drawn, Unit::Ampere)
            .gives("dU", source - value, Unit::Volt);
        self.by("voltage at the load", "Ubattery - dU", SourceId::OhmsLaw)
            .number("Ubattery", source, Unit::Volt)
            .number("dU", source - value, Unit::Volt)
            .gives("U", value, Unit::Volt);
        self.limit("Uleast", thing, "load.lowest");
        Some(())
    }

    /// What a load draws that cannot have it, and the most that it could have.
    fn fed_power(&self) -> Option<()> {
        let phase: PhaseId = self.finding.at?.id()?;
        let points = &self.subject.study.points;
        let shortfall = [System::Traction, System::LowVoltage]
            .into_iter()
            .find_map(|system| match points.solved(phase, system) {
                Solved::Refused {
                    thing,
                    why: Refusal::CannotBeFed(shortfall),
                } if thing == Some(self.finding.thing) => Some(shortfall),
                _ => None,
            })?;
        self.step(
            "power of the load in that phase",
            How::Words("as drawn in the phase, else as rated"),
            SourceId::Entered,
        )
        .of(phase)
        .gives("P", shortfall.power.as_watts(), Unit::Watt);
        self.step(
            "most that the network brings to it",
            // Beside other loads both are known less exactly than what comes of them.
            How::Words("U^2 / (4 R), the network as the load sees it while all others work"),
            SourceId::MostPower,
        )
        .number("U", shortfall.open_circuit.as_volts(), Unit::Volt)
        .number("R", shortfall.resistance.as_ohms(), Unit::Ohm)
        .gives("Pmost", shortfall.most.as_watts(), Unit::Watt);
        Some(())
    }

    /// What the cells of a string allow: its weakest battery.
    fn current_limit(&self, string: &BatteryString, charging: bool) -> Option<f32> {
        let mut least: Option<(BatteryId, f32, f32, f32)> = None;
        for id in string.batteries.iter() {
            let battery: &Battery = self.design.get(id)?;
            let cell = if charging {
                battery.cell.charge_limit
            } else {
                battery.cell.discharge_limit
            };
            let (cell, beside) = (cell?.as_amperes(), f32::from(battery.in_parallel));
            if least.is_none_or(|(.., known)| cell * beside < known) {
                least = Some((id, cell, beside, cell * beside));
            }
        }
        let (id, cell, beside, amperes) = least?;
        let key = if charging {
            "cell-type.charge-limit"
        } else {
            "cell-type.discharge-limit"
        };
        self.by("what its cells allow", "np * Icell", SourceId::Entered)
            .of(id)
            .stated("np", beside, Unit::Number, id, "battery.in-parallel")
            .stated("Icell", cell, Unit::Ampere, id, key)
            .gives("Ilimit", amperes, Unit::Ampere);
        Some(amperes)
    }

    fn string_current(&self, charging: bool) -> Option<()> {
        let string = self.string_of(self.finding.thing)?;
        let studied = self.subject.study.strings.iter();
        let mut studied = studied.filter(|one| one.string == *string);
        let studied = studied.next()?;
        let found = if charging {
            studied.charge
        } else {
            studied.discharge
        };
        if let Ok(found) = found {
            let (phase, current) = found;
            self.string_in(string, (phase, current.as_amperes()));
        }
        self.current_limit(string, charging)?;
        Some(())
    }

    /// The largest current of a string, either way, against the trip.
    fn string_trip(&self) -> Option<()> {
        let string = self.string_of(self.finding.thing)?;
        let mut studied = self.subject.study.strings.iter();
        let studied = studied.find(|one| one.string == *string)?;
        self.string_in(string, largest(studied).ok()?);
        self.limit("Itrip", Thing::CONTROLLER, "controller.trip-current");
        Some(())
    }

    /// The current of a string in a phase, with the spread of its cells.
    fn string_in(&self, string: &BatteryString, (phase, value): (PhaseId, f32)) {
        let points = &self.subject.study.points;
        let strings = self.subject.strings;
        let spread = share_by_spread(self.design, points, strings, string, phase);
        self.step("largest current of the string", NETWORK, SourceId::OhmsLaw)
            .of(phase)
            .gives("Iall", value / spread, Unit::Ampere);
        let how = How::Words(
            "share of conductance with its cells at their least resistance and those of \
             parallel strings at their most, over that with all at their most, cables of \
             its own included; 1 without others",
        );
        self.step(
            "what the spread of the cells makes of it",
            how,
            SourceId::StringShare,
        )
        .gives("k", spread, Unit::Number);
        self.by(
            "largest current of the string",
            "Iall * k",
            SourceId::StringShare,
        )
        .number("Iall", value / spread, Unit::Ampere)
        .number("k", spread, Unit::Number)
        .gives("I", value, Unit::Ampere);
    }

    fn string_lost(&self, charging: bool) -> Option<()> {
        let string = self.string_of(self.finding.thing)?;
        let mates = || self.subject.strings.group(string.group);
        let direction = if charging { -1.0 } else { 1.0 };
        let all = largest_together(self.subject, mates, direction).ok()?;
        self.step(
            "what all strings of the group carry together, in the phase in which that is most",
            NETWORK,
            SourceId::OhmsLaw,
        )
        .gives("Iall", all, Unit::Ampere);
        let count = mates().fold(0.0, |count, _| count + 1.0);
        let mut each = all / (count - 1.0);
        self.by(
            "what each of the others carries when one is lost",
            "Iall / (k - 1)",
            SourceId::StringShare,
        )
        .number("Iall", all, Unit::Ampere)
        .number("k", count, Unit::Number)
        .gives("I", each, Unit::Ampere);
        let controller = &self.design.controller;
        let kept = [
            (controller.string_limit, "controller.string-limit"),
            (
                controller.string_charge_limit.filter(|_| charging),
                "controller.string-charge-limit",
            ),
        ];
        for (limit, key) in kept {
            let Some(limit) = limit.map(Current::as_amperes) else {
                continue;
            };
            let step = self.by(
                "what the controller lets through each",
                "min(I, Icontroller)",
                SourceId::Entered,
            );
            let step = step.number("I", each, Unit::Ampere);
            each = libm::fminf(each, limit);
            step.stated("Icontroller", limit, Unit::Ampere, Thing::CONTROLLER, key)
                .gives("I", each, Unit::Ampere);
        }
        self.current_limit(string, charging)?;
        Some(())
    }

    fn piece_voltage(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let thing = self.finding.thing;
        let strings = &self.subject.strings.strings;
        // Named after a service disconnect, or after the first battery.
        let string = self.string_of(thing).or_else(|| strings.first())?;
        let how = How::Words("the largest sum of batteries in a row between service disconnects");
        let mut step = self.step(
            "most that is left in one piece",
            how,
            SourceId::CommonPractice,
        );
        for (id, [number, cell]) in string.batteries.iter().zip(FULL_CELLS) {
            let battery: &Battery = self.design.get(id)?;
            let volts = battery.cell.maximum?.as_volts();
            let cells = f32::from(battery.in_series);
            step = step
                .stated(number, cells, Unit::Number, id, "battery.in-series")
                .stated(cell, volts, Unit::Volt, id, "cell-type.maximum");
        }
        step.gives("Upiece", value, Unit::Volt);
        let highest = self.highest_voltage()?;
        self.by(
            "half of the highest voltage, and rounding",
            "0.5 * Umax * (1 + r)",
            SourceId::CommonPractice,
        )
        .number("Umax", highest, Unit::Volt)
        .number(
            "r",
            crate::review::service_disconnect::ROUNDING,
            Unit::Number,
        )
        .gives("Uhalf", self.finding.judged.limit?, Unit::Volt);
        Some(())
    }

    fn join_of(&self, thing: Thing) -> Option<&'a JoinStudy> {
        let string = self.string_of(thing)?;
        let strings = &self.subject.strings.strings;
        let mut joins = self.subject.study.sequences.joins.iter();
        joins.find(|one| strings.get(usize::from(one.string)) == Some(string))
    }

    /// The least resistance of cells, as it is stated.
    pub(super) fn loop_of_cells(
        &self,
        what: &'static str,
        strings: &[&BatteryString],
        ohms: f32,
    ) -> Option<()> {
        let how = How::Words(
            "n / np x Rcell of each string at its least, with its own cables at their coldest",
        );
        let mut step = self.step(what, how, SourceId::OhmsLaw);
        let batteries = strings.iter().flat_map(|string| string.batteries.iter());
        for (id, [series, parallel, cell]) in batteries.zip(CELLS) {
            let battery: &Battery = self.design.get(id)?;
            let least: Resistance = battery.cell.resistance?.least().ok()?;
            step = step
                .stated(
                    series,
                    f32::from(battery.in_series),
                    Unit::Number,
                    id,
                    "battery.in-series",
                )
                .stated(
                    parallel,
                    f32::from(battery.in_parallel),
                    Unit::Number,
                    id,
                    "battery.in-parallel",
                )
                .stated(cell, least.as_ohms(), Unit::Ohm, id, "cell-type.resistance");
        }
        step.gives("R", ohms, Unit::Ohm);
        Some(())
    }

    fn join_window(&self) -> Option<()> {
        let join = self.join_of(self.finding.thing)?;
        match join.stated_as {
            Some(StatedWindow::ClosesWithin) => {
                self.value("dU", join.through?, "resistor.closes-within");
            }
            _ => self.value("dU", Thing::CONTROLLER, "controller.join-window"),
        }
        let found = join.found.as_ref().ok()?;
        let (volts, bound) = found.largest?;
        let volts = volts.as_volts();
        if bound == JoinBound::Ceiling {
            self.fixed_limit("dUmost");
            return Some(());
        }
        let ohms = found.difference.as_volts() / found.current.as_amperes();
        let strings = &self.subject.strings.strings;
        let both = [
            strings.get(usize::from(join.string))?,
            strings.get(usize::from(join.with))?,
        ];
        self.loop_of_cells("resistance of the loop of both strings", &both, ohms)?;
        let amperes = volts / ohms;
        self.bound(join, bound, amperes)?;
        self.by(
            "difference that drives this current",
            "Iweakest * R",
            SourceId::OhmsLaw,
        )
        .number("Iweakest", amperes, Unit::Ampere)
        .number("R", ohms, Unit::Ohm)
        .gives("dUmost", volts, Unit::Volt);
        Some(())
    }

    fn join_sensors(&self) -> Option<()> {
        self.value("eU", Thing::CONTROLLER, "controller.voltage-error");
        let join = self.join_of(self.finding.thing)?;
        let window = join.window.ok()?.as_volts();
        let most = self.finding.judged.limit?;
        if alike(most, 0.5 * window) {
            self.by("half the window", "dU / 2", SourceId::OhmsLaw)
                .number("dU", window, Unit::Volt)
                .gives("eUmost", most, Unit::Volt);
        } else {
            self.by(
                "half of what is left to what cells, contactor and fuse stand",
                "(dUmost - dU) / 2",
                SourceId::OhmsLaw,
            )
            .number("dUmost", window + 2.0 * most, Unit::Volt)
            .number("dU", window, Unit::Volt)
            .gives("eUmost", most, Unit::Volt);
        }
        Some(())
    }

    /// What is weakest when strings are joined.
    fn bound(&self, join: &JoinStudy, bound: JoinBound, amperes: f32) -> Option<()> {
        let strings = &self.subject.strings.strings;
        match bound {
            JoinBound::CellCharge | JoinBound::StringDischarge => {
                let charging = bound == JoinBound::CellCharge;
                for number in [join.string, join.with] {
                    let string = strings.get(usize::from(number))?;
                    let limit = string.current_limit(self.design, charging).ok()??;
                    if alike(limit.as_amperes(), amperes) {
                        self.current_limit(string, charging)?;
                        break;
                    }
                }
            }
            JoinBound::ContactorMake => {
                let part = join.contactors.iter().find_map(|id| {
                    let contactor: &Contactor = self.design.get(id)?;
                    let make = self.design.get(contactor.part?)?.make?;
                    alike(make.as_amperes(), amperes).then_some(contactor.part?)
                })?;
                let what = "largest current that its contactor closes on";
                self.given(
                    what,
                    "Iweakest",
                    amperes,
                    Unit::Ampere,
                    part.into(),
                    "contactor-type.make",
                );
            }
            _ => {
                let part = self.fuse_with(|kind| kind.rated, amperes)?;
                let what = "rated current of its fuse";
                self.given(
                    what,
                    "Iweakest",
                    amperes,
                    Unit::Ampere,
                    part,
                    "fuse-type.rated",
                );
            }
        }
        Some(())
    }

    /// The type of a fuse that states this current.
    fn fuse_with(
        &self,
        of: impl Fn(&crate::design::FuseType) -> Option<Current>,
        amperes: f32,
    ) -> Option<Thing> {
        let mut fuses = self.design.all::<Fuse>().filter_map(|(_, fuse)| fuse.part);
        let part = fuses.find(|part| {
            let stated = self.design.get(*part).and_then(&of);
            stated.is_some_and(|stated| alike(stated.as_amperes(), amperes))
        });
        part.map(Into::into)
    }

    fn back_feed(&self) -> Option<()> {
        let value = self.finding.judged.value?;
        let string = self.string_of(self.finding.thing)?;
        let volts = self.highest_voltage()?;
        let ohms = volts / value;
        let mut others: heapless::Vec<&BatteryString, 8, u8> = heapless::Vec::new();
        for other in &self.subject.strings.strings {
            if other.group == string.group && other != string {
                // More than these are not shown.
                let _ = others.push(other);
            }
        }
        self.loop_of_cells(
            "resistance of the other strings in parallel, and of its own cables",
            &others,
            ohms,
        )?;
        self.by(
            "current into a short circuit of the string",
            "Umax / R",
            SourceId::OhmsLaw,
        )
        .number("Umax", volts, Unit::Volt)
        .number("R", ohms, Unit::Ohm)
        .gives("I", value, Unit::Ampere);
        if let Some(limit) = self.finding.judged.limit {
            let part = self.fuse_with(|kind| kind.breaking, limit)?;
            self.limit("Ibreaks", part, "fuse-type.breaking");
        }
        Some(())
    }
}
