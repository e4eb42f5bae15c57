//! A strip pasted as text, from a spreadsheet, a mail or a strip file, cut into the cells that [`typed`](super::typed) reads.

use super::MOST_BANDS;
use super::quantity::Quantity;
use super::quoted::quoted;
use super::typed::{Lists, Row, TimeCell};
use std::fmt;

/// Most characters a pasted strip may have: sixty bands and their remarks are far below.
const MOST_CHARACTERS: usize = 20_000;

/// What a pasted table holds.
#[derive(Clone, Debug, PartialEq)]
pub struct Pasted {
    /// Its bands, in the order they came.
    pub rows: Vec<Row>,
    /// What its header says was read, where it says so.
    pub quantity: Option<Quantity>,
    /// What its header says the times are, where it says so.
    pub lists: Option<Lists>,
    /// What was done with it, in sentences.
    pub notes: Vec<String>,
}

/// Why pasted text is no strip.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum PastedError {
    /// There is nothing in it.
    Empty,
    /// More than anyone bites.
    Long,
    /// A line has not the two columns.
    Columns {
        /// Which line, from 1.
        line: usize,
        /// What came, shortened.
        came: String,
        /// How many columns it has.
        columns: usize,
    },
    /// A comma may stand between columns or for a decimal point.
    Commas {
        /// Which line, from 1.
        line: usize,
        /// What came, shortened.
        came: String,
    },
}

impl fmt::Display for PastedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "A pasted strip should hold a time and a reading on each line, nothing came: copy the table again."),
            Self::Long => write!(
                f,
                "A pasted strip may have up to {MOST_BANDS} bands and {MOST_CHARACTERS} characters, more came: copy the two columns of one \
                 strip."
            ),
            Self::Columns { line, came, columns } => write!(
                f,
                "Line {line} of what was pasted is {came} and has {columns} {}; each line should hold a time and a reading: copy just these \
                 two columns.",
                if *columns == 1 { "column" } else { "columns" }
            ),
            Self::Commas { line, came } => write!(
                f,
                "In line {line}, {came}, a comma may part columns or stand for a decimal point: put a semicolon or a tab between the time and \
                 the reading."
            ),
        }
    }
}

impl std::error::Error for PastedError {}

/// What parts the columns.
#[derive(Clone, Copy, PartialEq)]
enum Parted {
    Tabs,
    Semicolons,
    Bars,
    Commas,
    /// A comma and a blank, so that a bare comma is a decimal one.
    SpacedCommas,
    Blanks,
}

impl Parted {
    fn cells(self, line: &str) -> Vec<String> {
        let clean = |cell: &str| cell.trim().trim_matches('"').trim().to_owned();
        match self {
            Self::Tabs => line.split('\t').map(clean).collect(),
            Self::Semicolons => line.split(';').map(clean).collect(),
            Self::Bars => line.trim().trim_matches('|').split('|').map(clean).collect(),
            Self::Commas => line.split(',').map(clean).collect(),
            Self::SpacedCommas => line.split(", ").map(clean).collect(),
            Self::Blanks => blanks(line),
        }
    }
}

/// Cells with blanks between; a unit stays with the number before it, as in "1 min 30 s".
fn blanks(line: &str) -> Vec<String> {
    let words: Vec<&str> = line.split_whitespace().collect();
    let worded = |word: &str| !word.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '−' | '.' | ','));
    let mut cells: Vec<String> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        // The longest run that ends in a unit and is a time; else the word alone.
        let time =
            |&n: &usize| at + n <= words.len() && worded(words[at + n - 1]) && TimeCell::read(&words[at..at + n].join(" ")).is_some();
        let run = [4, 3, 2].into_iter().find(time).unwrap_or(1);
        match cells.last_mut() {
            Some(cell) if words[at] == "%" => cell.push_str(" %"),
            _ => cells.push(words[at..at + run].join(" ")),
        }
        at += run;
    }
    cells
}

/// Cuts pasted text into rows: columns parted by tabs, semicolons, bars, commas or blanks; a header, a first column of band numbers, and
/// empty lines are left out and said so.
///
/// # Errors
/// Nothing there; too much; a line that has not two columns; commas that may be either.
pub fn pasted(text: &str) -> Result<Pasted, PastedError> {
    let text = text.trim_start_matches('\u{feff}');
    if text.chars().count() > MOST_CHARACTERS {
        return Err(PastedError::Long);
    }
    let plain = text.replace("\r\n", "\n").replace('\r', "\n");
    let lines: Vec<(usize, &str)> =
        plain.split('\n').enumerate().filter(|(_, line)| !line.trim().is_empty()).map(|(i, line)| (i + 1, line)).collect();
    if lines.is_empty() {
        return Err(PastedError::Empty);
    }
    let parted = parted(&lines)?;
    let mut table: Vec<(usize, Vec<String>)> = lines.iter().map(|&(line, text)| (line, parted.cells(text))).collect();
    let mut notes = Vec::new();
    let worded =
        |cells: &[String]| cells.iter().all(|cell| !cell.chars().any(|c| c.is_ascii_digit())) && cells.iter().any(|cell| !cell.is_empty());
    let head = if worded(&table[0].1) { table.remove(0).1 } else { Vec::new() };
    // Ruled lines of a plain-text table.
    table.retain(|(_, cells)| !cells.iter().all(|cell| cell.chars().all(|c| matches!(c, '-' | ':' | '=' | ' '))));
    if table.len() > MOST_BANDS + 1 {
        return Err(PastedError::Long);
    }
    let numbered = table.len() > 1
        && (0..2).any(|first| table.iter().enumerate().all(|(i, (_, cells))| cells.len() == 3 && cells[0] == (i + first).to_string()));
    if numbered {
        notes.push("The first column counts the bands and was left out.".to_owned());
    }
    let rows = table.iter().map(|(line, cells)| {
        let cells = if numbered { &cells[1..] } else { &cells[..] };
        // A line that ends with a separator has an empty cell behind it.
        let full = cells.iter().rposition(|cell| !cell.is_empty()).map_or(0, |last| last + 1).max(2).min(cells.len());
        match &cells[..full] {
            [time, value] => Ok(Row { time: time.clone(), value: value.clone() }),
            other => {
                let came = lines.iter().find(|(number, _)| number == line).map_or(String::new(), |(_, text)| quoted(text));
                Err(PastedError::Columns { line: *line, came, columns: other.len() })
            }
        }
    });
    let rows: Vec<Row> = rows.collect::<Result<_, _>>()?;
    if rows.is_empty() {
        return Err(PastedError::Empty);
    }
    let head = if numbered && head.len() == 3 { &head[1..] } else { &head[..] };
    Ok(Pasted { rows, quantity: head.get(1).and_then(|word| quantity(word)), lists: head.first().and_then(|word| lists(word)), notes })
}

/// What parts the columns of all lines.
fn parted(lines: &[(usize, &str)]) -> Result<Parted, PastedError> {
    let all = |mark: char| lines.iter().filter(|(_, line)| line.contains(mark)).count() * 2 > lines.len();
    if all('\t') {
        return Ok(Parted::Tabs);
    }
    if all(';') {
        return Ok(Parted::Semicolons);
    }
    if all('|') {
        return Ok(Parted::Bars);
    }
    let numeric: Vec<&(usize, &str)> = lines.iter().filter(|(_, line)| line.chars().any(|c| c.is_ascii_digit())).collect();
    if !numeric.is_empty() && numeric.iter().all(|(_, line)| blanks(line).len() >= 2 && !line.contains(", ")) {
        return Ok(Parted::Blanks);
    }
    if !numeric.is_empty() && numeric.iter().all(|(_, line)| (1..=2).contains(&line.matches(", ").count())) {
        return Ok(Parted::SpacedCommas);
    }
    // "5,86" may be five seconds and L* 86, or 5.86 alone: with one comma on every line it parts, for a strip needs two columns.
    match numeric.iter().find(|(_, line)| line.matches(',').count() > 1) {
        Some(&&(line, text)) if !counts(&numeric) => Err(PastedError::Commas { line, came: quoted(text) }),
        _ => Ok(Parted::Commas),
    }
}

/// Whether three columns with commas begin with the numbers of the bands.
fn counts(lines: &[&(usize, &str)]) -> bool {
    (0..2).any(|first| {
        lines.iter().enumerate().all(|(i, (_, line))| line.split(',').next().map(str::trim) == Some((i + first).to_string().as_str()))
    })
}

/// What a header's word says was read.
fn quantity(word: &str) -> Option<Quantity> {
    let word = word.to_lowercase();
    let has = |part: &str| word.contains(part);
    if has("density") || word == "d" {
        Some(Quantity::Density)
    } else if has('%'.to_string().as_str()) || has("per cent") || has("percent") {
        Some(Quantity::Percent)
    } else if has("reflectance") {
        Some(Quantity::Reflectance)
    } else if has("l*") || has("lightness") || word == "l" {
        Some(Quantity::Lightness)
    } else {
        None
    }
}

/// What a header's word says the times are.
fn lists(word: &str) -> Option<Lists> {
    let word = word.to_lowercase();
    if word.contains("dip") {
        Some(Lists::Dips)
    } else if word.contains("total") {
        Some(Lists::Totals)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strip::typed::{meanings, values};
    use proptest::prelude::*;

    fn cells(text: &str) -> Vec<(String, String)> {
        pasted(text).unwrap_or_else(|why| panic!("{text:?}: {why}")).rows.into_iter().map(|row| (row.time, row.value)).collect()
    }

    fn plain() -> Vec<(String, String)> {
        [("0", "89,5"), ("1:30", "70"), ("3:00", "41,25")].map(|(time, value)| (time.to_owned(), value.to_owned())).to_vec()
    }

    #[test]
    fn the_same_table_however_it_was_copied() {
        for text in [
            "0\t89,5\n1:30\t70\n3:00\t41,25",
            "0;89,5\r\n1:30;70\r\n3:00;41,25\r\n",
            "time;L*\n0;89,5\n\n1:30;70\n3:00;41,25\n\n",
            "0   89,5\n1:30  70\n3:00 41,25",
            "Band\tTotal\tL*\n0\t0\t89,5\n1\t1:30\t70\n2\t3:00\t41,25",
            "| time | L* |\n|------|----|\n| 0 | 89,5 |\n| 1:30 | 70 |\n| 3:00 | 41,25 |",
            "\u{feff}\"0\"\t\"89,5\"\n\"1:30\"\t\"70\"\n\"3:00\"\t\"41,25\"\t\n",
            "0, 89,5\n1:30, 70\n3:00, 41,25",
        ] {
            let rows = cells(text);
            assert_eq!(rows, plain(), "{text:?}");
        }
    }

    #[test]
    fn a_strip_file_may_be_pasted() {
        let found = pasted("seconds,lightness\n0,91.0\n5,86.0\n10,80.5\n").unwrap();
        assert_eq!((found.rows.len(), found.quantity, found.lists), (3, Some(Quantity::Lightness), None));
        assert_eq!(found.rows[1], Row { time: "5".to_owned(), value: "86.0".to_owned() });
        assert_eq!(pasted("total s\tdensity\n0\t0.1\n").unwrap().quantity, Some(Quantity::Density));
        assert_eq!(pasted("dip\tR %\n0\t80\n").unwrap().lists, Some(Lists::Dips));
    }

    #[test]
    fn units_stay_with_their_numbers() {
        assert_eq!(
            cells("0 s 89\n30 s 70\n1 min 60 %\n1 min 30 s 50"),
            [("0 s", "89"), ("30 s", "70"), ("1 min", "60 %"), ("1 min 30 s", "50")].map(|(a, b)| (a.to_owned(), b.to_owned()))
        );
    }

    #[test]
    fn commas_that_may_be_either_are_asked_about() {
        let said = |text: &str| pasted(text).unwrap_err().to_string();
        assert!(said("0,89,5\n5,86,0").contains("semicolon"), "{}", said("0,89,5\n5,86,0"));
        assert!(said("").contains("nothing came"));
        assert!(said(" \n\t\n").contains("nothing came"));
        assert!(said("5\n6\n").contains("1 column"), "{}", said("5\n6\n"));
        assert!(said("0\t89\tx\ty\n5\t80\tx\ty").contains("4 columns"));
        assert!(said(&"0\t1\n".repeat(90)).contains("60 bands"));
        assert!(said(&"x".repeat(30_000)).contains("characters"));
    }

    /// What may go wrong with one row of a table on its way here; the last is what parts its columns.
    type Slip = fn(&mut Vec<(String, String)>, usize, &str);
    const SLIPS: [Slip; 14] = [
        |_, _, _| {},
        |table, i, _| table[i].1.clear(),
        |table, i, _| table[i].0 = "about five".to_owned(),
        |table, i, _| table.swap(i, 0),
        |table, i, _| table.insert(i, table[i].clone()),
        |table, i, _| table[i].0.insert(0, '-'),
        |table, i, _| table[i].1 = "NaN".to_owned(),
        |table, i, _| table[i].0 = "9".repeat(40),
        |table, _, _| table.clear(),
        |table, i, between| table[i].1.push_str(&format!("{between}7{between}8")),
        |table, i, _| table[i].1 = "7,5,5".to_owned(),
        |table, _, _| table.reverse(),
        |table, i, _| table[i].1.push('\u{7}'),
        |table, i, _| table[i].1.push('%'),
    ];

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(400))]

        /// Malformed tables: a sentence, never a panic, never a silent sort. What is read keeps the order of the rows.
        #[test]
        fn a_malformed_table_is_a_sentence(
            bands in prop::collection::vec((1u32..200, 0u32..90), 0..12), slip in prop::sample::select(SLIPS.to_vec()), at in 0usize..12,
            between in prop::sample::select(vec!["\t", ";", " ", ",", " | "]),
        ) {
            let mut total = 0;
            let mut table = vec![("0".to_owned(), "90".to_owned())];
            for (dip, lightness) in bands {
                total += dip;
                table.push((total.to_string(), lightness.to_string()));
            }
            let row = at % table.len();
            slip(&mut table, row, between);
            let text: String = table.iter().map(|(time, value)| format!("{time}{between}{value}\n")).collect();
            let whole = |said: String| said.ends_with('.') && !said.contains('\n') && said.chars().count() > 30;
            let found = match pasted(&text) {
                Ok(found) => found,
                Err(why) => {
                    prop_assert!(whole(why.to_string()), "{why}");
                    return Ok(());
                }
            };
            // The times stand in the text in the order in which they were read.
            let mut rest = text.as_str();
            for row in &found.rows {
                let place = rest.find(row.time.as_str());
                prop_assert!(place.is_some(), "{text:?}: {:?}", found.rows);
                rest = &rest[place.unwrap_or(0) + row.time.len()..];
            }
            match meanings(&found.rows) {
                Err(why) => prop_assert!(whole(why.to_string()), "{why}"),
                Ok(meant) => {
                    prop_assert!(!meant.is_empty());
                    for meaning in &meant {
                        prop_assert_eq!(meaning.totals.len(), found.rows.len());
                        prop_assert!(meaning.totals.windows(2).all(|w| w[1] > w[0]), "{meaning:?}");
                    }
                }
            }
            for quantity in Quantity::ALL {
                match values(&found.rows, quantity) {
                    Err(why) => prop_assert!(whole(why.to_string()), "{why}"),
                    Ok(read) => prop_assert_eq!(read.len(), found.rows.len()),
                }
            }
        }

        #[test]
        fn any_text_at_all_is_taken_or_refused(text in "[\\x00-\\x7f°′″é,;\t\n ]{0,200}") {
            match pasted(&text) {
                Err(why) => prop_assert!(why.to_string().ends_with('.')),
                Ok(found) => {
                    let _ = meanings(&found.rows).map_err(|why| assert!(why.to_string().ends_with('.')));
                }
            }
        }
    }
}
