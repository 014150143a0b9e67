//! The busbar model against the printed currents of DIN 43671, Table 1.
//!
//! Run with `--nocapture` for the comparison.

use orangeloom_core::conductor::busbar::{Bar, BarBalance, Face};
use orangeloom_core::conductor::heat_balance::Surroundings;
use orangeloom_core::quantity::{Altitude, Emissivity, Length, LinearPower, Temperature};
use orangeloom_core::standard::Evidence;
use orangeloom_core::standard::metal::Metal;
use orangeloom_tests::published::{Cell, read};

fn current(cell: &Cell, emissivity: f32) -> f32 {
    let air = Temperature::from_degc(35.0).unwrap();
    let place = Surroundings {
        air,
        radiant: air,
        altitude: Altitude::from_metres(0.0).unwrap(),
        absorbed: LinearPower::from_watts_per_m(0.0).unwrap(),
    };
    let bar = Bar {
        width: Length::from_mm(cell.number("width_mm")).unwrap(),
        thickness: Length::from_mm(cell.number("thickness_mm")).unwrap(),
        count: cell.number("bars"),
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

/// Model over table for every value that `keep` keeps.
///
/// Emissivity (from memory, not in the table): 0.9 for paint, 0.4 for copper as it
/// oxidises indoors. Fresh bright copper would be about 0.1 and, by this model, carry 10
/// to 13 % less.
fn ratios(keep: impl Fn(&Cell) -> bool) -> Vec<f32> {
    println!("bar, mm       surface    model  table  model/table");
    read("din43671_busbar.csv")
        .iter()
        .filter(|cell| keep(cell))
        .map(|cell| {
            let emissivity = match cell.text("surface") {
                "painted" => 0.9,
                "bare" => 0.4,
                other => panic!("{other}"),
            };
            let model = current(cell, emissivity);
            let ratio = model / cell.value();
            println!(
                "{:>3} x {:>2} x {} {:>8} {model:7.0} {:6.0} {ratio:7.3}  {}, {}",
                cell.text("width_mm"),
                cell.text("thickness_mm"),
                cell.text("bars"),
                cell.text("surface"),
                cell.value(),
                cell.text("current"),
                cell.evidence.words(),
            );
            ratio
        })
        .collect()
}

fn all_within(ratios: &[f32], low: f32, high: f32) {
    for ratio in ratios {
        assert!(
            (low..=high).contains(ratio),
            "{ratio} not in {low} to {high}"
        );
    }
}

#[test]
fn one_bar_direct_current() {
    // DIN 43671 Table 1, lines seen in one public copy. Observed 1.008 to 1.076. The
    // band is the +-10 % in heat that free convection equations for whole bodies claim
    // (5 % in current), shifted by the 2 % that DIN's copper (56 m/(ohm mm2), from
    // memory) has more resistance than the 58 m/(ohm mm2) used here, and 1 % for
    // rounded edges.
    let ratios = ratios(|cell| cell.text("bars") == "1" && cell.text("current") == "dc");
    assert_eq!(ratios.len(), 16);
    all_within(&ratios, 0.98, 1.08);
}

#[test]
fn two_bars_direct_current() {
    // Seen. Observed 0.952 to 1.145; all but 12 mm x 5 mm lie below 1.08. That line
    // does not fit its neighbours: the table lets a second bar raise the current by
    // 1.70 there, against 1.76 at 20 mm x 5 mm and 1.86 at 12 mm x 10 mm, while a lower
    // channel breathes more easily. The channel equation supposes smooth wide plates;
    // for a height of two to eight gaps 10 % in current is what it is worth.
    let pair = |cell: &Cell| cell.text("bars") == "2" && cell.text("current") == "dc";
    let narrow = |cell: &Cell| cell.text("width_mm") == "12" && cell.text("thickness_mm") == "5";
    let rest = ratios(|cell| pair(cell) && !narrow(cell));
    assert_eq!(rest.len(), 14);
    all_within(&rest, 0.94, 1.08);
    let narrow = ratios(|cell| pair(cell) && narrow(cell));
    assert_eq!(narrow.len(), 2);
    all_within(&narrow, 1.0, 1.15);
}

#[test]
fn wide_bars_at_50_hertz() {
    // From memory, alternating current only. Observed 1.048 to 1.131: as above, and the
    // skin effect, which the model leaves out and which grows with the section (1.2 %
    // in the table itself at 40 mm x 10 mm, 4 % at 100 mm x 10 mm from memory).
    let ratios = ratios(|cell| cell.evidence == Evidence::FromMemory);
    assert_eq!(ratios.len(), 18);
    all_within(&ratios, 1.02, 1.14);
}

#[test]
fn the_margin_of_the_cables_keeps_every_bar_below_the_table() {
    // 0.87: the default current margin of this project for cables.
    let ratios = ratios(|_| true);
    assert_eq!(ratios.len(), 82);
    for ratio in ratios {
        assert!(ratio * 0.87 <= 1.0, "{ratio}");
    }
}
