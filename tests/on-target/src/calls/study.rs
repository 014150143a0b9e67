//! Everything computed once from a design, for the vehicle of `design`.

use core::cell::RefCell;

use orangeloom_core::conductor::heat_balance::{HeatBalance, Surroundings};
use orangeloom_core::design::{CableType, Charged, System};
use orangeloom_core::error::Error;
use orangeloom_core::network::Workspace;
use orangeloom_core::quantity::{Altitude, Current, Temperature, Time};
use orangeloom_core::study::{
    ConductorWarmth, Currents, Step, conductor_warmth, piece_warmth, still_air, worst_rms,
};

use super::design::{Scene, scene};
use super::{Visit, accepted};

const WARM: Temperature = accepted(Temperature::from_degc(60.0));
const ALTITUDE: Altitude = accepted(Altitude::from_metres(1000.0));
const STEPS: [Step; 2] = [
    Step {
        current: accepted(Current::from_amperes(500.0)),
        duration: accepted(Time::from_seconds(10.0)),
    },
    Step {
        current: accepted(Current::from_amperes(140.0)),
        duration: accepted(Time::from_seconds(110.0)),
    },
];

/// Calls of `study`.
pub fn all(visit: &mut impl Visit) {
    const WINDOW: Time = accepted(Time::from_seconds(300.0));
    visit.call("study/worst_rms", (STEPS, WINDOW), |(steps, window)| {
        worst_rms(steps, *window)
    });
    visit.brief(WARM, |air| still_air(*air, None, ALTITUDE));
    if let Some(scene) = visit.given("study/scene", scene()) {
        visit.call("study/piece_warmth", scene, |scene| heat(scene).ok());
    }
    if let Some(scene) = visit.given("study/scene", scene()) {
        let memory = RefCell::new((Workspace::new(), Currents::new()));
        visit.call("study/conductor", (memory, scene), |(memory, scene)| {
            let mut memory = memory.try_borrow_mut().ok()?;
            let (workspace, currents) = &mut *memory;
            Some(solve(workspace, currents, scene))
        });
    }
}

fn heat(scene: &Scene) -> Result<bool, Error> {
    let mut known = false;
    for (_, part) in scene.design.all::<CableType>() {
        let cable = part.cable()?;
        let around: Surroundings = still_air(WARM, None, ALTITUDE)?;
        let balance = HeatBalance::new(&cable, &around)?;
        known |= piece_warmth(&cable, &balance, &STEPS)?.is_some();
    }
    Ok(known)
}

fn solve(
    workspace: &mut Workspace,
    currents: &mut Currents,
    scene: &Scene,
) -> Result<(bool, bool), Error> {
    let Scene {
        design,
        conductor,
        phase,
        duty,
        ..
    } = scene;
    currents.solve(design, workspace, Charged::Nominal, WARM);
    let solved = currents.solved(*phase, System::Traction);
    let known = currents.of(*phase, *conductor).is_some();
    let warmth = conductor_warmth(design, currents, *duty, *conductor)?;
    let hottest = warmth.as_ref().ok().and_then(ConductorWarmth::governing);
    let asked = solved != orangeloom_core::study::Solved::NotAsked;
    Ok((known & asked, hottest.is_some()))
}
