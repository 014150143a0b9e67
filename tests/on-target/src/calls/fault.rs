//! Short circuits of the vehicle of `design`.

use core::cell::RefCell;

use orangeloom_core::design::{Conductor, Load};
use orangeloom_core::error::Error;
use orangeloom_core::fault::{
    Along, Course, Discharge, End, Extreme, Fault, FaultKind, FaultResult, FaultStudy,
    FaultWorkspace, Point, Rise, Surge, Transient, TransientBranch, pair_inductance, precharge_of,
};
use orangeloom_core::protection::{CURVE_TOLERANCE, CurveSide, MeltingCurve};
use orangeloom_core::quantity::{
    Capacitance, ConductorArea, Current, CurrentSquaredTime, Inductance, Length, Resistance, Time,
    Voltage,
};

use super::design::{Scene, scene};
use super::{Visit, accepted};

const VOLTAGE: Voltage = accepted(Voltage::from_volts(400.0));
const MILLISECOND: Time = accepted(Time::from_seconds(1.0e-3));
const LOOP: Resistance = accepted(Resistance::from_ohms(0.05));
const COIL: Inductance = accepted(Inductance::from_henries(15.0e-6));
const LINK: Capacitance = accepted(Capacitance::from_farads(1.0e-3));
const RISE: Rise = Rise {
    steady: accepted(Current::from_amperes(8000.0)),
    time_constant: MILLISECOND,
};
const DISCHARGE: Discharge = Discharge {
    capacitance: LINK,
    voltage: VOLTAGE,
    resistance: LOOP,
    inductance: COIL,
};

/// Calls of `fault`.
pub fn all(visit: &mut impl Visit) {
    closed_forms(visit);
    transient(visit);
    if let Some(scene) = visit.given("fault/scene", scene()) {
        visit.call("fault/study", scene, |scene| study(scene).is_ok());
    }
    if let Some(scene) = visit.given("fault/scene", scene()) {
        let memory = RefCell::new(FaultWorkspace::new());
        visit.call("fault/all", (memory, scene), |(memory, scene)| {
            let mut memory = memory.try_borrow_mut().ok()?;
            Some(solve(&mut memory, scene).is_ok())
        });
    }
    if let Some(scene) = visit.given("fault/scene", scene()) {
        visit.brief(scene, |scene| {
            let loads = scene.design.all::<Load>();
            loads.last().map(|(id, _)| precharge_of(&scene.design, id))
        });
    }
}

fn closed_forms(visit: &mut impl Visit) {
    const I2T: CurrentSquaredTime = accepted(CurrentSquaredTime::from_a2s(1.0e5));
    const SECTION: ConductorArea = accepted(ConductorArea::from_mm2(70.0));
    const METRE: Length = accepted(Length::from_metres(1.0));
    visit.brief(MILLISECOND, |time| {
        let worse = End::worse(End::Cleared(*time), End::NoFuse);
        matches!(worse, End::NoFuse)
    });
    visit.call("fault/rise_i2t", (RISE, MILLISECOND), |(rise, time)| {
        (Rise::i2t(*rise, *time), rise.at(*time))
    });
    visit.call("fault/reaches", (RISE, I2T), |(rise, i2t)| {
        rise.reaches(*i2t)
    });
    visit.call(
        "fault/discharge",
        (DISCHARGE, MILLISECOND),
        |(link, time)| (Discharge::peak(link), link.at(*time), link.i2t()),
    );
    visit.brief((SECTION, METRE), |(section, metre)| {
        pair_inductance(*section, *metre, *metre)
    });
}

fn transient(visit: &mut impl Visit) {
    let memory = RefCell::new(Transient::new());
    visit.call("fault/transient", memory, |transient| {
        let mut transient = transient.try_borrow_mut().ok()?;
        Some(three_loops(&mut transient))
    });
}

/// A battery and a capacitor into one fault.
fn three_loops(transient: &mut Transient) -> Result<Current, Error> {
    let branch = |[from, to]: [u8; 2], emf, capacitor| TransientBranch {
        from,
        to,
        emf,
        resistance: LOOP,
        inductance: COIL,
        capacitor,
    };
    Transient::clear(transient);
    transient.add(&branch([0, 1], VOLTAGE, None))?;
    transient.add(&branch([0, 1], VOLTAGE, Some(LINK)))?;
    let none = Voltage::from_volts(0.0)?;
    let fault = transient.add(&branch([1, 0], none, None))?;
    let mut course = [Course::NONE];
    transient.run(&[fault], MILLISECOND, &mut course)?;
    let [course] = course;
    Ok(course.peak)
}

fn study(scene: &Scene) -> Result<FaultStudy, Error> {
    let study = FaultStudy::new(&scene.design)?;
    match FaultStudy::phase(&study) {
        Some(phase) => FaultStudy::in_phase(&scene.design, phase),
        None => Ok(study),
    }
}

fn solve(memory: &mut FaultWorkspace, scene: &Scene) -> Result<bool, Error> {
    let design = &scene.design;
    let study = study(scene)?;
    let mut seen = false;
    for fault in study.faults(design) {
        seen |= read(&study, memory, scene, fault)?;
    }
    for (fuse, _) in design.all::<orangeloom_core::design::Fuse>() {
        let [along, against] = study.surges(design, fuse.into())?;
        seen |= along != against && along != Surge::NONE;
    }
    // Whatever the scene has, its conductors can touch.
    for (conductor, _) in design.all::<Conductor>() {
        let point = |along| Point { conductor, along };
        let fault = Fault {
            kind: FaultKind::OnRoute,
            one: point(Along::Start),
            other: point(Along::Middle),
        };
        seen |= read(&study, memory, scene, fault)?;
    }
    Ok(seen)
}

fn read(
    study: &FaultStudy,
    memory: &mut FaultWorkspace,
    scene: &Scene,
    fault: Fault,
) -> Result<bool, Error> {
    let design = &scene.design;
    let result: FaultResult = study.solve(design, memory, fault)?;
    let course = study.course(design, memory, fault, Extreme::Largest, MILLISECOND)?;
    let at = Point::terminal(fault.one, design).is_some();
    let boxed = study.enclosure(design, fault.other).is_some();
    let first = FaultResult::first_to_clear(&result).is_some();
    let mut melts = false;
    for (_, fuse) in design.all::<orangeloom_core::design::FuseType>() {
        if let Some(curve) = MeltingCurve::new(fuse, CurveSide::Latest, CURVE_TOLERANCE)? {
            melts |= Rise::melts_fuse(RISE, &curve).known().is_some();
        }
    }
    Ok(result.loop_without_fuse()
        | result.cleared_in().is_some()
        | result.is_dead()
        | course.is_some()
        | at
        | boxed
        | first
        | melts)
}
