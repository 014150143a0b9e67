//! The bench command line: parses, calls the core, renders.

use core::hint::black_box;
use std::io::{self, Write};
use std::process::ExitCode;

use clap::Parser;
use orangeloom::cli::{Cli, run};

/// The C library of Linux gives pieces beyond a size back to the kernel, which hands out
/// each page anew, until it has seen a larger one come back. No page of this one is touched.
const LARGEST_PIECE: usize = 4 << 20;

fn main() -> ExitCode {
    drop(black_box(Vec::<u8>::with_capacity(LARGEST_PIECE)));
    let cli = Cli::parse();
    let outcome = run(&cli);
    let stdout = io::stdout().lock().write_all(outcome.stdout.as_bytes());
    let stderr = io::stderr().lock().write_all(outcome.stderr.as_bytes());
    match (stdout, stderr) {
        (Ok(()), Ok(())) => outcome.exit.into(),
        // A reader that has seen enough (`orangeloom ... | head`) is no error.
        (Err(error), _) | (_, Err(error)) if error.kind() == io::ErrorKind::BrokenPipe => {
            outcome.exit.into()
        }
        (Err(error), _) | (_, Err(error)) => {
            // Where even this cannot be written, the status is all that is left.
            let _ = writeln!(io::stderr(), "error: the answer cannot be written: {error}");
            ExitCode::from(2)
        }
    }
}
