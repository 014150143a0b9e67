//! A joint or a resistor that warms: one heat capacity, one way out.

/// Data and state.
#[derive(Clone, Copy, Debug)]
pub struct Joint {
    /// Its resistance, ohm.
    pub resistance: f64,
    /// Kelvin per watt.
    pub outlet: f64,
    /// Time constant, s.
    pub time: f64,
    /// Sun or a hot neighbour adds this, K.
    pub extra: f64,
    /// Now, degC.
    pub temperature: f64,
}

impl Joint {
    /// A bolted joint of a main conductor: 30 microohm, 12 K at 200 A.
    pub const MAIN: Self = Self {
        resistance: 30e-6,
        outlet: 10.0,
        time: 120.0,
        extra: 0.0,
        temperature: 25.0,
    };
    /// A precharge resistor of 47 ohm that one try of 92 J warms by 6 K.
    pub const RESISTOR: Self = Self {
        resistance: 47.0,
        outlet: 4.0,
        time: 60.0,
        extra: 0.0,
        temperature: 25.0,
    };

    pub(super) fn advance(&mut self, step: f64, current: f64, air: f64) {
        let settled = air + self.extra + self.outlet * self.resistance * current * current;
        self.temperature = settled + (self.temperature - settled) * (-step / self.time).exp();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_settles_where_heat_in_equals_heat_out() {
        let mut joint = Joint::MAIN;
        for _ in 0..1_200 {
            joint.advance(1.0, 200.0, 25.0);
        }
        assert!(
            (joint.temperature - 37.0).abs() < 0.01,
            "{}",
            joint.temperature
        );
        let mut resistor = Joint::RESISTOR;
        // 92 J within a tenth of a second.
        resistor.advance(0.1, (920.0_f64 / 47.0).sqrt(), 25.0);
        assert!(
            (resistor.temperature - 31.1).abs() < 0.1,
            "{}",
            resistor.temperature
        );
    }
}
