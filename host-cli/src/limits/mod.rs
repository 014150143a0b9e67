//! `orangeloom limits`: what the controller of a reviewed vehicle keeps.

mod args;
mod places;
mod source;
mod text;

pub use args::LimitsArgs;

use std::collections::BTreeSet;
use std::path::Path;

use orangeloom_core::design::Design;
use orangeloom_core::limits::{Built, LimitsGap, MAX_IMAGE_BYTES, build, fingerprint};
use orangeloom_core::study::Unknown;

use crate::cli::{Exit, Outcome};
use crate::page;
use crate::review::Reviewed;
use crate::study::names;
use crate::whole_file;

/// Limits with their image.
pub(crate) struct Made {
    pub(crate) reviewed: Reviewed,
    pub(crate) built: Built,
    pub(crate) image: Vec<u8>,
    /// Whether a reason was given that the review does not ask for.
    pub(crate) reason_unneeded: bool,
}

/// Makes and writes the limits of one design.
pub fn run(args: &LimitsArgs) -> Outcome {
    let reviewed = match Reviewed::of(&args.file) {
        Ok(reviewed) => reviewed,
        Err(outcome) => return outcome,
    };
    let reason = args.reason.as_deref().unwrap_or_default();
    if let Some(refusal) = refused(&reviewed, reason) {
        return refusal;
    }
    let made = match make(reviewed, reason.trim()) {
        Ok(made) => made,
        Err(outcome) => return outcome,
    };
    let files = [
        (&args.out, made.image.clone()),
        (&args.c_header, source::c_header(&made).into_bytes()),
        (&args.rust, source::rust(&made).into_bytes()),
    ];
    for (file, bytes) in files {
        if let Some(file) = file
            && let Err(message) = write(file, &bytes)
        {
            return Outcome::unusable(&message);
        }
    }
    let mut page = text::summary(&made);
    if args.show {
        page = format!(
            "{page}\n{}\n\n{}\n",
            text::numbers(&made),
            text::listing(page::width(), made.reviewed.design(), &made.built)
        );
    }
    Outcome::result(page, Exit::Holds)
}

fn write(file: &Path, bytes: &[u8]) -> Result<(), String> {
    whole_file::write(file, bytes)
        .map_err(|error| format!("{} cannot be written: {error}", file.display()))
}

/// Without a reason nothing is made of a design that the review stops.
fn refused(reviewed: &Reviewed, reason: &str) -> Option<Outcome> {
    let stops: BTreeSet<&str> = reviewed
        .findings
        .iter()
        .filter(|one| reviewed.blocks(one))
        .map(|one| one.rule.slug())
        .collect();
    if stops.is_empty() || !reason.trim().is_empty() {
        return None;
    }
    let file = reviewed
        .read
        .sources
        .first()
        .map_or("", |source| source.path.as_str());
    let count = stops.len();
    let shown: Vec<&str> = stops.into_iter().take(8).collect();
    let more = if count > shown.len() { ", ..." } else { "" };
    Some(Outcome {
        stderr: format!(
            "error: the review does not pass: {count} rules fail or are open ({}{more}); see orangeloom review {file}\n\
             to make limits all the same, say why with --reason; the reason is kept in the image\n",
            shown.join(", ")
        ),
        exit: Exit::Fails,
        ..Outcome::default()
    })
}

/// Whether two states of a vehicle give a controller the same limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum SameLimits {
    /// Every value is the same.
    Yes,
    /// Values differ.
    No,
    /// Of one of them none can be made.
    NotKnown,
}

/// Compares the limits of two states, whatever revision and fingerprint they carry.
pub(crate) fn same_limits(old: &Reviewed, new: &Reviewed) -> SameLimits {
    let limits = |reviewed: &Reviewed| {
        let built = build(reviewed.design(), reviewed.study(), 0, "");
        built.ok().map(|built| built.limits)
    };
    let (Some(old), Some(mut new)) = (limits(old), limits(new)) else {
        return SameLimits::NotKnown;
    };
    new.revision = old.revision.clone();
    if old == new {
        SameLimits::Yes
    } else {
        SameLimits::No
    }
}

fn make(reviewed: Reviewed, reason: &str) -> Result<Made, Outcome> {
    // An image that says it was made although the review does not pass says so only then.
    let reason_unneeded = reviewed.passes() && !reason.is_empty();
    let kept = if reason_unneeded { "" } else { reason };
    let design = reviewed.design();
    let stated =
        serde_json::to_vec(design).map_err(|error| Outcome::unusable(&error.to_string()))?;
    let built = build(design, reviewed.study(), fingerprint(&stated), kept);
    let built = built.map_err(|gap| {
        let why = match gap {
            LimitsGap::Unknown(unknown) => missing(design, unknown),
            LimitsGap::Missing(what) => format!("{what} is not stated, or there is none"),
            LimitsGap::TooMany(what) => format!("there are more {what} than a controller watches"),
            LimitsGap::Refused(error) => error.to_string(),
            _ => "a value is missing".to_owned(),
        };
        Outcome {
            stderr: format!("error: no limits can be made: {why}\n"),
            exit: Exit::Fails,
            ..Outcome::default()
        }
    })?;
    let mut room = [0; MAX_IMAGE_BYTES];
    let length = built.limits.encode(&mut room).map_err(|refused| Outcome {
        stderr: format!(
            "error: these limits would be refused by the controller: {}\n",
            image_error(refused)
        ),
        exit: Exit::Fails,
        ..Outcome::default()
    })?;
    Ok(Made {
        image: room.get(..length).unwrap_or_default().to_vec(),
        reviewed,
        built,
        reason_unneeded,
    })
}

fn missing(design: &Design, unknown: Unknown) -> String {
    let what = match unknown {
        Unknown::Missing(_, gap) => gap.words().to_owned(),
        Unknown::Refused(_, error) => error.to_string(),
    };
    format!("{}: {what}", names::thing(design, unknown.thing()))
}

fn image_error(error: orangeloom_core::limits::ImageError) -> String {
    use orangeloom_core::limits::ImageError;
    match error {
        ImageError::Range { section, field } => format!(
            "{} {} is out of its range",
            section.name(),
            section.field(field).unwrap_or_default()
        ),
        ImageError::Contradiction(section) => {
            format!("the values of {} contradict each other", section.name())
        }
        ImageError::Letters => {
            "revision or reason holds something else than printable letters; use plain ones"
                .to_owned()
        }
        ImageError::TooMany => "there are more entries than an image has room for".to_owned(),
        _ => "it could not read the image again".to_owned(),
    }
}
