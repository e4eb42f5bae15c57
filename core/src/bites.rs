//! Bites: from targets and curve to totals, and from totals to what the clock is set to.
use crate::light::Lightness;
use crate::strip::StripKind;
use crate::units::Seconds;

/// Times of one tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ToneTime {
    /// Lightness the tone is to print at.
    pub target: Lightness,
    /// Exact total time in the bath, 0 for tone 0.
    pub total: Seconds,
    /// Exact length of the bite that leads to this tone, 0 for tone 0.
    pub bite: Seconds,
    /// Total rounded to what a hand can do.
    pub shown_total: Seconds,
    /// What the clock is set to: the difference of rounded totals, 0 for tone 0.
    pub set: Seconds,
    /// Range of the total, where it is known.
    pub range: Option<(Seconds, Seconds)>,
}

/// The ladder of times, tone 0 first.
#[derive(Clone, Debug, PartialEq)]
pub struct BitePlan {
    /// One entry a tone.
    pub tones: Vec<ToneTime>,
    /// Name of the strip it rests on.
    pub strip_id: String,
    /// Whose strip that is.
    pub strip_kind: StripKind,
}
