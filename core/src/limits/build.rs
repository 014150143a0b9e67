//! The limits of a controller out of a design and its study.
//!
//! What a design states or a study finds is taken; what a monitor needs besides, and what
//! nobody states, has a usual value on the safe side, and each says so ([`Origin::Usual`]).
//! What nothing safe stands for is a [`LimitsGap`]: then there are no limits.

use heapless::Vec;

use super::carried::{Carried, Currents};
use super::fit::fit;
use super::sections::{
    BAND_POINTS, BAND_S, Channel, Circuit, Close, Coils, Heat, Interlock, Isolation, Link, NONE,
    Opening, Pack, Parallel, Precharge, SATURATED, Section, Sensors, Standing, StringLimit, Switch,
};
use super::{Limits, MAX_REASON, MAX_STRINGS, Revision};
use crate::conductor::heat_balance::HeatBalance;
use crate::conductor::withstand::adiabatic_withstand;
use crate::design::{
    Battery, BatteryString, Charged, Conductor, ConductorId, Contactor, ContactorId, Design, Draw,
    Fuse, FuseId, Load, LoadId, Phase, PhaseId, Resisting, ResistorId, Role, System, Thing,
};
use crate::error::Error;
use crate::insulation::{IsolationCase, NEW_BUILD_FACTOR};
use crate::link::{JOIN_CEILING_V, OPENED_WITH_TOOL_S, PrechargeCheck, touchable};
use crate::protection::{CURVE_TOLERANCE, CurveSide, MeltingCurrent, MeltingCurve, breaks};
use crate::quantity::{Current, Temperature, Time};
use crate::study::sequence::PrechargeStudy;
use crate::study::{Study, Unknown, conductor_warmth};

/// Why there are no limits.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LimitsGap {
    /// The study does not know it.
    Unknown(Unknown),
    /// This is not stated, or there is none.
    Missing(&'static str),
    /// There are more of these than a controller watches.
    TooMany(&'static str),
    /// A computation was refused.
    Refused(Error),
}

impl From<Error> for LimitsGap {
    fn from(error: Error) -> Self {
        Self::Refused(error)
    }
}

impl From<Unknown> for LimitsGap {
    fn from(unknown: Unknown) -> Self {
        Self::Unknown(unknown)
    }
}

/// Where a value comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // a rule, the design, habit
pub enum Origin {
    /// The rule of the checklist that holds it against something, by its name.
    Rule(&'static str),
    /// The design states it, or it follows from how it is joined.
    Design,
    /// A usual value; common practice, no source.
    Usual,
}

/// Where a value of the limits of a design comes from.
#[cfg(feature = "text")] // for a host
#[allow(clippy::match_same_arms)] // in the order of the sections
pub fn origin(design: &Design, section: Section, name: &str) -> Origin {
    use Origin::{Design as Stated, Rule, Usual};
    match (section, name) {
        (Section::Pack, "touchable_v") => Rule("discharge-passive"),
        (Section::Pack | Section::StringLimit, _) => Stated,
        (Section::Sensors, "voltage_offset_v") if design.controller.voltage_error.is_some() => {
            Stated
        }
        (Section::Close, "within_v") => Rule("precharge-threshold"),
        (Section::Link, "capacitance_f" | "bleed_ohm") => Rule("discharge-passive"),
        (Section::Link, "discharge_ohm" | "off_ms") => Rule("discharge-active"),
        (Section::Precharge, "time_out_ms") => Rule("precharge-time"),
        (Section::Precharge, "tries" | "wait_ms" | "cooling_ms") => Rule("precharge-energy"),
        (Section::Precharge, "relay" | "resistance_ohm" | "capacitance_f") => Stated,
        (Section::Standing, _) => Rule("precharge-standing-load"),
        (Section::Switch, "breaks_discharge_a" | "breaks_charge_a") => Rule("contactor-break"),
        (Section::Switch, "role" | "string" | "channel" | "feedback" | "only_way") => Stated,
        (Section::Channel, "kind" | "string" | "fuse_a" | "fuse_a2s" | "late_a") => Stated,
        (Section::Channel, "range_a" | "sure_a") if design.controller.current_range.is_some() => {
            Stated
        }
        (Section::Channel, "trip_a" | "trip_ms") if design.controller.trip_current.is_some() => {
            Rule("fuse-low-current-gap")
        }
        (Section::Sensors, "drop_ohm") => Rule("voltage-drop"),
        (Section::Channel, "discharge_a" | "charge_a" | "band_a" | "band_a2s") => {
            Rule("contactor-carry")
        }
        (Section::Parallel, "join_v") => Rule("string-join-window"),
        (Section::Isolation, "alarm_ohm_per_v") => Rule("isolation-limit"),
        (Section::Isolation, "warn_ohm_per_v") => Rule("isolation-new-build"),
        (Section::Isolation, "response_ms") => Rule("isolation-monitor-range"),
        (Section::Coils, "hold_v") => Rule("coil-supply"),
        (Section::Circuit, _) => Rule("conductor-temperature"),
        _ => Usual,
    }
}

/// Most things that are not watched.
pub const MAX_UNWATCHED: usize =
    crate::design::MAX_CONDUCTORS + crate::design::MAX_CONTACTORS + crate::design::MAX_FUSES;

/// Why something is not watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Unwatched {
    /// Its current is neither that of a string or of all of them nor that of a load that
    /// tells it, or twins cannot be told apart.
    NotMeasured,
    /// Its temperature is not known to the study, or no model of it stays on the safe side.
    NoModel,
    /// There are more than a controller watches.
    NoRoom,
}

/// Limits, and what they leave out.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Built {
    /// The limits.
    pub limits: Limits,
    /// Conductors, contactors and fuses of the high-voltage side that are not watched.
    pub unwatched: Vec<(Thing, Unwatched), MAX_UNWATCHED, u16>,
    /// Contactors in the order of the limits.
    pub contactors: Vec<ContactorId, { super::MAX_SWITCHES }, u8>,
    /// A battery of each string in the order of the limits.
    pub strings: Vec<Thing, MAX_STRINGS, u8>,
    /// Loads whose currents are the last of the limits.
    pub branches: Vec<LoadId, { super::MAX_CHANNELS }, u8>,
    /// Conductors in the order of the limits, each for all that are like it.
    pub conductors: Vec<ConductorId, { super::MAX_CIRCUITS }, u8>,
    /// How much hotter than its chain a watched conductor is reckoned at most, K.
    pub pessimism_k: f32,
}

/// A string as the builder sees it.
struct Source {
    /// One of its batteries.
    battery: Thing,
    resistance_ohm: f32,
    discharge_a: Option<f32>,
    charge_a: Option<f32>,
}

struct Builder<'a> {
    design: &'a Design,
    study: &'a Study,
    sources: Vec<Source, MAX_STRINGS, u8>,
    /// The phase in which the strings give most.
    drive: PhaseId,
    currents: Currents<'a>,
    unwatched: Vec<(Thing, Unwatched), MAX_UNWATCHED, u16>,
    conductors: Vec<ConductorId, { super::MAX_CIRCUITS }, u8>,
    switches: Vec<(ContactorId, Switch), { super::MAX_SWITCHES }, u8>,
}

/// A fingerprint of all that a design states, from any bytes that it is written as.
#[cfg(feature = "text")] // for a host
pub fn fingerprint(bytes: &[u8]) -> u32 {
    super::IMAGE_CRC.checksum(bytes)
}

/// Computes: the limits of a design from its study.
///
/// Inputs: a design that [`Design::check`] finds no fault in; its study; a fingerprint of
/// all that it states; why it is done although the review does not pass, empty where it
/// does.
///
/// # Errors
/// [`LimitsGap`]: the first that stands in the way.
#[cfg(feature = "text")] // for a host
pub fn build(
    design: &Design,
    study: &Study,
    fingerprint: u32,
    reason: &str,
) -> Result<Built, LimitsGap> {
    Builder::new(design, study)?.build(fingerprint, reason)
}

fn amperes(current: Option<Current>) -> Option<f32> {
    current.map(Current::as_amperes)
}

/// The smaller of what is known.
fn least(one: Option<f32>, other: Option<f32>) -> Option<f32> {
    match (one, other) {
        (Some(one), Some(other)) => Some(one.min(other)),
        (one, other) => one.or(other),
    }
}

impl<'a> Builder<'a> {
    fn new(design: &'a Design, study: &'a Study) -> Result<Self, LimitsGap> {
        let mut sources = Vec::new();
        for studied in &study.strings {
            let string = &studied.string;
            let battery = string.batteries.iter().next();
            let battery = battery.ok_or(LimitsGap::Missing("a battery in a string"))?;
            let resistance = string.resistance(design, Resisting::Highest)?;
            let resistance = resistance.ok_or(LimitsGap::Missing("the resistance of the cells"))?;
            let source = Source {
                battery: battery.into(),
                resistance_ohm: resistance.as_ohms(),
                discharge_a: amperes(string.current_limit(design, false)?),
                charge_a: amperes(string.current_limit(design, true)?),
            };
            let pushed = sources.push(source);
            pushed.map_err(|_| LimitsGap::TooMany("strings"))?;
        }
        let first = sources
            .first()
            .ok_or(LimitsGap::Missing("a traction battery"))?;
        let mut drive: Option<(PhaseId, f32)> = None;
        for (phase, _) in design.all::<Phase>() {
            let current = study.points.current(phase, first.battery);
            let current = current.map_or(f32::NEG_INFINITY, Current::as_amperes);
            if drive.is_none_or(|(_, most)| current > most) {
                drive = Some((phase, current));
            }
        }
        let (drive, _) = drive.ok_or(LimitsGap::Missing("a phase"))?;
        let mut batteries = Vec::new();
        for source in &sources {
            // There are as many places as sources.
            let _ = batteries.push(source.battery);
        }
        Ok(Self {
            design,
            study,
            sources,
            drive,
            currents: Currents::new(design, study, batteries),
            unwatched: Vec::new(),
            conductors: Vec::new(),
            switches: Vec::new(),
        })
    }

    fn current(&self, phase: PhaseId, thing: Thing) -> f32 {
        let current = self.study.points.current(phase, thing);
        current.map_or(0.0, Current::as_amperes)
    }

    fn build(mut self, fingerprint: u32, reason: &str) -> Result<Built, LimitsGap> {
        let (design, study) = (self.design, self.study);
        let highest = study.pack.highest_voltage?.as_volts();
        let (_, lowest) = study.pack.lowest_voltage?;
        let (touchable, _) = touchable(design.vehicle.domain)?;
        self.switches()?;
        let precharge = self.precharges()?;
        let within = self.within_v(highest);
        let mut channels: Vec<Channel, { super::MAX_CHANNELS }, u8> = Vec::new();
        let mut strings = Vec::new();
        let pushed = channels.push(self.channel(Carried::All)?);
        pushed.map_err(|_| LimitsGap::TooMany("currents"))?;
        if self.sources.len() > 1 {
            for (string, _) in (0..).zip(&self.sources) {
                let pushed = channels.push(self.channel(Carried::Of(string))?);
                pushed.map_err(|_| LimitsGap::TooMany("currents"))?;
            }
            together(&mut channels, design.controller.current_range.is_some());
        }
        for (branch, _) in (0..).zip(self.currents.branches()) {
            let pushed = channels.push(self.channel(Carried::Branch(branch))?);
            pushed.map_err(|_| LimitsGap::TooMany("currents"))?;
        }
        for source in &self.sources {
            let missing = LimitsGap::Missing("the discharge-limit and charge-limit of the cells");
            let (discharge_a, charge_a) = source.discharge_a.zip(source.charge_a).ok_or(missing)?;
            // There are as many places as sources.
            let _ = strings.push(StringLimit {
                resistance_ohm: source.resistance_ohm,
                discharge_a,
                charge_a,
            });
        }
        self.fuses_left_out();
        let (circuits, pessimism_k) = self.circuits()?;
        let mut letters = Vec::new();
        let revision = design.vehicle.revision.and_then(|id| design.text(id));
        let _ = letters.extend_from_slice(revision.unwrap_or_default().as_bytes());
        let mut why = Vec::new();
        let why_full = why.extend_from_slice(reason.as_bytes());
        why_full.map_err(|_| LimitsGap::TooMany(REASON_LETTERS))?;
        let limits = Limits {
            revision: Revision {
                fingerprint,
                letters,
            },
            pack: Pack {
                lowest_v: lowest.as_volts(),
                highest_v: highest,
                touchable_v: touchable.as_volts(),
            },
            sensors: self.sensors(highest),
            close: Close {
                within_v: within,
                slope_v_per_s: (0.1 * highest).max(within),
                current_a: 1.0,
                stable_ms: 50.0,
                dead_ms: 100.0,
            },
            link: self.link()?,
            precharge,
            standing: self.standing()?,
            switches: self.switches.iter().map(|(_, switch)| *switch).collect(),
            opening: Opening {
                soft_a: SOFT_A,
                time_out_ms: 5000.0,
                settle_ms: 20.0,
            },
            channels,
            strings,
            parallel: (self.sources.len() > 1).then(|| self.parallel()),
            isolation: self.isolation(),
            interlock: INTERLOCK,
            coils: self.coils()?,
            heat: Heat {
                resistor_degc: 200.0,
                joint_degc: 90.0,
                joint_difference_k: 15.0,
                hot_ms: 10_000.0,
            },
            circuits,
            reason: why,
        };
        Ok(self.listed(limits, pessimism_k))
    }

    /// Limits, with what stands behind their numbers.
    fn listed(self, limits: Limits, pessimism_k: f32) -> Built {
        let mut contactors = Vec::new();
        for (id, _) in &self.switches {
            // There are as many places as contactors.
            let _ = contactors.push(*id);
        }
        let mut strings = Vec::new();
        for source in &self.sources {
            let _ = strings.push(source.battery);
        }
        let mut branches = Vec::new();
        for load in self.currents.branches() {
            let _ = branches.push(*load);
        }
        Built {
            limits,
            unwatched: self.unwatched,
            contactors,
            strings,
            branches,
            conductors: self.conductors,
            pessimism_k,
        }
    }

    /// The error between two voltages is half that of each. Where that of a string is stated
    /// it takes the place of one half; nothing states that of the link.
    fn sensors(&self, highest: f32) -> Sensors {
        let mut sensors = SENSORS;
        sensors.voltage_range_v = 1.25 * highest;
        sensors.drop_ohm = self.drop_ohm();
        if let Some(error) = self.design.controller.voltage_error {
            sensors.voltage_share *= 0.5;
            sensors.voltage_offset_v = 0.5 * sensors.voltage_offset_v + error.as_volts();
        }
        sensors
    }

    /// What lies between cells and link: the voltage of a string may be measured as the sum of
    /// its cells. The most of all phases, by the current of one string, so that it is enough
    /// for one that is left alone.
    fn drop_ohm(&self) -> f32 {
        let mut most = 0.0_f32;
        for (phase, _) in self.design.all::<Phase>() {
            for studied in &self.study.strings {
                let found = self.drop_in(phase, &studied.string);
                most = most.max(found.unwrap_or(0.0));
            }
        }
        most
    }

    /// The same of one string in one phase; `None` where it does not discharge.
    fn drop_in(&self, phase: PhaseId, string: &BatteryString) -> Option<f32> {
        let mut cells_ohm = 0.0;
        for id in string.batteries.iter() {
            let battery: &Battery = self.design.get(id)?;
            let without_links = Battery {
                links: None,
                ..*battery
            };
            let ohms = without_links.resistance(Resisting::Highest).ok()??;
            cells_ohm += ohms.as_ohms();
        }
        let cells_v = string
            .voltage(self.design, Charged::Minimum)
            .ok()??
            .as_volts();
        let battery = string.batteries.iter().next()?;
        let amperes = self.current(phase, battery.into());
        let link = self.design.all::<Load>().filter_map(|(id, load)| {
            let volts = self.study.points.load(phase, id)?.lowest.as_volts();
            let drives = load.role == Role::Drive && volts > 0.0;
            drives.then_some(volts)
        });
        let link_v = link.fold(f32::INFINITY, f32::min);
        let drop = cells_v - amperes * cells_ohm - link_v;
        (amperes > SOFT_A && drop.is_finite()).then(|| drop / amperes)
    }

    /// Whether a contactor of a string is closed in every phase in which its current flows: no
    /// charger feeds the battery past it.
    fn is_only_way(&self, id: ContactorId, role: u8, carried: Carried) -> bool {
        let thing = self.thing_of(carried);
        role <= 1
            && self.design.all::<Phase>().all(|(phase, entry)| {
                let precharges = || {
                    let mut closed = entry.closed.iter();
                    closed.any(|other| self.path_of_relay(other).is_some())
                };
                let amperes = self.current(phase, thing);
                entry.closed.contains(id) || libm::fabsf(amperes) < SOFT_A || precharges()
            })
    }

    /// Tries whose heat a precharge resistor stands: by its pulse, else those that are stated.
    fn tries(&self, one: &PrechargeStudy) -> f32 {
        let stated = f32::from(self.design.controller.precharge_tries.unwrap_or(1).max(1));
        let energy = one.check(PrechargeCheck::TryEnergy).judged;
        let by_pulse = energy.limit.zip(energy.value);
        let by_pulse = by_pulse.map_or(stated, |(pulse, each)| pulse / each);
        by_pulse.clamp(stated, MOST_TRIES)
    }

    /// Contactors: what they do, and on which current they open.
    fn switches(&mut self) -> Result<(), LimitsGap> {
        let design = self.design;
        let systems = design.systems();
        for (id, contactor) in design.all::<Contactor>() {
            if !systems.is_high(contactor.from) {
                continue;
            }
            let path = self.path_of_relay(id);
            let mut paths = self.study.sequences.precharges.iter();
            let main = paths.find(|one| {
                let path = one.path.as_ref();
                path.is_ok_and(|path| path.mains.contains(id))
            });
            // What bridges a resistor carries nothing while that one charges.
            let (role, carried) = match (path.or(main), self.currents.of(id.into())) {
                (Some(of), _) if path.is_some() => (2, self.carried_by_path(of)),
                (Some(of), _) => (0, self.carried_by_path(of)),
                (None, Some(branch @ Carried::Branch(place))) => (self.role_of(place), branch),
                (None, Some(carried)) => (1, carried),
                (None, None) => {
                    self.leave_out(id.into(), Unwatched::NotMeasured);
                    continue;
                }
            };
            let part = contactor.part.and_then(|part| design.get(part));
            let highest = self.study.pack.highest_voltage.ok();
            let [along, against] =
                part.map_or([None; 2], |part| breaks(part, contactor.arrow, highest));
            let turned = self.current(self.drive, id.into()) < 0.0;
            let (discharge, charge) = if turned {
                (against, along)
            } else {
                (along, against)
            };
            let ms = |time: Option<Time>, usual: f32| {
                time.map_or(usual, |time| 2.0e3 * time.as_seconds())
                    .max(usual)
            };
            let controller = &design.controller;
            let switch = Switch {
                role,
                string: carried.string(),
                channel: self.currents.channel(carried),
                feedback: u8::from(contactor.auxiliary_contact == Some(true)),
                only_way: u8::from(self.is_only_way(id, role, carried)),
                // Without a breaking current it opens without load only.
                breaks_discharge_a: least(
                    amperes(discharge),
                    amperes(controller.opens_discharging),
                )
                .unwrap_or(SOFT_A),
                breaks_charge_a: least(amperes(charge), amperes(controller.opens_charging))
                    .unwrap_or(SOFT_A),
                closing_ms: ms(part.and_then(|part| part.coil.closing_time), 100.0),
                opening_ms: ms(part.and_then(|part| part.coil.opening_time), 50.0),
                hold_ms: 1000.0,
            };
            let pushed = self.switches.push((id, switch));
            pushed.map_err(|_| LimitsGap::TooMany("contactors of the high-voltage side"))?;
        }
        Ok(())
    }

    /// The precharge path whose relay a contactor is: closed meanwhile, open in the drive.
    fn path_of_relay(&self, id: ContactorId) -> Option<&'a PrechargeStudy> {
        let drives = self.design.get(self.drive)?.closed.contains(id);
        let mut paths = self.study.sequences.precharges.iter();
        paths.find(|one| {
            let path = one.path.as_ref();
            path.is_ok_and(|path| path.closed.contains(id) && !path.mains.contains(id) && !drives)
        })
    }

    fn carried_by_path(&self, path: &PrechargeStudy) -> Carried {
        let path = path.path.as_ref();
        match path.map(|path| path.strings.as_slice()) {
            Ok([one]) if self.sources.len() > 1 => Carried::Of(*one),
            _ => Carried::All,
        }
    }

    /// Of a contactor of a branch: a charging source is one more thing that charges the link.
    fn role_of(&self, branch: u8) -> u8 {
        let load = self.currents.branches().get(usize::from(branch));
        let load = load.and_then(|load| self.design.get(*load));
        match load.map(|load| load.role) {
            Some(Role::Consumer | Role::Drive) => 3,
            Some(Role::ChargingSource) | None => 4,
        }
    }

    fn leave_out(&mut self, thing: Thing, why: Unwatched) {
        // There are as many places as things.
        let _ = self.unwatched.push((thing, why));
    }

    /// Fuses whose current nobody measures.
    fn fuses_left_out(&mut self) {
        let systems = self.design.systems();
        for (id, fuse) in self.design.all::<Fuse>() {
            let traction = systems.of(fuse.from) == Some(System::Traction);
            if traction && self.currents.of(id.into()).is_none() {
                self.leave_out(id.into(), Unwatched::NotMeasured);
            }
        }
    }

    fn precharges(&self) -> Result<Vec<Precharge, { super::MAX_PATHS }, u8>, LimitsGap> {
        let mut all = Vec::new();
        for one in &self.study.sequences.precharges {
            let mut relays = self.switches.iter().enumerate();
            let relay = relays.find(|(_, (id, _))| {
                self.path_of_relay(*id)
                    .is_some_and(|path| path.resistor == one.resistor)
            });
            let (relay, _) =
                relay.ok_or(LimitsGap::Missing("the relay of a precharge resistor"))?;
            let resistor = self.design.get(one.resistor);
            let part = resistor.and_then(|resistor| self.design.get(resistor.part?));
            let resistance = part.and_then(|part| part.resistance);
            let resistance =
                resistance.ok_or(LimitsGap::Missing("the resistance of a precharge resistor"))?;
            let time_out = resistor.and_then(|resistor| resistor.time_out);
            let time_out =
                time_out.ok_or(LimitsGap::Missing("the time-out of a precharge resistor"))?;
            let ms =
                |time: Option<Time>, usual: f32| time.map_or(usual, |t| 1.0e3 * t.as_seconds());
            let controller = &self.design.controller;
            // Half of what it may take at most: its stated time.
            let closing_ms = self
                .switches
                .get(relay)
                .map_or(0.0, |(_, one)| one.closing_ms);
            let path = Precharge {
                relay: u8::try_from(relay).unwrap_or(NONE),
                resistance_ohm: resistance.as_ohms(),
                capacitance_f: one.capacitance?.as_farads(),
                below_share: 0.15,
                above_share: 0.25,
                short_share: 0.1,
                open_share: 0.1,
                stand_share: 0.02,
                pull_in_ms: 0.5 * closing_ms,
                lasts_ms: 30.0,
                time_out_ms: ms(Some(time_out), 0.0),
                tries: self.tries(one),
                wait_ms: ms(controller.precharge_pause, 60_000.0).max(1.0),
                cooling_ms: ms(part.and_then(|part| part.cooling), 120_000.0).max(1.0),
            };
            let pushed = all.push(path);
            pushed.map_err(|_| LimitsGap::TooMany("precharge paths"))?;
        }
        Ok(all)
    }

    /// The least that any resistor leaves when its contactor closes; usually 2 %.
    fn within_v(&self, highest: f32) -> f32 {
        let mut within = None;
        for one in &self.study.sequences.precharges {
            let resistor = self.design.get(one.resistor);
            let left = resistor.and_then(|resistor| resistor.closes_within);
            within = least(within, left.map(crate::quantity::Voltage::as_volts));
        }
        within.unwrap_or(0.02 * highest)
    }

    /// Loads that draw while the link is charged, and what bleeds it.
    fn standing(&self) -> Result<Vec<Standing, { super::MAX_STANDING }, u8>, LimitsGap> {
        let mut all = Vec::new();
        let mut add = |kind, amount, from_v| {
            let pushed = all.push(Standing {
                kind,
                amount,
                from_v,
            });
            pushed.map_err(|_| LimitsGap::TooMany("standing loads, what bleeds the link counted"))
        };
        let precharges = &self.study.sequences.precharges;
        for (id, load) in self.design.all::<Load>() {
            let (Some(idle), true) = (
                load.idle.filter(|idle| !idle.is_nothing()),
                precharges.iter().any(|one| one.standing.contains(id)),
            ) else {
                continue;
            };
            let (kind, amount) = match idle {
                Draw::Power(power) => (0, power.as_watts()),
                Draw::Current(current) => (1, current.as_amperes()),
                Draw::Resistance(resistance) => (2, resistance.as_ohms()),
            };
            let from_v = load
                .idle_from
                .map_or(1.0, crate::quantity::Voltage::as_volts);
            add(kind, amount, from_v)?;
        }
        let bleed = self.link()?.bleed_ohm.filter(|_| !precharges.is_empty());
        if let Some(ohms) = bleed {
            add(2, ohms, 0.0)?;
        }
        Ok(all)
    }

    /// The largest link and what discharges it.
    fn link(&self) -> Result<Link, LimitsGap> {
        let mut largest: Option<Link> = None;
        for one in &self.study.sequences.discharges {
            let nominal = one.capacitance?.as_farads();
            let found = one.found.as_ref().ok();
            let capacitance_f = found.map_or(nominal, |found| found.capacitance.as_farads());
            if largest.is_some_and(|known| known.capacitance_f >= capacitance_f) {
                continue;
            }
            let ohms = |id: ResistorId| {
                let part = self
                    .design
                    .get(id)
                    .and_then(|one| self.design.get(one.part?));
                let most = part?.resistance_at(Resisting::Highest).ok()??;
                Some(most.as_ohms())
            };
            let bleed_ohm = one
                .bleeds
                .iter()
                .filter_map(ohms)
                .fold(0.0, |sum, ohm| sum + 1.0 / ohm);
            let seconds = found.and_then(|found| found.active.or(found.passive));
            let off_ms = seconds.map(|time| 1.0e3 * time.as_seconds().max(OPENED_WITH_TOOL_S));
            largest = Some(Link {
                capacitance_f,
                bleed_ohm: (bleed_ohm > 0.0).then(|| 1.0 / bleed_ohm),
                discharge_ohm: one.active.and_then(ohms),
                off_ms,
                stuck_ms: 500.0,
                weld_share: 0.1,
            });
        }
        largest.ok_or(LimitsGap::Missing("the capacitance of the link"))
    }

    fn parallel(&self) -> Parallel {
        let mut join = amperes(None);
        for one in &self.study.sequences.joins {
            join = least(
                join,
                one.window.ok().map(crate::quantity::Voltage::as_volts),
            );
        }
        Parallel {
            join_v: join.unwrap_or(JOIN_CEILING_V),
            join_ms: 500.0,
            rest_a: SOFT_A,
            drift_v: 3.0,
            drift_ms: 10_000.0,
            share: 0.2,
            share_gate: 0.2,
            share_ms: 10_000.0,
        }
    }

    fn isolation(&self) -> Option<Isolation> {
        let vehicle = &self.design.vehicle;
        let monitor = vehicle.monitor?;
        // The stricter case where none is stated.
        let alarm = vehicle
            .isolation_case
            .map_or(500.0, IsolationCase::ohm_per_volt);
        let response = monitor
            .response
            .map_or(10_000.0, |time| 1.0e3 * time.as_seconds());
        Some(Isolation {
            alarm_ohm_per_v: alarm,
            warn_ohm_per_v: NEW_BUILD_FACTOR * alarm,
            low_ms: 10_000.0,
            changed_ms: 10_000.0_f32.max(3.0 * response),
            charging_ms: 10_000.0_f32.max(3.0 * response),
            response_ms: response,
            range_ohm: 1.0e9,
        })
    }

    /// Three quarters of the battery's nominal voltage: 9 V of 12 V, 18 V of 24 V.
    fn coils(&self) -> Result<Coils, LimitsGap> {
        let mut batteries = self.design.all::<Battery>();
        let low = batteries.find(|(_, battery)| battery.system == System::LowVoltage);
        let nominal = match low {
            Some((_, battery)) => battery.voltage(Charged::Nominal)?,
            None => None,
        };
        let nominal = nominal.map_or(12.0, crate::quantity::Voltage::as_volts);
        let usual = 0.75 * nominal;
        let dip = self.design.controller.supply_dip;
        let hold_v = dip.map_or(usual, crate::quantity::Voltage::as_volts);
        Ok(Coils {
            hold_v,
            range_v: 3.0 * nominal,
            dip_ms: 10.0,
            again_ms: 100.0,
        })
    }

    /// A current and what limits it: cables, contactors, fuses, cells, controller.
    fn channel(&self, carried: Carried) -> Result<Channel, LimitsGap> {
        let design = self.design;
        let controller = &design.controller;
        let (mut discharge, mut charge) = match carried {
            Carried::All => (
                amperes(controller.discharge_limit),
                amperes(controller.charge_limit),
            ),
            Carried::Of(_) => {
                let either_way = amperes(controller.string_limit);
                let into = amperes(controller.string_charge_limit);
                (either_way, least(either_way, into))
            }
            Carried::Branch(_) => (None, None),
        };
        let cells = match carried {
            Carried::Of(string) => self.sources.get(usize::from(string)),
            Carried::All => self.sources.first().filter(|_| self.sources.len() == 1),
            Carried::Branch(_) => None,
        };
        if let Some(source) = cells {
            discharge = least(discharge, source.discharge_a);
            charge = least(charge, source.charge_a);
        }
        let mut lasting = None;
        let mut band = [f32::INFINITY; BAND_POINTS];
        for (id, switch) in &self.switches {
            if switch.channel == self.currents.channel(carried) && switch.role != 2 {
                let part = design.get(*id).and_then(|one| design.get(one.part?));
                lasting = least(lasting, amperes(part.and_then(|part| part.carry)));
            }
        }
        let mut fuse_a = None;
        let mut fuse_curve = None;
        let mut late_a = [0.0; BAND_POINTS];
        for (id, _) in design.all::<Fuse>() {
            if self.currents.of(id.into()) == Some(carried) {
                let Some((rated, curve)) = self.fuse(id, CurveSide::Earliest)? else {
                    continue;
                };
                lasting = least(lasting, Some(FUSE_SHARE * rated));
                if fuse_a.is_none_or(|known| rated < known) {
                    (fuse_a, fuse_curve) = (Some(rated), curve);
                    late_a = self.melted_late(id)?;
                }
            }
        }
        let mut adiabatic = None;
        for (id, _) in design.all::<Conductor>() {
            if self.currents.of(id.into()) == Some(carried)
                && let Some((ampacity, a2s)) = self.cable(id)
            {
                lasting = least(lasting, Some(ampacity));
                adiabatic = least(adiabatic, Some(a2s));
            }
        }
        let missing = LimitsGap::Missing("anything that limits a current that is measured");
        let lasting = lasting.or(discharge).ok_or(missing)?;
        let discharge_a = least(Some(lasting), discharge).unwrap_or(lasting);
        let charge_a = least(Some(lasting), charge).unwrap_or(lasting);
        let mut fuse_a2s = [0.0; BAND_POINTS];
        let mut before = f32::INFINITY;
        for ((current, fuse), seconds) in band.iter_mut().zip(&mut fuse_a2s).zip(BAND_S) {
            let by_cable = adiabatic.map(|a2s| libm::sqrtf(a2s / seconds));
            let by_fuse = match &fuse_curve {
                Some(curve) => melts_within(curve, seconds)?,
                None => None,
            };
            let most = least(by_cable, by_fuse.map(|fuse| FUSE_SHARE * fuse));
            // Never below what lasts, and falling.
            *current = most.unwrap_or(lasting).max(lasting).min(before);
            before = *current;
            if let Some(melts) = by_fuse {
                *fuse = melts * melts * seconds;
            }
        }
        let mut band_a2s = [0.0; BAND_POINTS];
        for ((a2s, current), seconds) in band_a2s.iter_mut().zip(&band).zip(BAND_S) {
            *a2s = current * current * seconds;
        }
        let (trip_a, trip_ms) = self.trip(carried);
        let peak = band.first().copied().unwrap_or(lasting);
        let usual_a = 2.0 * peak.max(self.largest_a(carried));
        Ok(Channel {
            kind: kind(carried),
            string: carried.string(),
            range_a: self.range_a(carried).unwrap_or(usual_a),
            discharge_a,
            charge_a,
            rest_ms: 300_000.0,
            band_a: band,
            band_a2s,
            fuse_a2s,
            late_a,
            fuse_a,
            trip_a,
            trip_ms,
            sure_a: self.sure_a(carried),
        })
    }

    /// Range of the sensor of a current, where it is stated.
    fn range_a(&self, carried: Carried) -> Option<f32> {
        let of_strings = !matches!(carried, Carried::Branch(_));
        amperes(self.design.controller.current_range).filter(|_| of_strings)
    }

    /// The largest current of all phases.
    fn largest_a(&self, carried: Carried) -> f32 {
        let thing = self.thing_of(carried);
        let largest = self.study.points.largest(self.design, thing);
        largest.map_or(0.0, |(_, current)| libm::fabsf(current.as_amperes()))
    }

    /// Current up to which a sensor is known to show what flows, to open on it: its range
    /// where that is stated, else a little more than what it has to show by its task.
    fn sure_a(&self, carried: Carried) -> f32 {
        let controller = &self.design.controller;
        let (trip_a, _) = self.trip(carried);
        let kept = match carried {
            Carried::All => [controller.discharge_limit, controller.charge_limit],
            Carried::Of(_) => [controller.string_limit, controller.string_charge_limit],
            Carried::Branch(_) => [None; 2],
        };
        let kept = kept.into_iter().filter_map(amperes).chain(trip_a);
        let task = kept.fold(self.largest_a(carried), f32::max);
        let stated = self.range_a(carried).map(|range| SATURATED * range);
        stated.unwrap_or_else(|| BELIEVED * task.max(SOFT_A))
    }

    /// Currents that melt a fuse within each moment of the band at the latest; none where its
    /// curve does not say.
    fn melted_late(&self, id: FuseId) -> Result<[f32; BAND_POINTS], LimitsGap> {
        let mut late_a = [NEVER_A; BAND_POINTS];
        if let Some((_, Some(curve))) = self.fuse(id, CurveSide::Latest)? {
            for (late, seconds) in late_a.iter_mut().zip(BAND_S) {
                *late = match curve.current_within(Time::from_seconds(seconds)?)? {
                    MeltingCurrent::At(most)
                    | MeltingCurrent::AtLeast(most)
                    | MeltingCurrent::Between { most, .. } => most.as_amperes(),
                };
            }
        }
        Ok(late_a)
    }

    /// Current of a string from which the controller trips, and how soon it has to say so: the
    /// stated time less what the contactors take to open.
    fn trip(&self, carried: Carried) -> (Option<f32>, f32) {
        let controller = &self.design.controller;
        let (Some(current), Some(time)) = (controller.trip_current, controller.trip_time) else {
            return (None, LEAST_TRIP_MS);
        };
        let of_string = match carried {
            Carried::All => self.sources.len() == 1,
            Carried::Of(_) => true,
            Carried::Branch(_) => false,
        };
        let opening = self.switches.iter().filter_map(|(id, switch)| {
            let part = self.design.get(self.design.get(*id)?.part?)?;
            (switch.role <= 1).then_some(part.coil.opening_time?.as_seconds())
        });
        let opening_s = opening.fold(0.0, f32::max);
        let trip_ms = 1.0e3 * (time.as_seconds() - opening_s);
        (
            of_string.then_some(current.as_amperes()),
            trip_ms.max(LEAST_TRIP_MS),
        )
    }

    fn thing_of(&self, carried: Carried) -> Thing {
        let string = |place: usize| self.sources.get(place).map(|one| one.battery);
        let thing = match carried {
            Carried::All => string(0),
            Carried::Of(place) => string(usize::from(place)),
            Carried::Branch(place) => {
                let load = self.currents.branches().get(usize::from(place));
                load.map(|load| (*load).into())
            }
        };
        thing.unwrap_or(Thing::VEHICLE)
    }

    /// Rated current and curve of a fuse.
    fn fuse(
        &self,
        id: FuseId,
        side: CurveSide,
    ) -> Result<Option<(f32, Option<MeltingCurve>)>, LimitsGap> {
        let part = self
            .design
            .get(id)
            .and_then(|fuse| self.design.get(fuse.part?));
        let Some((part, rated)) = part.and_then(|part| Some((part, part.rated?))) else {
            return Ok(None);
        };
        let curve = MeltingCurve::new(part, side, CURVE_TOLERANCE)?;
        Ok(Some((rated.as_amperes(), curve)))
    }

    /// Lasting current of a cable, and the joule integral from the heat of its duty to its
    /// class.
    fn cable(&self, id: ConductorId) -> Option<(f32, f32)> {
        let warmest = self.study.conductor(id).ok()?.warmest.ok()?;
        let part = self.design.get(self.design.get(id)?.cable?)?;
        let build = *part.cable().ok()?.build();
        let (start, class) = (warmest.warmth.hottest()?, part.temperature_class?);
        let heats = adiabatic_withstand(
            build.metal,
            build.section,
            build.resistance_20,
            start,
            class,
        );
        Some((
            warmest.ampacity?.as_amperes(),
            heats.ok()?.own_resistance.as_a2s(),
        ))
    }

    /// Models of the conductors that carry a watched current; twins once.
    fn circuits(&mut self) -> Result<(Vec<Circuit, { super::MAX_CIRCUITS }, u8>, f32), LimitsGap> {
        let design = self.design;
        let systems = design.systems();
        let mut all: Vec<Circuit, { super::MAX_CIRCUITS }, u8> = Vec::new();
        let mut pessimism_k = 0.0_f32;
        let mut done: Vec<(ConductorId, Carried), { crate::design::MAX_CONDUCTORS }, u8> =
            Vec::new();
        for (id, lead) in design.all::<Conductor>() {
            if !systems.is_high(lead.from) {
                continue;
            }
            let Some(carried) = self.currents.of(id.into()) else {
                self.leave_out(id.into(), Unwatched::NotMeasured);
                continue;
            };
            let twin = done.iter().any(|(other, of)| {
                let other = design.get(*other);
                *of == carried
                    && other.is_some_and(|o| o.cable == lead.cable && o.route.is_along(lead.route))
            });
            if twin {
                continue;
            }
            let Some((mut circuit, worst)) = self.fitted(id)? else {
                self.leave_out(id.into(), Unwatched::NoModel);
                continue;
            };
            circuit.channel = self.currents.channel(carried);
            if all.push(circuit).is_err() {
                self.leave_out(id.into(), Unwatched::NoRoom);
                continue;
            }
            pessimism_k = pessimism_k.max(worst);
            let _ = self.conductors.push(id);
            let _ = done.push((id, carried));
        }
        Ok((all, pessimism_k))
    }

    /// The model of the piece that governs a conductor.
    fn fitted(&self, id: ConductorId) -> Result<Option<(Circuit, f32)>, LimitsGap> {
        let design = self.design;
        let Ok(warmest) = self.study.conductor(id).map_err(LimitsGap::from)?.warmest else {
            return Ok(None);
        };
        let warmth = conductor_warmth(design, &self.study.points, warmest.operation, id)?;
        let part = design.get(id).and_then(|lead| design.get(lead.cable?));
        let (Some(part), Some(piece)) = (part, warmth.governing()) else {
            return Ok(None);
        };
        let (cable, balance): (_, &HeatBalance) = (part.cable()?, &piece.balance);
        let start: Option<Temperature> = warmest.warmth.hottest();
        let start = start
            .filter(|start| *start < warmth.limit)
            .unwrap_or(warmth.limit);
        let fitted = fit(&cable, balance, warmth.limit, start)?;
        Ok(fitted.map(|fitted| (fitted.circuit, fitted.pessimism_k)))
    }
}

/// The number of what a current is.
const fn kind(carried: Carried) -> u8 {
    match carried {
        Carried::All => 0,
        Carried::Of(_) => 1,
        Carried::Branch(_) => 2,
    }
}

/// The pack carries for a while what all strings carry, each as the weakest of them, where
/// nothing of its own says less.
fn together(channels: &mut [Channel], stated: bool) {
    let Some((pack, strings)) = channels.split_first_mut() else {
        return;
    };
    if pack.fuse_a.is_none() {
        melts_together(pack, strings);
    }
    if pack.fuse_a.is_some() || pack.band_a.first() != pack.band_a.last() {
        return;
    }
    let mut count = 0.0;
    let mut weakest = [f32::INFINITY; BAND_POINTS];
    for string in strings {
        count += 1.0;
        for (least, current) in weakest.iter_mut().zip(&string.band_a) {
            *least = least.min(*current);
        }
    }
    let points = pack.band_a.iter_mut().zip(&mut pack.band_a2s);
    for (((current, a2s), least), seconds) in points.zip(&weakest).zip(BAND_S) {
        *current = current.max(count * least);
        *a2s = *current * *current * seconds;
    }
    let most = pack.band_a.first().copied().unwrap_or(0.0);
    if !stated {
        pack.range_a = pack.range_a.max(2.0 * most);
    }
}

/// Of a current that is as large as those that melt the fuses of all strings within a time, one
/// string carries enough to melt its own, then one of those that are left: all are gone by
/// the next moment, which is three times as late at least.
fn melts_together(pack: &mut Channel, strings: &[Channel]) {
    let fused = |string: &Channel| string.late_a.iter().all(|late| *late > 0.0);
    if !strings.iter().all(fused) {
        return;
    }
    let mut sum = NEVER_A;
    for (place, late) in pack.late_a.iter_mut().enumerate() {
        *late = sum.min(NEVER_A);
        let own = strings.iter().filter_map(|string| string.late_a.get(place));
        sum = own.sum();
    }
}

/// Current that melts a fuse within a time, read early; `None` where its curve does not say.
fn melts_within(curve: &MeltingCurve, seconds: f32) -> Result<Option<f32>, LimitsGap> {
    let time = Time::from_seconds(seconds)?;
    Ok(Some(match curve.current_within(time)? {
        MeltingCurrent::At(current) | MeltingCurrent::AtLeast(current) => current.as_amperes(),
        MeltingCurrent::Between { least, .. } => least.as_amperes(),
    }))
}

/// Share of a fuse's curve that an overload may use.
const FUSE_SHARE: f32 = 0.8;

/// Stands for no current, however large.
const NEVER_A: f32 = 1.0e6;

/// Times what it has to show, where the range of a current sensor is not stated.
const BELIEVED: f32 = 1.05;

/// Opening below this current is without load, A.
const SOFT_A: f32 = 2.0;

/// Shortest time until a trip is advised, ms: a tick.
const LEAST_TRIP_MS: f32 = 10.0;

/// More tries than this are no limit.
const MOST_TRIES: f32 = 100.0;

const REASON_LETTERS: &str = "letters in the reason";
const _: () = assert!(MAX_REASON < 256);

const SENSORS: Sensors = Sensors {
    voltage_share: 0.015,
    voltage_offset_v: 2.0,
    // By the voltage of the pack.
    voltage_range_v: 1.0,
    // By the cables.
    drop_ohm: 0.0,
    differ_ms: 200.0,
    ramp_a_per_s: 200.0,
    fast_age_ms: 50.0,
    switch_age_ms: 200.0,
    slow_age_ms: 5000.0,
    tick_ms: 200.0,
};

const INTERLOCK: Interlock = Interlock {
    open_ms: 30.0,
    slow_km_per_h: 5.0,
    range_km_per_h: 300.0,
    moves_km_per_h: 1.0,
    plug_ms: 50.0,
};
