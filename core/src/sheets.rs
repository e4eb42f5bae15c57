//! Sheets: what the printer takes to the bench, at true size, in black on white.
//!
//! A stop-out sheet says with hatch what to PAINT NOW, with dots what was COVERED BEFORE and with white what to LEAVE BARE. A run sheet
//! lists each stop-out and bite with boxes to tick. Where a fixed resist lies, a lift sheet comes first: in a double frame, crossed where the
//! plate OPENS, the opposite of a stop-out. Sheets are lists of marks in millimetres ([`Sheet`], [`Mark`]); [`crate::pdf`] turns
//! them into a file.
//!
//! A [`SheetSet`] knows which sheets a plan has before any is drawn; one is drawn for a preview, or all for a file. A plate larger than the
//! paper is cut into tiles.

use crate::bites::BitePlan;
use crate::outline::Outlines;
use crate::plate::Plate;
use crate::stopouts::StopOuts;
use crate::strip::StripKind;
use crate::strip_plan::StripPlan;
use crate::type_face::missing_letters;
use crate::view::View;
use job::Use;

mod bars;
mod bed;
mod captions;
mod check_box;
mod cover;
mod cutting;
mod frame;
mod heading;
mod hinge;
mod job;
mod joins;
mod key;
mod key_labels;
mod laying_map;
mod layout;
mod legend;
mod look;
mod mark;
mod picture;
mod pieces;
mod placed;
mod pointers;
mod pulls;
mod record;
mod registration;
mod repair;
mod run;
mod run_frame;
mod run_plan;
mod run_rows;
mod seen;
mod set;
mod settings;
mod stop;
mod strip_plan;
mod tile_words;
mod tiles;
mod tiling;
mod tints;
mod together;
mod touches;
mod words;
#[cfg(test)]
mod words_apart;
mod zones;
pub use bars::{Bars, BarsError};
pub use cutting::PapersToLay;
pub use job::Job;
pub use mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
pub use pulls::Pulls;
pub use repair::Repair;
pub use set::{Entry, SheetSet};
pub use settings::{Corner, Kind, MOST_INWARD, Paper, SheetSettings, Style, Transfer};
pub use together::Together;
pub use zones::Zones;

/// What a time from the example strip is always shown with.
pub const EXAMPLE: &str = "EXAMPLE, NOT YOUR BATH";

/// All sheets of a plan.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheets {
    /// Title of the whole.
    pub title: String,
    /// The sheets in the order of the bench ([`Kind`]).
    pub sheets: Vec<Sheet>,
    /// Whether the plate fits one page at true size; where not, each picture is cut into tiles.
    pub fits: bool,
    /// What the printer should know about them, a sentence each.
    pub notes: Vec<String>,
}

impl Sheets {
    /// Draws all sheets of a plan at once: [`SheetSet::of`] and [`SheetSet::draw`].
    #[must_use]
    pub fn of(stop_outs: &StopOuts, outlines: &Outlines, bites: &BitePlan, plate: &Plate, settings: &SheetSettings) -> Self {
        SheetSet::of(Job { stop_outs, outlines, bites, plate, lines: None, settings }).draw(&mut |_| ())
    }

    /// The sheet of a strip to bite, alone.
    #[must_use]
    pub fn of_strip(plan: &StripPlan, settings: &SheetSettings) -> Self {
        let title = if settings.title.is_empty() { "Strip plan".to_owned() } else { format!("{}: strip plan", settings.title) };
        let mut sheet = strip_plan::sheet(plan, settings, (1, 1));
        if let Some(bars) = settings.bars {
            sheet.stretch = bars.across_and_down(sheet.page);
        }
        Self { title, sheets: vec![sheet], fits: true, notes: Vec::new() }
    }
}

/// A note on letters that print as boxes.
fn boxes_note(settings: &SheetSettings, bites: &BitePlan) -> Option<String> {
    let pair = settings.judged.as_ref().map(|judged| &judged.pair);
    let texts =
        [Some(&settings.title), Some(&settings.letter), settings.date.as_ref(), settings.bath.as_ref(), Some(&bites.strip_id), pair];
    let mut all: String = texts.into_iter().flatten().map(String::as_str).collect();
    if let Some(Zones { zones, inks, .. }) = &settings.zones {
        all.extend(zones.iter().map(|zone| zone.name.as_str()).chain(inks.iter().map(String::as_str)));
    }
    all.extend(settings.touches.iter().map(|touch| touch.words.as_str()));
    for pull in settings.pulls.iter().flat_map(|pulls| &pulls.record.pulls) {
        all.extend(crate::pulls::lines(&pull.now).into_iter().map(|(_, words)| words));
    }
    all.retain(|letter| !letter.is_whitespace());
    let missing = missing_letters(&all);
    let listed: Vec<String> = missing.iter().map(ToString::to_string).collect();
    (!missing.is_empty())
        .then(|| format!("The sheets' type has no {}: a box stands in its place. Use Latin or Cyrillic letters.", listed.join(" ")))
}

/// A number of mm, cm² or minutes without decimals that say nothing.
fn plain(value: f64) -> String {
    let tenths = libm::round(value * 10.0) / 10.0;
    if tenths.fract() == 0.0 { format!("{tenths:.0}") } else { format!("{tenths:.1}") }
}

/// An area in cm²: one decimal under 10, none from there on.
fn area(cm2: f64) -> String {
    if cm2 < 9.95 { plain(cm2.max(0.1)) } else { format!("{cm2:.0}") }
}

/// Minutes of painting, never none.
fn minutes(minutes: f64) -> String {
    if minutes < 1.0 { "under 1 min".to_owned() } else { format!("about {minutes:.0} min") }
}

/// A share in percent.
fn percent(share: f64) -> String {
    if share > 0.0 && share < 0.005 { "under 1 %".to_owned() } else { format!("{:.0} %", share * 100.0) }
}

fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Whether times may be printed: there is a strip, and the bath is no STOP.
fn has_times(job: &Job) -> bool {
    job.bites.strip_kind != StripKind::Missing && job.stop().is_none()
}

/// The strip that times rest on, and whose it is.
fn strip_line(bites: &BitePlan) -> String {
    match bites.strip_kind {
        StripKind::Measured => format!("strip {}", bites.strip_id),
        StripKind::Example => format!("strip {}: {EXAMPLE}", bites.strip_id),
        StripKind::Missing => "no strip yet: no times".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aside::Aside;
    use crate::bites::ToneTime;
    use crate::bits::BitPlane;
    use crate::fusing::Scatter;
    use crate::light::Lightness;
    use crate::pdf::pdf;
    use crate::plane::Plane;
    use crate::practice::Handling;
    use crate::stopouts::HandSpeed;
    use crate::tones::{StepMap, ToneCount};
    use crate::units::Millimetres;
    use crate::units::{PxPerMm, Seconds};

    /// A face whose lighter tone is a letter F at the left: not its own mirror image.
    pub(super) fn letter(width: f64, height: f64) -> (Plate, Plane<u8>) {
        let plate = Plate::new(Millimetres(width), Millimetres(height), Millimetres(1.5)).unwrap();
        let (wide, high) = plate.raster(PxPerMm(2.0)).unwrap();
        let map = Plane::from_fn(wide, high, |x, y| {
            let (x, y) = (x as f64 / wide as f64, y as f64 / high as f64);
            let stem = (0.1..0.3).contains(&x) && (0.1..0.9).contains(&y);
            let arms = ((0.1..0.25).contains(&y) && (0.1..0.6).contains(&x)) || ((0.45..0.6).contains(&y) && (0.1..0.5).contains(&x));
            if stem || arms { 0 } else { 2 }
        });
        (plate, map)
    }

    pub(super) fn bites(tones: usize) -> BitePlan {
        let tones = (0..tones).map(|tone| {
            let total = Seconds(10.0 * tone as f64);
            let set = if tone == 0 { Seconds(0.0) } else { Seconds(10.0) };
            ToneTime {
                target: Lightness(90.0 - 5.0 * tone as f64),
                total,
                bite: set,
                effective: total,
                shown_total: total,
                set,
                rounding: 0.0,
                range: None,
                shown_range: None,
            }
        });
        BitePlan {
            bitten: 0,
            painted: 0,
            dropped: Vec::new(),
            lacks: Vec::new(),
            undecided: false,
            tones: tones.collect(),
            strip_id: "15-A".into(),
            strip_kind: StripKind::Example,
            handling: Handling::default(),
            scatter: Scatter::default(),
            remarks: Vec::new(),
        }
    }

    /// The sheets by a ladder of times.
    pub(super) fn sheets_by(plate: &Plate, map: Plane<u8>, bites: &BitePlan, settings: &SheetSettings) -> Sheets {
        let resolution = PxPerMm(2.0);
        let map = StepMap::new(ToneCount::new(bites.tones.len() as i64).unwrap(), map);
        let outlines = Outlines::of(map.plane(), resolution);
        let stop_outs = StopOuts::of(map, &outlines, resolution, HandSpeed::default());
        Sheets::of(&stop_outs, &outlines, bites, plate, &for_the_bench(settings))
    }

    /// Does something with plans of every size, count of tones, paper and kind of strip.
    pub(super) fn kinds_job(each: impl Fn(&Job)) {
        let long = "Eine Platte mit einem sehr langen Titel, der auf keinen Rand der Welt paßt und trotzdem gesetzt wird";
        for (width, height) in [(5.0, 5.0), (160.0, 180.0), (240.0, 150.0), (600.0, 900.0)] {
            for tones in [2_usize, 3, 10, 16] {
                for (paper, kind) in [
                    (Paper::A4, StripKind::Measured),
                    (Paper::Letter, StripKind::Example),
                    (Paper::A4, StripKind::Missing),
                    (Paper::Letter, StripKind::Measured),
                ] {
                    let plate = Plate::new(Millimetres(width), Millimetres(height), Millimetres(1.5)).unwrap();
                    let resolution = PxPerMm(if width > 300.0 { 1.0 } else { 2.0 });
                    let (wide, high) = plate.raster(resolution).unwrap();
                    // Stripes of all tones; tone 1 has no area where there are more than two.
                    let map = Plane::from_fn(wide, high, |x, y| {
                        let tone = ((x + y / 4) * tones / (wide + high / 4)).min(tones - 1);
                        if tone == 1 && tones > 2 { 2 } else { tone as u8 }
                    });
                    let map = StepMap::new(ToneCount::new(tones as i64).unwrap(), map);
                    let outlines = Outlines::of(map.plane(), resolution);
                    let stop_outs = StopOuts::of(map, &outlines, resolution, HandSpeed::default());
                    let mut bites = bites(tones);
                    bites.strip_kind = kind;
                    for tone in &mut bites.tones {
                        let total = tone.shown_total.0;
                        tone.shown_range = Some((Seconds(total * 0.9).by_hand(), Seconds(total * 1.1).by_hand()));
                    }
                    let settings = SheetSettings {
                        paper,
                        title: long.into(),
                        letter: "B".into(),
                        date: Some("27 November 2026".into()),
                        drying_min: Some(20.0),
                        ..SheetSettings::default()
                    };
                    each(&Job {
                        stop_outs: &stop_outs,
                        outlines: &outlines,
                        bites: &bites,
                        plate: &plate,
                        lines: None,
                        settings: &settings,
                    });
                }
            }
        }
    }

    /// The sheets that touch the plate or the bath, where a test asks for nothing else: the others have tests of their own.
    fn for_the_bench(settings: &SheetSettings) -> SheetSettings {
        let usual = settings.kinds == Kind::usual();
        let kinds = if usual { vec![Kind::StripPlan, Kind::Lift, Kind::StopOuts, Kind::Run] } else { settings.kinds.clone() };
        SheetSettings { kinds, ..settings.clone() }
    }

    pub(super) fn sheets(plate: &Plate, map: Plane<u8>, tones: i64, settings: &SheetSettings) -> Sheets {
        sheets_around(plate, map, Aside::default(), tones, settings)
    }

    pub(super) fn sheets_around(plate: &Plate, map: Plane<u8>, aside: Aside, tones: i64, settings: &SheetSettings) -> Sheets {
        let resolution = PxPerMm(2.0);
        let count = ToneCount::new(tones).unwrap();
        let (map, zones) = aside.applied(StepMap::new(count, map));
        let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), |zones| zones.plane()), resolution);
        let stop_outs = StopOuts::around(map, (aside, zones), &outlines, resolution, HandSpeed::default());
        Sheets::of(&stop_outs, &outlines, &bites(count.get()), plate, &for_the_bench(settings))
    }

    /// A resist over the right quarter of a map and an area by hand at its foot.
    pub(super) fn some_aside(map: &Plane<u8>) -> Aside {
        let (wide, high) = (map.width(), map.height());
        let (mut resist, mut by_hand) = (BitPlane::empty(wide, high), BitPlane::empty(wide, high));
        for y in 0..high {
            resist.set_stretch(y, wide * 3 / 4, wide);
            if y > high * 5 / 6 {
                by_hand.set_stretch(y, wide / 4, wide / 2);
            }
        }
        Aside::new(Some(resist), Some(by_hand))
    }

    /// Middle of all hatch, mm from the paper's left: pen of 0.25 mm within the plate, not in the legend's swatch.
    fn hatch_middle(sheet: &Sheet) -> f64 {
        let strokes = sheet.marks.iter().find_map(|mark| match mark {
            Mark::Strokes { pen, strokes } if *pen == Pen::solid(0.25) => Some(strokes),
            _ => None,
        });
        let strokes = strokes.unwrap();
        let length = |[a, b]: &[PagePoint; 2]| (a.x - b.x).hypot(a.y - b.y);
        strokes.iter().map(|stroke| (stroke[0].x + stroke[1].x) / 2.0 * length(stroke)).sum::<f64>()
            / strokes.iter().map(length).sum::<f64>()
    }

    pub(super) fn says(sheet: &Sheet, words: &str) -> bool {
        sheet.words().any(|line| line.contains(words))
    }

    #[test]
    fn a_traced_sheet_is_mirrored_and_says_so() {
        let (plate, map) = letter(160.0, 180.0);
        let made = sheets(&plate, map, 3, &SheetSettings::default());
        // Tone 1 has no area: one stop-out to paint, one run sheet, no empty sheet.
        assert_eq!(made.sheets.iter().map(|sheet| sheet.name.as_str()).collect::<Vec<_>>(), ["stop-out 1", "run sheet"]);
        let sheet = &made.sheets[0];
        assert!(hatch_middle(sheet) > 105.0, "the F's stem stands at the right");
        assert!(says(sheet, "PLATE VIEW") && says(sheet, "this side up: this sheet is mirrored") && !says(sheet, "PRINT VIEW"));
        assert!(says(&made.sheets[1], "nothing to paint (tone 1 has no area)"));
        assert!(made.notes.is_empty());
    }

    #[test]
    fn a_pressed_sheet_is_not_mirrored_and_a_guide_follows() {
        let (plate, map) = letter(160.0, 180.0);
        let made = sheets(&plate, map, 3, &SheetSettings { transfer: Transfer::Press, paper: Paper::Letter, ..SheetSettings::default() });
        assert_eq!(made.sheets.len(), 3);
        let (transfer, guide) = (&made.sheets[0], &made.sheets[1]);
        let middle = 215.9 / 2.0;
        assert!(hatch_middle(transfer) < middle && says(transfer, "PRINT VIEW") && says(transfer, "face down: this sheet is not mirrored"));
        assert!(hatch_middle(guide) > middle && says(guide, "PLATE VIEW") && says(guide, "uide for painting by eye"));
        // Mirrors of each other about the middle of the paper.
        approx::assert_abs_diff_eq!(hatch_middle(transfer) - middle, middle - hatch_middle(guide), epsilon = 0.5);
        approx::assert_abs_diff_eq!(transfer.page.width.0, 215.9, epsilon = 1e-9);
        approx::assert_abs_diff_eq!(transfer.page.height.0, 279.4, epsilon = 1e-9);
    }

    #[test]
    fn each_edge_is_drawn_once_and_by_its_lighter_side() {
        let plate = Plate::new(Millimetres(103.0), Millimetres(103.0), Millimetres(1.5)).unwrap();
        let map = Plane::from_fn(200, 200, |x, _| (x / 67).min(2) as u8);
        let made = sheets(&plate, map, 3, &SheetSettings::default());
        let edges = |sheet: &Sheet, pen: Pen| {
            let face = sheet.marks.iter().filter_map(|mark| match mark {
                Mark::Curve { pen: drawn, path, place } if *drawn == pen => Some((*place * &**path).control_box()),
                _ => None,
            });
            // An edge here runs the face's whole height.
            face.filter(|bounds| bounds.height() > 95.0).count()
        };
        let (solid, dashed) = (Pen::solid(0.35), Pen::dashed(0.18));
        // Stop-out 1: tone 0 against bare. Stop-out 2: tone 1 against bare, and dashed against what was covered.
        assert_eq!((edges(&made.sheets[0], solid), edges(&made.sheets[0], dashed)), (1, 0));
        assert_eq!((edges(&made.sheets[1], solid), edges(&made.sheets[1], dashed)), (1, 1));
    }

    #[test]
    fn a_plate_larger_than_the_paper_prints_on_tiles_that_say_all_a_sheet_says() {
        for (paper, width, height, count) in [
            (Paper::A4, 300.0, 400.0, 4),
            (Paper::A4, 400.0, 600.0, 8),
            (Paper::Letter, 300.0, 400.0, 4),
            (Paper::Letter, 400.0, 600.0, 8),
            (Paper::A4, 365.0, 540.0, 4),
            (Paper::A3, 300.0, 420.0, 2),
            (Paper::Tabloid, 400.0, 600.0, 3),
        ] {
            for transfer in [Transfer::Trace, Transfer::Press] {
                let (plate, map) = letter(width, height);
                let aside = some_aside(&map);
                let settings = SheetSettings { paper, transfer, letter: "B".into(), title: "Ice house".into(), ..SheetSettings::default() };
                let made = sheets_around(&plate, map, aside, 3, &settings);
                let uses = if transfer == Transfer::Press { 2 } else { 1 };
                assert_eq!(made.sheets.len(), 2 * uses * count + 1, "{width} × {height} on {paper:?}");
                assert!(made.notes[0].contains(&format!("on {count} sheets that overlap by 10 mm")), "{:?}", made.notes);
                for (index, sheet) in made.sheets.iter().enumerate() {
                    assert_legible(sheet);
                    assert!(says(sheet, &format!("sheet {} of {}", index + 1, made.sheets.len())));
                    if sheet.name.starts_with("run") {
                        continue;
                    }
                    let lift = sheet.name.starts_with("lift");
                    let numeral = if lift { "L" } else { "1" };
                    assert!(sheet.words().filter(|words| *words == numeral).count() == 2, "{}", sheet.name);
                    assert_eq!(says(sheet, "PRINT VIEW"), sheet.name.contains("transfer"));
                    // Columns break it into lines; nothing cuts it.
                    assert!(
                        sheet.words().collect::<Vec<_>>().join(" ").contains(EXAMPLE),
                        "{} of {width} × {height}, {paper:?}",
                        sheet.name
                    );
                    for wanted in ["row ", "column ", "join", if lift { "HERE" } else { "PAINT NOW" }] {
                        assert!(says(sheet, wanted), "{wanted} on {} of {width} × {height}, {paper:?}", sheet.name);
                    }
                }
                // The sentence may be broken into lines.
                let all = |sheet: &Sheet| sheet.words().collect::<Vec<_>>().join(" ");
                let diagonal = format!("diagonal is {} mm", plain(libm::hypot(width, height)));
                assert!(all(&made.sheets[0]).contains(&diagonal) && !all(&made.sheets[1]).contains(&diagonal), "{diagonal}");
            }
        }
    }

    #[test]
    fn times_from_the_example_strip_say_so_and_all_rows_are_there() {
        for (tones, pages) in [(10, 2), (16, 3)] {
            let (plate, map) = letter(160.0, 180.0);
            let made = sheets(&plate, map.map(|&tone| tone.min(1) * (tones as u8 - 1)), tones, &SheetSettings::default());
            let run: Vec<&Sheet> = made.sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet")).collect();
            assert_eq!(run.len(), pages);
            assert!(run.iter().all(|sheet| says(sheet, EXAMPLE)));
            for number in 1..tones {
                let rows = [format!("PAINT {number}"), format!("BITE {number}")];
                assert!(rows.iter().all(|row| run.iter().any(|sheet| sheet.words().any(|words| words == row))), "{rows:?}");
            }
        }
    }

    /// Nothing smaller than 9 points, thinner than 0.18 mm or off the paper.
    pub(super) fn assert_legible(sheet: &Sheet) {
        let (wide, high) = (sheet.page.width.0, sheet.page.height.0);
        let on = |point: &PagePoint| point.x > 3.0 && point.y > 3.0 && point.x < wide - 3.0 && point.y < high - 3.0;
        legible(sheet, &sheet.marks, &on);
    }

    fn legible(sheet: &Sheet, marks: &[Mark], on: &dyn Fn(&PagePoint) -> bool) {
        let wide = sheet.page.width.0;
        for mark in marks {
            match mark {
                Mark::Text(text) => {
                    let long = crate::type_face::TypeFace::of(text.weight).width(&text.words, text.size).0;
                    assert!(text.size >= 9.0 && on(&text.at), "{text:?}");
                    let to = match text.align {
                        Align::Start => long,
                        Align::Middle => long / 2.0,
                        Align::End => -long,
                    };
                    let end =
                        if text.upwards { PagePoint::new(text.at.x, text.at.y - to) } else { PagePoint::new(text.at.x + to, text.at.y) };
                    assert!(on(&end), "{text:?} on {} of {wide}", sheet.name);
                }
                Mark::Strokes { pen, strokes } => assert!(pen.width.0 >= 0.18 && strokes.iter().flatten().all(on), "{mark:?}"),
                Mark::Line { pen, points, .. } => assert!(pen.width.0 >= 0.18 && points.iter().all(on), "{mark:?}"),
                Mark::Curve { pen, .. } => assert!(pen.width.0 >= 0.18),
                Mark::Dots { centres, .. } => assert!(centres.iter().all(on)),
                // What lies past the box is not drawn.
                Mark::Within { clip, marks } => {
                    assert!(clip.corners().iter().all(on));
                    legible(sheet, marks, &|_| true);
                }
                Mark::Blank(_) | Mark::Grey { .. } => {}
                Mark::Photo { of, .. } => assert!(of.corners().iter().all(on)),
            }
        }
    }

    #[test]
    fn nothing_is_set_smaller_than_9_points_drawn_thinner_than_0_18_mm_or_off_the_paper() {
        for (width, height) in [(160.0, 180.0), (60.0, 80.0), (120.0, 250.0), (240.0, 150.0), (190.0, 255.0), (5.0, 5.0)] {
            for (transfer, set_aside) in
                [(Transfer::Trace, false), (Transfer::Trace, true), (Transfer::Press, false), (Transfer::Press, true)]
            {
                let (plate, map) = letter(width, height);
                let aside = if set_aside { some_aside(&map) } else { Aside::default() };
                let words = "Eine Platte mit einem sehr langen Titel, der auf keinen Rand der Welt paßt und trotzdem gesetzt wird";
                let settings = SheetSettings {
                    transfer,
                    title: words.into(),
                    letter: "B".into(),
                    date: Some(words.into()),
                    ..SheetSettings::default()
                };
                sheets_around(&plate, map, aside, 3, &settings).sheets.iter().for_each(assert_legible);
            }
        }
    }

    #[test]
    fn a_lift_comes_first_says_that_it_opens_and_has_a_frame_that_no_stop_out_has() {
        for (transfer, names) in [
            (Transfer::Trace, &["lift", "stop-out 1", "run sheet"][..]),
            (Transfer::Press, &["lift, transfer", "lift, guide", "stop-out 1, transfer", "stop-out 1, guide", "run sheet"]),
        ] {
            let (plate, map) = letter(160.0, 180.0);
            let aside = some_aside(&map);
            let made = sheets_around(&plate, map, aside, 3, &SheetSettings { transfer, ..SheetSettings::default() });
            assert_eq!(made.sheets.iter().map(|sheet| sheet.name.as_str()).collect::<Vec<_>>(), names);
            assert!(says(&made.sheets[0], &format!("sheet 1 of {}", names.len())));
            let frames = |sheet: &Sheet| {
                let heavy = |mark: &&Mark| matches!(mark, Mark::Line { pen, closed: true, .. } if pen.width.0 >= 0.7);
                sheet.marks.iter().filter(heavy).count()
            };
            for sheet in &made.sheets[..names.len() - 1] {
                let lift = sheet.name.starts_with("lift");
                assert_eq!(frames(sheet), usize::from(lift));
                assert_eq!((says(sheet, "OPENS"), says(sheet, "PAINT NOW"), says(sheet, "LEAVE BARE")), (lift, !lift, !lift));
                assert!(says(sheet, "RESIST") && says(sheet, "HAND") != lift);
            }
            assert!(says(&made.sheets[names.len() - 1], "fixed resist laid first"));
        }
    }

    #[test]
    fn letters_that_print_as_boxes_are_said() {
        let (plate, map) = letter(160.0, 180.0);
        let made = sheets(&plate, map, 3, &SheetSettings { title: "氷 house, Лёд".into(), ..SheetSettings::default() });
        assert_eq!(made.notes.len(), 1);
        assert!(made.notes[0].contains("no 氷:"));
    }

    #[test]
    fn equal_plans_give_equal_bytes() {
        let make = || {
            let (plate, map) = letter(160.0, 180.0);
            pdf(&sheets(&plate, map, 3, &SheetSettings::default()))
        };
        assert_eq!(make(), make());
    }
}
