//! The network of one system in one phase.

use heapless::Vec;

use super::battery::{Battery, Charged, Resisting, System};
use super::conductor::Conductor;
use super::demand::Demand;
use super::device::{Contactor, Fuse, Resistor, ServiceDisconnect};
use super::drawn::{Joined, Systems};
use super::finding::Gap;
use super::index::{ConductorId, Index, LoadId, PhaseId, TerminalId, Thing};
use super::load::{Converter, Draw, Load};
use super::model::{Design, EntryId};
use super::operation::Phase;
use super::set::Set;
use crate::error::{Capacity, Error, Inconsistency};
use crate::network::{BranchId, Element, MAX_BRANCHES, MAX_NODES, Netlist, Node};
use crate::quantity::{Resistance, Temperature};

/// What feeds the low-voltage side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the one or the other
pub enum Supply {
    /// The converter; the battery floats.
    Converter,
    /// The battery alone: the converter is off or dead.
    Battery,
}

/// How hot the conductors are.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // alike or each by itself
pub enum Heat<'a> {
    /// All alike.
    All(Temperature),
    /// Each by itself, in the order of the conductors.
    Each(&'a [Temperature]),
}

impl Heat<'_> {
    fn of(self, conductor: ConductorId) -> Option<Temperature> {
        match self {
            Self::All(temperature) => Some(temperature),
            Self::Each(each) => each.get(conductor.position()).copied(),
        }
    }
}

/// Which of the many states of a design is put into a network.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Case<'a> {
    /// Which of the two networks.
    pub system: System,
    /// What the vehicle does.
    pub phase: PhaseId,
    /// State of the cells.
    pub charged: Charged,
    /// Which end of its range each resistance has.
    pub resisting: Resisting,
    /// How hot the conductors are.
    pub heat: Heat<'a>,
    /// What feeds the low-voltage side.
    pub supply: Supply,
}

/// Something that had to be guessed to build the network. Whatever is computed
/// from it stays open.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a place and a gap are all there is
pub struct Guess {
    /// Of this thing
    pub thing: Thing,
    /// this is not known.
    pub gap: Gap,
}

/// Most guesses that are listed one by one; more are counted only.
pub const MAX_GUESSES: usize = 32;

/// A network with the way back to the things it came from.
#[derive(Clone, Debug, Default)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Circuit {
    netlist: Netlist,
    nodes: Vec<TerminalId, MAX_NODES>,
    branches: Vec<Thing, MAX_BRANCHES>,
    guesses: Vec<Guess, MAX_GUESSES>,
    guess_count: usize,
    unfed: Set<LoadId>,
}

impl Circuit {
    /// Builds the network of one system in one phase.
    ///
    /// A terminal becomes a node. Contactors that the phase does not close and
    /// service disconnects that are out are open. Fuses, contactors, disconnects
    /// and joints without a stated resistance have none, and with the lowest
    /// resistance stated ones have none either: a datasheet states the highest.
    /// Loads that want current where no closed way leads to a battery are left
    /// out and kept in [`Self::unfed`]: the solver would refuse them.
    ///
    /// What is not known is replaced as follows and kept in [`Self::guesses`]:
    /// a battery of unknown voltage is open, one of unknown resistance ideal, a
    /// conductor of unknown resistance is a link, a resistor of unknown
    /// resistance is open, a load of unknown draw draws nothing.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownReference`], [`Inconsistency::BothEndsOnOneNode`]
    /// for what [`Design::check`] reports; [`Capacity::NetworkNodes`] and
    /// [`Capacity::NetworkBranches`]; those of the computed quantities.
    pub fn build(design: &Design, case: &Case<'_>) -> Result<Self, Error> {
        Self::build_in(design, &design.systems(), case)
    }

    /// The same with the systems of the design, which are those of every case.
    pub(crate) fn build_in(
        design: &Design,
        systems: &Systems,
        case: &Case<'_>,
    ) -> Result<Self, Error> {
        let mut circuit = Self::default();
        for (id, _) in design.all::<super::Terminal>() {
            if systems.of(id) == Some(case.system) {
                circuit.netlist.add_node()?;
                let full = Error::Capacity(Capacity::NetworkNodes);
                circuit.nodes.push(id).map_err(|_| full)?;
            }
        }
        let mut builder = Builder {
            design,
            case,
            systems,
            phase: design.get(case.phase).ok_or(UNKNOWN)?,
            ways: Joined::new(),
            circuit,
        };
        builder.sources()?;
        builder.conductors()?;
        builder.devices()?;
        builder.loads()?;
        Ok(builder.circuit)
    }

    /// The network, to be solved.
    pub const fn netlist(&self) -> &Netlist {
        &self.netlist
    }

    /// The node of a terminal; `None` when it belongs to the other system.
    pub fn node(&self, terminal: TerminalId) -> Option<Node> {
        // Terminals became nodes in their order.
        let position = self.nodes.binary_search(&terminal).ok()?;
        self.netlist.node(position).ok()
    }

    /// The terminal of a node.
    pub fn terminal(&self, node: Node) -> Option<TerminalId> {
        self.nodes.get(node.index()).copied()
    }

    /// The branch of a thing; `None` when it is left out or belongs to the other system.
    pub fn branch(&self, thing: impl Into<Thing>) -> Option<BranchId> {
        let thing = thing.into();
        let position = self.branches.iter().position(|branch| *branch == thing)?;
        self.netlist.branches().nth(position).map(|(id, _)| id)
    }

    /// The thing of a branch. The bleed resistor inside a load is a branch of the
    /// load too, after that of the load itself.
    pub fn thing(&self, branch: BranchId) -> Option<Thing> {
        self.branches.get(branch.index()).copied()
    }

    /// What had to be guessed; at most [`MAX_GUESSES`] of [`Self::guess_count`].
    pub fn guesses(&self) -> &[Guess] {
        &self.guesses
    }

    /// How much had to be guessed.
    pub const fn guess_count(&self) -> usize {
        self.guess_count
    }

    /// Loads that want current and have no closed way to a battery.
    pub const fn unfed(&self) -> Set<LoadId> {
        self.unfed
    }

    fn guess(&mut self, thing: impl Into<Thing>, gap: Gap) {
        self.guess_count = self.guess_count.saturating_add(1);
        // Beyond the limit only the count tells.
        let thing = thing.into();
        let _ = self.guesses.push(Guess { thing, gap });
    }
}

const UNKNOWN: Error = Error::Inconsistent(Inconsistency::UnknownReference);

struct Builder<'a> {
    design: &'a Design,
    case: &'a Case<'a>,
    systems: &'a Systems,
    phase: &'a Phase,
    /// What conducting branches join.
    ways: Joined,
    circuit: Circuit,
}

impl Builder<'_> {
    fn part<I: EntryId>(&self, id: Option<I>) -> Result<Option<&I::Entry>, Error> {
        id.map(|id| self.design.get(id).ok_or(UNKNOWN)).transpose()
    }

    fn here(&self, terminal: TerminalId) -> bool {
        self.systems.of(terminal) == Some(self.case.system)
    }

    fn add(
        &mut self,
        thing: impl Into<Thing>,
        from: TerminalId,
        to: TerminalId,
        element: Element,
    ) -> Result<(), Error> {
        let node = |terminal| self.circuit.node(terminal).ok_or(UNKNOWN);
        let (first, second) = (node(from)?, node(to)?);
        self.circuit.netlist.add_branch(first, second, element)?;
        let full = Error::Capacity(Capacity::NetworkBranches);
        self.circuit.branches.push(thing.into()).map_err(|_| full)?;
        if matches!(element, Element::Resistance(_) | Element::Emf { .. }) {
            self.ways.join(from, to);
        }
        Ok(())
    }

    fn sources(&mut self) -> Result<(), Error> {
        for (id, battery) in self.design.all::<Battery>() {
            if self.here(battery.positive) {
                let element = self.battery(id.into(), battery)?;
                self.add(id, battery.negative, battery.positive, element)?;
            }
        }
        for (id, converter) in self.design.all::<Converter>() {
            if !self.here(converter.positive) {
                continue;
            }
            let element = match (self.case.supply, converter.output) {
                (Supply::Battery, _) => Element::Open,
                (Supply::Converter, Some(emf)) => Element::Emf {
                    emf,
                    resistance: NONE,
                },
                (Supply::Converter, None) => {
                    self.circuit.guess(id, Gap::OutputVoltage);
                    Element::Open
                }
            };
            self.add(id, converter.negative, converter.positive, element)?;
        }
        Ok(())
    }

    fn battery(&mut self, thing: Thing, battery: &Battery) -> Result<Element, Error> {
        let floats = battery.system == System::LowVoltage && self.case.supply == Supply::Converter;
        if floats && self.design.all::<Converter>().next().is_some() {
            return Ok(Element::Open);
        }
        let Some(emf) = battery.voltage(self.case.charged)? else {
            self.circuit.guess(thing, Gap::CellVoltage);
            return Ok(Element::Open);
        };
        let known = battery.resistance(self.case.resisting)?;
        if known.is_none() {
            self.circuit.guess(thing, Gap::CellResistance);
        } else if battery.lacks_links(self.case.resisting) {
            self.circuit.guess(thing, Gap::Links);
        }
        let resistance = known.unwrap_or(NONE);
        Ok(Element::Emf { emf, resistance })
    }

    fn conductors(&mut self) -> Result<(), Error> {
        for (id, conductor) in self.design.all::<Conductor>() {
            if !self.here(conductor.from) {
                continue;
            }
            let heat = self.case.heat.of(id);
            let known = match heat {
                Some(at) => self
                    .design
                    .conductor_resistance(conductor, self.case.resisting, at)?,
                None => Err(Gap::ConductorTemperature),
            };
            let resistance = known.unwrap_or_else(|gap| {
                self.circuit.guess(id, gap);
                NONE
            });
            let element = Element::Resistance(resistance);
            self.add(id, conductor.from, conductor.to, element)?;
        }
        Ok(())
    }

    /// A contact: with the lowest resistance it has none.
    fn contact(&self, stated: Option<Resistance>) -> Element {
        Element::Resistance(match self.case.resisting {
            Resisting::Lowest => NONE,
            Resisting::Highest => stated.unwrap_or(NONE),
        })
    }

    fn devices(&mut self) -> Result<(), Error> {
        for (id, fuse) in self.design.all::<Fuse>() {
            if self.here(fuse.from) {
                let element = self.contact(self.part(fuse.part)?.and_then(|part| part.resistance));
                self.add(id, fuse.from, fuse.to, element)?;
            }
        }
        for (id, contactor) in self.design.all::<Contactor>() {
            if self.here(contactor.from) {
                let stated = self.part(contactor.part)?.and_then(|part| part.resistance);
                let element = if self.phase.closed.contains(id) {
                    self.contact(stated)
                } else {
                    Element::Open
                };
                self.add(id, contactor.from, contactor.to, element)?;
            }
        }
        for (id, disconnect) in self.design.all::<ServiceDisconnect>() {
            if self.here(disconnect.from) {
                let element = if self.phase.out.contains(id) {
                    Element::Open
                } else {
                    self.contact(disconnect.resistance)
                };
                self.add(id, disconnect.from, disconnect.to, element)?;
            }
        }
        for (id, resistor) in self.design.all::<Resistor>() {
            if self.here(resistor.from) {
                let known = match self.part(resistor.part)? {
                    Some(part) => part.resistance_at(self.case.resisting)?,
                    None => None,
                };
                if known.is_none() {
                    self.circuit.guess(id, Gap::Resistance);
                }
                let element = known.map_or(Element::Open, Element::Resistance);
                self.add(id, resistor.from, resistor.to, element)?;
            }
        }
        Ok(())
    }

    fn loads(&mut self) -> Result<(), Error> {
        // Resistances first: a load that draws a current or a power may be fed
        // through one.
        for (id, load) in self.design.all::<Load>() {
            if !self.here(load.positive) {
                continue;
            }
            match self.design.demand(self.case.phase, id, self.systems)? {
                Demand::Draws(Draw::Resistance(resistance)) => {
                    let element = Element::Resistance(resistance);
                    self.add(id, load.positive, load.negative, element)?;
                }
                Demand::Draws(_) => {}
                Demand::Unknown(gap) => self.circuit.guess(id, gap),
            }
        }
        for (id, load) in self.design.all::<Load>() {
            if !self.here(load.positive) {
                continue;
            }
            let demand = self.design.demand(self.case.phase, id, self.systems)?;
            let element = match demand {
                Demand::Draws(draw) if draw.is_nothing() => continue,
                Demand::Draws(Draw::Power(power)) => Element::ConstantPower(power),
                Demand::Draws(Draw::Current(current)) => Element::ConstantCurrent(current),
                Demand::Draws(Draw::Resistance(_)) | Demand::Unknown(_) => continue,
            };
            if self.fed(load) {
                self.add(id, load.positive, load.negative, element)?;
            } else {
                self.circuit.unfed.insert(id);
            }
        }
        for (id, load) in self.design.all::<Load>() {
            if let (true, Some(bleed)) = (self.here(load.positive), load.bleed) {
                let element = Element::Resistance(bleed);
                self.add(id, load.positive, load.negative, element)?;
            }
        }
        Ok(())
    }

    /// Whether both terminals of a load are joined to one battery or converter.
    fn fed(&self, load: &Load) -> bool {
        let sources = self.circuit.netlist.branches();
        let joined = self.ways.together(load.positive, load.negative);
        joined
            && sources
                .filter(|(_, branch)| matches!(branch.element, Element::Emf { .. }))
                .filter_map(|(_, branch)| self.circuit.terminal(branch.to))
                .any(|source| self.ways.together(source, load.positive))
    }
}

/// What a closed contact has when nothing else is stated.
const NONE: Resistance = constant!(Resistance::from_ohms(0.0));
