//! How plates lie on the press bed beneath one sheet, in plate view: the mirror of what the print will show, left and right.
//!
//! Where everything lies is told in mm from the bed's upper left corner, plate view, x to the right and y down. The bed runs through the press
//! along its length, which lies across the picture.

use crate::plate::SizeMm;
use crate::rows::Standing;
use crate::units::Millimetres;
use serde::{Deserialize, Serialize};
use std::fmt;

/// White that a sheet has round the plates on every side. Common practice, no source.
pub const LEAST_MARGIN: Millimetres = Millimetres(40.0);
/// Smallest and largest side of a bed or a sheet, mm.
pub const SIDES: (Millimetres, Millimetres) = (Millimetres(50.0), Millimetres(4000.0));
/// Widest gap between plates, mm.
pub const MOST_GAP: Millimetres = Millimetres(200.0);
/// Lengths that differ by less are equal, mm.
const EQUAL: f64 = 1e-6;

/// Where the bed goes in the picture: which end of it meets the roller first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Feed {
    /// The left end first.
    #[default]
    Left,
    /// The right end first.
    Right,
}

/// What the printer says of press and sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// The bed: its length, along which it runs, and its width.
    pub bed: SizeMm,
    /// Which end goes in first.
    pub feed: Feed,
    /// Whether rows lie along the bed; else across it.
    pub along: bool,
    /// The damp sheet as the print is read: across and down.
    pub sheet: SizeMm,
    /// Least white round the plates; [`LEAST_MARGIN`] by default.
    pub margin: Millimetres,
    /// Whether the picture is to run off the sheet on purpose: no white is asked for then, and a backing sheet lies beneath.
    pub bleed: bool,
    /// How much of the sheet stays caught under the roller at the end that goes in last, so that it comes down in the same place again; 0: not at all.
    pub grip: Millimetres,
    /// Between plates of a row.
    pub gap: Millimetres,
    /// Between rows.
    pub gap_down: Millimetres,
}

impl Default for Asked {
    fn default() -> Self {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        Self {
            bed: size(1000.0, 500.0),
            feed: Feed::Left,
            along: true,
            sheet: size(600.0, 380.0),
            margin: LEAST_MARGIN,
            bleed: false,
            grip: Millimetres(0.0),
            gap: Millimetres(3.0),
            gap_down: Millimetres(3.0),
        }
    }
}

/// A plate as the row has it, print view.
#[derive(Clone, Debug, PartialEq)]
pub struct InRow {
    /// Its letter.
    pub letter: String,
    /// Which it is, and whether it is turned.
    pub standing: Standing,
    /// The metal's size.
    pub size: SizeMm,
    /// How far its top lies below the line that the plates of its row share; negative: above.
    pub top: Millimetres,
}

/// A box on the bed or in the print, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Lies {
    /// From the left.
    pub x: f64,
    /// From the top.
    pub y: f64,
    /// Across.
    pub width: f64,
    /// Down.
    pub height: f64,
}

impl Lies {
    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.width
    }

    /// Lower edge.
    #[must_use]
    pub fn foot(&self) -> f64 {
        self.y + self.height
    }
}

/// A plate where it lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Placed {
    /// Its letter.
    pub letter: String,
    /// Which it is.
    pub plate: usize,
    /// Whether it is turned by half a turn.
    pub turned: bool,
    /// Its row in the print from the top, the first is 0.
    pub row: usize,
    /// In the print, mm from the sheet's upper left corner, print view.
    pub print: Lies,
    /// On the bed, plate view.
    pub bed: Lies,
}

/// How all of it lies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Laid {
    /// The plates in the order of the print, row by row.
    pub plates: Vec<Placed>,
    /// The bed, at 0, 0.
    pub bed: Lies,
    /// The sheet on it.
    pub sheet: Lies,
    /// The sheet as it is read: at 0, 0.
    pub print: Lies,
    /// All plates with their gaps, as the print shows them, on the sheet.
    pub block: Lies,
    /// Whether rows lie across the bed: its picture is turned by a quarter, tops to the right.
    pub across: bool,
    /// Which end goes in first.
    pub feed: Feed,
    /// The strip of the sheet that stays under the roller, on the bed; none where none is wanted.
    pub grip: Option<Lies>,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
}

impl Laid {
    /// Letters as they are read in the print, row by row: "C · A · B · D"; a turned one says so.
    #[must_use]
    pub fn read(&self) -> String {
        self.letters(false)
    }

    /// Letters of each row as they lie on the bed, plate view: from the left, or from the top down where rows lie across it.
    #[must_use]
    pub fn on_the_bed(&self) -> String {
        self.letters(true)
    }

    fn letters(&self, reversed: bool) -> String {
        let rows = self.plates.last().map_or(0, |plate| plate.row + 1);
        let row = |index: usize| {
            let mut letters: Vec<String> = self
                .plates
                .iter()
                .filter(|plate| plate.row == index)
                .map(|plate| format!("{}{}", plate.letter, if plate.turned { " turned" } else { "" }))
                .collect();
            if reversed {
                letters.reverse();
            }
            letters.join(" · ")
        };
        (0..rows).map(row).collect::<Vec<_>>().join(" / ")
    }

    /// Where a point of the print, mm from the sheet's upper left corner, lies on the bed: mirrored, and turned where rows lie across it.
    #[must_use]
    pub fn to_bed(&self, (x, y): (f64, f64)) -> (f64, f64) {
        let mirrored = self.print.width - x;
        let (across, down) = if self.across { (self.print.height - y, mirrored) } else { (mirrored, y) };
        (self.sheet.x + across, self.sheet.y + down)
    }

    /// The same of a box.
    #[must_use]
    pub fn box_to_bed(&self, of: &Lies) -> Lies {
        let ((a, b), (c, d)) = (self.to_bed((of.x, of.y)), self.to_bed((of.right(), of.foot())));
        Lies { x: a.min(c), y: b.min(d), width: (a - c).abs(), height: (b - d).abs() }
    }

    /// White of the sheet at left, right, top and foot of the print, mm; negative where the picture runs off.
    #[must_use]
    pub fn margins(&self) -> [f64; 4] {
        let (sheet, block) = (self.print, self.block);
        [block.x, sheet.width - block.right(), block.y, sheet.height - block.foot()]
    }
}

/// Why plates can't be laid so.
#[derive(Clone, Debug, PartialEq)]
pub enum BedError {
    /// There is none.
    Nothing,
    /// A measure of the bed, of the sheet, of a gap, margin or grip is out of its range.
    Measure {
        /// What it is.
        what: &'static str,
        /// From and to, mm.
        range: (f64, f64),
        /// What came, mm.
        came: f64,
    },
    /// The plates are larger than the bed.
    Bed {
        /// The plates with their gaps, along the bed and across it, mm.
        block: (f64, f64),
        /// The bed, along and across, mm.
        bed: (f64, f64),
        /// Whether they would fit the other way round.
        other_way: bool,
    },
    /// The sheet is larger than the bed.
    SheetOnBed {
        /// Along the bed and across it, mm.
        sheet: (f64, f64),
        /// The bed, mm.
        bed: (f64, f64),
    },
    /// The sheet is too small for the plates and their margins.
    Sheet {
        /// The plates, across and down, mm.
        block: (f64, f64),
        /// The sheet, mm.
        sheet: (f64, f64),
        /// What it would have to be, mm.
        needed: (f64, f64),
        /// The margin asked for, mm.
        margin: f64,
    },
}

fn mm(value: f64) -> String {
    let rounded = libm::round(value * 10.0) / 10.0;
    format!("{rounded}")
}

/// "499 × 180 mm (19.6 × 7.1 in)".
fn both((a, b): (f64, f64)) -> String {
    format!("{} × {} mm ({:.1} × {:.1} in)", mm(a), mm(b), Millimetres(a).inches(), Millimetres(b).inches())
}

impl fmt::Display for BedError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => write!(f, "One plate or more was expected on the bed, none came: take one into the row."),
            Self::Measure { what, range, came } => {
                write!(f, "{what} is {} to {} mm; {came} mm came: check it and its unit.", range.0, range.1)
            }
            Self::Bed { block, bed, other_way } => write!(
                f,
                "The plates with their gaps take {} along the bed and across it; the bed has {}: {}.",
                both(*block),
                both(*bed),
                if *other_way {
                    "lay the row the other way on it"
                } else {
                    "take a plate out, lay them in more rows, or print in two passes"
                }
            ),
            Self::SheetOnBed { sheet, bed } => write!(
                f,
                "The sheet takes {} along the bed and across it; the bed has {}: use a smaller sheet or lay it the other way.",
                both(*sheet),
                both(*bed)
            ),
            Self::Sheet { block, sheet, needed, margin } => write!(
                f,
                "The plates with their gaps are {}; the sheet of {} leaves less than {} mm white on a side: take a sheet of at least {}, or say that the picture \
                 runs off it.",
                both(*block),
                both(*sheet),
                mm(*margin),
                both(*needed)
            ),
        }
    }
}

impl std::error::Error for BedError {}

fn measured(asked: &Asked) -> Result<(), BedError> {
    let sides = (SIDES.0.0, SIDES.1.0);
    let least = if asked.bleed { 0.0 } else { LEAST_MARGIN.0 };
    for (what, range, came) in [
        ("The length of a bed", sides, asked.bed.width),
        ("The width of a bed", sides, asked.bed.height),
        ("The width of a sheet", sides, asked.sheet.width),
        ("The height of a sheet", sides, asked.sheet.height),
        ("A gap between plates", (0.0, MOST_GAP.0), asked.gap),
        ("A gap between rows", (0.0, MOST_GAP.0), asked.gap_down),
        ("A margin of the sheet", (least, 1000.0), asked.margin),
        ("What stays under the roller", (0.0, 500.0), asked.grip),
    ] {
        let idle = asked.bleed && what.starts_with("A margin");
        let fits = came.0.is_finite() && (range.0..=range.1).contains(&came.0);
        if !fits && !idle {
            return Err(BedError::Measure { what, range, came: came.0 });
        }
    }
    Ok(())
}

/// Lays rows of plates (print view, each from the left) on the bed. A row's plates stand to each other as their tops say; a column is as wide as
/// its widest plate, the others in its middle. On the sheet they lie in the middle, but for what stays under the roller.
///
/// # Errors
/// What does not fit, with its sizes.
pub fn lay(rows: &[Vec<InRow>], asked: &Asked) -> Result<Laid, BedError> {
    measured(asked)?;
    let rows: Vec<&[InRow]> = rows.iter().map(Vec::as_slice).filter(|row| !row.is_empty()).collect();
    let (mut plates, (wide, high)) = block(&rows, asked).ok_or(BedError::Nothing)?;
    let turn = |(across, down): (f64, f64)| if asked.along { (across, down) } else { (down, across) };
    let (bed, sheet) = ((asked.bed.width.0, asked.bed.height.0), (asked.sheet.width.0, asked.sheet.height.0));
    let within = |(a, b): (f64, f64)| a <= bed.0 + EQUAL && b <= bed.1 + EQUAL;
    if !within(turn((wide, high))) {
        let other_way = within(turn((high, wide)));
        return Err(BedError::Bed { block: turn((wide, high)), bed, other_way });
    }
    if !within(turn(sheet)) {
        return Err(BedError::SheetOnBed { sheet: turn(sheet), bed });
    }
    // The end that goes in last, in the print: its left or right, or its top or foot where rows lie across.
    let (left, top) = (asked.along && asked.feed == Feed::Left, !asked.along && asked.feed == Feed::Left);
    let margin = if asked.bleed { f64::NEG_INFINITY } else { asked.margin.0 };
    let grip = |here: bool| if here && asked.grip.0 > 0.0 { margin.max(asked.grip.0) } else { margin };
    let (right, foot) = (asked.along && !left, !asked.along && !top);
    let begins = |room: f64, before: f64, after: f64| {
        let spare = room / 2.0;
        if spare < before {
            before
        } else if spare < after {
            room - after
        } else {
            spare
        }
    };
    let x = begins(sheet.0 - wide, grip(left), grip(right));
    let y = begins(sheet.1 - high, grip(top), grip(foot));
    let after = (sheet.0 - wide - x, sheet.1 - high - y);
    if x < grip(left) - EQUAL || after.0 < grip(right) - EQUAL || y < grip(top) - EQUAL || after.1 < grip(foot) - EQUAL {
        let needed = |size: f64, a: f64, b: f64| size + a.max(0.0) + b.max(0.0);
        let needed = (needed(wide, grip(left), grip(right)), needed(high, grip(top), grip(foot)));
        return Err(BedError::Sheet { block: (wide, high), sheet, needed, margin: asked.margin.0.max(0.0) });
    }
    let on_bed = turn(sheet);
    let sheet_on_bed = Lies { x: (bed.0 - on_bed.0) / 2.0, y: (bed.1 - on_bed.1) / 2.0, width: on_bed.0, height: on_bed.1 };
    for plate in &mut plates {
        plate.print.x += x;
        plate.print.y += y;
    }
    let held = asked.grip.0.min(on_bed.0);
    let last = if asked.feed == Feed::Left { sheet_on_bed.right() - held } else { sheet_on_bed.x };
    let mut laid = Laid {
        plates,
        bed: Lies { x: 0.0, y: 0.0, width: bed.0, height: bed.1 },
        sheet: sheet_on_bed,
        print: Lies { x: 0.0, y: 0.0, width: sheet.0, height: sheet.1 },
        block: Lies { x, y, width: wide, height: high },
        across: !asked.along,
        feed: asked.feed,
        grip: (held > 0.0).then_some(Lies { x: last, width: held, ..sheet_on_bed }),
        notes: Vec::new(),
    };
    let on_bed: Vec<Lies> = laid.plates.iter().map(|plate| laid.box_to_bed(&plate.print)).collect();
    laid.plates.iter_mut().zip(on_bed).for_each(|(plate, bed)| plate.bed = bed);
    laid.notes = notes(&laid, asked);
    Ok(laid)
}

/// The plates in a block of their own, print view, and its size.
fn block(rows: &[&[InRow]], asked: &Asked) -> Option<(Vec<Placed>, (f64, f64))> {
    let columns = rows.iter().map(|row| row.len()).max()?;
    let widest = |column: usize| rows.iter().filter_map(|row| row.get(column)).map(|plate| plate.size.width.0).fold(0.0, f64::max);
    let widths: Vec<f64> = (0..columns).map(widest).collect();
    let (mut plates, mut y) = (Vec::new(), 0.0);
    for (index, row) in rows.iter().enumerate() {
        let top = row.iter().map(|plate| plate.top.0).fold(f64::INFINITY, f64::min);
        let mut x = 0.0;
        let mut foot = y;
        for (plate, width) in row.iter().zip(&widths) {
            let size = plate.size;
            let print = Lies { x: x + (width - size.width.0) / 2.0, y: y + plate.top.0 - top, width: size.width.0, height: size.height.0 };
            foot = print.foot().max(foot);
            x += width + asked.gap.0;
            let Standing { plate: number, turned } = plate.standing;
            plates.push(Placed { letter: plate.letter.clone(), plate: number, turned, row: index, print, bed: print });
        }
        y = foot + asked.gap_down.0;
    }
    Some((plates, (widths.iter().sum::<f64>() + asked.gap.0 * (columns - 1) as f64, y - asked.gap_down.0)))
}

fn notes(laid: &Laid, asked: &Asked) -> Vec<String> {
    let [left, right, top, foot] = laid.margins().map(mm);
    let (wide, high) = (mm(laid.block.width), mm(laid.block.height));
    let mut notes = vec![format!(
        "The plates take {wide} × {high} mm with their gaps. White of the print: {left} mm at the left, {right} mm at the right, {top} mm above, {foot} mm below."
    )];
    let heights = laid.plates.iter().map(|plate| plate.print.height);
    let (least, most) = (heights.clone().fold(f64::INFINITY, f64::min), heights.fold(0.0, f64::max));
    if most - least > EQUAL {
        let tops: Vec<String> = laid.plates.iter().map(|plate| format!("{} {}", plate.letter, mm(plate.print.y))).collect();
        notes.push(format!("The plates are not of one height. From the top edge of the sheet to their top edges: {} mm.", tops.join(", ")));
    }
    if asked.bleed {
        notes.push(if laid.margins().iter().any(|margin| *margin < 0.0) {
            "The picture runs off the sheet: lay a backing sheet between plates and felts, or the ink goes into them.".to_owned()
        } else {
            "The picture is meant to run off the sheet, and nowhere does: move the sheet, or take a smaller one.".to_owned()
        });
    }
    if laid.grip.is_some() {
        notes.push(format!(
            "{} mm of the sheet stay under the roller, at the end that goes in last: stop the bed before it runs through, and turn the sheet back over the roller.",
            mm(asked.grip.0)
        ));
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn plate(letter: &str, plate: usize, width: f64, height: f64, top: f64) -> InRow {
        let size = SizeMm { width: Millimetres(width), height: Millimetres(height) };
        InRow { letter: letter.to_owned(), standing: Standing { plate, turned: false }, size, top: Millimetres(top) }
    }

    /// The demo family in its best order (our own invention).
    fn demo() -> Vec<InRow> {
        [("C", 2, 120.0), ("A", 0, 120.0), ("B", 1, 160.0), ("D", 3, 90.0)]
            .map(|(letter, number, width)| plate(letter, number, width, 180.0, 0.0))
            .to_vec()
    }

    #[test]
    fn what_is_read_from_the_left_lies_on_the_bed_from_the_right() {
        let laid = lay(&[demo()], &Asked::default()).unwrap();
        assert_eq!((laid.read().as_str(), laid.on_the_bed().as_str()), ("C · A · B · D", "D · B · A · C"));
        // 490 mm and three gaps on a sheet of 600 × 380.
        assert_eq!((laid.block.width, laid.block.height), (499.0, 180.0));
        assert_eq!(laid.margins(), [50.5, 50.5, 100.0, 100.0]);
        // By hand: the bed is 1000 long, the sheet begins at 200; C is the last of the row there.
        let c = &laid.plates[0];
        assert_eq!((c.bed.right(), c.bed.y), (200.0 + 600.0 - 50.5, 160.0));
        let by_place: Vec<&str> = {
            let mut plates: Vec<&Placed> = laid.plates.iter().collect();
            plates.sort_by(|a, b| a.bed.x.total_cmp(&b.bed.x));
            plates.iter().map(|plate| plate.letter.as_str()).collect()
        };
        assert_eq!(by_place, ["D", "B", "A", "C"]);
        let mut turned = demo();
        turned[2].standing.turned = true;
        let laid = lay(&[turned], &Asked::default()).unwrap();
        assert_eq!((laid.read().as_str(), laid.on_the_bed().as_str()), ("C · A · B turned · D", "D · B turned · A · C"));
    }

    #[test]
    fn across_the_bed_the_row_runs_down_and_tops_lie_to_the_right() {
        let asked = Asked {
            along: false,
            bed: SizeMm { width: Millimetres(1000.0), height: Millimetres(650.0) },
            grip: Millimetres(120.0),
            ..Asked::default()
        };
        let laid = lay(&[demo()], &asked).unwrap();
        assert_eq!((laid.sheet.width, laid.sheet.height), (380.0, 600.0));
        let (c, d) = (laid.plates[0].bed, laid.plates[3].bed);
        // Mirrored: the last of the row comes first from the top. Its width lies down the picture.
        assert!(d.y < c.y && d.height == 90.0 && d.width == 180.0);
        // The end that goes in last is the right one, the tops': 120 mm of the sheet stay free there.
        assert_abs_diff_eq!(laid.sheet.right() - c.right(), 120.0, epsilon = 1e-9);
        assert_eq!(laid.margins()[2..], [120.0, 80.0]);
        let grip = laid.grip.unwrap();
        assert_eq!((grip.right(), grip.width, grip.height), (laid.sheet.right(), 120.0, 600.0));
    }

    #[test]
    fn other_heights_stand_as_they_are_aligned_and_rows_one_below_the_other() {
        let first = vec![plate("A", 0, 100.0, 180.0, -62.0), plate("B", 1, 80.0, 150.0, -50.0)];
        let second = vec![plate("C", 2, 60.0, 90.0, -45.0)];
        let laid = lay(&[first, second], &Asked::default()).unwrap();
        let [a, b, c] = [0, 1, 2].map(|index| laid.plates[index].print);
        assert_eq!((b.y - a.y, c.y - a.y), (12.0, 183.0));
        // In the middle of its column.
        assert_eq!((c.x - a.x, laid.block.height), (20.0, 273.0));
        assert_eq!((laid.read().as_str(), laid.on_the_bed().as_str()), ("A · B / C", "B · A / C"));
        assert!(laid.notes[1].contains("A 53.5, B 65.5, C 236.5 mm"), "{:?}", laid.notes);
    }

    #[test]
    fn what_does_not_fit_is_refused_with_its_sizes() {
        let size = |width: f64, height: f64| SizeMm { width: Millimetres(width), height: Millimetres(height) };
        let said = |rows: &[Vec<InRow>], asked: Asked| lay(rows, &asked).unwrap_err().to_string();
        assert_eq!(
            said(&[demo()], Asked { bed: size(480.0, 900.0), ..Asked::default() }),
            "The plates with their gaps take 499 × 180 mm (19.6 × 7.1 in) along the bed and across it; the bed has 480 × 900 mm (18.9 × 35.4 in): lay the \
             row the other way on it."
        );
        assert!(said(&[demo()], Asked { bed: size(480.0, 400.0), ..Asked::default() }).contains("print in two passes"));
        assert!(said(&[demo()], Asked { bed: size(550.0, 500.0), ..Asked::default() }).starts_with("The sheet takes 600 × 380 mm"));
        let narrow = said(&[demo()], Asked { sheet: size(560.0, 380.0), ..Asked::default() });
        assert!(narrow.contains("less than 40 mm") && narrow.contains("at least 579 × 260 mm (22.8 × 10.2 in)"), "{narrow}");
        let grip = said(&[demo()], Asked { grip: Millimetres(70.0), ..Asked::default() });
        assert!(grip.contains("at least 609 × 260 mm"), "{grip}");
        assert!(said(&[], Asked::default()).ends_with("take one into the row."));
        for (change, words) in [
            (Asked { gap: Millimetres(-1.0), ..Asked::default() }, "A gap between plates is 0 to 200 mm; -1 mm came"),
            (Asked { gap_down: Millimetres(f64::NAN), ..Asked::default() }, "A gap between rows"),
            (Asked { margin: Millimetres(20.0), ..Asked::default() }, "A margin of the sheet is 40 to 1000 mm"),
            (Asked { bed: size(0.0, 500.0), ..Asked::default() }, "The length of a bed"),
            (Asked { sheet: size(600.0, 1e9), ..Asked::default() }, "The height of a sheet"),
        ] {
            assert!(said(&[demo()], change).starts_with(words), "{words}");
        }
        // On purpose it may run off the sheet, which is said.
        let bleeds = lay(&[demo()], &Asked { sheet: size(450.0, 150.0), bleed: true, ..Asked::default() }).unwrap();
        assert_eq!(bleeds.margins(), [-24.5, -24.5, -15.0, -15.0]);
        assert!(bleeds.notes[1].contains("backing sheet"));
        assert!(lay(&[demo()], &Asked { bleed: true, ..Asked::default() }).unwrap().notes[1].contains("nowhere does"));
        // Thirty plates are only too many for the bed.
        let many = vec![(0..30).map(|number| plate("X", number, 50.0, 50.0, 0.0)).collect::<Vec<_>>()];
        assert!(said(&many, Asked::default()).starts_with("The plates with their gaps take 1587 × 50 mm"));
    }

    proptest! {
        #[test]
        fn the_bed_is_the_prints_mirror_and_nothing_overlaps(
            sizes in prop::collection::vec((20.0..150.0f64, 20.0..150.0f64, 0.0..60.0f64), 1..9), per_row in 1..5usize, along in any::<bool>(),
            feed in any::<bool>(), grip in 0.0..100.0f64, gap in 0.0..10.0f64,
        ) {
            let all: Vec<InRow> = sizes.iter().enumerate().map(|(number, &(wide, high, top))| plate("P", number, wide, high, top)).collect();
            let rows: Vec<Vec<InRow>> = all.chunks(per_row).map(<[InRow]>::to_vec).collect();
            let large = SizeMm { width: Millimetres(3000.0), height: Millimetres(3000.0) };
            let feed = if feed { Feed::Left } else { Feed::Right };
            let laid = lay(&rows, &Asked { bed: large, sheet: large, along, feed, grip: Millimetres(grip), gap: Millimetres(gap), ..Asked::default() }).unwrap();
            let apart = |a: &Lies, b: &Lies| a.right() <= b.x + 1e-6 || b.right() <= a.x + 1e-6 || a.foot() <= b.y + 1e-6 || b.foot() <= a.y + 1e-6;
            for (index, one) in laid.plates.iter().enumerate() {
                for other in &laid.plates[index + 1..] {
                    prop_assert!(apart(&one.print, &other.print) && apart(&one.bed, &other.bed));
                    if along {
                        // Left of in the print is right of on the bed.
                        let (in_print, on_bed) = (one.print.x - other.print.x, one.bed.right() - other.bed.right());
                        prop_assert!((in_print + on_bed).abs() < 1e-6);
                    }
                }
                prop_assert!(laid.grip.is_none_or(|grip| apart(&grip, &one.bed)));
            }
            prop_assert!(laid.margins().iter().all(|margin| *margin >= 40.0 - 1e-6));
        }
    }
}
