//! Coefficients from published sets, and of a resin however its selectivity was given.
//!
//! A set ([`crate::inputs::selectivity_sets`]) is a table by column, `8` for 8 % divinylbenzene, say, of one of two kinds:
//!
//! - *relative*: affinities A on a scale of its own. A coefficient against sodium is read from it in one of two ways,
//!
//! ```text
//! quotient   K_i = A_i/A_Na          textbook practice
//! reaction   K_i = A_i/A_Na^z        if A_i is the constant of M + z LiR
//! ```
//!
//! which differ by A_Na, a factor 2, for a divalent ion. The file's `chained` is the one that is meant; a
//! caller may ask for the other.
//! The quotient is anchored at sodium: taken against potassium it would be another K than the one chained through sodium,
//! A_i/A_K against A_i A_Na/A_K^2. So this room gives coefficients against sodium alone, and
//! [`Coefficient::chained`](crate::laws::conventions::Coefficient::chained) changes the reference.
//! - *separation-factor*: alpha against sodium, which becomes a K only with a normality and a composition. A resin's
//!   `selectivity_at_eq_per_l` states the one; the other is then half the ion and half sodium, in equivalents.
//!
//! K is that of activities, at infinite dilution, unless `selectivity_at_eq_per_l` is given: it was then measured with
//! concentrations in such a solution of half the ion and half sodium, as chlorides, at that normality.

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::inputs::resin::{Resin, Selectivity, SelectivityBasis};
use crate::inputs::selectivity_sets::{Kind, Reading, SelectivitySet};
use crate::laws::conventions::{Capacity, Coefficient, Form, Scale, Solution};

/// Equivalent fraction of the ion in the solution that a coefficient is said to have been measured in.
pub const MEASURED_AT_FRACTION: f64 = 0.5;

impl SelectivitySet {
    /// The coefficient of an ion against sodium, by the set's own reading or another, on concentrations at a normality
    /// \[eq/L\] of the set's range. Without a normality it is on activities if the range begins at infinite dilution,
    /// else on concentrations at the upper end of the range.
    ///
    /// # Errors
    /// [`Error::Value`] as [`Self::printed`], for a normality outside the set's range, or for a set of separation factors,
    /// which need a composition ([`Coefficient::from_separation_factor`]).
    pub fn coefficient(
        &self,
        column: &str,
        ion: Ion,
        reading: Option<Reading>,
        normality_eq_per_l: Option<f64>,
    ) -> Result<Coefficient> {
        let (Kind::Relative, Some(basis), Some(reading)) = (self.kind, self.basis, reading.or(self.reading)) else {
            let limits =
                "holds separation factors: a coefficient needs the normality and composition they were taken at";
            return Err(Error::value("resin.selectivity", &self.name, limits));
        };
        let [lowest, highest] = self.normality_eq_per_l;
        let solution = match normality_eq_per_l {
            Some(given) => Solution::Concentrations { normality_eq_per_l: self.in_range(given)? },
            None if lowest == 0.0 => Solution::Activities,
            None => Solution::Concentrations { normality_eq_per_l: highest },
        };
        let sodium = self.printed(column, Ion::NA)?;
        let value = match reading {
            Reading::Quotient => self.printed(column, ion)? / sodium,
            // Of sodium against itself both readings are 1.
            Reading::Reaction => self.printed(column, ion)? / sodium.powi(ion.valence() as i32),
        };
        let scale = Scale { set: self.name.clone(), form: Form::NormalityCapacity(basis), solution };
        Coefficient::new(ion, Ion::NA, value, scale)
    }

    /// A normality, if it lies in the set's range.
    fn in_range(&self, normality_eq_per_l: f64) -> Result<f64> {
        let [lowest, highest] = self.normality_eq_per_l;
        if (lowest..=highest).contains(&normality_eq_per_l) {
            return Ok(normality_eq_per_l);
        }
        let limits = format!("{} holds from {lowest} to {highest} eq/L", self.name);
        Err(Error::value("resin.selectivity_at_eq_per_l", normality_eq_per_l, limits))
    }
}

impl Resin {
    /// K of an ion against sodium, per litre of bed, on the solution's scale it was measured on.
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion that has no coefficient; for a set of separation factors, asking for the normality
    /// at which they are to be read.
    pub fn coefficient_of(&self, ion: Ion) -> Result<Coefficient> {
        self.knows(ion)?;
        let capacity = Capacity { eq_per_l_of_bed: self.capacity_eq_per_l, void_fraction: self.void_fraction };
        let of_bed = Form::NormalityCapacity(SelectivityBasis::Bed);
        let stated = self.selectivity_at_eq_per_l;
        match &self.selectivity {
            Selectivity::Given(given) => {
                let solution = stated
                    .map_or(Solution::Activities, |normality_eq_per_l| Solution::Concentrations { normality_eq_per_l });
                let form = Form::NormalityCapacity(self.selectivity_basis);
                let scale = Scale { set: "given".into(), form, solution };
                let value = if ion == Ion::NA { 1.0 } else { given.get(&ion).copied().unwrap_or(f64::NAN) };
                Coefficient::new(ion, Ion::NA, value, scale)?.in_form(of_bed, capacity)
            }
            Selectivity::Named(name) => {
                let set = SelectivitySet::named(name)?;
                let column = set.column_for(self.crosslinking_percent)?;
                if set.kind == Kind::Relative {
                    return set.coefficient(column, ion, None, stated)?.in_form(of_bed, capacity);
                }
                let [lowest, highest] = set.normality_eq_per_l;
                let normality = stated.ok_or_else(|| {
                    let limits = format!(
                        "{name} holds separation factors: state the normality to read them at, {lowest} to {highest} eq/L"
                    );
                    Error::value("resin.selectivity_at_eq_per_l", "missing", limits)
                })?;
                let normality = set.in_range(normality)?;
                let alpha = set.printed(column, ion)?;
                let pair = (ion, Ion::NA);
                Coefficient::from_separation_factor(pair, alpha, MEASURED_AT_FRACTION, normality, name, capacity)
            }
        }
    }

    /// The number of [`Self::coefficient_of`].
    ///
    /// # Errors
    /// As [`Self::coefficient_of`].
    pub fn selectivity_of(&self, ion: Ion) -> Result<f64> {
        Ok(self.coefficient_of(ion)?.value())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::laws::assert_close;

    fn ion(symbol: &str) -> Ion {
        Ion::parse("ion", symbol).unwrap()
    }

    /// K of calcium as textbooks chain the scale, 5.16/1.98 = 2.61, 4.15/1.58 = 2.63, 7.27/2.37 = 3.07 (from memory), and
    /// 5.16/1.98^2 = 1.32 by the other reading (algebra).
    #[test]
    fn calcium_is_that_of_textbooks() {
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        for (column, k) in [("8", 2.61), ("4", 2.63), ("16", 3.07)] {
            assert!((set.coefficient(column, Ion::CA, None, None).unwrap().value() - k).abs() < 0.005, "{column}");
        }
        let other = set.coefficient("8", Ion::CA, Some(Reading::Reaction), None).unwrap();
        assert!((other.value() - 1.316).abs() < 0.0005);
        assert_eq!(set.coefficient("8", Ion::NA, Some(Reading::Reaction), None).unwrap().value(), 1.0);
    }

    /// A resin that names a set has its K on the beads, 1/(1 - eps) larger per litre of bed where the charge is 2.
    #[test]
    fn a_resin_reads_the_column_of_its_crosslinking() {
        let mut resin = Resin { selectivity: Selectivity::Named("BonnerSmith1957".into()), ..Resin::default() };
        assert_close(resin.selectivity_of(Ion::CA).unwrap(), 5.16 / 1.98 / 0.62, 1e-14);
        assert_close(resin.selectivity_of(Ion::K).unwrap(), 2.90 / 1.98, 1e-14);
        assert_eq!(resin.selectivity_of(Ion::NA).unwrap(), 1.0);
        resin.crosslinking_percent = Some(16.0);
        assert_close(resin.selectivity_of(Ion::CA).unwrap(), 7.27 / 2.37 / 0.62, 1e-14);
        // Measured dilute, it is the K of activities, unless it is said to be one of concentrations.
        assert_eq!(resin.coefficient_of(Ion::CA).unwrap().scale().solution, Solution::Activities);
        resin.selectivity_at_eq_per_l = Some(0.1);
        let stated = Solution::Concentrations { normality_eq_per_l: 0.1 };
        assert_eq!(resin.coefficient_of(Ion::CA).unwrap().scale().solution, stated);
        resin.selectivity_at_eq_per_l = Some(0.5);
        let refused = resin.coefficient_of(Ion::CA).unwrap_err().to_string();
        assert!(refused.contains("BonnerSmith1957 holds from 0 to 0.1 eq/L"), "{refused}");
    }

    /// Separation factors need the normality they are read at; at that one, half sodium, they come out again.
    #[test]
    fn separation_factors_are_read_at_a_normality() {
        let mut resin = Resin { selectivity: Selectivity::Named("Clifford1999".into()), ..Resin::default() };
        let refused = resin.coefficient_of(Ion::CA).unwrap_err().to_string();
        assert!(refused.starts_with("resin.selectivity_at_eq_per_l = missing: Clifford1999"), "{refused}");
        resin.selectivity_at_eq_per_l = Some(0.01);
        let capacity = Capacity { eq_per_l_of_bed: resin.capacity_eq_per_l, void_fraction: resin.void_fraction };
        for (ion, alpha) in [(Ion::CA, 1.9), (Ion::K, 1.67)] {
            let k = resin.coefficient_of(ion).unwrap();
            assert_close(k.separation_factor(MEASURED_AT_FRACTION, 0.01, capacity).unwrap(), alpha, 1e-9);
        }
    }

    /// Changing the reference through sodium is not the quotient to the new reference.
    #[test]
    fn a_quotient_is_anchored_at_sodium() {
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        let of = |ion, reading| set.coefficient("8", ion, Some(reading), None).unwrap();
        let against_potassium =
            |reading| of(Ion::CA, reading).chained(&of(Ion::K, reading).inverted()).unwrap().value();
        assert_close(against_potassium(Reading::Quotient), 5.16 * 1.98 / 2.90f64.powi(2), 1e-12);
        assert_close(against_potassium(Reading::Reaction), 5.16 / 2.90f64.powi(2), 1e-12);
    }

    #[test]
    fn what_a_set_does_not_hold_is_named() {
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        let iron = set.coefficient("8", ion("Fe"), None, None).unwrap_err().to_string();
        assert!(iron.starts_with("resin.selectivity.Fe = missing: BonnerSmith1957"), "{iron}");
        let column = set.coefficient("10", Ion::CA, None, None).unwrap_err().to_string();
        assert!(column.contains("16, 4, 8 (percent divinylbenzene)"), "{column}");
        let unknown = SelectivitySet::named("Nobody1900").unwrap_err().to_string();
        assert!(unknown.contains("BonnerSmith1957, Bonner1955, Clifford1999"), "{unknown}");
        let factors = SelectivitySet::named("Clifford1999").unwrap();
        assert_eq!(factors.printed("strong-acid", Ion::CA).unwrap(), 1.9);
        assert!(
            factors.coefficient("strong-acid", Ion::CA, None, None).unwrap_err().to_string().contains("separation")
        );
        // Two sets are not chained.
        let elsewhere = SelectivitySet::named("Bonner1955").unwrap().coefficient("8", Ion::K, None, None).unwrap();
        let calcium = set.coefficient("8", Ion::CA, None, None).unwrap();
        let refused = calcium.chained(&elsewhere.inverted()).unwrap_err().to_string();
        assert!(refused.contains("BonnerSmith1957") && refused.contains("Bonner1955"), "{refused}");
    }
}
