//! Hands the linker its script, and the images the name of their compiler.

use std::env::var;
use std::process::Command;

fn main() {
    let here = var("CARGO_MANIFEST_DIR").expect("cargo names the directory of the crate");
    println!("cargo:rustc-link-search={here}");
    println!("cargo:rustc-link-arg-bins=-Tlink.x");
    println!("cargo:rerun-if-changed=memory.x");

    // A number of instructions means nothing without the compiler that made them.
    let compiler = var("RUSTC").expect("cargo names the compiler");
    let version = Command::new(compiler)
        .arg("-V")
        .output()
        .expect("the compiler runs");
    let version = String::from_utf8_lossy(&version.stdout);
    println!("cargo:rustc-env=COMPILER={}", version.trim());
}
