//! The project file: the work on a plate, or on a family of plates, in one file, the drawings inside, to be opened on any machine without a network.
//!
//! It is a ZIP (PKWARE APPNOTE 6.3.3, as any unzip reads it):
//!
//! - `project.json`: what the work is, below;
//! - `drawing.png` (or `.jpg`, `.tif`, `.webp`, `.bmp`, after its first bytes): the drawing's own bytes, untouched and stored, not packed again;
//! - `kept-map.png`: the map that was painted by, where something is painted (8-bit grey, as the log's kept map is);
//! - `plates/01.stepbite.zip` and on: the family's other plates, each a whole project file of one plate, stored. None of them has others in it.
//!
//! `project.json` carries [`FORMAT`] and [`CURRENT`] and holds settings, log and what else of the work the page keeps. `settings` and `job` are the
//! page's own words here: whoever opens the file checks them as strictly as those that come from the page. Equal work gives equal bytes.
//!
//! A file is read whole or refused in a sentence; nothing is half-opened. Files of every version written so far stay readable: [`versions`]
//! brings an older one up to date.

use crate::log::Entry;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::ops::Range;

mod container;
mod error;
mod reading;
pub mod versions;
pub use container::Fingerprint;
pub use error::ProjectError;
pub use reading::read;
pub use versions::{CURRENT, FORMAT};

use container::Member;

/// The member that says what the work is.
pub const DESCRIPTION: &str = "project.json";
/// The member with the map that was painted by.
pub const KEPT_MAP: &str = "kept-map.png";
/// The longest `project.json` that is read, bytes: a thousand marks by hand of five thousand points fit several times.
pub const LONGEST_DESCRIPTION: u64 = 192 << 20;
/// The largest kept map that is read, bytes.
pub const LARGEST_MAP: u64 = 256 << 20;
/// The largest drawing, bytes: what a ZIP without its 64-bit extension and a browser's 32-bit memory hold with room to spare.
pub const LARGEST_DRAWING: u64 = (1 << 31) - 1;
/// The largest file, bytes: as long as anything in a browser's 32-bit memory can be.
pub const LARGEST_FILE: u64 = (1 << 31) - 1;
/// The most that is unpacked of one file, of all its plates together, bytes: what a browser's 32-bit memory holds beside the file.
pub const MOST_UNPACKED: u64 = 1 << 30;
/// The most plates of a family beside the one at hand.
pub const MOST_OTHERS: usize = 29;
/// The largest drawing that is read where another program has packed it, bytes, and so of another plate's file. Ours are stored.
pub const LARGEST_PACKED_DRAWING: u64 = 256 << 20;

/// The work on one plate, and the names of those beside it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Project {
    /// The drawing.
    pub drawing: DrawingName,
    /// What decides the plan, as the page sends it.
    pub settings: Value,
    /// What was done to the metal.
    pub done: Done,
    /// Title, letter and the other choices beside the plan, as the page keeps them.
    pub job: Value,
    /// The members that are the family's other plates, as [`other_plates`] has them.
    pub family: Vec<String>,
}

/// The names of so many other plates' files.
#[must_use]
pub fn other_plates(count: usize) -> Vec<String> {
    (1..=count).map(|number| format!("plates/{number:02}.stepbite.zip")).collect()
}

/// What the drawing is called.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DrawingName {
    /// The name it was opened by.
    pub name: String,
}

/// What was done to the metal.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// The log, append-only.
    pub log: Vec<Entry>,
    /// The map that was painted by; its picture is a member of its own.
    pub kept: Option<KeptId>,
}

/// Which map was painted by.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptId {
    /// Tells one map from another.
    pub id: String,
}

/// A file that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// The work.
    pub project: Project,
    /// The drawing's bytes.
    pub drawing: Bytes,
    /// The map that was painted by, PNG.
    pub kept: Option<Vec<u8>>,
    /// The family's other plates. Where one's drawing lies is counted from the beginning of the whole file.
    pub family: Vec<Opened>,
}

/// Where bytes are.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Bytes {
    /// In the file as they are.
    At(Range<usize>),
    /// Unpacked.
    Own(Vec<u8>),
}

impl Bytes {
    /// The bytes, given the file they were read from.
    #[must_use]
    pub fn of<'a>(&'a self, file: &'a [u8]) -> &'a [u8] {
        match self {
            Self::At(range) => file.get(range.clone()).unwrap_or_default(),
            Self::Own(bytes) => bytes,
        }
    }
}

/// A project file around what it holds: a part before the drawing, one before each other plate's file, and one after the last. The drawing's own
/// bytes and those of the other files go between them, so that a drawing of a gigabyte is never in memory twice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Around {
    /// One more than there are files in it.
    pub parts: Vec<Vec<u8>>,
    /// How much of the file, and of the other plates' files in it, a reader unpacks beside the drawings, bytes.
    pub unpacked: u64,
}

/// Writes the file around a drawing, and around the project files of the other plates, whose bytes have been gone through once.
///
/// # Errors
/// When the drawing or the whole is too large, a kept map is said and not given, or the other way round, or the other plates are not those named.
pub fn around(project: &Project, drawing: &Fingerprint, kept: Option<&[u8]>, family: &[Fingerprint]) -> Result<Around, ProjectError> {
    if family.len() > MOST_OTHERS {
        return Err(ProjectError::Many { plates: family.len() + 1 });
    }
    if project.family != other_plates(family.len()) {
        return Err(ProjectError::Family { cause: "it does not name the plates that are in it".to_owned() });
    }
    if project.done.kept.is_some() != kept.is_some() {
        return Err(ProjectError::KeptMap);
    }
    if drawing.length() > LARGEST_DRAWING {
        return Err(ProjectError::Large { member: "the drawing".to_owned(), most: LARGEST_DRAWING });
    }
    let description = versions::described(project)?;
    let mut members = vec![Member::packed(DESCRIPTION, description.as_bytes())];
    if let Some(map) = kept {
        members.push(Member::stored(KEPT_MAP, map));
    }
    let others = project.family.iter().map(String::as_str).zip(family);
    let streamed: Vec<(&str, &Fingerprint)> = std::iter::once((drawing.name(), drawing)).chain(others).collect();
    container::around(&members, &streamed)
}

/// The whole file at once; `family` are the other plates' own files.
///
/// # Errors
/// As [`around`].
pub fn written(project: &Project, drawing: &[u8], kept: Option<&[u8]>, family: &[Vec<u8>]) -> Result<Vec<u8>, ProjectError> {
    let others: Vec<Fingerprint> = family.iter().map(|file| Fingerprint::of(file)).collect();
    let Around { parts, .. } = around(project, &Fingerprint::of(drawing), kept, &others)?;
    let held = std::iter::once(drawing).chain(family.iter().map(Vec::as_slice)).chain(std::iter::once(&[][..]));
    Ok(parts.iter().zip(held).flat_map(|(part, file)| [part.as_slice(), file]).flatten().copied().collect())
}
