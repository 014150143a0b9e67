//! The smallest conductor that holds.

use orangeloom_core::conductor::heat_balance::Surroundings;
use orangeloom_core::conductor::installation::{InTube, Installation, Routing};
use orangeloom_core::error::{Capacity, Error};
use orangeloom_core::quantity::{
    Altitude, Current, CurrentSquaredTime, Length, LinearPower, Resistance, Temperature, Time,
    Voltage,
};
use orangeloom_core::size::headroom::{Edge, headroom};
use orangeloom_core::size::question::{Peak, Piece, Question};
use orangeloom_core::size::search::smallest;
use orangeloom_core::size::series::{MetricTable, Series};
use orangeloom_core::standard::metal::Metal;

use crate::lines::{Lines, NONE, bits, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.few("size/smallest", |s| word(answer(s)));
    lines.few("size/headroom", |s| word(room(s)));
}

fn question(s: &mut Sample) -> Result<Question, Error> {
    let current = Current::from_amperes(s.between(5.0, 250.0))?;
    let limit = Temperature::from_degc(s.one_of([90.0, 105.0, 125.0, 150.0]))?;
    let mut question = Question::new(current, limit);
    question.metal = s.one_of([Metal::Copper, Metal::TinnedCopper]);
    question.shielded = s.one_of([false, true]);
    question.voltage = Some(Voltage::from_volts(s.between(100.0, 1000.0))?);
    question.joint = Some(Resistance::from_ohms(s.between(0.0, 1.0e-4))?);
    question.terminal_limit = Some(Temperature::from_degc(s.between(100.0, 180.0))?);
    question.let_through = Some(CurrentSquaredTime::from_a2s(s.between(0.0, 1.0e7))?);
    for _ in 0..=s.up_to(2) {
        let piece = piece(s)?;
        let full = |_| Error::Capacity(Capacity::RoutePieces);
        question.route.push(piece).map_err(full)?;
    }
    for _ in 0..s.up_to(2) {
        let peak = Peak {
            current: Current::from_amperes(s.between(50.0, 500.0))?,
            duration: Time::from_seconds(s.between(1.0, 120.0))?,
        };
        let full = |_| Error::Capacity(Capacity::Peaks);
        question.peaks.push(peak).map_err(full)?;
    }
    Ok(question)
}

fn piece(s: &mut Sample) -> Result<Piece, Error> {
    let installation = s.one_of([
        Installation::FreeAir,
        Installation::TouchingPair,
        Installation::AgainstPanel,
        Installation::ClosedTube(InTube::One, None),
    ]);
    Ok(Piece {
        routing: Routing {
            installation,
            circuits: 1 + s.up_to(3),
        },
        surroundings: Surroundings {
            air: Temperature::from_degc(s.between(5.0, 75.0))?,
            radiant: Temperature::from_degc(s.between(5.0, 80.0))?,
            altitude: Altitude::from_metres(s.between(0.0, 4000.0))?,
            absorbed: LinearPower::from_watts_per_m(s.between(0.0, 5.0))?,
        },
        length: Some(Length::from_metres(s.between(0.1, 6.0))?),
    })
}

const SERIES: [Series; 3] = [
    Series::Metric(MetricTable::Iec60228Class5),
    Series::Metric(MetricTable::Iso6722),
    Series::American,
];

/// The chosen section and how close it is to its binding limit.
fn answer(s: &mut Sample) -> Result<u32, Error> {
    let question = question(s)?;
    let answer = smallest(&question, s.one_of(SERIES))?;
    Ok(answer.chosen().map_or(NONE, |chosen| {
        let used = chosen.binding.map_or(NONE, |(_, used)| bits(used));
        bits(chosen.conductor.section.as_mm2()) ^ used
    }))
}

fn room(s: &mut Sample) -> Result<u32, Error> {
    let question = question(s)?;
    let answer = smallest(&question, s.one_of(SERIES))?;
    let Some(chosen) = answer.chosen() else {
        return Ok(NONE);
    };
    let room = headroom(&question, chosen.conductor)?;
    Ok(edge(room.current) ^ edge(room.air).rotate_left(8) ^ edge(room.length).rotate_left(16))
}

fn edge<T: Into<f32>>(edge: Edge<T>) -> u32 {
    match edge {
        Edge::UpTo(value) => bits(value.into()),
        Edge::Always => 1,
        Edge::Never => 2,
        Edge::NotAsked => 3,
    }
}
