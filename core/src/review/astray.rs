//! Records that no rule looks at where they were taken: what somebody wrote down about a
//! vehicle is never passed over.

use super::aspect::Aspect;
use super::attested::stands;
use super::evidence::{attestations, readings_at};
use super::finding::{Because, EvidenceGap};
use super::registry::RuleId;
use super::rule::Proof;
use super::sequence::things_of;
use super::subject::{Sink, Subject, plain};
use crate::design::{
    Attestation, Battery, BatteryId, Conductor, ConductorId, Contactor, ContactorId, Design, Kind,
    Load, LoadId, Measured, Reading, ReadingId, System, TerminalId, Thing, WhichEnd,
};
use crate::verdict::Verdict;

/// Puts what a rule would leave out: somebody's no about a thing that it does not ask about or
/// where it asks nobody, and readings where no rule judges any.
pub(super) fn records(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    if subject.denials {
        denied(subject, sink);
    }
    readings(subject, sink);
}

/// Whether somebody says no to any rule: seldom, so that it is asked first.
pub(super) fn any_denial(design: &Design) -> bool {
    design.all::<Attestation>().any(|(_, one)| !one.holds)
}

fn denied(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let rule = sink.rule();
    // A count of later date clears its no.
    if rule == RuleId::BrakeVacuumReserve {
        return;
    }
    for (id, one) in attestations(subject, rule.slug()).filter(|(_, one)| !one.holds) {
        let (verdict, because) = stands(subject, rule.slug(), one.about);
        let because_of_it = because == Because::Attested(id) && verdict == Verdict::Fails;
        if because_of_it && !fails_at(subject, rule, because, one.about) {
            sink.put(
                one.about,
                None,
                plain(Aspect::Proof, verdict),
                Some(because),
            );
        }
    }
}

/// Whether the rule by itself fails for this reason, or at this thing.
fn fails_at(subject: &Subject<'_>, rule: RuleId, because: Because, thing: Thing) -> bool {
    let mut fails = false;
    let mut put = |one: super::Finding| {
        let here = one.thing == thing || one.because == Some(because);
        fails |= here && one.judged.verdict == Verdict::Fails;
    };
    super::judge(subject, &mut Sink::new(rule, &mut put));
    fails
}

/// The rule that tells of readings of a kind that are astray, and what it judges by them;
/// `None` for what is kept for the papers.
pub(super) const fn home(measured: Measured) -> Option<(RuleId, Aspect)> {
    Some(match measured {
        Measured::Isolation { .. } => (RuleId::IsolationLimit, Aspect::Isolation),
        Measured::Bond { .. } => (RuleId::BondResistance, Aspect::Bond),
        Measured::Joint(_) => (RuleId::JointResistance, Aspect::Joint),
        Measured::Shield(_) => (RuleId::ShieldContinuity, Aspect::ShieldResistance),
        Measured::CutBack(_) => (RuleId::ShieldCutback, Aspect::CutBack),
        Measured::Voltage(_) => (RuleId::EnergisingOrder, Aspect::TestPointHigh),
        Measured::Count(_) => (RuleId::ContactorLog, Aspect::Closings),
        Measured::Precharge(_) => (RuleId::MeasuredVsComputed, Aspect::TimeConstantOff),
        Measured::Discharge(_) => (RuleId::MeasuredVsComputed, Aspect::DischargeOff),
        Measured::Drop { .. } => (RuleId::MeasuredVsComputed, Aspect::DropOff),
        Measured::Temperature { .. } => (RuleId::MeasuredVsComputed, Aspect::TemperatureOff),
        Measured::Capacitance(_) => (RuleId::MeasuredVsComputed, Aspect::CapacitanceOff),
        Measured::PoleToChassis { .. }
        | Measured::Withstood(_)
        | Measured::Torque(_)
        | Measured::Mass(_) => return None,
    })
}

fn readings(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    let rule = sink.rule();
    // Only what is proven by measuring is the home of readings: spares the others the search.
    if rule.rule().proof != Proof::Measured {
        return;
    }
    for (id, reading) in subject.design.all::<Reading>() {
        let told = home(reading.measured).filter(|(home, _)| *home == rule);
        let Some((_, aspect)) = told.filter(|_| !is_judged(subject, id, reading)) else {
            continue;
        };
        let lacks_end = reading.at.kind == Kind::Conductor && reading.end.is_none();
        let gap = match reading.measured {
            Measured::Joint(_) | Measured::CutBack(_) if lacks_end => EvidenceGap::NoEnd,
            _ => EvidenceGap::NotJudgedThere,
        };
        sink.open(reading.at, aspect, Because::Evidence(gap));
    }
}

/// Whether a rule judges such a reading at its thing, or none has to: what belongs to the
/// low-voltage side is for the papers. One of several of a kind at a thing tells for all.
fn is_judged(subject: &Subject<'_>, id: ReadingId, reading: &Reading) -> bool {
    let kind = core::mem::discriminant(&reading.measured);
    let mut before = readings_at(subject, reading.at).take_while(|(other, _)| *other != id);
    if is_low_voltage(subject, reading.at)
        || before.any(|(_, one)| {
            core::mem::discriminant(&one.measured) == kind && one.end == reading.end
        })
    {
        return true;
    }
    let at = reading.at.kind;
    match reading.measured {
        Measured::Isolation { .. } => matches!(at, Kind::Vehicle | Kind::Converter),
        Measured::Bond { .. } => {
            let mut sources = subject.charging_sources();
            at == Kind::Enclosure || sources.any(|(id, _)| Thing::from(id) == reading.at)
        }
        Measured::Joint(_) | Measured::CutBack(_) => {
            at == Kind::Conductor && (reading.end.is_some() || lacks_an_end(subject, reading))
        }
        Measured::Shield(_) | Measured::Drop { .. } => at == Kind::Conductor,
        Measured::Voltage(_) => at == Kind::Battery,
        Measured::Count(_) => matches!(at, Kind::Vehicle | Kind::Contactor),
        Measured::Precharge(_) => {
            let mut all = subject.study.sequences.precharges.iter();
            all.any(|one| Thing::from(one.resistor) == reading.at)
        }
        Measured::Discharge(_) => {
            let mut all = subject.study.sequences.discharges.iter();
            all.any(|one| things_of(one).any(|own| own == reading.at))
        }
        Measured::Temperature { .. } => {
            matches!(at, Kind::Conductor | Kind::Terminal | Kind::Contactor)
        }
        Measured::Capacitance(_) => at == Kind::Load,
        Measured::PoleToChassis { .. }
        | Measured::Withstood(_)
        | Measured::Torque(_)
        | Measured::Mass(_) => true,
    }
}

/// Whether the same was not read at one of the ends, which is told there.
fn lacks_an_end(subject: &Subject<'_>, reading: &Reading) -> bool {
    let kind = core::mem::discriminant(&reading.measured);
    let read = |end: WhichEnd| {
        readings_at(subject, reading.at).any(|(_, one)| {
            one.end == Some(end)
                && (core::mem::discriminant(&one.measured) == kind
                    || (reading.joint().is_some() && one.joint().is_some()))
        })
    };
    !(read(WhichEnd::From) && read(WhichEnd::To))
}

fn is_low_voltage(subject: &Subject<'_>, thing: Thing) -> bool {
    let design = subject.design;
    let low = |terminal: TerminalId| !subject.is_high(terminal);
    let found = match thing.kind {
        Kind::Conductor => {
            let lead = thing.id().and_then(|id: ConductorId| design.get(id));
            lead.map(|lead: &Conductor| low(lead.from))
        }
        Kind::Load => {
            let load = thing.id().and_then(|id: LoadId| design.get(id));
            load.map(|load: &Load| low(load.positive))
        }
        Kind::Contactor => {
            let contactor = thing.id().and_then(|id: ContactorId| design.get(id));
            contactor.map(|one: &Contactor| low(one.from))
        }
        Kind::Battery => {
            let battery = thing.id().and_then(|id: BatteryId| design.get(id));
            battery.map(|one: &Battery| one.system == System::LowVoltage)
        }
        Kind::Terminal => thing.id().map(low),
        _ => None,
    };
    found == Some(true)
}
