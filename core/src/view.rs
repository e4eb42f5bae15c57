//! Which way round a picture is seen.

use serde::{Deserialize, Serialize};

/// PRINT VIEW or PLATE VIEW: mirrors of each other, left and right. Every picture and sheet says which it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum View {
    /// Looking at the pull.
    #[default]
    Print,
    /// Looking at the metal, face up.
    Plate,
}

impl View {
    /// The words that stand beside every picture.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Print => "PRINT VIEW",
            Self::Plate => "PLATE VIEW",
        }
    }
}
