//! From flags to a question that the core can answer, and from its errors to advice.

use orangeloom_core::bounds::Bounded;
use orangeloom_core::conductor::generic::Dimensions;
use orangeloom_core::conductor::heat_balance::{ShieldLoss, Surroundings};
use orangeloom_core::conductor::installation::Routing;
use orangeloom_core::error::{Error, Inconsistency};
use orangeloom_core::quantity::{
    Altitude, CurrentSquaredTime, Length, LinearPower, ShieldLossRatio, Temperature,
};
use orangeloom_core::size::question::{MAX_PEAKS, MAX_PIECES, Peak, Piece, Question, Ripple};
use orangeloom_core::size::series::{Conductor, MetricTable, Series};
use orangeloom_core::standard::metal::Metal;

use super::args::{Material, SizeArgs, Strand, YesNo};
use super::route_text::RoutePiece;
use crate::flags::{UnitSystem, or_default, positive, usable};
use crate::nominal;
use crate::quantity_text::{Section, Units};

/// Air where nobody says: warmer than a garage in summer, cooler than under a bonnet.
const DEFAULT_AIR: f32 = 60.0;
/// Class of an insulation that nobody names: the lowest in use for power cable.
const DEFAULT_INSULATION: f32 = 90.0;

/// A question with what the renderers need to tell about it.
pub(crate) struct Asked {
    pub(crate) question: Question,
    pub(crate) series: Series,
    pub(crate) other_series: Series,
    /// The section to judge; `None` to search.
    pub(crate) judge: Option<Conductor>,
    /// The fault that the let-through was computed from.
    pub(crate) fault: Option<(f32, f32)>,
    /// The pieces of the route as they were entered.
    pub(crate) entered: Vec<RoutePiece>,
    pub(crate) units: Units,
    /// Names of the inputs that nobody stated.
    pub(crate) defaults: Vec<&'static str>,
}

impl Asked {
    /// Whether nobody stated the air around a piece.
    pub(crate) fn air_is_default(&self, piece: usize) -> bool {
        let own = self.entered.get(piece).and_then(|piece| piece.air);
        own.is_none() && self.is_default("ambient")
    }

    /// Whether nobody stated which surfaces a piece sees.
    pub(crate) fn radiant_is_default(&self, piece: usize) -> bool {
        let own = self.entered.get(piece).and_then(|piece| piece.radiant);
        own.is_none() && self.is_default("radiant")
    }

    pub(crate) fn is_default(&self, input: &str) -> bool {
        self.defaults.contains(&input)
    }
}

impl SizeArgs {
    /// Puts defaults in, checks what the core cannot see, and notes what was a default.
    pub(crate) fn ask(&self) -> Result<Asked, String> {
        self.check_signs()?;
        let mut defaults = Vec::new();
        let insulation = or_default(
            self.insulation_temperature,
            "insulation_temperature",
            &mut defaults,
            Temperature::from_degc(DEFAULT_INSULATION),
        )?;
        let mut question = Question::new(self.current, insulation);
        self.set_thermal(&mut question, &mut defaults)?;
        self.set_limits(&mut question, &mut defaults)?;
        self.set_cable(&mut question, &mut defaults)?;
        self.set_route(&mut question, &mut defaults)?;
        let table = match self.strand {
            Some(Strand::Class5) => MetricTable::Iec60228Class5,
            Some(Strand::Class2) => MetricTable::Iec60228Class2,
            Some(Strand::Iso19642) => MetricTable::Iso6722,
            None => {
                defaults.push("strand");
                MetricTable::usual(question.metal)
            }
        };
        let (series, other_series) = match self.units {
            UnitSystem::Metric => (Series::Metric(table), Series::American),
            UnitSystem::Us => (Series::American, Series::Metric(table)),
        };
        let judge = match &self.section {
            Some(section) => Some(self.judged(section, table, question.metal)?),
            None => None,
        };
        let fault = self
            .fault
            .map(|(current, time)| (current.as_amperes(), time.as_seconds()));
        Ok(Asked {
            question,
            series,
            other_series,
            judge,
            fault,
            entered: self.route.clone(),
            units: self.units.into(),
            defaults,
        })
    }

    /// Amounts that make no sense below or at zero, flag by flag.
    fn check_signs(&self) -> Result<(), String> {
        let current = self.current.as_amperes();
        if current < 0.0 {
            return Err(format!(
                "--current is {current} A: write the amount, the direction does not matter for heat"
            ));
        }
        if current == 0.0 && self.peak.is_empty() {
            return Err(
                "--current is 0 A and there is no --peak: nothing flows, so there is \
                        nothing to size"
                    .into(),
            );
        }
        for (peak, time) in &self.peak {
            positive("--peak", "current", "A", peak.as_amperes())?;
            positive("--peak", "duration", "s", time.as_seconds())?;
        }
        if let Some((fault, time)) = &self.fault {
            positive("--fault", "current", "A", fault.as_amperes())?;
            positive("--fault", "duration", "s", time.as_seconds())?;
        }
        for (flag, unit, value) in [
            ("--voltage", "V", self.voltage.map(f32::from)),
            ("--length", "m", self.length.map(f32::from)),
            ("--drop", "%", self.drop.map(|share| share.0.as_percent())),
            ("--let-through", "A2s", self.let_through.map(f32::from)),
            ("--ripple", "A", self.ripple.map(f32::from)),
            (
                "--ripple-frequency",
                "Hz",
                self.ripple_frequency.map(f32::from),
            ),
            ("--axis-distance", "m", self.axis_distance.map(f32::from)),
            (
                "--shield-resistance",
                "ohm/m",
                self.shield_resistance.map(f32::from),
            ),
            (
                "--conductor-diameter",
                "m",
                self.conductor_diameter.map(f32::from),
            ),
            (
                "--insulation-wall",
                "m",
                self.insulation_wall.map(f32::from),
            ),
        ] {
            if let Some(value) = value {
                positive(flag, "value", unit, value)?;
            }
        }
        for piece in &self.route {
            if let Some(length) = piece.length {
                positive("--route", "length", "m", length.as_metres())?;
            }
        }
        for (flag, value) in [
            ("--absorbed", self.absorbed),
            ("--shield-loss", self.shield_loss),
        ] {
            if value.is_some_and(|value| value.as_watts_per_m() < 0.0) {
                return Err(format!(
                    "{flag} is below zero: heat that is added is positive"
                ));
            }
        }
        Ok(())
    }

    fn set_thermal(
        &self,
        question: &mut Question,
        defaults: &mut Vec<&'static str>,
    ) -> Result<(), String> {
        for &(current, duration) in &self.peak {
            question
                .peaks
                .push(Peak { current, duration })
                .map_err(|_| {
                    format!("more than {MAX_PEAKS} times --peak: leave out the mildest")
                })?;
        }
        question.shield_loss = ShieldLoss {
            fixed: or_default(
                self.shield_loss,
                "shield_loss",
                defaults,
                LinearPower::from_watts_per_m(0.0),
            )?,
            ratio: or_default(
                self.shield_loss_ratio,
                "shield_loss_ratio",
                defaults,
                ShieldLossRatio::from_fraction(0.0),
            )?,
        };
        if self.ripple.is_some() && self.shield == Some(YesNo::No) {
            return Err("--ripple heats a shield and --shield is no: leave one out".into());
        }
        question.ripple = match (self.ripple, self.shield_resistance) {
            (Some(current), Some(braid)) => Some(Ripple {
                current,
                frequency: self.ripple_frequency,
                spacing: self.axis_distance,
                braid,
            }),
            _ => None,
        };
        if question.ripple.is_some() {
            for (input, given) in [
                ("ripple_frequency", self.ripple_frequency.is_some()),
                ("axis_distance", self.axis_distance.is_some()),
            ] {
                if !given {
                    defaults.push(input);
                }
            }
        }
        question.frequency = or_default(
            self.frequency,
            "frequency",
            defaults,
            Ok(question.frequency),
        )?;
        question.margin = or_default(self.margin, "margin", defaults, Ok(question.margin))?;
        Ok(())
    }

    fn set_limits(
        &self,
        question: &mut Question,
        defaults: &mut Vec<&'static str>,
    ) -> Result<(), String> {
        question.voltage = self.voltage;
        question.allowed_drop = or_default(
            self.drop.map(|share| share.0),
            "drop",
            defaults,
            Ok(question.allowed_drop),
        )?;
        question.short_circuit_limit = or_default(
            self.short_circuit_temperature,
            "short_circuit_temperature",
            defaults,
            Ok(question.short_circuit_limit),
        )?;
        question.terminal_limit = self.terminal_temperature;
        question.joint = self.joint_resistance;
        question.let_through = match (self.let_through, self.fault) {
            (Some(let_through), _) => Some(let_through),
            (None, Some((current, time))) => Some(let_through_of(current, time)?),
            (None, None) => None,
        };
        usable_limit(question.insulation_limit)?;
        if question.short_circuit_limit <= question.insulation_limit {
            return Err(format!(
                "--short-circuit-temperature ({} degC) has to be above --insulation-temperature \
                 ({} degC): it is what the insulation stands for seconds, from the datasheet",
                question.short_circuit_limit.as_degc(),
                question.insulation_limit.as_degc()
            ));
        }
        Ok(())
    }

    fn set_cable(
        &self,
        question: &mut Question,
        defaults: &mut Vec<&'static str>,
    ) -> Result<(), String> {
        let material = or_default(self.material, "material", defaults, Ok(Material::Copper))?;
        question.metal = match material {
            Material::Copper => Metal::Copper,
            Material::TinnedCopper => Metal::TinnedCopper,
            Material::Aluminium => Metal::Aluminium,
        };
        let shield = or_default(self.shield, "shield", defaults, Ok(YesNo::Yes))?;
        question.shielded = shield == YesNo::Yes;
        if !question.shielded && self.shield_wall.is_some_and(|wall| wall.as_metres() > 0.0) {
            return Err(
                "--shield no and --shield-wall contradict each other: leave one out".into(),
            );
        }
        for (input, given) in [
            ("conductor_diameter", self.conductor_diameter.is_some()),
            ("insulation_wall", self.insulation_wall.is_some()),
            ("shield_wall", self.shield_wall.is_some()),
            ("jacket_wall", self.jacket_wall.is_some()),
            ("emissivity", self.emissivity.is_some()),
        ] {
            if !given {
                defaults.push(input);
            }
        }
        question.dimensions = Dimensions {
            conductor_diameter: self.conductor_diameter,
            insulation_wall: self.insulation_wall,
            shield_wall: self.shield_wall,
            jacket_wall: self.jacket_wall,
            emissivity: self.emissivity,
        };
        if question.dimensions.conductor_diameter.is_some() && self.section.is_none() {
            return Err(
                "--conductor-diameter belongs to one cable: say which with --section".into(),
            );
        }
        Ok(())
    }

    fn set_route(
        &self,
        question: &mut Question,
        defaults: &mut Vec<&'static str>,
    ) -> Result<(), String> {
        let everywhere_stated =
            !self.route.is_empty() && self.route.iter().all(|piece| piece.air.is_some());
        let air = if let Some(air) = self.ambient {
            air
        } else {
            if !everywhere_stated {
                defaults.push("ambient");
            }
            usable(Temperature::from_degc(DEFAULT_AIR))?
        };
        let altitude = or_default(
            self.altitude,
            "altitude",
            defaults,
            Altitude::from_metres(0.0),
        )?;
        let absorbed = or_default(
            self.absorbed,
            "absorbed",
            defaults,
            LinearPower::from_watts_per_m(0.0),
        )?;
        if self.radiant.is_none() {
            defaults.push("radiant");
        }
        let around = |air: Temperature, radiant: Option<Temperature>| match radiant {
            // It would take current for granted that nobody can rely on.
            Some(surfaces) if surfaces < air => Err(format!(
                "surfaces of {} degC around a cable in {} degC air: --radiant and facing are for \
                 surfaces hotter than the air; leave them out",
                surfaces.as_degc(),
                air.as_degc()
            )),
            _ => Ok(Surroundings {
                air,
                radiant: radiant.unwrap_or(air),
                altitude,
                absorbed,
            }),
        };
        if self.route.is_empty() {
            defaults.push("route");
            let piece = Piece {
                routing: Routing::FREE_AIR,
                surroundings: around(air, self.radiant)?,
                length: self.length,
            };
            return question.route.push(piece).map_err(|_| String::new());
        }
        for (piece, length) in self.route.iter().zip(self.piece_lengths()?) {
            let here = piece.air.unwrap_or(air);
            let piece = Piece {
                routing: Routing {
                    installation: piece.installation,
                    circuits: piece.circuits,
                },
                surroundings: around(here, piece.radiant.or(self.radiant))?,
                length,
            };
            question.route.push(piece).map_err(|_| {
                format!("more than {MAX_PIECES} times --route: join pieces that are laid alike")
            })?;
        }
        Ok(())
    }

    /// Lengths of the pieces: as stated, or `--length` where one piece leaves it out.
    fn piece_lengths(&self) -> Result<Vec<Option<Length>>, String> {
        /// Rounding of a tape measure read in two systems, relative.
        const ROUNDING: f32 = 0.01;
        let stated: f32 = self
            .route
            .iter()
            .filter_map(|p| p.length)
            .map(f32::from)
            .sum();
        let without = self
            .route
            .iter()
            .filter(|piece| piece.length.is_none())
            .count();
        let rest = match (self.length, without) {
            (None, _) => None,
            (Some(whole), 0) => {
                let whole = whole.as_metres();
                if (whole - stated).abs() > ROUNDING * whole {
                    return Err(format!(
                        "--length is {whole} m, but the pieces of --route add up to {stated} m: \
                         correct one or leave --length out"
                    ));
                }
                None
            }
            (Some(whole), 1) => {
                let rest = whole.as_metres() - stated;
                positive(
                    "--length less the stated pieces of --route",
                    "rest",
                    "m",
                    rest,
                )?;
                Some(usable(Length::from_metres(rest))?)
            }
            (Some(_), _) => {
                return Err(
                    "more than one --route has no length: only one may take the rest of \
                            --length"
                        .into(),
                );
            }
        };
        if self.length.is_none() && without > 0 && stated > 0.0 {
            return Err(
                "some pieces of --route have a length and others not: state all, or \
                        --length for the whole"
                    .into(),
            );
        }
        Ok(self
            .route
            .iter()
            .map(|piece| piece.length.or(rest))
            .collect())
    }

    fn judged(
        &self,
        section: &Section,
        table: MetricTable,
        metal: Metal,
    ) -> Result<Conductor, String> {
        match (nominal::conductor(section, table, metal), self.resistance) {
            (Ok(conductor), None) => Ok(conductor),
            (Ok(conductor), Some(resistance)) => Ok(conductor.with_resistance(resistance)),
            (Err(Error::NotInTable { .. }), Some(resistance)) => {
                Ok(Conductor::entered(section.area, resistance))
            }
            (Err(Error::NotInTable { table: source, .. }), None) => Err(format!(
                "{} is not a section of {} {}; beside it are {}. Judge one of them, or state the \
                 datasheet's resistance with --resistance \"0.27 ohm/km\"",
                section.label,
                source.source().standard,
                source.source().place,
                nominal::beside(section, table, metal).unwrap_or_default()
            )),
            (Err(error), _) => Err(advice(error)),
        }
    }
}

fn usable_limit(limit: Temperature) -> Result<f32, String> {
    Bounded::ConductorLimit
        .check(limit.as_degc())
        .map_err(advice)
}

fn let_through_of(
    current: orangeloom_core::quantity::Current,
    time: orangeloom_core::quantity::Time,
) -> Result<CurrentSquaredTime, String> {
    let product = (current * current).and_then(|square| square * time);
    product.map_err(|error| format!("--fault: {error}"))
}

/// What a builder can do about an error of the core.
pub(crate) fn advice(error: Error) -> String {
    match error {
        Error::Inconsistent(Inconsistency::SurroundingsAboveLimit) => {
            "the air is as hot as the insulation may become, or hotter, so no conductor can carry \
             anything: lower --ambient (or the at of a --route), or choose an insulation with a \
             higher --insulation-temperature"
                .into()
        }
        Error::Inconsistent(Inconsistency::ConductorTooThin) => {
            "the metal of the section does not fit into --conductor-diameter: measure over the \
             strands, or check --section"
                .into()
        }
        Error::Inconsistent(Inconsistency::ConductorTooThick) => {
            "--conductor-diameter is far too large for the metal of the section: measure over the \
             strands, without insulation, and check the unit"
                .into()
        }
        Error::Inconsistent(Inconsistency::ResistanceTooLow) => {
            "--resistance is less than solid metal of this section has: check the decimal point \
             and the unit (70 mm2 of copper has about 0.27 ohm/km)"
                .into()
        }
        Error::Inconsistent(Inconsistency::TubeTooNarrow) => {
            "no section's cable fits into the tube of --route: two cables side by side need twice \
             the outer diameter inside; state the real tube or the real cable's walls"
                .into()
        }
        Error::Inconsistent(Inconsistency::MaterialNotInTable) => {
            "the table of --strand has no conductors of this --material: aluminium is in class-2"
                .into()
        }
        Error::OutOfRange {
            what: Bounded::SystemVoltage,
            value,
        } => format!(
            "--voltage is {value} V: cables for vehicles are made for up to 1500 V DC, and below \
             1 V there is nothing to protect"
        ),
        Error::OutOfRange {
            what: Bounded::WallThickness,
            value,
        } => format!(
            "a wall of {value} mm is outside {} to {} mm: check --insulation-wall and --jacket-wall",
            Bounded::WallThickness.min(),
            Bounded::WallThickness.max()
        ),
        Error::OutOfRange {
            what: Bounded::Surroundings,
            value,
        } => format!(
            "{value} degC around a cable is outside {} to {} degC: check --ambient, --radiant and \
             --route",
            Bounded::Surroundings.min(),
            Bounded::Surroundings.max()
        ),
        Error::OutOfRange {
            what: Bounded::ConductorLimit,
            value,
        } => format!(
            "--insulation-temperature is {value} degC, outside {} to {} degC",
            Bounded::ConductorLimit.min(),
            Bounded::ConductorLimit.max()
        ),
        other => other.to_string(),
    }
}
