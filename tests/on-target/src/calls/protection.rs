//! Fuses and contactors of a 400 V circuit.

use orangeloom_core::conductor::cable::{Cable, CableBuild};
use orangeloom_core::conductor::generic::{Dimensions, VoltageClass, generic_build};
use orangeloom_core::conductor::heat_balance::{HeatBalance, Surroundings};
use orangeloom_core::conductor::transient::RadialChain;
use orangeloom_core::design::{
    Arrow, ContactorType, CurvePoint, FuseType, Index, TextId, Utilisation,
};
use orangeloom_core::error::Error;
use orangeloom_core::protection::*;
use orangeloom_core::quantity::{
    Altitude, ConductorArea, Current, CurrentSquaredTime, LinearPower, LinearResistance,
    Resistance, Temperature, Time, Voltage,
};
use orangeloom_core::standard::metal::Metal;

use super::{Visit, accepted};

const VOLTAGE: Voltage = accepted(Voltage::from_volts(400.0));
const RATED_VOLTAGE: Voltage = accepted(Voltage::from_volts(500.0));
const RATED: Current = accepted(Current::from_amperes(350.0));
const FAULT: Current = accepted(Current::from_amperes(4000.0));
const CAPACITY: Current = accepted(Current::from_amperes(50_000.0));
const TICK: Time = accepted(Time::from_seconds(0.001));
const MELTING: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(2.6e5));
const WARM: Temperature = accepted(Temperature::from_degc(60.0));
const HOT: Temperature = accepted(Temperature::from_degc(150.0));
const SPOILT: Temperature = accepted(Temperature::from_degc(250.0));
const HEIGHT: Altitude = accepted(Altitude::from_metres(2300.0));
const OHM: Resistance = accepted(Resistance::from_ohms(0.06));
const PULSE: Pulse = Pulse {
    current: RATED,
    duration: accepted(Time::from_seconds(12.0)),
};
const PLACE: FusePlace = FusePlace {
    air: Some(WARM),
    altitude: Some(HEIGHT),
};
const TOTAL: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(7.0e5));

/// Calls of `protection`.
pub fn all(visit: &mut impl Visit) {
    if let Some(fuse) = fuse() {
        melting(visit, &fuse);
        judged(visit, &fuse);
        guarded(visit, &fuse);
        between_two(visit, &fuse);
    }
    if let Some(part) = TextId::at(0).map(ContactorType::new) {
        contactor(visit, part);
    }
}

/// An invented fuse of 350 A.
fn fuse() -> Option<FuseType> {
    const POINT: CurvePoint = CurvePoint {
        time: accepted(Time::from_seconds(10.0)),
        current: accepted(Current::from_amperes(1050.0)),
    };
    let mut fuse = FuseType::new(TextId::at(0)?);
    fuse.utilisation = Some(Utilisation::Gr);
    fuse.rated = Some(RATED);
    fuse.voltage = Some(RATED_VOLTAGE);
    fuse.breaking = Some(CAPACITY);
    fuse.melting = Some(MELTING);
    fuse.total = Some(TOTAL);
    fuse.total_at = Some(RATED_VOLTAGE);
    fuse.curve.push(POINT).ok()?;
    Some(fuse)
}

fn melting(visit: &mut impl Visit, fuse: &FuseType) {
    visit.call(
        "protection/melting_curve",
        (fuse.clone(), CurveSide::Latest),
        |(fuse, side)| MeltingCurve::new(fuse, *side, CURVE_TOLERANCE).is_ok(),
    );
    let curve = MeltingCurve::new(fuse, CurveSide::Earliest, CURVE_TOLERANCE);
    if let Some(Some(curve)) = visit.given("protection/curve", curve) {
        visit.call(
            "protection/time_at",
            (curve.clone(), FAULT),
            |(curve, current)| MeltingCurve::time_at(curve, *current).known(),
        );
        visit.brief(curve.clone(), |curve| {
            (
                curve.side(),
                curve.least_current(),
                curve.current_within(TICK),
            )
        });
        visit.brief(MeltingTime::NotKnown, |time| MeltingTime::known(*time));
        visit.call(
            "protection/advance",
            (Melting::new(), curve.clone(), FAULT, TICK),
            |(state, curve, current, tick)| state.advance(curve, *current, *tick),
        );
        visit.brief((Melting::new(), curve, FAULT), |(state, curve, current)| {
            let left = Melting::time_left(*state, curve, *current);
            (Melting::fraction(*state), Melting::has_melted(*state), left)
        });
    }
    let curve = ClearingCurve::new(fuse, VOLTAGE, CURVE_TOLERANCE);
    if let Some(curve) = visit.given("protection/clearing_curve", curve) {
        visit.call("protection/clearing", (curve, FAULT), |(curve, current)| {
            let arc = (curve.arcing(), curve.arcing_time(*current));
            let known = ClearingCurve::melting(curve).is_some();
            (curve.at(*current), arc, curve.breaks(*current), known)
        });
    }
}

fn judged(visit: &mut impl Visit, fuse: &FuseType) {
    visit.call("protection/ratings", fuse.clone(), |fuse| {
        (
            judge_fuse_voltage(fuse, Some(VOLTAGE)),
            judge_time_constant(fuse, Some(TICK)),
            judge_breaking(fuse, Some(FAULT)),
            judge_overload_owner(fuse, Some(RATED), Some(RATED)),
        )
    });
    visit.call("protection/continuous", fuse.clone(), |fuse| {
        (
            carried(fuse, &PLACE),
            judge_continuous(fuse, &PLACE, Some(RATED)),
        )
    });
    visit.call(
        "protection/pulse",
        (fuse.clone(), PULSE),
        |(fuse, pulse)| judge_pulse(fuse, &PLACE, *pulse, REPEATED_PULSE, CURVE_TOLERANCE),
    );
    visit.brief(REPEATED_MELTING, |limit| judge_course(Some(*limit), *limit));
    visit.brief(Clearing::LaterThan(TICK), |clearing| {
        judge_least_fault(Some(*clearing), DISCONNECTION)
    });
}

/// A cable of 70 mm2 with what it needs to be guarded.
fn cable() -> Result<(CableBuild, RadialChain), Error> {
    let build = generic_build(
        Metal::Copper,
        ConductorArea::from_mm2(70.0)?,
        LinearResistance::from_ohm_per_km(0.272)?,
        VoltageClass::V900,
        true,
        &Dimensions::default(),
    )?;
    let surroundings = Surroundings {
        air: WARM,
        radiant: WARM,
        altitude: HEIGHT,
        absorbed: LinearPower::from_watts_per_m(0.0)?,
    };
    let cable = Cable::new(build)?;
    let chain = RadialChain::new(&cable, &HeatBalance::new(&cable, &surroundings)?);
    Ok((build, chain))
}

fn with_cable<R>(
    (build, chain): &(CableBuild, RadialChain),
    then: impl FnOnce(Guarded<'_>) -> Result<R, Error>,
) -> Result<Option<R>, Error> {
    let Some(state) = chain.settled(RATED)? else {
        return Ok(None);
    };
    then(Guarded::Cable(GuardedCable {
        build,
        start: chain.conductor(&state)?,
        short_limit: SPOILT,
        overload_limit: HOT,
        heat: &[GuardedPlace {
            chain: *chain,
            state,
        }],
        lasting: Some(RATED),
    }))
    .map(Some)
}

fn guarded(visit: &mut impl Visit, fuse: &FuseType) {
    let Some(cable) = visit.given("protection/cable", cable()) else {
        return;
    };
    visit.call("protection/used", cable, |cable| {
        let used = with_cable(cable, |cable| Guarded::used(&cable, FAULT, TICK, TOTAL))?;
        Ok::<_, Error>(used.is_some_and(|used| used.settled))
    });
    visit.call(
        "protection/guarded",
        (cable, fuse.clone()),
        |(cable, fuse)| {
            let curve = ClearingCurve::new(fuse, VOLTAGE, CURVE_TOLERANCE)?;
            let judged = with_cable(cable, |cable| {
                judge_guarded(FuseCheck::Cable, &curve, &cable, None, Some(FAULT))
            })?;
            Ok::<_, Error>(judged.map(|guard| guard.judged))
        },
    );
    visit.call(
        "protection/window",
        (cable, fuse.clone()),
        |(cable, fuse)| {
            let verdict = with_cable(cable, |cable| {
                let guarded = [(FuseCheck::Cable, cable)];
                let circuit = FuseCircuit {
                    voltage: VOLTAGE,
                    time_constant: Some(TICK),
                    place: PLACE,
                    lasting: Some(RATED),
                    pulses: &[PULSE],
                    pulse_share: REPEATED_PULSE,
                    tolerance: CURVE_TOLERANCE,
                    smallest_fault: Some(FAULT),
                    largest_fault: Some(FAULT),
                    spared: false,
                    disconnection: DISCONNECTION,
                    guarded: &guarded,
                    conductor_lasting: Some(RATED),
                    controller_limit: None,
                    contactor_breaks: Some(RATED),
                    trip: None,
                };
                let all = judge_fuse(fuse, &circuit)?.len();
                fuse_window(fuse, &circuit).map(|window| (all, window))
            })?;
            Ok::<_, Error>(
                verdict.map(|(all, window)| (all, window.verdict, window.remedies.len())),
            )
        },
    );
}

fn between_two(visit: &mut impl Visit, fuse: &FuseType) {
    const TRIP: Trip = Trip {
        current: RATED,
        time: TICK,
    };
    visit.call("protection/gap", fuse.clone(), |fuse| {
        judge_gap(fuse, Some(FAULT), Some(TRIP), CURVE_TOLERANCE)
    });
    visit.call(
        "protection/selectivity",
        (fuse.clone(), fuse.clone()),
        |(down, up)| {
            judge_selectivity(
                down,
                up,
                VOLTAGE,
                Some(FAULT),
                REPEATED_PULSE,
                SELECTIVE_SHARE,
                CURVE_TOLERANCE,
            )
        },
    );
    let curve = ClearingCurve::new(fuse, VOLTAGE, CURVE_TOLERANCE);
    if let Some(curve) = visit.given("protection/clearing_curve", curve) {
        visit.call("protection/closed_band", curve, |curve| {
            closed_band(Some(RATED), curve, FAULT, TICK)
        });
    }
}

fn contactor(visit: &mut impl Visit, part: ContactorType) {
    visit.call("protection/contactor", part, |part| {
        (
            judge_contactor_voltage(part, Some(VOLTAGE)),
            judge_contactor_altitude(part, Some(HEIGHT)),
            judge_carry(part, &Carrying::default()),
            judge_make(part, Some(VOLTAGE), Some(OHM)),
            judge_withstand(part, Some(FAULT), Some(TOTAL)),
            judge_movements(part, Movements::default()),
        )
    });
    visit.call("protection/break", part, |part| {
        let opened = Opened {
            along: Some(RATED),
            against: Some(RATED),
        };
        (
            breaks(part, Some(Arrow::Along), Some(VOLTAGE)),
            judge_break(part, None, Some(VOLTAGE), &opened),
        )
    });
    visit.call("protection/judge_contactor", part, |part| {
        judge_contactor(part, &ContactorCircuit::default())
    });
    visit.call("protection/coil", part, |part| {
        let supply = CoilSupply {
            lowest: Some(VOLTAGE),
            dip: Some(VOLTAGE),
            wire: Some(OHM),
            coil: Some(WARM),
        };
        let state = coil_state(
            supply.lowest,
            supply.wire,
            supply.coil,
            Some(OHM),
            None,
            Some(VOLTAGE),
        );
        (judge_coil(&part.coil, &supply), state)
    });
}
