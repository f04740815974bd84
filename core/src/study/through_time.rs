//! The bed through one whole cycle.

use crate::cycle::history::CycleHistory;
use crate::cycle::recorder::Recording;
use crate::cycle::steady::{Settled, settle_recorded};
use crate::cycle::warm_start::WarmStart;
use crate::cycle::{Watch, repeat, unwatched};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::inputs::cells::Cells;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::model::Model;
use crate::report::through_time::{self, ThroughTime};
use crate::study::recovery::AboveLimit;
use crate::study::{accuracy, single};

impl Case {
    /// Run as [`Case::cycle`] does, or to the last of `from_new_resin` cycles in a row as [`Case::cycles`] does, and
    /// then that cycle once more with the bed recorded at so many moments.
    ///
    /// The cycle recorded is the one reported, to the last bit.
    ///
    /// # Errors
    /// As [`Case::cycle`]; [`Error::Value`] unless there are two moments for each step, and at most 5000.
    pub fn through_time(&self, from_new_resin: Option<usize>, moments: usize) -> Result<ThroughTime> {
        self.through_time_watched(from_new_resin, moments, &unwatched)
    }

    /// [`Case::through_time`] under a watcher.
    ///
    /// # Errors
    /// As [`Case::through_time`]; [`Error::Interrupted`] from the watcher.
    pub fn through_time_watched(
        &self,
        from_new_resin: Option<usize>,
        moments: usize,
        watch: &Watch<'_>,
    ) -> Result<ThroughTime> {
        let (model, history, recording) = match from_new_resin {
            None => steady(self, moments, watch)?,
            Some(n) => {
                let found = single::cells_found(self, watch)?;
                let plan = CyclePlan::new(found.as_ref().unwrap_or(self))?;
                let (history, recording) = repeat::repeat_recorded(&plan, n, moments, watch)?;
                (plan.model, history, recording)
            }
        };
        Ok(through_time::through_time(&model, &history, &recording))
    }
}

/// The steady cycle, on the grid of the case or on the last of those that its accuracy asks for.
fn steady(case: &Case, moments: usize, watch: &Watch<'_>) -> Result<(Model, CycleHistory, Recording)> {
    case.validate_cycle()?;
    let mut last = None;
    let mut settle = |plan: &CyclePlan, from: Option<&WarmStart>| -> Result<Settled> {
        let mut found = settle_recorded(plan, from, moments, watch)?;
        last = found.recording.take().map(|recording| (found.plan.model.clone(), found.history.clone(), recording));
        Ok(found)
    };
    match case.cells {
        Cells::Number(_) => settle(&CyclePlan::new(case)?, None).map(|_| ())?,
        Cells::Auto => accuracy::on_finer_grids(case, (AboveLimit::Leave, watch), settle).map(|_| ())?,
    }
    last.ok_or_else(|| Error::value("moments", moments, "no cycle was run"))
}
