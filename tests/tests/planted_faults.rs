//! What a review finds of the short circuits in the demonstrations, by value and place,
//! and that it finds nothing of it in the mended ones. The vehicles are invented; each
//! expected number is worked by hand beside it.

use orangeloom_core::design::{
    Battery, BatteryId, CableType, Cell, Conductor, ConductorId, Contactor, Enclosure, Entry, Fuse,
    Gap, Load, Phase, ServiceDisconnect, Thing,
};
use orangeloom_core::fault::{
    Along, End, Extreme, Fault, FaultKind, FaultStudy, FaultWorkspace, Point,
};
use orangeloom_core::quantity::{ConductorArea, Resistance, Time};
use orangeloom_core::review::{Aspect, Because, Finding, RuleId};
use orangeloom_core::study::{Withstands, judge_shield_of, judge_strap_of, selectivity_of};
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::fixture::{self, TWINS};
use orangeloom_tests::reviewed::Reviewed;

/// A fixture whose short circuits could all be followed.
fn of(name: &str) -> Reviewed {
    let reviewed = Reviewed::new(fixture::design(name));
    assert_eq!(reviewed.followed, Ok(()));
    reviewed
}

/// How these tests ask.
trait Ask {
    fn id<E: Entry>(&self, name: &str) -> E::Id;

    /// What a rule finds of one thing.
    fn finding(&self, rule: RuleId, aspect: Aspect, thing: impl Into<Thing>) -> Finding;
}

impl Ask for Reviewed {
    fn id<E: Entry>(&self, name: &str) -> E::Id {
        fixture::id::<E>(&self.design, name)
    }

    #[track_caller]
    fn finding(&self, rule: RuleId, aspect: Aspect, thing: impl Into<Thing>) -> Finding {
        let thing = thing.into();
        let found = self.findings(rule);
        let one = found
            .iter()
            .find(|one| one.thing == thing && one.judged.name == aspect);
        *one.unwrap_or_else(|| panic!("{found:#?}"))
    }
}

/// Four digits of the resistances are worked by hand.
#[track_caller]
fn is(finding: &Finding, verdict: Verdict, value: f32, limit: f32) {
    let judged = &finding.judged;
    assert_eq!(judged.verdict, verdict, "{judged:?}");
    for (found, expected) in [(judged.value, value), (judged.limit, limit)] {
        let found = found.unwrap();
        assert!(
            (found - expected).abs() <= 3e-3 * expected.abs(),
            "{judged:?}, expected {value} against {limit}"
        );
    }
}

/// Resistance of a metre of 70 mm2 copper rod at -40 degC: 17.241 nohm m at 20 degC and
/// 0.00393/K, IEC 60287-1-1.
const COLD_70: f32 = 17.241e-9 / 70.0e-6 * (1.0 - 0.00393 * 60.0);

#[test]
fn the_cables_between_the_boxes_of_the_truck_meet_no_fuse() {
    let truck = of("lake-rescue-truck");
    // 32 cells of 4.2 V behind 32/2 x 0.9 mohm and 2.6 mohm of links; described with
    // 18 mohm as 7.4 kA.
    let amperes = 134.4 / 0.017;
    let rule = RuleId::LoopWithoutFuse;
    let one = truck.id::<Conductor>("01");
    let found = truck.finding(rule, Aspect::WithoutFuse, one);
    is(&found, Verdict::Fails, amperes, 0.0);
    assert_eq!(found.at, Some(truck.id::<Conductor>("04").into()));
    let Some(Because::Short(fault)) = found.because else {
        panic!("{found:?}");
    };
    assert_eq!(fault.kind, FaultKind::AtBox);
    let study = FaultStudy::new(&truck.design).unwrap();
    let enclosure = study.enclosure(&truck.design, fault.one);
    assert_eq!(enclosure, Some(truck.id::<Enclosure>("B1")));
    let two = truck.id::<Conductor>("02");
    let found = truck.finding(rule, Aspect::WithoutFuse, two);
    is(&found, Verdict::Fails, amperes, 0.0);
    // At B2 with 01 as at B3 with 03.
    let three = truck.id::<Conductor>("03");
    assert!([Some(one.into()), Some(three.into())].contains(&found.at));
    // Their joule integral has no end.
    let found = truck.finding(RuleId::ConductorShortCircuit, Aspect::LeadI2t, one);
    assert_eq!(found.judged.verdict, Verdict::Fails);
    assert_eq!(found.judged.value, None);
    assert!(matches!(found.because, Some(Because::Ends(_, End::NoFuse))));
    // In one piece: two boxes of 134.4 V, of 403.2 V.
    let link = truck.id::<ServiceDisconnect>("S1");
    let rule = RuleId::ServiceDisconnectPlace;
    let found = truck.finding(rule, Aspect::PieceVoltage, link);
    is(&found, Verdict::Fails, 268.8, 201.6);
}

#[test]
fn the_contactor_of_the_truck_stands_its_peak_by_little() {
    let truck = of("lake-rescue-truck");
    // Behind K+: three boxes and 2.4 + 4.2 + 3.1 + 1.1 m of 70 mm2; described as 7.6 kA
    // of 8 kA. A fault through chassis goes round some of the cable: half a per cent more.
    let amperes = 403.2 / (3.0 * 0.017 + 10.8 * COLD_70);
    let amperes = 1.005 * amperes;
    assert!((amperes - 7.6e3).abs() < 0.01 * 7.6e3, "{amperes}");
    let (rule, aspect) = (RuleId::FuseContactorMatch, Aspect::ContactPeak);
    let plus = truck.id::<Contactor>("K+");
    let found = truck.finding(rule, aspect, plus);
    is(&found, Verdict::Holds, amperes, 8.0e3);
    // A part of 6 kA would not.
    let mut design = truck.design.clone();
    let part = design.get(plus).unwrap().part.unwrap();
    let six = Some(orangeloom_core::quantity::Current::from_amperes(6.0e3).unwrap());
    design.get_mut(part).unwrap().withstand_peak = six;
    let weaker = Reviewed::new(design);
    let found = weaker.finding(rule, aspect, plus);
    is(&found, Verdict::Fails, amperes, 6.0e3);
    // F1 breaks it: 50 kA.
    let fuse = truck.id::<Fuse>("F1");
    let found = truck.finding(RuleId::FuseBreakingCapacity, Aspect::FuseBreaking, fuse);
    is(&found, Verdict::Holds, amperes, 5.0e4);
}

#[test]
fn a_string_of_the_tractor_feeds_the_fault_of_the_other() {
    let tractor = of("orchard-tractor");
    let lead = tractor.id::<Conductor>("02+");
    let rod = 17.241e-9 / 35.0e-6 * (1.0 - 0.00393 * 60.0);
    // Its own 144 V behind 20 mohm, the other's behind 9 m of 35 mm2 as well. Within
    // 3 kA of 12.0 kA, which is described for both with links and warm cables.
    let amperes: f32 = 144.0 / 0.020 + 144.0 / (0.020 + 9.0 * rod);
    assert!((amperes - 12.0e3).abs() < 3.0e3, "{amperes}");
    let found = tractor.finding(RuleId::LoopWithoutFuse, Aspect::WithoutFuse, lead);
    is(&found, Verdict::Fails, amperes, 0.0);
    let found = tractor.finding(RuleId::ConductorShortCircuit, Aspect::LeadI2t, lead);
    assert_eq!(found.judged.verdict, Verdict::Fails);
    assert!(matches!(found.because, Some(Because::Ends(_, End::NoFuse))));
    // 35 mm2 to 250 degC: k = 143 (IEC 60364-4-43), less by what a class 5 conductor lacks.
    let stands = found.judged.limit.unwrap();
    let standard = (143.0_f32 * 35.0).powi(2);
    assert!((0.85..1.15).contains(&(stands / standard)), "{stands}");
    // Neither string states its inductance: the time constant is too short by what is
    // not known, so that it cannot hold.
    let fuse = tractor.id::<Fuse>("F1");
    let rule = RuleId::FuseTimeConstant;
    let found = tractor.finding(rule, Aspect::FuseTimeConstant, fuse);
    assert_eq!(found.judged.verdict, Verdict::Open);
}

#[test]
fn a_time_constant_without_inductance_is_open() {
    let mut design = fixture::design("lake-rescue-truck");
    let battery = design.find::<Battery>("B2").unwrap();
    design.get_mut(battery).unwrap().inductance = None;
    let truck = Reviewed::new(design);
    let fuse = truck.id::<Fuse>("F1");
    let rule = RuleId::FuseTimeConstant;
    let found = truck.finding(rule, Aspect::FuseTimeConstant, fuse);
    assert_eq!(found.judged.verdict, Verdict::Open);
    let Some(Because::Unknown(unknown)) = found.because else {
        panic!("{found:?}");
    };
    assert_eq!(unknown.thing(), battery.into());
}

#[test]
fn equal_fuses_one_behind_the_other_are_not_selective() {
    // All main fuses of the shunter are of one type: 300 A.
    let shunter = of("road-rail-shunter");
    let lower = shunter.id::<Fuse>("F3");
    let upper: Vec<_> = shunter
        .faults
        .upstream(lower)
        .map(|id| shunter.design.name(id.into()).unwrap())
        .collect();
    // Both strings, each with the fuses in its boxes; not the other inverter's.
    assert_eq!(upper, ["FL1", "FL2", "FR1", "FR2", "F1", "F2"]);
    let string = shunter.id::<Fuse>("F1");
    assert_eq!(shunter.faults.upstream(string).count(), 0, "fed from both");
    let part = shunter.design.get(string).unwrap().part.unwrap();
    let part = shunter.design.get(part).unwrap();
    let pair = selectivity_of(
        &shunter.design,
        &shunter.study,
        &shunter.faults,
        lower,
        string,
    );
    // Total against three quarters of its own melting I2t; the total one holds for less
    // than 806 V.
    assert_eq!(
        pair.by_i2t.limit,
        part.melting.map(|i2t| 0.75 * i2t.as_a2s())
    );
    assert_eq!(pair.by_i2t.verdict, Verdict::Open);
}

/// The mended shunter feeds each inverter from two strings; that of 13, whose cable is 3 m
/// shorter, gives 54.4 % of it, and with cells 20 % off either way (1.2 / 0.8 = 1.5) at most
/// 0.544 / (0.544 + 0.456 / 1.5) = 64.2 %, that is 41 % of the joule integral of F3 in each of
/// its fuses. All of it, 1e5 A2s, is more than three quarters of the 7e4 that melt these.
#[test]
fn the_strings_of_the_shunter_carry_their_part_of_a_fault() {
    let mended = of("road-rail-shunter-mended");
    let [f3, f5] = ["F3", "F5"].map(|name| mended.id::<Fuse>(name));
    let found = mended.finding(RuleId::FuseSelectivity, Aspect::SelectiveI2t, f3);
    is(&found, Verdict::Holds, 41_400.0, 52_500.0);
    let found = mended.finding(RuleId::FuseSelectivity, Aspect::SelectiveI2t, f5);
    assert_eq!(found.judged.verdict, Verdict::Holds);
    // A string that is not known to be like the other may carry all.
    let mut design = mended.design.clone();
    let battery = design.find::<Battery>("R1 cells").unwrap();
    design.get_mut(battery).unwrap().cell.resistance = None;
    let unlike = Reviewed::new(design);
    let found = unlike.finding(RuleId::FuseSelectivity, Aspect::SelectiveI2t, f3);
    assert_ne!(found.judged.verdict, Verdict::Holds);
}

#[test]
fn the_heater_of_the_truck_has_its_fuse_at_the_tap() {
    let truck = of("lake-rescue-truck");
    let lead = truck.id::<Conductor>("06+");
    let found = truck.finding(RuleId::ReducedSectionTap, Aspect::TapLength, lead);
    is(&found, Verdict::Holds, 0.0, 0.3);
    // The return has it in the same loop.
    let back = truck.id::<Conductor>("06-");
    let found = truck.finding(RuleId::ReducedSectionTap, Aspect::TapLength, back);
    assert_eq!(found.judged.verdict, Verdict::Holds);
    // With the fuse at the far end the cable before it counts: 1.6 m.
    let mut design = truck.design.clone();
    let fuse = truck.id::<Fuse>("F4");
    let load = truck.id::<Load>("heater");
    let [bar, out] = {
        let fuse = design.get(fuse).unwrap();
        [fuse.from, fuse.to]
    };
    let plus = design.get(load).unwrap().positive;
    let entry = design.get_mut(lead).unwrap();
    (entry.from, entry.to) = (bar, out);
    let entry = design.get_mut(fuse).unwrap();
    (entry.from, entry.to) = (out, plus);
    let far = Reviewed::new(design);
    let found = far.finding(RuleId::ReducedSectionTap, Aspect::TapLength, lead);
    is(&found, Verdict::Fails, 1.6, 0.3);
}

/// The closed form adds what each capacitor gives by itself: no less than the network
/// that is followed step by step, batteries aside.
#[test]
fn a_surge_is_no_less_than_the_course_of_the_fault() {
    for name in ["lake-rescue-truck", "lake-rescue-truck-mended"] {
        let design = fixture::design(name);
        let study = FaultStudy::new(&design).unwrap();
        let fuse = design.find::<Fuse>("F4").unwrap();
        let [along, against] = study.surges(&design, fuse.into()).unwrap();
        let lead = |circuit, along| Point {
            conductor: design.find::<Conductor>(circuit).unwrap(),
            along,
        };
        let fault = Fault {
            kind: FaultKind::AtBox,
            one: lead("06+", Along::Start),
            other: lead("06-", Along::End),
        };
        let mut workspace = Box::new(FaultWorkspace::new());
        let until = Time::from_seconds(0.002).unwrap();
        let course = study
            .course(&design, &mut workspace, fault, Extreme::Largest, until)
            .unwrap()
            .unwrap();
        let solved = study.solve(&design, &mut workspace, fault).unwrap();
        let steady = solved.highest.prospective.as_amperes();
        let (_, of_fuse) = course.fuses.iter().find(|(id, _)| *id == fuse).unwrap();
        let peak = of_fuse.peak.as_amperes();
        let most = along.peak.as_amperes() + steady;
        assert!(peak <= most && peak > 0.5 * most, "{name}: {peak}, {most}");
        // The heater's own 4.7 uF gives little the other way.
        assert!(against.peak.as_amperes() < 0.2 * along.peak.as_amperes());
        // E/R: 403.2 V on 1 mF through the loop and 1 mohm, no less than that alone.
        let inverter = 0.5 * 1.0e-3 * 403.2_f32.powi(2) / (1.0e-3 + 1.8 * 2.0 * COLD_70);
        assert!(along.i2t.as_a2s() > inverter, "{name}: {along:?}");
    }
}

#[test]
fn the_mended_have_nothing_of_it() {
    for name in TWINS {
        let mended = of(&format!("{name}-mended"));
        for rule in [
            RuleId::LoopWithoutFuse,
            RuleId::ShortCircuitKnown,
            RuleId::ConductorShortCircuit,
            RuleId::ReducedSectionTap,
            RuleId::FuseTimeConstant,
            RuleId::FuseBreakingCapacity,
            RuleId::BondSection,
        ] {
            let findings = mended.findings(rule);
            assert!(!findings.is_empty());
            for found in findings {
                let judged = &found.judged;
                assert_eq!(judged.verdict, Verdict::Holds, "{name}: {found:#?}");
            }
        }
    }
}

#[test]
fn what_is_not_known_leaves_the_review_open() {
    let mut design = fixture::design("road-rail-shunter-mended");
    let battery = design.find::<Battery>("L1 cells").unwrap();
    design.get_mut(battery).unwrap().cell.resistance = None;
    let solved = Reviewed::new(design);
    for rule in [
        RuleId::LoopWithoutFuse,
        RuleId::ShortCircuitKnown,
        RuleId::ConductorShortCircuit,
        RuleId::FuseBreakingCapacity,
        RuleId::BondSection,
    ] {
        let findings = solved.findings(rule);
        // The low-voltage side has a battery of its own.
        let held = |one: &&Finding| {
            one.judged.verdict == Verdict::Holds && one.judged.name != Aspect::LowFuseBreaking
        };
        assert_eq!(findings.iter().find(held), None, "{}", rule.slug());
    }
    let missing = solved.faults.doubt().unwrap();
    assert_eq!(missing.thing(), battery.into());
    // A box without a bond, a cable without a braid.
    let mut design = fixture::design("road-rail-shunter-mended");
    let enclosure = design.find::<Enclosure>("J1").unwrap();
    design.get_mut(enclosure).unwrap().bond = None;
    let lead = design.find::<Conductor>("13+").unwrap();
    let part = design.get(lead).unwrap().cable.unwrap();
    design.get_mut(part).unwrap().braid = None;
    let solved = Reviewed::new(design);
    let found = solved.finding(RuleId::BondSection, Aspect::StrapSection, enclosure);
    assert_eq!(found.judged.verdict, Verdict::Open);
    let Some(Because::Unknown(unknown)) = found.because else {
        panic!("{found:?}");
    };
    assert_eq!(
        unknown,
        orangeloom_core::study::Unknown::Missing(enclosure.into(), Gap::Bond)
    );
    let found = solved.finding(RuleId::BondSection, Aspect::ShieldSection, lead);
    assert_eq!(found.judged.verdict, Verdict::Open);
}

/// A smaller strap, braid or cable is never better: it uses more of what it stands.
#[test]
fn more_metal_never_suffers_more() {
    let base = fixture::design("lake-rescue-truck-mended");
    let used = |scale: f32| {
        let mut design = base.clone();
        let area = |area: ConductorArea| ConductorArea::from_m2(scale * area.as_m2()).unwrap();
        let boxes: Vec<_> = design.all::<Enclosure>().map(|(id, _)| id).collect();
        for id in boxes {
            let entry = design.get_mut(id).unwrap();
            if let Some(bond) = &mut entry.bond {
                bond.section = bond.section.map(area);
            }
        }
        let parts: Vec<_> = design.all::<CableType>().map(|(id, _)| id).collect();
        for id in parts {
            let part = design.get_mut(id).unwrap();
            if let Some(braid) = &mut part.braid {
                let strand = scale.sqrt() * braid.strand.as_metres();
                braid.strand = orangeloom_core::quantity::Length::from_metres(strand).unwrap();
            }
        }
        let solved = Reviewed::new(design);
        let mut used = Vec::new();
        for (id, _) in solved.design.all::<Enclosure>() {
            let guard = judge_strap_of(&solved.design, &solved.study, &solved.faults, id);
            used.push(guard.unwrap().judged.value);
        }
        for (id, _) in solved.design.all::<Conductor>() {
            let guard = judge_shield_of(&solved.design, &solved.study, &solved.faults, id);
            used.push(guard.unwrap().judged.value);
        }
        used
    };
    let shares = [0.6, 0.8, 1.0].map(used);
    let mut compared = 0;
    for pair in shares.windows(2) {
        let [less, more] = pair else { unreachable!() };
        for (less, more) in less.iter().zip(more) {
            if let (Some(less), Some(more)) = (less, more) {
                assert!(more < less, "{less} {more}");
                compared += 1;
            }
        }
    }
    assert!(compared > 40, "{compared}");
}

/// More fault current never lengthens the time until it is off: the same fault through
/// bonds of less and less resistance.
#[test]
fn more_fault_current_is_off_sooner() {
    let base = fixture::design("lake-rescue-truck-mended");
    let mut last: Option<(f32, f32)> = None;
    for ohms in [0.03, 0.02, 0.01, 0.005, 0.001] {
        let mut design = base.clone();
        let readings: Vec<_> = design
            .all::<orangeloom_core::design::Reading>()
            .map(|(id, _)| id)
            .collect();
        for id in readings {
            let entry = design.get_mut(id).unwrap();
            if let orangeloom_core::design::Measured::Bond { resistance, .. } = &mut entry.measured
            {
                *resistance = Resistance::from_ohms(ohms).unwrap();
            }
        }
        let study = FaultStudy::new(&design).unwrap();
        let end = |circuit, along| Point {
            conductor: design.find::<Conductor>(circuit).unwrap(),
            along,
        };
        let fault = Fault {
            kind: FaultKind::ThroughChassis,
            one: end("03", Along::End),
            other: end("05-", Along::Start),
        };
        let mut workspace = Box::new(FaultWorkspace::new());
        let solved = study.solve(&design, &mut workspace, fault).unwrap();
        let End::Cleared(time) = solved.lowest.end else {
            panic!("{:?}", solved.lowest);
        };
        let now = (solved.lowest.prospective.as_amperes(), time.as_seconds());
        if let Some((amperes, seconds)) = last {
            assert!(now.0 > amperes && now.1 <= seconds, "{now:?} {last:?}");
        }
        last = Some(now);
    }
}

/// A larger cable never fails where a smaller one holds.
#[test]
fn a_larger_cable_stands_more() {
    let base = fixture::design("lake-rescue-truck-mended");
    let lead: ConductorId = base.find::<Conductor>("06+").unwrap();
    let mut last = 0.0;
    for mm2 in [4.0, 6.0, 10.0, 16.0] {
        let mut design = base.clone();
        let part = design.get(lead).unwrap().cable.unwrap();
        design.get_mut(part).unwrap().conductor.section = ConductorArea::from_mm2(mm2).unwrap();
        let solved = Reviewed::new(design);
        let stands = Withstands::new(&solved.design, &solved.study)
            .of(lead)
            .map(orangeloom_core::quantity::CurrentSquaredTime::as_a2s);
        if let Some(stands) = stands {
            assert!(stands > last, "{mm2}: {stands} {last}");
            last = stands;
        }
    }
    assert!(last > 0.0);
}

/// Once a battery of unknown voltage was left out of the faults, and what no fault reached
/// any more counted as what the rule does not apply to.
#[test]
fn what_a_battery_of_unknown_voltage_might_reach_is_open() {
    let rules = [
        RuleId::ConductorShortCircuit,
        RuleId::FuseContactorMatch,
        RuleId::FuseSelectivity,
        RuleId::FuseFedByCapacitor,
        RuleId::BondSection,
    ];
    for name in TWINS {
        let mut design = fixture::design(name);
        let whole = Reviewed::new(design.clone());
        let batteries: Vec<_> = design.all::<Battery>().map(|(id, _)| id).collect();
        for id in batteries {
            design.get_mut(id).unwrap().cell.maximum = None;
        }
        let less = Reviewed::new(design);
        for rule in rules {
            if whole.verdict(rule) != Verdict::NotApplicable {
                assert_eq!(less.verdict(rule), Verdict::Open, "{name} {rule:?}");
            }
        }
    }
}

/// Once a fuse whose current is not known in every phase was in series with nothing, so that
/// its overload was nobody's concern.
#[test]
fn the_overload_of_a_fuse_of_unknown_current_is_open() {
    for name in TWINS {
        let mut design = fixture::design(name);
        let whole = Reviewed::new(design.clone());
        let batteries: Vec<_> = design.all::<Battery>().map(|(id, _)| id).collect();
        for id in batteries {
            design.get_mut(id).unwrap().cell = Cell::default();
        }
        let less = Reviewed::new(design);
        if whole.verdict(RuleId::OverloadOwner) != Verdict::NotApplicable {
            assert_eq!(less.verdict(RuleId::OverloadOwner), Verdict::Open, "{name}");
        }
    }
}

/// Once a string that is not connected counted as the source, and the sag of the other one
/// as a drop of the cables.
#[test]
fn a_string_that_is_not_connected_is_no_source_of_a_drop() {
    let solved = of("orchard-tractor-mended");
    let drive = solved.id::<Load>("drive");
    let design = &solved.design;
    let found = solved.finding(RuleId::VoltageDrop, Aspect::Drop, drive);
    // The largest of all phases, between the strings that deliver and the drive.
    let points = &solved.study.points;
    let strings = ["S1 cells", "S2 cells"].map(|name| solved.id::<Battery>(name));
    let drop = |phase| {
        let at_drive = points.load(phase, drive).unwrap().lowest.as_volts();
        let delivers = |(index, battery): (usize, &BatteryId)| {
            let current = points.current(phase, *battery).unwrap().as_amperes();
            let volts = points.string(phase, index).unwrap().lowest.as_volts();
            (current > 0.0).then_some(volts - at_drive)
        };
        let drops = strings.iter().enumerate().filter_map(delivers);
        drops.fold(0.0, f32::max)
    };
    let drives = ["row", "headland", "front string alone", "rear string alone"];
    let drives = drives.map(|name| design.find::<Phase>(name).unwrap());
    let worst = drives.into_iter().map(drop).fold(0.0, f32::max);
    is(&found, Verdict::Holds, worst, 2.0);
}

/// Once a contactor counted as opened up to what it breaks, although nobody had said on which
/// currents the controller opens it.
#[test]
fn what_nobody_says_to_be_opened_is_no_owner_of_the_gap() {
    for name in TWINS {
        let mut design = fixture::design(name);
        design.controller.opens_discharging = None;
        design.controller.opens_charging = None;
        let held = Reviewed::new(design).findings(RuleId::FuseLowCurrentGap);
        let breaks = held
            .iter()
            .filter(|one| one.judged.name == Aspect::GapBreaks);
        for one in breaks {
            assert_ne!(one.judged.verdict, Verdict::Holds, "{name}: {one:?}");
        }
    }
}
