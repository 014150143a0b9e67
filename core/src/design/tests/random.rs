//! Random designs: nothing panics, what was added is found again.

use std::boxed::Box;
use std::format;
use std::vec::Vec;

use proptest::prelude::*;

use super::*;
use crate::network::Workspace;
use crate::study::insulation::InsulationStudy;

/// One random step of building.
#[derive(Clone, Debug)]
struct Step {
    what: u8,
    name: u8,
    ends: [u8; 2],
    number: u16,
    amount: f32,
}

fn step() -> impl Strategy<Value = Step> {
    let numbers = (any::<u16>(), -1000.0_f32..1000.0);
    (0..16_u8, any::<u8>(), any::<[u8; 2]>(), numbers).prop_map(
        |(what, name, ends, (number, amount))| Step {
            what,
            name,
            ends,
            number,
            amount,
        },
    )
}

/// A number that stands for something one time in two.
fn some<I: Index>(number: u16) -> Option<I> {
    I::at(usize::from(number) & 0x0f)
}

fn terminal(end: u8) -> TerminalId {
    TerminalId::at(usize::from(end) & 0x0f).unwrap()
}

fn thing<I: Index>(added: Result<I, crate::error::Error>) -> Option<Thing> {
    added.ok().map(Into::into)
}

/// Applies one step; returns what was added.
fn apply(design: &mut Design, step: &Step) -> Option<Thing> {
    let name = design.put_text(&format!("n{}", step.name)).ok()?;
    let ends = step.ends.map(terminal);
    let positive = step.amount.abs();
    let number = step.number;
    match step.what {
        0..4 => thing(design.add(Terminal::new(name))),
        4 => {
            let counts = [number & 0xff, number >> 12];
            thing(design.add(Battery::new(name, System::Traction, ends, counts, cell())))
        }
        5 => {
            let mut conductor = Conductor::new(name, ends);
            conductor.cable = some(number);
            let piece = RoutePiece {
                zone: some(number)?,
                length: Length::from_metres(positive).ok(),
                laid: Some(Laid::TouchingPair),
                circuits: Some(step.name & 0x1f),
            };
            conductor.route = design.add_route(&[piece]).ok()?;
            thing(design.add(conductor))
        }
        6 => thing(design.add(Fuse::new(name, ends))),
        7 => thing(design.add(Contactor::new(name, ends))),
        8 => thing(design.add(ServiceDisconnect::new(name, ends))),
        9 => {
            let mut resistor = Resistor::new(name, Purpose::Bleed, ends);
            resistor.part = some(number);
            thing(design.add(resistor))
        }
        10 => {
            let mut load = Load::new(name, Role::Drive, ends);
            load.idle = Current::from_amperes(step.amount).ok().map(Draw::Current);
            thing(design.add(load))
        }
        11 => thing(design.add(Converter::new(name, some(number)?, ends))),
        12 => {
            let mut phase = Phase::new(name);
            phase.closed = some(number).into_iter().chain(some(number >> 4)).collect();
            phase.out = ServiceDisconnectId::at(usize::from(number & 7))
                .into_iter()
                .collect();
            thing(design.add(phase))
        }
        13 => thing(design.add(PhaseDraw {
            phase: some(number)?,
            load: some(number >> 4)?,
            draw: Draw::Power(Power::from_watts(step.amount * 100.0).ok()?),
        })),
        14 => thing(design.add(Zone::new(name))),
        _ => {
            let mut part = ResistorType::new(name);
            part.resistance = Resistance::from_ohms(positive).ok();
            thing(design.add(part))
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_order_of_building_is_either_taken_or_refused(
        steps in prop::collection::vec(step(), 0..300),
    ) {
        let mut design = Box::new(Design::new(Domain::Farm));
        let mut added = Vec::new();
        for step in &steps {
            if let Some(thing) = apply(&mut design, step) {
                added.push((thing, format!("n{}", step.name)));
            }
        }
        for (thing, name) in &added {
            prop_assert!(usize::from(thing.index) < design.count(thing.kind));
            if !matches!(thing.kind, Kind::PhaseDraw) {
                prop_assert_eq!(design.name(*thing), Some(name.as_str()));
            }
            let drawn = design.drawn().any(|drawn| drawn.thing == *thing);
            if drawn && thing.kind != Kind::Converter {
                prop_assert_eq!(design.find_drawn(name), Some(*thing));
            }
        }
        // The check, the strings and the networks take whatever there is.
        let mut faults = 0_u32;
        design.check(&mut |_| faults += 1);
        let strings = design.strings(System::Traction);
        for group in 0..strings.group_count() {
            for charged in Charged::ALL {
                let _ = strings.group_voltage(&design, group, charged);
            }
        }
        let insulation = InsulationStudy::find(&design);
        for conductor in insulation.circuits() {
            prop_assert!(insulation.circuit(&design, conductor, None).is_some());
        }
        let mut workspace = Box::new(Workspace::new());
        for (phase, _) in design.all::<Phase>() {
            for system in [System::Traction, System::LowVoltage] {
                let case = Case {
                    system,
                    phase,
                    charged: Charged::Maximum,
                    resisting: Resisting::Highest,
                    heat: Heat::All(degc(20.0)),
                    supply: Supply::Converter,
                };
                if let Ok(circuit) = Circuit::build(&design, &case) {
                    let _ = workspace.solve(circuit.netlist());
                }
            }
        }
    }
}
