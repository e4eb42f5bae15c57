//! A cubic through knots that never overshoots them: piecewise Hermite, monotone between any two neighbours.
//!
//! Slopes within: the weighted harmonic mean of the two chords, 0 where they differ in sign: F. N. Fritsch, J. Butland, "A Method for
//! Constructing Local Monotone Piecewise Cubic Interpolants", SIAM J. Sci. Stat. Comput. 5 (1984) 300–304, doi:10.1137/0905021.
//! That such slopes keep a piece monotone: F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238–246, doi:10.1137/0717021.
//! Slopes at the ends: three points, one-sided, held to the shape: C. Moler, Numerical Computing with MATLAB (SIAM 2004), 3.6.
//! These are the choices of SciPy's `PchipInterpolator`, against which it is tested.

use std::fmt;

/// A shape-keeping piecewise cubic.
///
/// # Guarantees
/// Two knots or more, finite, x strictly rising. Between two knots the values never leave the range of the two.
#[derive(Clone, Debug, PartialEq)]
pub struct Pchip {
    x: Vec<f64>,
    y: Vec<f64>,
    /// Slope at each knot.
    d: Vec<f64>,
}

/// Knots no curve goes through.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum KnotsError {
    /// Fewer than two knots, or not as many x as y.
    Count {
        /// How many x came.
        x: usize,
        /// How many y came.
        y: usize,
    },
    /// A knot is not finite, or its x does not lie beyond the x before it.
    Knot {
        /// Which knot, from 0.
        index: usize,
        /// Its x.
        x: f64,
        /// Its y.
        y: f64,
    },
}

impl fmt::Display for KnotsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count { x, y } => {
                write!(f, "A curve needs two knots or more, as many x as y; {x} x and {y} y came: give each knot both.")
            }
            Self::Knot { index, x, y } => {
                write!(f, "Knot {index} stands at x {x}, y {y}; knots are finite and each x lies beyond the one before: put them in order.")
            }
        }
    }
}

impl std::error::Error for KnotsError {}

impl Pchip {
    /// The curve through knots.
    ///
    /// # Errors
    /// Fewer than two knots, unequal counts, a value that is not finite, x that does not rise.
    pub fn new(x: Vec<f64>, y: Vec<f64>) -> Result<Self, KnotsError> {
        if x.len() < 2 || x.len() != y.len() {
            return Err(KnotsError::Count { x: x.len(), y: y.len() });
        }
        let wrong = |i: usize| !x[i].is_finite() || !y[i].is_finite() || (i > 0 && x[i] <= x[i - 1]);
        if let Some(index) = (0..x.len()).find(|&i| wrong(i)) {
            return Err(KnotsError::Knot { index, x: x[index], y: y[index] });
        }
        let d = slopes(&x, &y);
        Ok(Self { x, y, d })
    }

    /// The value at `x`; before the first knot that knot's, after the last knot that knot's.
    #[must_use]
    pub fn at(&self, x: f64) -> f64 {
        let last = self.x.len() - 1;
        // Knots at or below x; not-a-number counts as before the first.
        match self.x.partition_point(|&knot| knot <= x) {
            0 => self.y[0],
            n if n > last => self.y[last],
            n => self.piece(n - 1, x),
        }
    }

    /// The least x at which the curve has the value `y`; `None` where it never has.
    ///
    /// By halving: every piece is monotone, so the bracket is safe, and about 60 cheap evaluations take it to two neighbouring
    /// numbers. What remains is the rounding of the value, some 1e-14 of it, over the slope.
    #[must_use]
    pub fn inverse(&self, y: f64) -> Option<f64> {
        let last = self.x.len() - 1;
        for i in 0..last {
            let (from, to) = (self.y[i], self.y[i + 1]);
            if y == from {
                return Some(self.x[i]);
            }
            if (from < y && y < to) || (to < y && y < from) {
                return Some(self.halve(i, y));
            }
        }
        (y == self.y[last]).then(|| self.x[last])
    }

    /// The first x at which the curve is at or below `y`, `None` where it never is. Two numbers apart at most 1e-9 of the piece: for
    /// many quick answers.
    #[must_use]
    pub fn falls_to(&self, y: f64) -> Option<f64> {
        let i = self.y.iter().position(|&knot| knot <= y)?;
        if i == 0 || self.y[i] == y {
            return Some(self.x[i]);
        }
        let (mut low, mut high) = (self.x[i - 1], self.x[i]);
        for _ in 0..30 {
            let middle = 0.5 * (low + high);
            if self.piece(i - 1, middle) > y { low = middle } else { high = middle }
        }
        Some(high)
    }

    /// The piece from knot `i` to the next, at `x` within it.
    fn piece(&self, i: usize, x: f64) -> f64 {
        let (y0, y1, d0, d1) = (self.y[i], self.y[i + 1], self.d[i], self.d[i + 1]);
        let h = self.x[i + 1] - self.x[i];
        let chord = (y1 - y0) / h;
        let u = x - self.x[i];
        let c = (3.0 * chord - 2.0 * d0 - d1) / h;
        let b = (d0 - 2.0 * chord + d1) / (h * h);
        // The cubic itself stays between the knots; its rounding may not.
        (y0 + u * (d0 + u * (c + u * b))).clamp(y0.min(y1), y0.max(y1))
    }

    fn halve(&self, i: usize, y: f64) -> f64 {
        let rising = self.y[i + 1] > self.y[i];
        let (mut low, mut high) = (self.x[i], self.x[i + 1]);
        loop {
            let middle = low + (high - low) / 2.0;
            if middle <= low || middle >= high {
                return low;
            }
            let value = self.piece(i, middle);
            if value == y {
                return middle;
            }
            if (value < y) == rising { low = middle } else { high = middle }
        }
    }
}

/// The slope at each knot.
fn slopes(x: &[f64], y: &[f64]) -> Vec<f64> {
    let h: Vec<f64> = x.windows(2).map(|w| w[1] - w[0]).collect();
    let chord: Vec<f64> = y.windows(2).zip(&h).map(|(w, h)| (w[1] - w[0]) / h).collect();
    let last = h.len() - 1;
    if last == 0 {
        return vec![chord[0]; 2];
    }
    let within = (0..last).map(|i| {
        let (before, after) = (chord[i], chord[i + 1]);
        if sign(before) != sign(after) || sign(before) == 0 {
            return 0.0;
        }
        let (w1, w2) = (2.0 * h[i + 1] + h[i], h[i + 1] + 2.0 * h[i]);
        (w1 + w2) / (w1 / before + w2 / after)
    });
    let first = end_slope(h[0], h[1], chord[0], chord[1]);
    let end = end_slope(h[last], h[last - 1], chord[last], chord[last - 1]);
    std::iter::once(first).chain(within).chain(std::iter::once(end)).collect()
}

/// Slope at an end: of the parabola through the outer three knots, but never against the outer chord, and where the data turn at the
/// second knot at most three times that chord.
fn end_slope(h0: f64, h1: f64, outer: f64, inner: f64) -> f64 {
    let d = ((2.0 * h0 + h1) * outer - h0 * inner) / (h0 + h1);
    if sign(d) != sign(outer) {
        0.0
    } else if sign(outer) != sign(inner) && d.abs() > 3.0 * outer.abs() {
        3.0 * outer
    } else {
        d
    }
}

/// −1, 0 or 1: `signum` calls 0 positive.
fn sign(v: f64) -> i8 {
    i8::from(v > 0.0) - i8::from(v < 0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    // More values of SciPy's are held in the tests' package, tests/reference/bites.rs.

    #[test]
    fn a_straight_line_stays_straight() {
        let line = Pchip::new(vec![0.0, 0.7, 1.0, 2.5], vec![80.0, 66.0, 60.0, 30.0]).unwrap();
        for i in 0..=100 {
            let x = 2.5 * f64::from(i) / 100.0;
            assert_abs_diff_eq!(line.at(x), 80.0 - 20.0 * x, epsilon = 1e-12);
        }
    }

    #[test]
    fn equal_steps_by_hand() {
        // Knots 0, 1, 2 at 0, 1, 4: chords 1 and 3. Inner slope, harmonic mean: 6/(3/1 + 3/3) = 1.5; ends (3·1−3)/2 = 0 and
        // (3·3−1)/2 = 4. Hermite at the middles: (y0+y1)/2 + h(d0−d1)/8.
        let curve = Pchip::new(vec![0.0, 1.0, 2.0], vec![0.0, 1.0, 4.0]).unwrap();
        assert_abs_diff_eq!(curve.at(0.5), 0.5 - 1.5 / 8.0, epsilon = 1e-15);
        assert_abs_diff_eq!(curve.at(1.5), 2.5 + (1.5 - 4.0) / 8.0, epsilon = 1e-15);
    }

    #[test]
    fn held_at_the_ends() {
        let curve = Pchip::new(vec![0.0, 1.0, 3.0], vec![9.0, 5.0, 4.0]).unwrap();
        assert_eq!(curve.at(-1.0), 9.0);
        assert_eq!(curve.at(f64::NAN), 9.0);
        assert_eq!(curve.at(3.0), 4.0);
        assert_eq!(curve.at(f64::INFINITY), 4.0);
        assert_eq!(curve.inverse(9.0), Some(0.0));
        assert_eq!(curve.inverse(4.0), Some(3.0));
        assert_eq!(curve.inverse(9.1), None);
        assert_eq!(curve.inverse(3.9), None);
        assert_eq!(curve.inverse(f64::NAN), None);
    }

    #[test]
    fn where_the_data_turn_the_curve_turns_at_the_knot() {
        let curve = Pchip::new(vec![0.0, 1.0, 2.0, 3.0], vec![90.0, 60.0, 65.0, 20.0]).unwrap();
        assert_eq!(curve.d[1..3], [0.0, 0.0]);
        assert!(curve.inverse(62.0).is_some_and(|x| x < 1.0), "the first of three places");
        assert_abs_diff_eq!(curve.falls_to(62.0).unwrap(), curve.inverse(62.0).unwrap(), epsilon = 1e-8);
        assert!(curve.falls_to(59.0).is_some_and(|x| x > 2.0), "past the turn");
        assert_eq!((curve.falls_to(90.0), curve.falls_to(95.0), curve.falls_to(19.0)), (Some(0.0), Some(0.0), None));
    }

    #[test]
    fn a_flat_piece_is_entered_at_its_first_place() {
        let curve = Pchip::new(vec![0.0, 1.0, 2.0, 3.0], vec![90.0, 60.0, 60.0, 20.0]).unwrap();
        assert_eq!(curve.inverse(60.0), Some(1.0));
        assert_eq!(curve.at(1.4), 60.0);
    }

    #[test]
    fn bad_knots_are_named() {
        assert_eq!(Pchip::new(vec![0.0], vec![1.0]), Err(KnotsError::Count { x: 1, y: 1 }));
        assert_eq!(Pchip::new(vec![0.0, 1.0], vec![1.0]), Err(KnotsError::Count { x: 2, y: 1 }));
        assert_eq!(Pchip::new(vec![0.0, 0.0], vec![1.0, 2.0]), Err(KnotsError::Knot { index: 1, x: 0.0, y: 2.0 }));
        let said = Pchip::new(vec![0.0, f64::NAN], vec![1.0, 2.0]).unwrap_err().to_string();
        assert!(said.contains("Knot 1"), "{said}");
    }

    proptest! {
        /// Rising or falling, the curve runs one way, and the inverse finds each value again.
        #[test]
        fn monotone_and_invertible(steps in prop::collection::vec((1e-3..3.0f64, 0.0..20.0f64), 2..12), falling: bool, share in 0.0..1.0f64) {
            let sign = if falling { -1.0 } else { 1.0 };
            let (mut x, mut y) = (vec![0.0], vec![50.0]);
            for (i, (dx, dy)) in steps.iter().enumerate() {
                x.push(x[i] + dx);
                y.push(y[i] + sign * dy);
            }
            let end = x[x.len() - 1];
            let curve = Pchip::new(x.clone(), y.clone()).unwrap();
            for (x, y) in x.iter().zip(&y) {
                prop_assert_eq!(curve.at(*x), *y);
            }
            let mut before = curve.at(0.0);
            for i in 1..=400 {
                let now = curve.at(end * f64::from(i) / 400.0);
                // 1e-12: rounding of values up to some 300.
                prop_assert!(sign * (now - before) >= -1e-12, "{before} then {now}");
                before = now;
            }
            let value = curve.at(share * end);
            let found = curve.inverse(value).unwrap();
            prop_assert!((curve.at(found) - value).abs() <= 1e-12);
        }
    }
}
