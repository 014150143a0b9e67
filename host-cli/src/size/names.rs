//! What limits, series and edges are called, in text and in JSON.

use orangeloom_core::quantity::ConductorArea;
use orangeloom_core::size::candidate::LimitName;
use orangeloom_core::size::headroom::Edge;
use orangeloom_core::size::series::{Designation, MetricTable, Series};

/// A limit as JSON names it: words joined by hyphens, peaks counted from one.
pub(crate) fn limit_key(name: LimitName) -> String {
    match name {
        LimitName::SteadyTemperature => "steady-temperature".into(),
        LimitName::PeakTemperature(index) => format!("peak-temperature-{}", index + 1),
        LimitName::VoltageDrop => "voltage-drop".into(),
        LimitName::ShortCircuit => "short-circuit".into(),
        LimitName::TerminalTemperature => "terminal-temperature".into(),
        _ => "other".into(),
    }
}

/// A limit as people read it.
pub(crate) fn limit_words(name: LimitName) -> String {
    limit_key(name).replace('-', " ")
}

/// Unit of a limit's value, limit and margin.
pub(crate) fn limit_unit(name: LimitName) -> &'static str {
    match name {
        LimitName::VoltageDrop => "%",
        LimitName::ShortCircuit => "A2s",
        _ => "degC",
    }
}

/// A size as the drum is marked.
pub(crate) fn designation(designation: Designation) -> String {
    match designation {
        Designation::Metric(section) => mm2(section),
        Designation::American(size) => size.to_string(),
        _ => "other".into(),
    }
}

fn mm2(section: ConductorArea) -> String {
    format!("{} mm2", section.as_mm2())
}

/// An edge as JSON names it.
pub(crate) fn edge_key<T>(edge: &Edge<T>) -> &'static str {
    match edge {
        Edge::UpTo(_) => "holds-up-to",
        Edge::Always => "holds-everywhere-searched",
        Edge::Never => "holds-nowhere-searched",
        Edge::NotAsked => "not-asked",
    }
}

/// Where the sections of the choice come from.
pub(crate) fn series_words(series: Series) -> &'static str {
    match series {
        Series::Metric(MetricTable::Iec60228Class2) => "IEC 60228 class 2",
        Series::Metric(MetricTable::Iec60228Class5) => "IEC 60228 class 5",
        Series::Metric(MetricTable::Iso6722) => "ISO 6722-1, ISO 19642",
        _ => "AWG and kcmil",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_limit_has_its_word() {
        for (name, key) in [
            (LimitName::SteadyTemperature, "steady-temperature"),
            (LimitName::PeakTemperature(0), "peak-temperature-1"),
            (LimitName::VoltageDrop, "voltage-drop"),
            (LimitName::ShortCircuit, "short-circuit"),
            (LimitName::TerminalTemperature, "terminal-temperature"),
        ] {
            assert_eq!(limit_key(name), key);
        }
    }
}
