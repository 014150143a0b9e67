//! Continuous current and temperature of rectangular bars in still air.
//!
//! A bar is isothermal across its section, so one temperature decides: what the
//! resistance turns into heat against what each face gives off.
//!
//! * bar on edge: Nu = {0.825 + 0.387 Ra^(1/6) [1 + (0.492/Pr)^(9/16)]^(-8/27)}^2,
//!   length = the way of the boundary layer, from the middle of the underside over
//!   the broad face to the middle of the top: width + thickness; the same coefficient
//!   on the whole outline
//! * bar lying flat: upper face the larger of 0.54 Ra^(1/4) and 0.15 Ra^(1/3), lower
//!   face 0.27 Ra^(1/4) (the other way round for a bar colder than the air); length =
//!   area / perimeter, for a long bar half of the width; its narrow sides as above
//! * between two bars on edge: a channel open above and below,
//!   Nu = [576/(Ra s/H)^2 + 2.873/sqrt(Ra s/H)]^(-1/2) on the gap s, never better than
//!   the outside; the half of each narrow face next to it gives off nothing by
//!   convection, for it lies in the air that enters or leaves the channel
//! * between two bars lying flat: no convection; the air stands still there
//! * radiation: eps sigma (T4 - Tr4) from each outer face; the two inner faces see
//!   mostly each other
//!
//! Sources: [`crate::standard::SourceId::PlateConvection`],
//! [`crate::standard::SourceId::BodyConvection`] (the way as the length),
//! [`crate::standard::SourceId::ChannelConvection`],
//! [`crate::standard::SourceId::StripView`].
//!
//! Why not each face by its own equation: the narrow faces of a bar have Ra of 10 to
//! 300, far below the 1e4 where the plate equations begin, and each equation holds a
//! plate in the open, so four of them count the heat conducted into still air four
//! times. A 12 mm bar came out 13 % and a pair of them 25 % above DIN 43671.
//!
//! Validity: long horizontal bars in the open, direct current (no skin or proximity
//! effect: DIN 43671 gives up to 2 % less for one bar of 40 mm x 10 mm at 50 Hz and 4 %
//! less for two), joints and neighbours far away. A bar in a closed box carries less.
//! **The model is above DIN 43671**, see `tests/tests/busbar_against_din43671.rs` for
//! by how much; apply the same margin as for cables.

use super::air::{
    Air, ZERO_CELSIUS, cube_root, nine_sixteenths, pressure_at, radiant_flux, rayleigh,
    sixth_root_over,
};
use super::heat_balance::{Surroundings, root};
use crate::bounds::Bounded;
use crate::error::Error;
use crate::quantity::{
    Current, Emissivity, Length, LinearPower, LinearResistance, Resistivity, Temperature,
};
use crate::standard::metal::Metal;

/// The hottest bar that the balance looks for, degC; as for cables.
const HOTTEST: f32 = 1000.0;

/// How the bar lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[allow(clippy::exhaustive_enums)] // there is no third way
pub enum Face {
    /// On edge: the broad face is vertical.
    Vertical,
    /// Flat: the broad face is horizontal.
    Horizontal,
}

/// One rectangular bar, or two that share the current with a gap of one thickness
/// between their broad faces.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Bar {
    /// Breadth of the broad face.
    pub width: Length,
    /// Thickness of one bar.
    pub thickness: Length,
    /// Bars: 1 or 2.
    pub count: u8,
    /// Which metal.
    pub metal: Metal,
    /// Resistivity at 20 degC where the maker states it; `None` takes the metal's.
    pub resistivity_20: Option<Resistivity>,
    /// Emissivity: about 0.9 painted or sleeved, 0.4 oxidised copper, 0.1 bright
    /// (handbooks, from memory).
    pub emissivity: Emissivity,
    /// How it lies.
    pub face: Face,
}

/// A bar in one place, reduced to the numbers of the balance.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct BarBalance {
    /// Resistance of all bars together at 20 degC, ohm/m.
    r20: f32,
    alpha: f32,
    width: f32,
    thickness: f32,
    count: f32,
    pair: bool,
    emissivity: f32,
    face: Face,
    air: f32,
    radiant: f32,
    pressure: f32,
    absorbed: f32,
}

/// Temperature and heat of a bar once nothing changes any more.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct BarState {
    /// The bar.
    pub bar: Temperature,
    /// Heat of all bars together.
    pub loss: LinearPower,
    /// Part of it that the air takes; negative where the air heats the bar.
    pub convection: LinearPower,
    /// Part of it that is radiated; negative where the surroundings heat the bar.
    pub radiation: LinearPower,
    /// Resistance of all bars together at their temperature.
    pub resistance: LinearResistance,
}

/// Where a constant current leads.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // it settles or it does not
pub enum SteadyBar {
    /// The temperature settles.
    Settles(BarState),
    /// The heat grows faster than the faces can give it off, or it settles only
    /// above 1000 degC.
    NoSteadyState,
}

impl SteadyBar {
    /// Temperature of the bar, if there is one.
    pub const fn bar(&self) -> Option<Temperature> {
        match self {
            Self::Settles(state) => Some(state.bar),
            Self::NoSteadyState => None,
        }
    }
}

/// What leaves the bars per metre, W/m.
struct GivenOff {
    convection: f32,
    radiation: f32,
}

impl BarBalance {
    /// The balance of a bar in the open. Absorbed radiation counts for the bars
    /// together.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a side, a count or surroundings outside their rows.
    pub fn new(bar: &Bar, surroundings: &Surroundings) -> Result<Self, Error> {
        Bounded::BarSide.check(bar.width.as_mm())?;
        Bounded::BarSide.check(bar.thickness.as_mm())?;
        let count = Bounded::Bars.check(f32::from(bar.count))?;
        let (width, thickness) = (bar.width.as_metres(), bar.thickness.as_metres());
        let rho = bar
            .resistivity_20
            .unwrap_or_else(|| bar.metal.resistivity_20());
        let r20 = LinearResistance::from_ohm_per_m(rho.as_ohm_m() / (count * width * thickness))?;
        Ok(Self {
            r20: r20.as_ohm_per_m(),
            alpha: bar.metal.temperature_coefficient_20().as_per_kelvin(),
            width,
            thickness,
            count,
            pair: bar.count > 1,
            emissivity: bar.emissivity.as_fraction(),
            face: bar.face,
            air: Bounded::Surroundings.check(surroundings.air.as_degc())?,
            radiant: Bounded::Surroundings.check(surroundings.radiant.as_degc())?,
            pressure: pressure_at(surroundings.altitude)?.as_pascals(),
            absorbed: Bounded::AddedHeat.check(surroundings.absorbed.as_watts_per_m())?,
        })
    }

    /// Computes: the steady temperature at a constant current.
    ///
    /// Equation: I2 R20 [1 + a20 (T - 20)] = heat given off; T by bracketing between
    /// the coolest surroundings and 1000 degC, at most 68 evaluations. Inputs: current of
    /// all bars together, A, either direction. Result: [`SteadyBar`].
    ///
    /// # Errors
    /// [`Error::OutOfRange`] if a result is outside its quantity's bounds.
    pub fn temperature_at(&self, current: Current) -> Result<SteadyBar, Error> {
        let i2 = current.as_amperes() * current.as_amperes();
        let surplus = |t: f32| self.net(t) - i2 * self.resistance_at(t);
        if surplus(HOTTEST) < 0.0 {
            return Ok(SteadyBar::NoSteadyState);
        }
        let t = root(libm::fminf(self.air, self.radiant), HOTTEST, surplus);
        let resistance = self.resistance_at(t);
        let given_off = self.given_off(t);
        Ok(SteadyBar::Settles(BarState {
            bar: Temperature::from_degc(t)?,
            loss: LinearPower::from_watts_per_m(i2 * resistance)?,
            convection: LinearPower::from_watts_per_m(given_off.convection)?,
            radiation: LinearPower::from_watts_per_m(given_off.radiation)?,
            resistance: LinearResistance::from_ohm_per_m(resistance)?,
        }))
    }

    /// Computes: the constant current that brings the bar to a limit.
    ///
    /// Equation: I = sqrt(heat given off at the limit / resistance there). Inputs:
    /// limit, 0 to 1000 degC. Result: current of all bars together, A; `None` when the
    /// surroundings alone heat the bar to the limit.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for a limit outside its row.
    pub fn current_at(&self, limit: Temperature) -> Result<Option<Current>, Error> {
        let limit = Bounded::ConductorLimit.check(limit.as_degc())?;
        let net = self.net(limit);
        if net <= 0.0 {
            return Ok(None);
        }
        let current = libm::sqrtf(net / self.resistance_at(limit));
        Ok(Some(Current::from_amperes(current)?))
    }

    fn resistance_at(&self, t: f32) -> f32 {
        self.r20 * (1.0 + self.alpha * (t - 20.0))
    }

    /// Heat given off per metre, absorbed heat deducted.
    fn net(&self, t: f32) -> f32 {
        let given_off = self.given_off(t);
        given_off.convection + given_off.radiation - self.absorbed
    }

    fn given_off(&self, t: f32) -> GivenOff {
        let rise = t - self.air;
        let film = 0.5 * (t + self.air) + ZERO_CELSIUS;
        let free = FreeConvection {
            air: Air::at(film, self.pressure),
            film,
            difference: libm::fabsf(rise),
        };
        // Coefficient times breadth of what is outside and of the inner face, W/(m K).
        let way = self.width + self.thickness;
        let along = free.vertical(way);
        let (outside, inside) = match (self.face, self.pair) {
            (Face::Vertical, false) => (2.0 * along * way, 0.0),
            (Face::Vertical, true) => {
                let channel = free.channel(self.thickness, self.width);
                (along * way, libm::fminf(channel, along) * self.width)
            }
            (Face::Horizontal, pair) => {
                let broad = free.upper_and_lower(self.width) * self.width;
                // Of a pair the top of the upper and the underside of the lower bar are
                // left: per bar half of what a single one gives off.
                let share = if pair { 0.5 } else { 1.0 };
                (share * broad + 2.0 * along * self.thickness, 0.0)
            }
        };
        let inner_emissivity = if self.pair {
            facing_emissivity(self.emissivity, self.thickness, self.width)
        } else {
            self.emissivity
        };
        let per_area = |emissivity: f32| {
            radiant_flux(emissivity, t + ZERO_CELSIUS, self.radiant + ZERO_CELSIUS)
        };
        let outer_radiation = per_area(self.emissivity) * (self.width + 2.0 * self.thickness);
        let inner_radiation = per_area(inner_emissivity) * self.width;
        GivenOff {
            convection: self.count * (outside + inside) * rise,
            radiation: self.count * (outer_radiation + inner_radiation),
        }
    }
}

/// Free convection at one film temperature and one difference from the air.
struct FreeConvection {
    air: Air,
    film: f32,
    difference: f32,
}

impl FreeConvection {
    fn rayleigh(&self, size: f32) -> f32 {
        rayleigh(&self.air, self.film, self.difference, size)
    }

    /// Coefficient of a vertical face, or along a way of this length around a bar,
    /// W/(m2 K). Churchill & Chu, any Ra up to 1e12.
    fn vertical(&self, height: f32) -> f32 {
        let shape = 1.0 + nine_sixteenths(0.492 / self.air.prandtl);
        let root = 0.825 + 0.387 * sixth_root_over(self.rayleigh(height), shape);
        root * root * self.air.conductivity / height
    }

    /// Sum of the coefficients of an upper and a lower face of this width, W/(m2 K).
    /// Which of the two holds its heat back depends on the sign of the difference, so
    /// only the sum is free of it.
    ///
    /// The two laws of the rising face cross at Ra = 4.7e6 and the books change over
    /// at 1e7; the larger of the two does without the step of 6 % that lies between.
    fn upper_and_lower(&self, width: f32) -> f32 {
        let size = 0.5 * width;
        let ra = self.rayleigh(size);
        let fourth = libm::sqrtf(libm::sqrtf(ra));
        let rising = libm::fmaxf(0.54 * fourth, 0.15 * cube_root(ra));
        let held_back = 0.27 * fourth;
        (rising + held_back) * self.air.conductivity / size
    }

    /// Coefficient of either wall of a vertical channel, W/(m2 K), on the difference
    /// between the wall and the air outside.
    fn channel(&self, gap: f32, height: f32) -> f32 {
        let ra = self.rayleigh(gap) * gap / height;
        if ra <= 0.0 {
            return 0.0;
        }
        // 576/Ra2 + 2.873/sqrt(Ra), with Ra2 put before the root: 1/Ra2 overflows.
        let nusselt = ra / libm::sqrtf(576.0 + 2.873 * ra * libm::sqrtf(ra));
        nusselt * self.air.conductivity / gap
    }
}

/// Emissivity that either of two equal, equally hot strips seems to have towards the
/// surroundings, which it sees only through the gap.
///
/// F = sqrt(1 + (s/w)2) - s/w is what one sees of the other; with a uniform radiosity
/// eps' = eps (1 - F)/(1 - (1 - eps) F).
fn facing_emissivity(emissivity: f32, gap: f32, width: f32) -> f32 {
    let ratio = gap / width;
    // 1 - F, written without the difference of nearly equal numbers.
    let open = 2.0 * ratio / (1.0 + ratio + libm::sqrtf(1.0 + ratio * ratio));
    let divisor = open + emissivity * (1.0 - open);
    emissivity * open / divisor
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::heat_balance::tests::{amperes, surroundings};
    use crate::quantity::Altitude;
    use proptest::prelude::*;

    fn degc(value: f32) -> Temperature {
        Temperature::from_degc(value).unwrap()
    }

    fn bar(width: f32, thickness: f32, count: u8, emissivity: f32, face: Face) -> Bar {
        Bar {
            width: Length::from_mm(width).unwrap(),
            thickness: Length::from_mm(thickness).unwrap(),
            count,
            metal: Metal::Copper,
            resistivity_20: None,
            emissivity: Emissivity::from_fraction(emissivity).unwrap(),
            face,
        }
    }

    fn ampacity(bar: &Bar) -> f32 {
        BarBalance::new(bar, &surroundings(35.0))
            .unwrap()
            .current_at(degc(65.0))
            .unwrap()
            .unwrap()
            .as_amperes()
    }

    #[test]
    fn a_vertical_plate_of_the_textbook() {
        // Incropera, Fundamentals of Heat and Mass Transfer, example 9.2 (from memory):
        // glass of 0.71 m at 232 degC in air of 23 degC; the book's Ra 1.813e9 and
        // Nu 147 give 7.0 W/m2K. Tolerance 2 %: the simple air properties.
        let film = 0.5 * (232.0 + 23.0) + ZERO_CELSIUS;
        let free = FreeConvection {
            air: Air::at(film, crate::conductor::air::SEA_LEVEL_PRESSURE),
            film,
            difference: 209.0,
        };
        let h = free.vertical(0.71);
        assert!((h / 7.0 - 1.0).abs() < 0.02, "{h}");
    }

    #[test]
    fn strips_far_apart_and_strips_that_touch() {
        assert!((facing_emissivity(0.4, 1.0e3, 1.0) - 0.4).abs() < 1e-3);
        assert!(facing_emissivity(0.4, 1.0e-6, 1.0) < 1.1e-6);
        assert!(facing_emissivity(0.0, 1.0, 1.0).abs() < f32::EPSILON);
        // Square channel of black strips: 1 - F = 2 - sqrt(2).
        assert!((facing_emissivity(1.0, 1.0, 1.0) - 0.585_786).abs() < 1e-5);
    }

    #[test]
    fn without_current_the_bar_has_the_temperature_of_the_surroundings() {
        for face in [Face::Vertical, Face::Horizontal] {
            for count in [1, 2] {
                let bar = bar(30.0, 5.0, count, 0.4, face);
                let balance = BarBalance::new(&bar, &surroundings(25.0)).unwrap();
                let steady = balance.temperature_at(amperes(0.0)).unwrap();
                let t = steady.bar().unwrap().as_degc();
                assert!((t - 25.0).abs() < 1e-4, "{t}");
            }
        }
    }

    #[test]
    fn paint_the_standing_position_and_a_second_bar_help_but_not_double() {
        for (width, thickness) in [(12.0, 5.0), (20.0, 5.0), (40.0, 10.0), (100.0, 10.0)] {
            let one = ampacity(&bar(width, thickness, 1, 0.4, Face::Vertical));
            let painted = ampacity(&bar(width, thickness, 1, 0.9, Face::Vertical));
            let two = ampacity(&bar(width, thickness, 2, 0.4, Face::Vertical));
            assert!(painted > one);
            assert!(two > one && two < 2.0 * one, "{width}: {one} {two}");
            let flat = ampacity(&bar(width, thickness, 2, 0.4, Face::Horizontal));
            assert!(flat < two, "{width}: {flat} {two}");
        }
    }

    #[test]
    fn too_much_current_and_too_hot_a_place_are_results() {
        let bar = bar(30.0, 5.0, 1, 0.4, Face::Vertical);
        let balance = BarBalance::new(&bar, &surroundings(40.0)).unwrap();
        for current in [1.0e4, -1.0e6] {
            assert_eq!(
                balance.temperature_at(amperes(current)).unwrap(),
                SteadyBar::NoSteadyState
            );
        }
        let hot = BarBalance::new(&bar, &surroundings(90.0)).unwrap();
        assert_eq!(hot.current_at(degc(90.0)).unwrap(), None);
        assert_eq!(hot.current_at(degc(65.0)).unwrap(), None);
    }

    #[test]
    fn nonsense_is_refused() {
        let place = surroundings(40.0);
        for bad in [
            bar(30.0, 5.0, 0, 0.4, Face::Vertical),
            bar(30.0, 5.0, 3, 0.4, Face::Vertical),
            bar(0.0, 5.0, 1, 0.4, Face::Vertical),
            bar(30.0, 600.0, 1, 0.4, Face::Vertical),
        ] {
            assert!(matches!(
                BarBalance::new(&bad, &place),
                Err(Error::OutOfRange { .. })
            ));
        }
        let mut cooled = place;
        cooled.absorbed = LinearPower::from_watts_per_m(-1.0).unwrap();
        let good = bar(30.0, 5.0, 1, 0.4, Face::Vertical);
        assert!(BarBalance::new(&good, &cooled).is_err());
    }

    fn face() -> impl Strategy<Value = Face> {
        prop_oneof![Just(Face::Vertical), Just(Face::Horizontal)]
    }

    proptest! {
        #[test]
        fn current_and_temperature_are_inverse(
            width in 5.0_f32..200.0, thickness in 1.0_f32..20.0, count in 1_u8..=2,
            emissivity in 0.02_f32..1.0, air in -40.0_f32..60.0, rise in 5.0_f32..200.0,
            face in face(),
        ) {
            let bar = bar(width, thickness, count, emissivity, face);
            let balance = BarBalance::new(&bar, &surroundings(air)).unwrap();
            let limit = libm::fmaxf(air + rise, 0.0);
            let current = balance.current_at(degc(limit)).unwrap().unwrap();
            let SteadyBar::Settles(state) = balance.temperature_at(current).unwrap() else {
                panic!("no steady state at a current with one");
            };
            // 2e-5 of the rise for f32, and its last place.
            prop_assert!((state.bar.as_degc() - limit).abs() < 1e-3 + 2e-5 * rise);
            let out = state.convection.as_watts_per_m() + state.radiation.as_watts_per_m();
            prop_assert!((out / state.loss.as_watts_per_m() - 1.0).abs() < 1e-4);
        }

        #[test]
        fn more_current_warmer_air_and_thinner_air_are_never_cooler(
            current in 0.0_f32..400.0, air in -40.0_f32..100.0, altitude in 0.0_f32..9000.0,
            count in 1_u8..=2, face in face(),
        ) {
            let bar = bar(30.0, 5.0, count, 0.4, face);
            let at = |current: f32, air: f32, altitude: f32| {
                let mut place = surroundings(air);
                place.altitude = Altitude::from_metres(altitude).unwrap();
                BarBalance::new(&bar, &place).unwrap()
                    .temperature_at(amperes(current)).unwrap()
                    .bar().map_or(f32::INFINITY, Temperature::as_degc)
            };
            let here = at(current, air, altitude);
            prop_assert!(at(current + 5.0, air, altitude) >= here - 1e-4);
            prop_assert!(at(current, air + 5.0, altitude) >= here - 1e-4);
            prop_assert!(at(current, air, altitude + 500.0) >= here - 1e-4);
        }

        #[test]
        fn every_accepted_input_gives_a_finite_answer(
            current in -1.0e6_f32..1.0e6, air in -80.0_f32..1000.0, radiant in -80.0_f32..1000.0,
            absorbed in 0.0_f32..1.0e5, width in 0.5_f32..500.0, thickness in 0.5_f32..500.0,
            emissivity in 0.0_f32..1.0, face in face(),
        ) {
            let mut place = surroundings(air);
            place.radiant = degc(radiant);
            place.absorbed = LinearPower::from_watts_per_m(absorbed).unwrap();
            for count in [1, 2] {
                let bar = bar(width, thickness, count, emissivity, face);
                let balance = BarBalance::new(&bar, &place).unwrap();
                let _ = balance.temperature_at(amperes(current)).unwrap();
                let _ = balance.current_at(degc(125.0)).unwrap();
            }
        }
    }
}
