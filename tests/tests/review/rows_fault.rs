//! Rows of the rules about short circuits and about who ends them.

use orangeloom_core::review::RuleId;
use orangeloom_core::verdict::Verdict::{Fails, Holds};

use crate::edit::Edit::{self, Add, Cut, Drop, Set};
use crate::harness::{Row, fails, holds, open, says};

/// The main fuse as one of partial range.
const PARTIAL: Edit = Set("fuse-type/main/utilisation", "\"aR\"");
/// It breaks no less than what its controller opens on.
const LEAST_560: Edit = Set("fuse-type/main/least-breaking", "\"560 A\"");
/// The same with a gap up to 800 A and a contactor that breaks 900 A.
const WIDE: [Edit; 3] = [
    Set("fuse-type/main/least-breaking", "\"800 A\""),
    Set("contactor-type/main/break-forward", "\"900 A\""),
    Set("controller/keeps/opens-discharging", "\"900 A\""),
];

/// A battery of 10 mH: what cables add to it, 3 uH, is a third of a thousandth.
const SLOW: [Edit; 3] = [
    Set("battery/cells/inductance", "\"10 mH\""),
    Set("fuse-type/branch/time-constant", "\"1 s\""),
    Set("fuse-type/inlet/time-constant", "\"1 s\""),
];

const TWO_PIECES: &str = "[[battery]]\nname = \"upper\"\nbox = \"pack\"\ncell = \"cell\"\nin-series = 50\nlinks = \"0 mohm\"\ninductance = \"5 uH\"\nnegative = \"S1.out\"\n";
const BEHIND: Edit = Set("fuse/F1/from", "\"upper.+\"");

/// Contactor and precharge straight on the service disconnect.
pub(crate) const WITHOUT_F1: &[Edit] = &[
    Cut("fuse/F1"),
    Set("contactor/K+/from", "\"S1.out\""),
    Set("contactor/Kp/from", "\"S1.out\""),
];

pub(crate) const ROWS: &[Row] = &[
    Row {
        rule: RuleId::LoopWithoutFuse,
        clause: "a fuse in every loop that a battery feeds; common practice, no source",
        probes: &[
            says(Holds, &[]),
            says(Fails, WITHOUT_F1),
            open(&[Drop("cell-type/cell/maximum")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ShortCircuitKnown,
        clause: "prospective current at each box known, largest and smallest; common practice, no source",
        probes: &[
            says(Holds, &[]),
            open(&[
                Drop("cell-type/cell/resistance"),
                Drop("cell-type/cell/resistance-spread"),
            ]),
            open(&[Drop("cell-type/cell/maximum")]),
        ],
        never: &[(Fails, "a current that is known is known")],
    },
    Row {
        rule: RuleId::ServiceDisconnectPlace,
        // Pieces of cells of 4 V, against half of the whole.
        clause: "no piece above half of the highest voltage with the disconnect out; common practice, no source",
        probes: &[
            holds(
                &[
                    Set("battery/cells/in-series", "50"),
                    Add(TWO_PIECES),
                    BEHIND,
                ],
                [200.0, 200.0],
            ),
            fails(
                &[
                    Set("battery/cells/in-series", "51"),
                    Add(TWO_PIECES),
                    BEHIND,
                ],
                [204.0, 202.0],
            ),
            open(&[Drop("cell-type/cell/maximum")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ConductorShortCircuit,
        // Without a fuse of its own 03- of 6 mm2 stands 8.69e5 A2s and takes all that the main fuse lets through of the
        // smallest fault: 4.70e5 A2s until it melts, and three times the I2t of its arc (total
        // less melting), whose current counts as full until it ends: from 1.73e5 A2s in all on
        // that is too much.
        clause: "I2t at most what heats the conductor from its duty to the short-circuit limit, IEC 60949 form",
        probes: &[
            says(Holds, &return_without_fuse("\"1.7e5 A2s\"")),
            says(Fails, &return_without_fuse("\"1.75e5 A2s\"")),
            open(&[Drop("cable-type/HV 6/temperature-class")]),
            open(&[Drop("fuse-type/main/total")]),
            open(&UNKNOWN_BONDS),
            open(&NO_BONDS_READ),
            says(Fails, &BAD_BONDS),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::ReducedSectionTap,
        clause: "smaller cable before its fuse at most 0.3 m in a guarded route; common practice, no source",
        probes: &[
            holds(&ahead(SHORT_TAP), [0.3, 0.3]),
            fails(&ahead(LONG_TAP), [0.304, 0.3]),
            open(&ahead(TAP_WITHOUT_LENGTH)),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::OverloadOwner,
        // 01 carries 286.4 A for ever at 125 degC beside its return in 40 degC.
        clause: "rated current of the fuse at most what the conductor carries, IEC 60364-4-43, 433.1; else a named limit of the controller",
        probes: &[
            says(Holds, &[Set("fuse-type/main/rated", "\"286 A\"")]),
            // The controller keeps 140 A, and 150 A in each string.
            says(Holds, &[Set("fuse-type/main/rated", "\"287 A\"")]),
            says(
                Fails,
                &[
                    Set("fuse-type/main/rated", "\"287 A\""),
                    Set("controller/keeps/string-limit", "\"287 A\""),
                    Set("controller/keeps/discharge-limit", "\"287 A\""),
                    Set("controller/keeps/trip-current", "\"400 A\""),
                ],
            ),
            // A limit that the duty goes beyond is none: the drive asks for 120 A.
            says(
                Fails,
                &[
                    Set("fuse-type/main/rated", "\"287 A\""),
                    Set("controller/keeps/string-limit", "\"50 A\""),
                    Set("controller/keeps/discharge-limit", "\"50 A\""),
                    Set("controller/keeps/charge-limit", "\"50 A\""),
                ],
            ),
            // 02 has no fuse of its own: 250 A of F1 and what the inlet may bring through F4 feed
            // it together, 286 or 287 A; nothing brakes, and the controller keeps no limit.
            holds(
                &[NO_LIMIT, NO_BRAKE, Set("fuse-type/inlet/rated", "\"36 A\"")],
                [286.0, 286.433],
            ),
            fails(
                &[NO_LIMIT, NO_BRAKE, Set("fuse-type/inlet/rated", "\"37 A\"")],
                [287.0, 286.433],
            ),
            // What brakes leaves through F1, F2, F3 and F4: 250 + 50 + 50 + 100 A.
            fails(&[NO_LIMIT], [450.0, 286.433]),
            // 02 twice: 1 m of 50 mm2 is 345 uohm at its least (1.7241e-8 ohm m), 386 and two
            // joints of 20 at its most: a share of 426/(345 + 426) = 0.5527 of 318 or 319 + 50 + 50 + 100 A.
            holds(
                &[TWICE, NO_LIMIT, Set("fuse-type/main/rated", "\"318 A\"")],
                [286.28, 286.433],
            ),
            fails(
                &[TWICE, NO_LIMIT, Set("fuse-type/main/rated", "\"319 A\"")],
                [286.83, 286.433],
            ),
            // A share of what is not stated.
            open(&[TWICE, Set("conductor/02+/route", "[{ zone = \"bay\" }]")]),
            // The controller opens up to 300 A; what is above melts F1 after minutes only, and 01
            // becomes hotter than its class by then.
            says(
                Fails,
                &[
                    Drop("cable-type/HV 50/overload"),
                    Set("controller/keeps/opens-discharging", "\"300 A\""),
                ],
            ),
            // The controller has what it opens, up to 560 A, if 01 stands that for so long; else
            // F1 has, whose curve does not begin that low.
            says(Holds, &[Set("controller/keeps/trip-time", "\"1 s\"")]),
            open(&[Set("controller/keeps/trip-time", "\"1 h\"")]),
            // 51 of the low-voltage side, 16 mm2 in free air of 40 degC; the controller keeps no
            // limit there.
            says(Fails, &[Set("fuse-type/low/rated", "\"150 A\"")]),
            open(&[Drop("cable-type/HV 50/temperature-class")]),
            open(&[
                Drop("fuse-type/main/rated"),
                Drop("controller/keeps/string-limit"),
                Drop("controller/keeps/discharge-limit"),
            ]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseTimeConstant,
        // 10 mH over 25 cells of 1 mohm: 0.4 s.
        clause: "L/R of the loop at most that of the fuse's test; common practice, no source",
        probes: &[
            holds(
                &[
                    SLOW[0],
                    SLOW[1],
                    SLOW[2],
                    Set("fuse-type/main/time-constant", "\"0.401 s\""),
                ],
                [0.4, 0.401],
            ),
            fails(
                &[
                    SLOW[0],
                    SLOW[1],
                    SLOW[2],
                    Set("fuse-type/main/time-constant", "\"0.399 s\""),
                ],
                [0.4, 0.399],
            ),
            open(&[Drop("battery/cells/inductance")]),
            open(&[Drop("fuse-type/main/time-constant")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseBreakingCapacity,
        // 100 V over 25 mohm, nothing else in the pack: 4000 A.
        clause: "largest prospective current at most the breaking capacity; IEC 60269-1, 5.7.2 from memory",
        probes: &[
            holds(
                &[Set("fuse-type/main/breaking", "\"4000 A\"")],
                [4000.0, 4000.0],
            ),
            fails(
                &[Set("fuse-type/main/breaking", "\"3990 A\"")],
                [4000.0, 3990.0],
            ),
            open(&[Drop("fuse-type/main/breaking")]),
            open(&[Drop("cell-type/cell/maximum")]),
            // The low-voltage side: 14.4 V over 5 mohm.
            holds(
                &[Set("fuse-type/low/breaking", "\"2881 A\"")],
                [2880.0, 2881.0],
            ),
            fails(
                &[Set("fuse-type/low/breaking", "\"2879 A\"")],
                [2880.0, 2879.0],
            ),
            // Two metres of 16 mm2 before it leave no more than 2.3 kA.
            says(
                Holds,
                &[
                    FAR_FUSE,
                    Set("consumer/lamps/from", "\"LV.d+\""),
                    Set("fuse-type/low/breaking", "\"2.4 kA\""),
                ],
            ),
            says(
                Fails,
                &[
                    FAR_FUSE,
                    Set("consumer/lamps/from", "\"LV.d+\""),
                    Set("fuse-type/low/breaking", "\"1.8 kA\""),
                ],
            ),
            // Another battery that leads nowhere near drives nothing through it.
            holds(
                &[APART, Set("fuse-type/low/breaking", "\"2881 A\"")],
                [2880.0, 2881.0],
            ),
            open(&[Drop("fuse-type/low/breaking")]),
            open(&[Drop("fuse-type/low/curve")]),
            open(&[Drop("fuse-type/low/total"), Drop("fuse-type/low/total-at")]),
            open(&[
                Drop("cell-type/12 V block/resistance"),
                Drop("cell-type/12 V block/resistance-spread"),
            ]),
            // 75 V over 25 cells of 1 ohm melt no fuse in its printed 600 s.
            says(Fails, &[Set("cell-type/cell/resistance", "\"1 ohm\"")]),
            // Of 5 s a curve that ends after 1 s says nothing.
            open(&[SMALL[0], SMALL[1]]),
            open(&UNKNOWN_BONDS),
            says(Fails, &BAD_BONDS),
            // It breaks nothing as small as its smallest short circuit, some 1900 A.
            says(Fails, &[Set("fuse-type/main/least-breaking", "\"2500 A\"")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseLowCurrentGap,
        clause: "what melts a partial-range fuse without being broken is opened by a contactor, in time, what a contactor does not break by a fuse; common practice, no source",
        probes: &[
            // The latest fuse melts a tenth above the 500 A that its curve ends at.
            holds(
                &[Set("contactor-type/main/break-forward", "\"550 A\"")],
                [550.0, 550.0],
            ),
            fails(
                &[Set("contactor-type/main/break-forward", "\"549 A\"")],
                [550.0, 549.0],
            ),
            // The controller opens it on so much and no more.
            holds(
                &[Set("controller/keeps/opens-discharging", "\"550 A\"")],
                [550.0, 550.0],
            ),
            fails(
                &[Set("controller/keeps/opens-discharging", "\"549 A\"")],
                [550.0, 549.0],
            ),
            open(&[Drop("controller/keeps/opens-discharging")]),
            // The inlet is fed against the arrow of its contactors: 180 A and a tenth.
            holds(
                &[Set("contactor-type/main/break-reverse", "\"198 A\"")],
                [198.0, 198.0],
            ),
            fails(
                &[Set("contactor-type/main/break-reverse", "\"197 A\"")],
                [198.0, 197.0],
            ),
            open(&[Drop("fuse-type/main/curve")]),
            open(&[Drop("contactor-type/main/break-forward")]),
            open(&[Drop("contactor/K+/type")]),
            holds(&[PARTIAL, LEAST_560], [560.0, 560.0]),
            fails(
                &[
                    PARTIAL,
                    LEAST_560,
                    Set("controller/keeps/opens-discharging", "\"559 A\""),
                ],
                [560.0, 559.0],
            ),
            // The contactor itself breaks less.
            fails(
                &[
                    PARTIAL,
                    LEAST_560,
                    Set("contactor-type/main/break-forward", "\"555 A\""),
                ],
                [560.0, 555.0],
            ),
            // The earliest fuse melts a tenth below the 500 A that its curve ends at.
            holds(
                &[
                    PARTIAL,
                    LEAST_560,
                    Set("controller/keeps/trip-current", "\"450 A\""),
                ],
                [450.0, 450.0],
            ),
            fails(
                &[
                    PARTIAL,
                    LEAST_560,
                    Set("controller/keeps/trip-current", "\"455 A\""),
                ],
                [455.0, 450.0],
            ),
            // 800 A melt the earliest as 889 A the printed one: between 1200 A in 1 s and
            // 800 A in 10 s along a straight line of logarithms 5.497 s.
            holds(
                &[
                    PARTIAL,
                    WIDE[0],
                    WIDE[1],
                    WIDE[2],
                    Set("controller/keeps/trip-time", "\"5.4 s\""),
                ],
                [5.4, 5.497],
            ),
            fails(
                &[
                    PARTIAL,
                    WIDE[0],
                    WIDE[1],
                    WIDE[2],
                    Set("controller/keeps/trip-time", "\"5.6 s\""),
                ],
                [5.6, 5.497],
            ),
            open(&[PARTIAL, Drop("fuse-type/main/least-breaking")]),
            open(&[
                PARTIAL,
                LEAST_560,
                Drop("controller/keeps/trip-current"),
                Drop("controller/keeps/trip-time"),
            ]),
            open(&[
                PARTIAL,
                LEAST_560,
                Drop("contactor-type/main/break-voltage"),
            ]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseContactorMatch,
        // 100 V over 25 mohm.
        clause: "prospective peak and I2t at most what closed contacts stand; common practice, no source",
        probes: &[
            holds(
                &[Set("contactor-type/main/withstand-peak", "\"4000 A\"")],
                [4000.0, 4000.0],
            ),
            fails(
                &[Set("contactor-type/main/withstand-peak", "\"3990 A\"")],
                [4000.0, 3990.0],
            ),
            says(
                Fails,
                &[Set("contactor-type/main/withstand", "\"5e5 A2s\"")],
            ),
            open(&[Drop("contactor-type/main/withstand-peak")]),
            open(&[Drop("contactor-type/main/withstand")]),
            open(&[Drop("contactor/K+/type")]),
            open(&UNKNOWN_BONDS),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseSelectivity,
        // Three quarters of the 4e4 A2s that melt the main fuse.
        clause: "total I2t of the branch at most 0.75 of the melting I2t upstream; common practice, no source",
        probes: &[
            holds(
                &[Set("fuse-type/branch/total", "\"30000 A2s\"")],
                [30_000.0, 30_000.0],
            ),
            fails(
                &[Set("fuse-type/branch/total", "\"30100 A2s\"")],
                [30_100.0, 30_000.0],
            ),
            open(&[Drop("fuse-type/main/melting")]),
            open(&[Drop("fuse-type/branch/total")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::FuseFedByCapacitor,
        // The heater's own capacitor through 2 x 1.5 m of 6 mm2 at -10 degC, 7.604 mohm by
        // IEC 60287-1-1 (17.241 nohm m, 0.00393/K), and 1 mohm of its own where the fault is
        // ahead of the return's: C U^2 / 2 R against three quarters of the 500 A2s that melt its fuse.
        clause: "joule integral of the link into a fault elsewhere below what melts the fuse; computed, margin common practice",
        probes: &[
            holds(&[Set("load/heater/link", "\"645 uF\"")], [374.8, 375.0]),
            fails(&[Set("load/heater/link", "\"646 uF\"")], [375.4, 375.0]),
            open(&[Drop("load/heater/link")]),
            // Nobody has said that there is no capacitor at all.
            open(&[
                Drop("load/drive/link"),
                Drop("load/heater/link"),
                Drop("load/converter/link"),
                Drop("load/inlet/link"),
            ]),
            open(&[Drop("fuse-type/branch/melting")]),
        ],
        never: &[],
    },
    Row {
        rule: RuleId::BondSection,
        // The strap of the drive needs some 4.6 mm2.
        //
        // The braid of 05- has 216 strands. Of the least fault to it, some 2230 A, F1 melts at
        // 10 % more than its curve: 1 s x (1200 A x 1.1 / 2230 A)^5.026 = 0.072 s, 3.6e5 A2s,
        // and 8e4 A2s of its arc. From 125 to 200 degC copper stands 226^2 ln(434.5 / 359.5) =
        // 9677 A2s for each square of a mm2: 6.7 mm2, strands of 0.199 mm.
        clause: "strap and shield stand the I2t of every short circuit through chassis, IEC 60949 form",
        probes: &[
            says(Holds, &[Set("box/drive/bond", STRAP_4_7)]),
            says(Fails, &[Set("box/drive/bond", STRAP_4_5)]),
            says(Fails, &[Set("cable-type/HV 50/braid", BRAID_0_198)]),
            // A return that no fuse of its own guards.
            says(Fails, &[RETURN[0], RETURN[1], RETURN[2]]),
            open(&[Drop("fuse-type/main/total")]),
            open(&[Drop("cable-type/HV 50/braid")]),
            open(&[Drop("cable-type/HV 50/shielded")]),
            open(&UNKNOWN_BONDS),
            says(Fails, &BAD_BONDS),
        ],
        never: &[],
    },
];

/// Two bonds of which nothing is known count as 0.1 ohm each: 75 V melt no fuse over them,
/// but nobody knows that they are that bad.
const UNKNOWN_BONDS: [Edit; 4] = [
    Cut("reading/bond pack"),
    Drop("box/pack/bond"),
    Cut("reading/bond drive"),
    Drop("box/drive/bond"),
];

/// The same two read as nothing at all, which the instrument does not show.
const NO_BONDS_READ: [Edit; 4] = [
    Set("reading/bond pack/bond", "\"0 ohm\""),
    Drop("box/pack/bond"),
    Set("reading/bond drive/bond", "\"0 ohm\""),
    Drop("box/drive/bond"),
];

/// The same two read as that bad.
const BAD_BONDS: [Edit; 2] = [
    Set("reading/bond pack/bond", "\"0.1 ohm\""),
    Set("reading/bond drive/bond", "\"0.1 ohm\""),
];

/// Short circuits of 750 A, and fuses of 250 A whose curves end after 1 s.
const SMALL: [Edit; 2] = [
    Set("cell-type/cell/resistance", "\"4 mohm\""),
    Set(
        "fuse-type/main/curve",
        "[{ time = \"10 ms\", current = \"3000 A\" }, { time = \"1 s\", current = \"1200 A\" }]",
    ),
];

const STRAP_4_7: &str = "{ section = \"4.7 mm2\", metal = \"copper\", length = \"0.4 m\" }";
const STRAP_4_5: &str = "{ section = \"4.5 mm2\", metal = \"copper\", length = \"0.4 m\" }";
const BRAID_0_198: &str = "{ under = \"12 mm\", strand = \"0.198 mm\", carriers = 24, ends = 9, lay = \"60 mm\", resistivity = \"1.8e-8 ohm m\" }";

/// The return of the heater straight on the main one.
const RETURN: [Edit; 3] = [
    Cut("fuse/F2-"),
    Cut("terminal/J1.h-"),
    Set("conductor/03-/to", "\"J1.-\""),
];

/// The same with this total I2t of the main fuse.
const fn return_without_fuse(total: &'static str) -> [Edit; 4] {
    let total = Set("fuse-type/main/total", total);
    [RETURN[0], RETURN[1], RETURN[2], total]
}

/// The only fuse of the heater at the far end of a piece of its cable.
const fn ahead(tap: &'static str) -> [Edit; 5] {
    let behind = Set("fuse/F2/from", "\"J1.f\"");
    [RETURN[0], RETURN[1], RETURN[2], behind, Add(tap)]
}

const SHORT_TAP: &str = "[[conductor]]\ncircuit = \"07\"\nfrom = \"J1.+\"\nto = \"J1.f\"\ncable = \"HV 6\"\nroute = [{ zone = \"bay\", length = \"0.3 m\", laid = \"touching-pair\", circuits = 1 }]\n";
const LONG_TAP: &str = "[[conductor]]\ncircuit = \"07\"\nfrom = \"J1.+\"\nto = \"J1.f\"\ncable = \"HV 6\"\nroute = [{ zone = \"bay\", length = \"0.304 m\", laid = \"touching-pair\", circuits = 1 }]\n";
const TAP_WITHOUT_LENGTH: &str =
    "[[conductor]]\ncircuit = \"07\"\nfrom = \"J1.+\"\nto = \"J1.f\"\ncable = \"HV 6\"\n";

const NO_LIMIT: Edit = Drop("controller/keeps/discharge-limit");
pub(crate) const NO_BRAKE: Edit = Set("phase/brake/draws", "{ drive = \"0 A\" }");

/// A second cable beside each of the drive.
const TWICE: Edit = Add(
    "[[pair]]\ncircuit = \"02b\"\nfrom = [\"J1.+\", \"J1.-\"]\nto = \"drive\"\ncable = \"HV 50\"\nroute = [{ zone = \"bay\", length = \"1 m\", laid = \"touching-pair\", circuits = 1 }]\nlug = \"50 M8\"\njoint = \"20 uohm\"\n",
);

/// A cable from the starter battery to a fuse box of its own.
const FAR_FUSE: Edit = Add(
    "\n[[conductor]]\ncircuit = \"52\"\nfrom = \"LV.+\"\nto = \"LV.d+\"\ncable = \"LV 16\"\nlug = \"16 M8\"\njoint = \"50 uohm\"\nroute = [{ zone = \"bay\", length = \"2 m\", laid = \"free-air\" }]\n",
);

/// A battery for tools, joined to nothing else.
const APART: Edit = Add(
    "\n[[battery]]\nname = \"tool battery\"\nsystem = \"low-voltage\"\ncell = \"12 V block\"\nin-series = 1\npositive = \"LV.t+\"\nnegative = \"LV.t-\"\n\n[[consumer]]\nname = \"tools\"\ncircuit = \"59\"\nfrom = \"LV.t+\"\nreturn = \"LV.t-\"\nfuse = \"low\"\ncable = \"LV 16\"\nlug = \"16 M8\"\njoint = \"50 uohm\"\nroute = [{ zone = \"bay\", length = \"1 m\", laid = \"free-air\" }]\nrated = \"5 A\"\nduty-share = \"100 %\"\nessential = true\n",
);
