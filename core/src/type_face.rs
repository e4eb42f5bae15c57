//! The one type family of page and paper, and how wide a line of it runs.

use crate::units::{Millimetres, POINTS_PER_INCH};
use std::sync::OnceLock;
use ttf_parser::{Face, GlyphId};

/// A weight of the family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// For reading.
    Regular,
    /// For headings, numbers and signs.
    Semibold,
}

impl Weight {
    /// Both weights, in the order in which a file names them.
    pub const ALL: [Self; 2] = [Self::Regular, Self::Semibold];
}

/// One weight of the embedded family: its file and its measures.
pub struct TypeFace {
    weight: Weight,
    file: &'static [u8],
    face: Face<'static>,
}

static REGULAR: &[u8] = include_bytes!("../assets/stepbite-text-regular.ttf");
static SEMIBOLD: &[u8] = include_bytes!("../assets/stepbite-text-semibold.ttf");

impl TypeFace {
    /// The face of a weight. Its file is part of the program.
    ///
    /// # Panics
    /// Never: a test parses both files.
    #[must_use]
    #[expect(clippy::expect_used, reason = "the files are built in, and the tests parse both")]
    pub fn of(weight: Weight) -> &'static Self {
        static FACES: [OnceLock<TypeFace>; 2] = [OnceLock::new(), OnceLock::new()];
        let (cell, file) = match weight {
            Weight::Regular => (&FACES[0], REGULAR),
            Weight::Semibold => (&FACES[1], SEMIBOLD),
        };
        cell.get_or_init(|| Self { weight, file, face: Face::parse(file, 0).expect("the built-in type face is a TrueType file") })
    }

    /// The whole font file, TrueType.
    #[must_use]
    pub fn file(&self) -> &'static [u8] {
        self.file
    }

    /// PostScript name.
    #[must_use]
    pub fn postscript_name(&self) -> &'static str {
        match self.weight {
            Weight::Regular => "StepbiteText-Regular",
            Weight::Semibold => "StepbiteText-Semibold",
        }
    }

    /// The parsed tables.
    #[must_use]
    pub fn tables(&self) -> &Face<'static> {
        &self.face
    }

    /// The glyph of a letter, or nothing where the family has none.
    #[must_use]
    pub fn glyph(&self, letter: char) -> Option<u16> {
        self.face.glyph_index(letter).map(|glyph| glyph.0).filter(|&glyph| glyph != 0)
    }

    /// The glyph that stands for a letter: glyph 0, a visible box, where the family has none.
    #[must_use]
    pub fn glyph_or_box(&self, letter: char) -> u16 {
        self.glyph(letter).unwrap_or(0)
    }

    /// Advance of a glyph in thousandths of the type size.
    #[must_use]
    pub fn advance(&self, glyph: u16) -> f64 {
        let units = f64::from(self.face.glyph_hor_advance(GlyphId(glyph)).unwrap_or(0));
        units * 1000.0 / f64::from(self.face.units_per_em())
    }

    /// Width of a line set at `size` points, without kerning.
    #[must_use]
    pub fn width(&self, text: &str, size: f64) -> Millimetres {
        let thousandths: f64 = text.chars().map(|letter| self.advance(self.glyph_or_box(letter))).sum();
        points(thousandths / 1000.0 * size)
    }

    /// Height of the capitals at `size` points.
    #[must_use]
    pub fn cap_height(&self, size: f64) -> Millimetres {
        let units = f64::from(self.face.capital_height().unwrap_or(0));
        points(units / f64::from(self.face.units_per_em()) * size)
    }

    /// A paragraph cut at its spaces into lines no wider than `width`; a word wider than that stands alone, or is cut where it must be.
    #[must_use]
    pub fn wrap(&self, text: &str, size: f64, width: Millimetres) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        let mut line = String::new();
        for word in text.split_whitespace() {
            let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.width(&joined, size) <= width {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                line.push(letter);
                if line.chars().count() > 1 && self.width(&line, size) > width {
                    line.pop();
                    lines.push(std::mem::replace(&mut line, letter.to_string()));
                }
            }
        }
        if !line.is_empty() {
            lines.push(line);
        }
        lines
    }

    /// The line, shortened with an ellipsis until it is no wider than `width`.
    #[must_use]
    pub fn fitted(&self, text: &str, size: f64, width: Millimetres) -> String {
        if self.width(text, size) <= width {
            return text.to_owned();
        }
        let mut kept: Vec<char> = text.chars().collect();
        while !kept.is_empty() {
            kept.pop();
            let short: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
            if self.width(&short, size) <= width {
                return short;
            }
        }
        String::new()
    }
}

/// Letters of a text that the family can't set, each once, in the order they come.
#[must_use]
pub fn missing_letters(text: &str) -> Vec<char> {
    let face = TypeFace::of(Weight::Regular);
    let mut missing = Vec::new();
    for letter in text.chars() {
        if face.glyph(letter).is_none() && !missing.contains(&letter) {
            missing.push(letter);
        }
    }
    missing
}

pub(crate) fn points(points: f64) -> Millimetres {
    Millimetres::from_inches(points / POINTS_PER_INCH)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn both_files_parse_and_are_named_alike() {
        for weight in Weight::ALL {
            let face = TypeFace::of(weight);
            let named = face.tables().names().into_iter().any(|name| name.to_string().as_deref() == Some(face.postscript_name()));
            assert!(named, "{} is the name inside the file", face.postscript_name());
        }
    }

    #[test]
    fn every_letter_a_sheet_sets_is_there_and_the_box_can_be_seen() {
        for weight in Weight::ALL {
            let face = TypeFace::of(weight);
            for letter in "ABCabc0123456789 .,:;–—…×²·°%Δ≥−→↑☐✓ЖщЯÅøß“”".chars() {
                assert!(face.glyph(letter).is_some(), "{letter}");
            }
            assert!(face.tables().glyph_bounding_box(GlyphId(0)).is_some());
        }
        assert_eq!(missing_letters("Ice 製氷 house 製"), ['製', '氷']);
    }

    #[test]
    fn figures_are_as_wide_as_each_other() {
        let face = TypeFace::of(Weight::Semibold);
        let one = face.width("1", 26.0);
        for figure in "023456789".chars() {
            assert_abs_diff_eq!(face.width(&figure.to_string(), 26.0).0, one.0, epsilon = 1e-9);
        }
    }

    #[test]
    fn lines_stay_within_their_width() {
        let face = TypeFace::of(Weight::Regular);
        let width = Millimetres(30.0);
        let text = "after this stop-out 38 % of the face is covered, 17 islands to paint Grundsätzlichkeitserklärungsverordnung";
        let lines = face.wrap(text, 11.0, width);
        assert!(lines.iter().all(|line| face.width(line, 11.0) <= width));
        assert_eq!(lines.concat().replace(' ', ""), text.replace(' ', ""));
        assert!(face.wrap("x", 60.0, Millimetres(0.1)).len() == 1);
        assert!(face.width(&face.fitted(text, 9.0, width), 9.0) <= width);
        assert_eq!(face.fitted("", 9.0, width), "");
    }
}
