//! The image as source text.

use core::fmt::Write;

use super::Made;
use super::places::{identifiers, places};

fn rows(image: &[u8]) -> String {
    let mut text = String::new();
    for row in image.chunks(12) {
        text.push_str("   ");
        for byte in row {
            // Writing into a string does not fail.
            let _ = write!(text, " 0x{byte:02x},");
        }
        text.push('\n');
    }
    text
}

/// Text that a comment may hold: it neither ends there nor begins another one, and is read in
/// the order in which it stands.
fn comment(text: &str) -> String {
    let text = text.replace("*/", "* /").replace("/*", "/ *");
    text.chars()
        .map(|letter| match letter {
            // These turn the direction of what follows; compilers refuse them.
            '\u{61c}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2066}'..='\u{2069}' => '?',
            letter if letter.is_control() => '?',
            letter => letter,
        })
        .collect()
}

fn head(made: &Made) -> String {
    comment(&format!(
        "{}, {}, fingerprint {:08x}",
        made.reviewed.vehicle(),
        made.reviewed.revision(),
        made.built.limits.revision.fingerprint
    ))
}

/// Identifier, number and what it is, of everything that is called by number.
fn named(made: &Made) -> Vec<(String, usize, String)> {
    let places = places(made);
    let named = identifiers(&places).into_iter().zip(places);
    named
        .map(|(identifier, place)| {
            let input = place.of.input();
            let what = if place.what.starts_with(input) {
                place.what
            } else {
                format!("{input} {}", place.what)
            };
            (identifier, place.number, comment(&what))
        })
        .collect()
}

/// A C header.
pub(super) fn c_header(made: &Made) -> String {
    let fingerprint = made.built.limits.revision.fingerprint;
    let mut places = String::new();
    for (identifier, number, what) in named(made) {
        let _ = write!(
            places,
            "/* {what} */\n#define ORANGELOOM_{identifier} {number}\n"
        );
    }
    format!(
        "/* Limits for the controller, made by orangeloom limits. Do not edit.\n   {} */\n\
         #ifndef ORANGELOOM_LIMITS_H\n#define ORANGELOOM_LIMITS_H\n\n\
         /* Of the design. An image that is not the one below has to have it too: its places are\n   \
         those below only then. */\n\
         #define ORANGELOOM_LIMITS_FINGERPRINT 0x{fingerprint:08x}u\n\n\
         /* Places of the inputs, and parts of the findings. */\n\n\
         {places}\n\
         #define ORANGELOOM_LIMITS_LENGTH {}u\n\n\
         static const unsigned char orangeloom_limits[ORANGELOOM_LIMITS_LENGTH] = {{\n{}}};\n\n\
         #elif ORANGELOOM_LIMITS_FINGERPRINT != 0x{fingerprint:08x}u\n\
         #error \"the limits of two designs are included in one file\"\n\
         #endif\n",
        head(made),
        made.image.len(),
        rows(&made.image)
    )
}

/// A Rust constant.
pub(super) fn rust(made: &Made) -> String {
    let fingerprint = made.built.limits.revision.fingerprint;
    let mut places = String::new();
    for (identifier, number, what) in named(made) {
        let _ = write!(
            places,
            "\n    /// {what}\n    pub const {identifier}: usize = {number};\n"
        );
    }
    format!(
        "// Limits for the controller, made by orangeloom limits. Do not edit.\n// {}\n\n\
         /// Places of the inputs, and parts of the findings.\n\
         #[allow(dead_code)] // no program needs all of them\n\
         #[rustfmt::skip]\n\
         pub mod place {{\n    \
         /// Of the design. An image that is not the one below has to have it too\n    \
         /// (`Limits::revision`): its places are these only then.\n    \
         pub const FINGERPRINT: u32 = 0x{:04x}_{:04x};\n\
         {places}}}\n\n\
         /// Image for `orangeloom_core::limits::Limits::decode`.\n\
         #[rustfmt::skip]\n\
         pub const ORANGELOOM_LIMITS: [u8; {}] = [\n{}];\n",
        head(made),
        fingerprint >> 16,
        fingerprint & 0xffff,
        made.image.len(),
        rows(&made.image)
    )
}

#[cfg(test)]
mod tests {
    use super::comment;

    #[test]
    fn a_name_neither_ends_a_comment_nor_turns_it() {
        for (name, told) in [
            ("a */ b", "a * / b"),
            ("a /* b", "a / * b"),
            ("a /*/ b", "a / * / b"),
            ("a **// b", "a ** // b"),
            ("a\u{202e}b\u{2066}c\nd\re", "a?b?c?d?e"),
            ("\u{d6}l \"links\" \\", "\u{d6}l \"links\" \\"),
        ] {
            assert_eq!(comment(name), told);
        }
    }
}
