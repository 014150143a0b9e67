//! A capacitor charged through a resistor while loads draw from it.

use super::piece::{Circuit, Drawn, Going, Piece};
use crate::bounds::Bounded;
use crate::design::Draw;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Capacitance, Current, Energy, Resistance, Time, Voltage};

/// Something that draws from the link while it is charged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct StandingLoad {
    /// What it draws.
    pub draw: Draw,
    /// Below this voltage it draws nothing: the start-up window of a converter. Zero for
    /// what always draws.
    pub from: Voltage,
}

/// Source, resistor, capacitor, loads.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ChargingCircuit<'a> {
    /// Voltage of the pack.
    pub source: Voltage,
    /// Resistor, with everything in series.
    pub resistance: Resistance,
    /// Capacitor.
    pub capacitance: Capacitance,
    /// Voltage of the capacitor when it begins.
    pub start: Voltage,
    /// What draws from it.
    pub loads: &'a [StandingLoad],
}

/// What keeps the voltage where it settles.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // nothing draws, something draws, something starts
pub enum SettledBy {
    /// The pack voltage: nothing draws.
    Source,
    /// The current of the loads through the resistor.
    Load,
    /// A load that starts there and draws more than the resistor brings: it starts,
    /// pulls the voltage down, stops, and starts again.
    StartUp,
}

/// Where the voltage ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Settled {
    /// The voltage that is approached and never passed.
    pub voltage: Voltage,
    /// What keeps it there.
    pub by: SettledBy,
}

/// Whether and when a voltage is reached.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // it is reached, or it is not
pub enum Reached {
    /// After this time, with this energy in the resistor.
    After {
        /// Time from the beginning.
        time: Time,
        /// Energy that the resistor took until then.
        energy: Energy,
    },
    /// Never: the voltage settles below.
    Never(Settled),
}

impl Reached {
    /// The time, where there is one.
    pub const fn time(self) -> Option<Time> {
        match self {
            Self::After { time, .. } => Some(time),
            Self::Never(_) => None,
        }
    }
}

/// The state at a moment.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ChargingState {
    /// Voltage of the capacitor.
    pub voltage: Voltage,
    /// Current through the resistor; negative while the link feeds the pack.
    pub current: Current,
    /// Energy that the resistor took since the beginning.
    pub energy: Energy,
}

/// One stretch of the way.
struct Stretch {
    piece: Piece,
    /// Where the stretch ends: the voltage and its `y`; infinite where it settles.
    end: f32,
    progress: f32,
}

/// The next thing that happens.
enum Next {
    Stretch(Stretch),
    /// Falls to this voltage in no time that is counted.
    Drop(f32),
    Settled(SettledBy),
}

impl ChargingCircuit<'_> {
    /// Where the voltage settles.
    ///
    /// Computes: the stable root of `(U0 - U)/R = I(U)`, from the start upwards; with
    /// constant power alone `U0/2 + sqrt(U0^2/4 - R P)`, and none above
    /// `P = U0^2/(4 R)`. A load that cannot be fed where it starts keeps the link there.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] outside [`Bounded::SystemVoltage`],
    /// [`Bounded::LinkResistance`], [`Bounded::LinkCapacitance`], for a negative start;
    /// [`Error::Inconsistent`] for a load that delivers, or one of constant power from
    /// 0 V on.
    ///
    /// Source: circuit; steady within the start-up windows as entered.
    pub fn settles(&self) -> Result<Settled, Error> {
        let circuit = self.checked()?;
        let mut volts = self.start.as_volts();
        let mut going = None;
        for _ in 0..self.most_stretches() {
            match self.next(circuit, volts, &mut going) {
                Next::Stretch(stretch) if stretch.progress.is_finite() => volts = stretch.end,
                Next::Stretch(stretch) => {
                    return self.settled(stretch.piece.high, SettledBy::Load);
                }
                Next::Drop(to) => volts = to,
                Next::Settled(by) => return self.settled(volts, by),
            }
        }
        self.settled(volts, SettledBy::StartUp)
    }

    /// When a voltage is reached, and what the resistor took until then.
    ///
    /// Computes: the closed form over the voltage, load by load; without loads
    /// `t = R C ln((U0 - Us)/(U0 - U))` and `E = C/2 ((U0 - Us)^2 - (U0 - U)^2)`.
    /// A start above the voltage counts as reached at once only if the link stays
    /// above.
    ///
    /// # Errors
    /// As [`Self::settles`], and beyond the bounds of a time or an energy.
    pub fn reaches(&self, target: Voltage) -> Result<Reached, Error> {
        let circuit = self.checked()?;
        let target = target.as_volts();
        let settled = self.settles()?;
        let mut volts = self.start.as_volts();
        if settled.voltage.as_volts() < target {
            return Ok(Reached::Never(settled));
        }
        let (mut time, mut energy) = (0.0, 0.0);
        let mut going = None;
        for _ in 0..self.most_stretches() {
            if volts >= target {
                return Ok(Reached::After {
                    time: Time::from_seconds(time)?,
                    energy: Energy::from_joules(energy)?,
                });
            }
            let Next::Stretch(stretch) = self.next(circuit, volts, &mut going) else {
                break;
            };
            let here = target <= stretch.end;
            let progress = if here {
                stretch.piece.progress(target)
            } else {
                stretch.progress
            };
            // Settling at the voltage itself takes for ever.
            if !progress.is_finite() {
                break;
            }
            time += stretch.piece.time(progress);
            energy += stretch.piece.energy(progress);
            volts = if here { target } else { stretch.end };
        }
        Ok(Reached::Never(settled))
    }

    /// The state after a time.
    ///
    /// Computes: the closed form over the time; with constant power the time equation is
    /// inverted by 40 bisections. Where a load keeps the link at the voltage at which it
    /// starts, that voltage is returned; a load that stops well below where it starts pulls
    /// it lower and heats the resistor more, up to what a shorted link does. A link that starts where its loads pull it down
    /// faster and faster is taken as down at once, which is the safe side.
    ///
    /// # Errors
    /// As [`Self::settles`], and beyond the bounds of an energy.
    pub fn after(&self, time: Time) -> Result<ChargingState, Error> {
        let circuit = self.checked()?;
        let mut left = time.as_seconds();
        let mut volts = self.start.as_volts();
        let mut energy = 0.0;
        let mut going = None;
        for _ in 0..self.most_stretches() {
            match self.next(circuit, volts, &mut going) {
                Next::Stretch(stretch) => {
                    let piece = stretch.piece;
                    let all = if stretch.progress.is_finite() {
                        piece.time(stretch.progress)
                    } else {
                        f32::INFINITY
                    };
                    if left <= all {
                        let progress = piece.progress_after(left);
                        volts = piece.voltage(progress);
                        energy += piece.energy(progress);
                        left = 0.0;
                        break;
                    }
                    left -= all;
                    energy += piece.energy(stretch.progress);
                    volts = stretch.end;
                }
                Next::Drop(to) => volts = to,
                Next::Settled(_) => break,
            }
        }
        let current = (circuit.source - volts) / circuit.resistance;
        Ok(ChargingState {
            voltage: Voltage::from_volts(volts)?,
            current: Current::from_amperes(current)?,
            energy: Energy::from_joules(energy + current * current * circuit.resistance * left)?,
        })
    }

    fn checked(&self) -> Result<Circuit, Error> {
        let start = self.start.as_volts();
        if start < 0.0 {
            return Err(Error::OutOfRange {
                what: Bounded::Voltage,
                value: start,
            });
        }
        for load in self.loads {
            load.check()?;
        }
        Ok(Circuit {
            source: Bounded::SystemVoltage.check(self.source.as_volts())?,
            resistance: Bounded::LinkResistance.check(self.resistance.as_ohms())?,
            capacitance: Bounded::LinkCapacitance.check(self.capacitance.as_farads())?,
        })
    }

    /// Up past every start of a load, and at most once down again.
    const fn most_stretches(&self) -> usize {
        2 * self.loads.len() + 3
    }

    fn settled(&self, volts: f32, by: SettledBy) -> Result<Settled, Error> {
        let draws = self
            .loads
            .iter()
            .any(|load| load.from.as_volts() <= volts && !load.draw.is_nothing());
        Ok(Settled {
            voltage: Voltage::from_volts(volts.max(0.0))?,
            by: if draws { by } else { SettledBy::Source },
        })
    }

    fn next(&self, circuit: Circuit, volts: f32, going: &mut Option<Going>) -> Next {
        let up = Piece::new(circuit, self.drawn(|from| from <= volts), volts);
        if up.going == Going::Up && *going != Some(Going::Down) {
            *going = Some(Going::Up);
            let edge = self.starts().filter(|from| *from > volts);
            return Next::Stretch(Stretch::to(up, edge.fold(f32::INFINITY, f32::min)));
        }
        // Falling: a load that starts right here has stopped already.
        let down = Piece::new(circuit, self.drawn(|from| from < volts), volts);
        let edge = self
            .starts()
            .filter(|from| *from < volts)
            .fold(0.0, f32::max);
        if *going != Some(Going::Up) && volts > 0.0 {
            match down.going {
                Going::Down => {
                    *going = Some(Going::Down);
                    return Next::Stretch(Stretch::to(down, edge));
                }
                Going::Collapsing => {
                    *going = Some(Going::Down);
                    return Next::Drop(edge);
                }
                Going::Up | Going::Nowhere => {}
            }
        }
        let starts_here = self.starts().any(|from| (from - volts) == 0.0);
        Next::Settled(if starts_here && up.going != Going::Nowhere {
            SettledBy::StartUp
        } else {
            SettledBy::Load
        })
    }

    fn starts(&self) -> impl Iterator<Item = f32> {
        self.loads.iter().map(|load| load.from.as_volts())
    }

    fn drawn(&self, draws: impl Fn(f32) -> bool) -> Drawn {
        let mut all = Drawn::default();
        for load in self.loads {
            if !draws(load.from.as_volts()) {
                continue;
            }
            match load.draw {
                Draw::Power(power) => all.power += power.as_watts(),
                Draw::Current(current) => all.current += current.as_amperes(),
                Draw::Resistance(resistance) => all.conductance += 1.0 / resistance.as_ohms(),
            }
        }
        all
    }
}

impl StandingLoad {
    fn check(&self) -> Result<(), Error> {
        if self.draw.delivers() {
            return Err(Error::Inconsistent(Inconsistency::LoadDelivers));
        }
        let from = self.from.as_volts();
        if from < 0.0 {
            return Err(Error::OutOfRange {
                what: Bounded::Voltage,
                value: from,
            });
        }
        match self.draw {
            Draw::Power(power) if power.as_watts() > 0.0 && from <= 0.0 => {
                Err(Error::Inconsistent(Inconsistency::PowerFromZero))
            }
            Draw::Resistance(resistance) => Bounded::LinkResistance
                .check(resistance.as_ohms())
                .map(|_| ()),
            _ => Ok(()),
        }
    }
}

impl Stretch {
    /// To an edge, or to where it settles before.
    fn to(piece: Piece, edge: f32) -> Self {
        let settles_before = match piece.going {
            Going::Up => piece.high <= edge,
            _ => piece.high >= edge,
        };
        if settles_before {
            Self {
                piece,
                end: piece.high,
                progress: f32::INFINITY,
            }
        } else {
            Self {
                piece,
                end: edge,
                progress: piece.progress(edge),
            }
        }
    }
}
