//! What firmware calls by number, and under which name source text has it.

use orangeloom_core::design::Thing;

use super::Made;
use crate::study::names;

/// What there are several of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Many {
    Strings,
    Currents,
    Contactors,
    Paths,
    Conductors,
}

impl Many {
    /// How the listing calls one of them.
    pub(super) fn input(self) -> &'static str {
        match self {
            Self::Strings => "string_voltage",
            Self::Currents => "current",
            Self::Contactors => "contactor",
            Self::Paths => "precharge path",
            Self::Conductors => "conductor",
        }
    }

    /// How the name of one of them begins.
    fn prefix(self) -> &'static str {
        match self {
            Self::Strings => "STRING",
            Self::Currents => "CURRENT",
            Self::Contactors => "CONTACTOR",
            Self::Paths => "PATH",
            Self::Conductors => "CONDUCTOR",
        }
    }
}

/// One of them.
pub(super) struct Place {
    pub(super) of: Many,
    /// From 0.
    pub(super) number: usize,
    /// As the design names it.
    name: String,
    /// Its role, in words.
    pub(super) what: String,
}

/// Everything that the controller calls by number, in its order.
pub(super) fn places(made: &Made) -> Vec<Place> {
    let design = made.reviewed.design();
    let (built, limits) = (&made.built, &made.built.limits);
    let name = |thing: Thing| names::name(design, thing);
    let said = |thing: Thing| names::thing(design, thing);
    let mut places = Vec::new();
    let mut place = |of: Many, number: usize, name: String, what: String| {
        places.push(Place {
            of,
            number,
            name,
            what,
        });
    };
    for (number, battery) in built.strings.iter().enumerate() {
        let what = format!("ahead of the fuse of the string with {}", said(*battery));
        place(Many::Strings, number, name(*battery), what);
    }
    let loads = limits.channels.len().saturating_sub(built.branches.len());
    for (number, channel) in limits.channels.iter().enumerate() {
        let battery = built.strings.get(usize::from(channel.string));
        let load = number
            .checked_sub(loads)
            .and_then(|place| built.branches.get(place));
        let (name, what) = match (battery, load) {
            (Some(battery), _) => (
                name(*battery),
                format!("of the string with {}", said(*battery)),
            ),
            (None, Some(load)) => {
                let load = (*load).into();
                (name(load), format!("into {}", said(load)))
            }
            (None, None) => (
                "pack".to_owned(),
                "of the pack, discharge positive".to_owned(),
            ),
        };
        place(Many::Currents, number, name, what);
    }
    for (number, (id, switch)) in built.contactors.iter().zip(&limits.switches).enumerate() {
        let role = match switch.role {
            0 => "positive",
            1 => "negative",
            2 => "precharge relay",
            3 => "of a load",
            _ => "of a charging source",
        };
        let contact = if switch.feedback == 0 {
            "without auxiliary contact"
        } else {
            "with auxiliary contact"
        };
        let id = (*id).into();
        let what = format!("{}, {role}, {contact}", said(id));
        place(Many::Contactors, number, name(id), what);
    }
    for (number, path) in limits.precharge.iter().enumerate() {
        let relay = built.contactors.get(usize::from(path.relay));
        let relay = relay.map(|id| Thing::from(*id));
        let what = format!("through {}", relay.map(said).unwrap_or_default());
        let name = relay.map(name).unwrap_or_default();
        place(Many::Paths, number, name, what);
    }
    for (number, id) in built.conductors.iter().enumerate() {
        let id = (*id).into();
        let what = format!("{}, and those like it", said(id));
        place(Many::Conductors, number, name(id), what);
    }
    places
}

/// An identifier for each of them, without what stands before all of them; no two are the
/// same.
pub(super) fn identifiers(places: &[Place]) -> Vec<String> {
    let mut found: Vec<String> = places
        .iter()
        .map(|place| {
            let (prefix, name) = (place.of.prefix(), identifier(&place.name));
            if name.is_empty() {
                format!("{prefix}_{}", place.number)
            } else {
                format!("{prefix}_{name}")
            }
        })
        .collect();
    // Where two are the same none keeps the name alone: it would not tell which is meant. The
    // place at the end tells apart what was the same; only what begins otherwise can meet it.
    loop {
        let twice: Vec<bool> = found
            .iter()
            .map(|one| found.iter().filter(|other| *other == one).count() > 1)
            .collect();
        if !twice.contains(&true) {
            return found;
        }
        for ((one, place), twice) in found.iter_mut().zip(places).zip(twice) {
            if twice {
                *one = format!("{one}_{}", place.number);
            }
        }
    }
}

/// Letters of a name, so that with `ORANGELOOM_CONTACTOR_` before and two places behind it is
/// no longer than the 63 that every compiler of C99 tells apart.
const MOST_LETTERS: usize = 36;

/// A name as the end of an identifier: capital letters, digits and low lines; empty where
/// nothing of it is a letter, a digit or a sign.
fn identifier(name: &str) -> String {
    let letters: Vec<char> = name.chars().collect();
    let near = |place: Option<usize>| place.and_then(|place| letters.get(place)).copied();
    let mut made = String::new();
    let mut apart = false;
    for (place, letter) in letters.iter().enumerate() {
        let (before, after) = (near(place.checked_sub(1)), near(place.checked_add(1)));
        let (text, alone) = match letter {
            '+' => ("PLUS".to_owned(), true),
            '\u{2212}' => ("MINUS".to_owned(), true),
            '-' | '\u{2010}'..='\u{2013}' if !joins(before, after) => ("MINUS".to_owned(), true),
            // An accent for the letter before it.
            '\u{300}'..='\u{36f}' => continue,
            letter => (plain(*letter), false),
        };
        apart |= alone || text.is_empty();
        if text.is_empty() {
            continue;
        }
        if apart && !made.is_empty() {
            made.push('_');
        }
        made.push_str(&text);
        apart = alone;
    }
    made.truncate(MOST_LETTERS);
    made.trim_end_matches('_').to_owned()
}

/// Whether a short line between two letters is a hyphen or a dash, and no sign.
fn joins(before: Option<char>, after: Option<char>) -> bool {
    match (before, after) {
        (Some(before), Some(after)) => {
            before.is_alphanumeric() && after.is_alphanumeric()
                || before.is_whitespace() && after.is_whitespace()
        }
        _ => false,
    }
}

/// A letter or digit in ASCII capitals; empty for everything else.
fn plain(letter: char) -> String {
    let plain = match letter {
        'ä' | 'Ä' | 'æ' | 'Æ' => "AE",
        'ö' | 'Ö' | 'œ' | 'Œ' => "OE",
        'ü' | 'Ü' => "UE",
        'ß' | 'ẞ' => "SS",
        'à'..='å' | 'À'..='Å' => "A",
        'ç' | 'Ç' => "C",
        'è'..='ë' | 'È'..='Ë' => "E",
        'ì'..='ï' | 'Ì'..='Ï' => "I",
        'ñ' | 'Ñ' => "N",
        'ò'..='õ' | 'Ò'..='Õ' | 'ø' | 'Ø' => "O",
        'ù'..='û' | 'Ù'..='Û' => "U",
        'ý' | 'ÿ' | 'Ý' | 'Ÿ' => "Y",
        letter if letter.is_ascii_alphanumeric() => return letter.to_ascii_uppercase().to_string(),
        // By its number: all the letters there are would fill a library.
        letter if letter.is_alphanumeric() => return format!("U{:04X}", u32::from(letter)),
        _ => "",
    };
    plain.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_becomes_an_identifier_that_can_be_read() {
        for (name, made) in [
            ("K+", "K_PLUS"),
            ("K-", "K_MINUS"),
            ("K\u{2212}", "K_MINUS"),
            ("K\u{2013}", "K_MINUS"),
            ("Kp", "KP"),
            ("K+ front", "K_PLUS_FRONT"),
            ("- rail", "MINUS_RAIL"),
            ("+12", "PLUS_12"),
            ("KS2-/KS2+", "KS2_MINUS_KS2_PLUS"),
            ("main-relay", "MAIN_RELAY"),
            ("pump - left", "PUMP_LEFT"),
            ("01+", "01_PLUS"),
            ("3.1 / b", "3_1_B"),
            ("Öl links", "OEL_LINKS"),
            ("O\u{308}l", "OL"),
            ("Schütz groß", "SCHUETZ_GROSS"),
            ("élévateur", "ELEVATEUR"),
            ("łódź", "U0142ODU017A"),
            ("電池", "U96FBU6C60"),
            ("()", ""),
            ("\u{1f50b}", ""),
            ("__a__b__", "A_B"),
            ("*/ #include \"x\" \\", "INCLUDE_X"),
            ("++++++++++", "PLUS_PLUS_PLUS_PLUS_PLUS_PLUS_PLUS_P"),
            (
                "0123456789 0123456789 0123456789 0123456",
                "0123456789_0123456789_0123456789_012",
            ),
        ] {
            assert_eq!(identifier(name), made, "{name}");
        }
    }

    fn of(of: Many, number: usize, name: &str) -> Place {
        Place {
            of,
            number,
            name: name.to_owned(),
            what: String::new(),
        }
    }

    #[test]
    fn two_of_one_name_are_told_apart_by_their_place() {
        let names = ["K+", "K +", "Kp", "kp", "K+ 1", "()", "5", "x"];
        let places: Vec<Place> = (0..)
            .zip(names)
            .map(|(number, name)| of(Many::Contactors, number, name))
            .collect();
        assert_eq!(
            identifiers(&places),
            [
                "CONTACTOR_K_PLUS_0",
                // "K+ 1" is called as this one would be with its place.
                "CONTACTOR_K_PLUS_1_1",
                "CONTACTOR_KP_2",
                "CONTACTOR_KP_3",
                "CONTACTOR_K_PLUS_1_4",
                // "()" has nothing but its place, which is the name of the next one.
                "CONTACTOR_5_5",
                "CONTACTOR_5_6",
                "CONTACTOR_X",
            ]
        );
        let apart = [of(Many::Contactors, 0, "K+"), of(Many::Paths, 0, "K+")];
        assert_eq!(identifiers(&apart), ["CONTACTOR_K_PLUS", "PATH_K_PLUS"]);
    }

    proptest::proptest! {
        #[test]
        fn any_names_give_identifiers_that_no_two_share(
            names in proptest::collection::vec("([aA_+ -]|0|1|2|ä|電){0,6}|.{0,60}", 0..12),
        ) {
            let places: Vec<Place> = (0..)
                .zip(&names)
                .map(|(number, name)| of(Many::Conductors, number, name))
                .collect();
            let made = identifiers(&places);
            for (place, one) in made.iter().enumerate() {
                let legal = |letter: char| letter.is_ascii_uppercase() || letter.is_ascii_digit() || letter == '_';
                proptest::prop_assert!(one.chars().all(legal), "{one}");
                proptest::prop_assert!(!one.contains("__") && !one.ends_with('_'), "{one}");
                proptest::prop_assert!("ORANGELOOM_".len() + one.len() <= 63, "{one}");
                proptest::prop_assert!(!made.iter().skip(place + 1).any(|other| other == one));
            }
        }
    }
}
