//! Activity coefficients in a bed: the apparent selectivity of each cell.
//!
//! With activities the exchange law is the ideal one with a coefficient of the liquid at hand ([`crate::laws::activity`]),
//!
//! ```text
//! K_i' = K_i G_i/G_1^z
//! ```
//!
//! so a column solves the same equations with a K for each cell. K' is lagged by a sweep: it is read off the liquid that
//! the first sweep of a time step found, which differs from the second's by much less than a step's change. Sum q = Q holds
//! whatever K' is, so normality stays an inert tracer and ledgers close as before.
//!
//! A cell's K' is renewed where its liquid has moved by more than
//!
//! ```text
//! sum_i |C_i - C_i,then| > 1e-4 sqrt(N_then)          C, N [eq/L]
//! ```
//!
//! since its last evaluation ([`crate::plan::scheme::Scheme::selectivity_renewed_beyond`]). By Debye's limiting law ln K' of
//! a divalent ion moves by at most 1.8/sqrt(N) per eq/L, and in brine by less: so K' is never off by more than 2e-4, and
//! mostly by much less. Against a tolerance of 1e-5, lag and time steps together move capacity by 1e-5 and leakage by
//! 1.9e-4 of themselves (`pitzer`, default tolerance of 3e-4); without activities time steps alone do so by 5e-6 and
//! 2.8e-4. Cycles to the steady state are as many as for an ideal liquid.

use std::ops::Range;
use std::sync::Arc;

use crate::bed::cell_block::{Place, block_of};
use crate::bed::exchange::condensed::{Condensed, LaggedFrom};
use crate::bed::exchange::store::{Beginning, Store};
use crate::bed::refusal::Refusal;
use crate::bed::time_step::BlockWeights;
use crate::numerics::rows::Rows;
use crate::plan::activities::Activities;

/// Normality \[eq/L\] below which a liquid counts as this strong, for the limit above.
const LEAST_NORMALITY: f64 = 1e-8;

/// K' of every cell, along the flow.
#[derive(Debug, Clone)]
pub(super) struct ApparentSelectivity<const N: usize> {
    activities: Arc<Activities>,
    thermodynamic: [f64; N],
    renewed_beyond: f64,
    /// K' of each cell.
    apparent: Rows<N>,
    /// The liquid it was evaluated at ...
    at: Rows<N>,
    /// ... and how far that may move.
    room: Rows<1>,
}

impl<const N: usize> ApparentSelectivity<N> {
    /// K' at a bed's liquid, if the model has activities.
    pub fn store(begins: &Beginning<'_, N>) -> Option<Box<dyn Store<N>>> {
        let activities = Arc::clone(begins.model.activities.as_ref()?);
        let (cells, selectivity) = (begins.liquid.length(), begins.isotherm.selectivity);
        let mut store = Self {
            activities,
            thermodynamic: selectivity,
            renewed_beyond: begins.model.scheme.selectivity_renewed_beyond,
            apparent: Rows::from_columns(&vec![selectivity; cells]),
            at: Rows::filled(cells, 0.0),
            // Nothing has been evaluated: any liquid has moved.
            room: Rows::filled(cells, -1.0),
        };
        // A liquid out of the law's range is found again by the first time step, which can say where.
        store.look_again(begins.liquid, 0..cells).ok();
        Some(Box::new(store))
    }
}

impl<const N: usize> Store<N> for ApparentSelectivity<N> {
    /// Renew K' where the liquid has moved.
    fn look_again(&mut self, liquid: &Rows<N>, cells: Range<usize>) -> Result<(), Refusal> {
        for j in cells {
            let c = liquid.at(j);
            let then = self.at.at(j);
            let moved: f64 = (0..N).map(|i| (c[i] - then[i]).abs()).sum();
            if moved <= self.room.row(0)[j] {
                continue;
            }
            let factors = self.activities.factors(&c).map_err(|_| Refusal::Nonlinear { cell: j })?;
            self.apparent.set(j, &std::array::from_fn(|i| self.thermodynamic[i] * factors[i]));
            self.at.set(j, &c);
            let normality: f64 = c.iter().sum();
            self.room.row_mut(0)[j] = self.renewed_beyond * normality.max(LEAST_NORMALITY).sqrt();
        }
        Ok(())
    }

    fn condense(
        &mut self,
        _weights: &BlockWeights,
        _liquid: &Rows<N>,
        _lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        out.selectivity = block_of(&self.apparent, place.start);
    }

    fn selectivity(&self, j: usize) -> Option<[f64; N]> {
        Some(self.apparent.at(j))
    }
}
