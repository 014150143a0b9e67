//! What one conductor does: steady state, in time, short circuit, joints.

use orangeloom_core::conductor::cable::{Cable, CableBuild};
use orangeloom_core::conductor::generic::{Dimensions, VoltageClass, generic_build};
use orangeloom_core::conductor::heat_balance::{HeatBalance, Steady, Surroundings};
use orangeloom_core::conductor::installation::{InTube, Installation, Routing};
use orangeloom_core::conductor::lug::{Joint, joint_temperature};
use orangeloom_core::conductor::pressure_at;
use orangeloom_core::conductor::skin::skin_increase;
use orangeloom_core::conductor::transient::{RadialChain, Reach};
use orangeloom_core::conductor::withstand::adiabatic_withstand;
use orangeloom_core::error::Error;
use orangeloom_core::quantity::{
    Altitude, ConductorArea, Current, Frequency, Length, LinearPower, LinearResistance, Resistance,
    SkinConstant, Temperature, ThermalConductance, ThermalConductivity, Time,
};
use orangeloom_core::standard::awg::strand_resistance_20;
use orangeloom_core::standard::metal::Metal;

use crate::lines::{Lines, NONE, bits, outcome, word};
use crate::sample::Sample;

pub(crate) fn cases(lines: &mut Lines<'_>) {
    lines.many("conductor/cable_mass", |s| {
        outcome(cable(s).map(|cable| cable.linear_mass()))
    });
    lines.many("conductor/pressure", |s| {
        let altitude = Altitude::from_metres(s.within(Altitude::BOUND));
        outcome(altitude.and_then(pressure_at))
    });
    lines.many("conductor/skin", |s| word(skin(s).map(bits)));
    lines.some("conductor/temperature_at", |s| word(temperature_at(s)));
    lines.some("conductor/current_at", |s| word(current_at(s)));
    lines.some("conductor/installed", |s| word(installed(s)));
    lines.some("conductor/advance", |s| outcome(advance(s)));
    lines.some("conductor/time_until", |s| word(time_until(s)));
    lines.many("conductor/withstand_own_resistance", |s| {
        outcome(withstand(s).map(|[own, _]| own))
    });
    lines.many("conductor/withstand_standard_form", |s| {
        outcome(withstand(s).map(|[_, form]| form))
    });
    lines.many("conductor/joint", |s| word(joint(s)));
}

fn build(s: &mut Sample) -> Result<CableBuild, Error> {
    let metal = s.one_of(Metal::ALL);
    let section = ConductorArea::from_mm2(s.between(1.0, 300.0))?;
    let resistance = strand_resistance_20(metal, section)?;
    let class = s.one_of([VoltageClass::V900, VoltageClass::V1500]);
    let shielded = s.one_of([false, true]);
    generic_build(
        metal,
        section,
        resistance,
        class,
        shielded,
        &Dimensions::default(),
    )
}

fn cable(s: &mut Sample) -> Result<Cable, Error> {
    Cable::new(build(s)?)
}

fn place(s: &mut Sample) -> Result<(Cable, HeatBalance), Error> {
    let cable = cable(s)?;
    let surroundings = Surroundings {
        air: Temperature::from_degc(s.between(-40.0, 110.0))?,
        radiant: Temperature::from_degc(s.between(-40.0, 150.0))?,
        altitude: Altitude::from_metres(s.between(0.0, 5000.0))?,
        absorbed: LinearPower::from_watts_per_m(s.between(0.0, 10.0))?,
    };
    Ok((cable, HeatBalance::new(&cable, &surroundings)?))
}

fn current(s: &mut Sample) -> Result<Current, Error> {
    Current::from_amperes(s.between(0.0, 600.0))
}

fn limit(s: &mut Sample) -> Result<Temperature, Error> {
    Temperature::from_degc(s.between(60.0, 200.0))
}

fn temperature_at(s: &mut Sample) -> Result<u32, Error> {
    let (_, balance) = place(s)?;
    Ok(match balance.temperature_at(current(s)?)? {
        Steady::Settles(state) => bits(state.conductor.as_degc()) ^ bits(state.surface.as_degc()),
        Steady::NoSteadyState => NONE,
    })
}

fn current_at(s: &mut Sample) -> Result<u32, Error> {
    let (_, balance) = place(s)?;
    let current = balance.current_at(limit(s)?)?;
    Ok(current.map_or(NONE, |current| bits(current.as_amperes())))
}

fn installed(s: &mut Sample) -> Result<u32, Error> {
    let (cable, balance) = place(s)?;
    let routing = Routing {
        installation: s.one_of([
            Installation::FreeAir,
            Installation::TouchingPair,
            Installation::AgainstPanel,
            Installation::ClosedTube(InTube::Pair, None),
        ]),
        circuits: s.up_to(21),
    };
    let (installed, share) = balance.installed(&cable, &routing, limit(s)?)?;
    let steady = installed.temperature_at(current(s)?)?;
    Ok(bits(share.total)
        ^ steady
            .conductor()
            .map_or(NONE, |conductor| bits(conductor.as_degc())))
}

fn advance(s: &mut Sample) -> Result<Temperature, Error> {
    let (cable, balance) = place(s)?;
    let chain = RadialChain::new(&cable, &balance);
    let Some(state) = chain.settled(Current::from_amperes(0.0)?)? else {
        return Temperature::from_degc(0.0);
    };
    let duration = Time::from_seconds(s.between(0.0, 4000.0))?;
    chain.conductor(&chain.advance(&state, current(s)?, duration))
}

fn time_until(s: &mut Sample) -> Result<u32, Error> {
    let (cable, balance) = place(s)?;
    let chain = RadialChain::new(&cable, &balance);
    let Some(state) = chain.settled(Current::from_amperes(0.0)?)? else {
        return Ok(NONE);
    };
    Ok(match chain.time_until(&state, current(s)?, limit(s)?)? {
        Reach::Already => 0,
        Reach::After(time) => bits(time.as_seconds()),
        Reach::Never => NONE,
    })
}

fn skin(s: &mut Sample) -> Result<f32, Error> {
    Ok(skin_increase(
        LinearResistance::from_ohm_per_km(s.between(0.05, 10.0))?,
        Frequency::from_hertz(s.within(Frequency::BOUND))?,
        SkinConstant::from_fraction(s.within(SkinConstant::BOUND))?,
    ))
}

/// The two forms, A2s.
fn withstand(s: &mut Sample) -> Result<[f32; 2], Error> {
    let build = build(s)?;
    let (start, end) = (limit(s)?, Temperature::from_degc(s.between(150.0, 300.0))?);
    let found = adiabatic_withstand(build.metal, build.section, build.resistance_20, start, end)?;
    Ok([found.own_resistance.as_a2s(), found.standard_form.as_a2s()])
}

fn joint(s: &mut Sample) -> Result<u32, Error> {
    let build = build(s)?;
    let joint = Joint {
        contact: Resistance::from_ohms(s.between(0.0, 1.0e-3))?,
        section: build.section,
        conductivity: build.metal.thermal_conductivity(),
        resistance_20: build.resistance_20,
        coefficient: build.metal.temperature_coefficient_20(),
        cable_dissipation: ThermalConductivity::from_w_per_m_k(s.between(0.2, 2.0))?,
        lug_dissipation: ThermalConductance::from_w_per_k(s.between(0.0, 0.1))?,
        air: Temperature::from_degc(s.between(-40.0, 80.0))?,
        length: s
            .one_of([false, true])
            .then(|| Length::from_metres(s.between(0.1, 5.0)))
            .transpose()?,
    };
    let found = joint_temperature(&joint, current(s)?)?;
    Ok(found.map_or(NONE, |state| {
        bits(state.lug.as_degc()) ^ bits(state.decay_length.as_metres())
    }))
}
