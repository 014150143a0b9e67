//! Rows of the rules about distances and isolation that are computed.

use orangeloom_core::review::RuleId;
use orangeloom_core::verdict::Verdict::{Fails, Holds};

use crate::edit::{
    self,
    Edit::{self, Add, Cut, Drop, Set},
};
use crate::harness::{Row, fails, holds, open, says};

/// Every load to chassis.
macro_rules! loads {
    ($ohms:literal) => {
        &[
            Set("load/drive/isolation", $ohms),
            Set("load/heater/isolation", $ohms),
            Set("load/converter/isolation", $ohms),
            Set("load/inlet/isolation", $ohms),
        ]
    };
}

macro_rules! monitor {
    ($range:literal) => {
        &[Set("vehicle/bench vehicle/monitor", $range)]
    };
}

/// A system voltage of overvoltage category III in place of the impulse.
macro_rules! system {
    ($volts:literal, $clearance:literal) => {
        [
            Drop("vehicle/bench vehicle/impulse"),
            Set("vehicle/bench vehicle/overvoltage-category", "\"III\""),
            Set("vehicle/bench vehicle/system-voltage", $volts),
            Set("spacing/bars J1/clearance", $clearance),
        ]
    };
}

pub(crate) const ROWS: &[Row] = &[
    Row {
        rule: RuleId::Clearance,
        clause: "IEC 60664-1, table F.2 case A, 2.5 kV at pollution degree 2: 1.5 mm; x 1.14 at 3000 m, table A.2; from memory",
        probes: &[
            holds(
                &[Set("spacing/bars J1/clearance", "\"1.5 mm\"")],
                [1.5, 1.5],
            ),
            fails(
                &[Set("spacing/bars J1/clearance", "\"1.49 mm\"")],
                [1.49, 1.5],
            ),
            holds(
                &[
                    Set("spacing/bars J1/clearance", "\"1.72 mm\""),
                    Set("vehicle/bench vehicle/altitude", "\"3000 m\""),
                ],
                [1.72, 1.71],
            ),
            fails(
                &[
                    Set("spacing/bars J1/clearance", "\"1.70 mm\""),
                    Set("vehicle/bench vehicle/altitude", "\"3000 m\""),
                ],
                [1.70, 1.71],
            ),
            // Table F.1, category I at 100 V: 500 V.
            holds(
                &[Set("vehicle/bench vehicle/impulse", "\"500 V\"")],
                [500.0, 500.0],
            ),
            fails(
                &[Set("vehicle/bench vehicle/impulse", "\"499 V\"")],
                [499.0, 500.0],
            ),
            holds(&system!("\"100 V\"", "\"10 mm\""), [100.0, 100.0]),
            fails(&system!("\"99 V\"", "\"10 mm\""), [99.0, 100.0]),
            // Category III: 800 V at 50 V would be 0.2 mm, 1.5 kV at 100 V are 0.5 mm.
            fails(&system!("\"50 V\"", "\"0.3 mm\""), [0.3, 0.5]),
            open(&[Drop("spacing/bars J1/clearance")]),
            open(&[Cut("spacing/bars drive")]),
            // What keeps the low voltage away says nothing of the poles.
            open(&[Set("spacing/bars drive/insulation", "\"reinforced\"")]),
            open(&[Drop("vehicle/bench vehicle/altitude")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::Creepage,
        clause: "IEC 60664-1, table F.5, 400 V, pollution degree 2, group IIIa: 4.0 mm; at 100 V the clearance of 1.5 mm counts; from memory",
        probes: &[
            holds(
                &[
                    Set("spacing/bars J1/working", "\"400 V\""),
                    Set("spacing/bars J1/creepage", "\"4 mm\""),
                ],
                [4.0, 4.0],
            ),
            fails(
                &[
                    Set("spacing/bars J1/working", "\"400 V\""),
                    Set("spacing/bars J1/creepage", "\"3.99 mm\""),
                ],
                [3.99, 4.0],
            ),
            holds(&[Set("spacing/bars J1/creepage", "\"1.5 mm\"")], [1.5, 1.5]),
            fails(
                &[Set("spacing/bars J1/creepage", "\"1.49 mm\"")],
                [1.49, 1.5],
            ),
            // A seal with a breather keeps 2 at best: 4 mm.
            holds(&kept(&KEPT_SEALED, "\"4 mm\""), [4.0, 4.0]),
            fails(&kept(&KEPT_SEALED, "\"3.99 mm\""), [3.99, 4.0]),
            // Air that is blown in from a zone of 3 is no better, nor is the inside of a wet
            // zone that nothing keeps: 6.3 mm.
            holds(&kept(&KEPT_BLOWN, "\"6.3 mm\""), [6.3, 6.3]),
            fails(&kept(&KEPT_BLOWN, "\"6.29 mm\""), [6.29, 6.3]),
            holds(&kept(&KEPT_WET, "\"6.3 mm\""), [6.3, 6.3]),
            fails(&kept(&KEPT_WET, "\"6.29 mm\""), [6.29, 6.3]),
            fails(&kept(&KEPT_WET_BLOWN, "\"6.29 mm\""), [6.29, 6.3]),
            open(&[Drop("spacing/bars J1/creepage")]),
            open(&[
                Set("spacing/bars J1/working", "\"400 V\""),
                Set("spacing/bars J1/creepage", "\"4 mm\""),
                Drop("spacing/bars J1/insulation"),
            ]),
            open(&[Drop("box/J1/pollution"), Drop("zone/bay/pollution")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ReinforcedToLv,
        clause: "IEC 60664-1, 5.1.6: next impulse, 4 kV in table F.2: 3 mm; creepage twice basic, 2.8 mm, not below the clearance; from memory",
        probes: &[
            holds(&[Set("spacing/coil J1/clearance", "\"3 mm\"")], [3.0, 3.0]),
            fails(
                &[Set("spacing/coil J1/clearance", "\"2.99 mm\"")],
                [2.99, 3.0],
            ),
            holds(&[Set("spacing/coil J1/creepage", "\"3 mm\"")], [3.0, 3.0]),
            fails(
                &[Set("spacing/coil J1/creepage", "\"2.99 mm\"")],
                [2.99, 3.0],
            ),
            open(&[Drop("spacing/coil J1/clearance")]),
            open(&[Cut("spacing/coil J1")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::IsolationBudget,
        clause: "UN R100 Rev.3, 5.1.3: 500 ohm/V x 100 V = 50 kohm; four loads of 200 kohm in parallel",
        probes: &[
            holds(loads!("\"200.1 kohm\""), [50025.0, 50000.0]),
            fails(loads!("\"199.9 kohm\""), [49975.0, 50000.0]),
            // 100 ohm/V where alternating current has protection of its own.
            holds(
                &[
                    Set(
                        "vehicle/bench vehicle/isolation-case",
                        "\"connected-alternating-protected\"",
                    ),
                    Set("load/drive/isolation", "\"10.1 kohm\""),
                ],
                [10066.2, 10000.0],
            ),
            fails(
                &[
                    Set(
                        "vehicle/bench vehicle/isolation-case",
                        "\"connected-alternating-protected\"",
                    ),
                    Set("load/drive/isolation", "\"10 kohm\""),
                ],
                [9970.1, 10000.0],
            ),
            open(&[Drop("load/drive/isolation")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::YCapacitorEnergy,
        // 0.2 uF of heater, converter and inlet on each pole beside the drive's.
        clause: "ISO 6469-3: less than 0.2 J, in-use limit from memory; 0.5 C U2 of both poles together",
        probes: &[
            holds(&[Set("load/drive/y", "\"19.7 uF\"")], [0.199, 0.2]),
            fails(&[Set("load/drive/y", "\"19.9 uF\"")], [0.201, 0.2]),
            open(&[Drop("load/drive/y")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::IsolationMonitorRange,
        clause: "capacitance, voltages and alarm of the datasheet; alarm within 30 s, student competition rules; alarm not below 50 kohm, UN R100, 5.1.3",
        probes: &[
            holds(
                monitor!(
                    "{ capacitance = \"0.61 uF\", lowest = \"75 V\", highest = \"100 V\", response = \"30 s\", alarm = \"50 kohm\" }"
                ),
                [30.0, 30.0],
            ),
            holds(
                monitor!(
                    "{ capacitance = \"0.61 uF\", lowest = \"75 V\", highest = \"100 V\", response = \"30 s\", alarm = \"50 kohm\" }"
                ),
                [50000.0, 50000.0],
            ),
            fails(
                monitor!(
                    "{ capacitance = \"0.59 uF\", lowest = \"50 V\", highest = \"200 V\", response = \"20 s\", alarm = \"60 kohm\" }"
                ),
                [0.6e-6, 0.59e-6],
            ),
            fails(
                monitor!(
                    "{ capacitance = \"10 uF\", lowest = \"75.1 V\", highest = \"200 V\", response = \"20 s\", alarm = \"60 kohm\" }"
                ),
                [75.0, 75.1],
            ),
            fails(
                monitor!(
                    "{ capacitance = \"10 uF\", lowest = \"50 V\", highest = \"99.9 V\", response = \"20 s\", alarm = \"60 kohm\" }"
                ),
                [100.0, 99.9],
            ),
            fails(
                monitor!(
                    "{ capacitance = \"10 uF\", lowest = \"50 V\", highest = \"200 V\", response = \"30.1 s\", alarm = \"60 kohm\" }"
                ),
                [30.1, 30.0],
            ),
            fails(
                monitor!(
                    "{ capacitance = \"10 uF\", lowest = \"50 V\", highest = \"200 V\", response = \"20 s\", alarm = \"49.9 kohm\" }"
                ),
                [49900.0, 50000.0],
            ),
            open(&[Drop("vehicle/bench vehicle/monitor")]),
            open(&[Drop("load/heater/y")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ShieldCutback,
        clause: "creepage distance of the box, IEC 60664-1 as above: 1.5 mm",
        probes: &[
            holds(
                &[Set("reading/cut 01+ from/cut-back", "\"1.5 mm\"")],
                [1.5, 1.5],
            ),
            fails(
                &[Set("reading/cut 01+ from/cut-back", "\"1.49 mm\"")],
                [1.49, 1.5],
            ),
            open(&[Cut("reading/cut 01+ from")]),
            open(&[Drop("reading/cut 01+ from/date")]),
            open(&[Drop("reading/cut 01+ from/instrument")]),
            open(&[Set("reading/cut 01+ from/revision", "\"A\"")]),
            // Whoever did it, what fails fails.
            says(
                Fails,
                &[
                    Set("reading/cut 01+ from/cut-back", "\"1 mm\""),
                    Drop("reading/cut 01+ from/initials"),
                ],
            ),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ShieldContinuity,
        // 216 strands of 0.2 mm, 6.786 mm2, at an angle of atan(pi 12.4/60): 3.163 mohm/m.
        clause: "twice the braid of 2 m and 10 mohm: 22.65 mohm; common practice",
        probes: &[
            holds(
                &[Set("reading/shield 01+/shield", "\"22.6 mohm\"")],
                [0.0226, 0.022_651],
            ),
            fails(
                &[Set("reading/shield 01+/shield", "\"22.7 mohm\"")],
                [0.0227, 0.022_651],
            ),
            // 20.6 mohm with 10 % may be 22.66.
            fails(
                &[
                    Set("reading/shield 01+/shield", "\"20.6 mohm\""),
                    Set("reading/shield 01+/accuracy", "\"10 %\""),
                ],
                [0.022_66, 0.022_651],
            ),
            open(&[Set("reading/shield 01+/shield", "\"0 ohm\"")]),
            open(&[Cut("reading/shield 01+")]),
            open(&[Drop("reading/shield 01+/instrument")]),
            open(&[Drop("cable-type/HV 50/braid")]),
        ],
        never: &[],
    },
];

/// What is said of box J1 and of the zone around it.
type Kept = [&'static str; 3];

const KEPT_SEALED: Kept = ["\"sealed-with-breather\"", "4", "true"];
const KEPT_BLOWN: Kept = ["\"clean-air\"", "3", "false"];
const KEPT_WET: Kept = ["\"nothing\"", "1", "true"];
const KEPT_WET_BLOWN: Kept = ["\"clean-air\"", "2", "true"];

/// Box J1 with a stated degree of 1 and 400 V over a way of this length.
const fn kept([by, around, wet]: &Kept, creepage: &'static str) -> [Edit; 6] {
    [
        Set("box/J1/pollution", "1"),
        Set("box/J1/kept-by", by),
        Set("zone/bay/pollution", around),
        Set("zone/bay/wet", wet),
        Set("spacing/bars J1/working", "\"400 V\""),
        Set("spacing/bars J1/creepage", creepage),
    ]
}

/// A degree that what is said to keep it cannot keep fails, whoever stands for it.
#[test]
fn a_pollution_degree_that_nothing_can_keep_fails() {
    let signed = Add(
        "\n[[attestation]]\nrule = \"pollution-by-box\"\nholds = true\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"B\"\n",
    );
    let of = |[by, around, wet]: Kept, degree| {
        let edits = [
            Set("box/J1/pollution", degree),
            Set("box/J1/kept-by", by),
            Set("zone/bay/pollution", around),
            Set("zone/bay/wet", wet),
            signed,
        ];
        edit::reviewed(&edits).verdict(RuleId::PollutionByBox)
    };
    for (kept, stated, best) in [
        (KEPT_SEALED, "1", "2"),
        (KEPT_BLOWN, "2", "3"),
        (KEPT_WET, "2", "3"),
        (KEPT_WET_BLOWN, "2", "3"),
        (["\"nothing\"", "4", "false"], "3", "4"),
        (["\"clean-air\"", "2", "false"], "1", "2"),
    ] {
        assert_eq!(of(kept, stated), Fails, "{kept:?} {stated}");
        assert_eq!(of(kept, best), Holds, "{kept:?} {best}");
    }
    let potted = ["\"potted\"", "4", "true"];
    assert_eq!(of(potted, "1"), Holds);
}
