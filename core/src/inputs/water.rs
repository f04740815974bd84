//! A water: its ions, unit, temperature and charge balance.

use std::collections::BTreeMap;

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::within;
use crate::inputs::ion::Ion;
use crate::units::convert::{
    eq_per_l_to_mg_per_l, eq_per_l_to_mg_per_l_caco3, kilo, mg_per_l_caco3_to_eq_per_l, mg_per_l_to_eq_per_l, milli,
};

/// Largest imbalance of a complete analysis, |cations - anions| / (cations + anions) in equivalents
/// (common practice for a routine analysis, no single source).
const IMBALANCE_LIMIT: f64 = 0.05;

/// The unit of a water's analysis.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[names(field = "water.unit", before = "must be one of")]
#[non_exhaustive]
pub enum ConcentrationUnit {
    /// Milligrams of the ion per litre.
    #[default]
    #[serde(rename = "mg/L")]
    MgPerL,
    /// Milligrams per litre as calcium carbonate.
    #[serde(rename = "mg/L CaCO3")]
    MgPerLCaco3,
    /// Millimoles of the ion per litre.
    #[serde(rename = "mmol/L")]
    MmolPerL,
    /// Milliequivalents per litre.
    #[serde(rename = "meq/L")]
    MeqPerL,
}

impl ConcentrationUnit {
    fn to_eq_per_l(self, ion: Ion, value: f64) -> f64 {
        match self {
            Self::MgPerL => mg_per_l_to_eq_per_l(value, ion.g_per_eq()),
            Self::MgPerLCaco3 => mg_per_l_caco3_to_eq_per_l(value),
            Self::MmolPerL => milli(value) * f64::from(ion.valence()),
            Self::MeqPerL => milli(value),
        }
    }

    fn of_eq_per_l(self, ion: Ion, eq_per_l: f64) -> f64 {
        match self {
            Self::MgPerL => eq_per_l_to_mg_per_l(eq_per_l, ion.g_per_eq()),
            Self::MgPerLCaco3 => eq_per_l_to_mg_per_l_caco3(eq_per_l),
            Self::MmolPerL => kilo(eq_per_l) / f64::from(ion.valence()),
            Self::MeqPerL => kilo(eq_per_l),
        }
    }

    /// A concentration of `ion` in this unit, given in another.
    ///
    /// ```
    /// use brinefront::{ConcentrationUnit, Ion};
    /// // One mole of calcium is two equivalents.
    /// assert_eq!(ConcentrationUnit::MeqPerL.convert(Ion::CA, 1.0, ConcentrationUnit::MmolPerL), 2.0);
    /// ```
    pub fn convert(self, ion: Ion, value: f64, given: Self) -> f64 {
        if self == given { value } else { self.of_eq_per_l(ion, given.to_eq_per_l(ion, value)) }
    }
}

/// A water as analysed.
///
/// With no anion given, chloride takes the balance ([`Water::chloride_assumed`]). With any anion given, an imbalance
/// above 5 % of the total is an error unless `balance` names the ion that closes it.
#[inputs(part = "water", positional(ions, unit))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Water {
    /// Concentration of each ion by its symbol, in `unit`.
    #[field(each(words = "concentration"), limits = "0 to 1e6", unit_of = "water.unit")]
    #[field(sample = r#"{"Ca": 80.0, "Mg": 24.0}"#)]
    pub ions: BTreeMap<Ion, f64>,
    /// Unit of the concentrations.
    #[field(words = "unit of the analysis", choices("mg/L", "mg/L CaCO3", "mmol/L", "meq/L"), default = "mg/L")]
    #[field(source = "The unit most analyses are written in.", standing = "common practice, no source")]
    pub unit: ConcentrationUnit,
    /// Temperature \[C\].
    #[field(words = "temperature of the water", unit = "C", range = 1.0..=45.0, default = 20.0, in_signature)]
    #[field(
        source = "Room temperature; the ground's is lower in most places. Measure it: rates and brine depend on it.",
        standing = "choice, no source"
    )]
    #[field(sample = 15.0)]
    pub temperature_c: f64,
    /// The ion whose concentration is set so that the charges balance, whatever was given for it.
    #[field(words = "ion that closes the charge balance", unset = "none given", python_type = "str, optional")]
    #[field(
        source = "Chloride takes the balance where no anion is given; else an imbalance above 5 % of the total is refused and \
                  smaller ones are spread over the anions (the 5 %: common practice for a routine analysis, no single source).",
        standing = "common practice, no source"
    )]
    pub balance: Option<Ion>,
}

impl Water {
    /// Check every value and the charge balance.
    ///
    /// # Errors
    /// [`Error::Value`] for a negative or non-finite concentration, a temperature outside 1 to 45 C, a water without
    /// cations, or an unbalanced analysis.
    pub fn validate(&self) -> Result<()> {
        self.check_ranges()?;
        for (ion, value) in &self.ions {
            within(&format!("water.ions.{ion}"), *value, 0.0, 1e6, self.unit.name())?;
        }
        self.composition().map(|_| ())
    }

    /// Did chloride have to be assumed because no anion was given?
    pub fn chloride_assumed(&self) -> bool {
        self.balance.is_none() && !self.ions.keys().any(|ion| !ion.is_cation())
    }

    /// The water in equivalents per litre, charges balanced.
    ///
    /// # Errors
    /// As [`Water::validate`].
    pub fn composition(&self) -> Result<Composition> {
        let mut eq: BTreeMap<Ion, f64> =
            self.ions.iter().map(|(ion, v)| (*ion, self.unit.to_eq_per_l(*ion, *v))).collect();
        if let Some(ion) = self.balance {
            eq.remove(&ion);
        }
        let sum = |eq: &BTreeMap<Ion, f64>, cation: bool| {
            eq.iter().filter(|(i, _)| i.is_cation() == cation).map(|(_, c)| c).sum::<f64>()
        };
        let (cations, anions) = (sum(&eq, true), sum(&eq, false));
        let closing = if self.chloride_assumed() { Some(Ion::CL) } else { self.balance };
        if let Some(ion) = closing {
            let missing = if ion.is_cation() { anions - cations } else { cations - anions };
            if missing < 0.0 {
                return Err(Error::value(
                    "water.balance",
                    ion,
                    format!("cannot close the balance: it would have to be {:.3} meq/L", kilo(missing)),
                ));
            }
            eq.insert(ion, missing);
        } else {
            let imbalance = (cations - anions).abs() / (cations + anions).max(f64::MIN_POSITIVE);
            if imbalance > IMBALANCE_LIMIT {
                return Err(Error::value(
                    "water.ions",
                    format!("{:.3} meq/L of cations against {:.3} meq/L of anions", kilo(cations), kilo(anions)),
                    format!(
                        "unbalanced by {:.1} % of the total, at most {:.0} % is allowed; correct the analysis or set balance to the ion that closes it",
                        imbalance * 100.0,
                        IMBALANCE_LIMIT * 100.0
                    ),
                ));
            }
            // Cations decide what the resin sees: the anions are stretched to meet them.
            for (ion, c) in &mut eq {
                if !ion.is_cation() {
                    *c *= cations / anions;
                }
            }
        }
        let normality = sum(&eq, true);
        if !(normality.is_finite() && normality > 0.0) {
            return Err(Error::value("water.ions", "no cation", "a water needs at least one cation above 0"));
        }
        Ok(Composition { eq_per_l: eq })
    }

    /// Dissolved solids \[mg/L\]: the mass of all ions, charges balanced, hydrogen carbonate as it stands in the water.
    ///
    /// # Errors
    /// As [`Water::composition`].
    pub fn dissolved_solids_mg_per_l(&self) -> Result<f64> {
        Ok(self.composition()?.eq_per_l.iter().map(|(ion, eq)| eq_per_l_to_mg_per_l(*eq, ion.g_per_eq())).sum())
    }

    /// Hardness \[mg/L as CaCO3\] from `hardness_ions`.
    ///
    /// # Errors
    /// As [`Water::validate`].
    pub fn hardness_mg_per_l_caco3(&self, hardness_ions: &[Ion]) -> Result<f64> {
        Ok(eq_per_l_to_mg_per_l_caco3(self.composition()?.sum_of(hardness_ions)))
    }
}

/// A balanced water in equivalents per litre.
#[derive(Debug, Clone, PartialEq)]
pub struct Composition {
    /// Each ion \[eq/L\], cations and anions.
    pub eq_per_l: BTreeMap<Ion, f64>,
}

impl Composition {
    /// One ion \[eq/L\], 0 if absent.
    pub fn of(&self, ion: Ion) -> f64 {
        self.eq_per_l.get(&ion).copied().unwrap_or(0.0)
    }

    /// Sum of some ions \[eq/L\].
    pub fn sum_of(&self, ions: &[Ion]) -> f64 {
        ions.iter().map(|ion| self.of(*ion)).sum()
    }

    /// Normality N \[eq/L\]: the sum over cations, which the anions equal.
    pub fn normality(&self) -> f64 {
        self.eq_per_l.iter().filter(|(ion, _)| ion.is_cation()).map(|(_, c)| c).sum()
    }

    /// Mean charge of the anions, weighted by equivalents; 1 without any.
    pub fn co_ion_charge(&self) -> f64 {
        let (mut sum, mut charges) = (0.0, 0.0);
        for (ion, c) in self.eq_per_l.iter().filter(|(ion, _)| !ion.is_cation()) {
            sum += c;
            charges += c * f64::from(ion.valence());
        }
        if sum > 0.0 { charges / sum } else { 1.0 }
    }

    /// The same water softened: every divalent cation exchanged, equivalent for equivalent, for `cation`, except
    /// `leakage_eq_per_l` of hardness that stays, in the proportions of the feed.
    pub fn softened(&self, cation: Ion, leakage_eq_per_l: f64) -> Self {
        let divalent: f64 = self.eq_per_l.iter().filter(|(ion, _)| ion.is_divalent_cation()).map(|(_, c)| c).sum();
        let kept = if divalent > 0.0 { (leakage_eq_per_l / divalent).min(1.0) } else { 0.0 };
        let mut eq_per_l = self.eq_per_l.clone();
        for (ion, c) in &mut eq_per_l {
            if ion.is_divalent_cation() {
                *c *= kept;
            }
        }
        *eq_per_l.entry(cation).or_insert(0.0) += divalent * (1.0 - kept);
        Self { eq_per_l }
    }
}
