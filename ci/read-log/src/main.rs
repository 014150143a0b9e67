//! Turns the log of a firmware image, from standard input, into text: `read-log IMAGE`.
//!
//! `defmt-print` of crates.io does more of this and takes three times as long to build.

use std::error::Error;
use std::io::{Read, stdin};

use defmt_decoder::{DecodeError, Table};

fn main() -> Result<(), Box<dyn Error>> {
    let image = std::env::args()
        .nth(1)
        .ok_or("name the image that the log comes from")?;
    let table = Table::parse(&std::fs::read(&image)?)?
        .ok_or_else(|| format!("{image} has no words of a log in it"))?;
    let mut log = Vec::new();
    stdin().read_to_end(&mut log)?;

    let mut decoder = table.new_stream_decoder();
    decoder.received(&log);
    loop {
        match decoder.decode() {
            Ok(frame) => {
                let time = frame.display_timestamp().map(|time| time.to_string());
                let level = frame.level().map_or("", |level| level.as_str());
                println!(
                    "{} {level:<5} {}",
                    time.unwrap_or_default(),
                    frame.display_message()
                );
            }
            Err(DecodeError::UnexpectedEof) => return Ok(()),
            Err(DecodeError::Malformed) => return Err("the log is damaged".into()),
        }
    }
}
