//! Which way a voltage goes, as exactly as a tick needs it and as cheaply as it can be had:
//! no logarithm, no exponential function, a bounded number of steps.
//!
//! The closed forms of [`crate::link`] are what both are held to, by the tests below.

use super::tick::smaller;
use crate::limits::{Precharge, Standing};

/// `exp(-x)` of a number from zero on, at most 1.2e-4 too small and never more than rounding
/// too large: what decays is not believed to have less left than it has by more than that.
///
/// Computes: the first Padé approximant of a thirty-second of the way, to that power.
pub(super) fn decayed(x: f32) -> f32 {
    let part = x * (1.0 / 32.0);
    if part >= 2.0 {
        return 0.0;
    }
    let mut left = (2.0 - part) / (2.0 + part);
    for _ in 0..5 {
        left *= left;
    }
    left
}

/// Most steps of [`charged`]: eight for two time constants, one more for each voltage at
/// which a load starts; the rest for loads that shorten the time constant.
const MOST_STEPS: u8 = 40;

/// Longest step, in time constants.
const LONGEST_STEP: f32 = 0.25;

/// What the loads that draw at a voltage draw together, A, and how that grows with it, A/V.
#[inline(never)]
pub(super) fn drawn(standing: &[Standing], volts: f32, here: bool) -> (f32, f32) {
    let (mut amperes, mut per_volt) = (0.0, 0.0);
    for one in standing {
        if one.from_v < volts || here && one.from_v <= volts {
            match one.kind {
                0 => {
                    let own = one.amount / volts;
                    amperes += own;
                    per_volt -= own / volts;
                }
                1 => amperes += one.amount,
                _ => {
                    amperes += volts / one.amount;
                    per_volt += 1.0 / one.amount;
                }
            }
        }
    }
    (amperes, per_volt)
}

/// Voltage of a link that is charged from a source for so many seconds, while loads draw;
/// within 1 % of the source of what [`crate::link::ChargingCircuit::after`] gives, up to
/// two time constants. No number where a load draws constant power from no voltage on.
///
/// Computes: the implicit midpoint rule with the slope of the loads, which a load that
/// shortens the time constant does not upset; each step ends where a load starts or stops.
#[inline(never)]
pub(super) fn charged(
    one: &Precharge,
    standing: &[Standing],
    source: f32,
    start: f32,
    seconds: f32,
) -> f32 {
    let ohms = one.resistance_ohm;
    let mut left = seconds / (ohms * one.capacitance_f);
    let mut volts = start;
    for _ in 0..MOST_STEPS {
        let (mut amperes, mut per_volt) = drawn(standing, volts, true);
        let mut pull = source - volts - ohms * amperes;
        if pull < 0.0 {
            // Falling: a load that starts right here has stopped already.
            (amperes, per_volt) = drawn(standing, volts, false);
            pull = source - volts - ohms * amperes;
            if pull >= 0.0 {
                // It starts, pulls the voltage down, stops, and starts again.
                break;
            }
        }
        let stiff = 1.0 + ohms * per_volt;
        let mut step = LONGEST_STEP;
        let curved = 0.5 / libm::fabsf(stiff);
        step = smaller(curved, step);
        if per_volt < 0.0 {
            // Constant power draws less and less.
            step = smaller(0.25 * volts / libm::fabsf(pull), step);
        }
        step = smaller(left, step);
        let mut to = volts + step * pull / (1.0 + 0.5 * step * stiff);
        for load in standing {
            let from = load.from_v;
            if volts < from && from < to || to < from && from < volts {
                step = (from - volts) / (pull - 0.5 * stiff * (from - volts));
                to = from;
            }
        }
        volts = if to < 0.0 { 0.0 } else { to };
        left -= step;
        if left <= 0.0 {
            break;
        }
    }
    volts
}

#[cfg(test)]
#[allow(clippy::float_cmp)] // ends that are met exactly
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::design::Draw;
    use crate::limits::tests::sample;
    use crate::link::{ChargingCircuit, StandingLoad};
    use crate::quantity::{Capacitance, Current, Power, Resistance, Time, Voltage};

    /// The closed form.
    fn closed(
        one: &Precharge,
        standing: &[Standing],
        [source, start]: [f32; 2],
        seconds: f32,
    ) -> Option<f32> {
        let mut loads = std::vec::Vec::new();
        for one in standing {
            let draw = match one.kind {
                0 => Draw::Power(Power::from_watts(one.amount).ok()?),
                1 => Draw::Current(Current::from_amperes(one.amount).ok()?),
                _ => Draw::Resistance(Resistance::from_ohms(one.amount).ok()?),
            };
            let from = Voltage::from_volts(one.from_v).ok()?;
            loads.push(StandingLoad { draw, from });
        }
        let circuit = ChargingCircuit {
            source: Voltage::from_volts(source).ok()?,
            resistance: Resistance::from_ohms(one.resistance_ohm).ok()?,
            capacitance: Capacitance::from_farads(one.capacitance_f).ok()?,
            start: Voltage::from_volts(start).ok()?,
            loads: &loads,
        };
        let state = circuit.after(Time::from_seconds(seconds).ok()?).ok()?;
        Some(state.voltage.as_volts())
    }

    fn load() -> impl Strategy<Value = Standing> {
        prop_oneof![
            (1.0_f32..400.0, 50.0_f32..350.0).prop_map(|(amount, from_v)| (0, amount, from_v)),
            (0.0_f32..2.0, 0.0_f32..350.0).prop_map(|(amount, from_v)| (1, amount, from_v)),
            (20.0_f32..50_000.0, 0.0_f32..350.0).prop_map(|(amount, from_v)| (2, amount, from_v)),
        ]
        .prop_map(|(kind, amount, from_v)| Standing {
            kind,
            amount,
            from_v,
        })
    }

    #[test]
    fn without_a_load_it_is_the_exponential_function() {
        let one = sample().precharge[0];
        for step in 0..=20_u8 {
            let taus = 0.1 * f32::from(step);
            let volts = charged(&one, &[], 400.0, 40.0, 0.1 * taus);
            let exact = 400.0 - 360.0 * libm::expf(-taus);
            assert!((volts - exact).abs() < 0.8, "{taus} {volts} {exact}");
        }
    }

    #[test]
    fn a_load_that_cannot_be_fed_keeps_the_link_where_it_starts() {
        let one = sample().precharge[0];
        let heavy = Standing {
            kind: 0,
            amount: 2000.0,
            from_v: 200.0,
        };
        assert_eq!(charged(&one, &[heavy], 400.0, 0.0, 0.2), 200.0);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(2000))]

        #[test]
        fn it_is_what_the_closed_form_gives(
            standing in proptest::collection::vec(load(), 0..4),
            source in 60.0_f32..900.0,
            start in 0.0_f32..1.0,
            taus in 0.0_f32..2.0,
        ) {
            let one = sample().precharge[0];
            let seconds = taus * one.resistance_ohm * one.capacitance_f;
            let start = start * source;
            // Where constant power pulls a link down, the closed form has it down at once.
            let sum = |kind| -> f32 {
                standing.iter().filter(|load| load.kind == kind).map(|load| load.amount).sum()
            };
            let (power, rest) = (sum(0) * one.resistance_ohm, source - sum(1) * one.resistance_ohm);
            // Resistances beside it take their share of the voltage.
            let resistances = standing.iter().filter(|load| load.kind == 2);
            let siemens: f32 = resistances.map(|load| 1.0 / load.amount).sum();
            let share = 1.0 / (1.0 + one.resistance_ohm * siemens);
            // A quarter of what feeds it is the most that constant power can draw; half of
            // that leaves both, and its lower voltage lies well below where it starts.
            prop_assume!(rest > 0.0 && power <= 0.12 * rest * rest * share);
            let low = power / rest * 2.0;
            prop_assume!(standing.iter().all(|load| load.kind != 0 || load.from_v > low));
            if let Some(exact) = closed(&one, &standing, [source, start], seconds) {
                let volts = charged(&one, &standing, source, start, seconds);
                prop_assert!(
                    (volts - exact).abs() <= 1.0e-2 * source,
                    "{} for {}", volts, exact
                );
            }
        }

        #[test]
        fn what_decays_is_what_the_exponential_function_leaves(x in 0.0_f32..90.0) {
            let (left, exact) = (decayed(x), libm::expf(-x));
            prop_assert!(left <= exact + 1.0e-5 && left >= exact - 1.2e-4, "{} {}", left, exact);
        }
    }

    #[test]
    fn nothing_decays_before_it_begins() {
        assert_eq!(decayed(0.0), 1.0);
        assert_eq!(decayed(f32::INFINITY), 0.0);
        assert!(decayed(f32::NAN).is_nan());
    }
}
