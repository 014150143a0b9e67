//! The working of a finding: every equation with the numbers of the design, and where
//! each number is stated. On the host only: a controller explains nothing.
//!
//! A working leads from what is stated to the value and to the limit of the finding; the
//! comparison of both is the finding itself. Where a number comes out of a search, a
//! network or a course in time, the step says so and shows what went in.
//!
//! | file | what it is about |
//! |---|---|
//! | `pack` | voltages, currents of strings, joining |
//! | `conductor` | temperatures, drop, lengths, sections |
//! | `part` | fuses, contactors, coils, lugs, glands |
//! | `short_circuit` | what short circuits and capacitors drive |
//! | `sequence` | precharge and discharge |
//! | `chassis` | isolation, touch energy, monitor, distances |
//! | `measured` | readings, and what they are held against |

#![cfg(feature = "text")]

mod chassis;
mod conductor;
mod measured;
mod pack;
mod part;
mod sequence;
mod short_circuit;

use core::cell::RefCell;

use heapless::Vec;

use super::aspect::{Aspect, Unit};
use super::finding::Finding;
use super::subject::{Studies, Subject, Topology};
use crate::design::{Design, Thing};
use crate::fault::FaultResult;
use crate::standard::SourceId;

/// Most numbers of one step.
pub const MAX_TERMS: usize = 12;

/// Where a number is stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub struct Stated {
    /// The thing.
    pub thing: Thing,
    /// Section and key of the file, as `battery.in-series`; a key of another section
    /// belongs to the entry that the thing refers to.
    pub key: &'static str,
}

/// A number with its symbol.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub struct Term {
    /// As in the equation.
    pub symbol: &'static str,
    /// In the unit.
    pub value: f32,
    /// Its unit.
    pub unit: Unit,
    /// Where it is stated; absent where it was computed before, or is a default.
    pub stated: Option<Stated>,
}

/// How a step comes to its result.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(clippy::exhaustive_enums)] // an equation, or words
pub enum How {
    /// The right side of an equation: `+ - * / ^`, brackets, `sqrt`, `ln`, `exp`, `min`,
    /// `max` over the symbols of the terms. With their values it gives the result.
    Equation(&'static str),
    /// A search, a network, a curve, a course in time: in words.
    Words(&'static str),
}

/// One step of a working.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Step {
    /// What is computed.
    pub what: &'static str,
    /// The thing that it belongs to, where that is not the one of the finding.
    pub of: Option<Thing>,
    /// How.
    pub how: How,
    /// What goes in.
    pub terms: Vec<Term, MAX_TERMS, u8>,
    /// What comes out.
    pub result: Term,
    /// Where the equation comes from; absent for sums and definitions.
    pub source: Option<SourceId>,
}

/// Computes: the working of a finding, step by step, in order. Nothing for a finding
/// without numbers.
///
/// Inputs: the design, its studies, every short circuit of it, the finding.
pub fn working(
    design: &Design,
    studies: Studies<'_>,
    shorts: &[FaultResult],
    finding: &Finding,
    put: &mut dyn FnMut(Step),
) {
    let topology = Topology::of(design);
    let subject = Subject::new(design, studies, &topology);
    let put = RefCell::new(put);
    let work = Work {
        design,
        subject: &subject,
        shorts,
        finding,
        put: &|step| {
            // Nobody writes a step while another is handed over.
            if let Ok(mut put) = put.try_borrow_mut() {
                put(step);
            }
        },
    };
    // What cannot be shown is left out; a test asks for each value and limit.
    let _ = work.all();
}

/// A working while it is written.
struct Work<'a> {
    design: &'a Design,
    subject: &'a Subject<'a>,
    shorts: &'a [FaultResult],
    finding: &'a Finding,
    put: &'a dyn Fn(Step),
}

impl<'a> Work<'a> {
    fn all(&self) -> Option<()> {
        match self.finding.judged.name {
            Aspect::RatedVoltage
            | Aspect::DomainVoltage
            | Aspect::LowestVoltage
            | Aspect::HighestVoltage
            | Aspect::Polarity
            | Aspect::FedPower
            | Aspect::CellsInSeries
            | Aspect::FullVoltage
            | Aspect::StringDischarge
            | Aspect::StringCharge
            | Aspect::StringTrip
            | Aspect::StringLost
            | Aspect::StringLostCharge
            | Aspect::PieceVoltage
            | Aspect::JoinWindow
            | Aspect::JoinSensors
            | Aspect::BackFeed => self.of_pack(),
            Aspect::SteadyTemperature
            | Aspect::PeakTemperature
            | Aspect::TerminalTemperature
            | Aspect::TerminalAllowed
            | Aspect::DutyWindow
            | Aspect::Drop
            | Aspect::CableClass
            | Aspect::ParallelLength
            | Aspect::LowVoltageDistance
            | Aspect::TapLength => self.of_conductor(),
            Aspect::WithoutFuse
            | Aspect::FaultLargest
            | Aspect::FaultSmallest
            | Aspect::LeadI2t
            | Aspect::FuseTimeConstant
            | Aspect::FuseBreaking
            | Aspect::LeastFault
            | Aspect::TakesOver
            | Aspect::SelectiveI2t
            | Aspect::SelectiveTime
            | Aspect::CapacitorPeak
            | Aspect::CapacitorI2t
            | Aspect::ContactPeak
            | Aspect::ContactI2t
            | Aspect::StrapSection
            | Aspect::ShieldSection => self.of_short_circuit(),
            Aspect::PrechargeTry
            | Aspect::PrechargeSeries
            | Aspect::PrechargePeakCurrent
            | Aspect::PrechargePeakPower
            | Aspect::PrechargeStuck
            | Aspect::PrechargeTime
            | Aspect::PrechargeSettles
            | Aspect::DischargeLabel
            | Aspect::DischargeTime
            | Aspect::DischargeEnergy
            | Aspect::DischargeWelded
            | Aspect::BleedPower
            | Aspect::ContactMake => self.of_sequence(),
            Aspect::IsolationBudget
            | Aspect::TouchEnergy
            | Aspect::MonitorCapacitance
            | Aspect::MonitorVoltage
            | Aspect::MonitorTime
            | Aspect::MonitorAlarm
            | Aspect::Clearance
            | Aspect::SystemVoltage
            | Aspect::StatedImpulse
            | Aspect::Creepage => self.of_chassis(),
            Aspect::Isolation
            | Aspect::IsolationNew
            | Aspect::TesterVoltage
            | Aspect::Bond
            | Aspect::Joint
            | Aspect::CutBack
            | Aspect::ShieldResistance
            | Aspect::Strokes
            | Aspect::Closings
            | Aspect::TestPointHigh
            | Aspect::TestPointLow
            | Aspect::TimeConstantOff
            | Aspect::DischargeOff
            | Aspect::DropOff
            | Aspect::TemperatureRead
            | Aspect::TemperatureCarried
            | Aspect::TemperatureOff
            | Aspect::CapacitanceOff
            | Aspect::TestPointApart => self.of_reading(),
            _ => self.of_part(),
        }
    }

    /// The limit of the finding as it is stated.
    fn limit(&self, symbol: &'static str, thing: impl Into<Thing>, key: &'static str) {
        if let Some(limit) = self.finding.judged.limit {
            let unit = self.finding.judged.name.unit();
            let what = self.finding.judged.name.limit_words();
            self.given(what, symbol, limit, unit, thing.into(), key);
        }
    }

    /// The limit of the finding where it is a figure of a rule or of the trade.
    fn fixed_limit(&self, symbol: &'static str) {
        if let Some(limit) = self.finding.judged.limit {
            let judged = &self.finding.judged;
            let what = judged.name.limit_words();
            let how = How::Words("a fixed figure");
            self.step(what, how, judged.source)
                .gives(symbol, limit, judged.name.unit());
        }
    }

    /// The value of the finding as it is stated.
    fn value(&self, symbol: &'static str, thing: impl Into<Thing>, key: &'static str) {
        if let Some(value) = self.finding.judged.value {
            let unit = self.finding.judged.name.unit();
            let what = self.finding.judged.name.value_words();
            self.given(what, symbol, value, unit, thing.into(), key);
        }
    }

    /// A number as it is stated.
    fn given(
        &self,
        what: &'static str,
        symbol: &'static str,
        value: f32,
        unit: Unit,
        thing: Thing,
        key: &'static str,
    ) {
        let stated = Some(Stated { thing, key });
        (self.put)(Step {
            what,
            of: (thing != self.finding.thing).then_some(thing),
            how: How::Words("as stated"),
            terms: Vec::new(),
            result: Term {
                symbol,
                value,
                unit,
                stated,
            },
            source: Some(SourceId::Entered),
        });
    }

    fn step(&self, what: &'static str, how: How, source: impl Into<Option<SourceId>>) -> Open<'a> {
        Open {
            put: self.put,
            what,
            of: None,
            how,
            terms: Vec::new(),
            source: source.into(),
        }
    }

    /// A step by an equation.
    fn by(
        &self,
        what: &'static str,
        equation: &'static str,
        source: impl Into<Option<SourceId>>,
    ) -> Open<'a> {
        self.step(what, How::Equation(equation), source)
    }
}

/// A step that lacks its result.
struct Open<'a> {
    put: &'a dyn Fn(Step),
    what: &'static str,
    of: Option<Thing>,
    how: How,
    terms: Vec<Term, MAX_TERMS, u8>,
    source: Option<SourceId>,
}

impl Open<'_> {
    fn of(mut self, thing: impl Into<Thing>) -> Self {
        self.of = Some(thing.into());
        self
    }

    fn term(mut self, term: Term) -> Self {
        // No step has more; one that had would fail the test that evaluates it.
        let _ = self.terms.push(term);
        self
    }

    /// A number that is stated.
    fn stated(
        self,
        symbol: &'static str,
        value: f32,
        unit: Unit,
        thing: impl Into<Thing>,
        key: &'static str,
    ) -> Self {
        let thing = thing.into();
        self.term(Term {
            symbol,
            value,
            unit,
            stated: Some(Stated { thing, key }),
        })
    }

    /// A number that was computed before, or is a default.
    fn number(self, symbol: &'static str, value: f32, unit: Unit) -> Self {
        self.term(Term {
            symbol,
            value,
            unit,
            stated: None,
        })
    }

    /// A number that is stated, or else has a default.
    fn stated_or(
        self,
        symbol: &'static str,
        (stated, default): (Option<f32>, f32),
        unit: Unit,
        thing: impl Into<Thing>,
        key: &'static str,
    ) -> Self {
        match stated {
            Some(value) => self.stated(symbol, value, unit, thing, key),
            None => self.number(symbol, default, unit),
        }
    }

    fn gives(self, symbol: &'static str, value: f32, unit: Unit) {
        let step = Step {
            what: self.what,
            of: self.of,
            how: self.how,
            terms: self.terms,
            result: Term {
                symbol,
                value,
                unit,
                stated: None,
            },
            source: self.source,
        };
        (self.put)(step);
    }
}
