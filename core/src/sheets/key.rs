//! The picture of the key sheet: every edge once, with the number of the stop-out it is painted at, and every region with the number of the
//! stop-out that covers it.

use super::frame::{DOTTED, HAIR, LINE};
use super::key_labels::{self, Edge, Label, Labels, RING, half};
use super::mark::{Align, Mark, PageBox, PagePoint, Text};
use super::{Job, View};
use crate::aside::{BY_HAND, RESIST};
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, PointMm};

/// Type of the numbers, points.
const NUMBER: f64 = 10.0;
/// Type of the word that stands for "no stop-out", points.
const NEVER: f64 = 9.0;

/// The marks within `face`, where the plate's face lies on the page, and what finds no number, in words; none where all do.
pub(super) fn marks(job: &Job, view: View, face: PageBox) -> (Vec<Mark>, Option<String>) {
    let zones = job.stop_outs.zones();
    let zones = if view == View::Plate { zones.mirrored() } else { zones.clone() };
    let resolution = job.stop_outs.resolution();
    // Rounding of the raster never changes the face.
    let scale = (face.width * resolution.0 / zones.width() as f64, face.height * resolution.0 / zones.height() as f64);
    let seen = |point: PointMm| {
        let x = point.x * scale.0;
        PointMm { x: if view == View::Plate { face.width - x } else { x }, y: point.y * scale.1 }
    };
    let page = |point: PointMm| PagePoint::new(face.x + point.x, face.y + point.y);
    let mut marks = Vec::new();
    let mut edges = Vec::new();
    for arc in job.outlines.arcs.iter().filter(|arc| arc.points.len() > 1) {
        let mut points: Vec<PointMm> = arc.points.iter().copied().map(seen).collect();
        let sides = (arc.lighter.min(arc.darker), arc.lighter.max(arc.darker));
        let pen = match sides.1 {
            BY_HAND => DOTTED,
            RESIST => HAIR,
            _ => LINE,
        };
        marks.push(Mark::Line { pen, points: points.iter().copied().map(page).collect(), closed: arc.closed });
        if arc.closed {
            points.extend(points.first().copied());
        }
        if sides.0 < RESIST {
            edges.push(Edge { lighter: sides.0, points });
        }
    }
    let darkest = (job.stop_outs.tones().get() - 1) as u8;
    let labels = key_labels::labels(&zones, resolution, (face.width, face.height), &edges, darkest);
    for label in &labels.list {
        draw(&mut marks, label, face);
    }
    (marks, without(&labels))
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

/// What finds no number.
fn without(labels: &Labels) -> Option<String> {
    let part = |count: usize, one: &str, many: &str| (count > 0).then(|| super::counted(count, one, many));
    let parts: Vec<String> = [
        part(labels.edges_without, "edge too short for a number", "edges too short for a number"),
        part(labels.regions_without, "region without one", "regions without one"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!parts.is_empty()).then(|| format!("{}: find them on the stop-out sheets.", parts.join(", ")))
}

/// The legend of the sheet, a sentence each.
pub(super) const LEGEND: [&str; 3] = [
    "Number on an edge: painted at that stop-out, and at no other.",
    "Number in a ring: covered at that stop-out and ever after.",
    "Dash in a ring: never covered, bites to the end.",
];

#[cfg(test)]
mod tests {
    use super::super::tests::kinds_job;
    use super::*;

    #[test]
    fn along_any_row_of_the_map_each_change_of_tone_is_crossed_by_one_line() {
        kinds_job(|job| {
            let zones = job.stop_outs.zones();
            let face = PageBox::new(10.0, 20.0, job.plate.face().width.0, job.plate.face().height.0);
            let (marks, _) = marks(job, View::Print, face);
            for row in [zones.height() / 3, zones.height() * 2 / 3] {
                let changes = zones.row(row).windows(2).filter(|pair| pair[0] != pair[1]).count();
                let y = face.y + (row as f64 + 0.503) * face.height / zones.height() as f64;
                let mut crossed = 0;
                for mark in &marks {
                    let Mark::Line { pen, points, closed } = mark else { continue };
                    if *pen != LINE {
                        continue;
                    }
                    let mut all = points.clone();
                    all.extend(closed.then(|| points[0]));
                    crossed += all.windows(2).filter(|pair| (pair[0].y < y) != (pair[1].y < y)).count();
                }
                // Smoothing may take a step of the raster's stair to the other side of the line, never an edge: stripes cross once each.
                assert_eq!(crossed, changes, "row {row} of {:?}", job.plate.size());
            }
        });
    }

    #[test]
    fn numbers_are_legible_and_stay_on_the_face_in_both_views() {
        kinds_job(|job| {
            let face = PageBox::new(10.0, 20.0, job.plate.face().width.0, job.plate.face().height.0);
            for view in [View::Plate, View::Print] {
                let (marks, _) = marks(job, view, face);
                for mark in &marks {
                    if let Mark::Text(text) = mark {
                        assert!(text.size >= 9.0);
                        assert!(text.at.x > face.x && text.at.x < face.right() && text.at.y > face.y && text.at.y < face.foot());
                    }
                }
            }
        });
    }
}
