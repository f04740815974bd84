//! Pressure drop of a packed bed.
//!
//! ```text
//! dP/L = 150 mu u (1 - eps)^2/(eps^3 d^2) + 1.75 rho u |u| (1 - eps)/(eps^3 d)      1.2 <= Re/(1 - eps) <= 4200, D/d > 10
//! ```
//!
//! with u superficial velocity \[m/s\], d bead diameter \[m\], D vessel diameter \[m\], eps void fraction, rho density
//! \[kg/m3\], mu viscosity \[Pa s\], Re = rho u d/mu, dP/L \[Pa/m\]. S. Ergun (1952), Chem. Eng. Prog. 48, 89; formula
//! read in a transcription of the paper in the gallery of the library `pymrm`, range in a compilation of pressure-drop models.
//!
//! Below the range the first term is Kozeny and Carman's, which holds in creeping flow, though Carman puts 180 for 150
//! (library `fluids`). For clean spheres Ergun lies 8 to 17 % below the equations of KTA and of Carman at service. Fines, broken
//! beads and collectors add to it.

use num_dual::DualNum;

use super::{DecidingNumber, Liquid, Validity};
use crate::laws::film::reynolds;

/// Re/(1 - eps) that was measured.
pub const REYNOLDS_LIMITS: (f64, f64) = (1.2, 4200.0);

/// Vessel diameter over bead diameter from which the wall does not count.
pub const VESSEL_OVER_BEAD_LIMITS: (f64, f64) = (10.0, f64::INFINITY);

/// Friction a u + b u |u| of a bed \[Pa/m\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Friction<S> {
    /// a, viscous \[Pa s/m2\].
    pub viscous: S,
    /// b, inertial \[Pa s2/m3\].
    pub inertial: S,
}

/// What resists a liquid in a bed.
pub fn friction<S: DualNum<Primitive = f64> + Copy>(
    liquid: Liquid<S>,
    bead_diameter_m: S,
    void_fraction: S,
) -> Friction<S> {
    let solid = -void_fraction + 1.0;
    let eps_3 = void_fraction * void_fraction * void_fraction;
    Friction {
        viscous: liquid.viscosity_pa_s * solid * solid / (eps_3 * bead_diameter_m * bead_diameter_m) * 150.0,
        inertial: liquid.density_kg_per_m3 * solid / (eps_3 * bead_diameter_m) * 1.75,
    }
}

/// Pressure lost per metre of bed \[Pa/m\]; it has the sign of the velocity, and no part of the liquid's weight.
pub fn gradient_pa_per_m<S: DualNum<Primitive = f64> + Copy>(
    velocity_m_per_s: S,
    liquid: Liquid<S>,
    bead_diameter_m: S,
    void_fraction: S,
) -> S {
    let Friction { viscous, inertial } = friction(liquid, bead_diameter_m, void_fraction);
    velocity_m_per_s * (viscous + inertial * velocity_m_per_s.abs())
}

/// Pressure lost over a bed of `depth_m` \[Pa\].
pub fn pressure_drop_pa<S: DualNum<Primitive = f64> + Copy>(
    velocity_m_per_s: S,
    liquid: Liquid<S>,
    bead_diameter_m: S,
    void_fraction: S,
    depth_m: S,
) -> S {
    gradient_pa_per_m(velocity_m_per_s, liquid, bead_diameter_m, void_fraction) * depth_m
}

/// Whether Ergun's equation was measured at such a flow.
pub fn validity(velocity_m_per_s: f64, bead_diameter_m: f64, void_fraction: f64, liquid: Liquid<f64>) -> Validity {
    let re = reynolds(velocity_m_per_s, bead_diameter_m, liquid.density_kg_per_m3, liquid.viscosity_pa_s);
    Validity::new(DecidingNumber::ParticleReynolds, re / (1.0 - void_fraction), REYNOLDS_LIMITS)
}

/// Whether the vessel is wide enough for its wall not to count.
pub fn wall_validity(bead_diameter_m: f64, vessel_diameter_m: f64) -> Validity {
    Validity::new(DecidingNumber::VesselOverBeadDiameter, vessel_diameter_m / bead_diameter_m, VESSEL_OVER_BEAD_LIMITS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    const WATER_20_C: Liquid<f64> = Liquid { density_kg_per_m3: 998.21, viscosity_pa_s: 1.0016e-3 };

    #[test]
    fn the_worked_case_comes_out() {
        // The library `fluids` 1.3.1, packed_bed.Ergun: 17 257 Pa/m; KTA 18 797 and Carman 20 899 by the same library.
        let u = 20.0 / 3600.0;
        let found = gradient_pa_per_m(u, WATER_20_C, 0.6e-3, 0.38);
        assert_close(found, 17_257.0, 5e-5);
        assert!((0.82..0.93).contains(&(found / 18_797.0)) && (0.82..0.93).contains(&(found / 20_899.0)));
        assert_eq!(pressure_drop_pa(u, WATER_20_C, 0.6e-3, 0.38, 0.9), 0.9 * found);
        assert!(validity(u, 0.6e-3, 0.38, WATER_20_C).within);
        assert!(!validity(u / 10.0, 0.6e-3, 0.38, WATER_20_C).within);
        assert!(wall_validity(0.6e-3, 0.3).within && !wall_validity(0.6e-3, 5e-3).within);
    }

    #[test]
    fn friction_is_against_the_flow_and_smooth_at_rest() {
        let law = |u| gradient_pa_per_m(u, WATER_20_C, 0.6e-3, 0.38);
        assert_eq!(law(-3e-3), -law(3e-3));
        assert_eq!(law(0.0), 0.0);
        let dual = |u| {
            let liquid = Liquid { density_kg_per_m3: 998.21.into(), viscosity_pa_s: 1.0016e-3.into() };
            gradient_pa_per_m(u, liquid, 0.6e-3.into(), 0.38.into())
        };
        assert_close(first_derivative(dual, 5e-3).1, central_difference(law, 5e-3), 1e-8);
        assert_close(first_derivative(dual, 0.0).1, friction(WATER_20_C, 0.6e-3, 0.38).viscous, 1e-14);
    }
}
