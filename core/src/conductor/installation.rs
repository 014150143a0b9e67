//! Where a conductor runs, and how much of its free-air current that leaves.
//!
//! Each installation is reduced to one number at the limit temperature: the share
//! of the free-air current that brings the conductor to the same limit. From it
//! `HeatBalance::restricted` derives how much of the surface's dissipation is
//! left, and steady states and transients both use that. At the limit the result
//! is exactly the stated share; below it the temperature is the one that the
//! reduced surface gives.
//!
//! The shares are those of a cable that only its own current heats. Sun and heat of
//! its own in the shield have to leave through the same hindered surface, so they cost
//! more current here than in free air: the dissipation left is found without them, and
//! they come on top of it. In a tube they count at the cable, inside of the gap.

use core::f32::consts::PI;

use super::cable::Cable;
use super::heat_balance::{HeatBalance, root};
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Emissivity, Length, Temperature, ThermalConductivity};
use crate::standard::SourceId;
use crate::standard::grouping::{GroupingRow, grouping_factor};
use crate::standard::iec60287::{Tube as TubeMaterial, TubeConstants};

/// How many cables share a tube.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[cfg_attr(feature = "serde", serde(rename_all = "kebab-case"))]
#[allow(clippy::exhaustive_enums)] // the model covers these two
pub enum InTube {
    /// One cable.
    One,
    /// Outgoing and return conductor together.
    Pair,
}

/// A closed tube, sleeve or conduit of known size.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Tube {
    /// Inner diameter.
    pub inner: Length,
    /// Outer diameter.
    pub outer: Length,
    /// Thermal conductivity of its wall.
    pub conductivity: ThermalConductivity,
    /// Emissivity of its outside.
    pub emissivity: Emissivity,
    /// What it is made of, which decides the constants of the gap.
    pub material: TubeMaterial,
}

/// What is around the conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Installation {
    /// Alone in free air, other cables at least two diameters away.
    FreeAir,
    /// Outgoing and return conductor side by side, touching.
    TouchingPair,
    /// Touching a panel or frame along its length.
    AgainstPanel,
    /// In a closed tube or sleeve; without its size a safe rule is used.
    ClosedTube(InTube, Option<Tube>),
}

/// One installation with the loaded circuits bundled with it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Routing {
    /// What is around the conductor.
    pub installation: Installation,
    /// Loaded circuits in the bundle, this one included: 1 to 20. A DC pair is
    /// one circuit.
    pub circuits: u8,
}

/// How a share came about.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct CurrentShare {
    /// Share of the free-air current.
    pub total: f32,
    /// Part due to the installation.
    pub installation: f32,
    /// Where that comes from.
    pub installation_source: SourceId,
    /// Part due to grouping.
    pub grouping: f32,
}

/// Two cables touching, horizontal: 0.881 to 0.882 computed from the surface
/// coefficients of IEC 60287-2-1 Table 2 (from memory) over 10 to 22 mm diameter;
/// 0.875 to 0.885 between the columns of IEC 60364-5-52 Table B.52.12.
const TOUCHING_PAIR: f32 = 0.88;
/// Clipped to a panel: 0.929 to 0.935 computed from the same table, rounded down.
const AGAINST_PANEL: f32 = 0.92;
/// One cable in a closed 2 to 3 mm tube: the lowest of 0.78 to 0.84 computed with a
/// concentric gap and with the tube constants of IEC 60287-2-1.
const ONE_IN_TUBE: f32 = 0.78;
/// A pair in one tube: the lowest of 0.66 to 0.71, likewise.
const PAIR_IN_TUBE: f32 = 0.66;

impl Routing {
    /// Alone in free air.
    pub const FREE_AIR: Self = Self {
        installation: Installation::FreeAir,
        circuits: 1,
    };

    /// Computes: share of the free-air current at the limit temperature, of a cable
    /// without added heat (that of `free` is left out).
    ///
    /// Sources: [`SourceId::Iec60287Surface`] for pairs and panels,
    /// [`SourceId::Iec60287Tube`] for a tube of known size,
    /// [`SourceId::ProjectDefault`] for a tube of unknown size, and
    /// [`SourceId::Iec60364Grouping`] for bundles: table row "bunched", the count
    /// rounded up to the next column, on the base of a touching pair. The factors
    /// suppose equal loading, so a lightly loaded neighbour makes them safe.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for less than 1 or more than 20 circuits;
    /// [`Inconsistency::TubeTooNarrow`].
    pub fn current_share(
        &self,
        cable: &Cable,
        free: &HeatBalance,
        limit: Temperature,
    ) -> Result<CurrentShare, Error> {
        Bounded::GroupedCircuits.check(f32::from(self.circuits))?;
        let bundled = self.circuits > 1;
        let (installation, source) = match self.installation {
            Installation::FreeAir if bundled => (TOUCHING_PAIR, SourceId::Iec60287Surface),
            Installation::FreeAir => (1.0, SourceId::Iec60287),
            Installation::TouchingPair => (TOUCHING_PAIR, SourceId::Iec60287Surface),
            Installation::AgainstPanel if bundled => {
                (AGAINST_PANEL * TOUCHING_PAIR, SourceId::Iec60287Surface)
            }
            Installation::AgainstPanel => (AGAINST_PANEL, SourceId::Iec60287Surface),
            Installation::ClosedTube(fill, None) => {
                let pair = bundled || fill == InTube::Pair;
                (
                    if pair { PAIR_IN_TUBE } else { ONE_IN_TUBE },
                    SourceId::ProjectDefault,
                )
            }
            Installation::ClosedTube(fill, Some(tube)) => {
                let fill = if bundled { InTube::Pair } else { fill };
                (
                    tube.current_share(cable, &free.without_added_heat(), fill, limit)?,
                    SourceId::Iec60287Tube,
                )
            }
        };
        let grouping = grouping_factor(GroupingRow::Bunched, self.circuits)?;
        Ok(CurrentShare {
            total: installation * grouping,
            installation,
            installation_source: source,
            grouping,
        })
    }
}

impl HeatBalance {
    /// The balance of the same cable laid as `routing` says instead of free.
    ///
    /// # Errors
    /// Those of [`Routing::current_share`];
    /// [`Inconsistency::SurroundingsAboveLimit`] when nothing can be carried at all.
    pub fn installed(
        &self,
        cable: &Cable,
        routing: &Routing,
        limit: Temperature,
    ) -> Result<(Self, CurrentShare), Error> {
        let bare = self.without_added_heat();
        let share = routing.current_share(cable, &bare, limit)?;
        let hindered = bare.restricted(share.total, limit)?;
        Ok((self.hindered_like(&hindered), share))
    }
}

/// Where the constants of a tube that nobody states come from.
pub const WALL_SOURCE: SourceId = SourceId::MaterialHandbook;

impl Tube {
    /// Computes: a tube of known size of which nobody states conductivity and emissivity.
    ///
    /// Values: plastics and fibre 0.25 W/(m K) and 0.9, metals 50 W/(m K), a steel's and
    /// less than most, and 0.3, that of bare metal. Source: [`WALL_SOURCE`], from memory.
    /// Validity: a wall of one material.
    ///
    /// # Errors
    /// None for these values.
    pub fn of_material(
        material: TubeMaterial,
        inner: Length,
        outer: Length,
    ) -> Result<Self, Error> {
        let (conductivity, emissivity) = match material {
            TubeMaterial::Metallic => (50.0, 0.3),
            TubeMaterial::FibreInAir | TubeMaterial::Plastic => (0.25, 0.9),
        };
        Ok(Self {
            inner,
            outer,
            conductivity: ThermalConductivity::from_w_per_m_k(conductivity)?,
            emissivity: Emissivity::from_fraction(emissivity)?,
            material,
        })
    }

    /// Computes: share of the free-air current in this tube; `free` has no added heat.
    ///
    /// Equation: T' = U/(1 + 0.1 (V + Y theta) De) between cable and tube, De the
    /// group's diameter in mm (1.65 D for two cables), theta the mean temperature
    /// of the gap; T'' = ln(Do/Di)/(2 pi k) of the wall; free convection and
    /// radiation from the outside of the tube. Source:
    /// [`SourceId::Iec60287Tube`], from memory.
    ///
    /// Validity: the standard states De of 25 to 100 mm; vehicle cables are
    /// thinner. Against a concentric-gap calculation the fibre constants are 6 to
    /// 17 % low (safe), the metallic ones -7 to +5 %.
    fn current_share(
        &self,
        cable: &Cable,
        free: &HeatBalance,
        fill: InTube,
        limit: Temperature,
    ) -> Result<f32, Error> {
        // Side by side two cables need twice their diameter; heat sees a group of 1.65.
        let (count, spread) = match fill {
            InTube::One => (1.0, 1.0),
            InTube::Pair => (2.0, 1.65),
        };
        let group = spread * cable.outer_diameter().as_mm();
        let narrowest = count * cable.outer_diameter().as_mm();
        if narrowest > self.inner.as_mm() || self.inner.as_mm() >= self.outer.as_mm() {
            return Err(Error::Inconsistent(Inconsistency::TubeTooNarrow));
        }
        let Some(in_air) = free.current_at(limit)? else {
            return Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit));
        };
        Bounded::OuterDiameter.check(self.outer.as_mm())?;
        let wall = libm::logf(self.outer.as_metres() / self.inner.as_metres())
            / (2.0 * PI * self.conductivity.as_w_per_m_k());
        let outside = free.with_outside(self.outer, self.emissivity);
        let limit = limit.as_degc();
        let ratio = 1.0 + free.shield_ratio;
        let conductor_loss = |all: f32| all / count / ratio;
        // Conductor temperature that a tube surface at `to` implies; rises with it.
        let conductor = |to: f32| {
            let all = outside.given_off(to);
            let each = all / count;
            let inside = to + wall * all;
            let gap = gap_rise(self.material.constants(), all, inside, group);
            inside + gap + free.t3 * each + free.t1 * conductor_loss(all)
        };
        let coolest = libm::fminf(free.coolest(), limit);
        let to = root(coolest, limit, |to| conductor(to) - limit);
        let loss = conductor_loss(outside.given_off(to));
        if loss <= 0.0 {
            return Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit));
        }
        let current = libm::sqrtf(loss / free.resistance_at(limit));
        // A tube never helps: a wide one radiates from more surface than the cable,
        // but nobody should buy a smaller section for that.
        Ok(libm::fminf(current / in_air.as_amperes(), 1.0))
    }
}

/// Temperature drop across the gap for a heat of `heat` W/m, with `inside` the inner
/// surface of the tube and `group` the diameter of what is in it, mm.
///
/// T' depends on the mean temperature of the gap, inside + rise/2, which makes
/// rise (c + e rise) = U heat a quadratic; its positive root, written so that a
/// small heat loses no digits.
fn gap_rise(constants: TubeConstants, heat: f32, inside: f32, group: f32) -> f32 {
    let c = 1.0 + 0.1 * (constants.v + constants.y * inside) * group;
    let e = 0.05 * constants.y * group;
    let resisted = constants.u * libm::fmaxf(heat, 0.0);
    2.0 * resisted / (c + libm::sqrtf(c * c + 4.0 * e * resisted))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::heat_balance::ShieldLoss;
    use crate::conductor::heat_balance::tests::{cable, surroundings};
    use crate::quantity::{LinearPower, ShieldLossRatio};

    fn limit() -> Temperature {
        Temperature::from_degc(125.0).unwrap()
    }

    fn share(installation: Installation, circuits: u8) -> f32 {
        let cable = cable(50.0, 0.386);
        let free = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        let routing = Routing {
            installation,
            circuits,
        };
        routing.current_share(&cable, &free, limit()).unwrap().total
    }

    fn tube(inner: f32, outer: f32, material: TubeMaterial) -> Tube {
        Tube {
            inner: Length::from_mm(inner).unwrap(),
            outer: Length::from_mm(outer).unwrap(),
            conductivity: ThermalConductivity::from_w_per_m_k(0.25).unwrap(),
            emissivity: Emissivity::from_fraction(0.9).unwrap(),
            material,
        }
    }

    #[test]
    fn metal_conducts_more_than_plastic_and_bare_it_gives_off_less() {
        let of = |material| {
            Tube::of_material(
                material,
                Length::from_mm(40.0).unwrap(),
                Length::from_mm(44.0).unwrap(),
            )
            .unwrap()
        };
        let fibre = of(TubeMaterial::FibreInAir);
        assert_eq!(fibre, tube(40.0, 44.0, TubeMaterial::FibreInAir));
        let metal = of(TubeMaterial::Metallic);
        assert!(metal.conductivity > fibre.conductivity);
        assert!(metal.emissivity < fibre.emissivity);
    }

    #[test]
    fn company_and_enclosure_only_ever_take_current_away() {
        let free = share(Installation::FreeAir, 1);
        assert!((free - 1.0).abs() < f32::EPSILON);
        for installation in [
            Installation::FreeAir,
            Installation::TouchingPair,
            Installation::AgainstPanel,
            Installation::ClosedTube(InTube::One, None),
            Installation::ClosedTube(InTube::Pair, None),
            Installation::ClosedTube(
                InTube::Pair,
                Some(tube(40.0, 44.0, TubeMaterial::FibreInAir)),
            ),
        ] {
            let mut last = share(installation, 1);
            assert!(last <= 1.0);
            for circuits in 2..=20 {
                let next = share(installation, circuits);
                assert!(next <= last, "{installation:?} {circuits}");
                last = next;
            }
        }
    }

    #[test]
    fn the_rule_for_a_tube_of_unknown_size_is_on_the_safe_side_of_known_ones() {
        // The fibre constants are 6 to 17 % low themselves, so the rule is compared
        // with the metallic ones, which are within 7 % of a concentric gap.
        for (fill, inner) in [(InTube::One, 20.0), (InTube::Pair, 32.0)] {
            let rule = share(Installation::ClosedTube(fill, None), 1);
            let known = tube(inner, inner + 5.0, TubeMaterial::Metallic);
            let computed = share(Installation::ClosedTube(fill, Some(known)), 1);
            assert!(
                rule <= computed * 1.07,
                "{fill:?}: rule {rule}, computed {computed}"
            );
        }
    }

    #[test]
    fn added_heat_has_to_leave_through_the_hindered_surface_too() {
        // Computed in double precision, independently (python): a pair in a tube whose
        // shields take 8 W/m carries 28.5 A at 90 degC in 60 degC air, and none with 15
        // W/m of sun. The share of the free-air current with that heat, 0.66, once gave
        // 99.9 A and 77.1 A. Tolerance 1 %: a small difference of f32 heats.
        let cable = cable(50.0, 0.386);
        let limit = Temperature::from_degc(90.0).unwrap();
        let routing = Routing {
            installation: Installation::ClosedTube(InTube::Pair, None),
            circuits: 1,
        };
        let loss = ShieldLoss {
            fixed: LinearPower::from_watts_per_m(8.0).unwrap(),
            ratio: ShieldLossRatio::from_fraction(0.0).unwrap(),
        };
        let heated = HeatBalance::new(&cable, &surroundings(60.0))
            .unwrap()
            .with_shield_loss(loss)
            .unwrap();
        let (installed, _) = heated.installed(&cable, &routing, limit).unwrap();
        let left = installed.current_at(limit).unwrap().unwrap().as_amperes();
        assert!((left / 28.519 - 1.0).abs() < 0.01, "{left}");

        let mut sunny = surroundings(60.0);
        sunny.absorbed = LinearPower::from_watts_per_m(15.0).unwrap();
        let heated = HeatBalance::new(&cable, &sunny).unwrap();
        assert!(heated.current_at(limit).unwrap().is_some());
        let (installed, _) = heated.installed(&cable, &routing, limit).unwrap();
        assert_eq!(installed.current_at(limit).unwrap(), None);
    }

    #[test]
    fn a_tube_that_does_not_go_over_the_cable_is_refused() {
        let cable = cable(50.0, 0.386);
        let free = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        for (inner, outer, fill) in [
            (12.0, 16.0, InTube::One),
            (20.0, 25.0, InTube::Pair),
            // The cable is 15.8 mm thick: two do not fit side by side.
            (28.0, 32.0, InTube::Pair),
            (30.0, 30.0, InTube::One),
        ] {
            let known = tube(inner, outer, TubeMaterial::FibreInAir);
            let routing = Routing {
                installation: Installation::ClosedTube(fill, Some(known)),
                circuits: 1,
            };
            assert_eq!(
                routing.current_share(&cable, &free, limit()),
                Err(Error::Inconsistent(Inconsistency::TubeTooNarrow))
            );
        }
    }

    #[test]
    fn no_circuit_and_too_many_circuits_are_refused() {
        let cable = cable(50.0, 0.386);
        let free = HeatBalance::new(&cable, &surroundings(40.0)).unwrap();
        for circuits in [0, 21] {
            let routing = Routing {
                installation: Installation::TouchingPair,
                circuits,
            };
            assert!(routing.current_share(&cable, &free, limit()).is_err());
        }
    }
}
