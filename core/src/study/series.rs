//! What lies in series: the same current through both, whatever flows.

use super::points::{KEPT_CURRENTS, place_of};
use super::whole::Study;
use crate::design::{
    BatteryId, Design, Drawn, Index, Joined, Kind, MAX_TERMINALS, Phase, TerminalId, Thing,
};

/// Which things lie in the same rings of a design.
///
/// Two things of a network lie in series exactly where every ring leads through both or
/// through neither: without one of them nothing flows through the other. The rings that
/// the things outside a spanning tree close are enough to tell, since all others are made
/// of these.
///
/// Resistors are left out where there is a way without them: what flows through a
/// precharge resistor beside a contactor, or through a bleed beside a load, is next to
/// nothing.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(crate) struct Series {
    /// Of each thing whose current is kept a number that all in its rings share.
    classes: Classes,
}

type Classes = [u16; KEPT_CURRENTS];

/// In no ring.
const ASTRAY: u16 = u16::MAX;

/// Added to the numbers of what is in a ring with a resistor only.
#[allow(clippy::cast_possible_truncation)] // asserted
const OTHERS: u16 = KEPT_CURRENTS as u16;
const _: () = assert!(2 * KEPT_CURRENTS < ASTRAY as usize);

impl Series {
    pub(super) const NOTHING: Self = Self {
        classes: [ASTRAY; KEPT_CURRENTS],
    };

    /// Bound: for each terminal and for each thing once all things, twice.
    // Its tables shall not lie on the stack while a network is solved.
    #[inline(never)]
    pub(super) fn find(&mut self, design: &Design) {
        self.classes = Rings::classes(design, |drawn| drawn.thing.kind != Kind::Resistor);
        let with_resistors = Rings::classes(design, |_| true);
        for (class, other) in self.classes.iter_mut().zip(with_resistors) {
            if *class == ASTRAY && other != ASTRAY {
                *class = other.saturating_add(OTHERS);
            }
        }
    }

    /// Whether two things are in the same rings, and in one at least.
    pub(crate) fn together(&self, one: Thing, other: Thing) -> bool {
        let class = |thing| {
            let class = self.classes.get(place_of(thing)?).copied()?;
            (class != ASTRAY).then_some(class)
        };
        class(one).is_some_and(|one| class(other) == Some(one))
    }
}

/// How the tree leads to a terminal: from which other, through what, after how many things.
#[derive(Clone, Copy)]
struct Way {
    from: TerminalId,
    /// The place of its current.
    thing: usize,
    depth: u8,
}
const _: () = assert!(MAX_TERMINALS <= u8::MAX as usize);

struct Rings {
    ways: [Option<Way>; MAX_TERMINALS],
    classes: Classes,
}

impl Rings {
    fn classes(design: &Design, conducts: fn(&Drawn) -> bool) -> Classes {
        let mut rings = Self {
            ways: [None; MAX_TERMINALS],
            classes: [ASTRAY; KEPT_CURRENTS],
        };
        let in_tree = rings.grow(design, conducts);
        for drawn in design.drawn().filter(conducts) {
            if let Some(thing) = place_of(drawn.thing)
                && in_tree.get(thing) == Some(&false)
            {
                rings.close(thing, [drawn.from, drawn.to]);
            }
        }
        rings.classes
    }

    /// Grows a tree from each terminal that none has reached yet; which things it is made
    /// of.
    fn grow(&mut self, design: &Design, conducts: fn(&Drawn) -> bool) -> [bool; KEPT_CURRENTS] {
        let mut in_tree = [false; KEPT_CURRENTS];
        let mut reached = [None; MAX_TERMINALS];
        for root in (0..design.count(Kind::Terminal)).filter_map(TerminalId::at) {
            match reached.get_mut(root.position()) {
                Some(depth @ None) => *depth = Some(0_u8),
                _ => continue,
            }
            let mut grows = true;
            while grows {
                grows = false;
                for drawn in design.drawn().filter(conducts) {
                    let depth = |end: TerminalId| reached.get(end.position()).copied().flatten();
                    let (from, to, depth) = match (depth(drawn.from), depth(drawn.to)) {
                        (Some(depth), None) => (drawn.from, drawn.to, depth),
                        (None, Some(depth)) => (drawn.to, drawn.from, depth),
                        _ => continue,
                    };
                    let depth = depth.saturating_add(1);
                    let Some(thing) = place_of(drawn.thing) else {
                        continue;
                    };
                    let places = (
                        reached.get_mut(to.position()),
                        self.ways.get_mut(to.position()),
                        in_tree.get_mut(thing),
                    );
                    if let (Some(reached), Some(way), Some(mark)) = places {
                        *reached = Some(depth);
                        *way = Some(Way { from, thing, depth });
                        *mark = true;
                        // Each time one terminal fewer is left.
                        grows = true;
                    }
                }
            }
        }
        in_tree
    }

    /// Parts the things of the ring that one closes from the others of their classes.
    fn close(&mut self, closing: usize, [mut one, mut other]: [TerminalId; 2]) {
        let mut ring = [false; KEPT_CURRENTS];
        let mut mark = |thing: usize| {
            if let Some(mark) = ring.get_mut(thing) {
                *mark = true;
            }
        };
        mark(closing);
        let way = |end: TerminalId| self.ways.get(end.position()).copied().flatten();
        // Each step is one nearer to the root of both.
        while one != other {
            let depth = |way: Option<Way>| way.map_or(0, |way| way.depth);
            if depth(way(one)) < depth(way(other)) {
                core::mem::swap(&mut one, &mut other);
            }
            let Some(step) = way(one) else {
                break;
            };
            mark(step.thing);
            one = step.from;
        }
        // The first of each part gives it its number.
        let mut firsts = [[ASTRAY; 2]; KEPT_CURRENTS];
        let mut alone = ASTRAY;
        for ((class, in_ring), number) in self.classes.iter_mut().zip(ring).zip(0_u16..) {
            let first = match firsts.get_mut(usize::from(*class)) {
                Some(firsts) => {
                    let [outside, inside] = firsts;
                    if in_ring { inside } else { outside }
                }
                // In no ring so far.
                None if in_ring => &mut alone,
                None => continue,
            };
            if *first == ASTRAY {
                *first = number;
            }
            *class = *first;
        }
    }
}

/// Whether two things lie in series and carry currents of one size in every phase, at
/// least one of them not zero. Not known currents are in series with nothing.
pub(crate) fn in_series(design: &Design, points: &super::Points, one: Thing, other: Thing) -> bool {
    /// What rounding may make of one current, and a bleed beside it.
    const ALIKE: f32 = 1.0e-4;
    if !points.series().together(one, other) {
        return false;
    }
    let mut carries = false;
    for (phase, _) in design.all::<Phase>() {
        let current = |thing: Thing| points.current(phase, thing);
        let (Some(a), Some(b)) = (current(one), current(other)) else {
            return false;
        };
        let (a, b) = (libm::fabsf(a.as_amperes()), libm::fabsf(b.as_amperes()));
        if libm::fabsf(a - b) > ALIKE * libm::fmaxf(a, b) {
            return false;
        }
        carries |= a > 0.0;
    }
    carries
}

/// The sum over all strings of the traction battery, each by one of its batteries.
pub(super) fn sum_of_strings(study: &Study, of: impl Fn(BatteryId) -> Option<f32>) -> Option<f32> {
    let mut strings = study.strings.iter();
    strings.try_fold(0.0, |sum, studied| {
        Some(sum + of(studied.string.batteries.iter().next()?)?)
    })
}

/// Whether a thing carries what all strings of the traction battery carry together: its
/// current has that size in every phase, and without it nothing can flow through any of
/// them but from one to another.
pub(crate) fn carries_all(design: &Design, study: &Study, thing: Thing) -> bool {
    /// What rounding may make of a sum of currents, and a bleed beside it.
    const ALIKE: f32 = 1.0e-3;
    let strings = || study.strings.iter().map(|studied| &studied.string);
    let mut carries = false;
    for (phase, _) in design.all::<Phase>() {
        let amperes = |thing| Some(study.points.current(phase, thing)?.as_amperes());
        let all = sum_of_strings(study, |battery| amperes(battery.into()));
        let own = amperes(thing);
        let (Some(all), Some(own)) = (all.map(libm::fabsf), own.map(libm::fabsf)) else {
            return false;
        };
        if libm::fabsf(all - own) > ALIKE * libm::fmaxf(all, own) {
            return false;
        }
        carries |= own > 0.0;
    }
    if !carries {
        return false;
    }
    let mut without = Joined::new();
    for drawn in design.drawn() {
        let kind = drawn.thing.kind;
        if drawn.thing != thing && !matches!(kind, Kind::Battery | Kind::Resistor) {
            without.join(drawn.from, drawn.to);
        }
    }
    strings().all(|string| {
        let mut batteries = string.batteries.iter();
        let inside = batteries.any(|id| study.points.series().together(id.into(), thing));
        inside || !without.together(string.negative, string.positive)
    })
}

#[cfg(test)]
mod tests {
    use std::boxed::Box;
    use std::format;
    use std::vec::Vec;

    use proptest::prelude::*;

    use super::*;
    use crate::design::{Conductor, ConductorId, Terminal};
    use crate::insulation::Domain;

    fn design(terminals: u8, ends: &[[u8; 2]]) -> Box<Design> {
        let mut design = Box::new(Design::new(Domain::Road));
        for number in 0..terminals {
            let name = design.put_text(&format!("t{number}")).unwrap();
            design.add(Terminal::new(name)).unwrap();
        }
        for (number, ends) in ends.iter().enumerate() {
            let name = design.put_text(&format!("c{number}")).unwrap();
            let ends = ends.map(|end| TerminalId::at(usize::from(end)).unwrap());
            design.add(Conductor::new(name, ends)).unwrap();
        }
        design
    }

    fn series(design: &Design) -> Series {
        let mut series = Series::NOTHING;
        series.find(design);
        series
    }

    /// Whether a ring leads through the last of these that none of the others is in.
    fn ring_without(ends: &[[u8; 2]], without: &[usize]) -> bool {
        let id = |end| TerminalId::at(usize::from(end)).unwrap();
        let mut joined = Joined::new();
        for (number, [from, to]) in ends.iter().enumerate() {
            if !without.contains(&number) {
                joined.join(id(*from), id(*to));
            }
        }
        let [from, to] = ends[*without.last().unwrap()];
        joined.together(id(from), id(to))
    }

    proptest! {
        /// Against taking one away and looking whether the other is still in a ring.
        #[test]
        fn in_series_is_what_carries_nothing_without_the_other(
            ends in proptest::collection::vec([0_u8..9, 0_u8..9], 1..18),
        ) {
            let design = design(9, &ends);
            let series = series(&design);
            let all: Vec<Thing> = design.all::<Conductor>().map(|(id, _)| id.into()).collect();
            for one in 0..ends.len() {
                for other in 0..ends.len() {
                    let both = ring_without(&ends, &[one]) && ring_without(&ends, &[other]);
                    let apart = one != other && ring_without(&ends, &[one, other]);
                    let expected = both && !apart;
                    let found = series.together(all[one], all[other]);
                    prop_assert_eq!(found, expected, "{} {} of {:?}", one, other, &ends);
                }
            }
        }
    }

    #[test]
    fn two_strings_are_not_in_series_however_alike_they_are() {
        // Two ways from 0 to 2 and one on to 3 and back.
        let ends = [[0, 1], [1, 2], [0, 4], [4, 2], [2, 3], [3, 0]];
        let design = design(5, &ends);
        let series = series(&design);
        let of = |number| ConductorId::at(number).unwrap().into();
        for (one, other, expected) in [
            (0, 1, true),
            (2, 3, true),
            (4, 5, true),
            (0, 2, false),
            (0, 4, false),
            (3, 5, false),
        ] {
            assert_eq!(
                series.together(of(one), of(other)),
                expected,
                "{one} {other}"
            );
        }
    }
}
