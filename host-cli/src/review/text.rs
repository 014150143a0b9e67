//! The review for people: worst first, as wide as the terminal.

use core::cell::{Cell, OnceCell};

use orangeloom_core::review::{Because, EvidenceGap, Finding, RuleId, Severity};
use orangeloom_core::verdict::Verdict;

use super::inputs::Inputs;
use super::mending::{Change, Trial, mended};
use super::told::{about, numbers, said, said_with_record};
use super::two_threads::shared_out;
use super::{Reviewed, Standing, meaning};
use crate::page::{self, SHOWN, Sources, cautions_to, gather, wrap_to};
use crate::working::cite;

/// The whole page; what fails is never shortened, and with `all` nothing is.
pub(super) fn render(reviewed: &Reviewed, width: usize, all: bool) -> String {
    let (told, changes) = told(reviewed, all);
    let mut page = Page {
        reviewed,
        told,
        changes,
        standing: RuleId::ALL
            .iter()
            .map(|rule| (*rule, reviewed.standing(*rule)))
            .collect(),
        inputs: OnceCell::new(),
        width,
        all,
        shortened: Cell::new(false),
        sources: Sources::new(),
    };
    let mut blocks = vec![
        format!(
            "{}\n{}",
            page.wrap("", &format!("Review of {}", reviewed.title())),
            page::made_by()
        ),
        page.wrap("", &reviewed.domain()),
        page.wrap("", &reviewed.carried_over().join(" ")),
        page.counts(),
    ];
    for severity in Severity::ALL {
        blocks.push(page.failing(*severity));
    }
    blocks.push(page.accepted());
    for severity in Severity::ALL {
        blocks.push(page.open(*severity));
    }
    blocks.push(if all {
        page.holding()
    } else {
        page.named(Standing::Holds, "Holds")
    });
    blocks.push(page.named(Standing::NotApplicable, "Not applicable"));
    blocks.push(page.how_to_see_all());
    blocks.push(page.sources.list_to(width));
    blocks.push(cautions_to(width));
    page::join(&blocks)
}

/// Whether a finding fails and nobody answers for it.
fn fails(reviewed: &Reviewed, finding: &Finding) -> bool {
    finding.judged.verdict == Verdict::Fails && !reviewed.excused(finding)
}

fn is_open(finding: &Finding) -> bool {
    finding.judged.verdict == Verdict::Open
}

/// What is told of one finding.
struct Told {
    said: String,
    about: String,
}

/// What is told of the findings that are shown, each in its place, and what mends those that
/// fail: of each input of a thing the change that mends all of a rule.
fn told(reviewed: &Reviewed, all: bool) -> (Vec<Option<Told>>, Vec<(RuleId, Change)>) {
    let shown = |one: &Finding| match one.judged.verdict {
        Verdict::Fails => !reviewed.excused(one),
        Verdict::Open => true,
        Verdict::Holds => all,
        Verdict::NotApplicable => false,
    };
    let findings = reviewed.findings.iter().enumerate();
    let mut findings: Vec<_> = findings.filter(|(_, one)| shown(one)).collect();
    // What takes longest first, so that both threads end together.
    findings.sort_by_key(|(_, one)| !fails(reviewed, one));
    let long = findings.partition_point(|(_, one)| fails(reviewed, one));
    let found = shared_out(&findings, long, |(_, finding), trial: &mut Trial| {
        let told = Told {
            said: if all {
                said_with_record(reviewed, finding)
            } else {
                said(reviewed, finding)
            },
            about: about(reviewed, finding),
        };
        (told, mended(reviewed, finding, trial))
    });
    let mut told: Vec<Option<Told>> = Vec::new();
    told.resize_with(reviewed.findings.len(), || None);
    let mut changes: Vec<(RuleId, Change)> = Vec::new();
    for ((place, finding), (one, change)) in findings.into_iter().zip(found) {
        if let Some(place) = told.get_mut(place) {
            *place = Some(one);
        }
        let Some(change) = change else { continue };
        let of_rule = changes.iter_mut().filter(|(rule, _)| *rule == finding.rule);
        let mut alike = of_rule.filter_map(|(_, known)| Some((change.goes_beyond(known)?, known)));
        match alike.next() {
            Some((true, known)) => *known = change,
            Some((false, _)) => {}
            None => changes.push((finding.rule, change)),
        }
    }
    (told, changes)
}

struct Page<'a> {
    reviewed: &'a Reviewed,
    /// What is told of each finding that is shown, in their order.
    told: Vec<Option<Told>>,
    /// What mends those that fail.
    changes: Vec<(RuleId, Change)>,
    /// Where each rule stands.
    standing: Vec<(RuleId, Standing)>,
    /// What was entered, once somebody asks.
    inputs: OnceCell<Inputs<'a>>,
    width: usize,
    all: bool,
    /// Whether something open was left out.
    shortened: Cell<bool>,
    sources: Sources,
}

impl Page<'_> {
    fn wrap(&self, first: &str, prose: &str) -> String {
        wrap_to(self.width, first, prose)
    }

    /// The rules that stand so.
    fn standing_so(&self, standing: Standing) -> impl Iterator<Item = RuleId> {
        let so = move |one: &&(RuleId, Standing)| one.1 == standing;
        self.standing.iter().filter(so).map(|(rule, _)| *rule)
    }

    fn with(&self, standing: Standing, severity: Severity) -> Vec<RuleId> {
        let rules = self.standing_so(standing);
        rules.filter(|id| id.rule().severity == severity).collect()
    }

    fn counts(&self) -> String {
        let accepted = self.standing_so(Standing::Accepted).count();
        let lines: Vec<String> = Severity::ALL
            .iter()
            .map(|severity| {
                let count = |standing| self.with(standing, *severity).len();
                let mut line = format!("  {:<5}", severity.words());
                for (standing, word) in [
                    (Standing::Fails, "fail"),
                    (Standing::Accepted, "accepted"),
                    (Standing::Open, "open"),
                    (Standing::Holds, "hold"),
                    (Standing::NotApplicable, "not applicable"),
                ] {
                    if standing != Standing::Accepted || accepted > 0 {
                        line = format!("{line} {:>3} {word}", count(standing));
                    }
                }
                line
            })
            .collect();
        format!("Rules by severity\n{}", lines.join("\n"))
    }

    fn failing(&mut self, severity: Severity) -> String {
        let reviewed = self.reviewed;
        let rules = self.with(Standing::Fails, severity);
        if rules.is_empty() {
            return String::new();
        }
        let mut lines = vec![self.wrap("", &format!("Fails; {}", meaning(severity)))];
        for rule in rules {
            lines.push(format!("  {}", rule.slug()));
            for (said, things) in self.alike(rule, |one| fails(reviewed, one)) {
                lines.push(self.wrap("    - ", &format!("{}: {said}", things.join("; "))));
            }
            for (_, change) in self.changes.iter().filter(|(of, _)| *of == rule) {
                lines.push(self.wrap("    => ", &change.told));
            }
            lines.push(self.wrap("    -> ", rule.prose().cure));
            lines.extend(self.open_beside(rule));
        }
        lines.join("\n")
    }

    /// What is open under a rule that fails elsewhere.
    fn open_beside(&mut self, rule: RuleId) -> Vec<String> {
        let reviewed = self.reviewed;
        let open = || reviewed.of_rule(rule).filter(|one| is_open(one));
        let count = open().count();
        if count == 0 {
            return Vec::new();
        }
        let places = page::counted(count, "place", "places");
        let mut lines = vec![format!("    open as well, at {places}:")];
        let alike = self.alike(rule, is_open);
        lines.extend(self.shown("      - ", &alike));
        let mut keys = Vec::new();
        for finding in open() {
            let inputs = self.inputs.get_or_init(|| Inputs::of(reviewed, &[]));
            for key in inputs.unstated(finding) {
                if !keys.contains(&key) {
                    keys.push(key);
                }
            }
        }
        if !keys.is_empty() {
            let told = format!(
                "keys it reads that are not stated there: {}",
                keys.join(", ")
            );
            lines.push(self.wrap("      -> ", &told));
        }
        lines
    }

    /// What is said of the things that it is said of, as many as are shown.
    fn shown(&self, first: &str, alike: &[(String, Vec<String>)]) -> Vec<String> {
        let most = if self.all { usize::MAX } else { SHOWN };
        let shown = alike.iter().take(most);
        let mut lines: Vec<String> = shown
            .map(|(said, things)| self.wrap(first, &format!("{}: {said}", self.row(things))))
            .collect();
        let left: usize = alike
            .iter()
            .skip(most)
            .map(|(_, things)| things.len())
            .sum();
        if left > 0 {
            self.shortened.set(true);
            lines.push(self.wrap(first, &format!("and {left} more")));
        }
        lines
    }

    /// Things in a row, as many as are shown.
    fn row(&self, things: &[String]) -> String {
        if self.all {
            return things.join("; ");
        }
        if things.len() > SHOWN {
            self.shortened.set(true);
        }
        page::in_a_row(things)
    }

    fn how_to_see_all(&self) -> String {
        if !self.shortened.get() {
            return String::new();
        }
        let file = self.reviewed.read.sources.first();
        let file = file.map_or("", |source| source.path.as_str());
        let told = format!("Of what is open some is only counted: orangeloom review {file} --all");
        self.wrap("", &told)
    }

    /// What somebody accepted, whether that lets the review pass or not.
    fn accepted(&mut self) -> String {
        let reviewed = self.reviewed;
        let mut lines = Vec::new();
        for finding in &reviewed.findings {
            let Some(acceptance) = reviewed.accepted(finding) else {
                continue;
            };
            let severity = finding.rule.rule().severity;
            let told = format!(
                "{} ({}): {}: {}",
                finding.rule.slug(),
                severity.words(),
                about(reviewed, finding),
                numbers(finding)
            );
            lines.push(self.wrap("  - ", told.trim_end_matches([':', ' '])));
            lines.push(self.wrap("    ", &acceptance.told(finding)));
            if severity == Severity::Stop {
                let still = "No acceptance lifts a rule of severity stop: do not energise.";
                lines.push(self.wrap("    ", still));
            }
        }
        if lines.is_empty() {
            return String::new();
        }
        let heading = "Accepted deviations: they fail; somebody answers for them";
        format!("{}\n{}", self.wrap("", heading), lines.join("\n"))
    }

    fn open(&mut self, severity: Severity) -> String {
        let reviewed = self.reviewed;
        let rules = self.with(Standing::Open, severity);
        if rules.is_empty() {
            return String::new();
        }
        let heading = format!("Open, which is not a pass; {}", meaning(severity));
        let mut lines = vec![self.wrap("", &heading)];
        let (mut unread, mut unseen) = (Vec::new(), Vec::new());
        for rule in rules {
            let alike = self.alike(rule, is_open);
            match (alike.as_slice(), only_gap(reviewed, rule)) {
                ([(_, things)], Some(EvidenceGap::NoAttestation)) => {
                    unseen.push((rule.slug(), String::new(), self.row(things)));
                }
                ([(said, things)], Some(EvidenceGap::NoReading)) => {
                    // What is to be read, and its limit where it is known.
                    let what = said.replace(EvidenceGap::NoReading.words(), "");
                    let what = what.replace("; ", "").trim().to_owned();
                    unread.push((rule.slug(), what, self.row(things)));
                }
                _ => {
                    lines.push(format!("  {}", rule.slug()));
                    lines.extend(self.shown("    - ", &alike));
                }
            }
        }
        for (rows, heading) in [
            (
                unread,
                "not measured; measure it and write it as a [[reading]]:",
            ),
            (
                unseen,
                "nobody stands for it; look and write an [[attestation]] with the rule:",
            ),
        ] {
            if rows.is_empty() {
                continue;
            }
            lines.push(self.wrap("  ", heading));
            for (slug, what, things) in rows {
                let what = if what.is_empty() {
                    String::new()
                } else {
                    format!(" ({what})")
                };
                lines.push(self.wrap("    - ", &format!("{slug}{what}: {things}")));
            }
        }
        lines.join("\n")
    }

    /// Of a rule the findings that count and say the same, with the things that they are
    /// about.
    fn alike(
        &mut self,
        rule: RuleId,
        counts: impl Fn(&Finding) -> bool,
    ) -> Vec<(String, Vec<String>)> {
        let mut alike: Vec<(String, Vec<String>)> = Vec::new();
        let places = self.reviewed.places_of(rule);
        let findings = self.reviewed.of_rule(rule).zip(places);
        for (finding, place) in findings.filter(|(one, _)| counts(one)) {
            let Some(told) = self.told.get_mut(place).and_then(Option::take) else {
                continue;
            };
            let mut said = told.said;
            if finding.judged.limit.is_some() {
                said.push(' ');
                said.push_str(&self.sources.mark(&cite(finding.judged.source)));
            }
            if let Some(accepted) = self.reviewed.accepted(finding) {
                said = format!("{said}; accepted by {}, which lifts no stop", accepted.who);
            }
            gather(&mut alike, said, told.about);
        }
        alike
    }

    /// Everything that holds, with its numbers.
    fn holding(&mut self) -> String {
        let mut lines = Vec::new();
        for rule in RuleId::ALL {
            let alike = self.alike(*rule, |one| one.judged.verdict == Verdict::Holds);
            if alike.is_empty() {
                continue;
            }
            lines.push(format!("  {}", rule.slug()));
            for (said, things) in alike {
                let told = format!("{}: {said}", things.join("; "));
                lines.push(self.wrap("    - ", told.trim_end_matches([':', ' '])));
            }
        }
        if lines.is_empty() {
            return String::new();
        }
        format!("Holds\n{}", lines.join("\n"))
    }

    fn named(&self, standing: Standing, heading: &str) -> String {
        let rules: Vec<&str> = self.standing_so(standing).map(RuleId::slug).collect();
        if rules.is_empty() {
            return String::new();
        }
        format!("{heading}\n{}", self.wrap("  ", &rules.join(", ")))
    }
}

/// What evidence every open finding of a rule lacks, if all lack the same.
fn only_gap(reviewed: &Reviewed, rule: RuleId) -> Option<EvidenceGap> {
    let open = reviewed
        .of_rule(rule)
        .filter(|one| one.judged.verdict == Verdict::Open);
    let mut gaps = open.map(|one| match one.because {
        Some(Because::Evidence(gap)) => Some(gap),
        _ => None,
    });
    let first = gaps.next()??;
    gaps.all(|gap| gap == Some(first)).then_some(first)
}
