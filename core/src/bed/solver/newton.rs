//! Newton over the whole column, block-tridiagonal: for beds where dispersion rules, and as a check of the march.
//!
//! The unknowns are the liquid of all cells; the exchange is eliminated in each cell: with m_i = K_i rho^z_i,
//! c = kappa Rf/theta, n_i = C_i + c d_i, s_i = 1/(1 + c m_i) the loading at the surface is m_i n_i s_i, that of the bead
//! q_i = q^_i + kappa (m_i n_i s_i - d_i), and its Jacobian in C is diagonal plus rank one,
//!
//! ```text
//! dq/dC = kappa (diag(e) - g e^T / sum g),    e_i = m_i s_i,    g_i = z_i m_i n_i s_i^2
//! ```
//!
//! Dispersion is implicit, the limited part of advection deferred as in the march.

use nalgebra::{SMatrix, SVector};

use crate::bed::cell_block::{CellBlock, Place, block_of};
use crate::bed::exchange::Exchange;
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::refusal::{Refusal, furthest};
use crate::bed::solver::system::System;
use crate::bed::transport::{Faces, Outflow};
use crate::laws::equilibrium::{power, solve_ratio};
use crate::numerics::block::BlockTridiagonal;
use crate::numerics::lanes::{LANES, larger};
use crate::numerics::rows::Rows;

/// Newton's method with its memory, allocated once.
#[derive(Debug)]
pub(in crate::bed) struct Newton<const N: usize> {
    block: BlockTridiagonal<N>,
    /// Flux out of each cell, dispersion left out: implicit part, a speed on its concentration \[m/s\] ...
    implicit: Rows<N>,
    /// ... and explicit part \[eq/L m/s\].
    explicit: Rows<N>,
    /// New part of what passes each face over the step \[eq per litre of a mean cell\].
    passed: Rows<N>,
    /// The exchange, a block of cells each.
    exchange: Vec<Condensed<N>>,
    /// Loading at the beads' surface.
    surface: Rows<N>,
}

impl<const N: usize> Newton<N> {
    pub fn new(exchange: &mut Exchange<N>, cells: usize) -> Self {
        let blocks = cells.div_ceil(LANES);
        exchange.make_room(blocks);
        Self {
            block: BlockTridiagonal::new(cells),
            implicit: Rows::filled(cells, 0.0),
            explicit: Rows::filled(cells, 0.0),
            passed: Rows::filled(cells + 1, 0.0),
            exchange: vec![exchange.neutral(); blocks],
            surface: Rows::filled(cells, 0.0),
        }
    }

    /// Solve the prepared step by Newton's method on the liquid of all cells.
    #[inline(never)]
    pub fn solve(&mut self, mut system: System<'_, N>) -> Result<(), Refusal> {
        let system = &mut system;
        let (scheme, capacity) = (system.scheme, system.exchange.isotherm.capacity);
        system.trial.liquid.copy_from(&system.step.lagged);
        system.trial.ratio.copy_from(&system.now.ratio);
        let faces = system.transport.advective_faces(scheme);
        let cells = system.trial.cells();
        let mut last_residual = f64::INFINITY;
        for iteration in 0..scheme.newton_most_iterations {
            if iteration <= scheme.newton_renewed {
                self.renew_faces(&faces, &system.trial.liquid);
                self.renew_exchange(system, if iteration == 0 { LaggedFrom::History } else { LaggedFrom::LastSweep })?;
            }
            self.assemble(system)?;
            self.keep(system);
            let right = &self.block.right;
            let residual = right.iter().flatten().fold(0.0, |most, miss| larger(most, miss.abs()));
            if !residual.is_finite() {
                break;
            }
            let stalled = residual < scheme.newton_rounding * capacity && residual > 0.5 * last_residual;
            if iteration > scheme.newton_renewed && (residual < scheme.newton_converged * capacity || stalled) {
                self.close(system);
                system.step.outflow = self.passed.at(cells);
                return Ok(());
            }
            last_residual = residual;
            system.effort.sweeps += 1;
            system.effort.factorisations += 1;
            self.block.solve().map_err(|cell| Refusal::Nonlinear { cell })?;
            for (j, change) in self.block.right.iter().enumerate() {
                for i in 0..N {
                    let c = &mut system.trial.liquid.row_mut(i)[j];
                    *c = (*c + change[i]).max(scheme.newton_least_share * *c);
                }
            }
        }
        // Balances, or changes of the liquid, that are largest where it failed.
        Err(Refusal::Nonlinear { cell: furthest(self.block.right.iter().map(|miss| miss.as_slice())) })
    }

    /// What rounding left of the balances goes onto the resin, so that the ledger closes; what the resin has not, the liquid
    /// beside it gives. An ion that neither has stays at none: that is below [`Scheme::newton_rounding`] of the capacity.
    fn close(&self, system: &mut System<'_, N>) {
        let void_fraction = system.transport.void_fraction;
        for (j, (miss, height)) in self.block.right.iter().zip(system.transport.spacing.heights()).enumerate() {
            for i in 0..N {
                let q = &mut system.trial.loading.row_mut(i)[j];
                let closed = *q + miss[i] / height;
                *q = closed.max(0.0);
                if closed < 0.0 {
                    let c = &mut system.trial.liquid.row_mut(i)[j];
                    *c = (*c + closed / void_fraction).max(0.0);
                }
            }
        }
    }

    /// Second-order fluxes from a liquid.
    fn renew_faces(&mut self, faces: &Faces<'_, N>, liquid: &Rows<N>) {
        let cells = liquid.length();
        let mut out = Outflow::default();
        for start in (0..cells).step_by(LANES) {
            faces.out_of(liquid, liquid, start, &mut out);
            for i in 0..N {
                for k in 0..LANES.min(cells - start) {
                    self.implicit.row_mut(i)[start + k] = out.implicit[i].0[k];
                    self.explicit.row_mut(i)[start + k] = out.explicit[i].0[k];
                }
            }
        }
    }

    /// Condense the exchange of all cells next to the liquid of the trial.
    fn renew_exchange(&mut self, system: &mut System<'_, N>, from: LaggedFrom) -> Result<(), Refusal> {
        let liquid = &system.trial.liquid;
        let cells = liquid.length();
        system.exchange.look_again(liquid, 0..cells)?;
        for (slot, condensed) in self.exchange.iter_mut().enumerate() {
            let place = Place::up_to(slot, slot * LANES, cells);
            system.exchange.condense(system.step, liquid, from, place, condensed);
        }
        Ok(())
    }

    /// Have stores keep what was found.
    fn keep(&self, system: &mut System<'_, N>) {
        let cells = self.surface.length();
        for (slot, condensed) in self.exchange.iter().enumerate() {
            let place = Place::up_to(slot, slot * LANES, cells);
            let liquid: CellBlock<N> = block_of(&system.trial.liquid, place.start);
            let surface = block_of(&self.surface, place.start);
            let found = Found { liquid: &liquid, surface: &surface, first_sweep: false };
            system.exchange.keep(place, condensed, &found, &mut system.trial.loading);
        }
    }

    /// Loading, fluxes, residual and Jacobian at the liquid of the trial.
    fn assemble(&mut self, system: &mut System<'_, N>) -> Result<(), Refusal> {
        let Self { block, implicit, explicit, passed, exchange, surface } = self;
        let System { transport, step, trial, effort, .. } = system;
        let isotherm = &system.exchange.isotherm;
        let cells = trial.cells();
        let last = cells - 1;
        let spacing = &transport.spacing;
        let heights = spacing.heights();
        // To the cell ahead; 0 beyond the last.
        let conductance = transport.conductances.whole.row(0);
        passed.set(0, &step.inflow);
        let common = step.weights.theta / transport.cell_m;
        let weight = |face: usize, i: usize| if step.blended { step.flux_weight.row(i)[face] } else { common };
        for i in 0..N {
            let (c, implicit, explicit) = (trial.liquid.row(i), implicit.row(i), explicit.row(i));
            let passed = passed.row_mut(i);
            for j in 0..cells {
                let ahead = if j == last { 0.0 } else { conductance[j] * (c[j] - c[j + 1]) };
                passed[j + 1] = weight(j + 1, i) * (implicit[j] * c[j] + explicit[j] + ahead);
            }
        }
        effort.equilibria += cells as u64;
        for j in 0..cells {
            let (of_block, k) = (&exchange[j / LANES], j % LANES);
            let (c, base) = (trial.liquid.at(j), step.loading.at(j));
            let (kappa, drive) = (of_block.kappa.0[k], of_block.drive.map(|row| row.0[k]));
            let coupling = kappa * of_block.film_s.0[k] / of_block.weight.0[k];
            let supply: [f64; N] = std::array::from_fn(|i| c[i] + coupling * drive[i]);
            let selectivity = of_block.selectivity.map(|row| row.0[k]);
            let Some((rho, iterations)) = solve_ratio(
                &supply,
                &[1.0; N],
                &[coupling; N],
                &selectivity,
                &isotherm.valence,
                isotherm.capacity,
                trial.ratio.row(0)[j],
            ) else {
                return Err(Refusal::Nonlinear { cell: j });
            };
            effort.equilibrium_iterations += u64::from(iterations);
            trial.ratio.row_mut(0)[j] = rho;
            let mut direct = SVector::<f64, N>::zeros();
            let mut through_ratio = SVector::<f64, N>::zeros();
            let (mut loading, mut at_surface) = ([0.0; N], [0.0; N]);
            for i in 0..N {
                let m = selectivity[i] * power(rho, isotherm.valence[i]);
                let s = 1.0 / (1.0 + coupling * m);
                direct[i] = m * s;
                through_ratio[i] = f64::from(isotherm.valence[i]) * m * supply[i] * s * s;
                at_surface[i] = m * s * supply[i];
                loading[i] = base[i] + kappa * (at_surface[i] - drive[i]);
            }
            surface.set(j, &at_surface);
            trial.loading.set(j, &loading);
            let total = through_ratio.sum();
            let height = heights[j];
            let mut jacobian: SMatrix<f64, N, N> = -(through_ratio * direct.transpose()) * (height * kappa / total);
            let (entering, leaving, before) = (passed.at(j), passed.at(j + 1), step.liquid.at(j));
            let held = of_block.held.0[k];
            for i in 0..N {
                let (inward, outward) = (weight(j, i), weight(j + 1, i));
                let (behind, ahead) = (if j == 0 { 0.0 } else { conductance[j - 1] }, conductance[j]);
                jacobian[(i, i)] +=
                    height * (kappa * direct[i] + held) + outward * (implicit.row(i)[j] + ahead) + inward * behind;
                block.lower[j][i] = if j == 0 { 0.0 } else { -inward * (implicit.row(i)[j - 1] + behind) };
                block.upper[j][i] = -outward * ahead;
                let prepared = before[i] + of_block.released[i].0[k];
                block.right[j][i] = height * (prepared + base[i] - held * c[i] - loading[i]) + entering[i] - leaving[i];
            }
            block.diagonal[j] = jacobian;
        }
        Ok(())
    }
}
