//! What checks and bounds are called, in text and in JSON.

use orangeloom_core::link::{DischargeCheck, PrechargeCheck, WindowBound};
use orangeloom_core::quantity::{Current, Energy, Power, Time, Voltage};
use orangeloom_core::standard::SourceId;
use orangeloom_core::verdict::{Judged, Side, Verdict};

use crate::quantity_text::{Rounding, ToText, Units};
use crate::working::{n, n_down};

/// One judged check, whatever it is about.
pub(crate) struct Row {
    /// As JSON names it.
    pub(crate) key: &'static str,
    /// As people read it.
    pub(crate) words: &'static str,
    /// Unit of value, limit and margin.
    pub(crate) unit: &'static str,
    /// What to state while it is open.
    pub(crate) flag: &'static str,
    /// Whether what it judges against was entered, so that its silence is no pass.
    pub(crate) asked: bool,
    pub(crate) value: Option<f32>,
    pub(crate) limit: Option<f32>,
    pub(crate) margin: Option<f32>,
    pub(crate) at_least: bool,
    pub(crate) verdict: Verdict,
    pub(crate) source: SourceId,
}

type Name = (&'static str, &'static str, &'static str, &'static str);

fn row<N>(judged: &Judged<N>, (key, words, unit, flag): Name) -> Row {
    Row {
        asked: judged.limit.is_some(),
        key,
        words,
        unit,
        flag,
        value: judged.value,
        limit: judged.limit,
        margin: judged.margin(),
        at_least: judged.side == Side::AtLeast,
        verdict: judged.verdict,
        source: judged.source,
    }
}

/// A check of the precharge.
pub(crate) fn precharge_row(judged: &Judged<PrechargeCheck>) -> Row {
    row(
        judged,
        match judged.name {
            PrechargeCheck::Settles => ("settles", "link settles", "V", ""),
            PrechargeCheck::Time => ("time", "time to the threshold", "s", "--time-out"),
            PrechargeCheck::PeakCurrent => ("peak-current", "first current", "A", "--peak-current"),
            PrechargeCheck::PeakPower => ("peak-power", "first power", "W", "--pulse-power"),
            PrechargeCheck::TryEnergy => ("try-energy", "energy of one try", "J", "--pulse-energy"),
            PrechargeCheck::SeriesEnergy => (
                "series-energy",
                "stored after all tries",
                "J",
                "--pulse-energy and --resistor-power",
            ),
            PrechargeCheck::Stuck => (
                "stuck",
                "relay closed on a short",
                "s",
                "--time-out and --pulse-energy",
            ),
            PrechargeCheck::Inrush => (
                "inrush",
                "current on closing",
                "A",
                "--loop-resistance and --make",
            ),
            _ => ("other", "other", "", ""),
        },
    )
}

/// A check of the discharge.
pub(crate) fn discharge_row(judged: &Judged<DischargeCheck>) -> Row {
    let named = row(
        judged,
        match judged.name {
            DischargeCheck::Time => (
                "discharge-time",
                "time until it may be touched",
                "s",
                "--discharge-time, --bleed",
            ),
            DischargeCheck::Label => (
                "label",
                "wait by the bleed alone",
                "s",
                "--bleed and --label",
            ),
            DischargeCheck::BleedPower => {
                ("bleed-power", "power of the bleed", "W", "--bleed-power")
            }
            DischargeCheck::ActiveEnergy => (
                "discharge-energy",
                "energy of one discharge",
                "J",
                "--discharge-energy",
            ),
            DischargeCheck::Welded => (
                "welded",
                "on with a welded contactor",
                "s",
                "--discharge-cut-off and --discharge-energy",
            ),
            _ => ("other", "other", "", ""),
        },
    );
    Row {
        // A wanted time alone asks for a resistor and judges none.
        asked: named.asked && named.value.is_some(),
        ..named
    }
}

/// What is left of a limit, rounded down.
pub(crate) fn margin(value: f32, unit: &str) -> String {
    format!("{} {unit}", n_down(value))
}

/// A value in its unit.
pub(crate) fn shown(value: f32, unit: &str, units: Units, rounding: Rounding) -> String {
    let size = value.abs();
    let text = match unit {
        "V" => Voltage::from_volts(size).map(|one| one.rounded(units, rounding)),
        "A" => Current::from_amperes(size).map(|one| one.rounded(units, rounding)),
        "W" => Power::from_watts(size).map(|one| one.rounded(units, rounding)),
        "J" => Energy::from_joules(size).map(|one| one.rounded(units, rounding)),
        "s" => Time::from_seconds(size).map(|one| one.rounded(units, rounding)),
        _ => return n(value),
    };
    let text = text.unwrap_or_else(|_| format!("{} {unit}", n(size)));
    if value < 0.0 {
        format!("-{text}")
    } else {
        text
    }
}

/// A bound of the window as JSON names it.
pub(crate) const fn bound_key(bound: WindowBound) -> &'static str {
    match bound {
        WindowBound::PeakCurrent => "peak-current",
        WindowBound::PeakPower => "peak-power",
        WindowBound::Stuck => "stuck",
        WindowBound::Time => "time",
        WindowBound::StandingLoad => "standing-load",
        _ => "other",
    }
}

/// A bound of the window as people read it.
pub(crate) const fn bound_words(bound: WindowBound) -> &'static str {
    match bound {
        WindowBound::PeakCurrent => "first current (--peak-current)",
        WindowBound::PeakPower => "first power (--pulse-power)",
        WindowBound::Stuck => "link shorted until the time-out and reaction",
        WindowBound::Time => "time to the threshold (--time-out)",
        WindowBound::StandingLoad => "standing load: the link has to settle high enough",
        _ => "other",
    }
}
