//! Reads and writes of fixed arrays that cannot panic.
//!
//! The indices that the solver computes are in range by construction. If one
//! were not, a read would give the default and a write would be lost; the
//! balance of currents checked at the end of every solve would then not close
//! and the result would be refused.

use super::capacity::MAX_NODES;

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

/// The number of a node or an island, all of which fit into a byte.
pub(super) fn number_at(list: &[u8], index: usize) -> usize {
    usize::from(at(list, index))
}

/// Overwrites it.
#[allow(clippy::cast_possible_truncation)] // see the assertion
pub(super) fn put_number(list: &mut [u8], index: usize, number: usize) {
    const { assert!(MAX_NODES <= u8::MAX as usize) }
    put(list, index, number as u8);
}

/// Rounds a result of the solver to the precision of the public quantities.
#[allow(clippy::cast_possible_truncation)] // the rounding is what it is for
pub(super) const fn narrow(value: f64) -> f32 {
    value as f32
}
