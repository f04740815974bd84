//! One time step as the solvers see it: what the history gives to its balances, prepared once for all sweeps.
//!
//! With the weights of [`crate::numerics::bdf`], dy_n = y_n - y_(n-1), the balances of a cell of height dz are
//!
//! ```text
//! q_(n+1) = q^ + theta r_(n+1),    q^ = q_n + p_1 dq_n + p_2 dq_(n-1)
//! eps C_(n+1) = l^ + g_in - g_out - theta r_(n+1),    g = theta/dz x (flux through a face at the new time)
//! ```
//!
//! with r the exchange rate: q^ and l^ are the explicit part, g and r the implicit one. Where a history would turn q^ or l^
//! negative only a share of it, its history weight w from 0 to 1, is kept. The weight of the new rate is then
//! h + w (theta - h): BDF for w = 1, backward Euler for w = 0. The exchange of a cell has a history weight, and so has each
//! ion's flux through each face.

use crate::bed::profile::Profile;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::Lanes;
use crate::numerics::rows::Rows;

/// What a trial step solves.
#[derive(Debug, Clone)]
pub(super) struct TimeStep<const N: usize> {
    pub weights: Weights,
    /// Explicit part of the loading, q^ \[eq/L of bed\].
    pub loading: Rows<N>,
    /// Explicit part of the liquid with that of the integrated fluxes, before the new inflow is added, l^
    /// \[eq/L of bed\].
    pub liquid: Rows<N>,
    /// Does any cell or face keep less than all of its history? If not, the next four are not read.
    pub blended: bool,
    /// Weight of the exchange rate \[s\]: theta, or up to h where the cell falls back towards backward Euler.
    pub exchange_weight: Rows<1>,
    /// Weight of each ion's flux through a face per mean height of a cell \[s/m\], likewise.
    pub flux_weight: Rows<N>,
    /// History weight of each ion's flux through a face.
    pub history_weight: Rows<N>,
    /// Explicit part of what passes each face \[eq per litre of a mean cell\], before it is weighted.
    pub history_flux: Rows<N>,
    /// First guesses of rho at the beads' surface.
    pub ratio: Rows<1>,
    /// The liquid that the first sweep's limited face values are made from \[eq/L\].
    pub lagged: Rows<N>,
    /// How much of each cell's liquid that would turn over \[eq/L\], then the share of it that is gone along with.
    pub turnover: Rows<1>,
    /// Liquid and rho after the first sweep.
    pub swept: Rows<N>,
    pub swept_ratio: Rows<1>,
    /// How far each cell of the trial step is from its prediction, of one ion.
    pub miss: Rows<1>,
    /// What enters the first cell and leaves the last one at the new time's fluxes, over the step \[eq per litre of a
    /// mean cell\].
    pub inflow: [f64; N],
    pub outflow: [f64; N],
    /// Largest normality in the bed or entering it \[eq/L\].
    pub normality_scale: f64,
}

/// How a step weighs the history of the cells of a block.
#[derive(Debug, Clone, Copy)]
pub(super) struct BlockWeights {
    pub weights: Weights,
    /// Weight of the new rate and history weight of each cell; `None` where they are theta and 1.
    pub blended: Option<(Lanes, Lanes)>,
}

impl<const N: usize> TimeStep<N> {
    /// Room for the steps of a bed.
    pub fn new(now: &Profile<N>) -> Self {
        let cells = now.cells();
        Self {
            weights: Weights::new(0.0, [None; 2]),
            loading: now.loading.clone(),
            liquid: now.liquid.clone(),
            blended: false,
            exchange_weight: Rows::filled(cells, 1.0),
            flux_weight: Rows::filled(cells + 1, 1.0),
            history_weight: Rows::filled(cells + 1, 1.0),
            history_flux: Rows::filled(cells + 1, 1.0),
            ratio: now.ratio.clone(),
            lagged: now.liquid.clone(),
            turnover: Rows::filled(now.cells(), 0.0),
            miss: Rows::filled(cells, 0.0),
            swept: now.liquid.clone(),
            swept_ratio: now.ratio.clone(),
            inflow: [0.0; N],
            outflow: [0.0; N],
            normality_scale: 0.0,
        }
    }

    /// How the step weighs the history of the cells from `start`.
    #[inline(always)]
    pub fn block_weights(&self, start: usize) -> BlockWeights {
        let weights = self.weights;
        let blended = self.blended.then(|| {
            let theta = self.exchange_weight.lanes(0, start);
            (theta, (theta - Lanes::all(weights.h)) * (1.0 / (weights.theta - weights.h)))
        });
        BlockWeights { weights, blended }
    }
}
