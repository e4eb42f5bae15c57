//! No recipe and no proportion of a bath in any text of the core or the page: every string a printer may read is looked through.

use std::fs;
use std::path::{Path, PathBuf};

/// What makes a text one about a bath.
const BATH: [&str; 14] = [
    "nitric",
    "ferric",
    "hydrochloric",
    "chlorate",
    "sulphate",
    "sulfate",
    "citric",
    "mordant",
    "acid",
    "chloride",
    "saline",
    "bath",
    "tray",
    "perchloride",
];
/// Words of recipes, banned in a text about a bath.
const RECIPE: [&str; 30] = [
    "one part",
    "two parts",
    "three parts",
    "four parts",
    "parts of",
    "parts acid",
    "parts water",
    "part water",
    "part acid",
    "dilute",
    "dilution",
    "per litre of water",
    "per liter of water",
    "to a litre",
    "to one litre",
    "of water to",
    "add water",
    "add acid",
    "add the acid",
    "pour the acid",
    "into the water",
    "top up",
    "dissolve in",
    "dissolve the",
    "mix the",
    "mix with",
    "baumé",
    "baume",
    "°bé",
    "molar",
];
/// Units and signs of a strength or proportion, banned after a figure in a text about a bath.
const STRENGTH: [&str; 9] = ["%", "percent", "per cent", "g/l", "ml", "mol", "grams", "tablespoon", "cups"];

/// Why a text is one that may not be shipped.
fn offence(text: &str) -> Option<String> {
    let text = text.to_lowercase();
    if !BATH.iter().any(|word| text.contains(word)) {
        return None;
    }
    if let Some(word) = RECIPE.iter().find(|word| text.contains(**word)) {
        return Some(format!("“{word}”"));
    }
    let letters: Vec<char> = text.chars().collect();
    for (at, _) in letters.iter().enumerate().filter(|(_, c)| c.is_ascii_digit()) {
        let rest: String = letters[at + 1..].iter().collect();
        // 1:8 is a proportion; 1:05 is a time.
        let mut after = letters[at + 1..].iter();
        if after.next() == Some(&':') {
            let digits = after.take_while(|c| c.is_ascii_digit()).count();
            if digits == 1 {
                return Some("a proportion".to_owned());
            }
        }
        let unit = rest.trim_start_matches(['\u{a0}', '\u{202f}', ' ', '-']);
        if let Some(sign) = STRENGTH.iter().find(|sign| unit.starts_with(**sign)) {
            return Some(format!("a figure before “{sign}”"));
        }
    }
    None
}

/// The texts between quotes in a source: Rust's "…" and JavaScript's "…", '…' and `…`. Comments and tests are no texts.
fn texts(source: &str, script: bool) -> Vec<String> {
    let source = source.split("#[cfg(test)]").next().unwrap_or_default();
    let mut texts = Vec::new();
    let mut letters = source.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            '/' if letters.peek() == Some(&'/') => while letters.next().is_some_and(|c| c != '\n') {},
            '/' if letters.peek() == Some(&'*') => {
                let mut before = ' ';
                for c in letters.by_ref() {
                    if before == '*' && c == '/' {
                        break;
                    }
                    before = c;
                }
            }
            // A character of Rust, '"' among them.
            '\'' if !script => {
                let ahead: Vec<char> = letters.clone().take(3).collect();
                let length = if ahead.first() == Some(&'\\') { 3 } else { 2 };
                if ahead.get(length - 1) == Some(&'\'') {
                    letters.nth(length - 1);
                }
            }
            '"' | '`' | '\'' if c == '"' || script => {
                let mut text = String::new();
                while let Some(inner) = letters.next() {
                    match inner {
                        '\\' => match letters.next() {
                            Some('\n') => while letters.next_if(|c| c.is_whitespace()).is_some() {},
                            Some(other) => text.push(other),
                            None => break,
                        },
                        _ if inner == c => break,
                        _ => text.push(inner),
                    }
                }
                texts.push(text);
            }
            _ => {}
        }
    }
    texts
}

/// The sentences of a running text, lines joined: other sentences of a paragraph may have figures of their own.
fn sentences(text: &str) -> Vec<String> {
    let joined = text.split("\n\n").map(|paragraph| paragraph.split_whitespace().collect::<Vec<_>>().join(" "));
    joined.flat_map(|paragraph| paragraph.split_inclusive(['.', ';', '|']).map(str::to_owned).collect::<Vec<_>>()).collect()
}

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    let entries = fs::read_dir(folder).unwrap_or_else(|why| panic!("{}: {why}", folder.display()));
    for path in entries.map(|entry| entry.expect("a folder is read entry by entry").path()) {
        if path.is_dir() {
            sources(&path, found);
        } else if matches!(path.extension().and_then(|end| end.to_str()), Some("rs" | "js" | "html")) {
            found.push(path);
        }
    }
    found.sort();
}

#[test]
fn no_text_of_the_core_or_the_page_is_a_recipe() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the tests stand in the workspace");
    let mut paths = Vec::new();
    for folder in ["core/src", "web/src", "www"] {
        sources(&root.join(folder), &mut paths);
    }
    let mut about = 0;
    let mut wrong = Vec::new();
    for path in &paths {
        let source = fs::read_to_string(path).unwrap_or_else(|why| panic!("{}: {why}", path.display()));
        let all = if path.extension().is_some_and(|end| end == "html") {
            vec![source]
        } else {
            texts(&source, path.extension().is_some_and(|end| end == "js"))
        };
        for text in all {
            about += usize::from(text.to_lowercase().contains("acid"));
            wrong.extend(offence(&text).map(|why| format!("{}: {why} in “{text}”", path.display())));
        }
    }
    let readme = fs::read_to_string(root.join("README.md")).expect("there is a README");
    wrong.extend(sentences(&readme).iter().filter_map(|text| offence(text).map(|why| format!("README.md: {why} in “{text}”"))));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // The cautions and the pairs are among what was looked through.
    assert!(paths.len() > 100 && about > 20, "{} files, {about} texts about acid", paths.len());
}

#[test]
fn a_recipe_would_be_found() {
    for text in [
        "Mix one part nitric acid with eight parts water",
        "nitric 1:8",
        "Ferric chloride at 42° Baumé",
        "Dilute the nitric acid",
        "Copper sulphate, 50 g/L",
        "a 40 % ferric chloride",
        "250 grams of citric acid",
        "Add acid slowly",
    ] {
        assert!(offence(text).is_some(), "{text}");
    }
    for text in [
        "Set the clock to 1:05; acid drains",
        "bite 3 in nitric acid",
        "38 % of the face",
        "one part of the drawing",
        "Strength, your own figure, g/L",
    ] {
        assert_eq!(offence(text), None, "{text}");
    }
    let rust = texts("let a = '\"'; // \"no\"\nlet b = \"yes \\\n     and more\"; /* \"no\" */ f('x', \"two\")", false);
    assert_eq!(rust, ["yes and more", "two"]);
    assert_eq!(texts("say(`one`, 'two', \"three\") // 'no'", true), ["one", "two", "three"]);
}
