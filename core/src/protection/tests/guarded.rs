use proptest::prelude::*;

use super::{a2s, amperes, fuse_350, seconds, volts};
use crate::conductor::cable::{Cable, CableBuild};
use crate::conductor::generic::{Dimensions, VoltageClass, generic_build};
use crate::conductor::heat_balance::{HeatBalance, Surroundings};
use crate::conductor::transient::RadialChain;
use crate::design::{FuseType, Utilisation};
use crate::error::{Error, Inconsistency};
use crate::insulation::{StrapMetal, strap_withstand};
use crate::protection::*;
use crate::quantity::{Altitude, ConductorArea, LinearPower, LinearResistance, Temperature};
use crate::standard::SourceId;
use crate::standard::metal::Metal;
use crate::verdict::Verdict;

pub(super) fn degc(degc: f32) -> Temperature {
    Temperature::from_degc(degc).unwrap()
}

/// An invented copper cable with the resistance of class 5.
pub(super) fn build(mm2: f32) -> CableBuild {
    generic_build(
        Metal::Copper,
        ConductorArea::from_mm2(mm2).unwrap(),
        LinearResistance::from_ohm_per_km(19.3 / mm2).unwrap(),
        VoltageClass::V900,
        true,
        &Dimensions::default(),
    )
    .unwrap()
}

fn chain(build: &CableBuild) -> RadialChain {
    let cable = Cable::new(*build).unwrap();
    let surroundings = Surroundings {
        air: degc(60.0),
        radiant: degc(60.0),
        altitude: Altitude::from_metres(0.0).unwrap(),
        absorbed: LinearPower::from_watts_per_m(0.0).unwrap(),
    };
    RadialChain::new(&cable, &HeatBalance::new(&cable, &surroundings).unwrap())
}

pub(super) fn cold(build: &CableBuild) -> GuardedCable<'_> {
    GuardedCable {
        build,
        start: degc(90.0),
        short_limit: degc(250.0),
        overload_limit: degc(150.0),
        heat: &[],
        lasting: None,
    }
}

fn clearing(fuse: &FuseType) -> ClearingCurve {
    ClearingCurve::new(fuse, volts(400.0), CURVE_TOLERANCE).unwrap()
}

/// The 350 A fuse as one that breaks from 1400 A on.
fn partial() -> FuseType {
    let mut fuse = fuse_350();
    fuse.utilisation = Some(Utilisation::Ar);
    fuse.least_breaking = Some(amperes(1400.0));
    fuse
}

#[test]
fn metal_uses_its_share_of_i2t() {
    let strap = Guarded::Metal {
        withstand: a2s(1.0e6),
        lasting: Some(amperes(50.0)),
    };
    let used = strap
        .used(amperes(2000.0), seconds(0.1), a2s(5.0e5))
        .unwrap();
    assert!((used.share - 0.5).abs() < 1e-6 && used.settled);
    let slow = strap
        .used(amperes(200.0), seconds(50.0), a2s(2.0e6))
        .unwrap();
    assert!((slow.share - 2.0).abs() < 1e-6 && !slow.settled);
    let lasting = strap
        .used(amperes(-25.0), seconds(1.0e6), a2s(1.0e12))
        .unwrap();
    assert!((lasting.share - 0.25).abs() < 1e-6);
    assert_eq!(lasting.cleared_after, None);
}

#[test]
fn the_textbook_fault_needs_its_textbook_section() {
    // 12 kA for 0.02 s with k = 143 asks for 11.87 mm2 (IEC 60364-5-54 form; page on
    // fault sizing). Tolerance: half of the last digit of k, twice.
    let section = ConductorArea::from_mm2(11.87).unwrap();
    let withstand = strap_withstand(StrapMetal::Copper, section, degc(90.0), degc(250.0)).unwrap();
    let metal = Guarded::Metal {
        withstand,
        lasting: None,
    };
    let i2t = a2s(12_000.0 * 12_000.0 * 0.02);
    let used = metal.used(amperes(12_000.0), seconds(0.02), i2t).unwrap();
    assert!((used.share - 1.0).abs() < 1.0 / 143.0, "{used:?}");
}

#[test]
fn a_cable_that_stands_the_fault_but_not_the_overload_is_found() {
    // 50 mm2 stand 4.4e7 A2s from 90 to 250 degC, more than a 4 kA fault lets through;
    // at 660 A the latest 350 A fuse takes 1000 s.
    let build = build(50.0);
    let chain = chain(&build);
    let state = chain.settled(amperes(170.0)).unwrap().unwrap();
    let start = chain.conductor(&state).unwrap();
    let cable = Guarded::Cable(GuardedCable {
        start,
        heat: &[GuardedPlace { chain, state }],
        ..cold(&build)
    });
    let fuse = clearing(&fuse_350());
    let judge = |guarded: &Guarded<'_>, smallest: Option<f32>| {
        let smallest = smallest.map(amperes);
        judge_guarded(
            FuseCheck::Cable,
            &fuse,
            guarded,
            smallest,
            Some(amperes(8000.0)),
        )
        .unwrap()
    };
    let whole = judge(&cable, None);
    assert_eq!(whole.judged.verdict, Verdict::Fails, "{whole:?}");
    let worst = whole.worst.unwrap();
    assert!(worst.current.as_amperes() < 1200.0, "{worst:?}");
    assert_eq!(worst.source, SourceId::RadialChain);
    assert!((whole.cleared_from.unwrap().as_amperes() - 660.0).abs() < 0.1);
    // The faults alone are no danger to it.
    let faults = judge(&cable, Some(2000.0));
    assert_eq!(faults.judged.verdict, Verdict::Holds, "{faults:?}");
    // Without a model of its heat the overload is not known to spoil it.
    let unknown = judge(&Guarded::Cable(cold(&build)), None);
    assert_eq!(unknown.judged.verdict, Verdict::Open, "{unknown:?}");
}

/// By hand: at 40 A above what 50 mm2 carry the cable in the hotter of two places is the one
/// that counts, and neither is hotter than if it kept all its heat.
#[test]
fn of_several_places_the_worst_counts() {
    let build = build(50.0);
    let place = |air: f32| {
        let cable = Cable::new(build).unwrap();
        let surroundings = Surroundings {
            air: degc(air),
            radiant: degc(air),
            altitude: Altitude::from_metres(0.0).unwrap(),
            absorbed: LinearPower::from_watts_per_m(0.0).unwrap(),
        };
        let balance = HeatBalance::new(&cable, &surroundings).unwrap();
        let chain = RadialChain::new(&cable, &balance);
        let current = balance.current_at(degc(90.0)).unwrap().unwrap();
        let state = chain.settled(current).unwrap().unwrap();
        GuardedPlace { chain, state }
    };
    let (cool, hot) = (place(20.0), place(80.0));
    let share = |heat: &[GuardedPlace]| {
        let cable = GuardedCable {
            heat,
            ..cold(&build)
        };
        let (current, time) = (amperes(420.0), seconds(400.0));
        let i2t = ((current * current).unwrap() * time).unwrap();
        let used = Guarded::Cable(cable).used(current, time, i2t).unwrap();
        (used.share, used.settled)
    };
    let [none, one, other, both, turned] =
        [&[][..], &[cool], &[hot], &[cool, hot], &[hot, cool]].map(share);
    assert!(
        one.0 < other.0 && other.0 < none.0,
        "{one:?} {other:?} {none:?}"
    );
    assert_eq!((both, turned), (other, other));
    assert_eq!((none.1, one.1), (false, true));
}

#[test]
fn a_small_cable_fails_on_the_fault() {
    // 2.5 mm2: 1.1e5 A2s, the fuse lets through more than 7e5.
    let build = build(2.5);
    let guard = judge_guarded(
        FuseCheck::Cable,
        &clearing(&fuse_350()),
        &Guarded::Cable(cold(&build)),
        Some(amperes(3000.0)),
        Some(amperes(8000.0)),
    )
    .unwrap();
    assert_eq!(guard.judged.verdict, Verdict::Fails);
    assert!(guard.judged.value.unwrap() > 5.0);
}

#[test]
fn a_partial_range_fuse_protects_from_its_least_breaking_current_on() {
    let build = build(50.0);
    let judge = |fuse: &FuseType, largest: Option<f32>| {
        let cable = Guarded::Cable(cold(&build));
        let largest = largest.map(amperes);
        let smallest = Some(amperes(1400.0));
        judge_guarded(FuseCheck::Cable, &clearing(fuse), &cable, smallest, largest).unwrap()
    };
    let held = judge(&partial(), Some(8000.0));
    assert!((held.cleared_from.unwrap().as_amperes() - 1400.0).abs() < 1e-3);
    assert_eq!(held.judged.verdict, Verdict::Holds, "{held:?}");
    // A largest fault that the fuse does not break is never cleared.
    let never = judge(&partial(), Some(1300.0));
    assert_eq!(
        (never.judged.verdict, never.judged.value),
        (Verdict::Fails, None)
    );
    let burst = judge(&partial(), Some(60_000.0));
    assert_eq!(
        (burst.judged.verdict, burst.judged.value),
        (Verdict::Fails, None)
    );
    assert_eq!(judge(&partial(), None).judged.verdict, Verdict::Open);
    let mut unknown = partial();
    unknown.least_breaking = None;
    let unknown = judge(&unknown, Some(8000.0));
    assert_eq!(unknown.judged.verdict, Verdict::Open);
    assert_eq!(unknown.gap, Some(FuseGap::LeastBreaking));
    let mut unknown = partial();
    unknown.total = None;
    assert_eq!(judge(&unknown, Some(8000.0)).gap, Some(FuseGap::Arcing));
}

#[test]
fn overloads_that_nobody_clears_are_not_passed_over() {
    // The latest 350 A fuse clears from 660 A on. A cable that carries 500 A needs it
    // from 725 A, one that carries 300 A from 435 A: whether it melts there is not said.
    let build = build(120.0);
    let judge = |fuse: &FuseType, lasting: Option<f32>, smallest: Option<f32>| {
        let cable = Guarded::Cable(GuardedCable {
            lasting: lasting.map(amperes),
            ..cold(&build)
        });
        let (smallest, largest) = (smallest.map(amperes), Some(amperes(8000.0)));
        judge_guarded(FuseCheck::Cable, &clearing(fuse), &cable, smallest, largest).unwrap()
    };
    let covered = judge(&fuse_350(), Some(500.0), None);
    assert!((covered.needed_from.unwrap().as_amperes() - 725.0).abs() < 0.1);
    // Only the heat given off saves it over 1000 s.
    assert_eq!(covered.judged.verdict, Verdict::Open, "{covered:?}");
    assert_eq!(
        judge(&fuse_350(), Some(1000.0), None).judged.verdict,
        Verdict::Holds
    );
    assert_eq!(judge(&fuse_350(), None, None).judged.verdict, Verdict::Open);
    assert_eq!(
        judge(&fuse_350(), None, Some(2000.0)).judged.verdict,
        Verdict::Holds
    );
    // A partial-range fuse melts in the gap and does not break.
    assert_eq!(
        judge(&partial(), None, Some(1000.0)).judged.verdict,
        Verdict::Fails
    );
    assert_eq!(
        judge(&partial(), None, Some(1400.0)).judged.verdict,
        Verdict::Holds
    );
}

#[test]
fn a_conductor_spoilt_before_the_fuse_can_melt_fails() {
    // 2.5 mm2 at 500 A, below the curve that ends at 1000 s: gone long before.
    let build = build(2.5);
    let chain = chain(&build);
    let state = chain.settled(amperes(0.0)).unwrap().unwrap();
    let cable = Guarded::Cable(GuardedCable {
        start: chain.conductor(&state).unwrap(),
        heat: &[GuardedPlace { chain, state }],
        lasting: Some(amperes(30.0)),
        ..cold(&build)
    });
    let fuse = clearing(&fuse_350());
    let guard = judge_guarded(FuseCheck::Cable, &fuse, &cable, None, Some(amperes(500.0))).unwrap();
    assert_eq!(guard.judged.verdict, Verdict::Fails, "{guard:?}");
}

#[test]
fn what_carries_the_largest_current_for_ever_needs_no_fuse() {
    let build = build(50.0);
    let cable = Guarded::Cable(GuardedCable {
        lasting: Some(amperes(300.0)),
        ..cold(&build)
    });
    let guard = judge_guarded(
        FuseCheck::Cable,
        &clearing(&fuse_350()),
        &cable,
        None,
        Some(amperes(250.0)),
    )
    .unwrap();
    assert_eq!(guard.judged.verdict, Verdict::Holds);
}

#[test]
fn limits_the_wrong_way_round_are_refused() {
    let build = build(50.0);
    let cable = Guarded::Cable(GuardedCable {
        overload_limit: degc(260.0),
        ..cold(&build)
    });
    assert_eq!(
        cable.used(amperes(1000.0), seconds(1.0), a2s(1.0e6)),
        Err(Error::Inconsistent(
            Inconsistency::OverloadAboveShortCircuit
        ))
    );
}

proptest! {
    #[test]
    fn a_larger_cable_never_fails_where_a_smaller_holds(
        mm2 in 2.5_f32..120.0, times in 1.0_f32..2.0,
        largest in 1500.0_f32..20_000.0, lasting in 20.0_f32..400.0, partly in any::<bool>(),
    ) {
        let fuse = clearing(&if partly { partial() } else { fuse_350() });
        let judge = |mm2: f32| {
            let build = build(mm2);
            let guarded = Guarded::Cable(GuardedCable {
                lasting: Some(amperes(lasting)),
                ..cold(&build)
            });
            judge_guarded(FuseCheck::Cable, &fuse, &guarded, None, Some(amperes(largest))).unwrap()
        };
        let rank = |verdict| match verdict {
            Verdict::Holds | Verdict::NotApplicable => 0,
            Verdict::Open => 1,
            Verdict::Fails => 2,
        };
        let (small, large) = (judge(mm2), judge(mm2 * times));
        prop_assert!(rank(large.judged.verdict) <= rank(small.judged.verdict));
    }

    #[test]
    fn no_current_between_those_of_the_sweep_is_worse_by_much(
        mm2 in 4.0_f32..70.0, position in 0.0_f32..1.0,
    ) {
        // The share is looked at on a grid; between its points the let-through I2t is a
        // power of the current and the withstand nearly flat.
        let build = build(mm2);
        let guarded = Guarded::Cable(cold(&build));
        let fuse = clearing(&partial());
        let whole = judge_guarded(FuseCheck::Cable, &fuse, &guarded, Some(amperes(1400.0)), Some(amperes(20_000.0))).unwrap();
        let current = amperes(1400.0 * libm::powf(20_000.0 / 1400.0, position));
        let Clearing::After { total, let_through, .. } = fuse.at(current) else {
            return Err(TestCaseError::fail("it clears"));
        };
        let used = guarded.used(current, total, let_through).unwrap();
        prop_assert!(used.share <= whole.worst.unwrap().share * 1.02, "{:?} {:?}", used, whole);
    }

    #[test]
    fn more_current_limit_or_less_withstand_never_helps(
        withstand in 3.0_f32..9.0, less in 0.0_f32..1.0, largest in 700.0_f32..20_000.0, more in 1.0_f32..2.0,
    ) {
        let fuse = clearing(&fuse_350());
        let judge = |log: f32, largest: f32| {
            let metal = Guarded::Metal { withstand: a2s(libm::exp10f(log)), lasting: None };
            judge_guarded(FuseCheck::Strap, &fuse, &metal, Some(amperes(680.0)), Some(amperes(largest))).unwrap().judged.verdict
        };
        if judge(withstand, largest) != Verdict::Holds {
            prop_assert_ne!(judge(withstand - less, largest), Verdict::Holds);
            prop_assert_ne!(judge(withstand, largest * more), Verdict::Holds);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]
    #[test]
    fn nor_does_it_with_the_heat_that_it_gives_off(
        mm2 in 10.0_f32..120.0, times in 1.05_f32..2.0, duty in 10.0_f32..150.0, lasting in 100.0_f32..400.0,
    ) {
        let judge = |mm2: f32| {
            let build = build(mm2);
            let chain = chain(&build);
            // A current that the smallest of them carries.
            let state = chain.settled(amperes(duty * 0.3)).unwrap().unwrap();
            let guarded = Guarded::Cable(GuardedCable {
                start: chain.conductor(&state).unwrap(),
                heat: &[GuardedPlace { chain, state }],
                lasting: Some(amperes(lasting)),
                ..cold(&build)
            });
            let guard = judge_guarded(FuseCheck::Cable, &clearing(&fuse_350()), &guarded, Some(amperes(660.5)), Some(amperes(8000.0)));
            guard.unwrap().judged
        };
        let (small, large) = (judge(mm2), judge(mm2 * times));
        prop_assert!(small.verdict != Verdict::Holds || large.verdict == Verdict::Holds, "{small:?} {large:?}");
        // With its heat known there is nothing left open.
        prop_assert!(small.verdict != Verdict::Open);
    }
}
