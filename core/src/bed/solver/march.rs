//! The march along the flow: one monotone scalar equation a cell, no matrix.
//!
//! Upwind implicit cells depend on the cell before them alone. Second order and dispersion are deferred corrections of the
//! flux out of a cell, taken from the liquid of the last sweep: at convergence the flux is u C_face - eps D dC/dz, and
//! before it the scheme is already conservative and positive. Limited values are renewed once and then frozen: iterating a
//! limiter to convergence costs many times more and changes nothing beyond the error that is controlled.
//!
//! For each ion, with g what enters a cell over the step \[eq per litre of a mean cell\] and everything else of a cell
//! multiplied by its height over the mean one (F divided by it), l^ and d the explicit liquid and the
//! loading that drives the exchange, F = Rf/theta, s and e the weighted implicit and explicit parts of the outflow,
//!
//! ```text
//! balance = l^ - e + g,    held = eps + s,    coupling = kappa (1 + held F),    supply = balance + coupling d
//! C* = supply/(held + coupling m),    m = K rho^z,    C = (F balance + C*)/(1 + held F),    sum m C* = Q
//! ```
//!
//! and g' = s C + e enters the next cell.
//!
//! What a cell does with the flux that enters it is prepared for a block of cells at a time, where no cell waits for
//! another (`Block::renew`). What is left for the march itself (`Block::pass`) is short, but each cell waits for the
//! one before: so the second sweep follows the first a block behind, and the processor works on one while the other waits.

use crate::bed::cell_block::{CellBlock, Place, write};
use crate::bed::exchange::Exchange;
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::isotherm::Isotherm;
use crate::bed::refusal::Refusal;
use crate::bed::solver::system::System;
use crate::bed::spacing::Spacing;
use crate::bed::time_step::TimeStep;
use crate::bed::transport::{Faces, Outflow};
use crate::laws::equilibrium::{power, solve_ratio};
use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::rows::Rows;
use crate::plan::scheme::Scheme;

/// The march with its memory, used again and again.
#[derive(Debug)]
pub(in crate::bed) struct March<const N: usize> {
    /// Of the first sweep and of the second.
    blocks: [Block<N>; 2],
}

/// Everything about the cells of a block that does not depend on what enters them.
///
/// At a guess of rho, let f = held/(held + coupling m). About it, in d = d ln rho,
///
/// ```text
/// m C* = m C*_0 (1 + z f d + z^2 f (2 f - 1) d^2/2),    C* = C*_0 (1 - z (1 - f) d - z^2 (1 - f)(2 f - 1) d^2/2)
/// ```
///
/// Cut off at any power of d the two still close the balance held C* + coupling m C* = supply exactly: an ion is neither
/// made nor lost by the shortcut. What its neglected cube changes is the sum of m C* over the ions, by d^3.
#[derive(Debug)]
pub(super) struct Block<const N: usize> {
    pub(super) place: Place,
    out: Outflow<N>,
    pub(super) exchange: Condensed<N>,
    /// Share of what a cell has of an ion that the explicit part of its outflow may take, and 1/share - 1.
    most_explicit: f64,
    beyond_most: f64,
    /// Share of what is there that rounding does not carry below zero.
    all_but_rounding: f64,
    /// Balance and supply without what enters, ...
    pub(super) balance: CellBlock<N>,
    pub(super) supply: CellBlock<N>,
    /// ... and the balance, with it, below which the explicit outflow would take more than its share, or what is explicit
    /// in the exchange more than there is.
    pub(super) least: CellBlock<N>,
    /// Weighted parts of the outflow, s and e.
    pub(super) implicit: CellBlock<N>,
    pub(super) explicit: CellBlock<N>,
    /// Lagged liquid that the explicit part was made from.
    lagged: CellBlock<N>,
    /// Weights of the supply in m C*: of d^0, d, d^2/2.
    bound: [CellBlock<N>; 3],
    /// Weights of the supply in C: of d^0, d, d^2.
    free: [CellBlock<N>; 3],
    /// Weight of the balance in C.
    direct: CellBlock<N>,
    /// Heights over the mean one; F and kappa with them; liquid of the history, l^, too.
    pub(super) height: Lanes,
    pub(super) film: Lanes,
    pub(super) kappa: Lanes,
    pub(super) prepared: CellBlock<N>,
    /// What only a longer search needs: with 1/(1 + held F).
    held: CellBlock<N>,
    pub(super) coupling: CellBlock<N>,
    share: CellBlock<N>,
    /// rho at the beads' surface: a guess, then what was found.
    pub(super) ratio: Lanes,
    /// What was found: liquid, loading, loading at the beads' surface.
    pub(super) liquid: CellBlock<N>,
    loading: CellBlock<N>,
    surface: CellBlock<N>,
}

/// A sweep under way.
pub(super) struct Sweep<const N: usize> {
    /// What enters the next cell over the step \[eq per litre of a mean cell\].
    pub(super) entering: [f64; N],
    /// A correction of ln rho below this is the last one.
    pub(super) last_correction: f64,
    /// The last cell where a balance was negative, if any was: then the sweep is an iterate, not a step.
    pub(super) negative: Option<usize>,
    /// Iterations beyond the first of each cell.
    pub(super) more_iterations: u64,
}

/// What a block is prepared from: the step, its fluxes, and the iterate that lagged terms are taken from.
#[derive(Clone, Copy)]
pub(super) struct Iterate<'a, const N: usize> {
    pub(super) step: &'a TimeStep<N>,
    pub(super) cell_m: f64,
    pub(super) faces: &'a Faces<'a, N>,
    pub(super) spacing: &'a Spacing,
    /// Liquid at the beginning of the step.
    pub(super) old: &'a Rows<N>,
    pub(super) liquid: &'a Rows<N>,
    pub(super) ratio: &'a Rows<1>,
    pub(super) from: LaggedFrom,
}

impl<const N: usize> March<N> {
    pub fn new(scheme: &Scheme, exchange: &mut Exchange<N>) -> Self {
        exchange.make_room(2);
        Self { blocks: std::array::from_fn(|_| Block::new(scheme, exchange.neutral())) }
    }

    /// Solve the prepared step by sweeping along the flow.
    #[inline(always)]
    pub fn solve(&mut self, mut system: System<'_, N>) -> Result<(), Refusal> {
        let mut all_implicit = false;
        loop {
            let Some(cell) = self.two_sweeps(&mut system, all_implicit)? else {
                return Ok(());
            };
            if all_implicit {
                return Err(Refusal::Negative { cell });
            }
            // The liquid had moved far from what it was lagged at: from here on all is implicit.
            all_implicit = true;
            system.step.lagged.copy_from(&system.trial.liquid);
            system.step.ratio.copy_from(&system.trial.ratio);
        }
    }

    /// Two sweeps, the second a block behind the first; returns the cell where the second met a negative balance.
    #[inline(always)]
    fn two_sweeps(&mut self, system: &mut System<'_, N>, all_implicit: bool) -> Result<Option<usize>, Refusal> {
        let [ahead, behind] = &mut self.blocks;
        let System { scheme, transport, exchange, step, now, trial, effort, space_follows } = system;
        let cells = trial.cells();
        let isotherm = exchange.isotherm;
        let follows_first = exchange.follows_first_sweep();
        let faces = transport.faces(scheme, step.weights.h, all_implicit);
        let cell_m = transport.cell_m;
        let mut first = Sweep::new(step.inflow, scheme.last_correction_ahead);
        let mut second = Sweep::new(step.inflow, scheme.last_correction);
        if follows_first {
            first.last_correction = scheme.last_correction;
        }
        let (mut first_done, mut second_done) = (0, 0);
        while second_done < cells {
            let history = Iterate {
                step,
                cell_m,
                faces: &faces,
                spacing: &transport.spacing,
                old: &now.liquid,
                liquid: &step.lagged,
                ratio: &step.ratio,
                from: LaggedFrom::History,
            };
            ahead.renew(&history, exchange, Place::up_to(0, first_done, cells));
            // The second sweep's faces want the first's liquid on both sides.
            let reach = if first_done == cells { cells } else { first_done.saturating_sub(1) };
            exchange.look_again(&step.swept, second_done..reach.min(second_done + LANES))?;
            let swept =
                Iterate { liquid: &step.swept, ratio: &step.swept_ratio, from: LaggedFrom::LastSweep, ..history };
            behind.renew(&swept, exchange, Place::up_to(1, second_done, reach));
            let last_of = |place: &Place| {
                (*space_follows && place.cells > 0 && place.start + place.cells == cells)
                    .then(|| cells - 1 - place.start)
            };
            let (last_ahead, last_behind) = (last_of(&ahead.place), last_of(&behind.place));
            for k in 0..LANES {
                if Some(k) == last_ahead {
                    ahead.pass_last(k, &mut first, &isotherm)?;
                } else if k < ahead.place.cells && !follows_first {
                    ahead.pass::<true>(k, &mut first, &isotherm)?;
                } else if k < ahead.place.cells {
                    ahead.pass::<false>(k, &mut first, &isotherm)?;
                }
                if Some(k) == last_behind {
                    behind.pass_last(k, &mut second, &isotherm)?;
                } else if k < behind.place.cells {
                    behind.pass::<false>(k, &mut second, &isotherm)?;
                }
            }
            ahead.store(&mut step.swept, &mut step.swept_ratio);
            behind.store(&mut trial.liquid, &mut trial.ratio);
            behind.store_loading(&mut trial.loading);
            if follows_first {
                exchange.keep(ahead.place, &ahead.exchange, &ahead.found(true), &mut trial.loading);
            }
            exchange.keep(behind.place, &behind.exchange, &behind.found(false), &mut trial.loading);
            first_done += ahead.place.cells;
            second_done += behind.place.cells;
        }
        step.outflow = second.entering;
        effort.sweeps += 2;
        effort.equilibria += 2 * cells as u64;
        effort.equilibrium_iterations += 2 * cells as u64 + first.more_iterations + second.more_iterations;
        Ok(second.negative)
    }
}

impl<const N: usize> Sweep<N> {
    pub(super) fn new(entering: [f64; N], last_correction: f64) -> Self {
        Self { entering, last_correction, negative: None, more_iterations: 0 }
    }
}

impl<const N: usize> Block<N> {
    pub(super) fn new(scheme: &Scheme, exchange: Condensed<N>) -> Self {
        let zeros = [Lanes::default(); N];
        Self {
            place: Place::default(),
            out: Outflow::default(),
            exchange,
            most_explicit: scheme.most_explicit,
            beyond_most: 1.0 / scheme.most_explicit - 1.0,
            all_but_rounding: 1.0 - scheme.rounding,
            balance: zeros,
            supply: zeros,
            least: zeros,
            implicit: zeros,
            explicit: zeros,
            lagged: zeros,
            bound: [zeros; 3],
            free: [zeros; 3],
            direct: zeros,
            height: Lanes::default(),
            film: Lanes::default(),
            kappa: Lanes::default(),
            prepared: zeros,
            held: zeros,
            coupling: zeros,
            share: zeros,
            ratio: Lanes::default(),
            liquid: zeros,
            loading: zeros,
            surface: zeros,
        }
    }

    /// Prepare the cells of a place.
    #[inline(always)]
    pub(super) fn renew(&mut self, iterate: &Iterate<'_, N>, exchange: &mut Exchange<N>, place: Place) {
        self.place = place;
        if place.cells > 0 {
            self.renew_fluxes(iterate, exchange);
            self.renew_coefficients(&exchange.isotherm.valence);
        }
    }

    /// The first half: what the cells exchange, and the fluxes out of them.
    #[inline(always)]
    pub(super) fn renew_fluxes(&mut self, iterate: &Iterate<'_, N>, exchange: &mut Exchange<N>) {
        let Iterate { step, faces, old, liquid, ratio, .. } = *iterate;
        let start = self.place.start;
        faces.out_of(liquid, old, start, &mut self.out);
        exchange.condense(step, liquid, iterate.from, self.place, &mut self.exchange);
        self.ratio = ratio.lanes(0, start);
        self.height = iterate.spacing.height(start);
        let cell = &self.exchange;
        (self.film, self.kappa) = (cell.film * iterate.spacing.per_height(start), cell.kappa * self.height);
        let common_weight = Lanes::all(step.weights.theta / iterate.cell_m);
        for i in 0..N {
            let weight = match step.blended {
                true => step.flux_weight.lanes(i, start + 1),
                false => common_weight,
            };
            self.implicit[i] = weight * self.out.implicit[i];
            self.explicit[i] = weight * self.out.explicit[i];
            self.prepared[i] = step.liquid.lanes(i, start) * self.height;
            self.lagged[i] = liquid.lanes(i, start);
        }
    }

    /// The second half: what follows from both, whatever enters.
    #[inline(always)]
    pub(super) fn renew_coefficients(&mut self, valence: &[u32; N]) {
        let cell = &self.exchange;
        let one = Lanes::all(1.0);
        let (film, kappa, height) = (self.film, self.kappa, self.height);
        let holds = cell.held * height;
        for i in 0..N {
            let (implicit, explicit) = (self.implicit[i], self.explicit[i]);
            let held = holds + implicit;
            let both = one + held * film;
            let coupling = kappa * both;
            let once = self.ratio * cell.selectivity[i];
            let m = if valence[i] == 1 { once } else { self.ratio * once };
            // One division for two reciprocals.
            let exchanged = held + coupling * m;
            let reciprocal = one / (both * exchanged);
            let (inverse, share) = (both * reciprocal, exchanged * reciprocal);
            let free = held * inverse;
            let valence = f64::from(valence[i]);
            let bent = (free + free - one) * valence;
            let balance = self.prepared[i] - explicit + cell.released[i] * height;
            let driven = coupling * cell.drive[i];
            self.balance[i] = balance;
            self.supply[i] = balance + driven;
            self.least[i] = explicit.at_least(Lanes::default()) * self.beyond_most;
            if cell.drive_may_be_negative {
                self.least[i] = self.least[i].at_least(-driven);
            }
            self.held[i] = held;
            self.coupling[i] = coupling;
            self.share[i] = share;
            self.direct[i] = share * film;
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

    /// Take what enters cell `k` of the block through it. A sweep `AHEAD` of the one that counts needs no loading.
    #[inline(always)]
    pub(super) fn pass<const AHEAD: bool>(
        &mut self,
        k: usize,
        sweep: &mut Sweep<N>,
        isotherm: &Isotherm<N>,
    ) -> Result<(), Refusal> {
        let (mut balance, mut supply) = ([0.0; N], [0.0; N]);
        let mut short = false;
        for i in 0..N {
            balance[i] = self.balance[i].0[k] + sweep.entering[i];
            supply[i] = self.supply[i].0[k] + sweep.entering[i];
            short |= balance[i] < self.least[i].0[k];
        }
        if short {
            return self.pass_short(k, sweep, isotherm, &balance);
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
        let newton = (isotherm.capacity - sum) * per_slope;
        // What is not a number is not near either.
        let near = newton.abs() < sweep.last_correction;
        if !near {
            return self.pass_far(k, sweep, isotherm, &balance, &supply, newton);
        }
        let change = newton * (1.0 - newton * (0.5 * sum_curvature * per_slope));
        self.ratio.0[k] *= 1.0 + change * (1.0 + 0.5 * change);
        for i in 0..N {
            let at_guess = self.direct[i].0[k] * balance[i] + self.free[0][i].0[k] * supply[i];
            let more = self.free[1][i].0[k] * supply[i] + change * (self.free[2][i].0[k] * supply[i]);
            let liquid = at_guess + change * more;
            sweep.entering[i] = self.implicit[i].0[k] * liquid + self.explicit[i].0[k];
            self.liquid[i].0[k] = liquid;
            if !AHEAD {
                let bound = bound[i] + change * (slope[i] + 0.5 * change * curvature[i]);
                self.surface[i].0[k] = bound;
                self.loading[i].0[k] = self.exchange.rest[i].0[k] + self.exchange.kappa.0[k] * bound;
            }
        }
        Ok(())
    }

    /// The same for the last cell before a space, which cannot give anything back: an ion that the explicit part of the
    /// outflow would take from there stays in the bed.
    pub(super) fn pass_last(&mut self, k: usize, sweep: &mut Sweep<N>, isotherm: &Isotherm<N>) -> Result<(), Refusal> {
        let (entering, guess) = (sweep.entering, self.ratio);
        self.pass::<false>(k, sweep, isotherm)?;
        // Closing one ion's way out moves the others; each is closed once.
        for _ in 0..N {
            let back: Vec<usize> = (0..N).filter(|i| sweep.entering[*i] < 0.0).collect();
            if back.is_empty() {
                break;
            }
            for i in back {
                (self.implicit[i].0[k], self.explicit[i].0[k]) = (0.0, 0.0);
            }
            (sweep.entering, self.ratio.0[k]) = (entering, guess.0[k]);
            let found = self.ratio;
            self.ratio = guess;
            self.renew_coefficients(&isotherm.valence);
            self.ratio = found;
            self.pass::<false>(k, sweep, isotherm)?;
        }
        Ok(())
    }

    /// The same where the liquid has moved so far from what it was lagged at that the explicit part of the outflow would
    /// take more of an ion than its share: what is beyond goes out in proportion to the new concentration. The change from
    /// the one to the other is gradual, as a search for steadiness asks.
    #[cold]
    #[inline(never)]
    fn pass_short(
        &mut self,
        k: usize,
        sweep: &mut Sweep<N>,
        isotherm: &Isotherm<N>,
        balance: &[f64; N],
    ) -> Result<(), Refusal> {
        let (mut balance, mut supply) = (*balance, [0.0; N]);
        for i in 0..N {
            let outflow = self.explicit[i].0[k].max(0.0);
            if balance[i] < outflow * self.beyond_most {
                let there = balance[i] + outflow;
                if there < 0.0 {
                    sweep.negative = Some(self.place.start + k);
                }
                let explicit = self.most_explicit * there.max(0.0);
                let beyond = outflow - explicit;
                if beyond > 0.0 {
                    self.explicit[i].0[k] = explicit;
                    let implicit = beyond / self.lagged[i].0[k].max(f64::MIN_POSITIVE);
                    self.implicit[i].0[k] += implicit;
                    self.held[i].0[k] += implicit;
                    let both = 1.0 + self.held[i].0[k] * self.film.0[k];
                    self.coupling[i].0[k] = self.kappa.0[k] * both;
                    self.share[i].0[k] = 1.0 / both;
                }
                balance[i] = there.max(0.0) - explicit.min(there.max(0.0));
            }
            supply[i] = balance[i] + self.coupling[i].0[k] * self.exchange.drive[i].0[k];
        }
        if supply.iter().any(|of_ion| *of_ion < 0.0) {
            self.supply_positive(k, &balance, &mut supply);
        }
        self.pass_far(k, sweep, isotherm, &balance, &supply, 0.0)
    }

    /// Beads that draw more of an ion than there is, by what is explicit in their diffusion: they keep as much of that as
    /// leaves no supply negative.
    fn supply_positive(&mut self, k: usize, balance: &[f64; N], supply: &mut [f64; N]) {
        let mut kept = 1.0_f64;
        for i in 0..N {
            let explicit = self.coupling[i].0[k] * self.exchange.explicit_drive[i].0[k];
            if supply[i] < 0.0 && explicit < 0.0 {
                kept = kept.min(self.all_but_rounding * ((supply[i] - explicit) / -explicit).max(0.0));
            }
        }
        self.exchange.keep_share(k, kept);
        for i in 0..N {
            supply[i] = (balance[i] + self.coupling[i].0[k] * self.exchange.drive[i].0[k]).max(0.0);
        }
    }

    /// The same where the guess of rho was not near.
    #[cold]
    #[inline(never)]
    fn pass_far(
        &mut self,
        k: usize,
        sweep: &mut Sweep<N>,
        isotherm: &Isotherm<N>,
        balance: &[f64; N],
        supply: &[f64; N],
        newton: f64,
    ) -> Result<(), Refusal> {
        let held = self.held.map(|row| row.0[k]);
        let coupling = self.coupling.map(|row| row.0[k]);
        let selectivity = self.exchange.selectivity.map(|row| row.0[k]);
        let guess = self.ratio.0[k];
        let nearer = guess * newton.clamp(-1.0, 1.0).exp();
        let from = if nearer.is_finite() && nearer > 0.0 { nearer } else { guess };
        let valence = &isotherm.valence;
        let found = solve_ratio(supply, &held, &coupling, &selectivity, valence, isotherm.capacity, from);
        let (ratio, iterations) = found.ok_or(Refusal::Nonlinear { cell: self.place.start + k })?;
        sweep.more_iterations += u64::from(iterations);
        self.ratio.0[k] = ratio;
        for i in 0..N {
            let m = selectivity[i] * power(ratio, valence[i]);
            let at_surface = supply[i] / (held[i] + coupling[i] * m);
            let liquid = self.share[i].0[k] * (self.film.0[k] * balance[i] + at_surface);
            sweep.entering[i] = self.implicit[i].0[k] * liquid + self.explicit[i].0[k];
            self.liquid[i].0[k] = liquid;
            self.surface[i].0[k] = m * at_surface;
            self.loading[i].0[k] = self.exchange.rest[i].0[k] + self.exchange.kappa.0[k] * m * at_surface;
        }
        Ok(())
    }

    pub(super) fn found(&self, first_sweep: bool) -> Found<'_, N> {
        Found { liquid: &self.liquid, surface: &self.surface, first_sweep }
    }

    /// Copy what was found for the liquid and rho into a table of the whole bed.
    #[inline(always)]
    pub(super) fn store(&self, liquid: &mut Rows<N>, ratio: &mut Rows<1>) {
        write(liquid, &self.liquid, self.place);
        write(ratio, &[self.ratio], self.place);
    }

    /// The same for the loading.
    #[inline(always)]
    pub(super) fn store_loading(&self, loading: &mut Rows<N>) {
        write(loading, &self.loading, self.place);
    }
}
