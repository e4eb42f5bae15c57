//! Locked breaks: the first as many as are painted stay where they were, the rest fall in what is left of the drawing.

use super::KeptMap;
use crate::light::Lightness;
use crate::tones::{Breaks, BreaksError};

/// Least L* between a locked break and the next: what a 2048-bin histogram tells apart.
const APART: f64 = 0.05;

/// Breaks with the first `painted` at their kept values. The others stay as asked where the first were asked for as they are; otherwise, or where
/// one lies no darker than the last locked one, they are spaced evenly from there to the drawing's `black`, or where that is no darker to L* 0, the
/// last half a gap short of it.
///
/// # Errors
/// When the locked breaks leave no L* for the others.
pub fn locked(asked: &Breaks, kept: &KeptMap, painted: usize, black: Lightness) -> Result<Breaks, BreaksError> {
    let held: Vec<f64> = kept.facts().breaks.iter().copied().take(painted).collect();
    let falling: Vec<f64> = asked.falling().iter().map(|l| l.0).collect();
    let Some(&last) = held.last().filter(|_| held.len() <= falling.len()) else { return Ok(asked.clone()) };
    let rest = &falling[held.len()..];
    let kept_count = kept.facts().breaks.len() == falling.len();
    let below = rest.first().is_none_or(|&first| first <= last - APART);
    let as_asked = below && (kept_count || held.iter().zip(&falling).all(|(held, asked)| (held - asked).abs() < 1e-9));
    let rest: Vec<f64> = if as_asked {
        rest.to_vec()
    } else {
        // A drawing with nothing darker has nothing left to cut: its later breaks lie below it, and still fall.
        let parts = rest.len() as f64 + 0.5;
        let gap = Some((last - black.0) / parts).filter(|&gap| gap >= APART).unwrap_or(last / parts);
        (1..=rest.len()).map(|i| last - gap * i as f64).collect()
    };
    Breaks::new(held.into_iter().chain(rest).map(Lightness).collect())
}
