//! Whether a circuit may go without a shield, from how it is laid.

use super::circuit::Circuits;
use crate::conductor::installation::InTube;
use crate::design::{Conductor, Enclosure, Gap, Laid, Terminal};
use crate::quantity::Length;
use crate::shield::{COMMERCIAL_DISTANCE_MM, CircuitNoise, ShieldNeed, UnshieldedRun, shield_need};
use crate::standard::iec60287::Tube as TubeMaterial;

/// What a quiet run keeps from low-voltage wiring: the larger of both distances, since no
/// design says which kind of vehicle it is.
pub(super) const LOW_VOLTAGE_DISTANCE: Length = constant!(Length::from_mm(COMMERCIAL_DISTANCE_MM));

impl Circuits<'_> {
    /// Whether a shield is needed; where that is not known, what could show that none is.
    pub(super) fn need(&self, entry: &Conductor) -> (ShieldNeed, Gap) {
        let run = UnshieldedRun {
            in_metal: self.in_metal(entry),
            pair_tight: self.pair_tight(entry),
            from_low_voltage: entry.low_voltage_distance,
            keep: LOW_VOLTAGE_DISTANCE,
            crosses_square: None,
        };
        let need = match entry.noise {
            Some(noise) => shield_need(noise, &run),
            None => match shield_need(CircuitNoise::Quiet, &run) {
                ShieldNeed::MayBeUnshielded => ShieldNeed::Unknown,
                need => need,
            },
        };
        let gap = match (entry.noise, run.in_metal, run.pair_tight) {
            (None, ..) => Gap::Noise,
            (_, None, _) => Gap::InMetal,
            (.., None) => Gap::Laid,
            _ => Gap::LowVoltageDistance,
        };
        (need, gap)
    }

    /// Whether every piece of a route runs in metal.
    fn in_metal(&self, entry: &Conductor) -> Option<bool> {
        let mut all = None;
        for piece in entry.route.pieces() {
            let metal = match self.design.get(piece)?.laid {
                Some(Laid::InTube(_, Some(tube))) => {
                    let tube = self.design.get(tube)?.tube;
                    Some(tube.material == TubeMaterial::Metallic)
                }
                None | Some(Laid::InTube(_, None)) => None,
                Some(Laid::FreeAir | Laid::TouchingPair | Laid::AgainstPanel) => self
                    .inside_one_metal_box(entry)
                    .then_some(true)
                    .or(Some(false)),
            };
            all = match (all, metal) {
                (Some(false), _) | (_, Some(false)) => Some(false),
                (_, None) => return self.later_open(entry),
                (_, metal) => metal,
            };
        }
        all.or_else(|| self.inside_one_metal_box(entry).then_some(true))
    }

    /// A piece of unknown tube: an open piece anywhere still settles it.
    fn later_open(&self, entry: &Conductor) -> Option<bool> {
        let mut laid = (entry.route.pieces()).filter_map(|piece| self.design.get(piece)?.laid);
        let open = laid.any(|laid| !matches!(laid, Laid::InTube(..)));
        (open && !self.inside_one_metal_box(entry)).then_some(false)
    }

    fn inside_one_metal_box(&self, entry: &Conductor) -> bool {
        let place = |end| {
            self.design
                .get(end)
                .and_then(|end: &Terminal| end.enclosure)
        };
        match (place(entry.from), place(entry.to)) {
            (Some(from), Some(to)) if from == to => {
                self.design
                    .get(from)
                    .and_then(|entry: &Enclosure| entry.metal)
                    == Some(true)
            }
            _ => false,
        }
    }

    /// Whether both poles lie together along the whole route.
    fn pair_tight(&self, entry: &Conductor) -> Option<bool> {
        let mut all = None;
        for piece in entry.route.pieces() {
            let laid = self.design.get(piece)?.laid?;
            let pair = matches!(laid, Laid::TouchingPair | Laid::InTube(InTube::Pair, _));
            all = Some(all.unwrap_or(true) && pair);
        }
        all
    }
}
