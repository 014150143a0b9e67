//! The faults that are looked at, one at a time and always in the same order.

use super::place::{Along, Fault, FaultKind, Point, Sites};
use crate::design::{Conductor, ConductorId, Design, Index, TerminalId};

/// Every fault of a design that is looked at; see [`super::FaultStudy::faults`].
///
/// Bounded by the ends of all conductors, twice [`crate::design::MAX_CONDUCTORS`],
/// squared.
#[derive(Clone, Debug)]
pub(super) struct Faults<'a> {
    design: &'a Design,
    sites: &'a Sites,
    kind: Option<FaultKind>,
    one: usize,
    other: usize,
}

impl<'a> Faults<'a> {
    pub(super) const fn new(design: &'a Design, sites: &'a Sites) -> Self {
        Self {
            design,
            sites,
            kind: Some(FaultKind::AtBox),
            one: 0,
            other: 0,
        }
    }

    /// The conductors' ends, or their middles, in order.
    fn many(&self, kind: FaultKind) -> usize {
        let conductors = self.design.all::<Conductor>().count();
        match kind {
            FaultKind::OnRoute => conductors,
            FaultKind::AtBox | FaultKind::ThroughChassis => 2 * conductors,
        }
    }

    /// The lead at a position: the conductor and the terminal it stands for.
    fn lead(&self, position: usize) -> Option<(Point, TerminalId)> {
        let id = ConductorId::at(position / 2)?;
        let conductor = self.design.get(id)?;
        let end = position % 2;
        if !self.sites.is_lead(id, end) {
            return None;
        }
        let (along, terminal) = if end == 0 {
            (Along::Start, conductor.from)
        } else {
            (Along::End, conductor.to)
        };
        let point = Point {
            conductor: id,
            along,
        };
        Some((point, terminal))
    }

    fn between_leads(&self, kind: FaultKind) -> Option<Fault> {
        let (one, at_one) = self.lead(self.one)?;
        let (other, at_other) = self.lead(self.other)?;
        let together = self.sites.same_place(at_one, at_other);
        let wanted = together == (kind == FaultKind::AtBox);
        (wanted && self.sites.apart(at_one, at_other)).then_some(Fault { kind, one, other })
    }

    fn between_middles(&self) -> Option<Fault> {
        let (one, other) = (ConductorId::at(self.one)?, ConductorId::at(self.other)?);
        let (first, second) = (self.design.get(one)?, self.design.get(other)?);
        let leaves =
            |c: &Conductor| self.sites.is_traction(c.from) && !self.sites.same_place(c.from, c.to);
        if !leaves(first) || !leaves(second) || !self.sites.apart(first.from, second.from) {
            return None;
        }
        let shared = [first.from, first.to].into_iter().any(|end| {
            self.sites.same_place(end, second.from) || self.sites.same_place(end, second.to)
        });
        let middle = |conductor| Point {
            conductor,
            along: Along::Middle,
        };
        shared.then_some(Fault {
            kind: FaultKind::OnRoute,
            one: middle(one),
            other: middle(other),
        })
    }
}

impl Iterator for Faults<'_> {
    type Item = Fault;

    fn next(&mut self) -> Option<Fault> {
        while let Some(kind) = self.kind {
            let count = self.many(kind);
            while self.one < count {
                self.other += 1;
                if self.other >= count {
                    self.one += 1;
                    self.other = self.one;
                    continue;
                }
                // An end that stands for no terminal has no faults of its own.
                if kind != FaultKind::OnRoute && self.lead(self.one).is_none() {
                    self.other = count;
                    continue;
                }
                let found = match kind {
                    FaultKind::OnRoute => self.between_middles(),
                    FaultKind::AtBox | FaultKind::ThroughChassis => self.between_leads(kind),
                };
                if found.is_some() {
                    return found;
                }
            }
            (self.one, self.other) = (0, 0);
            self.kind = match kind {
                FaultKind::AtBox => Some(FaultKind::OnRoute),
                FaultKind::OnRoute => Some(FaultKind::ThroughChassis),
                FaultKind::ThroughChassis => None,
            };
        }
        None
    }
}
