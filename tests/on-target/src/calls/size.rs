//! The smallest conductor that holds: a lead of two pieces with one peak, every
//! limit asked for.

use orangeloom_core::conductor::heat_balance::Surroundings;
use orangeloom_core::conductor::installation::Routing;
use orangeloom_core::quantity::{
    Altitude, ConductorArea, Current, CurrentSquaredTime, Length, LinearPower, LinearResistance,
    Resistance, Temperature, Time, Voltage,
};
use orangeloom_core::size::candidate::{Candidate, breaks_no_limit};
use orangeloom_core::size::headroom::headroom;
use orangeloom_core::size::question::{Peak, Piece, Question};
use orangeloom_core::size::search::{Answer, smallest};
use orangeloom_core::size::series::{Conductor, MetricTable, Series, conductors};
use orangeloom_core::standard::awg::AmericanSize;
use orangeloom_core::standard::metal::Metal;

use super::{Visit, accepted};

const SECTION: ConductorArea = accepted(ConductorArea::from_mm2(70.0));
const RESISTANCE: LinearResistance = accepted(LinearResistance::from_ohm_per_km(0.272));
const CURRENT: Current = accepted(Current::from_amperes(200.0));
const LIMIT: Temperature = accepted(Temperature::from_degc(125.0));
const METRIC: Series = Series::Metric(MetricTable::Iec60228Class5);

const fn piece(air: f32, metres: f32) -> Piece {
    let air = accepted(Temperature::from_degc(air));
    Piece {
        routing: Routing::FREE_AIR,
        surroundings: Surroundings {
            air,
            radiant: air,
            altitude: accepted(Altitude::from_metres(1000.0)),
            absorbed: accepted(LinearPower::from_watts_per_m(0.0)),
        },
        length: Some(accepted(Length::from_metres(metres))),
    }
}
const COOL: Piece = piece(40.0, 2.0);
const HOT: Piece = piece(70.0, 1.0);
const PEAK: Peak = Peak {
    current: accepted(Current::from_amperes(400.0)),
    duration: accepted(Time::from_seconds(30.0)),
};

/// Calls of `size`.
pub fn all(visit: &mut impl Visit) {
    visit.brief((Metal::Copper, SECTION), |(metal, section)| {
        Conductor::metric(MetricTable::usual(*metal), *metal, *section)
    });
    visit.brief(
        (AmericanSize::Kcmil(250), Metal::Copper),
        |(size, metal)| Conductor::american(*size, *metal),
    );
    visit.brief((SECTION, Metal::Copper), |(section, metal)| {
        Conductor::american_area(*section, *metal)
    });
    visit.brief((SECTION, RESISTANCE), |(section, resistance)| {
        Conductor::entered(*section, *resistance).with_resistance(*resistance)
    });
    visit.brief((METRIC, Metal::Copper), |(series, metal)| {
        conductors(*series, *metal).map(Iterator::count)
    });
    visit.brief((CURRENT, LIMIT), |(current, limit)| {
        Question::new(*current, *limit)
    });
    visit.brief(LIMIT, |limit| Question::usual_short_circuit_limit(*limit));

    let mut question = Question::new(CURRENT, LIMIT);
    question.voltage = Some(accepted(Voltage::from_volts(400.0)));
    question.terminal_limit = Some(accepted(Temperature::from_degc(105.0)));
    question.joint = Some(accepted(Resistance::from_ohms(50.0e-6)));
    question.let_through = Some(accepted(CurrentSquaredTime::from_a2s(2.0e6)));
    // Both fit: at most eight of each. `extend` panics where they do not, and the linker need
    // not see that they do.
    for piece in [COOL, HOT] {
        let _ = question.route.push(piece);
    }
    let _ = question.peaks.push(PEAK);
    visit.brief(question.clone(), |question| question.length());

    let conductor = Conductor::metric(MetricTable::Iec60228Class5, Metal::Copper, SECTION);
    let Some(conductor) = visit.given("size/conductor", conductor) else {
        return;
    };
    visit.call(
        "size/candidate",
        (question.clone(), conductor),
        |(question, conductor)| Candidate::evaluate(question, *conductor),
    );
    visit.call(
        "size/breaks_no_limit",
        (question.clone(), conductor),
        |(question, conductor)| breaks_no_limit(question, *conductor),
    );
    let candidate = Candidate::evaluate(&question, conductor);
    let Some(candidate) = visit.given("size/candidate", candidate) else {
        return;
    };
    visit.brief(candidate, |candidate| {
        let ampacity = candidate.ampacity_with_margin(Question::DEFAULT_MARGIN);
        let time_constant = candidate.time_constants(candidate.ampacity?);
        Some((ampacity, candidate.hottest_piece().copied(), time_constant))
    });

    visit.call(
        "size/headroom",
        (question.clone(), conductor),
        |(question, conductor)| headroom(question, *conductor),
    );
    visit.call("size/smallest_metric", question.clone(), |question| {
        smallest(question, METRIC)
    });
    visit.call("size/smallest_american", question.clone(), |question| {
        smallest(question, Series::American)
    });
    let Some(answer) = visit.given("size/smallest_metric", smallest(&question, METRIC)) else {
        return;
    };
    visit.brief(answer, |answer| {
        let section = |candidate: &Candidate| candidate.conductor.section;
        (
            Answer::chosen(answer).map(section),
            Answer::one_smaller(answer).map(section),
        )
    });
}
