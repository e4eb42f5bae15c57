//! The registration template: where plates and sheet lie on the press bed, at true size, in plate view, and where a print before comes to lie
//! once its paper has grown. Larger than the paper it is cut into tiles.

use super::frame::{self, DASHED, HAIR, HEAVY, LINE};
use super::heading::paragraph;
use super::joins::{Around, joins, pairs};
use super::layout::{BAR, fitted};
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::tiling::{Grid, Tile};
use super::{Job, View, plain};
use crate::bed::{Feed, Lies};
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::registration::Registration;
use crate::type_face::{TypeFace, Weight};

/// Distance of words from the edge of the paper, mm; of the window.
const PAD: f64 = 7.0;
const MARGIN: f64 = 11.0;
/// Height of the words above the window and below it, mm.
const HEAD: f64 = 13.0;
const FOOT: f64 = 22.0;
/// Gaps from those to the window: marks of joins and the bar stand there.
const ABOVE: f64 = 4.0;
const BELOW: f64 = 8.0;
/// Length of a corner's arms, mm: of a sheet and of a plate.
const SHEET_ARM: f64 = 18.0;
const PLATE_ARM: f64 = 10.0;
/// A corner of the sheet that has grown.
const GROWN: Pen = Pen::dashed(0.5);
/// Length of the arrow at a plate's top, mm, at most, and how far from its edge it ends.
const UP: f64 = 9.0;
const UP_INSIDE: f64 = 2.5;
/// What is left free beyond the outermost line, mm.
const AROUND: f64 = 4.0;

/// How it is cut.
struct Cut {
    page: SizeMm,
    grid: Grid,
    /// What of the bed it shows, plate view.
    shows: PageBox,
}

fn boxed(of: &Lies) -> PageBox {
    PageBox::new(of.x, of.y, of.width, of.height)
}

fn cut(job: &Job, of: &Registration) -> Cut {
    let laid = of.laid();
    let boxes = [laid.sheet, laid.box_to_bed(&of.grown_box(&laid.print)), laid.box_to_bed(&laid.block)];
    let least = |side: fn(&Lies) -> f64| boxes.iter().map(side).fold(f64::INFINITY, f64::min) - AROUND;
    let most = |side: fn(&Lies) -> f64| boxes.iter().map(side).fold(f64::NEG_INFINITY, f64::max) + AROUND;
    let (x, y) = (least(|of| of.x), least(|of| of.y));
    let shows = PageBox::new(x, y, most(Lies::right) - x, most(Lies::foot) - y);
    let upright = job.settings.paper.size();
    let turned = SizeMm { width: upright.height, height: upright.width };
    let way = |page: SizeMm| {
        let usable = (page.width.0 - 2.0 * MARGIN, page.height.0 - 2.0 * PAD - HEAD - FOOT - ABOVE - BELOW);
        Cut { page, grid: Grid::of((shows.width, shows.height), ((0.0, 0.0), (0.0, 0.0)), usable, &[]), shows }
    };
    let (one, other) = (way(upright), way(turned));
    if other.grid.count() < one.grid.count() { other } else { one }
}

/// The letter of a template's one plate, where there is more than one template.
pub(super) fn alone<'a>(job: &Job, of: &'a Registration) -> Option<&'a str> {
    match of.laid().plates.as_slice() {
        [one] if job.settings.registration.len() > 1 => Some(&one.letter),
        _ => None,
    }
}

/// How many pages it takes.
pub(super) fn pages(job: &Job, of: &Registration) -> usize {
    cut(job, of).grid.count()
}

/// The pages, from page `first` of `all` on.
pub(super) fn sheets(job: &Job, of: &Registration, (first, all): (usize, usize)) -> Vec<Sheet> {
    let cut = cut(job, of);
    let marks = marks(of, &cut.shows);
    let nothing = Plane::filled(1, 1, 0u8);
    let around = Around::of(job, &nothing);
    let pairs = pairs(&cut.grid, &around);
    let tiles = cut.grid.tiles();
    let one = |(index, tile): (usize, &Tile)| {
        let whose = alone(job, of).map_or_else(String::new, |letter| format!(" {letter}"));
        let name = if tiles.len() > 1 {
            format!("registration template{whose}, tile {}", tile.code())
        } else {
            format!("registration template{whose}")
        };
        let mut sheet = Sheet::new(name, cut.page);
        let (wide, high) = (cut.page.width.0, cut.page.height.0);
        let free = high - 2.0 * PAD - HEAD - FOOT - ABOVE - BELOW - tile.window.height;
        let room = PageBox::new((wide - tile.window.width) / 2.0, PAD + HEAD + ABOVE + free * 0.3, tile.window.width, tile.window.height);
        let origin = PagePoint::new(room.x - tile.window.x, room.y - tile.window.y);
        let shown = marks.iter().filter_map(|mark| mark.near(&tile.window)).map(|mark| mark.moved((origin.x, origin.y))).collect();
        sheet.marks.push(Mark::Within { clip: room, marks: shown });
        labels(&mut sheet, of, &cut.shows, tile, origin);
        if tiles.len() > 1 {
            joins(&mut sheet, tile, room, origin, (2.5, &around));
            pairs.iter().filter(|pair| pair.borders(tile)).for_each(|pair| pair.draw(&mut sheet, tile, origin));
        }
        words(&mut sheet, job, of, (tile, tiles.len() > 1), (first + index, all));
        let bar = (room.foot() + 6.0).min(high - PAD - FOOT - 1.5);
        frame::bar_across(&mut sheet, ((wide - BAR) / 2.0, bar));
        if high - 2.0 * PAD - HEAD - FOOT > BAR + 4.0 {
            frame::bar_along(&mut sheet, ((room.x - 5.5).max(5.2), PAD + HEAD + (high - 2.0 * PAD - HEAD - FOOT - BAR) / 2.0));
        }
        sheet
    };
    tiles.iter().enumerate().map(one).collect()
}

/// A box of the bed as the template has it: from the upper left corner of what it shows.
fn there(of: &Lies, shows: &PageBox) -> PageBox {
    let of = boxed(of);
    PageBox::new(of.x - shows.x, of.y - shows.y, of.width, of.height)
}

fn corners(marks: &mut Vec<Mark>, of: &PageBox, pen: Pen, arm: f64) {
    let arm = arm.min(of.width / 2.0).min(of.height / 2.0);
    let inward = [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)];
    for (corner, (x, y)) in of.corners().into_iter().zip(inward) {
        let points = vec![PagePoint::new(corner.x + x * arm, corner.y), corner, PagePoint::new(corner.x, corner.y + y * arm)];
        marks.push(Mark::Line { pen, points, closed: false });
    }
}

/// Which way a plate's own top lies on the bed.
fn up(across: bool, turned: bool) -> (f64, f64) {
    match (across, turned) {
        (false, false) => (0.0, -1.0),
        (false, true) => (0.0, 1.0),
        (true, false) => (1.0, 0.0),
        (true, true) => (-1.0, 0.0),
    }
}

/// An arrow inside the metal, at the middle of its top edge, towards it.
fn up_arrow(marks: &mut Vec<Mark>, metal: &PageBox, up: (f64, f64)) {
    let (deep, wide) = if up.0 == 0.0 { (metal.height, metal.width) } else { (metal.width, metal.height) };
    let long = UP.min(deep * 0.3).min(wide * 0.6);
    let (x, y) = (metal.x + metal.width / 2.0, metal.y + metal.height / 2.0);
    let inside = UP_INSIDE.min(deep * 0.1);
    let tip = (x + up.0 * (deep / 2.0 - inside), y + up.1 * (deep / 2.0 - inside));
    let back = |share: f64, side: f64| {
        PagePoint::new(tip.0 - up.0 * long * share - up.1 * side * long, tip.1 - up.1 * long * share + up.0 * side * long)
    };
    marks.push(Mark::Line { pen: LINE, points: vec![back(0.45, -0.32), PagePoint::new(tip.0, tip.1), back(0.45, 0.32)], closed: false });
    marks.push(Mark::Line { pen: LINE, points: vec![PagePoint::new(tip.0, tip.1), back(1.0, 0.0)], closed: false });
}

fn grows(of: &Registration) -> bool {
    of.misfit() != (0.0, 0.0)
}

fn marks(of: &Registration, shows: &PageBox) -> Vec<Mark> {
    let laid = of.laid();
    let mut marks = Vec::new();
    let sheet = there(&laid.sheet, shows);
    marks.push(Mark::Line { pen: HAIR, points: sheet.corners().to_vec(), closed: true });
    corners(&mut marks, &sheet, HEAVY, SHEET_ARM);
    if grows(of) {
        corners(&mut marks, &there(&laid.box_to_bed(&of.grown_box(&laid.print)), shows), GROWN, SHEET_ARM);
    }
    for plate in &laid.plates {
        let metal = there(&plate.bed, shows);
        marks.push(Mark::Line { pen: LINE, points: metal.corners().to_vec(), closed: true });
        corners(&mut marks, &metal, HEAVY, PLATE_ARM);
        up_arrow(&mut marks, &metal, up(laid.across, plate.turned));
        if grows(of) {
            let grown = there(&laid.box_to_bed(&of.grown_box(&plate.print)), shows);
            marks.push(Mark::Line { pen: DASHED, points: grown.corners().to_vec(), closed: true });
        }
    }
    // The point where nothing moves: the middle of the sheet, or of the line where the roller lets go of it.
    let (x, y) = laid.to_bed(of.still());
    let (x, y) = (x - shows.x, y - shows.y);
    let cross = [[(x - 5.0, y), (x + 5.0, y)], [(x, y - 5.0), (x, y + 5.0)]];
    marks.push(Mark::Strokes { pen: LINE, strokes: cross.map(|ends| ends.map(|(x, y)| PagePoint::new(x, y))).to_vec() });
    marks
}

/// What stands on the template itself: a plate's letter wherever a tile shows enough of it, corners of the sheet, the misfit at the ends.
fn labels(sheet: &mut Sheet, of: &Registration, shows: &PageBox, tile: &Tile, origin: PagePoint) {
    let laid = of.laid();
    let cell = tile.cell;
    let meet = |of: &PageBox| {
        let (x, y) = (of.x.max(cell.x), of.y.max(cell.y));
        PageBox::new(x, y, of.right().min(cell.right()) - x, of.foot().min(cell.foot()) - y)
    };
    // Past what becomes of the strip, and of the marks at a join.
    let inside = |x: f64, y: f64, wide: f64| {
        let clear = 14.0;
        let part = |at: f64, from: f64, to: f64, joined: (bool, bool)| {
            at >= from + if joined.0 { clear } else { 0.0 } && at <= to - if joined.1 { clear } else { 0.0 }
        };
        let across = (tile.column > 0, tile.column + 1 < tile.of.1);
        let down = (tile.row > 0, tile.row + 1 < tile.of.0);
        part(x, cell.x, cell.right(), across) && part(x + wide, cell.x, cell.right(), across) && part(y, cell.y, cell.foot(), down)
    };
    for plate in &laid.plates {
        let metal = there(&plate.bed, shows);
        let seen = meet(&metal);
        // A narrow plate has its letter where a tile shows it whole, or nearly; of a broad one a hand's breadth is enough.
        if seen.width < 44.0_f64.min(metal.width * 0.8) || seen.height < 40.0_f64.min(metal.height * 0.8) {
            continue;
        }
        let (x, y) = (origin.x + seen.x + seen.width / 2.0, origin.y + seen.y + seen.height * if seen.height < 40.0 { 0.6 } else { 0.36 });
        let narrow = seen.width < 44.0 || seen.height < 40.0;
        let room = if narrow { (seen.width - 2.0).max(2.0) } else { seen.width - 30.0 };
        let sizes: &[f64] = if seen.height < 40.0 { &[20.0, 12.0, 9.0] } else { &[40.0, 30.0, 20.0, 12.0, 9.0] };
        let (size, letter) = fitted(Weight::Semibold, &plate.letter, sizes, room);
        sheet.text(Weight::Semibold, size, Align::Middle, (x, y), letter);
        if narrow {
            continue;
        }
        let turned = if plate.turned { ", turned" } else { "" };
        let words = format!("plate {} × {} mm{turned}", plain(plate.print.width), plain(plate.print.height));
        let (size, words) = fitted(Weight::Regular, &words, &[10.0, 9.0], seen.width - 4.0);
        sheet.text(Weight::Regular, size, Align::Middle, (x, y + 6.0), words);
    }
    let regular = TypeFace::of(Weight::Regular);
    let mut put = |x: f64, y: f64, align: Align, words: &str| {
        let long = regular.width(words, 9.0).0;
        let from = match align {
            Align::Start => x,
            Align::Middle => x - long / 2.0,
            Align::End => x - long,
        };
        let there = inside(from, y, long);
        if there {
            sheet.text(Weight::Regular, 9.0, align, (origin.x + x, origin.y + y), words);
        }
        there
    };
    let corner = there(&laid.sheet, shows);
    if laid.margins().iter().all(|margin| *margin > 12.0) {
        put(corner.x + 6.0, corner.y + 8.0, Align::Start, "corner of the sheet");
        put(corner.right() - 6.0, corner.foot() - 6.0, Align::End, "corner of the sheet");
    }
    if grows(of) {
        let (block, grown) = (there(&laid.box_to_bed(&laid.block), shows), there(&laid.box_to_bed(&of.grown_box(&laid.block)), shows));
        // How far off each end is: from the middle both alike, from the roller none near it and most at the other end.
        let off = [grown.x - block.x, grown.right() - block.right(), grown.y - block.y, grown.foot() - block.foot()].map(f64::abs);
        let [left, right, top, foot] = off.map(|mm| format!("{}{mm:.2} mm", if laid.grip.is_none() { "±" } else { "" }));
        // Somewhere along each end, clear of the joins.
        let mut along = |at: &dyn Fn(f64) -> (f64, f64), align: Align, words: &str| {
            let _ = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9].into_iter().any(|share| {
                let (x, y) = at(share);
                put(x, y, align, words)
            });
        };
        along(&|share| (block.x - off[0] - 2.0, block.y + share * block.height), Align::End, &left);
        along(&|share| (block.right() + off[1] + 2.0, block.y + share * block.height), Align::Start, &right);
        along(&|share| (block.x + share * block.width, block.y - off[2] - 2.0), Align::Middle, &top);
        along(&|share| (block.x + share * block.width, block.foot() + off[3] + 5.0), Align::Middle, &foot);
    }
}

fn words(sheet: &mut Sheet, job: &Job, of: &Registration, (tile, tiled): (&Tile, bool), (page, all): (usize, usize)) {
    let (wide, high) = (sheet.page.width.0, sheet.page.height.0);
    let (left, right) = (PAD, wide - PAD);
    let sign = PageBox::new(right - 12.0, PAD, 12.0, 12.0);
    frame::view_sign(sheet, sign, View::Plate);
    sheet.text(Weight::Semibold, 11.0, Align::End, (sign.x - 2.5, PAD + 5.0), View::Plate.words());
    sheet.text(Weight::Regular, 9.0, Align::End, (sign.x - 2.5, PAD + 10.0), format!("sheet {page} of {all}"));
    let letter = alone(job, of).map_or_else(String::new, |letter| format!(" {letter}"));
    let name = if tiled { format!("Registration{letter} {}", tile.code()) } else { format!("Registration template{letter}") };
    let name_wide = TypeFace::of(Weight::Semibold).width(&name, 20.0).0;
    sheet.text(Weight::Semibold, 20.0, Align::Start, (left, PAD + 6.2), name);
    let view_wide = TypeFace::of(Weight::Semibold).width(View::Plate.words(), 11.0).0;
    let room = sign.x - 2.5 - view_wide - 5.0 - (left + name_wide + 5.0);
    if room > 15.0 && !job.settings.title.is_empty() {
        let (size, title) = fitted(Weight::Regular, &job.settings.title, &[14.0, 12.0, 10.0, 9.0], room);
        sheet.text(Weight::Regular, size, Align::Start, (left + name_wide + 5.0, PAD + 6.2), title);
    }
    let first = match of.laid().feed {
        Feed::Left => "the left end goes in first",
        Feed::Right => "the right end goes in first",
    };
    let place = if tiled {
        format!("{first} · {} · true size: the bar measures 100 mm", tile.place())
    } else {
        format!("{first} · true size: the bar measures 100 mm")
    };
    let (size, place) = fitted(Weight::Regular, &place, &[10.0, 9.0], sign.x - left - 34.0);
    sheet.text(Weight::Regular, size, Align::Start, (left, PAD + 11.6), place);
    let rule = if of.laid().grip.is_some() {
        "Lies on the bed, this side up, under glass or clear film: plates at the heavy corners, arrow to the top, the sheet at its own, caught under the \
         roller."
    } else {
        "Lies on the bed, this side up, under glass or clear film: plates at the heavy corners, arrow to the top, the sheet at its own, middle on middle."
    };
    let dashed = if grows(of) { " Dashed: the sheet and the print before, as they have grown." } else { "" };
    let y = paragraph(sheet, Weight::Semibold, 9.5, (left, high - PAD - FOOT), wide - 2.0 * PAD, &format!("{rule}{dashed}"));
    paragraph(sheet, Weight::Regular, 9.0, (left, y + 0.6), wide - 2.0 * PAD, &of.sentence());
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, bites, letter, says, sheets_by};
    use super::super::words_apart::faults;
    use super::super::{Kind, Paper, SheetSettings};
    use super::*;
    use crate::bed::{Asked, InRow, lay};
    use crate::registration::Growth;
    use crate::rows::Standing;
    use crate::units::Millimetres;

    fn registration(widths: &[f64], sheet: (f64, f64), along: bool, growth: f64) -> Registration {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        let row = widths.iter().enumerate().map(|(plate, &width)| InRow {
            letter: ["C", "A", "B", "D"][plate].to_owned(),
            standing: Standing { plate, turned: plate == 1 },
            size: size(width, 180.0),
            top: Millimetres(0.0),
        });
        let asked = Asked { sheet: size(sheet.0, sheet.1), bed: size(1200.0, 800.0), along, ..Asked::default() };
        let laid = lay(&[row.collect()], &asked).unwrap();
        Registration::of(laid, Growth { along: growth / 4.0, across: growth, fibre_across: false }).unwrap()
    }

    fn drawn(of: Registration, paper: Paper) -> Vec<Sheet> {
        let (plate, map) = letter(160.0, 180.0);
        let settings = SheetSettings {
            paper,
            title: "Ice house".into(),
            kinds: vec![Kind::Registration],
            registration: vec![of],
            ..SheetSettings::default()
        };
        sheets_by(&plate, map, &bites(3), &settings).sheets
    }

    /// Bends of the corner marks of one pen, on the whole template: tiles laid together.
    fn bends(of: &Registration, pen: Pen) -> Vec<PagePoint> {
        let laid = of.laid();
        let shows = PageBox::new(0.0, 0.0, laid.bed.width, laid.bed.height);
        let bend = |mark: Mark| match mark {
            Mark::Line { pen: drawn, points, closed: false } if drawn == pen => Some(points[1]),
            _ => None,
        };
        marks(of, &shows).into_iter().filter_map(bend).collect()
    }

    #[test]
    fn corners_bend_where_plates_and_sheet_end_and_the_grown_sheet_ends_farther_out() {
        let of = registration(&[120.0, 120.0, 160.0, 90.0], (600.0, 380.0), true, 0.01);
        let heavy = bends(&of, HEAVY);
        // The sheet, then four plates, mirrored: C ends 50.5 mm from the sheet's right edge.
        assert_eq!(heavy.len(), 20);
        let sheet = of.laid().sheet;
        assert_eq!((heavy[0].x, heavy[0].y), (sheet.x, sheet.y));
        assert!((heavy[5].x - (sheet.right() - 50.5)).abs() < 1e-9 && (heavy[5].x - heavy[4].x - 120.0).abs() < 1e-9);
        let grown = bends(&of, GROWN);
        assert!((sheet.x - grown[0].x - 3.0).abs() < 1e-9, "1 % of 600 mm, half to each side");
        assert!((sheet.y - grown[0].y - 0.475).abs() < 1e-9, "0.25 % of 380 mm");
    }

    /// The tips of arrows, on the whole template, with where they point.
    fn arrows(of: &Registration) -> Vec<((f64, f64), (f64, f64))> {
        let laid = of.laid();
        let shows = PageBox::new(0.0, 0.0, laid.bed.width, laid.bed.height);
        let tail = |mark: Mark| match mark {
            Mark::Line { pen: LINE, points, closed: false } if points.len() == 2 => {
                let (tip, back) = (points[0], points[1]);
                let long = (tip.x - back.x).hypot(tip.y - back.y);
                Some(((tip.x, tip.y), ((tip.x - back.x) / long, (tip.y - back.y) / long)))
            }
            _ => None,
        };
        marks(of, &shows).into_iter().filter_map(tail).collect()
    }

    #[test]
    fn every_plate_has_an_arrow_to_its_top_and_its_letter_however_narrow() {
        for along in [true, false] {
            let of = registration(&[120.0, 30.0, 160.0, 18.0], (600.0, 380.0), along, 0.01);
            let arrows = arrows(&of);
            assert_eq!(arrows.len(), 4);
            for (plate, (tip, way)) in of.laid().plates.iter().zip(&arrows) {
                // By hand: where the upper edge's middle of the print lies on the bed; a turned plate's top is its lower edge.
                let edge = if plate.turned { plate.print.foot() } else { plate.print.y };
                let top = of.laid().to_bed((plate.print.x + plate.print.width / 2.0, edge));
                let off = ((top.0 - tip.0) * way.0 + (top.1 - tip.1) * way.1, ((top.0 - tip.0) * way.1 - (top.1 - tip.1) * way.0).abs());
                assert!(off.0 > 0.0 && off.0 < 3.0 && off.1 < 1e-9, "{plate:?} {tip:?} {way:?}");
            }
            let made = drawn(of, Paper::A3);
            for letter in ["C", "A", "B", "D"] {
                assert!(made.iter().any(|sheet| sheet.words().any(|words| words == letter)), "{letter}, along {along}");
            }
            for sheet in &made {
                assert_legible(sheet);
                assert_eq!(faults(sheet), Vec::<String>::new(), "{}", sheet.name);
                assert!(says(sheet, "the left end goes in first"), "{}", sheet.name);
            }
        }
    }

    #[test]
    fn each_of_several_templates_says_whose_it_is() {
        let (plate, map) = letter(160.0, 180.0);
        let of = |index: usize| {
            let mut all = registration(&[60.0, 60.0], (260.0, 262.0), true, 0.0).laid().clone();
            all.plates = vec![all.plates.remove(index)];
            Registration::of(all, Growth { along: 0.0, across: 0.0, fibre_across: false }).unwrap()
        };
        let settings = SheetSettings {
            paper: Paper::A3,
            kinds: vec![Kind::Registration],
            registration: vec![of(0), of(1)],
            ..SheetSettings::default()
        };
        let made = sheets_by(&plate, map, &bites(3), &settings).sheets;
        assert_eq!(made.len(), 2);
        assert!(says(&made[0], "Registration template C") && says(&made[1], "Registration template A"));
        assert!(made[0].name.ends_with(" C") && says(&made[1], "sheet 2 of 2"), "{} {}", made[0].name, made[1].name);
    }

    #[test]
    fn tiles_are_at_true_size_legible_and_say_the_misfit() {
        for (widths, sheet, along, paper, count) in [
            (&[120.0, 120.0, 160.0, 90.0][..], (600.0, 380.0), true, Paper::A4, 8),
            (&[120.0, 120.0, 160.0, 90.0][..], (600.0, 380.0), false, Paper::A3, 3),
            (&[60.0][..], (150.0, 262.0), true, Paper::A3, 1),
        ] {
            let of = registration(widths, sheet, along, 0.01);
            let said = of.sentence();
            let made = drawn(of, paper);
            assert_eq!(made.len(), count, "{paper:?}");
            for sheet in &made {
                assert_legible(sheet);
                assert_eq!(faults(sheet), Vec::<String>::new(), "{}", sheet.name);
                assert!(says(sheet, "PLATE VIEW") && says(sheet, "measure me"), "{}", sheet.name);
                assert!(says(sheet, &said.split(' ').take(6).collect::<Vec<_>>().join(" ")), "{}", sheet.name);
            }
            assert!(made.iter().any(|sheet| sheet.words().any(|words| words.starts_with('±'))));
            for letter in ["C", "A", "B", "D"].iter().take(widths.len()) {
                assert!(made.iter().any(|sheet| sheet.words().any(|words| words == *letter)), "{letter}");
            }
        }
        // Without growth nothing is dashed but the joins.
        let still = registration(&[60.0], (150.0, 262.0), true, 0.0);
        assert!(bends(&still, GROWN).is_empty());
        assert!(!says(&drawn(still, Paper::A3)[0], "Dashed"));
    }
}
