//! What a builder describes: one battery, one pair of cables, a contactor with
//! precharge, a drive, a converter with one lamp.

use core::cell::RefCell;

use orangeloom_core::design::{
    Attestation, Battery, BatteryString, CableType, Case, Cell, Charged, Circuit, Conductor,
    ConductorId, Contactor, ContactorId, ContactorType, Converter, CurvePoint, Date, Design, Draw,
    Duty, DutyId, Enclosure, End, Fault, Fuse, FuseType, Gap, GlandType, Heat, Kind, Laid, Load,
    LoadId, LugType, Measured, Moment, Phase, PhaseDraw, PhaseId, Purpose, Reading,
    ResistanceRange, Resisting, Resistor, ResistorType, Role, Route, RoutePiece, ServiceDisconnect,
    Set, Signature, Spacing, Strings, Supply, System, Systems, Terminal, Thing, TimeOfDay,
    Utilisation, Vehicle, WhichEnd, Zone,
};
use orangeloom_core::error::Error;
use orangeloom_core::insulation::Domain;
use orangeloom_core::quantity::{
    Altitude, Charge, ConductorArea, Current, Length, Mass, Power, Resistance, Share, Temperature,
    Time, Voltage,
};
use orangeloom_core::size::series::{self, MetricTable};
use orangeloom_core::standard::metal::Metal;

use super::{Visit, accepted};

const SECTION: ConductorArea = accepted(ConductorArea::from_mm2(70.0));
const METRES: Length = accepted(Length::from_metres(3.0));
const WARM: Temperature = accepted(Temperature::from_degc(60.0));
const MILLIOHM: Resistance = accepted(Resistance::from_ohms(1.0e-3));
const SECONDS: Time = accepted(Time::from_seconds(10.0));
const HALF: Share = accepted(Share::from_fraction(0.5));
const DRAW: Draw = Draw::Current(accepted(Current::from_amperes(200.0)));
const RANGE: ResistanceRange = ResistanceRange::About {
    value: MILLIOHM,
    spread: HALF,
};
const CURVE: [CurvePoint; 2] = [
    CurvePoint {
        time: SECONDS,
        current: accepted(Current::from_amperes(1000.0)),
    },
    CurvePoint {
        time: accepted(Time::from_seconds(100.0)),
        current: accepted(Current::from_amperes(600.0)),
    },
];
const CELL: Cell = Cell {
    minimum: Some(accepted(Voltage::from_volts(3.0))),
    nominal: Some(accepted(Voltage::from_volts(3.7))),
    maximum: Some(accepted(Voltage::from_volts(4.2))),
    resistance: Some(RANGE),
    capacity: Some(accepted(Charge::from_ampere_hours(50.0))),
    mass: Some(accepted(Mass::from_kg(1.0))),
    discharge_limit: Some(accepted(Current::from_amperes(300.0))),
    charge_limit: Some(accepted(Current::from_amperes(100.0))),
};

/// A design and the numbers that calls need.
pub(super) struct Scene {
    pub(super) design: Design,
    pub(super) conductor: ConductorId,
    contactor: ContactorId,
    drive: LoadId,
    pub(super) phase: PhaseId,
    pub(super) duty: DutyId,
    thing: Thing,
}

fn terminal(design: &mut Design, name: &str) -> Result<orangeloom_core::design::TerminalId, Error> {
    let name = design.put_text(name)?;
    design.add(Terminal::new(name))
}

fn route(design: &mut Design) -> Result<Route, Error> {
    let name = design.put_text("sill")?;
    let zone = match design.find::<Zone>("sill") {
        Some(zone) => zone,
        None => design.add(Zone {
            air: Some(WARM),
            ..Zone::new(name)
        })?,
    };
    design.add_route(&[RoutePiece {
        zone,
        length: Some(METRES),
        laid: Some(Laid::TouchingPair),
        circuits: Some(1),
    }])
}

fn cable(design: &mut Design) -> Result<CableType, Error> {
    let name = design.put_text("70")?;
    let table = MetricTable::Iec60228Class5;
    let conductor = series::Conductor::metric(table, Metal::Copper, SECTION)?;
    Ok(CableType {
        outer_diameter: Some(accepted(Length::from_mm(19.0))),
        temperature_class: Some(accepted(Temperature::from_degc(125.0))),
        ..CableType::new(name, Metal::Copper, conductor)
    })
}

pub(super) fn scene() -> Result<Scene, Error> {
    let mut design = Design::new(Domain::Road);
    design.vehicle = Vehicle {
        altitude: Some(accepted(Altitude::from_metres(1000.0))),
        ..Vehicle::new(Domain::Farm)
    };
    let minus = terminal(&mut design, "b-")?;
    let plus = terminal(&mut design, "b+")?;
    let fused = terminal(&mut design, "f")?;
    let bar = terminal(&mut design, "j+")?;
    let between = terminal(&mut design, "p")?;
    let lv_minus = terminal(&mut design, "l-")?;
    let lv_plus = terminal(&mut design, "l+")?;
    let name = design.put_text("B1")?;
    design.add(Battery {
        links: Some(MILLIOHM),
        ..Battery::new(name, System::Traction, [minus, plus], [96, 2], CELL)
    })?;
    let part = cable(&mut design)?;
    let part = design.add(part)?;
    let run = route(&mut design)?;
    let name = design.put_text("01+")?;
    let conductor = design.add(Conductor {
        cable: Some(part),
        route: run,
        ends: [End {
            joint: Some(MILLIOHM),
            ..End::default()
        }; 2],
        ..Conductor::new(name, [plus, fused])
    })?;
    let name = design.put_text("350")?;
    let mut part = FuseType::new(name);
    let full = Error::Full(Kind::FuseType);
    for point in CURVE {
        part.curve.push(point).map_err(|_| full)?;
    }
    let part = design.add(part)?;
    let name = design.put_text("F1")?;
    design.add(Fuse {
        part: Some(part),
        ..Fuse::new(name, [fused, between])
    })?;
    let name = design.put_text("K1")?;
    let contactor = design.add(Contactor::new(name, [between, bar]))?;
    let name = design.put_text("47 ohm")?;
    let part = design.add(ResistorType {
        resistance: Some(accepted(Resistance::from_ohms(47.0))),
        tolerance: Some(HALF),
        ..ResistorType::new(name)
    })?;
    let name = design.put_text("R1")?;
    design.add(Resistor {
        part: Some(part),
        ..Resistor::new(name, Purpose::Precharge, [between, bar])
    })?;
    let name = design.put_text("drive")?;
    let drive = design.add(Load::new(name, Role::Drive, [bar, minus]))?;
    let name = design.put_text("converter in")?;
    let input = design.add(Load::new(name, Role::Consumer, [bar, minus]))?;
    let name = design.put_text("converter")?;
    design.add(Converter {
        output: Some(accepted(Voltage::from_volts(13.8))),
        efficiency: Some(HALF),
        ..Converter::new(name, input, [lv_minus, lv_plus])
    })?;
    let name = design.put_text("lamp")?;
    design.add(Load {
        rated: Some(DRAW),
        duty_share: Some(HALF),
        ..Load::new(name, Role::Consumer, [lv_plus, lv_minus])
    })?;
    let phase = Phase {
        duration: Some(SECONDS),
        closed: Set::EMPTY.with(contactor),
        ..Phase::new(name)
    };
    let phase = design.add(phase)?;
    design.add(PhaseDraw {
        phase,
        load: drive,
        draw: DRAW,
    })?;
    let mut duty = Duty::new(name);
    let full = Error::Full(Kind::Duty);
    duty.phases.push(phase).map_err(|_| full)?;
    let duty = design.add(duty)?;
    Ok(Scene {
        design,
        conductor,
        contactor,
        drive,
        phase,
        duty,
        thing: conductor.into(),
    })
}

fn rest(design: &mut Design) -> Result<(), Error> {
    let name = design.put_text("rest")?;
    let end = terminal(design, "rest")?;
    let enclosure = design.add(Enclosure::new(name))?;
    design.add(ServiceDisconnect::new(name, [end, end]))?;
    design.add(ContactorType::new(name))?;
    design.add(LugType::new(name))?;
    design.add(GlandType::new(name))?;
    design.add(Duty::new(name))?;
    design.add(Spacing::new(name, enclosure))?;
    let signature = design.add_signature(Signature {
        date: Some(Date::new(2025, 6, 1)?),
        ..Signature::default()
    })?;
    design.add(Reading {
        at: Thing::VEHICLE,
        end: Some(WhichEnd::From),
        measured: Measured::Joint(MILLIOHM),
        signature: Some(signature),
    })?;
    design.add(Attestation {
        rule: name,
        about: Thing::VEHICLE,
        holds: true,
        photo: None,
        signature: Some(signature),
    })?;
    Ok(())
}

/// Calls of `design`.
pub fn all(visit: &mut impl Visit) {
    visit.call("design/build", (), |()| scene().map(|scene| scene.thing));
    visit.brief(RefCell::new(Design::new(Domain::Rail)), |design| {
        let mut design = design.try_borrow_mut().ok()?;
        Some(rest(&mut design))
    });
    entries(visit);
    if let Some(scene) = visit.given("design/build", scene()) {
        visit.call("design/check", scene, |scene| {
            let mut gaps = 0_u16;
            scene.design.check(&mut |finding| {
                gaps = gaps.wrapping_add(u16::from(finding.fault.is_gap()));
            });
            (gaps, Fault::Missing(Gap::Air).is_gap())
        });
    }
    if let Some(scene) = visit.given("design/build", scene()) {
        visit.call("design/circuit", scene, |scene| circuit(scene).ok());
    }
    if let Some(scene) = visit.given("design/build", scene()) {
        visit.call("design/strings", scene, |scene| {
            let strings = scene.design.strings(System::Traction);
            (
                of_group(&scene.design, &strings),
                of_string(&scene.design, &strings),
            )
        });
    }
    if let Some(scene) = visit.given("design/build", scene()) {
        visit.brief(RefCell::new(scene), |scene| {
            let mut scene = scene.try_borrow_mut().ok()?;
            Some(lookup(&mut scene))
        });
    }
}

fn entries(visit: &mut impl Visit) {
    visit.brief((CELL, Charged::Nominal), |(cell, charged)| {
        cell.voltage(*charged)
    });
    visit.brief(RANGE, |range| (range.least(), range.most()));
    visit.brief((DRAW, HALF), |(draw, share)| {
        (draw.is_nothing(), draw.delivers(), draw.part_time(*share))
    });
    visit.brief(Utilisation::Ar, |utilisation| utilisation.full_range());
    visit.brief((2025, 6, 1), |(year, month, day)| {
        Date::new(*year, *month, *day).map(Date::parts)
    });
    visit.brief((14, 30), |(hour, minute)| {
        TimeOfDay::new(*hour, *minute).map(TimeOfDay::parts)
    });
    visit.brief([Moment::default(); 2], |[one, other]| {
        let later = [
            Moment::is_after(*one, *other),
            Moment::outdates(*one, *other, true),
        ];
        later.map(u8::from)
    });
    visit.brief(Kind::Fuse, |kind| kind.most());
    if let Some(scene) = visit.given("design/build", scene()) {
        visit.brief(scene, |scene| Design::moment(&scene.design, None).date);
    }
    if let Some(scene) = visit.given("design/build", scene()) {
        visit.brief((Set::<ContactorId>::EMPTY, scene.contactor), |(set, id)| {
            let mut set = *set;
            set.insert(*id);
            let had = (
                set.contains(*id),
                set.is_empty(),
                set.len(),
                set.iter().count(),
            );
            set.remove(*id);
            (had, set.with(*id))
        });
        let mut design = scene.design;
        let part = cable(&mut design);
        if let Some(part) = visit.given("design/cable", part) {
            visit.call("design/cable", part, |part| part.cable());
            visit.brief((part, WARM), |(part, warm)| {
                let cold = part.resistance_20(Resisting::Lowest);
                (cold, part.resistance_at(Resisting::Highest, *warm))
            });
        }
    }
}

fn of_group(design: &Design, strings: &Strings) -> Result<(f32, usize, u8), Error> {
    let volts = strings.group_voltage(design, 0, Charged::Maximum)?;
    let ohms = strings.group_resistance(design, 0, Resisting::Highest)?;
    let highest = strings.highest_voltage(design)?;
    let sum = volts.map_or(0.0, f32::from) + ohms.map_or(0.0, f32::from);
    let count = strings.group(0).count();
    Ok((
        sum + highest.map_or(0.0, f32::from),
        count,
        strings.group_count(),
    ))
}

fn of_string(design: &Design, strings: &Strings) -> Result<f32, Error> {
    let mut sum = 0.0;
    for string in &strings.strings {
        let string: &BatteryString = string;
        sum += string
            .voltage(design, Charged::Nominal)?
            .map_or(0.0, f32::from);
        sum += string
            .resistance(design, Resisting::Lowest)?
            .map_or(0.0, f32::from);
        sum += string.capacity(design)?.map_or(0.0, f32::from);
        sum += string.energy(design)?.map_or(0.0, f32::from);
        sum += string.cell_mass(design)?.map_or(0.0, f32::from);
        sum += string.current_limit(design, true)?.map_or(0.0, f32::from);
    }
    for (_, battery) in design.all::<Battery>() {
        sum += battery.voltage(Charged::Minimum)?.map_or(0.0, f32::from);
        sum += battery
            .resistance(Resisting::Highest)?
            .map_or(0.0, f32::from);
        sum += battery.capacity()?.map_or(0.0, f32::from);
        sum += battery.energy()?.map_or(0.0, f32::from);
        sum += battery.cell_mass()?.map_or(0.0, f32::from);
        sum += battery.current_limit(false)?.map_or(0.0, f32::from);
    }
    Ok(sum)
}

fn circuit(scene: &Scene) -> Result<(usize, usize, bool), Error> {
    let case = Case {
        system: System::Traction,
        phase: scene.phase,
        charged: Charged::Nominal,
        resisting: Resisting::Highest,
        heat: Heat::All(WARM),
        supply: Supply::Converter,
    };
    let circuit = Circuit::build(&scene.design, &case)?;
    let branch = circuit.branch(scene.conductor);
    let thing = branch.and_then(|branch| circuit.thing(branch));
    let conductor = scene.design.get(scene.conductor);
    let node = conductor.and_then(|conductor| circuit.node(conductor.to));
    let back = node.and_then(|node| circuit.terminal(node));
    let same = thing == Some(scene.thing) && back == conductor.map(|conductor| conductor.to);
    let guessed = circuit.guesses().len() + circuit.guess_count();
    let size = circuit.netlist().node_count() + circuit.unfed().len();
    Ok((guessed, size, same))
}

fn lookup(scene: &mut Scene) -> Result<(f32, usize, bool), Error> {
    let design = &mut scene.design;
    let systems: Systems = design.systems();
    let demand = design.demand(scene.phase, scene.drive, &systems)?;
    let mut sum = 0.0;
    let mut count = design.drawn().count() + design.count(Kind::Terminal);
    let mut known = design.find_drawn("F1").is_some();
    for (_, conductor) in design.all::<Conductor>() {
        sum += design.length(conductor)?.map_or(0.0, f32::from);
        let ohms = design.conductor_resistance(conductor, Resisting::Highest, WARM)?;
        sum += ohms.map_or(0.0, f32::from);
        count += conductor.route.piece_count();
        count += conductor.route.turned_round().piece_count();
        for piece in conductor.route.pieces() {
            if let Some(piece) = design.get(piece) {
                known &= piece.routing(design).is_ok();
            }
        }
        known &= systems.of(conductor.from) == Some(System::Traction);
        known |= systems.meet(conductor.to)
            | systems.is_high(conductor.from)
            | systems.together(conductor.from, conductor.to);
        known &= design.text(conductor.circuit).is_some();
    }
    known &= design.name(scene.thing).is_some();
    for (_, part) in design.all::<ResistorType>() {
        let ohms = part.resistance_at(Resisting::Lowest)?;
        sum += ohms.map_or(0.0, f32::from);
    }
    if let Some(contactor) = design.get_mut(scene.contactor) {
        contactor.coil = None;
    }
    let watts = Power::from_watts(sum)?;
    known |= demand == orangeloom_core::design::Demand::Draws(Draw::Power(watts));
    Ok((sum, count, known))
}
