//! Sheets of a plate larger than the paper: one page a tile, with the words of a whole sheet wherever they find room, and the marks by which
//! the tiles are put together.

use super::captions::Said;
use super::frame;
use super::hinge::{self, Side};
use super::joins::{Around, joins, pairs};
use super::key_labels::Bare;
use super::layout::BAR;
use super::mark::{Align, Mark, PageBox, PagePoint, Sheet};
use super::picture::{self, Picture};
use super::tile_words::TileWords;
use super::tiling::{Grid, OVERLAP, Tile, small_patches};
use super::{Job, View, plain};
use crate::plate::SizeMm;
use crate::type_face::Weight;

/// Distance of words from the edge of the paper, mm: most printers leave 4 to 5 mm white (common practice, no source).
const PAD: f64 = 7.0;
/// Least distance of a window from the edge of the paper where words stand in the margins alone, mm.
pub(super) const MARGIN: f64 = 10.0;
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
    /// The side of the plate with the flap, in print view; none where it is not asked for or would take more sheets.
    flap: Option<Side>,
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
    /// The way with the fewest sheets, upright or turned; of equal ones first one that holds the flap where that is asked for, then one that
    /// leaves room for all the words at their full size, then the one whose joins cut the fewest small patches.
    pub(super) fn of(job: &Job) -> Self {
        let size = job.plate.size();
        let (face, zones) = (job.plate.face(), job.stop_outs.zones());
        let pixel = (face.width.0 / zones.width() as f64, face.height.0 / zones.height() as f64);
        let patches = small_patches(zones, job.plate.bevel().0, pixel);
        let upright = job.settings.paper.size();
        let turned = SizeMm { width: upright.height, height: upright.width };
        let way = |page: SizeMm, words: Words, flap: Option<Side>| {
            let past = flap.map_or(((0.0, 0.0), (0.0, 0.0)), Side::past);
            Self { page, words, grid: Grid::of((size.width.0, size.height.0), past, usable(page, words), &patches), flap }
        };
        let mut best = way(upright, Words::Margins, None);
        let metal = PageBox::new(0.0, 0.0, size.width.0, size.height.0);
        // Paper has as much room at one long side as at the other.
        let [away, _] = hinge::long_sides(metal, job.settings.notch.seen(View::Print));
        for flap in [None, Some(away)].into_iter().filter(|flap| job.settings.hinge || flap.is_none()) {
            for (page, words) in [
                (upright, Words::Margins),
                (turned, Words::Margins),
                (upright, Words::Bands),
                (upright, Words::Column),
                (turned, Words::Column),
                (turned, Words::Bands),
            ] {
                let other = way(page, words, flap);
                let rank = |way: &Self| (way.grid.count(), way.flap.is_none(), way.words == Words::Margins, way.grid.cuts());
                if rank(&other) < rank(&best) {
                    best = other;
                }
            }
        }
        best
    }

    /// The side with the flap as a view shows it.
    pub(super) fn flap(&self, view: View) -> Option<Side> {
        self.flap.map(|side| if view == View::Plate { side.turned() } else { side })
    }

    /// Where the flap is on the sheets of a view, a sentence; none where there is no flap.
    pub(super) fn flap_note(&self, job: &Job, view: View) -> Option<String> {
        let side = self.flap(view)?;
        let metal = metal(job);
        let tiles = self.grid.seen(view).tiles();
        let codes: Vec<String> = tiles.iter().filter(|tile| side.borders(&tile.cell, &metal)).map(Tile::code).collect();
        Some(format!("The hinge flap of 15 mm is on the tiles of the {} side: {}.", side.words(), codes.join(", ")))
    }

    /// How many sheets one picture takes.
    pub(super) fn count(&self) -> usize {
        self.grid.count()
    }

    /// The strips that two tiles both show, mm on the face in print view: half of each is cut off, and words stand there.
    pub(super) fn strips(&self, job: &Job) -> Vec<Bare> {
        let (size, bevel) = (job.plate.size(), job.plate.bevel().0);
        let half = OVERLAP / 2.0;
        let across = self.grid.across.joins.iter().map(|join| ((join - half, 0.0), (join + half, size.height.0)));
        let down = self.grid.down.joins.iter().map(|join| ((0.0, join - half), (size.width.0, join + half)));
        let on_face = |(x, y): (f64, f64)| (x - bevel, y - bevel);
        across.chain(down).map(|(from, to)| (on_face(from), on_face(to))).collect()
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
        picture: Picture,
        (name, first, pages): (&str, usize, usize),
        said: impl Fn(usize) -> Said,
    ) -> Vec<Sheet> {
        let Picture { shows, for_use, seen, .. } = picture;
        let mut marks = picture::on_metal(job, picture);
        let metal = metal(job);
        let flap = self.flap(for_use.view()).filter(|_| hinge::carries(shows, for_use));
        marks.extend(flap.into_iter().flat_map(|side| hinge::lines(metal, side)));
        let around = Around::of(job, seen.zones());
        let grid = self.grid.seen(for_use.view());
        let pairs = pairs(&grid, &around);
        let mut sheets = Vec::with_capacity(self.count());
        for (index, tile) in grid.tiles().iter().enumerate() {
            let mut sheet = Sheet::new(shows.named(&format!("{name}, tile {}", tile.code()), for_use), self.page);
            let shown = self.outer(tile, for_use.view(), &metal);
            let room = self.room(&shown);
            let origin = PagePoint::new(room.x - shown.x, room.y - shown.y);
            let clip = clip(tile, &shown, &metal);
            let shown = marks.iter().filter_map(|mark| mark.near(&clip)).map(|mark| mark.moved((origin.x, origin.y))).collect();
            let clip = PageBox::new(clip.x + origin.x, clip.y + origin.y, clip.width, clip.height);
            sheet.marks.push(Mark::Within { clip, marks: shown });
            let pointed = picture::on_tile(&mut sheet, job, picture, (tile, origin));
            // In the margins alone words stand close to the window.
            let tick = if self.words == Words::Margins { 1.0 } else { 3.0 };
            joins(&mut sheet, tile, room, origin, (tick, &around));
            for pair in pairs.iter().filter(|pair| pair.borders(tile)) {
                pair.draw(&mut sheet, tile, origin);
            }
            let said = said(first + index).with(pointed);
            let words = TileWords { job, said: &said, tile, for_use, diagonal: (index == 0).then(|| diagonal(job.plate.size())) };
            self.words(&mut sheet, &words, room);
            if let Some(side) = flap.filter(|side| side.borders(&tile.cell, &metal)) {
                let cell = PageBox::new(tile.cell.x + origin.x, tile.cell.y + origin.y, tile.cell.width, tile.cell.height);
                hinge::words(&mut sheet, cell, side);
            }
            debug_assert!(first + index <= pages);
            sheets.push(sheet);
        }
        sheets
    }

    /// The window of a tile with what it holds of the flap, on the metal. A guide and a cut-out frame keep that bare, so that all sheets have
    /// the same cuts at the same places.
    fn outer(&self, tile: &Tile, view: View, metal: &PageBox) -> PageBox {
        let window = tile.window;
        let Some(side) = self.flap(view).filter(|side| side.borders(&tile.cell, metal)) else { return window };
        let ((left, right), (top, foot)) = side.past();
        PageBox::new(window.x - left, window.y - top, window.width + left + right, window.height + top + foot)
    }

    /// Where a window stands on its page.
    fn room(&self, window: &PageBox) -> PageBox {
        let (wide, high) = (self.page.width.0, self.page.height.0);
        let (width, height) = (window.width, window.height);
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

/// The plate with its upper left corner at 0, 0.
fn metal(job: &Job) -> PageBox {
    let size = job.plate.size();
    PageBox::new(0.0, 0.0, size.width.0, size.height.0)
}

/// What of the plate's picture shows: the window with its flap, and past the metal edge or the flap's the marks there.
fn clip(tile: &Tile, shown: &PageBox, metal: &PageBox) -> PageBox {
    let past = |side: Side| if side.borders(&tile.cell, metal) { OUTSIDE } else { 0.0 };
    let (left, right, top, foot) = (past(Side::Left), past(Side::Right), past(Side::Top), past(Side::Foot));
    PageBox::new(shown.x - left, shown.y - top, shown.width + left + right, shown.height + top + foot)
}
