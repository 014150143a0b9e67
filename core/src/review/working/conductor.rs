//! Temperatures, drop, lengths, voltage class.

use super::pack::{NETWORK, alike};
use super::{How, Work};
use crate::conductor::heat_balance::{Steady, SteadyState};
use crate::design::{
    Battery, CableType, CableTypeId, Charged, Conductor, ConductorId, Converter, ConverterId, End,
    Load, LoadId, Phase, System, Terminal, TerminalId, Thing, WhichEnd,
};
use crate::quantity::{Length, Temperature};
use crate::review::aspect::{Aspect, Unit};
use crate::review::conductor::{
    HIGH_VOLTAGE_DROP, LOW_VOLTAGE_DROP, PARALLEL_SPREAD, STEADY_RESERVE_K,
};
use crate::review::tap::LONGEST_M;
use crate::standard::SourceId;
use crate::study::{Operation, PieceResult, allowed_to_last, conductor_warmth, joint_at};

/// Currents and durations of the first phases of a duty.
const STEPS: [[&str; 2]; 5] = [
    ["I1", "t1"],
    ["I2", "t2"],
    ["I3", "t3"],
    ["I4", "t4"],
    ["I5", "t5"],
];

/// Pieces of a route.
const PIECES: [&str; 8] = ["l1", "l2", "l3", "l4", "l5", "l6", "l7", "l8"];

impl Work<'_> {
    pub(super) fn of_conductor(&self) -> Option<()> {
        match self.finding.judged.name {
            Aspect::SteadyTemperature => self.steady(),
            Aspect::PeakTemperature => self.peak(),
            Aspect::TerminalTemperature => self.terminal(),
            Aspect::TerminalAllowed => self.terminal_allowed(),
            Aspect::DutyWindow => self.window(),
            Aspect::Drop => self.drop(),
            Aspect::CableClass => {
                self.rated_voltage()?;
                let (part, _) = self.cable()?;
                self.limit("Uclass", part, "cable-type.voltage-class");
                Some(())
            }
            Aspect::ParallelLength => self.parallel(),
            Aspect::LowVoltageDistance => {
                self.value("d", self.finding.thing, "conductor.low-voltage-distance");
                self.fixed_limit("dlimit");
                Some(())
            }
            _ => self.tap(),
        }
    }

    fn lead(&self) -> Option<(ConductorId, Conductor)> {
        let id = self.finding.thing.id::<ConductorId>()?;
        Some((id, *self.design.get(id)?))
    }

    fn cable(&self) -> Option<(CableTypeId, CableType)> {
        let (_, lead) = self.lead()?;
        let part = lead.cable?;
        Some((part, *self.design.get(part)?))
    }

    /// Currents and durations of what it does, and their r.m.s. value.
    pub(super) fn rms(&self, thing: Thing, operation: Operation, rms: f32) -> Option<()> {
        let points = &self.subject.study.points;
        let steps = points.steps(self.design, operation, thing).ok()?;
        let design = self.design;
        let how = match operation {
            Operation::Duty(_) => {
                How::Words("sqrt((1/W) x integral of I^2), at the worst window W of the duty")
            }
            Operation::Lasting(_) => How::Words("the current of a phase that lasts"),
        };
        let mut step = self.step("worst r.m.s. current", how, None).of(operation);
        for ((one, phase), [current, time]) in
            steps.iter().zip(design.phases_of(operation)).zip(STEPS)
        {
            step = step.number(current, one.current.as_amperes(), Unit::Ampere);
            if let Operation::Duty(_) = operation {
                let seconds = one.duration.as_seconds();
                step = step.stated(time, seconds, Unit::Second, phase, "phase.duration");
            }
        }
        step.gives("I", rms, Unit::Ampere);
        Some(())
    }

    /// The piece in which a steady temperature is reached, and during what.
    fn settled_at(&self, id: ConductorId, degc: f32) -> Option<(Operation, PieceResult)> {
        let points = &self.subject.study.points;
        for operation in self.design.operations() {
            let warmth = conductor_warmth(self.design, points, operation, id).ok()?;
            for piece in &warmth.pieces {
                let steady = piece.warmth.steady.conductor().map(Temperature::as_degc);
                if steady.is_some_and(|steady| alike(steady, degc)) {
                    return Some((operation, *piece));
                }
            }
        }
        None
    }

    fn steady(&self) -> Option<()> {
        let (id, _) = self.lead()?;
        if let Some(value) = self.finding.judged.value {
            let (operation, piece) = self.settled_at(id, value)?;
            self.rms(id.into(), operation, piece.warmth.rms.as_amperes())?;
            let Steady::Settles(state) = piece.warmth.steady else {
                return None;
            };
            self.balance(&piece, &state)?;
        }
        let (part, cable) = self.cable()?;
        let class = cable.temperature_class?.as_degc();
        self.by(
            "temperature class, with what is kept below it",
            "Tclass - dT",
            SourceId::CommonPractice,
        )
        .stated(
            "Tclass",
            class,
            Unit::DegC,
            part,
            "cable-type.temperature-class",
        )
        .number("dT", STEADY_RESERVE_K, Unit::Kelvin)
        .gives("Tlimit", self.finding.judged.limit?, Unit::DegC);
        Some(())
    }

    /// From the resistance to the temperature.
    fn balance(&self, piece: &PieceResult, state: &SteadyState) -> Option<()> {
        let (part, kind) = self.cable()?;
        let cable = kind.cable().ok()?;
        let build = cable.build();
        let r20 = build.resistance_20.as_ohm_per_m();
        let how = How::Words("the resistance that is stated, else the table for this section");
        self.step("resistance at 20 degC", how, kind.conductor.source)
            .of(part)
            .stated(
                "S",
                build.section.as_mm2(),
                Unit::Mm2,
                part,
                "cable-type.section",
            )
            .gives("R20", r20, Unit::OhmPerMetre);
        let alpha = build.metal.temperature_coefficient_20().as_per_kelvin();
        let degc = state.conductor.as_degc();
        let ohms = state.resistance.as_ohm_per_m();
        let warmed = r20 * (1.0 + alpha * (degc - 20.0));
        self.by(
            "resistance at the temperature that comes out below",
            "R20 * k * (1 + a * (Tc - 20))",
            SourceId::Iec60287Conductor,
        )
        .number("R20", r20, Unit::OhmPerMetre)
        .number("k", ohms / warmed, Unit::Number)
        .number("a", alpha, Unit::PerKelvin)
        .number("Tc", degc, Unit::DegC)
        .gives("R", ohms, Unit::OhmPerMetre);
        let own = state.conductor_loss.as_watts_per_m();
        let shield = state.shield_loss.as_watts_per_m();
        let amperes = piece.warmth.rms.as_amperes();
        self.by("heat of the conductor", "I^2 * R", SourceId::OhmsLaw)
            .number("I", amperes, Unit::Ampere)
            .number("R", ohms, Unit::OhmPerMetre)
            .gives("qc", own, Unit::WattPerMetre);
        let place = self.design.get(piece.piece)?;
        let air = self.design.get(place.zone)?.air?.as_degc();
        let surface = state.surface.as_degc();
        let how = How::Words(
            "pi D f [h (Ts - Ta) + eps sigma (Ts^4 - Tr^4)] = qc + qs, solved for Ts; f of the \
             installation",
        );
        self.step("temperature of the outside", how, SourceId::Iec60287)
            .of(place.zone)
            .number("qc", own, Unit::WattPerMetre)
            .number("qs", shield, Unit::WattPerMetre)
            .number("D", cable.outer_diameter().as_mm(), Unit::Mm)
            .stated("Ta", air, Unit::DegC, place.zone, "zone.air")
            .gives("Ts", surface, Unit::DegC);
        self.by(
            "temperature of the conductor",
            "Ts + T3 * (qc + qs) + T1 * qc",
            SourceId::Iec60287,
        )
        .number("Ts", surface, Unit::DegC)
        .number(
            "T3",
            cable.jacket_resistance().as_k_m_per_w(),
            Unit::KelvinMetrePerWatt,
        )
        .number("qc", own, Unit::WattPerMetre)
        .number("qs", shield, Unit::WattPerMetre)
        .number(
            "T1",
            cable.insulation_resistance().as_k_m_per_w(),
            Unit::KelvinMetrePerWatt,
        )
        .gives("Tc", degc, Unit::DegC);
        Some(())
    }

    fn peak(&self) -> Option<()> {
        let (id, _) = self.lead()?;
        if let Some(value) = self.finding.judged.value {
            let warmest = self.subject.study.conductor(id).ok()?.warmest.ok()?;
            let amperes = warmest.warmth.rms.as_amperes();
            self.rms(id.into(), warmest.operation, amperes)?;
            let zone = self.design.get(warmest.piece)?.zone;
            let air = self.design.get(zone)?.air?.as_degc();
            let how = How::Words("radial chain in time, period after period until it repeats");
            let mut step = self
                .step(
                    "highest temperature of the repeating duty",
                    how,
                    SourceId::RadialChain,
                )
                .stated("Ta", air, Unit::DegC, zone, "zone.air")
                .number("Irms", amperes, Unit::Ampere);
            if let Some(steady) = warmest.warmth.steady.conductor() {
                step = step.number("Tsteady", steady.as_degc(), Unit::DegC);
            }
            step.gives("Tpeak", value, Unit::DegC);
        }
        let (part, _) = self.cable()?;
        self.limit("Tclass", part, "cable-type.temperature-class");
        Some(())
    }

    fn terminal(&self) -> Option<()> {
        let (id, lead) = self.lead()?;
        let at = self.finding.at?;
        let (end, which) = end_at(&lead, at);
        if let Some(value) = self.finding.judged.value {
            let warmest = self.subject.study.conductor(id).ok()?.warmest.ok()?;
            let amperes = warmest.warmth.rms.as_amperes();
            self.rms(id.into(), warmest.operation, amperes)?;
            let mut rise = 0.0;
            let (joint, read) = joint_at(self.design, id, end, which);
            if end.joint.is_some() || read.is_some() {
                rise = amperes * amperes * joint.as_ohms();
                let step = self
                    .by("heat of the joint", "I^2 * Rj", SourceId::OhmsLaw)
                    .number("I", amperes, Unit::Ampere);
                let ohms = joint.as_ohms();
                match read {
                    Some(reading) => step.of(reading).number("Rj", ohms, Unit::Ohm),
                    None => step.stated("Rj", ohms, Unit::Ohm, id, "conductor.joint"),
                }
                .gives("P", rise, Unit::Watt);
            }
            let how = How::Words(
                "cable of the end piece + d (e^(-a/l) - e^(-b/l)) of hotter pieces + \
                 P / (k A m tanh(m L)) + peak above steady",
            );
            let mut step = self
                .step("temperature at the terminal", how, SourceId::FinEquation)
                .number("P", rise, Unit::Watt);
            if let Some(cable) = warmest.warmth.hottest() {
                step = step.number("Tcable", cable.as_degc(), Unit::DegC);
            }
            step.gives("T", value, Unit::DegC);
        }
        self.terminal_stands(end, at)
    }

    /// The same with what the controller allows to last.
    fn terminal_allowed(&self) -> Option<()> {
        let (id, lead) = self.lead()?;
        let at = self.finding.at?;
        let (end, _) = end_at(&lead, at);
        if let Some(value) = self.finding.judged.value {
            let allowed = allowed_to_last(self.design, self.subject.study, id.into())?;
            let how = How::Words(
                "as with the duties, this current for ever in the air of each piece: cable of \
                 the end piece, hotter pieces, joint",
            );
            self.step("temperature at the terminal", how, SourceId::FinEquation)
                .number("Iallowed", allowed.as_amperes(), Unit::Ampere)
                .gives("T", value, Unit::DegC);
        }
        self.terminal_stands(end, at)
    }

    /// What terminal and lug allow.
    fn terminal_stands(&self, end: &End, at: Thing) -> Option<()> {
        let limit = self.finding.judged.limit?;
        let lug = end
            .lug
            .and_then(|lug| Some((lug, self.design.get(lug)?.limit?)));
        let terminal: &Terminal = self.design.get(at.id::<TerminalId>()?)?;
        match (lug, terminal.limit) {
            (Some((lug, stated)), of_terminal)
                if of_terminal.is_none() || alike(stated.as_degc(), limit) =>
            {
                self.limit("Tlimit", lug, "lug-type.limit");
            }
            _ => self.limit("Tlimit", at, "terminal.limit"),
        }
        Some(())
    }

    fn window(&self) -> Option<()> {
        let (id, _) = self.lead()?;
        let warmest = self.subject.study.conductor(id).ok()?.warmest.ok()?;
        let window = warmest.warmth.window?.as_seconds();
        let (part, kind) = self.cable()?;
        let how = How::Words("heat that cable and insulation hold over heat that they give off");
        self.step(
            "thermal time constant in its place",
            how,
            SourceId::RadialChain,
        )
        .of(part)
        .stated(
            "S",
            kind.conductor.section.as_mm2(),
            Unit::Mm2,
            part,
            "cable-type.section",
        )
        .gives("W", window, Unit::Second);
        self.rms(
            id.into(),
            warmest.operation,
            warmest.warmth.rms.as_amperes(),
        )
    }

    fn drop(&self) -> Option<()> {
        let id = self.finding.thing.id::<LoadId>()?;
        let load: &Load = self.design.get(id)?;
        if self.subject.is_high(load.positive) {
            self.high_voltage_drop(id)
        } else {
            self.low_voltage_drop(id)
        }
    }

    fn high_voltage_drop(&self, id: LoadId) -> Option<()> {
        let points = &self.subject.study.points;
        if let Some(value) = self.finding.judged.value {
            let mut shown = false;
            for (phase, _) in self.design.all::<Phase>() {
                let Some(at_load) = points.load(phase, id) else {
                    continue;
                };
                let strings = self.subject.study.strings.iter().enumerate();
                let spans = strings.filter_map(|(index, _)| points.string(phase, index));
                let source = spans.map(|span| span.lowest.as_volts());
                let source = source.fold(f32::NEG_INFINITY, libm::fmaxf);
                let volts = at_load.lowest.as_volts();
                let drawn = points.current(phase, id);
                if shown || value <= 0.0 || !alike(source - volts, value) {
                    continue;
                }
                shown = true;
                let what = "voltage at the load, with cables as warm as they become";
                self.step(what, NETWORK, SourceId::OhmsLaw)
                    .of(phase)
                    .number("Iload", drawn?.as_amperes(), Unit::Ampere)
                    .gives("Uload", volts, Unit::Volt);
                self.by(
                    "drop from the battery",
                    "Ubattery - Uload",
                    SourceId::OhmsLaw,
                )
                .number("Ubattery", source, Unit::Volt)
                .number("Uload", volts, Unit::Volt)
                .gives("dU", value, Unit::Volt);
            }
            if !shown {
                let how = How::Words("the load draws in no phase, or nothing lies in the way");
                self.step("drop from the battery", how, SourceId::OhmsLaw)
                    .gives("dU", value, Unit::Volt);
            }
        }
        let string = self.subject.strings.strings.first()?;
        let empty = self.string_voltage(string, Charged::Minimum)?;
        self.by(
            "share of the voltage of the empty battery",
            "share * Uempty",
            SourceId::CommonPractice,
        )
        .number("share", HIGH_VOLTAGE_DROP, Unit::Share)
        .number("Uempty", empty, Unit::Volt)
        .gives("dUlimit", self.finding.judged.limit?, Unit::Volt);
        Some(())
    }

    fn low_voltage_drop(&self, id: LoadId) -> Option<()> {
        let at = self.finding.at.and_then(Thing::id::<ConverterId>);
        let mut converters = self.design.all::<Converter>();
        let (converter, entry) = converters.find(|(id, _)| at.is_none_or(|at| at == *id))?;
        let output = entry.output?.as_volts();
        let points = &self.subject.study.points;
        if let Some(value) = self.finding.judged.value {
            let mut lowest: Option<(Thing, f32)> = None;
            for (phase, _) in self.design.all::<Phase>() {
                if let Some(span) = points.load(phase, id) {
                    let here = span.lowest.as_volts();
                    if lowest.is_none_or(|(_, known)| here < known) {
                        lowest = Some((phase.into(), here));
                    }
                }
            }
            let (phase, lowest) = lowest?;
            self.step("lowest voltage at the load", NETWORK, SourceId::OhmsLaw)
                .of(phase)
                .gives("Uload", lowest, Unit::Volt);
            self.by(
                "drop from the converter",
                "max(Uout - Uload, 0)",
                SourceId::OhmsLaw,
            )
            .stated("Uout", output, Unit::Volt, converter, "converter.output")
            .number("Uload", lowest, Unit::Volt)
            .gives("dU", value, Unit::Volt);
        }
        self.by(
            "share of the output voltage",
            "share * Uout",
            SourceId::CommonPractice,
        )
        .number("share", LOW_VOLTAGE_DROP, Unit::Share)
        .stated("Uout", output, Unit::Volt, converter, "converter.output")
        .gives("dUlimit", self.finding.judged.limit?, Unit::Volt);
        Some(())
    }

    /// Length of a conductor, the sum over its pieces.
    fn length_of(&self, id: ConductorId, symbol: &'static str) -> Option<f32> {
        let lead = self.design.get(id)?;
        let metres = self.design.length(lead).ok()??.as_metres();
        let how = How::Words("the sum over the pieces of its route");
        let mut step = self
            .step("length of a conductor", how, SourceId::Entered)
            .of(id);
        for (piece, name) in lead.route.pieces().zip(PIECES) {
            let length = self.design.get(piece)?.length.map(Length::as_metres)?;
            step = step.stated(name, length, Unit::Metre, id, "conductor.route");
        }
        step.gives(symbol, metres, Unit::Metre);
        Some(metres)
    }

    fn parallel(&self) -> Option<()> {
        self.finding.judged.value?;
        let (id, _) = self.lead()?;
        let own = self.length_of(id, "l")?;
        let beside = self.length_of(self.finding.at?.id()?, "lbeside")?;
        let (longer, shorter) = (libm::fmaxf(own, beside), libm::fminf(own, beside));
        self.by(
            "the longer of both",
            "max(l, lbeside)",
            SourceId::CommonPractice,
        )
        .number("l", own, Unit::Metre)
        .number("lbeside", beside, Unit::Metre)
        .gives("llonger", longer, Unit::Metre);
        self.by(
            "the shorter of both and what it may be longer",
            "(1 + share) * min(l, lbeside)",
            SourceId::CommonPractice,
        )
        .number("share", PARALLEL_SPREAD, Unit::Share)
        .number("l", own, Unit::Metre)
        .number("lbeside", beside, Unit::Metre)
        .gives("llimit", (1.0 + PARALLEL_SPREAD) * shorter, Unit::Metre);
        Some(())
    }

    fn tap(&self) -> Option<()> {
        let (id, _) = self.lead()?;
        if let Some(value) = self.finding.judged.value {
            self.length_of(id, "l")?;
            let how = How::Words("cable of the smaller section up to the first fuse, all of it");
            self.step("way to the fuse", how, SourceId::CommonPractice)
                .gives("lfuse", value, Unit::Metre);
        }
        let how = How::Words("a figure of the trade");
        self.step("longest way to the fuse", how, SourceId::CommonPractice)
            .gives("llimit", LONGEST_M, Unit::Metre);
        Some(())
    }
}

/// The highest voltage of the sources of the low-voltage side, as it is stated.
impl Work<'_> {
    pub(super) fn low_voltage(&self, value: f32) -> Option<()> {
        for (id, converter) in self.design.all::<Converter>() {
            if converter
                .output
                .is_some_and(|one| alike(one.as_volts(), value))
            {
                self.value("Umax", id, "converter.output");
                return Some(());
            }
        }
        let batteries = self.design.all::<Battery>();
        let mut low = batteries.filter(|(_, one)| one.system == System::LowVoltage);
        let found = low.find(|(_, one)| {
            let volts = one.voltage(Charged::Maximum).ok().flatten();
            volts.is_some_and(|volts| alike(volts.as_volts(), value))
        });
        let Some((id, battery)) = found else {
            let how = How::Words("its batteries in series, full");
            self.step("highest voltage of the low-voltage side", how, None)
                .gives("Umax", value, Unit::Volt);
            return Some(());
        };
        self.by("highest voltage of the low-voltage side", "n * Ucell", None)
            .of(id)
            .stated(
                "n",
                f32::from(battery.in_series),
                Unit::Number,
                id,
                "battery.in-series",
            )
            .stated(
                "Ucell",
                battery.cell.maximum?.as_volts(),
                Unit::Volt,
                id,
                "cell-type.maximum",
            )
            .gives("Umax", value, Unit::Volt);
        Some(())
    }
}

/// The end of a conductor at one of its terminals.
fn end_at(lead: &Conductor, at: Thing) -> (&End, WhichEnd) {
    let [first, second] = &lead.ends;
    if Thing::from(lead.from) == at {
        (first, WhichEnd::From)
    } else {
        (second, WhichEnd::To)
    }
}
