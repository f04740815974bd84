//! One case, from file to report.

use crate::cycle::history::{CycleHistory, Settling};
use crate::cycle::run::{Loading, RunHistory, run};
use crate::cycle::{Watch, repeat};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::inputs::cells::Cells;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::run_plan::RunPlan;
use crate::report::figures::GridErrors;
use crate::report::read::{self, RunErrors};
use crate::report::{CycleReport, RunReport};
use crate::study::{accuracy, reports};

/// Run a case to its cyclic steady state and report.
///
/// A service that is never soft, and a cycle that does not settle, are outcomes: see
/// [`crate::report::figures::Figures::stop_reason`], `settled` and `outcome`.
///
/// # Errors
/// [`crate::Error::Value`] for a case that is not valid, [`crate::Error::StepTooSmall`] from the solver,
/// [`crate::Error::Interrupted`] from the watcher.
pub fn cycle(case: &Case, watch: &Watch<'_>) -> Result<CycleReport> {
    case.validate_cycle()?;
    match case.cells {
        Cells::Number(_) => accuracy::cycle_on_grid(case, watch),
        Cells::Auto => accuracy::cycle(case, watch),
    }
}

/// Run `n` cycles in a row from new resin; the first is service alone.
///
/// # Errors
/// As [`cycle`].
pub fn cycles(case: &Case, n: usize, watch: &Watch<'_>) -> Result<Vec<CycleReport>> {
    let found = cells_found(case, watch)?;
    let case = found.as_ref().unwrap_or(case);
    let plan = CyclePlan::new(case)?;
    let all = repeat::repeat(&plan, n, watch)?;
    let report = |(history, settling): &(CycleHistory, Settling)| {
        reports::cycle(case, &read::Cycle::new(&plan, history, settling), GridErrors::default(), settling.effort)
    };
    Ok(all.iter().map(report).collect())
}

/// A case whose cells are to be found with those that its steady cycle needs; none if they are given.
pub(super) fn cells_found(case: &Case, watch: &Watch<'_>) -> Result<Option<Case>> {
    match case.cells {
        Cells::Number(_) => Ok(None),
        Cells::Auto => Ok(Some(Case { cells: cycle(case, watch)?.figures.cells.into(), ..case.clone() })),
    }
}

/// Load a bed with the feed for `volume_bv` bed volumes, in the direction and at the flow of service, without a limit.
///
/// # Errors
/// As [`cycle`]; a water without hardness is allowed.
pub fn load(case: &Case, from: &Loading, volume_bv: f64, watch: &Watch<'_>) -> Result<RunReport> {
    on_grids(case, |case| {
        let plan = RunPlan::loading(case, &from.ions()?, volume_bv)?;
        let history = run(&plan, from, watch)?;
        Ok((plan, history))
    })
}

/// Elute a bed with the salt's cation alone at a total normality \[eq/L\], in the direction and at the flow of the brine.
///
/// # Errors
/// As [`load`].
pub fn elute(
    case: &Case,
    from: &Loading,
    volume_bv: f64,
    normality_eq_per_l: f64,
    watch: &Watch<'_>,
) -> Result<RunReport> {
    on_grids(case, |case| {
        let plan = RunPlan::elution(case, &from.ions()?, volume_bv, normality_eq_per_l)?;
        let history = run(&plan, from, watch)?;
        Ok((plan, history))
    })
}

/// A run on the grid of a case, or on as many as its accuracy asks for.
fn on_grids(case: &Case, mut on: impl FnMut(&Case) -> Result<(RunPlan, RunHistory)>) -> Result<RunReport> {
    match case.cells {
        Cells::Number(_) => {
            let (plan, history) = on(case)?;
            Ok(read::run(&plan, &history, RunErrors::default(), history.step.effort))
        }
        Cells::Auto => accuracy::run(case, on),
    }
}
