//! Checks a folder that the headless example wrote: `cargo run -p stepbite-tests --example check -- FOLDER`.
//!
//! Exit 0: the contract holds. Exit 1: the faults, a line each. Exit 2: usage.

use std::path::Path;
use std::process::ExitCode;
use stepbite_tests::checker;

#[expect(clippy::print_stderr, clippy::print_stdout, reason = "a program for the command line speaks there")]
fn main() -> ExitCode {
    let Some(folder) = std::env::args_os().nth(1) else {
        eprintln!("usage: check FOLDER");
        return ExitCode::from(2);
    };
    let faults = checker::faults(Path::new(&folder));
    faults.iter().for_each(|fault| println!("{fault}"));
    if faults.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
