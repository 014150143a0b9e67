//! What a fault between a conductor and its shield lets through.

use heapless::Vec;

use super::super::unknown::entry as known;
use super::{Context, Known, Unknown};
use crate::design::{
    Battery, Conductor, ConductorId, Fuse, FuseId, FuseType, Gap, Joined, Kind, MAX_CONDUCTORS,
    MAX_TERMINALS, TerminalId,
};
use crate::quantity::CurrentSquaredTime;

/// A fault from each conductor to its shield: what its fuses let through.
pub(super) type Faults = Vec<(ConductorId, Known<CurrentSquaredTime>), MAX_CONDUCTORS, u8>;

/// What is reached from a conductor without a fuse between.
struct Reach<'a> {
    metal: &'a Joined,
    /// The piece of metal that the conductor is part of.
    own: Option<u8>,
    /// Of each other piece: reached over a battery whose negative end, whose positive end
    /// was met first.
    over: [[bool; 2]; MAX_TERMINALS],
}

impl Reach<'_> {
    fn directly(&self, end: TerminalId) -> bool {
        self.metal.group(end) == self.own
    }

    fn over(&self, end: TerminalId) -> [bool; 2] {
        let group = self.metal.group(end).map(usize::from);
        let over = group.and_then(|group| self.over.get(group));
        over.copied().unwrap_or_default()
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
        let metal = self.design.metal(|thing| thing.kind != Kind::Fuse);
        for (id, entry) in self.design.all::<Conductor>() {
            if self.is_high(entry.from) {
                // There are as many places as conductors.
                let _ = faults.push((id, self.let_through(id, &self.reach(&metal, entry.from))));
            }
        }
        faults
    }

    fn let_through(&self, id: ConductorId, reach: &Reach<'_>) -> Known<CurrentSquaredTime> {
        let none = Err(Unknown::missing(id, Gap::ProtectingFuse));
        let beyond = |(_, lead): (_, &Conductor)| reach.over(lead.from).contains(&true);
        if self.design.all::<Conductor>().any(beyond) {
            return none;
        }
        // Towards the negative and the positive end of batteries.
        let mut roots = [0.0_f32; 2];
        for (number, fuse) in self.design.all::<Fuse>() {
            let mut feeds = [false; 2];
            for (near, far) in [(fuse.from, fuse.to), (fuse.to, fuse.from)] {
                or(&mut feeds, reach.over(near));
                if reach.directly(near) {
                    or(&mut feeds, self.battery_ends(number, far));
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

    /// What is reached from a conductor that ends on a terminal. The way back over a battery
    /// is none. Bound: two passes over the batteries for each terminal, for each end that
    /// can be met first one.
    fn reach<'a>(&self, metal: &'a Joined, end: TerminalId) -> Reach<'a> {
        let mut reach = Reach {
            metal,
            own: metal.group(end),
            over: [[false; 2]; MAX_TERMINALS],
        };
        for _ in 0..2 * MAX_TERMINALS {
            let mut grew = false;
            for (_, battery) in self.design.all::<Battery>() {
                let (negative, positive) = (battery.negative, battery.positive);
                for (near, far, met) in [
                    (negative, positive, [true, false]),
                    (positive, negative, [false, true]),
                ] {
                    let over = if reach.directly(near) {
                        met
                    } else {
                        reach.over(near)
                    };
                    let far = metal.group(far).filter(|far| Some(*far) != reach.own);
                    let place = far.and_then(|far| reach.over.get_mut(usize::from(far)));
                    grew |= place.is_some_and(|place| or(place, over));
                }
            }
            if !grew {
                break;
            }
        }
        reach
    }

    /// Whether metal leads from the far side of a fuse to the negative and to the positive
    /// end of a battery, not through the fuse itself.
    fn battery_ends(&self, fuse: FuseId, from: TerminalId) -> [bool; 2] {
        let metal = self.design.metal(|thing| thing != fuse.into());
        let mut found = [false; 2];
        for (_, battery) in self.design.all::<Battery>() {
            let ends = [battery.negative, battery.positive];
            or(&mut found, ends.map(|end| metal.together(from, end)));
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

/// Adds what is true of each; whether that is new.
fn or(known: &mut [bool; 2], more: [bool; 2]) -> bool {
    let before = *known;
    for (known, more) in known.iter_mut().zip(more) {
        *known |= more;
    }
    *known != before
}
