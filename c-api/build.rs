//! Gives each build of the library a number of its own: memory that was prepared by other
//! sources, another compiler or other settings has another layout and must be refused.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::{env, fs};

fn main() {
    let mut sum = Sum(0xcbf2_9ce4_8422_2325);
    for name in [
        "TARGET",
        "OPT_LEVEL",
        "DEBUG",
        "CARGO_PKG_VERSION",
        "CARGO_ENCODED_RUSTFLAGS",
    ] {
        sum.add(env::var(name).unwrap_or_default().as_bytes());
    }
    let compiler = env::var_os("RUSTC").expect("cargo names the compiler");
    let version = Command::new(compiler).arg("-vV").output();
    sum.add(&version.expect("the compiler tells its version").stdout);
    let mut files = Vec::new();
    for place in [
        "src",
        "../core/src",
        "Cargo.toml",
        "Cargo.lock",
        "../core/Cargo.toml",
    ] {
        println!("cargo::rerun-if-changed={place}");
        list(Path::new(place), &mut files);
    }
    files.sort();
    for file in &files {
        sum.add(file.to_string_lossy().as_bytes());
        sum.add(&fs::read(file).expect("what is listed can be read"));
    }
    println!("cargo::rustc-env=ORANGELOOM_BUILD={}", sum.0);
}

fn list(place: &Path, files: &mut Vec<PathBuf>) {
    if place.is_dir() {
        for entry in fs::read_dir(place).expect("the sources can be listed") {
            list(&entry.expect("the sources can be listed").path(), files);
        }
    } else {
        files.push(place.to_path_buf());
    }
}

/// FNV-1a, 64 bits.
struct Sum(u64);

impl Sum {
    /// A zero byte closes each part, so that two parts are not taken for one.
    fn add(&mut self, bytes: &[u8]) {
        for byte in bytes.iter().chain(&[0]) {
            self.0 = (self.0 ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3);
        }
    }
}
