//! What a vehicle controller keeps: the limits that the monitors work with.
//!
//! A host derives [`Limits`] from a design and writes them as an image; a controller
//! reads the image at every start ([`Limits::decode`]) and hands the limits to
//! [`crate::monitor`]. An image with anything wrong in it is refused as a whole: a
//! controller without limits closes nothing.
//!
//! | file | what it is about |
//! |---|---|
//! | `sections` | every value with unit and range |
//! | `field` | bytes and name of a value |
//! | `plan` | how each number is kept, and its range |
//! | `build` | limits out of a design and its study; for a host |
//! | `carried` | which measured current flows through which thing; for a host |
//! | `fit` | two heat capacities that stand for a cable |
//! | `image` | the layout of the bytes, checksum, reading and writing |

#[cfg(feature = "text")]
mod build;
#[cfg(feature = "text")]
mod carried;
#[macro_use]
mod field;
#[cfg(feature = "text")]
mod fit;
mod image;
mod plan;
mod sections;

#[cfg(test)]
pub(crate) mod tests;

#[cfg(feature = "text")]
pub use build::{Built, LimitsGap, MAX_UNWATCHED, Origin, Unwatched, build, fingerprint, origin};
#[cfg(feature = "text")]
pub use fit::{Fitted, fit};
pub(crate) use image::CRC as IMAGE_CRC;
pub use image::{HEADER_BYTES, ImageError, MAGIC, MAX_IMAGE_BYTES, VERSION};
pub use sections::*;

#[cfg(feature = "text")]
pub use field::Shown;

use heapless::Vec;

use crate::design::MAX_TEXT_BYTES;

/// Most precharge paths.
pub const MAX_PATHS: usize = 2;
/// Most standing loads.
pub const MAX_STANDING: usize = 4;
/// Most contactors.
pub const MAX_SWITCHES: usize = 12;
/// Most measured currents.
pub const MAX_CHANNELS: usize = 8;
/// Most strings.
pub const MAX_STRINGS: usize = 4;
/// Most conductors that are watched.
pub const MAX_CIRCUITS: usize = 12;
/// Longest reason, in letters.
pub const MAX_REASON: usize = 120;

/// Which design limits were derived from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // a revision has a name and a fingerprint
pub struct Revision {
    /// CRC-32 of all that the design states, so that two designs under one revision are
    /// told apart.
    pub fingerprint: u32,
    /// The revision that the design states; empty where it states none.
    pub letters: Vec<u8, MAX_TEXT_BYTES, u8>,
}

/// Everything that the monitors need to know about a vehicle.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every value must be stated
pub struct Limits {
    /// Which design.
    pub revision: Revision,
    /// Voltages of the pack.
    pub pack: Pack,
    /// What sensors are trusted with.
    pub sensors: Sensors,
    /// When the main contactors may close.
    pub close: Close,
    /// The link.
    pub link: Link,
    /// Precharge paths.
    pub precharge: Vec<Precharge, MAX_PATHS, u8>,
    /// What draws while the link is precharged.
    pub standing: Vec<Standing, MAX_STANDING, u8>,
    /// Contactors.
    pub switches: Vec<Switch, MAX_SWITCHES, u8>,
    /// Opening without load.
    pub opening: Opening,
    /// Measured currents; the first is that of the pack.
    pub channels: Vec<Channel, MAX_CHANNELS, u8>,
    /// Strings.
    pub strings: Vec<StringLimit, MAX_STRINGS, u8>,
    /// Strings in parallel; absent with one string.
    pub parallel: Option<Parallel>,
    /// Isolation; absent without a monitoring device.
    pub isolation: Option<Isolation>,
    /// Interlock, plug, standing still.
    pub interlock: Interlock,
    /// Supply of the coils.
    pub coils: Coils,
    /// Measured temperatures.
    pub heat: Heat,
    /// Conductors.
    pub circuits: Vec<Circuit, MAX_CIRCUITS, u8>,
    /// Why the image was made although the review did not pass; empty where it did.
    pub reason: Vec<u8, MAX_REASON, u8>,
}

impl Limits {
    /// Whether what is right one by one agrees.
    ///
    /// # Errors
    /// The section whose values contradict each other or another one.
    pub(crate) fn consistent(&self) -> Result<(), Section> {
        let demand = |holds: bool, section| if holds { Ok(()) } else { Err(section) };
        let there = |place: u8, count: usize| usize::from(place) < count;
        let string = |place: u8| place == NONE || there(place, self.strings.len());
        let pack = &self.pack;
        demand(
            pack.lowest_v < pack.highest_v && self.sensors.voltage_range_v >= pack.highest_v,
            Section::Pack,
        )?;
        demand(pack.touchable_v < pack.highest_v, Section::Pack)?;
        demand(self.close.within_v < pack.lowest_v, Section::Close)?;
        demand(self.coils.hold_v < self.coils.range_v, Section::Coils)?;
        for path in &self.precharge {
            let relay = self.switches.get(usize::from(path.relay));
            demand(
                relay.is_some_and(|relay| relay.role == 2),
                Section::Precharge,
            )?;
        }
        for switch in &self.switches {
            let channel = there(switch.channel, self.channels.len());
            demand(channel && string(switch.string), Section::Switch)?;
        }
        let first = self.channels.first();
        demand(first.is_some_and(|one| one.kind == 0), Section::Channel)?;
        for channel in &self.channels {
            let falls = channel
                .band_a
                .windows(2)
                .all(|pair| matches!(pair, [more, less] if more >= less));
            let owner = string(channel.string) && (channel.kind == 1) == (channel.string != NONE);
            demand(falls && owner, Section::Channel)?;
        }
        let parallel = self.strings.len() < 2 || self.parallel.is_some();
        demand(!self.strings.is_empty() && parallel, Section::Parallel)?;
        for circuit in &self.circuits {
            let channel = there(circuit.channel, self.channels.len());
            let rises =
                circuit.air_degc < circuit.limit_degc && circuit.start_degc >= circuit.air_degc;
            demand(channel && rises, Section::Circuit)?;
        }
        if let Some(isolation) = &self.isolation {
            let warns_first = isolation.warn_ohm_per_v >= isolation.alarm_ohm_per_v;
            demand(warns_first, Section::Isolation)?;
        }
        Ok(())
    }
}
