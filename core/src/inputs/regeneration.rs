//! A regeneration in the trade's words; [`crate::inputs::recipe`] has the recipe it stands for.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::{within, within_if};
use crate::inputs::ion::Ion;
use crate::inputs::salt::Salt;

/// Direction of the brine, relative to service.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Direction {
    /// With the service flow.
    CoCurrent,
    /// Against the service flow.
    CounterCurrent,
}

impl Direction {
    /// The name, as in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::CoCurrent => "co-current",
            Self::CounterCurrent => "counter-current",
        }
    }

    /// Find a direction by name.
    ///
    /// # Errors
    /// [`Error::Value`] naming the two.
    pub fn parse(name: &str) -> Result<Self> {
        [Self::CoCurrent, Self::CounterCurrent]
            .into_iter()
            .find(|direction| direction.name() == name)
            .ok_or_else(|| Error::value("regeneration.direction", name, "must be co-current or counter-current"))
    }

    /// The other one.
    pub fn reversed(self) -> Self {
        match self {
            Self::CoCurrent => Self::CounterCurrent,
            Self::CounterCurrent => Self::CoCurrent,
        }
    }
}

/// The water that brine is made with, and that the slow rinse uses.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum BrineWater {
    /// The feed softened.
    #[default]
    Soft,
    /// The raw feed.
    Feed,
}

impl BrineWater {
    /// The name, as in a case file.
    pub fn name(self) -> &'static str {
        match self {
            Self::Soft => "soft",
            Self::Feed => "feed",
        }
    }

    /// Find it by name; `hard` means the feed.
    ///
    /// # Errors
    /// [`Error::Value`] naming the two.
    pub fn parse(name: &str) -> Result<Self> {
        match name {
            "soft" => Ok(Self::Soft),
            "feed" | "hard" => Ok(Self::Feed),
            _ => Err(Error::value("regeneration.brine_water", name, "must be soft or feed")),
        }
    }
}

/// Backwash of a co-current recipe: 15 m/h for 10 min (12 to 20 m/h, 5 to 15 min: M. L. Davis 2010, Table 8-2).
pub(crate) const BACKWASH_M_PER_H: f64 = 15.0;
pub(crate) const BACKWASH_MIN: f64 = 10.0;
/// Strength of the brine where neither per cent nor normality is given \[percent by weight\].
pub(crate) const DEFAULT_STRENGTH_PERCENT: f64 = 10.0;

/// A regeneration: direction, salt, brine and rinses.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Regeneration {
    /// Direction of the brine, relative to service.
    pub direction: Direction,
    /// The salt.
    #[serde(default)]
    pub salt: Salt,
    /// Pure salt per litre of packed resin \[g/L\].
    pub dose_g_per_l: f64,
    /// Strength of the brine \[percent by weight\]; 10 if neither this nor the normality is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strength_percent: Option<f64>,
    /// Strength of the brine as normality of the salt alone \[eq/L\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub normality_eq_per_l: Option<f64>,
    /// Flow of the brine and the slow rinse \[bed volumes per hour\].
    #[serde(default = "default_flow")]
    pub flow_bv_per_h: f64,
    /// The water that brine is made with.
    #[serde(default)]
    pub brine_water: BrineWater,
    /// Hardness left in the soft water \[mg/L as CaCO3\].
    #[serde(default)]
    pub soft_water_leakage_mg_per_l_caco3: f64,
    /// Slow rinse \[bed volumes\].
    #[serde(default = "default_slow_rinse")]
    pub slow_rinse_bv: f64,
    /// Fast rinse \[bed volumes\].
    #[serde(default = "default_fast_rinse")]
    pub fast_rinse_bv: f64,
    /// Flow of the fast rinse \[bed volumes per hour\].
    #[serde(default = "default_fast_rinse_flow")]
    pub fast_rinse_flow_bv_per_h: f64,
    /// Fraction of the bed, from the top, that the backwash turns over; default 1 with a backwash, 0 without.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backwash_mixing: Option<f64>,
    /// Backwash flow \[m/h\]; default 15.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backwash_flow_m_per_h: Option<f64>,
    /// Backwash time \[min\]; default 10 for co-current, none for counter-current.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backwash_min: Option<f64>,
    /// Pure salt in the salt as sold \[mass percent\]; without, what the impurities leave, as chlorides. What is neither
    /// salt nor named in `salt_impurities_percent` stays behind in the brine tank.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub salt_purity_percent: Option<f64>,
    /// Other cations that dissolve with the salt \[mass percent of the ion in the salt as sold\]; they go with the brine as
    /// chlorides. The dose and the strength of the brine stay those of the pure salt.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub salt_impurities_percent: BTreeMap<Ion, f64>,
    /// The water of the slow rinse; without, that of the brine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slow_rinse_water: Option<BrineWater>,
    /// Throughput from which the spent regenerant is kept for the next regeneration \[bed volumes since the first brine
    /// enters\]; see [`crate::plan::reclaim`].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reclaim_from_bv: Option<f64>,
    /// Throughput to which it is kept \[bed volumes\].
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reclaim_to_bv: Option<f64>,
}

fn default_flow() -> f64 {
    3.0
}
fn default_slow_rinse() -> f64 {
    1.5
}
fn default_fast_rinse() -> f64 {
    3.0
}
fn default_fast_rinse_flow() -> f64 {
    12.0
}

impl Regeneration {
    /// A regeneration with the defaults, in a direction at a dose.
    pub fn new(direction: Direction, dose_g_per_l: f64) -> Self {
        Self {
            direction,
            salt: Salt::default(),
            dose_g_per_l,
            strength_percent: None,
            normality_eq_per_l: None,
            flow_bv_per_h: default_flow(),
            brine_water: BrineWater::default(),
            soft_water_leakage_mg_per_l_caco3: 0.0,
            slow_rinse_bv: default_slow_rinse(),
            fast_rinse_bv: default_fast_rinse(),
            fast_rinse_flow_bv_per_h: default_fast_rinse_flow(),
            backwash_mixing: None,
            backwash_flow_m_per_h: None,
            backwash_min: None,
            salt_purity_percent: None,
            salt_impurities_percent: BTreeMap::new(),
            slow_rinse_water: None,
            reclaim_from_bv: None,
            reclaim_to_bv: None,
        }
    }

    /// Check every value; `temperature_c` decides saturation.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self, temperature_c: f64) -> Result<()> {
        within("regeneration.dose_g_per_l", self.dose_g_per_l, 1.0, 2000.0, "g of salt per litre of resin")?;
        within("regeneration.flow_bv_per_h", self.flow_bv_per_h, 0.05, 100.0, "BV/h")?;
        within("regeneration.slow_rinse_bv", self.slow_rinse_bv, 0.0, 100.0, "BV")?;
        within("regeneration.fast_rinse_bv", self.fast_rinse_bv, 0.0, 1000.0, "BV")?;
        within("regeneration.fast_rinse_flow_bv_per_h", self.fast_rinse_flow_bv_per_h, 0.05, 500.0, "BV/h")?;
        within(
            "regeneration.soft_water_leakage_mg_per_l_caco3",
            self.soft_water_leakage_mg_per_l_caco3,
            0.0,
            1e4,
            "mg/L as CaCO3",
        )?;
        within_if("regeneration.backwash_mixing", self.backwash_mixing, 0.0, 1.0, "of the bed")?;
        within_if("regeneration.backwash_flow_m_per_h", self.backwash_flow_m_per_h, 0.1, 100.0, "m/h")?;
        within_if("regeneration.backwash_min", self.backwash_min, 0.0, 600.0, "min")?;
        if self.strength_percent.is_some() && self.normality_eq_per_l.is_some() {
            return Err(Error::value(
                "regeneration.strength_percent",
                "also given",
                "give strength_percent or normality_eq_per_l, not both",
            ));
        }
        let saturation = self.salt.saturation_percent(temperature_c);
        let formula = self.salt.formula();
        if let Some(percent) = self.strength_percent {
            let field = "regeneration.strength_percent";
            if percent.is_finite() && percent > saturation {
                return Err(Error::value(
                    field,
                    percent,
                    format!(
                        "above saturation: {formula} at {temperature_c} C holds at most {saturation:.2} % by weight"
                    ),
                ));
            }
            within(field, percent, 0.1, saturation, "% by weight")?;
        }
        within_if("regeneration.normality_eq_per_l", self.normality_eq_per_l, 0.01, 20.0, "eq/L")?;
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
        within_if("regeneration.reclaim_from_bv", self.reclaim_from_bv, 0.0, 100.0, "BV")?;
        within_if("regeneration.reclaim_to_bv", self.reclaim_to_bv, 0.0, 100.0, "BV")?;
        match (self.reclaim_from_bv, self.reclaim_to_bv) {
            (Some(from), Some(to)) if to <= from => Err(Error::value(
                "regeneration.reclaim_to_bv",
                to,
                format!("must be above regeneration.reclaim_from_bv, {from} BV"),
            )),
            (Some(_), None) => {
                Err(Error::value("regeneration.reclaim_to_bv", "none", "give it with reclaim_from_bv, or neither"))
            }
            (None, Some(to)) => {
                Err(Error::value("regeneration.reclaim_to_bv", to, "give it with reclaim_from_bv, or neither"))
            }
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
