//! The review for people: worst first, as wide as the terminal.

use core::cell::{Cell, OnceCell};

use orangeloom_core::design::Thing;
use orangeloom_core::review::{Aspect, Because, EvidenceGap, Finding, RuleId, Severity};
use orangeloom_core::study::Unknown;
use orangeloom_core::verdict::{Judged, Verdict};

use super::inputs::Inputs;
use super::mending::{Change, Trial, mended};
use super::told::{about, numbers, place_on, said, said_with_record};
use super::two_threads::shared_out;
use super::{Reviewed, Standing, meaning};
use crate::page::{self, SHOWN, Sources, cautions_to, wrap_to};
use crate::working::cite;

/// The whole page; what fails is never shortened, and with `all` nothing is.
pub(super) fn render(reviewed: &Reviewed, width: usize, all: bool) -> String {
    let mut page = Page {
        reviewed,
        changes: changes(reviewed),
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

/// What mends the findings that fail: of each input of a thing the change that mends all of a
/// rule.
fn changes(reviewed: &Reviewed) -> Vec<(RuleId, Change)> {
    let findings = reviewed.findings.iter();
    let findings: Vec<&Finding> = findings.filter(|one| fails(reviewed, one)).collect();
    let found = shared_out(&findings, |finding, trial: &mut Trial| {
        mended(reviewed, finding, trial)
    });
    let mut changes: Vec<(RuleId, Change)> = Vec::new();
    for (finding, change) in findings.into_iter().zip(found) {
        let Some(change) = change else { continue };
        let of_rule = changes.iter_mut().filter(|(rule, _)| *rule == finding.rule);
        let mut alike = of_rule.filter_map(|(_, known)| Some((change.goes_beyond(known)?, known)));
        match alike.next() {
            Some((true, known)) => *known = change,
            Some((false, _)) => {}
            None => changes.push((finding.rule, change)),
        }
    }
    changes
}

/// Findings of one rule that say the same.
struct Alike<'a> {
    said: String,
    /// Of each thing, and each place on it that has a name of its own, the first.
    findings: Vec<&'a Finding>,
}

impl Alike<'_> {
    /// The things that they are about.
    fn things(&self, reviewed: &Reviewed) -> Vec<String> {
        let findings = self.findings.iter();
        findings.map(|one| about(reviewed, one)).collect()
    }
}

/// What decides what is said of a finding, whatever it is about; see [`said`].
type Spoken = (Judged<Aspect>, Option<Because>, bool);

fn spoken(finding: &Finding) -> Spoken {
    match finding.because {
        // Of itself a thing is not named.
        Some(Because::Unknown(Unknown::Missing(thing, gap))) if thing == finding.thing => {
            let missing = Unknown::Missing(Thing::VEHICLE, gap);
            (finding.judged, Some(Because::Unknown(missing)), true)
        }
        because => (finding.judged, because, false),
    }
}

struct Page<'a> {
    reviewed: &'a Reviewed,
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

impl<'a> Page<'a> {
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
            for one in self.alike(rule, |one| fails(reviewed, one)) {
                let things = one.things(reviewed).join("; ");
                lines.push(self.wrap("    - ", &format!("{things}: {}", one.said)));
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
    fn shown(&self, first: &str, alike: &[Alike<'_>]) -> Vec<String> {
        let most = if self.all { usize::MAX } else { SHOWN };
        let shown = alike.iter().take(most);
        let mut lines: Vec<String> = shown
            .map(|one| self.wrap(first, &format!("{}: {}", self.row(one), one.said)))
            .collect();
        let left = alike.iter().skip(most).map(|one| one.findings.len());
        let left: usize = left.sum();
        if left > 0 {
            self.shortened.set(true);
            lines.push(self.wrap(first, &format!("and {left} more")));
        }
        lines
    }

    /// Things in a row, as many as are shown.
    fn row(&self, alike: &Alike<'_>) -> String {
        if self.all {
            return alike.things(self.reviewed).join("; ");
        }
        if alike.findings.len() > SHOWN {
            self.shortened.set(true);
        }
        page::row_of(&alike.findings, |one| about(self.reviewed, one))
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
                ([one], Some(EvidenceGap::NoAttestation)) => {
                    unseen.push((rule.slug(), String::new(), self.row(one)));
                }
                ([one], Some(EvidenceGap::NoReading)) => {
                    // What is to be read, and its limit where it is known.
                    let what = one.said.replace(EvidenceGap::NoReading.words(), "");
                    let what = what.replace("; ", "").trim().to_owned();
                    unread.push((rule.slug(), what, self.row(one)));
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

    /// Of a rule the findings that count, by what they say.
    fn alike(&mut self, rule: RuleId, counts: impl Fn(&Finding) -> bool) -> Vec<Alike<'a>> {
        let reviewed = self.reviewed;
        let mut alike: Vec<Alike<'a>> = Vec::new();
        // Most say what another one has said: that is put into words once.
        let mut known: Vec<(Spoken, usize)> = Vec::new();
        for finding in reviewed.of_rule(rule).filter(|one| counts(one)) {
            let accepted = reviewed.accepted(finding);
            // A record that does not count is told of each finding by itself.
            let spoken = (!self.all && accepted.is_none()).then(|| spoken(finding));
            let same = |one: &&(Spoken, usize)| Some(one.0) == spoken;
            let place = known.iter().find(same).map(|(_, place)| *place);
            let place = place.unwrap_or_else(|| {
                let said = self.said(finding, accepted.map(|one| one.who.as_str()));
                let place = alike.iter().position(|one| one.said == said);
                let place = place.unwrap_or_else(|| {
                    let findings = Vec::new();
                    alike.push(Alike { said, findings });
                    alike.len() - 1
                });
                known.extend(spoken.map(|spoken| (spoken, place)));
                place
            });
            if let Some(Alike { findings, .. }) = alike.get_mut(place) {
                let named_alike = |one: &&Finding| {
                    one.thing == finding.thing
                        && place_on(reviewed, one) == place_on(reviewed, finding)
                };
                if !findings.iter().any(named_alike) {
                    findings.push(finding);
                }
            }
        }
        alike
    }

    /// What is said of one finding, with the mark of its source.
    fn said(&mut self, finding: &Finding, accepted_by: Option<&str>) -> String {
        let mut said = if self.all {
            said_with_record(self.reviewed, finding)
        } else {
            said(self.reviewed, finding)
        };
        if finding.judged.limit.is_some() {
            said.push(' ');
            said.push_str(&self.sources.mark(&cite(finding.judged.source)));
        }
        match accepted_by {
            Some(who) => format!("{said}; accepted by {who}, which lifts no stop"),
            None => said,
        }
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
            for one in alike {
                let told = format!("{}: {}", one.things(self.reviewed).join("; "), one.said);
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
