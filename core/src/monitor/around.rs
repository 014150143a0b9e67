//! Isolation, interlock, plug, measured temperatures.

use super::finding::{Advice, CheckId, State};
use super::input::{MAX_JOINTS, Read, ms};
use super::latch::{Latch, Look};
use super::tick::{Seen, Tick, larger, smaller};

/// What lies around the circuit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Around {
    /// Warning and alarm.
    low: [Latch; 2],
    stale: Latch,
    interlock: Latch,
    plug: Latch,
    resistor: Latch,
    joints: [Latch; MAX_JOINTS],
    /// Since something is seen to be plugged in, ms.
    plugged_ms: u32,
}

impl Around {
    pub(super) const START: Self = Self {
        low: [Latch::IDLE; 2],
        stale: Latch::IDLE,
        interlock: Latch::IDLE,
        plug: Latch::IDLE,
        resistor: Latch::IDLE,
        joints: [Latch::IDLE; MAX_JOINTS],
        plugged_ms: 0,
    };

    pub(super) fn latches(&mut self) -> [&mut Latch; 6] {
        let Self {
            low: [warning, alarm],
            stale,
            interlock,
            plug,
            resistor,
            ..
        } = self;
        [warning, alarm, stale, interlock, plug, resistor]
    }

    /// `moved_ms`: since a contactor moved.
    pub(super) fn check(&mut self, tick: &mut Tick<'_>, moved_ms: u32) {
        self.plug(tick);
        self.isolation(tick, moved_ms);
        self.interlock(tick);
        self.heat(tick);
    }

    fn plug(&mut self, tick: &mut Tick<'_>) {
        let limits = &tick.limits.interlock;
        let speed = tick.speed;
        let look = match tick.plugged {
            Look::Idle if speed.is_known() => Look::Idle,
            // A speed that is not known counts as moving, where less is found: that is told.
            Look::Idle | Look::Bad => speed.look(),
            Look::Good => speed.bad_if(tick.inputs.torque || speed.value() > limits.moves_km_per_h),
            blind => blind,
        };
        let seen = Seen::new(CheckId::PlugMoves, 0, look)
            .at(tick.speed, limits.moves_km_per_h)
            .lasting(limits.plug_ms, limits.plug_ms);
        tick.judge(&mut self.plug, seen);
        // What is plugged in may stay so while its contact tells nothing: it is not new again.
        self.plugged_ms = if matches!(tick.plugged, Look::Idle | Look::Bad) {
            0
        } else {
            self.plugged_ms.saturating_add(tick.dt_ms)
        };
    }

    fn isolation(&mut self, tick: &mut Tick<'_>, moved_ms: u32) {
        let Some(limits) = &tick.limits.isolation else {
            return;
        };
        let value = tick
            .inputs
            .isolation
            .read(0.0, limits.range_ohm, ms(2.0 * limits.response_ms));
        let volts = tick.limits.pack.highest_v;
        let levels = [limits.warn_ohm_per_v, limits.alarm_ohm_per_v].map(|level| level * volts);
        let [warns, alarms] = levels;
        let [warning, alarm] = &self.low;
        if value.value() >= warns
            && value.value() >= alarms
            && warning.is_quiet()
            && alarm.is_quiet()
            && self.stale.is_quiet()
        {
            return;
        }
        let seen = Seen::new(CheckId::IsolationStale, 0, Look::bad(!value.is_known()));
        tick.judge(&mut self.stale, seen.at(value, f32::NAN));
        // What may be charged is, unless it is seen to move or to have nothing plugged in.
        let charges = !tick.moves || !tick.speed.is_known() && tick.plugged != Look::Bad;
        for ((part, latch), limit) in self.low.iter_mut().enumerate().zip(levels) {
            let look = value.bad_if(value.value() < limit);
            // The capacitors to chassis spoil the value for a while.
            let still_ms = if moved_ms <= ms(limits.changed_ms) {
                limits.changed_ms
            } else {
                limits.low_ms
            };
            let on_ms = match tick.plugged {
                Look::Good if self.plugged_ms <= ms(limits.charging_ms) => limits.charging_ms,
                Look::Idle | Look::Bad | Look::Good => still_ms,
                // Those of a charger may be there or not.
                _ => smaller(still_ms, limits.charging_ms),
            };
            let also = match (part, charges) {
                (0, _) => Advice::NONE,
                (_, false) => Advice::FORBID_CLOSING,
                (_, true) => Advice::FORBID_CLOSING.and(Advice::STOP_CHARGING),
            };
            let seen = Seen::new(CheckId::IsolationLow, part, look)
                .at(value, limit)
                .lasting(on_ms, limits.low_ms)
                .with(also);
            tick.judge(latch, seen);
        }
    }

    fn interlock(&mut self, tick: &mut Tick<'_>) {
        let limits = &tick.limits.interlock;
        let oldest_ms = ms(tick.limits.sensors.switch_age_ms);
        let look = match tick.inputs.interlock {
            Some(flag) => flag.look(oldest_ms),
            // What was found stays, should the caller forget that there is one.
            None => Look::Idle,
        };
        if self.interlock.stays_quiet(look) {
            return;
        }
        // What was to be opened for it is open long since: closed again, it opens nothing at the
        // next stop.
        let over = self.interlock.state() == State::Clearing
            && self.interlock.for_ms() > ms(tick.limits.opening.time_out_ms);
        let also = if tick.moves {
            Advice::DERATE
        } else if over {
            Advice::NONE
        } else {
            Advice::OPEN_SOFTLY
        };
        let seen = Seen::new(CheckId::InterlockOpen, 0, look)
            .at(tick.speed, limits.slow_km_per_h)
            .lasting(limits.open_ms, limits.open_ms)
            .with(also);
        tick.judge(&mut self.interlock, seen);
    }

    fn heat(&mut self, tick: &mut Tick<'_>) {
        let limits = &tick.limits.heat;
        let oldest = ms(tick.limits.sensors.slow_age_ms);
        let read = |signal: super::Signal| signal.read(-60.0, 1000.0, oldest);
        let resistor = match tick.inputs.resistor {
            None => Seen::new(CheckId::ResistorHot, 0, Look::Idle),
            Some(signal) => Seen::most(CheckId::ResistorHot, 0, read(signal), limits.resistor_degc),
        };
        tick.judge(
            &mut self.resistor,
            resistor.lasting(limits.hot_ms, limits.hot_ms),
        );
        let joints = tick.inputs.joints.iter().zip(&mut self.joints);
        for (part, (pair, latch)) in joints.enumerate() {
            let seen = match pair {
                Some(pair) => {
                    let [one, other] = pair.map(read);
                    let apart = one.apart(other);
                    let hottest = larger(one.value(), other.value());
                    // Against its limit, or against the other pole: the sun shines on one side.
                    let (value, limit) = if !apart.is_known() {
                        (apart, limits.joint_degc)
                    } else if hottest <= limits.joint_degc
                        && apart.value() > limits.joint_difference_k
                    {
                        (apart, limits.joint_difference_k)
                    } else {
                        (Read::known(hottest), limits.joint_degc)
                    };
                    Seen::most(CheckId::JointHot, part, value, limit)
                }
                // What was found stays, should the caller forget that there is one.
                None => Seen::new(CheckId::JointHot, part, Look::Idle),
            };
            let seen = seen.lasting(limits.hot_ms, limits.hot_ms);
            tick.judge(latch, seen);
        }
    }
}
