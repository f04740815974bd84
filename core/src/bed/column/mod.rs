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
//! **How one time step goes.** [`Column::try_step`] *prepares* it: histories are extrapolated to their explicit parts
//! (`history`), and where one would turn negative its weight is reduced (`blending`). A solver makes *two sweeps* with
//! limited fluxes from the liquid that was extrapolated, then from what the first sweep found (`bed::solver`, with fluxes
//! from `bed::transport` and the exchange from `bed::exchange`). The trial is *judged* by its distance from a prediction
//! (`judging`). [`Column::accept`] takes it.
//!
//! **Exchange is eliminated cell by cell.** Given rho of the interface, C*, q*, q and C follow linearly and ion by ion;
//! rho follows from sum q* = Q ([`crate::laws::equilibrium::solve_ratio`]). Then sum q = Q, and the sum over the ions of
//! the balances is the balance of an inert tracer, the normality: it needs no equation of its own, and ions may be
//! limited one by one without their sum being wrong.
//!
//! **Positive by construction.** Face values are a factor between 0 and 2 times the upstream cell, so the implicit
//! operator stays an M-matrix at any step; where extrapolation in time would turn a cell's history negative, the faces
//! (or the exchange) of that cell fall back towards backward Euler, just as far as it takes.

mod blending;
mod history;
mod judging;

pub use crate::bed::refusal::Refusal;

use crate::bed::column::blending::blend;
use crate::bed::column::history::{Ends, History};
use crate::bed::column::judging::{Allowed, error};
use crate::bed::exchange::Exchange;
use crate::bed::ledger::Ledger;
use crate::bed::profile::Profile;
use crate::bed::solver::{Solver, System};
use crate::bed::spacing::Spacing;
use crate::bed::state::State;
use crate::bed::time_step::TimeStep;
use crate::bed::transport::{Conductances, Transport, outlet};
use crate::numerics::bdf::Weights;
use crate::numerics::effort::Effort;
use crate::numerics::lanes::widest;
use crate::plan::model::Model;
use crate::plan::rates::StepRates;
use crate::plan::scheme::Scheme;

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

/// The column with its history within one recipe step. Cell 0 is where the liquid enters.
#[derive(Debug)]
pub struct Column<const N: usize> {
    /// What passed the ends since the recipe step began \[eq per litre of bed\].
    pub ledger: Ledger<N>,
    /// Counts.
    pub effort: Effort,
    scheme: Scheme,
    tolerance: f64,
    transport: Transport<N>,
    /// What stirred spaces at its ends ask of its fluxes.
    spaces: Spaces<N>,
    exchange: Exchange<N>,
    history: History<N>,
    /// The trial step, and the bed at its end.
    step: TimeStep<N>,
    trial: Profile<N>,
    solver: Solver<N>,
}

/// What stirred spaces before and behind the column ask of the fluxes through its ends.
#[derive(Debug, Clone, Copy)]
struct Spaces<const N: usize> {
    /// History weight of what enters: below 1 only where the space before the bed uses a share of its history.
    inlet_history_weight: [f64; N],
    /// Does a space collect what leaves? It cannot be asked to give anything back.
    follows: bool,
}

impl<const N: usize> Column<N> {
    /// A column that begins a recipe step on a bed which already lies along the flow, `with_service` or against it, with
    /// room for everything a solver needs; nothing is allocated later.
    pub fn new(model: &Model, state: &State<N>, rates: StepRates, inlet: [f64; N], with_service: bool) -> Self {
        let now = Profile::of(state);
        let (scheme, cell_m, void_fraction) = (model.scheme, model.cell_m(), model.void_fraction);
        let conductance = void_fraction * rates.dispersion / cell_m;
        let spacing = Spacing::new(&model.grid, with_service);
        let conductances = Conductances::new(&scheme, rates.velocity, conductance, &spacing);
        let transport = Transport { velocity: rates.velocity, conductances, inlet, cell_m, spacing, void_fraction };
        let mut exchange = Exchange::new(model, state, &rates, &now);
        Self {
            ledger: Ledger::default(),
            effort: Effort::default(),
            scheme,
            tolerance: model.tolerance,
            spaces: Spaces { inlet_history_weight: [1.0; N], follows: false },
            solver: Solver::new(&scheme, &transport, &mut exchange, now.cells()),
            transport,
            exchange,
            step: TimeStep::new(&now),
            trial: now.clone(),
            history: History::new(now),
        }
    }

    /// The same with a stirred space that collects what leaves.
    pub(super) fn before_space(self) -> Self {
        Self { spaces: Spaces { follows: true, ..self.spaces }, ..self }
    }

    /// What the bed holds now, along the flow.
    pub fn state(&self) -> State<N> {
        let now = &self.history.now;
        let mut state = State {
            loading: now.loading.to_columns(),
            liquid: now.liquid.to_columns(),
            ratio: now.ratio.row(0).to_vec(),
            inside: Vec::new(),
            sorbed: Vec::new(),
        };
        self.exchange.write(&mut state);
        state
    }

    /// Time in which the liquid crosses the lowest cell \[s\]; infinite without flow.
    pub fn cell_transit_s(&self) -> f64 {
        self.transport.cell_transit_s()
    }

    /// Concentration of the liquid that leaves now \[eq/L\].
    pub fn outlet(&self) -> [f64; N] {
        outlet(&self.history.now.liquid, &self.transport.spacing)
    }

    /// Largest normality in the bed or entering it at the last trial step \[eq/L\].
    pub(super) fn normality_scale(&self) -> f64 {
        self.step.normality_scale
    }

    /// Solve a trial step of `h` seconds, without taking it.
    ///
    /// # Errors
    /// A [`Refusal`], with the reason why a smaller step is needed.
    pub fn try_step(&mut self, h: f64) -> Result<Trial<N>, Refusal> {
        let weights = self.history.weights(h);
        widest(
            #[inline(always)]
            || {
                self.prepare(weights);
                self.solver.solve(System {
                    scheme: &self.scheme,
                    transport: &self.transport,
                    exchange: &mut self.exchange,
                    step: &mut self.step,
                    now: &self.history.now,
                    trial: &mut self.trial,
                    effort: &mut self.effort,
                    space_follows: self.spaces.follows,
                })?;
                Ok(self.judge())
            },
        )
    }

    /// Histories extrapolated, with the fallbacks that keep them positive.
    #[inline(always)]
    fn prepare(&mut self, weights: Weights) {
        let Self { step, transport, spaces, history, .. } = self;
        step.weights = weights;
        let of_bed = history.extrapolate(&self.scheme, transport, step);
        let lowest = of_bed.min(self.exchange.prepare(&weights));
        let goes_back = |i: usize| history.of_outlet(&weights, i) < 0.0;
        step.blended = lowest < 0.0
            || spaces.inlet_history_weight.iter().any(|weight| *weight < 1.0)
            || spaces.follows && (0..N).any(goes_back);
        let mut flux_weight = [weights.theta / transport.cell_m; N];
        if step.blended {
            let limits = blending::Limits {
                rounding: self.scheme.rounding,
                inlet_history_weight: spaces.inlet_history_weight,
                space_follows: spaces.follows,
            };
            self.effort.blended_cells += blend(&limits, history, transport, &mut self.exchange, step);
            flux_weight = step.flux_weight.at(0);
        }
        step.inflow = std::array::from_fn(|i| flux_weight[i] * transport.velocity * transport.inlet[i]);
    }

    #[inline(always)]
    fn judge(&mut self) -> Trial<N> {
        let allowed = Allowed { tolerance: self.tolerance, capacity: self.exchange.isotherm.capacity };
        Trial {
            error: error(&allowed, &mut self.history, &mut self.step, &mut self.trial),
            order: self.step.weights.order,
            outlet: outlet(&self.trial.liquid, &self.transport.spacing),
        }
    }

    /// The cell where the trial step is worst, counted along the flow, and how far it is off there \[eq/L of bed\].
    pub fn worst_cell(&self) -> (usize, f64) {
        judging::worst_cell(&self.history, &self.step.weights, &self.trial)
    }

    /// Explicit part of what passes the ends over the trial step \[eq per litre of a mean cell\].
    fn explicit_ends(&self) -> Ends<N> {
        let cells = self.history.now.cells();
        let (first, last) = match self.step.blended {
            true => (self.step.history_weight.at(0), self.step.history_weight.at(cells)),
            false => ([1.0; N], [1.0; N]),
        };
        Ends {
            inlet: std::array::from_fn(|i| first[i] * self.history.of_inlet(&self.step.weights, i)),
            outlet: std::array::from_fn(|i| last[i] * self.history.of_outlet(&self.step.weights, i)),
        }
    }

    /// What leaves over the trial step, explicit part and new part \[eq per litre of bed\].
    pub(super) fn trial_outflow(&self) -> ([f64; N], [f64; N]) {
        let per_bed = 1.0 / self.history.now.cells() as f64;
        (self.explicit_ends().outlet.map(|v| v * per_bed), self.step.outflow.map(|v| v * per_bed))
    }

    /// What enters at the end of the next trial step \[eq/L\], and the history weight of each ion's flux: less than 1 is
    /// for a space before the bed, which has to say so where that history is below 0.
    pub(super) fn set_inlet(&mut self, entering: [f64; N], history_weight: [f64; N]) {
        self.transport.inlet = entering;
        self.spaces.inlet_history_weight = history_weight;
    }

    /// Take the trial step that was solved last.
    pub fn accept(&mut self) {
        let explicit = self.explicit_ends();
        let passed = Ends {
            inlet: std::array::from_fn(|i| explicit.inlet[i] + self.step.inflow[i]),
            outlet: std::array::from_fn(|i| explicit.outlet[i] + self.step.outflow[i]),
        };
        let per_bed = 1.0 / self.history.now.cells() as f64;
        self.ledger.count(&passed.inlet.map(|v| v * per_bed), &passed.outlet.map(|v| v * per_bed));
        self.history.accept(self.step.weights.h, &mut self.trial, passed);
        self.exchange.accept(&self.history.now);
        self.effort.steps += 1;
    }
}
