//! The command line.

use std::ffi::OsString;

use lexopt::prelude::*;

/// Where the page is served unless told otherwise. Unremarkable: below the range systems hand out by themselves, not on browsers'
/// list of refused ports.
pub(crate) const DEFAULT_PORT: u16 = 7431;

pub(crate) const USAGE: &str = "\
Stepbite plans a progressive (stop-out) aquatint.

  cargo run                      build the page and serve it on this machine
  cargo run -- bundle            write target/site/ (for any static host) and
                                 target/stepbite.html (one file, works offline)

Options when serving:
  --port N    serve on port N (default 7431; 0 = any free one);
              where it is taken, the next free one is used
  --open      open the page in the browser

  --help      say this";

/// What to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Task {
    /// Build and serve; port 0 is any free port.
    Serve {
        port: u16,
        open: bool,
    },
    /// Build and write the site and the one file.
    Bundle,
    Help,
}

/// The command line, understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Options {
    pub(crate) task: Task,
}

impl Options {
    /// Reads the arguments after the program's name; the error is a sentence.
    pub(crate) fn read(arguments: impl Iterator<Item = OsString>) -> Result<Self, String> {
        let mut parser = lexopt::Parser::from_args(arguments);
        let (mut bundle, mut port, mut open) = (false, None, false);
        while let Some(argument) = parser.next().map_err(|e| sentence(&e))? {
            match argument {
                Long("help") | Short('h') => return Ok(Self { task: Task::Help }),
                Long("open") => open = true,
                Long("port") => {
                    let value = parser.value().map_err(|_| "--port needs a number, as in --port 8000.".to_string())?;
                    let text = value.to_string_lossy();
                    let number = text.parse().map_err(|_| format!("--port takes a number from 0 to 65535, not \"{text}\"."))?;
                    port = Some(number);
                }
                Value(word) if word == "bundle" && !bundle => bundle = true,
                Value(word) => return Err(format!("\"{}\" is not a task; the only one is bundle.", word.to_string_lossy())),
                other => return Err(sentence(&other.unexpected())),
            }
        }
        if bundle && (port.is_some() || open) {
            return Err("--port and --open are for serving, not for bundle.".to_string());
        }
        let task = if bundle { Task::Bundle } else { Task::Serve { port: port.unwrap_or(DEFAULT_PORT), open } };
        Ok(Self { task })
    }
}

fn sentence(error: &lexopt::Error) -> String {
    let text = error.to_string();
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(arguments: &[&str]) -> Result<Task, String> {
        Options::read(arguments.iter().map(OsString::from)).map(|o| o.task)
    }

    #[test]
    fn serves_by_default() {
        assert_eq!(read(&[]), Ok(Task::Serve { port: DEFAULT_PORT, open: false }));
        assert_eq!(read(&["--open", "--port", "8000"]), Ok(Task::Serve { port: 8000, open: true }));
        assert_eq!(read(&["--port=0"]), Ok(Task::Serve { port: 0, open: false }));
    }

    #[test]
    fn bundles_and_helps() {
        assert_eq!(read(&["bundle"]), Ok(Task::Bundle));
        assert_eq!(read(&["bundle", "--help"]), Ok(Task::Help));
    }

    #[test]
    fn every_mistake_is_a_sentence() {
        for arguments in [
            &["--colour"][..],
            &["--open=yes"],
            &["-x"],
            &["print"],
            &["bundle", "bundle"],
            &["--port"],
            &["--port", "many"],
            &["--port", "65536"],
            &["--port", "-1"],
            &["bundle", "--open"],
        ] {
            let said = read(arguments).expect_err("a mistake");
            assert!(said.ends_with('.') && said.len() > 15, "{arguments:?}: {said}");
        }
    }

    #[test]
    fn usage_names_the_default_port() {
        assert!(USAGE.contains(&format!("default {DEFAULT_PORT}")));
    }
}
