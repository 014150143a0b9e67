//! What a fuse protects: whether it stands every current until the fuse has broken it.

use super::clearing::{Clearing, ClearingCurve, FuseGap};
use super::fuse::{FuseCheck, magnitude};
use crate::conductor::cable::CableBuild;
use crate::conductor::transient::{RadialChain, ThermalState};
use crate::conductor::withstand::{adiabatic_withstand, non_adiabatic_factor};
use crate::error::{Error, Inconsistency};
use crate::quantity::{Current, CurrentSquaredTime, Temperature, Time};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// Longest time for which the limit temperatures of a short circuit and k hold
/// (IEC 60364-4-43, 434.5.2, from memory), and within which a fault has to be gone.
pub const DISCONNECTION: Time = constant!(Time::from_seconds(5.0));

/// Longest time of the non-adiabatic factor.
const NON_ADIABATIC: Time = constant!(Time::from_seconds(60.0));

/// A cable that a fuse has to protect.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct GuardedCable<'a> {
    /// How it is built.
    pub build: &'a CableBuild,
    /// Conductor when the fault begins: as hot as it becomes in its duty.
    pub start: Temperature,
    /// Limit of a short circuit up to 5 s (for cross-linked polyethylene 250 degC).
    pub short_limit: Temperature,
    /// Limit of an overload that lasts longer, at most that of the short circuit; the
    /// temperature class is on the safe side.
    pub overload_limit: Temperature,
    /// The cable in each of its places; the worst counts. Without one an overload is held
    /// against the adiabatic limit, and open where that is not enough.
    pub heat: &'a [GuardedPlace],
    /// Current that it carries for ever.
    pub lasting: Option<Current>,
}

/// A cable in one place, and its heat when the fault begins.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct GuardedPlace {
    /// The cable with what surrounds it.
    pub chain: RadialChain,
    /// Its heat, the conductor at [`GuardedCable::start`].
    pub state: ThermalState,
}

/// What is added to a rise by the radial chain, which is low by 1 % with usual walls, by
/// 3 % with the thickest (see [`crate::conductor::transient`]).
const CHAIN_IS_LOW: f32 = 1.03;

/// Something that a fuse has to protect.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // with and without a model of its heat
#[allow(clippy::large_enum_variant)] // borrowed for one call
pub enum Guarded<'a> {
    /// A cable.
    Cable(GuardedCable<'a>),
    /// A shield, a bond strap, closed contacts: what is known by one I2t.
    Metal {
        /// I2t that it stands, as from [`crate::insulation::strap_withstand`].
        withstand: CurrentSquaredTime,
        /// Current that it carries for ever.
        lasting: Option<Current>,
    },
}

/// How much of what it stands a current has used until it is broken.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize))]
#[non_exhaustive]
pub struct Used {
    /// The prospective current.
    pub current: Current,
    /// Until the fuse has broken it; `None` where the conductor carries it for ever.
    pub cleared_after: Option<Time>,
    /// Share of what it stands: of the I2t, or of the rise to the limit. Above 1 it is
    /// spoilt.
    pub share: f32,
    /// Whether a share above 1 shows that it is spoilt. Not so where only the heat that
    /// it gives off could save it and that is not known.
    pub settled: bool,
    /// Where the share comes from.
    pub source: SourceId,
}

impl Guarded<'_> {
    /// Computes: share of what the conductor stands that a current uses until the fuse
    /// has broken it.
    ///
    /// Up to 5 s: let-through I2t over the I2t to the limit of a short circuit, with
    /// the cable's own resistance and what the insulation takes up
    /// ([`SourceId::AdiabaticBalance`], [`SourceId::Iec60949`]). Longer: the same to
    /// the overload limit, what the insulation takes up counted for 60 s at most; if
    /// that is not enough, the rise of the radial chain over the allowed rise. Metal
    /// alone: let-through I2t over its I2t. A current that it carries for ever uses
    /// (I over that current) squared.
    ///
    /// # Errors
    /// Those of [`adiabatic_withstand`];
    /// [`Inconsistency::OverloadAboveShortCircuit`].
    pub fn used(
        &self,
        current: Current,
        cleared_after: Time,
        let_through: CurrentSquaredTime,
    ) -> Result<Used, Error> {
        if let Some(used) = self.carries(current) {
            return Ok(used);
        }
        let used = |share: f32, settled: bool, source: SourceId| Used {
            current,
            cleared_after: Some(cleared_after),
            share,
            settled,
            source,
        };
        let short = cleared_after <= DISCONNECTION;
        match self {
            Self::Metal { withstand, .. } => {
                let share = let_through.as_a2s() / withstand.as_a2s();
                Ok(used(share, short, SourceId::Iec60949))
            }
            Self::Cable(cable) => {
                let limit = cable.limit(short)?;
                let share = let_through.as_a2s() / cable.stands(limit, cleared_after)?;
                if short || share <= 1.0 {
                    return Ok(used(share, short, SourceId::AdiabaticBalance));
                }
                let mut rise: Option<f32> = None;
                for place in cable.heat {
                    let end = place.chain.advance(&place.state, current, cleared_after);
                    // Hotter than any temperature that is accepted is not an error of
                    // the builder but the answer.
                    let here = match place.chain.conductor(&end) {
                        Ok(end) => (end - cable.start)?.as_kelvin(),
                        Err(_) => f32::INFINITY,
                    };
                    rise = Some(rise.map_or(here, |rise| libm::fmaxf(rise, here)));
                }
                let Some(rise) = rise else {
                    return Ok(used(share, false, SourceId::AdiabaticBalance));
                };
                let allowed = (cable.overload_limit - cable.start)?.as_kelvin();
                let heated = CHAIN_IS_LOW * rise / allowed;
                // No heat that is given off makes it hotter.
                let share = libm::fminf(share, heated);
                Ok(used(share, true, SourceId::RadialChain))
            }
        }
    }

    /// Smallest overload that a fuse has to clear for it, A.
    pub(super) fn overload(&self) -> Option<f32> {
        match self {
            Self::Cable(cable) => {
                let lasting = cable.lasting?;
                Some(OVERLOAD_FACTOR * lasting.as_amperes())
            }
            Self::Metal { lasting, .. } => lasting.map(Current::as_amperes),
        }
    }

    /// The answer for a current that it carries for ever.
    fn carries(&self, current: Current) -> Option<Used> {
        let lasting = match self {
            Self::Cable(cable) => cable.lasting,
            Self::Metal { lasting, .. } => *lasting,
        }?;
        let (amperes, lasting) = (magnitude(current), lasting.as_amperes());
        (amperes <= lasting && lasting > 0.0).then(|| Used {
            current,
            cleared_after: None,
            share: (amperes / lasting) * (amperes / lasting),
            settled: true,
            source: SourceId::Entered,
        })
    }
}

impl GuardedCable<'_> {
    fn limit(&self, short: bool) -> Result<Temperature, Error> {
        if self.overload_limit > self.short_limit {
            return Err(Error::Inconsistent(
                Inconsistency::OverloadAboveShortCircuit,
            ));
        }
        Ok(if short {
            self.short_limit
        } else {
            self.overload_limit
        })
    }

    /// I2t in A2s to a limit within a time.
    fn stands(&self, limit: Temperature, time: Time) -> Result<f32, Error> {
        let build = self.build;
        let withstand = adiabatic_withstand(
            build.metal,
            build.section,
            build.resistance_20,
            self.start,
            limit,
        )?;
        let taken_up = if time < NON_ADIABATIC {
            time
        } else {
            NON_ADIABATIC
        };
        let factor = non_adiabatic_factor(build.metal, build.section, &build.insulation, taken_up)?;
        Ok(withstand.own_resistance.as_a2s() * factor * factor)
    }
}

/// Overload, as a multiple of its lasting current, from which on a fuse has to protect a
/// cable (IEC 60364-4-43, 433.1: I2 at most 1.45 Iz, from memory).
pub const OVERLOAD_FACTOR: f32 = 1.45;

/// Whether a fuse protects something over all currents.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Guard {
    /// Worst share of what it stands, at most 1.
    pub judged: Judged<FuseCheck>,
    /// Smallest current that the fuse has to clear; `None` where that is not known.
    pub needed_from: Option<Current>,
    /// Smallest current that it is known to clear. If it is the larger one, nobody is
    /// known to clear the currents between.
    pub cleared_from: Option<Current>,
    /// The worst current.
    pub worst: Option<Used>,
    /// What the datasheet lacks, where the check is open for that.
    pub gap: Option<FuseGap>,
}

/// Judges whether a fuse protects something over the whole range of currents, from the
/// smallest that it has to clear to the largest prospective one.
///
/// Method: [`Guarded::used`] at both ends of what the fuse is known to clear, at every
/// corner of the latest melting curve between them and at three currents between two
/// neighbours; the worst counts. Currents that it has to clear below that are looked at
/// by what is known: it never breaks them, or it melts later than its curve and the
/// conductor is spoilt by then, or nothing.
///
/// Inputs: name of the check; the fuse at the voltage it has to break; what it
/// protects; the smallest current that it has to clear, as what a controller and its
/// contactor leave to it or the smallest fault; largest prospective current. A smallest
/// current of `None` is every overload: of a cable from [`OVERLOAD_FACTOR`] times its
/// lasting current on, of metal from its lasting current on, not known without one.
///
/// Fails where the conductor is spoilt or a current is never broken. Open where the
/// datasheet does not say, where the smallest current is not known, or where only the
/// heat given off could save the conductor and is not known.
///
/// # Errors
/// Those of [`Guarded::used`].
pub fn judge_guarded(
    name: FuseCheck,
    fuse: &ClearingCurve,
    guarded: &Guarded<'_>,
    smallest: Option<Current>,
    largest: Option<Current>,
) -> Result<Guard, Error> {
    let source = SourceId::AdiabaticBalance;
    let needed = smallest.map(magnitude).or_else(|| guarded.overload());
    let mut guard = Guard {
        judged: Judged::open(name, None, Side::AtMost, Some(1.0), source),
        needed_from: needed.and_then(|amperes| Current::from_amperes(amperes).ok()),
        cleared_from: None,
        worst: None,
        gap: None,
    };
    let Some(largest) = largest else {
        return Ok(guard);
    };
    let (cleared, curve) = match (fuse.least_cleared(), fuse.melting()) {
        (Ok(cleared), Some(curve)) => (cleared, curve),
        (Err(gap), _) => {
            guard.gap = Some(gap);
            return Ok(guard);
        }
        (_, None) => {
            guard.gap = Some(FuseGap::Melting);
            return Ok(guard);
        }
    };
    guard.cleared_from = Current::from_amperes(cleared).ok();
    let to = magnitude(largest);
    if let Some(used) = guarded.carries(largest) {
        guard.worst = Some(used);
        guard.judged = Judged::compare(name, used.share, Side::AtMost, 1.0, used.source);
        return Ok(guard);
    }
    let mut sweep = Sweep {
        fuse,
        guarded,
        worst: None,
        gap: None,
        unbroken: false,
        unsettled: needed.is_none(),
    };
    if to >= cleared {
        let from = libm::fminf(libm::fmaxf(cleared, needed.unwrap_or(0.0)), to);
        curve.sweep(from, to, |amperes| sweep.look(amperes))?;
    } else {
        sweep.look(to)?;
    }
    if let Some(needed) = needed
        && needed < libm::fminf(cleared, to)
    {
        sweep.look(needed)?;
        // What melts a partial-range fuse without being broken.
        let melts = curve.least_current()?.as_amperes();
        sweep.look(libm::fminf(libm::fmaxf(needed, melts), to))?;
    }
    guard.worst = sweep.worst;
    guard.gap = sweep.gap;
    guard.judged = sweep.judged(name);
    Ok(guard)
}

/// What was found at the currents looked at.
struct Sweep<'a> {
    fuse: &'a ClearingCurve,
    guarded: &'a Guarded<'a>,
    worst: Option<Used>,
    gap: Option<FuseGap>,
    unbroken: bool,
    unsettled: bool,
}

impl Sweep<'_> {
    fn look(&mut self, amperes: f32) -> Result<(), Error> {
        let current = Current::from_amperes(amperes)?;
        if self.guarded.carries(current).is_some() {
            return Ok(());
        }
        let used = match self.fuse.at(current) {
            Clearing::After {
                total, let_through, ..
            } => self.guarded.used(current, total, let_through)?,
            Clearing::LaterThan(time) => {
                // Until then the current flows in any case.
                let i2t = ((current * current)? * time)?;
                let used = self.guarded.used(current, time, i2t)?;
                if !(used.settled && used.share > 1.0) {
                    self.unsettled = true;
                    return Ok(());
                }
                used
            }
            Clearing::Never(_) => {
                self.unbroken = true;
                return Ok(());
            }
            Clearing::NotKnown(gap) => {
                self.gap = Some(gap);
                return Ok(());
            }
        };
        // What is spoilt for certain outranks what only may be.
        let rank = |used: &Used| (used.settled && used.share > 1.0, used.share);
        if self.worst.is_none_or(|worst| rank(&used) > rank(&worst)) {
            self.worst = Some(used);
        }
        Ok(())
    }

    fn judged(&self, name: FuseCheck) -> Judged<FuseCheck> {
        let limit = Some(1.0);
        if self.unbroken {
            let source = SourceId::Entered;
            return Judged::failed_without_value(name, Side::AtMost, limit, source);
        }
        let Some(used) = self.worst else {
            return Judged::open(name, None, Side::AtMost, limit, SourceId::AdiabaticBalance);
        };
        let spoilt = used.settled && used.share > 1.0;
        let stands = used.share <= 1.0 && self.gap.is_none() && !self.unsettled;
        if spoilt || stands {
            Judged::compare(name, used.share, Side::AtMost, 1.0, used.source)
        } else {
            Judged::open(name, Some(used.share), Side::AtMost, limit, used.source)
        }
    }
}
