//! What the controller does about what the monitors advise. They switch nothing.

use orangeloom_core::limits::{Limits, MAX_SWITCHES};
use orangeloom_core::monitor::{Advice, OpenRequest, Summary};

use crate::limits::place;

/// What a contactor does, as `Switch::role` of the limits counts.
const POSITIVE: u8 = 0;
const RELAY: u8 = 2;

/// The only string, and the only path that precharges the link from it.
const STRING: u8 = place::STRING_B1_CELLS as u8;
const PATH: u8 = place::PATH_KP as u8;

/// Ticks until contactors have closed, and until a weld would show.
const CLOSING: u32 = 15;

/// Where the contactors are.
#[derive(Clone, Copy, PartialEq, Eq, defmt::Format)]
pub enum Phase {
    /// All are open.
    Open,
    /// All but the positive contactor and the precharge relay are closing.
    Poles,
    /// The relay is closed.
    Precharge,
    /// The positive contactor is closing beside the relay.
    Positive,
    /// Driving.
    Closed,
    /// Zero current was asked for.
    Opening,
    /// A new start takes a new turn of the key.
    OpenUntilKeyOff,
}

/// The contactors of one string, in the order of the limits.
pub struct Contactors {
    phase: Phase,
    ticks: u32,
    commanded: [bool; MAX_SWITCHES],
    roles: [u8; MAX_SWITCHES],
    /// Share of the lasting current that may be drawn, where there is one.
    derate: Option<f32>,
}

impl Contactors {
    /// All of them open.
    pub fn new(limits: &Limits) -> Self {
        let mut roles = [u8::MAX; MAX_SWITCHES];
        for (role, switch) in roles.iter_mut().zip(&limits.switches) {
            *role = switch.role;
        }
        Self {
            phase: Phase::Open,
            ticks: 0,
            commanded: [false; MAX_SWITCHES],
            roles,
            derate: None,
        }
    }

    /// Whether each coil is switched on.
    pub fn commanded(&self) -> &[bool; MAX_SWITCHES] {
        &self.commanded
    }

    /// Where they are.
    pub fn phase(&self) -> Phase {
        self.phase
    }

    /// Whether the link hangs on the pack.
    pub fn closed(&self) -> bool {
        matches!(self.phase, Phase::Positive | Phase::Closed | Phase::Opening)
    }

    /// Share of the lasting current that the inverter is held to.
    pub fn derate(&self) -> Option<f32> {
        self.derate
    }

    /// What the monitors are told about opening.
    pub fn request(&self) -> OpenRequest {
        match self.phase {
            Phase::Opening => OpenRequest::Soft,
            _ => OpenRequest::None,
        }
    }

    /// One tick: what was advised, whether the key is on, the current in A.
    pub fn decide(&mut self, limits: &Limits, summary: &Summary, key: bool, amperes: f32) {
        let advice = summary.advice;
        self.ticks += 1;
        self.derate = advice.has(Advice::DERATE).then_some(summary.derate);
        match self.phase {
            Phase::Open if key && summary.may_precharge(PATH) => self.go(Phase::Poles),
            Phase::Open if key && !summary.may_close() => self.go(Phase::OpenUntilKeyOff),
            Phase::Poles if self.ticks >= CLOSING => self.go(Phase::Precharge),
            // Volts across the contactor and a current near zero, never a time alone.
            Phase::Precharge if summary.may_close_main(STRING) => self.go(Phase::Positive),
            Phase::Precharge if advice.has(Advice::ABORT_PRECHARGE) => {
                self.go(Phase::OpenUntilKeyOff)
            }
            Phase::Positive if self.ticks >= CLOSING => self.go(Phase::Closed),
            Phase::Closed if !key || advice.has(Advice::OPEN_SOFTLY) => self.go(Phase::Opening),
            // Under load a contactor wears; the monitors say when to wait no longer.
            Phase::Opening if amperes < limits.opening.soft_a => self.go(Phase::OpenUntilKeyOff),
            Phase::OpenUntilKeyOff if !key => self.go(Phase::Open),
            _ => {}
        }
        let starting = matches!(self.phase, Phase::Poles | Phase::Precharge);
        if starting && !(key && summary.may_close()) {
            self.go(Phase::OpenUntilKeyOff);
        }
        // `open` knows of the currents that a contactor does not break.
        if summary.open() && !matches!(self.phase, Phase::Open | Phase::OpenUntilKeyOff) {
            self.go(Phase::OpenUntilKeyOff);
        }
    }

    fn go(&mut self, phase: Phase) {
        (self.phase, self.ticks) = (phase, 0);
        let poles = !matches!(phase, Phase::Open | Phase::OpenUntilKeyOff);
        let relay = matches!(phase, Phase::Precharge | Phase::Positive);
        let positive = self.closed();
        for (commanded, role) in self.commanded.iter_mut().zip(self.roles) {
            *commanded = match role {
                POSITIVE => positive,
                RELAY => relay,
                u8::MAX => false,
                _ => poles,
            };
        }
    }
}
