//! Density of water and of the brines of the salts, and the concentrations that follow from it.
//!
//! Water, with t in degrees Celsius, at atmospheric pressure:
//!
//! ```text
//! rho_w = (999.83952 + 16.945176 t - 7.9870401e-3 t^2 - 46.170461e-6 t^3 + 105.56302e-9 t^4 - 280.54253e-12 t^5)
//!         / (1 + 16.879850e-3 t)        [kg/m3]
//! ```
//!
//! G. S. Kell (1975), J. Chem. Eng. Data 20, 97; constants read in two texts, one after the CRC Handbook, 61st ed., p. F-6
//! (a misprint, 16.897850e-3, is about; it costs 0.03 % at 25 C). Within 0.004 kg/m3 of IAPWS-95 (library `iapws` 1.5.5)
//! from 0 to 60 C.
//!
//! A solution of weight fraction w adds the excess
//!
//! ```text
//! rho - rho_w = w (a1 + a2 w + a3 w^2) + w (t - 20) [b1 + b2 (t - 20) + b3 w]
//! ```
//!
//! Sodium chloride (b3 = 0): fitted by least squares to two tables together, 1 to 26 % and 10 to 25 C: WNT (1974),
//! *Poradnik fizykochemiczny*, and the model of M. Laliberte, W. E. Cooper (2004), J. Chem. Eng. Data 49, 1141, as the library
//! `thermo` 0.6.1 computes it at 20 and 25 C. The residual is at most 0.38 kg/m3 (0.032 %), where
//! the two tables themselves disagree by up to 0.53; from 0 to 40 C the result is within 0.31 kg/m3 of the model.
//!
//! The first table heads its two columns 15 C and 20 C. They differ by 3.5 kg/m3 at 10 %, where five kelvin account
//! for 1.8 (the same page gives 0.37 kg/m3 K), and the model at 15 C lies 0.9 to 3.0 kg/m3 below the first column,
//! while at 10 C it meets it within 0.5. The International Critical Tables, from memory, print those very values at
//! 10 C (1.00707 at 1 %, 1.07419 at 10 %). So the first column is taken here as 10 C.
//!
//! Potassium chloride: fitted to two models together, 1 to 25 % and 0 to 40 C, that of Laliberte and Cooper by `thermo`
//! 0.6.1 and that of Al Ghafri et al. (2012) by `aquasol` 1.8; the residual is at most 0.40 kg/m3 (0.04 %), where the models
//! disagree by up to 0.75. Saturated brine above 18 C is stronger than that (28.6 % at 40 C) and is extrapolated. The fit is
//! kept in `tests/python/physics/reference_values/fit_potassium_chloride.py`.

use crate::inputs::salt::Salt;
use crate::units::constants::ZERO_CELSIUS_K;
use crate::units::convert::{milli, percent_to_fraction};
use num_dual::DualNum;

/// What a salt adds to the density of water.
struct Excess {
    /// a1 to a3 \[kg/m3\].
    at_20_c: [f64; 3],
    /// b1 \[kg/m3 K\], b2 \[kg/m3 K2\] and b3 \[kg/m3 K\].
    by_kelvin: [f64; 3],
}

/// The coefficients of a salt.
fn excess_of(salt: Salt) -> Excess {
    match salt {
        Salt::SodiumChloride => Excess { at_20_c: [708.5, 153.5, 229.3], by_kelvin: [-1.4446, 0.01961, 0.0] },
        Salt::PotassiumChloride => Excess { at_20_c: [628.77, 209.6, 63.127], by_kelvin: [-1.1103, 0.013823, 0.59599] },
    }
}

/// Density of water \[kg/m3\] at `temperature_k`, 273 to 333 K.
pub fn water_kg_per_m3<S: DualNum<Primitive = f64> + Copy>(temperature_k: S) -> S {
    let t = temperature_k - ZERO_CELSIUS_K;
    let high = t * (t * (t * -280.54253e-12 + 105.56302e-9) - 46.170461e-6);
    let numerator = t * (t * (high - 7.9870401e-3) + 16.945176) + 999.83952;
    numerator / (t * 16.879850e-3 + 1.0)
}

/// Density of a salt's brine \[kg/m3\], for a weight fraction up to saturation and 273 to 313 K.
pub fn brine_kg_per_m3<S: DualNum<Primitive = f64> + Copy>(salt: Salt, weight_fraction: S, temperature_k: S) -> S {
    let Excess { at_20_c: [a1, a2, a3], by_kelvin: [b1, b2, b3] } = excess_of(salt);
    let w = weight_fraction;
    let above_20_c = temperature_k - 293.15;
    let at_20_c = w * (w * a3 + a2) + a1;
    let by_temperature = above_20_c * (above_20_c * b2 + b1 + w * b3);
    water_kg_per_m3(temperature_k) + w * (at_20_c + by_temperature)
}

/// A salt in its brine \[eq/L\], from the brine's weight fraction.
pub fn brine_eq_per_l<S: DualNum<Primitive = f64> + Copy>(salt: Salt, weight_fraction: S, temperature_k: S) -> S {
    let density = brine_kg_per_m3(salt, weight_fraction, temperature_k);
    weight_fraction * density * (1e-3 / milli(salt.g_per_eq()))
}

/// Weight fraction of a salt's saturated brine at a temperature.
pub fn saturated_weight_fraction(salt: Salt, temperature_k: f64) -> f64 {
    percent_to_fraction(salt.saturation_percent(temperature_k - ZERO_CELSIUS_K))
}

/// Weight fraction of the brine that holds `eq_per_l` of a salt: the inverse of [`brine_eq_per_l`]. `None` if no brine
/// does, below zero or beyond saturation at that temperature.
pub fn brine_weight_fraction(salt: Salt, eq_per_l: f64, temperature_k: f64) -> Option<f64> {
    let strongest = saturated_weight_fraction(salt, temperature_k);
    let concentration = |w| brine_eq_per_l(salt, w, temperature_k.into());
    let most = brine_eq_per_l(salt, strongest, temperature_k);
    if !(0.0..=most).contains(&eq_per_l) {
        return None;
    }
    let mut w = strongest;
    // Concentration is convex in w, so from the strong end Newton falls towards the root and never passes it: four
    // to seven steps reach the last bit, and the bound is there for the loop to end whatever the rounding does.
    for _ in 0..20 {
        let (value, slope) = num_dual::first_derivative(concentration, w);
        let step = (value - eq_per_l) / slope;
        w -= step;
        if step.abs() <= 4.0 * f64::EPSILON * w {
            break;
        }
    }
    Some(w.max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    const NACL: Salt = Salt::SodiumChloride;

    /// Weight %, kg/m3 in the first column (10 C, see the head of this file), kg/m3 and mol/L at 20 C:
    /// WNT (1974), *Poradnik fizykochemiczny*.
    const HANDBOOK: [(f64, f64, f64, f64); 14] = [
        (1.0, 1007.1, 1005.3, 0.1720),
        (2.0, 1014.4, 1012.2, 0.3464),
        (4.0, 1029.2, 1026.8, 0.7026),
        (6.0, 1044.1, 1041.3, 1.0688),
        (8.0, 1059.1, 1055.9, 1.4451),
        (10.0, 1074.2, 1070.7, 1.8317),
        (12.0, 1089.5, 1085.7, 2.2288),
        (14.0, 1104.9, 1100.9, 2.6367),
        (16.0, 1120.6, 1116.2, 3.0553),
        (18.0, 1136.4, 1131.9, 3.4855),
        (20.0, 1152.5, 1147.8, 3.9272),
        (22.0, 1168.9, 1164.0, 4.3808),
        (24.0, 1185.6, 1180.4, 4.8465),
        (26.0, 1202.5, 1197.2, 5.3251),
    ];

    #[test]
    fn water_agrees_with_iapws_95() {
        // Computed with the library `iapws` 1.5.5.
        let t_c = [5.0, 10.0, 15.0, 20.0, 25.0, 40.0];
        let rho = [999.967, 999.702, 999.103, 998.207, 997.048, 992.216];
        for (t_c, rho) in t_c.into_iter().zip(rho) {
            assert_close(water_kg_per_m3(t_c + 273.15), rho, 4e-6);
        }
    }

    #[test]
    fn solutions_agree_with_the_handbook() {
        for (percent, at_10, at_20, mol_per_l) in HANDBOOK {
            let w = percent / 100.0;
            assert_close(brine_kg_per_m3(NACL, w, 283.15), at_10, 4e-4);
            assert_close(brine_kg_per_m3(NACL, w, 293.15), at_20, 4e-4);
            let molarity = brine_eq_per_l(NACL, w, 293.15);
            assert_close(molarity, mol_per_l, 1e-3);
        }
    }

    #[test]
    fn solutions_agree_with_the_laliberte_model() {
        // Computed with `thermo` 0.6.1. At 5, 15 and 40 C nothing was fitted.
        let t_c = [5.0, 15.0, 20.0, 25.0, 40.0];
        let rows = [
            (2.0, [1014.58, 1013.36, 1012.32, 1011.02, 1005.87]),
            (5.0, [1036.88, 1035.14, 1033.86, 1032.36, 1026.73]),
            (10.0, [1075.07, 1072.41, 1070.75, 1068.91, 1062.49]),
            (15.0, [1114.50, 1110.90, 1108.85, 1106.67, 1099.51]),
            (20.0, [1155.11, 1150.54, 1148.11, 1145.60, 1137.77]),
            (25.0, [1196.81, 1191.28, 1188.47, 1185.65, 1177.23]),
        ];
        for (percent, densities) in rows {
            for (t_c, rho) in t_c.into_iter().zip(densities) {
                let computed = brine_kg_per_m3(NACL, percent / 100.0, t_c + 273.15);
                assert_close(computed, rho, 4e-4);
            }
        }
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let (_, by_salt) = first_derivative(|w| brine_kg_per_m3(NACL, w, 290.0.into()), 0.1);
        let expected = central_difference(|w| brine_kg_per_m3(NACL, w, 290.0), 0.1);
        assert_close(by_salt, expected, 1e-8);
        let (_, by_kelvin) = first_derivative(|t| brine_kg_per_m3(NACL, 0.1.into(), t), 293.15);
        let expected = central_difference(|t| brine_kg_per_m3(NACL, 0.1, t), 293.15);
        assert_close(by_kelvin, expected, 1e-7);
        // The handbook's page gives -0.37 kg/m3 K at 10 %.
        assert_close(by_kelvin, -0.37, 0.06);
    }

    /// kg/m3 at 20 C from 1 to 24 %: CRC Handbook, concentrative properties of aqueous solutions (from memory, not fitted).
    #[test]
    fn potassium_chloride_agrees_with_a_handbook() {
        let rows = [
            (1.0, 1004.6),
            (2.0, 1011.0),
            (4.0, 1023.9),
            (6.0, 1036.9),
            (8.0, 1050.0),
            (10.0, 1063.3),
            (12.0, 1076.8),
            (14.0, 1090.5),
            (16.0, 1104.3),
            (18.0, 1118.5),
            (20.0, 1132.8),
            (22.0, 1147.4),
            (24.0, 1162.3),
        ];
        for (percent, rho) in rows {
            assert_close(brine_kg_per_m3(Salt::PotassiumChloride, percent / 100.0, 293.15), rho, 3e-4);
        }
    }

    #[test]
    fn weight_fraction_is_the_inverse_of_normality_up_to_saturation() {
        for salt in Salt::ALL.iter().copied() {
            for t_k in [274.15, 293.15, 318.15] {
                let strongest = saturated_weight_fraction(salt, t_k);
                for part in 0..=20 {
                    let w = strongest * f64::from(part) / 20.0;
                    let back = brine_weight_fraction(salt, brine_eq_per_l(salt, w, t_k), t_k);
                    assert!(back.is_some_and(|back| (back - w).abs() < 1e-15), "{} {w}: {back:?}", salt.name());
                }
                let most = brine_eq_per_l(salt, strongest, t_k);
                for impossible in [-0.1, 1.001 * most, f64::NAN, f64::INFINITY] {
                    assert_eq!(brine_weight_fraction(salt, impossible, t_k), None);
                }
            }
        }
    }

    /// An equal dose of KCl brings 0.784 of the equivalents of NaCl (molar masses): at equal strength its brine is weaker in
    /// equivalents by that times the ratio of the densities (1063.2/1070.7 at 10 %, Laliberte model by `thermo` 0.6.1).
    #[test]
    fn brine_of_potassium_chloride_holds_fewer_equivalents() {
        let [sodium, potassium] =
            [Salt::SodiumChloride, Salt::PotassiumChloride].map(|salt| brine_eq_per_l(salt, 0.10, 293.15));
        assert_close(potassium / sodium, 58.443 / 74.551 * 1063.23 / 1070.75, 1e-3);
    }
}
