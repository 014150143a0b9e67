//! What a rule is.

use super::registry::RuleId;
use super::subject::{Sink, Subject};
use crate::standard::SourceId;

worded! {
    /// What a rule is about.
    #[allow(clippy::exhaustive_enums)] // renderers have to know each
    Area {
        /// The traction battery.
        Pack: "pack";
        /// Conductors.
        Conductor: "conductors";
        /// Fuses.
        Fuse: "fuses";
        /// Contactors.
        Contactor: "contactors";
        /// Charging and discharging the link capacitor.
        Precharge: "precharge and discharge";
        /// Shields.
        Shield: "shields";
        /// Insulation and distances.
        Insulation: "insulation and spacing";
        /// Isolation resistance and bonding.
        Isolation: "isolation and bonding";
        /// Touch protection and interlock.
        Touch: "touch protection and interlock";
        /// Connectors and terminations.
        Connector: "connectors and terminations";
        /// Charging.
        Charging: "charging";
        /// Auxiliaries and the low-voltage side.
        LowVoltage: "auxiliaries and low voltage";
        /// Routing and marking.
        Routing: "routing and marking";
        /// Test and commissioning.
        Commissioning: "test and commissioning";
    }

    /// What a rule that fails means.
    #[allow(clippy::exhaustive_enums)] // renderers have to know each
    Severity {
        /// Do not energise.
        Stop: "stop";
        /// Mend before it is handed over.
        Fix: "fix";
        /// Tell the owner.
        Note: "note";
    }

    /// How a rule is proven.
    #[allow(clippy::exhaustive_enums)] // renderers have to know each
    Proof {
        /// Computed from the design.
        Computed: "computed";
        /// From a reading with value, instrument and date.
        Measured: "measured";
        /// By somebody who looked, with initials and date.
        Attested: "attested";
    }
}

/// What an attestation has to cover.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
#[repr(u8)]
pub enum Scope {
    /// The vehicle as a whole.
    Vehicle,
    /// Every box with something of the high-voltage side in it.
    Boxes,
    /// Every conductor of the high-voltage side.
    Conductors,
    /// Every contactor.
    Contactors,
    /// Every service disconnect.
    ServiceDisconnects,
    /// Every charging source.
    ChargingSources,
    /// The vehicle, where two strings are in parallel.
    ParallelStrings,
}

/// How a rule comes to its findings.
#[derive(Clone, Copy)]
pub(super) enum Judge {
    /// From design, study and readings.
    Computed(fn(&Subject<'_>, &mut Sink<'_>)),
    /// From attestations alone.
    Attested(Scope),
}

/// One rule of the checklist.
#[derive(Clone, Copy)]
#[allow(missing_debug_implementations)] // a function has nothing to show
#[non_exhaustive]
pub struct Rule {
    /// Which.
    pub id: RuleId,
    /// What it is about.
    pub area: Area,
    /// What failing means.
    pub severity: Severity,
    /// How it is proven.
    pub proof: Proof,
    /// Where it comes from.
    pub sources: &'static [SourceId],
    pub(super) judge: Judge,
}
