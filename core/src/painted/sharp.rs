//! How sharp a photograph is, before anything is known of what is varnish and what is metal.

use super::look::Look;

/// Less between the lighter and the darker places than this, in the logarithm of light: there is nothing whose edge could be looked at.
const RANGE: f32 = 0.5;

/// Width over which the steepest edges go from dark to light, mm; `None` where nothing is light and nothing dark.
///
/// The steepest hundredth of the slopes, held to the difference between the darkest and the lightest twentieth: out of focus by a Gaussian
/// of standard deviation σ, the edge of a step has at most 1 / (σ √2π) of it a millimetre.
pub(super) fn width(look: &Look, px_per_mm: f64) -> Option<f64> {
    let (w, h) = (look.features.width(), look.features.height());
    if w < 5 || h < 5 {
        return None;
    }
    let every = (w * h / 200_000).max(1);
    let (mut lights, mut slopes) = (Vec::new(), Vec::new());
    for i in (0..w * h).step_by(every) {
        let (x, y) = (i % w, i / w);
        if x < 2 || y < 2 || x + 2 >= w || y + 2 >= h || look.burnt.at(x, y) > 0.02 || !look.within.at(x, y) {
            continue;
        }
        let at = |x: usize, y: usize| look.features.at(x, y)[0];
        lights.push(at(x, y));
        slopes.push(libm::hypotf(at(x + 2, y) - at(x - 2, y), at(x, y + 2) - at(x, y - 2)) / 4.0);
    }
    let of = |values: &mut Vec<f32>, share: f64| {
        let k = ((values.len() as f64 * share) as usize).min(values.len().saturating_sub(1));
        (!values.is_empty()).then(|| *values.select_nth_unstable_by(k, f32::total_cmp).1)
    };
    let range = of(&mut lights, 0.95)? - of(&mut lights, 0.05)?;
    let steepest = of(&mut slopes, 0.99)?;
    (range > RANGE).then(|| f64::from(range / steepest.max(1e-6)) / px_per_mm)
}
