//! Rows of the rules that look at readings.

use orangeloom_core::review::{Aspect, Because, EvidenceGap, RuleId};
use orangeloom_core::verdict::Verdict::{Fails, Holds, Open};

use crate::edit::{
    self,
    Edit::{self, Add, Cut, Drop, Set},
};
use crate::harness::{Row, fails, holds, open, says};
use crate::rows_pack::{BOTH, SECOND};

/// What somebody read besides.
macro_rules! read {
    ($what:expr) => {
        $crate::edit::Edit::Add(concat!(
            "\n[[reading]]\n",
            $what,
            "\ninitials = \"EM\"\ndate = 2026-03-14\ninstrument = \"meter 1\"\nrevision = \"B\"\n"
        ))
    };
}
pub(crate) use read;

/// A drop across the first end of 01+ at 100 A.
macro_rules! drop_at {
    ($drop:literal) => {
        read!(concat!(
            "conductor = \"01+\"\nend = \"from\"\ndrop = \"",
            $drop,
            "\"\ncurrent = \"100 A\""
        ))
    };
}

/// The voltage of the second string; the first was read at 90 V.
macro_rules! second_read {
    ($volts:literal) => {
        read!(concat!("battery = \"cells 2\"\nvoltage = \"", $volts, "\""))
    };
}

/// Somebody says no to the reserve of the brake.
macro_rules! brake_no {
    ($day:literal) => {
        Add(concat!(
            "\n[[attestation]]\nrule = \"brake-vacuum-reserve\"\nholds = false\ninitials = \"EM\"\ndate = ",
            $day,
            "\nrevision = \"B\"\n"
        ))
    };
}

/// A join window of 1 V.
const WINDOW: Edit = Set("controller/keeps/join-window", "\"1 V\"");

pub(crate) const ROWS: &[Row] = &[
    Row {
        rule: RuleId::IsolationLimit,
        clause: "UN R100 Rev.3, 5.1.3: 500 ohm/V x 100 V; ISO 6469-3, 6.3.2 the same",
        probes: &[
            holds(
                &[Set("reading/isolation/isolation", "\"50 kohm\"")],
                [50000.0, 50000.0],
            ),
            fails(
                &[Set("reading/isolation/isolation", "\"49.9 kohm\"")],
                [49900.0, 50000.0],
            ),
            open(&[Cut("reading/isolation")]),
            // Of a day or of none the worse counts, whatever was written last.
            fails(
                &[read!("isolation = \"3 kohm\"\ntest-voltage = \"500 V\"")],
                [3000.0, 50000.0],
            ),
            fails(
                &[Add(
                    "\n[[reading]]\nisolation = \"3 kohm\"\ntest-voltage = \"500 V\"\ninitials = \"EM\"\ninstrument = \"meter 1\"\nrevision = \"B\"\n",
                )],
                [3000.0, 50000.0],
            ),
            // What was read where no rule looks is not passed over.
            open(&[read!(
                "load = \"drive\"\nisolation = \"2 kohm\"\ntest-voltage = \"500 V\""
            )]),
            // A tester below the 100 V of the pack proves nothing but what is bad.
            open(&[Set("reading/isolation/test-voltage", "\"99 V\"")]),
            open(&[Drop("reading/isolation/initials")]),
            open(&[Drop("reading/isolation/date")]),
            open(&[Drop("reading/isolation/instrument")]),
            open(&[Drop("reading/isolation/revision")]),
            open(&[Set("reading/isolation/revision", "\"A\"")]),
            open(&[Drop("vehicle/bench vehicle/revision")]),
            // The latest counts, not the best.
            says(
                Fails,
                &[Add(
                    "\n[[reading]]\nisolation = \"20 kohm\"\ntest-voltage = \"250 V\"\ninitials = \"EM\"\ndate = 2026-04-01\ninstrument = \"meter 1\"\nrevision = \"B\"\n",
                )],
            ),
            says(
                Holds,
                &[Add(
                    "\n[[reading]]\nisolation = \"20 kohm\"\ntest-voltage = \"250 V\"\ninitials = \"EM\"\ndate = 2026-02-01\ninstrument = \"meter 1\"\nrevision = \"B\"\n",
                )],
            ),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::IsolationNewBuild,
        clause: "five times the limit when new and dry: 250 kohm; common practice",
        probes: &[
            holds(
                &[Set("reading/isolation/isolation", "\"250 kohm\"")],
                [250_000.0, 250_000.0],
            ),
            fails(
                &[Set("reading/isolation/isolation", "\"249 kohm\"")],
                [249_000.0, 250_000.0],
            ),
            // 310 kohm with 20 % may be 248.
            fails(
                &[
                    Set("reading/isolation/isolation", "\"310 kohm\""),
                    Set("reading/isolation/accuracy", "\"20 %\""),
                ],
                [248_000.0, 250_000.0],
            ),
            holds(
                &[
                    Set("reading/isolation/isolation", "\"314 kohm\""),
                    Set("reading/isolation/accuracy", "\"20 %\""),
                ],
                [251_200.0, 250_000.0],
            ),
            open(&[Cut("reading/isolation")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::InsulationTestLevel,
        clause: "tester at the highest working voltage at least: ISO 6469-3, test of the vehicle",
        probes: &[
            holds(
                &[Set("reading/isolation/test-voltage", "\"100 V\"")],
                [100.0, 100.0],
            ),
            fails(
                &[Set("reading/isolation/test-voltage", "\"99.9 V\"")],
                [99.9, 100.0],
            ),
            open(&[Cut("reading/isolation")]),
            open(&[Drop("cell-type/cell/maximum")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::BondResistance,
        clause: "UN R100 Rev.3, 5.1.2.2: lower than 0.1 ohm with at least 0.2 A",
        probes: &[
            holds(
                &[Set("reading/bond J1/bond", "\"99.9 mohm\"")],
                [0.0999, 0.1],
            ),
            // At the limit is not below it.
            fails(&[Set("reading/bond J1/bond", "\"100 mohm\"")], [0.1, 0.1]),
            // 99 mohm with 10 % may be 108.9, 90.8 be 99.88.
            fails(
                &[
                    Set("reading/bond J1/bond", "\"99 mohm\""),
                    Set("reading/bond J1/accuracy", "\"10 %\""),
                ],
                [0.1089, 0.1],
            ),
            holds(
                &[
                    Set("reading/bond J1/bond", "\"90.8 mohm\""),
                    Set("reading/bond J1/accuracy", "\"10 %\""),
                ],
                [0.099_88, 0.1],
            ),
            // Nothing at all is below what an instrument shows.
            open(&[Set("reading/bond J1/bond", "\"0 ohm\"")]),
            open(&[Set("reading/bond J1/test-current", "\"0.19 A\"")]),
            open(&[Drop("reading/bond J1/test-current")]),
            open(&[Cut("reading/bond J1")]),
            open(&[Set("reading/bond J1/revision", "\"A\"")]),
            // A box of plastic has nothing to bond; one of unknown stuff has.
            says(
                Holds,
                &[Cut("reading/bond J1"), Set("box/J1/metal", "false")],
            ),
            open(&[Cut("reading/bond J1"), Drop("box/J1/metal")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ChargeEarth,
        clause: "UN R100 Rev.3, 5.1.2.2: lower than 0.1 ohm, read at the inlet",
        probes: &[
            holds(&[Set("reading/earth/bond", "\"99.9 mohm\"")], [0.0999, 0.1]),
            fails(
                &[Set("reading/earth/bond", "\"100.1 mohm\"")],
                [0.1001, 0.1],
            ),
            open(&[Set("reading/earth/bond", "\"0 mohm\"")]),
            open(&[Cut("reading/earth")]),
            // On the mains somebody has to stand for its separation.
            open(&[ON_MAINS[0], ON_MAINS[1]]),
            says(Holds, &[ON_MAINS[0]]),
            says(Holds, &[ON_MAINS[1]]),
            says(Holds, &[ON_MAINS[0], ON_MAINS[1], SEPARATED]),
            says(Fails, &[ON_MAINS[0], ON_MAINS[1], NOT_SEPARATED]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::LvAndHvSeparate,
        clause: "UN R100 Rev.3, 5.1.3: 50 kohm between both sides of the converter",
        probes: &[
            holds(
                &[Set("reading/converter/isolation", "\"50 kohm\"")],
                [50000.0, 50000.0],
            ),
            fails(
                &[Set("reading/converter/isolation", "\"49.9 kohm\"")],
                [49900.0, 50000.0],
            ),
            open(&[Cut("reading/converter")]),
            // A coil on the traction side is a joint to it, whatever was read.
            says(
                Fails,
                &[Set("contactor/K+/coil", "[\"pack.+\", \"pack.-\"]")],
            ),
            says(Fails, &[Set("contactor/K+/coil", "[\"LV.+\", \"pack.-\"]")]),
            open(&[Drop("contactor/K+/coil")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::JointResistance,
        clause: "1.5 times the best on the same cable, 50 % rule of an electrical testing association, second hand: 30 uohm",
        probes: &[
            holds(
                &[Set("reading/joint 01+ from/joint", "\"29.9 uohm\"")],
                [29.9e-6, 30.0e-6],
            ),
            fails(
                &[Set("reading/joint 01+ from/joint", "\"30.1 uohm\"")],
                [30.1e-6, 30.0e-6],
            ),
            // On another cable the best does not count.
            says(
                Holds,
                &[Set("reading/joint 03+ from/joint", "\"29.9 uohm\"")],
            ),
            open(&[Cut("reading/joint 01+ from")]),
            open(&[Drop("reading/joint 01+ from/instrument")]),
            // 27 uohm with 10 % may be 29.7, 28 be 30.8.
            holds(
                &[
                    Set("reading/joint 01+ from/joint", "\"27 uohm\""),
                    Set("reading/joint 01+ from/accuracy", "\"10 %\""),
                ],
                [29.7e-6, 30.0e-6],
            ),
            fails(
                &[
                    Set("reading/joint 01+ from/joint", "\"28 uohm\""),
                    Set("reading/joint 01+ from/accuracy", "\"10 %\""),
                ],
                [30.8e-6, 30.0e-6],
            ),
            // 0 is open, and no measure for the others.
            open(&[Set("reading/joint 01+ from/joint", "\"0 ohm\"")]),
            // 2.99 mV and 3.01 mV at 100 A; without an end it is no joint.
            holds(
                &[Cut("reading/joint 01+ from"), drop_at!("2.99 mV")],
                [29.9e-6, 30.0e-6],
            ),
            fails(
                &[Cut("reading/joint 01+ from"), drop_at!("-3.01 mV")],
                [30.1e-6, 30.0e-6],
            ),
            open(&[Cut("reading/joint 01+ from"), drop_at!("0 V")]),
            open(&[
                Cut("reading/joint 01+ from"),
                read!("conductor = \"01+\"\ndrop = \"2 mV\"\ncurrent = \"100 A\""),
            ]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::BrakeVacuumReserve,
        clause: "three full strokes; common practice",
        probes: &[
            holds(&[Set("reading/strokes/count", "3")], [3.0, 3.0]),
            fails(&[Set("reading/strokes/count", "2")], [2.0, 3.0]),
            open(&[Cut("reading/strokes")]),
            // A no of the day of the count, or later, outweighs it; a later count clears it.
            says(Fails, &[brake_no!("2026-03-14")]),
            says(Fails, &[brake_no!("2026-03-15")]),
            holds(
                &[Set("reading/strokes/count", "4"), brake_no!("2026-03-13")],
                [4.0, 3.0],
            ),
            // Without vacuum brakes somebody says so.
            says(
                Holds,
                &[
                    Cut("reading/strokes"),
                    Add(
                        "\n[[attestation]]\nrule = \"brake-vacuum-reserve\"\nholds = true\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"B\"\n",
                    ),
                ],
            ),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::EnergisingOrder,
        clause: "between 25 x 3 V and 25 x 4 V; common practice",
        probes: &[
            holds(&[Set("reading/cells/voltage", "\"75 V\"")], [75.0, 75.0]),
            fails(&[Set("reading/cells/voltage", "\"74.9 V\"")], [74.9, 75.0]),
            holds(&[Set("reading/cells/voltage", "\"100 V\"")], [100.0, 75.0]),
            fails(
                &[Set("reading/cells/voltage", "\"100.1 V\"")],
                [100.1, 100.0],
            ),
            // The wrong way round.
            says(Fails, &[Set("reading/cells/voltage", "\"-90 V\"")]),
            open(&[Cut("reading/cells")]),
            open(&[Drop("cell-type/cell/minimum")]),
            // 99 V with 2 % may be 100.98, 76 be 74.48.
            fails(
                &[
                    Set("reading/cells/voltage", "\"99 V\""),
                    Set("reading/cells/accuracy", "\"2 %\""),
                ],
                [100.98, 100.0],
            ),
            fails(
                &[
                    Set("reading/cells/voltage", "\"76 V\""),
                    Set("reading/cells/accuracy", "\"2 %\""),
                ],
                [74.48, 75.0],
            ),
            // Two strings: 1.5 V apart where no window is stated.
            holds(&[SECOND, BOTH, second_read!("91.5 V")], [1.5, 1.5]),
            fails(&[SECOND, BOTH, second_read!("91.6 V")], [1.6, 1.5]),
            fails(&[SECOND, BOTH, second_read!("88.4 V")], [1.6, 1.5]),
            holds(&[SECOND, BOTH, second_read!("91 V"), WINDOW], [1.0, 1.0]),
            fails(&[SECOND, BOTH, second_read!("91.1 V"), WINDOW], [1.1, 1.0]),
            open(&[SECOND, BOTH]),
            // Of another day, or with another meter, a difference proves nothing.
            open(&[
                SECOND,
                BOTH,
                second_read!("91 V"),
                Set("reading/cells/date", "2026-03-13"),
            ]),
            open(&[
                SECOND,
                BOTH,
                second_read!("91 V"),
                Set("reading/cells/instrument", "\"meter 2\""),
            ]),
            // Nor hours apart.
            holds(
                &[
                    SECOND,
                    BOTH,
                    second_read!("91 V\"\ntime-of-day = \"10:00"),
                    Set("reading/cells/time-of-day", "\"9:00\""),
                ],
                [1.0, 1.5],
            ),
            open(&[
                SECOND,
                BOTH,
                second_read!("91 V\"\ntime-of-day = \"10:01"),
                Set("reading/cells/time-of-day", "\"9:00\""),
            ]),
            fails(
                &[
                    SECOND,
                    BOTH,
                    second_read!("91.6 V"),
                    Set("reading/cells/instrument", "\"meter 2\""),
                ],
                [1.6, 1.5],
            ),
            open(&[read!("voltage = \"90 V\"")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ContactorLog,
        clause: "closings at most the endurance of the datasheet; common practice",
        probes: &[
            holds(&[Set("contactor-type/main/endurance", "20")], [20.0, 20.0]),
            fails(&[Set("contactor-type/main/endurance", "19")], [20.0, 19.0]),
            open(&[Drop("contactor-type/main/endurance")]),
            open(&[Cut("reading/K+")]),
        ],
        never: &[],
    },
];

#[test]
fn a_capacitance_is_open_where_none_is_stated() {
    let reviewed = edit::reviewed(&[
        read!("load = \"drive\"\ncapacitance = \"1 mF\""),
        Drop("load/drive/link"),
    ]);
    let findings = reviewed.findings(RuleId::MeasuredVsComputed);
    let found = findings
        .iter()
        .find(|one| one.judged.name == Aspect::CapacitanceOff);
    assert_eq!(found.unwrap().judged.verdict, Open);
}

#[test]
fn a_reading_that_does_not_say_at_which_end_is_told_so() {
    for (rule, drop) in [
        (RuleId::JointResistance, "reading/joint 01+ from/end"),
        (RuleId::ShieldCutback, "reading/cut 01+ from/end"),
    ] {
        let reviewed = edit::reviewed(&[Drop(drop)]);
        let open: Vec<_> = reviewed
            .findings(rule)
            .into_iter()
            .filter(|one| one.judged.verdict == Open)
            .map(|one| one.because)
            .collect();
        assert_eq!(open, [Some(Because::Evidence(EvidenceGap::NoEnd))]);
    }
}

/// The mains may come in, through a charger.
const ON_MAINS: [Edit; 2] = [
    Drop("vehicle/bench vehicle/never-on-mains"),
    Set("load/inlet/alternating", "true"),
];

const SEPARATED: Edit = Add(
    "\n[[attestation]]\nrule = \"charge-earth\"\nload = \"inlet\"\nholds = true\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"B\"\n",
);

const NOT_SEPARATED: Edit = Add(
    "\n[[attestation]]\nrule = \"charge-earth\"\nload = \"inlet\"\nholds = false\ninitials = \"EM\"\ndate = 2026-03-14\nrevision = \"B\"\n",
);
