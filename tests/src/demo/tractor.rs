//! B: orchard tractor, 40 cells in series, two strings in parallel, 128 V.

use orangeloom_core::design::{Laid, LugType, Purpose, Role, System};
use orangeloom_core::insulation::Domain;
use orangeloom_core::quantity::{ConductorArea, Length};
use orangeloom_core::size::series::Conductor as Section;
use orangeloom_core::standard::awg::{AmericanSize, Gauge};
use orangeloom_core::standard::metal::Metal;

use super::build::{Build, Inside, SLEEVE, amperes, cell, mm2, watts};

/// A foot in metres, exactly.
const FOOT: f32 = 0.3048;

/// The tractor.
///
/// # Panics
/// When its parts do not fit together.
#[allow(clippy::too_many_lines)] // one vehicle from end to end
pub fn tractor() -> Build {
    let mut b = Build::new("orchard tractor", Domain::Farm, 400.0);
    b.zone("under hood", 60.0);
    b.zone("sill", 45.0);
    for (name, zone) in [("S1", "under hood"), ("S2", "sill"), ("J1", "under hood")] {
        b.enclosure(name, zone);
    }
    for (name, section, outer) in [
        ("35", 35.0, 15.0),
        ("16", 16.0, 11.5),
        ("6", 6.0, 9.0),
        ("4", 4.0, 8.2),
    ] {
        b.cable(name, mm2(section), outer, 125.0);
    }
    let two_nought = AmericanSize::Awg(Gauge::new(-1).unwrap());
    let section = Section::american(two_nought, Metal::Copper).unwrap();
    b.cable("2/0 AWG", section, 18.5, 125.0);
    b.cable("LV 4", mm2(4.0), 6.0, 105.0);
    let phosphate = cell([2.5, 3.2, 3.6], 150.0, 0.5);
    for name in ["S1", "S2"] {
        let [minus, plus] = [format!("{name}-"), format!("{name}+")];
        b.battery(
            name,
            System::Traction,
            [&minus, &plus],
            [40, 1],
            phosphate,
            4.0e-3,
        );
    }
    b.pair(
        "01",
        [["S1+", "F1 in"], ["K- out", "S1-"]],
        "35",
        &[("under hood", 0.9, Laid::TouchingPair)],
    );
    b.pair(
        "02",
        [["S2+", "F1 in"], ["K- out", "S2-"]],
        "35",
        &[("sill", 3.6, SLEEVE)],
    );
    b.fuse_type("400", 400.0, 160.0);
    b.fuse_type("80", 80.0, 160.0);
    b.fuse_type("25", 25.0, 160.0);
    b.fuse_type("blade", 40.0, 32.0);
    b.contactor_type("400 A");
    b.fuse("F1", ["F1 in", "F1 out"], "400");
    b.contactor("K+", ["F1 out", "J+"], "400 A");
    b.contactor("K-", ["J-", "K- out"], "400 A");
    b.contactor("Kp", ["F1 out", "P"], "400 A");
    b.resistor("Rp", Purpose::Precharge, ["P", "J+"], 20.0);
    b.resistor("Rb", Purpose::Bleed, ["J+", "J-"], 10.0e3);
    let hood = |metres| [("under hood", metres, Laid::TouchingPair)];
    b.pair(
        "03",
        [["J+", "drive+"], ["drive-", "J-"]],
        "2/0 AWG",
        &hood(4.5 * FOOT),
    );
    let lug = b.text("2 AWG 5/16");
    let lug = LugType {
        barrel: Some(ConductorArea::from_mm2(33.6).unwrap()),
        hole: Some(Length::from_mm(7.94).unwrap()),
        ..LugType::new(lug)
    };
    let lug = b.design.add(lug).unwrap();
    for circuit in ["03+", "03-"] {
        let id = b.id::<orangeloom_core::design::Conductor>(circuit);
        for end in &mut b.design.get_mut(id).unwrap().ends {
            end.lug = Some(lug);
        }
    }
    b.load(
        "drive",
        Role::Drive,
        ["drive+", "drive-"],
        Inside {
            link_uf: Some(6800.0),
            ..Inside::default()
        },
    );
    for (fuse, part, circuit, name, cable, metres) in [
        ("F2", "80", "04", "pump", "16", 6.0 * FOOT),
        ("F3", "25", "05", "converter in", "6", 0.8),
        ("F4", "25", "06", "heater", "4", 1.9),
    ] {
        let fused = format!("{fuse} out");
        let [plus, minus] = [format!("{name}+"), format!("{name}-")];
        b.fuse(fuse, ["J+", &fused], part);
        b.pair(
            circuit,
            [[&fused, &plus], [&minus, "J-"]],
            cable,
            &hood(metres),
        );
        b.load(name, Role::Consumer, [&plus, &minus], Inside::default());
    }
    b.converter("converter", "converter in", ["chassis", "LV+"], 13.8, 100.0);
    for (name, amperes) in [
        ("lamps", 10.0),
        ("work lamps", 24.0),
        ("steering pump", 32.0),
        ("coolant pump", 4.0),
        ("fan", 9.0),
        ("blower", 10.0),
        ("display", 5.0),
        ("coils", 1.4),
        ("sprayer", 12.0),
    ] {
        b.consumer(
            name,
            ["LV+", "chassis"],
            amperes,
            1.0,
            "LV 4",
            ("under hood", 1.5, Laid::FreeAir),
        );
    }
    let closed = ["K+", "K-"];
    b.phase(
        "row",
        180.0,
        &closed,
        &[("drive", amperes(180.0)), ("converter in", amperes(0.0))],
    );
    b.phase(
        "headland",
        20.0,
        &closed,
        &[("drive", amperes(410.0)), ("pump", watts(7000.0))],
    );
    b.duty("ploughing", &["row", "headland"]);
    b
}
