//! The fonts of a PDF: embedded, with the letters that the pages use.

use super::{deflated, rounded};
use crate::type_face::{TypeFace, Weight};
use pdf_writer::types::{CidFontType, FontFlags, SystemInfo, UnicodeCmap};
use pdf_writer::{Filter, Finish, Name, Pdf, Rect, Ref, Str};
use std::collections::BTreeMap;

/// Glyphs that the pages use, and the letter each stands for.
#[derive(Default)]
pub(super) struct Used {
    regular: BTreeMap<u16, char>,
    semibold: BTreeMap<u16, char>,
}

impl Used {
    pub(super) fn of(&self, weight: Weight) -> &BTreeMap<u16, char> {
        match weight {
            Weight::Regular => &self.regular,
            Weight::Semibold => &self.semibold,
        }
    }

    pub(super) fn glyph(&mut self, weight: Weight, letter: char) -> u16 {
        let glyph = TypeFace::of(weight).glyph_or_box(letter);
        // The box of a letter that can't be set is read back as a box, whichever letter it stood for.
        let read = if glyph == 0 { '\u{25a1}' } else { letter };
        let used = match weight {
            Weight::Regular => &mut self.regular,
            Weight::Semibold => &mut self.semibold,
        };
        used.entry(glyph).or_insert(read);
        glyph
    }
}

/// The objects of one font.
pub(super) struct FontRefs {
    pub(super) weight: Weight,
    pub(super) name: &'static [u8],
    pub(super) font: Ref,
    pub(super) descendant: Ref,
    pub(super) descriptor: Ref,
    pub(super) file: Ref,
    pub(super) to_unicode: Ref,
}

impl FontRefs {
    pub(super) fn write(&self, file: &mut Pdf, used: &BTreeMap<u16, char>) {
        let face = TypeFace::of(self.weight);
        let tables = face.tables();
        let name = Name(face.postscript_name().as_bytes());
        let system = SystemInfo { registry: Str(b"Adobe"), ordering: Str(b"Identity"), supplement: 0 };
        let scaled = |units: i16| f32::from(units) * 1000.0 / f32::from(tables.units_per_em());

        file.type0_font(self.font)
            .base_font(name)
            .encoding_predefined(Name(b"Identity-H"))
            .descendant_font(self.descendant)
            .to_unicode(self.to_unicode);

        let mut descendant = file.cid_font(self.descendant);
        descendant
            .subtype(CidFontType::Type2)
            .base_font(name)
            .system_info(system)
            .font_descriptor(self.descriptor)
            .default_width(0.0)
            .cid_to_gid_map_predefined(Name(b"Identity"));
        let mut widths = descendant.widths();
        for &glyph in used.keys() {
            widths.same(glyph, glyph, rounded(face.advance(glyph), 1000.0));
        }
        widths.finish();
        descendant.finish();

        let bounds = tables.global_bounding_box();
        file.font_descriptor(self.descriptor)
            .name(name)
            .flags(FontFlags::SERIF | FontFlags::SYMBOLIC)
            .bbox(Rect::new(scaled(bounds.x_min), scaled(bounds.y_min), scaled(bounds.x_max), scaled(bounds.y_max)))
            .italic_angle(0.0)
            .ascent(scaled(tables.ascender()))
            .descent(scaled(tables.descender()))
            .cap_height(scaled(tables.capital_height().unwrap_or(0)))
            // No table holds the stem's width; 80 and 120 are read off the l of each weight.
            .stem_v(if self.weight == Weight::Regular { 80.0 } else { 120.0 })
            .font_file2(self.file);

        let packed = deflated(face.file());
        let mut stream = file.stream(self.file, &packed);
        stream.filter(Filter::FlateDecode).pair(Name(b"Length1"), face.file().len() as i32);
        stream.finish();

        let mut letters = UnicodeCmap::new(Name(b"Custom"), system);
        for (&glyph, &letter) in used {
            letters.pair(glyph, letter);
        }
        let packed = deflated(&letters.finish());
        file.cmap(self.to_unicode, &packed).filter(Filter::FlateDecode);
    }
}
