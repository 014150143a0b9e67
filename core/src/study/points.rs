//! The operating point of every phase: currents of everything that is drawn, voltages
//! of strings and loads.

use super::series::Series;
use super::unknown::{Known, Unknown};
use crate::design::{
    BatteryString, Case, Charged, Circuit, Converter, Design, Gap, Guess, Heat, Index, Kind, Load,
    LoadId, MAX_BATTERIES, MAX_CONDUCTORS, MAX_CONTACTORS, MAX_CONVERTERS, MAX_FUSES, MAX_LOADS,
    MAX_PHASES, MAX_RESISTORS, MAX_SERVICE_DISCONNECTS, Phase, PhaseId, Resisting, Set, Strings,
    Supply, System, Systems, TerminalId, Thing,
};
use crate::error::Error;
use crate::network::{BranchId, OperatingPoint, Outcome, Refusal, Workspace};
use crate::quantity::{Current, Temperature, Voltage};
use crate::verdict::Verdict;

/// How the network of one system ended up in one phase.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Solved {
    /// It was not asked for.
    NotAsked,
    /// It has an operating point.
    Settled {
        /// What had to be guessed first; if anything, everything that follows is open.
        guessed: Option<Guess>,
        /// Loads that want current and have no closed way to a battery.
        unfed: Set<LoadId>,
    },
    /// It has none.
    Refused {
        /// The thing that is to blame, if it is one.
        thing: Option<Thing>,
        /// Why.
        why: Refusal,
    },
    /// It has one in which a load has the wrong polarity, whether or not it draws anything: it
    /// would be destroyed, and what flows then is no answer.
    Reversed {
        /// The load.
        load: LoadId,
        /// The voltage from its positive to its negative terminal.
        voltage: Voltage,
    },
    /// It could not be built.
    Unbuildable(Error),
}

impl Solved {
    /// Whether the network has an operating point that is guessed in no part.
    pub const fn is_known(&self) -> bool {
        matches!(self, Self::Settled { guessed: None, .. })
    }

    /// Whether there is one: open where it rests on a guess, failing where there is none.
    pub const fn verdict(&self) -> Verdict {
        match self {
            Self::NotAsked => Verdict::NotApplicable,
            Self::Settled { guessed: None, .. } => Verdict::Holds,
            Self::Settled { .. } => Verdict::Open,
            Self::Refused { .. } | Self::Reversed { .. } | Self::Unbuildable(_) => Verdict::Fails,
        }
    }

    /// The worse of two: what has no operating point before what has one.
    const fn worse(self, other: Self) -> Self {
        match (&self, &other) {
            (Self::Refused { .. } | Self::Reversed { .. } | Self::Unbuildable(_), _)
            | (
                Self::Settled {
                    guessed: Some(_), ..
                },
                Self::Settled { .. } | Self::NotAsked,
            ) => self,
            _ => other,
        }
    }
}

/// A voltage from empty to full cells.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a range has two ends
pub struct VoltageSpan {
    /// Lowest.
    pub lowest: Voltage,
    /// Highest.
    pub highest: Voltage,
}

impl VoltageSpan {
    fn with(known: Option<Self>, voltage: Voltage) -> Self {
        match known {
            None => Self {
                lowest: voltage,
                highest: voltage,
            },
            Some(known) => Self {
                lowest: if voltage < known.lowest {
                    voltage
                } else {
                    known.lowest
                },
                highest: if voltage > known.highest {
                    voltage
                } else {
                    known.highest
                },
            },
        }
    }
}

/// The states of the cells that are solved: constant power draws most current when
/// they are empty, a resistance when they are full.
pub const STATES: [Charged; 2] = [Charged::Minimum, Charged::Maximum];

/// Kinds of things whose currents are kept, with how many there can be.
const KEPT: [(Kind, usize); 8] = [
    (Kind::Conductor, MAX_CONDUCTORS),
    (Kind::Fuse, MAX_FUSES),
    (Kind::Contactor, MAX_CONTACTORS),
    (Kind::ServiceDisconnect, MAX_SERVICE_DISCONNECTS),
    (Kind::Resistor, MAX_RESISTORS),
    (Kind::Load, MAX_LOADS),
    (Kind::Battery, MAX_BATTERIES),
    (Kind::Converter, MAX_CONVERTERS),
];

/// How many currents that makes.
pub(super) const KEPT_CURRENTS: usize = {
    let mut sum = 0;
    let mut kinds: &[(Kind, usize)] = &KEPT;
    while let [(_, most), rest @ ..] = kinds {
        sum += *most;
        kinds = rest;
    }
    sum
};

/// Where the current of a thing is kept.
pub(super) fn place_of(thing: Thing) -> Option<usize> {
    let mut first = 0;
    for (kind, most) in KEPT {
        if kind == thing.kind {
            let index = usize::from(thing.index);
            return (index < most).then_some(first + index);
        }
        first += most;
    }
    None
}

#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
struct Row {
    currents: [Option<Current>; KEPT_CURRENTS],
    strings: [Option<VoltageSpan>; MAX_BATTERIES],
    loads: [Option<VoltageSpan>; MAX_LOADS],
    traction: Solved,
    low_voltage: Solved,
}

impl Row {
    const NOTHING: Self = Self {
        currents: [None; KEPT_CURRENTS],
        strings: [None; MAX_BATTERIES],
        loads: [None; MAX_LOADS],
        traction: Solved::NotAsked,
        low_voltage: Solved::NotAsked,
    };

    /// Keeps what a solved network says. Of the currents of both states of the
    /// cells the larger stays.
    fn keep(
        &mut self,
        design: &Design,
        strings: &[BatteryString],
        circuit: &Circuit,
        point: &OperatingPoint<'_>,
    ) {
        for (branch, _) in circuit.netlist().branches() {
            let Some(thing) = circuit.thing(branch) else {
                continue;
            };
            let place = place_of(thing).and_then(|slot| self.currents.get_mut(slot));
            // The bleed resistor inside a load is a branch after that of the load.
            let own = thing.kind != Kind::Load || circuit.branch(thing) == Some(branch);
            if let (Some(place), Some(current), true) = (place, point.current(branch), own) {
                let larger = place.is_none_or(|known| {
                    libm::fabsf(current.as_amperes()) > libm::fabsf(known.as_amperes())
                });
                if larger {
                    *place = Some(current);
                }
            }
        }
        let between = |above: TerminalId, below: TerminalId| {
            point.voltage(circuit.node(above)?, circuit.node(below)?)
        };
        for (string, place) in strings.iter().zip(&mut self.strings) {
            if let Some(voltage) = between(string.positive, string.negative) {
                *place = Some(VoltageSpan::with(*place, voltage));
            }
        }
        for (id, load) in design.all::<Load>() {
            if let (Some(place), Some(voltage)) = (
                self.loads.get_mut(id.position()),
                between(load.positive, load.negative),
            ) {
                *place = Some(VoltageSpan::with(*place, voltage));
            }
        }
    }

    /// A load that works for a share of the time draws its mean in the network. Nothing says
    /// how long it is on at a time: what carries nothing else counts as carrying all of it,
    /// and the load sees what that takes of its voltage. Sums stay those of the means.
    fn keep_switched_on(
        &mut self,
        design: &Design,
        (phase, series): (PhaseId, &Series),
        circuit: &Circuit,
        point: &OperatingPoint<'_>,
    ) {
        for (id, load) in design.all::<Load>() {
            let Some(share) = design.time_share(phase, id) else {
                continue;
            };
            if circuit.branch(id).is_none() {
                continue;
            }
            let times = 1.0 / share.as_fraction();
            let mut lost = 0.0;
            for (branch, ends) in circuit.netlist().branches() {
                let own = circuit.thing(branch).filter(|thing| {
                    crate::design::carries(thing.kind) && series.together(id.into(), *thing)
                });
                let place = own.and_then(place_of);
                let place = place.and_then(|slot| self.currents.get_mut(slot));
                let (Some(place), Some(current)) = (place, point.current(branch)) else {
                    continue;
                };
                let taken = point.voltage(ends.from, ends.to);
                lost += taken.map_or(0.0, |volts| libm::fabsf(volts.as_volts()));
                let amperes = times * current.as_amperes();
                let known = place.map_or(0.0, Current::as_amperes);
                if libm::fabsf(amperes) > libm::fabsf(known) {
                    *place = Current::from_amperes(amperes).ok();
                }
            }
            let ends = [load.positive, load.negative].map(|end| circuit.node(end));
            let [Some(above), Some(below)] = ends else {
                continue;
            };
            let on = point.voltage(above, below).and_then(|voltage| {
                let volts = voltage.as_volts() - (times - 1.0) * lost;
                Voltage::from_volts(libm::fmaxf(volts, 0.0)).ok()
            });
            if let (Some(place), Some(voltage)) = (self.loads.get_mut(id.position()), on) {
                *place = Some(VoltageSpan::with(*place, voltage));
            }
        }
    }

    /// Takes back what it says about one system.
    #[cfg(feature = "text")]
    fn forget(&mut self, design: &Design, systems: &Systems, system: System) {
        for drawn in design.drawn() {
            let place = place_of(drawn.thing).and_then(|slot| self.currents.get_mut(slot));
            if let (Some(place), true) = (place, systems.of(drawn.from) == Some(system)) {
                *place = None;
            }
        }
        for (id, load) in design.all::<Load>() {
            let place = self.loads.get_mut(id.position());
            if let (Some(place), true) = (place, systems.of(load.positive) == Some(system)) {
                *place = None;
            }
        }
        match system {
            System::Traction => {
                self.strings.fill(None);
                self.traction = Solved::NotAsked;
            }
            System::LowVoltage => self.low_voltage = Solved::NotAsked,
        }
    }

    /// What is left out of a solved network carries nothing; where there is no
    /// operating point for one state of the cells, that of the other is no answer.
    fn complete(&mut self, design: &Design, systems: &Systems, system: System, end: &Solved) {
        let settled = matches!(end, Solved::Settled { .. });
        for drawn in design.drawn() {
            if systems.of(drawn.from) != Some(system) {
                continue;
            }
            let place = place_of(drawn.thing).and_then(|slot| self.currents.get_mut(slot));
            let Some(place) = place else { continue };
            // A link in a ring of links has a branch and no defined current.
            let always_there = crate::design::carries(drawn.thing.kind);
            if !settled {
                *place = None;
            } else if place.is_none() && !always_there {
                *place = Some(NO_CURRENT);
            }
        }
    }
}

const NO_CURRENT: Current = constant!(Current::from_amperes(0.0));

/// The operating points of all phases.
///
/// Of every thing the current that is larger in magnitude with empty or with full
/// cells; of strings and loads the range of the voltage. About 50 KiB: keep it in a
/// `static` or on the heap.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Points {
    rows: [Row; MAX_PHASES],
    /// Which of the kept currents belong to the low-voltage side.
    low_voltage: [bool; KEPT_CURRENTS],
    /// Of what carries one load alone that load, where nothing says when it works.
    unsaid: [Option<LoadId>; KEPT_CURRENTS],
    series: Series,
}

impl Default for Points {
    fn default() -> Self {
        Self::new()
    }
}

impl Points {
    /// A table without an entry.
    #[allow(clippy::large_stack_arrays)] // the caller puts it where it belongs
    pub const fn new() -> Self {
        Self {
            rows: [Row::NOTHING; MAX_PHASES],
            low_voltage: [false; KEPT_CURRENTS],
            unsaid: [None; KEPT_CURRENTS],
            series: Series::NOTHING,
        }
    }

    /// Computes: the operating points of every phase, both systems, with empty and
    /// with full cells and the highest resistances: most heat, most drop.
    ///
    /// Equation: see [`crate::network`]. Inputs: the temperature of each conductor,
    /// in their order. Bound: phases x 2 systems x 2 states solves.
    pub fn solve(
        &mut self,
        design: &Design,
        workspace: &mut Workspace,
        temperatures: &[Temperature],
    ) {
        let systems = design.systems();
        self.series.find(design);
        for drawn in design.drawn() {
            let low = systems.of(drawn.from) == Some(System::LowVoltage);
            if let Some(place) =
                place_of(drawn.thing).and_then(|slot| self.low_voltage.get_mut(slot))
            {
                *place = low;
            }
        }
        self.find_unsaid(design);
        for row in &mut self.rows {
            *row = Row::NOTHING;
        }
        for system in [System::Traction, System::LowVoltage] {
            self.solve_system(design, &systems, workspace, temperatures, system);
        }
    }

    fn find_unsaid(&mut self, design: &Design) {
        self.unsaid = [None; KEPT_CURRENTS];
        for (id, _) in design.all::<Load>() {
            if !design.never_says_when(id) {
                continue;
            }
            for drawn in design.drawn() {
                let own = crate::design::carries(drawn.thing.kind)
                    && self.series.together(id.into(), drawn.thing);
                let place = place_of(drawn.thing).filter(|_| own);
                if let Some(place) = place.and_then(|slot| self.unsaid.get_mut(slot)) {
                    *place = Some(id);
                }
            }
        }
    }

    /// The operating points of one system again, for a design in which nothing but
    /// resistances of that system has changed since.
    #[cfg(feature = "text")]
    pub(super) fn solve_again(
        &mut self,
        design: &Design,
        workspace: &mut Workspace,
        temperatures: &[Temperature],
        system: System,
    ) {
        let systems = design.systems();
        for row in &mut self.rows {
            row.forget(design, &systems, system);
        }
        self.solve_system(design, &systems, workspace, temperatures, system);
    }

    /// All phases of one system, of which the rows say nothing yet.
    fn solve_system(
        &mut self,
        design: &Design,
        systems: &Systems,
        workspace: &mut Workspace,
        temperatures: &[Temperature],
        system: System,
    ) {
        let strings = design.strings(System::Traction);
        for (row, (phase, _)) in self.rows.iter_mut().zip(design.all::<Phase>()) {
            let mut worst = Solved::NotAsked;
            for charged in STATES {
                let case = Case {
                    system,
                    phase,
                    charged,
                    resisting: Resisting::Highest,
                    heat: Heat::Each(temperatures),
                    supply: Supply::Converter,
                };
                let solved = solve_one(
                    design,
                    &strings,
                    (systems, &self.series),
                    workspace,
                    &case,
                    row,
                )
                .unwrap_or_else(Solved::Unbuildable);
                worst = if worst == Solved::NotAsked {
                    solved
                } else {
                    worst.worse(solved)
                };
                // The low-voltage side does not change with the cells.
                if system == System::LowVoltage && has_converter(design) {
                    break;
                }
            }
            row.complete(design, systems, system, &worst);
            match system {
                System::Traction => row.traction = worst,
                System::LowVoltage => row.low_voltage = worst,
            }
        }
    }

    /// What lies in the same rings, so that one carries what the other does.
    pub(crate) const fn series(&self) -> &Series {
        &self.series
    }

    /// Whether a thing belongs to the low-voltage side.
    pub(crate) fn is_low_voltage(&self, thing: Thing) -> bool {
        let low = place_of(thing).and_then(|slot| self.low_voltage.get(slot));
        low == Some(&true)
    }

    fn row(&self, phase: PhaseId) -> Option<&Row> {
        self.rows.get(phase.position())
    }

    /// The current of a thing in a phase: positive from its first terminal to its
    /// second, through a load and through a battery that is charged from positive to
    /// negative; a discharged battery counts positive. `None` where it is not known. Of a
    /// load that works for a share of the time its mean; conductors, fuses and contacts that
    /// carry nothing but it count as carrying all that it draws while it is on.
    pub fn current(&self, phase: PhaseId, thing: impl Into<Thing>) -> Option<Current> {
        *self.row(phase)?.currents.get(place_of(thing.into())?)?
    }

    /// The same; where it is not known or had to be guessed, what is missing.
    ///
    /// # Errors
    /// [`Unknown::Missing`] with the first thing that had to be guessed, with [`Gap::Fed`] of
    /// the first load that draws in the phase and is not fed, with
    /// [`Gap::WhenDrawn`] of the load that a thing carries alone, or with
    /// [`Gap::Current`] of the phase.
    pub fn known_current(&self, phase: PhaseId, thing: impl Into<Thing>) -> Known<Current> {
        let thing = thing.into();
        let system = if self.is_low_voltage(thing) {
            System::LowVoltage
        } else {
            System::Traction
        };
        if let Solved::Settled { guessed, unfed } = self.solved(phase, system) {
            if let Some(guess) = guessed {
                return Err(Unknown::Missing(guess.thing, guess.gap));
            }
            // What it draws flows somewhere.
            if let Some(load) = unfed.iter().next() {
                return Err(Unknown::missing(load, Gap::Fed));
            }
        }
        let unsaid = place_of(thing).and_then(|slot| *self.unsaid.get(slot)?);
        if let Some(load) = unsaid {
            return Err(Unknown::missing(load, Gap::WhenDrawn));
        }
        self.current(phase, thing)
            .ok_or(Unknown::missing(phase, Gap::Current))
    }

    /// The current of a thing in the phase in which it is largest in magnitude.
    ///
    /// # Errors
    /// As [`Self::known_current`]; [`Gap::Phase`] of the vehicle without a phase.
    pub fn largest(&self, design: &Design, thing: impl Into<Thing>) -> Known<(PhaseId, Current)> {
        let thing = thing.into();
        let mut largest = Err(Unknown::Missing(Thing::VEHICLE, Gap::Phase));
        for (phase, _) in design.all::<Phase>() {
            let current = self.known_current(phase, thing)?;
            let amperes = libm::fabsf(current.as_amperes());
            let more = |known: &(PhaseId, Current)| amperes > libm::fabsf(known.1.as_amperes());
            if largest.as_ref().map_or(true, more) {
                largest = Ok((phase, current));
            }
        }
        largest
    }

    /// The voltage of a string, in the order of [`Design::strings`], in a phase.
    pub fn string(&self, phase: PhaseId, string: usize) -> Option<VoltageSpan> {
        *self.row(phase)?.strings.get(string)?
    }

    /// The voltage at a load in a phase.
    pub fn load(&self, phase: PhaseId, load: LoadId) -> Option<VoltageSpan> {
        *self.row(phase)?.loads.get(load.position())?
    }

    /// How the network of a system ended up in a phase; of empty and full cells the
    /// worse.
    pub fn solved(&self, phase: PhaseId, system: System) -> Solved {
        self.row(phase)
            .map_or(Solved::NotAsked, |row| match system {
                System::Traction => row.traction,
                System::LowVoltage => row.low_voltage,
            })
    }
}

fn has_converter(design: &Design) -> bool {
    design.all::<Converter>().next().is_some()
}

fn solve_one(
    design: &Design,
    strings: &Strings,
    (systems, series): (&Systems, &Series),
    workspace: &mut Workspace,
    case: &Case<'_>,
    row: &mut Row,
) -> Result<Solved, Error> {
    let circuit = Circuit::build_in(design, systems, case)?;
    let point = match workspace.solve(circuit.netlist())? {
        Outcome::Settled(point) => point,
        Outcome::Refused(why) => {
            let thing = to_blame(why).and_then(|branch| circuit.thing(branch));
            return Ok(match (why, thing.and_then(Thing::id)) {
                (Refusal::WrongPolarity { voltage, .. }, Some(load))
                    if voltage.as_volts() < -ROUNDING_V =>
                {
                    Solved::Reversed { load, voltage }
                }
                _ => Solved::Refused { thing, why },
            });
        }
    };
    if let Some(refused) = reversed(design, &circuit, &point) {
        return Ok(refused);
    }
    row.keep(design, &strings.strings, &circuit, &point);
    row.keep_switched_on(design, (case.phase, series), &circuit, &point);
    Ok(Solved::Settled {
        guessed: circuit.guesses().first().copied(),
        unfed: circuit.unfed(),
    })
}

/// The first load that has the wrong polarity.
fn reversed(design: &Design, circuit: &Circuit, point: &OperatingPoint<'_>) -> Option<Solved> {
    design.all::<Load>().find_map(|(load, entry)| {
        let (above, below) = (circuit.node(entry.positive)?, circuit.node(entry.negative)?);
        let voltage = point.voltage(above, below)?;
        (voltage.as_volts() < -ROUNDING_V).then_some(Solved::Reversed { load, voltage })
    })
}

/// What rounding may turn round, V.
const ROUNDING_V: f32 = 0.1;

/// The branch that a refusal names.
const fn to_blame(why: Refusal) -> Option<BranchId> {
    match why {
        Refusal::EmfShorted { branch }
        | Refusal::NoEmf { branch }
        | Refusal::NoReturnPath { branch }
        | Refusal::WrongPolarity { branch, .. } => Some(branch),
        Refusal::CannotBeFed(shortfall) => Some(shortfall.branch),
        Refusal::NotSettled => None,
    }
}
