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

/// Sweeps of one step, ...
const SWEEPS: usize = 2;
/// ... and at most, where a balance came out negative because the liquid had moved far from what it was lagged at: the
/// sweeps that follow take nothing as known.
const MOST_SWEEPS: usize = 4;

impl<const N: usize> Column<N> {
    /// Solve the prepared step by sweeping along the flow.
    pub(super) fn march(&mut self) -> Result<(), Refusal> {
        let mut negative = None;
        for sweep in 0..MOST_SWEEPS {
            if sweep > 0 {
                self.problem.lagged.copy_from_slice(&self.trial.liquid);
            }
            negative = self.sweep(sweep == 0, sweep >= SWEEPS)?;
            if negative.is_none() && (sweep + 1 == SWEEPS || sweep + 1 == MOST_SWEEPS) {
                return Ok(());
            }
        }
        negative.map_or(Ok(()), |cell| Err(Refusal::Negative { cell }))
    }

    /// One pass along the flow; says where a balance was negative, if any was: then it is an iterate, not a step.
    fn sweep(&mut self, first: bool, plain: bool) -> Result<Option<usize>, Refusal> {
        let cells = self.state.loading.len();
        let (u, d) = (self.rates.velocity, self.conductance());
        let per_cell = 1.0 / self.cell_m;
        let eps = self.void_fraction;
        let (film_s, bead_s) = (self.rates.film_s, self.rates.bead_s);
        let exchange = self.exchange;
        let problem = &mut self.problem;
        let weights = problem.weights;
        let blended = problem.blended;
        self.effort.sweeps += 1;
        self.effort.equilibria += cells as u64;

        let transport = Transport { u, d, inlet: self.inlet, plain };
        // Dispersion against the flow may empty the next cell by a quarter at most.
        let most = 0.25 * eps / (weights.h * per_cell);
        // Everything below runs along the cells once; equal lengths let the bounds be known.
        let lagged = &problem.lagged[..cells];
        let memory = &problem.memory[..=cells];
        let flux = &mut problem.flux[..=cells];
        let (loading, liquid) = (&mut self.trial.loading[..cells], &mut self.trial.liquid[..cells]);
        let (ratio, old_liquid) = (&mut self.trial.ratio[..cells], &self.state.liquid[..cells]);

        let mut negative = None;
        let mut iterations_spent = 0_u64;
        let mut inflow: [f64; N] = self.inlet.map(|c| u * c);
        let mut into = [weights.theta * per_cell; N];
        if blended {
            into = memory[0].map(|share| per_cell * weights.of_new(share));
        }
        let mut film = film_s / weights.theta;
        let mut kappa = 1.0 / (1.0 + bead_s / weights.theta);
        let mut before = transport.before_first(&lagged[0]);
        flux[0] = inflow;
        for j in 0..cells {
            let mut out = into;
            if blended {
                out = memory[j + 1].map(|share| per_cell * weights.of_new(share));
                film = film_s / problem.exchange_weight[j];
                kappa = 1.0 / (1.0 + bead_s / problem.exchange_weight[j]);
            }
            let here = lagged[j];
            let (speed, known) = if j + 1 < cells {
                transport.out_of(&before, &here, &lagged[j + 1], &old_liquid[j + 1].map(|c| most * c))
            } else {
                transport.out_of_last(&before, &here)
            };
            before = here;

            let history = &problem.loading[j];
            let (mut supply, mut held, mut coupling) = ([0.0; N], [0.0; N], [0.0; N]);
            let (mut balance, mut share) = ([0.0; N], [0.0; N]);
            for i in 0..N {
                balance[i] = problem.liquid[j][i] + into[i] * inflow[i] - out[i] * known[i];
                if balance[i] < 0.0 {
                    negative = Some(j);
                    balance[i] = 0.0;
                }
                held[i] = eps + out[i] * speed[i];
                let both = 1.0 + held[i] * film;
                share[i] = 1.0 / both;
                coupling[i] = kappa * both;
                supply[i] = balance[i] + coupling[i] * history[i];
            }
            if supply.iter().any(|s| *s < 0.0) {
                return Err(Refusal::Negative { cell: j });
            }
            let guess = if first { problem.ratio[j] } else { ratio[j] };
            let Some((rho, iterations)) = solve_ratio(
                &supply,
                &held,
                &coupling,
                &exchange.selectivity,
                &exchange.valence,
                exchange.capacity,
                guess,
            ) else {
                return Err(Refusal::Nonlinear { cell: j });
            };
            iterations_spent += u64::from(iterations);
            ratio[j] = rho;
            let (mut q, mut c) = ([0.0; N], [0.0; N]);
            for i in 0..N {
                let m = exchange.selectivity[i] * power(rho, exchange.valence[i]);
                let at_surface = supply[i] / (held[i] + coupling[i] * m);
                q[i] = (1.0 - kappa) * history[i] + kappa * m * at_surface;
                c[i] = share[i] * (film * balance[i] + at_surface);
                inflow[i] = speed[i] * c[i] + known[i];
            }
            // Beads may feed a liquid faster than a known flux drains it: what counts is what is left.
            if c.iter().any(|c| *c < 0.0) {
                return Err(Refusal::Negative { cell: j });
            }
            loading[j] = q;
            liquid[j] = c;
            flux[j + 1] = inflow;
            into = out;
        }
        self.effort.equilibrium_iterations += iterations_spent;
        Ok(negative)
    }
}
