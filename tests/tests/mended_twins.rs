//! The three mended twins as designs: nothing of their protection fails or is open.

use orangeloom_core::design::{Conductor, Contactor, Design, Fuse, Thing};
use orangeloom_core::quantity::Current;
use orangeloom_core::study::{Withstands, study_contactor, study_fuse};
use orangeloom_core::verdict::{Judged, Verdict};
use orangeloom_tests::fixture::{self, TWINS};
use orangeloom_tests::reviewed::Reviewed;

/// Checks that may stay open or fail in a twin, each with its reason. It is empty, and
/// what comes in here has to be explained.
const ACCEPTED: &[(&str, &str, &str)] = &[];

fn mended(vehicle: &str) -> Box<Design> {
    fixture::design(&format!("{vehicle}-mended"))
}

/// What does not hold of one thing.
fn unsound<N: core::fmt::Debug>(
    found: &mut Vec<String>,
    design: &Design,
    thing: impl Into<Thing>,
    checks: &[Judged<N>],
) {
    let name = design.name(thing.into()).unwrap();
    for judged in checks {
        if !matches!(judged.verdict, Verdict::Holds | Verdict::NotApplicable) {
            found.push(format!("{name}: {judged:?}"));
        }
    }
}

fn accepted(vehicle: &str, line: &str) -> bool {
    ACCEPTED.iter().any(|(of, thing, check)| {
        *of == vehicle && line.starts_with(&format!("{thing}: ")) && line.contains(check)
    })
}

#[test]
fn nothing_of_their_protection_fails_or_is_open() {
    for vehicle in TWINS {
        let twin = Reviewed::new(mended(vehicle));
        let (design, study, faults) = (&twin.design, &twin.study, &twin.faults);
        let mut found = Vec::new();
        let systems = design.systems();
        let traction = Some(orangeloom_core::design::System::Traction);
        let [mut fuses, mut contactors, mut conductors] = [0, 0, 0];
        for (id, fuse) in design.all::<Fuse>() {
            if systems.of(fuse.from) != traction {
                continue;
            }
            fuses += 1;
            let studied = study_fuse(design, study, faults, id).unwrap();
            assert!(
                studied.checks.len() > 8,
                "{}",
                design.name(id.into()).unwrap()
            );
            unsound(&mut found, design, id, &studied.checks);
            // The fuse that is fitted lies in the window of its series.
            let window = studied.window.unwrap();
            assert_eq!(window.verdict, Verdict::Holds, "{window:?}");
        }
        for (id, contactor) in design.all::<Contactor>() {
            if systems.of(contactor.from) != traction {
                continue;
            }
            contactors += 1;
            let studied = study_contactor(design, study, faults, id).unwrap();
            assert!(
                studied.checks.len() > 6,
                "{}",
                design.name(id.into()).unwrap()
            );
            unsound(&mut found, design, id, &studied.checks);
        }
        let withstands = Withstands::new(design, study);
        for (id, lead) in design.all::<Conductor>() {
            let studied = study.conductor(id).unwrap();
            unsound(&mut found, design, id, &studied.limits);
            if systems.of(lead.from) == traction {
                conductors += 1;
                unsound(&mut found, design, id, &[withstands.judge(faults, id).0]);
            }
        }
        assert!(
            fuses >= 6 && contactors >= 6 && conductors >= 10,
            "{vehicle}"
        );
        found.retain(|line| !accepted(vehicle, line));
        assert!(found.is_empty(), "{vehicle}:\n{}", found.join("\n"));
    }
}

/// Precharge, discharge, joining, closing and coils.
#[test]
fn nothing_of_their_sequences_fails_or_is_open() {
    for vehicle in TWINS {
        let design = mended(vehicle);
        let study = fixture::study(&design);
        let sequences = &study.sequences;
        assert!(!sequences.precharges.is_empty(), "{vehicle}");
        assert!(!sequences.discharges.is_empty(), "{vehicle}");
        assert!(!sequences.coils.is_empty(), "{vehicle}");
        assert_eq!(sequences.verdict(), Verdict::Holds, "{vehicle}");
    }
}

/// What the fuse of a string has to clear for its cable: all above what the controller opens
/// the contactors on, or, where it opens nothing, above 1.45 times what the cable carries.
#[test]
fn the_controller_keeps_overloads_off_up_to_what_it_opens() {
    let design = mended("orchard-tractor");
    let needed = |design: &Design| {
        let twin = Reviewed::new(Box::new(design.clone()));
        let id = design.find::<Fuse>("FS1").unwrap();
        let fuse = study_fuse(design, &twin.study, &twin.faults, id).unwrap();
        let (lead, guard) = fuse.guard.unwrap();
        let lasting = twin
            .study
            .conductor(lead)
            .unwrap()
            .warmest
            .unwrap()
            .ampacity;
        (
            guard.needed_from.unwrap().as_amperes(),
            lasting.unwrap().as_amperes(),
        )
    };
    // opens-discharging; its contactors break 1200 A.
    assert!((needed(&design).0 - 1000.0).abs() < 0.1);
    let mut more = design.clone();
    more.controller.opens_discharging = Current::from_amperes(1500.0).ok();
    assert!((needed(&more).0 - 1200.0).abs() < 0.1);
    // A limit that nobody trips on opens nothing, nor does one of which nobody says up to
    // which current.
    let mut never = design.clone();
    never.controller.trip_time = None;
    let mut unsaid = design;
    unsaid.controller.opens_discharging = None;
    for design in [never, unsaid] {
        let (from, lasting) = needed(&design);
        assert!((from - 1.45 * lasting).abs() < 0.1, "{from} {lasting}");
    }
}
