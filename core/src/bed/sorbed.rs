//! Salt in the liquid inside the beads: a second store beside the liquid between them.
//!
//! Donnan's equilibrium says how much a solution of normality N holds there, S*(N) \[eq per litre of bed\]; every cation has
//! the share of it that it has outside, and it comes and goes at one rate k:
//!
//! ```text
//! dS_i/dt = k (s C_i - S_i),    s = S*(N)/N,    k = 15 D/R^2
//! ```
//!
//! With s from the last look at N this is linear in C, ion by ion: over a step S = (1 - kappa) history + kappa s C, with
//! kappa = theta k/(1 + theta k). So a cell holds kappa s C more, and kappa history is there to be given: the balances close
//! as they do without, and the sum over the ions is the balance of the normality.

use crate::bed::model::Model;
use crate::laws::donnan::sorbed_eq_per_l;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::Lanes;
use crate::numerics::rows::Rows;

use super::faces::Stretch;

/// A normality that counts as none \[eq/L\].
const NOTHING: f64 = 1e-30;

/// Salt in the beads along the bed.
#[derive(Debug, Clone)]
pub(super) struct Sorbed<const N: usize> {
    /// Fixed charges per water in a bead \[eq/L\].
    fixed: f64,
    /// Water in the beads per litre of bed.
    water: f64,
    /// Rate \[1/s\].
    per_s: f64,
    pub now: Rows<N>,
    pub before: [Rows<N>; 2],
    pub trial: Rows<N>,
    /// What the history extrapolates to.
    pub history: Rows<N>,
}

/// What a stretch of cells takes up over a step: kappa and kappa s.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Uptake {
    pub kappa: Lanes,
    pub held: Lanes,
}

impl<const N: usize> Sorbed<N> {
    /// The salt of a model whose beads take it up.
    pub fn new(model: &Model, sorbed: &[[f64; N]]) -> Option<Self> {
        let found = model.sorbed?;
        let now = Rows::from_columns(sorbed);
        Some(Self {
            fixed: found.fixed_eq_per_l,
            water: found.water_l_per_l,
            per_s: found.per_s,
            before: [now.clone(), now.clone()],
            trial: now.clone(),
            history: now.clone(),
            now,
        })
    }

    /// What the history adds to the salt of ion `i` in cell `j`.
    pub fn remembered(&self, weights: &Weights, i: usize, j: usize) -> f64 {
        let [last, earlier] = &self.before;
        let (s, s1, s2) = (self.now.row(i)[j], last.row(i)[j], earlier.row(i)[j]);
        weights.remembered(s - s1, s1 - s2)
    }

    /// Extrapolate the history; returns its lowest value, 0 if none is below.
    pub fn prepare(&mut self, weights: &Weights) -> f64 {
        let mut lowest = 0.0_f64;
        for i in 0..N {
            for j in 0..self.now.length() {
                let history = self.now.row(i)[j] + self.remembered(weights, i, j);
                self.history.row_mut(i)[j] = history;
                lowest = lowest.min(history);
            }
        }
        lowest
    }

    /// What cells next to a liquid take up, with the weight theta of their exchange.
    #[inline(always)]
    pub fn uptake(&self, liquid: &Stretch<N>, theta: Lanes) -> Uptake {
        let mut normality = Lanes::all(NOTHING);
        for c in liquid {
            normality = normality + c.at_least(Lanes::default());
        }
        let mut per_normality = Lanes::default();
        for (share, n) in per_normality.0.iter_mut().zip(normality.0) {
            *share = self.water * sorbed_eq_per_l(n, self.fixed) / n;
        }
        let over = theta * self.per_s;
        let kappa = over / (Lanes::all(1.0) + over);
        Uptake { kappa, held: kappa * per_normality }
    }

    /// Take the trial.
    pub fn accept(&mut self) {
        let [last, earlier] = &mut self.before;
        std::mem::swap(last, earlier);
        std::mem::swap(&mut self.now, last);
        std::mem::swap(&mut self.now, &mut self.trial);
    }
}
