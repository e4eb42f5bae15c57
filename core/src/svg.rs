//! The ground of our SVG files: coordinates in thousandths of a millimetre, path data, words that need escaping.

use crate::units::Millimetres;
use std::fmt::Write as _;

/// A length in whole thousandths of a millimetre: what a file holds, so that equal points are written equally.
pub(crate) fn micrometres(mm: f64) -> i64 {
    libm::round(mm * 1000.0) as i64
}

/// Thousandths of a millimetre as millimetres, without a zero that says nothing: `1.5`, `-.25`, `0`.
fn push(text: &mut String, micrometres: i64) {
    if micrometres < 0 {
        text.push('-');
    }
    let (whole, part) = (micrometres.unsigned_abs() / 1000, micrometres.unsigned_abs() % 1000);
    // Writing to a String can't fail.
    if whole > 0 || part == 0 {
        let _ = write!(text, "{whole}");
    }
    if part > 0 {
        let _ = write!(text, ".{part:03}");
        while text.ends_with('0') {
            text.pop();
        }
    }
}

/// A length, mm, at most three decimals.
#[must_use]
pub(crate) fn length(length: Millimetres) -> String {
    let mut text = String::new();
    push(&mut text, micrometres(length.0));
    text
}

/// Words as character data or as the value of an attribute (XML 1.0, 2.4). Letters that XML can't hold become U+FFFD.
#[must_use]
pub(crate) fn escaped(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\n' | '\t' => text.push(letter),
            '\u{0}'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => text.push('\u{fffd}'),
            _ => text.push(letter),
        }
    }
    text
}

/// Path data (SVG 2, 9.3), in mm.
///
/// Relative coordinates make a smaller file; absolute ones are read back alike wherever a point comes.
pub(crate) struct PathData {
    text: String,
    relative: bool,
    at: (i64, i64),
    start: (i64, i64),
    /// The last command, which need not be said again.
    said: char,
}

impl PathData {
    /// An empty path in relative coordinates.
    pub(crate) fn relative() -> Self {
        Self { text: String::new(), relative: true, at: (0, 0), start: (0, 0), said: ' ' }
    }

    /// An empty path in absolute coordinates.
    pub(crate) fn absolute() -> Self {
        Self { relative: false, ..Self::relative() }
    }

    fn command(&mut self, letter: char) {
        if self.said != letter {
            self.text.push(if self.relative { letter.to_ascii_lowercase() } else { letter });
            self.said = letter;
        }
    }

    fn number(&mut self, micrometres: i64) {
        let after_number = self.text.ends_with(|c: char| c.is_ascii_digit());
        if after_number && micrometres >= 0 {
            self.text.push(' ');
        }
        push(&mut self.text, micrometres);
    }

    fn point(&mut self, (x, y): (i64, i64)) {
        let from = if self.relative { self.at } else { (0, 0) };
        self.number(x - from.0);
        self.number(y - from.1);
    }

    /// Begins a part at a point, mm.
    pub(crate) fn move_to(&mut self, x: f64, y: f64) {
        let to = (micrometres(x), micrometres(y));
        // A second pair after M would be a line.
        self.said = ' ';
        self.command('M');
        self.point(to);
        (self.at, self.start) = (to, to);
        self.said = 'M';
    }

    /// A straight line to a point, mm; nothing where that is where the pen stands.
    pub(crate) fn line_to(&mut self, x: f64, y: f64) {
        let to = (micrometres(x), micrometres(y));
        if to == self.at {
            return;
        }
        self.command('L');
        self.point(to);
        self.at = to;
    }

    /// A cubic Bézier by its two control points to a point, mm; a line where it is straight in whole thousandths of a millimetre.
    pub(crate) fn curve_to(&mut self, points: [(f64, f64); 3]) {
        let [a, b, to] = points.map(|(x, y)| (micrometres(x), micrometres(y)));
        let side = |p: (i64, i64)| (to.0 - self.at.0) * (p.1 - self.at.1) - (to.1 - self.at.1) * (p.0 - self.at.0);
        if side(a) == 0 && side(b) == 0 {
            self.line_to(points[2].0, points[2].1);
            return;
        }
        self.command('C');
        [a, b, to].into_iter().for_each(|point| self.point(point));
        self.at = to;
    }

    /// A dot at a point, mm: a line of no length, which round caps make as wide as the line (SVG 2, 13.5.2).
    pub(crate) fn dot(&mut self, x: f64, y: f64) {
        self.move_to(x, y);
        self.text.push_str("h0");
        if !self.relative {
            self.text.truncate(self.text.len() - 2);
            self.text.push('H');
            push(&mut self.text, self.at.0);
        }
        self.said = 'H';
    }

    /// Joins the end to the beginning.
    pub(crate) fn close(&mut self) {
        self.text.push('z');
        (self.at, self.said) = (self.start, 'z');
    }

    /// Whether nothing was drawn.
    pub(crate) fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// The data.
    pub(crate) fn text(&self) -> &str {
        &self.text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_have_three_decimals_at_most() {
        for (mm, text) in
            [(0.0, "0"), (-0.0004, "0"), (1.0, "1"), (0.5, ".5"), (-0.25, "-.25"), (-12.3456, "-12.346"), (0.001, ".001"), (10.05, "10.05")]
        {
            assert_eq!(length(Millimetres(mm)), text);
        }
    }

    #[test]
    fn relative_paths_end_where_absolute_ones_do() {
        let draw = |mut path: PathData| {
            path.move_to(10.0, 20.0);
            path.line_to(10.5, 20.0);
            path.line_to(10.5, 19.25);
            path.close();
            path.move_to(11.0, 20.0);
            path.line_to(11.0, 20.0);
            path.line_to(0.0, -1.0);
            path.text().to_owned()
        };
        assert_eq!(draw(PathData::relative()), "m10 20l.5 0 0-.75zm1 0l-11-21");
        assert_eq!(draw(PathData::absolute()), "M10 20L10.5 20 10.5 19.25zM11 20L0-1");
    }

    #[test]
    fn a_straight_curve_is_a_line_and_a_bent_one_is_not() {
        let draw = |mut path: PathData| {
            path.move_to(1.0, 1.0);
            path.curve_to([(1.0, 2.0), (1.0, 2.5), (1.0, 4.0)]);
            path.curve_to([(1.0, 5.0), (2.0, 6.0), (3.0, 6.0)]);
            path.text().to_owned()
        };
        assert_eq!(draw(PathData::absolute()), "M1 1L1 4C1 5 2 6 3 6");
        assert_eq!(draw(PathData::relative()), "m1 1l0 3c0 1 1 2 2 2");
    }

    #[test]
    fn words_are_escaped() {
        assert_eq!(escaped("a<b & \"c\"\u{1}"), "a&lt;b &amp; &quot;c&quot;\u{fffd}");
    }
}
