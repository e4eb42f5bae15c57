//! How light the bare paper is: typed, or told by a grey card in the picture.

use super::flat::Flat;
use super::paper::{Paper, luminance};
use super::profile::relative;
use super::segments::median;
use super::{PAPERS, PaperLightness, StripPhotoError};
use crate::homography::{Homography, Point};
use crate::light::{Encoded, Lightness, Reflectance};
use crate::photo::source::Light;
use crate::warp::Source;

/// L* that a card can have.
const CARDS: (f64, f64) = (5.0, 100.0);
/// A card whose small parts spread more than this, in the logarithm of light, is none.
const EVEN: f64 = 0.08;
/// Paper round the card is paper when it is within this of the light told for it.
const PAPER: f64 = 0.2;
/// Burnt out in a channel: 253 of 255.
const BURNT: f64 = 253.0 / 255.0;

/// The paper's L*, and where it comes from in a sentence.
pub(super) fn paper(
    light: &Light<'_>,
    map: &Homography,
    flat: &Flat,
    paper: &Paper,
    given: PaperLightness,
) -> Result<(Lightness, Vec<String>), StripPhotoError> {
    let (lightness, said) = match given {
        PaperLightness::Typed(l) => (l, format!("Readings are absolute by the paper's L* {:.1}, as typed.", l.0)),
        PaperLightness::ByEye(l) => {
            (l, format!("Readings are absolute by the paper's L* {:.1}, judged by eye: all of them are off by as much as that is.", l.0))
        }
        PaperLightness::Card { at, lightness } => {
            let told = by_card(light, map, flat, paper, at, lightness)?;
            (told, format!("Readings are absolute by the grey card of L* {:.1}: by it the bare paper is L* {:.1}.", lightness.0, told.0))
        }
    };
    if lightness.0 >= PAPERS.0.0 && lightness.0 <= PAPERS.1.0 {
        return Ok((lightness, vec![said]));
    }
    Err(StripPhotoError::Paper { lightness: lightness.0, by_card: matches!(given, PaperLightness::Card { .. }) })
}

fn by_card(
    light: &Light<'_>,
    map: &Homography,
    flat: &Flat,
    paper: &Paper,
    at: Point,
    card: Lightness,
) -> Result<Lightness, StripPhotoError> {
    if !(card.0 >= CARDS.0 && card.0 <= CARDS.1) {
        return Err(StripPhotoError::CardLightness(card.0));
    }
    let radius = (0.06 * flat.px.1).max(2.0);
    let (mean, _) = disc(light, at, radius).filter(|(_, spread)| *spread < EVEN).ok_or(StripPhotoError::Card)?;
    let back = map.inverse();
    let white = |p: Point| {
        let [u, v] = back.apply(p);
        paper.beyond(u, v)
    };
    // The light told so far from the strip is set right by the paper round the card, where there is any.
    let mut off = Vec::new();
    for ring in 3..16 {
        for i in 0..16 {
            let angle = f64::from(i) * std::f64::consts::PI / 8.0;
            let reach = 1.2 * f64::from(ring) * radius;
            let place = [at[0] + reach * libm::cos(angle), at[1] + reach * libm::sin(angle)];
            if let Some((rgb, spread)) = disc(light, place, radius) {
                let difference = libm::log(luminance(rgb).max(1e-5)) - libm::log(luminance(white(place)));
                if spread < EVEN && difference.abs() < PAPER {
                    off.push(difference);
                }
            }
        }
    }
    let gain = if off.len() >= 8 { libm::exp(median(&mut off).unwrap_or(0.0)) } else { 1.0 };
    let of_paper = relative(mean, white(at).map(|v| v * gain));
    Ok(Reflectance(card.reflectance().0 / of_paper.max(1e-6)).lightness())
}

/// Mean linear light of a disc and how far its middle half spreads in the logarithm; none where a part of it is burnt out or off the
/// picture.
fn disc(light: &Light<'_>, at: Point, radius: f64) -> Option<([f64; 3], f64)> {
    let burnt = Encoded(BURNT).linear().0 as f32;
    let (w, h) = light.size();
    let inside = at[0] - radius >= 0.0 && at[1] - radius >= 0.0 && at[0] + radius < w as f64 && at[1] + radius < h as f64;
    if !inside {
        return None;
    }
    let (mut sum, mut logs) = ([0.0; 3], Vec::new());
    for y in (at[1] - radius) as usize..=(at[1] + radius) as usize {
        for x in (at[0] - radius) as usize..=(at[0] + radius) as usize {
            let rgb = light.at(x, y);
            if rgb.iter().any(|&v| v >= burnt) {
                return None;
            }
            let rgb = rgb.map(f64::from);
            for (sum, v) in sum.iter_mut().zip(rgb) {
                *sum += v;
            }
            logs.push(libm::log(luminance(rgb).max(1e-5)));
        }
    }
    let count = logs.len() as f64;
    logs.sort_by(f64::total_cmp);
    let spread = (logs[logs.len() * 3 / 4] - logs[logs.len() / 4]) / 1.35 / 4.0;
    Some((sum.map(|v| v / count), spread))
}
