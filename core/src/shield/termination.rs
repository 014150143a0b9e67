//! How a shield ends: cut-back, pigtail, continuity.

use crate::error::Error;
use crate::quantity::{Inductance, Length, LinearResistance, Resistance};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side};

/// A check of how a shield ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(
    feature = "serde",
    derive(serde::Serialize),
    serde(rename_all = "kebab-case")
)]
#[repr(u8)]
#[allow(clippy::exhaustive_enums)] // these three
pub enum TerminationCheck {
    /// From the edge of the shield to the bare conductor, in mm.
    CutBack,
    /// Length of a pigtail, in mm.
    Pigtail,
    /// Resistance from end to end, in ohm.
    Continuity,
}

/// Longest pigtail where a round contact is not possible, in mm; common practice.
pub const LONGEST_PIGTAIL_MM: f32 = 25.0;

/// Resistance of both contacts of a shield together, in ohm; common practice.
pub const SHIELD_CONTACTS_OHM: f32 = 0.010;

/// Judges the cut-back against the creepage distance to the conductor, as
/// [`crate::insulation::spacing`] asks for it; open where it was not measured.
pub fn judge_cut_back(cut_back: Option<Length>, creepage: Length) -> Judged<TerminationCheck> {
    judge(
        TerminationCheck::CutBack,
        cut_back.map(Length::as_mm),
        Side::AtLeast,
        creepage.as_mm(),
        SourceId::Iec60664Creepage,
    )
}

/// Judges the length of a pigtail; zero for a round contact, open where not known.
pub fn judge_pigtail(pigtail: Option<Length>) -> Judged<TerminationCheck> {
    judge(
        TerminationCheck::Pigtail,
        pigtail.map(Length::as_mm),
        Side::AtMost,
        LONGEST_PIGTAIL_MM,
        SourceId::CommonPractice,
    )
}

/// Judges the resistance of a shield from end to end: at most twice that of the
/// braid, and 10 mohm for its contacts; open where it was not measured.
///
/// # Errors
/// [`Error::OutOfRange`] for a product beyond the bounds of a resistance.
pub fn judge_continuity(
    measured: Option<Resistance>,
    braid: LinearResistance,
    length: Length,
) -> Result<Judged<TerminationCheck>, Error> {
    let limit = 2.0 * (braid * length)?.as_ohms() + SHIELD_CONTACTS_OHM;
    Ok(judge(
        TerminationCheck::Continuity,
        measured.map(Resistance::as_ohms),
        Side::AtMost,
        limit,
        SourceId::CommonPractice,
    ))
}

/// Inductance that a pigtail puts in series with the shield: about 1 nH for each
/// mm of thin wire; common practice, no source.
///
/// # Errors
/// [`Error::OutOfRange`] does not occur for a length within its bounds.
pub fn pigtail_inductance(pigtail: Length) -> Result<Inductance, Error> {
    Inductance::from_henries(pigtail.as_mm() * 1.0e-9)
}

fn judge(
    name: TerminationCheck,
    value: Option<f32>,
    side: Side,
    limit: f32,
    source: SourceId,
) -> Judged<TerminationCheck> {
    match value {
        Some(value) => Judged::compare(name, value, side, limit, source),
        None => Judged::open(name, None, side, Some(limit), source),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Verdict;

    fn mm(mm: f32) -> Length {
        Length::from_mm(mm).unwrap()
    }

    #[test]
    fn a_cut_back_reaches_the_creepage_distance() {
        assert_eq!(
            judge_cut_back(Some(mm(12.5)), mm(12.5)).verdict,
            Verdict::Holds
        );
        assert_eq!(
            judge_cut_back(Some(mm(12.0)), mm(12.5)).verdict,
            Verdict::Fails
        );
        assert_eq!(judge_cut_back(None, mm(12.5)).verdict, Verdict::Open);
    }

    #[test]
    fn a_pigtail_is_short_or_absent() {
        assert_eq!(judge_pigtail(Some(mm(0.0))).verdict, Verdict::Holds);
        assert_eq!(judge_pigtail(Some(mm(26.0))).verdict, Verdict::Fails);
        assert_eq!(judge_pigtail(None).verdict, Verdict::Open);
        let extra = pigtail_inductance(mm(25.0)).unwrap();
        assert!((extra.as_henries() - 25.0e-9).abs() < 1e-14);
    }

    #[test]
    fn continuity_allows_twice_the_braid_and_its_contacts() {
        let braid = LinearResistance::from_ohm_per_m(6.0e-3).unwrap();
        let judged = |ohms: Option<f32>| {
            let measured = ohms.map(|ohms| Resistance::from_ohms(ohms).unwrap());
            judge_continuity(measured, braid, mm(2000.0))
                .unwrap()
                .verdict
        };
        // 2 x 12 mohm + 10 mohm = 34 mohm.
        assert_eq!(judged(Some(0.0339)), Verdict::Holds);
        assert_eq!(judged(Some(0.0341)), Verdict::Fails);
        assert_eq!(judged(None), Verdict::Open);
    }
}
