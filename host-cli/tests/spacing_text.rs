//! `orangeloom spacing` as a builder reads it in a terminal.

use std::process::Command;

/// Runs `spacing` with these flags: its text and its exit status.
fn spacing(flags: &[&str]) -> (String, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_orangeloom"))
        .arg("spacing")
        .args(flags)
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("the text is UTF-8");
    let exit = output.status.code().expect("the program ends by itself");
    (text, exit)
}

#[test]
fn no_line_is_wider_than_a_terminal() {
    let cases: [&[&str]; 6] = [
        &[
            "--voltage",
            "806.4 V",
            "--clearance",
            "5.123 mm",
            "--creepage",
            "10.77 mm",
            "--explain",
        ],
        &[
            "--voltage",
            "806 V",
            "--insulation",
            "reinforced",
            "--mains",
            "230 V",
            "--tests",
        ],
        &[
            "--voltage",
            "1499 V",
            "--insulation",
            "reinforced",
            "--temporary",
            "2.5 kV",
            "--altitude",
            "5432 m",
            "--explain",
            "--tests",
        ],
        &[
            "--voltage",
            "690 V",
            "--alternating",
            "--surface",
            "ribbed",
            "--profile",
            "0 0; 5 0; 5 -3; 7 -3; 7 0; 12 0",
            "--units",
            "us",
        ],
        &[
            "--voltage",
            "806 V",
            "--pollution",
            "4",
            "--creepage",
            "9 mm",
            "--tests",
        ],
        &[
            "--table",
            "--surface",
            "ribbed",
            "--clearance",
            "4 mm",
            "--creepage",
            "9 mm",
            "--insulation",
            "reinforced",
            "--system-voltage",
            "300 V",
        ],
    ];
    for flags in cases {
        let (text, _) = spacing(flags);
        assert!(text.lines().count() > 20, "{flags:?}: {text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{flags:?}: {line}");
        }
    }
}

#[test]
fn every_mark_has_its_source() {
    let (text, _) = spacing(&["--voltage", "806 V", "--surface", "ribbed", "--tests"]);
    let (body, listed) = text.split_once("\nSources\n").expect("sources are listed");
    let listed = listed.split("\n\n").next().expect("the block ends");
    let count = listed
        .lines()
        .filter(|line| line.trim_start().starts_with('['))
        .count();
    assert!(count > 10, "{listed}");
    for number in 1..=count {
        let mark = format!("[{number}]");
        assert!(body.contains(&mark) && listed.contains(&mark), "{mark}");
    }
    assert!(!body.contains(&format!("[{}]", count + 1)));
}

#[test]
fn tests_and_limits_are_told_on_request() {
    let (short, _) = spacing(&["--voltage", "355 V"]);
    assert!(!short.contains("withstand") && short.contains("add --tests"));
    let (long, _) = spacing(&["--voltage", "355 V", "--tests"]);
    assert!(long.contains("withstand") && !long.contains("add --tests"));
    // What JSON tells does not hang on the flag.
    let json = spacing(&["--voltage", "355 V", "--json"]).0;
    assert!(json.contains("withstand") || json.contains("vehicle_isolation_least_V"));
    assert_eq!(
        json,
        spacing(&["--voltage", "355 V", "--json", "--tests"]).0
    );
}

#[test]
fn what_was_entered_and_stays_open_is_no_pass() {
    let long_enough = [
        "--voltage",
        "806 V",
        "--pollution",
        "3",
        "--clearance",
        "9 mm",
        "--creepage",
        "20 mm",
    ];
    let with = |group| spacing(&[&long_enough[..], &["--material-group", group]].concat());
    let (text, exit) = with("3b");
    assert!(text.contains("Creepage open: 20 mm as built"), "{text}");
    assert_eq!(exit, 1);
    let (text, exit) = with("3a");
    assert!(text.contains("Creepage holds: 20 mm as built"), "{text}");
    assert_eq!(exit, 0);
    // Nothing was entered: a requirement is no failure.
    let (_, exit) = spacing(&["--voltage", "806 V", "--material-group", "IIIb"]);
    assert_eq!(exit, 0);
}
