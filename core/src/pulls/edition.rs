//! Editions: their numbers, and what is said when one is missing or comes twice.

use super::{Kind, Record};
use std::collections::BTreeMap;

/// Most stretches of numbers that a sentence lists.
const LISTED: usize = 8;

/// The pulls that stand, by their number in the edition.
fn numbered(record: &Record) -> BTreeMap<u32, Vec<u32>> {
    let mut by_copy: BTreeMap<u32, Vec<u32>> = BTreeMap::new();
    for pull in record.standing().filter(|pull| pull.now.kind == Kind::Edition) {
        if let Some(copy) = pull.now.copy {
            by_copy.entry(copy).or_default().push(pull.number);
        }
    }
    by_copy
}

/// The lowest number that no pull of the edition has; none where the edition is full.
#[must_use]
pub fn next_copy(record: &Record) -> Option<u32> {
    let taken = numbered(record);
    let free = taken.keys().zip(1..).find(|&(&copy, expected)| copy != expected).map_or(taken.len() as u32 + 1, |(_, expected)| expected);
    record.edition.is_none_or(|size| free <= size).then_some(free)
}

/// "4, 7–9": whole numbers, those that follow one another joined.
fn listed(numbers: &[u32]) -> String {
    let mut stretches: Vec<(u32, u32)> = Vec::new();
    for &number in numbers {
        match stretches.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => stretches.push((number, number)),
        }
    }
    let rest = stretches.len().saturating_sub(LISTED);
    let mut words: Vec<String> = stretches
        .iter()
        .take(LISTED)
        .map(|&(first, last)| match last - first {
            0 => first.to_string(),
            1 => format!("{first}, {last}"),
            _ => format!("{first}–{last}"),
        })
        .collect();
    if rest > 0 {
        words.push("and more".to_owned());
    }
    words.join(", ")
}

/// The edition at a glance: each number that is written down with its pull, its day and its sheet, and the stretches that are not, in their order.
/// Nothing where no pull has a number.
#[must_use]
pub fn edition_list(record: &Record) -> Vec<(String, String)> {
    let by_copy = numbered(record);
    let mut rows = Vec::new();
    let mut next = 1;
    let missing = |rows: &mut Vec<(String, String)>, from: u32, to: u32| {
        if from <= to {
            let numbers = if from == to { from.to_string() } else { format!("{from}–{to}") };
            rows.push((numbers, "not written down".to_owned()));
        }
    };
    for (&copy, pulls) in &by_copy {
        missing(&mut rows, next, copy - 1);
        next = copy + 1;
        for pull in record.standing().filter(|pull| pulls.contains(&pull.number)) {
            let sheet = if pull.now.sheet.is_empty() { String::new() } else { format!(", {}", pull.now.sheet) };
            rows.push((copy.to_string(), format!("pull {}, {}{sheet}", pull.number, pull.now.day)));
        }
    }
    if let (Some(size), false) = (record.edition, by_copy.is_empty()) {
        missing(&mut rows, next, size);
    }
    rows
}

/// What is to be said of the numbers of the edition, a sentence each; nothing where no pull is of one.
#[must_use]
pub fn edition_said(record: &Record) -> Vec<String> {
    let of_it = record.standing().filter(|pull| pull.now.kind == Kind::Edition).count();
    if of_it == 0 {
        return Vec::new();
    }
    let by_copy = numbered(record);
    let mut said = Vec::new();
    let without = of_it - by_copy.values().map(Vec::len).sum::<usize>();
    if without > 0 {
        let (pulls, have) = if without == 1 { ("pull", "has") } else { ("pulls", "have") };
        said.push(format!("{without} {pulls} of the edition {have} no number yet."));
    }
    for (copy, pulls) in by_copy.iter().filter(|(_, pulls)| pulls.len() > 1).take(LISTED) {
        let times = if pulls.len() == 2 { "twice".to_owned() } else { format!("{} times", pulls.len()) };
        said.push(format!("Number {copy} comes {times}, on pulls {}: put one of them right.", listed(pulls)));
    }
    let highest = by_copy.keys().next_back().copied().unwrap_or(0);
    let missing = |to: u32| (1..=to).filter(|copy| !by_copy.contains_key(copy)).collect::<Vec<u32>>();
    if let Some(size) = record.edition {
        let beyond: Vec<u32> = by_copy.keys().copied().filter(|&copy| copy > size).collect();
        if !beyond.is_empty() {
            said.push(format!("The edition has {size}, and there is {} beyond it.", listed(&beyond)));
        }
        let missing = missing(size);
        said.push(match missing.len() {
            0 => format!("All {size} of the edition are written down."),
            _ => format!("Of the edition of {size} these are not written down: {}.", listed(&missing)),
        });
    } else {
        let missing = missing(highest);
        if !missing.is_empty() {
            let verb = if missing.len() == 1 { "is" } else { "are" };
            said.push(format!("Up to number {highest} there {verb} missing: {}.", listed(&missing)));
        }
    }
    said
}

#[cfg(test)]
mod tests {
    use super::super::tests::pull;
    use super::*;
    use proptest::prelude::*;

    fn edition(copies: &[Option<u32>], size: Option<u32>) -> Record {
        let pulls = copies.iter().zip(1..).map(|(&copy, number)| pull(number, Kind::Edition, copy)).collect();
        Record { pulls, edition: size, ..Record::default() }
    }

    #[test]
    fn numbers_that_miss_or_come_twice_are_said() {
        let said = |copies: &[Option<u32>], size: Option<u32>| edition_said(&edition(copies, size)).join(" ");
        assert_eq!(said(&[Some(1), Some(2), Some(3)], Some(3)), "All 3 of the edition are written down.");
        assert_eq!(said(&[Some(1), Some(2)], None), "");
        assert_eq!(said(&[Some(1), Some(4)], None), "Up to number 4 there are missing: 2, 3.");
        let all = said(&[Some(1), Some(3), Some(3), Some(14), None], Some(12));
        assert_eq!(
            all,
            "1 pull of the edition has no number yet. Number 3 comes twice, on pulls 2, 3: put one of them right. The edition has 12, and there is 14 \
             beyond it. Of the edition of 12 these are not written down: 2, 4–12."
        );
        // A struck one counts no more.
        let mut record = edition(&[Some(1), Some(1)], Some(1));
        record.pulls[1].now.struck = true;
        assert_eq!(edition_said(&record), ["All 1 of the edition are written down."]);
        assert!(edition_said(&super::super::tests::demo()).is_empty());
    }

    #[test]
    fn an_edition_at_a_glance_has_every_number_once() {
        let rows = edition_list(&edition(&[Some(3), Some(1), None, Some(3)], Some(9)));
        let said: Vec<String> = rows.iter().map(|(numbers, words)| format!("{numbers}: {words}")).collect();
        let pull = |copy: u32, number: u32| format!("{copy}: pull {number}, 2026-03-14, rag 300 g");
        assert_eq!(said, [pull(1, 2), "2: not written down".to_owned(), pull(3, 1), pull(3, 4), "4–9: not written down".to_owned()]);
        assert!(edition_list(&edition(&[None], Some(9))).is_empty());
        assert_eq!(edition_list(&edition(&[Some(100_000)], Some(100_000))).len(), 2);
    }

    #[test]
    fn a_huge_edition_is_listed_in_few_words() {
        let copies: Vec<Option<u32>> = (1..=200).map(|k| Some(2 * k)).collect();
        let said = edition_said(&edition(&copies, Some(100_000))).join(" ");
        assert!(said.len() < 200 && said.ends_with("and more."), "{said}");
    }

    proptest! {
        #[test]
        fn the_next_number_is_free_and_lowest(copies in prop::collection::vec(prop::option::of(1u32..20), 0..24), size in prop::option::of(1u32..20)) {
            let record = edition(&copies, size);
            let taken: Vec<u32> = copies.iter().copied().flatten().collect();
            match next_copy(&record) {
                Some(next) => {
                    prop_assert!(!taken.contains(&next) && (1..next).all(|copy| taken.contains(&copy)));
                    prop_assert!(size.is_none_or(|size| next <= size));
                }
                None => prop_assert!((1..=size.unwrap()).all(|copy| taken.contains(&copy))),
            }
        }
    }
}
