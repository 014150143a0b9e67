//! Currents and temperatures of the demonstration vehicles in their duties.

use orangeloom_core::design::{Charged, Conductor, Design, Duty, Gap, Phase, System};
use orangeloom_core::network::Workspace;
use orangeloom_core::quantity::Temperature;
use orangeloom_core::study::{ConductorWarmth, Currents, Repeating, Solved, conductor_warmth};
use orangeloom_tests::demo::{Build, shunter, tractor, truck};

fn solve(design: &Design) -> Box<Currents> {
    let mut currents = Box::new(Currents::new());
    let mut workspace = Box::new(Workspace::new());
    let warm = Temperature::from_degc(90.0).unwrap();
    currents.solve(design, &mut workspace, Charged::Nominal, warm);
    currents
}

fn warmth(build: &Build, duty: &str, circuit: &str) -> Result<ConductorWarmth, Gap> {
    let currents = solve(&build.design);
    let (duty, id) = (build.id::<Duty>(duty), build.id::<Conductor>(circuit));
    conductor_warmth(&build.design, &currents, duty, id).unwrap()
}

#[test]
fn every_phase_of_every_demonstration_has_an_operating_point() {
    for build in [truck(), tractor(), shunter()] {
        let currents = solve(&build.design);
        for (phase, _) in build.design.all::<Phase>() {
            for system in [System::Traction, System::LowVoltage] {
                let solved = currents.solved(phase, system);
                let Solved::Settled { guessed, .. } = solved else {
                    panic!("{:?}: {solved:?}", build.design.name(phase.into()));
                };
                assert_eq!(guessed, 0);
            }
            for (id, _) in build.design.all::<Conductor>() {
                assert!(currents.of(phase, id).is_some());
            }
        }
    }
}

/// The truck's description: 197 A r.m.s. in the traction circuit and about 133 degC
/// for 03 beside the heater outlet, by a rough estimate of a single cable in free air
/// with h = 11 W/(m2 K); both without auxiliaries. So the place is certain, the
/// number is not: more than the 125 degC class, less than 165.
#[test]
fn the_truck_is_too_hot_beside_the_heater_outlet_and_there_only() {
    let build = truck();
    let hot = warmth(&build, "drive", "03").unwrap();
    let (piece, governing) = hot.governing().unwrap();
    let zone = build.design.get(*piece).unwrap().zone;
    assert_eq!(build.design.name(zone.into()), Some("heater outlet"));
    let Repeating::Periodic { peak, at, .. } = governing.duty else {
        panic!("{governing:?}");
    };
    assert!((125.0..165.0).contains(&peak.as_degc()), "{peak:?}");
    // The hottest moment is the end of the pull.
    assert!((at.as_seconds() - 10.0).abs() < 1e-3, "{at:?}");
    // 500, 140 and -180 A with auxiliaries of about 35 A.
    let rms = governing.rms.as_amperes();
    assert!((197.0..240.0).contains(&rms), "{rms}");
    let cool = warmth(&build, "drive", "02").unwrap();
    let Repeating::Periodic { peak, .. } = cool.governing().unwrap().1.duty else {
        panic!("{cool:?}");
    };
    assert!(peak.as_degc() < 125.0, "{peak:?}");
}

#[test]
fn what_is_missing_is_named() {
    let mut build = tractor();
    let id = build.id::<Conductor>("03+");
    build.design.get_mut(id).unwrap().cable = None;
    assert_eq!(warmth(&build, "ploughing", "03+"), Err(Gap::CableType));
    let mut build = tractor();
    build.design.vehicle.altitude = None;
    assert_eq!(warmth(&build, "ploughing", "03+"), Err(Gap::Altitude));
    let mut build = tractor();
    let phase = build.id::<Phase>("row");
    build.design.get_mut(phase).unwrap().duration = None;
    assert_eq!(warmth(&build, "ploughing", "03+"), Err(Gap::Duration));
}
