//! What a controller measures and commands, each with its age.

use super::latch::Look;
use crate::limits::{MAX_CHANNELS, MAX_STRINGS, MAX_SWITCHES};

/// Most pairs of joints whose temperatures are compared.
pub const MAX_JOINTS: usize = 3;

/// A measured value.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a value has an age
pub struct Signal {
    /// The value; anything that is no number counts as not measured.
    pub value: f32,
    /// How old it is, ms: since it was measured, not since it was sent.
    pub age_ms: u32,
}

impl Signal {
    /// Never measured.
    pub const NONE: Self = Self {
        value: f32::NAN,
        age_ms: u32::MAX,
    };

    /// A value that is new.
    pub const fn now(value: f32) -> Self {
        Self { value, age_ms: 0 }
    }

    /// The value, if it is a number within the range and not too old.
    // Once, and not where it is called: 0.4 kB less in all.
    #[inline(never)]
    pub(super) fn read(self, low: f32, high: f32, oldest_ms: u32) -> Read {
        // What is no number is in no range.
        if self.value >= low && self.value <= high && self.age_ms <= oldest_ms {
            Read::known(self.value)
        } else {
            self.refused(low, high)
        }
    }

    /// Why it is not taken. Apart, because it seldom is not.
    #[cold]
    #[inline(never)]
    fn refused(self, low: f32, high: f32) -> Read {
        Read::blind(if self.value.is_nan() {
            Blind::NotANumber
        } else if self.value < low || self.value > high {
            Blind::OutOfRange
        } else {
            Blind::Stale
        })
    }
}

/// Something that is on or off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a state has an age
pub struct Flag {
    /// On, off, or not known.
    pub on: Option<bool>,
    /// How old it is, ms.
    pub age_ms: u32,
}

impl Flag {
    /// Not known.
    pub const NONE: Self = Self {
        on: None,
        age_ms: u32::MAX,
    };

    /// A state that is new.
    pub const fn now(on: bool) -> Self {
        Self {
            on: Some(on),
            age_ms: 0,
        }
    }

    /// Good while it is on, bad while it is off, or why it cannot be used.
    pub(super) fn look(self, oldest_ms: u32) -> Look {
        match self.on {
            None => Look::NotANumber,
            Some(_) if oldest_ms < self.age_ms => Look::Stale,
            Some(on) => Look::bad(!on),
        }
    }
}

/// Why a value cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // the three ways of a value to be of no use
pub enum Blind {
    /// Not measured, or no number.
    NotANumber,
    /// Outside what the sensor shows.
    OutOfRange,
    /// Too old.
    Stale,
}

/// A value as the checks see it. One that cannot be used is no number, so that no comparison
/// with it holds, and beside it stands why.
#[derive(Clone, Copy, Debug)]
pub(super) struct Read {
    value: f32,
    look: Look,
}

// At opt-level s little would be inlined, and all of these are an instruction or two.
#[allow(clippy::inline_always)]
impl Read {
    /// Not measured.
    pub(super) const NONE: Self = Self::blind(Blind::NotANumber);

    /// A number.
    #[inline(always)]
    pub(super) const fn known(value: f32) -> Self {
        Self {
            value,
            look: Look::Good,
        }
    }

    #[inline(always)]
    pub(super) const fn blind(why: Blind) -> Self {
        Self {
            value: f32::NAN,
            look: Look::blind(why),
        }
    }

    /// The value; no number where it cannot be used.
    #[inline(always)]
    pub(super) const fn value(self) -> f32 {
        self.value
    }

    /// Good, or why it cannot be used.
    #[inline(always)]
    pub(super) const fn look(self) -> Look {
        self.look
    }

    #[inline(always)]
    pub(super) fn is_known(self) -> bool {
        self.look == Look::Good
    }

    /// Bad if it compares so, as only a number does; else good, or why it cannot be used.
    #[inline(always)]
    pub(super) const fn bad_if(self, compares: bool) -> Look {
        if compares { Look::Bad } else { self.look }
    }

    /// Seen the same, of another value.
    #[inline(always)]
    pub(super) const fn of(self, value: f32) -> Self {
        Self { value, ..self }
    }

    /// Its size.
    #[inline(always)]
    pub(super) fn abs(self) -> Self {
        Self {
            value: libm::fabsf(self.value),
            ..self
        }
    }

    /// How far it is from another one.
    #[inline(always)]
    pub(super) fn apart(self, other: Self) -> Self {
        Self {
            value: libm::fabsf(self.value - other.value),
            look: self.look.and(other.look),
        }
    }
}

/// Milliseconds out of the limits, where they lie within bounds.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 0 to 1e7; `as` saturates
pub(super) const fn ms(value: f32) -> u32 {
    value as u32
}

/// A contactor as the controller sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct SwitchInput {
    /// Whether its coil is switched on.
    pub commanded: bool,
    /// What its auxiliary contact tells: on is closed. Not looked at where the limits
    /// state none.
    pub contact: Flag,
}

/// How the contactors are to be opened.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // not, with time, at once
pub enum OpenRequest {
    /// They are not.
    #[default]
    None,
    /// Without load, if the current goes in time.
    Soft,
    /// At once: crash, emergency stop.
    AtOnce,
}

/// Everything that the monitors look at in one tick. `None` where the vehicle does not
/// have the sensor at all, decided once; a sensor that fails is [`Signal::NONE`].
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Inputs {
    /// Voltage of each string ahead of its fuse and contactors, V.
    pub string_voltage: [Signal; MAX_STRINGS],
    /// Voltage of the link, V.
    pub link_voltage: Signal,
    /// Each current of the limits, A, discharge positive.
    pub current: [Signal; MAX_CHANNELS],
    /// Each contactor of the limits.
    pub switches: [SwitchInput; MAX_SWITCHES],
    /// Isolation resistance, ohm.
    pub isolation: Signal,
    /// The interlock loop; on is closed.
    pub interlock: Option<Flag>,
    /// Something is plugged into the charging inlet.
    pub plugged: Option<Flag>,
    /// Speed, km/h.
    pub speed: Signal,
    /// Torque is requested.
    pub torque: bool,
    /// Supply of the coils, V.
    pub supply: Signal,
    /// Temperature of the precharge resistor, degC.
    pub resistor: Option<Signal>,
    /// Temperatures of the same joint of both poles, degC.
    pub joints: [Option<[Signal; 2]>; MAX_JOINTS],
    /// The active discharge is switched on.
    pub discharging: bool,
    /// A start is asked for, as by a key; the monitors look for its beginning.
    pub start: bool,
    /// How the contactors are to be opened.
    pub open: OpenRequest,
}

impl Inputs {
    /// Nothing measured, nothing commanded, no sensor that a vehicle may lack.
    pub const NONE: Self = Self {
        string_voltage: [Signal::NONE; MAX_STRINGS],
        link_voltage: Signal::NONE,
        current: [Signal::NONE; MAX_CHANNELS],
        switches: [SwitchInput {
            commanded: false,
            contact: Flag::NONE,
        }; MAX_SWITCHES],
        isolation: Signal::NONE,
        interlock: None,
        plugged: None,
        speed: Signal::NONE,
        torque: false,
        supply: Signal::NONE,
        resistor: None,
        joints: [None; MAX_JOINTS],
        discharging: false,
        start: false,
        open: OpenRequest::None,
    };
}
