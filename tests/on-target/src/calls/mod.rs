//! Every public function of the core, called once.
//!
//! The `no-panic` image makes all these calls with values that the optimiser
//! cannot see, so it links only if none of them can panic for any value. The
//! `count` image measures those made through [`Visit::call`].
//!
//! To add an area: write `pub fn all(visit: &mut impl Visit)` in a file named
//! after it and list it in [`all`]. To add a function: one `visit.call(...)`.

mod conductor;
mod design;
mod fault;
mod insulation;
mod limits;
mod link;
pub mod monitor;
mod network;
mod protection;
mod quantity;
mod result;
mod shield;
mod size;
mod standard;
mod study;

use orangeloom_core::error::Error;

/// What an image does with each call.
pub trait Visit {
    /// Makes a call that is proven and measured. The name has no spaces; the
    /// function gets its input by reference and takes what it needs out of it.
    fn call<T, R>(&mut self, name: &'static str, input: T, function: fn(&T) -> R);

    /// Makes a call that is proven only: getters, and what is as short.
    fn brief<T, R>(&mut self, input: T, function: fn(&T) -> R);

    /// Unwraps what later calls need as their input. A refusal fails the run.
    fn given<T>(&mut self, name: &'static str, input: Result<T, Error>) -> Option<T>;
}

/// All calls.
pub fn all(visit: &mut impl Visit) {
    quantity::all(visit);
    result::all(visit);
    standard::all(visit);
    conductor::all(visit);
    design::all(visit);
    size::all(visit);
    network::all(visit);
    protection::all(visit);
    fault::all(visit);
    insulation::all(visit);
    limits::all(visit);
    link::all(visit);
    monitor::all(visit);
    shield::all(visit);
    study::all(visit);
}

/// A quantity that is known to be accepted; checked while compiling when used
/// in a constant.
pub(crate) const fn accepted<T: Copy>(result: Result<T, Error>) -> T {
    match result {
        Ok(value) => value,
        Err(_) => panic!("this constant is outside its bounds"),
    }
}
