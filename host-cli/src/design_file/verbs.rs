//! `check` and `new`.

use core::fmt::Write;

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;

use super::render::{Paint, render};
use super::{DesignFile, Problem, STARTER_DESIGN, STARTER_PARTS, Source, schema, summary};
use crate::cli::{Exit, Outcome};

/// What to check.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct CheckArgs {
    /// The design file
    pub file: PathBuf,
}

/// Where to write.
#[derive(Clone, Debug, Args)]
#[non_exhaustive]
pub struct NewArgs {
    /// The directory for the new files; it is made if it is not there
    pub directory: PathBuf,
}

/// Reads a design and says what is wrong, or what was read.
pub fn check(args: &CheckArgs) -> Outcome {
    let read = DesignFile::read(&args.file);
    if read.problems.is_empty() {
        return Outcome::result(summary(&read), Exit::Holds);
    }
    refuse(&read, &args.file)
}

/// A file that cannot be used, with everything that is wrong in it.
pub(crate) fn refuse(read: &DesignFile, file: &Path) -> Outcome {
    refuse_for(&read.sources, &read.problems, file)
}

/// The same for any file.
pub(crate) fn refuse_for(sources: &[Source], problems: &[Problem], file: &Path) -> Outcome {
    let count = problems.len();
    let errors = if count == 1 { "error" } else { "errors" };
    let mut outcome = Outcome::unusable(&format!(
        "{} cannot be used: {count} {errors}",
        file.display()
    ));
    outcome
        .stderr
        .insert_str(0, &render(sources, problems, paint()));
    outcome
}

/// Colours only where a person looks and has not asked for none.
fn paint() -> Paint {
    let refused = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    if std::io::stderr().is_terminal() && !refused {
        Paint::Coloured
    } else {
        Paint::Plain
    }
}

/// Writes a commented starter design. Overwrites nothing.
pub fn new(args: &NewArgs) -> Outcome {
    match write(&args.directory) {
        Ok(written) => {
            let mut text = String::new();
            for path in &written {
                // Writing into a string cannot fail.
                let _ = writeln!(text, "wrote {}", path.display());
            }
            let design = args.directory.join(DESIGN);
            let design = design.display();
            let _ = write!(
                text,
                "next: orangeloom study {design}\n\
                 \x20     what follows from the drawing; in the starter nothing fails\n\
                 then: orangeloom review {design}\n\
                 \x20     the checklist. The starter does not pass: what nobody has measured or looked \
                 at\n\
                 \x20     yet is open, and each point says what to state, to measure or to attest\n"
            );
            Outcome::result(text, Exit::Holds)
        }
        Err(message) => Outcome::unusable(&message),
    }
}

const DESIGN: &str = "design.toml";
const PARTS: &str = "parts.toml";
const SCHEMA: &str = "design.schema.json";

fn write(directory: &Path) -> Result<Vec<PathBuf>, String> {
    let schema = format!("{:#}\n", schema());
    let files = [
        (DESIGN, STARTER_DESIGN),
        (PARTS, STARTER_PARTS),
        (SCHEMA, schema.as_str()),
    ];
    for (name, _) in files {
        let path = directory.join(name);
        if path.exists() {
            return Err(format!(
                "{} is there already and is not overwritten; name another directory",
                path.display()
            ));
        }
    }
    std::fs::create_dir_all(directory)
        .map_err(|why| format!("{} cannot be made: {why}", directory.display()))?;
    let mut written = Vec::new();
    for (name, text) in files {
        let path = directory.join(name);
        // `create_new`: whoever made the file in between keeps his.
        let file = std::fs::File::create_new(&path);
        file.and_then(|mut file| std::io::Write::write_all(&mut file, text.as_bytes()))
            .map_err(|why| format!("{} cannot be written: {why}", path.display()))?;
        written.push(path);
    }
    Ok(written)
}
