//! The design files of the project are read without error, and damaged copies of
//! them without a panic.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use orangeloom::design_file::{DesignFile, Files, Paint, schema, summary};
use orangeloom_core::design::{
    Charged, Conductor, Fuse, Kind, Laid, Load, RoutePiece, ShieldEnd, System, Terminal,
};
use proptest::prelude::*;

mod known_keys;

const FIXTURES: [&str; 8] = [
    "starter",
    "lock-keepers-punt",
    "lake-rescue-truck",
    "orchard-tractor",
    "road-rail-shunter",
    "lake-rescue-truck-mended",
    "orchard-tractor-mended",
    "road-rail-shunter-mended",
];

static SCHEMA: LazyLock<serde_json::Value> = LazyLock::new(schema);

fn path(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(name)
        .join("design.toml")
}

fn fixture(name: &str) -> DesignFile {
    let read = DesignFile::read(&path(name));
    assert!(read.problems.is_empty(), "{}", read.render(Paint::Plain));
    read
}

#[test]
fn the_fixtures_are_read_without_error() {
    for name in FIXTURES {
        let read = fixture(name);
        assert!(read.open.is_empty(), "{name}: {:#?}", read.open);
        assert!(summary(&read).contains("read without error"));
    }
}

#[test]
fn pack_voltages_are_cells_times_cell_voltage() {
    for (name, cells, volts) in [
        ("starter", 30.0, [2.5, 3.2, 3.6]),
        ("lake-rescue-truck", 96.0, [3.0, 3.7, 4.2]),
        ("lock-keepers-punt", 30.0, [2.5, 3.2, 3.6]),
        ("orchard-tractor", 40.0, [2.5, 3.2, 3.6]),
        ("road-rail-shunter", 192.0, [3.0, 3.7, 4.2]),
    ] {
        let read = fixture(name);
        let strings = read.design.strings(System::Traction);
        for (charged, cell) in Charged::ALL.into_iter().zip(volts) {
            let pack = strings.group_voltage(&read.design, 0, charged);
            let pack: f32 = pack.unwrap().unwrap().as_volts();
            let expected: f32 = cells * cell;
            assert!((pack - expected).abs() < 1e-3, "{name}: {pack}");
        }
    }
}

#[test]
fn every_named_thing_knows_its_line() {
    for name in FIXTURES {
        let read = fixture(name);
        for (thing, place) in &read.places {
            let Some(called) = read.design.name(*thing) else {
                continue;
            };
            let text = &read.sources[place.file].text[place.start..place.end];
            let plain = called.trim_end_matches(['+', '-']);
            let made = matches!(thing.kind, Kind::Terminal | Kind::Fuse | Kind::Vehicle);
            assert!(made || text.contains(plain), "{name}: {called} at {text}");
        }
        for kind in [
            Kind::Conductor,
            Kind::Fuse,
            Kind::Load,
            Kind::Terminal,
            Kind::Phase,
        ] {
            let count = read
                .places
                .keys()
                .filter(|thing| thing.kind == kind)
                .count();
            assert_eq!(count, read.design.count(kind), "{name}: {kind:?}");
        }
    }
}

#[test]
fn a_pair_is_two_conductors_that_share_a_route_and_mirror_their_ends() {
    let read = fixture("starter");
    let design = &read.design;
    let [out, back] = ["03+", "03-"].map(|name| {
        let id = design.find::<Conductor>(name).unwrap();
        *design.get(id).unwrap()
    });
    let called = |terminal| {
        design
            .name(orangeloom_core::design::Thing::from(terminal))
            .unwrap()
    };
    assert_eq!(
        (called(out.from), called(out.to)),
        ("F2.out", "converter.+")
    );
    assert_eq!(
        (called(back.from), called(back.to)),
        ("converter.-", "J1.-")
    );
    // Each begins with the piece at its own first end: the return at the converter.
    let mut back_pieces: Vec<_> = back.route.pieces().collect();
    back_pieces.reverse();
    assert_eq!(out.route.pieces().collect::<Vec<_>>(), back_pieces);
    assert_ne!(out.route, back.route);
    assert_eq!(out.ends[0], back.ends[1]);
    assert_eq!(out.ends[0].shield, Some(ShieldEnd::Round));
    let laid: Vec<Laid> = out
        .route
        .pieces()
        .map(|id| design.get(id).unwrap())
        .filter_map(|piece: &RoutePiece| piece.laid)
        .collect();
    // Nothing is said of the first piece: a pair touches. The second is said.
    assert_eq!(laid, [Laid::TouchingPair, Laid::AgainstPanel]);
}

#[test]
fn a_consumer_is_a_load_with_fuse_and_conductor() {
    let read = fixture("starter");
    let design = &read.design;
    let load = design
        .get(design.find::<Load>("bilge pump").unwrap())
        .unwrap();
    let fuse = design.get(design.find::<Fuse>("F-52").unwrap()).unwrap();
    let line = design.get(design.find::<Conductor>("52").unwrap()).unwrap();
    assert_eq!(line.from, fuse.to);
    assert_eq!(line.to, load.positive);
    let chassis = design.get(load.negative).unwrap();
    assert!(chassis.chassis);
    assert_eq!(design.find::<Terminal>("LV.+"), Some(fuse.from));
}

/// A fixture with one of its two files damaged.
struct Damaged {
    design: Vec<u8>,
    parts: Vec<u8>,
}

impl Files for Damaged {
    fn bytes(&self, path: &Path) -> std::io::Result<Vec<u8>> {
        match path.file_name().and_then(|name| name.to_str()) {
            Some("design.toml") => Ok(self.design.clone()),
            Some("parts.toml") => Ok(self.parts.clone()),
            _ => Err(std::io::Error::from(std::io::ErrorKind::NotFound)),
        }
    }

    fn identity(&self, path: &Path) -> PathBuf {
        path.to_owned()
    }
}

/// One damage: where, as a share of the length; what.
#[derive(Clone, Debug)]
enum Damage {
    Put(u8),
    Insert(u8),
    Cut(u8),
    /// Copies a stretch to another place.
    Copy(f64, u8),
    Insertion(&'static str),
    /// The file ends here.
    End,
}

fn damage() -> impl Strategy<Value = (f64, Damage)> {
    let what = prop_oneof![
        any::<u8>().prop_map(Damage::Put),
        any::<u8>().prop_map(Damage::Insert),
        (1_u8..40).prop_map(Damage::Cut),
        (0.0..1.0, 1_u8..120).prop_map(|(from, length)| Damage::Copy(from, length)),
        prop::sample::select(vec![
            "nan",
            "inf",
            "-",
            "\"\"",
            "\n",
            "[[",
            "]",
            "{",
            "= \"",
            "99999999999999999999",
            "0x",
            "\u{0}",
            "\u{202e}",
            "\t",
            "\\u0000",
            "1e39 V",
            "'''",
            ".",
            "include = [\"design.toml\"]\n",
        ])
        .prop_map(Damage::Insertion),
        Just(Damage::End),
    ];
    (0.0..1.0, what)
}

#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss
)]
fn at(bytes: &[u8], share: f64) -> usize {
    ((bytes.len() as f64 * share) as usize).min(bytes.len())
}

fn apply(bytes: &mut Vec<u8>, place: f64, damage: &Damage) {
    let here = at(bytes, place);
    match damage {
        Damage::Put(byte) => {
            if let Some(old) = bytes.get_mut(here) {
                *old = *byte;
            }
        }
        Damage::Insert(byte) => bytes.insert(here, *byte),
        Damage::Cut(length) => {
            let end = (here + usize::from(*length)).min(bytes.len());
            bytes.drain(here..end);
        }
        Damage::Copy(from, length) => {
            let start = at(bytes, *from);
            let end = (start + usize::from(*length)).min(bytes.len());
            let stretch = bytes[start..end].to_vec();
            bytes.splice(here..here, stretch);
        }
        Damage::End => bytes.truncate(here),
        Damage::Insertion(text) => {
            bytes.splice(here..here, text.bytes());
        }
    }
}

/// Reads and renders; every place has to lie in its file.
fn survives(files: &Damaged) {
    let read = DesignFile::read_from(files, Path::new("design.toml"));
    let plain = read.render(Paint::Plain);
    assert_eq!(plain.is_empty(), read.problems.is_empty());
    for problem in read.problems.iter().chain(&read.open) {
        let source = &read.sources[problem.place.file];
        assert!(problem.place.start <= source.text.len() + 1);
        let _ = read.position(&problem.place);
    }
    if read.problems.is_empty() {
        let _ = summary(&read);
        for source in &read.sources {
            let unknown = known_keys::unknown_key(&SCHEMA, &source.text);
            assert_eq!(unknown, None, "accepted in silence");
        }
    }
}

/// A fixture as two files; one that has its parts in the design file has an empty
/// second file.
fn undamaged(which: usize) -> Damaged {
    let design = path(FIXTURES[which]);
    Damaged {
        parts: std::fs::read(design.with_file_name("parts.toml")).unwrap_or_default(),
        design: std::fs::read(design).unwrap(),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn damaged_files_are_refused_or_read_without_a_panic(
        which in 0_usize..FIXTURES.len(),
        of_parts in any::<bool>(),
        damages in prop::collection::vec(damage(), 1..12),
    ) {
        let mut files = undamaged(which);
        for (place, damage) in &damages {
            let bytes = if of_parts { &mut files.parts } else { &mut files.design };
            apply(bytes, *place, damage);
        }
        survives(&files);
    }

    /// With a key of a section misspelt by one letter nothing is accepted in silence.
    #[test]
    fn a_misspelt_key_is_refused(
        which in 0_usize..FIXTURES.len(),
        of_parts in any::<bool>(),
        place in 0.0..1.0,
        letter in b'a'..=b'z',
    ) {
        let mut files = undamaged(which);
        let bytes = if of_parts { &mut files.parts } else { &mut files.design };
        let start = at(bytes, place);
        let key = (start..bytes.len()).find(|here| {
            let rest = &bytes[*here..];
            rest[0] == b'\n' && rest.iter().skip(1).take_while(|b| **b != b'\n').any(|b| *b == b'=')
                && rest.get(1).is_some_and(u8::is_ascii_lowercase)
        });
        let Some(key) = key else { return Ok(()) };
        let spelt = bytes[key + 1];
        bytes[key + 1] = letter;
        survives(&files);
        if spelt != letter {
            let read = DesignFile::read_from(&files, Path::new("design.toml"));
            // "links" and "inks": no two keys of one section differ in their first letter alone.
            prop_assert!(!read.problems.is_empty());
        }
    }

    #[test]
    fn any_text_is_refused_or_read_without_a_panic(text in "(\\PC|\n|\"|=|\\[|\\]|\\{|\\}){0,200}") {
        survives(&Damaged { design: text.clone().into_bytes(), parts: text.into_bytes() });
    }
}

#[test]
fn deep_nesting_is_refused_without_a_panic() {
    for text in [
        "a = ".to_owned() + &"[".repeat(100_000),
        "a = ".to_owned() + &"{ a = ".repeat(50_000),
        "a.".repeat(100_000) + "a = 1",
        "[".repeat(100_000),
        "[[zone]]\n".repeat(5_000),
        "[vehicle]\ndomain = \"road\"\n".to_owned() + &"[[zone]]\nname = \"a\"\n".repeat(5_000),
        "\n".repeat(1 << 20),
    ] {
        survives(&Damaged {
            design: text.clone().into_bytes(),
            parts: Vec::new(),
        });
    }
}
