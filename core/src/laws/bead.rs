//! Exchange inside a bead as a linear driving force, and its diffusivity at another temperature.
//!
//! ```text
//! kb = 15 D/R^2 = 60 D/d_p^2        D(T) = D25 exp[-(E/R_gas) (1/T - 1/298.15 K)]
//! ```
//!
//! with kb the bead rate \[1/s\], D the diffusivity in the bead \[m2/s\], d_p its diameter \[m\], E the
//! activation energy \[J/mol\]. Linear driving force: E. Glueckauf (1955), Trans. Faraday Soc. 51, 1540, read in a
//! transcription of the paper in the gallery of the library `pymrm`. Its 15 comes from the sphere's mean time of uptake,
//! R^2/(15 D); a sphere's own rate, steeper at first, is 15 at D t/R^2 = 0.022, 44 % loaded, and falls to pi^2.

use crate::units::constants::GAS_J_PER_MOL_K;
use num_dual::DualNum;

/// The temperature at which bead diffusivities are stated \[K\].
pub const STATED_AT_K: f64 = 298.15;

/// Default activation energy of diffusion in the bead \[J/mol\].
///
/// It rests on two recalled self-diffusivities of sodium in a sulfonated polystyrene of 8.6 % divinylbenzene, 9.4e-11
/// m2/s at 25 C and about 3.4e-11 at 0.3 C (G. E. Boyd, B. A. Soldano 1953, J. Am. Chem. Soc. 75, 6091; both from
/// memory), which give 27.9 kJ/mol. The two for zinc in the same resin, 6.3e-12 and 2.1e-12 (same source, from memory
/// too), give 30.2. None was found for calcium or magnesium.
pub const DEFAULT_ACTIVATION_J_PER_MOL: f64 = 28_000.0;

/// The rate of the linear driving force, in units of D/R^2.
pub const RATE_PER_DIFFUSION: f64 = 15.0;

/// Bead rate \[1/s\] of the linear driving force.
pub fn bead_rate_per_s<S: DualNum<Primitive = f64> + Copy>(diffusivity_m2_per_s: S, bead_diameter_m: S) -> S {
    diffusivity_m2_per_s * (4.0 * RATE_PER_DIFFUSION) / (bead_diameter_m * bead_diameter_m)
}

/// Diffusivity in the bead \[m2/s\] at `temperature_k`, from that at 25 C.
pub fn arrhenius<S: DualNum<Primitive = f64> + Copy>(
    diffusivity_25_c_m2_per_s: S,
    activation_j_per_mol: S,
    temperature_k: S,
) -> S {
    let inverse_kelvin = temperature_k.recip() - 1.0 / STATED_AT_K;
    diffusivity_25_c_m2_per_s * (-activation_j_per_mol / GAS_J_PER_MOL_K * inverse_kelvin).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    #[test]
    fn the_recalled_diffusivities_give_the_default_activation_energy() {
        // Sodium and zinc at 25 and 0.3 C, from memory: see DEFAULT_ACTIVATION_J_PER_MOL.
        let default = DEFAULT_ACTIVATION_J_PER_MOL;
        assert_close(arrhenius(9.4e-11, default, 273.45), 3.4e-11, 5e-3);
        assert_close(arrhenius(9.4e-11, 27_909.0, 273.45), 3.4e-11, 1e-5);
        assert_close(arrhenius(6.3e-12, 30_150.5, 273.45), 2.1e-12, 1e-5);
        assert_eq!(arrhenius(1.5e-11, default, 298.15), 1.5e-11);
    }

    #[test]
    fn the_rate_is_the_inverse_of_the_mean_uptake_time_of_a_sphere() {
        // J. Crank (1975), The Mathematics of Diffusion, p. 91: 1 - U = 6/pi^2 sum exp(-n^2 pi^2 D t/R^2)/n^2.
        let (diffusivity, diameter) = (1.5e-11, 0.6e-3);
        let radius: f64 = diameter / 2.0;
        let pi_squared = std::f64::consts::PI.powi(2);
        let moment: f64 = (1..2000).map(|n| 6.0 / (pi_squared * pi_squared * f64::from(n).powi(4))).sum();
        let mean_time_s = moment * radius.powi(2) / diffusivity;
        assert_close(bead_rate_per_s(diffusivity, diameter), 1.0 / mean_time_s, 1e-9);
        assert_close(bead_rate_per_s(diffusivity, diameter), 2.5e-3, 1e-12);
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let at = |t: f64| arrhenius(1.5e-11, 28_000.0, t);
        let (_, by_kelvin) = first_derivative(|t| arrhenius(1.5e-11.into(), 28_000.0.into(), t), 283.15);
        assert_close(by_kelvin, central_difference(at, 283.15), 1e-8);
        let (_, by_diameter) = first_derivative(|d| bead_rate_per_s(1.5e-11.into(), d), 6e-4);
        let expected = central_difference(|d| bead_rate_per_s(1.5e-11, d), 6e-4);
        assert_close(by_diameter, expected, 1e-8);
    }
}
