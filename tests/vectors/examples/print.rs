//! Prints the cases as the image on the controller does: name, then bits.

use std::io::{self, BufWriter, Write};

fn main() -> io::Result<()> {
    let mut out = BufWriter::new(io::stdout().lock());
    let mut written = Ok(());
    orangeloom_vectors::run(&mut |name, bits| {
        if written.is_ok() {
            written = writeln!(out, "{name} {bits:08x}");
        }
    });
    written?;
    out.flush()
}
