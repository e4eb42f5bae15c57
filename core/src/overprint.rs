//! Plates over one another: the colours that tones of several plates make where they meet, after Demichel and Neugebauer.
//!
//! Each plate has a grain of its own, dusted by itself: whether a point of one is land or pit tells nothing of the other, so the chance of
//! every pairing is a product (Demichel, Procédé 26, 1924). Never so between the tones of ONE plate: they share one grain, and the darker
//! tone's lands are what is left of the lighter's. Every pairing is a stack of films over the ground, one primary of Neugebauer's
//! (Z. wiss. Photogr. 37, 1937), and they mix by the power 1/n of Yule and Nielsen (Viggiano, TAGA Proc. 1985): with one plate that is the
//! strip's own mixing of lands and pits.
//!
//! Wet on wet a later ink takes less well: its film is `trap` times as thick wherever another lies beneath, so that for transparent
//! inks the density of both is D₁ + trap · D₂ (Preucil's trap, TAGA Proc. 1958; from memory).

use crate::colour::Rgb;
use crate::film::{Film, Layer};

/// The most plates over one another.
pub const PLATES: usize = 4;

/// A tone of a plate as it takes ink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tint {
    /// Share of lands, 0..=1; 1 = never bitten.
    pub lands: f64,
    /// Thickness of the film in a pit, 1 = that of a full pit as the plate's own strip tells it (D∞): an ink's film is to be of the same unit, see
    /// [`Film::times`].
    pub film: f64,
    /// Thickness of the film left on lands beyond what the strip's own paper reading holds, 0 = wiped as the strip was.
    pub veil: f64,
}

/// One plate's tone with its ink, its films worked out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inking {
    lands: f64,
    pit: Layer,
    /// The pit where another film lies beneath.
    trapped: Layer,
    veil: Layer,
}

impl Inking {
    /// A tone printed in `ink`, whose film on another one is `trap` (0..=1) times as thick.
    #[must_use]
    pub fn new(tint: Tint, ink: &Film, trap: f64) -> Self {
        let trap = if trap.is_nan() { 1.0 } else { trap.clamp(0.0, 1.0) };
        let lands = if tint.lands.is_nan() { 1.0 } else { tint.lands.clamp(0.0, 1.0) };
        let veil = if tint.veil > 0.0 { ink.layer(tint.veil) } else { Layer::NONE };
        // Plate tone is in the film of a pit as well, and lies on a wet film as thick as on land.
        let wet = (tint.film - tint.veil.max(0.0)).max(0.0) * trap + tint.veil.max(0.0);
        Self { lands, pit: ink.layer(tint.film), trapped: ink.layer(wet.min(tint.film)), veil }
    }

    /// The same by roots, where no film scatters.
    pub(crate) fn clear(&self, n: f64) -> Option<Clear> {
        let n = mixing(n);
        let none = |layer: &Layer| layer.back.0 == [0.0; 3];
        // Through once going in and once coming out.
        let root = |layer: &Layer| layer.through.map(|t| power(t * t, 1.0 / n));
        (none(&self.pit) && none(&self.trapped) && none(&self.veil)).then(|| Clear {
            lands: self.lands,
            pit: root(&self.pit),
            trapped: root(&self.trapped),
            veil: root(&self.veil),
        })
    }

    /// Share of lands.
    #[must_use]
    pub fn lands(&self) -> f64 {
        self.lands
    }
}

/// One plate's tone with an ink that does not scatter: the roots of what its films let through, in and out. Over one another they multiply,
/// so that no power is taken where tones meet but of the mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Clear {
    lands: f64,
    pit: Rgb,
    trapped: Rgb,
    veil: Rgb,
}

impl Clear {
    /// A plate that was not printed.
    pub(crate) const NONE: Self = Self { lands: 1.0, pit: Rgb::WHITE, trapped: Rgb::WHITE, veil: Rgb::WHITE };

    /// As [`Meeting::of`], from the root of the ground ([`root_of`]): the mean, and the primaries of the subsets of plates.
    pub(crate) fn met(ground: Rgb, plates: &[Self], n: f64) -> (Rgb, [Rgb; 1 << PLATES]) {
        let n = mixing(n);
        let mut roots = [ground; 1 << PLATES];
        let mut weights = [1.0; 1 << PLATES];
        let times = |one: Rgb, other: Rgb| one.with(other, |one, other| one * other);
        for (p, plate) in plates.iter().take(PLATES).enumerate() {
            for subset in 0..1 << p {
                let film = if subset == 0 { plate.pit } else { plate.trapped };
                roots[subset | 1 << p] = times(roots[subset], film);
                roots[subset] = times(roots[subset], plate.veil);
                weights[subset | 1 << p] = weights[subset] * (1.0 - plate.lands);
                weights[subset] *= plate.lands;
            }
        }
        let count = 1 << plates.len().min(PLATES);
        let mixed = (0..count).fold(Rgb::default(), |sum, i| sum.with(roots[i], |sum, light| sum + weights[i] * light));
        let spread = mixed.map(|channel| power(channel, n - 1.0));
        (times(mixed, spread), roots.map(|light| times(light, spread)))
    }
}

/// A ground as [`Clear::met`] takes it.
pub(crate) fn root_of(ground: Rgb, n: f64) -> Rgb {
    ground.map(|channel| power(channel.max(0.0), 1.0 / mixing(n)))
}

/// An n that can be.
fn mixing(n: f64) -> f64 {
    if n.is_nan() { 1.0 } else { n.clamp(1.0, 10.0) }
}

fn power(value: f64, exponent: f64) -> f64 {
    if exponent == 1.0 {
        value
    } else if exponent == 0.0 {
        1.0
    } else {
        libm::pow(value, exponent)
    }
}

/// The colours where tones of several plates meet.
#[derive(Clone, Debug, PartialEq)]
pub struct Meeting {
    /// What the eye sees from where no grain is seen.
    pub mean: Rgb,
    /// What is seen under the glass where just the plates of a subset have a pit: place `i` of 2^plates, bit p of `i` for plate p.
    /// Averaged in light over independent lands they are [`Self::mean`].
    pub primaries: Vec<Rgb>,
}

impl Meeting {
    /// The tones of `plates` over one another on `ground`, the first printed first. `n` is Yule and Nielsen's, 1 or more; more than
    /// [`PLATES`] plates are not looked at.
    #[must_use]
    pub fn of(ground: Rgb, plates: &[Inking], n: f64) -> Self {
        let n = mixing(n);
        let plates = &plates[..plates.len().min(PLATES)];
        let stack = |subset: usize| {
            plates.iter().enumerate().fold(ground, |seen, (p, plate)| {
                let wet = subset & ((1 << p) - 1) != 0;
                match (subset >> p & 1 == 1, wet) {
                    (false, _) => plate.veil.over(seen),
                    (true, false) => plate.pit.over(seen),
                    (true, true) => plate.trapped.over(seen),
                }
            })
        };
        let root = |light: Rgb| light.map(|channel| if n > 1.0 { libm::pow(channel.max(0.0), 1.0 / n) } else { channel });
        let roots: Vec<Rgb> = (0..1usize << plates.len()).map(|subset| root(stack(subset))).collect();
        let mixed = roots
            .iter()
            .enumerate()
            .fold(Rgb::default(), |sum, (subset, light)| sum.with(*light, |sum, light| sum + weight(plates, subset) * light));
        let mean = mixed.map(|channel| if n > 1.0 { libm::pow(channel, n) } else { channel });
        // Light that wanders in the paper makes lands darker and pits lighter than they are: by M^(1 − 1/n) their roots average to M.
        let spread = mixed.map(|channel| if n > 1.0 { libm::pow(channel, n - 1.0) } else { 1.0 });
        Self { mean, primaries: roots.iter().map(|light| light.with(spread, |light, spread| light * spread)).collect() }
    }
}

/// Demichel: the share of the ground where just the plates of `subset` have a pit.
fn weight(plates: &[Inking], subset: usize) -> f64 {
    plates.iter().enumerate().map(|(p, plate)| if subset >> p & 1 == 1 { 1.0 - plate.lands } else { plate.lands }).product()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    fn transparent(density: [f64; 3]) -> Film {
        Film { absorption: Rgb(density.map(|d| d * std::f64::consts::LN_10 / 2.0)), scatter: Rgb::default() }
    }

    fn full() -> Tint {
        Tint { lands: 0.0, film: 1.0, veil: 0.0 }
    }

    #[test]
    fn full_over_full_is_the_product_by_the_trap() {
        // Densities add, the later one's by the trap (Preucil 1958).
        let (one, other) = (transparent([0.1, 0.4, 0.9]), transparent([0.8, 0.3, 0.05]));
        let ground = Rgb([0.8, 0.82, 0.75]);
        for trap in [0.0, 0.6, 0.75, 1.0] {
            let met = Meeting::of(ground, &[Inking::new(full(), &one, trap), Inking::new(full(), &other, trap)], 1.8);
            for i in 0..3 {
                let density = [0.1, 0.4, 0.9][i] + trap * [0.8, 0.3, 0.05][i];
                assert_abs_diff_eq!(met.mean.0[i], ground.0[i] * f64::powf(10.0, -density), epsilon = 1e-12);
            }
        }
    }

    #[test]
    fn transparent_and_dry_the_order_is_nothing_opaque_the_later_wins() {
        let ground = Rgb::grey(crate::light::Reflectance(0.85));
        let tint = Tint { lands: 0.4, film: 0.8, veil: 0.0 };
        let of = |a: &Film, b: &Film| Meeting::of(ground, &[Inking::new(tint, a, 1.0), Inking::new(tint, b, 1.0)], 1.7).mean;
        let (red, blue) = (transparent([0.1, 0.9, 0.9]), transparent([0.9, 0.5, 0.1]));
        for (a, b) in of(&red, &blue).0.iter().zip(of(&blue, &red).0) {
            assert_abs_diff_eq!(*a, b, epsilon = 1e-12);
        }
        let white = Film::of(Rgb([0.8; 3]), ground, Rgb([1.0; 3]));
        let black = Film::of(Rgb([0.04; 3]), ground, Rgb([1.0; 3]));
        let last = |a: &Film, b: &Film| Meeting::of(ground, &[Inking::new(full(), a, 1.0), Inking::new(full(), b, 1.0)], 1.7).mean.0[0];
        assert_abs_diff_eq!(last(&black, &white), 0.8, epsilon = 2e-3);
        assert_abs_diff_eq!(last(&white, &black), 0.04, epsilon = 2e-3);
    }

    #[test]
    fn plate_tone_takes_one_share_everywhere_wet_or_dry() {
        // A neutral veil lets one share of the light through, whatever lies beneath it.
        let ink = transparent([0.9; 3]);
        let (ground, veil) = (Rgb([0.8; 3]), 0.2);
        for trap in [0.0, 0.5, 1.0] {
            let with = |veil: f64| {
                let plate = Inking::new(Tint { lands: 0.4, film: 0.7 + veil, veil }, &ink, trap);
                Meeting::of(ground, &[Inking::new(Tint { lands: 0.5, film: 0.6, veil: 0.0 }, &ink, 1.0), plate], 1.8)
            };
            let (plain, veiled) = (with(0.0), with(veil));
            let share = f64::powf(10.0, -0.9 * veil);
            for (plain, veiled) in plain.primaries.iter().zip(&veiled.primaries) {
                assert_abs_diff_eq!(veiled.0[0], plain.0[0] * share, epsilon = 1e-9);
            }
        }
    }

    proptest! {
        #[test]
        fn clear_inks_meet_as_all_do(
            lands in prop::array::uniform4(0.0..=1.0f64), film in prop::array::uniform4(0.0..1.5f64), veil in 0.0..0.3f64, n in 1.0..3.0f64, trap in 0.0..1.0f64, count in 0..5usize,
        ) {
            let densities = [[0.1, 0.9, 1.0], [1.2, 0.6, 0.1], [0.1, 0.15, 1.1], [0.8, 0.8, 0.8]];
            let ground = Rgb([0.83, 0.8, 0.74]);
            let plates: Vec<Inking> = (0..count)
                .map(|i| Inking::new(Tint { lands: lands[i], film: film[i] + veil, veil }, &transparent(densities[i]), trap))
                .collect();
            let slow = Meeting::of(ground, &plates, n);
            let clear: Vec<Clear> = plates.iter().map(|plate| plate.clear(n).unwrap()).collect();
            let (mean, primaries) = Clear::met(root_of(ground, n), &clear, n);
            for i in 0..3 {
                prop_assert!((mean.0[i] - slow.mean.0[i]).abs() < 1e-12);
                for (fast, slow) in primaries.iter().zip(&slow.primaries) {
                    prop_assert!((fast.0[i] - slow.0[i]).abs() < 1e-12);
                }
            }
            let opaque = Film::of(Rgb([0.5; 3]), ground, Rgb([0.6; 3]));
            let opaque = Inking::new(Tint { lands: 0.5, film: 1.0, veil: 0.0 }, &opaque, trap);
            prop_assert!(opaque.clear(n).is_none());
        }

        #[test]
        fn the_primaries_average_to_the_mean(lands in prop::array::uniform3(0.0..1.0f64), film in prop::array::uniform3(0.0..1.2f64), n in 1.0..3.0f64, trap in 0.0..1.0f64) {
            let ink = Film::of(Rgb([0.3, 0.1, 0.05]), Rgb([0.85; 3]), Rgb([0.3; 3]));
            let plates: Vec<Inking> = (0..3).map(|i| Inking::new(Tint { lands: lands[i], film: film[i], veil: 0.02 }, &ink, trap)).collect();
            let met = Meeting::of(Rgb([0.85; 3]), &plates, n);
            for channel in 0..3 {
                let average: f64 = met.primaries.iter().enumerate().map(|(i, light)| weight(&plates, i) * light.0[channel]).sum();
                prop_assert!((average - met.mean.0[channel]).abs() < 1e-12);
            }
        }

        #[test]
        fn a_plate_never_bitten_changes_nothing(lands in 0.0..1.0f64, film in 0.0..1.2f64, n in 1.0..3.0f64) {
            let ink = Film::of(Rgb([0.3, 0.1, 0.05]), Rgb([0.85; 3]), Rgb([0.3; 3]));
            let one = Inking::new(Tint { lands, film, veil: 0.0 }, &ink, 0.75);
            let bare = Inking::new(Tint { lands: 1.0, film: 0.0, veil: 0.0 }, &ink, 0.75);
            let ground = Rgb([0.85; 3]);
            let alone = Meeting::of(ground, &[one], n).mean;
            for met in [Meeting::of(ground, &[one, bare], n).mean, Meeting::of(ground, &[bare, one], n).mean] {
                for channel in 0..3 {
                    prop_assert!((met.0[channel] - alone.0[channel]).abs() < 1e-12);
                }
            }
        }
    }
}
