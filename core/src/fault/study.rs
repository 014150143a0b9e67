//! The faults of a whole design, one at a time.

use heapless::Vec;

use super::bond::{bond_ohms, known_bond_ohms};
use super::enumerate::Faults;
use super::graph::{Extreme, Graph, MAX_FAULT_GAPS};
use super::place::{Fault, FaultKind, Point, Sites, is_closed};
use super::reduced::{Reduced, What};
use super::sequence::{Curves, End, FaultCurrent, Fuses, curves, follow};
use super::surge::{Surge, surge};
use super::transient::{Course, Transient, Watched};
use crate::design::{
    Battery, Design, EnclosureId, FuseId, Gap, Guess, Kind, Load, Phase, PhaseId, System, Terminal,
    TerminalId, Thing,
};
use crate::error::Error;
use crate::network::Workspace;
use crate::quantity::{Current, Time};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// The memory in which faults are solved. Large: keep it in a `static` or on the heap.
/// It carries nothing from one fault to the next.
pub struct FaultWorkspace {
    network: Workspace,
    reduced: Reduced,
    fuses: Fuses,
    transient: Transient,
}

impl Default for FaultWorkspace {
    fn default() -> Self {
        Self::new()
    }
}

impl core::fmt::Debug for FaultWorkspace {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        f.debug_struct("FaultWorkspace").finish_non_exhaustive()
    }
}

impl FaultWorkspace {
    /// An empty workspace.
    pub const fn new() -> Self {
        Self {
            network: Workspace::new(),
            reduced: Reduced::new(),
            fuses: Vec::new(),
            transient: Transient::new(),
        }
    }
}

/// What is judged about one fault.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum FaultCheck {
    /// Current that no fuse guards, A.
    WithoutFuse,
}

/// One fault, at both ends of all ranges.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultResult {
    /// The fault.
    pub fault: Fault,
    /// Largest current.
    pub highest: FaultCurrent,
    /// Smallest current.
    pub lowest: FaultCurrent,
    /// Whether some loop that feeds it meets no fuse at all: the current there, at most,
    /// against none allowed. Source: common practice. Open where a battery is unknown
    /// and nothing else is wrong.
    pub without_fuse: Judged<FaultCheck>,
    /// What was not known, first things first; currents or times that depend on it are
    /// guessed.
    pub gaps: Vec<Guess, MAX_FAULT_GAPS, u8>,
    /// Where the way through chassis is guessed at the smallest current: the box of which
    /// nobody has read or described the bond, or the load or terminal that is in no box. It
    /// counts as the worst bond that is allowed.
    pub guessed_bond: Option<Thing>,
}

impl FaultResult {
    pub(crate) const fn none(fault: Fault) -> Self {
        Self {
            fault,
            highest: FaultCurrent::none(Extreme::Largest),
            lowest: FaultCurrent::none(Extreme::Smallest),
            without_fuse: not_judged(),
            gaps: Vec::new(),
            guessed_bond: None,
        }
    }

    /// Where the way of one of its currents is guessed.
    pub(crate) fn guess_of(&self, current: &FaultCurrent) -> Option<Thing> {
        let smallest = current.extreme == Extreme::Smallest;
        self.guessed_bond.filter(|_| smallest)
    }

    /// Whether some loop that feeds the fault meets no fuse.
    pub fn loop_without_fuse(&self) -> bool {
        self.highest.without_fuse.as_amperes() > 0.0 || self.lowest.without_fuse.as_amperes() > 0.0
    }

    /// The first fuse to open at the largest current, and when it has broken it.
    pub fn first_to_clear(&self) -> Option<(FuseId, Time)> {
        let stage = self.highest.stages.first()?;
        Some((stage.fuse, stage.cleared))
    }

    /// When the fault is off for good, the longer of both currents; `None` where it is
    /// not, or not known to be.
    pub fn cleared_in(&self) -> Option<Time> {
        let time = |current: &FaultCurrent| match current.end {
            End::Cleared(time) => Some(time),
            _ => None,
        };
        let (one, other) = (time(&self.highest)?, time(&self.lowest)?);
        Some(if one > other { one } else { other })
    }

    /// Whether nothing that is known feeds it.
    pub fn is_dead(&self) -> bool {
        self.highest.prospective.as_amperes() == 0.0 && self.highest.end == End::NoCurrent
    }
}

/// The course of a fault, link capacitors included.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultCourse {
    /// Of the fault itself.
    pub fault: Course,
    /// Of each fuse that carries some of it, with the fuse.
    pub fuses: Vec<(FuseId, Course), { super::MAX_CARRIERS }, u8>,
}

/// The faults of the traction side of a design.
///
/// ```
/// use orangeloom_core::design::Design;
/// use orangeloom_core::fault::{FaultStudy, FaultWorkspace};
/// # fn show(design: &Design) -> Result<(), orangeloom_core::error::Error> {
/// let study = FaultStudy::new(design)?;
/// let mut workspace = Box::new(FaultWorkspace::new());
/// for fault in study.faults(design) {
///     let result = study.solve(design, &mut workspace, fault)?;
///     if result.loop_without_fuse() {
///         // nothing but the cable ends this one
///     }
/// }
/// # Ok(())
/// # }
/// # show(&Design::new(orangeloom_core::insulation::Domain::Road)).unwrap();
/// ```
#[derive(Clone, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct FaultStudy {
    phase: Option<PhaseId>,
    sites: Option<Sites>,
    largest: Graph,
    smallest: Graph,
    /// Whether both have the same things between the same terminals.
    drawn_alike: bool,
}

impl FaultStudy {
    /// Reads a design, in the phase in which closed metal joins most terminals to traction
    /// batteries, of several the one with most contactors closed, then the first: there
    /// most sources are joined. A design without a phase has no faults here.
    ///
    /// # Errors
    /// Those of the computed quantities; [`crate::error::Capacity::NetworkBranches`];
    /// [`crate::error::Inconsistency::UnknownReference`] for what
    /// [`Design::check`] reports.
    pub fn new(design: &Design) -> Result<Self, Error> {
        let mut most: Option<((usize, usize), PhaseId)> = None;
        for (id, phase) in design.all::<Phase>() {
            let reach = (live_terminals(design, phase), phase.closed.len());
            if most.is_none_or(|(known, _)| reach > known) {
                most = Some((reach, id));
            }
        }
        match most {
            Some((_, phase)) => Self::in_phase(design, phase),
            None => Ok(Self {
                phase: None,
                sites: None,
                largest: Graph::empty(),
                smallest: Graph::empty(),
                drawn_alike: true,
            }),
        }
    }

    /// Reads a design in one phase.
    ///
    /// # Errors
    /// Those of [`Self::new`].
    pub fn in_phase(design: &Design, phase: PhaseId) -> Result<Self, Error> {
        let sites = Sites::new(design, phase)?;
        let mut study = Self {
            phase: Some(phase),
            largest: Graph::build(design, &sites, phase, Extreme::Largest)?,
            smallest: Graph::build(design, &sites, phase, Extreme::Smallest)?,
            sites: Some(sites),
            drawn_alike: false,
        };
        study.drawn_alike = study.smallest.is_drawn_as(&study.largest);
        Ok(study)
    }

    /// The phase whose contactors are closed.
    pub const fn phase(&self) -> Option<PhaseId> {
        self.phase
    }

    /// Every fault that is looked at, in an order that depends on nothing but the design.
    ///
    /// | kind | between |
    /// |---|---|
    /// | [`super::FaultKind::AtBox`] | two terminals of one place at which conductors leave it |
    /// | [`super::FaultKind::OnRoute`] | the middles of two conductors that leave one place |
    /// | [`super::FaultKind::ThroughChassis`] | two terminals of different places at which conductors leave |
    ///
    /// A place is a box, or what devices and loads join outside of boxes. Both ends of a
    /// conductor are terminals of a place, so each pair is shorted at both its ends.
    /// Points that closed metal joins are left out: there is no voltage between them.
    pub fn faults<'a>(&'a self, design: &'a Design) -> impl Iterator<Item = Fault> + 'a {
        self.sites
            .iter()
            .flat_map(move |sites| Faults::new(design, sites))
    }

    /// The box at which a point lies; `None` in the middle of a conductor and outside
    /// of boxes.
    pub fn enclosure(&self, design: &Design, point: Point) -> Option<EnclosureId> {
        let terminal = point.terminal(design)?;
        self.sites.as_ref()?.enclosure(design, terminal)
    }

    /// Solves one fault.
    ///
    /// **Computes** prospective current, time constant, what carries and feeds it, what
    /// no fuse guards, and which fuse opens after which, at the largest and at the
    /// smallest current ([`Extreme`]). Steady direct current by [`crate::network`]; the
    /// rise as I (1 - exp(-t/tau)) with one tau for all; melting from the latest side of
    /// each curve; the current steps when a fuse has opened. Link capacitors make the
    /// beginning larger and the melting earlier, and are left out here: see
    /// [`Self::course`].
    ///
    /// **Bound**: one solve, one with every fuse open, and one for each fuse that opens.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] when a result lies outside its row of [`crate::bounds`];
    /// [`crate::error::Capacity::NetworkNodes`]; those of
    /// [`crate::protection::MeltingCurve::new`];
    /// [`crate::error::Inconsistency::UnknownReference`] for a fault of another design.
    pub fn solve(
        &self,
        design: &Design,
        workspace: &mut FaultWorkspace,
        fault: Fault,
    ) -> Result<FaultResult, Error> {
        let mut result = FaultResult::none(fault);
        self.solve_into(design, &curves(design), workspace, fault, &mut result)?;
        Ok(result)
    }

    /// The same with curves that were read once, into memory that is there: a result takes
    /// about 35 kB.
    ///
    /// # Errors
    /// Those of [`Self::solve`]; what is in the result then means nothing.
    pub(crate) fn solve_into(
        &self,
        design: &Design,
        curves: &Curves,
        workspace: &mut FaultWorkspace,
        fault: Fault,
        result: &mut FaultResult,
    ) -> Result<(), Error> {
        result.fault = fault;
        result.gaps.clear();
        result.guessed_bond = self.guessed_bond(design, fault);
        let FaultResult {
            highest,
            lowest,
            gaps,
            ..
        } = result;
        let mut loaded = false;
        for current in [&mut *highest, &mut *lowest] {
            let graph = self.graph(current.extreme);
            let chassis = self.chassis(design, fault, current.extreme);
            if loaded && self.drawn_alike {
                workspace.reduced.load_values(graph, chassis)?;
            } else {
                workspace
                    .reduced
                    .load(design, graph, fault, chassis, false)?;
                workspace.reduced.build()?;
                loaded = true;
            }
            self.at(design, curves, workspace, current, gaps)?;
        }
        let amperes = libm::fmaxf(
            highest.without_fuse.as_amperes(),
            lowest.without_fuse.as_amperes(),
        );
        let unknown = gaps.iter().any(|guess| feeds(guess.gap))
            || [highest.end, lowest.end].contains(&End::NoSolution);
        result.without_fuse = if unknown && amperes <= 0.0 {
            not_judged()
        } else {
            let (name, source) = (FaultCheck::WithoutFuse, SourceId::CommonPractice);
            Judged::compare(name, amperes, Side::AtMost, 0.0, source)
        };
        Ok(())
    }

    /// Follows the fault that is loaded.
    fn at(
        &self,
        design: &Design,
        curves: &Curves,
        workspace: &mut FaultWorkspace,
        current: &mut FaultCurrent,
        gaps: &mut Vec<Guess, MAX_FAULT_GAPS, u8>,
    ) -> Result<(), Error> {
        let graph = self.graph(current.extreme);
        let FaultWorkspace {
            network,
            reduced,
            fuses,
            ..
        } = workspace;
        for guess in &graph.guesses {
            let part = |what: &What| *what == What::Thing(guess.thing);
            let concerns = feeds(guess.gap) || reduced.parts.iter().any(|p| part(&p.what));
            if concerns && !gaps.contains(guess) {
                // Beyond the limit the first ones tell.
                let _ = gaps.push(*guess);
            }
        }
        follow(design, curves, reduced, network, fuses, current)
    }

    /// Ohms of the way through chassis: both bonds in the smallest fault, none in the
    /// largest.
    fn chassis(&self, design: &Design, fault: Fault, extreme: Extreme) -> f32 {
        match (fault.kind, extreme) {
            (FaultKind::ThroughChassis, Extreme::Smallest) => {
                let bond = |point| bond_ohms(design, self.enclosure(design, point));
                bond(fault.one) + bond(fault.other)
            }
            _ => 0.0,
        }
    }

    /// See [`FaultResult::guessed_bond`].
    fn guessed_bond(&self, design: &Design, fault: Fault) -> Option<Thing> {
        if fault.kind != FaultKind::ThroughChassis {
            return None;
        }
        let guessed = |point: Point| {
            let enclosure = self.enclosure(design, point);
            let unknown = known_bond_ohms(design, enclosure).is_none();
            // Who knows no box names the device at the terminal.
            let device = |terminal: TerminalId| {
                let mut loads = design.all::<Load>();
                let of = |load: &Load| [load.positive, load.negative].contains(&terminal);
                let found = loads.find(|(_, load)| of(load));
                found.map_or(terminal.into(), |(id, _)| Thing::from(id))
            };
            let outside = || point.terminal(design).map(device);
            let at = enclosure.map(Thing::from).or_else(outside);
            at.filter(|_| unknown)
        };
        guessed(fault.one).or_else(|| guessed(fault.other))
    }

    const fn graph(&self, extreme: Extreme) -> &Graph {
        match extreme {
            Extreme::Largest => &self.largest,
            Extreme::Smallest => &self.smallest,
        }
    }

    /// Computes: what charged link capacitors drive through a fuse or contactor into a
    /// bolted short circuit beside it: from its first terminal to its second, and the
    /// other way. Lowest resistances; nothing for an open contactor and for other things.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] when a result lies outside its row of [`crate::bounds`].
    pub fn surges(&self, design: &Design, thing: Thing) -> Result<[Surge; 2], Error> {
        let mut drawn = design.drawn().filter(|drawn| drawn.thing == thing);
        // An open contactor carries nothing.
        let carries = self.largest.edges.iter().any(|edge| edge.thing == thing);
        let of_kind = matches!(thing.kind, Kind::Fuse | Kind::Contactor) && carries;
        let (Some(sites), Some(drawn), true) = (&self.sites, drawn.next(), of_kind) else {
            return Ok([Surge::NONE; 2]);
        };
        let through = |ends| surge(design, &self.largest, sites, thing, ends);
        Ok([
            through([drawn.from, drawn.to])?,
            through([drawn.to, drawn.from])?,
        ])
    }

    /// Computes: the course of a fault from its beginning to a time, with the link
    /// capacitors that reach it, charged to the voltage before the fault; no fuse opens.
    ///
    /// Every conductor and battery with its own inductance ([`super::Transient`]); each
    /// capacitor with [`super::LINK_RESISTANCE`] and [`super::LINK_INDUCTANCE`]. Load
    /// currents before the fault are left out. `None` where nothing feeds it.
    ///
    /// # Errors
    /// Those of [`Self::solve`] and of [`Transient::run`].
    pub fn course(
        &self,
        design: &Design,
        workspace: &mut FaultWorkspace,
        fault: Fault,
        extreme: Extreme,
        until: Time,
    ) -> Result<Option<FaultCourse>, Error> {
        let FaultWorkspace {
            reduced, transient, ..
        } = workspace;
        let chassis = self.chassis(design, fault, extreme);
        reduced.load(design, self.graph(extreme), fault, chassis, true)?;
        if reduced.fault().is_none() {
            return Ok(None);
        }
        transient.clear();
        let mut watched: Vec<Watched, { super::MAX_WATCHED }> = Vec::new();
        let mut fuses: Vec<FuseId, { super::MAX_CARRIERS }> = Vec::new();
        // The fault first; its part is the last one.
        let last = reduced.parts.len().saturating_sub(1);
        let _ = watched.push(Watched::new(last));
        for part in &reduced.parts {
            let number = transient.add_part(part)?;
            // Fuses beyond the limit are not listed.
            if let Some(fuse) = part.fuse()
                && fuses.push(fuse).is_ok()
            {
                // There is one place more than fuses.
                let _ = watched.push(number);
            }
        }
        let mut courses = [Course::NONE; super::MAX_WATCHED];
        transient.run(&watched, until, &mut courses)?;
        let [first, others @ ..] = courses;
        let mut course = FaultCourse {
            fault: first,
            fuses: Vec::new(),
        };
        for (fuse, of_fuse) in fuses.iter().zip(others) {
            if of_fuse.peak > NOTHING {
                let _ = course.fuses.push((*fuse, of_fuse));
            }
        }
        Ok(Some(course))
    }
}

const NOTHING: Current = constant!(Current::from_amperes(0.0));

/// What no fuse guards is not known.
const fn not_judged() -> Judged<FaultCheck> {
    let (name, source) = (FaultCheck::WithoutFuse, SourceId::CommonPractice);
    Judged::open(name, None, Side::AtMost, Some(0.0), source)
}

/// Whether a gap leaves a battery out of the network.
const fn feeds(gap: Gap) -> bool {
    matches!(gap, Gap::CellVoltage | Gap::CellResistance)
}

/// How many terminals closed metal joins to a traction battery.
fn live_terminals(design: &Design, phase: &Phase) -> usize {
    let metal = design.metal(|thing| is_closed(design, phase, thing));
    let live = |terminal: TerminalId| {
        design.all::<Battery>().any(|(_, battery)| {
            battery.system == System::Traction
                && (metal.together(battery.positive, terminal)
                    || metal.together(battery.negative, terminal))
        })
    };
    design.all::<Terminal>().filter(|(id, _)| live(*id)).count()
}
