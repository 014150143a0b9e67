//! What was read, for people.

use core::fmt::Write as _;

use orangeloom_core::design::{Charged, Kind, System};
use orangeloom_core::quantity::{Energy, Voltage};

use super::DesignFile;
use crate::quantity_text::{ToText, Units};

/// What is counted, in the order in which it is told.
const COUNTED: [Kind; 15] = [
    Kind::Zone,
    Kind::Enclosure,
    Kind::Terminal,
    Kind::Battery,
    Kind::Conductor,
    Kind::Fuse,
    Kind::Contactor,
    Kind::ServiceDisconnect,
    Kind::Resistor,
    Kind::Load,
    Kind::Converter,
    Kind::Phase,
    Kind::Duty,
    Kind::Reading,
    Kind::Attestation,
];

/// What was read: files, batteries, counts, and what is not known.
pub fn summary(read: &DesignFile) -> String {
    let design = &read.design;
    let mut text = String::new();
    let name = design.vehicle.name.and_then(|id| design.text(id));
    let _ = writeln!(
        text,
        "{}: read without error",
        name.unwrap_or("the vehicle")
    );
    let files: Vec<&str> = read.sources.iter().map(|s| s.path.as_str()).collect();
    row(&mut text, "files", &files.join(", "));
    if let Some(revision) = design.vehicle.revision.and_then(|id| design.text(id)) {
        row(&mut text, "revision", revision);
    }
    batteries(read, &mut text);
    let counts: Vec<String> = COUNTED
        .iter()
        .map(|kind| (*kind, design.count(*kind)))
        .filter(|(_, count)| *count > 0)
        .map(|(kind, count)| match count {
            1 => format!("1 {}", kind.words()),
            _ => format!("{count} {}", kind.plural()),
        })
        .collect();
    row(&mut text, "described", &counts.join(", "));
    open(read, &mut text);
    text
}

fn row(text: &mut String, what: &str, value: &str) {
    let _ = writeln!(text, "  {what:<12} {value}");
}

/// Voltages and energy of each group of parallel strings.
fn batteries(read: &DesignFile, text: &mut String) {
    let design = &read.design;
    for (system, words) in [
        (System::Traction, "traction"),
        (System::LowVoltage, "low voltage"),
    ] {
        let strings = design.strings(system);
        for group in 0..strings.group_count() {
            let count = strings.group(group).count();
            let volts: Vec<String> = Charged::ALL
                .iter()
                .map(|charged| shown(strings.group_voltage(design, group, *charged)))
                .collect();
            let energies: Vec<String> = strings
                .group(group)
                .map(|string| energy(string.energy(design)))
                .collect();
            let alike = energies.windows(2).all(|two| two[0] == two[1]);
            let energy = match energies.first() {
                Some(each) if alike && count > 1 => format!("{each} each"),
                _ => energies.join(", "),
            };
            let strings = if count == 1 {
                "1 string".to_owned()
            } else {
                format!("{count} strings in parallel")
            };
            let line = format!(
                "{strings}: {} empty, nominal, full; {energy}",
                volts.join(" / ")
            );
            row(text, words, &line);
        }
    }
}

#[allow(clippy::needless_pass_by_value)] // small, and made for this call
fn shown<E>(voltage: Result<Option<Voltage>, E>) -> String {
    match voltage {
        Ok(Some(voltage)) => voltage.to_text(Units::Metric),
        _ => "not known".into(),
    }
}

#[allow(clippy::needless_pass_by_value)] // small, and made for this call
fn energy<E>(energy: Result<Option<Energy>, E>) -> String {
    match energy {
        Ok(Some(energy)) => energy.to_text(Units::Metric),
        _ => "energy not known".into(),
    }
}

/// What is not known, with its line.
fn open(read: &DesignFile, text: &mut String) {
    if read.open.is_empty() {
        return;
    }
    let _ = writeln!(
        text,
        "\nopen: {} not known yet; what needs it stays undecided",
        match read.open.len() {
            1 => "1 thing is".to_owned(),
            count => format!("{count} things are"),
        }
    );
    for problem in &read.open {
        let at = read.position(&problem.place);
        let _ = writeln!(text, "  {at}: {}", problem.what);
    }
}
