//! Grains by name: what was dusted or sprayed, and how coarse.
//!
//! Radii and spreads are estimates, no source: melted rosin dust is uneven, from a few hundredths of a millimetre up; a sprayed resist falls in
//! rounder, finer and more even dots. Whoever has measured a grain types the median radius and the cover ([`crate::relief::GrainChoice`]).

use super::GrainSettings;
use crate::units::Millimetres;
use serde::Deserialize;

/// What the grain is made with.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum GrainKind {
    /// Dusted rosin, melted on.
    #[default]
    Rosin,
    /// Sprayed resist.
    Sprayed,
}

/// How coarse a grain is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum GrainSize {
    /// Small grains.
    Fine,
    /// Usual ones.
    #[default]
    Medium,
    /// Large ones.
    Coarse,
}

impl GrainKind {
    /// Standard deviation of ln r.
    #[must_use]
    pub fn sigma(self) -> f64 {
        match self {
            Self::Rosin => 0.45,
            Self::Sprayed => 0.25,
        }
    }

    /// Median radius of a grain of this size.
    #[must_use]
    pub fn median_radius(self, size: GrainSize) -> Millimetres {
        Millimetres(match (self, size) {
            (Self::Rosin, GrainSize::Fine) => 0.018,
            (Self::Rosin, GrainSize::Medium) => 0.03,
            (Self::Rosin, GrainSize::Coarse) => 0.05,
            (Self::Sprayed, GrainSize::Fine) => 0.012,
            (Self::Sprayed, GrainSize::Medium) => 0.02,
            (Self::Sprayed, GrainSize::Coarse) => 0.032,
        })
    }

    /// Share of the metal that is usually covered: half, of either (40 to 55 % is common practice, no source).
    #[must_use]
    pub fn cover(self) -> f64 {
        0.5
    }

    /// The usual grain of this kind and size.
    #[must_use]
    pub fn grain(self, size: GrainSize, seed: u64) -> GrainSettings {
        GrainSettings { cover: self.cover(), median_radius: self.median_radius(size), sigma: self.sigma(), seed }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grain::Grain;

    #[test]
    fn every_named_grain_can_be_dusted_and_sizes_rise() {
        for kind in [GrainKind::Rosin, GrainKind::Sprayed] {
            let radii = [GrainSize::Fine, GrainSize::Medium, GrainSize::Coarse].map(|size| {
                let grain = Grain::new(kind.grain(size, 3)).unwrap();
                assert!((grain.cover_after(Millimetres(0.0)) - 0.5).abs() < 1e-9);
                grain.settings().median_radius.0
            });
            assert!(radii[0] < radii[1] && radii[1] < radii[2]);
        }
        assert_eq!(GrainKind::default().grain(GrainSize::default(), 1), GrainSettings::default());
        let finer = |size| GrainKind::Sprayed.median_radius(size) < GrainKind::Rosin.median_radius(size);
        assert!(finer(GrainSize::Fine) && finer(GrainSize::Medium) && finer(GrainSize::Coarse));
    }
}
