//! Pages are as wide as COLUMNS says.

use std::process::Command;

fn widest(columns: &str, words: &[&str]) -> usize {
    let output = Command::new(env!("CARGO_BIN_EXE_orangeloom"))
        .args(words)
        .env("COLUMNS", columns)
        .output()
        .expect("the program runs");
    let page = String::from_utf8(output.stdout).expect("a page is text");
    let widest = page.lines().map(|line| line.chars().count()).max();
    widest.expect("a page has lines")
}

#[test]
fn tables_are_as_wide_as_the_page() {
    let starter = "../fixtures/starter/design.toml";
    let limits = ["limits", starter, "--reason", "bench only", "--show"];
    let tractor = "../fixtures/orchard-tractor/design.toml";
    for columns in [80, 100, 120] {
        let stated = columns.to_string();
        let of_limits = widest(&stated, &limits);
        assert!(of_limits <= columns, "{columns}: {of_limits}");
        let of_review = widest(&stated, &["review", tractor]);
        assert!(of_review <= columns, "{columns}: {of_review}");
    }
    // The table of conductors has so many numbers that it needs some more.
    let study = ["study", tractor];
    assert!(widest("80", &study) < widest("200", &study));
    assert!(widest("120", &study) <= 120);
}
