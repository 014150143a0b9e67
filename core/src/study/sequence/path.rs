//! Which contactors and which string belong to a precharge resistor.

use heapless::Vec;

use super::Context;
use crate::design::{
    Battery, ContactorId, Joined, Load, LoadId, MAX_BATTERIES, Phase, PhaseId, Resistor,
    ResistorId, Set, TerminalId,
};
use crate::fault::{joined, live, precharge_way};

/// A precharge resistor with everything that is closed while it charges a link.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PrechargePath {
    /// The phase that says which contactors are closed; `None` where none does.
    pub phase: Option<PhaseId>,
    /// The contactors that are closed meanwhile, the relay of the resistor among them.
    pub closed: Set<ContactorId>,
    /// The contactors that lead past the resistor when they close.
    pub mains: Set<ContactorId>,
    /// The strings that feed it, by their place in [`crate::design::Design::strings`].
    pub strings: Vec<u8, MAX_BATTERIES, u8>,
    /// The loads whose terminals are the link that is charged.
    pub loads: Set<LoadId>,
    /// The end of the resistor on the side of the battery.
    pub source: TerminalId,
    /// Its other end.
    pub link: TerminalId,
    /// The other pole of the link.
    pub back: TerminalId,
}

impl PrechargePath {
    /// Everything that is one piece of metal while it charges.
    pub(super) fn metal(&self, context: &Context<'_>) -> Joined {
        joined(context.design, Some(self.closed), false)
    }
}

impl Context<'_> {
    /// The path of a resistor: of the first phase that charges a link through it, else
    /// with as few contactors as lead there. `None` where there is no way.
    pub(super) fn path(&self, id: ResistorId, resistor: &Resistor) -> Option<PrechargePath> {
        let mut phases = self.design.all::<Phase>();
        phases
            .find_map(|(phase, entry)| self.path_with(resistor, entry.closed, Some(phase)))
            .or_else(|| self.shortest_path(id, resistor))
    }

    fn shortest_path(&self, id: ResistorId, resistor: &Resistor) -> Option<PrechargePath> {
        for string in &self.strings.strings {
            for (_, load) in self.loads() {
                for (poles, targets) in [
                    (
                        [string.positive, string.negative],
                        [load.positive, load.negative],
                    ),
                    (
                        [string.negative, string.positive],
                        [load.negative, load.positive],
                    ),
                ] {
                    let [slow, direct] = poles;
                    let way = precharge_way(self.design, [&[slow], &[direct]], targets, Some(id));
                    let path = way.and_then(|(_, closing)| self.path_with(resistor, closing, None));
                    if path.is_some() {
                        return path;
                    }
                }
            }
        }
        None
    }

    /// The path with these contactors closed, and those inside the strings that feed it.
    /// `None` where a link is not charged through the resistor then.
    fn path_with(
        &self,
        resistor: &Resistor,
        closed: Set<ContactorId>,
        phase: Option<PhaseId>,
    ) -> Option<PrechargePath> {
        let metal = joined(self.design, Some(closed), false);
        let mut found: Option<PrechargePath> = None;
        for (number, string) in (0_u8..).zip(&self.strings.strings) {
            for (source, link) in [(resistor.from, resistor.to), (resistor.to, resistor.from)] {
                for (end, back) in [
                    (string.positive, string.negative),
                    (string.negative, string.positive),
                ] {
                    if !metal.together(end, source) || live(self.design, link, &metal) {
                        continue;
                    }
                    if let Some(path) = &mut found {
                        if metal.together(path.source, source) && metal.together(path.back, back) {
                            // There are as many places as strings.
                            let _ = path.strings.push(number);
                        }
                        continue;
                    }
                    let loads = self.between(&metal, link, back);
                    if loads.is_empty() {
                        continue;
                    }
                    let mut strings = Vec::new();
                    let _ = strings.push(number);
                    found = Some(PrechargePath {
                        phase,
                        closed,
                        mains: Set::EMPTY,
                        strings,
                        loads,
                        source,
                        link,
                        back,
                    });
                }
            }
        }
        let mut path = found?;
        path.closed = self.with_strings_whole(path.closed, &path.strings);
        let metal = path.metal(self);
        for (id, contactor) in self.contactors() {
            let leads_past = metal.across([contactor.from, contactor.to], [path.source, path.link]);
            if leads_past && !path.closed.contains(id) {
                path.mains.insert(id);
            }
        }
        Some(path)
    }

    /// The loads between two pieces of metal.
    fn between(&self, metal: &Joined, one: TerminalId, other: TerminalId) -> Set<LoadId> {
        let loads = self.loads().filter(|(_, load): &(LoadId, &Load)| {
            metal.across([load.positive, load.negative], [one, other])
        });
        loads.map(|(id, _)| id).collect()
    }

    /// With the contactors that lie between the batteries of these strings.
    fn with_strings_whole(&self, mut closed: Set<ContactorId>, strings: &[u8]) -> Set<ContactorId> {
        let whole = self.design.metal(|_| true);
        for number in strings {
            let Some(string) = self.strings.strings.get(usize::from(*number)) else {
                continue;
            };
            for battery in string.batteries.iter() {
                let Some(battery): Option<&Battery> = self.design.get(battery) else {
                    continue;
                };
                // What lies behind the positive pole of any battery but the last is inside.
                if battery.positive == string.positive {
                    continue;
                }
                for (id, contactor) in self.contactors() {
                    if whole.together(contactor.from, battery.positive) {
                        closed.insert(id);
                    }
                }
            }
        }
        closed
    }

    /// The relays of a path: contactors on the metal of the resistor's own end.
    pub(super) fn relays(&self, path: &PrechargePath) -> Set<ContactorId> {
        let open = &self.opened;
        let beside = |end| open.together(end, path.source) || open.together(end, path.link);
        let relays = self.contactors().filter(|(id, contactor)| {
            path.closed.contains(*id) && (beside(contactor.from) || beside(contactor.to))
        });
        relays.map(|(id, _)| id).collect()
    }
}
