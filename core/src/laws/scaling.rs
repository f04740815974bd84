//! Gypsum: can the waste of a sulfate water or of sulfate brine scale the bed?
//!
//! ```text
//! CaSO4.2H2O = Ca + SO4 + 2 H2O        SI = log10[ m_Ca g_Ca m_SO4 g_SO4 a_w^2 / Ksp ]        log10 Ksp = -4.581
//! ```
//!
//! SI saturation index: 0 at saturation, above 0 supersaturated; m molality \[mol/kg\], g molal activity coefficient, a_w
//! activity of water ([`crate::laws::activity`]). Ksp at 25 C is that of the standard chemical potentials of C. E. Harvie,
//! N. Moller, J. H. Weare (1984), Geochim. Cosmochim. Acta 48, 723, which belongs to their parameters (read in two files of
//! parameters of the geochemical code behind the library `phreeqpython`; other sets have -4.55 to -4.61 beside their own
//! parameters).
//!
//! # Temperature
//!
//! Ksp and coefficients are those of 25 C at every temperature. Measured solubilities (W. L. Marshall, R. Slusher 1966, J.
//! Phys. Chem. 70, 4015) are 14.0 mmol/kg in water at 10 C and 15.1 at 25 C: 7 % less, so that cold water is credited with
//! too much. In 2.9 mol/kg of sodium chloride the sign is the other, 57.6 mmol/kg at 15 C and 56.0 at 25 C. (log10 Ksp changes
//! by 0.004 between 10 and 25 C by the fit in `pitzer.dat` of `phreeqpython` 1.6.2, by 0.036 by another.) At 25 C the parameters meet the
//! measurements within 2.5 % up to 4.1 mol/kg of sodium chloride and are 8 % low at 6.2 (computed).
//!
//! # A caution
//!
//! SI says what may happen, not whether it will. Gypsum is slow to begin: a solution can stay supersaturated for longer
//! than a brine stays in a bed, and how long depends on SI, temperature, surfaces and additives (common practice, no
//! source). SI above 0 is a reason to look at dose, strength and time, SI below 0 is an answer.

use std::collections::BTreeMap;

use num_dual::DualNum;

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::laws::activity::{Activity, ActivityLaw};

/// log10 of the solubility product of gypsum at 25 C, molal.
pub const GYPSUM_LOG10_KSP: f64 = -4.581;

/// The strongest addition of gypsum \[mol/kg\] that [`gypsum_solubility`] looks for.
const MOST_GYPSUM: f64 = 1.0;

/// Saturation index of gypsum at molalities \[mol per kg of water\], one for each ion of `activity`.
///
/// Minus infinity without calcium or sulfate in the solution.
///
/// # Errors
/// [`Error::Value`] if calcium or sulfate is not among the ions, and as [`Activity::coefficients`].
pub fn gypsum_saturation_index<S: DualNum<Primitive = f64> + Copy>(activity: &Activity, molality: &[S]) -> Result<S> {
    let coefficients = activity.coefficients(molality)?;
    let mut ln = coefficients.ln_water_activity() * 2.0;
    for ion in [Ion::CA, Ion::SO4] {
        ln += coefficients.ln_gamma(ion)?;
        let held = activity.ions().iter().zip(molality).find(|(known, _)| **known == ion);
        ln += held.map_or(S::from(0.0), |(_, m)| *m).ln();
    }
    Ok(ln / std::f64::consts::LN_10 - GYPSUM_LOG10_KSP)
}

/// Gypsum \[mol per kg of water\] that dissolves in a solution of the given molalities until it is saturated, by Pitzer's
/// equations; below 0 what comes out of a supersaturated one.
///
/// # Errors
/// [`Error::Value`] for a molality that is not a number from 0, an ion without parameters, or no saturation up to 1
/// mol/kg.
pub fn gypsum_solubility(solution: &BTreeMap<Ion, f64>) -> Result<f64> {
    for (ion, m) in solution {
        if !(m.is_finite() && *m >= 0.0) {
            return Err(Error::value(format!("molality.{ion}"), m, "must be a number from 0 mol/kg"));
        }
    }
    let of = |ion: Ion| solution.get(&ion).copied().unwrap_or(0.0);
    let mut ions = vec![Ion::CA, Ion::SO4];
    ions.extend(solution.keys().filter(|ion| **ion != Ion::CA && **ion != Ion::SO4));
    let activity = Activity::new(ActivityLaw::Pitzer, &ions, &BTreeMap::new())?;
    let index = |dissolved: f64| {
        let at = |ion: &Ion| of(*ion) + if [Ion::CA, Ion::SO4].contains(ion) { dissolved } else { 0.0 };
        let molality: Vec<_> = ions.iter().map(at).collect();
        gypsum_saturation_index(&activity, &molality)
    };
    // SI rises from minus infinity as gypsum dissolves: halve until the last bit.
    let (mut low, mut high) = (-of(Ion::CA).min(of(Ion::SO4)), MOST_GYPSUM);
    if index(high)? < 0.0 {
        return Err(Error::value("molality", "this solution", "is not saturated with 1 mol/kg of gypsum"));
    }
    while high - low > 4.0 * f64::EPSILON * (low.abs() + high.abs()) {
        let middle = 0.5 * (low + high);
        if index(middle)? < 0.0 { low = middle } else { high = middle }
    }
    Ok(high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::{assert_close, central_difference};
    use num_dual::first_derivative;

    fn in_sodium_chloride(m: f64) -> f64 {
        gypsum_solubility(&BTreeMap::from([(Ion::NA, m), (Ion::CL, m)])).unwrap()
    }

    /// W. L. Marshall, R. Slusher (1966), J. Phys. Chem. 70, 4015: 15.1 mmol/kg in water at 25 C (read in the test data of the
    /// geochemical code behind `phreeqpython`); published values reach from 14.7 to 18.2 (Lebedev and Kosorukov 2017,
    /// Geochem. Int. 55, 205).
    #[test]
    fn gypsum_dissolves_in_water_as_published() {
        assert_close(gypsum_solubility(&BTreeMap::new()).unwrap(), 0.0151, 0.015);
    }

    /// The same measurements, mol/kg of sodium chloride and of gypsum at 25 C: the parameters meet them within 2.5 %, but for
    /// the strongest brine, where they are 8 % low.
    #[test]
    fn gypsum_dissolves_in_sodium_chloride_as_published() {
        for (sodium, gypsum) in [(2.02, 0.0540), (2.87, 0.0560), (4.13, 0.0560)] {
            assert_close(in_sodium_chloride(sodium), gypsum, 0.025);
        }
        assert_close(in_sodium_chloride(6.22) / 0.0481, 0.92, 0.01);
    }

    /// The same measurements: with sodium chloride it rises to a maximum of about 0.056 mol/kg near 3 mol/kg and falls again
    /// towards saturation.
    #[test]
    fn sodium_chloride_raises_solubility_to_a_maximum() {
        let strengths: Vec<_> = (0..=24).map(|i| f64::from(i) * 0.25).collect();
        let best = strengths.iter().map(|m| (*m, in_sodium_chloride(*m))).max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        assert!((2.0..=3.25).contains(&best.0), "{best:?}");
        assert_close(best.1, 0.055, 0.06);
        assert!(in_sodium_chloride(6.0) < 0.95 * best.1);
    }

    /// A common ion keeps gypsum out, and a supersaturated solution gives some back to the same end.
    #[test]
    fn saturation_is_reached_from_both_sides() {
        let sulfate = BTreeMap::from([(Ion::NA, 0.2), (Ion::SO4, 0.1)]);
        assert!(gypsum_solubility(&sulfate).unwrap() < gypsum_solubility(&BTreeMap::new()).unwrap());
        let full = BTreeMap::from([(Ion::NA, 1.0), (Ion::CL, 1.0), (Ion::CA, 0.08), (Ion::SO4, 0.08)]);
        let out = gypsum_solubility(&full).unwrap();
        assert!((out + 0.08 - in_sodium_chloride(1.0)).abs() < 1e-14, "{out}");
    }

    #[test]
    fn slopes_are_those_of_the_values() {
        let activity =
            Activity::new(ActivityLaw::Pitzer, &[Ion::NA, Ion::CA, Ion::CL, Ion::SO4], &BTreeMap::new()).unwrap();
        let index = |m: f64| gypsum_saturation_index(&activity, &[1.0, m, 0.9 + 2.0 * m, 0.05]).unwrap();
        let (_, slope) = first_derivative(
            |m| gypsum_saturation_index(&activity, &[1.0.into(), m, m * 2.0 + 0.9, 0.05.into()]).unwrap(),
            0.04,
        );
        assert_close(slope, central_difference(index, 0.04), 1e-7);
        assert_eq!(gypsum_saturation_index(&activity, &[1.0, 0.0, 1.0, 0.0]).unwrap(), f64::NEG_INFINITY);
    }

    #[test]
    fn what_cannot_be_answered_is_named() {
        let activity = Activity::new(ActivityLaw::Pitzer, &[Ion::NA, Ion::CA, Ion::CL], &BTreeMap::new()).unwrap();
        let error = gypsum_saturation_index(&activity, &[1.0, 0.1, 1.2]).unwrap_err().to_string();
        assert!(error.contains("SO4"), "{error}");
        let error = gypsum_solubility(&BTreeMap::from([(Ion::NA, -1.0)])).unwrap_err().to_string();
        assert_eq!(error, "molality.Na = -1: must be a number from 0 mol/kg");
    }
}
