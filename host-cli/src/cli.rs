//! The verbs, and what a run of one leaves behind.

use std::process::ExitCode;

use clap::{Args, CommandFactory, Parser, Subcommand};

use orangeloom_core::verdict::Verdict;

use crate::{compare, design_file, limits, precharge, record, review, size, spacing, study};

const ABOUT: &str =
    "Sizes, checks and reviews the high-voltage side of one-off electric conversions";

const CAUTION: &str = "\
High-voltage DC kills. orangeloom calculates from what you enter; it does not \
measure, certify or replace local codes, the makers' instructions and licensed \
practice. See SAFETY.md.";

/// The one rule of every verb that judges; [`Exit::of`] carries it out.
const EXIT_CODES: &str = "\
Exit codes:
  0  everything that was asked holds; what was not asked stays open, is listed, and is no pass
  1  something that was asked fails or cannot be judged, or nothing holds
  2  the input could not be used
A check is asked when what it judges was entered.";

const READ_CODES: &str = "\
Exit codes:
  0  the file was read without error
  2  the file could not be used; every error is told";

const STUDY_EXIT_CODES: &str = "\
Exit codes:
  0  nothing fails; what is not known stays open and is listed
  1  a limit fails, a phase has no operating point, or what a flag asks for (--conductor, --fuse,
     --contactor, --faults, --insulation, --sequences) is open
  2  the file could not be used; every error is told";

const LIMITS_EXIT_CODES: &str = "\
Exit codes:
  0  the limits were made
  1  the review does not pass and no reason was given, or something that nothing safe stands for is missing
  2  the file could not be used; every error is told";

const REVIEW_EXIT_CODES: &str = "\
Exit codes:
  0  no rule of severity stop or fix fails, and no rule of severity stop is open
  1  one does; an accepted deviation of severity fix counts no more, one of severity stop does
  2  a file could not be used, or an accepted deviation is none; every error is told";

const ACCEPTED: &str = "\
A file of accepted deviations names each with who answers for it, why and since when:
  [[accepted]]
  rule = \"converter-capacity\"
  converter = \"converter\"
  reason = \"lamps and pump do not run together\"
  who = \"E. Maas\"
  date = 2026-03-20
  up-to = \"7.4 A\"
  revision = \"A\"
up-to is how much too much or too little is accepted, as the review prints it: more is refused.
Without it however much it becomes in this revision is accepted, and the review says so.
at = \"row\" would accept it in one place only: the one that the review names behind the thing.
aspect = \"drop-off\" would accept one of several things that a rule finds wrong there; where
there are several it is needed, and up-to is in its unit. An entry without it that meets several
is refused, and they are listed.";

const RECORD_EXIT_CODES: &str = "\
Exit codes:
  0  every rule that reads a record of the sheet holds by it, new or there already, or by the one
     that counts in its place; what else is open is listed
  1  one fails, or is open although it was recorded, or no rule reads such a record of this thing;
     what no rule reads of any thing (torque, mass, withstood, pole-to-chassis) is kept for the
     papers and counts for nothing
  2  a file could not be used, or records contradict each other; nothing was written";

const RECORD_SHEET: &str = "\
A sheet names a key of [[reading]] or [[attestation]] in each column of its first row:
  box;bond [mohm];test-current;instrument;initials;date;revision
  J1;34,5;0.2 A;milliohm meter;EM;14.3.2026;A
Columns are parted by semicolons, commas or tabs. A row with a rule is an attestation
(rule;box;holds;initials;date;revision), holds is yes or no, a date 2026-03-14 or 14.3.2026.
In a sheet with decimal commas 1.234 is refused, and in one whose columns no comma parts, unless
other numbers in it, as 34.5, show its decimal sign: nobody knows whether it is a thousand.
Every reading needs unit, instrument, initials and date; what is found and mended on one day a
time-of-day each, as 9:05 and 14:30. Where accuracy is stated (5 %) the worse end is judged. Above
the range of a tester (>550 Mohm, OL) isolation is recorded as the largest value that it can show,
a bond below its smallest step as that step. A drop at the end of a conductor, with its current, is
a joint. A torque is kept for the papers; what counts for joint-torque is an attestation. Clearance
and creepage are stated in the design, under [[spacing]].";

const COMPARE_EXIT_CODES: &str = "\
Exit codes:
  0  nothing that keeps a review from passing is new
  1  a rule of severity stop or fix fails, or one of severity stop is open, that was not before
  2  a file could not be used; every error is told";

const COMPARE_RECORDS: &str = "\
Records of an older revision do not count for a newer one. Where the revision is another one the
page ends with a [[carry-over]] for the new design: once somebody stands for it, the old records
count again, but for the tests that the change can reach.";

/// The whole command line.
#[derive(Debug, Parser)]
#[command(
    name = "orangeloom",
    version,
    about = ABOUT,
    long_about = format!("{ABOUT}.\n\n{CAUTION}"),
    after_help = EXIT_CODES,
    max_term_width = 100
)]
#[non_exhaustive]
pub struct Cli {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// The verbs.
#[derive(Debug, Subcommand)]
#[non_exhaustive]
pub enum Command {
    /// Find the smallest conductor that holds, or judge one
    #[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}"))]
    Size(Box<size::SizeArgs>),
    /// Read a design file; say everything that is wrong with it, or what was read
    #[command(after_help = READ_CODES)]
    Check(design_file::CheckArgs),
    /// Compute currents, temperatures, voltages and masses of a design
    #[command(after_help = format!("{STUDY_EXIT_CODES}\n\n{CAUTION}"))]
    Study(study::StudyArgs),
    /// Review a design against the checklist: what holds, fails, stays open
    #[command(after_help = format!("{REVIEW_EXIT_CODES}\n\n{ACCEPTED}\n\n{CAUTION}"))]
    Review(review::ReviewArgs),
    /// Take readings and attestations into a design, judge them, say what is still open
    #[command(after_help = format!("{RECORD_EXIT_CODES}\n\n{RECORD_SHEET}\n\n{CAUTION}"))]
    Record(record::RecordArgs),
    /// Compare two states of a design: what moved, which circuits, which tests to repeat
    #[command(after_help = format!("{COMPARE_EXIT_CODES}\n\n{COMPARE_RECORDS}\n\n{CAUTION}"))]
    Compare(compare::CompareArgs),
    /// List the rules of the checklist
    Rules(review::RulesArgs),
    /// Explain a rule; with a design file, show what it finds there
    Explain(review::ExplainArgs),
    /// Write a commented starter design with its parts
    New(design_file::NewArgs),
    /// Make the limits that the controller of a reviewed vehicle keeps
    #[command(after_help = format!("{LIMITS_EXIT_CODES}\n\n{CAUTION}"))]
    Limits(limits::LimitsArgs),
    /// Find the clearance and creepage distance that are needed, or judge entered ones
    #[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}"))]
    Spacing(Box<spacing::SpacingArgs>),
    /// Find the precharge resistor, or judge one; discharge and waiting time
    #[command(after_help = format!("{EXIT_CODES}\n\n{CAUTION}"))]
    Precharge(Box<precharge::PrechargeArgs>),
    /// Write a completion script for a shell
    Completions(CompletionsArgs),
    /// Write the manual page
    Manual,
}

/// Which shell to complete for.
#[derive(Debug, Args)]
#[non_exhaustive]
pub struct CompletionsArgs {
    /// The shell
    pub shell: clap_complete::Shell,
}

/// What a run leaves behind. The result goes to standard output, everything else to
/// standard error.
#[derive(Debug, Default)]
#[non_exhaustive]
pub struct Outcome {
    /// The result.
    pub stdout: String,
    /// Messages.
    pub stderr: String,
    /// The exit status.
    pub exit: Exit,
}

/// How a run ended.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
#[non_exhaustive]
pub enum Exit {
    /// Everything that was asked holds.
    #[default]
    Holds,
    /// Something that was asked fails or cannot be judged, or nothing holds.
    Fails,
    /// The input could not be used.
    Unusable,
}

impl Exit {
    /// The exit status for checks that were made: each with its verdict, and whether it
    /// was asked, which it is when what it judges was entered.
    ///
    /// A check that fails counts even where nobody asked. One that is open counts only
    /// where somebody did: he may take silence for a pass.
    pub fn of(checks: impl IntoIterator<Item = (Verdict, bool)>) -> Self {
        let stops = checks.into_iter().any(|(verdict, asked)| match verdict {
            Verdict::Fails => true,
            Verdict::Open => asked,
            Verdict::Holds | Verdict::NotApplicable => false,
        });
        if stops { Self::Fails } else { Self::Holds }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Holds => 0,
            Exit::Fails => 1,
            Exit::Unusable => 2,
        })
    }
}

impl Outcome {
    /// A result.
    pub fn result(stdout: String, exit: Exit) -> Self {
        Self {
            stdout,
            stderr: String::new(),
            exit,
        }
    }

    /// A result that had to be rendered; a document may not be.
    pub(crate) fn rendered(rendered: Result<String, String>, exit: Exit) -> Self {
        match rendered {
            Ok(stdout) => Self::result(stdout, exit),
            Err(message) => Self::unusable(&message),
        }
    }

    /// Input that could not be used.
    pub fn unusable(message: &str) -> Self {
        Self {
            stdout: String::new(),
            stderr: format!("error: {message}\n"),
            exit: Exit::Unusable,
        }
    }
}

/// Runs one command.
pub fn run(cli: &Cli) -> Outcome {
    match &cli.command {
        Command::Size(args) => size::run(args),
        Command::Check(args) => design_file::check(args),
        Command::New(args) => design_file::new(args),
        Command::Study(args) => study::run(args),
        Command::Review(args) => review::run(args),
        Command::Record(args) => record::run(args),
        Command::Compare(args) => compare::run(args),
        Command::Rules(args) => review::rules(args),
        Command::Explain(args) => review::explain(args),
        Command::Spacing(args) => spacing::run(args),
        Command::Limits(args) => limits::run(args),
        Command::Precharge(args) => precharge::run(args),
        Command::Completions(args) => {
            let mut script = Vec::new();
            clap_complete::generate(args.shell, &mut Cli::command(), "orangeloom", &mut script);
            Outcome::result(String::from_utf8_lossy(&script).into_owned(), Exit::Holds)
        }
        Command::Manual => manual(),
    }
}

fn manual() -> Outcome {
    let mut page = Vec::new();
    match clap_mangen::Man::new(Cli::command()).render(&mut page) {
        Ok(()) => Outcome::result(String::from_utf8_lossy(&page).into_owned(), Exit::Holds),
        Err(error) => Outcome::unusable(&format!("the manual page could not be written: {error}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_command_line_is_consistent() {
        Cli::command().debug_assert();
    }

    #[test]
    fn open_counts_where_it_was_asked_and_a_failure_always() {
        use Verdict::{Fails, Holds, NotApplicable, Open};
        assert_eq!(Exit::of([]), Exit::Holds);
        assert_eq!(
            Exit::of([(Holds, true), (NotApplicable, true)]),
            Exit::Holds
        );
        assert_eq!(Exit::of([(Holds, true), (Open, false)]), Exit::Holds);
        assert_eq!(Exit::of([(Holds, true), (Open, true)]), Exit::Fails);
        assert_eq!(Exit::of([(Fails, false), (Holds, true)]), Exit::Fails);
    }
}
