//! Where a search on another grid may begin.

use crate::bed::state::State;
use crate::bed::vessel::VesselState;
use crate::cycle::cycle_state::CycleState;
use crate::numerics::fixed_point::Anderson;
use crate::plan::model::Model;

/// A cubic that falls below this share of the nearest cell has overshot.
const MOST_OF_IT: f64 = 0.1;

/// What a cycle hands on, with the differences that led to it, for any number of ions.
#[derive(Debug, Clone)]
pub struct WarmStart {
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

impl WarmStart {
    pub(super) fn of<const N: usize>(state: &CycleState<N>, anderson: &Anderson) -> Self {
        let CycleState { vessel, tank } = state;
        Self {
            tubes: vessel.tubes.iter().map(TubeBed::of).collect(),
            spaces: vessel.spaces.map(|liquid| liquid.to_vec()),
            tank: tank.map(|held| held.to_vec()),
            anderson: anderson.clone(),
        }
    }

    /// The bed on another grid.
    pub(super) fn on_grid<const N: usize>(&self, model: &Model) -> (CycleState<N>, Anderson) {
        let whole = |held: &Vec<f64>| std::array::from_fn(|i| held[i]);
        let vessel = VesselState {
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
        (CycleState { vessel, tank }, carried)
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
