//! What charged link capacitors drive through a fuse or contactor into a short circuit
//! beside it.

use super::discharge::Discharge;
use super::graph::Graph;
use super::place::Sites;
use super::{LINK_INDUCTANCE, LINK_RESISTANCE};
use crate::design::{Design, Index, Kind, MAX_TERMINALS, Terminal, TerminalId, Thing};
use crate::error::Error;
use crate::quantity::{Capacitance, Current, CurrentSquaredTime, Inductance, Resistance, Voltage};

/// What link capacitors drive through one thing in one direction.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Surge {
    /// Peak, as if the peaks of all capacitors fell together.
    pub peak: Current,
    /// Joule integral of the whole discharge, no more than this.
    pub i2t: CurrentSquaredTime,
    /// Whether a battery is on the side of these capacitors: then the short circuit is one
    /// that the thing has to bear; else it lies elsewhere, and the capacitors are those
    /// of its own load.
    pub from_source: bool,
}

impl Surge {
    /// No capacitor reaches it.
    pub const NONE: Self = Self {
        peak: constant!(Current::from_amperes(0.0)),
        i2t: constant!(CurrentSquaredTime::from_a2s(0.0)),
        from_source: true,
    };
}

/// Resistance and inductance from some terminals to each, by the way of least resistance
/// without a battery. Infinite where none leads there.
struct Ways {
    ohms: [f32; MAX_TERMINALS],
    henries: [f32; MAX_TERMINALS],
}

impl Ways {
    /// Bound: branches squared.
    fn new(graph: &Graph, without: Thing, starts: impl Iterator<Item = TerminalId>) -> Self {
        let mut ways = Self {
            ohms: [f32::INFINITY; MAX_TERMINALS],
            henries: [0.0; MAX_TERMINALS],
        };
        for start in starts {
            if let Some(ohms) = ways.ohms.get_mut(start.position()) {
                *ohms = 0.0;
            }
        }
        for _ in 0..graph.edges.len() {
            let mut grew = false;
            for edge in &graph.edges {
                if edge.thing == without || edge.thing.kind == Kind::Battery {
                    continue;
                }
                for [near, far] in [[edge.from, edge.to], [edge.to, edge.from]] {
                    let (ohms, henries) = ways.to(near);
                    let ohms = ohms + edge.ohms;
                    if ohms < ways.to(far).0 {
                        ways.set(far, ohms, henries + edge.henries);
                        grew = true;
                    }
                }
            }
            if !grew {
                break;
            }
        }
        ways
    }

    fn to(&self, terminal: TerminalId) -> (f32, f32) {
        let at = terminal.position();
        let ohms = self.ohms.get(at).copied().unwrap_or(f32::INFINITY);
        (ohms, self.henries.get(at).copied().unwrap_or(0.0))
    }

    fn set(&mut self, terminal: TerminalId, to_ohms: f32, to_henries: f32) {
        let at = terminal.position();
        if let (Some(ohms), Some(henries)) = (self.ohms.get_mut(at), self.henries.get_mut(at)) {
            (*ohms, *henries) = (to_ohms, to_henries);
        }
    }
}

/// Computes: what the capacitors on the side of one terminal drive through a thing into a
/// bolted short circuit right behind its other terminal.
///
/// Each capacitor by itself ([`Discharge`]) through [`LINK_RESISTANCE`] and
/// [`LINK_INDUCTANCE`], the way of least resistance to the thing, and back from the
/// nearest point of the other polarity in its place; without such a point, as in a fault
/// through chassis beside the load, with no resistance back. Peaks are summed; of the
/// joule integrals the roots (Minkowski), which no sum of the currents exceeds. Shared
/// ways, which make both smaller, are left out, and so are ways through batteries, which
/// take most of the voltage.
pub(super) fn surge(
    design: &Design,
    graph: &Graph,
    sites: &Sites,
    thing: Thing,
    [near, far]: [TerminalId; 2],
) -> Result<Surge, Error> {
    let there = Ways::new(graph, thing, core::iter::once(near));
    let back = || {
        design
            .all::<Terminal>()
            .map(|(id, _)| id)
            .filter(|id| sites.same_place(*id, far) && sites.apart(*id, far))
            .filter(|id| sites.apart(*id, near))
    };
    let bare = back().next().is_none();
    let back = Ways::new(graph, thing, back());
    let (mut amperes, mut root) = (0.0, 0.0);
    for link in &graph.links {
        for [out, home] in [[link.from, link.to], [link.to, link.from]] {
            let (ohms, henries) = there.to(out);
            let (return_ohms, return_henries) = if bare { (0.0, 0.0) } else { back.to(home) };
            let ohms = ohms + return_ohms;
            if !ohms.is_finite() {
                continue;
            }
            let volts = libm::fabsf(graph.at_rest(link.from, link.to).unwrap_or(0.0));
            let discharge = Discharge {
                capacitance: Capacitance::from_farads(link.farads)?,
                voltage: Voltage::from_volts(volts)?,
                resistance: Resistance::from_ohms(ohms + LINK_RESISTANCE.as_ohms())?,
                inductance: Inductance::from_henries(
                    henries + return_henries + LINK_INDUCTANCE.as_henries(),
                )?,
            };
            amperes += discharge.peak()?.0.as_amperes();
            root += libm::sqrtf(discharge.i2t()?.as_a2s());
            break;
        }
    }
    let mut batteries = graph.edges.iter();
    let joined = |terminal| there.to(terminal).0.is_finite();
    Ok(Surge {
        peak: Current::from_amperes(amperes)?,
        i2t: CurrentSquaredTime::from_a2s(root * root)?,
        from_source: batteries
            .any(|edge| edge.thing.kind == Kind::Battery && (joined(edge.from) || joined(edge.to))),
    })
}
