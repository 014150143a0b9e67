//! What the controller keeps to.

use crate::quantity::{Current, Time, Voltage};

/// The limits and times that the controller works with, so that wiring and software can
/// be held against each other.
///
/// What opens contacts without software (crash switch, stop button) knows none of them.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Controller {
    /// Lasting current out of the battery, all strings together, above which it takes the
    /// power back.
    pub discharge_limit: Option<Current>,
    /// Lasting current into the battery, all strings together: regeneration and charging.
    pub charge_limit: Option<Current>,
    /// Lasting current through each string, either way, however many are closed.
    pub string_limit: Option<Current>,
    /// Lasting current into each string, however many are closed.
    pub string_charge_limit: Option<Current>,
    /// Current through a string from which it opens the contactors.
    pub trip_current: Option<Current>,
    /// From that current to open contacts: measuring, deciding, coil, contacts.
    pub trip_time: Option<Time>,
    /// Largest current on which it opens a contactor while the battery is discharged;
    /// above it the contactors stay closed and the fuse has to act.
    pub opens_discharging: Option<Current>,
    /// The same while the battery is charged.
    pub opens_charging: Option<Current>,
    /// Largest difference of voltage at which it joins a string to another.
    pub join_window: Option<Voltage>,
    /// Most by which the voltage that it measures of a string is wrong.
    pub voltage_error: Option<Voltage>,
    /// Current up to which its sensors of the battery and of the strings show what flows.
    pub current_range: Option<Current>,
    /// Tries to precharge in a row before it gives up.
    pub precharge_tries: Option<u8>,
    /// Pause between two tries.
    pub precharge_pause: Option<Time>,
    /// From a time-out to a relay that is really open.
    pub reaction: Option<Time>,
    /// Lowest voltage at the source of the coils when contactors have to pull in.
    pub lowest_supply: Option<Voltage>,
    /// Lowest voltage there in a dip while they have to hold.
    pub supply_dip: Option<Voltage>,
}

impl Controller {
    /// A controller of which nothing is known.
    pub const UNKNOWN: Self = Self {
        discharge_limit: None,
        charge_limit: None,
        string_limit: None,
        string_charge_limit: None,
        trip_current: None,
        trip_time: None,
        opens_discharging: None,
        opens_charging: None,
        join_window: None,
        voltage_error: None,
        current_range: None,
        precharge_tries: None,
        precharge_pause: None,
        reaction: None,
        lowest_supply: None,
        supply_dip: None,
    };
}
