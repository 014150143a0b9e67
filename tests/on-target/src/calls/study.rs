//! Everything computed once from a design, for the vehicle of `design`.

use core::cell::RefCell;

use orangeloom_core::conductor::end::{LeadEnd, SettledPiece, end_temperature};
use orangeloom_core::conductor::heat_balance::{HeatBalance, Surroundings};
use orangeloom_core::design::{
    CableType, Conductor, Contactor, Design, Enclosure, Fuse, Load, System,
};
use orangeloom_core::error::Error;
use orangeloom_core::fault::{FaultResult, FaultWorkspace};
use orangeloom_core::link::{DischargeCheck, PrechargeCheck};
use orangeloom_core::network::Workspace;
use orangeloom_core::quantity::{Altitude, Current, Resistance, Temperature, Time};
use orangeloom_core::review::{
    Aspect, Finding, Rule, RuleId, Studies, Unit, blocks, blocks_although_accepted, review,
    review_rules,
};
use orangeloom_core::study::insulation::{
    BoxDistances, CircuitInsulation, InsulationStudy, ToChassis,
};
use orangeloom_core::study::sequence::{DischargeStudy, PrechargeStudy, SequenceStudy};
use orangeloom_core::study::{
    ChassisGuard, Checked, ConductorStudy, ConductorWarmth, ContactorStudy, FaultBurden,
    FaultBurdens, FuseStudy, Operation, PieceWarmth, Points, Selectivity, Solved, Step, Study,
    Unknown, Withstands, conductor_warmth, judge_shield_of, judge_strap_of, piece_warmth,
    selectivity_of, still_air, study_contactor, study_fuse, worst_rms,
};
use orangeloom_core::verdict::Verdict;

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
        visit.call("study/insulation", scene, insulation);
    }
    if let Some(scene) = visit.given("study/scene", scene()) {
        let memory = RefCell::new((Workspace::new(), Study::new()));
        visit.call("study/compute", (memory, scene), |(memory, scene)| {
            let mut memory = memory.try_borrow_mut().ok()?;
            let (workspace, study) = &mut *memory;
            study.compute(&scene.design, workspace);
            Some(read(study, scene))
        });
    }
    if let Some(scene) = visit.given("study/scene", scene()) {
        let memory = (Workspace::new(), Study::new(), FaultWorkspace::new());
        let memory = RefCell::new((memory, FaultBurdens::new()));
        visit.call("study/review", (memory, scene), |(memory, scene)| {
            let mut memory = memory.try_borrow_mut().ok()?;
            let ((workspace, study, solver), faults) = &mut *memory;
            study.compute(&scene.design, workspace);
            faults.solve(&scene.design, solver, &mut |_, _| {}).ok()?;
            Some(reviewed(study, faults, scene))
        });
    }
    if let Some(scene) = visit.given("study/scene", scene()) {
        let memory = (Workspace::new(), Study::new(), FaultWorkspace::new());
        let memory = RefCell::new((memory, FaultBurdens::new()));
        visit.call("study/protection", (memory, scene), |(memory, scene)| {
            let mut memory = memory.try_borrow_mut().ok()?;
            let ((workspace, study, faults), burdens) = &mut *memory;
            study.compute(&scene.design, workspace);
            protection(study, faults, burdens, scene)
        });
    }
    if let Some(scene) = visit.given("study/scene", scene()) {
        let memory = RefCell::new((Workspace::new(), Points::new()));
        visit.call("study/points", (memory, scene), |(memory, scene)| {
            let mut memory = memory.try_borrow_mut().ok()?;
            let (workspace, points) = &mut *memory;
            Some(points_of(workspace, points, scene))
        });
    }
}

/// How many findings there are, how many keep the review from passing, and the units of
/// their values.
fn reviewed(study: &Study, faults: &FaultBurdens, scene: &Scene) -> (u32, u32, u32) {
    let insulation = InsulationStudy::find(&scene.design);
    let studies = Studies {
        study,
        insulation: &insulation,
        faults,
    };
    let (mut found, mut blocking, mut with_unit) = (0, 0, 0);
    let mut count = |finding: Finding| {
        let rule: Rule = RuleId::rule(finding.rule);
        found += u32::from(RuleId::find(RuleId::slug(rule.id)) == Some(rule.id));
        blocking += u32::from(blocks(&finding));
        blocking += u32::from(blocks_although_accepted(&finding));
        blocking += u32::from(RuleId::asks_for_faults(finding.rule));
        with_unit += u32::from(Aspect::unit(finding.judged.name) != Unit::None);
    };
    review(&scene.design, studies, &mut count);
    review_rules(&scene.design, studies, [RuleId::Clearance], &mut count);
    (found, blocking, with_unit)
}

fn insulation(scene: &Scene) -> (Verdict, usize) {
    let study = InsulationStudy::find(&scene.design);
    let mut worst = study.verdict().worse(ToChassis::verdict(&study.to_chassis));
    for built in &study.spacings {
        worst = worst.worse(Checked::verdict(&built.clearance));
    }
    for conductor in study.circuits() {
        let found: Option<CircuitInsulation> = study.circuit(&scene.design, conductor, Some(WARM));
        worst = worst.worse(found.map_or(Verdict::Open, |found| found.verdict()));
    }
    let boxes = scene.design.all::<Enclosure>();
    let known = boxes.filter_map(|(id, _)| -> Option<&BoxDistances> { study.in_box(id) });
    (worst, known.count())
}

fn heat(scene: &Scene) -> Result<bool, Error> {
    let mut known = false;
    for (_, part) in scene.design.all::<CableType>() {
        let cable = part.cable()?;
        let around: Surroundings = still_air(WARM, None, ALTITUDE)?;
        let balance = HeatBalance::new(&cable, &around)?;
        let warmth = piece_warmth(&cable, &balance, &STEPS)?;
        known |= warmth.as_ref().is_some_and(|warmth: &PieceWarmth| {
            warmth.height() > 0.0 && warmth.hottest().is_some()
        });
        let rms = STEPS[0].current;
        let piece = SettledPiece {
            balance: &balance,
            steady: balance.temperature_at(rms)?,
            length: None,
        };
        let end = LeadEnd {
            contact: Resistance::from_ohms(1.0e-4)?,
            section: part.conductor.section,
            metal: part.metal,
            length: None,
        };
        known |= end_temperature([piece, piece].into_iter(), &end, rms)?.is_some();
    }
    Ok(known)
}

/// Reads what a study holds.
fn read(study: &Study, scene: &Scene) -> (bool, bool) {
    let design: &Design = &scene.design;
    let mut found = false;
    for (id, _) in design.all::<Conductor>() {
        match study.conductor(id) {
            Ok(studied) => {
                let studied: ConductorStudy = studied;
                found |= studied.margin().is_some();
                let _ = studied.verdict();
            }
            Err(unknown) => {
                let unknown: Unknown = unknown;
                let _ = unknown.thing();
            }
        }
    }
    for (id, _) in design.all::<Load>() {
        found |= study.load(id).is_some();
    }
    let _ = study.verdict(design);
    found |= sequences(&study.sequences);
    (found, study.pack.highest_voltage.is_ok())
}

/// Reads what happens step by step.
fn sequences(study: &SequenceStudy) -> bool {
    let mut open = SequenceStudy::new().verdict().worse(study.verdict()) == Verdict::Open;
    for one in &study.precharges {
        let one: &PrechargeStudy = one;
        open |= PrechargeStudy::check(one, PrechargeCheck::Time)
            .because
            .is_some();
        open |= SequenceStudy::precharge(study, one.resistor).is_none();
    }
    for one in &study.discharges {
        let one: &DischargeStudy = one;
        open |=
            one.check(DischargeCheck::Time).because.is_some() | (one.verdict() == Verdict::Open);
    }
    open
}

/// Every fault, then fuses, contactors and conductors.
fn protection(
    study: &Study,
    workspace: &mut FaultWorkspace,
    burdens: &mut FaultBurdens,
    scene: &Scene,
) -> Option<(bool, bool)> {
    let design = &scene.design;
    let withstands: Withstands = Withstands::new(design, study);
    let mut hardest = false;
    let mut each = |_, result: Result<&FaultResult, Error>| {
        hardest |= result.is_ok_and(|result| {
            let judged: Verdict = withstands.judge_fault(result);
            judged == Verdict::Fails && withstands.hardest(result).is_some()
        });
    };
    burdens.solve(design, workspace, &mut each).ok()?;
    let mut known = false;
    for (id, _) in design.all::<Fuse>() {
        known |= burdens
            .fuse(id)
            .is_some_and(|burden: FaultBurden| burden.all_end());
        for upper in burdens.upstream(id) {
            let pair: Selectivity = selectivity_of(design, study, burdens, id, upper);
            known |= pair.verdict() == Verdict::Holds;
        }
        let studied = study_fuse(design, study, burdens, id);
        known |= studied.is_ok_and(|studied: FuseStudy| studied.verdict() == Verdict::Holds);
    }
    for (id, _) in design.all::<Contactor>() {
        known |= burdens.contactor(id).is_some();
        let studied = study_contactor(design, study, burdens, id);
        known |= studied.is_ok_and(|studied: ContactorStudy| studied.verdict() == Verdict::Holds);
    }
    for (id, _) in design.all::<Conductor>() {
        known |= burdens.conductor(id).is_some() & withstands.of(id).is_some();
        let (judged, _) = withstands.judge(burdens, id);
        hardest |= judged.verdict == Verdict::Holds;
        known |= burdens.shorts_at(id).is_some() & burdens.shield(id).is_some();
        let shield = judge_shield_of(design, study, burdens, id);
        known |= shield.is_ok_and(|guard: ChassisGuard| guard.worst.is_some());
    }
    for (id, _) in design.all::<Enclosure>() {
        known |= burdens.bond(id).is_some();
        known |= judge_strap_of(design, study, burdens, id).is_ok();
    }
    known |= burdens.is_complete() & burdens.doubt().is_none();
    Some((hardest, known))
}

fn points_of(workspace: &mut Workspace, points: &mut Points, scene: &Scene) -> (bool, bool) {
    let Scene {
        design,
        conductor,
        phase,
        duty,
        ..
    } = scene;
    points.solve(design, workspace, &[WARM; 8]);
    let solved: Solved = points.solved(*phase, System::Traction);
    let known = points.current(*phase, *conductor).is_some()
        & points.known_current(*phase, *conductor).is_ok()
        & points.largest(design, *conductor).is_ok()
        & points.string(*phase, 0).is_some();
    let mut fed = false;
    for (load, _) in design.all::<Load>() {
        fed |= points.load(*phase, load).is_some();
    }
    let mut hot = false;
    for operation in design.operations() {
        fed |= design.phases_of(operation).next().is_some();
        hot |= points.steps(design, operation, *conductor).is_ok();
    }
    let warmth = conductor_warmth(design, points, Operation::Duty(*duty), *conductor);
    hot |= warmth.is_ok_and(|warmth: ConductorWarmth| warmth.governing().is_some());
    (
        known & solved.is_known() & (solved.verdict() == Verdict::Holds),
        fed & hot,
    )
}
