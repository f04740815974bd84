//! Newton over the whole column, block-tridiagonal: for beds where dispersion rules, and as a check of the march.
//!
//! Exchange is eliminated in each cell: with m_i = K_i rho^z_i, n_i = C_i + c q^_i, s_i = 1/(1 + c m_i), c = kappa Rf the
//! loading is q_i = (1 - kappa) q^_i + kappa m_i n_i s_i, and its Jacobian in C is diagonal plus rank one,
//!
//! ```text
//! dq/dC = kappa (diag(e) - g e^T / sum g),    e_i = m_i s_i,    g_i = z_i m_i n_i s_i^2
//! ```

use nalgebra::{SMatrix, SVector};

use crate::bed::beads::{Condensed, Look};
use crate::bed::column::{Column, Refusal};
use crate::bed::faces::{Outflow, Transport};
use crate::bed::sorbed::Uptake;
use crate::laws::equilibrium::{power, solve_ratio};
use crate::numerics::block::BlockTridiagonal;
use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::rows::Rows;

/// Iterations after which a smaller step is asked for.
const MOST_ITERATIONS: usize = 20;
/// Limited face values are renewed in this many iterations, then frozen.
const RENEWED: usize = 2;
/// Largest residual of a cell's balance, relative to the capacity, that counts as converged.
const CONVERGED: f64 = 1e-14;
/// A residual no longer shrinking below this is rounding.
const ROUNDING: f64 = 1e-11;
/// A concentration falls to no less than this share of itself in one iteration.
const LEAST_SHARE: f64 = 0.05;

/// What the iteration works on, allocated once.
#[derive(Debug, Clone)]
pub(super) struct Workspace<const N: usize> {
    block: BlockTridiagonal<N>,
    /// Flux out of each cell, dispersion left out: speed on its concentration \[m/s\] ...
    speed: Rows<N>,
    /// ... and known part \[eq/L m/s\].
    known: Rows<N>,
    /// New part of what passes each face over the step \[eq per litre of a cell\].
    passed: Rows<N>,
    /// Shells of the beads, a stretch of cells each, where kinetics are radial.
    condensed: Vec<Condensed<N>>,
    /// Loading at the beads' surface.
    surface: Rows<N>,
    /// Salt that the liquid in the beads takes up, a stretch of cells each, where it counts.
    uptake: Vec<Uptake>,
}

impl<const N: usize> Workspace<N> {
    pub fn new(cells: usize) -> Self {
        Self {
            block: BlockTridiagonal::new(cells),
            speed: Rows::filled(cells, 0.0),
            known: Rows::filled(cells, 0.0),
            passed: Rows::filled(cells + 1, 0.0),
            condensed: vec![Condensed::default(); cells.div_ceil(LANES)],
            surface: Rows::filled(cells, 0.0),
            uptake: vec![Uptake::default(); cells.div_ceil(LANES)],
        }
    }

    /// Second-order fluxes from a liquid.
    fn renew_faces(&mut self, transport: &Transport<N>, liquid: &Rows<N>) {
        let cells = liquid.length();
        let mut out = Outflow::default();
        for start in (0..cells).step_by(LANES) {
            transport.out_of(liquid, liquid, start, &mut out);
            for i in 0..N {
                for k in 0..LANES.min(cells - start) {
                    self.speed.row_mut(i)[start + k] = out.speed[i].0[k];
                    self.known.row_mut(i)[start + k] = out.known[i].0[k];
                }
            }
        }
    }
}

impl<const N: usize> Column<N> {
    /// Solve the prepared step by Newton's method on the liquid of all cells.
    #[inline(never)]
    pub(super) fn solve_blocks(&mut self) -> Result<(), Refusal> {
        let Some(mut workspace) = self.workspace.take() else {
            return Err(Refusal::Nonlinear { cell: 0 });
        };
        let solved = self.iterate(&mut workspace);
        self.workspace = Some(workspace);
        solved
    }

    fn iterate(&mut self, workspace: &mut Workspace<N>) -> Result<(), Refusal> {
        self.trial.liquid.copy_from(&self.problem.lagged);
        self.trial.ratio.copy_from(&self.now.ratio);
        let transport =
            Transport { u: self.rates.velocity, d: 0.0, inlet: self.inlet, plain: false, back_at_most: 0.0 };
        let cells = self.trial.ratio.length();
        let mut last_residual = f64::INFINITY;
        for iteration in 0..MOST_ITERATIONS {
            if iteration <= RENEWED {
                workspace.renew_faces(&transport, &self.trial.liquid);
                self.renew_salt(workspace);
                self.renew_beads(workspace, if iteration == 0 { Look::Ahead } else { Look::Trial });
                if let Some(apparent) = &mut self.apparent {
                    apparent.renew(&self.trial.liquid, 0, cells)?;
                }
            }
            self.assemble(workspace)?;
            self.store_shells(workspace);
            let right = &workspace.block.right;
            let residual = right.iter().flatten().fold(0.0_f64, |most, miss| most.max(miss.abs()));
            if !residual.is_finite() {
                break;
            }
            let stalled = residual < ROUNDING * self.exchange.capacity && residual > 0.5 * last_residual;
            if iteration > RENEWED && (residual < CONVERGED * self.exchange.capacity || stalled) {
                // What rounding left of the balances goes onto the resin: the ledger closes by construction.
                for (j, miss) in right.iter().enumerate() {
                    for i in 0..N {
                        let q = &mut self.trial.loading.row_mut(i)[j];
                        *q = (*q + miss[i]).max(0.0);
                    }
                }
                self.store_salt(workspace);
                self.problem.outflow = workspace.passed.at(cells);
                return Ok(());
            }
            last_residual = residual;
            self.effort.sweeps += 1;
            self.effort.factorisations += 1;
            if !workspace.block.solve() {
                return Err(Refusal::Nonlinear { cell: 0 });
            }
            for (j, change) in workspace.block.right.iter().enumerate() {
                for i in 0..N {
                    let c = &mut self.trial.liquid.row_mut(i)[j];
                    *c = (*c + change[i]).max(LEAST_SHARE * *c);
                }
            }
        }
        Err(Refusal::Nonlinear { cell: 0 })
    }

    /// What the liquid in the beads takes up.
    fn renew_salt(&self, workspace: &mut Workspace<N>) {
        if let Some(sorbed) = &self.sorbed {
            let theta = Lanes::all(self.problem.weights.theta);
            for (stretch, uptake) in workspace.uptake.iter_mut().enumerate() {
                let start = stretch * LANES;
                let blended = self.problem.blended;
                let weight = if blended { self.problem.exchange_weight.lanes(0, start) } else { theta };
                *uptake = sorbed.uptake(&std::array::from_fn(|i| self.trial.liquid.lanes(i, start)), weight);
            }
        }
    }

    /// Write down what it holds.
    fn store_salt(&mut self, workspace: &Workspace<N>) {
        if let Some(sorbed) = &mut self.sorbed {
            for i in 0..N {
                for j in 0..sorbed.now.length() {
                    let (uptake, k) = (&workspace.uptake[j / LANES], j % LANES);
                    let (kappa, held, history) = (uptake.kappa.0[k], uptake.held.0[k], sorbed.history.row(i)[j]);
                    sorbed.trial.row_mut(i)[j] = history - kappa * history + held * self.trial.liquid.row(i)[j];
                }
            }
        }
    }

    /// Eliminate the shells of all beads.
    fn renew_beads(&self, workspace: &mut Workspace<N>, look: Look) {
        if let Some(beads) = &self.beads {
            for (stretch, condensed) in workspace.condensed.iter_mut().enumerate() {
                let start = stretch * LANES;
                beads.condense(&self.step_weights(start), look, start, condensed);
            }
        }
    }

    /// Write down what they hold.
    fn store_shells(&mut self, workspace: &Workspace<N>) {
        if let Some(beads) = &mut self.beads {
            let cells = workspace.surface.length();
            for (stretch, condensed) in workspace.condensed.iter().enumerate() {
                let start = stretch * LANES;
                let surface = std::array::from_fn(|i| workspace.surface.lanes(i, start));
                beads.store(condensed, &surface, start, LANES.min(cells - start), &mut self.trial.loading);
            }
        }
    }

    /// Loading, fluxes, residual and Jacobian at the liquid of the trial.
    fn assemble(&mut self, workspace: &mut Workspace<N>) -> Result<(), Refusal> {
        let Workspace { block, speed, known, passed, condensed, surface, uptake } = workspace;
        let cells = self.trial.ratio.length();
        let last = cells - 1;
        let d = self.conductance();
        let exchange = self.exchange;
        passed.set(0, &self.inflow());
        let problem = &self.problem;
        let liquid = &self.trial.liquid;
        let weights = problem.weights;
        let common = weights.theta / self.cell_m;
        let weight = |face: usize, i: usize| if problem.blended { problem.flux_weight.row(i)[face] } else { common };
        for i in 0..N {
            let (c, speed, known) = (liquid.row(i), speed.row(i), known.row(i));
            let passed = passed.row_mut(i);
            for j in 0..cells {
                let ahead = if j == last { 0.0 } else { d * (c[j] - c[j + 1]) };
                passed[j + 1] = weight(j + 1, i) * (speed[j] * c[j] + known[j] + ahead);
            }
        }
        self.effort.equilibria += cells as u64;
        for j in 0..cells {
            let exchange_weight = if problem.blended { problem.exchange_weight.row(0)[j] } else { weights.theta };
            let (c, base) = (liquid.at(j), problem.loading.at(j));
            let (kappa, history) = if self.beads.is_some() {
                let (shells, k) = (&condensed[j / LANES], j % LANES);
                (shells.kappa.0[k], shells.drive.map(|row| row.0[k]))
            } else {
                (1.0 / (1.0 + self.rates.bead_s / exchange_weight), base)
            };
            let film_factor = self.coupled_film.as_ref().map_or(1.0, |film| film.factor.row(0)[j]);
            let coupling = kappa * (self.rates.film_s * film_factor) / exchange_weight;
            let supply: [f64; N] = std::array::from_fn(|i| c[i] + coupling * history[i]);
            let selectivity =
                self.apparent.as_ref().map_or(exchange.selectivity, |apparent| apparent.selectivity.at(j));
            let Some((rho, iterations)) = solve_ratio(
                &supply,
                &[1.0; N],
                &[coupling; N],
                &selectivity,
                &exchange.valence,
                exchange.capacity,
                self.trial.ratio.row(0)[j],
            ) else {
                return Err(Refusal::Nonlinear { cell: j });
            };
            self.effort.equilibrium_iterations += u64::from(iterations);
            self.trial.ratio.row_mut(0)[j] = rho;
            let mut direct = SVector::<f64, N>::zeros();
            let mut through_ratio = SVector::<f64, N>::zeros();
            let (mut loading, mut at_surface) = ([0.0; N], [0.0; N]);
            for i in 0..N {
                let m = selectivity[i] * power(rho, exchange.valence[i]);
                let s = 1.0 / (1.0 + coupling * m);
                direct[i] = m * s;
                through_ratio[i] = f64::from(exchange.valence[i]) * m * supply[i] * s * s;
                at_surface[i] = m * s * supply[i];
                loading[i] = base[i] + kappa * (at_surface[i] - history[i]);
            }
            surface.set(j, &at_surface);
            self.trial.loading.set(j, &loading);
            let total = through_ratio.sum();
            let mut jacobian: SMatrix<f64, N, N> = -(through_ratio * direct.transpose()) * (kappa / total);
            let (entering, leaving, mut prepared) = (passed.at(j), passed.at(j + 1), problem.liquid.at(j));
            let mut stored = self.void_fraction;
            if let Some(sorbed) = &self.sorbed {
                let (uptake, k) = (&uptake[j / LANES], j % LANES);
                stored += uptake.held.0[k];
                for i in 0..N {
                    prepared[i] += uptake.kappa.0[k] * sorbed.history.row(i)[j];
                }
            }
            for i in 0..N {
                let (inward, outward) = (weight(j, i), weight(j + 1, i));
                let (behind, ahead) = (if j == 0 { 0.0 } else { d }, if j == last { 0.0 } else { d });
                jacobian[(i, i)] += kappa * direct[i] + stored + outward * (speed.row(i)[j] + ahead) + inward * behind;
                block.lower[j][i] = if j == 0 { 0.0 } else { -inward * (speed.row(i)[j - 1] + d) };
                block.upper[j][i] = -outward * ahead;
                block.right[j][i] = prepared[i] + base[i] + entering[i] - leaving[i] - stored * c[i] - loading[i];
            }
            block.diagonal[j] = jacobian;
        }
        Ok(())
    }
}
