//! Spacing, isolation, touch, bonding and withstand of a 400 V circuit.

use orangeloom_core::insulation::*;
use orangeloom_core::quantity::{
    Altitude, Capacitance, ComparativeTrackingIndex, ConductorArea, Current, CurrentSquaredTime,
    Length, Resistance, Share, Temperature, Time, Voltage,
};
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree, rated_impulse,
    reinforced_impulse_v,
};
use orangeloom_core::standard::iec60664_altitude::altitude_correction;
use orangeloom_core::standard::iec60664_clearance::{impulse_clearance, peak_clearance};
use orangeloom_core::standard::iec60664_creepage::{
    Surface, creepage_distance, groove_width, not_recommended,
};

use super::{Visit, accepted};

const VOLTAGE: Voltage = accepted(Voltage::from_volts(400.0));
const DISTANCE: Length = accepted(Length::from_mm(8.0));
const STRAIGHT: Length = accepted(Length::from_mm(5.0));
const HEIGHT: Altitude = accepted(Altitude::from_metres(3000.0));
const MEGOHM: Resistance = accepted(Resistance::from_ohms(1.0e6));
const BODY: Resistance = accepted(Resistance::from_ohms(500.0));
const BOND: Resistance = accepted(Resistance::from_ohms(0.02));
const NANO_100: Capacitance = accepted(Capacitance::from_farads(100.0e-9));
const AMPERE: Current = accepted(Current::from_amperes(0.2));
const FAULT: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(1.0e6));
const COLD: Temperature = accepted(Temperature::from_degc(40.0));
const HOT: Temperature = accepted(Temperature::from_degc(200.0));
const SECOND: Time = accepted(Time::from_seconds(1.0));
const STRAP: ConductorArea = accepted(ConductorArea::from_mm2(16.0));

/// Calls of `insulation` and of the tables it reads.
pub fn all(visit: &mut impl Visit) {
    tables(visit);
    distances(visit);
    surface_profile(visit);
    isolation(visit);
    touch(visit);
    bonding(visit);
    withstand(visit);
}

fn tables(visit: &mut impl Visit) {
    visit.brief(600.0_f32, |cti| {
        let index = ComparativeTrackingIndex::from_index(*cti)?;
        let group = MaterialGroup::from_cti(index);
        Ok::<_, orangeloom_core::error::Error>((index.as_index(), MaterialGroup::word(group)))
    });
    visit.brief(Insulation::Basic, |insulation| {
        Insulation::word(*insulation)
    });
    visit.brief(PollutionDegree::Two, |degree| {
        PollutionDegree::number(*degree)
    });
    visit.brief(OvervoltageCategory::Two, |category| {
        OvervoltageCategory::word(*category)
    });
    visit.brief((VOLTAGE, OvervoltageCategory::Two), |(system, category)| {
        rated_impulse(*system, *category)
    });
    visit.brief(2500.0_f32, |volts| reinforced_impulse_v(*volts));
    visit.brief(HEIGHT, |height| altitude_correction(*height));
    visit.brief((VOLTAGE, PollutionDegree::Three), |(impulse, pollution)| {
        impulse_clearance(*impulse, *pollution)
    });
    visit.brief(VOLTAGE, |peak| peak_clearance(*peak));
    visit.brief(
        (
            VOLTAGE,
            PollutionDegree::Two,
            MaterialGroup::Iiia,
            Surface::Ribbed,
        ),
        |(working, pollution, group, surface)| {
            let distance = creepage_distance(*working, *pollution, *group, *surface);
            (distance, not_recommended(*working, *pollution, *group))
        },
    );
    visit.brief(
        (PollutionDegree::Four, DISTANCE),
        |(pollution, clearance)| groove_width(*pollution, *clearance),
    );
}

fn distances(visit: &mut impl Visit) {
    let impulse = Impulse::Rated {
        system: VOLTAGE,
        category: OvervoltageCategory::Two,
    };
    let temporary = TemporaryOvervoltage::Mains { nominal: VOLTAGE };
    let air = ClearanceInput {
        working_peak: VOLTAGE,
        impulse,
        temporary,
        pollution: PollutionDegree::Two,
        altitude: HEIGHT,
        insulation: Insulation::Reinforced,
    };
    visit.brief((DISTANCE, STRAIGHT), |(required, built)| {
        barrier_height(*required, *built)
            .and_then(|height| Ok((height, groove_depth(*required, *built)?)))
    });
    visit.call("insulation/clearance", air, |input| clearance(input));
    let along = CreepageInput {
        working: VOLTAGE,
        pollution: PollutionDegree::Two,
        group: MaterialGroup::Iiia,
        surface: Surface::Plain,
        insulation: Insulation::Reinforced,
        clearance: DISTANCE,
    };
    visit.call("insulation/creepage", along, |input| creepage(input));
    let both = SpacingInput {
        working: VOLTAGE,
        alternating: false,
        recurring_peak: None,
        impulse,
        temporary,
        pollution: PollutionDegree::Two,
        group: MaterialGroup::Iiia,
        surface: Surface::Plain,
        altitude: HEIGHT,
        insulation: Insulation::Reinforced,
        built_clearance: Some(DISTANCE),
        built_creepage: Some(DISTANCE),
    };
    visit.call("insulation/spacing", both, |input| spacing(input));
    visit.brief(both, |input| {
        spacing(input).map(|found: Spacing| (found.steps().count(), found.verdict()))
    });
}

fn surface_profile(visit: &mut impl Visit) {
    // A flat surface with one slot, 2 mm wide and 5 mm deep.
    const SLOT: [(f32, f32); 6] = [
        (0.0, 0.0),
        (4.0, 0.0),
        (4.0, -5.0),
        (6.0, -5.0),
        (6.0, 0.0),
        (10.0, 0.0),
    ];
    visit.brief(SLOT, |points| Profile::from_mm(points));
    let Some(profile) = visit.given("insulation/profile", Profile::from_mm(&SLOT)) else {
        return;
    };
    visit.brief(profile, |profile| {
        (profile.air_path(), profile.surface_path())
    });
    let Some(profile) = visit.given("insulation/profile", Profile::from_mm(&SLOT)) else {
        return;
    };
    visit.call(
        "insulation/creepage_path",
        (profile, DISTANCE),
        |(profile, groove)| profile.creepage_path(*groove),
    );
}

fn isolation(visit: &mut impl Visit) {
    const CASE: IsolationCase = IsolationCase::Connected;
    let parts = [MEGOHM; 5];

    visit.brief((CASE, VOLTAGE), |(case, working)| {
        (IsolationCase::ohm_per_volt(*case), case.limit(*working))
    });
    visit.call(
        "insulation/judge_isolation",
        (CASE, VOLTAGE, MEGOHM),
        |(case, working, ohms)| judge_isolation(*case, *working, *ohms),
    );
    visit.brief(parts, |parts| isolation_budget(parts));
    visit.call(
        "insulation/judge_budget",
        (CASE, VOLTAGE, parts),
        |(case, working, parts)| judge_budget(*case, *working, parts),
    );
    let duty = MonitorDuty {
        case: CASE,
        capacitance: NANO_100,
        lowest: VOLTAGE,
        highest: VOLTAGE,
        response: SECOND,
    };
    let range = MonitorRange {
        capacitance: Some(NANO_100),
        lowest: Some(VOLTAGE),
        highest: None,
        response: Some(SECOND),
        alarm: Some(MEGOHM),
    };
    visit.call(
        "insulation/judge_monitor",
        (duty, range),
        |(duty, range)| judge_monitor(duty, range),
    );

    let reading = InsertedResistor {
        pack: Some(VOLTAGE),
        negative_to_chassis: accepted(Voltage::from_volts(220.0)),
        positive_to_chassis: accepted(Voltage::from_volts(180.0)),
        resistor: accepted(Resistance::from_ohms(200.0e3)),
        inserted_at: Pole::Negative,
        with_resistor: accepted(Voltage::from_volts(60.0)),
        meter: Some(accepted(Resistance::from_ohms(10.0e6))),
        accuracy: accepted(Share::from_percent(1.0)),
    };
    visit.call("insulation/isolation_by_resistor", reading, |reading| {
        isolation_by_resistor(reading)
    });
    visit.brief(
        (CASE, VOLTAGE, reading),
        |(case, working, reading)| match isolation_by_resistor(reading) {
            Ok(IsolationMeasured::Reading(found)) => judge_reading(*case, *working, &found).ok(),
            _ => None,
        },
    );
    visit.brief((CASE, VOLTAGE), |(case, working)| {
        recommended_resistor(*case, *working)
    });
}

fn touch(visit: &mut impl Visit) {
    visit.brief(Domain::Road, |domain| Domain::limits(*domain));
    visit.brief(
        (Domain::Road, VOLTAGE, true),
        |(domain, working, alternating)| voltage_class(*domain, *working, *alternating),
    );
    visit.call(
        "insulation/touch_current",
        (VOLTAGE, MEGOHM, BODY),
        |(working, pole, body)| touch_current(*working, *pole, *pole, *body),
    );
    visit.brief((AMPERE, false), |(current, alternating)| {
        judge_touch_current(*current, *alternating)
    });
    let shares = PoleVoltages::ByIsolation {
        positive: MEGOHM,
        negative: BODY,
    };
    visit.call(
        "insulation/touch_energy",
        (VOLTAGE, NANO_100, shares),
        |(working, farads, shares)| touch_energy(*working, *farads, *farads, *shares),
    );
    visit.brief((VOLTAGE, NANO_100, shares), |(working, farads, shares)| {
        touch_energy(*working, *farads, *farads, *shares).map(|found| judge_touch_energy(&found))
    });
    visit.brief(VOLTAGE, |working| largest_y_capacitance(*working));
    visit.brief((NANO_100, VOLTAGE), |(link, voltage)| {
        link_energy_above_60_v(*link, *voltage)
    });
}

fn bonding(visit: &mut impl Visit) {
    const METAL: StrapMetal = StrapMetal::Copper;

    visit.brief(BondPath::ToChassis, |path| BondPath::limit_ohm(*path));
    visit.brief(
        (BondPath::ToChassis, BOND, AMPERE),
        |(path, measured, current)| judge_bond(*path, Some(*measured), Some(*current)),
    );
    visit.call(
        "insulation/strap_section",
        (METAL, FAULT, COLD, HOT),
        |(metal, fault, start, end)| strap_section(*metal, *fault, *start, *end),
    );
    visit.brief((METAL, STRAP, COLD, HOT), |(metal, section, start, end)| {
        strap_withstand(*metal, *section, *start, *end)
    });
    visit.brief((METAL, FAULT, STRAP), |(metal, fault, section)| {
        judge_strap(*metal, *fault, COLD, HOT, Some(*section))
    });
}

fn withstand(visit: &mut impl Visit) {
    visit.brief(
        (VOLTAGE, Supply::Mains, Insulation::Basic),
        |(working, supply, insulation)| withstand_test(*working, *supply, *insulation),
    );
    visit.brief(VOLTAGE, |working| vehicle_test(*working));
}
