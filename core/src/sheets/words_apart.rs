//! A check of the sheets of one page: words stand apart from each other, whole, and where every printer prints.

use super::mark::{Align, Mark, PageBox, Sheet, Text};
use super::tests::kinds_job;
use super::{Job, Kind, SheetSet, SheetSettings, Style, Transfer};
use crate::type_face::TypeFace;
use crate::units::Millimetres;

/// The bars stand this far from the edge of the paper where a plate fills it, and their words in the middle of their line, mm.
const WHITE: f64 = 3.9;

/// What a text covers, from its capitals' height to its base line.
fn covers(text: &Text) -> PageBox {
    let face = TypeFace::of(text.weight);
    let (long, high) = (face.width(&text.words, text.size).0, face.cap_height(text.size).0);
    let back = match text.align {
        Align::Start => 0.0,
        Align::Middle => long / 2.0,
        Align::End => long,
    };
    if text.upwards {
        PageBox::new(text.at.x - high, text.at.y - long + back, high, long)
    } else {
        PageBox::new(text.at.x - back, text.at.y - high, long, high)
    }
}

/// The words of a sheet but those of its picture.
fn words<'a>(sheet: &'a Sheet) -> Vec<(&'a str, PageBox)> {
    let of = |mark: &'a Mark| if let Mark::Text(text) = mark { Some((text.words.as_str(), covers(text))) } else { None };
    sheet.marks.iter().filter_map(of).filter(|(words, _)| !words.trim().is_empty()).collect()
}

/// What of a sheet's words lies over others, or too near the paper's edge.
pub(super) fn faults(sheet: &Sheet) -> Vec<String> {
    let words = words(sheet);
    let mut found = Vec::new();
    for (index, (said, a)) in words.iter().enumerate() {
        let inside = a.x >= WHITE && a.y >= WHITE && a.right() <= sheet.page.width.0 - WHITE && a.foot() <= sheet.page.height.0 - WHITE;
        if !inside {
            found.push(format!("“{said}” stands at the paper's edge, {a:?}"));
        }
        for (other, b) in &words[index + 1..] {
            let over = (a.right().min(b.right()) - a.x.max(b.x)).min(a.foot().min(b.foot()) - a.y.max(b.y));
            if over > 0.05 {
                found.push(format!("“{said}” and “{other}” lie over each other by {over:.2} mm"));
            }
        }
    }
    found
}

/// Every kind of sheet in every way a job can ask for it.
fn each_sheet(job: &Job, check: &mut dyn FnMut(&Sheet)) {
    for (transfer, style, inward) in [(Transfer::Trace, Style::Full, 0.5), (Transfer::Press, Style::Outline, 0.0)] {
        let settings =
            SheetSettings { transfer, style, inward: Millimetres(inward), hinge: true, kinds: Kind::ALL.to_vec(), ..job.settings.clone() };
        let set = SheetSet::of(Job { settings: &settings, ..*job });
        let mut seen = std::collections::BTreeSet::new();
        for (index, entry) in set.entries().iter().enumerate() {
            // The sheets of stop-outs differ by numbers: a few of them speak for all.
            if seen.insert(entry.group) && (entry.kind != Kind::StopOuts || ["1", "2", "9"].iter().any(|last| entry.name.contains(last))) {
                set.around(index).into_iter().for_each(|(_, sheets)| sheets.iter().for_each(&mut *check));
            }
        }
    }
}

#[test]
fn on_no_sheet_of_one_page_do_words_lie_over_each_other_or_at_the_edge_of_the_paper() {
    let found = std::cell::RefCell::new(std::collections::BTreeSet::new());
    kinds_job(|job| {
        // A plate in tiles takes minutes, so none is checked here; nor are other counts of tones.
        if job.plate.size().width.0 > 300.0 || job.stop_outs.tones().get() != 10 {
            return;
        }
        each_sheet(job, &mut |sheet| {
            let size = job.plate.size();
            found.borrow_mut().extend(
                faults(sheet).into_iter().map(|fault| format!("{} × {} {:?}, {fault}", size.width.0, size.height.0, job.settings.paper)),
            );
        });
    });
    let found = found.into_inner();
    assert!(found.is_empty(), "{} faults: {:#?}", found.len(), found.iter().take(60).collect::<Vec<_>>());
}
