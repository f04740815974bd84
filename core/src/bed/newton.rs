//! Newton over the whole column, block-tridiagonal: for beds where dispersion rules, and as a check of the march.
//!
//! Exchange is eliminated in each cell: with m_i = K_i rho^z_i, n_i = C_i + c q^_i, s_i = 1/(1 + c m_i), c = kappa Rf the
//! loading is q_i = (1 - kappa) q^_i + kappa m_i n_i s_i, and its Jacobian in C is diagonal plus rank one,
//!
//! ```text
//! dq/dC = kappa (diag(e) - g e^T / sum g),    e_i = m_i s_i,    g_i = z_i m_i n_i s_i^2
//! ```

use nalgebra::{SMatrix, SVector};

use crate::bed::column::{Column, Refusal};
use crate::bed::faces::Transport;
use crate::laws::equilibrium::{power, solve_ratio};
use crate::numerics::block::BlockTridiagonal;

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

impl<const N: usize> Column<N> {
    /// Solve the prepared step by Newton's method on the liquid of all cells.
    pub(super) fn solve_blocks(&mut self) -> Result<(), Refusal> {
        let Some(mut block) = self.block.take() else {
            return Err(Refusal::Nonlinear { cell: 0 });
        };
        let mut speeds = std::mem::take(&mut self.speeds);
        let solved = self.iterate(&mut block, &mut speeds);
        self.speeds = speeds;
        self.block = Some(block);
        solved
    }

    fn iterate(&mut self, block: &mut BlockTridiagonal<N>, speeds: &mut [([f64; N], [f64; N])]) -> Result<(), Refusal> {
        self.trial.liquid.copy_from_slice(&self.problem.lagged);
        self.trial.ratio.copy_from_slice(&self.state.ratio);
        let mut last_residual = f64::INFINITY;
        for iteration in 0..MOST_ITERATIONS {
            if iteration <= RENEWED {
                self.face_speeds(speeds);
            }
            self.assemble(block, speeds)?;
            let residual = block.right.iter().flatten().fold(0.0_f64, |most, miss| most.max(miss.abs()));
            if !residual.is_finite() {
                break;
            }
            let stalled = residual < ROUNDING * self.exchange.capacity && residual > 0.5 * last_residual;
            if iteration > RENEWED && (residual < CONVERGED * self.exchange.capacity || stalled) {
                // What rounding left of the balances goes onto the resin: the ledger closes by construction.
                for (q, miss) in self.trial.loading.as_flattened_mut().iter_mut().zip(block.right.iter().flatten()) {
                    *q = (*q + miss).max(0.0);
                }
                return Ok(());
            }
            last_residual = residual;
            self.effort.sweeps += 1;
            self.effort.factorisations += 1;
            if !block.solve() {
                return Err(Refusal::Nonlinear { cell: 0 });
            }
            for (c, change) in self.trial.liquid.as_flattened_mut().iter_mut().zip(block.right.iter().flatten()) {
                *c = (*c + change).max(LEAST_SHARE * *c);
            }
        }
        Err(Refusal::Nonlinear { cell: 0 })
    }

    /// Second-order fluxes from the liquid of the trial: speeds and known parts, dispersion left out.
    fn face_speeds(&self, speeds: &mut [([f64; N], [f64; N])]) {
        let transport = Transport { u: self.rates.velocity, d: 0.0, inlet: self.inlet, plain: false };
        let liquid = &self.trial.liquid;
        let last = liquid.len() - 1;
        for (j, speed) in speeds.iter_mut().enumerate() {
            let before = if j == 0 { transport.before_first(&liquid[0]) } else { liquid[j - 1] };
            *speed = if j == last {
                transport.out_of_last(&before, &liquid[j])
            } else {
                transport.out_of(&before, &liquid[j], &liquid[j + 1], &[0.0; N])
            };
        }
    }

    /// Loading, fluxes, residual and Jacobian at the liquid of the trial.
    fn assemble(&mut self, block: &mut BlockTridiagonal<N>, speeds: &[([f64; N], [f64; N])]) -> Result<(), Refusal> {
        let cells = self.state.loading.len();
        let last = cells - 1;
        let d = self.conductance();
        let per_cell = 1.0 / self.cell_m;
        let exchange = self.exchange;
        let problem = &mut self.problem;
        let liquid = &self.trial.liquid;
        for i in 0..N {
            problem.flux[0][i] = self.rates.velocity * self.inlet[i];
        }
        for j in 0..cells {
            for i in 0..N {
                let ahead = if j == last { 0.0 } else { d * (liquid[j][i] - liquid[j + 1][i]) };
                problem.flux[j + 1][i] = speeds[j].0[i] * liquid[j][i] + speeds[j].1[i] + ahead;
            }
        }
        self.effort.equilibria += cells as u64;
        for j in 0..cells {
            let weights = problem.weights;
            let blended = problem.blended;
            let weight = |face: usize, i: usize| {
                per_cell * if blended { weights.of_new(problem.memory[face][i]) } else { weights.theta }
            };
            let exchange_weight = if blended { problem.exchange_weight[j] } else { weights.theta };
            let kappa = 1.0 / (1.0 + self.rates.bead_s / exchange_weight);
            let coupling = kappa * self.rates.film_s / exchange_weight;
            let history = &problem.loading[j];
            let supply: [f64; N] = std::array::from_fn(|i| liquid[j][i] + coupling * history[i]);
            let Some((rho, iterations)) = solve_ratio(
                &supply,
                &[1.0; N],
                &[coupling; N],
                &exchange.selectivity,
                &exchange.valence,
                exchange.capacity,
                self.trial.ratio[j],
            ) else {
                return Err(Refusal::Nonlinear { cell: j });
            };
            self.effort.equilibrium_iterations += u64::from(iterations);
            self.trial.ratio[j] = rho;
            let mut direct = SVector::<f64, N>::zeros();
            let mut through_ratio = SVector::<f64, N>::zeros();
            for i in 0..N {
                let m = exchange.selectivity[i] * power(rho, exchange.valence[i]);
                let s = 1.0 / (1.0 + coupling * m);
                direct[i] = m * s;
                through_ratio[i] = f64::from(exchange.valence[i]) * m * supply[i] * s * s;
                self.trial.loading[j][i] = (1.0 - kappa) * history[i] + kappa * m * s * supply[i];
            }
            let total = through_ratio.sum();
            let mut jacobian: SMatrix<f64, N, N> = -(through_ratio * direct.transpose()) * (kappa / total);
            for i in 0..N {
                let (inward, outward) = (weight(j, i), weight(j + 1, i));
                let (behind, ahead) = (if j == 0 { 0.0 } else { d }, if j == last { 0.0 } else { d });
                jacobian[(i, i)] +=
                    kappa * direct[i] + self.void_fraction + outward * (speeds[j].0[i] + ahead) + inward * behind;
                block.lower[j][i] = if j == 0 { 0.0 } else { -inward * (speeds[j - 1].0[i] + d) };
                block.upper[j][i] = -outward * ahead;
                block.right[j][i] = problem.liquid[j][i] + history[i] + inward * problem.flux[j][i]
                    - outward * problem.flux[j + 1][i]
                    - self.void_fraction * liquid[j][i]
                    - self.trial.loading[j][i];
            }
            block.diagonal[j] = jacobian;
        }
        Ok(())
    }
}
