//! Published sets of selectivity coefficients, as data with their convention and validity.
//!
//! One file a set, `laws/data/selectivity/NameYEAR.toml`. A set is a table by column, `8` for 8 % divinylbenzene, say,
//! of one of two kinds:
//!
//! - *relative*: affinities A on a scale of its own. A coefficient against sodium is read from it in one of two ways,
//!
//! ```text
//! quotient   K_i = A_i/A_Na          textbook practice
//! reaction   K_i = A_i/A_Na^z        if A_i is the constant of M + z LiR
//! ```
//!
//! which differ by A_Na, a factor 2, for a divalent ion. The file says which is meant; a caller may ask for the other.
//! The quotient is anchored at sodium: taken against potassium it would be another K than the one chained through sodium,
//! A_i/A_K against A_i A_Na/A_K^2. So this room gives coefficients against sodium alone, and
//! [`Coefficient::chained`](crate::laws::conventions::Coefficient::chained) changes the reference.
//! - *separation-factor*: alpha against sodium, which becomes a K only with a normality and a composition.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::inputs::resin::SelectivityBasis;
use crate::laws::conventions::{Coefficient, Form, Scale, Solution};

/// The files, in the order in which errors list them.
const FILES: [(&str, &str); 3] = [
    ("BonnerSmith1957", include_str!("data/selectivity/BonnerSmith1957.toml")),
    ("Bonner1955", include_str!("data/selectivity/Bonner1955.toml")),
    ("Clifford1999", include_str!("data/selectivity/Clifford1999.toml")),
];

/// What the numbers of a set are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Affinities on a scale of the set's own.
    Relative,
    /// Separation factors against sodium.
    SeparationFactor,
}

/// How a coefficient against sodium is read from relative affinities.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reading {
    /// A_i/A_Na.
    Quotient,
    /// A_i/A_Na^z.
    Reaction,
}

/// A published set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SelectivitySet {
    /// First author and year, as a case names it.
    pub name: String,
    /// Where it was published.
    pub source: String,
    /// Whether the source was read.
    pub read: String,
    /// What its numbers are.
    pub kind: Kind,
    /// Volume that the capacity is counted on, for relative affinities.
    pub basis: Option<SelectivityBasis>,
    /// Temperature \[C\] of the measurements, where stated.
    pub temperature_c: Option<f64>,
    /// Range of normality \[eq/L\] it holds in; a lower end of 0 is infinite dilution.
    pub normality_eq_per_l: [f64; 2],
    /// What else limits it, in a sentence.
    pub validity: String,
    /// What a column's key means.
    pub columns: String,
    /// How coefficients are read from relative affinities.
    #[serde(rename = "chained")]
    pub reading: Option<Reading>,
    values: BTreeMap<String, BTreeMap<Ion, f64>>,
}

impl SelectivitySet {
    /// The names of the sets known here.
    pub fn names() -> impl Iterator<Item = &'static str> {
        FILES.iter().map(|(name, _)| *name)
    }

    /// A set by its name.
    ///
    /// # Errors
    /// [`Error::Value`] listing the names; [`Error::Text`] if an embedded file cannot be read.
    pub fn named(name: &str) -> Result<&'static Self> {
        static READ: OnceLock<Result<Vec<SelectivitySet>>> = OnceLock::new();
        let read = READ.get_or_init(|| {
            let parse = |(name, text): &(&str, &str)| {
                toml::from_str(text)
                    .map_err(|reason| Error::Text { source_name: format!("{name}.toml"), reason: reason.to_string() })
            };
            FILES.iter().map(parse).collect()
        });
        let sets = read.as_ref().map_err(Clone::clone)?;
        sets.iter().find(|set| set.name == name).ok_or_else(|| {
            let known: Vec<_> = Self::names().collect();
            Error::value("resin.selectivity", name, format!("not a set known here; known: {}", known.join(", ")))
        })
    }

    /// The keys of its columns.
    pub fn columns(&self) -> impl Iterator<Item = &str> {
        self.values.keys().map(String::as_str)
    }

    /// The number printed for an ion in a column.
    ///
    /// # Errors
    /// [`Error::Value`] naming the column or the ion that the set does not hold.
    pub fn printed(&self, column: &str, ion: Ion) -> Result<f64> {
        let by_ion = self.values.get(column).ok_or_else(|| {
            let known: Vec<_> = self.columns().collect();
            let limits = format!("{} has the columns {} ({})", self.name, known.join(", "), self.columns);
            Error::value("resin.selectivity.column", column, limits)
        })?;
        by_ion.get(&ion).copied().ok_or_else(|| {
            Error::value(
                format!("resin.selectivity.{ion}"),
                "missing",
                format!("{} does not hold {}: give its coefficient", self.name, ion.data().name),
            )
        })
    }

    /// The coefficient of an ion against sodium, by the set's own reading or another; on concentrations at the upper end
    /// of its range of normality.
    ///
    /// # Errors
    /// [`Error::Value`] as [`Self::printed`], or for a set of separation factors, which need a composition
    /// ([`Coefficient::from_separation_factor`]).
    pub fn coefficient(&self, column: &str, ion: Ion, reading: Option<Reading>) -> Result<Coefficient> {
        let (Kind::Relative, Some(basis), Some(reading)) = (self.kind, self.basis, reading.or(self.reading)) else {
            let limits =
                "holds separation factors: a coefficient needs the normality and composition they were taken at";
            return Err(Error::value("resin.selectivity", &self.name, limits));
        };
        let sodium = self.printed(column, Ion::NA)?;
        let value = match reading {
            Reading::Quotient => self.printed(column, ion)? / sodium,
            // Of sodium against itself both readings are 1.
            Reading::Reaction => self.printed(column, ion)? / sodium.powi(ion.valence() as i32),
        };
        let scale = Scale {
            set: self.name.clone(),
            form: Form::NormalityCapacity(basis),
            solution: Solution::Concentrations { normality_eq_per_l: self.normality_eq_per_l[1] },
        };
        Coefficient::new(ion, Ion::NA, value, scale)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inputs::resin::{Resin, Selectivity};
    use crate::laws::assert_close;
    use crate::laws::conventions::Capacity;

    fn ion(symbol: &str) -> Ion {
        Ion::parse("ion", symbol).unwrap()
    }

    #[test]
    fn every_file_says_its_name_and_holds_sodium() {
        for name in SelectivitySet::names() {
            let set = SelectivitySet::named(name).unwrap();
            assert_eq!(set.name, name);
            let [low, high] = set.normality_eq_per_l;
            assert!(0.0 <= low && low < high, "{name}");
            assert_eq!(set.kind == Kind::Relative, set.reading.is_some() && set.basis.is_some(), "{name}");
            for column in set.columns() {
                assert!(set.printed(column, Ion::NA).unwrap() > 0.0, "{name} {column}");
                for (ion, value) in &set.values[column] {
                    assert!(ion.is_cation() && *value > 0.0, "{name} {column} {ion}");
                }
            }
        }
    }

    /// K of calcium as textbooks chain the scale, 5.16/1.98 = 2.61, 4.15/1.58 = 2.63, 7.27/2.37 = 3.07 (from memory), and
    /// 5.16/1.98^2 = 1.32 by the other reading (algebra).
    #[test]
    fn calcium_is_that_of_textbooks() {
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        for (column, k) in [("8", 2.61), ("4", 2.63), ("16", 3.07)] {
            assert!((set.coefficient(column, Ion::CA, None).unwrap().value() - k).abs() < 0.005, "{column}");
        }
        let other = set.coefficient("8", Ion::CA, Some(Reading::Reaction)).unwrap();
        assert!((other.value() - 1.316).abs() < 0.0005);
        assert_eq!(set.coefficient("8", Ion::NA, Some(Reading::Reaction)).unwrap().value(), 1.0);
    }

    /// The set that a case knows by name is this file, ion for ion.
    #[test]
    fn a_case_reads_the_same_set() {
        let resin = Resin { selectivity: Selectivity::Named("BonnerSmith1957".into()), ..Resin::default() };
        let capacity = Capacity { eq_per_l_of_bed: resin.capacity_eq_per_l, void_fraction: resin.void_fraction };
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        for symbol in ["Na", "K", "NH4", "H", "Mg", "Ca", "Sr", "Ba", "Mn"] {
            let k = set.coefficient("8", ion(symbol), None).unwrap();
            let of_bed = k.in_form(Form::NormalityCapacity(SelectivityBasis::Bed), capacity).unwrap();
            assert_close(of_bed.value(), resin.selectivity_of(ion(symbol)).unwrap(), 1e-14);
        }
    }

    /// Changing the reference through sodium is not the quotient to the new reference.
    #[test]
    fn a_quotient_is_anchored_at_sodium() {
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        let of = |ion, reading| set.coefficient("8", ion, Some(reading)).unwrap();
        let against_potassium =
            |reading| of(Ion::CA, reading).chained(&of(Ion::K, reading).inverted()).unwrap().value();
        assert_close(against_potassium(Reading::Quotient), 5.16 * 1.98 / 2.90f64.powi(2), 1e-12);
        assert_close(against_potassium(Reading::Reaction), 5.16 / 2.90f64.powi(2), 1e-12);
    }

    #[test]
    fn what_a_set_does_not_hold_is_named() {
        let set = SelectivitySet::named("BonnerSmith1957").unwrap();
        let iron = set.coefficient("8", ion("Fe"), None).unwrap_err().to_string();
        assert!(iron.starts_with("resin.selectivity.Fe = missing: BonnerSmith1957"), "{iron}");
        let column = set.coefficient("10", Ion::CA, None).unwrap_err().to_string();
        assert!(column.contains("16, 4, 8 (percent divinylbenzene)"), "{column}");
        let unknown = SelectivitySet::named("Nobody1900").unwrap_err().to_string();
        assert!(unknown.contains("BonnerSmith1957, Bonner1955, Clifford1999"), "{unknown}");
        let factors = SelectivitySet::named("Clifford1999").unwrap();
        assert_eq!(factors.printed("strong-acid", Ion::CA).unwrap(), 1.9);
        assert!(factors.coefficient("strong-acid", Ion::CA, None).unwrap_err().to_string().contains("separation"));
        // Two sets are not chained.
        let elsewhere = SelectivitySet::named("Bonner1955").unwrap().coefficient("8", Ion::K, None).unwrap();
        let calcium = set.coefficient("8", Ion::CA, None).unwrap();
        let refused = calcium.chained(&elsewhere.inverted()).unwrap_err().to_string();
        assert!(refused.contains("BonnerSmith1957") && refused.contains("Bonner1955"), "{refused}");
    }
}
