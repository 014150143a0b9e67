//! The limits of a controller as an image.

use orangeloom_core::limits::{Limits, MAX_IMAGE_BYTES};

use super::Visit;

/// Written by a test of the core from limits of an invented vehicle.
pub(super) const IMAGE: &[u8] = include_bytes!("../../../../core/src/limits/sample.image");

pub(super) fn all(visit: &mut impl Visit) {
    visit.call("limits/decode", IMAGE, |image| {
        Limits::decode(image).is_ok()
    });
    if let Ok(limits) = Limits::decode(IMAGE) {
        visit.call("limits/encode", limits, |limits| {
            let mut buffer = [0; MAX_IMAGE_BYTES];
            Limits::encode(limits, &mut buffer)
        });
    }
}
