//! The joint at a lug: heat of the contact resistance against the cable as a fin.
//!
//! The contact's loss flows into the conductor and fades along it:
//! k A T'' - g (T - Ta) + I2 R20 [1 + a20 (T - 20)] = 0. Source:
//! [`crate::standard::SourceId::FinEquation`]. All of the contact's heat is put
//! into one cable, plus what the lug itself gives off; a busbar on the other side
//! takes some of it, so the result errs on the safe side.

use crate::error::Error;
use crate::quantity::{
    ConductorArea, Current, Length, LinearResistance, Power, Resistance, Temperature,
    TemperatureCoefficient, TemperatureDifference, ThermalConductance, ThermalConductivity,
};

/// A joint and the cable that leads away from it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Joint {
    /// Resistance of crimp and bolted face together.
    pub contact: Resistance,
    /// Metal area of the conductor.
    pub section: ConductorArea,
    /// Thermal conductivity of its metal.
    pub conductivity: ThermalConductivity,
    /// Resistance per metre at 20 degC.
    pub resistance_20: LinearResistance,
    /// Temperature coefficient of resistance.
    pub coefficient: TemperatureCoefficient,
    /// Heat that one metre of cable gives off for each kelvin above the air.
    pub cable_dissipation: ThermalConductivity,
    /// Heat that the lug itself gives off for each kelvin above the air.
    pub lug_dissipation: ThermalConductance,
    /// Air.
    pub air: Temperature,
    /// Length to an end that lets no heat through (the middle of a lead with the
    /// same joint at both ends); `None` for a lead of many decay lengths.
    pub length: Option<Length>,
}

/// Temperatures at a joint.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct JointState {
    /// At the lug.
    pub lug: Temperature,
    /// Far from it.
    pub cable: Temperature,
    /// Of the lug above the cable far from it.
    pub rise: TemperatureDifference,
    /// Loss in the contact.
    pub loss: Power,
    /// Length over which the rise falls to 37 %.
    pub decay_length: Length,
}

/// Computes: temperature of a lug at a constant current.
///
/// Equation: g' = g - I2 R20 a20; m = sqrt(g'/(k A)); the cable far away settles
/// at T1 = Ta + I2 R20 [1 + a20 (Ta - 20)]/g'; the lug at
/// T1 + (I2 Rc - gl (T1 - Ta)) / (k A m tanh(m L) + gl), with tanh = 1 for a long
/// lead. Inputs: [`Joint`]; g is taken as constant, linearised at the cable's
/// working temperature (the caller's choice, so it is an input). Result:
/// `None` when g' is not positive: the cable itself has no steady state.
///
/// # Errors
/// [`Error::OutOfRange`] when a temperature leaves the scale (a joint so bad that
/// it would melt before it settles).
pub fn joint_temperature(joint: &Joint, current: Current) -> Result<Option<JointState>, Error> {
    let i2 = current.as_amperes() * current.as_amperes();
    let air = joint.air.as_degc();
    let own = i2 * joint.resistance_20.as_ohm_per_m();
    let alpha = joint.coefficient.as_per_kelvin();
    let remaining = joint.cable_dissipation.as_w_per_m_k() - own * alpha;
    if remaining <= 0.0 {
        return Ok(None);
    }
    let along = joint.conductivity.as_w_per_m_k() * joint.section.as_m2();
    let m = libm::sqrtf(remaining / along);
    let far_rise = own * (1.0 + alpha * (air - 20.0)) / remaining;
    let end = joint
        .length
        .map_or(1.0, |length| libm::tanhf(m * length.as_metres()));
    let lug_dissipation = joint.lug_dissipation.as_w_per_k();
    let loss = i2 * joint.contact.as_ohms();
    let conductance = along * m * end + lug_dissipation;
    if conductance <= 0.0 {
        // A lead without length: nothing carries the heat away.
        return Ok(None);
    }
    let rise = (loss - lug_dissipation * far_rise) / conductance;
    Ok(Some(JointState {
        lug: Temperature::from_degc(air + far_rise + rise)?,
        cable: Temperature::from_degc(air + far_rise)?,
        rise: TemperatureDifference::from_kelvin(rise)?,
        loss: Power::from_watts(loss)?,
        decay_length: Length::from_metres(1.0 / m)?,
    }))
}
