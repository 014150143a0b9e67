//! Which nominal section of a table a number means.

use crate::quantity::ConductorArea;

/// How far a number may be from a nominal section and still mean it.
///
/// Chosen by this project: wide enough for a value that went through a unit
/// conversion, far narrower than the gap between an American gauge and the metric
/// section nearest to it (300 kcmil is 152.0 mm2, 1.3 % above 150 mm2).
const TOLERANCE: f32 = 0.005;

/// Whether `asked` means the section `nominal`, both in mm2.
pub(crate) fn means(nominal: f32, asked: f32) -> bool {
    libm::fabsf(asked - nominal) <= TOLERANCE * nominal
}

/// The smallest of `sections` (ascending, mm2) above what `asked` means.
pub(crate) fn next_larger(
    mut sections: impl Iterator<Item = f32>,
    asked: ConductorArea,
) -> Option<ConductorArea> {
    let asked = asked.as_mm2();
    let found = sections.find(|&nominal| nominal > asked && !means(nominal, asked))?;
    ConductorArea::from_mm2(found).ok()
}

/// The largest of `sections` (ascending, mm2) below what `asked` means.
pub(crate) fn next_smaller(
    sections: impl Iterator<Item = f32>,
    asked: ConductorArea,
) -> Option<ConductorArea> {
    let asked = asked.as_mm2();
    let found = sections
        .take_while(|&nominal| nominal < asked && !means(nominal, asked))
        .last()?;
    ConductorArea::from_mm2(found).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SECTIONS: [f32; 3] = [50.0, 70.0, 95.0];

    fn mm2(value: f32) -> ConductorArea {
        ConductorArea::from_mm2(value).unwrap()
    }

    #[test]
    fn a_converted_value_means_its_nominal_and_a_gauge_does_not() {
        assert!(means(70.0, 70.3) && means(70.0, 69.7));
        assert!(!means(70.0, 67.43)); // 2/0 AWG
        assert!(!means(150.0, 152.01)); // 300 kcmil
        assert!(!means(70.0, f32::NAN));
    }

    #[test]
    fn neighbours_of_a_nominal_section_are_the_sections_beside_it() {
        let larger = |value| next_larger(SECTIONS.into_iter(), mm2(value));
        let smaller = |value| next_smaller(SECTIONS.into_iter(), mm2(value));
        for near_70 in [69.8, 70.0, 70.2] {
            assert_eq!(larger(near_70), Some(mm2(95.0)), "{near_70}");
            assert_eq!(smaller(near_70), Some(mm2(50.0)), "{near_70}");
        }
        assert_eq!(larger(67.43), Some(mm2(70.0)));
        assert_eq!(smaller(67.43), Some(mm2(50.0)));
        assert_eq!(larger(95.0), None);
        assert_eq!(smaller(50.0), None);
    }
}
