//! Precharge and discharge against an open textbook and independently computed cases.

use orangeloom_core::design::Draw;
use orangeloom_core::insulation::largest_y_capacitance;
use orangeloom_core::link::{
    ChargingCircuit, DischargeInput, Reached, StandingLoad, bleed_window, discharge_time,
    discharged_after,
};
use orangeloom_core::quantity::{Capacitance, Power, Resistance, Share, Time, Voltage};
use serde_json::Value;

fn volts(volts: f32) -> Voltage {
    Voltage::from_volts(volts).unwrap()
}

/// "Lessons In Electric Circuits", volume DC, chapter on time constants, seen: 15 V,
/// 10 kohm, 100 uF. Time in s, capacitor in V, current in uA.
const CHARGING: [(f32, f32, f32); 8] = [
    (0.5, 5.902, 909.8),
    (1.0, 9.482, 551.8),
    (2.0, 12.970, 203.0),
    (3.0, 14.253, 74.68),
    (4.0, 14.725, 27.47),
    (5.0, 14.899, 10.11),
    (6.0, 14.963, 3.718),
    (10.0, 14.999, 0.068),
];

#[test]
fn the_charging_table_of_the_textbook() {
    let circuit = ChargingCircuit {
        source: volts(15.0),
        resistance: Resistance::from_ohms(10.0e3).unwrap(),
        capacitance: Capacitance::from_farads(100.0e-6).unwrap(),
        start: volts(0.0),
        loads: &[],
    };
    for (time, v, ua) in CHARGING {
        let state = circuit.after(Time::from_seconds(time).unwrap()).unwrap();
        // Half a unit of the last printed digit, of the voltage and of the current; at
        // 10 s a last digit of f32 at 15 V (1 uV) over 10 kohm beside it.
        let (dv, di) = (5.0e-4, if ua > 100.0 { 0.05 } else { 0.005 });
        assert!(
            (state.voltage.as_volts() - v).abs() <= dv * 1.02,
            "{time} s: {state:?}"
        );
        let got = state.current.as_amperes() * 1.0e6;
        assert!((got - ua).abs() <= di * 1.02, "{time} s: {got}");
    }
    let at = circuit.after(Time::from_seconds(7.25).unwrap()).unwrap();
    assert!((at.voltage.as_volts() - 14.989).abs() < 5.0e-4);
}

/// The same numbers run backwards: what is left of 15 V is the current times 10 kohm.
#[test]
fn the_same_table_read_as_a_discharge() {
    for (time, _, ua) in CHARGING {
        let left = discharged_after(
            Resistance::from_ohms(10.0e3).unwrap(),
            Capacitance::from_farads(100.0e-6).unwrap(),
            volts(15.0),
            Time::from_seconds(time).unwrap(),
        )
        .unwrap();
        let expected = ua * 1.0e-2;
        // Half a unit of the last printed digit of the current, 0.005 of 10.11 at most;
        // two digits only at 10 s.
        let tolerance = if ua > 1.0 { 5.0e-4 } else { 0.01 };
        assert!(
            (left.as_volts() / expected - 1.0).abs() < tolerance,
            "{time} s"
        );
    }
}

struct Case(Value);

impl Case {
    fn text(&self, key: &str) -> &str {
        self.0[key].as_str().unwrap()
    }

    #[allow(clippy::cast_possible_truncation)] // the core takes f32
    fn input(&self, key: &str) -> f32 {
        self.0["inputs"][key].as_f64().unwrap() as f32
    }

    /// With the tolerance of the case; `f32` adds its own, a few last digits.
    fn near(&self, key: &str, got: f32, f32_adds: f64) {
        let expected = self.0["expected"][key].as_f64().unwrap();
        let tolerance = self.0["tolerance"]["rel"].as_f64().unwrap() + f32_adds;
        let deviation = f64::from(got) / expected - 1.0;
        assert!(
            deviation.abs() <= tolerance,
            "{} {key}: {got}, expected {expected}",
            self.text("id")
        );
    }
}

/// Source of all expected values: computed independently (see the README beside the
/// cases), double precision, the first three cross-checked with ngspice.
#[test]
fn every_reference_case() {
    let file: Value = serde_json::from_str(include_str!("../reference_cases/E.json")).unwrap();
    let cases: Vec<Case> = file["cases"]
        .as_array()
        .unwrap()
        .iter()
        .map(|case| Case(case.clone()))
        .collect();
    assert_eq!(cases.len(), 8);
    for case in &cases {
        match case.text("kind") {
            "precharge" => precharge(case),
            "precharge_constant_power" => constant_power(case),
            "bleed" => bleed(case),
            "y_capacitance" => {
                let most = largest_y_capacitance(volts(case.input("u_v"))).unwrap();
                case.near("cy_total_max_f", most.as_farads(), 3.0e-7);
            }
            other => panic!("no such kind: {other}"),
        }
    }
}

fn precharge(case: &Case) {
    let load = case.0["inputs"]["r_load_ohm"].as_f64();
    let loads: Vec<StandingLoad> = load
        .map(|_| StandingLoad {
            draw: Draw::Resistance(Resistance::from_ohms(case.input("r_load_ohm")).unwrap()),
            from: volts(0.0),
        })
        .into_iter()
        .collect();
    let u = case.input("u_v");
    let circuit = ChargingCircuit {
        source: volts(u),
        resistance: Resistance::from_ohms(case.input("r_ohm")).unwrap(),
        capacitance: Capacitance::from_farads(case.input("c_f")).unwrap(),
        start: volts(0.0),
        loads: &loads,
    };
    case.near(
        "v_final_v",
        circuit.settles().unwrap().voltage.as_volts(),
        3.0e-7,
    );
    let start = circuit.after(Time::from_seconds(0.0).unwrap()).unwrap();
    case.near("i_peak_a", start.current.as_amperes(), 3.0e-7);
    let target = volts(u * case.input("target_fraction"));
    let Reached::After { time, energy } = circuit.reaches(target).unwrap() else {
        panic!("{} reaches", case.text("id"))
    };
    // The target in f32, 3e-5 V of 400 V, over what is left of the way (2 V at least).
    case.near("t_s", time.as_seconds(), 2.0e-5);
    case.near("e_resistor_to_t_j", energy.as_joules(), 3.0e-6);
}

fn constant_power(case: &Case) {
    let loads = [StandingLoad {
        draw: Draw::Power(Power::from_watts(case.input("p_load_w")).unwrap()),
        from: volts(case.input("v_load_on_v")),
    }];
    let u = case.input("u_v");
    let circuit = ChargingCircuit {
        source: volts(u),
        resistance: Resistance::from_ohms(case.input("r_ohm")).unwrap(),
        capacitance: Capacitance::from_farads(case.input("c_f")).unwrap(),
        start: volts(0.0),
        loads: &loads,
    };
    let target = volts(u * case.input("target_fraction"));
    let Reached::Never(settled) = circuit.reaches(target).unwrap() else {
        panic!("{} never reaches", case.text("id"))
    };
    if case.text("id") == "E-cp-4" {
        // The case gives the stable root. The load starts at 30 V, below the lower root
        // of 39 V, so that the link cannot get there from below.
        assert_eq!(settled.voltage, volts(30.0));
        let above = ChargingCircuit {
            start: volts(100.0),
            ..circuit
        };
        let root = above.settles().unwrap().voltage;
        case.near("v_equilibrium_v", root.as_volts(), 3.0e-7);
    } else {
        case.near("v_equilibrium_v", settled.voltage.as_volts(), 3.0e-7);
    }
}

fn bleed(case: &Case) {
    let resistance = Resistance::from_ohms(case.input("r_bleed_ohm")).unwrap();
    let capacitance = Capacitance::from_farads(case.input("c_f")).unwrap();
    let (from, to) = (volts(case.input("u_v")), volts(case.input("v_target_v")));
    let time = discharge_time(resistance, capacitance, from, to).unwrap();
    case.near("t_s", time.as_seconds(), 5.0e-7);
    let none = Capacitance::from_farads(0.0).unwrap();
    let input = DischargeInput {
        highest: from,
        safe: to,
        capacitance,
        y_positive: none,
        y_negative: none,
        capacitance_tolerance: Share::from_fraction(0.0).unwrap(),
        bleed: None,
        active: None,
        wanted: None,
        label: None,
    };
    let wanted = Time::from_seconds(case.input("t_limit_s")).unwrap();
    let exact = Share::from_fraction(0.0).unwrap();
    let window = bleed_window(&input, exact, None, wanted).unwrap();
    case.near(
        "r_max_for_limit_ohm",
        window.largest.unwrap().as_ohms(),
        5.0e-7,
    );
    let power = window.power_of_largest.unwrap();
    case.near("p_at_r_max_w", power.as_watts(), 1.0e-6);
}
