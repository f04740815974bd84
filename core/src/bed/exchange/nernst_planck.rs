//! Nernst-Planck fluxes through a face inside a bead, made linear.
//!
//! With q \[eq per litre of bed\], charges z, diffusivities D and no net current, the flux of an ion is (F. Helfferich 1962,
//! *Ion Exchange*, ch. 6, from memory)
//!
//! ```text
//! J_i = -D_i (dq_i/dr + z_i q_i F),    F = -sum(D_j dq_j/dr)/sum(z_j D_j q_j)
//! J_i = -D_i dq_i/dr + w_i sum(D_j dq_j/dr),    w_i = z_i D_i q_i/sum(z_j D_j q_j)
//! ```
//!
//! Fluxes sum to 0, so the sum of q stays Q in every shell. That must survive the linearisation. So at each face one
//! diffusivity D^ is taken for all ions, implicitly, and the rest from the last look at the profile:
//!
//! ```text
//! J_i = -D^ dq_i/dr - r_i,    r_i = (D_i - D^) dq_i/dr - w_i sum(D_j dq_j/dr)
//! ```
//!
//! The sum of the r is 0 as they stand, the sum of the first terms by the equation itself. D^ is the one that leaves least
//! in r: for two ions it is their interdiffusion coefficient and r vanishes, for equal diffusivities it is Fick's law. It is
//! kept above half of the largest eigenvalue that the face can have, so that looking again (two sweeps, and step after
//! step) converges.

use crate::bed::cell_block::CellBlock;
use crate::numerics::lanes::Lanes;
use crate::plan::model::Model;

/// What the fluxes through faces are computed with.
#[derive(Debug, Clone)]
pub(super) struct NernstPlanck<const N: usize> {
    /// D/R^2 \[1/s\].
    pub diffusivity: [f64; N],
    charged: [f64; N],
    /// Are all the same?
    pub fick: bool,
    largest: f64,
    /// Sum of the two largest.
    largest_two: f64,
    flat: f64,
    least_share: f64,
}

impl<const N: usize> NernstPlanck<N> {
    /// Of diffusivities over the square of the bead's radius; the common one is at least `least_share` of the largest
    /// eigenvalue.
    pub fn new(model: &Model, per_s: &[f64], least_share: f64) -> Self {
        let diffusivity: [f64; N] = std::array::from_fn(|i| per_s[i]);
        let mut sorted = diffusivity;
        sorted.sort_by(f64::total_cmp);
        Self {
            diffusivity,
            charged: std::array::from_fn(|i| f64::from(model.valence[i]) * diffusivity[i]),
            fick: sorted[N - 1] <= sorted[0] * (1.0 + 1e-12),
            largest: sorted[N - 1],
            largest_two: sorted[N - 1] + if N > 1 { sorted[N - 2] } else { 0.0 },
            flat: model.scheme.shells_flat * model.capacity * model.capacity,
            least_share,
        }
    }

    /// The diffusivity that all ions share at a face, and what each has beside it: fluxes inwards per conductance.
    #[inline(always)]
    pub fn face(&self, here: &CellBlock<N>, ahead: &CellBlock<N>) -> (Lanes, CellBlock<N>) {
        let zero = Lanes::default();
        let (mut charge, mut drift, mut weighted) = (zero, zero, zero);
        let (mut steps, mut drifts) = ([zero; N], [zero; N]);
        for i in 0..N {
            let step = ahead[i] - here[i];
            let charged = (ahead[i] + here[i]).at_least(zero) * self.charged[i];
            charge = charge + charged;
            drift = drift + step * self.diffusivity[i];
            weighted = weighted + charged * self.diffusivity[i];
            (steps[i], drifts[i]) = (step, charged);
        }
        let per_charge = Lanes::all(1.0) / charge;
        let field = drift * per_charge;
        let (mut along, mut squares, mut gained) = (zero, Lanes::all(self.flat), zero);
        let mut flux = [zero; N];
        for i in 0..N {
            flux[i] = steps[i] * self.diffusivity[i] - drifts[i] * field;
            along = along + flux[i] * steps[i];
            squares = squares + steps[i] * steps[i];
            gained = gained + steps[i];
        }
        // Eigenvalues lie between the diffusivities, one between each neighbouring two; their sum is sum D - sum w D.
        let largest = (Lanes::all(self.largest_two) - weighted * per_charge).at_most(Lanes::all(self.largest));
        let common = (along / squares).at_least(largest * self.least_share).at_most(Lanes::all(self.largest));
        for i in 0..N {
            // Where a profile that was carried on has not kept its sum, the fluxes' must still be 0.
            flux[i] = flux[i] - common * (steps[i] - drifts[i] * per_charge * gained);
        }
        (common, flux)
    }
}
