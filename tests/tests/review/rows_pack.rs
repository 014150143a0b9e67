//! Rows of the rules about the battery, converters and the low-voltage battery.

use orangeloom_core::review::RuleId;
use orangeloom_core::verdict::Verdict::{Fails, Holds, Open};

use crate::edit::Edit::{self, Add, Cut, Drop, Set};
use crate::harness::{Row, fails, holds, open, says};
use crate::rows_fault::NO_BRAKE;
use crate::rows_sequence::heated;

/// A second string beside the first, like it in all.
pub(crate) const SECOND: Edit = Add(r#"
[[battery]]
name = "cells 2"
box = "pack"
cell = "cell"
in-series = 25
links = "0 mohm"

[[service-disconnect]]
name = "S2"
box = "pack"
from = "cells 2.+"
voltage = "250 V"
carry = "250 A"
resistance = "0.1 mohm"
breaks-load = false

[[fuse]]
name = "F1b"
type = "main"
box = "pack"
from = "S2.out"

[[contactor]]
name = "K2+"
type = "main"
box = "pack"
from = "F1b.out"
to = "pack.+"
arrow = "along"

[[contactor]]
name = "K2-"
type = "main"
box = "pack"
from = "pack.-"
to = "cells 2.-"
arrow = "along"
"#);

/// Its contactors closed with those of the first.
pub(crate) const BOTH: Edit = Set("phase/work/closed", r#"["K+", "K-", "K2+", "K2-"]"#);
const BOTH_BRAKING: Edit = Set("phase/brake/closed", r#"["K+", "K-", "K2+", "K2-"]"#);

/// A second kind of cell.
const OTHER_CELL: Edit = Add(r#"
[[cell-type]]
name = "other"
chemistry = "lead"
minimum = "3 V"
maximum = "4 V"
resistance = "1 mohm"
resistance-spread = "0 %"
"#);

/// A battery below the other one, its poles as they should be and exchanged.
const IN_SERIES: Edit = Add(r#"
[[battery]]
name = "cell 0"
box = "pack"
cell = "cell"
in-series = 1
links = "0 mohm"
positive = "cells.-"
"#);
const OPPOSED: Edit = Add(r#"
[[battery]]
name = "cell 0"
box = "pack"
cell = "cell"
in-series = 1
links = "0 mohm"
negative = "cells.-"
"#);

/// A load of the low-voltage side with its positive terminal at chassis.
const REVERSED_HORN: Edit = Add(r#"
[[load]]
name = "horn"
positive = "chassis"
negative = "LV.+"
rated = "1 A"
"#);

/// Somebody stands for the derating of a lost string, or says that there is none.
const DERATED: Edit = Add(r#"
[[attestation]]
rule = "string-lost-limit"
holds = true
initials = "EM"
date = 2026-03-14
revision = "B"
"#);
const NOT_DERATED: Edit = Add(r#"
[[attestation]]
rule = "string-lost-limit"
holds = false
"#);

/// A cable that leaves the box ahead of the contactor, and who stands for its guard.
const BEFORE_CONTACTOR: Edit = Set("conductor/01+/from", "\"F1.out\"");
const GUARDED: Edit = Add(r#"
[[attestation]]
rule = "box-cable-dead-when-off"
holds = true
initials = "EM"
date = 2026-03-14
revision = "B"
"#);
const NOT_GUARDED: Edit = Add(r#"
[[attestation]]
rule = "box-cable-dead-when-off"
holds = false
"#);

pub(crate) const ROWS: &[Row] = &[
    Row {
        rule: RuleId::PackVoltageWindow,
        clause: "parts: rating at least 25 x 4 V, common practice; domain: 1500 V d.c., scope of ISO 6469-3 and UN R100 (class B up to 1500 V d.c.)",
        probes: &[
            holds(
                &[NO_BRAKE, Set("service-disconnect/S1/voltage", "\"100 V\"")],
                [100.0, 100.0],
            ),
            fails(
                &[NO_BRAKE, Set("service-disconnect/S1/voltage", "\"99.9 V\"")],
                [100.0, 99.9],
            ),
            // The charging tolerance counts: 101 V.
            fails(
                &[
                    Set("vehicle/bench vehicle/charge-tolerance", "\"1 %\""),
                    NO_BRAKE,
                    Set("service-disconnect/S1/voltage", "\"100 V\""),
                ],
                [101.0, 100.0],
            ),
            // 1 % unless stated.
            holds(
                &[
                    Drop("vehicle/bench vehicle/charge-tolerance"),
                    NO_BRAKE,
                    Set("service-disconnect/S1/voltage", "\"101 V\""),
                ],
                [101.0, 101.0],
            ),
            fails(
                &[
                    Drop("vehicle/bench vehicle/charge-tolerance"),
                    NO_BRAKE,
                    Set("service-disconnect/S1/voltage", "\"100.9 V\""),
                ],
                [101.0, 100.9],
            ),
            // Braking: 25 mohm x (50 A - 560 W of the converter/101 V) = 1.111 V more.
            holds(
                &[Set("service-disconnect/S1/voltage", "\"101.12 V\"")],
                [101.111, 101.12],
            ),
            fails(
                &[Set("service-disconnect/S1/voltage", "\"101.1 V\"")],
                [101.111, 101.1],
            ),
            // What a precharge resistor cannot bring is no wrong polarity.
            says(Holds, &[heated!("\"5 A\"")]),
            // The drive the wrong way round.
            says(
                Fails,
                &[
                    Set("conductor/02+/to", "\"drive.-\""),
                    Set("conductor/02-/from", "\"drive.+\""),
                ],
            ),
            // A heater so, which is not even on: 75 V less 100 A and 560 W through the 28.06 mohm
            // of the next rule.
            fails(
                &[
                    Set("conductor/03+/to", "\"heater.-\""),
                    Set("conductor/03-/from", "\"heater.+\""),
                    Set("phase/work/draws", "{ drive = \"100 A\" }"),
                ],
                [-71.975, 0.0],
            ),
            // Of the low-voltage side: 14 V less 40 A through 0.5 m of 16 mm2 and two joints.
            fails(&[REVERSED_HORN], [-13.964, 0.0]),
            // A battery in series, as it should be and the other way round.
            says(Holds, &[IN_SERIES, Set("contactor/K-/to", "\"cell 0.-\"")]),
            says(Fails, &[OPPOSED, Set("contactor/K-/to", "\"cell 0.+\"")]),
            open(&[Drop("service-disconnect/S1/voltage")]),
            open(&[Drop("cell-type/cell/maximum")]),
            open(&[Drop("resistor/Rp/type")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::LoadVoltageWindow,
        // 75 V less 127.86 A (drive 100, heater 20, converter 560 W) through 25 mohm of
        // cells, 0.8 mohm of parts, 4 m of 50 mm2 at 125 degC (0.386 ohm/km x 1.4127) and
        // four joints, less 100 A through 2 m and four joints: 71.295 V.
        clause: "lowest voltage of the drive at most the sagging battery, highest at least the full one; common practice",
        probes: &[
            holds(&[Set("load/drive/lowest", "\"71.2 V\"")], [71.295, 71.2]),
            fails(&[Set("load/drive/lowest", "\"71.4 V\"")], [71.295, 71.4]),
            holds(
                &[NO_BRAKE, Set("load/drive/highest", "\"100 V\"")],
                [100.0, 100.0],
            ),
            fails(
                &[NO_BRAKE, Set("load/drive/highest", "\"99.9 V\"")],
                [100.0, 99.9],
            ),
            // More than U^2 / (4 R): 75 V less what the converter takes of it, and 28.06 mohm
            // with 2 m and four joints more, 29.2 mohm.
            fails(
                &[Set("phase/work/draws", "{ drive = \"60 kW\" }")],
                [60e3, 47_694.0],
            ),
            open(&[Drop("load/drive/lowest")]),
            open(&[Drop("load/drive/highest")]),
            open(&[
                Drop("cell-type/cell/resistance"),
                Drop("cell-type/cell/resistance-spread"),
            ]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ParallelStringsAlike,
        clause: "same cells in series, full voltage, chemistry; common practice, the same asked for in student competition rules",
        probes: &[
            holds(&[SECOND, BOTH], [25.0, 25.0]),
            fails(
                &[SECOND, BOTH, Set("battery/cells 2/in-series", "24")],
                [24.0, 25.0],
            ),
            says(
                Fails,
                &[
                    SECOND,
                    BOTH,
                    OTHER_CELL,
                    Set("battery/cells 2/cell", "\"other\""),
                ],
            ),
            open(&[SECOND, BOTH, Drop("cell-type/cell/chemistry")]),
            open(&[SECOND, BOTH, Drop("cell-type/cell/maximum")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::StringCurrentShare,
        clause: "current of the string at most the limit of its cells; Kirchhoff and datasheet",
        probes: &[
            holds(
                &[Set("cell-type/cell/discharge-limit", "\"128 A\"")],
                [127.86, 128.0],
            ),
            fails(
                &[Set("cell-type/cell/discharge-limit", "\"127.5 A\"")],
                [127.86, 127.5],
            ),
            // The controller opens at no current that the duty asks for.
            holds(
                &[
                    Set("controller/keeps/string-limit", "\"120 A\""),
                    Set("controller/keeps/trip-current", "\"128 A\""),
                ],
                [127.86, 128.0],
            ),
            fails(
                &[
                    Set("controller/keeps/string-limit", "\"120 A\""),
                    Set("controller/keeps/trip-current", "\"127.5 A\""),
                ],
                [127.86, 127.5],
            ),
            // 50 A of the drive less 560 W of the converter at about 101 V.
            holds(
                &[Set("cell-type/cell/charge-limit", "\"44.5 A\"")],
                [44.454, 44.5],
            ),
            fails(
                &[Set("cell-type/cell/charge-limit", "\"44.4 A\"")],
                [44.454, 44.4],
            ),
            // Two strings of 25 mohm, and one of cells 20 % better beside one of cells 20 % worse:
            // 1/20 of 1/20 + 1/30 is 60 %, where the network of 30 mohm each gives half.
            holds(
                &[
                    SECOND,
                    BOTH,
                    Set("cell-type/cell/resistance-spread", "\"20 %\""),
                    Set("cell-type/cell/discharge-limit", "\"77 A\""),
                ],
                [76.66, 77.0],
            ),
            fails(
                &[
                    SECOND,
                    BOTH,
                    Set("cell-type/cell/resistance-spread", "\"20 %\""),
                    Set("cell-type/cell/discharge-limit", "\"76.5 A\""),
                ],
                [76.66, 76.5],
            ),
            open(&[Drop("cell-type/cell/discharge-limit")]),
            open(&[Drop("cell-type/cell/charge-limit")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::StringLostLimit,
        // Both together 120 A and 560 W at about 73 V; one alone carries all of it.
        clause: "the strings that are left carry what all carried, or the controller lowers its limit; Kirchhoff",
        probes: &[
            holds(
                &[
                    SECOND,
                    BOTH,
                    BOTH_BRAKING,
                    Set("cell-type/cell/discharge-limit", "\"128 A\""),
                ],
                [127.68, 128.0],
            ),
            fails(
                &[
                    SECOND,
                    BOTH,
                    BOTH_BRAKING,
                    Set("cell-type/cell/discharge-limit", "\"127.5 A\""),
                    NOT_DERATED,
                ],
                [127.68, 127.5],
            ),
            says(
                Holds,
                &[
                    SECOND,
                    BOTH,
                    BOTH_BRAKING,
                    Set("cell-type/cell/discharge-limit", "\"127.5 A\""),
                    DERATED,
                ],
            ),
            open(&[
                SECOND,
                BOTH,
                BOTH_BRAKING,
                Set("cell-type/cell/discharge-limit", "\"127.5 A\""),
            ]),
            open(&[
                SECOND,
                BOTH,
                BOTH_BRAKING,
                Drop("cell-type/cell/discharge-limit"),
            ]),
            // Braking puts 44.45 A into both together.
            holds(
                &[
                    SECOND,
                    BOTH,
                    BOTH_BRAKING,
                    Set("cell-type/cell/charge-limit", "\"44.5 A\""),
                ],
                [44.454, 44.5],
            ),
            fails(
                &[
                    SECOND,
                    BOTH,
                    BOTH_BRAKING,
                    Set("cell-type/cell/charge-limit", "\"44.4 A\""),
                    NOT_DERATED,
                ],
                [44.454, 44.4],
            ),
            // The controller keeps each string below what its cells take.
            holds(
                &[
                    SECOND,
                    BOTH,
                    BOTH_BRAKING,
                    Set("cell-type/cell/charge-limit", "\"44.4 A\""),
                    Set("controller/keeps/string-charge-limit", "\"44 A\""),
                ],
                [44.0, 44.4],
            ),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::BoxCableDeadWhenOff,
        clause: "no cable outside a box live with all contactors open, or guarded and labelled; common practice",
        probes: &[
            says(Holds, &[]),
            open(&[BEFORE_CONTACTOR]),
            says(Holds, &[BEFORE_CONTACTOR, GUARDED]),
            says(Fails, &[BEFORE_CONTACTOR, NOT_GUARDED]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ConverterCapacity,
        clause: "rated current at least what all loads of a phase draw: 40 A; common practice",
        probes: &[
            holds(
                &[Set("converter/converter/rated", "\"40 A\"")],
                [40.0, 40.0],
            ),
            fails(
                &[Set("converter/converter/rated", "\"39.9 A\"")],
                [40.0, 39.9],
            ),
            open(&[Drop("converter/converter/rated")]),
            open(&[Drop("consumer/lamps/rated")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::LvReserve,
        clause: "half of the capacity for 20 minutes, the safe end of 10 to 20: common practice; 0.5 x 26.67 Ah / 40 A = 1200 s",
        probes: &[
            holds(
                &[Set("cell-type/12 V block/capacity", "\"26.7 Ah\"")],
                [1201.5, 1200.0],
            ),
            fails(
                &[Set("cell-type/12 V block/capacity", "\"26.6 Ah\"")],
                [1197.0, 1200.0],
            ),
            // What is not essential does not count, once everybody says.
            says(
                Holds,
                &[
                    Set("cell-type/12 V block/capacity", "\"26.7 Ah\""),
                    Add(r#"
[[consumer]]
name = "radio"
circuit = "52"
from = "LV.+"
fuse = "low"
cable = "LV 16"
route = [{ zone = "bay", length = "1 m", laid = "free-air" }]
rated = "5 A"
duty-share = "100 %"
essential = false
"#),
                ],
            ),
            open(&[Drop("cell-type/12 V block/capacity")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::AuxOwnFuse,
        clause: "a fuse of its own for each heater, compressor, converter and charger; common practice",
        probes: &[
            says(Holds, &[]),
            says(
                Fails,
                &[
                    Cut("fuse/F2"),
                    Cut("terminal/J1.h+"),
                    Set("conductor/03+/from", "\"J1.+\""),
                    Cut("fuse/F2-"),
                    Cut("terminal/J1.h-"),
                    Set("conductor/03-/to", "\"J1.-\""),
                ],
            ),
            // In the negative pole it counts too.
            says(
                Holds,
                &[
                    Cut("fuse/F2"),
                    Cut("terminal/J1.h+"),
                    Set("conductor/03+/from", "\"J1.+\""),
                ],
            ),
        ],
        never: &[(Open, "what is drawn is known")],
    },
];
