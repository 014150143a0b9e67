//! The fuses and contactors of the demonstration vehicles, by the values that were
//! worked out for them by hand. The vehicles and their parts are invented.

use orangeloom_core::design::{Arrow, ContactorType, Design, Fuse, FuseType};
use orangeloom_core::protection::{
    CURVE_TOLERANCE, ClearingCurve, CurveSide, FuseCheck, MeltingCurve, Opened, Trip, breaks,
    closed_band, judge_break, judge_fuse_voltage, judge_gap, judge_make, judge_overload_owner,
    judge_withstand,
};
use orangeloom_core::quantity::{Current, CurrentSquaredTime, Resistance, Share, Time, Voltage};
use orangeloom_core::study::study_fuse;
use orangeloom_core::verdict::{Judged, Verdict};
use orangeloom_tests::fixture;
use orangeloom_tests::reviewed::Reviewed;

fn fuse(design: &Design, name: &str) -> FuseType {
    let id = design.find::<FuseType>(name).unwrap();
    design.get(id).unwrap().clone()
}

fn contactor(design: &Design, name: &str) -> ContactorType {
    let id = design.find::<ContactorType>(name).unwrap();
    *design.get(id).unwrap()
}

fn amperes(amperes: f32) -> Current {
    Current::from_amperes(amperes).unwrap()
}

fn volts(volts: f32) -> Voltage {
    Voltage::from_volts(volts).unwrap()
}

fn seconds(seconds: f32) -> Time {
    Time::from_seconds(seconds).unwrap()
}

#[track_caller]
fn is<N: core::fmt::Debug>(judged: &Judged<N>, verdict: Verdict, margin: f32) {
    assert_eq!(judged.verdict, verdict, "{judged:?}");
    let found = judged.margin().unwrap();
    assert!((found - margin).abs() <= 0.01 * margin.abs(), "{judged:?}");
}

#[test]
fn fuses_chosen_by_their_alternating_or_by_the_nominal_voltage_are_found() {
    // Truck: 96 cells of 4.2 V against 250 V. Shunter: 192 of 4.2 V against 700 V, chosen
    // for 710 V nominal. Tractor: 40 of 3.6 V against 160 V.
    let truck = fixture::design("lake-rescue-truck");
    let heater = judge_fuse_voltage(&fuse(&truck, "25 heater"), Some(volts(403.2)));
    is(&heater, Verdict::Fails, -153.2);
    let main = judge_fuse_voltage(&fuse(&truck, "350 aR"), Some(volts(403.2)));
    is(&main, Verdict::Holds, 96.8);
    let shunter = fixture::design("road-rail-shunter");
    let string = judge_fuse_voltage(&fuse(&shunter, "300 aR"), Some(volts(806.4)));
    is(&string, Verdict::Fails, -106.4);
    let tractor = fixture::design("orchard-tractor");
    let main = judge_fuse_voltage(&fuse(&tractor, "400"), Some(volts(144.0)));
    is(&main, Verdict::Holds, 16.0);
}

#[test]
fn the_main_fuse_of_the_truck_and_its_contactor() {
    let truck = fixture::design("lake-rescue-truck");
    let (main, part) = (fuse(&truck, "350 aR"), contactor(&truck, "300 A polarised"));
    // 1.1e5 A2s at 7.6 kA: 1.9 ms, long beside the rise of 0.26 ms, so that the contactor
    // sees the whole prospective peak: 400 A are left.
    let exact = Share::from_fraction(0.0).unwrap();
    let curve = MeltingCurve::new(&main, CurveSide::Latest, exact)
        .unwrap()
        .unwrap();
    let melts = curve.time_at(amperes(7600.0)).known().unwrap().as_seconds();
    assert!((melts - 1.904e-3).abs() < 1e-5, "{melts}");
    let total = CurrentSquaredTime::from_a2s(3.2e5).unwrap();
    let [peak, i2t] = judge_withstand(&part, Some(amperes(7600.0)), Some(total));
    is(&peak, Verdict::Holds, 400.0);
    is(&i2t, Verdict::Holds, 8.0e4);
    // The fuse breaks from 1400 A, the contactor up to 2000 A the right way round: 600 A
    // overlap. The wrong way round, 200 A, nobody breaks 200 to 1400 A.
    let trip = Trip {
        current: amperes(900.0),
        time: seconds(0.1),
    };
    let voltage = Some(volts(403.2));
    let [forward, reverse] = breaks(&part, Some(Arrow::Along), voltage);
    let [gap, _, time] = judge_gap(&main, forward, Some(trip), CURVE_TOLERANCE).unwrap();
    is(&gap, Verdict::Holds, 600.0);
    // 0.81 x 1.1e5 A2s at 1400 A at the earliest, 45 ms: 0.1 s are too long.
    is(&time, Verdict::Fails, 0.0455 - 0.1);
    let [gap, _, _] = judge_gap(&main, reverse, Some(trip), CURVE_TOLERANCE).unwrap();
    is(&gap, Verdict::Fails, -1200.0);
    let curve = ClearingCurve::new(&main, volts(403.2), CURVE_TOLERANCE).unwrap();
    let (largest, opening) = (amperes(7600.0), seconds(0.1));
    let band = closed_band(forward, &curve, largest, opening).unwrap();
    is(&band.judged, Verdict::Holds, 600.0);
    let band = closed_band(reverse, &curve, largest, opening).unwrap();
    is(&band.judged, Verdict::Fails, -1200.0);
    // Driving 500 A, regeneration and charging 180 A: fine with the arrow towards the
    // load, not with the part turned round.
    let opened = Opened {
        along: Some(amperes(500.0)),
        against: Some(amperes(180.0)),
    };
    let [drive, charge] = judge_break(&part, Some(Arrow::Along), voltage, &opened);
    is(&drive, Verdict::Holds, 1500.0);
    is(&charge, Verdict::Holds, 20.0);
    let [drive, _] = judge_break(&part, Some(Arrow::Against), voltage, &opened);
    is(&drive, Verdict::Fails, -300.0);
    // The cable carries 237 A: the controller has to keep a limit.
    let cable = Some(amperes(237.0));
    is(
        &judge_overload_owner(&main, cable, None),
        Verdict::Fails,
        -113.0,
    );
    is(
        &judge_overload_owner(&main, cable, Some(amperes(230.0))),
        Verdict::Holds,
        7.0,
    );
}

#[test]
fn closing_the_shunter_at_nine_tenths_welds() {
    // 10 % of 806.4 V over 60 mohm: 1344 A against 650 A.
    let part = contactor(&fixture::design("road-rail-shunter"), "400 A");
    let loop_resistance = Some(Resistance::from_ohms(0.06).unwrap());
    let judged = judge_make(&part, Some(volts(80.64)), loop_resistance);
    is(&judged, Verdict::Fails, 650.0 - 1344.0);
    let judged = judge_make(&part, Some(volts(0.04 * 806.4)), loop_resistance);
    is(&judged, Verdict::Holds, 650.0 - 537.6);
}

/// The tractor's lamps: 144 V and contactors on the other side are none of their business.
#[test]
fn a_low_voltage_fuse_is_judged_by_its_own_side() {
    let Reviewed {
        design,
        study,
        faults,
        ..
    } = Reviewed::new(fixture::design("orchard-tractor"));
    let id = design.find::<Fuse>("F-51").unwrap();
    let studied = study_fuse(&design, &study, &faults, id).unwrap();
    let check = |name| studied.checks.iter().find(|one| one.name == name).unwrap();
    // The fullest low-voltage battery has 14.4 V, the fuse 32 V.
    is(check(FuseCheck::Voltage), Verdict::Holds, 32.0 - 14.4);
    assert_eq!(studied.contactor, None);
    // 40 A against what the wire carries for ever; no limit of the controller reaches it.
    let owner = check(FuseCheck::OverloadOwner);
    assert_eq!((owner.verdict, owner.value), (Verdict::Holds, Some(40.0)));
}
