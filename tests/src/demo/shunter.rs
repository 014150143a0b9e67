//! C: road-rail shunter, 192 cells in series, two strings of two boxes, 710 V.

use orangeloom_core::design::{Laid, Purpose, Role, System};
use orangeloom_core::insulation::Domain;

use super::build::{Build, Inside, SLEEVE, amperes, cell, mm2, watts};

/// The shunter.
///
/// # Panics
/// When its parts do not fit together.
#[allow(clippy::too_many_lines)] // one vehicle from end to end
pub fn shunter() -> Build {
    let mut b = Build::new("road-rail shunter", Domain::Rail, 2300.0);
    b.zone("roof", 55.0);
    b.zone("duct", 75.0);
    for (name, zone) in [
        ("L1", "roof"),
        ("L2", "roof"),
        ("R1", "roof"),
        ("R2", "roof"),
        ("J1", "roof"),
    ] {
        b.enclosure(name, zone);
    }
    for (name, section, outer) in [
        ("70", 70.0, 21.5),
        ("6", 6.0, 9.8),
        ("10", 10.0, 11.0),
        ("95", 95.0, 24.0),
    ] {
        b.cable(name, mm2(section), outer, 125.0);
    }
    b.cable("LV 10", mm2(10.0), 9.0, 105.0);
    b.fuse_type("300 aR", 300.0, 700.0);
    b.fuse_type("20", 20.0, 1000.0);
    b.fuse_type("50", 50.0, 1000.0);
    b.fuse_type("250", 250.0, 1000.0);
    b.fuse_type("blade", 80.0, 32.0);
    b.contactor_type("400 A");
    let lithium = cell([3.0, 3.7, 4.2], 90.0, 0.7);
    // A box: cells, fuse and contactor on its positive side, contactor on the other.
    for name in ["L1", "L2", "R1", "R2"] {
        let [minus, plus, fused, out, back] =
            ["cells-", "cells+", "fused", "+", "-"].map(|end| format!("{name}{end}"));
        b.battery(
            name,
            System::Traction,
            [&minus, &plus],
            [96, 2],
            lithium,
            5.9e-3,
        );
        b.fuse(&format!("F{name}"), [&plus, &fused], "300 aR");
        b.contactor(&format!("K{name}+"), [&fused, &out], "400 A");
        b.contactor(&format!("K{name}-"), [&back, &minus], "400 A");
    }
    b.conductor(
        "11",
        ["L1+", "L2-"],
        "70",
        &[("roof", 3.0, Laid::AgainstPanel)],
    );
    b.conductor(
        "12",
        ["R1+", "R2-"],
        "70",
        &[("roof", 3.0, Laid::AgainstPanel)],
    );
    b.pair(
        "13",
        [["L2+", "F1 in"], ["J-", "L1-"]],
        "70",
        &[("duct", 6.5, SLEEVE)],
    );
    b.pair(
        "14",
        [["R2+", "F2 in"], ["J-", "R1-"]],
        "70",
        &[("duct", 9.5, SLEEVE)],
    );
    for (fuse, out) in [("F1", "F1 out"), ("F2", "F2 out")] {
        b.fuse(fuse, [&format!("{fuse} in"), out], "300 aR");
        b.contactor(&format!("K{fuse}"), [out, "J+"], "400 A");
    }
    b.contactor("Kp", ["F1 out", "P"], "400 A");
    b.resistor("Rp", Purpose::Precharge, ["P", "J+"], 100.0);
    b.resistor("Rb", Purpose::Bleed, ["J+", "J-"], 100.0e3);
    let inside = |link_uf, y_uf| Inside {
        link_uf,
        y_uf,
        idle_a: None,
    };
    let roof = |metres| ("roof", metres, Laid::TouchingPair);
    for (fuse, part, circuit, name, cable, piece, inside) in [
        (
            "F3",
            "300 aR",
            "15",
            "front inverter",
            "70",
            roof(2.4),
            inside(Some(1100.0), Some(0.22)),
        ),
        (
            "F4",
            "300 aR",
            "16",
            "rear inverter",
            "70",
            ("duct", 9.0, SLEEVE),
            inside(Some(1100.0), Some(0.22)),
        ),
        (
            "F5",
            "20",
            "17",
            "converter in",
            "6",
            roof(2.0),
            inside(None, Some(0.1)),
        ),
        (
            "F6",
            "50",
            "18",
            "air compressor",
            "10",
            roof(4.1),
            inside(None, Some(0.1)),
        ),
        (
            "F7",
            "20",
            "19",
            "cab heater",
            "6",
            roof(5.5),
            inside(None, None),
        ),
    ] {
        let role = if name.contains("inverter") {
            Role::Drive
        } else {
            Role::Consumer
        };
        let fused = format!("{fuse} out");
        let [plus, minus] = [format!("{name}+"), format!("{name}-")];
        b.fuse(fuse, ["J+", &fused], part);
        b.pair(circuit, [[&fused, &plus], [&minus, "J-"]], cable, &[piece]);
        b.load(name, role, [&plus, &minus], inside);
    }
    b.fuse("F8", ["J+", "F8 out"], "250");
    b.contactor("Kd+", ["Kd+ in", "F8 out"], "400 A");
    b.contactor("Kd-", ["J-", "Kd- in"], "400 A");
    b.pair(
        "20",
        [["inlet+", "Kd+ in"], ["Kd- in", "inlet-"]],
        "95",
        &[roof(4.0)],
    );
    b.load(
        "inlet",
        Role::ChargingSource,
        ["inlet+", "inlet-"],
        Inside::default(),
    );
    b.converter("converter", "converter in", ["chassis", "LV+"], 27.6, 250.0);
    for (name, amperes) in [
        ("lamps", 12.0),
        ("rail lamps", 10.0),
        ("air dryer", 65.0),
        ("steering", 80.0),
        ("coolant pump", 14.0),
        ("fans", 36.0),
        ("blower", 9.0),
        ("controllers", 10.0),
        ("coils", 2.0),
        ("wipers", 6.0),
        ("heated glass", 18.0),
    ] {
        b.consumer(
            name,
            ["LV+", "chassis"],
            amperes,
            1.0,
            "LV 10",
            ("roof", 2.0, Laid::FreeAir),
        );
    }
    let left = ["KL1+", "KL1-", "KL2+", "KL2-", "KF1"];
    let right = ["KR1+", "KR1-", "KR2+", "KR2-", "KF2"];
    let both: Vec<&str> = left.into_iter().chain(right).collect();
    let inverters = |current| {
        [
            ("front inverter", amperes(current)),
            ("rear inverter", amperes(current)),
            ("converter in", amperes(0.0)),
        ]
    };
    b.phase("start a train", 60.0, &both, &inverters(235.0));
    b.phase("haul", 240.0, &both, &inverters(105.0));
    b.phase("left string alone", 240.0, &left, &inverters(52.5));
    b.phase(
        "yard",
        600.0,
        &both,
        &[
            ("air compressor", watts(11.0e3)),
            ("cab heater", watts(9.0e3)),
        ],
    );
    b.duty("shunting", &["start a train", "haul"]);
    b
}
