//! The faults of a design and what they do to its protection, for all who show them.

use orangeloom_core::design::{Contactor, ContactorId, Fuse, FuseId};
use orangeloom_core::error::Error;
use orangeloom_core::fault::{FaultResult, FaultWorkspace};
use orangeloom_core::study::{
    ContactorStudy, FaultBurdens, FuseStudy, Known, Withstands, study_contactor, study_fuse,
};
use orangeloom_core::verdict::Verdict;

use super::chassis::{MetalRow, shields, straps};
use super::faults::FaultRow;
use super::{Asked, Report, or_open};

/// Faults, fuses, contactors, straps and shields that are shown.
pub(crate) struct FaultReport {
    pub(crate) rows: Vec<FaultRow>,
    /// Faults that could not be solved, in words.
    pub(crate) refused: Vec<String>,
    /// Of the high-voltage side, or the one that is asked for.
    pub(crate) fuses: Vec<(FuseId, Known<FuseStudy>)>,
    /// The same.
    pub(crate) contactors: Vec<(ContactorId, Known<ContactorStudy>)>,
    pub(crate) straps: Vec<MetalRow>,
    pub(crate) shields: Vec<MetalRow>,
}

impl FaultReport {
    /// Solves every fault and judges what they do.
    pub(crate) fn new(report: &Report) -> Self {
        let (design, study) = (report.design(), &report.study);
        let withstands = Withstands::new(design, study);
        let mut burdens = Box::<FaultBurdens>::default();
        let mut workspace = Box::<FaultWorkspace>::default();
        let (mut rows, mut refused) = (Vec::new(), Vec::new());
        let mut each = |_, result: Result<&FaultResult, Error>| match result {
            Ok(result) if result.is_dead() => {}
            Ok(result) => rows.push(FaultRow::new(report, result, &withstands)),
            Err(error) => refused.push(error.to_string()),
        };
        if let Err(error) = burdens.solve(design, &mut workspace, &mut each) {
            refused.push(error.to_string());
        }
        let systems = design.systems();
        let fuses = design
            .all::<Fuse>()
            .filter(|(id, fuse)| match report.asked {
                None => systems.is_high(fuse.from),
                Some(asked) => matches!(asked, Asked::Fuse(asked) if asked == *id),
            });
        let contactors = design.all::<Contactor>();
        let contactors = contactors.filter(|(id, contactor)| match report.asked {
            None => systems.is_high(contactor.from),
            Some(asked) => matches!(asked, Asked::Contactor(asked) if asked == *id),
        });
        Self {
            fuses: fuses
                .map(|(id, _)| (id, study_fuse(design, study, &burdens, id)))
                .collect(),
            contactors: contactors
                .map(|(id, _)| (id, study_contactor(design, study, &burdens, id)))
                .collect(),
            straps: straps(report, &burdens),
            shields: shields(report, &burdens),
            rows,
            refused,
        }
    }

    /// The worst of all that is shown. What could not be solved is open.
    pub(crate) fn verdict(&self) -> Verdict {
        let refused = match self.refused.as_slice() {
            [] => Verdict::NotApplicable,
            _ => Verdict::Open,
        };
        let fuses = self.fuses.iter();
        let fuses = fuses.map(|(_, studied)| or_open(studied.as_ref(), FuseStudy::verdict));
        let contactors = self.contactors.iter();
        let contactors =
            contactors.map(|(_, studied)| or_open(studied.as_ref(), ContactorStudy::verdict));
        let metal = self.straps.iter().chain(&self.shields);
        let rows = self.rows.iter().map(FaultRow::verdict);
        rows.chain(fuses)
            .chain(contactors)
            .chain(metal.map(MetalRow::verdict))
            .fold(refused, Verdict::worse)
    }
}
