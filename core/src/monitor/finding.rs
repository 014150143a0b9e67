//! What a monitor tells: which check, what it saw, what to do, what clears it.

use super::input::Blind;

worded! {
    /// A check of the monitors.
    #[non_exhaustive]
    CheckId {
        /// Ticks come too late.
        TickLate: "ticks come too late";
        /// A string voltage is implausible, or differs from the link while closed.
        SensorPlausible: "voltages do not agree";
        /// The link is charged before anything is closed, and not as the bleed explains.
        LinkDeadBeforeClose: "the link is charged before closing";
        /// The link does not rise as it should.
        PrechargeRise: "precharge does not rise as expected";
        /// The link stays near zero although the current flows.
        PrechargeShort: "the link is shorted";
        /// No current flows into the link.
        PrechargeOpen: "the precharge path is open";
        /// The link stands still below the voltage at which it may close.
        PrechargeLoad: "a load holds the link down";
        /// The relay was closed for too long.
        PrechargeTimeOut: "precharge takes too long";
        /// The resistor does not stand another try yet.
        PrechargeBudget: "the precharge resistor has to cool";
        /// The main contactor may not close yet.
        ClosePermission: "the main contactor may not close yet";
        /// A contactor did not close.
        MainCloseVerify: "a contactor did not close";
        /// A contactor did not open.
        Weld: "a contactor did not open";
        /// A contactor was opened with current in it.
        OpenUnderLoad: "opened under load";
        /// Opening waits for the current to go.
        SoftOpen: "opening waits for the current to go";
        /// More than the lasting current for long.
        OvercurrentBand: "overload";
        /// More than a contactor breaks.
        DoNotOpenBand: "more current than the contactor breaks";
        /// The current divides otherwise than it should.
        StringShare: "a string carries another share than it should";
        /// Strings differ too much to be joined.
        StringJoin: "strings differ too much to be joined";
        /// Joined strings differ.
        StringDrift: "joined strings differ";
        /// Isolation resistance is low.
        IsolationLow: "isolation resistance is low";
        /// Isolation resistance is not known.
        IsolationStale: "isolation resistance is not known";
        /// The interlock loop is open.
        InterlockOpen: "the interlock loop is open";
        /// The link is charged long after opening.
        HighVoltageAfterOff: "the link is charged after opening";
        /// The active discharge works against the pack.
        DischargeOnPack: "the discharge works against the pack";
        /// The coils' supply is too low.
        CoilDip: "the supply of the coils is too low";
        /// The precharge resistor is hot.
        ResistorHot: "the precharge resistor is hot";
        /// A joint is hot, or hotter than its twin.
        JointHot: "a joint is hot";
        /// A conductor is hot by its current.
        ConductorHot: "a conductor is hot";
        /// The vehicle moves while it is plugged.
        PlugMoves: "the vehicle moves while plugged";
        /// A fuse has taken a pulse that ages it.
        FusePulse: "a fuse took a pulse that ages it";
    }

    /// What clears a finding.
    #[non_exhaustive]
    Reset {
        /// It clears by itself when the cause is gone for a while.
        Gone: "by itself when the cause is gone";
        /// The next start, when the cause is gone.
        Start: "a new start when the cause is gone";
        /// Somebody who has looked after it: `acknowledge`.
        Acknowledge: "acknowledge it after it was looked after";
        /// Time.
        Wait: "waiting";
        /// The input has to be measured again.
        Input: "the input has to be measured again";
        /// Nothing has to: it is told once.
        Told: "nothing; it is told once";
    }
}

/// What the caller is advised to do. A set.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Advice(u16);

impl Advice {
    /// Nothing.
    pub const NONE: Self = Self(0);
    /// Tell the driver.
    pub const WARN: Self = Self(1);
    /// Draw no more than the share [`super::Summary::derate`] of the lasting current.
    pub const DERATE: Self = Self(2);
    /// Close nothing that is open.
    pub const FORBID_CLOSING: Self = Self(4);
    /// Do not close the positive contactor of this string; precharging it is free.
    pub const FORBID_MAIN: Self = Self(8);
    /// Open the precharge relay.
    pub const ABORT_PRECHARGE: Self = Self(16);
    /// Ask for zero current, then open.
    pub const OPEN_SOFTLY: Self = Self(32);
    /// Open all contactors.
    pub const OPEN_NOW: Self = Self(64);
    /// Keep closed whatever else is advised: the fuse has to act.
    pub const DO_NOT_OPEN: Self = Self(128);
    /// Stop charging.
    pub const STOP_CHARGING: Self = Self(256);
    /// Ask for zero torque.
    pub const ZERO_TORQUE: Self = Self(512);
    /// Switch the active discharge off.
    pub const STOP_DISCHARGE: Self = Self(1024);
    /// Drive the coils with pull-in voltage again.
    pub const PULL_IN_AGAIN: Self = Self(2048);
    /// Show that the link is charged.
    pub const SHOW_CHARGED: Self = Self(4096);
    /// Nothing but the service disconnect parts the circuit.
    pub const SERVICE_DISCONNECT: Self = Self(8192);
    /// Do not close the relay of this precharge path.
    pub const FORBID_PRECHARGE: Self = Self(16384);

    /// Both.
    #[must_use]
    pub const fn and(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }

    /// Whether all of the other is in it.
    pub const fn has(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// As bits, for other languages.
    pub const fn bits(self) -> u16 {
        self.0
    }
}

/// By name: a number would have to be looked up while something is wrong.
#[cfg(feature = "defmt")]
impl defmt::Format for Advice {
    fn format(&self, f: defmt::Formatter<'_>) {
        let names = [
            (Self::WARN, defmt::intern!("warn")),
            (Self::DERATE, defmt::intern!("derate")),
            (Self::FORBID_CLOSING, defmt::intern!("forbid closing")),
            (Self::FORBID_MAIN, defmt::intern!("forbid main")),
            (Self::ABORT_PRECHARGE, defmt::intern!("abort precharge")),
            (Self::OPEN_SOFTLY, defmt::intern!("open softly")),
            (Self::OPEN_NOW, defmt::intern!("open now")),
            (Self::DO_NOT_OPEN, defmt::intern!("do not open")),
            (Self::STOP_CHARGING, defmt::intern!("stop charging")),
            (Self::ZERO_TORQUE, defmt::intern!("zero torque")),
            (Self::STOP_DISCHARGE, defmt::intern!("stop discharge")),
            (Self::PULL_IN_AGAIN, defmt::intern!("pull in again")),
            (Self::SHOW_CHARGED, defmt::intern!("show charged")),
            (
                Self::SERVICE_DISCONNECT,
                defmt::intern!("service disconnect"),
            ),
            (Self::FORBID_PRECHARGE, defmt::intern!("forbid precharge")),
        ];
        defmt::write!(f, "[");
        let mut before = false;
        for (one, name) in names {
            if self.has(one) {
                if before {
                    defmt::write!(f, ", ");
                }
                defmt::write!(f, "{=istr}", name);
                before = true;
            }
        }
        defmt::write!(f, "]");
    }
}

/// What a check is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the states of every check
pub enum State {
    /// Nothing to look at now.
    Idle,
    /// It holds.
    Good,
    /// It does not hold, not for long enough yet.
    Watching,
    /// It does not hold.
    Found,
    /// It holds again, not for long enough yet, or what clears it has not come.
    Clearing,
    /// An input cannot be used.
    Blind,
}

/// What a check tells.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Finding {
    /// The check.
    pub check: CheckId,
    /// Which contactor, string, current or conductor of the limits, from zero.
    pub part: u8,
    /// Its state.
    pub state: State,
    /// How long it has been in this state, ms.
    pub for_ms: u32,
    /// What was measured; no number where nothing was.
    pub measured: f32,
    /// What it is held against; no number where it is held against nothing.
    pub limit: f32,
    /// Why an input cannot be used.
    pub blind: Option<Blind>,
    /// What to do.
    pub advice: Advice,
    /// What clears it.
    pub reset: Reset,
}

/// What a check leads to.
#[derive(Clone, Copy)]
pub(super) struct Rule {
    pub(super) reset: Reset,
    /// While it is watched, whether good ticks are taken off the time in which it did not
    /// hold, instead of starting that anew. So it is with what is slow and whose value has no
    /// cause to come back: near its limit it flickers because the fault is there.
    pub(super) remembers: bool,
    /// While it does not hold.
    pub(super) found: Advice,
    /// While an input cannot be used.
    pub(super) blind: Advice,
}

impl CheckId {
    /// What clears it once it is found.
    pub const fn reset(self) -> Reset {
        self.ruled().reset
    }

    /// A row of the table: a match would be twice as large, and three times as long.
    pub(super) fn rule(self) -> &'static Rule {
        const WORST: Rule = CheckId::TickLate.ruled();
        static RULES: [Rule; CheckId::ALL.len()] = {
            let mut rules = [WORST; CheckId::ALL.len()];
            let (mut rest, mut left): (&[CheckId], &mut [Rule]) = (CheckId::ALL, &mut rules);
            while let ([check, others @ ..], [rule, more @ ..]) = (rest, left) {
                *rule = check.ruled();
                (rest, left) = (others, more);
            }
            rules
        };
        RULES.get(self as usize).unwrap_or(&WORST)
    }

    #[allow(clippy::match_same_arms)] // a row for each check
    const fn ruled(self) -> Rule {
        const WARN: Advice = Advice::WARN;
        const STAY_OPEN: Advice = WARN.and(Advice::FORBID_CLOSING);
        const LIMIT: Advice = WARN.and(Advice::DERATE);
        const ABORT: Advice = STAY_OPEN.and(Advice::ABORT_PRECHARGE);
        let (reset, found, blind) = match self {
            Self::TickLate => (Reset::Gone, STAY_OPEN, STAY_OPEN),
            Self::SensorPlausible => {
                let found = STAY_OPEN.and(Advice::DERATE);
                // It may be above its window.
                let blind = found.and(Advice::STOP_CHARGING);
                (Reset::Acknowledge, found, blind)
            }
            Self::LinkDeadBeforeClose => (
                Reset::Gone,
                Advice::FORBID_CLOSING.and(Advice::SHOW_CHARGED),
                STAY_OPEN.and(Advice::SHOW_CHARGED),
            ),
            Self::PrechargeRise | Self::PrechargeShort => (Reset::Acknowledge, ABORT, ABORT),
            Self::PrechargeOpen | Self::PrechargeLoad | Self::PrechargeTimeOut => {
                (Reset::Start, ABORT, ABORT)
            }
            Self::PrechargeBudget => {
                let both = WARN.and(Advice::FORBID_PRECHARGE);
                (Reset::Wait, both, both)
            }
            Self::ClosePermission | Self::StringJoin => (
                Reset::Gone,
                Advice::FORBID_MAIN,
                WARN.and(Advice::FORBID_MAIN),
            ),
            Self::MainCloseVerify => (
                Reset::Acknowledge,
                STAY_OPEN.and(Advice::OPEN_NOW),
                STAY_OPEN,
            ),
            Self::Weld => (
                Reset::Acknowledge,
                STAY_OPEN.and(Advice::SERVICE_DISCONNECT),
                STAY_OPEN,
            ),
            Self::OpenUnderLoad | Self::FusePulse => (Reset::Told, WARN, WARN),
            Self::SoftOpen => (Reset::Gone, Advice::OPEN_NOW, Advice::NONE),
            Self::OvercurrentBand | Self::ConductorHot | Self::JointHot => {
                (Reset::Gone, LIMIT, LIMIT)
            }
            Self::DoNotOpenBand => (Reset::Gone, WARN, WARN),
            Self::StringShare => (Reset::Gone, WARN, WARN),
            Self::StringDrift => {
                let found = WARN.and(Advice::OPEN_SOFTLY).and(Advice::FORBID_MAIN);
                (Reset::Acknowledge, found, WARN.and(Advice::FORBID_MAIN))
            }
            Self::IsolationLow => (Reset::Gone, WARN, WARN),
            Self::IsolationStale => {
                let found = STAY_OPEN.and(Advice::STOP_CHARGING);
                (Reset::Gone, found, found)
            }
            Self::InterlockOpen => (Reset::Start, STAY_OPEN, STAY_OPEN.and(Advice::DERATE)),
            Self::HighVoltageAfterOff => {
                let both = WARN.and(Advice::SHOW_CHARGED);
                (Reset::Gone, both, both)
            }
            Self::DischargeOnPack => {
                let both = STAY_OPEN.and(Advice::STOP_DISCHARGE);
                (Reset::Acknowledge, both, both)
            }
            Self::CoilDip => (Reset::Gone, STAY_OPEN, STAY_OPEN),
            Self::ResistorHot => (Reset::Gone, STAY_OPEN, STAY_OPEN),
            Self::PlugMoves => (Reset::Gone, WARN.and(Advice::ZERO_TORQUE), WARN),
        };
        Rule {
            reset,
            remembers: matches!(
                self,
                Self::IsolationLow
                    | Self::StringShare
                    | Self::StringDrift
                    | Self::ResistorHot
                    | Self::JointHot
            ),
            found,
            blind,
        }
    }
}
