//! What one conductor does, on a shielded 70 mm2 cable.

use orangeloom_core::conductor::busbar::{Bar, BarBalance, Face, SteadyBar};
use orangeloom_core::conductor::cable::Cable;
use orangeloom_core::conductor::generic::{Dimensions, VoltageClass, generic_build};
use orangeloom_core::conductor::heat_balance::{
    HeatBalance, ShieldLoss, Steady, Surface, Surroundings,
};
use orangeloom_core::conductor::installation::{InTube, Installation, Routing, Tube};
use orangeloom_core::conductor::lug::{Joint, joint_temperature};
use orangeloom_core::conductor::pressure_at;
use orangeloom_core::conductor::skin::skin_increase;
use orangeloom_core::conductor::transient::RadialChain;
use orangeloom_core::conductor::withstand::{adiabatic_withstand, non_adiabatic_factor};
use orangeloom_core::quantity::{
    Altitude, ConductorArea, Current, Emissivity, Frequency, Length, LinearPower, LinearResistance,
    Resistance, ShieldLossRatio, SkinConstant, Temperature, ThermalConductance,
    ThermalConductivity, Time, Voltage,
};
use orangeloom_core::standard::iec60287::{InAir, Tube as TubeMaterial};
use orangeloom_core::standard::metal::Metal;

use super::{Visit, accepted};

const SECTION: ConductorArea = accepted(ConductorArea::from_mm2(70.0));
const RESISTANCE: LinearResistance = accepted(LinearResistance::from_ohm_per_km(0.272));
const CURRENT: Current = accepted(Current::from_amperes(250.0));
const AIR: Temperature = accepted(Temperature::from_degc(40.0));
const LIMIT: Temperature = accepted(Temperature::from_degc(125.0));
const SHORT_CIRCUIT: Temperature = accepted(Temperature::from_degc(250.0));
const FIVE_SECONDS: Time = accepted(Time::from_seconds(5.0));
const HERTZ: Frequency = accepted(Frequency::from_hertz(1000.0));
const SKIN: SkinConstant = accepted(SkinConstant::from_fraction(1.0));
const SURROUNDINGS: Surroundings = Surroundings {
    air: AIR,
    radiant: AIR,
    altitude: accepted(Altitude::from_metres(1000.0)),
    absorbed: accepted(LinearPower::from_watts_per_m(0.0)),
};
const SHIELD_LOSS: ShieldLoss = ShieldLoss {
    fixed: accepted(LinearPower::from_watts_per_m(0.5)),
    ratio: accepted(ShieldLossRatio::from_fraction(0.02)),
};
const IN_TUBE: Routing = Routing {
    installation: Installation::ClosedTube(
        InTube::Pair,
        Some(Tube {
            inner: accepted(Length::from_mm(50.0)),
            outer: accepted(Length::from_mm(56.0)),
            conductivity: accepted(ThermalConductivity::from_w_per_m_k(0.2)),
            emissivity: accepted(Emissivity::from_fraction(0.9)),
            material: TubeMaterial::Plastic,
        }),
    ),
    circuits: 3,
};

/// Calls of `conductor`.
pub fn all(visit: &mut impl Visit) {
    visit.brief(Voltage::BOUND.max(), |volts| {
        Voltage::from_volts(*volts).and_then(VoltageClass::for_voltage)
    });
    visit.brief(VoltageClass::V900, |class| class.highest());
    visit.brief(TubeMaterial::Metallic, |material| {
        const INNER: Length = accepted(Length::from_mm(32.0));
        const OUTER: Length = accepted(Length::from_mm(40.0));
        Tube::of_material(*material, INNER, OUTER).map(|tube| tube.conductivity)
    });
    visit.brief(Dimensions::default(), |entered| entered.is_generic());
    visit.call(
        "generic/build",
        (SECTION, RESISTANCE, Dimensions::default()),
        |(section, resistance, entered)| {
            let class = VoltageClass::V900;
            generic_build(Metal::Copper, *section, *resistance, class, true, entered)
        },
    );

    let build = generic_build(
        Metal::Copper,
        SECTION,
        RESISTANCE,
        VoltageClass::V900,
        true,
        &Dimensions::default(),
    );
    let Some(build) = visit.given("generic/build", build) else {
        return;
    };
    visit.call("cable/new", build, |build| Cable::new(*build));
    let Some(cable) = visit.given("cable/new", Cable::new(build)) else {
        return;
    };
    of_cable(visit, cable);

    visit.brief(SURROUNDINGS.altitude, |altitude| pressure_at(*altitude));
    visit.call(
        "heat_balance/new",
        (cable, SURROUNDINGS),
        |(cable, surroundings)| HeatBalance::new(cable, surroundings),
    );
    let balance = HeatBalance::new(&cable, &SURROUNDINGS);
    let Some(balance) = visit.given("heat_balance/new", balance) else {
        return;
    };
    steady(visit, cable, balance);
    in_time(visit, cable, balance);

    visit.call(
        "withstand/adiabatic",
        (SECTION, RESISTANCE, LIMIT, SHORT_CIRCUIT),
        |(section, resistance, start, end)| {
            adiabatic_withstand(Metal::Copper, *section, *resistance, *start, *end)
        },
    );
    visit.brief((build.insulation, SECTION), |(wall, section)| {
        non_adiabatic_factor(Metal::Copper, *section, wall, FIVE_SECONDS)
    });
    of_bar(visit);
    visit.call(
        "skin/increase",
        (RESISTANCE, HERTZ, SKIN),
        |(resistance, hertz, skin)| skin_increase(*resistance, *hertz, *skin),
    );
    let joint = Joint {
        contact: accepted(Resistance::from_ohms(50.0e-6)),
        section: SECTION,
        conductivity: Metal::Copper.thermal_conductivity(),
        resistance_20: RESISTANCE,
        coefficient: Metal::Copper.temperature_coefficient_20(),
        cable_dissipation: accepted(ThermalConductivity::from_w_per_m_k(0.6)),
        lug_dissipation: accepted(ThermalConductance::from_w_per_k(0.02)),
        air: AIR,
        length: Some(accepted(Length::from_metres(1.2))),
    };
    visit.call(
        "lug/joint_temperature",
        (joint, CURRENT),
        |(joint, current)| joint_temperature(joint, *current),
    );
}

fn of_cable(visit: &mut impl Visit, cable: Cable) {
    visit.brief(cable, |cable| *cable.build());
    visit.brief(cable, |cable| {
        (
            cable.diameter_over_insulation(),
            cable.diameter_over_shield(),
        )
    });
    visit.brief(cable, |cable| (cable.outer_diameter(), cable.linear_mass()));
    visit.brief(cable, |cable| {
        (cable.insulation_resistance(), cable.jacket_resistance())
    });
    visit.brief(cable, |cable| cable.fixed_bend_radius());
}

fn steady(visit: &mut impl Visit, cable: Cable, balance: HeatBalance) {
    visit.brief((balance, SHIELD_LOSS), |(balance, loss)| {
        balance.with_shield_loss(*loss)
    });
    visit.brief((balance, InAir::SingleFree), |(balance, row)| {
        balance.with_surface(Surface::Standard(*row))
    });
    visit.brief((balance, HERTZ, SKIN), |(balance, hertz, skin)| {
        balance.with_frequency(*hertz, *skin)
    });
    visit.call(
        "heat_balance/temperature_at",
        (balance, CURRENT),
        |(balance, current)| balance.temperature_at(*current),
    );
    visit.brief((balance, CURRENT), |(balance, current)| {
        balance
            .temperature_at(*current)
            .map(|steady| Steady::conductor(&steady))
    });
    visit.call(
        "heat_balance/current_at",
        (balance, LIMIT),
        |(balance, limit)| balance.current_at(*limit),
    );
    visit.brief((cable, balance, IN_TUBE), |(cable, balance, routing)| {
        routing.current_share(cable, balance, LIMIT)
    });
    visit.call(
        "installation/installed_in_tube",
        (cable, balance, IN_TUBE),
        |(cable, balance, routing)| balance.installed(cable, routing, LIMIT),
    );
    visit.brief(balance, |balance| balance.effective_resistance_20());
    visit.brief((balance, LIMIT), |(balance, surface)| {
        balance.outside_heat(*surface)
    });
    visit.brief((balance, CURRENT), |(balance, current)| {
        balance
            .temperature_at(*current)
            .map(|steady| Steady::surface(&steady))
    });
}

fn in_time(visit: &mut impl Visit, cable: Cable, balance: HeatBalance) {
    const MINUTE: Time = accepted(Time::from_seconds(60.0));
    const NONE: Current = accepted(Current::from_amperes(0.0));

    visit.call("transient/new", (cable, balance), |(cable, balance)| {
        RadialChain::new(cable, balance)
    });
    let chain = RadialChain::new(&cable, &balance);
    visit.call("transient/settled", (chain, CURRENT), |(chain, current)| {
        chain.settled(*current)
    });
    let Some(Some(cold)) = visit.given("transient/settled", chain.settled(NONE)) else {
        return;
    };
    visit.brief((chain, cold), |(chain, state)| chain.conductor(state));
    visit.call(
        "transient/advance",
        (chain, cold, CURRENT),
        |(chain, state, current)| chain.advance(state, *current, MINUTE),
    );
    visit.call(
        "transient/time_until",
        (chain, cold, CURRENT),
        |(chain, state, current)| chain.time_until(state, *current, LIMIT),
    );
    visit.call(
        "transient/time_constant",
        (chain, CURRENT),
        |(chain, current)| chain.time_constant(*current),
    );
}

fn of_bar(visit: &mut impl Visit) {
    let bar = Bar {
        width: accepted(Length::from_mm(40.0)),
        thickness: accepted(Length::from_mm(5.0)),
        count: 2,
        metal: Metal::Copper,
        resistivity_20: None,
        emissivity: accepted(Emissivity::from_fraction(0.4)),
        face: Face::Vertical,
    };
    visit.brief((bar, SURROUNDINGS), |(bar, surroundings)| {
        BarBalance::new(bar, surroundings)
    });
    let balance = BarBalance::new(&bar, &SURROUNDINGS);
    let Some(balance) = visit.given("busbar/new", balance) else {
        return;
    };
    visit.call(
        "busbar/temperature_at",
        (balance, CURRENT),
        |(balance, current)| balance.temperature_at(*current),
    );
    visit.brief((balance, CURRENT), |(balance, current)| {
        balance
            .temperature_at(*current)
            .map(|steady| SteadyBar::bar(&steady))
    });
    visit.call("busbar/current_at", (balance, LIMIT), |(balance, limit)| {
        balance.current_at(*limit)
    });
}
