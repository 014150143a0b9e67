//! What one section does, judged limit by limit.

use heapless::Vec;

use super::question::{MAX_PEAKS, MAX_PIECES, Peak, Piece, Question};
use super::series::Conductor;
use crate::bounds::Bounded;
use crate::conductor::cable::Cable;
use crate::conductor::generic::{VoltageClass, generic_build};
use crate::conductor::heat_balance::{HeatBalance, Steady, SteadyState};
use crate::conductor::installation::CurrentShare;
use crate::conductor::lug::{Joint, joint_temperature};
use crate::conductor::transient::RadialChain;
use crate::conductor::withstand::{Withstand, adiabatic_withstand};
use crate::error::{Capacity, Error, Inconsistency};
use crate::quantity::{
    Current, CurrentMargin, Length, LinearPower, Temperature, ThermalConductance,
    ThermalConductivity, Time, Voltage,
};
use crate::standard::SourceId;
use crate::verdict::{Judged, Side, Verdict};

/// Most limits of one candidate: steady, every peak, drop, short circuit, terminal.
pub const MAX_LIMITS: usize = 4 + MAX_PEAKS;

/// Names a limit of a candidate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum LimitName {
    /// Conductor temperature at the continuous current, with margin, degC.
    SteadyTemperature,
    /// Conductor temperature at the end of a peak (counted from 0), with margin, degC.
    PeakTemperature(u8),
    /// Drop over the loop at the continuous current, % of the voltage.
    VoltageDrop,
    /// Joule integral of the short circuit, A2s.
    ShortCircuit,
    /// Temperature at the terminal, joint included, with margin, degC.
    TerminalTemperature,
}

/// What one piece of the route does to the conductor.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PieceResult {
    /// The balance as installed.
    pub balance: HeatBalance,
    /// Share of the free-air current; `None` when the surroundings leave nothing.
    pub share: Option<CurrentShare>,
    /// Current it carries at the insulation limit, without margin; `None` when the
    /// surroundings leave nothing.
    pub ampacity: Option<Current>,
    /// State at the continuous current.
    pub steady: Steady,
    /// State at the continuous current divided by the margin.
    pub steady_with_margin: Steady,
}

/// What a peak does.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct PeakResult {
    /// The peak.
    pub peak: Peak,
    /// Conductor temperature at its end, hottest piece; `None` when the current
    /// before it has no steady state or the conductor melts.
    pub temperature: Option<Temperature>,
    /// The same with both currents divided by the margin.
    pub temperature_with_margin: Option<Temperature>,
    /// Drop over the loop at the peak current and the temperature at its end.
    pub voltage_drop: Option<Voltage>,
}

/// One section, computed and judged.
#[derive(Clone, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Candidate {
    /// Which conductor.
    pub conductor: Conductor,
    /// The cable around it.
    pub cable: Cable,
    /// Piece by piece, in the order of the route.
    pub pieces: Vec<PieceResult, MAX_PIECES>,
    /// Index of the piece that becomes hottest.
    pub hottest: usize,
    /// Peak by peak, in the order of the question.
    pub peaks: Vec<PeakResult, MAX_PEAKS>,
    /// Lowest ampacity of all pieces; `None` when one leaves nothing.
    pub ampacity: Option<Current>,
    /// Drop over the loop at the continuous current and its working temperature.
    pub voltage_drop: Option<Voltage>,
    /// Heat per metre of one conductor and its shield where it is hottest.
    pub loss: Option<LinearPower>,
    /// Time constant of heating in the hottest piece, for the continuous current.
    pub time_constant: Option<Time>,
    /// What it stands in a short circuit that starts at the insulation limit.
    pub withstand: Withstand,
    /// Smallest fixed bend.
    pub bend_radius: Length,
    /// Every limit.
    pub limits: Vec<Judged<LimitName>, MAX_LIMITS>,
    /// The limit that leaves least room, and the share of it that is used.
    pub binding: Option<(LimitName, f32)>,
    /// The worst verdict of all limits.
    pub verdict: Verdict,
}

impl Candidate {
    /// Computes and judges one conductor.
    ///
    /// # Errors
    /// [`Error::OutOfRange`] for an input outside its bounds;
    /// [`Inconsistency::SurroundingsAboveLimit`] when the air of a piece is as hot
    /// as the insulation may become; [`Error::Capacity`] for an empty route.
    pub fn evaluate(question: &Question, conductor: Conductor) -> Result<Self, Error> {
        let setup = Setup::new(question, conductor)?;
        let mut pieces = Vec::new();
        for piece in &question.route {
            let result = setup.piece(piece)?;
            pieces
                .push(result)
                .map_err(|_| Error::Capacity(Capacity::RoutePieces))?;
        }
        let hottest = hottest(&pieces);
        let mut peaks = Vec::new();
        for peak in &question.peaks {
            let result = setup.peak(&pieces, *peak)?;
            peaks
                .push(result)
                .map_err(|_| Error::Capacity(Capacity::Peaks))?;
        }
        let working = |piece: &PieceResult| piece.steady.conductor();
        let mut candidate = Self {
            conductor,
            cable: setup.cable,
            hottest,
            ampacity: lowest_ampacity(&pieces),
            voltage_drop: setup.voltage_drop(&pieces, question.current, working)?,
            loss: loss(pieces.get(hottest))?,
            time_constant: setup.time_constant(pieces.get(hottest))?,
            withstand: setup.withstand()?,
            bend_radius: setup.cable.fixed_bend_radius()?,
            pieces,
            peaks,
            limits: Vec::new(),
            binding: None,
            verdict: Verdict::NotApplicable,
        };
        candidate.judge(&setup)?;
        Ok(candidate)
    }

    /// The piece that becomes hottest.
    pub fn hottest_piece(&self) -> Option<&PieceResult> {
        self.pieces.get(self.hottest)
    }

    /// Ampacity times the margin.
    pub fn ampacity_with_margin(&self, margin: CurrentMargin) -> Option<Current> {
        Current::from_amperes(self.ampacity?.as_amperes() * margin.as_fraction()).ok()
    }

    fn judge(&mut self, setup: &Setup<'_>) -> Result<(), Error> {
        let mut limits = Limits {
            found: Vec::new(),
            binding: None,
        };
        limits.temperature(
            LimitName::SteadyTemperature,
            hottest_with_margin(&self.pieces),
            setup.question.insulation_limit,
            setup.hottest_air(),
            SourceId::Iec60287,
        )?;
        for (index, peak) in (0_u8..).zip(&self.peaks) {
            limits.temperature(
                LimitName::PeakTemperature(index),
                peak.temperature_with_margin.map(Temperature::as_degc),
                setup.question.insulation_limit,
                setup.hottest_air(),
                SourceId::RadialChain,
            )?;
        }
        limits.push(setup.judge_drop(self.voltage_drop), 0.0)?;
        limits.push(setup.judge_short_circuit(&self.withstand), 0.0)?;
        if let Some(limit) = setup.question.terminal_limit {
            let (value, source) = setup.terminal_temperature(&self.pieces)?;
            limits.temperature(
                LimitName::TerminalTemperature,
                value,
                limit,
                setup.hottest_air(),
                source,
            )?;
        }
        self.verdict = limits
            .found
            .iter()
            .fold(Verdict::NotApplicable, |worst, limit| {
                worst.worse(limit.verdict)
            });
        self.limits = limits.found;
        self.binding = limits.binding;
        Ok(())
    }
}

/// Whether a conductor breaks no limit of a question. The same judgement as
/// [`Candidate::evaluate`], cheapest limits first and without what only people
/// read.
///
/// # Errors
/// Those of [`Candidate::evaluate`].
pub fn breaks_no_limit(question: &Question, conductor: Conductor) -> Result<bool, Error> {
    let setup = Setup::new(question, conductor)?;
    let mut pieces: Vec<PieceResult, MAX_PIECES> = Vec::new();
    for piece in &question.route {
        let result = setup.piece(piece)?;
        let Some(hot) = result.steady_with_margin.conductor() else {
            return Ok(false);
        };
        if result.share.is_none() || hot > question.insulation_limit {
            return Ok(false);
        }
        pieces
            .push(result)
            .map_err(|_| Error::Capacity(Capacity::RoutePieces))?;
    }
    let working = |piece: &PieceResult| piece.steady.conductor();
    let drop = setup.voltage_drop(&pieces, question.current, working)?;
    if setup.judge_drop(drop).verdict == Verdict::Fails
        || setup.judge_short_circuit(&setup.withstand()?).verdict == Verdict::Fails
    {
        return Ok(false);
    }
    if let Some(limit) = question.terminal_limit {
        let (value, _) = setup.terminal_temperature(&pieces)?;
        if value.is_none_or(|value| value > limit.as_degc()) {
            return Ok(false);
        }
    }
    for peak in &question.peaks {
        let end = setup.peak_temperature(&pieces, *peak, question.margin.as_fraction())?;
        if end.is_none_or(|end| end > question.insulation_limit) {
            return Ok(false);
        }
    }
    Ok(true)
}

/// What all pieces share.
struct Setup<'a> {
    question: &'a Question,
    conductor: Conductor,
    cable: Cable,
}

impl<'a> Setup<'a> {
    fn new(question: &'a Question, conductor: Conductor) -> Result<Self, Error> {
        if question.route.is_empty() {
            return Err(Error::Inconsistent(Inconsistency::EmptyRoute));
        }
        Bounded::ConductorLimit.check(question.insulation_limit.as_degc())?;
        for piece in &question.route {
            if piece.surroundings.air >= question.insulation_limit {
                return Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit));
            }
        }
        let class = match question.voltage {
            Some(voltage) => VoltageClass::for_voltage(voltage)?,
            None => VoltageClass::V900,
        };
        let cable = Cable::new(generic_build(
            question.metal,
            conductor.section,
            conductor.resistance_20,
            class,
            question.shielded,
            &question.dimensions,
        )?)?;
        Ok(Self {
            question,
            conductor,
            cable,
        })
    }

    fn piece(&self, piece: &Piece) -> Result<PieceResult, Error> {
        let question = self.question;
        let limit = question.insulation_limit;
        let free = HeatBalance::new(&self.cable, &piece.surroundings)?
            .with_shield_loss(question.shield_loss)
            .with_frequency(question.frequency, question.skin_constant)?;
        let (balance, share) = match free.installed(&self.cable, &piece.routing, limit) {
            Ok((balance, share)) => (balance, Some(share)),
            // Nothing can be carried; the temperature is still worth a look.
            Err(Error::Inconsistent(Inconsistency::SurroundingsAboveLimit)) => (free, None),
            Err(other) => return Err(other),
        };
        let ampacity = match share {
            Some(_) => balance.current_at(limit)?,
            None => None,
        };
        Ok(PieceResult {
            balance,
            share,
            ampacity,
            steady: balance.temperature_at(question.current)?,
            steady_with_margin: balance.temperature_at(self.with_margin(question.current)?)?,
        })
    }

    fn with_margin(&self, current: Current) -> Result<Current, Error> {
        Current::from_amperes(current.as_amperes() / self.question.margin.as_fraction())
    }

    fn hottest_air(&self) -> f32 {
        self.question
            .route
            .iter()
            .map(|piece| piece.surroundings.air.as_degc())
            .fold(f32::NEG_INFINITY, f32::max)
    }

    fn peak(&self, pieces: &[PieceResult], peak: Peak) -> Result<PeakResult, Error> {
        let temperature = self.peak_temperature(pieces, peak, 1.0)?;
        let temperature_with_margin =
            self.peak_temperature(pieces, peak, self.question.margin.as_fraction())?;
        let voltage_drop = match temperature {
            Some(end) => self.voltage_drop(pieces, peak.current, |_| Some(end))?,
            None => None,
        };
        Ok(PeakResult {
            peak,
            temperature,
            temperature_with_margin,
            voltage_drop,
        })
    }

    /// Conductor temperature at the end of a peak in the hottest piece, with all
    /// currents divided by `margin`.
    fn peak_temperature(
        &self,
        pieces: &[PieceResult],
        peak: Peak,
        margin: f32,
    ) -> Result<Option<Temperature>, Error> {
        let before = Current::from_amperes(self.question.current.as_amperes() / margin)?;
        let during = Current::from_amperes(peak.current.as_amperes() / margin)?;
        let mut hottest: Option<Temperature> = None;
        for piece in pieces {
            let chain = RadialChain::new(&self.cable, &piece.balance);
            let Some(start) = chain.settled(before)? else {
                return Ok(None);
            };
            let end = chain.advance(&start, during, peak.duration);
            // Off the scale means molten, which is a failure and not an error.
            let Ok(end) = chain.conductor(&end) else {
                return Ok(None);
            };
            if hottest.is_none_or(|hottest| end > hottest) {
                hottest = Some(end);
            }
        }
        Ok(hottest)
    }

    /// Drop over both conductors and, when entered, their four joints.
    fn voltage_drop(
        &self,
        pieces: &[PieceResult],
        current: Current,
        temperature: impl Fn(&PieceResult) -> Option<Temperature>,
    ) -> Result<Option<Voltage>, Error> {
        let mut one_way = 0.0;
        for (piece, result) in self.question.route.iter().zip(pieces) {
            let (Some(length), Some(temperature)) = (piece.length, temperature(result)) else {
                return Ok(None);
            };
            one_way += result.balance.resistance_at(temperature.as_degc()) * length.as_metres();
        }
        let joints = self
            .question
            .joint
            .map_or(0.0, |joint| 4.0 * joint.as_ohms());
        let ohms = 2.0 * one_way + joints;
        Ok(Some(Voltage::from_volts(
            ohms * libm::fabsf(current.as_amperes()),
        )?))
    }

    fn judge_drop(&self, drop: Option<Voltage>) -> Judged<LimitName> {
        let limit = self.question.allowed_drop.as_percent();
        match (drop, self.question.voltage) {
            (Some(drop), Some(voltage)) => Judged::compare(
                LimitName::VoltageDrop,
                drop.as_volts() / voltage.as_volts() * 100.0,
                Side::AtMost,
                limit,
                SourceId::OhmsLaw,
            ),
            (None, Some(_)) if self.question.length().is_some() => Judged::failed_without_value(
                LimitName::VoltageDrop,
                Side::AtMost,
                Some(limit),
                SourceId::OhmsLaw,
            ),
            _ => Judged::open(
                LimitName::VoltageDrop,
                None,
                Side::AtMost,
                Some(limit),
                SourceId::OhmsLaw,
            ),
        }
    }

    fn withstand(&self) -> Result<Withstand, Error> {
        adiabatic_withstand(
            self.question.metal,
            self.conductor.section,
            self.conductor.resistance_20,
            self.question.insulation_limit,
            self.question.short_circuit_limit,
        )
    }

    fn judge_short_circuit(&self, withstand: &Withstand) -> Judged<LimitName> {
        let limit = withstand.own_resistance.as_a2s();
        match self.question.let_through {
            Some(let_through) => Judged::compare(
                LimitName::ShortCircuit,
                let_through.as_a2s(),
                Side::AtMost,
                limit,
                SourceId::AdiabaticBalance,
            ),
            None => Judged::open(
                LimitName::ShortCircuit,
                None,
                Side::AtMost,
                Some(limit),
                SourceId::AdiabaticBalance,
            ),
        }
    }

    /// Temperature of the hotter end with margin, the joint's rise included when its
    /// resistance is entered.
    fn terminal_temperature(
        &self,
        pieces: &[PieceResult],
    ) -> Result<(Option<f32>, SourceId), Error> {
        let source = if self.question.joint.is_some() {
            SourceId::FinEquation
        } else {
            SourceId::Iec60287
        };
        let ends = [
            (self.question.route.first(), pieces.first()),
            (self.question.route.last(), pieces.last()),
        ];
        let mut hottest = f32::NEG_INFINITY;
        for (piece, result) in ends {
            let (Some(piece), Some(result)) = (piece, result) else {
                return Ok((None, source));
            };
            let Steady::Settles(state) = result.steady_with_margin else {
                return Ok((None, source));
            };
            let Some(end) = self.end_temperature(piece, &state)? else {
                return Ok((None, source));
            };
            hottest = hottest.max(end);
        }
        Ok((Some(hottest), source))
    }

    fn end_temperature(&self, piece: &Piece, state: &SteadyState) -> Result<Option<f32>, Error> {
        let conductor = state.conductor.as_degc();
        let Some(contact) = self.question.joint else {
            return Ok(Some(conductor));
        };
        let rise = conductor - piece.surroundings.air.as_degc();
        let heat = state.conductor_loss.as_watts_per_m() + state.shield_loss.as_watts_per_m();
        // Without current, or with a conductor cooler than its air, there is no loss in
        // the joint that a linear dissipation could be read from.
        let Ok(cable_dissipation) = ThermalConductivity::from_w_per_m_k(heat / rise) else {
            return Ok(Some(conductor));
        };
        let joint = Joint {
            contact,
            section: self.conductor.section,
            conductivity: self.question.metal.thermal_conductivity(),
            resistance_20: self.conductor.resistance_20,
            coefficient: self.question.metal.temperature_coefficient_20(),
            cable_dissipation,
            lug_dissipation: ThermalConductance::from_w_per_k(0.0)?,
            air: piece.surroundings.air,
            length: match self.question.length() {
                Some(length) => Some(Length::from_metres(0.5 * length)?),
                None => None,
            },
        };
        match joint_temperature(&joint, self.with_margin(self.question.current)?) {
            // The cable's own temperature stays that of the full balance.
            Ok(Some(joint)) => Ok(Some(conductor + joint.rise.as_kelvin())),
            // Off the scale: the joint melts.
            Ok(None) | Err(_) => Ok(None),
        }
    }

    fn time_constant(&self, piece: Option<&PieceResult>) -> Result<Option<Time>, Error> {
        match piece {
            Some(piece) if self.question.current.as_amperes() != 0.0 => {
                RadialChain::new(&self.cable, &piece.balance).time_constant(self.question.current)
            }
            _ => Ok(None),
        }
    }
}

struct Limits {
    found: Vec<Judged<LimitName>, MAX_LIMITS>,
    binding: Option<(LimitName, f32)>,
}

impl Limits {
    /// Judges a temperature; the share used is that of the rise above the air.
    fn temperature(
        &mut self,
        name: LimitName,
        value: Option<f32>,
        limit: Temperature,
        air: f32,
        source: SourceId,
    ) -> Result<(), Error> {
        let limit = limit.as_degc();
        let judged = match value {
            Some(value) => Judged::compare(name, value, Side::AtMost, limit, source),
            None => Judged::failed_without_value(name, Side::AtMost, Some(limit), source),
        };
        self.push(judged, air)
    }

    /// Keeps a limit; `origin` is the value at which none of it is used.
    fn push(&mut self, judged: Judged<LimitName>, origin: f32) -> Result<(), Error> {
        let used = match (judged.verdict, judged.value, judged.limit) {
            (Verdict::Fails | Verdict::Holds, Some(value), Some(limit)) if limit > origin => {
                Some((value - origin) / (limit - origin))
            }
            // No value, or a limit at or below its origin: exhausted before anything
            // happens.
            (Verdict::Fails, _, _) => Some(f32::INFINITY),
            _ => None,
        };
        if let Some(used) = used
            && self.binding.is_none_or(|(_, most)| used > most)
        {
            self.binding = Some((judged.name, used));
        }
        self.found
            .push(judged)
            .map_err(|_| Error::Capacity(Capacity::Limits))
    }
}

/// The piece with the lowest ampacity, or the highest temperature where none can
/// carry anything.
fn hottest(pieces: &[PieceResult]) -> usize {
    let heat = |piece: &PieceResult| match (piece.share, piece.steady_with_margin) {
        (None, _) | (_, Steady::NoSteadyState) => f32::INFINITY,
        (Some(_), Steady::Settles(state)) => state.conductor.as_degc(),
    };
    let mut hottest = (0, f32::NEG_INFINITY);
    for (index, piece) in pieces.iter().enumerate() {
        if heat(piece) > hottest.1 {
            hottest = (index, heat(piece));
        }
    }
    hottest.0
}

/// Steady temperature with margin in the hottest piece; `None` when a piece settles
/// nowhere or can carry nothing.
fn hottest_with_margin(pieces: &[PieceResult]) -> Option<f32> {
    pieces.iter().try_fold(f32::NEG_INFINITY, |hottest, piece| {
        piece.ampacity?;
        Some(hottest.max(piece.steady_with_margin.conductor()?.as_degc()))
    })
}

fn lowest_ampacity(pieces: &[PieceResult]) -> Option<Current> {
    let mut lowest: Option<Current> = None;
    for piece in pieces {
        let here = piece.ampacity?;
        if lowest.is_none_or(|lowest| here < lowest) {
            lowest = Some(here);
        }
    }
    lowest
}

fn loss(piece: Option<&PieceResult>) -> Result<Option<LinearPower>, Error> {
    match piece.map(|piece| piece.steady) {
        Some(Steady::Settles(state)) => LinearPower::from_watts_per_m(
            state.conductor_loss.as_watts_per_m() + state.shield_loss.as_watts_per_m(),
        )
        .map(Some),
        _ => Ok(None),
    }
}
