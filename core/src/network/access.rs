//! Reads and writes of fixed arrays that cannot panic.
//!
//! The indices that the solver computes are in range by construction. If one
//! were not, a read would give the default and a write would be lost; the
//! balance of currents checked at the end of every solve would then not close
//! and the result would be refused.

/// The element, or the default beyond the end.
pub(super) fn at<T: Copy + Default>(list: &[T], index: usize) -> T {
    list.get(index).copied().unwrap_or_default()
}

/// Overwrites the element.
pub(super) fn put<T>(list: &mut [T], index: usize, value: T) {
    if let Some(place) = list.get_mut(index) {
        *place = value;
    }
}

/// Adds to the element.
pub(super) fn add(list: &mut [f64], index: usize, value: f64) {
    if let Some(place) = list.get_mut(index) {
        *place += value;
    }
}

/// Rounds a result of the solver to the precision of the public quantities.
#[allow(clippy::cast_possible_truncation)] // the rounding is what it is for
pub(super) const fn narrow(value: f64) -> f32 {
    value as f32
}
