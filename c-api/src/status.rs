//! What every function gives.

use orangeloom_core::limits::ImageError;

/// Whether a function did what it was asked for.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// It did.
    Ok = 0,
    /// A pointer is null.
    NullPointer = 1,
    /// A size is not the one that this library expects: another header, or too little memory.
    WrongSize = 2,
    /// Memory does not begin at a multiple of four bytes.
    NotAligned = 3,
    /// `orangeloom_monitors_prepare` did not succeed on this memory.
    NotPrepared = 4,
    /// A number that has to be one of an enumeration is none of it.
    UnknownValue = 5,
    /// There were more findings than fit; the first ones are there, the sum is of all.
    MoreFindings = 6,
    /// What was kept over a restart is damaged, or of another vehicle.
    KeptDamaged = 7,
    /// The image does not begin as one does.
    ImageMagic = 16,
    /// The image has another version.
    ImageVersion = 17,
    /// The image is too short or too long.
    ImageLength = 18,
    /// The checksum of the image differs.
    ImageChecksum = 19,
    /// A value of the image is outside its range.
    ImageRange = 20,
    /// The image holds what no image holds.
    ImageContent = 21,
}

impl From<ImageError> for Status {
    fn from(error: ImageError) -> Self {
        match error {
            ImageError::Magic => Self::ImageMagic,
            ImageError::Version(_) => Self::ImageVersion,
            ImageError::Length => Self::ImageLength,
            ImageError::Checksum => Self::ImageChecksum,
            ImageError::Range { .. } => Self::ImageRange,
            _ => Self::ImageContent,
        }
    }
}

/// What the functions use inside: an error is the status to give.
pub(crate) fn told(done: Result<(), Status>) -> Status {
    match done {
        Ok(()) => Status::Ok,
        Err(status) => status,
    }
}

/// The memory as one reference.
///
/// # Safety
/// A pointer that is neither null nor unaligned points to a valid `T` that nothing else
/// changes.
pub(crate) unsafe fn read<'a, T>(pointer: *const T) -> Result<&'a T, Status> {
    if pointer.is_null() {
        Err(Status::NullPointer)
    } else if pointer.is_aligned() {
        // SAFETY: neither null nor unaligned; the rest is promised by the caller.
        Ok(unsafe { &*pointer })
    } else {
        Err(Status::NotAligned)
    }
}

/// Writes a whole value, whatever was there.
///
/// # Safety
/// A pointer that is neither null nor unaligned points to memory of the size of `T`.
pub(crate) unsafe fn write<T>(pointer: *mut T, value: T) -> Result<(), Status> {
    if pointer.is_null() {
        Err(Status::NullPointer)
    } else if pointer.is_aligned() {
        // SAFETY: neither null nor unaligned; the rest is promised by the caller.
        unsafe { pointer.write(value) };
        Ok(())
    } else {
        Err(Status::NotAligned)
    }
}

/// Bytes as a slice.
///
/// # Safety
/// A pointer that is not null points to `size` bytes that nothing else changes.
pub(crate) unsafe fn bytes<'a>(pointer: *const u8, size: usize) -> Result<&'a [u8], Status> {
    if pointer.is_null() {
        return Err(Status::NullPointer);
    }
    if isize::try_from(size).is_err() {
        return Err(Status::WrongSize);
    }
    // SAFETY: not null, not longer than memory can be; the rest is promised by the caller.
    Ok(unsafe { core::slice::from_raw_parts(pointer, size) })
}
