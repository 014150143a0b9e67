//! The smallest conductor that holds, with every reason beside it.
//!
//! | module | what it is about |
//! |---|---|
//! | [`series`] | the sections that can be bought, and their resistance |
//! | [`question`] | what the conductor has to do |
//! | [`candidate`] | what one section does, judged limit by limit |
//! | [`search`] | the smallest that holds and its neighbours |
//! | [`headroom`] | how far an input may move before the verdict flips |

pub mod candidate;
pub mod headroom;
pub mod question;
pub mod search;
pub mod series;
mod terminal;
