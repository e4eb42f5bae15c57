//! Benchmarks of each stage.
fn main() {}
