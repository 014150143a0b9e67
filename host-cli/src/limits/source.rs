//! The image as source text.

use core::fmt::Write;

use super::Made;

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

fn head(made: &Made) -> String {
    let letters = |text: &str| text.replace("*/", "* /");
    format!(
        "{}, {}, fingerprint {:08x}",
        letters(made.reviewed.vehicle()),
        letters(&made.reviewed.revision()),
        made.built.limits.revision.fingerprint
    )
}

/// A C header.
pub(super) fn c_header(made: &Made) -> String {
    format!(
        "/* Limits for the controller, made by orangeloom limits. Do not edit.\n   {} */\n\
         #ifndef ORANGELOOM_LIMITS_H\n#define ORANGELOOM_LIMITS_H\n\n\
         #define ORANGELOOM_LIMITS_LENGTH {}u\n\n\
         static const unsigned char orangeloom_limits[ORANGELOOM_LIMITS_LENGTH] = {{\n{}}};\n\n#endif\n",
        head(made),
        made.image.len(),
        rows(&made.image)
    )
}

/// A Rust constant.
pub(super) fn rust(made: &Made) -> String {
    format!(
        "// Limits for the controller, made by orangeloom limits. Do not edit.\n// {}\n\n\
         /// Image for `orangeloom_core::limits::Limits::decode`.\n\
         #[rustfmt::skip]\n\
         pub const ORANGELOOM_LIMITS: [u8; {}] = [\n{}];\n",
        head(made),
        made.image.len(),
        rows(&made.image)
    )
}
