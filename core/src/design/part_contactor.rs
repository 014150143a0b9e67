//! Types of contactor.

use super::index::TextId;
use crate::quantity::{
    Altitude, ConductorArea, Current, CurrentSquaredTime, Power, Resistance, Temperature,
    TemperatureDifference, Time, Voltage,
};

/// The coil of a contactor.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct Coil {
    /// Nominal voltage.
    pub nominal: Option<Voltage>,
    /// Highest voltage that it stands for ever.
    pub highest: Option<Voltage>,
    /// Resistance at 20 degC.
    pub resistance_20: Option<Resistance>,
    /// Voltage at which it pulls in at 20 degC.
    pub pull_in: Option<Voltage>,
    /// Voltage at which it drops out.
    pub drop_out: Option<Voltage>,
    /// Power while it pulls in.
    pub pull_in_power: Option<Power>,
    /// Power while it holds.
    pub hold_power: Option<Power>,
    /// How much warmer than the air around it becomes while it holds.
    pub rise: Option<TemperatureDifference>,
    /// Time from voltage to contact.
    pub closing_time: Option<Time>,
    /// Time from the end of the voltage to open contacts.
    pub opening_time: Option<Time>,
}

/// A type of contactor, from its datasheet.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct ContactorType {
    /// What it is called.
    pub name: TextId,
    /// Highest direct voltage.
    pub voltage: Option<Voltage>,
    /// Highest place it may work at.
    pub altitude: Option<Altitude>,
    /// Lasting current.
    pub carry: Option<Current>,
    /// Conductor that the lasting current holds for.
    pub carry_section: Option<ConductorArea>,
    /// Air that the lasting current holds for.
    pub carry_air: Option<Temperature>,
    /// Largest current it may close on.
    pub make: Option<Current>,
    /// Largest current it breaks in the direction of its arrow.
    pub break_forward: Option<Current>,
    /// Largest current it breaks against its arrow.
    pub break_reverse: Option<Current>,
    /// Voltage that the breaking currents hold for.
    pub break_voltage: Option<Voltage>,
    /// Largest peak that it stands closed.
    pub withstand_peak: Option<Current>,
    /// Largest I2t that it stands closed.
    pub withstand: Option<CurrentSquaredTime>,
    /// Whether it breaks one direction better than the other.
    pub polarised: Option<bool>,
    /// Resistance of its contacts.
    pub resistance: Option<Resistance>,
    /// Closings without load that it lives for.
    pub endurance: Option<u32>,
    /// Openings at rated load that it lives for.
    pub load_endurance: Option<u32>,
    /// Its coil.
    pub coil: Coil,
}

impl ContactorType {
    /// A contactor of which only the name is known.
    pub fn new(name: TextId) -> Self {
        Self {
            name,
            voltage: None,
            altitude: None,
            carry: None,
            carry_section: None,
            carry_air: None,
            make: None,
            break_forward: None,
            break_reverse: None,
            break_voltage: None,
            withstand_peak: None,
            withstand: None,
            polarised: None,
            resistance: None,
            endurance: None,
            load_endurance: None,
            coil: Coil::default(),
        }
    }
}
