//! Whether a coil pulls in and holds at the lowest supply.

use super::at_least_of;
use super::contactor::ContactorCheck;
use crate::design::Coil;
use crate::error::Error;
use crate::quantity::{Power, Resistance, Temperature, Voltage};
use crate::standard::SourceId;
use crate::standard::metal::Metal;
use crate::verdict::Judged;

/// Supply of a coil at its worst.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct CoilSupply {
    /// Lowest voltage at the source when the contactor has to pull in.
    pub lowest: Option<Voltage>,
    /// Lowest voltage in a dip while it has to hold.
    pub dip: Option<Voltage>,
    /// Both wires, joints and the switch in them, hot.
    pub wire: Option<Resistance>,
    /// Coil when it pulls in: air and what it warms by itself.
    pub coil: Option<Temperature>,
}

/// What a coil gets and needs, V.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
pub struct CoilState {
    /// Voltage at its terminals.
    pub gets: Voltage,
    /// Voltage that it needs when this hot.
    pub needs: Voltage,
}

/// What a coil stands for ever of its nominal voltage where its datasheet states no highest:
/// coils of 12 V are made for the 16 V and those of 24 V for the 32 V that supplies of road
/// vehicles rise to; common practice.
pub(crate) const COIL_STANDS: f32 = 4.0 / 3.0;

/// Resistance at a temperature over that at 20 degC; zero where the straight law ends.
fn warmed(coil: Temperature) -> f32 {
    let alpha = Metal::Copper.temperature_coefficient_20().as_per_kelvin();
    libm::fmaxf(1.0 + alpha * (coil.as_degc() - 20.0), 0.0)
}

/// Voltage left for a load that draws a given power through a resistance; zero if that
/// power cannot pass it.
fn behind(volts: f32, watts: f32, ohms: f32) -> f32 {
    let square = volts * volts - 4.0 * watts * ohms;
    if square < 0.0 {
        0.0
    } else {
        0.5 * (volts + libm::sqrtf(square))
    }
}

/// Computes: voltage at a coil and the voltage it needs.
///
/// A coil of copper pulls in and drops out at the same current hot or cold, so both
/// voltages rise with its resistance, and its wires divide the supply:
/// V = U R / (R + R wire), R = R20 (1 + 0.00393 (T - 20)) ([`SourceId::CoilCopper`]).
/// Of a coil whose resistance is not stated but its power is, that power flows at any
/// voltage: V = (U + sqrt(U2 - 4 P R wire)) / 2. What it needs rises alike; for a coil
/// with electronics that is on the safe side. Result: `None` where an input is missing.
///
/// # Errors
/// [`Error::OutOfRange`] where a voltage leaves the accepted range.
pub fn coil_state(
    supply: Option<Voltage>,
    wire: Option<Resistance>,
    coil: Option<Temperature>,
    resistance_20: Option<Resistance>,
    power: Option<Power>,
    needs_20: Option<Voltage>,
) -> Result<Option<CoilState>, Error> {
    let (Some(supply), Some(wire), Some(coil), Some(needs)) = (supply, wire, coil, needs_20) else {
        return Ok(None);
    };
    let (volts, wire, needs) = (supply.as_volts(), wire.as_ohms(), needs.as_volts());
    let warmed = warmed(coil);
    let gets = match (resistance_20, power) {
        (Some(cold), _) => {
            let ohms = cold.as_ohms() * warmed;
            // A coil without resistance gets nothing.
            let share = if ohms > 0.0 {
                ohms / (ohms + wire)
            } else {
                0.0
            };
            volts * share
        }
        (None, Some(power)) => behind(volts, power.as_watts(), wire),
        (None, None) => return Ok(None),
    };
    Ok(Some(CoilState {
        gets: Voltage::from_volts(gets)?,
        needs: Voltage::from_volts(needs * warmed)?,
    }))
}

impl Coil {
    /// The highest voltage that it stands for ever: as stated, else [`COIL_STANDS`] of the
    /// nominal one. `None` where neither is stated.
    pub(crate) fn stands(&self) -> Option<f32> {
        let usual = self.nominal.map(|nominal| COIL_STANDS * nominal.as_volts());
        self.highest.map(Voltage::as_volts).or(usual)
    }
}

/// Judges pull-in at the lowest supply and hold in the deepest dip: [`coil_state`].
///
/// Without a resistance it draws its pull-in power while it pulls in and its hold power
/// while it holds, or the pull-in power if that is all that is known. Both are held
/// against the voltage at 20 degC that the datasheet states, put to the temperature of
/// the coil.
///
/// # Errors
/// Those of [`coil_state`].
pub fn judge_coil(coil: &Coil, supply: &CoilSupply) -> Result<[Judged<ContactorCheck>; 2], Error> {
    let judge = |name, volts, power, needs| -> Result<Judged<ContactorCheck>, Error> {
        let state = coil_state(
            volts,
            supply.wire,
            supply.coil,
            coil.resistance_20,
            power,
            needs,
        )?;
        let gets = state.map(|state| state.gets.as_volts());
        let needs = state.map(|state| state.needs.as_volts());
        Ok(at_least_of(name, gets, needs, SourceId::CoilCopper))
    };
    let hold_power = coil.hold_power.or(coil.pull_in_power);
    Ok([
        judge(
            ContactorCheck::PullIn,
            supply.lowest,
            coil.pull_in_power,
            coil.pull_in,
        )?,
        judge(ContactorCheck::Hold, supply.dip, hold_power, coil.drop_out)?,
    ])
}
