//! What keeps the high voltage where it belongs, on a 400 V system.

use orangeloom_core::insulation::{
    BondPath, ClearanceInput, CreepageInput, Domain, Impulse, InsertedResistor, IsolationCase,
    IsolationMeasured, MonitorDuty, MonitorRange, Pole, PoleVoltages, Profile, Spacing,
    SpacingInput, StrapMetal, Supply, TemporaryOvervoltage, clearance, creepage, isolation_budget,
    isolation_by_resistor, judge_bond, judge_budget, judge_isolation, judge_monitor, judge_reading,
    judge_strap, judge_touch_current, judge_touch_energy, largest_y_capacitance,
    link_energy_above_60_v, recommended_resistor, spacing, strap_section, strap_withstand,
    touch_current, touch_energy, vehicle_test, voltage_class, withstand_test,
};
use orangeloom_core::quantity::{
    Altitude, Capacitance, ConductorArea, Current, CurrentSquaredTime, Length, Resistance, Share,
    Temperature, Time, Voltage,
};
use orangeloom_core::standard::iec60664::{
    Insulation, MaterialGroup, OvervoltageCategory, PollutionDegree,
};
use orangeloom_core::standard::iec60664_creepage::Surface;

use super::{Visit, accepted};

const PACK: Voltage = accepted(Voltage::from_volts(400.0));
const MAINS: Voltage = accepted(Voltage::from_volts(230.0));
const MEGOHM: Resistance = accepted(Resistance::from_ohms(1.0e6));
const CASE: IsolationCase = IsolationCase::DirectSeparate;

/// Calls of `insulation`.
pub fn all(visit: &mut impl Visit) {
    distances(visit);
    over_grooves(visit);
    isolation(visit);
    touched(visit);
    bonded(visit);
    visit.brief(
        (PACK, Supply::Vehicle, Insulation::Basic),
        |(working, supply, insulation)| withstand_test(*working, *supply, *insulation),
    );
    visit.brief(PACK, |working| vehicle_test(*working));
}

/// Reinforced insulation of a charger, high up: the longest way through the rules.
fn distances(visit: &mut impl Visit) {
    let asked = SpacingInput {
        working: PACK,
        alternating: false,
        recurring_peak: None,
        impulse: Impulse::Rated {
            system: MAINS,
            category: OvervoltageCategory::Two,
        },
        temporary: TemporaryOvervoltage::Mains { nominal: MAINS },
        pollution: PollutionDegree::Three,
        group: MaterialGroup::Iiia,
        surface: Surface::Plain,
        altitude: accepted(Altitude::from_metres(3500.0)),
        insulation: Insulation::Reinforced,
        built_clearance: Some(accepted(Length::from_mm(9.0))),
        built_creepage: Some(accepted(Length::from_mm(14.0))),
    };
    let through_air = ClearanceInput {
        working_peak: PACK,
        impulse: asked.impulse,
        temporary: asked.temporary,
        pollution: asked.pollution,
        altitude: asked.altitude,
        insulation: asked.insulation,
    };
    visit.call("insulation/clearance", through_air, clearance);
    let over_surface = CreepageInput {
        working: PACK,
        pollution: asked.pollution,
        group: asked.group,
        surface: asked.surface,
        insulation: asked.insulation,
        clearance: accepted(Length::from_mm(8.0)),
    };
    visit.call("insulation/creepage", over_surface, creepage);
    visit.call("insulation/spacing", asked, spacing);
    let Some(found) = visit.given("insulation/spacing", spacing(&asked)) else {
        return;
    };
    visit.brief(found, |found| {
        (Spacing::steps(found).count(), found.verdict())
    });
}

/// A groove, and a V with a barrier in it.
const CUT_MM: [(f32, f32); 11] = [
    (0.0, 0.0),
    (3.0, 0.0),
    (3.0, -2.0),
    (3.8, -2.0),
    (3.8, 0.0),
    (6.0, 0.0),
    (7.0, -3.0),
    (7.0, 1.0),
    (7.0, -3.0),
    (8.0, 0.0),
    (11.0, 0.0),
];

fn over_grooves(visit: &mut impl Visit) {
    const X: Length = accepted(Length::from_mm(1.5));
    visit.brief(CUT_MM, |points| Profile::from_mm(points));
    let Some(cut) = visit.given("insulation/profile", Profile::from_mm(&CUT_MM)) else {
        return;
    };
    visit.brief(cut.clone(), |cut| (cut.air_path(), cut.surface_path()));
    visit.call("insulation/creepage_path", cut, |cut| cut.creepage_path(X));
}

fn isolation(visit: &mut impl Visit) {
    let reading = InsertedResistor {
        pack: Some(PACK),
        negative_to_chassis: accepted(Voltage::from_volts(260.0)),
        positive_to_chassis: accepted(Voltage::from_volts(140.0)),
        resistor: accepted(Resistance::from_ohms(40.0e3)),
        inserted_at: Pole::Negative,
        with_resistor: accepted(Voltage::from_volts(30.0)),
        meter: Some(accepted(Resistance::from_ohms(10.0e6))),
        accuracy: accepted(Share::from_fraction(0.01)),
    };
    visit.call(
        "insulation/isolation_by_resistor",
        reading,
        isolation_by_resistor,
    );
    let measured = isolation_by_resistor(&reading);
    let measured = visit.given("insulation/isolation_by_resistor", measured);
    if let Some(IsolationMeasured::Reading(read)) = measured {
        visit.call("insulation/judge_reading", read, |read| {
            judge_reading(CASE, PACK, read)
        });
    }
    visit.brief((CASE, PACK), |(case, working)| {
        recommended_resistor(*case, *working)
    });
    visit.brief(CASE, |case| case.ohm_per_volt());
    visit.brief((CASE, PACK), |(case, working)| {
        IsolationCase::limit(*case, *working)
    });
    visit.call("insulation/judge_isolation", MEGOHM, |resistance| {
        judge_isolation(CASE, PACK, *resistance)
    });
    visit.call("insulation/isolation_budget", [MEGOHM; 8], |parts| {
        isolation_budget(parts)
    });
    visit.brief([MEGOHM; 8], |parts| judge_budget(CASE, PACK, parts));
    let duty = MonitorDuty {
        case: CASE,
        capacitance: accepted(Capacitance::from_farads(1.0e-6)),
        lowest: accepted(Voltage::from_volts(300.0)),
        highest: PACK,
        response: accepted(Time::from_seconds(10.0)),
    };
    let range = MonitorRange {
        capacitance: Some(duty.capacitance),
        lowest: Some(duty.lowest),
        highest: Some(duty.highest),
        response: None,
        alarm: Some(MEGOHM),
    };
    visit.brief((duty, range), |(duty, range)| judge_monitor(duty, range));
}

fn touched(visit: &mut impl Visit) {
    const BODY: Resistance = accepted(Resistance::from_ohms(500.0));
    const Y: Capacitance = accepted(Capacitance::from_farads(0.5e-6));
    const LINK: Capacitance = accepted(Capacitance::from_farads(500.0e-6));
    const MILLIAMPERE: Current = accepted(Current::from_amperes(0.001));

    visit.brief(Domain::Road, |domain| domain.limits());
    visit.brief((Domain::Rail, PACK), |(domain, working)| {
        voltage_class(*domain, *working, false)
    });
    visit.call(
        "insulation/touch_current",
        (PACK, MEGOHM),
        |(pack, pole)| touch_current(*pack, *pole, *pole, BODY),
    );
    visit.brief(MILLIAMPERE, |current| judge_touch_current(*current, false));
    let shares = PoleVoltages::ByIsolation {
        positive: MEGOHM,
        negative: BODY,
    };
    visit.call(
        "insulation/touch_energy",
        (PACK, shares),
        |(pack, shares)| touch_energy(*pack, Y, Y, *shares),
    );
    if let Some(energy) = visit.given("insulation/touch_energy", touch_energy(PACK, Y, Y, shares)) {
        visit.brief(energy, judge_touch_energy);
    }
    visit.brief(PACK, |working| largest_y_capacitance(*working));
    visit.brief((LINK, PACK), |(link, voltage)| {
        link_energy_above_60_v(*link, *voltage)
    });
}

fn bonded(visit: &mut impl Visit) {
    const MILLIOHM: Resistance = accepted(Resistance::from_ohms(0.001));
    const AMPERE: Current = accepted(Current::from_amperes(1.0));
    const FAULT: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(2.0e6));
    const COLD: Temperature = accepted(Temperature::from_degc(40.0));
    const HOT: Temperature = accepted(Temperature::from_degc(200.0));
    const SECTION: ConductorArea = accepted(ConductorArea::from_mm2(16.0));

    visit.brief(BondPath::ToChassis, |path| path.limit_ohm());
    visit.call("insulation/judge_bond", MILLIOHM, |measured| {
        judge_bond(BondPath::ToChassis, Some(*measured), Some(AMPERE))
    });
    visit.brief((StrapMetal::Steel, FAULT), |(metal, fault)| {
        strap_section(*metal, *fault, COLD, HOT)
    });
    visit.brief((StrapMetal::Copper, SECTION), |(metal, section)| {
        strap_withstand(*metal, *section, COLD, HOT)
    });
    visit.brief((StrapMetal::Aluminium, FAULT), |(metal, fault)| {
        judge_strap(*metal, *fault, COLD, HOT, Some(SECTION))
    });
}
