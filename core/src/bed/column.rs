//! One implicit time step of the finite-volume column.
//!
//! For each ion, per volume of bed,
//!
//! ```text
//! eps dC/dt + dq/dt + d(u C)/dz = d/dz( eps D dC/dz ),     dq/dt = (C - C*)/Rf = (q* - q)/Rb,     q* in equilibrium with C*
//! ```
//!
//! with Rf = 1/kf_a and Rb = 1/kb, the film and bead resistances; the liquid that enters carries u C_in (P. V. Danckwerts
//! 1953, Chem. Eng. Sci. 2, 1) and the end where it leaves has no gradient. Time is BDF2 in the form of
//! [`crate::numerics::bdf`], applied to the *integrated flux through each face*, so that what leaves a cell enters the
//! next whatever the weights, and the ledger closes by construction.
//!
//! **Exchange is eliminated cell by cell.** Given rho of the interface, C*, q*, q and C follow linearly and ion by ion;
//! rho follows from sum q* = Q ([`crate::laws::equilibrium::solve_ratio`]). Then sum q = Q, and the sum over the ions of
//! the balances is the balance of an inert tracer, the normality: it needs no equation of its own, and ions may be
//! limited one by one without their sum being wrong.
//!
//! **Positive by construction.** Face values are a factor between 0 and 2 times the upstream cell, so the implicit
//! operator stays an M-matrix at any step; where extrapolation in time would turn a cell's history negative, the faces
//! (or the exchange) of that cell fall back towards backward Euler, just as far as it takes.

use crate::bed::ledger::Ledger;
use crate::bed::model::{Model, StepRates};
use crate::bed::state::{Exchange, State};
use crate::numerics::bdf::Weights;
use crate::numerics::block::BlockTridiagonal;
use crate::numerics::effort::Effort;

/// A cell Peclet number u dz/(eps D) below this is dispersion's: the march along the flow would converge slowly there.
const MARCH_PECLET: f64 = 4.0;
/// Histories are kept this share away from zero, so that rounding does not carry them beyond.
const ROUNDING: f64 = 1e-9;

/// Why a trial step cannot be accepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Refusal {
    /// A balance would have turned negative.
    Negative {
        /// Where.
        cell: usize,
    },
    /// The nonlinear iteration did not converge.
    Nonlinear {
        /// Where.
        cell: usize,
    },
}

/// A solved trial step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial<const N: usize> {
    /// Largest local error, in units of what is allowed.
    pub error: f64,
    /// The cell where it is largest, counted along the flow.
    pub cell: usize,
    /// Concentration of the liquid that leaves at the end of the step \[eq/L\].
    pub outlet: [f64; N],
}

/// The column with its history within one recipe step, oriented along the flow.
#[derive(Debug, Clone)]
pub struct Column<const N: usize> {
    /// The bed; cell 0 is where the liquid enters.
    pub state: State<N>,
    /// What passed the ends since the recipe step began \[eq per litre of bed\].
    pub ledger: Ledger<N>,
    /// Counts.
    pub effort: Effort,
    pub(super) exchange: Exchange<N>,
    pub(super) void_fraction: f64,
    pub(super) cell_m: f64,
    pub(super) rates: StepRates,
    pub(super) inlet: [f64; N],
    tolerance: f64,
    step_before: Option<f64>,
    // History: increments over the last step, rates at its end, integrated fluxes over it.
    loading_increment: Vec<[f64; N]>,
    loading_rate: Vec<[f64; N]>,
    normality_increment: Vec<f64>,
    normality_rate: Vec<f64>,
    ratio_increment: Vec<f64>,
    pub(super) flux_before: Vec<[f64; N]>,
    // The trial step.
    pub(super) problem: Problem<N>,
    pub(super) trial: State<N>,
    pub(super) block: Option<Box<BlockTridiagonal<N>>>,
    pub(super) speeds: Vec<([f64; N], [f64; N])>,
}

/// What a trial step solves, prepared once for all its sweeps.
#[derive(Debug, Clone)]
pub(super) struct Problem<const N: usize> {
    pub weights: Weights,
    /// Loading that the history extrapolates to, q_n + p dq.
    pub loading: Vec<[f64; N]>,
    /// Liquid part of the history with the integrated fluxes' share, before the new inflow is added.
    pub liquid: Vec<[f64; N]>,
    /// Weight of the exchange rate: theta, or up to h where the cell falls back towards backward Euler.
    pub exchange_weight: Vec<f64>,
    /// Does any cell or face remember less than all of its history? If not, the two fields below are not read.
    pub blended: bool,
    /// Share of its history that each ion's flux through a face remembers: 1 is BDF2, 0 backward Euler.
    pub memory: Vec<[f64; N]>,
    /// First guesses of the ratio at the beads' surface.
    pub ratio: Vec<f64>,
    /// The liquid that lagged face values are made from.
    pub lagged: Vec<[f64; N]>,
    /// Flux through each face at the end of the step \[eq/L m/s\].
    pub flux: Vec<[f64; N]>,
    /// Largest normality in the bed or entering it.
    pub normality_scale: f64,
}

impl<const N: usize> Column<N> {
    /// A column with room for everything a march needs; nothing is allocated later.
    pub fn new(model: &Model, state: State<N>) -> Self {
        let cells = state.loading.len();
        let zeros = || vec![[0.0; N]; cells];
        Self {
            ledger: Ledger::default(),
            effort: Effort::default(),
            exchange: Exchange::new(model),
            void_fraction: model.void_fraction,
            cell_m: model.cell_m(),
            rates: StepRates { velocity: 0.0, film_s: 0.0, bead_s: 0.0, dispersion: 0.0 },
            inlet: [0.0; N],
            tolerance: model.tolerance,
            step_before: None,
            loading_increment: zeros(),
            loading_rate: zeros(),
            normality_increment: vec![0.0; cells],
            normality_rate: vec![0.0; cells],
            ratio_increment: vec![0.0; cells],
            flux_before: vec![[0.0; N]; cells + 1],
            problem: Problem {
                weights: Weights::new(0.0, None),
                loading: zeros(),
                liquid: zeros(),
                exchange_weight: vec![0.0; cells],
                blended: true,
                memory: vec![[1.0; N]; cells + 1],
                ratio: vec![0.0; cells],
                lagged: zeros(),
                flux: vec![[0.0; N]; cells + 1],
                normality_scale: 0.0,
            },
            trial: state.clone(),
            block: None,
            speeds: Vec::new(),
            state,
        }
    }

    /// Begin a recipe step: new flow, new inlet, no history. The state must already lie along the flow.
    pub fn begin(&mut self, rates: StepRates, inlet: [f64; N]) {
        self.rates = rates;
        self.inlet = inlet;
        self.step_before = None;
        self.ledger = Ledger::default();
        self.loading_increment.fill([0.0; N]);
        self.loading_rate.fill([0.0; N]);
        self.normality_increment.fill(0.0);
        self.normality_rate.fill(0.0);
        self.ratio_increment.fill(0.0);
        self.flux_before.fill([0.0; N]);
        if self.dispersion_rules() && self.block.is_none() {
            self.block = Some(Box::new(BlockTridiagonal::new(self.state.loading.len())));
            self.speeds = vec![([0.0; N], [0.0; N]); self.state.loading.len()];
        }
    }

    /// Dispersive conductance between neighbouring cells, eps D/dz \[m/s\].
    pub(super) fn conductance(&self) -> f64 {
        self.void_fraction * self.rates.dispersion / self.cell_m
    }

    fn dispersion_rules(&self) -> bool {
        let conductance = self.conductance();
        conductance > 0.0 && self.rates.velocity < MARCH_PECLET * conductance
    }

    /// Time in which the liquid crosses one cell \[s\]; infinite without flow.
    pub fn cell_transit_s(&self) -> f64 {
        self.void_fraction * self.cell_m / self.rates.velocity
    }

    /// Concentration of the liquid that leaves now \[eq/L\].
    pub fn outlet(&self) -> [f64; N] {
        self.outlet_of(&self.state.liquid)
    }

    fn outlet_of(&self, liquid: &[[f64; N]]) -> [f64; N] {
        use crate::numerics::limiter::outlet_factor;
        let last = liquid.len() - 1;
        std::array::from_fn(|i| liquid[last][i] * outlet_factor(liquid[last - 1][i], liquid[last][i]))
    }

    /// Solve a trial step of `h` seconds, without taking it.
    ///
    /// # Errors
    /// A [`Refusal`] says why a smaller step is needed.
    pub fn try_step(&mut self, h: f64) -> Result<Trial<N>, Refusal> {
        self.prepare(Weights::new(h, self.step_before));
        if self.dispersion_rules() {
            self.solve_blocks()?
        } else {
            self.march()?
        }
        Ok(self.judge())
    }

    /// Histories extrapolated, with the fallbacks that keep them positive.
    fn prepare(&mut self, weights: Weights) {
        let Weights { p, ratio, .. } = weights;
        let per_cell = 1.0 / self.cell_m;
        let eps = self.void_fraction;
        let per_void = 1.0 / eps;
        let cells = self.state.loading.len();
        let problem = &mut self.problem;
        problem.weights = weights;
        if problem.blended {
            problem.memory.fill([1.0; N]);
            problem.exchange_weight.fill(weights.theta);
        }
        problem.blended = false;
        let mut scale: f64 = self.inlet.iter().sum();
        let (state_q, state_c) = (&self.state.loading[..cells], &self.state.liquid[..cells]);
        let (increments, flux) = (&self.loading_increment[..cells], &self.flux_before[..=cells]);
        for j in 0..cells {
            let (q, c, dq) = (&state_q[j], &state_c[j], &increments[j]);
            let mut total = 0.0;
            let mut short = false;
            for i in 0..N {
                total += c[i];
                let gained = (flux[j][i] - flux[j + 1][i]) * per_cell;
                problem.loading[j][i] = q[i] + p * dq[i];
                problem.liquid[j][i] = eps * c[i] + p * (gained - dq[i]);
                short |= problem.loading[j][i] < 0.0 || problem.liquid[j][i] < 0.0;
                // Where the liquid goes if it goes on as it did; only ratios between neighbours are taken from it.
                let on = c[i] + ratio * (gained - dq[i]) * per_void;
                problem.lagged[j][i] = on.clamp(0.25 * c[i], 4.0 * c[i]);
            }
            scale = scale.max(total);
            problem.ratio[j] = (self.state.ratio[j] + ratio * self.ratio_increment[j]).max(0.5 * self.state.ratio[j]);
            problem.blended |= short;
        }
        problem.normality_scale = scale;
        if problem.blended {
            self.blend();
        }
    }

    /// Where a history would turn negative, remember just as much of it as keeps it from doing so.
    fn blend(&mut self) {
        let problem = &mut self.problem;
        let Weights { p, .. } = problem.weights;
        let per_cell = 1.0 / self.cell_m;
        let eps = self.void_fraction;
        let cells = self.state.loading.len();
        problem.memory.fill([1.0; N]);
        for j in 0..cells {
            let (q, c, dq) = (&self.state.loading[j], &self.state.liquid[j], &self.loading_increment[j]);
            let mut share = 1.0_f64;
            for i in 0..N {
                if q[i] + p * dq[i] < 0.0 {
                    share = share.min(-q[i] / (p * dq[i]));
                }
            }
            problem.exchange_weight[j] = problem.weights.of_new(share);
            self.effort.blended_cells += u64::from(share < 1.0);
            for i in 0..N {
                // Rounding of the share must not leave a trace below zero; the liquid's history closes the balance.
                problem.loading[j][i] = (q[i] + share * p * dq[i]).max(0.0);
                let gained = (self.flux_before[j][i] - self.flux_before[j + 1][i]) * per_cell;
                let rest = eps * c[i] - share * p * dq[i];
                if rest + p * gained < 0.0 {
                    let memory = (-rest / (p * gained) * (1.0 - ROUNDING)).clamp(0.0, 1.0);
                    problem.memory[j][i] = problem.memory[j][i].min(memory);
                    problem.memory[j + 1][i] = memory;
                    self.effort.blended_cells += 1;
                }
            }
        }
        for j in 0..cells {
            for i in 0..N {
                let remembered = |face: usize| problem.memory[face][i] * self.flux_before[face][i];
                problem.liquid[j][i] = eps * self.state.liquid[j][i]
                    - (problem.loading[j][i] - self.state.loading[j][i])
                    + per_cell * p * (remembered(j) - remembered(j + 1));
            }
        }
    }

    /// Error of the trial step and what it delivers.
    fn judge(&self) -> Trial<N> {
        let weights = &self.problem.weights;
        let per_loading = 1.0 / self.exchange.capacity;
        let per_normality = 1.0 / self.problem.normality_scale;
        let (of_rate, of_increment) = weights.predictor();
        let cells = self.state.loading.len();
        let (old_q, new_q) = (&self.state.loading[..cells], &self.trial.loading[..cells]);
        let (old_c, new_c) = (&self.state.liquid[..cells], &self.trial.liquid[..cells]);
        let (increments, rates) = (&self.loading_increment[..cells], &self.loading_rate[..cells]);
        let (n_increments, n_rates) = (&self.normality_increment[..cells], &self.normality_rate[..cells]);
        let (mut worst, mut cell) = (0.0_f64, 0);
        for j in 0..cells {
            let (mut here, mut normality) = (0.0_f64, 0.0);
            for i in 0..N {
                let miss = new_q[j][i] - old_q[j][i] - of_rate * rates[j][i] - of_increment * increments[j][i];
                here = here.max(miss.abs());
                normality += new_c[j][i] - old_c[j][i];
            }
            let miss = normality - of_rate * n_rates[j] - of_increment * n_increments[j];
            here = (here * per_loading).max(miss.abs() * per_normality);
            if here > worst {
                (worst, cell) = (here, j);
            }
            if here.is_nan() {
                (worst, cell) = (f64::NAN, j);
                break;
            }
        }
        // A first step has no history to predict from: it is chosen small instead.
        let error = if weights.ratio == 0.0 && !worst.is_nan() {
            0.0
        } else {
            worst * weights.error_fraction() / self.tolerance
        };
        Trial { error, cell, outlet: self.outlet_of(&self.trial.liquid) }
    }

    /// Take the trial step that was solved last.
    pub fn accept(&mut self) {
        let problem = &self.problem;
        let weights = &problem.weights;
        let cells = self.state.loading.len();
        let last = cells;
        let (old_q, new_q) = (&self.state.loading[..cells], &self.trial.loading[..cells]);
        let (old_c, new_c) = (&self.state.liquid[..cells], &self.trial.liquid[..cells]);
        let mut per_weight = 1.0 / weights.theta;
        for j in 0..cells {
            if problem.blended {
                per_weight = 1.0 / problem.exchange_weight[j];
            }
            let mut normality = 0.0;
            for i in 0..N {
                self.loading_rate[j][i] = (new_q[j][i] - problem.loading[j][i]) * per_weight;
                self.loading_increment[j][i] = new_q[j][i] - old_q[j][i];
                normality += new_c[j][i] - old_c[j][i];
            }
            self.normality_rate[j] = weights.rate(normality, self.normality_increment[j]);
            self.normality_increment[j] = normality;
            self.ratio_increment[j] = self.trial.ratio[j] - self.state.ratio[j];
        }
        let (p, theta) = (weights.p, weights.theta);
        for (face, before) in self.flux_before[..=cells].iter_mut().enumerate() {
            let new = &problem.flux[face];
            if problem.blended {
                let memory = &problem.memory[face];
                for i in 0..N {
                    before[i] = memory[i] * p * before[i] + weights.of_new(memory[i]) * new[i];
                }
            } else {
                for i in 0..N {
                    before[i] = p * before[i] + theta * new[i];
                }
            }
        }
        let per_bed = 1.0 / (self.cell_m * self.state.loading.len() as f64);
        let passed = |face: usize| -> [f64; N] { std::array::from_fn(|i| self.flux_before[face][i] * per_bed) };
        self.ledger.count(&passed(0), &passed(last));
        std::mem::swap(&mut self.state, &mut self.trial);
        self.step_before = Some(weights.h);
        self.effort.steps += 1;
    }
}
