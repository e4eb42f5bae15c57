//! The likeliest figures of a relief: prior and readings weighed against each other.
//!
//! Each figure is sought on an axis where its prior is a normal law, and in units of that law's spread from its mean: the prior is then one
//! residual a figure, the figure itself. Sum of squares of those and of (model − reading)/error is made least. At its least the inverse of
//! the normal matrix JᵀJ + 1 holds what spread is left, as shares of the spread before (Gaussian about the least point).

use super::{Figure, GrainSettings, PRIORS, PitModel, TOLD};
use crate::light::{Density, Reflectance, yule_nielsen};
use crate::strip::Reading;
use crate::units::Millimetres;

/// How many figures are sought.
pub(super) const FIGURES: usize = 6;
/// Place of the rate among them.
const RATE: usize = 2;

/// Figures in spreads of their priors from the mean.
type Point = [f64; FIGURES];

/// A grain's law of radii with what is sought around it.
pub(super) struct Law {
    median: f64,
    sigma: f64,
    /// Cover that is not sought.
    cover: Option<f64>,
}

/// What is likeliest.
pub(super) struct Fitted {
    pub(super) cover: f64,
    pub(super) pits: PitModel,
    pub(super) figures: Vec<Figure>,
    pub(super) misfit: f64,
}

impl Law {
    pub(super) fn new(grain: &GrainSettings, cover: Option<f64>) -> Self {
        Self { median: grain.median_radius.0, sigma: grain.sigma.max(1e-3), cover }
    }

    /// What is guessed before any strip.
    pub(super) fn guess(&self) -> (f64, PitModel) {
        self.at(&[0.0; FIGURES])
    }

    /// Cover and model at a point.
    fn at(&self, point: &Point) -> (f64, PitModel) {
        let axis: [f64; FIGURES] = std::array::from_fn(|i| PRIORS[i].mean + PRIORS[i].spread * point[i].clamp(-8.0, 8.0));
        let cover = self.cover.unwrap_or_else(|| 1.0 / (1.0 + libm::exp(-axis[0])));
        let pits = PitModel {
            n: 1.0 + libm::exp(axis[1]),
            rate: libm::exp(axis[RATE]),
            filling_depth: Millimetres(self.median * libm::exp(axis[3])),
            full: Density(libm::exp(axis[4])),
            holding: libm::exp(axis[5]),
        };
        (cover, pits)
    }

    /// `E[(r − u)₊²]/E[r²]` of log-normal radii, from its partial moments.
    fn left(&self, undercut: f64) -> f64 {
        if undercut <= 0.0 {
            return 1.0;
        }
        let (m, s) = (self.median, self.sigma);
        let z = libm::log(undercut / m) / s;
        let phi = |z: f64| 0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2);
        let share = phi(2.0 * s - z) - 2.0 * undercut / m * libm::exp(-1.5 * s * s) * phi(s - z)
            + (undercut / m) * (undercut / m) * libm::exp(-2.0 * s * s) * phi(-z);
        share.clamp(0.0, 1.0)
    }

    /// Lightness of the model after `seconds`.
    fn lightness(&self, cover: f64, pits: &PitModel, seconds: f64, paper: Reflectance) -> f64 {
        let depth = pits.rate * seconds;
        let lands = -libm::expm1(libm::log1p(-cover) * self.left(depth));
        let held = -libm::expm1(-depth / pits.filling_depth.0) * -libm::expm1(-lands / pits.holding);
        let pit = Reflectance(paper.0 * libm::pow(10.0, -pits.full.0 * held));
        yule_nielsen(paper, pit, 1.0 - lands, pits.n).lightness().0
    }

    /// Residuals of the bitten bands, in reading errors.
    fn off(&self, point: &Point, readings: &[Reading], error: f64) -> Vec<f64> {
        let (cover, pits) = self.at(point);
        let paper = super::clean(readings[0].lightness.reflectance());
        readings[1..].iter().map(|r| (self.lightness(cover, &pits, r.total.0, paper) - r.lightness.0) / error).collect()
    }

    /// The likeliest figures for readings, paper first, of a standard error in L*.
    pub(super) fn fit(&self, readings: &[Reading], error: f64) -> Fitted {
        let cost = |point: &Point| self.off(point, readings, error).iter().chain(point).map(|r| r * r).sum::<f64>();
        // The rate may be off by powers of ten, and far from it the model is flat: it is looked for on a grid first.
        let mut starts: Vec<(f64, Point)> = (-16..=16)
            .map(|i| {
                let mut point = [0.0; FIGURES];
                point[RATE] = f64::from(i) / 4.0;
                (cost(&point), point)
            })
            .collect();
        starts.sort_by(|a, b| a.0.total_cmp(&b.0));
        let least = starts.iter().take(3).map(|(_, start)| self.descend(*start, readings, error)).fold(
            None,
            |best: Option<(f64, Point)>, point| {
                let found = (cost(&point), point);
                if best.is_some_and(|best| best.0 <= found.0) { best } else { Some(found) }
            },
        );
        let point = least.map_or([0.0; FIGURES], |(_, point)| point);
        let (cover, pits) = self.at(&point);
        let off = self.off(&point, readings, error);
        let misfit = (off.iter().map(|r| r * r).sum::<f64>() / off.len().max(1) as f64).sqrt() * error;
        let left = spreads(&self.normal(&point, readings, error).0);
        Fitted { cover, pits, figures: self.figures(cover, &pits, &left), misfit }
    }

    /// Normal matrix JᵀJ + 1 and gradient Jᵀr + point.
    fn normal(&self, point: &Point, readings: &[Reading], error: f64) -> (Matrix, Point) {
        const STEP: f64 = 1e-4;
        let off = self.off(point, readings, error);
        let slopes: [Vec<f64>; FIGURES] = std::array::from_fn(|i| {
            let moved = |by: f64| {
                let mut moved = *point;
                moved[i] += by;
                self.off(&moved, readings, error)
            };
            moved(STEP).iter().zip(moved(-STEP)).map(|(more, less)| (more - less) / (2.0 * STEP)).collect()
        });
        let dot = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let matrix = std::array::from_fn(|i| std::array::from_fn(|j| dot(&slopes[i], &slopes[j]) + f64::from(u8::from(i == j))));
        (matrix, std::array::from_fn(|i| dot(&slopes[i], &off) + point[i]))
    }

    /// Down from a start to where no step helps.
    fn descend(&self, mut point: Point, readings: &[Reading], error: f64) -> Point {
        let cost = |point: &Point| self.off(point, readings, error).iter().chain(point).map(|r| r * r).sum::<f64>();
        let (mut here, mut damping) = (cost(&point), 1e-3);
        for _ in 0..200 {
            let (matrix, gradient) = self.normal(&point, readings, error);
            loop {
                let mut damped = matrix;
                damped.iter_mut().enumerate().for_each(|(i, row)| row[i] *= 1.0 + damping);
                let step = solve(&damped, &gradient);
                let next: Point = std::array::from_fn(|i| point[i] - step[i]);
                let there = cost(&next);
                let small = step.iter().all(|s| s.abs() < 1e-9);
                if there < here {
                    (point, here, damping) = (next, there, (damping * 0.1).max(1e-9));
                    if small {
                        return point;
                    }
                    break;
                }
                damping *= 10.0;
                if small || damping > 1e9 {
                    return point;
                }
            }
        }
        point
    }

    /// The figures for a printer, spreads carried over to their units by the slope of each axis.
    fn figures(&self, cover: f64, pits: &PitModel, left: &Point) -> Vec<Figure> {
        let micrometres = |mm: f64| 1000.0 * mm;
        let rows = [
            ("Cover of the fresh grain", "%", 100.0 * cover, 100.0 * cover * (1.0 - cover)),
            ("Spread of light in the paper, n", "", pits.n, pits.n - 1.0),
            ("Rate of the bite", "µm/min", micrometres(60.0 * pits.rate), micrometres(60.0 * pits.rate)),
            ("Depth that fills a pit to 63 %", "µm", micrometres(pits.filling_depth.0), micrometres(pits.filling_depth.0)),
            ("Density of a full pit over the paper", "", pits.full.0, pits.full.0),
            ("Tops that hold 63 % of the ink in", "%", 100.0 * pits.holding, 100.0 * pits.holding),
        ];
        let figure = |i: usize| {
            let (name, unit, value, slope) = rows[i];
            let before = PRIORS[i].spread * slope;
            Figure { name, unit, value, spread: left[i] * before, before, told: left[i] < TOLD }
        };
        (usize::from(self.cover.is_some())..FIGURES).map(figure).collect()
    }
}

type Matrix = [[f64; FIGURES]; FIGURES];

/// Lower triangle L of a positive definite matrix, L·Lᵀ (Cholesky).
fn root(matrix: &Matrix) -> Matrix {
    let mut low = [[0.0; FIGURES]; FIGURES];
    for i in 0..FIGURES {
        for j in 0..=i {
            let sum: f64 = matrix[i][j] - (0..j).map(|k| low[i][k] * low[j][k]).sum::<f64>();
            low[i][j] = if i == j { libm::sqrt(sum.max(1e-300)) } else { sum / low[j][j] };
        }
    }
    low
}

/// x of matrix · x = right.
fn solve(matrix: &Matrix, right: &Point) -> Point {
    let low = root(matrix);
    let mut x = *right;
    for i in 0..FIGURES {
        let sum: f64 = (0..i).map(|k| low[i][k] * x[k]).sum();
        x[i] = (x[i] - sum) / low[i][i];
    }
    for i in (0..FIGURES).rev() {
        let sum: f64 = (i + 1..FIGURES).map(|k| low[k][i] * x[k]).sum();
        x[i] = (x[i] - sum) / low[i][i];
    }
    x
}

/// Roots of the inverse's diagonal.
fn spreads(matrix: &Matrix) -> Point {
    std::array::from_fn(|i| {
        let mut unit = [0.0; FIGURES];
        unit[i] = 1.0;
        libm::sqrt(solve(matrix, &unit)[i].max(0.0))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grain::Grain;
    use crate::light::Lightness;
    use crate::units::Seconds;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    #[test]
    fn normal_equations_are_solved() {
        // A matrix of Hilbert's kind plus 1: the product gives back the right side.
        let matrix: Matrix = std::array::from_fn(|i| std::array::from_fn(|j| 1.0 / (i + j + 1) as f64 + f64::from(u8::from(i == j))));
        let right: Point = [1.0, -2.0, 3.0, 0.5, 0.0, 4.0];
        let x = solve(&matrix, &right);
        for i in 0..FIGURES {
            assert_abs_diff_eq!((0..FIGURES).map(|j| matrix[i][j] * x[j]).sum::<f64>(), right[i], epsilon = 1e-12);
        }
    }

    #[test]
    fn what_is_left_of_the_grain_is_what_is_drawn() {
        let settings = GrainSettings::default();
        let (law, grain) = (Law::new(&settings, None), Grain::new(settings).unwrap());
        for u in [0.0, 0.003, 0.01, 0.03, 0.06] {
            let lands = -libm::expm1(libm::log1p(-0.5) * law.left(u));
            // The drawn grain has 1024 radii: 0.1 % of E[r²] at the most.
            assert_abs_diff_eq!(lands, grain.cover_after(Millimetres(u)), epsilon = 1e-3);
        }
    }

    #[test]
    fn figures_that_made_a_strip_are_found_again() {
        // Bands of the model itself, read without error: with a tenth of the usual reading error the priors hardly count.
        let law = Law::new(&GrainSettings::default(), None);
        let truth: Point = [-0.6, 0.4, 0.3, -0.5, 0.4, 0.8];
        let (cover, pits) = law.at(&truth);
        let paper = Lightness(90.0).reflectance();
        let band = |i: i32| {
            let total = if i == 0 { 0.0 } else { 3.0 * 1.35f64.powi(i) };
            Reading { total: Seconds(total), lightness: Lightness(law.lightness(cover, &pits, total, paper)) }
        };
        let readings: Vec<Reading> = (0..22).map(band).collect();
        let found = law.fit(&readings, 0.1);
        assert!(found.misfit < 0.05, "{}", found.misfit);
        assert_relative_eq!(found.pits.rate, pits.rate, max_relative = 0.05);
        assert_relative_eq!(found.pits.filling_depth.0, pits.filling_depth.0, max_relative = 0.1);
        assert_relative_eq!(found.pits.holding, pits.holding, max_relative = 0.15);
        assert_relative_eq!(found.cover, cover, max_relative = 0.1);
    }
}
