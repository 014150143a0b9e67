//! What every function gives.

use orangeloom_core::limits::ImageError;

/// Whether a function did what it was asked for. Only `ORANGELOOM_STATUS_OK`, and of
/// `orangeloom_tick` `ORANGELOOM_STATUS_MORE_FINDINGS` too, mean that it did. Treat a
/// number that is not listed here as an error.
#[repr(u8)]
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Status {
    /// It did.
    Ok = 0,
    /// A pointer is null.
    NullPointer = 1,
    /// A size is not the one that this library expects: another header, too little memory,
    /// or more than there can be.
    WrongSize = 2,
    /// A pointer does not point to where its type may begin, such as a multiple of four
    /// bytes for what holds a `uint32_t` or a `float`.
    NotAligned = 3,
    /// `orangeloom_monitors_prepare` did not succeed on this memory since the start of the
    /// program, or it was another build of the library.
    NotPrepared = 4,
    /// A number that has to be one of a list is none of it: a check, a state of a flag, a
    /// request to open, or something else than 0 or 1 where yes or no is asked.
    UnknownValue = 5,
    /// There were more findings than fit: the first ones are there, the sum is of all.
    MoreFindings = 6,
    /// What was kept over a restart is damaged, of another vehicle, or of another version of
    /// the library. Nothing is taken over, and closing is forbidden.
    KeptDamaged = 7,
    /// Two pointers lead to the same bytes.
    Overlap = 8,
    /// The image has no such contactor, current, conductor or part of a check.
    NoSuchPart = 9,
    /// Acknowledging does not clear this check: `OrangeloomFinding.reset` tells what does.
    ClearsOtherwise = 10,
    /// The first tick is over; what was kept is taken over before it. Nothing is taken over:
    /// closing stays forbidden, unless it was permitted before.
    TooLate = 11,
    /// The program was compiled with the header of another version of the library.
    OtherInterface = 12,
    /// Another function works on this memory: it was called from an interrupt or another
    /// task meanwhile. Call all of them from one task, or lock.
    Busy = 13,
    /// The inputs were not made by `orangeloom_inputs_clear`: zero bytes count as a voltage of
    /// 0 V that was measured just now, which would permit closing.
    InputsNotCleared = 14,
    /// What was kept over the restart was neither taken over nor said not to be there
    /// (`orangeloom_restore`, `orangeloom_start_without_store`): a record of now would lack the
    /// locks of what is stored.
    NotRestored = 15,
    /// The image does not begin as one does.
    ImageMagic = 16,
    /// The image has another version than `orangeloom_image_version` gives, such as that of
    /// a newer program.
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
