//! What is said of a pull: its label, what it was made with, what was put right.

use super::{Correction, Facts, Kind, Printed, Pull, Record};

/// "3/12", "edition, no number yet", "proof", "unique"; struck out where it is.
#[must_use]
pub fn label(facts: &Facts, edition: Option<u32>) -> String {
    let words = match (facts.kind, facts.copy, edition) {
        (Kind::Proof, ..) => "proof".to_owned(),
        (Kind::Unique, ..) => "unique, 1/1".to_owned(),
        (Kind::Edition, Some(copy), Some(size)) => format!("edition {copy}/{size}"),
        (Kind::Edition, Some(copy), None) => format!("edition, number {copy}"),
        (Kind::Edition, None, _) => "edition, no number yet".to_owned(),
    };
    if facts.struck { format!("{words}, struck out") } else { words }
}

/// "B in ochre, then A, turned round, in cold blue-black".
fn order(plates: &[Printed]) -> String {
    let each = plates.iter().map(|Printed { letter, turned, ink }| {
        let name = if letter.is_empty() { "a plate" } else { letter };
        let turned = if *turned { ", turned round," } else { "" };
        let ink = if ink.is_empty() { String::new() } else { format!(" in {ink}") };
        format!("{name}{turned}{ink}").trim_end_matches(',').to_owned()
    });
    each.collect::<Vec<_>>().join(", then ")
}

/// Each thing that is said of a pull, by its name; what is empty is left out.
fn parts(facts: &Facts) -> Vec<(&'static str, String)> {
    let photo = facts
        .photo
        .as_ref()
        .map_or_else(String::new, |shown| if shown.alt.is_empty() { "one that nothing is said of".to_owned() } else { shown.alt.clone() });
    let all = [
        ("plates", order(&facts.plates)),
        ("papers under the ink, first laid first", facts.papers.join(", ")),
        ("sheet", facts.sheet.clone()),
        ("damped", facts.damping.clone()),
        ("wiped", facts.wiping.clone()),
        ("pressure", facts.pressure.clone()),
        ("words", facts.words.clone()),
        ("photograph", photo),
    ];
    all.into_iter().filter(|(_, words)| !words.trim().is_empty()).collect()
}

/// What is said of a pull, name and words; the photograph only where it is asked for.
#[must_use]
pub fn lines(facts: &Facts) -> Vec<(&'static str, String)> {
    parts(facts).into_iter().filter(|(name, _)| *name != "photograph").collect()
}

/// Corrections of a pull in sentences, the first first: when, what stood there before, and why.
#[must_use]
pub fn put_right(pull: &Pull, record: &Record) -> Vec<String> {
    let after = pull.corrections.iter().skip(1).map(|next| &next.was).chain([&pull.now]);
    pull.corrections.iter().zip(after).map(|(correction, after)| sentence(correction, after, record.edition)).collect()
}

fn sentence(Correction { day, note, was }: &Correction, after: &Facts, edition: Option<u32>) -> String {
    let mut changed = Vec::new();
    if was.day != after.day {
        changed.push(format!("the day was {}", was.day));
    }
    if (was.kind, was.copy) != (after.kind, after.copy) {
        changed.push(format!("it was {}", label(&Facts { struck: false, ..was.clone() }, edition)));
    }
    let (before, now) = (parts(was), parts(after));
    let said = |all: &[(&'static str, String)], name: &str| all.iter().find(|(each, _)| *each == name).map(|(_, words)| words.clone());
    for name in ["plates", "papers under the ink, first laid first", "sheet", "damped", "wiped", "pressure", "words", "photograph"] {
        let exchanged = name == "photograph" && was.photo.as_ref().map(|shown| &shown.id) != after.photo.as_ref().map(|shown| &shown.id);
        let (old, new) = (said(&before, name), said(&now, name));
        let name = if name.starts_with("papers") { "papers" } else { name };
        match old {
            Some(old) if exchanged || new.as_ref() != Some(&old) => changed.push(format!("{name}: “{old}” stood there")),
            None if new.is_some() => changed.push(format!("{name}: nothing stood there")),
            _ => {}
        }
    }
    match (was.struck, after.struck) {
        (false, true) => changed.push("struck out".to_owned()),
        (true, false) => changed.push("it counts again".to_owned()),
        _ => {}
    }
    let what = if changed.is_empty() { "nothing changed".to_owned() } else { changed.join("; ") };
    let note = note.trim();
    let why = if note.is_empty() { String::new() } else { format!(" Why: {note}") };
    let end = if why.is_empty() || note.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("Put right on {day}: {what}.{why}{end}")
}

#[cfg(test)]
mod tests {
    use super::super::tests::{facts, pull};
    use super::super::{Shown, tests::demo};
    use super::*;

    #[test]
    fn a_pull_is_said_in_words() {
        let facts = facts(Kind::Edition, Some(3));
        assert_eq!(label(&facts, Some(12)), "edition 3/12");
        assert_eq!(label(&facts, None), "edition, number 3");
        assert_eq!(label(&Facts { copy: None, struck: true, ..facts.clone() }, Some(12)), "edition, no number yet, struck out");
        let lines = lines(&facts);
        assert_eq!(lines[0], ("plates", "B in ochre, then A, turned round, in cold blue-black".to_owned()));
        assert_eq!(lines.len(), 7);
        let turned = [Printed { letter: "D".into(), turned: true, ink: String::new() }];
        assert_eq!(order(&turned), "D, turned round");
        assert_eq!(order(&[]), "");
    }

    #[test]
    fn a_correction_keeps_what_stood_there() {
        let mut wrong = pull(4, Kind::Edition, Some(3));
        let first = wrong.now.clone();
        wrong.corrections.push(Correction { day: "2026-03-15".into(), note: "misread".into(), was: first.clone() });
        wrong.now.copy = Some(4);
        wrong.now.wiping = String::new();
        wrong.now.photo = Some(Shown { id: "a".into(), alt: String::new() });
        let second = wrong.now.clone();
        wrong.corrections.push(Correction { day: "2026-03-16".into(), note: String::new(), was: second });
        wrong.now.struck = true;
        wrong.now.photo = Some(Shown { id: "b".into(), alt: String::new() });
        let record = Record { edition: Some(12), ..demo() };
        assert_eq!(
            put_right(&wrong, &record),
            [
                "Put right on 2026-03-15: it was edition 3/12; wiped: “tarlatan, then the hand” stood there; photograph: nothing stood there. Why: misread.",
                "Put right on 2026-03-16: photograph: “one that nothing is said of” stood there; struck out.",
            ]
        );
    }
}
