//! What the sheets say, read back by poppler: every time on cover, run sheet and look sheet is the plan's, and stands beside the tone or bite it
//! belongs to; without a strip, and after a STOP, no page holds a time, nor does any file of the ZIP; and no page uses words that this project
//! keeps clear of.

#![allow(clippy::unwrap_used, reason = "where this can't go on, it fails there and says so")]

use std::path::Path;
use stepbite_core::archive::zipped;
use stepbite_core::aside::{Aside, Zones};
use stepbite_core::bath::pairs::{Judgement, Named, judged};
use stepbite_core::bites::{self, BitePlan};
use stepbite_core::curve::BiteCurve;
use stepbite_core::folder::Folder;
use stepbite_core::hand::Path as HandPath;
use stepbite_core::light::Lightness;
use stepbite_core::lines::{LineSettings, Lines, found};
use stepbite_core::outline::Outlines;
use stepbite_core::pdf::pdf;
use stepbite_core::plane::Plane;
use stepbite_core::plate::Plate;
use stepbite_core::regions::Mark;
use stepbite_core::report::PlanReport;
use stepbite_core::resist::Resist;
use stepbite_core::sheets::{Job, Kind, Paper, SheetSet, SheetSettings, Sheets, Transfer};
use stepbite_core::stopouts::{HandSpeed, StopOuts};
use stepbite_core::strip::TestStrip;
use stepbite_core::strip_plan::{Asked, StripPlan};
use stepbite_core::tones::{Breaks, StepMap, Targets, ToneCount};
use stepbite_core::units::{Millimetres, PxPerMm};
use stepbite_core::view::View;
use stepbite_tests::made;
use stepbite_tests::print_words::{self, PrintWord};

fn read(program: &str, arguments: &[&str], directory: &Path) -> String {
    String::from_utf8(made(program, arguments, directory)).unwrap()
}

/// A measured strip of the demo.
fn measured() -> TestStrip {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference/data/strips/strip-14-b.csv");
    TestStrip::from_csv("14-B", &std::fs::read_to_string(path).unwrap()).unwrap()
}

fn zinc_in_ferric() -> Judgement {
    let judged = judged(Named { metal: Some("zinc"), mordant: Some("ferric chloride"), before: None });
    assert!(judged.stops());
    judged
}

/// A plan with everything a sheet may tell of: bands of all tones with round islands, a resist, an area by hand, one etched line.
struct Whole {
    plate: Plate,
    stop_outs: StopOuts,
    outlines: Outlines,
    bites: BitePlan,
    lines: Lines,
}

impl Whole {
    fn of((width, height): (f64, f64), tones: i64, strip: &TestStrip) -> Self {
        let plate = Plate::new(Millimetres(width), Millimetres(height), Millimetres(1.5)).unwrap();
        let resolution = PxPerMm(4.0);
        let (wide, high) = plate.raster(resolution).unwrap();
        let count = ToneCount::new(tones).unwrap();
        let map = Plane::from_fn(wide, high, |x, y| {
            let round = ((x % 100) as f64 - 50.0).hypot((y % 100) as f64 - 50.0) < 20.0;
            ((y * tones as usize / high + usize::from(round)) % tones as usize) as u8
        });
        let map = StepMap::new(count, map);
        let path = |text: &str| HandPath::try_from(text.to_owned()).unwrap();
        let resist = Resist::Drawn { shapes: vec![path("10,10 100,10 100,120 10,120")], open_inside: true };
        let by_hand = Resist::Drawn { shapes: vec![path("40,40 60,40 60,60 40,60")], open_inside: false };
        let covered = |shape: &Resist| Some(shape.covered(&map, resolution).unwrap());
        let aside = Aside::new(covered(&resist), covered(&by_hand));
        let (map, zones) = aside.applied(map);
        let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), Zones::plane), resolution);
        let stop_outs = StopOuts::around(map, (aside, zones), &outlines, resolution, HandSpeed::default());
        let curve = BiteCurve::of(strip);
        let targets = bites::targets(count, &curve, Targets::RESERVE).unwrap();
        let bites = bites::plan(&targets, &curve, strip).unwrap().ranged(&curve, 200);
        let drawn = Plane::from_fn(wide, high, |x, y| if (60..62).contains(&x) && (60..260).contains(&y) { 15.0 } else { 85.0 });
        let lines = found(&drawn, resolution, Mark::default(), LineSettings::default());
        assert!(lines.plane.count() > 0);
        Self { plate, stop_outs, outlines, bites, lines }
    }

    fn sheets(&self, settings: &SheetSettings) -> Sheets {
        let job = Job {
            stop_outs: &self.stop_outs,
            outlines: &self.outlines,
            bites: &self.bites,
            plate: &self.plate,
            lines: Some(&self.lines),
            settings,
        };
        SheetSet::of(job).draw(&mut |_| ())
    }
}

fn everything(paper: Paper, transfer: Transfer) -> SheetSettings {
    SheetSettings {
        paper,
        transfer,
        kinds: Kind::ALL.to_vec(),
        title: "Ice house".into(),
        letter: "B".into(),
        date: Some("27 November 2026".into()),
        drying_min: Some(20.0),
        hinge: true,
        ..SheetSettings::default()
    }
}

/// A word on a page: its left edge and middle, mm.
#[derive(Clone, Debug)]
struct Word {
    x: f64,
    y: f64,
    text: String,
}

impl Word {
    /// The seconds it says, where it is a time on a clock.
    fn seconds(&self) -> Option<f64> {
        clock(&self.text)
    }
}

/// Seconds of m:ss or h:mm:ss.
fn clock(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.split(':').collect();
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if !(2..=3).contains(&parts.len()) || !parts.iter().all(|part| digits(part)) || parts[1..].iter().any(|part| part.len() != 2) {
        return None;
    }
    parts.iter().try_fold(0.0, |sum, part| Some(sum * 60.0 + part.parse::<f64>().ok()?))
}

/// The words of every page, as poppler finds them.
fn pages(sheets: &Sheets) -> Vec<Vec<Word>> {
    let word = |word: PrintWord| Word { x: word.x[0], y: word.middle()[1], text: word.text };
    let pages: Vec<Vec<Word>> = print_words::of_sheets(sheets).into_iter().map(|page| page.into_iter().map(word).collect()).collect();
    assert_eq!(pages.len(), sheets.sheets.len());
    pages
}

/// The pages whose sheet has a name that begins so.
fn named<'a>(sheets: &Sheets, pages: &'a [Vec<Word>], name: &str) -> Vec<&'a [Word]> {
    let of = sheets.sheets.iter().zip(pages).filter(|(sheet, _)| sheet.name.starts_with(name));
    let found: Vec<&[Word]> = of.map(|(_, words)| words.as_slice()).collect();
    assert!(!found.is_empty(), "there is a {name}");
    found
}

/// Every word that follows another, such as the number after "BITE".
fn after<'a>(words: &'a [Word], first: &'a str) -> impl Iterator<Item = (&'a Word, &'a Word)> {
    words.windows(2).filter(move |pair| pair[0].text == first).map(|pair| (&pair[0], &pair[1]))
}

#[test]
fn every_time_on_cover_run_sheet_and_look_sheet_is_the_plans() {
    let strip = measured();
    for (paper, size, tones) in [
        (Paper::A4, (160.0, 180.0), 10),
        (Paper::Letter, (240.0, 150.0), 6),
        (Paper::A3, (160.0, 180.0), 16),
        (Paper::A4, (300.0, 400.0), 3),
    ] {
        let whole = Whole::of(size, tones, &strip);
        let kinds = vec![Kind::Cover, Kind::Run, Kind::Look];
        let sheets = whole.sheets(&SheetSettings { kinds, ..everything(paper, Transfer::Trace) });
        let pages = pages(&sheets);
        let plan = &whole.bites.tones;
        let last = plan.last().unwrap().shown_total.0;

        // Cover: all bites together, large; then a row a tone with its total and, right of it, what the clock is set to.
        let cover: Vec<&Word> = named(&sheets, &pages, "cover").concat_refs();
        let told: Vec<&&Word> = cover.iter().filter(|word| word.seconds().is_some()).collect();
        assert_eq!(told.len(), 1 + 2 * (plan.len() - 1), "{told:?}");
        assert_eq!(told[0].seconds(), Some(last));
        for (tone, pair) in plan.iter().skip(1).zip(told[1..].chunks(2)) {
            assert!((pair[0].y - pair[1].y).abs() < 0.5 && pair[0].x < pair[1].x);
            assert_eq!((pair[0].seconds(), pair[1].seconds()), (Some(tone.shown_total.0), Some(tone.set.0)));
        }

        // Run sheet: in each row of a bite the clock, the total, its range, and a first look before the clock ends.
        let (mut bites, mut sum, mut all) = (0, 0.0, 0);
        for page in named(&sheets, &pages, "run sheet") {
            let mut rows: Vec<(usize, f64)> =
                after(page, "BITE").filter_map(|(word, number)| Some((number.text.parse().ok()?, word.y))).collect();
            rows.sort_by(|a, b| a.1.total_cmp(&b.1));
            all += page.iter().filter(|word| word.seconds().is_some()).count();
            for (number, y) in rows {
                let tone = &plan[number];
                let mut here: Vec<f64> = page.iter().filter(|word| (word.y - y).abs() < 7.5).filter_map(Word::seconds).collect();
                let wanted = [Some(tone.set.0), Some(tone.shown_total.0), tone.shown_range.map(|r| r.0.0), tone.shown_range.map(|r| r.1.0)];
                let mut count = 0;
                for time in wanted.into_iter().flatten() {
                    let at = here.iter().position(|&said| said == time);
                    here.swap_remove(at.unwrap_or_else(|| panic!("{time} s beside BITE {number}: {here:?}")));
                    count += 1;
                }
                // What is left is the first look.
                assert!(here.len() <= 1 && here.iter().all(|&look| look > 0.0 && look < tone.set.0), "{here:?} beside BITE {number}");
                all -= count + here.len();
                bites += 1;
                sum += tone.set.0;
                assert!((sum - tone.shown_total.0).abs() < 1e-9, "totals are the sum of the bites");
            }
        }
        assert_eq!((bites, all), (plan.len() - 1, 0), "every bite has its row, and no time stands elsewhere");

        // Look sheet: under each tone's name its total.
        let mut totals = 0;
        for page in named(&sheets, &pages, "look sheet") {
            for time in page.iter().filter(|word| word.seconds().is_some()) {
                let over = after(page, "tone").filter(|(word, _)| word.x <= time.x && (2.0..9.0).contains(&(time.y - word.y)));
                let (_, number) = over.max_by(|a, b| a.0.x.total_cmp(&b.0.x).then(a.0.y.total_cmp(&b.0.y))).unwrap();
                let tone: usize = number.text.trim_end_matches(':').parse().unwrap();
                assert_eq!(time.seconds(), Some(plan[tone].shown_total.0), "tone {tone}");
                totals += 1;
            }
        }
        assert_eq!(totals, plan.len() - 1);
    }
}

/// All words of some pages in one row.
trait ConcatRefs<'a> {
    fn concat_refs(self) -> Vec<&'a Word>;
}

impl<'a> ConcatRefs<'a> for Vec<&'a [Word]> {
    fn concat_refs(self) -> Vec<&'a Word> {
        self.into_iter().flatten().collect()
    }
}

/// What in a running text is a time: a clock's, or a figure before a unit of seconds.
fn times_in(words: &[&str]) -> Vec<String> {
    let bare = |word: &str| word.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    let unit = |word: &str| matches!(bare(word).as_str(), "s" | "sec" | "second" | "seconds");
    let figure = |word: &str| bare(word).parse::<f64>().is_ok();
    let clocks =
        words.iter().filter(|word| clock(word.trim_matches(|c: char| !c.is_ascii_digit())).is_some()).map(|word| (*word).to_owned());
    let figures = words.windows(2).filter(|pair| figure(pair[0]) && unit(pair[1])).map(|pair| pair.join(" "));
    clocks.chain(figures).collect()
}

fn texts(page: &[Word]) -> Vec<&str> {
    page.iter().map(|word| word.text.as_str()).collect()
}

#[test]
fn without_a_strip_or_after_a_stop_no_page_holds_a_time() {
    for (strip, stop) in [(TestStrip::missing(), false), (measured(), true), (TestStrip::example(), true), (TestStrip::missing(), true)] {
        for (paper, transfer, size) in [(Paper::A4, Transfer::Trace, (160.0, 180.0)), (Paper::Letter, Transfer::Press, (300.0, 400.0))] {
            let whole = Whole::of(size, 6, &strip);
            // Dips of a strip to bite are times of their own; after a STOP they are not printed either.
            let plan = stop.then(|| StripPlan::of(Asked::default()).unwrap());
            let settings = SheetSettings { judged: stop.then(zinc_in_ferric), strip_plan: plan, ..everything(paper, transfer) };
            let sheets = whole.sheets(&settings);
            assert_eq!(sheets.sheets.iter().any(|sheet| sheet.name.starts_with("run sheet")), !stop);
            for (sheet, page) in sheets.sheets.iter().zip(pages(&sheets)) {
                let words = texts(&page);
                assert!(!words.is_empty());
                assert_eq!(times_in(&words), Vec::<String>::new(), "on {} ({stop})", sheet.name);
                let missing = whole.bites.strip_kind == stepbite_core::strip::StripKind::Missing;
                assert!(!missing || !words.contains(&"L*"), "a target without a strip on {}", sheet.name);
            }
        }
    }
    // The same sheets with a strip do hold times.
    let sheets = Whole::of((160.0, 180.0), 6, &measured()).sheets(&everything(Paper::A4, Transfer::Trace));
    assert!(pages(&sheets).iter().any(|page| times_in(&texts(page)).len() > 10));
    assert_eq!(times_in(&["total", "1:05,", "set", "40", "s.", "(7", "seconds)"]), ["1:05,", "40 s.", "(7 seconds)"]);
    assert!(times_in(&["sheet", "2", "of", "9", "12", "min", "1:8", "s"]).is_empty());
}

#[test]
fn after_a_stop_no_file_of_the_zip_holds_a_time() {
    let stop = zinc_in_ferric();
    let whole = Whole::of((160.0, 180.0), 4, &measured());
    let breaks = Breaks::new([75.0, 50.0, 25.0].map(Lightness).to_vec()).unwrap();
    for judged in [None, Some(&stop)] {
        let sheets = whole.sheets(&SheetSettings { judged: judged.cloned(), ..everything(Paper::A4, Transfer::Trace) });
        let sheets = pdf(&sheets);
        let folder = Folder {
            plate: &whole.plate,
            stop_outs: &whole.stop_outs,
            outlines: &whole.outlines,
            bites: &whole.bites,
            report: PlanReport::of(&whole.plate, &breaks, &whole.stop_outs, &whole.bites, Vec::new()),
            sheets: &sheets,
            title: "Ice house",
            letter: "B",
            date: None,
            judged,
            pulls: None,
            dips: &[],
            view: View::Print,
        };
        let directory = tempfile::tempdir().unwrap();
        std::fs::write(directory.path().join("plan.zip"), zipped(&folder.files(&mut |_| ())).unwrap()).unwrap();
        read("unzip", &["-q", "plan.zip"], directory.path());
        let file = |name: &str| std::fs::read_to_string(directory.path().join(name)).unwrap();
        let plan: serde_json::Value = serde_json::from_str(&file("plan.json")).unwrap();
        let named = ["total_s", "bite_s", "set_s", "range_s"];
        let told = plan["tones"].as_array().unwrap().iter().flat_map(|tone| named.map(|name| !tone[name].is_null()));
        assert_eq!(told.filter(|told| *told).count() > 0, judged.is_none());
        let table = file("plan.csv");
        let mut table = csv::Reader::from_reader(table.as_bytes());
        let head = table.headers().unwrap().clone();
        let cells = table.records().flat_map(|row| {
            let row = row.unwrap();
            let seconds = head.iter().zip(&row).filter(|(name, cell)| name.ends_with("_s") && !cell.is_empty());
            seconds.map(|(_, cell)| cell.to_owned()).collect::<Vec<_>>()
        });
        assert_eq!(cells.count() > 0, judged.is_none());
        let pages = read("pdftotext", &["sheets.pdf", "-"], directory.path());
        for text in [file("read-me.txt"), file("stopouts.svg"), pages, plan["notes"].to_string()] {
            let words: Vec<&str> = text.split_whitespace().collect();
            if judged.is_some() {
                assert_eq!(times_in(&words), Vec::<String>::new());
            }
        }
    }
}

/// Words that this project keeps clear of: "step" alone, which means nothing here; advice where the printer decides; a light table under metal.
fn offences(words: &[&str]) -> Vec<String> {
    let low: Vec<String> = words.iter().map(|word| word.to_lowercase().trim_matches(|c: char| !c.is_alphanumeric()).to_owned()).collect();
    let mut found = Vec::new();
    for (at, word) in low.iter().enumerate() {
        let next = low.get(at + 1).map_or("", String::as_str);
        let bad = match word.as_str() {
            "step" | "steps" => next != "map",
            "light" => matches!(next, "table" | "box"),
            "lightbox" => true,
            _ => word.starts_with("recommend"),
        };
        if bad {
            found.push(format!("{word} {next}"));
        }
    }
    found
}

#[test]
fn no_page_of_any_kind_says_step_alone_or_recommends() {
    for strip in [TestStrip::example(), TestStrip::missing(), measured()] {
        for (paper, transfer, size) in [
            (Paper::A4, Transfer::Trace, (160.0, 180.0)),
            (Paper::A3, Transfer::Press, (240.0, 150.0)),
            (Paper::Letter, Transfer::Press, (300.0, 400.0)),
        ] {
            let whole = Whole::of(size, 5, &strip);
            let sheets = whole.sheets(&everything(paper, transfer));
            for kind in ["cover", "cut-out frame", "etched lines", "lift", "key", "stop-out", "run sheet", "look sheet", "pull record"] {
                assert!(sheets.sheets.iter().any(|sheet| sheet.name.starts_with(kind)), "{kind} is among them");
            }
            for (sheet, page) in sheets.sheets.iter().zip(pages(&sheets)) {
                let words = texts(&page);
                assert_eq!(offences(&words), Vec::<String>::new(), "on {}", sheet.name);
                let painted = words.iter().any(|word| word.to_uppercase().contains("PAINT"));
                // What opens or is only laid into place is never painted with varnish.
                assert!(
                    !painted || !["etched lines", "cut-out frame"].iter().any(|kind| sheet.name.starts_with(kind)),
                    "{}: {words:?}",
                    sheet.name
                );
            }
        }
    }
    assert_eq!(offences(&["Step", "5", "is", "recommended:", "light", "table", "steps."]).len(), 4);
    assert!(offences(&["the", "step", "map,", "light", "lines"]).is_empty());
}
