//! Why the program stopped.

use std::fmt;
use std::path::Path;

/// One sentence for the person at the keyboard: what was expected, what came, what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Failure(String);

impl Failure {
    pub(crate) fn new(sentence: impl Into<String>) -> Self {
        Self(sentence.into())
    }

    /// A file or folder could not be read or written; `deed` is the verb, as in "read".
    pub(crate) fn file(deed: &str, path: &Path, cause: &std::io::Error) -> Self {
        Self(format!("Could not {deed} {}: {cause}.", path.display()))
    }
}

impl fmt::Display for Failure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl std::error::Error for Failure {}
