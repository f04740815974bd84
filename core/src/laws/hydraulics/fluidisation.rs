//! Where an upflow begins to lift a bed.
//!
//! ```text
//! Re_mf = sqrt(33.7^2 + 0.0408 Ar) - 33.7      u_mf = Re_mf mu/(rho d)
//! ```
//!
//! with Ar of [`super::settling`], d bead diameter \[m\], rho liquid density \[kg/m3\], mu viscosity \[Pa s\], u_mf the
//! superficial velocity \[m/s\] of minimum fluidisation. C. Y. Wen, Y. H. Yu (1966), AIChE J. 12, 610; measured for Re_mf from
//! 0.001 to 4000 (equation, range and spread read in a transcription of the paper in the gallery of the library `pymrm`).
//!
//! It has no void fraction: the constants stand for beads that come loose at about 0.41. By Ergun's equation a bed settled
//! to 0.38 lifts at 3 % less. The data, 284 points, spread by 34 %, so the onset is a guide, not a line.

use num_dual::DualNum;

use super::settling::archimedes;
use super::{Beads, DecidingNumber, Liquid, Validity};

/// Reynolds numbers of minimum fluidisation that were measured.
pub const REYNOLDS_LIMITS: (f64, f64) = (1e-3, 4000.0);

/// Reynolds number of minimum fluidisation; zero for beads that float.
pub fn onset_reynolds<S: DualNum<Primitive = f64> + Copy>(archimedes: S) -> S {
    if archimedes.re() <= 0.0 {
        return S::zero();
    }
    // The difference of two near numbers, written without the loss of digits.
    let inertia = archimedes * 0.0408;
    inertia / ((inertia + 33.7 * 33.7).sqrt() + 33.7)
}

/// Superficial velocity from which an unblocked bed lifts \[m/s\]; zero for beads that float.
pub fn onset_m_per_s<S: DualNum<Primitive = f64> + Copy>(beads: Beads<S>, liquid: Liquid<S>) -> S {
    onset_reynolds(archimedes(beads, liquid)) * liquid.viscosity_pa_s / (liquid.density_kg_per_m3 * beads.diameter_m)
}

/// Whether an upflow lifts a bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lifting {
    /// From which velocity on it would \[m/s\].
    pub onset_m_per_s: f64,
    /// Velocity over that; infinite for beads that float.
    pub ratio: f64,
    /// Does it lift?
    pub lifts: bool,
}

/// Whether an upflow of a liquid lifts beads that nothing holds down.
pub fn lifting(velocity_m_per_s: f64, beads: Beads<f64>, liquid: Liquid<f64>) -> Lifting {
    let onset = onset_m_per_s(beads, liquid);
    Lifting { onset_m_per_s: onset, ratio: velocity_m_per_s / onset, lifts: velocity_m_per_s > onset }
}

/// Whether the correlation was measured for such beads in such a liquid.
pub fn validity(beads: Beads<f64>, liquid: Liquid<f64>) -> Validity {
    Validity::new(DecidingNumber::OnsetReynolds, onset_reynolds(archimedes(beads, liquid)), REYNOLDS_LIMITS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::salt::Salt;
    use crate::laws::hydraulics::ergun;
    use crate::laws::{assert_close, central_difference};
    use crate::units::constants::GRAVITY_M_PER_S2;
    use num_dual::first_derivative;

    fn beads(diameter_mm: f64) -> Beads<f64> {
        Beads { diameter_m: diameter_mm * 1e-3, wet_density_kg_per_m3: 1280.0 }
    }

    fn onset_m_per_h(diameter_mm: f64, liquid: Liquid<f64>) -> f64 {
        onset_m_per_s(beads(diameter_mm), liquid) * 3600.0
    }

    /// Computed by the formula apart from this code, with library values of density and viscosity: 2.153 m/h in water at 20 C,
    /// 1.646 at 10 C.
    #[test]
    fn the_worked_case_comes_out() {
        let water_20_c = Liquid { density_kg_per_m3: 998.21, viscosity_pa_s: 1.0016e-3 };
        assert_close(onset_m_per_h(0.6, water_20_c), 2.153, 3e-4);
        assert_close(onset_m_per_h(0.6, Liquid::water(283.15)), 1.646, 1e-3);
        assert!(validity(beads(0.6), water_20_c).within);
    }

    /// Onset of lifting of an unblocked bed of wet density 1280 kg/m3 [m/h], derived from Wen and Yu by others with three
    /// digits: no measured value was found.
    #[test]
    fn onsets_agree_with_a_derived_table() {
        let water = Liquid::water(293.15);
        let brine = |percent: f64| Liquid::brine(Salt::SodiumChloride, percent / 100.0, 293.15);
        assert_close(onset_m_per_h(0.60, water), 2.15, 5e-3);
        assert_close(onset_m_per_h(0.60, Liquid::water(278.15)), 1.42, 5e-3);
        assert_close(onset_m_per_h(0.60, brine(6.0)), 1.67, 5e-3);
        assert_close(onset_m_per_h(0.60, brine(10.0)), 1.35, 5e-3);
        assert_close(onset_m_per_h(0.45, brine(10.0)), 0.76, 7e-3);
        assert_close(onset_m_per_h(0.75, brine(10.0)), 2.10, 5e-3);
    }

    /// The bed's weight under the liquid over Ergun's friction: an onset of its own, for the settled void fraction.
    #[test]
    fn ergun_s_balance_gives_nearly_the_same_onset() {
        let water = Liquid::water(293.15);
        let onset = |eps: f64| {
            let weight = (1.0 - eps) * (1280.0 - water.density_kg_per_m3) * GRAVITY_M_PER_S2;
            let ergun::Friction { viscous: a, inertial: b } = ergun::friction(water, 0.6e-3, eps);
            3600.0 * 2.0 * weight / (a + (a * a + 4.0 * b * weight).sqrt())
        };
        assert_close(onset(0.38), onset_m_per_h(0.6, water), 3e-2);
        assert!(onset(0.38) < onset_m_per_h(0.6, water) && onset_m_per_h(0.6, water) < onset(0.40));
    }

    #[test]
    fn brine_lifts_what_water_leaves_and_floats_what_is_lighter() {
        let flow = 1.8 / 3600.0;
        assert!(!lifting(flow, beads(0.6), Liquid::water(293.15)).lifts);
        assert!(lifting(flow, beads(0.6), Liquid::brine(Salt::SodiumChloride, 0.10, 293.15)).lifts);
        let floating = Beads { wet_density_kg_per_m3: 1150.0, ..beads(0.6) };
        let strong = Liquid::brine(Salt::SodiumChloride, 0.26, 293.15);
        let found = lifting(1e-9, floating, strong);
        assert!(found.lifts && found.onset_m_per_s == 0.0 && found.ratio == f64::INFINITY);
    }

    #[test]
    fn slope_is_that_of_the_value() {
        assert_close(first_derivative(onset_reynolds, 600.0).1, central_difference(onset_reynolds, 600.0), 1e-8);
    }
}
