//! What each load draws in a phase.

use super::battery::System;
use super::drawn::Systems;
use super::finding::Gap;
use super::index::{LoadId, PhaseId};
use super::load::{Converter, Draw, Load, Role};
use super::model::Design;
use super::operation::PhaseDraw;
use crate::error::Error;
use crate::quantity::{Current, Power, Resistance, Share};

/// A draw, or why it is not known.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_enums)] // known or not
pub enum Demand {
    /// This.
    Draws(Draw),
    /// It draws something, but this is missing.
    Unknown(Gap),
}

impl Draw {
    /// Computes: the mean of a draw that is there for a share of the time.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] when a resistance so rarely switched on leaves its bounds.
    pub fn part_time(self, share: Share) -> Result<Self, Error> {
        let part = share.as_fraction();
        if part <= 0.0 {
            return Ok(Self::NOTHING);
        }
        Ok(match self {
            Self::Power(power) => Self::Power(Power::from_watts(power.as_watts() * part)?),
            Self::Current(current) => {
                Self::Current(Current::from_amperes(current.as_amperes() * part)?)
            }
            Self::Resistance(resistance) => {
                Self::Resistance(Resistance::from_ohms(resistance.as_ohms() / part)?)
            }
        })
    }

    /// Computes: the power at a voltage: P, U I or U2/R.
    fn watts_at(self, volts: f32) -> f32 {
        match self {
            Self::Power(power) => power.as_watts(),
            Self::Current(current) => volts * current.as_amperes(),
            Self::Resistance(resistance) => volts * volts / resistance.as_ohms(),
        }
    }
}

impl Design {
    /// Computes: what a load draws in a phase.
    ///
    /// In this order: what the phase says; for the input of a converter the mean
    /// power of the loads on its output over its efficiency; for a consumer with
    /// a duty share that share of its rated draw; its idle draw. A charging
    /// source that the phase does not name delivers nothing.
    ///
    /// # Errors
    /// Those of [`Draw::part_time`]; [`Error::OutOfRange`] for a power beyond its bounds.
    pub fn demand(&self, phase: PhaseId, load: LoadId, systems: &Systems) -> Result<Demand, Error> {
        if let Some(draw) = self.draw_in(phase, load) {
            return Ok(Demand::Draws(draw));
        }
        let mut converters = self.all::<Converter>();
        if let Some((_, converter)) = converters.find(|(_, c)| c.input == load) {
            return self.converter_demand(phase, converter, systems);
        }
        self.unasked(load)
    }

    /// What the phase says that a load draws.
    pub(crate) fn draw_in(&self, phase: PhaseId, load: LoadId) -> Option<Draw> {
        self.all::<PhaseDraw>()
            .map(|(_, said)| *said)
            .find(|said| said.phase == phase && said.load == load)
            .map(|said| said.draw)
    }

    /// The share of the time that a load works in a phase that does not name it; `None` for
    /// one that is on all the time, or never.
    pub(crate) fn time_share(&self, phase: PhaseId, id: LoadId) -> Option<Share> {
        let load = self.get(id)?;
        let part = |share: &Share| share.as_fraction() > 0.0 && share.as_fraction() < 1.0;
        let share = load.duty_share.filter(part)?;
        let converted = self.all::<Converter>().any(|(_, c)| c.input == id);
        let named = self.draw_in(phase, id).is_some();
        (load.role == Role::Consumer && !converted && !named).then_some(share)
    }

    /// Whether nothing says when a load works: no phase names it and no share of the time is
    /// stated. That it never draws anything would be a guess; only one that is rated at nothing
    /// does.
    pub(crate) fn never_says_when(&self, id: LoadId) -> bool {
        let Some(load) = self.get(id) else {
            return false;
        };
        load.rated.is_none_or(|rated| !rated.is_nothing())
            && load.duty_share.is_none()
            && !self.all::<Converter>().any(|(_, c)| c.input == id)
            && !self.all::<PhaseDraw>().any(|(_, said)| said.load == id)
    }

    /// What a load draws where no phase asks for anything.
    fn unasked(&self, load: LoadId) -> Result<Demand, Error> {
        let Some(load) = self.get(load) else {
            return Ok(Demand::Unknown(Gap::Draw));
        };
        Ok(match (load.role, load.duty_share, load.rated, load.idle) {
            (Role::Consumer, Some(share), Some(rated), _) => Demand::Draws(rated.part_time(share)?),
            (Role::Consumer, Some(_), None, _) => Demand::Unknown(Gap::Draw),
            (Role::ChargingSource, ..) => Demand::Draws(Draw::NOTHING),
            (_, _, _, Some(idle)) => Demand::Draws(idle),
            (_, _, _, None) => Demand::Unknown(Gap::IdleDraw),
        })
    }

    /// The power that a converter takes: that of every load on its output, at its
    /// output voltage, over its efficiency. Converters on one network share alike.
    /// Losses of the low-voltage conductors are left out.
    fn converter_demand(
        &self,
        phase: PhaseId,
        converter: &Converter,
        systems: &Systems,
    ) -> Result<Demand, Error> {
        let unknown = Ok(Demand::Unknown(Gap::ConverterDraw));
        let (Some(output), Some(efficiency)) = (converter.output, converter.efficiency) else {
            return unknown;
        };
        if efficiency.as_fraction() <= 0.0 {
            return unknown;
        }
        let mut watts = 0.0;
        for (id, load) in self.all::<Load>() {
            if systems.of(load.positive) != Some(System::LowVoltage)
                || !systems.together(load.positive, converter.positive)
            {
                continue;
            }
            let draw = match self.draw_in(phase, id) {
                Some(draw) => Demand::Draws(draw),
                None => self.unasked(id)?,
            };
            match draw {
                Demand::Draws(draw) => watts += draw.watts_at(output.as_volts()),
                // Whoever does not know the idle draw of a lamp is not kept from
                // the rest; a working one he has to know.
                Demand::Unknown(Gap::IdleDraw) => {}
                Demand::Unknown(_) => return unknown,
            }
        }
        let mut alike = 0.0;
        for (_, other) in self.all::<Converter>() {
            if systems.together(other.positive, converter.positive) {
                alike += 1.0;
            }
        }
        let input = watts / efficiency.as_fraction() / libm::fmaxf(alike, 1.0);
        let power = Power::from_watts(input)?;
        Ok(Demand::Draws(Draw::Power(power)))
    }
}
