//! How hot one conductor of a design becomes in one of its duties.

use heapless::Vec;

use super::currents::Currents;
use super::warmth::{PieceWarmth, Repeating, piece_warmth, still_air};
use super::window::{Step, Steps};
use crate::conductor::heat_balance::HeatBalance;
use crate::design::{ConductorId, Design, DutyId, EntryId, Gap, MAX_PIECES_OF_ROUTE, RoutePieceId};
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::Temperature;

/// How hot each piece of a conductor becomes.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct ConductorWarmth {
    /// Every piece of the route, in order.
    pub pieces: Vec<(RoutePieceId, PieceWarmth), MAX_PIECES_OF_ROUTE, u8>,
    /// What it is held against: the temperature class of the cable.
    pub limit: Temperature,
}

impl ConductorWarmth {
    /// The piece that governs: one that runs away before all others, then the one
    /// with the highest peak.
    pub fn governing(&self) -> Option<&(RoutePieceId, PieceWarmth)> {
        let height = |piece: &PieceWarmth| match piece.duty {
            Repeating::RunsAway => f32::INFINITY,
            Repeating::Periodic { peak, .. } => peak.as_degc(),
        };
        let mut worst = self.pieces.first()?;
        for piece in &self.pieces {
            if height(&piece.1) > height(&worst.1) {
                worst = piece;
            }
        }
        Some(worst)
    }
}

/// Computes: temperatures of a conductor in a repeating duty, piece by piece.
///
/// Each piece: free air of its zone at the altitude of the vehicle, reduced by its
/// installation ([`HeatBalance::installed`]), and [`piece_warmth`] with the currents
/// of the duty's phases. Inputs: solved currents. Result: the inner error names
/// what is missing.
///
/// # Errors
/// [`Inconsistency::UnknownReference`] for what [`Design::check`] reports;
/// [`Inconsistency::SurroundingsAboveLimit`] where a zone is as hot as the cable
/// may become; those of [`piece_warmth`] and of building the cable.
pub fn conductor_warmth(
    design: &Design,
    currents: &Currents,
    duty: DutyId,
    conductor: ConductorId,
) -> Result<Result<ConductorWarmth, Gap>, Error> {
    let entry = known(design, conductor)?;
    let steps = match duty_steps(design, currents, duty, conductor)? {
        Ok(steps) => steps,
        Err(gap) => return Ok(Err(gap)),
    };
    let Some(cable) = entry.cable else {
        return Ok(Err(Gap::CableType));
    };
    let cable_type = known(design, cable)?;
    let Some(limit) = cable_type.temperature_class else {
        return Ok(Err(Gap::TemperatureClass));
    };
    let Some(altitude) = design.vehicle.altitude else {
        return Ok(Err(Gap::Altitude));
    };
    let cable = cable_type.cable()?;
    let mut warmth = ConductorWarmth {
        pieces: Vec::new(),
        limit,
    };
    for id in entry.route.pieces() {
        let piece = known(design, id)?;
        let zone = known(design, piece.zone)?;
        let Some(air) = zone.air else {
            return Ok(Err(Gap::Air));
        };
        let surroundings = still_air(air, zone.radiant, altitude)?;
        let free = HeatBalance::new(&cable, &surroundings)?;
        let (balance, _) = free.installed(&cable, &piece.routing(design)?, limit)?;
        let Some(result) = piece_warmth(&cable, &balance, &steps)? else {
            return Ok(Err(Gap::Duration));
        };
        let full = Error::Capacity(Capacity::RoutePieces);
        warmth.pieces.push((id, result)).map_err(|_| full)?;
    }
    if warmth.pieces.is_empty() {
        return Ok(Err(Gap::Route));
    }
    Ok(Ok(warmth))
}

/// The current of a conductor along a duty.
fn duty_steps(
    design: &Design,
    currents: &Currents,
    duty: DutyId,
    conductor: ConductorId,
) -> Result<Result<Steps, Gap>, Error> {
    let mut steps = Steps::new();
    for &phase in &known(design, duty)?.phases {
        let Some(duration) = known(design, phase)?.duration else {
            return Ok(Err(Gap::Duration));
        };
        let Some(current) = currents.of(phase, conductor) else {
            return Ok(Err(Gap::Current));
        };
        let full = Error::Capacity(Capacity::DutySteps);
        steps.push(Step { current, duration }).map_err(|_| full)?;
    }
    Ok(Ok(steps))
}

fn known<I: EntryId>(design: &Design, id: I) -> Result<&I::Entry, Error> {
    let unknown = Error::Inconsistent(Inconsistency::UnknownReference);
    design.get(id).ok_or(unknown)
}
