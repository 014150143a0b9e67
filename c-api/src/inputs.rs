//! What a controller measures and commands.

use orangeloom_core::monitor as core_monitor;

use crate::pointers::span;
use crate::status::Status;

/// Most strings (batteries in parallel).
pub const MAX_STRINGS: usize = 4;
/// Most measured currents.
pub const MAX_CURRENTS: usize = 8;
/// Most contactors, precharge relays counted.
pub const MAX_CONTACTORS: usize = 12;
/// Most pairs of joints.
pub const MAX_JOINTS: usize = 3;
/// Size of `OrangeloomInputs`, bytes.
pub const INPUTS_BYTES: usize = 368;

// A literal, because the header shows it; the same as the core's, or this does not compile.
const _: () = assert!(
    MAX_STRINGS == orangeloom_core::limits::MAX_STRINGS
        && MAX_CURRENTS == orangeloom_core::limits::MAX_CHANNELS
        && MAX_CONTACTORS == orangeloom_core::limits::MAX_SWITCHES
        && MAX_JOINTS == core_monitor::MAX_JOINTS
        && INPUTS_BYTES == size_of::<Inputs>()
);

/// A measured value with its age.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signal {
    /// The value, in the unit that its place states. NaN counts as not measured; a value
    /// outside the range of the sensor in the limits, infinity too, cannot be used either.
    /// Send what a sensor shows at the end of its range as it is, never clipped below it.
    pub value: f32,
    /// Milliseconds since it was measured, not since it was sent or received: add the delay of
    /// sensor and bus. `UINT32_MAX` where it is not known. Older than the limits allow cannot
    /// be used. What is computed as `now - stamp` has to be clamped: see the head of
    /// this header.
    pub age_ms: u32,
}

/// `OrangeloomFlag.state`: off, or open.
pub const FLAG_OFF: u8 = 0;
/// `OrangeloomFlag.state`: on, or closed.
pub const FLAG_ON: u8 = 1;
/// `OrangeloomFlag.state`: it should be known, but is not.
pub const FLAG_UNKNOWN: u8 = 2;
/// `OrangeloomFlag.state`: this vehicle does not have it. Decide once, never while it drives.
pub const FLAG_NOT_FITTED: u8 = 3;

/// Something that is on or off, with its age.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Flag {
    /// One of `ORANGELOOM_FLAG_...`; anything else has the whole tick refused.
    pub state: u8,
    /// Milliseconds since it was read; as of `OrangeloomSignal.age_ms`.
    pub age_ms: u32,
}

/// A contactor as the controller sees it.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Contactor {
    /// 1 while its coil is switched on, else 0. What is driven now, not what is wished.
    pub commanded: u8,
    /// What its auxiliary contact tells: on is closed. It is not looked at where the image
    /// states that none is read (`orangeloom limits --show` lists which).
    pub contact: Flag,
}

/// Temperatures of the same joint of both poles, degC.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JointPair {
    /// 1 if both are measured on this vehicle, else 0. Decide once, never while it drives.
    pub fitted: u8,
    /// Of the positive pole, degC, -60 to 1000.
    pub positive: Signal,
    /// Of the negative pole, degC, -60 to 1000.
    pub negative: Signal,
}

/// `OrangeloomInputs.open`: nothing is to be opened.
pub const OPEN_NOTHING: u8 = 0;
/// `OrangeloomInputs.open`: open without load, if the current goes in time.
pub const OPEN_SOFTLY: u8 = 1;
/// `OrangeloomInputs.open`: open at once: crash, stop button.
pub const OPEN_AT_ONCE: u8 = 2;

/// What tells inputs that `orangeloom_inputs_clear` made from zero bytes and from whatever lay
/// there before. The header does not show it, for nobody else is to write it.
pub(crate) const CLEARED: u32 = u32::from_le_bytes(*b"OLIN");

/// Everything that the monitors look at in one tick. Fill it with `orangeloom_inputs_clear`
/// in every tick, then with what was measured: what is left out counts as not measured. Not
/// with `= {0}` or `memset`: zero bytes would be 0 V and 0 A that were measured just now, and
/// a tick with them is refused.
///
/// `orangeloom limits DESIGN --show` lists which string, current and contactor has which
/// place, and the header of an image names them. Places that the image does not have are not looked at, but each byte that is yes
/// or no, or one of a list, has to be valid in them too.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inputs {
    /// `orangeloom_inputs_clear` writes it; leave it alone. With anything else in it the whole
    /// tick is refused with `ORANGELOOM_STATUS_INPUTS_NOT_CLEARED`.
    pub cleared: u32,
    /// Voltage of each string ahead of its fuse and contactors, V, positive against negative.
    pub string_voltage: [Signal; MAX_STRINGS],
    /// Voltage of the link behind the contactors, V, positive against negative.
    pub link_voltage: Signal,
    /// Each current of the image in its order, A. Discharge (out of a battery, into a load)
    /// counts positive, charging negative.
    pub current: [Signal; MAX_CURRENTS],
    /// Each contactor of the image in its order.
    pub contactor: [Contactor; MAX_CONTACTORS],
    /// Isolation resistance as the isolation monitor tells it, ohm (not ohm per volt).
    pub isolation: Signal,
    /// The interlock loop: on is closed.
    pub interlock: Flag,
    /// Something is plugged into the charging inlet: on is plugged.
    pub plugged: Flag,
    /// Speed, km/h; backwards may be negative. One that cannot be used counts as moving, for less
    /// is opened then, and is told: `ORANGELOOM_CHECK_PLUG_MOVES` is blind. A vehicle that is
    /// known to be plugged counts as parked all the same.
    pub speed: Signal,
    /// Supply of the coils, V.
    pub supply: Signal,
    /// 1 if the temperature of the precharge resistor is measured on this vehicle, else 0.
    pub resistor_fitted: u8,
    /// Temperature of the precharge resistor, degC, -60 to 1000.
    pub resistor: Signal,
    /// Pairs of joints whose temperatures are watched.
    pub joint: [JointPair; MAX_JOINTS],
    /// 1 while torque is requested, else 0.
    pub torque: u8,
    /// 1 while the active discharge of the link is switched on, else 0.
    pub discharging: u8,
    /// 1 while a start is asked for, as by a key, else 0. Its change from 0 to 1 is what
    /// counts, and not in the first tick.
    pub start: u8,
    /// One of `ORANGELOOM_OPEN_...`; keep it until everything is open.
    pub open: u8,
}

impl Signal {
    const NONE: Self = Self {
        value: f32::NAN,
        age_ms: u32::MAX,
    };

    fn core(self) -> core_monitor::Signal {
        core_monitor::Signal {
            value: self.value,
            age_ms: self.age_ms,
        }
    }
}

impl Flag {
    const UNKNOWN: Self = Self {
        state: FLAG_UNKNOWN,
        age_ms: u32::MAX,
    };

    fn fitted(self) -> Result<Option<core_monitor::Flag>, Status> {
        let on = match self.state {
            FLAG_OFF => Some(false),
            FLAG_ON => Some(true),
            FLAG_UNKNOWN => None,
            FLAG_NOT_FITTED => return Ok(None),
            _ => return Err(Status::UnknownValue),
        };
        Ok(Some(core_monitor::Flag {
            on,
            age_ms: self.age_ms,
        }))
    }
}

fn yes(byte: u8) -> Result<bool, Status> {
    match byte {
        0 => Ok(false),
        1 => Ok(true),
        _ => Err(Status::UnknownValue),
    }
}

impl Inputs {
    /// Nothing measured, nothing commanded, everything fitted that is told by a state.
    pub(crate) const CLEAR: Self = Self {
        cleared: CLEARED,
        string_voltage: [Signal::NONE; MAX_STRINGS],
        link_voltage: Signal::NONE,
        current: [Signal::NONE; MAX_CURRENTS],
        contactor: [Contactor {
            commanded: 0,
            contact: Flag::UNKNOWN,
        }; MAX_CONTACTORS],
        isolation: Signal::NONE,
        interlock: Flag::UNKNOWN,
        plugged: Flag::UNKNOWN,
        speed: Signal::NONE,
        supply: Signal::NONE,
        resistor_fitted: 0,
        resistor: Signal::NONE,
        joint: [JointPair {
            fitted: 0,
            positive: Signal::NONE,
            negative: Signal::NONE,
        }; MAX_JOINTS],
        torque: 0,
        discharging: 0,
        start: 0,
        open: OPEN_NOTHING,
    };

    pub(crate) fn core(&self) -> Result<core_monitor::Inputs, Status> {
        if self.cleared != CLEARED {
            return Err(Status::InputsNotCleared);
        }
        let mut inputs = core_monitor::Inputs::NONE;
        inputs.string_voltage = self.string_voltage.map(Signal::core);
        inputs.link_voltage = self.link_voltage.core();
        inputs.current = self.current.map(Signal::core);
        for (to, from) in inputs.switches.iter_mut().zip(&self.contactor) {
            to.commanded = yes(from.commanded)?;
            // Where there is no auxiliary contact the image says so.
            to.contact = from.contact.fitted()?.unwrap_or(core_monitor::Flag::NONE);
        }
        inputs.isolation = self.isolation.core();
        inputs.interlock = self.interlock.fitted()?;
        inputs.plugged = self.plugged.fitted()?;
        inputs.speed = self.speed.core();
        inputs.supply = self.supply.core();
        inputs.resistor = yes(self.resistor_fitted)?.then(|| self.resistor.core());
        for (to, from) in inputs.joints.iter_mut().zip(&self.joint) {
            let pair = [from.positive.core(), from.negative.core()];
            *to = yes(from.fitted)?.then_some(pair);
        }
        inputs.torque = yes(self.torque)?;
        inputs.discharging = yes(self.discharging)?;
        inputs.start = yes(self.start)?;
        inputs.open = match self.open {
            OPEN_NOTHING => core_monitor::OpenRequest::None,
            OPEN_SOFTLY => core_monitor::OpenRequest::Soft,
            OPEN_AT_ONCE => core_monitor::OpenRequest::AtOnce,
            _ => return Err(Status::UnknownValue),
        };
        Ok(inputs)
    }
}

/// Fills inputs, whatever they were, so that nothing counts as measured and nothing as commanded, asked for or
/// requested. Interlock, plug and auxiliary contacts count as fitted but not known; resistor
/// and joints as not measured on this vehicle.
///
/// `size`: the size of `struct OrangeloomInputs`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_inputs_clear(inputs: *mut Inputs, size: usize) -> Status {
    if size != size_of::<Inputs>() {
        return Status::WrongSize;
    }
    match span(inputs, 1) {
        Ok(_) => {
            // SAFETY: neither null nor unaligned, of this size; the caller owns the memory.
            unsafe { inputs.write(Inputs::CLEAR) };
            Status::Ok
        }
        Err(status) => status,
    }
}

/// The size of `OrangeloomInputs` that this library expects, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_inputs_size() -> usize {
    size_of::<Inputs>()
}

/// Where inputs have to begin: at a multiple of so many bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_inputs_alignment() -> usize {
    align_of::<Inputs>()
}
