//! Tests of the design as a whole, on a small vehicle.

mod adding;
mod checking;
mod circuits;
mod random;

use std::boxed::Box;

use super::*;
use crate::insulation::Domain;
use crate::quantity::{
    Charge, ConductorArea, Current, Length, Power, Resistance, Share, Temperature, Time, Voltage,
};
use crate::size::series::{self, MetricTable};
use crate::standard::metal::Metal;

/// A vehicle with one battery of 100 cells, two cables, a fuse, a contactor with
/// precharge, an inverter, and a converter with one lamp behind it.
pub(super) struct Small {
    pub(super) design: Box<Design>,
    pub(super) terminals: [TerminalId; 8],
    pub(super) battery: BatteryId,
    pub(super) cables: [ConductorId; 2],
    pub(super) fuse: FuseId,
    pub(super) main: ContactorId,
    pub(super) relay: ContactorId,
    pub(super) resistor: ResistorId,
    pub(super) inverter: LoadId,
    pub(super) lamp: LoadId,
    pub(super) converter: ConverterId,
    pub(super) drive: PhaseId,
    pub(super) precharge: PhaseId,
}

pub(super) fn volts(value: f32) -> Voltage {
    Voltage::from_volts(value).unwrap()
}

pub(super) fn ohms(value: f32) -> Resistance {
    Resistance::from_ohms(value).unwrap()
}

pub(super) fn amperes(value: f32) -> Current {
    Current::from_amperes(value).unwrap()
}

pub(super) fn degc(value: f32) -> Temperature {
    Temperature::from_degc(value).unwrap()
}

pub(super) fn share(value: f32) -> Share {
    Share::from_fraction(value).unwrap()
}

pub(super) fn cell() -> Cell {
    Cell {
        minimum: Some(volts(3.0)),
        nominal: Some(volts(3.7)),
        maximum: Some(volts(4.2)),
        resistance: Some(ResistanceRange::Between {
            least: ohms(0.8e-3),
            most: ohms(1.2e-3),
        }),
        capacity: Some(Charge::from_ampere_hours(50.0).unwrap()),
        ..Cell::default()
    }
}

/// A 70 mm2 cable of 3 m; a fuse of 0.2 mohm, a contactor of 0.1 mohm, a precharge
/// resistor of 50 ohm +-10 %, a lamp of 60 W at 12 V behind a converter of 90 %.
#[allow(clippy::too_many_lines)] // one vehicle from end to end
pub(super) fn small() -> Small {
    let mut design = Box::new(Design::new(Domain::Road));
    let name = |design: &mut Design, text: &str| design.put_text(text).unwrap();
    let terminals = ["b-", "b+", "f", "k", "j+", "p", "l-", "l+"].map(|text| {
        let name = name(&mut design, text);
        design.add(Terminal::new(name)).unwrap()
    });
    let [
        minus,
        plus,
        fused,
        switched,
        bar,
        between,
        lv_minus,
        lv_plus,
    ] = terminals;
    let zone = name(&mut design, "engine room");
    let zone = Zone {
        air: Some(degc(60.0)),
        ..Zone::new(zone)
    };
    let zone = design.add(zone).unwrap();
    let cable = name(&mut design, "70 shielded");
    let section = ConductorArea::from_mm2(70.0).unwrap();
    let conductor =
        series::Conductor::metric(MetricTable::Iec60228Class5, Metal::Copper, section).unwrap();
    let cable = CableType {
        temperature_class: Some(degc(125.0)),
        ..CableType::new(cable, Metal::Copper, conductor)
    };
    let cable = design.add(cable).unwrap();
    let route = [RoutePiece {
        zone,
        length: Some(Length::from_metres(3.0).unwrap()),
        laid: Some(Laid::TouchingPair),
        circuits: Some(1),
    }];
    let cables = [("1+", [plus, fused]), ("1-", [minus, lv_minus])].map(|(circuit, ends)| {
        let circuit = name(&mut design, circuit);
        let route = design.add_route(&route).unwrap();
        let conductor = Conductor {
            cable: Some(cable),
            route,
            ..Conductor::new(circuit, ends)
        };
        design.add(conductor).unwrap()
    });
    // The second cable ends at the inverter's negative terminal, not at the lamp's.
    let return_end = name(&mut design, "j-");
    let return_end = design.add(Terminal::new(return_end)).unwrap();
    design.get_mut(cables[1]).unwrap().to = return_end;

    let battery = name(&mut design, "B1");
    let battery = Battery {
        links: Resistance::from_ohms(0.0).ok(),
        ..Battery::new(battery, System::Traction, [minus, plus], [100, 1], cell())
    };
    let battery = design.add(battery).unwrap();
    let part = name(&mut design, "350 A");
    let part = FuseType {
        resistance: Some(ohms(0.2e-3)),
        ..FuseType::new(part)
    };
    let part = design.add(part).unwrap();
    let fuse = name(&mut design, "F1");
    let fuse = Fuse {
        part: Some(part),
        ..Fuse::new(fuse, [fused, switched])
    };
    let fuse = design.add(fuse).unwrap();
    let part = name(&mut design, "300 A");
    let part = ContactorType {
        resistance: Some(ohms(0.1e-3)),
        ..ContactorType::new(part)
    };
    let part = design.add(part).unwrap();
    let [main, relay] = [("K1", bar), ("K2", between)].map(|(text, to)| {
        let name = name(&mut design, text);
        let contactor = Contactor {
            part: Some(part),
            ..Contactor::new(name, [switched, to])
        };
        design.add(contactor).unwrap()
    });
    let part = name(&mut design, "50 ohm");
    let part = ResistorType {
        resistance: Some(ohms(50.0)),
        tolerance: Some(share(0.1)),
        ..ResistorType::new(part)
    };
    let part = design.add(part).unwrap();
    let resistor = name(&mut design, "R1");
    let resistor = Resistor {
        part: Some(part),
        ..Resistor::new(resistor, Purpose::Precharge, [between, bar])
    };
    let resistor = design.add(resistor).unwrap();
    let inverter = name(&mut design, "inverter");
    let inverter = Load {
        idle: Some(Draw::Power(Power::from_watts(20.0).unwrap())),
        ..Load::new(inverter, Role::Drive, [bar, return_end])
    };
    let inverter = design.add(inverter).unwrap();
    let input = name(&mut design, "converter in");
    let input = Load::new(input, Role::Consumer, [bar, return_end]);
    let input = design.add(input).unwrap();
    let converter = name(&mut design, "converter");
    let converter = Converter {
        output: Some(volts(12.0)),
        efficiency: Some(share(0.9)),
        ..Converter::new(converter, input, [lv_minus, lv_plus])
    };
    let converter = design.add(converter).unwrap();
    let lamp = name(&mut design, "lamp");
    let lamp = Load {
        rated: Some(Draw::Current(amperes(5.0))),
        duty_share: Some(share(1.0)),
        ..Load::new(lamp, Role::Consumer, [lv_plus, lv_minus])
    };
    let lamp = design.add(lamp).unwrap();
    let [drive, precharge] = [("drive", main), ("precharge", relay)].map(|(text, closed)| {
        let name = name(&mut design, text);
        let phase = Phase {
            duration: Some(Time::from_seconds(10.0).unwrap()),
            closed: Set::EMPTY.with(closed),
            ..Phase::new(name)
        };
        design.add(phase).unwrap()
    });
    let draw = PhaseDraw {
        phase: drive,
        load: inverter,
        draw: Draw::Current(amperes(200.0)),
    };
    design.add(draw).unwrap();
    let mut vehicle = design.vehicle;
    vehicle.altitude = Some(crate::quantity::Altitude::from_metres(1000.0).unwrap());
    vehicle.revision = Some(name(&mut design, "A"));
    design.vehicle = vehicle;
    Small {
        design,
        terminals,
        battery,
        cables,
        fuse,
        main,
        relay,
        resistor,
        inverter,
        lamp,
        converter,
        drive,
        precharge,
    }
}
