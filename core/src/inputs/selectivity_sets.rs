//! Published sets of selectivity coefficients, as data with their convention and validity.
//!
//! One file a set, `inputs/data/selectivity/NameYEAR.toml`. A set is a table by column, `8` for 8 % divinylbenzene, say, of
//! one of two kinds: *relative* affinities on a scale of its own, or *separation factors* against sodium.
//! [`crate::laws::selectivity_sets`] makes coefficients of them.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use brinefront_derive::Names;
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;

/// The files, in the order in which errors list them.
const FILES: [(&str, &str); 3] = [
    ("BonnerSmith1957", include_str!("data/selectivity/BonnerSmith1957.toml")),
    ("Bonner1955", include_str!("data/selectivity/Bonner1955.toml")),
    ("Clifford1999", include_str!("data/selectivity/Clifford1999.toml")),
];

/// Divinylbenzene in the usual gel resin for softening \[percent\] (common practice, no source).
pub(super) const USUAL_CROSSLINKING_PERCENT: f64 = 8.0;

/// Which volume the capacity in a selectivity coefficient is counted on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "resin.selectivity_basis")]
pub enum SelectivityBasis {
    /// Q in equivalents per litre of packed bed.
    #[default]
    Bed,
    /// Q in equivalents per litre of bead.
    Bead,
}

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

    /// Every set known here.
    ///
    /// # Errors
    /// [`Error::Text`] if an embedded file cannot be read.
    pub fn all() -> Result<&'static [Self]> {
        static READ: OnceLock<Result<Vec<SelectivitySet>>> = OnceLock::new();
        let read = READ.get_or_init(|| {
            let parse = |(name, text): &(&str, &str)| {
                toml::from_str(text).map_err(|e| Error::text(format!("{name}.toml"), e.to_string(), e))
            };
            FILES.iter().map(parse).collect()
        });
        read.as_deref().map_err(Clone::clone)
    }

    /// A set by its name.
    ///
    /// # Errors
    /// [`Error::Value`] listing the names; [`Error::Text`] if an embedded file cannot be read.
    pub fn named(name: &str) -> Result<&'static Self> {
        Self::all()?.iter().find(|set| set.name == name).ok_or_else(|| {
            let known: Vec<_> = Self::names().collect();
            Error::value("resin.selectivity", name, format!("not a set known here; known: {}", known.join(", ")))
        })
    }

    /// The keys of its columns.
    pub fn columns(&self) -> impl Iterator<Item = &str> {
        self.values.keys().map(String::as_str)
    }

    /// The key of the column for a degree of crosslinking \[percent divinylbenzene\]: the one given, else 8 %, else the
    /// only column there is.
    ///
    /// # Errors
    /// [`Error::Value`] listing the columns, for one that is not among them or none where there are several.
    pub fn column_for(&self, crosslinking_percent: Option<f64>) -> Result<&str> {
        let of = |percent: f64| self.columns().find(|key| key.parse::<f64>().is_ok_and(|known| known == percent));
        let only = || if self.values.len() == 1 { self.columns().next() } else { None };
        let found = match crosslinking_percent {
            Some(percent) => of(percent),
            None => of(USUAL_CROSSLINKING_PERCENT).or_else(only),
        };
        found.ok_or_else(|| {
            let known: Vec<_> = self.columns().collect();
            let given = crosslinking_percent.map_or_else(|| "none".to_string(), |percent| percent.to_string());
            let limits = format!("{} has the columns {} ({})", self.name, known.join(", "), self.columns);
            Error::value("resin.crosslinking_percent", given, limits)
        })
    }

    /// The ions of a column with what is printed for each; none for a column that the set does not have.
    pub fn rows(&self, column: &str) -> impl Iterator<Item = (Ion, f64)> {
        self.values.get(column).into_iter().flatten().map(|(ion, value)| (*ion, *value))
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
                format!(
                    "{} does not hold {}: take a set that holds it ({}), or give resin.selectivity a number of your own for each ion",
                    self.name,
                    ion.data().name,
                    Self::holding(ion)
                ),
            )
        })
    }

    /// Which sets known here hold an ion, in words.
    pub(super) fn holding(ion: Ion) -> String {
        let holds = |set: &&Self| set.values.values().any(|by_ion| by_ion.contains_key(&ion));
        // Factors hold for the strength that they were measured at alone: no advice for a whole cycle.
        let fit = |set: &&Self| set.kind == Kind::Relative;
        let names: Vec<String> =
            Self::all().unwrap_or_default().iter().filter(fit).filter(holds).map(|set| set.name.clone()).collect();
        if names.is_empty() {
            return "none known here does".to_string();
        }
        names.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
                for (ion, value) in set.rows(column) {
                    assert!(ion.is_cation() && value > 0.0, "{name} {column} {ion}");
                }
            }
        }
    }

    #[test]
    fn columns_are_found_by_crosslinking() {
        let set = SelectivitySet::named("Bonner1955").unwrap();
        assert_eq!(set.column_for(None).unwrap(), "8");
        assert_eq!(set.column_for(Some(10.0)).unwrap(), "10");
        let refused = set.column_for(Some(12.0)).unwrap_err().to_string();
        assert!(
            refused.starts_with("resin.crosslinking_percent = 12: Bonner1955 has the columns 10, 4, 8"),
            "{refused}"
        );
        let one = SelectivitySet::named("Clifford1999").unwrap();
        assert_eq!(one.column_for(None).unwrap(), "strong-acid");
        assert!(one.column_for(Some(8.0)).is_err());
    }
}
