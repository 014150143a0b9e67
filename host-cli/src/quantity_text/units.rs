//! The table of units.
//!
//! One row feeds the parser, the error messages and the documentation. Factors
//! are exact by definition where the unit has one (inch, pound, hour); the pound
//! force per square inch and the circular mil follow from those. They are
//! cross-checked against an independent units library in the `tests` crate.

use core::fmt::Write as _;

use super::kind::Kind;

/// Which system a unit belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(clippy::exhaustive_enums)] // the trade uses these two
pub enum System {
    /// SI and what is used with it.
    Metric,
    /// US customary.
    Us,
}

/// One unit of one kind of quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Unit {
    /// The name that messages and files print, ASCII only.
    pub symbol: &'static str,
    /// How many stored units one of it is. The stored unit of a kind is that of
    /// its row in `orangeloom_core::bounds`.
    pub factor: f64,
    /// The reading at which the stored value is zero: 32 for `degF`.
    pub zero: f64,
    /// Which system it belongs to.
    pub system: System,
    /// Further spellings, with signs replaced as in the module `spelling`.
    pub also: &'static [&'static str],
    /// Further spellings whose case never matters.
    pub words: &'static [&'static str],
}

impl Unit {
    /// The stored value of a reading.
    pub fn to_stored(&self, reading: f64) -> f64 {
        (reading - self.zero) * self.factor
    }

    /// The reading of a stored value.
    pub fn from_stored(&self, stored: f64) -> f64 {
        stored / self.factor + self.zero
    }

    /// A stored value with enough digits to be read back unchanged.
    pub fn write(&self, stored: f32) -> String {
        let reading = self.from_stored(f64::from(stored));
        if self.symbol.is_empty() {
            format!("{reading}")
        } else {
            format!("{reading} {}", self.symbol)
        }
    }

    const fn us(self) -> Self {
        Self {
            system: System::Us,
            ..self
        }
    }

    const fn zero_at(self, zero: f64) -> Self {
        Self { zero, ..self }
    }

    /// Whether a text is a spelling, the case included where it counts.
    pub(crate) fn spelled_exactly(&self, text: &str) -> bool {
        self.symbol == text
            || self.also.contains(&text)
            || self
                .words
                .iter()
                .any(|word| word.eq_ignore_ascii_case(text))
    }

    /// The spellings whose case counts.
    pub(crate) fn exact_case_spellings(&self) -> impl Iterator<Item = &'static str> {
        core::iter::once(self.symbol).chain(self.also.iter().copied())
    }

    /// Every spelling.
    pub(crate) fn spellings(&self) -> impl Iterator<Item = &'static str> {
        self.exact_case_spellings()
            .chain(self.words.iter().copied())
    }
}

const fn unit(
    symbol: &'static str,
    factor: f64,
    also: &'static [&'static str],
    words: &'static [&'static str],
) -> Unit {
    Unit {
        symbol,
        factor,
        zero: 0.0,
        system: System::Metric,
        also,
        words,
    }
}

/// International foot, inch and mil, exact since 1959.
const FOOT: f64 = 0.3048;
const INCH: f64 = 0.0254;
const MIL: f64 = 0.0254e-3;
/// International avoirdupois pound, exact since 1959.
const POUND: f64 = 0.45359237;
/// Pound force in newtons, by the standard acceleration of free fall.
const POUND_FORCE: f64 = POUND * 9.80665;
/// Pound force per square inch in pascals: pound * 9.80665 m/s2 / inch2.
const PSI: f64 = POUND_FORCE / (INCH * INCH);
/// Area of a circle of one mil diameter, in mm2.
const CIRCULAR_MIL: f64 = core::f64::consts::FRAC_PI_4 * MIL * MIL * 1.0e6;

pub(super) const LENGTH: &[Unit] = &[
    unit("m", 1.0, &[], &["metre", "metres", "meter", "meters"]),
    unit(
        "cm",
        0.01,
        &[],
        &["centimetre", "centimetres", "centimeter", "centimeters"],
    ),
    unit(
        "mm",
        1.0e-3,
        &[],
        &["millimetre", "millimetres", "millimeter", "millimeters"],
    ),
    unit(
        "um",
        1.0e-6,
        &[],
        &["micrometre", "micrometer", "micron", "microns"],
    ),
    unit(
        "km",
        1.0e3,
        &[],
        &["kilometre", "kilometres", "kilometer", "kilometers"],
    ),
    unit("in", INCH, &["\"", "in."], &["inch", "inches"]).us(),
    unit("ft", FOOT, &["'", "ft."], &["foot", "feet"]).us(),
    unit("yd", 3.0 * FOOT, &["yd."], &["yard", "yards"]).us(),
    unit("mil", MIL, &[], &["mil", "mils", "thou"]).us(),
];

pub(super) const ALTITUDE: &[Unit] = &[
    unit("m", 1.0, &[], &["metre", "metres", "meter", "meters"]),
    unit(
        "km",
        1.0e3,
        &[],
        &["kilometre", "kilometres", "kilometer", "kilometers"],
    ),
    unit("ft", FOOT, &["'", "ft."], &["foot", "feet"]).us(),
];

pub(super) const SECTION: &[Unit] = &[
    unit("mm2", 1.0, &[], &[]),
    unit("kcmil", 1.0e3 * CIRCULAR_MIL, &[], &["kcmil", "mcm"]).us(),
];

pub(super) const AREA: &[Unit] = &[
    unit("mm2", 1.0, &[], &[]),
    unit("cm2", 1.0e2, &[], &[]),
    unit("m2", 1.0e6, &[], &[]),
    unit("in2", INCH * INCH * 1.0e6, &[], &[]).us(),
    unit("kcmil", 1.0e3 * CIRCULAR_MIL, &[], &["kcmil", "mcm"]).us(),
    unit("cmil", CIRCULAR_MIL, &[], &["cmil"]).us(),
];

pub(super) const TEMPERATURE: &[Unit] = &[
    unit("degC", 1.0, &["C", "deg C"], &["celsius"]),
    unit("degF", 5.0 / 9.0, &["F", "deg F"], &["fahrenheit"])
        .us()
        .zero_at(32.0),
    unit("K", 1.0, &[], &["kelvin"]).zero_at(273.15),
];

pub(super) const TEMPERATURE_DIFFERENCE: &[Unit] = &[unit("K", 1.0, &[], &["kelvin"])];

pub(super) const CURRENT: &[Unit] = &[
    unit(
        "A",
        1.0,
        &["A DC", "Adc", "ADC"],
        &["amp", "amps", "ampere", "amperes", "amps dc"],
    ),
    unit(
        "mA",
        1.0e-3,
        &[],
        &["milliamp", "milliamps", "milliampere", "milliamperes"],
    ),
    unit(
        "kA",
        1.0e3,
        &[],
        &["kiloamp", "kiloamps", "kiloampere", "kiloamperes"],
    ),
];

pub(super) const VOLTAGE: &[Unit] = &[
    unit(
        "V",
        1.0,
        &["V DC", "Vdc", "VDC"],
        &["volt", "volts", "volts dc"],
    ),
    unit("mV", 1.0e-3, &[], &["millivolt", "millivolts"]),
    unit(
        "kV",
        1.0e3,
        &["kV DC", "kVdc", "kVDC"],
        &["kilovolt", "kilovolts"],
    ),
];

pub(super) const CURRENT_SQUARED_TIME: &[Unit] = &[
    unit("A2s", 1.0, &["A2 s"], &[]),
    unit("k(A2s)", 1.0e3, &["k(A2 s)"], &[]),
    unit("(kA)2s", 1.0e6, &["(kA)2 s"], &[]),
];

pub(super) const RESISTANCE: &[Unit] = &[
    unit("ohm", 1.0, &[], &[]),
    unit("mohm", 1.0e-3, &[], &["milliohm"]),
    unit("uohm", 1.0e-6, &[], &["microohm", "microhm"]),
    unit("kohm", 1.0e3, &[], &["kiloohm", "kilohm"]),
    unit("Mohm", 1.0e6, &[], &["megohm", "megaohm"]),
    unit("Gohm", 1.0e9, &[], &["gigohm", "gigaohm"]),
];

pub(super) const LINEAR_RESISTANCE: &[Unit] = &[
    unit("ohm/m", 1.0, &[], &[]),
    unit("ohm/km", 1.0e-3, &[], &[]),
    unit("mohm/m", 1.0e-3, &[], &[]),
    unit("mohm/km", 1.0e-6, &[], &[]),
    unit("uohm/m", 1.0e-6, &[], &[]),
    unit("ohm/ft", 1.0 / FOOT, &[], &[]).us(),
    unit(
        "ohm/kft",
        1.0e-3 / FOOT,
        &["ohm/1000 ft", "ohm/1000ft"],
        &[],
    )
    .us(),
    unit("mohm/ft", 1.0e-3 / FOOT, &[], &[]).us(),
    unit(
        "mohm/kft",
        1.0e-6 / FOOT,
        &["mohm/1000 ft", "mohm/1000ft"],
        &[],
    )
    .us(),
    unit("uohm/ft", 1.0e-6 / FOOT, &[], &[]).us(),
];

pub(super) const RESISTIVITY: &[Unit] = &[
    unit("ohm m", 1.0, &["ohmm"], &[]),
    unit("ohm mm2/m", 1.0e-6, &["ohmmm2/m"], &[]),
];

pub(super) const TEMPERATURE_COEFFICIENT: &[Unit] = &[
    unit("1/K", 1.0, &["/K", "K-1"], &[]),
    unit("%/K", 0.01, &[], &[]),
];

pub(super) const CAPACITANCE: &[Unit] = &[
    unit("F", 1.0, &[], &["farad", "farads"]),
    unit("mF", 1.0e-3, &[], &["millifarad", "millifarads"]),
    unit("uF", 1.0e-6, &[], &["microfarad", "microfarads"]),
    unit("nF", 1.0e-9, &[], &["nanofarad", "nanofarads"]),
    unit("pF", 1.0e-12, &[], &["picofarad", "picofarads"]),
];

pub(super) const INDUCTANCE: &[Unit] = &[
    unit("H", 1.0, &[], &["henry", "henries"]),
    unit("mH", 1.0e-3, &[], &["millihenry", "millihenries"]),
    unit("uH", 1.0e-6, &[], &["microhenry", "microhenries"]),
    unit("nH", 1.0e-9, &[], &["nanohenry", "nanohenries"]),
];

pub(super) const FREQUENCY: &[Unit] = &[
    unit("Hz", 1.0, &[], &["hertz"]),
    unit("kHz", 1.0e3, &[], &["kilohertz"]),
    unit("MHz", 1.0e6, &[], &["megahertz"]),
];

pub(super) const TIME: &[Unit] = &[
    unit("s", 1.0, &[], &["sec", "secs", "second", "seconds"]),
    unit("ms", 1.0e-3, &[], &["millisecond", "milliseconds"]),
    unit("us", 1.0e-6, &[], &["microsecond", "microseconds"]),
    unit("min", 60.0, &[], &["min", "mins", "minute", "minutes"]),
    unit("h", 3600.0, &[], &["hr", "hrs", "hour", "hours"]),
];

pub(super) const POWER: &[Unit] = &[
    unit("W", 1.0, &[], &["watt", "watts"]),
    unit("mW", 1.0e-3, &[], &["milliwatt", "milliwatts"]),
    unit("kW", 1.0e3, &[], &["kilowatt", "kilowatts"]),
    unit("MW", 1.0e6, &[], &["megawatt", "megawatts"]),
];

pub(super) const LINEAR_POWER: &[Unit] = &[
    unit("W/m", 1.0, &[], &[]),
    unit("kW/m", 1.0e3, &[], &[]),
    unit("W/ft", 1.0 / FOOT, &[], &[]).us(),
];

pub(super) const ENERGY: &[Unit] = &[
    unit("J", 1.0, &["Ws"], &["joule", "joules"]),
    unit("mJ", 1.0e-3, &[], &["millijoule", "millijoules"]),
    unit("kJ", 1.0e3, &[], &["kilojoule", "kilojoules"]),
    unit("MJ", 1.0e6, &[], &["megajoule", "megajoules"]),
    unit("Wh", 3.6e3, &[], &[]),
    unit("kWh", 3.6e6, &[], &[]),
];

pub(super) const CHARGE: &[Unit] = &[
    unit("C", 1.0, &["As"], &["coulomb", "coulombs"]),
    unit("mAh", 3.6, &[], &[]),
    unit("Ah", 3.6e3, &[], &[]),
];

pub(super) const MASS: &[Unit] = &[
    unit("kg", 1.0, &[], &["kilogram", "kilograms"]),
    unit("g", 1.0e-3, &[], &["gram", "grams"]),
    unit("lb", POUND, &["lb."], &["lbs", "pound", "pounds"]).us(),
    unit("oz", POUND / 16.0, &["oz."], &["ounce", "ounces"]).us(),
];

pub(super) const LINEAR_MASS: &[Unit] = &[
    unit("kg/m", 1.0, &[], &[]),
    unit("kg/km", 1.0e-3, &[], &[]),
    unit("g/m", 1.0e-3, &[], &[]),
    unit("lb/ft", POUND / FOOT, &["lbs/ft"], &[]).us(),
    unit(
        "lb/kft",
        POUND / FOOT * 1.0e-3,
        &["lbs/kft", "lb/1000 ft", "lbs/1000 ft"],
        &[],
    )
    .us(),
];

pub(super) const DENSITY: &[Unit] = &[unit("kg/m3", 1.0, &[], &[]), unit("g/cm3", 1.0e3, &[], &[])];

pub(super) const PRESSURE: &[Unit] = &[
    unit("Pa", 1.0, &[], &["pascal", "pascals"]),
    unit("hPa", 1.0e2, &[], &[]),
    unit("kPa", 1.0e3, &[], &[]),
    unit("MPa", 1.0e6, &[], &[]),
    unit("mbar", 1.0e2, &[], &["millibar", "millibars"]),
    unit("bar", 1.0e5, &[], &["bars"]),
    unit("psi", PSI, &[], &[]).us(),
];

pub(super) const THERMAL_CONDUCTIVITY: &[Unit] = &[unit(
    "W/(m K)",
    1.0,
    &["W/(mK)", "W/(m.K)", "W/m/K", "W/mK", "W/m K", "W/m.K"],
    &[],
)];

pub(super) const THERMAL_RESISTANCE: &[Unit] =
    &[unit("K m/W", 1.0, &["Km/W", "K.m/W", "m K/W"], &[])];

pub(super) const THERMAL_CONDUCTANCE: &[Unit] = &[unit("W/K", 1.0, &[], &[])];

pub(super) const VOLUMETRIC_HEAT_CAPACITY: &[Unit] = &[
    unit(
        "J/(m3 K)",
        1.0,
        &["J/(m3K)", "J/m3/K", "J/m3K", "J/m3 K"],
        &[],
    ),
    unit(
        "MJ/(m3 K)",
        1.0e6,
        &["MJ/(m3K)", "MJ/m3/K", "MJ/m3K", "MJ/m3 K"],
        &[],
    ),
];

pub(super) const LINEAR_HEAT_CAPACITY: &[Unit] = &[unit(
    "J/(m K)",
    1.0,
    &["J/(mK)", "J/m/K", "J/mK", "J/m K"],
    &[],
)];

pub(super) const TORQUE: &[Unit] = &[
    unit("N m", 1.0, &["Nm"], &["newton metre", "newton metres"]),
    unit(
        "lb ft",
        POUND_FORCE * FOOT,
        &["lbf ft", "ft lb", "lb-ft", "ft-lb"],
        &[],
    )
    .us(),
    unit(
        "lb in",
        POUND_FORCE * INCH,
        &["lbf in", "in lb", "lb-in", "in-lb"],
        &[],
    )
    .us(),
];

pub(super) const SHARE: &[Unit] = &[unit("%", 0.01, &[], &["percent", "pct"])];

pub(super) const PLAIN_NUMBER: &[Unit] = &[
    unit("", 1.0, &[], &[]),
    unit("%", 0.01, &[], &["percent", "pct"]),
];

/// The whole table for the documentation.
pub fn markdown_table() -> String {
    let mut page = String::from("| quantity | units | written as |\n|---|---|---|\n");
    for &kind in Kind::ALL {
        let mut names: Vec<String> = Vec::new();
        for unit in kind.units() {
            let symbol = if unit.symbol.is_empty() {
                "no unit"
            } else {
                unit.symbol
            };
            let mut name = format!("`{symbol}`");
            let others: Vec<&str> = unit
                .spellings()
                .filter(|other| *other != unit.symbol)
                .collect();
            if !others.is_empty() {
                let _ = write!(name, " ({})", others.join(", "));
            }
            names.push(name);
        }
        if kind.takes_gauges() {
            names.push("`AWG`".into());
        }
        let noun = kind.noun();
        let name = noun.split_once(' ').map_or(noun, |(_, name)| name);
        let _ = writeln!(
            page,
            "| {name} | {} | `{}` |",
            names.join(", "),
            kind.example()
        );
    }
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_documented_table_lists_every_unit() {
        let page = markdown_table();
        for &kind in Kind::ALL {
            for unit in kind.units().iter().filter(|unit| !unit.symbol.is_empty()) {
                assert!(
                    page.contains(&format!("`{}`", unit.symbol)),
                    "{}",
                    unit.symbol
                );
            }
        }
    }
}
