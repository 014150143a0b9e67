//! Checks of orangeloom against things outside the project.
//!
//! | module | what it is |
//! |---|---|
//! | [`oracle`] | the steady balance, skin effect and radial chain again, in `f64`, written apart from the core |
//! | [`computed`] | reads the tables under `computed/` |

pub mod oracle;
pub mod computed;
