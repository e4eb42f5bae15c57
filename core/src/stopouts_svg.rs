//! All stop-outs as one SVG file for other programs: a group a stop-out, closed paths in true millimetres.

use crate::aside::{BY_HAND, RESIST};
use crate::outline::{Curves, Outlines, SharedCurve};
use crate::plate::Plate;
use crate::rings::{Piece, rings};
use crate::stopouts::StopOuts;
use crate::svg::{PathData, escaped, length};
use crate::units::{Millimetres, PointMm};
use crate::view::View;
use kurbo::{BezPath, PathEl};
use std::fmt::Write as _;

/// Writes the stop-outs of a plate as SVG: a user unit is a millimetre, 0, 0 the face's upper left corner, the paper the plate.
///
/// Groups, from the bottom: `plate` (metal edge and face), `resist`, `stopout-01` and so on (what each NEWLY paints, filled by the even-odd
/// rule), `by-hand`, `lift` (what a lift opens), `edges` (each edge once, by the stop-out that paints it). Edges are the curves of the sheets,
/// lines and cubic Béziers; what is filled in one group ends along the very curve where its neighbour begins. Coordinates are rounded to a
/// thousandth of a millimetre.
#[must_use]
pub fn stopouts_svg(stop_outs: &StopOuts, outlines: &Outlines, plate: &Plate, view: View, title: &str) -> String {
    let curves = outlines.curves(stop_outs.zones(), stop_outs.resolution());
    let drawn = Drawn { stop_outs, outlines, curves, plate, view };
    let (size, bevel) = (plate.size(), plate.bevel().0);
    let (width, height, corner) = (length(size.width), length(size.height), length(Millimetres(-bevel)));
    let painted = stop_outs.list().len();
    let mut file = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"{corner} {corner} {width} {height}\">\n\
         <title>{}</title>\n<desc>{} 1 user unit = 1 mm; 0, 0 is the upper left corner of the face. Each group stopout-01 to stopout-{painted:02} holds what that \
         stop-out newly paints.</desc>\n",
        escaped(if title.is_empty() { "Stop-outs" } else { title }),
        view_words(view),
    );
    let face = plate.face();
    let (face_width, face_height) = (length(face.width), length(face.height));
    let _ = writeln!(
        file,
        "<g id=\"plate\" fill=\"none\" stroke=\"#000\" stroke-width=\".18\"><title>plate: metal edge and face</title>\n\
         <rect x=\"{corner}\" y=\"{corner}\" width=\"{width}\" height=\"{height}\"/>\n<rect width=\"{face_width}\" height=\"{face_height}\"/></g>"
    );
    let aside = stop_outs.aside();
    if aside.resist().is_some() {
        group(
            &mut file,
            "resist",
            "resist: ground that stays on through every bite",
            "fill=\"#d9c7a3\"",
            &drawn.filled(|zone| zone == RESIST),
        );
    }
    for number in 1..=painted {
        let tone = number - 1;
        let paint = drawn.filled(|zone| usize::from(zone) == tone);
        let grey = 232 - 160 * tone / painted.max(1);
        let nothing = if paint.is_empty() { ": nothing to paint" } else { "" };
        let name = format!("stop-out {number}: paint tone {tone}{nothing}");
        group(&mut file, &format!("stopout-{number:02}"), &name, &format!("fill=\"#{grey:02x}{grey:02x}{grey:02x}\""), &paint);
    }
    let line = "fill=\"none\" stroke=\"#000\" stroke-width=\".25\"";
    if aside.by_hand().is_some() {
        let pen = format!("{line} stroke-dasharray=\".4 .9\"");
        group(&mut file, "by-hand", "by hand: no stop-out covers it", &pen, &drawn.filled(|zone| zone == BY_HAND));
    }
    if aside.resist().is_some() {
        group(&mut file, "lift", "lift: opens and bites within, outline only", line, &drawn.filled(|zone| zone != RESIST));
    }
    let _ =
        writeln!(file, "<g id=\"edges\" {line} stroke-linejoin=\"round\"><title>edges: each once, by the stop-out that paints it</title>");
    for number in 1..=painted {
        let path = drawn.edges((number - 1) as u8);
        if !path.is_empty() {
            let _ = writeln!(file, "<path id=\"edges-{number:02}\" d=\"{path}\"/>");
        }
    }
    file.push_str("</g>\n</svg>\n");
    file
}

fn view_words(view: View) -> &'static str {
    match view {
        View::Print => "PRINT VIEW: as the pull reads.",
        View::Plate => "PLATE VIEW: the metal, face up; the mirror of the pull.",
    }
}

/// A named group with one path; the group is there also where there is nothing in it.
fn group(file: &mut String, id: &str, name: &str, look: &str, path: &str) {
    let path = if path.is_empty() { String::new() } else { format!("\n<path fill-rule=\"evenodd\" d=\"{path}\"/>") };
    let _ = writeln!(file, "<g id=\"{id}\" {look}><title>{name}</title>{path}</g>");
}

struct Drawn<'a> {
    stop_outs: &'a StopOuts,
    outlines: &'a Outlines,
    /// The outlines' own, in the same order.
    curves: &'a Curves,
    plate: &'a Plate,
    view: View,
}

impl Drawn<'_> {
    /// A point of the outlines on the face: the raster's sides are rounded to whole pixels, the face's are not.
    fn place(&self, point: PointMm) -> (f64, f64) {
        let (zones, resolution, face) = (self.stop_outs.zones(), self.stop_outs.resolution(), self.plate.face());
        let x = point.x * face.width.0 / resolution.mm(zones.width() as f64).0;
        let y = point.y * face.height.0 / resolution.mm(zones.height() as f64).0;
        (if self.view == View::Plate { face.width.0 - x } else { x }, y)
    }

    /// Closed paths round the zones that are inside.
    fn filled(&self, inside: impl Fn(u8) -> bool) -> String {
        let mut path = PathData::absolute();
        for ring in rings(self.outlines, self.stop_outs.zones(), self.stop_outs.resolution(), inside) {
            let mut pen_down = false;
            for piece in &ring.pieces {
                match piece {
                    Piece::Arc { index, backwards: false } => self.curve(&mut path, &self.curves.list[*index].path, &mut pen_down),
                    Piece::Arc { index, backwards: true } => {
                        self.curve(&mut path, &self.curves.list[*index].path.reverse_subpaths(), &mut pen_down);
                    }
                    Piece::Border(points) => points.iter().for_each(|&point| self.go(&mut path, point, &mut pen_down)),
                }
            }
            if pen_down {
                path.close();
            }
        }
        path.text().to_owned()
    }

    /// Goes to a point in a straight line, or begins there.
    fn go(&self, path: &mut PathData, point: PointMm, pen_down: &mut bool) {
        let (x, y) = self.place(point);
        if *pen_down {
            path.line_to(x, y);
        } else {
            path.move_to(x, y);
            *pen_down = true;
        }
    }

    /// Goes along a curve of lines and cubics from where the pen is; it is not closed here, for it may be a piece of a ring.
    fn curve(&self, path: &mut PathData, curve: &BezPath, pen_down: &mut bool) {
        let mm = |p: kurbo::Point| PointMm { x: p.x, y: p.y };
        for element in curve {
            match element {
                PathEl::MoveTo(p) | PathEl::LineTo(p) => self.go(path, mm(p), pen_down),
                PathEl::CurveTo(a, b, p) => path.curve_to([a, b, p].map(|p| self.place(mm(p)))),
                PathEl::QuadTo(..) | PathEl::ClosePath => {}
            }
        }
    }

    /// The edges that are painted with a tone; where it ends at a resist nothing is painted.
    fn edges(&self, tone: u8) -> String {
        let mut path = PathData::absolute();
        let painted = |curve: &&SharedCurve| curve.lighter == tone && curve.darker != RESIST;
        for curve in self.curves.list.iter().filter(painted) {
            self.curve(&mut path, &curve.path, &mut false);
            if curve.closed {
                path.close();
            }
        }
        path.text().to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::aside::{Aside, Zones};
    use crate::bits::BitPlane;
    use crate::plane::Plane;
    use crate::stopouts::HandSpeed;
    use crate::tones::{StepMap, ToneCount};
    use crate::units::PxPerMm;

    fn svg_of(aside: Aside, view: View) -> String {
        let plate = Plate::new(Millimetres(43.0), Millimetres(23.0), Millimetres(1.5)).unwrap();
        let map = Plane::from_fn(40, 20, |x, _| (x / 10).min(2) as u8);
        let (map, zones) = aside.applied(StepMap::new(ToneCount::new(4).unwrap(), map));
        let outlines = Outlines::of(zones.as_ref().map_or(map.plane(), Zones::plane), PxPerMm(1.0));
        let stop_outs = StopOuts::around(map, (aside, zones), &outlines, PxPerMm(1.0), HandSpeed::default());
        stopouts_svg(&stop_outs, &outlines, &plate, view, "Ice & house")
    }

    #[test]
    fn the_paper_is_the_plate_and_0_0_the_face() {
        let svg = svg_of(Aside::default(), View::Print);
        assert!(svg.contains("width=\"43mm\" height=\"23mm\" viewBox=\"-1.5 -1.5 43 23\""), "{svg}");
        assert!(svg.contains("<title>Ice &amp; house</title>") && svg.contains("PRINT VIEW"));
        assert!(svg.contains("<g id=\"stopout-01\" fill=\"#e8e8e8\"><title>stop-out 1: paint tone 0</title>\n<path fill-rule=\"evenodd\" d=\"M10 0L10 .5 10 19.5 10 20 0 20 0 0 10 0z\"/>"), "{svg}");
        for absent in ["id=\"resist\"", "id=\"by-hand\"", "id=\"lift\"", "stopout-04"] {
            assert!(!svg.contains(absent), "{absent}");
        }
        // The plate's left is the print's right.
        assert!(svg_of(Aside::default(), View::Plate).contains("d=\"M30 0L30 .5 30 19.5 30 20 40 20 40 0 30 0z\""));
    }

    #[test]
    fn what_is_set_aside_has_its_groups() {
        let bits = |from: usize, to: usize| {
            let mut bits = BitPlane::empty(40, 20);
            (5..15).for_each(|y| bits.set_stretch(y, from, to));
            Some(bits)
        };
        let svg = svg_of(Aside::new(bits(3, 8), bits(25, 30)), View::Print);
        for id in ["plate", "resist", "stopout-01", "stopout-02", "stopout-03", "by-hand", "lift", "edges"] {
            assert_eq!(svg.matches(&format!("id=\"{id}\"")).count(), 1, "{id}");
        }
    }
}
