//! The cyclic steady state: the loading that a whole cycle gives back.
//!
//! One cycle maps the loading at the end of service onto the next one. Plain repetition creeps, most of all
//! counter-current, where the bed changes by 1e-4 a cycle while its capacity is still 0.3 % away: so the residual of the
//! bed decides, and Anderson's acceleration finds the fixed point in a handful of cycles.

use crate::bed::model::Model;
use crate::bed::state::{State, shift_towards};
use crate::bed::vessel::VesselState;
use crate::cycle::history::{CycleHistory, Settling, StopReason};
use crate::cycle::recipe::run_cycle;
use crate::cycle::reclaim;
use crate::cycle::recorder::{self, Recording};
use crate::cycle::replay::Start;
use crate::cycle::{Onlookers, Progress, Watch, for_ion_count};
use crate::error::{Error, Result};
use crate::inputs::case::{Case, Kinetics};
use crate::numerics::effort::Effort;
use crate::numerics::fixed_point::Anderson;

/// Change of the loading over a cycle, relative to capacity, below which it is steady.
pub const SETTLED: f64 = 1e-6;

/// When a search ends.
#[derive(Debug, Clone, Copy)]
struct Until {
    settled: f64,
    /// Near enough to be of use all the same.
    near: f64,
    most_cycles: usize,
    /// Keep what the last cycle began from.
    keeps_start: bool,
}

/// The search that counts: settled, or given up after so many cycles.
const FINE: Until = Until { settled: SETTLED, near: SETTLED, most_cycles: 60, keeps_start: false };
/// A search on a coarser grid gives the first guess and the first differences; it is worth a few cheap cycles.
const COARSE: Until = Until { settled: 1e-5, near: 1e-4, most_cycles: 40, keeps_start: false };
/// How much coarser that grid is, ...
const COARSENING: usize = 3;
/// ... with how many cells at least, ...
const FEWEST_COARSE_CELLS: usize = 20;
/// ... and the tolerance of its time steps.
const COARSE_TOLERANCE: f64 = 5e-3;
/// The same where beads have shells: at a looser one the thin shells under the surface, which the mean hardly feels, keep
/// the search hunting.
const COARSE_TOLERANCE_OF_SHELLS: f64 = 1e-3;
/// Change of the loading below which a cycle follows the time steps of the one before.
const GUIDED: f64 = 0.02;
/// Differences that the acceleration remembers.
const DEPTH: usize = 5;

/// A cycle at its steady state, or as near as the search came.
#[derive(Debug, Clone)]
pub struct Settled {
    /// Its model.
    pub model: Model,
    /// The last cycle.
    pub history: CycleHistory,
    /// What the search did.
    pub settling: Settling,
    /// The bed, from which the search on a finer grid may begin.
    pub bed: Bed,
    /// The steady cycle of a coarser grid, if the search began from one.
    pub coarser: Option<Box<Settled>>,
    /// The bed through the last cycle, if that was asked for.
    pub recording: Option<Recording>,
}

/// A vessel's bed at the end of service with the differences that led to it, for any number of ions.
#[derive(Debug, Clone)]
pub struct Bed {
    tubes: Vec<TubeBed>,
    /// Liquid in the stirred spaces.
    spaces: [Vec<f64>; 2],
    /// What the tank of reclaimed brine holds, if there is one.
    tank: Option<Vec<f64>>,
    anderson: Anderson,
}

/// The bed of one stream tube, or all of it.
#[derive(Debug, Clone)]
struct TubeBed {
    loading: Vec<f64>,
    liquid: Vec<f64>,
    ratio: Vec<f64>,
    /// By shell of the beads, where kinetics are radial.
    inside: Vec<Vec<f64>>,
    /// Salt in the liquid inside the beads, where it counts.
    sorbed: Vec<f64>,
}

impl TubeBed {
    fn of<const N: usize>(state: &State<N>) -> Self {
        Self {
            loading: state.loading.as_flattened().to_vec(),
            liquid: state.liquid.as_flattened().to_vec(),
            ratio: state.ratio.clone(),
            inside: state.inside.iter().map(|shell| shell.as_flattened().to_vec()).collect(),
            sorbed: state.sorbed.as_flattened().to_vec(),
        }
    }

    /// The bed on another grid.
    fn on_grid<const N: usize>(&self, model: &Model) -> State<N> {
        let columns = |values: &[f64]| values.as_chunks::<N>().0.to_vec();
        let state = State {
            loading: columns(&self.loading),
            liquid: columns(&self.liquid),
            ratio: self.ratio.clone(),
            inside: self.inside.iter().map(|shell| columns(shell)).collect(),
            sorbed: columns(&self.sorbed),
        };
        let mut state = refined_state(&state, model.cells);
        let loadings = state.loadings(model);
        state.set_loadings(&loadings, model);
        state
    }
}

impl Bed {
    fn of<const N: usize>(state: &VesselState<N>, tank: Option<[f64; N]>, anderson: &Anderson) -> Self {
        Self {
            tubes: state.tubes.iter().map(TubeBed::of).collect(),
            spaces: state.spaces.map(|liquid| liquid.to_vec()),
            tank: tank.map(|held| held.to_vec()),
            anderson: anderson.clone(),
        }
    }

    /// The bed on another grid.
    fn on_grid<const N: usize>(&self, model: &Model) -> (VesselState<N>, Option<[f64; N]>, Anderson) {
        let whole = |held: &Vec<f64>| std::array::from_fn(|i| held[i]);
        let state = VesselState {
            tubes: self.tubes.iter().map(|bed| bed.on_grid(model)).collect(),
            spaces: self.spaces.each_ref().map(whole),
        };
        let tank = self.tank.as_ref().map(whole);
        // What is handed on is the loading, tube by tube and shell by shell, and ends with spaces and tank, which no grid
        // changes.
        let rows = self.tubes.first().map_or(1, |bed| bed.loading.len());
        let spaces = model.spaces_bv.iter().filter(|bv| **bv > 0.0).count();
        let liquids = N * (spaces + usize::from(tank.is_some()));
        let carried = self.anderson.carried(|values| {
            let (loadings, liquids) = values.split_at(values.len() - liquids);
            let fine = loadings.chunks_exact(rows).flat_map(|row| refined::<N>(row, model.cells));
            fine.chain(liquids.iter().copied()).collect()
        });
        (state, tank, carried)
    }
}

/// Run cycles until the loading repeats itself: from a bed of the same case on another grid, or else from new resin after
/// its first service run, on a coarser grid first.
///
/// # Errors
/// [`Error::Value`] for a case that is not valid; else as [`crate::cycle::step::run_step`].
pub fn settle(case: &Case, from: Option<&Bed>, watch: &Watch<'_>) -> Result<Settled> {
    case.validate_cycle()?;
    let model = Model::new(case, &[])?;
    for_ion_count!(model.ions.len(), search, case, model, from, None, watch)
}

/// The same, and the last cycle once more from the bed that it began with, recorded at so many moments.
///
/// # Errors
/// As [`settle`]; [`Error::Value`] unless there are two moments for each step.
pub fn settle_recorded(case: &Case, from: Option<&Bed>, moments: usize, watch: &Watch<'_>) -> Result<Settled> {
    recorder::check(moments)?;
    case.validate_cycle()?;
    let model = Model::new(case, &[])?;
    for_ion_count!(model.ions.len(), search, case, model, from, Some(moments), watch)
}

/// What a cycle hands to the next one and must give back: the loading of every cell, or shell of it, in every tube, what
/// stirred spaces hold, and last what the tank of reclaimed brine holds, in the same equivalents per litre of bed.
pub(super) fn handed<const N: usize>(state: &VesselState<N>, tank: Option<[f64; N]>, model: &Model) -> Vec<f64> {
    let mut values = state.handed_on(model);
    values.extend(tank.into_iter().flatten());
    values
}

/// What a cycle left in the tank.
pub(super) fn tank_after<const N: usize>(history: &CycleHistory) -> Option<[f64; N]> {
    history.kept.as_ref().map(|held| std::array::from_fn(|i| held[i]))
}

/// Largest change of what is handed on between two cycles, relative to capacity.
pub(super) fn change(before: &[f64], after: &[f64], capacity: f64) -> f64 {
    before.iter().zip(after).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max) / capacity
}

/// Where a search on one grid ended.
struct Found<const N: usize> {
    state: VesselState<N>,
    tank: Option<[f64; N]>,
    anderson: Anderson,
    history: CycleHistory,
    residuals: Vec<f64>,
    never_soft: bool,
    /// What the last cycle began from, if that was to be kept.
    start: Option<Start<N>>,
}

impl<const N: usize> Found<N> {
    fn residual(&self) -> f64 {
        self.residuals.last().copied().unwrap_or(1.0)
    }

    fn settled(self, model: Model, effort: Effort, coarser: Option<Box<Settled>>) -> Settled {
        let residual = self.residual();
        let settled = residual <= SETTLED && !self.never_soft;
        let contraction = self.anderson.contraction().unwrap_or(0.0).clamp(0.0, 1.0 - 1e-6);
        let settling = Settling {
            cycles: self.residuals.len(),
            residual,
            // Where no steady cycle was sought there is no distance to it.
            distance: if self.never_soft { f64::NAN } else { residual / (1.0 - contraction) },
            settled,
            outcome: describe(settled, self.never_soft, &self.residuals),
            effort,
        };
        Settled {
            model,
            history: self.history,
            settling,
            bed: Bed::of(&self.state, self.tank, &self.anderson),
            coarser,
            recording: None,
        }
    }
}

fn search<const N: usize>(
    case: &Case,
    model: Model,
    from: Option<&Bed>,
    moments: Option<usize>,
    watch: &Watch<'_>,
) -> Result<Settled> {
    let mut effort = Effort::default();
    let coarser = match from {
        Some(_) => None,
        None => coarse_search::<N>(case, &mut effort, watch)?.map(Box::new),
    };
    let (state, tank, anderson) = match from.or(coarser.as_ref().map(|coarser| &coarser.bed)) {
        Some(bed) => bed.on_grid::<N>(&model),
        None => {
            let state = loaded_once(case, &model, &mut effort, watch)?;
            (state, reclaim::full_of_brine(case, &model), Anderson::new(DEPTH))
        }
    };
    let until = Until { keeps_start: moments.is_some(), ..FINE };
    let mut found = settle_on_grid(case, &model, (state, tank), anderson, until, &mut effort, watch)?;
    let recording = match found.start.take().zip(moments) {
        Some((start, moments)) => {
            let progress = Progress { cycle: found.residuals.len(), residual: found.residual(), ..Progress::default() };
            Some(start.recorded(case, &model, &found.history, moments, (watch, progress))?)
        }
        None => None,
    };
    Ok(Settled { recording, ..found.settled(model, effort, coarser) })
}

/// The steady cycle on a coarser grid, where one is worth its while and good enough to begin from.
fn coarse_search<const N: usize>(case: &Case, effort: &mut Effort, watch: &Watch<'_>) -> Result<Option<Settled>> {
    let Some(coarse) = coarser(case)? else {
        return Ok(None);
    };
    let model = Model::new(&coarse, &[])?;
    let found = loaded_once(&coarse, &model, effort, watch).and_then(|state| {
        let start = (state, reclaim::full_of_brine(&coarse, &model));
        settle_on_grid::<N>(&coarse, &model, start, Anderson::new(DEPTH), COARSE, effort, watch)
    });
    effort.coarse_cycles += std::mem::take(&mut effort.cycles);
    match found {
        Err(Error::Interrupted) => Err(Error::Interrupted),
        // A coarse bed that fails, is never soft, or hunts says nothing about the fine one: begin without it.
        Err(_) => {
            effort.coarse_failures += 1;
            Ok(None)
        }
        Ok(found) if found.never_soft || found.residual() > COARSE.near => Ok(None),
        Ok(found) => Ok(Some(found.settled(model, *effort, None))),
    }
}

/// New resin after its first service run: near the steady bed whether service ends at a limit or on a meter.
fn loaded_once<const N: usize>(
    case: &Case,
    model: &Model,
    effort: &mut Effort,
    watch: &Watch<'_>,
) -> Result<VesselState<N>> {
    let mut onlookers = Onlookers::watcher(watch, Progress::default());
    let (state, history) = run_cycle(case, model, new_resin(model)?, None, true, None, &mut onlookers)?;
    history.steps.iter().for_each(|step| effort.add(&step.effort));
    Ok(state)
}

/// Sodium-form resin in softened water.
pub(super) fn new_resin<const N: usize>(model: &Model) -> Result<VesselState<N>> {
    let mut y = [0.0; N];
    y[0] = 1.0;
    Ok(VesselState::uniform(model, State::uniform(model, y, model.feed.normality())?))
}

/// The case on a coarser grid and with a looser tolerance, if that is worth a search of its own.
fn coarser(case: &Case) -> Result<Option<Case>> {
    let cells = case.cells.number()? / COARSENING;
    let tolerance = match case.kinetics {
        Kinetics::Radial => COARSE_TOLERANCE_OF_SHELLS,
        Kinetics::Equilibrium | Kinetics::Lumped => COARSE_TOLERANCE,
    };
    Ok((cells >= FEWEST_COARSE_CELLS).then(|| Case {
        cells: cells.into(),
        tolerance: case.tolerance.max(tolerance),
        ..case.clone()
    }))
}

fn settle_on_grid<const N: usize>(
    case: &Case,
    model: &Model,
    (mut state, mut tank): (VesselState<N>, Option<[f64; N]>),
    mut anderson: Anderson,
    until: Until,
    effort: &mut Effort,
    watch: &Watch<'_>,
) -> Result<Found<N>> {
    let mut residuals: Vec<f64> = Vec::with_capacity(until.most_cycles);
    let mut last: Option<CycleHistory> = None;
    loop {
        let cycle = residuals.len() + 1;
        let progress = Progress { cycle, residual: residuals.last().copied().unwrap_or(1.0), ..Progress::default() };
        if watch(progress).is_break() {
            return Err(Error::Interrupted);
        }
        let before = handed(&state, tank, model);
        let guide = last.as_ref().filter(|_| residuals.last().is_some_and(|residual| *residual < GUIDED));
        let start =
            until.keeps_start.then(|| Start { state: state.clone(), tank, new_resin: false, guide: guide.cloned() });
        let mut onlookers = Onlookers::watcher(watch, progress);
        let (after, history) = run_cycle(case, model, state, tank, false, guide, &mut onlookers)?;
        for step in &history.steps {
            effort.add(&step.effort);
        }
        effort.cycles += 1;
        let image = handed(&after, tank_after(&history), model);
        let residual = change(&before, &image, model.capacity);
        residuals.push(residual);
        let never_soft = history.steps.last().is_some_and(|step| step.stop == StopReason::NeverSoft);
        let next = anderson.next(&before, &image);
        state = after;
        tank = tank_after(&history);
        if residual <= until.settled || never_soft || cycle == until.most_cycles {
            return Ok(Found { state, tank, anderson, history, residuals, never_soft, start });
        }
        last = Some(history);
        let (loadings, of_tank) = next.split_at(next.len() - tank.map_or(0, |held| held.len()));
        state.shift_towards(loadings, model);
        if let Some(held) = &mut tank {
            shift_towards(held, of_tank);
        }
    }
}

/// Values of a coarse grid at the cell centres of a finer one, on the cubic through the four nearest; sums over ions are
/// kept.
fn refined<const N: usize>(coarse: &[f64], cells: usize) -> Vec<f64> {
    let coarse_cells = coarse.len() / N;
    let mut fine = Vec::with_capacity(cells * N);
    for cell in 0..cells {
        // In cells of the coarse grid from the first of the four.
        let at = (cell as f64 + 0.5) * coarse_cells as f64 / cells as f64 - 0.5;
        let first = (at.max(1.0) as usize - 1).min(coarse_cells - 4);
        let t = at - first as f64;
        let weights = [
            (1.0 - t) * (2.0 - t) * (3.0 - t) / 6.0,
            t * (2.0 - t) * (3.0 - t) / 2.0,
            t * (t - 1.0) * (3.0 - t) / 2.0,
            t * (t - 1.0) * (t - 2.0) / 6.0,
        ];
        fine.extend((0..N).map(|i| (0..4).map(|k| weights[k] * coarse[(first + k) * N + i]).sum::<f64>()));
    }
    fine
}

/// The same for what must stay positive: where the cubic would not, the nearest cell as it is, all ions alike.
fn refined_state<const N: usize>(coarse: &State<N>, cells: usize) -> State<N> {
    let coarse_cells = coarse.loading.len();
    let nearest = |cell: usize| (cell * coarse_cells + coarse_cells / 2) / cells;
    let table = |values: &[[f64; N]]| -> Vec<[f64; N]> {
        let mut fine = refined::<N>(values.as_flattened(), cells).as_chunks::<N>().0.to_vec();
        for (cell, column) in fine.iter_mut().enumerate() {
            let from = values[nearest(cell).min(coarse_cells - 1)];
            if column.iter().zip(&from).any(|(value, near)| *value < MOST_OF_IT * near) {
                *column = from;
            }
        }
        fine
    };
    let mut ratio = refined::<1>(&coarse.ratio, cells);
    for (cell, value) in ratio.iter_mut().enumerate() {
        *value = value.max(MOST_OF_IT * coarse.ratio[nearest(cell).min(coarse_cells - 1)]);
    }
    let sorbed = if coarse.sorbed.is_empty() { Vec::new() } else { table(&coarse.sorbed) };
    let inside = coarse.inside.iter().map(|shell| table(shell)).collect();
    State { loading: table(&coarse.loading), liquid: table(&coarse.liquid), ratio, inside, sorbed }
}

/// A cubic that falls below this share of the nearest cell has overshot.
const MOST_OF_IT: f64 = 0.1;

fn describe(settled: bool, never_soft: bool, residuals: &[f64]) -> String {
    let cycles = residuals.len();
    let last = residuals.last().copied().unwrap_or(1.0);
    if never_soft {
        return format!(
            "never soft: the effluent was above the limit after one void volume of service (cycle {cycles}); no steady cycle was sought"
        );
    }
    if settled {
        return format!("settled in {cycles} cycles: the loading changes by {last:.1e} of capacity a cycle");
    }
    let tail = &residuals[cycles.saturating_sub(10)..];
    let least = tail.iter().copied().fold(f64::INFINITY, f64::min);
    let how = if last > 3.0 * least { "goes up and down" } else { "falls too slowly" };
    format!(
        "not settled after {cycles} cycles: the change of loading a cycle {how}, {last:.1e} of capacity in the last and {least:.1e} at its least; figures are of the last cycle"
    )
}
