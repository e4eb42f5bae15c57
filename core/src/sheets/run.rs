//! The run sheet: each stop-out and each bite in turn, with boxes to tick and lines to write on.

use super::frame::{self, LINE};
use super::layout::fitted;
use super::mark::{Align, PageBox, Sheet};
use super::run_frame::{SIGN_OFF, banner, banner_in, pair, pair_height, sign_off};
use super::run_plan::{Row, joined, rows};
use super::run_rows::{bite_row, columns, joined_row, lines_row, needle_words, paint_row, small_row};
use super::{Job, View, counted, plain};
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};

/// Distance of everything from the edge of the paper, mm: room for a clip.
pub(super) const PAD: f64 = 12.0;
/// Height of the head and of the foot, mm.
const HEAD: f64 = 31.0;
const FOOT: f64 = 46.0;
/// The head is higher by this where it says EXAMPLE, NOT YOUR BATH.
const BANNER: f64 = 15.0;

/// How many pages the run sheet takes.
pub(super) fn pages(job: &Job) -> usize {
    rows(job).len()
}

/// Where the rows stand.
pub(super) fn table(job: &Job) -> PageBox {
    let page = job.settings.paper.size();
    let head = PAD + HEAD + if banner(job).is_some() { BANNER } else { 0.0 };
    PageBox::new(PAD, head, page.width.0 - 2.0 * PAD, page.height.0 - PAD - foot_height(job) - head)
}

/// Height of the foot, with the pair's hazards where they are told.
fn foot_height(job: &Job) -> f64 {
    FOOT + pair_height(job)
}

/// Page `index` (from 0) of the run sheet, as sheet `page` of `all`.
pub(super) fn sheet(job: &Job, index: usize, (page, all): (usize, usize)) -> Sheet {
    let pages = rows(job);
    let name = if pages.len() > 1 { format!("run sheet {} of {}", index + 1, pages.len()) } else { "run sheet".to_owned() };
    let mut sheet = Sheet::new(name, job.settings.paper.size());
    let table = table(job);
    head(&mut sheet, job, (index, pages.len()), (page, all));
    columns(&mut sheet, &table);
    let rows = pages.get(index).map_or(&[][..], Vec::as_slice);
    let needed: f64 = rows.iter().map(|row| row.height()).sum();
    // What is left over is air, up to a fifth of each row.
    let air = (table.height / needed.max(1.0)).clamp(1.0, 1.2);
    let mut y = table.y;
    for &row in rows {
        let of = PageBox::new(table.x, y, table.width, row.height() * air);
        match row {
            Row::Needle => small_row(&mut sheet, "NEEDLE", &needle_words(job), Some("ground sound"), of),
            Row::Lines => lines_row(&mut sheet, of),
            Row::Grain => small_row(&mut sheet, "GRAIN", "Ground off, plate degreased; only then is the grain laid and fixed.", None, of),
            Row::Paint(number) => paint_row(&mut sheet, job, number, of),
            Row::Painted(number) => {
                small_row(
                    &mut sheet,
                    &format!("PAINT {number}"),
                    "painted by the log: look it over, back and bevel too",
                    Some("not tacky"),
                    of,
                );
            }
            Row::Nothing(number) => small_row(
                &mut sheet,
                &format!("PAINT {number}"),
                &match joined(job, number).filter(|dip| *dip.bites.start() < number) {
                    Some(dip) => format!("nothing to paint (tone {} has no area): {} are one dip", number - 1, dip.words()),
                    None => format!("nothing to paint (tone {} has no area): look over back and bevel", number - 1),
                },
                None,
                of,
            ),
            Row::SecondCoat => small_row(
                &mut sheet,
                "COAT",
                "Second coat on stop-out 1: over half the time in the bath is still to come.",
                Some("not tacky"),
                of,
            ),
            Row::Done(number) => small_row(&mut sheet, &format!("BITE {number}"), &done_words(job, number), None, of),
            Row::Dropped(number) => {
                let words = if number <= job.bites.painted {
                    "left out: nothing is bitten for it, its tone prints as the one before."
                } else {
                    "left out: nothing is painted or bitten for it, its tone prints as the one before."
                };
                small_row(&mut sheet, &format!("BITE {number}"), words, None, of);
            }
            Row::Bite(number) => bite_row(&mut sheet, job, number, of),
            Row::Joined(first, last) => joined_row(&mut sheet, job, (first, last), of),
            Row::Leaves(number) => small_row(
                &mut sheet,
                "OUT",
                &format!("This plate has no tone darker than {number}: after bite {number} it leaves the bath for good."),
                None,
                of,
            ),
        }
        y = of.foot();
    }
    sheet.stroke(LINE, (table.x, y), (table.right(), y));
    let foot_top = sheet.page.height.0 - PAD - foot_height(job);
    pair(&mut sheet, job, (table.x, foot_top), table.width);
    let foot_box = PageBox::new(table.x, sheet.page.height.0 - PAD - FOOT, table.width, FOOT);
    foot(&mut sheet, foot_box);
    sheet
}

/// What the log has of a bite.
fn done_words(job: &Job, number: usize) -> String {
    job.bites
        .tones
        .get(number)
        .filter(|_| job.bites.strip_kind != StripKind::Missing)
        .map_or_else(|| "done.".to_owned(), |time| format!("done: {} by the log, total {}.", time.set.clock(), time.shown_total.clock()))
}

fn head(sheet: &mut Sheet, job: &Job, (index, pages): (usize, usize), (page, all): (usize, usize)) {
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let semibold = TypeFace::of(Weight::Semibold);
    let mut end = right;
    if !job.settings.letter.is_empty() {
        let plate = PageBox::new(right - 14.5, PAD, 14.5, 16.0);
        frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, View::Plate);
        end = plate.x - 5.0;
    }
    sheet.text(Weight::Semibold, 28.0, Align::Start, (left - 0.3, PAD + 7.2), "Run sheet");
    let beside = left + semibold.width("Run sheet", 28.0).0 + 6.0;
    let (size, title) = fitted(Weight::Regular, &job.settings.title, &[18.0, 16.0, 14.0, 12.0, 11.0, 10.0, 9.0], end - beside);
    sheet.text(Weight::Regular, size, Align::Start, (beside, PAD + 7.2), title);

    let size = job.plate.size();
    let mut facts = vec![format!("plate {} × {} mm", plain(size.width.0), plain(size.height.0))];
    if job.plate.bevel().0 > 0.0 {
        facts.push(format!("bevel {} mm", plain(job.plate.bevel().0)));
    }
    facts.push(format!("{} tones", job.stop_outs.tones().get()));
    facts.push(counted(job.stop_outs.list().len(), "bite", "bites"));
    facts.extend(job.stop_outs.aside().resist().map(|_| "fixed resist laid first".to_owned()));
    facts.extend(job.stop_outs.aside().by_hand().map(|_| "dotted areas by hand".to_owned()));
    if pages > 1 {
        facts.push(format!("page {} of {pages}", index + 1));
    }
    facts.push(format!("sheet {page} of {all}"));
    let mut strip = vec![match job.bites.strip_kind {
        StripKind::Missing => "no strip yet: no times".to_owned(),
        StripKind::Measured | StripKind::Example => format!("times from strip {}", job.bites.strip_id),
    }];
    // Once for all: what drains on after the lift is off every time that the clock is set to.
    let drag = job.bites.handling.drag().0;
    if drag > 0.0 && super::has_times(job) {
        strip.push(format!("lift at 0:00, {} s of drag-out counted", plain(drag)));
    }
    strip.extend(
        [&job.settings.scaled, &job.settings.bath, &job.settings.date].into_iter().flatten().filter(|words| !words.is_empty()).cloned(),
    );
    // What the first line has no room for goes on the second: which sheet this is must not be cut.
    let long = |facts: &[String]| TypeFace::of(Weight::Regular).width(&facts.join(" · "), 9.0).0 > end - left;
    let mut moved = Vec::new();
    while long(&facts) && facts.len() > 1 {
        moved.extend(facts.pop());
    }
    strip.extend(moved.into_iter().rev());
    let (size, facts) = fitted(Weight::Regular, &facts.join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 15.6), facts);
    let (size, strip) = fitted(Weight::Regular, &strip.join(" · "), &[11.0, 10.0, 9.0], end - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 21.2), strip);

    banner_in(sheet, job, PageBox::new(left, PAD + 24.6, right - left, BANNER - 3.4));
}

fn foot(sheet: &mut Sheet, of: PageBox) {
    for (y, weight, sizes, words) in [
        (7.4, Weight::Semibold, &[14.0, 13.0, 12.0][..], "Over by e: take e off the next bite. Under: put it back before painting."),
        (
            13.0,
            Weight::Regular,
            &[12.0, 11.0, 10.0][..],
            "A check is a lift: rinse, look, then the rest of the time. Once painted it is permanent, so plan to pull early.",
        ),
    ] {
        let (size, words) = fitted(weight, words, sizes, of.width);
        sheet.text(weight, size, Align::Start, (of.x, of.y + y), words);
    }
    sign_off(sheet, PageBox::new(of.x, of.y + 22.6, of.width, SIGN_OFF));
    let caution = "The shop's own rules, the safety data sheets and local codes come before anything printed here.";
    let (size, caution) = fitted(Weight::Regular, caution, &[10.0, 9.0], of.width);
    sheet.text(Weight::Regular, size, Align::Start, (of.x, of.foot() - 0.6), caution);
}

#[cfg(test)]
mod tests {
    use super::super::frame::HAIR;
    use super::super::tests::{assert_legible, bites, kinds_job, letter, says, sheets_by};
    use super::super::{EXAMPLE, SheetSettings, Sheets};
    use super::*;
    use crate::bath::pairs::{Named, judged};
    use crate::bites::{TimedDip, ToneTime};
    use crate::units::Seconds;

    /// Whether a text holds a time: m:ss, or a number before "s".
    fn holds_a_time(words: &str) -> bool {
        let letters: Vec<char> = words.chars().collect();
        let clock = letters.windows(4).any(|w| w[0].is_ascii_digit() && w[1] == ':' && w[2].is_ascii_digit() && w[3].is_ascii_digit());
        let tokens: Vec<&str> = words.split_whitespace().collect();
        let unit = |w: &str| matches!(w.trim_end_matches(['.', ',', ';', ')']), "s" | "sec" | "seconds");
        let digit = |w: &str| w.chars().next_back().is_some_and(|c| c.is_ascii_digit());
        clock || tokens.windows(2).any(|pair| digit(pair[0]) && unit(pair[1]))
    }

    fn made(kind: StripKind, tones: i64, settings: &SheetSettings) -> Sheets {
        let (plate, map) = letter(160.0, 180.0);
        let mut bites = bites(tones as usize);
        bites.strip_kind = kind;
        for tone in &mut bites.tones {
            tone.range = Some((Seconds(tone.total.0 * 0.9), Seconds(tone.total.0 * 1.1)));
            tone.shown_range = tone.range;
        }
        sheets_by(&plate, map.map(|&tone| tone.min(1) * (tones as u8 - 1)), &bites, settings)
    }

    #[test]
    fn a_time_is_known_when_it_is_seen() {
        assert!(
            holds_a_time("0:10") && holds_a_time("total 12:05, then") && holds_a_time("set 40 s.") && holds_a_time("take 7 seconds off")
        );
        assert!(!holds_a_time("stop-out 5 · sheet 2 of 9") && !holds_a_time("about 12 min") && !holds_a_time("tone 3 so far"));
    }

    #[test]
    fn without_a_strip_no_sheet_holds_a_time_and_there_are_lines_to_write_them() {
        for tones in [2, 10, 16] {
            let with = made(StripKind::Example, tones, &SheetSettings::default());
            assert!(with.sheets.iter().flat_map(Sheet::words).any(holds_a_time), "with a strip there are times");
            let without = made(StripKind::Missing, tones, &SheetSettings::default());
            for sheet in &without.sheets {
                for words in sheet.words() {
                    assert!(!holds_a_time(words), "{words} on {}", sheet.name);
                }
                assert!(says(sheet, "no strip yet"), "{}", sheet.name);
                assert!(!says(sheet, EXAMPLE));
                assert_legible(sheet);
            }
            let run: Vec<&Sheet> = without.sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet")).collect();
            assert!(run.iter().all(|sheet| says(sheet, "NO STRIP YET")));
            // Two lines more on each bite's row: for the clock and for the total.
            let hairs = |sheets: &Sheets| {
                let strokes = sheets.sheets.iter().flat_map(|sheet| &sheet.marks);
                strokes.filter(|mark| matches!(mark, super::super::Mark::Strokes { pen, .. } if *pen == HAIR)).count()
            };
            assert_eq!(hairs(&without), hairs(&with) + 2 * (tones as usize - 1));
        }
    }

    #[test]
    fn every_bite_has_a_box_of_12_mm_whatever_the_count_of_tones() {
        kinds_job(|job| {
            let mut bites = 0;
            for index in 0..pages(job) {
                let sheet = sheet(job, index, (index + 1, pages(job)));
                assert_legible(&sheet);
                let boxes = sheet.marks.iter().filter_map(|mark| match mark {
                    super::super::Mark::Line { points, closed: true, .. } if points.len() == 4 => {
                        Some((points[1].x - points[0].x, points[2].y - points[1].y))
                    }
                    _ => None,
                });
                let large = boxes.filter(|(wide, high)| (wide - 12.0).abs() < 1e-9 && (high - 12.0).abs() < 1e-9).count();
                let starts = |word: &str| sheet.words().filter(|words| words.starts_with(word)).count();
                let nothing = sheet.words().filter(|words| words.starts_with("nothing to paint")).count();
                assert_eq!(large, starts("BITE ") + starts("PAINT ") - nothing);
                bites += starts("BITE ");
            }
            assert_eq!(bites, job.stop_outs.list().len());
        });
    }

    #[test]
    fn lines_are_bitten_before_the_grain_and_their_time_is_left_to_write() {
        use crate::lines::{LineSettings, found};
        use crate::plane::Plane;
        let resolution = crate::units::PxPerMm(10.0);
        let drawn =
            |one: bool| Plane::from_fn(600, 500, |x, y| if one && (100..103).contains(&x) && (50..300).contains(&y) { 15.0 } else { 85.0 });
        let lines = [true, false].map(|one| found(&drawn(one), resolution, crate::regions::Mark::default(), LineSettings::default()));
        let clocks = |sheets: &[Sheet]| sheets.iter().flat_map(Sheet::words).filter(|words| holds_a_time(words)).count();
        kinds_job(|job| {
            let with = Job { lines: Some(&lines[0]), ..*job };
            let made = |job: &Job| (0..pages(job)).map(|index| sheet(job, index, (index + 1, pages(job)))).collect::<Vec<_>>();
            let (plain, lined) = (made(job), made(&with));
            lined.iter().for_each(assert_legible);
            // Without a pixel of a line, the sheets are as without the stage.
            assert_eq!(made(&Job { lines: Some(&lines[1]), ..*job }), plain);
            let words: Vec<&str> = lined[0].words().collect();
            let place = |wanted: &str| words.iter().position(|words| *words == wanted);
            let order = ["NEEDLE", "LINES", "GRAIN", "BITE 1"].map(place);
            assert!(order.iter().all(Option::is_some) && order.is_sorted(), "{words:?}");
            assert!(says(&lined[0], "1 etched line, 2.5 cm, through the ground, by sheet E") && says(&lined[0], "in no total below"));
            assert_eq!(clocks(&lined), clocks(&plain), "the stage adds no time");
            let bites = |sheets: &[Sheet]| sheets.iter().flat_map(Sheet::words).filter(|words| words.starts_with("BITE ")).count();
            assert_eq!(bites(&lined), bites(&plain));
            assert!(!plain.iter().any(|sheet| says(sheet, "NEEDLE")));
        });
    }

    #[test]
    fn the_pair_and_its_hazards_stand_over_the_sign_off() {
        for tones in [3, 10, 16] {
            let bath = judged(Named { metal: Some("zinc"), mordant: Some("nitric"), before: None });
            let sheets = made(StripKind::Measured, tones, &SheetSettings { judged: Some(bath), ..SheetSettings::default() });
            for sheet in sheets.sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet")) {
                assert!(says(sheet, "SHOP SIGN-OFF: zinc in nitric acid") && says(sheet, "brown nitrogen dioxide"));
                assert!(says(sheet, "Checked and signed off"));
                assert_legible(sheet);
            }
        }
    }

    /// All kinds of sheets of ten tones of which so many are bitten, painted, left out; none where the bath is a STOP.
    fn at_the_bath(change: impl Fn(&mut crate::bites::BitePlan)) -> Sheets {
        let (plate, map) = letter(160.0, 180.0);
        let mut bites = bites(10);
        bites.strip_kind = StripKind::Measured;
        change(&mut bites);
        sheets_by(
            &plate,
            map.map(|&tone| tone.min(1) * 9),
            &bites,
            &SheetSettings { kinds: super::super::Kind::ALL.to_vec(), ..SheetSettings::default() },
        )
    }

    #[test]
    fn a_bite_that_has_no_time_has_words_on_every_sheet() {
        let named = |sheets: &Sheets, name: &str| {
            let of = sheets.sheets.iter().filter(|sheet| sheet.name.starts_with(name));
            of.flat_map(Sheet::words).map(str::to_owned).collect::<Vec<_>>()
        };
        let count = |words: &[String], part: &str| words.iter().filter(|words| words.contains(part)).count();
        // Bites 1 to 4 are done, stop-out 6 is painted, bite 5 is left out: its time is the one before's, and nothing is set for it.
        let left_out = at_the_bath(|bites| {
            (bites.bitten, bites.painted, bites.dropped) = (4, 6, vec![5]);
            bites.tones[5] = ToneTime { bite: Seconds(0.0), set: Seconds(0.0), ..bites.tones[4] };
        });
        left_out.sheets.iter().for_each(assert_legible);
        for sheet in &left_out.sheets {
            assert!(!sheet.words().any(|words| words == "0:00"), "{}", sheet.name);
        }
        let (cover, look, run) = (named(&left_out, "cover"), named(&left_out, "look"), named(&left_out, "run sheet"));
        assert_eq!((count(&cover, "left out"), count(&look, "left out"), count(&run, "left out")), (1, 1, 1), "{cover:?}");
        assert!(cover.contains(&"8".to_owned()) && cover.iter().filter(|words| *words == "done").count() == 4);
        assert_eq!((count(&run, "by the log, total"), count(&run, "painted by the log"), count(&run, "PAINT 7")), (4, 1, 1));
        // Bite 4 was far too long, and nobody has said how to go on.
        let open = at_the_bath(|bites| {
            (bites.bitten, bites.painted, bites.undecided) = (4, 4, true);
            bites.tones[5] = ToneTime { bite: Seconds(0.0), set: Seconds(0.0), ..bites.tones[4] };
        });
        open.sheets.iter().for_each(assert_legible);
        for sheet in &open.sheets {
            assert!(!sheet.words().any(|words| words == "0:00"), "{}", sheet.name);
        }
        let (cover, look, run) = (named(&open, "cover"), named(&open, "look"), named(&open, "run sheet"));
        assert_eq!((count(&cover, "to be decided"), count(&look, "to be decided"), count(&run, "to be decided")), (6, 5, 5), "{cover:?}");
        assert!(
            !run.iter().any(|words| words.starts_with("check at 0"))
                && !named(&open, "pull record").iter().any(|words| words.contains("Planned"))
        );
    }

    #[test]
    fn bites_that_join_are_one_row_and_a_plate_that_is_done_leaves() {
        let (plate, mut map) = letter(160.0, 180.0);
        map.data_mut().iter_mut().for_each(|tone| {
            *tone = match *tone {
                7 => 6,
                9 => 8,
                tone => tone,
            }
        });
        let bites = bites(10);
        let dip = |bites: std::ops::RangeInclusive<usize>, set: f64, total: f64, fewer: usize| TimedDip {
            bites,
            length: Seconds(set),
            set: Seconds(set),
            total: Seconds(total),
            shown_total: Seconds(total),
            fewer,
        };
        let dips = (1..=6).map(|bite| dip(bite..=bite, 10.0, 10.0 * bite as f64, 0)).chain([dip(7..=8, 113.0, 173.0, 1)]).collect();
        let settings = SheetSettings { dips, ..SheetSettings::default() };
        let of = sheets_by(&plate, map, &bites, &settings);
        let has = |words: &str| of.sheets.iter().any(|sheet| says(sheet, words));
        assert!(has("BITE 7+8") && has("1:53") && has("total 2:53") && has("one restart fewer"));
        assert!(has("nothing to paint (tone 7 has no area): bites 7 and 8 are one dip"));
        assert!(has("This plate has no tone darker than 8: after bite 8 it leaves the bath for good."));
        assert!(!has("BITE 8") && !has("BITE 9") && !has("PAINT 9"));
    }

    #[test]
    fn a_second_coat_that_falls_into_a_joined_dip_comes_before_it() {
        let (plate, mut map) = letter(160.0, 180.0);
        let bites = bites(10);
        // Totals are ten seconds a bite: more than half is still to come before bite 5, whose dip begins with bite 4.
        map.data_mut().iter_mut().filter(|tone| **tone == 4).for_each(|tone| *tone = 3);
        let dip = |bites: std::ops::RangeInclusive<usize>| TimedDip {
            length: Seconds(10.0),
            set: Seconds(10.0),
            total: Seconds(10.0 * *bites.end() as f64),
            shown_total: Seconds(10.0 * *bites.end() as f64),
            fewer: 0,
            bites,
        };
        let settings =
            SheetSettings { dips: [1..=1, 2..=2, 3..=3, 4..=5, 6..=6, 7..=7, 8..=8, 9..=9].map(dip).to_vec(), ..SheetSettings::default() };
        let of = sheets_by(&plate, map, &bites, &settings);
        assert!(of.sheets.iter().any(|sheet| says(sheet, "Second coat on stop-out 1: over half the time in the bath is still to come.")));
    }

    #[test]
    fn the_drag_out_is_said_to_be_counted_and_the_plate_lifted_at_nothing_left() {
        let drained = at_the_bath(|bites| {
            bites.handling = crate::practice::Handling::new(Seconds(2.0), Seconds(0.0), Seconds(1.5)).unwrap_or_default();
        });
        let runs: Vec<&Sheet> = drained.sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet")).collect();
        assert!(!runs.is_empty() && runs.iter().all(|sheet| says(sheet, "lift at 0:00, 1.5 s of drag-out counted")));
        assert!(!at_the_bath(|_| ()).sheets.iter().any(|sheet| says(sheet, "lift at")));
    }

    #[test]
    fn what_scales_the_times_is_said_beside_the_strip() {
        let words = "times 1.25 × the strip’s, by the witness";
        let sheets = made(StripKind::Measured, 4, &SheetSettings { scaled: Some(words.to_owned()), ..SheetSettings::default() });
        assert!(says(sheets.sheets.last().unwrap(), words));
    }
}
