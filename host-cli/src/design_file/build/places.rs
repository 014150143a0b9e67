//! Vehicle, controller, zones, boxes, tubes, spacings.

use orangeloom_core::conductor::installation::Tube;
use orangeloom_core::design::{
    Bond, Controller, Enclosure, Spacing, Thing, TubeEntry, Vehicle, Zone,
};
use orangeloom_core::insulation::{Impulse, MonitorRange, TemporaryOvervoltage};
use orangeloom_core::standard::iec60664::PollutionDegree;

use super::Builder;
use crate::design_file::keys::Tag;
use crate::design_file::problem::{Problem, ProblemName};
use crate::design_file::walk::Table;

impl Builder<'_> {
    pub(super) fn vehicle(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.text(table, "name");
        let revision = self.text(table, "revision");
        let r = &mut self.report;
        let domain = table.word("domain", r);
        let mut vehicle = Vehicle {
            name,
            revision,
            altitude: table.quantity("altitude", r),
            charge_tolerance: table.quantity("charge-tolerance", r),
            isolation_case: table.word("isolation-case", r),
            ..Vehicle::new(domain.unwrap_or(self.design.vehicle.domain))
        };
        if let Some(monitor) = table.table("monitor", r) {
            vehicle.monitor = Some(MonitorRange {
                capacitance: monitor.quantity("capacitance", r),
                lowest: monitor.quantity("lowest", r),
                highest: monitor.quantity("highest", r),
                response: monitor.quantity("response", r),
                alarm: monitor.quantity("alarm", r),
            });
        }
        let entered = table.quantity("impulse", r).map(Impulse::Entered);
        let category = table.word("overvoltage-category", r);
        let system = table.quantity("system-voltage", r);
        vehicle.impulse = match (category, system) {
            (Some(category), Some(system)) => Some(Impulse::Rated { system, category }),
            _ => entered,
        };
        let never = table.flag("never-on-mains", r) == Some(true);
        let mains = table.quantity("mains", r);
        let known = table.quantity("temporary-overvoltage", r);
        vehicle.temporary = match (mains, known) {
            (Some(nominal), _) => Some(TemporaryOvervoltage::Mains { nominal }),
            (None, Some(peak)) => Some(TemporaryOvervoltage::Entered(peak)),
            (None, None) if never => Some(TemporaryOvervoltage::NotFromMains),
            (None, None) => None,
        };
        self.together(table, "overvoltage-category", "system-voltage");
        self.apart(table, &["impulse", "overvoltage-category"]);
        if never {
            self.apart(table, &["never-on-mains", "mains", "temporary-overvoltage"]);
        } else {
            self.apart(table, &["mains", "temporary-overvoltage"]);
        }
        self.design.vehicle = vehicle;
        self.single(Thing::VEHICLE, table, mark);
    }

    pub(super) fn controller(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let r = &mut self.report;
        let tries = table.whole("precharge-tries", r);
        self.design.controller = Controller {
            discharge_limit: table.quantity("discharge-limit", r),
            charge_limit: table.quantity("charge-limit", r),
            string_limit: table.quantity("string-limit", r),
            string_charge_limit: table.quantity("string-charge-limit", r),
            trip_current: table.quantity("trip-current", r),
            trip_time: table.quantity("trip-time", r),
            opens_discharging: table.quantity("opens-discharging", r),
            opens_charging: table.quantity("opens-charging", r),
            join_window: table.quantity("join-window", r),
            voltage_error: table.quantity("voltage-error", r),
            current_range: table.quantity("current-range", r),
            precharge_tries: tries.and_then(|tries| u8::try_from(tries).ok()),
            precharge_pause: table.quantity("precharge-pause", r),
            reaction: table.quantity("reaction", r),
            lowest_supply: table.quantity("lowest-supply", r),
            supply_dip: table.quantity("supply-dip", r),
        };
        self.together(table, "trip-current", "trip-time");
        self.single(Thing::CONTROLLER, table, mark);
    }

    /// Keeps the place of what a design has once.
    fn single(&mut self, thing: Thing, table: Table<'_>, mark: usize) {
        self.trail.places.insert(thing, table.place.clone());
        if self.mark() > mark {
            self.trail.spoiled.insert(thing);
        }
    }

    /// Two keys of which one says nothing without the other.
    pub(super) fn together(&mut self, table: Table<'_>, one: &str, other: &str) {
        for (here, lacks) in [(one, other), (other, one)] {
            if table.has(here) && !table.has(lacks) {
                let what = format!("{here} says nothing without {lacks}");
                self.report.add(
                    Problem::new(ProblemName::KeysClash, table.place_of(here), what)
                        .here(format!("{lacks} is missing"))
                        .advice(format!("state both {one} and {other}, or neither")),
                );
            }
        }
    }

    /// Keys of which one at most can be there.
    pub(super) fn apart(&mut self, table: Table<'_>, keys: &[&str]) {
        let mut there = keys.iter().filter(|key| table.has(key));
        let Some(first) = there.next() else { return };
        for other in there {
            let what = format!("{first} and {other} are two ways to say one thing");
            self.report.add(
                Problem::new(ProblemName::KeysClash, table.place_of(other), what)
                    .here("said again")
                    .and(table.place_of(first), "said here")
                    .advice("keep one of them"),
            );
        }
    }

    fn pollution(&mut self, table: Table<'_>) -> Option<PollutionDegree> {
        let number = table.whole("pollution", &mut self.report)?;
        PollutionDegree::ALL
            .into_iter()
            .find(|degree| u32::from(degree.number()) == number)
    }

    pub(super) fn zone(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let pollution = self.pollution(table);
        let r = &mut self.report;
        let air = table.quantity("air", r);
        let radiant = table.quantity("radiant", r);
        let coldest = table.quantity("coldest", r);
        let wet = table.flag("wet", r);
        if let Some((name, written)) = name {
            let zone = Zone {
                name,
                air,
                radiant,
                coldest,
                wet,
                pollution,
            };
            self.add(zone, written.place, mark);
        }
    }

    pub(super) fn enclosure(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let zone = self.refer::<Zone>(table, "zone", Tag::Zone);
        let pollution = self.pollution(table);
        let r = &mut self.report;
        let inside = table.quantity("inside", r);
        let metal = table.flag("metal", r);
        let bond = table.table("bond", r).map(|bond| Bond {
            section: bond.quantity("section", r),
            metal: bond.word("metal", r),
            length: bond.quantity("length", r),
        });
        let kept_by = table.word("kept-by", r);
        let mass = table.quantity("mass", r);
        let label_wait = table.quantity("label-wait", r);
        if let Some((name, written)) = name {
            let enclosure = Enclosure {
                name,
                zone,
                inside,
                metal,
                bond,
                pollution,
                kept_by,
                mass,
                label_wait,
            };
            self.add(enclosure, written.place, mark);
        }
    }

    pub(super) fn tube(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let r = &mut self.report;
        let inner = table.quantity("inner", r);
        let outer = table.quantity("outer", r);
        let conductivity = table.quantity("conductivity", r);
        let emissivity = table.quantity("emissivity", r);
        let material = table.word("material", r);
        if let (
            Some((name, written)),
            Some(inner),
            Some(outer),
            Some(conductivity),
            Some(emissivity),
            Some(material),
        ) = (name, inner, outer, conductivity, emissivity, material)
        {
            let tube = Tube {
                inner,
                outer,
                conductivity,
                emissivity,
                material,
            };
            self.add(TubeEntry { name, tube }, written.place, mark);
        }
    }

    pub(super) fn spacing(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let enclosure = self.refer::<Enclosure>(table, "box", Tag::Box);
        let r = &mut self.report;
        let insulation = table.word("insulation", r);
        let clearance = table.quantity("clearance", r);
        let creepage = table.quantity("creepage", r);
        let group = table.word("group", r);
        let surface = table.word("surface", r);
        let working = table.quantity("working", r);
        if let (Some((name, written)), Some(enclosure)) = (name, enclosure) {
            let spacing = Spacing {
                insulation,
                clearance,
                creepage,
                group,
                surface,
                working,
                ..Spacing::new(name, enclosure)
            };
            self.add(spacing, written.place, mark);
        }
    }
}
