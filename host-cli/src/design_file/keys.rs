//! The sections of a design file and their keys, once.
//!
//! The walker, the suggestions for typing slips, the JSON Schema and the
//! documentation all come from these rows.

use super::words::{LaidAs, words_of};
use crate::quantity_text::Kind;
use orangeloom_core::design::{Arrow, PollutionKept, Purpose, Role, System, Utilisation, WhichEnd};
use orangeloom_core::insulation::{Domain, IsolationCase, StrapMetal};
use orangeloom_core::shield::{CableVoltageClass, CircuitNoise};
use orangeloom_core::size::series::MetricTable;
use orangeloom_core::standard::iec60287::Tube as TubeMaterial;
use orangeloom_core::standard::iec60664::{Insulation, MaterialGroup, OvervoltageCategory};
use orangeloom_core::standard::iec60664_creepage::Surface;
use orangeloom_core::standard::metal::Metal;

/// Which section of the file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) enum Tag {
    Vehicle,
    Controller,
    Zone,
    Box,
    Terminal,
    Tube,
    Battery,
    Conductor,
    Pair,
    Fuse,
    Contactor,
    ServiceDisconnect,
    Resistor,
    Load,
    Converter,
    Consumer,
    Phase,
    Duty,
    Spacing,
    Reading,
    Attestation,
    CarryOver,
    CellType,
    CableType,
    FuseType,
    ContactorType,
    ResistorType,
    LugType,
    GlandType,
    /// A table inside a section.
    Inner,
}

/// Which amounts make sense.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    /// Above zero.
    Positive,
    /// Zero too.
    NotNegative,
    /// Any.
    Any,
}

/// What a key takes.
#[derive(Clone, Copy)]
pub(super) enum Value {
    /// What the entry is called; unique among its kind.
    Name,
    /// Free text.
    Text,
    /// true or false.
    Flag,
    /// A whole number within these limits.
    Whole(u32, u32),
    /// A day, written as TOML writes it: 2026-03-01.
    Day,
    /// A minute of a day: 14:30.
    Minute,
    /// An amount with its unit, in quotes.
    Quantity(Kind, Sign),
    /// A power, a current or a resistance, in quotes; negative delivers.
    Draw,
    /// One word out of a list.
    Word(fn() -> Vec<&'static str>),
    /// The name of an entry of another section.
    Refer(Tag),
    /// Names of entries of another section.
    Refers(Tag),
    /// The names of two entries of one section, or one name for both ends.
    EachEnd(Tag),
    /// An amount for both ends, or one for each.
    EachEndAmount(Kind),
    /// How the shield ends, at both ends alike or at each.
    EachEndShield,
    /// A terminal.
    Terminal,
    /// Two terminals.
    Terminals,
    /// Where a pair ends: a thing that has + and -, or two terminals, + first.
    PairEnd,
    /// A table.
    Table(&'static Section),
    /// Several tables.
    Tables(&'static Section),
    /// What each load draws: a table of load and draw.
    Draws,
}

/// One key of one section.
#[allow(clippy::struct_field_names)] // the key of the file is the key
pub(super) struct Key {
    pub(super) key: &'static str,
    pub(super) value: Value,
    pub(super) required: bool,
    pub(super) doc: &'static str,
}

/// An amount that a key may well have: resistances of ten decades stand in one design.
pub(super) fn example_of(key: &str, kind: Kind) -> &'static str {
    match (key, kind) {
        ("isolation", Kind::Resistance) => "2.2 Mohm",
        ("alarm" | "bleed" | "inserted", Kind::Resistance) => "100 kohm",
        ("resistance", Kind::Resistance) => "33 ohm",
        ("low-voltage-distance", Kind::Length) => "450 mm",
        _ => kind.example(),
    }
}

/// One section.
pub(super) struct Section {
    pub(super) tag: Tag,
    pub(super) key: &'static str,
    /// One of its entries in words.
    pub(super) one: &'static str,
    /// Whether the file may have several.
    pub(super) many: bool,
    pub(super) doc: &'static str,
    pub(super) keys: &'static [Key],
}

impl Section {
    pub(super) fn row(&self, key: &str) -> Option<&'static Key> {
        self.keys.iter().find(|row| row.key == key)
    }

    /// The key that holds the name of an entry, if it has one.
    pub(super) fn name_key(&self) -> Option<&'static str> {
        let named = self.keys.iter().find(|row| matches!(row.value, Name));
        named.map(|row| row.key)
    }

    /// How its heading is written.
    pub(super) fn heading(&self) -> String {
        if self.many {
            format!("[[{}]]", self.key)
        } else {
            format!("[{}]", self.key)
        }
    }
}

/// The section of a tag; for a table inside a section the vehicle's, which no
/// caller asks for.
pub(super) fn section(tag: Tag) -> &'static Section {
    SECTIONS
        .iter()
        .find(|section| section.tag == tag)
        .unwrap_or(&SECTIONS[0])
}

const fn must(key: &'static str, value: Value, doc: &'static str) -> Key {
    Key {
        key,
        value,
        required: true,
        doc,
    }
}

const fn may(key: &'static str, value: Value, doc: &'static str) -> Key {
    Key {
        key,
        value,
        required: false,
        doc,
    }
}

const fn more(kind: Kind) -> Value {
    Value::Quantity(kind, Sign::Positive)
}

const fn zero_too(kind: Kind) -> Value {
    Value::Quantity(kind, Sign::NotNegative)
}

const fn any(kind: Kind) -> Value {
    Value::Quantity(kind, Sign::Any)
}

const fn inner(key: &'static str, one: &'static str, keys: &'static [Key]) -> Section {
    Section {
        tag: Tag::Inner,
        key,
        one,
        many: false,
        doc: "",
        keys,
    }
}

use Value::{Day, Draw, Draws, Flag, Minute, Name, Refer, Refers, Text, Whole};

static MONITOR: Section = inner(
    "monitor",
    "isolation monitor",
    &[
        may(
            "capacitance",
            more(Kind::Capacitance),
            "largest capacitance of both poles to chassis together that it works with",
        ),
        may(
            "lowest",
            zero_too(Kind::Voltage),
            "lowest voltage it works at; \"0 V\" where it works from zero",
        ),
        may(
            "highest",
            more(Kind::Voltage),
            "highest voltage it works at",
        ),
        may(
            "response",
            more(Kind::Time),
            "time from a fault to the alarm",
        ),
        may(
            "alarm",
            more(Kind::Resistance),
            "resistance below which it alarms",
        ),
    ],
);

static BOND: Section = inner(
    "bond",
    "bond",
    &[
        may("section", more(Kind::Section), "metal area of the strap"),
        may(
            "metal",
            Value::Word(words_of::<StrapMetal>),
            "metal of the strap",
        ),
        may("length", more(Kind::Length), "length of the strap"),
    ],
);

static ROUTE: Section = inner(
    "route",
    "piece of a route",
    &[
        must("zone", Refer(Tag::Zone), "the zone it runs through"),
        may(
            "length",
            more(Kind::Length),
            "how long it is there; leave out what is not measured yet",
        ),
        may(
            "laid",
            Value::Word(words_of::<LaidAs>),
            "what is around it; without it how hot it becomes stays open",
        ),
        may(
            "tube",
            Refer(Tag::Tube),
            "the tube it is in; without one a safe rule is used",
        ),
        may(
            "circuits",
            Whole(1, 20),
            "loaded circuits in the bundle, this one included; 1 where it is alone, which free-air says already",
        ),
    ],
);

static BRAID: Section = inner(
    "braid",
    "braid",
    &[
        must("under", more(Kind::Length), "diameter under the braid"),
        must("strand", more(Kind::Length), "diameter of one strand"),
        must(
            "carriers",
            Whole(1, 255),
            "carriers (spindles), both directions together",
        ),
        must("ends", Whole(1, 255), "strands side by side in one carrier"),
        must(
            "lay",
            more(Kind::Length),
            "length along the cable of one turn of a carrier",
        ),
        must(
            "resistivity",
            more(Kind::Resistivity),
            "resistivity of the strands at 20 degC",
        ),
    ],
);

static CURVE: Section = inner(
    "curve",
    "point of a melting curve",
    &[
        must("time", more(Kind::Time), "time until it melts"),
        must("current", more(Kind::Current), "at this current"),
    ],
);

static DERATING: Section = inner(
    "derating",
    "point of a derating curve",
    &[
        must("air", any(Kind::Temperature), "air around the fuse"),
        must(
            "carries",
            more(Kind::Share),
            "share of the rated current that it carries there",
        ),
    ],
);

static COIL: Section = inner(
    "coil",
    "coil",
    &[
        may("nominal", more(Kind::Voltage), "nominal voltage"),
        may(
            "highest",
            more(Kind::Voltage),
            "highest voltage that it stands for ever, 4/3 of the nominal one unless stated",
        ),
        may(
            "resistance",
            more(Kind::Resistance),
            "resistance at 20 degC",
        ),
        may(
            "pull-in",
            more(Kind::Voltage),
            "voltage at which it pulls in at 20 degC",
        ),
        may(
            "drop-out",
            more(Kind::Voltage),
            "voltage at which it drops out",
        ),
        may(
            "pull-in-power",
            more(Kind::Power),
            "power while it pulls in",
        ),
        may("hold-power", more(Kind::Power), "power while it holds"),
        may(
            "rise",
            zero_too(Kind::TemperatureDifference),
            "how much warmer than the air around it becomes while it holds",
        ),
        may(
            "closing-time",
            more(Kind::Time),
            "time from voltage to contact",
        ),
        may(
            "opening-time",
            more(Kind::Time),
            "time from the end of the voltage to open contacts",
        ),
    ],
);

const NAME: Key = must("name", Name, "what it is called; printed on labels");
const BOX: Key = may("box", Refer(Tag::Box), "the box it is in");
const FROM_OWN: Key = may(
    "from",
    Value::Terminal,
    "its first terminal, the side of its source; NAME.in where nothing is said",
);
const TO_OWN: Key = may(
    "to",
    Value::Terminal,
    "its second terminal; NAME.out where nothing is said",
);
const CABLE: Key = may("cable", Refer(Tag::CableType), "which cable it is");
const ROUTE_KEY: Key = may(
    "route",
    Value::Tables(&ROUTE),
    "where it runs, piece by piece",
);
const LUG: Key = may(
    "lug",
    Value::EachEnd(Tag::LugType),
    "the lug at both ends, or [from, to]",
);
const GLAND: Key = may(
    "gland",
    Value::EachEnd(Tag::GlandType),
    "the gland at both ends, or [from, to]",
);
const JOINT: Key = may(
    "joint",
    Value::EachEndAmount(Kind::Resistance),
    "resistance of crimp and bolted face together at both ends, or [from, to]",
);
const SHIELD: Key = may(
    "shield",
    Value::EachEndShield,
    "how the shield ends, at both ends or [from, to]: \"round\", \"not-connected\", \"pigtail 30 mm\"",
);
const NOISE: Key = may(
    "noise",
    Value::Word(words_of::<CircuitNoise>),
    "whether a switching device drives current through it",
);
const LOW_VOLTAGE_DISTANCE: Key = may(
    "low-voltage-distance",
    zero_too(Kind::Length),
    "shortest distance to low-voltage wiring that runs alongside; what only crosses it square does not count",
);
const INITIALS: Key = may("initials", Text, "by whom");
const DATE: Key = may("date", Day, "when, as 2026-03-01");
const TIME_OF_DAY: Key = may(
    "time-of-day",
    Minute,
    "hour and minute, as \"14:30\", where another record of the same thing and day says otherwise: the later one counts if both state it",
);
const INSTRUMENT: Key = may("instrument", Text, "with which instrument");
const ACCURACY: Key = may(
    "accuracy",
    zero_too(Kind::Share),
    "accuracy of the instrument, as a share of what it shows: the worse end of it is judged; exact where nothing is stated",
);
const REVISION: Key = may("revision", Text, "revision of the design that was in force");

/// A list of keys with, in its middle, those that say what an entry is about; or, as
/// `pairs`, those alone with what they name.
macro_rules! about_one_of {
    (pairs) => {
        about_one_of!(@ pair [] [])
    };
    ($($before:expr),*; $($after:expr),* $(,)?) => {
        about_one_of!(@ about [$($before),*] [$($after),*])
    };
    (@ $each:ident [$($before:expr),*] [$($after:expr),*]) => {
        &[
            $($before,)*
            $each("zone", Tag::Zone),
            $each("box", Tag::Box),
            $each("terminal", Tag::Terminal),
            $each("battery", Tag::Battery),
            $each("conductor", Tag::Conductor),
            $each("fuse", Tag::Fuse),
            $each("contactor", Tag::Contactor),
            $each("service-disconnect", Tag::ServiceDisconnect),
            $each("resistor", Tag::Resistor),
            $each("load", Tag::Load),
            $each("converter", Tag::Converter),
            $($after,)*
        ]
    };
}

const fn pair(key: &'static str, tag: Tag) -> (&'static str, Tag) {
    (key, tag)
}

/// Keys that say what a reading or an attestation is about: at most one of them.
pub(super) const ABOUT: &[(&str, Tag)] = about_one_of!(pairs);

/// The key by which a record is about a thing of a kind.
pub(crate) fn record_key(kind: orangeloom_core::design::Kind) -> Option<&'static str> {
    let words = kind.words().replace(' ', "-");
    let mut keys = ABOUT.iter().map(|(key, _)| *key);
    keys.find(|key| *key == words)
}

/// A deviation that somebody accepted: in a file of its own, not in a design.
pub(super) static ACCEPTED: Section = Section {
    tag: Tag::Inner,
    key: "accepted",
    one: "accepted deviation",
    many: true,
    doc: "what a review finds to fail, and somebody accepts: which, why, who and when",
    keys: about_one_of![
        must("rule", Text, "the rule that fails");
        may(
            "at",
            Text,
            "where on it, by the name that the review gives behind the thing, as a terminal, a phase, a fuse; everywhere where nothing is said",
        ),
        may(
            "aspect",
            Text,
            "what is held against what, by the aspect that the review has with --json, as drop-off; needed where the rule fails in several aspects there",
        ),
        must("reason", Text, "why it is acceptable"),
        must("who", Text, "who accepts it, by name"),
        must("date", Day, "when, as 2026-03-01"),
        may(
            "up-to",
            Text,
            "how much too much or too little is accepted, as the review prints it: more is refused; however much it is where nothing is said",
        ),
        may(
            "revision",
            Text,
            "revision of the design that it was accepted for; needed where the design states one",
        ),
    ],
};

/// A test to do again after a change.
static REPEAT: Section = Section {
    tag: Tag::Inner,
    key: "repeat",
    one: "test to repeat",
    many: true,
    doc: "a rule, and the thing at which it is proven again; everywhere where no thing is named",
    keys: about_one_of![
        must("rule", Text, "the rule that is proven again");
    ],
};

const fn about(key: &'static str, tag: Tag) -> Key {
    may(
        key,
        Refer(tag),
        "what it is about; the whole vehicle where none of these keys is there",
    )
}

/// Every section, in the order in which a builder meets them.
pub(super) static SECTIONS: &[Section] = &[
    Section {
        tag: Tag::Vehicle,
        key: "vehicle",
        one: "vehicle",
        many: false,
        doc: "the vehicle as a whole",
        keys: &[
            may("name", Text, "what it is called"),
            must(
                "domain",
                Value::Word(words_of::<Domain>),
                "which rules it falls under; decides which voltage counts as high",
            ),
            may(
                "altitude",
                any(Kind::Altitude),
                "highest place it is used at",
            ),
            may(
                "revision",
                Text,
                "revision of the design; printed on every paper and label",
            ),
            may(
                "charge-tolerance",
                zero_too(Kind::Share),
                "how far the charging voltage may exceed cells x highest cell voltage; 1 % unless stated",
            ),
            may(
                "isolation-case",
                Value::Word(words_of::<IsolationCase>),
                "which limit the isolation resistance has to keep",
            ),
            may(
                "impulse",
                more(Kind::Voltage),
                "impulse voltage that the insulation has to stand, peak; or state overvoltage-category",
            ),
            may(
                "overvoltage-category",
                Value::Word(words_of::<OvervoltageCategory>),
                "overvoltage category, together with system-voltage",
            ),
            may(
                "system-voltage",
                more(Kind::Voltage),
                "highest voltage from pole to pole, together with overvoltage-category",
            ),
            may(
                "mains",
                more(Kind::Voltage),
                "nominal voltage of a mains supply that can be conductively connected, line to neutral",
            ),
            may(
                "never-on-mains",
                Flag,
                "true when no mains supply is ever conductively connected",
            ),
            may(
                "temporary-overvoltage",
                more(Kind::Voltage),
                "temporary overvoltage that the insulation has to stand, peak, where it is known",
            ),
            may(
                "monitor",
                Value::Table(&MONITOR),
                "the isolation monitoring device",
            ),
        ],
    },
    Section {
        tag: Tag::Controller,
        key: "controller",
        one: "controller",
        many: false,
        doc: "limits and times that the controller keeps; a switch that opens contactors without software knows none of them",
        keys: &[
            may(
                "discharge-limit",
                more(Kind::Current),
                "lasting current out of the battery, all strings together, above which it takes the power back",
            ),
            may(
                "charge-limit",
                more(Kind::Current),
                "lasting current into the battery, all strings together: regeneration and charging",
            ),
            may(
                "string-limit",
                more(Kind::Current),
                "lasting current through each string, either way, however many strings are closed",
            ),
            may(
                "string-charge-limit",
                more(Kind::Current),
                "lasting current into each string, however many strings are closed",
            ),
            may(
                "trip-current",
                more(Kind::Current),
                "current through a string from which it opens the contactors",
            ),
            may(
                "trip-time",
                more(Kind::Time),
                "from that current to open contacts: measuring, deciding, coil, contacts",
            ),
            may(
                "opens-discharging",
                zero_too(Kind::Current),
                "largest current on which it opens a contactor while the battery is discharged; above it the contactors stay closed and the fuse has to act",
            ),
            may(
                "opens-charging",
                zero_too(Kind::Current),
                "the same while the battery is charged",
            ),
            may(
                "join-window",
                more(Kind::Voltage),
                "largest difference of voltage at which it joins a string to another",
            ),
            may(
                "voltage-error",
                more(Kind::Voltage),
                "most by which the voltage that it measures of a string is wrong, either way: divider, converter and their drift together",
            ),
            may(
                "current-range",
                more(Kind::Current),
                "current up to which its sensors of the battery and of the strings show what flows, either way, the least of them; at it they are saturated",
            ),
            may(
                "precharge-tries",
                Whole(1, 255),
                "tries to precharge in a row before it gives up; 3 where nothing is said",
            ),
            may(
                "precharge-pause",
                zero_too(Kind::Time),
                "pause between two tries; none where nothing is said",
            ),
            may(
                "reaction",
                zero_too(Kind::Time),
                "from a time-out to a relay that is really open; 0.1 s where nothing is said",
            ),
            may(
                "lowest-supply",
                more(Kind::Voltage),
                "lowest voltage at the source of the coils when contactors have to pull in",
            ),
            may(
                "supply-dip",
                more(Kind::Voltage),
                "lowest voltage at the source of the coils in a dip while contactors have to hold",
            ),
        ],
    },
    Section {
        tag: Tag::Zone,
        key: "zone",
        one: "zone",
        many: true,
        doc: "a part of the vehicle with one climate",
        keys: &[
            NAME,
            may("air", any(Kind::Temperature), "hottest air"),
            may(
                "radiant",
                any(Kind::Temperature),
                "hottest surface that cables see there, when it is hotter than the air",
            ),
            may("coldest", any(Kind::Temperature), "coldest air"),
            may("wet", Flag, "whether water gets there"),
            may(
                "pollution",
                Whole(1, 4),
                "pollution degree outside the boxes, 1 to 4",
            ),
        ],
    },
    Section {
        tag: Tag::Box,
        key: "box",
        one: "box",
        many: true,
        doc: "a box; its terminals are written BOX.something and need no entry of their own",
        keys: &[
            NAME,
            may("zone", Refer(Tag::Zone), "the zone it sits in"),
            may(
                "inside",
                any(Kind::Temperature),
                "air inside, when it is hotter than the zone; never counts as cooler",
            ),
            may("metal", Flag, "whether its outside conducts"),
            may(
                "bond",
                Value::Table(&BOND),
                "the strap that bonds it to chassis",
            ),
            may("pollution", Whole(1, 4), "pollution degree inside, 1 to 4"),
            may(
                "kept-by",
                Value::Word(words_of::<PollutionKept>),
                "what keeps the inside cleaner than the outside",
            ),
            may(
                "mass",
                zero_too(Kind::Mass),
                "mass without what is described elsewhere",
            ),
            may(
                "label-wait",
                more(Kind::Time),
                "how long its label says to wait after switching off before it is opened",
            ),
        ],
    },
    Section {
        tag: Tag::Terminal,
        key: "terminal",
        one: "terminal",
        many: true,
        doc: "what the datasheet says about a terminal; terminals without such an entry are made where they are named",
        keys: &[
            NAME,
            may(
                "limit",
                any(Kind::Temperature),
                "highest temperature allowed for the end of the conductor",
            ),
            may("stud", more(Kind::Length), "diameter of the stud"),
            may("torque", more(Kind::Torque), "tightening torque"),
        ],
    },
    Section {
        tag: Tag::Tube,
        key: "tube",
        one: "tube",
        many: true,
        doc: "a tube or sleeve of known size",
        keys: &[
            NAME,
            must("inner", more(Kind::Length), "inner diameter"),
            must("outer", more(Kind::Length), "outer diameter"),
            must(
                "conductivity",
                more(Kind::ThermalConductivity),
                "thermal conductivity of its wall",
            ),
            must(
                "emissivity",
                more(Kind::PlainNumber),
                "emissivity of its outside",
            ),
            must(
                "material",
                Value::Word(words_of::<TubeMaterial>),
                "what it is made of",
            ),
        ],
    },
    Section {
        tag: Tag::Battery,
        key: "battery",
        one: "battery",
        many: true,
        doc: "cells in series and parallel between two terminals",
        keys: &[
            NAME,
            may(
                "system",
                Value::Word(words_of::<System>),
                "which network it feeds; traction where nothing is said",
            ),
            BOX,
            may(
                "negative",
                Value::Terminal,
                "its negative terminal; NAME.- where nothing is said",
            ),
            may(
                "positive",
                Value::Terminal,
                "its positive terminal; NAME.+ where nothing is said",
            ),
            must(
                "in-series",
                Whole(1, 65535),
                "cells, or groups of parallel cells, in series",
            ),
            may(
                "in-parallel",
                Whole(1, 65535),
                "cells in parallel in each group; 1 where nothing is said",
            ),
            may("cell", Refer(Tag::CellType), "which cell it is made of"),
            may(
                "links",
                zero_too(Kind::Resistance),
                "resistance of all links between the cells together",
            ),
            may(
                "links-least",
                zero_too(Kind::Resistance),
                "the least that the links have; 0 ohm where nothing is said, which is the safe side for fault currents",
            ),
            may(
                "inductance",
                zero_too(Kind::Inductance),
                "inductance from terminal to terminal",
            ),
        ],
    },
    Section {
        tag: Tag::Conductor,
        key: "conductor",
        one: "conductor",
        many: true,
        doc: "a single conductor",
        keys: &[
            must("circuit", Name, "the id printed at both ends"),
            must("from", Value::Terminal, "where it starts"),
            must("to", Value::Terminal, "where it ends"),
            CABLE,
            ROUTE_KEY,
            LUG,
            GLAND,
            JOINT,
            SHIELD,
            NOISE,
            LOW_VOLTAGE_DISTANCE,
        ],
    },
    Section {
        tag: Tag::Pair,
        key: "pair",
        one: "pair",
        many: true,
        doc: "outgoing and return conductor run together; circuit 05 becomes the conductors 05+ and 05-",
        keys: &[
            must(
                "circuit",
                Name,
                "the id printed at both ends, without its sign",
            ),
            must(
                "from",
                Value::PairEnd,
                "where it comes from: a box, battery or load that has + and -, or [\"F4.out\", \"J1.-\"]",
            ),
            must("to", Value::PairEnd, "where it leads, written alike"),
            CABLE,
            ROUTE_KEY,
            LUG,
            GLAND,
            JOINT,
            SHIELD,
            NOISE,
            LOW_VOLTAGE_DISTANCE,
        ],
    },
    Section {
        tag: Tag::Fuse,
        key: "fuse",
        one: "fuse",
        many: true,
        doc: "a fuse",
        keys: &[
            NAME,
            FROM_OWN,
            TO_OWN,
            may("type", Refer(Tag::FuseType), "which fuse it is"),
            BOX,
        ],
    },
    Section {
        tag: Tag::Contactor,
        key: "contactor",
        one: "contactor",
        many: true,
        doc: "a contactor or relay",
        keys: &[
            NAME,
            FROM_OWN,
            TO_OWN,
            may("type", Refer(Tag::ContactorType), "which contactor it is"),
            BOX,
            may(
                "arrow",
                Value::Word(words_of::<Arrow>),
                "how its polarity arrow points: along is from its first terminal to its second",
            ),
            may(
                "coil",
                Value::Terminals,
                "the two low-voltage terminals of its coil, supply first",
            ),
            may(
                "coil-wire",
                zero_too(Kind::Resistance),
                "resistance of all between source and coil, both ways, hot: wires, joints, the switch",
            ),
            may(
                "section",
                more(Kind::Section),
                "smallest bar or wire on its two terminals inside of the box",
            ),
            may(
                "auxiliary-contact",
                Flag,
                "whether the controller reads an auxiliary contact of it, which shows whether its main contacts are closed",
            ),
        ],
    },
    Section {
        tag: Tag::ServiceDisconnect,
        key: "service-disconnect",
        one: "service disconnect",
        many: true,
        doc: "a plug or link that is pulled before work",
        keys: &[
            NAME,
            FROM_OWN,
            TO_OWN,
            BOX,
            may("voltage", more(Kind::Voltage), "highest direct voltage"),
            may("carry", more(Kind::Current), "lasting current"),
            may(
                "resistance",
                zero_too(Kind::Resistance),
                "resistance when it is in",
            ),
            may("breaks-load", Flag, "whether it may be pulled under load"),
        ],
    },
    Section {
        tag: Tag::Resistor,
        key: "resistor",
        one: "resistor",
        many: true,
        doc: "a resistor: precharge, bleed, discharge",
        keys: &[
            NAME,
            must(
                "purpose",
                Value::Word(words_of::<Purpose>),
                "what it is there for",
            ),
            FROM_OWN,
            TO_OWN,
            may("type", Refer(Tag::ResistorType), "which resistor it is"),
            BOX,
            may(
                "time-out",
                more(Kind::Time),
                "longest time that the controller leaves it on",
            ),
            may(
                "closes-within",
                more(Kind::Voltage),
                "voltage still across the contactor when precharge ends and it closes",
            ),
        ],
    },
    Section {
        tag: Tag::Load,
        key: "load",
        one: "load",
        many: true,
        doc: "a load, a drive or a charging source",
        keys: &[
            NAME,
            may(
                "role",
                Value::Word(words_of::<Role>),
                "which way its energy goes; consumer where nothing is said",
            ),
            may(
                "positive",
                Value::Terminal,
                "its positive terminal; NAME.+ where nothing is said",
            ),
            may(
                "negative",
                Value::Terminal,
                "its negative terminal; NAME.- where nothing is said",
            ),
            BOX,
            may("rated", Draw, "what it draws while it works"),
            may(
                "idle",
                Draw,
                "what it draws as soon as it has voltage, without being asked to work",
            ),
            may(
                "idle-from",
                more(Kind::Voltage),
                "voltage from which it draws its idle current",
            ),
            may(
                "duty-share",
                zero_too(Kind::Share),
                "part of the time that it works, where no phase tells; counts in sums, its own conductors and \
                 fuse carry all of rated while it is on",
            ),
            may(
                "essential",
                Flag,
                "whether the vehicle cannot be driven or stopped safely without it",
            ),
            may("lowest", more(Kind::Voltage), "lowest voltage it works at"),
            may("highest", more(Kind::Voltage), "highest voltage it stands"),
            may(
                "link",
                zero_too(Kind::Capacitance),
                "capacitance between its terminals; 0 F where it has none",
            ),
            may(
                "y",
                zero_too(Kind::Capacitance),
                "capacitance from each of its terminals to chassis",
            ),
            may(
                "y-positive",
                zero_too(Kind::Capacitance),
                "the same of its positive terminal alone",
            ),
            may(
                "y-negative",
                zero_too(Kind::Capacitance),
                "the same of its negative terminal alone",
            ),
            may(
                "isolation",
                more(Kind::Resistance),
                "resistance to chassis, both terminals together",
            ),
            may(
                "bleed",
                more(Kind::Resistance),
                "resistance between its terminals that discharges its own capacitance",
            ),
            may(
                "alternating",
                Flag,
                "whether alternating current is conductively connected inside; counts as true unless it says false, and in a drive always",
            ),
            may(
                "current-measured",
                Flag,
                "whether the controller is told the current that it takes; then its branch is watched",
            ),
        ],
    },
    Section {
        tag: Tag::Converter,
        key: "converter",
        one: "converter",
        many: true,
        doc: "what feeds the low-voltage side; its high-voltage side is a load",
        keys: &[
            NAME,
            may(
                "input",
                Refer(Tag::Load),
                "the load that is its input; the load of the same name where nothing is said",
            ),
            may(
                "positive",
                Value::Terminal,
                "its positive output; NAME.out+ where nothing is said",
            ),
            may(
                "negative",
                Value::Terminal,
                "its negative output; NAME.out- where nothing is said",
            ),
            may("output", more(Kind::Voltage), "output voltage"),
            may(
                "rated",
                more(Kind::Current),
                "largest lasting output current",
            ),
            may(
                "efficiency",
                more(Kind::Share),
                "output power over input power",
            ),
        ],
    },
    Section {
        tag: Tag::Consumer,
        key: "consumer",
        one: "consumer",
        many: true,
        doc: "a low-voltage consumer with its fuse and its conductor in one entry: a load, the fuse F-CIRCUIT and the conductor CIRCUIT",
        keys: &[
            NAME,
            must(
                "circuit",
                Text,
                "the id printed at both ends of its conductor",
            ),
            must("from", Value::Terminal, "the bar that its fuse sits on"),
            may(
                "return",
                Value::Terminal,
                "where its current goes back to; chassis where nothing is said",
            ),
            may("fuse", Refer(Tag::FuseType), "which fuse it has"),
            CABLE,
            ROUTE_KEY,
            LUG,
            JOINT,
            may("rated", Draw, "what it draws while it works"),
            may(
                "duty-share",
                zero_too(Kind::Share),
                "part of the time that it works, where no phase tells; counts in sums, its own conductors and \
                 fuse carry all of rated while it is on",
            ),
            may(
                "essential",
                Flag,
                "whether the vehicle cannot be driven or stopped safely without it",
            ),
        ],
    },
    Section {
        tag: Tag::Phase,
        key: "phase",
        one: "phase",
        many: true,
        doc: "a state that the vehicle is in for a while",
        keys: &[
            NAME,
            may("duration", more(Kind::Time), "how long it lasts"),
            may(
                "closed",
                Refers(Tag::Contactor),
                "the contactors that are closed; the others are open",
            ),
            may(
                "out",
                Refers(Tag::ServiceDisconnect),
                "the service disconnects that are out; the others are in",
            ),
            may(
                "draws",
                Draws,
                "what loads draw: draws.heater = \"6 kW\"; a load that is not named idles",
            ),
        ],
    },
    Section {
        tag: Tag::Duty,
        key: "duty",
        one: "duty",
        many: true,
        doc: "a sequence of phases that repeats",
        keys: &[
            NAME,
            must(
                "phases",
                Refers(Tag::Phase),
                "its phases in order; the first follows the last again",
            ),
        ],
    },
    Section {
        tag: Tag::Spacing,
        key: "spacing",
        one: "spacing",
        many: true,
        doc: "a distance inside a box, as built",
        keys: &[
            must("name", Name, "between what and what"),
            must("box", Refer(Tag::Box), "the box"),
            may(
                "insulation",
                Value::Word(words_of::<Insulation>),
                "what the distance is there for",
            ),
            may("clearance", more(Kind::Length), "shortest way through air"),
            may(
                "creepage",
                more(Kind::Length),
                "shortest way over the surface",
            ),
            may(
                "group",
                Value::Word(words_of::<MaterialGroup>),
                "material group of the surface",
            ),
            may(
                "surface",
                Value::Word(words_of::<Surface>),
                "kind of surface",
            ),
            may(
                "working",
                more(Kind::Voltage),
                "voltage across it, when it is not the highest of the system",
            ),
        ],
    },
    Section {
        tag: Tag::Reading,
        key: "reading",
        one: "reading",
        many: true,
        doc: "something that was measured: what it is about, exactly one measured value, who and when",
        keys: about_one_of![
            ;
            may(
                "end",
                Value::Word(words_of::<WhichEnd>),
                "which end of it, where it has two",
            ),
            may(
                "isolation",
                zero_too(Kind::Resistance),
                "measured: resistance of the high-voltage system to chassis; state test-voltage too",
            ),
            may(
                "pole-to-chassis",
                any(Kind::Voltage),
                "measured: voltage of a pole to chassis; state inserted too if a resistor was put in",
            ),
            may(
                "bond",
                zero_too(Kind::Resistance),
                "measured: resistance of a bond to chassis; state test-current too",
            ),
            may(
                "joint",
                zero_too(Kind::Resistance),
                "measured: resistance of a joint",
            ),
            may(
                "drop",
                any(Kind::Voltage),
                "measured: voltage at a conductor: across the joint at an end where end is stated, else along all of it; state current too",
            ),
            may(
                "shield",
                zero_too(Kind::Resistance),
                "measured: resistance of a shield from end to end",
            ),
            may(
                "cut-back",
                zero_too(Kind::Length),
                "measured: distance from the edge of the shield to the bare conductor",
            ),
            may(
                "withstood",
                more(Kind::Voltage),
                "measured: voltage of a withstand or insulation test that was passed",
            ),
            may(
                "precharge",
                more(Kind::Time),
                "measured: time constant of the precharge",
            ),
            may(
                "discharge",
                more(Kind::Time),
                "measured: time until the link capacitor was down to the touchable voltage",
            ),
            may(
                "voltage",
                any(Kind::Voltage),
                "measured: voltage at a test point",
            ),
            may(
                "temperature",
                any(Kind::Temperature),
                "measured: temperature at a conductor, its end, a terminal or a contactor, when nothing rises any more; state current and air too",
            ),
            may(
                "capacitance",
                zero_too(Kind::Capacitance),
                "measured: capacitance of a load, held against its link",
            ),
            may(
                "torque",
                zero_too(Kind::Torque),
                "measured: torque that a joint was tightened with",
            ),
            may("mass", zero_too(Kind::Mass), "measured: mass"),
            may(
                "count",
                Whole(0, u32::MAX),
                "measured: a number that was counted: strokes, closings",
            ),
            may(
                "test-voltage",
                more(Kind::Voltage),
                "voltage of the tester, with isolation",
            ),
            may(
                "test-current",
                more(Kind::Current),
                "current of the tester, with bond",
            ),
            may(
                "inserted",
                more(Kind::Resistance),
                "the resistor that was put in, with pole-to-chassis",
            ),
            may(
                "current",
                any(Kind::Current),
                "current that flowed, with drop or temperature",
            ),
            may(
                "air",
                any(Kind::Temperature),
                "air beside it, with temperature",
            ),
            INITIALS,
            DATE,
            TIME_OF_DAY,
            INSTRUMENT,
            ACCURACY,
            REVISION,
        ],
    },
    Section {
        tag: Tag::Attestation,
        key: "attestation",
        one: "attestation",
        many: true,
        doc: "something that somebody looked at and stands for",
        keys: about_one_of![
            must("rule", Text, "the rule that it answers");
            must("holds", Flag, "whether the rule is kept"),
            may("photo", Text, "name of a photo"),
            INITIALS,
            DATE,
            TIME_OF_DAY,
            INSTRUMENT,
            ACCURACY,
            REVISION,
        ],
    },
    Section {
        tag: Tag::CarryOver,
        key: "carry-over",
        one: "carry-over",
        many: true,
        doc: "records of an older revision that still hold after a change: who looked at what it can reach",
        keys: &[
            must("from", Text, "the revision that the records name"),
            must("to", Text, "the revision for which they hold as well"),
            must(
                "repeat",
                Value::Tables(&REPEAT),
                "what the change can reach: older records of these count no more; orangeloom compare OLD NEW lists it, [] where it is nothing",
            ),
            must("initials", Text, "who stands for it"),
            must("date", Day, "when, as 2026-03-01"),
        ],
    },
    Section {
        tag: Tag::CellType,
        key: "cell-type",
        one: "cell type",
        many: true,
        doc: "a cell, from its datasheet",
        keys: &[
            NAME,
            may("chemistry", Text, "chemistry, to tell unlike strings apart"),
            may(
                "minimum",
                more(Kind::Voltage),
                "lowest voltage it is discharged to, without load",
            ),
            may("nominal", more(Kind::Voltage), "nominal voltage"),
            may(
                "maximum",
                more(Kind::Voltage),
                "highest voltage it is charged to",
            ),
            may(
                "resistance",
                more(Kind::Resistance),
                "resistance for a load of some seconds, together with resistance-spread",
            ),
            may(
                "resistance-spread",
                zero_too(Kind::Share),
                "how far the resistance may be off, either way: new and warm to aged and cold",
            ),
            may(
                "resistance-least",
                more(Kind::Resistance),
                "resistance new, warm and full, together with resistance-most",
            ),
            may(
                "resistance-most",
                more(Kind::Resistance),
                "resistance aged, cold and empty, together with resistance-least",
            ),
            may("capacity", more(Kind::Charge), "capacity"),
            may("mass", more(Kind::Mass), "mass"),
            may(
                "discharge-limit",
                more(Kind::Current),
                "largest discharge current",
            ),
            may(
                "charge-limit",
                more(Kind::Current),
                "largest charge current",
            ),
        ],
    },
    Section {
        tag: Tag::CableType,
        key: "cable-type",
        one: "cable type",
        many: true,
        doc: "a cable, from its datasheet",
        keys: &[
            NAME,
            must(
                "section",
                more(Kind::Section),
                "metal section: 70 mm2, 2/0 AWG, 250 kcmil",
            ),
            may(
                "metal",
                Value::Word(words_of::<Metal>),
                "metal of the conductor; copper where nothing is said",
            ),
            may(
                "strand",
                Value::Word(words_of::<MetricTable>),
                "which table a metric section is taken from; class 5, for aluminium class 2, where nothing is said",
            ),
            may(
                "resistance",
                more(Kind::LinearResistance),
                "resistance per length at 20 degC from the datasheet, instead of the table's",
            ),
            may("shielded", Flag, "whether it has a shield"),
            may(
                "outer-diameter",
                more(Kind::Length),
                "diameter over everything",
            ),
            may(
                "conductor-diameter",
                more(Kind::Length),
                "diameter over the strands",
            ),
            may(
                "insulation-wall",
                more(Kind::Length),
                "wall of the insulation",
            ),
            may(
                "shield-wall",
                zero_too(Kind::Length),
                "thickness of the shield",
            ),
            may(
                "jacket-wall",
                zero_too(Kind::Length),
                "wall of the jacket; 0 mm for none",
            ),
            may(
                "emissivity",
                more(Kind::PlainNumber),
                "emissivity of the outside",
            ),
            may(
                "temperature-class",
                any(Kind::Temperature),
                "highest lasting conductor temperature",
            ),
            may(
                "overload",
                any(Kind::Temperature),
                "highest conductor temperature in a thermal overload of 6 h, as makers of vehicle cable state it; without it the temperature class",
            ),
            may(
                "voltage-class",
                Value::Word(words_of::<CableVoltageClass>),
                "voltage class printed on it",
            ),
            may("braid", Value::Table(&BRAID), "how its braid is built"),
            may(
                "bend-radius",
                more(Kind::Length),
                "smallest bend when it is fixed",
            ),
        ],
    },
    Section {
        tag: Tag::FuseType,
        key: "fuse-type",
        one: "fuse type",
        many: true,
        doc: "a fuse, from its datasheet",
        keys: &[
            NAME,
            may(
                "utilisation",
                Value::Word(words_of::<Utilisation>),
                "what it is made to do",
            ),
            may("rated", more(Kind::Current), "rated current"),
            may(
                "voltage",
                more(Kind::Voltage),
                "rated direct voltage; a rating for alternating voltage is not one",
            ),
            may(
                "time-constant",
                more(Kind::Time),
                "time constant L/R of the test behind that voltage",
            ),
            may("breaking", more(Kind::Current), "breaking capacity"),
            may(
                "least-breaking",
                more(Kind::Current),
                "smallest current that it breaks",
            ),
            may(
                "curve",
                Value::Tables(&CURVE),
                "melting curve, shortest time first",
            ),
            may("melting", more(Kind::CurrentSquaredTime), "melting I2t"),
            may(
                "total",
                more(Kind::CurrentSquaredTime),
                "total I2t, melting and arcing",
            ),
            may(
                "total-at",
                more(Kind::Voltage),
                "voltage that the total I2t holds for",
            ),
            may(
                "derating",
                Value::Tables(&DERATING),
                "derating by the temperature of the air, coolest first",
            ),
            may(
                "holder",
                more(Kind::Share),
                "what the holder and the conductors on it leave of the rated current",
            ),
            may("resistance", more(Kind::Resistance), "resistance"),
            may("loss", more(Kind::Power), "loss at rated current"),
        ],
    },
    Section {
        tag: Tag::ContactorType,
        key: "contactor-type",
        one: "contactor type",
        many: true,
        doc: "a contactor, from its datasheet",
        keys: &[
            NAME,
            may("voltage", more(Kind::Voltage), "highest direct voltage"),
            may(
                "altitude",
                any(Kind::Altitude),
                "highest place it may work at",
            ),
            may("carry", more(Kind::Current), "lasting current"),
            may(
                "carry-section",
                more(Kind::Section),
                "conductor that the lasting current holds for",
            ),
            may(
                "carry-air",
                any(Kind::Temperature),
                "air that the lasting current holds for",
            ),
            may(
                "make",
                more(Kind::Current),
                "largest current it may close on",
            ),
            may(
                "break-forward",
                zero_too(Kind::Current),
                "largest current it breaks in the direction of its arrow",
            ),
            may(
                "break-reverse",
                zero_too(Kind::Current),
                "largest current it breaks against its arrow",
            ),
            may(
                "break-voltage",
                more(Kind::Voltage),
                "voltage that the breaking currents hold for",
            ),
            may(
                "withstand-peak",
                more(Kind::Current),
                "largest peak that it stands closed",
            ),
            may(
                "withstand",
                more(Kind::CurrentSquaredTime),
                "largest I2t that it stands closed",
            ),
            may(
                "polarised",
                Flag,
                "whether it breaks one direction better than the other",
            ),
            may(
                "resistance",
                zero_too(Kind::Resistance),
                "resistance of its contacts",
            ),
            may(
                "endurance",
                Whole(0, u32::MAX),
                "closings without load that it lives for",
            ),
            may(
                "load-endurance",
                Whole(0, u32::MAX),
                "openings at rated load that it lives for",
            ),
            may("coil", Value::Table(&COIL), "its coil"),
        ],
    },
    Section {
        tag: Tag::ResistorType,
        key: "resistor-type",
        one: "resistor type",
        many: true,
        doc: "a resistor, from its datasheet",
        keys: &[
            NAME,
            may("resistance", more(Kind::Resistance), "resistance"),
            may(
                "tolerance",
                zero_too(Kind::Share),
                "tolerance of the resistance",
            ),
            may("power", more(Kind::Power), "lasting power"),
            may("pulse", more(Kind::Energy), "energy of one pulse"),
            may("peak-power", more(Kind::Power), "peak power of one pulse"),
            may("cooling", more(Kind::Time), "time constant of its cooling"),
            may("voltage", more(Kind::Voltage), "highest voltage"),
            may(
                "cut-out",
                any(Kind::Temperature),
                "temperature at which a cut-out opens it, if it has one; one above 250 degC does not count",
            ),
        ],
    },
    Section {
        tag: Tag::LugType,
        key: "lug-type",
        one: "lug type",
        many: true,
        doc: "a lug",
        keys: &[
            NAME,
            may(
                "barrel",
                more(Kind::Section),
                "section that its barrel is made for",
            ),
            may("hole", more(Kind::Length), "diameter of its hole"),
            may("palm-width", more(Kind::Length), "width of its palm"),
            may(
                "palm-thickness",
                more(Kind::Length),
                "thickness of its palm",
            ),
            may(
                "metal",
                Value::Word(words_of::<Metal>),
                "metal of its barrel; aluminium for a bimetal lug",
            ),
            may("limit", any(Kind::Temperature), "highest temperature"),
        ],
    },
    Section {
        tag: Tag::GlandType,
        key: "gland-type",
        one: "gland type",
        many: true,
        doc: "a cable gland",
        keys: &[
            NAME,
            may(
                "thinnest",
                more(Kind::Length),
                "thinnest cable that it seals on",
            ),
            may(
                "thickest",
                more(Kind::Length),
                "thickest cable that goes through",
            ),
            may(
                "clamps-shield",
                Flag,
                "whether it clamps the shield all round",
            ),
        ],
    },
];
