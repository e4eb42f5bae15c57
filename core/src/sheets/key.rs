//! The picture of the key sheet: every edge once, with the number of the stop-out it is painted at, and every region with the number of the
//! stop-out that covers it.

use super::frame::{DOTTED, HAIR, LINE};
use super::key_labels::{self, Bare, Edge, Label, Labels, RING, half};
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Text};
use super::{Job, Kind, View};
use crate::aside::{BY_HAND, RESIST};
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, PointMm};
use kurbo::Affine;
use std::sync::Arc;

/// Type of the numbers, points.
const NUMBER: f64 = 10.0;
/// Type of the word that stands for "no stop-out", points.
const NEVER: f64 = 9.0;

/// Where edges run closer than this in the mean, mm of edge to a mm² of face, a line of 0.35 mm makes the sheet black: all are drawn finer,
/// and finer again.
const CROWDED: (f64, f64) = (0.25, 0.8);
/// The finer line, as heavy as a hatch.
const FINER: Pen = Pen::solid(0.25);

/// The marks within `face`, where the plate's face lies on the page: the edges as the sheets of stop-outs draw them, and the numbers, which
/// [`labels`] has placed.
pub(super) fn marks(job: &Job, view: View, face: PageBox, labels: &Labels) -> Vec<Mark> {
    let curves = job.outlines.curves(job.stop_outs.zones(), job.stop_outs.resolution());
    let (across, down) = scale(job, face);
    let (start, across) = if view == View::Plate { (face.right(), -across) } else { (face.x, across) };
    let to_page = Affine::new([across, 0.0, 0.0, down, start, face.y]);
    let edge = pen(job);
    let mut marks: Vec<Mark> = curves
        .pairs
        .iter()
        .map(|pair| {
            let pen = match pair.darker {
                BY_HAND => DOTTED,
                RESIST => HAIR,
                _ => edge,
            };
            Mark::Curve { pen, path: Arc::clone(&pair.path), place: to_page }
        })
        .collect();
    // Placed in print view: a box about a point is as free in the mirror.
    let seen = |at: PointMm| PointMm { x: if view == View::Plate { face.width - at.x } else { at.x }, y: at.y };
    for label in &labels.list {
        let label = match *label {
            Label::Edge { number, at } => Label::Edge { number, at: seen(at) },
            Label::Region { number, at, island } => Label::Region { number, at: seen(at), island: island.map(seen) },
        };
        draw(&mut marks, &label, face);
    }
    marks
}

/// What edges are drawn with.
fn pen(job: &Job) -> Pen {
    let length: f64 = job.outlines.arcs.iter().map(crate::outline::SharedArc::length_mm).sum();
    match length / (job.plate.face().area_cm2() * 100.0) {
        crowd if crowd > CROWDED.1 => HAIR,
        crowd if crowd > CROWDED.0 => FINER,
        _ => LINE,
    }
}

/// Millimetres on paper to one of an outline: 1 but for rounding of the raster, which never changes the face.
fn scale(job: &Job, face: PageBox) -> (f64, f64) {
    let (zones, resolution) = (job.stop_outs.zones(), job.stop_outs.resolution());
    (face.width * resolution.0 / zones.width() as f64, face.height * resolution.0 / zones.height() as f64)
}

/// Where the numbers stand, print view, mm on the face: worked out once for all sheets of a set. None stands in a box of `bare`.
pub(super) fn labels(job: &Job, bare: &[Bare]) -> Labels {
    let size = job.plate.face();
    let face = PageBox::new(0.0, 0.0, size.width.0, size.height.0);
    let scale = scale(job, face);
    let seen = |point: PointMm| PointMm { x: point.x * scale.0, y: point.y * scale.1 };
    let mut edges = Vec::new();
    for arc in job.outlines.arcs.iter().filter(|arc| arc.points.len() > 1 && arc.lighter < RESIST) {
        let mut points: Vec<PointMm> = arc.points.iter().copied().map(seen).collect();
        if arc.closed {
            points.extend(points.first().copied());
        }
        edges.push(Edge { lighter: arc.lighter, points });
    }
    let darkest = (job.stop_outs.tones().get() - 1) as u8;
    key_labels::labels(job.stop_outs.zones(), job.stop_outs.resolution(), ((face.width, face.height), bare), &edges, darkest)
}

fn draw(marks: &mut Vec<Mark>, label: &Label, face: PageBox) {
    let page = |point: PointMm| PagePoint::new(face.x + point.x, face.y + point.y);
    match *label {
        Label::Edge { number, at } => {
            let (at, (across, down)) = (page(at), half(number));
            marks.push(Mark::Blank(PageBox::new(at.x - across, at.y - down, 2.0 * across, 2.0 * down)));
            marks.push(text(at, NUMBER, number.to_string()));
        }
        Label::Region { number, at, island } => {
            if let Some(island) = island {
                let (from, to) = (page(island), page(at));
                let long = (to.x - from.x).hypot(to.y - from.y).max(1e-6);
                let end = PagePoint::new(to.x - (to.x - from.x) / long * RING, to.y - (to.y - from.y) / long * RING);
                marks.push(Mark::Strokes { pen: HAIR, strokes: vec![[from, end]] });
                marks.push(Mark::Dots { diameter: Millimetres(0.8), centres: vec![from] });
            }
            let at = page(at);
            let ring = (0..32).map(|turn| {
                let angle = f64::from(turn) * std::f64::consts::TAU / 32.0;
                PagePoint::new(at.x + RING * libm::cos(angle), at.y + RING * libm::sin(angle))
            });
            match number {
                Some(number) => {
                    marks.push(Mark::Line { pen: HAIR, points: ring.collect(), closed: true });
                    marks.push(text(at, NUMBER, number.to_string()));
                }
                // A dash in a ring: no stop-out ever. Its legend says so in words.
                None => {
                    marks.push(Mark::Line { pen: HAIR, points: ring.collect(), closed: true });
                    marks.push(text(at, NEVER, "–".to_owned()));
                }
            }
        }
    }
}

fn text(at: PagePoint, size: f64, words: String) -> Mark {
    let cap = TypeFace::of(Weight::Semibold).cap_height(size).0;
    let at = PagePoint::new(at.x, at.y + cap / 2.0);
    Mark::Text(Text { at, words, size, weight: Weight::Semibold, align: Align::Middle, upwards: false })
}

/// What finds no number, in words; none where all do. Few are counted; of many it is said what they are. Where it is found is said by whether
/// stop-out sheets are in the set.
pub(super) fn without(job: &Job, labels: &Labels) -> Option<String> {
    let printed = job.wants(Kind::StopOuts);
    if labels.many_without() {
        let find = if printed { "see the stop-out sheets" } else { "print the stop-outs for them" };
        return Some(format!("{MANY_WITHOUT}: {find}."));
    }
    let part = |count: usize, one: &str, many: &str| (count > 0).then(|| super::counted(count, one, many));
    let parts: Vec<String> =
        [part(labels.edges_without, "edge", "edges"), part(labels.regions_without, "region", "regions")].into_iter().flatten().collect();
    let (bear, them) = if labels.edges_without + labels.regions_without == 1 { ("bears", "it") } else { ("bear", "them") };
    let find = if printed { format!("find {them} on the stop-out sheets") } else { format!("print the stop-outs to find {them}") };
    (!parts.is_empty()).then(|| format!("{} {bear} no number: {find}.", parts.join(" and ")))
}

/// What is said of a crowd.
const MANY_WITHOUT: &str = "Short or crowded edges and small regions bear no number";

#[cfg(test)]
mod tests {
    use super::super::tests::kinds_job;
    use super::*;

    #[test]
    fn along_any_row_of_the_map_each_change_of_tone_is_crossed_by_one_line() {
        kinds_job(|job| {
            let zones = job.stop_outs.zones();
            let face = PageBox::new(10.0, 20.0, job.plate.face().width.0, job.plate.face().height.0);
            let marks = marks(job, View::Print, face, &labels(job, &[]));
            let edge = pen(job);
            for row in [zones.height() / 3, zones.height() * 2 / 3] {
                let changes = zones.row(row).windows(2).filter(|pair| pair[0] != pair[1]).count();
                let y = face.y + (row as f64 + 0.503) * face.height / zones.height() as f64;
                let mut crossed = 0;
                for mark in &marks {
                    let Mark::Curve { pen, path, place } = mark else { continue };
                    assert_eq!(*pen, edge);
                    let mut last = kurbo::Point::ZERO;
                    kurbo::flatten(*place * &**path, 0.01, |part| match part {
                        kurbo::PathEl::MoveTo(to) => last = to,
                        kurbo::PathEl::LineTo(to) => {
                            crossed += usize::from((last.y < y) != (to.y < y));
                            last = to;
                        }
                        _ => {}
                    });
                }
                // Smoothing may take a step of the raster's stair to the other side of the line, never an edge: stripes cross once each.
                assert_eq!(crossed, changes, "row {row} of {:?}", job.plate.size());
            }
        });
    }

    #[test]
    fn in_plate_view_the_edges_are_those_of_print_view_mirrored() {
        kinds_job(|job| {
            let face = PageBox::new(10.0, 20.0, job.plate.face().width.0, job.plate.face().height.0);
            let bounds = |view: View| -> Vec<kurbo::Rect> {
                let of =
                    |mark: &Mark| if let Mark::Curve { path, place, .. } = mark { Some((*place * &**path).control_box()) } else { None };
                marks(job, view, face, &labels(job, &[])).iter().filter_map(of).collect()
            };
            let (print, plate) = (bounds(View::Print), bounds(View::Plate));
            let pairs: std::collections::BTreeSet<(u8, u8)> = job.outlines.arcs.iter().map(|arc| (arc.lighter, arc.darker)).collect();
            assert_eq!(print.len(), pairs.len());
            for (a, b) in print.iter().zip(&plate) {
                let sum = face.x + face.right();
                assert!((a.x0 + b.x1 - sum).abs() < 1e-9 && (a.x1 + b.x0 - sum).abs() < 1e-9 && (a.y0 - b.y0).abs() < 1e-9);
            }
        });
    }

    #[test]
    fn both_views_bear_the_same_numbers_and_a_crowded_map_thin_lines() {
        let texts = |marks: &[Mark]| -> Vec<(f64, f64, String)> {
            marks
                .iter()
                .filter_map(|mark| if let Mark::Text(text) = mark { Some((text.at.x, text.at.y, text.words.clone())) } else { None })
                .collect()
        };
        let (seen, crowds) = (std::cell::Cell::new(0), std::cell::Cell::new(0));
        kinds_job(|job| {
            let face = PageBox::new(10.0, 20.0, job.plate.face().width.0, job.plate.face().height.0);
            let labels = labels(job, &[]);
            let [print, plate] = [View::Print, View::Plate].map(|view| texts(&marks(job, view, face, &labels)));
            assert_eq!(print.len(), plate.len());
            for (a, b) in print.iter().zip(&plate) {
                assert!((a.0 + b.0 - face.x - face.right()).abs() < 1e-9 && a.1 == b.1 && a.2 == b.2);
            }
            seen.set(seen.get() + print.len());
            crowds.set(crowds.get() + usize::from(pen(job) != LINE));
        });
        assert!(seen.get() > 100 && crowds.get() > 0, "{} numbers, {} crowded", seen.get(), crowds.get());
    }

    #[test]
    fn numbers_are_legible_and_stay_on_the_face_in_both_views() {
        kinds_job(|job| {
            let face = PageBox::new(10.0, 20.0, job.plate.face().width.0, job.plate.face().height.0);
            for view in [View::Plate, View::Print] {
                for mark in &marks(job, view, face, &labels(job, &[])) {
                    if let Mark::Text(text) = mark {
                        assert!(text.size >= 9.0);
                        assert!(text.at.x > face.x && text.at.x < face.right() && text.at.y > face.y && text.at.y < face.foot());
                    }
                }
            }
        });
    }
}
