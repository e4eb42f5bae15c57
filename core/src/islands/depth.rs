//! Depth: how far each pixel of a region is from what is not of it.

/// Squared distance from each pixel of a region to the nearest pixel of another value or of none, or beyond the border of the raster: exact,
/// in two passes, linear in pixels (A. Meijster, J. B. T. M. Roerdink and W. H. Hesselink, Mathematical Morphology and its Applications,
/// 2000, 331–340). Regions part the raster, so that one run serves all values at once. Rows are given one after another, 0 where a pixel
/// has no value.
pub fn each_row<V: Copy + PartialEq>(
    width: usize,
    height: usize,
    of: impl Fn(usize, usize) -> Option<V>,
    mut row: impl FnMut(usize, &[u32]),
) {
    // Downwards, then upwards: the way to the nearest pixel above or below that is not of the same region.
    let mut ways = vec![0u32; width * height];
    for y in 0..height {
        for x in 0..width {
            let here = of(x, y);
            let above = if y > 0 && of(x, y - 1) == here { ways[(y - 1) * width + x] } else { 0 };
            ways[y * width + x] = if here.is_some() { above + 1 } else { 0 };
        }
    }
    for y in (0..height).rev() {
        for x in 0..width {
            let below = if y + 1 < height && of(x, y + 1) == of(x, y) { ways[(y + 1) * width + x] } else { 0 };
            let way = &mut ways[y * width + x];
            *way = (*way).min(below + 1);
        }
    }
    // Along each stretch of one value the lower envelope of parabolas, the two columns beyond its ends among them: nothing further away
    // in the row is nearer than those.
    let mut hull: Vec<(i64, i64)> = Vec::with_capacity(width + 2);
    let mut starts: Vec<i64> = Vec::with_capacity(width + 2);
    let mut out = vec![0u32; width];
    for y in 0..height {
        let ways = &ways[y * width..(y + 1) * width];
        let mut from = 0;
        while from < width {
            let value = of(from, y);
            let to = (from + 1..width).find(|&x| of(x, y) != value).unwrap_or(width);
            if value.is_some() {
                along(&ways[from..to], &mut out[from..to], &mut hull, &mut starts);
            } else {
                out[from..to].fill(0);
            }
            from = to;
        }
        row(y, &out);
    }
}

/// One stretch of one row. `hull` and `starts` are room to work in.
fn along(ways: &[u32], out: &mut [u32], hull: &mut Vec<(i64, i64)>, starts: &mut Vec<i64>) {
    hull.clear();
    starts.clear();
    let columns =
        std::iter::once((-1, 0)).chain(ways.iter().enumerate().map(|(x, &way)| (x as i64, i64::from(way)))).chain([(ways.len() as i64, 0)]);
    for (x, way) in columns {
        let square = way * way;
        loop {
            let Some(&(u, lower)) = hull.last() else {
                starts.push(i64::MIN);
                break;
            };
            // From here on the new parabola is not above the last: the first whole x with (x − new)² + … ≤ (x − u)² + ….
            let start = (x * x - u * u + square - lower).div_euclid(2 * (x - u)) + 1;
            if starts.last().is_some_and(|&last| start <= last) {
                hull.pop();
                starts.pop();
            } else {
                starts.push(start);
                break;
            }
        }
        hull.push((x, square));
    }
    let mut at = 0;
    for (x, to) in out.iter_mut().enumerate() {
        let x = x as i64;
        while at + 1 < hull.len() && starts[at + 1] <= x {
            at += 1;
        }
        let (u, square) = hull[at];
        *to = ((x - u) * (x - u) + square) as u32;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn depths_are_those_of_a_search(width in 1usize..20, height in 1usize..20, seed in any::<u64>(), most in 1u64..40) {
            let mut state = seed;
            // None, and three values, of which one is the most frequent.
            let set: Vec<Option<u64>> = (0..width * height).map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                match (state >> 40) % most {
                    0 => None,
                    value @ 1..=2 => Some(value),
                    _ => Some(0),
                }
            }).collect();
            let mut all = Vec::new();
            each_row(width, height, |x, y| set[y * width + x], |_, row| all.extend_from_slice(row));
            for y in 0..height as i64 {
                for x in 0..width as i64 {
                    let here = set[y as usize * width + x as usize];
                    let mut best = i64::MAX;
                    for v in -1..=height as i64 {
                        for u in -1..=width as i64 {
                            let outside = u < 0 || v < 0 || u == width as i64 || v == height as i64;
                            if outside || here.is_none() || set[v as usize * width + u as usize] != here {
                                best = best.min((u - x).pow(2) + (v - y).pow(2));
                            }
                        }
                    }
                    prop_assert_eq!(i64::from(all[y as usize * width + x as usize]), best, "({}, {})", x, y);
                }
            }
        }
    }
}
