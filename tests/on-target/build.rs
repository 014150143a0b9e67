//! Hands the linker its script, and the images the name of their compiler.

use std::env::var;
use std::fs;
use std::path::Path;
use std::process::Command;

fn main() {
    let here = var("CARGO_MANIFEST_DIR").expect("cargo names the directory of the crate");
    let out = var("OUT_DIR").expect("cargo names the directory for what is made");
    let target = var("TARGET").expect("cargo names the target");
    let memory = match target.as_str() {
        "thumbv6m-none-eabi" => "memory-microbit.x",
        "riscv32imac-unknown-none-elf" => "memory-virt.x",
        _ => "memory-mps2.x",
    };
    fs::copy(
        Path::new(&here).join(memory),
        Path::new(&out).join("memory.x"),
    )
    .expect("the memory of the board can be copied");
    println!("cargo:rustc-link-search={out}");
    println!("cargo:rerun-if-changed={memory}");
    if target.starts_with("riscv") {
        // The other start-up includes it by itself.
        println!("cargo:rustc-link-arg-bins=-Tmemory.x");
    }
    println!("cargo:rustc-link-arg-bins=-Tlink.x");

    // A number of instructions means nothing without the compiler that made them.
    let compiler = var("RUSTC").expect("cargo names the compiler");
    let version = Command::new(compiler)
        .arg("-V")
        .output()
        .expect("the compiler runs");
    let version = String::from_utf8_lossy(&version.stdout);
    println!("cargo:rustc-env=COMPILER={}", version.trim());
}
