//! `orangeloom record`: readings and attestations into a design, judged.

mod args;
mod json;
mod judged;
mod reads;
mod store;
mod text;

pub use args::RecordArgs;

use orangeloom_core::verdict::Verdict;

use crate::cli::{Exit, Outcome};
use crate::design_file::{Recorded, read_records, refuse};
use crate::review::Reviewed;
use judged::{Judged, judge};
use store::store;

/// Everything that the renderers show.
struct Report {
    reviewed: Reviewed,
    records: Vec<Judged>,
    /// The file that was written.
    written: Option<String>,
    args: RecordArgs,
}

impl Report {
    /// How many records of the file the design had already.
    fn known(&self) -> usize {
        self.records.iter().filter(|record| record.known).count()
    }
}

/// Records what was measured and looked at.
pub fn run(args: &RecordArgs) -> Outcome {
    let recorded = read_records(&args.file, &args.readings);
    if !recorded.read.problems.is_empty() {
        return refuse(
            &recorded.read,
            recorded.at_fault(&args.file, &args.readings),
        );
    }
    let written = match store(args, &recorded) {
        Ok(written) => written,
        Err(message) => return Outcome::unusable(&message),
    };
    let Recorded {
        read,
        readings,
        attestations,
        known,
        ..
    } = recorded;
    let reviewed = Reviewed::of_design(read);
    let records = judge(&reviewed, &readings, &attestations, &known);
    // What somebody recorded he asks about.
    let verdicts = records.iter().flat_map(Judged::verdicts);
    // One that no rule reads where it was read proves nothing.
    let misplaced = records.iter().filter(|record| record.misplaced);
    let verdicts = verdicts.chain(misplaced.map(|_| Verdict::Open));
    let exit = Exit::of(verdicts.map(|verdict| (verdict, true)));
    let report = Report {
        reviewed,
        records,
        written,
        args: args.clone(),
    };
    let rendered = if args.json {
        json::render(&report)
    } else {
        Ok(text::render(&report))
    };
    Outcome::rendered(rendered, exit)
}
