//! The printed test strip, read from a phone's photograph or a scan: the L* of each band.
//!
//! The strip's place is found, or told by two points or four corners. It is laid flat, in linear light; every channel is divided by the
//! light of the bare paper along both long sides, so that a fall of light and its colour are taken out; bands are found where the lightness
//! steps; each band's inner part is read as the mean of its cells, the odd ones (glare, dust, a finger) left out. That is relative to the
//! paper: it becomes absolute by the paper's own L*, `Y = Y_relative · Y_paper`, which the printer types or a grey card in the picture tells.
//!
//! The reading is only as true as the camera: a phone may bend its tones by itself, and stray light in a lens lifts the darkest bands. A
//! flatbed scan without automatic correction does neither. What can't be told is said to be so, band by band; nothing is guessed.

use crate::drawing::Drawing;
use crate::homography::Point;
use crate::light::{Lightness, Reflectance};
use crate::photo::Corners;
use crate::photo::source::Light;
use serde::{Deserialize, Serialize};

mod card;
mod flat;
mod outline;
mod paper;
mod profile;
mod reading;
mod segments;
mod words;

pub use words::{Doubt, StripPhotoError};

use flat::Flat;
use paper::Paper;
use profile::Profile;

/// Where the strip lies in the picture, pixels of the upright picture from the outer corner of its first pixel.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum StripPlace {
    /// Looked for.
    #[default]
    Found,
    /// Between two points on the middles of its short ends; its width is looked for.
    Ends([Point; 2]),
    /// At four corners, clockwise; the first two go along a long side. Which end is the paper's is told from the bands.
    Corners(Corners),
    /// The same, read from the first corner on whatever the bands say.
    Directed(Corners),
}

/// How light the bare paper is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PaperLightness {
    /// Measured and typed.
    Typed(Lightness),
    /// Judged by eye beside a printed grey scale, and typed.
    ByEye(Lightness),
    /// Told by a grey card in the picture.
    Card {
        /// A point on the card, pixels of the picture.
        at: Point,
        /// The card's L*, 5 to 100.
        lightness: Lightness,
    },
}

/// A band's part of the strip's length: 0 at the paper's end, 1 at the other.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct BandSpan {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

/// What is to be read.
#[derive(Clone, Debug, PartialEq)]
pub struct StripPhotoSettings {
    /// Where the strip is.
    pub place: StripPlace,
    /// The bands as edited, in order, none over another; the place is then taken as [`StripPlace::Directed`]. Default none: looked for.
    pub bands: Option<Vec<BandSpan>>,
    /// How light the paper is.
    pub paper: PaperLightness,
}

/// One band, read.
#[derive(Clone, Debug, PartialEq)]
pub struct StripBand {
    /// Its part of the strip.
    pub span: BandSpan,
    /// Its outline in the picture, pixels, in the order of the strip's corners.
    pub outline: [Point; 4],
    /// Absolute L* of the dry print; none where it can't be told.
    pub lightness: Option<Lightness>,
    /// How far its small parts spread, a standard deviation, L*: grain, noise and unevenness.
    pub spread: f64,
    /// Share of its small parts left out as glare, dust or covered, 0 to 1.
    pub excluded: f64,
    /// Why it can't be told, or nothing.
    pub doubt: Option<Doubt>,
}

/// A strip, read from a picture.
#[derive(Clone, Debug, PartialEq)]
pub struct StripPhoto {
    /// Its corners, clockwise, the first and the last at the paper's end.
    pub corners: Corners,
    /// Its bands from the paper's end on.
    pub bands: Vec<StripBand>,
    /// L* of the bare paper beside it, as given or told by the card.
    pub paper: Lightness,
    /// Whether the first band is so near the paper that it is taken for the unbitten end. Else the paper beside stands for 0 s.
    pub unbitten: bool,
    /// Lightest over darkest light of the paper along the strip.
    pub fall: f64,
    /// What the printer should know, a sentence each.
    pub notes: Vec<String>,
}

/// Bands of a strip, least and most.
pub const BANDS: (usize, usize) = (3, 60);
/// L* that a paper can have: handmade dark ones to the whitest. Estimate of ours.
pub const PAPERS: (Lightness, Lightness) = (Lightness(50.0), Lightness(100.0));
/// Least pixels of a strip along and across.
const SMALLEST: (f64, f64) = (60.0, 12.0);
/// Paper darker than this, linear, leaves nothing for the dark bands: byte 63 of 255.
const DIM: f64 = 0.05;
/// Most of the paper beside the strip that may be burnt out.
const BURNT: f64 = 0.3;
/// A first band this near the paper, L*, is taken for the unbitten end. Estimate of ours: plate tone takes one to three.
const UNBITTEN: f64 = 3.5;
/// An end of what was found that is this near the paper, L* of its 100, is the paper beside it.
const AS_PAPER: f64 = 0.9;

/// Finds the strip and gives its corners, the paper's end first.
///
/// # Errors
/// Where no strip can be told, or it can't be read.
pub fn find(drawing: &Drawing) -> Result<Corners, StripPhotoError> {
    let light = Light::of(drawing);
    Ok(settled(&light, StripPlace::Found)?.corners)
}

/// Reads a strip.
///
/// # Errors
/// Where no strip can be told, it is too small, its light is lost, fewer than three bands can be told, or what was given can't be.
pub fn read(drawing: &Drawing, settings: &StripPhotoSettings) -> Result<StripPhoto, StripPhotoError> {
    let light = Light::of(drawing);
    let place = match (&settings.bands, settings.place) {
        (Some(_), StripPlace::Corners(corners)) => StripPlace::Directed(corners),
        (_, place) => place,
    };
    let found = settled(&light, place)?;
    let bands = match &settings.bands {
        Some(bands) => checked(bands)?,
        None => found.bands.clone(),
    };
    if bands.len() < BANDS.0 {
        return Err(StripPhotoError::Few { bands: bands.len() });
    }
    let map = flat::map(&found.corners).ok_or(StripPhotoError::Shape)?;
    let (paper, mut notes) = card::paper(&light, &map, &found.flat, &found.paper, settings.paper)?;
    let white = paper.reflectance().0;
    let bands: Vec<StripBand> = reading::levels(&found.flat, &found.paper, &bands)
        .iter()
        .zip(&bands)
        .map(|(level, &span)| {
            let lightness = Reflectance((level.light * white).min(1.0)).lightness();
            // The spread was of the paper's 100; on the absolute scale it is a little less.
            let scale = libm::cbrt(white);
            StripBand {
                span,
                outline: [[span.from, 0.0], [span.to, 0.0], [span.to, 1.0], [span.from, 1.0]].map(|p| map.apply(p)),
                lightness: level.doubt.is_none().then_some(lightness),
                spread: level.spread * scale,
                excluded: level.excluded,
                doubt: level.doubt,
            }
        })
        .collect();
    let unbitten = bands[0].lightness.is_some_and(|l| paper.0 - l.0 < UNBITTEN);
    let fall = found.fall();
    words::notes(&mut notes, &found, &bands, unbitten, paper);
    Ok(StripPhoto { corners: found.corners, bands, paper, unbitten, fall, notes })
}

/// A strip whose place and direction are settled.
struct Settled {
    corners: Corners,
    flat: Flat,
    paper: Paper,
    bands: Vec<BandSpan>,
    /// Whether its two ends are told apart by their lightness.
    directed: bool,
    /// Other pieces in the picture that looked like a strip.
    others: usize,
}

impl Settled {
    fn of(light: &Light<'_>, corners: Corners) -> Result<Self, StripPhotoError> {
        let (along, across) = flat::extent(&corners);
        if along < SMALLEST.0 || across < SMALLEST.1 {
            return Err(StripPhotoError::Small { along, across });
        }
        let flat = Flat::of(light, &corners).ok_or(StripPhotoError::Shape)?;
        let paper =
            Paper::of(&flat).map_err(|burnt| if burnt > BURNT { StripPhotoError::Burnt(burnt) } else { StripPhotoError::NoPaper })?;
        if paper.burnt > BURNT {
            return Err(StripPhotoError::Burnt(paper.burnt));
        }
        if paper.light < DIM {
            return Err(StripPhotoError::Dim(Reflectance(paper.light)));
        }
        let bands = Profile::of(&flat, &paper).bands();
        Ok(Self { corners, flat, paper, bands, directed: true, others: 0 })
    }

    /// Levels of the bands, L* of the paper's 100, as the profile has them.
    fn levels(&self) -> Vec<f64> {
        let profile = Profile::of(&self.flat, &self.paper);
        self.bands.iter().map(|&band| profile.level(band)).collect()
    }

    fn fall(&self) -> f64 {
        let lights = (0..=16).map(|i| paper::luminance(self.paper.at(f64::from(i) / 16.0, 0.5)));
        let (low, high) = lights.fold((f64::MAX, 0.0f64), |(low, high), v| (low.min(v), high.max(v)));
        high / low.max(1e-9)
    }
}

/// The place, looked for where it is to be, and turned so that the paper's end comes first.
fn settled(light: &Light<'_>, place: StripPlace) -> Result<Settled, StripPhotoError> {
    let (corners, others) = match place {
        StripPlace::Found => outline::find(light)?,
        StripPlace::Ends(ends) => (outline::between(light, ends)?, 0),
        StripPlace::Corners(corners) | StripPlace::Directed(corners) => {
            let picture = light.luminance();
            corners.check((picture.width(), picture.height())).map_err(|_| StripPhotoError::Shape)?;
            (corners, 0)
        }
    };
    let mut found = Settled::of(light, corners)?;
    if let StripPlace::Directed(_) = place {
        return Ok(found);
    }
    if matches!(place, StripPlace::Found | StripPlace::Ends(_)) {
        found = trimmed(light, found, place == StripPlace::Found)?;
    }
    if found.bands.len() < BANDS.0 {
        return Err(StripPhotoError::Few { bands: found.bands.len() });
    }
    // The paper's end is the lighter one.
    let levels = found.levels();
    let (first, last) = (levels[0], levels[levels.len() - 1]);
    if last > first {
        found = Settled::of(light, turned(found.corners))?;
    }
    found.directed = (first - last).abs() >= segments::LEAST_STEP * 2.0;
    found.others = others;
    Ok(found)
}

/// The same strip from its other end.
fn turned(corners: Corners) -> Corners {
    let [a, b, c, d] = corners.0;
    Corners([c, d, a, b])
}

/// With its short ends where the bands end: what was found by itself goes on at the light end, too faintly to be seen in small, by a plate's
/// own tone; and what was pressed by hand may go a little past the strip.
fn trimmed(light: &Light<'_>, found: Settled, by_itself: bool) -> Result<Settled, StripPhotoError> {
    /// How far beyond the lighter and the darker end is looked, shares of the length.
    const BEYOND: ([f64; 5], f64) = ([0.08, 0.16, 0.3, 0.45, 0.7], 0.04);
    let Some(map) = flat::map(&found.corners) else { return Ok(found) };
    let reach = |from: f64, to: f64| Corners([[from, 0.0], [to, 0.0], [to, 1.0], [from, 1.0]].map(|p| map.apply(p)));
    if !by_itself {
        let levels = found.levels();
        let (mut low, mut high) = (0, levels.len());
        let as_paper = |i: usize| levels[i] > 100.0 - AS_PAPER;
        if high > BANDS.0 && as_paper(0) && as_paper(high - 1) {
            // Both points stand past the strip, or one on its unbitten end: the end beside the darker band is past it.
            if levels[1] < levels[high - 2] {
                low += 1;
            } else {
                high -= 1;
            }
            return Settled::of(light, reach(found.bands[low].from, found.bands[high - 1].to));
        }
        return Ok(found);
    }
    let picture = (light.luminance().width() as f64, light.luminance().height() as f64);
    let within = |c: &Corners| c.0.iter().all(|p| (0.0..=picture.0).contains(&p[0]) && (0.0..=picture.1).contains(&p[1]));
    let rising = found.levels().first() < found.levels().last();
    let mut best = None;
    // A little further each time, as long as the strip goes on to the end of what is looked at: the table may come soon.
    for room in BEYOND.0 {
        let (before, after) = if rising { (BEYOND.1, room) } else { (room, BEYOND.1) };
        let around = reach(-before, 1.0 + after);
        if !within(&around) {
            break;
        }
        let Ok(wide) = Settled::of(light, around) else { break };
        let share = |u: f64| u * (1.0 + before + after) - before;
        let Some((low, high)) = extent_of(&wide, |u| (0.0..=1.0).contains(&share(u))) else { break };
        best = Some((share(wide.bands[low].from), share(wide.bands[high].to)));
        let seen_beyond = if rising { high + 1 < wide.bands.len() } else { low > 0 };
        if seen_beyond {
            break;
        }
    }
    let Some((from, to)) = best.filter(|(from, to)| to - from > 0.2) else { return Ok(found) };
    Settled::of(light, reach(from, to))
}

/// Which bands are the strip's: those whose middles are within what was found, without paper at its ends; and outward from there as long as
/// they are a little darker than paper.
fn extent_of(wide: &Settled, within: impl Fn(f64) -> bool) -> Option<(usize, usize)> {
    /// What goes on outside is no darker than this, L* of the paper's 100: the table is.
    const FAINT: f64 = 6.0;
    let levels = wide.levels();
    let paper = |i: usize| levels[i] > 100.0 - AS_PAPER;
    let goes_on = |i: usize| !paper(i) && levels[i] > 100.0 - FAINT;
    let inner = |i: &usize| within((wide.bands[*i].from + wide.bands[*i].to) / 2.0) && !paper(*i);
    let (mut low, mut high) = ((0..levels.len()).find(inner)?, (0..levels.len()).rev().find(inner)?);
    while low > 0 && goes_on(low - 1) {
        low -= 1;
    }
    while high + 1 < levels.len() && goes_on(high + 1) {
        high += 1;
    }
    Some((low, high))
}

/// Bands as edited, checked.
fn checked(bands: &[BandSpan]) -> Result<Vec<BandSpan>, StripPhotoError> {
    /// Shortest part of the strip that a band can be.
    const SHORTEST: f64 = 0.002;
    if bands.len() > BANDS.1 {
        return Err(StripPhotoError::Many { bands: bands.len() });
    }
    let mut before = 0.0 - 1e-9;
    for (i, band) in bands.iter().enumerate() {
        let fits = band.from >= before && band.to <= 1.0 + 1e-9 && band.to - band.from >= SHORTEST;
        if !fits {
            return Err(StripPhotoError::Edges { band: i + 1, from: band.from, to: band.to });
        }
        before = band.to - 1e-9;
    }
    Ok(bands.iter().map(|b| BandSpan { from: b.from.max(0.0), to: b.to.min(1.0) }).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Plane;
    use proptest::prelude::*;

    /// A sheet in light that falls to the right, a strip on it from (60, 60) to (540, 130), its bands so many pixels long.
    fn sheet(bands: &[(f64, usize)], paper: f64, fall: f64) -> Drawing {
        let light = |l: f64| Lightness(l).reflectance().0;
        let strip: Vec<f64> = bands.iter().flat_map(|&(l, length)| std::iter::repeat_n(light(l), length)).collect();
        Drawing::from_luminance(&Plane::from_fn(600, 200, |x, y| {
            let y0 = if (60..130).contains(&y) { x.checked_sub(60).and_then(|x| strip.get(x)).copied() } else { None };
            (0.9 * y0.unwrap_or(light(paper)) * libm::exp(-libm::log(fall) * x as f64 / 600.0)) as f32
        }))
    }

    fn typed(place: StripPlace, paper: f64) -> StripPhotoSettings {
        StripPhotoSettings { place, bands: None, paper: PaperLightness::Typed(Lightness(paper)) }
    }

    #[test]
    fn either_end_may_be_the_papers() {
        let bands = [(88.0, 120), (70.0, 120), (50.0, 120), (25.0, 120)];
        let mut turned = bands;
        turned.reverse();
        for (bands, first) in [(bands, 60.0), (turned, 540.0)] {
            let got = read(&sheet(&bands, 93.0, 2.0), &typed(StripPlace::Found, 93.0)).unwrap();
            assert!((got.corners.0[0][0] - first).abs() < 1.0, "{:?}", got.corners);
            for (band, wanted) in got.bands.iter().zip([88.0, 70.0, 50.0, 25.0]) {
                assert!((band.lightness.unwrap().0 - wanted).abs() < 0.4, "{band:?}");
                assert!(band.excluded < 0.02 && band.spread < 0.3);
            }
            assert!((1.7..2.0).contains(&got.fall), "{}", got.fall);
            assert!(!got.unbitten && got.notes.iter().any(|note| note.contains("stands for 0 s")));
        }
    }

    #[test]
    fn an_end_with_plate_tone_alone_is_the_unbitten_one() {
        let got = read(&sheet(&[(91.0, 120), (70.0, 120), (50.0, 120), (25.0, 120)], 93.0, 1.5), &typed(StripPlace::Found, 93.0)).unwrap();
        assert_eq!(got.bands.len(), 4);
        assert!(got.unbitten);
    }

    #[test]
    fn a_strip_without_paper_round_it_is_not_guessed() {
        // The strip runs from edge to edge of the picture: nothing can be compared with paper at its ends.
        let light = |l: f64| Lightness(l).reflectance().0 as f32;
        let across = Drawing::from_luminance(&Plane::from_fn(600, 200, |x, y| {
            if (60..130).contains(&y) { light(85.0 - 15.0 * (x / 150) as f64) } else { light(93.0) }
        }));
        assert_eq!(find(&across), Err(StripPhotoError::NoStrip));
        // By its corners it can be read: there is paper along both sides.
        let corners = Corners([[1.0, 60.0], [599.0, 60.0], [599.0, 130.0], [1.0, 130.0]]);
        assert_eq!(read(&across, &typed(StripPlace::Corners(corners), 93.0)).unwrap().bands.len(), 4);
        // Corners on paper alone: one level, no bands.
        let corners = Corners([[60.0, 5.0], [540.0, 5.0], [540.0, 30.0], [60.0, 30.0]]);
        assert!(read(&across, &typed(StripPlace::Corners(corners), 93.0)).is_err());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn bands_of_any_length_are_found_and_read(
            bands in prop::collection::vec((30usize..90, 4.0..9.0f64), 3..9), fall in 1.0..2.2f64,
        ) {
            let mut level = 93.0;
            let bands: Vec<(f64, usize)> = bands.iter().map(|&(length, step)| { level -= step; (level, length) }).collect();
            let total: usize = bands.iter().map(|b| b.1).sum();
            prop_assume!((150..=500).contains(&total));
            let got = read(&sheet(&bands, 94.0, fall), &typed(StripPlace::Found, 94.0)).unwrap();
            prop_assert_eq!(got.bands.len(), bands.len());
            let mut at = 60.0;
            for (band, &(l, length)) in got.bands.iter().zip(&bands) {
                prop_assert!((band.lightness.unwrap().0 - l).abs() < 0.5, "{:?} for {}", band, l);
                prop_assert!((band.outline[0][0] - at).abs() < 3.0, "{:?} from {}", band, at);
                at += length as f64;
            }
        }

        #[test]
        fn nothing_given_makes_it_fail_but_in_a_sentence(
            q in prop::collection::vec(prop_oneof![4 => -100.0..700.0f64, 1 => any::<f64>()], 8),
            bands in prop::option::of(prop::collection::vec(prop_oneof![3 => 0.0..1.0f64, 1 => any::<f64>()], 0..8)),
            paper in prop_oneof![3 => 50.0..100.0f64, 1 => any::<f64>()], kind in 0u8..5,
        ) {
            let drawing = sheet(&[(90.0, 100), (60.0, 100), (30.0, 100)], 93.0, 1.3);
            let p = |i: usize| [q[2 * i], q[2 * i + 1]];
            let place = match kind {
                0 => StripPlace::Found,
                1 => StripPlace::Ends([p(0), p(1)]),
                2 => StripPlace::Directed(Corners([p(0), p(1), p(2), p(3)])),
                _ => StripPlace::Corners(Corners([p(0), p(1), p(2), p(3)])),
            };
            let paper = if kind == 4 { PaperLightness::Card { at: p(0), lightness: Lightness(paper) } } else { PaperLightness::ByEye(Lightness(paper)) };
            let bands = bands.map(|ends| ends.chunks(2).filter(|c| c.len() == 2).map(|c| BandSpan { from: c[0], to: c[1] }).collect());
            match read(&drawing, &StripPhotoSettings { place, bands, paper }) {
                Ok(got) => prop_assert!(got.bands.iter().all(|b| b.lightness.is_none_or(|l| (0.0..=100.0).contains(&l.0)))),
                Err(error) => prop_assert!(error.to_string().ends_with('.')),
            }
        }
    }
}
