//! `orangeloom new` writes files that `orangeloom check` reads, and overwrites nothing.

use std::path::PathBuf;
use std::process::{Command, Output};

fn orangeloom(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_orangeloom"))
        .args(args)
        .output()
        .unwrap()
}

/// A directory of this test, empty at the start and removed at the end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Self {
        let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
        let _ = std::fs::remove_dir_all(&path);
        Self(path)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

#[test]
fn the_starter_passes_check_and_study_and_is_not_overwritten() {
    let scratch = Scratch::new("starter");
    let directory = scratch.0.join("boat");
    let directory = directory.to_str().unwrap();
    let design = format!("{directory}/design.toml");

    let made = orangeloom(&["new", directory]);
    assert_eq!(made.status.code(), Some(0));
    for name in ["design.toml", "parts.toml", "design.schema.json"] {
        assert!(
            std::fs::exists(format!("{directory}/{name}")).unwrap(),
            "{name}"
        );
    }

    // What comes next is told, and what to expect of it.
    let told = String::from_utf8(made.stdout).unwrap();
    for next in ["study", "review"] {
        let command = format!("orangeloom {next} {design}");
        assert!(told.contains(&command), "{told}");
    }
    assert!(told.contains("does not pass"), "{told}");
    let reviewed = orangeloom(&["review", &design]);
    assert_eq!(reviewed.status.code(), Some(1));

    let checked = orangeloom(&["check", &design]);
    let told = String::from_utf8(checked.stdout).unwrap();
    assert_eq!(checked.status.code(), Some(0), "{told}");
    assert!(checked.stderr.is_empty());
    assert!(told.contains("75 V / 96 V / 108 V"), "{told}");
    assert!(told.contains("19.2 kWh"), "{told}");

    let studied = orangeloom(&["study", &design]);
    let told = String::from_utf8(studied.stdout).unwrap();
    assert_eq!(studied.status.code(), Some(0), "{told}");
    assert!(studied.stderr.is_empty());

    // A monitor may work from zero volts on; what is missing is told in plausible amounts.
    let text = std::fs::read_to_string(&design).unwrap();
    let with = |monitor: &str| {
        let text = text.replacen(
            "[vehicle]\n",
            &format!("[vehicle]\nmonitor = {monitor}\n"),
            1,
        );
        std::fs::write(&design, text).unwrap();
        let checked = orangeloom(&["check", &design]);
        (
            checked.status.code(),
            String::from_utf8(checked.stderr).unwrap(),
        )
    };
    assert_eq!(with("{ lowest = \"0 V\" }"), (Some(0), String::new()));
    let (status, told) = with("{ alarm = \"54\" }");
    assert_eq!(status, Some(2));
    assert!(told.contains("100 kohm"), "{told}");
    let (_, told) = with("{ alarms = 1 }");
    assert!(told.contains("an isolation monitor has no key"), "{told}");

    std::fs::write(&design, "mine").unwrap();
    let again = orangeloom(&["new", directory]);
    assert_eq!(again.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&design).unwrap(), "mine");
}

#[test]
fn errors_go_to_standard_error_with_exit_code_2() {
    let wrong = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/wrong/many.toml");
    let checked = orangeloom(&["check", wrong]);
    assert_eq!(checked.status.code(), Some(2));
    assert!(checked.stdout.is_empty());
    let told = String::from_utf8(checked.stderr).unwrap();
    assert_eq!(told.matches("error[").count(), 11, "{told}");
    assert!(
        told.ends_with("many.toml cannot be used: 11 errors\n"),
        "{told}"
    );
    assert!(!told.contains('\u{1b}'), "a pipe gets no colours");
}
