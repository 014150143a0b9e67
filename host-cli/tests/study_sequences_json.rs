//! What happens step by step, as JSON.

use clap::Parser;
use orangeloom::cli::{Cli, run};
use serde_json::Value;

fn sequences(file: &str) -> Vec<Value> {
    let arguments = ["orangeloom", "study", file, "--sequences", "--json"];
    let printed = run(&Cli::parse_from(arguments)).stdout;
    let document: Value = serde_json::from_str(&printed).unwrap();
    document["sequences"].as_array().unwrap().clone()
}

#[test]
fn every_check_has_value_limit_verdict_and_source_or_says_why_it_is_open() {
    let checks = sequences("../fixtures/orchard-tractor/design.toml");
    let joined = checks
        .iter()
        .find(|one| one["name"] == "joined at")
        .unwrap();
    assert_eq!(joined["value"], 6.0);
    assert_eq!(joined["limit"], 1.5);
    assert_eq!(joined["margin"], -4.5);
    assert_eq!(joined["unit"], "V");
    assert_eq!(joined["verdict"], "fails");
    assert_eq!(joined["of"], "battery \"S1\"");
    for one in &checks {
        assert!(
            one["source"]
                .as_str()
                .is_some_and(|source| !source.is_empty())
        );
        let open = one["verdict"] == "open";
        assert_eq!(one["open_because"].is_string(), open, "{one}");
    }
    let without = |one: &Value| one["verdict"] != "open";
    let mended = sequences("../fixtures/orchard-tractor-mended/design.toml");
    assert!(!mended.is_empty() && mended.iter().all(without));
}
