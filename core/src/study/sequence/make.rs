//! What each contactor closes on.

use super::{Context, SequenceStudy};
use crate::design::{
    Contactor, ContactorId, Gap, Load, LoadId, Purpose, ResistorType, Role, Thing, carries,
};
use crate::protection::ContactorCheck;
use crate::quantity::Current;
use crate::standard::SourceId;
use crate::study::checked::Checked;
use crate::study::unknown::{Known, Unknown};
use crate::verdict::{Judged, Side, Verdict};

/// What one contactor closes on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct MakeStudy {
    /// The contactor.
    pub contactor: ContactorId,
    /// With what it is in one path when it closes on most: a resistor, a battery of the
    /// string that it joins. `None` where it closes on nothing.
    pub with: Option<Thing>,
    /// The current against what it makes.
    pub check: Checked<ContactorCheck>,
}

impl Context<'_> {
    /// The largest of all currents that a contactor may close on: what is left after
    /// precharge, the first current through a resistor in series with it, what evens two
    /// strings out.
    ///
    /// A contactor behind which nothing but a charging source lies closes on what that
    /// source matches; it is not judged here.
    pub(super) fn make(
        &self,
        id: ContactorId,
        contactor: &Contactor,
        found: &SequenceStudy,
    ) -> MakeStudy {
        // The largest that is known, and what keeps another from being known.
        let mut worst: Option<(Thing, Current)> = None;
        let mut unknown: Option<(Thing, Unknown)> = None;
        let mut add = |with: Thing, current: Known<Current>| match current {
            Ok(current) if worst.is_none_or(|(_, known)| current > known) => {
                worst = Some((with, current));
            }
            Ok(_) => {}
            Err(other) => unknown = unknown.or(Some((with, other))),
        };
        for one in &found.precharges {
            let Ok(path) = &one.path else { continue };
            if path.mains.contains(id) {
                let left = one.found.as_ref().map_err(|unknown| *unknown);
                let no_threshold = self
                    .design
                    .get(one.resistor)
                    .is_none_or(|resistor| resistor.closes_within.is_none());
                let current = if no_threshold {
                    Err(Unknown::missing(one.resistor, Gap::ClosesWithin))
                } else {
                    left.and_then(|found| {
                        let missing = Unknown::missing(one.resistor, Gap::CellResistance);
                        found
                            .inrush
                            .ok_or(one.loop_resistance.err().unwrap_or(missing))
                    })
                };
                add(one.resistor.into(), current);
            }
            if path.closed.contains(id) {
                let found = one.found.as_ref().map_err(|unknown| *unknown);
                add(one.resistor.into(), found.map(|found| found.peak_current));
            }
        }
        for one in &found.joins {
            if !one.contactors.contains(id) {
                continue;
            }
            let strings = self.strings.strings.get(usize::from(one.string));
            let battery = strings.and_then(|string| string.batteries.iter().next());
            let thing = battery.map_or(Thing::VEHICLE, Into::into);
            let missing = one
                .window
                .err()
                .unwrap_or(Unknown::Missing(thing, Gap::JoinWindow));
            let found = one.found.as_ref().map_err(|unknown| *unknown);
            add(
                thing,
                found.and_then(|found| found.window_current.ok_or(missing)),
            );
        }
        if let Some((resistor, current)) = self.through_discharge(contactor) {
            add(resistor, current);
        }
        let with = worst
            .map(|(with, _)| with)
            .or(unknown.map(|(with, _)| with));
        if with.is_none() && self.behind_is_a_charging_source(contactor) {
            return MakeStudy {
                contactor: id,
                with,
                check: Checked::sure(Judged {
                    verdict: Verdict::NotApplicable,
                    ..open()
                }),
            };
        }
        let make = self.make_of(id);
        let judged = Judged::known(
            ContactorCheck::Make,
            worst.map(|(_, current)| current.as_amperes()),
            Side::AtMost,
            make.ok().map(Current::as_amperes),
            SourceId::OhmsLaw,
        );
        let unknown = unknown.map(|(_, unknown)| unknown);
        let because = unknown.or(make.err());
        let because = because.unwrap_or(Unknown::missing(id, Gap::ClosesOn));
        let check = Checked::open_because(judged, because);
        MakeStudy {
            contactor: id,
            with,
            check: match unknown {
                Some(unknown) => check.doubted(Verdict::Holds, unknown),
                None => check,
            },
        }
    }

    /// The first current through a discharge resistor that the contactor switches.
    fn through_discharge(&self, contactor: &Contactor) -> Option<(Thing, Known<Current>)> {
        let metal = &self.opened;
        let touches =
            |end| metal.together(end, contactor.from) || metal.together(end, contactor.to);
        // On the bars of a link a bleed touches contactors too; a switched one has an end
        // that nothing but its relay is on.
        let (id, resistor) = self.resistors(Purpose::Discharge).find(|(id, one)| {
            let own = |end| {
                let others = self.design.drawn().filter(|drawn| {
                    drawn.thing != Thing::from(*id)
                        && !carries(drawn.thing.kind)
                        && (metal.together(drawn.from, end) || metal.together(drawn.to, end))
                });
                others.count() == 0 && touches(end)
            };
            own(one.from) || own(one.to)
        })?;
        let part: Option<&ResistorType> = resistor.part.and_then(|part| self.design.get(part));
        let current = || {
            let missing = Unknown::missing(id, Gap::ResistorType);
            let kind = part.ok_or(missing)?;
            let ohms = kind.resistance.ok_or(missing)?.as_ohms();
            let tolerance = kind.tolerance.unwrap_or(crate::link::RESISTOR_TOLERANCE);
            let lowest = ohms * (1.0 - tolerance.as_fraction());
            Current::from_amperes(self.highest?.as_volts() / lowest).map_err(Unknown::refused(id))
        };
        Some((id.into(), current()))
    }

    /// Whether with all contactors open one side of it leads to charging sources alone.
    fn behind_is_a_charging_source(&self, contactor: &Contactor) -> bool {
        let metal = &self.opened;
        [contactor.from, contactor.to].into_iter().any(|end| {
            let mut sources = false;
            for drawn in self.design.drawn() {
                let here = metal.together(drawn.from, end) || metal.together(drawn.to, end);
                if !here || carries(drawn.thing.kind) {
                    continue;
                }
                let load = self
                    .design
                    .all::<Load>()
                    .find(|(id, _): &(LoadId, &Load)| Thing::from(*id) == drawn.thing);
                match load {
                    Some((_, load)) if load.role == Role::ChargingSource => sources = true,
                    _ => return false,
                }
            }
            sources
        })
    }
}

const fn open() -> Judged<ContactorCheck> {
    Judged::open(
        ContactorCheck::Make,
        None,
        Side::AtMost,
        None,
        SourceId::OhmsLaw,
    )
}
