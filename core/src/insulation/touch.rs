//! What a person gets who touches one pole, and from which voltage on it matters.

use super::inserted_resistor::Pole;
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Capacitance, Current, Energy, Resistance, Voltage};
use crate::standard::SourceId;
use crate::verdict::Judged;

/// Where the machine is used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the domains this project serves
pub enum Domain {
    /// Road vehicles.
    Road,
    /// Tractors and farm machinery.
    Farm,
    /// Rail vehicles.
    Rail,
    /// Small craft.
    Craft,
}

impl Domain {
    /// Every domain.
    pub const ALL: [Self; 4] = [Self::Road, Self::Farm, Self::Rail, Self::Craft];
}

/// Voltage limits of a domain, in V.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct VoltageLimits {
    /// Largest direct voltage that may be touched without protection.
    pub touchable_dc_v: f32,
    /// The same for alternating voltage, r.m.s.
    pub touchable_ac_v: f32,
    /// Largest direct voltage that the rules cover.
    pub highest_dc_v: f32,
    /// The same for alternating voltage, r.m.s.
    pub highest_ac_v: f32,
    /// Where the limits come from.
    pub source: SourceId,
}

impl Domain {
    /// The limits of the domain.
    ///
    /// Road: voltage class A and B of ISO 6469-3, the same in UN R100. Farm: scope
    /// of ISO 16230-1. Rail: bands of EN 50153 (from memory). Craft: between the
    /// scopes of ISO 13297 and ISO 16315 (from memory).
    pub const fn limits(self) -> VoltageLimits {
        let (touchable_dc_v, touchable_ac_v, source) = match self {
            Self::Road => (60.0, 30.0, SourceId::Iso6469VoltageClass),
            Self::Farm => (75.0, 50.0, SourceId::Iso16230),
            Self::Rail => (60.0, 25.0, SourceId::En50153),
            Self::Craft => (50.0, 50.0, SourceId::Iso16315),
        };
        VoltageLimits {
            touchable_dc_v,
            touchable_ac_v,
            highest_dc_v: 1500.0,
            highest_ac_v: 1000.0,
            source,
        }
    }
}

/// Where a voltage stands between the limits of its domain.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // below, between, above
pub enum VoltageClass {
    /// May be touched: voltage class A on the road.
    Touchable,
    /// Needs protection: voltage class B on the road.
    Protected,
    /// Above what the rules of the domain cover.
    BeyondRules,
}

/// The class of a voltage in a domain; a voltage at a limit belongs below it.
///
/// # Errors
/// [`Error::OutOfRange`] for a negative voltage or one above 10 kV.
pub fn voltage_class(
    domain: Domain,
    working: Voltage,
    alternating: bool,
) -> Result<VoltageClass, Error> {
    let limits = domain.limits();
    let (touchable, highest) = if alternating {
        (limits.touchable_ac_v, limits.highest_ac_v)
    } else {
        (limits.touchable_dc_v, limits.highest_dc_v)
    };
    let volts = not_negative(working)?;
    Ok(if volts <= touchable {
        VoltageClass::Touchable
    } else if volts <= highest {
        VoltageClass::Protected
    } else {
        VoltageClass::BeyondRules
    })
}

/// A check of what a person can get.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // what flows on, and what is stored
pub enum TouchCheck {
    /// Energy in the capacitors to chassis, in J.
    CapacitorEnergy,
    /// Steady current through the person, in A.
    TouchCurrent,
}

/// Direct current that the isolation limit of 100 ohm/V corresponds to, in A.
pub const TOUCH_CURRENT_DC_A: f32 = 0.010;

/// Alternating current that the isolation limit of 500 ohm/V corresponds to, in A.
pub const TOUCH_CURRENT_AC_A: f32 = 0.002;

/// Steady current through a person who touches one pole and chassis.
///
/// Equation: `I = U Rt / (Rt Rb + Ro (Rt + Rb))` with `Rt` from the touched pole to
/// chassis, `Ro` from the other pole, `Rb` the body; `U / Ro` for a body of 0 ohm,
/// which is the worst case and the one that the isolation limits are made for
/// (100 ohm/V is 10 mA). A high voltage of the touched pole to chassis is not
/// needed: the person closes the circuit.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV;
/// [`Error::Inconsistent`] where nothing limits the current: other pole and body
/// both 0 ohm.
///
/// Source: circuit of the two isolation resistances.
pub fn touch_current(
    working: Voltage,
    touched_pole: Resistance,
    other_pole: Resistance,
    body: Resistance,
) -> Result<Current, Error> {
    let volts = Bounded::WorkingVoltage.check(working.as_volts())?;
    let (touched, other, body) = (touched_pole.as_ohms(), other_pole.as_ohms(), body.as_ohms());
    // A body of 0 ohm takes everything, whatever the touched pole does beside it.
    if body <= 0.0 {
        return working / other_pole;
    }
    // A touched pole that is itself at chassis leaves the person no current.
    if touched <= 0.0 {
        return Current::from_amperes(0.0);
    }
    // The body is above 0 ohm, so the divisor is as well.
    Current::from_amperes(volts / (other * (1.0 + body / touched) + body))
}

/// Judges a touch current against what the isolation limits correspond to.
pub fn judge_touch_current(current: Current, alternating: bool) -> Judged<TouchCheck> {
    let limit = if alternating {
        TOUCH_CURRENT_AC_A
    } else {
        TOUCH_CURRENT_DC_A
    };
    Judged::compare(
        TouchCheck::TouchCurrent,
        current.as_amperes(),
        crate::verdict::Side::AtMost,
        limit,
        SourceId::Iso6469TouchCurrent,
    )
}

/// Largest energy in the capacitors to chassis, in J; it has to stay below.
pub const Y_ENERGY_LIMIT_J: f32 = 0.2;

/// How the pack voltage is shared between the poles and chassis.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // equal, known, worst
pub enum PoleVoltages {
    /// Half on each pole, as with equal isolation on both sides.
    Balanced,
    /// As the isolation resistances share it.
    ByIsolation {
        /// Positive pole to chassis.
        positive: Resistance,
        /// Negative pole to chassis.
        negative: Resistance,
    },
    /// One pole lies at chassis unnoticed, the person touches the other.
    SingleFault,
}

/// Energy that goes through a person who touches a pole.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct TouchEnergy {
    /// Touching the worse pole.
    pub energy: Energy,
    /// Which pole is the worse one.
    pub worse_pole: Pole,
    /// The single-fault worst case, the one to judge.
    pub worst_case: Energy,
}

/// Energy from the capacitors to chassis through a person.
///
/// Equation: E = (C+ + C-) V2 / 2 with V the voltage of the touched pole to
/// chassis: one capacitor empties and the other fills, both through the person.
/// Balanced, V is half the pack voltage; in the worst case it is all of it.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV;
/// [`Error::Inconsistent`] where both isolation resistances are 0 ohm.
pub fn touch_energy(
    working: Voltage,
    positive: Capacitance,
    negative: Capacitance,
    shares: PoleVoltages,
) -> Result<TouchEnergy, Error> {
    let volts = Bounded::WorkingVoltage.check(working.as_volts())?;
    let farads = positive.as_farads() + negative.as_farads();
    let of = |v: f32| Energy::from_joules(0.5 * farads * v * v);
    let (touched_v, worse_pole) = match shares {
        PoleVoltages::Balanced => (0.5 * volts, Pole::Positive),
        PoleVoltages::SingleFault => (volts, Pole::Positive),
        PoleVoltages::ByIsolation { positive, negative } => {
            let (p, n) = (positive.as_ohms(), negative.as_ohms());
            let both = p + n;
            if both <= 0.0 {
                return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
            }
            if p >= n {
                (volts * (p / both), Pole::Positive)
            } else {
                (volts * (n / both), Pole::Negative)
            }
        }
    };
    Ok(TouchEnergy {
        energy: of(touched_v)?,
        worse_pole,
        worst_case: of(volts)?,
    })
}

/// Judges the worst case of [`touch_energy`] against 0.2 J.
///
/// The limit was read as a criterion after a crash (ISO 6469-4); that it also
/// holds in use (ISO 6469-3, 6.3.3) is from memory.
pub fn judge_touch_energy(energy: &TouchEnergy) -> Judged<TouchCheck> {
    Judged::below(
        TouchCheck::CapacitorEnergy,
        energy.worst_case.as_joules(),
        Y_ENERGY_LIMIT_J,
        SourceId::Iso6469YEnergy,
    )
}

/// Capacitance of both poles to chassis together at which the worst case reaches
/// 0.2 J: C = 2 E / U2.
///
/// # Errors
/// [`Error::OutOfRange`] for a voltage below 1 V or above 10 kV.
pub fn largest_y_capacitance(working: Voltage) -> Result<Capacitance, Error> {
    let volts = Bounded::WorkingVoltage.check(working.as_volts())?;
    Capacitance::from_farads(2.0 * Y_ENERGY_LIMIT_J / (volts * volts))
}

/// Energy between the poles that is left above 60 V: E = C (U2 - 3600)/2; zero at
/// or below 60 V. UN R94, Annex 11, from memory.
///
/// # Errors
/// [`Error::OutOfRange`] for a negative voltage or one above 10 kV.
pub fn link_energy_above_60_v(link: Capacitance, voltage: Voltage) -> Result<Energy, Error> {
    let volts = not_negative(voltage)?;
    let above = (volts - 60.0).max(0.0) * (volts + 60.0);
    Energy::from_joules(0.5 * link.as_farads() * above)
}

fn not_negative(voltage: Voltage) -> Result<f32, Error> {
    let volts = voltage.as_volts();
    if volts >= 0.0 && volts < Bounded::WorkingVoltage.min() {
        return Ok(volts);
    }
    Bounded::WorkingVoltage.check(volts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;
    use proptest::prelude::*;

    fn volts(volts: f32) -> Voltage {
        Voltage::from_volts(volts).unwrap()
    }

    fn ohms(ohms: f32) -> Resistance {
        Resistance::from_ohms(ohms).unwrap()
    }

    fn farads(farads: f32) -> Capacitance {
        Capacitance::from_farads(farads).unwrap()
    }

    #[test]
    fn the_isolation_limits_are_ten_and_two_milliamperes() {
        for u in [60.0, 400.0, 800.0] {
            let none = ohms(0.0);
            let dc = touch_current(volts(u), ohms(1.0e9), ohms(100.0 * u), none).unwrap();
            assert!((dc.as_amperes() / TOUCH_CURRENT_DC_A - 1.0).abs() < 1e-6);
            let ac = touch_current(volts(u), ohms(1.0e9), ohms(500.0 * u), none).unwrap();
            assert!((ac.as_amperes() / TOUCH_CURRENT_AC_A - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn the_body_lowers_the_current_and_a_pole_at_chassis_takes_it_all() {
        let with_body = touch_current(volts(400.0), ohms(1.0e5), ohms(1.0e4), ohms(1.0e3)).unwrap();
        // 1 kohm beside 100 kohm: 990.1 ohm; 400/10990.1 A, of which 100/101 in the body.
        assert!((with_body.as_amperes() - 0.036_036).abs() < 1e-5);
        let at_chassis = touch_current(volts(400.0), ohms(0.0), ohms(1.0e4), ohms(1.0e3)).unwrap();
        assert!(at_chassis.as_amperes() <= 0.0);
        assert!(touch_current(volts(400.0), ohms(1.0e5), ohms(0.0), ohms(0.0)).is_err());
    }

    #[test]
    fn largest_capacitances_of_the_three_pack_voltages() {
        // 0.2 J at 144 V, 403 V, 806 V: 19 uF, 2.46 uF, 0.615 uF.
        for (u, uf, half_digit) in [
            (144.0, 19.3, 0.35),
            (403.0, 2.46, 0.005),
            (806.0, 0.615, 0.001),
        ] {
            let c = largest_y_capacitance(volts(u)).unwrap().as_farads() * 1.0e6;
            assert!((c - uf).abs() < half_digit, "{u} V: {c}");
        }
    }

    #[test]
    fn the_limit_itself_is_not_below_the_limit() {
        let c = 0.5 * 2.0 * Y_ENERGY_LIMIT_J / (800.0 * 800.0);
        let at = touch_energy(volts(800.0), farads(c), farads(c), PoleVoltages::Balanced).unwrap();
        assert!((at.worst_case.as_joules() - 0.2).abs() < 1e-6);
        // A quarter of the worst case when balanced.
        assert!((at.energy.as_joules() - 0.05).abs() < 1e-6);
        let more = touch_energy(
            volts(800.0),
            farads(c * 1.001),
            farads(c),
            PoleVoltages::Balanced,
        )
        .unwrap();
        assert_eq!(judge_touch_energy(&more).verdict, Verdict::Fails);
    }

    #[test]
    fn sixty_volts_is_touchable_on_the_road_and_a_little_more_is_not() {
        let class = |domain, v| voltage_class(domain, volts(v), false).unwrap();
        assert_eq!(class(Domain::Road, 60.0), VoltageClass::Touchable);
        assert_eq!(class(Domain::Road, 60.1), VoltageClass::Protected);
        assert_eq!(class(Domain::Farm, 75.0), VoltageClass::Touchable);
        assert_eq!(class(Domain::Road, 1500.1), VoltageClass::BeyondRules);
        assert!(voltage_class(Domain::Road, volts(-1.0), false).is_err());
    }

    #[test]
    fn a_link_at_60_v_counts_as_empty() {
        assert!(
            link_energy_above_60_v(farads(1.0e-3), volts(60.0))
                .unwrap()
                .as_joules()
                <= 0.0
        );
        assert!(
            link_energy_above_60_v(farads(1.0e-3), volts(0.0))
                .unwrap()
                .as_joules()
                <= 0.0
        );
        let full = link_energy_above_60_v(farads(1.0e-3), volts(400.0)).unwrap();
        assert!((full.as_joules() - 78.2).abs() < 1e-3);
    }

    proptest! {
        #[test]
        fn no_sharing_is_worse_than_the_single_fault(
            u in 1.0..1500.0_f32, c in 0.0..1.0e-5_f32, d in 0.0..1.0e-5_f32,
            p in 0.0..1.0e9_f32, n in 1.0..1.0e9_f32,
        ) {
            let shares = PoleVoltages::ByIsolation { positive: ohms(p), negative: ohms(n) };
            let found = touch_energy(volts(u), farads(c), farads(d), shares).unwrap();
            prop_assert!(found.energy.as_joules() <= found.worst_case.as_joules());
            let balanced = touch_energy(volts(u), farads(c), farads(d), PoleVoltages::Balanced).unwrap();
            prop_assert!(found.energy.as_joules() >= balanced.energy.as_joules() * 0.999_99);
        }
    }
}
