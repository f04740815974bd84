//! The steps that a free recipe is written in: what each states itself, and what it leaves to the regeneration.

use brinefront_derive::{Names, inputs};
use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::regeneration::{BrineWater, Direction};

/// What a step is called in the trade. Case files join the words by hyphens, results have them
/// apart; `FromStr` reads both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, Names)]
#[serde(rename_all = "kebab-case")]
#[names(field = "step")]
#[non_exhaustive]
pub enum StepName {
    /// Upward wash that loosens the bed.
    Backwash,
    /// Brine through the bed.
    Brine,
    /// Brine kept from the regeneration before, ahead of the fresh one.
    #[names(alias = "reclaimed brine")]
    ReclaimedBrine,
    /// Displacement of the brine, at its flow and direction.
    #[names(alias = "slow rinse")]
    SlowRinse,
    /// Rinse to service quality.
    #[names(alias = "fast rinse")]
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
#[inputs(part = "recipe.*", source = "What a step leaves open, the regeneration has.", standing = "choice, no source")]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Backwash {
    /// Flow \[m/h\]; the regeneration's `backwash_flow_m_per_h` if none is given, else 15.
    #[field(words = "flow of the backwash", unit = "m/h", range = 0.1..=100.0, off = "as the regeneration has it", sample = 14.0)]
    pub flow_m_per_h: Option<f64>,
    /// Duration \[min\]; the regeneration's `backwash_min` if no end is given, else 10.
    #[field(words = "duration", unit = "min", range = 0.01..=600.0, off = "as the volume asks", sample = 10.0)]
    pub minutes: Option<f64>,
    /// Volume \[bed volumes\], instead of a duration.
    #[field(words = "volume", unit = "BV", range = 0.001..=1000.0, off = "as the regeneration has it", sample = 2.0)]
    pub volume_bv: Option<f64>,
    /// Fraction of the bed, from the top, that is turned over; the regeneration's `backwash_mixing` if none is given, else 1.
    #[field(words = "part of the bed turned over", unit = "of the depth", in_errors = "of the bed", range = 0.0..=1.0)]
    #[field(off = "as the regeneration has it", sample = 0.6)]
    pub mixing: Option<f64>,
    /// Its water.
    #[field(words = "water", choices("soft", "feed"))]
    #[field(off = "that of the brine for a slow rinse, the feed for a fast one and for a backwash")]
    pub water: Option<BrineWater>,
}

/// Brine through the bed. Its volume is the one given, or its part of what the dose makes at the brine's strength.
#[inputs(part = "recipe.*", source = "What a step leaves open, the regeneration has.", standing = "choice, no source")]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Brine {
    /// Flow \[bed volumes per hour\]; the regeneration's if none is given.
    #[field(words = "flow", unit = "BV/h", range = 0.05..=100.0, off = "as the regeneration has it", sample = 3.0)]
    pub flow_bv_per_h: Option<f64>,
    /// Direction, relative to service; the regeneration's if none is given.
    #[field(words = "direction", choices("co-current", "counter-current"))]
    #[field(off = "as the regeneration has it; a fast rinse goes with service")]
    pub direction: Option<Direction>,
    /// Share of the dose.
    #[field(words = "share of the dose", unit = "of it", in_errors = "of the dose", range = 0.001..=1.0)]
    #[field(off = "the rest of the dose", sample = 0.5)]
    pub share: Option<f64>,
    /// Volume \[bed volumes\], whatever the dose.
    #[field(words = "volume", unit = "BV", range = 0.001..=100.0, off = "as the regeneration has it", sample = 0.8)]
    pub volume_bv: Option<f64>,
    /// Duration \[min\], whatever the dose.
    #[field(words = "duration", unit = "min", range = 0.01..=1e5, off = "as the volume asks", sample = 30.0)]
    pub minutes: Option<f64>,
}

/// A rinse. Ends on a volume, a time, or what leaves once one void volume has left: then at `at_most_bv` all the same.
#[inputs(part = "recipe.*", source = "What a step leaves open, the regeneration has.", standing = "choice, no source")]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rinse {
    /// Flow \[bed volumes per hour\]. A slow rinse keeps that of the brine before it, or takes the regeneration's
    /// `flow_bv_per_h`; a fast one takes `fast_rinse_flow_bv_per_h`.
    #[field(words = "flow", unit = "BV/h", range = 0.05..=500.0, off = "as the regeneration has it", sample = 4.0)]
    #[field(needs(volume_bv))]
    pub flow_bv_per_h: Option<f64>,
    /// Direction, relative to service. A slow rinse keeps that of the brine before it, or takes the regeneration's; a fast
    /// one goes with service.
    #[field(words = "direction", choices("co-current", "counter-current"))]
    #[field(off = "as the regeneration has it; a fast rinse goes with service")]
    pub direction: Option<Direction>,
    /// Its water. A slow rinse takes the regeneration's `slow_rinse_water`, or that of the brine; a fast one the feed.
    #[field(words = "water", choices("soft", "feed"))]
    #[field(off = "that of the brine for a slow rinse, the feed for a fast one and for a backwash")]
    pub water: Option<BrineWater>,
    /// Volume \[bed volumes\]; the regeneration's `slow_rinse_bv` or `fast_rinse_bv` if no end is given.
    #[field(words = "volume", unit = "BV", range = 0.001..=1000.0, off = "as the regeneration has it", sample = 1.5)]
    pub volume_bv: Option<f64>,
    /// Duration \[min\].
    #[field(words = "duration", unit = "min", range = 0.01..=1e5, off = "as the volume asks", sample = 30.0)]
    pub minutes: Option<f64>,
    /// Effluent hardness that ends it \[mg/L as CaCO3\], armed once one void volume has left.
    #[field(words = "ends at an effluent hardness of", unit = "mg/L as CaCO3", range = 1e-6..=1e6)]
    #[field(off = "ends on volume or time", sample = 5.0, needs(at_most_bv))]
    pub until_hardness_mg_per_l_caco3: Option<f64>,
    /// Effluent chloride that ends it \[mg/L\], armed likewise.
    #[field(words = "ends at an effluent chloride of", unit = "mg/L", range = 1e-3..=1e6)]
    #[field(off = "ends on volume or time", sample = 900.0, needs(at_most_bv))]
    pub until_chloride_mg_per_l: Option<f64>,
    /// Volume at which it ends all the same, if it ends on what leaves \[bed volumes\]; must then be given.
    #[field(words = "ends at the latest after", unit = "BV", range = 0.001..=1000.0)]
    #[field(off = "ends on volume or time", sample = 6.0, needs(until_chloride_mg_per_l))]
    pub at_most_bv: Option<f64>,
}

/// No flow: liquid and beads go to equilibrium with each other where they are.
#[inputs(
    part = "recipe.*",
    positional(minutes),
    source = "What a step leaves open, the regeneration has.",
    standing = "choice, no source"
)]
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Standby {
    /// Duration \[min\].
    #[field(words = "duration", unit = "min", range = 0.01..=1e6, sample = 20.0)]
    pub minutes: f64,
}

/// One step of a free recipe; in a case file `step` names it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "step", rename_all = "kebab-case")]
#[non_exhaustive]
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

    /// The struct that holds the fields of a step, by its name in a case file; empty for a name that no step has.
    pub(super) fn fields_of(step: &str) -> &'static str {
        match step.parse() {
            Ok(StepName::Backwash) => "Backwash",
            Ok(StepName::Brine) => "Brine",
            Ok(StepName::SlowRinse | StepName::FastRinse) => "Rinse",
            Ok(StepName::Standby) => "Standby",
            Ok(StepName::ReclaimedBrine | StepName::Service) | Err(_) => "",
        }
    }

    /// Check every value; `place` comes before the field's name in errors (`recipe.0`).
    ///
    /// # Errors
    /// [`Error::Value`] naming the field, the value and its limits.
    pub fn validate(&self, place: &str) -> Result<()> {
        match self {
            Self::Backwash(step) => step.validate(place),
            Self::Brine(step) => step.validate(place),
            Self::SlowRinse(step) | Self::FastRinse(step) => step.validate(place),
            Self::Standby(step) => step.check_ranges(place),
        }
    }
}

impl Backwash {
    fn validate(&self, place: &str) -> Result<()> {
        self.check_ranges(place)?;
        one_end(place, &[("minutes", self.minutes), ("volume_bv", self.volume_bv)])
    }
}

impl Brine {
    /// Does its volume follow from the dose?
    pub fn follows_dose(&self) -> bool {
        self.volume_bv.is_none() && self.minutes.is_none()
    }

    fn validate(&self, place: &str) -> Result<()> {
        self.check_ranges(place)?;
        one_end(place, &[("share", self.share), ("volume_bv", self.volume_bv), ("minutes", self.minutes)])
    }
}

impl Rinse {
    fn validate(&self, place: &str) -> Result<()> {
        let name = |field: &str| format!("{place}.{field}");
        let (hardness, chloride) = (self.until_hardness_mg_per_l_caco3, self.until_chloride_mg_per_l);
        self.check_ranges(place)?;
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
