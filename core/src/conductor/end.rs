//! The temperature at the end of a lead, where the conductor lands on a terminal.
//!
//! Three parts: what the cable of the end piece settles at; the rise of the joint above
//! it ([`super::lug`]); and what flows along the conductor from hotter pieces
//! further in. A piece from a to b metres from the end, hotter by d, adds
//! d (exp(-a/l) - exp(-b/l)), l the decay length of the end piece: the fin equation with
//! an end that lets no heat out. Colder pieces take nothing off. With a better cooled end
//! piece than the one next to it, as usual, the true share is smaller.
//!
//! Source: [`crate::standard::SourceId::FinEquation`]. An end piece without a length
//! counts as long. The rise of the joint is that of a long end piece: where a short one
//! goes on into a tube that leaves a third of the dissipation, it is up to 1.7 times that.

use super::heat_balance::{HeatBalance, Steady};
use super::lug::{Joint, joint_temperature};
use crate::error::Error;
use crate::quantity::{
    ConductorArea, Current, Length, LinearResistance, Resistance, Temperature, ThermalConductance,
    ThermalConductivity,
};
use crate::standard::metal::Metal;

/// A piece of a lead and what it settles at.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct SettledPiece<'a> {
    /// Its balance as installed.
    pub balance: &'a HeatBalance,
    /// What it settles at.
    pub steady: Steady,
    /// Its length; `None` counts as long at the end, as nothing further in.
    pub length: Option<Length>,
}

/// What the end of a lead is made of.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct LeadEnd {
    /// Resistance of crimp and bolted face together.
    pub contact: Resistance,
    /// Metal area of the conductor.
    pub section: ConductorArea,
    /// Its metal.
    pub metal: Metal,
    /// Length of the whole lead; `None` counts as long.
    pub length: Option<Length>,
}

/// Computes: temperature of a lead's end.
///
/// Equation: see the module. Inputs: the pieces from this end inwards; the end; the
/// current that the pieces settled at. Result: `None` when a piece does not settle, the
/// joint melts, or there is no piece. Bound: one pass over the pieces.
///
/// # Errors
/// Those of [`HeatBalance::temperature_at`]; [`Error::OutOfRange`] beyond the bounds of
/// a quantity.
pub fn end_temperature<'a>(
    mut inwards: impl Iterator<Item = SettledPiece<'a>>,
    end: &LeadEnd,
    current: Current,
) -> Result<Option<Temperature>, Error> {
    let Some(first) = inwards.next() else {
        return Ok(None);
    };
    let Some(conductor) = first.steady.conductor() else {
        return Ok(None);
    };
    let conductor = conductor.as_degc();
    let Some(joint) = joint(&first, end, conductor)? else {
        return Ok(None);
    };
    let Ok(Some(joint)) = joint_temperature(&joint, current) else {
        // Off the scale: the joint melts.
        return Ok(None);
    };
    let decay = joint.decay_length.as_metres();
    let fading = |length: Option<Length>| {
        length.map_or(0.0, |length| libm::expf(-length.as_metres() / decay))
    };
    let mut from_inside = 0.0;
    let mut left = fading(first.length);
    for piece in inwards {
        let Steady::Settles(state) = piece.steady else {
            return Ok(None);
        };
        let beyond = left * fading(piece.length);
        let hotter = libm::fmaxf(state.conductor.as_degc() - conductor, 0.0);
        from_inside += hotter * (left - beyond);
        left = beyond;
    }
    // The cable's own temperature stays that of the full balance.
    Ok(Temperature::from_degc(conductor + joint.rise.as_kelvin() + from_inside).ok())
}

/// The joint of an end piece with this conductor temperature; `None` when its cable
/// gives off next to nothing and so cools no joint.
fn joint(piece: &SettledPiece<'_>, end: &LeadEnd, conductor: f32) -> Result<Option<Joint>, Error> {
    // Sun, hot or cold surfaces and the shield's own heat shift the temperature that
    // the cable has without current; its dissipation counts from there.
    let idle = piece.balance.temperature_at(Current::from_amperes(0.0)?)?;
    let Some(idle) = idle.conductor() else {
        return Ok(None);
    };
    let heat = piece.balance.heat_per_kelvin(idle.as_degc(), conductor);
    let Some(cable_dissipation) =
        heat.and_then(|heat| ThermalConductivity::from_w_per_m_k(heat).ok())
    else {
        return Ok(None);
    };
    let growing = piece.balance.effective_resistance_20()?.as_ohm_per_m()
        * (1.0 + piece.balance.shield_ratio);
    Ok(Some(Joint {
        contact: end.contact,
        section: end.section,
        conductivity: end.metal.thermal_conductivity(),
        resistance_20: LinearResistance::from_ohm_per_m(growing)?,
        coefficient: end.metal.temperature_coefficient_20(),
        cable_dissipation,
        lug_dissipation: ThermalConductance::from_w_per_k(0.0)?,
        air: idle,
        // Longer than any length is as good as without end.
        length: end
            .length
            .and_then(|length| Length::from_metres(0.5 * length.as_metres()).ok()),
    }))
}
