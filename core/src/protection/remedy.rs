//! What opens an empty window of fuses.

use super::fuse::{FuseCheck, FusePlace, RATED_AIR_DEGC, carried, judge_continuous};
use super::guarded::{Guarded, GuardedCable};
use super::series::{REACH, STEPS, Series};
use super::verdicts::{guards, least_fault};
use super::window::{FuseWindow, WindowEnd};
use crate::design::FuseType;
use crate::error::Error;
use crate::quantity::{ConductorArea, Current, CurrentSquaredTime, LinearResistance, Temperature};
use crate::verdict::Verdict;

/// Most remedies: two for the duty, two for what it meets.
pub const MAX_REMEDIES: usize = 4;

/// What would open an empty window. The fuse at its lower end is what the duty asks
/// for.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[non_exhaustive]
pub enum Remedy {
    /// A lasting current of the duty of at most this.
    Lasting(Current),
    /// The pulse that binds, of at most this.
    PulseOf(Current),
    /// A place for the fuse whose air is at most this hot.
    CoolerPlace(Temperature),
    /// A cable of at least this section, adiabatic limit, build otherwise alike.
    Section(ConductorArea),
    /// A shield, strap or contactor that stands at least this I2t.
    Stands(FuseCheck, CurrentSquaredTime),
    /// A smallest fault of at least this: the fuse nearer to the source of a thinner
    /// piece, a shorter or larger loop.
    SmallestFault(Current),
    /// A conductor that carries this for ever.
    ConductorLasting(Current),
    /// A limit of the controller of at most this.
    ControllerLimit(Current),
    /// A contactor that breaks this.
    ContactorBreaks(Current),
}

impl Series<'_> {
    /// What opens an empty window.
    pub(super) fn remedies(
        &self,
        window: &mut FuseWindow,
        least: &WindowEnd,
        most: &WindowEnd,
    ) -> Result<(), Error> {
        let mut add = |remedy: Result<Option<Remedy>, Error>| {
            // A value beyond every accepted one is no remedy.
            if let Ok(Some(remedy)) = remedy {
                let _ = window.remedies.push(remedy);
            }
        };
        let shrink = most.scale / least.scale;
        let circuit = self.circuit;
        if matches!(least.binds, FuseCheck::Continuous) {
            add(match circuit.lasting {
                Some(lasting) => Current::from_amperes(lasting.as_amperes() * shrink)
                    .map(|current| Some(Remedy::Lasting(current))),
                None => Ok(None),
            });
            add(self.cooler(most));
        } else if let Some(pulse) = circuit.pulses.get(usize::from(least.index)) {
            add(Current::from_amperes(pulse.current.as_amperes() * shrink)
                .map(|current| Some(Remedy::PulseOf(current))));
        }
        let fuse = self.fuse(least.scale)?;
        match most.binds {
            FuseCheck::LeastFault => add(self.needed_fault(&fuse)),
            FuseCheck::OverloadOwner => {
                add(Ok(Some(Remedy::ConductorLasting(least.rated))));
                add(Ok(circuit.conductor_lasting.map(Remedy::ControllerLimit)));
            }
            FuseCheck::LowCurrentGap => add(Ok(fuse.least_breaking.map(Remedy::ContactorBreaks))),
            name => match circuit.guarded.get(usize::from(most.index)) {
                Some((_, Guarded::Cable(cable))) => add(self.needed_section(&fuse, cable)),
                Some((_, metal @ Guarded::Metal { withstand, .. })) => {
                    let guard = guards(&fuse, circuit, name, metal)?;
                    add(match guard.worst {
                        Some(worst) => {
                            CurrentSquaredTime::from_a2s(withstand.as_a2s() * worst.share)
                                .map(|i2t| Some(Remedy::Stands(name, i2t)))
                        }
                        None => Ok(None),
                    });
                }
                None => {}
            },
        }
        Ok(())
    }

    /// The hottest air in which the largest fuse that protects carries the duty.
    fn cooler(&self, most: &WindowEnd) -> Result<Option<Remedy>, Error> {
        let (Some(here), Some(_)) = (self.circuit.place.air, self.circuit.lasting) else {
            return Ok(None);
        };
        let fuse = self.fuse(most.scale)?;
        let carries = |degc: f32| -> Result<bool, Error> {
            let place = FusePlace {
                air: Some(Temperature::from_degc(degc)?),
                ..self.circuit.place
            };
            let judged = judge_continuous(&fuse, &place, self.circuit.lasting)?;
            Ok(matches!(judged.verdict, Verdict::Holds))
        };
        // Nobody gets a box on a vehicle below the coolest point of its curve.
        let coolest = fuse
            .derating
            .first()
            .map_or(RATED_AIR_DEGC, |point| point.air.as_degc());
        let (mut good, mut bad) = (coolest, here.as_degc());
        if bad <= good || !carries(good)? || !carried(&fuse, &self.circuit.place)?.complete {
            return Ok(None);
        }
        for _ in 0..STEPS {
            let middle = 0.5 * (good + bad);
            if carries(middle)? {
                good = middle;
            } else {
                bad = middle;
            }
        }
        Ok(Some(Remedy::CoolerPlace(Temperature::from_degc(good)?)))
    }

    /// Smallest section, adiabatic, that a fuse protects.
    fn needed_section(
        &self,
        fuse: &FuseType,
        cable: &GuardedCable<'_>,
    ) -> Result<Option<Remedy>, Error> {
        let holds = |times: f32| -> Result<bool, Error> {
            let mut build = *cable.build;
            build.section = ConductorArea::from_mm2(build.section.as_mm2() * times)?;
            build.resistance_20 =
                LinearResistance::from_ohm_per_m(build.resistance_20.as_ohm_per_m() / times)?;
            let larger = Guarded::Cable(GuardedCable {
                build: &build,
                heat: &[],
                ..*cable
            });
            let guard = guards(fuse, self.circuit, FuseCheck::Cable, &larger)?;
            Ok(matches!(guard.judged.verdict, Verdict::Holds))
        };
        let room = ConductorArea::BOUND.max() / cable.build.section.as_mm2();
        let (mut bad, mut good) = (1.0, libm::fminf(REACH, room));
        if holds(bad)? || !holds(good)? {
            return Ok(None);
        }
        for _ in 0..STEPS {
            let middle = libm::sqrtf(good * bad);
            if holds(middle)? {
                good = middle;
            } else {
                bad = middle;
            }
        }
        ConductorArea::from_mm2(cable.build.section.as_mm2() * good)
            .map(|section| Some(Remedy::Section(section)))
    }

    /// Smallest fault that a fuse clears in time.
    fn needed_fault(&self, fuse: &FuseType) -> Result<Option<Remedy>, Error> {
        let Some(here) = self.circuit.smallest_fault else {
            return Ok(None);
        };
        let holds = |amperes: f32| -> Result<bool, Error> {
            let judged = least_fault(fuse, self.circuit, Some(Current::from_amperes(amperes)?))?;
            Ok(matches!(judged.verdict, Verdict::Holds))
        };
        let mut bad = here.as_amperes();
        let mut good = bad * REACH;
        // Not above what the fuse breaks at all.
        if let Some(most) = fuse.breaking {
            good = libm::fminf(good, most.as_amperes());
        }
        if !holds(good)? {
            return Ok(None);
        }
        for _ in 0..STEPS {
            let middle = libm::sqrtf(good * bad);
            if holds(middle)? {
                good = middle;
            } else {
                bad = middle;
            }
        }
        Current::from_amperes(good).map(|current| Some(Remedy::SmallestFault(current)))
    }
}
