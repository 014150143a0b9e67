//! A standing load as people write it: `"0.8 A"`, `"33 kohm"`, `"200 W from 150 V"`.

use orangeloom_core::design::Draw;
use orangeloom_core::link::StandingLoad;
use orangeloom_core::quantity::{Current, Power, Resistance, Voltage};

use crate::quantity_text::{Problem, TextError, ToText, Units, parse};

const FORMS: &str = "a standing load is a current, a resistance or a constant power, with the \
                     voltage from which it draws: \"0.8 A\", \"33 kohm\", \"0.8 A from 150 V\", \
                     \"200 W from 150 V\"";

/// Reads one load.
pub(crate) fn read_load(text: &str) -> Result<StandingLoad, String> {
    let (drawn, from) = match text.split_once(" from ") {
        Some((drawn, from)) => (drawn, Some(from)),
        None => (text, None),
    };
    let draw = read_draw(drawn.trim())?;
    let from = match from {
        Some(from) => parse::<Voltage>(from.trim()).map_err(|error| error.to_string())?,
        None => Voltage::from_volts(0.0).map_err(|error| error.to_string())?,
    };
    if from.as_volts() < 0.0 {
        return Err(format!("\"{text}\" draws from below zero; {FORMS}"));
    }
    match draw {
        _ if draw.delivers() => Err(format!("\"{text}\" is negative, and a load draws; {FORMS}")),
        Draw::Power(_) if from.as_volts() <= 0.0 => Err(format!(
            "\"{text}\": constant power at zero volts is endless current, so that the link would \
             never rise; state from which voltage the converter draws, from its datasheet \
             (\"{} from 150 V\")",
            drawn.trim()
        )),
        Draw::Resistance(resistance) if resistance.as_ohms() <= 0.0 => {
            Err(format!("\"{text}\" is a short circuit; {FORMS}"))
        }
        _ => Ok(StandingLoad { draw, from }),
    }
}

fn read_draw(text: &str) -> Result<Draw, String> {
    let errors: [TextError; 3] = match (
        parse::<Current>(text),
        parse::<Power>(text),
        parse::<Resistance>(text),
    ) {
        (Ok(current), ..) => return Ok(Draw::Current(current)),
        (_, Ok(power), _) => return Ok(Draw::Power(power)),
        (.., Ok(resistance)) => return Ok(Draw::Resistance(resistance)),
        (Err(current), Err(power), Err(resistance)) => [current, power, resistance],
    };
    // A slip inside the right kind of quantity says more than "not a current".
    let other = |error: &&TextError| {
        matches!(
            error.problem,
            Problem::OutOfRange(_) | Problem::CaseDecides | Problem::Comma | Problem::TooSmall
        )
    };
    Err(match errors.iter().find(other) {
        Some(error) => error.to_string(),
        None => format!("\"{text}\" is none of them; {FORMS}"),
    })
}

/// A load in words.
pub(crate) fn load_words(load: &StandingLoad, units: Units) -> String {
    let draw = match load.draw {
        Draw::Power(power) => power.to_text(units),
        Draw::Current(current) => current.to_text(units),
        Draw::Resistance(resistance) => resistance.to_text(units),
    };
    if load.from.as_volts() > 0.0 {
        format!("{draw} from {}", load.from.to_text(units))
    } else {
        draw
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_load_is_read_and_shown_again() {
        for text in ["2 A", "33 kohm", "800 mA from 150 V", "200 W from 150 V"] {
            let load = read_load(text).unwrap();
            assert_eq!(load_words(&load, Units::Metric), text);
        }
    }

    #[test]
    fn what_is_no_load_is_refused_with_the_forms() {
        for text in [
            "",
            "fan",
            "8",
            "200 W",
            "200 W from 0 V",
            "-1 A",
            "0 ohm",
            "1 A from -5 V",
        ] {
            let error = read_load(text).unwrap_err();
            assert!(error.contains("from 150 V"), "{text}: {error}");
        }
        assert!(read_load("1 A from 5 A").unwrap_err().contains("voltage"));
    }
}
