//! Axial dispersion in a packed bed.
//!
//! ```text
//! D = |u| d_p / (0.2 + 0.011 Re^0.48)        1e-3 < Re < 1e3
//! ```
//!
//! with u the superficial velocity \[m/s\], d_p the bead diameter \[m\] and Re in superficial velocity. D \[m2/s\] is
//! interstitial: it belongs in eps D dC/dz. S. F. Chung, C. Y. Wen (1968), AIChE J. 14, 857, for liquids, who write it with
//! the interstitial velocity v. The paper is still to be read. Texts that cite it have it in three ways: as here, which is
//! v d_p/D = (0.2 + 0.011 Re^0.48)/eps; without the eps; and with an eps on the second term alone. At eps = 0.38 they are
//! apart by up to 1/eps, a factor of 2.6 in D.
//!
//! Nothing disperses at rest: molecular diffusion, 1e-9 m2/s, moves ions by millimetres an hour and is left out.

use super::film::reynolds;
use num_dual::DualNum;

/// The Reynolds numbers that were measured, as (lowest, highest).
pub const REYNOLDS_LIMITS: (f64, f64) = (1e-3, 1e3);

/// Whether the correlation was used in the range it was measured in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Validity {
    /// The Reynolds number it was used at.
    pub reynolds: f64,
    /// Whether that lies within the limits.
    pub within: bool,
    /// What was measured, as (lowest, highest).
    pub limits: (f64, f64),
}

/// Whether the correlation was measured at such a Reynolds number.
pub fn validity(reynolds: f64) -> Validity {
    let (low, high) = REYNOLDS_LIMITS;
    Validity { reynolds, within: low <= reynolds && reynolds <= high, limits: REYNOLDS_LIMITS }
}

/// Axial dispersion \[m2/s\], interstitial; the direction of the flow does not count.
pub fn axial_m2_per_s<S: DualNum<Primitive = f64> + Copy>(
    superficial_velocity_m_per_s: S,
    bead_diameter_m: S,
    density_kg_per_m3: S,
    viscosity_pa_s: S,
) -> S {
    let u_d = superficial_velocity_m_per_s.abs() * bead_diameter_m;
    let re = reynolds(superficial_velocity_m_per_s, bead_diameter_m, density_kg_per_m3, viscosity_pa_s);
    // At rest Re^0.48 has no derivative, but its product with u does, and that is zero.
    let inertia = if re > 0.0 { re.powf(0.48) * 0.011 } else { S::zero() };
    u_d / (inertia + 0.2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    /// 0.6 mm beads in water at 20 C.
    fn at_velocity(u: f64) -> f64 {
        axial_m2_per_s(u, 0.6e-3, 998.21, 1.0016e-3)
    }

    #[test]
    fn the_worked_case_comes_out() {
        // Computed apart from this code: 20 m/h, void fraction 0.38, particle Peclet number 0.57782.
        let u = 20.0 / 3600.0;
        assert_close(at_velocity(u), 1.518e-5, 2e-4);
        let peclet = u / 0.38 * 0.6e-3 / at_velocity(u);
        assert_close(peclet, 0.57782, 1e-5);
    }

    #[test]
    fn nothing_disperses_at_rest_and_direction_does_not_count() {
        assert_eq!(at_velocity(0.0), 0.0);
        assert_eq!(at_velocity(-2e-3), at_velocity(2e-3));
    }

    #[test]
    fn the_range_is_reported() {
        assert!(validity(3.3).within);
        assert!(!validity(0.0).within);
        assert!(!validity(2e3).within);
        assert!(!validity(f64::NAN).within);
    }

    #[test]
    fn slope_is_that_of_the_value_even_at_rest() {
        let law = |u| axial_m2_per_s(u, 0.6e-3.into(), 998.21.into(), 1.0016e-3.into());
        let (_, slope) = first_derivative(law, 5e-3);
        assert_close(slope, central_difference(at_velocity, 5e-3), 1e-8);
        let (_, at_rest) = first_derivative(law, 0.0);
        assert_close(at_rest, 0.6e-3 / 0.2, 1e-12);
    }
}
