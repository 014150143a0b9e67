//! Records go into a design without changing anything else in it, and two states of a
//! design are compared by what they say.

use std::fs;
use std::path::{Path, PathBuf};

use clap::Parser;
use orangeloom::cli::{Cli, Exit, Outcome, run};

fn fixture(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../fixtures")
        .join(name)
}

fn orangeloom(words: &[&str]) -> Outcome {
    run(&Cli::parse_from(["orangeloom"].iter().chain(words)))
}

/// A directory of its own for each test, with the tractor in it.
struct Bench(PathBuf);

impl Bench {
    fn new(name: &str) -> Self {
        Self::of(name, "orchard-tractor", &["design.toml", "parts.toml"])
    }

    fn of(name: &str, vehicle: &str, files: &[&str]) -> Self {
        let directory =
            std::env::temp_dir().join(format!("orangeloom-{name}-{}", std::process::id()));
        fs::create_dir_all(&directory).unwrap();
        for file in files {
            fs::copy(fixture(vehicle).join(file), directory.join(file)).unwrap();
        }
        Self(directory)
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).display().to_string()
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).unwrap()
    }

    fn put(&self, name: &str, text: &str) -> String {
        fs::write(self.0.join(name), text).unwrap();
        self.path(name)
    }

    fn record(&self, readings: &str, flags: &[&str]) -> Outcome {
        let design = self.path("design.toml");
        orangeloom(&[&["record", design.as_str(), readings], flags].concat())
    }

    /// Compares the tractor as it was with one in which texts were replaced.
    fn compare(&self, edits: &[(&str, &str)]) -> (Outcome, serde_json::Value) {
        let mut text = self.text("design.toml");
        for (from, to) in edits {
            assert!(text.contains(from), "{from}");
            text = text.replacen(from, to, 1);
        }
        let (old, new) = (self.path("design.toml"), self.put("new.toml", &text));
        let outcome = orangeloom(&["compare", &old, &new, "--json"]);
        let json = serde_json::from_str(&outcome.stdout).unwrap();
        (outcome, json)
    }

    /// The tests that are to be repeated after a change to another text: rule, thing and place.
    fn repeated(&self, new: &str) -> Vec<String> {
        let (old, new) = (self.path("design.toml"), self.put("new.toml", new));
        let outcome = orangeloom(&["compare", &old, &new, "--json"]);
        assert_ne!(outcome.exit, Exit::Unusable, "{}", outcome.stderr);
        let json: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
        tests_to_repeat(&json)
            .map(|test| {
                let text = |key: &str| test[key].as_str().unwrap_or("").to_owned();
                format!("{} {} {}", text("rule"), text("thing"), text("at"))
            })
            .collect()
    }
}

/// The tests of all stages that a comparison asks for.
fn tests_to_repeat(json: &serde_json::Value) -> impl Iterator<Item = &serde_json::Value> {
    let stages = list(json, "repeat").iter();
    stages.flat_map(|stage| list(stage, "tests"))
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

const SHEET: &str = "box;bond [mohm];test-current;instrument;initials;date;revision;rule;holds\r\n\
    J1;34,5;0.2 A;milliohm meter;EM;14.3.2026;A;;\r\n\
    ;;;;EM;15.3.2026;A;stop-and-crash;yes\r\n";

const TOML: &str = "[[reading]]\nbox = \"J1\"\nbond = \"34.5 mohm\"\ntest-current = \"0.2 A\"\n\
    instrument = \"milliohm meter\"\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"A\"\n\n\
    [[attestation]]\nrule = \"stop-and-crash\"\nholds = true\ninitials = \"EM\"\n\
    date = 2026-03-15\nrevision = \"A\"\n";

#[test]
fn a_sheet_and_toml_say_the_same_and_nothing_of_the_design_changes() {
    let bench = Bench::new("same");
    let before = bench.text("design.toml");
    let mut written = Vec::new();
    for (name, text) in [("a.csv", SHEET), ("a.toml", TOML)] {
        let readings = bench.put(name, text);
        let output = bench.path(&format!("{name}.design.toml"));
        let outcome = bench.record(&readings, &["--output", &output]);
        assert_eq!(outcome.exit, Exit::Holds, "{}", outcome.stderr);
        let after = fs::read_to_string(&output).unwrap();
        let added = after.strip_prefix(&before).expect("all stays as it was");
        written.push(added.replace("a.csv", "FILE").replace("a.toml", "FILE"));
        assert_eq!(orangeloom(&["check", &output]).exit, Exit::Holds);
    }
    assert_eq!(
        written[0].replace("34.5 mohm", "X"),
        written[1].replace("34.5 mohm", "X")
    );
    assert_eq!(
        bench.text("design.toml"),
        before,
        "nobody asked to write it"
    );
}

#[test]
fn what_is_written_is_found_again_and_not_written_twice() {
    let bench = Bench::new("again");
    let readings = bench.put("a.csv", SHEET);
    let first = bench.record(&readings, &["--write"]);
    assert_eq!(first.exit, Exit::Holds, "{}", first.stderr);
    let after = bench.text("design.toml");
    let second = bench.record(&readings, &["--write"]);
    assert!(
        second.stdout.contains("0 new, 2 there already"),
        "{}",
        second.stdout
    );
    assert_eq!(bench.text("design.toml"), after);
    let design = bench.path("design.toml");
    let review = orangeloom(&["review", &design, "--json"]);
    let review: serde_json::Value = serde_json::from_str(&review.stdout).unwrap();
    let rules = review["rules"].as_array().unwrap();
    let verdict = |slug: &str| {
        let rule = rules.iter().find(|rule| rule["rule"] == slug).unwrap();
        rule["verdict"].as_str().unwrap().to_owned()
    };
    assert_eq!(verdict("stop-and-crash"), "holds");
}

#[test]
fn a_file_that_is_there_is_not_overwritten_by_output() {
    let bench = Bench::new("there");
    let readings = bench.put("a.csv", SHEET);
    let output = bench.put("b.toml", "mine");
    let outcome = bench.record(&readings, &["--output", &output]);
    assert_eq!(outcome.exit, Exit::Unusable);
    assert_eq!(bench.text("b.toml"), "mine");
}

#[test]
fn a_record_that_contradicts_one_of_its_day_is_refused_and_one_of_a_later_day_counts() {
    let bench = Bench::new("clash");
    let of_day = |day: &str, bond: &str| {
        bench.put(
            "a.csv",
            &format!(
                "box,bond,test-current,instrument,initials,date,revision\n\
                 seat box,{bond},0.2 A,milliohm meter,EM,{day},A\n"
            ),
        )
    };
    // The design has 0.034 ohm of 2026-03-14.
    let same_day = bench.record(&of_day("2026-03-14", "0.2 ohm"), &["--write"]);
    assert_eq!(same_day.exit, Exit::Unusable);
    assert!(
        same_day.stderr.contains("records-clash"),
        "{}",
        same_day.stderr
    );
    let later = bench.record(&of_day("2026-03-15", "0.2 ohm"), &[]);
    assert_eq!(later.exit, Exit::Fails, "{}", later.stdout);
    let earlier = bench.record(&of_day("2026-03-13", "0.2 ohm"), &[]);
    assert_eq!(earlier.exit, Exit::Holds, "{}", earlier.stdout);
    let words = "what counts is a reading";
    assert!(earlier.stdout.contains(words), "{}", earlier.stdout);
}

#[test]
fn what_is_found_and_mended_on_one_day_is_told_apart_by_the_time_of_day() {
    let bench = Bench::new("one-day");
    let at = |found: &str, mended: &str| {
        let sheet = format!(
            "box;bond;test-current;instrument;initials;date;time-of-day;revision;rule;holds\n\
             J1;0,4 ohm;0.2 A;milliohm meter;EM;14.3.2026;{found};A;;\n\
             J1;34,5 mohm;0.2 A;milliohm meter;EM;14.3.2026;{mended};A;;\n\
             ;;;;EM;15.3.2026;{found};A;stop-and-crash;no\n\
             ;;;;EM;15.3.2026;{mended};A;stop-and-crash;yes\n"
        );
        bench.put("a.csv", &sheet)
    };
    let known = bench.record(&at("9:05", "14:30"), &["--write"]);
    assert_eq!(known.exit, Exit::Holds, "{}{}", known.stdout, known.stderr);
    let reason = "because it is of a later time-of-day";
    assert!(
        on_one_line(&known.stdout).contains(reason),
        "{}",
        known.stdout
    );
    let design = bench.path("design.toml");
    assert!(
        bench
            .text("design.toml")
            .contains("time-of-day = \"14:30\"")
    );
    let review = orangeloom(&["review", &design, "--all"]);
    let told = "by EM on 2026-03-14 14:30 with milliohm meter";
    assert!(
        on_one_line(&review.stdout).contains(told),
        "{}",
        review.stdout
    );
    let json = orangeloom(&["review", &design, "--json"]);
    assert!(json.stdout.contains("\"time_of_day\": \"14:30\""));

    let bench = Bench::new("one-day-open");
    let at = |found: &str, mended: &str| {
        let sheet = format!(
            "[[reading]]\nbox = \"J1\"\nbond = \"0.4 ohm\"\ntest-current = \"0.2 A\"\n\
             instrument = \"milliohm meter\"\ninitials = \"EM\"\ndate = 2026-03-14\n{found}\n\
             revision = \"A\"\n\n{}",
            TOML.replace("date = 2026-03-14", &format!("date = 2026-03-14\n{mended}"))
        );
        bench.record(&bench.put("a.toml", &sheet), &[])
    };
    // Mended after nobody knows when, before nobody knows what, and mended first.
    let [nine, three] = ["time-of-day = \"9:05\"", "time-of-day = \"15:10:20\""];
    assert_eq!(at(nine, three).exit, Exit::Holds);
    assert_eq!(at(three, nine).exit, Exit::Fails);
    for (found, mended) in [("", three), (nine, ""), (nine, nine), ("", "")] {
        let refused = at(found, mended);
        assert_eq!(refused.exit, Exit::Unusable, "{found} {mended}");
        assert!(refused.stderr.contains("time-of-day"), "{}", refused.stderr);
    }
    for wrong in [
        "24:00",
        "9",
        "9:60",
        "half past",
        "9:05 pm",
        "9:05:60",
        "-1:00",
    ] {
        let refused = at(&format!("time-of-day = \"{wrong}\""), three);
        assert_eq!(refused.exit, Exit::Unusable, "{wrong}");
        let told = format!("time-of-day is \"{wrong}\"");
        assert!(refused.stderr.contains(&told), "{}", refused.stderr);
    }
}

#[test]
fn a_record_of_another_revision_or_without_any_does_not_count() {
    let bench = Bench::new("revision");
    for revision in ["", "0"] {
        let readings = bench.put(
            "a.csv",
            &format!(
                "box,bond,test-current,instrument,initials,date,revision\n\
                 J1,0.01 ohm,0.2 A,milliohm meter,EM,2026-03-14,{revision}\n"
            ),
        );
        let outcome = bench.record(&readings, &[]);
        assert_eq!(outcome.exit, Exit::Fails, "{}", outcome.stdout);
        assert!(
            outcome.stdout.contains("bond-resistance: open"),
            "{}",
            outcome.stdout
        );
    }
}

/// What a page says, without its line breaks.
fn on_one_line(page: &str) -> String {
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn what_an_instrument_cannot_show_is_refused_with_what_to_write() {
    let bench = Bench::new("beyond");
    let refused = |head: &str, cell: &str| {
        let head = format!("{head};instrument;initials;date;revision");
        let sheet = format!("{head}\n{cell};tester;EM;2026-03-20;A\n");
        let outcome = bench.record(&bench.put("a.csv", &sheet), &["--write"]);
        assert_eq!(outcome.exit, Exit::Unusable, "{cell}: {}", outcome.stdout);
        assert!(outcome.stderr.contains("a.csv:2:"), "{}", outcome.stderr);
        outcome.stderr
    };
    let isolation = "isolation [Mohm];test-voltage";
    for cell in [">550 Mohm", "> 1,5 Gohm", "OL", "0.L", "inf"] {
        let told = refused(isolation, &format!("{cell};500 V"));
        assert!(
            told.contains("the largest value that the tester can show"),
            "{told}"
        );
    }
    let told = refused("isolation;test-voltage", "<0.01 Mohm;500 V");
    assert!(
        told.contains("read it at a setting that shows it"),
        "{told}"
    );
    let told = refused("box;bond;test-current", "J1;<0.01 ohm;0,2 A");
    assert!(
        told.contains("smallest step") && told.contains("as \"0.01 ohm\""),
        "{told}"
    );
    let told = refused("box;bond [ohm];test-current", "J1;OL;0,2 A");
    assert!(told.contains("the connection is open"), "{told}");
}

#[test]
fn below_a_row_stands_what_that_row_says_and_which_record_counts_in_its_place() {
    let bench = Bench::new("rows");
    let text = bench.text("design.toml");
    bench.put(
        "design.toml",
        &text.replacen("revision = \"A\"", "revision = \"B\"", 1),
    );
    let head = "isolation,test-voltage,instrument,initials,date,revision";
    let sheet = format!("{head}\n900 kohm,500 V,insulation tester 2,EM,2024-01-01,B\n");
    let readings = bench.put("a.csv", &sheet);
    let outcome = bench.record(&readings, &[]);
    // What counts is of another revision, and so open.
    assert_eq!(outcome.exit, Exit::Fails, "{}", outcome.stdout);
    let page = on_one_line(&outcome.stdout);
    let row = page.split("What the review makes").nth(1).unwrap();
    assert!(
        !row.contains("610000") && !row.contains("610 kohm"),
        "{page}"
    );
    assert!(row.contains("isolation 900 kohm at 500 V"), "{page}");
    let words = "insulation-test-level: open by another: what counts is a reading (design.toml:";
    assert!(row.contains(words), "{page}");
    assert!(
        row.contains("of 2026-03-14, because it is of a later day"),
        "{page}"
    );
    let json = bench.record(&readings, &["--json"]).stdout;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let record = &list(&json, "records")[0];
    assert!(list(record, "findings").is_empty());
    let superseded = list(record, "superseded");
    assert_eq!(superseded.len(), 3);
    let counts = superseded[0]["counts"].as_str().unwrap();
    assert!(counts.contains("design.toml:"), "{counts}");
}

#[test]
fn of_temperatures_that_stand_beside_each_other_each_is_told_by_its_row() {
    let bench = Bench::new("temperatures");
    let head = "conductor,temperature,current,air,instrument,initials,date,revision";
    // Of a revision that is not in force, so that none of them counts.
    let row = |read: &str, amperes: &str, day: &str| {
        format!("03+,{read},{amperes},20 degC,thermometer,EM,{day},Z\n")
    };
    let hot = row("60 degC", "200 A", "2026-03-20");
    let cool = row("21 degC", "10 A", "2026-03-21");
    let values = |rows: &[&str]| -> Vec<f64> {
        let readings = bench.put("a.csv", &format!("{head}\n{}", rows.concat()));
        let json = bench.record(&readings, &["--json"]).stdout;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        list(&json, "records")
            .iter()
            .flat_map(|record| list(record, "findings"))
            .filter_map(|one| one["value_K"].as_f64())
            .collect()
    };
    let alone = [values(&[&hot]), values(&[&cool])].concat();
    assert_eq!(alone.len(), 2);
    assert!((alone[0] - alone[1]).abs() > 1.0, "{alone:?}");
    assert_eq!(values(&[&hot, &cool]), alone);
}

#[test]
fn without_unit_instrument_initials_or_date_nothing_is_recorded() {
    let bench = Bench::new("lacks");
    let whole = [
        ("box", "J1"),
        ("bond", "0.01 ohm"),
        ("instrument", "milliohm meter"),
        ("initials", "EM"),
        ("date", "2026-03-14"),
    ];
    for lacking in 1..whole.len() {
        let cell = |at: usize, text: &str| match (at == lacking, at) {
            (true, 1) => "0.01".to_owned(),
            (true, _) => String::new(),
            (false, _) => text.to_owned(),
        };
        let head: Vec<&str> = whole.iter().map(|(key, _)| *key).collect();
        let row: Vec<String> = whole
            .iter()
            .enumerate()
            .map(|(at, (_, text))| cell(at, text))
            .collect();
        let readings = bench.put("a.csv", &format!("{}\n{}\n", head.join(","), row.join(",")));
        let outcome = bench.record(&readings, &["--write"]);
        assert_eq!(
            outcome.exit,
            Exit::Unusable,
            "{}: {}",
            whole[lacking].0,
            outcome.stdout
        );
    }
}

fn list<'a>(json: &'a serde_json::Value, key: &str) -> &'a Vec<serde_json::Value> {
    json[key].as_array().unwrap()
}

#[test]
fn a_design_against_itself_moves_nothing() {
    let bench = Bench::new("itself");
    let (outcome, json) = bench.compare(&[]);
    assert_eq!(outcome.exit, Exit::Holds);
    for key in [
        "worse", "better", "came", "gone", "values", "entries", "touched",
    ] {
        assert!(list(&json, key).is_empty(), "{key}");
    }
    for stage in list(&json, "repeat") {
        assert!(list(stage, "tests").is_empty());
    }
}

#[test]
fn order_spaces_and_comments_are_no_change() {
    let bench = Bench::new("order");
    let text = bench.text("design.toml");
    let vehicle = text.find("[vehicle]").unwrap();
    let second = text[vehicle + 1..].find("\n[").unwrap() + vehicle + 2;
    let moved = format!(
        "{}{}\n# a word\n{}",
        &text[..vehicle],
        &text[second..],
        &text[vehicle..second]
    );
    let (old, new) = (bench.path("design.toml"), bench.put("new.toml", &moved));
    let outcome = orangeloom(&["compare", &old, &new]);
    assert!(
        outcome.stdout.contains("Nothing moved."),
        "{}",
        outcome.stdout
    );
}

#[test]
fn a_new_revision_alone_opens_records_and_touches_nothing() {
    let bench = Bench::new("revised");
    let (outcome, json) = bench.compare(&[("revision = \"A\"", "revision = \"B\"")]);
    assert_eq!(
        outcome.exit,
        Exit::Fails,
        "an open stop rule that held is worse"
    );
    assert!(list(&json, "entries").is_empty());
    assert!(list(&json, "touched").is_empty());
    let worse = list(&json, "worse");
    assert!(
        worse
            .iter()
            .any(|pair| pair["new"]["rule"] == "bond-resistance")
    );
}

#[test]
fn a_zone_that_is_hotter_reaches_what_runs_through_it_and_asks_for_its_tests() {
    let bench = Bench::new("hotter");
    let (_, json) = bench.compare(&[("\"140 degF\"", "\"170 degF\"")]);
    assert_eq!(json["same_revision"], true);
    let touched: Vec<&str> = list(&json, "touched")
        .iter()
        .map(|one| one.as_str().unwrap())
        .collect();
    assert!(touched.contains(&"conductor \"03+\""), "{touched:?}");
    let values = list(&json, "values");
    assert!(
        values
            .iter()
            .any(|pair| pair["new"]["rule"] == "conductor-temperature")
    );
    let tests: Vec<&serde_json::Value> = tests_to_repeat(&json).collect();
    assert!(tests.iter().any(|test| test["rule"] == "isolation-limit"));
    assert!(tests.iter().any(|test| test["rule"] == "joint-resistance"));
    // What is computed is computed again by itself.
    assert!(
        !tests
            .iter()
            .any(|test| test["rule"] == "conductor-temperature")
    );
}

#[test]
fn a_larger_share_shows_fewer_values() {
    let bench = Bench::new("share");
    // In air 17 K hotter what a fuse lets a cable bear for minutes moves by more than half.
    let text = bench
        .text("design.toml")
        .replacen("\"140 degF\"", "\"150 degF\"", 1);
    let (old, new) = (bench.path("design.toml"), bench.put("new.toml", &text));
    let count = |share: &str| {
        let outcome = orangeloom(&["compare", &old, &new, "--json", "--share", share]);
        let json: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
        list(&json, "values").len()
    };
    let shown = ["0.1 %", "5 %", "12 %", "50 %"].map(count);
    assert!(shown.is_sorted_by(|more, less| more >= less), "{shown:?}");
    assert!(
        shown[0] > 0 && shown[2] < shown[0] && shown[3] == 0,
        "{shown:?}"
    );
}

/// The mended demonstrations as their builders hand them over: readings and attestations are
/// recorded without a complaint, and the review of what is written then passes.
#[test]
fn the_mended_demonstrations_pass_with_their_readings() {
    for vehicle in ["lake-rescue-truck", "orchard-tractor", "road-rail-shunter"] {
        let mended = format!("{vehicle}-mended");
        let files = ["design.toml", "parts.toml", "readings.csv"];
        let bench = Bench::of(&mended, &mended, &files);
        let design = bench.path("design.toml");
        let before = orangeloom(&["review", &design]);
        assert_eq!(before.exit, Exit::Fails, "{vehicle}");
        let recorded = bench.record(&bench.path("readings.csv"), &["--write"]);
        assert_eq!(recorded.exit, Exit::Holds, "{}", recorded.stdout);
        let review = orangeloom(&["review", &design]);
        assert_eq!(review.exit, Exit::Holds, "{}", review.stdout);
        let first = review.stdout.lines().next().unwrap();
        assert!(first.ends_with("revision B: passes"), "{first}");
        // Only notes are left to tell the owner.
        for severity in ["  stop ", "  fix "] {
            let mut rows = review.stdout.lines();
            let row = rows.find(|row| row.starts_with(severity)).unwrap();
            assert!(row.contains(" 0 fail   0 open"), "{vehicle}: {row}");
        }
        limits_without_needless_reason(&bench);
    }
}

/// A reason that a passing review does not ask for is told and not kept; a file is replaced
/// whole, with nothing left beside it.
fn limits_without_needless_reason(bench: &Bench) {
    let (design, image) = (bench.path("design.toml"), bench.path("limits.bin"));
    let plain = orangeloom(&["limits", &design, "--out", &image]);
    assert_eq!(plain.exit, Exit::Holds, "{}", plain.stderr);
    let bytes = fs::read(&image).unwrap();
    let explained = ["limits", &design, "--out", &image, "--reason", "bench only"];
    let explained = orangeloom(&explained);
    assert_eq!(explained.exit, Exit::Holds, "{}", explained.stderr);
    let told = explained.stdout;
    assert!(told.contains("the reason was not needed"), "{told}");
    assert!(!told.contains("although"), "{told}");
    assert_eq!(fs::read(&image).unwrap(), bytes);
    assert!(!fs::exists(bench.path("limits.bin.new")).unwrap());
}

/// Once the row that names the delimiter was not found behind a byte order mark.
#[test]
fn a_sheet_may_begin_with_a_mark_and_name_its_delimiter() {
    let bench = Bench::new("mark");
    let readings = bench.put("a.csv", &format!("\u{feff}sep=;\r\n{SHEET}"));
    let outcome = bench.record(&readings, &[]);
    assert_eq!(outcome.exit, Exit::Holds, "{}", outcome.stderr);
}

#[test]
fn a_record_of_a_day_that_cannot_be_is_refused() {
    let bench = Bench::new("future");
    for (day, here) in [("2126-03-14", "not yet"), ("1926-03-14", "too long ago")] {
        let readings = bench.put("a.toml", &TOML.replace("2026-03-14", day));
        let outcome = bench.record(&readings, &[]);
        assert_eq!(outcome.exit, Exit::Unusable);
        let told = outcome.stderr;
        assert!(told.contains(&format!("it is dated {day}")), "{told}");
        assert!(told.contains(here), "{told}");
    }
}

/// Once such a record was kept without a word of the status.
#[test]
fn a_record_that_no_rule_reads_where_it_was_read_proves_nothing() {
    let bench = Bench::new("misplaced");
    let wrong = TOML.replace("box = \"J1\"", "conductor = \"03+\"");
    let outcome = bench.record(&bench.put("a.toml", &wrong), &[]);
    assert_eq!(
        outcome.exit,
        Exit::Fails,
        "{}{}",
        outcome.stdout,
        outcome.stderr
    );
}

/// Once the controller was new and gone, without its values.
#[test]
fn what_the_controller_keeps_is_changed_and_not_replaced() {
    let bench = Bench::new("controller");
    let (_, json) = bench.compare(&[("join-window = \"6 V\"", "join-window = \"7 V\"")]);
    let entries = list(&json, "entries");
    assert_eq!(entries.len(), 1, "{entries:?}");
    let text = entries[0].to_string();
    assert!(text.contains("6 V") && text.contains("7 V"), "{text}");
}

/// Once a larger share to be shown took tests out of the list of those to repeat.
#[test]
fn how_much_is_shown_changes_no_test_to_repeat() {
    let bench = Bench::new("repeat");
    let text = bench
        .text("design.toml")
        .replacen("\"140 degF\"", "\"170 degF\"", 1);
    let (old, new) = (bench.path("design.toml"), bench.put("new.toml", &text));
    let repeated = |share| {
        let outcome = orangeloom(&["compare", &old, &new, "--json", "--share", share]);
        let json: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
        (json["touched"].clone(), json["repeat"].clone())
    };
    let (touched, _) = repeated("1 %");
    assert!(touched.as_array().is_some_and(|all| all.len() > 1));
    assert_eq!(repeated("1 %"), repeated("90 %"));
}

#[test]
fn a_sheet_that_fails_fails_again_when_it_is_there_already() {
    let bench = Bench::new("fails-again");
    let readings = bench.put(
        "a.csv",
        "box;bond [mohm];test-current;instrument;initials;date;revision\n\
         S1;250;0.2 A;milliohm meter;EM;14.3.2026;A\n",
    );
    let first = bench.record(&readings, &["--write"]);
    assert_eq!(first.exit, Exit::Fails, "{}", first.stderr);
    for flags in [&[][..], &["--write"], &["--json"]] {
        let again = bench.record(&readings, flags);
        assert_eq!(again.exit, Exit::Fails, "{}", again.stdout);
        assert!(again.stdout.contains("fails"), "{}", again.stdout);
    }
    let again = bench.record(&readings, &[]).stdout;
    assert!(again.contains("0 new, 1 there already"), "{again}");
    assert!(again.contains("bond-resistance: fails"), "{again}");
    // A later reading that holds takes its place.
    let better = bench.put(
        "b.csv",
        "box;bond [mohm];test-current;instrument;initials;date;revision\n\
         S1;25;0.2 A;milliohm meter;EM;15.3.2026;A\n",
    );
    assert_eq!(bench.record(&better, &["--write"]).exit, Exit::Holds);
    assert_eq!(bench.record(&readings, &[]).exit, Exit::Holds);
}

#[test]
fn what_is_wrong_is_told_of_the_file_that_it_is_in() {
    let bench = Bench::new("which-file");
    let readings = bench.put("a.csv", SHEET);
    let design = bench.text("design.toml");
    bench.put("design.toml", &format!("{design}\n[[box]]\ncolour = 1\n"));
    let outcome = bench.record(&readings, &[]);
    assert_eq!(outcome.exit, Exit::Unusable);
    let last = outcome.stderr.lines().last().unwrap();
    assert!(last.contains("design.toml cannot be used"), "{last}");
    bench.put("design.toml", &design);
    let readings = bench.put("a.csv", "box;colour\nJ1;red\n");
    let outcome = bench.record(&readings, &[]);
    let last = outcome.stderr.lines().last().unwrap();
    assert!(last.contains("a.csv cannot be used"), "{last}");
}

/// Once the yes for all was told as holding everywhere.
#[test]
fn what_was_found_wanting_at_one_thing_is_told_beside_a_yes_for_all() {
    let bench = Bench::new("wanting");
    let row = |about: &str, holds: &str, day: &str| {
        let head = "rule;conductor;holds;initials;date;revision";
        format!("{head}\njoint-stack;{about};{holds};EM;{day}.3.2026;A\n")
    };
    let no = bench.put("no.csv", &row("03+", "no", "14"));
    assert_eq!(bench.record(&no, &["--write"]).exit, Exit::Fails);
    let all = bench.put("all.csv", &row("", "yes", "15"));
    let outcome = bench.record(&all, &["--write"]);
    assert_eq!(outcome.exit, Exit::Fails, "{}", outcome.stdout);
    let told = outcome.stdout;
    assert!(
        told.contains("joint-stack of conductor \"03+\": fails"),
        "{told}"
    );
    let again = bench.put("again.csv", &row("03+", "yes", "16"));
    assert_eq!(bench.record(&again, &["--write"]).exit, Exit::Holds);
    assert_eq!(bench.record(&all, &[]).exit, Exit::Holds);
}

/// Once an acceptance of 7.4 A too much covered whatever came of it in the same revision, and
/// one of the year 2099 counted.
#[test]
fn an_acceptance_covers_the_value_that_it_states_and_is_of_a_day_that_was() {
    let bench = Bench::new("accepts");
    let with = |text: &str| {
        let accepted = bench.put("accepted.toml", text);
        orangeloom(&[
            "review",
            &bench.path("design.toml"),
            "--accepted",
            &accepted,
        ])
    };
    let stated = "[[accepted]]\nrule = \"converter-capacity\"\nconverter = \"converter\"\n\
        reason = \"lamps and pump take turns\"\nwho = \"E. Maas\"\ndate = 2026-03-20\n\
        up-to = \"7.4 A\"\nrevision = \"A\"\n";
    let covered = with(stated);
    assert_eq!(covered.exit, Exit::Fails, "{}", covered.stderr);
    let told = covered.stdout.replace("\n    ", " ");
    assert!(told.contains("on 2026-03-20, up to 7.4 A: lamps"), "{told}");
    // Without it the review tells what it covers.
    let told = with(&stated.replace("up-to = \"7.4 A\"\n", "")).stdout;
    let told = told.replace("\n    ", " ");
    assert!(
        told.contains("however much it is (up-to would bind it), now 7.4 A too much"),
        "{told}"
    );
    let text = bench.text("design.toml");
    let needle = "rated = \"100 A\"\n";
    assert_eq!(text.matches(needle).count(), 1);
    bench.put("design.toml", &text.replace(needle, "rated = \"1 A\"\n"));
    let more = with(stated);
    assert_eq!(more.exit, Exit::Unusable);
    assert!(
        more.stderr.contains("is farther off than was accepted"),
        "{}",
        more.stderr
    );
    assert_eq!(with(&stated.replace("7.4 A", "106.4 A")).exit, Exit::Fails);
    for (wrong, word) in [
        ("7.4 ohm", "no-amount"),
        ("much", "no-amount"),
        ("", "missing-key"),
    ] {
        let refused = with(&stated.replace("7.4 A", wrong));
        assert_eq!(refused.exit, Exit::Unusable, "{wrong}");
        assert!(refused.stderr.contains(word), "{}", refused.stderr);
    }
    let later = with(&stated.replace("2026-03-20", "2099-03-20"));
    assert_eq!(later.exit, Exit::Unusable);
    assert!(
        later.stderr.contains("it is dated 2099-03-20"),
        "{}",
        later.stderr
    );
}

/// Once one entry for a drop accepted a conductor 85 K too hot too.
#[test]
fn an_acceptance_is_of_one_aspect_and_what_is_accepted_is_counted() {
    let bench = Bench::of(
        "aspects",
        "orchard-tractor-mended",
        &["design.toml", "parts.toml"],
    );
    let signed = "initials = \"EM\"\ndate = 2026-07-01\ninstrument = \"meter\"\nrevision = \"B\"\n";
    let readings = format!(
        "\n[[reading]]\nconductor = \"03+\"\ntemperature = \"145 degC\"\ncurrent = \"180 A\"\n\
         air = \"20 degC\"\n{signed}\n[[reading]]\nconductor = \"03+\"\ndrop = \"1 V\"\n\
         current = \"180 A\"\n{signed}"
    );
    bench.put("design.toml", &(bench.text("design.toml") + &readings));
    let with = |keys: &[&str]| {
        let entry = |keys: &&str| {
            format!(
                "[[accepted]]\nrule = \"measured-vs-computed\"\nconductor = \"03+\"\n{keys}\n\
                 reason = \"read twice\"\nwho = \"E. Maas\"\ndate = 2026-07-02\nrevision = \"B\"\n"
            )
        };
        let text: Vec<String> = keys.iter().map(entry).collect();
        let accepted = bench.put("accepted.toml", &text.concat());
        let design = bench.path("design.toml");
        orangeloom(&["review", &design, "--accepted", &accepted])
    };
    let (drop, heat) = ("aspect = \"drop-off\"", "aspect = \"temperature-off\"");
    let both = with(&[""]);
    assert_eq!(both.exit, Exit::Unusable, "{}", both.stdout);
    for told in [
        "in 2 aspects",
        drop,
        heat,
        "an [[accepted]] with its aspect",
    ] {
        assert!(both.stderr.contains(told), "{told}: {}", both.stderr);
    }
    // One of two is accepted, and the other is not.
    let one = on_one_line(&with(&[drop]).stdout);
    assert!(one.contains("with 1 accepted deviation "), "{one}");
    assert!(one.contains("85.42 K too much"), "{one}");
    let apart = with(&[drop, heat]);
    let told = on_one_line(&apart.stdout);
    assert!(
        told.contains("with 2 accepted deviations"),
        "{told}{}",
        apart.stderr
    );
    // Nobody accepts what is found later.
    let text = bench
        .text("accepted.toml")
        .replace("2026-07-02", "2026-06-30");
    let early = bench.put("early.toml", &text);
    let early = orangeloom(&["review", &bench.path("design.toml"), "--accepted", &early]);
    assert_eq!(early.exit, Exit::Unusable);
    let words = "was accepted on 2026-06-30, before it was found on 2026-07-01";
    assert_eq!(early.stderr.matches(words).count(), 2, "{}", early.stderr);
    // Each is bounded in its own unit.
    let bounded = |share: &str, kelvin: &str| {
        let up_to = |aspect: &str, most: &str| format!("{aspect}\nup-to = \"{most}\"");
        with(&[&up_to(drop, share), &up_to(heat, kelvin)])
    };
    assert_ne!(bounded("850.4 %", "85.42 K").exit, Exit::Unusable);
    for (share, kelvin, word) in [
        ("850.4 %", "85 K", "farther off"),
        ("800 %", "85.42 K", "farther off"),
        ("850.4 %", "85.42 %", "no-amount"),
        ("850.4 K", "85.42 K", "no-amount"),
    ] {
        let refused = bounded(share, kelvin);
        assert_eq!(refused.exit, Exit::Unusable, "{share} {kelvin}");
        assert!(refused.stderr.contains(word), "{}", refused.stderr);
    }
    for (keys, word) in [
        (&[drop, drop][..], "is accepted twice"),
        (&["", drop], "in 2 aspects"),
        (&["aspect = \"drop-of\""], "did you mean \"drop-off\""),
        (
            &["aspect = \"joint\""],
            "no finding about conductor \"03+\" in the aspect joint",
        ),
    ] {
        let refused = with(keys);
        assert_eq!(refused.exit, Exit::Unusable, "{keys:?}");
        assert!(refused.stderr.contains(word), "{}", refused.stderr);
    }
}

/// Once only sheets were refused, and a record of next year in the design held.
#[test]
fn a_record_of_a_day_that_is_not_yet_is_refused_wherever_it_stands() {
    let bench = Bench::new("not-yet");
    let whole = bench.text("design.toml");
    let record = |kind: &str, date: &str| {
        format!(
            "\n[[{kind}]]\nrule = \"stop-and-crash\"\nholds = true\ninitials = \"EM\"\n\
             date = {date}\nrevision = \"A\"\n"
        )
    };
    let reading = |date: &str| {
        let of_rule = "rule = \"stop-and-crash\"\nholds = true";
        let read = "isolation = \"1 Mohm\"\ntest-voltage = \"500 V\"\ninstrument = \"tester\"";
        record("reading", date).replace(of_rule, read)
    };
    for (record, line) in [
        (record("attestation", "2099-03-20"), 6),
        (reading("2099-03-20"), 7),
    ] {
        let design = bench.put("design.toml", &format!("{whole}{record}"));
        let line = whole.lines().count() + line;
        for verb in ["check", "review", "study"] {
            let refused = orangeloom(&[verb, &design]);
            assert_eq!(refused.exit, Exit::Unusable, "{verb}");
            let told = refused.stderr;
            assert!(
                told.contains("it is dated 2099-03-20, and today is"),
                "{told}"
            );
            assert!(
                told.contains(&format!("design.toml:{line}:")),
                "{line}: {told}"
            );
        }
        bench.put("design.toml", &whole);
        let refused = bench.record(&bench.put("a.toml", &record), &[]);
        assert_eq!(refused.exit, Exit::Unusable);
        assert_eq!(
            refused.stderr.matches("it is dated").count(),
            1,
            "{}",
            refused.stderr
        );
    }
    let known = format!("{whole}{}", reading("2026-07-01"));
    let design = bench.put("design.toml", &known);
    assert_eq!(orangeloom(&["check", &design]).exit, Exit::Holds);
}

/// Once "-" and a sign of no width were somebody, and counted.
#[test]
fn who_and_with_what_need_a_letter_or_a_digit() {
    let bench = Bench::new("nobody");
    let sheet = |instrument: &str, initials: &str| {
        let head = "isolation;test-voltage;instrument;initials;date;revision";
        let row = format!("900 kohm;500 V;{instrument};{initials};2026-07-01;A");
        bench.record(&bench.put("a.csv", &format!("{head}\n{row}\n")), &[])
    };
    assert_ne!(sheet("tester 2", "E. M.").exit, Exit::Unusable);
    assert_ne!(sheet("\u{6e2c}", "\u{d6}").exit, Exit::Unusable);
    for nobody in ["-", "--", "?", ".", "\u{200b}", "\u{2014}", "\u{3164}"] {
        for refused in [sheet(nobody, "EM"), sheet("tester", nobody)] {
            assert_eq!(refused.exit, Exit::Unusable, "{nobody:?}");
            assert!(refused.stderr.contains("a.csv:2:"), "{}", refused.stderr);
        }
    }
    // Signs that cannot be seen, or turn the line around.
    for unseen in ["E\u{200b}M", "EM\u{202e}", "E\u{e0041}M", "E\u{2028}M"] {
        let refused = sheet("tester", unseen);
        assert!(
            refused.stderr.contains("not-printable"),
            "{}",
            refused.stderr
        );
        assert!(!refused.stderr.contains(unseen), "{}", refused.stderr);
    }
    let design = bench.path("design.toml");
    let whole = bench.text("design.toml");
    let accepted = |who: &str, reason: &str| {
        let text = format!(
            "[[accepted]]\nrule = \"converter-capacity\"\nconverter = \"converter\"\n\
             reason = \"{reason}\"\nwho = \"{who}\"\ndate = 2026-03-20\nrevision = \"A\"\n"
        );
        orangeloom(&[
            "review",
            &design,
            "--accepted",
            &bench.put("accepted.toml", &text),
        ])
    };
    assert_ne!(accepted("E. Maas", "lamps and pump").exit, Exit::Unusable);
    for (who, reason) in [
        ("-", "lamps"),
        ("\u{200b}", "lamps"),
        ("E. Maas\u{202e}", "lamps"),
        ("E. Maas", "-"),
    ] {
        let refused = accepted(who, reason);
        assert_eq!(refused.exit, Exit::Unusable, "{who:?} {reason}");
        assert!(
            refused.stderr.contains("accepted.toml:"),
            "{}",
            refused.stderr
        );
    }
    bench.put(
        "design.toml",
        &whole.replacen("initials = \"EM\"", "initials = \"-\"", 1),
    );
    let refused = orangeloom(&["review", &design]);
    assert_eq!(refused.exit, Exit::Unusable);
    assert!(
        refused.stderr.contains("names nothing"),
        "{}",
        refused.stderr
    );
}

/// Once every edit listed the same rules of the whole vehicle, a torque none of its joints, and
/// nothing told of the image in the controller.
#[test]
fn a_change_asks_for_what_it_can_reach_and_for_the_image_of_the_controller() {
    let files = ["design.toml", "parts.toml"];
    let bench = Bench::of("reaches", "orchard-tractor-mended", &files);
    let asked = |edit: (&str, &str)| {
        let (_, json) = bench.compare(&[edit]);
        let tests: Vec<String> = tests_to_repeat(&json)
            .map(|test| {
                let text = |key: &str| test[key].as_str().unwrap().to_owned();
                format!("{} {}", text("rule"), text("thing"))
            })
            .collect();
        (tests, json["limits"].as_str().unwrap().to_owned())
    };
    let of_vehicle = |tests: &[String], rule: &str| {
        tests
            .iter()
            .any(|test| test.starts_with(&format!("{rule} ")))
    };
    // A phase 2 s longer: nothing is built otherwise.
    let (tests, _) = asked(("duration = \"180 s\"", "duration = \"182 s\""));
    for rule in [
        "brake-vacuum-reserve",
        "hipot-scope",
        "stop-and-crash",
        "bend-radius",
    ] {
        assert!(!of_vehicle(&tests, rule), "{tests:?}");
    }
    assert!(of_vehicle(&tests, "papers-complete"), "{tests:?}");
    let (tests, limits) = asked(("torque = \"13 lb ft\"", "torque = \"25 N m\""));
    for test in ["joint-torque", "joint-stack", "joint-resistance"] {
        let test = format!("{test} conductor \"03+\"");
        assert!(tests.contains(&test), "{tests:?}");
    }
    assert!(!of_vehicle(&tests, "stop-and-crash"), "{tests:?}");
    assert_eq!(limits, "same");
    // What the controller carries is of another vehicle now.
    for edit in [
        ("link = \"6.8 mF\"", "link = \"4.7 mF\""),
        ("string-limit = \"180 A\"", "string-limit = \"170 A\""),
    ] {
        assert_eq!(asked(edit).1, "differ", "{edit:?}");
    }
    let (old, new) = (bench.path("design.toml"), bench.path("new.toml"));
    let told = orangeloom(&["compare", &old, &new])
        .stdout
        .replace('\n', " ");
    assert!(told.contains("make its image anew"), "{told}");
}

/// Once a fuse, a contactor, a load or a battery of another kind left the box that somebody
/// opened for it, and the joints on its terminals, as they had been looked at.
#[test]
fn another_device_asks_for_its_box_and_for_the_joints_on_its_terminals() {
    let files = ["design.toml", "parts.toml"];
    let bench = Bench::of("opened", "orchard-tractor-mended", &files);
    let whole = bench.text("design.toml");
    let with = |from: &str, to: &str| {
        assert_eq!(whole.matches(from).count(), 1, "{from}");
        bench.repeated(&whole.replace(from, to))
    };
    let f1 = "name = \"F1\"\ntype = \"350 quick\"";
    let ks1 = "name = \"KS1+\"\ntype = \"250 A\"";
    for (from, to, inside, joints, others) in [
        (
            f1,
            f1.replace("350 quick", "300 battery"),
            "J1",
            &["03+", "01+"][..],
            ["S1", "drive"],
        ),
        (
            ks1,
            ks1.replace("250 A", "relay 10 A"),
            "S1",
            &["01+"],
            ["S2", "J1"],
        ),
        (
            "link = \"6.8 mF\"",
            "link = \"7.4 mF\"".to_owned(),
            "drive",
            &["03+", "03-"],
            ["S1", "J1"],
        ),
        (
            "y = \"0.1 uF\"",
            "y = \"0.12 uF\"".to_owned(),
            "drive",
            &["03+", "03-"],
            ["S1", "J1"],
        ),
        (
            "rated = \"2.2 kW\"",
            "rated = \"2.3 kW\"".to_owned(),
            "converter",
            &["05+", "05-"],
            ["S1", "J1"],
        ),
    ] {
        let tests = with(from, &to);
        let asks = |rule: &str, thing: &str| {
            let start = format!("{rule} {thing}");
            tests.iter().any(|test| test.starts_with(&start))
        };
        for rule in ["touch-protection", "bond-resistance", "loose-part-safe"] {
            assert!(
                asks(rule, &format!("box \"{inside}\"")),
                "{to}: {rule}: {tests:?}"
            );
            for other in others {
                assert!(
                    !asks(rule, &format!("box \"{other}\"")),
                    "{to}: {rule}: {tests:?}"
                );
            }
        }
        for rule in ["clearance", "creepage"] {
            let start = format!("{rule} ");
            let place = format!("box \"{inside}\"");
            let mut own = tests.iter().filter(|test| test.starts_with(&start));
            assert!(
                own.any(|test| test.ends_with(&place)),
                "{to}: {rule}: {tests:?}"
            );
        }
        for lead in joints {
            for rule in [
                "joint-stack",
                "joint-torque",
                "joint-resistance",
                "shield-cutback",
            ] {
                let thing = format!("conductor \"{lead}\"");
                assert!(asks(rule, &thing), "{to}: {rule} {lead}: {tests:?}");
            }
        }
        assert!(!asks("joint-stack", "conductor \"04+\""), "{to}: {tests:?}");
    }
}

#[test]
fn other_cells_ask_for_the_boxes_of_both_strings() {
    let files = ["design.toml", "parts.toml"];
    let bench = Bench::of("cells", "orchard-tractor-mended", &files);
    let whole = bench.text("design.toml");
    let parts = bench.text("parts.toml");
    let cells = parts.replacen("capacity = \"150 Ah\"", "capacity = \"152 Ah\"", 1);
    assert_ne!(parts, cells);
    bench.put("cells.toml", &cells);
    let found = bench.repeated(&whole.replace("[\"parts.toml\"]", "[\"cells.toml\"]"));
    for inside in ["S1", "S2"] {
        let test = format!("touch-protection box \"{inside}\" ");
        assert!(found.contains(&test), "{found:?}");
        let test = format!("reinforced-to-lv spacing \"bars to coils in {inside}\" ");
        assert!(found.contains(&test), "{found:?}");
    }
}

#[test]
fn a_branch_that_is_new_or_gone_opens_the_box_that_it_comes_from() {
    let files = ["design.toml", "parts.toml"];
    let bench = Bench::of("branch", "orchard-tractor-mended", &files);
    let whole = bench.text("design.toml");
    let branch = "\n[[box]]\nname = \"heater 2\"\nzone = \"under hood\"\nmetal = true\n\
        [[fuse]]\nname = \"F9\"\ntype = \"32 DC\"\nbox = \"J1\"\nfrom = \"J1.+\"\n\
        [[pair]]\ncircuit = \"09\"\nfrom = [\"F9.out\", \"J1.-\"]\nto = \"heater 2\"\ncable = \"HV 4\"\n\
        route = [{ zone = \"under hood\", length = \"1.9 m\", laid = \"touching-pair\", circuits = 1 }]\n\
        [[load]]\nname = \"heater 2\"\nbox = \"heater 2\"\nrated = \"2 kW\"\n";
    let more = format!("{whole}{branch}");
    let added = bench.repeated(&more);
    bench.put("design.toml", &more);
    let taken = bench.repeated(&whole);
    for (tests, how) in [(added, "added"), (taken, "taken")] {
        let has = |test: &str| tests.iter().any(|one| one.starts_with(test));
        for test in [
            "touch-protection box \"J1\"",
            "joint-stack conductor \"01+\"",
        ] {
            assert!(has(test), "{how}: {test}: {tests:?}");
        }
        assert!(!has("touch-protection box \"S1\""), "{how}: {tests:?}");
    }
}

/// Once "Nothing moved." stood above a list of what had.
#[test]
fn nothing_moved_is_said_only_where_no_record_is_another_either() {
    let bench = Bench::new("records");
    let whole = bench.text("design.toml");
    let with = |from: &str, to: &str| {
        assert!(whole.contains(from), "{from}");
        let new = whole.replacen(from, to, 1);
        let (old, new) = (bench.path("design.toml"), bench.put("new.toml", &new));
        on_one_line(&orangeloom(&["compare", &old, &new]).stdout)
    };
    let same = with("[[reading]]", "\n[[reading]]");
    assert!(same.contains("Nothing moved."), "{same}");
    let start = whole.find("[[reading]]\nbox").unwrap();
    let bond = &whole[start..start + whole[start..].find("revision").unwrap()];
    let changed = "bond: \"0.034 ohm\" -> \"0.0341 ohm\": reading: box seat box";
    for (from, to, told) in [
        (
            format!("{bond}revision = \"A\"\n"),
            "",
            "Records: 0 new, 1 gone, 0 changed.",
        ),
        ("\"0.034 ohm\"".to_owned(), "\"0.0341 ohm\"", changed),
        (
            "initials = \"EM\"".to_owned(),
            "initials = \"XX\"",
            "Records: 0 new, 0 gone, 1 changed.",
        ),
    ] {
        let page = with(&from, to);
        assert!(!page.contains("Nothing moved."), "{to}: {page}");
        assert!(page.contains(told), "{told}: {page}");
    }
}

#[test]
fn a_test_is_done_where_the_new_state_has_a_new_record_of_its_revision() {
    let bench = Bench::new("done");
    let whole = bench.text("design.toml");
    let once = |text: &str, after: &str, from: &str, to: &str| {
        let at = text.find(after).unwrap();
        let (head, tail) = text.split_at(at);
        assert!(tail.contains(from), "{from}");
        format!("{head}{}", tail.replacen(from, to, 1))
    };
    let revision =
        |text: &str, after: &str| once(text, after, "revision = \"A\"", "revision = \"B\"");
    let changed = once(
        &whole,
        "\"seat box\"",
        "metal",
        "label-wait = \"321 s\"\nmetal",
    );
    let changed = revision(&changed, "[vehicle]");
    let again = |revision: &str| {
        format!(
            "{changed}\n[[reading]]\nbox = \"seat box\"\nbond = \"0.034 ohm\"\n\
             test-current = \"0.2 A\"\ninitials = \"EM\"\ndate = 2026-05-01\n\
             instrument = \"milliohm meter\"\nrevision = \"{revision}\"\n"
        )
    };
    for (new, done, words) in [
        (changed.clone(), false, "to be done: seat box"),
        (again("B"), true, "done: seat box"),
        (again("A"), false, "to be done: seat box"),
        (
            revision(&changed, "bond = \"0.034 ohm\""),
            false,
            "to be done, its old record has only got another revision: seat box",
        ),
    ] {
        let (old, new) = (bench.path("design.toml"), bench.put("new.toml", &new));
        let page = on_one_line(&orangeloom(&["compare", &old, &new]).stdout);
        let words = format!("bond-resistance, {words}");
        assert!(page.contains(&words), "{words}: {page}");
        let json = orangeloom(&["compare", &old, &new, "--json"]).stdout;
        let json: serde_json::Value = serde_json::from_str(&json).unwrap();
        let test = tests_to_repeat(&json)
            .find(|test| test["rule"] == "bond-resistance" && test["thing"] == "box \"seat box\"");
        assert_eq!(test.unwrap()["done"], done, "{words}");
    }
}

#[test]
fn another_name_opens_no_box() {
    let files = ["design.toml", "parts.toml"];
    let bench = Bench::of("names", "orchard-tractor-mended", &files);
    let whole = bench.text("design.toml");
    for (was, is) in [
        ("\"F1", "\"F9"),
        ("\"KS1+\"", "\"KX1+\""),
        ("\"03\"", "\"33\""),
    ] {
        let (old, new) = (
            bench.path("design.toml"),
            bench.put("new.toml", &whole.replace(was, is)),
        );
        let outcome = orangeloom(&["compare", &old, &new, "--json"]);
        let json: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
        assert!(!list(&json, "entries").is_empty(), "{was}");
        for test in tests_to_repeat(&json) {
            let thing = test["thing"].as_str().unwrap();
            assert!(!thing.starts_with("box"), "{was}: {test}");
        }
    }
}

/// Once no rule read a temperature or a capacitance, and 0 ohm held.
#[test]
fn what_was_read_of_heat_and_capacitors_and_by_no_instrument_decides_the_status() {
    let bench = Bench::of(
        "heat",
        "orchard-tractor-mended",
        &["design.toml", "parts.toml"],
    );
    let record = |head: &str, row: &str| {
        let tail = "instrument;initials;date;revision";
        let sheet = format!("{head};{tail}\n{row};meter;EM;20.6.2026;B\n");
        let outcome = bench.record(&bench.put("a.csv", &sheet), &[]);
        let told = outcome.stdout.replace("\n      ", " ");
        (outcome.exit, told, outcome.stderr)
    };
    let heat = |about: &str, name: &str, degrees: &str| {
        let head = format!("{about};temperature [degC];current;air");
        record(&head, &format!("{name};{degrees};0 A;20 degC"))
    };
    for (about, name, rule) in [
        ("conductor", "03+", "conductor-temperature"),
        ("terminal", "drive.+", "terminal-temperature"),
        ("contactor", "KS1+", "terminal-temperature"),
    ] {
        let (exit, told, errors) = heat(about, name, "180");
        assert_eq!(exit, Exit::Fails, "{told}{errors}");
        assert!(told.contains(&format!("{rule}: fails")), "{told}{errors}");
    }
    // As warm as the air it was read in, without current.
    let (exit, told, _) = heat("conductor", "03+", "21");
    assert_eq!(exit, Exit::Holds, "{told}");
    assert!(told.contains("measured-vs-computed: holds"), "{told}");
    // Nothing is known of the heat of a fuse.
    let (exit, told, _) = heat("fuse", "F1", "30");
    assert_eq!(exit, Exit::Fails, "{told}");
    assert!(told.contains("no rule judges this thing by it"), "{told}");
    let (exit, told, _) = record("load;capacitance", "drive;68 mF");
    assert_eq!(exit, Exit::Fails, "{told}");
    assert!(
        told.contains("how far the capacitance is from the stated one"),
        "{told}"
    );
    let (exit, told, _) = record("box;bond [mohm];test-current", "S1;0;0.2 A");
    assert_eq!(exit, Exit::Fails, "{told}");
    assert!(told.contains("below what the instrument shows"), "{told}");
    let (exit, told, _) = record("box;bond [mohm];test-current;accuracy", "S1;99;0.2 A;10 %");
    assert_eq!(exit, Exit::Fails, "{told}");
    assert!(told.contains("108.9") || told.contains("0.1089"), "{told}");
    assert!(
        told.contains("at the worse end of its accuracy of 10 %"),
        "{told}"
    );
    // Millivolts at an end are a joint, with what is asked of joints.
    let (_, told, errors) = record("conductor;end;drop [mV];current", "03+;from;2;100 A");
    assert!(told.contains("joint-resistance"), "{told}{errors}");
    assert!(!told.contains("measured-vs-computed"), "{told}");
}

/// A year later: a change, and what it can reach is proven again.
#[test]
#[allow(clippy::too_many_lines)] // one vehicle through all its revisions
fn records_that_are_carried_over_count_but_for_what_is_done_again() {
    let bench = Bench::of(
        "carried",
        "orchard-tractor-mended",
        &["design.toml", "parts.toml", "readings.csv"],
    );
    let written = bench.record(&bench.path("readings.csv"), &["--write"]);
    assert_eq!(written.exit, Exit::Holds, "{}", written.stdout);
    let recorded = bench.text("design.toml");
    let changed = recorded.replacen("revision = \"B\"", "revision = \"C\"", 1);
    let review = |tail: &str| {
        let file = bench.put("design.toml", &format!("{changed}\n{tail}"));
        orangeloom(&["review", &file, "--junit"])
    };
    let holds = |outcome: &Outcome, slug: &str| {
        let class = format!("classname=\"orangeloom.{slug}\"");
        let mut cases = outcome.stdout.lines().filter(|line| line.contains(&class));
        cases.all(|case| case.ends_with("/>"))
    };
    let carry = |from: &str, to: &str, repeat: &str| {
        format!(
            "[[carry-over]]\nfrom = \"{from}\"\nto = \"{to}\"\nrepeat = [{repeat}]\n\
             initials = \"EM\"\ndate = 2026-11-01\n\n"
        )
    };
    // Nothing of the revision before counts by itself.
    let unchanged = review("");
    for slug in ["isolation-limit", "joint-torque", "touch-protection"] {
        assert!(!holds(&unchanged, slug), "{slug}");
    }
    let tests = "{ rule = \"joint-torque\", conductor = \"03+\" }, { rule = \"isolation-limit\" }";
    let again = review(&carry("B", "C", tests));
    assert!(holds(&again, "touch-protection"));
    assert!(!holds(&again, "isolation-limit"));
    // The sheet stands for every joint at once: one that is opened ends it for all.
    assert!(!holds(&again, "joint-torque"));
    let told = orangeloom(&["review", &bench.path("design.toml")]).stdout;
    let told = told.replace('\n', " ");
    assert!(told.contains("Records of revision B count for C: EM, 2026-11-01"));
    assert!(told.contains("but for 2 tests to do again"));
    // Nothing to do again: everything counts, over one step or two.
    for tail in [
        carry("B", "C", ""),
        carry("B", "B1", "") + &carry("B1", "C", ""),
    ] {
        let all = review(&tail);
        assert_eq!(all.exit, Exit::Holds, "{}", all.stderr);
        assert!(holds(&all, "isolation-limit"));
    }
    // What compare proposes is complete but for who stands for it, and is not proposed twice.
    let old = bench.put("old.toml", &recorded);
    let longer = changed.replacen("length = \"4.5 ft\"", "length = \"4.9 ft\"", 1);
    assert_ne!(longer, changed);
    let new = bench.put("design.toml", &longer);
    let proposed = |new: &str| {
        let outcome = orangeloom(&["compare", &old, new, "--json"]);
        let json: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
        json["carry_over"].as_str().map(String::from)
    };
    let entry = proposed(&new).unwrap();
    assert!(
        entry.contains("{ rule = \"shield-cutback\", conductor = \"03+\" }"),
        "{entry}"
    );
    assert!(entry.contains("{ rule = \"isolation-limit\" }"), "{entry}");
    let signed = format!("{longer}\n{entry}\ninitials = \"EM\"\ndate = 2026-11-01\n");
    let new = bench.put("design.toml", &signed);
    assert_eq!(proposed(&new), None);
    let carried = orangeloom(&["review", &new, "--junit"]);
    assert!(!holds(&carried, "shield-cutback"));
    assert!(!holds(&carried, "isolation-limit"));
    assert!(holds(&carried, "bond-resistance"));
    assert!(holds(&carried, "energising-order"));
    assert!(holds(&carried, "lv-and-hv-separate"));
    // From another revision, or to another one, it says nothing.
    for (from, to) in [("A", "C"), ("B", "D")] {
        let nothing = review(&carry(from, to, ""));
        assert!(!holds(&nothing, "isolation-limit"), "{from} {to}");
    }
    // Whoever signed it cannot have looked at what was read later.
    let earlier = carry("B", "C", "").replace("2026-11-01", "2026-01-01");
    assert!(!holds(&review(&earlier), "isolation-limit"));
    // Nobody stands for it, it is no test, or another one says the opposite.
    for (wrong, told) in [
        (
            carry("B", "C", tests) + &carry("B", "C", ""),
            "are carried over twice",
        ),
        (
            carry("B", "B1", tests) + &carry("B1", "C", "") + &carry("B", "C", ""),
            "are carried over twice",
        ),
        (carry("B", "B", ""), "without being carried over"),
        (
            carry("B", "C", "{ rule = \"joint-tork\" }"),
            "no rule is called",
        ),
        (
            carry("B", "C", "{ rule = \"joint-torque\", conductor = \"99\" }"),
            "99",
        ),
        (
            carry("B", "C", "").replace("initials = \"EM\"\n", ""),
            "initials",
        ),
    ] {
        let outcome = review(&wrong);
        assert_eq!(outcome.exit, Exit::Unusable, "{wrong}");
        assert!(outcome.stderr.contains(told), "{}", outcome.stderr);
    }
}
