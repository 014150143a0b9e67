//! The host side of orangeloom: everything that reads or writes text.
//!
//! The computations are in `orangeloom_core`; here they are only fed and shown.

mod aspect_text;
pub mod cli;
pub mod compare;
pub mod design_file;
mod document;
mod flags;
mod heat_working;
pub mod limits;
mod nominal;
mod page;
pub mod precharge;
pub mod quantity_text;
pub mod record;
pub mod review;
pub mod size;
pub mod spacing;
pub mod study;
mod thing_text;
mod whole_file;
mod working;
