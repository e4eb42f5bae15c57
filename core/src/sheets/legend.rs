//! The legend: what each pattern on a sheet says, with a swatch of it.

use super::frame::{DASHED, DOTTED, HAIR, LINE};
use super::layout::line_height;
use super::mark::{Align, Mark, PageBox, PagePoint, Pen, Sheet};
use super::settings::Style;
use super::tints::{DOT, HATCH_PITCH, RULE_PITCH};
use crate::aside::Aside;
use crate::type_face::{TypeFace, Weight};
use crate::units::Millimetres;

/// A pattern of a sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sign {
    PaintNow,
    CoveredBefore,
    LeaveBare,
    Resist,
    ByHand,
    Opens,
    Outlined,
    Etched,
    NumberOnEdge,
    NumberInRing,
    DashInRing,
    ResistEdge,
}

/// What a stop-out's sheet shows.
pub(super) fn of_stop_out(aside: &Aside, style: Style) -> Vec<Sign> {
    let mut signs = match style {
        Style::Full => vec![Sign::PaintNow, Sign::CoveredBefore, Sign::LeaveBare],
        Style::Outline => vec![Sign::Outlined],
    };
    signs.extend(aside.resist().map(|_| Sign::Resist));
    signs.extend(aside.by_hand().map(|_| Sign::ByHand));
    signs
}

/// What the lift's sheet shows.
pub(super) const OF_LIFT: [Sign; 2] = [Sign::Opens, Sign::Resist];
/// What the sheet of etched lines shows.
pub(super) const OF_LINES: [Sign; 1] = [Sign::Etched];
/// What the key sheet shows.
pub(super) fn of_key(aside: &Aside) -> Vec<Sign> {
    let mut signs = vec![Sign::NumberOnEdge, Sign::NumberInRing, Sign::DashInRing];
    signs.extend(aside.resist().map(|_| Sign::ResistEdge));
    signs.extend(aside.by_hand().map(|_| Sign::ByHand));
    signs
}
/// What must be said where only outlines are drawn.
pub(super) const OUTLINES: &str = "OUTLINES ONLY: white does not mean bare here; the hatch is on the full sheet.";
/// The same in few words.
pub(super) const BRIEF_OUTLINES: &str = "OUTLINES ONLY: white is not bare.";

impl Sign {
    /// Its words, shorter where many stand in a row.
    pub(super) fn words(self, many: bool) -> &'static str {
        match self {
            Self::PaintNow => "PAINT NOW",
            Self::CoveredBefore => "COVERED BEFORE",
            Self::LeaveBare if many => "LEAVE BARE",
            Self::LeaveBare => "LEAVE BARE, WILL BITE",
            Self::Resist | Self::ResistEdge if many => "RESIST STAYS",
            Self::Resist | Self::ResistEdge => "FIXED RESIST, STAYS ON",
            Self::ByHand => "HAND",
            Self::Opens => "PAINTED HERE = BITES HERE",
            Self::Outlined => "P: PAINT NOW",
            Self::Etched => "NEEDLE BETWEEN THE EDGES",
            // The swatch beside it bears that number.
            Self::NumberOnEdge if many => "PAINT AT 3",
            Self::NumberOnEdge => "PAINT AT THAT STOP-OUT",
            Self::NumberInRing if many => "COVERED FROM 3 ON",
            Self::NumberInRing => "COVERED FROM THEN ON",
            Self::DashInRing => "NEVER COVERED",
        }
    }
}

/// All words of a legend with their swatches in one row, as large as fits.
pub(super) fn row(sheet: &mut Sheet, signs: &[Sign], x: f64, y: f64, width: f64, sizes: &[f64]) {
    if signs.is_empty() {
        return;
    }
    let face = TypeFace::of(Weight::Semibold);
    let many = signs.len() > 3;
    let (swatch, gap, between) = if many { (8.0, 2.0, 3.0) } else { (12.0, 2.5, 5.0) };
    let spaces = (signs.len() - 1) as f64;
    let taken = |size: f64| signs.iter().map(|sign| swatch + gap + face.width(sign.words(many), size).0).sum::<f64>() + spaces * between;
    let size = sizes.iter().copied().find(|&size| taken(size) <= width).unwrap_or(9.0);
    // What is left over goes between them, up to a measure.
    let between = between + ((width - taken(size)) / spaces).clamp(0.0, 8.0);
    let height = 6.4_f64.min(line_height(size) + 1.4);
    let mut left = x;
    for sign in signs {
        draw(sheet, PageBox::new(left, y, swatch, height), *sign);
        let base = y + (height + face.cap_height(size).0) / 2.0;
        sheet.text(Weight::Semibold, size, Align::Start, (left + swatch + gap, base), sign.words(many));
        left += swatch + gap + face.width(sign.words(many), size).0 + between;
    }
}

/// The legend in a row of little height.
pub(super) fn low_row(sheet: &mut Sheet, signs: &[Sign], x: f64, y: f64, width: f64, height: f64) {
    if signs.is_empty() {
        return;
    }
    let face = TypeFace::of(Weight::Semibold);
    let many = signs.len() > 3;
    let count = signs.len() as f64;
    let words = signs.iter().map(|sign| face.width(sign.words(many), 9.0).0).sum::<f64>();
    let between = if many { 1.5 } else { 2.5 };
    let swatch = ((width - words - 1.5 * count - between * (count - 1.0) - if many { 0.0 } else { 2.5 }) / count).clamp(4.0, 12.0);
    let mut left = x;
    for sign in signs {
        draw(sheet, PageBox::new(left, y, swatch, height), *sign);
        let base = y + (height + face.cap_height(9.0).0) / 2.0;
        sheet.text(Weight::Semibold, 9.0, Align::Start, (left + swatch + 1.5, base), sign.words(many));
        left += swatch + 1.5 + face.width(sign.words(many), 9.0).0 + between;
    }
}

/// Strokes across a box, rising to the right, or falling.
fn hatch(of: PageBox, falling: bool) -> Vec<[PagePoint; 2]> {
    let step = HATCH_PITCH * std::f64::consts::SQRT_2;
    let mut strokes = Vec::new();
    let mut sum = step * 0.6;
    let x = |across: f64| if falling { of.right() - across } else { of.x + across };
    while sum < of.width + of.height {
        let from = (sum - of.height).max(0.0);
        let to = sum.min(of.width);
        strokes.push([PagePoint::new(x(from), of.y + sum - from), PagePoint::new(x(to), of.y + sum - to)]);
        sum += step;
    }
    strokes
}

/// One swatch.
pub(super) fn draw(sheet: &mut Sheet, of: PageBox, sign: Sign) {
    match sign {
        Sign::PaintNow => {
            sheet.strokes(Pen::solid(0.25), hatch(of, false));
            sheet.frame(LINE, of);
        }
        Sign::Opens => {
            sheet.strokes(Pen::solid(0.25), hatch(of, false));
            sheet.strokes(Pen::solid(0.25), hatch(of, true));
            sheet.frame(LINE, of);
        }
        Sign::CoveredBefore => {
            let centres = (0..3)
                .flat_map(|row| {
                    (0..6).map(move |column| (f64::from(column) * 2.0 + if row % 2 == 0 { 0.5 } else { 1.5 }, f64::from(row) * 2.0))
                })
                .map(|(dx, dy)| PagePoint::new(of.x + 0.5 + dx, of.y + (of.height - 4.0) / 2.0 + dy))
                .filter(|centre| centre.x < of.right() - 0.4 && centre.y > of.y + 0.4 && centre.y < of.foot() - 0.4)
                .collect();
            sheet.marks.push(Mark::Dots { diameter: Millimetres(DOT), centres });
            sheet.frame(DASHED, of);
        }
        Sign::Resist => {
            let lines = libm::floor(of.height / RULE_PITCH).max(1.0);
            let first = of.y + (of.height - (lines - 1.0) * RULE_PITCH) / 2.0;
            let rule = |line: f64| [PagePoint::new(of.x, first + line * RULE_PITCH), PagePoint::new(of.right(), first + line * RULE_PITCH)];
            sheet.strokes(HAIR, (0..lines as usize).map(|line| rule(line as f64)).collect());
            sheet.frame(HAIR, of);
        }
        Sign::LeaveBare => sheet.frame(LINE, of),
        Sign::ByHand => sheet.frame(DOTTED, of),
        Sign::ResistEdge => sheet.frame(HAIR, of),
        Sign::Outlined => {
            sheet.frame(LINE, of);
            centred(sheet, of, "P");
        }
        // A line is drawn by its two edges.
        Sign::Etched => sheet.frame(LINE, PageBox::new(of.x, of.y + of.height / 2.0 - 0.5, of.width, 1.0)),
        Sign::NumberOnEdge => {
            let middle = of.y + of.height / 2.0;
            let half = (of.width / 2.0 - 2.0).max(0.0);
            sheet.stroke(LINE, (of.x, middle), (of.x + half, middle));
            sheet.stroke(LINE, (of.right() - half, middle), (of.right(), middle));
            centred(sheet, of, "3");
        }
        Sign::NumberInRing => in_ring(sheet, of, "3"),
        Sign::DashInRing => in_ring(sheet, of, "–"),
    }
}

fn centred(sheet: &mut Sheet, of: PageBox, words: &str) {
    let cap = TypeFace::of(Weight::Semibold).cap_height(9.0).0;
    sheet.text(Weight::Semibold, 9.0, Align::Middle, (of.x + of.width / 2.0, of.y + (of.height + cap) / 2.0), words);
}

fn in_ring(sheet: &mut Sheet, of: PageBox, words: &str) {
    let (x, y, radius) = (of.x + of.width / 2.0, of.y + of.height / 2.0, of.height.min(of.width) / 2.0);
    let points = (0..32).map(|turn| {
        let angle = f64::from(turn) * std::f64::consts::TAU / 32.0;
        PagePoint::new(x + radius * libm::cos(angle), y + radius * libm::sin(angle))
    });
    sheet.marks.push(Mark::Line { pen: HAIR, points: points.collect(), closed: true });
    centred(sheet, of, words);
}
