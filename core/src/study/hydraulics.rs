//! What the flow of each step does to its bed, without a run.

use crate::error::Result;
use crate::inputs::case::Case;
use crate::plan::cycle_plan::CyclePlan;
use crate::report::hydraulics::{HydraulicsRow, of_plan};
use crate::study::no_march::any_grid;

impl Case {
    /// The hydraulics of the steps, service last.
    ///
    /// # Errors
    /// [`Error::Value`](crate::Error::Value) for a case that is not valid.
    pub fn hydraulics(&self) -> Result<Vec<HydraulicsRow>> {
        Ok(of_plan(&CyclePlan::of_recipe(&any_grid(self))?))
    }
}
