//! Terminals: made where they are named.
//!
//! `J1.+` is a point of the box J1; a box has whatever points are named. `F4.out`
//! is one of the two terminals of the fuse F4; a device has its own two and no
//! other. A name without a point is a terminal outside all boxes: `chassis`, a bar.

use orangeloom_core::design::{Enclosure, EnclosureId, Terminal, TerminalId};

use super::Builder;
use crate::design_file::keys::{Tag, section};
use crate::design_file::near::nearest;
use crate::design_file::problem::{Problem, ProblemName, listed, quoted};
use crate::design_file::source::Place;
use crate::design_file::tree::{Node, Tree};
use crate::design_file::walk::{Table, Written, text_of, wrong_type};

/// The terminal that is the vehicle's metal.
const CHASSIS: &str = "chassis";

/// What has terminals of its own, and what they are called.
const OWN: &[(Tag, [&str; 2])] = &[
    (Tag::Battery, ["+", "-"]),
    (Tag::Load, ["+", "-"]),
    (Tag::Converter, ["out+", "out-"]),
    (Tag::Fuse, ["in", "out"]),
    (Tag::Contactor, ["in", "out"]),
    (Tag::ServiceDisconnect, ["in", "out"]),
    (Tag::Resistor, ["in", "out"]),
];

impl Builder<'_> {
    /// A terminal that a key names, or the entry's own one.
    pub(super) fn end(
        &mut self,
        table: Table<'_>,
        key: &str,
        own: &Written<'_>,
        suffix: &str,
        enclosure: Option<EnclosureId>,
    ) -> Option<TerminalId> {
        if table.has(key) {
            return self.terminal_key(table, key);
        }
        let name = format!("{}.{suffix}", own.text);
        let place = own.place;
        let id = self.terminal(&Written { text: &name, place })?;
        if let Some(terminal) = self.design.get_mut(id)
            && terminal.enclosure.is_none()
        {
            terminal.enclosure = enclosure;
        }
        Some(id)
    }

    /// A terminal that a key names.
    pub(super) fn terminal_key(&mut self, table: Table<'_>, key: &str) -> Option<TerminalId> {
        let written = table.text(key, &mut self.report)?;
        self.terminal(&written)
    }

    /// A terminal by its name, made where it is named first.
    pub(super) fn terminal(&mut self, written: &Written<'_>) -> Option<TerminalId> {
        let id = self.terminal_unmentioned(written)?;
        let mentions = self.trail.mentions.entry(id.into()).or_default();
        mentions.push(written.place.clone());
        Some(id)
    }

    fn terminal_unmentioned(&mut self, written: &Written<'_>) -> Option<TerminalId> {
        if let Some(known) = self.design.find::<Terminal>(written.text) {
            return Some(known);
        }
        let enclosure = match written.text.split_once('.') {
            Some((owner, point)) => self.owner(written, owner, point)?,
            None => None,
        };
        let mark = self.mark();
        let name = self.put(written.text, written.place)?;
        let terminal = Terminal {
            enclosure,
            chassis: written.text == CHASSIS,
            ..Terminal::new(name)
        };
        self.add(terminal, written.place, mark)
    }

    /// The box of a terminal that is written with a point; reports an owner that
    /// is not there or does not have that terminal.
    #[allow(clippy::option_option)] // no box, or no terminal at all
    fn owner(
        &mut self,
        written: &Written<'_>,
        owner: &str,
        point: &str,
    ) -> Option<Option<EnclosureId>> {
        if self.names.has(Tag::Box, owner) {
            return Some(self.design.find::<Enclosure>(owner));
        }
        let owners: Vec<(Tag, [&str; 2])> = OWN
            .iter()
            .filter(|(tag, _)| self.names.has(*tag, owner))
            .copied()
            .collect();
        let points: Vec<&str> = owners.iter().flat_map(|(_, points)| *points).collect();
        if points.contains(&point) {
            return Some(None);
        }
        let place = written.place.clone();
        let read = quoted(written.text);
        let problem = if let Some((tag, _)) = owners.first() {
            let own: Vec<String> = points
                .iter()
                .map(|p| quoted(&format!("{owner}.{p}")))
                .collect();
            let one = section(*tag).one;
            Problem::new(
                ProblemName::UnknownTerminal,
                place,
                format!("the {one} {owner} has no terminal {read}"),
            )
            .here("no such terminal")
            .advice(format!("its terminals are {}", listed(&own, "and")))
        } else {
            let tags = OWN.iter().map(|(tag, _)| *tag).chain([Tag::Box]);
            let known: Vec<&str> = tags.flat_map(|tag| self.names.of(tag)).collect();
            let near = nearest(owner, known).map(|name| format!("{name}.{point}"));
            Problem::new(
                ProblemName::UnknownTerminal,
                place,
                format!(
                    "{read} names a terminal of {}, and no box or device is called that",
                    quoted(owner)
                ),
            )
            .here("no such box or device")
            .meant(near.as_deref())
            .advice("write BOX.point or DEVICE.point; a terminal outside all boxes has no point in its name")
        };
        self.report.add(problem);
        None
    }

    /// `[[terminal]]`: what a datasheet says about one.
    pub(super) fn declared_terminal(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let Some(written) = table.text("name", &mut self.report) else {
            return;
        };
        let limit = table.quantity("limit", &mut self.report);
        let stud = table.quantity("stud", &mut self.report);
        let torque = table.quantity("torque", &mut self.report);
        let Some(id) = self.terminal_unmentioned(&written) else {
            return;
        };
        if self.mark() > mark {
            self.trail.spoiled.insert(id.into());
        }
        if let Some(terminal) = self.design.get_mut(id) {
            (terminal.limit, terminal.stud, terminal.torque) = (limit, stud, torque);
        }
    }

    /// Two terminals in a list.
    pub(super) fn two_terminals(&mut self, table: Table<'_>, key: &str) -> Option<[TerminalId; 2]> {
        let node = table.node(key)?;
        self.two(table, key, node)
    }

    fn two(&mut self, table: Table<'_>, key: &str, node: &Node) -> Option<[TerminalId; 2]> {
        if let Tree::List(list) = &node.value
            && let [one, other] = list.as_slice()
            && let (Some(one), Some(other)) = (text_of(one), text_of(other))
        {
            // Both, so that both are reported.
            let (one, other) = (self.terminal(&one), self.terminal(&other));
            return Some([one?, other?]);
        }
        if let Some(row) = table.section.row(key) {
            self.report.add(wrong_type(row, node));
        }
        None
    }

    /// Where a pair ends, positive first: two terminals, or what has + and -.
    pub(super) fn pair_end(&mut self, table: Table<'_>, key: &str) -> Option<[TerminalId; 2]> {
        let node = table.node(key)?;
        let Some(owner) = text_of(node) else {
            return self.two(table, key, node);
        };
        let place: &Place = owner.place;
        let [plus, minus] = ["+", "-"].map(|pole| format!("{}.{pole}", owner.text));
        let plus = self.terminal(&Written { text: &plus, place })?;
        let minus = self.terminal(&Written {
            text: &minus,
            place,
        })?;
        Some([plus, minus])
    }
}
