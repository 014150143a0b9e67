//! A controller that obeys the monitors, driving the simulated vehicle.
//!
//! It is as plain as a controller may be: it closes what the monitors allow, opens what
//! they advise to open, and asks for no current when told so. What it does on its own
//! (the order of contactors, the wait for a weld test) is what any controller has to do.

use orangeloom_core::limits::Limits;
use orangeloom_core::monitor::{
    Advice, CheckId, Flag, Inputs, MAX_KEPT_BYTES, Monitors, OpenRequest, Signal, State, Summary,
    SwitchInput,
};

use crate::plant::sensor::Sensed;
use crate::plant::{Commands, Plant, STEP, StringCommand};

/// Seconds between two ticks.
pub const TICK: f64 = 10e-3;

/// Where the controller is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Phase {
    /// Everything is open.
    Off,
    /// The negative contactor of the first string is closing.
    Negative,
    /// Its precharge relay is closed.
    Precharge,
    /// Its positive contactor is closing, the relay still closed.
    Positive,
    /// Driving; other strings join when they may.
    On,
    /// Zero current was asked for.
    Opening,
    /// One pole of the first string is open; the link has to fall.
    Parting,
    /// Refused; the key has to be turned off first.
    Refused,
}

/// Which pole opens first, so that its weld is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pole {
    /// The positive one.
    Positive,
    /// The negative one.
    Negative,
}

/// Something that was told, once for each check, part and state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Told {
    /// When, s.
    pub time: f64,
    /// Which check.
    pub check: CheckId,
    /// Of which part.
    pub part: u8,
    /// Found, or an input that cannot be used.
    pub state: State,
    /// What it advises.
    pub advice: Advice,
}

/// Vehicle, controller, driver.
#[derive(Clone, Debug)]
#[allow(clippy::struct_excessive_bools)] // the switches of a test bench
pub struct Drive {
    /// The vehicle.
    pub plant: Plant,
    /// Its limits.
    pub limits: Limits,
    /// The monitors.
    pub monitors: Monitors,
    /// The key.
    pub key: bool,
    /// Current that the driver asks for, A; negative while braking or charging.
    pub wanted: f64,
    /// A crash was seen.
    pub crash: bool,
    /// The controller has stopped ticking.
    pub hangs: bool,
    /// The discharge is switched on whatever the controller thinks of it.
    pub force_discharge: bool,
    /// Compute in long steps while nothing switches.
    pub coarse: bool,
    /// Which pole opens first.
    pub first_pole: Pole,
    /// Where the controller is.
    pub phase: Phase,
    /// What was told.
    pub told: Vec<Told>,
    /// The last sum.
    pub summary: Option<Summary>,
    /// When the fault was put in.
    pub fault_at: Option<f64>,
    /// How often everything was opened.
    pub openings: u32,
    commands: Commands,
    first: usize,
    since: f64,
    clock_ms: u32,
    to_tick: f64,
    discharging: bool,
    discharge_since: f64,
}

impl Drive {
    /// A vehicle that has been at rest for long; the clock begins at `clock_ms`.
    pub fn new(mut plant: Plant, limits: Limits, clock_ms: u32) -> Self {
        let strings = vec![StringCommand::default(); plant.strings.len()];
        // A controller waits until its sensors have spoken.
        plant.advance(&Commands::default());
        Self {
            plant,
            monitors: rested(&limits),
            limits,
            key: false,
            wanted: 0.0,
            crash: false,
            hangs: false,
            force_discharge: false,
            coarse: false,
            first_pole: Pole::Positive,
            phase: Phase::Off,
            told: Vec::new(),
            summary: None,
            fault_at: None,
            openings: 0,
            commands: Commands {
                strings,
                ..Commands::default()
            },
            first: 0,
            since: 0.0,
            clock_ms,
            to_tick: 0.0,
            discharging: false,
            discharge_since: 0.0,
        }
    }

    /// Marks that something is wrong from now on.
    pub fn fault(&mut self) {
        self.fault_at = Some(self.plant.time);
    }

    /// Lets time pass.
    pub fn run(&mut self, seconds: f64) {
        let end = self.plant.time + seconds;
        while self.plant.time + 0.5 * STEP < end {
            let step = self.step();
            self.to_tick -= step;
            if self.to_tick < 0.5 * STEP {
                self.to_tick += TICK;
                #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // ten
                let tick_ms = (TICK * 1e3).round() as u32;
                self.clock_ms = self.clock_ms.wrapping_add(tick_ms);
                if !self.hangs {
                    self.tick();
                }
            }
            self.plant.advance_by(step, &self.commands);
        }
    }

    /// Where nothing switches for a while a whole tick is one step, if that was asked for.
    fn step(&self) -> f64 {
        let still = matches!(self.phase, Phase::On | Phase::Off)
            && self.plant.time - self.since > 5.0
            && self.to_tick < 0.5 * STEP;
        if self.coarse && still { TICK } else { STEP }
    }

    /// The controller starts anew: everything drops, memory is empty but for `kept`.
    pub fn restart(&mut self, kept: Option<&[u8]>) {
        self.monitors = Monitors::new();
        if let Some(kept) = kept {
            // A vehicle whose memory is damaged starts as a new one; the caller is told.
            let _ = self.monitors.restore(&self.limits, kept);
        }
        for string in &mut self.commands.strings {
            *string = StringCommand::default();
        }
        self.commands.discharge = false;
        self.commands.drive = 0.0;
        self.discharging = false;
        self.go(Phase::Off);
    }

    /// What was found of a check since a time, first of all.
    pub fn found(&self, check: CheckId, part: u8, since: f64) -> Option<&Told> {
        self.told
            .iter()
            .find(|told| told.check == check && told.part == part && told.time >= since)
    }

    /// Whether any string is closed by command.
    pub fn closed(&self) -> bool {
        let mut strings = self.commands.strings.iter();
        strings.any(|string| string.positive && string.negative)
    }

    fn go(&mut self, phase: Phase) {
        self.phase = phase;
        self.since = self.plant.time;
    }

    fn tick(&mut self) {
        let inputs = self.inputs();
        let time = self.plant.time;
        let told = &mut self.told;
        let summary = self
            .monitors
            .tick(&self.limits, self.clock_ms, &inputs, &mut |finding| {
                if !matches!(finding.state, State::Found | State::Blind) {
                    return;
                }
                let known = told.iter().rev().any(|one| {
                    one.check == finding.check
                        && one.part == finding.part
                        && one.state == finding.state
                        && finding.for_ms > 10
                });
                if !known {
                    told.push(Told {
                        time,
                        check: finding.check,
                        part: finding.part,
                        state: finding.state,
                        advice: finding.advice,
                    });
                }
            });
        self.summary = Some(summary);
        self.decide(&summary);
    }

    fn decide(&mut self, summary: &Summary) {
        let advice = summary.advice;
        let waited = self.plant.time - self.since;
        let first = self.first;
        match self.phase {
            Phase::Off => {
                let highest = self.highest();
                if self.key && summary.may_precharge(string(highest)) {
                    self.discharging = false;
                    self.first = highest;
                    self.commands.strings[self.first].negative = true;
                    self.go(Phase::Negative);
                } else if !self.key {
                    self.discharge(advice);
                }
            }
            Phase::Negative => {
                if !self.key || !summary.may_close() {
                    self.open_all();
                } else if waited >= 0.12 {
                    self.commands.strings[first].precharge = true;
                    self.go(Phase::Precharge);
                }
            }
            Phase::Precharge => {
                if !self.key || advice.has(Advice::ABORT_PRECHARGE) || !summary.may_close() {
                    self.open_all();
                } else if summary.may_close_main(string(first)) {
                    self.commands.strings[first].positive = true;
                    self.go(Phase::Positive);
                }
            }
            Phase::Positive => {
                if summary.open() {
                    self.open_all();
                } else if waited >= 0.15 {
                    self.commands.strings[first].precharge = false;
                    self.go(Phase::On);
                }
            }
            Phase::On => {
                self.join(summary);
                let share = if advice.has(Advice::DERATE) {
                    f64::from(summary.derate)
                } else {
                    1.0
                };
                let stop = advice.has(Advice::ZERO_TORQUE)
                    || self.wanted < 0.0 && advice.has(Advice::STOP_CHARGING);
                let lasting = f64::from(self.limits.channels[0].discharge_a);
                let most = if advice.has(Advice::DERATE) {
                    share * lasting
                } else {
                    f64::INFINITY
                };
                self.commands.drive = if stop {
                    0.0
                } else {
                    self.wanted.clamp(-most, most)
                };
                if summary.open() {
                    self.open_all();
                } else if !self.key || self.crash || advice.has(Advice::OPEN_SOFTLY) {
                    self.commands.drive = 0.0;
                    self.go(Phase::Opening);
                }
            }
            Phase::Opening => {
                if summary.open() {
                    if self.crash {
                        self.open_all();
                    } else {
                        self.part();
                    }
                }
            }
            Phase::Parting => {
                self.commands.discharge = false;
                if waited >= 4.6 || advice.has(Advice::FORBID_CLOSING) {
                    self.open_all();
                }
            }
            Phase::Refused => {
                self.discharge(advice);
                if !self.key {
                    self.go(Phase::Off);
                }
            }
        }
        self.commands.discharge = self.discharging || self.force_discharge;
    }

    /// One pole of the first string opens, the others of it stay; other strings open whole.
    fn part(&mut self) {
        let first = self.first;
        for (index, string) in self.commands.strings.iter_mut().enumerate() {
            if index != first {
                *string = StringCommand::default();
            } else if self.first_pole == Pole::Positive {
                string.positive = false;
            } else {
                string.negative = false;
            }
        }
        self.openings += 1;
        self.go(Phase::Parting);
    }

    fn open_all(&mut self) {
        for string in &mut self.commands.strings {
            *string = StringCommand::default();
        }
        self.commands.drive = 0.0;
        self.openings += 1;
        self.discharge_since = self.plant.time;
        self.go(Phase::Refused);
    }

    fn discharge(&mut self, advice: Advice) {
        let link = self.plant.sensors.link.shown().value;
        let late = self.plant.time - self.discharge_since > 8.0;
        self.discharging = if late || advice.has(Advice::STOP_DISCHARGE) {
            false
        } else {
            self.openings > 0 && link > 50.0
        };
    }

    fn join(&mut self, summary: &Summary) {
        for (index, one) in self.commands.strings.iter_mut().enumerate() {
            if index != self.first && !one.positive && summary.may_close_main(string(index)) {
                one.positive = true;
                one.negative = true;
            }
        }
    }

    fn highest(&self) -> usize {
        let volts = |index: usize| self.plant.sensors.strings[index].voltage.shown().value;
        let mut best = 0;
        for index in 1..self.plant.strings.len() {
            if volts(index) > volts(best) + 0.2 {
                best = index;
            }
        }
        best
    }

    fn inputs(&self) -> Inputs {
        let plant = &self.plant;
        let sensors = &plant.sensors;
        let mut inputs = Inputs::NONE;
        inputs.link_voltage = signal(sensors.link.shown());
        inputs.current[0] = signal(sensors.current.shown());
        for (index, (string, chains)) in plant.strings.iter().zip(&sensors.strings).enumerate() {
            inputs.string_voltage[index] = signal(chains.voltage.shown());
            inputs.current[index + 1] = signal(chains.current.shown());
            let wanted = self.commands.strings[index];
            let contactors = [
                (wanted.positive, string.positive.feedback()),
                (wanted.negative, string.negative.feedback()),
                (wanted.precharge, string.relay.feedback()),
            ];
            for (place, (commanded, contact)) in contactors.into_iter().enumerate() {
                inputs.switches[3 * index + place] = SwitchInput {
                    commanded,
                    contact: Flag::now(contact),
                };
            }
        }
        inputs.isolation = plant.isolation_told().map_or(Signal::NONE, signal);
        inputs.interlock = Some(Flag {
            on: plant.around.interlock,
            age_ms: 0,
        });
        inputs.plugged = Some(Flag::now(plant.around.plugged));
        inputs.speed = plant
            .around
            .speed
            .map_or(Signal::NONE, |speed| Signal::now(narrow(speed)));
        inputs.torque = self.phase == Phase::On && self.wanted > 0.0;
        inputs.supply = signal(sensors.supply.shown());
        inputs.resistor = Some(signal(sensors.resistor.shown()));
        inputs.joints[0] = Some([
            signal(sensors.joint_positive.shown()),
            signal(sensors.joint_negative.shown()),
        ]);
        inputs.discharging = self.commands.discharge;
        inputs.start = self.key;
        inputs.open = match self.phase {
            _ if self.crash => OpenRequest::AtOnce,
            Phase::Opening => OpenRequest::Soft,
            _ => OpenRequest::None,
        };
        inputs
    }
}

/// Monitors that know of a cold precharge resistor.
fn rested(limits: &Limits) -> Monitors {
    let mut before = Monitors::new();
    for tick in 0..3_000 {
        before.tick(limits, tick * 100, &Inputs::NONE, &mut |_| {});
    }
    let mut kept = [0; MAX_KEPT_BYTES];
    let length = before
        .keep(limits, &mut kept)
        .expect("there is room for all of it");
    let mut monitors = Monitors::new();
    monitors
        .restore(limits, &kept[..length])
        .expect("what was kept can be restored");
    monitors
}

#[allow(clippy::cast_possible_truncation)] // a handful of strings
fn string(index: usize) -> u8 {
    index as u8
}

#[allow(clippy::cast_possible_truncation)] // what a controller measures
fn narrow(value: f64) -> f32 {
    value as f32
}

#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // `as` saturates
fn signal(sensed: Sensed) -> Signal {
    Signal {
        value: narrow(sensed.value),
        age_ms: (sensed.age * 1e3) as u32,
    }
}
