//! Cycles in a row from new resin: how a bed comes to its steady state.

use crate::bed::model::Model;
use crate::cycle::history::{CycleHistory, Settling};
use crate::cycle::recipe::run_cycle;
use crate::cycle::recorder::{self, Recording};
use crate::cycle::replay::Start;
use crate::cycle::steady::{SETTLED, change, handed, new_resin, tank_after};
use crate::cycle::{Onlookers, Progress, Watch, for_ion_count, reclaim};
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;

/// Cycles in a row, and how far each still moved.
type Series = Vec<(CycleHistory, Settling)>;

/// Run `n` cycles in a row from new resin: service first, on sodium-form beads in softened water.
///
/// # Errors
/// As [`crate::cycle::steady::settle`].
pub fn repeat(case: &Case, n: usize, watch: &Watch<'_>) -> Result<(Model, Vec<(CycleHistory, Settling)>)> {
    let model = Model::new(case, &[])?;
    let cycles = repeat_with(case, &model, n, watch)?;
    Ok((model, cycles))
}

/// The same with a model of the case, whose scheme may be another than the default.
///
/// # Errors
/// As [`repeat`].
pub fn repeat_with(case: &Case, model: &Model, n: usize, watch: &Watch<'_>) -> Result<Vec<(CycleHistory, Settling)>> {
    case.validate_cycle()?;
    check_count(n)?;
    let (cycles, _) = for_ion_count!(model.ions.len(), in_a_row, case, model, n, None, watch)?;
    Ok(cycles)
}

/// The last of `n` cycles in a row from new resin, recorded at so many moments; the model, the cycle, and the recording.
///
/// # Errors
/// As [`crate::cycle::steady::settle_recorded`].
pub fn repeat_recorded(
    case: &Case,
    n: usize,
    moments: usize,
    watch: &Watch<'_>,
) -> Result<(Model, CycleHistory, Recording)> {
    recorder::check(moments)?;
    case.validate_cycle()?;
    check_count(n)?;
    let model = Model::new(case, &[])?;
    match for_ion_count!(model.ions.len(), in_a_row, case, &model, n, Some(moments), watch)? {
        (mut cycles, Some(recording)) if !cycles.is_empty() => Ok((model, cycles.swap_remove(n - 1).0, recording)),
        _ => Err(Error::value("n", n, "no cycle was run")),
    }
}

fn check_count(n: usize) -> Result<()> {
    if n == 0 || n > 100_000 {
        return Err(Error::value("n", n, "must be from 1 to 100000 cycles"));
    }
    Ok(())
}

fn in_a_row<const N: usize>(
    case: &Case,
    model: &Model,
    n: usize,
    moments: Option<usize>,
    watch: &Watch<'_>,
) -> Result<(Series, Option<Recording>)> {
    let mut state = new_resin::<N>(model)?;
    let mut tank = reclaim::full_of_brine::<N>(case, model);
    let mut cycles = Vec::with_capacity(n);
    let mut recording = None;
    for cycle in 1..=n {
        let progress = Progress { cycle, done: cycle - 1, total: n, ..Progress::default() };
        if watch(progress).is_break() {
            return Err(Error::Interrupted);
        }
        let before = handed(&state, tank, model);
        let recorded = moments.filter(|_| cycle == n);
        let start = recorded.map(|_| Start { state: state.clone(), tank, new_resin: cycle == 1, guide: None });
        let mut onlookers = Onlookers::watcher(watch, progress);
        let (after, history) = run_cycle(case, model, state, tank, cycle == 1, None, &mut onlookers)?;
        if let Some((start, moments)) = start.zip(recorded) {
            recording = Some(start.recorded(case, model, &history, moments, (watch, progress))?);
        }
        tank = tank_after(&history);
        let residual = change(&before, &handed(&after, tank, model), model.capacity);
        let mut effort = Effort { cycles: 1, ..Effort::default() };
        history.steps.iter().for_each(|step| effort.add(&step.effort));
        let outcome = format!("cycle {cycle} from new resin: the loading changed by {residual:.1e} of capacity");
        // The last two changes tell how fast the series closes in.
        let contraction =
            cycles.last().map_or(0.0, |(_, before): &(CycleHistory, Settling)| residual / before.residual);
        let distance = residual / (1.0 - contraction.clamp(0.0, 1.0 - 1e-6));
        let settling = Settling { cycles: cycle, residual, distance, settled: residual <= SETTLED, outcome, effort };
        cycles.push((history, settling));
        state = after;
    }
    Ok((cycles, recording))
}
