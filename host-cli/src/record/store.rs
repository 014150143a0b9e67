//! Writes a design with its records; what stood in it stays byte for byte.

use std::io::Write;
use std::path::Path;

use super::RecordArgs;
use crate::design_file::Recorded;

/// Writes where it was asked to; the file, or why not.
pub(super) fn store(args: &RecordArgs, recorded: &Recorded) -> Result<Option<String>, String> {
    let to = match (&args.output, args.write) {
        (Some(output), _) => output,
        (None, true) => &args.file,
        (None, false) => return Ok(None),
    };
    if recorded.readings.is_empty() && recorded.attestations.is_empty() && args.output.is_none() {
        return Ok(None);
    }
    let text = recorded.written(&args.readings);
    recorded.check(to, &text)?;
    if args.output.is_some() {
        create(to, &text)
    } else {
        replace(to, &text)
    }
    .map_err(|why| format!("{} cannot be written: {why}", to.display()))?;
    Ok(Some(to.display().to_string()))
}

/// A new file; overwrites nothing.
fn create(to: &Path, text: &str) -> std::io::Result<()> {
    let mut file = std::fs::File::create_new(to)?;
    let written = file
        .write_all(text.as_bytes())
        .and_then(|()| file.sync_all());
    if written.is_err() {
        // Half a file says what nobody wrote. The error that is told is the first.
        let _ = std::fs::remove_file(to);
    }
    written
}

/// Another text in a file: whole, or not at all.
fn replace(to: &Path, text: &str) -> std::io::Result<()> {
    // A link is followed, so that it stays one.
    let to = to.canonicalize()?;
    let mut name = to.file_name().unwrap_or_default().to_owned();
    name.push(".new");
    let beside = to.with_file_name(name);
    create(&beside, text).map_err(|why| {
        let beside = beside.display();
        let what = match why.kind() {
            std::io::ErrorKind::AlreadyExists => {
                format!("{beside} is there from another try; look at it and remove it")
            }
            _ => format!("{beside}: {why}"),
        };
        std::io::Error::new(why.kind(), what)
    })?;
    let moved = std::fs::metadata(&to)
        .and_then(|old| std::fs::set_permissions(&beside, old.permissions()))
        .and_then(|()| std::fs::rename(&beside, &to));
    if moved.is_err() {
        // The error that is told is the first.
        let _ = std::fs::remove_file(&beside);
    }
    moved
}
