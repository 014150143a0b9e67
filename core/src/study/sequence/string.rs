//! The resistance of a string with its own cables.

use super::Context;
use crate::design::{BatteryString, Conductor, Design, Gap, Resisting, Thing};
use crate::error::Error;
use crate::fault::coldest;
use crate::quantity::Resistance;
use crate::study::unknown::{Known, Unknown};

/// Least resistance of a conductor: at the coldest air of its route; none where it is not
/// known, which is the safe side for a current that it limits.
pub(super) fn least_ohms(design: &Design, conductor: &Conductor) -> Result<f32, Error> {
    let cold = coldest(design, conductor)?;
    let known = design.conductor_resistance(conductor, Resisting::Lowest, cold)?;
    Ok(known.map_or(0.0, Resistance::as_ohms))
}

impl Context<'_> {
    /// Whether something lies in series with the batteries of a string. What is drawn tells
    /// it: the currents of a phase that cannot be solved, or in which it carries nothing,
    /// would take a fuse out of its string.
    pub(super) fn in_string(&self, thing: impl Into<Thing>, string: &BatteryString) -> bool {
        let mut batteries = string.batteries.iter();
        batteries
            .next()
            .is_some_and(|battery| self.points.series().together(battery.into(), thing.into()))
    }

    /// Least resistance of the cables that carry the current of a string alone.
    pub(super) fn own_cables(&self, string: &BatteryString) -> Known<f32> {
        let mut ohms = 0.0;
        for (id, conductor) in self.design.all::<Conductor>() {
            if self.is_high(conductor.from) && self.in_string(id, string) {
                ohms += least_ohms(self.design, conductor).map_err(Unknown::refused(id))?;
            }
        }
        Ok(ohms)
    }

    /// Least resistance of a string: cells, and its own cables at the coldest.
    pub(super) fn least_resistance(&self, string: &BatteryString) -> Known<Resistance> {
        let thing = string.batteries.iter().next();
        let thing = thing.map_or(Thing::VEHICLE, Into::into);
        let cells = string
            .resistance(self.design, Resisting::Lowest)
            .map_err(Unknown::refused(thing))?
            .ok_or_else(|| {
                let lacks = |battery: &crate::design::Battery| battery.cell.resistance.is_some();
                Unknown::Missing(self.design.lacking(string, lacks), Gap::CellResistance)
            })?;
        let ohms = cells.as_ohms() + self.own_cables(string)?;
        Resistance::from_ohms(ohms).map_err(Unknown::refused(thing))
    }
}
