//! The files that `orangeloom new` writes: an invented small craft.

/// The design.
pub const STARTER_DESIGN: &str = include_str!("../../../fixtures/starter/design.toml");
/// Its parts.
pub const STARTER_PARTS: &str = include_str!("../../../fixtures/starter/parts.toml");
