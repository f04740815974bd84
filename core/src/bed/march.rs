//! The march along the flow: one monotone scalar equation a cell, no matrix.
//!
//! Upwind implicit cells depend on the cell before them alone. Second order and dispersion enter through the *factor* by
//! which the flux out of a cell exceeds u C, taken from the liquid of the last sweep: at convergence the flux is
//! u C_face - eps D dC/dz, and before it the scheme is already conservative and positive. Limited values are renewed
//! once and then frozen: iterating a limiter to convergence costs many times more and changes nothing beyond the error
//! that is controlled.

use crate::bed::column::{Column, Refusal};
use crate::bed::faces::Transport;
use crate::laws::equilibrium::{power, solve_ratio};

/// Sweeps of one step.
const SWEEPS: usize = 2;

impl<const N: usize> Column<N> {
    /// Solve the prepared step by sweeping along the flow.
    pub(super) fn march(&mut self) -> Result<(), Refusal> {
        for sweep in 0..SWEEPS {
            if sweep > 0 {
                self.problem.lagged.copy_from_slice(&self.trial.liquid);
            }
            self.sweep(sweep == 0)?;
        }
        Ok(())
    }

    fn sweep(&mut self, first: bool) -> Result<(), Refusal> {
        let cells = self.state.loading.len();
        let (u, d) = (self.rates.velocity, self.conductance());
        let per_cell = 1.0 / self.cell_m;
        let eps = self.void_fraction;
        let (film_s, bead_s) = (self.rates.film_s, self.rates.bead_s);
        let exchange = self.exchange;
        let problem = &mut self.problem;
        let h = problem.weights.h;
        self.effort.sweeps += 1;
        self.effort.equilibria += cells as u64;

        let transport = Transport { u, d, inlet: self.inlet };
        let most = 0.25 * eps / (h * per_cell);
        let mut inflow: [f64; N] = self.inlet.map(|c| u * c);
        problem.flux[0] = inflow;
        for j in 0..cells {
            // Weights of this cell's faces and of its exchange.
            let weight = |face: usize, i: usize| per_cell * problem.weights.of_new(problem.memory[face][i]);
            let exchange_weight = problem.exchange_weight[j];
            let film = film_s / exchange_weight;
            let kappa = 1.0 / (1.0 + bead_s / exchange_weight);

            // Dispersion against the flow may empty the next cell by a quarter at most.
            let ahead = if j + 1 == cells { [0.0; N] } else { self.state.liquid[j + 1].map(|c| most * c) };
            let (speed, known) = transport.out_of(&problem.lagged, j, &ahead);

            let mut supply = [0.0; N];
            let mut held = [0.0; N];
            let mut share = [0.0; N];
            let mut liquid = [0.0; N];
            let history = &problem.loading[j];
            for i in 0..N {
                let out = weight(j + 1, i);
                let balance = problem.liquid[j][i] + weight(j, i) * inflow[i] - out * known[i];
                if balance < 0.0 {
                    return Err(Refusal::Negative { cell: j });
                }
                let a = eps + out * speed[i];
                let phi = 1.0 / (1.0 + a * film);
                supply[i] = phi * balance + kappa * history[i];
                held[i] = phi * a;
                share[i] = phi;
                liquid[i] = film * balance;
            }
            let guess = if first { self.state.ratio[j] } else { self.trial.ratio[j] };
            let Some((rho, iterations)) =
                solve_ratio(&supply, &held, kappa, &exchange.selectivity, &exchange.valence, exchange.capacity, guess)
            else {
                return Err(Refusal::Nonlinear { cell: j });
            };
            self.effort.equilibrium_iterations += u64::from(iterations);
            self.trial.ratio[j] = rho;
            let (q, c) = (&mut self.trial.loading[j], &mut self.trial.liquid[j]);
            for i in 0..N {
                let m = exchange.selectivity[i] * power(rho, exchange.valence[i]);
                let at_surface = supply[i] / (held[i] + kappa * m);
                q[i] = (1.0 - kappa) * history[i] + kappa * m * at_surface;
                c[i] = share[i] * (liquid[i] + at_surface);
                inflow[i] = speed[i] * c[i] + known[i];
            }
            problem.flux[j + 1] = inflow;
        }
        Ok(())
    }
}
