//! Batteries, fuses, contactors, service disconnects, resistors, loads, converters.

use orangeloom_core::design::{
    Battery, Cell, Contactor, ContactorType, Converter, Enclosure, Fuse, FuseType, Load, Purpose,
    Resistor, ResistorType, Role, ServiceDisconnect, System, TerminalId, TextId,
};

use super::Builder;
use super::conductors::run;
use crate::design_file::keys::Tag;
use crate::design_file::walk::{Table, Written};

/// Name, ends and box of a device.
struct Device<'t> {
    name: TextId,
    written: Written<'t>,
    ends: [TerminalId; 2],
    enclosure: Option<orangeloom_core::design::EnclosureId>,
}

impl Builder<'_> {
    /// What every device has. `keys` and `own` name its two terminals.
    fn device<'t>(
        &mut self,
        table: Table<'t>,
        keys: [&str; 2],
        own: [&str; 2],
        in_box: bool,
    ) -> Option<Device<'t>> {
        let named = self.name(table);
        let enclosure = if in_box {
            self.refer::<Enclosure>(table, "box", Tag::Box)
        } else {
            None
        };
        let Some((name, written)) = named else {
            for key in keys {
                if table.has(key) {
                    self.terminal_key(table, key);
                }
            }
            return None;
        };
        let one = self.end(table, keys[0], &written, own[0], enclosure);
        let other = self.end(table, keys[1], &written, own[1], enclosure);
        let (Some(one), Some(other)) = (one, other) else {
            self.trail.dropped = true;
            return None;
        };
        Some(Device {
            name,
            written,
            ends: [one, other],
            enclosure,
        })
    }

    fn two_ended<'t>(&mut self, table: Table<'t>) -> Option<Device<'t>> {
        self.device(table, ["from", "to"], ["in", "out"], true)
    }

    pub(super) fn battery(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.device(table, ["negative", "positive"], ["-", "+"], true);
        let r = &mut self.report;
        let system = table.word("system", r).unwrap_or(System::Traction);
        let in_series = table.whole("in-series", r);
        let in_parallel = table.whole("in-parallel", r).unwrap_or(1);
        let links = table.quantity("links", r);
        let links_least = table.quantity("links-least", r);
        let inductance = table.quantity("inductance", r);
        let cell = table.text("cell", r);
        let (cell, chemistry) = match cell {
            Some(written) => {
                if let Some(known) = self.cells.get(written.text) {
                    *known
                } else {
                    self.unknown_name("cell", &written, Tag::CellType);
                    (Cell::default(), None)
                }
            }
            None => (Cell::default(), None),
        };
        let cells = [in_series.unwrap_or(1), in_parallel].map(|n| u16::try_from(n).unwrap_or(1));
        if let Some(device) = device {
            let battery = Battery {
                enclosure: device.enclosure,
                chemistry,
                links,
                links_least,
                inductance,
                ..Battery::new(device.name, system, device.ends, cells, cell)
            };
            self.add(battery, device.written.place, mark);
        }
    }

    pub(super) fn fuse(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.two_ended(table);
        let part = self.refer::<FuseType>(table, "type", Tag::FuseType);
        if let Some(device) = device {
            let fuse = Fuse {
                part,
                enclosure: device.enclosure,
                ..Fuse::new(device.name, device.ends)
            };
            self.add(fuse, device.written.place, mark);
        }
    }

    pub(super) fn contactor(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.two_ended(table);
        let part = self.refer::<ContactorType>(table, "type", Tag::ContactorType);
        let arrow = table.word("arrow", &mut self.report);
        let coil = self.two_terminals(table, "coil");
        let coil_wire = table.quantity("coil-wire", &mut self.report);
        let section = table.quantity("section", &mut self.report);
        let auxiliary_contact = table.flag("auxiliary-contact", &mut self.report);
        if let Some(device) = device {
            let contactor = Contactor {
                part,
                enclosure: device.enclosure,
                arrow,
                coil,
                coil_wire,
                section,
                auxiliary_contact,
                ..Contactor::new(device.name, device.ends)
            };
            self.add(contactor, device.written.place, mark);
        }
    }

    pub(super) fn service_disconnect(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.two_ended(table);
        let r = &mut self.report;
        let voltage = table.quantity("voltage", r);
        let carry = table.quantity("carry", r);
        let resistance = table.quantity("resistance", r);
        let breaks_load = table.flag("breaks-load", r);
        if let Some(device) = device {
            let disconnect = ServiceDisconnect {
                enclosure: device.enclosure,
                voltage,
                carry,
                resistance,
                breaks_load,
                ..ServiceDisconnect::new(device.name, device.ends)
            };
            self.add(disconnect, device.written.place, mark);
        }
    }

    pub(super) fn resistor(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.two_ended(table);
        let part = self.refer::<ResistorType>(table, "type", Tag::ResistorType);
        let r = &mut self.report;
        let purpose = table.word("purpose", r).unwrap_or(Purpose::Other);
        let time_out = table.quantity("time-out", r);
        let closes_within = table.quantity("closes-within", r);
        if let Some(device) = device {
            let resistor = Resistor {
                part,
                enclosure: device.enclosure,
                time_out,
                closes_within,
                ..Resistor::new(device.name, purpose, device.ends)
            };
            self.add(resistor, device.written.place, mark);
        }
    }

    pub(super) fn load(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.device(table, ["positive", "negative"], ["+", "-"], true);
        self.apart(table, &["y", "y-positive"]);
        self.apart(table, &["y", "y-negative"]);
        let r = &mut self.report;
        let role = table.word("role", r).unwrap_or(Role::Consumer);
        let rated = table.draw("rated", r);
        let idle = table.draw("idle", r);
        let idle_from = table.quantity("idle-from", r);
        let duty_share = table.quantity("duty-share", r);
        let essential = table.flag("essential", r);
        let lowest = table.quantity("lowest", r);
        let highest = table.quantity("highest", r);
        let link = table.quantity("link", r);
        let y = table.quantity("y", r);
        let y_positive = table.quantity("y-positive", r).or(y);
        let y_negative = table.quantity("y-negative", r).or(y);
        let isolation = table.quantity("isolation", r);
        let bleed = table.quantity("bleed", r);
        let alternating = table.flag("alternating", r);
        let current_measured = table.flag("current-measured", r);
        if let Some(device) = device {
            let load = Load {
                enclosure: device.enclosure,
                rated,
                idle,
                idle_from,
                duty_share,
                essential,
                lowest,
                highest,
                link,
                y_positive,
                y_negative,
                isolation,
                bleed,
                alternating,
                current_measured,
                ..Load::new(device.name, role, device.ends)
            };
            self.add(load, device.written.place, mark);
        }
    }

    pub(super) fn converter(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let device = self.device(table, ["negative", "positive"], ["out-", "out+"], false);
        let r = &mut self.report;
        let output = table.quantity("output", r);
        let rated = table.quantity("rated", r);
        let efficiency = table.quantity("efficiency", r);
        let named = device.as_ref().map(|device| device.written.clone());
        let input = if table.has("input") {
            self.refer::<Load>(table, "input", Tag::Load)
        } else {
            named.and_then(|name| self.find::<Load>("input", &name, Tag::Load))
        };
        match (device, input) {
            (Some(device), Some(input)) => {
                let converter = Converter {
                    output,
                    rated,
                    efficiency,
                    ..Converter::new(device.name, input, device.ends)
                };
                self.add(converter, device.written.place, mark);
            }
            _ => self.trail.dropped = true,
        }
    }

    /// A low-voltage consumer with its fuse and its conductor.
    pub(super) fn consumer(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let name = self.name(table);
        let circuit = table.text("circuit", &mut self.report);
        let bar = self.terminal_key(table, "from");
        let part = self.refer::<FuseType>(table, "fuse", Tag::FuseType);
        let line = self.simple_line(table);
        let r = &mut self.report;
        let rated = table.draw("rated", r);
        let duty_share = table.quantity("duty-share", r);
        let essential = table.flag("essential", r);
        let back = if table.has("return") {
            self.terminal_key(table, "return")
        } else {
            let text = "chassis";
            let place = table.place;
            self.terminal(&Written { text, place })
        };
        let (Some((name, written)), Some(circuit), Some(bar), Some(back)) =
            (name, circuit, bar, back)
        else {
            self.trail.dropped = true;
            return;
        };
        let place = circuit.place;
        let fuse_name = format!("F-{}", circuit.text);
        let [fused, pin] = [format!("{fuse_name}.out"), format!("{}.+", written.text)];
        // Both meet two things each; naming them twice is how that is known.
        for name in [&fused, &pin] {
            self.terminal(&Written { text: name, place });
        }
        let fused = self.terminal(&Written {
            text: &fused,
            place,
        });
        let pin = self.terminal(&Written { text: &pin, place });
        let fuse_name = self.put(&fuse_name, place);
        let circuit_name = self.put(circuit.text, place);
        let (Some(fused), Some(pin), Some(fuse_name), Some(circuit_name)) =
            (fused, pin, fuse_name, circuit_name)
        else {
            self.trail.dropped = true;
            return;
        };
        let fuse = Fuse {
            part,
            ..Fuse::new(fuse_name, [bar, fused])
        };
        self.add(fuse, place, mark);
        self.add(run(circuit_name, [fused, pin], line), place, mark);
        let load = Load {
            rated,
            duty_share,
            essential,
            ..Load::new(name, Role::Consumer, [pin, back])
        };
        self.add(load, written.place, mark);
    }
}
