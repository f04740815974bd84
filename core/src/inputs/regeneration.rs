//! A regeneration in the trade's words; [`crate::inputs::recipe`] has the recipe it stands for.

use std::collections::BTreeMap;

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result, figure};
use crate::inputs::check::within;
use crate::inputs::ion::Ion;
use crate::inputs::salt::Salt;

/// Direction of the brine, relative to service.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[names(field = "regeneration.direction")]
pub enum Direction {
    /// With the service flow.
    CoCurrent,
    /// Against the service flow.
    CounterCurrent,
}

impl Direction {
    /// The other one.
    pub fn reversed(self) -> Self {
        match self {
            Self::CoCurrent => Self::CounterCurrent,
            Self::CounterCurrent => Self::CoCurrent,
        }
    }
}

/// The water that brine is made with, and that the slow rinse uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, Names)]
#[serde(rename_all = "lowercase")]
#[names(field = "regeneration.brine_water")]
pub enum BrineWater {
    /// The feed softened.
    #[default]
    Soft,
    /// The raw feed.
    #[names(alias = "hard")]
    Feed,
}

/// Backwash of a co-current recipe: 15 m/h for 10 min (12 to 20 m/h, 5 to 15 min: M. L. Davis 2010, Table 8-2).
pub(crate) const BACKWASH_M_PER_H: f64 = 15.0;
pub(crate) const BACKWASH_MIN: f64 = 10.0;
/// Strength of the brine where neither per cent nor normality is given \[percent by weight\].
pub(crate) const DEFAULT_STRENGTH_PERCENT: f64 = 10.0;

/// The warmest water that a case may have \[C\].
const WARMEST_C: f64 = 45.0;

/// A regeneration: direction, salt, brine and rinses.
#[inputs(part = "regeneration", positional(direction, dose_g_per_l))]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Regeneration {
    /// Direction of the brine, relative to service.
    #[field(words = "direction of the brine", choices("co-current", "counter-current"), sample = "co-current")]
    pub direction: Direction,
    /// Formula of the salt.
    #[field(words = "salt", choices("NaCl", "KCl"), default = "NaCl")]
    #[field(source = "Sodium chloride, the usual salt of softening.", standing = "common practice, no source")]
    pub salt: Salt,
    /// Pure salt per litre of packed resin \[g/L\].
    #[field(words = "salt dose, pure salt", unit = "g/L of resin", in_errors = "g of salt per litre of resin")]
    #[field(range = 1.0..=2000.0, sample = 96.0)]
    pub dose_g_per_l: f64,
    /// Strength of the brine \[percent by weight\].
    #[field(
        words = "strength of the brine",
        unit = "% by weight",
        limits = "0.1 to saturation at the water's temperature"
    )]
    #[field(unset = "10", off = "the normality of the brine decides", unless = "regeneration.normality_eq_per_l")]
    #[field(source = "Within the 8 to 12 % that published co-current capacities are quoted for.")]
    #[field(standing = "common practice, no source", sample = 10.0)]
    pub strength_percent: Option<f64>,
    /// Strength of the brine as normality of the salt alone \[eq/L\].
    #[field(words = "strength of the brine as normality of the salt", unit = "eq/L", range = 0.01..=20.0, late = "strength")]
    #[field(off = "the strength by weight decides", source = "Given in place of the strength by weight.")]
    #[field(standing = "choice, no source", sample = 1.5)]
    pub normality_eq_per_l: Option<f64>,
    /// Flow of the brine and the slow rinse \[bed volumes per hour\].
    #[field(words = "flow of brine and slow rinse", unit = "BV/h", range = 0.05..=100.0, default = 3.0, sample = 3.0)]
    #[field(
        source = "No source is stated for it. At this flow small doses have less time than published capacities allow them.",
        standing = "choice, no source"
    )]
    pub flow_bv_per_h: f64,
    /// The water that brine is made with: the feed softened, or raw.
    #[field(words = "water that brine is made with", choices("soft", "feed"), default = "soft")]
    #[field(source = "Softened water.", standing = "choice, no source")]
    pub brine_water: BrineWater,
    /// Hardness left in the soft water \[mg/L as CaCO3\].
    #[field(words = "hardness left in the soft water", unit = "mg/L as CaCO3", range = 0.0..=1e4, late = "rest")]
    #[field(default = 0.0, in_signature, quiet = "repr", off = "soft water holds no hardness")]
    #[field(source = "None unless given.", standing = "choice, no source", sample = 2.0)]
    pub soft_water_leakage_mg_per_l_caco3: f64,
    /// Slow rinse \[bed volumes\].
    #[field(words = "slow rinse", unit = "BV", range = 0.0..=100.0, default = 1.5, sample = 1.5)]
    #[field(source = "A usual volume.", standing = "common practice, no source")]
    pub slow_rinse_bv: f64,
    /// Fast rinse \[bed volumes\].
    #[field(words = "fast rinse", unit = "BV", range = 0.0..=1000.0, default = 3.0, sample = 3.0)]
    #[field(source = "A usual volume.", standing = "common practice, no source")]
    pub fast_rinse_bv: f64,
    /// Flow of the fast rinse \[bed volumes per hour\].
    #[field(words = "flow of the fast rinse", unit = "BV/h", range = 0.05..=500.0, default = 12.0, sample = 12.0)]
    #[field(source = "A usual flow.", standing = "common practice, no source")]
    pub fast_rinse_flow_bv_per_h: f64,
    /// Fraction of the bed, from the top, that the backwash turns over.
    #[field(words = "part of the bed that the backwash turns over", unit = "of the depth", in_errors = "of the bed")]
    #[field(range = 0.0..=1.0, late = "rest", unset = "1 with a backwash, 0 without")]
    #[field(
        source = "A backwash turns the whole bed over: an assumption. It spreads what the last brine left at the outlet over the bed."
    )]
    #[field(standing = "choice, no source", sample = 0.5)]
    pub backwash_mixing: Option<f64>,
    /// Backwash flow \[m/h\].
    #[field(words = "flow of the backwash", unit = "m/h", range = 0.1..=100.0, late = "rest")]
    #[field(acts = "where there is a backwash", unset = "15", off = "no backwash")]
    #[field(source = "12 to 20 m/h: M. L. Davis (2010), Water and Wastewater Engineering, Table 8-2.")]
    #[field(standing = "published", sample = 14.0)]
    pub backwash_flow_m_per_h: Option<f64>,
    /// Backwash time \[min\].
    #[field(words = "duration of the backwash", unit = "min", range = 0.0..=600.0, late = "rest")]
    #[field(unset = "10 co-current, none counter-current")]
    #[field(
        source = "5 to 15 min: M. L. Davis (2010), Table 8-2. None counter-current, so that the polished end of the bed stays \
                  where it is.",
        standing = "published"
    )]
    #[field(sample = 8.0)]
    pub backwash_min: Option<f64>,
    /// Pure salt in the salt as sold \[mass percent\]; without, what the impurities leave, as chlorides. What is neither
    /// salt nor named in `salt_impurities_percent` stays behind in the brine tank. The dose is pure salt.
    #[field(words = "pure salt in the salt as sold", unit = "% by mass", range = 50.0..=100.0, late = "purity")]
    #[field(off = "figures of the salt as sold are left out")]
    #[field(source = "Pure salt unless given.", standing = "choice, no source", sample = 98.0)]
    pub salt_purity_percent: Option<f64>,
    /// Other cations that dissolve with the salt \[mass percent of the ion in the salt as sold\]; they go with the brine as
    /// chlorides. The dose and the strength of the brine stay those of the pure salt.
    #[field(words = "other cations in the salt as sold", limits = "0 to 20 each", default = BTreeMap::new(), quiet)]
    #[field(off = "a pure salt", source = "Pure salt unless given.", standing = "choice, no source")]
    #[field(each(words = "impurity of the salt as sold", unit = "% by mass"))]
    #[field(sample = r#"{"Ca": 0.3, "Mg": 0.05}"#)]
    pub salt_impurities_percent: BTreeMap<Ion, f64>,
    /// The water of the slow rinse.
    #[field(words = "water of the slow rinse", choices("soft", "feed"), unset = "that of the brine")]
    #[field(source = "As the brine unless given.", standing = "choice, no source")]
    pub slow_rinse_water: Option<BrineWater>,
    /// Throughput from which the spent regenerant is kept \[bed volumes since the first brine enters\]; a mixed tank keeps
    /// it, and it comes ahead of the next regeneration's own brine.
    #[field(words = "spent brine kept from", unit = "BV", range = 0.0..=100.0, late = "reclaim", off = "no spent brine is kept")]
    #[field(source = "None unless given.", standing = "choice, no source", sample = 1.2, needs(reclaim_to_bv))]
    pub reclaim_from_bv: Option<f64>,
    /// Throughput to which it is kept \[bed volumes\]; above `reclaim_from_bv`.
    #[field(words = "spent brine kept to", unit = "BV", range = 0.0..=100.0, late = "reclaim", off = "no spent brine is kept")]
    #[field(source = "None unless given.", standing = "choice, no source", sample = 1.7, needs(reclaim_from_bv))]
    pub reclaim_to_bv: Option<f64>,
}

impl Regeneration {
    /// Check every value as far as no water is known: in the warmest that is allowed, where most salt dissolves.
    ///
    /// # Errors
    /// As [`Regeneration::validate`].
    pub fn validate_alone(&self) -> Result<()> {
        self.validate(WARMEST_C)
    }

    /// Check every value; `temperature_c` decides saturation.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self, temperature_c: f64) -> Result<()> {
        self.check_ranges()?;
        self.check_rest()?;
        if self.strength_percent.is_some() && self.normality_eq_per_l.is_some() {
            return Err(Error::value(
                "regeneration.strength_percent",
                "also given",
                "give strength_percent or normality_eq_per_l, not both",
            ));
        }
        let saturation = self.salt.saturation_percent(temperature_c);
        let formula = self.salt.name();
        if let Some(percent) = self.strength_percent {
            let field = "regeneration.strength_percent";
            if percent.is_finite() && percent > saturation {
                return Err(Error::value(
                    field,
                    figure(percent, &[saturation]),
                    format!(
                        "above saturation: {formula} at {temperature_c} C holds at most {saturation:.2} % by weight"
                    ),
                ));
            }
            within(field, percent, 0.1, saturation, "% by weight")?;
        }
        self.check_strength()?;
        let mixes = self.backwash_mixing.is_some_and(|fraction| fraction > 0.0);
        if mixes && self.backwash_minutes() == 0.0 {
            return Err(Error::value(
                "regeneration.backwash_mixing",
                self.mixing(),
                "no backwash would turn the bed over: set backwash_min, or leave backwash_mixing at 0",
            ));
        }
        self.validate_salt()?;
        self.validate_reclaim()
    }

    fn validate_reclaim(&self) -> Result<()> {
        self.check_reclaim()?;
        match (self.reclaim_from_bv, self.reclaim_to_bv) {
            (Some(from), Some(to)) if to <= from => Err(Error::value(
                "regeneration.reclaim_to_bv",
                figure(to, &[from]),
                format!("must be above regeneration.reclaim_from_bv, {} BV", figure(from, &[to])),
            )),
            (Some(_), None) => {
                Err(Error::value("regeneration.reclaim_to_bv", "none", "give it with reclaim_from_bv, or neither"))
            }
            (None, Some(to)) => Err(Error::value(
                "regeneration.reclaim_to_bv",
                figure(to, &[]),
                "give it with reclaim_from_bv, or neither",
            )),
            _ => Ok(()),
        }
    }

    /// The part of the spent regenerant that is kept: from and to a throughput \[bed volumes\].
    pub fn reclaims_bv(&self) -> Option<(f64, f64)> {
        self.reclaim_from_bv.zip(self.reclaim_to_bv)
    }

    /// Duration of the backwash \[min\], 0 for none.
    pub fn backwash_minutes(&self) -> f64 {
        self.backwash_min.unwrap_or(match self.direction {
            Direction::CoCurrent => BACKWASH_MIN,
            Direction::CounterCurrent => 0.0,
        })
    }

    /// The water of the slow rinse: that of the brine, unless another is given.
    pub fn rinse_water(&self) -> BrineWater {
        self.slow_rinse_water.unwrap_or(self.brine_water)
    }

    /// Fraction of the bed that the backwash turns over.
    pub fn mixing(&self) -> f64 {
        self.backwash_mixing.unwrap_or(if self.backwash_minutes() > 0.0 { 1.0 } else { 0.0 })
    }

    /// The same dose, strength, flows and rinses with the brine in the other direction: a co-current recipe turns the
    /// whole bed over in a backwash, a counter-current one has none.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        let direction = self.direction.reversed();
        Self {
            direction,
            backwash_mixing: Some(match direction {
                Direction::CoCurrent => 1.0,
                Direction::CounterCurrent => 0.0,
            }),
            backwash_min: None,
            ..self.clone()
        }
    }
}
