//! A recipe resolved: what a step leaves open is filled in from the regeneration.

use crate::error::{Error, Result, figure};
use crate::inputs::bed::Bed;
use crate::inputs::case::Case;
use crate::inputs::recipe::{Recipe, SHARE_ROUNDING, field};
use crate::inputs::recipe_steps::{Backwash, Brine, FreeStep, Rinse, Standby, StepName};
use crate::inputs::regeneration::{BACKWASH_M_PER_H, BACKWASH_MIN, BrineWater, Regeneration};
use crate::plan::resolved_steps::{Step, StepDirection, StepEnd, StepWater};
use crate::plan::waters::Waters;
use crate::units::convert::{m_per_h_to_m_per_s, min_to_s};

/// The steps of a case between two service runs.
///
/// # Errors
/// [`Error::Value`] for a step that is left no volume.
pub fn resolved_steps(case: &Case, waters: &Waters) -> Result<Vec<Step>> {
    let resolved = |recipe: &Recipe| recipe.resolved(&case.regeneration, &case.bed, waters.brine_bv);
    case.recipe.as_ref().map_or_else(|| resolved(&Recipe::of(&case.regeneration)), resolved)
}

impl Recipe {
    /// The steps with everything said; `brine_bv` is the volume of brine that the dose makes \[bed volumes\].
    ///
    /// # Errors
    /// [`Error::Value`] if a step that leaves its volume open is left none.
    pub fn resolved(&self, regeneration: &Regeneration, bed: &Bed, brine_bv: f64) -> Result<Vec<Step>> {
        let open_bv = self.open_brine_bv(regeneration, brine_bv)?;
        let mut steps: Vec<Step> = Vec::with_capacity(self.steps.len());
        // The brine that a slow rinse displaces.
        let (mut flow, mut direction) = (regeneration.flow_bv_per_h, StepDirection::of(regeneration.direction));
        for (place, step) in self.steps.iter().enumerate() {
            steps.push(match step {
                FreeStep::Backwash(backwash) => resolved_backwash(place, backwash, regeneration, bed)?,
                FreeStep::Brine(brine) => {
                    flow = brine.flow_bv_per_h.unwrap_or(regeneration.flow_bv_per_h);
                    direction = StepDirection::of(brine.direction.unwrap_or(regeneration.direction));
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
                        water: regeneration.rinse_water(),
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

    /// Volume of each brine step that gives neither share, volume nor time \[bed volumes\]; 0 if there is none.
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
                    figure(regeneration.dose_g_per_l, &[])
                ),
            ));
        }
        Ok(left / open as f64)
    }
}

fn end_of(volume_bv: Option<f64>, minutes: Option<f64>, usual_bv: f64) -> StepEnd {
    match (volume_bv, minutes) {
        (Some(volume), _) => StepEnd::VolumeBv(volume),
        (None, Some(minutes)) => StepEnd::TimeMin(minutes),
        (None, None) => StepEnd::VolumeBv(usual_bv),
    }
}

/// What a rinse takes for what it leaves open.
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
        water: StepWater::of(rinse.water.unwrap_or(usual.water)),
        flow_bv_per_h: rinse.flow_bv_per_h.unwrap_or(usual.flow_bv_per_h),
        direction: rinse.direction.map_or(usual.direction, StepDirection::of),
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
        water: StepWater::of(backwash.water.unwrap_or(BrineWater::Feed)),
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
