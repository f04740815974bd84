//! A strong-acid cation resin as packed in a bed.

use std::collections::BTreeMap;
use std::fmt;

use serde::de::{self, Deserializer, Visitor};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::{within, within_if};
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

/// Diffusivity inside the bead at 25 C: one value, or one for each ion.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum BeadDiffusivity {
    /// One value \[m2/s\].
    One(f64),
    /// By ion \[m2/s\].
    ByIon(BTreeMap<Ion, f64>),
}

/// Reads a table by ion, or the single value that may stand in its place, and says which ion is wrong.
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
    const EXPECTED: &'static str = "a number, or numbers by ion";
    fn from_table(table: BTreeMap<Ion, f64>) -> Self {
        Self::ByIon(table)
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
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BeadSize {
    /// Diameter \[mm\].
    pub diameter_mm: f64,
    /// Share of the resin's volume; shares sum to 1.
    pub share: f64,
}

/// A resin; every default is defended in its field.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Resin {
    /// Total capacity Q \[eq per litre of packed bed\]. Default 1.8, the low end of the 1.8 to 2.0 of M. L. Davis (2010),
    /// *Water and Wastewater Engineering*, ch. 8: new 8 % gel resin has 1.9 to 2.0 and loses 1 to 5 % a year.
    pub capacity_eq_per_l: f64,
    /// Selectivity coefficients against sodium, given or by the name of a set. Default `BonnerSmith1957`: sulfonated
    /// polystyrene, chained to sodium as water-treatment textbooks do (Ca 5.16/1.98 = 2.61, Mg 1.66) and taken as measured
    /// on the beads themselves. Per litre of bed it becomes Mg 2.7 and Ca 4.2 at a void fraction of 0.38, inside the 1.7
    /// to 3.3 and 3 to 6 that are quoted for softening resin (from memory).
    pub selectivity: Selectivity,
    /// Crosslinking \[percent divinylbenzene\]: the column of a named set. Without, 8 where a set has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub crosslinking_percent: Option<f64>,
    /// Normality \[eq/L\] of the chloride solution, half sodium and half the ion in equivalents, in which coefficients were
    /// measured with concentrations. Without, they hold with activities: at infinite dilution.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub selectivity_at_eq_per_l: Option<f64>,
    /// Volume basis of given selectivity coefficients; a set has its own.
    pub selectivity_basis: SelectivityBasis,
    /// Bead diameter \[mm\]. Default 0.5, the geometric mean of 20 to 50 mesh, 0.85 to 0.3 mm, that plants usually have
    /// (S. D. Lin, *Water and Wastewater Calculations Manual*, ch. 5).
    pub bead_diameter_mm: f64,
    /// Sizes of bead, where there is more than one; for radial kinetics alone. They lie behind one film. Hydraulics and
    /// dispersion keep to the diameter above.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub bead_sizes: Vec<BeadSize>,
    /// Void fraction between the beads of the settled bed. Default 0.38, within 0.35 to 0.40 (Perry's Handbook, sec. 16).
    pub void_fraction: f64,
    /// Diffusivity of the divalent ions inside the bead at 25 C \[m2/s\]. Default 2e-11, the top of the bracket 5e-12 to
    /// 2e-11 around zinc (6.3e-12, Boyd & Soldano 1953, from memory), cadmium (8.4e-12, Oancea et al. 2006) and about a
    /// tenth of sodium; within it, the value that brings co-current capacity closest to published figures.
    pub bead_diffusivity_m2_per_s: BeadDiffusivity,
    /// Activation energy of that diffusivity \[kJ/mol\]. Default 28, from two recalled values for sodium.
    pub bead_activation_kj_per_mol: f64,
    /// Does the liquid inside the beads take up salt, by Donnan's equilibrium, and give it back late in the rinse?
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub sorbed_salt: bool,
    /// Water in a bead, as a share of its volume. Default 0.59: moisture of 0.46 by mass, the middle of 0.44 to 0.48 for
    /// gel beads with 8 % divinylbenzene in sodium form (F. Helfferich 1962 and handbooks, from memory), times 1.28.
    pub bead_water_fraction: f64,
    /// Density of a wet bead \[kg/m3\], for hydraulics. Default 1280, near the middle of 1260 to 1320 for gel beads in
    /// sodium form (F. Helfferich 1962, *Ion Exchange*, and handbooks, from memory).
    pub wet_bead_kg_per_m3: f64,
    /// Years in service; 0 unless given, and then `capacity_eq_per_l` is what the bed has.
    #[serde(skip_serializing_if = "is_new")]
    pub age_years: f64,
    /// Capacity lost in a year \[percent of what the year began with\]. Default 5: 5 % a year is normal, more means fouling
    /// or loss of resin (UFC 3-240-13FN 2005, section 2-2.5.1.4.1); 1 to 5 % by M. L. Davis (2010), ch. 8. That the loss
    /// compounds is a choice, no source.
    #[serde(skip_serializing_if = "is_usual_loss")]
    pub capacity_loss_percent_per_year: f64,
}

/// Capacity lost in a year \[percent\].
const USUAL_LOSS_PERCENT: f64 = 5.0;

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that serde asks for")]
fn is_new(years: &f64) -> bool {
    *years == 0.0
}

#[expect(clippy::trivially_copy_pass_by_ref, reason = "the signature that serde asks for")]
fn is_usual_loss(percent: &f64) -> bool {
    *percent == USUAL_LOSS_PERCENT
}

impl Default for Resin {
    fn default() -> Self {
        Self {
            capacity_eq_per_l: 1.8,
            selectivity: Selectivity::Named("BonnerSmith1957".into()),
            crosslinking_percent: None,
            selectivity_at_eq_per_l: None,
            selectivity_basis: SelectivityBasis::Bed,
            bead_diameter_mm: 0.5,
            bead_sizes: Vec::new(),
            void_fraction: 0.38,
            bead_diffusivity_m2_per_s: BeadDiffusivity::One(2e-11),
            bead_activation_kj_per_mol: 28.0,
            sorbed_salt: false,
            bead_water_fraction: 0.59,
            wet_bead_kg_per_m3: 1280.0,
            age_years: 0.0,
            capacity_loss_percent_per_year: USUAL_LOSS_PERCENT,
        }
    }
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
        within("resin.capacity_eq_per_l", self.capacity_eq_per_l, 0.1, 5.0, "eq per litre of bed")?;
        within("resin.bead_diameter_mm", self.bead_diameter_mm, 0.05, 5.0, "mm")?;
        for size in &self.bead_sizes {
            within("resin.bead_sizes.diameter_mm", size.diameter_mm, 0.05, 5.0, "mm")?;
            within("resin.bead_sizes.share", size.share, 1e-6, 1.0, "")?;
        }
        let whole: f64 = self.bead_sizes.iter().map(|size| size.share).sum();
        if !self.bead_sizes.is_empty() && (whole - 1.0).abs() > 1e-6 {
            return Err(Error::value("resin.bead_sizes", whole, "shares must sum to 1"));
        }
        within("resin.void_fraction", self.void_fraction, 0.2, 0.7, "")?;
        within("resin.bead_activation_kj_per_mol", self.bead_activation_kj_per_mol, 0.0, 100.0, "kJ/mol")?;
        within("resin.bead_water_fraction", self.bead_water_fraction, 0.1, 0.95, "")?;
        within("resin.wet_bead_kg_per_m3", self.wet_bead_kg_per_m3, 900.0, 2000.0, "kg/m3")?;
        within("resin.age_years", self.age_years, 0.0, 50.0, "years")?;
        let loss = self.capacity_loss_percent_per_year;
        within("resin.capacity_loss_percent_per_year", loss, 0.0, 50.0, "% a year")?;
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
        }
        within_if("resin.selectivity_at_eq_per_l", self.selectivity_at_eq_per_l, 1e-4, 5.0, "eq/L")?;
        match &self.selectivity {
            Selectivity::Named(name) => {
                SelectivitySet::named(name)?.column_for(self.crosslinking_percent)?;
            }
            Selectivity::Given(given) => {
                if let Some(percent) = self.crosslinking_percent {
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

    /// Is there a coefficient of an ion? [`crate::laws::selectivity_sets`] computes it.
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion that has none.
    pub fn knows(&self, ion: Ion) -> Result<()> {
        match &self.selectivity {
            Selectivity::Given(given) if ion == Ion::NA || given.contains_key(&ion) => Ok(()),
            Selectivity::Given(_) => Err(Error::value(
                format!("resin.selectivity.{ion}"),
                "missing",
                format!("the water holds {}: give its coefficient against sodium", ion.data().name),
            )),
            Selectivity::Named(name) => {
                let set = SelectivitySet::named(name)?;
                set.printed(set.column_for(self.crosslinking_percent)?, ion).map(|_| ())
            }
        }
    }
}
