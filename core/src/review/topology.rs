//! What is joined with contactors open, and which fuse is in series.

use super::subject::Subject;
use crate::design::{
    Battery, BatteryId, Design, Drawn, FuseId, Joined, Kind, MAX_CONDUCTORS, Resistor, TerminalId,
    Thing,
};

/// Terminals joined by conductors, fuses and service disconnects, all contactors open.
pub(super) fn with_contactors_open(design: &Design) -> Joined {
    design.metal(|thing| thing.kind != Kind::Contactor)
}

/// The same by whatever lets any current through, resistors as well: what is alive with all
/// contactors open.
pub(super) fn alive_with_contactors_open(design: &Design) -> Joined {
    let mut alive = with_contactors_open(design);
    for (_, resistor) in design.all::<Resistor>() {
        alive.join(resistor.from, resistor.to);
    }
    alive
}

/// A battery that is joined to a terminal.
pub(super) fn battery_at(design: &Design, metal: &Joined, end: TerminalId) -> Option<BatteryId> {
    let mut batteries = design.all::<Battery>();
    let found = batteries.find(|(_, battery)| {
        metal.together(battery.positive, end) || metal.together(battery.negative, end)
    });
    found.map(|(id, _)| id)
}

/// Terminals joined by whatever leads from a source to a load, all contactors closed.
pub(super) fn without_sources(design: &Design) -> Joined {
    let mut joined = Joined::new();
    for drawn in design.drawn() {
        if !matches!(
            drawn.thing.kind,
            Kind::Battery | Kind::Converter | Kind::Load
        ) {
            joined.join(drawn.from, drawn.to);
        }
    }
    joined
}

/// Longest way that is followed: a design has no more things in a row worth following.
const MOST_STEPS: usize = MAX_CONDUCTORS;

/// The first fuse on the way from a terminal of a thing to the next junction, where more
/// than two things end.
pub(super) fn fuse_before_junction(
    subject: &Subject<'_>,
    from: TerminalId,
    of: Thing,
) -> Option<FuseId> {
    let (mut at, mut last) = (from, of);
    for _ in 0..MOST_STEPS {
        let mut others = subject
            .design
            .drawn()
            .filter(|drawn| drawn.thing != last && (drawn.from == at || drawn.to == at));
        let next: Drawn = match (others.next(), others.next()) {
            (Some(next), None) => next,
            _ => return None,
        };
        match next.thing.kind {
            Kind::Fuse => return next.thing.id(),
            Kind::Conductor | Kind::Contactor | Kind::ServiceDisconnect => {}
            _ => return None,
        }
        at = if next.from == at { next.to } else { next.from };
        last = next.thing;
    }
    None
}
