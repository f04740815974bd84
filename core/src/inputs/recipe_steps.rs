//! The steps that a free recipe is written in: what each says of itself, and what it leaves to the regeneration.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::check::{within, within_if};
use crate::inputs::regeneration::{BrineWater, Direction};

/// What a step is called in the trade.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum StepName {
    /// Upward wash that loosens the bed.
    Backwash,
    /// Brine through the bed.
    Brine,
    /// Brine kept from the regeneration before, ahead of the fresh one.
    ReclaimedBrine,
    /// Displacement of the brine, at its flow and direction.
    SlowRinse,
    /// Rinse to service quality.
    FastRinse,
    /// No flow.
    Standby,
    /// Softening.
    Service,
}

impl StepName {
    /// The name in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Backwash => "backwash",
            Self::Brine => "brine",
            Self::ReclaimedBrine => "reclaimed brine",
            Self::SlowRinse => "slow rinse",
            Self::FastRinse => "fast rinse",
            Self::Standby => "standby",
            Self::Service => "service",
        }
    }
}

/// An upward wash that replaces the void and turns over the top of the bed. Ends on a time or a volume.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Backwash {
    /// Flow \[m/h\]; else `regeneration.backwash_flow_m_per_h`, else 15.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_m_per_h: Option<f64>,
    /// Duration \[min\]; without an end `regeneration.backwash_min`, else 10.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// Volume \[bed volumes\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_bv: Option<f64>,
    /// Fraction of the bed, from the top, that is turned over; else `regeneration.backwash_mixing`, else 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mixing: Option<f64>,
    /// Its water; else the feed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<BrineWater>,
}

/// Brine through the bed. Its volume is what it says, or its part of what the dose makes at the brine's strength.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Brine {
    /// Flow \[bed volumes per hour\]; else `regeneration.flow_bv_per_h`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_bv_per_h: Option<f64>,
    /// Direction, relative to service; else `regeneration.direction`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub direction: Option<Direction>,
    /// Share of the dose, above 0 to 1.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub share: Option<f64>,
    /// Volume \[bed volumes\], whatever the dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_bv: Option<f64>,
    /// Duration \[min\], whatever the dose.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
}

/// A rinse. Ends on a volume, a time, or what leaves once one void volume has left: then at `at_most_bv` all the same.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Rinse {
    /// Flow \[bed volumes per hour\]. A slow rinse keeps that of the brine before it, or takes
    /// `regeneration.flow_bv_per_h`; a fast one takes `regeneration.fast_rinse_flow_bv_per_h`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub flow_bv_per_h: Option<f64>,
    /// Direction, relative to service. A slow rinse keeps that of the brine before it, or takes
    /// `regeneration.direction`; a fast one goes with service.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub direction: Option<Direction>,
    /// Its water: else `regeneration.slow_rinse_water` or the brine's for a slow rinse, the feed for a fast one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<BrineWater>,
    /// Volume \[bed volumes\]; without an end `regeneration.slow_rinse_bv` or `regeneration.fast_rinse_bv`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub volume_bv: Option<f64>,
    /// Duration \[min\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minutes: Option<f64>,
    /// Effluent hardness that ends it \[mg/L as CaCO3\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until_hardness_mg_per_l_caco3: Option<f64>,
    /// Effluent chloride that ends it \[mg/L\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub until_chloride_mg_per_l: Option<f64>,
    /// Volume at which it ends all the same, if it ends on what leaves \[bed volumes\].
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_most_bv: Option<f64>,
}

/// No flow: liquid and beads go to equilibrium with each other where they are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standby {
    /// Duration \[min\].
    pub minutes: f64,
}

/// One step of a free recipe; in a case file `step` says which.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "step", rename_all = "kebab-case")]
pub enum FreeStep {
    /// Upward wash that loosens the bed.
    Backwash(Backwash),
    /// Brine through the bed.
    Brine(Brine),
    /// Displacement of the brine.
    SlowRinse(Rinse),
    /// Rinse to service quality.
    FastRinse(Rinse),
    /// No flow.
    Standby(Standby),
}

impl FreeStep {
    /// What it is called in the trade.
    pub fn name(&self) -> StepName {
        match self {
            Self::Backwash(_) => StepName::Backwash,
            Self::Brine(_) => StepName::Brine,
            Self::SlowRinse(_) => StepName::SlowRinse,
            Self::FastRinse(_) => StepName::FastRinse,
            Self::Standby(_) => StepName::Standby,
        }
    }

    /// Check every value; `place` stands before the field's name in errors (`recipe.0`).
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self, place: &str) -> Result<()> {
        match self {
            Self::Backwash(step) => step.validate(place),
            Self::Brine(step) => step.validate(place),
            Self::SlowRinse(step) | Self::FastRinse(step) => step.validate(place),
            Self::Standby(step) => within(&format!("{place}.minutes"), step.minutes, 0.01, 1e6, "min"),
        }
    }
}

impl Backwash {
    fn validate(&self, place: &str) -> Result<()> {
        let name = |field: &str| format!("{place}.{field}");
        within_if(&name("flow_m_per_h"), self.flow_m_per_h, 0.1, 100.0, "m/h")?;
        within_if(&name("minutes"), self.minutes, 0.01, 600.0, "min")?;
        within_if(&name("volume_bv"), self.volume_bv, 0.001, 1000.0, "BV")?;
        within_if(&name("mixing"), self.mixing, 0.0, 1.0, "of the bed")?;
        one_end(place, &[("minutes", self.minutes), ("volume_bv", self.volume_bv)])
    }
}

impl Brine {
    /// Does its volume follow from the dose?
    pub fn follows_dose(&self) -> bool {
        self.volume_bv.is_none() && self.minutes.is_none()
    }

    fn validate(&self, place: &str) -> Result<()> {
        let name = |field: &str| format!("{place}.{field}");
        within_if(&name("flow_bv_per_h"), self.flow_bv_per_h, 0.05, 100.0, "BV/h")?;
        within_if(&name("share"), self.share, 0.001, 1.0, "of the dose")?;
        within_if(&name("volume_bv"), self.volume_bv, 0.001, 100.0, "BV")?;
        within_if(&name("minutes"), self.minutes, 0.01, 1e5, "min")?;
        one_end(place, &[("share", self.share), ("volume_bv", self.volume_bv), ("minutes", self.minutes)])
    }
}

impl Rinse {
    fn validate(&self, place: &str) -> Result<()> {
        let name = |field: &str| format!("{place}.{field}");
        let (hardness, chloride) = (self.until_hardness_mg_per_l_caco3, self.until_chloride_mg_per_l);
        within_if(&name("flow_bv_per_h"), self.flow_bv_per_h, 0.05, 500.0, "BV/h")?;
        within_if(&name("volume_bv"), self.volume_bv, 0.001, 1000.0, "BV")?;
        within_if(&name("minutes"), self.minutes, 0.01, 1e5, "min")?;
        within_if(&name("until_hardness_mg_per_l_caco3"), hardness, 1e-6, 1e6, "mg/L as CaCO3")?;
        within_if(&name("until_chloride_mg_per_l"), chloride, 1e-3, 1e6, "mg/L")?;
        within_if(&name("at_most_bv"), self.at_most_bv, 0.001, 1000.0, "BV")?;
        one_end(
            place,
            &[
                ("volume_bv", self.volume_bv),
                ("minutes", self.minutes),
                ("until_hardness_mg_per_l_caco3", hardness),
                ("until_chloride_mg_per_l", chloride),
            ],
        )?;
        match (hardness.or(chloride), self.at_most_bv) {
            (Some(_), None) => Err(Error::value(
                name("at_most_bv"),
                "none",
                "give the volume at which the rinse ends all the same, from 0.001 to 1000 BV",
            )),
            (None, Some(most)) => Err(Error::value(
                name("at_most_bv"),
                most,
                "belongs to until_hardness_mg_per_l_caco3 or until_chloride_mg_per_l: give one, or volume_bv instead",
            )),
            _ => Ok(()),
        }
    }
}

/// At most one of the ends is given.
fn one_end(place: &str, ends: &[(&str, Option<f64>)]) -> Result<()> {
    let given: Vec<_> = ends.iter().filter(|(_, value)| value.is_some()).map(|(name, _)| *name).collect();
    if given.len() < 2 {
        return Ok(());
    }
    let all: Vec<_> = ends.iter().map(|(name, _)| *name).collect();
    Err(Error::value(place, given.join(" and "), format!("give at most one of {}", all.join(", "))))
}
