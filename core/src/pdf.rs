//! Sheets as a PDF: the one place where millimetres become points and the page is turned upside down.

mod fonts;
mod forms;
mod photos;

use self::fonts::{FontRefs, Used};
use self::forms::{FORM_UNIT, Forms};
use self::photos::Photos;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::sheets::{Align, Mark, PagePoint, Pen, Sheet, Sheets, Text};
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;
use kurbo::{Affine, BezPath};
use pdf_writer::types::{LineCapStyle, LineJoinStyle};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Level of deflate: on a set of 45 pages 6 takes twice the time of 3 and saves 5 %.
const DEFLATE_LEVEL: u8 = 3;

/// Writes sheets as a PDF file (ISO 32000-1), a page a sheet, at true size.
///
/// MediaBox and TrimBox are the paper; the viewer is asked not to scale; the fonts are embedded. The file holds no date and no
/// random id, so equal sheets give equal bytes.
#[must_use]
pub fn pdf(sheets: &Sheets) -> Vec<u8> {
    let mut next = Ref::new(1);
    let (catalog, tree, info) = (next.bump(), next.bump(), next.bump());
    let fonts = Weight::ALL.map(|weight| FontRefs {
        weight,
        name: match weight {
            Weight::Regular => b"R",
            Weight::Semibold => b"S",
        },
        font: next.bump(),
        descendant: next.bump(),
        descriptor: next.bump(),
        file: next.bump(),
        to_unicode: next.bump(),
    });
    let mut used = Used::default();
    let mut file = Pdf::new();
    file.set_version(1, 7);
    let forms = Forms::of(&sheets.sheets, &mut next);
    forms.write(&mut file);
    let photos = Photos::of(&sheets.sheets, &mut next);
    photos.write(&mut file);
    let mut pages = Vec::new();
    for sheet in &sheets.sheets {
        let page = next.bump();
        pages.push(page);
        write_page(&mut file, sheet, (&fonts, &forms, &photos), (page, tree, &mut next), &mut used);
    }
    for font in &fonts {
        font.write(&mut file, used.of(font.weight));
    }
    file.pages(tree).count(pages.len() as i32).kids(pages);
    file.document_info(info).title(TextStr(&sheets.title)).creator(TextStr("Stepbite"));
    let mut root = file.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    // ISO 32000-1:2008, table 150. The library has no call for PrintScaling: without it a viewer shrinks the page to its own margins.
    let mut preferences = root.insert(Name(b"ViewerPreferences")).dict();
    preferences.pair(Name(b"PrintScaling"), Name(b"None"));
    preferences.pair(Name(b"Duplex"), Name(b"Simplex"));
    preferences.pair(Name(b"DisplayDocTitle"), true);
    preferences.finish();
    root.finish();
    file.finish()
}

fn deflated(bytes: &[u8]) -> Vec<u8> {
    miniz_oxide::deflate::compress_to_vec_zlib(bytes, DEFLATE_LEVEL)
}

/// A number with no more decimals than matter: 0.01 pt is 3.5 µm.
fn rounded(value: f64, steps: f64) -> f32 {
    (libm::round(value * steps) / steps) as f32
}

fn write_page(
    file: &mut Pdf,
    sheet: &Sheet,
    (fonts, forms, photos): (&[FontRefs], &Forms, &Photos),
    (page, tree, next): (Ref, Ref, &mut Ref),
    used: &mut Used,
) {
    let SizeMm { width, height } = sheet.page;
    let (greys, drawn, pictured) = (Vec::new(), BTreeSet::new(), BTreeSet::new());
    let mut writer = Writer { content: Content::new(), height, pen: None, fonts, forms, used, greys, drawn, photos, pictured };
    writer.stretch(sheet);
    writer.content.set_line_join(LineJoinStyle::RoundJoin);
    for mark in &sheet.marks {
        writer.mark(mark);
    }
    let Writer { content, greys, drawn, pictured, .. } = writer;

    let paper = Rect::new(0.0, 0.0, width.points() as f32, height.points() as f32);
    let content_ref = next.bump();
    let greys: Vec<(String, Ref, Plane<u8>)> =
        greys.into_iter().enumerate().map(|(index, pixels)| (format!("G{index}"), next.bump(), pixels)).collect();
    let mut object = file.page(page);
    object.parent(tree).media_box(paper).trim_box(paper).contents(content_ref);
    let mut resources = object.resources();
    let mut names = resources.fonts();
    for font in fonts {
        names.pair(Name(font.name), font.font);
    }
    names.finish();
    if !greys.is_empty() || !drawn.is_empty() || !pictured.is_empty() {
        let mut names = resources.x_objects();
        for &form in &drawn {
            names.pair(Name(Forms::name(form).as_bytes()), forms.list[form].1);
        }
        for &photo in &pictured {
            names.pair(Name(Photos::name(photo).as_bytes()), photos.list[photo].1);
        }
        for (name, grey, _) in &greys {
            names.pair(Name(name.as_bytes()), grey);
        }
    }
    resources.finish();
    object.finish();

    let packed = deflated(&content.finish());
    file.stream(content_ref, &packed).filter(Filter::FlateDecode);
    for (_, grey, pixels) in greys {
        let packed = deflated(pixels.data());
        let mut image = file.image_xobject(grey, &packed);
        image.filter(Filter::FlateDecode);
        image.width(pixels.width() as i32).height(pixels.height() as i32).bits_per_component(8);
        image.color_space().device_gray();
    }
}

/// What the pen is set to.
#[derive(Clone, Copy, PartialEq)]
enum Set {
    Pen(Pen),
    Dot(Millimetres),
}

struct Writer<'a> {
    content: Content,
    height: Millimetres,
    pen: Option<Set>,
    fonts: &'a [FontRefs],
    forms: &'a Forms,
    used: &'a mut Used,
    /// Pictures of this page: `G0`, `G1` …
    greys: Vec<Plane<u8>>,
    /// Curves that this page shows.
    drawn: BTreeSet<usize>,
    photos: &'a Photos,
    /// Photographs that this page shows.
    pictured: BTreeSet<usize>,
}

impl Writer<'_> {
    /// One matrix before all else stretches the page about its middle (ISO 32000-1:2008, 8.3.4); none where there is nothing to stretch.
    fn stretch(&mut self, sheet: &Sheet) {
        let (across, down) = sheet.stretch;
        if (across, down) != (1.0, 1.0) {
            let kept = |side: Millimetres, by: f64| rounded(side.points() / 2.0 * (1.0 - by), 10_000.0);
            let by = |by: f64| rounded(by, 1_000_000.0);
            self.content.transform([by(across), 0.0, 0.0, by(down), kept(sheet.page.width, across), kept(sheet.page.height, down)]);
        }
    }

    /// From mm, y down from the paper's top, to points, y up from its foot (ISO 32000-1:2008, 8.3.2.3).
    fn at(&self, point: PagePoint) -> (f32, f32) {
        let (x, y) = (Millimetres(point.x), Millimetres(self.height.0 - point.y));
        (rounded(x.points(), 100.0), rounded(y.points(), 100.0))
    }

    fn set(&mut self, wanted: Set) {
        if self.pen == Some(wanted) {
            return;
        }
        self.pen = Some(wanted);
        let length = |length: Millimetres| rounded(length.points(), 1000.0);
        match wanted {
            Set::Pen(Pen { width, dash }) => {
                self.content.set_line_width(length(width)).set_line_cap(LineCapStyle::ButtCap);
                match dash {
                    Some((on, off)) => self.content.set_dash_pattern([length(on), length(off)], 0.0),
                    None => self.content.set_dash_pattern([], 0.0),
                };
            }
            // ISO 32000-1:2008, 8.5.3.2: a line of no length with round caps paints a dot as wide as the line.
            Set::Dot(diameter) => {
                self.content.set_line_width(length(diameter)).set_line_cap(LineCapStyle::RoundCap).set_dash_pattern([], 0.0);
            }
        }
    }

    fn mark(&mut self, mark: &Mark) {
        match mark {
            Mark::Strokes { pen, strokes } => {
                self.set(Set::Pen(*pen));
                for &[from, to] in strokes {
                    self.line([from, to]);
                }
                self.content.stroke();
            }
            Mark::Line { pen, points, closed } => {
                self.set(Set::Pen(*pen));
                self.line(points.iter().copied());
                if *closed {
                    self.content.close_path();
                }
                self.content.stroke();
            }
            Mark::Dots { diameter, centres } => {
                self.set(Set::Dot(*diameter));
                for &centre in centres {
                    self.line([centre, centre]);
                }
                self.content.stroke();
            }
            Mark::Curve { pen, path, place } => self.curve(*pen, path, *place),
            Mark::Grey { of, pixels } => {
                let name = format!("G{}", self.greys.len());
                self.greys.push(pixels.clone());
                let (x, y) = self.at(PagePoint::new(of.x, of.foot()));
                let (width, height) = (Millimetres(of.width).points() as f32, Millimetres(of.height).points() as f32);
                self.content.save_state().transform([width, 0.0, 0.0, height, x, y]).x_object(Name(name.as_bytes())).restore_state();
            }
            Mark::Photo { of, file } => {
                let Some(number) = self.photos.number(file) else { return };
                let (x, y) = self.at(PagePoint::new(of.x, of.foot()));
                let (width, height) = (Millimetres(of.width).points() as f32, Millimetres(of.height).points() as f32);
                let name = Photos::name(number);
                self.content.save_state().transform([width, 0.0, 0.0, height, x, y]).x_object(Name(name.as_bytes())).restore_state();
                self.pictured.insert(number);
            }
            Mark::Within { clip, marks } => {
                let (x, y) = self.at(PagePoint::new(clip.x, clip.foot()));
                let (width, height) = (Millimetres(clip.width).points() as f32, Millimetres(clip.height).points() as f32);
                let pen = self.pen;
                self.content.save_state().rect(x, y, width, height).clip_nonzero().end_path();
                for mark in marks {
                    self.mark(mark);
                }
                self.content.restore_state();
                // The pen is what it was before, by ISO 32000-1:2008, 8.4.2.
                self.pen = pen;
            }
            Mark::Blank(of) => {
                let (x, y) = self.at(PagePoint::new(of.x, of.foot()));
                let (width, height) = (Millimetres(of.width).points() as f32, Millimetres(of.height).points() as f32);
                self.content.set_fill_gray(1.0).rect(x, y, width, height).fill_nonzero().set_fill_gray(0.0);
            }
            Mark::Text(text) => self.text(text),
        }
    }

    /// A path of the file's list, placed: its own matrix goes before the page's (ISO 32000-1:2008, 8.10.1), which turns y over.
    fn curve(&mut self, pen: Pen, path: &Arc<BezPath>, place: Affine) {
        let Some(form) = self.forms.number(path) else { return };
        let [a, b, c, d, e, f] = place.as_coeffs();
        let (x, y) = (Millimetres(e), Millimetres(self.height.0 - f));
        let by = |by: f64| rounded(by * FORM_UNIT, 10_000_000.0);
        // The form's y runs down like the page's in millimetres.
        let matrix = [by(a), by(-b), by(c), by(-d), rounded(x.points(), 1000.0), rounded(y.points(), 1000.0)];
        let before = self.pen;
        self.content.save_state().transform(matrix);
        // Pens are wide and dashes long on the page, whatever the form is placed by.
        let scale = FORM_UNIT * (a * d - b * c).abs().sqrt();
        let length = |of: Millimetres| rounded(of.points() / scale, 10.0);
        self.content.set_line_width(length(pen.width)).set_line_cap(LineCapStyle::ButtCap);
        match pen.dash {
            Some((on, off)) => self.content.set_dash_pattern([length(on), length(off)], 0.0),
            None => self.content.set_dash_pattern([], 0.0),
        };
        self.content.x_object(Name(Forms::name(form).as_bytes())).restore_state();
        self.pen = before;
        self.drawn.insert(form);
    }

    fn line(&mut self, points: impl IntoIterator<Item = PagePoint>) {
        for (index, point) in points.into_iter().enumerate() {
            let (x, y) = self.at(point);
            if index == 0 {
                self.content.move_to(x, y);
            } else {
                self.content.line_to(x, y);
            }
        }
    }

    fn text(&mut self, text: &Text) {
        let width = TypeFace::of(text.weight).width(&text.words, text.size).0;
        let back = match text.align {
            Align::Start => 0.0,
            Align::Middle => width / 2.0,
            Align::End => width,
        };
        let start = if text.upwards { PagePoint::new(text.at.x, text.at.y + back) } else { PagePoint::new(text.at.x - back, text.at.y) };
        let (x, y) = self.at(start);
        let glyphs: Vec<u8> = text.words.chars().flat_map(|letter| self.used.glyph(text.weight, letter).to_be_bytes()).collect();
        let name = self.fonts.iter().find(|font| font.weight == text.weight).map_or(b"R".as_slice(), |font| font.name);
        let matrix = if text.upwards { [0.0, 1.0, -1.0, 0.0, x, y] } else { [1.0, 0.0, 0.0, 1.0, x, y] };
        self.content.begin_text().set_font(Name(name), text.size as f32).set_text_matrix(matrix).show(Str(&glyphs)).end_text();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jpeg_file::JpegFile;
    use crate::sheets::PageBox;

    fn page(width: f64, height: f64) -> Sheet {
        let mut sheet = Sheet::new("page", SizeMm { width: Millimetres(width), height: Millimetres(height) });
        sheet.stroke(Pen::solid(0.35), (10.0, 10.0), (110.0, 10.0));
        sheet.text(Weight::Regular, 12.0, Align::Middle, (50.0, 50.0), "Ice house, Лёд, 氷");
        sheet.marks.push(Mark::Dots { diameter: Millimetres(0.5), centres: vec![PagePoint::new(1.0, 2.0)] });
        sheet.marks.push(Mark::Blank(PageBox::new(1.0, 1.0, 2.0, 2.0)));
        sheet
    }

    fn two_pages() -> Sheets {
        Sheets { title: "Ice house".into(), sheets: vec![page(210.0, 297.0), page(279.4, 215.9)], fits: true, notes: Vec::new() }
    }

    fn contains(bytes: &[u8], wanted: &str) -> bool {
        bytes.windows(wanted.len()).any(|window| window == wanted.as_bytes())
    }

    #[test]
    fn boxes_are_the_paper_and_nothing_is_scaled() {
        let bytes = pdf(&two_pages());
        // ISO 216: A4 is 210 × 297 mm, at 72/25.4 points 595.2756 × 841.8898; Letter on its side is 792 × 612.
        for wanted in ["/MediaBox [0 0 595.2756 841.8898]", "/TrimBox [0 0 595.2756 841.8898]", "/MediaBox [0 0 792 612]"] {
            assert!(contains(&bytes, wanted), "{wanted}");
        }
        assert!(contains(&bytes, "/PrintScaling /None") && contains(&bytes, "/Lang (en)"));
        assert!(contains(&bytes, "/FontFile2") && !contains(&bytes, "CreationDate"));
    }

    #[test]
    fn equal_sheets_give_equal_bytes() {
        assert_eq!(pdf(&two_pages()), pdf(&two_pages()));
    }

    #[test]
    fn a_curve_that_pages_share_is_written_once_and_placed_by_each() {
        let mut path = BezPath::new();
        path.move_to((10.0, 20.0));
        path.curve_to((11.0, 20.0), (12.0, 21.0), (12.0, 22.0));
        let path = Arc::new(path);
        let sheets = |paths: [&Arc<BezPath>; 2]| {
            let mut sheets = two_pages();
            for ((sheet, path), across) in sheets.sheets.iter_mut().zip(paths).zip([1.0, -1.0]) {
                let place = Affine::new([across, 0.0, 0.0, 1.0, 100.0, 5.0]);
                sheet.marks.push(Mark::Curve { pen: Pen::solid(0.35), path: Arc::clone(path), place });
            }
            pdf(&sheets)
        };
        let forms = |bytes: &[u8]| bytes.windows(13).filter(|part| part == b"/Subtype /For").count();
        let other = Arc::new((*path).clone());
        let shared = sheets([&path, &path]);
        assert_eq!((forms(&shared), forms(&sheets([&path, &other]))), (1, 2));
        assert_eq!(shared, sheets([&other, &other]));
        // 9 to 13 and 19 to 23 mm at 7200/25.4 units a millimetre.
        assert!(contains(&shared, "/BBox [2551 5386 3685 6520]"));
    }

    #[test]
    fn a_photograph_is_held_once_as_it_came() {
        let photo = Arc::new(JpegFile::new(crate::jpeg_file::tests::jpeg(60, 40)).unwrap());
        let mut sheets = two_pages();
        for sheet in &mut sheets.sheets {
            sheet.marks.push(Mark::Photo { of: PageBox::new(20.0, 20.0, 30.0, 20.0), file: Arc::clone(&photo) });
        }
        let bytes = pdf(&sheets);
        assert_eq!(bytes.windows(photo.bytes().len()).filter(|part| *part == photo.bytes()).count(), 1);
        for wanted in ["/Filter /DCTDecode", "/Width 60", "/Height 40", "/ColorSpace /DeviceRGB", "/P0 "] {
            assert!(contains(&bytes, wanted), "{wanted}");
        }
        assert_eq!(bytes, pdf(&sheets));
    }

    #[test]
    fn y_is_turned_over_once() {
        let sheet = page(210.0, 297.0);
        let mut used = Used::default();
        let mut writer = Writer {
            content: Content::new(),
            height: sheet.page.height,
            pen: None,
            fonts: &[],
            forms: &Forms::default(),
            used: &mut used,
            greys: Vec::new(),
            drawn: BTreeSet::new(),
            photos: &Photos::default(),
            pictured: BTreeSet::new(),
        };
        writer.mark(&sheet.marks[0]);
        let written = String::from_utf8(writer.content.finish().to_vec()).unwrap();
        // 10 mm from the left and 287 mm from the foot: 28.35 and 813.54 points.
        assert!(written.contains("28.35 813.54 m\n311.81 813.54 l\nS"), "{written}");
    }
}
