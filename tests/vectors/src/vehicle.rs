//! A whole vehicle among the cases.

use orangeloom_core::design::Design;

/// The mended lake rescue truck, 29 conductors, written from its file by the test
/// `vector_design` in `tests/tests`.
const TRUCK: &[u8] = include_bytes!("../designs/lake-rescue-truck-mended.postcard");

/// It, as it is described; `None` if its bytes cannot be read.
pub fn truck() -> Option<Design> {
    postcard::from_bytes(TRUCK).ok()
}
