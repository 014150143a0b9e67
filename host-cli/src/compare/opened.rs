//! What somebody opened and took apart for a change: the box that a device is in, and the
//! joints on its terminals.

use orangeloom_core::design::{
    BatteryId, ContactorId, Converter, ConverterId, Design, Enclosure, EnclosureId, FuseId, Kind,
    LoadId, ResistorId, ServiceDisconnectId, Terminal, TerminalId, Thing,
};

use super::entries::{Edited, How};
use crate::design_file::{DesignFile, Listed};

/// Sections of devices with two terminals of the high-voltage side or one.
const DEVICES: [&str; 7] = [
    "fuse",
    "contactor",
    "load",
    "resistor",
    "service-disconnect",
    "converter",
    "battery",
];

/// Sections of the parts that devices are of: another value is another part.
const PARTS: [&str; 4] = ["fuse-type", "contactor-type", "resistor-type", "cell-type"];

/// Keys of devices and conductors that may change while nobody opens anything: what software
/// does with a thing, how long it works, what a cable passes on its way.
const UNOPENED: [(&str, &str); 14] = [
    ("load", "role"),
    ("load", "duty-share"),
    ("load", "essential"),
    ("load", "current-measured"),
    ("resistor", "purpose"),
    ("resistor", "time-out"),
    ("resistor", "closes-within"),
    ("battery", "system"),
    ("conductor", "route"),
    ("conductor", "noise"),
    ("conductor", "low-voltage-distance"),
    ("pair", "route"),
    ("pair", "noise"),
    ("pair", "low-voltage-distance"),
];

/// Whether an edited entry is of other hardware now, and not only called otherwise.
fn is_other(edit: &Edited) -> bool {
    let opens = |key: &str| !UNOPENED.contains(&(edit.section(), key));
    !edit.words_only
        && match &edit.how {
            How::New | How::Gone => true,
            How::Changed(keys) => keys.iter().any(|(key, ..)| opens(key)),
        }
}

/// Boxes and terminals of the new state that were opened for what was edited.
pub(super) fn opened(old: &DesignFile, new: &DesignFile, edited: &[Edited]) -> Vec<Thing> {
    let others: Vec<&Edited> = edited.iter().filter(|edit| is_other(edit)).collect();
    let mut opened = Vec::new();
    for read in [old, new] {
        for thing in rebuilt(read, &others) {
            for place in places(&read.design, thing) {
                opened.extend(in_new(&read.design, place, &new.design));
            }
        }
    }
    opened
}

/// Things of a state that come from entries of other hardware.
fn rebuilt(read: &DesignFile, others: &[&Edited]) -> Vec<Thing> {
    let listed = read.listed();
    let is_one = |one: &Listed<'_>| others.iter().any(|edit| edit.is_of(one));
    let parts: Vec<&Listed<'_>> = listed
        .iter()
        .filter(|one| PARTS.contains(&one.section) && is_one(one))
        .collect();
    let found = listed.iter().filter(|one| match one.section {
        "conductor" | "pair" => is_one(one),
        section if DEVICES.contains(&section) => {
            is_one(one) || parts.iter().any(|part| one.refers_to(part))
        }
        _ => false,
    });
    found.flat_map(|one| one.things.clone()).collect()
}

/// The same box or terminal in the new state.
fn in_new(of: &Design, thing: Thing, new: &Design) -> Option<Thing> {
    let name = of.name(thing)?;
    if thing.id::<EnclosureId>().is_some() {
        return new.find::<Enclosure>(name).map(Into::into);
    }
    new.find::<Terminal>(name).map(Into::into)
}

/// Terminals of a thing with all boxes that it is in or ends in.
fn places(design: &Design, thing: Thing) -> Vec<Thing> {
    let Some((own, terminals)) = ends(design, thing) else {
        return Vec::new();
    };
    let boxes = terminals.map(|id| design.get(id).and_then(|one: &Terminal| one.enclosure));
    let boxes = boxes.into_iter().chain([own]).flatten().map(Into::into);
    boxes.chain(terminals.map(Into::into)).collect()
}

/// The box that a device states, and its terminals.
fn ends(design: &Design, thing: Thing) -> Option<(Option<EnclosureId>, [TerminalId; 2])> {
    if let Some(id) = thing.id::<ConverterId>() {
        // Its low-voltage side is judged by no joint; its input is the load.
        let one: &Converter = design.get(id)?;
        return ends(design, one.input.into());
    }
    let drawn = design.drawn().find(|drawn| drawn.thing == thing)?;
    Some((stated_box(design, thing), [drawn.from, drawn.to]))
}

fn stated_box(design: &Design, thing: Thing) -> Option<EnclosureId> {
    match thing.kind {
        Kind::Fuse => design.get(thing.id::<FuseId>()?)?.enclosure,
        Kind::Contactor => design.get(thing.id::<ContactorId>()?)?.enclosure,
        Kind::ServiceDisconnect => design.get(thing.id::<ServiceDisconnectId>()?)?.enclosure,
        Kind::Resistor => design.get(thing.id::<ResistorId>()?)?.enclosure,
        Kind::Battery => design.get(thing.id::<BatteryId>()?)?.enclosure,
        Kind::Load => design.get(thing.id::<LoadId>()?)?.enclosure,
        _ => None,
    }
}
