//! Density of water and of sodium chloride solutions, and the concentrations that follow from it.
//!
//! Water, with t in degrees Celsius, at atmospheric pressure:
//!
//! ```text
//! rho_w = (999.83952 + 16.945176 t - 7.9870401e-3 t^2 - 46.170461e-6 t^3 + 105.56302e-9 t^4 - 280.54253e-12 t^5)
//!         / (1 + 16.879850e-3 t)        [kg/m3]
//! ```
//!
//! G. S. Kell (1975), J. Chem. Eng. Data 20, 97; formula from memory. Within 0.004 kg/m3 of IAPWS-95 (library `iapws`
//! 1.5.5) from 0 to 60 C.
//!
//! A solution of weight fraction w adds the excess
//!
//! ```text
//! rho - rho_w = w (a1 + a2 w + a3 w^2) + w (t - 20) [b1 + b2 (t - 20)]
//! ```
//!
//! fitted by least squares to two tables together, 1 to 26 % and 10 to 25 C: *Poradnik fizykochemiczny*, WNT
//! Warszawa (1974), and the model of M. Laliberte, W. E. Cooper (2004), J. Chem. Eng. Data 49, 1141, as the library
//! `thermo` 0.6.1 computes it at 20 and 25 C. The residual is at most 0.38 kg/m3 (0.032 %), where
//! the two tables themselves disagree by up to 0.53; from 0 to 40 C the result is within 0.31 kg/m3 of the model.
//!
//! The first table heads its two columns 15 C and 20 C. They differ by 3.5 kg/m3 at 10 %, where five kelvin account
//! for 1.8 (the same page gives 0.37 kg/m3 K), and the model at 15 C lies 0.9 to 3.0 kg/m3 below the first column,
//! while at 10 C it meets it within 0.5. The International Critical Tables, from memory, print those very values at
//! 10 C (1.00707 at 1 %, 1.07419 at 10 %). So the first column is taken here as 10 C.

use crate::units::constants::ZERO_CELSIUS_K;
use num_dual::DualNum;

/// The strongest sodium chloride solution there is at 20 C, as weight fraction: 6.136 mol per kg of water
/// (CRC Handbook, 98th ed., 2017). The tables end at 0.26; the fit carries the last step.
pub const SODIUM_CHLORIDE_SATURATION: f64 = 0.264;

/// a1 to a3 \[kg/m3\].
const EXCESS_AT_20_C: [f64; 3] = [708.5, 153.5, 229.3];

/// b1 \[kg/m3 K\] and b2 \[kg/m3 K2\].
const EXCESS_BY_KELVIN: [f64; 2] = [-1.4446, 0.01961];

/// Density of water \[kg/m3\] at `temperature_k`, 273 to 333 K.
pub fn water_kg_per_m3<S: DualNum<Primitive = f64> + Copy>(temperature_k: S) -> S {
    let t = temperature_k - ZERO_CELSIUS_K;
    let high = t * (t * (t * -280.54253e-12 + 105.56302e-9) - 46.170461e-6);
    let numerator = t * (t * (high - 7.9870401e-3) + 16.945176) + 999.83952;
    numerator / (t * 16.879850e-3 + 1.0)
}

/// Density of a sodium chloride solution \[kg/m3\], for a weight fraction up to saturation and 273 to 313 K.
pub fn sodium_chloride_kg_per_m3<S: DualNum<Primitive = f64> + Copy>(weight_fraction: S, temperature_k: S) -> S {
    let ([a1, a2, a3], [b1, b2]) = (EXCESS_AT_20_C, EXCESS_BY_KELVIN);
    let w = weight_fraction;
    let above_20_c = temperature_k - 293.15;
    let at_20_c = w * (w * a3 + a2) + a1;
    let by_temperature = above_20_c * (above_20_c * b2 + b1);
    water_kg_per_m3(temperature_k) + w * (at_20_c + by_temperature)
}

/// Sodium chloride in its solution \[mol/L\], from its weight fraction.
pub fn sodium_chloride_mol_per_l<S: DualNum<Primitive = f64> + Copy>(
    weight_fraction: S,
    temperature_k: S,
    molar_mass_kg_per_mol: f64,
) -> S {
    let density = sodium_chloride_kg_per_m3(weight_fraction, temperature_k);
    weight_fraction * density * (1e-3 / molar_mass_kg_per_mol)
}

/// Weight fraction of the sodium chloride solution that holds `mol_per_l`: the inverse of
/// [`sodium_chloride_mol_per_l`]. `None` if no solution does, below zero or beyond saturation.
pub fn sodium_chloride_weight_fraction(mol_per_l: f64, temperature_k: f64, molar_mass_kg_per_mol: f64) -> Option<f64> {
    let strongest = sodium_chloride_mol_per_l(SODIUM_CHLORIDE_SATURATION, temperature_k, molar_mass_kg_per_mol);
    if !(0.0..=strongest).contains(&mol_per_l) {
        return None;
    }
    let concentration = |w| sodium_chloride_mol_per_l(w, temperature_k.into(), molar_mass_kg_per_mol);
    let mut w = SODIUM_CHLORIDE_SATURATION;
    // Concentration is convex in w, so from the strong end Newton falls towards the root and never passes it: four
    // to seven steps reach the last bit, and the bound is there for the loop to end whatever the rounding does.
    for _ in 0..20 {
        let (value, slope) = num_dual::first_derivative(concentration, w);
        let step = (value - mol_per_l) / slope;
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

    const MOLAR_MASS: f64 = 58.443e-3;

    /// Weight %, kg/m3 in the first column (10 C, see the head of this file), kg/m3 and mol/L at 20 C:
    /// *Poradnik fizykochemiczny*, WNT Warszawa (1974).
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
            assert_close(sodium_chloride_kg_per_m3(w, 283.15), at_10, 4e-4);
            assert_close(sodium_chloride_kg_per_m3(w, 293.15), at_20, 4e-4);
            let molarity = sodium_chloride_mol_per_l(w, 293.15, MOLAR_MASS);
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
                let computed = sodium_chloride_kg_per_m3(percent / 100.0, t_c + 273.15);
                assert_close(computed, rho, 4e-4);
            }
        }
    }

    #[test]
    fn weight_fraction_is_the_inverse_of_molarity() {
        for t_k in [278.15, 293.15, 308.15] {
            for percent in 0..=26 {
                let w = f64::from(percent) / 100.0;
                let molarity = sodium_chloride_mol_per_l(w, t_k, MOLAR_MASS);
                let back = sodium_chloride_weight_fraction(molarity, t_k, MOLAR_MASS);
                assert!(back.is_some_and(|back| (back - w).abs() < 1e-15));
            }
        }
        for impossible in [-0.1, 5.5, f64::NAN, f64::INFINITY] {
            let none = sodium_chloride_weight_fraction(impossible, 293.15, MOLAR_MASS);
            assert_eq!(none, None);
        }
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let (_, by_salt) = first_derivative(|w| sodium_chloride_kg_per_m3(w, 290.0.into()), 0.1);
        let expected = central_difference(|w| sodium_chloride_kg_per_m3(w, 290.0), 0.1);
        assert_close(by_salt, expected, 1e-8);
        let (_, by_kelvin) = first_derivative(|t| sodium_chloride_kg_per_m3(0.1.into(), t), 293.15);
        let expected = central_difference(|t| sodium_chloride_kg_per_m3(0.1, t), 293.15);
        assert_close(by_kelvin, expected, 1e-7);
        // The handbook's page gives -0.37 kg/m3 K at 10 %.
        assert_close(by_kelvin, -0.37, 0.06);
    }
}
