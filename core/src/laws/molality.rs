//! From concentrations per litre of solution to molalities per kilogram of water, and back.
//!
//! ```text
//! m_i = C_i/(|z_i| W)          W = rho_w [1 - sum_cations C_i v_i(N)]          v_i = a_i + b_i sqrt(N) + c_i N
//! ```
//!
//! C \[eq/L of solution\], N = sum of C over cations, W \[kg/L\] the water in a litre of solution, rho_w \[kg/L\] density
//! of pure water, v_i \[L/eq\] apparent volume of the chloride of cation i. The volumes of the salts of a mixture are
//! taken to add, each as in its own solution of the same normality. No density of the mixture is needed: it is W plus
//! the mass of the ions.
//!
//! v of NaCl, KCl, CaCl2 and MgCl2 is fitted to the density model of M. Laliberte, W. E. Cooper (2004), J. Chem. Eng.
//! Data 49, 1141, as the library `thermo` 0.6.1 computes it at 25 C from 2 to 26 % (KCl 25 %); W comes out within 4e-5.
//! Against the density law of sodium chloride ([`crate::laws::density`]) W is within 3e-4 at 25 C, 2e-3 from 20 to 30 C
//! and 6e-3 at 10 C, where salt takes up less room than is followed here; against five measured mixtures of KCl and
//! CaCl2 up to 6 eq/L, at 30 C, within 1.5e-3.
//!
//! What is assumed beyond: other divalent cations are as large as calcium, ammonium as potassium (9.1
//! mL/eq larger: W too high by 0.9 % at 1 eq/L), hydrogen as sodium; every anion is as large as chloride (sulfate is 10.9
//! mL/eq smaller, hydrogen carbonate 6.8 larger: 1.1 % and 0.7 % of W at 1 eq/L, 0 in a water with brine of chloride).
//! The differences are those of the ions' standard volumes in the database OBIGT of the library `CHNOSZ`. One percent of
//! W is one percent of m and 0.1 to 0.5 % of an activity coefficient.

use num_dual::DualNum;

use crate::inputs::ion::Ion;
use crate::laws::density::water_kg_per_m3;

/// Apparent volume of an equivalent of chloride: a \[mL/eq\], b \[mL/eq (L/eq)^0.5\], c \[mL L/eq2\].
type Volume = [f64; 3];

const SODIUM: Volume = [17.454, 0.682, 0.459];
const POTASSIUM: Volume = [27.775, 0.562, 0.589];
const CALCIUM: Volume = [11.130, 0.051, 0.499];
const MAGNESIUM: Volume = [9.047, 0.240, 0.443];

fn volume(cation: Ion) -> Volume {
    match cation.symbol() {
        "Na" | "H" => SODIUM,
        "K" | "NH4" => POTASSIUM,
        "Mg" => MAGNESIUM,
        _ => CALCIUM,
    }
}

/// Density of pure water \[kg/L\].
pub fn pure_water_kg_per_l<S: DualNum<Primitive = f64> + Copy>(temperature_k: S) -> S {
    water_kg_per_m3(temperature_k) * 1e-3
}

/// W/rho_w: the water in a litre of solution over that in a litre of pure water, from concentrations \[eq/L\] by ion,
/// cations and anions in any order. Anions count as chloride and add no volume of their own.
pub fn water_over_pure<S: DualNum<Primitive = f64> + Copy>(ions: &[Ion], concentration_eq_per_l: &[S]) -> S {
    let zero = S::from(0.0);
    let cations = || ions.iter().zip(concentration_eq_per_l).filter(|(ion, _)| ion.is_cation());
    let normality = cations().fold(zero, |sum, (_, c)| sum + *c);
    if normality.re() <= 0.0 {
        return S::from(1.0);
    }
    let root = normality.sqrt();
    let salts = cations().fold(zero, |sum, (ion, concentration)| {
        let [a, b, c] = volume(*ion);
        sum + *concentration * (root * (root * c + b) + a)
    });
    -salts * 1e-3 + 1.0
}

/// Molalities \[mol per kg of water\] from concentrations \[eq per litre of solution\], in the order of `ions`.
pub fn molality_from_equivalents<S: DualNum<Primitive = f64> + Copy>(
    ions: &[Ion],
    concentration_eq_per_l: &[S],
    temperature_k: S,
) -> Vec<S> {
    let water = water_over_pure(ions, concentration_eq_per_l) * pure_water_kg_per_l(temperature_k);
    ions.iter().zip(concentration_eq_per_l).map(|(ion, c)| *c / water / f64::from(ion.valence())).collect()
}

/// Concentrations \[eq per litre of solution\] from molalities \[mol per kg of water\], in the order of `ions`: the
/// inverse of [`molality_from_equivalents`]. `None` if no W is found, for molalities beyond any solution.
pub fn equivalents_from_molality(ions: &[Ion], molality: &[f64], temperature_k: f64) -> Option<Vec<f64>> {
    let pure = pure_water_kg_per_l(temperature_k);
    let equivalents: Vec<f64> = ions.iter().zip(molality).map(|(ion, m)| m * f64::from(ion.valence())).collect();
    // W = rho_w [1 - V(W m)] by Newton from pure water.
    let mut water = pure;
    for _ in 0..30 {
        let residual = |water| {
            let at: Vec<_> = equivalents.iter().map(|e| water * *e).collect();
            water_over_pure(ions, &at) * pure - water
        };
        let (value, slope) = num_dual::first_derivative(residual, water);
        let step = value / slope;
        water -= step;
        if step.abs() <= 4.0 * f64::EPSILON * water {
            return Some(equivalents.iter().map(|e| e * water).collect());
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::salt::Salt;
    use crate::laws::density::{brine_eq_per_l, brine_kg_per_m3};
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    /// Weight %, then kg/m3 at 25 C: model of Laliberte and Cooper (2004), library `thermo` 0.6.1.
    #[test]
    fn single_salts_are_those_of_the_density_model() {
        let percent = [2.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0, 25.0];
        let rows = [
            (Ion::NA, 58.443, [1011.02, 1032.36, 1054.14, 1068.91, 1083.87, 1106.67, 1145.60, 1185.65]),
            (Ion::K, 74.551, [1009.60, 1028.77, 1048.35, 1061.64, 1075.11, 1095.66, 1130.82, 1167.12]),
            (Ion::CA, 55.492, [1013.18, 1038.09, 1063.87, 1081.54, 1099.61, 1127.45, 1175.80, 1226.50]),
            (Ion::MG, 47.6055, [1013.31, 1038.32, 1064.06, 1081.62, 1099.50, 1126.88, 1173.98, 1222.71]),
        ];
        for (cation, g_per_eq, densities) in rows {
            for (percent, rho) in percent.into_iter().zip(densities) {
                let n = percent / 100.0 * rho / g_per_eq;
                let water = (1.0 - percent / 100.0) * rho * 1e-3;
                let fitted = water_over_pure(&[cation, Ion::CL], &[n, n]) * 0.997045;
                assert_close(fitted, water, 4e-5);
            }
        }
    }

    #[test]
    fn sodium_chloride_agrees_with_its_density_law() {
        for (t_k, within) in [(283.15, 6e-3), (293.15, 2e-3), (298.15, 3e-4), (303.15, 2e-3)] {
            for w in [0.02, 0.08, 0.14, 0.20, 0.26] {
                let n: f64 = brine_eq_per_l(Salt::SodiumChloride, w, t_k);
                let water = (1.0 - w) * brine_kg_per_m3(Salt::SodiumChloride, w, t_k) * 1e-3;
                let fitted = water_over_pure(&[Ion::NA, Ion::CL], &[n, n]) * pure_water_kg_per_l(t_k);
                assert_close(fitted, water, within);
            }
        }
    }

    /// m of KCl and CaCl2 and kg/L, measured at 303.15 K: Sci. Rep. 10, 2020, doi 10.1038/s41598-020-73484-4, Table 5.
    #[test]
    fn mixtures_agree_with_measured_densities() {
        let ions = [Ion::K, Ion::CA, Ion::CL];
        for (k, ca, rho) in
            [(0.5, 0.5, 1.0601), (2.0, 0.5, 1.1176), (1.0, 1.0, 1.1172), (0.5, 2.0, 1.1727), (1.0, 3.0, 1.2534)]
        {
            let molality = [k, ca, k + 2.0 * ca];
            let c = equivalents_from_molality(&ions, &molality, 303.15).unwrap();
            let water = c[0] / k;
            let mass = 1.0 + 1e-3 * (k * 74.551 + ca * 110.984);
            assert_close(water * mass, rho, 1.5e-3);
        }
    }

    #[test]
    fn molality_is_the_inverse_of_molarity() {
        let ions = [Ion::NA, Ion::CA, Ion::SO4, Ion::CL];
        for c in [[0.003, 0.004, 0.002, 0.005], [2.0, 0.8, 0.1, 2.7], [5.0, 0.2, 0.0, 5.2]] {
            let m = molality_from_equivalents(&ions, &c, 288.15);
            let back = equivalents_from_molality(&ions, &m, 288.15).unwrap();
            for (c, back) in c.into_iter().zip(back) {
                assert!((c - back).abs() < 1e-13, "{c} against {back}");
            }
        }
        assert_eq!(molality_from_equivalents(&ions, &[0.0; 4], 288.15), [0.0; 4]);
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let ions = [Ion::NA, Ion::CA];
        let (_, slope) = first_derivative(|c| water_over_pure(&ions, &[1.5.into(), c]), 0.7);
        assert_close(slope, central_difference(|c| water_over_pure(&ions, &[1.5, c]), 0.7), 1e-7);
    }
}
