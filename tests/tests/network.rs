//! The network solver against ngspice.
//!
//! Source of every expected number: `tests/published/network/*.csv`, made by
//! `tests/ngspice/network_cases.py` with ngspice 39.3 and, in the last columns,
//! the same equations in 80 decimal digits.

use std::collections::HashMap;
use std::fs;
use std::path::PathBuf;

use orangeloom_core::network::{
    BranchId, Element, Netlist, Node, Outcome, Prospective, Seen, Workspace,
};
use orangeloom_core::quantity::{Current, Power, Resistance, Voltage};

/// Agreement with ngspice, relative: what issue 3 of this project asks for. The
/// absolute floor beside it is twice the `resolution` of the case, the distance of
/// ngspice itself from the decimal solution: 2e-8 A at most.
const AGAINST_NGSPICE: f64 = 1e-4;

/// Agreement with the decimal solution, relative: one rounding to f32 is 6e-8.
const AGAINST_DECIMALS: f64 = 1.5e-7;

/// Part of the largest current of a case below which a current is rounding of
/// f64, 60 nodes times 1e-16: the absolute floor beside the relative tolerance.
const CURRENT_FLOOR: f64 = 1e-14;

/// Voltages are differences of EMFs that are f32 themselves; an absolute floor
/// of 1e-12 of the largest voltage is far below that.
const VOLTAGE_FLOOR: f64 = 1e-12;

struct Case {
    name: String,
    netlist: Netlist,
    nodes: Vec<Node>,
    /// Branch, current by ngspice, current by decimals.
    currents: Vec<(BranchId, f64, f64)>,
    /// Node, voltage by ngspice, voltage by decimals.
    voltages: Vec<(usize, f64, f64)>,
    seen: Vec<(usize, usize, f64, f64, f64)>,
    /// What ngspice resolves: A, V.
    resolution: (f64, f64),
}

fn cases() -> Vec<Case> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("published/network");
    let mut paths: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "csv"))
        .collect();
    paths.sort();
    paths
        .iter()
        .map(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            read(name, &fs::read_to_string(path).unwrap())
        })
        .collect()
}

fn read(name: String, text: &str) -> Case {
    let mut case = Case {
        name,
        netlist: Netlist::new(),
        nodes: Vec::new(),
        currents: Vec::new(),
        voltages: Vec::new(),
        seen: Vec::new(),
        resolution: (f64::NAN, f64::NAN),
    };
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        let fields: Vec<&str> = line.split(',').collect();
        let number = |k: usize| fields[k].parse::<f64>().unwrap();
        let index = |k: usize| fields[k].parse::<usize>().unwrap();
        match fields[0] {
            "branch" => {
                while case.nodes.len() <= index(1).max(index(2)) {
                    case.nodes.push(case.netlist.add_node().unwrap());
                }
                let (from, to) = (case.nodes[index(1)], case.nodes[index(2)]);
                let element = element(fields[3], fields[4], fields[5]);
                let id = case.netlist.add_branch(from, to, element).unwrap();
                case.currents.push((id, number(6), number(7)));
            }
            "node" => case.voltages.push((index(1), number(2), number(3))),
            "seen" => case
                .seen
                .push((index(1), index(2), number(3), number(4), number(5))),
            "resolution" => case.resolution = (number(1), number(2)),
            other => panic!("{other}"),
        }
    }
    case
}

fn element(kind: &str, first: &str, second: &str) -> Element {
    let first: f32 = first.parse().unwrap();
    let second: f32 = second.parse().unwrap();
    match kind {
        "resistance" => Element::Resistance(Resistance::from_ohms(first).unwrap()),
        "emf" => Element::Emf {
            emf: Voltage::from_volts(first).unwrap(),
            resistance: Resistance::from_ohms(second).unwrap(),
        },
        "current" => Element::ConstantCurrent(Current::from_amperes(first).unwrap()),
        "power" => Element::ConstantPower(Power::from_watts(first).unwrap()),
        "open" => Element::Open,
        other => panic!("{other}"),
    }
}

fn close(found: f64, expected: f64, relative: f64, floor: f64, what: &str) {
    let allowed = relative * expected.abs() + floor;
    assert!(
        (found - expected).abs() <= allowed,
        "{what}: found {found}, expected {expected}"
    );
}

fn largest(values: impl Iterator<Item = f64>) -> f64 {
    values.map(f64::abs).fold(0.0, f64::max)
}

#[test]
fn at_least_twelve_networks_of_up_to_sixty_nodes_are_there() {
    let sizes: HashMap<String, usize> = cases()
        .into_iter()
        .map(|case| (case.name, case.nodes.len()))
        .collect();
    assert!(sizes.len() >= 12, "{sizes:?}");
    assert_eq!(sizes.values().max(), Some(&60));
}

#[test]
fn currents_and_voltages_agree_with_ngspice_and_with_the_decimals() {
    let mut workspace = Box::new(Workspace::new());
    for case in cases() {
        let Outcome::Settled(point) = workspace.solve(&case.netlist).unwrap() else {
            panic!("{} is refused", case.name);
        };
        assert!(
            point.imbalance() < 1e-9,
            "{}: {}",
            case.name,
            point.imbalance()
        );
        let floor = CURRENT_FLOOR * largest(case.currents.iter().map(|c| c.2));
        for &(id, ngspice, decimals) in &case.currents {
            let what = format!("{} branch {}", case.name, id.index());
            let found = f64::from(point.current(id).unwrap().as_amperes());
            close(
                found,
                ngspice,
                AGAINST_NGSPICE,
                2.0 * case.resolution.0,
                &what,
            );
            close(found, decimals, AGAINST_DECIMALS, floor, &what);
        }
        let floor = VOLTAGE_FLOOR * largest(case.voltages.iter().map(|v| v.2));
        for &(node, ngspice, decimals) in &case.voltages {
            let what = format!("{} node {node}", case.name);
            let voltage = point.voltage(case.nodes[node], case.nodes[0]).unwrap();
            let found = f64::from(voltage.as_volts());
            close(
                found,
                ngspice,
                AGAINST_NGSPICE,
                2.0 * case.resolution.1,
                &what,
            );
            close(found, decimals, AGAINST_DECIMALS, floor, &what);
        }
    }
}

#[test]
fn what_two_nodes_see_agrees_with_an_open_and_a_shorted_run_of_ngspice() {
    let mut workspace = Box::new(Workspace::new());
    let mut checked = 0;
    for case in cases() {
        for &(above, below, open_circuit, resistance, short) in &case.seen {
            let what = format!("{} seen from {above} and {below}", case.name);
            let seen = workspace
                .thevenin(&case.netlist, case.nodes[above], case.nodes[below])
                .unwrap();
            let Seen::Source(source) = seen else {
                panic!("{what}: {seen:?}");
            };
            let Prospective::Current(current) = source.prospective else {
                panic!("{what}: {seen:?}");
            };
            let volts = f64::from(source.open_circuit.as_volts());
            let amperes = f64::from(current.as_amperes());
            close(
                volts,
                open_circuit,
                AGAINST_NGSPICE,
                2.0 * case.resolution.1,
                &what,
            );
            // The short closes a loop that the open case has not; ngspice resolves
            // it as well as it resolves 400 V over 10 uohm, 1e-16 * 400 / 1e-5.
            close(amperes, short, AGAINST_NGSPICE, 1e-8, &what);
            let ohms = f64::from(source.resistance.as_ohms());
            close(ohms, resistance, AGAINST_NGSPICE, 0.0, &what);
            checked += 1;
        }
    }
    assert!(checked >= 30, "{checked}");
}

#[test]
fn a_refusal_speaks_in_one_clause() {
    let mut netlist = Netlist::new();
    let (minus, plus) = (netlist.add_node().unwrap(), netlist.add_node().unwrap());
    let load = netlist
        .add_branch(plus, minus, element("power", "1000", "0"))
        .unwrap();
    let battery = netlist
        .add_branch(minus, plus, element("emf", "400", "100"))
        .unwrap();
    let mut workspace = Box::new(Workspace::new());
    let mut reasons = Vec::new();
    for (branch, element) in [
        (load, element("power", "1000", "0")),
        (load, element("power", "-1000", "0")),
        (battery, element("emf", "-400", "100")),
        (battery, element("open", "0", "0")),
    ] {
        netlist.set_element(branch, element).unwrap();
        if let Outcome::Refused(refusal) = workspace.solve(&netlist).unwrap() {
            reasons.push(refusal.words());
        }
    }
    // 1 kW of 400 V behind 100 ohm; the source settles; then reversed, then nothing.
    assert_eq!(reasons.len(), 3, "{reasons:?}");
    for words in reasons {
        assert!(words.starts_with(|c: char| c.is_lowercase()), "{words}");
        assert!(!words.ends_with('.'), "{words}");
    }
}
