//! The course of currents after a fault, of batteries, inductances and capacitors.
//!
//! The unknowns are the currents of independent loops and the voltages of the
//! capacitors. Kirchhoff's voltage law around each loop gives
//! M di/dt = e - R i - B v, the capacitors C dv/dt = B' i; M is the inductance of the
//! loops, positive definite because every branch has some. This is z' = A z + b with
//! constant A, so a step is exact: z(t+h) = z + D z with D = exp(A h) - 1, summed as a
//! series once for the shortest step; twice the step has D + D + D D. Keeping D and not
//! exp(A h) keeps the digits of what is slow beside what is fast.
//!
//! Steps grow with time: sixty-four of the shortest, then thirty-two of twice the length,
//! and so on to the end, so that microseconds and seconds fit into one run. A peak is the
//! vertex of the parabola through three samples.
//!
//! The joule integral is not sampled: over a step h it is z' G z with
//! G = integral of exp(A' s) c c' exp(A s), c the watched current's part in the loops. G is
//! summed as a series once for the shortest step, and over twice the step it is
//! G + (1 + D)' G (1 + D), sums of what is never negative. So swings of any number cost
//! nothing and are not missed.
//!
//! Bound: 64 + 32 x 48 steps of states squared, and for each watched current 54 products of
//! states cubed.

use heapless::Vec;

use super::reduced::{MAX_PARTS, MAX_POINTS, Part};
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::{
    Capacitance, Current, CurrentSquaredTime, Inductance, Resistance, Time, Voltage,
};

/// Most independent loops of one run.
pub const MAX_LOOPS: usize = 20;
/// Most capacitors of one run.
pub const MAX_CAPACITORS: usize = 12;
/// Most branches whose course is kept.
pub const MAX_WATCHED: usize = super::MAX_CARRIERS + 1;

/// Inductance that every branch has at least: that of some millimetres of metal. With
/// 1 mohm it is a time constant of 1 us.
pub const LEAST_INDUCTANCE: Inductance = constant!(Inductance::from_henries(1.0e-9));

/// States, and one that is always one.
const STATES: usize = MAX_LOOPS + MAX_CAPACITORS + 1;
/// Most doublings of the step.
const DOUBLINGS: u8 = 48;
/// Step times largest row sum of A, at most: nine terms of the series reach 1e-16 then.
const STEP_NORM: f64 = 0.125;
const TERMS: u8 = 9;
/// Pairs of steps before the first doubling, and after each.
const FIRST_PAIRS: u8 = 32;
/// Doublings that make one step of the steps before the first.
const FIRST_DOUBLINGS: u8 = 6;
const PAIRS: u8 = 16;

/// A branch between two of 144 points.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // an input record: every field must be stated
pub struct TransientBranch {
    /// First end, which a positive current enters.
    pub from: u8,
    /// Second end.
    pub to: u8,
    /// EMF, which raises the second end above the first; of a capacitor its voltage at
    /// the beginning.
    pub emf: Voltage,
    /// Resistance in series.
    pub resistance: Resistance,
    /// Inductance in series; below [`LEAST_INDUCTANCE`] that counts.
    pub inductance: Inductance,
    /// Capacitance in series.
    pub capacitor: Option<Capacitance>,
}

/// The number of a branch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub struct Watched(usize);

impl Watched {
    pub(super) const fn new(part: usize) -> Self {
        Self(part)
    }
}

/// The course of one current.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Course {
    /// Largest amount.
    pub peak: Current,
    /// When.
    pub peak_at: Time,
    /// At the end; negative from the second end to the first.
    pub at_end: Current,
    /// Joule integral to the end.
    pub i2t: CurrentSquaredTime,
}

impl Course {
    /// No current.
    pub const NONE: Self = Self {
        peak: constant!(Current::from_amperes(0.0)),
        peak_at: constant!(Time::from_seconds(0.0)),
        at_end: constant!(Current::from_amperes(0.0)),
        i2t: constant!(CurrentSquaredTime::from_a2s(0.0)),
    };
}

#[derive(Clone, Copy, Debug)]
struct Branch {
    from: u8,
    to: u8,
    volts: f64,
    ohms: f64,
    henries: f64,
    farads: f64,
}

/// A network whose currents start from zero when its last loop is closed.
///
/// Large: keep it in a `static` or on the heap.
#[derive(Debug)]
pub struct Transient {
    branches: Vec<Branch, MAX_PARTS>,
    /// Which branches make a loop: 1, or -1 against the loop.
    loops: Vec<[i8; MAX_PARTS], MAX_LOOPS>,
    capacitors: Vec<usize, MAX_CAPACITORS>,
    system: Square,
    step: Square,
    scratch: Square,
    squares: Square,
}

impl Default for Transient {
    fn default() -> Self {
        Self::new()
    }
}

impl Transient {
    /// An empty network.
    pub const fn new() -> Self {
        Self {
            branches: Vec::new(),
            loops: Vec::new(),
            capacitors: Vec::new(),
            system: Square::new(),
            step: Square::new(),
            scratch: Square::new(),
            squares: Square::new(),
        }
    }

    /// Takes all branches out.
    pub fn clear(&mut self) {
        self.branches.clear();
    }

    /// Adds a branch.
    ///
    /// # Errors
    /// [`Inconsistency::UnknownNode`] for a point beyond the last;
    /// [`Inconsistency::BothEndsOnOneNode`]; [`Inconsistency::DivisionByZero`] for a
    /// capacitor of nothing; [`Capacity::NetworkBranches`].
    pub fn add(&mut self, branch: &TransientBranch) -> Result<Watched, Error> {
        let farads = branch.capacitor.map(|c| f64::from(c.as_farads()));
        if farads.is_some_and(|farads| farads <= 0.0) {
            return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
        }
        self.push(Branch {
            from: branch.from,
            to: branch.to,
            volts: f64::from(branch.emf.as_volts()),
            ohms: f64::from(branch.resistance.as_ohms()),
            henries: f64::from(branch.inductance.as_henries()),
            farads: farads.unwrap_or(0.0),
        })
    }

    pub(super) fn add_part(&mut self, part: &Part) -> Result<Watched, Error> {
        self.push(Branch {
            from: part.from,
            to: part.to,
            volts: f64::from(part.volts),
            ohms: f64::from(part.ohms),
            henries: f64::from(part.henries),
            farads: f64::from(part.farads),
        })
    }

    fn push(&mut self, branch: Branch) -> Result<Watched, Error> {
        if branch.from == branch.to {
            return Err(Error::Inconsistent(Inconsistency::BothEndsOnOneNode));
        }
        if usize::from(branch.from.max(branch.to)) >= MAX_POINTS {
            return Err(Error::Inconsistent(Inconsistency::UnknownNode));
        }
        let least = f64::from(LEAST_INDUCTANCE.as_henries());
        let branch = Branch {
            henries: if branch.henries > least {
                branch.henries
            } else {
                least
            },
            ..branch
        };
        let number = Watched(self.branches.len());
        let full = Error::Capacity(Capacity::NetworkBranches);
        self.branches.push(branch).map_err(|_| full)?;
        Ok(number)
    }

    /// Computes the course of the watched currents from the beginning to a time; as many
    /// courses as are watched are overwritten.
    ///
    /// Precision about 1e-6 for the joule integral and the end, 1e-4 for a peak in the
    /// first ten swings.
    ///
    /// # Errors
    /// [`Capacity::FaultLoops`] beyond [`MAX_LOOPS`] or [`MAX_CAPACITORS`];
    /// [`Inconsistency::UnknownBranch`]; [`Error::OutOfRange`] when a result lies outside
    /// its row of [`crate::bounds`].
    pub fn run(
        &mut self,
        watched: &[Watched],
        until: Time,
        courses: &mut [Course],
    ) -> Result<(), Error> {
        for branch in watched {
            if branch.0 >= self.branches.len() {
                return Err(Error::Inconsistent(Inconsistency::UnknownBranch));
            }
        }
        for course in courses.iter_mut().take(watched.len()) {
            *course = Course::NONE;
        }
        self.find_loops()?;
        let seconds = f64::from(until.as_seconds());
        if self.loops.is_empty() || seconds <= 0.0 {
            return Ok(());
        }
        let norm = self.enter()?;
        let mut doublings = 0;
        let mut step = seconds / f64::from(2 * FIRST_PAIRS);
        while doublings < DOUBLINGS && step * norm > STEP_NORM {
            step *= 0.5;
            doublings += 1;
        }
        self.system.scale(step);
        let mut sums = [0.0; MAX_WATCHED];
        for (branch, sum) in watched.iter().zip(&mut sums) {
            *sum = self.joule(*branch, step, doublings);
        }
        self.exponential();
        let mut state = [0.0; STATES];
        put(&mut state, self.states() - 1, 1.0);
        let mut kept: Vec<Kept, MAX_WATCHED> = Vec::new();
        for _ in watched {
            let full = Error::Capacity(Capacity::FaultLoops);
            kept.push(Kept::default()).map_err(|_| full)?;
        }
        let mut now = 0.0;
        for block in 0..=doublings {
            if block > 0 {
                self.twice();
                step *= 2.0;
            }
            for kept in &mut kept {
                kept.before = None;
            }
            for _ in 0..if block == 0 { FIRST_PAIRS } else { PAIRS } {
                self.advance(&mut state);
                now += step;
                self.sample(&state, watched, &mut kept, now, step);
                self.advance(&mut state);
                now += step;
                self.sample(&state, watched, &mut kept, now, step);
            }
        }
        for ((course, kept), sum) in courses.iter_mut().zip(&kept).zip(sums) {
            *course = kept.course(until, sum)?;
        }
        Ok(())
    }

    fn states(&self) -> usize {
        self.loops.len() + self.capacitors.len() + 1
    }

    /// A loop for each branch outside of a spanning tree. Bound: branches times points.
    fn find_loops(&mut self) -> Result<(), Error> {
        self.loops.clear();
        self.capacitors.clear();
        let full = Error::Capacity(Capacity::FaultLoops);
        let mut parent = [None; MAX_POINTS];
        let mut depth = [None; MAX_POINTS];
        let mut tree = [false; MAX_PARTS];
        for start in &self.branches {
            let root = usize::from(start.from);
            if get(&depth, root).is_some() {
                continue;
            }
            put(&mut depth, root, Some(0_u16));
            for _ in 0..self.branches.len() {
                let mut grew = false;
                for (number, branch) in self.branches.iter().enumerate() {
                    let (from, to) = (usize::from(branch.from), usize::from(branch.to));
                    let (new, old) = match (get(&depth, from), get(&depth, to)) {
                        (Some(level), None) => (to, level),
                        (None, Some(level)) => (from, level),
                        _ => continue,
                    };
                    put(&mut depth, new, Some(old.saturating_add(1)));
                    put(&mut parent, new, Some(number));
                    put(&mut tree, number, true);
                    grew = true;
                }
                if !grew {
                    break;
                }
            }
        }
        for (number, chord) in self.branches.iter().enumerate() {
            if chord.farads > 0.0 {
                self.capacitors.push(number).map_err(|_| full)?;
            }
            if tree.get(number).copied() == Some(true) {
                continue;
            }
            let mut signs = [0_i8; MAX_PARTS];
            put(&mut signs, number, 1);
            // From the chord's second end back to its first through the tree.
            let (mut ahead, mut behind) = (usize::from(chord.to), usize::from(chord.from));
            for _ in 0..2 * MAX_POINTS {
                if ahead == behind {
                    break;
                }
                let deeper = get(&depth, ahead) >= get(&depth, behind);
                let at = if deeper { ahead } else { behind };
                let Some((up, branch)) =
                    get(&parent, at).and_then(|up| Some((up, self.branches.get(up)?)))
                else {
                    break;
                };
                let outward = usize::from(branch.from) == at;
                // Ahead the loop goes towards the root, behind it comes from there.
                put(&mut signs, up, if outward == deeper { 1 } else { -1 });
                let next = usize::from(if outward { branch.to } else { branch.from });
                if deeper {
                    ahead = next;
                } else {
                    behind = next;
                }
            }
            self.loops.push(signs).map_err(|_| full)?;
        }
        Ok(())
    }

    /// Enters the system and gives its largest row sum, without the constant.
    fn enter(&mut self) -> Result<f64, Error> {
        let (loops, states) = (self.loops.len(), self.states());
        let constant = states - 1;
        self.system.clear(states);
        self.scratch.clear(loops);
        // Right-hand sides first, then the inverse of the inductances is applied to them.
        for (row, signs) in self.loops.iter().enumerate() {
            for (column, others) in self.loops.iter().enumerate() {
                let (mut henries, mut ohms) = (0.0, 0.0);
                for ((one, other), branch) in signs.iter().zip(others).zip(&self.branches) {
                    let both = f64::from(one * other);
                    henries += both * branch.henries;
                    ohms += both * branch.ohms;
                }
                self.scratch.set(row, column, henries);
                self.system.set(row, column, -ohms);
            }
            for (place, &capacitor) in self.capacitors.iter().enumerate() {
                let sign = f64::from(get(signs, capacitor));
                self.system.set(row, loops + place, sign);
            }
            let mut volts = 0.0;
            for (sign, branch) in signs.iter().zip(&self.branches) {
                volts += f64::from(*sign) * branch.volts;
            }
            self.system.set(row, constant, volts);
        }
        self.divide(loops, states)?;
        // A capacitor's state is how far its voltage has fallen, times a scale that makes
        // both of its entries alike: the steps then follow the swing, not the units.
        for (place, &capacitor) in self.capacitors.iter().enumerate() {
            let farads = self.branches.get(capacitor).map_or(1.0, |b| b.farads);
            let column = loops + place;
            let mut largest = 0.0_f64;
            for row in 0..loops {
                largest = largest.max(self.system.get(row, column).abs());
            }
            let scale = libm::sqrt(farads * largest);
            // A capacitor outside of all loops.
            if scale <= 0.0 {
                continue;
            }
            for row in 0..loops {
                let entry = -self.system.get(row, column) / scale;
                self.system.set(row, column, entry);
            }
            for (row, signs) in self.loops.iter().enumerate() {
                let sign = f64::from(get(signs, capacitor));
                self.system.set(column, row, sign * scale / farads);
            }
        }
        let mut norm = 0.0_f64;
        for row in 0..constant {
            let entries = self.system.row(row).iter().take(constant);
            let sum: f64 = entries.map(|entry| entry.abs()).sum();
            norm = norm.max(sum);
        }
        Ok(norm)
    }

    /// Solves M x = b for all columns of the loop rows; M, symmetric and positive
    /// definite, is in the scratch and is used up.
    fn divide(&mut self, loops: usize, states: usize) -> Result<(), Error> {
        for pivot in 0..loops {
            let diagonal = self.scratch.get(pivot, pivot);
            if diagonal <= 0.0 {
                return Err(Error::Inconsistent(Inconsistency::DivisionByZero));
            }
            for row in 0..loops {
                let factor = self.scratch.get(row, pivot) / diagonal;
                if row == pivot || factor == 0.0 {
                    continue;
                }
                for column in pivot..loops {
                    let entry =
                        self.scratch.get(row, column) - factor * self.scratch.get(pivot, column);
                    self.scratch.set(row, column, entry);
                }
                for column in 0..states {
                    let entry =
                        self.system.get(row, column) - factor * self.system.get(pivot, column);
                    self.system.set(row, column, entry);
                }
            }
        }
        for row in 0..loops {
            let diagonal = self.scratch.get(row, row);
            for column in 0..states {
                let entry = self.system.get(row, column) / diagonal;
                self.system.set(row, column, entry);
            }
        }
        Ok(())
    }

    /// The joule integral of a branch over all steps. The system is A h.
    fn joule(&mut self, branch: Watched, step: f64, doublings: u8) -> f64 {
        let states = self.states();
        // G / h = N0 + N1/2! + N2/3! + ..., N0 = c c', Nk+1 = (A h)' Nk + Nk (A h).
        self.scratch.clear(states);
        for (row, signs) in self.loops.iter().enumerate() {
            for (column, others) in self.loops.iter().enumerate() {
                let both = get(signs, branch.0) * get(others, branch.0);
                self.scratch.set(row, column, f64::from(both));
            }
        }
        self.squares.copy(&self.scratch, step);
        let mut weight = step;
        for term in 2..=TERMS {
            self.step.product(&self.scratch, &self.system, states);
            self.scratch.sum_with_transposed(&self.step);
            weight /= f64::from(term);
            self.squares.add_scaled(&self.scratch, weight);
        }
        self.exponential();
        // From one step to all of them.
        let mut left = doublings + FIRST_DOUBLINGS;
        while left > 0 {
            self.scratch.product(&self.squares, &self.step, states);
            self.scratch.add(&self.squares);
            self.squares.add(&self.scratch);
            self.squares
                .add_transposed_product(&self.step, &self.scratch);
            self.twice();
            left -= 1;
        }
        // Everything starts from zero but the constant.
        self.squares.get(states - 1, states - 1)
    }

    /// D = A h + (A h)2/2 + ..., by Horner.
    fn exponential(&mut self) {
        let states = self.states();
        self.step.copy(&self.system, 1.0 / f64::from(TERMS));
        for term in (1..TERMS).rev() {
            // D <- A h / k (1 + D)
            self.scratch.product(&self.system, &self.step, states);
            self.scratch.add(&self.system);
            self.step.copy(&self.scratch, 1.0 / f64::from(term));
        }
    }

    /// D for twice the step.
    fn twice(&mut self) {
        let states = self.states();
        self.scratch.product(&self.step, &self.step, states);
        self.step.scale(2.0);
        self.step.add(&self.scratch);
    }

    fn advance(&self, state: &mut [f64; STATES]) {
        let before = *state;
        for (row, value) in state.iter_mut().enumerate().take(self.states()) {
            let change: f64 = self
                .step
                .row(row)
                .iter()
                .zip(&before)
                .map(|(d, z)| d * z)
                .sum();
            *value += change;
        }
    }

    fn sample(
        &self,
        state: &[f64; STATES],
        watched: &[Watched],
        kept: &mut [Kept],
        now: f64,
        step: f64,
    ) {
        for (branch, kept) in watched.iter().zip(kept) {
            let mut amperes = 0.0;
            for (signs, current) in self.loops.iter().zip(state) {
                amperes += f64::from(get(signs, branch.0)) * current;
            }
            kept.take(amperes, now, step);
        }
    }
}

/// What is kept of one current while it runs.
#[derive(Clone, Copy, Debug, Default)]
struct Kept {
    last: f64,
    /// The sample before the last one, at the same distance.
    before: Option<f64>,
    peak: f64,
    peak_at: f64,
}

impl Kept {
    fn take(&mut self, amperes: f64, now: f64, step: f64) {
        if amperes.abs() > self.peak {
            (self.peak, self.peak_at) = (amperes.abs(), now);
        }
        if let Some(before) = self.before {
            let (a, b, c) = (before.abs(), self.last.abs(), amperes.abs());
            let bend = 2.0 * b - a - c;
            if b >= a && b >= c && bend > 0.0 {
                let peak = b + (c - a) * (c - a) / (8.0 * bend);
                if peak > self.peak {
                    (self.peak, self.peak_at) = (peak, now - step + 0.5 * step * (c - a) / bend);
                }
            }
        }
        self.before = Some(self.last);
        self.last = amperes;
    }

    fn course(&self, until: Time, i2t: f64) -> Result<Course, Error> {
        let at = narrow(self.peak_at);
        Ok(Course {
            peak: Current::from_amperes(narrow(self.peak))?,
            peak_at: if at < until.as_seconds() {
                Time::from_seconds(at)?
            } else {
                until
            },
            at_end: Current::from_amperes(narrow(self.last))?,
            i2t: CurrentSquaredTime::from_a2s(narrow(i2t))?,
        })
    }
}

/// A square matrix, row by row.
#[derive(Debug)]
struct Square {
    size: usize,
    entries: [f64; STATES * STATES],
}

impl Square {
    const fn new() -> Self {
        Self {
            size: 0,
            entries: [0.0; STATES * STATES],
        }
    }

    fn clear(&mut self, size: usize) {
        self.size = size.min(STATES);
        self.entries.fill(0.0);
    }

    fn row(&self, row: usize) -> &[f64] {
        let start = row * self.size;
        self.entries
            .get(start..start + self.size)
            .unwrap_or_default()
    }

    fn row_mut(&mut self, row: usize) -> &mut [f64] {
        let start = row * self.size;
        self.entries
            .get_mut(start..start + self.size)
            .unwrap_or_default()
    }

    fn get(&self, row: usize, column: usize) -> f64 {
        self.row(row).get(column).copied().unwrap_or(0.0)
    }

    fn set(&mut self, row: usize, column: usize, value: f64) {
        put(self.row_mut(row), column, value);
    }

    fn scale(&mut self, factor: f64) {
        for entry in &mut self.entries {
            *entry *= factor;
        }
    }

    fn copy(&mut self, other: &Self, factor: f64) {
        self.size = other.size;
        for (entry, from) in self.entries.iter_mut().zip(&other.entries) {
            *entry = from * factor;
        }
    }

    fn add(&mut self, other: &Self) {
        for (entry, more) in self.entries.iter_mut().zip(&other.entries) {
            *entry += more;
        }
    }

    fn add_scaled(&mut self, other: &Self, factor: f64) {
        for (entry, more) in self.entries.iter_mut().zip(&other.entries) {
            *entry += factor * more;
        }
    }

    /// Becomes the sum of a matrix and its transposed one.
    fn sum_with_transposed(&mut self, other: &Self) {
        for row in 0..self.size {
            for column in 0..self.size {
                let sum = other.get(row, column) + other.get(column, row);
                self.set(row, column, sum);
            }
        }
    }

    /// Adds the product of the transposed one and the other.
    fn add_transposed_product(&mut self, one: &Self, other: &Self) {
        for (factors, entries) in (0..self.size).map(|row| (one.row(row), other.row(row))) {
            for (row, factor) in factors.iter().enumerate() {
                let start = row * self.size;
                let Some(sums) = self.entries.get_mut(start..start + self.size) else {
                    return;
                };
                for (sum, entry) in sums.iter_mut().zip(entries) {
                    *sum += factor * entry;
                }
            }
        }
    }

    fn product(&mut self, one: &Self, other: &Self, size: usize) {
        self.clear(size);
        for row in 0..size {
            let start = row * size;
            let Some(sums) = self.entries.get_mut(start..start + size) else {
                return;
            };
            for (column, factor) in one.row(row).iter().enumerate() {
                if *factor != 0.0 {
                    for (sum, entry) in sums.iter_mut().zip(other.row(column)) {
                        *sum += factor * entry;
                    }
                }
            }
        }
    }
}

fn get<T: Copy + Default>(list: &[T], place: usize) -> T {
    list.get(place).copied().unwrap_or_default()
}

fn put<T>(list: &mut [T], place: usize, value: T) {
    if let Some(entry) = list.get_mut(place) {
        *entry = value;
    }
}

#[allow(clippy::cast_possible_truncation)] // to the precision of the quantities
fn narrow(value: f64) -> f32 {
    value as f32
}
