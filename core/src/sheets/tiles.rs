//! Sheets of a plate larger than the paper: one page a tile, with the words of a whole sheet wherever they find room, and the marks by which
//! the tiles are put together.

use super::captions::{Flow, NUMERAL, Said, transfer_picture};
use super::frame::{self, HAIR, LINE};
use super::layout::{BAR, fitted, line_height};
use super::legend;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
use super::picture::{self, Shows};
use super::tiling::{Grid, HALF_MARK, Tile, small_patches};
use super::{Job, Use, plain, strip_line};
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// Distance of words from the edge of the paper, mm: most printers leave 4 to 5 mm white (common practice, no source).
const PAD: f64 = 7.0;
/// Least distance of a window from the edge of the paper where words stand in the margins alone, mm.
const MARGIN: f64 = 10.0;
/// Height of the band of words above a window and of the one below it, and the gaps to them, mm.
const HEAD: f64 = 14.5;
const FOOT: f64 = 28.0;
const ABOVE: f64 = 4.5;
const BELOW: f64 = 8.5;
/// Least and greatest width of a column of words, its gap to the window, and the lane of the bar along, mm.
const COLUMN: (f64, f64) = (44.0, 62.0);
const GAP: f64 = 5.0;
/// What the marks outside the metal edge take, mm.
const OUTSIDE: f64 = 3.0;
/// A join: long dashes of the thinnest line, unlike any edge.
const JOIN: Pen = Pen { width: Millimetres(0.18), dash: Some((Millimetres(6.0), Millimetres(3.0))) };
/// How far along a join its word stands, mm from the cell's corner: clear of the marks at the metal edge.
const JOIN_WORD_IN: f64 = 14.0;

/// Where the words of a tile stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Words {
    /// In a band above the window and one below it.
    Bands,
    /// In a column to its right.
    Column,
    /// In the margins, as large as they hold.
    Margins,
}

/// How a plate is cut for a paper.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tiles {
    page: SizeMm,
    words: Words,
    grid: Grid,
}

/// The largest window that a page holds beside its words, mm.
fn usable(page: SizeMm, words: Words) -> (f64, f64) {
    let (wide, high) = (page.width.0, page.height.0);
    match words {
        Words::Bands => (wide - 2.0 * MARGIN, high - 2.0 * PAD - HEAD - FOOT - ABOVE - BELOW),
        Words::Column => (wide - PAD - COLUMN.0 - GAP - MARGIN, high - 2.0 * MARGIN),
        Words::Margins => (wide - 2.0 * MARGIN, high - 2.0 * MARGIN),
    }
}

impl Tiles {
    /// The way with the fewest sheets, upright or turned; of equal ones first one that leaves room for all the words at their full size, then
    /// the one whose joins cut the fewest small patches.
    pub(super) fn of(job: &Job) -> Self {
        let size = job.plate.size();
        let (face, zones) = (job.plate.face(), job.stop_outs.zones());
        let pixel = (face.width.0 / zones.width() as f64, face.height.0 / zones.height() as f64);
        let patches = small_patches(zones, job.plate.bevel().0, pixel);
        let upright = job.settings.paper.size();
        let turned = SizeMm { width: upright.height, height: upright.width };
        let way =
            |page: SizeMm, words: Words| Self { page, words, grid: Grid::of((size.width.0, size.height.0), usable(page, words), &patches) };
        let mut best = way(upright, Words::Margins);
        for (page, words) in
            [(turned, Words::Margins), (upright, Words::Bands), (upright, Words::Column), (turned, Words::Column), (turned, Words::Bands)]
        {
            let other = way(page, words);
            let rank = |way: &Self| (way.grid.count(), way.words == Words::Margins, way.grid.cuts());
            if rank(&other) < rank(&best) {
                best = other;
            }
        }
        best
    }

    /// How many sheets one picture takes.
    pub(super) fn count(&self) -> usize {
        self.grid.count()
    }

    /// What the printer should know of it, a sentence each.
    pub(super) fn notes(&self, job: &Job) -> Vec<String> {
        let size = job.plate.size();
        let mut notes = vec![format!(
            "A plate of {} × {} mm is larger than {}: each picture prints on {} sheets that overlap by 10 mm. Put together, its diagonal measures \
             {} mm.",
            plain(size.width.0),
            plain(size.height.0),
            job.settings.paper.name(),
            self.count(),
            plain(diagonal(size))
        )];
        if self.words == Words::Margins {
            notes.push(
                "The fewest sheets leave only the margins for words: the numbers on the tiles are as large as a margin holds.".to_owned(),
            );
        }
        if self.grid.cuts() > 0 {
            notes.push(format!(
                "{} cut a patch smaller than 10 mm: no place of the joins avoids it.",
                super::counted(self.grid.cuts(), "time the joins", "times the joins")
            ));
        }
        notes
    }

    /// The tiles of one picture, row by row. `said` gives the words of a page.
    pub(super) fn sheets(
        &self,
        job: &Job,
        shows: Shows,
        for_use: Use,
        (name, first, pages): (&str, usize, usize),
        said: impl Fn(usize) -> Said,
    ) -> Vec<Sheet> {
        let (marks, zones) = picture::on_metal(job, shows, for_use);
        let grid = self.grid.seen(for_use.view());
        let pairs = pairs(&grid, job, for_use);
        let mut sheets = Vec::with_capacity(self.count());
        for (index, tile) in grid.tiles().iter().enumerate() {
            let mut sheet = Sheet::new(shows.named(&format!("{name}, tile {}", tile.code()), for_use), self.page);
            let room = self.room(tile);
            let origin = PagePoint::new(room.x - tile.window.x, room.y - tile.window.y);
            let clip = clip(tile, job.plate.size());
            let shown = marks.iter().filter_map(|mark| mark.near(&clip)).map(|mark| mark.moved((origin.x, origin.y))).collect();
            let clip = PageBox::new(clip.x + origin.x, clip.y + origin.y, clip.width, clip.height);
            sheet.marks.push(Mark::Within { clip, marks: shown });
            picture::on_tile(&mut sheet, job, (shows, &zones), for_use, (tile, origin));
            // In the margins alone words stand close to the window.
            joins(&mut sheet, tile, room, origin, if self.words == Words::Margins { 1.0 } else { 3.0 });
            for pair in pairs.iter().filter(|pair| pair.borders(tile)) {
                pair.draw(&mut sheet, tile, origin);
            }
            let words =
                TileWords { job, said: &said(first + index), tile, for_use, diagonal: (index == 0).then(|| diagonal(job.plate.size())) };
            self.words(&mut sheet, &words, room);
            debug_assert!(first + index <= pages);
            sheets.push(sheet);
        }
        sheets
    }

    /// Where the window of a tile stands on its page.
    fn room(&self, tile: &Tile) -> PageBox {
        let (wide, high) = (self.page.width.0, self.page.height.0);
        let (width, height) = (tile.window.width, tile.window.height);
        let (x, y) = match self.words {
            Words::Bands => {
                let free = high - 2.0 * PAD - HEAD - FOOT - ABOVE - BELOW - height;
                ((wide - width) / 2.0, PAD + HEAD + ABOVE + free * 0.45)
            }
            Words::Column => {
                let free = wide - PAD - self.column(width) - GAP - MARGIN - width;
                (MARGIN + free / 2.0, (high - height) / 2.0)
            }
            Words::Margins => ((wide - width) / 2.0, (high - height) / 2.0),
        };
        PageBox::new(x, y, width, height)
    }

    fn column(&self, width: f64) -> f64 {
        (self.page.width.0 - PAD - GAP - MARGIN - width).min(COLUMN.1)
    }

    fn words(&self, sheet: &mut Sheet, words: &TileWords, room: PageBox) {
        let (wide, high) = (self.page.width.0, self.page.height.0);
        let left = (room.x - 6.0).max(5.0);
        match self.words {
            Words::Bands => {
                words.head(sheet, PageBox::new(PAD, PAD, wide - 2.0 * PAD, HEAD));
                words.foot(sheet, PageBox::new(PAD, high - PAD - FOOT, wide - 2.0 * PAD, FOOT));
                frame::bar_across(sheet, ((wide - BAR) / 2.0, (high - PAD - FOOT - 2.5).min(room.foot().max(room.y + BAR) + 6.0)));
                frame::bar_along(sheet, (left, (high - FOOT + HEAD - BAR) / 2.0));
                sheet.text(Weight::Semibold, 9.0, Align::Start, (room.x + room.width * 0.25, room.y - 1.0 - OUTSIDE / 2.0), "↑ TOP");
            }
            Words::Column => {
                let column = self.column(room.width);
                words.column(sheet, PageBox::new(wide - PAD - column, PAD, column, high - 2.0 * PAD));
                frame::bar_across(sheet, ((room.x + (room.width - BAR) / 2.0).max(5.0), (room.foot() + 6.0).min(high - 5.0)));
                frame::bar_along(sheet, (left, (high - BAR) / 2.0));
            }
            Words::Margins => words.margins(sheet, self.page),
        }
    }
}

/// The plate from corner to corner, mm.
fn diagonal(size: SizeMm) -> f64 {
    libm::hypot(size.width.0, size.height.0)
}

/// What of the plate's picture shows: the window, and past the metal edge its marks.
fn clip(tile: &Tile, plate: SizeMm) -> PageBox {
    let window = tile.window;
    let past = |at_edge: bool| if at_edge { OUTSIDE } else { 0.0 };
    let (left, top) = (past(window.x <= 0.0), past(window.y <= 0.0));
    let (right, foot) = (past(window.right() >= plate.width.0), past(window.foot() >= plate.height.0));
    PageBox::new(window.x - left, window.y - top, window.width + left + right, window.height + top + foot)
}

/// The sides of a tile that are joins: left, right, top, foot.
fn joined(tile: &Tile) -> [bool; 4] {
    [tile.column > 0, tile.column + 1 < tile.of.1, tile.row > 0, tile.row + 1 < tile.of.0]
}

/// The join lines with a tick at their ends, and a thin line where the overlap ends.
fn joins(sheet: &mut Sheet, tile: &Tile, room: PageBox, origin: PagePoint, tick: f64) {
    let [left, right, top, foot] = joined(tile);
    let cell = PageBox::new(tile.cell.x + origin.x, tile.cell.y + origin.y, tile.cell.width, tile.cell.height);
    for (x, edge) in [(cell.x, room.x, left), (cell.right(), room.right(), right)].into_iter().filter(|side| side.2).map(|s| (s.0, s.1)) {
        sheet.stroke(JOIN, (x, room.y), (x, room.foot()));
        sheet.stroke(HAIR, (edge, room.y), (edge, room.foot()));
        sheet.stroke(LINE, (x, room.y - 0.3), (x, room.y - tick));
        sheet.stroke(LINE, (x, room.foot() + 0.3), (x, room.foot() + tick));
        join_word(sheet, ((x + edge) / 2.0, cell.y + JOIN_WORD_IN), true);
    }
    for (y, edge) in [(cell.y, room.y, top), (cell.foot(), room.foot(), foot)].into_iter().filter(|side| side.2).map(|s| (s.0, s.1)) {
        sheet.stroke(JOIN, (room.x, y), (room.right(), y));
        sheet.stroke(HAIR, (room.x, edge), (room.right(), edge));
        sheet.stroke(LINE, (room.x - 0.3, y), (room.x - tick, y));
        sheet.stroke(LINE, (room.right() + 0.3, y), (room.right() + tick, y));
        join_word(sheet, (cell.x + JOIN_WORD_IN, (y + edge) / 2.0), false);
    }
}

/// The word "join" on bare paper in the strip that is cut off or laid over, where no other words stand; the middle of it.
fn join_word(sheet: &mut Sheet, (x, y): (f64, f64), runs_up: bool) {
    let face = TypeFace::of(Weight::Regular);
    let (long, cap) = (face.width("join", 9.0).0, face.cap_height(9.0).0);
    let (wide, high) = if runs_up { (cap + 1.6, long + 1.6) } else { (long + 1.6, cap + 1.6) };
    sheet.marks.push(Mark::Blank(PageBox::new(x - wide / 2.0, y - high / 2.0, wide, high)));
    if runs_up {
        upwards(sheet, 9.0, Align::Middle, (x + cap / 2.0, y), "join");
    } else {
        sheet.text(Weight::Regular, 9.0, Align::Middle, (x, y + cap / 2.0), "join");
    }
}

/// A text that runs upwards.
fn upwards(sheet: &mut Sheet, size: f64, align: Align, at: (f64, f64), words: impl Into<String>) {
    let text = Text { at: PagePoint::new(at.0, at.1), words: words.into(), size, weight: Weight::Regular, align, upwards: true };
    sheet.marks.push(Mark::Text(text));
}

/// A mark that a join cuts in two, lettered alike on both sides.
#[derive(Clone, Debug, PartialEq)]
struct Pair {
    at: PagePoint,
    /// Whether its join runs up and down: then it is a circle, else a square on its corner.
    upright: bool,
    letter: String,
}

/// Two marks on each join between two tiles, where they lie over the fewest edges.
fn pairs(grid: &Grid, job: &Job, for_use: Use) -> Vec<Pair> {
    let zones = job.stop_outs.zones();
    let zones = if for_use.view() == super::View::Plate { zones.mirrored() } else { zones.clone() };
    let (face, bevel) = (job.plate.face(), job.plate.bevel().0);
    let pixel = (face.width.0 / zones.width() as f64, face.height.0 / zones.height() as f64);
    let busy =
        |at: PagePoint| busy(&zones, ((at.x - bevel) / pixel.0, (at.y - bevel) / pixel.1), (HALF_MARK / pixel.0, HALF_MARK / pixel.1));
    let mut pairs = Vec::new();
    let ways = [(true, &grid.across.joins, grid.down.cells()), (false, &grid.down.joins, grid.across.cells())];
    for (upright, joins, cells) in ways {
        for &join in joins {
            for &(from, to) in &cells {
                for first in [0.15, 0.55] {
                    let places = (0..=10).map(|step| {
                        let along = from + (to - from) * (first + 0.03 * f64::from(step));
                        if upright { PagePoint::new(join, along) } else { PagePoint::new(along, join) }
                    });
                    let Some((_, at)) = places.map(|at| (busy(at), at)).reduce(|a, b| if b.0 < a.0 { b } else { a }) else { continue };
                    pairs.push(Pair { at, upright, letter: letter(pairs.len()) });
                }
            }
        }
    }
    pairs
}

/// How many neighbouring pixels differ around a place of the raster.
fn busy(zones: &Plane<u8>, at: (f64, f64), half: (f64, f64)) -> usize {
    let stretch = |at: f64, half: f64, most: usize| ((at - half).max(0.0) as usize).min(most)..((at + half).max(0.0) as usize).min(most);
    let (across, down) = (stretch(at.0, half.0, zones.width()), stretch(at.1, half.1, zones.height()));
    down.map(|y| {
        zones.row(y)[across.clone()].windows(2).filter(|pair| pair[0] != pair[1]).count()
            + across.clone().filter(|&x| y > 0 && zones.at(x, y) != zones.at(x, y - 1)).count()
    })
    .sum()
}

/// a, b, … z, aa, bb …
fn letter(index: usize) -> String {
    let one = char::from(b'a' + (index % 26) as u8);
    std::iter::repeat_n(one, index / 26 + 1).collect()
}

impl Pair {
    /// Whether it lies on a side of the tile.
    fn borders(&self, tile: &Tile) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
        let of = tile.cell;
        if self.upright {
            (near(self.at.x, of.x) || near(self.at.x, of.right())) && (of.y..of.foot()).contains(&self.at.y)
        } else {
            (near(self.at.y, of.y) || near(self.at.y, of.foot())) && (of.x..of.right()).contains(&self.at.x)
        }
    }

    /// The half on the tile's own side of the join.
    fn draw(&self, sheet: &mut Sheet, tile: &Tile, origin: PagePoint) {
        let middle =
            if self.upright { tile.cell.x + tile.cell.width / 2.0 - self.at.x } else { tile.cell.y + tile.cell.height / 2.0 - self.at.y };
        let side = middle.signum();
        let at = |along: f64, inward: f64| {
            let (x, y) = if self.upright { (side * inward, along) } else { (along, side * inward) };
            PagePoint::new(origin.x + self.at.x + x, origin.y + self.at.y + y)
        };
        let points = if self.upright {
            (0..=16)
                .map(|step| {
                    let angle = std::f64::consts::PI * (f64::from(step) / 16.0 - 0.5);
                    at(HALF_MARK * libm::sin(angle), HALF_MARK * libm::cos(angle))
                })
                .collect()
        } else {
            vec![at(-HALF_MARK, 0.0), at(0.0, HALF_MARK), at(HALF_MARK, 0.0)]
        };
        sheet.marks.push(Mark::Line { pen: LINE, points, closed: false });
        let middle = at(0.0, HALF_MARK * 0.42);
        // Hatch under a letter of 9 pt hides it.
        sheet.marks.push(Mark::Blank(PageBox::new(middle.x - 1.5, middle.y - 1.6, 3.0, 3.2)));
        sheet.text(Weight::Semibold, 9.0, Align::Middle, (middle.x, middle.y + 0.9), self.letter.as_str());
    }
}

/// The grid in small, this tile in hatch.
fn thumbnail(sheet: &mut Sheet, of: PageBox, tile: &Tile) {
    let (width, height) = (of.width / tile.of.1 as f64, of.height / tile.of.0 as f64);
    sheet.frame(LINE, of);
    for column in 1..tile.of.1 {
        sheet.stroke(LINE, (of.x + width * column as f64, of.y), (of.x + width * column as f64, of.foot()));
    }
    for row in 1..tile.of.0 {
        sheet.stroke(LINE, (of.x, of.y + height * row as f64), (of.right(), of.y + height * row as f64));
    }
    let here = PageBox::new(of.x + width * tile.column as f64, of.y + height * tile.row as f64, width, height);
    let mut sum = 0.8;
    let mut strokes = Vec::new();
    while sum < here.width + here.height {
        let (from, to) = ((sum - here.height).max(0.0), sum.min(here.width));
        strokes.push([PagePoint::new(here.x + from, here.y + sum - from), PagePoint::new(here.x + to, here.y + sum - to)]);
        sum += 1.2;
    }
    sheet.strokes(Pen::solid(0.25), strokes);
}

/// A thumbnail's size in the shape of the plate, no larger than a box.
fn thumbnail_size(plate: SizeMm, (wide, high): (f64, f64)) -> (f64, f64) {
    let scale = (wide / plate.width.0).min(high / plate.height.0);
    (plate.width.0 * scale, plate.height.0 * scale)
}

/// All that one tile says.
struct TileWords<'a> {
    job: &'a Job<'a>,
    said: &'a Said,
    tile: &'a Tile,
    for_use: Use,
    /// The diagonal of the assembled plate, on the first tile.
    diagonal: Option<f64>,
}

impl TileWords<'_> {
    fn tile_line(&self) -> String {
        format!("Tile {}: {}", self.tile.code(), self.tile.place())
    }

    fn assembly(&self) -> String {
        let check =
            self.diagonal.map_or_else(String::new, |diagonal| format!(" Put together, the plate’s diagonal is {} mm.", plain(diagonal)));
        format!("{ASSEMBLY}{check}")
    }

    /// The facts, first those that must never be cut: whose strip it is, and what the printer's bars were.
    fn facts_by_weight(&self) -> Vec<String> {
        let strip = strip_line(self.job.bites);
        let bars = self.job.settings.bars.map(super::Bars::words);
        let first: Vec<String> = std::iter::once(strip).chain(bars).collect();
        let title = Some(self.said.title.clone()).filter(|title| !title.is_empty());
        let rest = self.said.facts.iter().filter(|fact| !first.contains(fact)).cloned();
        first.iter().cloned().chain(title).chain(rest).collect()
    }

    fn head(&self, sheet: &mut Sheet, of: PageBox) {
        let said = self.said;
        let semibold = TypeFace::of(Weight::Semibold);
        let cap = semibold.cap_height(NUMERAL).0;
        let base = of.y + cap;
        sheet.text(Weight::Semibold, NUMERAL, Align::Start, (of.x - 0.6, base), said.numeral.as_str());
        let left = of.x + semibold.width(&said.numeral, NUMERAL).0 + 5.0;
        let small = thumbnail_size(self.job.plate.size(), (18.0, cap));
        thumbnail(sheet, PageBox::new(of.right() - small.0, of.y, small.0, cap.min(small.1)), self.tile);
        let sign = PageBox::new(of.right() - small.0 - 4.0 - cap, of.y, cap, cap);
        frame::view_sign(sheet, sign, self.for_use.view());
        let right = sign.x - 4.0;
        sheet.text(Weight::Semibold, 16.0, Align::End, (right, of.y + semibold.cap_height(16.0).0), said.view);
        sheet.text(Weight::Regular, 12.0, Align::End, (right, of.y + 9.4), said.mirrored);
        sheet.text(Weight::Semibold, 14.0, Align::End, (right, base), self.tile.code());
        let room = right - semibold.width(said.view, 16.0).0 - 5.0 - left;
        let (size, heading) = fitted(Weight::Semibold, &said.heading, &[18.0, 16.0, 14.0, 12.0], room);
        sheet.text(Weight::Semibold, size, Align::Start, (left, of.y + semibold.cap_height(size).0), heading);
        let (size, tone) = fitted(Weight::Regular, &said.tone, &[14.0, 12.0, 11.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (left, of.y + 9.4), tone);
        let (size, place) = fitted(Weight::Semibold, &self.tile_line(), &[14.0, 12.0, 11.0, 10.0, 9.0], room);
        sheet.text(Weight::Semibold, size, Align::Start, (left, base), place);
    }

    fn foot(&self, sheet: &mut Sheet, of: PageBox) {
        let said = self.said;
        let semibold = TypeFace::of(Weight::Semibold);
        legend::row(sheet, &said.legend, of.x, of.y, of.width, &[12.0, 11.0, 10.0, 9.0]);
        sheet.text(Weight::Semibold, NUMERAL, Align::End, (of.right() + 0.6, of.foot()), said.numeral.as_str());
        let mut left = of.x;
        let room = of.right() - semibold.width(&said.numeral, NUMERAL).0 - 6.0;
        if !self.job.settings.letter.is_empty() {
            frame::plate_letter(
                sheet,
                PageBox::new(of.x, of.y + 8.6, 8.2, 8.8),
                &self.job.settings.letter,
                self.job.settings.notch,
                self.for_use.view(),
            );
            left += 11.5;
        }
        left += transfer_picture(sheet, left, of.y + 11.9, self.for_use);
        let (size, covered) = fitted(Weight::Semibold, &said.covered, &[13.0, 12.0, 11.0, 10.0, 9.0], room - left);
        sheet.text(Weight::Semibold, size, Align::Start, (left, of.y + 12.2), covered);
        let (size, rule) = fitted(Weight::Regular, said.rule, &[12.0, 11.0, 10.0, 9.0], room - left);
        sheet.text(Weight::Regular, size, Align::Start, (left, of.y + 18.0), rule);
        let first = |words: String| Slot::new(Weight::Regular, room - of.x, words);
        let page = format!("{} · {}", said.page, strip_line(self.job.bites));
        let mut lines = [first(self.assembly()), first(page)];
        for words in self.facts_by_weight().iter().skip(1) {
            Slot::place(&mut lines, words);
        }
        for (line, base) in lines.iter().zip([23.0, 27.6]) {
            let (size, words) = line.fitted();
            sheet.text(Weight::Regular, size, Align::Start, (of.x, of.y + base), words);
        }
    }

    fn column(&self, sheet: &mut Sheet, of: PageBox) {
        let mut trial = Sheet::new("", sheet.page);
        let used = self.column_with_air(&mut trial, of, 0.0);
        self.column_with_air(sheet, of, ((of.height - used) / 6.0).clamp(0.0, 7.0));
    }

    /// Sets the column with so many mm more between its parts; returns the height it takes.
    fn column_with_air(&self, sheet: &mut Sheet, of: PageBox, air: f64) -> f64 {
        let (job, said) = (self.job, self.said);
        let semibold = TypeFace::of(Weight::Semibold);
        let cap = semibold.cap_height(NUMERAL).0;
        sheet.text(Weight::Semibold, NUMERAL, Align::Start, (of.x - 0.6, of.y + cap), said.numeral.as_str());
        if !job.settings.letter.is_empty() {
            let plate = PageBox::new(of.right() - 9.6, of.y, 9.6, 10.6);
            frame::plate_letter(sheet, plate, &job.settings.letter, job.settings.notch, self.for_use.view());
        }
        let mut flow = Flow { sheet, x: of.x, width: of.width, y: of.y + cap + 2.0 };
        let (size, heading) = fitted(Weight::Semibold, &said.heading, &[18.0, 16.0, 14.0, 13.0], of.width);
        flow.lines(Weight::Semibold, size, &heading);
        flow.lines(Weight::Regular, 11.0, &said.tone);
        flow.gap(1.6 + air);
        let small = thumbnail_size(job.plate.size(), (18.0, 16.0));
        thumbnail(flow.sheet, PageBox::new(of.x, flow.y, small.0, small.1), self.tile);
        let beside = of.x + small.0 + 3.0;
        let place = self.tile.place();
        let (row, column) = place.split_once(", ").unwrap_or((place.as_str(), ""));
        for (index, (size, words)) in
            [(16.0, format!("Tile {}", self.tile.code())), (10.0, row.to_owned()), (10.0, column.to_owned())].into_iter().enumerate()
        {
            let weight = if index == 0 { Weight::Semibold } else { Weight::Regular };
            flow.sheet.text(weight, size, Align::Start, (beside, flow.y + 4.6 + index as f64 * 5.0), words);
        }
        flow.gap(small.1.max(16.0) + 2.4 + air);
        frame::view_sign(flow.sheet, PageBox::new(of.x, flow.y, 12.0, 12.0), self.for_use.view());
        let (size, view) = fitted(Weight::Semibold, said.view, &[15.0, 13.0, 12.0, 10.0], of.width - 14.5);
        flow.sheet.text(Weight::Semibold, size, Align::Start, (of.x + 14.5, flow.y + semibold.cap_height(size).0), view);
        let (size, mirrored) = fitted(Weight::Regular, said.mirrored, &[12.0, 10.0, 9.0], of.width - 14.5);
        flow.sheet.text(Weight::Regular, size, Align::Start, (of.x + 14.5, flow.y + 11.6), mirrored);
        flow.gap(14.4 + air);
        for sign in &said.legend {
            legend::draw(flow.sheet, PageBox::new(of.x, flow.y, 9.0, 5.0), *sign);
            let words = sign.words(said.legend.len() > 3 || of.width < 54.0);
            let room = of.width - 11.0;
            let size = [12.0, 11.0, 10.0, 9.0].into_iter().find(|&size| semibold.width(words, size).0 <= room);
            if let Some(size) = size {
                let base = flow.y + 2.5 + semibold.cap_height(size).0 / 2.0;
                flow.sheet.text(Weight::Semibold, size, Align::Start, (of.x + 11.0, base), words);
                flow.gap(6.8);
            } else {
                // Words that must not be cut go on as many lines as they need.
                let lines = semibold.wrap(words, 9.0, Millimetres(room));
                for (row, line) in lines.iter().enumerate() {
                    let base = flow.y + 3.3 + row as f64 * line_height(9.0);
                    flow.sheet.text(Weight::Semibold, 9.0, Align::Start, (of.x + 11.0, base), line.as_str());
                }
                flow.gap(2.6 + lines.len() as f64 * line_height(9.0));
            }
        }
        flow.gap(0.4 + air);
        flow.lines(Weight::Semibold, if of.width < 54.0 { 11.0 } else { 13.0 }, &said.covered);
        flow.gap(1.0);
        flow.lines(Weight::Regular, 10.0, said.rule);
        flow.gap(1.0 + air);
        flow.lines(Weight::Regular, 9.0, &self.assembly());
        flow.gap(1.0);
        flow.sheet.stroke(HAIR, (of.x, flow.y), (of.right(), flow.y));
        flow.gap(1.0);
        let title = if said.title.is_empty() {
            String::new()
        } else {
            format!("{} · ", fitted(Weight::Regular, &said.title, &[9.0], of.width - 6.0).1)
        };
        flow.lines(Weight::Regular, 9.0, &format!("{title}{}", said.facts.join(" · ")));
        let used = flow.y - of.y;
        let foot = of.foot();
        sheet.text(Weight::Semibold, 10.0, Align::Start, (of.x, foot - line_height(10.0)), "↑ TOP");
        sheet.text(Weight::Regular, 10.0, Align::Start, (of.x, foot), said.page.as_str());
        sheet.text(Weight::Semibold, NUMERAL, Align::End, (of.right() + 0.6, foot), said.numeral.as_str());
        used + cap + 3.0
    }

    /// The words in margins of 10 mm: what identifies the sheet above, the legend at the right, what to do and the facts at the left.
    fn margins(&self, sheet: &mut Sheet, page: SizeMm) {
        let said = self.said;
        let (wide, high) = (page.width.0, page.height.0);
        let face = TypeFace::of(Weight::Semibold);
        let edge = 4.6;
        let size = 18.0;
        let cap = face.cap_height(size).0;
        let numeral = face.width(&said.numeral, size).0;
        sheet.text(Weight::Semibold, size, Align::Start, (MARGIN, edge + cap), said.numeral.as_str());
        sheet.text(Weight::Semibold, size, Align::End, (wide - MARGIN, high - edge), said.numeral.as_str());
        let small = thumbnail_size(self.job.plate.size(), (9.0, 4.8));
        thumbnail(sheet, PageBox::new(wide - MARGIN - small.0, edge, small.0, small.1), self.tile);
        frame::view_sign(sheet, PageBox::new(wide - MARGIN - small.0 - 7.0, edge - 0.2, 5.2, 5.2), self.for_use.view());
        let left = MARGIN + numeral + 4.0;
        let letter = &self.job.settings.letter;
        let plate = if letter.is_empty() { String::new() } else { format!(" · plate {letter}") };
        let head = format!("↑ TOP · {} · {} · {}, {}{plate}", self.tile_line(), said.heading, said.view, said.mirrored);
        // At the right the legend, and above it words.
        let mut foot = high - MARGIN;
        for sign in &said.legend {
            let words = sign.words(true);
            legend::draw(sheet, PageBox::new(wide - edge - 4.6, foot - 7.0, 4.6, 7.0), *sign);
            upwards(sheet, 10.0, Align::Start, (wide - edge - 1.0, foot - 8.5), words);
            foot -= 8.5 + TypeFace::of(Weight::Regular).width(words, 10.0).0 + 3.5;
        }
        frame::bar_across(sheet, (MARGIN + 4.0, high - 6.6));
        frame::bar_along(sheet, (6.4, high - MARGIN - BAR));
        let beside = MARGIN + BAR + 8.0;
        let numeral_left = wide - MARGIN - numeral - 3.0;
        let mut slots = [
            Slot::new(Weight::Semibold, wide - MARGIN - small.0 - 9.0 - left, head),
            Slot::new(Weight::Regular, foot - MARGIN - 4.0, format!("{} · {}", said.page, strip_line(self.job.bites))),
            Slot::new(Weight::Regular, high - 2.0 * MARGIN - BAR - 6.0, String::new()),
            Slot::new(Weight::Semibold, numeral_left - beside, String::new()),
        ];
        let diagonal = self.diagonal.map(|diagonal| format!("The plate’s diagonal is {} mm.", plain(diagonal)));
        let brief = if said.brief.is_empty() { &said.covered } else { &said.brief };
        let sentences = [said.rule.to_owned(), ASSEMBLY.to_owned()].into_iter().chain(diagonal).chain([brief.clone()]);
        // The strip stands there already.
        for words in sentences.chain(self.facts_by_weight().into_iter().skip(1)) {
            Slot::place(&mut slots, &words);
        }
        let [head, right, up, across] = slots;
        let (size, words) = head.fitted();
        sheet.text(Weight::Semibold, size, Align::Start, (left, edge + 3.4), words);
        let (size, words) = right.fitted();
        upwards(sheet, size, Align::End, (wide - edge - 1.0, MARGIN + 2.0), words);
        let (size, words) = up.fitted();
        upwards(sheet, size, Align::End, (edge + 2.8, MARGIN + 2.0), words);
        let (size, words) = across.fitted();
        sheet.text(Weight::Semibold, size, Align::Start, (beside, high - edge - 1.0), words);
    }
}

/// How tiles are put together, wherever words stand.
const ASSEMBLY: &str = "Cut at the join, lay it on the next tile: half marks lettered alike meet.";

/// A line of a margin, filled with sentences as long as there is room.
struct Slot {
    weight: Weight,
    room: f64,
    words: String,
}

impl Slot {
    fn new(weight: Weight, room: f64, words: String) -> Self {
        Self { weight, room, words }
    }

    /// Puts words into the last of the slots that holds them whole at 9 pt; where none does they are left out, for half a sentence says
    /// nothing.
    fn place(slots: &mut [Self], words: &str) {
        for slot in slots.iter_mut().rev() {
            let all = if slot.words.is_empty() { words.to_owned() } else { format!("{} · {words}", slot.words.trim_end_matches('.')) };
            if TypeFace::of(slot.weight).width(&all, 9.0).0 <= slot.room {
                slot.words = all;
                return;
            }
        }
    }

    fn fitted(&self) -> (f64, String) {
        fitted(self.weight, &self.words, &[11.0, 10.0, 9.0], self.room)
    }
}
