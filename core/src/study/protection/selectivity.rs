//! Whether a fuse clears before those upstream of it melt.

use super::burden::FaultBurdens;
use crate::design::{Battery, Design, FuseId, FuseType, Gap, Resisting, System};
use crate::protection::{CURVE_TOLERANCE, FuseCheck, SELECTIVE_SHARE, judge_selectivity};
use crate::quantity::{Resistance, Share};
use crate::standard::SourceId;
use crate::study::unknown::{Known, Unknown, entry};
use crate::study::whole::Study;
use crate::verdict::{Judged, Side, Verdict};

/// A fuse and one upstream of it.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Selectivity {
    /// The fuse nearer to the fault.
    pub lower: FuseId,
    /// The fuse upstream of it, see [`FaultBurdens::upstream`].
    pub upper: FuseId,
    /// What the upper one carries of the total I2t of the lower one against the share of its
    /// melting I2t.
    pub by_i2t: Judged<FuseCheck>,
    /// Clearing time of the lower one over the melting time of the upper one, at the worst
    /// current.
    pub by_time: Judged<FuseCheck>,
    /// Why neither could be judged.
    pub because: Option<Unknown>,
}

impl Selectivity {
    /// The worse of both.
    pub const fn verdict(&self) -> Verdict {
        self.by_i2t.verdict.worse(self.by_time.verdict)
    }
}

/// Judges a fuse against one upstream of it, at the highest voltage of the pack, up to
/// the largest current that faults send through the lower one.
///
/// Of several strings in parallel the fuse of each carries its part only and melts later:
/// both checks take the largest part of all faults, see `uneven`, in the phase that the
/// fault study looks at. **Left out**: while a string is switched off, the others carry all,
/// and their fuses may melt with the lower one. Where the upper one carries more than the
/// lower one in some fault, both checks are open at best.
pub fn selectivity_of(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    lower: FuseId,
    upper: FuseId,
) -> Selectivity {
    let judged = judge(design, study, burdens, [lower, upper]);
    let open = |name| Judged::open(name, None, Side::AtMost, None, SourceId::FuseSelectivity);
    let [by_i2t, by_time] = judged.unwrap_or([
        open(FuseCheck::SelectivityI2t),
        open(FuseCheck::SelectivityTime),
    ]);
    let alike = !burdens.carries_more(upper, lower);
    let doubted = |judged: Judged<FuseCheck>| match judged.verdict {
        Verdict::Holds if !alike => Judged {
            verdict: Verdict::Open,
            ..judged
        },
        _ => judged,
    };
    Selectivity {
        lower,
        upper,
        by_i2t: doubted(by_i2t),
        by_time: doubted(by_time),
        because: judged.err(),
    }
}

fn judge(
    design: &Design,
    study: &Study,
    burdens: &FaultBurdens,
    [lower, upper]: [FuseId; 2],
) -> Known<[Judged<FuseCheck>; 2]> {
    let [branch, main] = [lower, upper].map(|id| -> Known<&FuseType> {
        let part = entry(design, id)?.part;
        entry(design, part.ok_or(Unknown::missing(id, Gap::FuseType))?)
    });
    let voltage = study.pack.highest_voltage?;
    let largest = burdens.fuse(lower).and_then(|burden| burden.largest);
    let refused = Unknown::refused(lower);
    let carried = uneven(burdens.carried(lower, upper), unlike(design));
    let carried = Share::from_fraction(carried).map_err(&refused)?;
    let (share, tolerance) = (SELECTIVE_SHARE, CURVE_TOLERANCE);
    judge_selectivity(branch?, main?, voltage, largest, carried, share, tolerance).map_err(refused)
}

/// The largest part that one string takes when its resistance is the lowest and that of all
/// others the highest: with a share s between equal ones and a quotient q of the
/// resistances s / (s + (1 - s) / q). On the safe side: their cables do not spread.
fn uneven(share: f32, unlike: f32) -> f32 {
    let others = (1.0 - share) / unlike;
    libm::fminf(share / (share + others), 1.0)
}

/// How many times the lowest resistance of a traction battery its highest is; infinite
/// where one is not known.
fn unlike(design: &Design) -> f32 {
    let traction = design.all::<Battery>();
    let traction = traction.filter(|(_, one)| one.system == System::Traction);
    let quotient = |battery: &Battery| {
        let ohms = |resisting| {
            let resistance = battery.resistance(resisting).ok().flatten();
            resistance.map(Resistance::as_ohms)
        };
        let (most, least) = ohms(Resisting::Highest).zip(ohms(Resisting::Lowest))?;
        let quotient = most / least;
        (quotient >= 1.0).then_some(quotient)
    };
    traction
        .map(|(_, one)| quotient(one).unwrap_or(f32::INFINITY))
        .fold(1.0, libm::fmaxf)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: two strings of 40 and 60 mohm share 60 to 40 %; three of 40, 60 and 60 mohm
    /// 3 : 2 : 2; alone it is all, and of strings that nobody knows one may take all.
    #[test]
    fn the_string_of_the_lowest_resistance_takes_the_most() {
        for (share, unlike, expected) in [
            (0.5, 1.5, 0.6),
            (1.0 / 3.0, 1.5, 3.0 / 7.0),
            (1.0, 1.5, 1.0),
            (0.5, 1.0, 0.5),
            (0.5, f32::INFINITY, 1.0),
        ] {
            let found = uneven(share, unlike);
            assert!((found - expected).abs() < 1e-6, "{share} {unlike}: {found}");
        }
    }
}
