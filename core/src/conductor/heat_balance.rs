//! Steady state: what a conductor dissipates against what its surface gives off.
//!
//! Heat flows radially from the conductor through the insulation to the shield,
//! through the jacket to the outside, and from there by free convection and
//! radiation:
//!
//! * conductor: qc = I2 R20 kac [1 + a20 (Tc - 20)]
//! * shield: qs = lambda qc + fixed
//! * Tc = Ts + T3 (qc + qs) + T1 qc, the shield being isothermal
//! * outside: qc + qs = f pi D {h (Ts - Ta) + eps sigma (Ts4 - Tr4)} - Wabs
//!
//! f is the share of the free-air dissipation that the installation leaves (see
//! [`super::installation`]). Sources: [`Iec60287`](crate::standard::SourceId::Iec60287) for the balance and
//! the thermal resistances, [`ChurchillChu`](crate::standard::SourceId::ChurchillChu) for h.
//!
//! Validity: long horizontal cables in still air, sea level to 11 km. Against
//! IEC 60364-5-52 free-air tables the permissible current is 0.92 to 0.97 (method
//! G horizontal); against another national table 1.05 to 1.14. The published
//! tables disagree by as much among themselves, which is why sizing applies a
//! margin on top.

use core::f32::consts::PI;

use super::air::{ZERO_CELSIUS, convection_coefficient, pressure_at, radiant_flux, radiant_slope};
use super::cable::Cable;
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{
    Altitude, Current, Emissivity, Frequency, Length, LinearPower, LinearResistance,
    ShieldLossRatio, SkinConstant, Temperature,
};
use crate::standard::iec60287::InAir;

/// The hottest conductor that the balance looks for, degC. Above it copper itself
/// is near melting; "no steady state" is the honest answer.
const HOTTEST: f32 = 1000.0;

/// Most steps of a search for a root; see [`root`].
const STEPS: u8 = 64;

/// The air and the surfaces around a conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Surroundings {
    /// Temperature of the air at the cable.
    pub air: Temperature,
    /// Temperature of the surfaces that the cable sees; an exhaust or a heater
    /// beside it makes this hotter than the air.
    pub radiant: Temperature,
    /// Height above sea level.
    pub altitude: Altitude,
    /// Radiation absorbed from elsewhere, per metre of cable (sun); not negative.
    pub absorbed: LinearPower,
}

/// Heat that arises in the shield.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ShieldLoss {
    /// Heat that does not depend on the conductor's current.
    pub fixed: LinearPower,
    /// Heat as a multiple of the conductor's own.
    pub ratio: ShieldLossRatio,
}

/// How heat leaves the outside.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Surface {
    /// Free convection in still air and radiation: the model of this project.
    StillAir,
    /// The surface coefficients of IEC 60287-2-1, for comparison with its tables:
    /// h = Z/D^g + E, q = pi D h dT^1.25.
    Standard(InAir),
}

/// One conductor in one place, reduced to the numbers of the balance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct HeatBalance {
    pub(crate) r20: f32,
    pub(crate) alpha: f32,
    pub(crate) t1: f32,
    pub(crate) t3: f32,
    pub(crate) diameter: f32,
    emissivity: f32,
    pub(crate) air: f32,
    radiant: f32,
    pressure: f32,
    absorbed: f32,
    pub(crate) shield_fixed: f32,
    pub(crate) shield_ratio: f32,
    surface: Outside,
    pub(crate) dissipation: f32,
}

/// [`Surface`], with the standard's coefficient h put in for this diameter.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
enum Outside {
    StillAir,
    Standard(f32),
}

/// Temperatures and losses once nothing changes any more.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct SteadyState {
    /// Conductor.
    pub conductor: Temperature,
    /// Shield, or the outside of the insulation where there is none.
    pub shield: Temperature,
    /// Outside.
    pub surface: Temperature,
    /// Heat of the conductor.
    pub conductor_loss: LinearPower,
    /// Heat of the shield.
    pub shield_loss: LinearPower,
    /// Resistance of the conductor at its temperature, skin effect included.
    pub resistance: LinearResistance,
}

/// Where a constant current leads.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // it settles or it does not
pub enum Steady {
    /// The temperatures settle.
    Settles(SteadyState),
    /// The heat grows faster than the surface can give it off, or it settles only
    /// above 1000 degC.
    NoSteadyState,
}

/// How the outside gives off its heat, for people who want to follow the numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct OutsideHeat {
    /// Free convection of an unhindered surface, W/(m2 K) above the air.
    pub convection_w_per_m2_k: f32,
    /// Radiation of an unhindered surface, W/m2.
    pub radiation_w_per_m2: f32,
    /// Share of both that the installation leaves.
    pub share_left: f32,
    /// What is given off per metre in the end, absorbed radiation deducted.
    pub given_off: LinearPower,
}

impl Steady {
    /// Temperature of the outside, if there is one.
    pub const fn surface(&self) -> Option<Temperature> {
        match self {
            Self::Settles(state) => Some(state.surface),
            Self::NoSteadyState => None,
        }
    }

    /// Conductor temperature, if there is one.
    pub const fn conductor(&self) -> Option<Temperature> {
        match self {
            Self::Settles(state) => Some(state.conductor),
            Self::NoSteadyState => None,
        }
    }
}

impl HeatBalance {
    /// The balance of a cable in free air: no shield loss, direct current.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for surroundings outside -80 to 1000 degC and for absorbed
    /// radiation below zero.
    pub fn new(cable: &Cable, surroundings: &Surroundings) -> Result<Self, Error> {
        let build = cable.build();
        Bounded::Surroundings.check(surroundings.air.as_degc())?;
        Bounded::Surroundings.check(surroundings.radiant.as_degc())?;
        Ok(Self {
            r20: build.resistance_20.as_ohm_per_m(),
            alpha: build.metal.temperature_coefficient_20().as_per_kelvin(),
            t1: cable.insulation_resistance().as_k_m_per_w(),
            t3: cable.jacket_resistance().as_k_m_per_w(),
            diameter: cable.outer_diameter().as_metres(),
            emissivity: build.emissivity.as_fraction(),
            air: surroundings.air.as_degc(),
            radiant: surroundings.radiant.as_degc(),
            pressure: pressure_at(surroundings.altitude)?.as_pascals(),
            absorbed: Bounded::AddedHeat.check(surroundings.absorbed.as_watts_per_m())?,
            shield_fixed: 0.0,
            shield_ratio: 0.0,
            surface: Outside::StillAir,
            dissipation: 1.0,
        })
    }

    /// Adds heat in the shield.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a heat below zero.
    pub fn with_shield_loss(mut self, loss: ShieldLoss) -> Result<Self, Error> {
        self.shield_fixed = Bounded::AddedHeat.check(loss.fixed.as_watts_per_m())?;
        self.shield_ratio = loss.ratio.as_fraction();
        Ok(self)
    }

    /// Replaces the way heat leaves the outside.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a diameter that the standard's table does not cover.
    pub fn with_surface(mut self, surface: Surface) -> Result<Self, Error> {
        self.surface = match surface {
            Surface::StillAir => Outside::StillAir,
            Surface::Standard(row) => {
                Outside::Standard(row.heat_dissipation(Length::from_metres(self.diameter)?)?)
            }
        };
        Ok(self)
    }

    /// The same place seen from another outside: a tube around the cable.
    pub(crate) fn with_outside(mut self, diameter: Length, emissivity: Emissivity) -> Self {
        self.diameter = diameter.as_metres();
        self.emissivity = emissivity.as_fraction();
        self.surface = Outside::StillAir;
        self
    }

    /// The coolest of the surroundings, degC.
    pub(crate) fn coolest(&self) -> f32 {
        libm::fminf(self.air, self.radiant)
    }

    /// Raises the resistance by the skin effect for alternating current.
    ///
    /// The increase is that at the coolest temperature the conductor can have,
    /// its surroundings': it falls as the conductor warms, so the result errs on
    /// the safe side by at most the change between the two.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] if the resulting resistance is.
    pub fn with_frequency(
        mut self,
        frequency: Frequency,
        skin_constant: SkinConstant,
    ) -> Result<Self, Error> {
        let coolest = LinearResistance::from_ohm_per_m(self.resistance_at(self.coolest()))?;
        let increase = super::skin::skin_increase(coolest, frequency, skin_constant);
        self.r20 = LinearResistance::from_ohm_per_m(self.r20 * (1.0 + increase))?.as_ohm_per_m();
        Ok(self)
    }

    /// Computes: the steady temperatures at a constant current.
    ///
    /// Equation: see the module; the surface temperature is the unknown, found by
    /// bracketing between the coolest surroundings and 1000 degC. Inputs: current,
    /// A, either direction. Result: [`Steady`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] if a result is outside its quantity's bounds.
    pub fn temperature_at(&self, current: Current) -> Result<Steady, Error> {
        let i2 = current.as_amperes() * current.as_amperes();
        let ratio = 1.0 + self.shield_ratio;
        // Share of each kelvin that comes back through the resistance's rise.
        let feedback = 1.0 - i2 * self.r20 * self.alpha * (self.t1 + self.t3 * ratio);
        if feedback <= 0.0 {
            return Ok(Steady::NoSteadyState);
        }
        let at_surface =
            |ts: f32| i2 * self.resistance_at(ts + self.t3 * self.shield_fixed) / feedback;
        let surplus = |ts: f32| self.given_off(ts) - (at_surface(ts) * ratio + self.shield_fixed);
        if surplus(HOTTEST) < 0.0 {
            return Ok(Steady::NoSteadyState);
        }
        let ts = root(self.coolest(), HOTTEST, surplus);
        let conductor_loss = at_surface(ts);
        let shield_loss = self.shield_ratio * conductor_loss + self.shield_fixed;
        let shield = ts + self.t3 * (conductor_loss + shield_loss);
        let conductor = shield + self.t1 * conductor_loss;
        if conductor > HOTTEST {
            return Ok(Steady::NoSteadyState);
        }
        Ok(Steady::Settles(SteadyState {
            conductor: Temperature::from_degc(conductor)?,
            shield: Temperature::from_degc(shield)?,
            surface: Temperature::from_degc(ts)?,
            conductor_loss: LinearPower::from_watts_per_m(conductor_loss)?,
            shield_loss: LinearPower::from_watts_per_m(shield_loss)?,
            resistance: LinearResistance::from_ohm_per_m(self.resistance_at(conductor))?,
        }))
    }

    /// Computes: the constant current that brings the conductor to a limit.
    ///
    /// Equation: the balance with Tc = limit, the surface temperature by
    /// bracketing. Inputs: limit, 0 to 1000 degC. Result: current, A; `None` when
    /// the surroundings alone heat the conductor to the limit.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a limit outside its row.
    pub fn current_at(&self, limit: Temperature) -> Result<Option<Current>, Error> {
        let limit = Bounded::ConductorLimit.check(limit.as_degc())?;
        Ok(match self.loss_at(limit) {
            Some((loss, _)) => {
                let i2 = loss / self.resistance_at(limit);
                Some(Current::from_amperes(libm::sqrtf(i2))?)
            }
            None => None,
        })
    }

    /// Conductor loss and surface temperature with the conductor at `limit`.
    fn loss_at(&self, limit: f32) -> Option<(f32, f32)> {
        let ratio = 1.0 + self.shield_ratio;
        let conductor_loss = |given_off: f32| (given_off - self.shield_fixed) / ratio;
        // What is left of the way from the surface to the limit; falls with ts.
        let overshoot = |ts: f32| {
            let given_off = self.given_off(ts);
            let drop = self.t3 * given_off + self.t1 * conductor_loss(given_off);
            drop - (limit - ts)
        };
        if conductor_loss(self.given_off(limit)) <= 0.0 {
            return None;
        }
        let coolest = libm::fminf(self.coolest(), limit);
        let ts = root(coolest, limit, overshoot);
        let loss = conductor_loss(self.given_off(ts));
        if loss > 0.0 { Some((loss, ts)) } else { None }
    }

    /// The same place without sun and without heat of its own in the shield.
    pub(crate) const fn without_added_heat(mut self) -> Self {
        self.absorbed = 0.0;
        self.shield_fixed = 0.0;
        self
    }

    /// The same place with the surface hindered as much as that of `other`.
    pub(crate) const fn hindered_like(mut self, other: &Self) -> Self {
        self.dissipation = other.dissipation;
        self
    }

    /// Heat per metre, with that of the shield, for each kelvin that the conductor is
    /// above the temperature it has without current; over 1 K at least, where `f32` still
    /// tells the difference. `None` when no heat leaves.
    pub(crate) fn heat_per_kelvin(&self, without_current: f32, conductor: f32) -> Option<f32> {
        let conductor = libm::fmaxf(conductor, without_current + 1.0);
        let (loss, _) = self.loss_at(conductor)?;
        Some(loss * (1.0 + self.shield_ratio) / (conductor - without_current))
    }

    /// Leaves only so much of the surface's dissipation that the conductor reaches
    /// `limit` at `share` of the current it would carry now. The share has to be one
    /// without added heat; see [`super::installation`].
    ///
    /// # Errors
    /// [`Inconsistency::SurroundingsAboveLimit`] when nothing can be carried at all.
    pub(crate) fn restricted(mut self, share: f32, limit: Temperature) -> Result<Self, Error> {
        let limit = Bounded::ConductorLimit.check(limit.as_degc())?;
        let Some((loss, _)) = self.loss_at(limit) else {
            return Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit));
        };
        let conductor_loss = loss * share * share;
        let total = conductor_loss * (1.0 + self.shield_ratio) + self.shield_fixed;
        let ts = limit - self.t3 * total - self.t1 * conductor_loss;
        let unrestricted = self.unrestricted_loss(ts);
        if unrestricted <= 0.0 {
            return Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit));
        }
        self.dissipation = (total + self.absorbed) / unrestricted;
        Ok(self)
    }

    /// Computes: the parts of the heat given off at a surface temperature.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] when the heat leaves its bounds.
    pub fn outside_heat(&self, surface: Temperature) -> Result<OutsideHeat, Error> {
        let ts = surface.as_degc();
        let (convection, radiation) = self.surface_fluxes(ts);
        Ok(OutsideHeat {
            convection_w_per_m2_k: convection,
            radiation_w_per_m2: radiation,
            share_left: self.dissipation,
            given_off: LinearPower::from_watts_per_m(self.given_off(ts))?,
        })
    }

    /// Resistance per metre at 20 degC, skin effect included.
    ///
    /// # Errors
    /// None: it was checked when it was made.
    pub fn effective_resistance_20(&self) -> Result<LinearResistance, Error> {
        LinearResistance::from_ohm_per_m(self.r20)
    }

    /// Resistance per metre at a conductor temperature.
    pub(crate) fn resistance_at(&self, degc: f32) -> f32 {
        self.r20 * (1.0 + self.alpha * (degc - 20.0))
    }

    /// Heat given off per metre at a surface temperature, absorbed heat deducted.
    pub(crate) fn given_off(&self, ts: f32) -> f32 {
        self.dissipation * self.unrestricted_loss(ts) - self.absorbed
    }

    /// The same with about how much more it is for each kelvin, W/(m K): convection taken as
    /// growing with the power 5/4 of the rise, radiation with the fourth of the temperature.
    /// For an implicit step that keeps its order with any slope.
    pub(crate) fn given_off_and_slope(&self, ts: f32) -> (f32, f32) {
        let (convection, radiation) = self.surface_fluxes(ts);
        let around = self.dissipation * PI * self.diameter;
        let kelvin = ts + ZERO_CELSIUS;
        let radiating = match self.surface {
            Outside::StillAir => radiant_slope(self.emissivity, kelvin),
            Outside::Standard(_) => 0.0,
        };
        (
            around * (convection * (ts - self.air) + radiation) - self.absorbed,
            around * (1.25 * convection + radiating),
        )
    }

    /// Heat that a free surface would give off per metre.
    fn unrestricted_loss(&self, ts: f32) -> f32 {
        let (convection, radiation) = self.surface_fluxes(ts);
        PI * self.diameter * (convection * (ts - self.air) + radiation)
    }

    /// Convection of a free surface, W/(m2 K), and its radiation, W/m2.
    fn surface_fluxes(&self, ts: f32) -> (f32, f32) {
        match self.surface {
            Outside::StillAir => {
                let (surface, air) = (ts + ZERO_CELSIUS, self.air + ZERO_CELSIUS);
                let h = convection_coefficient(surface, air, self.diameter, self.pressure);
                (
                    h,
                    radiant_flux(self.emissivity, surface, self.radiant + ZERO_CELSIUS),
                )
            }
            // The standard's coefficient holds radiation too.
            Outside::Standard(h) => {
                let rise = libm::fabsf(ts - self.air);
                (h * libm::sqrtf(libm::sqrtf(rise)), 0.0)
            }
        }
    }
}

/// Where the first look beside the cool end is taken: wide enough for `f32` to see a
/// difference.
const FIRST_SHARE: f32 = 1.0e-3;

/// Root of a rising function between `low`, where it is not positive, and `high`,
/// where it is not negative: the upper end of a bracket as narrow as `f32` allows, for
/// a temperature the safe side.
///
/// The false position with the weight of an end that stays put reduced (Anderson and
/// Bjorck), and a halving whenever two steps have not halved the bracket; so never more
/// than [`STEPS`] evaluations after the first four, usually about eight in all. An `f32` has
/// fewer than 2^32 values, so `STEPS` is twice 32.
pub(crate) fn root(mut low: f32, mut high: f32, rising: impl Fn(f32) -> f32) -> f32 {
    let (mut below, mut above) = (rising(low), rising(high));
    // A bracket to start from: what is given off curves upwards, so the line through two
    // points at the cool end meets zero beyond the root, and not far beyond.
    let near = low + FIRST_SHARE * (high - low);
    let at_near = rising(near);
    if at_near >= 0.0 {
        (high, above) = (near, at_near);
    } else {
        let beyond = near - at_near * (near - low) / (at_near - below);
        (low, below) = (near, at_near);
        if beyond > low && beyond < high {
            let there = rising(beyond);
            if there < 0.0 {
                (low, below) = (beyond, there);
            } else {
                (high, above) = (beyond, there);
            }
        }
    }
    let mut two_steps_ago = [f32::INFINITY; 2];
    let mut last_moved = End::Neither;
    for _ in 0..STEPS {
        let width = high - low;
        let finest =
            2.0 * f32::EPSILON * libm::fmaxf(libm::fmaxf(low, -low), libm::fmaxf(high, -high));
        if width <= finest {
            break;
        }
        let [older, newer] = two_steps_ago;
        let guess = if width > 0.5 * older {
            0.5
        } else {
            below / (below - above)
        };
        two_steps_ago = [newer, width];
        // Inside by at least a hair, so that the far end closes in as well.
        let inset = 0.5 * finest / width;
        let share = libm::fmaxf(inset, libm::fminf(guess, 1.0 - inset));
        let x = low + share * width;
        if x <= low || x >= high {
            break;
        }
        let here = rising(x);
        if here < 0.0 {
            if last_moved == End::Low {
                above *= weight(here, below);
            }
            (low, below, last_moved) = (x, here, End::Low);
        } else {
            if last_moved == End::High {
                below *= weight(here, above);
            }
            (high, above, last_moved) = (x, here, End::High);
        }
    }
    high
}

/// Which end of the bracket moved.
#[derive(Clone, Copy, PartialEq)]
enum End {
    Neither,
    Low,
    High,
}

/// How much an end that stayed put still counts after the other moved twice.
fn weight(here: f32, before: f32) -> f32 {
    let weight = 1.0 - here / before;
    if weight > 0.0 { weight } else { 0.5 }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::conductor::cable::{CableBuild, ShieldLayer, Wall};
    use crate::quantity::{Area, ConductorArea};
    use crate::standard::insulation::Compound;
    use crate::standard::metal::Metal;
    use proptest::prelude::*;

    fn wall(mm: f32, compound: Compound) -> Wall {
        Wall {
            thickness: Length::from_mm(mm).unwrap(),
            conductivity: compound.thermal_conductivity(),
            heat_capacity: compound.heat_capacity(),
            density: compound.density(),
        }
    }

    /// A shielded cable with the walls of 50 mm2 and a conductor filled to three
    /// quarters.
    pub(crate) fn cable(mm2: f32, ohm_per_km: f32) -> Cable {
        let conductor = libm::sqrtf(mm2 * 4.0 / PI / 0.75);
        Cable::new(CableBuild {
            metal: Metal::Copper,
            section: ConductorArea::from_mm2(mm2).unwrap(),
            conductor_diameter: Length::from_mm(conductor).unwrap(),
            resistance_20: LinearResistance::from_ohm_per_km(ohm_per_km).unwrap(),
            insulation: wall(1.3, Compound::Xlpe),
            shield: Some(ShieldLayer {
                thickness: Length::from_mm(0.5).unwrap(),
                metal_area: Area::from_mm2(9.671).unwrap(),
                metal: Metal::Copper,
            }),
            jacket: Some(wall(1.5, Compound::Pvc)),
            emissivity: Emissivity::from_fraction(0.9).unwrap(),
        })
        .unwrap()
    }

    pub(crate) fn surroundings(air: f32) -> Surroundings {
        Surroundings {
            air: Temperature::from_degc(air).unwrap(),
            radiant: Temperature::from_degc(air).unwrap(),
            altitude: Altitude::from_metres(0.0).unwrap(),
            absorbed: LinearPower::from_watts_per_m(0.0).unwrap(),
        }
    }

    pub(crate) fn amperes(value: f32) -> Current {
        Current::from_amperes(value).unwrap()
    }

    fn settled(balance: &HeatBalance, current: f32) -> f32 {
        balance
            .temperature_at(amperes(current))
            .unwrap()
            .conductor()
            .unwrap()
            .as_degc()
    }

    fn degc(value: f32) -> Temperature {
        Temperature::from_degc(value).unwrap()
    }

    #[test]
    fn without_current_everything_has_the_temperature_of_the_surroundings() {
        let balance = HeatBalance::new(&cable(50.0, 0.386), &surroundings(25.0)).unwrap();
        let Steady::Settles(state) = balance.temperature_at(amperes(0.0)).unwrap() else {
            panic!("no current and no steady state");
        };
        for part in [state.conductor, state.shield, state.surface] {
            assert!((part.as_degc() - 25.0).abs() < 1e-4, "{state:?}");
        }
    }

    #[test]
    fn too_much_current_has_no_steady_state_and_that_is_a_result() {
        let balance = HeatBalance::new(&cable(50.0, 0.386), &surroundings(40.0)).unwrap();
        for current in [3000.0, 100_000.0, -100_000.0, 1.0e6] {
            assert_eq!(
                balance.temperature_at(amperes(current)).unwrap(),
                Steady::NoSteadyState
            );
        }
    }

    #[test]
    fn absorbed_heat_that_cools_is_refused() {
        // Below the coolest surroundings there is no bracket for the surface: with
        // -1000 W/m the search ended at its edge and gave a current that was too high.
        let mut place = surroundings(40.0);
        place.absorbed = LinearPower::from_watts_per_m(-1000.0).unwrap();
        assert!(matches!(
            HeatBalance::new(&cable(50.0, 0.386), &place),
            Err(Error::OutOfRange {
                what: Bounded::AddedHeat,
                ..
            })
        ));
        let balance = HeatBalance::new(&cable(50.0, 0.386), &surroundings(40.0)).unwrap();
        let loss = ShieldLoss {
            fixed: LinearPower::from_watts_per_m(-1.0).unwrap(),
            ratio: ShieldLossRatio::from_fraction(0.0).unwrap(),
        };
        assert!(balance.with_shield_loss(loss).is_err());
    }

    #[test]
    fn surroundings_as_hot_as_the_limit_leave_no_current() {
        let balance = HeatBalance::new(&cable(50.0, 0.386), &surroundings(125.0)).unwrap();
        assert_eq!(balance.current_at(degc(125.0)).unwrap(), None);
        assert_eq!(balance.current_at(degc(90.0)).unwrap(), None);
        assert!(balance.restricted(0.88, degc(125.0)).is_err());
    }

    #[test]
    fn a_hot_exhaust_takes_current_away_until_none_is_left() {
        // PHYSICS: factor 0.89-0.90 at 80 degC, 0.72-0.75 at 120 degC over 40 degC air
        // (computed independently, own double-precision reference).
        let plain = HeatBalance::new(&cable(50.0, 0.386), &surroundings(40.0)).unwrap();
        let whole = plain.current_at(degc(125.0)).unwrap().unwrap().as_amperes();
        for (radiant, low, high) in [(80.0, 0.885, 0.905), (120.0, 0.715, 0.755)] {
            let mut hot = surroundings(40.0);
            hot.radiant = degc(radiant);
            let balance = HeatBalance::new(&cable(50.0, 0.386), &hot).unwrap();
            let share = balance
                .current_at(degc(125.0))
                .unwrap()
                .unwrap()
                .as_amperes()
                / whole;
            assert!((low..high).contains(&share), "{radiant}: {share}");
        }
        let mut glowing = surroundings(40.0);
        glowing.radiant = degc(400.0);
        let balance = HeatBalance::new(&cable(50.0, 0.386), &glowing).unwrap();
        assert_eq!(balance.current_at(degc(125.0)).unwrap(), None);
    }

    #[test]
    fn the_restricted_balance_reaches_its_limit_at_the_stated_share() {
        let free = HeatBalance::new(&cable(70.0, 0.272), &surroundings(60.0)).unwrap();
        let whole = free.current_at(degc(125.0)).unwrap().unwrap().as_amperes();
        for share in [1.0, 0.88, 0.66, 0.4] {
            let restricted = free.restricted(share, degc(125.0)).unwrap();
            let left = restricted
                .current_at(degc(125.0))
                .unwrap()
                .unwrap()
                .as_amperes();
            // f32 through two root searches: 2e-5 relative.
            assert!((left / whole / share - 1.0).abs() < 2e-5, "{share}: {left}");
        }
    }

    #[test]
    fn a_root_takes_about_eight_evaluations_and_never_more_than_the_bound() {
        use core::cell::Cell;
        let count = Cell::new(0);
        let mut most = 0;
        for (low, high, power) in [
            (40.0, 1000.0, 1.0),
            (40.0, 1000.0, 4.0),
            (-80.0, 125.0, 1.25),
            (0.0, 1.0e6, 8.0),
        ] {
            for share in [0.0, 1.0e-6, 0.01, 0.5, 0.99, 1.0] {
                count.set(0);
                let exact = low + share * (high - low);
                let rising = |x: f32| {
                    count.set(count.get() + 1);
                    let t = libm::powf((x - low) / (high - low), power);
                    t - libm::powf(share, power)
                };
                let found = root(low, high, rising);
                // As sharp as the function itself: its rounding moves the root.
                let blur = (high - low) * 1.0e-5;
                assert!(
                    (found - exact).abs() <= blur,
                    "{low} {high} {power} {share}: {found}"
                );
                most = most.max(count.get());
            }
        }
        assert!(most <= u32::from(STEPS) + 4, "{most}");
        count.set(0);
        let balance = HeatBalance::new(&cable(70.0, 0.272), &surroundings(60.0)).unwrap();
        let _ = root(60.0, HOTTEST, |ts| {
            count.set(count.get() + 1);
            balance.given_off(ts) - 20.0
        });
        assert!(count.get() <= 12, "{}", count.get());
    }

    proptest! {
        #[test]
        fn current_and_temperature_are_inverse(
            mm2 in 16.0_f32..240.0, air in -40.0_f32..80.0, limit in 90.0_f32..200.0,
        ) {
            let balance =
                HeatBalance::new(&cable(mm2, 18.9 / mm2), &surroundings(air)).unwrap();
            let current = balance.current_at(degc(limit)).unwrap().unwrap();
            let back = settled(&balance, current.as_amperes());
            // Rise of at least 10 K, f32 error of the balance 1e-6 to 1e-5 of it.
            prop_assert!((back - limit).abs() < 0.01, "{limit} {back}");
        }

        #[test]
        fn more_current_more_air_temperature_or_more_altitude_is_never_cooler(
            current in 0.0_f32..300.0, air in -40.0_f32..120.0, altitude in 0.0_f32..9000.0,
        ) {
            let cable = cable(70.0, 0.272);
            let at = |current: f32, air: f32, altitude: f32| {
                let mut place = surroundings(air);
                place.altitude = Altitude::from_metres(altitude).unwrap();
                settled(&HeatBalance::new(&cable, &place).unwrap(), current)
            };
            let here = at(current, air, altitude);
            // One unit in the last place of such a temperature is 2e-5 K.
            prop_assert!(at(current + 5.0, air, altitude) >= here - 1e-4);
            prop_assert!(at(current, air + 5.0, altitude) >= here - 1e-4);
            prop_assert!(at(current, air, altitude + 500.0) >= here - 1e-4);
        }

        #[test]
        fn every_accepted_input_gives_a_finite_answer(
            current in -1.0e6_f32..1.0e6, air in -80.0_f32..1000.0, radiant in -80.0_f32..1000.0,
            altitude in -500.0_f32..11000.0, absorbed in 0.0_f32..1.0e5,
        ) {
            let place = Surroundings {
                air: degc(air),
                radiant: degc(radiant),
                altitude: Altitude::from_metres(altitude).unwrap(),
                absorbed: LinearPower::from_watts_per_m(absorbed).unwrap(),
            };
            let balance = HeatBalance::new(&cable(50.0, 0.386), &place).unwrap();
            let _ = balance.temperature_at(amperes(current)).unwrap();
            let _ = balance.current_at(degc(125.0)).unwrap();
        }
    }
}
