//! The conductor's physics once more, in `f64` and written apart from the core.
//!
//! Other unknowns, other roots, other integration: the steady balance is solved for
//! the conductor temperature (the core: for the surface), the ampacity by searching
//! the current (the core: at the limit), the skin effect by the Bessel series (the
//! core: the equations of IEC 60287-1-1), the radial chain by an explicit rule with as
//! many cells as wanted (the core: an implicit one with 8 + 4).
//!
//! The equations come from the literature that the core's sources name, not from its
//! code. Where both would share a mistake of the literature this oracle is blind; the
//! published tables are for that.

use core::f64::consts::PI;

/// 0 degC in kelvin.
const ZERO: f64 = 273.15;

/// A cable and its place; SI units, temperatures in degC.
#[derive(Clone, Copy, Debug)]
pub struct Scene {
    /// Metal section, m2.
    pub section: f64,
    /// Resistance at 20 degC, ohm/m.
    pub r20: f64,
    /// Its temperature coefficient, 1/K.
    pub alpha: f64,
    /// Heat capacity of the metal, J/(m3 K).
    pub metal_capacity: f64,
    /// Diameter over the strands, m.
    pub conductor: f64,
    /// Insulation.
    pub insulation: Ring,
    /// Radial thickness of the shield and the area of its metal (copper), m and m2.
    pub shield: (f64, f64),
    /// Jacket; thickness zero for none.
    pub jacket: Ring,
    /// Emissivity of the outside.
    pub emissivity: f64,
    /// Air.
    pub air: f64,
    /// Surfaces around.
    pub radiant: f64,
    /// Height, m.
    pub altitude: f64,
    /// Absorbed radiation, W/m.
    pub absorbed: f64,
    /// Shield loss: fixed, W/m, and as a multiple of the conductor's.
    pub shield_loss: (f64, f64),
}

/// A wall of polymer.
#[derive(Clone, Copy, Debug)]
pub struct Ring {
    /// Thickness, m.
    pub thickness: f64,
    /// Thermal conductivity, W/(m K).
    pub conductivity: f64,
    /// Heat capacity, J/(m3 K).
    pub capacity: f64,
}

impl Scene {
    fn over_insulation(&self) -> f64 {
        self.conductor + 2.0 * self.insulation.thickness
    }

    fn over_shield(&self) -> f64 {
        self.over_insulation() + 2.0 * self.shield.0
    }

    fn outer(&self) -> f64 {
        self.over_shield() + 2.0 * self.jacket.thickness
    }

    fn resistance(&self, t: f64) -> f64 {
        self.r20 * (1.0 + self.alpha * (t - 20.0))
    }

    /// Heat given off per metre with the outside at `surface` degC.
    pub fn given_off(&self, surface: f64) -> f64 {
        let pressure = 101_325.0 * (1.0 - 2.255_77e-5 * self.altitude).powf(5.255_88);
        let film = surface.midpoint(self.air) + ZERO;
        let viscosity = 1.458e-6 * film.powf(1.5) / (film + 110.4);
        let conductivity =
            2.646_38e-3 * film.powf(1.5) / (film + 245.4 * 10.0_f64.powf(-12.0 / film));
        let kinematic = viscosity * 287.055 * film / pressure;
        let prandtl = 1007.0 * viscosity / conductivity;
        let diameter = self.outer();
        let grashof = 9.80665 / film * (surface - self.air).abs() * diameter.powi(3)
            / (kinematic * kinematic);
        let nusselt = (0.60
            + 0.387
                * (grashof * prandtl
                    / (1.0 + (0.559 / prandtl).powf(9.0 / 16.0)).powf(16.0 / 9.0))
                .powf(1.0 / 6.0))
        .powi(2);
        let convection = PI * nusselt * conductivity * (surface - self.air);
        let [hot, cold] = [surface, self.radiant].map(|t| (t + ZERO).powi(4));
        let radiation = PI * diameter * self.emissivity * 5.670_374_419e-8 * (hot - cold);
        convection + radiation - self.absorbed
    }

    /// Temperature of the surface and the heat that must leave it, with the conductor
    /// at `conductor` degC carrying `current`.
    fn outwards(&self, current: f64, conductor: f64) -> (f64, f64) {
        let own = current * current * self.resistance(conductor);
        let all = own * (1.0 + self.shield_loss.1) + self.shield_loss.0;
        let drop = |ring: &Ring, inner: f64| {
            (1.0 + 2.0 * ring.thickness / inner).ln() / (2.0 * PI * ring.conductivity)
        };
        let shield = conductor - own * drop(&self.insulation, self.conductor);
        (shield - all * drop(&self.jacket, self.over_shield()), all)
    }

    /// Conductor temperature at a constant current; `None` if it does not settle
    /// below 1000 degC.
    pub fn steady(&self, current: f64) -> Option<f64> {
        let surplus = |conductor: f64| {
            let (surface, heat) = self.outwards(current, conductor);
            if surface <= -ZERO {
                return -heat;
            }
            self.given_off(surface) - heat
        };
        let (mut low, mut high) = (self.air.min(self.radiant), 1000.0);
        if surplus(high) < 0.0 {
            return None;
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if surplus(middle) < 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        Some(high)
    }

    /// Current that brings the conductor to `limit`; zero if even none does too much.
    pub fn ampacity(&self, limit: f64) -> f64 {
        let holds = |current| self.steady(current).is_some_and(|t| t <= limit);
        let (mut low, mut high) = (0.0, 1.0e5);
        if !holds(low) {
            return 0.0;
        }
        for _ in 0..56 {
            let middle = 0.5 * (low + high);
            if holds(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    /// Conductor temperature after the last of `(current, seconds)`, from the air's
    /// temperature everywhere. `cells` in the insulation and in the jacket.
    ///
    /// Vertex-centred finite volumes, explicit midpoint rule, step half of what the
    /// stiffest node allows.
    pub fn warmed(&self, segments: &[(f64, f64)], cells: (usize, usize)) -> f64 {
        let chain = self.chain(cells);
        let mut rises = vec![0.0; chain.capacities.len()];
        for &(current, seconds) in segments {
            let stiffest = (0..chain.capacities.len())
                .map(|i| {
                    let inner = if i > 0 {
                        chain.conductances[i - 1]
                    } else {
                        0.0
                    };
                    // Outside: no surface here takes more than 60 W/(m2 K).
                    let outer = chain
                        .conductances
                        .get(i)
                        .copied()
                        .unwrap_or(60.0 * PI * self.outer());
                    chain.capacities[i] / (inner + outer)
                })
                .fold(f64::INFINITY, f64::min);
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a count
            let steps = (seconds / (0.5 * stiffest)).ceil() as u32;
            let length = seconds / f64::from(steps);
            for _ in 0..steps {
                let half = self.moved(&chain, &rises, &rises, current, 0.5 * length);
                rises = self.moved(&chain, &rises, &half, current, length);
            }
        }
        self.air + rises[0]
    }

    fn moved(
        &self,
        chain: &Chain,
        from: &[f64],
        slopes_at: &[f64],
        current: f64,
        length: f64,
    ) -> Vec<f64> {
        let last = from.len() - 1;
        let own = current * current * self.resistance(self.air + slopes_at[0]);
        (0..=last)
            .map(|i| {
                let mut heat = 0.0;
                if i == 0 {
                    heat += own;
                }
                if i == chain.shield {
                    heat += self.shield_loss.0 + self.shield_loss.1 * own;
                }
                if i > 0 {
                    heat += chain.conductances[i - 1] * (slopes_at[i - 1] - slopes_at[i]);
                }
                if i < last {
                    heat -= chain.conductances[i] * (slopes_at[i] - slopes_at[i + 1]);
                } else {
                    heat -= self.given_off(self.air + slopes_at[i]);
                }
                from[i] + length * heat / chain.capacities[i]
            })
            .collect()
    }

    fn chain(&self, cells: (usize, usize)) -> Chain {
        let mut chain = Chain {
            capacities: vec![self.section * self.metal_capacity],
            conductances: Vec::new(),
            shield: 0,
        };
        chain.add(&self.insulation, self.conductor / 2.0, cells.0);
        chain.shield = chain.conductances.len();
        *chain.capacities.last_mut().expect("a conductor") += self.shield.1 * self.metal_capacity;
        if self.jacket.thickness > 0.0 {
            chain.add(&self.jacket, self.over_shield() / 2.0, cells.1);
        }
        chain
    }
}

struct Chain {
    capacities: Vec<f64>,
    conductances: Vec<f64>,
    shield: usize,
}

impl Chain {
    #[allow(clippy::cast_precision_loss)] // few cells
    fn add(&mut self, ring: &Ring, inner: f64, cells: usize) {
        let radius = |k: f64| inner + ring.thickness * k / cells as f64;
        for cell in 0..cells {
            let k = cell as f64;
            let area = |a: f64, b: f64| PI * (radius(b).powi(2) - radius(a).powi(2));
            *self.capacities.last_mut().expect("a node") += ring.capacity * area(k, k + 0.5);
            self.capacities.push(ring.capacity * area(k + 0.5, k + 1.0));
            self.conductances
                .push(2.0 * PI * ring.conductivity / (radius(k + 1.0) / radius(k)).ln());
        }
    }
}

/// Resistance of a round wire at a frequency over that at direct current.
///
/// R/R' = Re[(z/2) J0(z)/J1(z)], z2 = -j x2, x2 = 8 pi f 1e-7/R' with R' in ohm/m, by
/// the power series; good for x up to 12.
pub fn skin_ratio(resistance: f64, hertz: f64) -> f64 {
    let quarter = 8.0 * PI * hertz * 1.0e-7 / resistance / 4.0;
    // Both series run in powers of w = -z2/4 = j x2/4: real and imaginary parts.
    let (mut term, mut j0, mut j1) = ((1.0, 0.0), (0.0, 0.0), (0.0, 0.0));
    for k in 0..120_u32 {
        let n = f64::from(k) + 1.0;
        j0 = (j0.0 + term.0, j0.1 + term.1);
        j1 = (j1.0 + term.0 / n, j1.1 + term.1 / n);
        term = (-term.1 * quarter / (n * n), term.0 * quarter / (n * n));
    }
    (j0.0 * j1.0 + j0.1 * j1.1) / (j1.0 * j1.0 + j1.1 * j1.1)
}
