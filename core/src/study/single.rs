//! One case, from file to report.

use crate::cycle::run::{self, Loading};
use crate::cycle::{Watch, steady};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::report::{CycleReport, RunReport, read};

/// Run a case to its cyclic steady state and report.
///
/// A service that is never soft, and a cycle that does not settle, are outcomes: see
/// [`crate::report::figures::Figures::stop_reason`], `settled` and `outcome`.
///
/// # Errors
/// [`crate::Error::Value`] for a case that is not valid, [`crate::Error::StepTooSmall`] from the solver,
/// [`crate::Error::Interrupted`] from the watcher.
pub fn cycle(case: &Case, watch: &Watch<'_>) -> Result<CycleReport> {
    let (model, history, settling) = steady::settle(case, watch)?;
    Ok(read::cycle(case, &model, &history, &settling))
}

/// Run `n` cycles in a row from new resin; the first is service alone.
///
/// # Errors
/// As [`cycle`].
pub fn cycles(case: &Case, n: usize, watch: &Watch<'_>) -> Result<Vec<CycleReport>> {
    let (model, all) = steady::repeat(case, n, watch)?;
    Ok(all.iter().map(|(history, settling)| read::cycle(case, &model, history, settling)).collect())
}

/// Load a bed with the feed for `volume_bv` bed volumes, in the direction and at the flow of service, without a limit.
///
/// # Errors
/// As [`cycle`]; a water without hardness is allowed.
pub fn load(case: &Case, from: &Loading, volume_bv: f64, watch: &Watch<'_>) -> Result<RunReport> {
    let (model, history) = run::load(case, from, volume_bv, watch)?;
    Ok(read::run(case, &model, &history))
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
    let (model, history) = run::elute(case, from, volume_bv, normality_eq_per_l, watch)?;
    Ok(read::run(case, &model, &history))
}
