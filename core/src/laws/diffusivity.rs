//! Diffusivity of an ion in solution at another temperature and viscosity.
//!
//! ```text
//! D(T) = D25 (T/298.15 K) (mu25/mu)
//! ```
//!
//! D25 is the diffusivity in water at 25 C \[m2/s\], mu the viscosity of the solution at T \[Pa s\], mu25 that of
//! water at 25 C. This is the Stokes-Einstein relation with an ion of fixed size; the usual scaling (common practice,
//! no source), so brine slows an ion by its viscosity alone.
//!
//! The law is too steep. Measured limiting conductances of salts, 5 to 90 C (R. B. McCleskey 2011, in the library
//! `chemicals`), give D(10 C)/D(25 C) = 0.669 for NaCl, 0.673 for CaCl2, 0.668 for MgCl2 and 0.679 for KCl, cation and anion
//! together, where the law has 0.647. It is low by 4 to 7 % at 5 C, 3 to 5 % at 10 C and 2 to 3 % at 15 C, and high by 1 % at
//! 30 C and 2.5 to 4 % at 40 C; film coefficients in cold water are 2 to 3 % low for it (computed).

use super::viscosity::water_pa_s;
use num_dual::DualNum;

/// The temperature at which diffusivities are stated \[K\].
pub const STATED_AT_K: f64 = 298.15;

/// Diffusivity \[m2/s\] of an ion at `temperature_k`, in a solution of `viscosity_pa_s` at that temperature.
pub fn ionic_m2_per_s<S: DualNum<Primitive = f64> + Copy>(
    diffusivity_25_c_m2_per_s: S,
    temperature_k: S,
    viscosity_pa_s: S,
) -> S {
    let mobility_factor = viscosity_pa_s.recip() * water_pa_s(STATED_AT_K);
    diffusivity_25_c_m2_per_s * (temperature_k / STATED_AT_K) * mobility_factor
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::salt::Salt;
    use crate::laws::viscosity::brine_pa_s;
    use crate::laws::{assert_close, central_difference};
    use num_dual::{DualNum, first_derivative};

    /// Calcium at infinite dilution: 59.47 S cm2/eq (CRC) by the Nernst-Einstein relation.
    const CALCIUM: f64 = 7.918e-10;

    fn in_water<S: DualNum<Primitive = f64> + Copy>(temperature_k: S) -> S {
        ionic_m2_per_s(CALCIUM.into(), temperature_k, water_pa_s(temperature_k))
    }

    #[test]
    fn nothing_changes_in_water_at_25_c() {
        assert_close(in_water(298.15), CALCIUM, 1e-15);
    }

    #[test]
    fn ten_degrees_leave_about_two_thirds() {
        // The law, by the IAPWS viscosities 0.89002 and 1.30590 mPa s: 0.6473. Conductances of CaCl2 give 0.673 (R. B.
        // McCleskey 2011), so the law is 3.8 % low.
        assert_close(in_water(283.15) / CALCIUM, 0.6473, 1e-3);
        assert_close(in_water(283.15) / CALCIUM / 0.673, 0.962, 1e-3);
    }

    #[test]
    fn brine_slows_an_ion_by_its_viscosity() {
        // Viscosities of water and of 10 % NaCl at 25 C by the Laliberte model (library `thermo` 0.6.1).
        let brine = ionic_m2_per_s(CALCIUM, 298.15, brine_pa_s(Salt::SodiumChloride, 0.10, 298.15));
        assert_close(brine, CALCIUM * 0.89017 / 1.0635, 8e-3);
    }

    #[test]
    fn slope_is_that_of_the_value() {
        let (_, slope) = first_derivative(in_water, 288.0);
        assert_close(slope, central_difference(in_water, 288.0), 1e-8);
    }
}
