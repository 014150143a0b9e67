//! The two heat capacities that stand for a radial chain, never colder than it.
//!
//! What is known is kept: the way for heat from conductor to surface, the heat capacities,
//! and a surface that gives off no more than the balance says, by three straight lines below
//! its curve. What is chosen is how much of the insulation warms with the conductor, the
//! less the hotter in an overload, and how much cools with it, the more the slower. The
//! first choice is taken with which no case of [`Proof`] is colder than the chain.

use super::sections::Circuit;
use crate::conductor::cable::Cable;
use crate::conductor::heat_balance::HeatBalance;
use crate::conductor::transient::{RadialChain, ThermalState};
use crate::error::Error;
use crate::monitor::warmth::Warmth;
use crate::quantity::{Current, Temperature, Time};

/// A fitted conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Fitted {
    /// What the controller reckons with.
    pub circuit: Circuit,
    /// How much colder than the chain it was in the worst case, K; not above zero.
    pub optimism_k: f32,
    /// How much hotter, up to the limit.
    pub pessimism_k: f32,
}

/// Shares of what lies outside the conductor that warm with it, tried in this order.
const WARMING_SHARES: [f32; 6] = [0.2, 0.1, 0.05, 0.02, 0.0, -0.02];

/// Shares of it that cool with the conductor, tried for each of them.
const COOLING_SHARES: [f32; 6] = [0.3, 0.45, 0.6, 0.8, 1.1, 1.6];

/// How much less than the balance says is given off: rounding, and slopes by differences.
const LESS: f32 = 0.995;

/// How far above its surroundings a conductor without current is reckoned, K.
const ABOVE_K: f32 = 0.05;

/// Smallest time constant of the conductor against its surface, s.
const SHORTEST_S: f32 = 1.0;

/// Fits the model of a conductor to its chain.
///
/// Inputs: the cable; its balance as installed; its temperature class; the temperature to
/// start from. Result: `None` where the surroundings alone reach the class, or no choice
/// stays on the safe side. The channel is left at zero.
///
/// Bound: 36 choices of 10 currents from 2 states, 15 moments each. For a host.
///
/// # Errors
/// Those of the balance and the chain.
#[cfg(feature = "text")] // for a host
pub fn fit(
    cable: &Cable,
    balance: &HeatBalance,
    limit: Temperature,
    start: Temperature,
) -> Result<Option<Fitted>, Error> {
    let chain = RadialChain::new(cable, balance);
    let Some(largest) = balance.current_at(limit)? else {
        return Ok(None);
    };
    let Some(bare) = bare(&chain, balance, limit, start) else {
        return Ok(None);
    };
    let proof = Proof {
        chain: &chain,
        air: balance.air,
        limit,
        largest: largest.as_amperes(),
    };
    let (first, all) = chain.heat_capacities();
    let rest = all - first;
    for warming in WARMING_SHARES {
        for cooling in COOLING_SHARES {
            let mut circuit = bare;
            circuit.inner_j_per_m_k = (first + warming * rest).max(0.5 * first);
            circuit.cooling_j_per_m_k = first + cooling * rest;
            circuit.outer_j_per_m_k = (1.0 - warming.max(0.0)) * rest;
            let slowest = circuit.inner_j_per_m_k / SHORTEST_S;
            circuit.inner_w_per_m_k = bare.inner_w_per_m_k.min(slowest);
            let (optimism_k, pessimism_k, cooled) = proof.compare(&circuit)?;
            if optimism_k > 0.0 && !cooled {
                // More that cools with it does not help while it warms.
                break;
            }
            if optimism_k <= 0.0 {
                return Ok(Some(Fitted {
                    circuit,
                    optimism_k,
                    pessimism_k,
                }));
            }
        }
    }
    Ok(None)
}

/// Everything but the heat capacities.
fn bare(
    chain: &RadialChain,
    balance: &HeatBalance,
    limit: Temperature,
    start: Temperature,
) -> Option<Circuit> {
    let air = balance.air;
    let at_air = balance.given_off(air);
    let off = |rise: f32| (balance.given_off(air + rise) - at_air) * LESS;
    let span = limit.as_degc() - air;
    if span.is_nan() || span <= 1.0 {
        return None;
    }
    let ratio = 1.0 + balance.shield_ratio;
    let heat = balance.resistance_at(air);
    let mut circuit = Circuit {
        channel: 0,
        air_degc: air,
        limit_degc: limit.as_degc(),
        start_degc: start.as_degc().max(air),
        heat_ohm_per_m: heat * ratio,
        growth_per_k: balance.r20 * balance.alpha / heat,
        added_w_per_m: balance.shield_fixed - at_air.min(0.0),
        inner_j_per_m_k: 1.0,
        cooling_j_per_m_k: 1.0,
        outer_j_per_m_k: 1.0,
        inner_w_per_m_k: chain.conductance() * LESS,
        off_w_per_m_k: [0.0; 3],
        off_w_per_m: [0.0; 3],
    };
    // Lines through the curve at no rise, and along it at a fifth and seven tenths of the
    // way to the limit, each lowered until it lies below the curve all the way.
    for (place, share) in [0.02, 0.2, 0.7].into_iter().enumerate() {
        let at = share * span;
        let slope = (off(1.05 * at) - off(0.95 * at)) / (0.1 * at);
        let mut less = if place == 0 {
            0.0
        } else {
            slope * at - off(at)
        };
        let mut slope = slope;
        for step in 1..=200_u8 {
            let rise = span * 0.01 * f32::from(step);
            if place == 0 {
                slope = slope.min(off(rise) / rise);
            } else {
                less = less.max(slope * rise - off(rise));
            }
        }
        if let (Some(a), Some(b)) = (
            circuit.off_w_per_m_k.get_mut(place),
            circuit.off_w_per_m.get_mut(place),
        ) {
            (*a, *b) = (slope, less.max(0.0));
        }
    }
    // A little heat that is not there, so that rounding makes nothing colder.
    let [slope, ..] = circuit.off_w_per_m_k;
    circuit.added_w_per_m += ABOVE_K * slope;
    Some(circuit)
}

/// Overloads against the chain.
struct Proof<'a> {
    chain: &'a RadialChain,
    air: f32,
    limit: Temperature,
    /// The current that leads to the limit, A.
    largest: f32,
}

/// Currents, as multiples of the one that leads to the limit.
const MULTIPLES: [f32; 10] = [0.0, 0.4, 0.7, 0.9, 1.0, 1.2, 1.6, 2.5, 4.0, 8.0];

/// Moments at which the temperatures are compared, s.
const MOMENTS: [f32; 15] = [
    1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 960.0, 1920.0, 3840.0, 7680.0,
    28_800.0,
];

/// Pulses of twice that current and the rests between them, s.
const PULSES: [[f32; 2]; 3] = [[5.0, 30.0], [20.0, 120.0], [60.0, 240.0]];

impl Proof<'_> {
    /// How much colder, and how much hotter, the model is in the worst case; and whether
    /// that came while it cooled.
    fn compare(&self, circuit: &Circuit) -> Result<(f32, f32, bool), Error> {
        let mut worst = (f32::NEG_INFINITY, 0.0);
        // Warming first: it decides on its own.
        for cools in [false, true] {
            for before in [0.0, 0.8] {
                let settled = self.chain.settled(self.amperes(before)?)?;
                let Some(state) = settled else { continue };
                let mut warmth = Warmth::level(0.0);
                self.advance(&mut warmth, circuit, before, 86_400.0, 0.0);
                for multiple in MULTIPLES {
                    if (multiple < before) != cools {
                        continue;
                    }
                    self.follow(circuit, (state, warmth), multiple, &mut worst)?;
                    if worst.0 > 0.0 {
                        return Ok((worst.0, worst.1, cools));
                    }
                }
            }
        }
        self.pulses(circuit, &mut worst)?;
        Ok((worst.0, worst.1, true))
    }

    /// Pulses with rests between them, from cold.
    fn pulses(&self, circuit: &Circuit, worst: &mut (f32, f32)) -> Result<(), Error> {
        for [pulse_s, rest_s] in PULSES {
            let Some(mut state) = self.chain.settled(self.amperes(0.0)?)? else {
                continue;
            };
            let mut warmth = Warmth::level(0.0);
            for _ in 0..12 {
                for (multiple, seconds) in [(2.0, pulse_s), (0.3, rest_s)] {
                    let current = self.amperes(multiple)?;
                    state = self
                        .chain
                        .advance(&state, current, Time::from_seconds(seconds)?);
                    self.advance(&mut warmth, circuit, multiple, seconds, 0.0);
                    if !self.take(&state, warmth, worst) {
                        break;
                    }
                }
            }
        }
        Ok(())
    }

    /// Compares; whether it is still cool enough to go on.
    fn take(&self, state: &ThermalState, warmth: Warmth, worst: &mut (f32, f32)) -> bool {
        let Ok(truth) = self.chain.conductor(state) else {
            return false;
        };
        let (truth, model) = (truth.as_degc(), self.air + warmth.inner);
        worst.0 = worst.0.max(truth - model);
        let limit = self.limit.as_degc();
        if truth <= limit {
            // Beyond twice the limit it no longer matters how much too hot it is.
            worst.1 = worst.1.max(model.min(2.0 * limit) - truth);
        }
        truth <= limit + 60.0
    }

    fn amperes(&self, multiple: f32) -> Result<Current, Error> {
        Current::from_amperes(multiple * self.largest)
    }

    /// One current from one state on, until it has settled or is far too hot.
    fn follow(
        &self,
        circuit: &Circuit,
        (mut state, mut warmth): (ThermalState, Warmth),
        multiple: f32,
        worst: &mut (f32, f32),
    ) -> Result<(), Error> {
        let current = self.amperes(multiple)?;
        let mut elapsed = 0.0;
        for moment in MOMENTS {
            let more = moment - elapsed;
            state = self
                .chain
                .advance(&state, current, Time::from_seconds(more)?);
            self.advance(&mut warmth, circuit, multiple, more, elapsed);
            elapsed = moment;
            if !self.take(&state, warmth, worst) {
                break;
            }
        }
        Ok(())
    }

    /// The model as the controller steps it; later in steps that are still short beside
    /// its time constants.
    fn advance(
        &self,
        warmth: &mut Warmth,
        circuit: &Circuit,
        multiple: f32,
        seconds: f32,
        since: f32,
    ) {
        let amperes = multiple * self.largest;
        let fastest =
            circuit.inner_j_per_m_k.min(circuit.outer_j_per_m_k) / circuit.inner_w_per_m_k;
        let (mut left, mut elapsed) = (seconds, since);
        for _ in 0..MOST_STEPS {
            let step = (0.02 * elapsed).min(0.1 * fastest).max(STEP_S).min(left);
            warmth.step(circuit, amperes * amperes, step);
            left -= step;
            elapsed += step;
            if left <= 0.0 {
                break;
            }
        }
    }
}

/// Step of the controller, s.
const STEP_S: f32 = 0.1;
/// A day in steps of a tenth of a second.
const MOST_STEPS: u32 = 864_000;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conductor::cable::{CableBuild, ShieldLayer, Wall};
    use crate::conductor::heat_balance::tests::surroundings;
    use crate::quantity::{Area, ConductorArea, Emissivity, Length, LinearResistance};
    use crate::standard::insulation::Compound;
    use crate::standard::metal::Metal;
    use core::f32::consts::PI;
    use proptest::prelude::*;

    /// Copper, 1.3 mm of insulation; with a shield that fills half of its 0.5 mm and a
    /// jacket, or without.
    fn cable(mm2: f32, ohm_per_km: f32, shielded: bool) -> Cable {
        let wall = |mm: f32, compound: Compound| Wall {
            thickness: Length::from_mm(mm).unwrap(),
            conductivity: compound.thermal_conductivity(),
            heat_capacity: compound.heat_capacity(),
            density: compound.density(),
        };
        let conductor = libm::sqrtf(mm2 * 4.0 / PI / 0.7);
        let shield = 0.5 * 0.5 * PI * (conductor + 2.0 * 1.3 + 0.5);
        Cable::new(CableBuild {
            metal: Metal::Copper,
            section: ConductorArea::from_mm2(mm2).unwrap(),
            conductor_diameter: Length::from_mm(conductor).unwrap(),
            resistance_20: LinearResistance::from_ohm_per_km(ohm_per_km).unwrap(),
            insulation: wall(1.3, Compound::Xlpe),
            shield: shielded.then(|| ShieldLayer {
                thickness: Length::from_mm(0.5).unwrap(),
                metal_area: Area::from_mm2(shield).unwrap(),
                metal: Metal::Copper,
            }),
            jacket: shielded.then(|| wall(1.5, Compound::Pvc)),
            emissivity: Emissivity::from_fraction(0.9).unwrap(),
        })
        .unwrap()
    }

    fn fitted(mm2: f32, ohm_per_km: f32, shielded: bool, [air, limit]: [f32; 2]) -> Fitted {
        let cable = cable(mm2, ohm_per_km, shielded);
        let balance = HeatBalance::new(&cable, &surroundings(air)).unwrap();
        let [limit, start] = [limit, air].map(|degc| Temperature::from_degc(degc).unwrap());
        fit(&cable, &balance, limit, start).unwrap().unwrap()
    }

    /// Fits for common sections; shows with `--nocapture` how far they are off.
    #[test]
    fn common_cables_are_never_reckoned_colder_and_not_much_hotter() {
        let mut worst = 0.0_f32;
        for (mm2, ohm_per_km) in [
            (2.5, 7.98),
            (6.0, 3.39),
            (16.0, 1.24),
            (35.0, 0.565),
            (70.0, 0.277),
            (120.0, 0.164),
        ] {
            for climate in [[40.0, 125.0], [60.0, 150.0]] {
                for shielded in [true, false] {
                    let one = fitted(mm2, ohm_per_km, shielded, climate);
                    std::println!(
                        "{mm2} mm2 shielded {shielded} {climate:?}: {} {}",
                        one.optimism_k,
                        one.pessimism_k
                    );
                    assert!(one.optimism_k <= 0.0);
                    assert!(mm2 < 35.0 || one.pessimism_k < 30.0);
                    worst = worst.max(one.pessimism_k);
                }
            }
        }
        // What is lost at short overloads by leaving the insulation out: most for thin
        // conductors in thick walls.
        assert!(worst < 75.0, "{worst}");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(6))]

        #[test]
        fn random_cables_are_never_reckoned_colder(
            mm2 in 2.5_f32..240.0,
            air in -20.0_f32..70.0,
            span in 30.0_f32..120.0,
            shielded: bool,
        ) {
            let one = fitted(mm2, 19.5 / mm2, shielded, [air, air + span]);
            prop_assert!(one.optimism_k <= 0.0);
            prop_assert!(one.pessimism_k < 100.0, "{}", one.pessimism_k);
        }
    }
}
