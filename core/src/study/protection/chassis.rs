//! Whether shields and bond straps stand what faults through chassis send through them.

use heapless::Vec;

use super::burden::{FaultBurdens, bond_missing, is_known, size};
use crate::design::{
    CableType, Conductor, ConductorId, Design, Enclosure, EnclosureId, FuseId, Gap, ShieldEnd,
    Thing,
};
use crate::error::Error;
use crate::fault::{End, Fault, FaultCurrent, FaultResult};
use crate::insulation::{StrapMetal, strap_withstand};
use crate::protection::{CURVE_TOLERANCE, ClearingCurve, FuseCheck, Guard, Guarded, judge_guarded};
use crate::quantity::{Current, CurrentSquaredTime, Temperature, Voltage};
use crate::shield::braid;
use crate::standard::SourceId;
use crate::study::insulation::{BRAID_LIMIT_DEGC, shield_span};
use crate::study::unknown::{Known, Unknown, entry};
use crate::study::whole::Study;
use crate::verdict::{Judged, Side, Verdict};

/// Most ranges of faults through one shield or strap, by fuse and share.
pub const MAX_RANGES: usize = 24;

/// Faults in which a fuse carries a like share of the current are looked at as one, with
/// the larger share: the metal is taken to carry at most a quarter more than it does, 1.6
/// times the joule integral, which is on the safe side. A choice of this project, so that
/// [`MAX_RANGES`] last; where they do not, ranges of one fuse are widened.
const ALIKE: f32 = 1.25;

/// Hottest that a bond strap may become: bare copper where there is a risk of fire
/// (IEC 60364-5-54, Table A.54.6, from memory), as under a vehicle that is oily.
pub const STRAP_LIMIT: Temperature = constant!(Temperature::from_degc(150.0));

/// The faults through a shield or strap that one fuse ends.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct FaultRange {
    /// The fuse.
    pub fuse: FuseId,
    /// Smallest prospective current through the fuse.
    pub least: Current,
    /// The same of those currents whose way is known: none through a bond that nobody has
    /// read or described.
    pub least_known: Current,
    /// Where the bond is guessed through which [`Self::least`] flows, if one is.
    pub guessed_bond: Option<Thing>,
    /// Largest prospective current through the fuse.
    pub most: Current,
    /// Current through shield or strap over that through the fuse, as in their joule
    /// integrals.
    pub share: f32,
    /// Least voltage that the fuse breaks there.
    pub voltage: Voltage,
}

/// What faults through chassis do to one shield or strap.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ChassisBurden {
    /// Largest prospective current through it; none where no fault leads through it.
    pub largest: Option<Current>,
    /// What each fuse ends.
    pub ranges: Vec<FaultRange, MAX_RANGES, u8>,
    /// A fault through it that does not go off, if there is one, and how it ends.
    pub stays: Option<(Fault, End)>,
    /// Where the bond is guessed through which a fault flows that then does not go off.
    pub stays_guess: Option<Thing>,
    /// A fault through it of which it is not known whether it goes off, and why.
    pub not_known: Option<(Fault, End)>,
    /// Whether something is not listed: more fuses, or one whose range is not known.
    more: bool,
}

impl ChassisBurden {
    pub(super) const NONE: Self = Self {
        largest: None,
        ranges: Vec::new(),
        stays: None,
        stays_guess: None,
        not_known: None,
        more: false,
    };

    pub(super) fn take(&mut self, result: &FaultResult) {
        let (highest, lowest) = (&result.highest, &result.lowest);
        if Some(highest.prospective) > self.largest {
            self.largest = Some(highest.prospective);
        }
        for current in [highest, lowest] {
            match current.end {
                End::Cleared(_) | End::NoCurrent => {}
                end if is_known(end) => match result.guess_of(current) {
                    None => self.stays = self.stays.or(Some((result.fault, end))),
                    guess => self.stays_guess = self.stays_guess.or(guess),
                },
                end => self.not_known = self.not_known.or(Some((result.fault, end))),
            }
        }
        for current in [highest, lowest] {
            // Of several fuses the last one ends it.
            let Some(stage) = current.stages.last() else {
                continue;
            };
            let (high, low) = (through(highest, stage.fuse), through(lowest, stage.fuse));
            let (Some(high), Some(low)) = (high, low) else {
                // At the other extreme another fuse carries it: no range is known.
                self.more = true;
                continue;
            };
            let least = if low < high { low } else { high };
            self.add(FaultRange {
                fuse: stage.fuse,
                least,
                least_known: result.guessed_bond.map_or(least, |_| high),
                guessed_bond: result.guessed_bond,
                most: high,
                share: libm::fmaxf(share(highest, stage.fuse), share(lowest, stage.fuse)),
                voltage: stage.voltage,
            });
        }
    }

    fn of(&self, fuse: FuseId) -> impl Iterator<Item = &FaultRange> {
        self.ranges.iter().filter(move |one| one.fuse == fuse)
    }

    fn add(&mut self, found: FaultRange) {
        let alike = |one: &&mut FaultRange| {
            one.fuse == found.fuse
                && found.share <= ALIKE * one.share
                && one.share <= ALIKE * found.share
        };
        if let Some(known) = self.ranges.iter_mut().find(alike) {
            known.widen(&found);
        } else if self.ranges.push(found).is_err() {
            // One wider range of the same fuse is on the safe side.
            match self.ranges.iter_mut().find(|one| one.fuse == found.fuse) {
                Some(known) => known.widen(&found),
                None => self.more = true,
            }
        }
    }
}

impl FaultRange {
    fn widen(&mut self, other: &Self) {
        if other.least < self.least {
            (self.least, self.guessed_bond) = (other.least, other.guessed_bond);
        }
        if other.least_known < self.least_known {
            self.least_known = other.least_known;
        }
        if other.most > self.most {
            self.most = other.most;
        }
        if other.voltage < self.voltage {
            self.voltage = other.voltage;
        }
        self.share = libm::fmaxf(self.share, other.share);
    }
}

/// Current of a fault over that of a fuse: at the beginning, or, if that is less because
/// other fuses open before it, in the joule integral of both.
fn share(current: &FaultCurrent, fuse: FuseId) -> f32 {
    let Some(carried) = through(current, fuse) else {
        return 0.0;
    };
    let first = current.prospective.as_amperes() / carried.as_amperes();
    let last = current.stages.last().filter(|stage| stage.fuse == fuse);
    let whole = last
        .zip(current.i2t)
        .map(|(stage, i2t)| libm::sqrtf(i2t.as_a2s() / stage.let_through.as_a2s()));
    whole.map_or(first, |whole| libm::fminf(whole, first))
}

/// What a fuse carries of a fault, as an amount.
fn through(current: &FaultCurrent, fuse: FuseId) -> Option<Current> {
    let carrier = current.carriers.iter().find(|one| one.fuse == fuse)?;
    Some(size(carrier.current))
}

/// Whether a shield or strap stands every fault through it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ChassisGuard {
    /// Worst share of what it stands, over all currents between the least and the most of
    /// its faults, at most 1. Not applicable where no fault leads through it.
    pub judged: Judged<FuseCheck>,
    /// The worst fuse, and what it does.
    pub worst: Option<(FuseId, Guard)>,
    /// What keeps it open, where that is not the datasheet of a fuse.
    pub because: Option<Unknown>,
    /// The fault that does not go off, or of which that is not known.
    pub fault: Option<(Fault, End)>,
}

impl ChassisGuard {
    const fn new(name: FuseCheck, verdict: Verdict, because: Option<Unknown>) -> Self {
        Self {
            judged: Judged {
                name,
                value: None,
                limit: Some(1.0),
                side: Side::AtMost,
                verdict,
                source: SourceId::Iec60949,
            },
            worst: None,
            because,
            fault: None,
        }
    }
}

/// Judges the bond strap of a box over all currents of the faults through chassis at it,
/// from the hottest air of its zone to [`STRAP_LIMIT`].
///
/// Each fuse that ends such a fault is held against it by itself, with what the strap
/// carries over what the fuse carries: by joule integrals where several fuses open in turn,
/// at the largest and the smallest current, the larger of both. Fails where a fault does not go off; open where
/// the strap, its air, or the datasheet of a fuse is not known.
///
/// # Errors
/// Those of [`judge_guarded`].
pub fn judge_strap_of(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: EnclosureId,
) -> Result<ChassisGuard, Error> {
    let name = FuseCheck::Strap;
    if design.get(id).and_then(|entry| entry.metal) == Some(false) {
        return Ok(ChassisGuard::new(name, Verdict::NotApplicable, None));
    }
    let question = Question {
        design,
        burdens,
        name,
        voltage: study.pack.highest_voltage,
    };
    question.judge(burdens.bond(id), strap_of(design, id))
}

/// Judges the shield of a conductor over all currents of a fault between the two, the
/// second one anywhere: from the temperature class of the cable, as [`InsulationStudy`]
/// does for one let-through.
///
/// Of a fault at one of its ends the shield carries all; further in, both ends share it.
/// A shield that is bonded at one end only has its whole resistance in the way of the
/// smallest fault, one that is bonded at both a quarter of it. Fails and stays open as [`judge_strap_of`].
///
/// # Errors
/// Those of [`judge_guarded`].
///
/// [`InsulationStudy`]: crate::study::insulation::InsulationStudy
pub fn judge_shield_of(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    id: ConductorId,
) -> Result<ChassisGuard, Error> {
    let question = Question {
        design,
        burdens,
        name: FuseCheck::Shield,
        voltage: study.pack.highest_voltage,
    };
    question.judge(burdens.shield(id), shield_of(design, id))
}

/// The strap or shield that one fuse protects worst.
#[derive(Clone, Copy, Debug)]
pub(super) struct WorstMetal {
    /// The box of the strap, the conductor of the shield.
    pub(super) at: Thing,
    pub(super) judged: Judged<FuseCheck>,
    /// As something that the fuse protects; none where it is not known.
    pub(super) guarded: Option<Guarded<'static>>,
}

/// Computes: the strap that a fuse protects worst, and the shield.
pub(super) fn worst_metal(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    fuse: FuseId,
) -> Result<[Option<WorstMetal>; 2], Error> {
    let mut worst = [None; 2];
    let [strap, shield] = &mut worst;
    let voltage = study.pack.highest_voltage;
    let question = |name| Question {
        design,
        burdens,
        name,
        voltage,
    };
    let straps = question(FuseCheck::Strap);
    for (id, enclosure) in design.all::<Enclosure>() {
        if enclosure.metal == Some(false) {
            continue;
        }
        straps.worst_of(id.into(), burdens.bond(id), fuse, strap, || {
            strap_of(design, id)
        })?;
    }
    let shields = question(FuseCheck::Shield);
    for (id, _) in design.all::<Conductor>() {
        shields.worst_of(id.into(), burdens.shield(id), fuse, shield, || {
            shield_of(design, id)
        })?;
    }
    Ok(worst)
}

/// Strap or shield.
#[derive(Clone, Copy, Debug)]
struct Metal {
    stands: CurrentSquaredTime,
    /// Its own resistance, which the smallest fault may have in its way.
    ohms: f32,
    /// Whether both of its ends lead to chassis.
    both_ends: bool,
}

fn strap_of(design: &Design, id: EnclosureId) -> Known<Metal> {
    let missing = Unknown::missing(id, Gap::Bond);
    let bond = entry(design, id)?.bond.ok_or(missing)?;
    let (section, metal) = bond.section.zip(bond.metal).ok_or(missing)?;
    let air = design.air_in(Some(id));
    let air = air.ok_or(Unknown::missing(id, Gap::Air))?;
    let stands = strap_withstand(metal, section, air, STRAP_LIMIT).map_err(Unknown::refused(id))?;
    // The resistance of the bond is in the fault's own.
    Ok(Metal {
        stands,
        ohms: 0.0,
        both_ends: false,
    })
}

fn shield_of(design: &Design, id: ConductorId) -> Known<Metal> {
    let lead = entry(design, id)?;
    let part = lead.cable.ok_or(Unknown::missing(id, Gap::CableType))?;
    let cable: &CableType = entry(design, part)?;
    let build = cable.braid.ok_or(Unknown::missing(part, Gap::Braid))?;
    let refused = Unknown::refused(part);
    let built = braid(&build).map_err(&refused)?;
    let [start, limit] = shield_span(part, cable)?;
    let length = design.length(lead).map_err(Unknown::refused(id))?;
    let length = length.ok_or(Unknown::missing(id, Gap::RouteLength))?;
    Ok(Metal {
        stands: strap_withstand(StrapMetal::Copper, built.strand_area, start, limit)
            .map_err(&refused)?,
        ohms: HOT * built.resistance.as_ohm_per_m() * length.as_metres(),
        both_ends: lead
            .ends
            .iter()
            .all(|end| matches!(end.shield, Some(ShieldEnd::Round | ShieldEnd::Pigtail(_)))),
    })
}

/// Copper at [`BRAID_LIMIT_DEGC`], the hottest that a fault may make it, over copper at 20
/// degC: 1 + 0.00393 (200 - 20), temperature coefficient of IEC 60287-1-1. The hottest
/// braid leaves the smallest fault.
const HOT: f32 = 1.0 + 0.00393 * (BRAID_LIMIT_DEGC - 20.0);

struct Question<'a> {
    design: &'a Design,
    burdens: &'a FaultBurdens,
    name: FuseCheck,
    /// What every fuse is taken to break.
    voltage: Known<Voltage>,
}

impl Question<'_> {
    fn judge(
        &self,
        burden: Option<&ChassisBurden>,
        metal: Known<Metal>,
    ) -> Result<ChassisGuard, Error> {
        let name = self.name;
        let Some(burden) = burden else {
            return Ok(ChassisGuard::new(name, Verdict::Open, self.burdens.doubt()));
        };
        if burden.largest.is_none() {
            return Ok(ChassisGuard::new(name, Verdict::NotApplicable, None));
        }
        if let Some((fault, end)) = burden.stays {
            return Ok(ChassisGuard {
                fault: Some((fault, end)),
                ..ChassisGuard::new(name, Verdict::Fails, None)
            });
        }
        let (metal, voltage) = match (metal, self.voltage) {
            (Ok(metal), Ok(voltage)) => (metal, voltage),
            (Err(unknown), _) | (_, Err(unknown)) => {
                return Ok(ChassisGuard::new(name, Verdict::Open, Some(unknown)));
            }
        };
        let mut found = ChassisGuard::new(name, Verdict::Holds, None);
        for range in &burden.ranges {
            let Some(one) = self.of_one(range, metal, voltage)? else {
                if found.judged.verdict != Verdict::Fails {
                    let because = Unknown::missing(range.fuse, Gap::FuseType);
                    found = ChassisGuard::new(name, Verdict::Open, Some(because));
                }
                continue;
            };
            let guard = one.guard;
            let first = found.worst.is_none() && found.because.is_none();
            if first || rank(&guard.judged) > rank(&found.judged) {
                found.judged = guard.judged;
                found.worst = Some((range.fuse, guard));
                let still = guard.judged.verdict == Verdict::Open;
                let because = one.guess.map(bond_missing).or(found.because);
                found.because = because.filter(|_| still);
            }
        }
        let settled = burden.not_known.is_none() && !burden.more;
        if !settled && found.judged.verdict != Verdict::Fails {
            found.judged.verdict = Verdict::Open;
            found.fault = burden.not_known;
        }
        if let Some(bond) = burden.stays_guess
            && found.judged.verdict != Verdict::Fails
        {
            found.judged.verdict = Verdict::Open;
            found.because = Some(bond_missing(bond));
        }
        Ok(found)
    }

    /// Takes one strap or shield in where the fuse ends a fault through it and protects none
    /// worse.
    fn worst_of(
        &self,
        at: Thing,
        burden: Option<&ChassisBurden>,
        fuse: FuseId,
        worst: &mut Option<WorstMetal>,
        metal: impl FnOnce() -> Known<Metal>,
    ) -> Result<(), Error> {
        let ranges = || burden.into_iter().flat_map(|burden| burden.of(fuse));
        if ranges().next().is_none() {
            return Ok(());
        }
        let known = metal().and_then(|metal| Ok((metal, self.voltage?)));
        for range in ranges() {
            let found = match known {
                Ok((metal, voltage)) => self.of_one(range, metal, voltage)?,
                Err(_) => None,
            };
            let open = ChassisGuard::new(self.name, Verdict::Open, None).judged;
            let judged = found.as_ref().map_or(open, |one| one.guard.judged);
            if worst.is_none_or(|known| rank(&judged) > rank(&known.judged)) {
                *worst = Some(WorstMetal {
                    at,
                    judged,
                    guarded: found.map(|one| one.guarded),
                });
            }
        }
        Ok(())
    }

    /// What one fuse leaves to it; `None` without a type of fuse. Open where it fails only as
    /// long as a bond that nobody knows counts as the worst one that is allowed.
    fn of_one(
        &self,
        range: &FaultRange,
        metal: Metal,
        voltage: Voltage,
    ) -> Result<Option<Protected>, Error> {
        let fuse = self.design.get(range.fuse).and_then(|fuse| fuse.part);
        let Some(part) = fuse.and_then(|part| self.design.get(part)) else {
            return Ok(None);
        };
        let curve = ClearingCurve::new(part, voltage, CURVE_TOLERANCE)?;
        // I of the metal is the share times I of the fuse, so its I2t that share squared.
        let stands = metal.stands.as_a2s() / (range.share * range.share);
        let volts = range.voltage.as_volts();
        let guarded = Guarded::Metal {
            withstand: CurrentSquaredTime::from_a2s(stands)?,
            lasting: None,
        };
        let judge = |least: Current| -> Result<Guard, Error> {
            let least = least.as_amperes();
            let drop = if volts > 0.0 {
                metal.ohms * range.share * least / volts
            } else {
                0.0
            };
            // In the middle of a shield that leads to chassis at both ends a quarter of it
            // is in the way. Each half carries less than all there; all is on the safe side.
            let drop = if metal.both_ends { 0.25 * drop } else { drop };
            let least = Current::from_amperes(least / (1.0 + drop))?;
            let (name, most) = (self.name, Some(range.most));
            judge_guarded(name, &curve, &guarded, Some(least), most)
        };
        let mut guard = judge(range.least)?;
        let mut guess = None;
        if guard.judged.verdict == Verdict::Fails
            && range.guessed_bond.is_some()
            && judge(range.least_known)?.judged.verdict != Verdict::Fails
        {
            guard.judged.verdict = Verdict::Open;
            guess = range.guessed_bond;
        }
        Ok(Some(Protected {
            guard,
            guarded,
            guess,
        }))
    }
}

/// What one fuse leaves to a strap or shield.
struct Protected {
    guard: Guard,
    guarded: Guarded<'static>,
    /// Where the bond is guessed for which alone it is open.
    guess: Option<Thing>,
}

/// For the worse of two: the verdict, then the share.
fn rank(judged: &Judged<FuseCheck>) -> (u8, f32) {
    (judged.verdict.rank(), judged.value.unwrap_or(f32::INFINITY))
}
