//! The smallest section that holds, and its neighbours.

use heapless::Vec;

use super::candidate::{Candidate, breaks_no_limit};
use super::question::Question;
use super::series::{Conductor, Series, conductors};
use crate::error::{Capacity, Error};

/// Sections shown on either side of the choice.
pub const NEIGHBOURS: usize = 2;
/// Most candidates of one series: the choice and its neighbours.
pub const MAX_CANDIDATES: usize = 2 * NEIGHBOURS + 1;

/// The answer within one series.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Answer {
    /// Candidates in ascending order: the choice and its neighbours, or the largest
    /// sections when none holds.
    pub candidates: Vec<Candidate, MAX_CANDIDATES>,
    /// Index of the smallest that breaks no limit; `None` when no section holds.
    pub choice: Option<usize>,
}

impl Answer {
    /// The smallest candidate that breaks no limit.
    pub fn chosen(&self) -> Option<&Candidate> {
        self.candidates.get(self.choice?)
    }

    /// The candidate one size below the choice.
    pub fn one_smaller(&self) -> Option<&Candidate> {
        self.candidates.get(self.choice?.checked_sub(1)?)
    }
}

/// Computes: the smallest section of a series that breaks no limit, with its
/// neighbours.
///
/// "Breaks no limit" leaves open what was not asked: see the verdict of the
/// candidate. Every section of the series is tried in ascending order, so a
/// question whose limits are not monotonic in the section (a joint, whose heat sinks
/// into thick cable better) still gets the smallest that holds.
///
/// # Errors
/// Those of [`Candidate::evaluate`] and [`conductors`].
pub fn smallest(question: &Question, series: Series) -> Result<Answer, Error> {
    // The sections so far, as many as are shown before the choice.
    let mut window: Vec<Conductor, MAX_CANDIDATES> = Vec::new();
    let mut choice = None;
    let mut after = 0;
    for conductor in conductors(series, question.metal)? {
        let holds = choice.is_none() && breaks_no_limit(question, conductor)?;
        if choice.is_some() {
            if after == NEIGHBOURS {
                break;
            }
            after += 1;
        } else if window.len()
            >= if holds {
                NEIGHBOURS + 1
            } else {
                MAX_CANDIDATES
            }
        {
            window.remove(0);
        }
        if holds {
            while window.len() > NEIGHBOURS {
                window.remove(0);
            }
            choice = Some(window.len());
        }
        window
            .push(conductor)
            .map_err(|_| Error::Capacity(Capacity::Candidates))?;
    }
    let mut candidates = Vec::new();
    for conductor in window {
        let candidate = Candidate::evaluate(question, conductor)?;
        candidates
            .push(candidate)
            .map_err(|_| Error::Capacity(Capacity::Candidates))?;
    }
    Ok(Answer { candidates, choice })
}
