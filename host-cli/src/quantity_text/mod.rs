//! Quantities as people write them: `"2.4 m"`, `"2/0 AWG"`, `13'6"`, `"185 degF"`.
//!
//! | file | what it is about |
//! |---|---|
//! | `kind` | the kinds of quantity, one row each |
//! | `units` | the table of units |
//! | `spelling` | how a spelling is found in the table |
//! | `refused` | spellings that are understood and still not accepted, with the reason |
//! | `number` | one number, and the slips of the pen that are recognised |
//! | `unit_reading` | the unit behind a number |
//! | `measure` | numbers with units become one value |
//! | `section` | conductor sections: mm2, AWG, kcmil |
//! | `from_text` | which type reads which kind |
//! | `error` | what was read, what was needed, what to do |
//! | `show` | quantities for people, metric or US |
//!
//! Metric and US units mix at will. What has one meaning is accepted in any
//! usual spelling; what has two is refused with both readings named. The case
//! of `m` (milli) and `M` (mega) always counts. Numbers are read in `f64` and
//! rounded once to the `f32` of the quantity.

mod error;
mod from_text;
mod kind;
mod measure;
mod number;
mod refused;
mod section;
mod show;
mod spelling;
mod unit_reading;
mod units;

pub use error::{Problem, TextError};
pub use from_text::{FromText, ShareOrFraction, parse};
pub use kind::Kind;
pub use section::{Section, Series};
pub use show::{Rounding, ToText, Units, diameter, significant, significant_down, significant_up};
pub(crate) use show::{digits_in, down_in};
pub use units::{System, Unit, markdown_table};
