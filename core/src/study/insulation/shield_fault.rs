//! What a fault between a conductor and its shield lets through.

use heapless::Vec;

use super::super::unknown::entry as known;
use super::{Context, Known, Unknown};
use crate::design::{
    Conductor, ConductorId, Contactor, Fuse, FuseId, FuseType, Gap, Index, Kind, MAX_CONDUCTORS,
    MAX_FUSES, MAX_TERMINALS, ServiceDisconnect, TerminalId,
};
use crate::quantity::CurrentSquaredTime;

/// A fault from each conductor to its shield: what its fuses let through.
pub(super) type Faults = Vec<(ConductorId, Known<CurrentSquaredTime>), MAX_CONDUCTORS, u8>;

impl Context<'_> {
    /// What the fuses of every conductor of the high-voltage side let through into a
    /// fault between it and its shield.
    ///
    /// A fuse counts that ends on the conductor, directly or through a contactor or a
    /// service disconnect, and behind which a battery lies. With several, from both sides or in parallel, their currents
    /// add: `(sum sqrt(I2t))^2`. A conductor on which none ends, as in the negative
    /// pole, gets its fault current through a second fault in another circuit: the
    /// largest let-through of all others counts. What the capacitors of a load give
    /// through no fuse is not in it.
    pub(super) fn faults(&self) -> Faults {
        let mut faults = Faults::new();
        for (id, entry) in self.design.all::<Conductor>() {
            if self.is_high(entry.from) {
                // There are as many places as conductors.
                let _ = faults.push((id, self.let_through(id, entry)));
            }
        }
        let mut largest: Option<CurrentSquaredTime> = None;
        let mut unknown = None;
        for (_, fault) in &faults {
            match fault {
                Ok(fault) if largest.is_none_or(|most| *fault > most) => largest = Some(*fault),
                Err(Unknown::Missing(_, Gap::ProtectingFuse)) | Ok(_) => {}
                Err(other) => unknown = Some(*other),
            }
        }
        let elsewhere = match (unknown, largest) {
            (Some(unknown), _) => Some(Err(unknown)),
            (None, Some(largest)) => Some(Ok(largest)),
            (None, None) => None,
        };
        for (_, fault) in &mut faults {
            if let (Err(Unknown::Missing(_, Gap::ProtectingFuse)), Some(elsewhere)) =
                (&fault, elsewhere)
            {
                *fault = elsewhere;
            }
        }
        faults
    }

    fn let_through(&self, id: ConductorId, entry: &Conductor) -> Known<CurrentSquaredTime> {
        let mut roots = 0.0;
        let mut counted: Vec<FuseId, MAX_FUSES, u8> = Vec::new();
        for end in [entry.from, entry.to] {
            for (number, fuse) in self.design.all::<Fuse>() {
                let behind = self.behind(end, *fuse);
                let feeds = behind.is_some_and(|behind| self.leads_to_battery(number, behind));
                if feeds && !counted.contains(&number) {
                    roots += libm::sqrtf(self.total(number, *fuse)?.as_a2s());
                    // There are as many places as fuses.
                    let _ = counted.push(number);
                }
            }
        }
        if counted.is_empty() {
            return Err(Unknown::missing(id, Gap::ProtectingFuse));
        }
        CurrentSquaredTime::from_a2s(roots * roots).map_err(Unknown::refused(id))
    }

    /// The far side of a fuse that ends on a terminal, directly or through one switch.
    fn behind(&self, end: TerminalId, fuse: Fuse) -> Option<TerminalId> {
        let far = |near: TerminalId| {
            if fuse.from == near {
                Some(fuse.to)
            } else {
                (fuse.to == near).then_some(fuse.from)
            }
        };
        let through = |from, to| {
            if from == end {
                far(to)
            } else if to == end {
                far(from)
            } else {
                None
            }
        };
        far(end)
            .or_else(|| (self.design.all::<Contactor>()).find_map(|(_, e)| through(e.from, e.to)))
            .or_else(|| {
                (self.design.all::<ServiceDisconnect>()).find_map(|(_, e)| through(e.from, e.to))
            })
    }

    /// Whether metal leads from the far side of a fuse to a battery, not through the
    /// fuse itself. Bound: a pass over everything drawn for each terminal.
    fn leads_to_battery(&self, fuse: FuseId, from: TerminalId) -> bool {
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
                    Kind::Battery if near || far => return true,
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
                return false;
            }
        }
        false
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
