//! The rule about charging sources and the mains.

use super::aspect::Aspect;
use super::attested::stands;
use super::measured;
use super::subject::{Sink, Subject, plain};
use crate::insulation::TemporaryOvervoltage;

/// The protective conductor of every charging source; and of one that the mains may be joined
/// to somebody stands for its separation, or for a plan for residual currents.
pub(super) fn charge_earth(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    measured::charge_earth(subject, sink);
    let design = subject.design;
    if design.vehicle.temporary == Some(TemporaryOvervoltage::NotFromMains) {
        return;
    }
    let slug = sink.rule().slug();
    for (id, load) in subject.charging_sources() {
        // A direct-current inlet has its separation in the station.
        if load.alternating != Some(false) {
            let (verdict, because) = stands(subject, slug, id.into());
            let judged = plain(Aspect::MainsSeparated, verdict);
            sink.put(id, None, judged, Some(because));
        }
    }
}
