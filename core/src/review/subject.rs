//! What rules read, and how they tell what they find.

use super::aspect::Aspect;
use super::astray::any_denial;
use super::finding::{Because, Finding};
use super::registry::RuleId;
use crate::design::{
    Design, Enclosure, EnclosureId, Gap, Load, LoadId, Role, Strings, System, Systems, Terminal,
    TerminalId, Thing,
};
use crate::quantity::Voltage;
use crate::standard::SourceId;
use crate::study::insulation::InsulationStudy;
use crate::study::{Checked, FaultBurdens, Known, Study, Unknown};
use crate::verdict::{Judged, Side, Verdict};

/// What a review reads, all of it computed once before.
#[derive(Clone, Copy, Debug)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[allow(clippy::exhaustive_structs)] // every study must be there
pub struct Studies<'a> {
    /// Currents, temperatures, loads.
    pub study: &'a Study,
    /// Distances, shields, isolation.
    pub insulation: &'a InsulationStudy,
    /// What all short circuits do.
    pub faults: &'a FaultBurdens,
}

/// What rules read.
pub(super) struct Subject<'a> {
    pub(super) design: &'a Design,
    pub(super) study: &'a Study,
    pub(super) insulation: &'a InsulationStudy,
    pub(super) faults: &'a FaultBurdens,
    pub(super) systems: &'a Systems,
    pub(super) strings: &'a Strings,
    /// Whether somebody says no to any rule.
    pub(super) denials: bool,
}

/// What of a design depends on nothing but what is drawn between which terminals.
#[derive(Debug)]
pub(super) struct Topology {
    systems: Systems,
    strings: Strings,
}

impl Topology {
    pub(super) fn of(design: &Design) -> Self {
        Self {
            systems: design.systems(),
            strings: design.strings(System::Traction),
        }
    }
}

impl<'a> Subject<'a> {
    pub(super) fn new(design: &'a Design, studies: Studies<'a>, topology: &'a Topology) -> Self {
        Self {
            design,
            study: studies.study,
            insulation: studies.insulation,
            faults: studies.faults,
            systems: &topology.systems,
            strings: &topology.strings,
            denials: any_denial(design),
        }
    }

    /// Whether a terminal belongs to the high-voltage side.
    pub(super) fn is_high(&self, terminal: TerminalId) -> bool {
        self.systems.is_high(terminal)
    }

    /// What charges the traction battery, on the high-voltage side.
    pub(super) fn charging_sources(&self) -> impl Iterator<Item = (LoadId, &Load)> {
        let loads = self.design.all::<Load>();
        loads.filter(|(_, load)| load.role == Role::ChargingSource && self.is_high(load.positive))
    }

    /// The highest voltage of the traction battery.
    pub(super) const fn highest(&self) -> Known<Voltage> {
        self.insulation.highest
    }

    /// What ratings are held against: that, or what brakes drive a full battery to.
    pub(super) fn rated(&self) -> Known<Voltage> {
        self.study.pack.rated_voltage()
    }

    /// The box of a terminal.
    pub(super) fn box_of(&self, terminal: TerminalId) -> Option<EnclosureId> {
        self.design
            .get(terminal)
            .and_then(|terminal: &Terminal| terminal.enclosure)
    }
}

/// What is missing of the loads of the high-voltage side that lie in no box: what can be
/// touched of them, and what is live in them, is looked at by nobody then. The input of a
/// converter is such a load.
pub(super) fn without_box<'a>(
    subject: &'a Subject<'_>,
) -> impl Iterator<Item = (LoadId, Because)> + use<'a> {
    let all = subject.design.all::<Load>();
    all.filter_map(|(id, load)| {
        let place = subject.design.box_of(load.enclosure, load.positive);
        let bare = place.or(subject.box_of(load.negative)).is_none();
        let missing = Because::Unknown(Unknown::missing(id, Gap::Box));
        (bare && subject.is_high(load.positive)).then_some((id, missing))
    })
}

/// Takes what a rule finds.
pub(super) struct Sink<'a> {
    rule: RuleId,
    count: u32,
    only: Option<(Thing, Aspect)>,
    put: &'a mut dyn FnMut(Finding),
}

impl<'a> Sink<'a> {
    pub(super) fn new(rule: RuleId, put: &'a mut dyn FnMut(Finding)) -> Self {
        Self {
            rule,
            count: 0,
            only: None,
            put,
        }
    }

    /// Whoever asks wants no findings but those of one thing and aspect.
    #[cfg(feature = "text")] // for what mends a finding
    pub(super) const fn only(mut self, thing: Thing, aspect: Aspect) -> Self {
        self.only = Some((thing, aspect));
        self
    }

    /// Whether a finding is wanted: a rule may leave out what is dear to compute and is not.
    pub(super) fn wants(&self, thing: impl Into<Thing>, aspect: Aspect) -> bool {
        let wanted = (thing.into(), aspect);
        self.only.is_none_or(|only| only == wanted)
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.count == 0
    }

    /// The rule that is being asked.
    pub(super) const fn rule(&self) -> RuleId {
        self.rule
    }

    pub(super) fn put(
        &mut self,
        thing: impl Into<Thing>,
        at: Option<Thing>,
        judged: Judged<Aspect>,
        because: Option<Because>,
    ) {
        self.count = self.count.saturating_add(1);
        let finding = Finding {
            rule: self.rule,
            thing: thing.into(),
            at,
            judged,
            because,
        };
        (self.put)(finding);
    }

    /// A verdict without value.
    pub(super) fn verdict(&mut self, thing: impl Into<Thing>, aspect: Aspect, verdict: Verdict) {
        self.put(thing, None, plain(aspect, verdict), None);
    }

    /// An open finding without value.
    pub(super) fn open(&mut self, thing: impl Into<Thing>, aspect: Aspect, because: Because) {
        self.open_at(thing, None, aspect, because);
    }

    /// The same at a place on the thing.
    pub(super) fn open_at(
        &mut self,
        thing: impl Into<Thing>,
        at: Option<Thing>,
        aspect: Aspect,
        because: Because,
    ) {
        self.put(thing, at, plain(aspect, Verdict::Open), Some(because));
    }

    /// A check of the study, with its own reason.
    pub(super) fn checked<N>(
        &mut self,
        thing: impl Into<Thing>,
        at: Option<Thing>,
        aspect: Aspect,
        checked: &Checked<N>,
    ) {
        let because = checked.because.map(Because::Unknown);
        self.put(thing, at, renamed(&checked.judged, aspect), because);
    }

    /// Holds a value against a limit that an entry states, where both are known.
    pub(super) fn against(&mut self, thing: impl Into<Thing>, check: Check) {
        let thing = thing.into();
        let (judged, because) = check.judge();
        self.put(thing, None, judged, because);
    }
}

/// A value that may not be known against a limit that may not be stated.
#[derive(Clone, Copy)]
pub(super) struct Check {
    pub(super) aspect: Aspect,
    pub(super) value: Known<f32>,
    pub(super) side: Side,
    pub(super) limit: Option<f32>,
    /// Where the limit would be stated.
    pub(super) stated_in: Thing,
    pub(super) source: SourceId,
}

impl Check {
    pub(super) fn judge(self) -> (Judged<Aspect>, Option<Because>) {
        let (aspect, side, source) = (self.aspect, self.side, self.source);
        match (self.value, self.limit) {
            (Ok(value), Some(limit)) => (Judged::compare(aspect, value, side, limit, source), None),
            (value, None) => (
                Judged::open(aspect, value.ok(), side, None, source),
                Some(Because::NoLimit(self.stated_in)),
            ),
            (Err(unknown), limit) => (
                Judged::open(aspect, None, side, limit, source),
                Some(Because::Unknown(unknown)),
            ),
        }
    }
}

/// A judgement without value.
pub(super) const fn plain(aspect: Aspect, verdict: Verdict) -> Judged<Aspect> {
    Judged {
        name: aspect,
        value: None,
        limit: None,
        side: Side::AtMost,
        verdict,
        source: SourceId::CommonPractice,
    }
}

/// The same judgement under the name that reviews give it.
pub(super) const fn renamed<N>(judged: &Judged<N>, aspect: Aspect) -> Judged<Aspect> {
    Judged {
        name: aspect,
        value: judged.value,
        limit: judged.limit,
        side: judged.side,
        verdict: judged.verdict,
        source: judged.source,
    }
}

/// Why a judgement is open: what is not known, else that its limit is not stated.
pub(super) fn why<N>(
    judged: &Judged<N>,
    unknown: Option<Unknown>,
    stated_in: Thing,
) -> Option<Because> {
    if judged.verdict != Verdict::Open {
        return None;
    }
    Some(match unknown {
        Some(unknown) if judged.value.is_none() => Because::Unknown(unknown),
        _ if judged.limit.is_none() => Because::NoLimit(stated_in),
        Some(unknown) => Because::Unknown(unknown),
        None => Because::NoValue(stated_in),
    })
}

/// What is missing where the air around something is: the box that it is in, or the air of
/// its zone.
pub(super) fn air_missing(
    design: &Design,
    thing: impl Into<Thing>,
    place: Option<EnclosureId>,
) -> Unknown {
    let Some(id) = place else {
        return Unknown::Missing(thing.into(), Gap::Box);
    };
    let zone = design.get(id).and_then(|entry: &Enclosure| entry.zone);
    zone.map_or(Unknown::missing(id, Gap::Air), |zone| {
        Unknown::missing(zone, Gap::Air)
    })
}
