//! The bench command line.

fn main() {}
