//! The review in every form says the same, and the forms are what other programs expect.

use std::collections::{HashMap, HashSet};
use std::path::PathBuf;

use clap::Parser;
use orangeloom::cli::{Cli, Exit, Outcome, run};

fn fixture(name: &str) -> String {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../fixtures");
    root.join(name).display().to_string()
}

fn orangeloom(words: &[&str]) -> Outcome {
    run(&Cli::parse_from(["orangeloom"].iter().chain(words)))
}

fn review(design: &str, words: &[&str]) -> Outcome {
    let design = fixture(&format!("{design}/design.toml"));
    orangeloom(&[&["review", design.as_str()], words].concat())
}

const DESIGNS: [&str; 3] = ["orchard-tractor", "lock-keepers-punt", "lake-rescue-truck"];

/// Name, attributes that it needs, others that it may have, elements in it.
type Element = (
    &'static str,
    &'static [&'static str],
    &'static [&'static str],
    &'static [&'static str],
);

/// What the schema that most build servers read (`junit.xsd` of the Apache Ant task, from
/// memory) lets stand in each element, and what it requires.
const SCHEMA: [Element; 10] = [
    ("testsuites", &[], &[], &["testsuite"]),
    (
        "testsuite",
        &[
            "name",
            "timestamp",
            "hostname",
            "tests",
            "failures",
            "errors",
            "time",
            "id",
            "package",
        ],
        &["skipped"],
        &["properties", "testcase", "system-out", "system-err"],
    ),
    ("properties", &[], &[], &["property"]),
    (
        "testcase",
        &["name", "classname", "time"],
        &[],
        &["skipped", "error", "failure"],
    ),
    ("skipped", &[], &["message"], &[]),
    ("error", &["type"], &["message"], &[]),
    ("failure", &["type"], &["message"], &[]),
    ("system-out", &[], &[], &[]),
    ("system-err", &[], &[], &[]),
    ("property", &["name", "value"], &[], &[]),
];

#[test]
fn the_junit_form_keeps_the_schema_and_its_counts_are_right() {
    for design in DESIGNS {
        let outcome = review(design, &["--junit"]);
        let document = roxmltree::Document::parse(&outcome.stdout).unwrap();
        for node in document.descendants().filter(roxmltree::Node::is_element) {
            let name = node.tag_name().name();
            let row = SCHEMA.iter().find(|row| row.0 == name);
            let (_, required, allowed, children) = row.unwrap_or_else(|| panic!("{name}"));
            for attribute in *required {
                assert!(node.has_attribute(*attribute), "{name} without {attribute}");
            }
            for attribute in node.attributes() {
                let known = required.iter().chain(*allowed);
                assert!(
                    known.copied().any(|one| one == attribute.name()),
                    "{name} {attribute:?}"
                );
            }
            for child in node.children().filter(roxmltree::Node::is_element) {
                assert!(children.contains(&child.tag_name().name()), "{name}");
            }
            if name == "testsuite" {
                let of = |wanted: &str| {
                    let all = node.descendants().filter(|one| one.has_tag_name(wanted));
                    all.count().to_string()
                };
                for (attribute, element) in [
                    ("tests", "testcase"),
                    ("failures", "failure"),
                    ("errors", "error"),
                    ("skipped", "skipped"),
                ] {
                    assert_eq!(node.attribute(attribute), Some(of(element).as_str()));
                }
            }
        }
    }
}

#[test]
fn no_two_tests_of_the_junit_form_have_one_name() {
    for entry in std::fs::read_dir(fixture("")).unwrap() {
        let design = entry.unwrap().file_name().into_string().unwrap();
        let outcome = review(&design, &["--junit"]);
        let document = roxmltree::Document::parse(&outcome.stdout).unwrap();
        let mut known = HashSet::new();
        for case in document.descendants() {
            if case.has_tag_name("testcase") {
                let name = (case.attribute("classname"), case.attribute("name"));
                assert!(known.insert(name), "{design}: {name:?} twice");
            }
        }
        assert!(!known.is_empty(), "{design}");
    }
}

/// Of each rule, in the order of its findings: verdict and whether it blocks, from JSON.
fn findings(json: &str) -> HashMap<String, Vec<(String, bool)>> {
    let document: serde_json::Value = serde_json::from_str(json).unwrap();
    let rules = document["rules"].as_array().unwrap();
    rules
        .iter()
        .map(|rule| {
            let findings = rule["findings"].as_array().unwrap().iter();
            let found = findings.map(|one| {
                let verdict = one["verdict"].as_str().unwrap().to_owned();
                (verdict, one["blocks"].as_bool().unwrap())
            });
            (rule["rule"].as_str().unwrap().to_owned(), found.collect())
        })
        .collect()
}

#[test]
fn a_test_passes_only_where_the_finding_holds_and_breaks_only_where_it_blocks() {
    for design in DESIGNS {
        let mut known = findings(&review(design, &["--json"]).stdout);
        for found in known.values_mut() {
            found.reverse();
        }
        let junit = review(design, &["--junit"]).stdout;
        let document = roxmltree::Document::parse(&junit).unwrap();
        for case in document
            .descendants()
            .filter(|one| one.has_tag_name("testcase"))
        {
            let class = case.attribute("classname").unwrap();
            let slug = class.strip_prefix("orangeloom.").unwrap();
            let (verdict, blocks) = known.get_mut(slug).unwrap().pop().unwrap();
            let end = case
                .first_element_child()
                .map(|child| child.tag_name().name());
            let expected = match (verdict.as_str(), blocks) {
                ("holds", _) => None,
                ("fails", true) => Some("failure"),
                ("open", true) => Some("error"),
                _ => Some("skipped"),
            };
            assert_eq!(end, expected, "{slug} {verdict}");
        }
        assert!(known.values().all(Vec::is_empty));
    }
}

#[test]
fn every_table_of_the_markdown_form_has_rows_of_one_width_and_every_rule_is_in_it() {
    for design in DESIGNS {
        let json = review(design, &["--json"]).stdout;
        let markdown = review(design, &["--markdown"]).stdout;
        let mut width = None;
        for line in markdown.lines() {
            let cells = line.replace("\\|", "").matches('|').count();
            if line.starts_with('|') {
                assert_eq!(cells, *width.get_or_insert(cells), "{line}");
            } else {
                width = None;
            }
        }
        for slug in findings(&json).keys() {
            assert!(markdown.contains(slug), "{design} {slug}");
        }
    }
}

#[test]
fn an_accepted_deviation_is_in_every_form_and_never_a_pass() {
    let accepted = fixture("orchard-tractor/accepted.toml");
    let plain = review("orchard-tractor", &["--json"]);
    let with = |form: &[&str]| {
        let words = [&["--accepted", accepted.as_str()], form].concat();
        let outcome = review("orchard-tractor", &words);
        // One of them is of severity stop.
        assert_eq!(outcome.exit, Exit::Fails);
        outcome.stdout
    };
    for form in [&[][..], &["--markdown"], &["--junit"], &["--json"]] {
        let printed = with(form);
        assert!(printed.contains("E. Maas"), "{form:?}");
        assert!(printed.contains("converter-capacity"), "{form:?}");
    }
    // It is among the files that were read.
    let json: serde_json::Value = serde_json::from_str(&with(&["--json"])).unwrap();
    let files = json["files"].as_array().unwrap();
    assert!(
        files.iter().any(|file| *file == accepted.as_str()),
        "{files:?}"
    );
    let markdown = with(&["--markdown"]);
    let from = markdown.lines().find(|line| line.contains("read from"));
    assert!(from.unwrap().contains("accepted.toml"), "{from:?}");
    let (before, after) = (findings(&plain.stdout), findings(&with(&["--json"])));
    for (slug, found) in &before {
        for (one, other) in found.iter().zip(&after[slug]) {
            assert_eq!(one.0, other.0, "{slug} has another verdict");
            let lifted = one.1 && !other.1;
            assert_eq!(lifted, slug == "converter-capacity", "{slug}");
        }
    }
}

/// The text of a page between the line of a rule and the next one.
fn block<'a>(page: &'a str, slug: &str) -> &'a str {
    let start = page.find(&format!("\n  {slug}\n")).unwrap_or(page.len());
    let block = page.get(start..).unwrap_or("");
    let next = |at: usize| {
        block
            .as_bytes()
            .get(at + 3)
            .is_none_or(|next| *next != b' ')
    };
    let end = block.match_indices("\n  ").map(|(at, _)| at);
    let end = end.skip(1).find(|at| next(*at)).unwrap_or(block.len());
    block.get(..end).unwrap_or("")
}

/// Whether a page says "and 4 more" somewhere.
fn is_shortened(page: &str) -> bool {
    let words: Vec<&str> = page.split_whitespace().collect();
    words.windows(3).any(|three| {
        three[0] == "and" && three[1].parse::<u32>().is_ok() && three[2].starts_with("more")
    })
}

#[test]
fn nothing_that_fails_is_left_out_and_what_is_open_beside_it_is_counted() {
    for design in DESIGNS {
        let json = review(design, &["--json"]).stdout;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let page = review(design, &[]).stdout;
        let everything = review(design, &["--all"]).stdout;
        let mut hidden = 0;
        for rule in json["rules"].as_array().unwrap() {
            let slug = rule["rule"].as_str().unwrap();
            let findings = rule["findings"].as_array().unwrap();
            let of = |verdict: &str| {
                let found = findings.iter().filter(|one| one["verdict"] == verdict);
                found.collect::<Vec<_>>()
            };
            let (fails, open) = (of("fails"), of("open"));
            if fails.is_empty() {
                continue;
            }
            let own = block(&page, slug);
            let words = own.split_whitespace().collect::<Vec<_>>().join(" ");
            for one in &fails {
                let thing = one["thing"].as_str().unwrap();
                assert!(words.contains(thing), "{design} {slug}: {thing}\n{own}");
            }
            if open.is_empty() {
                continue;
            }
            let count = open.len();
            let told = format!("open as well, at {count} place");
            assert!(words.contains(&told), "{design} {slug}: {told}\n{own}");
            let own = block(&everything, slug);
            let words = own.split_whitespace().collect::<Vec<_>>().join(" ");
            for one in &open {
                let thing = one["thing"].as_str().unwrap();
                assert!(words.contains(thing), "{design} {slug}: {thing}\n{own}");
            }
            hidden += 1;
        }
        assert!(hidden > 0 || design != "orchard-tractor", "{design}");
        assert!(!is_shortened(&everything), "{design}");
        assert_eq!(is_shortened(&page), page.contains("--all"), "{design}");
        let mut lines = page.lines().chain(everything.lines());
        assert!(lines.all(|line| line.chars().count() <= 80), "{design}");
    }
}

#[test]
fn a_margin_of_temperatures_is_in_kelvin() {
    let json = review("orchard-tractor", &["--json"]).stdout;
    assert!(json.contains("\"value_degC\""));
    assert!(json.contains("\"margin_K\""));
    assert!(!json.contains("\"margin_degC\""));
}

/// What a page says, without its line breaks.
fn on_one_line(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A directory with the mended tractor and all its records, gone at the end of a test.
struct Recorded(PathBuf);

impl Recorded {
    fn new(name: &str) -> Self {
        let directory =
            std::env::temp_dir().join(format!("orangeloom-{name}-{}", std::process::id()));
        std::fs::create_dir_all(&directory).unwrap();
        let own = Self(directory);
        let parts = fixture("orchard-tractor-mended/parts.toml");
        std::fs::copy(parts, own.0.join("parts.toml")).unwrap();
        let design = fixture("orchard-tractor-mended/design.toml");
        std::fs::copy(design, own.design()).unwrap();
        let readings = fixture("orchard-tractor-mended/readings.csv");
        orangeloom(&["record", &own.design(), &readings, "--write"]);
        own
    }

    fn design(&self) -> String {
        self.0.join("design.toml").display().to_string()
    }
}

impl Drop for Recorded {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn what_rests_on_a_record_tells_who_when_and_with_what() {
    let recorded = Recorded::new("signed");
    let form = |form: &str| orangeloom(&["review", &recorded.design(), form]).stdout;
    let json: serde_json::Value = serde_json::from_str(&form("--json")).unwrap();
    let markdown = form("--markdown").replace('\\', "");
    let page = on_one_line(&form("--all"));
    let (mut read, mut attested) = (0, 0);
    let rules = json["rules"].as_array().unwrap().iter();
    for one in rules.flat_map(|rule| rule["findings"].as_array().unwrap()) {
        let because = one["because"].as_str().unwrap_or("");
        let record = &one["record"];
        let told = |key: &str| record[key].as_str().unwrap();
        let words = if because.starts_with("read ") {
            read += 1;
            let (who, when, what) = (told("initials"), told("date"), told("instrument"));
            format!("read by {who} on {when} with {what}: a reading (design.toml:")
        } else if because.starts_with("attested ") {
            attested += 1;
            let (who, when) = (told("initials"), told("date"));
            format!("attested by {who} on {when}: an attestation (design.toml:")
        } else {
            assert!(
                !because.contains("a reading") && !because.contains("an attestation"),
                "{one}"
            );
            continue;
        };
        assert_eq!(told("revision"), "B");
        assert!(told("place").contains("design.toml:"), "{one}");
        for form in [because, &markdown, &page] {
            assert!(on_one_line(form).contains(&words), "{words}");
        }
    }
    assert!(read > 20 && attested > 20, "{read} {attested}");
}

#[test]
fn a_record_that_does_not_count_is_named_too() {
    let recorded = Recorded::new("uncounted");
    let design = recorded.design();
    let text = std::fs::read_to_string(&design).unwrap();
    std::fs::write(
        &design,
        text.replacen("revision = \"B\"", "revision = \"C\"", 1),
    )
    .unwrap();
    let page = on_one_line(&orangeloom(&["review", &design, "--all"]).stdout);
    let markdown = orangeloom(&["review", &design, "--markdown"])
        .stdout
        .replace('\\', "");
    for form in [&page, &markdown] {
        for words in [
            "do it again: a reading (design.toml:",
            "), by EM on 2026-03-14 with insulation tester 2",
            "do it again: an attestation (design.toml:",
        ] {
            assert!(form.contains(words), "{words}");
        }
    }
}

#[test]
fn papers_name_vehicle_revision_and_version_of_the_program() {
    let version = format!("orangeloom {}", env!("CARGO_PKG_VERSION"));
    let design = fixture("orchard-tractor-mended/design.toml");
    let readings = fixture("orchard-tractor-mended/readings.csv");
    let of = |words: &[&str]| orangeloom(words).stdout;
    for page in [
        of(&["review", &design]),
        of(&["review", &design, "--all"]),
        of(&["review", &design, "--markdown"]),
        of(&["record", &design, &readings]),
        of(&["compare", &design, &design]),
    ] {
        assert_eq!(page.matches(&version).count(), 1, "{page}");
        let at = page.find(&version).unwrap();
        assert!(page[..at].lines().count() < 6, "{page}");
    }
    let json: serde_json::Value =
        serde_json::from_str(&of(&["review", &design, "--json"])).unwrap();
    assert_eq!(json["vehicle"], "orchard tractor");
    assert_eq!(json["revision"], "B");
    assert_eq!(json["program_version"], env!("CARGO_PKG_VERSION"));
}

#[test]
fn of_one_input_of_a_thing_the_change_that_mends_all_is_told() {
    let told = |design| on_one_line(&review(design, &[]).stdout);
    // F3 needs 250600 A2s of its type, F4 136400 A2s of the same.
    let page = told("road-rail-shunter-mended");
    let fuse = "fuse type \"280 gR quick\" (parts.toml:117): melting I2t at least";
    assert!(page.contains(&format!("{fuse} 250600 A2s")), "{page}");
    assert_eq!(page.matches(fuse).count(), 1, "{page}");
    // With a fuse of the series goes the window of each place.
    let page = told("lake-rescue-truck");
    let series = "rated current in the same series at most";
    assert!(page.matches(series).count() > 1, "{page}");
}
