//! Whether a fuse clears before those upstream of it melt.

use super::burden::FaultBurdens;
use crate::design::{Design, FuseId, FuseType, Gap};
use crate::protection::{CURVE_TOLERANCE, FuseCheck, SELECTIVE_SHARE, judge_selectivity};
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
    /// Total I2t of the lower one against the share of the melting I2t of the upper one.
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
/// The upper one is taken to carry as much as the lower one: of several strings in
/// parallel each carries less and melts later. Where it carries more in some fault, both
/// checks are open at best.
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
    let (share, tolerance) = (SELECTIVE_SHARE, CURVE_TOLERANCE);
    judge_selectivity(branch?, main?, voltage, largest, share, tolerance)
        .map_err(Unknown::refused(lower))
}
