//! What one conductor does: resistance, heat, drop, short circuit.
//!
//! | module | question |
//! |---|---|
//! | [`cable`] | how is it built |
//! | [`generic`] | how is it built when there is no datasheet |
//! | [`heat_balance`] | what temperature does a constant current settle at; what current keeps a limit |
//! | [`installation`] | how much of the free-air current does the place leave |
//! | [`transient`] | how fast does it warm and cool |
//! | [`withstand`] | what short circuit does it stand |
//! | [`skin`] | what does alternating current change |
//! | [`busbar`] | what does a bare or painted bar carry |
//! | [`lug`] | how hot does a joint become |
//! | [`end`] | how hot does the end of a lead become, on its terminal |

mod air;
pub mod busbar;
pub mod cable;
pub mod end;
pub mod generic;
pub mod heat_balance;
pub mod installation;
pub mod lug;
pub mod skin;
pub mod transient;
pub mod withstand;

pub use air::pressure_at;
