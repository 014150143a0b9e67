//! The current of every conductor in every phase.

use crate::design::{
    Case, Charged, Circuit, Conductor, ConductorId, Design, Heat, Index, LoadId, MAX_CONDUCTORS,
    MAX_PHASES, Phase, PhaseId, Resisting, Set, Supply, System, Thing,
};
use crate::error::Error;
use crate::network::{Outcome, Refusal, Workspace};
use crate::quantity::{Current, Temperature};

/// How the network of one system ended up in one phase.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Solved {
    /// It was not asked for.
    NotAsked,
    /// It has an operating point.
    Settled {
        /// How much had to be guessed; above zero, everything that follows is open.
        guessed: usize,
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
    /// It could not be built.
    Unbuildable(Error),
}

/// Currents of all conductors in all phases: rows for phases, columns for conductors.
///
/// About 13 KiB: keep it in a `static` or on the heap.
#[derive(Clone, Debug, PartialEq)]
pub struct Currents {
    rows: [[Option<Current>; MAX_CONDUCTORS]; MAX_PHASES],
    traction: [Solved; MAX_PHASES],
    low_voltage: [Solved; MAX_PHASES],
}

impl Default for Currents {
    fn default() -> Self {
        Self::new()
    }
}

impl Currents {
    /// A table without an entry.
    pub const fn new() -> Self {
        Self {
            rows: [[None; MAX_CONDUCTORS]; MAX_PHASES],
            traction: [Solved::NotAsked; MAX_PHASES],
            low_voltage: [Solved::NotAsked; MAX_PHASES],
        }
    }

    /// Computes: the currents of every phase, both systems, at one temperature of
    /// all conductors and with the highest resistances: most heat.
    ///
    /// Equation: see [`crate::network`]. Bound: phases x 2 solves.
    pub fn solve(
        &mut self,
        design: &Design,
        workspace: &mut Workspace,
        charged: Charged,
        temperature: Temperature,
    ) {
        *self = Self::new();
        for (phase, _) in design.all::<Phase>() {
            for system in [System::Traction, System::LowVoltage] {
                let case = Case {
                    system,
                    phase,
                    charged,
                    resisting: Resisting::Highest,
                    heat: Heat::All(temperature),
                    supply: Supply::Converter,
                };
                let solved = self
                    .solve_one(design, workspace, &case)
                    .unwrap_or_else(Solved::Unbuildable);
                let ends = match system {
                    System::Traction => &mut self.traction,
                    System::LowVoltage => &mut self.low_voltage,
                };
                if let Some(end) = ends.get_mut(phase.position()) {
                    *end = solved;
                }
            }
        }
    }

    fn solve_one(
        &mut self,
        design: &Design,
        workspace: &mut Workspace,
        case: &Case<'_>,
    ) -> Result<Solved, Error> {
        let circuit = Circuit::build(design, case)?;
        let point = match workspace.solve(circuit.netlist())? {
            Outcome::Settled(point) => point,
            Outcome::Refused(why) => {
                let thing = to_blame(why).and_then(|branch| circuit.thing(branch));
                return Ok(Solved::Refused { thing, why });
            }
        };
        if let Some(row) = self.rows.get_mut(case.phase.position()) {
            for (id, _) in design.all::<Conductor>() {
                let branch = circuit.branch(id);
                if let (Some(place), Some(branch)) = (row.get_mut(id.position()), branch) {
                    *place = point.current(branch);
                }
            }
        }
        Ok(Solved::Settled {
            guessed: circuit.guess_count(),
            unfed: circuit.unfed(),
        })
    }

    /// The current of a conductor in a phase, positive from its first end to its
    /// second; `None` where it is not known.
    pub fn of(&self, phase: PhaseId, conductor: ConductorId) -> Option<Current> {
        *self.rows.get(phase.position())?.get(conductor.position())?
    }

    /// How the network of a system ended up in a phase.
    pub fn solved(&self, phase: PhaseId, system: System) -> Solved {
        let ends = match system {
            System::Traction => &self.traction,
            System::LowVoltage => &self.low_voltage,
        };
        ends.get(phase.position())
            .copied()
            .unwrap_or(Solved::NotAsked)
    }
}

/// The branch that a refusal names.
const fn to_blame(why: Refusal) -> Option<crate::network::BranchId> {
    match why {
        Refusal::EmfShorted { branch }
        | Refusal::NoEmf { branch }
        | Refusal::NoReturnPath { branch }
        | Refusal::WrongPolarity { branch, .. } => Some(branch),
        Refusal::CannotBeFed(shortfall) => Some(shortfall.branch),
        Refusal::NotSettled => None,
    }
}
