//! The look sheet: the print that is expected, in small and in an office printer's greys, with a swatch of each tone.
//!
//! Its greys say in which order the tones come, nothing more: toner on office paper is no ink on rag. Nobody traces from it, so it alone
//! is grey.

use super::frame::{self, HAIR, LINE};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::fitted;
use super::mark::{Align, Mark, PageBox, Pen, Sheet};
use super::{Job, View, has_times, percent};
use crate::bites::{Fate, ToneTime};
use crate::light::Reflectance;
use crate::plane::Plane;
use crate::plate::SizeMm;
use crate::strip::StripKind;
use crate::type_face::{TypeFace, Weight};

/// What must be said of greys from an office printer.
pub(super) const ORDER_ONLY: &str = "Office printer greys: order only, not a measure.";
/// The picture is never larger than this share of its size, unless the plate is a very small one: nobody is to trace it.
const MOST: f64 = 0.8;
/// Room for the sign of the view above the picture, and for the words at the foot, mm.
const SIGN: f64 = 11.0;
const FOOT: f64 = 27.0;
/// Width of a swatch with its words, and the gap beside the picture, mm.
const WORDS: f64 = 72.0;
const GAP: f64 = 8.0;
/// Least and greatest height of a swatch's row, mm.
const ROW: (f64, f64) = (11.0, 20.0);
/// Pixels a millimetre of the small picture: finer than an office printer's screen.
const PIXELS: f64 = 6.0;

/// The sheet.
pub(super) fn sheet(job: &Job, page: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("look sheet", job.settings.paper.size());
    head(&mut sheet, job, "Look sheet", page);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let top = PAD + HEAD;
    let banner = if super::run_frame::banner(job).is_some() { 15.0 } else { 0.0 };
    super::run_frame::banner_in(&mut sheet, job, PageBox::new(left, top, right - left, 11.6));

    let top = top + banner + 1.0;
    let below = top + SIGN;
    let room = PageBox::new(left, below, right - left, sheet.page.height.0 - PAD - FOOT - below);
    let plan = Arrangement::of(job.plate.face(), job.bites.tones.len(), room);
    let (scale, picture) = (plan.scale, plan.picture);
    sheet.marks.push(Mark::Grey { of: picture, pixels: pixels(job, picture) });
    sheet.frame(HAIR, picture);
    swatches(&mut sheet, job, &plan);
    frame::view_sign(&mut sheet, PageBox::new(left, top, 8.4, 8.4), View::Print);
    sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, top + 3.7), View::Print.words());
    let words = format!("as the pull will look, at {} of its size", percent(scale));
    let (fact, words) = fitted(Weight::Regular, &words, &[11.0, 10.0, 9.0], right - left - 11.0);
    sheet.text(Weight::Regular, fact, Align::Start, (left + 11.0, top + 8.2), words);

    let rest = match job.bites.strip_kind {
        StripKind::Measured => "and the others are scaled to it.",
        StripKind::Example => "and the others are scaled to it by the example strip.",
        StripKind::Missing => "and the others stand in their order: without a strip nobody knows how light each prints.",
    };
    let foot = PageBox::new(left, sheet.page.height.0 - PAD - 22.0, right - left, 9.4);
    sheet.frame(Pen::solid(0.7), foot);
    let cap = TypeFace::of(Weight::Semibold).cap_height(16.0).0;
    sheet.text(Weight::Semibold, 16.0, Align::Middle, (left + foot.width / 2.0, foot.y + (foot.height + cap) / 2.0), ORDER_ONLY);
    paragraph(
        &mut sheet,
        Weight::Regular,
        10.0,
        (left, foot.foot() + 1.0),
        right - left,
        &format!("Judge a tone by a dry pull from the plate, beside the strip. Bare paper stands for tone 0, {rest}"),
    );
    sheet
}

/// The grey of each tone as toner on this paper: its light against tone 0's, which is left bare.
fn greys(job: &Job) -> Vec<u8> {
    let tones = &job.bites.tones;
    let paper = tones.first().map_or(1.0, |tone| tone.target.reflectance().0).max(1e-6);
    tones.iter().map(|tone| Reflectance(tone.target.reflectance().0 / paper).byte()).collect()
}

/// The small picture: the light of the tones, in the mean over each of its pixels.
fn pixels(job: &Job, of: PageBox) -> Plane<u8> {
    let map = job.stop_outs.map().plane();
    let wide = libm::ceil(of.width * PIXELS).clamp(1.0, map.width() as f64) as usize;
    let high = libm::ceil(of.height * PIXELS).clamp(1.0, map.height() as f64) as usize;
    let tones = &job.bites.tones;
    let paper = tones.first().map_or(1.0, |tone| tone.target.reflectance().0).max(1e-6);
    let light: Vec<f64> = tones.iter().map(|tone| tone.target.reflectance().0 / paper).collect();
    let column: Vec<usize> = (0..map.width()).map(|x| x * wide / map.width()).collect();
    let mut out = Plane::filled(wide, high, 255_u8);
    for row in 0..high {
        let (from, to) = (row * map.height() / high, ((row + 1) * map.height() / high).max(row * map.height() / high + 1));
        let (mut sums, mut counts) = (vec![0.0; wide], vec![0_u32; wide]);
        for y in from..to.min(map.height()) {
            for (&tone, &at) in map.row(y).iter().zip(&column) {
                sums[at] += light.get(usize::from(tone)).copied().unwrap_or(1.0);
                counts[at] += 1;
            }
        }
        for (pixel, (sum, count)) in out.data_mut()[row * wide..(row + 1) * wide].iter_mut().zip(sums.iter().zip(&counts)) {
            *pixel = Reflectance(sum / f64::from((*count).max(1))).byte();
        }
    }
    out
}

/// How picture and swatches share the room: the swatches in a column right beside the picture, or in several beneath it, whichever shows the
/// picture larger.
struct Arrangement {
    scale: f64,
    picture: PageBox,
    /// Where the first swatch and its words stand, mm.
    first: PageBox,
    /// How many stand in a column.
    rows: usize,
    /// From one column to the next, mm.
    next: f64,
}

impl Arrangement {
    fn of(face: SizeMm, tones: usize, room: PageBox) -> Self {
        let beside = Self::beside(face, tones, room);
        let beneath = Self::beneath(face, tones, room);
        // A column in one piece is read sooner: what stands beneath has to be worth it.
        if beneath.scale > beside.scale * 1.15 { beneath } else { beside }
    }

    fn scale(face: SizeMm, width: f64, height: f64) -> f64 {
        let most = if face.width.0.max(face.height.0) > 80.0 { MOST } else { 1.0 };
        (width / face.width.0).min(height / face.height.0).clamp(1e-3, most)
    }

    fn beside(face: SizeMm, tones: usize, room: PageBox) -> Self {
        let scale = Self::scale(face, room.width - WORDS - GAP, room.height);
        let picture = PageBox::new(room.x, room.y, face.width.0 * scale, face.height.0 * scale);
        let count = tones.max(1) as f64;
        // As high as the picture, where that gives each its words.
        let row = (picture.height / count).clamp(ROW.0, ROW.1).min(room.height / count);
        let x = picture.right() + GAP;
        let width = (room.right() - x).min(WORDS * 1.5);
        Self { scale, picture, first: PageBox::new(x, room.y, width, row), rows: tones, next: 0.0 }
    }

    fn beneath(face: SizeMm, tones: usize, room: PageBox) -> Self {
        let columns = (libm::floor((room.width + GAP) / (WORDS + GAP)) as usize).max(1);
        let rows = tones.div_ceil(columns).max(1);
        let row = ROW.0 + 2.0;
        let scale = Self::scale(face, room.width, (room.height - GAP - row * rows as f64).max(1.0));
        let picture = PageBox::new(room.x, room.y, face.width.0 * scale, face.height.0 * scale);
        let next = (room.width + GAP) / columns as f64;
        Self { scale, picture, first: PageBox::new(room.x, picture.foot() + GAP, next - GAP, row), rows, next }
    }

    fn swatch(&self, index: usize) -> PageBox {
        let (column, row) = (index / self.rows, index % self.rows);
        PageBox::new(
            self.first.x + self.next * column as f64,
            self.first.y + self.first.height * row as f64,
            self.first.width,
            self.first.height,
        )
    }
}

fn swatches(sheet: &mut Sheet, job: &Job, plan: &Arrangement) {
    let greys = greys(job);
    for (index, (&grey, tone)) in greys.iter().zip(&job.bites.tones).enumerate() {
        let of = plan.swatch(index);
        let at = PageBox::new(of.x, of.y, of.width * 0.3, of.height - 1.8);
        sheet.marks.push(Mark::Grey { of: at, pixels: Plane::filled(1, 1, grey) });
        sheet.frame(LINE, at);
        let x = at.right() + 3.0;
        let middle = at.y + at.height / 2.0;
        let name = if index == 0 { "tone 0: paper".to_owned() } else { format!("tone {index}") };
        let facts = facts(job, index, tone);
        let (up, down) = if facts.is_empty() { (2.2, 0.0) } else { (-0.6, 4.4) };
        sheet.text(Weight::Semibold, 14.0, Align::Start, (x, middle + up), name);
        if !facts.is_empty() {
            let (size, facts) = fitted(Weight::Regular, &facts, &[11.0, 10.0, 9.0], of.right() - x);
            sheet.text(Weight::Regular, size, Align::Start, (x, middle + down), facts);
        }
    }
}

/// What is known of a tone: its target and its total by the printer's own strip; by the example with that word; nothing without a strip.
fn facts(job: &Job, index: usize, tone: &ToneTime) -> String {
    let lightness = match job.bites.strip_kind {
        StripKind::Missing => return if index == 0 { "never bitten".to_owned() } else { String::new() },
        StripKind::Measured => format!("L* {:.1}", tone.target.0),
        StripKind::Example => format!("example L* {:.1}", tone.target.0),
    };
    let fate = if index > 0 { job.bites.fate(index) } else { Fate::ToCome };
    if let Some(words) = fate.instead() {
        // A tone left out has the L* of the one it prints as; of one undecided nobody knows it.
        return if fate == Fate::Undecided { words.to_owned() } else { format!("{lightness} · {words}") };
    }
    match (has_times(job), index) {
        (false, _) => lightness,
        (true, 0) => format!("{lightness} · never bitten"),
        (true, _) => format!("{lightness} · total {}", tone.shown_total.clock()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{assert_legible, kinds_job, says};
    use super::*;

    #[test]
    fn it_says_that_its_greys_are_no_measure_and_every_tone_has_its_swatch() {
        kinds_job(|job| {
            let sheet = sheet(job, (3, 4));
            assert_legible(&sheet);
            assert!(says(&sheet, ORDER_ONLY) && says(&sheet, "PRINT VIEW") && !says(&sheet, "PLATE VIEW"));
            let greys = sheet.marks.iter().filter(|mark| matches!(mark, Mark::Grey { .. })).count();
            assert_eq!(greys, 1 + job.bites.tones.len());
            for (index, tone) in job.bites.tones.iter().enumerate().skip(1) {
                assert_eq!(says(&sheet, &format!("total {}", tone.shown_total.clock())), has_times(job));
                let target = format!("L* {:.1}", tone.target.0);
                assert_eq!(says(&sheet, &target), job.bites.strip_kind != StripKind::Missing);
                assert_eq!(says(&sheet, &format!("example {target}")), job.bites.strip_kind == StripKind::Example);
                assert!(sheet.words().any(|words| words == format!("tone {index}")));
            }
        });
    }

    #[test]
    fn swatches_stand_close_to_the_picture_and_on_nothing_else() {
        for (page, high) in [(186.0, 220.0), (192.0, 190.0), (273.0, 330.0)] {
            for (width, height) in [(160.0, 180.0), (240.0, 150.0), (300.0, 400.0), (60.0, 80.0), (5.0, 260.0), (600.0, 90.0)] {
                for tones in [2, 3, 10, 16] {
                    let room = PageBox::new(12.0, 50.0, page, high);
                    let face = SizeMm { width: crate::units::Millimetres(width), height: crate::units::Millimetres(height) };
                    let plan = Arrangement::of(face, tones, room);
                    let picture = plan.picture;
                    assert!(picture.right() <= room.right() + 1e-9 && picture.foot() <= room.foot() + 1e-9);
                    let boxes: Vec<PageBox> = (0..tones).map(|index| plan.swatch(index)).collect();
                    let gap = (boxes[0].x - picture.right()).max(boxes[0].y - picture.foot());
                    assert!((gap - GAP).abs() < 1e-9, "{gap} mm between them");
                    for (index, of) in boxes.iter().enumerate() {
                        assert!(of.right() <= room.right() + 1e-9 && of.foot() <= room.foot() + 1e-9, "{of:?} of {tones} in {room:?}");
                        assert!(of.height >= 11.0 - 1e-9 && of.width >= 60.0, "{of:?}");
                        for other in &boxes[index + 1..] {
                            assert!(
                                of.right() <= other.x
                                    || other.right() <= of.x
                                    || of.foot() <= other.y + 1e-9
                                    || other.foot() <= of.y + 1e-9
                            );
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn greys_darken_with_the_tones_and_paper_stays_bare() {
        kinds_job(|job| {
            let greys = greys(job);
            assert_eq!(greys[0], 255);
            assert!(greys.windows(2).all(|pair| pair[0] > pair[1]), "{greys:?}");
            let picture = pixels(job, PageBox::new(0.0, 0.0, 20.0, 20.0));
            let darkest = greys.last().copied();
            assert!(picture.data().iter().min().copied() >= darkest);
            // On the smallest plate a pixel holds several tones.
            if job.plate.size().width.0 > 100.0 {
                assert_eq!(picture.data().iter().min().copied(), darkest);
                assert!(picture.data().contains(&255));
            }
        });
    }
}
