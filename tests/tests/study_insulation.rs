//! Insulation and shields of the three demonstration vehicles.
//!
//! Planted mistakes and their numbers are stated in the heads of the fixtures; the
//! arithmetic beside each check is done by hand.

use orangeloom_core::conductor::installation::InTube;
use orangeloom_core::design::{
    Conductor, Date, Design, Enclosure, Fuse, Gap, Laid, Load, Measured, PollutionKept, Reading,
    RoutePiece, ShieldEnd, Signature, Spacing, WhichEnd, Zone,
};
use orangeloom_core::insulation::{
    Domain, Impulse, IsolationCase, MonitorRange, TemporaryOvervoltage, VoltageClass,
};
use orangeloom_core::quantity::{
    Capacitance, Length, Resistance, Resistivity, Temperature, Time, Voltage,
};
use orangeloom_core::shield::{BraidBuild, CableVoltageClass, CircuitNoise, ShieldNeed};
use orangeloom_core::standard::iec60664::{Insulation, MaterialGroup, PollutionDegree};
use orangeloom_core::study::Unknown;
use orangeloom_core::study::insulation::{CircuitInsulation, InsulationStudy};
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::demo::{shunter, tractor, truck};
use orangeloom_tests::fixture;

fn study(design: &Design) -> Box<InsulationStudy> {
    Box::new(InsulationStudy::find(design))
}

fn circuit(design: &Design, name: &str) -> CircuitInsulation {
    let id = design.find::<Conductor>(name).unwrap();
    study(design).circuit(design, id, None).unwrap()
}

/// What is missing, whatever it is missing of.
fn gap_of(because: Option<Unknown>) -> Option<Gap> {
    match because? {
        Unknown::Missing(_, gap) => Some(gap),
        Unknown::Refused(..) => None,
    }
}

fn mm(mm: f32) -> Option<Length> {
    Length::from_mm(mm).ok()
}

fn near(found: f32, expected: f32, relative: f32) {
    assert!(
        (found / expected - 1.0).abs() < relative,
        "{found}, expected {expected}"
    );
}

// 12.5 mm at 800 V and 16 mm at 1000 V, pollution degree 3, group III (IEC 60664-1,
// Table F.4, seen): 12.5 + 3.5 x 6.4 / 200 = 12.612 mm at 806.4 V.
#[test]
fn the_creepage_distance_on_the_bar_support_of_the_shunter_is_too_short() {
    let design = fixture::design("road-rail-shunter");
    let study = study(&design);
    near(study.highest.unwrap().as_volts(), 806.4, 1e-6);
    assert_eq!(study.class, Ok(VoltageClass::Protected));
    assert!(study.impulse_assumed);
    let [built] = study.spacings.as_slice() else {
        panic!("one spacing was expected")
    };
    let creepage = built.creepage.judged;
    assert_eq!(creepage.verdict, Verdict::Fails);
    near(creepage.value.unwrap(), 10.0, 1e-6);
    near(creepage.limit.unwrap(), 12.612, 1e-5);
    // 5.5 mm for 6 kV (1000 V row, category II) x 1.04 at 2300 m.
    near(built.clearance.judged.limit.unwrap(), 5.73, 2e-3);
}

// 2 x (0.22 + 0.22 + 0.1 + 0.1) uF = 1.28 uF; 1.28e-6 x 806.4^2 / 2 = 0.4162 J.
// Six parts of 2.25 Mohm: 375 kohm; 500 ohm/V x 806.4 V = 403.2 kohm.
#[test]
fn the_shunter_holds_too_much_energy_and_too_little_resistance_to_chassis() {
    let study = study(&fixture::design("road-rail-shunter"));
    let found = &study.to_chassis;
    near(found.capacitance.unwrap().as_farads(), 1.28e-6, 1e-5);
    let energy = found.energy.unwrap();
    near(energy.worst_case.as_joules(), 0.416_18, 1e-4);
    // Both distributions: balanced it is a quarter.
    near(energy.energy.as_joules(), 0.104_05, 1e-4);
    assert_eq!(found.touch.verdict(), Verdict::Fails);
    near(found.touch.judged.limit.unwrap(), 0.2, 1e-6);
    near(found.parallel.unwrap().as_ohms(), 375_000.0, 1e-5);
    near(found.budget.judged.limit.unwrap(), 403_200.0, 1e-5);
    assert_eq!(found.budget.verdict(), Verdict::Fails);
    assert_eq!(found.case, IsolationCase::Connected);
    assert_eq!(study.verdict(), Verdict::Fails);
}

// The other two vehicles keep every mistake out of this field, so nothing may fail that
// their heads do not name; much stays open, and says what is missing.
#[test]
fn the_truck_and_the_tractor_fail_nowhere_else() {
    for (name, volts) in [("lake-rescue-truck", 403.2), ("orchard-tractor", 144.0)] {
        let design = fixture::design(name);
        let found = study(&design);
        near(found.highest.unwrap().as_volts(), volts, 1e-5);
        assert_eq!(found.class, Ok(VoltageClass::Protected), "{name}");
        assert_ne!(found.verdict(), Verdict::Fails, "{name}");
        for id in found.circuits() {
            let circuit = found.circuit(&design, id, None).unwrap();
            assert_ne!(circuit.voltage.verdict(), Verdict::Fails, "{name}");
            assert_ne!(circuit.section.verdict(), Verdict::Fails, "{name}");
        }
    }
    // 144 V: below the 75 V of farm machinery it is not, on the road neither.
    let mut low = fixture::design("orchard-tractor");
    for (id, _) in low.clone().all::<orangeloom_core::design::Battery>() {
        low.get_mut(id).unwrap().in_series = 20;
    }
    // 20 x 3.6 V = 72 V: touchable on the farm (75 V), protected on the road (60 V).
    assert_eq!(study(&low).class, Ok(VoltageClass::Touchable));
    low.vehicle.domain = Domain::Road;
    assert_eq!(study(&low).class, Ok(VoltageClass::Protected));
}

#[test]
fn a_box_asks_for_more_with_reinforced_insulation_and_nothing_with_missing_inputs() {
    let mut design = fixture::design("road-rail-shunter");
    design.vehicle.temporary = Some(TemporaryOvervoltage::NotFromMains);
    let j1 = design.find::<Enclosure>("J1").unwrap();
    let found = study(&design);
    let in_j1 = *found.in_box(j1).unwrap();
    assert_eq!(in_j1.pollution, Some(PollutionDegree::Three));
    assert_eq!(
        (in_j1.group, in_j1.group_assumed),
        (MaterialGroup::Iiia, false)
    );
    let (basic, reinforced) = (in_j1.basic.unwrap(), in_j1.reinforced.unwrap());
    assert_eq!(basic.at_least_until, None);
    near(basic.creepage.unwrap().as_mm(), 12.612, 1e-5);
    near(reinforced.creepage.unwrap().as_mm(), 25.224, 1e-5);
    // 6 kV -> 8 kV: 5.5 -> 8.0 mm, both x 1.04 at 2300 m.
    near(
        reinforced.clearance.as_mm() / basic.clearance.as_mm(),
        8.0 / 5.5,
        1e-5,
    );
    // The boxes of the batteries are clean: no spacing stated, worst group.
    let l1 = found
        .in_box(design.find::<Enclosure>("L1").unwrap())
        .unwrap();
    assert_eq!(l1.pollution, Some(PollutionDegree::Two));
    assert_eq!((l1.group, l1.group_assumed), (MaterialGroup::Iiib, true));
    // 8.0 mm at 800 V and 10 mm at 1000 V, pollution degree 2, group III.
    near(l1.basic.unwrap().creepage.unwrap().as_mm(), 8.064, 1e-5);

    design.vehicle.altitude = None;
    let gap = |design: &Design| study(design).in_box(j1).unwrap().basic;
    assert_eq!(gap_of(gap(&design).err()), Some(Gap::Altitude));
    let mut design = fixture::design("road-rail-shunter");
    let entry = design.get_mut(j1).unwrap();
    (entry.pollution, entry.zone) = (None, None);
    assert_eq!(gap_of(gap(&design).err()), Some(Gap::Pollution));
    assert_eq!(
        gap_of(study(&design).spacings[0].creepage.because),
        Some(Gap::Pollution)
    );
    let mut design = fixture::design("road-rail-shunter");
    for (id, _) in design.clone().all::<orangeloom_core::design::Battery>() {
        design.get_mut(id).unwrap().cell.maximum = None;
    }
    assert_eq!(gap_of(gap(&design).err()), Some(Gap::CellVoltage));
    assert!(study(&design).class.is_err());
    assert_eq!(
        gap_of(study(&design).to_chassis.touch.because),
        Some(Gap::CellVoltage)
    );
}

#[test]
fn nothing_that_keeps_a_box_clean_leaves_it_as_dirty_as_its_zone() {
    let mut design = fixture::design("road-rail-shunter");
    let l1 = design.find::<Enclosure>("L1").unwrap();
    design.get_mut(l1).unwrap().kept_by = Some(PollutionKept::Nothing);
    let found = study(&design);
    assert_eq!(
        found.in_box(l1).unwrap().pollution,
        Some(PollutionDegree::Three)
    );
    design.get_mut(l1).unwrap().pollution = None;
    let roof = design.find::<Zone>("roof").unwrap();
    design.get_mut(roof).unwrap().pollution = Some(PollutionDegree::Four);
    let wet = study(&design);
    let wet = wet.in_box(l1).unwrap().basic.unwrap();
    assert_eq!(wet.creepage, None);
    assert!(wet.clearance.as_mm() >= 1.6);
}

#[test]
fn an_unknown_is_taken_at_its_worst_and_only_what_holds_then_holds() {
    let mut design = fixture::design("road-rail-shunter");
    design.vehicle.temporary = Some(TemporaryOvervoltage::NotFromMains);
    let id = design.find::<Spacing>("bar support").unwrap();
    let judged = |design: &Design| study(design).spacings[0];
    // Fails by value with group IIIa; who knows what it does with an unknown group.
    design.get_mut(id).unwrap().group = None;
    let open = judged(&design).creepage;
    assert_eq!(
        (open.verdict(), gap_of(open.because)),
        (Verdict::Open, Some(Gap::MaterialGroup))
    );
    let entry = design.get_mut(id).unwrap();
    (entry.group, entry.insulation) = (Some(MaterialGroup::Iiia), None);
    // 12.6 mm basic, 25.2 mm reinforced.
    entry.creepage = mm(20.0);
    let open = judged(&design).creepage;
    assert_eq!(
        (open.verdict(), gap_of(open.because)),
        (Verdict::Open, Some(Gap::InsulationKind))
    );
    design.get_mut(id).unwrap().creepage = mm(25.3);
    assert_eq!(judged(&design).creepage.verdict(), Verdict::Holds);
    assert_eq!(judged(&design).creepage.because, None);
    // Not measured.
    let entry = design.get_mut(id).unwrap();
    (entry.creepage, entry.clearance) = (None, None);
    let open = judged(&design);
    assert_eq!(gap_of(open.creepage.because), Some(Gap::Creepage));
    assert_eq!(gap_of(open.clearance.because), Some(Gap::Clearance));
    // A smaller voltage across it asks for less.
    let entry = design.get_mut(id).unwrap();
    entry.insulation = Some(Insulation::Basic);
    entry.creepage = mm(10.0);
    entry.working = Some(Voltage::from_volts(403.2).unwrap());
    assert_eq!(judged(&design).creepage.verdict(), Verdict::Holds);
    // The mains may come in through the inlet: no pass until that is known.
    design.vehicle.temporary = None;
    let open = judged(&design).creepage;
    assert_eq!(
        (open.verdict(), gap_of(open.because)),
        (Verdict::Open, Some(Gap::TemporaryOvervoltage))
    );
    // An impulse below the working voltage is a slip, which the review tells: category I at
    // 806.4 V, table F.1, row of 1000 V, counts in its place.
    design.vehicle.temporary = Some(TemporaryOvervoltage::NotFromMains);
    design.get_mut(id).unwrap().clearance = mm(9.0);
    let with = |design: &mut Design, volts: f32| {
        design.vehicle.impulse = Some(Impulse::Entered(Voltage::from_volts(volts).unwrap()));
        judged(design)
    };
    let least = with(&mut design, 4000.0);
    assert!(least.clearance.judged.limit.unwrap() > 2.9, "{least:?}");
    assert_eq!(with(&mut design, 300.0), least);
    assert_ne!(with(&mut design, 6000.0), least);
}

#[test]
fn a_circuit_of_an_inverter_needs_its_shield_round_at_both_ends() {
    let mut design = fixture::design("lake-rescue-truck");
    let id = design.find::<Conductor>("05+").unwrap();
    let found = circuit(&design, "05+");
    assert_eq!(found.need, ShieldNeed::Switching);
    assert_eq!(found.shield.verdict(), Verdict::Holds);
    assert_eq!(gap_of(found.coverage.because), Some(Gap::Braid));
    near(found.least_coverage.unwrap(), 0.85, 1e-6);
    // F1 ends on its positive bar through the main contactor: 3.2e5 A2s at 500 V. From
    // the 125 degC of the cable to 200 degC:
    // sqrt(3.2e5) / (226 sqrt(ln(434.5 / 359.5))) = 5.750 mm2.
    near(found.least_section.unwrap().as_mm2(), 5.750, 1e-3);
    let cable = design.get(id).unwrap().cable.unwrap();
    let braid = |ends| BraidBuild {
        under: Length::from_mm(14.0).unwrap(),
        strand: Length::from_mm(0.2).unwrap(),
        carriers: 24,
        ends,
        lay: Length::from_mm(60.0).unwrap(),
        resistivity: Resistivity::from_ohm_m(1.7241e-8).unwrap(),
    };
    // 24 x 8 x 0.2 mm: 6.03 mm2; 24 x 5: 3.77 mm2.
    for (ends, section) in [(8, Verdict::Holds), (5, Verdict::Fails)] {
        design.get_mut(cable).unwrap().braid = Some(braid(ends));
        assert_eq!(circuit(&design, "05+").section.verdict(), section, "{ends}");
    }
    assert_eq!(circuit(&design, "05+").coverage.verdict(), Verdict::Fails);
    design.get_mut(cable).unwrap().shielded = Some(false);
    assert_eq!(circuit(&design, "05+").shield.verdict(), Verdict::Fails);
    design.get_mut(cable).unwrap().shielded = None;
    assert_eq!(
        gap_of(circuit(&design, "05+").shield.because),
        Some(Gap::Shielded)
    );
    design.get_mut(cable).unwrap().shielded = Some(true);

    for (end, verdict) in [
        (Some(ShieldEnd::Round), Verdict::Holds),
        (mm(25.0).map(ShieldEnd::Pigtail), Verdict::Holds),
        (mm(40.0).map(ShieldEnd::Pigtail), Verdict::Fails),
        (Some(ShieldEnd::NotConnected), Verdict::Fails),
        (None, Verdict::Open),
    ] {
        design.get_mut(id).unwrap().ends[1].shield = end;
        assert_eq!(
            circuit(&design, "05+").ends[1].verdict(),
            verdict,
            "{end:?}"
        );
    }
}

#[test]
fn a_quiet_run_goes_without_only_where_all_is_known() {
    let mut design = fixture::design("lake-rescue-truck");
    let id = design.find::<Conductor>("02").unwrap();
    // Against a panel in the open: not in metal.
    assert_eq!(circuit(&design, "02").need, ShieldNeed::NotInMetal);
    let piece = *design
        .get(design.get(id).unwrap().route.pieces().next().unwrap())
        .unwrap();
    let tube = |laid| {
        [RoutePiece {
            laid: Some(laid),
            ..piece
        }]
    };
    let route = design
        .add_route(&tube(Laid::InTube(InTube::Pair, None)))
        .unwrap();
    design.get_mut(id).unwrap().route = route;
    let found = circuit(&design, "02");
    assert_eq!(found.need, ShieldNeed::Unknown);
    let cable = design.get(id).unwrap().cable.unwrap();
    design.get_mut(cable).unwrap().shielded = Some(false);
    let open = circuit(&design, "02").shield;
    assert_eq!(
        (open.verdict(), gap_of(open.because)),
        (Verdict::Open, Some(Gap::InMetal))
    );
    design.get_mut(id).unwrap().noise = None;
    assert_eq!(
        gap_of(circuit(&design, "02").shield.because),
        Some(Gap::Noise)
    );
    design.get_mut(id).unwrap().noise = Some(CircuitNoise::Switching);
    assert_eq!(circuit(&design, "02").shield.verdict(), Verdict::Fails);
}

#[test]
fn the_class_of_a_cable_is_held_against_the_highest_voltage_and_temperature() {
    let mut design = fixture::design("lake-rescue-truck");
    let id = design.find::<Conductor>("05+").unwrap();
    let cable = design.get(id).unwrap().cable.unwrap();
    let found = circuit(&design, "05+");
    assert_eq!(found.least_class, Ok(Some(CableVoltageClass::Dc900)));
    assert_eq!(found.voltage.verdict(), Verdict::Holds);
    assert_eq!(
        gap_of(found.temperature.because),
        Some(Gap::ConductorTemperature)
    );
    let at = |design: &Design, degc| {
        let hottest = Some(Temperature::from_degc(degc).unwrap());
        study(design)
            .circuit(design, id, hottest)
            .unwrap()
            .temperature
            .verdict()
    };
    assert_eq!(at(&design, 125.0), Verdict::Holds);
    assert_eq!(at(&design, 133.0), Verdict::Fails);
    design.get_mut(cable).unwrap().voltage_class = Some(CableVoltageClass::Dc60);
    assert_eq!(circuit(&design, "05+").voltage.verdict(), Verdict::Fails);
    design.get_mut(cable).unwrap().voltage_class = None;
    assert_eq!(
        gap_of(circuit(&design, "05+").voltage.because),
        Some(Gap::VoltageClass)
    );
    design.get_mut(id).unwrap().cable = None;
    assert_eq!(
        gap_of(circuit(&design, "05+").voltage.because),
        Some(Gap::CableType)
    );
    // Nothing of the low-voltage side is held against the traction battery.
    let lamp = fixture::design("lake-rescue-truck");
    let found = study(&lamp);
    assert!(lamp.all::<Conductor>().count() > found.circuits().count());
}

#[test]
fn a_fuse_that_does_not_stand_the_voltage_states_no_let_through() {
    // The planted 700 V fuses of the shunter.
    let found = circuit(&fixture::design("road-rail-shunter"), "15+");
    assert_eq!(gap_of(found.least_section.err()), Some(Gap::FuseTotal));
    assert_eq!(found.section.verdict(), Verdict::Open);
    // A second fault in the cables between the boxes of the truck meets no fuse.
    let truck = fixture::design("lake-rescue-truck");
    let of = |design: &Design, name| circuit(design, name).least_section;
    assert_eq!(gap_of(of(&truck, "05-").err()), Some(Gap::ProtectingFuse));
}

/// Once only a fuse next to a conductor counted, or, for a pole without fuses, the largest
/// of all others: two strings feed a fault through two.
#[test]
fn strings_add_what_their_fuses_let_through_into_a_shield() {
    let tractor = fixture::design("orchard-tractor-mended");
    let of = |name| circuit(&tractor, name).least_section.unwrap().as_mm2();
    // From the 150 degC of the cable to 200 degC, FS1 and FS2 at once:
    // 2 sqrt(I2t) / (226 sqrt(ln(434.5 / 384.5))).
    let fuse = tractor.find::<Fuse>("FS1").unwrap();
    let part = tractor.get(fuse).unwrap().part.unwrap();
    let total = tractor.get(part).unwrap().total.unwrap().as_a2s();
    let both = 2.0 * total.sqrt() / (226.0 * (434.5_f32 / 384.5).ln().sqrt());
    near(of("01+"), both, 1e-3);
    // The negative pole has none of its own.
    near(of("01-"), both, 1e-3);
    near(of("03-"), both, 1e-3);
    // Behind a small fuse of its own a small shield is enough.
    assert!(of("05+") < 0.1 * both);
}

#[test]
fn a_cut_back_is_as_long_as_the_creepage_distance_of_its_box() {
    let mut design = fixture::design("road-rail-shunter");
    let id = design.find::<Conductor>("15+").unwrap();
    let inverter = design.get(id).unwrap().from;
    design.get_mut(inverter).unwrap().enclosure = design.find::<Enclosure>("J1");
    let found = circuit(&design, "15+");
    near(
        found.least_cut_back[0].unwrap().unwrap().as_mm(),
        12.612,
        1e-5,
    );
    assert_eq!(gap_of(found.cut_backs[0].because), Some(Gap::CutBack));
    let unread = design.clone();
    for (measured, verdict) in [(12.0, Verdict::Fails), (13.0, Verdict::Holds)] {
        design = unread.clone();
        design
            .add(Reading {
                at: id.into(),
                end: Some(WhichEnd::From),
                measured: Measured::CutBack(mm(measured).unwrap()),
                signature: None,
            })
            .unwrap();
        assert_eq!(circuit(&design, "15+").cut_backs[0].verdict(), verdict);
    }
    let mut design = unread;
    // Once the last in the file counted: an old sheet that is written down late.
    for (month, measured) in [(11, 4.0), (5, 13.0)] {
        let signature = Signature {
            date: Date::new(2026, month, 1).ok(),
            ..Signature::default()
        };
        let signature = design.add(signature).ok();
        design
            .add(Reading {
                at: id.into(),
                end: Some(WhichEnd::From),
                measured: Measured::CutBack(mm(measured).unwrap()),
                signature,
            })
            .unwrap();
    }
    let judged = circuit(&design, "15+").cut_backs[0].judged;
    assert_eq!((judged.verdict, judged.value), (Verdict::Fails, Some(4.0)));
}

#[test]
fn the_budget_fails_early_and_holds_late() {
    let mut design = fixture::design("road-rail-shunter");
    let heater = design.find::<Load>("cab heater").unwrap();
    design.get_mut(heater).unwrap().isolation = None;
    // Five of 2.25 Mohm: 450 kohm holds 403.2 kohm, but one part is not known.
    let found = study(&design).to_chassis;
    assert_eq!(
        (found.budget.verdict(), gap_of(found.budget.because)),
        (Verdict::Open, Some(Gap::Isolation))
    );
    near(found.parallel.unwrap().as_ohms(), 450_000.0, 1e-5);
    design.get_mut(heater).unwrap().isolation = Some(Resistance::from_ohms(1.0e5).unwrap());
    let found = study(&design).to_chassis;
    assert_eq!(
        (found.budget.verdict(), found.weakest),
        (Verdict::Fails, Some(heater))
    );
    // Protected alternating parts: 100 ohm/V, 80.64 kohm; 81.8 kohm holds.
    design.vehicle.isolation_case = Some(IsolationCase::ConnectedAlternatingProtected);
    assert_eq!(study(&design).to_chassis.budget.verdict(), Verdict::Holds);
    // Direct current alone is not what inverters are.
    design.vehicle.isolation_case = Some(IsolationCase::DirectSeparate);
    let found = study(&design).to_chassis;
    assert_eq!(found.case, IsolationCase::Connected);
    assert_eq!(found.budget.verdict(), Verdict::Fails);
    design.vehicle.isolation_case = None;
    assert_eq!(
        gap_of(study(&design).to_chassis.budget.because),
        Some(Gap::IsolationCase)
    );
}

#[test]
fn the_energy_fails_early_and_the_monitor_is_held_against_its_sheet() {
    let mut design = fixture::design("lake-rescue-truck");
    // Heater and inlet say nothing; 2 x (0.22 + 0.047 + 0.047 + 0.1) uF = 0.828 uF,
    // x 403.2^2 / 2 = 0.0673 J.
    let found = study(&design).to_chassis;
    near(found.energy.unwrap().worst_case.as_joules(), 0.0673, 1e-3);
    assert_eq!(
        (found.touch.verdict(), gap_of(found.touch.because)),
        (Verdict::Open, Some(Gap::YCapacitance))
    );
    for judged in found.monitor {
        assert_eq!(
            (judged.verdict(), gap_of(judged.because)),
            (Verdict::Open, Some(Gap::Monitor))
        );
    }
    let inverter = design.find::<Load>("inverter").unwrap();
    design.get_mut(inverter).unwrap().y_positive = Some(Capacitance::from_farads(3.0e-6).unwrap());
    assert_eq!(study(&design).to_chassis.touch.verdict(), Verdict::Fails);
    design.vehicle.monitor = Some(MonitorRange {
        capacitance: Some(Capacitance::from_farads(5.0e-6).unwrap()),
        lowest: Some(Voltage::from_volts(50.0).unwrap()),
        highest: Some(Voltage::from_volts(400.0).unwrap()),
        response: Some(Time::from_seconds(10.0).unwrap()),
        alarm: Some(Resistance::from_ohms(2.1e5).unwrap()),
    });
    let verdicts = study(&design)
        .to_chassis
        .monitor
        .map(|judged| judged.verdict());
    let [fails, holds, open] = [Verdict::Fails, Verdict::Holds, Verdict::Open];
    // Capacitance not all known; 403.2 V against 400 V; the rest holds.
    assert_eq!(verdicts, [open, fails, holds, holds, holds]);
}

#[test]
fn vehicles_of_which_little_is_known_stay_open_and_name_what_is_missing() {
    for build in [truck(), tractor(), shunter()] {
        let design = &build.design;
        let found = study(design);
        assert!(found.highest.is_ok());
        assert!(!found.boxes.is_empty() || design.all::<Enclosure>().count() > 0);
        for entry in &found.boxes {
            assert_eq!(gap_of(entry.basic.err()), Some(Gap::Pollution));
        }
        assert!(found.circuits().count() >= 8);
        for id in found.circuits() {
            let circuit = found.circuit(design, id, None).unwrap();
            // Noise was not stated: a shield is there, so nothing is missing of that.
            assert_eq!(circuit.shield.verdict(), Verdict::Holds);
            assert_eq!(gap_of(circuit.voltage.because), Some(Gap::VoltageClass));
            assert_eq!(gap_of(circuit.ends[0].because), Some(Gap::ShieldEnd));
            assert_ne!(circuit.verdict(), Verdict::Holds);
        }
        assert_eq!(
            gap_of(found.to_chassis.budget.because),
            Some(Gap::Isolation)
        );
    }
}
