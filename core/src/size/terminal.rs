//! The temperature at the ends of the route, where the conductor lands on terminals.
//!
//! What the ends settle at: [`crate::conductor::end`]. A peak
//! adds what it warms the cable of the end piece; the joint itself, slower than the cable,
//! is taken at the continuous current, which for a peak of minutes is too cool.

use super::candidate::{PieceResult, Setup};
use super::question::Piece;
use crate::conductor::end::{LeadEnd, SettledPiece, end_temperature};
use crate::error::Error;
use crate::quantity::{Length, Resistance, Temperature};
use crate::standard::SourceId;

impl Setup<'_> {
    /// Temperature of the hotter end with margin, the joint's rise included when its
    /// resistance is entered; `None` when there is none.
    pub(super) fn terminal_temperature(
        &self,
        pieces: &[PieceResult],
    ) -> Result<(Option<f32>, SourceId), Error> {
        let source = if self.question.joint.is_some() {
            SourceId::FinEquation
        } else {
            SourceId::Iec60287
        };
        let inwards = || self.question.route.iter().zip(pieces);
        let first = self.end_temperature(inwards())?;
        let last = self.end_temperature(inwards().rev())?;
        let first = self.in_peaks(pieces.first(), first)?;
        let last = self.in_peaks(pieces.last(), last)?;
        let hotter = match (first, last) {
            (Some(first), Some(last)) => Some(first.max(last)),
            _ => None,
        };
        Ok((hotter, source))
    }

    /// The highest of a settled end's temperature and that with each peak's warming of its
    /// cable on top; `None` where there is none.
    fn in_peaks(
        &self,
        end: Option<&PieceResult>,
        settled: Option<f32>,
    ) -> Result<Option<f32>, Error> {
        let (Some(end), Some(settled)) = (end, settled) else {
            return Ok(None);
        };
        let Some(cable) = end.steady_with_margin.conductor() else {
            return Ok(None);
        };
        let mut hottest = settled;
        for peak in &self.question.peaks {
            let margin = self.question.margin.as_fraction();
            let Some(there) = self.peak_temperature(core::slice::from_ref(end), *peak, margin)?
            else {
                return Ok(None);
            };
            hottest = hottest.max(settled + there.as_degc() - cable.as_degc());
        }
        Ok(Some(hottest))
    }

    /// Temperature of the end that the pieces are counted from; `None` when a piece does
    /// not settle or the joint melts.
    fn end_temperature<'a>(
        &self,
        inwards: impl Iterator<Item = (&'a Piece, &'a PieceResult)>,
    ) -> Result<Option<f32>, Error> {
        let end = LeadEnd {
            contact: match self.question.joint {
                Some(contact) => contact,
                None => Resistance::from_ohms(0.0)?,
            },
            section: self.conductor.section,
            metal: self.question.metal,
            length: (self.question.length()).and_then(|length| Length::from_metres(length).ok()),
        };
        let pieces = inwards.map(|(piece, result)| SettledPiece {
            balance: &result.balance,
            steady: result.steady_with_margin,
            length: piece.length,
        });
        let current = self.with_margin(self.question.current)?;
        let end = end_temperature(pieces, &end, current)?;
        Ok(end.map(Temperature::as_degc))
    }
}

#[cfg(test)]
mod tests {
    use crate::conductor::installation::{InTube, Installation};
    use crate::quantity::Resistance;
    use crate::size::candidate::Candidate;
    use crate::size::candidate::tests::{asked, degc, mm2, piece};

    fn terminal(candidate: &Candidate) -> f32 {
        candidate.limits.last().unwrap().value.unwrap()
    }

    #[test]
    fn a_bad_joint_is_hot_in_a_cold_place_too() {
        // Failed once: a cable that radiates to a cold sky is cooler than its air, and the
        // joint was then left out. 20 mohm and 20 A (23 A with margin) are 10.6 W.
        let mut question = asked(20.0);
        question.terminal_limit = Some(degc(120.0));
        let place = &mut question.route[0].surroundings;
        (place.air, place.radiant) = (degc(25.0), degc(-60.0));
        let clean = Candidate::evaluate(&question, mm2(70.0)).unwrap();
        question.joint = Some(Resistance::from_ohms(0.02).unwrap());
        let bad = Candidate::evaluate(&question, mm2(70.0)).unwrap();
        assert!(terminal(&clean) < 25.0);
        assert!(terminal(&bad) > terminal(&clean) + 40.0);
    }

    #[test]
    fn a_short_tail_of_a_hot_tube_is_hot_too() {
        // Failed once: 5 cm of free air beyond a tube in 90 degC air were judged as if the
        // tube were not there.
        let ends = |tail: f32| {
            let mut question = asked(120.0);
            question.terminal_limit = Some(degc(105.0));
            question.route[0] = piece(Installation::FreeAir, 40.0, 10.0);
            let tube = Installation::ClosedTube(InTube::Pair, None);
            question.route.push(piece(tube, 90.0, 3.0)).unwrap();
            question
                .route
                .push(piece(Installation::FreeAir, 40.0, tail))
                .unwrap();
            let candidate = Candidate::evaluate(&question, mm2(70.0)).unwrap();
            let piece = |index: usize| {
                let steady = candidate.pieces[index].steady_with_margin;
                steady.conductor().unwrap().as_degc()
            };
            (piece(2), terminal(&candidate), piece(1))
        };
        let (own, end, tube) = ends(0.05);
        assert!(
            end > own + 0.6 * (tube - own) && end < tube,
            "{own} {end} {tube}"
        );
        let (own, end, _) = ends(5.0);
        assert!((end - own).abs() < 0.01, "{own} {end}");
    }
}
