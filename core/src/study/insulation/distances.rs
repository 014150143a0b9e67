//! Clearance and creepage distance of every box, and those that are built in.

use heapless::Vec;

use super::{Checked, Context, Known, Unknown};
use crate::design::{
    Battery, Contactor, Design, Enclosure, EnclosureId, Fuse, Gap, Load, MAX_ENCLOSURES,
    MAX_SPACINGS, PollutionKept, Resistor, Role, ServiceDisconnect, Spacing, SpacingId, Terminal,
    Thing, Zone,
};
use crate::error::Error;
use crate::insulation::{
    CreepageOutcome, Impulse, SpacingCheck, SpacingInput, TemporaryOvervoltage, spacing,
};
use crate::quantity::{Length, Voltage};
use crate::standard::SourceId;
use crate::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree, rated_impulse,
};
use crate::standard::iec60664_creepage::Surface;
use crate::verdict::{Judged, Side, Verdict};

/// What one kind of insulation asks for at the highest voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Distances {
    /// The way through air.
    pub clearance: Length,
    /// The way over the surface; absent where no distance helps while it is wet.
    pub creepage: Option<Length>,
    /// More may be asked for once this is known.
    pub at_least_until: Option<Gap>,
}

/// What a box asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct BoxDistances {
    /// The box.
    pub enclosure: EnclosureId,
    /// Pollution degree that counts: that of the box where something keeps it, otherwise
    /// the worse of box and zone.
    pub pollution: Option<PollutionDegree>,
    /// Worst material group of the surfaces that were stated; `IIIb` where one is not.
    pub group: MaterialGroup,
    /// True where the group is the worst one for want of a stated one.
    pub group_assumed: bool,
    /// Basic insulation, plain surface.
    pub basic: Known<Distances>,
    /// Reinforced insulation, plain surface.
    pub reinforced: Known<Distances>,
}

/// A distance as built, judged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct BuiltDistance {
    /// Which.
    pub spacing: SpacingId,
    /// The way through air, in mm.
    pub clearance: Checked<SpacingCheck>,
    /// The way over the surface, in mm.
    pub creepage: Checked<SpacingCheck>,
}

/// The least impulse voltage, or system voltage to look it up by, that a battery allows to
/// state: its highest voltage, and the impulse of overvoltage category I at that. A stated
/// impulse below may be right where something limits every surge; that is not known here.
///
/// # Errors
/// Those of [`rated_impulse`].
pub(crate) fn least_stated(impulse: Impulse, highest: Voltage) -> Result<Voltage, Error> {
    match impulse {
        Impulse::Rated { .. } => Ok(highest),
        Impulse::Entered(_) => Ok(rated_impulse(highest, OvervoltageCategory::One)?.0),
    }
}

/// The impulse that distances are made for: the stated one, never milder than
/// [`least_stated`]; category II at the highest voltage where none is stated.
fn impulse_that_counts(stated: Option<Impulse>, highest: Voltage) -> Result<Impulse, Error> {
    let Some(stated) = stated else {
        return Ok(Impulse::Rated {
            system: highest,
            category: OvervoltageCategory::Two,
        });
    };
    let least = least_stated(stated, highest)?;
    let larger = |volts: Voltage| if volts < least { least } else { volts };
    Ok(match stated {
        Impulse::Rated { system, category } => Impulse::Rated {
            system: larger(system),
            category,
        },
        Impulse::Entered(volts) => Impulse::Entered(larger(volts)),
    })
}

impl Context<'_> {
    pub(super) fn boxes(&self) -> Vec<BoxDistances, MAX_ENCLOSURES, u8> {
        let mut found = Vec::new();
        for (id, entry) in self.design.all::<Enclosure>() {
            if self.has_high_voltage(id) {
                // There are as many places as boxes.
                let _ = found.push(self.in_box(id, entry));
            }
        }
        found
    }

    fn in_box(&self, id: EnclosureId, entry: &Enclosure) -> BoxDistances {
        let mut group = None;
        let mut group_assumed = false;
        for (_, built) in (self.design.all::<Spacing>()).filter(|(_, built)| built.enclosure == id)
        {
            group_assumed |= built.group.is_none();
            let this = built.group.unwrap_or(MaterialGroup::Iiib);
            group = Some(group.map_or(this, |worst: MaterialGroup| worst.max(this)));
        }
        let group_assumed = group_assumed || group.is_none();
        let group = group.unwrap_or(MaterialGroup::Iiib);
        let pollution = pollution(self.design, entry);
        let ask = |insulation| {
            let (input, until) = self.input(id, pollution, group, insulation, None)?;
            let found = spacing(&input).map_err(Unknown::refused(id))?;
            Ok(Distances {
                clearance: found.clearance.distance,
                creepage: match found.creepage {
                    CreepageOutcome::Distance(found) => Some(found.distance),
                    CreepageOutcome::NoDistanceHelps => None,
                },
                at_least_until: until,
            })
        };
        BoxDistances {
            enclosure: id,
            pollution,
            group,
            group_assumed,
            basic: ask(Insulation::Basic),
            reinforced: ask(Insulation::Reinforced),
        }
    }

    pub(super) fn spacings(&self) -> Vec<BuiltDistance, MAX_SPACINGS, u8> {
        let mut found = Vec::new();
        for (id, built) in self.design.all::<Spacing>() {
            let (clearance, creepage) = self.judge(id, built).unwrap_or_else(|because| {
                let open = |name, built: Option<Length>| {
                    let value = built.map(Length::as_mm);
                    let source = SourceId::Iec60664Creepage;
                    Checked::open_because(
                        Judged::open(name, value, Side::AtLeast, None, source),
                        because,
                    )
                };
                (
                    open(SpacingCheck::Clearance, built.clearance),
                    open(SpacingCheck::Creepage, built.creepage),
                )
            });
            // There are as many places as spacings.
            let _ = found.push(BuiltDistance {
                spacing: id,
                clearance,
                creepage,
            });
        }
        found
    }

    /// Judges a distance against the worst that its unknowns can mean. Failing then is
    /// no verdict, holding is one.
    fn judge(
        &self,
        id: SpacingId,
        built: &Spacing,
    ) -> Known<(Checked<SpacingCheck>, Checked<SpacingCheck>)> {
        let missing = |gap| Unknown::missing(id, gap);
        let entry = self.design.get(built.enclosure);
        let pollution = entry.and_then(|entry| pollution(self.design, entry));
        let (input, until) = self.input(
            built.enclosure,
            pollution,
            built.group.unwrap_or(MaterialGroup::Iiib),
            built.insulation.unwrap_or(Insulation::Reinforced),
            built.working,
        )?;
        let found = spacing(&SpacingInput {
            surface: built.surface.unwrap_or(Surface::Plain),
            built_clearance: built.clearance,
            built_creepage: built.creepage,
            ..input
        })
        .map_err(Unknown::refused(id))?;
        let mut clearance = Checked::sure(found.clearance_check);
        let mut creepage = Checked::sure(found.creepage_check);
        if built.clearance.is_none() {
            clearance = Checked::open_because(clearance.judged, missing(Gap::Clearance));
        }
        if built.creepage.is_none() {
            creepage = Checked::open_because(creepage.judged, missing(Gap::Creepage));
        } else if built.group.is_none() {
            creepage = Checked::open_because(creepage.judged, missing(Gap::MaterialGroup));
        }
        // On a wet surface no material and no kind of insulation helps.
        let wet = matches!(found.creepage, CreepageOutcome::NoDistanceHelps);
        if built.insulation.is_none() {
            clearance = clearance.doubted(Verdict::Fails, missing(Gap::InsulationKind));
            if !wet {
                creepage = creepage.doubted(Verdict::Fails, missing(Gap::InsulationKind));
            }
        }
        if built.group.is_none() && !wet {
            creepage = creepage.doubted(Verdict::Fails, missing(Gap::MaterialGroup));
        }
        if let Some(until) = until {
            let until = Unknown::Missing(Thing::VEHICLE, until);
            clearance = clearance.doubted(Verdict::Holds, until);
            creepage = creepage.doubted(Verdict::Holds, until);
        }
        Ok((clearance, creepage))
    }

    /// The question to [`spacing`], and what could make its answer larger.
    fn input(
        &self,
        enclosure: EnclosureId,
        pollution: Option<PollutionDegree>,
        group: MaterialGroup,
        insulation: Insulation,
        working: Option<Voltage>,
    ) -> Known<(SpacingInput, Option<Gap>)> {
        let vehicle = &self.design.vehicle;
        let highest = self.highest?;
        let altitude = vehicle.altitude;
        let altitude = altitude.ok_or(Unknown::Missing(Thing::VEHICLE, Gap::Altitude))?;
        let pollution = pollution.ok_or(Unknown::missing(enclosure, Gap::Pollution))?;
        let until = (vehicle.temporary.is_none() && self.may_meet_mains())
            .then_some(Gap::TemporaryOvervoltage);
        let input = SpacingInput {
            working: working.unwrap_or(highest),
            alternating: false,
            recurring_peak: None,
            impulse: impulse_that_counts(vehicle.impulse, highest)
                .map_err(Unknown::refused(Thing::VEHICLE))?,
            temporary: vehicle
                .temporary
                .unwrap_or(TemporaryOvervoltage::NotFromMains),
            pollution,
            group,
            surface: Surface::Plain,
            altitude,
            insulation,
            built_clearance: None,
            built_creepage: None,
        };
        Ok((input, until))
    }

    /// Whether a charging source of the high-voltage side may be connected to the mains
    /// without separation.
    fn may_meet_mains(&self) -> bool {
        self.design.all::<Load>().any(|(_, load)| {
            load.role == Role::ChargingSource
                && load.alternating != Some(false)
                && self.is_high(load.positive)
        })
    }

    /// Whether anything of the high-voltage side is in a box, or a distance was stated
    /// there.
    fn has_high_voltage(&self, id: EnclosureId) -> bool {
        let design = self.design;
        let here = |place: Option<EnclosureId>, end| place == Some(id) && self.is_high(end);
        design
            .all::<Terminal>()
            .any(|(end, terminal)| here(terminal.enclosure, end))
            || (design.all::<Battery>()).any(|(_, e)| here(e.enclosure, e.positive))
            || (design.all::<Fuse>()).any(|(_, e)| here(e.enclosure, e.from))
            || (design.all::<Contactor>()).any(|(_, e)| here(e.enclosure, e.from))
            || (design.all::<ServiceDisconnect>()).any(|(_, e)| here(e.enclosure, e.from))
            || (design.all::<Resistor>()).any(|(_, e)| here(e.enclosure, e.from))
            || (design.all::<Load>()).any(|(_, e)| here(e.enclosure, e.positive))
            || (design.all::<Spacing>()).any(|(_, e)| e.enclosure == id)
    }
}

/// The pollution degree that counts inside a box: the stated one, never better than
/// [`least_pollution`]; that of the zone where none is stated.
fn pollution(design: &Design, entry: &Enclosure) -> Option<PollutionDegree> {
    let Some(inside) = entry.pollution else {
        return pollution_around(design, entry);
    };
    let least = least_pollution(design, entry);
    Some(least.map_or(inside, |least| inside.max(least)))
}

/// The pollution degree of the zone of a box, 3 at least where water gets there; common
/// practice.
fn pollution_around(design: &Design, entry: &Enclosure) -> Option<PollutionDegree> {
    let zone: &Zone = design.get(entry.zone?)?;
    let wet = (zone.wet == Some(true)).then_some(PollutionDegree::Three);
    zone.pollution.max(wet)
}

/// The best pollution degree inside a box that what keeps it allows; common practice.
///
/// Without anything it is that of the zone. A seal with a breather lets moist air in: 2 at
/// best. Air that is blown through brings in what is around it where that is dirtier than 2 or
/// wet, and is no better than 2 otherwise. A coating or potting may keep 1. `None` where
/// nothing bounds it, or that of the zone is not known.
pub(crate) fn least_pollution(design: &Design, entry: &Enclosure) -> Option<PollutionDegree> {
    let around = pollution_around(design, entry);
    let two = PollutionDegree::Two;
    let sealed = around.map_or(two, |around| around.min(two));
    match entry.kept_by {
        None | Some(PollutionKept::Nothing) => around,
        Some(PollutionKept::SealedWithBreather) => Some(sealed),
        Some(PollutionKept::CleanAir) => around.filter(|around| *around > two).or(Some(sealed)),
        Some(PollutionKept::Coated | PollutionKept::Potted) => None,
    }
}
