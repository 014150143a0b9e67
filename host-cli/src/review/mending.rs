//! Where a verdict turns, in words: what mends what fails, and how far what holds may
//! move.

use orangeloom_core::design::{FuseId, ResistorId};
use orangeloom_core::link::{PrechargeCheck, WindowEnd};
use orangeloom_core::quantity::CurrentSquaredTime;
use orangeloom_core::review::{
    ChangedDesign, ChangedFaults, Finding, Input, Rooms, Turning, Unit, turning,
};
use orangeloom_core::study::{Study, study_fuse};
use orangeloom_core::verdict::Verdict;
use serde_json::{Value, json};

use super::Reviewed;
use super::told::{amount_in, unit_key};
use crate::quantity_text::Units;
use crate::study::faults::window_words;
use crate::study::names;
use crate::thing_text::thing_at;

/// Where changes are tried. Each room is made when it is needed, from a constant: one that
/// is made on the stack and copied takes twice the memory, which the kernel hands out page
/// by page.
#[derive(Default)]
pub(super) struct Trial {
    changed: Option<Box<ChangedDesign>>,
    faults: Option<Box<ChangedFaults>>,
}

fn changed() -> Box<ChangedDesign> {
    Box::new(const { ChangedDesign::new() })
}

fn faults() -> Box<ChangedFaults> {
    Box::new(const { ChangedFaults::new() })
}

impl Rooms for Trial {
    fn changed(&mut self) -> &mut ChangedDesign {
        self.changed.get_or_insert_with(changed)
    }

    fn with_faults(&mut self) -> (&mut ChangedDesign, &mut ChangedFaults) {
        let Self {
            changed: one,
            faults: other,
        } = self;
        (
            one.get_or_insert_with(changed),
            other.get_or_insert_with(faults),
        )
    }
}

impl Trial {
    /// Where the verdict of a finding turns.
    pub(super) fn turning(&mut self, reviewed: &Reviewed, finding: &Finding) -> Option<Turning> {
        turning(reviewed.design(), reviewed.studies(), finding, self)
    }
}

/// The smallest change that mends a finding that fails.
pub(super) struct Change {
    turning: Turning,
    /// Whether the input has to be larger, or smaller.
    more: bool,
    pub(super) told: String,
}

impl Change {
    /// Of two changes of one input of one thing in one direction whether this one goes
    /// further, and so mends what the other one mends as well; `None` for other changes. With
    /// another rated current of a series goes the window of the place of each fuse.
    pub(super) fn goes_beyond(&self, other: &Self) -> Option<bool> {
        let of = |one: &Self| (one.turning.thing, one.turning.input, one.more);
        let places = self.turning.input == Input::FuseSeries && self.told != other.told;
        let [this, that] = [self, other].map(|one| one.turning.turns_at);
        let beyond = if self.more { this > that } else { this < that };
        (of(self) == of(other) && !places).then_some(beyond)
    }
}

/// The smallest change that mends a finding that fails; `None` where none is known.
pub(super) fn mended(reviewed: &Reviewed, finding: &Finding, trial: &mut Trial) -> Option<Change> {
    if finding.judged.verdict != Verdict::Fails {
        return None;
    }
    let turning = trial.turning(reviewed, finding)?;
    let unit = turning.input.unit();
    let more = turning.now.is_none_or(|now| turning.turns_at > now);
    let bound = match (turning.input, more) {
        // A section is bought as it is listed.
        (Input::Section, _) => "",
        (_, true) => "at least ",
        (_, false) => "at most ",
    };
    let now = turning
        .now
        .map(|now| format!(", now {}", amount_in(unit, now, None)))
        .unwrap_or_default();
    let told = format!(
        "holds with: {}: {} {bound}{}{now}{}",
        thing_at(&reviewed.read, turning.thing),
        turning.input.words(),
        amount_in(unit, turning.turns_at, Some(more)),
        beside(reviewed, finding, &turning),
    );
    Some(Change {
        turning,
        more,
        told,
    })
}

/// What goes with a change: joule integrals of a fuse and its window, resistors that keep
/// every check, the section of a wire.
fn beside(reviewed: &Reviewed, finding: &Finding, turning: &Turning) -> String {
    let (design, study) = (reviewed.design(), &reviewed.study);
    if let Some(fuse) = turning.fuse(design) {
        let i2t = |words: &str, value: Option<CurrentSquaredTime>| {
            value.map_or_else(String::new, |i2t| {
                let amount = amount_in(Unit::A2s, i2t.as_a2s(), None);
                format!(", {words} {amount}")
            })
        };
        let window = finding.thing.id::<FuseId>().and_then(|id| {
            let studied = study_fuse(design, study, &reviewed.faults, id).ok()?;
            studied.window
        });
        let window = window.map_or_else(String::new, |window| {
            let words = window_words(Units::Metric, &window);
            format!("; window of this series over all checks: {words}")
        });
        return format!(
            "{}{}{window}",
            i2t("melting I2t", fuse.melting),
            i2t("total I2t", fuse.total)
        );
    }
    if turning.input == Input::TimeOut
        && let Some(stands) = stood_less(study, finding, turning)
    {
        let stands = amount_in(Unit::Second, stands, Some(false));
        return format!(
            "; but the resistor stands the battery for {stands} only: with it a larger part, or \
             one with a thermal cut-out"
        );
    }
    if let Some(times) = turning.more_section() {
        let times = amount_in(Unit::Number, times, Some(true));
        return format!(": wires of {times} times the section, or as much shorter");
    }
    if let Some(window) = turning.resistors(design, study, finding) {
        if window.is_empty() {
            return "; no resistor keeps every check of this precharge".to_owned();
        }
        let end = |end: Option<WindowEnd>, up| {
            let ohms = end.and_then(|end| end.resistance);
            ohms.map(|ohms| amount_in(Unit::Ohm, ohms.as_ohms(), Some(up)))
        };
        let from =
            end(window.smallest(), true).map_or_else(String::new, |ohms| format!(" from {ohms}"));
        let to =
            end(window.largest(), false).map_or_else(String::new, |ohms| format!(" to {ohms}"));
        return format!("; every check of this precharge holds{from}{to}");
    }
    String::new()
}

/// How long a precharge resistor stands a link that stays down, where a time-out that is
/// proposed is longer.
fn stood_less(study: &Study, finding: &Finding, turning: &Turning) -> Option<f32> {
    let id = finding.thing.id::<ResistorId>()?;
    let stuck = study.sequences.precharge(id)?.check(PrechargeCheck::Stuck);
    let (closed, stands) = (stuck.judged.value?, stuck.judged.limit?);
    let reaction = closed - turning.now?;
    (turning.turns_at + reaction > stands).then_some(stands)
}

/// Both for a program; null where the verdict turns with no input that can be moved.
pub(super) fn json(reviewed: &Reviewed, turning: Option<Turning>) -> Value {
    turning.map_or(Value::Null, |turning| {
        let unit = unit_key(turning.input.unit());
        json!({
            "thing": names::thing(reviewed.design(), turning.thing),
            "input": turning.input,
            format!("now_{unit}"): turning.now,
            format!("turns_at_{unit}"): turning.turns_at,
        })
    })
}
