//! The record as a table, CSV by RFC 4180: one row a pull.

use super::said::label;
use super::{Kind, Record, put_right};

/// The head of the table.
const HEAD: [&str; 17] = [
    "pull",
    "day",
    "kind",
    "edition_number",
    "edition_of",
    "label",
    "plates",
    "turned",
    "inks",
    "papers",
    "sheet",
    "damping",
    "wiping",
    "pressure",
    "words",
    "struck_out",
    "corrections",
];

/// A text of the printer's. What a spreadsheet would take for a formula has an apostrophe before it and is a text; so has what begins with one, so
/// that whoever reads the table takes exactly one apostrophe off.
fn said(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\'', '\t', '\r', '\n', '＝', '＋', '－', '＠']) {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// A cell as RFC 4180, 2.5 to 2.7 has it: in quotes where it must be, a quote doubled.
fn cell(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}

/// Writes the table: UTF-8, comma between cells, CRLF after each row, the first pull first.
///
/// Plates, turns and inks stand in the order they printed, papers in the order they were laid, each list with “; ” between; a plate that lay turned
/// round has 180 among the turns, one that did not 0. Corrections are sentences, the first first. A cell of words that would begin with =, +, −, @, a
/// tab, a line end or an apostrophe has one apostrophe before it, so that a spreadsheet takes it for words: take one off to have them back.
#[must_use]
pub fn csv(record: &Record) -> String {
    let mut text = HEAD.join(",") + "\r\n";
    let whole = |number: Option<u32>| number.map_or_else(String::new, |number| number.to_string());
    for pull in &record.pulls {
        let now = &pull.now;
        let of = |of: &dyn Fn(&super::Printed) -> String| now.plates.iter().map(of).collect::<Vec<_>>().join("; ");
        let kind = match now.kind {
            Kind::Proof => "proof",
            Kind::Edition => "edition",
            Kind::Unique => "unique",
        };
        let cells = [
            pull.number.to_string(),
            now.day.clone(),
            kind.to_owned(),
            whole(now.copy),
            whole(record.edition.filter(|_| now.kind == Kind::Edition)),
            label(now, record.edition),
            said(&of(&|plate| plate.letter.clone())),
            of(&|plate| if plate.turned { "180" } else { "0" }.to_owned()),
            said(&of(&|plate| plate.ink.clone())),
            said(&now.papers.join("; ")),
            said(&now.sheet),
            said(&now.damping),
            said(&now.wiping),
            said(&now.pressure),
            said(&now.words),
            if now.struck { "yes" } else { "no" }.to_owned(),
            said(&put_right(pull, record).join(" ")),
        ];
        text.push_str(&cells.map(|each| cell(&each)).join(","));
        text.push_str("\r\n");
    }
    text
}

#[cfg(test)]
mod tests {
    use super::super::tests::demo;
    use super::*;

    #[test]
    fn what_a_cell_can_not_hold_bare_stands_in_quotes() {
        assert_eq!(cell("rag"), "rag");
        assert_eq!(cell("rag, 300 g"), "\"rag, 300 g\"");
        assert_eq!(cell("called \"rag\""), "\"called \"\"rag\"\"\"");
        assert_eq!(cell("one\ntwo"), "\"one\ntwo\"");
    }

    #[test]
    fn what_a_spreadsheet_would_work_out_is_words() {
        for text in ["=1+1", "+49 30", "-dry", "@home", "'quoted", "\t=1", "＝1"] {
            assert_eq!(said(text), format!("'{text}"));
        }
        assert_eq!((said("rag"), said("")), ("rag".to_owned(), String::new()));
        let mut record = demo();
        record.pulls[0].now.words = "=SUM(A1),2".to_owned();
        record.pulls[0].now.plates[0].ink = "@black".to_owned();
        let text = csv(&record);
        assert!(text.contains("\"'=SUM(A1),2\"") && text.contains(",'@black; cold blue-black,"), "{text}");
    }

    #[test]
    fn every_pull_has_a_row() {
        let text = csv(&demo());
        assert_eq!(text.split_terminator("\r\n").count(), 9);
        assert!(text.contains("4,2026-03-14,unique,,,\"unique, 1/1\",B; A,0; 180,ochre; cold blue-black,kozo cream,rag 300 g,"), "{text}");
    }
}
