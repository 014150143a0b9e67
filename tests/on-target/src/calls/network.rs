//! The direct-current network: two battery strings and eight fused consumers on
//! one pair of bars, 12 nodes and 20 branches.

use core::cell::RefCell;

use orangeloom_core::error::Error;
use orangeloom_core::network::{
    BranchId, Element, Netlist, Node, OperatingPoint, Outcome, Workspace,
};
use orangeloom_core::quantity::{Power, Resistance, Voltage};

use super::{Visit, accepted};

const CONTACT: Element = Element::Resistance(accepted(Resistance::from_ohms(0.2e-3)));
const LEAD: Element = Element::Resistance(accepted(Resistance::from_ohms(5.0e-3)));
const DRAW: Element = Element::ConstantPower(accepted(Power::from_watts(3.0e3)));
const STRING: Element = Element::Emf {
    emf: accepted(Voltage::from_volts(400.0)),
    resistance: accepted(Resistance::from_ohms(0.1)),
};
const STRINGS: usize = 2;
const CONSUMERS: usize = 8;

struct Vehicle {
    netlist: Netlist,
    minus: Node,
    plus: Node,
    first_string: BranchId,
}

fn vehicle() -> Result<Vehicle, Error> {
    let mut netlist = Netlist::new();
    let (minus, plus) = (netlist.add_node()?, netlist.add_node()?);
    let mut first_string = None;
    for _ in 0..STRINGS {
        let pole = netlist.add_node()?;
        let string = netlist.add_branch(minus, pole, STRING)?;
        netlist.add_branch(pole, plus, CONTACT)?;
        first_string = first_string.or(Some(string));
    }
    for _ in 0..CONSUMERS {
        let fed = netlist.add_node()?;
        netlist.add_branch(plus, fed, LEAD)?;
        netlist.add_branch(fed, minus, DRAW)?;
    }
    let first_string = match first_string {
        Some(string) => string,
        None => netlist.add_branch(minus, plus, STRING)?,
    };
    Ok(Vehicle {
        netlist,
        minus,
        plus,
        first_string,
    })
}

/// Calls of `network`.
pub fn all(visit: &mut impl Visit) {
    visit.call("network/build", (), |()| vehicle());
    let Some(vehicle) = visit.given("network/build", vehicle()) else {
        return;
    };
    visit.brief(vehicle, |vehicle| {
        let netlist = &vehicle.netlist;
        let draws = netlist
            .branches()
            .filter(|(_, branch)| branch.element == DRAW)
            .count();
        (draws, netlist.node_count(), netlist.branch_count())
    });
    let Some(vehicle) = visit.given("network/build", self::vehicle()) else {
        return;
    };
    visit.brief((vehicle, 3_usize), |(vehicle, index)| {
        let node = vehicle.netlist.node(*index).map(Node::index);
        (node, BranchId::index(vehicle.first_string))
    });
    let Some(vehicle) = visit.given("network/build", self::vehicle()) else {
        return;
    };
    visit.brief(vehicle, |vehicle| {
        let mut netlist = vehicle.netlist.clone();
        let set = netlist.set_element(vehicle.first_string, Element::Open);
        (set, netlist.branch(vehicle.first_string))
    });

    // In the input, as a controller has it in a `static`: neither its making nor its
    // 60 kB count as part of the call.
    let Some(vehicle) = visit.given("network/build", self::vehicle()) else {
        return;
    };
    visit.call(
        "network/solve",
        (RefCell::new(Workspace::new()), vehicle),
        |(workspace, vehicle)| {
            let mut workspace = workspace.try_borrow_mut().ok()?;
            match workspace.solve(&vehicle.netlist) {
                Ok(Outcome::Settled(point)) => Some(read(&point, vehicle)),
                Ok(Outcome::Refused(_)) | Err(_) => None,
            }
        },
    );
    let Some(vehicle) = visit.given("network/build", self::vehicle()) else {
        return;
    };
    visit.call(
        "network/thevenin",
        (RefCell::new(Workspace::new()), vehicle),
        |(workspace, vehicle)| {
            let mut workspace = workspace.try_borrow_mut().ok()?;
            Some(workspace.thevenin(&vehicle.netlist, vehicle.plus, vehicle.minus))
        },
    );
}

/// Every reading of a solved network, added up.
fn read(point: &OperatingPoint<'_>, vehicle: &Vehicle) -> f32 {
    let Vehicle {
        minus,
        plus,
        first_string,
        ..
    } = *vehicle;
    let volts = point.potential(plus).map_or(0.0, f32::from);
    let across = point.voltage(plus, minus).map_or(0.0, f32::from);
    let amperes = point.current(first_string).map_or(0.0, f32::from);
    let watts = point.power(first_string).map_or(0.0, f32::from);
    let heat = point.heat(first_string).map_or(0.0, f32::from);
    let joined = point.island(plus) == point.island(minus);
    let alive = point.island_state(plus).is_some();
    volts
        + across
        + amperes
        + watts
        + heat
        + point.imbalance()
        + f32::from(u8::from(joined & alive))
}
