//! What makes a way long enough that is too short: a barrier in the air, a groove or rib in
//! the surface.

use crate::error::Error;
use crate::quantity::Length;

/// Computes: how high a thin barrier half-way between two parts has to stand above the
/// straight way, so that the way around its edge is long enough.
///
/// Equation: h = sqrt(d^2 - s^2) / 2, from the two straight ways 2 sqrt((s/2)^2 + h^2) = d.
/// Inputs: required way d, straight way s as built. Result: zero where the straight way is
/// long enough. Source: geometry. Validity: a barrier that is flashed over by nothing
/// shorter, thin beside the way.
///
/// # Errors
/// As [`Length::from_metres`].
pub fn barrier_height(required: Length, built: Length) -> Result<Length, Error> {
    let (way, straight) = (required.as_metres(), built.as_metres());
    let square = libm::fmaxf(way * way - straight * straight, 0.0);
    Length::from_metres(0.5 * libm::sqrtf(square))
}

/// Computes: how deep a groove, or how high a rib, adds what a way over a surface lacks:
/// half of it, since it is gone down and up.
///
/// Inputs: required way, way as built. Result: zero where that is long enough. Source:
/// geometry. Validity: a groove that is wide enough to count, a rib that is joined without
/// a gap.
///
/// # Errors
/// As [`Length::from_metres`].
pub fn groove_depth(required: Length, built: Length) -> Result<Length, Error> {
    let missing = libm::fmaxf(required.as_metres() - built.as_metres(), 0.0);
    Length::from_metres(0.5 * missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mm(length: f32) -> Length {
        Length::from_mm(length).unwrap()
    }

    #[test]
    fn the_way_around_a_barrier_is_as_long_as_required() {
        // 3-4-5: half of 6 mm along and 4 mm up are 5 mm, twice.
        let height = barrier_height(mm(10.0), mm(6.0)).unwrap();
        assert!((height.as_mm() - 4.0).abs() < 1e-4);
        let none = barrier_height(mm(6.0), mm(10.0)).unwrap();
        assert!(none.as_mm() <= 0.0);
    }

    #[test]
    fn a_groove_is_gone_down_and_up() {
        let depth = groove_depth(mm(8.0), mm(5.0)).unwrap();
        assert!((depth.as_mm() - 1.5).abs() < 1e-4);
        assert!(groove_depth(mm(5.0), mm(8.0)).unwrap().as_mm() <= 0.0);
    }
}
