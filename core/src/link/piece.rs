//! The closed form of charging while the same loads draw.
//!
//! With `w` the conductance, `i` the current and `p` the power that the loads draw,
//! `R C U dU/dt = -(1 + R w) U2 + (U0 - R i) U - R p`. Its roots `low` and `high` are
//! the voltages at which nothing changes: `high` is stable, below `low` the link
//! collapses. Everything is written over `y = ln((high - start)/(high - U))`, in which
//! the sums have terms of one sign and cancel nothing.

/// Steps of the bisection for a given time; each halves the interval.
const STEPS: u32 = 40;

/// What all loads draw together.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Drawn {
    /// Conductance, 1/ohm.
    pub(super) conductance: f32,
    /// Current, A.
    pub(super) current: f32,
    /// Power, W.
    pub(super) power: f32,
}

/// Source, resistor and capacitor.
#[derive(Clone, Copy, Debug)]
pub(super) struct Circuit {
    /// V.
    pub(super) source: f32,
    /// ohm.
    pub(super) resistance: f32,
    /// F.
    pub(super) capacitance: f32,
}

/// Which way the voltage goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Going {
    Up,
    Down,
    /// Down with growing speed: the power drawn is more than the resistor brings.
    Collapsing,
    Nowhere,
}

/// From one voltage on, while nothing starts or stops to draw.
#[derive(Clone, Copy, Debug)]
pub(super) struct Piece {
    source: f32,
    resistance: f32,
    start: f32,
    low: f32,
    /// Where the voltage settles.
    pub(super) high: f32,
    /// Which way it goes.
    pub(super) going: Going,
    /// Time for one `ln((U - low)/(start - low))`.
    slow: f32,
    /// Time for one `y`.
    fast: f32,
}

impl Piece {
    pub(super) fn new(circuit: Circuit, drawn: Drawn, start: f32) -> Self {
        let Circuit {
            source,
            resistance,
            capacitance,
        } = circuit;
        let square = 1.0 + resistance * drawn.conductance;
        let linear = source - resistance * drawn.current;
        let constant = resistance * drawn.power;
        let tau = resistance * capacitance / square;
        let mut piece = Self {
            source,
            resistance,
            start,
            low: 0.0,
            high: linear / square,
            going: Going::Nowhere,
            slow: 0.0,
            fast: tau,
        };
        if constant > 0.0 {
            let under_root = linear * linear - 4.0 * square * constant;
            if linear <= 0.0 || under_root <= 0.0 {
                piece.going = Going::Collapsing;
                return piece;
            }
            piece.high = (linear + libm::sqrtf(under_root)) / (2.0 * square);
            // The product of the roots: the difference would cancel.
            piece.low = constant / (square * piece.high);
            let apart = piece.high - piece.low;
            if start <= piece.low || apart <= 0.0 {
                piece.going = Going::Collapsing;
                return piece;
            }
            piece.slow = tau * (piece.low / apart);
            piece.fast = tau * (piece.high / apart);
        }
        piece.going = if start < piece.high {
            Going::Up
        } else if start > piece.high {
            Going::Down
        } else {
            Going::Nowhere
        };
        piece
    }

    /// How far it is to a voltage between start and `high`, as `y`; infinite at `high`.
    pub(super) fn progress(&self, volts: f32) -> f32 {
        let (from, to) = (self.high - self.start, self.high - volts);
        if to == 0.0 || (to > 0.0) != (from > 0.0) {
            return f32::INFINITY;
        }
        libm::logf(from / to).max(0.0)
    }

    fn rise(&self, y: f32) -> f32 {
        -(self.high - self.start) * libm::expm1f(-y)
    }

    /// Logarithm beside the lower root.
    fn beside_low(&self, rise: f32) -> f32 {
        if self.slow > 0.0 {
            libm::log1pf(rise / (self.start - self.low))
        } else {
            0.0
        }
    }

    /// Time to reach `y`.
    pub(super) fn time(&self, y: f32) -> f32 {
        self.slow * self.beside_low(self.rise(y)) + self.fast * y
    }

    /// `y` after a time: exact without constant power, otherwise by bisection.
    pub(super) fn progress_after(&self, time: f32) -> f32 {
        let first = time / self.fast;
        if self.slow <= 0.0 {
            return first;
        }
        let (mut early, mut late) = if self.going == Going::Down {
            // The logarithm is negative here and never below that at the upper root.
            let most = self.beside_low(self.high - self.start);
            (first, (time - self.slow * most) / self.fast)
        } else {
            (0.0, first)
        };
        for _ in 0..STEPS {
            let middle = 0.5 * (early + late);
            if self.time(middle) <= time {
                early = middle;
            } else {
                late = middle;
            }
        }
        early
    }

    /// Voltage at `y`.
    pub(super) fn voltage(&self, y: f32) -> f32 {
        let volts = self.start + self.rise(y);
        // Rounding alone could go beyond the end.
        if self.going == Going::Up {
            volts.min(self.high)
        } else {
            volts.max(self.high)
        }
    }

    /// Energy in the resistor up to `y`: the integral of `(U0 - U)2 / R`.
    pub(super) fn energy(&self, y: f32) -> f32 {
        let rise = self.rise(y);
        let left = self.source - self.high;
        let away = self.high - self.start;
        let mut sum =
            self.fast * (left * left * y + 2.0 * left * rise + 0.5 * rise * (2.0 * away - rise));
        if self.slow > 0.0 {
            let left = self.source - self.low;
            let away = self.start - self.low;
            let log = self.beside_low(rise);
            sum += self.slow
                * (left * left * log - 2.0 * left * rise + 0.5 * rise * (2.0 * away + rise));
        }
        (sum / self.resistance).max(0.0)
    }
}
