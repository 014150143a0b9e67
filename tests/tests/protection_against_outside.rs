//! Fuses and contactors against things outside the project.

use orangeloom_core::conductor::cable::CableBuild;
use orangeloom_core::conductor::generic::{Dimensions, VoltageClass, generic_build};
use orangeloom_core::conductor::withstand::adiabatic_withstand;
use orangeloom_core::design::{ContactorType, CurvePoint, FuseType, Index, TextId};
use orangeloom_core::insulation::{StrapMetal, strap_withstand};
use orangeloom_core::protection::{
    CurveSide, Guarded, GuardedCable, Melting, MeltingCurve, judge_make,
};
use orangeloom_core::quantity::{
    ConductorArea, Current, CurrentSquaredTime, LinearResistance, Resistance, Share, Temperature,
    Time, Voltage,
};
use orangeloom_core::standard::metal::Metal;
use orangeloom_tests::{computed, published};

/// The points of `reference_scripts/melting_integral.py`, A and s.
const POINTS: [[f32; 2]; 8] = [
    [15_000.0, 0.0012],
    [8000.0, 0.005],
    [4000.0, 0.03],
    [2500.0, 0.15],
    [1500.0, 1.5],
    [1000.0, 12.0],
    [800.0, 60.0],
    [600.0, 1000.0],
];

fn amperes(amperes: f32) -> Current {
    Current::from_amperes(amperes).unwrap()
}

fn seconds(seconds: f32) -> Time {
    Time::from_seconds(seconds).unwrap()
}

fn degc(degc: f32) -> Temperature {
    Temperature::from_degc(degc).unwrap()
}

fn a2s(a2s: f32) -> CurrentSquaredTime {
    CurrentSquaredTime::from_a2s(a2s).unwrap()
}

/// The curve through these points, without tolerance.
fn curve(points: &[[f32; 2]]) -> MeltingCurve {
    let mut fuse = FuseType::new(TextId::at(0).unwrap());
    for &[current, time] in points {
        let point = CurvePoint {
            current: amperes(current),
            time: seconds(time),
        };
        fuse.curve.push(point).unwrap();
    }
    let none = Share::from_fraction(0.0).unwrap();
    MeltingCurve::new(&fuse, CurveSide::Latest, none)
        .unwrap()
        .unwrap()
}

/// How far the fuse melts, and when, in steps.
#[allow(clippy::cast_precision_loss)] // counts of steps
fn melt(
    curve: &MeltingCurve,
    end: f32,
    steps: u32,
    current: impl Fn(f32) -> f32,
) -> (f32, Option<f32>) {
    let step = end / steps as f32;
    let mut state = Melting::new();
    for count in 0..steps {
        let middle = (count as f32 + 0.5) * step;
        let now = amperes(current(middle));
        let left = state.time_left(curve, now);
        state = state.advance(curve, now, seconds(step));
        if state.has_melted() {
            let left = left.known().map_or(0.0, Time::as_seconds);
            return (1.0, Some(count as f32 * step + left));
        }
    }
    (state.fraction().unwrap().as_fraction(), None)
}

#[test]
fn melting_under_decaying_and_rising_currents_as_scipy_integrates() {
    // scipy and numpy, see reference_scripts. Tolerance: the middle of steps of 1/1000 of
    // the time constant, and 1e-4 where the current crosses the end of the curve.
    let curve = curve(&POINTS);
    let mut melted = 0;
    for row in computed::read("melting_integral.csv") {
        let (peak, tau, end) = (row.value("peak_a"), row.value("tau_s"), row.value("end_s"));
        let (fraction, after) = if row.text("shape") == "decay" {
            melt(&curve, end, 8000, |t| peak * (-t / tau).exp())
        } else {
            melt(&curve, end, 8000, |t| -peak * (-t / tau).exp_m1())
        };
        let expected = row.value("melted");
        let near = (fraction / expected - 1.0).abs() < 2.0e-3;
        assert!(near, "{row:?}: {fraction}");
        match (row.text("melts_after_s"), after) {
            ("never", None) => {}
            (text, Some(found)) if text != "never" => {
                let expected: f32 = text.parse().unwrap();
                assert!((found / expected - 1.0).abs() < 1.0e-3, "{row:?}: {found}");
                melted += 1;
            }
            (_, found) => panic!("{row:?}: {found:?}"),
        }
    }
    assert!(melted > 15, "{melted} melted only");
}

#[test]
fn a_current_rising_in_an_inductor_melts_as_its_closed_form_says() {
    // "Lessons In Electric Circuits", DC, chapter on time constants (open textbook,
    // seen): 15 V, 1 ohm, 1 H. Currents as printed, tolerance one last digit: it cuts
    // 14.9993 to 14.99.
    let rise = |t: f32| -15.0 * (-t).exp_m1();
    for (t, printed, digit) in [
        (0.5, 5.902, 0.001),
        (1.0, 9.482, 0.001),
        (2.0, 12.97, 0.01),
        (3.0, 14.25, 0.01),
        (4.0, 14.73, 0.01),
        (5.0, 14.90, 0.01),
        (6.0, 14.96, 0.01),
        (10.0, 14.99, 0.01),
        (3.5, 14.547, 0.001),
    ] {
        assert!((rise(t) - printed).abs() < digit, "{t}");
    }
    // A fuse of constant melting I2t, 2000 A2s from 0.1 A up: the share is the joule
    // integral over that, 225 (x - 2 (1 - e^-x) + (1 - e^-2x) / 2) at x = 1 s to 10 s.
    let curve = curve(&[[0.1, 200_000.0]]);
    for end in [1.0_f32, 3.5, 10.0] {
        let x = f64::from(end);
        let joule = 225.0 * (x + 2.0 * (-x).exp_m1() - 0.5 * (-2.0 * x).exp_m1());
        let (fraction, _) = melt(&curve, end, 10_000, rise);
        let found = f64::from(fraction) * 2000.0;
        // Below 0.1 A, the first 7 ms, nothing counts.
        assert!((found / joule - 1.0).abs() < 1e-4, "{end}: {found} {joule}");
    }
}

#[test]
fn closing_on_a_half_charged_capacitor_as_the_textbook_charges_it() {
    // The same book: 15 V, 10 kohm, 100 uF. Voltage reached and current that flows, as
    // printed: closing then makes that current over those 10 kohm.
    let part = ContactorType::new(TextId::at(0).unwrap());
    for (reached, micro, digit) in [
        (5.902, 909.8, 0.1),
        (9.482, 551.8, 0.1),
        (12.970, 203.0, 0.1),
        (14.253, 74.68, 0.1),
        (14.725, 27.47, 0.1),
    ] {
        let residual = Voltage::from_volts(15.0 - reached).unwrap();
        let loop_resistance = Resistance::from_ohms(10_000.0).unwrap();
        let judged = judge_make(&part, Some(residual), Some(loop_resistance));
        let found = judged.value.unwrap() * 1.0e6;
        // Half of the last digit of the voltage is 0.05 uA.
        assert!((found - micro).abs() < digit, "{reached}: {found}");
    }
}

#[test]
fn a_curve_goes_on_as_onderdonk_tabulates() {
    // A wire of copper as a fuse: one point at 1 s, printed; above it the same I2t gives
    // the time at the current that is printed for 0.032 s.
    let cells = published::read("onderdonk_awg.csv");
    let mut wires = 0;
    for pair in cells.chunks(2) {
        let [slow, fast] = pair else {
            panic!("two currents for each wire")
        };
        let at_once = slow.value();
        let curve = curve(&[[at_once * 1000.0, 1.0]]);
        let found = curve
            .time_at(amperes(fast.value() * 1000.0))
            .known()
            .unwrap();
        // Half of the last digit of both currents, twice for the square.
        let digits = |cell: &published::Cell| cell.number::<f32>("last_digit") / cell.value();
        let tolerance = digits(slow) + digits(fast) + 0.002;
        let deviation = found.as_seconds() / fast.number::<f32>("time_s") - 1.0;
        assert!(deviation.abs() < tolerance, "{slow:?}: {deviation}");
        wires += 1;
    }
    assert_eq!(wires, 9);
}

#[test]
fn k_of_the_standard_is_what_a_strap_stands() {
    // IEC 60364-5-54 Tables A.54.2 to A.54.6, evidence per line. I2t = k2 S2 uses the
    // whole of what the strap stands. Tolerance: half of the last digit of k, twice.
    let mut compared = 0;
    for cell in published::read("iec60364_k.csv") {
        let metal = match cell.text("metal") {
            "copper" => StrapMetal::Copper,
            "aluminium" => StrapMetal::Aluminium,
            "steel" => StrapMetal::Steel,
            _ => continue,
        };
        let (start, end) = (
            degc(cell.number("start_degC")),
            degc(cell.number("end_degC")),
        );
        let section = ConductorArea::from_mm2(16.0).unwrap();
        let withstand = strap_withstand(metal, section, start, end).unwrap();
        let strap = Guarded::Metal {
            withstand,
            lasting: None,
        };
        let k = cell.value();
        let current = k * 16.0;
        let used = strap
            .used(amperes(current), seconds(1.0), a2s(current * current))
            .unwrap();
        assert!((used.share - 1.0).abs() < 1.1 / k, "{cell:?}: {used:?}");
        compared += 1;
    }
    assert!(compared > 20, "{compared} compared only");
}

fn build(mm2: f32) -> CableBuild {
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

#[test]
fn insulation_of_cross_linked_polyethylene_takes_up_what_iec_60949_tabulates() {
    // IEC 60949:1988, constants of copper in XLPE X = 0.41, Y = 0.12 (from memory):
    // eps2 = 1 + X sqrt(t/S) + Y t/S. Tolerance: half of the last digit of each.
    for mm2 in [16.0, 50.0, 120.0] {
        let build = build(mm2);
        let cable = Guarded::Cable(GuardedCable {
            build: &build,
            start: degc(90.0),
            short_limit: degc(250.0),
            overload_limit: degc(250.0),
            heat: &[],
            lasting: None,
        });
        let bare = adiabatic_withstand(
            build.metal,
            build.section,
            build.resistance_20,
            degc(90.0),
            degc(250.0),
        )
        .unwrap()
        .own_resistance;
        for time in [0.01_f32, 0.1, 1.0, 5.0, 20.0, 60.0] {
            let used = cable.used(amperes(1.0e4), seconds(time), bare).unwrap();
            let ratio = time / mm2;
            let printed = 1.0 + 0.41 * ratio.sqrt() + 0.12 * ratio;
            let tolerance = 0.005 * ratio.sqrt() + 0.005 * ratio + 1e-5;
            let found = 1.0 / used.share;
            assert!(
                (found - printed).abs() < tolerance,
                "{mm2} {time}: {found} {printed}"
            );
        }
    }
}
