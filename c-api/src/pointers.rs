//! What a caller points to: looked at as a whole before anything is read or written.

use crate::status::Status;

/// Bytes that a pointer leads to.
#[derive(Clone, Copy)]
pub(crate) struct Span {
    start: usize,
    bytes: usize,
}

impl Span {
    /// Nothing.
    pub(crate) const NONE: Self = Self { start: 0, bytes: 0 };

    /// As many bytes, if there can be that many from there on.
    fn of(start: usize, bytes: usize) -> Result<Self, Status> {
        // No object is larger than that, and none goes over the end of the addresses.
        if isize::try_from(bytes).is_ok() && start.checked_add(bytes).is_some() {
            Ok(Self { start, bytes })
        } else {
            Err(Status::WrongSize)
        }
    }

    /// Whether no byte is in both.
    pub(crate) fn is_apart(self, other: Self) -> bool {
        // Neither sum goes over the end: see `of`.
        self.bytes == 0
            || other.bytes == 0
            || self.start.wrapping_add(self.bytes) <= other.start
            || other.start.wrapping_add(other.bytes) <= self.start
    }
}

/// Where `count` of a type lie, if they can lie there.
pub(crate) fn span<T>(pointer: *const T, count: usize) -> Result<Span, Status> {
    if pointer.is_null() {
        return Err(Status::NullPointer);
    }
    if !pointer.is_aligned() {
        return Err(Status::NotAligned);
    }
    let bytes = count.checked_mul(size_of::<T>());
    Span::of(pointer.addr(), bytes.ok_or(Status::WrongSize)?)
}

/// Whether no two of them share a byte.
pub(crate) fn apart(spans: &[Span]) -> Result<(), Status> {
    let mut rest = spans;
    while let [first, others @ ..] = rest {
        if !others.iter().all(|other| first.is_apart(*other)) {
            return Err(Status::Overlap);
        }
        rest = others;
    }
    Ok(())
}
