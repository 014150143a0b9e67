//! How a requirement came about, step by step.

use crate::error::{Capacity, Error};
use crate::quantity::{Length, Pressure, Voltage};
use crate::standard::SourceId;

/// Most steps of one derivation.
///
/// The longest is a clearance with all three voltages, reinforced, above 2000 m:
/// system voltage, two impulse voltages, two peaks, two temporary overvoltages,
/// three clearances, pressure, factor, result: 13.
pub const MAX_STEPS: usize = 13;

/// The steps of one derivation, in the order in which they follow from each other.
pub type Steps = heapless::Vec<Step, MAX_STEPS>;

/// A value of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize), serde(untagged))]
#[allow(clippy::exhaustive_enums)] // a new kind of value must be met by every reader
pub enum StepValue {
    /// A voltage.
    Voltage(Voltage),
    /// A distance.
    Length(Length),
    /// An air pressure.
    Pressure(Pressure),
    /// A plain factor.
    Factor(f32),
}

/// One step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Step {
    /// What was found.
    pub kind: StepKind,
    /// Its value.
    pub value: StepValue,
    /// The clause or table behind it.
    pub source: SourceId,
    /// True for the one step that decided the result.
    pub governs: bool,
}

macro_rules! step_kinds {
    ($( $(#[$doc:meta])* $name:ident: $words:literal; )*) => {
        /// What a step found.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[cfg_attr(
            feature = "serde",
            derive(serde::Serialize),
            serde(rename_all = "kebab-case")
        )]
        #[non_exhaustive]
        #[repr(u8)]
        pub enum StepKind {
            $( $(#[$doc])* $name, )*
        }

        impl StepKind {
            /// Every kind of step.
            pub const ALL: &'static [Self] = &[ $( Self::$name, )* ];

            /// The words people read.
            #[cfg(feature = "text")]
            pub const fn words(self) -> &'static str {
                match self { $( Self::$name => $words, )* }
            }
        }
    };
}

step_kinds! {
    /// The row of the system voltage.
    SystemVoltageRow: "system voltage counted as";
    /// Impulse voltage that basic insulation has to withstand.
    BasicImpulse: "rated impulse voltage";
    /// Impulse voltage that reinforced insulation has to withstand.
    ReinforcedImpulse: "impulse voltage for reinforced insulation";
    /// Clearance for the impulse voltage.
    ImpulseClearance: "clearance for the impulse voltage";
    /// Peak of the working voltage.
    WorkingPeak: "peak of the working voltage";
    /// The same for reinforced insulation, 160 %.
    ReinforcedPeak: "peak voltage for reinforced insulation, 160 %";
    /// Clearance for the peak of the working voltage.
    PeakClearance: "clearance for the peak of the working voltage";
    /// Peak of the temporary overvoltage.
    TemporaryPeak: "peak of the temporary overvoltage";
    /// The same for reinforced insulation, 160 %.
    ReinforcedTemporaryPeak: "temporary overvoltage for reinforced, 160 %";
    /// Clearance for the temporary overvoltage.
    TemporaryClearance: "clearance for the temporary overvoltage";
    /// Normal air pressure at the altitude.
    AirPressure: "normal air pressure at the altitude";
    /// Factor for the altitude.
    AltitudeFactor: "factor for the altitude";
    /// The clearance asked for.
    Clearance: "clearance required";
    /// Working voltage of the creepage distance.
    WorkingVoltage: "working voltage";
    /// Creepage distance of basic insulation.
    BasicCreepage: "creepage distance of basic insulation";
    /// Twice that.
    ReinforcedCreepage: "creepage distance of reinforced insulation, 2 x";
    /// The clearance, as lower limit of the creepage distance.
    CreepageFloor: "never below the clearance";
    /// The creepage distance asked for.
    Creepage: "creepage distance required";
    /// Groove width X.
    GrooveWidth: "grooves narrower than this do not count";
    /// Least height of a rib that is relied upon.
    RibHeight: "the rib is at least this high";
    /// Least width of a rib that is relied upon.
    RibWidth: "the rib is at least this wide";
}

pub(super) fn push(
    steps: &mut Steps,
    kind: StepKind,
    value: StepValue,
    source: SourceId,
) -> Result<(), Error> {
    steps
        .push(Step {
            kind,
            value,
            source,
            governs: false,
        })
        .map_err(|_| Error::Capacity(Capacity::Steps))
}

pub(super) fn mark(steps: &mut Steps, kind: StepKind) {
    for step in steps.iter_mut().filter(|step| step.kind == kind) {
        step.governs = true;
    }
}
