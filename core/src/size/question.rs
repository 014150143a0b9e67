//! What a conductor has to do: the question that sizing answers.

use heapless::Vec;

use crate::conductor::generic::Dimensions;
use crate::conductor::heat_balance::{ShieldLoss, Surroundings};
use crate::conductor::installation::Routing;
use crate::quantity::{
    Current, CurrentMargin, CurrentSquaredTime, Frequency, Length, LinearPower, LinearResistance,
    Resistance, Share, ShieldLossRatio, SkinConstant, Temperature, Time, Voltage,
};
use crate::standard::metal::Metal;

/// Most pieces of one route: a lead of a vehicle rarely crosses more than four
/// zones, so twice that.
pub const MAX_PIECES: usize = 8;
/// Most peaks of one question.
pub const MAX_PEAKS: usize = 8;

/// One piece of the route.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Piece {
    /// How the conductor is laid here.
    pub routing: Routing,
    /// What is around it here.
    pub surroundings: Surroundings,
    /// Length of the piece, one way; `None` when the drop is not asked for.
    pub length: Option<Length>,
}

/// A current above the continuous one, for a time, starting from the settled state
/// of the continuous current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Peak {
    /// Current.
    pub current: Current,
    /// How long it lasts.
    pub duration: Time,
}

/// Alternating current on top of the direct one, and what it meets in the shields.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Ripple {
    /// Its r.m.s. value in one conductor.
    pub current: Current,
    /// Its frequency.
    pub frequency: Option<Frequency>,
    /// Distance of the axes of outgoing and return conductor; closer than the cable is
    /// thick counts as touching. Without frequency or distance the whole ripple is taken
    /// to flow in the shield.
    pub spacing: Option<Length>,
    /// Resistance of one shield at 20 degC.
    pub braid: LinearResistance,
}

/// Everything that one conductor is asked to do.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Question {
    /// Continuous current, r.m.s. over the worst window as long as the cable's
    /// time constant.
    pub current: Current,
    /// Peaks on top.
    pub peaks: Vec<Peak, MAX_PEAKS>,
    /// Where it runs, piece by piece; at least one.
    pub route: Vec<Piece, MAX_PIECES>,
    /// Voltage between the poles.
    pub voltage: Option<Voltage>,
    /// Allowed drop over the loop as a share of the voltage.
    pub allowed_drop: Share,
    /// Temperature class of the insulation.
    pub insulation_limit: Temperature,
    /// Temperature that the insulation stands for the seconds of a short circuit.
    pub short_circuit_limit: Temperature,
    /// Highest temperature of the terminals it lands on.
    pub terminal_limit: Option<Temperature>,
    /// Resistance of one joint: crimp and bolted face.
    pub joint: Option<Resistance>,
    /// What the protection lets through in a short circuit.
    pub let_through: Option<CurrentSquaredTime>,
    /// Metal of the conductor.
    pub metal: Metal,
    /// Whether the cable has a shield.
    pub shielded: bool,
    /// Dimensions entered from a datasheet.
    pub dimensions: Dimensions,
    /// Heat in the shield.
    pub shield_loss: ShieldLoss,
    /// Ripple that heats the shield, bonded at both ends, on top of that.
    pub ripple: Option<Ripple>,
    /// Zero for direct current; the drive's output frequency for phase leads.
    pub frequency: Frequency,
    /// Skin-effect constant.
    pub skin_constant: SkinConstant,
    /// Factor that the carried current is multiplied with before it is compared.
    pub margin: CurrentMargin,
}

impl Question {
    /// The current margin when nobody says otherwise.
    ///
    /// 1/1.14 rounded down: the model is up to 14 % above the lowest of the
    /// published free-air tables, and below it with this factor for every size.
    pub const DEFAULT_MARGIN: CurrentMargin = constant!(CurrentMargin::from_fraction(0.87));
    /// Allowed drop over the loop when nobody says otherwise: common practice, no
    /// source.
    pub const DEFAULT_DROP: Share = constant!(Share::from_fraction(0.02));

    /// A direct current through a shielded copper cable, everything else unsaid:
    /// the route is empty and must be filled before the question can be answered.
    pub fn new(current: Current, insulation_limit: Temperature) -> Self {
        Self {
            current,
            peaks: Vec::new(),
            route: Vec::new(),
            voltage: None,
            allowed_drop: Self::DEFAULT_DROP,
            insulation_limit,
            short_circuit_limit: Self::usual_short_circuit_limit(insulation_limit),
            terminal_limit: None,
            joint: None,
            let_through: None,
            metal: Metal::Copper,
            shielded: true,
            dimensions: Dimensions::default(),
            shield_loss: ShieldLoss {
                fixed: constant!(LinearPower::from_watts_per_m(0.0)),
                ratio: constant!(ShieldLossRatio::from_fraction(0.0)),
            },
            ripple: None,
            frequency: constant!(Frequency::from_hertz(0.0)),
            skin_constant: constant!(SkinConstant::from_fraction(1.0)),
            margin: Self::DEFAULT_MARGIN,
        }
    }

    /// Short-circuit temperature for an insulation of a given class when the
    /// datasheet does not say: 250 degC for classes above 105 degC, which are
    /// cross-linked or better (IEC 60364-5-54, seen: XLPE 250 degC); 160 degC for the
    /// others, which may be polyvinyl chloride (seen: PVC 160 degC).
    pub const fn usual_short_circuit_limit(insulation_limit: Temperature) -> Temperature {
        if insulation_limit.as_degc() > 105.0 {
            constant!(Temperature::from_degc(250.0))
        } else {
            constant!(Temperature::from_degc(160.0))
        }
    }

    /// One-way length; `None` unless every piece has one.
    pub fn length(&self) -> Option<f32> {
        self.route
            .iter()
            .try_fold(0.0, |sum, piece| Some(sum + piece.length?.as_metres()))
    }
}
