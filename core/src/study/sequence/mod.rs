//! What happens step by step: charging the link, discharging it, joining strings,
//! closing contactors.
//!
//! Reads a design and the operating points of its phases and calls [`crate::link`] and
//! [`crate::protection`]. What is taken for what:
//!
//! - **Precharge path**: a precharge resistor and the contactors closed with it, as the
//!   first phase that uses it says, else as few as lead from a string through it to a load.
//! - **Main contactor**: one whose closing leads past the resistor.
//! - **Standing load**: what the phase of the precharge says that a load draws, else its
//!   idle draw; bleeds and resistors across the link.
//! - **Link that loses its charge**: loads whose poles stay joined with all contactors open.
//! - **Own contactor of a string**: a main contactor of its precharge path, else one in
//!   series with its batteries.
//!
//! Defaults where nobody states a value: those of [`crate::link`].
//!
//! | file | what it is about |
//! |---|---|
//! | `path` | which contactors and which string belong to a precharge resistor |
//! | `precharge` | time, energy, settling, threshold of each path |
//! | `reached` | whether every capacitor that a contactor reaches has a precharge path |
//! | `discharge` | how each link loses its charge, and what its label has to say |
//! | `joining` | strings in parallel: window, equalising current, a string lost, back-feed |
//! | `make` | what each contactor closes on |
//! | `coil` | whether each coil pulls in and holds |
//! | `string` | the resistance of a string with its own cables |

mod coil;
mod discharge;
mod joining;
mod make;
mod path;
mod precharge;
mod reached;
mod string;

use heapless::Vec;

use super::checked::Checked;
use super::points::Points;
use super::unknown::Known;
use crate::design::{
    Contactor, Design, Joined, Kind, Load, LoadId, MAX_BATTERIES, MAX_CONTACTORS, MAX_LOADS,
    MAX_RESISTORS, Purpose, Resistor, ResistorId, Strings, System, Systems, TerminalId,
};
use crate::quantity::Voltage;
use crate::verdict::Verdict;

pub use coil::CoilStudy;
pub use discharge::{DischargeStudy, MAX_LINKS};
pub use joining::{JoinStudy, ShareStudy, StatedWindow};
pub use make::MakeStudy;
pub use path::PrechargePath;
pub use precharge::PrechargeStudy;
pub use reached::{ReachedCheck, ReachedStudy};

/// Everything that happens step by step.
#[derive(Clone, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct SequenceStudy {
    /// Every precharge resistor.
    pub precharges: Vec<PrechargeStudy, MAX_RESISTORS, u8>,
    /// Every load of the high-voltage side: how its capacitor is charged.
    pub reached: Vec<ReachedStudy, MAX_LOADS, u8>,
    /// Every link that loses its charge by itself.
    pub discharges: Vec<DischargeStudy, MAX_LINKS, u8>,
    /// Whether there are more of them than are kept; then the study is open.
    pub more_links: bool,
    /// Every string that has others in parallel.
    pub joins: Vec<JoinStudy, MAX_BATTERIES, u8>,
    /// Every group of parallel strings.
    pub shares: Vec<ShareStudy, MAX_BATTERIES, u8>,
    /// Every contactor of the high-voltage side: what it closes on.
    pub makes: Vec<MakeStudy, MAX_CONTACTORS, u8>,
    /// Every contactor of the high-voltage side: its coil.
    pub coils: Vec<CoilStudy, MAX_CONTACTORS, u8>,
}

/// What of it can be computed by itself.
#[cfg(feature = "text")]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SequencePart {
    Precharges,
    Discharges,
    Coils,
}

/// What all parts share.
struct Context<'a> {
    design: &'a Design,
    points: &'a Points,
    systems: Systems,
    strings: Strings,
    /// What is one piece of metal with every contactor open.
    opened: Joined,
    /// Highest voltage of the traction battery, charging tolerance included.
    highest: Known<Voltage>,
}

impl<'a> Context<'a> {
    fn new(design: &'a Design, points: &'a Points, highest: Known<Voltage>) -> Self {
        Self {
            design,
            points,
            systems: design.systems(),
            strings: design.strings(System::Traction),
            opened: design.metal(|thing| thing.kind != Kind::Contactor),
            highest,
        }
    }
}

impl Context<'_> {
    fn is_high(&self, terminal: TerminalId) -> bool {
        self.systems.is_high(terminal)
    }

    /// The loads of the high-voltage side.
    fn loads(&self) -> impl Iterator<Item = (LoadId, &Load)> {
        let all = self.design.all::<Load>();
        all.filter(|(_, load)| self.is_high(load.positive))
    }

    /// The resistors of the high-voltage side for a purpose.
    fn resistors(&self, purpose: Purpose) -> impl Iterator<Item = (ResistorId, &Resistor)> {
        let all = self.design.all::<Resistor>();
        all.filter(move |(_, one)| one.purpose == purpose && self.is_high(one.from))
    }

    fn contactors(&self) -> impl Iterator<Item = (crate::design::ContactorId, &Contactor)> {
        let all = self.design.all::<Contactor>();
        all.filter(|(_, contactor)| self.is_high(contactor.from))
    }
}

impl SequenceStudy {
    /// Nothing yet.
    pub const fn new() -> Self {
        Self {
            precharges: Vec::new(),
            reached: Vec::new(),
            discharges: Vec::new(),
            more_links: false,
            joins: Vec::new(),
            shares: Vec::new(),
            makes: Vec::new(),
            coils: Vec::new(),
        }
    }

    /// Computes: everything that happens step by step in a design.
    ///
    /// Inputs: a design that [`Design::check`] finds no fault in, the operating points of
    /// its phases, the highest voltage of its traction battery. Bound: for each precharge
    /// resistor without a phase one search over terminals for each string and load.
    ///
    /// Sources: those of [`crate::link`] and [`crate::protection`].
    pub(super) fn find(&mut self, design: &Design, points: &Points, highest: Known<Voltage>) {
        let context = Context::new(design, points, highest);
        *self = Self::new();
        // Of everything there are as many places as there can be.
        for (id, resistor) in context.resistors(Purpose::Precharge) {
            let _ = self.precharges.push(context.precharge(id, resistor));
        }
        for (id, load) in context.loads() {
            let _ = self
                .reached
                .push(context.reached(id, load, &self.precharges));
        }
        self.more_links = context.discharges(&mut self.discharges);
        context.joins(&self.precharges, &mut self.joins, &mut self.shares);
        for (id, contactor) in context.contactors() {
            let _ = self.makes.push(context.make(id, contactor, self));
            let _ = self.coils.push(context.coil(id, contactor));
        }
    }

    /// Computes one part again, for a design in which nothing but ratings and resistances
    /// of that part has changed since: paths, links and currents are the same.
    #[cfg(feature = "text")]
    pub(super) fn again(
        &mut self,
        design: &Design,
        points: &Points,
        highest: Known<Voltage>,
        part: SequencePart,
    ) {
        let context = Context::new(design, points, highest);
        match part {
            SequencePart::Precharges => {
                for one in &mut self.precharges {
                    if let Some(resistor) = design.get(one.resistor) {
                        *one = context.precharge_over(one.resistor, resistor, one.path.clone());
                    }
                }
            }
            SequencePart::Discharges => {
                self.discharges.clear();
                self.more_links = context.discharges(&mut self.discharges);
            }
            SequencePart::Coils => {
                for one in &mut self.coils {
                    if let Some(contactor) = design.get(one.contactor) {
                        *one = context.coil(one.contactor, contactor);
                    }
                }
            }
        }
    }

    /// Which resistors keep every check of a precharge.
    #[cfg(feature = "text")]
    pub(super) fn resistor_window(
        design: &Design,
        points: &Points,
        highest: Known<Voltage>,
        id: ResistorId,
    ) -> Option<crate::link::ResistorWindow> {
        let context = Context::new(design, points, highest);
        context.resistors_that_hold(id)
    }

    /// The precharge through a resistor.
    pub fn precharge(&self, resistor: ResistorId) -> Option<&PrechargeStudy> {
        self.precharges.iter().find(|one| one.resistor == resistor)
    }

    /// The worst verdict of everything.
    pub fn verdict(&self) -> Verdict {
        let mut worst = if self.more_links {
            Verdict::Open
        } else {
            Verdict::NotApplicable
        };
        for one in &self.precharges {
            worst = one.checks.iter().fold(worst, with);
        }
        for one in &self.reached {
            worst = worst.worse(one.check.verdict());
        }
        for one in &self.discharges {
            worst = worst.worse(one.verdict());
        }
        for one in &self.joins {
            worst = worst.worse(one.window_check.verdict());
            worst = worst.worse(one.sensors_check.verdict());
            worst = worst.worse(one.back_feed.verdict());
        }
        for one in &self.shares {
            worst = one.lost.iter().fold(worst, with);
        }
        for one in &self.makes {
            worst = worst.worse(one.check.verdict());
        }
        for one in &self.coils {
            worst = one.checks.iter().fold(worst, with);
        }
        worst
    }
}

fn with<N>(worst: Verdict, checked: &Checked<N>) -> Verdict {
    worst.worse(checked.verdict())
}
