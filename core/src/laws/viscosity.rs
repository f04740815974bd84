//! Dynamic viscosity of water and of the brines of the salts.
//!
//! Water, with t in degrees Celsius:
//!
//! ```text
//! log10(mu/mu20) = (20 - t)/(t + 96) * [1.2364 - 1.37e-3 (20 - t) + 5.7e-6 (20 - t)^2],   mu20 = 1.002 mPa s
//! ```
//!
//! J. Kestin, M. Sokolov, W. A. Wakeham (1978), J. Phys. Chem. Ref. Data 7, 941; formula read in a text that cites it. Within
//! 0.09 % of the form with four terms in J. Kestin, H. E. Khalifa, R. J. Correia (1981b) from 0 to 40 C. Against the
//! IAPWS formulation (library `iapws` 1.5.5) it is within 0.1 % from 0 to 40 C, 0.22 % at 60 C and 1.1 % at 80 C.
//!
//! A solution of weight fraction w has the viscosity of water at its temperature, times
//!
//! ```text
//! mu/mu_water = exp(w [c1 + c2 w + c3 w^2 + c4 w^3 + (t - 20) (d1 + d2 w + d3 (t - 20))])
//! ```
//!
//! Sodium chloride (d = 0): fitted to the model of M. Laliberte (2007), J. Chem. Eng. Data 52, 321, as the library `thermo`
//! 0.6.1 computes it at 20 C, from 0 to 26 %: residual at most 0.02 %. The model itself is known to about 2 %. That the ratio
//! does not depend on temperature costs at most 0.7 % from 15 to 25 C, 1.5 % from 10 to 30 C and 2.3 % from 5 to 40 C. Against
//! the measurements correlated by J. Kestin, H. E. Khalifa, R. J. Correia (1981b), J. Phys. Chem. Ref. Data 10, 71,
//! log10(mu/mu_w) = A(m) + B(m) log10(mu_w/1.002), it is -0.3 to 0.6 % off at 20 C, -0.8 % at 25 C and -2.2 % at 40 C, and
//! 1.1 % at 10 C, where theirs is extrapolated (computed).
//!
//! Potassium chloride thins cold water and thickens warm water, so here the ratio depends on temperature. Fitted to two models
//! together, 1 to 25 % and 5 to 40 C: Laliberte (2007) by `thermo` 0.6.1, and Mao & Duan (2009) by `aquasol` 1.8. They disagree
//! by up to 7 % in the cold and 3.4 % at 20 C; the fit lies between them, at most 3.7 % from either. Against measurements
//! (J. Kestin, H. E. Khalifa, R. J. Correia 1981a, J. Phys. Chem. Ref. Data 10, 57, known to 1 %, 25 to 150 C) it is 0.3 to
//! 1.7 % low at 25 C and 0.2 to 1.6 % low at 40 C (computed).

use crate::inputs::salt::Salt;
use crate::units::constants::ZERO_CELSIUS_K;
use num_dual::DualNum;

/// Viscosity of water at 20 C \[Pa s\].
const WATER_AT_20_C_PA_S: f64 = 1.002e-3;

/// The logarithm of a brine's viscosity over water's.
struct Thickening {
    /// c1 to c4.
    at_20_c: [f64; 4],
    /// d1, d2 \[1/K\] and d3 \[1/K2\]; `None` where the ratio does not depend on temperature.
    by_kelvin: Option<[f64; 3]>,
}

/// The coefficients of a salt.
fn thickening_of(salt: Salt) -> Thickening {
    match salt {
        Salt::SodiumChloride => Thickening { at_20_c: [1.2633, 4.8797, -5.4195, 24.277], by_kelvin: None },
        Salt::PotassiumChloride => {
            Thickening { at_20_c: [-0.17315, 0.81859, 3.3388, 0.0], by_kelvin: Some([0.025728, -0.031141, -1.0067e-4]) }
        }
    }
}

/// Viscosity of water \[Pa s\] at `temperature_k`, 273 to 313 K.
pub fn water_pa_s<S: DualNum<Primitive = f64> + Copy>(temperature_k: S) -> S {
    let t = temperature_k - ZERO_CELSIUS_K;
    let below_20_c = -t + 20.0;
    let bracket = below_20_c * (below_20_c * 5.7e-6 - 1.37e-3) + 1.2364;
    let log10 = below_20_c / (t + 96.0) * bracket;
    (log10 * std::f64::consts::LN_10).exp() * WATER_AT_20_C_PA_S
}

/// Viscosity of a salt's brine over that of water, for a weight fraction up to saturation.
pub fn brine_relative<S: DualNum<Primitive = f64> + Copy>(salt: Salt, weight_fraction: S, temperature_k: S) -> S {
    let Thickening { at_20_c: [c1, c2, c3, c4], by_kelvin } = thickening_of(salt);
    let w = weight_fraction;
    let mut a_weight = w * (w * (w * c4 + c3) + c2) + c1;
    if let Some([d1, d2, d3]) = by_kelvin {
        let above_20_c = temperature_k - 293.15;
        a_weight += above_20_c * (w * d2 + above_20_c * d3 + d1);
    }
    (w * a_weight).exp()
}

/// Viscosity of a salt's brine \[Pa s\].
pub fn brine_pa_s<S: DualNum<Primitive = f64> + Copy>(salt: Salt, weight_fraction: S, temperature_k: S) -> S {
    water_pa_s(temperature_k) * brine_relative(salt, weight_fraction, temperature_k)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    const NACL: Salt = Salt::SodiumChloride;

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
            assert_close(brine_relative(NACL, w, 293.15), at_20 / 1.00215, 2e-4);
            assert_close(brine_pa_s(NACL, w, 293.15), at_20 * 1e-3, 5e-4);
            assert_close(brine_pa_s(NACL, w, 298.15), at_25 * 1e-3, 8e-3);
        }
        // The same model at 10 C.
        assert_close(brine_pa_s(NACL, 0.10, 283.15), 1.5332e-3, 1.5e-2);
        assert_close(brine_pa_s(NACL, 0.20, 283.15), 2.0126e-3, 1.5e-2);
    }

    #[test]
    fn solutions_agree_with_other_published_models_within_their_spread() {
        // Computed: Mao & Duan by `aquasol` 1.8, Melinder by `CoolProp` 8.0; these models differ by 3 % at 20 %.
        assert_close(brine_pa_s(NACL, 0.10, 293.15), 1.1987e-3, 1e-2);
        assert_close(brine_pa_s(NACL, 0.10, 293.15), 1.1933e-3, 1e-2);
        assert_close(brine_pa_s(NACL, 0.20, 293.15), 1.5813e-3, 2e-2);
        assert_close(brine_pa_s(NACL, 0.20, 293.15), 1.5319e-3, 2e-2);
    }

    #[test]
    fn salt_always_thickens() {
        assert_eq!(brine_relative(NACL, 0.0, 293.15), 1.0);
        for step in 0..264 {
            let w = f64::from(step) * 1e-3;
            assert!(first_derivative(|w| brine_relative(NACL, w, 293.15.into()), w).1 > 0.0);
        }
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let (_, by_temperature) = first_derivative(water_pa_s, 285.0);
        assert_close(by_temperature, central_difference(water_pa_s, 285.0), 1e-8);
        let (_, by_salt) = first_derivative(|w| brine_pa_s(NACL, w, 285.0.into()), 0.1);
        let expected = central_difference(|w| brine_pa_s(NACL, w, 285.0), 0.1);
        assert_close(by_salt, expected, 1e-8);
    }

    /// (weight %, mPa s at 20 C, at 25 C): the models of Laliberte (`thermo` 0.6.1) and of Mao & Duan (`aquasol` 1.8).
    #[test]
    fn potassium_chloride_lies_between_two_published_models() {
        let rows = [
            (2.0, [0.9969, 0.8883], [1.0012, 0.8907]),
            (5.0, [0.9908, 0.8867], [1.0021, 0.8934]),
            (10.0, [0.9868, 0.8890], [1.0078, 0.9017]),
            (15.0, [0.9928, 0.8993], [1.0205, 0.9163]),
            (20.0, [1.0112, 0.9197], [1.0431, 0.9399]),
            (25.0, [1.0448, 0.9528], [1.0800, 0.9764]),
        ];
        for (percent, low, high) in rows {
            for (t_k, (low, high)) in [293.15, 298.15].into_iter().zip(low.into_iter().zip(high)) {
                let found = brine_pa_s(Salt::PotassiumChloride, percent / 100.0, t_k) * 1e3;
                // The libraries' water differs by 0.02 % too.
                assert!(0.999 * low < found && found < 1.001 * high, "{percent} %: {found} in {low} to {high}");
                assert_close(found, low, 2.5e-2);
                assert_close(found, high, 2.5e-2);
            }
        }
    }

    /// Both models: 10 % at 5 C is thinner than water, at 40 C thicker.
    #[test]
    fn potassium_chloride_thins_cold_water_and_thickens_warm() {
        assert!(brine_relative(Salt::PotassiumChloride, 0.10, 278.15) < 0.99);
        assert!(brine_relative(Salt::PotassiumChloride, 0.10, 313.15) > 1.01);
        let law = |t| brine_pa_s(Salt::PotassiumChloride, 0.1.into(), t);
        let expected = central_difference(|t| brine_pa_s(Salt::PotassiumChloride, 0.1, t), 285.0);
        assert_close(first_derivative(law, 285.0).1, expected, 1e-8);
    }
}
