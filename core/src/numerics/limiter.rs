//! Limited face values: second order where the profile is smooth, no new extremum where it is not.
//!
//! All three return a *factor* on the upstream cell value, between 0 and 2 for values that are not negative. A factor
//! keeps an implicit upwind operator positive whatever the step, which an added correction would not.

/// Increment from the cell value to the downstream face, times two: the kappa = 1/3 scheme under Koren's limiter.
///
/// `before` and `after` are the differences to the upstream and from the downstream neighbour.
/// B. Koren (1993), "A robust upwind discretization method for advection, diffusion and source terms", in *Numerical
/// Methods for Advection-Diffusion Problems*, Vieweg, p. 117: face = c + phi(r) before / 2 with r = after/before and
/// phi = max(0, min(2 r, (1 + 2 r)/3, 2)); from memory.
#[inline]
pub fn limited_increment(before: f64, after: f64) -> f64 {
    if before * after <= 0.0 {
        return 0.0;
    }
    let (b, a) = (before.abs(), after.abs());
    let size = (2.0 * a).min((b + 2.0 * a) * (1.0 / 3.0)).min(2.0 * b);
    size.copysign(before)
}

/// Face factor at the outlet, where there is no downstream neighbour: extrapolation from the last two cells, the
/// harmonic form where the profile falls so that it cannot turn negative.
#[inline]
pub fn outlet_factor(upstream: f64, here: f64) -> f64 {
    if here <= 0.0 {
        1.0
    } else if upstream <= here {
        1.5 - 0.5 * upstream / here
    } else {
        2.0 * here / (here + upstream)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn linear_profiles_are_met_exactly() {
        assert!((limited_increment(0.3, 0.3) - 0.3).abs() < 1e-15);
        assert!((outlet_factor(0.9, 1.0) - 1.05).abs() < 1e-15);
    }

    #[test]
    fn extrema_and_jumps_stay_bounded() {
        assert_eq!(limited_increment(0.3, -0.1), 0.0);
        // Falling to zero ahead: the face value does not go below zero.
        assert!(1.0 + 0.5 * limited_increment(-5.0, -1.0) >= 0.0);
        // Rising from zero behind: it is at most twice the cell's.
        assert!(1.0 + 0.5 * limited_increment(1.0, 50.0) <= 2.0);
        for upstream in [0.0, 0.5, 1.0, 10.0, 1e6] {
            let factor = outlet_factor(upstream, 1.0);
            assert!((0.0..=2.0).contains(&factor), "{factor}");
        }
    }
}
