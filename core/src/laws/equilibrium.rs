//! Ion-exchange equilibrium: Gaines-Thomas exchanger fractions in the normality/capacity form, sodium as reference.
//!
//! ```text
//! K_i = (y_i / x_i) (x_1 / y_1)^z_i (N / Q)^(z_i - 1)
//! ```
//!
//! y, x equivalent fractions in resin and solution, N \[eq/L\] of solution, Q \[eq/L\] of packed bed, z charge.
//! G. L. Gaines, H. C. Thomas (1953), J. Chem. Phys. 21, 714 (their fractions read in the theory guide of a code for reactive
//! transport); normality/capacity form as in M. L. Davis (2010), *Water and Wastewater Engineering*, eq. 8-7 and 8-15.
//!
//! With rho = q_1/C_1, the loading of the reference ion over its concentration, the same law reads
//!
//! ```text
//! q_i = K_i rho^z_i C_i
//! ```
//!
//! in which N and Q no longer stand: sum q_i = Q fixes rho, and ions couple through rho alone.

use num_dual::DualNum;

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::laws::activity::{Activity, ActivityLaw};

/// Iterations after which the bracketing search must have ended; it takes one to three.
const MOST_ITERATIONS: u32 = 200;
/// A correction of ln rho below this is the last: third order leaves an error of its cube.
const LAST_CORRECTION: f64 = 1e-4;
/// Steps of ln rho are cut to this length.
const LONGEST_CORRECTION: f64 = 2.0;

/// rho^z for z = 1 or 2.
#[inline(always)]
pub fn power<S: DualNum<Primitive = f64> + Copy>(rho: S, valence: u32) -> S {
    if valence == 1 { rho } else { rho * rho }
}

/// The ratio rho at which a partly held set of ions fills the capacity.
///
/// Solves, for rho > 0, the monotone scalar equation
///
/// ```text
/// sum_i m_i supply_i / (held_i + coupling_i m_i) = Q,    m_i = K_i rho^z_i
/// ```
///
/// With held = 1, coupling = 0 it is plain equilibrium with concentrations `supply`; with the two resistances of film
/// and bead, or a whole implicit cell, eliminated it keeps this form. Halley's method in ln rho from `guess`, bracketed:
/// with t = held/(held + coupling m), a term L has the derivatives z L t and z^2 L t (2 t - 1) in ln rho.
/// Returns rho and the iterations used; `None` if no positive rho exists (no supply, or not enough).
#[inline]
pub fn solve_ratio<S: DualNum<Primitive = f64> + Copy, const N: usize>(
    supply: &[S; N],
    held: &[S; N],
    coupling: &[S; N],
    selectivity: &[S; N],
    valence: &[u32; N],
    capacity: S,
    guess: f64,
) -> Option<(S, u32)> {
    let mut rho = S::from(guess);
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    let mut iterations = 0;
    loop {
        iterations += 1;
        let mut sum = S::from(0.0);
        let mut slope = S::from(0.0);
        let mut curvature = S::from(0.0);
        for i in 0..N {
            let m = selectivity[i] * power(rho, valence[i]);
            let inverse = (held[i] + coupling[i] * m).recip();
            let loading = m * supply[i] * inverse;
            let free = held[i] * inverse;
            let first = loading * free * f64::from(valence[i]);
            sum += loading;
            slope += first;
            curvature += first * (free * 2.0 - 1.0) * f64::from(valence[i]);
        }
        let newton = (capacity - sum) / slope;
        let size = newton.re().abs();
        if size < LAST_CORRECTION {
            // Halley's correction, and exp of it to third order.
            let halley = newton / (newton * curvature / slope * 0.5 + 1.0);
            return Some((rho * (halley * (halley * (halley / 3.0 + 1.0) * 0.5 + 1.0) + 1.0), iterations));
        }
        if newton.re() > 0.0 {
            low = rho.re()
        } else {
            high = rho.re()
        }
        if iterations > MOST_ITERATIONS || low > 1e150 || high < 1e-150 {
            return None;
        }
        let next = if size < 0.3 {
            let halley = newton / (newton * curvature / slope * 0.5 + 1.0);
            rho * (halley * (halley * 0.5 + 1.0) + 1.0)
        } else {
            rho * S::from(newton.re().clamp(-LONGEST_CORRECTION, LONGEST_CORRECTION).exp())
        };
        rho = if next.re() > low && next.re() < high {
            next
        } else if low > 0.0 && high.is_finite() {
            S::from((low * high).sqrt())
        } else if low > 0.0 {
            S::from(low * 8.0)
        } else {
            S::from(high / 8.0)
        };
    }
}

/// Loading \[eq per litre of bed\] in equilibrium with concentrations \[eq/L\], and rho.
///
/// `None` if every concentration is zero.
pub fn loading_from_solution<S: DualNum<Primitive = f64> + Copy, const N: usize>(
    concentration: &[S; N],
    selectivity: &[S; N],
    valence: &[u32; N],
    capacity: S,
) -> Option<([S; N], S)> {
    let ones = [S::from(1.0); N];
    let total: f64 = concentration.iter().map(|c| c.re()).sum();
    let guess = capacity.re() / total.max(f64::MIN_POSITIVE);
    let (rho, _) = solve_ratio(concentration, &ones, &[S::from(0.0); N], selectivity, valence, capacity, guess)?;
    Some((std::array::from_fn(|i| selectivity[i] * power(rho, valence[i]) * concentration[i]), rho))
}

/// Concentrations \[eq/L\] of a solution of normality N in equilibrium with a loading \[eq per litre of bed\], and rho.
///
/// The mirror equation, sum q_i / (K_i rho^z_i) = N, is monotone in 1/rho. `None` if the loading is empty.
pub fn solution_from_loading<S: DualNum<Primitive = f64> + Copy, const N: usize>(
    loading: &[S; N],
    selectivity: &[S; N],
    valence: &[u32; N],
    normality: S,
) -> Option<([S; N], S)> {
    let ones = [S::from(1.0); N];
    let inverse: [S; N] = std::array::from_fn(|i| selectivity[i].recip());
    let total: f64 = loading.iter().map(|q| q.re()).sum();
    let guess = normality.re() / total.max(f64::MIN_POSITIVE);
    let (reciprocal, _) = solve_ratio(loading, &ones, &[S::from(0.0); N], &inverse, valence, normality, guess)?;
    Some((std::array::from_fn(|i| inverse[i] * power(reciprocal, valence[i]) * loading[i]), reciprocal.recip()))
}

/// A table of (ion, eq/L, K against sodium) with the apparent K of this solution, all chlorides, in the place of K.
///
/// # Errors
/// [`Error::Value`] for a concentration or coefficient that is not a number above 0, or an ion or an ionic strength that
/// the law does not hold for.
pub fn apparent_selectivities(
    solution: &[(Ion, f64, f64)],
    law: ActivityLaw,
    temperature_k: f64,
) -> Result<Vec<(Ion, f64, f64)>> {
    let total = checked_total(solution)?;
    // The reference and the anion come first, so that sodium is there even where the solution has none.
    let of = |ion: Ion| solution.iter().filter(|row| row.0 == ion).map(|row| row.1).sum::<f64>();
    let others = || solution.iter().filter(|row| row.0 != Ion::NA);
    let ions: Vec<Ion> = [Ion::NA, Ion::CL].into_iter().chain(others().map(|row| row.0)).collect();
    let liquid: Vec<f64> = [of(Ion::NA), total].into_iter().chain(others().map(|row| row.1)).collect();
    let factors = Activity::of_themselves(law, &ions)?.exchange_factors(&liquid, temperature_k)?;
    let factor = |ion: Ion| ions.iter().zip(factors).find(|(known, _)| **known == ion).map_or(1.0, |(_, f)| f);
    Ok(solution.iter().map(|(ion, c, k)| (*ion, *c, k * factor(*ion))).collect())
}

/// Resin fractions y in equilibrium with a solution: a table of (ion, eq/L, K against sodium) for any number of ions.
///
/// # Errors
/// [`Error::Value`] for a concentration, coefficient or capacity that is not a number above 0.
pub fn resin_fractions(solution: &[(Ion, f64, f64)], capacity_eq_per_l: f64) -> Result<Vec<(Ion, f64)>> {
    positive("capacity_eq_per_l".into(), capacity_eq_per_l)?;
    let total = checked_total(solution)?;
    // The solver takes arrays of fixed size: absent ions are rows of zero.
    const MOST: usize = 10;
    if solution.len() > MOST {
        return Err(Error::value("solution", solution.len(), "holds at most 10 cations"));
    }
    let (mut c, mut k, mut z) = ([0.0; MOST], [1.0; MOST], [1; MOST]);
    for (i, (ion, concentration, coefficient)) in solution.iter().enumerate() {
        (c[i], k[i], z[i]) = (*concentration, *coefficient, ion.valence());
    }
    let (loading, _) = loading_from_solution(&c, &k, &z, capacity_eq_per_l)
        .ok_or_else(|| Error::value("solution", total, "no equilibrium was found"))?;
    Ok(solution.iter().zip(loading).map(|((ion, ..), q)| (*ion, q / capacity_eq_per_l)).collect())
}

fn positive(field: String, v: f64) -> Result<()> {
    if v.is_finite() && v > 0.0 { Ok(()) } else { Err(Error::value(field, v, "must be a number above 0")) }
}

/// The normality of a table, every row checked.
fn checked_total(solution: &[(Ion, f64, f64)]) -> Result<f64> {
    let total: f64 = solution.iter().map(|(_, c, _)| c).sum();
    positive("solution".into(), total)?;
    for (ion, c, k) in solution {
        positive(format!("selectivity.{ion}"), *k)?;
        if !(c.is_finite() && *c >= 0.0) {
            return Err(Error::value(format!("solution.{ion}"), c, "must be a number from 0 eq/L"));
        }
    }
    Ok(total)
}

#[cfg(test)]
mod tests {
    use super::*;
    use num_dual::Dual64;

    fn calcium_fraction(normality: f64, x: f64, k: f64, capacity: f64) -> f64 {
        let solution = [(Ion::NA, normality * (1.0 - x), 1.0), (Ion::CA, normality * x, k)];
        resin_fractions(&solution, capacity).unwrap()[1].1
    }

    /// Mass action with K = 2.606, Q = 2.0 eq/L, ideal activities; the closed quadratic evaluated independently.
    #[test]
    fn the_table_of_resin_fractions() {
        for (n, row) in [
            (0.005, [0.87678, 0.94611, 0.97834, 0.99310]),
            (0.01, [0.83042, 0.92465, 0.96950, 0.99025]),
            (0.1, [0.55973, 0.78102, 0.90673, 0.96950]),
            (1.0, [0.18963, 0.46543, 0.73454, 0.90673]),
            (4.0, [0.06333, 0.23703, 0.54337, 0.82236]),
        ] {
            for (x, printed) in [0.05, 0.2, 0.5, 0.8].into_iter().zip(row) {
                let y = calcium_fraction(n, x, 2.606, 2.0);
                assert!((y - printed).abs() < 6e-6, "N {n}, x {x}: {y} against {printed}");
            }
        }
    }

    /// Selectivity reverses at N = K Q: there the separation factor is 1 whatever the composition (algebra).
    #[test]
    fn separation_factor_is_one_at_n_equal_k_q() {
        for x in [0.01, 0.3, 0.7, 0.99] {
            let y = calcium_fraction(2.606 * 2.0, x, 2.606, 2.0);
            assert!((y - x).abs() < 1e-12, "{x}: {y}");
        }
    }

    #[test]
    fn solution_and_loading_are_each_others_inverse() {
        let (k, z) = ([1.0, 1.4, 1.66, 2.6], [1, 1, 2, 2]);
        let c = [0.003, 0.0004, 0.001, 0.0035];
        let (q, rho) = loading_from_solution(&c, &k, &z, 1.9).unwrap();
        assert!((q.iter().sum::<f64>() - 1.9).abs() < 1e-12);
        let (back, again) = solution_from_loading(&q, &k, &z, c.iter().sum()).unwrap();
        assert!((rho / again - 1.0).abs() < 1e-10);
        for (a, b) in c.iter().zip(back) {
            assert!((a / b - 1.0).abs() < 1e-10);
        }
    }

    #[test]
    fn derivatives_come_from_the_same_code() {
        let y = |k: f64| calcium_fraction(0.01, 0.5, k, 2.0);
        let difference = (y(2.606 + 1e-5) - y(2.606 - 1e-5)) / 2e-5;
        let c = [Dual64::from(0.005), Dual64::from(0.005)];
        let k = [Dual64::from(1.0), Dual64::from(2.606).derivative()];
        let (q, _) = loading_from_solution(&c, &k, &[1, 2], Dual64::from(2.0)).unwrap();
        assert!((q[1].eps / 2.0 / difference - 1.0).abs() < 1e-6, "{} against {difference}", q[1].eps / 2.0);
    }
}
