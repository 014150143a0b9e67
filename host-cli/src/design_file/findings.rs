//! What the check of the core finds, at the lines it is about.

use orangeloom_core::design::{Design, Fault, Finding, Kind, Terminal, Thing};

use super::build::Trail;
use super::near::nearest;
use super::problem::{Problem, ProblemName, quoted};
use super::source::Place;

/// The findings of a design as problems and as open points.
pub(super) fn findings(design: &Design, trail: &Trail) -> (Vec<Problem>, Vec<Problem>) {
    let mut wrong = Vec::new();
    let mut open = Vec::new();
    design.check(&mut |finding| {
        if finding.fault.is_gap() {
            if !trail.spoiled.contains(&finding.thing) {
                open.push(gap(design, trail, finding));
            }
        } else if !follows(trail, finding) {
            wrong.push(fault(design, trail, finding));
        }
    });
    (wrong, open)
}

/// Whether a finding only follows from something that is reported already.
fn follows(trail: &Trail, finding: Finding) -> bool {
    let spoiled = trail.spoiled.contains(&finding.thing);
    let named = trail.mentions.get(&finding.thing).map_or(0, Vec::len);
    match finding.fault {
        // Where more is named than was joined, an entry could not be added.
        Fault::Dangling => trail.dropped || named > 1,
        Fault::Unused => trail.dropped || named > 0,
        // Whatever was left out of a spoiled thing, these can be its consequence.
        Fault::NoPhase | Fault::Unbuildable(_) => spoiled,
        Fault::Ring | Fault::SystemsJoined => trail.dropped,
        _ => false,
    }
}

fn place(trail: &Trail, thing: Thing) -> Place {
    let known = trail.places.get(&thing);
    known.cloned().unwrap_or(Place::new(0, 0..0))
}

/// The thing in words: `the fuse "F1"`.
fn called(design: &Design, thing: Thing) -> String {
    match design.name(thing) {
        Some(name) => format!("the {} {}", thing.kind.words(), quoted(name)),
        None => format!("the {}", thing.kind.words()),
    }
}

fn gap(design: &Design, trail: &Trail, finding: Finding) -> Problem {
    let what = format!(
        "{}: not known is {}",
        called(design, finding.thing),
        finding.fault.words()
    );
    Problem::new(ProblemName::Open, place(trail, finding.thing), what)
}

fn fault(design: &Design, trail: &Trail, finding: Finding) -> Problem {
    let thing = finding.thing;
    match finding.fault {
        Fault::Dangling => return dangling(design, trail, thing),
        Fault::Unused => {
            let what = format!("nothing ends at {}", called(design, thing));
            return Problem::new(ProblemName::UnusedTerminal, place(trail, thing), what)
                .here("nothing is joined to it")
                .meant(other_terminal(design, thing))
                .advice("join something to it, or take the entry out");
        }
        Fault::Unbuildable(error) => {
            let what = format!(
                "{} cannot be built as described: {error}",
                called(design, thing)
            );
            return Problem::new(ProblemName::Contradiction, place(trail, thing), what)
                .advice("compare section, walls and diameters with the datasheet");
        }
        Fault::InTwoBoxes(own, other) => {
            let boxes = [own, other].map(|id| called(design, id.into()));
            let [own, other] = boxes;
            let what = format!(
                "{} lies in {own} and ends in {other}, and no cable is drawn between both",
                called(design, thing)
            );
            return Problem::new(ProblemName::Contradiction, place(trail, thing), what)
                .here("what leads from box to box is a cable with length, section and fuse")
                .advice("end it at a terminal of its own box and draw a [[conductor]] or [[pair]] from there to the other box; or correct box");
        }
        _ => {}
    }
    let what = format!("{}: {}", called(design, thing), finding.fault.words());
    Problem::new(ProblemName::Contradiction, place(trail, thing), what)
}

fn dangling(design: &Design, trail: &Trail, thing: Thing) -> Problem {
    let mentions = trail.mentions.get(&thing).map_or(&[][..], Vec::as_slice);
    let at = mentions.first().cloned();
    let at = at.unwrap_or_else(|| place(trail, thing));
    let what = format!("only one thing ends at {}", called(design, thing));
    Problem::new(ProblemName::DanglingTerminal, at, what)
        .here("no second thing is joined to it, no current can pass")
        .meant(other_terminal(design, thing))
        .advice("join a second thing to this terminal; check how both write its name")
}

/// The nearest other terminal.
fn other_terminal(design: &Design, thing: Thing) -> Option<&str> {
    debug_assert!(thing.kind == Kind::Terminal);
    let name = design.name(thing)?;
    let others = design.all::<Terminal>().filter_map(|(id, _)| {
        let other = design.name(id.into())?;
        (other != name && !sides(name, other)).then_some(other)
    });
    nearest(name, others)
}

/// Whether two names differ in the pole or the side alone; such a neighbour is
/// there on purpose.
fn sides(one: &str, other: &str) -> bool {
    let stem = |name: &str| {
        name.strip_suffix(['+', '-'])
            .or_else(|| name.strip_suffix(".in"))
            .or_else(|| name.strip_suffix(".out"))
            .map(str::to_owned)
    };
    stem(one).is_some_and(|own| stem(other) == Some(own))
}
