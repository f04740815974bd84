//! Dynamic viscosity of water and of sodium chloride solutions.
//!
//! Water, with t in degrees Celsius:
//!
//! ```text
//! log10(mu/mu20) = (20 - t)/(t + 96) * [1.2364 - 1.37e-3 (20 - t) + 5.7e-6 (20 - t)^2],   mu20 = 1.002 mPa s
//! ```
//!
//! J. Kestin, M. Sokolov, W. A. Wakeham (1978), J. Phys. Chem. Ref. Data 7, 941; formula from memory. Against the
//! IAPWS formulation (library `iapws` 1.5.5) it is within 0.1 % from 0 to 40 C, 0.22 % at 60 C and 1.1 % at 80 C.
//!
//! A solution of weight fraction w has the viscosity of water at its temperature, times
//!
//! ```text
//! mu/mu_water = exp(w (c1 + c2 w + c3 w^2 + c4 w^3))
//! ```
//!
//! fitted to the model of M. Laliberte (2007), J. Chem. Eng. Data 52, 321, as the library `thermo` 0.6.1 computes it
//! at 20 C, from 0 to 26 %: residual at most 0.02 %. The model itself is known to about 2 %. That the ratio does not
//! depend on temperature costs at most 0.7 % from 15 to 25 C, 1.5 % from 10 to 30 C and 2.3 % from 5 to 40 C.

use crate::units::constants::ZERO_CELSIUS_K;
use num_dual::DualNum;

/// Viscosity of water at 20 C \[Pa s\].
const WATER_AT_20_C_PA_S: f64 = 1.002e-3;

/// c1 to c4 of the solution's viscosity over water's.
const SODIUM_CHLORIDE: [f64; 4] = [1.2633, 4.8797, -5.4195, 24.277];

/// Viscosity of water \[Pa s\] at `temperature_k`, 273 to 313 K.
pub fn water_pa_s<S: DualNum<Primitive = f64> + Copy>(temperature_k: S) -> S {
    let t = temperature_k - ZERO_CELSIUS_K;
    let below_20_c = -t + 20.0;
    let bracket = below_20_c * (below_20_c * 5.7e-6 - 1.37e-3) + 1.2364;
    let log10 = below_20_c / (t + 96.0) * bracket;
    (log10 * std::f64::consts::LN_10).exp() * WATER_AT_20_C_PA_S
}

/// Viscosity of a sodium chloride solution over that of water, for a weight fraction up to 0.264 (saturation).
pub fn sodium_chloride_relative<S: DualNum<Primitive = f64> + Copy>(weight_fraction: S) -> S {
    let [c1, c2, c3, c4] = SODIUM_CHLORIDE;
    let w = weight_fraction;
    (w * (w * (w * (w * c4 + c3) + c2) + c1)).exp()
}

/// Viscosity of a sodium chloride solution \[Pa s\].
pub fn sodium_chloride_pa_s<S: DualNum<Primitive = f64> + Copy>(weight_fraction: S, temperature_k: S) -> S {
    water_pa_s(temperature_k) * sodium_chloride_relative(weight_fraction)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    #[test]
    fn water_agrees_with_the_iapws_formulation() {
        // Computed with the library `iapws` 1.5.5; 25 C also by `thermo` 0.6.1 (0.89017 mPa s).
        for (t_c, mpa_s) in [
            (0.0, 1.79176),
            (5.0, 1.51817),
            (10.0, 1.30590),
            (15.0, 1.13757),
            (20.0, 1.00160),
            (25.0, 0.89002),
            (30.0, 0.79722),
            (40.0, 0.65273),
        ] {
            assert_close(water_pa_s(t_c + 273.15), mpa_s * 1e-3, 1e-3);
        }
        assert_close(water_pa_s(298.15), 0.89017e-3, 1e-4);
    }

    #[test]
    fn solutions_agree_with_the_laliberte_model() {
        // (weight %, mPa s at 20 C, mPa s at 25 C), computed with `thermo` 0.6.1.
        let rows = [
            (2.0, 1.0298, 0.9161),
            (5.0, 1.0799, 0.9626),
            (8.0, 1.1419, 1.0194),
            (10.0, 1.1905, 1.0635),
            (12.0, 1.2457, 1.1133),
            (15.0, 1.3436, 1.2009),
            (20.0, 1.5612, 1.3937),
            (25.0, 1.8837, 1.6761),
            (26.0, 1.9661, 1.7478),
        ];
        for (percent, at_20, at_25) in rows {
            let w = percent / 100.0;
            assert_close(sodium_chloride_relative(w), at_20 / 1.00215, 2e-4);
            assert_close(sodium_chloride_pa_s(w, 293.15), at_20 * 1e-3, 5e-4);
            assert_close(sodium_chloride_pa_s(w, 298.15), at_25 * 1e-3, 8e-3);
        }
        // The same model at 10 C.
        assert_close(sodium_chloride_pa_s(0.10, 283.15), 1.5332e-3, 1.5e-2);
        assert_close(sodium_chloride_pa_s(0.20, 283.15), 2.0126e-3, 1.5e-2);
    }

    #[test]
    fn solutions_agree_with_other_published_models_within_their_spread() {
        // Computed: Mao & Duan by `aquasol` 1.8, Melinder by `CoolProp` 8.0; these models differ by 3 % at 20 %.
        assert_close(sodium_chloride_pa_s(0.10, 293.15), 1.1987e-3, 1e-2);
        assert_close(sodium_chloride_pa_s(0.10, 293.15), 1.1933e-3, 1e-2);
        assert_close(sodium_chloride_pa_s(0.20, 293.15), 1.5813e-3, 2e-2);
        assert_close(sodium_chloride_pa_s(0.20, 293.15), 1.5319e-3, 2e-2);
    }

    #[test]
    fn salt_always_thickens() {
        assert_eq!(sodium_chloride_relative(0.0), 1.0);
        for step in 0..264 {
            let w = f64::from(step) * 1e-3;
            assert!(first_derivative(sodium_chloride_relative, w).1 > 0.0);
        }
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let (_, by_temperature) = first_derivative(water_pa_s, 285.0);
        assert_close(by_temperature, central_difference(water_pa_s, 285.0), 1e-8);
        let (_, by_salt) = first_derivative(|w| sodium_chloride_pa_s(w, 285.0.into()), 0.1);
        let expected = central_difference(|w| sodium_chloride_pa_s(w, 285.0), 0.1);
        assert_close(by_salt, expected, 1e-8);
    }
}
