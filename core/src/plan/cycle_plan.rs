//! A whole cycle: the model, the steps between two service runs, service, and what a report of it needs besides.

use crate::error::Result;
use crate::inputs::case::Case;
use crate::inputs::recipe_steps::StepName;
use crate::inputs::regeneration::{BrineWater, Direction};
use crate::inputs::site::Site;
use crate::plan::layers::layers;
use crate::plan::model::Model;
use crate::plan::recipe::resolved_steps;
use crate::plan::reclaim::Reclaim;
use crate::plan::resolved_steps::Step;
use crate::plan::service::ServicePlan;
use crate::plan::steps::PlannedStep;

/// Everything that a cycle is run and reported from.
#[derive(Debug, Clone)]
pub struct CyclePlan {
    /// The coefficients.
    pub model: Model,
    /// The steps between two service runs.
    pub regeneration: Vec<PlannedStep>,
    /// The service run.
    pub service: ServicePlan,
    /// What is kept of the spent regenerant, if anything.
    pub reclaim: Option<Reclaim>,
    /// Brine of the recipe, over all its brine steps \[bed volumes\].
    pub brine_bv: f64,
    /// Direction of the brine.
    pub direction: Direction,
    /// Salt of the dose \[g per litre of bed\].
    pub dose_g_per_l: f64,
    /// Pure salt in the salt as sold, as a mass fraction, if anything is known of it.
    pub salt_purity_fraction: Option<f64>,
    /// Where the softener stands, if that is known.
    pub site: Option<Site>,
    /// Is the brine made with softened water?
    pub brine_takes_soft_water: bool,
    /// Cycles after which the search for a steady one is given up.
    pub most_cycles: usize,
    /// Would beads mix where an upflow lifts them, were the bed not held down?
    pub mixing_prevented: bool,
}

impl CyclePlan {
    /// The cycle of a valid case.
    ///
    /// # Errors
    /// [`crate::Error::Value`] for a case that is not valid, or a step that is left no volume.
    pub fn new(case: &Case) -> Result<Self> {
        case.validate_cycle()?;
        let reclaim = Reclaim::of(&case.regeneration);
        let with_reclaimed = |steps| match reclaim {
            Some(reclaim) => reclaim.before_the_brine(steps),
            None => Ok(steps),
        };
        Ok(Self { reclaim, ..Self::of_steps(case, with_reclaimed)? })
    }

    /// The same with fresh brine alone, and of a feed that need not be hard: for what looks at steps and runs no bed.
    ///
    /// # Errors
    /// As [`CyclePlan::new`].
    pub fn of_recipe(case: &Case) -> Result<Self> {
        Self::of_steps(case, Ok)
    }

    fn of_steps(case: &Case, change: impl FnOnce(Vec<Step>) -> Result<Vec<Step>>) -> Result<Self> {
        let model = Model::new(case, &[])?;
        let steps = resolved_steps(case, &model.waters)?;
        let brines = steps.iter().filter(|step| step.name == StepName::Brine);
        let brine_bv = brines.map(|step| step.end.most_bv(step.flow_bv_per_h)).sum();
        let regeneration: Vec<_> = change(steps)?.iter().map(|step| PlannedStep::of(&model, step)).collect();
        let layers = layers(&model, &regeneration);
        Ok(Self {
            regeneration,
            service: ServicePlan::of(&model, &case.service),
            reclaim: None,
            brine_bv,
            direction: case.regeneration.direction,
            dose_g_per_l: case.regeneration.dose_g_per_l,
            salt_purity_fraction: case.regeneration.salt_purity_fraction(),
            site: case.site.clone(),
            brine_takes_soft_water: case.regeneration.brine_water == BrineWater::Soft,
            most_cycles: case.most_cycles,
            mixing_prevented: case.bed.is_held_down() && !case.bed.lifted_mixing.is_none(),
            model: model.with_layers(layers),
        })
    }

    /// The same cycle on another grid, with another error allowed in one time step.
    #[must_use]
    pub fn on_grid(&self, cells: usize, tolerance: f64) -> Self {
        Self { model: self.model.on_grid(cells, tolerance), ..self.clone() }
    }
}
