//! One string of cells: voltage behind a resistance, with a slow polarisation and a fuse.

use super::contactor::{Contactor, Make};

/// Data and state of one string and of the contactors in its box.
#[derive(Clone, Copy, Debug)]
pub struct PackString {
    /// Open-circuit voltage at rest now, V.
    pub rest: f64,
    /// How far that falls per ampere-second, V.
    pub per_charge: f64,
    /// Resistance of cells, links and cables, ohm.
    pub resistance: f64,
    /// Slow part of the resistance (polarisation), ohm.
    pub slow_resistance: f64,
    /// Its time constant, s.
    pub slow_time: f64,
    /// Precharge resistor, ohm.
    pub precharge: f64,
    /// Positive contactor.
    pub positive: Contactor,
    /// Negative contactor.
    pub negative: Contactor,
    /// Precharge relay, across the positive contactor.
    pub relay: Contactor,
    /// The fuse is gone.
    pub fuse_open: bool,
    /// The resistor or its wire is gone.
    pub precharge_open: bool,
    /// Current of the last step, discharge counts positive, A.
    pub current: f64,
    /// Energy in the precharge resistor so far, J.
    pub precharge_heat: f64,
    polarisation: f64,
}

impl PackString {
    /// At rest with everything open.
    pub const fn new(rest: f64, resistance: f64, precharge: f64) -> Self {
        Self {
            rest,
            per_charge: 0.0,
            resistance,
            slow_resistance: 0.3 * resistance,
            slow_time: 30.0,
            precharge,
            positive: Contactor::new(Make::MAIN),
            negative: Contactor::new(Make::MAIN),
            relay: Contactor::new(Make::MAIN),
            fuse_open: false,
            precharge_open: false,
            current: 0.0,
            precharge_heat: 0.0,
            polarisation: 0.0,
        }
    }

    /// Voltage behind the resistance.
    pub const fn inner(&self) -> f64 {
        self.rest - self.polarisation
    }

    /// Voltage at its terminals, ahead of the fuse and the contactors.
    pub const fn terminal(&self) -> f64 {
        self.inner() - self.current * self.resistance
    }

    /// Resistance between the inner voltage and the link; none when that path is open.
    pub fn path(&self) -> Option<f64> {
        if self.fuse_open || !self.negative.conducts() {
            None
        } else if self.positive.conducts() {
            Some(self.resistance)
        } else if self.relay.conducts() && !self.precharge_open {
            Some(self.resistance + self.precharge)
        } else {
            None
        }
    }

    /// `step` seconds at this mean current.
    pub(super) fn advance(&mut self, step: f64, current: f64) {
        if !self.positive.conducts() {
            self.precharge_heat += current * current * self.precharge * step;
        }
        self.current = current;
        self.rest -= self.per_charge * current * step;
        let settled = current * self.slow_resistance;
        self.polarisation =
            settled + (self.polarisation - settled) * (-step / self.slow_time).exp();
    }
}
