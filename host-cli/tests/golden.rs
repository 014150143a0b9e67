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

#[test]
fn the_readme_shows_the_beginning_of_what_the_study_of_the_punt_prints() {
    use clap::Parser;
    let path = "../fixtures/lock-keepers-punt/design.toml";
    let cli = orangeloom::cli::Cli::parse_from(["orangeloom", "study", path]);
    let printed = orangeloom::cli::run(&cli).stdout;
    let readme = include_str!("../../README.md");
    let (_, shown) = readme.split_once("```text\n").expect("the README shows it");
    let (shown, _) = shown.split_once("```").expect("the block ends");
    assert!(!shown.is_empty() && printed.starts_with(shown), "{printed}");
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
