//! Properties of the study, and of the reader before it, on the fixtures: the order of
//! the entries does not matter, and more never makes anything cooler.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use orangeloom::design_file::{DesignFile, Files, Paint};
use orangeloom_core::design::{
    Battery, CableType, Conductor, Contactor, Design, Draw, Duty, Fuse, Index, Load, Phase,
    PhaseDraw, Resistor, RoutePiece, Terminal, Thing, Zone,
};
use orangeloom_core::quantity::{Current, Length, Power, Temperature, Voltage};
use orangeloom_tests::fixture::{self, shuffled, study};
use proptest::prelude::*;

const NAMES: [&str; 4] = [
    "starter",
    "orchard-tractor",
    "lake-rescue-truck-mended",
    "orchard-tractor-mended",
];

/// The two files of a vehicle.
struct Two {
    design: String,
    parts: String,
}

impl Two {
    fn of(name: &str) -> Self {
        let read = |file| fixture::text(name, file);
        Self {
            design: read("design.toml"),
            parts: read("parts.toml"),
        }
    }

    fn read(&self) -> Box<Design> {
        let read = DesignFile::read_from(self, Path::new("design.toml"));
        assert!(read.problems.is_empty(), "{}", read.render(Paint::Plain));
        read.design
    }
}

impl Files for Two {
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        let text = match path.file_name().and_then(|name| name.to_str()) {
            Some("design.toml") => &self.design,
            Some("parts.toml") => &self.parts,
            _ => return Err(std::io::Error::from(std::io::ErrorKind::NotFound)),
        };
        Ok(text.clone().into_bytes())
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }
}

/// Everything that is drawn, by name, with what it refers to by name.
#[allow(clippy::too_many_lines)] // one list from end to end
fn portrait(design: &Design) -> BTreeMap<String, String> {
    let name = |thing: Thing| design.name(thing).unwrap_or("?").to_owned();
    let two = |from, to| [name(Thing::from(from)), name(Thing::from(to))];
    let part = |thing: Option<Thing>| thing.map(name);
    let mut all = BTreeMap::new();
    let mut put = |kind: &str, thing: Thing, text: String| {
        let before = all.insert(format!("{kind} {}", name(thing)), text);
        assert_eq!(before, None);
    };
    for (id, line) in design.all::<Conductor>() {
        let pieces: Vec<_> = line
            .route
            .pieces()
            .map(|piece| design.get(piece).unwrap())
            .map(|piece: &RoutePiece| {
                let tube = format!("{:?}", piece.laid);
                // The number of the tube is one of those that may change.
                let laid = tube.split("Some").next().unwrap().to_owned();
                (name(piece.zone.into()), piece.length, laid, piece.circuits)
            })
            .collect();
        let ends = line.ends.map(|end| {
            let (lug, gland) = (end.lug.map(Into::into), end.gland.map(Into::into));
            (part(lug), part(gland), end.joint, end.shield)
        });
        let cable = part(line.cable.map(Into::into));
        let ways = two(line.from, line.to);
        put(
            "conductor",
            id.into(),
            format!("{ways:?} {cable:?} {pieces:?} {ends:?} {:?}", line.noise),
        );
    }
    for (id, fuse) in design.all::<Fuse>() {
        let part = part(fuse.part.map(Into::into));
        put(
            "fuse",
            id.into(),
            format!("{:?} {part:?}", two(fuse.from, fuse.to)),
        );
    }
    for (id, contactor) in design.all::<Contactor>() {
        let part = part(contactor.part.map(Into::into));
        let coil = contactor.coil.map(|[from, to]| two(from, to));
        let ways = two(contactor.from, contactor.to);
        put(
            "contactor",
            id.into(),
            format!("{ways:?} {part:?} {coil:?} {:?}", contactor.arrow),
        );
    }
    for (id, resistor) in design.all::<Resistor>() {
        let part = part(resistor.part.map(Into::into));
        let ways = two(resistor.from, resistor.to);
        put(
            "resistor",
            id.into(),
            format!(
                "{ways:?} {part:?} {:?} {:?} {:?}",
                resistor.purpose, resistor.time_out, resistor.closes_within
            ),
        );
    }
    for (id, load) in design.all::<Load>() {
        let ways = two(load.positive, load.negative);
        put(
            "load",
            id.into(),
            format!("{ways:?} {:?} {:?} {:?}", load.role, load.rated, load.link),
        );
    }
    for (id, battery) in design.all::<Battery>() {
        let ways = two(battery.positive, battery.negative);
        put("battery", id.into(), format!("{ways:?} {:?}", battery.cell));
    }
    for (id, cable) in design.all::<CableType>() {
        let (class, outer) = (cable.temperature_class, cable.outer_diameter);
        put(
            "cable",
            id.into(),
            format!("{:?} {class:?} {outer:?}", cable.conductor),
        );
    }
    for (id, terminal) in design.all::<Terminal>() {
        let text = format!(
            "{:?} {:?} {}",
            terminal.limit, terminal.stud, terminal.chassis
        );
        put("terminal", id.into(), text);
    }
    for (id, zone) in design.all::<Zone>() {
        put("zone", id.into(), format!("{:?} {:?}", zone.air, zone.wet));
    }
    for (id, phase) in design.all::<Phase>() {
        let mut closed: Vec<_> = phase.closed.iter().map(|k| name(k.into())).collect();
        closed.sort();
        let mut draws: Vec<_> = design
            .all::<PhaseDraw>()
            .filter(|(_, draw)| draw.phase == id)
            .map(|(_, draw)| format!("{} {:?}", name(draw.load.into()), draw.draw))
            .collect();
        draws.sort();
        put(
            "phase",
            id.into(),
            format!("{:?} {closed:?} {draws:?}", phase.duration),
        );
    }
    for (id, duty) in design.all::<Duty>() {
        let phases: Vec<_> = duty.phases.iter().map(|p| name((*p).into())).collect();
        put("duty", id.into(), format!("{phases:?}"));
    }
    all
}

/// Of each conductor whose current is known, by name: steady, peak, both ends, degC; drop,
/// V; r.m.s., A. Nothing settles: infinitely much.
fn results(design: &Design) -> BTreeMap<String, [f32; 6]> {
    let study = study(design);
    design
        .all::<Conductor>()
        .filter_map(|(id, _)| {
            let conductor = study.conductor(id).unwrap();
            let degc = conductor.limits.map(|l| l.value.unwrap_or(f32::INFINITY));
            let drop = conductor.drop.map_or(f32::INFINITY, Voltage::as_volts);
            let rms = conductor.warmest.ok()?.warmth.rms.as_amperes();
            let name = design.name(id.into()).unwrap().to_owned();
            Some((name, [degc[0], degc[1], degc[2], degc[3], drop, rms]))
        })
        .collect()
}

/// A repeating state is followed until it is 0.05 K away, which is added; so two ways to
/// it end at most that far apart, and the roots of the heat balance far closer.
const SAME_KELVIN: f32 = 0.06;

fn hotter_or_alike(
    before: &BTreeMap<String, [f32; 6]>,
    after: &BTreeMap<String, [f32; 6]>,
    which: core::ops::Range<usize>,
) -> Result<(), TestCaseError> {
    for (name, cool) in before {
        for at in which.clone() {
            let (cool, hot) = (cool[at], after[name][at]);
            let allowed = if at < 4 {
                SAME_KELVIN
            } else {
                cool.abs() * 1e-4
            };
            prop_assert!(hot >= cool - allowed, "{name}, {at}: {cool}, then {hot}");
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    #[test]
    fn the_order_of_the_sections_changes_neither_what_is_read_nor_the_study(
        which in 0..NAMES.len(),
        seed in any::<u64>(),
    ) {
        let two = Two::of(NAMES[which]);
        let other = Two {
            design: shuffled(&two.design, seed),
            parts: shuffled(&two.parts, seed.rotate_left(17)),
        };
        prop_assert_ne!(&two.design, &other.design);
        let (read, again) = (two.read(), other.read());
        prop_assert_eq!(portrait(&read), portrait(&again));
        let (one, two) = (study(&read), study(&again));
        prop_assert_eq!(one.verdict(&read), two.verdict(&again));
        let (one, two) = (results(&read), results(&again));
        hotter_or_alike(&one, &two, 0..6)?;
        hotter_or_alike(&two, &one, 0..6)?;
    }

    #[test]
    fn hotter_air_makes_nothing_cooler(which in 0..NAMES.len(), kelvin in 0.0_f32..15.0) {
        let cool = Two::of(NAMES[which]).read();
        let mut hot = cool.clone();
        let zones: Vec<_> = cool.all::<Zone>().map(|(id, _)| id).collect();
        for id in zones {
            let zone = hot.get_mut(id).unwrap();
            let air = zone.air.unwrap().as_degc() + kelvin;
            zone.air = Some(Temperature::from_degc(air).unwrap());
        }
        hotter_or_alike(&results(&cool), &results(&hot), 0..5)?;
    }

    /// Where the current hardly changes, the study takes the largest instead of the worst
    /// r.m.s. over a window. It lies above, so that a conductor which leaves that rule as
    /// its current grows may step down by what the rule was too safe; such are left out.
    #[test]
    fn more_current_makes_nothing_cooler(which in 0..NAMES.len(), factor in 1.0_f32..1.15) {
        let cool = Two::of(NAMES[which]).read();
        let mut hot = cool.clone();
        let times = |draw: Draw| match draw {
            Draw::Power(power) => Draw::Power(Power::from_watts(power.as_watts() * factor).unwrap()),
            Draw::Current(current) => {
                Draw::Current(Current::from_amperes(current.as_amperes() * factor).unwrap())
            }
            other @ Draw::Resistance(_) => other,
        };
        let draws: Vec<_> = cool.all::<PhaseDraw>().map(|(id, _)| id).collect();
        for id in draws {
            let draw = hot.get_mut(id).unwrap();
            draw.draw = times(draw.draw);
        }
        let loads: Vec<_> = cool.all::<Load>().map(|(id, _)| id).collect();
        for id in loads {
            let load = hot.get_mut(id).unwrap();
            load.rated = load.rated.map(times);
        }
        let windowed = |design: &Design| {
            let study = study(design);
            let all = design.all::<Conductor>().filter_map(|(id, _)| {
                let warmth = study.conductor(id).unwrap().warmest.ok()?.warmth;
                Some((design.name(id.into()).unwrap().to_owned(), warmth.window.is_some()))
            });
            all.collect::<BTreeMap<_, _>>()
        };
        let (before, after) = (windowed(&cool), windowed(&hot));
        let mut known = results(&cool);
        let count = known.len();
        known.retain(|name, _| before[name] == after[name]);
        prop_assert!(2 * known.len() > count);
        hotter_or_alike(&known, &results(&hot), 0..6)?;
    }

    /// Draws are turned into constant currents first: at constant power a charging
    /// source that sees more resistance delivers less current, and a longer cable of one
    /// of two strings leaves more to the other. A longer lead takes more heat from its
    /// joints, so that the ends are left out.
    #[test]
    fn a_longer_way_lowers_no_temperature_and_no_drop(
        consumer in prop::sample::select(vec!["01+", "02+", "03+", "04-", "51"]),
        factor in 1.0_f32..3.0,
    ) {
        let mut short = Two::of("starter").read();
        let draws: Vec<_> = short.all::<PhaseDraw>().map(|(id, _)| id).collect();
        for id in draws {
            let draw = short.get_mut(id).unwrap();
            if let Draw::Power(power) = draw.draw {
                let amperes = power.as_watts() / 96.0;
                draw.draw = Draw::Current(Current::from_amperes(amperes).unwrap());
            }
        }
        let mut long = short.clone();
        let id = short.find::<Conductor>(consumer).unwrap();
        for piece in short.get(id).unwrap().route.pieces() {
            let piece = long.get_mut(piece).unwrap();
            let metres = piece.length.unwrap().as_metres() * factor;
            piece.length = Some(Length::from_metres(metres).unwrap());
        }
        let only = |design: &Design| {
            let mut all = results(design);
            all.retain(|name, _| name == consumer);
            all
        };
        let (before, after) = (only(&short), only(&long));
        hotter_or_alike(&before, &after, 0..2)?;
        hotter_or_alike(&before, &after, 4..5)?;
    }
}

#[test]
fn shuffling_moves_whole_sections_and_loses_none() {
    let text = Two::of("starter").design;
    let other = shuffled(&text, 7);
    let sorted = |text: &str| {
        let mut lines: Vec<String> = text.lines().map(String::from).collect();
        lines.sort();
        lines
    };
    assert_ne!(text, other);
    assert_eq!(sorted(&text), sorted(&other));
    let design = Two::of("starter").read();
    assert!(portrait(&design).len() > 40);
    let id = design.find::<Conductor>("01+").unwrap();
    assert!(id.position() < design.all::<Conductor>().count());
}
