//! Findings and their sum.

use orangeloom_core::monitor as core_monitor;
use orangeloom_core::monitor::{Blind, State as CoreState};

/// Which check, with what `OrangeloomFinding.part`, `.measured` and `.limit` are of it. Where
/// no part is named it is 0. A newer library may tell of more.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Check {
    /// Ticks come too late, or the clock stands still or steps back. Measured and limit: ms
    /// between two ticks.
    TickLate = 0,
    /// The voltage of a string is implausible, or differs from the link while closed. Part:
    /// string. Measured: of the string, V; limit: highest or lowest of the pack, or of the link,
    /// V.
    SensorPlausible = 1,
    /// The link is charged before anything is closed. Measured and limit: V.
    LinkDeadBeforeClose = 2,
    /// The link does not rise as it should. Part: precharge path. Measured: link, V; limit:
    /// expected, V.
    PrechargeRise = 3,
    /// The link stays near zero although the current flows. Part: precharge path. Measured: link,
    /// V; limit: V.
    PrechargeShort = 4,
    /// No current flows into the link. Part: precharge path. Measured and limit: A.
    PrechargeOpen = 5,
    /// A load holds the link below the voltage at which it may close. Part: precharge path.
    /// Measured and limit: V/s.
    PrechargeLoad = 6,
    /// The relay is closed for too long. Part: precharge path. Measured and limit: ms.
    PrechargeTimeOut = 7,
    /// The precharge resistor has to cool. Part: precharge path. Measured: heat in it with
    /// another try, in tries; limit: tries that it stands.
    PrechargeBudget = 8,
    /// The main contactor may not close yet. Part: string. Measured: voltage across it, V; limit:
    /// V.
    ClosePermission = 9,
    /// A contactor did not close. Part: contactor. No values.
    MainCloseVerify = 10,
    /// A contactor did not open. Part: contactor. Measured: link, V; limit: voltage at which it
    /// counts as not fallen, V.
    Weld = 11,
    /// A contactor was opened with current in it. Part: contactor. Measured and limit: A.
    OpenUnderLoad = 12,
    /// Opening waits for the current to go. Measured and limit: A.
    SoftOpen = 13,
    /// More than the lasting current for long. Part: current. Measured and limit: A.
    OvercurrentBand = 14,
    /// More current than a contactor breaks. Part: contactor. Measured and limit: A.
    DoNotOpenBand = 15,
    /// A string carries another share than it should. Part: string. Measured: A; limit: expected,
    /// A.
    StringShare = 16,
    /// Strings differ too much to be joined. Part: string. Measured: voltage across its
    /// contactor, V; limit: V.
    StringJoin = 17,
    /// Joined strings differ. Part: string. Measured and limit: V against the link.
    StringDrift = 18,
    /// Isolation resistance is low. Part: 0 is the warning, 1 the alarm. Measured and limit: ohm.
    IsolationLow = 19,
    /// Isolation resistance is not known. Measured: ohm, NaN where there is none; no limit.
    IsolationStale = 20,
    /// The interlock loop is open. Measured: speed, km/h; limit: speed below which it leads to
    /// opening, km/h.
    InterlockOpen = 21,
    /// The link is charged long after opening. Measured and limit: V.
    HighVoltageAfterOff = 22,
    /// The active discharge works against the pack. Measured and limit: V.
    DischargeOnPack = 23,
    /// The supply of the coils is too low. Measured and limit: V.
    CoilDip = 24,
    /// The precharge resistor is hot. Measured and limit: degC.
    ResistorHot = 25,
    /// A joint is hot, or hotter than its twin. Part: pair of joints. Measured and limit: degC,
    /// or K where the difference is what does not hold.
    JointHot = 26,
    /// A conductor is hot by its current. Part: conductor. Measured and limit: degC.
    ConductorHot = 27,
    /// The vehicle moves, or torque is requested, while it is plugged. Measured and limit: km/h.
    PlugMoves = 28,
    /// A fuse took a pulse that ages it. Part: current. Measured and limit: share of its melting
    /// integral, 0 to 1.
    FusePulse = 29,
}

/// What a check is about now.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It does not hold, but not for long enough yet: no advice follows.
    Watching = 0,
    /// It does not hold: follow the advice.
    Found = 1,
    /// It holds again, but what clears it has not come yet: the advice stands.
    Clearing = 2,
    /// An input cannot be used: follow the advice.
    Blind = 3,
}

/// Why an input cannot be used.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unusable {
    /// It can.
    No = 0,
    /// Not measured, or NaN.
    NotANumber = 1,
    /// Outside what the sensor shows by the limits.
    OutOfRange = 2,
    /// Older than the limits allow.
    Stale = 3,
}

/// What clears a finding.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reset {
    /// It clears by itself when the cause is gone for a while.
    Gone = 0,
    /// A new start (`OrangeloomInputs.start` from 0 to 1) when the cause is gone.
    Start = 1,
    /// `orangeloom_acknowledge`, by somebody who looked after it.
    Acknowledge = 2,
    /// Waiting, as for something to cool.
    Wait = 3,
    /// The input has to be measured again.
    Input = 4,
    /// Nothing; it is told once.
    Told = 5,
}

/// Advice: tell the driver.
pub const ADVICE_WARN: u16 = 1;
/// Advice: draw no more than the share `OrangeloomSummary.derate` of the lasting current.
pub const ADVICE_DERATE: u16 = 2;
/// Advice: close nothing that is open. With no finding that advises it: what was kept over the
/// restart was neither taken over nor said not to be there (`orangeloom_restore`,
/// `orangeloom_start_without_store`).
pub const ADVICE_FORBID_CLOSING: u16 = 4;
/// Advice: do not close the positive main contactor of this string; precharging it is free.
pub const ADVICE_FORBID_MAIN: u16 = 8;
/// Advice: open the precharge relay.
pub const ADVICE_ABORT_PRECHARGE: u16 = 16;
/// Advice: ask for zero current and set `OrangeloomInputs.open` to `ORANGELOOM_OPEN_SOFTLY`.
pub const ADVICE_OPEN_SOFTLY: u16 = 32;
/// Advice: open all contactors, unless `ORANGELOOM_ADVICE_DO_NOT_OPEN` stands too: go by
/// `OrangeloomSummary.open_now`.
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

/// Size of `OrangeloomFinding`, bytes.
pub const FINDING_BYTES: usize = 20;
/// Size of `OrangeloomSummary`, bytes. It stays the same in every version of the library.
pub const SUMMARY_BYTES: usize = 12;

const _: () = assert!(FINDING_BYTES == size_of::<Finding>());
const _: () = assert!(SUMMARY_BYTES == size_of::<Summary>());

/// A check that does not hold.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    /// Which check.
    pub check: Check,
    /// Which contactor, string, current, precharge path, conductor or pair of joints, from 0
    /// in the order of the image; what it counts stands at each check.
    pub part: u8,
    /// Its state.
    pub state: State,
    /// Why an input cannot be used, where that is so.
    pub unusable: Unusable,
    /// What clears it.
    pub reset: Reset,
    /// What to do: `ORANGELOOM_ADVICE_...`, added up. 0 while it is only watched.
    pub advice: u16,
    /// How long it has been in this state, ms; stands still after six days.
    pub for_ms: u32,
    /// What was measured, in the unit that stands at each check; NaN where nothing was.
    pub measured: f32,
    /// What it is held against, in the same unit; NaN where it is held against nothing.
    pub limit: f32,
}

/// Everything that was told in one tick, together. Go by this; the findings say why.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Summary {
    /// All advice together: `ORANGELOOM_ADVICE_...`, added up.
    pub advice: u16,
    /// Strings whose positive main contactor may not close: bit 0 is the first string.
    pub held: u8,
    /// Precharge paths whose relay may not close: bit 0 is the first path.
    pub hot: u8,
    /// 1 if something that is open may be closed, as far as `held` and `hot` allow it too;
    /// else 0. Ask it in the tick in which you close, never an earlier one.
    pub may_close: u8,
    /// 1 if all contactors are to be opened now: advised, and not more current than they break.
    pub open_now: u8,
    /// How many checks do not hold, up to 255.
    pub found: u8,
    /// How many checks have an input that cannot be used, up to 255; 255 where a tick was
    /// refused.
    pub blind: u8,
    /// With `ORANGELOOM_ADVICE_DERATE`: the largest share of the lasting current to draw, 0
    /// to 1; else 1.
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

/// The size of `OrangeloomFinding` that this library expects, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_finding_size() -> usize {
    size_of::<Finding>()
}

/// The size of `OrangeloomSummary` that this library expects, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_summary_size() -> usize {
    size_of::<Summary>()
}

impl Summary {
    /// Of a tick that did not happen: no more than with every input lost, and no charging.
    pub(crate) const REFUSED: Self = Self {
        advice: ADVICE_WARN
            | ADVICE_DERATE
            | ADVICE_FORBID_CLOSING
            | ADVICE_FORBID_MAIN
            | ADVICE_FORBID_PRECHARGE
            | ADVICE_STOP_CHARGING,
        held: u8::MAX,
        hot: u8::MAX,
        may_close: 0,
        open_now: 0,
        found: 0,
        blind: u8::MAX,
        derate: 0.5,
    };

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
