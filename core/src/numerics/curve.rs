//! Samples of a smooth curve made dense enough to be joined by straight lines.

/// Share of the curve's largest value by which straight lines may miss it.
const MISS: f64 = 1e-4;
/// Most pieces that one interval is cut into.
const MOST_PIECES: usize = 16;

/// A slope may lead from its chord, over the whole interval, by this many times the range of the samples around.
///
/// A smooth curve whose intervals shrink less than fourfold from one to the next is not touched. Where a long interval
/// borders on one a thousand times shorter, the slope is the short one's, and carried over the long one it would make a
/// peak that no sample has.
const MOST_BENT: f64 = 4.0;

/// Insert points between samples of several curves over one abscissa, so that straight lines through the result follow
/// the cubic through each interval's ends with the slopes of the parabolas around them.
///
/// `values` holds `width` curves, row by row. Samples are kept as they are; a cubic that would leave the range of its
/// ends towards zero or below is replaced by the straight line, so that nothing positive turns negative.
pub fn densified(x: &[f64], values: &[f64], width: usize) -> (Vec<f64>, Vec<f64>) {
    let rows = x.len();
    if rows < 3 {
        return (x.to_vec(), values.to_vec());
    }
    let at = |row: usize, column: usize| values[row * width + column];
    let scale: Vec<f64> =
        (0..width).map(|c| (0..rows).map(|r| at(r, c).abs()).fold(f64::MIN_POSITIVE, f64::max)).collect();
    let (mut dense_x, mut dense) = (Vec::with_capacity(2 * rows), Vec::with_capacity(2 * values.len()));
    for row in 0..rows - 1 {
        dense_x.push(x[row]);
        dense.extend_from_slice(&values[row * width..(row + 1) * width]);
        let h = x[row + 1] - x[row];
        if h <= 0.0 {
            continue;
        }
        let slopes = |column: usize| slopes(x, row, |r| at(r, column));
        // The cubic leaves its chord by at most about h |m0 - m1| / 8.
        let miss = (0..width)
            .map(|c| {
                let (m0, m1) = slopes(c);
                let chord = (at(row + 1, c) - at(row, c)) / h;
                0.125 * h * (m0 - chord).abs().max((m1 - chord).abs()) / scale[c]
            })
            .fold(0.0, f64::max);
        let pieces = ((miss / MISS).sqrt().ceil() as usize).clamp(1, MOST_PIECES);
        for piece in 1..pieces {
            let t = piece as f64 / pieces as f64;
            dense_x.push(x[row] + t * h);
            for column in 0..width {
                let (m0, m1) = slopes(column);
                dense.push(cubic(t, h, (at(row, column), at(row + 1, column)), (m0, m1)));
            }
        }
    }
    dense_x.push(x[rows - 1]);
    dense.extend_from_slice(&values[(rows - 1) * width..]);
    (dense_x, dense)
}

/// Value at `at` of one curve through samples: on the cubic that [`densified`] follows.
pub fn value_at(x: &[f64], y: &[f64], at: f64) -> f64 {
    match x.iter().position(|x| *x >= at) {
        None => y.last().copied().unwrap_or(0.0),
        Some(0) => y[0],
        Some(k) => {
            let h = (x[k] - x[k - 1]).max(f64::MIN_POSITIVE);
            cubic((at - x[k - 1]) / h, h, (y[k - 1], y[k]), slopes(x, k - 1, |r| y[r]))
        }
    }
}

/// Integral of one curve through samples from its first to `to`, on the same cubics.
pub fn integral_to(x: &[f64], y: &[f64], to: f64) -> f64 {
    let mut sum = 0.0;
    for k in 1..x.len() {
        let (left, right) = (x[k - 1], x[k].min(to));
        if left >= to {
            break;
        }
        // Simpson's rule is exact for a cubic.
        let middle = value_at(x, y, 0.5 * (left + right));
        sum += (right - left) / 6.0 * (y[k - 1] + 4.0 * middle + value_at(x, y, right));
    }
    sum
}

/// Value at share `t` of an interval `h` of the cubic with these values and slopes at its ends; the straight line where
/// the cubic would leave the range of its ends towards zero or below.
fn cubic(t: f64, h: f64, (y0, y1): (f64, f64), (m0, m1): (f64, f64)) -> f64 {
    let cubic = y0 * (1.0 + 2.0 * t) * (1.0 - t) * (1.0 - t)
        + h * m0 * t * (1.0 - t) * (1.0 - t)
        + y1 * t * t * (3.0 - 2.0 * t)
        - h * m1 * t * t * (1.0 - t);
    let straight = y0 + t * (y1 - y0);
    if cubic < y0.min(y1) && cubic < 0.5 * straight { straight } else { cubic }
}

/// Slopes at the ends of the interval after a sample, bounded by what the samples around them say.
fn slopes(x: &[f64], row: usize, y: impl Fn(usize) -> f64) -> (f64, f64) {
    let h = (x[row + 1] - x[row]).max(f64::MIN_POSITIVE);
    let chord = (y(row + 1) - y(row)) / h;
    let bounded = |end: usize| {
        let around = end.saturating_sub(1)..=(end + 1).min(x.len() - 1);
        let (low, high) =
            around.map(&y).fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), y| (low.min(y), high.max(y)));
        let most = MOST_BENT * (high - low) / h;
        slope(x, end, &y).max(chord - most).min(chord + most)
    };
    (bounded(row), bounded(row + 1))
}

/// Slope at a sample of the parabola through it and its neighbours; one-sided at the ends.
fn slope(x: &[f64], row: usize, y: impl Fn(usize) -> f64) -> f64 {
    let difference = |a: usize, b: usize| (y(b) - y(a)) / (x[b] - x[a]).max(f64::MIN_POSITIVE);
    let last = x.len() - 1;
    if row == 0 {
        return difference(0, 1);
    }
    if row == last {
        return difference(last - 1, last);
    }
    let (before, after) = (x[row] - x[row - 1], x[row + 1] - x[row]);
    (difference(row - 1, row) * after + difference(row, row + 1) * before) / (before + after).max(f64::MIN_POSITIVE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_through_the_result_follow_a_smooth_peak() {
        let f = |x: f64| (-x * x).exp();
        let x: Vec<f64> = (0..17).map(|k| -2.0 + 0.25 * k as f64 + 0.07).collect();
        let y: Vec<f64> = x.iter().map(|x| f(*x)).collect();
        let (dense_x, dense_y) = densified(&x, &y, 1);
        let highest = dense_y.iter().copied().fold(0.0, f64::max);
        assert!((highest - 1.0).abs() < 2e-3, "{highest}");
        for k in 1..dense_x.len() {
            let middle = 0.5 * (dense_x[k] + dense_x[k - 1]);
            let straight = 0.5 * (dense_y[k] + dense_y[k - 1]);
            if middle.abs() < 1.5 {
                assert!((straight - f(middle)).abs() < 2e-3, "{middle}");
            }
        }
        assert!(dense_y.iter().all(|y| *y > 0.0));
    }

    /// A short steep interval beside a long even one: between the samples there is no more than they range over.
    #[test]
    fn a_steep_short_interval_makes_no_peak_of_its_own() {
        let x = [0.0, 1.0, 2.0, 2.001, 2.002, 3.0];
        let y = [1.0, 1.0, 1.01, 1.0, 0.99, 0.99];
        let (_, dense) = densified(&x, &y, 1);
        let range = y.iter().copied().fold((1.0_f64, 1.0_f64), |(low, high), y| (low.min(y), high.max(y)));
        let span = range.1 - range.0;
        assert!(dense.len() > x.len());
        for y in dense {
            assert!(y < range.1 + span && y > range.0 - span, "{y}");
        }
    }

    #[test]
    fn values_and_integrals_of_a_smooth_curve() {
        let x: Vec<f64> = (0..21).map(|k| 0.05 * f64::from(k)).collect();
        let y: Vec<f64> = x.iter().map(|x| (3.0 * x).exp()).collect();
        assert!((value_at(&x, &y, 0.527) / (3.0_f64 * 0.527).exp() - 1.0).abs() < 1e-4);
        let exact = ((3.0_f64 * 0.73).exp() - 1.0) / 3.0;
        assert!((integral_to(&x, &y, 0.73) / exact - 1.0).abs() < 3e-4);
    }
}
