//! Strings in parallel: at which difference they are joined, and what follows.

use heapless::Vec;

use super::Context;
use super::precharge::PrechargeStudy;
use crate::design::{
    BatteryString, Charged, ContactorId, Fuse, FuseId, Gap, MAX_BATTERIES, ResistorId, Set, Thing,
};
use crate::link::{
    FaultedString, JOIN_CEILING_V, Join, Joining, StringCheck, StringData, join, judge_back_feed,
    most_together, string_spread,
};
use crate::quantity::{Charge, Current, Resistance, Voltage};
use crate::standard::SourceId;
use crate::study::checked::Checked;
use crate::study::unknown::{Known, Unknown, entry};
use crate::verdict::{Judged, Side, Verdict};

/// What states the difference at which a string is joined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // the two keys that a design has for it
pub enum StatedWindow {
    /// What is left after the resistor through which it is evened out.
    ClosesWithin,
    /// The window of the controller.
    JoinWindow,
}

/// What joining one string to the others of its group does.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct JoinStudy {
    /// Its place in [`crate::design::Design::strings`].
    pub string: u8,
    /// The string with which the least difference is allowed.
    pub with: u8,
    /// The contactors that join it.
    pub contactors: Set<ContactorId>,
    /// The precharge resistor through which it is evened out first, if there is one.
    pub through: Option<ResistorId>,
    /// Difference at which its contactor closes.
    pub window: Known<Voltage>,
    /// What states it.
    pub stated_as: Option<StatedWindow>,
    /// What the other one says: no more, and passed over.
    pub passed_over: Option<Voltage>,
    /// What happens at that difference.
    pub found: Known<Join>,
    /// The difference against the largest that is allowed.
    pub window_check: Checked<StringCheck>,
    /// The error of the measured voltages against what that difference needs.
    pub sensors_check: Checked<StringCheck>,
    /// Current of the other strings into a short circuit across this one, against what its
    /// fuse breaks.
    pub back_feed: Checked<StringCheck>,
    /// That fuse; of several the one that breaks most.
    pub fuse: Option<FuseId>,
}

impl JoinStudy {
    /// The first current at the difference at which it is joined, A; `None` where that or a
    /// resistance is not known.
    pub(crate) fn closes_on(&self) -> Option<f32> {
        let found = self.found.as_ref().ok()?;
        found.window_current.map(Current::as_amperes)
    }
}

/// How strings in parallel share.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ShareStudy {
    /// The group, see [`BatteryString::group`].
    pub group: u8,
    /// How far the currents are apart, as a share of their mean, from equal voltages and
    /// least resistances.
    pub spread: Known<f32>,
    /// Most that all strings carry together, each within what its cells allow.
    pub together: Known<Current>,
    /// The same when the string that carries most is lost.
    pub one_lost: Known<Current>,
    /// What the controller lets through each string against what its cells allow, so that
    /// a lost string overloads no other: out of it, into it.
    pub lost: [Checked<StringCheck>; 2],
}

type Group = Vec<(u8, BatteryString), MAX_BATTERIES, u8>;
type Data = Vec<StringData, MAX_BATTERIES, u8>;

impl Context<'_> {
    /// Every string that has others in parallel, and every group of them.
    pub(super) fn joins(
        &self,
        paths: &[PrechargeStudy],
        joins: &mut Vec<JoinStudy, MAX_BATTERIES, u8>,
        shares: &mut Vec<ShareStudy, MAX_BATTERIES, u8>,
    ) {
        for group in 0..self.strings.group_count() {
            let all = (0_u8..).zip(&self.strings.strings);
            let mut of_group = Group::new();
            for (number, string) in all.filter(|(_, string)| string.group == group) {
                // There are as many places as strings.
                let _ = of_group.push((number, *string));
            }
            if of_group.len() < 2 {
                continue;
            }
            let data = self.group_data(&of_group);
            // There are as many places as strings.
            let _ = shares.push(self.share(group, &of_group, &data));
            for (position, _) in of_group.iter().enumerate() {
                let _ = joins
                    .extend_from_slice(self.join_of(&of_group, &data, position, paths).as_slice());
            }
        }
    }

    /// Each string with its limits and its own cables.
    fn group_data(&self, group: &Group) -> Known<Data> {
        let mut data = Data::new();
        for (_, string) in group {
            let thing = named(string);
            let refused = Unknown::refused(thing);
            let gap = self
                .design
                .lacking(string, |battery| battery.cell.nominal.is_some());
            let voltage = string
                .voltage(self.design, Charged::Nominal)
                .map_err(&refused)?
                .ok_or(Unknown::Missing(gap, Gap::CellVoltage))?;
            let limit = |charging| {
                string
                    .current_limit(self.design, charging)
                    .map_err(&refused)
            };
            let one = StringData {
                voltage,
                resistance: self.least_resistance(string)?,
                charge: limit(true)?,
                discharge: limit(false)?,
            };
            // There are as many places as strings.
            let _ = data.push(one);
        }
        Ok(data)
    }

    fn share(&self, group: u8, strings: &Group, data: &Known<Data>) -> ShareStudy {
        let refused = Unknown::refused(Thing::VEHICLE);
        let no_limit = strings
            .first()
            .map_or(Thing::VEHICLE, |(_, string)| named(string));
        let no_limit = Unknown::Missing(no_limit, Gap::CellCurrent);
        let most = |lost: &[usize]| {
            let data = data.as_ref().map_err(|unknown| *unknown)?;
            let most = most_together(data, lost).map_err(&refused)?;
            most.ok_or(no_limit)
        };
        // The one that carries most has the least resistance.
        let strongest = data.as_ref().ok().and_then(|data| {
            let mut least: Option<(usize, Resistance)> = None;
            for (number, string) in data.iter().enumerate() {
                if least.is_none_or(|(_, known)| string.resistance < known) {
                    least = Some((number, string.resistance));
                }
            }
            least.map(|(number, _)| number)
        });
        ShareStudy {
            group,
            spread: data
                .as_ref()
                .map_err(|unknown| *unknown)
                .and_then(|data| string_spread(data, &[]).map_err(&refused)),
            together: most(&[]),
            one_lost: match strongest {
                Some(lost) => most(&[lost]),
                None => most(&[]),
            },
            lost: self.lost(data, no_limit),
        }
    }

    /// The limits that the controller keeps for each string against the weakest cells.
    fn lost(&self, data: &Known<Data>, no_limit: Unknown) -> [Checked<StringCheck>; 2] {
        let controller = &self.design.controller;
        let least = |one: Option<Current>, other: Option<Current>| match (one, other) {
            (Some(one), Some(other)) if other < one => Some(other),
            (one, other) => one.or(other),
        };
        // Nothing goes into the last string that does not go into the battery.
        let bounded = least(controller.string_limit, controller.charge_limit);
        let into = least(controller.string_charge_limit, bounded);
        let allowed = |of: fn(&StringData) -> Option<Current>| {
            let data = data.as_ref().ok()?;
            let mut least: Option<Current> = None;
            for string in data {
                let here = of(string)?;
                if least.is_none_or(|known| here < known) {
                    least = Some(here);
                }
            }
            least
        };
        let judge = |name, limit: Option<Current>, allowed: Option<Current>, gap| {
            let judged = Judged::known(
                name,
                limit.map(Current::as_amperes),
                Side::AtMost,
                allowed.map(Current::as_amperes),
                SourceId::StringShare,
            );
            let because = match limit {
                None => Unknown::Missing(Thing::CONTROLLER, gap),
                Some(_) => data.as_ref().err().copied().unwrap_or(no_limit),
            };
            Checked::open_because(judged, because)
        };
        let discharge = judge(
            StringCheck::Share,
            controller.string_limit,
            allowed(|string| string.discharge),
            Gap::ControllerLimit,
        );
        let charge = judge(
            StringCheck::ChargeShare,
            into,
            allowed(|string| string.charge),
            Gap::StringChargeLimit,
        );
        // Other limits may let in more than the controller lets into a string.
        let charge = match controller.string_charge_limit {
            Some(_) => charge,
            None => charge.doubted(
                Verdict::Fails,
                Unknown::Missing(Thing::CONTROLLER, Gap::StringChargeLimit),
            ),
        };
        [discharge, charge]
    }

    /// One string against each other of its group: the pair that allows least.
    fn join_of(
        &self,
        group: &Group,
        data: &Known<Data>,
        position: usize,
        paths: &[PrechargeStudy],
    ) -> Option<JoinStudy> {
        let (number, string) = *group.get(position)?;
        let path = paths.iter().find_map(|one| {
            let path = one.path.as_ref().ok()?;
            let alone = path.strings.as_slice() == [number] && !path.mains.is_empty();
            alone.then_some((one.resistor, path.mains))
        });
        let contactors = match path {
            Some((_, mains)) => mains,
            None => self
                .contactors()
                .filter(|(id, _)| self.in_string(*id, &string))
                .map(|(id, _)| id)
                .collect(),
        };
        let through = path.map(|(resistor, _)| resistor);
        let (stated, passed_over) = self.window(through);
        let missing = Unknown::Missing(Thing::CONTROLLER, Gap::JoinWindow);
        let window = stated.map(|(_, volts)| volts).ok_or(missing);
        let mut worst: Option<(u8, Known<Join>)> = None;
        for (other, (mate, _)) in group.iter().enumerate() {
            if other == position {
                continue;
            }
            let found = self.join_pair(
                &string,
                data,
                [position, other],
                window,
                contactors,
                through,
            );
            let limit = |found: &Known<Join>| {
                let found = found.as_ref().ok()?;
                found.largest.map(|(volts, _)| volts)
            };
            let less = worst
                .as_ref()
                .is_none_or(|(_, known)| limit(&found) < limit(known));
            if less {
                worst = Some((*mate, found));
            }
        }
        let (with, found) = worst?;
        let fuse = self.breaking_most(&string);
        Some(JoinStudy {
            string: number,
            with,
            contactors,
            through,
            window,
            stated_as: stated.map(|(what, _)| what),
            passed_over,
            window_check: self.join_check(&string, &found, window, |found| found.check),
            sensors_check: self.join_check(&string, &found, window, |found| found.sensors),
            found,
            back_feed: self.back_feed(&string, data, (position, fuse)),
            fuse,
        })
    }

    /// The difference at which a contactor closes: what is left after its resistor, or
    /// the window of the controller; the larger where both are stated. With it the other
    /// one.
    fn window(
        &self,
        through: Option<ResistorId>,
    ) -> (Option<(StatedWindow, Voltage)>, Option<Voltage>) {
        let resistor = through.and_then(|id| self.design.get(id));
        let left = resistor.and_then(|resistor| resistor.closes_within);
        let left = left.map(|volts| (StatedWindow::ClosesWithin, volts));
        let stated = self.design.controller.join_window;
        let stated = stated.map(|volts| (StatedWindow::JoinWindow, volts));
        match (left, stated) {
            (Some((_, less)), Some((_, more))) if less < more => (stated, Some(less)),
            (Some(_), Some((_, less))) => (left, Some(less)),
            (left, stated) => (left.or(stated), None),
        }
    }

    /// A check of a join with what keeps it open.
    fn join_check(
        &self,
        string: &BatteryString,
        found: &Known<Join>,
        window: Known<Voltage>,
        which: fn(&Join) -> Judged<StringCheck>,
    ) -> Checked<StringCheck> {
        match found {
            Err(unknown) => Checked::open_because(
                Judged::open(
                    StringCheck::JoinWindow,
                    None,
                    Side::AtMost,
                    None,
                    SourceId::StringJoin,
                ),
                *unknown,
            ),
            Ok(found) => {
                let judged = which(found);
                let limits = match (judged.name, self.design.controller.voltage_error) {
                    (StringCheck::JoinSensors, None) => {
                        Unknown::Missing(Thing::CONTROLLER, Gap::VoltageError)
                    }
                    _ => Unknown::Missing(named(string), Gap::JoinLimit),
                };
                Checked::open_because(judged, window.err().unwrap_or(limits))
            }
        }
    }

    fn join_pair(
        &self,
        string: &BatteryString,
        data: &Known<Data>,
        [one, other]: [usize; 2],
        window: Known<Voltage>,
        contactors: Set<ContactorId>,
        through: Option<ResistorId>,
    ) -> Known<Join> {
        let refused = Unknown::refused(named(string));
        let data = data.as_ref().map_err(|unknown| *unknown)?;
        let missing = Unknown::Missing(Thing::VEHICLE, Gap::Battery);
        let mut higher = *data.get(one).ok_or(missing)?;
        let lower = *data.get(other).ok_or(missing)?;
        // The difference is what the window allows.
        let apart = window.map_or(0.0, Voltage::as_volts);
        higher.voltage = Voltage::from_volts(lower.voltage.as_volts() + apart).map_err(&refused)?;
        let ceiling = if through.is_some() {
            None
        } else {
            Some(Voltage::from_volts(JOIN_CEILING_V).map_err(&refused)?)
        };
        let joining = Joining {
            one: higher,
            other: lower,
            path: NOTHING,
            make: self.weakest_make(contactors).ok(),
            fuse: self.least_rated(string),
            ceiling,
            window: window.ok(),
            voltage_error: self.design.controller.voltage_error,
            charge_over: self.charge_over(string),
        };
        join(&joining).map_err(&refused)
    }

    /// Charge from empty to full over that span of voltage: a flat part of the curve holds
    /// more, so what flows is at least this.
    fn charge_over(&self, string: &BatteryString) -> Option<(Charge, Voltage)> {
        let volts = |charged| {
            let volts = string.voltage(self.design, charged).ok()??;
            Some(volts.as_volts())
        };
        let span = volts(Charged::Maximum)? - volts(Charged::Minimum)?;
        let charge = string.capacity(self.design).ok()??;
        let span = Voltage::from_volts(span).ok()?;
        (span.as_volts() > 0.0 && charge.as_coulombs() > 0.0).then_some((charge, span))
    }

    /// The fuses that carry the current of a string alone.
    fn own_fuses(&self, string: &BatteryString) -> impl Iterator<Item = (FuseId, &Fuse)> {
        let fuses = self.design.all::<Fuse>();
        let string = *string;
        fuses.filter(move |(id, fuse)| self.is_high(fuse.from) && self.in_string(*id, &string))
    }

    /// What a fuse breaks.
    fn breaks(&self, id: FuseId) -> Option<Current> {
        self.design.get(self.design.get(id)?.part?)?.breaking
    }

    fn breaking_most(&self, string: &BatteryString) -> Option<FuseId> {
        let mut most: Option<FuseId> = None;
        for (id, _) in self.own_fuses(string) {
            if most.is_none_or(|known| self.breaks(id) > self.breaks(known)) {
                most = Some(id);
            }
        }
        most
    }

    fn least_rated(&self, string: &BatteryString) -> Option<Current> {
        let mut least: Option<Current> = None;
        for (_, fuse) in self.own_fuses(string) {
            let rated = self.design.get(fuse.part?)?.rated?;
            if least.is_none_or(|known| rated < known) {
                least = Some(rated);
            }
        }
        least
    }

    /// All of the other strings into a short circuit across this one; its own cables up
    /// to where the strings meet are what limits it.
    fn back_feed(
        &self,
        string: &BatteryString,
        data: &Known<Data>,
        (position, fuse): (usize, Option<FuseId>),
    ) -> Checked<StringCheck> {
        let thing = named(string);
        let (name, source) = (StringCheck::BackFeed, SourceId::StringShare);
        let open = |unknown| {
            let judged = Judged::open(name, None, Side::AtMost, None, source);
            Checked::open_because(judged, unknown)
        };
        let judged = || -> Known<Judged<StringCheck>> {
            let refused = Unknown::refused(thing);
            let data = data.as_ref().map_err(|unknown| *unknown)?;
            let mut full = Data::new();
            for one in data {
                let voltage = self.highest?;
                // There are as many places as strings.
                let _ = full.push(StringData { voltage, ..*one });
            }
            let cables = self.own_cables(string)?;
            let fault = FaultedString {
                which: position,
                voltage: DEAD,
                resistance: Resistance::from_ohms(cables).map_err(&refused)?,
            };
            for (id, fuse) in self.own_fuses(string) {
                let part = fuse.part.ok_or(Unknown::missing(id, Gap::FuseType))?;
                let capacity = entry(self.design, part)?.breaking;
                capacity.ok_or(Unknown::missing(part, Gap::StringFuse))?;
            }
            // Any one of them breaks it.
            let breaking = fuse.and_then(|id| self.breaks(id));
            let judged = judge_back_feed(&full, &fault, breaking).map_err(&refused)?;
            Ok(if fuse.is_none() {
                // Nothing breaks it.
                Judged {
                    verdict: Verdict::Fails,
                    ..judged
                }
            } else {
                judged
            })
        };
        match judged() {
            Ok(judged) => Checked::open_because(judged, Unknown::Missing(thing, Gap::StringFuse)),
            Err(unknown) => open(unknown),
        }
    }
}

/// The first battery of a string stands for it.
fn named(string: &BatteryString) -> Thing {
    let mut batteries = string.batteries.iter();
    batteries.next().map_or(Thing::VEHICLE, Into::into)
}

const NOTHING: Resistance = constant!(Resistance::from_ohms(0.0));
const DEAD: Voltage = constant!(Voltage::from_volts(0.0));
