//! Inputs of a design that a builder can move, and how. On the host only: a controller
//! mends nothing.

#![cfg(feature = "text")]

use super::aspect::Unit;
use crate::design::{
    Battery, BatteryId, CableType, CableTypeId, Conductor, ConductorId, ContactorId,
    ContactorTypeId, Controller, ConverterId, Design, Enclosure, EnclosureId, FuseTypeId,
    GlandTypeId, Index, Load, LoadId, LugTypeId, ResistorId, ResistorTypeId, RoutePieceId,
    ServiceDisconnectId, SpacingId, System, Thing, ZoneId,
};
use crate::insulation::MonitorRange;
use crate::protection::of_series;
use crate::quantity::{
    Altitude, Capacitance, Charge, ConductorArea, Current, CurrentSquaredTime, Energy, Length,
    Power, Resistance, Temperature, Time, Voltage,
};
use crate::shield::braid;
use crate::size::series::Conductor as Section;

macro_rules! inputs {
    (
        $( $(#[$doc:meta])* $name:ident: $unit:ident, $words:literal, $of:ty, $($field:ident).+, $make:path, $take:path; )*
        // Of what a vehicle has once: where it is found, and where it is changed.
        @once
        $( $(#[$doc1:meta])* $name1:ident: $unit1:ident, $words1:literal, $get1:ident, $get_mut1:ident, $field1:ident, $make1:path, $take1:path; )*
    ) => {
        worded! {
            /// What can be moved at a thing.
            #[non_exhaustive]
            Input {
                $( $(#[$doc])* $name: $words; )*
                $( $(#[$doc1])* $name1: $words1; )*
                /// Breaking current of a contactor type in both directions.
                BreakingCurrent: "breaking current in both directions";
                /// Capacity of all low-voltage batteries.
                LowVoltageCapacity: "capacity of the low-voltage battery";
                /// Lasting discharge current of a cell; raised in every box that allows less.
                CellDischarge: "discharge current of a cell, here and in each box that allows less";
                /// Lasting charge current of a cell; raised in every box that allows less.
                CellCharge: "charge current of a cell, here and in each box that allows less";
                /// Length of the route of a conductor in one piece.
                RouteLength: "length";
                /// Section of a bond strap.
                BondSection: "section of the bond strap";
                /// Section of all strands of the shield of a type of cable: the same braid
                /// on another scale.
                ShieldSection: "section of all strands of the shield";
                /// Rated current within the series of a type of fuse: curve and joule
                /// integrals go with it.
                FuseSeries: "rated current in the same series";
                /// Waiting time on the label of a box; one that is raised is raised on every
                /// box that says less.
                LabelWait: "wait on this label and on each that says less";
                /// Section of a conductor, or of the conductors that end at a load.
                Section: "section";
            }
        }

        impl Input {
            /// Its unit.
            pub const fn unit(self) -> Unit {
                match self {
                    $( Self::$name => Unit::$unit, )*
                    $( Self::$name1 => Unit::$unit1, )*
                    Self::BreakingCurrent => Unit::Ampere,
                    Self::LowVoltageCapacity => Unit::AmpereHour,
                    Self::FuseSeries | Self::CellDischarge | Self::CellCharge => Unit::Ampere,
                    Self::RouteLength => Unit::Metre,
                    Self::BondSection | Self::ShieldSection => Unit::Mm2,
                    Self::LabelWait => Unit::Second,
                    Self::Section => Unit::Mm2,
                }
            }

            /// What is stated; `None` where nothing is.
            pub fn stated(self, design: &Design, thing: Thing) -> Option<f32> {
                match self {
                    $( Self::$name => design.get(thing.id::<$of>()?)?.$($field).+.map($take), )*
                    $( Self::$name1 => $get1(design)?.$field1.map($take1), )*
                    Self::BreakingCurrent => {
                        let part = design.get(thing.id::<ContactorTypeId>()?)?;
                        let (forward, reverse) = (part.break_forward?, part.break_reverse?);
                        Some(libm::fminf(forward.as_amperes(), reverse.as_amperes()))
                    }
                    Self::LowVoltageCapacity => {
                        let battery = design.get(low_voltage_battery(design)?)?;
                        battery.cell.capacity.map(Charge::as_ampere_hours)
                    }
                    Self::CellDischarge => {
                        let battery = design.get(thing.id::<BatteryId>()?)?;
                        battery.cell.discharge_limit.map(Current::as_amperes)
                    }
                    Self::CellCharge => {
                        let battery = design.get(thing.id::<BatteryId>()?)?;
                        battery.cell.charge_limit.map(Current::as_amperes)
                    }
                    Self::RouteLength => {
                        let piece = only_piece(design, thing)?;
                        design.get(piece)?.length.map(Length::as_metres)
                    }
                    Self::BondSection => {
                        let bond = design.get(thing.id::<EnclosureId>()?)?.bond?;
                        bond.section.map(ConductorArea::as_mm2)
                    }
                    Self::ShieldSection => {
                        let build = design.get(thing.id::<CableTypeId>()?)?.braid?;
                        Some(braid(&build).ok()?.strand_area.as_mm2())
                    }
                    Self::FuseSeries => Self::FuseRated.stated(design, thing),
                    Self::LabelWait => {
                        let enclosure = design.get(thing.id::<EnclosureId>()?)?;
                        enclosure.label_wait.map(Time::as_seconds)
                    }
                    Self::Section => {
                        let lead = design.get(first_lead(design, thing)?)?;
                        Some(design.get(lead.cable?)?.conductor.section.as_mm2())
                    }
                }
            }

            /// Sets it; `None` where the thing has no such input or refuses the value.
            pub(super) fn set(self, design: &mut Design, thing: Thing, value: f32) -> Option<()> {
                match self {
                    $( Self::$name => {
                        let made = $make(value).ok()?;
                        design.get_mut(thing.id::<$of>()?)?.$($field).+ = Some(made);
                    } )*
                    $( Self::$name1 => $get_mut1(design)?.$field1 = Some($make1(value).ok()?), )*
                    Self::BreakingCurrent => {
                        let made = Current::from_amperes(value).ok()?;
                        let part = design.get_mut(thing.id::<ContactorTypeId>()?)?;
                        for direction in [&mut part.break_forward, &mut part.break_reverse] {
                            if direction.is_some_and(|stated| stated < made) {
                                *direction = Some(made);
                            }
                        }
                    }
                    Self::LowVoltageCapacity => {
                        let made = Charge::from_ampere_hours(value).ok()?;
                        let battery = low_voltage_battery(design)?;
                        design.get_mut(battery)?.cell.capacity = Some(made);
                    }
                    Self::CellDischarge => {
                        let made = Current::from_amperes(value).ok()?;
                        cells(design, thing, made, |battery| &mut battery.cell.discharge_limit)?;
                    }
                    Self::CellCharge => {
                        let made = Current::from_amperes(value).ok()?;
                        cells(design, thing, made, |battery| &mut battery.cell.charge_limit)?;
                    }
                    Self::RouteLength => {
                        let made = Length::from_metres(value).ok()?;
                        let piece = only_piece(design, thing)?;
                        design.get_mut(piece)?.length = Some(made);
                    }
                    Self::BondSection => {
                        let section = ConductorArea::from_mm2(value).ok()?;
                        let bond = &mut design.get_mut(thing.id::<EnclosureId>()?)?.bond;
                        bond.as_mut()?.section = Some(section);
                    }
                    Self::ShieldSection => {
                        let now = self.stated(design, thing)?;
                        let cable = design.get_mut(thing.id::<CableTypeId>()?)?;
                        let scaled = cable.braid?.scaled(libm::sqrtf(value / now)).ok()?;
                        cable.braid = Some(scaled);
                    }
                    Self::LabelWait => {
                        let wait = Time::from_seconds(value).ok()?;
                        for position in 0..design.all::<Enclosure>().count() {
                            let other = design.get_mut(EnclosureId::at(position)?)?;
                            if other.label_wait.is_some_and(|says| says < wait) {
                                other.label_wait = Some(wait);
                            }
                        }
                        let own = design.get_mut(thing.id::<EnclosureId>()?)?;
                        own.label_wait = Some(wait);
                    }
                    Self::FuseSeries => {
                        let rated = Self::FuseRated.stated(design, thing)?;
                        let part = design.get_mut(thing.id::<FuseTypeId>()?)?;
                        *part = of_series(part, value / rated).ok()?;
                    }
                    Self::Section => return None,
                }
                Some(())
            }
        }
    };
}

inputs! {
    /// Rated voltage of a service disconnect.
    DisconnectVoltage: Volt, "rated direct voltage", ServiceDisconnectId, voltage, Voltage::from_volts, Voltage::as_volts;
    /// Lasting current of a service disconnect.
    DisconnectCarry: Ampere, "lasting current", ServiceDisconnectId, carry, Current::from_amperes, Current::as_amperes;
    /// Rated voltage of a type of resistor.
    ResistorVoltage: Volt, "highest voltage", ResistorTypeId, voltage, Voltage::from_volts, Voltage::as_volts;
    /// Lowest voltage of a load.
    LowestVoltage: Volt, "lowest voltage it works at", LoadId, lowest, Voltage::from_volts, Voltage::as_volts;
    /// Highest voltage of a load.
    HighestVoltage: Volt, "highest voltage it stands", LoadId, highest, Voltage::from_volts, Voltage::as_volts;
    /// Rated voltage of a type of fuse.
    FuseVoltage: Volt, "rated direct voltage", FuseTypeId, voltage, Voltage::from_volts, Voltage::as_volts;
    /// Rated current of a type of fuse.
    FuseRated: Ampere, "rated current", FuseTypeId, rated, Current::from_amperes, Current::as_amperes;
    /// Breaking capacity of a type of fuse.
    FuseBreaking: Ampere, "breaking capacity", FuseTypeId, breaking, Current::from_amperes, Current::as_amperes;
    /// Time constant that a type of fuse was tested with.
    FuseTimeConstant: Second, "L/R of its test", FuseTypeId, time_constant, Time::from_seconds, Time::as_seconds;
    /// Total I2t of a type of fuse.
    FuseTotal: A2s, "total I2t", FuseTypeId, total, CurrentSquaredTime::from_a2s, CurrentSquaredTime::as_a2s;
    /// Melting I2t of a type of fuse.
    FuseMelting: A2s, "melting I2t", FuseTypeId, melting, CurrentSquaredTime::from_a2s, CurrentSquaredTime::as_a2s;
    /// Peak that the closed contacts of a type of contactor stand.
    WithstandPeak: Ampere, "peak that its closed contacts stand", ContactorTypeId, withstand_peak, Current::from_amperes, Current::as_amperes;
    /// Joule integral that the closed contacts of a type of contactor stand.
    Withstand: A2s, "I2t that its closed contacts stand", ContactorTypeId, withstand, CurrentSquaredTime::from_a2s, CurrentSquaredTime::as_a2s;
    /// Resistance of a type of resistor.
    ResistorOhms: Ohm, "resistance", ResistorTypeId, resistance, Resistance::from_ohms, Resistance::as_ohms;
    /// Pulse energy of a type of resistor.
    ResistorPulse: Joule, "energy of one pulse", ResistorTypeId, pulse, Energy::from_joules, Energy::as_joules;
    /// Peak power of a type of resistor.
    ResistorPeakPower: Watt, "peak power", ResistorTypeId, peak_power, Power::from_watts, Power::as_watts;
    /// Lasting power of a type of resistor.
    ResistorPower: Watt, "lasting power", ResistorTypeId, power, Power::from_watts, Power::as_watts;
    /// Time-out of a resistor.
    TimeOut: Second, "time-out", ResistorId, time_out, Time::from_seconds, Time::as_seconds;
    /// What is left when a contactor closes past a resistor.
    ClosesWithin: Volt, "volts left when the contactor closes", ResistorId, closes_within, Voltage::from_volts, Voltage::as_volts;
    /// Resistance of the wires of a coil.
    CoilWire: Ohm, "resistance of the wires of its coil, both ways", ContactorId, coil_wire, Resistance::from_ohms, Resistance::as_ohms;
    /// Rated voltage of a type of contactor.
    ContactVoltage: Volt, "rated voltage of the contacts", ContactorTypeId, voltage, Voltage::from_volts, Voltage::as_volts;
    /// Altitude of a type of contactor.
    ContactAltitude: Metre, "highest place it may work at", ContactorTypeId, altitude, Altitude::from_metres, Altitude::as_metres;
    /// Breaking current of a type of contactor along its arrow.
    BreakForward: Ampere, "breaking current along its arrow", ContactorTypeId, break_forward, Current::from_amperes, Current::as_amperes;
    /// Breaking current of a type of contactor against its arrow.
    BreakReverse: Ampere, "breaking current against its arrow", ContactorTypeId, break_reverse, Current::from_amperes, Current::as_amperes;
    /// Lasting current of a type of contactor.
    ContactCarry: Ampere, "lasting current", ContactorTypeId, carry, Current::from_amperes, Current::as_amperes;
    /// Air that this current is rated in.
    ContactAir: DegC, "air that its lasting current holds for", ContactorTypeId, carry_air, Temperature::from_degc, Temperature::as_degc;
    /// Current of a converter.
    ConverterRated: Ampere, "rated output current", ConverterId, rated, Current::from_amperes, Current::as_amperes;
    /// Barrel of a lug.
    LugBarrel: Mm2, "section that its barrel is made for", LugTypeId, barrel, ConductorArea::from_mm2, ConductorArea::as_mm2;
    /// Hole of a lug.
    LugHole: Mm, "hole", LugTypeId, hole, Length::from_mm, Length::as_mm;
    /// Palm of a lug.
    LugPalm: Mm, "width of its palm", LugTypeId, palm_width, Length::from_mm, Length::as_mm;
    /// Thickest cable of a gland.
    GlandThickest: Mm, "thickest cable that goes through", GlandTypeId, thickest, Length::from_mm, Length::as_mm;
    /// Thinnest cable of a gland.
    GlandThinnest: Mm, "thinnest cable that it seals on", GlandTypeId, thinnest, Length::from_mm, Length::as_mm;
    /// A way through air.
    Clearance: Mm, "shortest way through air", SpacingId, clearance, Length::from_mm, Length::as_mm;
    /// A way over a surface.
    Creepage: Mm, "shortest way over the surface", SpacingId, creepage, Length::from_mm, Length::as_mm;
    /// Isolation of a load.
    Isolation: Ohm, "resistance to chassis", LoadId, isolation, Resistance::from_ohms, Resistance::as_ohms;
    /// Air of a zone.
    ZoneAir: DegC, "hottest air", ZoneId, air, Temperature::from_degc, Temperature::as_degc;

    @once
    /// Difference at which the controller joins strings.
    JoinWindow: Volt, "difference at which strings are joined", controller, controller_mut, join_window, Voltage::from_volts, Voltage::as_volts;
    /// What the controller lets through each string.
    StringLimit: Ampere, "limit of each string", controller, controller_mut, string_limit, Current::from_amperes, Current::as_amperes;
    /// Capacitance to chassis that the isolation monitor bears.
    MonitorCapacitance: Farad, "capacitance that the isolation monitor bears", monitor, monitor_mut, capacitance, Capacitance::from_farads, Capacitance::as_farads;
    /// Lowest voltage that the isolation monitor works at.
    MonitorLowest: Volt, "lowest voltage of the isolation monitor", monitor, monitor_mut, lowest, Voltage::from_volts, Voltage::as_volts;
    /// Highest voltage that the isolation monitor works at.
    MonitorHighest: Volt, "highest voltage of the isolation monitor", monitor, monitor_mut, highest, Voltage::from_volts, Voltage::as_volts;
    /// Time of the isolation monitor to its alarm.
    MonitorTime: Second, "time of the isolation monitor to its alarm", monitor, monitor_mut, response, Time::from_seconds, Time::as_seconds;
    /// Alarm of the isolation monitor.
    MonitorAlarm: Ohm, "alarm of the isolation monitor", monitor, monitor_mut, alarm, Resistance::from_ohms, Resistance::as_ohms;
}

#[allow(clippy::unnecessary_wraps)] // a monitor may be missing, a controller not
const fn controller(design: &Design) -> Option<&Controller> {
    Some(&design.controller)
}

#[allow(clippy::unnecessary_wraps)] // as above
const fn controller_mut(design: &mut Design) -> Option<&mut Controller> {
    Some(&mut design.controller)
}

const fn monitor(design: &Design) -> Option<&MonitorRange> {
    design.vehicle.monitor.as_ref()
}

const fn monitor_mut(design: &mut Design) -> Option<&mut MonitorRange> {
    design.vehicle.monitor.as_mut()
}

/// The piece of the route of a conductor that has only one.
fn only_piece(design: &Design, thing: Thing) -> Option<RoutePieceId> {
    let lead: &Conductor = design.get(thing.id::<ConductorId>()?)?;
    let mut pieces = lead.route.pieces();
    match (pieces.next(), pieces.next()) {
        (Some(piece), None) => Some(piece),
        _ => None,
    }
}

/// Sets what the cells of a battery allow, and raises it to that in every other of the
/// traction battery that allows less: the same cells are in several boxes.
fn cells(
    design: &mut Design,
    thing: Thing,
    made: Current,
    limit: fn(&mut Battery) -> &mut Option<Current>,
) -> Option<()> {
    for position in 0..design.all::<Battery>().count() {
        let other = design.get_mut(BatteryId::at(position)?)?;
        let traction = other.system == System::Traction;
        let allowed = limit(other);
        if traction && allowed.is_some_and(|allowed| allowed < made) {
            *allowed = Some(made);
        }
    }
    *limit(design.get_mut(thing.id::<BatteryId>()?)?) = Some(made);
    Some(())
}

fn low_voltage_battery(design: &Design) -> Option<BatteryId> {
    let mut all = design
        .all::<Battery>()
        .filter(|(_, battery)| battery.system == System::LowVoltage);
    match (all.next(), all.next()) {
        (Some((id, _)), None) => Some(id),
        _ => None,
    }
}

/// Whether a section at this thing is that of this conductor.
fn concerns(design: &Design, thing: Thing, (id, lead): (ConductorId, &Conductor)) -> bool {
    if let Some(load) = thing.id::<LoadId>().and_then(|load| design.get(load)) {
        let ends: &Load = load;
        return [lead.from, lead.to]
            .iter()
            .any(|end| [ends.positive, ends.negative].contains(end));
    }
    thing == id.into()
}

fn first_lead(design: &Design, thing: Thing) -> Option<ConductorId> {
    let mut all = design.all::<Conductor>();
    let found = all.find(|(id, lead)| concerns(design, thing, (*id, lead)));
    Some(found?.0)
}

/// The system of the conductors that a section at this thing is about.
pub(super) fn system_at(design: &Design, thing: Thing) -> Option<System> {
    let lead = design.get(first_lead(design, thing)?)?;
    design.systems().of(lead.from)
}

/// The type of cable of the first conductor that a section at this thing is about.
pub(super) fn cable_at(design: &Design, thing: Thing) -> Option<&CableType> {
    design.get(design.get(first_lead(design, thing)?)?.cable?)
}

/// Gives the conductors at a thing a cable like the one they have, of another section:
/// what its datasheet says about its size no longer counts.
pub(super) fn set_section(design: &mut Design, thing: Thing, section: Section) -> Option<()> {
    let cable = *cable_at(design, thing)?;
    let name = design.put_text(SIZED).ok()?;
    let mut thicker = CableType::new(name, cable.metal, section);
    thicker.shielded = cable.shielded;
    thicker.temperature_class = cable.temperature_class;
    thicker.overload = cable.overload;
    thicker.voltage_class = cable.voltage_class;
    let thicker = design.add(thicker).ok()?;
    for position in 0..design.all::<Conductor>().count() {
        let id = ConductorId::at(position)?;
        let lead = *design.get(id)?;
        if concerns(design, thing, (id, &lead)) {
            design.get_mut(id)?.cable = Some(thicker);
        }
    }
    Some(())
}

/// Another section for the cable that [`set_section`] has given the conductors at a thing.
pub(super) fn reset_section(design: &mut Design, thing: Thing, section: Section) -> Option<()> {
    let cable = design.get(first_lead(design, thing)?)?.cable?;
    design.get_mut(cable)?.conductor = section;
    Some(())
}

/// Name of the cable that is tried.
const SIZED: &str = "(another section of the same cable)";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::insulation::Domain;

    #[test]
    fn what_is_set_is_stated_and_nothing_else_takes_it() {
        let mut design = std::boxed::Box::new(Design::new(Domain::Road));
        let name = design.put_text("F").unwrap();
        let part = design.add(crate::design::FuseType::new(name)).unwrap();
        let input = Input::FuseVoltage;
        assert_eq!(input.stated(&design, part.into()), None);
        input.set(&mut design, part.into(), 450.0).unwrap();
        assert_eq!(input.stated(&design, part.into()), Some(450.0));
        assert_eq!(input.set(&mut design, Thing::VEHICLE, 450.0), None);
        assert_eq!(input.set(&mut design, part.into(), f32::NAN), None);
    }
}
