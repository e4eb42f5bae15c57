//! One time as it was typed.

use super::TimeUnit;
use crate::units::Seconds;

/// A time as typed: with its units, or a bare number that may be seconds or minutes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimeCell {
    /// Units or a colon were given, or it is 0.
    Told(Seconds),
    /// A number and nothing else.
    Bare {
        /// Its value.
        value: f64,
        /// Minutes and seconds, where two digits below 60 stand behind the point.
        clock: Option<(f64, f64)>,
    },
}

impl TimeCell {
    /// Reads "95", "95 s", "1:35", "1'35\"", "1 min 35 s", "2 min", "1,5"; `None` where it is no time.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let text = text.trim();
        if let Some(value) = decimal(text).filter(|&value| value >= 0.0) {
            let behind = text.split_once(['.', ',']).filter(|(_, seconds)| seconds.len() == 2);
            let clock = behind.and_then(|(minutes, seconds)| Some((decimal(minutes)?, decimal(seconds)?))).filter(|&(_, s)| s < 60.0);
            return Some(if value == 0.0 { Self::Told(Seconds(0.0)) } else { Self::Bare { value, clock } });
        }
        told(text).map(|seconds| Self::Told(Seconds(seconds)))
    }

    /// Whether a bare number can be meant so; a time with its units always can.
    #[must_use]
    pub fn may_be(&self, unit: TimeUnit) -> bool {
        match self {
            Self::Told(_) | Self::Bare { clock: Some(_), .. } => true,
            // A whole number among times like 1.30 is whole minutes.
            Self::Bare { value, clock: None } => unit != TimeUnit::MinutesAndSeconds || value.fract() == 0.0,
        }
    }

    /// The time, a bare number meant so.
    #[must_use]
    pub fn seconds(&self, unit: TimeUnit) -> Seconds {
        match (*self, unit) {
            (Self::Told(seconds), _) => seconds,
            (Self::Bare { value, .. }, TimeUnit::Seconds) => Seconds(value),
            (Self::Bare { clock: Some((minutes, seconds)), .. }, TimeUnit::MinutesAndSeconds) => Seconds(60.0 * minutes + seconds),
            (Self::Bare { value, .. }, TimeUnit::Minutes | TimeUnit::MinutesAndSeconds) => Seconds(60.0 * value),
        }
    }
}

/// A time with units or a colon, in seconds.
fn told(text: &str) -> Option<f64> {
    if let Some((minutes, seconds)) = text.split_once(':') {
        let (minutes, seconds) = (digits(minutes)?, decimal(seconds.trim_end_matches(['s', ' ']))?);
        return (0.0..60.0).contains(&seconds).then_some(60.0 * minutes + seconds);
    }
    let mut rest = text.trim();
    let mut sum = 0.0;
    // Minutes, then seconds, each at most once; a number left over behind minutes is seconds, as in "1 min 30".
    for (scale, units) in [
        (60.0, &["minutes", "minute", "mins", "min", "m", "'", "′", "’"][..]),
        (1.0, &["seconds", "second", "secs", "sec", "s", "\"", "″", "”"]),
    ] {
        let end = rest.find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | ' '))).unwrap_or(rest.len());
        let (number, unit) = rest.split_at(end);
        let lower = unit.to_lowercase();
        let Some(found) = units.iter().find(|name| lower.starts_with(**name)) else { continue };
        sum += scale * decimal(number)?;
        rest = unit.get(found.len()..)?.trim_start_matches('.').trim();
        if rest.is_empty() {
            return Some(sum);
        }
        if let (true, Some(seconds)) = (scale > 1.0, decimal(rest)) {
            return (0.0..60.0).contains(&seconds).then_some(sum + seconds);
        }
    }
    None
}

fn digits(text: &str) -> Option<f64> {
    let text = text.trim();
    (!text.is_empty() && text.len() <= 6 && text.bytes().all(|byte| byte.is_ascii_digit())).then(|| text.parse().ok()).flatten()
}

/// A number with a decimal point or comma, without an exponent; blanks between digits and the true minus are taken.
pub(super) fn decimal(text: &str) -> Option<f64> {
    let plain: String = text.trim().chars().filter(|c| !matches!(c, ' ' | '\u{a0}' | '\u{202f}')).collect();
    let plain = plain.replacen(',', ".", 1).replace('−', "-");
    let unsigned = plain.strip_prefix(['-', '+']).unwrap_or(&plain);
    let shaped =
        unsigned.chars().any(|c| c.is_ascii_digit()) && unsigned.chars().all(|c| c.is_ascii_digit() || c == '.') && plain.len() <= 20;
    shaped.then(|| plain.parse::<f64>().ok()).flatten().filter(|value| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_with_their_units() {
        for (text, seconds) in [
            ("1:35", 95.0),
            ("0:05", 5.0),
            ("12:00", 720.0),
            ("1:35.5", 95.5),
            ("1:35,5 s", 95.5),
            ("95 s", 95.0),
            ("95s", 95.0),
            ("95 sec.", 95.0),
            ("95 Seconds", 95.0),
            ("2 min", 120.0),
            ("2m", 120.0),
            ("1.5 min", 90.0),
            ("1,5 min.", 90.0),
            ("1 min 35 s", 95.0),
            ("1min35", 95.0),
            ("1'35\"", 95.0),
            ("1′35″", 95.0),
            ("8'", 480.0),
            ("40\"", 40.0),
            ("0", 0.0),
            (" 0,0 ", 0.0),
        ] {
            assert_eq!(TimeCell::read(text), Some(TimeCell::Told(Seconds(seconds))), "{text}");
        }
    }

    #[test]
    fn bare_numbers() {
        assert_eq!(TimeCell::read("1,5"), Some(TimeCell::Bare { value: 1.5, clock: None }));
        assert_eq!(TimeCell::read("1.30"), Some(TimeCell::Bare { value: 1.3, clock: Some((1.0, 30.0)) }));
        assert_eq!(TimeCell::read("1 200"), Some(TimeCell::Bare { value: 1200.0, clock: None }));
        assert_eq!(TimeCell::read("0.75"), Some(TimeCell::Bare { value: 0.75, clock: None }));
    }

    #[test]
    fn what_is_no_time() {
        for text in [
            "",
            " ",
            "soon",
            "-5",
            "1:75",
            "1:2:3",
            ":30",
            "5 h",
            "1e3",
            "inf",
            "NaN",
            "1.2.3",
            "5 s 3",
            "1 min 70",
            "s",
            "'",
            "1:-5",
            "99999999999999999999999",
            "é'",
            "5 µs",
            "0x10",
        ] {
            assert_eq!(TimeCell::read(text), None, "{text}");
        }
    }
}
