//! What a rule finds.

use super::aspect::Aspect;
use super::registry::RuleId;
use crate::design::{AttestationId, ReadingId, Thing};
use crate::error::Error;
use crate::fault::{End, Fault};
use crate::network::Refusal;
use crate::protection::{FuseGap, Unbroken};
use crate::study::Unknown;
use crate::verdict::Judged;

/// What a rule finds about one thing.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub struct Finding {
    /// The rule.
    pub rule: RuleId,
    /// The thing.
    pub thing: Thing,
    /// Where on it or with what: a terminal, an operation, a phase; `None` for the
    /// thing as a whole.
    pub at: Option<Thing>,
    /// Value, limit, verdict, source.
    pub judged: Judged<Aspect>,
    /// What keeps it open, or what it rests on.
    pub because: Option<Because>,
}

/// What keeps a finding open, or what it rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
#[cfg_attr(feature = "defmt", derive(defmt::Format))]
#[non_exhaustive]
pub enum Because {
    /// The study does not know.
    Unknown(Unknown),
    /// The limit is not stated in this entry; [`Aspect`] names it.
    NoLimit(Thing),
    /// The value is not stated in this entry; [`Aspect`] names it.
    NoValue(Thing),
    /// Evidence is missing or does not count.
    Evidence(EvidenceGap),
    /// It is worst in this short circuit.
    Short(Fault),
    /// This short circuit does not go off, or that is not known: how it ends.
    Ends(Fault, End),
    /// The datasheet of this fuse type does not say.
    Datasheet(Thing, FuseGap),
    /// A fuse of this type does not break it.
    NotBroken(Thing, Unbroken),
    /// It rests on this reading.
    Read(ReadingId),
    /// It rests on this attestation.
    Attested(AttestationId),
    /// The network has no operating point.
    NotSolved(Refusal),
    /// A computation was refused.
    Refused(Error),
}

worded! {
    /// Why evidence is missing or does not count.
    #[non_exhaustive]
    EvidenceGap {
        /// Nothing was read.
        NoReading: "no reading; measure it and write it down as a [[reading]]";
        /// The reading does not say at which end.
        NoEnd: "its record names no end of the conductor; state end: \"from\" or \"to\"";
        /// Nobody stands for it.
        NoAttestation: "nobody stands for it; look and write an [[attestation]] with this rule";
        /// The record has no initials.
        NoInitials: "its record has no initials; state who did it";
        /// The record has no date.
        NoDate: "its record has no date; state when it was done";
        /// The reading names no instrument.
        NoInstrument: "its record names no instrument; state with which it was read";
        /// The record names no revision.
        NoRevision: "its record names no revision of the design; state which was in force";
        /// The record belongs to another revision.
        OtherRevision: "its record belongs to another revision of the design; do it again";
        /// The design has no revision.
        DesignWithoutRevision: "the design has no revision, so no record can be told old from new; state revision under [vehicle]";
        /// A reading of nothing at all.
        BelowInstrument: "0 is below what the instrument shows, so the reading proves nothing; record what it can tell apart, as 0.1 mohm";
        /// No rule looks at such a reading of this thing.
        NotJudgedThere: "no rule judges this thing by such a reading; correct what it is about, or take the record out";
        /// Readings that are held against each other were not taken together.
        NotTogether: "read more than an hour apart, on different days or with different instruments, so the difference proves nothing; read all of them within an hour with one meter";
        /// Nothing was computed to hold it against.
        NotCompared: "nothing is computed to hold it against: several conductors meet there, or none; read it at a conductor and its end";
        /// The tester's current or voltage is too low or not stated.
        TesterTooWeak: "the current or voltage of the tester is too low or not stated, so the reading proves nothing";
    }
}
