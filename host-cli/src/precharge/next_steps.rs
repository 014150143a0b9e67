//! What a builder can do where a check fails.
//!
//! Every number comes from the core: from the window of resistors, from what was found,
//! or from asking again with one input changed.

use orangeloom_core::error::Error;
use orangeloom_core::link::{
    DischargeCheck, PrechargeCheck, PrechargeInput, Reached, ResistorWindow, WindowEnd, precharge,
};
use orangeloom_core::quantity::{Current, Energy, Power, Resistance, Time, Voltage};
use orangeloom_core::verdict::Verdict;

use super::ask::Asked;
use super::names::{bound_words, discharge_row, precharge_row};
use super::{DischargeReport, JudgedResistor};
use crate::quantity_text::{Rounding, ToText, Units};

/// One thing to do.
pub(crate) struct NextStep {
    /// The check it mends, as people read it.
    pub(crate) about: &'static str,
    pub(crate) action: Action,
}

/// What to do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Action {
    /// Nothing draws until the contactor has closed; reached then after this time.
    LoadsOff(Option<Time>),
    /// A resistor of at most so much.
    ResistorAtMost(WindowEnd),
    /// A resistor of at least so much.
    ResistorAtLeast(WindowEnd),
    /// No resistor does all: one of the two ends has to move.
    MoveAnEnd {
        smallest: WindowEnd,
        largest: WindowEnd,
    },
    /// A longer time-out.
    TimeOutAtLeast(Time),
    /// A shorter time-out.
    TimeOutAtMost(Time),
    /// A thermal cut-out at the resistor.
    ThermalCutOut { precharge: bool },
    /// A relay, fuse and wires for this current.
    CarryAtLeast(Current),
    /// A resistor for this peak power.
    PeakPowerAtLeast(Power),
    /// A resistor for this energy.
    PulseAtLeast(Energy),
    /// Fewer tries.
    TriesAtMost(u8),
    /// A threshold in volts.
    CloseBelow(Voltage),
    /// A link that is discharged before it begins.
    BeginAtMost(Voltage),
    /// A contactor for this current.
    MakeAtLeast(Current),
    /// A bleed or discharge resistor of at most so much, with its power on the pack.
    DischargeAtMost(Resistance, Option<Power>),
    /// An active discharge, because a bleed of that size burns so much for ever.
    ActiveDischarge,
    /// A bleed of at least so much.
    BleedAtLeast(Resistance),
    /// A bleed for this power.
    BleedPowerAtLeast(Power),
    /// This label.
    Label(Time),
    /// A shorter discharge in one go.
    CutOffAtMost(Time),
    /// A longer one.
    CutOffAtLeast(Time),
}

/// A bleed that burns more than this for ever is not advised, in W.
const BLEED_WORTH_W: f32 = 20.0;

pub(crate) fn find(
    asked: &Asked,
    window: &ResistorWindow,
    judged: Option<&JudgedResistor<'_>>,
    discharge: Option<&DischargeReport>,
) -> Result<Vec<NextStep>, Error> {
    let mut steps = Vec::new();
    if let Some(judged) = judged {
        for check in &judged.found.checks {
            if check.verdict != Verdict::Fails {
                continue;
            }
            let about = precharge_row(check).words;
            let actions = for_precharge(asked, window, judged, check.name)?;
            steps.extend(actions.into_iter().map(|action| NextStep { about, action }));
        }
    }
    if window.is_empty() {
        let about = "resistor";
        if let (Some(smallest), Some(largest)) = (window.smallest(), window.largest()) {
            let action = Action::MoveAnEnd { smallest, largest };
            steps.push(NextStep { about, action });
        }
        if judged.is_none() {
            if !asked.given.load.is_empty() {
                let action = Action::LoadsOff(None);
                steps.push(NextStep { about, action });
            }
            if window.lower[2].is_some() {
                let action = Action::ThermalCutOut { precharge: true };
                steps.push(NextStep { about, action });
            }
        }
    }
    if let Some(report) = discharge {
        for check in &report.found.checks {
            if check.verdict != Verdict::Fails {
                continue;
            }
            let about = discharge_row(check).words;
            let actions = for_discharge(report, check.name);
            steps.extend(actions.into_iter().map(|action| NextStep { about, action }));
        }
    }
    Ok(steps)
}

fn for_precharge(
    asked: &Asked,
    window: &ResistorWindow,
    judged: &JudgedResistor<'_>,
    check: PrechargeCheck,
) -> Result<Vec<Action>, Error> {
    let found = &judged.found;
    let [current, power, stuck] = window.lower;
    let [time, standing] = window.upper;
    let at_least = |end: Option<WindowEnd>| end.map(Action::ResistorAtLeast);
    let at_most = |end: Option<WindowEnd>| {
        end.filter(|end| end.resistance.is_some())
            .map(Action::ResistorAtMost)
    };
    let mut actions = Vec::new();
    match check {
        PrechargeCheck::Settles => {
            if !asked.given.load.is_empty() {
                let off = PrechargeInput {
                    loads: asked.never_off(),
                    ..judged.input
                };
                // The bleed alone may be too much.
                let reached = precharge(&off)?.reached.time();
                actions.extend(reached.map(|time| Action::LoadsOff(Some(time))));
            }
            actions.extend(at_most(standing));
        }
        PrechargeCheck::Time => {
            if let Reached::After { time, .. } = found.reached {
                actions.push(Action::TimeOutAtLeast(time));
                actions.extend(at_most(window.upper[0]));
            } else {
                // What helps against settling too low stands there already.
                actions.extend(at_most(time).filter(|_| asked.loads.is_empty()));
            }
        }
        PrechargeCheck::PeakCurrent => {
            actions.extend(at_least(current));
            actions.push(Action::CarryAtLeast(found.peak_current));
        }
        PrechargeCheck::PeakPower => {
            actions.extend(at_least(power));
            actions.push(Action::PeakPowerAtLeast(found.peak_power));
        }
        PrechargeCheck::TryEnergy => {
            actions.extend(found.try_energy.map(Action::PulseAtLeast));
        }
        PrechargeCheck::SeriesEnergy => {
            if let Some(each) = found.try_energy {
                let most = asked.rating.most_tries(each, asked.tries.pause);
                actions.extend(most.filter(|most| *most > 0).map(Action::TriesAtMost));
            }
            actions.extend(found.series_energy.map(Action::PulseAtLeast));
        }
        PrechargeCheck::Stuck => {
            let longest = found.longest_time_out(asked.reaction);
            // Shorter than the precharge itself takes is no advice.
            let enough = found.reached.time();
            actions.extend(
                longest
                    .filter(|longest| enough.is_some_and(|enough| *longest > enough))
                    .map(Action::TimeOutAtMost),
            );
            actions.push(Action::ThermalCutOut { precharge: true });
            actions.extend(at_least(stuck));
        }
        PrechargeCheck::Inrush => {
            if let (Some(make), Some(resistance)) = (asked.given.make, asked.given.loop_resistance)
            {
                let most = (make * resistance)?;
                if judged.begins_above() {
                    let lowest = asked.lowest.as_volts();
                    actions.push(Action::BeginAtMost(Voltage::from_volts(
                        lowest + most.as_volts(),
                    )?));
                }
                if asked.threshold.left(asked.highest)? > most {
                    actions.push(Action::CloseBelow(most));
                }
            }
            actions.extend(found.inrush.map(Action::MakeAtLeast));
        }
        _ => {}
    }
    Ok(actions)
}

fn for_discharge(report: &DischargeReport, check: DischargeCheck) -> Vec<Action> {
    let found = &report.found;
    let mut actions = Vec::new();
    match check {
        DischargeCheck::Time if found.left.is_some() => {
            // A smaller resistor alone might be cut off too early all the same.
            actions.extend(found.uncut.map(Action::CutOffAtLeast));
        }
        DischargeCheck::Time => {
            if let Some(window) = report.for_wanted
                && let Some((largest, power)) = report.largest_as_printed(&window)
            {
                actions.push(Action::DischargeAtMost(largest, power));
                let burns = power.map_or(0.0, Power::as_watts);
                if report.input.active.is_none() && burns > BLEED_WORTH_W {
                    actions.push(Action::ActiveDischarge);
                }
            }
        }
        DischargeCheck::Label => {
            actions.extend(found.label.map(Action::Label));
            if let Some(window) = report.for_label
                && let Some((largest, power)) = report.largest_as_printed(&window)
            {
                actions.push(Action::DischargeAtMost(largest, power));
            }
        }
        DischargeCheck::BleedPower => {
            let windows = [report.for_wanted, report.for_label];
            let known = windows.into_iter().flatten().find_map(|one| one.smallest);
            actions.extend(known.map(Action::BleedAtLeast));
            actions.extend(found.bleed_power.map(Action::BleedPowerAtLeast));
        }
        DischargeCheck::ActiveEnergy => actions.push(Action::PulseAtLeast(found.energy)),
        DischargeCheck::Welded => {
            let stands = match found.stands {
                Some(orangeloom_core::link::Stands::For(time)) => Some(time),
                _ => None,
            };
            let enough = found.uncut;
            actions.extend(
                stands
                    .filter(|stands| enough.is_some_and(|enough| *stands > enough))
                    .map(Action::CutOffAtMost),
            );
            actions.push(Action::ThermalCutOut { precharge: false });
        }
        _ => {}
    }
    actions
}

fn end_words(end: &WindowEnd, units: Units, rounding: Rounding) -> String {
    match end.resistance {
        Some(resistance) => format!(
            "{}: {}",
            resistance.rounded(units, rounding),
            bound_words(end.bound)
        ),
        None => format!("no resistance at all: {}", bound_words(end.bound)),
    }
}

impl NextStep {
    /// The advice as one clause.
    pub(crate) fn words(&self, units: Units) -> String {
        let words = match self.action {
            Action::LoadsOff(time) => match time {
                Some(time) => format!(
                    "keep the loads off until the contactor has closed (enable line low): the \
                     threshold is then reached after {} at the latest",
                    time.at_least(units)
                ),
                None => {
                    "keep the loads off until the contactor has closed (enable line low)".to_owned()
                }
            },
            Action::ResistorAtMost(end) => {
                format!(
                    "a resistor of at most {}",
                    end_words(&end, units, Rounding::Down)
                )
            }
            Action::ResistorAtLeast(end) => {
                format!(
                    "a resistor of at least {}",
                    end_words(&end, units, Rounding::Up)
                )
            }
            Action::MoveAnEnd { smallest, largest } => format!(
                "none does all that was asked; move one of both ends: at least {}; at most {}",
                end_words(&smallest, units, Rounding::Up),
                end_words(&largest, units, Rounding::Down)
            ),
            Action::TimeOutAtLeast(time) => {
                format!("a time-out of at least {}", time.at_least(units))
            }
            Action::TimeOutAtMost(time) => {
                format!("a time-out of at most {}", time.at_most(units))
            }
            Action::ThermalCutOut { precharge } => format!(
                "a thermal cut-out on the resistor that opens its circuit without software{}",
                if precharge { " (--cut-out)" } else { "" }
            ),
            Action::CarryAtLeast(current) => format!(
                "relay, fuse and wires that make and carry {} for the time of a try",
                current.at_least(units)
            ),
            Action::PeakPowerAtLeast(power) => {
                format!("a resistor for {} at its peak", power.at_least(units))
            }
            Action::PulseAtLeast(energy) => {
                format!(
                    "a resistor for a pulse of {} or more",
                    energy.at_least(units)
                )
            }
            Action::TriesAtMost(count) => {
                format!("lock after {count} tries in a row")
            }
            Action::CloseBelow(voltage) => format!(
                "close only when less than {} is left (--close-below)",
                voltage.at_most(units)
            ),
            Action::BeginAtMost(voltage) => format!(
                "let the link fall before it begins (--start at most {}), or close only when pack \
                 and link differ by so little either way",
                voltage.at_most(units)
            ),
            Action::MakeAtLeast(current) => {
                format!("a contactor that may close on {}", current.at_least(units))
            }
            Action::DischargeAtMost(resistance, power) => format!(
                "a resistor of at most {}{}",
                resistance.to_text(units),
                power.map_or_else(String::new, |power| format!(
                    ", which takes {} on the full pack",
                    power.at_least(units)
                ))
            ),
            Action::ActiveDischarge => {
                "too much power for a bleed: use an active discharge (--discharge), or a lock \
                 that needs a tool and a label with the waiting time"
                    .to_owned()
            }
            Action::BleedAtLeast(resistance) => {
                format!("a bleed of at least {}", resistance.at_least(units))
            }
            Action::BleedPowerAtLeast(power) => {
                format!("a bleed for {} for ever", power.at_least(units))
            }
            Action::Label(time) => format!("print {} on the label", time.at_least(units)),
            Action::CutOffAtMost(time) => {
                format!("cut off after at most {}", time.at_most(units))
            }
            Action::CutOffAtLeast(time) => format!(
                "cut off after at least {} (--discharge-cut-off)",
                time.at_least(units)
            ),
        };
        format!("{}: {words}", self.about)
    }
}
