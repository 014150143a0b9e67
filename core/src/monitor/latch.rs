//! How long something has to last, and what clears it: one machine for all checks.

// At opt-level s little would be inlined, and a check that is quiet is nothing else.
#![allow(clippy::inline_always)]

use super::finding::{Reset, Rule, State};
use super::input::Blind;

/// What a check sees in one tick. What a quiet latch stays quiet at has the number of its
/// state, so that one comparison tells.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(u32)]
pub(super) enum Look {
    /// Nothing to look at.
    Idle = State::Idle as u32,
    /// It holds.
    Good = State::Good as u32,
    /// It does not.
    Bad = 8,
    /// An input is no number.
    NotANumber,
    /// An input is out of its range.
    OutOfRange,
    /// An input is too old.
    Stale,
}

impl Look {
    #[inline(always)]
    pub(super) const fn bad(bad: bool) -> Self {
        if bad { Self::Bad } else { Self::Good }
    }

    /// An input cannot be used.
    pub(super) const fn blind(why: Blind) -> Self {
        match why {
            Blind::NotANumber => Self::NotANumber,
            Blind::OutOfRange => Self::OutOfRange,
            Blind::Stale => Self::Stale,
        }
    }

    /// Good, or the first of both that is not.
    #[inline(always)]
    pub(super) fn and(self, other: Self) -> Self {
        if self == Self::Good { other } else { self }
    }

    /// Why an input cannot be used.
    pub(super) const fn why(self) -> Option<Blind> {
        match self {
            Self::Idle | Self::Good | Self::Bad => None,
            Self::NotANumber => Some(Blind::NotANumber),
            Self::OutOfRange => Some(Blind::OutOfRange),
            Self::Stale => Some(Blind::Stale),
        }
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

    /// Just in this state.
    pub(super) const fn new(state: State) -> Self {
        Self(state as u32)
    }

    /// Whether nothing is told of it.
    #[inline(always)]
    pub(super) const fn is_quiet(self) -> bool {
        self.0 & 7 <= State::Good as u32
    }

    const fn with(state: State, for_ms: u32) -> Self {
        let for_ms = if for_ms > MOST_MS { MOST_MS } else { for_ms };
        Self(for_ms << 3 | state as u32)
    }

    /// Whether it was and stays what nothing is told of. How long that lasts nobody asks.
    #[inline(always)]
    pub(super) const fn stays_quiet(self, look: Look) -> bool {
        self.0 & 7 == look as u32
    }

    /// Whether it is found and not cleared yet.
    pub(super) const fn holds(self) -> bool {
        const FOUND: u32 = State::Found as u32;
        const CLEARING: u32 = State::Clearing as u32;
        matches!(self.0 & 7, FOUND | CLEARING)
    }

    /// One tick: what is seen, how long that has to last, how long it has to be gone, what
    /// the check leads to, whether a start begins.
    pub(super) fn step(
        &mut self,
        look: Look,
        dt_ms: u32,
        [on_ms, off_ms]: [u32; 2],
        rule: Rule,
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
            (State::Found | State::Clearing, look) if !matches!(look, Look::Idle | Look::Good) => {
                State::Found
            }
            (State::Found | State::Clearing, look) => {
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
            (_, Look::Good) => State::Good,
            (_, Look::Idle) => State::Idle,
            // Seen once, it counts as going on until it is seen to be gone.
            (State::Watching, _) if longer >= on_ms => State::Found,
            (State::Watching, _) => State::Watching,
            // One look is one look, however long ago the one before it was.
            (_, Look::Bad) if on_ms == 0 => State::Found,
            (_, Look::Bad) => State::Watching,
            _ => State::Blind,
        };
        *self = if next == state {
            Self::with(state, longer)
        } else {
            // The tick in which it is first seen counts.
            Self::with(next, dt_ms)
        };
    }

    /// Somebody looked after what was found. What is watched goes on: acknowledged again and
    /// again it would never be found.
    pub(super) fn acknowledge(&mut self) {
        if self.holds() {
            *self = Self::IDLE;
        }
    }
}
