//! Conductors, pairs, and where they run.

use orangeloom_core::design::{
    CableType, Conductor, End, GlandType, Laid, LugType, MAX_PIECES_OF_ROUTE, Route, RoutePiece,
    ShieldEnd, TubeEntry, Zone,
};
use orangeloom_core::error::{Capacity, Error};

use super::Builder;
use crate::design_file::keys::{Tag, Value};
use crate::design_file::near::nearest;
use crate::design_file::problem::{Problem, ProblemName, quoted};
use crate::design_file::tree::Node;
use crate::design_file::walk::{Table, Written, read_amount, text_of, wrong_type};
use crate::design_file::words::LaidAs;

/// What a conductor is beside its ends and its id.
#[derive(Clone, Copy)]
pub(super) struct Line {
    cable: Option<orangeloom_core::design::CableTypeId>,
    route: Route,
    ends: [End; 2],
    noise: Option<orangeloom_core::shield::CircuitNoise>,
    low_voltage_distance: Option<orangeloom_core::quantity::Length>,
}

impl Builder<'_> {
    pub(super) fn conductor(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let from = self.terminal_key(table, "from");
        let to = self.terminal_key(table, "to");
        let line = self.line(table, false);
        match (name, from, to) {
            (Some((circuit, written)), Some(from), Some(to)) => {
                self.add(run(circuit, [from, to], line), written.place, mark);
            }
            _ => self.trail.dropped = true,
        }
    }

    /// Two conductors: out by `CIRCUIT+`, back by `CIRCUIT-`.
    pub(super) fn pair(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let circuit = table.text("circuit", &mut self.report);
        let from = self.pair_end(table, "from");
        let to = self.pair_end(table, "to");
        let line = self.line(table, true);
        let (Some(circuit), Some(from), Some(to)) = (circuit, from, to) else {
            self.trail.dropped = true;
            return;
        };
        // The way back runs through the same places, beginning at the other end.
        let [start, end] = line.ends;
        let back = Line {
            ends: [end, start],
            route: line.route.turned_round(),
            ..line
        };
        for (sign, ends, line) in [("+", [from[0], to[0]], line), ("-", [to[1], from[1]], back)] {
            let name = format!("{}{sign}", circuit.text);
            match self.put(&name, circuit.place) {
                Some(name) => {
                    self.add(run(name, ends, line), circuit.place, mark);
                }
                None => self.trail.dropped = true,
            }
        }
    }

    /// The keys that conductors, pairs and consumers share.
    fn line(&mut self, table: Table<'_>, pair: bool) -> Line {
        let cable = self.refer::<CableType>(table, "cable", Tag::CableType);
        let route = self.route(table, pair);
        Line {
            cable,
            route,
            ends: self.line_ends(table),
            noise: table.word("noise", &mut self.report),
            low_voltage_distance: table.quantity("low-voltage-distance", &mut self.report),
        }
    }

    /// The cable, the route and the ends of a consumer.
    pub(super) fn simple_line(&mut self, table: Table<'_>) -> Line {
        let cable = self.refer::<CableType>(table, "cable", Tag::CableType);
        Line {
            cable,
            route: self.route(table, false),
            ends: self.line_ends(table),
            noise: None,
            low_voltage_distance: None,
        }
    }

    fn route(&mut self, table: Table<'_>, pair: bool) -> Route {
        let mut pieces = Vec::new();
        for piece in table.tables("route", &mut self.report) {
            let zone = self.refer::<Zone>(piece, "zone", Tag::Zone);
            let tube = self.refer::<TubeEntry>(piece, "tube", Tag::Tube);
            let r = &mut self.report;
            let length = piece.quantity("length", r);
            let laid = piece.word("laid", r);
            let circuits = piece.whole("circuits", r);
            let said = piece.has("laid");
            if piece.has("tube") && !matches!(laid, Some(LaidAs::Tube(_)) | None) {
                let what = "a tube is named, but the conductor is not laid in one";
                r.add(
                    Problem::new(ProblemName::KeysClash, piece.place_of("laid"), what)
                        .here("no tube here")
                        .and(piece.place_of("tube"), "the tube")
                        .advice("write laid = \"tube\" or \"tube-pair\", or take the tube out"),
                );
            }
            let fill = if pair {
                orangeloom_core::conductor::installation::InTube::Pair
            } else {
                orangeloom_core::conductor::installation::InTube::One
            };
            let laid = match laid {
                None if !said && tube.is_some() => Some(Laid::InTube(fill, tube)),
                other => other.map(|laid| match laid {
                    LaidAs::FreeAir => Laid::FreeAir,
                    LaidAs::TouchingPair => Laid::TouchingPair,
                    LaidAs::AgainstPanel => Laid::AgainstPanel,
                    // Both conductors of a pair are in its tube.
                    LaidAs::Tube(_) if pair => Laid::InTube(fill, tube),
                    LaidAs::Tube(fill) => Laid::InTube(fill, tube),
                }),
            };
            if let Some(zone) = zone {
                pieces.push(RoutePiece {
                    zone,
                    length,
                    laid,
                    // The key allows 1 to 20.
                    circuits: circuits.and_then(|count| u8::try_from(count).ok()),
                });
            }
        }
        match self.design.add_route(&pieces) {
            Ok(route) => route,
            Err(error) => {
                let place = table.place_of("route");
                if error == Error::Capacity(Capacity::RoutePieces) {
                    let what = format!(
                        "the route has {} pieces where {MAX_PIECES_OF_ROUTE} fit",
                        pieces.len()
                    );
                    let problem = Problem::new(ProblemName::TooMany, place, what)
                        .advice("join pieces of one zone and one installation");
                    self.report.add(problem);
                } else {
                    self.refused(error, &place);
                }
                Route::UNKNOWN
            }
        }
    }

    /// Lugs, glands, joints and shield at both ends, as far as the section has them.
    fn line_ends(&mut self, table: Table<'_>) -> [End; 2] {
        let mut ends = [End::default(); 2];
        let mut each = |key| match table.section.row(key) {
            Some(_) => table.each_end(key, &mut self.report),
            None => [None; 2],
        };
        let lugs = each("lug");
        let glands = each("gland");
        let joints = each("joint");
        let shields = each("shield");
        for (at, end) in ends.iter_mut().enumerate() {
            // One text for both ends is reported once.
            let again = |nodes: [Option<&Node>; 2]| {
                at == 1
                    && nodes[0]
                        .zip(nodes[1])
                        .is_some_and(|(one, other)| core::ptr::eq(one, other))
            };
            let mark = self.mark();
            if let Some(written) = self.end_text(table, "lug", lugs[at]) {
                end.lug = self.find::<LugType>("lug", &written, Tag::LugType);
            }
            self.forget(mark, again(lugs));
            let mark = self.mark();
            if let Some(written) = self.end_text(table, "gland", glands[at]) {
                end.gland = self.find::<GlandType>("gland", &written, Tag::GlandType);
            }
            self.forget(mark, again(glands));
            let mark = self.mark();
            end.joint = joints[at].and_then(|node| self.joint(table, node));
            self.forget(mark, again(joints));
            let mark = self.mark();
            if let Some(written) = self.end_text(table, "shield", shields[at]) {
                end.shield = self.shield_end(&written, shields[at]);
            }
            self.forget(mark, again(shields));
        }
        ends
    }

    /// Takes back what was reported since a mark.
    fn forget(&mut self, mark: usize, again: bool) {
        if again {
            self.report.problems.truncate(mark);
        }
    }

    fn end_text<'t>(
        &mut self,
        table: Table<'t>,
        key: &str,
        node: Option<&'t Node>,
    ) -> Option<Written<'t>> {
        let node = node?;
        let written = text_of(node);
        if let (None, Some(row)) = (&written, table.section.row(key)) {
            self.report.add(wrong_type(row, node));
        }
        written
    }

    fn joint(
        &mut self,
        table: Table<'_>,
        node: &Node,
    ) -> Option<orangeloom_core::quantity::Resistance> {
        let row = table.section.row("joint")?;
        let Value::EachEndAmount(kind) = row.value else {
            return None;
        };
        read_amount("joint", kind, node, &mut self.report)
    }

    /// `round`, `not-connected`, `pigtail 30 mm`.
    fn shield_end(&mut self, written: &Written<'_>, node: Option<&Node>) -> Option<ShieldEnd> {
        const WORDS: [&str; 3] = ["round", "not-connected", "pigtail"];
        match written.text {
            "round" => return Some(ShieldEnd::Round),
            "not-connected" => return Some(ShieldEnd::NotConnected),
            _ => {}
        }
        if let Some(length) = written.text.strip_prefix("pigtail ") {
            match crate::quantity_text::parse(length) {
                Ok(length) => return Some(ShieldEnd::Pigtail(length)),
                Err(error) => {
                    let what = format!("the length of the pigtail: {error}");
                    let place = node.map_or(written.place, |node| &node.place).clone();
                    let problem = Problem::new(ProblemName::NoAmount, place, what)
                        .advice("write \"pigtail 30 mm\"");
                    self.report.add(problem);
                    return None;
                }
            }
        }
        let what = format!("{} is no way to end a shield", quoted(written.text));
        self.report.add(
            Problem::new(ProblemName::UnknownWord, written.place.clone(), what)
                .here("not in the list")
                .meant(nearest(written.text, WORDS))
                .advice("write \"round\", \"not-connected\" or \"pigtail 30 mm\""),
        );
        None
    }
}

/// A conductor of what was read.
pub(super) fn run(
    circuit: orangeloom_core::design::TextId,
    ends: [orangeloom_core::design::TerminalId; 2],
    line: Line,
) -> Conductor {
    Conductor {
        cable: line.cable,
        route: line.route,
        ends: line.ends,
        noise: line.noise,
        low_voltage_distance: line.low_voltage_distance,
        ..Conductor::new(circuit, ends)
    }
}
