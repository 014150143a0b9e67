//! What was recorded, for people.

use std::collections::BTreeSet;

use orangeloom_core::design::Kind;
use orangeloom_core::review::{Because, EvidenceGap, Finding};
use orangeloom_core::study::Unknown;

use super::Report;
use super::judged::{Superseded, on_paper, still_open};
use crate::page::{self, Sources, cautions_to, gather, in_a_row, wrap_to};
use crate::review::told::{about_by_name, accuracy, because, numbers};
use crate::review::{Reviewed, moment, signature};
use crate::study::names;
use crate::thing_text::thing_at;
use crate::working::cite;

/// The whole page.
pub(super) fn render(report: &Report) -> String {
    let width = page::width();
    let mut sources = Sources::new();
    page::join(&[
        head(report, width),
        judged(report, width, &mut sources),
        open(report, width),
        sources.list_to(width),
        cautions_to(width),
    ])
}

fn head(report: &Report, width: usize) -> String {
    let known = report.known();
    let new = report.records.len() - known;
    let title = format!(
        "Records of {}, {}: {new} new, {known} there already",
        report.reviewed.vehicle(),
        report.reviewed.revision()
    );
    let mut lines = vec![wrap_to(width, "", &title), page::made_by()];
    let told = match &report.written {
        Some(file) => format!("Written: {file}"),
        None if new == 0 => "Nothing is written: there is nothing new.".to_owned(),
        None => format!(
            "Nothing is written. --write adds them to {}, --output FILE makes a new one.",
            report.args.file.display()
        ),
    };
    lines.push(wrap_to(width, "", &told));
    lines.join("\n")
}

fn judged(report: &Report, width: usize, sources: &mut Sources) -> String {
    let reviewed = &report.reviewed;
    let mut lines = Vec::new();
    for record in &report.records {
        let places = &reviewed.read.places;
        let line = places.get(&record.record);
        let line = line.map_or_else(String::new, |place| reviewed.read.line(place));
        let about_whom = names::thing(reviewed.design(), record.about);
        let read = record.read.as_ref();
        let read = read.map_or_else(String::new, |read| format!(": {read}"));
        let already = if record.known { ", there already" } else { "" };
        let kind = record.record.kind.words();
        let told = format!("{line}: {kind}, {about_whom}{already}{read}");
        lines.push(wrap_to(width, "  ", &told));
        if record.is_unused() {
            let told = format!("not used: {}", record.unused);
            lines.push(wrap_to(width, "    - ", &told));
        }
        let mut alike = Vec::new();
        for finding in &record.findings {
            let told = verdict(reviewed, finding, sources);
            let thing = about_by_name(reviewed, finding);
            gather(&mut alike, (finding.rule, told), thing);
        }
        for ((rule, told), things) in alike {
            let things = match things.as_slice() {
                [one] if *one == about_whom => String::new(),
                several => format!(" of {}", in_a_row(several)),
            };
            let told = format!("{}{things}: {told}", rule.slug());
            lines.push(wrap_to(width, "    - ", &told));
        }
        let told = superseded(reviewed, &record.superseded).into_iter();
        lines.extend(told.map(|told| wrap_to(width, "    - ", &told)));
    }
    if lines.is_empty() {
        return String::new();
    }
    format!("What the review makes of them\n{}", lines.join("\n"))
}

/// Which records count in place of one, for which rules and why.
fn superseded(reviewed: &Reviewed, by_others: &[Superseded]) -> Vec<String> {
    let mut alike = Vec::new();
    for one in by_others {
        let rule = one.finding.rule.slug();
        let verdict = one.finding.judged.verdict;
        gather(&mut alike, (one.by, one.why, verdict), rule.to_owned());
    }
    let told = alike.into_iter().map(|((by, why, verdict), rules)| {
        let by_whom = signature(reviewed.design(), by);
        let date = by_whom.date.map_or_else(String::new, |date| {
            format!(" of {}", moment(date, by_whom.time))
        });
        format!(
            "{}: {} by another: what counts is {}{date}, because {why}",
            rules.join(", "),
            verdict.word(),
            thing_at(&reviewed.read, by)
        )
    });
    told.collect()
}

/// The verdict with its numbers, and why the record does not count where it does not.
fn verdict(reviewed: &Reviewed, finding: &Finding, sources: &mut Sources) -> String {
    let gap = match finding.because {
        Some(Because::Evidence(gap)) => gap.words().to_owned(),
        Some(Because::Read(reading)) => accuracy(reviewed, finding, reading)
            .trim_start_matches(", ")
            .to_owned(),
        // What is not known, so that nothing can be held against it.
        Some(Because::Unknown(_) | Because::NoLimit(_)) => {
            because(reviewed, finding).unwrap_or_default()
        }
        _ => String::new(),
    };
    let mut told = finding.judged.verdict.word().to_owned();
    for part in [numbers(finding).as_str(), gap.as_str()] {
        if !part.is_empty() {
            told = format!("{told}; {part}");
        }
    }
    if finding.judged.limit.is_some() {
        told = format!("{told} {}", sources.mark(&cite(finding.judged.source)));
    }
    told
}

/// What to do about an open finding, in few words.
fn lacks(reviewed: &Reviewed, finding: &Finding) -> String {
    match finding.because {
        Some(Because::Evidence(EvidenceGap::NoReading)) => "measure".to_owned(),
        Some(Because::Evidence(EvidenceGap::NoAttestation)) => "look and attest".to_owned(),
        Some(Because::Unknown(Unknown::Missing(_, gap))) => {
            format!("not known is {}", gap.words())
        }
        _ => because(reviewed, finding).unwrap_or_default(),
    }
}

/// The names alone: a list of work is read beside the diagram.
fn short_name(reviewed: &Reviewed, finding: &Finding) -> String {
    let design = reviewed.design();
    let thing = match finding.thing.kind {
        Kind::Vehicle => "the vehicle".to_owned(),
        _ => names::name(design, finding.thing),
    };
    match finding.at {
        Some(at) => format!("{thing} at {}", names::name(design, at)),
        None => thing,
    }
}

/// What is open, in the order of the work: the next stage in full, the others counted.
fn open(report: &Report, width: usize) -> String {
    let reviewed = &report.reviewed;
    let file = report.args.file.display();
    let mut lines = Vec::new();
    let mut counted = false;
    for (stage, findings) in still_open(reviewed) {
        if findings.is_empty() {
            continue;
        }
        if !lines.is_empty() && !report.args.all {
            counted = true;
            let rules: BTreeSet<&str> = findings.iter().map(|one| one.rule.slug()).collect();
            let (rules, places) = (rules.len(), findings.len());
            let rules = page::counted(rules, "rule", "rules");
            let places = page::counted(places, "place", "places");
            let told = format!("{}: {rules} at {places}", stage.words());
            lines.push(wrap_to(width, "  ", &told));
            continue;
        }
        lines.push(wrap_to(width, "  ", stage.words()));
        let mut alike = Vec::new();
        for finding in findings {
            let rule = finding.rule;
            let told = format!(
                "{} ({}), {}",
                rule.slug(),
                rule.rule().severity.words(),
                lacks(reviewed, finding)
            );
            gather(&mut alike, told, short_name(reviewed, finding));
        }
        for (told, things) in alike {
            // All of them: this is a list of work.
            let told = format!("{told}: {}", things.join(", "));
            lines.push(wrap_to(width, "    - ", &told));
        }
    }
    if counted {
        let told =
            format!("What is only counted is listed by --all and by orangeloom review {file}");
        lines.push(wrap_to(width, "  ", &told));
    }
    let (fail, open) = on_paper(reviewed);
    if fail + open > 0 {
        lines.push(wrap_to(
            width,
            "  ",
            &format!(
                "On paper {} and {open} are open: orangeloom review {file}",
                page::counted(fail, "computed rule fails", "computed rules fail")
            ),
        ));
    }
    if lines.is_empty() {
        return "Nothing is open".to_owned();
    }
    format!(
        "Still open, which is not a pass, in the order of the work\n{}",
        lines.join("\n")
    )
}
