//! What the page of the sequences says beside its tables.

use std::path::Path;

use clap::Parser;
use orangeloom::cli::{Cli, run};

fn page(design: &str) -> String {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../fixtures");
    let file = file.join(design).join("design.toml").display().to_string();
    let words = ["orangeloom", "study", &file, "--sequences"];
    let page = run(&Cli::parse_from(words)).stdout;
    page.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn of_two_differences_the_one_that_is_passed_over_is_told() {
    let shunter = page("road-rail-shunter-mended");
    let told = "judged with join-window 3 V, because closes-within of Rp";
    assert!(shunter.contains(told), "{shunter}");
    // Here both are the same.
    assert!(!page("orchard-tractor-mended").contains("judged with"));
}
