//! `orangeloom size --json` as another program reads it, against computed cases and
//! against what the trade does.

use std::process::Command;

use serde_json::Value;

/// Runs `size` with these flags and reads its JSON and its exit status.
fn size(flags: &[&str]) -> (Value, i32) {
    let output = Command::new(env!("CARGO_BIN_EXE_orangeloom"))
        .arg("size")
        .args(flags)
        .arg("--json")
        .output()
        .expect("the program runs");
    let text = String::from_utf8(output.stdout).expect("JSON is UTF-8");
    let value = serde_json::from_str(&text).unwrap_or_else(|error| {
        panic!("{error}: {text}{}", String::from_utf8_lossy(&output.stderr))
    });
    (
        value,
        output.status.code().expect("the program ends by itself"),
    )
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is not a number"))
}

/// The part of a case in `tests/reference_cases` that the flags need.
fn case(part: &str, id: &str) -> Value {
    let path = format!(
        "{}/../tests/reference_cases/{part}.json",
        env!("CARGO_MANIFEST_DIR")
    );
    let text = std::fs::read_to_string(path).expect("the cases are committed");
    let document: Value = serde_json::from_str(&text).expect("the cases are JSON");
    let cases = document["cases"]
        .as_array()
        .expect("a list of cases")
        .clone();
    cases
        .into_iter()
        .find(|case| case["id"] == id)
        .unwrap_or_else(|| panic!("no case {id}"))
}

/// Flags for the cable of a case.
fn build_flags(inputs: &Value, section: &str) -> Vec<String> {
    let millimetres = |key: &str| format!("{} mm", number(&inputs[key]) * 1000.0);
    let pairs = [
        ("--section", section.to_owned()),
        ("--conductor-diameter", millimetres("d_conductor_m")),
        ("--insulation-wall", millimetres("t_insulation_m")),
        ("--shield-wall", millimetres("t_shield_m")),
        ("--jacket-wall", millimetres("t_jacket_m")),
        ("--emissivity", inputs["emissivity"].to_string()),
        ("--ambient", format!("{} degC", inputs["t_ambient_c"])),
        ("--insulation-temperature", "125 degC".to_owned()),
    ];
    pairs
        .into_iter()
        .flat_map(|(flag, value)| [flag.to_owned(), value])
        .collect()
}

fn run(flags: &[String], more: &[&str]) -> Value {
    let flags: Vec<&str> = flags
        .iter()
        .map(String::as_str)
        .chain(more.iter().copied())
        .collect();
    size(&flags).0["candidates"][0].clone()
}

#[test]
fn permissible_currents_of_the_reference_cases() {
    // Computed independently in double precision (tests/reference_cases/README.md);
    // tolerances as stated there.
    for (id, section, more) in [
        ("A-amp-cu16-125-40", "16 mm2", &[][..]),
        ("A-amp-cu50-125-40", "50 mm2", &[]),
        ("A-amp-cu120-125-40", "120 mm2", &[]),
        ("A-amp-cu50-unshielded", "50 mm2", &[]),
        ("A-amp-cu95-3000m", "95 mm2", &["--altitude", "3000 m"]),
        ("A-amp-cu35-solar", "35 mm2", &["--absorbed", "8.2248 W/m"]),
    ] {
        let case = case("A", id);
        let flags = build_flags(&case["inputs"], section);
        let row = run(&flags, &[&["--current", "100 A"], more].concat());
        let current = number(&row["ampacity_A"]);
        let expected = number(&case["expected_simple_air"]["current_a"]);
        let tolerance = number(&case["tolerance"]["simple_current_rel"]);
        assert!(
            (current / expected - 1.0).abs() < tolerance,
            "{id}: {current} {expected}"
        );
        let margin = number(&row["ampacity_with_margin_A"]);
        assert!((margin / current - 0.87).abs() < 1e-6, "{id}: {margin}");
    }
}

#[test]
fn steady_temperature_with_shield_loss() {
    let case = case("A", "A-temp-cu120-lam");
    let flags = build_flags(&case["inputs"], "120 mm2");
    let loss = [
        "--current",
        "450 A",
        "--shield-loss",
        "1 W/m",
        "--shield-loss-ratio",
        "0.05",
    ];
    let row = run(&flags, &loss);
    let rise = number(&row["steady_temperature_degC"]) - 40.0;
    let expected = number(&case["expected_simple_air"]["t_conductor_c"]) - 40.0;
    let tolerance = number(&case["tolerance"]["simple_rise_rel"]);
    assert!(
        (rise / expected - 1.0).abs() < tolerance,
        "{rise} {expected}"
    );
}

#[test]
fn peaks_of_the_reference_cases() {
    for (id, section, peak) in [
        ("B-step-cu16-1s-2000A-pre0", "16 mm2", "2000 A for 1 s"),
        ("B-step-cu50-1s-6000A-pre0", "50 mm2", "6 kA for 1 s"),
        ("B-step-cu50-600s-440A-pre0", "50 mm2", "440 A for 10 min"),
        ("B-step-cu95-600s-700A-pre0", "95 mm2", "700 A for 600 s"),
    ] {
        let case = case("B", id);
        let flags = build_flags(&case["inputs"], section);
        let row = run(&flags, &["--current", "0 A", "--peak", peak]);
        let found = number(&row["peaks"][0]["temperature_degC"]);
        let expected = number(&case["expected"]["radial_8x4"]["t_peak_c"]);
        let tolerance = number(&case["tolerance"]["same_model_abs_k"]);
        assert!(
            (found - expected).abs() < tolerance,
            "{id}: {found} {expected}"
        );
    }
}

#[test]
fn the_trade_fits_70_mm2_to_the_boxes_of_a_400_v_pack() {
    // Common practice, no source: on a conversion of a passenger car with a pack of
    // about 400 V split over several boxes, the cables of each box are 70 mm2 and
    // shielded. At 250 A continuous, 85 degC air and a 125 degC insulation the answer
    // has to be within one size of that.
    let (answer, status) = size(&[
        "--current",
        "250 A",
        "--voltage",
        "400 V",
        "--length",
        "3 m",
        "--ambient",
        "85 degC",
        "--insulation-temperature",
        "125 degC",
        "--shield",
        "yes",
    ]);
    let section = number(&answer["choice"]["section_mm2"]);
    assert!([50.0, 70.0, 95.0].contains(&section), "{section}");
    assert_eq!(status, 0);
}

#[test]
fn every_promised_key_is_there() {
    let (answer, status) = size(&[
        "--current",
        "180 A",
        "--peak",
        "410 A for 20 s",
        "--voltage",
        "144 V",
        "--length",
        "4.5 ft",
        "--let-through",
        "2.0e5 A2s",
    ]);
    assert_eq!(status, 0);
    assert_eq!(answer["schema_version"], 1);
    assert_eq!(answer["verdict"], "holds");
    assert!(answer["inputs"].is_object());
    assert_eq!(answer["inputs"]["current_A"]["default"], false);
    assert_eq!(answer["inputs"]["margin"]["default"], true);
    let rows = answer["candidates"]
        .as_array()
        .expect("a list of candidates");
    assert!(rows.iter().any(|row| {
        row["designation"]
            .as_str()
            .is_some_and(|d| d.ends_with("AWG"))
    }));
    for row in rows {
        for key in [
            "section_mm2",
            "designation",
            "resistance_20degC_ohm_per_m",
            "steady_temperature_degC",
            "steady_temperature_with_margin_degC",
            "ampacity_A",
            "ampacity_with_margin_A",
            "peaks",
            "voltage_drop_V",
            "voltage_drop_percent",
            "loss_W_per_m",
            "withstand_A2s",
            "outer_diameter_mm",
            "mass_kg_per_m",
            "limits",
            "verdict",
        ] {
            assert!(!row[key].is_null(), "{key} of {}", row["designation"]);
        }
        for limit in row["limits"].as_array().expect("a list of limits") {
            for key in ["name", "value", "limit", "margin", "verdict", "source"] {
                assert!(!limit[key].is_null(), "{key} of {limit}");
            }
        }
        assert!(!row["peaks"][0]["temperature_degC"].is_null());
    }
}

#[test]
fn nothing_holds_is_an_answer_with_its_reason() {
    let (answer, status) = size(&["--current", "9 kA", "--ambient", "80 degC"]);
    assert_eq!(status, 1);
    assert!(answer["choice"].is_null());
    assert_eq!(answer["verdict"], "fails");
    let last = answer["candidates"]
        .as_array()
        .expect("a list")
        .last()
        .expect("not empty")
        .clone();
    assert_eq!(last["binding_limit"], "steady-temperature");
}

#[test]
fn a_gauge_is_never_a_metric_section() {
    let (answer, _) = size(&["--current", "100 A", "--section", "2/0 AWG"]);
    let area = number(&answer["candidates"][0]["section_mm2"]);
    // ASTM B258: 2/0 AWG is 67.43 mm2.
    assert!((area - 67.43).abs() < 0.01, "{area}");
    assert_eq!(answer["candidates"][0]["designation"], "2/0 AWG");
}

#[test]
fn the_air_of_a_piece_is_a_default_only_where_nobody_stated_it() {
    let flags = [
        "--current",
        "160 A",
        "--route",
        "free air 1 m at 40 degC",
        "--route",
        "tube 0.5 m",
    ];
    let (answer, _) = size(&flags);
    let pieces = answer["inputs"]["route"]["value"].as_array().unwrap();
    let air = |index: usize| &pieces[index]["ambient_degC"];
    assert_eq!(air(0)["default"], false);
    assert_eq!(air(1)["default"], true);
    assert!((number(&air(0)["value"]) - 40.0).abs() < 1e-6);
    let output = Command::new(env!("CARGO_BIN_EXE_orangeloom"))
        .arg("size")
        .args(flags)
        .output()
        .expect("the program runs");
    let page = String::from_utf8(output.stdout).expect("a page is text");
    let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
    let told = "air 60 degC for each piece of --route that states none (--ambient)";
    assert!(page.contains(told), "{page}");
    assert!(!page.contains("air 40 degC (--ambient)"), "{page}");
}
