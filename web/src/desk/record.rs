//! The record of the pulls at the desk: what is said of each, of the edition and of wear.

use super::Desk;
use crate::error::Refusal;
use crate::settings::RecordSpec;
use serde::Serialize;
use stepbite_core::pulls::{edition_said, label, lines, next_copy, put_right};
use stepbite_core::wear::{Asked, Wear, wear};

/// What is said of a record, as `types.d.ts` has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RecordFacts {
    pulls: Vec<OnePull>,
    said: Vec<String>,
    next_number: u32,
    next_copy: Option<u32>,
    made: usize,
    wear: Wear,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
struct OnePull {
    number: u32,
    label: String,
    lines: Vec<(&'static str, String)>,
    corrections: Vec<String>,
}

impl Desk {
    /// What is said of a record.
    ///
    /// # Errors
    /// Before the first plan, and for a record that can't be.
    pub fn record_facts(&self, RecordSpec { record, letter }: &RecordSpec) -> Result<RecordFacts, Refusal> {
        record.check()?;
        let made = record.pulled_of(letter);
        let whole = |number: Option<u32>| number.map(|number| number as usize);
        let tones = self.plan()?.stopouts.tones().get();
        let pulls = record.pulls.iter().map(|pull| OnePull {
            number: pull.number,
            label: label(&pull.now, record.edition),
            lines: lines(&pull.now),
            corrections: put_right(pull, record),
        });
        Ok(RecordFacts {
            pulls: pulls.collect(),
            said: edition_said(record),
            next_number: record.next_number(),
            next_copy: next_copy(record),
            made,
            wear: wear(Asked { made, planned: whole(record.planned), lifetime: whole(record.lifetime), tones }),
        })
    }
}
