//! One piece of a route as a builder writes it: `tube 1.2 m at 105 degC`.

use orangeloom_core::conductor::installation::{InTube, Installation, Tube};
use orangeloom_core::quantity::{Length, Temperature};
use orangeloom_core::standard::iec60287::Tube as TubeMaterial;

use crate::quantity_text::parse;

/// One piece of the route, as entered.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct RoutePiece {
    /// As it was written.
    pub written: String,
    /// What is around the conductor.
    pub installation: Installation,
    /// Length one way; may be left out when the whole length is stated elsewhere.
    pub length: Option<Length>,
    /// Air here.
    pub air: Option<Temperature>,
    /// Surfaces here.
    pub radiant: Option<Temperature>,
    /// Loaded circuits in the bundle.
    pub circuits: u8,
}

/// Ways to lay a conductor, each with its spellings; the longest match counts.
const WHERE: [(&str, Place); 17] = [
    ("free air", Place::Free),
    ("free", Place::Free),
    ("air", Place::Free),
    ("touching pair", Place::Pair),
    ("pair in tube", Place::Tube(InTube::Pair)),
    ("pair in sleeve", Place::Tube(InTube::Pair)),
    ("tube pair", Place::Tube(InTube::Pair)),
    ("sleeve pair", Place::Tube(InTube::Pair)),
    ("pair", Place::Pair),
    ("against panel", Place::Panel),
    ("along panel", Place::Panel),
    ("panel", Place::Panel),
    ("closed tube", Place::Tube(InTube::One)),
    ("tube", Place::Tube(InTube::One)),
    ("sleeve", Place::Tube(InTube::One)),
    ("conduit", Place::Tube(InTube::One)),
    ("closed sleeve", Place::Tube(InTube::One)),
];

#[derive(Clone, Copy, Debug, PartialEq)]
enum Place {
    Free,
    Pair,
    Panel,
    Tube(InTube),
}

/// Words that begin a further statement.
const KEYWORDS: [&str; 8] = [
    "at", "facing", "with", "inside", "outside", "metal", "fibre", "plastic",
];

/// Reads one piece of a route.
///
/// # Errors
/// One line: what was read, what was expected.
pub(crate) fn read_piece(text: &str) -> Result<RoutePiece, String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let (place, taken) = read_place(text, &words)?;
    let mut rest = words.get(taken..).unwrap_or_default();
    let length_text = until_keyword(&mut rest);
    let length = match length_text.as_str() {
        "" => None,
        written => Some(part::<Length>(text, written)?),
    };
    let mut piece = RoutePiece {
        written: text.trim().to_owned(),
        installation: match place {
            Place::Free => Installation::FreeAir,
            Place::Pair => Installation::TouchingPair,
            Place::Panel => Installation::AgainstPanel,
            Place::Tube(fill) => Installation::ClosedTube(fill, None),
        },
        length,
        air: None,
        radiant: None,
        circuits: 1,
    };
    let mut tube = TubeText::default();
    while let Some((keyword, after)) = rest.split_first() {
        rest = after;
        let value = until_keyword(&mut rest);
        match keyword.to_ascii_lowercase().as_str() {
            "at" => set(text, keyword, &mut piece.air, part(text, &value)?)?,
            "facing" => set(text, keyword, &mut piece.radiant, part(text, &value)?)?,
            "with" => piece.circuits = circuits(text, &value)?,
            "inside" => set(text, keyword, &mut tube.inside, part(text, &value)?)?,
            "outside" => set(text, keyword, &mut tube.outside, part(text, &value)?)?,
            material => set(
                text,
                keyword,
                &mut tube.material,
                tube_material(text, material, &value)?,
            )?,
        }
    }
    if let Place::Tube(fill) = place {
        piece.installation = Installation::ClosedTube(fill, tube.build(text)?);
    } else if tube != TubeText::default() {
        return Err(format!(
            "\"{text}\": inside, outside, metal, fibre and plastic describe a tube, and this is none"
        ));
    }
    Ok(piece)
}

/// What was said about a tube.
#[derive(Debug, Default, PartialEq)]
struct TubeText {
    inside: Option<Length>,
    outside: Option<Length>,
    material: Option<TubeMaterial>,
}

impl TubeText {
    /// The tube, when its size is known; fibre when the material is not said, since its
    /// constants are the safe ones.
    fn build(self, text: &str) -> Result<Option<Tube>, String> {
        let (inner, outer) = match (self.inside, self.outside) {
            (None, None) if self.material.is_none() => return Ok(None),
            (Some(inner), Some(outer)) => (inner, outer),
            _ => {
                return Err(format!(
                    "\"{text}\": a tube of known size needs both, as \"inside 32 mm outside 40 mm\""
                ));
            }
        };
        if inner >= outer {
            return Err(format!(
                "\"{text}\": the tube's inside is not smaller than its outside: are they swapped"
            ));
        }
        let material = self.material.unwrap_or(TubeMaterial::FibreInAir);
        let tube = Tube::of_material(material, inner, outer);
        tube.map(Some)
            .map_err(|error| format!("\"{text}\": {error}"))
    }
}

/// The longest spelling that the words begin with, and how many words it takes.
fn read_place(text: &str, words: &[&str]) -> Result<(Place, usize), String> {
    let spoken: Vec<String> = words
        .iter()
        .map(|word| {
            word.to_ascii_lowercase()
                .replace(['-', '_', ':', ','], " ")
                .trim()
                .to_owned()
        })
        .collect();
    let mut best: Option<(Place, usize)> = None;
    for (spelling, place) in WHERE {
        for count in 1..=3_usize.min(spoken.len()) {
            let joined = spoken.get(..count).unwrap_or_default().join(" ");
            if joined == spelling && best.is_none_or(|(_, most)| count >= most) {
                best = Some((place, count));
            }
        }
    }
    best.ok_or_else(|| {
        format!(
            "\"{text}\" does not begin with a way to lay a cable: free air, pair, panel, tube \
             or pair in tube, then the length (as \"tube 1.2 m at 105 degC\")"
        )
    })
}

/// Takes words up to the next keyword.
fn until_keyword(rest: &mut &[&str]) -> String {
    let end = rest
        .iter()
        .position(|word| KEYWORDS.contains(&word.to_ascii_lowercase().as_str()))
        .unwrap_or(rest.len());
    let (value, after) = rest.split_at(end);
    *rest = after;
    value.join(" ")
}

fn part<Q: crate::quantity_text::FromText>(text: &str, value: &str) -> Result<Q, String> {
    parse(value).map_err(|error| format!("\"{text}\": {error}"))
}

fn set<T>(text: &str, keyword: &str, place: &mut Option<T>, value: T) -> Result<(), String> {
    if place.is_some() {
        return Err(format!(
            "\"{text}\" says {keyword} twice, or two materials: leave one out"
        ));
    }
    *place = Some(value);
    Ok(())
}

fn circuits(text: &str, value: &str) -> Result<u8, String> {
    let number = value
        .trim_end_matches("circuits")
        .trim_end_matches("circuit")
        .trim();
    match number.parse::<u8>() {
        Ok(count @ 1..=20) => Ok(count),
        _ => Err(format!(
            "\"{text}\": \"with {value}\" is not a number of loaded circuits from 1 to 20, \
             this one included (as \"with 3 circuits\")"
        )),
    }
}

fn tube_material(text: &str, word: &str, extra: &str) -> Result<TubeMaterial, String> {
    if !extra.is_empty() {
        return Err(format!(
            "\"{text}\": \"{extra}\" after {word} is not understood"
        ));
    }
    Ok(match word {
        "metal" => TubeMaterial::Metallic,
        "plastic" => TubeMaterial::Plastic,
        _ => TubeMaterial::FibreInAir,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn piece(text: &str) -> RoutePiece {
        read_piece(text).unwrap_or_else(|error| panic!("{error}"))
    }

    #[test]
    fn where_and_length() {
        for (text, installation, metres) in [
            ("free air 2 m", Installation::FreeAir, 2.0),
            ("free-air 2m", Installation::FreeAir, 2.0),
            ("Pair: 4.5 ft", Installation::TouchingPair, 1.3716),
            (
                "touching pair, 13 ft 6 in",
                Installation::TouchingPair,
                4.1148,
            ),
            ("panel 0.9 m", Installation::AgainstPanel, 0.9),
            (
                "tube 1.2 m",
                Installation::ClosedTube(InTube::One, None),
                1.2,
            ),
            (
                "sleeve 120 cm",
                Installation::ClosedTube(InTube::One, None),
                1.2,
            ),
            (
                "pair in tube 1.2 m",
                Installation::ClosedTube(InTube::Pair, None),
                1.2,
            ),
        ] {
            let read = piece(text);
            assert_eq!(read.installation, installation, "{text}");
            let length = read.length.unwrap().as_metres();
            assert!((length - metres).abs() < 1e-5, "{text}: {length}");
        }
        assert_eq!(piece("free air").length, None);
    }

    #[test]
    fn everything_that_can_be_said_about_a_piece() {
        let read = piece(
            "tube 1.2 m at 105 degC facing 150 degC with 3 circuits inside 32 mm outside 40 mm plastic",
        );
        assert_eq!(read.air, Temperature::from_degc(105.0).ok());
        assert_eq!(read.radiant, Temperature::from_degc(150.0).ok());
        assert_eq!(read.circuits, 3);
        let Installation::ClosedTube(InTube::One, Some(tube)) = read.installation else {
            panic!("{:?}", read.installation);
        };
        assert_eq!(tube.material, TubeMaterial::Plastic);
        assert!((tube.inner.as_mm() - 32.0).abs() < 1e-3);
    }

    #[test]
    fn what_is_not_understood_is_named() {
        for (text, part) in [
            ("", "does not begin with a way to lay"),
            ("2 m free air", "does not begin with a way to lay"),
            ("tray 2 m", "does not begin with a way to lay"),
            ("free air 2 V", "is a voltage"),
            ("free air 2", "has no unit"),
            ("pair 2 m at 85", "has no unit"),
            ("pair 2 m at", "nothing was entered"),
            ("pair 2 m with 0 circuits", "from 1 to 20"),
            ("pair 2 m with 21", "from 1 to 20"),
            ("pair 2 m with many circuits", "from 1 to 20"),
            ("pair 2 m inside 32 mm outside 40 mm", "this is none"),
            ("tube 2 m inside 32 mm", "needs both"),
            ("tube 2 m metal", "needs both"),
            ("tube 2 m inside 34 mm outside 30 mm", "are they swapped"),
            ("pair 2 m at 85 degC at 90 degC", "twice"),
        ] {
            let error = read_piece(text).expect_err(text);
            assert!(error.contains(part), "{text}: {error}");
        }
    }
}
