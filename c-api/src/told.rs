//! Findings and their sum.

use orangeloom_core::monitor as core_monitor;
use orangeloom_core::monitor::{Blind, State as CoreState};

/// Which check. What each looks at stands in the documentation of the monitors.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the names of the core's checks, which documents them
pub enum Check {
    TickLate = 0,
    SensorPlausible = 1,
    LinkDeadBeforeClose = 2,
    PrechargeRise = 3,
    PrechargeShort = 4,
    PrechargeOpen = 5,
    PrechargeLoad = 6,
    PrechargeTimeOut = 7,
    PrechargeBudget = 8,
    ClosePermission = 9,
    MainCloseVerify = 10,
    Weld = 11,
    OpenUnderLoad = 12,
    SoftOpen = 13,
    OvercurrentBand = 14,
    DoNotOpenBand = 15,
    StringShare = 16,
    StringJoin = 17,
    StringDrift = 18,
    IsolationLow = 19,
    IsolationStale = 20,
    InterlockOpen = 21,
    HighVoltageAfterOff = 22,
    DischargeOnPack = 23,
    CoilDip = 24,
    ResistorHot = 25,
    JointHot = 26,
    ConductorHot = 27,
    PlugMoves = 28,
    FusePulse = 29,
}

/// What a check is about now.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It does not hold, not for long enough yet.
    Watching = 0,
    /// It does not hold.
    Found = 1,
    /// It holds again, but what clears it has not come yet.
    Clearing = 2,
    /// An input cannot be used.
    Blind = 3,
}

/// Why an input cannot be used.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unusable {
    /// It can.
    No = 0,
    /// Not measured, or no number.
    NotANumber = 1,
    /// Outside what the sensor shows.
    OutOfRange = 2,
    /// Too old.
    Stale = 3,
}

/// What clears a finding.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reset {
    /// It clears by itself when the cause is gone for a while.
    Gone = 0,
    /// A new start when the cause is gone.
    Start = 1,
    /// `orangeloom_acknowledge`, by somebody who looked after it.
    Acknowledge = 2,
    /// Waiting.
    Wait = 3,
    /// The input has to be measured again.
    Input = 4,
    /// Nothing; it is told once.
    Told = 5,
}

/// Advice: tell the driver.
pub const ADVICE_WARN: u16 = 1;
/// Advice: draw no more than the share `Summary.derate` of the lasting current.
pub const ADVICE_DERATE: u16 = 2;
/// Advice: close nothing that is open.
pub const ADVICE_FORBID_CLOSING: u16 = 4;
/// Advice: do not close the main contactor of this string; precharging it is free.
pub const ADVICE_FORBID_MAIN: u16 = 8;
/// Advice: open the precharge relay.
pub const ADVICE_ABORT_PRECHARGE: u16 = 16;
/// Advice: ask for zero current, then open.
pub const ADVICE_OPEN_SOFTLY: u16 = 32;
/// Advice: open.
pub const ADVICE_OPEN_NOW: u16 = 64;
/// Advice: keep closed whatever else is advised, the fuse has to act.
pub const ADVICE_DO_NOT_OPEN: u16 = 128;
/// Advice: stop charging.
pub const ADVICE_STOP_CHARGING: u16 = 256;
/// Advice: ask for zero torque.
pub const ADVICE_ZERO_TORQUE: u16 = 512;
/// Advice: switch the active discharge off.
pub const ADVICE_STOP_DISCHARGE: u16 = 1024;
/// Advice: drive the coils with pull-in voltage again.
pub const ADVICE_PULL_IN_AGAIN: u16 = 2048;
/// Advice: show that the link is charged.
pub const ADVICE_SHOW_CHARGED: u16 = 4096;
/// Advice: nothing but the service disconnect parts the circuit.
pub const ADVICE_SERVICE_DISCONNECT: u16 = 8192;
/// Advice: do not close the relay of this precharge path.
pub const ADVICE_FORBID_PRECHARGE: u16 = 16384;

macro_rules! same_bits {
    ($($here:ident $core:ident)*) => {
        const _: () = assert!($( $here == core_monitor::Advice::$core.bits() )&&*);
    };
}
same_bits! {
    ADVICE_WARN WARN
    ADVICE_DERATE DERATE
    ADVICE_FORBID_CLOSING FORBID_CLOSING
    ADVICE_FORBID_MAIN FORBID_MAIN
    ADVICE_ABORT_PRECHARGE ABORT_PRECHARGE
    ADVICE_OPEN_SOFTLY OPEN_SOFTLY
    ADVICE_OPEN_NOW OPEN_NOW
    ADVICE_DO_NOT_OPEN DO_NOT_OPEN
    ADVICE_STOP_CHARGING STOP_CHARGING
    ADVICE_ZERO_TORQUE ZERO_TORQUE
    ADVICE_STOP_DISCHARGE STOP_DISCHARGE
    ADVICE_PULL_IN_AGAIN PULL_IN_AGAIN
    ADVICE_SHOW_CHARGED SHOW_CHARGED
    ADVICE_SERVICE_DISCONNECT SERVICE_DISCONNECT
    ADVICE_FORBID_PRECHARGE FORBID_PRECHARGE
}

/// A check that does not hold.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    /// Which check.
    pub check: Check,
    /// Which contactor, string, current or conductor of the image, from zero.
    pub part: u8,
    /// Its state.
    pub state: State,
    /// Why an input cannot be used, where that is so.
    pub unusable: Unusable,
    /// What clears it.
    pub reset: Reset,
    /// What to do: `ORANGELOOM_ADVICE_...`, added up.
    pub advice: u16,
    /// How long it has been in this state, ms.
    pub for_ms: u32,
    /// What was measured; no number where nothing was.
    pub measured: f32,
    /// What it is held against; no number where it is held against nothing.
    pub limit: f32,
}

/// Everything that was told in one tick, together.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// All advice together: `ORANGELOOM_ADVICE_...`, added up.
    pub advice: u16,
    /// Strings whose main contactor may not close: bit 0 is the first string.
    pub held: u8,
    /// Precharge paths whose relay may not close: bit 0 is the first path.
    pub hot: u8,
    /// 1 if something that is open may be closed, else 0.
    pub may_close: u8,
    /// 1 if it is to be opened now: advised, and not more current than contactors break.
    pub open_now: u8,
    /// Checks that do not hold.
    pub found: u8,
    /// Checks with an input that cannot be used.
    pub blind: u8,
    /// With `ORANGELOOM_ADVICE_DERATE`: the largest share of the lasting current, 0 to 1.
    pub derate: f32,
}

macro_rules! checks {
    ($($name:ident)*) => {
        // The same checks under the same numbers as the core's.
        const _: () = assert!(
            core_monitor::CheckId::ALL.len() == [$( Check::$name ),*].len()
            $( && core_monitor::CheckId::$name as u8 == Check::$name as u8 )*
        );

        const CHECKS: &[Check] = &[$( Check::$name ),*];
    };
}
checks! {
    TickLate
    SensorPlausible
    LinkDeadBeforeClose
    PrechargeRise
    PrechargeShort
    PrechargeOpen
    PrechargeLoad
    PrechargeTimeOut
    PrechargeBudget
    ClosePermission
    MainCloseVerify
    Weld
    OpenUnderLoad
    SoftOpen
    OvercurrentBand
    DoNotOpenBand
    StringShare
    StringJoin
    StringDrift
    IsolationLow
    IsolationStale
    InterlockOpen
    HighVoltageAfterOff
    DischargeOnPack
    CoilDip
    ResistorHot
    JointHot
    ConductorHot
    PlugMoves
    FusePulse
}

/// The core's check of this number.
pub(crate) fn check_of(number: u8) -> Option<core_monitor::CheckId> {
    core_monitor::CheckId::ALL.get(usize::from(number)).copied()
}

impl Finding {
    /// `None` for what the core never tells: a check that holds or is idle.
    pub(crate) fn new(told: &core_monitor::Finding) -> Option<Self> {
        let state = match told.state {
            CoreState::Idle | CoreState::Good => return None,
            CoreState::Watching => State::Watching,
            CoreState::Found => State::Found,
            CoreState::Clearing => State::Clearing,
            CoreState::Blind => State::Blind,
        };
        let unusable = match told.blind {
            None => Unusable::No,
            Some(Blind::NotANumber) => Unusable::NotANumber,
            Some(Blind::OutOfRange) => Unusable::OutOfRange,
            Some(Blind::Stale) => Unusable::Stale,
        };
        let reset = match told.reset {
            core_monitor::Reset::Gone => Reset::Gone,
            core_monitor::Reset::Start => Reset::Start,
            core_monitor::Reset::Wait => Reset::Wait,
            core_monitor::Reset::Input => Reset::Input,
            core_monitor::Reset::Told => Reset::Told,
            // Whatever comes to be added: somebody has to look after it.
            _ => Reset::Acknowledge,
        };
        Some(Self {
            check: *CHECKS.get(told.check as usize)?,
            part: told.part,
            state,
            unusable,
            reset,
            advice: told.advice.bits(),
            for_ms: told.for_ms,
            measured: told.measured,
            limit: told.limit,
        })
    }
}

impl Summary {
    pub(crate) fn new(summary: &core_monitor::Summary) -> Self {
        Self {
            advice: summary.advice.bits(),
            held: summary.held,
            hot: summary.hot,
            may_close: u8::from(summary.may_close()),
            open_now: u8::from(summary.open()),
            found: summary.found,
            blind: summary.blind,
            derate: summary.derate,
        }
    }
}
