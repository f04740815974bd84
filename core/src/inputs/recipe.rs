//! A free recipe: the steps between two service runs, in the order given.
//!
//! What a step leaves open is taken from the [`Regeneration`]: flows, direction, volumes of rinses, backwash. A
//! regeneration by itself stands for the recipe [`Recipe::of`] gives, whose steps leave everything open.
//!
//! Salt, strength and brine water are the regeneration's. The dose is what brine steps that give no volume of their own
//! share: by their `share`, equally where none is given, and less what the others give in bed volumes. A recipe
//! whose brine steps all give a volume or a time uses the salt in these, whatever the dose; the figures count the salt that
//! entered.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result, figure};
use crate::inputs::recipe_steps::{Backwash, Brine, FreeStep, Rinse, StepName};
use crate::inputs::regeneration::{Direction, Regeneration};

/// Most steps of a recipe.
const MOST_STEPS: usize = 100;
/// Shares of the dose sum to one within this.
pub(crate) const SHARE_ROUNDING: f64 = 1e-9;

/// The steps between two service runs, in the order given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Recipe {
    /// The steps.
    pub steps: Vec<FreeStep>,
}

impl Recipe {
    /// The recipe that a regeneration stands for; every step leaves to the regeneration what that has.
    pub fn of(regeneration: &Regeneration) -> Self {
        let mut steps = Vec::with_capacity(4);
        if regeneration.backwash_minutes() > 0.0 {
            steps.push(FreeStep::Backwash(Backwash::default()));
        }
        steps.push(FreeStep::Brine(Brine::default()));
        if regeneration.slow_rinse_bv > 0.0 {
            steps.push(FreeStep::SlowRinse(Rinse::default()));
        }
        if regeneration.fast_rinse_bv > 0.0 {
            steps.push(FreeStep::FastRinse(Rinse::default()));
        }
        Self { steps }
    }

    /// Check every step, and that they make a regeneration.
    ///
    /// # Errors
    /// [`Error::Value`] naming the field (`recipe.0.volume_bv`), the value and its limits.
    pub fn validate(&self) -> Result<()> {
        let count = self.steps.len();
        if !(1..=MOST_STEPS).contains(&count) {
            return Err(Error::value("recipe", format!("{count} steps"), format!("must be 1 to {MOST_STEPS} steps")));
        }
        for (place, step) in self.steps.iter().enumerate() {
            step.validate(&field(place))?;
        }
        let brines: Vec<_> = self.brines().collect();
        if brines.is_empty() {
            return Err(Error::value("recipe", "no brine", "must have at least one brine step"));
        }
        let Some((sharing, first)) = brines.iter().find(|(_, brine)| brine.share.is_some()) else {
            return Ok(());
        };
        if let Some((place, _)) = brines.iter().find(|(_, brine)| !brine.follows_dose()) {
            return Err(Error::value(
                format!("{}.share", field(*sharing)),
                first.share.unwrap_or(0.0),
                format!(
                    "{} gives its own volume: give brine steps shares of the dose or volumes, not both",
                    field(*place)
                ),
            ));
        }
        let sum: f64 = brines.iter().filter_map(|(_, brine)| brine.share).sum();
        let open = brines.iter().any(|(_, brine)| brine.share.is_none());
        if open && sum >= 1.0 - SHARE_ROUNDING || !open && (sum - 1.0).abs() > SHARE_ROUNDING {
            let limits = if open {
                "shares of the dose must sum to less than 1 where a brine step without one takes the rest"
            } else {
                "shares of the dose must sum to 1; a brine step without a share takes what is left"
            };
            return Err(Error::value(format!("{}.share", field(*sharing)), format!("{sum} in all"), limits));
        }
        Ok(())
    }

    /// Check the recipe against the regeneration, and against the chloride of the feed \[mg/L\].
    ///
    /// # Errors
    /// As [`Recipe::validate`].
    pub fn validate_for(&self, regeneration: &Regeneration, feed_chloride_mg_per_l: f64) -> Result<()> {
        self.validate()?;
        let direction = regeneration.direction;
        if let Some((place, brine)) = self.brines().next()
            && self.brines().all(|(_, brine)| brine.direction.is_some_and(|given| given != direction))
        {
            return Err(Error::value(
                format!("{}.direction", field(place)),
                brine.direction.unwrap_or(direction).name(),
                format!("no brine step goes {}, as regeneration.direction says", direction.name()),
            ));
        }
        let backwash = |field: &str, value: Option<f64>| match value {
            Some(value) if value > 0.0 => Err(Error::value(
                field,
                figure(value, &[]),
                "the recipe has no backwash: give it one, or leave this out",
            )),
            _ => Ok(()),
        };
        if !self.steps.iter().any(|step| step.name() == StepName::Backwash) {
            backwash("regeneration.backwash_min", regeneration.backwash_min)?;
            backwash("regeneration.backwash_mixing", regeneration.backwash_mixing)?;
        }
        for (place, step) in self.steps.iter().enumerate() {
            if let FreeStep::SlowRinse(rinse) | FreeStep::FastRinse(rinse) = step
                && let Some(level) = rinse.until_chloride_mg_per_l
                && level <= feed_chloride_mg_per_l
            {
                return Err(Error::value(
                    format!("{}.until_chloride_mg_per_l", field(place)),
                    figure(level, &[feed_chloride_mg_per_l]),
                    format!("must be above the chloride of the feed, {feed_chloride_mg_per_l:.1} mg/L"),
                ));
            }
        }
        Ok(())
    }

    /// Does the dose decide how much brine is used?
    pub fn follows_dose(&self) -> bool {
        self.brines().any(|(_, brine)| brine.follows_dose())
    }

    /// The recipe with the brine in the other direction, for a regeneration that goes `to` there.
    ///
    /// Brine and slow rinses change direction, fast rinses stay. As with a regeneration by itself, every backwash of a
    /// co-current recipe turns the whole bed over, and one is put first where there is none; a counter-current recipe has
    /// none.
    #[must_use]
    pub fn mirrored(&self, to: Direction) -> Self {
        let mut steps = self.steps.clone();
        for step in &mut steps {
            match step {
                FreeStep::Brine(Brine { direction, .. }) | FreeStep::SlowRinse(Rinse { direction, .. }) => {
                    *direction = direction.map(Direction::reversed);
                }
                FreeStep::Backwash(backwash) => backwash.mixing = Some(1.0),
                FreeStep::FastRinse(_) | FreeStep::Standby(_) => {}
            }
        }
        let is_backwash = |step: &FreeStep| step.name() == StepName::Backwash;
        match to {
            Direction::CounterCurrent => steps.retain(|step| !is_backwash(step)),
            Direction::CoCurrent if !steps.iter().any(is_backwash) => {
                steps.insert(0, FreeStep::Backwash(Backwash { mixing: Some(1.0), ..Backwash::default() }));
            }
            Direction::CoCurrent => {}
        }
        Self { steps }
    }

    /// The brine steps with their places.
    pub(crate) fn brines(&self) -> impl Iterator<Item = (usize, &Brine)> {
        self.steps.iter().enumerate().filter_map(|(place, step)| match step {
            FreeStep::Brine(brine) => Some((place, brine)),
            _ => None,
        })
    }
}

/// The place of a step as errors name it.
pub(crate) fn field(place: usize) -> String {
    format!("recipe.{place}")
}
