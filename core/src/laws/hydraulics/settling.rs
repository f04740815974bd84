//! Settling of one bead: its terminal velocity.
//!
//! ```text
//! Ar = d^3 rho (rho_p - rho) g/mu^2 = (3/4) C_D Re^2      Re = rho u_t d/mu
//! C_D = (24/Re) (1 + 0.27 Re)^0.43 + 0.47 [1 - exp(-0.04 Re^0.38)]            Re <= 2e5
//! ```
//!
//! with d bead diameter \[m\], rho_p wet bead density, rho liquid density \[kg/m3\], mu viscosity \[Pa s\], u_t terminal
//! velocity \[m/s\]. N.-S. Cheng (2009), Powder Technology 189, 395; formula and range read in the documentation of the
//! library `fluids`. Other drag laws of that library move u_t of a
//! 0.6 mm resin bead by -7 to +9 %.
//!
//! A bead no denser than the liquid does not settle: its velocity is zero.

use num_dual::DualNum;

use super::{Beads, DecidingNumber, Liquid, Validity};
use crate::units::constants::GRAVITY_M_PER_S2;

/// Terminal Reynolds numbers that the drag law was fitted to.
pub const REYNOLDS_LIMITS: (f64, f64) = (0.0, 2e5);

/// Archimedes (Galileo) number of a bead in a liquid, negative for a bead that floats.
pub fn archimedes<S: DualNum<Primitive = f64> + Copy>(beads: Beads<S>, liquid: Liquid<S>) -> S {
    let Liquid { density_kg_per_m3: rho, viscosity_pa_s: mu } = liquid;
    let d = beads.diameter_m;
    let buoyant = beads.wet_density_kg_per_m3 - rho;
    d * d * d * rho * buoyant * GRAVITY_M_PER_S2 / (mu * mu)
}

/// Drag coefficient of a smooth sphere.
pub fn drag_coefficient<S: DualNum<Primitive = f64> + Copy>(reynolds: S) -> S {
    let tail = -(-(reynolds.powf(0.38) * 0.04)).exp() + 1.0;
    reynolds.recip() * 24.0 * (reynolds * 0.27 + 1.0).powf(0.43) + tail * 0.47
}

/// Reynolds number at which drag carries the weight that an Archimedes number stands for; zero for none.
pub fn terminal_reynolds<S: DualNum<Primitive = f64> + Copy>(archimedes: S) -> S {
    if archimedes.re() <= 0.0 {
        return S::zero();
    }
    let target = archimedes.ln();
    let excess = |x: S| (drag_coefficient(x.exp()) * 0.75).ln() + x * 2.0 - target;
    let slope = |x: f64| num_dual::first_derivative(|x| drag_coefficient(x.exp()).ln() + x * 2.0, x).1;
    // ln(C_D Re^2) rises with ln Re by 1 (Stokes) to 2 (constant drag): Newton from Stokes' answer cannot fail.
    let mut x = S::from((archimedes.re() / 18.0).ln());
    for _ in 0..50 {
        let step = excess(x) / slope(x.re());
        x -= step;
        if step.re().abs() < 1e-14 {
            break;
        }
    }
    // The slope above carries no derivative, so each further step makes one more order of derivatives right.
    for _ in 0..3 {
        x -= excess(x) / slope(x.re());
    }
    x.exp()
}

/// Terminal velocity of one bead in wide, still liquid \[m/s\].
pub fn terminal_velocity_m_per_s<S: DualNum<Primitive = f64> + Copy>(beads: Beads<S>, liquid: Liquid<S>) -> S {
    let re = terminal_reynolds(archimedes(beads, liquid));
    re * liquid.viscosity_pa_s / (liquid.density_kg_per_m3 * beads.diameter_m)
}

/// Whether the drag law was fitted at such a bead's terminal Reynolds number.
pub fn validity(beads: Beads<f64>, liquid: Liquid<f64>) -> Validity {
    Validity::new(DecidingNumber::TerminalReynolds, terminal_reynolds(archimedes(beads, liquid)), REYNOLDS_LIMITS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::{first_derivative, second_derivative};

    const BEADS: Beads<f64> = Beads { diameter_m: 0.6e-3, wet_density_kg_per_m3: 1280.0 };
    const WATER_20_C: Liquid<f64> = Liquid { density_kg_per_m3: 998.21, viscosity_pa_s: 1.0016e-3 };

    #[test]
    fn drag_agrees_with_an_independent_library() {
        // The example in the documentation of `fluids.drag.Cheng`.
        assert_close(drag_coefficient(200.0), 0.793_914_302_829_422_7, 1e-14);
    }

    /// `fluids` 1.3.1: 95.52838 m/h with Cheng's drag, 94.61423 with its default (Barati), 98.77951 with Clift & Gauvin; all
    /// its drag laws lie within 89.1 and 103.7.
    #[test]
    fn the_worked_case_comes_out() {
        let found = terminal_velocity_m_per_s(BEADS, WATER_20_C) * 3600.0;
        assert_close(archimedes(BEADS, WATER_20_C), 593.93, 1e-5);
        assert_close(found, 95.528_384, 1e-7);
        assert_close(found, 94.614_226, 1e-2);
        assert_close(found, 98.779_507, 4e-2);
        assert!(validity(BEADS, WATER_20_C).within);
    }

    /// Stokes: u_t = d^2 (rho_p - rho) g/(18 mu), exact as Re goes to 0.
    #[test]
    fn a_speck_settles_as_stokes_says() {
        let speck = Beads { diameter_m: 5e-6, ..BEADS };
        let stokes = 5e-6f64.powi(2) * (1280.0 - 998.21) * GRAVITY_M_PER_S2 / (18.0 * 1.0016e-3);
        assert_close(terminal_velocity_m_per_s(speck, WATER_20_C), stokes, 1e-3);
    }

    #[test]
    fn a_bead_that_floats_does_not_settle() {
        let light = Beads { wet_density_kg_per_m3: 990.0, ..BEADS };
        assert_eq!(terminal_velocity_m_per_s(light, WATER_20_C), 0.0);
    }

    #[test]
    fn slopes_are_those_of_the_root_to_the_second_order() {
        let expected = central_difference(terminal_reynolds, 600.0);
        assert_close(first_derivative(terminal_reynolds, 600.0).1, expected, 1e-8);
        let slope = |ar| first_derivative(terminal_reynolds, ar).1;
        let (_, _, curvature) = second_derivative(terminal_reynolds, 600.0);
        assert_close(curvature, central_difference(slope, 600.0), 1e-6);
    }
}
