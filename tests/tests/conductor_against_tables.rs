//! The conductor models against published tables, worked examples and open libraries.
//!
//! Run with `--nocapture` for the comparisons, model over table.

use orangeloom_core::conductor::busbar::{Bar, BarBalance, Face, SteadyBar};
use orangeloom_core::conductor::cable::{Cable, CableBuild, Wall};
use orangeloom_core::conductor::heat_balance::{HeatBalance, Steady, Surface, Surroundings};
use orangeloom_core::conductor::skin::skin_increase;
use orangeloom_core::conductor::withstand::{Withstand, adiabatic_withstand};
use orangeloom_core::quantity::{
    Altitude, ConductorArea, Current, Density, Emissivity, Frequency, Length, LinearPower,
    LinearResistance, Resistance, Resistivity, SkinConstant, Temperature, ThermalConductivity,
    Voltage, VolumetricHeatCapacity,
};
use orangeloom_core::standard::awg::{AmericanSize, Gauge, TRADE_SIZES};
use orangeloom_core::standard::iec60228::{ConductorClass, resistance_20};
use orangeloom_core::standard::iec60287::InAir;
use orangeloom_core::standard::insulation::Compound;
use orangeloom_core::standard::metal::Metal;
use orangeloom_tests::computed;
use orangeloom_tests::published::{Cell, read};

fn degc(value: f32) -> Temperature {
    Temperature::from_degc(value).unwrap()
}

fn mm(value: f32) -> Length {
    Length::from_mm(value).unwrap()
}

fn mm2(value: f32) -> ConductorArea {
    ConductorArea::from_mm2(value).unwrap()
}

fn amperes(value: f32) -> Current {
    Current::from_amperes(value).unwrap()
}

fn emissivity(value: f32) -> Emissivity {
    Emissivity::from_fraction(value).unwrap()
}

fn place(air: f32, altitude: f32) -> Surroundings {
    Surroundings {
        air: degc(air),
        radiant: degc(air),
        altitude: Altitude::from_metres(altitude).unwrap(),
        absorbed: LinearPower::from_watts_per_m(0.0).unwrap(),
    }
}

fn wall(thickness: f32, compound: Compound) -> Wall {
    Wall {
        thickness: mm(thickness),
        conductivity: compound.thermal_conductivity(),
        heat_capacity: compound.heat_capacity(),
        density: compound.density(),
    }
}

fn ampacity(balance: &HeatBalance, limit: f32) -> f32 {
    balance
        .current_at(degc(limit))
        .unwrap()
        .unwrap()
        .as_amperes()
}

fn joules(balance: &HeatBalance, limit: f32) -> f32 {
    let current = ampacity(balance, limit);
    match balance.temperature_at(amperes(current)).unwrap() {
        Steady::Settles(state) => state.conductor_loss.as_watts_per_m(),
        Steady::NoSteadyState => panic!("{current} A does not settle"),
    }
}

/// Prints one line of a comparison and asserts the band.
fn compare(what: &str, model: f32, table: f32, band: (f32, f32)) {
    let ratio = model / table;
    println!("{what:44} {model:10.4} {table:10.4} {ratio:7.3}");
    assert!(
        (band.0..=band.1).contains(&ratio),
        "{what}: model {model}, table {table}, ratio {ratio}, band {band:?}"
    );
}

/// Single-core 0.6/1 kV cable, copper class 2, XLPE, PVC sheath.
///
/// Section, diameter of the compacted conductor, insulation, mm: IEC 60502-1 Table 6 for
/// the insulation, common cables for the conductor; **all from memory**. Sheath
/// 0.035 D + 1.0 mm, at least 1.4 mm (IEC 60502-1, from memory).
const IEC_60502: [(f32, f32, f32); 13] = [
    (25.0, 6.0, 0.9),
    (35.0, 7.0, 0.9),
    (50.0, 8.2, 1.0),
    (70.0, 9.8, 1.1),
    (95.0, 11.5, 1.1),
    (120.0, 12.9, 1.2),
    (150.0, 14.4, 1.4),
    (185.0, 16.1, 1.6),
    (240.0, 18.5, 1.7),
    (300.0, 20.7, 1.8),
    (400.0, 23.4, 2.0),
    (500.0, 26.5, 2.2),
    (630.0, 30.2, 2.4),
];

fn installation_cable(section: f32) -> Cable {
    let (_, conductor, insulation) = *IEC_60502
        .iter()
        .find(|row| (row.0 - section).abs() < 0.1)
        .unwrap();
    let sheath = (0.035 * (conductor + 2.0 * insulation) + 1.0).max(1.4);
    Cable::new(CableBuild {
        metal: Metal::Copper,
        section: mm2(section),
        conductor_diameter: mm(conductor),
        resistance_20: resistance_20(ConductorClass::Class2, Metal::Copper, mm2(section)).unwrap(),
        insulation: wall(insulation, Compound::Xlpe),
        shield: None,
        jacket: Some(wall(sheath, Compound::Pvc)),
        emissivity: emissivity(0.9),
    })
    .unwrap()
}

fn installed(section: f32, air: f32, surface: Surface) -> HeatBalance {
    HeatBalance::new(&installation_cable(section), &place(air, 0.0))
        .unwrap()
        .with_surface(surface)
        .unwrap()
        .with_frequency(
            Frequency::from_hertz(50.0).unwrap(),
            SkinConstant::from_fraction(1.0).unwrap(),
        )
        .unwrap()
}

/// IEC 60364-5-52, Table B.52.12, one method; evidence beside each value in the file.
fn free_air(method: &str, surface: Surface, band: (f32, f32)) {
    println!("{method}, {surface:?}");
    let section = |cell: &Cell| cell.number::<f32>("section_mm2");
    let cells: Vec<Cell> = read("iec60364_b52_12_xlpe.csv")
        .into_iter()
        .filter(|cell| cell.text("method") == method)
        // The sizes of a vehicle, of which the diameters are certain enough.
        .filter(|cell| section(cell) <= 240.0)
        .collect();
    assert_eq!(cells.len(), 9);
    for cell in cells {
        let model = ampacity(&installed(section(&cell), 30.0, surface), 90.0);
        let what = format!("  {} mm2, {}", section(&cell), cell.evidence.words());
        compare(&what, model, cell.value(), band);
    }
}

#[test]
fn method_f_trefoil_with_the_surface_of_the_standard() {
    // +-3 %: diameters from memory move the current by 1 %, the coefficients Z, E, g
    // (from memory) by about 1 %, and the table is rounded and smoothed.
    free_air("F-trefoil", Surface::Standard(InAir::Trefoil), (0.97, 1.03));
}

#[test]
fn method_f_two_touching_with_the_surface_of_the_standard() {
    // The base of the 0.88 for a touching pair. +-4 %: as above; the table's spacing of
    // sizes is uneven here (70 mm2 is 1.4 % out of line with its neighbours).
    free_air(
        "F-two-touching",
        Surface::Standard(InAir::TwoTouchingHorizontal),
        (0.96, 1.04),
    );
}

#[test]
fn method_g_horizontal_in_still_air() {
    // Below the table: its coefficients stand for lightly moving room air and a black
    // surface, 4 to 11 % more heat than free convection with emissivity 0.9.
    free_air("G-spaced-horizontal", Surface::StillAir, (0.90, 1.00));
}

#[test]
fn method_g_horizontal_with_the_surface_of_the_standard() {
    // As for the touching pair.
    free_air(
        "G-spaced-horizontal",
        Surface::Standard(InAir::SingleFree),
        (0.96, 1.02),
    );
}

#[test]
fn method_g_vertical_in_still_air() {
    // Above the table: there the lower cables warm the upper ones, which the model of a
    // single cable does not know. It stays below once the default margin of 0.87 is on.
    free_air("G-spaced-vertical", Surface::StillAir, (1.00, 1.08));
}

#[test]
fn ambient_factors() {
    // IEC 60364-5-52 Table B.52.14. The table is the root of the temperature rises, as if
    // the thermal resistance were constant. Free convection weakens with the power 1/4 of
    // the rise and carries half of the heat, which makes the exponent of the current
    // 0.56 instead of 0.5; radiation, stronger in warm surroundings, takes half of that
    // back. So: half of the last printed digit, and 0.025 in the exponent. The model is
    // the lower one in hot air.
    let cells = read("iec60364_ambient.csv");
    assert_eq!(cells.len(), 26);
    for cell in cells {
        let [limit, air]: [f32; 2] = ["limit_degC", "ambient_degC"].map(|name| cell.number(name));
        let current = |air| ampacity(&installed(50.0, air, Surface::StillAir), limit);
        let model = current(air) / current(30.0);
        let table = cell.value();
        println!(
            "{limit} degC in {air:2} degC {model:6.3} {table:5.2} {:?}",
            cell.evidence
        );
        let rise = (limit - air) / (limit - 30.0);
        let tolerance = 0.005 + 0.025 * rise.ln().abs() * table;
        assert!(
            (model - table).abs() <= tolerance,
            "{limit} {air}: {model} {table}"
        );
        assert!(
            air < 35.0 || model <= table + 0.005,
            "{limit} {air}: {model} {table}"
        );
    }
}

/// AWG 14 of an aircraft harness in free air: seven or nineteen strands of 1.8 mm
/// together, thin fluoropolymer wall (0.25 W/(m K)), tinned, 3.06 ohm per 1000 ft
/// (SAE AS22759); all from memory.
fn aircraft_wire(outer: f32, altitude: f32) -> HeatBalance {
    let section = Gauge::new(14).unwrap().area().unwrap();
    let cable = Cable::new(CableBuild {
        metal: Metal::Copper,
        section,
        conductor_diameter: mm(1.8),
        resistance_20: LinearResistance::from_ohm_per_km(3.06 / 0.3048).unwrap(),
        insulation: Wall {
            thickness: mm(0.5 * (outer - 1.8)),
            conductivity: ThermalConductivity::from_w_per_m_k(0.25).unwrap(),
            heat_capacity: VolumetricHeatCapacity::from_j_per_m3_k(2.2e6).unwrap(),
            density: Density::from_kg_per_m3(2150.0).unwrap(),
        },
        shield: None,
        jacket: None,
        emissivity: emissivity(0.9),
    })
    .unwrap();
    HeatBalance::new(&cable, &place(50.0, altitude)).unwrap()
}

#[test]
fn aircraft_wire_in_free_air() {
    // FAA AC 43.13-1B, figure 11-4a (seen): AWG 14, 150 K above the ambient: 47 A.
    // The chart does not state ambient, wall or surface; read to about 3 %.
    let chart = read("ac43_13_points.csv");
    assert_eq!(
        [chart[0].text("at"), chart[1].text("at")],
        ["14 AWG", "20000 ft"]
    );
    for outer in [2.0, 2.25, 2.5] {
        let model = ampacity(&aircraft_wire(outer, 0.0), 200.0);
        compare(
            &format!("AWG 14, {outer} mm"),
            model,
            chart[0].value(),
            (0.92, 1.00),
        );
    }
    // Figure 11-5 (seen): 0.91 at 20 000 ft, one curve for every wire. A thin wire, half
    // of whose heat is radiation, loses less: 3 % is the difference between wires.
    let factor =
        ampacity(&aircraft_wire(2.25, 6096.0), 200.0) / ampacity(&aircraft_wire(2.25, 0.0), 200.0);
    compare("20 000 ft", factor, chart[1].value(), (0.99, 1.04));
}

#[test]
fn free_convection_of_an_open_library() {
    // `ht` (PyPI) with the same laws for air; see reference_scripts. Without radiation
    // and with a wall that resists nothing, I2 R is the convection. Tolerance 2e-5:
    // f32 in powers of 1/6 and 8/27, and the drop across the wall.
    for row in computed::read("free_convection.csv") {
        let size = row.value("size_m");
        let (surface, air) = (row.value("surface_degc"), row.value("air_degc"));
        let surroundings = place(air, row.value("altitude_m"));
        let heat = match row.text("body") {
            "cylinder" => {
                // As thin as a wall may be, so that it drops next to nothing.
                let wall = (0.005 * size).max(5.1e-5);
                let cable = Cable::new(CableBuild {
                    metal: Metal::Copper,
                    // Its size does not matter, only that it fits.
                    section: mm2(0.2 * (1.0e3 * size).powi(2)),
                    conductor_diameter: Length::from_metres(size - 2.0 * wall).unwrap(),
                    // Half as much again as solid copper.
                    resistance_20: LinearResistance::from_ohm_per_m(0.13 / (1.0e3 * size).powi(2))
                        .unwrap(),
                    insulation: Wall {
                        thickness: Length::from_metres(wall).unwrap(),
                        conductivity: ThermalConductivity::from_w_per_m_k(500.0).unwrap(),
                        heat_capacity: VolumetricHeatCapacity::from_j_per_m3_k(1.0e6).unwrap(),
                        density: Density::from_kg_per_m3(1000.0).unwrap(),
                    },
                    shield: None,
                    jacket: None,
                    emissivity: emissivity(0.0),
                })
                .unwrap();
                let balance = HeatBalance::new(&cable, &surroundings).unwrap();
                joules(&balance, surface) / (core::f32::consts::PI * size)
            }
            "plate" => {
                // One outline is two ways of the boundary layer.
                let bar = bar(1.0e3 * size - 0.5, 0.5, Metal::Copper, None, 0.0);
                let balance = BarBalance::new(&bar, &surroundings).unwrap();
                let current = balance.current_at(degc(surface)).unwrap().unwrap();
                match balance.temperature_at(current).unwrap() {
                    SteadyBar::Settles(state) => state.loss.as_watts_per_m() / (2.0 * size),
                    SteadyBar::NoSteadyState => panic!("{row:?}"),
                }
            }
            other => panic!("{other}"),
        };
        let expected = row.value("heat_w_per_m2");
        assert!((heat / expected - 1.0).abs() < 2.0e-5, "{heat} {row:?}");
    }
}

fn bar(
    width: f32,
    thickness: f32,
    metal: Metal,
    resistivity_20: Option<Resistivity>,
    surface: f32,
) -> Bar {
    Bar {
        width: mm(width),
        thickness: mm(thickness),
        count: 1,
        metal,
        resistivity_20,
        emissivity: emissivity(surface),
        face: Face::Vertical,
    }
}

#[test]
fn a_steam_pipe_of_the_textbook() {
    // Incropera, Fundamentals of Heat and Mass Transfer, example 9.4 (from memory): pipe of
    // 0.1 m, surface 165 degC, room 23 degC, emissivity 0.85: Nu 23.3 with air of
    // 0.0313 W/(m K), so 7.29 W/m2K and 325 W/m by convection; 441 W/m by radiation.
    // Tolerance 2 %: simple laws for air, and the book's rounded temperatures.
    let heat = |surface: f32| {
        let cable = Cable::new(CableBuild {
            metal: Metal::Copper,
            section: mm2(2500.0),
            conductor_diameter: mm(99.0),
            resistance_20: LinearResistance::from_ohm_per_m(1.0e-3).unwrap(),
            insulation: Wall {
                thickness: mm(0.5),
                conductivity: ThermalConductivity::from_w_per_m_k(500.0).unwrap(),
                heat_capacity: VolumetricHeatCapacity::from_j_per_m3_k(1.0e6).unwrap(),
                density: Density::from_kg_per_m3(1000.0).unwrap(),
            },
            shield: None,
            jacket: None,
            emissivity: emissivity(surface),
        })
        .unwrap();
        joules(&HeatBalance::new(&cable, &place(23.0, 0.0)).unwrap(), 165.0)
    };
    let convection = heat(0.0);
    compare("convection, W/m", convection, 325.0, (0.98, 1.02));
    compare(
        "radiation, W/m",
        heat(0.85) - convection,
        441.0,
        (0.98, 1.02),
    );
}

fn withstand(metal: Metal, area: ConductorArea, start: f32, end: f32) -> Withstand {
    // rho/S, as the fusing equations suppose.
    let own = (metal.resistivity_20() / area).unwrap();
    adiabatic_withstand(metal, area, own, degc(start), degc(end)).unwrap()
}

#[test]
fn fusing_currents_of_copper() {
    // Onderdonk's equation as tabulated in an open encyclopedia (American wire gauge),
    // seen: copper from 25 degC to melting at 1083 degC. kA at 1 s and at 32 ms.
    // Tolerance: 0.5 %, by which the constants of Onderdonk (33, 234) and of IEC 60949
    // (226, 234.5) differ, and half of the last printed digit; at 32 ms also that of the
    // value at 1 s, for the source seems to have multiplied the rounded one (87 kA for
    // 1/0, where its equation gives 86.3).
    for (number, one_second, thirty_two_ms) in [
        (-3, (31.0, 0.5), (173.0, 0.5)),
        (-2, (24.5, 0.05), (137.0, 0.5)),
        (-1, (19.5, 0.05), (109.0, 0.5)),
        (0, (15.5, 0.05), (87.0, 0.5)),
        (1, (12.0, 0.5), (68.0, 0.5)),
        (2, (9.7, 0.05), (54.0, 0.5)),
        (4, (6.1, 0.05), (34.0, 0.5)),
        (6, (3.8, 0.05), (21.0, 0.5)),
        (8, (2.4, 0.05), (13.5, 0.05)),
    ] {
        let area = Gauge::new(number).unwrap().area().unwrap();
        let withstand = withstand(Metal::Copper, area, 25.0, 1083.0);
        // The equation itself: A in circular mils, 33 s, log10(1 + 1058/(234 + 25)).
        let circular_mils = area.as_mm2() / 5.067_075e-4;
        let onderdonk = circular_mils * ((1.0_f32 + 1058.0 / 259.0).log10() / 33.0).sqrt();
        compare(
            &format!("AWG {number}, equation, A"),
            withstand.standard_form.as_a2s().sqrt(),
            onderdonk,
            (0.995, 1.005),
        );
        for ((printed, digit), seconds) in [(one_second, 1.0), (thirty_two_ms, 0.032)] {
            for square in [withstand.own_resistance, withstand.standard_form] {
                let current = 1.0e-3 * (square.as_a2s() / seconds).sqrt();
                println!("AWG {number:2} {seconds:5} s {current:8.2} kA {printed:6.1}");
                let inherited = if seconds < 1.0 {
                    one_second.1 / one_second.0
                } else {
                    0.0
                };
                let tolerance = digit + (0.005 + inherited) * printed;
                assert!(
                    (current - printed).abs() <= tolerance,
                    "{number} {seconds}: {current}"
                );
            }
        }
    }
}

#[test]
fn fusing_examples_with_a_wrong_sign() {
    // A public forum answer (seen) gives 178 A for AWG 16 (2581 circular mils) and 5 s;
    // it has 234 - 25 where Onderdonk has 234 + 25. With the right sign 168.9 A, and for
    // AWG 14 with 400 A 2.26 s instead of 2 s. Tolerance 0.5 % and 1 % (time goes with
    // the square), as above.
    let awg_16 = withstand(
        Metal::Copper,
        Gauge::new(16).unwrap().area().unwrap(),
        25.0,
        1083.0,
    );
    let current = (awg_16.standard_form.as_a2s() / 5.0).sqrt();
    compare("AWG 16, 5 s, A", current, 168.9, (0.995, 1.005));
    let awg_14 = withstand(
        Metal::Copper,
        Gauge::new(14).unwrap().area().unwrap(),
        25.0,
        1083.0,
    );
    let time = awg_14.standard_form.as_a2s() / (400.0 * 400.0);
    compare("AWG 14, 400 A, s", time, 2.26, (0.99, 1.01));
}

#[test]
fn the_american_form_of_the_short_circuit_limit() {
    // ICEA P-32-382 (seen as a quotation): (I/A)2 t = 0.0297 log10((T2 + 234)/(T1 + 234)),
    // A in circular mils. 0.0297 is K = 224.1 where IEC 60949 prints 226: the two
    // standards differ by 0.8 % in current, IEC being the higher; 0.3 % either side for
    // the three digits of 0.0297 and for 234 against 234.5.
    for (start, end) in [(75.0_f32, 150.0_f32), (90.0, 250.0), (75.0, 200.0)] {
        for area in [10.0, 50.0, 120.0] {
            let circular_mils = area / 5.067_075e-4;
            let square = 0.0297 * ((end + 234.0) / (start + 234.0)).log10();
            let expected = circular_mils * square.sqrt();
            let standard = withstand(Metal::Copper, mm2(area), start, end).standard_form;
            let current = standard.as_a2s().sqrt();
            compare(
                &format!("{area} mm2 {start} {end}"),
                current,
                expected,
                (1.005, 1.011),
            );
        }
    }
}

#[test]
fn constants_k_of_the_standard() {
    // IEC 60364-5-54:2011; evidence beside each in the file. Tolerance: half of the
    // printed digit.
    let mut compared = 0;
    for cell in read("iec60364_k.csv") {
        let metal = match cell.text("metal") {
            "copper" => Metal::Copper,
            "aluminium" => Metal::Aluminium,
            // Sheath and armour: no conductor is made of them.
            _ => continue,
        };
        let [start, end] = ["start_degC", "end_degC"].map(|column| cell.number(column));
        let k = withstand(metal, mm2(50.0), start, end).k;
        println!("{metal:?} {k:6.2} {}", cell.printed);
        assert!((k - cell.value()).abs() <= 0.5, "{k} {cell}");
        compared += 1;
    }
    assert_eq!(compared, 29);
}

#[test]
fn let_through_of_small_conductors() {
    // BS 7671 forms with k = 115 (seen): 1.5 mm2 29 756 A2s, 2.5 mm2 82 656 A2s (a forum
    // prints 82 856: a slip). Tolerance 0.9 %: k as printed, rounded to 1 in 115.
    for (area, printed) in [(1.5, 29_756.0), (2.5, 82_656.0)] {
        let model = withstand(Metal::Copper, mm2(area), 70.0, 160.0).standard_form;
        compare(
            &format!("{area} mm2"),
            model.as_a2s(),
            printed,
            (0.991, 1.009),
        );
    }
}

#[test]
fn skin_effect_of_the_exact_solution() {
    // scipy's Bessel functions, see reference_scripts. The equations of IEC 60287-1-1
    // are within +0.57 % and -0.29 % of it, as the core's documentation says.
    for row in computed::read("skin_bessel.csv") {
        let x = row.value("x");
        let (ratio, exact) = (1.0 + skin(x), row.value("ratio"));
        let deviation = ratio / exact - 1.0;
        assert!((-0.0029..0.0057).contains(&deviation), "{x}: {deviation}");
    }
    // Neher & McGrath 1957, Table III, quoted in a public forum (seen): 10.05 % at 2.14.
    assert!((skin(2.14) - 0.1005).abs() < 5.0e-5);
}

fn skin(x: f32) -> f32 {
    let resistance = 8.0 * core::f32::consts::PI * 1000.0 * 1.0e-7 / (x * x);
    skin_increase(
        LinearResistance::from_ohm_per_m(resistance).unwrap(),
        Frequency::from_hertz(1000.0).unwrap(),
        SkinConstant::from_fraction(1.0).unwrap(),
    )
}

#[test]
fn a_feeder_sized_by_voltage_drop() {
    // "Lessons In Electric Circuits", DC, chapter on conductors (open textbook, seen):
    // 230 V, the load needs 220 V at 25 A over 2300 ft each way, 10.09 ohm cmil/ft.
    const FOOT: f32 = 0.3048;
    const CIRCULAR_MIL: f32 = 5.067_075e-4; // mm2
    let rho = Resistivity::from_ohm_m(10.09 * CIRCULAR_MIL * 1.0e-6 / FOOT).unwrap();
    let length = Length::from_metres(2300.0 * FOOT).unwrap();
    let drop_each = Voltage::from_volts(5.0).unwrap();
    let most = (drop_each / amperes(25.0)).unwrap();
    assert!((most.as_ohms() - 0.2).abs() < 1e-6);
    let area: ConductorArea = (rho / (most / length).unwrap()).unwrap();
    let circular_mils = area.as_mm2() / CIRCULAR_MIL;
    compare(
        "circular mils",
        circular_mils,
        116_035.0,
        (0.99999, 1.00001),
    );
    // "2/0 holds, 1/0 is too small."
    let smallest = TRADE_SIZES
        .iter()
        .find(|size| size.area().unwrap().as_mm2() >= area.as_mm2());
    assert_eq!(smallest, Some(&AmericanSize::Awg(Gauge::new(-1).unwrap())));
    // With AWG 14 (the book's 4107 circular mils): 5.651 ohm each, 20.352 A at most.
    let awg_14 = Gauge::new(14).unwrap().area().unwrap();
    let each: Resistance = ((rho / awg_14).unwrap() * length).unwrap();
    // 4107 is 4106.7 rounded: 1e-4.
    compare("ohm", each.as_ohms(), 5.651, (0.9998, 1.0002));
    let both = Resistance::from_ohms(2.0 * each.as_ohms()).unwrap();
    let fault = (Voltage::from_volts(230.0).unwrap() / both).unwrap();
    compare("A", fault.as_amperes(), 20.352, (0.9998, 1.0002));
}

#[test]
fn a_warm_pair_of_wires() {
    // Same book: two wires of 15 ohm at 20 degC, 14 V, 12.5 V left for the load; at
    // 35 degC 12.42 V and 0.79 V on each wire. The book's coefficient is 0.004041, the
    // standard's 0.00393: 0.02 % of the load's voltage.
    let cable = installation_cable(25.0);
    let state = HeatBalance::new(&cable, &place(35.0, 0.0))
        .unwrap()
        .temperature_at(amperes(0.0))
        .unwrap();
    let Steady::Settles(state) = state else {
        panic!("no current and no steady state")
    };
    let cold = cable.build().resistance_20.as_ohm_per_m();
    let wire = 15.0 * state.resistance.as_ohm_per_m() / cold;
    let load = 12.5 / ((14.0 - 12.5) / 30.0);
    let current = 14.0 / (load + 2.0 * wire);
    println!("load {} V, wire {} V", current * load, current * wire);
    assert!((current * load - 12.42).abs() < 0.005);
    assert!((current * wire - 0.79).abs() < 0.005);
}

#[test]
fn the_resistance_of_a_bar() {
    // Same book: aluminium, 4 cm x 3 cm x 125 cm, 2.65e-6 ohm cm: 27.6 microohm (the
    // book's answer is a picture; 27.604 from its equation).
    let rho = Resistivity::from_ohm_m(2.65e-8).unwrap();
    let bar = bar(40.0, 30.0, Metal::Aluminium, Some(rho), 0.4);
    let steady = BarBalance::new(&bar, &place(20.0, 0.0))
        .unwrap()
        .temperature_at(amperes(0.0))
        .unwrap();
    let SteadyBar::Settles(state) = steady else {
        panic!("no current and no steady state")
    };
    let whole = (state.resistance * Length::from_metres(1.25).unwrap()).unwrap();
    compare(
        "microohm",
        1.0e6 * whole.as_ohms(),
        27.604,
        (0.9999, 1.0001),
    );
}
