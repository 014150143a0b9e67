//! Writes a design with its records; what stood in it stays byte for byte.

use super::RecordArgs;
use crate::design_file::Recorded;
use crate::whole_file;

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
        whole_file::create(to, text.as_bytes())
    } else {
        whole_file::replace(to, text.as_bytes())
    }
    .map_err(|why| format!("{} cannot be written: {why}", to.display()))?;
    Ok(Some(to.display().to_string()))
}
