//! Equilibrium theory of one monovalent and one divalent cation: isotherm, waves and their speeds.
//!
//! With x the divalent fraction of a solution of normality N \[eq/L\], y that of the resin, Q its capacity \[eq/L of bed\]
//! and K the selectivity coefficient in the normality/capacity form ([`crate::laws::equilibrium`]),
//!
//! ```text
//! y/(1 - y)^2 = (K Q/N) x/(1 - x)^2
//! ```
//!
//! is a quadratic either way. At N = K Q, the reversal of selectivity, y = x. Without film, bead and dispersion
//! everything moves in waves that leave a bed of one bed volume after a throughput \[BV\] of
//!
//! ```text
//! concentration N     eps
//! one value of x      eps + (Q/N) dy/dx                  (in a fan)
//! a jump 0 to 1       eps + (Q/N) (y1 - y0)/(x1 - x0)    (a shock)
//! ```
//!
//! F. Helfferich, G. Klein (1970), *Multicomponent Chromatography* (from memory); the second and third are the balance of
//! a layer. Below K Q the isotherm is bent downwards: hardness that enters soft resin is a shock, brine that drives it off
//! opens a fan. Above K Q it is the other way round. Activities are left out: K is one number at every N.
//!
//! Brine of s \[eq/L of bed\] of salt (its volume times N) through a bed of uniform y0 drives off
//!
//! ```text
//! E = s (x0 - xb)                           before the fan arrives, s <= Q dy/dx(x0)
//! E = Q (y0 - y1) + s (x1 - xb)             after it, at x1 with Q dy/dx(x1) = s
//! E = Q (y0 - yb)                           when all of the fan has left
//! ```
//!
//! with xb the divalent fraction of the brine (the balance up to the layer that leaves: the tangent construction of
//! H. J. Welge 1952, read in a text that cites it).

use num_dual::DualNum;

use crate::numerics::fronts;

/// A divalent cation against a monovalent one on a resin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonoDivalent<S> {
    /// K, normality/capacity form, per litre of bed.
    pub selectivity: S,
    /// Q \[eq/L of bed\].
    pub capacity: S,
}

/// Divalent fraction f with f/(1 - f)^2 = `ratio` g/(1 - g)^2, for a fraction `g` from 0 to 1.
fn across<S: DualNum<Primitive = f64> + Copy>(g: S, ratio: S) -> S {
    // Multiplied out by (1 - g)^2 nothing is infinite at g = 1, and no difference of near numbers is left.
    let rest = -g + 1.0;
    let twice = ratio * g * 2.0;
    twice / (twice + rest * rest + rest * (twice * 2.0 + rest * rest).sqrt())
}

impl<S: DualNum<Primitive = f64> + Copy> MonoDivalent<S> {
    /// The normality \[eq/L\] at which selectivity reverses, K Q.
    pub fn reversal_eq_per_l(&self) -> S {
        self.selectivity * self.capacity
    }

    /// y in equilibrium with x at N.
    pub fn resin(&self, x: S, normality: S) -> S {
        across(x, self.reversal_eq_per_l() / normality)
    }

    /// x in equilibrium with y at N.
    pub fn solution(&self, y: S, normality: S) -> S {
        across(y, normality / self.reversal_eq_per_l())
    }

    /// alpha = y (1 - x)/(x (1 - y)) at x, 0 < x < 1.
    pub fn separation_factor(&self, x: S, normality: S) -> S {
        let y = self.resin(x, normality);
        y * (-x + 1.0) / (x * (-y + 1.0))
    }

    /// dy/dx at x.
    ///
    /// From the logarithm of the law, dy (1 + y)/(y (1 - y)) = dx (1 + x)/(x (1 - x)); written so that x = 0 and x = 1 have
    /// their limits K Q/N and its inverse root.
    pub fn slope(&self, x: S, normality: S) -> S {
        let ratio = self.reversal_eq_per_l() / normality;
        let y = across(x, ratio);
        // y/x = ratio (1 - y)^2/(1 - x)^2, and (1 - y)/(1 - x) is finite at x = 1.
        let rest = -x + 1.0;
        let root = (x * ratio * 4.0 + rest * rest).sqrt();
        let rests = (rest + root) / (x * ratio * 2.0 + rest * rest + rest * root);
        ratio * rests * rests * rests * (x + 1.0) / (y + 1.0)
    }

    /// Throughput \[BV\] at which the value x of a fan leaves a bed.
    pub fn fan_bv(&self, x: S, normality: S, void_fraction: S) -> S {
        void_fraction + self.capacity / normality * self.slope(x, normality)
    }

    /// Throughput \[BV\] at which a shock leaves a bed of fraction `y_ahead`, liquid in equilibrium, fed with `x_behind`.
    pub fn front_bv(&self, x_behind: S, y_ahead: S, normality: S, void_fraction: S) -> S {
        let y_behind = self.resin(x_behind, normality);
        let x_ahead = self.solution(y_ahead, normality);
        void_fraction + self.capacity / normality * (y_behind - y_ahead) / (x_behind - x_ahead)
    }
}

/// Divalents driven off \[eq/L of bed\] by salt of `salt_eq_per_l` \[eq/L of bed\].
///
/// Above K Q it is a shock that leaves, and only the first and the last line of the head comment are left. The bed is uniform at `y_bed`, the brine's divalent fraction is `x_brine`, below that in equilibrium with the bed.
pub fn driven_off_eq_per_l(
    pair: &MonoDivalent<f64>,
    y_bed: f64,
    x_brine: f64,
    normality: f64,
    salt_eq_per_l: f64,
) -> f64 {
    let x_bed = pair.solution(y_bed, normality);
    if normality >= pair.reversal_eq_per_l() {
        let whole = pair.capacity * (y_bed - pair.resin(x_brine, normality));
        return whole.min(salt_eq_per_l * (x_bed - x_brine));
    }
    let arrival = |x: f64| pair.capacity * pair.slope(x, normality);
    if salt_eq_per_l <= arrival(x_bed) {
        return salt_eq_per_l * (x_bed - x_brine);
    }
    if salt_eq_per_l >= arrival(x_brine) {
        return pair.capacity * (y_bed - pair.resin(x_brine, normality));
    }
    // The slope falls with x: halving the bracket is exact enough after 60 times.
    let (mut low, mut high) = (x_brine, x_bed);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if arrival(middle) > salt_eq_per_l { low = middle } else { high = middle }
    }
    let x = 0.5 * (low + high);
    pair.capacity * (y_bed - pair.resin(x, normality)) + salt_eq_per_l * (x - x_brine)
}

impl fronts::Law for MonoDivalent<f64> {
    fn carried(&self, held: f64, strength: f64) -> f64 {
        self.solution(held, strength)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::ion::Ion;
    use crate::laws::equilibrium::resin_fractions;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    const PAIR: MonoDivalent<f64> = MonoDivalent { selectivity: 2.606, capacity: 2.0 };

    /// Mass action with K = 2.606, Q = 2.0 eq/L: Y and, in brackets of the table, the separation factor; computed from the
    /// law (F. Helfferich 1962, *Ion Exchange*, ch. 5; law from memory).
    #[test]
    fn the_table_of_fractions_and_separation_factors() {
        for (n, x, y, alpha) in [
            (0.005, 0.05, 0.87678, 135.2),
            (0.01, 0.5, 0.96950, 31.79),
            (0.1, 0.2, 0.78102, 14.27),
            (1.0, 0.05, 0.18963, 4.446),
            (2.0, 0.5, 0.64753, 1.837),
            (4.0, 0.8, 0.82236, 1.157),
        ] {
            assert!((PAIR.resin(x, n) - y).abs() < 6e-6, "{n} {x}: {}", PAIR.resin(x, n));
            assert_close(PAIR.separation_factor(x, n), alpha, 5e-4);
        }
    }

    /// C = 0.01 eq/L, sodium bed, feed x = 0.5: Y 0.96950 and a shock at eps + 387.80 BV (shock balance, F. Helfferich,
    /// G. Klein 1970, from memory; value computed).
    #[test]
    fn the_shock_of_hardness_on_a_sodium_bed() {
        assert!((PAIR.front_bv(0.5, 0.0, 0.01, 0.38) - (0.38 + 387.80)).abs() < 5e-3);
    }

    /// Algebra: at N = K Q the isotherm is the diagonal, and every wave moves with eps + Q/N.
    #[test]
    fn selectivity_reverses_at_n_equal_k_q() {
        let reversal = PAIR.reversal_eq_per_l();
        assert_close(reversal, 5.212, 1e-12);
        for x in [0.01, 0.3, 0.7, 0.99] {
            assert_close(PAIR.resin(x, reversal), x, 1e-14);
            assert_close(PAIR.separation_factor(x, reversal), 1.0, 1e-12);
            assert_close(PAIR.fan_bv(x, reversal, 0.38), 0.38 + 2.0 / reversal, 1e-12);
            assert!(PAIR.resin(x, 0.5 * reversal) > x && PAIR.resin(x, 2.0 * reversal) < x);
        }
    }

    #[test]
    fn the_quadratic_is_the_general_equilibrium() {
        for (n, x) in [(0.006, 0.8), (0.5, 0.03), (3.0, 0.4), (7.0, 0.9)] {
            let general = resin_fractions(&[(Ion::NA, n * (1.0 - x), 1.0), (Ion::CA, n * x, 2.606)], 2.0).unwrap();
            assert_close(PAIR.resin(x, n), general[1].1, 1e-9);
            assert_close(PAIR.solution(PAIR.resin(x, n), n), x, 1e-12);
        }
        assert_eq!((PAIR.resin(0.0, 0.01), PAIR.resin(1.0, 0.01)), (0.0, 1.0));
    }

    #[test]
    fn slopes_are_those_of_the_isotherm_and_have_their_limits() {
        for (n, x) in [(0.006, 0.8), (0.01, 0.02), (1.8, 0.4), (5.212, 0.3), (7.0, 0.9)] {
            let (_, dual) = first_derivative(
                |x| MonoDivalent { selectivity: 2.606.into(), capacity: 2.0.into() }.resin(x, n.into()),
                x,
            );
            assert_close(PAIR.slope(x, n), dual, 1e-10);
            assert_close(PAIR.slope(x, n), central_difference(|x| PAIR.resin(x, n), x), 1e-6);
        }
        assert_close(PAIR.slope(0.0, 1.8), 5.212 / 1.8, 1e-12);
        assert_close(PAIR.slope(1.0, 1.8), (1.8f64 / 5.212).sqrt(), 1e-12);
    }

    /// One curvature at a normality: downwards below K Q, upwards above. So a wave of one pair is a shock or a fan, never
    /// both, unless the normality changes on its way.
    #[test]
    fn the_isotherm_is_bent_one_way_at_each_normality() {
        for (n, sign) in [(0.005, -1.0), (0.5, -1.0), (4.5, -1.0), (6.0, 1.0), (20.0, 1.0)] {
            for k in 0..200 {
                let x = f64::from(k) / 200.0;
                let change = PAIR.slope(x + 0.005, n) - PAIR.slope(x, n);
                assert!(sign * change > 0.0, "N {n}, x {x}: {change}");
            }
        }
    }

    /// What is driven off is what the fan's effluent carries, by the trapezium rule on 20 000 points.
    #[test]
    fn what_brine_drives_off_is_the_integral_of_the_fan() {
        let (n, y0, xb) = (1.8, 0.97, 0.002);
        let x0 = PAIR.solution(y0, n);
        let arrival = |x: f64| 2.0 * PAIR.slope(x, n);
        for salt in [0.5_f64, 1.5, 2.5, 4.0, 9.0] {
            let mut integral = (x0 - xb) * salt.min(arrival(x0));
            let points = 20_000;
            let x_at = |k: u32| x0 + (xb - x0) * f64::from(k) / f64::from(points);
            for k in 0..points {
                let (from, to) = (arrival(x_at(k)).min(salt), arrival(x_at(k + 1)).min(salt));
                integral += (to - from) * (0.5 * (x_at(k) + x_at(k + 1)) - xb);
            }
            assert_close(driven_off_eq_per_l(&PAIR, y0, xb, n, salt), integral, 2e-4);
        }
    }
}
