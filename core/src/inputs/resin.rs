//! A strong-acid cation resin as packed in a bed.

use std::collections::BTreeMap;
use std::fmt;

use serde::de::{self, Deserializer, Visitor};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::within;
use crate::inputs::ion::Ion;
use crate::units::convert::percent_to_fraction;

/// A published set of relative affinities, Li = 1, with the convention it is quoted in.
struct SelectivitySet {
    name: &'static str,
    basis: SelectivityBasis,
    affinities: &'static [(&'static str, f64)],
}

/// The sets known by name.
///
/// `BonnerSmith1957`: sulfonated polystyrene with 8 % divinylbenzene, 25 C, dilute; O. D. Bonner and L. L. Smith (1957),
/// J. Phys. Chem. 61, 326, as tabulated in F. Helfferich (1962), *Ion Exchange*, Table 5-12; recalled, not re-read.
/// Iron(II) is not in that table. Chained to sodium as water-treatment textbooks do (Ca 5.16/1.98 = 2.61, Mg 1.66), and
/// taken as measured on the beads themselves: per litre of bed it becomes 4.2 and 2.7 at a void fraction of 0.38, inside
/// the 3 to 6 and 1.7 to 3.3 that are quoted for softening resin (from memory). Whether a divalent entry of that scale
/// is per ion or per equivalent is not settled: fit K to an isotherm where you have one.
static SELECTIVITY_SETS: [SelectivitySet; 1] = [SelectivitySet {
    name: "BonnerSmith1957",
    basis: SelectivityBasis::Bead,
    affinities: &[
        ("Na", 1.98),
        ("K", 2.90),
        ("NH4", 2.55),
        ("H", 1.27),
        ("Mg", 3.29),
        ("Ca", 5.16),
        ("Sr", 6.51),
        ("Ba", 11.5),
        ("Mn", 4.09),
    ],
}];

impl SelectivitySet {
    fn find(name: &str) -> Result<&'static Self> {
        SELECTIVITY_SETS.iter().find(|set| set.name == name).ok_or_else(|| {
            let known: Vec<_> = SELECTIVITY_SETS.iter().map(|set| set.name).collect();
            Error::value("resin.selectivity", name, format!("not a set known here; known: {}", known.join(", ")))
        })
    }

    fn against_sodium(&self, ion: Ion) -> Option<f64> {
        let of = |symbol: &str| self.affinities.iter().find(|(s, _)| *s == symbol).map(|(_, k)| *k);
        of(ion.symbol()).zip(of("Na")).map(|(k, sodium)| k / sodium)
    }
}

/// Selectivity coefficients against sodium, or the name of a published set.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Selectivity {
    /// The name of a set: `BonnerSmith1957`.
    Named(String),
    /// K by ion, in the normality/capacity form; sodium is 1 by definition.
    Given(BTreeMap<Ion, f64>),
}

/// Which volume the capacity in a selectivity coefficient is counted on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SelectivityBasis {
    /// Q in equivalents per litre of packed bed.
    #[default]
    Bed,
    /// Q in equivalents per litre of bead.
    Bead,
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
    /// Selectivity coefficients against sodium, given or by the name of a set. Default `BonnerSmith1957`, which comes to
    /// Mg 2.7 and Ca 4.2 per litre of bed.
    pub selectivity: Selectivity,
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
        match &self.selectivity {
            Selectivity::Named(name) => {
                SelectivitySet::find(name)?;
            }
            Selectivity::Given(given) => {
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

    /// K of an ion against sodium, per litre of bed.
    ///
    /// A K quoted per litre of bead is multiplied by (1 - eps)^(1 - z), since its capacity is Q / (1 - eps).
    ///
    /// # Errors
    /// [`Error::Value`] naming the ion that has no coefficient.
    pub fn selectivity_of(&self, ion: Ion) -> Result<f64> {
        if ion == Ion::NA {
            return Ok(1.0);
        }
        let (found, basis) = match &self.selectivity {
            Selectivity::Given(given) => (given.get(&ion).copied(), self.selectivity_basis),
            Selectivity::Named(name) => {
                let set = SelectivitySet::find(name)?;
                (set.against_sodium(ion), set.basis)
            }
        };
        let k = found.ok_or_else(|| {
            Error::value(
                format!("resin.selectivity.{ion}"),
                "missing",
                format!("the water holds {}: give its coefficient against sodium", ion.data().name),
            )
        })?;
        Ok(match basis {
            SelectivityBasis::Bed => k,
            SelectivityBasis::Bead => k * (1.0 - self.void_fraction).powi(1 - ion.valence() as i32),
        })
    }
}
