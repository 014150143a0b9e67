//! Readings and attestations.

use orangeloom_core::design::{
    Attestation, Battery, Conductor, Contactor, Converter, Design, Enclosure, Fuse, Kind, Load,
    Measured, Reading, Resistor, ServiceDisconnect, Signature, SignatureId, Terminal, TextId,
    Thing, Zone,
};

use orangeloom_core::review::{RuleId, rules_that_read};

use super::Builder;
use crate::design_file::keys::{ABOUT, Tag};
use crate::design_file::near::nearest;
use crate::design_file::problem::{Problem, ProblemName, listed, quoted};
use crate::design_file::records::slip_of_date;
use crate::design_file::walk::{Report, Table, Written, names_nothing};

/// The keys that hold what was measured.
const MEASURED: [&str; 15] = [
    "isolation",
    "pole-to-chassis",
    "bond",
    "joint",
    "drop",
    "shield",
    "cut-back",
    "withstood",
    "precharge",
    "discharge",
    "voltage",
    "temperature",
    "capacitance",
    "torque",
    "mass",
];

/// What to say of a name that no rule of the checklist has.
pub(in crate::design_file) fn unknown_rule(written: &Written<'_>) -> Problem {
    let slugs = RuleId::ALL.iter().map(|id| id.slug());
    let what = format!("no rule is called {}", quoted(written.text));
    Problem::new(ProblemName::UnknownName, written.place.clone(), what)
        .here("no such rule")
        .meant(nearest(written.text, slugs))
        .advice("orangeloom rules lists them all")
}

/// The thing of a section that has this name, where a record can be about one.
pub(in crate::design_file) fn named(design: &Design, tag: Tag, name: &str) -> Option<Thing> {
    match tag {
        Tag::Zone => design.find::<Zone>(name).map(Into::into),
        Tag::Box => design.find::<Enclosure>(name).map(Into::into),
        Tag::Terminal => design.find::<Terminal>(name).map(Into::into),
        Tag::Battery => design.find::<Battery>(name).map(Into::into),
        Tag::Conductor => design.find::<Conductor>(name).map(Into::into),
        Tag::Fuse => design.find::<Fuse>(name).map(Into::into),
        Tag::Contactor => design.find::<Contactor>(name).map(Into::into),
        Tag::ServiceDisconnect => design.find::<ServiceDisconnect>(name).map(Into::into),
        Tag::Resistor => design.find::<Resistor>(name).map(Into::into),
        Tag::Load => design.find::<Load>(name).map(Into::into),
        Tag::Converter => design.find::<Converter>(name).map(Into::into),
        _ => None,
    }
}

/// A name that no thing has, with the key that gives it.
pub(in crate::design_file) struct Unnamed<'a> {
    pub(in crate::design_file) key: &'static str,
    pub(in crate::design_file) tag: Tag,
    pub(in crate::design_file) written: Written<'a>,
}

/// What an entry is about, by the first of its keys that names a thing; the vehicle where
/// none does. `None` where it is no text, which is told.
pub(in crate::design_file) fn named_in<'a>(
    design: &Design,
    table: Table<'a>,
    report: &mut Report<'_>,
) -> Option<Result<Thing, Unnamed<'a>>> {
    let Some(&(key, tag)) = ABOUT.iter().find(|(key, _)| table.has(key)) else {
        return Some(Ok(Thing::VEHICLE));
    };
    let written = table.text(key, report)?;
    let found = named(design, tag, written.text);
    Some(found.ok_or(Unnamed { key, tag, written }))
}

impl Builder<'_> {
    /// What a reading or an attestation is about; `None` for what is not there.
    pub(super) fn about(&mut self, table: Table<'_>) -> Option<Thing> {
        let keys: Vec<&str> = ABOUT.iter().map(|(key, _)| *key).collect();
        self.apart(table, &keys);
        match named_in(&self.design, table, &mut self.report)? {
            Ok(thing) => return Some(thing),
            Err(no) if no.tag == Tag::Terminal => self.no_terminal(&no.written),
            Err(no) => self.unknown_name(no.key, &no.written, no.tag),
        }
        None
    }

    /// Nothing ends at a terminal.
    fn no_terminal(&mut self, written: &Written<'_>) {
        if !self.trail.dropped {
            let names: Vec<&str> = self
                .design
                .all::<Terminal>()
                .filter_map(|(id, _)| self.design.name(id.into()))
                .collect();
            let near = nearest(written.text, names);
            let what = format!("nothing ends at a terminal {}", quoted(written.text));
            let problem = Problem::new(ProblemName::UnknownTerminal, written.place.clone(), what)
                .here("no such terminal")
                .meant(near);
            self.report.add(problem);
        }
    }

    /// A text that names somebody or something.
    fn naming(&mut self, table: Table<'_>, key: &str) -> Option<TextId> {
        let written = table.text(key, &mut self.report)?;
        if let Some(problem) = names_nothing(key, written.text, written.place) {
            self.report.add(problem);
            return None;
        }
        self.put(written.text, written.place)
    }

    /// Who, when and with what, of what some rules read about a thing; `Err` when no more fit.
    fn signature(
        &mut self,
        table: Table<'_>,
        (rules, about): (&[RuleId], Option<Thing>),
    ) -> Result<Option<SignatureId>, ()> {
        let revision = self.revision(table, rules, about);
        if let Some(problem) = slip_of_date(table) {
            self.report.add(problem);
        }
        let signature = Signature {
            initials: self.naming(table, "initials"),
            instrument: self.naming(table, "instrument"),
            revision,
            date: table.day("date", &mut self.report),
            time: table.minute("time-of-day", &mut self.report),
            accuracy: table.quantity("accuracy", &mut self.report),
        };
        if signature == Signature::default() {
            return Ok(None);
        }
        match self.design.add_signature(signature) {
            Ok(id) => {
                let place = table.place.clone();
                self.trail.places.entry(id.into()).or_insert(place);
                Ok(Some(id))
            }
            Err(error) => {
                self.refused(error, table.place);
                Err(())
            }
        }
    }

    pub(super) fn reading(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let at = self.about(table);
        let end = table.word("end", &mut self.report);
        let measured = self.measured(table);
        let rules = measured.map_or(&[][..], |measured| rules_that_read(measured));
        // Of a converter isolation says how far its two sides are apart, and nothing else.
        let apart = [RuleId::LvAndHvSeparate];
        let of_converter = at.is_some_and(|at| at.kind == Kind::Converter);
        let rules = match measured {
            Some(Measured::Isolation { .. }) if of_converter => &apart,
            _ => rules,
        };
        let signature = self.signature(table, (rules, at));
        if let (Some(at), Some(measured), Ok(signature)) = (at, measured, signature) {
            let reading = Reading {
                at,
                end,
                measured,
                signature,
            };
            self.add(reading, table.place, mark);
        }
    }

    /// The one value that was measured.
    fn measured(&mut self, table: Table<'_>) -> Option<Measured> {
        let all = MEASURED.iter().chain(&["count"]);
        let said: Vec<&str> = all.copied().filter(|key| table.has(key)).collect();
        let Some(first) = said.first() else {
            let all: Vec<&str> = MEASURED.iter().chain(&["count"]).copied().collect();
            let what = "this reading says nothing that was measured";
            self.report.add(
                Problem::new(ProblemName::MissingKey, table.place.clone(), what)
                    .here("a measured value is needed here")
                    .advice(format!("write one of {}", listed(&all, "or"))),
            );
            return None;
        };
        self.apart_readings(table, &said);
        let needs: &[&str] = match *first {
            "isolation" => &["test-voltage"],
            "drop" => &["current"],
            "temperature" => &["current", "air"],
            _ => &[],
        };
        let mut lacking = false;
        for need in needs.iter().filter(|need| !table.has(need)) {
            lacking = true;
            let what = format!("{first} says nothing without {need}");
            self.report.add(
                Problem::new(ProblemName::MissingKey, table.place_of(first), what)
                    .here(format!("{need} is missing")),
            );
        }
        let r = &mut self.report;
        let tester = table.quantity("test-voltage", r);
        let test_current = table.quantity("test-current", r);
        let inserted = table.quantity("inserted", r);
        let current = table.quantity("current", r);
        let air = table.quantity("air", r);
        let measured = match *first {
            "isolation" => table
                .quantity("isolation", r)
                .zip(tester)
                .map(|(resistance, at)| Measured::Isolation { resistance, at }),
            "pole-to-chassis" => table
                .quantity("pole-to-chassis", r)
                .map(|voltage| Measured::PoleToChassis { voltage, inserted }),
            "bond" => table.quantity("bond", r).map(|resistance| Measured::Bond {
                resistance,
                at: test_current,
            }),
            "joint" => table.quantity("joint", r).map(Measured::Joint),
            "drop" => table
                .quantity("drop", r)
                .zip(current)
                .map(|(voltage, at)| Measured::Drop { voltage, at }),
            "shield" => table.quantity("shield", r).map(Measured::Shield),
            "cut-back" => table.quantity("cut-back", r).map(Measured::CutBack),
            "withstood" => table.quantity("withstood", r).map(Measured::Withstood),
            "precharge" => table.quantity("precharge", r).map(Measured::Precharge),
            "discharge" => table.quantity("discharge", r).map(Measured::Discharge),
            "voltage" => table.quantity("voltage", r).map(Measured::Voltage),
            "temperature" => {
                let temperature = table.quantity("temperature", r);
                temperature
                    .zip(current)
                    .zip(air)
                    .map(|((temperature, at), air)| Measured::Temperature {
                        temperature,
                        at,
                        air,
                    })
            }
            "capacitance" => table.quantity("capacitance", r).map(Measured::Capacitance),
            "torque" => table.quantity("torque", r).map(Measured::Torque),
            "mass" => table.quantity("mass", r).map(Measured::Mass),
            _ => table.whole("count", r).map(Measured::Count),
        };
        measured.filter(|_| !lacking)
    }

    fn apart_readings(&mut self, table: Table<'_>, said: &[&str]) {
        let Some((first, others)) = said.split_first() else {
            return;
        };
        for other in others {
            let what = format!("one reading is one value, this one has {first} and {other}");
            self.report.add(
                Problem::new(ProblemName::KeysClash, table.place_of(other), what)
                    .here("a second value")
                    .and(table.place_of(first), "the first")
                    .advice("write a reading for each, in a sheet a row"),
            );
        }
    }

    /// The rule that an attestation answers; one that reads none is refused, so that nobody's
    /// "no" is passed over.
    fn known_rule(&mut self, table: Table<'_>) -> Option<TextId> {
        let written = table.text("rule", &mut self.report)?;
        let Some(rule) = RuleId::find(written.text) else {
            self.report.add(unknown_rule(&written));
            return None;
        };
        let mut inputs = rule.method().inputs.iter();
        if !inputs.any(|key| key.starts_with("attestation.")) {
            let slug = rule.slug();
            let what = format!("no attestation answers {slug}: it is computed or measured");
            let problem = Problem::new(ProblemName::NotAttested, written.place.clone(), what);
            self.report
                .add(problem.here("read from the design").advice(format!(
                "where the vehicle differs, correct the design: orangeloom explain {slug} lists \
                     the keys that it reads"
            )));
            return None;
        }
        self.put(written.text, written.place)
    }

    pub(super) fn attestation(&mut self, table: Table<'_>) {
        let mark = self.mark();
        let about = self.about(table);
        let rule = self.known_rule(table);
        let photo = self.text(table, "photo");
        let holds = table.flag("holds", &mut self.report);
        let answered = rule.and_then(|rule| RuleId::find(self.design.text(rule)?));
        let signature = self.signature(table, (answered.as_slice(), about));
        if let (Some(about), Some(rule), Some(holds), Ok(signature)) =
            (about, rule, holds, signature)
        {
            let attestation = Attestation {
                rule,
                about,
                holds,
                photo,
                signature,
            };
            self.add(attestation, table.place, mark);
        }
    }
}
