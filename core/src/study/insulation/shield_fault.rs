//! What a fault between a conductor and its shield lets through.

use heapless::Vec;

use super::super::unknown::entry as known;
use super::{Context, Known, Unknown};
use crate::design::{
    Conductor, ConductorId, Fuse, FuseId, FuseType, Gap, Index, Kind, MAX_CONDUCTORS,
    MAX_TERMINALS, TerminalId,
};
use crate::quantity::CurrentSquaredTime;

/// A fault from each conductor to its shield: what its fuses let through.
pub(super) type Faults = Vec<(ConductorId, Known<CurrentSquaredTime>), MAX_CONDUCTORS, u8>;

/// How a terminal is joined to a conductor without a fuse between.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Joined {
    directly: bool,
    /// With a battery between whose negative end, whose positive end is met first.
    through: [bool; 2],
}

impl Joined {
    const DIRECTLY: Self = Self {
        directly: true,
        through: [false; 2],
    };

    const fn at_all(self) -> bool {
        let [negative, positive] = self.through;
        self.directly || negative || positive
    }

    /// On the other end of a battery of which this end was met: 0 the negative one.
    const fn behind_battery(self, end: usize) -> Self {
        let [negative, positive] = self.through;
        let first = self.directly;
        Self {
            directly: false,
            through: [negative || first && end == 0, positive || first && end == 1],
        }
    }

    /// Adds what is known of the same terminal; whether that is new. What is joined
    /// directly stays that, the way back over a battery is none.
    fn add(&mut self, more: Self) -> bool {
        if self.directly {
            return false;
        }
        let before = *self;
        let [negative, positive] = &mut self.through;
        let [more_negative, more_positive] = more.through;
        *negative |= more_negative;
        *positive |= more_positive;
        self.directly |= more.directly;
        *self != before
    }
}

impl Context<'_> {
    /// What the fuses of every conductor of the high-voltage side let through into a
    /// fault between it and its shield.
    ///
    /// The loop closes through chassis and a second fault, anywhere in the other pole. So
    /// those fuses count that stand between the conductor and the batteries, on its own
    /// side, or, where a battery is met first as in a pole without fuses, on the other side
    /// of the battery. Conductors and switches, closed or open, lead on. The currents of
    /// parallel strings add, `(sum sqrt(I2t))^2`; of the two sides of a conductor in the
    /// middle of a pack the larger one counts, because the second fault is in one of them.
    /// Where a conductor of the other pole is met before a fuse, none protects the shield.
    /// What the capacitors of a load give through no fuse is not in it.
    pub(super) fn faults(&self) -> Faults {
        let mut faults = Faults::new();
        for (id, entry) in self.design.all::<Conductor>() {
            if self.is_high(entry.from) {
                // There are as many places as conductors.
                let _ = faults.push((id, self.let_through(id, entry)));
            }
        }
        faults
    }

    fn let_through(&self, id: ConductorId, entry: &Conductor) -> Known<CurrentSquaredTime> {
        let joined = self.joined_to(entry);
        let of = |end: TerminalId| joined.get(end.position()).copied().unwrap_or_default();
        let none = Err(Unknown::missing(id, Gap::ProtectingFuse));
        let beyond = |(_, lead): (_, &Conductor)| of(lead.from).through.contains(&true);
        if self.design.all::<Conductor>().any(beyond) {
            return none;
        }
        // Towards the negative and the positive end of batteries.
        let mut roots = [0.0_f32; 2];
        for (number, fuse) in self.design.all::<Fuse>() {
            let mut feeds = [false; 2];
            for (near, far) in [(fuse.from, fuse.to), (fuse.to, fuse.from)] {
                let near = of(near);
                let mut sides = near.through;
                if near.directly {
                    let behind = self.leads_to_battery(number, far);
                    sides = core::array::from_fn(|end| {
                        [sides, behind]
                            .iter()
                            .any(|side| side.get(end) == Some(&true))
                    });
                }
                for (feeds, side) in feeds.iter_mut().zip(sides) {
                    *feeds |= side;
                }
            }
            if feeds.contains(&true) {
                let root = libm::sqrtf(self.total(number, *fuse)?.as_a2s());
                for (roots, feeds) in roots.iter_mut().zip(feeds) {
                    *roots += if feeds { root } else { 0.0 };
                }
            }
        }
        let [negative, positive] = roots;
        let roots = libm::fmaxf(negative, positive);
        if roots == 0.0 {
            return none;
        }
        CurrentSquaredTime::from_a2s(roots * roots).map_err(Unknown::refused(id))
    }

    /// How each terminal is joined to a conductor. Bound: three passes over everything
    /// drawn for each terminal, one for each thing that can be new of it.
    fn joined_to(&self, entry: &Conductor) -> [Joined; MAX_TERMINALS] {
        let mut joined = [Joined::default(); MAX_TERMINALS];
        let add = |joined: &mut [Joined; MAX_TERMINALS], end: TerminalId, more| {
            let place = joined.get_mut(end.position());
            place.is_some_and(|place| place.add(more))
        };
        add(&mut joined, entry.from, Joined::DIRECTLY);
        add(&mut joined, entry.to, Joined::DIRECTLY);
        // All that is joined directly is known before a battery is passed.
        for over_batteries in [false, true] {
            for _ in 0..3 * MAX_TERMINALS {
                let mut grew = false;
                for drawn in self.design.drawn() {
                    let ends = [(drawn.from, drawn.to), (drawn.to, drawn.from)];
                    for (end, (near, far)) in ends.into_iter().enumerate() {
                        let at = joined.get(near.position()).copied().unwrap_or_default();
                        let more = match drawn.thing.kind {
                            // Drawn from its negative to its positive end.
                            Kind::Battery if over_batteries && at.at_all() => {
                                at.behind_battery(end)
                            }
                            Kind::Conductor | Kind::Contactor | Kind::ServiceDisconnect => at,
                            _ => continue,
                        };
                        grew |= add(&mut joined, far, more);
                    }
                }
                if !grew {
                    break;
                }
            }
        }
        joined
    }

    /// Whether metal leads from the far side of a fuse to the negative and to the positive
    /// end of a battery, not through the fuse itself. Bound: a pass over everything drawn
    /// for each terminal.
    fn leads_to_battery(&self, fuse: FuseId, from: TerminalId) -> [bool; 2] {
        let mut found = [false; 2];
        let mut reached = [false; MAX_TERMINALS];
        let reach = |reached: &mut [bool; MAX_TERMINALS], end: TerminalId| {
            let place = reached.get_mut(end.position());
            place.is_some_and(|place| !core::mem::replace(place, true))
        };
        reach(&mut reached, from);
        for _ in 0..MAX_TERMINALS {
            let mut grew = false;
            for drawn in self.design.drawn() {
                if drawn.thing == fuse.into() {
                    continue;
                }
                let known = |end: TerminalId| reached.get(end.position()) == Some(&true);
                let (near, far) = (known(drawn.from), known(drawn.to));
                match drawn.thing.kind {
                    Kind::Battery => {
                        let [negative, positive] = &mut found;
                        *negative |= near;
                        *positive |= far;
                    }
                    Kind::Conductor | Kind::Fuse | Kind::Contactor | Kind::ServiceDisconnect
                        if near != far =>
                    {
                        let other = if near { drawn.to } else { drawn.from };
                        grew |= reach(&mut reached, other);
                    }
                    _ => {}
                }
            }
            if !grew {
                break;
            }
        }
        found
    }

    /// The total I2t of a fuse, if it holds at the highest voltage.
    fn total(&self, id: FuseId, fuse: Fuse) -> Known<CurrentSquaredTime> {
        let part = fuse.part.ok_or(Unknown::missing(id, Gap::FuseType))?;
        let entry: &FuseType = known(self.design, part)?;
        let highest = self.highest?;
        match (entry.total, entry.total_at) {
            (Some(total), Some(at)) if at >= highest => Ok(total),
            _ => Err(Unknown::missing(part, Gap::FuseTotal)),
        }
    }
}
