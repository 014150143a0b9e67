//! Typed quantities: a number cannot lose its unit or enter out of range.
//!
//! Each type stores one `f32` in the unit that its first constructor names and
//! refuses what is not finite or outside its row of [`crate::bounds`]. A point on
//! the temperature scale and a temperature difference are two types. The products
//! that have a meaning here are listed in [`products`](self) and nowhere else;
//! each is checked against the bounds of its result, so it returns a `Result`.
//!
//! Precision: `f32` carries 24 bits, a relative step of 6e-8, far below the last
//! printed digit of any table used here. Where a sum or a difference would lose
//! more, the function that does it says so and works in `f64` inside.

mod kinds;
mod products;

pub use kinds::*;
