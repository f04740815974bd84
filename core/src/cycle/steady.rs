//! The cyclic steady state: the loading that a whole cycle gives back.
//!
//! One cycle maps the loading at the end of service onto the next one. Plain repetition creeps, most of all
//! counter-current, where the bed changes by 1e-4 a cycle while its capacity is still 0.3 % away: so the residual of the
//! bed decides, and Anderson's acceleration finds the fixed point in a handful of cycles.

use crate::cycle::course::{Course, Next};
use crate::cycle::cycle_state::CycleState;
use crate::cycle::history::{CycleHistory, Settling};
use crate::cycle::ion_count::for_ion_count;
use crate::cycle::observers::{Observers, Progress, Watch};
use crate::cycle::outcome::SearchEnd;
use crate::cycle::recorder::{self, Recording};
use crate::cycle::replay::Start;
use crate::cycle::run_cycle::run_cycle;
use crate::cycle::step_schedule::StepSchedule;
use crate::cycle::warm_start::WarmStart;
use crate::error::{Error, Result};
use crate::numerics::effort::Effort;
use crate::numerics::fixed_point::Anderson;
use crate::plan::cycle_plan::CyclePlan;

/// Change of the loading over a cycle, relative to capacity, below which it is steady.
pub const SETTLED: f64 = 1e-6;

/// Cycles over which the change must have gone up and down without falling ...
const HELD_OVER: usize = 12;
/// ... before it counts as what the time steps can hold, if it is at most this share of the error allowed in one of them.
///
/// Beds that end there are few (2 in 120 drawn ones); their changes of 1e-5 to 5e-5 of capacity are those of plain
/// repetition too, however long it goes on.
const HELD_SHARE: f64 = 0.2;

/// When a search ends.
#[derive(Debug, Clone, Copy)]
struct Until {
    settled: f64,
    /// Near enough to be of use all the same.
    near: f64,
    most_cycles: usize,
    /// Is it given up where it stands still?
    in_haste: bool,
    /// Keep what the last cycle began from.
    keeps_start: bool,
}

/// The search that counts: settled, or given up after the cycles of the case.
const fn fine(most_cycles: usize, keeps_start: bool) -> Until {
    Until { settled: SETTLED, near: SETTLED, most_cycles, in_haste: false, keeps_start }
}
/// A search on half the cells gives the first guess, the first differences, and figures that tell how far those of the grid
/// asked for still are from the truth; it begins on a quarter itself. Both are worth a few cheap cycles.
const COARSE: Until = Until { settled: 1e-5, near: NEAR, most_cycles: 40, in_haste: true, keeps_start: false };
/// Change of the loading over a cycle below which a coarse one is good enough to begin from, or to judge by.
pub const NEAR: f64 = 1e-4;
/// Fewest cells of such a grid.
pub const FEWEST_CELLS: usize = 4;
/// The error allowed in a time step is this many times larger there, so that what steps in time are off by shows as well, ...
pub const COARSE_STEPS: f64 = 4.0;
/// ... or, where nothing but a guess is wanted, as large as this.
pub const COARSE_TOLERANCE: f64 = 5e-3;
/// A grid that only a search for an edge runs on is so much coarser, ...
const COARSENING: usize = 3;
/// ... with how many cells at least.
const FEWEST_COARSE_CELLS: usize = 20;
/// The same where beads have shells: at a looser one the thin shells under the surface, which the mean hardly feels, keep
/// the search hunting.
const COARSE_TOLERANCE_OF_SHELLS: f64 = 1e-3;
/// Change of the loading below which a cycle follows the time steps of the one before.
const SCHEDULED: f64 = 2e-3;
/// Cycles at the end of a search that its outcome is read off, ...
const SHOWN_OF_A_SEARCH: usize = 10;
/// ... which goes up and down if its last change is this many times its least, or its least no lower than this share of the
/// least of as many before.
const HUNTING: f64 = 3.0;
const FALLS: f64 = 0.7;
/// A search that begins anew allows this share of the error in a time step that it allowed before.
const OF_TOLERANCE_ANEW: f64 = 0.7;
/// Differences that the acceleration remembers.
const DEPTH: usize = 5;

/// A cycle at its steady state, or as near as the search came.
#[derive(Debug, Clone)]
pub struct Settled {
    /// Its plan.
    pub plan: CyclePlan,
    /// The last cycle.
    pub history: CycleHistory,
    /// What the search did.
    pub settling: Settling,
    /// Where the search on a finer grid may begin.
    pub warm_start: WarmStart,
    /// The steady cycle on half the cells, if the search began from it; with that on a quarter, if that did.
    pub coarser: Option<Box<Settled>>,
    /// The bed through the last cycle, if that was asked for.
    pub recording: Option<Recording>,
}

/// Run cycles until the loading repeats itself: from what another grid of the same cycle handed on, or else from new resin
/// after its first service run, on a coarser grid first.
///
/// # Errors
/// As [`crate::cycle::step::run_step`].
pub fn settle(plan: &CyclePlan, from: Option<&WarmStart>, watch: &Watch<'_>) -> Result<Settled> {
    for_ion_count!(plan.model.ions.len(), search, plan, from, None, watch)
}

/// The same, and the last cycle once more from the bed that it began with, recorded at so many moments.
///
/// # Errors
/// As [`settle`]; [`Error::Value`] unless there are two moments for each step.
pub fn settle_recorded(
    plan: &CyclePlan,
    from: Option<&WarmStart>,
    moments: usize,
    watch: &Watch<'_>,
) -> Result<Settled> {
    recorder::check(moments)?;
    for_ion_count!(plan.model.ions.len(), search, plan, from, Some(moments), watch)
}

/// The steady cycle nearly, for a search that runs many: to a change of [`NEAR`] at best, on the plan's own grid; a plan of
/// [`coarser`] makes it cheap.
///
/// # Errors
/// As [`settle`].
pub fn settle_nearly(plan: &CyclePlan, from: Option<&WarmStart>, watch: &Watch<'_>) -> Result<Settled> {
    for_ion_count!(plan.model.ions.len(), near, plan, from, watch)
}

/// Largest change of what is handed on between two cycles, relative to capacity.
pub(super) fn change(before: &[f64], after: &[f64], capacity: f64) -> f64 {
    before.iter().zip(after).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) / capacity
}

/// Where a search on one grid ended.
struct Found<const N: usize> {
    /// The plan that the last cycle was run by.
    plan: CyclePlan,
    state: CycleState<N>,
    anderson: Anderson,
    history: CycleHistory,
    course: Course,
    /// The largest of the last changes, if they are what the time steps can hold.
    held: Option<f64>,
    never_soft: bool,
    /// What the last cycle began from, if that was to be kept.
    start: Option<Start<N>>,
}

impl<const N: usize> Found<N> {
    fn residual(&self) -> f64 {
        self.held.or(self.course.changes.last().copied()).unwrap_or(1.0)
    }

    fn settled(self, effort: Effort, coarser: Option<Box<Settled>>) -> Settled {
        let residual = self.residual();
        let settled = (residual <= SETTLED || self.held.is_some()) && !self.never_soft;
        let contraction = self.anderson.contraction().unwrap_or(0.0).clamp(0.0, 1.0 - 1e-6);
        let settling = Settling {
            cycles: self.course.changes.len(),
            residual,
            // Where no steady cycle was sought there is no distance to it.
            distance: if self.never_soft { f64::NAN } else { residual / (1.0 - contraction) },
            settled,
            search_end: search_end(settled, self.never_soft, residual, &self.course),
            effort,
        };
        let warm_start = WarmStart::of(&self.plan.model, &self.state, &self.anderson);
        Settled { plan: self.plan, history: self.history, settling, warm_start, coarser, recording: None }
    }
}

fn search<const N: usize>(
    plan: &CyclePlan,
    from: Option<&WarmStart>,
    moments: Option<usize>,
    watch: &Watch<'_>,
) -> Result<Settled> {
    let mut effort = Effort::default();
    let coarser = match from {
        Some(_) => None,
        None => coarse_search::<N>(plan, &mut effort, watch)?,
    };
    let (state, anderson) = match from.or(coarser.as_ref().map(|coarser| &coarser.warm_start)) {
        Some(warm_start) => warm_start.on_grid::<N>(&plan.model),
        None => (loaded_once(plan, &mut effort, watch)?, Anderson::new(DEPTH)),
    };
    let until = fine(plan.most_cycles, moments.is_some());
    let mut found = settle_on_grid(plan, state, anderson, until, &mut effort, watch)?;
    let recording = match found.start.take().zip(moments) {
        Some((start, moments)) => {
            let progress =
                Progress { cycle: found.course.changes.len(), residual: found.residual(), ..Progress::default() };
            Some(start.recorded(&found.plan, &found.history, moments, (watch, progress))?)
        }
        None => None,
    };
    Ok(Settled { recording, ..found.settled(effort, coarser) })
}

/// The steady cycle on half the cells, begun on a quarter, as far as each is good enough to begin from.
fn coarse_search<const N: usize>(
    plan: &CyclePlan,
    effort: &mut Effort,
    watch: &Watch<'_>,
) -> Result<Option<Box<Settled>>> {
    let model = &plan.model;
    let on = |share: usize, tolerance: f64| {
        let cells = model.cells() / share;
        let most = if model.inside.is_some() { COARSE_TOLERANCE_OF_SHELLS } else { COARSE_TOLERANCE };
        (cells >= FEWEST_CELLS).then(|| plan.on_grid(cells, model.tolerance.max(most.min(tolerance))))
    };
    let mut coarser: Option<Box<Settled>> = None;
    for coarse in [on(4, COARSE_TOLERANCE), on(2, COARSE_STEPS * model.tolerance)].into_iter().flatten() {
        let begun = match &coarser {
            Some(coarser) => Ok(coarser.warm_start.on_grid::<N>(&coarse.model)),
            None => loaded_once(&coarse, effort, watch).map(|state| (state, Anderson::new(DEPTH))),
        };
        let found =
            begun.and_then(|(state, anderson)| settle_on_grid::<N>(&coarse, state, anderson, COARSE, effort, watch));
        effort.coarse_cycles += std::mem::take(&mut effort.cycles);
        coarser = match found {
            Err(Error::Interrupted) => return Err(Error::Interrupted),
            // A coarse bed that fails, is never soft, or hunts is no guess of the fine one: begin without it.
            Err(_) => {
                effort.coarse_failures += 1;
                None
            }
            Ok(found) if found.never_soft || found.residual() > COARSE.near => None,
            Ok(found) => Some(Box::new(found.settled(*effort, coarser))),
        };
    }
    Ok(coarser)
}

/// New resin after its first service run: near the steady bed whether service ends at a limit or on a meter.
fn loaded_once<const N: usize>(plan: &CyclePlan, effort: &mut Effort, watch: &Watch<'_>) -> Result<CycleState<N>> {
    let mut observers = Observers::watcher(watch, Progress::default());
    let new = CycleState::of_new_resin(plan)?;
    let (state, history) = run_cycle(plan, new, true, &StepSchedule::default(), &mut observers)?;
    history.steps().for_each(|step| effort.add(&step.effort));
    Ok(state)
}

fn near<const N: usize>(plan: &CyclePlan, from: Option<&WarmStart>, watch: &Watch<'_>) -> Result<Settled> {
    let mut effort = Effort::default();
    let (state, anderson) = match from {
        Some(warm_start) => warm_start.on_grid::<N>(&plan.model),
        None => (loaded_once(plan, &mut effort, watch)?, Anderson::new(DEPTH)),
    };
    let found = settle_on_grid(plan, state, anderson, COARSE, &mut effort, watch)?;
    Ok(found.settled(effort, None))
}

/// The cycle on a coarser grid and with a looser tolerance, if that is worth a search of its own: for edges that are sought.
pub fn coarser(plan: &CyclePlan) -> Option<CyclePlan> {
    let model = &plan.model;
    let cells = model.cells() / COARSENING;
    let tolerance = if model.inside.is_some() { COARSE_TOLERANCE_OF_SHELLS } else { COARSE_TOLERANCE };
    (cells >= FEWEST_COARSE_CELLS).then(|| plan.on_grid(cells, model.tolerance.max(tolerance)))
}

fn settle_on_grid<const N: usize>(
    plan: &CyclePlan,
    mut state: CycleState<N>,
    mut anderson: Anderson,
    until: Until,
    effort: &mut Effort,
    watch: &Watch<'_>,
) -> Result<Found<N>> {
    let mut plan = plan.clone();
    let mut course = Course::default();
    let mut last: Option<CycleHistory> = None;
    let mut came_back = false;
    loop {
        let model = &plan.model;
        let cycle = course.changes.len() + 1;
        let last_change = course.changes.last().copied().unwrap_or(1.0);
        let progress = Progress { cycle, residual: last_change, ..Progress::default() };
        if watch(progress).is_break() {
            return Err(Error::Interrupted);
        }
        let before = state.handed_on(model);
        let schedule =
            last.as_ref().filter(|_| last_change < SCHEDULED).map_or_else(StepSchedule::default, StepSchedule::of);
        let start =
            until.keeps_start.then(|| Start { state: state.clone(), new_resin: false, schedule: schedule.clone() });
        let mut observers = Observers::watcher(watch, progress);
        let (after, history) = run_cycle(&plan, state, false, &schedule, &mut observers)?;
        for step in history.steps() {
            effort.add(&step.effort);
        }
        effort.cycles += 1;
        let image = after.handed_on(model);
        let residual = change(&before, &image, model.capacity);
        course.tell(residual, &image);
        let never_soft = history.never_soft();
        let next = anderson.next(&before, &image);
        state = after;
        let held = held_by_steps(&course.changes, HELD_SHARE * model.tolerance);
        let comes_back = course.stands_still() && course.period().is_some();
        let given_up = cycle >= until.most_cycles || until.in_haste && course.stands_still() || comes_back && came_back;
        came_back |= comes_back;
        if residual <= until.settled || held.is_some() || never_soft || given_up {
            return Ok(Found { plan, state, anderson, history, course, held, never_soft, start });
        }
        last = Some(history);
        match course.next() {
            Next::Accelerated => state.shift_towards(&next, model),
            Next::Repeated => looks_ahead(&mut plan),
            Next::Anew => {
                anderson = Anderson::new(DEPTH);
                // With time steps of its own, and smaller ones: cycles can come back by those that they follow alone.
                last = None;
                plan.model.tolerance *= OF_TOLERANCE_ANEW;
                looks_ahead(&mut plan);
            }
        }
    }
}

/// March on by looking ahead: dispersion that is lagged may be what keeps a bed from settling.
fn looks_ahead(plan: &mut CyclePlan) {
    plan.model.scheme.march_peclet = plan.model.scheme.march_peclet_late;
}

/// The largest of the last changes, if they have stopped falling at no more than `most`.
fn held_by_steps(residuals: &[f64], most: f64) -> Option<f64> {
    let (earlier, last) = residuals.split_at_checked(residuals.len().checked_sub(HELD_OVER)?)?;
    let before = earlier.split_at_checked(earlier.len().checked_sub(HELD_OVER)?)?.1;
    let least = |changes: &[f64]| changes.iter().copied().fold(f64::INFINITY, f64::min);
    let largest = last.iter().copied().fold(0.0, f64::max);
    // A change that creeps down has further to go.
    let rises = last.windows(2).filter(|pair| pair[1] > pair[0]).count();
    (largest <= most && rises >= HELD_OVER / 3 && least(last) > 0.5 * least(before)).then_some(largest)
}

fn search_end(settled: bool, never_soft: bool, last: f64, course: &Course) -> SearchEnd {
    let cycles = course.changes.len();
    if never_soft {
        return SearchEnd::NeverSoft { cycles, soft_from_dose_g_per_l: None };
    }
    if settled {
        return SearchEnd::Settled { cycles, change: last };
    }
    let least_of = |changes: &[f64]| changes.iter().copied().fold(f64::INFINITY, f64::min);
    let (before, tail) = course.changes.split_at(cycles.saturating_sub(SHOWN_OF_A_SEARCH));
    let least = least_of(tail);
    let stalls =
        before.len() >= SHOWN_OF_A_SEARCH && least > FALLS * least_of(&before[before.len() - SHOWN_OF_A_SEARCH..]);
    let hunts = stalls || last > HUNTING * least;
    let period_cycles = course.period();
    SearchEnd::Unsettled { cycles, last, least, hunts, period_cycles }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_that_no_longer_fall_are_what_the_steps_hold() {
        let noisy = |k: usize| 2e-5 * (1.0 + 0.5 * (k as f64 * 2.4).sin());
        let stalled: Vec<f64> = (0..30).map(noisy).collect();
        let largest = stalled[18..].iter().copied().fold(0.0, f64::max);
        assert_eq!(held_by_steps(&stalled, 6e-5), Some(largest));
        // Too large, too soon, or still falling.
        assert_eq!(held_by_steps(&stalled, 1e-5), None);
        assert_eq!(held_by_steps(&stalled[..23], 6e-5), None);
        for contraction in [0.9_f64, 0.99] {
            let falling: Vec<f64> = (0..40).map(|k| 5e-5 * contraction.powi(k)).collect();
            assert_eq!(held_by_steps(&falling, 6e-5), None);
        }
    }
}
