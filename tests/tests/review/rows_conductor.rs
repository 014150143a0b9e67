//! Rows of the rules about conductors and what is on their ends.

use orangeloom_core::review::RuleId;
use orangeloom_core::verdict::Verdict::{Fails, Holds};

use crate::edit::Edit::{self, Add, Drop, Set};
use crate::harness::{Row, fails, holds, open, says};
use crate::rows_fault::NO_BRAKE;
use crate::rows_reading::read;

/// Without current a conductor is as warm as the air around it.
const STILL: [Edit; 4] = [
    Set(
        "phase/work/draws",
        "{ drive = \"0 A\", heater = \"0 A\", inlet = \"0 A\" }",
    ),
    Set("phase/brake/draws", "{ drive = \"0 A\" }"),
    Set("phase/charge/draws", "{ drive = \"0 A\" }"),
    Set("consumer/lamps/rated", "\"0 A\""),
];
const ALL_125: Edit = Set("cable-type/LV 16/temperature-class", "\"125 degC\"");

macro_rules! still {
    ($degc:literal) => {
        &[
            STILL[0],
            STILL[1],
            STILL[2],
            STILL[3],
            ALL_125,
            // Nor does the controller allow anything to last.
            Drop("controller/keeps/string-limit"),
            Drop("controller/keeps/discharge-limit"),
            Drop("controller/keeps/charge-limit"),
            Set("zone/bay/air", $degc),
        ]
    };
}

/// Both conductors of the drive, so long.
macro_rules! drive_way {
    ($route:literal) => {
        &[
            Set("conductor/02+/route", $route),
            Set("conductor/02-/route", $route),
        ]
    };
}

/// A second converter, with a pump on a cable of this length.
macro_rules! second {
    ($length:literal) => {
        Add(concat!(
            r#"
[[load]]
name = "second"
box = "J1"
positive = "J1.c+"
negative = "J1.c-"
idle = "0 A"
lowest = "60 V"
highest = "130 V"
link = "1 uF"
y = "0.01 uF"
isolation = "10 Mohm"
alternating = false

[[converter]]
name = "second"
negative = "chassis"
output = "28 V"
rated = "40 A"
efficiency = "100 %"

[[conductor]]
circuit = "52"
from = "second.out+"
to = "LV.24+"
cable = "LV 16"
route = [{ zone = "bay", length = "0.5 m", laid = "free-air" }]
lug = "16 M8"
joint = "50 uohm"

[[consumer]]
name = "pump"
circuit = "53"
from = "LV.24+"
fuse = "low"
cable = "LV 16"
lug = "16 M8"
joint = "50 uohm"
route = [{ zone = "bay", length = ""#,
            $length,
            r#"", laid = "free-air" }]
rated = "20 A"
duty-share = "100 %"
essential = false
"#
        ))
    };
}

/// A second conductor beside 01+.
macro_rules! beside {
    ($cable:literal, $route:literal) => {
        Add(concat!(
            "\n[[conductor]]\ncircuit = \"01b+\"\nfrom = \"pack.+\"\nto = \"J1.+\"\ncable = \"",
            $cable,
            "\"\nroute = [{ laid = \"free-air\", zone = \"bay\"",
            $route,
            " }]\n"
        ))
    };
}

/// A temperature that somebody read in air of 20 degC.
macro_rules! hot {
    ($at:literal, $degrees:literal, $amperes:literal) => {
        read!(concat!(
            $at,
            "\ntemperature = \"",
            $degrees,
            "\"\ncurrent = \"",
            $amperes,
            "\"\nair = \"20 degC\""
        ))
    };
}

pub(crate) const ROWS: &[Row] = &[
    Row {
        rule: RuleId::ConductorTemperature,
        // The heat balance itself is held against tables and an independent solution in
        // conductor_against_tables and conductor_against_oracle.
        clause: "class less 10 K, common practice; without current the air, IEC 60287-1-1, 1.4.1.1 with I = 0",
        probes: &[
            // The root of the balance is taken from its hotter side, some 15 uK above the air.
            holds(still!("\"114.99 degC\""), [114.99, 115.0]),
            fails(still!("\"115.1 degC\""), [115.1, 115.0]),
            // What was read counts against the class itself, whatever was computed.
            holds(
                &[hot!("conductor = \"01+\"", "124.9 degC", "400 A")],
                [124.9, 125.0],
            ),
            fails(
                &[hot!("conductor = \"01+\"", "125.1 degC", "400 A")],
                [125.1, 125.0],
            ),
            // Hotter than was computed in cool air at little current: as many times hotter it
            // becomes in its duty and in the hottest air, 40 + 15.518 x 60 / 11.1 = 123.9 degC.
            holds(
                &[hot!("conductor = \"01+\"", "70 degC", "100 A")],
                [109.9, 115.0],
            ),
            fails(
                &[hot!("conductor = \"01+\"", "80 degC", "100 A")],
                [123.9, 115.0],
            ),
            // Cool at little current clears nothing that was hot at more, later or not; as
            // much does.
            fails(
                &[
                    hot!("conductor = \"01+\"", "125.1 degC", "400 A"),
                    hot!("conductor = \"01+\"", "40 degC", "399 A"),
                ],
                [125.1, 125.0],
            ),
            holds(
                &[
                    hot!("conductor = \"01+\"", "125.1 degC", "400 A"),
                    hot!("conductor = \"01+\"", "124.8 degC", "-400 A"),
                ],
                [124.8, 125.0],
            ),
            open(&[Drop("zone/bay/air")]),
            // What a load draws while nothing feeds it flows somewhere.
            open(&[Set("phase/work/closed", "[]")]),
            open(&[Drop("conductor/01+/cable")]),
            open(&[Drop("cable-type/HV 50/temperature-class")]),
            open(&[Drop("vehicle/bench vehicle/altitude")]),
            open(&[Drop("phase/work/duration")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ConductorPeakTemperature,
        clause: "class of the insulation, 125 degC; a repeating state is followed to 0.05 K, which is added",
        probes: &[
            holds(still!("\"124.9 degC\""), [124.9, 125.0]),
            fails(still!("\"125.1 degC\""), [125.1, 125.0]),
            open(&[Drop("zone/bay/air")]),
            open(&[Drop("phase/work/duration")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::DutyWindow,
        clause: "window no longer than the time constant of the cable, IEC 60853-2 (radial chain)",
        probes: &[says(Holds, &[]), open(&[Drop("phase/work/duration")])],
        never: &[(Fails, "the study chooses the window")],
    },
    Row {
        rule: RuleId::TerminalTemperature,
        clause: "lower of the limits of terminal and lug, from their datasheets: 105 degC",
        probes: &[
            holds(still!("\"104.99 degC\""), [104.99, 105.0]),
            fails(still!("\"105.1 degC\""), [105.1, 105.0]),
            // 120 A of the duty are 59 degC, the 140 A that the controller allows are 66.
            says(Fails, &[Set("lug-type/50 M8/limit", "\"62 degC\"")]),
            says(
                Holds,
                &[
                    Set("controller/keeps/discharge-limit", "\"120 A\""),
                    Set("lug-type/50 M8/limit", "\"62 degC\""),
                ],
            ),
            // The lower of both counts.
            fails(
                &[
                    STILL[0],
                    STILL[1],
                    STILL[2],
                    STILL[3],
                    Set("zone/bay/air", "\"95.1 degC\""),
                    Set("terminal/drive.+/limit", "\"95 degC\""),
                ],
                [95.1, 95.0],
            ),
            // A joint that was read counts where it is worse than what is stated.
            says(Fails, &[Set("reading/joint 01+ from/joint", "\"20 mohm\"")]),
            // What was read at a terminal, an end and a contactor, the least of what is there.
            holds(
                &[hot!("terminal = \"drive.+\"", "104.9 degC", "400 A")],
                [104.9, 105.0],
            ),
            fails(
                &[hot!("terminal = \"drive.+\"", "105.1 degC", "400 A")],
                [105.1, 105.0],
            ),
            fails(
                &[
                    hot!("conductor = \"02+\"\nend = \"to\"", "95.1 degC", "100 A"),
                    Set("terminal/drive.+/limit", "\"95 degC\""),
                ],
                [95.1, 95.0],
            ),
            fails(
                &[hot!("contactor = \"K+\"", "105.1 degC", "100 A")],
                [105.1, 105.0],
            ),
            holds(
                &[hot!("contactor = \"K+\"", "104.9 degC", "100 A")],
                [104.9, 105.0],
            ),
            open(&[
                hot!("contactor = \"Kp\"", "300 degC", "1 A"),
                Drop("lug-type/50 M8/limit"),
            ]),
            open(&[Drop("conductor/01+/joint")]),
            open(&[Drop("lug-type/50 M8/limit")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::VoltageDrop,
        // 127.86 A through 0.8 mohm of parts, 4 m and four joints: 0.391 V; 100 A through
        // 2 L of 0.5453 mohm/m and four joints of 20 uohm: 0.008 V + 0.1091 V/m. More drop
        // makes the converter draw no more, it hangs on J1.
        clause: "2 % of the empty battery: 0.02 x 75 V = 1.5 V; common practice",
        probes: &[
            holds(
                drive_way!(
                    "[{ zone = \"bay\", length = \"10 m\", laid = \"touching-pair\", circuits = 1 }]"
                ),
                [1.490, 1.5],
            ),
            fails(
                drive_way!(
                    "[{ zone = \"bay\", length = \"10.2 m\", laid = \"touching-pair\", circuits = 1 }]"
                ),
                [1.512, 1.5],
            ),
            open(&[Drop("cell-type/cell/minimum")]),
            open(&[Drop("conductor/02+/cable")]),
            // What a contact does not say counts as none, so the drop is the least.
            open(&[Drop("fuse-type/main/resistance")]),
            // 3 % of the 28 V of a second converter. 20 A through its 0.5 m and the pump's way,
            // 1.21 mohm/m at 20 degC (IEC 60228, class 5) that may come to 105 degC (0.00393/K),
            // 0.5 mohm of its fuse and four joints of 50 uohm: 0.0302 V and 0.03228 V/m.
            holds(&[second!("25 m")], [0.8372, 0.84]),
            fails(&[second!("25.2 m")], [0.8437, 0.84]),
            open(&[second!("1 m"), Drop("converter/second/output")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::CableVoltageClass,
        clause: "900 V d.c. (600 V a.c.) or 1500 V d.c. (1000 V a.c.), classes of ISO 19642-1, from memory",
        probes: &[
            holds(
                &[NO_BRAKE, Set("battery/cells/in-series", "225")],
                [900.0, 900.0],
            ),
            fails(&[Set("battery/cells/in-series", "226")], [904.0, 900.0]),
            open(&[Drop("cable-type/HV 50/voltage-class")]),
            open(&[Drop("conductor/01+/cable")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ParallelConductorsEqual,
        clause: "lengths within 5 %: 1.05 x 2 m; common practice",
        probes: &[
            holds(&[beside!("HV 50", ", length = \"2.099 m\"")], [2.099, 2.1]),
            fails(&[beside!("HV 50", ", length = \"2.101 m\"")], [2.101, 2.1]),
            says(Fails, &[beside!("HV 6", ", length = \"2 m\"")]),
            open(&[beside!("HV 50", "")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::GroupingAndSleeve,
        clause: "bundle and tube stated, factors of IEC 60364-5-52 table B.52.17 from memory",
        probes: &[
            says(Holds, &[]),
            says(
                Holds,
                &[Set(
                    "conductor/01+/route",
                    "[{ zone = \"bay\", length = \"2 m\", laid = \"free-air\" }]",
                )],
            ),
            open(&[Set(
                "conductor/01+/route",
                "[{ zone = \"bay\", length = \"2 m\" }]",
            )]),
            open(&[Set(
                "conductor/01+/route",
                "[{ zone = \"bay\", length = \"2 m\", circuits = 1 }]",
            )]),
            open(&[Set(
                "conductor/01+/route",
                "[{ zone = \"bay\", length = \"2 m\", laid = \"against-panel\" }]",
            )]),
            open(&[Drop("conductor/01+/route")]),
        ],
        never: &[(Fails, "what is stated is computed with")],
    },
    Row {
        rule: RuleId::LugFitsCable,
        clause: "barrel 0.95 to 1.2 times the section of the cable; common practice",
        probes: &[
            holds(
                &[Set("lug-type/50 M8/barrel", "\"47.5 mm2\"")],
                [0.95, 0.95],
            ),
            fails(
                &[Set("lug-type/50 M8/barrel", "\"47.4 mm2\"")],
                [0.948, 0.95],
            ),
            holds(&[Set("lug-type/50 M8/barrel", "\"60 mm2\"")], [1.2, 0.95]),
            fails(
                &[Set("lug-type/50 M8/barrel", "\"60.1 mm2\"")],
                [1.202, 1.2],
            ),
            says(Fails, &[Set("lug-type/50 M8/metal", "\"aluminium\"")]),
            says(Fails, &[Set("cable-type/HV 50/metal", "\"aluminium\"")]),
            says(
                Holds,
                &[
                    Set("cable-type/HV 50/metal", "\"aluminium\""),
                    Set("lug-type/50 M8/metal", "\"aluminium\""),
                ],
            ),
            open(&[
                Set("cable-type/HV 50/metal", "\"aluminium\""),
                Drop("lug-type/50 M8/metal"),
            ]),
            says(Holds, &[Drop("lug-type/50 M8/metal")]),
            open(&[Drop("lug-type/50 M8/barrel")]),
            open(&[Drop("conductor/01+/lug")]),
            open(&[Drop("conductor/01+/cable")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::LugFitsStud,
        clause: "play of the stud at most 1 mm, metal beside the hole at least the section of the cable; common practice",
        probes: &[
            holds(&[Set("lug-type/50 M8/hole", "\"9 mm\"")], [1.0, 1.0]),
            fails(&[Set("lug-type/50 M8/hole", "\"9.01 mm\"")], [1.01, 1.0]),
            holds(&[Set("lug-type/50 M8/hole", "\"8 mm\"")], [0.0, 1.0]),
            fails(&[Set("lug-type/50 M8/hole", "\"7.9 mm\"")], [7.9, 8.0]),
            // (22 - 12) x 5 = 50.
            holds(
                &[Set("lug-type/50 M8/palm-width", "\"18.5 mm\"")],
                [50.5, 50.0],
            ),
            fails(
                &[Set("lug-type/50 M8/palm-width", "\"18.3 mm\"")],
                [49.5, 50.0],
            ),
            open(&[Drop("lug-type/50 M8/hole")]),
            open(&[Drop("terminal/J1.+/stud")]),
            open(&[Drop("lug-type/50 M8/palm-width")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::GlandFitsCable,
        clause: "outer diameter of the cable in the range of the gland, which clamps the shield; common practice",
        probes: &[
            holds(
                &[Set("gland-type/M32/thickest", "\"17.5 mm\"")],
                [17.5, 17.5],
            ),
            fails(
                &[Set("gland-type/M32/thickest", "\"17.4 mm\"")],
                [17.5, 17.4],
            ),
            holds(
                &[Set("gland-type/M32/thinnest", "\"17.5 mm\"")],
                [17.5, 17.5],
            ),
            fails(
                &[Set("gland-type/M32/thinnest", "\"17.6 mm\"")],
                [17.5, 17.6],
            ),
            says(Fails, &[Set("gland-type/M32/clamps-shield", "false")]),
            open(&[Drop("gland-type/M32/clamps-shield")]),
            open(&[Drop("gland-type/M32/thickest")]),
            open(&[Drop("conductor/01+/gland")]),
            open(&[Drop("cable-type/HV 50/outer-diameter")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ShieldBothEnds,
        clause: "round contact, else a pigtail of 25 mm at most; common practice of drive makers",
        probes: &[
            holds(
                &[Set("conductor/01+/shield", "\"pigtail 25 mm\"")],
                [25.0, 25.0],
            ),
            fails(
                &[Set("conductor/01+/shield", "\"pigtail 25.1 mm\"")],
                [25.1, 25.0],
            ),
            says(Fails, &[Set("conductor/01+/shield", "\"not-connected\"")]),
            open(&[Drop("conductor/01+/shield")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::UnshieldedJustified,
        clause: "a shield on what a switching device drives; common practice, 200 mm away quoted by the harness trade",
        probes: &[
            says(Holds, &[]),
            says(
                Fails,
                &[
                    Set("cable-type/HV 50/shielded", "false"),
                    Drop("cable-type/HV 50/braid"),
                ],
            ),
            open(&[Drop("cable-type/HV 50/shielded")]),
            // The inlet is quiet: in a steel conduit it needs no shield far from the rest.
            holds(&quiet("\"400 mm\""), [400.0, 400.0]),
            fails(&quiet("\"399 mm\""), [399.0, 400.0]),
            open(&[QUIET[0], QUIET[1], QUIET[2], QUIET[3], QUIET[4]]),
            says(
                Fails,
                &[
                    QUIET[0],
                    QUIET[1],
                    QUIET[2],
                    QUIET[3],
                    QUIET[4],
                    Set("conductor/05+/low-voltage-distance", "\"1 m\""),
                    Set("conductor/05+/noise", "\"switching\""),
                ],
            ),
        ],
        never: &[],
    },
];

/// The inlet's pair without a shield in a steel conduit.
const QUIET: [Edit; 5] = [
    Add(PLAIN),
    Set("conductor/05+/cable", "\"plain 50\""),
    Set("conductor/05-/cable", "\"plain 50\""),
    Set("conductor/05+/route", CONDUIT),
    Set("conductor/05-/route", CONDUIT),
];
const PLAIN: &str = r#"
[[cable-type]]
name = "plain 50"
section = "50 mm2"
shielded = false
outer-diameter = "15 mm"
temperature-class = "125 degC"
voltage-class = "900 V DC"

[[tube]]
name = "conduit"
inner = "50 mm"
outer = "54 mm"
conductivity = "50 W/(m K)"
emissivity = "0.5"
material = "metal"
"#;
const CONDUIT: &str =
    r#"[{ zone = "bay", length = "2 m", laid = "tube-pair", tube = "conduit", circuits = 1 }]"#;

/// The same at this distance.
const fn quiet(distance: &'static str) -> [Edit; 7] {
    let [plus, minus] = [
        Set("conductor/05+/low-voltage-distance", distance),
        Set("conductor/05-/low-voltage-distance", distance),
    ];
    [
        QUIET[0], QUIET[1], QUIET[2], QUIET[3], QUIET[4], plus, minus,
    ]
}
