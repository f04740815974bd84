//! A strong-acid cation resin as packed in a bed.

use std::collections::BTreeMap;
use std::fmt;

use brinefront_derive::inputs;
use serde::de::{self, Deserializer, Visitor};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::within;
use crate::inputs::diffusivity_sets::DiffusivitySet;
use crate::inputs::ion::Ion;
pub use crate::inputs::selectivity_sets::SelectivityBasis;
use crate::inputs::selectivity_sets::SelectivitySet;
use crate::units::convert::percent_to_fraction;

/// Selectivity coefficients against sodium, or the name of a published set.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Selectivity {
    /// The name of a set: `BonnerSmith1957`.
    Named(String),
    /// K by ion, in the normality/capacity form; sodium is 1 by definition.
    Given(BTreeMap<Ion, f64>),
}

/// Diffusivity inside the bead at 25 C: one value, one for each ion, or the name of a published set.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum BeadDiffusivity {
    /// One value \[m2/s\].
    One(f64),
    /// By ion \[m2/s\].
    ByIon(BTreeMap<Ion, f64>),
    /// The name of a set: `AboutTenthOfSodium`.
    Named(String),
}

/// Reads a table by ion, or the single value that may be given in its place, and names the ion that is wrong.
struct TableOr<T>(std::marker::PhantomData<T>);

/// What may stand in the place of a table by ion.
trait FromTableOr: Sized {
    const EXPECTED: &'static str;
    fn from_table(table: BTreeMap<Ion, f64>) -> Self;
    fn from_text(_: &str) -> Option<Self> {
        None
    }
    fn from_number(_: f64) -> Option<Self> {
        None
    }
}

impl FromTableOr for Selectivity {
    const EXPECTED: &'static str = "coefficients by ion, or the name of a set";
    fn from_table(table: BTreeMap<Ion, f64>) -> Self {
        Self::Given(table)
    }
    fn from_text(text: &str) -> Option<Self> {
        Some(Self::Named(text.to_string()))
    }
}

impl FromTableOr for BeadDiffusivity {
    const EXPECTED: &'static str = "a number, numbers by ion, or the name of a set";
    fn from_table(table: BTreeMap<Ion, f64>) -> Self {
        Self::ByIon(table)
    }
    fn from_text(text: &str) -> Option<Self> {
        Some(Self::Named(text.to_string()))
    }
    fn from_number(number: f64) -> Option<Self> {
        Some(Self::One(number))
    }
}

impl<'de, T: FromTableOr> Visitor<'de> for TableOr<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(T::EXPECTED)
    }

    fn visit_str<E: de::Error>(self, text: &str) -> std::result::Result<T, E> {
        T::from_text(text).ok_or_else(|| E::invalid_type(de::Unexpected::Str(text), &self))
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> std::result::Result<T, E> {
        T::from_number(number).ok_or_else(|| E::invalid_type(de::Unexpected::Float(number), &self))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> std::result::Result<T, E> {
        self.visit_f64(number as f64)
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> std::result::Result<T, E> {
        self.visit_f64(number as f64)
    }

    fn visit_map<A: de::MapAccess<'de>>(self, map: A) -> std::result::Result<T, A::Error> {
        BTreeMap::deserialize(de::value::MapAccessDeserializer::new(map)).map(T::from_table)
    }
}

impl<'de> Deserialize<'de> for Selectivity {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        deserializer.deserialize_any(TableOr(std::marker::PhantomData))
    }
}

impl<'de> Deserialize<'de> for BeadDiffusivity {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        deserializer.deserialize_any(TableOr(std::marker::PhantomData))
    }
}

/// Beads of one size.
#[inputs(part = "resin.bead_sizes.*", positional(diameter_mm, share))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BeadSize {
    /// Diameter \[mm\].
    #[field(words = "bead diameter of one size", unit = "mm", range = 0.05..=5.0)]
    pub diameter_mm: f64,
    /// Share of the resin's volume; shares sum to 1.
    #[field(words = "share of that size", unit = "of the resin's volume", in_errors = "", range = 1e-6..=1.0)]
    pub share: f64,
}

/// A resin; every default has its source in its field.
#[inputs(part = "resin", positional(capacity_eq_per_l, selectivity))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Resin {
    /// Total capacity Q \[eq per litre of packed bed\].
    #[field(words = "total capacity", unit = "eq/L of bed", in_errors = "eq per litre of bed", range = 0.1..=5.0)]
    #[field(
        default = 1.8,
        source = "The low end of the 1.8 to 2.0 of M. L. Davis (2010), Water and Wastewater Engineering, ch. 8: new 8 % gel \
                  resin has 1.9 to 2.0 and loses 1 to 5 % a year. Within what its sources allow, resin defaults were chosen \
                  for the best fit to published co-current capacities.",
        standing = "published"
    )]
    #[field(sample = 1.9)]
    pub capacity_eq_per_l: f64,
    /// Selectivity coefficients against sodium by ion, in the normality/capacity form; sodium is 1. Or the name of a
    /// published set.
    #[field(words = "selectivity against sodium", each(words = "selectivity against sodium"))]
    #[field(limits = "0.001 to 1000", python_type = "mapping of str to float or Quantity, or str, optional")]
    #[field(
        default = Selectivity::Named("BonnerSmith1957".into()),
        source = "Sulfonated polystyrene, chained to sodium as water-treatment textbooks do (Ca 2.61, Mg 1.66) and taken as \
                  measured on the beads themselves; per litre of bed Mg 2.7 and Ca 4.2, inside the 1.7 to 3.3 and 3 to 6 \
                  quoted for softening resin.",
        standing = "from memory"
    )]
    #[field(sample = r#"{"Ca": 2.6, "Mg": 1.6}"#)]
    pub selectivity: Selectivity,
    /// Crosslinking \[percent divinylbenzene\]: the column of a named set; of diffusivities the nearest, up to 1 % away.
    #[field(
        words = "crosslinking: column of a named set",
        unit = "% divinylbenzene",
        unset = "8 where the set has it"
    )]
    #[field(off = "selectivities are given by ion", unless = "resin.selectivity.")]
    #[field(source = "Divinylbenzene in the usual gel resin for softening.", standing = "common practice, no source")]
    #[field(sample = 8.0)]
    pub crosslinking_percent: Option<f64>,
    /// Normality \[eq/L\] of the chloride solution, half sodium and half the ion in equivalents, in which coefficients were
    /// measured with concentrations. Without, they hold with activities.
    #[field(words = "normality at which selectivities were measured", unit = "eq/L", range = 1e-4..=5.0, late = "normality")]
    #[field(acts = "with activity coefficients")]
    #[field(off = "selectivities hold as they are; with activities, at infinite dilution")]
    #[field(source = "Published sets are for dilute solutions.", standing = "choice, no source", sample = 0.1)]
    pub selectivity_at_eq_per_l: Option<f64>,
    /// Volume that the capacity in given selectivity coefficients is counted on; a set has its own.
    #[field(words = "volume basis of given selectivities", choices("bed", "bead"), default = "bed", quiet = "repr")]
    #[field(acts = "where selectivities are given by ion")]
    #[field(
        source = "Per litre of packed bed, as capacities are stated; a named set has its own.",
        standing = "choice, no source"
    )]
    pub selectivity_basis: SelectivityBasis,
    /// Bead diameter \[mm\].
    #[field(words = "bead diameter", unit = "mm", range = 0.05..=5.0, default = 0.5, sample = 0.6)]
    #[field(
        source = "Geometric mean of 20 to 50 mesh, 0.85 to 0.3 mm, that plants usually have (S. D. Lin, Water and Wastewater \
                  Calculations Manual, ch. 5).",
        standing = "published"
    )]
    pub bead_diameter_mm: f64,
    /// Sizes of bead \[mm\] with their shares of the volume, which sum to 1; for radial kinetics alone. They lie behind one
    /// film. Hydraulics and dispersion keep to `bead_diameter_mm`.
    #[field(words = "bead sizes", default = Vec::new(), quiet, limits = "0.05 to 5", off = "one size")]
    #[field(
        source = "One size of bead unless sizes are given; for radial kinetics alone.",
        standing = "choice, no source"
    )]
    #[field(python_type = "sequence of pairs of float or Quantity, optional", sample = "[[0.4, 0.3], [0.6, 0.7]]")]
    pub bead_sizes: Vec<BeadSize>,
    /// Void fraction between the beads of the settled bed.
    #[field(words = "void fraction between the beads", unit = "of the settled bed", in_errors = "", range = 0.2..=0.7)]
    #[field(late = "packing", default = 0.38, sample = 0.4)]
    #[field(source = "Within 0.35 to 0.40 (Perry's Chemical Engineers' Handbook, sec. 16).", standing = "published")]
    pub void_fraction: f64,
    /// Diffusivity of the divalent ions inside the bead at 25 C \[m2/s\], or of each ion by its symbol. Or the name of a
    /// published set.
    #[field(words = "diffusivity of hardness in the bead, 25 C (77 F)", unit = "m2/s", limits = "1e-14 to 1e-8")]
    #[field(each(words = "diffusivity in the bead, 25 C (77 F)", unit = "m2/s"))]
    #[field(python_type = "float or Quantity, or mapping of str to float or Quantity, or str, optional")]
    #[field(
        default = BeadDiffusivity::One(2e-11),
        source = "The top of the bracket 5e-12 to 2e-11 around zinc (6.3e-12, G. E. Boyd, B. A. Soldano 1953), cadmium \
                  (8.4e-12, Oancea et al. 2006) and about a tenth of sodium; within it, the value that brings co-current \
                  capacity closest to published figures. No tabulated value for calcium or magnesium was found: the least \
                  certain constant here.",
        standing = "from memory"
    )]
    #[field(sample = 1.5e-11)]
    pub bead_diffusivity_m2_per_s: BeadDiffusivity,
    /// Activation energy of that diffusivity \[kJ/mol\].
    #[field(words = "activation energy of that diffusivity", unit = "kJ/mol", range = 0.0..=100.0, late = "packing")]
    #[field(
        default = 28.0,
        source = "Two recalled self-diffusivities of sodium in a resin of 8.6 % divinylbenzene give 27.9 \
                  (G. E. Boyd, B. A. Soldano 1953, J. Am. Chem. Soc. 75, 6091); two of zinc give 30.2. None was found for calcium or magnesium.",
        standing = "from memory"
    )]
    #[field(sample = 25.0)]
    pub bead_activation_kj_per_mol: f64,
    /// Whether the liquid inside the beads takes up salt, by Donnan's equilibrium, and gives it back late in the rinse.
    #[field(words = "salt in the liquid inside the beads", default = false, quiet)]
    #[field(off = "no salt is taken up by the beads")]
    #[field(source = "Off unless given; with it, F. G. Donnan (1911), from memory.", standing = "choice, no source")]
    pub sorbed_salt: bool,
    /// Water in a bead, as a share of its volume.
    #[field(words = "water in a bead", unit = "of its volume", in_errors = "", range = 0.1..=0.95, late = "packing")]
    #[field(
        acts = "where salt is taken up by the beads, and in the diffusivities of MackieMeares1955",
        default = 0.59,
        quiet = "repr",
        sample = 0.5
    )]
    #[field(
        source = "Moisture of 0.46 by mass, the middle of 0.44 to 0.48 for gel beads with 8 % divinylbenzene in sodium form \
                  (F. Helfferich 1962, Ion Exchange, and handbooks), times a density of 1.28.",
        standing = "from memory"
    )]
    pub bead_water_fraction: f64,
    /// Density of a wet bead \[kg/m3\], for hydraulics.
    #[field(words = "density of a wet bead", unit = "kg/m3", range = 900.0..=2000.0, late = "packing")]
    #[field(acts = "in hydraulics", default = 1280.0, sample = 1250.0)]
    #[field(
        source = "Near the middle of 1260 to 1320 for gel beads in sodium form (F. Helfferich 1962, Ion Exchange, and \
                  handbooks).",
        standing = "from memory"
    )]
    pub wet_bead_kg_per_m3: f64,
    /// Time in service \[years\]; capacity falls with it from `capacity_eq_per_l`, selectivity and rates stay.
    #[field(words = "years in service", unit = "years", range = 0.0..=50.0, late = "packing")]
    #[field(default = 0.0, quiet, in_signature, off = "the capacity given is what the bed has")]
    #[field(source = "New unless given.", standing = "choice, no source", sample = 4.0)]
    pub age_years: f64,
    /// Capacity lost in a year \[percent of what the year began with\].
    #[field(words = "capacity lost in a year", unit = "% of what the year began with", in_errors = "% a year")]
    #[field(range = 0.0..=50.0, late = "packing", default = 5.0, quiet, acts = "where years in service are given")]
    #[field(
        source = "5 % a year is normal, more means fouling or loss of resin (UFC 3-240-13FN 2005, sec. 2-2.5.1.4.1); 1 to 5 % \
                  by M. L. Davis (2010), ch. 8. That the loss compounds is a choice, no source.",
        standing = "published"
    )]
    #[field(sample = 3.0)]
    pub capacity_loss_percent_per_year: f64,
}

impl Resin {
    /// Total capacity after `age_years` \[eq per litre of packed bed\].
    ///
    /// Groups are lost, beads stay: the selectivity coefficients, which in the normality/capacity form are those of mass
    /// action in concentrations, and the rates are left as they are.
    pub fn aged_capacity_eq_per_l(&self) -> f64 {
        self.capacity_eq_per_l * (1.0 - percent_to_fraction(self.capacity_loss_percent_per_year)).powf(self.age_years)
    }

    /// Check every value.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self) -> Result<()> {
        self.check_ranges()?;
        for size in &self.bead_sizes {
            size.check_ranges("resin.bead_sizes")?;
        }
        let whole: f64 = self.bead_sizes.iter().map(|size| size.share).sum();
        if !self.bead_sizes.is_empty() && (whole - 1.0).abs() > 1e-6 {
            return Err(Error::value("resin.bead_sizes", whole, "shares must sum to 1"));
        }
        self.check_packing()?;
        let loss = self.capacity_loss_percent_per_year;
        if self.aged_capacity_eq_per_l() < 0.05 {
            return Err(Error::value(
                "resin.age_years",
                self.age_years,
                format!("a loss of {loss} % a year leaves less than 0.05 eq per litre of bed"),
            ));
        }
        let diffusivity = |field: &str, d: f64| within(field, d, 1e-14, 1e-8, "m2/s");
        match &self.bead_diffusivity_m2_per_s {
            BeadDiffusivity::One(d) => diffusivity("resin.bead_diffusivity_m2_per_s", *d)?,
            BeadDiffusivity::ByIon(by_ion) => {
                for (ion, d) in by_ion {
                    diffusivity(&format!("resin.bead_diffusivity_m2_per_s.{ion}"), *d)?;
                }
            }
            BeadDiffusivity::Named(_) => {
                if let Some(set) = self.table_of_diffusivities()? {
                    set.column_for(self.crosslinking_percent)?;
                }
            }
        }
        self.check_normality()?;
        match &self.selectivity {
            Selectivity::Named(name) => {
                SelectivitySet::named(name)?.column_for(self.crosslinking_percent)?;
            }
            Selectivity::Given(given) => {
                let also_picks = self.table_of_diffusivities()?.is_some_and(DiffusivitySet::is_by_crosslinking);
                if let Some(percent) = self.crosslinking_percent.filter(|_| !also_picks) {
                    let limits = "picks the column of a named set: leave it out where coefficients are given";
                    return Err(Error::value("resin.crosslinking_percent", percent, limits));
                }
                for (ion, k) in given {
                    let field = format!("resin.selectivity.{ion}");
                    if !ion.is_cation() {
                        return Err(Error::value(field, k, "a cation resin exchanges no anion"));
                    }
                    within(&field, *k, 1e-3, 1e3, "")?;
                    if *ion == Ion::NA && (*k - 1.0).abs() > 1e-12 {
                        return Err(Error::value(field, k, "sodium is the reference: 1 by definition"));
                    }
                }
            }
        }
        Ok(())
    }

    /// The set of diffusivities that is named, if that is a table.
    fn table_of_diffusivities(&self) -> Result<Option<&'static DiffusivitySet>> {
        match &self.bead_diffusivity_m2_per_s {
            BeadDiffusivity::Named(name) => {
                DiffusivitySet::named(name).map(|set| Some(set).filter(|set| set.is_table()))
            }
            BeadDiffusivity::One(_) | BeadDiffusivity::ByIon(_) => Ok(None),
        }
    }

    /// Is there a diffusivity of an ion?
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion that a named set does not hold.
    pub fn knows_diffusivity_of(&self, ion: Ion) -> Result<()> {
        match self.table_of_diffusivities()? {
            Some(set) => set.printed(set.column_for(self.crosslinking_percent)?, ion).map(|_| ()),
            None => Ok(()),
        }
    }

    /// Is there a coefficient of an ion?
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion that has none.
    pub fn knows(&self, ion: Ion) -> Result<()> {
        match &self.selectivity {
            Selectivity::Given(given) if ion == Ion::NA || given.contains_key(&ion) => Ok(()),
            Selectivity::Given(_) => Err(Error::value(
                format!("resin.selectivity.{ion}"),
                "missing",
                format!(
                    "the water or the salt brings {}: give its coefficient against sodium, a number, or take a named set that \
                     holds it ({})",
                    ion.data().name,
                    SelectivitySet::holding(ion)
                ),
            )),
            Selectivity::Named(name) => {
                let set = SelectivitySet::named(name)?;
                set.printed(set.column_for(self.crosslinking_percent)?, ion).map(|_| ())
            }
        }
    }
}
