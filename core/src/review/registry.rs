//! Every rule, in the order of the checklist. A slug that was published never goes and
//! never gets another meaning: attestations and baselines in builders' files name it.

use super::rule::{Area, Judge, Proof, Rule, Scope, Severity};
use super::{
    allowed, coil, compared, conductor, connector, contactor, fuse, fuse_in_fault, insulation,
    low_fuse, low_voltage, mains, measured, pack, pollution, sequence, service_disconnect, shield,
    short_circuit, tap, trip,
};
use crate::standard::SourceId;

macro_rules! rules {
    ($( $id:ident, $slug:literal, $area:ident, $severity:ident, $proof:ident, [$($source:ident),*], $judge:expr; )*) => {
        /// Which rule.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[cfg_attr(feature = "defmt", derive(defmt::Format))]
        #[non_exhaustive]
        #[repr(u8)]
        #[allow(missing_docs)] // their slugs say it, and `prose` at length
        pub enum RuleId {
            $( $id, )*
        }

        impl RuleId {
            /// Every rule, in the order of the checklist.
            pub const ALL: &'static [Self] = &[ $( Self::$id, )* ];

            /// Its name, which never changes.
            pub const fn slug(self) -> &'static str {
                match self { $( Self::$id => $slug, )* }
            }

            /// What it is.
            pub const fn rule(self) -> Rule {
                match self {
                    $( Self::$id => Rule {
                        id: self,
                        area: Area::$area,
                        severity: Severity::$severity,
                        proof: Proof::$proof,
                        sources: &[ $( SourceId::$source, )* ],
                        judge: $judge,
                    }, )*
                }
            }

            /// The rule of a slug.
            pub fn find(slug: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|id| id.slug() == slug)
            }
        }
    };
}

impl RuleId {
    /// Whether it asks for what short circuits do. The others find the same whatever
    /// [`super::Studies::faults`] says, so that they may be asked while that is computed.
    pub const fn asks_for_faults(self) -> bool {
        matches!(
            self,
            Self::LoopWithoutFuse
                | Self::ShortCircuitKnown
                | Self::ConductorShortCircuit
                | Self::OverloadOwner
                | Self::FuseTimeConstant
                | Self::FuseBreakingCapacity
                | Self::FuseLowCurrentGap
                | Self::FuseContactorMatch
                | Self::FuseSelectivity
                | Self::FuseFedByCapacitor
                | Self::BondSection
        )
    }
}

const VEHICLE: Judge = Judge::Attested(Scope::Vehicle);
const BOXES: Judge = Judge::Attested(Scope::Boxes);
const CONDUCTORS: Judge = Judge::Attested(Scope::Conductors);
const CONTACTORS: Judge = Judge::Attested(Scope::Contactors);
const SOURCES: Judge = Judge::Attested(Scope::ChargingSources);

rules! {
    PackVoltageWindow, "pack-voltage-window", Pack, Stop, Computed, [CommonPractice, Iso6469VoltageClass], Judge::Computed(pack::voltage_window);
    LoadVoltageWindow, "load-voltage-window", Pack, Fix, Computed, [CommonPractice], Judge::Computed(pack::load_window);
    ParallelStringsAlike, "parallel-strings-alike", Pack, Stop, Computed, [CommonPractice], Judge::Computed(pack::strings_alike);
    StringCurrentShare, "string-current-share", Pack, Fix, Computed, [OhmsLaw], Judge::Computed(trip::string_current);
    StringJoinWindow, "string-join-window", Pack, Stop, Computed, [OhmsLaw, CommonPractice], Judge::Computed(pack::join_window);
    StringJoinSymmetric, "string-join-symmetric", Pack, Stop, Attested, [CommonPractice], Judge::Attested(Scope::ParallelStrings);
    StringLostLimit, "string-lost-limit", Pack, Fix, Computed, [OhmsLaw], Judge::Computed(pack::string_lost);
    LoopWithoutFuse, "loop-without-fuse", Pack, Stop, Computed, [CommonPractice], Judge::Computed(short_circuit::without_fuse);
    ShortCircuitKnown, "short-circuit-known", Pack, Stop, Computed, [CommonPractice], Judge::Computed(short_circuit::known);
    ServiceDisconnectPlace, "service-disconnect-place", Pack, Note, Computed, [CommonPractice], Judge::Computed(service_disconnect::pieces);
    ServiceDisconnectUse, "service-disconnect-use", Pack, Fix, Attested, [CommonPractice], Judge::Attested(Scope::ServiceDisconnects);
    BoxCableDeadWhenOff, "box-cable-dead-when-off", Pack, Fix, Computed, [CommonPractice], Judge::Computed(pack::live_cables);
    ConductorTemperature, "conductor-temperature", Conductor, Stop, Computed, [Iec60287], Judge::Computed(conductor::steady);
    ConductorPeakTemperature, "conductor-peak-temperature", Conductor, Stop, Computed, [RadialChain], Judge::Computed(conductor::peak);
    DutyWindow, "duty-window", Conductor, Note, Computed, [RadialChain], Judge::Computed(conductor::window);
    TerminalTemperature, "terminal-temperature", Conductor, Stop, Computed, [FinEquation], Judge::Computed(allowed::terminals);
    ConductorShortCircuit, "conductor-short-circuit", Conductor, Stop, Computed, [AdiabaticBalance, Iec60949], Judge::Computed(short_circuit::conductors);
    ReducedSectionTap, "reduced-section-tap", Conductor, Stop, Computed, [CommonPractice], Judge::Computed(tap::reduced);
    OverloadOwner, "overload-owner", Conductor, Fix, Computed, [CommonPractice], Judge::Computed(fuse::overload_owner);
    VoltageDrop, "voltage-drop", Conductor, Note, Computed, [OhmsLaw, CommonPractice], Judge::Computed(conductor::drop);
    CableVoltageClass, "cable-voltage-class", Conductor, Stop, Computed, [Iso19642Class], Judge::Computed(conductor::voltage_class);
    CableMarked, "cable-marked", Conductor, Fix, Attested, [CommonPractice], CONDUCTORS;
    ParallelConductorsEqual, "parallel-conductors-equal", Conductor, Fix, Computed, [CommonPractice], Judge::Computed(conductor::parallel);
    GroupingAndSleeve, "grouping-and-sleeve", Conductor, Fix, Computed, [Iec60364Grouping], Judge::Computed(conductor::grouping);
    OutgoingAndReturnTogether, "outgoing-and-return-together", Conductor, Fix, Attested, [CommonPractice], VEHICLE;
    FuseDcVoltage, "fuse-dc-voltage", Fuse, Stop, Computed, [CommonPractice], Judge::Computed(fuse::voltage);
    FuseTimeConstant, "fuse-time-constant", Fuse, Stop, Computed, [CommonPractice], Judge::Computed(fuse_in_fault::time_constant);
    FuseBreakingCapacity, "fuse-breaking-capacity", Fuse, Stop, Computed, [CommonPractice, Iec60364Disconnection], Judge::Computed(low_fuse::breaking);
    FuseContinuous, "fuse-continuous", Fuse, Fix, Computed, [CommonPractice, FuseAltitude], Judge::Computed(fuse::carry);
    FuseCyclic, "fuse-cyclic", Fuse, Fix, Computed, [FusePulses], Judge::Computed(fuse::pulses);
    FuseLowCurrentGap, "fuse-low-current-gap", Fuse, Stop, Computed, [CommonPractice], Judge::Computed(fuse::low_current_gap);
    FuseContactorMatch, "fuse-contactor-match", Fuse, Stop, Computed, [CommonPractice], Judge::Computed(short_circuit::contactors);
    FuseSelectivity, "fuse-selectivity", Fuse, Note, Computed, [FuseSelectivity], Judge::Computed(fuse_in_fault::selectivity);
    FuseFedByCapacitor, "fuse-fed-by-capacitor", Fuse, Note, Computed, [OhmsLaw], Judge::Computed(fuse_in_fault::capacitors);
    FusePerStringAtSource, "fuse-per-string-at-source", Fuse, Stop, Computed, [CommonPractice], Judge::Computed(fuse::per_string);
    FuseToolAndSpares, "fuse-tool-and-spares", Fuse, Fix, Attested, [CommonPractice], VEHICLE;
    BothPolesSwitched, "both-poles-switched", Contactor, Stop, Computed, [CommonPractice], Judge::Computed(contactor::both_poles);
    ContactorCarry, "contactor-carry", Contactor, Fix, Computed, [CommonPractice], Judge::Computed(contactor::carry);
    ContactorMake, "contactor-make", Contactor, Stop, Computed, [OhmsLaw], Judge::Computed(contactor::make);
    ContactorBreak, "contactor-break", Contactor, Stop, Computed, [CommonPractice], Judge::Computed(contactor::main_break);
    ContactorDirection, "contactor-direction", Contactor, Stop, Computed, [CommonPractice], Judge::Computed(contactor::direction);
    ContactorVoltage, "contactor-voltage", Contactor, Stop, Computed, [CommonPractice], Judge::Computed(contactor::voltage);
    CoilSupply, "coil-supply", Contactor, Fix, Computed, [CoilCopper, CommonPractice], Judge::Computed(coil::supply);
    CoilSuppression, "coil-suppression", Contactor, Fix, Attested, [CommonPractice], CONTACTORS;
    ContactFeedback, "contact-feedback", Contactor, Fix, Attested, [CommonPractice], CONTACTORS;
    OpenWithoutSoftware, "open-without-software", Contactor, Stop, Attested, [CommonPractice], VEHICLE;
    PrechargeEnergy, "precharge-energy", Precharge, Stop, Computed, [OhmsLaw], Judge::Computed(sequence::energy);
    PrechargePeak, "precharge-peak", Precharge, Fix, Computed, [OhmsLaw], Judge::Computed(sequence::peak);
    PrechargeStuck, "precharge-stuck", Precharge, Stop, Computed, [OhmsLaw], Judge::Computed(sequence::stuck);
    PrechargeTime, "precharge-time", Precharge, Fix, Computed, [OhmsLaw], Judge::Computed(sequence::time);
    PrechargeStandingLoad, "precharge-standing-load", Precharge, Stop, Computed, [OhmsLaw], Judge::Computed(sequence::standing_load);
    PrechargeThreshold, "precharge-threshold", Precharge, Stop, Computed, [OhmsLaw], Judge::Computed(sequence::threshold);
    PrechargeAllPaths, "precharge-all-paths", Precharge, Stop, Computed, [CommonPractice], Judge::Computed(sequence::all_paths);
    DischargePassive, "discharge-passive", Precharge, Note, Computed, [OhmsLaw], Judge::Computed(sequence::passive);
    DischargeActive, "discharge-active", Precharge, Fix, Computed, [CommonPractice], Judge::Computed(sequence::active);
    DischargeAgainstWeld, "discharge-against-weld", Precharge, Stop, Computed, [OhmsLaw], Judge::Computed(sequence::against_weld);
    ShieldBothEnds, "shield-both-ends", Shield, Fix, Attested, [CommonPractice], Judge::Computed(shield::ends);
    ShieldCutback, "shield-cutback", Shield, Stop, Measured, [Iec60664Creepage], Judge::Computed(shield::cut_back);
    ShieldContinuity, "shield-continuity", Shield, Fix, Measured, [CommonPractice], Judge::Computed(shield::continuity);
    ShieldNotBond, "shield-not-bond", Shield, Fix, Attested, [CommonPractice], BOXES;
    UnshieldedJustified, "unshielded-justified", Shield, Note, Attested, [CommonPractice], Judge::Computed(shield::needed);
    Clearance, "clearance", Insulation, Stop, Measured, [Iec60664Clearance], Judge::Computed(insulation::clearance);
    Creepage, "creepage", Insulation, Stop, Measured, [Iec60664Creepage], Judge::Computed(insulation::creepage);
    ReinforcedToLv, "reinforced-to-lv", Insulation, Stop, Measured, [Iec60664ReinforcedClearance, Iec60664ReinforcedCreepage], Judge::Computed(insulation::reinforced);
    PollutionByBox, "pollution-by-box", Insulation, Fix, Attested, [CommonPractice], Judge::Computed(pollution::by_box);
    BoxDrainBreather, "box-drain-breather", Insulation, Fix, Attested, [CommonPractice], BOXES;
    LoosePartSafe, "loose-part-safe", Insulation, Fix, Attested, [CommonPractice], BOXES;
    IsolationLimit, "isolation-limit", Isolation, Stop, Measured, [UnR100Isolation], Judge::Computed(measured::isolation);
    IsolationNewBuild, "isolation-new-build", Isolation, Fix, Measured, [CommonPractice], Judge::Computed(measured::isolation_new);
    IsolationBudget, "isolation-budget", Isolation, Fix, Computed, [ParallelSum, UnR100Isolation], Judge::Computed(insulation::budget);
    YCapacitorEnergy, "y-capacitor-energy", Isolation, Fix, Computed, [Iso6469YEnergy, TouchCircuit], Judge::Computed(insulation::touch_energy);
    IsolationMonitorRange, "isolation-monitor-range", Isolation, Fix, Computed, [CommonPractice], Judge::Computed(insulation::monitor);
    OneMonitorAtATime, "one-monitor-at-a-time", Isolation, Fix, Attested, [CommonPractice], SOURCES;
    BondResistance, "bond-resistance", Isolation, Stop, Measured, [UnR100Bonding], Judge::Computed(measured::bonds);
    BondSection, "bond-section", Isolation, Fix, Computed, [Iec60949], Judge::Computed(short_circuit::bonds);
    LvAndHvSeparate, "lv-and-hv-separate", Isolation, Stop, Measured, [UnR100Isolation, CommonPractice], Judge::Computed(coil::separate);
    TouchProtection, "touch-protection", Touch, Stop, Attested, [CommonPractice], BOXES;
    InterlockComplete, "interlock-complete", Touch, Fix, Attested, [CommonPractice], VEHICLE;
    StopAndCrash, "stop-and-crash", Touch, Fix, Attested, [CommonPractice], VEHICLE;
    LugFitsCable, "lug-fits-cable", Connector, Stop, Computed, [CommonPractice], Judge::Computed(connector::lug_barrel);
    LugFitsStud, "lug-fits-stud", Connector, Fix, Computed, [CommonPractice], Judge::Computed(connector::lug_stud);
    JointStack, "joint-stack", Connector, Stop, Attested, [CommonPractice], CONDUCTORS;
    JointTorque, "joint-torque", Connector, Fix, Attested, [CommonPractice], CONDUCTORS;
    JointResistance, "joint-resistance", Connector, Fix, Measured, [CommonPractice], Judge::Computed(measured::joints);
    GlandFitsCable, "gland-fits-cable", Connector, Fix, Computed, [CommonPractice], Judge::Computed(connector::gland);
    InletDead, "inlet-dead", Charging, Stop, Computed, [CommonPractice], Judge::Computed(contactor::inlet);
    DriveInhibit, "drive-inhibit", Charging, Stop, Attested, [CommonPractice], SOURCES;
    DcInletMatch, "dc-inlet-match", Charging, Fix, Attested, [CommonPractice], Judge::Attested(Scope::ChargingSources);
    ChargeEarth, "charge-earth", Charging, Stop, Measured, [UnR100Bonding, CommonPractice], Judge::Computed(mains::charge_earth);
    ConverterCapacity, "converter-capacity", LowVoltage, Fix, Computed, [CommonPractice], Judge::Computed(low_voltage::converter);
    LvReserve, "lv-reserve", LowVoltage, Fix, Computed, [CommonPractice], Judge::Computed(low_voltage::reserve);
    BrakeVacuumReserve, "brake-vacuum-reserve", LowVoltage, Stop, Measured, [CommonPractice], Judge::Computed(measured::brake);
    AuxOwnFuse, "aux-own-fuse", LowVoltage, Stop, Computed, [CommonPractice], Judge::Computed(fuse::auxiliaries);
    BendRadius, "bend-radius", Routing, Fix, Attested, [CommonPractice], CONDUCTORS;
    ClipSpacing, "clip-spacing", Routing, Fix, Attested, [CommonPractice], CONDUCTORS;
    HeatAndMotion, "heat-and-motion", Routing, Stop, Attested, [CommonPractice], CONDUCTORS;
    OrangeAndSymbol, "orange-and-symbol", Routing, Fix, Attested, [CommonPractice], VEHICLE;
    IdBothEnds, "id-both-ends", Routing, Fix, Attested, [CommonPractice], CONDUCTORS;
    InsulationTestLevel, "insulation-test-level", Commissioning, Stop, Measured, [Iso6469VehicleTest], Judge::Computed(measured::test_level);
    HipotScope, "hipot-scope", Commissioning, Stop, Attested, [CommonPractice], VEHICLE;
    EnergisingOrder, "energising-order", Commissioning, Stop, Measured, [CommonPractice], Judge::Computed(measured::test_points);
    MeasuredVsComputed, "measured-vs-computed", Commissioning, Fix, Measured, [CommonPractice], Judge::Computed(compared::against_computed);
    ContactorLog, "contactor-log", Commissioning, Note, Measured, [CommonPractice], Judge::Computed(measured::closings);
    PapersComplete, "papers-complete", Commissioning, Fix, Attested, [CommonPractice], VEHICLE;
}
