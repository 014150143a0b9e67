use proptest::prelude::*;

use super::{a2s, amperes, fuse_350, seconds, share, volts};
use crate::design::{Arrow, ContactorType, Index, TextId};
use crate::protection::*;
use crate::quantity::{Altitude, ConductorArea, Resistance, Temperature};
use crate::verdict::{Judged, Verdict};

fn part() -> ContactorType {
    let mut part = ContactorType::new(TextId::at(0).unwrap());
    part.voltage = Some(volts(450.0));
    part.altitude = Some(Altitude::from_metres(2000.0).unwrap());
    part.carry = Some(amperes(300.0));
    part.carry_section = Some(ConductorArea::from_mm2(95.0).unwrap());
    part.carry_air = Some(Temperature::from_degc(65.0).unwrap());
    part.make = Some(amperes(400.0));
    part.break_forward = Some(amperes(2000.0));
    part.break_reverse = Some(amperes(200.0));
    part.break_voltage = Some(volts(450.0));
    part.withstand_peak = Some(amperes(8000.0));
    part.withstand = Some(a2s(4.0e5));
    part.polarised = Some(true);
    part.endurance = Some(100_000);
    part.load_endurance = Some(50);
    part
}

fn of<const N: usize>(judged: [Judged<ContactorCheck>; N]) -> [Verdict; N] {
    judged.map(|judged| judged.verdict)
}

fn ohms(ohms: f32) -> Resistance {
    Resistance::from_ohms(ohms).unwrap()
}

#[test]
fn voltage_altitude_carry_and_withstand_at_and_above_the_limit() {
    use Verdict::{Fails, Holds, Open};
    let part = part();
    let voltage = |u| judge_contactor_voltage(&part, Some(volts(u))).verdict;
    assert_eq!([voltage(450.0), voltage(450.1)], [Holds, Fails]);
    let altitude = |metres| {
        judge_contactor_altitude(&part, Some(Altitude::from_metres(metres).unwrap())).verdict
    };
    assert_eq!([altitude(2000.0), altitude(2300.0)], [Holds, Fails]);
    let carry = |current, degc, mm2| {
        let carrying = Carrying {
            lasting: Some(amperes(current)),
            air: Some(Temperature::from_degc(degc).unwrap()),
            section: Some(ConductorArea::from_mm2(mm2).unwrap()),
        };
        of(judge_carry(&part, &carrying))
    };
    assert_eq!(carry(-300.0, 65.0, 95.0), [Holds; 3]);
    assert_eq!(carry(301.0, 66.0, 70.0), [Fails; 3]);
    assert_eq!(of(judge_carry(&part, &Carrying::default())), [Open; 3]);
    let withstand = |peak, i2t| of(judge_withstand(&part, Some(amperes(peak)), Some(a2s(i2t))));
    assert_eq!(withstand(8000.0, 4.0e5), [Holds; 2]);
    assert_eq!(withstand(8001.0, 4.1e5), [Fails; 2]);
    assert_eq!(of(judge_withstand(&part, None, None)), [Open; 2]);
    let moved = |closings, load_openings| {
        of(judge_movements(
            &part,
            Movements {
                closings,
                load_openings,
            },
        ))
    };
    assert_eq!(moved(Some(100_000), Some(50)), [Holds; 2]);
    assert_eq!(moved(Some(100_001), Some(51)), [Fails; 2]);
    assert_eq!(moved(None, None), [Open; 2]);
}

#[test]
fn closing_on_what_precharge_left() {
    // 403 V, closed at 90 %: 40.3 V over 60 mohm, 672 A; at 98 %: 134 A. By hand.
    let part = part();
    let make = |residual, resistance| judge_make(&part, Some(volts(residual)), Some(resistance));
    let hard = make(40.3, ohms(0.06));
    assert_eq!(hard.verdict, Verdict::Fails);
    assert!((hard.value.unwrap() - 671.67).abs() < 0.01);
    assert_eq!(make(8.06, ohms(0.06)).verdict, Verdict::Holds);
    assert_eq!(make(8.06, ohms(0.0)).verdict, Verdict::Fails);
    assert_eq!(make(0.0, ohms(0.0)).verdict, Verdict::Holds);
    assert_eq!(
        judge_make(&part, Some(volts(8.06)), None).verdict,
        Verdict::Open
    );
}

#[test]
fn a_polarised_part_is_judged_in_both_directions() {
    use Verdict::{Fails, Holds, NotApplicable, Open};
    let part = part();
    let drive_and_charge = Opened {
        along: Some(amperes(900.0)),
        against: Some(amperes(150.0)),
    };
    let judge = |part: &ContactorType, arrow, u: f32, opened: &Opened| {
        of(judge_break(part, arrow, Some(volts(u)), opened))
    };
    assert_eq!(
        judge(&part, Some(Arrow::Along), 403.0, &drive_and_charge),
        [Holds; 2]
    );
    // Turned round, as in the negative leg: driving is its wrong direction.
    assert_eq!(
        judge(&part, Some(Arrow::Against), 403.0, &drive_and_charge),
        [Fails, Holds]
    );
    // Arrow not known: the smaller rating both ways.
    assert_eq!(judge(&part, None, 403.0, &drive_and_charge), [Fails, Holds]);
    assert_eq!(
        judge(&part, Some(Arrow::Along), 451.0, &drive_and_charge),
        [Open; 2]
    );
    let only_drive = Opened {
        along: Some(amperes(900.0)),
        against: Some(amperes(0.0)),
    };
    assert_eq!(
        judge(&part, Some(Arrow::Along), 403.0, &only_drive),
        [Holds, NotApplicable]
    );
    assert_eq!(
        judge(&part, Some(Arrow::Along), 403.0, &Opened::default()),
        [Open; 2]
    );
    let mut both_ways = part;
    both_ways.polarised = Some(false);
    both_ways.break_reverse = None;
    assert_eq!(
        judge(&both_ways, None, 403.0, &drive_and_charge),
        [Holds; 2]
    );
    let mut unknown = both_ways;
    unknown.polarised = None;
    assert_eq!(
        judge(&unknown, Some(Arrow::Along), 403.0, &drive_and_charge),
        [Holds, Open]
    );
    assert_eq!(judge(&unknown, None, 403.0, &drive_and_charge), [Open; 2]);
    assert_eq!(
        judge(&unknown, Some(Arrow::Without), 403.0, &drive_and_charge),
        [Holds; 2]
    );
    assert_eq!(breaks(&part, Some(Arrow::Along), None), [None, None]);
}

#[test]
fn the_band_in_which_the_contactor_stays_closed() {
    let fuse = ClearingCurve::new(&fuse_350(), volts(400.0), share(0.0)).unwrap();
    let band = |breaks: f32, largest: f32, opening: f32| {
        closed_band(
            Some(amperes(breaks)),
            &fuse,
            amperes(largest),
            seconds(opening),
        )
    };
    // It breaks up to 2000 A; the fuse clears from 600 A on: every current is somebody's.
    let held = band(2000.0, 8000.0, 0.1).unwrap();
    assert_eq!(held.judged.verdict, Verdict::Holds);
    assert!((held.above.as_amperes() - 2000.0).abs() < 1e-3);
    // At 2000 A: 1.5 (2000/1500)^-4.5076 = 0.4101 s and the arc 3 x 4.4e5 / 2000^2.
    let wait = held.wait.unwrap().as_seconds();
    assert!((wait - 0.4101 - 0.33).abs() < 1e-3, "{wait}");
    // 0.1 s: melting and arc together, between 4000 A (0.1125 s) and 8000 A (0.0256 s).
    let first = held.fuse_first_from.unwrap();
    let Clearing::After { total, .. } = fuse.at(first) else {
        panic!("it clears");
    };
    assert!((total.as_seconds() / 0.1 - 1.0).abs() < 1e-3);
    // It breaks 500 A only: between 500 and 600 A nobody opens.
    let gap = band(500.0, 8000.0, 0.1).unwrap();
    assert_eq!(gap.judged.verdict, Verdict::Fails);
    assert_eq!(gap.fuse_from, Some(amperes(600.0)));
    // It breaks everything, or nothing is known.
    assert_eq!(band(9000.0, 8000.0, 0.1), None);
    assert_eq!(
        closed_band(None, &fuse, amperes(8000.0), seconds(0.1)),
        None
    );
    // The fuse bursts on the largest.
    assert_eq!(
        band(2000.0, 60_000.0, 0.1).unwrap().judged.verdict,
        Verdict::Fails
    );
    // Nothing opens as fast as the fuse never is.
    assert_eq!(band(2000.0, 3000.0, 0.001).unwrap().fuse_first_from, None);
}

#[test]
fn a_fuse_that_is_not_known_leaves_the_band_open() {
    let mut unknown = fuse_350();
    unknown.total = None;
    let fuse = ClearingCurve::new(&unknown, volts(400.0), share(0.0)).unwrap();
    let band = closed_band(Some(amperes(2000.0)), &fuse, amperes(8000.0), seconds(0.1)).unwrap();
    assert_eq!(band.judged.verdict, Verdict::Open);
    assert_eq!(band.gap, Some(FuseGap::Arcing));
    assert_eq!(band.wait, None);
}

proptest! {
    #[test]
    fn opening_faster_never_moves_the_fuse_first_down(
        breaks in 100.0_f32..5000.0, largest in 1000.0_f32..40_000.0, opening in 0.001_f32..10.0, faster in 0.1_f32..1.0,
    ) {
        let fuse = ClearingCurve::new(&fuse_350(), volts(400.0), share(0.1)).unwrap();
        let first = |opening| {
            closed_band(Some(amperes(breaks)), &fuse, amperes(largest), seconds(opening))
                .and_then(|band| band.fuse_first_from)
        };
        if let (Some(slow), Some(fast)) = (first(opening), first(opening * faster)) {
            prop_assert!(fast.as_amperes() >= slow.as_amperes() * 0.999_9);
        }
    }
}
