//! A cut through a surface as a builder writes it: `0 0; 5 0; 5 -3; 7 -3; 7 0; 12 0`.

use orangeloom_core::error::Error;
use orangeloom_core::insulation::{MAX_SURFACE_POINTS, Profile};

/// A surface, as entered.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct SurfaceCut {
    /// As it was written.
    pub written: String,
    /// The surface.
    pub profile: Profile,
}

/// Reads the points of a surface.
///
/// # Errors
/// One line: which point, what was read, what was expected.
pub(crate) fn read_surface(text: &str) -> Result<SurfaceCut, String> {
    let mut points: Vec<(f32, f32)> = Vec::new();
    let written = text.trim().trim_end_matches(';');
    for (number, part) in (1..).zip(written.split(';')) {
        let point = read_point(number, part.trim())?;
        if let Some(last) = points.last()
            && point.0 < last.0
        {
            return Err(format!(
                "point {number} lies at x = {} mm, to the left of the one before at {} mm: the \
                 points run from left to right and nothing is undercut",
                point.0, last.0
            ));
        }
        points.push(point);
    }
    if points.len() < 2 {
        return Err(format!(
            "{} point was read, at least 2 are needed: from the edge of one part to the edge of \
             the other, as \"0 0; 12 0\"",
            points.len()
        ));
    }
    match Profile::from_mm(&points) {
        Ok(profile) => Ok(SurfaceCut {
            written: written.to_owned(),
            profile,
        }),
        Err(Error::Capacity(_)) => Err(format!(
            "{} points were read, at most {MAX_SURFACE_POINTS} fit: leave out grooves and ribs; \
             what is left out of a surface only shortens the path",
            points.len()
        )),
        Err(error) => Err(error.to_string()),
    }
}

fn read_point(number: usize, text: &str) -> Result<(f32, f32), String> {
    const HOW: &str = "write x and y in mm without unit, a space between them, points for \
                       decimals and a semicolon between points, as \"0 0; 5 0; 5 -3\"";
    /// Largest coordinate in mm, far beyond any insulator of a vehicle.
    const LARGEST: f32 = 10_000.0;
    let words: Vec<&str> = text.split_whitespace().collect();
    let &[x, y] = words.as_slice() else {
        return Err(format!(
            "point {number} is \"{text}\", two numbers were expected: {HOW}"
        ));
    };
    let coordinate = |word: &str| match word.parse::<f32>() {
        Ok(value) if value.is_finite() && value.abs() <= LARGEST => Ok(value),
        Ok(value) if value.is_finite() => Err(format!(
            "point {number} has {word} mm, accepted is -{LARGEST} to {LARGEST} mm"
        )),
        _ => Err(format!(
            "point {number} has \"{word}\", a number was expected: {HOW}"
        )),
    };
    Ok((coordinate(x)?, coordinate(y)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use orangeloom_core::quantity::Length;

    fn paths(text: &str) -> [f32; 2] {
        let profile = read_surface(text).unwrap().profile;
        let x = Length::from_mm(1.5).unwrap();
        [
            profile.creepage_path(x).unwrap().as_mm(),
            profile.surface_path().unwrap().as_mm(),
        ]
    }

    // IEC 60664-1, 6.2, from memory: a groove at least X wide is followed, a narrower
    // one is bridged. Widths 2 mm and 1 mm against X = 1.5 mm. Tolerance: f32.
    #[test]
    fn a_wide_groove_counts_and_a_narrow_one_does_not() {
        let [wide, surface] = paths("0 0; 5 0; 5 -3; 7 -3; 7 0; 12 0");
        assert!((wide - 18.0).abs() < 1e-4, "{wide}");
        assert!((surface - 18.0).abs() < 1e-4);
        let [narrow, surface] = paths("0 0; 5 0; 5 -3; 6 -3; 6 0; 12 0;");
        assert!((narrow - 12.0).abs() < 1e-4, "{narrow}");
        assert!((surface - 18.0).abs() < 1e-4);
    }

    #[test]
    fn each_slip_is_told_with_its_point() {
        for (text, expected) in [
            ("", "point 1 is \"\", two numbers"),
            ("0 0", "1 point was read"),
            ("0 0; 5", "point 2 is \"5\""),
            ("0,5 0; 5 0", "point 1 has \"0,5\""),
            ("0 0; 5 0 mm", "point 2 is \"5 0 mm\""),
            ("0 0; nan 0", "point 2 has \"nan\""),
            ("0 0; inf 0", "point 2 has \"inf\""),
            ("0 0; 5 0; 4 1", "point 3 lies at x = 4 mm"),
            ("0 0; 20000 0", "point 2 has 20000 mm"),
        ] {
            let message = read_surface(text).unwrap_err();
            assert!(message.starts_with(expected), "{text:?}: {message}");
        }
        let many: Vec<String> = (0..31).map(|x| format!("{x} 0")).collect();
        let message = read_surface(&many.join(";")).unwrap_err();
        assert!(
            message.starts_with("31 points were read, at most 30"),
            "{message}"
        );
    }
}
