//! How each link loses its charge when the contactors are open.

use super::Context;
use crate::design::{
    Contactor, Design, Enclosure, EnclosureId, Gap, Joined, Kind, Load, LoadId, Phase, PhaseId,
    Purpose, Resistor, ResistorId, ResistorType, ResistorTypeId, Role, Set, System, TerminalId,
    Thing,
};
use crate::fault::live;
use crate::link::{
    ActiveDischarge, Bleed, CAPACITANCE_TOLERANCE, Discharge, DischargeCheck, DischargeInput,
    OPENED_WITH_TOOL_S, OPENED_WITHOUT_TOOL_S, RESISTOR_TOLERANCE, ResistorRating, Stands,
    discharge, touchable,
};
use crate::quantity::{Capacitance, Power, Resistance, Share, Time};
use crate::standard::SourceId;
use crate::study::checked::Checked;
use crate::study::operation::Operation;
use crate::study::unknown::{Known, Unknown, entry};
use crate::verdict::{Judged, Side, Verdict};

/// Most links that are kept.
pub const MAX_LINKS: usize = 16;

/// One link: loads whose poles stay joined with every contactor open.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct DischargeStudy {
    /// Its loads.
    pub loads: Set<LoadId>,
    /// All stated capacitors between its poles, as nominal.
    pub capacitance: Known<Capacitance>,
    /// The resistors that bleed it.
    pub bleeds: Set<ResistorId>,
    /// The resistor that a switch puts across it; the fastest of several.
    pub active: Option<ResistorId>,
    /// The box with something of it whose label says to wait for the shortest time, and
    /// that time; where one says nothing, that one.
    pub label: Option<(EnclosureId, Option<Time>)>,
    /// How long phases hold the switched one on the battery; nothing without one.
    pub(crate) held: Known<Option<Held>>,
    /// How it loses its voltage.
    pub found: Known<Discharge>,
    /// Time, label, energy of the active discharge, and how long it stands a welded
    /// contactor: in the order of [`Discharge::checks`], without the power of the bleed.
    pub checks: [Checked<DischargeCheck>; 4],
    /// The lasting power of the bleed that has least left, and which that is; a switched
    /// resistor that phases hold on the battery is one for that share of the time.
    pub bleed_power: Option<(ResistorId, Checked<DischargeCheck>)>,
}

impl DischargeStudy {
    /// The worst verdict of its checks.
    pub fn verdict(&self) -> Verdict {
        let checks = self.checks.iter().map(Checked::verdict);
        let bleed = self.bleed_power.iter().map(|(_, check)| check.verdict());
        checks
            .chain(bleed)
            .fold(Verdict::NotApplicable, Verdict::worse)
    }

    /// One of its checks.
    pub fn check(&self, name: DischargeCheck) -> &Checked<DischargeCheck> {
        let [first, ..] = &self.checks;
        let found = self.checks.iter().find(|one| one.judged.name == name);
        found.unwrap_or(first)
    }
}

/// A link while it is looked at.
struct Link<'a> {
    metal: &'a Joined,
    poles: [TerminalId; 2],
    loads: Set<LoadId>,
}

impl Link<'_> {
    fn across(&self, one: TerminalId, other: TerminalId) -> bool {
        self.metal.across([one, other], self.poles)
    }

    fn touches(&self, terminal: TerminalId) -> bool {
        let mut poles = self.poles.into_iter();
        poles.any(|pole| self.metal.together(pole, terminal))
    }
}

/// How long phases hold a switched resistor on the battery.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(crate) struct Held {
    /// The operation with the largest share.
    pub(crate) operation: Operation,
    /// Of its time; 1 in a phase that lasts.
    pub(crate) share: f32,
    /// In one go at most, all phases of it together; `None` for ever.
    pub(crate) time: Option<Time>,
}

/// Computes: in which operation a resistor lies across a string longest; `None` in none.
///
/// # Errors
/// [`Gap::Duration`] of a phase of a duty that holds it.
fn held(design: &Design, id: ResistorId) -> Known<Option<Held>> {
    let strings = design.strings(System::Traction);
    let one: &Resistor = entry(design, id)?;
    let holds = |phase: PhaseId| -> Known<bool> {
        let phase: &Phase = entry(design, phase)?;
        let metal = design.metal(|thing| match thing.kind {
            Kind::Contactor => thing.id().is_some_and(|id| phase.closed.contains(id)),
            Kind::ServiceDisconnect => thing.id().is_none_or(|id| !phase.out.contains(id)),
            _ => true,
        });
        let mut all = strings.strings.iter();
        Ok(all.any(|string| metal.across([one.from, one.to], [string.negative, string.positive])))
    };
    let mut worst: Option<Held> = None;
    for operation in design.operations() {
        let (mut on, mut all) = (0.0, 0.0);
        let mut unsaid = None;
        for phase in design.phases_of(operation) {
            let lasts = match operation {
                Operation::Lasting(_) => Some(1.0),
                Operation::Duty(_) => entry(design, phase)?.duration.map(Time::as_seconds),
            };
            let here = holds(phase)?;
            let Some(lasts) = lasts else {
                unsaid = unsaid.or(Some(phase));
                on += if here { f32::MIN_POSITIVE } else { 0.0 };
                continue;
            };
            all += lasts;
            on += if here { lasts } else { 0.0 };
        }
        if on <= 0.0 {
            continue;
        }
        if let Some(phase) = unsaid {
            return Err(Unknown::missing(phase, Gap::Duration));
        }
        let share = on / all;
        let time = match operation {
            Operation::Duty(_) if on < all => {
                Some(Time::from_seconds(on).map_err(Unknown::refused(operation))?)
            }
            _ => None,
        };
        if worst.is_none_or(|known| share > known.share) {
            worst = Some(Held {
                operation,
                share,
                time,
            });
        }
    }
    Ok(worst)
}

/// Resistance and ratings of a resistor.
#[derive(Clone, Copy)]
struct Rated<'a> {
    part: ResistorTypeId,
    kind: &'a ResistorType,
    resistance: Resistance,
    tolerance: Share,
}

impl Context<'_> {
    /// Every link; whether there are more than fit.
    pub(super) fn discharges(
        &self,
        found: &mut heapless::Vec<DischargeStudy, MAX_LINKS, u8>,
    ) -> bool {
        let metal = &self.opened;
        let mut seen: Set<LoadId> = Set::EMPTY;
        for (id, load) in self.loads() {
            let empty = load.link.is_some_and(|link| link.as_farads() <= 0.0);
            // What stays joined to a battery at both poles cannot be discharged; that its
            // poles are not switched is another rule's finding.
            let stays =
                live(self.design, load.positive, metal) && live(self.design, load.negative, metal);
            if seen.contains(id) || empty || stays {
                continue;
            }
            let mut link = Link {
                metal,
                poles: [load.positive, load.negative],
                loads: Set::EMPTY,
            };
            for (other, entry) in self.loads() {
                if link.across(entry.positive, entry.negative) {
                    link.loads.insert(other);
                    seen.insert(other);
                }
            }
            if found.push(self.discharge(&link)).is_err() {
                return true;
            }
        }
        false
    }

    fn discharge(&self, link: &Link<'_>) -> DischargeStudy {
        let mut bleeds = Set::EMPTY;
        for purpose in [Purpose::Bleed, Purpose::Discharge] {
            for (id, one) in self.resistors(purpose) {
                // A discharge resistor without a switch is a bleed.
                if link.across(one.from, one.to) {
                    bleeds.insert(id);
                }
            }
        }
        let active = self.active(link);
        let silent = self.silent_in(link);
        let label = self.label(link);
        let found = self.discharged(link, bleeds, active, label);
        let held = active.map_or(Ok(None), |id| held(self.design, id));
        let checks = self.discharge_checks(link, bleeds, (active, held), label, &found);
        DischargeStudy {
            loads: link.loads,
            capacitance: self
                .capacitance(link.loads)
                .and_then(|farads| match silent {
                    Some(unknown) if farads.as_farads() <= 0.0 => Err(unknown),
                    _ => Ok(farads),
                }),
            bleeds,
            active,
            label,
            bleed_power: self.bleed_power(link, bleeds, (active, held), &found),
            held,
            found,
            checks,
        }
    }

    /// The resistor that a contactor puts across a link, the fastest of several.
    fn active(&self, link: &Link<'_>) -> Option<ResistorId> {
        let mut best: Option<(ResistorId, f32)> = None;
        for (id, one) in self.resistors(Purpose::Discharge) {
            if link.across(one.from, one.to) {
                continue;
            }
            let switched = self.design.all::<Contactor>().any(|(_, relay)| {
                let mut ends = [(one.from, one.to), (one.to, one.from)].into_iter();
                ends.any(|(here, there)| {
                    // One end on a pole, the other behind a contactor on the other pole.
                    let mut sides = [(relay.from, relay.to), (relay.to, relay.from)].into_iter();
                    sides.any(|(near, far)| {
                        link.metal.together(near, here) && link.across(far, there)
                    })
                })
            });
            let ohms = self
                .rated(id, one)
                .map_or(f32::INFINITY, |rated| rated.resistance.as_ohms());
            if switched && best.is_none_or(|(_, known)| ohms < known) {
                best = Some((id, ohms));
            }
        }
        best.map(|(id, _)| id)
    }

    fn rated(&self, id: ResistorId, one: &Resistor) -> Known<Rated<'_>> {
        let part = one.part.ok_or(Unknown::missing(id, Gap::ResistorType))?;
        let kind = entry(self.design, part)?;
        let resistance = kind
            .resistance
            .ok_or(Unknown::missing(part, Gap::Resistance))?;
        let tolerance = kind.tolerance.unwrap_or(RESISTOR_TOLERANCE);
        Ok(Rated {
            part,
            kind,
            resistance,
            tolerance,
        })
    }

    /// The box whose label says least.
    fn label(&self, link: &Link<'_>) -> Option<(EnclosureId, Option<Time>)> {
        let mut least: Option<(EnclosureId, Option<Time>)> = None;
        for (id, terminal) in self.design.all::<crate::design::Terminal>() {
            let Some(enclosure) = terminal.enclosure.filter(|_| link.touches(id)) else {
                continue;
            };
            let says = self
                .design
                .get(enclosure)
                .and_then(|entry: &Enclosure| entry.label_wait);
            // Nothing said is less than any time.
            if least.is_none_or(|(_, known)| says < known) {
                least = Some((enclosure, says));
            }
        }
        least
    }

    /// The first load that does not say which capacitors it has.
    fn silent_in(&self, link: &Link<'_>) -> Option<Unknown> {
        if let Some(load) = self.silent(link.loads) {
            return Some(Unknown::missing(load, Gap::LinkCapacitance));
        }
        let says_no_y = |id: &LoadId| {
            let load = self.design.get(*id);
            load.is_some_and(|load| load.y_positive.is_none() || load.y_negative.is_none())
        };
        let mut loads = link.loads.iter();
        let load = loads.find(says_no_y)?;
        Some(Unknown::missing(load, Gap::YCapacitance))
    }

    /// The bleeds as one, at their highest; `None` without one.
    fn bleed(&self, link: &Link<'_>, bleeds: Set<ResistorId>) -> Known<Option<Resistance>> {
        let mut siemens = 0.0;
        for id in bleeds.iter() {
            let rated = self.rated(id, entry(self.design, id)?)?;
            let highest = rated.resistance.as_ohms() * (1.0 + rated.tolerance.as_fraction());
            siemens += 1.0 / highest;
        }
        for load in link.loads.iter() {
            let own = entry(self.design, load)?.bleed;
            siemens += own.map_or(0.0, |own| {
                1.0 / (own.as_ohms() * (1.0 + RESISTOR_TOLERANCE.as_fraction()))
            });
        }
        if siemens <= 0.0 {
            return Ok(None);
        }
        let all = Resistance::from_ohms(1.0 / siemens);
        all.map(Some).map_err(Unknown::refused(Thing::VEHICLE))
    }

    fn discharged(
        &self,
        link: &Link<'_>,
        bleeds: Set<ResistorId>,
        active: Option<ResistorId>,
        label: Option<(EnclosureId, Option<Time>)>,
    ) -> Known<Discharge> {
        let mut input = self.plain_input(link)?;
        input.bleed = self.bleed(link, bleeds)?.map(|resistance| Bleed {
            resistance,
            tolerance: EXACT,
            power: None,
        });
        input.active = active
            .map(|id| {
                let resistor: &Resistor = entry(self.design, id)?;
                let rated = self.rated(id, resistor)?;
                Ok(ActiveDischarge {
                    resistance: rated.resistance,
                    tolerance: rated.tolerance,
                    rating: ResistorRating::from(rated.kind),
                    cut_off: resistor.time_out,
                })
            })
            .transpose()?;
        let seconds = if self.parts_by_hand(link) {
            OPENED_WITHOUT_TOOL_S
        } else {
            OPENED_WITH_TOOL_S
        };
        let refused = Unknown::refused(Thing::VEHICLE);
        input.wanted = Some(Time::from_seconds(seconds).map_err(&refused)?);
        input.label = label.and_then(|(_, says)| says);
        discharge(&input).map_err(&refused)
    }

    /// A link with its capacitors and nothing that discharges it.
    fn plain_input(&self, link: &Link<'_>) -> Known<DischargeInput> {
        let refused = Unknown::refused(Thing::VEHICLE);
        let capacitance = self.capacitance(link.loads)?;
        let silent = self.silent_in(link);
        if let (Some(unknown), true) = (silent, capacitance.as_farads() <= 0.0) {
            return Err(unknown);
        }
        let (mut positive, mut negative) = (0.0, 0.0);
        for load in link.loads.iter() {
            let load: &Load = entry(self.design, load)?;
            positive += load.y_positive.map_or(0.0, Capacitance::as_farads);
            negative += load.y_negative.map_or(0.0, Capacitance::as_farads);
        }
        let (safe, _) = touchable(self.design.vehicle.domain).map_err(&refused)?;
        Ok(DischargeInput {
            highest: self.highest?,
            safe,
            capacitance,
            y_positive: Capacitance::from_farads(positive).map_err(&refused)?,
            y_negative: Capacitance::from_farads(negative).map_err(&refused)?,
            capacitance_tolerance: CAPACITANCE_TOLERANCE,
            bleed: None,
            active: None,
            wanted: None,
            label: None,
        })
    }

    /// Whether a connector that parts without a tool leads to the link: the pins of a
    /// direct-current inlet.
    fn parts_by_hand(&self, link: &Link<'_>) -> bool {
        let mut loads = link.loads.iter().filter_map(|id| self.design.get(id));
        loads.any(|load| load.role == Role::ChargingSource && load.alternating != Some(true))
    }

    fn discharge_checks(
        &self,
        link: &Link<'_>,
        bleeds: Set<ResistorId>,
        (active, held): (Option<ResistorId>, Known<Option<Held>>),
        label: Option<(EnclosureId, Option<Time>)>,
        found: &Known<Discharge>,
    ) -> [Checked<DischargeCheck>; 4] {
        let at = |gap| match link.loads.iter().next() {
            Some(load) => Unknown::missing(load, gap),
            None => Unknown::Missing(Thing::VEHICLE, gap),
        };
        let found = match found {
            Ok(found) => found,
            Err(unknown) => return KEPT.map(|name| open(name, *unknown)),
        };
        let sheet = |gap| {
            let part = active.and_then(|id| self.design.get(id)?.part);
            part.map_or(at(gap), |part| Unknown::missing(part, gap))
        };
        let no_time_out = active
            .filter(|id| {
                self.design
                    .get(*id)
                    .is_some_and(|one| one.time_out.is_none())
            })
            .map(|id| Unknown::missing(id, Gap::TimeOut));
        let nothing = bleeds.is_empty() && found.passive.is_none();
        let never = |judged: &Judged<DischargeCheck>| match judged.name {
            DischargeCheck::Time => nothing && active.is_none(),
            DischargeCheck::Label => nothing,
            _ => false,
        };
        let [time, by_label, _, energy, welded] = found.checks;
        let silent = self.silent_in(link);
        let (welded, unheld) = match held {
            Ok(Some(held)) => (held_on(welded, found, held), None),
            // What holds it for some time may do so for too long.
            Err(unknown) if welded.verdict == Verdict::Holds => {
                let verdict = Verdict::Open;
                (Judged { verdict, ..welded }, Some(unknown))
            }
            _ => (welded, None),
        };
        [time, by_label, energy, welded].map(|judged| {
            if never(&judged) && self.may_shock() {
                // A resistor that nobody states discharges nothing.
                let (name, limit, source) = (judged.name, judged.limit, judged.source);
                let fails = Judged::failed_without_value(name, Side::AtMost, limit, source);
                return Checked::failed_because(fails, at(Gap::Bleed));
            }
            let because = match judged.name {
                DischargeCheck::Label => match label {
                    Some((enclosure, None)) if !nothing => {
                        Unknown::missing(enclosure, Gap::LabelWait)
                    }
                    _ if nothing => at(Gap::Bleed),
                    _ => at(Gap::Box),
                },
                DischargeCheck::ActiveEnergy => sheet(Gap::PulseEnergy),
                DischargeCheck::Welded => unheld.or(no_time_out).unwrap_or(sheet(Gap::Standing)),
                _ => at(Gap::Bleed),
            };
            let checked = Checked::open_because(judged, because);
            // More capacitance takes longer and brings more energy.
            match silent {
                Some(unknown) if judged.name != DischargeCheck::Welded => {
                    checked.doubted(Verdict::Holds, unknown)
                }
                _ => checked,
            }
        })
    }

    /// Whether a link at the highest voltage is above what may be touched.
    fn may_shock(&self) -> bool {
        match (self.highest, touchable(self.design.vehicle.domain)) {
            (Ok(highest), Ok((safe, _))) => highest > safe,
            _ => true,
        }
    }

    /// Each bleed sees the battery for its whole life, a switched resistor while phases hold
    /// it there.
    fn bleed_power(
        &self,
        link: &Link<'_>,
        bleeds: Set<ResistorId>,
        (active, held): (Option<ResistorId>, Known<Option<Held>>),
        found: &Known<Discharge>,
    ) -> Option<(ResistorId, Checked<DischargeCheck>)> {
        let mut worst: Option<(ResistorId, Checked<DischargeCheck>)> = None;
        let bleeding = bleeds.iter().map(|id| (id, Ok(1.0)));
        let share = held.map(|held| held.map(|held| held.share)).transpose();
        for (id, share) in bleeding.chain(active.zip(share)) {
            let judged = share.and_then(|share| self.one_bleed_power(link, id, share));
            let check = match judged {
                Ok((judged, part)) => {
                    Checked::open_because(judged, Unknown::missing(part, Gap::LastingPower))
                }
                Err(unknown) => open(
                    DischargeCheck::BleedPower,
                    found.as_ref().err().copied().unwrap_or(unknown),
                ),
            };
            let rank = |check: &Checked<DischargeCheck>| {
                (
                    check.verdict().rank(),
                    -check.judged.margin().unwrap_or(0.0),
                )
            };
            if worst
                .as_ref()
                .is_none_or(|(_, known)| rank(&check) > rank(known))
            {
                worst = Some((id, check));
            }
        }
        worst
    }

    fn one_bleed_power(
        &self,
        link: &Link<'_>,
        id: ResistorId,
        share: f32,
    ) -> Known<(Judged<DischargeCheck>, ResistorTypeId)> {
        let rated = self.rated(id, entry(self.design, id)?)?;
        let power: Option<Power> = rated.kind.power;
        let input = DischargeInput {
            bleed: Some(Bleed {
                resistance: rated.resistance,
                tolerance: rated.tolerance,
                power,
            }),
            ..self.plain_input(link)?
        };
        let found = discharge(&input).map_err(Unknown::refused(id))?;
        let [_, _, judged, ..] = found.checks;
        let mean = judged.value.map(|watts| watts * share);
        let judged = Judged::known(judged.name, mean, judged.side, judged.limit, judged.source);
        Ok((judged, rated.part))
    }
}

/// What phases hold on the battery stands that as well, for the longer of both times.
fn held_on(
    welded: Judged<DischargeCheck>,
    found: &Discharge,
    held: Held,
) -> Judged<DischargeCheck> {
    let (name, side, source) = (welded.name, welded.side, welded.source);
    match (held.time.map(Time::as_seconds), found.stands) {
        (_, None | Some(Stands::Always)) => welded,
        (None, Some(Stands::For(limit))) => {
            Judged::failed_without_value(name, side, Some(limit.as_seconds()), source)
        }
        (None, Some(Stands::NotKnown)) => Judged::open(name, None, side, None, source),
        (Some(time), _) if welded.value.is_some_and(|value| value >= time) => welded,
        (Some(time), Some(Stands::For(limit))) => {
            let judged = Judged::compare(name, time, side, limit.as_seconds(), source);
            match (judged.verdict, welded.verdict) {
                // Nobody knows how long it may be on besides.
                (Verdict::Holds, Verdict::Open) => welded,
                _ => judged,
            }
        }
        (Some(time), Some(Stands::NotKnown)) => Judged::open(name, Some(time), side, None, source),
    }
}

/// The checks that are kept, in order.
const KEPT: [DischargeCheck; 4] = [
    DischargeCheck::Time,
    DischargeCheck::Label,
    DischargeCheck::ActiveEnergy,
    DischargeCheck::Welded,
];

const EXACT: Share = constant!(Share::from_fraction(0.0));

fn open(name: DischargeCheck, because: Unknown) -> Checked<DischargeCheck> {
    let source = SourceId::CapacitorCircuit;
    let judged = Judged::open(name, None, Side::AtMost, None, source);
    Checked::open_because(judged, because)
}
