//! The link capacitor and what hangs on it.

/// What draws current from the link before the drive is allowed to.
#[derive(Clone, Copy, Debug, Default)]
pub struct Standing {
    /// Constant current, A.
    pub current: f64,
    /// Constant power, W.
    pub power: f64,
    /// It starts at this voltage, V.
    pub from: f64,
}

impl Standing {
    fn at(&self, voltage: f64) -> f64 {
        if voltage <= 0.0 || voltage < self.from {
            0.0
        } else {
            self.current + self.power / voltage.max(1.0)
        }
    }
}

/// Capacitor, resistors and standing load.
#[derive(Clone, Copy, Debug)]
pub struct Link {
    /// Capacitance, F.
    pub capacitance: f64,
    /// Bleed resistor, ohm.
    pub bleed: f64,
    /// Resistor of the active discharge, ohm.
    pub active: f64,
    /// Resistance of a short circuit or wet cable across it, ohm.
    pub fault: Option<f64>,
    /// What draws current at once.
    pub standing: Standing,
    /// Voltage now, V.
    pub voltage: f64,
    /// Current of the bleed, discharge and fault resistors in the last step, A.
    pub lost: f64,
}

impl Link {
    /// Empty, with nothing else on it.
    pub const fn new(capacitance: f64, bleed: f64, active: f64) -> Self {
        Self {
            capacitance,
            bleed,
            active,
            fault: None,
            standing: Standing {
                current: 0.0,
                power: 0.0,
                from: 0.0,
            },
            voltage: 0.0,
            lost: 0.0,
        }
    }

    /// `step` seconds fed by `paths` (inner voltage, resistance) while the drive draws
    /// `drawn`. Exact for the resistors and the capacitor; the loads are taken as they are at
    /// the beginning of the step. Gives the mean voltage of the step.
    pub(super) fn advance(
        &mut self,
        step: f64,
        paths: impl Iterator<Item = (f64, f64)>,
        drawn: f64,
        discharge: bool,
    ) -> f64 {
        let across = 1.0 / self.bleed
            + if discharge { 1.0 / self.active } else { 0.0 }
            + self.fault.map_or(0.0, |ohm| 1.0 / ohm);
        let (conductance, driven) = paths.fold(
            (across, -drawn - self.standing.at(self.voltage)),
            |(sum, current), (volt, ohm)| (sum + 1.0 / ohm, current + volt / ohm),
        );
        let settled = driven / conductance;
        let ratio = step * conductance / self.capacitance;
        let before = self.voltage - settled;
        let mean = settled + before * -(-ratio).exp_m1() / ratio;
        // A drive's diodes keep the link from turning over.
        self.voltage = (settled + before * (-ratio).exp()).max(0.0);
        let mean = mean.max(0.0);
        self.lost = mean * across;
        mean
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RC charging from 400 V over 47 ohm into 1.152 mF: tau 54.1 ms; 63.2 % after one,
    /// 95.0 % after three (any textbook; closed form).
    #[test]
    fn it_charges_as_a_textbook_says() {
        for step in [1e-4, 1e-3, 1e-2] {
            let mut link = Link::new(1.152e-3, 1e12, 1e3);
            let tau = 47.0 * 1.152e-3;
            let mut time = 0.0;
            while time < 3.0 * tau {
                link.advance(step, core::iter::once((400.0, 47.0)), 0.0, false);
                time += step;
            }
            let exact = 400.0 * (1.0 - (-time / tau).exp());
            assert!((link.voltage - exact).abs() < 1e-3, "{}", link.voltage);
        }
    }

    /// 403.2 V on 1.152 mF falls to 60 V through 33 kohm in 72.4 s: RC ln(403.2 / 60).
    #[test]
    fn it_bleeds_as_a_textbook_says() {
        let mut link = Link::new(1.152e-3, 33e3, 1e3);
        link.voltage = 403.2;
        let mut time = 0.0_f64;
        while link.voltage > 60.0 {
            link.advance(1e-3, core::iter::empty(), 0.0, false);
            time += 1e-3;
        }
        let exact = 33e3 * 1.152e-3 * (403.2_f64 / 60.0).ln();
        assert!((time - exact).abs() < 2e-3, "{time} {exact}");
    }

    /// A load that needs more than V2 / 4R through the resistor never lets the link rise.
    #[test]
    fn a_load_of_constant_power_holds_it_down() {
        let mut link = Link::new(1.152e-3, 33e3, 1e3);
        link.standing = Standing {
            power: 1.05 * 400.0 * 400.0 / (4.0 * 47.0),
            from: 150.0,
            ..Standing::default()
        };
        for _ in 0..20_000 {
            link.advance(1e-4, core::iter::once((400.0, 47.0)), 0.0, false);
        }
        assert!(link.voltage < 200.0, "{}", link.voltage);
    }
}
