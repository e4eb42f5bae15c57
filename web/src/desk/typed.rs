//! A strip as the page's form has it: what its times may mean, and the lightness that was read.

use crate::error::Refusal;
use serde::{Deserialize, Serialize};
use stepbite_core::strip::Quantity;
use stepbite_core::strip::pasted;
use stepbite_core::strip::typed::{self, Lists, Row, TimeUnit};

/// The rows of the form.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypedChoice {
    /// The bands, the paper first.
    pub rows: Vec<Row>,
    /// What was read.
    pub quantity: Quantity,
}

/// Text that was pasted.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PastedChoice {
    /// All of it.
    pub text: String,
}

/// One possible reading of the times.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MeaningFacts {
    /// What a bare number is.
    pub unit: TimeUnit,
    /// Totals or dips.
    pub lists: Lists,
    /// Total of the longest band.
    pub longest_s: f64,
    /// Total of each band, the paper's 0 first.
    pub totals_s: Vec<f64>,
}

/// What the rows may be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TypedFacts {
    /// Every reading of the times that is possible.
    pub meanings: Vec<MeaningFacts>,
    /// L* of each band.
    pub lightness: Vec<f64>,
}

/// What a pasted table holds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PastedFacts {
    /// Its bands, in the order they came.
    pub rows: Vec<Row>,
    /// What its header says was read.
    pub quantity: Option<Quantity>,
    /// What its header says the times are.
    pub lists: Option<Lists>,
    /// What was done with it.
    pub notes: Vec<String>,
}

/// What typed rows may be.
///
/// # Errors
/// A sentence that names the row.
pub fn facts(choice: &TypedChoice) -> Result<TypedFacts, Refusal> {
    let meanings = typed::meanings(&choice.rows)?;
    let values = typed::values(&choice.rows, choice.quantity)?;
    let told = |meaning: typed::Meaning| MeaningFacts {
        unit: meaning.unit,
        lists: meaning.lists,
        longest_s: meaning.longest().0,
        totals_s: meaning.totals.iter().map(|total| total.0).collect(),
    };
    Ok(TypedFacts {
        meanings: meanings.into_iter().map(told).collect(),
        lightness: values.into_iter().map(|value| choice.quantity.lightness(value).0).collect(),
    })
}

/// Cuts pasted text into rows.
///
/// # Errors
/// A sentence that names the line.
pub fn cut(choice: &PastedChoice) -> Result<PastedFacts, Refusal> {
    let found = pasted::pasted(&choice.text)?;
    Ok(PastedFacts { rows: found.rows, quantity: found.quantity, lists: found.lists, notes: found.notes })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pasted_strip_becomes_rows_and_then_readings() {
        let found = cut(&PastedChoice { text: "dip;density\n0;0,1\n15;0,4\n30;0,9".to_owned() }).unwrap();
        assert_eq!((found.quantity, found.lists, found.rows.len()), (Some(Quantity::Density), Some(Lists::Dips), 3));
        let facts = facts(&TypedChoice { rows: found.rows, quantity: Quantity::Density }).unwrap();
        assert_eq!(facts.meanings[0].totals_s, [0.0, 15.0, 30.0]);
        assert!(facts.meanings.iter().any(|m| m.lists == Lists::Dips && m.longest_s == 45.0));
        assert!(facts.lightness.windows(2).all(|w| w[1] < w[0]));
    }

    #[test]
    fn a_bad_row_is_refused_in_a_sentence() {
        let rows = ["0", "5", "soon"].map(|time| Row { time: time.to_owned(), value: "50".to_owned() }).to_vec();
        let refused = facts(&TypedChoice { rows, quantity: Quantity::Lightness }).unwrap_err();
        assert_eq!(refused.code, "strip");
        assert!(refused.message.contains("band 2"), "{refused}");
    }
}
