//! The comparison for people.

use orangeloom_core::design::Kind;
use orangeloom_core::review::{Finding, Moved, RuleId, value_moved};

use super::Report;
use super::entries::{Edited, How};
use super::findings::Pair;
use crate::limits::SameLimits;
use crate::page::{self, cautions_to, gather, in_a_row, wrap_to};
use crate::quantity_text::significant;
use crate::review::Reviewed;
use crate::review::told::{about, about_by_name, amount, said};
use crate::study::names;

/// Most lines of values that moved.
const MOST_VALUES: usize = 40;

/// Most changes of records that are shown.
const MOST_RECORDS: usize = 20;

/// The whole page.
pub(super) fn render(report: &Report) -> String {
    let page = Page {
        report,
        width: page::width(),
    };
    page::join(&[
        page.head(),
        page.verdicts("Worse", Moved::Worse),
        page.alone("New, and to be done", &report.new, Pair::came),
        page.better(),
        page.alone("Gone with its thing", &report.old, Pair::went),
        page.entries(),
        page.records(),
        page.values(),
        page.touched(),
        page.controller(),
        page.repeated(),
        page.carried_over(),
        cautions_to(page.width),
    ])
}

struct Page<'a> {
    report: &'a Report,
    width: usize,
}

impl Page<'_> {
    fn wrap(&self, first: &str, prose: &str) -> String {
        wrap_to(self.width, first, prose)
    }

    /// A block under a heading; empty without lines.
    fn block(&self, heading: &str, lines: &[String]) -> String {
        if lines.is_empty() {
            return String::new();
        }
        format!("{}\n{}", self.wrap("", heading), lines.join("\n"))
    }

    fn head(&self) -> String {
        let Report { old, new, .. } = self.report;
        let mut lines = vec![self.wrap(
            "",
            &format!(
                "{}, {}, against {}, {}",
                new.vehicle(),
                new.revision(),
                old.vehicle(),
                old.revision()
            ),
        )];
        lines.push(page::made_by());
        lines.push(if self.report.is_still() {
            "Nothing moved.".to_owned()
        } else {
            self.wrap("", &self.counts())
        });
        if self.report.revision_is_kept() {
            lines.push(self.wrap(
                "",
                "Both have the same revision, so readings and attestations of the old state count \
                 for the new one. Give the new state a revision of its own.",
            ));
        }
        lines.join("\n")
    }

    /// How much of what is another.
    fn counts(&self) -> String {
        let report = self.report;
        let pairs = |wanted: &dyn Fn(&Pair) -> bool| {
            report.pairs.iter().filter(|pair| wanted(pair)).count()
        };
        let records = |wanted: fn(&How) -> bool| {
            report
                .recorded
                .iter()
                .filter(|edit| wanted(&edit.how))
                .count()
        };
        format!(
            "Verdicts: {} worse, {} better, {} new and to be done, {} gone. Entries: {} edited. \
             Records: {} new, {} gone, {} changed. Values that moved: {}. Things reached: {}.",
            pairs(&|pair| pair.moved() == Some(Moved::Worse)),
            pairs(&|pair| pair.moved() == Some(Moved::Better)),
            pairs(&|pair| pair.came().is_some()),
            pairs(&|pair| pair.went().is_some()),
            report.edited.len(),
            records(|how| matches!(how, How::New)),
            records(|how| matches!(how, How::Gone)),
            records(|how| matches!(how, How::Changed(_))),
            pairs(&|pair| pair.moved_by(report.share)),
            report.touched.len()
        )
    }

    fn verdicts(&self, heading: &str, moved: Moved) -> String {
        let mut alike = Vec::new();
        for pair in self.report.moved(moved) {
            let (Some(old), Some(new)) = (&pair.old, &pair.new) else {
                continue;
            };
            let told = format!(
                "{} -> {}: {}",
                old.judged.verdict.word(),
                new.judged.verdict.word(),
                said(&self.report.new, new)
            );
            gather(&mut alike, (new.rule, told), about(&self.report.new, new));
        }
        self.findings(heading, alike)
    }

    /// What is better needs no numbers: the review has them.
    fn better(&self) -> String {
        let mut alike = Vec::new();
        for pair in self.report.moved(Moved::Better) {
            let (Some(old), Some(new)) = (&pair.old, &pair.new) else {
                continue;
            };
            let verdicts = (old.judged.verdict.word(), new.judged.verdict.word());
            let thing = about_by_name(&self.report.new, new);
            gather(&mut alike, (new.rule, verdicts), thing);
        }
        let lines: Vec<String> = alike
            .into_iter()
            .map(|((rule, (was, is)), things)| {
                let line = format!("{}: {was} -> {is}: {}", rule.slug(), in_a_row(&things));
                self.wrap("  - ", &line)
            })
            .collect();
        self.block("Better", &lines)
    }

    fn alone(
        &self,
        heading: &str,
        reviewed: &Reviewed,
        of: fn(&Pair) -> Option<&Finding>,
    ) -> String {
        let mut alike = Vec::new();
        for one in self.report.pairs.iter().filter_map(of) {
            let told = format!("{}: {}", one.judged.verdict.word(), said(reviewed, one));
            gather(&mut alike, (one.rule, told), about(reviewed, one));
        }
        self.findings(heading, alike)
    }

    /// Rules with what they say and the things that they say it of.
    fn findings(&self, heading: &str, alike: Vec<((RuleId, String), Vec<String>)>) -> String {
        let lines: Vec<String> = alike
            .into_iter()
            .map(|((rule, told), things)| {
                let severity = rule.rule().severity.words();
                let things = in_a_row(&things);
                let told = format!("{} ({severity}): {things}: {told}", rule.slug());
                self.wrap("  - ", told.trim_end_matches([':', ' ']))
            })
            .collect();
        self.block(heading, &lines)
    }

    fn entries(&self) -> String {
        let edited = self.report.edited.iter();
        let lines: Vec<String> = edited.flat_map(|edit| self.entry(edit)).collect();
        self.block("What was entered", &lines)
    }

    /// Records that are gone or say something else, each change once; new ones are counted alone.
    fn records(&self) -> String {
        let mut alike = Vec::new();
        for edit in &self.report.recorded {
            let change = match &edit.how {
                How::New => continue,
                How::Gone => "gone".to_owned(),
                How::Changed(keys) => {
                    let keys: Vec<String> = keys.iter().map(changed_key).collect();
                    keys.join("; ")
                }
            };
            gather(&mut alike, change, format!("{} ({})", edit.told, edit.line));
        }
        let shown = alike.iter().take(MOST_RECORDS);
        let mut lines: Vec<String> = shown
            .map(|(change, records)| self.wrap("  - ", &format!("{change}: {}", in_a_row(records))))
            .collect();
        if let Some(more @ 1..) = alike.len().checked_sub(MOST_RECORDS) {
            lines.push(self.wrap("  - ", &format!("and {more} more; --json lists all")));
        }
        self.block("Records that are gone or say something else", &lines)
    }

    /// An entry with the keys that say something else.
    fn entry(&self, edit: &Edited) -> Vec<String> {
        let head = |end: &str| self.wrap("  - ", &format!("{} ({}):{end}", edit.told, edit.line));
        let keys = match &edit.how {
            How::New => return vec![head(" new")],
            How::Gone => return vec![head(" gone")],
            How::Changed(keys) => keys,
        };
        let keys = keys
            .iter()
            .map(|key| self.wrap("      ", &changed_key(key)));
        [head("")].into_iter().chain(keys).collect()
    }

    fn values(&self) -> String {
        let mut alike = Vec::new();
        for pair in &self.report.pairs {
            let (Some(old), Some(new)) = (&pair.old, &pair.new) else {
                continue;
            };
            if !pair.moved_by(self.report.share) {
                continue;
            }
            let aspect = new.judged.name;
            let mut told = Vec::new();
            for (words, was, is) in [
                (aspect.value_words(), old.judged.value, new.judged.value),
                (aspect.limit_words(), old.judged.limit, new.judged.limit),
            ] {
                if let (Some(was), Some(is)) = (was, is)
                    && value_moved(was, is) > 0.0
                {
                    told.push(format!(
                        "{words} {} -> {}{}",
                        amount(aspect, was),
                        amount(aspect, is),
                        by(was, is)
                    ));
                }
            }
            let thing = about_by_name(&self.report.new, new);
            gather(&mut alike, (new.rule, told.join("; ")), thing);
        }
        let mut lines: Vec<String> = alike
            .iter()
            .take(MOST_VALUES)
            .map(|((rule, told), things)| {
                let line = format!("{}: {}: {told}", rule.slug(), in_a_row(things));
                self.wrap("  - ", &line)
            })
            .collect();
        if let Some(more @ 1..) = alike.len().checked_sub(MOST_VALUES) {
            lines.push(self.wrap("  - ", &format!("and {more} more; --json lists all")));
        }
        let heading = format!(
            "Values that moved by more than {} %",
            significant(f64::from(self.report.share) * 100.0, 3)
        );
        self.block(&heading, &lines)
    }

    fn touched(&self) -> String {
        let design = self.report.new.design();
        let shown = [
            (Kind::Conductor, "circuits"),
            (Kind::Fuse, "fuses"),
            (Kind::Contactor, "contactors"),
            (Kind::ServiceDisconnect, "service disconnects"),
            (Kind::Resistor, "resistors"),
            (Kind::Load, "loads"),
            (Kind::Converter, "converters"),
            (Kind::Battery, "batteries"),
            (Kind::Enclosure, "boxes"),
        ];
        let lines: Vec<String> = shown
            .iter()
            .filter_map(|(kind, words)| {
                let of_kind = self.report.touched.iter();
                let names: Vec<String> = of_kind
                    .filter(|thing| thing.kind == *kind)
                    .map(|thing| names::name(design, *thing))
                    .collect();
                let line = format!("{words}: {}", names.join(", "));
                (!names.is_empty()).then(|| self.wrap("  ", &line))
            })
            .collect();
        self.block("What the change reaches", &lines)
    }

    /// What the change means for an image that a controller carries.
    fn controller(&self) -> String {
        let file = self.report.new.read.sources.first();
        let file = file.map_or("", |source| source.path.as_str());
        let anew = format!(
            "make its image anew (orangeloom limits {file} --out FILE), load it and tick with it \
             before anything is closed"
        );
        let told = match self.report.limits {
            SameLimits::No => format!("The limits of the controller differ: {anew}."),
            SameLimits::NotKnown if self.report.is_touched() => format!(
                "Whether the limits of the controller differ is not known, because none can be \
                 made of one of both: as soon as they can, {anew}."
            ),
            SameLimits::Yes if self.report.is_touched() => format!(
                "The limits of the controller are the same; an image of the old state carries its \
                 fingerprint, by which it is told from this one: {anew}."
            ),
            SameLimits::Yes | SameLimits::NotKnown => return String::new(),
        };
        self.wrap("", &told)
    }

    /// The entry that lets the other records count.
    fn carried_over(&self) -> String {
        let Some(entry) = self.report.carry_over() else {
            return String::new();
        };
        let told = "Records of the revision before do not count for the new one. Whoever has looked at \
                    what was changed, and at everything that was opened, moved or unplugged on the way, \
                    may let the others stand: add to the list what is missing, write this into the \
                    design, and do the tests of the list again.";
        format!("{}\n\n{entry}", self.wrap("", told))
    }

    fn repeated(&self) -> String {
        let mut lines = Vec::new();
        for (stage, findings) in self.report.repeated() {
            if findings.is_empty() {
                continue;
            }
            lines.push(self.wrap("  ", stage.words()));
            let mut alike = Vec::new();
            for one in findings {
                let thing = match one.thing.kind {
                    Kind::Vehicle => "the vehicle".to_owned(),
                    _ => names::name(self.report.new.design(), one.thing),
                };
                gather(&mut alike, (one.rule, self.report.done(one)), thing);
            }
            for ((rule, done), things) in alike {
                // All of them: this is a list of work.
                let line = format!("{}, {}: {}", rule.slug(), done.words(), things.join(", "));
                lines.push(self.wrap("    - ", &line));
            }
        }
        self.block(
            "To be measured and looked at again, in the order of the work",
            &lines,
        )
    }
}

/// A key with what it said and what it says.
fn changed_key((key, was, is): &(String, Option<String>, Option<String>)) -> String {
    let told = |value: &Option<String>| value.clone().unwrap_or_else(|| "not stated".to_owned());
    format!("{key}: {} -> {}", told(was), told(is))
}

/// By how much, with its sign.
fn by(was: f32, is: f32) -> String {
    if was == 0.0 {
        return String::new();
    }
    let share = (f64::from(is) - f64::from(was)) / f64::from(was).abs() * 100.0;
    let sign = if share > 0.0 { "+" } else { "" };
    format!(" ({sign}{} %)", significant(share, 3))
}
