//! A contactor or relay: coil, travel, bounce, weld.

/// What can be wrong with it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Damage {
    /// Nothing.
    #[default]
    None,
    /// The contacts hold together whatever the coil does.
    Welded,
    /// The contacts never meet.
    Stuck,
}

/// Times and coil voltages. Invented, of the size of sealed parts for a few hundred amperes.
#[derive(Clone, Copy, Debug)]
pub struct Make {
    /// Coil voltage that pulls in.
    pub pull_in: f64,
    /// Coil voltage below which it drops out.
    pub drop_out: f64,
    /// Seconds from command to first touch.
    pub closing: f64,
    /// Seconds from command to parting.
    pub opening: f64,
    /// Seconds of bounce after first touch.
    pub bounce: f64,
}

impl Make {
    /// A main contactor for a 12 V supply.
    pub const MAIN: Self = Self {
        pull_in: 8.0,
        drop_out: 5.0,
        closing: 0.025,
        opening: 0.012,
        bounce: 0.004,
    };
}

/// One pole.
#[derive(Clone, Copy, Debug)]
pub struct Contactor {
    make: Make,
    /// What is wrong with it.
    pub damage: Damage,
    /// The state that its auxiliary contact shows for ever, when that one is broken.
    pub feedback_stuck: Option<bool>,
    armature_in: bool,
    since_change: f64,
    towards: bool,
}

impl Contactor {
    /// Open and whole.
    pub const fn new(make: Make) -> Self {
        Self {
            make,
            damage: Damage::None,
            feedback_stuck: None,
            armature_in: false,
            since_change: f64::INFINITY,
            towards: false,
        }
    }

    /// `step` seconds with the coil switched on or off at `supply` volts.
    pub fn advance(&mut self, step: f64, commanded: bool, supply: f64) {
        let holds = if self.towards {
            supply >= self.make.drop_out
        } else {
            supply >= self.make.pull_in
        };
        let wanted = commanded && holds;
        if wanted != self.towards {
            self.towards = wanted;
            self.since_change = 0.0;
        }
        self.since_change += step;
        let travel = if wanted {
            self.make.closing
        } else {
            self.make.opening
        };
        // Half a step: sums of steps do not meet the time exactly.
        if self.since_change + 0.5 * step >= travel {
            self.armature_in = wanted;
        }
    }

    /// Whether current can pass now.
    pub fn conducts(&self) -> bool {
        match self.damage {
            Damage::Welded => true,
            Damage::Stuck => false,
            Damage::None => {
                let touched = self.since_change - self.make.closing;
                let bouncing = self.towards && touched > 0.0 && touched < self.make.bounce;
                // Apart for every second millisecond.
                self.armature_in && !(bouncing && (touched * 1e3).rem_euclid(2.0) >= 1.0)
            }
        }
    }

    /// What its auxiliary contact tells.
    pub fn feedback(&self) -> bool {
        self.feedback_stuck.unwrap_or(match self.damage {
            Damage::Welded => true,
            Damage::Stuck => false,
            Damage::None => self.armature_in,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(contactor: &mut Contactor, seconds: f64, commanded: bool, supply: f64) -> Vec<bool> {
        let mut seen = Vec::new();
        let mut time = 0.0;
        while time < seconds {
            contactor.advance(1e-3, commanded, supply);
            seen.push(contactor.conducts());
            time += 1e-3;
        }
        seen
    }

    #[test]
    fn it_travels_bounces_and_holds_below_what_pulls_it_in() {
        let mut contactor = Contactor::new(Make::MAIN);
        let seen = run(&mut contactor, 0.06, true, 12.0);
        assert!(seen[..23].iter().all(|on| !on), "travel of 25 ms");
        assert!(seen[24..29].iter().any(|on| !on), "bounce");
        assert!(seen[30..].iter().all(|on| *on));
        assert!(run(&mut contactor, 0.05, true, 6.0).iter().all(|on| *on));
        assert!(!run(&mut contactor, 0.05, true, 4.0).last().unwrap());
        assert!(!run(&mut contactor, 0.05, true, 6.0).last().unwrap());
    }

    #[test]
    fn a_weld_ignores_the_coil_and_its_auxiliary_contact_may_lie() {
        let mut contactor = Contactor::new(Make::MAIN);
        contactor.damage = Damage::Welded;
        run(&mut contactor, 0.1, false, 12.0);
        assert!(contactor.conducts() && contactor.feedback());
        contactor.feedback_stuck = Some(false);
        assert!(contactor.conducts() && !contactor.feedback());
    }
}
