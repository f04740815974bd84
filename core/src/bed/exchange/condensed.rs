//! The exchange of a block of cells as a solver sees it.

use crate::bed::cell_block::CellBlock;
use crate::numerics::lanes::Lanes;

/// Which iterate lagged terms are taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::bed) enum LaggedFrom {
    /// What the history extrapolates to.
    History,
    /// What the last sweep found.
    LastSweep,
}

/// What a block of cells exchanges over a step: the numbers of [`crate::bed::exchange`].
#[derive(Debug, Clone)]
pub(in crate::bed) struct Condensed<const N: usize> {
    /// Weight theta of new rates \[s\].
    pub weight: Lanes,
    /// Film resistance Rf \[s\], ...
    pub film_s: Lanes,
    /// ... and over the weight, Rf/theta.
    pub film: Lanes,
    /// kappa: share of q* - d that the loading gains over the step.
    pub kappa: Lanes,
    /// d: loading that drives the exchange \[eq/L of bed\].
    pub drive: CellBlock<N>,
    /// q^ - kappa d: the loading without what it gains from the surface \[eq/L of bed\].
    pub rest: CellBlock<N>,

    // Neutral where beads are lumped.
    /// Can d be negative, by what is explicit in it?
    pub drive_may_be_negative: bool,
    /// What is explicit in d: a solver may do with a share of it, `kept`.
    pub explicit_drive: CellBlock<N>,
    /// The share of it that the solver kept. The rest is already taken off d.
    pub kept: Lanes,
    /// What a cell holds per liquid concentration: void fraction, and what stores of liquid take up.
    pub held: Lanes,
    /// What they give up of their history \[eq/L of bed\].
    pub released: CellBlock<N>,
    /// Apparent selectivity.
    pub selectivity: CellBlock<N>,
}

impl<const N: usize> Condensed<N> {
    /// Do with this share of the explicit part of the drive in cell `k` of the block.
    pub fn keep_share(&mut self, k: usize, share: f64) {
        for i in 0..N {
            self.drive[i].0[k] -= (1.0 - share) * self.explicit_drive[i].0[k];
        }
        self.kept.0[k] = share;
    }
}

/// What a sweep found for a block of cells.
#[derive(Debug, Clone, Copy)]
pub(in crate::bed) struct Found<'a, const N: usize> {
    /// Liquid \[eq/L\].
    pub liquid: &'a CellBlock<N>,
    /// Loading at the beads' surface, q* \[eq/L of bed\].
    pub surface: &'a CellBlock<N>,
    /// Was it a first sweep, of which only what [`super::store::Store::follows_first_sweep`] wants to know?
    pub first_sweep: bool,
}
