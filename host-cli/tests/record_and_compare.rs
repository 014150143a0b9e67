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
    assert!(earlier.stdout.contains("a later reading counts"));
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
    let tests: Vec<&serde_json::Value> = list(&json, "repeat")
        .iter()
        .flat_map(|stage| list(stage, "tests"))
        .collect();
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
fn a_record_of_a_day_that_is_not_yet_is_refused() {
    let bench = Bench::new("future");
    let readings = bench.put("a.toml", &TOML.replace("2026-03-14", "2126-03-14"));
    let outcome = bench.record(&readings, &[]);
    assert_eq!(outcome.exit, Exit::Unusable);
    assert!(
        outcome.stderr.contains("it is dated 2126-03-14"),
        "{}",
        outcome.stderr
    );
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

/// Once every edit listed the same rules of the whole vehicle, a torque none of its joints, and
/// nothing told of the image in the controller.
#[test]
fn a_change_asks_for_what_it_can_reach_and_for_the_image_of_the_controller() {
    let files = ["design.toml", "parts.toml"];
    let bench = Bench::of("reaches", "orchard-tractor-mended", &files);
    let asked = |edit: (&str, &str)| {
        let (_, json) = bench.compare(&[edit]);
        let stages = list(&json, "repeat").clone();
        let tests: Vec<String> = stages
            .iter()
            .flat_map(|stage| list(stage, "tests").clone())
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
