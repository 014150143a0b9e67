//! Rows of the rules about fuses and contactors.

use orangeloom_core::review::RuleId;
use orangeloom_core::verdict::Verdict::{Fails, Holds, Open};

use crate::edit::{
    self,
    Edit::{self, Add, Cut, Drop, Set},
};
use crate::harness::{Row, fails, holds, open, says};
use crate::rows_fault::{NO_BRAKE, WITHOUT_F1};
use crate::rows_sequence::heated;

const WITHOUT_CUT_OUTS: &str = "what is drawn is known";

/// A resistor beside a main contactor.
const ACROSS: Edit = Add(
    "\n[[resistor]]\nname = \"Rx\"\ntype = \"5 kohm bleed\"\npurpose = \"other\"\nbox = \"pack\"\nfrom = \"F1.out\"\nto = \"pack.+\"\n",
);

pub(crate) const ROWS: &[Row] = &[
    Row {
        rule: RuleId::FuseDcVoltage,
        clause: "rated direct voltage at least the highest voltage; common practice, direct rating asked for in student competition rules",
        probes: &[
            holds(
                &[NO_BRAKE, Set("fuse-type/main/voltage", "\"100 V\"")],
                [100.0, 100.0],
            ),
            fails(
                &[NO_BRAKE, Set("fuse-type/main/voltage", "\"99.9 V\"")],
                [100.0, 99.9],
            ),
            // The low-voltage side has its own highest voltage: a block charged to 14.4 V.
            holds(&[Set("fuse-type/low/voltage", "\"14.4 V\"")], [14.4, 14.4]),
            fails(&[Set("fuse-type/low/voltage", "\"14.3 V\"")], [14.4, 14.3]),
            open(&[Drop("fuse-type/main/voltage")]),
            open(&[Drop("fuse/F1/type")]),
            open(&[Drop("cell-type/cell/maximum")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseContinuous,
        // The worst 300 s of 60 s of 127.86 A and 10 s of 44.45 A in turn are four rounds and
        // 20 s: 120.14 A r.m.s. At 40 degC the curve leaves
        // 100 % - 15/35 x 20 % = 91.43 %.
        clause: "r.m.s. at most rated x air x holder x altitude; common practice, altitude IEC 60269-1, 3.2 from memory",
        probes: &[
            holds(
                &[ALLOWS_LESS, Set("fuse-type/main/rated", "\"131.5 A\"")],
                [120.14, 120.23],
            ),
            // No air in a box is cooler than that around it.
            holds(
                &[
                    ALLOWS_LESS,
                    Set("box/pack/inside", "\"10 degC\""),
                    Set("fuse-type/main/rated", "\"131.5 A\""),
                ],
                [120.14, 120.23],
            ),
            // The controller allows 140 A to last.
            holds(
                &[Set("fuse-type/main/rated", "\"153.2 A\"")],
                [140.0, 140.07],
            ),
            fails(&[Set("fuse-type/main/rated", "\"153 A\"")], [140.0, 139.89]),
            fails(
                &[Set("fuse-type/main/rated", "\"131 A\"")],
                [120.14, 119.77],
            ),
            // No phase says when the heater of 20 A works; 0 A would be an answer.
            open(&[Set("phase/work/draws", "{ drive = \"100 A\" }")]),
            // Nor does it help to leave out what it is rated at.
            open(&[
                Set("phase/work/draws", "{ drive = \"100 A\" }"),
                Drop("load/heater/rated"),
            ]),
            says(
                Holds,
                &[Set(
                    "phase/work/draws",
                    "{ drive = \"100 A\", heater = \"0 A\" }",
                )],
            ),
            // Its mean is 24 A, but while it is on, 96 A flow through 100 A x 91.43 %.
            says(
                Fails,
                &[
                    Set("consumer/lamps/rated", "\"96 A\""),
                    Set("consumer/lamps/duty-share", "\"25 %\""),
                ],
            ),
            // 0.5 % less for each 100 m above 2000 m: 3000 m leaves 95 %.
            fails(
                &[
                    Set("fuse-type/main/rated", "\"137 A\""),
                    Set("vehicle/bench vehicle/altitude", "\"3000 m\""),
                ],
                [120.14, 118.99],
            ),
            open(&[Drop("fuse-type/main/holder")]),
            open(&[Drop("fuse-type/main/derating")]),
            open(&[Drop("fuse-type/main/rated")]),
            open(&[Drop("zone/bay/air")]),
            open(&[Drop("vehicle/bench vehicle/altitude")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseCyclic,
        // 127.86 A for 60 s; a curve is trusted to 10 % in current, and half of it counts.
        clause: "half of what melts it in the same time, repeated duty: makers' advice in print",
        probes: &[
            holds(
                &[
                    Set("fuse-type/main/rated", "\"120 A\""),
                    Set(
                        "fuse-type/main/curve",
                        "[{ time = \"10 ms\", current = \"3000 A\" }, { time = \"60 s\", current = \"285 A\" }, { time = \"600 s\", current = \"260 A\" }]",
                    ),
                ],
                [127.86, 128.25],
            ),
            fails(
                &[
                    Set("fuse-type/main/rated", "\"120 A\""),
                    Set(
                        "fuse-type/main/curve",
                        "[{ time = \"10 ms\", current = \"3000 A\" }, { time = \"60 s\", current = \"283 A\" }, { time = \"600 s\", current = \"260 A\" }]",
                    ),
                ],
                [127.86, 127.35],
            ),
            open(&[
                Set("fuse-type/main/rated", "\"120 A\""),
                Drop("fuse-type/main/curve"),
            ]),
            open(&[Drop("phase/work/duration")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FusePerStringAtSource,
        clause: "a fuse in each string ahead of any junction; common practice, asked for in one country's inspection",
        probes: &[says(Holds, &[]), says(Fails, WITHOUT_F1)],
        never: &[(Open, WITHOUT_CUT_OUTS)],
    },
    Row {
        rule: RuleId::BothPolesSwitched,
        clause: "two poles opened, two isolating contactors; common practice and student competition rules",
        probes: &[
            says(Holds, &[]),
            says(
                Fails,
                &[
                    Cut("contactor/K-"),
                    Cut("reading/K-"),
                    Cut("terminal/pack.-"),
                    Set("conductor/01-/to", "\"cells.-\""),
                    Set("phase/work/closed", "[\"K+\"]"),
                    Set("phase/brake/closed", "[\"K+\"]"),
                    Set("phase/charge/closed", "[\"K+\", \"KI+\", \"KI-\"]"),
                ],
            ),
            // A resistor across it keeps the link alive.
            says(Fails, &[ACROSS]),
        ],
        never: &[(Open, WITHOUT_CUT_OUTS)],
    },
    Row {
        rule: RuleId::InletDead,
        clause: "two contactors behind a direct-current inlet, pins at most 60 V when unplugged: ISO 17409 and UN R100, from memory",
        probes: &[
            says(Holds, &[]),
            says(
                Fails,
                &[
                    Cut("contactor/KI-"),
                    Cut("reading/KI-"),
                    Cut("terminal/J1.i-"),
                    Set("conductor/05-/from", "\"J1.-\""),
                    Set("phase/charge/closed", "[\"K+\", \"K-\", \"KI+\"]"),
                ],
            ),
            // Joined while it delivers nothing: the pins are bare.
            says(
                Fails,
                &[Set(
                    "phase/work/closed",
                    "[\"K+\", \"K-\", \"KI+\", \"KI-\"]",
                )],
            ),
        ],
        never: &[(Open, WITHOUT_CUT_OUTS)],
    },
    Row {
        rule: RuleId::ContactorCarry,
        clause: "r.m.s. current, air and section within those of the datasheet; common practice",
        probes: &[
            holds(
                &[ALLOWS_LESS, Set("contactor-type/main/carry", "\"120.5 A\"")],
                [120.14, 120.5],
            ),
            holds(
                &[Set("contactor-type/main/carry", "\"140 A\"")],
                [140.0, 140.0],
            ),
            fails(
                &[Set("contactor-type/main/carry", "\"139.9 A\"")],
                [140.0, 139.9],
            ),
            fails(
                &[Set("contactor-type/main/carry", "\"120 A\"")],
                [120.14, 120.0],
            ),
            holds(
                &[Set("contactor-type/main/carry-air", "\"40 degC\"")],
                [40.0, 40.0],
            ),
            fails(
                &[Set("contactor-type/main/carry-air", "\"39.9 degC\"")],
                [40.0, 39.9],
            ),
            fails(
                &[Set("contactor-type/main/carry-section", "\"50.5 mm2\"")],
                [50.0, 50.5],
            ),
            // In a string its own limit, where that is less.
            holds(
                &[
                    Set("controller/keeps/string-limit", "\"135 A\""),
                    Set("contactor-type/main/carry", "\"135 A\""),
                ],
                [135.0, 135.0],
            ),
            fails(
                &[
                    Drop("controller/keeps/string-limit"),
                    Drop("controller/keeps/charge-limit"),
                    Set("contactor-type/main/carry", "\"139.9 A\""),
                ],
                [140.0, 139.9],
            ),
            // K+ leads past the resistor, and carries nothing while that does: K- and the
            // disconnect are of another type, so that K+ alone is told of.
            says(
                Fails,
                &[
                    heated!("\"0 A\""),
                    Set("consumer/lamps/rated", "\"0.1 A\""),
                    Set("contactor/K-/type", "\"strong\""),
                    STRONG,
                    Set("contactor-type/main/carry", "\"139.9 A\""),
                ],
            ),
            fails(
                &[
                    Set("box/pack/inside", "\"10 degC\""),
                    Set("contactor-type/main/carry-air", "\"39.9 degC\""),
                ],
                [40.0, 39.9],
            ),
            open(&[Drop("contactor-type/main/carry")]),
            open(&[Drop("contactor-type/main/carry-air")]),
            open(&[Drop("contactor-type/main/carry-section")]),
            open(&[Drop("contactor/K+/type")]),
            // S1 is in series with K+.
            holds(
                &[
                    ALLOWS_LESS,
                    Set("service-disconnect/S1/carry", "\"120.5 A\""),
                ],
                [120.14, 120.5],
            ),
            holds(
                &[Set("service-disconnect/S1/carry", "\"140 A\"")],
                [140.0, 140.0],
            ),
            fails(
                &[Set("service-disconnect/S1/carry", "\"139.9 A\"")],
                [140.0, 139.9],
            ),
            fails(
                &[Set("service-disconnect/S1/carry", "\"120 A\"")],
                [120.14, 120.0],
            ),
            open(&[Drop("service-disconnect/S1/carry")]),
            // Kp sits between two bars.
            open(&[Drop("contactor/Kp/section")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ContactorBreak,
        clause: "largest current in the main direction at most what it breaks there at the highest voltage; common practice",
        probes: &[
            // What the controller opens on counts: 560 A.
            holds(
                &[Set("contactor-type/main/break-forward", "\"560 A\"")],
                [560.0, 560.0],
            ),
            fails(
                &[Set("contactor-type/main/break-forward", "\"559 A\"")],
                [560.0, 559.0],
            ),
            holds(
                &[Set("contactor-type/main/break-voltage", "\"100 V\"")],
                [560.0, 600.0],
            ),
            // Without it the trip of 200 A, which is more than lasts.
            fails(
                &[
                    Drop("controller/keeps/opens-discharging"),
                    Set("contactor-type/main/break-forward", "\"199 A\""),
                    Set("contactor-type/main/break-reverse", "\"199 A\""),
                ],
                [200.0, 199.0],
            ),
            // A stop button opens on what may last, whatever the controller opens on.
            holds(
                &[
                    NO_TRIP[0],
                    NO_TRIP[1],
                    Set("controller/keeps/opens-discharging", "\"5 A\""),
                    Set("contactor-type/main/break-forward", "\"140 A\""),
                    Set("contactor-type/main/break-reverse", "\"140 A\""),
                ],
                [140.0, 140.0],
            ),
            fails(
                &[
                    NO_TRIP[0],
                    NO_TRIP[1],
                    Set("controller/keeps/opens-discharging", "\"5 A\""),
                    Set("contactor-type/main/break-forward", "\"139 A\""),
                    Set("contactor-type/main/break-reverse", "\"139 A\""),
                ],
                [140.0, 139.0],
            ),
            open(&[Set("contactor-type/main/break-voltage", "\"99.9 V\"")]),
            open(&[Drop("contactor-type/main/break-voltage")]),
            open(&[Drop("contactor-type/main/break-forward")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ContactorDirection,
        clause: "what flows against the arrow at most the reverse breaking current; common practice",
        probes: &[
            holds(
                &[Set("contactor-type/main/break-reverse", "\"100 A\"")],
                [100.0, 100.0],
            ),
            fails(
                &[Set("contactor-type/main/break-reverse", "\"99 A\"")],
                [100.0, 99.0],
            ),
            // What the controller allows to last counts where it does not say what it opens on.
            holds(
                &[
                    Drop("controller/keeps/opens-charging"),
                    Drop("controller/keeps/string-charge-limit"),
                    Set("controller/keeps/charge-limit", "\"140 A\""),
                    Set("controller/keeps/string-limit", "\"140 A\""),
                    Set("contactor-type/main/break-reverse", "\"140 A\""),
                ],
                [140.0, 140.0],
            ),
            fails(
                &[
                    Drop("controller/keeps/opens-charging"),
                    Drop("controller/keeps/string-charge-limit"),
                    Set("controller/keeps/charge-limit", "\"141 A\""),
                    Set("contactor-type/main/break-reverse", "\"140 A\""),
                ],
                [141.0, 140.0],
            ),
            // No phase brakes or charges: what the controller opens on, or allows to last,
            // counts all the same.
            fails(
                &[
                    NOTHING_BACK[0],
                    NOTHING_BACK[1],
                    Set("contactor-type/main/break-reverse", "\"99 A\""),
                ],
                [100.0, 99.0],
            ),
            fails(
                &[
                    NOTHING_BACK[0],
                    NOTHING_BACK[1],
                    Drop("controller/keeps/opens-charging"),
                    Set("contactor-type/main/break-reverse", "\"89 A\""),
                ],
                [90.0, 89.0],
            ),
            fails(
                &[
                    Set("controller/keeps/opens-charging", "\"5 A\""),
                    Set("contactor-type/main/break-reverse", "\"89 A\""),
                ],
                [90.0, 89.0],
            ),
            // The 44.44 A of braking, however little is stated.
            fails(
                &[
                    Set("controller/keeps/opens-charging", "\"5 A\""),
                    Set("controller/keeps/charge-limit", "\"5 A\""),
                    Set("contactor-type/main/break-reverse", "\"44 A\""),
                ],
                [44.44, 44.0],
            ),
            says(Fails, &[Set("contactor/K+/arrow", "\"without\"")]),
            open(&[Drop("contactor/K+/arrow")]),
            open(&[Drop("contactor-type/main/break-reverse")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ContactorVoltage,
        clause: "rated voltage of the contacts at least the highest; altitude within the datasheet; common practice",
        probes: &[
            holds(
                &[NO_BRAKE, Set("contactor-type/main/voltage", "\"100 V\"")],
                [100.0, 100.0],
            ),
            fails(
                &[NO_BRAKE, Set("contactor-type/main/voltage", "\"99.9 V\"")],
                [100.0, 99.9],
            ),
            holds(
                &[Set("vehicle/bench vehicle/altitude", "\"4000 m\"")],
                [4000.0, 4000.0],
            ),
            fails(
                &[Set("vehicle/bench vehicle/altitude", "\"4001 m\"")],
                [4001.0, 4000.0],
            ),
            open(&[Drop("contactor-type/main/voltage")]),
            open(&[Drop("contactor-type/main/altitude")]),
            open(&[Drop("vehicle/bench vehicle/altitude")]),
        ],
        never: &[],
    },
];

/// A contactor that carries and breaks whatever flows.
const STRONG: Edit = Add(
    "\n[[contactor-type]]\nname = \"strong\"\nvoltage = \"250 V\"\naltitude = \"4000 m\"\ncarry = \"900 A\"\ncarry-section = \"50 mm2\"\ncarry-air = \"60 degC\"\npolarised = false\n",
);

/// The controller allows no more to last than the duty asks for.
const ALLOWS_LESS: Edit = Set("controller/keeps/discharge-limit", "\"120 A\"");

/// The controller opens on less than its trip of 200 A, so it has none.
const NO_TRIP: [Edit; 2] = [
    Drop("controller/keeps/trip-current"),
    Drop("controller/keeps/trip-time"),
];

/// Nothing flows into the battery in any phase.
const NOTHING_BACK: [Edit; 2] = [
    Set("phase/brake/draws", "{ drive = \"10 A\" }"),
    Set("phase/charge/draws", "{ inlet = \"0 A\" }"),
];

/// With each current of the controller raised, one after the other, what failed still fails.
#[test]
fn a_larger_current_of_the_controller_never_mends_what_a_contactor_breaks() {
    let keys = [
        "controller/keeps/opens-discharging",
        "controller/keeps/opens-charging",
        "controller/keeps/discharge-limit",
        "controller/keeps/charge-limit",
        "controller/keeps/string-charge-limit",
    ];
    let weak = [
        Set("contactor-type/main/break-forward", "\"139 A\""),
        Set("contactor-type/main/break-reverse", "\"89 A\""),
        NOTHING_BACK[0],
        NOTHING_BACK[1],
        NO_TRIP[0],
        NO_TRIP[1],
    ];
    for key in keys {
        for value in ["\"145 A\"", "\"600 A\""] {
            let edits = [&weak[..], &[Set(key, value)]].concat();
            for rule in [RuleId::ContactorBreak, RuleId::ContactorDirection] {
                let found = edit::reviewed(&edits).verdict(rule);
                assert_eq!(found, Fails, "{key} {value}: {}", rule.slug());
            }
        }
    }
}
