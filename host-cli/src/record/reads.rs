//! What a reading says, in the keys of a sheet.

use orangeloom_core::design::Measured;

use crate::quantity_text::{ToText, Units};

/// What was read, and under which conditions.
pub(super) fn reads(measured: Measured) -> String {
    fn with<Q: ToText>(key: &str, read: Q) -> String {
        format!("{key} {}", read.to_text(Units::Metric))
    }
    let at = |read: String, condition: Option<String>| match condition {
        Some(condition) => format!("{read} at {condition}"),
        None => read,
    };
    let metric = Units::Metric;
    match measured {
        Measured::Isolation {
            resistance,
            at: volts,
        } => at(with("isolation", resistance), Some(volts.to_text(metric))),
        Measured::PoleToChassis { voltage, inserted } => {
            let inserted = inserted.map(|ohms| format!("{} put in", ohms.to_text(metric)));
            at(with("pole-to-chassis", voltage), inserted)
        }
        Measured::Bond {
            resistance,
            at: amperes,
        } => at(
            with("bond", resistance),
            amperes.map(|one| one.to_text(metric)),
        ),
        Measured::Drop {
            voltage,
            at: amperes,
        } => at(with("drop", voltage), Some(amperes.to_text(metric))),
        Measured::Temperature {
            temperature,
            at: amperes,
            air,
        } => {
            let conditions = format!(
                "{} in air of {}",
                amperes.to_text(metric),
                air.to_text(metric)
            );
            at(with("temperature", temperature), Some(conditions))
        }
        Measured::Joint(ohms) => with("joint", ohms),
        Measured::Shield(ohms) => with("shield", ohms),
        Measured::CutBack(length) => with("cut-back", length),
        Measured::Withstood(voltage) => with("withstood", voltage),
        Measured::Precharge(time) => with("precharge", time),
        Measured::Discharge(time) => with("discharge", time),
        Measured::Voltage(voltage) => with("voltage", voltage),
        Measured::Capacitance(farads) => with("capacitance", farads),
        Measured::Torque(torque) => with("torque", torque),
        Measured::Mass(mass) => with("mass", mass),
        Measured::Count(count) => format!("count {count}"),
        _ => String::new(),
    }
}
