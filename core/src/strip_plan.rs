//! A test strip to bite: bands at totals spaced geometrically between a first and a last time that the printer chooses. No promise: the
//! strip is what will say what the times do.
//!
//! Totals t, t·q, t·q², … with q = (T/t)^(1/(N−1)) for N bands; rounded to what a hand can do, then subtracted for the clock. The strip is
//! seen in plate view, its unbitten paper band at the top, the lightest band next to it.

use crate::plate::SizeMm;
use crate::strip::LONGEST;
use crate::units::{Millimetres, Seconds};
use serde::{Deserialize, Serialize};
use std::fmt;

/// Least and greatest number of bitten bands.
pub const BANDS: (usize, usize) = (2, 20);

/// Least and greatest side of a strip, mm.
pub const SIDES: (f64, f64) = (10.0, 500.0);

/// Narrowest band that can be covered with an edge of its own and read without its neighbours, mm. Estimate of ours.
pub const NARROWEST: f64 = 4.0;

/// The paper band is so many bitten bands wide: it is read too, and it is held by. Choice of ours.
const PAPER_BANDS: f64 = 1.0;

/// How the bands come to their totals.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Taken out, covered and put back for every band, as the plate will be: each dip starts anew.
    #[default]
    Covered,
    /// In one dip, drawn out of the bath band by band.
    Withdrawn,
}

/// What the printer chooses.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    /// Total of the first, lightest band.
    pub first_s: Seconds,
    /// Total of the last, darkest band.
    pub last_s: Seconds,
    /// Bitten bands, the paper apart.
    pub bands: usize,
    /// How they are bitten.
    #[serde(default)]
    pub way: Way,
    /// Across the bands.
    pub width_mm: Millimetres,
    /// Along the bands, from the paper to the darkest.
    pub height_mm: Millimetres,
}

impl Default for Asked {
    /// Eight bands from 10 s to 15 min on 40 × 120 mm: the span of one published aquatint on zinc (J. B. Ricksecker: palest 10 s, darkest
    /// about 15 min), the rest choices of ours. A beginning to change, not advice.
    fn default() -> Self {
        Self {
            first_s: Seconds(10.0),
            last_s: Seconds(900.0),
            bands: 8,
            way: Way::Covered,
            width_mm: Millimetres(40.0),
            height_mm: Millimetres(120.0),
        }
    }
}

/// One bitten band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// 1 = the lightest, next to the paper.
    pub number: usize,
    /// Its total by the formula.
    pub exact_s: Seconds,
    /// Its total rounded to what a hand can do.
    pub total_s: Seconds,
    /// What the clock is set to for the dip that ends it, or for the wait until it is drawn out: the difference of rounded totals.
    pub dip_s: Seconds,
    /// Its edge towards the paper, mm from the strip's top.
    pub from_mm: Millimetres,
    /// Its edge towards the darkest band, mm from the strip's top.
    pub to_mm: Millimetres,
}

/// A strip to bite.
///
/// # Guarantees
/// Totals rise, rounded ones too; dips add up to the last rounded total; bands meet without gaps from the paper band to the strip's foot.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StripPlan {
    /// What was asked.
    pub asked: Asked,
    /// Each total over the one before, by the formula.
    pub ratio: f64,
    /// Foot of the unbitten paper band, mm from the strip's top.
    pub paper_mm: Millimetres,
    /// The bitten bands, the lightest first.
    pub bands: Vec<Band>,
}

/// Why a strip can't be planned so.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum StripPlanError {
    /// Too few or too many bands.
    Count {
        /// What came.
        bands: usize,
    },
    /// The two times are no pair of rising times.
    Times {
        /// First that came, s.
        first: f64,
        /// Last that came, s.
        last: f64,
    },
    /// Two bands come to the same total once it is rounded.
    Alike {
        /// The later of the two.
        band: usize,
        /// That total, s.
        seconds: f64,
    },
    /// A side is no length a strip may have.
    Side {
        /// Width that came, mm.
        width: f64,
        /// Height that came, mm.
        height: f64,
    },
    /// The bands come out too narrow.
    Narrow {
        /// Their height, mm.
        band: f64,
        /// The height of strip they would need, mm.
        need: f64,
    },
}

impl fmt::Display for StripPlanError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Count { bands } => write!(f, "A strip of {} to {} bitten bands was expected, {bands} came.", BANDS.0, BANDS.1),
            Self::Times { first, last } => write!(
                f,
                "A first time of 1 s or more and a later last one, up to {} s, were expected; {first} s and {last} s came: type the totals of the lightest \
                 and of the darkest band.",
                LONGEST.0
            ),
            Self::Alike { band, seconds } => write!(
                f,
                "Bands {} and {band} both come to {seconds:.0} s once totals are rounded to what a hand can do: plan fewer bands, or times farther apart.",
                band - 1
            ),
            Self::Side { width, height } => write!(
                f,
                "A strip has sides of {} to {} mm ({:.1} to {:.0} in); {width} × {height} mm came: check the size and its unit.",
                SIDES.0,
                SIDES.1,
                Millimetres(SIDES.0).inches(),
                Millimetres(SIDES.1).inches()
            ),
            Self::Narrow { band, need } => write!(
                f,
                "The bands come out {band:.1} mm high, and under {NARROWEST} mm none is covered or read cleanly: take a strip of {need:.0} mm or more, or \
                 fewer bands."
            ),
        }
    }
}

impl std::error::Error for StripPlanError {}

/// Each total over the one before, where `count` totals run from `first` to `last`: (T/t)^(1/(N−1)); 1 for a single total.
#[must_use]
pub fn ratio(first: Seconds, last: Seconds, count: usize) -> f64 {
    if count < 2 { 1.0 } else { libm::pow(last.0 / first.0, 1.0 / (count - 1) as f64) }
}

/// `count` totals spaced geometrically, each as a multiple of the first: 1, q, q², …, the last exactly `last` over `first`.
#[must_use]
pub fn multiples(first: Seconds, last: Seconds, count: usize) -> Vec<f64> {
    let q = ratio(first, last, count);
    let at = |i: usize| if i + 1 == count && i > 0 { last.0 / first.0 } else { libm::pow(q, i as f64) };
    (0..count).map(at).collect()
}

impl StripPlan {
    /// Plans the strip.
    ///
    /// # Errors
    /// Whatever can't be bitten or read so, see [`StripPlanError`].
    pub fn of(asked: Asked) -> Result<Self, StripPlanError> {
        let Asked { first_s: first, last_s: last, bands: count, .. } = asked;
        if !(BANDS.0..=BANDS.1).contains(&count) {
            return Err(StripPlanError::Count { bands: count });
        }
        if !(first.0 >= 1.0 && last > first && last <= LONGEST) {
            return Err(StripPlanError::Times { first: first.0, last: last.0 });
        }
        let (width, height) = (asked.width_mm.0, asked.height_mm.0);
        if [width, height].iter().any(|side| !(SIDES.0..=SIDES.1).contains(side)) {
            return Err(StripPlanError::Side { width, height });
        }
        let band_mm = height / (count as f64 + PAPER_BANDS);
        if band_mm < NARROWEST - 1e-9 {
            return Err(StripPlanError::Narrow { band: band_mm, need: NARROWEST * (count as f64 + PAPER_BANDS) });
        }
        let edge = |i: usize| Millimetres(height - band_mm * (count - i) as f64);
        let mut bands: Vec<Band> = Vec::with_capacity(count);
        for (i, multiple) in multiples(first, last, count).into_iter().enumerate() {
            let exact_s = Seconds(first.0 * multiple);
            let total_s = exact_s.by_hand();
            let before = bands.last().map_or(Seconds(0.0), |band| band.total_s);
            if total_s <= before {
                return Err(StripPlanError::Alike { band: i + 1, seconds: total_s.0 });
            }
            let dip_s = Seconds(total_s.0 - before.0);
            bands.push(Band { number: i + 1, exact_s, total_s, dip_s, from_mm: edge(i), to_mm: edge(i + 1) });
        }
        Ok(Self { asked, ratio: ratio(first, last, count), paper_mm: edge(0), bands })
    }

    /// The strip's size.
    #[must_use]
    pub fn size(&self) -> SizeMm {
        SizeMm { width: self.asked.width_mm, height: self.asked.height_mm }
    }

    /// Height of one bitten band.
    #[must_use]
    pub fn band_mm(&self) -> Millimetres {
        Millimetres((self.asked.height_mm.0 - self.paper_mm.0) / self.bands.len() as f64)
    }

    /// What is done before a dip (covered), or at the end of a wait (withdrawn), in a few words.
    #[must_use]
    pub fn act(&self, band: &Band) -> String {
        match (self.asked.way, band.number) {
            (Way::Covered, 1) => "before it, cover the paper band".to_owned(),
            (Way::Covered, number) => format!("before it, cover band {} too", number - 1),
            (Way::Withdrawn, number) if number == self.bands.len() => "then take it out".to_owned(),
            (Way::Withdrawn, number) => format!("then draw band {number} out: up {:.1} mm", band.to_mm.0 - band.from_mm.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Worked out beforehand in Python: t = 10 s, T = 900 s, N = 8 give q = 1.901855, totals and dips as below, printed to a tenth.
    #[test]
    fn eight_bands_from_ten_seconds_to_a_quarter_of_an_hour() {
        let plan = StripPlan::of(Asked::default()).unwrap();
        assert_abs_diff_eq!(plan.ratio, 1.901_855, epsilon = 5e-7);
        let totals = [10.0, 19.0, 36.2, 68.8, 130.8, 248.8, 473.2, 900.0];
        let dips = [10.0, 9.0, 17.2, 32.6, 62.0, 118.0, 224.4, 426.8];
        let mut before = 0.0;
        for ((band, total), dip) in plan.bands.iter().zip(totals).zip(dips) {
            assert_abs_diff_eq!(band.exact_s.0, total, epsilon = 0.05 + 1e-9);
            assert_abs_diff_eq!(band.exact_s.0 - before, dip, epsilon = 0.05 + 1e-9);
            before = band.exact_s.0;
        }
        // Rounded to what a hand can do, then subtracted.
        assert_eq!(plan.bands.iter().map(|b| b.total_s.0).collect::<Vec<_>>(), [10.0, 19.0, 35.0, 70.0, 130.0, 250.0, 475.0, 900.0]);
        assert_eq!(plan.bands.iter().map(|b| b.dip_s.0).collect::<Vec<_>>(), [10.0, 9.0, 16.0, 35.0, 60.0, 120.0, 225.0, 425.0]);
    }

    /// The doubling of the trade (M. Rudolph, 2013): 15 s to 16 min in seven. As TOTALS its dips are 15 15 30 60 120 240 480 s.
    #[test]
    fn doubling_totals_is_not_doubling_dips() {
        let asked = Asked { first_s: Seconds(15.0), last_s: Seconds(960.0), bands: 7, ..Asked::default() };
        let plan = StripPlan::of(asked).unwrap();
        assert_abs_diff_eq!(plan.ratio, 2.0, epsilon = 1e-12);
        assert_eq!(plan.bands.iter().map(|b| b.dip_s.0).collect::<Vec<_>>(), [15.0, 15.0, 30.0, 60.0, 120.0, 240.0, 480.0]);
    }

    #[test]
    fn bands_run_from_the_paper_to_the_foot() {
        let plan = StripPlan::of(Asked { height_mm: Millimetres(90.0), ..Asked::default() }).unwrap();
        assert_eq!((plan.paper_mm, plan.band_mm()), (Millimetres(10.0), Millimetres(10.0)));
        assert_eq!((plan.bands[0].from_mm, plan.bands[7].to_mm), (Millimetres(10.0), Millimetres(90.0)));
        assert_eq!(plan.act(&plan.bands[0]), "before it, cover the paper band");
        assert_eq!(plan.act(&plan.bands[3]), "before it, cover band 3 too");
        let drawn = StripPlan::of(Asked { way: Way::Withdrawn, height_mm: Millimetres(90.0), ..Asked::default() }).unwrap();
        assert_eq!(drawn.act(&drawn.bands[0]), "then draw band 1 out: up 10.0 mm");
        assert_eq!(drawn.act(&drawn.bands[7]), "then take it out");
    }

    #[test]
    fn what_can_not_be_bitten_or_read_is_refused_in_sentences() {
        let of = |change: &dyn Fn(&mut Asked)| {
            let mut asked = Asked::default();
            change(&mut asked);
            StripPlan::of(asked).unwrap_err()
        };
        let refused = [
            of(&|asked| asked.bands = 1),
            of(&|asked| asked.bands = 21),
            of(&|asked| asked.first_s = Seconds(0.0)),
            of(&|asked| asked.last_s = Seconds(10.0)),
            of(&|asked| asked.last_s = Seconds(f64::NAN)),
            of(&|asked| asked.last_s = Seconds(1e6)),
            of(&|asked| asked.last_s = Seconds(13.0)),
            of(&|asked| asked.width_mm = Millimetres(0.0)),
            of(&|asked| asked.height_mm = Millimetres(f64::NAN)),
            of(&|asked| asked.height_mm = Millimetres(30.0)),
        ];
        for error in refused {
            assert!(error.to_string().ends_with('.'), "{error}");
        }
        assert!(matches!(of(&|asked| asked.last_s = Seconds(13.0)), StripPlanError::Alike { .. }));
        assert_eq!(of(&|asked| asked.height_mm = Millimetres(30.0)), StripPlanError::Narrow { band: 30.0 / 9.0, need: 36.0 });
    }

    proptest! {
        #[test]
        fn totals_rise_dips_add_up_and_bands_meet(first in 1.0..60.0f64, span in 1.5..500.0f64, bands in 2..=20usize, height in 10.0..500.0f64) {
            let asked = Asked { first_s: Seconds(first), last_s: Seconds(first * span), bands, height_mm: Millimetres(height), ..Asked::default() };
            let Ok(plan) = StripPlan::of(asked) else { return Ok(()) };
            prop_assert_eq!(plan.bands.len(), bands);
            for pair in plan.bands.windows(2) {
                prop_assert!(pair[1].total_s > pair[0].total_s && pair[1].exact_s > pair[0].exact_s);
                prop_assert_eq!(pair[1].from_mm, pair[0].to_mm);
                prop_assert!((pair[1].exact_s.0 / pair[0].exact_s.0 / plan.ratio - 1.0).abs() < 1e-9);
            }
            let last = plan.bands[bands - 1];
            prop_assert_eq!(plan.bands.iter().map(|band| band.dip_s.0).sum::<f64>(), last.total_s.0);
            prop_assert!((last.to_mm.0 - height).abs() < 1e-9 && (last.exact_s.0 / (first * span) - 1.0).abs() < 1e-12);
        }
    }
}
