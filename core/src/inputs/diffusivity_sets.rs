//! Published sets of diffusivities inside beads, as data with their conditions and validity.
//!
//! One file a set, `inputs/data/diffusivity/NameYEAR.toml`, of one of three kinds: measured *self-diffusion* by column and
//! ion, an *inference* of the same shape with the reason of each number, or *obstruction*, which is no table but a rule.
//! [`crate::laws::diffusivity_sets`] makes a resin's diffusivities of them.
//!
//! No set was chosen, nor any number in one, for what a bed does with it. The activation energies in a set are told for
//! comparison: what a case takes is its resin's own.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::ion::Ion;
use crate::inputs::selectivity_sets::USUAL_CROSSLINKING_PERCENT;

/// The files, in the order in which errors list them.
const FILES: [(&str, &str); 4] = [
    ("BoydSoldano1953", include_str!("data/diffusivity/BoydSoldano1953.toml")),
    ("Oancea2006", include_str!("data/diffusivity/Oancea2006.toml")),
    ("AboutTenthOfSodium", include_str!("data/diffusivity/AboutTenthOfSodium.toml")),
    ("MackieMeares1955", include_str!("data/diffusivity/MackieMeares1955.toml")),
];

/// How far the nearest column may be from a resin's crosslinking \[percent divinylbenzene\].
///
/// The usual 8 % is measured as 8.6. Between 8.6 and 16 % sodium slows by about 17 % a per cent (from the two recalled
/// values), which is less than what is not known of divalent ions.
const NEAR_PERCENT: f64 = 1.0;

/// What the numbers of a set are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// Measured self-diffusion.
    SelfDiffusion,
    /// Inferred from what was measured with other ions.
    Inference,
    /// No table: the diffusivity in water times the obstruction of the bead.
    Obstruction,
}

/// An activation energy and what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ActivationEnergy {
    /// \[kJ/mol\].
    pub kj_per_mol: f64,
    /// What it was computed from.
    pub source: String,
}

/// A published set.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DiffusivitySet {
    /// Authors and year, as a case names it.
    pub name: String,
    /// Where it was published.
    pub source: String,
    /// Whether the source was read.
    pub read: String,
    /// What its numbers are.
    pub kind: Kind,
    /// Temperature \[C\] that they hold at.
    pub temperature_c: f64,
    /// How they were measured or are computed.
    pub conditions: String,
    /// What limits it, in a sentence.
    pub validity: String,
    /// What a column's key means.
    pub columns: String,
    #[serde(default)]
    values: BTreeMap<String, BTreeMap<Ion, f64>>,
    #[serde(default)]
    spread: BTreeMap<String, BTreeMap<Ion, [f64; 2]>>,
    /// Values \[m2/s\] by column and symbol that no case reads, of other ions or other beads: to judge the others by.
    #[serde(default)]
    pub neighbours: BTreeMap<String, BTreeMap<String, f64>>,
    /// How each number was come by, where it is inferred.
    #[serde(default)]
    pub reasons: BTreeMap<Ion, String>,
    /// Activation energies by symbol, where they are known.
    #[serde(default)]
    pub activation: BTreeMap<String, ActivationEnergy>,
}

impl DiffusivitySet {
    /// The names of the sets known here.
    pub fn names() -> impl Iterator<Item = &'static str> {
        FILES.iter().map(|(name, _)| *name)
    }

    /// Every set known here.
    ///
    /// # Errors
    /// [`Error::Text`] if an embedded file cannot be read.
    pub fn all() -> Result<&'static [Self]> {
        static READ: OnceLock<Result<Vec<DiffusivitySet>>> = OnceLock::new();
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
            let limits = format!(
                "must be a number, numbers by ion, or the name of a set known here; known: {}",
                known.join(", ")
            );
            Error::value("resin.bead_diffusivity_m2_per_s", name, limits)
        })
    }

    /// Has it numbers of its own, and no rule in their place?
    pub fn is_table(&self) -> bool {
        self.kind != Kind::Obstruction
    }

    /// The keys of its columns.
    pub fn columns(&self) -> impl Iterator<Item = &str> {
        self.values.keys().map(String::as_str)
    }

    /// Are its columns degrees of crosslinking?
    pub(super) fn is_by_crosslinking(&self) -> bool {
        self.by_percent().next().is_some()
    }

    fn by_percent(&self) -> impl Iterator<Item = (&str, f64)> {
        self.columns().filter_map(|key| Some((key, key.parse().ok()?)))
    }

    /// The key of the column for a degree of crosslinking \[percent divinylbenzene\], 8 % if none is given: the nearest, if
    /// it is within 1 %. Without a degree also the only column that a set has.
    ///
    /// # Errors
    /// [`Error::Value`] listing the columns, where none is near.
    pub fn column_for(&self, crosslinking_percent: Option<f64>) -> Result<&str> {
        let wanted = crosslinking_percent.unwrap_or(USUAL_CROSSLINKING_PERCENT);
        let off = |percent: f64| (percent - wanted).abs();
        let nearest = self.by_percent().min_by(|(_, one), (_, other)| off(*one).total_cmp(&off(*other)));
        let near = nearest.filter(|(_, percent)| off(*percent) <= NEAR_PERCENT).map(|(key, _)| key);
        let only = || if self.values.len() == 1 { self.columns().next() } else { None };
        let found = if crosslinking_percent.is_some() { near } else { near.or_else(only) };
        found.ok_or_else(|| {
            let known: Vec<_> = self.columns().collect();
            let given = crosslinking_percent.map_or_else(|| "none".to_string(), |percent| percent.to_string());
            let limits = format!(
                "{} has the columns {} ({}): one is read up to {NEAR_PERCENT} % away",
                self.name,
                known.join(", "),
                self.columns
            );
            Error::value("resin.crosslinking_percent", given, limits)
        })
    }

    /// The ions of a column with the value \[m2/s\] of each; none for a column that the set does not have.
    pub fn rows(&self, column: &str) -> impl Iterator<Item = (Ion, f64)> {
        self.values.get(column).into_iter().flatten().map(|(ion, value)| (*ion, *value))
    }

    /// Least and most \[m2/s\] that an ion of a column may have, where that is known.
    pub fn spread(&self, column: &str, ion: Ion) -> Option<[f64; 2]> {
        self.spread.get(column)?.get(&ion).copied()
    }

    /// The value \[m2/s\] of an ion in a column.
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion that the set does not hold there, and the sets that hold it.
    pub fn printed(&self, column: &str, ion: Ion) -> Result<f64> {
        let found = self.values.get(column).and_then(|by_ion| by_ion.get(&ion));
        found.copied().ok_or_else(|| {
            Error::value(
                format!("resin.bead_diffusivity_m2_per_s.{ion}"),
                "missing",
                format!(
                    "{} does not hold {}: take a set that holds it ({}), or give resin.bead_diffusivity_m2_per_s a number, \
                     or one for each ion",
                    self.name,
                    ion.data().name,
                    Self::holding(ion)
                ),
            )
        })
    }

    /// Which sets known here hold an ion, in words.
    fn holding(ion: Ion) -> String {
        let holds = |set: &&Self| !set.is_table() || set.values.values().any(|by_ion| by_ion.contains_key(&ion));
        let names: Vec<&str> =
            Self::all().unwrap_or_default().iter().filter(holds).map(|set| set.name.as_str()).collect();
        names.join(", ")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(name: &str) -> &'static DiffusivitySet {
        DiffusivitySet::named(name).unwrap()
    }

    #[test]
    fn every_file_says_its_name_where_its_numbers_are_from_and_where_they_hold() {
        assert_eq!(DiffusivitySet::all().unwrap().len(), FILES.len());
        for name in DiffusivitySet::names() {
            let set = set(name);
            assert_eq!(set.name, name);
            for said in [&set.source, &set.read, &set.conditions, &set.validity, &set.columns] {
                assert!(!said.is_empty(), "{name}");
            }
            // They are taken as a number that is given is, which is one at 25 C.
            assert_eq!(set.temperature_c, 25.0, "{name}");
            assert_eq!(set.is_table(), set.columns().next().is_some(), "{name}");
            for column in set.columns() {
                for (ion, value) in set.rows(column) {
                    assert!(ion.is_cation() && (1e-14..=1e-8).contains(&value), "{name} {column} {ion}");
                    assert_eq!(set.reasons.contains_key(&ion), set.kind == Kind::Inference, "{name} {ion}");
                }
            }
            for (column, by_ion) in &set.spread {
                for (ion, [least, most]) in by_ion {
                    let value = set.printed(column, *ion).unwrap();
                    assert!(least < most && (*least..=*most).contains(&value), "{name} {column} {ion}");
                }
            }
            let around = set.neighbours.values().flat_map(BTreeMap::values);
            assert!(around.clone().all(|value| (1e-14..=1e-8).contains(value)), "{name}");
            let energies = set.activation.values();
            assert!(energies.clone().all(|one| one.kj_per_mol > 0.0 && !one.source.is_empty()), "{name}");
        }
    }

    /// Sodium of one set is that of the other; potassium and the divalent ions follow the rules that are said of them.
    #[test]
    fn what_is_inferred_follows_its_rule() {
        let inferred = set("AboutTenthOfSodium");
        let of = |ion| inferred.printed("8.6", ion).unwrap();
        let sodium = set("BoydSoldano1953").printed("8.6", Ion::NA).unwrap();
        assert_eq!(of(Ion::NA), sodium);
        let in_water = |ion: Ion| ion.data().diffusivity_m2_per_s;
        assert!((of(Ion::K) / (sodium * in_water(Ion::K) / in_water(Ion::NA)) - 1.0).abs() < 1e-3);
        let around = [set("BoydSoldano1953").neighbours["8.6"]["Zn"], set("Oancea2006").neighbours["gel"]["Cd"]];
        assert_eq!([inferred.neighbours["8.6"]["Zn"], inferred.neighbours["gel"]["Cd"]], around);
        for ion in inferred.rows("8.6").map(|(ion, _)| ion).filter(|ion| ion.is_divalent_cation()) {
            let [least, most] = inferred.spread("8.6", ion).unwrap();
            assert!((of(ion) / (least * most).sqrt() - 1.0).abs() < 1e-12, "{ion}");
            assert!(around.iter().all(|value| (least..=most).contains(value)), "{ion}");
        }
    }

    #[test]
    fn the_nearest_column_is_read_and_none_that_is_far() {
        let set = set("BoydSoldano1953");
        for (percent, column) in [(None, "8.6"), (Some(8.0), "8.6"), (Some(4.0), "4"), (Some(16.0), "16")] {
            assert_eq!(set.column_for(percent).unwrap(), column);
        }
        let refused = set.column_for(Some(12.0)).unwrap_err().to_string();
        assert!(
            refused.starts_with("resin.crosslinking_percent = 12: BoydSoldano1953 has the columns 16, 4, 8.6"),
            "{refused}"
        );
        let one = DiffusivitySet::named("Oancea2006").unwrap();
        assert_eq!(one.column_for(None).unwrap(), "gel");
        assert!(one.column_for(Some(8.0)).is_err());
    }

    #[test]
    fn what_is_not_held_is_named_with_the_sets_that_hold_it() {
        let refused = |name: &str, column: &str, ion| set(name).printed(column, ion).unwrap_err().to_string();
        let magnesium = refused("BoydSoldano1953", "8.6", Ion::MG);
        assert!(
            magnesium.starts_with(
                "resin.bead_diffusivity_m2_per_s.Mg = missing: BoydSoldano1953 does not hold magnesium: take a set that holds \
                 it (AboutTenthOfSodium, MackieMeares1955)"
            ),
            "{magnesium}"
        );
        assert!(refused("AboutTenthOfSodium", "8.6", Ion::FE).contains("(MackieMeares1955)"));
        let unknown = DiffusivitySet::named("Nobody1900").unwrap_err().to_string();
        assert!(unknown.contains("BoydSoldano1953, Oancea2006, AboutTenthOfSodium, MackieMeares1955"), "{unknown}");
    }
}
