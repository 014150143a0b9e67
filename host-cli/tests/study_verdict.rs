//! The verdict and the exit status of a study speak for all that it shows.

use clap::Parser;
use orangeloom::cli::{Cli, Exit, run};
use serde_json::Value;

/// Fixtures, and what they are shown with.
const FLAGS: [&[&str]; 4] = [
    &[],
    &["--faults"],
    &["--insulation"],
    &["--faults", "--insulation", "--sequences"],
];

fn study(name: &str, flags: &[&str]) -> (Value, Exit) {
    let file = format!("../fixtures/{name}/design.toml");
    let arguments = ["orangeloom", "study", &file, "--json"];
    let outcome = run(&Cli::parse_from(arguments.iter().chain(flags)));
    (serde_json::from_str(&outcome.stdout).unwrap(), outcome.exit)
}

/// Every word that stands under the key `verdict`, with the name of its section. A window
/// is about other fuses than the one that is there.
fn verdicts<'a>(value: &'a Value, section: &'a str, found: &mut Vec<(&'a str, &'a str)>) {
    match value {
        Value::Object(keys) => {
            for (key, value) in keys {
                match value.as_str() {
                    Some(verdict) if key == "verdict" => found.push((section, verdict)),
                    _ if key == "window" => {}
                    _ => verdicts(value, section, found),
                }
            }
        }
        Value::Array(all) => {
            for value in all {
                verdicts(value, section, found);
            }
        }
        _ => {}
    }
}

/// Once the faults, the insulation and the steps were left out of the verdict, and of the
/// status fuses and contactors.
#[test]
fn the_worst_that_is_shown_decides() {
    for name in ["orchard-tractor", "lake-rescue-truck-mended", "starter"] {
        for flags in FLAGS {
            let (document, exit) = study(name, flags);
            let mut found = Vec::new();
            for (section, value) in document.as_object().unwrap() {
                verdicts(value, section, &mut found);
            }
            let any = |verdict| found.iter().any(|(_, one)| *one == verdict);
            let expected = match (any("fails"), any("open")) {
                (true, _) => "fails",
                (false, true) => "open",
                (false, false) => "holds",
            };
            assert_eq!(document["verdict"], expected, "{name} {flags:?}");
            let asked = ["faults", "fuses", "contactors", "insulation", "sequences"];
            let open = |(section, one): &(&str, &str)| *one == "open" && asked.contains(section);
            let stops = expected == "fails" || found.iter().any(open);
            assert_eq!(exit == Exit::Fails, stops, "{name} {flags:?}");
        }
    }
}

/// Once such a fuse was missing from the list.
#[test]
fn a_fuse_without_a_type_is_open_in_the_list() {
    let directory = std::env::temp_dir().join(format!("orangeloom-{}", std::process::id()));
    std::fs::create_dir_all(&directory).unwrap();
    let file = directory.join("design.toml");
    let text = std::fs::read_to_string("../fixtures/starter/design.toml").unwrap();
    let parts = std::fs::read_to_string("../fixtures/starter/parts.toml").unwrap();
    let at = text.find("[[fuse]]").unwrap();
    let (before, after) = text.split_at(at);
    let less: Vec<&str> = after.splitn(2, "\ntype = ").collect();
    let rest = less[1].split_once('\n').unwrap().1;
    std::fs::write(&file, format!("{before}{}\n{rest}", less[0])).unwrap();
    std::fs::write(directory.join("parts.toml"), parts).unwrap();
    let file = file.to_str().unwrap();
    let outcome = run(&Cli::parse_from([
        "orangeloom",
        "study",
        file,
        "--faults",
        "--json",
    ]));
    std::fs::remove_dir_all(&directory).unwrap();
    assert_eq!(outcome.stderr, "");
    let document: Value = serde_json::from_str(&outcome.stdout).unwrap();
    let fuses = document["fuses"].as_array().unwrap();
    let open = fuses.iter().find(|fuse| fuse["open"].is_string()).unwrap();
    assert_eq!(open["verdict"], "open");
    assert_eq!(outcome.exit, Exit::Fails);
}

/// Once such a study failed with 0 limits failing and not a word of why in its first line.
#[test]
fn a_phase_without_an_operating_point_is_counted() {
    let directory = std::env::temp_dir().join(format!("orangeloom-phase-{}", std::process::id()));
    std::fs::create_dir_all(&directory).unwrap();
    let file = directory.join("design.toml");
    let text = std::fs::read_to_string("../fixtures/starter/design.toml").unwrap();
    // More than the battery can bring at any current.
    let (draw, too_much) = ("draws.drive = \"5 kW\"", "draws.drive = \"900 kW\"");
    assert!(text.contains(draw));
    std::fs::write(&file, text.replacen(draw, too_much, 1)).unwrap();
    std::fs::copy(
        "../fixtures/starter/parts.toml",
        directory.join("parts.toml"),
    )
    .unwrap();
    let file = file.to_str().unwrap();
    let outcome = run(&Cli::parse_from(["orangeloom", "study", file]));
    std::fs::remove_dir_all(&directory).unwrap();
    assert_eq!(outcome.exit, Exit::Fails, "{}", outcome.stderr);
    let head = outcome.stdout.replace('\n', " ");
    assert!(
        head.contains("Of 3 phases, 1 without an operating point, which fails."),
        "{head}"
    );
}
