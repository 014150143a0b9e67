//! Coverage, section and resistance of a braid from how it is made.

use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, Length, LinearResistance, Resistivity, Share};
use crate::standard::SourceId;

/// How a braid is made.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[cfg_attr(feature = "serde", derive(serde::Serialize, serde::Deserialize))]
#[allow(clippy::exhaustive_structs)] // every input matters; a new one must be met
pub struct BraidBuild {
    /// Diameter under the braid.
    pub under: Length,
    /// Diameter of one strand.
    pub strand: Length,
    /// Carriers (spindles), both directions together.
    pub carriers: u8,
    /// Ends: strands side by side in one carrier.
    pub ends: u8,
    /// Lay: length along the cable of one turn of a carrier.
    pub lay: Length,
    /// Resistivity of the strands at 20 degC.
    pub resistivity: Resistivity,
}

impl BraidBuild {
    /// The same braid, so many times as large: it covers as much, its section grows with the
    /// square. For the braid of a thicker cable.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] beyond the bounds of a length; [`braid`] judges the rest.
    #[cfg(feature = "text")]
    pub(crate) fn scaled(&self, times: f32) -> Result<Self, Error> {
        let scaled = |length: Length| Length::from_metres(times * length.as_metres());
        Ok(Self {
            under: scaled(self.under)?,
            strand: scaled(self.strand)?,
            lay: scaled(self.lay)?,
            ..*self
        })
    }
}

/// What a braid is.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Braid {
    /// Share of the surface that the carriers of one direction fill.
    pub fill: Share,
    /// Share of the surface that both directions cover together.
    pub coverage: Share,
    /// Section of all strands, cut square to each.
    pub strand_area: ConductorArea,
    /// Resistance per metre of cable at 20 degC.
    pub resistance: LinearResistance,
}

impl Braid {
    /// Where the equations come from.
    pub const SOURCE: SourceId = SourceId::BraidCoverage;
}

/// Coverage, section and resistance of a braid.
///
/// Equations, with `Dm` the diameter under the braid and two strands, and `a` the
/// angle to the axis: `tan a = pi Dm / lay`, `F = C N d / (2 pi Dm cos a)`,
/// `K = 2 F - F2`, `R = rho / (C N pi d2/4 cos a)`. The
/// section is that of the strands cut square to each; that they run at an angle is
/// in the resistance.
///
/// # Errors
/// [`Error::OutOfRange`] for a length, a lay or a count outside its range;
/// [`Error::Inconsistent`] where one direction would fill the whole surface or
/// more: such a braid cannot be made.
///
/// Source: MIL-C-17 family of cable standards, as makers print it; worked example
/// seen.
pub fn braid(build: &BraidBuild) -> Result<Braid, Error> {
    let under = Bounded::BraidDiameter.check(build.under.as_metres())?;
    let strand = Bounded::Strand.check(build.strand.as_metres())?;
    let lay = Bounded::BraidLay.check(build.lay.as_metres())?;
    let carriers = Bounded::Carriers.check(f32::from(build.carriers))?;
    let ends = Bounded::Ends.check(f32::from(build.ends))?;
    let around = core::f32::consts::PI * (under + 2.0 * strand);
    let slope = around / lay;
    let per_cos = libm::sqrtf(1.0 + slope * slope);
    let strands = carriers * ends;
    let fill = strands * strand * per_cos / (2.0 * around);
    if fill >= 1.0 {
        return Err(Error::Inconsistent(Inconsistency::BraidOverfull));
    }
    let area_m2 = strands * core::f32::consts::FRAC_PI_4 * strand * strand;
    Ok(Braid {
        fill: Share::from_fraction(fill)?,
        coverage: Share::from_fraction(fill * (2.0 - fill))?,
        strand_area: ConductorArea::from_m2(area_m2)?,
        resistance: LinearResistance::from_ohm_per_m(
            build.resistivity.as_ohm_m() * per_cos / area_m2,
        )?,
    })
}

/// Fill of one direction that a coverage asks for: `F = 1 - sqrt(1 - K)`.
///
/// # Errors
/// [`Error::OutOfRange`] does not occur for a share.
pub fn fill_for_coverage(coverage: Share) -> Result<Share, Error> {
    Share::from_fraction(1.0 - libm::sqrtf(1.0 - coverage.as_fraction()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn build(under_mm: f32, strand_mm: f32, carriers: u8, ends: u8, lay_mm: f32) -> BraidBuild {
        BraidBuild {
            under: Length::from_mm(under_mm).unwrap(),
            strand: Length::from_mm(strand_mm).unwrap(),
            carriers,
            ends,
            lay: Length::from_mm(lay_mm).unwrap(),
            resistivity: Resistivity::from_ohm_m(1.7241e-8).unwrap(),
        }
    }

    #[test]
    fn two_braids_computed_independently() {
        // Double precision, tolerance 1e-6 (f32, six operations).
        for (made, fill, coverage, mm2, ohm) in [
            (
                build(11.81, 0.15, 24, 9, 40.0),
                0.587_659_3,
                0.829_975_1,
                3.817_035,
                6.233_628e-3,
            ),
            (
                build(6.0, 0.1, 16, 8, 22.0),
                0.438_852_6,
                0.685_113_5,
                1.005_309_6,
                2.290_566e-2,
            ),
        ] {
            let found = braid(&made).unwrap();
            assert!((found.fill.as_fraction() / fill - 1.0).abs() < 1e-6);
            assert!((found.coverage.as_fraction() / coverage - 1.0).abs() < 1e-6);
            assert!((found.strand_area.as_mm2() / mm2 - 1.0).abs() < 1e-6);
            assert!((found.resistance.as_ohm_per_m() / ohm - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn fills_for_printed_coverages() {
        // A maker's table (seen); 85 % is printed as 0.617, 0.004 off its own formula,
        // and tested against the formula. Half of the last digit elsewhere, one for 65 % and 70 %.
        for (percent, fill, digit) in [
            (60.0, 0.368, 0.0006),
            (65.0, 0.409, 0.001),
            (70.0, 0.453, 0.001),
            (75.0, 0.500, 0.0005),
            (80.0, 0.553, 0.0005),
            (85.0, 0.613, 0.0005),
        ] {
            let found = fill_for_coverage(Share::from_percent(percent).unwrap()).unwrap();
            assert!(
                (found.as_fraction() - fill).abs() < digit,
                "{percent}: {found:?}"
            );
        }
    }

    #[test]
    fn what_cannot_be_made_is_refused() {
        let overfull = braid(&build(6.0, 0.2, 24, 12, 22.0));
        assert_eq!(
            overfull,
            Err(Error::Inconsistent(Inconsistency::BraidOverfull))
        );
        assert!(braid(&build(6.0, 0.1, 0, 8, 22.0)).is_err());
        assert!(braid(&build(6.0, 0.0, 16, 8, 22.0)).is_err());
        assert!(braid(&build(6.0, 0.1, 16, 8, 0.0)).is_err());
    }

    proptest! {
        #[test]
        fn coverage_leads_back_to_its_fill(under in 3.0..30.0_f32, strand in 0.08..0.2_f32, ends in 3..12_u8, lay in 20.0..80.0_f32) {
            if let Ok(found) = braid(&build(under, strand, 24, ends, lay)) {
                let back = fill_for_coverage(found.coverage).unwrap();
                // sqrt(1 - K) near full coverage: error of K (1e-7) over 2 (1 - F).
                let loose = 1e-6 / (1.0 - found.fill.as_fraction()).max(1e-3);
                prop_assert!((back.as_fraction() - found.fill.as_fraction()).abs() < loose);
                prop_assert!(found.coverage.as_fraction() >= found.fill.as_fraction());
            }
        }
    }
}
