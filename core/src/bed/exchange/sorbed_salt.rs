//! Salt in the liquid inside the beads: a second store beside the liquid between them.
//!
//! Donnan's equilibrium gives what the beads hold in a solution of normality N, S*(N) \[eq per litre of bed\]; every
//! cation has the share of it that it has outside, and it comes and goes at one rate k:
//!
//! ```text
//! dS_i/dt = k (s C_i - S_i),    s = S*(N)/N,    k = 15 D/R^2
//! ```
//!
//! With s from a lagged N this is linear in C, ion by ion: over a step S = (1 - kappa) S^ + kappa s C, with
//! kappa = theta k/(1 + theta k) and S^ the explicit part. So a cell holds kappa s C more, and kappa S^ is there to be
//! given: the balances close as they do without, and the sum over the ions is the balance of the normality.

use crate::bed::cell_block::{Place, block_of, write};
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::exchange::store::{Beginning, Store};
use crate::bed::state::State;
use crate::bed::time_step::BlockWeights;
use crate::laws::donnan::sorbed_eq_per_l;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::{Lanes, widest};
use crate::numerics::rows::Rows;

/// A normality that counts as none \[eq/L\].
const NO_NORMALITY: f64 = 1e-30;

/// Salt in the beads along the bed.
#[derive(Debug, Clone)]
pub(super) struct SorbedSalt<const N: usize> {
    /// Fixed charges per water in a bead \[eq/L\].
    fixed_eq_per_l: f64,
    /// Water in the beads per litre of bed.
    water_l_per_l: f64,
    /// Rate k \[1/s\].
    per_s: f64,
    /// S now, at the ends of the two steps before, and at the end of the trial step \[eq/L of bed\].
    now: Rows<N>,
    before: [Rows<N>; 2],
    trial: Rows<N>,
    /// Explicit part S^.
    explicit: Rows<N>,
    /// Of each block.
    uptake: Vec<Uptake>,
}

/// What a block of cells takes up over a step: kappa and kappa s.
#[derive(Debug, Clone, Copy, Default)]
struct Uptake {
    kappa: Lanes,
    held: Lanes,
}

impl<const N: usize> SorbedSalt<N> {
    /// The salt of a model whose beads take it up.
    pub fn store(begins: &Beginning<'_, N>) -> Option<Box<dyn Store<N>>> {
        let found = begins.model.sorbed?;
        let now = Rows::from_columns(&begins.state.sorbed);
        Some(Box::new(Self {
            fixed_eq_per_l: found.fixed_eq_per_l,
            water_l_per_l: found.water_l_per_l,
            per_s: found.per_s,
            before: [now.clone(), now.clone()],
            trial: now.clone(),
            explicit: now.clone(),
            now,
            uptake: Vec::new(),
        }))
    }

    /// What cells next to a liquid take up.
    #[inline(always)]
    fn uptake(&self, liquid: &Rows<N>, theta: Lanes, start: usize) -> Uptake {
        let mut normality = Lanes::all(NO_NORMALITY);
        for i in 0..N {
            normality = normality + liquid.lanes(i, start).at_least(Lanes::default());
        }
        let mut per_normality = Lanes::default();
        for (share, n) in per_normality.0.iter_mut().zip(normality.0) {
            *share = self.water_l_per_l * sorbed_eq_per_l(n, self.fixed_eq_per_l) / n;
        }
        let over = theta * self.per_s;
        let kappa = over / (Lanes::all(1.0) + over);
        Uptake { kappa, held: kappa * per_normality }
    }
}

impl<const N: usize> Store<N> for SorbedSalt<N> {
    fn make_room(&mut self, slots: usize) {
        self.uptake = vec![Uptake::default(); slots];
    }

    fn prepare(&mut self, weights: &Weights) -> f64 {
        let mut lowest = 0.0_f64;
        for i in 0..N {
            for j in 0..self.now.length() {
                let explicit = self.now.row(i)[j] + self.history(weights, i, j);
                self.explicit.row_mut(i)[j] = explicit;
                lowest = lowest.min(explicit);
            }
        }
        lowest
    }

    fn most_history(&self, weights: &Weights, j: usize) -> f64 {
        let mut most = 1.0_f64;
        for i in 0..N {
            let (held, more) = (self.now.row(i)[j], self.history(weights, i, j));
            if held + more < 0.0 {
                most = most.min(-held / more);
            }
        }
        most
    }

    fn history(&self, weights: &Weights, i: usize, j: usize) -> f64 {
        let [last, earlier] = &self.before;
        let (s, s1, s2) = (self.now.row(i)[j], last.row(i)[j], earlier.row(i)[j]);
        weights.of_history(s - s1, s1 - s2)
    }

    fn weigh_history(&mut self, weights: &Weights, j: usize, history_weight: f64) -> [f64; N] {
        std::array::from_fn(|i| {
            let held = self.now.row(i)[j];
            let explicit = (held + history_weight * self.history(weights, i, j)).max(0.0);
            self.explicit.row_mut(i)[j] = explicit;
            explicit - held
        })
    }

    fn condense(
        &mut self,
        _weights: &BlockWeights,
        liquid: &Rows<N>,
        _lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        widest(
            #[inline(always)]
            || {
                let uptake = self.uptake(liquid, out.weight, place.start);
                out.held = out.held + uptake.held;
                for i in 0..N {
                    out.released[i] = out.released[i] + uptake.kappa * self.explicit.lanes(i, place.start);
                }
                self.uptake[place.slot] = uptake;
            },
        );
    }

    fn keep(&mut self, place: Place, _condensed: &Condensed<N>, found: &Found<'_, N>, _loading: &mut Rows<N>) {
        if found.first_sweep {
            return;
        }
        let Uptake { kappa, held } = self.uptake[place.slot];
        let mut salt = block_of(&self.explicit, place.start);
        for i in 0..N {
            salt[i] = salt[i] - kappa * salt[i] + held * found.liquid[i];
        }
        write(&mut self.trial, &salt, place);
    }

    fn accept(&mut self) {
        let [last, earlier] = &mut self.before;
        std::mem::swap(last, earlier);
        std::mem::swap(&mut self.now, last);
        std::mem::swap(&mut self.now, &mut self.trial);
    }

    fn write(&self, state: &mut State<N>) {
        state.sorbed = self.now.to_columns();
    }
}
