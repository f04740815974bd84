//! Variable-step BDF2: coefficients, predictor, error estimate and step control.
//!
//! With w = h/h_before, dy_n = y_n - y_(n-1):
//!
//! ```text
//! y_(n+1) = y_n + p dy_n + theta f_(n+1),    p = w^2/(1 + 2 w),    theta = h (1 + w)/(1 + 2 w)
//! ```
//!
//! so that p h_before + theta = h: whatever is integrated with these weights closes its balance exactly. p = 0 is
//! backward Euler. E. Hairer, S. P. Norsett, G. Wanner, *Solving Ordinary Differential Equations I*, sec. III.5 (from
//! memory); zero-stable for w below 1 + sqrt 2.

/// Largest growth of a step; below the zero-stability limit 1 + sqrt 2.
pub const LARGEST_GROWTH: f64 = 1.8;
/// Smallest shrinkage of a step after a rejection on error.
const LARGEST_SHRINKAGE: f64 = 0.25;
/// Safety factor on the step that the error estimate allows.
const SAFETY: f64 = 0.9;

/// Weights of one step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Step.
    pub h: f64,
    /// Ratio to the step before; 0 for backward Euler.
    pub ratio: f64,
    /// Weight of the last increment.
    pub p: f64,
    /// Weight of the new rate.
    pub theta: f64,
}

impl Weights {
    /// Weights of a step `h` after a step `before`; `None` starts with backward Euler.
    pub fn new(h: f64, before: Option<f64>) -> Self {
        let ratio = before.map_or(0.0, |b| h / b);
        Self { h, ratio, p: ratio * ratio / (1.0 + 2.0 * ratio), theta: h * (1.0 + ratio) / (1.0 + 2.0 * ratio) }
    }

    /// Weight of the new rate where only a share of the last increment is remembered: theta for 1, h for 0.
    #[inline]
    pub fn of_new(&self, memory: f64) -> f64 {
        self.h + memory * (self.theta - self.h)
    }

    /// Second-order prediction of y_(n+1): the quadratic through y_(n-1), y_n with slope f_n. Returned are the factors of
    /// the rate f_n and of the last increment dy_n; their sum is the predicted increment.
    #[inline]
    pub fn predictor(&self) -> (f64, f64) {
        (self.h * (1.0 + self.ratio), -self.ratio * self.ratio)
    }

    /// Local error as a fraction of (value - prediction), from the leading terms of both:
    /// C/(C + c) with C = (1+w)^2/(6 w (1+2w)) and c = (1+w)/(6 w).
    #[inline]
    pub fn error_fraction(&self) -> f64 {
        if self.ratio == 0.0 { 0.5 } else { (1.0 + self.ratio) / (2.0 + 3.0 * self.ratio) }
    }

    /// The rate that a step from `value` by `increment` stood for, given the increment before it.
    #[inline]
    pub fn rate(&self, increment: f64, increment_before: f64) -> f64 {
        (increment - self.p * increment_before) / self.theta
    }
}

/// The next step after one of size `h` whose error was `error` times what is allowed.
pub fn next_step(h: f64, error: f64) -> f64 {
    let factor = if error > 0.0 { SAFETY * error.powf(-1.0 / 3.0) } else { LARGEST_GROWTH };
    h * factor.clamp(LARGEST_SHRINKAGE, LARGEST_GROWTH)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y' = -y: halving the step quarters the error, also with alternating steps.
    #[test]
    fn second_order_on_decay() {
        let solve = |n: usize| {
            let (mut y, mut dy, mut before, mut t) = (1.0_f64, 0.0, None, 0.0);
            let h0 = 1.0 / n as f64;
            // An exact first increment keeps the start's backward Euler out of the measured order.
            for k in 0..n {
                let h = h0 * if k % 2 == 0 { 0.8 } else { 1.2 };
                let w = Weights::new(h, before);
                let new = if k == 0 { (-h).exp() } else { (y + w.p * dy) / (1.0 + w.theta) };
                (dy, y, before, t) = (new - y, new, Some(h), t + h);
            }
            assert!((t - 1.0).abs() < 1e-12);
            (y - (-1.0_f64).exp()).abs()
        };
        let order = (solve(100) / solve(200)).log2();
        assert!((order - 2.0).abs() < 0.1, "{order}");
    }

    #[test]
    fn the_error_estimate_is_the_error() {
        // One step on y = t^3 with exact history: the local error is the leading term itself.
        let (h, before) = (0.13, 0.1);
        let y = |t: f64| t * t * t;
        let w = Weights::new(h, Some(before));
        let numerical = y(0.0) + w.p * (y(0.0) - y(-before)) + w.theta * 3.0 * h * h;
        let predicted = y(0.0) + w.predictor().1 * (y(0.0) - y(-before));
        let estimate = w.error_fraction() * (numerical - predicted);
        assert!((estimate / (numerical - y(h)) - 1.0).abs() < 1e-12);
    }
}
