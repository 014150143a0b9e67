//! Whether every capacitor that a contactor reaches has a precharge path.

use super::Context;
use super::precharge::PrechargeStudy;
use crate::design::{Gap, Load, LoadId, ResistorId};
use crate::fault::{Precharged, joined, live, precharge_of};
use crate::quantity::Capacitance;
use crate::standard::SourceId;
use crate::study::checked::Checked;
use crate::study::unknown::Unknown;
use crate::verdict::{Judged, Side, Verdict};

worded! {
    /// What a capacitor is held against.
    #[non_exhaustive]
    ReachedCheck {
        /// Whether a precharge path reaches it before a contactor joins it; no value.
        Path: "a precharge path to its capacitor";
    }
}

/// How the capacitor of one load is charged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ReachedStudy {
    /// The load.
    pub load: LoadId,
    /// The resistor that charges it, if one does.
    pub through: Option<ResistorId>,
    /// How it is charged; a load without stated capacitance as if it had one.
    pub how: Precharged,
    /// Whether a path is there.
    pub check: Checked<ReachedCheck>,
}

impl Context<'_> {
    /// How one load is charged; `paths` are those of all precharge resistors.
    pub(super) fn reached(
        &self,
        id: LoadId,
        load: &Load,
        paths: &[PrechargeStudy],
    ) -> ReachedStudy {
        let through = paths.iter().find_map(|one| {
            let path = one.path.as_ref().ok()?;
            path.loads
                .contains(id)
                .then_some((one.resistor, path.phase))
        });
        let empty = load.link.is_some_and(|link| link.as_farads() <= 0.0);
        let how = match through {
            _ if empty => Precharged::NoCapacitor,
            Some((resistor, in_phase)) => Precharged::Through { resistor, in_phase },
            None => match precharge_of(self.design, id) {
                // A way that would be there, but no phase takes it, and the resistor charges
                // others by another one: this capacitor is empty when its contactor closes.
                Precharged::Through {
                    resistor,
                    in_phase: None,
                } if has_path(resistor, paths) && self.joined_by_contactors(load) => {
                    Precharged::Missing
                }
                how => how,
            },
        };
        // The search leaves out what states no capacitance; it may have one all the same.
        let silent = load.link.map_or(0.0, Capacitance::as_farads) <= 0.0 && !empty;
        let judged = |verdict| Judged {
            verdict,
            ..Judged::open(
                ReachedCheck::Path,
                None,
                Side::AtMost,
                None,
                SourceId::CommonPractice,
            )
        };
        let check = match how {
            Precharged::Through { .. } => Checked::sure(judged(Verdict::Holds)),
            _ if silent => Checked::open_because(
                judged(Verdict::Open),
                Unknown::missing(id, Gap::LinkCapacitance),
            ),
            Precharged::Missing => Checked::sure(judged(Verdict::Fails)),
            _ => Checked::sure(judged(Verdict::NotApplicable)),
        };
        ReachedStudy {
            load: id,
            through: through.map(|(resistor, _)| resistor),
            how,
            check,
        }
    }

    /// Whether contactors alone join a load to the battery.
    fn joined_by_contactors(&self, load: &Load) -> bool {
        let all = self.contactors().map(|(id, _)| id).collect();
        let metal = joined(self.design, Some(all), false);
        let mut poles = [load.positive, load.negative].into_iter();
        poles.all(|pole| live(self.design, pole, &metal))
    }
}

/// Whether the path of a resistor is known.
fn has_path(resistor: ResistorId, paths: &[PrechargeStudy]) -> bool {
    let mut known = paths.iter().filter(|one| one.resistor == resistor);
    known.any(|one| one.path.is_ok())
}
