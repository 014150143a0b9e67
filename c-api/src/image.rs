//! What an image is of.

use orangeloom_core::limits::{Limits, MAX_IMAGE_BYTES};

use crate::pointers::{Span, apart, span};
use crate::status::{Status, told};

/// Room for a revision and its closing zero.
pub const REVISION_BYTES: usize = 41;
/// Room for a reason and its closing zero.
pub const REASON_BYTES: usize = 121;
/// Size of `OrangeloomImage`, bytes.
pub const IMAGE_BYTES: usize = 172;

const _: () = assert!(
    REVISION_BYTES > orangeloom_core::design::MAX_TEXT_BYTES
        && REASON_BYTES > orangeloom_core::limits::MAX_REASON
        && IMAGE_BYTES == size_of::<Image>()
);

/// What an image is of. Compare it at start with the vehicle that the program is for.
#[repr(C)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Image {
    /// Checksum of all that the design states; `orangeloom limits` prints it.
    pub fingerprint: u32,
    /// Revision of the design, printable ASCII closed by a zero; empty where it states none.
    pub revision: [u8; REVISION_BYTES],
    /// Why the image was made although the review of the design did not pass, printable
    /// ASCII closed by a zero; empty where it passed. Show it at every start.
    pub reason: [u8; REASON_BYTES],
    /// How many strings (batteries in parallel) there are, 1 to `ORANGELOOM_MAX_STRINGS`.
    pub strings: u8,
    /// How many currents have to be measured, up to `ORANGELOOM_MAX_CURRENTS`.
    pub currents: u8,
    /// How many contactors there are, precharge relays counted, up to
    /// `ORANGELOOM_MAX_CONTACTORS`.
    pub contactors: u8,
    /// How many conductors are watched.
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

/// Reads and checks a whole image and says what it is of.
///
/// `image`: `image_size` bytes as `orangeloom limits --out` or `--c-header` writes them, at
/// any address. `facts`: where to write what it is of, with `facts_size` the size of
/// `struct OrangeloomImage`; or null with 0, then the image is only checked.
///
/// Gives `ORANGELOOM_STATUS_IMAGE_...` where the image is refused; then nothing is written.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn orangeloom_image_check(
    image: *const u8,
    image_size: usize,
    facts: *mut Image,
    facts_size: usize,
) -> Status {
    // SAFETY: the caller vouches for both.
    told(unsafe { check(image, image_size, facts, facts_size) })
}

unsafe fn check(
    image: *const u8,
    image_size: usize,
    facts: *mut Image,
    facts_size: usize,
) -> Result<(), Status> {
    let mut place = Span::NONE;
    if !facts.is_null() {
        if facts_size != size_of::<Image>() {
            return Err(Status::WrongSize);
        }
        place = span(facts, 1)?;
    }
    apart(&[held(image, image_size)?, place])?;
    // SAFETY: `held` accepted it, and the caller vouches for the bytes.
    let limits = unsafe { decoded(image, image_size) }?;
    if facts.is_null() {
        return Ok(());
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
    // SAFETY: neither null nor unaligned, of this size; the caller owns the memory.
    unsafe { facts.write(read) };
    Ok(())
}

/// Where the bytes of an image lie. None is longer than this, so bytes beyond need not be
/// there.
pub(crate) fn held(image: *const u8, size: usize) -> Result<Span, Status> {
    span(image, 0)?;
    if size > MAX_IMAGE_BYTES {
        return Err(Status::ImageLength);
    }
    span(image, size)
}

/// The limits of an image.
///
/// # Safety
/// `held` accepted it, and nothing else changes its bytes.
pub(crate) unsafe fn decoded(image: *const u8, size: usize) -> Result<Limits, Status> {
    // SAFETY: the caller vouches for it.
    let bytes = unsafe { core::slice::from_raw_parts(image, size) };
    Limits::decode(bytes).map_err(Status::from)
}

/// The size of `OrangeloomImage` that this library expects, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn orangeloom_image_size() -> usize {
    size_of::<Image>()
}
