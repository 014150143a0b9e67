//! What the commands print, and with which exit status, is committed.
//!
//! After a change that is meant to alter the output:
//! `TRYCMD=overwrite cargo test -p orangeloom --test golden`, then read the diff.

#[test]
fn the_commands_print_what_is_committed() {
    trycmd::TestCases::new()
        .case("tests/cmd/*.trycmd")
        .case("../README.md");
}

#[test]
fn the_first_command_of_the_readme_is_the_one_whose_output_is_shown() {
    let readme = include_str!("../../README.md");
    let typed = joined(readme, "cargo run --release -- ");
    let shown = joined(readme, "$ orangeloom ");
    assert_eq!(typed, shown);
}

/// The rest of the command that begins with `start`, continuation lines joined.
fn joined(text: &str, start: &str) -> String {
    let (_, rest) = text.split_once(start).expect("the README has the command");
    let mut words = Vec::new();
    for line in rest.lines() {
        let line = line.trim_start_matches('>').trim();
        words.push(line.trim_end_matches('\\').trim().to_owned());
        if !line.ends_with('\\') {
            break;
        }
    }
    words.join(" ")
}
