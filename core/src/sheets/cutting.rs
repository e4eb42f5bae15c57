//! Cutting sheets: every piece of thin paper at true size, seen from its paste side, which is the mirror of the print; growth is taken off. The
//! sheet is laid on the back of the paper and both are cut through, so each piece and the waste beside it carry a number.

use super::Job;
use super::frame::{self, DASHED, HAIR, LINE};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::fitted;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::tiling::Axis;
use super::{View, plain};
use crate::components::Components;
use crate::papers::{self, Paste, ToLay};
use crate::piece::Piece;
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, PointMm, PxPerMm};

/// The papers of a pull, as the sheets have them.
#[derive(Clone, Debug, PartialEq)]
pub struct PapersToLay {
    /// The pieces, the first laid first; at least one.
    pub pieces: Vec<ToLay>,
    /// The printer's own figures.
    pub paste: Paste,
    /// What is to be said before all else: figures that are nobody's trial, pieces that are left out; may be empty.
    pub said: String,
}

/// Room under the head for the sign, and at the foot for bar and words, mm.
const SIGN: f64 = 25.0;
const FOOT: f64 = 33.0;
/// Strip over a piece for its number on the waste and its arrow, mm; and between cells.
const STRIP: f64 = 10.0;
const GAP: f64 = 6.0;
/// Least width of a cell, mm.
const LEAST: f64 = 24.0;
/// Size of numbers, pt.
const NUMBER: f64 = 12.0;
/// What a torn piece's line looks like.
const TEAR: Pen = Pen::dashed(0.35);

/// One page.
#[derive(Clone, Debug, PartialEq)]
enum Page {
    /// Pieces side by side: which, and the upper left corner of its cell.
    Pieces(Vec<(usize, PagePoint)>),
    /// A part of one piece that is larger than a page: its cell and window, mm of the piece's own box.
    Part { piece: usize, place: (usize, usize), of: (usize, usize), cell: PageBox, window: PageBox },
}

/// A piece as it is cut, mirrored, its box's upper left corner at 0, 0.
struct Shape {
    points: Vec<PointMm>,
    width: f64,
    height: f64,
}

impl Shape {
    fn of(piece: &ToLay) -> Self {
        let cut = piece.cut();
        let right = cut.iter().map(|point| point.x).fold(f64::NEG_INFINITY, f64::max);
        let top = cut.iter().map(|point| point.y).fold(f64::INFINITY, f64::min);
        let points: Vec<PointMm> = cut.iter().map(|point| PointMm { x: right - point.x, y: point.y - top }).collect();
        let most = |of: fn(&PointMm) -> f64| points.iter().map(of).fold(0.0, f64::max);
        Self { width: most(|p| p.x), height: most(|p| p.y), points }
    }

    /// The point deepest in each of its parts and how deep that lies, mm, the deepest first; at least one, and no more than `parts`.
    fn deepest(&self, parts: usize) -> Vec<(PointMm, f64)> {
        let resolution = PxPerMm(4.0_f64.min(600.0 / self.width.max(self.height).max(1.0)));
        let pixels = |mm: f64| (libm::ceil(mm * resolution.0) as usize).max(1);
        let size = (pixels(self.width), pixels(self.height));
        let middle = (PointMm { x: self.width / 2.0, y: self.height / 2.0 }, 0.0);
        let Some(signed) = Piece::new(self.points.clone()).ok().and_then(|piece| piece.signed(size, resolution, Millimetres(25.0))) else {
            return vec![middle];
        };
        let inside = Components::of(&signed.distances.map(|&deep| u8::from(deep > 0.0)));
        let mut best = vec![middle; inside.count()];
        inside.each_stretch(|y, start, end, part| {
            for x in start..end {
                let deep = f64::from(signed.distances.at(x, y));
                if deep > best[part].1 + 1e-6 {
                    let at = |pixel: usize, corner: usize| ((pixel + corner) as f64 + 0.5) / resolution.0;
                    best[part] = (PointMm { x: at(x, signed.corner.0), y: at(y, signed.corner.1) }, deep);
                }
            }
        });
        best.retain(|&(_, deep)| deep > 0.0);
        best.sort_by(|a, b| b.1.total_cmp(&a.1));
        best.truncate(parts.max(1));
        if best.is_empty() { vec![middle] } else { best }
    }
}

fn room(job: &Job) -> PageBox {
    let page = job.settings.paper.size();
    let top = PAD + HEAD + SIGN;
    PageBox::new(PAD, top, page.width.0 - 2.0 * PAD, page.height.0 - PAD - FOOT - top)
}

/// The pages: by paper, in the order in which the papers come up; on each paper the tallest pieces first, row by row.
fn plan(job: &Job, papers: &PapersToLay) -> Vec<Page> {
    let room = room(job);
    let mut stocks: Vec<usize> = Vec::new();
    for piece in &papers.pieces {
        if !stocks.contains(&piece.paper) {
            stocks.push(piece.paper);
        }
    }
    let shapes: Vec<(f64, f64)> = papers.pieces.iter().map(Shape::of).map(|shape| (shape.width, shape.height)).collect();
    let mut pages = Vec::new();
    for stock in stocks {
        let mut small = Vec::new();
        for at in (0..papers.pieces.len()).filter(|&at| papers.pieces[at].paper == stock) {
            let (width, height) = shapes[at];
            if width <= room.width && height + STRIP <= room.height {
                small.push(at);
                continue;
            }
            let axis = |length: f64, usable: f64| Axis::of(length, (0.0, 0.0), usable, &[]);
            let (across, down) = (axis(width, room.width), axis(height, room.height - STRIP));
            for (row, (cell_y, window_y)) in down.cells().into_iter().zip(down.windows()).enumerate() {
                for (column, (cell_x, window_x)) in across.cells().into_iter().zip(across.windows()).enumerate() {
                    let of = |x: (f64, f64), y: (f64, f64)| PageBox::new(x.0, y.0, x.1 - x.0, y.1 - y.0);
                    pages.push(Page::Part {
                        piece: at,
                        place: (row, column),
                        of: (down.cells().len(), across.cells().len()),
                        cell: of(cell_x, cell_y),
                        window: of(window_x, window_y),
                    });
                }
            }
        }
        small.sort_by(|&a, &b| shapes[b].1.total_cmp(&shapes[a].1).then(a.cmp(&b)));
        let mut page: Vec<(usize, PagePoint)> = Vec::new();
        let (mut x, mut y, mut row) = (room.x, room.y, 0.0_f64);
        for at in small {
            let (width, height) = (shapes[at].0.max(over_piece(&papers.pieces[at])).min(room.width), shapes[at].1 + STRIP);
            if x > room.x && x + width > room.right() + 1e-9 {
                (x, y, row) = (room.x, y + row + GAP, 0.0);
            }
            if y + height > room.foot() + 1e-9 {
                pages.push(Page::Pieces(std::mem::take(&mut page)));
                (x, y, row) = (room.x, room.y, 0.0);
            }
            page.push((at, PagePoint::new(x, y)));
            (x, row) = (x + width + GAP, row.max(height));
        }
        if !page.is_empty() {
            pages.push(Page::Pieces(page));
        }
    }
    pages
}

/// How many pages there are.
pub(super) fn pages(job: &Job) -> usize {
    job.settings.papers.as_ref().map_or(0, |papers| plan(job, papers).len())
}

/// All pages.
pub(super) fn sheets(job: &Job, (first, all): (usize, usize)) -> Vec<Sheet> {
    let Some(papers) = &job.settings.papers else { return Vec::new() };
    let pages = plan(job, papers);
    let draw = |(at, page): (usize, &Page)| sheet(job, papers, page, (first + at, all));
    pages.iter().enumerate().map(draw).collect()
}

fn sheet(job: &Job, papers: &PapersToLay, page: &Page, number: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("cutting sheet", job.settings.paper.size());
    head(&mut sheet, job, "Cutting sheet", number);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let room = room(job);
    let shown = match page {
        Page::Pieces(cells) => cells.iter().map(|&(at, _)| &papers.pieces[at]).collect(),
        Page::Part { piece, .. } => vec![&papers.pieces[*piece]],
    };
    signs(&mut sheet, &shown, (left, right));
    match page {
        Page::Pieces(cells) => cells.iter().for_each(|&(at, corner)| whole(&mut sheet, &papers.pieces[at], corner)),
        Page::Part { piece, place, of, cell, window } => {
            part(&mut sheet, &papers.pieces[*piece], (*place, *of), (*cell, *window), room);
        }
    }
    let foot = sheet.page.height.0 - PAD - FOOT;
    frame::bar_across(&mut sheet, ((left + right) / 2.0 - 50.0, foot + 6.0));
    frame::bar_along(&mut sheet, (6.5, room.y + (room.height - 100.0) / 2.0));
    let torn = if shown.iter().any(|piece| piece.torn) { " A broken line is torn along, not cut." } else { "" };
    let turned = if shown.iter().any(|piece| piece.turned) {
        " “Good side up”: this piece goes with its other side to the ink, so its good side is the one you see here and paste."
    } else {
        ""
    };
    let words = format!(
        "Lay this sheet on the paste side of the paper, arrows along its fibres, and cut through both along the line. The number beside a piece stays on the waste; write the number in it on its paste side, in \
         pencil. Outside the lines is waste.{torn}{turned}"
    );
    paragraph(&mut sheet, Weight::Regular, 10.0, (left, foot + 10.0), right - left, &words);
    sheet
}

/// The sign of the view, the paper's name, and what was taken off.
fn signs(sheet: &mut Sheet, shown: &[&ToLay], (left, right): (f64, f64)) {
    let top = PAD + HEAD + 1.0;
    frame::view_sign(sheet, PageBox::new(left, top, 8.4, 8.4), View::Plate);
    sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, top + 3.7), "PASTE SIDE UP");
    let words = "mirror of the print, as the plate lies face up: good side down to the ink, paste towards you";
    let (size, words) = fitted(Weight::Regular, words, &[11.0, 10.0, 9.0], right - left - 11.0);
    sheet.text(Weight::Regular, size, Align::Start, (left + 11.0, top + 8.2), words);
    let Some(first) = shown.first() else { return };
    let stock = &first.stock;
    let (size, name) = fitted(Weight::Semibold, &stock.name, &[14.0, 12.0, 11.0, 10.0, 9.0], right - left);
    sheet.text(Weight::Semibold, size, Align::Start, (left, top + 15.2), name);
    let percent = |share: f64| plain(libm::round(share * 1000.0) / 10.0);
    let cut = |share: f64| format!("{:.2}", 100.0 / (1.0 + share));
    let words = if stock.along == 0.0 && stock.across == 0.0 {
        "No growth is given for this paper: pieces are drawn as they lie in the print. Measure it first.".to_owned()
    } else {
        format!(
            "Grows by {} % along its fibres and {} % across: drawn smaller, {} mm and {} mm for 100 mm.",
            percent(stock.along),
            percent(stock.across),
            cut(stock.along),
            cut(stock.across)
        )
    };
    let (size, words) = fitted(Weight::Regular, &words, &[10.0, 9.5, 9.0], right - left);
    sheet.text(Weight::Regular, size, Align::Start, (left, top + 20.6), words);
}

/// Polylines of what the knife follows.
fn lines(shape: &Shape, (right, down): (f64, f64), pen: Pen) -> Vec<Mark> {
    let point = |at: PointMm| PagePoint::new(at.x + right, at.y + down);
    let mut marks: Vec<Vec<PagePoint>> = Vec::new();
    for [from, to] in papers::cut_lines(&shape.points) {
        let (from, to) = (point(from), point(to));
        match marks.last_mut() {
            Some(line) if line.last() == Some(&from) => line.push(to),
            _ => marks.push(vec![from, to]),
        }
    }
    let line = |mut points: Vec<PagePoint>| {
        let closed = points.len() > 2 && points.first() == points.last();
        if closed {
            points.pop();
        }
        Mark::Line { pen, points, closed }
    };
    marks.into_iter().map(line).collect()
}

fn pen(piece: &ToLay) -> Pen {
    if piece.torn { TEAR } else { LINE }
}

/// What is to be minded of a piece, beside its number.
fn minded(piece: &ToLay) -> String {
    let parts = if piece.parts > 1 { format!("{} parts", piece.parts) } else { String::new() };
    let all = [if piece.turned { "good side up" } else { "" }, if piece.torn { "torn" } else { "" }, &parts];
    all.into_iter().filter(|words| !words.is_empty()).collect::<Vec<_>>().join(", ")
}

/// Width of the strip over a piece: a small piece's words stand beside it rather than nowhere.
fn over_piece(piece: &ToLay) -> f64 {
    let number = TypeFace::of(Weight::Semibold).width(&piece.number.to_string(), NUMBER).0;
    let words = minded(piece);
    let words = if words.is_empty() { 0.0 } else { TypeFace::of(Weight::Regular).width(&words, 9.0).0 + 0.5 };
    (number + 12.0 + words).max(LEAST)
}

/// The number on the waste, what is to be minded of the piece, and the arrow of its fibres, in the strip over it.
fn on_waste(sheet: &mut Sheet, piece: &ToLay, (x, y): (f64, f64)) {
    let words = piece.number.to_string();
    let wide = TypeFace::of(Weight::Semibold).width(&words, NUMBER).0;
    sheet.text(Weight::Semibold, NUMBER, Align::Start, (x, y + 6.2), words);
    arrow(sheet, piece.fibre, (x + wide + 6.0, y + 4.2), 3.6);
    let mind = minded(piece);
    if !mind.is_empty() {
        sheet.text(Weight::Regular, 9.0, Align::Start, (x + wide + 12.0, y + 6.2), mind);
    }
}

/// An arrow with two points along the fibres; seen from the paste side they run the other way round.
fn arrow(sheet: &mut Sheet, fibre: f64, (x, y): (f64, f64), half: f64) {
    let angle = (180.0 - fibre).to_radians();
    let (dx, dy) = (libm::cos(angle), -libm::sin(angle));
    let at = |along: f64, aside: f64| PagePoint::new(x + along * dx - aside * dy, y + along * dy + aside * dx);
    let mut strokes = vec![[at(-half, 0.0), at(half, 0.0)]];
    for end in [-1.0, 1.0] {
        for side in [-1.0, 1.0] {
            strokes.push([at(end * half, 0.0), at(end * (half - 1.4), side * 0.9)]);
        }
    }
    sheet.strokes(LINE, strokes);
}

/// The number in the piece where it has room, else a dot that the number beside it speaks for.
fn in_piece(sheet: &mut Sheet, number: usize, (at, deep): (PointMm, f64), (right, down): (f64, f64)) {
    let words = number.to_string();
    let face = TypeFace::of(Weight::Semibold);
    let fits =
        [NUMBER, 10.0, 9.0].into_iter().find(|&size| libm::hypot(face.width(&words, size).0, face.cap_height(size).0) / 2.0 + 0.4 <= deep);
    let (x, y) = (at.x + right, at.y + down);
    match fits {
        Some(size) => sheet.text(Weight::Semibold, size, Align::Middle, (x, y + face.cap_height(size).0 / 2.0), words),
        None => sheet.strokes(
            HAIR,
            vec![[PagePoint::new(x - 0.3, y), PagePoint::new(x + 0.3, y)], [PagePoint::new(x, y - 0.3), PagePoint::new(x, y + 0.3)]],
        ),
    }
}

/// A piece that has room on a page.
fn whole(sheet: &mut Sheet, piece: &ToLay, corner: PagePoint) {
    let shape = Shape::of(piece);
    let at = (corner.x, corner.y + STRIP);
    on_waste(sheet, piece, (corner.x, corner.y));
    sheet.marks.extend(lines(&shape, at, pen(piece)));
    for place in shape.deepest(piece.parts) {
        in_piece(sheet, piece.number, place, at);
    }
}

/// A part of a piece larger than a page.
fn part(
    sheet: &mut Sheet,
    piece: &ToLay,
    ((row, column), (rows, columns)): ((usize, usize), (usize, usize)),
    (cell, window): (PageBox, PageBox),
    room: PageBox,
) {
    let shape = Shape::of(piece);
    let clip = PageBox::new(room.x, room.y + STRIP, window.width, window.height);
    let origin = (clip.x - window.x, clip.y - window.y);
    on_waste(sheet, piece, (room.x, room.y));
    // The words of the part stand behind those of the piece.
    let beside = (over_piece(piece) + 4.0).max(64.0);
    let code = format!("part {} of {}: row {}, column {}", row * columns + column + 1, rows * columns, row + 1, column + 1);
    let words = format!("{code} · overlap the parts by 10 mm, broken line on broken line");
    let (size, words) = fitted(Weight::Regular, &words, &[10.0, 9.0], room.width - beside);
    sheet.text(Weight::Regular, size, Align::Start, (room.x + beside, room.y + 6.2), words);
    let marks = lines(&shape, origin, pen(piece));
    let near = marks.iter().filter_map(|mark| mark.near(&clip)).collect();
    sheet.marks.push(Mark::Within { clip, marks: near });
    // Where a neighbour's part begins.
    let seen = PageBox::new(cell.x + origin.0, cell.y + origin.1, cell.width, cell.height);
    for (is, from, to) in [
        (column > 0, (seen.x, clip.y), (seen.x, clip.foot())),
        (column + 1 < columns, (seen.right(), clip.y), (seen.right(), clip.foot())),
        (row > 0, (clip.x, seen.y), (clip.right(), seen.y)),
        (row + 1 < rows, (clip.x, seen.foot()), (clip.right(), seen.foot())),
    ] {
        if is {
            sheet.stroke(DASHED, from, to);
        }
    }
    let middle = PointMm { x: seen.x + seen.width / 2.0, y: seen.y + seen.height / 2.0 };
    let deep = shape.deepest(1)[0].1;
    in_piece(sheet, piece.number, (middle, deep), (0.0, 0.0));
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::super::{Kind, SheetSet, SheetSettings};
    use super::*;
    use crate::laying::{PACE, PIECE};
    use crate::papers::Stock;
    use crate::units::Seconds;
    use approx::assert_abs_diff_eq;

    pub(in super::super) const PASTE: Paste = Paste { open: Seconds(480.0), each: Seconds(11.0), pace: PACE, scatter: PIECE };

    /// An L: its foot points to the right in the print.
    pub(in super::super) fn ell(number: usize, scale: f64, name: &str) -> ToLay {
        let points = [(0.0, 0.0), (20.0, 0.0), (20.0, 60.0), (50.0, 60.0), (50.0, 80.0), (0.0, 80.0)];
        ToLay {
            name: String::new(),
            number,
            outline: points.map(|(x, y)| PointMm { x: x * scale, y: y * scale }).to_vec(),
            whole: false,
            parts: 1,
            paper: usize::from(name != "kozo"),
            stock: Stock { name: name.to_owned(), along: 0.002, across: 0.021 },
            fibre: 0.0,
            turned: number.is_multiple_of(3),
            torn: number.is_multiple_of(5),
        }
    }

    /// Outlines of a page: points of lines with the knife's pen.
    fn outlines(sheet: &Sheet) -> Vec<Vec<PagePoint>> {
        let marks = sheet.marks.iter().flat_map(|mark| match mark {
            Mark::Within { marks, .. } => marks.iter(),
            other => std::slice::from_ref(other).iter(),
        });
        marks
            .filter_map(|mark| match mark {
                Mark::Line { pen, points, closed: true } if *pen == LINE && points.len() == 6 => Some(points.clone()),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn a_piece_is_mirrored_once_and_smaller_by_its_growth() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 10 {
                return;
            }
            let papers = PapersToLay { pieces: vec![ell(1, 1.0, "mulberry")], paste: PASTE, said: String::new() };
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Cutting];
            settings.papers = Some(papers);
            let set = SheetSet::of(Job { settings: &settings, ..*job });
            assert_eq!((set.pages(), set.entries()[0].view.as_deref()), (1, Some("PASTE SIDE UP, mirror of the print")));
            let sheet = set.around(0).unwrap().1.remove(0);
            assert_legible(&sheet);
            assert!(says(&sheet, "PASTE SIDE UP") && says(&sheet, "mirror of the print") && says(&sheet, "mulberry"));
            assert!(says(&sheet, "Grows by 0.2 % along its fibres and 2.1 % across") && says(&sheet, "97.94 mm"));
            // A paper that nobody measured is not said to stay as it is.
            let mut unmeasured = settings.clone();
            unmeasured.papers.iter_mut().for_each(|papers| (papers.pieces[0].stock.along, papers.pieces[0].stock.across) = (0.0, 0.0));
            let plain = SheetSet::of(Job { settings: &unmeasured, ..*job }).around(0).unwrap().1.remove(0);
            assert_legible(&plain);
            assert!(plain.words().collect::<Vec<_>>().join(" ").contains("No growth is given for this paper"));
            let all = outlines(&sheet);
            assert_eq!(all.len(), 1);
            let span = |of: fn(&PagePoint) -> f64| {
                let (least, most) = all[0].iter().map(of).fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)));
                (least, most)
            };
            let ((left, right), (top, foot)) = (span(|p| p.x), span(|p| p.y));
            assert_abs_diff_eq!(right - left, 50.0 / 1.002, epsilon = 1e-9);
            assert_abs_diff_eq!(foot - top, 80.0 / 1.021, epsilon = 1e-9);
            // The stem stands at the left of the print, so at the right here: the top edge lies on that side.
            let upper = all[0].iter().filter(|point| (point.y - top).abs() < 1e-6).map(|point| point.x).fold(f64::MAX, f64::min);
            assert_abs_diff_eq!(upper, right - 20.0 / 1.002, epsilon = 1e-9);
        });
    }

    #[test]
    fn two_hundred_pieces_are_packed_by_paper_and_none_lies_over_another() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 2 || job.plate.size().width.0 != 160.0 {
                return;
            }
            let pieces: Vec<ToLay> = (1..=200).map(|i| ell(i, 0.2 + 0.01 * (i % 70) as f64, ["kozo", "gampi"][i % 2])).collect();
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Cutting];
            settings.papers = Some(PapersToLay { pieces, paste: PASTE, said: String::new() });
            let job = Job { settings: &settings, ..*job };
            let papers = settings.papers.as_ref().unwrap();
            let pages = plan(&job, papers);
            let mut seen = Vec::new();
            for page in &pages {
                let Page::Pieces(cells) = page else { panic!("none is larger than a page") };
                let names: Vec<&str> = cells.iter().map(|&(at, _)| papers.pieces[at].stock.name.as_str()).collect();
                assert!(names.iter().all(|name| name == &names[0]));
                let boxes: Vec<PageBox> = cells
                    .iter()
                    .map(|&(at, corner)| {
                        let shape = Shape::of(&papers.pieces[at]);
                        PageBox::new(corner.x, corner.y, shape.width.max(over_piece(&papers.pieces[at])), shape.height + STRIP)
                    })
                    .collect();
                for (i, a) in boxes.iter().enumerate() {
                    assert!(a.right() <= room(&job).right() + 1e-6 && a.foot() <= room(&job).foot() + 1e-6);
                    assert!(boxes[i + 1..].iter().all(|b| a.right() <= b.x || b.right() <= a.x || a.foot() <= b.y || b.foot() <= a.y));
                }
                seen.extend(cells.iter().map(|&(at, _)| at));
            }
            seen.sort_unstable();
            assert_eq!(seen, (0..200).collect::<Vec<_>>());
            for sheet in sheets(&job, (1, pages.len())) {
                assert_legible(&sheet);
            }
        });
    }

    #[test]
    fn what_is_larger_than_the_paper_comes_in_parts() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 2 {
                return;
            }
            let mut settings: SheetSettings = job.settings.clone();
            settings.kinds = vec![Kind::Cutting];
            settings.papers = Some(PapersToLay { pieces: vec![ell(7, 8.0, "kozo")], paste: PASTE, said: String::new() });
            let job = Job { settings: &settings, ..*job };
            let all = sheets(&job, (1, pages(&job)));
            // 400 by 640 mm.
            assert!(all.len() >= 9 && all.len() == pages(&job), "{}", all.len());
            for sheet in &all {
                assert_legible(sheet);
                assert!(says(sheet, "overlap the parts by 10 mm"));
            }
        });
    }

    #[test]
    fn the_arrow_turns_with_the_mirror() {
        // Fibres that rise to the right in the print fall to the right from behind.
        let mut sheet = Sheet::new("", crate::plate::SizeMm { width: Millimetres(50.0), height: Millimetres(50.0) });
        arrow(&mut sheet, 30.0, (25.0, 25.0), 10.0);
        let Mark::Strokes { strokes, .. } = &sheet.marks[0] else { panic!("strokes") };
        let [a, b] = strokes[0];
        assert!((a.x - b.x) * (a.y - b.y) > 0.0, "{a:?} {b:?}");
        assert_abs_diff_eq!(((a.y - b.y) / (a.x - b.x)).atan().to_degrees(), 30.0, epsilon = 1e-9);
    }
}
