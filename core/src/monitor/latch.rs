//! How long something has to last, and what clears it: one machine for all checks.

use super::finding::{Reset, Rule, State};

/// What a check sees in one tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Look {
    /// Nothing to look at.
    Idle,
    /// It holds.
    Good,
    /// It does not.
    Bad,
    /// An input cannot be used.
    Blind(super::input::Blind),
}

impl Look {
    pub(super) const fn bad(bad: bool) -> Self {
        if bad { Self::Bad } else { Self::Good }
    }
}

/// State and time in it, in one word: there are a hundred of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
pub(super) struct Latch(u32);

/// What was bad for a while and is good since is forgotten in so many times that while, where
/// a check remembers.
const FORGOTTEN_IN: u32 = 4;

/// Six days; time stands still there.
const MOST_MS: u32 = (1 << 29) - 1;

impl Latch {
    pub(super) const IDLE: Self = Self(0);

    /// A lock that was kept over a restart.
    pub(super) const LOCKED: Self = Self(State::Found as u32);

    pub(super) const fn state(self) -> State {
        match self.0 & 7 {
            0 => State::Idle,
            1 => State::Good,
            2 => State::Watching,
            3 => State::Found,
            4 => State::Clearing,
            _ => State::Blind,
        }
    }

    pub(super) const fn for_ms(self) -> u32 {
        self.0 >> 3
    }

    const fn with(state: State, for_ms: u32) -> Self {
        let for_ms = if for_ms > MOST_MS { MOST_MS } else { for_ms };
        Self(for_ms << 3 | state as u32)
    }

    /// Whether it was and stays what nothing is told of. How long that lasts nobody asks.
    pub(super) fn stays_quiet(self, look: Look) -> bool {
        match look {
            Look::Good => self.0 & 7 == State::Good as u32,
            Look::Idle => self.0 & 7 == State::Idle as u32,
            Look::Bad | Look::Blind(_) => false,
        }
    }

    /// Whether it is found and not cleared yet.
    pub(super) const fn holds(self) -> bool {
        matches!(self.state(), State::Found | State::Clearing)
    }

    /// One tick: what is seen, how long that has to last, how long it has to be gone, what
    /// the check leads to, whether a start begins.
    pub(super) fn step(
        &mut self,
        look: Look,
        dt_ms: u32,
        [on_ms, off_ms]: [u32; 2],
        rule: &Rule,
        start: bool,
    ) {
        let state = self.state();
        let longer = self.for_ms().saturating_add(dt_ms);
        if state == State::Watching && look == Look::Good && rule.remembers {
            // Rounded up: in ticks of a millisecond it is forgotten as fast as it came.
            let left = self.for_ms().saturating_sub(dt_ms.div_ceil(FORGOTTEN_IN));
            if left > 0 {
                *self = Self::with(state, left);
                return;
            }
        }
        let next = match (state, look) {
            // What was found stays until what clears it comes.
            (State::Found | State::Clearing, Look::Bad | Look::Blind(_)) => State::Found,
            (State::Found | State::Clearing, Look::Idle | Look::Good) => {
                let good = look == Look::Good;
                let counted = state == State::Clearing && longer >= off_ms || off_ms == 0;
                match rule.reset {
                    // Only what is seen to be gone is gone.
                    Reset::Gone | Reset::Wait | Reset::Input if good && counted => State::Good,
                    Reset::Start if start && good => State::Good,
                    Reset::Start if start => State::Idle,
                    // Out of sight is not on its way to be gone.
                    _ if good => State::Clearing,
                    _ => State::Found,
                }
            }
            // Seen once, it counts as going on until it is seen to be gone.
            (State::Watching, Look::Bad | Look::Blind(_)) if longer >= on_ms => State::Found,
            (State::Watching, Look::Blind(_)) => State::Watching,
            (_, Look::Blind(_)) => State::Blind,
            (_, Look::Bad) if on_ms <= dt_ms => State::Found,
            (_, Look::Bad) => State::Watching,
            (_, Look::Good) => State::Good,
            (_, Look::Idle) => State::Idle,
        };
        *self = if next == state {
            Self::with(state, longer)
        } else {
            // The tick in which it is first seen counts.
            Self::with(next, dt_ms)
        };
    }

    /// Somebody looked after it.
    pub(super) fn acknowledge(&mut self) {
        *self = Self::IDLE;
    }
}
