//! Types from datasheets.

use orangeloom_core::conductor::generic::Dimensions;
use orangeloom_core::design::{
    CableType, Cell, Coil, ContactorType, CurvePoint, DeratingPoint, FuseType, GlandType, LugType,
    MAX_CURVE_POINTS, MAX_DERATING_POINTS, ResistanceRange, ResistorType,
};
use orangeloom_core::error::Error;
use orangeloom_core::quantity::LinearResistance;
use orangeloom_core::shield::BraidBuild;
use orangeloom_core::size::series::{Conductor, MetricTable};
use orangeloom_core::standard::metal::Metal;

use super::Builder;
use crate::design_file::problem::{Problem, ProblemName, quoted};
use crate::design_file::walk::Table;
use crate::nominal;
use crate::quantity_text::Section;

impl Builder<'_> {
    pub(super) fn cell_type(&mut self, table: Table<'_>) {
        let chemistry = self.text(table, "chemistry");
        let name = table.text("name", &mut self.report);
        self.together(table, "resistance-least", "resistance-most");
        self.apart(table, &["resistance", "resistance-least"]);
        // A resistance taken as exact where nothing is said understates the short circuit.
        self.together(table, "resistance", "resistance-spread");
        let r = &mut self.report;
        let value = table.quantity("resistance", r);
        let spread = table.quantity("resistance-spread", r);
        let least = table.quantity("resistance-least", r);
        let most = table.quantity("resistance-most", r);
        let resistance = match (least, most, value, spread) {
            (Some(least), Some(most), ..) => Some(ResistanceRange::Between { least, most }),
            (_, _, Some(value), Some(spread)) => Some(ResistanceRange::About { value, spread }),
            _ => None,
        };
        let cell = Cell {
            minimum: table.quantity("minimum", r),
            nominal: table.quantity("nominal", r),
            maximum: table.quantity("maximum", r),
            resistance,
            capacity: table.quantity("capacity", r),
            mass: table.quantity("mass", r),
            discharge_limit: table.quantity("discharge-limit", r),
            charge_limit: table.quantity("charge-limit", r),
        };
        if let Some(name) = name {
            let cells = &mut self.cells;
            cells
                .entry(name.text.to_owned())
                .or_insert((cell, chemistry));
        }
    }

    pub(super) fn cable_type(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let r = &mut self.report;
        let metal = table.word("metal", r).unwrap_or(Metal::Copper);
        let strand = table.word("strand", r);
        let strand = strand.unwrap_or(MetricTable::usual(metal));
        let resistance: Option<LinearResistance> = table.quantity("resistance", r);
        let section: Option<Section> = table.amount("section", r);
        let section = section.filter(|s| table.sign_is_kept("section", s.area.as_mm2(), r));
        let shielded = table.flag("shielded", r);
        let dimensions = Dimensions {
            conductor_diameter: table.quantity("conductor-diameter", r),
            insulation_wall: table.quantity("insulation-wall", r),
            shield_wall: table.quantity("shield-wall", r),
            jacket_wall: table.quantity("jacket-wall", r),
            emissivity: table.quantity("emissivity", r),
        };
        let outer_diameter = table.quantity("outer-diameter", r);
        let temperature_class = table.quantity("temperature-class", r);
        let overload = table.quantity("overload", r);
        let voltage_class = table.word("voltage-class", r);
        let bend_radius = table.quantity("bend-radius", r);
        let braid = table.table("braid", r);
        let braid = braid.and_then(|braid| self.braid(braid));
        let conductor =
            section.and_then(|section| self.section(table, &section, strand, metal, resistance));
        if let (Some((name, written)), Some(conductor)) = (name, conductor) {
            let cable = CableType {
                shielded,
                dimensions,
                outer_diameter,
                temperature_class,
                overload,
                voltage_class,
                braid,
                bend_radius,
                ..CableType::new(name, metal, conductor)
            };
            self.add(cable, written.place, mark);
        }
    }

    fn braid(&mut self, braid: Table<'_>) -> Option<BraidBuild> {
        let r = &mut self.report;
        let under = braid.quantity("under", r);
        let strand = braid.quantity("strand", r);
        let carriers = braid.whole("carriers", r);
        let ends = braid.whole("ends", r);
        let lay = braid.quantity("lay", r);
        let resistivity = braid.quantity("resistivity", r);
        Some(BraidBuild {
            under: under?,
            strand: strand?,
            carriers: u8::try_from(carriers?).ok()?,
            ends: u8::try_from(ends?).ok()?,
            lay: lay?,
            resistivity: resistivity?,
        })
    }

    /// A section as a conductor that can be bought; reports one that the table
    /// does not print.
    fn section(
        &mut self,
        table: Table<'_>,
        section: &Section,
        strand: MetricTable,
        metal: Metal,
        resistance: Option<LinearResistance>,
    ) -> Option<Conductor> {
        let found = nominal::conductor(section, strand, metal);
        let place = table.place_of("section");
        match (found, resistance) {
            (Ok(conductor), None) => Some(conductor),
            (Ok(conductor), Some(resistance)) => Some(conductor.with_resistance(resistance)),
            (Err(_), Some(resistance)) => Some(Conductor::entered(section.area, resistance)),
            (Err(Error::NotInTable { table: source, .. }), None) => {
                let source = source.source();
                let what = format!(
                    "{} is not a section of {} {}",
                    quoted(&section.label),
                    source.standard,
                    source.place
                );
                let mut problem =
                    Problem::new(ProblemName::NotInTable, place, what).here("not in the table");
                if let Some(beside) = nominal::beside(section, strand, metal) {
                    problem = problem.advice(format!("beside it are {beside}"));
                }
                self.report.add(problem.advice(
                    "write the section that is printed on the cable, or add resistance = \"0.27 ohm/km\" from its datasheet",
                ));
                None
            }
            (Err(error), None) => {
                let what = format!("{}: {error}", quoted(&section.label));
                let problem = Problem::new(ProblemName::NotInTable, place, what).advice(
                    "add resistance = \"0.27 ohm/km\" from the datasheet, or another strand",
                );
                self.report.add(problem);
                None
            }
        }
    }

    pub(super) fn fuse_type(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let Some((name, written)) = self.name(table) else {
            return;
        };
        let mut part = FuseType::new(name);
        let r = &mut self.report;
        part.utilisation = table.word("utilisation", r);
        part.rated = table.quantity("rated", r);
        part.voltage = table.quantity("voltage", r);
        part.time_constant = table.quantity("time-constant", r);
        part.breaking = table.quantity("breaking", r);
        part.least_breaking = table.quantity("least-breaking", r);
        part.melting = table.quantity("melting", r);
        part.total = table.quantity("total", r);
        part.total_at = table.quantity("total-at", r);
        part.holder = table.quantity("holder", r);
        part.resistance = table.quantity("resistance", r);
        part.loss = table.quantity("loss", r);
        let curve = table.tables("curve", r);
        let derating = table.tables("derating", r);
        for point in &curve {
            let time = point.quantity("time", r);
            let current = point.quantity("current", r);
            if let (Some(time), Some(current)) = (time, current)
                && part.curve.push(CurvePoint { time, current }).is_err()
            {
                let count = curve.len();
                r.add(too_many_points("curve", count, MAX_CURVE_POINTS, *point));
                break;
            }
        }
        for point in &derating {
            let air = point.quantity("air", r);
            let carries = point.quantity("carries", r);
            if let (Some(air), Some(carries)) = (air, carries)
                && part.derating.push(DeratingPoint { air, carries }).is_err()
            {
                let count = derating.len();
                r.add(too_many_points(
                    "derating",
                    count,
                    MAX_DERATING_POINTS,
                    *point,
                ));
                break;
            }
        }
        self.add(part, written.place, mark);
    }

    pub(super) fn contactor_type(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let Some((name, written)) = self.name(table) else {
            return;
        };
        let mut part = ContactorType::new(name);
        let r = &mut self.report;
        part.voltage = table.quantity("voltage", r);
        part.altitude = table.quantity("altitude", r);
        part.carry = table.quantity("carry", r);
        part.carry_section = table.quantity("carry-section", r);
        part.carry_air = table.quantity("carry-air", r);
        part.make = table.quantity("make", r);
        part.break_forward = table.quantity("break-forward", r);
        part.break_reverse = table.quantity("break-reverse", r);
        part.break_voltage = table.quantity("break-voltage", r);
        part.withstand_peak = table.quantity("withstand-peak", r);
        part.withstand = table.quantity("withstand", r);
        part.polarised = table.flag("polarised", r);
        part.resistance = table.quantity("resistance", r);
        part.endurance = table.whole("endurance", r);
        part.load_endurance = table.whole("load-endurance", r);
        if let Some(coil) = table.table("coil", r) {
            part.coil = Coil {
                nominal: coil.quantity("nominal", r),
                highest: coil.quantity("highest", r),
                resistance_20: coil.quantity("resistance", r),
                pull_in: coil.quantity("pull-in", r),
                drop_out: coil.quantity("drop-out", r),
                pull_in_power: coil.quantity("pull-in-power", r),
                hold_power: coil.quantity("hold-power", r),
                rise: coil.quantity("rise", r),
                closing_time: coil.quantity("closing-time", r),
                opening_time: coil.quantity("opening-time", r),
            };
        }
        self.add(part, written.place, mark);
    }

    pub(super) fn resistor_type(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let Some((name, written)) = self.name(table) else {
            return;
        };
        let r = &mut self.report;
        let part = ResistorType {
            name,
            resistance: table.quantity("resistance", r),
            tolerance: table.quantity("tolerance", r),
            power: table.quantity("power", r),
            pulse: table.quantity("pulse", r),
            peak_power: table.quantity("peak-power", r),
            cooling: table.quantity("cooling", r),
            voltage: table.quantity("voltage", r),
            cut_out: table.quantity("cut-out", r),
        };
        self.add(part, written.place, mark);
    }

    pub(super) fn lug_type(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let Some((name, written)) = self.name(table) else {
            return;
        };
        let r = &mut self.report;
        let part = LugType {
            name,
            barrel: table.quantity("barrel", r),
            hole: table.quantity("hole", r),
            palm_width: table.quantity("palm-width", r),
            palm_thickness: table.quantity("palm-thickness", r),
            metal: table.word("metal", r),
            limit: table.quantity("limit", r),
        };
        self.add(part, written.place, mark);
    }

    pub(super) fn gland_type(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let Some((name, written)) = self.name(table) else {
            return;
        };
        let r = &mut self.report;
        let part = GlandType {
            name,
            thinnest: table.quantity("thinnest", r),
            thickest: table.quantity("thickest", r),
            clamps_shield: table.flag("clamps-shield", r),
        };
        self.add(part, written.place, mark);
    }
}

fn too_many_points(key: &str, count: usize, most: usize, point: Table<'_>) -> Problem {
    let what = format!("{key} has {count} points where {most} fit");
    Problem::new(ProblemName::TooMany, point.place.clone(), what)
        .here("the first that does not fit")
        .advice("leave points out where the curve is straight on log paper")
}
