use super::{a2s, amperes, curve, fuse_350, seconds, share, volts};
use crate::design::{FuseType, Utilisation};
use crate::protection::*;
use crate::verdict::Verdict;

fn partial() -> FuseType {
    let mut fuse = fuse_350();
    fuse.utilisation = Some(Utilisation::Ar);
    fuse.least_breaking = Some(amperes(1400.0));
    fuse
}

fn verdicts(fuse: &FuseType, breaks: Option<f32>, trip: Option<[f32; 2]>) -> [Verdict; 3] {
    let trip = trip.map(|[current, time]| Trip {
        current: amperes(current),
        time: seconds(time),
    });
    judge_gap(fuse, breaks.map(amperes), trip, CURVE_TOLERANCE)
        .unwrap()
        .map(|judged| judged.verdict)
}

#[test]
fn the_gap_is_the_contactors_and_in_time() {
    use Verdict::{Fails, Holds, NotApplicable, Open};
    let fuse = partial();
    // The earliest fuse melts from 540 A on, and at 1400 A = 0.9 x 1555.6 A after
    // about 1.25 s.
    assert_eq!(
        verdicts(&fuse, Some(1400.0), Some([540.0, 1.0])),
        [Holds; 3]
    );
    assert_eq!(
        verdicts(&fuse, Some(1399.0), Some([541.0, 1.4])),
        [Fails; 3]
    );
    assert_eq!(verdicts(&fuse, None, None), [Open; 3]);
    assert_eq!(verdicts(&fuse_350(), None, None), [NotApplicable; 3]);
    let mut unknown = fuse;
    unknown.utilisation = None;
    unknown.least_breaking = None;
    assert_eq!(verdicts(&unknown, Some(2000.0), None), [Open; 3]);
}

/// An invented 50 A branch fuse.
fn branch() -> FuseType {
    let mut fuse = curve(&[[800.0, 0.005], [250.0, 0.1], [120.0, 10.0], [85.0, 1000.0]]);
    fuse.utilisation = Some(Utilisation::Gr);
    fuse.voltage = Some(volts(500.0));
    fuse.breaking = Some(amperes(50_000.0));
    fuse.melting = Some(a2s(2.5e3));
    fuse.total = Some(a2s(1.0e4));
    fuse.total_at = Some(volts(500.0));
    fuse
}

#[test]
fn a_small_fuse_clears_before_a_large_one_melts() {
    let judge = |down: &FuseType, up: &FuseType, volts_now| {
        judge_selectivity(
            down,
            up,
            volts(volts_now),
            Some(amperes(5000.0)),
            share(1.0),
            SELECTIVE_SHARE,
            CURVE_TOLERANCE,
        )
        .unwrap()
    };
    let [by_i2t, by_time] = judge(&branch(), &fuse_350(), 400.0);
    // 1e4 against 0.75 x 2.6e5.
    assert_eq!(by_i2t.verdict, Verdict::Holds);
    assert!((by_i2t.limit.unwrap() - 1.95e5).abs() < 1.0);
    assert_eq!(by_time.verdict, Verdict::Holds, "{by_time:?}");
    // The other way round, and each against its like.
    for (down, up) in [
        (fuse_350(), branch()),
        (fuse_350(), fuse_350()),
        (branch(), branch()),
    ] {
        for judged in judge(&down, &up, 400.0) {
            assert_eq!(judged.verdict, Verdict::Fails, "{judged:?}");
        }
    }
    // The total I2t does not hold for 501 V.
    assert_eq!(
        judge(&branch(), &fuse_350(), 501.0)[0].verdict,
        Verdict::Open
    );
    assert_eq!(
        judge(&branch(), &curve(&[]), 400.0).map(|judged| judged.verdict),
        [Verdict::Open; 2]
    );
}

#[test]
fn currents_below_the_curve_upstream_are_not_compared() {
    let [_, by_time] = judge_selectivity(
        &branch(),
        &fuse_350(),
        volts(400.0),
        Some(amperes(500.0)),
        share(1.0),
        SELECTIVE_SHARE,
        CURVE_TOLERANCE,
    )
    .unwrap();
    assert_eq!(by_time.verdict, Verdict::NotApplicable);
}

/// Two equal fuses in parallel above a third like them: each carries half of the current
/// and a quarter of the joule integral, 7e5 / 4 = 1.75e5 against 0.75 x 2.6e5 = 1.95e5. With
/// 0.6 of the current it is 0.36 x 7e5 = 2.52e5.
#[test]
fn fuses_in_parallel_carry_their_part() {
    let fuse = fuse_350();
    let judge = |carried: f32| {
        let largest = Some(amperes(5000.0));
        let (of, tolerance) = (SELECTIVE_SHARE, CURVE_TOLERANCE);
        judge_selectivity(
            &fuse,
            &fuse,
            volts(400.0),
            largest,
            share(carried),
            of,
            tolerance,
        )
        .unwrap()
    };
    let [by_i2t, by_time] = judge(0.5);
    assert!((by_i2t.value.unwrap() - 1.75e5).abs() < 1.0);
    assert_eq!(
        (by_i2t.verdict, by_time.verdict),
        (Verdict::Holds, Verdict::Holds)
    );
    let [by_i2t, by_time] = judge(0.6);
    assert!((by_i2t.value.unwrap() - 2.52e5).abs() < 1.0);
    assert_eq!(
        (by_i2t.verdict, by_time.verdict),
        (Verdict::Fails, Verdict::Holds)
    );
    // 1.1 over 0.9 apart in current at one time.
    let [_, by_time] = judge(0.9);
    assert_eq!(by_time.verdict, Verdict::Fails);
    assert_eq!(judge(0.0)[1].verdict, Verdict::NotApplicable);
}
