//! The printer's own minutes at the bench, beside painting and biting.

use std::fmt;

/// Minutes that every bite takes besides: the varnish drying before it, the plate rinsed and dried after. No standard times exist, so none is
/// made up: what is not given is not counted, and that is said.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Bench {
    dry_min: Option<f64>,
    rinse_min: Option<f64>,
}

/// Minutes that no bench takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BenchError {
    /// Of what.
    pub what: &'static str,
    /// What came, minutes.
    pub minutes: f64,
}

impl fmt::Display for BenchError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Minutes of {} run from 0 to 1440, a day; {} came: type your own, or leave them empty.", self.what, self.minutes)
    }
}

impl std::error::Error for BenchError {}

impl Bench {
    /// Minutes for the varnish to dry, and for rinsing and drying the plate, a bite each.
    ///
    /// # Errors
    /// Outside 0 to 1440.
    pub fn new(dry_min: Option<f64>, rinse_min: Option<f64>) -> Result<Self, BenchError> {
        for (what, minutes) in [("drying", dry_min), ("rinsing", rinse_min)] {
            if let Some(minutes) = minutes.filter(|minutes| !(0.0..=1440.0).contains(minutes)) {
                return Err(BenchError { what, minutes });
            }
        }
        Ok(Self { dry_min, rinse_min })
    }

    /// Minutes a bite, of what is given.
    #[must_use]
    pub fn minutes(self) -> f64 {
        self.dry_min.unwrap_or(0.0) + self.rinse_min.unwrap_or(0.0)
    }

    /// What is not given, in words; none where both are.
    #[must_use]
    pub fn missing(self) -> Option<&'static str> {
        match (self.dry_min, self.rinse_min) {
            (Some(_), Some(_)) => None,
            (None, Some(_)) => Some("drying"),
            (Some(_), None) => Some("rinsing"),
            (None, None) => Some("drying and rinsing"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_given_is_counted_and_the_rest_is_named() {
        let bench = |dry, rinse| Bench::new(dry, rinse).unwrap();
        assert_eq!((bench(Some(25.0), Some(5.0)).minutes(), bench(Some(25.0), Some(5.0)).missing()), (30.0, None));
        assert_eq!((bench(None, Some(5.0)).minutes(), bench(None, Some(5.0)).missing()), (5.0, Some("drying")));
        assert_eq!(bench(Some(0.0), None).missing(), Some("rinsing"));
        assert_eq!(Bench::default().missing(), Some("drying and rinsing"));
        for wrong in [-1.0, 1441.0, f64::NAN] {
            assert!(Bench::new(Some(wrong), None).unwrap_err().to_string().starts_with("Minutes of drying"));
            assert!(Bench::new(None, Some(wrong)).unwrap_err().to_string().starts_with("Minutes of rinsing"));
        }
    }
}
