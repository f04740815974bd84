//! Spent regenerant kept for the next regeneration.
//!
//! What leaves from one throughput to another, counted since the first brine of any kind enters, goes to a tank instead of
//! to the drain. It is one mixed liquid there, all of which enters before the next regeneration's own brine, at that
//! brine's flow and in its direction; the dose stays the salt that is bought. Before the first regeneration the tank is
//! full of fresh brine. Viscosity and film are taken as those of the fresh brine.

use crate::error::{Error, Result, figure};
use crate::inputs::recipe_steps::StepName;
use crate::inputs::regeneration::Regeneration;
use crate::plan::resolved_steps::{Step, StepEnd};

/// The part of the spent regenerant that is kept, by throughput since the first brine \[bed volumes\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reclaim {
    /// From here ...
    pub from_bv: f64,
    /// ... to here.
    pub to_bv: f64,
}

impl Reclaim {
    /// What a regeneration keeps, if anything.
    pub(super) fn of(regeneration: &Regeneration) -> Option<Self> {
        regeneration.reclaims_bv().map(|(from_bv, to_bv)| Self { from_bv, to_bv })
    }

    /// Volume kept \[bed volumes\].
    pub fn volume_bv(self) -> f64 {
        self.to_bv - self.from_bv
    }

    /// Put the kept liquid before the first brine of a regeneration.
    ///
    /// # Errors
    /// [`Error::Value`] if the steps do not let that much through between two backwashes, or end on what leaves before.
    pub(super) fn before_the_brine(self, mut steps: Vec<Step>) -> Result<Vec<Step>> {
        let Some(place) = steps.iter().position(|step| step.name == StepName::Brine) else {
            return Ok(steps);
        };
        let end = StepEnd::VolumeBv(self.volume_bv());
        steps.insert(place, Step { name: StepName::ReclaimedBrine, end, ..steps[place] });
        let counted = steps[place..].iter().take_while(|step| {
            step.name != StepName::Backwash && matches!(step.end, StepEnd::VolumeBv(_) | StepEnd::TimeMin(_))
        });
        let most_bv: f64 = counted.map(|step| step.end.most_bv(step.flow_bv_per_h)).sum();
        if self.to_bv > most_bv * (1.0 + 1e-12) {
            return Err(Error::value(
                "regeneration.reclaim_to_bv",
                figure(self.to_bv, &[most_bv]),
                format!(
                    "must be at most {most_bv:.4} BV: what the steps from the first brine on let through, as far as they end on a volume or a time"
                ),
            ));
        }
        Ok(steps)
    }
}
