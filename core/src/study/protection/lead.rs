//! What a conductor of a design stands in a short circuit.

use heapless::Vec;

use super::burden::{FaultBurden, FaultBurdens, is_known};
use crate::conductor::cable::{Cable, CableBuild};
use crate::conductor::heat_balance::HeatBalance;
use crate::conductor::transient::RadialChain;
use crate::conductor::withstand::adiabatic_withstand;
use crate::design::{
    Conductor, ConductorId, Design, Index, Kind, MAX_CONDUCTORS, MAX_PIECES_OF_ROUTE, Thing,
};
use crate::error::Error;
use crate::fault::{End, FaultResult};
use crate::protection::{FuseCheck, GuardedCable, GuardedPlace};
use crate::quantity::{Current, CurrentSquaredTime, Temperature};
use crate::size::question::Question;
use crate::standard::SourceId;
use crate::study::conductor::{ConductorStudy, installed};
use crate::study::whole::Study;
use crate::verdict::{Judged, Side, Verdict};

/// A conductor as something that a fuse protects.
pub(crate) struct GuardedLead {
    build: CableBuild,
    start: Temperature,
    class: Temperature,
    overload: Temperature,
    lasting: Option<Current>,
    places: Vec<GuardedPlace, MAX_PIECES_OF_ROUTE, u8>,
}

impl GuardedLead {
    /// Limit of a short circuit: the design states none, so the usual one of its class.
    fn short_limit(&self) -> Temperature {
        Question::usual_short_circuit_limit(self.class)
    }

    pub(crate) fn cable(&self) -> GuardedCable<'_> {
        let short_limit = self.short_limit();
        GuardedCable {
            build: &self.build,
            start: self.start,
            short_limit,
            overload_limit: if self.overload < short_limit {
                self.overload
            } else {
                short_limit
            },
            heat: &self.places,
            lasting: self.lasting,
        }
    }

    /// Adds its heat in each place of its route, all of it as hot as the hottest: a piece
    /// that is cooler when the fault begins has more to go. None where a place is not
    /// known. In place: it is large.
    pub(super) fn add_heat(&mut self, design: &Design, id: ConductorId) {
        let (Some(lead), Ok(cable)) = (design.get(id), Cable::new(self.build)) else {
            return;
        };
        for piece in lead.route.pieces() {
            let balance = installed(design, &cable, self.class, piece);
            let place = balance.map(|(balance, _)| self.place(&cable, &balance));
            let Ok(Ok(Some(place))) = place else {
                self.places.clear();
                return;
            };
            // A route has no more pieces than there are places.
            let _ = self.places.push(place);
        }
    }

    /// The cable in one place with the conductor at its start, as a lasting current heats
    /// it: after a peak the insulation is cooler and takes up more.
    fn place(&self, cable: &Cable, balance: &HeatBalance) -> Result<Option<GuardedPlace>, Error> {
        let chain = RadialChain::new(cable, balance);
        let none = Current::from_amperes(0.0)?;
        let current = balance.current_at(self.start)?.unwrap_or(none);
        let state = chain.settled(current)?;
        Ok(state.map(|state| GuardedPlace { chain, state }))
    }
}

/// As hot as it becomes in its duty when the fault begins.
pub(crate) fn guarded(design: &Design, study: &Study, id: ConductorId) -> Option<GuardedLead> {
    let studied: ConductorStudy = study.conductor(id).ok()?;
    let part = design.get(design.get(id)?.cable?)?;
    let warmest = studied.warmest.ok()?;
    let start = warmest.warmth.hottest()?;
    let class = part.temperature_class?;
    let overload = part.overload.unwrap_or(class);
    // A conductor that is hotter than its class fails by itself; what a fault adds is
    // reckoned from the class then.
    let most = if overload < class { overload } else { class };
    let start = if start < most { start } else { colder(most)? };
    Some(GuardedLead {
        build: *part.cable().ok()?.build(),
        start,
        class,
        overload,
        lasting: warmest.ampacity,
        places: Vec::new(),
    })
}

/// One kelvin below.
fn colder(class: Temperature) -> Option<Temperature> {
    Temperature::from_degc(class.as_degc() - 1.0).ok()
}

/// Judges what faults do; open, with the box or terminal of the bond, where that fails only
/// as long as a bond that nobody knows counts as the worst one that is allowed.
pub(super) fn unless_guessed<N>(
    burden: &FaultBurden,
    judge: impl Fn(&FaultBurden) -> Judged<N>,
) -> (Judged<N>, Option<Thing>) {
    let judged = judge(burden);
    let guess = burden.worst_guess().filter(|_| {
        judged.verdict == Verdict::Fails && judge(&burden.of_known_ways()).verdict != Verdict::Fails
    });
    (unless(guess, judged), guess)
}

/// What fails is open where it rests on a guess.
fn unless<N>(guess: Option<Thing>, judged: Judged<N>) -> Judged<N> {
    match (guess, judged.verdict) {
        (Some(_), Verdict::Fails) => Judged {
            verdict: Verdict::Open,
            ..judged
        },
        _ => judged,
    }
}

/// What every conductor of a design stands in a short circuit, A2s: from the heat of its
/// duty to [`Question::usual_short_circuit_limit`].
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Withstands {
    stands: [Option<CurrentSquaredTime>; MAX_CONDUCTORS],
}

impl Withstands {
    /// Computes: [`adiabatic_withstand`] of every conductor of a studied design.
    pub fn new(design: &Design, study: &Study) -> Self {
        let mut stands = [None; MAX_CONDUCTORS];
        for ((id, _), place) in design.all::<Conductor>().zip(&mut stands) {
            *place = guarded(design, study, id).and_then(|lead| {
                let build = &lead.build;
                let (metal, section, r20) = (build.metal, build.section, build.resistance_20);
                let stands =
                    adiabatic_withstand(metal, section, r20, lead.start, lead.short_limit());
                Some(stands.ok()?.own_resistance)
            });
        }
        Self { stands }
    }

    /// What a conductor stands; `None` where its cable or temperature is not known.
    pub fn of(&self, id: ConductorId) -> Option<CurrentSquaredTime> {
        *self.stands.get(id.position())?
    }

    /// Judges the worst of all faults through a conductor: the joule integral until it is
    /// off against what the conductor stands.
    ///
    /// Fails without a value where a fault through it does not go off; open where the
    /// faults, whether they go off, or what it stands are not known. Open, with the box or
    /// terminal, where it fails only as long as a bond counts as the worst one that is
    /// allowed.
    pub fn judge(
        &self,
        burdens: &FaultBurdens,
        id: ConductorId,
    ) -> (Judged<FuseCheck>, Option<Thing>) {
        let Some(burden) = burdens.conductor(id) else {
            return (self.judge_one(id, None, false), None);
        };
        let none = constant!(CurrentSquaredTime::from_a2s(0.0));
        unless_guessed(&burden, |burden| {
            let i2t = burden.i2t.unwrap_or(none);
            let judged = self.judge_one(id, Some(i2t), burden.stays.is_some());
            match judged.verdict {
                Verdict::Holds if burden.not_known.is_some() => Judged {
                    verdict: Verdict::Open,
                    ..judged
                },
                _ => judged,
            }
        })
    }

    fn judge_one(
        &self,
        id: ConductorId,
        i2t: Option<CurrentSquaredTime>,
        stays: bool,
    ) -> Judged<FuseCheck> {
        let (name, source) = (FuseCheck::Cable, SourceId::AdiabaticBalance);
        let a2s = CurrentSquaredTime::as_a2s;
        let stands = self.of(id).map(a2s);
        if stays {
            return Judged::failed_without_value(name, Side::AtMost, stands, source);
        }
        Judged::known(name, i2t.map(a2s), Side::AtMost, stands, source)
    }

    /// The conductor that one fault is hardest on, judged: the worst verdict, and among
    /// equal ones the largest share of what it stands. `None` where no conductor carries
    /// it.
    pub fn hardest(&self, result: &FaultResult) -> Option<(ConductorId, Judged<FuseCheck>)> {
        let mut hardest: Option<(ConductorId, Judged<FuseCheck>, f32)> = None;
        for current in [&result.highest, &result.lowest] {
            let stays_on = is_known(current.end);
            let guess = result.guess_of(current);
            for burden in &current.burdens {
                if burden.thing.kind != Kind::Conductor {
                    continue;
                }
                let Some(id) = ConductorId::at(usize::from(burden.thing.index)) else {
                    continue;
                };
                let stays = burden.i2t.is_none() && stays_on;
                let judged = unless(guess, self.judge_one(id, burden.i2t, stays));
                let share = match (judged.value, judged.limit) {
                    (Some(value), Some(limit)) => value / limit,
                    // Does not go off: the smallest conductor first.
                    (_, limit) => f32::MAX / (1.0 + limit.unwrap_or(0.0)),
                };
                let worse = hardest.is_none_or(|(_, known, most)| {
                    let (new, old) = (judged.verdict.rank(), known.verdict.rank());
                    new > old || new == old && share > most
                });
                if worse {
                    hardest = Some((id, judged, share));
                }
            }
        }
        hardest.map(|(id, judged, _)| (id, judged))
    }

    /// Judges one fault: whether it goes off at the largest and at the smallest current,
    /// meets a fuse, and leaves every conductor whole.
    ///
    /// Fails where one of the two ends certainly stays on, whatever is known of the other;
    /// open where it is not known whether one goes off, or what a conductor stands, or where
    /// a bond is guessed through which the smallest current flows.
    pub fn judge_fault(&self, result: &FaultResult) -> Verdict {
        if result.loop_without_fuse() {
            return Verdict::Fails;
        }
        let ends = [&result.highest, &result.lowest].map(|current| match current.end {
            End::Cleared(_) => Verdict::Holds,
            end if is_known(end) && result.guess_of(current).is_none() => Verdict::Fails,
            _ => Verdict::Open,
        });
        let of_conductor = match self.hardest(result) {
            Some((_, judged)) => judged.verdict,
            None => Verdict::Holds,
        };
        ends.into_iter().fold(of_conductor, Verdict::worse)
    }
}
