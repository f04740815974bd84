//! What a cell exchanges between its liquid and its beads, made of stores and condensed to a few numbers.
//!
//! Over a time step, ion by ion, with the step's weight of new rates theta, Rf = 1/kf_a and Rb = 1/kb,
//!
//! ```text
//! q = q^ + theta (C - C*)/Rf,    q = q^ + kappa (q* - d),    q* = K rho^z C*,    sum q* = Q
//! ```
//!
//! q^ is the explicit part of the loading. A lumped bead ([`lumped`]) has kappa = theta/(theta + Rb) and is driven by its
//! own loading, d = q^; every other kind of bead, and whatever else holds ions beside the liquid, is a [`Store`] that
//! changes some of these numbers. A solver sees them as [`Condensed`] and knows of no store.
//!
//! How one time step goes: stores *prepare* (extrapolate their history and report their lowest value; if that is negative,
//! they give up a share of it, cell by cell); for each block of cells and each sweep they *look again* at the liquid and
//! *condense*; what the sweep found is *kept*; when the step counts they *accept* it, and *lag* what the next step takes
//! from the bed as it is then.
//!
//! **A new kind of bead** is one file here and one line in [`stores_of`].

mod apparent_selectivity;
pub(super) mod condensed;
mod coupled_film;
mod interdiffusion;
mod lumped;
mod nernst_planck;
mod shells;
mod sorbed_salt;
mod store;

use std::ops::Range;

use crate::bed::cell_block::Place;
use crate::bed::exchange::apparent_selectivity::ApparentSelectivity;
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::exchange::coupled_film::CoupledFilm;
use crate::bed::exchange::interdiffusion::Interdiffusion;
use crate::bed::exchange::lumped::Lumped;
use crate::bed::exchange::shells::Shells;
use crate::bed::exchange::sorbed_salt::SorbedSalt;
use crate::bed::exchange::store::{Beginning, Store};
use crate::bed::isotherm::Isotherm;
use crate::bed::profile::Profile;
use crate::bed::refusal::Refusal;
use crate::bed::state::State;
use crate::bed::time_step::TimeStep;
use crate::numerics::bdf::Weights;
use crate::numerics::rows::Rows;
use crate::plan::model::Model;
use crate::plan::rates::StepRates;

/// The stores that a bed asks for beside lumped beads. Each sees those before it.
fn stores_of<const N: usize>(begins: &Beginning<'_, N>) -> Vec<Box<dyn Store<N>>> {
    let known =
        [Shells::store, Interdiffusion::store, SorbedSalt::store, ApparentSelectivity::store, CoupledFilm::store];
    known.iter().filter_map(|store| store(begins)).collect()
}

/// The exchange of all cells of a bed within one recipe step.
#[derive(Debug)]
pub(super) struct Exchange<const N: usize> {
    pub isotherm: Isotherm<N>,
    lumped: Lumped,
    stores: Vec<Box<dyn Store<N>>>,
    follows_first_sweep: bool,
}

impl<const N: usize> Exchange<N> {
    pub fn new(model: &Model, state: &State<N>, rates: &StepRates, now: &Profile<N>) -> Self {
        let isotherm = Isotherm::new(model);
        let stores = stores_of(&Beginning { model, state, rates, isotherm: &isotherm, liquid: &now.liquid });
        let mut exchange = Self {
            isotherm,
            lumped: Lumped { film_s: rates.film_s, bead_s: rates.bead_s, void_fraction: model.void_fraction },
            follows_first_sweep: stores.iter().any(|store| store.follows_first_sweep()),
            stores,
        };
        exchange.lag(now);
        exchange
    }

    /// Memory for as many blocks as a solver condenses before it looks at the first one again.
    pub fn make_room(&mut self, slots: usize) {
        self.stores.iter_mut().for_each(|store| store.make_room(slots));
    }

    /// A block to condense into.
    pub fn neutral(&self) -> Condensed<N> {
        self.lumped.neutral(&self.isotherm)
    }

    /// Extrapolate the histories of all stores; returns the lowest value, 0 if none is below.
    #[inline(always)]
    pub fn prepare(&mut self, weights: &Weights) -> f64 {
        self.stores.iter_mut().map(|store| store.prepare(weights)).fold(0.0, f64::min)
    }

    /// History weight at which no store of cell `j` turns negative.
    pub fn most_history(&self, weights: &Weights, j: usize) -> f64 {
        self.stores.iter().map(|store| store.most_history(weights, j)).fold(1.0, f64::min)
    }

    /// What the history adds to what cell `j` holds of ion `i` beside loading and liquid \[eq/L of bed\].
    pub fn history(&self, weights: &Weights, i: usize, j: usize) -> f64 {
        self.stores.iter().map(|store| store.history(weights, i, j)).fold(0.0, |sum, more| sum + more)
    }

    /// Give cell `j` this history weight; returns what its stores beside loading and liquid then gain by their history.
    pub fn weigh_history(&mut self, weights: &Weights, j: usize, history_weight: f64) -> [f64; N] {
        let mut gained = [0.0; N];
        for store in &mut self.stores {
            let more = store.weigh_history(weights, j, history_weight);
            (0..N).for_each(|i| gained[i] += more[i]);
        }
        gained
    }

    /// Do stores want to know what a first sweep found?
    pub fn follows_first_sweep(&self) -> bool {
        self.follows_first_sweep
    }

    /// Look again at the liquid of some cells, before they are condensed from what a sweep found.
    #[inline(always)]
    pub fn look_again(&mut self, liquid: &Rows<N>, cells: Range<usize>) -> Result<(), Refusal> {
        self.stores.iter_mut().try_for_each(|store| store.look_again(liquid, cells.clone()))
    }

    /// Condense the cells of a block, next to a lagged liquid.
    #[inline(always)]
    pub fn condense(
        &mut self,
        step: &TimeStep<N>,
        liquid: &Rows<N>,
        lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        self.lumped.condense(step, place, out);
        if !self.stores.is_empty() {
            self.condense_stores(step, liquid, lagged_from, place, out);
        }
    }

    #[inline(never)]
    fn condense_stores(
        &mut self,
        step: &TimeStep<N>,
        liquid: &Rows<N>,
        lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        self.lumped.reset(out);
        let weights = step.block_weights(place.start);
        for store in &mut self.stores {
            store.condense(&weights, liquid, lagged_from, place, out);
        }
        for i in 0..N {
            out.rest[i] = step.loading.lanes(i, place.start) - out.kappa * out.drive[i];
        }
    }

    /// Keep what a sweep found for the cells of a block; into `loading` what the beads hold if that is not the lumped
    /// bead's.
    #[inline(always)]
    pub fn keep(&mut self, place: Place, condensed: &Condensed<N>, found: &Found<'_, N>, loading: &mut Rows<N>) {
        for store in &mut self.stores {
            store.keep(place, condensed, found, loading);
        }
    }

    /// Take the trial step.
    pub fn accept(&mut self, now: &Profile<N>) {
        self.stores.iter_mut().for_each(|store| store.accept());
        self.lag(now);
    }

    /// Take from the bed as it is now what is lagged by a time step.
    fn lag(&mut self, now: &Profile<N>) {
        for place in 0..self.stores.len() {
            let (before, rest) = self.stores.split_at_mut(place);
            if let Some(store) = rest.first_mut() {
                store.lag(now, &self.isotherm, before);
            }
        }
    }

    /// Write down what stores hold now.
    pub fn write(&self, state: &mut State<N>) {
        self.stores.iter().for_each(|store| store.write(state));
    }
}
