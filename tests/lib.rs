//! Checks that cross modules, files or processes. Unit tests stand at the foot of each file of the core.
//!
//! Reference tables are in `reference/data`, each with its source in its head and the script that made it in `reference/scripts`.

use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::OnceLock;
use stepbite_core::plane::Plane;

#[path = "contract/checker.rs"]
pub mod checker;
pub mod ink;
pub mod plate;
pub mod print_words;

/// Runs another program in a folder; what it said and whether it went well is for the caller to judge.
///
/// # Panics
/// When it is not on this machine.
pub fn run(program: &str, arguments: &[&str], folder: &Path) -> Output {
    Command::new(program)
        .args(arguments)
        .current_dir(folder)
        .output()
        .unwrap_or_else(|error| panic!("{program} could not be started ({error}): tests/run installs what these tests need."))
}

/// What another program made of its arguments in a folder, from its standard output.
///
/// # Panics
/// When it is not on this machine, or says that it failed.
#[must_use]
pub fn made(program: &str, arguments: &[&str], folder: &Path) -> Vec<u8> {
    let output = run(program, arguments, folder);
    assert!(output.status.success(), "{}", said(&output));
    output.stdout
}

/// The example `plan`, built once: by this very cargo, in the profile of the tests, and with what the workspace asks of each crate, so
/// that nothing is compiled a second time.
///
/// # Panics
/// When it does not compile.
pub fn example() -> &'static Path {
    static BUILT: OnceLock<PathBuf> = OnceLock::new();
    BUILT.get_or_init(|| {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
        let built = Command::new(env!("CARGO"))
            .current_dir(&root)
            .args(["build", "--quiet", "--workspace", "--example", "plan", "--message-format", "json-render-diagnostics"])
            .output()
            .unwrap_or_else(|error| panic!("cargo could not be started: {error}"));
        assert!(built.status.success(), "{}", said(&built));
        let made = String::from_utf8_lossy(&built.stdout).into_owned();
        let messages = made.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
        let executable = messages.filter_map(|message| message["executable"].as_str().map(PathBuf::from)).next_back();
        executable.expect("cargo names what it built")
    })
}

/// What a program said, on both channels.
#[must_use]
pub fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

/// Where a file of the reference tables is.
#[must_use]
pub fn data(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("reference/data").join(name)
}

/// The text of a reference table.
///
/// # Panics
/// When it is not there: the tables are part of the project.
#[must_use]
pub fn text(name: &str) -> String {
    std::fs::read_to_string(data(name)).unwrap_or_else(|error| panic!("the table {name} can't be read: {error}"))
}

/// Rows of a CSV table: comment lines and the line of column names are passed over.
#[must_use]
pub fn rows(name: &str) -> Vec<Vec<String>> {
    let text = text(name);
    let lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).skip(1);
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

/// Rows of a CSV table of numbers only.
///
/// # Panics
/// When a cell is no number.
#[must_use]
pub fn numbers(name: &str) -> Vec<Vec<f64>> {
    let number = |cell: &String| cell.parse().unwrap_or_else(|_| panic!("{name}: “{cell}” is no number"));
    rows(name).iter().map(|row| row.iter().map(number).collect()).collect()
}

/// A map of one digit a pixel.
///
/// # Panics
/// When the table is no such map.
#[must_use]
pub fn digits(name: &str) -> Plane<u8> {
    let text = text(name);
    let lines: Vec<&str> = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty()).collect();
    let data = lines.iter().flat_map(|line| line.bytes().map(|b| b - b'0')).collect();
    Plane::new(lines[0].len(), lines.len(), data).unwrap_or_else(|error| panic!("{name}: {error}"))
}
