//! A series of fuses made from one pattern, and the search along it.

use super::coordination::judge_gap;
use super::fuse::{FuseCheck, judge_continuous, judge_overload_owner, judge_pulse, magnitude};
use super::verdicts::{guards, least_fault};
use super::window::{FuseCircuit, FuseWindow, WindowEnd, WindowSide};
use crate::design::FuseType;
use crate::error::Error;
use crate::quantity::{Current, CurrentSquaredTime};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// How far a rated current is looked for, as a multiple of that of the pattern, up and
/// down.
pub(super) const REACH: f32 = 64.0;

/// Halvings of each search: 64 squared down to a part in 4000.
pub(super) const STEPS: u8 = 15;

/// One condition of the window.
#[derive(Clone, Copy)]
pub(super) enum Condition {
    Continuous,
    Pulse(usize),
    Guarded(usize),
    LeastFault,
    OverloadOwner,
    LowCurrentGap,
}

/// The fuses of one series in a circuit.
pub(super) struct Series<'a> {
    pub(super) pattern: &'a FuseType,
    pub(super) circuit: &'a FuseCircuit<'a>,
    /// Largest multiple of the pattern.
    reach: f32,
}

/// Largest multiple of the pattern whose currents are accepted.
fn reach(pattern: &FuseType) -> f32 {
    let stated = [pattern.rated, pattern.least_breaking];
    let points = pattern.curve.iter().map(|point| Some(point.current));
    let most = stated
        .into_iter()
        .chain(points)
        .flatten()
        .map(magnitude)
        .fold(1.0, libm::fmaxf);
    // The tolerance of the curve comes on top.
    libm::fminf(REACH, 0.9 * Current::BOUND.max() / most)
}

/// A fuse of the series of a pattern: currents times a scale, joule integrals times its
/// square.
pub(crate) fn of_series(pattern: &FuseType, scale: f32) -> Result<FuseType, Error> {
    let times = |current: Option<Current>| match current {
        Some(current) => Current::from_amperes(current.as_amperes() * scale).map(Some),
        None => Ok(None),
    };
    let squared = |i2t: Option<CurrentSquaredTime>| match i2t {
        Some(i2t) => CurrentSquaredTime::from_a2s(i2t.as_a2s() * scale * scale).map(Some),
        None => Ok(None),
    };
    let mut fuse = pattern.clone();
    fuse.rated = times(fuse.rated)?;
    fuse.least_breaking = times(fuse.least_breaking)?;
    fuse.melting = squared(fuse.melting)?;
    fuse.total = squared(fuse.total)?;
    for point in &mut fuse.curve {
        point.current = Current::from_amperes(point.current.as_amperes() * scale)?;
    }
    Ok(fuse)
}

impl<'a> Series<'a> {
    /// The series of a pattern.
    pub(super) fn new(pattern: &'a FuseType, circuit: &'a FuseCircuit<'a>) -> Self {
        Self {
            pattern,
            circuit,
            reach: reach(pattern),
        }
    }

    /// A fuse of the series.
    pub(super) fn fuse(&self, scale: f32) -> Result<FuseType, Error> {
        of_series(self.pattern, scale)
    }

    fn verdict(&self, condition: Condition, scale: f32) -> Result<Verdict, Error> {
        let fuse = self.fuse(scale)?;
        Ok(self.judge(condition, &fuse)?.verdict)
    }

    fn judge(&self, condition: Condition, fuse: &FuseType) -> Result<Judged<FuseCheck>, Error> {
        let circuit = self.circuit;
        let none = |name| Judged {
            verdict: Verdict::NotApplicable,
            ..Judged::open(name, None, Side::AtMost, None, SourceId::Entered)
        };
        Ok(match condition {
            Condition::Continuous => judge_continuous(fuse, &circuit.place, circuit.lasting)?,
            Condition::Pulse(index) => match circuit.pulses.get(index) {
                Some(&pulse) => judge_pulse(
                    fuse,
                    &circuit.place,
                    pulse,
                    circuit.pulse_share,
                    circuit.tolerance,
                )?,
                None => none(FuseCheck::Pulse),
            },
            Condition::Guarded(index) => match circuit.guarded.get(index) {
                Some((name, guarded)) => guards(fuse, circuit, *name, guarded)?.judged,
                None => none(FuseCheck::Cable),
            },
            Condition::LeastFault => least_fault(fuse, circuit, circuit.smallest_fault)?,
            Condition::OverloadOwner => {
                judge_overload_owner(fuse, circuit.conductor_lasting, circuit.controller_limit)
            }
            Condition::LowCurrentGap => {
                let [gap, _, _] =
                    judge_gap(fuse, circuit.contactor_breaks, None, circuit.tolerance)?;
                gap
            }
        })
    }

    /// Narrows the window by one condition.
    pub(super) fn add(&self, window: &mut FuseWindow, condition: Condition) -> Result<(), Error> {
        let name = self.judge(condition, self.pattern)?.name;
        let from_below = matches!(condition, Condition::Continuous | Condition::Pulse(_));
        let keeps = |scale: f32| -> Result<bool, Error> {
            let verdict = self.verdict(condition, scale)?;
            Ok(matches!(verdict, Verdict::Holds | Verdict::NotApplicable))
        };
        let (mut good, mut bad) = if from_below {
            (self.reach, 1.0 / REACH)
        } else {
            (1.0 / REACH, self.reach)
        };
        if !keeps(good)? {
            let open = matches!(self.verdict(condition, good)?, Verdict::Open)
                || matches!(self.verdict(condition, 1.0)?, Verdict::Open);
            if open {
                window.note(name);
            } else if from_below {
                window.least = WindowSide::Never(name);
            } else {
                window.most = WindowSide::Never(name);
            }
            return Ok(());
        }
        if keeps(bad)? {
            return Ok(());
        }
        for _ in 0..STEPS {
            let middle = libm::sqrtf(good * bad);
            if keeps(middle)? {
                good = middle;
            } else {
                bad = middle;
            }
        }
        let index = match condition {
            Condition::Pulse(index) | Condition::Guarded(index) => index,
            _ => 0,
        };
        let Some(end) = self.end(good, name, index)? else {
            return Ok(());
        };
        let side = if from_below {
            &mut window.least
        } else {
            &mut window.most
        };
        let narrower = match *side {
            WindowSide::Free => true,
            WindowSide::At(known) if from_below => end.scale > known.scale,
            WindowSide::At(known) => end.scale < known.scale,
            WindowSide::Never(_) => false,
        };
        if narrower {
            *side = WindowSide::At(end);
        }
        Ok(())
    }

    fn end(&self, scale: f32, binds: FuseCheck, index: usize) -> Result<Option<WindowEnd>, Error> {
        let fuse = self.fuse(scale)?;
        Ok(fuse.rated.map(|rated| WindowEnd {
            rated,
            melting: fuse.melting,
            total: fuse.total,
            binds,
            index: u8::try_from(index).unwrap_or(u8::MAX),
            scale,
        }))
    }
}
