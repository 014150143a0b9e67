//! The part of a network that can carry the current of one fault, solved.

use heapless::Vec;

use super::graph::{Edge, Graph, Link};
use super::place::{Along, Fault, Point};
use crate::design::{
    Conductor, Design, EntryId, Fuse, FuseId, Index, LoadId, MAX_LOADS, MAX_TERMINALS, TerminalId,
    Thing,
};
use crate::error::{Capacity, Error, Inconsistency};
use crate::network::{
    BranchId, Element, MAX_BRANCHES, MAX_NODES, Netlist, Node, Outcome, Workspace,
};
use crate::quantity::{Resistance, Voltage};

/// Branches: those of the network, two halves more, the capacitors, the fault.
pub(super) const MAX_PARTS: usize = MAX_BRANCHES + 2 + MAX_LOADS + 1;

const _: () = assert!(MAX_PARTS <= u8::MAX as usize);

/// Points: terminals and two middles.
pub(super) const MAX_POINTS: usize = MAX_TERMINALS + 2;

/// Currents below this part of the largest of their network are rounding.
pub(super) const ROUNDING: f64 = 1.0e-9;

/// What a part is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum What {
    /// Something of the design.
    Thing(Thing),
    /// The link capacitor of a load.
    Link(LoadId),
    /// The fault itself.
    Fault,
}

/// A branch between two points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub(super) what: What,
    pub(super) from: u8,
    pub(super) to: u8,
    pub(super) ohms: f32,
    pub(super) volts: f32,
    pub(super) henries: f32,
    pub(super) farads: f32,
    /// The edge of the graph that it is, and its share of that; none of another part.
    edge: Option<(u16, f32)>,
    /// Its chain in the netlist, once that is built, and whether it lies in it forwards.
    pub(super) chain: Option<(u8, bool)>,
}

/// Parts in series.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chain {
    pub(super) ohms: f64,
    volts: f64,
    pub(super) henries: f64,
    /// How many of its parts are open.
    open: u8,
    /// Its branch; none for a ring.
    branch: Option<BranchId>,
    /// Current of a ring, A.
    current: f64,
}

/// Currents of one solve: of each chain, because all parts of it carry the same.
#[derive(Clone, Debug)]
pub(super) struct Flow {
    /// A, forwards; NaN where the sharing is not defined.
    pub(super) chains: Vec<f64, MAX_PARTS>,
    /// The largest amount of all that are defined.
    largest: f64,
}

impl Flow {
    const fn none() -> Self {
        Self {
            chains: Vec::new(),
            largest: 0.0,
        }
    }

    fn clear(&mut self) {
        self.chains.clear();
        self.largest = 0.0;
    }

    fn push(&mut self, amperes: f64) {
        // As many places as parts, and no more chains than these.
        let _ = self.chains.push(amperes);
        // NaN is not larger.
        self.largest = amperes.abs().max(self.largest);
    }

    /// Of a part, A, from its first end to its second; NaN where it is not defined.
    pub(super) fn of(&self, part: &Part) -> f64 {
        let amperes = part.chain.and_then(|(chain, forwards)| {
            let amperes = *self.chains.get(usize::from(chain))?;
            Some(if forwards { amperes } else { -amperes })
        });
        amperes.unwrap_or(f64::NAN)
    }

    /// What is rounding beside the largest current.
    pub(super) fn floor(&self) -> f64 {
        ROUNDING * self.largest
    }
}

impl Chain {
    fn element(&self) -> Result<Element, Error> {
        if self.open > 0 {
            return Ok(Element::Open);
        }
        let resistance = Resistance::from_ohms(narrow(self.ohms))?;
        if self.volts == 0.0 {
            return Ok(Element::Resistance(resistance));
        }
        Ok(Element::Emf {
            emf: Voltage::from_volts(narrow(self.volts))?,
            resistance,
        })
    }
}

impl Part {
    /// The fuse that it is.
    pub(super) fn fuse(&self) -> Option<FuseId> {
        self.id()
    }

    /// Whether it is one of the two halves of a conductor with the fault in its middle.
    pub(super) fn is_half(&self) -> bool {
        self.edge.is_some_and(|(_, share)| share < 1.0)
    }

    /// The entry of a kind that it is.
    pub(super) fn id<I: EntryId>(&self) -> Option<I> {
        match self.what {
            What::Thing(thing) => thing.id(),
            _ => None,
        }
    }
}

/// What is left of a network when everything that can carry no fault current is gone.
#[derive(Debug)]
pub(super) struct Reduced {
    /// The fault is the last one; none where no loop contains it.
    pub(super) parts: Vec<Part, MAX_PARTS>,
    netlist: Netlist,
    pub(super) chains: Vec<Chain, MAX_PARTS>,
    /// Whether anything but fuses joins the two ends of the fault; known once it is built.
    pub(super) joined_without_fuse: bool,
    /// What the last solve found.
    pub(super) flow: Flow,
}

impl Reduced {
    pub(super) const fn new() -> Self {
        Self {
            parts: Vec::new(),
            netlist: Netlist::new(),
            chains: Vec::new(),
            joined_without_fuse: false,
            flow: Flow::none(),
        }
    }

    /// Takes the network in, with the fault, and leaves out what has no loop through it.
    #[inline(never)] // its rooms are given back before the fault is followed
    pub(super) fn load(
        &mut self,
        design: &Design,
        graph: &Graph,
        fault: Fault,
        chassis: f32,
        with_links: bool,
    ) -> Result<(), Error> {
        self.parts.clear();
        self.flow.clear();
        let ends = [point(design, fault.one, 0)?, point(design, fault.other, 1)?];
        for (edge, at) in graph.edges.iter().zip(0..) {
            let split = [fault.one, fault.other]
                .into_iter()
                .position(|p| p.along == Along::Middle && Thing::from(p.conductor) == edge.thing);
            match split.and_then(|which| ends.get(which)) {
                Some(&middle) => {
                    let half = part(edge, (at, 0.5))?;
                    self.push(Part { to: middle, ..half })?;
                    self.push(Part {
                        from: middle,
                        ..half
                    })?;
                }
                None => self.push(part(edge, (at, 1.0))?)?,
            }
        }
        if with_links {
            for link in &graph.links {
                self.push(capacitor(graph, *link)?)?;
            }
        }
        let [from, to] = ends;
        if from == to {
            self.parts.clear();
            return Ok(());
        }
        self.push(Part {
            what: What::Fault,
            from,
            to,
            ohms: chassis,
            volts: 0.0,
            henries: 0.0,
            farads: 0.0,
            edge: None,
            chain: None,
        })?;
        self.prune();
        Ok(())
    }

    /// Takes the same fault in again, without links, in a network that differs in its
    /// values only: [`Graph::is_drawn_as`] the one that was loaded and built.
    pub(super) fn load_values(&mut self, graph: &Graph, chassis: f32) -> Result<(), Error> {
        self.flow.clear();
        for part in &mut self.parts {
            if part.what == What::Fault {
                part.ohms = chassis;
            }
            if let Some((at, share)) = part.edge
                && let Some(edge) = graph.edges.get(usize::from(at))
            {
                part.ohms = share * edge.ohms;
                part.volts = edge.volts;
                part.henries = share * edge.henries;
            }
        }
        self.enter()
    }

    fn push(&mut self, part: Part) -> Result<(), Error> {
        let full = Error::Capacity(Capacity::NetworkBranches);
        self.parts.push(part).map_err(|_| full)
    }

    /// Takes out branches that lead nowhere, again and again, and islands without the
    /// fault. Bound: branches squared.
    fn prune(&mut self) {
        let mut degree = [0_u16; MAX_POINTS];
        for part in &self.parts {
            change(&mut degree, part.from, 1);
            change(&mut degree, part.to, 1);
        }
        for _ in 0..MAX_PARTS {
            let before = self.parts.len();
            self.parts.retain(|part| {
                let dead = of(&degree, part.from) < 2 || of(&degree, part.to) < 2;
                if dead {
                    change(&mut degree, part.from, -1);
                    change(&mut degree, part.to, -1);
                }
                !dead
            });
            if self.parts.len() == before {
                break;
            }
        }
        let Some(fault) = self.fault().copied() else {
            self.parts.clear();
            return;
        };
        let mut reached = [0_u16; MAX_POINTS];
        change(&mut reached, fault.from, 1);
        for _ in 0..MAX_PARTS {
            let mut grew = false;
            for part in &self.parts {
                let (from, to) = (of(&reached, part.from), of(&reached, part.to));
                if (from == 0) != (to == 0) {
                    change(&mut reached, if from == 0 { part.from } else { part.to }, 1);
                    grew = true;
                }
            }
            if !grew {
                break;
            }
        }
        self.parts.retain(|part| of(&reached, part.from) > 0);
    }

    /// The fault, if a loop leads through it.
    pub(super) fn fault(&self) -> Option<&Part> {
        self.parts.last().filter(|part| part.what == What::Fault)
    }

    /// Makes the netlist of what is left, one branch for all parts in series.
    ///
    /// Bound: parts.
    #[inline(never)] // likewise
    pub(super) fn build(&mut self) -> Result<(), Error> {
        self.netlist.clear();
        self.chains.clear();
        let mut degree = [0_u16; MAX_POINTS];
        let mut meet = [[0_u8; 2]; MAX_POINTS];
        for (part, number) in self.parts.iter_mut().zip(0_u8..) {
            part.chain = None;
            for end in [part.from, part.to] {
                change(&mut degree, end, 1);
                if let Some([earlier, latest]) = meet.get_mut(usize::from(end)) {
                    (*earlier, *latest) = (*latest, number);
                }
            }
        }
        // The fault stays a branch of its own.
        if let Some(fault) = self.fault().copied() {
            change(&mut degree, fault.from, 2);
            change(&mut degree, fault.to, 2);
        }
        let mut nodes = [None; MAX_POINTS];
        for number in 0..self.parts.len() {
            if self
                .parts
                .get(number)
                .is_some_and(|part| part.chain.is_none())
            {
                self.gather(number, &degree, &meet, &mut nodes)?;
            }
        }
        self.joined_without_fuse = self.is_joined_without_fuse();
        self.enter()
    }

    /// Enters the values of all parts. Capacitors are open: no steady current.
    fn enter(&mut self) -> Result<(), Error> {
        for chain in &mut self.chains {
            (chain.ohms, chain.volts, chain.henries, chain.open) = (0.0, 0.0, 0.0, 0);
        }
        for part in &self.parts {
            let Some((chain, forwards)) = part.chain else {
                continue;
            };
            if let Some(chain) = self.chains.get_mut(usize::from(chain)) {
                chain.ohms += f64::from(part.ohms);
                chain.volts += f64::from(part.volts) * if forwards { 1.0 } else { -1.0 };
                chain.henries += f64::from(part.henries);
                chain.open += u8::from(part.farads > 0.0);
            }
        }
        for chain in &mut self.chains {
            match chain.branch {
                Some(branch) => self.netlist.set_element(branch, chain.element()?)?,
                // A ring that hangs on one point drives its own current.
                None if chain.open == 0 && chain.ohms > 0.0 => {
                    chain.current = chain.volts / chain.ohms;
                }
                None => chain.current = 0.0,
            }
        }
        Ok(())
    }

    /// Makes a branch of a part and of all that is in series with it, open as yet.
    fn gather(
        &mut self,
        first: usize,
        degree: &[u16; MAX_POINTS],
        meet: &[[u8; 2]; MAX_POINTS],
        nodes: &mut [Option<Node>; MAX_POINTS],
    ) -> Result<(), Error> {
        let Some(start) = self.parts.get(first).copied() else {
            return Ok(());
        };
        let mut chain = Chain {
            ohms: 0.0,
            volts: 0.0,
            henries: 0.0,
            open: 0,
            branch: None,
            current: 0.0,
        };
        let number = u8::try_from(self.chains.len())
            .map_err(|_| Error::Capacity(Capacity::NetworkBranches))?;
        if let Some(part) = self.parts.get_mut(first) {
            part.chain = Some((number, true));
        }
        // Both ways out of the first part, until more than two parts meet.
        let mut ends = [start.from, start.to];
        for (side, end) in ends.iter_mut().enumerate() {
            let mut last = first;
            for _ in 0..MAX_PARTS {
                // Of a point where two parts meet both are known.
                let at = meet.get(usize::from(*end));
                let Some(at) = at.filter(|_| of(degree, *end) == 2) else {
                    break;
                };
                let here = *end;
                let [one, other] = at.map(usize::from);
                last = if one == last { other } else { one };
                let next = self.parts.get_mut(last);
                let Some(next) = next.filter(|next| next.chain.is_none()) else {
                    break;
                };
                // Away from the second end the chain goes on forwards.
                let forwards = (next.from == here) == (side == 1);
                next.chain = Some((number, forwards));
                *end = if next.from == here {
                    next.to
                } else {
                    next.from
                };
            }
        }
        let [from, to] = ends;
        if from != to {
            let [from, to] = [self.node(from, nodes)?, self.node(to, nodes)?];
            chain.branch = Some(self.netlist.add_branch(from, to, Element::Open)?);
        }
        let full = Error::Capacity(Capacity::NetworkBranches);
        self.chains.push(chain).map_err(|_| full)
    }

    fn node(&mut self, point: u8, nodes: &mut [Option<Node>; MAX_POINTS]) -> Result<Node, Error> {
        let known = nodes.get_mut(usize::from(point));
        let known = known.ok_or(Error::Inconsistent(Inconsistency::UnknownNode))?;
        let node = match *known {
            Some(node) => node,
            None => self.netlist.add_node()?,
        };
        *known = Some(node);
        Ok(node)
    }

    /// Opens a part or closes it again; once for each time that it was opened.
    pub(super) fn switch(&mut self, part: usize, closed: bool) -> Result<(), Error> {
        let chain = self.parts.get(part).and_then(|part| part.chain);
        let Some(chain) = chain.and_then(|(c, _)| self.chains.get_mut(usize::from(c))) else {
            return Ok(());
        };
        chain.open = if closed {
            chain.open.saturating_sub(1)
        } else {
            chain.open.saturating_add(1)
        };
        match chain.branch {
            Some(branch) => self.netlist.set_element(branch, chain.element()?),
            None => Ok(()),
        }
    }

    /// Solves for all currents and gives the voltage across one of them if
    /// that is the open one of those in series, zero where its ends belong to different
    /// islands; `None` without a solution.
    pub(super) fn solve(
        &mut self,
        workspace: &mut Workspace,
        across: Option<usize>,
    ) -> Result<Option<f64>, Error> {
        self.flow.clear();
        let Outcome::Settled(point) = workspace.solve(&self.netlist)? else {
            return Ok(None);
        };
        for chain in &self.chains {
            self.flow.push(match chain.branch {
                Some(branch) => point.amperes(branch).unwrap_or(f64::NAN),
                None if chain.open == 0 => chain.current,
                None => 0.0,
            });
        }
        let chain = across.and_then(|part| self.parts.get(part)?.chain);
        let chain = chain.and_then(|(chain, _)| self.chains.get(usize::from(chain)));
        let volts = match chain.map(|chain| (chain.branch, chain.volts)) {
            Some((Some(branch), own)) => {
                let ends = self.netlist.branch(branch)?;
                point.volts(ends.from, ends.to).map(|volts| volts + own)
            }
            Some((None, own)) => Some(own),
            None => None,
        };
        Ok(Some(volts.unwrap_or(0.0)))
    }

    fn is_joined_without_fuse(&self) -> bool {
        let mut joins = [true; MAX_PARTS];
        for part in &self.parts {
            let closed = part.fuse().is_none() && part.what != What::Fault && part.farads <= 0.0;
            let chain = part.chain.map(|(chain, _)| usize::from(chain));
            if let (false, Some(joins)) = (closed, chain.and_then(|chain| joins.get_mut(chain))) {
                *joins = false;
            }
        }
        let branch = |chain: &Chain| self.netlist.branch(chain.branch?).ok();
        let Some(fault) = self.of_fault(&self.chains).as_ref().and_then(branch) else {
            return false;
        };
        let mut reached = [false; MAX_NODES];
        let at = |reached: &[bool], node: Node| reached.get(node.index()) == Some(&true);
        let reach = |reached: &mut [bool], node: Node| {
            if let Some(place) = reached.get_mut(node.index()) {
                *place = true;
            }
        };
        reach(&mut reached, fault.from);
        for _ in 0..MAX_PARTS {
            let mut grew = false;
            let chains = self.chains.iter().zip(joins).filter(|(_, joins)| *joins);
            for ends in chains.filter_map(|(chain, _)| branch(chain)) {
                if at(&reached, ends.from) != at(&reached, ends.to) {
                    reach(&mut reached, ends.from);
                    reach(&mut reached, ends.to);
                    grew = true;
                }
            }
            if !grew {
                break;
            }
        }
        at(&reached, fault.to)
    }

    /// The chain of the fault, which has no other part.
    pub(super) fn chain_of_fault(&self) -> Option<usize> {
        let (chain, _) = self.fault()?.chain?;
        Some(usize::from(chain))
    }

    /// What a list of one value a chain has for that of the fault.
    pub(super) fn of_fault<T: Copy>(&self, chains: &[T]) -> Option<T> {
        chains.get(self.chain_of_fault()?).copied()
    }

    /// The current of the fault, A.
    pub(super) fn fault_current(&self) -> f64 {
        self.of_fault(&self.flow.chains).unwrap_or(0.0)
    }

    /// The current of a part by its number, A; zero where there is none of that number.
    pub(super) fn current(&self, part: usize) -> f64 {
        self.current_in(&self.flow, part)
    }

    /// The same in another solve.
    pub(super) fn current_in(&self, flow: &Flow, part: usize) -> f64 {
        self.parts.get(part).map_or(0.0, |part| flow.of(part))
    }
}

#[allow(clippy::cast_possible_truncation)] // to the precision of the quantities
fn narrow(value: f64) -> f32 {
    value as f32
}

/// The number of a terminal as a point.
fn number(terminal: TerminalId) -> Result<u8, Error> {
    let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
    u8::try_from(terminal.position()).map_err(|_| unknown)
}

/// The number of the point that a fault is at: a terminal or one of the two middles.
#[allow(clippy::cast_possible_truncation)] // 146 points
fn point(design: &Design, point: Point, which: u8) -> Result<u8, Error> {
    let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
    let conductor: &Conductor = design.get(point.conductor).ok_or(unknown)?;
    match point.along {
        Along::Start => number(conductor.from),
        Along::Middle => Ok(MAX_TERMINALS as u8 + which),
        Along::End => number(conductor.to),
    }
}

fn part(edge: &Edge, (at, share): (u16, f32)) -> Result<Part, Error> {
    Ok(Part {
        what: What::Thing(edge.thing),
        from: number(edge.from)?,
        to: number(edge.to)?,
        ohms: share * edge.ohms,
        volts: edge.volts,
        henries: share * edge.henries,
        farads: 0.0,
        edge: Some((at, share)),
        chain: None,
    })
}

/// A capacitor, charged to what lies between its terminals before the fault. Its
/// voltage is kept in `volts` with the sign of an EMF.
fn capacitor(graph: &Graph, link: Link) -> Result<Part, Error> {
    Ok(Part {
        what: What::Link(link.load),
        from: number(link.from)?,
        to: number(link.to)?,
        ohms: super::LINK_RESISTANCE.as_ohms(),
        volts: graph.at_rest(link.from, link.to).unwrap_or(0.0),
        henries: super::LINK_INDUCTANCE.as_henries(),
        farads: link.farads,
        edge: None,
        chain: None,
    })
}

fn of(list: &[u16; MAX_POINTS], point: u8) -> u16 {
    list.get(usize::from(point)).copied().unwrap_or(0)
}

fn change(list: &mut [u16; MAX_POINTS], point: u8, by: i16) {
    if let Some(count) = list.get_mut(usize::from(point)) {
        *count = count.saturating_add_signed(by);
    }
}

/// The type of a fuse, where it is known.
pub(super) fn fuse_type(design: &Design, fuse: FuseId) -> Option<&crate::design::FuseType> {
    let fuse: &Fuse = design.get(fuse)?;
    design.get(fuse.part?)
}
