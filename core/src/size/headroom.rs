//! How far an input may move before the verdict flips.

use super::candidate::breaks_no_limit;
use super::question::Question;
use super::series::Conductor;
use crate::bounds::Bounded;
use crate::error::{Error, Inconsistency};
use crate::quantity::{Current, Length, Share, Temperature};

/// Halvings of each search: the result is good to 1/4096 of the bracket, which is
/// finer than anybody measures a current, an air temperature or a length.
const STEPS: u8 = 12;

/// The edge of one input, everything else unchanged.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // there is an edge or there is none, on either side
pub enum Edge<T> {
    /// It holds up to this value.
    UpTo(T),
    /// It holds over the whole range that was searched.
    Always,
    /// Nothing in the range makes it hold: another input is in the way.
    Never,
    /// The input plays no part here (a length that nobody stated).
    NotAsked,
}

/// How far the inputs may move.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Headroom {
    /// Highest continuous current, peaks unchanged.
    pub current: Edge<Current>,
    /// Highest air temperature of the hottest piece; the air and surfaces of all
    /// pieces move together.
    pub air: Edge<Temperature>,
    /// Longest route, one way; all pieces stretch together.
    pub length: Edge<Length>,
}

/// Computes: how far current, air temperature and length may move, one at a time,
/// before a conductor breaks a limit.
///
/// Method: bisection over the judgement itself, 12 halvings each, on the side of the
/// asked value where the edge lies: the current over 0 to 10 times the asked one, the
/// air from 80 K below to the insulation limit, the length from 0 to 100 times; each
/// within the range that is accepted at all.
///
/// # Errors
/// Those of [`breaks_no_limit`].
pub fn headroom(question: &Question, conductor: Conductor) -> Result<Headroom, Error> {
    Ok(Headroom {
        current: current(question, conductor)?,
        air: air(question, conductor)?,
        length: length(question, conductor)?,
    })
}

fn current(question: &Question, conductor: Conductor) -> Result<Edge<Current>, Error> {
    let asked = libm::fabsf(question.current.as_amperes());
    let top = if asked > 0.0 { 10.0 * asked } else { 1000.0 };
    edge(0.0, asked, top, |amperes| {
        let mut question = question.clone();
        question.current = Current::from_amperes(amperes)?;
        breaks_no_limit(&question, conductor)
    })?
    .try_map(Current::from_amperes)
}

fn air(question: &Question, conductor: Conductor) -> Result<Edge<Temperature>, Error> {
    let hottest = question
        .route
        .iter()
        .map(|piece| piece.surroundings.air.as_degc())
        .fold(f32::NEG_INFINITY, f32::max);
    let (mut coolest_place, mut hottest_place) = (f32::INFINITY, f32::NEG_INFINITY);
    for piece in &question.route {
        for place in [piece.surroundings.air, piece.surroundings.radiant] {
            coolest_place = coolest_place.min(place.as_degc());
            hottest_place = hottest_place.max(place.as_degc());
        }
    }
    let room = question.insulation_limit.as_degc() - hottest;
    // No place leaves the range that the balance accepts.
    let down = libm::fmaxf(-80.0, Bounded::Surroundings.min() - coolest_place);
    let up = libm::fminf(room, Bounded::Surroundings.max() - hottest_place);
    edge(down, 0.0, up, |shift| {
        let mut question = question.clone();
        for piece in &mut question.route {
            let place = &mut piece.surroundings;
            place.air = Temperature::from_degc(place.air.as_degc() + shift)?;
            place.radiant = Temperature::from_degc(place.radiant.as_degc() + shift)?;
        }
        match breaks_no_limit(&question, conductor) {
            // As hot as the limit is not an error of the builder but the end of the search.
            Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit)) => Ok(false),
            other => other,
        }
    })?
    .try_map(|shift| Temperature::from_degc(hottest + shift))
}

fn length(question: &Question, conductor: Conductor) -> Result<Edge<Length>, Error> {
    let Some(asked) = question.length() else {
        return Ok(Edge::NotAsked);
    };
    let allowed = question.allowed_drop;
    if question.voltage.is_none() || Bounded::Length.check(asked).is_err() || asked == 0.0 {
        return Ok(Edge::NotAsked);
    }
    let mut question = question.clone();
    question.allowed_drop = constant!(Share::from_fraction(1.0));
    if !breaks_no_limit(&question, conductor)? {
        return Ok(Edge::Never);
    }
    // What is left is the drop alone, at the continuous current and at every peak: how hot
    // they make it does not depend on the length, and a longer lead cools its joints.
    question.allowed_drop = allowed;
    question.terminal_limit = None;
    let longest = libm::fminf(100.0, Bounded::Length.max() / asked);
    edge(0.0, 1.0, longest, |factor| {
        let mut question = question.clone();
        for piece in &mut question.route {
            if let Some(length) = piece.length {
                piece.length = Some(Length::from_metres(length.as_metres() * factor)?);
            }
        }
        breaks_no_limit(&question, conductor)
    })?
    .try_map(|factor| Length::from_metres(factor * asked))
}

/// The last value between `low` and `high` at which `holds`, going up; `asked` lies
/// between them and halves the work.
fn edge(
    low: f32,
    asked: f32,
    high: f32,
    holds: impl Fn(f32) -> Result<bool, Error>,
) -> Result<Edge<f32>, Error> {
    let (mut good, mut bad) = if holds(asked)? {
        if holds(high)? {
            return Ok(Edge::Always);
        }
        // Most edges are near: look at twice the asked value before the far end.
        let near = asked + 0.1 * (high - asked);
        if holds(near)? {
            (near, high)
        } else {
            (asked, near)
        }
    } else {
        if !holds(low)? {
            return Ok(Edge::Never);
        }
        (low, asked)
    };
    for _ in 0..STEPS {
        let middle = 0.5 * (good + bad);
        if holds(middle)? {
            good = middle;
        } else {
            bad = middle;
        }
    }
    Ok(Edge::UpTo(good))
}

impl Edge<f32> {
    fn try_map<T>(self, convert: impl Fn(f32) -> Result<T, Error>) -> Result<Edge<T>, Error> {
        Ok(match self {
            Self::UpTo(value) => Edge::UpTo(convert(value)?),
            Self::Always => Edge::Always,
            Self::Never => Edge::Never,
            Self::NotAsked => Edge::NotAsked,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Emissivity, Resistance, Time};
    use crate::size::candidate::tests::{amperes, asked, degc, mm2};
    use crate::size::question::Peak;

    #[test]
    fn just_inside_the_edge_it_holds_and_just_outside_it_does_not() {
        let question = asked(150.0);
        let room = headroom(&question, mm2(50.0)).unwrap();
        let holds = |question: &Question| breaks_no_limit(question, mm2(50.0)).unwrap();
        let Edge::UpTo(current) = room.current else {
            panic!("{room:?}")
        };
        let mut moved = question.clone();
        moved.current = current;
        assert!(holds(&moved));
        moved.current = amperes(current.as_amperes() * 1.001);
        assert!(!holds(&moved));

        let Edge::UpTo(air) = room.air else {
            panic!("{room:?}")
        };
        let mut moved = question.clone();
        let place = &mut moved.route[0].surroundings;
        (place.air, place.radiant) = (air, air);
        assert!(holds(&moved));
        let place = &mut moved.route[0].surroundings;
        (place.air, place.radiant) = (degc(air.as_degc() + 0.1), degc(air.as_degc() + 0.1));
        assert!(!holds(&moved));

        let Edge::UpTo(length) = room.length else {
            panic!("{room:?}")
        };
        let mut moved = question.clone();
        moved.route[0].length = Some(length);
        assert!(holds(&moved));
        moved.route[0].length = Some(Length::from_metres(length.as_metres() * 1.01).unwrap());
        assert!(!holds(&moved));
    }

    #[test]
    fn where_another_limit_fails_no_length_helps() {
        let room = headroom(&asked(230.0), mm2(35.0)).unwrap();
        assert_eq!(room.length, Edge::Never);
        assert!(matches!(room.current, Edge::UpTo(current) if current.as_amperes() < 230.0));
        assert!(matches!(room.air, Edge::UpTo(air) if air.as_degc() < 60.0));
    }

    #[test]
    fn a_peak_that_is_too_hard_leaves_no_current_and_perhaps_no_air() {
        let mut question = asked(100.0);
        question
            .peaks
            .push(Peak {
                current: amperes(9000.0),
                duration: Time::from_seconds(10.0).unwrap(),
            })
            .unwrap();
        let room = headroom(&question, mm2(35.0)).unwrap();
        assert_eq!(room.current, Edge::Never);
        assert_eq!(room.air, Edge::Never);
    }

    #[test]
    fn the_search_ends_where_the_accepted_range_does() {
        // Both failed once with an error: 80 K below -10 degC is colder than the balance
        // accepts, 100 times 150 m longer than any length.
        let mut cold = asked(400.0);
        let place = &mut cold.route[0].surroundings;
        (place.air, place.radiant) = (degc(-10.0), degc(-10.0));
        let room = headroom(&cold, mm2(35.0)).unwrap();
        assert!(matches!(room.current, Edge::UpTo(_)), "{room:?}");

        let mut long = asked(10.0);
        long.route[0].length = Some(Length::from_metres(150.0).unwrap());
        let room = headroom(&long, mm2(70.0)).unwrap();
        assert!(
            matches!(room.length, Edge::UpTo(length) if length.as_metres() > 1000.0),
            "{room:?}"
        );

        // A furnace beside a cable that reflects: 125 degC of air are the end.
        let mut hot = asked(100.0);
        hot.dimensions.emissivity = Some(Emissivity::from_fraction(0.0).unwrap());
        hot.route[0].surroundings.radiant = degc(990.0);
        assert!(headroom(&hot, mm2(70.0)).is_ok());
    }

    #[test]
    fn without_a_length_or_a_voltage_the_length_is_not_asked() {
        let mut question = asked(100.0);
        question.voltage = None;
        assert_eq!(
            headroom(&question, mm2(70.0)).unwrap().length,
            Edge::NotAsked
        );
        let mut question = asked(100.0);
        question.route[0].length = None;
        assert_eq!(
            headroom(&question, mm2(70.0)).unwrap().length,
            Edge::NotAsked
        );
    }

    #[test]
    fn a_joint_does_not_confuse_the_length() {
        let mut question = asked(100.0);
        question.joint = Some(Resistance::from_ohms(20.0e-6).unwrap());
        question.terminal_limit = Some(degc(110.0));
        let room = headroom(&question, mm2(70.0)).unwrap();
        assert!(
            matches!(room.length, Edge::UpTo(length) if length.as_metres() > 3.0),
            "{room:?}"
        );
    }
}
