//! Variable-step BDF of order 1 to 3: coefficients, predictor, error estimate and step control.
//!
//! With dy_n = y_n - y_(n-1):
//!
//! ```text
//! y_(n+1) = y_n + p_1 dy_n + p_2 dy_(n-1) + theta f_(n+1),    p_1 h_n + p_2 h_(n-1) + theta = h
//! ```
//!
//! so that whatever is integrated with these weights closes its balance exactly. p_1 and p_2 follow from the demand that
//! powers of t up to the order are met: order 1 is backward Euler, order 2 has p_1 = w^2/(1 + 2 w), w = h/h_n.
//! E. Hairer, S. P. Norsett, G. Wanner (1993), *Solving Ordinary Differential Equations I*, sec. III.5 (from memory);
//! order 3 is zero-stable for growth below 1.534 (from memory), order 2 below 1 + sqrt 2 (Grigorieff 1983, quoted by others).

/// Largest growth of a step; below the zero-stability limit of order 3.
pub const LARGEST_GROWTH: f64 = 1.5;
/// Smallest shrinkage of a step after a rejection on error.
const LARGEST_SHRINKAGE: f64 = 0.25;
/// Largest share of a refused step that is tried next.
const LARGEST_AFTER_REFUSAL: f64 = 0.8;
/// Safety factor on the step that the error estimate allows.
const SAFETY: f64 = 0.9;

/// Weights of one step. Pairs belong to the last increment and to the one before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Weights {
    /// Order of the step.
    pub order: u32,
    /// Step.
    pub h: f64,
    /// Weights of the increments.
    pub p: [f64; 2],
    /// Weight of the new rate.
    pub theta: f64,
    /// Extrapolation to the new time from the last increment alone: the step's ratio to the one before, 0 without.
    pub linear: f64,
    /// Extrapolation of the highest degree there is history for.
    pub extrapolation: [f64; 2],
    /// Prediction of the increment, of the step's order: weight of the last rate, weights of the increments.
    pub predictor: (f64, [f64; 2]),
    /// Local error as a fraction of (value - prediction), from the leading terms of both.
    pub error_fraction: f64,
}

impl Weights {
    /// Weights of a step `h` after the steps `before`, the last one first; as many as there are raise the order.
    pub fn new(h: f64, before: [Option<f64>; 2]) -> Self {
        match before {
            [None, _] => Self {
                order: 1,
                h,
                p: [0.0; 2],
                theta: h,
                linear: 0.0,
                extrapolation: [0.0; 2],
                predictor: (h, [0.0; 2]),
                error_fraction: 0.5,
            },
            [Some(h1), None] => {
                let w = h / h1;
                Self {
                    order: 2,
                    h,
                    p: [w * w / (1.0 + 2.0 * w), 0.0],
                    theta: h * (1.0 + w) / (1.0 + 2.0 * w),
                    linear: w,
                    extrapolation: [w, 0.0],
                    predictor: (h * (1.0 + w), [-w * w, 0.0]),
                    error_fraction: (1.0 + w) / (2.0 + 3.0 * w),
                }
            }
            [Some(h1), Some(h2)] => Self::third(h, h1, h2),
        }
    }

    fn third(h: f64, h1: f64, h2: f64) -> Self {
        // In units of h, so that the powers below neither overflow nor vanish. Places of the history, counted back from
        // the new time: 1, b, c; from the last time: 0, h1, h1 + h2.
        let (r1, r2) = (h1 / h, h2 / h);
        let (b, c) = (1.0 + r1, 1.0 + r1 + r2);
        let m = r1 + r2;
        // t^2 and t^3 about the new time are met with no rate there.
        let (a2, a3, b2, b3) = (b * b - 1.0, b * b * b - 1.0, c * c - b * b, c * c * c - b * b * b);
        let det = a2 * b3 - b2 * a3;
        let p = [(b3 - b2) / det, (a2 - a3) / det];
        let theta = 1.0 - p[0] * r1 - p[1] * r2;
        // t^2 and t^3 about the last time are met with no rate there.
        let (x2, x3, y2, y3) = (-r1 * r1, r1 * r1 * r1, r1 * r1 - m * m, m * m * m - r1 * r1 * r1);
        let det = x2 * y3 - y2 * x3;
        let increments = [(y3 - y2) / det, (x2 - x3) / det];
        let rate = 1.0 - increments[0] * r1 - increments[1] * r2;
        // Leading terms, in units of y'''' h^4/24: of the step, and of the prediction with its double place at t_n.
        let fourth = |v: f64| v * v * v * v;
        let step = 1.0 - p[0] * (fourth(b) - 1.0) - p[1] * (fourth(c) - fourth(b));
        let bent = b / m;
        Self {
            order: 3,
            h,
            p,
            theta: theta * h,
            linear: 1.0 / r1,
            extrapolation: [(1.0 + bent) / r1, -bent / r2],
            predictor: (rate * h, increments),
            error_fraction: (step / (step + b * c)).abs(),
        }
    }

    /// Weight of the new rate where increments have this history weight: theta for 1, which is BDF, h for 0, backward Euler.
    #[inline(always)]
    pub fn of_new(&self, history_weight: f64) -> f64 {
        self.h + history_weight * (self.theta - self.h)
    }

    /// Explicit part of the new increment: what the last two contribute to it.
    #[inline(always)]
    pub fn of_history(&self, last: f64, before: f64) -> f64 {
        self.p[0] * last + self.p[1] * before
    }

    /// The increment that the last rate and the last two increments predict.
    #[inline(always)]
    pub fn predicted(&self, rate: f64, last: f64, before: f64) -> f64 {
        self.predictor.0 * rate + self.predictor.1[0] * last + self.predictor.1[1] * before
    }
}

/// Step control of proportional and integral action: a step grows by what its error allows, the less the faster errors
/// have been growing. K. Gustafsson (1991), ACM Trans. Math. Softw. 17, 533; exponents 0.7 and 0.4 read in texts that cite it.
///
/// As a front goes from cell to cell errors rise and fall; a control that only looks at the last one is refused a step in
/// five there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct StepControl {
    error_before: Option<f64>,
    refused: bool,
}

/// Powers of the two actions, over the order of the local error.
const INTEGRAL: f64 = 0.3;
const PROPORTIONAL: f64 = 0.4;
/// Errors smaller than this share of what is allowed count as this much.
const LEAST_ERROR: f64 = 1e-4;

impl StepControl {
    /// The next step after a taken one of size `h` and `order` whose error was `error` times what is allowed.
    pub fn after_taken(&mut self, h: f64, error: f64, order: u32) -> f64 {
        let k = f64::from(order) + 1.0;
        let error = error.max(LEAST_ERROR);
        let before = self.error_before.unwrap_or(error);
        let factor = SAFETY * error.powf(-INTEGRAL / k) * (before / error).powf(PROPORTIONAL / k);
        // Right after a refusal the step must not grow back to what was refused.
        let most = if self.refused { 1.0 } else { LARGEST_GROWTH };
        *self = Self { error_before: Some(error), refused: false };
        h * factor.clamp(LARGEST_SHRINKAGE, most)
    }

    /// A smaller step in place of one whose error was too large.
    pub fn after_refused(&mut self, h: f64, error: f64, order: u32) -> f64 {
        self.refused = true;
        let factor = SAFETY * error.powf(-1.0 / (f64::from(order) + 1.0));
        h * factor.clamp(LARGEST_SHRINKAGE, LARGEST_AFTER_REFUSAL)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y' = -y: halving the step cuts the error by 2^order, also with alternating steps.
    #[test]
    fn the_order_on_decay() {
        for order in [2, 3] {
            let solve = |n: usize| {
                let (mut y, mut t) = (1.0_f64, 0.0_f64);
                let (mut increments, mut steps) = ([0.0; 2], [None; 2]);
                let h0 = 1.0 / n as f64;
                // Exact first increments keep the start's lower orders out of the measured one.
                for k in 0..n {
                    let h = h0 * if k % 2 == 0 { 0.8 } else { 1.2 };
                    let w = Weights::new(h, if order == 3 { steps } else { [steps[0], None] });
                    let new = if k < 2 {
                        (-(t + h)).exp()
                    } else {
                        (y + w.of_history(increments[0], increments[1])) / (1.0 + w.theta)
                    };
                    increments = [new - y, increments[0]];
                    steps = [Some(h), steps[0]];
                    (y, t) = (new, t + h);
                }
                assert!((t - 1.0).abs() < 1e-12);
                (y - (-1.0_f64).exp()).abs()
            };
            let seen = (solve(200) / solve(400)).log2();
            assert!((seen - f64::from(order)).abs() < 0.1, "{order}: {seen}");
        }
    }

    #[test]
    fn the_error_estimate_is_the_error() {
        // One step on a power of t with exact history: the local error is the leading term itself.
        let (h, h1, h2) = (0.13, 0.1, 0.17);
        for (order, before) in [(2, [Some(h1), None]), (3, [Some(h1), Some(h2)])] {
            let y = |t: f64| t.powi(order + 1);
            let rate = |t: f64| f64::from(order + 1) * t.powi(order);
            let w = Weights::new(h, before);
            // Not about 0: the estimate must hold at any time.
            let t = 0.4;
            let (last, earlier) = (y(t) - y(t - h1), y(t - h1) - y(t - h1 - h2));
            let numerical = y(t) + w.of_history(last, earlier) + w.theta * rate(t + h);
            let predicted = y(t) + w.predicted(rate(t), last, earlier);
            let estimate = w.error_fraction * (numerical - predicted);
            assert!((estimate / (numerical - y(t + h)) - 1.0).abs() < 1e-10, "order {order}");
        }
    }

    #[test]
    fn balances_close_and_polynomials_are_extrapolated() {
        for (h, h1, h2) in [(0.2, 0.1, 0.3), (1e-3, 2.0, 1.0), (5.0, 4.0, 3.9)] {
            let w = Weights::new(h, [Some(h1), Some(h2)]);
            assert!((w.p[0] * h1 + w.p[1] * h2 + w.theta - h).abs() < 1e-14 * (h + h1));
            let y = |t: f64| 1.0 + 2.0 * t - 0.5 * t * t;
            let ahead = y(0.0) + w.extrapolation[0] * (y(0.0) - y(-h1)) + w.extrapolation[1] * (y(-h1) - y(-h1 - h2));
            assert!((ahead - y(h)).abs() < 1e-12 * (1.0 + h * h), "{ahead} against {}", y(h));
        }
    }
}
