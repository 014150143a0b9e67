//! The working of the heat balance of one cable in one place, as several answers show it.
//!
//! All values come from the core; here they are only put into words.

use orangeloom_core::conductor::cable::Cable;
use orangeloom_core::conductor::heat_balance::{HeatBalance, SteadyState};
use orangeloom_core::quantity::{Current, LinearPower, Temperature};
use orangeloom_core::standard::SourceId;

use crate::working::{Step, cite, n};

/// What the cable is built of, as far as the balance needs it; `source` is that of its
/// resistance.
pub(crate) fn build(cable: &Cable, source: SourceId) -> Vec<Step> {
    let build = cable.build();
    let mut steps = vec![
        Step {
            what: "resistance at 20 degC",
            equation: "R20 as printed, or rho20 / S times the strand's allowance",
            numbers: format!(
                "{} of {} mm2",
                build.metal.word(),
                n(build.section.as_mm2())
            ),
            result: format!("R20 = {} ohm/m", n(build.resistance_20.as_ohm_per_m())),
            source: cite(source),
        },
        Step {
            what: "thermal resistance of the insulation",
            equation: "T1 = ln(Di / dc) / (2 pi k)",
            numbers: format!(
                "ln({} / {}) / (2 pi {})",
                mm(cable.diameter_over_insulation().as_mm()),
                mm(build.conductor_diameter.as_mm()),
                n(build.insulation.conductivity.as_w_per_m_k())
            ),
            result: format!(
                "T1 = {} K m/W",
                n(cable.insulation_resistance().as_k_m_per_w())
            ),
            source: cite(SourceId::Iec60287),
        },
    ];
    steps.extend(jacket(cable));
    steps
}

fn jacket(cable: &Cable) -> Option<Step> {
    let jacket = cable.build().jacket?;
    Some(Step {
        what: "thermal resistance of the jacket",
        equation: "T3 = ln(Do / Ds) / (2 pi k)",
        numbers: format!(
            "ln({} / {}) / (2 pi {})",
            mm(cable.outer_diameter().as_mm()),
            mm(cable.diameter_over_shield().as_mm()),
            n(jacket.conductivity.as_w_per_m_k())
        ),
        result: format!("T3 = {} K m/W", n(cable.jacket_resistance().as_k_m_per_w())),
        source: cite(SourceId::Iec60287),
    })
}

/// A balance that has settled.
pub(crate) struct Settled<'a> {
    pub(crate) cable: &'a Cable,
    pub(crate) balance: &'a HeatBalance,
    pub(crate) state: &'a SteadyState,
    pub(crate) current: Current,
    pub(crate) air: Temperature,
    pub(crate) absorbed: LinearPower,
    /// What is said of the current, as in "temperature of the conductor ...".
    pub(crate) what: &'static str,
}

impl Settled<'_> {
    /// From the resistance to the temperature.
    pub(crate) fn steps(&self) -> Vec<Step> {
        let build = self.cable.build();
        let state = self.state;
        let (conductor, shield) = (
            state.conductor_loss.as_watts_per_m(),
            state.shield_loss.as_watts_per_m(),
        );
        let mut steps = vec![
            Step {
                what: "resistance at the working temperature",
                equation: "R = R20 kac [1 + a20 (Tc - 20)]",
                numbers: format!(
                    "a20 = {}, Tc = {} degC",
                    n(build.metal.temperature_coefficient_20().as_per_kelvin()),
                    n(state.conductor.as_degc())
                ),
                result: format!("R = {} ohm/m", n(state.resistance.as_ohm_per_m())),
                source: cite(SourceId::Iec60287Conductor),
            },
            Step {
                what: "heat of the conductor",
                equation: "qc = I^2 R",
                numbers: format!(
                    "{}^2 x {}",
                    n(self.current.as_amperes()),
                    n(state.resistance.as_ohm_per_m())
                ),
                result: format!("qc = {} W/m, shield {} W/m", n(conductor), n(shield)),
                source: cite(SourceId::OhmsLaw),
            },
        ];
        steps.extend(self.outside());
        steps.push(Step {
            what: self.what,
            equation: "Tc = Ts + T3 (qc + qs) + T1 qc",
            numbers: format!(
                "{} + {} x {} + {} x {}",
                n(state.surface.as_degc()),
                n(self.cable.jacket_resistance().as_k_m_per_w()),
                n(conductor + shield),
                n(self.cable.insulation_resistance().as_k_m_per_w()),
                n(conductor)
            ),
            result: format!(
                "Tc = {} degC in {} degC air",
                n(state.conductor.as_degc()),
                n(self.air.as_degc())
            ),
            source: cite(SourceId::Iec60287),
        });
        steps
    }

    fn outside(&self) -> Option<Step> {
        let heat = self.balance.outside_heat(self.state.surface).ok()?;
        Some(Step {
            what: "heat given off by the outside (equal to the heat produced)",
            equation: "q = f pi D [h (Ts - Ta) + eps sigma (Ts^4 - Tr^4)] - Wabs",
            numbers: format!(
                "{} x pi x {} x [{} x ({} - {}) + {}] - {}",
                n(heat.share_left),
                n(self.cable.outer_diameter().as_metres()),
                n(heat.convection_w_per_m2_k),
                n(self.state.surface.as_degc()),
                n(self.air.as_degc()),
                n(heat.radiation_w_per_m2),
                n(self.absorbed.as_watts_per_m())
            ),
            result: format!("q = {} W/m", n(heat.given_off.as_watts_per_m())),
            source: format!(
                "{}; {}",
                cite(SourceId::Iec60287),
                cite(SourceId::ChurchillChu)
            ),
        })
    }
}

fn mm(value: f32) -> String {
    format!("{} mm", n(value))
}
