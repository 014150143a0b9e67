//! Conductors of road-vehicle cables.
//!
//! ISO 6722-1:2011, conductor table, whose values ISO 19642 keeps: largest
//! resistance at 20 degC and largest conductor diameter. **All from memory**; only
//! some cells were ever seen and it is not recorded which. Check the cable maker's
//! sheet before relying on a single cell.
//!
//! Validity: copper, 0.13 mm2 to 120 mm2. The resistance is a limit, printed in
//! milliohm per metre, which is ohm per kilometre. Never interpolated.

use super::{SourceId, metal::Metal, nominal};
use crate::error::{Error, Inconsistency};
use crate::quantity::{ConductorArea, Length, LinearResistance};

/// One line of the conductor table, as printed.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct ConductorRow {
    /// ISO conductor size in mm2.
    pub section_mm2: f32,
    /// Largest resistance of bare copper at 20 degC in milliohm/m.
    pub bare_mohm_per_m: f32,
    /// The same for tinned copper.
    pub tinned_mohm_per_m: Option<f32>,
    /// Largest conductor diameter in mm.
    pub diameter_mm: f32,
}

const fn row(section_mm2: f32, bare: f32, tinned: Option<f32>, diameter_mm: f32) -> ConductorRow {
    ConductorRow {
        section_mm2,
        bare_mohm_per_m: bare,
        tinned_mohm_per_m: tinned,
        diameter_mm,
    }
}

/// Source of every value in this file.
pub const SOURCE: SourceId = SourceId::Iso6722;

/// The conductor table; sections ascend.
#[allow(clippy::approx_constant)] // 3.14 milliohm/m at 6 mm2 is not pi
pub const CONDUCTORS: [ConductorRow; 28] = [
    row(0.13, 136.0, None, 0.55),
    row(0.22, 84.4, Some(86.5), 0.7),
    row(0.35, 54.4, Some(55.5), 0.9),
    row(0.5, 37.1, Some(38.2), 1.1),
    row(0.75, 24.7, Some(25.4), 1.3),
    row(1.0, 18.5, Some(19.1), 1.5),
    row(1.25, 14.9, Some(15.9), 1.7),
    row(1.5, 12.7, Some(13.0), 1.8),
    row(2.0, 9.42, Some(9.69), 2.0),
    row(2.5, 7.6, Some(7.82), 2.2),
    row(3.0, 6.15, Some(6.36), 2.4),
    row(4.0, 4.71, Some(4.85), 2.8),
    row(5.0, 3.94, Some(4.02), 3.1),
    row(6.0, 3.14, Some(3.23), 3.4),
    row(8.0, 2.38, Some(2.52), 4.3),
    row(10.0, 1.82, Some(1.85), 4.5),
    row(12.0, 1.52, Some(1.6), 5.4),
    row(16.0, 1.16, Some(1.18), 5.8),
    row(20.0, 0.955, Some(0.999), 6.9),
    row(25.0, 0.743, Some(0.757), 7.2),
    row(30.0, 0.647, Some(0.684), 8.3),
    row(35.0, 0.527, Some(0.538), 8.5),
    row(40.0, 0.473, Some(0.5), 9.6),
    row(50.0, 0.368, Some(0.375), 10.5),
    row(60.0, 0.315, Some(0.333), 11.6),
    row(70.0, 0.259, Some(0.264), 12.5),
    row(95.0, 0.196, Some(0.2), 14.8),
    row(120.0, 0.153, Some(0.156), 16.5),
];

fn find(section: ConductorArea) -> Result<&'static ConductorRow, Error> {
    const TABLE: &[ConductorRow] = &CONDUCTORS;
    let asked = section.as_mm2();
    TABLE
        .iter()
        .find(|row| nominal::means(row.section_mm2, asked))
        .ok_or(Error::NotInTable {
            table: SOURCE,
            value: asked,
        })
}

/// Largest resistance per length at 20 degC of an ISO conductor size, within
/// 0.5 % of nominal.
///
/// # Errors
/// [`Error::NotInTable`] for any other section and for tinned 0.13 mm2,
/// [`Inconsistency::MaterialNotInTable`] for aluminium.
pub fn resistance_20(metal: Metal, section: ConductorArea) -> Result<LinearResistance, Error> {
    let row = find(section)?;
    let printed = match metal {
        Metal::Copper => row.bare_mohm_per_m,
        Metal::TinnedCopper => row.tinned_mohm_per_m.ok_or(Error::NotInTable {
            table: SOURCE,
            value: section.as_mm2(),
        })?,
        Metal::Aluminium => return Err(Error::Inconsistent(Inconsistency::MaterialNotInTable)),
    };
    LinearResistance::from_ohm_per_km(printed)
}

/// Largest conductor diameter of an ISO conductor size, within 0.5 % of nominal.
///
/// # Errors
/// [`Error::NotInTable`] for any other section.
pub fn conductor_diameter(section: ConductorArea) -> Result<Length, Error> {
    Length::from_mm(find(section)?.diameter_mm)
}

/// ISO conductor sizes in ascending order.
pub fn sections() -> impl Iterator<Item = ConductorArea> {
    CONDUCTORS
        .into_iter()
        .filter_map(|row| ConductorArea::from_mm2(row.section_mm2).ok())
}

/// The ISO conductor size above `section`; absent above the largest. A section
/// within 0.5 % of a size counts as that size.
pub fn next_larger(section: ConductorArea) -> Option<ConductorArea> {
    nominal::next_larger(CONDUCTORS.iter().map(|row| row.section_mm2), section)
}

/// The ISO conductor size below `section`; absent below the smallest. A section
/// within 0.5 % of a size counts as that size.
pub fn next_smaller(section: ConductorArea) -> Option<ConductorArea> {
    nominal::next_smaller(CONDUCTORS.iter().map(|row| row.section_mm2), section)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_run_the_way_physics_runs() {
        for pair in CONDUCTORS.windows(2) {
            assert!(pair[0].section_mm2 < pair[1].section_mm2, "{pair:?}");
            assert!(
                pair[0].bare_mohm_per_m > pair[1].bare_mohm_per_m,
                "{pair:?}"
            );
            assert!(pair[0].diameter_mm < pair[1].diameter_mm, "{pair:?}");
        }
        for row in CONDUCTORS {
            assert!(
                row.tinned_mohm_per_m
                    .is_none_or(|tinned| tinned > row.bare_mohm_per_m),
                "{row:?}"
            );
            // The metal fits into the circle.
            let circle = core::f32::consts::FRAC_PI_4 * row.diameter_mm * row.diameter_mm;
            assert!(row.section_mm2 < circle, "{row:?}");
        }
        assert_eq!(sections().count(), CONDUCTORS.len());
    }

    #[test]
    fn milliohm_per_metre_is_ohm_per_kilometre() {
        // ISO 6722-1:2011, from memory.
        let size = ConductorArea::from_mm2(50.0).unwrap();
        let value = resistance_20(Metal::Copper, size).unwrap();
        assert!((value.as_ohm_per_m() - 0.368e-3).abs() < 1e-9);
        assert!((conductor_diameter(size).unwrap().as_mm() - 10.5).abs() < 1e-5);
    }

    #[test]
    fn what_the_table_lacks_is_refused() {
        let size = |mm2| ConductorArea::from_mm2(mm2).unwrap();
        assert!(resistance_20(Metal::TinnedCopper, size(0.13)).is_err());
        assert!(resistance_20(Metal::Copper, size(150.0)).is_err());
        assert_eq!(
            resistance_20(Metal::Aluminium, size(50.0)),
            Err(Error::Inconsistent(Inconsistency::MaterialNotInTable))
        );
    }
}
