//! What the insulation of a design has to stand, and whether it does.
//!
//! | file | what it is about |
//! |---|---|
//! | `distances` | clearance and creepage distance of every box, and those built in |
//! | `circuit` | shield and cable class of every circuit |
//! | `unshielded` | whether a circuit may go without a shield |
//! | `shield_fault` | what a fault between a conductor and its shield lets through |
//! | `to_chassis` | isolation resistance, capacitance to chassis, the monitor |

mod circuit;
mod distances;
mod shield_fault;
mod to_chassis;
mod unshielded;

use heapless::Vec;

use crate::design::{
    Battery, ConductorId, Design, EnclosureId, Gap, MAX_ENCLOSURES, MAX_SPACINGS, Strings, System,
    Systems, TerminalId, Thing,
};
use crate::insulation::{VoltageClass, voltage_class};
use crate::quantity::{Temperature, Voltage};
use crate::verdict::Verdict;

use super::checked::Checked;
use super::unknown::{Known, Unknown};

use circuit::Circuits;
use shield_fault::Faults;

pub use circuit::*;
pub use distances::*;
pub(crate) use distances::{least_pollution, least_stated};
pub use to_chassis::*;

/// What the insulation of a whole design has to stand.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct InsulationStudy {
    /// Highest voltage of the traction battery, charging tolerance included.
    pub highest: Known<Voltage>,
    /// Where that stands in the rules of the domain; the source is that of
    /// [`crate::insulation::Domain::limits`].
    pub class: Known<VoltageClass>,
    /// True where nobody stated an impulse voltage and overvoltage category II at the
    /// highest voltage was taken.
    pub impulse_assumed: bool,
    /// Every box with something of the high-voltage side in it.
    pub boxes: Vec<BoxDistances, MAX_ENCLOSURES, u8>,
    /// Every distance that was stated, judged.
    pub spacings: Vec<BuiltDistance, MAX_SPACINGS, u8>,
    /// What all parts together leave to chassis.
    pub to_chassis: ToChassis,
    /// What a fault between each conductor of the high-voltage side and its shield lets
    /// through.
    faults: Faults,
}

/// What all parts of the study share.
struct Context<'a> {
    design: &'a Design,
    systems: Systems,
    strings: Strings,
    highest: Known<Voltage>,
}

impl Context<'_> {
    fn is_high(&self, terminal: TerminalId) -> bool {
        self.systems.is_high(terminal)
    }
}

impl InsulationStudy {
    /// Computes: every insulation requirement of a design, and what it has built in
    /// judged against them.
    ///
    /// What is not stated is taken at its worst: if the check still holds it holds,
    /// otherwise it stays open and names what is missing. Bound: one pass over fuses and
    /// switches for each conductor; no allocation. The circuits, which are many, are
    /// computed one at a time by [`Self::circuit`].
    ///
    /// Sources: those of [`crate::insulation`] and [`crate::shield`].
    pub fn find(design: &Design) -> Self {
        let strings = design.strings(System::Traction);
        let highest = match strings.highest_voltage(design) {
            Ok(Some(highest)) => Ok(highest),
            Ok(None) => Err(unknown_battery(design)),
            Err(error) => Err(Unknown::Refused(Thing::VEHICLE, error)),
        };
        let context = Context {
            design,
            systems: design.systems(),
            strings,
            highest,
        };
        Self {
            class: highest.and_then(|highest| {
                voltage_class(design.vehicle.domain, highest, false)
                    .map_err(Unknown::refused(Thing::VEHICLE))
            }),
            highest,
            impulse_assumed: design.vehicle.impulse.is_none(),
            boxes: context.boxes(),
            spacings: context.spacings(),
            to_chassis: context.to_chassis(),
            faults: context.faults(),
        }
    }

    /// The requirements of a box; `None` where nothing of the high-voltage side is in it.
    pub fn in_box(&self, enclosure: EnclosureId) -> Option<&BoxDistances> {
        self.boxes.iter().find(|found| found.enclosure == enclosure)
    }

    /// Computes: shield and cable class of a conductor, of the design that the study was
    /// made of. Inputs: its hottest lasting temperature where it is known. `None` for a
    /// conductor of the low-voltage side.
    pub fn circuit(
        &self,
        design: &Design,
        conductor: ConductorId,
        hottest: Option<Temperature>,
    ) -> Option<CircuitInsulation> {
        let (_, fault) = self.faults.iter().find(|(id, _)| *id == conductor)?;
        let entry = design.get(conductor)?;
        let circuits = Circuits {
            design,
            highest: self.highest,
            boxes: &self.boxes,
        };
        Some(circuits.circuit(conductor, entry, *fault, hottest))
    }

    /// The conductors of the high-voltage side.
    pub fn circuits(&self) -> impl Iterator<Item = ConductorId> {
        self.faults.iter().map(|(id, _)| *id)
    }

    /// The worst verdict of boxes and system; that of each circuit comes with it.
    pub fn verdict(&self) -> Verdict {
        (self.spacings.iter())
            .flat_map(|built| [built.clearance.verdict(), built.creepage.verdict()])
            .fold(self.to_chassis.verdict(), Verdict::worse)
    }
}

/// Why the highest voltage is not known: the first battery whose cell says nothing.
fn unknown_battery(design: &Design) -> Unknown {
    let silent = design
        .all::<Battery>()
        .find(|(_, battery)| battery.system == System::Traction && battery.cell.maximum.is_none());
    match silent {
        Some((id, _)) => Unknown::missing(id, Gap::CellVoltage),
        None => Unknown::Missing(Thing::VEHICLE, Gap::Battery),
    }
}
