//! Constant-power loads and sources.
//!
//! The linear rest of the network, seen from the `m` constant-power branches, is
//! `V = V0 - R I` with the open-circuit voltages `V0` and the square matrix `R`
//! (unit currents, one after the other). Wanted is `V` with `V_i I_i = P_i`.
//!
//! **Loads** (`P > 0`). Newton's method on `F(V) = V - V0 + R (P / V)`, started at
//! `V0`. Where `R >= 0`, as in every network whose loads share two rails, `F` is
//! convex in `V` and its Jacobian `1 - R diag(P / V^2)` has no positive element
//! off its diagonal. If a solution exists, this Jacobian is an M-matrix at every
//! point above the highest solution, its inverse has no negative element, and the
//! steps fall monotonically from `V0` to that highest solution, the one that the
//! vehicle takes when its loads rise from nothing. If none exists, the falling
//! steps cannot settle: after some of them the Jacobian is no M-matrix any more or
//! a voltage passes zero. An M-matrix is recognised by its pivots: all are
//! positive. So the method needs no guess, and its refusal is a proof. At the very
//! limit each step halves the distance; [`NEWTON_STEPS`] halvings exhaust f64.
//!
//! **Sources** (`P < 0`). Their current falls as the voltage rises, like that of
//! an EMF behind a resistance. Each is replaced by its tangent, a conductance
//! with a current source, which never delivers more than the source itself; then
//! the loads are solved as above and the tangent is laid at the new voltage. The
//! voltages rise monotonically from step to step and are bounded; a start too far
//! away can refuse loads right at the limit, so [`TANGENT_STARTS`] starts are
//! tried. This errs towards refusal, by less than 0.1 % of the loads (tested).
//!
//! Where `R` has negative elements (loads in series across a split battery) the
//! same steps are taken without the proof; the balance of power at the end is
//! checked in any case, and a failure is named "not settled" instead of a shortfall.
//!
//! Bound: `TANGENT_STARTS x TANGENT_STEPS x NEWTON_STEPS` linear systems of order
//! `m`; without sources `NEWTON_STEPS`. A refusal adds `SCALING_STEPS` solves.

use super::access::{at, put};
use super::capacity::MAX_POWER_BRANCHES;

const NEWTON_STEPS: usize = 64;
const TANGENT_STEPS: usize = 40;
const TANGENT_STARTS: usize = 8;
const TANGENT_START_RATIO: f64 = 0.8;
/// Halvings of the common factor of a shortfall: 1e-9 of the loads.
const SCALING_STEPS: usize = 30;
/// Step that ends an iteration, relative to the voltage.
const SETTLED: f64 = 1e-13;
/// Remaining error of the voltages that is accepted where the last steps drown in rounding.
const ACCEPTED: f64 = 1e-10;

type Column = [f64; MAX_POWER_BRANCHES];

struct Matrix {
    rows: [Column; MAX_POWER_BRANCHES],
}

impl Matrix {
    const fn new() -> Self {
        Self {
            rows: [[0.0; MAX_POWER_BRANCHES]; MAX_POWER_BRANCHES],
        }
    }

    fn get(&self, row: usize, column: usize) -> f64 {
        self.rows.get(row).map_or(0.0, |r| at(r, column))
    }

    fn set(&mut self, row: usize, column: usize, value: f64) {
        if let Some(r) = self.rows.get_mut(row) {
            put(r, column, value);
        }
    }
}

/// The constant-power branches and the network as they see it. Sources come first.
pub(super) struct Ports {
    count: usize,
    sources: usize,
    power: Column,
    open_circuit: Column,
    resistance: Matrix,
    jacobian: Matrix,
    voltage: Column,
    /// Current of each branch without voltage, and its rise with the voltage.
    offset: Column,
    slope: Column,
}

/// The load that collapses first, at the highest common factor that can be fed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Collapse {
    pub(super) port: usize,
    pub(super) open_circuit: f64,
    pub(super) resistance: f64,
    pub(super) feedable: f64,
}

/// How the constant-power branches end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Fed {
    Yes,
    WrongPolarity { port: usize },
    No(Collapse),
    Unknown,
}

impl Ports {
    pub(super) const fn new() -> Self {
        Self {
            count: 0,
            sources: 0,
            power: [0.0; MAX_POWER_BRANCHES],
            open_circuit: [0.0; MAX_POWER_BRANCHES],
            resistance: Matrix::new(),
            jacobian: Matrix::new(),
            voltage: [0.0; MAX_POWER_BRANCHES],
            offset: [0.0; MAX_POWER_BRANCHES],
            slope: [0.0; MAX_POWER_BRANCHES],
        }
    }

    pub(super) fn clear(&mut self, count: usize, sources: usize) {
        self.count = count;
        self.sources = sources;
    }

    pub(super) fn set_port(&mut self, port: usize, power: f64, open_circuit: f64) {
        put(&mut self.power, port, power);
        put(&mut self.open_circuit, port, open_circuit);
    }

    /// Drop at one port for one ampere drawn at another.
    pub(super) fn set_resistance(&mut self, port: usize, drawn_at: usize, value: f64) {
        self.resistance.set(port, drawn_at, value);
    }

    pub(super) const fn count(&self) -> usize {
        self.count
    }

    pub(super) fn power(&self, port: usize) -> f64 {
        at(&self.power, port)
    }

    pub(super) fn open_circuit(&self, port: usize) -> f64 {
        at(&self.open_circuit, port)
    }

    /// Drawn current after [`Self::settle`] said yes.
    pub(super) fn current(&self, port: usize) -> f64 {
        at(&self.power, port) / at(&self.voltage, port)
    }

    pub(super) fn settle(&mut self) -> Fed {
        if let Some(port) = (0..self.count).find(|&port| {
            let voltage = self.open_circuit(port);
            voltage <= 0.0 || !voltage.is_finite()
        }) {
            return Fed::WrongPolarity { port };
        }
        if self.solve(1.0) {
            return Fed::Yes;
        }
        if !self.loads_only_pull_down() {
            return Fed::Unknown;
        }
        self.collapse()
    }

    fn loads_only_pull_down(&self) -> bool {
        (0..self.count).all(|row| {
            (0..self.count).all(|column| {
                let own = self.resistance.get(row, row) + self.resistance.get(column, column);
                self.resistance.get(row, column) >= -1e-9 * own
            })
        })
    }

    /// Finds the factor on all loads up to which they can be fed, and the load
    /// that gives way there. At that limit, and only there, the load sees a
    /// network of `2 V` and `V / I`.
    fn collapse(&mut self) -> Fed {
        if self.count == 1 && self.sources == 0 {
            // Closed form, free of the square root that makes the limit soft.
            let (open_circuit, resistance) = (self.open_circuit(0), self.resistance.get(0, 0));
            return Fed::No(Collapse {
                port: 0,
                open_circuit,
                resistance,
                feedable: open_circuit * open_circuit / (4.0 * resistance * self.power(0)),
            });
        }
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..SCALING_STEPS {
            let middle = 0.5 * (low + high);
            if self.solve(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        if low <= 0.0 || !self.solve(low) {
            return Fed::Unknown;
        }
        let mut weakest = None;
        let mut least = f64::INFINITY;
        for port in self.sources..self.count {
            let left = at(&self.voltage, port) / self.open_circuit(port);
            if left < least {
                least = left;
                weakest = Some(port);
            }
        }
        let Some(port) = weakest else {
            return Fed::Unknown;
        };
        let voltage = at(&self.voltage, port);
        Fed::No(Collapse {
            port,
            open_circuit: 2.0 * voltage,
            resistance: voltage * voltage / (low * self.power(port)),
            feedable: low,
        })
    }

    /// Solves with all loads multiplied by a factor; true when it settled.
    fn solve(&mut self, factor: f64) -> bool {
        if self.sources == 0 {
            return self.solve_loads(factor);
        }
        let mut start = 1.0;
        for _ in 0..TANGENT_STARTS {
            self.voltage = self.open_circuit;
            for port in 0..self.sources {
                let voltage = start * self.open_circuit(port);
                put(&mut self.voltage, port, voltage);
            }
            if self.follow_tangents(factor) {
                return true;
            }
            start *= TANGENT_START_RATIO;
        }
        false
    }

    fn follow_tangents(&mut self, factor: f64) -> bool {
        for _ in 0..TANGENT_STEPS {
            let before = self.voltage;
            for port in 0..self.sources {
                let (power, voltage) = (self.power(port), at(&before, port));
                put(&mut self.offset, port, 2.0 * power / voltage);
                put(&mut self.slope, port, -power / (voltage * voltage));
            }
            if !self.solve_loads(factor) {
                return false;
            }
            let moved = (0..self.sources)
                .map(|port| (at(&self.voltage, port) / at(&before, port) - 1.0).abs())
                .fold(0.0, f64::max);
            if (0..self.sources).any(|port| at(&self.voltage, port) <= 0.0) {
                return false;
            }
            // The tangent errs by the square of the last step.
            if moved < 1e-8 {
                return true;
            }
        }
        false
    }

    /// Newton from above with the tangents of the sources as they are.
    fn solve_loads(&mut self, factor: f64) -> bool {
        for port in self.sources..self.count {
            put(&mut self.offset, port, 0.0);
            put(&mut self.slope, port, 0.0);
        }
        self.voltage = self.open_circuit;
        if self.sources > 0 {
            // With the loads off the network is linear: one step is exact.
            let error = self.errors();
            if self.step(error).is_none() {
                return false;
            }
        }
        for _ in 0..NEWTON_STEPS {
            self.lay_load_currents(factor);
            let error = self.errors();
            if self.largest(&error) <= 1e-15 {
                return true;
            }
            let Some(moved) = self.step(error) else {
                return self.largest(&error) <= SETTLED;
            };
            if (self.sources..self.count).any(|port| at(&self.voltage, port) <= 0.0) {
                return false;
            }
            if moved <= SETTLED {
                return true;
            }
        }
        self.lay_load_currents(factor);
        let error = self.errors();
        self.largest(&error) <= ACCEPTED
    }

    /// The tangents of the loads at the present voltages.
    fn lay_load_currents(&mut self, factor: f64) {
        for port in self.sources..self.count {
            let (power, voltage) = (factor * self.power(port), at(&self.voltage, port));
            put(&mut self.offset, port, 2.0 * power / voltage);
            put(&mut self.slope, port, -power / (voltage * voltage));
        }
    }

    /// `V - V0 + R I(V)`.
    fn errors(&self) -> Column {
        let mut current = [0.0; MAX_POWER_BRANCHES];
        for port in 0..self.count {
            let value = at(&self.offset, port) + at(&self.slope, port) * at(&self.voltage, port);
            put(&mut current, port, value);
        }
        let mut error = [0.0; MAX_POWER_BRANCHES];
        for row in 0..self.count {
            let drop: f64 = (0..self.count)
                .map(|column| self.resistance.get(row, column) * at(&current, column))
                .sum();
            let value = at(&self.voltage, row) - self.open_circuit(row) + drop;
            put(&mut error, row, value);
        }
        error
    }

    /// The largest error relative to the open-circuit voltage; NaN counts as infinite.
    fn largest(&self, error: &Column) -> f64 {
        (0..self.count).fold(0.0, |largest, port| {
            let relative = (at(error, port) / self.open_circuit(port)).abs();
            if relative <= largest {
                largest
            } else if relative.is_nan() {
                f64::INFINITY
            } else {
                relative
            }
        })
    }

    /// One Newton step by elimination without pivoting; none when a pivot is not
    /// positive, that is when the Jacobian is no M-matrix. Returns the largest
    /// step relative to the open-circuit voltage.
    fn step(&mut self, mut error: Column) -> Option<f64> {
        for row in 0..self.count {
            for column in 0..self.count {
                let one = if row == column { 1.0 } else { 0.0 };
                let value = one + self.resistance.get(row, column) * at(&self.slope, column);
                self.jacobian.set(row, column, value);
            }
        }
        for pivot_row in 0..self.count {
            let pivot = self.jacobian.get(pivot_row, pivot_row);
            // Written so that NaN fails.
            if !(pivot > 1e-14 && pivot.is_finite()) {
                return None;
            }
            for row in pivot_row + 1..self.count {
                let ratio = self.jacobian.get(row, pivot_row) / pivot;
                if ratio == 0.0 {
                    continue;
                }
                for column in pivot_row + 1..self.count {
                    let value = self.jacobian.get(row, column)
                        - ratio * self.jacobian.get(pivot_row, column);
                    self.jacobian.set(row, column, value);
                }
                let value = at(&error, row) - ratio * at(&error, pivot_row);
                put(&mut error, row, value);
            }
        }
        for row in (0..self.count).rev() {
            let known: f64 = (row + 1..self.count)
                .map(|column| self.jacobian.get(row, column) * at(&error, column))
                .sum();
            let value = (at(&error, row) - known) / self.jacobian.get(row, row);
            put(&mut error, row, value);
        }
        for port in 0..self.count {
            let value = at(&self.voltage, port) - at(&error, port);
            put(&mut self.voltage, port, value);
        }
        Some(self.largest(&error))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::boxed::Box;

    fn one(power: f64, open_circuit: f64, resistance: f64) -> Box<Ports> {
        let mut ports = Box::new(Ports::new());
        ports.clear(1, usize::from(power < 0.0));
        ports.set_port(0, power, open_circuit);
        ports.set_resistance(0, 0, resistance);
        ports
    }

    #[test]
    fn a_load_at_the_limit_settles_at_half_the_voltage() {
        let mut ports = one(10_000.0, 400.0, 4.0);
        assert_eq!(ports.settle(), Fed::Yes);
        // At the limit the voltage moves with the square root of any rounding.
        assert!((ports.current(0) - 50.0).abs() < 1e-4);
    }

    #[test]
    fn a_load_just_beyond_the_limit_is_refused_with_the_limit() {
        let mut ports = one(10_000.01, 400.0, 4.0);
        let Fed::No(collapse) = ports.settle() else {
            panic!("fed");
        };
        assert!((collapse.feedable - 10_000.0 / 10_000.01).abs() < 1e-12);
        assert!((collapse.open_circuit - 400.0).abs() < 1e-9);
    }

    #[test]
    fn two_equal_loads_on_one_feeder_give_way_at_half_the_power_each() {
        let mut ports = Box::new(Ports::new());
        ports.clear(2, 0);
        for port in 0..2 {
            ports.set_port(port, 6_000.0, 400.0);
            ports.set_resistance(port, 0, 4.0);
            ports.set_resistance(port, 1, 4.0);
        }
        let Fed::No(collapse) = ports.settle() else {
            panic!("fed");
        };
        assert!((collapse.feedable - 5.0 / 6.0).abs() < 1e-6);
        // Seen by one of them: V^2 / (4 R) is what it gets, 5 kW.
        let most = collapse.open_circuit * collapse.open_circuit / (4.0 * collapse.resistance);
        assert!((most - 5_000.0).abs() < 0.01, "{most}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn one_load_takes_the_upper_root_of_its_quadratic(
            open_circuit in 10.0..1000.0_f64,
            resistance in 1e-5..100.0_f64,
            part in 0.001..0.9999_f64,
        ) {
            let most = open_circuit * open_circuit / (4.0 * resistance);
            let mut ports = one(part * most, open_circuit, resistance);
            prop_assert_eq!(ports.settle(), Fed::Yes);
            let root = 0.5 * open_circuit * (1.0 + libm::sqrt(1.0 - part));
            let voltage = part * most / ports.current(0);
            prop_assert!((voltage / root - 1.0).abs() < 1e-11);
        }

        #[test]
        fn one_source_takes_the_positive_root_of_its_quadratic(
            open_circuit in 10.0..1000.0_f64,
            resistance in 1e-5..100.0_f64,
            part in 0.001..5.0_f64,
        ) {
            let power = -part * open_circuit * open_circuit / (4.0 * resistance);
            let mut ports = one(power, open_circuit, resistance);
            prop_assert_eq!(ports.settle(), Fed::Yes);
            let root = 0.5 * open_circuit * (1.0 + libm::sqrt(1.0 + part));
            let voltage = power / ports.current(0);
            prop_assert!((voltage / root - 1.0).abs() < 1e-11);
        }

        #[test]
        fn the_limit_with_a_source_errs_towards_refusal_and_by_less_than_a_thousandth(
            delivered in 0.01..30.0_f64,
            beyond in 1.01..3.0_f64,
        ) {
            let most = 400.0 * 400.0 / (4.0 * 0.1);
            let mut ports = Box::new(Ports::new());
            ports.clear(2, 1);
            ports.set_port(0, -delivered * most, 400.0);
            ports.set_port(1, beyond * (1.0 + delivered) * most, 400.0);
            for port in 0..2 {
                for other in 0..2 {
                    ports.set_resistance(port, other, 0.1);
                }
            }
            let Fed::No(collapse) = ports.settle() else { panic!("fed") };
            let of_limit = collapse.feedable * beyond;
            prop_assert!(of_limit > 0.999 && of_limit < 1.0 + 1e-9, "{}", of_limit);
        }

        #[test]
        fn loads_and_sources_at_one_point_settle_as_their_sum_would(
            drawn in 0.05..0.9_f64,
            delivered in 0.05..2.0_f64,
        ) {
            // Seen from one point only the sum counts, and it has a closed form.
            let most = 400.0 * 400.0 / (4.0 * 0.1);
            let mut ports = Box::new(Ports::new());
            ports.clear(3, 1);
            ports.set_port(0, -delivered * most, 400.0);
            ports.set_port(1, 0.4 * drawn * most, 400.0);
            ports.set_port(2, 0.6 * drawn * most, 400.0);
            for port in 0..3 {
                for other in 0..3 {
                    ports.set_resistance(port, other, 0.1);
                }
            }
            prop_assert_eq!(ports.settle(), Fed::Yes);
            let root = 200.0 * (1.0 + libm::sqrt(1.0 - drawn + delivered));
            let voltage = ports.power(2) / ports.current(2);
            prop_assert!((voltage / root - 1.0).abs() < 1e-9, "{} {}", voltage, root);
        }
    }

    proptest! {
        // Thirty linear systems of order 31 each in a case that is refused.
        #![proptest_config(ProptestConfig::with_cases(16))]

        #[test]
        fn loads_on_one_feeder_settle_exactly_when_their_sum_would(
            parts in proptest::collection::vec(0.01..1.0_f64, 2..MAX_POWER_BRANCHES),
            total in 0.5..1.5_f64,
        ) {
            let sum: f64 = parts.iter().sum();
            let most = 400.0 * 400.0 / (4.0 * 0.1);
            let mut ports = Box::new(Ports::new());
            ports.clear(parts.len(), 0);
            for (port, part) in parts.iter().enumerate() {
                ports.set_port(port, part / sum * total * most, 400.0);
                for other in 0..parts.len() {
                    ports.set_resistance(port, other, 0.1);
                }
            }
            let fed = ports.settle();
            prop_assume!((total - 1.0).abs() > 1e-6);
            if total < 1.0 {
                prop_assert_eq!(fed, Fed::Yes);
                let root = 200.0 * (1.0 + libm::sqrt(1.0 - total));
                let voltage = ports.power(0) / ports.current(0);
                prop_assert!((voltage / root - 1.0).abs() < 1e-8);
            } else {
                let Fed::No(collapse) = fed else { panic!("{fed:?}") };
                prop_assert!((collapse.feedable * total - 1.0).abs() < 1e-6);
            }
        }
    }
}
