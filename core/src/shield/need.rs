//! Whether a circuit needs a shield at all.

use crate::quantity::Length;

/// What a circuit carries, as far as its shield is concerned.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize, serde::Deserialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // switched on it, or not
pub enum CircuitNoise {
    /// A cable to or from an inverter, a charger or a converter.
    Switching,
    /// Direct current between boxes, with no switching device at the near end.
    Quiet,
}

/// How an unshielded run would be laid; what is not known is absent.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct UnshieldedRun {
    /// Inside a metal box or an earthed metal conduit over its whole length.
    pub in_metal: Option<bool>,
    /// Both poles close together.
    pub pair_tight: Option<bool>,
    /// Distance to low-voltage wiring that runs alongside.
    pub from_low_voltage: Option<Length>,
    /// Distance to keep: [`PASSENGER_DISTANCE_MM`] or [`COMMERCIAL_DISTANCE_MM`].
    pub keep: Length,
    /// Low-voltage wiring only crosses at a right angle; the distance then does not
    /// matter.
    pub crosses_square: Option<bool>,
}

/// Distance to low-voltage wiring in passenger vehicles, in mm; quoted by the
/// harness trade.
pub const PASSENGER_DISTANCE_MM: f32 = 200.0;

/// The same in commercial vehicles.
pub const COMMERCIAL_DISTANCE_MM: f32 = 400.0;

/// Whether a shield is needed, and why.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
#[repr(u8)]
pub enum ShieldNeed {
    /// Needed: a switching device drives current through the capacitance to chassis.
    /// Round contact at both ends.
    Switching,
    /// Needed: not inside metal.
    NotInMetal,
    /// Needed: the poles run apart and their loop radiates.
    PolesApart,
    /// Needed: too close to low-voltage wiring.
    NearLowVoltage,
    /// One of the conditions is not known; a shield is needed until it is.
    Unknown,
    /// All conditions are met: the run may stay unshielded.
    MayBeUnshielded,
}

/// Whether a circuit needs a shield.
///
/// A quiet direct-current run may go without when it is inside metal, its poles lie
/// together, and low-voltage wiring keeps its distance or crosses square. A
/// condition that is broken outranks one that is not known.
///
/// Source: common practice; the distances are quoted by the harness trade.
pub fn shield_need(noise: CircuitNoise, run: &UnshieldedRun) -> ShieldNeed {
    if noise == CircuitNoise::Switching {
        return ShieldNeed::Switching;
    }
    let clear = match (run.crosses_square, run.from_low_voltage) {
        (Some(true), _) => Some(true),
        (_, Some(distance)) => Some(distance >= run.keep),
        _ => None,
    };
    let conditions = [
        (run.in_metal, ShieldNeed::NotInMetal),
        (run.pair_tight, ShieldNeed::PolesApart),
        (clear, ShieldNeed::NearLowVoltage),
    ];
    let broken = conditions.iter().find(|(met, _)| *met == Some(false));
    match broken {
        Some((_, reason)) => *reason,
        None if conditions.iter().all(|(met, _)| *met == Some(true)) => ShieldNeed::MayBeUnshielded,
        None => ShieldNeed::Unknown,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run() -> UnshieldedRun {
        UnshieldedRun {
            in_metal: Some(true),
            pair_tight: Some(true),
            from_low_voltage: Length::from_mm(200.0).ok(),
            keep: Length::from_mm(PASSENGER_DISTANCE_MM).unwrap(),
            crosses_square: Some(false),
        }
    }

    #[test]
    fn a_quiet_run_that_meets_all_conditions_may_stay_unshielded() {
        assert_eq!(
            shield_need(CircuitNoise::Quiet, &run()),
            ShieldNeed::MayBeUnshielded
        );
        assert_eq!(
            shield_need(CircuitNoise::Switching, &run()),
            ShieldNeed::Switching
        );
    }

    #[test]
    fn each_condition_alone_asks_for_a_shield() {
        let need = |run| shield_need(CircuitNoise::Quiet, &run);
        let open = UnshieldedRun {
            in_metal: Some(false),
            ..run()
        };
        assert_eq!(need(open), ShieldNeed::NotInMetal);
        let apart = UnshieldedRun {
            pair_tight: Some(false),
            ..run()
        };
        assert_eq!(need(apart), ShieldNeed::PolesApart);
        let near = UnshieldedRun {
            from_low_voltage: Length::from_mm(199.0).ok(),
            ..run()
        };
        assert_eq!(need(near), ShieldNeed::NearLowVoltage);
        let crossing = UnshieldedRun {
            crosses_square: Some(true),
            ..near
        };
        assert_eq!(need(crossing), ShieldNeed::MayBeUnshielded);
    }

    #[test]
    fn what_is_not_known_is_no_permission() {
        let need = |run| shield_need(CircuitNoise::Quiet, &run);
        assert_eq!(
            need(UnshieldedRun {
                in_metal: None,
                ..run()
            }),
            ShieldNeed::Unknown
        );
        assert_eq!(
            need(UnshieldedRun {
                pair_tight: None,
                ..run()
            }),
            ShieldNeed::Unknown
        );
        let unmeasured = UnshieldedRun {
            from_low_voltage: None,
            crosses_square: None,
            ..run()
        };
        assert_eq!(need(unmeasured), ShieldNeed::Unknown);
        let broken = UnshieldedRun {
            pair_tight: Some(false),
            in_metal: None,
            ..run()
        };
        assert_eq!(need(broken), ShieldNeed::PolesApart);
    }
}
