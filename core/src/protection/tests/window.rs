use proptest::prelude::*;

use super::guarded::{build, cold, degc};
use super::{a2s, amperes, fuse_350, seconds, share, volts};
use crate::design::{DeratingPoint, FuseType, Utilisation};
use crate::protection::*;
use crate::verdict::Verdict;

/// A circuit in which the 350 A fuse fits.
pub(super) fn circuit<'a>(
    pulses: &'a [Pulse],
    guarded: &'a [(FuseCheck, Guarded<'a>)],
) -> FuseCircuit<'a> {
    FuseCircuit {
        voltage: volts(400.0),
        time_constant: Some(seconds(0.001)),
        place: FusePlace {
            air: Some(degc(65.0)),
            altitude: Some(crate::quantity::Altitude::from_metres(500.0).unwrap()),
        },
        lasting: Some(amperes(180.0)),
        pulses,
        pulse_share: REPEATED_PULSE,
        tolerance: CURVE_TOLERANCE,
        smallest_fault: Some(amperes(3000.0)),
        largest_fault: Some(amperes(8000.0)),
        spared: false,
        disconnection: DISCONNECTION,
        guarded,
        conductor_lasting: Some(amperes(380.0)),
        controller_limit: None,
        contactor_breaks: None,
        trip: None,
    }
}

pub(super) fn series() -> FuseType {
    let mut fuse = fuse_350();
    for (air, carries) in [(25.0, 1.0), (65.0, 0.8), (105.0, 0.5)] {
        let point = DeratingPoint {
            air: degc(air),
            carries: share(carries),
        };
        fuse.derating.push(point).unwrap();
    }
    fuse.holder = Some(share(1.0));
    fuse
}

fn end(side: WindowSide) -> WindowEnd {
    match side {
        WindowSide::At(end) => end,
        other => panic!("{other:?}"),
    }
}

pub(super) const PULSE: Pulse = Pulse {
    current: constant!(crate::quantity::Current::from_amperes(420.0)),
    duration: constant!(crate::quantity::Time::from_seconds(12.0)),
};

#[test]
fn the_window_has_two_ends_that_were_computed_by_hand() {
    // From below: 180 A / 0.8 = 225 A; the pulse 420 A at 12 s asks for 350 x 420 / 450
    // = 326.7 A. From above: the conductor's 380 A. A contactor of 9e5 A2s: at 8 kA the
    // latest 350 A fuse lets through more at 3 kA than at 8 kA.
    let guarded = [];
    let window = fuse_window(&series(), &circuit(&[PULSE], &guarded)).unwrap();
    assert_eq!(window.verdict, Verdict::Holds, "{window:?}");
    let (least, most) = (end(window.least), end(window.most));
    assert_eq!(
        (least.binds, most.binds),
        (FuseCheck::Pulse, FuseCheck::OverloadOwner)
    );
    // Tolerance: 64 x 64 halved 15 times in its logarithm is a part in 4000.
    assert!(
        (least.rated.as_amperes() / 326.67 - 1.0).abs() < 5e-4,
        "{least:?}"
    );
    assert!(
        (most.rated.as_amperes() / 380.0 - 1.0).abs() < 5e-4,
        "{most:?}"
    );
    let square = least.melting.unwrap().as_a2s() / 2.6e5;
    let ratio = least.rated.as_amperes() / 350.0;
    assert!((square / (ratio * ratio) - 1.0).abs() < 1e-5);
    assert!(window.open.is_empty() && window.remedies.is_empty());
    let alone = fuse_window(&series(), &circuit(&[], &guarded)).unwrap();
    let least = end(alone.least);
    assert_eq!(least.binds, FuseCheck::Continuous);
    assert!((least.rated.as_amperes() / 225.0 - 1.0).abs() < 5e-4);
}

#[test]
fn each_remedy_of_an_empty_window_opens_it() {
    let small = build(10.0);
    let cable = [(
        FuseCheck::Cable,
        Guarded::Cable(GuardedCable {
            lasting: Some(amperes(1200.0)),
            ..cold(&small)
        }),
    )];
    let mut empty = circuit(&[PULSE], &cable);
    empty.smallest_fault = Some(amperes(3000.0));
    let window = fuse_window(&series(), &empty).unwrap();
    assert_eq!(window.verdict, Verdict::Fails, "{window:?}");
    let (least, most) = (end(window.least), end(window.most));
    assert_eq!(
        (least.binds, most.binds),
        (FuseCheck::Pulse, FuseCheck::Cable)
    );
    assert!(most.rated < least.rated);
    let mut seen = 0;
    for remedy in &window.remedies {
        // One part in 1000 beyond the value, for the halvings.
        let opened = match *remedy {
            Remedy::PulseOf(current) => {
                let pulse = Pulse {
                    current: amperes(current.as_amperes() * 0.999),
                    ..PULSE
                };
                // The r.m.s. current goes down with it, or it binds next.
                let mut eased = circuit(&[], &cable);
                let pulses = [pulse];
                eased.pulses = &pulses;
                eased.lasting = Some(amperes(1.0));
                fuse_window(&series(), &eased).unwrap()
            }
            Remedy::Section(section) => {
                let times = section.as_mm2() * 1.001 / 10.0;
                let mut large = small;
                large.section = crate::quantity::ConductorArea::from_mm2(10.0 * times).unwrap();
                large.resistance_20 = crate::quantity::LinearResistance::from_ohm_per_m(
                    small.resistance_20.as_ohm_per_m() / times,
                )
                .unwrap();
                let cable = [(
                    FuseCheck::Cable,
                    Guarded::Cable(GuardedCable {
                        lasting: Some(amperes(1200.0)),
                        ..cold(&large)
                    }),
                )];
                fuse_window(&series(), &circuit(&[PULSE], &cable)).unwrap()
            }
            other => panic!("{other:?}"),
        };
        assert_ne!(opened.verdict, Verdict::Fails, "{remedy:?}: {opened:?}");
        seen += 1;
    }
    assert_eq!(seen, 2);
}

#[test]
fn lasting_duty_and_place_are_remedies_too() {
    let mut empty = circuit(&[], &[]);
    empty.lasting = Some(amperes(330.0));
    let window = fuse_window(&series(), &empty).unwrap();
    assert_eq!(window.verdict, Verdict::Fails);
    // 380 A of fuse carry 304 A at 65 degC; 330 A at 0.868, which is 51.3 degC; or a
    // conductor for 412.5 A, or a controller limit of 380 A. By hand.
    assert_eq!(window.remedies.len(), 4, "{window:?}");
    for remedy in &window.remedies {
        let (found, expected) = match *remedy {
            Remedy::Lasting(current) => (current.as_amperes(), 304.0),
            Remedy::CoolerPlace(air) => (air.as_degc(), 51.32),
            Remedy::ConductorLasting(current) => (current.as_amperes(), 412.5),
            Remedy::ControllerLimit(current) => (current.as_amperes(), 380.0),
            other => panic!("{other:?}"),
        };
        assert!((found / expected - 1.0).abs() < 2e-3, "{remedy:?}");
    }
}

#[test]
fn a_weak_contactor_and_a_small_fault_close_the_window() {
    let contactor = [(
        FuseCheck::ContactorI2t,
        Guarded::Metal {
            withstand: a2s(1.0e5),
            lasting: None,
        },
    )];
    let window = fuse_window(&series(), &circuit(&[PULSE], &contactor)).unwrap();
    assert_eq!(end(window.most).binds, FuseCheck::ContactorI2t);
    let Some(&Remedy::Stands(FuseCheck::ContactorI2t, needed)) = window.remedies.get(1) else {
        panic!("{window:?}");
    };
    let stronger = [(
        FuseCheck::ContactorI2t,
        Guarded::Metal {
            withstand: a2s(needed.as_a2s() * 1.001),
            lasting: None,
        },
    )];
    let opened = fuse_window(&series(), &circuit(&[PULSE], &stronger)).unwrap();
    assert_eq!(opened.verdict, Verdict::Holds, "{opened:?}");

    let mut weak = circuit(&[PULSE], &[]);
    weak.smallest_fault = Some(amperes(900.0));
    let window = fuse_window(&series(), &weak).unwrap();
    assert_eq!(end(window.most).binds, FuseCheck::LeastFault);
    let Some(&Remedy::SmallestFault(needed)) = window.remedies.get(1) else {
        panic!("{window:?}");
    };
    weak.smallest_fault = Some(amperes(needed.as_amperes() * 1.001));
    assert_eq!(
        fuse_window(&series(), &weak).unwrap().verdict,
        Verdict::Holds
    );
}

#[test]
fn a_partial_range_series_meets_what_the_contactor_breaks() {
    let mut fuse = series();
    fuse.utilisation = Some(Utilisation::Ar);
    fuse.least_breaking = Some(amperes(1400.0));
    let mut tight = circuit(&[PULSE], &[]);
    tight.contactor_breaks = Some(amperes(1000.0));
    let window = fuse_window(&fuse, &tight).unwrap();
    assert_eq!(end(window.most).binds, FuseCheck::LowCurrentGap);
    // 1000 / 1400 of 350 A against 326.7 A: the contactor has to break 1306.7 A.
    assert!((end(window.most).rated.as_amperes() / 250.0 - 1.0).abs() < 5e-4);
    let Some(&Remedy::ContactorBreaks(needed)) = window.remedies.get(1) else {
        panic!("{window:?}");
    };
    assert!((needed.as_amperes() / 1306.7 - 1.0).abs() < 1e-3);
    tight.contactor_breaks = None;
    let unknown = fuse_window(&fuse, &tight).unwrap();
    assert_eq!(unknown.verdict, Verdict::Open);
    assert!(unknown.open.contains(&FuseCheck::LowCurrentGap));
}

#[test]
fn what_no_size_mends_is_said_first() {
    let mut high = circuit(&[], &[]);
    high.voltage = volts(806.4);
    let window = fuse_window(&series(), &high).unwrap();
    assert_eq!(window.verdict, Verdict::Fails);
    assert_eq!(window.most, WindowSide::Never(FuseCheck::Voltage));
    let mut strong = circuit(&[], &[]);
    strong.largest_fault = Some(amperes(51_000.0));
    let window = fuse_window(&series(), &strong).unwrap();
    assert_eq!(window.most, WindowSide::Never(FuseCheck::BreakingCapacity));
}

#[test]
fn missing_inputs_leave_the_window_open_and_are_named() {
    let mut unknown = circuit(&[PULSE], &[]);
    unknown.lasting = None;
    unknown.smallest_fault = None;
    unknown.conductor_lasting = None;
    let mut fuse = series();
    fuse.voltage = None;
    let window = fuse_window(&fuse, &unknown).unwrap();
    assert_eq!(window.verdict, Verdict::Open);
    for name in [
        FuseCheck::Voltage,
        FuseCheck::Continuous,
        FuseCheck::LeastFault,
        FuseCheck::OverloadOwner,
    ] {
        assert!(window.open.contains(&name), "{name:?}: {window:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn the_ends_hold_and_a_hundredth_beyond_them_does_not(
        lasting in 20.0_f32..300.0, pulse in 100.0_f32..2000.0, duration in 0.01_f32..100.0,
        conductor in 50.0_f32..900.0,
    ) {
        let pulses = [Pulse { current: amperes(pulse), duration: seconds(duration) }];
        let mut asked = circuit(&pulses, &[]);
        asked.lasting = Some(amperes(lasting));
        asked.conductor_lasting = Some(amperes(conductor));
        let window = fuse_window(&series(), &asked).unwrap();
        let least = end(window.least);
        let scaled = |rated: f32| {
            let scale = rated / 350.0;
            let mut fuse = series();
            fuse.rated = Some(amperes(rated));
            fuse.melting = Some(a2s(2.6e5 * scale * scale));
            for point in &mut fuse.curve {
                point.current = amperes(point.current.as_amperes() * scale);
            }
            fuse
        };
        let carries = |rated: f32| {
            let fuse = scaled(rated);
            judge_continuous(&fuse, &asked.place, asked.lasting).unwrap().verdict == Verdict::Holds
                && judge_pulse(&fuse, &asked.place, pulses[0], REPEATED_PULSE, CURVE_TOLERANCE).unwrap().verdict == Verdict::Holds
        };
        prop_assert!(carries(least.rated.as_amperes() * 1.000_1));
        prop_assert!(!carries(least.rated.as_amperes() * 0.99));
        let most = end(window.most);
        if most.binds == FuseCheck::OverloadOwner {
            prop_assert!((most.rated.as_amperes() / conductor - 1.0).abs() < 1e-3);
        }
    }
}
