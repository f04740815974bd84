//! Electrostatic mixing of ions of like sign and unequal charge.
//!
//! ```text
//! J(x) = x/4 - 1 + (1/x) int_0^inf [1 - exp(-(x/y) exp(-y))] y^2 dy
//! E-theta(I)  = z1 z2/(4 I) [J(x12) - J(x11)/2 - J(x22)/2],      x_ij = 6 |z_i z_j| A_phi sqrt(I)
//! E-theta'(I) = -E-theta/I + z1 z2/(8 I^2) [x12 J'(x12) - x11 J'(x11)/2 - x22 J'(x22)/2]
//! ```
//!
//! I ionic strength \[mol/kg\], E-theta \[kg/mol\], z charge numbers. K. S. Pitzer (1975), J. Solution Chem. 4, 249.
//!
//! J by the two Chebyshev series of C. E. Harvie as K. S. Pitzer (1991), *Activity Coefficients in Electrolyte
//! Solutions*, 2nd ed., ch. 3, Table B-1 prints them, read in the library `pytzer` 0.6.0. Within 2e-9 of the integral
//! for x from 0.01 to 100, which the tests evaluate. One series serves x below 1, the other x above.

use num_dual::DualNum;

/// Coefficients of Chebyshev polynomials in 4 x^(1/5) - 2 (twice the polynomial's argument), x < 1.
const BELOW_ONE: [f64; 21] = [
    1.925_154_014_814_667,
    -0.060_076_477_753_119,
    -0.029_779_077_456_514,
    -0.007_299_499_690_937,
    0.000_388_260_636_404,
    0.000_636_874_599_598,
    0.000_036_583_601_823,
    -0.000_045_036_975_204,
    -0.000_004_537_895_710,
    0.000_002_937_706_971,
    0.000_000_396_566_462,
    -0.000_000_202_099_617,
    -0.000_000_025_267_769,
    0.000_000_013_522_610,
    0.000_000_001_229_405,
    -0.000_000_000_821_969,
    -0.000_000_000_050_847,
    0.000_000_000_046_333,
    0.000_000_000_001_943,
    -0.000_000_000_002_563,
    -0.000_000_000_010_991,
];

/// The same in (40/9) x^(-1/10) - 22/9, x from 1.
const FROM_ONE: [f64; 21] = [
    0.628_023_320_520_852,
    0.462_762_985_338_493,
    0.150_044_637_187_895,
    -0.028_796_057_604_906,
    -0.036_552_745_910_311,
    -0.001_668_087_945_272,
    0.006_519_840_398_744,
    0.001_130_378_079_086,
    -0.000_887_171_310_131,
    -0.000_242_107_641_309,
    0.000_087_294_451_594,
    0.000_034_682_122_751,
    -0.000_004_583_768_938,
    -0.000_003_548_684_306,
    -0.000_000_250_453_880,
    0.000_000_216_991_779,
    0.000_000_080_779_570,
    0.000_000_004_558_555,
    -0.000_000_006_944_757,
    -0.000_000_002_849_257,
    0.000_000_000_237_816,
];

/// J and dJ/dx for x > 0.
pub(super) fn mixing_integral<S: DualNum<Primitive = f64> + Copy>(x: S) -> (S, S) {
    let (coefficients, z, dz_dx) = if x.re() < 1.0 {
        let root = x.powf(0.2);
        (&BELOW_ONE, root * 4.0 - 2.0, root / x * 0.8)
    } else {
        let root = x.powf(-0.1);
        (&FROM_ONE, root * (40.0 / 9.0) - 22.0 / 9.0, root / x * (-4.0 / 9.0))
    };
    // Clenshaw's recurrence, and the same differentiated.
    let zero = S::from(0.0);
    let (mut b, mut b1, mut b2) = (zero, zero, zero);
    let (mut d, mut d1, mut d2) = (zero, zero, zero);
    for coefficient in coefficients.iter().rev() {
        (b2, b1) = (b1, b);
        (d2, d1) = (d1, d);
        b = z * b1 - b2 + *coefficient;
        d = b1 + z * d1 - d2;
    }
    (x * 0.25 - 1.0 + (b - b2) * 0.5, dz_dx * (d - d2) * 0.5 + 0.25)
}

/// E-theta \[kg/mol\] and its slope in ionic strength, for a univalent and a divalent ion.
pub(super) fn one_and_two<S: DualNum<Primitive = f64> + Copy>(ionic_strength: S, root: S, a_phi: f64) -> (S, S) {
    let x = root * (6.0 * a_phi);
    let weighted = |charges: f64, weight: f64| {
        let x = x * charges;
        let (j, slope) = mixing_integral(x);
        (j * weight, x * slope * weight)
    };
    let ((j11, s11), (j12, s12), (j22, s22)) = (weighted(1.0, -0.5), weighted(2.0, 1.0), weighted(4.0, -0.5));
    let e = (j11 + j12 + j22) * 0.5 / ionic_strength;
    let slope = ((s11 + s12 + s22) * 0.25 / ionic_strength - e) / ionic_strength;
    (e, slope)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    /// J by its integral: the substitution y = exp(t) and the trapezoidal rule, which converges exponentially.
    fn by_quadrature(x: f64) -> f64 {
        let step = 2e-3;
        let integrand = |t: f64| {
            let y = t.exp();
            -(-(x / y) * (-y).exp()).exp_m1() * y * y * y
        };
        let sum: f64 = (-17_500..=2_500).map(|i| integrand(f64::from(i) * step)).sum();
        x / 4.0 - 1.0 + sum * step / x
    }

    #[test]
    fn the_series_are_the_integral() {
        for x in [0.01, 0.05, 0.3, 0.9, 0.999, 1.0, 1.5, 2.8, 7.0, 15.0, 40.0, 100.0] {
            let (series, integral) = (mixing_integral(x).0, by_quadrature(x));
            assert!((series - integral).abs() < 2e-9 * integral.max(1.0), "{x}: {series} against {integral}");
        }
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        for x in [0.02, 0.5, 3.0, 30.0] {
            let (_, slope) = mixing_integral(x);
            assert_close(slope, first_derivative(|x| mixing_integral(x).0, x).1, 1e-12);
            assert_close(slope, central_difference(|x| mixing_integral(x).0, x), 1e-6);
        }
        for i in [1e-3f64, 0.1, 4.0] {
            let (_, slope) = one_and_two(i, i.sqrt(), 0.392);
            assert_close(slope, first_derivative(|i| one_and_two(i, i.sqrt(), 0.392).0, i).1, 1e-8);
        }
    }

    /// Evaluated apart from this code by quadrature, A_phi 0.392.
    #[test]
    fn e_theta_of_a_univalent_and_a_divalent_ion() {
        for (i, expected) in [(1.3f64, -0.12703), (2.5, -0.09241), (3.5, -0.07833), (4.25, -0.07118)] {
            let (e, _) = one_and_two(i, i.sqrt(), 0.392);
            assert!((e - expected).abs() < 6e-6, "{i}: {e} against {expected}");
        }
    }
}
