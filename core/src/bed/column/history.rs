//! What a column was at the ends of its last steps, and what that extrapolates to.

use crate::bed::profile::Profile;
use crate::bed::time_step::TimeStep;
use crate::bed::transport::Transport;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::largest;
use crate::numerics::rows::Rows;
use crate::plan::scheme::Scheme;

/// What passed the two ends over one time step \[eq per litre of a mean cell\].
#[derive(Debug, Clone, Copy)]
pub(super) struct Ends<const N: usize> {
    pub inlet: [f64; N],
    pub outlet: [f64; N],
}

/// The history within one recipe step, the newest first.
#[derive(Debug, Clone)]
pub(super) struct History<const N: usize> {
    /// The bed now, and at the ends of the two steps before.
    pub now: Profile<N>,
    pub before: [Profile<N>; 2],
    steps_before: [Option<f64>; 2],
    ends_before: [Ends<N>; 2],
    /// Rates at the end of the last step, and of the trial \[eq/L/s\].
    pub loading_rate: [Rows<N>; 2],
    pub normality_rate: [Rows<1>; 2],
}

impl<const N: usize> History<N> {
    /// None yet.
    pub fn new(now: Profile<N>) -> Self {
        let cells = now.cells();
        let at_rest = Ends { inlet: [0.0; N], outlet: [0.0; N] };
        Self {
            before: [now.clone(), now.clone()],
            now,
            steps_before: [None; 2],
            ends_before: [at_rest; 2],
            loading_rate: [Rows::filled(cells, 0.0), Rows::filled(cells, 0.0)],
            normality_rate: [Rows::filled(cells, 0.0), Rows::filled(cells, 0.0)],
        }
    }

    /// Weights of a step of `h` seconds.
    pub fn weights(&self, h: f64) -> Weights {
        Weights::new(h, self.steps_before)
    }

    /// What the history adds to the flux of ion `i` through the inlet \[eq per litre of a mean cell\].
    pub fn of_inlet(&self, weights: &Weights, i: usize) -> f64 {
        let [last, earlier] = &self.ends_before;
        weights.of_history(last.inlet[i], earlier.inlet[i])
    }

    /// The same through the outlet.
    pub fn of_outlet(&self, weights: &Weights, i: usize) -> f64 {
        let [last, earlier] = &self.ends_before;
        weights.of_history(last.outlet[i], earlier.outlet[i])
    }

    /// What the history adds to the loading with ion `i` of cell `j` \[eq/L of bed\].
    pub fn of_loading(&self, weights: &Weights, i: usize, j: usize) -> f64 {
        let [q, q1, q2] = self.rows(|bed| &bed.loading, i);
        weights.of_history(q[j] - q1[j], q1[j] - q2[j])
    }

    /// The same to its concentration \[eq/L\].
    pub fn of_liquid(&self, weights: &Weights, i: usize, j: usize) -> f64 {
        let [c, c1, c2] = self.rows(|bed| &bed.liquid, i);
        weights.of_history(c[j] - c1[j], c1[j] - c2[j])
    }

    /// A row of one table now and before, of one length.
    #[inline(always)]
    pub fn rows<const M: usize>(&self, of: impl Fn(&Profile<N>) -> &Rows<M>, i: usize) -> [&[f64]; 3] {
        let [last, earlier] = &self.before;
        let (a, b, c) = (of(&self.now), of(last), of(earlier));
        let length = a.length();
        [a.row(i), &b.row(i)[..length], &c.row(i)[..length]]
    }

    /// Explicit parts of a step's balances with all of the history, what face values are lagged at, first guesses; returns
    /// the lowest explicit part, 0 if none is below.
    #[inline(always)]
    pub fn extrapolate(&self, scheme: &Scheme, transport: &Transport<N>, step: &mut TimeStep<N>) -> f64 {
        let (eps, weights) = (transport.void_fraction, step.weights);
        let cells = self.now.cells();
        let mut most_below = 0.0_f64;
        step.turnover.fill(0.0);
        for i in 0..N {
            let [q, q1, q2] = self.rows(|bed| &bed.loading, i);
            let [c, c1, c2] = self.rows(|bed| &bed.liquid, i);
            let loading = &mut step.loading.row_mut(i)[..cells];
            let liquid = &mut step.liquid.row_mut(i)[..cells];
            let lagged = &mut step.lagged.row_mut(i)[..cells];
            let turnover = &mut step.turnover.row_mut(0)[..cells];
            // Room that the first guesses are written to afterwards.
            let below = &mut step.ratio.row_mut(0)[..cells];
            for j in 0..cells {
                let dc = c[j] - c1[j];
                loading[j] = q[j] + weights.of_history(q[j] - q1[j], q1[j] - q2[j]);
                // Balances of the steps before have closed: their fluxes are what liquid and loading gained.
                liquid[j] = eps * (c[j] + weights.of_history(dc, c1[j] - c2[j]));
                lagged[j] = weights.linear * dc;
                turnover[j] += lagged[j].abs();
                below[j] = if loading[j] < liquid[j] { -loading[j] } else { -liquid[j] };
            }
            most_below = largest(below, most_below);
        }
        self.go_on(scheme, step);
        let [r, r1, r2] = self.rows(|bed| &bed.ratio, 0);
        let guess = &mut step.ratio.row_mut(0)[..cells];
        let [ahead, bend] = weights.extrapolation;
        let [low, high] = scheme.guess_range;
        for j in 0..cells {
            let on = r[j] + ahead * (r[j] - r1[j]) + bend * (r1[j] - r2[j]);
            guess[j] = between(on, low * r[j], high * r[j]);
        }
        let normality = &self.now.normality.row(0)[..cells];
        step.normality_scale = largest(normality, transport.inlet.iter().sum());
        -most_below
    }

    /// Where the liquid goes if it goes on as it did: what a line promises, which `step` holds in its place, makes it. Only
    /// ratios between neighbours are taken from it. The more of a cell's liquid turns over, the less of the promise counts,
    /// the same share for all its ions, so that their sum goes on along its own line.
    #[inline(always)]
    fn go_on(&self, scheme: &Scheme, step: &mut TimeStep<N>) {
        let cells = self.now.cells();
        let [low, high] = scheme.lagged_range;
        let normality = &self.now.normality.row(0)[..cells];
        let share = &mut step.turnover.row_mut(0)[..cells];
        for j in 0..cells {
            share[j] = normality[j] / (normality[j] + scheme.lagged_damping * share[j] + f64::MIN_POSITIVE);
        }
        for i in 0..N {
            let c = &self.now.liquid.row(i)[..cells];
            let lagged = &mut step.lagged.row_mut(i)[..cells];
            for j in 0..cells {
                lagged[j] = between(c[j] + share[j] * lagged[j], low * c[j], high * c[j]);
            }
        }
    }

    /// Take a trial step of `h` seconds; `trial` is left with room for the next one.
    pub fn accept(&mut self, h: f64, trial: &mut Profile<N>, passed: Ends<N>) {
        self.ends_before = [passed, self.ends_before[0]];
        self.steps_before = [Some(h), self.steps_before[0]];
        self.loading_rate.swap(0, 1);
        self.normality_rate.swap(0, 1);
        let [last, earlier] = &mut self.before;
        std::mem::swap(last, earlier);
        std::mem::swap(&mut self.now, last);
        std::mem::swap(&mut self.now, trial);
    }
}

/// A number cut to a range; none of the three is NaN.
#[inline(always)]
fn between(value: f64, low: f64, high: f64) -> f64 {
    let value = if value > low { value } else { low };
    if value < high { value } else { high }
}
