//! The march along the flow: one monotone scalar equation a cell, no matrix.
//!
//! Upwind implicit cells depend on the cell before them alone. Second order and dispersion enter through the *factor* by
//! which the flux out of a cell exceeds u C, taken from the liquid of the last sweep: at convergence the flux is
//! u C_face - eps D dC/dz, and before it the scheme is already conservative and positive. Limited values are renewed
//! once and then frozen: iterating a limiter to convergence costs many times more and changes nothing beyond the error
//! that is controlled.
//!
//! What a cell does with the flux that enters it is prepared for a stretch of cells at a time, where nothing waits for
//! anything else (`Prepared::renew`). What is left for the march itself (`Prepared::pass`) is short, but each cell
//! waits for the one before: so the second sweep follows the first a stretch behind, and the processor works on one
//! while the other waits.

use crate::bed::beads::{Beads, Condensed, Look};
use crate::bed::column::{Column, Refusal};
use crate::bed::faces::{Outflow, Stretch, Transport};
use crate::bed::sorbed::Uptake;
use crate::bed::state::Exchange;
use crate::laws::equilibrium::{power, solve_ratio};
use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::rows::Rows;

/// A correction of ln rho below this needs no second look: what is left out of the series below is its cube.
const LAST_CORRECTION: f64 = 1e-4;
/// Share of what a cell has of an ion, inflow and history together, that a known part of its outflow may take.
const MOST_KNOWN: f64 = 0.9;
/// The same in a sweep that is only to tell the next one where its faces lie.
const LAST_CORRECTION_AHEAD: f64 = 5e-3;

/// Everything about the cells of a stretch that does not depend on what enters them, in memory that is used again and
/// again.
///
/// For each ion, with g what enters a cell over the step \[eq per litre of a cell\], the beads' surface and the liquid are
///
/// ```text
/// a = (supply + g)/(held + coupling m),    m = K rho^z,    C = share (film (balance + g) + a)
/// ```
///
/// and g' = through C + known enters the next cell. At a guess of rho, let f = held/(held + coupling m). About it, in
/// d = d ln rho, m a = coupled share of (supply + g), and what it leaves in a, are
///
/// ```text
/// m a = m a_0 (1 + z f d + z^2 f (2 f - 1) d^2/2),    a = a_0 (1 - z (1 - f) d - z^2 (1 - f)(2 f - 1) d^2/2)
/// ```
///
/// Cut off at any power of d the two still close the balance held a + coupling m a = supply + g exactly: an ion is
/// neither made nor lost by the shortcut. What its neglected cube changes is the sum of m a over the ions, by d^3.
#[derive(Debug, Clone)]
pub(super) struct Prepared<const N: usize> {
    start: usize,
    cells: usize,
    out: Outflow<N>,
    balance: Stretch<N>,
    supply: Stretch<N>,
    through: Stretch<N>,
    known: Stretch<N>,
    /// Balance below which the known part would take more than its share, or the beads more than there is.
    least: Stretch<N>,
    /// Lagged liquid that the known part was made from.
    lagged: Stretch<N>,
    /// Loading that drives the exchange, ...
    history: Stretch<N>,
    /// ... and what the step leaves of the loading that gains from it, which is the same where a bead is lumped.
    rest: Stretch<N>,
    /// Weights of supply + g in m a: of d^0, d, d^2/2.
    bound: [Stretch<N>; 3],
    /// Weights of supply + g in C: of d^0, d, d^2.
    free: [Stretch<N>; 3],
    /// Weight of balance + g in C.
    direct: Stretch<N>,
    /// What only a longer search needs.
    held: Stretch<N>,
    coupling: Stretch<N>,
    share: Stretch<N>,
    film: Lanes,
    kappa: Lanes,
    /// K of each cell, if that is not one for all.
    selectivity: Stretch<N>,
    by_cell: bool,
    /// q_1*/C_1* at the beads' surface: a guess, then what was found.
    ratio: Lanes,
    /// What was found.
    liquid: Stretch<N>,
    loading: Stretch<N>,
    /// Loading at the beads' surface.
    surface: Stretch<N>,
    /// The beads' shells, where kinetics are radial.
    condensed: Condensed<N>,
    /// Salt that the liquid in the beads takes up, where it counts, and what its history holds.
    uptake: Uptake,
    salt: Stretch<N>,
}

/// A sweep under way.
struct Sweep<const N: usize> {
    /// What enters the next cell over the step \[eq per litre of a cell\].
    entering: [f64; N],
    /// The last cell where a balance was negative, if any was: then the sweep is an iterate, not a step.
    negative: Option<usize>,
    /// Iterations beyond the first of each cell.
    more_iterations: u64,
}

impl<const N: usize> Column<N> {
    /// Solve the prepared step by sweeping along the flow.
    #[inline(always)]
    pub(super) fn march(&mut self) -> Result<(), Refusal> {
        let Some(mut prepared) = self.prepared.take() else {
            return Err(Refusal::Nonlinear { cell: 0 });
        };
        let solved = self.sweeps(&mut prepared);
        self.prepared = Some(prepared);
        solved
    }

    #[inline(always)]
    fn sweeps(&mut self, prepared: &mut [Prepared<N>; 2]) -> Result<(), Refusal> {
        let mut plain = false;
        loop {
            let Some(cell) = self.two_sweeps(prepared, plain)? else {
                return Ok(());
            };
            if plain {
                return Err(Refusal::Negative { cell });
            }
            // The liquid had moved far from what it was lagged at: from here on nothing is taken as known.
            plain = true;
            self.problem.lagged.copy_from(&self.trial.liquid);
            self.problem.ratio.copy_from(&self.trial.ratio);
        }
    }

    #[inline(always)]
    fn transport(&self, plain: bool) -> Transport<N> {
        // Dispersion against the flow may empty the next cell by a quarter at most.
        let back_at_most = 0.25 * self.void_fraction * self.cell_m / self.problem.weights.h;
        Transport { u: self.rates.velocity, d: self.conductance(), inlet: self.inlet, plain, back_at_most }
    }

    /// Two sweeps, the second a stretch behind the first; says where the second met a negative balance.
    #[inline(always)]
    fn two_sweeps(&mut self, prepared: &mut [Prepared<N>; 2], plain: bool) -> Result<Option<usize>, Refusal> {
        let [ahead, behind] = prepared;
        let cells = self.trial.ratio.length();
        let exchange = self.exchange;
        let transport = self.transport(plain);
        let mut first = Sweep::new(self.inflow());
        let mut second = Sweep::new(first.entering);
        let (mut first_done, mut second_done) = (0, 0);
        while second_done < cells {
            let lagged = (&self.problem.lagged, &self.problem.ratio);
            ahead.renew(self, &transport, lagged, Look::Ahead, first_done, cells);
            // The second sweep's faces want the first's liquid on both sides.
            let reach = if first_done == cells { cells } else { first_done.saturating_sub(1) };
            if let Some(apparent) = &mut self.apparent {
                apparent.renew(&self.problem.swept, second_done, reach.min(second_done + LANES))?;
            }
            let swept = (&self.problem.swept, &self.problem.swept_ratio);
            behind.renew(self, &transport, swept, Look::Trial, second_done, reach);
            let radial = self.beads.is_some();
            for k in 0..LANES {
                if k < ahead.cells && !radial {
                    ahead.pass::<true>(k, &mut first, &exchange)?;
                } else if k < ahead.cells {
                    ahead.pass::<false>(k, &mut first, &exchange)?;
                }
                if k < behind.cells {
                    behind.pass::<false>(k, &mut second, &exchange)?;
                }
            }
            ahead.store(&mut self.problem.swept, &mut self.problem.swept_ratio);
            behind.store(&mut self.trial.liquid, &mut self.trial.ratio);
            behind.store_loading(&mut self.trial.loading);
            if let Some(sorbed) = &mut self.sorbed {
                behind.store_salt(&mut sorbed.trial);
            }
            if let Some(beads) = &mut self.beads {
                let mean = &mut self.trial.loading;
                ahead.store_shells(beads, mean);
                behind.store_shells(beads, mean);
            }
            first_done += ahead.cells;
            second_done += behind.cells;
        }
        self.problem.outflow = second.entering;
        self.effort.sweeps += 2;
        self.effort.equilibria += 2 * cells as u64;
        self.effort.equilibrium_iterations += 2 * cells as u64 + first.more_iterations + second.more_iterations;
        Ok(second.negative)
    }
}

impl<const N: usize> Sweep<N> {
    fn new(entering: [f64; N]) -> Self {
        Self { entering, negative: None, more_iterations: 0 }
    }
}

impl<const N: usize> Default for Prepared<N> {
    fn default() -> Self {
        let zeros = [Lanes::default(); N];
        Self {
            start: 0,
            cells: 0,
            out: Outflow::default(),
            balance: zeros,
            supply: zeros,
            through: zeros,
            known: zeros,
            least: zeros,
            lagged: zeros,
            history: zeros,
            rest: zeros,
            bound: [zeros; 3],
            free: [zeros; 3],
            direct: zeros,
            held: zeros,
            coupling: zeros,
            share: zeros,
            film: Lanes::default(),
            kappa: Lanes::default(),
            selectivity: zeros,
            by_cell: false,
            ratio: Lanes::default(),
            liquid: zeros,
            loading: zeros,
            surface: zeros,
            condensed: Condensed::default(),
            uptake: Uptake::default(),
            salt: zeros,
        }
    }
}

impl<const N: usize> Prepared<N> {
    /// Prepare the cells from `start` as far as the stretch and `reach` allow, from a lagged liquid and guesses of rho.
    #[inline(always)]
    fn renew(
        &mut self,
        column: &Column<N>,
        transport: &Transport<N>,
        (lagged, guess): (&Rows<N>, &Rows<1>),
        look: Look,
        start: usize,
        reach: usize,
    ) {
        self.start = start;
        self.cells = (reach - start).min(LANES);
        if self.cells == 0 {
            return;
        }
        transport.out_of(lagged, &column.now.liquid, start, &mut self.out);
        let problem = &column.problem;
        let eps = column.void_fraction;
        let theta = problem.weights.theta;
        let one = Lanes::all(1.0);
        self.ratio = guess.lanes(0, start);
        self.by_cell = column.apparent.is_some();
        let resistances = |weight: f64| (column.rates.film_s / weight, 1.0 / (1.0 + column.rates.bead_s / weight));
        if problem.blended {
            let exchange_weight = problem.exchange_weight.lanes(0, start);
            for k in 0..LANES {
                (self.film.0[k], self.kappa.0[k]) = resistances(exchange_weight.0[k]);
            }
        } else {
            let (film, kappa) = resistances(theta);
            (self.film, self.kappa) = (Lanes::all(film), Lanes::all(kappa));
        }
        if let Some(beads) = &column.beads {
            beads.condense(&column.step_weights(start), look, start, &mut self.condensed);
            self.kappa = self.condensed.kappa;
        }
        let mut stored = Lanes::all(eps);
        if let Some(sorbed) = &column.sorbed {
            let weight = if problem.blended { problem.exchange_weight.lanes(0, start) } else { Lanes::all(theta) };
            self.uptake = sorbed.uptake(&std::array::from_fn(|i| lagged.lanes(i, start)), weight);
            self.salt = std::array::from_fn(|i| sorbed.history.lanes(i, start));
            stored = stored + self.uptake.held;
        }
        if let Some(coupled) = &column.coupled_film {
            self.film = self.film * coupled.factor.lanes(0, start);
        }
        let common_weight = Lanes::all(theta / column.cell_m);
        for i in 0..N {
            let weight = match problem.blended {
                true => problem.flux_weight.lanes(i, start + 1),
                false => common_weight,
            };
            let base = problem.loading.lanes(i, start);
            let history = if column.beads.is_some() { self.condensed.drive[i] } else { base };
            let liquid = problem.liquid.lanes(i, start);
            let (linear, square) = (Lanes::all(column.exchange.linear[i]), column.exchange.square[i]);
            let valence = column.exchange.power[i];
            let through = weight * self.out.speed[i];
            let known = weight * self.out.known[i];
            let held = stored + through;
            let both = one + held * self.film;
            let coupling = self.kappa * both;
            let m = match &column.apparent {
                None => self.ratio * (linear + self.ratio * square),
                Some(apparent) => {
                    self.selectivity[i] = apparent.selectivity.lanes(i, start);
                    let once = self.ratio * self.selectivity[i];
                    if column.exchange.valence[i] == 1 { once } else { self.ratio * once }
                }
            };
            // One division for two reciprocals.
            let exchanged = held + coupling * m;
            let reciprocal = one / (both * exchanged);
            let (inverse, share) = (both * reciprocal, exchanged * reciprocal);
            let free = held * inverse;
            let bent = (free + free - one) * valence;
            let mut balance = liquid - known;
            if column.sorbed.is_some() {
                balance = balance + self.uptake.kappa * self.salt[i];
            }
            self.balance[i] = balance;
            self.supply[i] = balance + coupling * history;
            self.through[i] = through;
            self.known[i] = known;
            self.least[i] = known.at_least(Lanes::default()) * (1.0 / MOST_KNOWN - 1.0);
            if column.beads.is_some() {
                // Below this, what is explicit in the beads' diffusion would draw more than there is.
                self.least[i] = self.least[i].at_least(-(coupling * history));
            }
            self.lagged[i] = lagged.lanes(i, start);
            self.history[i] = history;
            self.rest[i] = base - self.kappa * history;
            self.held[i] = held;
            self.coupling[i] = coupling;
            self.share[i] = share;
            self.direct[i] = share * self.film;
            let bound_0 = m * inverse;
            let bound_1 = bound_0 * free * valence;
            self.bound[0][i] = bound_0;
            self.bound[1][i] = bound_1;
            self.bound[2][i] = bound_1 * bent;
            let free_0 = share * inverse;
            let free_1 = free_0 * (free - one) * valence;
            self.free[0][i] = free_0;
            self.free[1][i] = free_1;
            self.free[2][i] = free_1 * bent * 0.5;
        }
    }

    /// Take what enters cell `k` of the stretch through it. A sweep `AHEAD` of the one that counts needs no loading.
    #[inline(always)]
    fn pass<const AHEAD: bool>(
        &mut self,
        k: usize,
        sweep: &mut Sweep<N>,
        exchange: &Exchange<N>,
    ) -> Result<(), Refusal> {
        let (mut balance, mut supply) = ([0.0; N], [0.0; N]);
        let mut short = false;
        for i in 0..N {
            balance[i] = self.balance[i].0[k] + sweep.entering[i];
            supply[i] = self.supply[i].0[k] + sweep.entering[i];
            short |= balance[i] < self.least[i].0[k];
        }
        if short {
            return self.pass_short(k, sweep, exchange, &balance);
        }
        let (mut bound, mut slope, mut curvature) = ([0.0; N], [0.0; N], [0.0; N]);
        let (mut sum, mut sum_slope, mut sum_curvature) = (0.0, 0.0, 0.0);
        for i in 0..N {
            bound[i] = self.bound[0][i].0[k] * supply[i];
            slope[i] = self.bound[1][i].0[k] * supply[i];
            curvature[i] = self.bound[2][i].0[k] * supply[i];
            sum += bound[i];
            sum_slope += slope[i];
            sum_curvature += curvature[i];
        }
        // Halley's correction of ln rho.
        let per_slope = 1.0 / sum_slope;
        let newton = (exchange.capacity - sum) * per_slope;
        let last = if AHEAD { LAST_CORRECTION_AHEAD } else { LAST_CORRECTION };
        // What is not a number is not near either.
        let near = newton.abs() < last;
        if !near {
            return self.pass_far(k, sweep, exchange, &balance, &supply, newton);
        }
        let change = newton * (1.0 - newton * (0.5 * sum_curvature * per_slope));
        self.ratio.0[k] *= 1.0 + change * (1.0 + 0.5 * change);
        for i in 0..N {
            let at_guess = self.direct[i].0[k] * balance[i] + self.free[0][i].0[k] * supply[i];
            let more = self.free[1][i].0[k] * supply[i] + change * (self.free[2][i].0[k] * supply[i]);
            let liquid = at_guess + change * more;
            sweep.entering[i] = self.through[i].0[k] * liquid + self.known[i].0[k];
            self.liquid[i].0[k] = liquid;
            if !AHEAD {
                let bound = bound[i] + change * (slope[i] + 0.5 * change * curvature[i]);
                self.surface[i].0[k] = bound;
                self.loading[i].0[k] = self.rest[i].0[k] + self.kappa.0[k] * bound;
            }
        }
        Ok(())
    }

    /// The same where the liquid has moved so far from what it was lagged at that a known part of the outflow would take
    /// more of an ion than its share: what is beyond goes out in proportion to the new concentration. The change from the
    /// one to the other is gradual, as a search for steadiness asks.
    #[cold]
    #[inline(never)]
    fn pass_short(
        &mut self,
        k: usize,
        sweep: &mut Sweep<N>,
        exchange: &Exchange<N>,
        balance: &[f64; N],
    ) -> Result<(), Refusal> {
        let (mut balance, mut supply) = (*balance, [0.0; N]);
        for i in 0..N {
            if balance[i] < self.known[i].0[k].max(0.0) * (1.0 / MOST_KNOWN - 1.0) {
                let there = balance[i] + self.known[i].0[k].max(0.0);
                if there < 0.0 {
                    sweep.negative = Some(self.start + k);
                }
                let known = MOST_KNOWN * there.max(0.0);
                let beyond = self.known[i].0[k].max(0.0) - known;
                if beyond > 0.0 {
                    self.known[i].0[k] = known;
                    let through = beyond / self.lagged[i].0[k].max(f64::MIN_POSITIVE);
                    self.through[i].0[k] += through;
                    self.held[i].0[k] += through;
                    let both = 1.0 + self.held[i].0[k] * self.film.0[k];
                    self.coupling[i].0[k] = self.kappa.0[k] * both;
                    self.share[i].0[k] = 1.0 / both;
                }
                balance[i] = there.max(0.0) - known.min(there.max(0.0));
            }
            supply[i] = balance[i] + self.coupling[i].0[k] * self.history[i].0[k];
        }
        if supply.iter().any(|of_ion| *of_ion < 0.0) {
            self.supply_positive(k, &balance, &mut supply);
        }
        self.pass_far(k, sweep, exchange, &balance, &supply, 0.0)
    }

    /// Beads that draw more of an ion than there is, by what is explicit in their diffusion: they keep as much of that as
    /// leaves no supply negative.
    fn supply_positive(&mut self, k: usize, balance: &[f64; N], supply: &mut [f64; N]) {
        let mut kept = 1.0_f64;
        for i in 0..N {
            let explicit = self.coupling[i].0[k] * self.condensed.rest_drive[i].0[k];
            if supply[i] < 0.0 && explicit < 0.0 {
                kept = kept.min((1.0 - 1e-9) * ((supply[i] - explicit) / -explicit).max(0.0));
            }
        }
        self.condensed.keep(k, kept);
        for i in 0..N {
            self.history[i].0[k] = self.condensed.drive[i].0[k];
            supply[i] = (balance[i] + self.coupling[i].0[k] * self.history[i].0[k]).max(0.0);
        }
    }

    /// The same where the guess of rho was not near.
    #[cold]
    #[inline(never)]
    fn pass_far(
        &mut self,
        k: usize,
        sweep: &mut Sweep<N>,
        exchange: &Exchange<N>,
        balance: &[f64; N],
        supply: &[f64; N],
        newton: f64,
    ) -> Result<(), Refusal> {
        let held = self.held.map(|row| row.0[k]);
        let coupling = self.coupling.map(|row| row.0[k]);
        let guess = self.ratio.0[k];
        let nearer = guess * newton.clamp(-1.0, 1.0).exp();
        let from = if nearer.is_finite() && nearer > 0.0 { nearer } else { guess };
        let selectivity = if self.by_cell { self.selectivity.map(|row| row.0[k]) } else { exchange.selectivity };
        let valence = &exchange.valence;
        let found = solve_ratio(supply, &held, &coupling, &selectivity, valence, exchange.capacity, from);
        let (ratio, iterations) = found.ok_or(Refusal::Nonlinear { cell: self.start + k })?;
        sweep.more_iterations += u64::from(iterations);
        self.ratio.0[k] = ratio;
        for i in 0..N {
            let m = selectivity[i] * power(ratio, valence[i]);
            let at_surface = supply[i] / (held[i] + coupling[i] * m);
            let liquid = self.share[i].0[k] * (self.film.0[k] * balance[i] + at_surface);
            sweep.entering[i] = self.through[i].0[k] * liquid + self.known[i].0[k];
            self.liquid[i].0[k] = liquid;
            self.surface[i].0[k] = m * at_surface;
            self.loading[i].0[k] = self.rest[i].0[k] + self.kappa.0[k] * m * at_surface;
        }
        Ok(())
    }

    /// Copy what was found for the liquid and rho into a table of the whole bed.
    #[inline(always)]
    fn store(&self, liquid: &mut Rows<N>, ratio: &mut Rows<1>) {
        let cells = self.start..self.start + self.cells;
        for i in 0..N {
            liquid.row_mut(i)[cells.clone()].copy_from_slice(&self.liquid[i].0[..self.cells]);
        }
        ratio.row_mut(0)[cells].copy_from_slice(&self.ratio.0[..self.cells]);
    }

    /// The same for the salt in the beads.
    fn store_salt(&self, salt: &mut Rows<N>) {
        let Uptake { kappa, held } = self.uptake;
        for i in 0..N {
            let found = self.salt[i] - kappa * self.salt[i] + held * self.liquid[i];
            salt.row_mut(i)[self.start..self.start + self.cells].copy_from_slice(&found.0[..self.cells]);
        }
    }

    /// The same for the shells of the beads.
    fn store_shells(&self, beads: &mut Beads<N>, mean: &mut Rows<N>) {
        if self.cells > 0 {
            beads.store(&self.condensed, &self.surface, self.start, self.cells, mean);
        }
    }

    /// The same for the loading.
    #[inline(always)]
    fn store_loading(&self, loading: &mut Rows<N>) {
        let cells = self.start..self.start + self.cells;
        for i in 0..N {
            loading.row_mut(i)[cells.clone()].copy_from_slice(&self.loading[i].0[..self.cells]);
        }
    }
}
