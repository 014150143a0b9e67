//! What `precharge` proposes holds when it is applied as it is printed.

use clap::Parser;
use orangeloom::cli::{Cli, run};

type Flags = Vec<(&'static str, String)>;

fn answer(flags: &Flags, form: &[&str]) -> String {
    let mut words = vec!["orangeloom", "precharge"];
    for (flag, value) in flags {
        words.extend([flag, value.as_str()]);
    }
    words.extend(form);
    let outcome = run(&Cli::parse_from(words));
    assert_eq!(outcome.stderr, "", "{flags:?}");
    outcome.stdout
}

/// The verdict of a check.
fn verdict(flags: &Flags, check: &str) -> String {
    let json: serde_json::Value = serde_json::from_str(&answer(flags, &["--json"])).unwrap();
    let checks = json["checks"].as_array().unwrap();
    let found = checks.iter().find(|one| one["name"] == check);
    let found = found.unwrap_or_else(|| panic!("{check}: {json:#}"));
    found["verdict"].as_str().unwrap().to_owned()
}

/// The words of a check, how a proposal for it begins, where its amount ends, the flag
/// that takes it, the check as JSON names it.
const PROPOSALS: [[&str; 5]; 14] = [
    [
        "time to the threshold",
        "a time-out of at least ",
        "",
        "--time-out",
        "time",
    ],
    [
        "time to the threshold",
        "a resistor of at most ",
        ":",
        "--resistor",
        "time",
    ],
    [
        "first current",
        "a resistor of at least ",
        ":",
        "--resistor",
        "peak-current",
    ],
    [
        "first current",
        "relay, fuse and wires that make and carry ",
        " for the",
        "--peak-current",
        "peak-current",
    ],
    [
        "first power",
        "a resistor of at least ",
        ":",
        "--resistor",
        "peak-power",
    ],
    [
        "first power",
        "a resistor for ",
        " at its peak",
        "--pulse-power",
        "peak-power",
    ],
    [
        "energy of one try",
        "a resistor for a pulse of ",
        " or more",
        "--pulse-energy",
        "try-energy",
    ],
    [
        "stored after all tries",
        "a resistor for a pulse of ",
        " or more",
        "--pulse-energy",
        "series-energy",
    ],
    [
        "relay closed on a short",
        "a resistor of at least ",
        ":",
        "--resistor",
        "stuck",
    ],
    [
        "current on closing",
        "close only when less than ",
        " is left",
        "--close-below",
        "inrush",
    ],
    [
        "current on closing",
        "a contactor that may close on ",
        "",
        "--make",
        "inrush",
    ],
    [
        "wait by the bleed alone",
        "print ",
        " on the label",
        "--label",
        "label",
    ],
    [
        "power of the bleed",
        "a bleed of at least ",
        "",
        "--bleed",
        "bleed-power",
    ],
    [
        "power of the bleed",
        "a bleed for ",
        " for ever",
        "--bleed-power",
        "bleed-power",
    ],
];

#[test]
fn a_proposal_holds_as_it_is_printed() {
    let mut tried = [0; PROPOSALS.len()];
    for step in 0..12_u16 {
        let odd = f32::from(step);
        let flags: Flags = vec![
            ("--voltage", format!("{} V", 391.37 + 3.911 * odd)),
            ("--capacitance", format!("{} uF", 1113.3 + 17.77 * odd)),
            ("--resistor", format!("{} ohm", 111.31 - 1.313 * odd)),
            ("--time-out", "0.3 s".to_owned()),
            ("--peak-current", "3 A".to_owned()),
            ("--pulse-power", "1 kW".to_owned()),
            ("--pulse-energy", "80 J".to_owned()),
            ("--make", format!("{} A", 10.37 + odd)),
            ("--loop-resistance", "0.1931 ohm".to_owned()),
            ("--bleed", "150 kohm".to_owned()),
            ("--bleed-power", "0.5 W".to_owned()),
            ("--label", "2 min".to_owned()),
            ("--discharge-time", "60 s".to_owned()),
            ("--tries", "3".to_owned()),
        ];
        let page = answer(&flags, &[]);
        let (_, steps) = page.split_once("Next steps\n").unwrap();
        let (steps, _) = steps.split_once("\n\n").unwrap();
        let steps = steps.replace("\n    ", " ");
        for line in steps.lines() {
            for (proposal, tried) in PROPOSALS.iter().zip(&mut tried) {
                let [about, begins, ends, flag, check] = proposal;
                let Some(amount) = line
                    .strip_prefix(&format!("  - {about}: "))
                    .and_then(|line| line.strip_prefix(begins))
                else {
                    continue;
                };
                let amount = match *ends {
                    "" => amount,
                    ends => amount.split(ends).next().unwrap(),
                };
                let mut changed = flags.clone();
                changed.retain(|(known, _)| known != flag);
                changed.push((flag, amount.to_owned()));
                assert_eq!(verdict(&flags, check), "fails", "{line}");
                assert_eq!(verdict(&changed, check), "holds", "{line} {flags:?}");
                *tried += 1;
            }
        }
    }
    for (proposal, tried) in PROPOSALS.iter().zip(tried) {
        assert!(tried > 0, "{proposal:?}");
    }
}

#[test]
fn the_largest_discharge_resistor_holds_as_it_is_printed_with_its_power() {
    for step in 0..12_u16 {
        let odd = f32::from(step);
        let flags: Flags = vec![
            ("--voltage", format!("{} V", 391.37 + 3.911 * odd)),
            ("--capacitance", format!("{} uF", 1113.3 + 17.77 * odd)),
            ("--time-out", "1 s".to_owned()),
            ("--bleed", "150 kohm".to_owned()),
            ("--bleed-power", "50 W".to_owned()),
            ("--discharge-time", format!("{} s", 43.7 + odd)),
        ];
        let page = answer(&flags, &[]).replace("\n    ", " ");
        let (_, rest) = page
            .split_once("touched: a resistor of at most ")
            .unwrap_or_else(|| panic!("{page}"));
        let (ohms, rest) = rest.split_once(", which takes ").unwrap();
        let (power, _) = rest.split_once(" on the full pack").unwrap();
        let mut changed = flags.clone();
        changed.retain(|(flag, _)| !flag.starts_with("--bleed"));
        changed.push(("--bleed", ohms.to_owned()));
        changed.push(("--bleed-power", power.to_owned()));
        assert_eq!(verdict(&flags, "discharge-time"), "fails");
        assert_eq!(verdict(&changed, "discharge-time"), "holds", "{ohms}");
        assert_eq!(verdict(&changed, "bleed-power"), "holds", "{power}");
    }
}

/// A pack of 75 to 108 V on 2.2 mF, with a bleed.
fn small_pack(bleed: &str) -> Flags {
    [
        ("--voltage", "108 V"),
        ("--lowest", "75 V"),
        ("--capacitance", "2.2 mF"),
        ("--resistor", "33 ohm"),
        ("--time-out", "0.9 s"),
        ("--bleed", bleed),
        ("--close-below", "1.5 V"),
        ("--loop-resistance", "12 mohm"),
        ("--make", "250 A"),
    ]
    .map(|(flag, value)| (flag, value.to_owned()))
    .to_vec()
}

/// Once nothing was said to draw: at the worst of both tolerances of 5 % the link settles at
/// 108 V x 2090 / (2090 + 34.65) = 106.24 V, and 106.5 V are needed.
#[test]
fn a_bleed_draws_while_the_link_is_charged() {
    let flags = small_pack("2.2 kohm");
    assert_eq!(verdict(&flags, "settles"), "fails");
    let page = answer(&flags, &[]);
    assert!(page.contains("the bleed of 2.2 kohm draws"), "{page}");
    assert!(page.contains("settles at 106.2 V"), "{page}");
    // 108 V x 34.65 / (34.65 + 0.95 R) <= 1.5 V from R = 2590 ohm on.
    assert_eq!(verdict(&small_pack("2.58 kohm"), "settles"), "fails");
    assert_eq!(verdict(&small_pack("2.6 kohm"), "settles"), "holds");
    // Keeping loads off keeps no bleed off.
    let mut loaded = flags;
    loaded.push(("--load", "0.1 A".to_owned()));
    let page = answer(&loaded, &[]);
    assert!(!page.contains("keep the loads off"), "{page}");
}

/// Once 2.7 kA from the link into the empty pack were told as 125 A.
#[test]
fn a_link_that_begins_above_the_empty_pack_is_told_and_mended() {
    let mut flags = small_pack("22 kohm");
    flags.push(("--start", "107 V".to_owned()));
    assert_eq!(verdict(&flags, "inrush"), "fails");
    let page = answer(&flags, &["--explain"]).replace("\n    ", " ");
    assert!(
        page.contains("32 V are left: the link begins above the pack of 75 V"),
        "{page}"
    );
    assert!(page.contains("(107 - 75) V / 0.012 ohm"), "{page}");
    let (_, rest) = page.split_once("(--start at most ").unwrap();
    let (most, _) = rest.split_once(')').unwrap();
    flags.pop();
    flags.push(("--start", most.to_owned()));
    assert_eq!(verdict(&flags, "inrush"), "holds", "{most}");
}
