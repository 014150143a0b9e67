//! A: lake rescue truck, 96 cells in series in three boxes, 355 V.

use orangeloom_core::design::{Laid, Purpose, Role, System};
use orangeloom_core::insulation::Domain;

use super::build::{Build, Inside, amperes, cell, mm2, watts};

/// The truck.
///
/// # Panics
/// When its parts do not fit together.
#[allow(clippy::too_many_lines)] // one vehicle from end to end
pub fn truck() -> Build {
    let mut b = Build::new("lake rescue truck", Domain::Road, 800.0);
    b.zone("under bonnet", 85.0);
    b.zone("chassis rail", 60.0);
    b.zone("heater outlet", 105.0);
    b.zone("cab", 45.0);
    for (name, zone) in [
        ("B1", "under bonnet"),
        ("B2", "chassis rail"),
        ("B3", "chassis rail"),
        ("J1", "under bonnet"),
    ] {
        b.enclosure(name, zone);
    }
    for (name, section, outer) in [
        ("70", 70.0, 19.6),
        ("6", 6.0, 9.0),
        ("4", 4.0, 8.2),
        ("10", 10.0, 10.5),
        ("50", 50.0, 17.5),
    ] {
        b.cable(name, mm2(section), outer, 125.0);
    }
    b.cable("LV 2.5", mm2(2.5), 5.0, 105.0);
    let lithium = cell([3.0, 3.7, 4.2], 60.0, 0.9);
    for name in ["B1", "B2", "B3"] {
        let [minus, plus] = [format!("{name}-"), format!("{name}+")];
        b.battery(
            name,
            System::Traction,
            [&minus, &plus],
            [32, 2],
            lithium,
            2.6e-3,
        );
    }
    b.conductor(
        "01",
        ["B1+", "B2-"],
        "70",
        &[
            ("under bonnet", 0.8, Laid::FreeAir),
            ("chassis rail", 1.6, Laid::AgainstPanel),
        ],
    );
    b.service_disconnect("S1", ["B2+", "S1 out"]);
    b.conductor(
        "02",
        ["S1 out", "B3-"],
        "70",
        &[("chassis rail", 4.2, Laid::AgainstPanel)],
    );
    b.conductor(
        "03",
        ["B3+", "F1 in"],
        "70",
        &[
            ("chassis rail", 2.3, Laid::AgainstPanel),
            ("heater outlet", 0.8, Laid::FreeAir),
        ],
    );
    b.conductor(
        "04",
        ["K- out", "B1-"],
        "70",
        &[("under bonnet", 1.1, Laid::FreeAir)],
    );
    b.fuse_type("350 aR", 350.0, 500.0);
    b.fuse_type("25 heater", 25.0, 250.0);
    b.fuse_type("20", 20.0, 500.0);
    b.fuse_type("50", 50.0, 500.0);
    b.fuse_type("200", 200.0, 500.0);
    b.fuse_type("blade", 30.0, 32.0);
    b.contactor_type("300 A polarised");
    b.contactor_type("10 A relay");
    b.fuse("F1", ["F1 in", "F1 out"], "350 aR");
    b.contactor("K+", ["F1 out", "J+"], "300 A polarised");
    // In the negative pole the arrow points from the load to the pack.
    b.contactor("K-", ["J-", "K- out"], "300 A polarised");
    b.contactor("Kp", ["F1 out", "P"], "10 A relay");
    b.resistor("Rp", Purpose::Precharge, ["P", "J+"], 47.0);
    b.resistor("Rb", Purpose::Bleed, ["J+", "J-"], 33.0e3);
    let inside = |link_uf, y_uf, idle_a| Inside {
        link_uf: Some(link_uf),
        y_uf: Some(y_uf),
        idle_a,
    };
    let front: [(&str, Laid); 1] = [("under bonnet", Laid::TouchingPair)];
    let laid = front[0].1;
    b.pair(
        "05",
        [["J+", "inverter+"], ["inverter-", "J-"]],
        "70",
        &[("under bonnet", 0.9, laid)],
    );
    b.load(
        "inverter",
        Role::Drive,
        ["inverter+", "inverter-"],
        inside(1000.0, 0.22, None),
    );
    for (fuse, part, circuit, name, cable, zone, metres) in [
        ("F4", "25 heater", "06", "heater", "6", "under bonnet", 1.6),
        ("F5", "20", "07", "compressor", "4", "under bonnet", 1.2),
        ("F6", "20", "08", "converter in", "6", "under bonnet", 1.4),
        ("F7", "50", "09", "charger", "10", "chassis rail", 2.2),
    ] {
        let fused = format!("{fuse} out");
        let [plus, minus] = [format!("{name}+"), format!("{name}-")];
        b.fuse(fuse, ["J+", &fused], part);
        b.pair(
            circuit,
            [[&fused, &plus], [&minus, "J-"]],
            cable,
            &[(zone, metres, laid)],
        );
        let (role, inside) = match name {
            "heater" => (
                Role::Consumer,
                Inside {
                    link_uf: Some(4.7),
                    y_uf: None,
                    idle_a: None,
                },
            ),
            "compressor" => (Role::Consumer, inside(100.0, 0.047, Some(0.2))),
            "charger" => (
                Role::ChargingSource,
                Inside {
                    link_uf: None,
                    y_uf: Some(0.1),
                    idle_a: None,
                },
            ),
            _ => (Role::Consumer, inside(47.0, 0.047, Some(0.6))),
        };
        b.load(name, role, [&plus, &minus], inside);
    }
    b.fuse("F8", ["J+", "F8 out"], "200");
    b.contactor("Kd+", ["Kd+ in", "F8 out"], "300 A polarised");
    b.contactor("Kd-", ["J-", "Kd- in"], "300 A polarised");
    b.pair(
        "10",
        [["inlet+", "Kd+ in"], ["Kd- in", "inlet-"]],
        "50",
        &[("chassis rail", 3.4, laid)],
    );
    b.load(
        "inlet",
        Role::ChargingSource,
        ["inlet+", "inlet-"],
        Inside::default(),
    );

    b.converter("converter", "converter in", ["chassis", "LV+"], 13.8, 220.0);
    for (name, amperes, share) in [
        ("day lamps", 9.0, 1.0),
        ("headlamps", 11.0, 1.0),
        ("blue lights and siren", 14.0, 1.0),
        ("power steering", 18.0, 1.0),
        ("vacuum pump", 22.0, 0.2),
        ("coolant pumps", 9.0, 1.0),
        ("fans", 28.0, 1.0),
        ("blower", 14.0, 1.0),
        ("coils", 1.5, 1.0),
        ("controllers", 6.0, 1.0),
        ("radio and winch", 8.0, 1.0),
        ("wipers", 6.0, 1.0),
        ("heated screen", 25.0, 1.0),
    ] {
        b.consumer(
            name,
            ["LV+", "chassis"],
            amperes,
            share,
            "LV 2.5",
            ("cab", 2.0, Laid::FreeAir),
        );
    }
    let auxiliaries = [("heater", watts(6000.0)), ("compressor", watts(4000.0))];
    for (name, seconds, current) in [
        ("pull", 10.0, 500.0),
        ("cruise", 104.0, 140.0),
        ("brake", 6.0, -180.0),
    ] {
        let mut draws = vec![("inverter", amperes(current))];
        draws.extend(auxiliaries);
        b.phase(name, seconds, &["K+", "K-"], &draws);
    }
    b.phase(
        "charge",
        2400.0,
        &["K+", "K-", "Kd+", "Kd-"],
        &[("inlet", amperes(-150.0)), ("converter in", amperes(0.0))],
    );
    b.phase(
        "precharge",
        1.0,
        &["Kp", "K-"],
        &[("converter in", amperes(0.6))],
    );
    b.duty("drive", &["pull", "cruise", "brake"]);
    b.duty("charging", &["charge"]);
    b
}
