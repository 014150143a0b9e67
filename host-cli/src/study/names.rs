//! Names of things and of limits, as they are printed.

use orangeloom_core::design::{Conductor, ConductorId, Design, Kind, RoutePieceId, Thing};
use orangeloom_core::fault::{Along, End, Fault, FaultKind, Point};
use orangeloom_core::protection::Unbroken;
use orangeloom_core::study::{ConductorLimit, Operation};

use crate::design_file::one_of;

/// The name of a thing with its kind: `zone "sill"`.
pub(crate) fn thing(design: &Design, thing: Thing) -> String {
    match (thing.kind, design.name(thing)) {
        (Kind::Vehicle | Kind::Controller, _) => format!("the {}", thing.kind.words()),
        (kind, Some(name)) => format!("{} \"{name}\"", kind.words()),
        (Kind::RoutePiece, None) => route_piece(design, thing),
        (kind, None) => one_of(kind.words()),
    }
}

/// A piece of a route has no name; its conductor has.
fn route_piece(design: &Design, piece: Thing) -> String {
    let owner = design.all::<Conductor>().find(|(_, conductor)| {
        let mut pieces = conductor.route.pieces();
        pieces.any(|id| Thing::from(id) == piece)
    });
    match owner {
        Some((id, _)) => format!("a piece of the route of {}", circuit(design, id)),
        None => "a piece of a route".to_owned(),
    }
}

/// The name alone.
pub(crate) fn name(design: &Design, thing: impl Into<Thing>) -> String {
    design.name(thing.into()).unwrap_or("-").to_owned()
}

/// The id of a conductor.
pub(crate) fn circuit(design: &Design, id: ConductorId) -> String {
    name(design, id)
}

/// The zone of a piece of a route.
pub(crate) fn zone(design: &Design, piece: RoutePieceId) -> String {
    design
        .get(piece)
        .map_or_else(|| "-".to_owned(), |piece| name(design, piece.zone))
}

/// What the vehicle does: the name of the duty or lasting phase.
pub(crate) fn operation(design: &Design, operation: Operation) -> String {
    match operation {
        Operation::Duty(duty) => name(design, duty),
        Operation::Lasting(phase) => format!("{} (lasting)", name(design, phase)),
    }
}

/// A limit of a conductor in words; terminals by name.
pub(crate) fn limit(design: &Design, id: ConductorId, limit: ConductorLimit) -> String {
    let ends = design.get(id).map(|lead| [lead.from, lead.to]);
    let terminal = |at: usize| {
        let terminal = ends.and_then(|ends| ends.get(at).copied());
        terminal.map_or_else(
            || "terminal".to_owned(),
            |id| format!("at {}", name(design, id)),
        )
    };
    match limit {
        ConductorLimit::SteadyTemperature => "steady, worst r.m.s.".to_owned(),
        ConductorLimit::PeakTemperature => "peak of the duty".to_owned(),
        ConductorLimit::FirstTerminal => terminal(0),
        ConductorLimit::SecondTerminal => terminal(1),
        _ => "limit".to_owned(),
    }
}

/// A short circuit by its two points.
pub(crate) fn fault(design: &Design, fault: Fault) -> String {
    let point = |point: Point| {
        let circuit = circuit(design, point.conductor);
        match (point.along, point.terminal(design)) {
            (Along::Middle, _) | (_, None) => circuit,
            (_, Some(terminal)) => format!("{circuit} at {}", name(design, terminal)),
        }
    };
    let (one, other) = (point(fault.one), point(fault.other));
    match fault.kind {
        FaultKind::AtBox => format!("{one} to {other}"),
        FaultKind::OnRoute => format!("{one} to {other} midway"),
        FaultKind::ThroughChassis => format!("{one} and {other} to chassis"),
    }
}

/// How a short circuit ends.
pub(crate) fn end(design: &Design, end: End) -> String {
    match end {
        End::NoCurrent => "nothing feeds it".to_owned(),
        End::Cleared(_) => "cleared".to_owned(),
        End::NoFuse => "no fuse in the loop".to_owned(),
        End::NoneOpens => "no fuse melts".to_owned(),
        End::Unbroken(fuse, why) => {
            format!(
                "{} melts, does not break: {}",
                name(design, fuse),
                unbroken(why)
            )
        }
        End::NotKnown(fuse, gap) => format!("{} lacks: {}", name(design, fuse), gap.words()),
        End::ShareNotKnown(fuse) => {
            format!("share of {} is not defined", name(design, fuse))
        }
        End::TooManyStages => "more fuses than are followed".to_owned(),
        _ => "no solution".to_owned(),
    }
}

/// Why a fuse does not break, as a clause.
fn unbroken(why: Unbroken) -> &'static str {
    match why {
        Unbroken::Voltage => "voltage too high for it",
        Unbroken::TooLarge => "current too high for it",
        Unbroken::TooSmall => "current too low for it",
    }
}
