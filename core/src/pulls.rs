//! The record of the pulls: what was printed, in which order, with what, and what the printer says of it.
//!
//! A pull that is written down stays. What was written wrong is put right by a correction that keeps what stood there before, with a note of its
//! own; a pull that was none is struck out by one, and keeps its place. Days come from the page: nothing here reads a clock.

use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fmt;

mod csv;
mod edition;
mod said;
pub use csv::csv;
pub use edition::{edition_list, edition_said, next_copy};
pub use said::{label, lines, put_right};

/// Most pulls of one record.
pub const MOST_PULLS: usize = 500;
/// Most letters of a short answer: a sheet, a way of wiping, the name of an ink.
pub const MOST_SHORT: usize = 200;
/// Most letters of the printer's words on a pull.
pub const MOST_WORDS: usize = 2_000;
/// Most letters of a note: why something was put right, what is touched by hand.
pub const MOST_NOTE: usize = 500;
/// Most plates of one pull.
pub const MOST_PLATES: usize = 40;
/// Most papers laid in one pull.
pub const MOST_LAID: usize = 200;
/// Most corrections of one pull.
pub const MOST_CORRECTIONS: usize = 20;
/// Most plates and papers of all pulls and all that held before: a project file has room for so many.
pub const MOST_IN_ALL: usize = 60_000;
/// Most touches by hand.
pub const MOST_TOUCHES: usize = 60;
/// Largest photograph, bytes, and all of them together.
pub const LARGEST_PHOTO: usize = 300_000;
/// The bytes of all photographs together.
pub const LARGEST_PHOTOS: usize = 24_000_000;
/// The highest number of a pull or of an edition.
pub const HIGHEST: u32 = 100_000;

/// All that is written down of what was printed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// How many pulls are planned with the plate at hand; none: not said.
    pub planned: Option<u32>,
    /// How many numbered pulls the edition has; none: not said.
    pub edition: Option<u32>,
    /// How many pulls a plate of the printer's own stood before its lights went; none: not known.
    pub lifetime: Option<u32>,
    /// The pulls in the order they were written down.
    pub pulls: Vec<Pull>,
    /// The photographs, each once.
    pub photos: Vec<Photo>,
    /// What is touched by hand on the dry print.
    pub touches: Vec<Touch>,
}

/// A pull: what holds of it now, and what held before.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pull {
    /// Its number among all pulls; it never changes.
    pub number: u32,
    /// What holds.
    pub now: Facts,
    /// What was put right, the first first.
    pub corrections: Vec<Correction>,
}

/// What is said of a pull.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Facts {
    /// The day, YYYY-MM-DD.
    pub day: String,
    /// What it is.
    pub kind: Kind,
    /// Its number in the edition; none: not numbered.
    pub copy: Option<u32>,
    /// The plates in the order they printed.
    pub plates: Vec<Printed>,
    /// The papers under the ink, the first laid first.
    pub papers: Vec<String>,
    /// What it is printed on.
    pub sheet: String,
    /// How that was damped.
    pub damping: String,
    /// How the plates were wiped.
    pub wiping: String,
    /// Pressure and blankets.
    pub pressure: String,
    /// The printer's words.
    pub words: String,
    /// Its photograph.
    pub photo: Option<Shown>,
    /// Whether it was struck out: it was never pulled, or written down twice.
    pub struck: bool,
}

/// What a pull is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// A proof.
    Proof,
    /// One of an edition.
    Edition,
    /// One of its kind.
    Unique,
}

/// A plate as it printed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Printed {
    /// Its letter.
    pub letter: String,
    /// Whether it lay turned round.
    pub turned: bool,
    /// Its ink, or its inks, in words.
    pub ink: String,
}

/// A photograph of a pull.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Shown {
    /// Which of the record's photographs.
    pub id: String,
    /// What is to be seen in it, for those who don't see it.
    pub alt: String,
}

/// The bytes of a photograph.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// Equal ids are the same photograph.
    pub id: String,
    /// JPEG, base64 (RFC 4648); empty where only its place is spoken of.
    pub jpeg: String,
}

/// A correction.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// The day it was made, YYYY-MM-DD.
    pub day: String,
    /// Why, in the printer's words.
    pub note: String,
    /// What held before it.
    pub was: Facts,
}

/// A place that is touched by hand, in PRINT VIEW.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Touch {
    /// Which plate of the family, by the page's own id.
    pub plate: String,
    /// mm of the face from its left and its top, as the print reads.
    pub at: (f64, f64),
    /// The printer's words.
    pub words: String,
}

/// Why a record can't be kept.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub enum RecordError {
    /// There are too many of something.
    Many {
        /// What.
        what: &'static str,
        /// How many there may be.
        most: usize,
        /// How many came.
        came: usize,
    },
    /// A text is too long.
    Long {
        /// Which.
        what: &'static str,
        /// Most letters.
        most: usize,
        /// How many came.
        came: usize,
    },
    /// A number is out of its range.
    Number {
        /// Which.
        what: &'static str,
        /// What came.
        came: u32,
    },
    /// Two pulls have one number.
    Twice {
        /// That number.
        number: u32,
    },
    /// No day of the calendar.
    Day {
        /// What came.
        came: String,
    },
    /// A place that is none.
    Place,
    /// A number in an edition on what is no part of one.
    Copy {
        /// The pull.
        number: u32,
    },
    /// Photographs are too large.
    Large {
        /// Which: one, or all together.
        what: &'static str,
        /// Most bytes.
        most: usize,
        /// How many came.
        came: usize,
    },
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Many { what, most, came } => {
                write!(f, "A record holds up to {most} {what}, {came} came: begin another record for the rest.")
            }
            Self::Long { what, most, came } => write!(f, "{what} has up to {most} letters, {came} came: shorten it."),
            Self::Number { what, came } => write!(f, "{what} lies between 1 and {HIGHEST}, {came} came: give a number in that range."),
            Self::Twice { number } => write!(f, "Each pull has a number of its own, {number} came twice: give one of the two another."),
            Self::Day { came } => {
                write!(
                    f,
                    "A day like 2026-03-14 was expected, “{}” came: write year, month and day so.",
                    came.chars().take(40).collect::<String>()
                )
            }
            Self::Place => write!(f, "A touch lies on the face or near it, and this one does not: set its place again."),
            Self::Copy { number } => {
                write!(
                    f,
                    "Pull {number} has a number in the edition and is no part of it: make it one of the edition, or take the number away."
                )
            }
            Self::Large { what, most, came } => {
                write!(f, "{what} may have up to {} kB, {} kB came: take a smaller one, or fewer.", most / 1000, came.div_ceil(1000))
            }
        }
    }
}

impl std::error::Error for RecordError {}

fn long(what: &'static str, text: &str, most: usize) -> Result<(), RecordError> {
    let came = text.chars().count();
    if came <= most { Ok(()) } else { Err(RecordError::Long { what, most, came }) }
}

fn many(what: &'static str, came: usize, most: usize) -> Result<(), RecordError> {
    if came <= most { Ok(()) } else { Err(RecordError::Many { what, most, came }) }
}

fn number(what: &'static str, came: Option<u32>) -> Result<(), RecordError> {
    match came {
        Some(came) if !(1..=HIGHEST).contains(&came) => Err(RecordError::Number { what, came }),
        _ => Ok(()),
    }
}

/// Whether a text is a day of the calendar (ISO 8601-1:2019, 5.2.2.1, the extended form; years 1900 to 2999).
#[must_use]
pub fn is_day(text: &str) -> bool {
    let bytes = text.as_bytes();
    let shaped = bytes.len() == 10 && bytes.iter().enumerate().all(|(i, &b)| if i == 4 || i == 7 { b == b'-' } else { b.is_ascii_digit() });
    if !shaped {
        return false;
    }
    let part = |from: usize, to: usize| text[from..to].parse::<u32>().unwrap_or(0);
    let (year, month, day) = (part(0, 4), part(5, 7), part(8, 10));
    let leap = (year.is_multiple_of(4) && !year.is_multiple_of(100)) || year.is_multiple_of(400);
    let days = match month {
        4 | 6 | 9 | 11 => 30,
        2 => 28 + u32::from(leap),
        1..=12 => 31,
        _ => 0,
    };
    (1900..3000).contains(&year) && (1..=days).contains(&day)
}

fn day(text: &str) -> Result<(), RecordError> {
    if is_day(text) { Ok(()) } else { Err(RecordError::Day { came: text.to_owned() }) }
}

impl Facts {
    fn check(&self, of: u32) -> Result<(), RecordError> {
        day(&self.day)?;
        number("A number in the edition", self.copy)?;
        if self.copy.is_some() && self.kind != Kind::Edition {
            return Err(RecordError::Copy { number: of });
        }
        many("plates of one pull", self.plates.len(), MOST_PLATES)?;
        many("papers of one pull", self.papers.len(), MOST_LAID)?;
        for plate in &self.plates {
            long("The letter of a plate", &plate.letter, MOST_SHORT)?;
            long("An ink", &plate.ink, MOST_SHORT)?;
        }
        for paper in &self.papers {
            long("A paper", paper, MOST_SHORT)?;
        }
        for (what, text) in
            [("The sheet", &self.sheet), ("The damping", &self.damping), ("The wiping", &self.wiping), ("The pressure", &self.pressure)]
        {
            long(what, text, MOST_SHORT)?;
        }
        if let Some(Shown { id, alt }) = &self.photo {
            long("The name of a photograph", id, MOST_SHORT)?;
            long("What a photograph shows", alt, MOST_NOTE)?;
        }
        long("The words on a pull", &self.words, MOST_WORDS)
    }
}

impl Record {
    /// Checks every number, day and length. A photograph's own bytes are looked at where it is drawn ([`crate::jpeg_file`]).
    ///
    /// # Errors
    /// The first thing that can't be, in a sentence.
    pub fn check(&self) -> Result<(), RecordError> {
        number("The pulls planned", self.planned)?;
        number("The size of an edition", self.edition)?;
        number("The pulls of a past plate", self.lifetime)?;
        many("pulls", self.pulls.len(), MOST_PULLS)?;
        many("touches by hand", self.touches.len(), MOST_TOUCHES)?;
        let mut seen = BTreeSet::new();
        for pull in &self.pulls {
            number("The number of a pull", Some(pull.number))?;
            if !seen.insert(pull.number) {
                return Err(RecordError::Twice { number: pull.number });
            }
            pull.now.check(pull.number)?;
            many("corrections of one pull", pull.corrections.len(), MOST_CORRECTIONS)?;
            for correction in &pull.corrections {
                day(&correction.day)?;
                long("The note of a correction", &correction.note, MOST_NOTE)?;
                correction.was.check(pull.number)?;
            }
        }
        let all = self.pulls.iter().flat_map(|pull| pull.corrections.iter().map(|correction| &correction.was).chain([&pull.now]));
        many("plates and papers", all.map(|facts| facts.plates.len() + facts.papers.len()).sum(), MOST_IN_ALL)?;
        for touch in &self.touches {
            if !(touch.at.0.abs() <= 10_000.0 && touch.at.1.abs() <= 10_000.0) {
                return Err(RecordError::Place);
            }
            long("The id of a plate", &touch.plate, MOST_SHORT)?;
            long("The words on a touch", &touch.words, MOST_NOTE)?;
        }
        let mut all = 0;
        for photo in &self.photos {
            // Four letters of base64 are three bytes (RFC 4648, section 4).
            let came = photo.jpeg.len() / 4 * 3;
            if came > LARGEST_PHOTO {
                return Err(RecordError::Large { what: "A photograph", most: LARGEST_PHOTO, came });
            }
            all += came;
        }
        if all > LARGEST_PHOTOS {
            return Err(RecordError::Large { what: "All photographs together", most: LARGEST_PHOTOS, came: all });
        }
        Ok(())
    }

    /// The pulls that stand: those not struck out.
    pub fn standing(&self) -> impl Iterator<Item = &Pull> {
        self.pulls.iter().filter(|pull| !pull.now.struck)
    }

    /// How many pulls a plate has printed, by its letter. A pull that names no plate counts for any.
    #[must_use]
    pub fn pulled_of(&self, letter: &str) -> usize {
        self.standing().filter(|pull| pull.now.plates.is_empty() || pull.now.plates.iter().any(|plate| plate.letter == letter)).count()
    }

    /// The number of the next pull: one more than the highest so far.
    #[must_use]
    pub fn next_number(&self) -> u32 {
        self.pulls.iter().map(|pull| pull.number).max().unwrap_or(0) + 1
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn facts(kind: Kind, copy: Option<u32>) -> Facts {
        Facts {
            day: "2026-03-14".into(),
            kind,
            copy,
            plates: vec![
                Printed { letter: "B".into(), turned: false, ink: "ochre".into() },
                Printed { letter: "A".into(), turned: true, ink: "cold blue-black".into() },
            ],
            papers: vec!["kozo cream".into()],
            sheet: "rag 300 g".into(),
            damping: "soaked, blotted".into(),
            wiping: "tarlatan, then the hand".into(),
            pressure: "two blankets".into(),
            words: "The sky is a breath too grey.".into(),
            photo: None,
            struck: false,
        }
    }

    pub(crate) fn pull(number: u32, kind: Kind, copy: Option<u32>) -> Pull {
        Pull { number, now: facts(kind, copy), corrections: Vec::new() }
    }

    /// Three trial pulls and five of their own kind, as the demo has them.
    pub(crate) fn demo() -> Record {
        let kinds = [[Kind::Proof].repeat(3), [Kind::Unique].repeat(5)].concat();
        Record { pulls: kinds.into_iter().zip(1..).map(|(kind, number)| pull(number, kind, None)).collect(), ..Record::default() }
    }

    #[test]
    fn days_are_those_of_the_calendar() {
        for good in ["2026-03-14", "2024-02-29", "2000-02-29", "1999-12-31"] {
            assert!(is_day(good), "{good}");
        }
        for bad in
            ["2026-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "2026-04-31", "14.3.2026", "2026-3-14", "", "2026-03-1é", "0000-01-01"]
        {
            assert!(!is_day(bad), "{bad}");
        }
    }

    #[test]
    fn what_can_not_be_is_refused_in_a_sentence() {
        demo().check().unwrap();
        let said = |change: &dyn Fn(&mut Record)| {
            let mut record = demo();
            change(&mut record);
            let said = record.check().unwrap_err().to_string();
            assert!(said.ends_with('.') && said.contains(':'), "{said}");
            said
        };
        let more = |count: usize| (1..=count as u32).map(|number| pull(number, Kind::Proof, None)).collect::<Vec<_>>();
        assert!(Record { pulls: more(500), ..Record::default() }.check().is_ok());
        assert!(said(&|it| it.pulls = more(501)).contains("up to 500 pulls, 501 came"));
        assert!(said(&|it| it.pulls[1].number = 1).contains("1 came twice"));
        assert!(said(&|it| it.pulls[0].number = 0).contains("0 came"));
        assert!(said(&|it| it.pulls[0].now.day = "yesterday".into()).contains("yesterday"));
        assert!(said(&|it| it.pulls[0].now.copy = Some(3)).contains("Pull 1 has a number"));
        assert!(said(&|it| it.pulls[0].now.words = "x".repeat(2001)).contains("2000 letters"));
        assert!(said(&|it| it.pulls[0].now.sheet = "x".repeat(201)).contains("The sheet"));
        assert!(said(&|it| it.edition = Some(0)).contains("edition"));
        assert!(said(&|it| it.touches = vec![Touch { plate: String::new(), at: (f64::NAN, 1.0), words: String::new() }]).contains("touch"));
        assert!(said(&|it| it.touches = vec![Touch { plate: String::new(), at: (1.0, 1.0), words: String::new() }; 61]).contains("60"));
        assert!(said(&|it| it.photos = vec![Photo { id: "a".into(), jpeg: "A".repeat(400_008) }]).contains("300 kB, 301 kB"));
        assert!(said(&|it| it.photos = vec![Photo { id: "a".into(), jpeg: "A".repeat(400_000) }; 81]).contains("24000 kB"));
        let was = facts(Kind::Proof, None);
        let wrong = Correction { day: "2026-02-30".into(), note: String::new(), was: was.clone() };
        assert!(said(&|it| it.pulls[0].corrections = vec![wrong.clone()]).contains("2026-02-30"));
        let held =
            Correction { day: "2026-03-15".into(), note: String::new(), was: Facts { papers: vec!["a".into(); 200], ..was.clone() } };
        assert!(said(&|it| it.pulls[0].corrections = vec![held.clone(); 21]).contains("20 corrections"));
        assert!(
            said(&|it| it.pulls =
                (1..=20).map(|number| Pull { corrections: vec![held.clone(); 20], ..pull(number, Kind::Proof, None) }).collect())
            .contains("60000 plates and papers")
        );
        let wrong = Correction { day: "2026-03-15".into(), note: "x".repeat(501), was };
        assert!(said(&|it| it.pulls[0].corrections = vec![wrong.clone()]).contains("500 letters"));
    }

    #[test]
    fn pulls_are_counted_by_plate_and_the_struck_out_by_none() {
        let mut record = demo();
        record.pulls[0].now.plates.truncate(1);
        record.pulls[1].now.struck = true;
        record.pulls[2].now.plates.clear();
        assert_eq!((record.pulled_of("A"), record.pulled_of("B"), record.pulled_of("C")), (6, 7, 1));
        assert_eq!(record.next_number(), 9);
    }

    #[test]
    fn a_record_comes_back_from_its_own_text() {
        let mut record = demo();
        record.edition = Some(12);
        record.pulls[3].corrections.push(Correction { day: "2026-03-15".into(), note: "a slip".into(), was: facts(Kind::Proof, None) });
        let text = serde_json::to_string(&record).unwrap();
        assert_eq!(serde_json::from_str::<Record>(&text).unwrap(), record);
        assert!(serde_json::from_str::<Record>(&text.replace("\"edition\":12", "\"edition\":12,\"colour\":1")).is_err());
    }
}
