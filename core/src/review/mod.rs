//! The checklist: rules over a design and its study.
//!
//! [`review`] asks every rule and hands over what it finds, one finding for each thing
//! that the rule is about. Rules read the study; none computes it again. What is not
//! known leaves a finding open: never a pass.
//!
//! | file | what it is about |
//! |---|---|
//! | `rule` | what a rule is: area, severity, how it is proven |
//! | `registry` | every rule, in the order of the checklist |
//! | `finding` | what a rule finds: thing, value, limit, why it is open |
//! | `aspect` | what is held against what, with its unit |
//! | `subject` | what rules read, and how they tell what they find |
//! | `evidence` | attestations and readings: who, when, with what, of which revision |
//! | `attested`, `measured` | rules that look at those |
//! | `astray` | records that no rule looks at where they were taken |
//! | `compared` | readings against what was computed or stated |
//! | `conductor_read` | temperatures that were read against what stands them |
//! | `allowed` | what the controller allows to last, where the duties ask for less |
//! | `topology` | what is joined with contactors open, which fuse is in series |
//! | `pack`, `conductor`, `fuse`, `contactor`, `coil`, `insulation`, `shield`, `connector`, `low_voltage` | computed rules by area |
//! | `input`, `turning` | what a builder can move, and where a verdict turns |
//! | `short_circuit`, `fuse_in_fault` | what short circuits do to conductors, contactors, bonds, shields; to fuses |
//! | `low_fuse`, `pollution`, `mains`, `trip` | fuses of the low-voltage side, boxes, chargers, the trip of the controller |
//! | `tap`, `service_disconnect` | a smaller section behind a larger one; voltage left on each piece |
//! | `working` | every equation of a finding with the numbers of the design; text for the host only |
//! | `stage` | when in the work a rule is proven, and by which readings |
//! | `change` | what moved between two states of a vehicle |
//! | `sequence` | precharge and discharge of the link, step by step |
//! | `method` | equation, inputs, how to get what is missing, what is not seen; text for the host only |
//! | `prose` | what is checked, why, what to do; text for the host only |

// Found or not reads better as two arms.
#![allow(clippy::single_match_else)]

mod allowed;
mod aspect;
mod astray;
mod attested;
mod change;
mod coil;
mod compared;
mod conductor;
mod conductor_read;
mod connector;
mod contactor;
mod evidence;
mod finding;
mod fuse;
mod fuse_in_fault;
mod input;
mod insulation;
mod low_fuse;
mod low_voltage;
mod mains;
mod measured;
mod method;
mod pack;
mod pollution;
#[cfg(feature = "text")]
mod prose;
mod registry;
mod rule;
mod sequence;
mod service_disconnect;
mod shield;
mod short_circuit;
mod stage;
mod subject;
mod tap;
mod topology;
mod trip;
mod turning;
mod working;

#[cfg(test)]
mod tests;

pub use aspect::*;
#[cfg(feature = "text")]
pub use change::*;
pub use finding::*;
#[cfg(feature = "text")]
pub use input::*;
#[cfg(feature = "text")]
pub use method::Method;
#[cfg(feature = "text")]
pub use prose::*;
pub use registry::*;
pub use rule::*;
#[cfg(feature = "text")]
pub use stage::*;
pub use subject::Studies;
#[cfg(feature = "text")]
pub use turning::*;
#[cfg(feature = "text")]
pub use working::{How, MAX_TERMS, Stated, Step, Term, working};

use crate::design::{Design, Thing};
use crate::verdict::Verdict;

use subject::{Sink, Subject, Topology};

/// Asks every rule of the checklist, in its order, and hands over what it finds.
///
/// Inputs: a design that [`Design::check`] finds no fault in, and its [`Studies`]. Every
/// rule gives at least one finding; one without an object gives
/// [`Verdict::NotApplicable`] for the vehicle. Bound: rules times things squared.
pub fn review(design: &Design, studies: Studies<'_>, put: &mut dyn FnMut(Finding)) {
    review_rules(design, studies, RuleId::ALL.iter().copied(), put);
}

/// Asks some rules, for whoever asks the others elsewhere: none knows what another found.
pub fn review_rules(
    design: &Design,
    studies: Studies<'_>,
    rules: impl IntoIterator<Item = RuleId>,
    put: &mut dyn FnMut(Finding),
) {
    let topology = Topology::of(design);
    let subject = Subject::new(design, studies, &topology);
    for id in rules {
        ask_into(&subject, Sink::new(id, put));
    }
}

fn ask_into(subject: &Subject<'_>, mut sink: Sink<'_>) {
    judge(subject, &mut sink);
    astray::records(subject, &mut sink);
    if sink.is_empty() {
        sink.verdict(Thing::VEHICLE, Aspect::Proof, Verdict::NotApplicable);
    }
}

fn judge(subject: &Subject<'_>, sink: &mut Sink<'_>) {
    match sink.rule().rule().judge {
        Judge::Computed(function) => function(subject, sink),
        Judge::Attested(scope) => attested::judge(subject, scope, sink),
    }
}

/// Whether a finding keeps a review from passing: a rule of severity stop or fix that
/// fails, or one of severity stop that is open.
pub const fn blocks(finding: &Finding) -> bool {
    let severity = finding.rule.rule().severity;
    matches!(
        (severity, finding.judged.verdict),
        (Severity::Stop | Severity::Fix, Verdict::Fails) | (Severity::Stop, Verdict::Open)
    )
}

/// The same for a finding that somebody accepted as a deviation. Whoever accepts may hand
/// over what is to be mended before handing over; nobody may energise what must not be
/// energised, and nobody can accept what is not known.
pub const fn blocks_although_accepted(finding: &Finding) -> bool {
    let severity = finding.rule.rule().severity;
    blocks(finding)
        && !matches!(
            (severity, finding.judged.verdict),
            (Severity::Fix | Severity::Note, Verdict::Fails)
        )
}
