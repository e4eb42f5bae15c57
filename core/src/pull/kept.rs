//! A plate as it is kept to print over another one: what its own plan came to, without drawing, strip or curve.

use super::Plate;
use crate::colour::Rgb;
use crate::film::Film;
use crate::grain::{Grain, GrainError, GrainSettings};
use crate::light::Reflectance;
use crate::overprint::{Inking, Meeting, Tint};
use crate::plane::Plane;
use crate::proof::ProofTones;
use crate::units::{Millimetres, PxPerMm};
use serde::{Deserialize, Serialize};
use std::fmt;

/// What is kept beside a plate's step map. Lengths in mm, light as reflectance.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlateFacts {
    /// Raster of the map.
    pub px_per_mm: f64,
    /// Yule and Nielsen's n of its strip.
    pub n: f64,
    /// Paper of its strip.
    pub paper: f64,
    /// A full pit of its strip, by itself.
    pub full: f64,
    /// Its grain.
    pub grain: KeptGrain,
    /// Its tones, tone 0 first.
    pub tones: Vec<KeptTone>,
    /// The strip they are by, as its printer calls it.
    #[serde(default)]
    pub strip: String,
}

/// A grain's settings.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptGrain {
    /// Share covered.
    pub cover: f64,
    /// Median radius.
    pub median_mm: f64,
    /// Standard deviation of ln r.
    pub sigma: f64,
    /// Which of all such grains.
    pub seed: u64,
}

/// A tone as it prints.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KeptTone {
    /// Share of lands.
    pub lands: f64,
    /// Thickness of the ink in a pit.
    pub film: f64,
    /// By how much grains have shrunk; none where nothing was bitten.
    pub undercut_mm: Option<f64>,
}

/// Facts that are no plate's.
#[derive(Clone, Debug, PartialEq)]
pub enum KeptError {
    /// A value that can't be.
    Value {
        /// Which.
        what: &'static str,
    },
    /// The map has a tone that the facts don't know.
    Tone {
        /// The tone met.
        tone: u8,
        /// How many are known.
        tones: usize,
    },
    /// The grain is out of range.
    Grain(GrainError),
}

impl fmt::Display for KeptError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Value { what } => {
                write!(f, "A plate as it was brought in was expected, its {what} can't be: bring it in from its project file again.")
            }
            Self::Tone { tone, tones } => {
                write!(
                    f,
                    "A map of {tones} tones was expected, a pixel of tone {tone} came: bring the plate in from its project file again."
                )
            }
            Self::Grain(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for KeptError {}

impl PlateFacts {
    /// What is to be kept of a plate with these tones.
    #[must_use]
    pub fn of(tones: &ProofTones, resolution: PxPerMm) -> Self {
        let GrainSettings { cover, median_radius, sigma, seed } = tones.grain().settings();
        let kept =
            |tone: &crate::proof::ProofTone| KeptTone { lands: tone.lands, film: tone.film, undercut_mm: tone.undercut.map(|u| u.0) };
        Self {
            px_per_mm: resolution.0,
            n: tones.n(),
            paper: tones.paper().0,
            full: tones.full().0,
            grain: KeptGrain { cover, median_mm: median_radius.0, sigma, seed },
            tones: tones.tones().iter().map(kept).collect(),
            strip: String::new(),
        }
    }

    /// The plate with its map (print view, the whole face). `apart` is added to the grain's seed: two plates never share their dust.
    ///
    /// # Errors
    /// When a value can't be, or the map has other tones.
    pub fn plate(&self, map: Plane<u8>, apart: u64) -> Result<Plate, KeptError> {
        let held = |what: &'static str, holds: bool| if holds { Ok(()) } else { Err(KeptError::Value { what }) };
        held("raster", (0.1..=200.0).contains(&self.px_per_mm))?;
        held("n", (1.0..=10.0).contains(&self.n))?;
        held("paper", (0.0..=1.0).contains(&self.paper) && (0.0..=self.paper).contains(&self.full))?;
        held("count of tones", (2..=16).contains(&self.tones.len()))?;
        for tone in &self.tones {
            held("share of lands", (0.0..=1.0).contains(&tone.lands))?;
            held("film of ink", (0.0..=100.0).contains(&tone.film))?;
            held("undercut", tone.undercut_mm.is_none_or(|u| (0.0..=10.0).contains(&u)))?;
        }
        if let Some(&tone) = map.data().iter().find(|&&tone| usize::from(tone) >= self.tones.len()) {
            return Err(KeptError::Tone { tone, tones: self.tones.len() });
        }
        let KeptGrain { cover, median_mm, sigma, seed } = self.grain;
        let settings = GrainSettings { cover, median_radius: Millimetres(median_mm), sigma, seed: seed.wrapping_add(apart) };
        Ok(Plate {
            map,
            resolution: PxPerMm(self.px_per_mm),
            tints: self.tones.iter().map(|tone| Tint { lands: tone.lands, film: tone.film, veil: 0.0 }).collect(),
            undercuts: self.tones.iter().map(|tone| tone.undercut_mm.map(Millimetres)).collect(),
            grain: Grain::new(settings).map_err(KeptError::Grain)?,
        })
    }

    /// How each tone takes ink where lands and pits mix by another strip's `n`: the film that keeps the tone's mean in its own ink on its own paper. A
    /// mean too dark for its lands under that `n` gets a film as good as opaque.
    #[must_use]
    pub fn tints(&self, n: f64) -> Vec<Tint> {
        let full = libm::log(self.paper.max(1e-9) / self.full.max(1e-9));
        let of = |tone: &KeptTone| {
            let KeptTone { lands, film, .. } = *tone;
            if lands >= 1.0 || full <= 1e-9 || (n - self.n).abs() < 1e-12 {
                return Tint { lands, film, veil: 0.0 };
            }
            let pit = self.paper * libm::exp(-full * film);
            let root = |light: f64, n: f64| libm::pow(light, 1.0 / n);
            let mean = libm::pow(lands * root(self.paper, self.n) + (1.0 - lands) * root(pit, self.n), self.n);
            let left = ((root(mean, n) - lands * root(self.paper, n)) / (1.0 - lands)).max(1e-6);
            let film = (libm::log(self.paper / libm::pow(left, n)) / full).clamp(0.0, 100.0);
            Tint { lands, film, veil: 0.0 }
        };
        self.tones.iter().map(of).collect()
    }

    /// Each tone's mean in its own strip's ink on its own strip's paper, tone 0 first.
    #[must_use]
    pub fn means(&self) -> Vec<Reflectance> {
        let (ink, paper) = (self.ink(), Rgb::grey(Reflectance(self.paper)));
        let of = |tint: Tint| Meeting::of(paper, &[Inking::new(tint, &ink, 1.0)], self.n).mean.luminance();
        self.tints(self.n).into_iter().map(of).collect()
    }

    /// Density of a full pit over the paper's, what a film of 1 is in the strip's own ink.
    #[must_use]
    pub fn full_density(&self) -> f64 {
        2.0 * self.ink().absorption.0[0] / std::f64::consts::LN_10
    }

    /// The ink its strip was printed in.
    #[must_use]
    pub fn ink(&self) -> Film {
        Film::of(Rgb::grey(Reflectance(self.full)), Rgb::grey(Reflectance(self.paper)), Rgb::default())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Lightness;
    use crate::proof::PitModel;
    use crate::units::Seconds;

    fn tones() -> ProofTones {
        let totals: Vec<Seconds> = [0.0, 10.0, 60.0, 400.0].map(Seconds).to_vec();
        let fall = |total: Seconds| Lightness(90.0 - 10.0 * (total.0 / 5.0).ln_1p());
        let grain = Grain::new(GrainSettings::default()).unwrap();
        ProofTones::new(&totals, Lightness(90.0), fall, &grain, PitModel::default()).unwrap()
    }

    #[test]
    fn a_plate_comes_back_as_it_was_kept() {
        let tones = tones();
        let map = Plane::from_fn(4, 2, |x, _| x as u8);
        let direct = Plate::new(map.clone(), PxPerMm(10.0), &tones);
        let facts = PlateFacts::of(&tones, PxPerMm(10.0));
        let again: PlateFacts = serde_json::from_str(&serde_json::to_string(&facts).unwrap()).unwrap();
        let plate = again.plate(map, 0).unwrap();
        assert_eq!((plate.tints, plate.undercuts, plate.map), (direct.tints, direct.undercuts, direct.map));
        assert_eq!(plate.grain.settings(), direct.grain.settings());
        assert_eq!(again.ink(), tones.ink());
        for (mean, tone) in again.means().iter().zip(tones.tones()) {
            approx::assert_abs_diff_eq!(mean.0, tone.mean.0, epsilon = 1e-6);
        }
    }

    #[test]
    fn a_tone_keeps_its_mean_whatever_the_other_plates_n_is() {
        let facts = PlateFacts::of(&tones(), PxPerMm(10.0));
        let paper = Rgb::grey(Reflectance(facts.paper));
        for n in [1.4, 1.8, 2.6] {
            for (tone, tint) in tones().tones().iter().zip(facts.tints(n)) {
                let seen = Meeting::of(paper, &[Inking::new(tint, &facts.ink(), 1.0)], n).mean.luminance().lightness().0;
                approx::assert_abs_diff_eq!(seen, tone.mean.lightness().0, epsilon = 0.05);
            }
        }
        assert_eq!(facts.tints(facts.n), facts.plate(Plane::filled(1, 1, 0), 0).unwrap().tints);
    }

    #[test]
    fn two_fits_of_one_metal_print_alike_in_an_ink_of_the_printers() {
        // One metal, of which one fit says D∞ 1.45 and the other 1.75: the films are so much thicker and thinner.
        let facts = PlateFacts::of(&tones(), PxPerMm(10.0));
        let fitted = |density: f64| {
            let mut other = facts.clone();
            other.full = facts.paper * f64::powf(10.0, -density);
            other.tones.iter_mut().for_each(|tone| tone.film *= facts.full_density() / density);
            other
        };
        // An ink made by a third strip, whose full pit has a density of 1.6.
        let ink = Film { absorption: Rgb([0.3, 1.2, 2.0]), scatter: Rgb([0.4, 0.2, 0.1]) };
        let sheet = Rgb([0.84, 0.82, 0.74]);
        let printed = |facts: &PlateFacts| -> Vec<Rgb> {
            let film = ink.times(facts.full_density() / 1.6);
            facts.tints(1.8).iter().map(|&tint| Meeting::of(sheet, &[Inking::new(tint, &film, 1.0)], 1.8).mean).collect()
        };
        let [one, other] = [1.45, 1.75].map(|density| printed(&fitted(density)));
        assert!(one[3].0[2] < 0.6 * sheet.0[2], "{one:?}");
        for (one, other) in one.iter().zip(other) {
            assert!(one.0.iter().zip(other.0).all(|(one, other)| (one - other).abs() < 1e-9), "{one:?} {other:?}");
        }
    }

    #[test]
    fn what_is_no_plate_is_refused_in_sentences() {
        let good = PlateFacts::of(&tones(), PxPerMm(10.0));
        let map = || Plane::filled(2, 2, 3u8);
        let mut wrong: Vec<PlateFacts> = vec![good.clone(); 5];
        wrong[0].px_per_mm = f64::NAN;
        wrong[1].tones.truncate(3);
        wrong[2].tones[1].lands = 1.5;
        wrong[3].grain.cover = 2.0;
        wrong[4].full = 2.0;
        for facts in wrong {
            let said = facts.plate(map(), 0).unwrap_err().to_string();
            assert!(said.contains("expected") || said.contains("must lie"), "{said}");
            assert!(said.ends_with('.'), "{said}");
        }
        assert!(good.plate(map(), 7).is_ok());
    }
}
