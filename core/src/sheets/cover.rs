//! The cover: the whole plan at a glance, a table of its tones, which sheets follow, and a check list in the order of the bench.

use super::frame::{HAIR, LINE, tick_box};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Pen, Sheet};
use super::{Job, Kind, Transfer, has_times, percent, run_frame, run_plan};
use crate::bites::Fate;
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, Seconds};

/// A row of the check list, and the boxes in it, mm.
const CHECK: f64 = 9.6;
const CHECK_BOX: f64 = 5.6;
/// Greatest and least height of a row of the table, mm.
const ROW: (f64, f64) = (7.0, 5.2);
/// Height of the figures under the head, mm.
const GLANCE: f64 = 19.0;
/// Height of the banner and its gap, mm.
const BANNER: f64 = 15.0;

/// Where a page breaks: the plan, and the check list, on one page where both find room.
fn room(job: &Job) -> (f64, f64) {
    let page = job.settings.paper.size().height.0 - 2.0 * PAD;
    let banner = if has_banner(job) { BANNER } else { 0.0 };
    let rows = job.stop_outs.tones().get() as f64 + 1.0;
    let list = check_height(job);
    ((page - HEAD - banner - GLANCE - 12.0 - list - CONTENTS - FOOT) / rows, list)
}

/// Room for what follows and for the cautions, mm.
const CONTENTS: f64 = 21.0;
const FOOT: f64 = 26.0;

/// How many pages the cover takes: the check list goes on to a second where the table is long.
pub(super) fn pages(job: &Job) -> usize {
    if room(job).0 >= ROW.1 { 1 } else { 2 }
}

/// Page `index` (from 0) of the cover; `contents` are the set's, a sentence.
pub(super) fn sheet(job: &Job, index: usize, contents: &str, page: (usize, usize)) -> Sheet {
    let pages = pages(job);
    let name = if pages > 1 { format!("cover {} of {pages}", index + 1) } else { "cover".to_owned() };
    let mut sheet = Sheet::new(name, job.settings.paper.size());
    head(&mut sheet, job, if index == 0 { "Plan" } else { "Check list" }, page);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let mut y = PAD + HEAD;
    if has_banner(job) {
        banner(&mut sheet, job, PageBox::new(left, y, right - left, BANNER - 3.4));
        y += BANNER;
    }
    if index == 0 {
        y = glance(&mut sheet, job, (left, y), right - left);
        let row = room(job).0.clamp(ROW.1, ROW.0);
        y = table(&mut sheet, job, PageBox::new(left, y + 8.0, right - left, row));
        y = follow(&mut sheet, contents, (left, y + 3.0), right - left);
    }
    if index + 1 == pages {
        y = checks(&mut sheet, job, (left, y + 4.0), right - left);
    }
    // The foot stands at the foot, whatever is above it; both heights were reckoned before.
    let foot_box = PageBox::new(left, sheet.page.height.0 - PAD - FOOT, right - left, FOOT);
    debug_assert!(y <= foot_box.y, "{y} mm of {}", foot_box.y);
    foot(&mut sheet, job, foot_box);
    sheet
}

fn has_banner(job: &Job) -> bool {
    job.stop().is_some() || run_frame::banner(job).is_some()
}

/// STOP, or whose times these are not.
fn banner(sheet: &mut Sheet, job: &Job, of: PageBox) {
    let Some(judged) = job.stop() else { return run_frame::banner_in(sheet, job, of) };
    sheet.frame(Pen::solid(1.2), of);
    let semibold = TypeFace::of(Weight::Semibold);
    let base = of.y + (of.height + semibold.cap_height(26.0).0) / 2.0;
    sheet.text(Weight::Semibold, 26.0, Align::Start, (of.x + 4.0, base), "STOP");
    let x = of.x + 4.0 + semibold.width("STOP", 26.0).0 + 6.0;
    for (up, weight, words) in [
        (5.0, Weight::Semibold, judged.pair.as_str()),
        (9.8, Weight::Regular, "This plate is not bitten in this bath. No times and no run sheet are printed."),
    ] {
        let (size, words) = fitted(weight, words, &[12.0, 11.0, 10.0, 9.0], of.right() - 3.0 - x);
        sheet.text(weight, size, Align::Start, (x, of.y + up), words);
    }
}

/// Minutes as a bench counts them: hours from two hours on.
fn bench_time(minutes: f64) -> String {
    let whole = libm::round(minutes.max(0.0)) as u64;
    match whole {
        0 => "under 1 min".to_owned(),
        1..120 => format!("{whole} min"),
        _ => format!("{} h {:02} min", whole / 60, whole % 60),
    }
}

/// The plan in five figures.
fn glance(sheet: &mut Sheet, job: &Job, (x, y): (f64, f64), width: f64) -> f64 {
    let list = job.stop_outs.list();
    let last = job.bites.tones.get(job.bites.leaves()).map_or(Seconds(0.0), |tone| tone.shown_total);
    // As many as dips: what the plate lacks is bitten in another's.
    let last = job.settings.dips.last().map_or(last, |dip| dip.shown_total);
    let bites = (1..=list.len()).filter(|bite| !job.bites.dropped.contains(bite) && !job.bites.lacks.contains(bite)).count();
    let painting: f64 = list.iter().map(|stop| stop.paint_min).sum();
    let covered = list.last().map_or(0.0, |stop| stop.covered_share);
    let cells = [
        (job.stop_outs.tones().get().to_string(), "tones".to_owned()),
        (bites.to_string(), if bites == 1 { "bite".to_owned() } else { "bites".to_owned() }),
        match times(job) {
            true if job.bites.undecided => ("–".to_owned(), "in the bath, to be decided".to_owned()),
            true => (last.clock(), "in the bath, all bites".to_owned()),
            false => ("–".to_owned(), "in the bath, all bites".to_owned()),
        },
        (bench_time(painting), "of painting, estimated".to_owned()),
        (percent(covered), "covered at the last bite".to_owned()),
    ];
    let shares = [0.17, 0.12, 0.21, 0.27, 0.23];
    sheet.stroke(LINE, (x, y), (x + width, y));
    sheet.stroke(LINE, (x, y + GLANCE), (x + width, y + GLANCE));
    let mut left = x;
    for (index, ((large, small), share)) in cells.iter().zip(shares).enumerate() {
        if index > 0 {
            sheet.stroke(HAIR, (left - 3.0, y + 3.0), (left - 3.0, y + GLANCE - 3.0));
        }
        let room = width * share - 4.0;
        let (size, large) = fitted(Weight::Semibold, large, &[26.0, 24.0, 22.0, 20.0, 18.0, 16.0], room);
        sheet.text(Weight::Semibold, size, Align::Start, (left, y + 10.2), large);
        let (size, small) = fitted(Weight::Regular, small, &[10.0, 9.5, 9.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (left, y + 15.6), small);
        left += width * share;
    }
    y + GLANCE
}

/// Whether times may be printed: there is a strip, and the bath is no STOP.
fn times(job: &Job) -> bool {
    has_times(job)
}

/// A row a tone. `of` is where the first row stands; its height is a row's.
fn table(sheet: &mut Sheet, job: &Job, of: PageBox) -> f64 {
    // Targets are a print's own only by a strip of one's own; without one the tones are an order, nothing more.
    let light = match job.bites.strip_kind {
        StripKind::Measured => "target L*",
        StripKind::Example => "example L*",
        StripKind::Missing => "order only",
    };
    let heads = ["tone", light, "of the face", "stop-out", "painting", "bite", "total", "set the clock"];
    let at = [0.0, 0.095, 0.21, 0.335, 0.475, 0.635, 0.735, 0.86].map(|share| of.x + of.width * share);
    // After a STOP there is nothing to write in either.
    let shown = if job.stop().is_some() { 6 } else { heads.len() };
    for (x, words) in at.iter().zip(heads).take(shown) {
        sheet.text(Weight::Regular, 9.0, Align::Start, (*x, of.y - 1.6), words);
    }
    let pixels = job.stop_outs.map().plane().data().len().max(1) as f64;
    let list = job.stop_outs.list();
    let new: Vec<f64> = list.iter().map(|stop| stop.new_share).collect();
    let darkest = job.stop_outs.zones().data().iter().filter(|&&zone| usize::from(zone) == list.len()).count() as f64 / pixels;
    let size = if of.height >= 6.2 { 12.0 } else { 11.0 };
    let mut y = of.y;
    for (index, tone) in job.bites.tones.iter().enumerate() {
        sheet.stroke(HAIR, (of.x, y), (of.x + of.width, y));
        let base = y + (of.height + TypeFace::of(Weight::Regular).cap_height(size).0) / 2.0;
        let share = new.get(index).copied().unwrap_or(darkest);
        let stop = list.get(index);
        let fate = if index > 0 { job.bites.fate(index) } else { Fate::ToCome };
        // Bites that join are told of where their dip ends; what comes after the darkest tone there is, is no bite.
        let dip = job.settings.dips.iter().find(|dip| dip.is_joined() && dip.bites.contains(&index));
        let (first, last) = dip.map_or((index, index), |dip| (*dip.bites.start(), *dip.bites.end()));
        let silent = index > 0 && fate != Fate::Done && (index < last || index > job.bites.leaves());
        let (shown_total, set) = dip.map_or((tone.shown_total, tone.set), |dip| (dip.shown_total, dip.set));
        let cells = [
            index.to_string(),
            match job.bites.strip_kind {
                StripKind::Missing => order(index, job.bites.tones.len()).to_owned(),
                StripKind::Measured | StripKind::Example => format!("{:.1}", tone.target.0),
            },
            if share > 0.0 { percent(share) } else { "none".to_owned() },
            stop.map_or_else(|| "never".to_owned(), |stop| stop.number.to_string()),
            stop.map_or_else(
                String::new,
                |stop| if stop.new_share > 0.0 { bench_time(stop.paint_min) } else { "nothing to paint".to_owned() },
            ),
            match index {
                0 => "never bitten".to_owned(),
                _ if index > job.bites.leaves() && fate != Fate::Done => "out".to_owned(),
                _ if last == first => index.to_string(),
                _ if last == first + 1 => format!("{first}+{last}"),
                _ => format!("{first}–{last}"),
            },
            match fate.instead() {
                _ if silent => String::new(),
                Some(words) if job.stop().is_none() => words.to_owned(),
                _ if index > 0 && times(job) => shown_total.clock(),
                _ => String::new(),
            },
            match fate {
                _ if silent => String::new(),
                Fate::ToCome if index > 0 && times(job) => set.clock(),
                Fate::Done if job.stop().is_none() => "done".to_owned(),
                _ => String::new(),
            },
        ];
        for (column, (x, words)) in at.iter().zip(cells).enumerate() {
            let weight = if column == 0 || column == 7 { Weight::Semibold } else { Weight::Regular };
            let next = at.get(column + 1).copied().unwrap_or(of.x + of.width);
            // "never bitten" runs over the two empty columns beside it.
            let room = if index == 0 && column == 5 { of.x + of.width - x } else { next - 2.0 - x };
            let (size, words) = fitted(weight, &words, &[size, 11.0, 10.0, 9.0], room);
            if !words.is_empty() {
                sheet.text(weight, size, Align::Start, (*x, base), words);
            }
        }
        y += of.height;
    }
    sheet.stroke(LINE, (of.x, of.y), (of.x + of.width, of.y));
    sheet.stroke(LINE, (of.x, y), (of.x + of.width, y));
    y
}

/// Where a tone stands among so many, where nothing else is known of it.
fn order(tone: usize, all: usize) -> &'static str {
    match tone {
        0 => "paper",
        _ if tone + 1 == all => "darkest",
        _ => "darker",
    }
}

/// Which sheets follow, by their numbers.
fn follow(sheet: &mut Sheet, contents: &str, (x, y): (f64, f64), width: f64) -> f64 {
    let lines = TypeFace::of(Weight::Regular).wrap(contents, 10.0, Millimetres(width));
    let mut y = y;
    for line in lines.into_iter().take(4) {
        y += line_height(10.0);
        sheet.text(Weight::Regular, 10.0, Align::Start, (x, y), line);
    }
    y
}

/// What to tick before and while the plate is worked, in the order of the bench. Common practice, no source.
fn check_words(job: &Job) -> Vec<String> {
    let letter = &job.settings.letter;
    let strip = match job.bites.strip_kind {
        StripKind::Measured => format!("Strip {} is the one bitten for this metal, grain and bath", job.bites.strip_id),
        StripKind::Example | StripKind::Missing => "A strip of your own bitten, printed dry and read".to_owned(),
    };
    let mut words = vec![
        if has_bars(job) { "Sheets printed at 100 %, one side; both 100 mm bars measured" } else { "Sheets printed at 100 %, one side" }
            .to_owned(),
        if letter.is_empty() {
            "Plate’s letter and notch scratched on the back".to_owned()
        } else {
            format!("Letter {letter} and the notch scratched on the back")
        },
    ];
    if job.stop().is_some() {
        words.push("Another metal, mordant or tray named; the sheets printed again".to_owned());
        return words;
    }
    words.push("Plate bevelled and degreased; water stays on it in one film".to_owned());
    words.push("Back and bevel stopped out, dry".to_owned());
    words.extend(run_plan::lined(job).map(|_| "Etched lines needled and bitten, a time of the shop’s own; ground off".to_owned()));
    words.extend(job.stop_outs.aside().resist().map(|_| "Fixed resist laid, lifted and looked over".to_owned()));
    words.push("Grain laid and fixed, the strip’s in the same box load".to_owned());
    words.push(strip);
    words.extend(transferred(job).map(|sheets| match job.settings.transfer {
        Transfer::Trace => format!("{sheets} traced through, printed side up; the F is reversed"),
        Transfer::Press => format!("{sheets} pressed face down; guides laid out in plate view"),
    }));
    let counted = job.wants(Kind::StopOuts) || job.wants(Kind::Run);
    words.push(
        if counted { "Each stop-out: its islands counted, dry and not tacky" } else { "Each stop-out: dry and not tacky" }.to_owned(),
    );
    words.push("Each bite: back and bevel looked over, clock set, rinsed".to_owned());
    if job.stop_outs.aside().by_hand().is_some() {
        words.push("Dotted areas worked by hand".to_owned());
    }
    words.push("Varnish and grain off; a dry pull read beside the strip".to_owned());
    words
}

/// The sheets of this set that are brought onto the plate, in words, the first letter large; none where there are none.
fn transferred(job: &Job) -> Option<String> {
    let painted = job.stop_outs.list().iter().any(|stop| stop.new_share > 0.0);
    let all = [
        (Kind::Lines, run_plan::lined(job).is_some(), "etched lines"),
        (Kind::Lift, job.stop_outs.aside().resist().is_some(), "lift"),
        (Kind::Key, true, "key"),
        (Kind::StopOuts, painted, "stop-outs"),
    ];
    let names: Vec<&str> = all.iter().filter(|(kind, there, _)| *there && job.wants(*kind)).map(|(_, _, name)| *name).collect();
    let (last, first) = names.split_last()?;
    let words = if first.is_empty() { (*last).to_owned() } else { format!("{} and {last}", first.join(", ")) };
    let mut letters = words.chars();
    letters.next().map(|letter| letter.to_uppercase().chain(letters).collect())
}

/// Whether any sheet of this set is at true size and has bars to measure.
fn has_bars(job: &Job) -> bool {
    let strip = job.settings.strip_plan.is_some() && job.stop().is_none() && job.wants(Kind::StripPlan);
    strip || job.wants(Kind::Frame) || transferred(job).is_some()
}

fn check_height(job: &Job) -> f64 {
    check_words(job).len().div_ceil(2) as f64 * CHECK + 9.0
}

fn checks(sheet: &mut Sheet, job: &Job, (x, y): (f64, f64), width: f64) -> f64 {
    sheet.text(Weight::Semibold, 14.0, Align::Start, (x, y + 4.0), "Check list");
    let words = check_words(job);
    let rows = words.len().div_ceil(2);
    let half = width / 2.0;
    let top = y + 7.4;
    for (index, words) in words.iter().enumerate() {
        let (column, row) = (index / rows, index % rows);
        let left = x + column as f64 * half;
        let middle = top + (row as f64 + 0.5) * CHECK;
        tick_box(sheet, left + 0.4, middle, CHECK_BOX);
        let regular = TypeFace::of(Weight::Regular);
        let lines = regular.wrap(words, 10.0, Millimetres(half - CHECK_BOX - 6.0));
        let first = middle + regular.cap_height(10.0).0 / 2.0 - lines.len().saturating_sub(1) as f64 * line_height(10.0) / 2.0;
        for (line, words) in lines.into_iter().take(2).enumerate() {
            sheet.text(Weight::Regular, 10.0, Align::Start, (left + CHECK_BOX + 2.6, first + line as f64 * line_height(10.0)), words);
        }
    }
    top + rows as f64 * CHECK
}

fn foot(sheet: &mut Sheet, job: &Job, of: PageBox) {
    sheet.stroke(HAIR, (of.x, of.y), (of.right(), of.y));
    let damp = if has_bars(job) {
        " Damp makes paper grow: keep it dry, and measure the bars again after an hour."
    } else {
        " Keep the paper dry."
    };
    let keep = "A laser printer is advised: inkjet runs when wet. Put each sheet in a clear sleeve and write on it with a wax pencil.";
    let y = paragraph(sheet, Weight::Regular, 10.0, (of.x, of.y + 0.6), of.width, &format!("{keep}{damp}"));
    let mut caution = "Acids, dust and heat can hurt you: the shop’s own rules, the safety data sheets and local codes come before anything printed here.".to_owned();
    if let Some(judged) = job.settings.judged.as_ref().filter(|_| job.stop().is_none()) {
        caution = format!("{}: {}. {caution}", judged.verdict.words(), judged.pair);
    }
    paragraph(sheet, Weight::Semibold, 10.0, (of.x, y + 1.0), of.width, &caution);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::*;
    use crate::bath::pairs::{Named, judged};

    const CONTENTS_OF_12: &str = "In this set, 12 pages: 1 cover · 2–10 stop-outs · 11–12 run sheet.";

    #[test]
    fn every_tone_has_its_row_and_times_are_there_only_with_a_strip() {
        kinds_job(|job| {
            let all: Vec<Sheet> = (0..pages(job)).map(|index| sheet(job, index, CONTENTS_OF_12, (index + 1, 12))).collect();
            all.iter().for_each(assert_legible);
            let first = &all[0];
            assert!(says(first, "2–10 stop-outs"));
            for tone in job.bites.tones.iter().skip(1) {
                let told = |time: Seconds| first.words().any(|words| words == time.clock());
                assert_eq!((told(tone.shown_total), told(tone.set)), (has_times(job), has_times(job)));
                let target = first.words().any(|words| words == format!("{:.1}", tone.target.0));
                assert_eq!(target, job.bites.strip_kind != StripKind::Missing);
            }
            let heads = ["target L*", "example L*", "order only"].map(|head| says(first, head));
            let kinds = [StripKind::Measured, StripKind::Example, StripKind::Missing];
            assert_eq!(heads, kinds.map(|kind| kind == job.bites.strip_kind));
            let check = all.last().unwrap();
            let all_words = check.words().collect::<Vec<_>>().join(" ");
            for wanted in
                ["Check list", "both 100 mm bars measured", "the shop’s own rules", "inkjet runs when wet", "clear sleeve", "after an hour"]
            {
                assert!(all_words.contains(wanted), "{wanted} in {all_words}");
            }
            assert!(all.iter().all(|sheet| says(sheet, super::super::EXAMPLE) == (job.bites.strip_kind == StripKind::Example)));
        });
    }

    /// What the check list says of a set of kinds.
    fn listed(job: &Job, kinds: &[Kind], transfer: Transfer) -> String {
        let settings = super::super::SheetSettings { kinds: kinds.to_vec(), transfer, ..job.settings.clone() };
        check_words(&Job { settings: &settings, ..*job }).join(" | ")
    }

    #[test]
    fn the_check_list_says_what_is_traced_or_pressed_and_only_that() {
        kinds_job(|job| {
            for (kinds, traced) in [
                (&[Kind::Cover, Kind::StopOuts, Kind::Run][..], Some("Stop-outs")),
                (&[Kind::Cover, Kind::Key], Some("Key")),
                (&[Kind::Key, Kind::StopOuts], Some("Key and stop-outs")),
                // Neither lines nor a lift are on this plate.
                (&Kind::ALL, Some("Key and stop-outs")),
                (&[Kind::Cover, Kind::Run, Kind::Look, Kind::Record], None),
            ] {
                let (trace, press) = (listed(job, kinds, Transfer::Trace), listed(job, kinds, Transfer::Press));
                assert!(!trace.contains("pressed") && !press.contains("traced"));
                match traced {
                    Some(names) => {
                        assert!(trace.contains(&format!("{names} traced through, printed side up")), "{trace}");
                        assert!(press.contains(&format!("{names} pressed face down; guides")), "{press}");
                    }
                    None => assert!(!trace.contains("traced") && !press.contains("pressed") && !trace.contains("bars"), "{trace}"),
                }
                assert!(!trace.contains("Etched"));
            }
        });
    }

    #[test]
    fn a_stop_says_so_on_the_cover_and_tells_no_time() {
        kinds_job(|job| {
            let settings = super::super::SheetSettings {
                judged: Some(judged(Named { metal: Some("zinc"), mordant: Some("ferric chloride"), before: None })),
                ..job.settings.clone()
            };
            let job = Job { settings: &settings, ..*job };
            if job.stop().is_none() {
                return;
            }
            let sheet = sheet(&job, 0, CONTENTS_OF_12, (1, 3));
            let time = |words: &str| {
                let letters: Vec<char> = words.chars().collect();
                letters.windows(3).any(|three| three[0].is_ascii_digit() && three[1] == ':' && three[2].is_ascii_digit())
            };
            assert!(says(&sheet, "STOP") && !sheet.words().any(time) && !says(&sheet, "set the clock"));
            assert!(!check_words(&job).join(" ").contains("bite:"), "nothing is bitten");
            assert_legible(&sheet);
        });
    }
}
