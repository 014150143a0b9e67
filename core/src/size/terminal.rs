//! The temperature at the ends of the route, where the conductor lands on terminals.
//!
//! Three parts: what the cable of the end piece settles at; the rise of the joint above
//! it ([`crate::conductor::lug`]); and what flows along the conductor from hotter pieces
//! further in. A piece from a to b metres from the end, hotter by d, adds
//! d (exp(-a/l) - exp(-b/l)), l the decay length of the end piece: the fin equation with
//! an end that lets no heat out. Colder pieces take nothing off. With a better cooled end
//! piece than the one next to it, as usual, the true share is smaller.
//!
//! Source: [`SourceId::FinEquation`]. An end piece without a length counts as long. Peaks
//! are not judged at the terminal. The rise of the joint is that of a long end piece: where
//! a short one goes on into a tube that leaves a third of the dissipation, it is up to
//! 1.7 times that.

use super::candidate::{PieceResult, Setup};
use super::question::Piece;
use crate::conductor::heat_balance::Steady;
use crate::conductor::lug::{Joint, joint_temperature};
use crate::error::Error;
use crate::quantity::{
    Current, Length, LinearResistance, Resistance, ThermalConductance, ThermalConductivity,
};
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
        let hotter = match (first, last) {
            (Some(first), Some(last)) => Some(first.max(last)),
            _ => None,
        };
        Ok((hotter, source))
    }

    /// Temperature of the end that the pieces are counted from; `None` when a piece does
    /// not settle or the joint melts.
    fn end_temperature<'a>(
        &self,
        mut inwards: impl Iterator<Item = (&'a Piece, &'a PieceResult)>,
    ) -> Result<Option<f32>, Error> {
        let Some((piece, end)) = inwards.next() else {
            return Ok(None);
        };
        let Some(conductor) = end.steady_with_margin.conductor() else {
            return Ok(None);
        };
        let conductor = conductor.as_degc();
        let Some(joint) = self.joint(end, conductor)? else {
            return Ok(None);
        };
        let current = self.with_margin(self.question.current)?;
        let Ok(Some(joint)) = joint_temperature(&joint, current) else {
            // Off the scale: the joint melts.
            return Ok(None);
        };
        let decay = joint.decay_length.as_metres();
        let fading = |length: Option<Length>| {
            length.map_or(0.0, |length| libm::expf(-length.as_metres() / decay))
        };
        let mut from_inside = 0.0;
        let mut left = fading(piece.length);
        for (piece, result) in inwards {
            let Steady::Settles(state) = result.steady_with_margin else {
                return Ok(None);
            };
            let beyond = left * fading(piece.length);
            let hotter = libm::fmaxf(state.conductor.as_degc() - conductor, 0.0);
            from_inside += hotter * (left - beyond);
            left = beyond;
        }
        // The cable's own temperature stays that of the full balance.
        Ok(Some(conductor + joint.rise.as_kelvin() + from_inside))
    }

    /// The joint of an end piece with this conductor temperature; `None` when its cable
    /// gives off next to nothing and so cools no joint.
    fn joint(&self, end: &PieceResult, conductor: f32) -> Result<Option<Joint>, Error> {
        // Sun, hot or cold surfaces and the shield's own heat shift the temperature that
        // the cable has without current; its dissipation counts from there.
        let idle = end.balance.temperature_at(Current::from_amperes(0.0)?)?;
        let Some(idle) = idle.conductor() else {
            return Ok(None);
        };
        let heat = end.balance.heat_per_kelvin(idle.as_degc(), conductor);
        let Some(cable_dissipation) =
            heat.and_then(|heat| ThermalConductivity::from_w_per_m_k(heat).ok())
        else {
            return Ok(None);
        };
        let growing = end.balance.effective_resistance_20()?.as_ohm_per_m()
            * (1.0 + self.question.shield_loss.ratio.as_fraction());
        Ok(Some(Joint {
            contact: match self.question.joint {
                Some(contact) => contact,
                None => Resistance::from_ohms(0.0)?,
            },
            section: self.conductor.section,
            conductivity: self.question.metal.thermal_conductivity(),
            resistance_20: LinearResistance::from_ohm_per_m(growing)?,
            coefficient: self.question.metal.temperature_coefficient_20(),
            cable_dissipation,
            lug_dissipation: ThermalConductance::from_w_per_k(0.0)?,
            air: idle,
            // Longer than any length is as good as without end.
            length: (self.question.length())
                .and_then(|length| Length::from_metres(0.5 * length).ok()),
        }))
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
