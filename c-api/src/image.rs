//! What an image is of.

use orangeloom_core::limits::Limits;

use crate::status::{Status, bytes, told, write};

/// Room for a revision and its closing zero.
pub const REVISION_BYTES: usize = 41;
/// Room for a reason and its closing zero.
pub const REASON_BYTES: usize = 121;

const _: () = assert!(
    REVISION_BYTES > orangeloom_core::design::MAX_TEXT_BYTES
        && REASON_BYTES > orangeloom_core::limits::MAX_REASON
);

/// What an image is of.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Image {
    /// Checksum of all that the design states.
    pub fingerprint: u32,
    /// Revision of the design, closed by a zero; empty where it states none.
    pub revision: [u8; REVISION_BYTES],
    /// Why the image was made although the review of the design did not pass, closed by a
    /// zero; empty where it passed. Show it at every start.
    pub reason: [u8; REASON_BYTES],
    /// Strings.
    pub strings: u8,
    /// Currents that it wants measured.
    pub currents: u8,
    /// Contactors.
    pub contactors: u8,
    /// Conductors that are watched.
    pub conductors: u8,
}

fn text<const N: usize>(letters: &[u8]) -> [u8; N] {
    let mut text = [0; N];
    // One byte stays zero.
    for (to, from) in text.iter_mut().take(N - 1).zip(letters) {
        *to = *from;
    }
    text
}

#[allow(clippy::cast_possible_truncation)] // lists of at most a dozen
fn count(length: usize) -> u8 {
    length as u8
}

/// Reads and checks a whole image and says what it is of, if `facts` is not null.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_image_check(
    image: *const u8,
    image_size: usize,
    facts: *mut Image,
    facts_size: usize,
) -> Status {
    if !facts.is_null() && facts_size != size_of::<Image>() {
        return Status::WrongSize;
    }
    // SAFETY: the caller vouches for `image_size` bytes.
    let limits = match unsafe { bytes(image, image_size) }.and_then(decoded) {
        Ok(limits) => limits,
        Err(status) => return status,
    };
    if facts.is_null() {
        return Status::Ok;
    }
    let read = Image {
        fingerprint: limits.revision.fingerprint,
        revision: text(&limits.revision.letters),
        reason: text(&limits.reason),
        strings: count(limits.strings.len()),
        currents: count(limits.channels.len()),
        contactors: count(limits.switches.len()),
        conductors: count(limits.circuits.len()),
    };
    // SAFETY: the size is that of `Image`; the caller owns the memory.
    told(unsafe { write(facts, read) })
}

pub(crate) fn decoded(image: &[u8]) -> Result<Limits, Status> {
    Limits::decode(image).map_err(Status::from)
}
