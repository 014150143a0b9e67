//! An invented truck in place of sensors and contactors, and its drive. Your controller
//! measures where this invents.

use orangeloom_core::monitor::{Flag, Inputs, Signal};

use crate::contactors::{Contactors, Phase};
use crate::limits::place;

/// From when on something is so.
struct Row {
    from_ms: u32,
    what: &'static str,
    key: bool,
    /// What the driver asks for, A.
    amperes: f32,
    isolation_ohm: f32,
}

const fn row(from_ms: u32, what: &'static str, key: bool, amperes: f32, isolation_ohm: f32) -> Row {
    Row {
        from_ms,
        what,
        key,
        amperes,
        isolation_ohm,
    }
}

/// The drive.
const DRIVE: [Row; 9] = [
    row(0, "parked", false, 0.0, 5.0e6),
    row(500, "the key is turned on", true, 0.0, 5.0e6),
    row(3_000, "a drive at 120 A", true, 120.0, 5.0e6),
    row(6_000, "full throttle: 790 A", true, 790.0, 5.0e6),
    row(15_000, "a drive at 150 A", true, 150.0, 5.0e6),
    row(
        40_000,
        "water gets into a plug: 150 kohm to chassis",
        true,
        150.0,
        150.0e3,
    ),
    row(55_000, "the driver stops", true, 0.0, 150.0e3),
    row(57_000, "the key is turned off", false, 0.0, 150.0e3),
    row(62_000, "and on again", true, 0.0, 150.0e3),
];

/// When the drive ends, ms.
const END_MS: u32 = 64_000;

/// Voltage of the pack without load, V, and its resistance, ohm.
const PACK: f32 = 372.0;
const PACK_OHM: f32 = 0.06;

/// The precharge resistor, ohm.
const PRECHARGE_OHM: f32 = 47.0;

/// Share of the difference that the link loses in a tick of 10 ms, 1 - exp(-10 ms / RC):
/// over the precharge resistor with 1.15 mF, and over the discharge resistor of 1.8 kohm.
const RISES: f32 = 0.169;
const FALLS: f32 = 0.0048;

/// How fast the drive's current may change in a tick, A.
const RAMP: f32 = 20.0;

/// The truck.
pub struct Truck {
    now_ms: u32,
    row: usize,
    link: f32,
    amperes: f32,
}

impl Truck {
    /// At rest, its link empty.
    pub const fn new() -> Self {
        Self {
            now_ms: 0,
            row: 0,
            link: 0.0,
            amperes: 0.0,
        }
    }

    /// Lets the clock go on. Gives nothing at the end of the drive, and otherwise what
    /// begins now, if something does.
    pub fn next(&mut self, tick_ms: u32) -> Option<Option<&'static str>> {
        self.now_ms += tick_ms;
        if self.now_ms >= END_MS {
            return None;
        }
        let later = DRIVE.get(self.row + 1);
        let begins = later.filter(|later| later.from_ms <= self.now_ms);
        if begins.is_some() {
            self.row += 1;
        }
        Some(begins.map(|row| row.what))
    }

    /// The clock.
    pub fn now_ms(&self) -> u32 {
        self.now_ms
    }

    /// Whether the key is on.
    pub fn key(&self) -> bool {
        self.now().key
    }

    /// What the pack's current sensor shows, A.
    pub fn current(&self) -> f32 {
        self.amperes
    }

    fn now(&self) -> &'static Row {
        &DRIVE[self.row]
    }

    /// What the sensors show. AoU-19: each with its true age; here all are new.
    pub fn measure(&self, contactors: &Contactors) -> Inputs {
        let mut inputs = Inputs {
            link_voltage: Signal::now(self.link),
            isolation: Signal::now(self.now().isolation_ohm),
            // `None` is a sensor that the vehicle does not have at all.
            interlock: Some(Flag::now(true)),
            plugged: Some(Flag::now(false)),
            speed: Signal::now(self.amperes * 0.2),
            torque: self.amperes > 0.0,
            supply: Signal::now(13.6),
            start: self.key(),
            open: contactors.request(),
            discharging: self.discharging(contactors),
            ..Inputs::NONE
        };
        inputs.string_voltage[place::STRING_B1_CELLS] = Signal::now(PACK - PACK_OHM * self.amperes);
        inputs.current[place::CURRENT_PACK] = Signal::now(self.amperes);
        // This truck has no auxiliary contacts; where there are some, they go in here too.
        for (switch, commanded) in inputs.switches.iter_mut().zip(contactors.commanded()) {
            switch.commanded = *commanded;
        }
        inputs
    }

    fn discharging(&self, contactors: &Contactors) -> bool {
        !self.key() && !contactors.closed() && self.link > 1.0
    }

    /// What happens until the next tick.
    pub fn advance(&mut self, contactors: &Contactors, tick_ms: u32) {
        if contactors.closed() {
            // The inverter obeys: no more than the share of the lasting 300 A, and nothing
            // before it is released.
            let most = contactors
                .derate()
                .map_or(f32::INFINITY, |share| share * 300.0);
            let wanted = self.now().amperes.min(most);
            let wanted = if contactors.phase() == Phase::Closed {
                wanted
            } else {
                0.0
            };
            let change = (wanted - self.amperes).clamp(-RAMP, RAMP);
            self.amperes += change;
            self.link = PACK - PACK_OHM * self.amperes;
        } else if contactors.phase() == Phase::Precharge {
            self.link += (PACK - self.link) * RISES;
            self.amperes = (PACK - self.link) / PRECHARGE_OHM;
        } else {
            self.amperes = 0.0;
            if self.discharging(contactors) {
                self.link -= self.link * FALLS;
            }
        }
        debug_assert_eq!(tick_ms, 10, "the shares above are those of a tick of 10 ms");
    }
}
