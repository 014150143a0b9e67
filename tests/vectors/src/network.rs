//! The direct-current network: everything in `f64` inside.

use orangeloom_core::error::Error;
use orangeloom_core::network::{Element, Netlist, Outcome, Prospective, Seen, Workspace};
use orangeloom_core::quantity::{Current, Power, Resistance, Voltage};

use crate::lines::{Lines, NONE, bits, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    let mut workspace = Workspace::new();
    lines.some("network/solve", |s| word(solve(s, &mut workspace)));
    lines.some("network/thevenin", |s| word(thevenin(s, &mut workspace)));
}

/// A battery, leads that reach every node, and consumers and cross-links at random.
fn network(s: &mut Sample) -> Result<Netlist, Error> {
    let mut netlist = Netlist::new();
    let minus = netlist.add_node()?;
    let plus = netlist.add_node()?;
    let emf = Voltage::from_volts(s.between(60.0, 900.0))?;
    let resistance = Resistance::from_ohms(s.between(0.01, 0.2))?;
    netlist.add_branch(minus, plus, Element::Emf { emf, resistance })?;
    for known in 1..=s.up_to(9) {
        let from = netlist.node(1 + usize::from(s.up_to(known - 1)))?;
        let to = netlist.add_node()?;
        netlist.add_branch(from, to, lead(s)?)?;
        let load = match s.up_to(3) {
            0 => Element::Resistance(Resistance::from_ohms(s.between(5.0, 5.0e4))?),
            1 => Element::ConstantCurrent(Current::from_amperes(s.between(-20.0, 60.0))?),
            2 => Element::ConstantPower(Power::from_watts(s.between(-2.0e3, 8.0e3))?),
            _ => Element::Open,
        };
        netlist.add_branch(to, minus, load)?;
        if s.one_of([false, true]) {
            let other = netlist.node(1 + usize::from(s.up_to(known - 1)))?;
            netlist.add_branch(other, to, lead(s)?)?;
        }
    }
    Ok(netlist)
}

/// A contact, a cable, a link without resistance.
fn lead(s: &mut Sample) -> Result<Element, Error> {
    let ohms = s.one_of([0.0, 20.0e-6, 1.5e-3, 0.25]);
    Ok(Element::Resistance(Resistance::from_ohms(
        ohms * s.between(0.5, 2.0),
    )?))
}

/// All voltages and currents in one word.
fn solve(s: &mut Sample, workspace: &mut Workspace) -> Result<u32, Error> {
    let netlist = network(s)?;
    let Outcome::Settled(point) = workspace.solve(&netlist)? else {
        return Ok(NONE);
    };
    let mut all = 0_u32;
    let mut add = |value: Option<f32>| all = all.rotate_left(5) ^ value.map_or(NONE, bits);
    for index in 0..netlist.node_count() {
        add(point.potential(netlist.node(index)?).map(f32::from));
    }
    for (branch, _) in netlist.branches() {
        add(point.current(branch).map(f32::from));
        add(point.heat(branch).map(f32::from));
    }
    Ok(all)
}

fn thevenin(s: &mut Sample, workspace: &mut Workspace) -> Result<u32, Error> {
    let netlist = network(s)?;
    let last = netlist.node(netlist.node_count() - 1)?;
    Ok(
        match workspace.thevenin(&netlist, last, netlist.node(0)?)? {
            Seen::Source(seen) => {
                let prospective = match seen.prospective {
                    Prospective::Current(current) => bits(current.as_amperes()),
                    Prospective::AlreadyJoined | Prospective::Unlimited => NONE,
                };
                bits(seen.open_circuit.as_volts()) ^ bits(seen.resistance.as_ohms()) ^ prospective
            }
            _ => NONE,
        },
    )
}
