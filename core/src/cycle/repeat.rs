//! Cycles in a row from new resin: how a bed comes to its steady state.

use crate::cycle::cycle_state::CycleState;
use crate::cycle::history::{CycleHistory, Settling};
use crate::cycle::ion_count::for_ion_count;
use crate::cycle::observers::{Observers, Progress, Watch};
use crate::cycle::outcome::SearchEnd;
use crate::cycle::recorder::{self, Recording};
use crate::cycle::replay::Start;
use crate::cycle::run_cycle::run_cycle;
use crate::cycle::steady::{SETTLED, change};
use crate::cycle::step_schedule::StepSchedule;
use crate::error::{Error, Result};
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;

/// Cycles in a row, and how far each still moved.
type Series = Vec<(CycleHistory, Settling)>;

/// Run `n` cycles in a row from new resin: service first, on sodium-form beads in softened water.
///
/// # Errors
/// As [`crate::cycle::steady::settle`]; [`Error::Value`] for a count out of limits.
pub fn repeat(plan: &CyclePlan, n: usize, watch: &Watch<'_>) -> Result<Vec<(CycleHistory, Settling)>> {
    check_count(n)?;
    let (cycles, _) = for_ion_count!(plan.model.ions.len(), in_a_row, plan, n, None, watch)?;
    Ok(cycles)
}

/// The last of `n` cycles in a row from new resin, recorded at so many moments; the cycle and the recording.
///
/// # Errors
/// As [`repeat`] and [`crate::cycle::steady::settle_recorded`].
pub fn repeat_recorded(
    plan: &CyclePlan,
    n: usize,
    moments: usize,
    watch: &Watch<'_>,
) -> Result<(CycleHistory, Recording)> {
    recorder::check(moments)?;
    check_count(n)?;
    match for_ion_count!(plan.model.ions.len(), in_a_row, plan, n, Some(moments), watch)? {
        (mut cycles, Some(recording)) if !cycles.is_empty() => Ok((cycles.swap_remove(n - 1).0, recording)),
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
    plan: &CyclePlan,
    n: usize,
    moments: Option<usize>,
    watch: &Watch<'_>,
) -> Result<(Series, Option<Recording>)> {
    let model = &plan.model;
    let mut state = CycleState::<N>::of_new_resin(plan)?;
    let mut cycles: Series = Vec::with_capacity(n);
    let mut recording = None;
    for cycle in 1..=n {
        let progress = Progress { cycle, done: cycle - 1, total: n, ..Progress::default() };
        if watch(progress).is_break() {
            return Err(Error::Interrupted);
        }
        let before = state.handed_on(model);
        let new_resin = cycle == 1;
        let recorded = moments.filter(|_| cycle == n);
        let start = recorded.map(|_| Start { state: state.clone(), new_resin, schedule: StepSchedule::default() });
        let mut observers = Observers::watcher(watch, progress);
        let (after, history) = run_cycle(plan, state, new_resin, &StepSchedule::default(), &mut observers)?;
        if let Some((start, moments)) = start.zip(recorded) {
            recording = Some(start.recorded(plan, &history, moments, (watch, progress))?);
        }
        let residual = change(&before, &after.handed_on(model), model.capacity);
        let mut effort = Effort { cycles: 1, ..Effort::default() };
        history.steps().for_each(|step| effort.add(&step.effort));
        // The last two changes tell how fast the series closes in.
        let contraction = cycles.last().map_or(0.0, |(_, before)| residual / before.residual);
        let distance = residual / (1.0 - contraction.clamp(0.0, 1.0 - 1e-6));
        let search_end = SearchEnd::FromNewResin { cycle, change: residual };
        let settling = Settling { cycles: cycle, residual, distance, settled: residual <= SETTLED, search_end, effort };
        cycles.push((history, settling));
        state = after;
    }
    Ok((cycles, recording))
}
