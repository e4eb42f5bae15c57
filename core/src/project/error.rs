//! Why a project file was not written or not opened.

use super::MOST_OTHERS;
use super::versions::CURRENT;
use std::fmt;

/// Why a project file was not written or not opened. Nothing is changed by it.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum ProjectError {
    /// No ZIP at all.
    NotZip,
    /// A ZIP that can't be read.
    Broken {
        /// What the reader said.
        cause: String,
    },
    /// A member that can't be read, or is not what was packed.
    Damaged {
        /// Its name.
        member: String,
        /// What the reader said.
        cause: String,
    },
    /// A member is not there.
    Missing {
        /// Its name.
        member: String,
    },
    /// A member is larger than anything of ours.
    Large {
        /// Its name.
        member: String,
        /// The most that is taken, bytes.
        most: u64,
    },
    /// All that is to go into a file is more than a reader holds.
    Whole {
        /// What of it, as it stands in the sentence; empty: all of it.
        of: &'static str,
        /// All of it, bytes.
        bytes: u64,
        /// The most that is read again, bytes.
        most: u64,
        /// The largest of what is in it, in the printer's words, with its bytes.
        largest: Vec<(String, u64)>,
    },
    /// A ZIP of something else.
    NotOurs {
        /// What was found instead.
        found: String,
    },
    /// Written by a later version.
    Newer {
        /// The version it says.
        version: u64,
    },
    /// `project.json` holds something else than it should.
    Description {
        /// What, and where.
        cause: String,
    },
    /// A kept map is said and not given, or the other way round.
    KeptMap,
    /// More plates than a family has.
    Many {
        /// All of them.
        plates: usize,
    },
    /// The other plates are not as they should be.
    Family {
        /// What is wrong.
        cause: String,
    },
    /// Another plate's file can't be read.
    Plate {
        /// Its name.
        member: String,
        /// Why.
        cause: Box<ProjectError>,
    },
}

impl fmt::Display for ProjectError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotZip => write!(f, "This is no project file (a project file is a ZIP): open the file that Save wrote, or a drawing."),
            Self::Broken { cause } => {
                write!(f, "This project file is broken or cut short ({cause}): copy it over again, or open an earlier one.")
            }
            Self::Damaged { member, cause } => {
                write!(f, "In this project file {member} is damaged ({cause}): copy the file over again, or open an earlier one.")
            }
            Self::Missing { member } => {
                write!(f, "This ZIP holds no {member}, so it is no project file, or not a whole one: open the file that Save wrote.")
            }
            Self::Large { member, most } => {
                write!(f, "In this project file {member} is larger than {} MB, the most that is taken: use a smaller drawing.", most >> 20)
            }
            Self::Whole { of, bytes, most, largest } => {
                write!(
                    f,
                    "The file would have {of}{} MB, and no more than {} MB can be opened again",
                    (bytes >> 20).max((most >> 20) + 1),
                    most >> 20
                )?;
                for (k, (name, bytes)) in largest.iter().enumerate() {
                    write!(f, "{}{name}{} {} MB", if k == 0 { ": " } else { ", " }, if k == 0 { " has" } else { "" }, bytes >> 20)?;
                }
                write!(f, ". Take a plate out of the family and save it by itself, or use a smaller drawing.")
            }
            Self::NotOurs { found } => write!(f, "This ZIP is no project file of Stepbite ({found}): open the file that Save wrote."),
            Self::Newer { version } => write!(
                f,
                "This project file is of version {version}, and this page reads versions up to {CURRENT}: get the page anew, then open the file."
            ),
            Self::Description { cause } => {
                write!(f, "In this project file project.json can't be used ({cause}): open an earlier file, or mend it by the schema.")
            }
            Self::KeptMap => write!(
                f,
                "The log and the map that was painted by do not belong together (one came without the other): open an earlier file."
            ),
            Self::Many { plates } => {
                write!(
                    f,
                    "This family has {plates} plates, and at most {} are taken: put some into a family of their own.",
                    MOST_OTHERS + 1
                )
            }
            Self::Family { cause } => write!(f, "The plates of this project file do not fit together ({cause}): open an earlier file."),
            Self::Plate { member, cause } => write!(f, "In this project file plate {member} can't be used. {cause}"),
        }
    }
}

impl std::error::Error for ProjectError {}
