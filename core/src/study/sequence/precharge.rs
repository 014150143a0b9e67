//! Time, energy, settling and threshold of each precharge path.

use heapless::Vec;

use super::Context;
use super::path::PrechargePath;
use crate::design::{
    Charged, Contactor, ContactorId, ContactorType, Draw, Gap, Load, LoadId, MAX_LOADS, Purpose,
    Resistor, ResistorId, ResistorType, Role, Set, Thing,
};
use crate::link::{
    CAPACITANCE_TOLERANCE, Precharge, PrechargeCheck, PrechargeInput, REACTION, RESISTOR_TOLERANCE,
    ResistorRating, StandingLoad, THRESHOLD_SHARE, TRIES, Threshold, Tries, precharge,
};
use crate::quantity::{Capacitance, Current, Resistance, Share, Time, Voltage};
use crate::standard::SourceId;
use crate::study::checked::Checked;
use crate::study::unknown::{Known, Unknown, entry};
use crate::verdict::{Judged, Side, Verdict};

/// What one precharge resistor does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PrechargeStudy {
    /// The resistor.
    pub resistor: ResistorId,
    /// What is closed with it.
    pub path: Known<PrechargePath>,
    /// Voltage without load of the strings that feed it: lowest and highest, charging
    /// tolerance included.
    pub voltages: Known<[Voltage; 2]>,
    /// All stated capacitors of the link, as nominal.
    pub capacitance: Known<Capacitance>,
    /// The load of the link whose capacitance is not stated, if there is one.
    pub silent: Option<LoadId>,
    /// The loads that draw meanwhile.
    pub standing: Set<LoadId>,
    /// Least resistance of the loop that a main contactor closes: strings and their own
    /// cables. Capacitors and further cables are left out, which is the safe side.
    pub loop_resistance: Known<Resistance>,
    /// What happens.
    pub found: Known<Precharge>,
    /// The verdicts, in the order of [`Precharge::checks`].
    pub checks: [Checked<PrechargeCheck>; 8],
}

/// Standing loads, with what all resistances together draw as one more.
type Standing = Vec<StandingLoad, { MAX_LOADS + 1 }, u8>;

/// What draws from the link, and what is not known of it.
struct Drawing {
    standing: Standing,
    loads: Set<LoadId>,
    unknown: Option<Unknown>,
}

/// Everything that the checks of one path are made from.
struct Case<'a> {
    id: ResistorId,
    resistor: &'a Resistor,
    path: &'a PrechargePath,
    drawing: &'a Drawing,
    /// What keeps the capacitance from being known, if it is not.
    silent: Option<Unknown>,
    loop_resistance: Known<Resistance>,
}

impl Context<'_> {
    /// Studies one precharge resistor.
    pub(super) fn precharge(&self, id: ResistorId, resistor: &Resistor) -> PrechargeStudy {
        let path = self.path(id, resistor);
        self.precharge_over(
            id,
            resistor,
            path.ok_or(Unknown::missing(id, Gap::PrechargePath)),
        )
    }

    /// Studies one precharge resistor whose path is known.
    pub(super) fn precharge_over(
        &self,
        id: ResistorId,
        resistor: &Resistor,
        path: Known<PrechargePath>,
    ) -> PrechargeStudy {
        let path = match path {
            Ok(path) => path,
            Err(unknown) => return PrechargeStudy::unknown(id, unknown),
        };
        let drawing = self.drawing(&path);
        let silent = self.silent(path.loads);
        let case = Case {
            id,
            resistor,
            path: &path,
            drawing: &drawing,
            silent: silent.map(|load| Unknown::missing(load, Gap::LinkCapacitance)),
            loop_resistance: self.loop_resistance(&path),
        };
        let voltages = self.voltages(&path);
        let capacitance = self.link_capacitance(id, &path);
        let found = voltages.and_then(|[lowest, highest]| {
            let input = self.input(&case, [lowest, highest], capacitance?)?;
            precharge(&input).map_err(Unknown::refused(id))
        });
        let checks = self.checks(&case, &found);
        PrechargeStudy {
            resistor: id,
            voltages,
            capacitance,
            silent,
            standing: drawing.loads,
            loop_resistance: case.loop_resistance,
            found,
            checks,
            path: Ok(path),
        }
    }

    /// Which resistors keep every check; `None` where an input is missing.
    #[cfg(feature = "text")]
    pub(super) fn resistors_that_hold(
        &self,
        id: ResistorId,
    ) -> Option<crate::link::ResistorWindow> {
        let resistor: &Resistor = self.design.get(id)?;
        let path = self.path(id, resistor)?;
        let drawing = self.drawing(&path);
        let case = Case {
            id,
            resistor,
            path: &path,
            drawing: &drawing,
            silent: None,
            loop_resistance: self.loop_resistance(&path),
        };
        let capacitance = self.link_capacitance(id, &path).ok()?;
        let input = self.input(&case, self.voltages(&path).ok()?, capacitance);
        crate::link::resistor_window(&input.ok()?).ok()
    }

    /// The first of some loads whose capacitance is not stated.
    pub(super) fn silent(&self, loads: Set<LoadId>) -> Option<LoadId> {
        let mut loads = loads.iter();
        loads.find(|id| self.design.get(*id).is_some_and(|load| load.link.is_none()))
    }

    fn link_capacitance(&self, id: ResistorId, path: &PrechargePath) -> Known<Capacitance> {
        let capacitance = self.capacitance(path.loads)?;
        if capacitance.as_farads() <= 0.0 {
            return Err(match self.silent(path.loads) {
                Some(load) => Unknown::missing(load, Gap::LinkCapacitance),
                None => Unknown::missing(id, Gap::PrechargePath),
            });
        }
        Ok(capacitance)
    }

    /// The stated capacitors of some loads, as nominal.
    pub(super) fn capacitance(&self, loads: Set<LoadId>) -> Known<Capacitance> {
        let mut farads = 0.0;
        for load in loads.iter() {
            farads += entry(self.design, load)?
                .link
                .map_or(0.0, Capacitance::as_farads);
        }
        Capacitance::from_farads(farads).map_err(Unknown::refused(Thing::VEHICLE))
    }

    /// Lowest and highest voltage without load of the strings that feed a path.
    fn voltages(&self, path: &PrechargePath) -> Known<[Voltage; 2]> {
        let factor = self.design.vehicle.charging();
        let (mut lowest, mut highest) = (f32::INFINITY, 0.0);
        for number in &path.strings {
            let Some(string) = self.strings.strings.get(usize::from(*number)) else {
                continue;
            };
            let thing = self.design.lacking(string, |battery| {
                battery.cell.minimum.is_some() && battery.cell.maximum.is_some()
            });
            let at = |charged| {
                string
                    .voltage(self.design, charged)
                    .map_err(Unknown::refused(thing))?
                    .ok_or(Unknown::Missing(thing, Gap::CellVoltage))
            };
            lowest = libm::fminf(lowest, at(Charged::Minimum)?.as_volts());
            highest = libm::fmaxf(highest, at(Charged::Maximum)?.as_volts() * factor);
        }
        let refused = Unknown::refused(Thing::VEHICLE);
        Ok([
            Voltage::from_volts(lowest).map_err(&refused)?,
            Voltage::from_volts(highest).map_err(&refused)?,
        ])
    }

    /// Least resistance of the strings that feed a path, in parallel.
    fn loop_resistance(&self, path: &PrechargePath) -> Known<Resistance> {
        let mut conductance = 0.0;
        for number in &path.strings {
            if let Some(string) = self.strings.strings.get(usize::from(*number)) {
                let ohms = self.least_resistance(string)?.as_ohms();
                conductance += 1.0 / libm::fmaxf(ohms, f32::MIN_POSITIVE);
            }
        }
        Resistance::from_ohms(1.0 / conductance).map_err(Unknown::refused(Thing::VEHICLE))
    }

    /// What draws from the link while it is charged.
    fn drawing(&self, path: &PrechargePath) -> Drawing {
        let mut drawing = Drawing {
            standing: Vec::new(),
            loads: Set::EMPTY,
            unknown: None,
        };
        let mut siemens = 0.0;
        for id in path.loads.iter() {
            let Some(load) = self.design.get(id) else {
                continue;
            };
            siemens += load.bleed.map_or(0.0, |bleed| most_drawn(bleed, None));
            match self.draw(path, id, load) {
                Ok(None) => {}
                Ok(Some(one)) => {
                    drawing.loads.insert(id);
                    // There are as many places as loads, and one more.
                    let _ = drawing.standing.push(one);
                }
                Err(unknown) => {
                    drawing.unknown = drawing.unknown.or(Some(unknown));
                    if let Some(one) = self.surely_drawn(path, id, load) {
                        drawing.loads.insert(id);
                        let _ = drawing.standing.push(one);
                    }
                }
            }
        }
        let metal = path.metal(self);
        for (id, one) in self.design.all::<Resistor>() {
            let beside = metal.across([one.from, one.to], [path.link, path.back]);
            if one.purpose == Purpose::Precharge || !beside {
                continue;
            }
            let part: Option<&ResistorType> = one.part.and_then(|part| self.design.get(part));
            if let Some(ohms) = part.and_then(|part| part.resistance) {
                siemens += most_drawn(ohms, part.and_then(|part| part.tolerance));
            } else {
                let unknown = Unknown::missing(id, Gap::ResistorType);
                drawing.unknown = drawing.unknown.or(Some(unknown));
            }
        }
        if siemens > 0.0
            && let Ok(all) = Resistance::from_ohms(1.0 / siemens)
        {
            let _ = drawing.standing.push(StandingLoad {
                draw: Draw::Resistance(all),
                from: NO_VOLTAGE,
            });
        }
        drawing
    }

    /// What one load draws meanwhile; `None` where that is nothing.
    fn draw(&self, path: &PrechargePath, id: LoadId, load: &Load) -> Known<Option<StandingLoad>> {
        let said = path
            .phase
            .and_then(|phase| self.design.draw_in(phase, id))
            .or(load.idle);
        let draw = match (said, load.role) {
            (Some(draw), _) => draw,
            (None, Role::ChargingSource) => Draw::NOTHING,
            (None, _) => return Err(Unknown::missing(id, Gap::IdleDraw)),
        };
        // What delivers charges the link too; it is not counted on.
        if draw.is_nothing() || draw.delivers() {
            return Ok(None);
        }
        let from = match (load.idle_from, draw) {
            (Some(from), _) => from,
            (None, Draw::Power(_)) => return Err(Unknown::missing(id, Gap::IdleFrom)),
            (None, _) => NO_VOLTAGE,
        };
        Ok(Some(StandingLoad { draw, from }))
    }

    /// What a load draws at least whose phase says that it draws power while the link is
    /// charged, but not from which voltage: that from the voltage on at which it works.
    fn surely_drawn(&self, path: &PrechargePath, id: LoadId, load: &Load) -> Option<StandingLoad> {
        let draw = self.design.draw_in(path.phase?, id)?;
        let wants = matches!(draw, Draw::Power(_)) && !draw.is_nothing() && !draw.delivers();
        let from = load.lowest.filter(|_| wants)?;
        Some(StandingLoad { draw, from })
    }

    fn input<'b>(
        &self,
        case: &Case<'b>,
        [lowest, highest]: [Voltage; 2],
        capacitance: Capacitance,
    ) -> Known<PrechargeInput<'b>> {
        let (id, controller) = (case.id, &self.design.controller);
        let part = case.resistor.part;
        let part = part.ok_or(Unknown::missing(id, Gap::ResistorType))?;
        let kind: &ResistorType = entry(self.design, part)?;
        let peak = self.weakest_make(self.relays(case.path));
        let make = self.weakest_make(case.path.mains);
        Ok(PrechargeInput {
            highest,
            lowest,
            capacitance,
            capacitance_tolerance: CAPACITANCE_TOLERANCE,
            resistance: kind
                .resistance
                .ok_or(Unknown::missing(part, Gap::Resistance))?,
            resistance_tolerance: kind.tolerance.unwrap_or(RESISTOR_TOLERANCE),
            start: NO_VOLTAGE,
            loads: &case.drawing.standing,
            threshold: case
                .resistor
                .closes_within
                .map_or(Threshold::Share(THRESHOLD_SHARE), Threshold::Left),
            time_out: case.resistor.time_out,
            reaction: controller.reaction.unwrap_or(REACTION),
            loop_resistance: case.loop_resistance.ok(),
            make: make.ok(),
            peak_current: peak.ok(),
            rating: ResistorRating::from(kind),
            cut_out: kind.cuts_out(),
            tries: Tries {
                count: controller.precharge_tries.unwrap_or(TRIES),
                pause: controller.precharge_pause.unwrap_or(AT_ONCE),
            },
        })
    }

    /// The least that some contactors may close on.
    pub(super) fn weakest_make(&self, contactors: Set<ContactorId>) -> Known<Current> {
        let mut least: Option<Current> = None;
        for id in contactors.iter() {
            let make = self.make_of(id)?;
            if least.is_none_or(|known| make < known) {
                least = Some(make);
            }
        }
        least.ok_or(Unknown::Missing(Thing::VEHICLE, Gap::MainContactor))
    }

    /// What a contactor may close on.
    pub(super) fn make_of(&self, id: ContactorId) -> Known<Current> {
        let contactor: &Contactor = entry(self.design, id)?;
        let part = contactor.part;
        let part = part.ok_or(Unknown::missing(id, Gap::ContactorType))?;
        let kind: &ContactorType = entry(self.design, part)?;
        kind.make.ok_or(Unknown::missing(part, Gap::Make))
    }

    fn checks(&self, case: &Case<'_>, found: &Known<Precharge>) -> [Checked<PrechargeCheck>; 8] {
        let found = match found {
            Ok(found) => found,
            Err(unknown) => return ALL.map(|name| open(name, *unknown)),
        };
        let rating = case.resistor.part.map_or(Thing::from(case.id), Into::into);
        let at_resistor = |gap| Unknown::missing(case.id, gap);
        let in_sheet = |gap| Unknown::Missing(rating, gap);
        let no_threshold = case.resistor.closes_within.is_none();
        found.checks.map(|judged| {
            let because = match judged.name {
                PrechargeCheck::Settles => at_resistor(Gap::ClosesWithin),
                PrechargeCheck::Time | PrechargeCheck::Stuck
                    if case.resistor.time_out.is_none() =>
                {
                    at_resistor(Gap::TimeOut)
                }
                PrechargeCheck::PeakPower => in_sheet(Gap::PeakPower),
                PrechargeCheck::PeakCurrent => {
                    let make = self.weakest_make(self.relays(case.path));
                    make.err().unwrap_or(at_resistor(Gap::Make))
                }
                PrechargeCheck::Inrush => {
                    let make = self.weakest_make(case.path.mains).err();
                    let make = match make {
                        Some(Unknown::Missing(_, Gap::MainContactor)) => {
                            Some(at_resistor(Gap::MainContactor))
                        }
                        other => other,
                    };
                    let known = case.loop_resistance.err().or(make);
                    known.unwrap_or(at_resistor(Gap::ClosesWithin))
                }
                _ => in_sheet(Gap::PulseEnergy),
            };
            let needs_threshold = matches!(
                judged.name,
                PrechargeCheck::Settles | PrechargeCheck::Time | PrechargeCheck::Inrush
            );
            if no_threshold && needs_threshold {
                return open(judged.name, at_resistor(Gap::ClosesWithin));
            }
            let mut checked = Checked::open_because(judged, because);
            // More capacitance takes longer and heats the resistor more; so does what draws.
            let by_capacitance = matches!(
                judged.name,
                PrechargeCheck::Time | PrechargeCheck::TryEnergy | PrechargeCheck::SeriesEnergy
            );
            if let (true, Some(silent)) = (by_capacitance, case.silent) {
                checked = checked.doubted(Verdict::Holds, silent);
            }
            let by_load = by_capacitance || judged.name == PrechargeCheck::Settles;
            if let (true, Some(unknown)) = (by_load, case.drawing.unknown) {
                checked = checked.doubted(Verdict::Holds, unknown);
            }
            checked
        })
    }
}

impl PrechargeStudy {
    fn unknown(id: ResistorId, unknown: Unknown) -> Self {
        Self {
            resistor: id,
            path: Err(unknown),
            voltages: Err(unknown),
            capacitance: Err(unknown),
            silent: None,
            standing: Set::EMPTY,
            loop_resistance: Err(unknown),
            found: Err(unknown),
            checks: ALL.map(|name| open(name, unknown)),
        }
    }

    /// One of its checks.
    pub fn check(&self, name: PrechargeCheck) -> &Checked<PrechargeCheck> {
        let [first, ..] = &self.checks;
        let found = self.checks.iter().find(|one| one.judged.name == name);
        found.unwrap_or(first)
    }
}

/// Every check in the order of [`Precharge::checks`].
const ALL: [PrechargeCheck; 8] = [
    PrechargeCheck::Settles,
    PrechargeCheck::Time,
    PrechargeCheck::PeakCurrent,
    PrechargeCheck::PeakPower,
    PrechargeCheck::TryEnergy,
    PrechargeCheck::SeriesEnergy,
    PrechargeCheck::Stuck,
    PrechargeCheck::Inrush,
];

const NO_VOLTAGE: Voltage = constant!(Voltage::from_volts(0.0));
const AT_ONCE: Time = constant!(Time::from_seconds(0.0));

fn open(name: PrechargeCheck, because: Unknown) -> Checked<PrechargeCheck> {
    let side = match name {
        PrechargeCheck::Settles => Side::AtLeast,
        _ => Side::AtMost,
    };
    let judged = Judged::open(name, None, side, None, SourceId::CapacitorCircuit);
    Checked::open_because(judged, because)
}

/// Conductance, S, of a resistor at the low end of its tolerance, where it draws most.
fn most_drawn(resistance: Resistance, tolerance: Option<Share>) -> f32 {
    let tolerance = tolerance.unwrap_or(RESISTOR_TOLERANCE).as_fraction();
    1.0 / (resistance.as_ohms() * (1.0 - tolerance))
}
