//! The look sheet: the print that is expected, in small and in an office printer's greys, with a swatch of each tone.
//!
//! Its greys say in which order the tones come, nothing more: toner on office paper is no ink on rag. Nobody traces from it, so it alone
//! is grey.

use super::frame::{self, HAIR, LINE};
use super::heading::{HEAD, PAD, head, paragraph};
use super::layout::fitted;
use super::mark::{Align, Mark, PageBox, Pen, Sheet};
use super::{Job, View, has_times, percent};
use crate::light::Reflectance;
use crate::plane::Plane;
use crate::type_face::{TypeFace, Weight};

/// What must be said of greys from an office printer.
pub(super) const ORDER_ONLY: &str = "Office printer greys: order only, not a measure.";
/// Pixels a millimetre of the small picture: finer than an office printer's screen.
const PIXELS: f64 = 6.0;

/// The sheet.
pub(super) fn sheet(job: &Job, page: (usize, usize)) -> Sheet {
    let mut sheet = Sheet::new("look sheet", job.settings.paper.size());
    head(&mut sheet, job, "Look sheet", page);
    let (left, right) = (PAD, sheet.page.width.0 - PAD);
    let top = PAD + HEAD;
    let banner = if super::run::banner(job).is_some() { 15.0 } else { 0.0 };
    super::run::banner_in(&mut sheet, job, PageBox::new(left, top, right - left, 11.6));

    // Swatches in one column at the right; the picture beside them.
    let column = PageBox::new(right - 62.0, top + banner + 1.0, 62.0, sheet.page.height.0 - PAD - 22.0 - top - banner - 1.0);
    swatches(&mut sheet, job, column);
    let room = PageBox::new(left, column.y + 11.0, column.x - 10.0 - left, column.height - 11.0);
    let size = job.plate.face();
    // In small: never larger than half its size, unless the plate is a very small one.
    let scale =
        (room.width / size.width.0).min(room.height / size.height.0).min(if size.width.0.max(size.height.0) > 80.0 { 0.6 } else { 1.0 });
    let picture = PageBox::new(room.x, room.y, size.width.0 * scale, size.height.0 * scale);
    sheet.marks.push(Mark::Grey { of: picture, pixels: pixels(job, picture) });
    sheet.frame(HAIR, picture);
    frame::view_sign(&mut sheet, PageBox::new(left, column.y, 8.4, 8.4), View::Print);
    sheet.text(Weight::Semibold, 14.0, Align::Start, (left + 11.0, column.y + 3.7), View::Print.words());
    let words = format!("as the pull will look, at {} of its size", percent(scale));
    let (fact, words) = fitted(Weight::Regular, &words, &[11.0, 10.0, 9.0], room.width - 11.0);
    sheet.text(Weight::Regular, fact, Align::Start, (left + 11.0, column.y + 8.2), words);

    let foot = PageBox::new(left, sheet.page.height.0 - PAD - 19.0, right - left, 9.4);
    sheet.frame(Pen::solid(0.7), foot);
    let cap = TypeFace::of(Weight::Semibold).cap_height(16.0).0;
    sheet.text(Weight::Semibold, 16.0, Align::Middle, (left + foot.width / 2.0, foot.y + (foot.height + cap) / 2.0), ORDER_ONLY);
    paragraph(
        &mut sheet,
        Weight::Regular,
        10.0,
        (left, foot.foot() + 1.0),
        right - left,
        "Judge a tone by a dry pull from the plate, beside the strip. Bare paper stands for tone 0, and the others are scaled to it.",
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

fn swatches(sheet: &mut Sheet, job: &Job, of: PageBox) {
    let greys = greys(job);
    let row = (of.height / greys.len() as f64).min(17.0);
    for (index, (&grey, tone)) in greys.iter().zip(&job.bites.tones).enumerate() {
        let at = PageBox::new(of.x, of.y + index as f64 * row, 22.0, row - 1.8);
        sheet.marks.push(Mark::Grey { of: at, pixels: Plane::filled(1, 1, grey) });
        sheet.frame(LINE, at);
        let x = at.right() + 3.0;
        let middle = at.y + at.height / 2.0;
        let name = if index == 0 { "tone 0: paper".to_owned() } else { format!("tone {index}") };
        let lightness = format!("L* {:.1}", tone.target.0);
        let facts = match (has_times(job), index) {
            (false, _) => lightness,
            (true, 0) => format!("{lightness} · never bitten"),
            (true, _) => format!("{lightness} · total {}", tone.shown_total.clock()),
        };
        sheet.text(Weight::Semibold, 14.0, Align::Start, (x, middle - 0.6), name);
        let (size, facts) = fitted(Weight::Regular, &facts, &[11.0, 10.0, 9.0], of.right() - x);
        sheet.text(Weight::Regular, size, Align::Start, (x, middle + 4.4), facts);
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
                assert!(sheet.words().any(|words| words == format!("tone {index}")));
            }
        });
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
