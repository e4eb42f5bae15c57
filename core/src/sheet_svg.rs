//! One sheet as an SVG file that stands alone: the marks that the PDF has, for showing on a screen.
//!
//! Text is drawn with the outlines of the embedded type, each glyph once in `<defs>`, so that it looks alike where no type can be loaded; the
//! words themselves stand in `<title>` and `<desc>`.

use crate::png_file;
use crate::sheets::{Align, Mark, PageBox, PagePoint, Pen, Sheet, Text};
use crate::svg::{PathData, escaped, length};
use crate::type_face::{TypeFace, Weight};
use crate::units::{Millimetres, POINTS_PER_INCH, PxPerMm};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use kurbo::{Affine, BezPath, PathEl};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use ttf_parser::{GlyphId, OutlineBuilder};

/// Writes a sheet as SVG, a user unit a millimetre: width and height are the paper's (SVG 2, 8.2 and 8.9), on white.
///
/// Coordinates are rounded to a thousandth of a millimetre. No script, nothing from outside, no type face needed. Equal sheets give equal
/// bytes.
#[must_use]
pub fn sheet_svg(sheet: &Sheet) -> String {
    let mut writer = Writer::default();
    for mark in &sheet.marks {
        writer.mark(mark);
    }
    let (width, height) = (length(sheet.page.width), length(sheet.page.height));
    let mut file = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
         aria-labelledby=\"n w\">\n<title id=\"n\">{}</title>\n<desc id=\"w\">",
        escaped(&sheet.name)
    );
    for (index, words) in sheet.words().enumerate() {
        if index > 0 {
            file.push('\n');
        }
        file.push_str(&escaped(words));
    }
    file.push_str("</desc>\n<defs>\n");
    for (&(weight, glyph), outline) in &writer.glyphs {
        let _ = writeln!(file, "<path id=\"{}\" d=\"{outline}\"/>", name(weight, glyph));
    }
    // The pen's join as in the PDF; a stroke's ends are cut off square at the point.
    let (across, down) = sheet.stretch;
    let stretch = if (across, down) == (1.0, 1.0) {
        String::new()
    } else {
        let kept = |side: Millimetres, by: f64| side.0 / 2.0 * (1.0 - by);
        let (right, lower) = (kept(sheet.page.width, across), kept(sheet.page.height, down));
        format!(" transform=\"matrix({across:.6} 0 0 {down:.6} {right:.4} {lower:.4})\"")
    };
    let _ = write!(
        file,
        "</defs>\n<rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n<g fill=\"none\" stroke=\"#000\" stroke-linejoin=\"round\"{stretch}>\n{}</g>\n</svg>\n",
        writer.body
    );
    file
}

fn name(weight: Weight, glyph: u16) -> String {
    let letter = match weight {
        Weight::Regular => 'r',
        Weight::Semibold => 's',
    };
    format!("{letter}{glyph}")
}

#[derive(Default)]
struct Writer {
    body: String,
    /// Outlines of the glyphs that are set, in units of the type, y down.
    glyphs: BTreeMap<(Weight, u16), String>,
    /// How many boxes were clipped to.
    clips: usize,
    /// The box outside of which nothing shows, where there is one.
    clip: Option<PageBox>,
}

fn sides(of: &PageBox) -> [String; 4] {
    [of.x, of.y, of.width, of.height].map(|side| length(Millimetres(side)))
}

/// The curves on the page, less those that lie all outside a box: a tile holds a small part of a plate's edges.
fn shown(path: &BezPath, place: Affine, clip: Option<PageBox>) -> BezPath {
    // Half of the broadest pen, and its joins, lie outside its line.
    let clip = clip.map(|of| of.inset(-1.0)).map(|of| kurbo::Rect::new(of.x, of.y, of.right(), of.foot()));
    let mut all = BezPath::new();
    let mut rest = path.elements();
    while !rest.is_empty() {
        let next = rest.iter().skip(1).position(|element| matches!(element, PathEl::MoveTo(_))).map_or(rest.len(), |at| at + 1);
        let one = place * BezPath::from_vec(rest[..next].to_vec());
        let bounds = one.control_box();
        if clip.is_none_or(|of| of.x0 <= bounds.x1 && of.x1 >= bounds.x0 && of.y0 <= bounds.y1 && of.y1 >= bounds.y0) {
            all.extend(one.iter());
        }
        rest = &rest[next..];
    }
    all
}

/// Path data of a curve, absolute.
fn curve(path: &BezPath) -> String {
    let mut data = String::new();
    for element in path.elements() {
        let (letter, points) = match *element {
            PathEl::MoveTo(to) => ('M', vec![to]),
            PathEl::LineTo(to) => ('L', vec![to]),
            PathEl::QuadTo(by, to) => ('Q', vec![by, to]),
            PathEl::CurveTo(one, two, to) => ('C', vec![one, two, to]),
            PathEl::ClosePath => ('Z', Vec::new()),
        };
        data.push(letter);
        for (index, point) in points.iter().enumerate() {
            let _ = write!(data, "{}{} {}", if index > 0 { " " } else { "" }, length(Millimetres(point.x)), length(Millimetres(point.y)));
        }
    }
    data
}

impl Writer {
    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Strokes { pen, strokes } => {
                let mut path = PathData::relative();
                for [from, to] in strokes {
                    path.move_to(from.x, from.y);
                    path.line_to(to.x, to.y);
                }
                self.stroke(*pen, &path);
            }
            Mark::Line { pen, points, closed } => {
                let mut path = PathData::relative();
                line(&mut path, points, *closed);
                self.stroke(*pen, &path);
            }
            Mark::Dots { diameter, centres } => {
                let mut path = PathData::relative();
                for centre in centres {
                    path.dot(centre.x, centre.y);
                }
                if !path.is_empty() {
                    let _ = writeln!(
                        self.body,
                        "<path stroke-width=\"{}\" stroke-linecap=\"round\" d=\"{}\"/>",
                        length(*diameter),
                        path.text()
                    );
                }
            }
            Mark::Curve { pen, path, place } => {
                let data = curve(&shown(path, *place, self.clip));
                self.drawn(*pen, &data);
            }
            Mark::Grey { of, pixels } => {
                let [x, y, width, height] = sides(of);
                let png = BASE64.encode(png_file::grey(pixels, PxPerMm(pixels.width() as f64 / of.width)));
                let _ = writeln!(
                    self.body,
                    "<image x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" preserveAspectRatio=\"none\" \
                     href=\"data:image/png;base64,{png}\"/>"
                );
            }
            Mark::Photo { of, file } => {
                let [x, y, width, height] = sides(of);
                let jpeg = BASE64.encode(file.bytes());
                let _ = writeln!(
                    self.body,
                    "<image x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" preserveAspectRatio=\"none\" \
                     href=\"data:image/jpeg;base64,{jpeg}\"/>"
                );
            }
            Mark::Within { clip, marks } => {
                self.clips += 1;
                let [x, y, width, height] = sides(clip);
                let _ = writeln!(
                    self.body,
                    "<clipPath id=\"c{0}\"><rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\"/></clipPath>\n<g clip-path=\"url(#c{0})\">",
                    self.clips
                );
                let around = self.clip.replace(*clip);
                for mark in marks {
                    self.mark(mark);
                }
                self.clip = around;
                self.body.push_str("</g>\n");
            }
            Mark::Blank(of) => {
                let [x, y, width, height] = sides(of);
                let _ =
                    writeln!(self.body, "<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" fill=\"#fff\" stroke=\"none\"/>");
            }
            Mark::Text(text) => self.text(text),
        }
    }

    fn stroke(&mut self, pen: Pen, path: &PathData) {
        self.drawn(pen, path.text());
    }

    fn drawn(&mut self, pen: Pen, data: &str) {
        if data.is_empty() {
            return;
        }
        let dash = pen.dash.map_or_else(String::new, |(on, off)| format!(" stroke-dasharray=\"{} {}\"", length(on), length(off)));
        let _ = writeln!(self.body, "<path stroke-width=\"{}\"{dash} d=\"{}\"/>", length(pen.width), data);
    }

    fn text(&mut self, text: &Text) {
        let face = TypeFace::of(text.weight);
        let width = face.width(&text.words, text.size).0;
        let back = match text.align {
            Align::Start => 0.0,
            Align::Middle => width / 2.0,
            Align::End => width,
        };
        let start = if text.upwards { PagePoint::new(text.at.x, text.at.y + back) } else { PagePoint::new(text.at.x - back, text.at.y) };
        let units = f64::from(face.tables().units_per_em());
        let scale = Millimetres::from_inches(text.size / POINTS_PER_INCH / units).0;
        let turn = if text.upwards { "rotate(-90)" } else { "" };
        let mut set = String::new();
        let mut along = 0.0;
        for letter in text.words.chars() {
            let glyph = face.glyph_or_box(letter);
            let outline = self.glyphs.entry((text.weight, glyph)).or_insert_with(|| outline(face, glyph));
            if !outline.is_empty() {
                let at = if along > 0.0 { format!(" x=\"{along}\"") } else { String::new() };
                let _ = write!(set, "<use href=\"#{}\"{at}/>", name(text.weight, glyph));
            }
            // Back from thousandths of the type size to the type's own whole units.
            along += libm::round(face.advance(glyph) * units / 1000.0);
        }
        if set.is_empty() {
            return;
        }
        let (x, y) = (length(Millimetres(start.x)), length(Millimetres(start.y)));
        let _ = writeln!(self.body, "<g transform=\"translate({x} {y}){turn}scale({scale:.9})\" fill=\"#000\" stroke=\"none\">{set}</g>");
    }
}

fn line(path: &mut PathData, points: &[PagePoint], closed: bool) {
    for (index, point) in points.iter().enumerate() {
        if index == 0 {
            path.move_to(point.x, point.y);
        } else {
            path.line_to(point.x, point.y);
        }
    }
    if closed && !points.is_empty() {
        path.close();
    }
}

/// The outline of a glyph as path data, empty for a blank.
fn outline(face: &TypeFace, glyph: u16) -> String {
    let mut data = GlyphPath(String::new());
    // A glyph without an outline is a blank.
    let _ = face.tables().outline_glyph(GlyphId(glyph), &mut data);
    data.0
}

/// Path data in units of the type, turned y down.
struct GlyphPath(String);

impl GlyphPath {
    fn command(&mut self, letter: char, points: &[(f32, f32)]) {
        self.0.push(letter);
        for (index, (x, y)) in points.iter().enumerate() {
            let y = if *y == 0.0 { 0.0 } else { -*y };
            let gap = if index == 0 { "" } else { " " };
            let _ = write!(self.0, "{gap}{x} {y}");
        }
    }
}

impl OutlineBuilder for GlyphPath {
    fn move_to(&mut self, x: f32, y: f32) {
        self.command('M', &[(x, y)]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.command('L', &[(x, y)]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.command('Q', &[(x1, y1), (x, y)]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.command('C', &[(x1, y1), (x2, y2), (x, y)]);
    }

    fn close(&mut self) {
        self.0.push('z');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plate::SizeMm;
    use crate::sheets::PageBox;

    fn a4() -> Sheet {
        Sheet::new("stop-out 1 & more", SizeMm { width: Millimetres(210.0), height: Millimetres(297.0) })
    }

    #[test]
    fn the_page_has_its_size_and_its_words() {
        let mut sheet = a4();
        sheet.text(Weight::Regular, 9.0, Align::Middle, (105.0, 20.0), "PAINT <now> 製");
        let svg = sheet_svg(&sheet);
        assert!(
            svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\""),
            "{svg}"
        );
        assert!(svg.contains(">stop-out 1 &amp; more</title>") && svg.contains(">PAINT &lt;now&gt; 製</desc>"), "{svg}");
        // The letter that the type lacks is its box, glyph 0.
        assert!(svg.contains("id=\"r0\"") && svg.contains("href=\"#r0\""), "{svg}");
        assert_eq!(svg, sheet_svg(&sheet));
    }

    #[test]
    fn each_glyph_is_drawn_once_and_used_often() {
        let mut sheet = a4();
        for y in [20.0, 30.0] {
            sheet.text(Weight::Semibold, 60.0, Align::Start, (10.0, y), "111");
        }
        let svg = sheet_svg(&sheet);
        assert_eq!((svg.matches("<path id=").count(), svg.matches("<use ").count()), (1, 6));
    }

    #[test]
    fn every_kind_of_mark_is_drawn() {
        let mut sheet = a4();
        sheet.stroke(Pen::dashed(0.18), (10.0, 10.0), (110.0, 10.0));
        sheet.frame(Pen::solid(0.35), PageBox::new(10.0, 20.0, 30.0, 40.0));
        sheet.marks.push(Mark::Dots { diameter: Millimetres(0.8), centres: vec![PagePoint::new(1.0, 2.0), PagePoint::new(3.0, 2.5)] });
        sheet.marks.push(Mark::Blank(PageBox::new(1.0, 2.0, 3.0, 4.0)));
        let svg = sheet_svg(&sheet);
        for part in [
            "<path stroke-width=\".18\" stroke-dasharray=\"1.2 .8\" d=\"m10 10l100 0\"/>",
            "<path stroke-width=\".35\" d=\"m10 20l30 0 0 40-30 0z\"/>",
            "<path stroke-width=\".8\" stroke-linecap=\"round\" d=\"m1 2h0m2 .5h0\"/>",
            "<rect x=\"1\" y=\"2\" width=\"3\" height=\"4\" fill=\"#fff\" stroke=\"none\"/>",
        ] {
            assert!(svg.contains(part), "{part} in {svg}");
        }
    }

    #[test]
    fn an_upright_line_ends_at_its_point() {
        let mut sheet = a4();
        let words = "100 mm";
        sheet.marks.push(Mark::Text(Text {
            at: PagePoint::new(10.0, 100.0),
            words: words.to_owned(),
            size: 9.0,
            weight: Weight::Regular,
            align: Align::End,
            upwards: true,
        }));
        let width = TypeFace::of(Weight::Regular).width(words, 9.0).0;
        let wanted = format!("translate(10 {})rotate(-90)scale(", length(Millimetres(100.0 + width)));
        assert!(sheet_svg(&sheet).contains(&wanted), "{wanted}");
    }
}
