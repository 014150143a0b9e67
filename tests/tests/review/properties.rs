//! What the review promises of any design: an input that is taken away improves nothing,
//! more of what hurts mends nothing, and neither order nor names matter.

use std::collections::BTreeMap;
use std::path::Path;

use orangeloom::design_file::DesignFile;
use orangeloom_core::design::{
    CableType, Conductor, Design, Draw, Enclosure, Load, PhaseDraw, RoutePiece, Zone,
};
use orangeloom_core::quantity::{Altitude, Current, Length, Power, Temperature};
use orangeloom_core::review::{Finding, RuleId};
use orangeloom_core::standard::iec60664::PollutionDegree;
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::fixture::{self, shuffled};
use orangeloom_tests::reviewed::Reviewed;
use proptest::prelude::*;

use crate::edit::{One, base};

/// The base, the twins and the demonstrations, each as one file.
fn vehicles() -> Vec<String> {
    let of = |name: &str| {
        let read = |file| fixture::text(name, file);
        let design = read("design.toml").replace("include = [\"parts.toml\"]", "");
        design + "\n" + &read("parts.toml")
    };
    let fixtures = [
        "orchard-tractor",
        "lake-rescue-truck",
        "orchard-tractor-mended",
        "lake-rescue-truck-mended",
        "starter",
    ];
    core::iter::once(base()).chain(fixtures.map(of)).collect()
}

fn read(text: &str) -> Option<Box<Design>> {
    let read = DesignFile::read_from(&One(text), Path::new("one.toml"));
    read.problems.is_empty().then_some(read.design)
}

fn all(reviewed: &Reviewed) -> Vec<Finding> {
    let rules = RuleId::ALL.iter();
    rules.flat_map(|rule| reviewed.findings(*rule)).collect()
}

/// The worst verdict of each rule about each thing, by name.
fn verdicts(reviewed: &Reviewed) -> BTreeMap<String, Verdict> {
    let mut verdicts = BTreeMap::new();
    for finding in all(reviewed) {
        let thing = reviewed
            .design
            .name(finding.thing)
            .map_or_else(|| format!("{:?}", finding.thing.kind), String::from);
        let key = format!("{} {thing} {:?}", finding.rule.slug(), finding.judged.name);
        let worst = verdicts.entry(key).or_insert(Verdict::NotApplicable);
        *worst = worst.worse(finding.judged.verdict);
    }
    verdicts
}

fn of_rules(reviewed: &Reviewed) -> Vec<(RuleId, Verdict)> {
    let rules = RuleId::ALL.iter();
    rules.map(|rule| (*rule, reviewed.verdict(*rule))).collect()
}

/// Keys whose absence says something: a default, or that there is none.
const SPEAK_BY_ABSENCE: [&str; 22] = [
    "role",
    "system",
    "in-parallel",
    "negative",
    "positive",
    "from",
    "to",
    "box",
    "laid",
    "circuits",
    "strand",
    "metal",
    "closed",
    "draws",
    "include",
    "end",
    "rule",
    "about",
    "purpose",
    "route",
    "phases",
    // A full-range fuse without one breaks all that melts it. Rows try the others.
    "least-breaking",
];

/// Lines that can be taken away: a key with a value of its own.
fn removable(text: &str) -> Vec<usize> {
    let keyed = |line: &str| {
        let key = line.split(" = ").next().unwrap_or_default();
        line.contains(" = ")
            && !line.starts_with([' ', '#', '{', '['])
            && !key.contains('.')
            && !SPEAK_BY_ABSENCE.contains(&key)
            // Several lines make one value.
            && !line.ends_with('[')
    };
    let lines = text.lines().enumerate();
    lines
        .filter(|(_, line)| keyed(line))
        .map(|(at, _)| at)
        .collect()
}

/// Every thing with another name.
fn renamed(text: &str) -> String {
    let names: Vec<&str> = text
        .lines()
        .filter_map(|line| {
            let rest = line
                .strip_prefix("name = \"")
                .or(line.strip_prefix("circuit = \""))?;
            rest.split('"').next()
        })
        .collect();
    let rename = |said: &str| {
        let whole = names.contains(&said);
        let point = said
            .split_once('.')
            .is_some_and(|(of, _)| names.contains(&of));
        if whole || point {
            format!("other {said}")
        } else {
            said.to_owned()
        }
    };
    let of_line = |line: &str| {
        if line.starts_with("role =") || line.starts_with("purpose =") {
            return line.to_owned();
        }
        let keys = if line.starts_with("draws =") {
            line.split(['{', ',', '}'])
                .filter_map(|part| part.trim().split_once(" = "))
                .fold(line.to_owned(), |line, (key, _)| {
                    line.replace(&format!(" {key} ="), &format!(" \"{key}\" ="))
                })
        } else {
            line.to_owned()
        };
        let parts = keys.split('"').enumerate();
        let parts = parts.map(|(at, part)| {
            if at % 2 == 1 {
                rename(part)
            } else {
                part.into()
            }
        });
        parts.collect::<Vec<String>>().join("\"")
    };
    text.lines().map(of_line).collect::<Vec<_>>().join("\n")
}

fn times(draw: Draw, factor: f32) -> Draw {
    match draw {
        Draw::Power(power) => Draw::Power(Power::from_watts(power.as_watts() * factor).unwrap()),
        Draw::Current(current) => {
            Draw::Current(Current::from_amperes(current.as_amperes() * factor).unwrap())
        }
        other @ Draw::Resistance(_) => other,
    }
}

/// More of what hurts.
#[derive(Clone, Copy, Debug)]
enum More {
    Current(f32),
    Air(f32),
    Length(f32),
    Altitude(f32),
    Pollution,
}

fn more() -> impl Strategy<Value = More> {
    prop_oneof![
        (1.0_f32..1.3).prop_map(More::Current),
        (0.0_f32..25.0).prop_map(More::Air),
        (1.0_f32..3.0).prop_map(More::Length),
        (0.0_f32..2500.0).prop_map(More::Altitude),
        Just(More::Pollution),
    ]
}

impl More {
    fn apply(self, design: &mut Design) {
        match self {
            Self::Current(factor) => {
                let ids: Vec<_> = design.all::<PhaseDraw>().map(|(id, _)| id).collect();
                for id in ids {
                    let draw = design.get_mut(id).unwrap();
                    draw.draw = times(draw.draw, factor);
                }
                let ids: Vec<_> = design.all::<Load>().map(|(id, _)| id).collect();
                for id in ids {
                    let load = design.get_mut(id).unwrap();
                    load.rated = load.rated.map(|draw| times(draw, factor));
                }
            }
            Self::Air(kelvin) => {
                let ids: Vec<_> = design.all::<Zone>().map(|(id, _)| id).collect();
                for id in ids {
                    let zone = design.get_mut(id).unwrap();
                    zone.air = zone
                        .air
                        .and_then(|air| Temperature::from_degc(air.as_degc() + kelvin).ok());
                }
            }
            Self::Length(factor) => {
                let pieces: Vec<_> = design
                    .all::<Conductor>()
                    .flat_map(|(_, lead)| lead.route.pieces())
                    .collect();
                for id in pieces {
                    let piece: &mut RoutePiece = design.get_mut(id).unwrap();
                    let longer = piece.length.map(|length| length.as_metres() * factor);
                    piece.length = longer.and_then(|metres| Length::from_metres(metres).ok());
                }
            }
            Self::Altitude(metres) => {
                let now = design.vehicle.altitude.unwrap().as_metres();
                design.vehicle.altitude = Altitude::from_metres(now + metres).ok();
            }
            Self::Pollution => {
                let ids: Vec<_> = design.all::<Enclosure>().map(|(id, _)| id).collect();
                for id in ids {
                    let place = design.get_mut(id).unwrap();
                    place.pollution = place.pollution.map(worse);
                }
                let ids: Vec<_> = design.all::<Zone>().map(|(id, _)| id).collect();
                for id in ids {
                    let zone = design.get_mut(id).unwrap();
                    zone.pollution = zone.pollution.map(worse);
                }
            }
        }
    }

    /// What it can mend by its nature.
    fn spares(self, rule: RuleId) -> bool {
        match self {
            // A reading is what it is; more current through a longer cable of one string
            // leaves more to the other; a longer lead takes more heat from its joints and
            // lets less current into a short circuit.
            Self::Length(_) => matches!(
                rule,
                RuleId::TerminalTemperature
                    | RuleId::StringCurrentShare
                    | RuleId::ShieldContinuity
                    | RuleId::ConductorShortCircuit
                    | RuleId::FuseBreakingCapacity
                    | RuleId::FuseContactorMatch
                    | RuleId::FuseSelectivity
                    | RuleId::FuseFedByCapacitor
                    | RuleId::BondSection
            ),
            _ => false,
        }
    }
}

fn worse(degree: PollutionDegree) -> PollutionDegree {
    match degree {
        PollutionDegree::One => PollutionDegree::Two,
        PollutionDegree::Two => PollutionDegree::Three,
        _ => PollutionDegree::Four,
    }
}

/// Of the design that `orangeloom new` begins with every line, one at a time: no finding that is
/// open or fails holds without it.
#[test]
fn no_line_that_is_taken_away_makes_a_finding_hold() {
    let text = vehicles().pop().unwrap();
    let before = verdicts(&Reviewed::new(read(&text).unwrap()));
    let lines: Vec<&str> = text.lines().collect();
    let mut tried = 0;
    for gone in removable(&text) {
        // A load without one is on all the time, so that it has no pulses.
        if lines[gone].starts_with("duty-share") {
            continue;
        }
        let kept = [&lines[..gone], &lines[gone + 1..]].concat();
        // Some lines have to be there.
        let Some(less) = read(&kept.join("\n")) else {
            continue;
        };
        tried += 1;
        let after = verdicts(&Reviewed::new(less));
        for (key, was) in &before {
            let held = matches!(was, Verdict::Holds | Verdict::NotApplicable);
            let holds = after.get(key) == Some(&Verdict::Holds);
            assert!(
                held || !holds,
                "{key}: {was:?} holds without {}",
                lines[gone]
            );
        }
    }
    assert!(tried > 100, "{tried}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn what_is_taken_away_improves_nothing(
        which in 0..6_usize,
        at in prop::collection::vec(any::<prop::sample::Index>(), 1..4),
    ) {
        let text = &vehicles()[which];
        let removable = removable(text);
        let gone: Vec<usize> = at.iter().map(|at| removable[at.index(removable.len())]).collect();
        let lines = text.lines().enumerate();
        let kept: Vec<&str> = lines.filter(|(at, _)| !gone.contains(at)).map(|(_, line)| line).collect();
        let taken: Vec<&str> = gone.iter().filter_map(|at| text.lines().nth(*at)).collect();
        let Some(less) = read(&kept.join("\n")) else {
            return Err(TestCaseError::reject("it has to be stated"));
        };
        let before = of_rules(&Reviewed::new(read(text).unwrap()));
        let after = of_rules(&Reviewed::new(less));
        for ((rule, before), (_, after)) in before.iter().zip(&after) {
            let passes = |verdict: &Verdict| matches!(verdict, Verdict::Holds | Verdict::NotApplicable);
            prop_assert!(
                passes(before) || !passes(after),
                "{}: {before:?}, then {after:?} without {taken:?}",
                rule.slug()
            );
        }
    }

    #[test]
    fn more_of_what_hurts_mends_nothing(which in 0..6_usize, more in more()) {
        let design = read(&vehicles()[which]).unwrap();
        let mut worse = design.clone();
        more.apply(&mut worse);
        let before = Reviewed::new(design);
        let after = verdicts(&Reviewed::new(worse));
        for (key, verdict) in verdicts(&before) {
            let rule = RuleId::find(key.split(' ').next().unwrap()).unwrap();
            if verdict == Verdict::Fails && !more.spares(rule) {
                let now = after.get(&key);
                prop_assert!(now != Some(&Verdict::Holds), "{key} holds with {more:?}");
            }
        }
    }

    #[test]
    fn the_order_of_the_entries_changes_no_verdict(which in 0..6_usize, seed in any::<u64>()) {
        let text = &vehicles()[which];
        let other = read(&shuffled(text, seed)).unwrap();
        let before = of_rules(&Reviewed::new(read(text).unwrap()));
        prop_assert_eq!(before, of_rules(&Reviewed::new(other)));
    }
}

#[test]
fn other_names_change_nothing() {
    let text = base();
    let one = Reviewed::new(read(&text).unwrap());
    let other = Reviewed::new(read(&renamed(&text)).expect("it is read under other names"));
    assert!(other.design.find::<CableType>("other HV 50").is_some());
    let plain = |reviewed: &Reviewed| {
        let findings = all(reviewed).into_iter();
        let told = |one: Finding| (one.rule, one.thing, one.at, one.judged, one.because);
        findings.map(told).collect::<Vec<_>>()
    };
    assert_eq!(plain(&one), plain(&other));
}
