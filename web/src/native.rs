//! What the native program does, one step a module: [`options`] → [`wasm`] → [`site`] → [`serve`] or [`bundle`].

mod browser;
mod bundle;
mod css;
mod failure;
mod html;
mod javascript;
mod media;
mod options;
mod paths;
mod reference;
mod serve;
mod site;
mod wasm;

use std::ffi::OsString;
use std::io::Write;
use std::process::ExitCode;

use failure::Failure;
use options::{Options, Task};
use paths::Paths;

/// Reads the options and does what they ask; every failure is a sentence on stderr.
pub(crate) fn run(arguments: impl Iterator<Item = OsString>) -> ExitCode {
    let options = match Options::read(arguments) {
        Ok(options) => options,
        Err(mistake) => {
            note(&format!("{mistake}\n\n{}", options::USAGE));
            return ExitCode::from(2);
        }
    };
    match perform(&options) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            note(&failure.to_string());
            ExitCode::FAILURE
        }
    }
}

fn perform(options: &Options) -> Result<(), Failure> {
    if options.task == Task::Help {
        say(options::USAGE);
        return Ok(());
    }
    let paths = Paths::find()?;
    let bindings = wasm::build(&paths)?;
    site::assemble(&paths, &bindings)?;
    match options.task {
        Task::Serve { port, open } => serve::serve(&paths, port, open),
        Task::Bundle => {
            let length = bundle::write(&paths)?;
            say(&format!("{} is the page for any static host.", paths.site().display()));
            say(&format!("{} is the page in one file, {:.1} MB.", paths.one_file().display(), length as f64 / 1e6));
            Ok(())
        }
        Task::Help => Ok(()),
    }
}

/// A line of result. That nobody reads it any more (a closed pipe) is no failure.
fn say(line: &str) {
    drop(writeln!(std::io::stdout(), "{line}"));
}

/// A line about how the work goes, or why it can't.
fn note(line: &str) {
    drop(writeln!(std::io::stderr(), "{line}"));
}
