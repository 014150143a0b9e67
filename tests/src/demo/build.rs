//! Builds a design from names, as a reader of files does.

use orangeloom_core::conductor::installation::InTube;
use orangeloom_core::design::{
    Arrow, Battery, CableType, Cell, Conductor, Contactor, ContactorType, Converter, Design, Draw,
    Duty, Enclosure, Entry, Fuse, FuseType, Laid, Load, Phase, PhaseDraw, Purpose, ResistanceRange,
    Resistor, ResistorType, Role, RoutePiece, ServiceDisconnect, System, Terminal, TerminalId,
    TextId, Zone,
};
use orangeloom_core::insulation::Domain;
use orangeloom_core::quantity::{
    Altitude, Capacitance, Charge, ConductorArea, Current, Length, Power, Resistance, Share,
    Temperature, Time, Voltage,
};
use orangeloom_core::size::series::{Conductor as Section, MetricTable};
use orangeloom_core::standard::metal::Metal;

/// A design while it is built. Every method panics on a name that is missing or
/// taken: a demonstration that does not fit together is a mistake in the test.
pub struct Build {
    /// The design so far.
    pub design: Box<Design>,
}

/// A piece of a route: zone, metres, installation.
pub(super) type Piece<'a> = (&'a str, f32, Laid);

/// In a sleeve of unknown size, both conductors together.
pub(super) const SLEEVE: Laid = Laid::InTube(InTube::Pair, None);

/// What a load is beside its draw.
#[derive(Clone, Copy, Default)]
pub(super) struct Inside {
    /// Capacitance between its terminals, uF.
    pub(super) link_uf: Option<f32>,
    /// Capacitance of each terminal to chassis, uF.
    pub(super) y_uf: Option<f32>,
    /// Idle current, A.
    pub(super) idle_a: Option<f32>,
}

impl Build {
    /// Starts a vehicle.
    pub(super) fn new(name: &str, domain: Domain, altitude: f32) -> Self {
        let mut build = Self {
            design: Box::new(Design::new(domain)),
        };
        build.design.vehicle.name = Some(build.text(name));
        build.design.vehicle.revision = Some(build.text("A"));
        build.design.vehicle.altitude = Some(Altitude::from_metres(altitude).unwrap());
        build
    }

    /// The number of a text.
    pub(super) fn text(&mut self, text: &str) -> TextId {
        self.design.put_text(text).unwrap()
    }

    /// The number of an entry that is there.
    ///
    /// # Panics
    /// When there is none of this name.
    pub fn id<E: Entry>(&self, name: &str) -> E::Id {
        let found = self.design.find::<E>(name);
        found.unwrap_or_else(|| panic!("there is no {name}"))
    }

    /// A terminal, made when it is named first.
    pub(super) fn terminal(&mut self, name: &str) -> TerminalId {
        if let Some(id) = self.design.find::<Terminal>(name) {
            return id;
        }
        let name = self.text(name);
        self.design.add(Terminal::new(name)).unwrap()
    }

    fn ends(&mut self, ends: [&str; 2]) -> [TerminalId; 2] {
        ends.map(|end| self.terminal(end))
    }

    /// A zone with its hottest air.
    pub(super) fn zone(&mut self, name: &str, degc: f32) {
        let name = self.text(name);
        let zone = Zone {
            air: Some(Temperature::from_degc(degc).unwrap()),
            ..Zone::new(name)
        };
        self.design.add(zone).unwrap();
    }

    /// A box in a zone.
    pub(super) fn enclosure(&mut self, name: &str, zone: &str) {
        let zone = self.id::<Zone>(zone);
        let name = self.text(name);
        let enclosure = Enclosure {
            zone: Some(zone),
            metal: Some(true),
            ..Enclosure::new(name)
        };
        self.design.add(enclosure).unwrap();
    }

    /// A shielded copper cable by outer diameter, mm, and temperature class, degC.
    pub(super) fn cable(&mut self, name: &str, section: Section, outer: f32, class: f32) {
        let name = self.text(name);
        let cable = CableType {
            shielded: Some(true),
            outer_diameter: Some(Length::from_mm(outer).unwrap()),
            temperature_class: Some(Temperature::from_degc(class).unwrap()),
            ..CableType::new(name, Metal::Copper, section)
        };
        self.design.add(cable).unwrap();
    }

    /// A conductor.
    pub(super) fn conductor(
        &mut self,
        circuit: &str,
        ends: [&str; 2],
        cable: &str,
        route: &[Piece<'_>],
    ) {
        let pieces: Vec<_> = route
            .iter()
            .map(|(zone, metres, laid)| RoutePiece {
                zone: self.id::<Zone>(zone),
                length: Some(Length::from_metres(*metres).unwrap()),
                laid: Some(*laid),
                circuits: Some(1),
            })
            .collect();
        let route = self.design.add_route(&pieces).unwrap();
        let conductor = Conductor {
            cable: Some(self.id::<CableType>(cable)),
            route,
            ..Conductor::new(self.text(circuit), self.ends(ends))
        };
        self.design.add(conductor).unwrap();
    }

    /// Outgoing and return conductor of a circuit: `05+` and `05-`.
    pub(super) fn pair(
        &mut self,
        circuit: &str,
        [plus, minus]: [[&str; 2]; 2],
        cable: &str,
        route: &[Piece<'_>],
    ) {
        self.conductor(&format!("{circuit}+"), plus, cable, route);
        self.conductor(&format!("{circuit}-"), minus, cable, route);
    }

    /// A battery.
    pub(super) fn battery(
        &mut self,
        name: &str,
        system: System,
        ends: [&str; 2],
        cells: [u16; 2],
        cell: Cell,
        links: f32,
    ) {
        let enclosure = self.design.find::<Enclosure>(name);
        let battery = Battery {
            enclosure,
            links: Some(Resistance::from_ohms(links).unwrap()),
            ..Battery::new(self.text(name), system, self.ends(ends), cells, cell)
        };
        self.design.add(battery).unwrap();
    }

    /// A fuse type by rated current and direct voltage.
    pub(super) fn fuse_type(&mut self, name: &str, amperes: f32, volts: f32) -> &mut FuseType {
        let name = self.text(name);
        let part = FuseType {
            rated: Some(Current::from_amperes(amperes).unwrap()),
            voltage: Some(Voltage::from_volts(volts).unwrap()),
            ..FuseType::new(name)
        };
        let id = self.design.add(part).unwrap();
        self.design.get_mut(id).unwrap()
    }

    /// A fuse.
    pub(super) fn fuse(&mut self, name: &str, ends: [&str; 2], part: &str) {
        let fuse = Fuse {
            part: Some(self.id::<FuseType>(part)),
            ..Fuse::new(self.text(name), self.ends(ends))
        };
        self.design.add(fuse).unwrap();
    }

    /// A contactor type of which only the name is known.
    pub(super) fn contactor_type(&mut self, name: &str) -> &mut ContactorType {
        let name = self.text(name);
        let id = self.design.add(ContactorType::new(name)).unwrap();
        self.design.get_mut(id).unwrap()
    }

    /// A contactor whose arrow points from its first terminal to its second.
    pub(super) fn contactor(&mut self, name: &str, ends: [&str; 2], part: &str) {
        let contactor = Contactor {
            part: Some(self.id::<ContactorType>(part)),
            arrow: Some(Arrow::Along),
            ..Contactor::new(self.text(name), self.ends(ends))
        };
        self.design.add(contactor).unwrap();
    }

    /// A service disconnect.
    pub(super) fn service_disconnect(&mut self, name: &str, ends: [&str; 2]) {
        let disconnect = ServiceDisconnect::new(self.text(name), self.ends(ends));
        self.design.add(disconnect).unwrap();
    }

    /// A resistor with a type of its own.
    pub(super) fn resistor(&mut self, name: &str, purpose: Purpose, ends: [&str; 2], ohms: f32) {
        let text = self.text(name);
        let part = ResistorType {
            resistance: Some(Resistance::from_ohms(ohms).unwrap()),
            ..ResistorType::new(text)
        };
        let resistor = Resistor {
            part: Some(self.design.add(part).unwrap()),
            ..Resistor::new(text, purpose, self.ends(ends))
        };
        self.design.add(resistor).unwrap();
    }

    /// A load.
    pub(super) fn load(&mut self, name: &str, role: Role, ends: [&str; 2], inside: Inside) {
        let farads = |uf: f32| Capacitance::from_farads(uf * 1e-6).unwrap();
        let idle = inside.idle_a.unwrap_or(0.0);
        let load = Load {
            idle: Some(Draw::Current(Current::from_amperes(idle).unwrap())),
            link: inside.link_uf.map(farads),
            y_positive: inside.y_uf.map(farads),
            y_negative: inside.y_uf.map(farads),
            ..Load::new(self.text(name), role, self.ends(ends))
        };
        self.design.add(load).unwrap();
    }

    /// A converter, output at `volts`, whose input load is there already.
    pub(super) fn converter(
        &mut self,
        name: &str,
        input: &str,
        output: [&str; 2],
        volts: f32,
        amperes: f32,
    ) {
        let input = self.id::<Load>(input);
        let converter = Converter {
            output: Some(Voltage::from_volts(volts).unwrap()),
            rated: Some(Current::from_amperes(amperes).unwrap()),
            efficiency: Some(Share::from_fraction(0.92).unwrap()),
            ..Converter::new(self.text(name), input, self.ends(output))
        };
        self.design.add(converter).unwrap();
    }

    /// A low-voltage consumer with its fuse and conductor: amperes while it works,
    /// share of the time that it does.
    pub(super) fn consumer(
        &mut self,
        name: &str,
        [bus, back]: [&str; 2],
        amperes: f32,
        share: f32,
        cable: &str,
        piece: Piece<'_>,
    ) {
        let fused = format!("{name} fused");
        let pin = format!("{name} pin");
        self.fuse(&format!("F {name}"), [bus, &fused], "blade");
        self.conductor(&format!("L {name}"), [&fused, &pin], cable, &[piece]);
        let load = Load {
            rated: Some(Draw::Current(Current::from_amperes(amperes).unwrap())),
            duty_share: Some(Share::from_fraction(share).unwrap()),
            ..Load::new(self.text(name), Role::Consumer, self.ends([&pin, back]))
        };
        self.design.add(load).unwrap();
    }

    /// A phase: seconds, closed contactors, draws.
    pub(super) fn phase(
        &mut self,
        name: &str,
        seconds: f32,
        closed: &[&str],
        draws: &[(&str, Draw)],
    ) {
        let phase = Phase {
            duration: Some(Time::from_seconds(seconds).unwrap()),
            closed: closed.iter().map(|k| self.id::<Contactor>(k)).collect(),
            ..Phase::new(self.text(name))
        };
        let phase = self.design.add(phase).unwrap();
        for (load, draw) in draws {
            let load = self.id::<Load>(load);
            self.design
                .add(PhaseDraw {
                    phase,
                    load,
                    draw: *draw,
                })
                .unwrap();
        }
    }

    /// A duty of phases.
    pub(super) fn duty(&mut self, name: &str, phases: &[&str]) {
        let mut duty = Duty::new(self.text(name));
        for phase in phases {
            duty.phases.push(self.id::<Phase>(phase)).unwrap();
        }
        self.design.add(duty).unwrap();
    }
}

/// A cell of three voltages, ampere-hours and milliohms.
pub(super) fn cell(
    [minimum, nominal, maximum]: [f32; 3],
    ampere_hours: f32,
    milliohms: f32,
) -> Cell {
    let volts = |value| Some(Voltage::from_volts(value).unwrap());
    Cell {
        minimum: volts(minimum),
        nominal: volts(nominal),
        maximum: volts(maximum),
        resistance: Some(ResistanceRange::About {
            value: Resistance::from_ohms(milliohms * 1e-3).unwrap(),
            spread: Share::from_fraction(0.0).unwrap(),
        }),
        capacity: Some(Charge::from_ampere_hours(ampere_hours).unwrap()),
        ..Cell::default()
    }
}

/// Copper of IEC 60228 class 5.
pub(super) fn mm2(section: f32) -> Section {
    let section = ConductorArea::from_mm2(section).unwrap();
    Section::metric(MetricTable::Iec60228Class5, Metal::Copper, section).unwrap()
}

/// A constant current.
pub(super) fn amperes(value: f32) -> Draw {
    Draw::Current(Current::from_amperes(value).unwrap())
}

/// A constant power.
pub(super) fn watts(value: f32) -> Draw {
    Draw::Power(Power::from_watts(value).unwrap())
}
