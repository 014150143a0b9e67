//! The core against `f64` written apart from it, over random cables and places.

use orangeloom_core::conductor::cable::{Cable, CableBuild, ShieldLayer, Wall};
use orangeloom_core::conductor::heat_balance::{HeatBalance, ShieldLoss, Steady, Surroundings};
use orangeloom_core::conductor::skin::skin_increase;
use orangeloom_core::conductor::transient::RadialChain;
use orangeloom_core::quantity::{
    Altitude, Area, ConductorArea, Current, Density, Emissivity, Frequency, Length, LinearPower,
    LinearResistance, ShieldLossRatio, SkinConstant, Temperature, ThermalConductivity, Time,
    VolumetricHeatCapacity,
};
use orangeloom_core::standard::metal::Metal;
use orangeloom_tests::oracle::{Ring, Scene, skin_ratio};
use proptest::prelude::*;

fn wall(ring: &Ring) -> Wall {
    Wall {
        thickness: Length::from_metres(single(ring.thickness)).unwrap(),
        conductivity: ThermalConductivity::from_w_per_m_k(single(ring.conductivity)).unwrap(),
        heat_capacity: VolumetricHeatCapacity::from_j_per_m3_k(single(ring.capacity)).unwrap(),
        density: Density::from_kg_per_m3(1000.0).unwrap(),
    }
}

#[allow(clippy::cast_possible_truncation)] // the core takes f32; generators give f32
fn single(value: f64) -> f32 {
    value as f32
}

fn cable(scene: &Scene) -> Cable {
    let metal = if scene.alpha > 0.004 {
        Metal::Aluminium
    } else {
        Metal::Copper
    };
    Cable::new(CableBuild {
        metal,
        section: ConductorArea::from_m2(single(scene.section)).unwrap(),
        conductor_diameter: Length::from_metres(single(scene.conductor)).unwrap(),
        resistance_20: LinearResistance::from_ohm_per_m(single(scene.r20)).unwrap(),
        insulation: wall(&scene.insulation),
        shield: (scene.shield.0 > 0.0).then(|| ShieldLayer {
            thickness: Length::from_metres(single(scene.shield.0)).unwrap(),
            metal_area: Area::from_m2(single(scene.shield.1)).unwrap(),
            metal,
        }),
        jacket: (scene.jacket.thickness > 0.0).then(|| wall(&scene.jacket)),
        emissivity: Emissivity::from_fraction(single(scene.emissivity)).unwrap(),
    })
    .unwrap()
}

fn balance(scene: &Scene) -> HeatBalance {
    let surroundings = Surroundings {
        air: degc(scene.air),
        radiant: degc(scene.radiant),
        altitude: Altitude::from_metres(single(scene.altitude)).unwrap(),
        absorbed: LinearPower::from_watts_per_m(single(scene.absorbed)).unwrap(),
    };
    HeatBalance::new(&cable(scene), &surroundings)
        .unwrap()
        .with_shield_loss(ShieldLoss {
            fixed: LinearPower::from_watts_per_m(single(scene.shield_loss.0)).unwrap(),
            ratio: ShieldLossRatio::from_fraction(single(scene.shield_loss.1)).unwrap(),
        })
        .unwrap()
}

fn degc(value: f64) -> Temperature {
    Temperature::from_degc(single(value)).unwrap()
}

fn amperes(value: f64) -> Current {
    Current::from_amperes(single(value)).unwrap()
}

/// A number that `f32` holds exactly, so that both sides start from the same.
fn between(low: f32, high: f32) -> impl Strategy<Value = f64> {
    (low..high).prop_map(f64::from)
}

/// Half of the cases have none of it.
fn perhaps(low: f32, high: f32) -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), between(low, high)]
}

prop_compose! {
    fn build()(
        aluminium in any::<bool>(),
        mm2 in 1.5_f32..300.0,
        excess in 1.0_f32..1.15,
        fill in 0.6_f32..0.9,
        insulation in between(0.3e-3, 4.0e-3),
        shield in perhaps(0.2e-3, 1.0e-3),
        jacket in perhaps(0.3e-3, 4.0e-3),
        conductivity in (between(0.12, 0.5), between(0.12, 0.5)),
        capacity in (between(1.2e6, 3.0e6), between(1.2e6, 3.0e6)),
        emissivity in between(0.05, 1.0),
    ) -> Scene {
        // IEC 60287-1-1 and IEC 60949 as in the core's tables.
        let (rho, alpha, metal_capacity) = if aluminium {
            (2.8264e-8, 0.00403, 2.5e6)
        } else {
            (1.7241e-8, 0.00393, 3.45e6)
        };
        let section = f64::from(mm2) * 1.0e-6;
        let r20 = f64::from(single(rho * f64::from(excess) / section));
        let conductor = (section * 4.0 / core::f64::consts::PI / f64::from(fill)).sqrt();
        let inner = conductor + 2.0 * insulation;
        // Wires fill about half of the shield's ring.
        let shield_metal = 0.5 * core::f64::consts::PI * (inner + shield) * shield;
        Scene {
            section, r20, alpha, metal_capacity,
            conductor: f64::from(single(conductor)),
            insulation: Ring {
                thickness: insulation, conductivity: conductivity.0, capacity: capacity.0,
            },
            shield: (shield, shield_metal),
            jacket: Ring {
                thickness: jacket, conductivity: conductivity.1, capacity: capacity.1,
            },
            emissivity,
            air: 40.0, radiant: 40.0, altitude: 0.0, absorbed: 0.0, shield_loss: (0.0, 0.0),
        }
    }
}

prop_compose! {
    fn scene()(
        build in build(),
        air in between(-40.0, 120.0),
        warmer in perhaps(-30.0, 100.0),
        altitude in between(-400.0, 10_000.0),
        absorbed in perhaps(0.0, 20.0),
        fixed in perhaps(0.0, 10.0),
        ratio in perhaps(0.0, 1.5),
    ) -> Scene {
        Scene {
            air, radiant: f64::from(single(air + warmer)), altitude, absorbed,
            shield_loss: (fixed, ratio), ..build
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn ampacity(scene in scene(), limit in between(70.0, 250.0)) {
        // f32 resolves a temperature of 100 degC to 8e-6 K: of a rise of 0.3 K that is more
        // than the tolerance below, of 5 K it is a tenth of it.
        prop_assume!(limit - scene.air >= 5.0);
        let exact = scene.ampacity(limit);
        match balance(&scene).current_at(degc(limit)).unwrap() {
            Some(current) => {
                // 1e-5 of the current, which is 2e-5 of the heat. Where sun, shield and
                // hot surfaces bring most of what the surface gives off, the conductor's
                // share is the small difference of two larger heats, and 2e-5 is of those.
                let undisturbed = Scene {
                    radiant: scene.air, absorbed: 0.0, shield_loss: (0.0, 0.0), ..scene
                }.ampacity(limit);
                let current = f64::from(current.as_amperes());
                let heat = (current * current - exact * exact).abs();
                let whole = exact.max(undisturbed).powi(2);
                prop_assert!(heat <= 2.0e-5 * whole, "{current} {exact} {undisturbed}");
            }
            // Nothing left: the oracle has nothing or next to nothing.
            None => prop_assert!(exact < 0.5, "{exact}"),
        }
    }

    #[test]
    fn steady_temperature(scene in scene(), limit in between(70.0, 400.0), share in 0.0_f64..1.0) {
        // A current that leads anywhere from nothing to beyond the limit.
        let current = f64::from(single(1.1 * share * scene.ampacity(limit)));
        let exact = scene.steady(current);
        match (balance(&scene).temperature_at(amperes(current)).unwrap(), exact) {
            (Steady::Settles(state), Some(exact)) => {
                let rise = exact - scene.air;
                let deviation = f64::from(state.conductor.as_degc()) - exact;
                // 2e-5 of the rise. Under 1 K of rise, 2e-5 K; the surface is found to one
                // unit in the last place of its temperature in degC, and it radiates at its
                // temperature in kelvin, rounded by half a unit.
                let surface = f64::from(state.surface.as_degc());
                let place = (surface.abs() + 0.5 * (surface + 273.15)) * f64::from(f32::EPSILON);
                let tolerance = 2.0e-5 * rise.abs().max(1.0) + place;
                prop_assert!(deviation.abs() <= tolerance, "{deviation} of {rise}");
            }
            (Steady::NoSteadyState, None) => {}
            // On the edge of 1000 degC the two may differ.
            (other, exact) => prop_assert!(
                exact.is_some_and(|t| t > 999.9), "{other:?} {exact:?}"
            ),
        }
    }

    #[test]
    fn a_long_time_settles(
        scene in scene(), limit in between(130.0, 900.0), decades in 5.6_f64..9.0,
    ) {
        // 10^5.6 s are more than 40 time constants of the thickest cable here.
        let current = scene.ampacity(limit);
        let chain = RadialChain::new(&cable(&scene), &balance(&scene));
        let seconds = Time::from_seconds(single(10.0_f64.powf(decades))).unwrap();
        let cold = chain.settled(amperes(0.0)).unwrap().unwrap();
        let end = chain.advance(&cold, amperes(current), seconds);
        let end = f64::from(chain.conductor(&end).unwrap().as_degc());
        // f32 over up to 170 steps; the hotter, the weaker the pull back to the balance.
        prop_assert!(current <= 0.0 || (end - limit).abs() < 0.05, "{end} {limit}");
    }

    #[test]
    fn no_steady_state_is_found_by_both(scene in scene(), factor in 1.0_f64..3.0) {
        // The current that leads to 1000 degC or runs away, found by the oracle.
        let last = scene.ampacity(999.9);
        let core = balance(&scene).temperature_at(amperes(last * 1.01 * factor)).unwrap();
        prop_assert_eq!(core, Steady::NoSteadyState);
        let below = balance(&scene).temperature_at(amperes(last * 0.99 / factor)).unwrap();
        prop_assert!(matches!(below, Steady::Settles(_)));
    }

    #[test]
    fn skin_effect(ohm in 2.0e-5_f32..1.0e-2, x in 0.0_f64..8.0) {
        let hertz = single(x * x * f64::from(ohm) / (8.0e-7 * core::f64::consts::PI));
        prop_assume!(hertz < 1.0e6);
        let exact = skin_ratio(f64::from(ohm), f64::from(hertz));
        let core = 1.0 + f64::from(skin_increase(
            LinearResistance::from_ohm_per_m(ohm).unwrap(),
            Frequency::from_hertz(hertz).unwrap(),
            SkinConstant::from_fraction(1.0).unwrap(),
        ));
        // +0.57 % and -0.29 %: what the core's documentation promises.
        prop_assert!((-0.0029..0.0057).contains(&(core / exact - 1.0)), "{core} {exact}");
    }
}

proptest! {
    // Explicit integration of a stiff chain takes its time.
    #![proptest_config(ProptestConfig::with_cases(16))]

    #[test]
    #[allow(clippy::cast_precision_loss)] // a dozen cells
    fn the_same_cells(
        build in build(), share in 0.2_f64..4.0, seconds in between(0.5, 100.0),
        loss in (perhaps(0.0, 5.0), perhaps(0.0, 0.5)),
    ) {
        let scene = Scene { shield_loss: loss, ..build };
        let cells = if scene.jacket.thickness > 0.0 { (8, 4) } else { (12, 0) };
        prop_assume!(equal_cells(&scene, cells));
        let (core, exact) = both(&scene, share, seconds, cells)?;
        // Integration in time alone: 0.1 K.
        prop_assert!((core - exact).abs() < 0.1, "{core} {exact}");
    }

    #[test]
    fn many_more_cells(build in build(), share in 0.2_f64..1.5, seconds in between(60.0, 300.0)) {
        let cells = if build.jacket.thickness > 0.0 { (16, 8) } else { (24, 0) };
        let (core, exact) = both(&build, share, seconds, cells)?;
        // Graded cells: the 1.2 % of the rise that `transient` states for thick walls; once
        // a jacket of 3.6 mm on 1.5 mm2 was 0.44 K low of 41 K.
        let core_cells = if build.jacket.thickness > 0.0 { (8, 4) } else { (12, 0) };
        let allowed = if equal_cells(&build, core_cells) {
            0.1
        } else {
            (0.012 * (exact - build.air)).max(0.1)
        };
        prop_assert!((core - exact).abs() < allowed, "{core} {exact}");
    }
}

/// Whether the core's cells are equal, as those of the oracle are: thicker ones are graded.
#[allow(clippy::cast_precision_loss)] // a dozen cells
fn equal_cells(scene: &Scene, (insulation, jacket): (usize, usize)) -> bool {
    let equal = |wall: f64, count: usize| count == 0 || wall / count as f64 <= 0.4e-3;
    equal(scene.insulation.thickness, insulation) && equal(scene.jacket.thickness, jacket)
}

/// Conductor temperature of core and oracle after a step to `share` of the ampacity.
fn both(
    scene: &Scene,
    share: f64,
    seconds: f64,
    cells: (usize, usize),
) -> Result<(f64, f64), TestCaseError> {
    let current = f64::from(single(share * scene.ampacity(125.0)));
    let exact = scene.warmed(&[(current, seconds)], cells);
    // Above that no polymer is left and the resistance law has ended.
    prop_assume!(exact < 400.0);
    let chain = RadialChain::new(&cable(scene), &balance(scene));
    let cold = RadialChain::new(
        &cable(scene),
        &balance(&Scene {
            shield_loss: (0.0, 0.0),
            ..*scene
        }),
    )
    .settled(amperes(0.0))
    .unwrap()
    .unwrap();
    let end = chain.advance(
        &cold,
        amperes(current),
        Time::from_seconds(single(seconds)).unwrap(),
    );
    Ok((f64::from(chain.conductor(&end).unwrap().as_degc()), exact))
}
