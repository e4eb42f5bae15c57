//! The run sheet of all plates: a row for each piece of the hands' work in the order of time, a column for each plate, and where to write what it
//! really was.

use super::Job;
use super::frame::{HAIR, HEAVY, LINE, tick_box};
use super::heading::{HEAD, PAD, head};
use super::layout::{fitted, line_height};
use super::mark::{Align, PageBox, Sheet};
use super::run_frame::{SIGN_OFF, banner, banner_in, pair, pair_height, sign_off};
use super::run_rows::blank;
use crate::shared_day::{Days, Plates, Work};
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, Seconds};

/// Plates that stand beside one another on a page; more of them have pages of their own.
const BESIDE: usize = 6;
/// Height of the words under the table, mm, and of what is above them: who checked it, and whom to reach.
const FOOT: f64 = 15.0 + SIGN_OFF + 7.5;
/// The banner over the table where the times are not the printer's own, mm.
const BANNER: f64 = 15.0;
/// Height of the columns' heads, mm.
const LETTERS: f64 = 9.0;
/// Least height of a row: a painting, a dip, a night, mm.
const PAINT: f64 = 7.4;
const DIP: f64 = 12.6;
const NIGHT: f64 = 11.0;
/// Width of what stands before and behind the plates' columns, mm.
const BEFORE: f64 = 27.0;
const BEHIND: f64 = 62.0;

/// What one plate has while the hands are at a piece of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Cell {
    /// Its stop-out is painted.
    Paint(usize),
    /// It goes into the bath: first and last bite of the ladder.
    Dip(usize, usize),
    /// Its varnish dries.
    Dry,
    /// It is dry and waits.
    Waits,
    /// Rinsed, its next stop-out not painted, or nothing done to it yet.
    Rests,
    /// It has left the bath.
    Out,
}

/// A piece of the hands' work, or a night.
#[derive(Clone, Debug, PartialEq)]
struct Row {
    /// Its place in the whole, from 1; 0: a night.
    number: usize,
    /// Minutes from the first day's midnight.
    at: f64,
    cells: Vec<Cell>,
    /// What the clock of a dip is set to.
    set: Option<Seconds>,
    /// Of a night.
    said: String,
}

impl Row {
    fn height(&self) -> f64 {
        match (self.number, self.set) {
            (0, _) => NIGHT,
            (_, Some(_)) => DIP,
            _ => PAINT,
        }
    }

    fn is_of(&self, plates: &std::ops::Range<usize>) -> bool {
        self.number == 0 || plates.clone().any(|plate| matches!(self.cells.get(plate), Some(Cell::Paint(_) | Cell::Dip(..))))
    }
}

/// All plates of a family and their day, as the sheet shows them.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    letters: Vec<String>,
    rows: Vec<Row>,
    many_days: bool,
    /// Plates of which it is not decided how to go on: their dips have no times.
    undecided: Vec<usize>,
}

impl Together {
    /// The rows of a day; none where one plate has nothing to be held together with, or nothing is left to do.
    #[must_use]
    pub fn of(plates: &Plates, days: &Days) -> Option<Self> {
        if plates.turns.len() < 2 || days.tasks.is_empty() {
            return None;
        }
        let mut done = vec![0; plates.turns.len()];
        // When the varnish is dry; none: not painted.
        let mut dry: Vec<Option<f64>> =
            plates.turns.iter().map(|turns| turns.first().filter(|turn| turn.stop_out.is_none()).map(|_| 0.0)).collect();
        let mut rows: Vec<Row> = Vec::new();
        let mut at = 0;
        while let Some(first) = days.tasks.get(at) {
            // Dips of no length, where nobody knows it yet, begin where another begins and are none together.
            let lasts = first.work == Work::Bite && first.lifted > first.from + 1e-6;
            let one_dip = |task: &&crate::shared_day::Task| lasts && task.work == Work::Bite && (task.from - first.from).abs() < 1e-6;
            let group = &days.tasks[at..at + 1 + days.tasks[at + 1..].iter().take_while(one_dip).count()];
            at += group.len();
            let cells = (0..done.len()).map(|plate| match plates.turns[plate].get(done[plate]) {
                None => Cell::Out,
                Some(turn) => match group.iter().find(|task| task.plate == plate) {
                    Some(task) if task.work == Work::Paint => Cell::Paint(turn.stop_out.unwrap_or(*turn.bites.start())),
                    Some(_) => Cell::Dip(*turn.bites.start(), *turn.bites.end()),
                    None => match dry[plate] {
                        None => Cell::Rests,
                        Some(until) if until > first.from + 1e-6 => Cell::Dry,
                        Some(_) => Cell::Waits,
                    },
                },
            });
            let set = plates.turns[first.plate].get(done[first.plate]).filter(|_| first.work == Work::Bite).map(|turn| turn.round.bite);
            rows.push(Row { number: rows.len() + 1, at: first.from, cells: cells.collect(), set, said: String::new() });
            for task in group {
                let turn = plates.turns[task.plate].get(done[task.plate]);
                match task.work {
                    Work::Paint => dry[task.plate] = Some(task.to + turn.map_or(0.0, |turn| turn.round.dry.0 / 60.0)),
                    Work::Bite => {
                        done[task.plate] += 1;
                        dry[task.plate] = None;
                    }
                }
            }
        }
        // Numbers are those of the work; nights stand between.
        for night in &days.nights {
            let place = rows.iter().position(|row| row.at >= night.to - 1e-6).unwrap_or(rows.len());
            rows.insert(place, Row { number: 0, at: night.from, cells: Vec::new(), set: None, said: night.said.clone() });
        }
        Some(Self { letters: plates.letters.clone(), rows, many_days: !days.nights.is_empty(), undecided: plates.undecided.clone() })
    }

    /// Groups of plates beside one another.
    fn groups(&self) -> Vec<std::ops::Range<usize>> {
        let count = self.letters.len();
        // As many in each as in the others, or nearly.
        let groups = count.div_ceil(BESIDE).max(1);
        (0..groups).map(|group| group * count / groups..(group + 1) * count / groups).collect()
    }
}

/// The rows of a page and the plates that it shows.
type Page<'a> = (std::ops::Range<usize>, Vec<&'a Row>);

fn table(job: &Job) -> PageBox {
    let page = job.settings.paper.size();
    let top = PAD + HEAD + if banner(job).is_some() { BANNER } else { 0.0 } + LETTERS + 4.0;
    PageBox::new(PAD, top, page.width.0 - 2.0 * PAD, page.height.0 - PAD - FOOT - pair_height(job) - top)
}

fn paged<'a>(job: &Job, of: &'a Together) -> Vec<Page<'a>> {
    let room = table(job).height;
    let mut pages: Vec<Page<'a>> = Vec::new();
    for plates in of.groups() {
        let mut left = 0.0;
        for row in of.rows.iter().filter(|row| row.is_of(&plates)) {
            if row.height() > left {
                pages.push((plates.clone(), Vec::new()));
                left = room;
            }
            left -= row.height();
            if let Some((_, rows)) = pages.last_mut() {
                rows.push(row);
            }
        }
    }
    pages
}

/// How many pages it takes; after a STOP none.
pub(super) fn pages(job: &Job) -> usize {
    job.settings.together.as_ref().filter(|_| job.stop().is_none()).map_or(0, |of| paged(job, of).len())
}

/// Page `index` (from 0), as sheet `page` of `all`.
pub(super) fn sheet(job: &Job, index: usize, page: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("run sheet of all plates", job.settings.paper.size());
    let Some(of) = &job.settings.together else { return sheet };
    let pages = paged(job, of);
    if pages.len() > 1 {
        sheet.name = format!("run sheet of all plates {} of {}", index + 1, pages.len());
    }
    head(&mut sheet, job, "All plates", page);
    let wide = sheet.page.width.0 - 2.0 * PAD;
    banner_in(&mut sheet, job, PageBox::new(PAD, PAD + HEAD - 1.0, wide, BANNER - 3.0));
    let Some((plates, rows)) = pages.get(index) else { return sheet };
    let table = table(job);
    let columns = Columns { table, plates: plates.clone(), wide: (table.width - BEFORE - BEHIND) / plates.len().max(1) as f64 };
    heads(&mut sheet, of, &columns);
    let mut y = table.y;
    for row in rows {
        let of_row = PageBox::new(table.x, y, table.width, row.height());
        match (row.number, row.set) {
            (0, _) => night(&mut sheet, row, of_row),
            _ => work(&mut sheet, job, of, row, (&columns, of_row)),
        }
        y = of_row.foot();
    }
    sheet.stroke(LINE, (table.x, y), (table.right(), y));
    for column in 0..=plates.len() {
        let x = table.x + BEFORE + columns.wide * column as f64;
        // A night's words go across.
        let mut from = table.y;
        let mut at = table.y;
        for row in rows {
            let to = at + row.height();
            if row.number == 0 {
                sheet.stroke(HAIR, (x, from), (x, at));
                from = to;
            }
            at = to;
        }
        sheet.stroke(HAIR, (x, from), (x, at));
    }
    let foot_top = sheet.page.height.0 - PAD - FOOT - pair_height(job);
    pair(&mut sheet, job, (table.x, foot_top), table.width);
    foot(&mut sheet);
    sheet
}

/// Where the plates' columns stand.
struct Columns {
    table: PageBox,
    plates: std::ops::Range<usize>,
    wide: f64,
}

impl Columns {
    fn of(&self, plate: usize, row: &PageBox) -> PageBox {
        PageBox::new(self.table.x + BEFORE + self.wide * (plate - self.plates.start) as f64, row.y, self.wide, row.height)
    }
}

fn heads(sheet: &mut Sheet, of: &Together, columns: &Columns) {
    let table = columns.table;
    let base = table.y - 2.2;
    sheet.text(Weight::Regular, 9.0, Align::Start, (table.x, base), "no.");
    sheet.text(Weight::Regular, 9.0, Align::Start, (table.x + 17.0, base), "about");
    for plate in columns.plates.clone() {
        let letter = of.letters.get(plate).map_or("", String::as_str);
        let (size, letter) = fitted(Weight::Semibold, letter, &[22.0, 18.0, 14.0, 11.0, 9.0], columns.wide - 2.0);
        let cell = columns.of(plate, &table);
        sheet.text(Weight::Semibold, size, Align::Middle, (cell.x + cell.width / 2.0, base), letter);
    }
    sheet.text(Weight::Regular, 9.0, Align::Start, (table.right() - BEHIND + 3.0, base), "what it really was");
}

fn night(sheet: &mut Sheet, row: &Row, of: PageBox) {
    sheet.stroke(HEAVY, (of.x, of.y), (of.right(), of.y));
    let lines = TypeFace::of(Weight::Regular).wrap(&row.said, 9.0, Millimetres(of.width - 18.0));
    sheet.text(Weight::Semibold, 10.0, Align::Start, (of.x, of.y + 4.6), "NIGHT");
    for (index, line) in lines.iter().take(2).enumerate() {
        sheet.text(Weight::Regular, 9.0, Align::Start, (of.x + 18.0, of.y + 4.6 + index as f64 * line_height(9.0)), line.as_str());
    }
}

fn work(sheet: &mut Sheet, job: &Job, of: &Together, row: &Row, (columns, place): (&Columns, PageBox)) {
    sheet.stroke(LINE, (place.x, place.y), (place.right(), place.y));
    let middle = place.y + place.height / 2.0;
    let down = |size: f64| middle + TypeFace::of(Weight::Regular).cap_height(size).0 / 2.0;
    sheet.text(Weight::Regular, 9.0, Align::Start, (place.x, down(9.0)), row.number.to_string());
    tick_box(sheet, place.x + 8.4, middle, if row.set.is_some() { 7.0 } else { 5.0 });
    if super::has_times(job) {
        let day = libm::floor(row.at / 1440.0 + 1e-9);
        let minutes = libm::round(row.at - 1440.0 * day) as i64;
        let hour = format!("{}:{:02}", minutes / 60 % 24, minutes % 60);
        if of.many_days && row.set.is_some() {
            sheet.text(Weight::Regular, 9.0, Align::Start, (place.x + 17.0, middle - 0.8), format!("day {}", day as usize + 1));
            sheet.text(Weight::Regular, 9.0, Align::Start, (place.x + 17.0, middle + 3.6), hour);
        } else {
            sheet.text(Weight::Regular, 9.0, Align::Start, (place.x + 17.0, down(9.0)), hour);
        }
    }
    for plate in columns.plates.clone() {
        let cell = columns.of(plate, &place);
        let x = cell.x + cell.width / 2.0;
        let words = match row.cells.get(plate).copied().unwrap_or(Cell::Rests) {
            Cell::Paint(number) => {
                let (size, words) = fitted(Weight::Semibold, &format!("PAINT {number}"), &[11.0, 10.0, 9.0], cell.width - 2.0);
                sheet.text(Weight::Semibold, size, Align::Middle, (x, down(size)), words);
                continue;
            }
            Cell::Dip(first, last) => {
                dip(sheet, job, (first, last), (row.set, of.undecided.contains(&plate)), cell);
                continue;
            }
            Cell::Dry => "dry",
            Cell::Waits => "waits",
            Cell::Rests => "",
            Cell::Out => "out",
        };
        sheet.text(Weight::Regular, 9.0, Align::Middle, (x, down(9.0)), words);
    }
    let from = place.right() - BEHIND + 3.0;
    if row.set.is_some() {
        tick_box(sheet, from, middle, 6.4);
        sheet.text(Weight::Regular, 9.0, Align::Start, (from + 8.0, middle - 0.7), "back,");
        sheet.text(Weight::Regular, 9.0, Align::Start, (from + 8.0, middle + 3.5), "bevel");
        blank(sheet, 9.0, (from + 19.0, middle + 2.6), place.right(), "was in");
    } else {
        blank(sheet, 9.0, (from, down(9.0)), place.right(), "dry until");
    }
}

/// A plate goes in.
fn dip(sheet: &mut Sheet, job: &Job, (first, last): (usize, usize), (set, undecided): (Option<Seconds>, bool), cell: PageBox) {
    let inset = 0.9;
    sheet.frame(HEAVY, PageBox::new(cell.x + inset, cell.y + inset, cell.width - 2.0 * inset, cell.height - 2.0 * inset));
    let words = match last - first {
        0 => format!("BITE {last}"),
        1 => format!("BITE {first}+{last}"),
        _ => format!("BITE {first}–{last}"),
    };
    let x = cell.x + cell.width / 2.0;
    let (size, words) = fitted(Weight::Semibold, &words, &[10.0, 9.0], cell.width - 2.0 * inset - 1.0);
    sheet.text(Weight::Semibold, size, Align::Middle, (x, cell.y + inset + 4.0), words);
    let line = cell.foot() - inset - 1.6;
    match set.filter(|_| super::has_times(job)) {
        Some(_) if undecided => {
            let (size, words) = fitted(Weight::Semibold, "decide first", &[11.0, 10.0, 9.0], cell.width - 2.0 * inset - 1.0);
            sheet.text(Weight::Semibold, size, Align::Middle, (x, line), words);
        }
        Some(set) => {
            let (size, clock) = fitted(Weight::Semibold, &set.clock(), &[16.0, 14.0, 12.0, 10.0], cell.width - 2.0 * inset - 1.0);
            sheet.text(Weight::Semibold, size, Align::Middle, (x, line), clock);
        }
        None => sheet.stroke(HAIR, (cell.x + inset + 2.0, line), (cell.right() - inset - 2.0, line)),
    }
}

fn foot(sheet: &mut Sheet) {
    let (left, width) = (PAD, sheet.page.width.0 - 2.0 * PAD);
    let foot = sheet.page.height.0 - PAD;
    sign_off(sheet, PageBox::new(left, foot - 15.0 - SIGN_OFF - 0.5, width, SIGN_OFF));
    let lines = [
        (Weight::Semibold, "Hands stay at the bath through every bite; no two clocks run at once. Framed plates of one row share one dip."),
        (
            Weight::Regular,
            "Over by e: take e off that plate’s next bite. Under: put it back before anything is painted on it. Joined bites are one dip, with one restart.",
        ),
        (Weight::Regular, "The shop's own rules, the safety data sheets and local codes come before anything printed here."),
    ];
    for (index, (weight, words)) in lines.into_iter().enumerate() {
        let (size, words) = fitted(weight, words, &[10.0, 9.5, 9.0], width);
        sheet.text(weight, size, Align::Start, (left, foot - 10.0 + 5.0 * index as f64), words);
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, letter, says, sheets_by};
    use super::super::words_apart::faults;
    use super::super::{EXAMPLE, Kind, SheetSettings, Sheets};
    use super::*;
    use crate::bath::pairs::{Named, judged};
    use crate::day::Hours;
    use crate::plate::SizeMm;
    use crate::shared_day::{PlateTurn, Round, Tray, days};
    use crate::strip::StripKind;

    fn minutes(minutes: f64) -> Seconds {
        Seconds(60.0 * minutes)
    }

    /// So many plates; the third lacks tone 7, so that its bites 7 and 8 are one dip.
    fn family(count: usize, tray: Option<&Tray>, to: f64) -> Together {
        let plates = plates(count);
        let hours = Hours { start: 540.0, from: 540.0, to, dry: 25.0, rinse: 5.0, dry_overnight: false, slack: Seconds(2.0) };
        Together::of(&plates, &days(&plates, hours, tray, None).unwrap()).unwrap()
    }

    fn plates(count: usize) -> Plates {
        let sets = [7.0, 8.0, 10.0, 15.0, 25.0, 35.0, 55.0, 110.0, 295.0];
        let turn = |bites: std::ops::RangeInclusive<usize>| PlateTurn {
            stop_out: Some(*bites.start()),
            round: Round {
                paint: minutes(12.0),
                dry: minutes(25.0),
                bite: Seconds(bites.clone().map(|bite| sets[bite - 1]).sum()),
                rinse: minutes(5.0),
                air: Seconds(0.0),
            },
            bites,
            slope: -0.1,
        };
        let all = |plate: usize| match plate {
            2 => (1..=6).map(|bite| turn(bite..=bite)).chain([turn(7..=8), turn(9..=9)]).collect(),
            // The fourth leaves after tone 5.
            3 => (1..=5).map(|bite| turn(bite..=bite)).collect(),
            _ => (1..=9).map(|bite| turn(bite..=bite)).collect(),
        };
        Plates {
            letters: (0..count).map(|plate| char::from(b'A' + plate as u8).to_string()).collect(),
            sizes: vec![SizeMm { width: Millimetres(120.0), height: Millimetres(180.0) }; count],
            turns: (0..count).map(all).collect(),
            undecided: vec![],
        }
    }

    fn made(kind: StripKind, together: Together, stop: bool) -> Sheets {
        let (plate, map) = letter(160.0, 180.0);
        let mut bites = bites(10);
        bites.strip_kind = kind;
        let pair = judged(Named { metal: Some("aluminium"), mordant: Some("ferric chloride"), before: None });
        let settings = SheetSettings {
            kinds: vec![Kind::Together],
            letter: "A".to_owned(),
            title: "Ice house".to_owned(),
            together: Some(together),
            judged: stop.then_some(pair),
            ..SheetSettings::default()
        };
        sheets_by(&plate, map, &bites, &settings)
    }

    #[test]
    fn every_piece_of_work_has_a_row_and_every_plate_a_column() {
        let tray = Tray::new(Millimetres(250.0), Millimetres(180.0)).unwrap();
        for (of, most) in [(family(4, None, 1080.0), 5), (family(4, Some(&tray), 1080.0), 5), (family(14, None, 1080.0), 16)] {
            let rows = of.rows.clone();
            let sheets = made(StripKind::Measured, of, false).sheets;
            assert!(!sheets.is_empty() && sheets.len() <= most, "{} pages", sheets.len());
            for sheet in &sheets {
                assert_legible(sheet);
                let faults = faults(sheet);
                assert!(faults.is_empty(), "{faults:?}");
                assert!(says(sheet, "what it really was") && !says(sheet, EXAMPLE));
                // As on the run sheet of one plate.
                for words in ["Checked and signed off", "Date and hour", "In an emergency", "eye wash", "neutraliser", "telephone"] {
                    assert!(says(sheet, words), "{words}");
                }
            }
            let has = |words: &str| sheets.iter().any(|sheet| says(sheet, words));
            assert!(
                ["PAINT 1", "PAINT 9", "BITE 1", "BITE 7+8", "BITE 9", "dry", "out", "0:07", "2:45", "4:55", "NIGHT"]
                    .iter()
                    .all(|words| has(words))
            );
            assert!(
                !has("PAINT 10")
                    && rows
                        .iter()
                        .filter(|row| row.number > 0)
                        .all(|row| row.cells.iter().any(|cell| matches!(cell, Cell::Paint(_) | Cell::Dip(..))))
            );
            // A plate is painted, dipped, painted: never twice the same, and each dip once.
            for plate in 0..rows[0].cells.len() {
                let mut painted = false;
                for row in rows.iter().filter(|row| row.number > 0) {
                    match row.cells[plate] {
                        Cell::Paint(_) => {
                            assert!(!painted);
                            painted = true;
                        }
                        Cell::Dip(..) => {
                            assert!(painted);
                            painted = false;
                        }
                        Cell::Dry | Cell::Waits => assert!(painted),
                        Cell::Rests | Cell::Out => assert!(!painted),
                    }
                }
            }
        }
    }

    #[test]
    fn the_pairs_hazards_stand_under_the_table() {
        let pair = judged(Named { metal: Some("zinc"), mordant: Some("copper sulphate"), before: None });
        assert!(!pair.stops());
        let (plate, map) = letter(160.0, 180.0);
        let settings = SheetSettings {
            kinds: vec![Kind::Together, Kind::Run],
            together: Some(family(4, None, 1080.0)),
            judged: Some(pair.clone()),
            ..SheetSettings::default()
        };
        let sheets = sheets_by(&plate, map, &bites(10), &settings).sheets;
        let named = format!("{}: {}", pair.verdict.words(), pair.pair);
        let all: Vec<&Sheet> = sheets.iter().filter(|sheet| sheet.name.starts_with("run sheet of all plates")).collect();
        assert!(!all.is_empty() && all.iter().all(|sheet| says(sheet, &named)), "{named}");
        let first = pair.reasons[0].words.split_whitespace().take(4).collect::<Vec<_>>().join(" ");
        for sheet in all {
            assert_legible(sheet);
            assert!(says(sheet, &first) && faults(sheet).is_empty(), "{first} {:?}", faults(sheet));
        }
    }

    #[test]
    fn a_plate_of_which_nothing_is_decided_has_no_times() {
        let plates = Plates { undecided: vec![1], ..plates(2) };
        let hours = Hours { start: 540.0, from: 540.0, to: 1440.0, dry: 25.0, rinse: 5.0, dry_overnight: false, slack: Seconds(2.0) };
        let of = Together::of(&plates, &days(&plates, hours, None, None).unwrap()).unwrap();
        let sheets = made(StripKind::Measured, of, false).sheets;
        let count = |words: &str| sheets.iter().map(|sheet| sheet.words().filter(|text| *text == words).count()).sum::<usize>();
        // Nine dips of each; the other plate keeps its times.
        assert_eq!((count("decide first"), count("4:55"), count("0:07")), (9, 1, 1));
    }

    #[test]
    fn dips_of_no_length_are_none_together() {
        let mut plates = plates(3);
        for turn in plates.turns.iter_mut().flatten() {
            (turn.round.bite, turn.round.rinse) = (Seconds(0.0), Seconds(0.0));
        }
        let tray = Tray::new(Millimetres(600.0), Millimetres(600.0)).unwrap();
        let hours = Hours { start: 540.0, from: 540.0, to: 1440.0, dry: 25.0, rinse: 0.0, dry_overnight: false, slack: Seconds(2.0) };
        let of = Together::of(&plates, &days(&plates, hours, Some(&tray), None).unwrap()).unwrap();
        let dips = |row: &Row| row.cells.iter().filter(|cell| matches!(cell, Cell::Dip(..))).count();
        assert!(of.rows.iter().all(|row| dips(row) <= 1));
        assert_eq!(of.rows.iter().map(dips).sum::<usize>(), plates.turns.iter().map(Vec::len).sum::<usize>());
    }

    #[test]
    fn no_time_without_a_strip_and_no_sheet_after_a_stop() {
        let example = made(StripKind::Example, family(4, None, 1080.0), false).sheets;
        assert!(example.iter().all(|sheet| says(sheet, EXAMPLE)));
        let none = made(StripKind::Missing, family(4, None, 1080.0), false).sheets;
        assert!(
            none.iter().all(|sheet| says(sheet, "NO STRIP YET")) && !none.iter().any(|sheet| says(sheet, "0:07") || says(sheet, "9:00"))
        );
        let stop = made(StripKind::Measured, family(4, None, 1080.0), true).sheets;
        assert!(stop.iter().all(|sheet| !says(sheet, "BITE 1")));
        let one = Plates { turns: vec![vec![]], ..Plates::default() };
        assert_eq!(Together::of(&one, &Days::default()), None);
    }
}
