//! Closed forms against each other and against worked values; properties.

use proptest::prelude::*;

use super::*;
use crate::quantity::{
    Capacitance, ConductorArea, Current, CurrentSquaredTime, Length, Time, Voltage,
};

fn rise(amperes: f32, tau: f32) -> Rise {
    Rise {
        steady: Current::from_amperes(amperes).unwrap(),
        time_constant: seconds(tau),
    }
}

fn seconds(value: f32) -> Time {
    Time::from_seconds(value).unwrap()
}

fn near(found: f32, expected: f32, relative: f32) {
    assert!(
        (found - expected).abs() <= relative * expected.abs(),
        "{found}, expected {expected}"
    );
}

#[test]
fn a_rise_has_its_known_values() {
    // 1 - 1/e after one time constant; the integral of (1 - exp(-x))^2 to 1 is
    // 1 + 2 (1/e - 1) - (1/e^2 - 1)/2 = 0.168 091.
    let rise = rise(1000.0, 1e-3);
    near(
        rise.at(seconds(1e-3)).unwrap().as_amperes(),
        632.120_56,
        1e-6,
    );
    near(rise.i2t(seconds(1e-3)).unwrap().as_a2s(), 168.091_2, 1e-5);
    // Where the bracket cancels: I2 t^3 / (3 tau^2).
    near(
        rise.i2t(seconds(1e-9)).unwrap().as_a2s(),
        3.333_333e-16,
        2e-6,
    );
    // Without a time constant it is there at once.
    let stiff = self::rise(1000.0, 0.0);
    near(stiff.i2t(seconds(2e-3)).unwrap().as_a2s(), 2000.0, 1e-6);
    near(stiff.at(seconds(0.0)).unwrap().as_amperes(), 1000.0, 1e-6);
}

#[test]
fn a_capacitor_has_its_known_values() {
    // C-rlc-3 of the project's reference cases, double precision and ngspice: zeta 1.
    let link = |resistance: f32, inductance: f32| Discharge {
        capacitance: Capacitance::from_farads(5e-4).unwrap(),
        voltage: Voltage::from_volts(400.0).unwrap(),
        resistance: Resistance::from_ohms(resistance).unwrap(),
        inductance: Inductance::from_henries(inductance).unwrap(),
    };
    let critical = link(0.028_284_27, 1e-7);
    let (peak, at) = critical.peak().unwrap();
    near(peak.as_amperes(), 10_405.2, 1e-5);
    near(at.as_seconds(), 7.071_068e-6, 1e-4);
    near(critical.i2t().unwrap().as_a2s(), 1414.214, 1e-6);
    // No inductance: V/R at once.
    let (peak, at) = link(0.02, 0.0).peak().unwrap();
    near(peak.as_amperes(), 20_000.0, 1e-6);
    assert!(at.as_seconds() < f32::MIN_POSITIVE);
    // No resistance: V sqrt(C/L), and no end.
    let lossless = link(0.0, 1e-7);
    near(lossless.peak().unwrap().0.as_amperes(), 28_284.27, 1e-5);
    assert!(lossless.i2t().is_err());
    assert!(link(0.0, 0.0).at(seconds(1e-3)).is_err());
}

#[test]
fn a_pair_of_conductors_has_the_inductance_of_the_handbook_formula() {
    let section = ConductorArea::from_mm2(70.0).unwrap();
    let metre = Length::from_metres(1.0).unwrap();
    let at = |mm: f32| {
        let distance = Length::from_mm(mm).unwrap();
        let inductance = pair_inductance(section, distance, metre).unwrap();
        inductance.as_henries()
    };
    // d = 9.441 mm: 0.2 uH/m (ln(2 x 19.6 / 9.441) + 1/4).
    near(at(19.6), 3.347e-7, 1e-3);
    assert!(at(300.0) > at(19.6));
    // Closer than the metal allows counts as touching.
    near(at(0.0), at(9.0), 1e-6);
}

#[test]
fn a_transient_without_a_loop_carries_nothing() {
    let mut transient = std::boxed::Box::new(Transient::new());
    let branch = TransientBranch {
        from: 0,
        to: 1,
        emf: Voltage::from_volts(400.0).unwrap(),
        resistance: Resistance::from_ohms(0.05).unwrap(),
        inductance: LINK_INDUCTANCE,
        capacitor: None,
    };
    let watched = transient.add(&branch).unwrap();
    let mut courses = [Course::NONE];
    transient
        .run(&[watched], seconds(0.1), &mut courses)
        .unwrap();
    assert_eq!(courses, [Course::NONE]);
    assert!(transient.add(&TransientBranch { to: 0, ..branch }).is_err());
    assert!(
        transient
            .add(&TransientBranch { to: 255, ..branch })
            .is_err()
    );
    let none = Some(Capacitance::from_farads(0.0).unwrap());
    let empty = TransientBranch {
        capacitor: none,
        ..branch
    };
    assert!(transient.add(&empty).is_err());
    transient.clear();
    assert!(
        transient
            .run(&[watched], seconds(0.1), &mut courses)
            .is_err()
    );
}

#[test]
fn more_loops_than_fit_are_refused() {
    let mut transient = std::boxed::Box::new(Transient::new());
    let branch = TransientBranch {
        from: 0,
        to: 1,
        emf: Voltage::from_volts(400.0).unwrap(),
        resistance: Resistance::from_ohms(0.05).unwrap(),
        inductance: LINK_INDUCTANCE,
        capacitor: None,
    };
    for _ in 0..MAX_LOOPS + 2 {
        transient.add(&branch).unwrap();
    }
    assert!(transient.run(&[], seconds(0.1), &mut []).is_err());
}

proptest! {
    #[test]
    fn a_joule_integral_is_reached_when_it_is_said(
        amperes in 10.0_f32..5e4,
        tau in 1e-6_f32..1e-2,
        x in 0.01_f32..50.0,
    ) {
        let rise = rise(amperes, tau);
        let i2t = rise.i2t(seconds(x * tau)).unwrap();
        let reached = rise.reaches(i2t).unwrap().as_seconds();
        // The cube root of the rounding of f32 where the rise begins.
        prop_assert!((reached - x * tau).abs() <= 1e-5 * x * tau, "{} {}", reached, x * tau);
    }

    #[test]
    fn more_current_and_less_inductance_reach_it_sooner(
        amperes in 10.0_f32..5e4,
        tau in 1e-6_f32..1e-2,
        more in 1.0_f32..3.0,
        target in 1.0_f32..1e6,
    ) {
        let i2t = CurrentSquaredTime::from_a2s(target).unwrap();
        let known = rise(amperes, tau).reaches(i2t).unwrap();
        prop_assert!(rise(amperes * more, tau).reaches(i2t).unwrap() <= known);
        prop_assert!(rise(amperes, tau / more).reaches(i2t).unwrap() <= known);
    }

    #[test]
    fn one_loop_step_by_step_is_the_closed_form(
        volts in 60.0_f32..900.0,
        ohms in 5e-3_f32..0.3,
        henries in 1e-6_f32..1e-4,
        x in 0.2_f32..30.0,
    ) {
        let mut transient = std::boxed::Box::new(Transient::new());
        let branch = |from, to, volts, ohms| TransientBranch {
            from,
            to,
            emf: Voltage::from_volts(volts).unwrap(),
            resistance: Resistance::from_ohms(ohms).unwrap(),
            inductance: Inductance::from_henries(0.5 * henries).unwrap(),
            capacitor: None,
        };
        let watched = transient.add(&branch(0, 1, volts, 0.5 * ohms)).unwrap();
        transient.add(&branch(1, 0, 0.0, 0.5 * ohms)).unwrap();
        let until = seconds(x * henries / ohms);
        let mut courses = [Course::NONE];
        transient.run(&[watched], until, &mut courses).unwrap();
        let rise = rise(volts / ohms, henries / ohms);
        near(courses[0].at_end.as_amperes(), rise.at(until).unwrap().as_amperes(), 1e-5);
        near(courses[0].i2t.as_a2s(), rise.i2t(until).unwrap().as_a2s(), 1e-4);
    }

    #[test]
    fn a_capacitor_step_by_step_is_the_closed_form(
        volts in 60.0_f32..900.0,
        farads in 5e-5_f32..1e-2,
        henries in 5e-8_f32..1e-5,
        zeta in 0.15_f32..5.0,
    ) {
        let ohms = 2.0 * zeta * (henries / farads).sqrt();
        let discharge = Discharge {
            capacitance: Capacitance::from_farads(farads).unwrap(),
            voltage: Voltage::from_volts(volts).unwrap(),
            resistance: Resistance::from_ohms(ohms).unwrap(),
            inductance: Inductance::from_henries(henries + 1e-9).unwrap(),
        };
        let mut transient = std::boxed::Box::new(Transient::new());
        let watched = transient
            .add(&TransientBranch {
                from: 0,
                to: 1,
                emf: discharge.voltage,
                resistance: discharge.resistance,
                inductance: Inductance::from_henries(henries).unwrap(),
                capacitor: Some(discharge.capacitance),
            })
            .unwrap();
        transient
            .add(&TransientBranch {
                from: 1,
                to: 0,
                emf: Voltage::from_volts(0.0).unwrap(),
                resistance: Resistance::from_ohms(0.0).unwrap(),
                inductance: LEAST_INDUCTANCE,
                capacitor: None,
            })
            .unwrap();
        // Fifty of the slower of both time constants.
        let slow = (ohms * farads).max(2.0 * (henries + 1e-9) / ohms);
        let mut courses = [Course::NONE];
        transient.run(&[watched], seconds(50.0 * slow), &mut courses).unwrap();
        let (peak, at) = discharge.peak().unwrap();
        // Samples are a thirty-second of the time apart at most.
        near(courses[0].peak.as_amperes(), peak.as_amperes(), 1e-3);
        near(courses[0].peak_at.as_seconds(), at.as_seconds(), 0.03);
        near(courses[0].i2t.as_a2s(), discharge.i2t().unwrap().as_a2s(), 1e-4);
    }
}
