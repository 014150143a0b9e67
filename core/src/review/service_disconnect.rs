//! The rule about the voltage that is left on each piece of a battery.

use super::aspect::Aspect;
use super::finding::Because;
use super::subject::{Sink, Subject};
use crate::design::{
    Battery, BatteryId, BatteryString, Charged, Gap, Kind, MAX_BATTERIES, ServiceDisconnect, Thing,
};
use crate::standard::SourceId;
use crate::study::{Known, Unknown};
use crate::verdict::{Judged, Side};

/// Halves of one voltage, each summed from its cells, differ by rounding.
pub(super) const ROUNDING: f32 = 1.0e-4;

/// Every string: the largest voltage that is left in one piece with all service disconnects
/// out and contactors closed, as welded ones are, against half of the highest voltage.
pub(super) fn pieces(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let (aspect, source) = (Aspect::PieceVoltage, SourceId::CommonPractice);
    for string in &subject.strings.strings {
        let (found, disconnect) = largest_piece(subject, string);
        let first = string.batteries.iter().next();
        let thing = disconnect.or(first.map(Into::into));
        let thing = thing.unwrap_or(Thing::VEHICLE);
        match found.and_then(|volts| Ok((volts, subject.highest()?))) {
            Ok((volts, highest)) => {
                let half = 0.5 * highest.as_volts() * (1.0 + ROUNDING);
                let judged = Judged::compare(aspect, volts, Side::AtMost, half, source);
                sink.put(thing, None, judged, None);
            }
            Err(unknown) => sink.open(thing, aspect, Because::Unknown(unknown)),
        }
    }
}

/// The largest voltage of a piece of a string, and a service disconnect in it. Bound:
/// batteries squared.
fn largest_piece(subject: &Subject<'_>, string: &BatteryString) -> (Known<f32>, Option<Thing>) {
    let design = subject.design;
    let whole = design.metal(|_| true);
    let parted = design.metal(|thing| thing.kind != Kind::ServiceDisconnect);
    let charging = design.vehicle.charging();
    let of = |id: BatteryId| -> Known<(&Battery, f32)> {
        let missing = Unknown::missing(id, Gap::CellVoltage);
        let battery = design.get(id).ok_or(missing)?;
        let volts = battery
            .voltage(Charged::Maximum)
            .map_err(Unknown::refused(id))?;
        Ok((battery, volts.ok_or(missing)?.as_volts() * charging))
    };
    let (mut at, mut piece, mut most, mut disconnect) = (string.negative, 0.0, 0.0, None);
    for _ in 0..MAX_BATTERIES {
        let mut batteries = string.batteries.iter();
        let next = batteries.find(|id| {
            let battery = design.get(*id);
            battery.is_some_and(|battery| whole.together(battery.negative, at))
        });
        let Some(next) = next else { break };
        let (battery, volts) = match of(next) {
            Ok(found) => found,
            Err(unknown) => return (Err(unknown), disconnect),
        };
        if !parted.together(battery.negative, at) {
            piece = 0.0;
            let mut all = design.all::<ServiceDisconnect>();
            let found = all.find(|(_, one)| {
                let ends = [one.from, one.to];
                ends.iter().any(|end| parted.together(*end, at))
                    && ends
                        .iter()
                        .any(|end| parted.together(*end, battery.negative))
            });
            disconnect = disconnect.or(found.map(|(id, _)| id.into()));
        }
        piece += volts;
        most = libm::fmaxf(most, piece);
        at = battery.positive;
    }
    (Ok(most), disconnect)
}
