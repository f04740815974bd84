//! What holds ions, or bends their exchange, in each cell beside a lumped bead.

use std::fmt::Debug;
use std::ops::Range;

use crate::bed::cell_block::Place;
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::isotherm::Isotherm;
use crate::bed::profile::Profile;
use crate::bed::refusal::Refusal;
use crate::bed::state::State;
use crate::bed::time_step::BlockWeights;
use crate::numerics::bdf::Weights;
use crate::numerics::rows::Rows;
use crate::plan::model::Model;
use crate::plan::rates::StepRates;

/// What a store begins a recipe step from.
#[derive(Debug, Clone, Copy)]
pub(super) struct Beginning<'a, const N: usize> {
    pub model: &'a Model,
    pub state: &'a State<N>,
    pub rates: &'a StepRates,
    pub isotherm: &'a Isotherm<N>,
    pub liquid: &'a Rows<N>,
}

/// A store with its history within one recipe step. Called block by block, never cell by cell.
///
/// The order of calls is that of [`crate::bed::exchange`]; what a store has no part in it leaves as it is here.
pub(super) trait Store<const N: usize>: Debug + Send + Sync {
    /// Memory for this many blocks.
    fn make_room(&mut self, _slots: usize) {}

    /// Extrapolate the history; returns its lowest value, 0 if none is below.
    fn prepare(&mut self, _weights: &Weights) -> f64 {
        0.0
    }

    /// History weight at which no value in cell `j` turns negative.
    fn most_history(&self, _weights: &Weights, _j: usize) -> f64 {
        1.0
    }

    /// What the history adds to what cell `j` holds of ion `i` beside loading and liquid \[eq/L of bed\].
    fn history(&self, _weights: &Weights, _i: usize, _j: usize) -> f64 {
        0.0
    }

    /// Give cell `j` this history weight; returns what it gains by its history beside loading and liquid \[eq/L of bed\].
    fn weigh_history(&mut self, _weights: &Weights, _j: usize, _history_weight: f64) -> [f64; N] {
        [0.0; N]
    }

    /// Is what a first sweep found to be kept too, since the second one's lagged terms are taken from it?
    fn follows_first_sweep(&self) -> bool {
        false
    }

    /// Look again at the liquid of some cells.
    ///
    /// # Errors
    /// [`Refusal::Nonlinear`] where a law does not hold for it.
    fn look_again(&mut self, _liquid: &Rows<N>, _cells: Range<usize>) -> Result<(), Refusal> {
        Ok(())
    }

    /// Change what the cells of a block exchange; `liquid` is the lagged one of the whole bed.
    fn condense(
        &mut self,
        weights: &BlockWeights,
        liquid: &Rows<N>,
        lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    );

    /// Keep what a sweep found for the cells of a block; into `loading` what the beads hold, if that is this store.
    fn keep(&mut self, _place: Place, _condensed: &Condensed<N>, _found: &Found<'_, N>, _loading: &mut Rows<N>) {}

    /// Take the trial step.
    fn accept(&mut self) {}

    /// Take from the bed as it is now what is lagged by a time step; `before` are the stores listed before this one.
    fn lag(&mut self, _now: &Profile<N>, _isotherm: &Isotherm<N>, _before: &[Box<dyn Store<N>>]) {}

    /// Loading at the surface of the beads of cell `j` now, if this store knows it.
    fn surface(&self, _j: usize) -> Option<[f64; N]> {
        None
    }

    /// Apparent selectivity in cell `j`, if this store knows it.
    fn selectivity(&self, _j: usize) -> Option<[f64; N]> {
        None
    }

    /// Write down what is held now.
    fn write(&self, _state: &mut State<N>) {}
}
