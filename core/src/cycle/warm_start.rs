//! Where a search on another grid may begin.

use std::sync::Arc;

use crate::bed::state::State;
use crate::bed::vessel::VesselState;
use crate::cycle::cycle_state::CycleState;
use crate::numerics::fixed_point::Anderson;
use crate::numerics::grid::Grid;
use crate::numerics::regrid::Regrid;
use crate::plan::model::Model;

/// A cubic that falls below this share of the nearest cell has overshot.
const MOST_OF_IT: f64 = 0.1;

/// What a cycle hands on, with the differences that led to it, for any number of ions.
#[derive(Debug, Clone)]
pub struct WarmStart {
    grid: Arc<Grid>,
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
    fn on_grid<const N: usize>(&self, model: &Model, regrid: &Regrid) -> State<N> {
        let columns = |values: &[f64]| values.as_chunks::<N>().0.to_vec();
        let state = State {
            loading: columns(&self.loading),
            liquid: columns(&self.liquid),
            ratio: self.ratio.clone(),
            inside: self.inside.iter().map(|shell| columns(shell)).collect(),
            sorbed: columns(&self.sorbed),
        };
        let mut state = regridded(&state, regrid);
        let loadings = state.loadings(model);
        state.set_loadings(&loadings, model);
        state
    }
}

impl WarmStart {
    pub(super) fn of<const N: usize>(model: &Model, state: &CycleState<N>, anderson: &Anderson) -> Self {
        let CycleState { vessel, tank } = state;
        Self {
            grid: model.grid.clone(),
            tubes: vessel.tubes.iter().map(TubeBed::of).collect(),
            spaces: vessel.spaces.map(|liquid| liquid.to_vec()),
            tank: tank.map(|held| held.to_vec()),
            anderson: anderson.clone(),
        }
    }

    /// The bed on another grid.
    pub(super) fn on_grid<const N: usize>(&self, model: &Model) -> (CycleState<N>, Anderson) {
        let regrid = Regrid::new(&self.grid, &model.grid);
        let whole = |held: &Vec<f64>| std::array::from_fn(|i| held[i]);
        let vessel = VesselState {
            tubes: self.tubes.iter().map(|bed| bed.on_grid(model, &regrid)).collect(),
            spaces: self.spaces.each_ref().map(whole),
        };
        let tank = self.tank.as_ref().map(whole);
        // What is handed on is the loading, tube by tube and shell by shell, and ends with spaces and tank, which no grid
        // changes.
        let rows = regrid.from_cells() * N;
        let spaces = model.spaces_bv.iter().filter(|bv| **bv > 0.0).count();
        let liquids = N * (spaces + usize::from(tank.is_some()));
        let carried = self.anderson.carried(|values| {
            let (loadings, liquids) = values.split_at(values.len() - liquids);
            let fine = loadings.chunks_exact(rows).flat_map(|row| regrid.values::<N>(row));
            fine.chain(liquids.iter().copied()).collect()
        });
        (CycleState { vessel, tank }, carried)
    }
}

/// A bed read off another grid. Where a cubic of what must stay positive would not, the nearest cell as it is, all ions
/// alike.
fn regridded<const N: usize>(bed: &State<N>, regrid: &Regrid) -> State<N> {
    let table = |values: &[[f64; N]]| -> Vec<[f64; N]> {
        let mut fine = regrid.values::<N>(values.as_flattened()).as_chunks::<N>().0.to_vec();
        for (column, nearest) in fine.iter_mut().zip(regrid.nearest()) {
            let from = values[nearest];
            if column.iter().zip(&from).any(|(value, near)| *value < MOST_OF_IT * near) {
                *column = from;
            }
        }
        fine
    };
    let mut ratio = regrid.values::<1>(&bed.ratio);
    for (value, nearest) in ratio.iter_mut().zip(regrid.nearest()) {
        *value = value.max(MOST_OF_IT * bed.ratio[nearest]);
    }
    let sorbed = if bed.sorbed.is_empty() { Vec::new() } else { table(&bed.sorbed) };
    let inside = bed.inside.iter().map(|shell| table(shell)).collect();
    State { loading: table(&bed.loading), liquid: table(&bed.liquid), ratio, inside, sorbed }
}
