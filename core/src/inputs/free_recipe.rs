//! A free recipe: the steps between two service runs, in the order given.
//!
//! What a step leaves open, the [`Regeneration`] says: flows, direction, volumes of rinses, backwash. A regeneration by
//! itself stands for the recipe [`Recipe::of`] gives, whose steps leave everything open.
//!
//! Salt, strength and brine water are the regeneration's. The dose is what brine steps that give no volume of their own
//! share: as their `share` says, equally where nothing is said, and less what the others give in bed volumes. A recipe
//! whose brine steps all give a volume or a time uses the salt in these, whatever the dose; the figures count the salt that
//! entered.

use serde::{Deserialize, Serialize};

use crate::error::{Error, Result};
use crate::inputs::bed::Bed;
use crate::inputs::free_steps::{Backwash, Brine, FreeStep, Rinse, Standby};
use crate::inputs::recipe::{Step, StepDirection, StepEnd, StepName, StepWater};
use crate::inputs::regeneration::{BACKWASH_M_PER_H, BACKWASH_MIN, BrineWater, Direction, Regeneration};
use crate::units::convert::{m_per_h_to_m_per_s, min_to_s};

/// Most steps of a recipe.
const MOST_STEPS: usize = 100;
/// Shares of the dose sum to one within this.
const SHARE_ROUNDING: f64 = 1e-9;

/// The steps between two service runs, in the order given.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Recipe {
    /// The steps.
    pub steps: Vec<FreeStep>,
}

impl Recipe {
    /// The recipe that a regeneration stands for; every step leaves to the regeneration what that says.
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

    /// Check the recipe against what the regeneration says, and against the chloride of the feed \[mg/L\].
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
            Some(value) if value > 0.0 => {
                Err(Error::value(field, value, "the recipe has no backwash: give it one, or leave this out"))
            }
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
                    level,
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

    /// The steps with everything said; `brine_bv` is the volume of brine that the dose makes \[bed volumes\].
    ///
    /// # Errors
    /// [`Error::Value`] if a step that leaves its volume open is left none.
    pub fn resolved(&self, regeneration: &Regeneration, bed: &Bed, brine_bv: f64) -> Result<Vec<Step>> {
        let open_bv = self.open_brine_bv(regeneration, brine_bv)?;
        let mut steps: Vec<Step> = Vec::with_capacity(self.steps.len());
        // The brine that a slow rinse displaces.
        let (mut flow, mut direction) = (regeneration.flow_bv_per_h, along(regeneration.direction));
        for (place, step) in self.steps.iter().enumerate() {
            steps.push(match step {
                FreeStep::Backwash(backwash) => resolved_backwash(place, backwash, regeneration, bed)?,
                FreeStep::Brine(brine) => {
                    flow = brine.flow_bv_per_h.unwrap_or(regeneration.flow_bv_per_h);
                    direction = along(brine.direction.unwrap_or(regeneration.direction));
                    let of_dose = brine.share.map_or(open_bv, |share| brine_bv * share);
                    Step {
                        name: StepName::Brine,
                        water: StepWater::Brine,
                        flow_bv_per_h: flow,
                        direction,
                        end: end_of(brine.volume_bv, brine.minutes, of_dose),
                        mixing: 0.0,
                    }
                }
                FreeStep::SlowRinse(rinse) => {
                    let usual = Usual {
                        name: StepName::SlowRinse,
                        water: regeneration.slow_rinse_water.unwrap_or(regeneration.brine_water),
                        flow_bv_per_h: flow,
                        direction,
                        volume_bv: ("regeneration.slow_rinse_bv", regeneration.slow_rinse_bv),
                    };
                    resolved_rinse(place, rinse, usual)?
                }
                FreeStep::FastRinse(rinse) => {
                    let usual = Usual {
                        name: StepName::FastRinse,
                        water: BrineWater::Feed,
                        flow_bv_per_h: regeneration.fast_rinse_flow_bv_per_h,
                        direction: StepDirection::WithService,
                        volume_bv: ("regeneration.fast_rinse_bv", regeneration.fast_rinse_bv),
                    };
                    resolved_rinse(place, rinse, usual)?
                }
                FreeStep::Standby(Standby { minutes }) => Step {
                    name: StepName::Standby,
                    // What the bed is full of: it decides viscosity and film.
                    water: steps.last().map_or(StepWater::Feed, |before| before.water),
                    flow_bv_per_h: 0.0,
                    direction: StepDirection::WithService,
                    end: StepEnd::TimeMin(*minutes),
                    mixing: 0.0,
                },
            });
        }
        Ok(steps)
    }

    /// Volume of each brine step that says neither share, volume nor time \[bed volumes\]; 0 if there is none.
    fn open_brine_bv(&self, regeneration: &Regeneration, brine_bv: f64) -> Result<f64> {
        let is_open = |brine: &Brine| brine.follows_dose() && brine.share.is_none();
        let open = self.brines().filter(|(_, brine)| is_open(brine)).count();
        let Some((place, _)) = self.brines().find(|(_, brine)| is_open(brine)) else {
            return Ok(0.0);
        };
        let shared: f64 = self.brines().filter_map(|(_, brine)| brine.share).sum();
        let given: f64 = self
            .brines()
            .filter(|(_, brine)| !brine.follows_dose())
            .map(|(_, brine)| {
                let flow = brine.flow_bv_per_h.unwrap_or(regeneration.flow_bv_per_h);
                end_of(brine.volume_bv, brine.minutes, 0.0).most_bv(flow)
            })
            .sum();
        let left = brine_bv * (1.0 - shared) - given;
        if left <= SHARE_ROUNDING * brine_bv {
            return Err(Error::value(
                format!("{}.volume_bv", field(place)),
                "none",
                format!(
                    "the dose of {} g/L makes {brine_bv:.4} BV of brine and the other brine steps take {given:.4}: nothing is left",
                    regeneration.dose_g_per_l
                ),
            ));
        }
        Ok(left / open as f64)
    }

    fn brines(&self) -> impl Iterator<Item = (usize, &Brine)> {
        self.steps.iter().enumerate().filter_map(|(place, step)| match step {
            FreeStep::Brine(brine) => Some((place, brine)),
            _ => None,
        })
    }
}

/// The place of a step as errors name it.
fn field(place: usize) -> String {
    format!("recipe.{place}")
}

fn along(direction: Direction) -> StepDirection {
    match direction {
        Direction::CoCurrent => StepDirection::WithService,
        Direction::CounterCurrent => StepDirection::AgainstService,
    }
}

fn water_of(water: BrineWater) -> StepWater {
    match water {
        BrineWater::Soft => StepWater::Soft,
        BrineWater::Feed => StepWater::Feed,
    }
}

fn end_of(volume_bv: Option<f64>, minutes: Option<f64>, usual_bv: f64) -> StepEnd {
    match (volume_bv, minutes) {
        (Some(volume), _) => StepEnd::VolumeBv(volume),
        (None, Some(minutes)) => StepEnd::TimeMin(minutes),
        (None, None) => StepEnd::VolumeBv(usual_bv),
    }
}

/// What a rinse takes where it says nothing.
struct Usual {
    name: StepName,
    water: BrineWater,
    flow_bv_per_h: f64,
    direction: StepDirection,
    volume_bv: (&'static str, f64),
}

fn resolved_rinse(place: usize, rinse: &Rinse, usual: Usual) -> Result<Step> {
    let at_most_bv = rinse.at_most_bv.unwrap_or(0.0);
    let end = match (rinse.until_hardness_mg_per_l_caco3, rinse.until_chloride_mg_per_l) {
        (Some(mg_per_l_caco3), _) => StepEnd::HardnessBelow { mg_per_l_caco3, at_most_bv },
        (None, Some(mg_per_l)) => StepEnd::ChlorideBelow { mg_per_l, at_most_bv },
        (None, None) => end_of(rinse.volume_bv, rinse.minutes, usual.volume_bv.1),
    };
    some_volume(place, "volume_bv", end, usual.volume_bv.0)?;
    Ok(Step {
        name: usual.name,
        water: water_of(rinse.water.unwrap_or(usual.water)),
        flow_bv_per_h: rinse.flow_bv_per_h.unwrap_or(usual.flow_bv_per_h),
        direction: rinse.direction.map_or(usual.direction, along),
        end,
        mixing: 0.0,
    })
}

fn resolved_backwash(place: usize, backwash: &Backwash, regeneration: &Regeneration, bed: &Bed) -> Result<Step> {
    let flow_m_per_h = backwash.flow_m_per_h.or(regeneration.backwash_flow_m_per_h).unwrap_or(BACKWASH_M_PER_H);
    let minutes = backwash.minutes.or(regeneration.backwash_min).unwrap_or(BACKWASH_MIN);
    let in_minutes = m_per_h_to_m_per_s(flow_m_per_h) * min_to_s(minutes) / bed.depth_m();
    let end = StepEnd::VolumeBv(backwash.volume_bv.unwrap_or(in_minutes));
    some_volume(place, "minutes", end, "regeneration.backwash_min")?;
    Ok(Step {
        name: StepName::Backwash,
        water: water_of(backwash.water.unwrap_or(BrineWater::Feed)),
        flow_bv_per_h: flow_m_per_h / bed.depth_m(),
        direction: StepDirection::AgainstService,
        end,
        mixing: backwash.mixing.or(regeneration.backwash_mixing).unwrap_or(1.0),
    })
}

/// A step is there to pass something: refuse a volume of 0 taken over from the regeneration.
fn some_volume(place: usize, name: &str, end: StepEnd, from: &str) -> Result<()> {
    match end {
        StepEnd::VolumeBv(volume) if volume <= 0.0 => Err(Error::value(
            format!("{}.{name}", field(place)),
            "none",
            format!("{from} is 0: give the step an end of its own, or leave the step out"),
        )),
        _ => Ok(()),
    }
}
