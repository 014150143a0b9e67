//! The text of the faults fits a terminal of 80 columns, whatever the vehicle.

use std::path::Path;
use std::process::Command;

#[test]
fn no_line_is_wider_than_a_terminal() {
    let fixtures = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures");
    let mut seen = 0;
    for entry in std::fs::read_dir(fixtures).unwrap() {
        let file = entry.unwrap().path().join("design.toml");
        let shown = Command::new(env!("CARGO_BIN_EXE_orangeloom"))
            .args(["study", "--faults"])
            .arg(&file)
            .output()
            .unwrap();
        let text = String::from_utf8(shown.stdout).unwrap();
        assert!(text.contains("bolted short circuits"), "{text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{}: {line}", file.display());
            seen += 1;
        }
    }
    assert!(seen > 500, "{seen}");
}
