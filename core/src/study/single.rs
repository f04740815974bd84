//! One case, from file to report.
//!
//! What a case can be asked is a method of it, here and in the files for longer questions; each that marches a bed has
//! a second form, `..._watched`, with a watcher that sees how far it has come and may stop it.

use crate::cycle::history::{CycleHistory, Settling};
use crate::cycle::run::{Loading, RunHistory, run};
use crate::cycle::{Watch, repeat, unwatched};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::inputs::cells::Cells;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::run_plan::RunPlan;
use crate::report::figures::GridErrors;
use crate::report::read;
use crate::report::{CycleReport, RunReport};
use crate::study::recovery::AboveLimit;
use crate::study::{accuracy, reports};

impl Case {
    /// Run to the cyclic steady state and report.
    ///
    /// A service that is never soft, one that is only after shorter runs, and a cycle that does not settle, are outcomes:
    /// see [`Figures::outcome`](crate::Figures::outcome) and `search_end`. Where service is above the limit from the start,
    /// further cycles find the longest metered run that settles below it, and the dose from which the cycle itself would;
    /// [`CycleReport::longest_metered`] is the first of them.
    ///
    /// # Errors
    /// [`Error::Value`](crate::Error::Value) for a case that is not valid,
    /// [`Error::StepTooSmall`](crate::Error::StepTooSmall) from the solver.
    pub fn cycle(&self) -> Result<CycleReport> {
        self.cycle_watched(&unwatched)
    }

    /// [`Case::cycle`] under a watcher.
    ///
    /// # Errors
    /// As [`Case::cycle`]; [`Error::Interrupted`](crate::Error::Interrupted) from the watcher.
    pub fn cycle_watched(&self, watch: &Watch<'_>) -> Result<CycleReport> {
        cycle(self, AboveLimit::RunsAndDose, watch)
    }

    /// Run `n` cycles in a row from new resin; the first is service alone.
    ///
    /// # Errors
    /// As [`Case::cycle`].
    pub fn cycles(&self, n: usize) -> Result<Vec<CycleReport>> {
        self.cycles_watched(n, &unwatched)
    }

    /// [`Case::cycles`] under a watcher.
    ///
    /// # Errors
    /// As [`Case::cycle_watched`].
    pub fn cycles_watched(&self, n: usize, watch: &Watch<'_>) -> Result<Vec<CycleReport>> {
        let found = cells_found(self, watch)?;
        let case = found.as_ref().unwrap_or(self);
        let plan = CyclePlan::new(case)?;
        let all = repeat::repeat(&plan, n, watch)?;
        let report = |(history, settling): &(CycleHistory, Settling)| {
            reports::cycle(
                case,
                &read::Cycle::new(&plan, history, settling),
                GridErrors::default(),
                None,
                settling.effort,
            )
        };
        Ok(all.iter().map(report).collect())
    }

    /// Load a bed with the feed for `volume_bv` bed volumes, in the direction and at the flow of service, without a
    /// limit.
    ///
    /// # Errors
    /// As [`Case::cycle`]; a water without hardness is allowed.
    pub fn load(&self, from: &Loading, volume_bv: f64) -> Result<RunReport> {
        self.load_watched(from, volume_bv, &unwatched)
    }

    /// [`Case::load`] under a watcher.
    ///
    /// # Errors
    /// As [`Case::load`]; [`Error::Interrupted`](crate::Error::Interrupted) from the watcher.
    pub fn load_watched(&self, from: &Loading, volume_bv: f64, watch: &Watch<'_>) -> Result<RunReport> {
        on_grids(self, |case| {
            let plan = RunPlan::loading(case, &from.ions()?, volume_bv)?;
            let history = run(&plan, from, watch)?;
            Ok((plan, history))
        })
    }

    /// Elute a bed with the salt's cation alone at a total normality \[eq/L\], in the direction and at the flow of the
    /// brine, for `volume_bv` bed volumes.
    ///
    /// # Errors
    /// As [`Case::load`].
    pub fn elute(&self, from: &Loading, volume_bv: f64, normality_eq_per_l: f64) -> Result<RunReport> {
        self.elute_watched(from, volume_bv, normality_eq_per_l, &unwatched)
    }

    /// [`Case::elute`] under a watcher.
    ///
    /// # Errors
    /// As [`Case::load_watched`].
    pub fn elute_watched(
        &self,
        from: &Loading,
        volume_bv: f64,
        normality_eq_per_l: f64,
        watch: &Watch<'_>,
    ) -> Result<RunReport> {
        on_grids(self, |case| {
            let plan = RunPlan::elution(case, &from.ions()?, volume_bv, normality_eq_per_l)?;
            let history = run(&plan, from, watch)?;
            Ok((plan, history))
        })
    }
}

/// A steady cycle, and how much is asked about one that is above its limit.
pub(super) fn cycle(case: &Case, asked: AboveLimit, watch: &Watch<'_>) -> Result<CycleReport> {
    case.validate_cycle()?;
    match case.cells {
        Cells::Number(_) => accuracy::cycle_on_grid(case, asked, watch),
        Cells::Auto => accuracy::cycle(case, asked, watch),
    }
}

/// A case whose cells are to be found with those that its steady cycle needs; none if they are given.
pub(super) fn cells_found(case: &Case, watch: &Watch<'_>) -> Result<Option<Case>> {
    match case.cells {
        Cells::Number(_) => Ok(None),
        Cells::Auto => {
            let found = cycle(case, AboveLimit::Leave, watch)?;
            Ok(Some(Case { cells: found.figures.cells.into(), ..case.clone() }))
        }
    }
}

/// A run on the grid of a case, or on as many as its accuracy asks for.
fn on_grids(case: &Case, on: impl FnMut(&Case) -> Result<(RunPlan, RunHistory)>) -> Result<RunReport> {
    match case.cells {
        Cells::Number(cells) => accuracy::run_on_grid(case, cells, on),
        Cells::Auto => accuracy::run(case, on),
    }
}
