//! Laws of what happens step by step, over changed demonstration vehicles.

use std::sync::OnceLock;

use orangeloom_core::design::{
    Contactor, ContactorType, Controller, Design, Enclosure, Load, Resistor, ResistorType,
};
use orangeloom_core::link::{DischargeCheck, PrechargeCheck};
use orangeloom_core::quantity::Capacitance;
use orangeloom_core::study::Checked;
use orangeloom_core::study::sequence::SequenceStudy;
use orangeloom_core::verdict::Verdict;
use orangeloom_tests::fixture;
use proptest::prelude::*;

const NAMES: [&str; 4] = [
    "lake-rescue-truck-mended",
    "orchard-tractor-mended",
    "road-rail-shunter-mended",
    "lock-keepers-punt",
];

fn designs() -> &'static [Box<Design>] {
    static READ: OnceLock<Vec<Box<Design>>> = OnceLock::new();
    READ.get_or_init(|| NAMES.into_iter().map(fixture::design).collect())
}

fn sequences(design: &Design) -> SequenceStudy {
    fixture::study(design).sequences
}

/// Every verdict in a fixed order.
fn verdicts(found: &SequenceStudy) -> Vec<Verdict> {
    let mut all = Vec::new();
    for one in &found.precharges {
        all.extend(one.checks.iter().map(Checked::verdict));
    }
    all.extend(found.makes.iter().map(|one| one.check.verdict()));
    for one in &found.coils {
        all.extend(one.checks.iter().map(Checked::verdict));
    }
    for one in &found.joins {
        all.push(one.window_check.verdict());
        all.push(one.sensors_check.verdict());
        all.push(one.back_feed.verdict());
    }
    for one in &found.shares {
        all.extend(one.lost.iter().map(Checked::verdict));
    }
    all
}

/// Takes one value away that something may rest on.
fn remove(design: &mut Design, which: usize, of: usize) {
    fn nth<E: orangeloom_core::design::Entry>(design: &Design, of: usize) -> Option<E::Id> {
        let count = design.all::<E>().count();
        design.all::<E>().nth(of % count.max(1)).map(|(id, _)| id)
    }
    let load = nth::<Load>(design, of);
    let resistor = nth::<Resistor>(design, of);
    let kind = nth::<ResistorType>(design, of);
    let contactor = nth::<Contactor>(design, of);
    let part = nth::<ContactorType>(design, of);
    let place = nth::<Enclosure>(design, of);
    match which {
        0 => load.map(|id| design.get_mut(id).unwrap().link = None),
        1 => load.map(|id| design.get_mut(id).unwrap().idle = None),
        2 => resistor.map(|id| design.get_mut(id).unwrap().closes_within = None),
        3 => resistor.map(|id| design.get_mut(id).unwrap().time_out = None),
        4 => resistor.map(|id| design.get_mut(id).unwrap().part = None),
        5 => kind.map(|id| design.get_mut(id).unwrap().pulse = None),
        6 => kind.map(|id| design.get_mut(id).unwrap().power = None),
        7 => kind.map(|id| design.get_mut(id).unwrap().resistance = None),
        8 => contactor.map(|id| design.get_mut(id).unwrap().coil_wire = None),
        9 => contactor.map(|id| design.get_mut(id).unwrap().part = None),
        10 => part.map(|id| design.get_mut(id).unwrap().make = None),
        11 => part.map(|id| design.get_mut(id).unwrap().coil.rise = None),
        12 => place.map(|id| design.get_mut(id).unwrap().zone = None),
        _ => {
            design.controller = Controller::UNKNOWN;
            None
        }
    };
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A verdict without one of its inputs is never better than with it.
    #[test]
    fn absent_is_not_good(
        vehicle in 0..NAMES.len(),
        which in 0_usize..14,
        of in 0_usize..64,
    ) {
        let whole = &designs()[vehicle];
        let mut design = whole.clone();
        remove(&mut design, which, of);
        let (before, after) = (verdicts(&sequences(whole)), verdicts(&sequences(&design)));
        prop_assert_eq!(before.len(), after.len());
        for (before, after) in before.iter().zip(&after) {
            if *after == Verdict::Holds {
                prop_assert_eq!(*before, Verdict::Holds);
            }
        }
    }

    /// More capacitance never shortens a time and never spares a resistor.
    #[test]
    fn more_capacitance_takes_longer(
        vehicle in 0..NAMES.len(),
        of in 0_usize..64,
        micro in 1.0_f32..2.0e4,
    ) {
        let whole = &designs()[vehicle];
        let mut design = whole.clone();
        let count = design.all::<Load>().count();
        let (id, load) = design.all::<Load>().nth(of % count).unwrap();
        let farads = load.link.map_or(0.0, Capacitance::as_farads) + micro * 1.0e-6;
        design.get_mut(id).unwrap().link = Some(Capacitance::from_farads(farads).unwrap());
        let (before, after) = (sequences(whole), sequences(&design));
        for (one, other) in before.precharges.iter().zip(&after.precharges) {
            for check in [PrechargeCheck::Time, PrechargeCheck::TryEnergy] {
                let [one, other] = [one, other].map(|study| study.check(check).judged.value);
                prop_assert!(other.is_none() || other >= one, "{:?} {:?}", one, other);
            }
        }
        for one in &before.discharges {
            let same = after.discharges.iter().find(|other| {
                one.loads.iter().all(|load| other.loads.contains(load))
            });
            let [one, other] = [Some(one), same]
                .map(|study| study.and_then(|study| study.check(DischargeCheck::Time).judged.value));
            prop_assert!(other >= one, "{:?} {:?}", one, other);
        }
    }
}
