//! The busbar model against the printed currents of DIN 43671, Table 1.
//!
//! Run with `--nocapture` for the comparison.

use orangeloom_core::conductor::busbar::{Bar, BarBalance, Face};
use orangeloom_core::conductor::heat_balance::Surroundings;
use orangeloom_core::quantity::{Altitude, Emissivity, Length, LinearPower, Temperature};
use orangeloom_core::standard::metal::Metal;
use orangeloom_tests::published::{Row, read};

fn current(row: &Row, emissivity: f32) -> f32 {
    let air = Temperature::from_degc(35.0).unwrap();
    let place = Surroundings {
        air,
        radiant: air,
        altitude: Altitude::from_metres(0.0).unwrap(),
        absorbed: LinearPower::from_watts_per_m(0.0).unwrap(),
    };
    let bar = Bar {
        width: Length::from_mm(row.value("width_mm")).unwrap(),
        thickness: Length::from_mm(row.value("thickness_mm")).unwrap(),
        count: row.text("bars").parse().unwrap(),
        metal: Metal::Copper,
        resistivity_20: None,
        emissivity: Emissivity::from_fraction(emissivity).unwrap(),
        face: Face::Vertical,
    };
    BarBalance::new(&bar, &place)
        .unwrap()
        .current_at(Temperature::from_degc(65.0).unwrap())
        .unwrap()
        .unwrap()
        .as_amperes()
}

#[test]
fn printed() {
    println!("bar            finish   model  table  model/table");
    for row in read("published/din43671.csv") {
        for (finish, emissivity) in [("painted", 0.9), ("bare", 0.4)] {
            let direct = row.number(&format!("dc_{finish}_a"));
            let table = direct.unwrap_or_else(|| row.number(&format!("ac_{finish}_a")).unwrap());
            let model = f64::from(current(&row, emissivity));
            let ratio = model / table;
            println!(
                "{:>3} x {:>2} x {} {finish:>8} {model:7.0} {table:6.0} {ratio:6.3} {} {}",
                row.text("width_mm"),
                row.text("thickness_mm"),
                row.text("bars"),
                if direct.is_some() { "d.c." } else { "a.c." },
                row.text("evidence"),
            );
        }
    }
}
