//! Whether a link capacitor has a precharge path.

use heapless::Vec;

use crate::design::{
    Battery, ContactorId, Design, Index, Joined, Kind, Load, LoadId, MAX_BATTERIES, MAX_TERMINALS,
    Phase, PhaseId, Purpose, Resistor, ResistorId, Set, System, TerminalId, Thing, carries,
};
use crate::quantity::Capacitance;

/// How a capacitor between the terminals of a load is charged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Precharged {
    /// The load has no capacitance; where none is stated it is not known to have one.
    NoCapacitor,
    /// No contactor joins it to a battery.
    NotReached,
    /// It is joined to a battery with every contactor open: it is charged when the last
    /// connection is made, in the workshop.
    AlwaysJoined,
    /// Contactors can join it to a battery through this precharge resistor before any
    /// joins it directly.
    Through {
        /// The resistor.
        resistor: ResistorId,
        /// The first phase of the design that does so; `None` where no phase does.
        in_phase: Option<PhaseId>,
    },
    /// A contactor can join it to a battery and no precharge resistor can before.
    Missing,
}

/// Places in the search: each terminal before and behind a precharge resistor.
const PLACES: usize = 2 * MAX_TERMINALS;

/// The way to a place that closes fewest contactors.
#[derive(Clone, Copy, Debug)]
struct Way {
    contactors: Set<ContactorId>,
    resistor: Option<ResistorId>,
}

/// Whether a capacitor that some contactor can reach has a precharge path (a test of the
/// graph, no value).
///
/// A path leads from a battery through a precharge resistor to one terminal of the
/// capacitor, another without resistor to the other terminal, such that with nothing but
/// the contactors of the two paths closed no metal goes round the resistor. Of several
/// paths the one with fewest contactors is looked at. Fuses and service disconnects
/// count as metal. Bound: places times everything that is drawn.
pub fn precharge_of(design: &Design, load: LoadId) -> Precharged {
    let Some(entry) = design.get(load) else {
        return Precharged::NoCapacitor;
    };
    if entry.link.map_or(0.0, Capacitance::as_farads) <= 0.0 {
        return Precharged::NoCapacitor;
    }
    if fed(design, entry, &joined(design, None, false)) {
        return Precharged::AlwaysJoined;
    }
    let mut all = Set::EMPTY;
    for (id, _) in design.all::<crate::design::Contactor>() {
        all.insert(id);
    }
    let closed = joined(design, Some(all), false);
    let [positive, negative] = [entry.positive, entry.negative];
    let reached = [positive, negative].map(|pole| live(design, pole, &closed));
    let resistive = joined(design, Some(all), true);
    if reached != [true; 2] {
        // A capacitor that only a resistor ever reaches is charged through it.
        let through = [positive, negative].map(|pole| live(design, pole, &resistive));
        let resistor = || {
            let mut resistors = design.all::<Resistor>();
            resistors.find(|(_, r)| {
                r.purpose == Purpose::Precharge
                    && (resistive.together(r.from, positive)
                        || resistive.together(r.from, negative))
            })
        };
        return match (through == [true; 2]).then(resistor).flatten() {
            Some((resistor, _)) => Precharged::Through {
                resistor,
                in_phase: phase_of(design, entry),
            },
            None => Precharged::NotReached,
        };
    }
    let (mut plus, mut minus) = (Poles::new(), Poles::new());
    for (_, battery) in design.all::<Battery>() {
        if battery.system == System::Traction {
            // There is room for each battery.
            let _ = plus.push(battery.positive);
            let _ = minus.push(battery.negative);
        }
    }
    // From a pole of the same sign each: what both ways begin at is not the same.
    for [(slow, near), (direct, far)] in [
        [(positive, &plus), (negative, &minus)],
        [(negative, &minus), (positive, &plus)],
    ] {
        if let Some((resistor, closing)) = precharge_way(design, [near, far], [slow, direct], None)
            && !live(design, slow, &joined(design, Some(closing), false))
        {
            return Precharged::Through {
                resistor,
                in_phase: phase_of(design, entry),
            };
        }
    }
    Precharged::Missing
}

/// Poles of one sign of batteries.
type Poles = Vec<TerminalId, MAX_BATTERIES, u8>;

/// The way through a precharge resistor, this one or any, from the first poles to the
/// first terminal, and without a resistor from the second poles to the second: the
/// resistor, and the contactors that both close, as few as there are.
pub(crate) fn precharge_way(
    design: &Design,
    [poles, others]: [&[TerminalId]; 2],
    [slow, direct]: [TerminalId; 2],
    only: Option<ResistorId>,
) -> Option<(ResistorId, Set<ContactorId>)> {
    let may = |id| only.is_none_or(|only| only == id);
    let through = way(design, poles, slow, Some(&may))?;
    let back = way(design, others, direct, None)?;
    let mut closing = through.contactors;
    for id in back.contactors.iter() {
        closing.insert(id);
    }
    Some((through.resistor?, closing))
}

/// The terminals that metal joins while these contactors are closed; with precharge
/// resistors or without.
pub(crate) fn joined(design: &Design, closed: Option<Set<ContactorId>>, resistors: bool) -> Joined {
    let mut joined = design.metal(|thing| {
        thing.kind != Kind::Contactor || closed.is_some_and(|closed| contains(closed, thing))
    });
    if resistors {
        for (_, resistor) in design.all::<Resistor>() {
            if resistor.purpose == Purpose::Precharge {
                joined.join(resistor.from, resistor.to);
            }
        }
    }
    joined
}

fn contains(closed: Set<ContactorId>, thing: Thing) -> bool {
    ContactorId::at(usize::from(thing.index)).is_some_and(|id| closed.contains(id))
}

/// Whether metal joins a terminal to a battery.
pub(crate) fn live(design: &Design, terminal: TerminalId, metal: &Joined) -> bool {
    design.all::<Battery>().any(|(_, battery)| {
        battery.system == System::Traction
            && (metal.together(battery.positive, terminal)
                || metal.together(battery.negative, terminal))
    })
}

fn fed(design: &Design, load: &Load, metal: &Joined) -> bool {
    live(design, load.positive, metal) && live(design, load.negative, metal)
}

/// The first phase that joins the load through resistors and not without.
fn phase_of(design: &Design, load: &Load) -> Option<PhaseId> {
    let found = design.all::<Phase>().find(|(_, phase)| {
        let closed = Some(phase.closed);
        fed(design, load, &joined(design, closed, true))
            && !fed(design, load, &joined(design, closed, false))
    });
    found.map(|(id, _)| id)
}

/// The way from one of the poles to a terminal; through one of the precharge resistors
/// that may be taken, or without any.
fn way(
    design: &Design,
    poles: &[TerminalId],
    to: TerminalId,
    resistor: Option<&dyn Fn(ResistorId) -> bool>,
) -> Option<Way> {
    let mut ways: [Option<Way>; PLACES] = [None; PLACES];
    let place = |terminal: TerminalId, behind: bool| {
        terminal.position() + if behind { MAX_TERMINALS } else { 0 }
    };
    let start = Way {
        contactors: Set::EMPTY,
        resistor: None,
    };
    for pole in poles {
        if let Some(entry) = ways.get_mut(place(*pole, false)) {
            *entry = Some(start);
        }
    }
    for _ in 0..PLACES {
        let mut better = false;
        let mut step = |from: usize, to: usize, with: Way| {
            let Some(known) = ways.get(from).copied().flatten() else {
                return;
            };
            let next = Way {
                contactors: known.contactors.union(with.contactors),
                resistor: known.resistor.or(with.resistor),
            };
            if let Some(entry) = ways.get_mut(to)
                && entry.is_none_or(|old| next.contactors.len() < old.contactors.len())
            {
                *entry = Some(next);
                better = true;
            }
        };
        for drawn in design.drawn().filter(|drawn| carries(drawn.thing.kind)) {
            let mut with = start;
            if let Some(id) = drawn.thing.id() {
                with.contactors.insert(id);
            }
            for behind in [false, true] {
                let [one, other] = [drawn.from, drawn.to].map(|end| place(end, behind));
                step(one, other, with);
                step(other, one, with);
            }
        }
        for (id, entry) in design.all::<Resistor>() {
            if entry.purpose == Purpose::Precharge && resistor.is_some_and(|may| may(id)) {
                let with = Way {
                    resistor: Some(id),
                    ..start
                };
                for [one, other] in [[entry.from, entry.to], [entry.to, entry.from]] {
                    step(place(one, false), place(other, true), with);
                }
            }
        }
        if !better {
            break;
        }
    }
    ways.get(place(to, resistor.is_some())).copied().flatten()
}
