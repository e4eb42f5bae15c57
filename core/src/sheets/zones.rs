//! Zones of ink, PLATE VIEW: which ink goes where on the metal, in which order, and how long it takes.

use super::frame::{self, HAIR, HEAVY, LINE, tick_box};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::{fitted, line_height};
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::placed::{numbers, paged};
use super::{Job, View, minutes, plain};
use crate::ink_zones::{LEAST_DISC, Report, Zone, ground_map};
use crate::islands::pieces;
use crate::outline::Outlines;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, PxPerMm};
use std::ops::Range;

/// The zones of one plate as they print.
#[derive(Clone, Debug, PartialEq)]
pub struct Zones {
    /// Outlines, names and inks, print view; ink 0 is the one around them.
    pub zones: Vec<Zone>,
    /// The names of the inks, by those places.
    pub inks: Vec<String>,
    /// Order, minutes and what is too small.
    pub report: Report,
}

/// Pixels a millimetre of the grounds that are drawn.
const FINE: PxPerMm = PxPerMm(4.0);
/// A piece smaller than this, mm², carries no number: it is a seam that two outlines left between them.
const SEAM: f64 = 25.0;
/// Room for the sign of the view above the picture, mm.
const SIGN: f64 = 11.0;
/// White between the picture and the list, mm.
const GAP: f64 = 5.0;
/// The picture is never larger than this share of its size, but a small one is this long, mm: nobody is to trace it.
const MOST: f64 = 0.8;
const SMALL: f64 = 70.0;
/// Side of a swatch, mm, and the size of the words beside it, points.
const SWATCH: f64 = 10.0;
const SIZE: f64 = 12.0;
/// Where a row's words begin, mm.
const INDENT: f64 = 31.0;
/// Thickness of a line of hatch, and steps along it, mm.
const RULE: Pen = Pen::solid(0.2);
const STEP: f64 = 0.25;

/// Which way the lines of a hatch run, degrees, and how far apart, mm on paper. An ink may have two; the one around the zones has none.
const HATCHES: [&[(f64, f64)]; 6] =
    [&[(45.0, 2.2)], &[(135.0, 2.2)], &[(0.0, 2.2)], &[(90.0, 2.2)], &[(45.0, 3.0), (135.0, 3.0)], &[(0.0, 3.0), (90.0, 3.0)]];

fn hatch_of(number: usize) -> Vec<(f64, f64)> {
    let wider = 1.0 + 0.6 * (number / HATCHES.len()) as f64;
    HATCHES[number % HATCHES.len()].iter().map(|&(angle, pitch)| (angle, pitch * wider)).collect()
}

/// Lines across a box, drawn where something holds of their points.
fn hatch(sheet: &mut Sheet, of: PageBox, lines: &[(f64, f64)], within: &dyn Fn(f64, f64) -> bool) {
    let middle = (of.x + of.width / 2.0, of.y + of.height / 2.0);
    let reach = libm::hypot(of.width, of.height) / 2.0;
    for &(angle, pitch) in lines {
        let (sin, cos) = (libm::sin(angle.to_radians()), libm::cos(angle.to_radians()));
        let mut strokes = Vec::new();
        let count = libm::ceil(reach / pitch) as i64;
        for line in -count..=count {
            let aside = line as f64 * pitch;
            let point = |along: f64| (middle.0 + along * cos - aside * sin, middle.1 - along * sin - aside * cos);
            let holds = |along: f64| {
                let (x, y) = point(along);
                x > of.x && x < of.right() && y > of.y && y < of.foot() && within(x, y)
            };
            let steps = libm::ceil(2.0 * reach / STEP) as i64;
            let mut from: Option<f64> = None;
            for step in 0..=steps {
                let along = -reach + step as f64 * STEP;
                match (holds(along), from) {
                    (true, None) => from = Some(along),
                    (false, Some(start)) => {
                        if along - STEP > start {
                            let (a, b) = (point(start), point(along - STEP));
                            strokes.push([PagePoint::new(a.0, a.1), PagePoint::new(b.0, b.1)]);
                        }
                        from = None;
                    }
                    _ => {}
                }
            }
        }
        sheet.strokes(RULE, strokes);
    }
}

/// An ink in its turn.
struct Row {
    /// Its place among the inks.
    ink: usize,
    /// What hatch it has; none: it lies around the zones.
    hatch: Option<usize>,
    lines: Vec<(Weight, String)>,
    height: f64,
}

struct Plan {
    /// The ink of each pixel, print view.
    inks: Plane<u8>,
    resolution: PxPerMm,
    rows: Vec<Row>,
    /// What is to be known, below the list.
    remarks: Vec<String>,
    picture: PageBox,
    scale: f64,
    pages: Vec<Range<usize>>,
    begin: (f64, f64),
    foot: f64,
}

fn ink_of(zones: &[Zone], place: Option<usize>) -> usize {
    place.and_then(|place| zones.get(place)).map_or(0, |zone| usize::from(zone.ink))
}

fn rows(of: &Zones, inks: &Plane<u8>, resolution: PxPerMm, width: f64) -> Vec<Row> {
    let each = of.report.minutes / of.report.order.len().max(1) as f64;
    let mut hatches = 0;
    let mut all = Vec::new();
    for places in &of.report.order {
        let ink = ink_of(&of.zones, places.first().copied().flatten());
        let name = of.inks.get(ink).map_or("an ink", String::as_str);
        let named: Vec<&str> = places
            .iter()
            .map(|place| place.and_then(|place| of.zones.get(place)).map_or("all around the zones", |zone| zone.name.as_str()))
            .collect();
        let own = inks.map(|&here| u8::from(usize::from(here) != ink));
        let narrowest =
            pieces(&own, 1, resolution).into_iter().filter(|piece| piece.area_mm2 >= SEAM).map(|piece| piece.disc.0).reduce(f64::min);
        let disc = narrowest.map_or_else(String::new, |disc| {
            let small = if disc + resolution.mm(3.0).0 < LEAST_DISC.0 { ": SMALL for a dabber" } else { "" };
            format!(" · its smallest piece holds a disc of {} mm{small}", plain(libm::round(disc)))
        });
        let time = if each > 0.0 { minutes(each) } else { "no minutes given".to_owned() };
        let face = |weight: Weight| TypeFace::of(weight);
        let mut lines: Vec<(Weight, String)> =
            face(Weight::Semibold).wrap(name, SIZE, Millimetres(width)).into_iter().map(|line| (Weight::Semibold, line)).collect();
        for words in [named.join(", "), format!("{time}{disc}")] {
            lines.extend(face(Weight::Regular).wrap(&words, SIZE, Millimetres(width)).into_iter().map(|line| (Weight::Regular, line)));
        }
        let hatch = (ink != 0).then(|| {
            hatches += 1;
            hatches - 1
        });
        let height = (lines.len() as f64 * line_height(SIZE) + 3.0).max(SWATCH + 3.0);
        all.push(Row { ink, hatch, lines, height });
    }
    all
}

fn plan(job: &Job, of: &Zones) -> Plan {
    let paper = job.settings.paper.size();
    let (left, right) = (PAD, paper.width.0 - PAD);
    let SizeMm { width, height } = job.plate.face();
    let (grounds, resolution) = ground_map(&of.zones, (width, height), FINE);
    let inks = grounds.map(|&zone| zone.checked_sub(1).map_or(0, |zone| of.zones[usize::from(zone)].ink));
    let rows = rows(of, &inks, resolution, right - left - INDENT);
    let mut said = of.report.remarks.clone();
    let inked = of.report.order.len();
    if of.report.minutes > 0.0 {
        said.push(format!(
            "Inked light to dark, so that no dabber fouls the next: {} for {inked} inks at the printer’s own pace.",
            minutes(of.report.minutes)
        ));
    } else {
        said.push("Inked light to dark, so that no dabber fouls the next.".to_owned());
    }
    let remarks: Vec<String> =
        said.iter().flat_map(|words| TypeFace::of(Weight::Regular).wrap(words, 10.0, Millimetres(right - left))).collect();
    let shown = remarks.len().min(14);
    let foot_height = shown as f64 * line_height(10.0) + 2.0;
    let top = PAD + HEAD + 1.0 + SIGN;
    let foot = paper.height.0 - PAD - foot_height;
    let heights: Vec<f64> = rows.iter().map(|row| row.height).collect();
    let list = heights.iter().sum::<f64>().min((foot - top) / 2.0);
    let most = MOST.max(SMALL / width.0.max(height.0));
    let scale = ((right - left) / width.0).min((foot - top - list - GAP) / height.0).min(most);
    let picture = PageBox::new(left, top, width.0 * scale, height.0 * scale);
    let begin = (picture.foot() + GAP, PAD + HEAD + 5.0);
    let pages = paged(&heights, foot - begin.0, foot - begin.1);
    Plan { inks, resolution, rows, remarks: remarks[..shown].to_vec(), picture, scale, pages, begin, foot }
}

/// How many pages there are.
pub(super) fn pages(job: &Job, of: &Zones) -> usize {
    if of.zones.is_empty() || of.report.order.is_empty() { 0 } else { plan(job, of).pages.len() }
}

/// Draws all of them; the first is page `first` of `all`.
pub(super) fn sheets(job: &Job, of: &Zones, (first, all): (usize, usize)) -> Vec<Sheet> {
    let plan = plan(job, of);
    let mut sheets = Vec::with_capacity(plan.pages.len());
    for (index, rows) in plan.pages.iter().enumerate() {
        let mut sheet = Sheet::new("zones of ink", job.settings.paper.size());
        head(&mut sheet, job, "Zones of ink", (first + index, all));
        let (left, right) = (PAD, sheet.page.width.0 - PAD);
        let mut y = plan.begin.1;
        if index == 0 {
            let top = PAD + HEAD + 1.0;
            frame::view_sign(&mut sheet, PageBox::new(left, top, 8.4, 8.4), View::Plate);
            sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, top + 3.7), View::Plate.words());
            let said = "as the metal lies face up: mirrored. Numbers are the order to ink in, light to dark";
            let (size, said) = fitted(Weight::Regular, said, &[11.0, 10.0, 9.0], right - left - 11.0);
            sheet.text(Weight::Regular, size, Align::Start, (left + 11.0, top + 8.2), said);
            picture(&mut sheet, job, &plan);
            y = plan.begin.0;
        }
        for number in rows.clone() {
            row(&mut sheet, &plan.rows[number], number + 1, y);
            y += plan.rows[number].height;
        }
        if index + 1 == plan.pages.len() {
            let mut y = plan.foot + 1.0;
            for line in &plan.remarks {
                y = paragraph(&mut sheet, Weight::Regular, 10.0, (left, y), right - left, line);
            }
        }
        sheets.push(sheet);
    }
    sheets
}

fn row(sheet: &mut Sheet, row: &Row, number: usize, top: f64) {
    let left = PAD;
    let of = PageBox::new(left + 18.0, top + 1.0, SWATCH, SWATCH);
    if let Some(number) = row.hatch {
        hatch(sheet, of, &hatch_of(number), &|_, _| true);
    }
    sheet.frame(LINE, of);
    let middle = top + 1.0 + SWATCH / 2.0;
    tick_box(sheet, left + 0.3, middle, 6.0);
    let cap = TypeFace::of(Weight::Semibold).cap_height(14.0).0;
    sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 9.0, middle + cap / 2.0), number.to_string());
    for (line, (weight, words)) in row.lines.iter().enumerate() {
        let base = top + 1.0 + (line as f64 + 0.78) * line_height(SIZE);
        sheet.text(*weight, SIZE, Align::Start, (left + INDENT, base), words.clone());
    }
}

/// The grounds of the inks as the metal shows them, hatched, with the order of each in each of its pieces.
fn picture(sheet: &mut Sheet, job: &Job, plan: &Plan) {
    let Plan { picture: of, scale, inks, resolution, .. } = plan;
    let place = |x: f64, y: f64| PagePoint::new(of.right() - x * scale, of.y + y * scale);
    for row in &plan.rows {
        let Some(number) = row.hatch else { continue };
        let here = |x: f64, y: f64| {
            let (x, y) = ((of.right() - x) / scale * resolution.0, (y - of.y) / scale * resolution.0);
            let (x, y) = ((x.max(0.0) as usize).min(inks.width() - 1), (y.max(0.0) as usize).min(inks.height() - 1));
            usize::from(inks.at(x, y)) == row.ink
        };
        hatch(sheet, *of, &hatch_of(number), &here);
    }
    for arc in &job.outlines.arcs {
        let points = arc.points.iter().map(|at| place(at.x, at.y)).collect();
        sheet.marks.push(Mark::Line { pen: HAIR, points, closed: arc.closed });
    }
    for arc in &Outlines::of(inks, *resolution).arcs {
        let points = arc.points.iter().map(|at| place(at.x.min(of.width / scale), at.y.min(of.height / scale))).collect();
        sheet.marks.push(Mark::Line { pen: HEAVY, points, closed: arc.closed });
    }
    sheet.frame(LINE, *of);
    let mut places = Vec::new();
    for (row, number) in plan.rows.iter().zip(1..) {
        let own = inks.map(|&here| u8::from(usize::from(here) != row.ink));
        for piece in pieces(&own, 1, *resolution).into_iter().filter(|piece| piece.area_mm2 >= SEAM) {
            let at = place(piece.at.x, piece.at.y);
            let number: usize = number;
            places.push(((at.x, at.y), number.to_string()));
        }
    }
    places.truncate(120);
    numbers(sheet, &places, *of, 14.0, false);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::super::words_apart::faults;
    use super::super::{Kind, SheetSet};
    use super::*;
    use crate::piece::Piece;
    use crate::units::PointMm;

    fn zone(name: &str, ink: u8, (left, top, right, foot): (f64, f64, f64, f64)) -> Zone {
        let points = [(left, top), (right, top), (right, foot), (left, foot)].map(|(x, y)| PointMm { x, y });
        Zone { name: name.into(), ink, piece: Piece::new(points.to_vec()).unwrap() }
    }

    fn zones(job: &Job) -> Zones {
        let SizeMm { width, height } = job.plate.face();
        let (w, h) = (width.0, height.0);
        let zones = vec![
            zone("the slipway", 1, (0.0, h * 0.6, w * 0.5, h)),
            zone("gantry and shed", 2, (w * 0.6, 0.0, w, h * 0.5)),
            zone("second shed", 2, (w * 0.7, h * 0.7, w * 0.95, h * 0.95)),
        ];
        let report =
            Report { remarks: vec!["A remark.".into()], order: vec![vec![None], vec![Some(1), Some(2)], vec![Some(0)]], minutes: 12.0 };
        Zones { zones, inks: ["warm grey", "bone black", "rust"].map(str::to_owned).to_vec(), report }
    }

    #[test]
    fn it_prints_only_with_zones_and_shows_the_metal_face_up() {
        kinds_job(|job| {
            if job.stop_outs.tones().get() != 3 {
                return;
            }
            let mut settings = job.settings.clone();
            settings.kinds = vec![Kind::Zones];
            assert_eq!(SheetSet::of(Job { settings: &settings, ..*job }).pages(), 0);
            settings.zones = Some(zones(job));
            let set = SheetSet::of(Job { settings: &settings, ..*job });
            assert_eq!(set.entries()[0].view.as_deref(), Some("PLATE VIEW"));
            let (_, sheets) = set.around(0).unwrap();
            assert_eq!(sheets.len(), set.pages());
            for sheet in &sheets {
                assert_legible(sheet);
                assert_eq!(faults(sheet), Vec::<String>::new());
            }
            let sheet = &sheets[0];
            assert!(says(sheet, "PLATE VIEW") && !says(sheet, "PRINT VIEW"));
            for words in ["warm grey", "bone black", "rust", "the slipway", "gantry and shed, second shed", "about 4 min", "light to dark"]
            {
                assert!(sheets.iter().any(|sheet| says(sheet, words)), "{words}");
            }
            // The slipway is inked last, and lies at the left of the print: at the right of the metal.
            if job.plate.size().width.0 > 100.0 {
                let at = |number: &str| {
                    let texts = sheet.marks.iter().filter_map(|mark| match mark {
                        Mark::Text(text) if text.align == Align::Middle && text.words == number && text.size == 14.0 => Some(text.at.x),
                        _ => None,
                    });
                    texts.collect::<Vec<f64>>()
                };
                let (slipway, gantry) = (at("3"), at("2"));
                assert_eq!((slipway.len(), gantry.len()), (1, 2));
                assert!(slipway[0] > gantry[0].max(gantry[1]), "{slipway:?} {gantry:?}");
            }
        });
    }

    #[test]
    fn hatches_of_inks_differ() {
        let all: Vec<Vec<(f64, f64)>> = (0..16).map(hatch_of).collect();
        for (index, one) in all.iter().enumerate() {
            assert!(all[index + 1..].iter().all(|other| one != other), "{one:?}");
        }
    }

    #[test]
    fn a_hatch_stays_where_it_is_asked_for() {
        let size = SizeMm { width: Millimetres(100.0), height: Millimetres(100.0) };
        let mut sheet = Sheet::new("", size);
        let of = PageBox::new(20.0, 20.0, 60.0, 60.0);
        hatch(&mut sheet, of, &[(45.0, 2.2)], &|x, _| x < 50.0);
        let strokes: Vec<PagePoint> = sheet
            .marks
            .iter()
            .filter_map(|mark| if let Mark::Strokes { strokes, .. } = mark { Some(strokes.clone()) } else { None })
            .flatten()
            .flatten()
            .collect();
        assert!(strokes.len() > 40 && strokes.iter().all(|at| (20.0..50.0).contains(&at.x) && (20.0..80.0).contains(&at.y)));
    }
}
