//! One implicit time step of the finite-volume column.
//!
//! For each ion, per volume of bed,
//!
//! ```text
//! eps dC/dt + dq/dt + d(u C)/dz = d/dz( eps D dC/dz ),     dq/dt = (C - C*)/Rf = (q* - q)/Rb,     q* in equilibrium with C*
//! ```
//!
//! with Rf = 1/kf_a and Rb = 1/kb, the film and bead resistances; the liquid that enters carries u C_in (P. V. Danckwerts
//! 1953, Chem. Eng. Sci. 2, 1) and the end where it leaves has no gradient. Time is BDF of order 3 in the form of
//! [`crate::numerics::bdf`], applied to the *integrated flux through each face*, so that what leaves a cell enters the
//! next whatever the weights, and the ledger closes by construction. A step begins with orders 1 and 2.
//!
//! **Exchange is eliminated cell by cell.** Given rho of the interface, C*, q*, q and C follow linearly and ion by ion;
//! rho follows from sum q* = Q ([`crate::laws::equilibrium::solve_ratio`]). Then sum q = Q, and the sum over the ions of
//! the balances is the balance of an inert tracer, the normality: it needs no equation of its own, and ions may be
//! limited one by one without their sum being wrong.
//!
//! **Positive by construction.** Face values are a factor between 0 and 2 times the upstream cell, so the implicit
//! operator stays an M-matrix at any step; where extrapolation in time would turn a cell's history negative, the faces
//! (or the exchange) of that cell fall back towards backward Euler, just as far as it takes.

use crate::bed::activities::{Apparent, OutOfRange};
use crate::bed::beads::{Beads, StepWeights};
use crate::bed::faces::outlet;
use crate::bed::film::CoupledFilm;
use crate::bed::ledger::Ledger;
use crate::bed::march::Prepared;
use crate::bed::model::{Model, StepRates};
use crate::bed::newton::Workspace;
use crate::bed::sorbed::Sorbed;
use crate::bed::state::{Exchange, State};
use crate::numerics::bdf::Weights;
use crate::numerics::effort::Effort;
use crate::numerics::lanes::{Lanes, largest, widest};
use crate::numerics::rows::Rows;

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
    /// Order of the step that made it.
    pub order: u32,
    /// Concentration of the liquid that leaves at the end of the step \[eq/L\].
    pub outlet: [f64; N],
}

/// What the bed holds at one time, along the flow.
#[derive(Debug, Clone)]
pub(super) struct Profile<const N: usize> {
    /// Loading \[eq/L of bed\].
    pub loading: Rows<N>,
    /// Liquid \[eq/L\].
    pub liquid: Rows<N>,
    /// Sum of the liquid over the ions.
    pub normality: Rows<1>,
    /// q_1*/C_1* at the beads' surface.
    pub ratio: Rows<1>,
}

/// What passed the two ends over one time step \[eq per litre of a cell\].
#[derive(Debug, Clone, Copy)]
struct Ends<const N: usize> {
    inlet: [f64; N],
    outlet: [f64; N],
}

/// The column with its history within one recipe step. Cell 0 is where the liquid enters.
#[derive(Debug, Clone)]
pub struct Column<const N: usize> {
    /// What passed the ends since the recipe step began \[eq per litre of bed\].
    pub ledger: Ledger<N>,
    /// Counts.
    pub effort: Effort,
    pub(super) exchange: Exchange<N>,
    /// K of each cell, where activities make it another than `exchange` has.
    pub(super) apparent: Option<Box<Apparent<N>>>,
    pub(super) void_fraction: f64,
    pub(super) cell_m: f64,
    pub(super) rates: StepRates,
    pub(super) inlet: [f64; N],
    /// Share of its history that what enters remembers: below 1 only where the space before the bed says so.
    inlet_memory: [f64; N],
    /// Does a space collect what leaves? It cannot be asked to give anything back.
    pub(super) space_follows: bool,
    tolerance: f64,
    // History, the newest first: the bed now and at the ends of the two steps before.
    pub(super) now: Profile<N>,
    before: [Profile<N>; 2],
    steps_before: [Option<f64>; 2],
    ends_before: [Ends<N>; 2],
    // Rates at the end of the last step, and of the trial.
    loading_rate: [Rows<N>; 2],
    normality_rate: [Rows<1>; 2],
    // The trial step.
    pub(super) problem: Problem<N>,
    pub(super) trial: Profile<N>,
    /// Factors on the film resistance, where every ion has its own mobility.
    pub(super) coupled_film: Option<Box<CoupledFilm<N>>>,
    pub(super) prepared: Option<Box<[Prepared<N>; 2]>>,
    pub(super) workspace: Option<Box<Workspace<N>>>,
    /// What goes on inside the beads, where kinetics are radial.
    pub(super) beads: Option<Box<Beads<N>>>,
    /// Salt in the liquid inside the beads, where it counts.
    pub(super) sorbed: Option<Box<Sorbed<N>>>,
}

/// What a trial step solves, prepared once for all its sweeps.
#[derive(Debug, Clone)]
pub(super) struct Problem<const N: usize> {
    pub weights: Weights,
    /// Loading that the history extrapolates to, q_n + p dq.
    pub loading: Rows<N>,
    /// Liquid part of the history with the integrated fluxes' share, before the new inflow is added.
    pub liquid: Rows<N>,
    /// Does any cell or face remember less than all of its history? If not, the next three are not read.
    pub blended: bool,
    /// Weight of the exchange rate: theta, or up to h where the cell falls back towards backward Euler.
    pub exchange_weight: Rows<1>,
    /// Weight of each ion's flux through a face per height of a cell \[s/m\], likewise.
    pub flux_weight: Rows<N>,
    /// Share of its history that each ion's flux through a face remembers: 1 is BDF, 0 backward Euler.
    memory: Rows<N>,
    /// What the history says has passed each face \[eq per litre of a cell\].
    remembered: Rows<N>,
    /// First guesses of the ratio at the beads' surface.
    pub ratio: Rows<1>,
    /// The liquid that lagged face values are made from.
    pub lagged: Rows<N>,
    /// Liquid and ratio after the first sweep.
    pub swept: Rows<N>,
    pub swept_ratio: Rows<1>,
    /// New part of what leaves over the step \[eq per litre of a cell\].
    pub outflow: [f64; N],
    /// Largest normality in the bed or entering it.
    pub normality_scale: f64,
}

impl From<OutOfRange> for Refusal {
    fn from(OutOfRange { cell }: OutOfRange) -> Self {
        Self::Nonlinear { cell }
    }
}

impl<const N: usize> Profile<N> {
    fn of(state: &State<N>) -> Self {
        Self {
            loading: Rows::from_columns(&state.loading),
            liquid: Rows::from_columns(&state.liquid),
            normality: Rows::from_columns(&state.liquid.iter().map(|c| [c.iter().sum()]).collect::<Vec<_>>()),
            ratio: Rows::from_columns(state.ratio.as_chunks().0),
        }
    }
}

impl<const N: usize> Column<N> {
    /// A column that begins a recipe step on a bed which already lies along the flow, with room for everything a march
    /// needs; nothing is allocated later.
    pub fn new(model: &Model, state: &State<N>, rates: StepRates, inlet: [f64; N]) -> Self {
        let cells = state.loading.len();
        let now = Profile::of(state);
        let exchange = Exchange::new(model);
        let at_rest = Ends { inlet: [0.0; N], outlet: [0.0; N] };
        let mut column = Self {
            ledger: Ledger::default(),
            effort: Effort::default(),
            apparent: Apparent::of(model, &exchange, &now.liquid),
            exchange,
            void_fraction: model.void_fraction,
            cell_m: model.cell_m(),
            rates,
            inlet,
            inlet_memory: [1.0; N],
            space_follows: false,
            tolerance: model.tolerance,
            before: [now.clone(), now.clone()],
            steps_before: [None; 2],
            ends_before: [at_rest; 2],
            loading_rate: [Rows::filled(cells, 0.0), Rows::filled(cells, 0.0)],
            normality_rate: [Rows::filled(cells, 0.0), Rows::filled(cells, 0.0)],
            problem: Problem {
                weights: Weights::new(0.0, [None; 2]),
                loading: now.loading.clone(),
                liquid: now.liquid.clone(),
                blended: false,
                exchange_weight: Rows::filled(cells, 1.0),
                flux_weight: Rows::filled(cells + 1, 1.0),
                memory: Rows::filled(cells + 1, 1.0),
                remembered: Rows::filled(cells + 1, 1.0),
                ratio: now.ratio.clone(),
                lagged: now.liquid.clone(),
                swept: now.liquid.clone(),
                swept_ratio: now.ratio.clone(),
                outflow: [0.0; N],
                normality_scale: 0.0,
            },
            trial: now.clone(),
            coupled_film: CoupledFilm::new(model, &rates, cells),
            now,
            prepared: None,
            workspace: None,
            beads: Beads::new(model, &state.inside).map(Box::new),
            sorbed: Sorbed::new(model, &state.sorbed).map(Box::new),
        };
        if column.dispersion_rules() {
            column.workspace = Some(Box::new(Workspace::new(cells)));
        } else {
            column.prepared = Some(Box::default());
        }
        column.renew_film();
        column
    }

    /// What the bed holds now, along the flow.
    pub fn state(&self) -> State<N> {
        State {
            loading: self.now.loading.to_columns(),
            liquid: self.now.liquid.to_columns(),
            ratio: self.now.ratio.row(0).to_vec(),
            inside: self.beads.as_ref().map_or_else(Vec::new, |beads| beads.inside()),
            sorbed: self.sorbed.as_ref().map_or_else(Vec::new, |salt| salt.now.to_columns()),
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
        outlet(&self.now.liquid)
    }

    /// How the step weighs the history of the cells from `start`.
    #[inline(always)]
    pub(super) fn step_weights(&self, start: usize) -> StepWeights {
        let problem = &self.problem;
        let weights = problem.weights;
        let blended = problem.blended.then(|| {
            let theta = problem.exchange_weight.lanes(0, start);
            (theta, (theta - Lanes::all(weights.h)) * (1.0 / (weights.theta - weights.h)))
        });
        StepWeights { weights, blended }
    }

    /// New part of what enters the first cell over the step \[eq per litre of a cell\].
    pub(super) fn inflow(&self) -> [f64; N] {
        let problem = &self.problem;
        let weights =
            if problem.blended { problem.flux_weight.at(0) } else { [problem.weights.theta / self.cell_m; N] };
        std::array::from_fn(|i| weights[i] * self.rates.velocity * self.inlet[i])
    }

    /// Solve a trial step of `h` seconds, without taking it.
    ///
    /// # Errors
    /// A [`Refusal`] says why a smaller step is needed.
    pub fn try_step(&mut self, h: f64) -> Result<Trial<N>, Refusal> {
        let weights = Weights::new(h, self.steps_before);
        widest(
            #[inline(always)]
            || {
                self.prepare(weights);
                if self.dispersion_rules() {
                    self.solve_blocks()?
                } else {
                    self.march()?
                }
                Ok(self.judge())
            },
        )
    }

    /// Histories extrapolated, with the fallbacks that keep them positive.
    #[inline(always)]
    fn prepare(&mut self, weights: Weights) {
        let eps = self.void_fraction;
        let problem = &mut self.problem;
        problem.weights = weights;
        let [last, earlier] = &self.before;
        let cells = self.now.ratio.length();
        let mut lowest = 0.0_f64;
        for i in 0..N {
            let (q, q1, q2) = three(&self.now.loading, &last.loading, &earlier.loading, i);
            let (c, c1, c2) = three(&self.now.liquid, &last.liquid, &earlier.liquid, i);
            let loading = &mut problem.loading.row_mut(i)[..cells];
            let liquid = &mut problem.liquid.row_mut(i)[..cells];
            let lagged = &mut problem.lagged.row_mut(i)[..cells];
            for j in 0..cells {
                let dc = c[j] - c1[j];
                loading[j] = q[j] + weights.remembered(q[j] - q1[j], q1[j] - q2[j]);
                // Balances of the steps before have closed: their fluxes are what liquid and loading gained.
                liquid[j] = eps * (c[j] + weights.remembered(dc, c1[j] - c2[j]));
                // Where the liquid goes if it goes on as it did; only ratios between neighbours are taken from it.
                lagged[j] = between(c[j] + weights.linear * dc, 0.25 * c[j], 4.0 * c[j]);
            }
            let (loading, liquid) = (&*loading, &*liquid);
            lowest = -largest(cells, -lowest, |j| if loading[j] < liquid[j] { -loading[j] } else { -liquid[j] });
        }
        let (r, r1, r2) = three(&self.now.ratio, &last.ratio, &earlier.ratio, 0);
        let guess = &mut problem.ratio.row_mut(0)[..cells];
        let [ahead, bend] = weights.extrapolation;
        for j in 0..cells {
            let on = r[j] + ahead * (r[j] - r1[j]) + bend * (r1[j] - r2[j]);
            guess[j] = between(on, 0.5 * r[j], 2.0 * r[j]);
        }
        let normality = &self.now.normality.row(0)[..cells];
        problem.normality_scale = largest(cells, self.inlet.iter().sum(), |j| normality[j]);
        if let Some(beads) = &self.beads {
            lowest = lowest.min(beads.lowest_history(&weights));
        }
        if let Some(sorbed) = &mut self.sorbed {
            lowest = lowest.min(sorbed.prepare(&weights));
        }
        let [after_last, after_earlier] = &self.ends_before;
        let comes_back = |i: usize| weights.remembered(after_last.outlet[i], after_earlier.outlet[i]) < 0.0;
        problem.blended = lowest < 0.0
            || self.inlet_memory.iter().any(|memory| *memory < 1.0)
            || self.space_follows && (0..N).any(comes_back);
        if problem.blended {
            self.blend();
        }
    }

    /// Where a history would turn negative, remember just as much of it as keeps it from doing so: a share of a cell's
    /// loading increments, then a share of what has left it, from the inlet on.
    #[inline(never)]
    fn blend(&mut self) {
        let weights = self.problem.weights;
        let eps = self.void_fraction;
        let [last, earlier] = &self.before;
        let problem = &mut self.problem;
        let cells = self.now.ratio.length();
        // What the history adds to a loading, and to loading and liquid together.
        let of_loading = |i: usize, j: usize| {
            let (q, q1, q2) = three(&self.now.loading, &last.loading, &earlier.loading, i);
            weights.remembered(q[j] - q1[j], q1[j] - q2[j])
        };
        let sorbed = self.sorbed.as_deref();
        let of_salt = |i: usize, j: usize| sorbed.map_or(0.0, |sorbed| sorbed.remembered(&weights, i, j));
        let of_balance = |i: usize, j: usize| {
            let (c, c1, c2) = three(&self.now.liquid, &last.liquid, &earlier.liquid, i);
            eps * weights.remembered(c[j] - c1[j], c1[j] - c2[j]) + of_loading(i, j) + of_salt(i, j)
        };
        // Fluxes of the steps before, from the inlet on: what a cell did not gain went through it.
        for i in 0..N {
            let [after_last, after_earlier] = &self.ends_before;
            let remembered = problem.remembered.row_mut(i);
            remembered[0] = weights.remembered(after_last.inlet[i], after_earlier.inlet[i]);
            for j in 0..cells {
                remembered[j + 1] = remembered[j] - of_balance(i, j);
            }
        }
        problem.memory.fill(1.0);
        problem.memory.set(0, &self.inlet_memory);
        // Forget what is remembered to have gone against the flow. Not at the inlet: the space before the bed has decided
        // that.
        let forget_backward = |memory: &mut [f64], remembered: &[f64]| {
            for (memory, remembered) in memory.iter_mut().zip(remembered).skip(1) {
                *memory = if *remembered < 0.0 { 0.0 } else { 1.0 };
            }
        };
        let [after_last, after_earlier] = &self.ends_before;
        for i in 0..N {
            if self.space_follows && weights.remembered(after_last.outlet[i], after_earlier.outlet[i]) < 0.0 {
                forget_backward(problem.memory.row_mut(i), problem.remembered.row(i));
                // Whatever rounding of the sums along the bed says.
                problem.memory.row_mut(i)[cells] = 0.0;
            }
        }
        let mut salts: Vec<[f64; N]> = Vec::new();
        let mut j = 0;
        while j < cells {
            let mut salt_histories = [0.0; N];
            let mut share = self.beads.as_ref().map_or(1.0, |beads| beads.share_remembered(&weights, j));
            let mut against = [false; N];
            for i in 0..N {
                let (q, c) = (self.now.loading.row(i)[j], eps * self.now.liquid.row(i)[j]);
                let (more, salt) = (of_loading(i, j), of_salt(i, j));
                let entered = c + problem.memory.row(i)[j] * problem.remembered.row(i)[j];
                against[i] = entered < 0.0;
                if q + more < 0.0 {
                    share = share.min(-q / more);
                } else if more + salt > 0.0 && entered < more + salt {
                    // Beads that went on loading as they did would take more than there is.
                    share = share.min((entered * (1.0 - ROUNDING) / (more + salt)).max(0.0));
                }
                if let Some(held) = sorbed.map(|sorbed| sorbed.now.row(i)[j])
                    && held + salt < 0.0
                {
                    share = share.min(-held / salt);
                }
            }
            if against.contains(&true) {
                // It would empty the cell that it came from.
                for i in (0..N).filter(|i| against[*i]) {
                    let last = problem.memory.row(i)[cells];
                    forget_backward(problem.memory.row_mut(i), problem.remembered.row(i));
                    let memory = &mut problem.memory.row_mut(i)[cells];
                    *memory = memory.min(if self.space_follows { last } else { 1.0 });
                }
                salts.clear();
                j = 0;
                continue;
            }
            problem.exchange_weight.row_mut(0)[j] = weights.of_new(share);
            self.effort.blended_cells += u64::from(share < 1.0);
            for i in 0..N {
                let (q, c) = (self.now.loading.row(i)[j], eps * self.now.liquid.row(i)[j]);
                // Rounding of the share must not leave a trace below zero; the liquid's history closes the balance.
                let loading = (q + share * of_loading(i, j)).max(0.0);
                let salt = sorbed.map_or(0.0, |sorbed| sorbed.now.row(i)[j]);
                let salt_history = (salt + share * of_salt(i, j)).max(0.0);
                let rest = c - (loading - q) - (salt_history - salt);
                let (remembered, memory) = (problem.remembered.row(i), problem.memory.row_mut(i));
                let gained = of_balance(i, j);
                // Written so that a flux remembered whole on both sides leaves no rounding of its own.
                let with = |memory_out: f64| rest + (memory[j] - memory_out) * remembered[j] + memory_out * gained;
                let mut liquid = with(memory[j + 1]);
                if liquid < 0.0 {
                    let entered = rest + memory[j] * remembered[j];
                    let enough = (entered * (1.0 - ROUNDING) / remembered[j + 1]).clamp(0.0, memory[j + 1]);
                    liquid = with(enough);
                    memory[j + 1] = enough;
                    self.effort.blended_cells += 1;
                }
                problem.loading.row_mut(i)[j] = loading;
                problem.liquid.row_mut(i)[j] = liquid;
                salt_histories[i] = salt_history;
            }
            if sorbed.is_some() {
                salts.push(salt_histories);
            }
            j += 1;
        }
        if let Some(sorbed) = &mut self.sorbed {
            sorbed.history = Rows::from_columns(&salts);
        }
        for i in 0..N {
            let (memory, weight) = (problem.memory.row(i), problem.flux_weight.row_mut(i));
            for face in 0..=cells {
                weight[face] = weights.of_new(memory[face]) / self.cell_m;
            }
        }
    }

    /// Error of the trial step and what it delivers; sums and rates of the trial on the way.
    #[inline(always)]
    fn judge(&mut self) -> Trial<N> {
        let weights = self.problem.weights;
        let cells = self.now.ratio.length();
        let [last, earlier] = &self.before;
        let per_loading = 1.0 / self.exchange.capacity;
        let per_normality = 1.0 / self.problem.normality_scale;
        let per_theta = 1.0 / weights.theta;
        let trial = &mut self.trial;
        let [rate, new_rate] = &mut self.loading_rate;
        let mut worst = 0.0_f64;
        trial.normality.fill(0.0);
        for i in 0..N {
            let (q, q1, q2) = three(&self.now.loading, &last.loading, &earlier.loading, i);
            let (new, history) = (&trial.loading.row(i)[..cells], &self.problem.loading.row(i)[..cells]);
            let (rate, new_rate) = (&rate.row(i)[..cells], &mut new_rate.row_mut(i)[..cells]);
            if self.problem.blended {
                for (j, weight) in self.problem.exchange_weight.row(0).iter().enumerate() {
                    new_rate[j] = (new[j] - history[j]) / weight;
                }
            } else {
                for j in 0..cells {
                    new_rate[j] = (new[j] - history[j]) * per_theta;
                }
            }
            let miss = largest(cells, 0.0, |j| {
                (new[j] - q[j] - weights.predicted(rate[j], q[j] - q1[j], q1[j] - q2[j])).abs()
            });
            worst = worst.max(miss * per_loading);
            for (n, c) in trial.normality.row_mut(0).iter_mut().zip(trial.liquid.row(i)) {
                *n += c;
            }
        }
        let (n, n1, n2) = three(&self.now.normality, &last.normality, &earlier.normality, 0);
        let new = &self.trial.normality.row(0)[..cells];
        let [rate, new_rate] = &mut self.normality_rate;
        let (rate, new_rate) = (&rate.row(0)[..cells], &mut new_rate.row_mut(0)[..cells]);
        for j in 0..cells {
            new_rate[j] = (new[j] - n[j] - weights.remembered(n[j] - n1[j], n1[j] - n2[j])) * per_theta;
        }
        let miss =
            largest(cells, 0.0, |j| (new[j] - n[j] - weights.predicted(rate[j], n[j] - n1[j], n1[j] - n2[j])).abs());
        worst = worst.max(miss * per_normality);
        // A first step has no history to predict from: it is chosen small instead.
        let error = if weights.order == 1 { 0.0 } else { worst * weights.error_fraction / self.tolerance };
        Trial { error, order: weights.order, outlet: outlet(&self.trial.liquid) }
    }

    /// The cell where the trial step is worst, counted along the flow.
    pub fn worst_cell(&self) -> usize {
        let weights = self.problem.weights;
        let [last, earlier] = &self.before;
        let miss = |j: usize| {
            (0..N)
                .map(|i| {
                    let (q, q1, q2) = three(&self.now.loading, &last.loading, &earlier.loading, i);
                    let predicted = weights.predicted(self.loading_rate[0].row(i)[j], q[j] - q1[j], q1[j] - q2[j]);
                    (self.trial.loading.row(i)[j] - q[j] - predicted).abs()
                })
                .fold(0.0, f64::max)
        };
        (0..self.now.ratio.length()).max_by(|a, b| miss(*a).total_cmp(&miss(*b))).unwrap_or(0)
    }

    /// What the trial step remembers to have passed the ends \[eq per litre of a cell\].
    fn remembered(&self) -> Ends<N> {
        let weights = self.problem.weights;
        let cells = self.now.ratio.length();
        let (first, last) = if self.problem.blended {
            (self.problem.memory.at(0), self.problem.memory.at(cells))
        } else {
            ([1.0; N], [1.0; N])
        };
        let [after_last, after_earlier] = self.ends_before;
        Ends {
            inlet: std::array::from_fn(|i| first[i] * weights.remembered(after_last.inlet[i], after_earlier.inlet[i])),
            outlet: std::array::from_fn(|i| {
                last[i] * weights.remembered(after_last.outlet[i], after_earlier.outlet[i])
            }),
        }
    }

    /// What leaves over the trial step, remembered and new \[eq per litre of bed\].
    pub(super) fn trial_outflow(&self) -> ([f64; N], [f64; N]) {
        let per_bed = 1.0 / self.now.ratio.length() as f64;
        (self.remembered().outlet.map(|v| v * per_bed), self.problem.outflow.map(|v| v * per_bed))
    }

    /// What enters at the end of the next trial step \[eq/L\], and how much of its history the flux of each ion remembers:
    /// less than all is for a space before the bed, which has to say so where that history is below 0.
    pub(super) fn set_inlet(&mut self, entering: [f64; N], memory: [f64; N]) {
        self.inlet = entering;
        self.inlet_memory = memory;
    }

    /// Take the trial step that was solved last.
    pub fn accept(&mut self) {
        let weights = self.problem.weights;
        let remembered = self.remembered();
        let inflow = self.inflow();
        let [after_last, _] = self.ends_before;
        let passed = Ends {
            inlet: std::array::from_fn(|i| remembered.inlet[i] + inflow[i]),
            outlet: std::array::from_fn(|i| remembered.outlet[i] + self.problem.outflow[i]),
        };
        let per_bed = 1.0 / self.now.ratio.length() as f64;
        self.ledger.count(&passed.inlet.map(|v| v * per_bed), &passed.outlet.map(|v| v * per_bed));
        self.ends_before = [passed, after_last];
        self.steps_before = [Some(weights.h), self.steps_before[0]];
        self.loading_rate.swap(0, 1);
        self.normality_rate.swap(0, 1);
        let [last, earlier] = &mut self.before;
        std::mem::swap(last, earlier);
        std::mem::swap(&mut self.now, last);
        std::mem::swap(&mut self.now, &mut self.trial);
        if let Some(beads) = &mut self.beads {
            beads.accept();
        }
        if let Some(sorbed) = &mut self.sorbed {
            sorbed.accept();
        }
        self.effort.steps += 1;
        self.renew_film();
    }

    fn renew_film(&mut self) {
        if let Some(film) = &mut self.coupled_film {
            film.renew(&self.exchange, &self.now, self.apparent.as_deref(), self.beads.as_deref());
        }
    }
}

/// Row `i` of three tables.
#[inline(always)]
fn three<'a, const N: usize>(
    a: &'a Rows<N>,
    b: &'a Rows<N>,
    c: &'a Rows<N>,
    i: usize,
) -> (&'a [f64], &'a [f64], &'a [f64]) {
    let length = a.length();
    (a.row(i), &b.row(i)[..length], &c.row(i)[..length])
}

/// A number cut to a range; none of the three is NaN.
#[inline(always)]
fn between(value: f64, low: f64, high: f64) -> f64 {
    let value = if value > low { value } else { low };
    if value < high { value } else { high }
}
