//! The march where dispersion rules: liquid is carried against the flow too, so that a cell depends on the one ahead.
//!
//! For a known rho everything in a cell is linear, ion by ion: C = P g + C_0, with g what enters it over the step. Let a
//! face's flux be (s + d) C_j + e - d C_(j+1), weighted as in the march, d the dispersive part. With C_(j+1) = P g + C_0,
//! and that flux for g,
//!
//! ```text
//! flux = ((s + d) C_j + e - d C_0)/(1 + P d)
//! ```
//!
//! which depends on its own cell alone. So from the outlet back to the inlet each cell learns what the cells ahead of it
//! will answer (P and C_0, with their rho of the last sweep), and the march then goes along the flow as it always does.
//! Implicit, it holds at any step; a flux against the flow is what the cells ahead can give. What is lagged is their rho
//! alone: at the beds' ends, where cells are thin, it hardly moves over a step. Where the normality differs along the bed it
//! moves most, and a third sweep follows the two (without it an eluting brine's foot is 2 % low at a column Peclet number
//! of 10). So it does where rho has moved between them, as with beads in equilibrium in thin cells.

use crate::bed::cell_block::{CellBlock, Place};
use crate::bed::exchange::Exchange;
use crate::bed::exchange::condensed::LaggedFrom;
use crate::bed::refusal::Refusal;
use crate::bed::solver::march::{Block, Iterate, Sweep};
use crate::bed::solver::system::System;
use crate::bed::transport::Faces;
use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::rows::Rows;
use crate::plan::scheme::Scheme;

/// Normalities that differ by more than this share ask for a third sweep, ...
const UNEQUAL: f64 = 1e-3;
/// ... and so does a rho that moved by more than this share of itself between two, where cells behind it have looked ahead.
const MOVED: f64 = 1e-4;

/// The march with its memory: every block of the bed at once.
#[derive(Debug)]
pub(in crate::bed) struct LookAhead<const N: usize> {
    blocks: Vec<Block<N>>,
}

/// What a cell answers to what enters it, ion by ion: C = P g + C_0.
#[derive(Debug, Clone, Copy)]
struct Answer<const N: usize> {
    per_entering: [f64; N],
    without: [f64; N],
}

impl<const N: usize> Answer<N> {
    /// Of what nobody asks.
    const NONE: Self = Self { per_entering: [0.0; N], without: [0.0; N] };
}

impl<const N: usize> LookAhead<N> {
    pub fn new(scheme: &Scheme, exchange: &mut Exchange<N>, cells: usize) -> Self {
        let blocks = cells.div_ceil(LANES);
        exchange.make_room(blocks);
        Self { blocks: (0..blocks).map(|_| Block::new(scheme, exchange.neutral())).collect() }
    }

    /// Solve the prepared step by sweeping along the flow.
    #[inline(always)]
    pub fn solve(&mut self, mut system: System<'_, N>) -> Result<(), Refusal> {
        let mut all_implicit = false;
        loop {
            let Some(cell) = self.sweeps(&mut system, all_implicit)? else {
                return Ok(());
            };
            if all_implicit {
                return Err(Refusal::Negative { cell });
            }
            // As in the march without a look ahead.
            all_implicit = true;
            system.step.lagged.copy_from(&system.trial.liquid);
            system.step.ratio.copy_from(&system.trial.ratio);
        }
    }

    /// Two sweeps, or three; returns the cell where the last one met something negative.
    #[inline(always)]
    fn sweeps(&mut self, system: &mut System<'_, N>, all_implicit: bool) -> Result<Option<usize>, Refusal> {
        let cells = system.trial.cells();
        let follows_first = system.exchange.follows_first_sweep();
        let faces = system.transport.faces(system.scheme, system.step.weights.h, all_implicit);
        let closely = if follows_first { system.scheme.last_correction } else { system.scheme.last_correction_ahead };
        let first = self.sweep(system, &faces, LaggedFrom::History, closely)?;
        system.exchange.look_again(&system.step.swept, 0..cells)?;
        let mut last = self.sweep(system, &faces, LaggedFrom::LastSweep, system.scheme.last_correction)?;
        let (mut sweeps, mut more) = (2, first.more_iterations + last.more_iterations);
        if unequal(system) || moved(system) {
            system.step.swept.copy_from(&system.trial.liquid);
            system.step.swept_ratio.copy_from(&system.trial.ratio);
            system.exchange.look_again(&system.step.swept, 0..cells)?;
            last = self.sweep(system, &faces, LaggedFrom::LastSweep, system.scheme.last_correction)?;
            (sweeps, more) = (3, more + last.more_iterations);
        }
        system.step.outflow = last.entering;
        let effort = &mut *system.effort;
        effort.sweeps += sweeps;
        effort.equilibria += sweeps * cells as u64;
        effort.equilibrium_iterations += sweeps * cells as u64 + more;
        Ok(last.negative)
    }

    #[inline(always)]
    fn sweep(
        &mut self,
        system: &mut System<'_, N>,
        faces: &Faces<'_, N>,
        from: LaggedFrom,
        last_correction: f64,
    ) -> Result<Sweep<N>, Refusal> {
        let System { transport, exchange, step, now, trial, space_follows, .. } = system;
        let cells = trial.cells();
        let isotherm = exchange.isotherm;
        let is_first = from == LaggedFrom::History;
        let follows_first = exchange.follows_first_sweep();
        let (liquid, ratio) = match from {
            LaggedFrom::History => (&step.lagged, &step.ratio),
            LaggedFrom::LastSweep => (&step.swept, &step.swept_ratio),
        };
        let iterate = Iterate {
            step,
            cell_m: transport.cell_m,
            faces,
            spacing: &transport.spacing,
            old: &now.liquid,
            liquid,
            ratio,
            from,
        };
        let conductance = transport.conductances.implicit.row(0);
        let mut ahead = Answer::NONE;
        for (slot, block) in self.blocks.iter_mut().enumerate().rev() {
            block.place = Place::up_to(slot, slot * LANES, cells);
            block.renew_fluxes(&iterate, exchange);
            ahead = look_ahead(block, &iterate, &isotherm.valence, &transport.conductances.implicit, ahead);
            block.renew_coefficients(&isotherm.valence);
            block.owe_to_beads(conductance);
        }
        let mut sweep = Sweep::new(step.inflow, last_correction);
        for block in &mut self.blocks {
            let Place { start, cells: in_block, .. } = block.place;
            for k in 0..in_block {
                if *space_follows && start + k == cells - 1 {
                    block.pass_last(k, &mut sweep, &isotherm)?;
                } else if is_first && !follows_first {
                    block.pass::<true>(k, &mut sweep, &isotherm)?;
                } else {
                    block.pass::<false>(k, &mut sweep, &isotherm)?;
                }
                block.stay_positive(k, conductance, &mut sweep);
            }
            if is_first {
                block.store(&mut step.swept, &mut step.swept_ratio);
            } else {
                block.store(&mut trial.liquid, &mut trial.ratio);
            }
            if !is_first || follows_first {
                block.store_loading(&mut trial.loading);
                exchange.keep(block.place, &block.exchange, &block.found(is_first), &mut trial.loading);
            }
        }
        Ok(sweep)
    }
}

/// Does the normality differ along the bed, or from what enters?
#[inline(always)]
fn unequal<const N: usize>(system: &System<'_, N>) -> bool {
    let entering: f64 = system.transport.inlet.iter().sum();
    let bounds = system.now.normality.row(0).iter().fold((entering, entering), |(least, most), n| {
        (if *n < least { *n } else { least }, if *n > most { *n } else { most })
    });
    bounds.1 > bounds.0 * (1.0 + UNEQUAL)
}

/// Did the last sweep find another rho than the one that cells behind it looked ahead with?
#[inline(always)]
fn moved<const N: usize>(system: &System<'_, N>) -> bool {
    let conductance = system.transport.conductances.implicit.row(0);
    let found = system.trial.ratio.row(0).iter().zip(system.step.swept_ratio.row(0));
    found.zip(conductance).any(|((now, before), d)| *d > 0.0 && (now - before).abs() > MOVED * before)
}

/// Put what the cells ahead answer into the fluxes out of a block; `ahead` is the first cell of the next one, and what the
/// first cell of this one answers comes back.
///
/// With D the weighted conductance to the cell ahead, H what a cell holds per liquid concentration and b its balance before
/// the flux out of it, everything times A = 1 + P D is linear in the P of the cell ahead:
///
/// ```text
/// A held = H A + s + D,    A both = A + F A held,    A exchanged = A held + kappa m A both,    A balance = b A - e + D C_0
/// Y = A + F A exchanged,   P' = A Y/(A both A exchanged),   C_0' = (A balance Y + kappa d A both A)/(A both A exchanged)
/// ```
///
/// A cell waits for the one ahead with one division.
#[inline(always)]
fn look_ahead<const N: usize>(
    block: &mut Block<N>,
    iterate: &Iterate<'_, N>,
    valence: &[u32; N],
    conductance: &Rows<1>,
    ahead: Answer<N>,
) -> Answer<N> {
    let Place { start, cells, .. } = block.place;
    let asks = &conductance.row(0)[start.saturating_sub(1)..start + cells];
    if asks.iter().all(|conductance| *conductance == 0.0) {
        return Answer::NONE;
    }
    let linear = Linear::of(block, iterate, valence, conductance.lanes(0, start));
    let (mut scale, mut without) = ([Lanes::all(1.0); N], [Lanes::default(); N]);
    let mut ahead = ahead;
    for k in (0..cells).rev() {
        for i in 0..N {
            let (p, c) = (ahead.per_entering[i], ahead.without[i]);
            let at = |pair: &[CellBlock<N>; 2]| pair[0][i].0[k] + pair[1][i].0[k] * p;
            let (both, exchanged, y) = (at(&linear.both), at(&linear.exchanged), at(&linear.y));
            let conductance = linear.conductance[i].0[k];
            let a = 1.0 + conductance * p;
            let balance = linear.balance[0][i].0[k] + (linear.balance[1][i].0[k] * p + conductance * c);
            let per = 1.0 / (both * exchanged);
            (scale[i].0[k], without[i].0[k]) = (a, c);
            ahead.per_entering[i] = a * y * per;
            ahead.without[i] = (balance * y + linear.driven[i].0[k] * (both * a)) * per;
        }
    }
    for i in 0..N {
        let kept = Lanes::all(1.0) / scale[i];
        block.implicit[i] = kept * (block.implicit[i] + linear.conductance[i]);
        block.explicit[i] = kept * (block.explicit[i] - linear.conductance[i] * without[i]);
    }
    ahead
}

/// The numbers of a block that a look ahead needs: what does not depend on the cells ahead, and where there are two, what is
/// to be multiplied by their P.
struct Linear<const N: usize> {
    conductance: CellBlock<N>,
    both: [CellBlock<N>; 2],
    exchanged: [CellBlock<N>; 2],
    y: [CellBlock<N>; 2],
    balance: [CellBlock<N>; 2],
    /// kappa d.
    driven: CellBlock<N>,
}

impl<const N: usize> Linear<N> {
    #[inline(always)]
    fn of(block: &Block<N>, iterate: &Iterate<'_, N>, valence: &[u32; N], conductance: Lanes) -> Self {
        let (start, step, cell) = (block.place.start, iterate.step, &block.exchange);
        let (one, film, kappa) = (Lanes::all(1.0), block.film, block.kappa);
        let holds = cell.held * block.height;
        let common_weight = Lanes::all(step.weights.theta / iterate.cell_m);
        let none = [Lanes::default(); N];
        let mut linear = Self {
            conductance: none,
            both: [none; 2],
            exchanged: [none; 2],
            y: [none; 2],
            balance: [none; 2],
            driven: none,
        };
        for i in 0..N {
            let weight = if step.blended { step.flux_weight.lanes(i, start + 1) } else { common_weight };
            let d = weight * conductance;
            let once = block.ratio * cell.selectivity[i];
            let m = if valence[i] == 1 { once } else { block.ratio * once };
            let held = [holds + block.implicit[i] + d, holds * d];
            let both = [one + film * held[0], d + film * held[1]];
            let bound = kappa * m;
            let exchanged = [held[0] + bound * both[0], held[1] + bound * both[1]];
            let balance = block.prepared[i] + cell.released[i] * block.height;
            linear.conductance[i] = d;
            (linear.both[0][i], linear.both[1][i]) = (both[0], both[1]);
            (linear.exchanged[0][i], linear.exchanged[1][i]) = (exchanged[0], exchanged[1]);
            (linear.y[0][i], linear.y[1][i]) = (one + film * exchanged[0], d + film * exchanged[1]);
            (linear.balance[0][i], linear.balance[1][i]) = (balance - block.explicit[i], balance * d);
            linear.driven[i] = kappa * cell.drive[i];
        }
        linear
    }
}

impl<const N: usize> Block<N> {
    /// What a flux against the flow takes from a cell may come out of its beads: there it is the supply that must not turn
    /// negative, not what the liquid had.
    #[inline(always)]
    fn owe_to_beads(&mut self, conductance: &[f64]) {
        let Place { start, cells, .. } = self.place;
        for k in 0..cells {
            if touches(conductance, start + k) {
                for i in 0..N {
                    let driven = self.coupling[i].0[k] * self.exchange.drive[i].0[k];
                    self.least[i].0[k] = f64::min(-driven, 0.0);
                }
            }
        }
    }

    /// Look whether a flux against the flow has emptied a cell: then the sweep is an iterate, not a step.
    #[inline(always)]
    fn stay_positive(&mut self, k: usize, conductance: &[f64], sweep: &mut Sweep<N>) {
        let cell = self.place.start + k;
        if touches(conductance, cell) {
            for i in 0..N {
                if self.liquid[i].0[k] < 0.0 {
                    self.liquid[i].0[k] = 0.0;
                    sweep.negative = Some(cell);
                }
            }
        }
    }
}

/// Does dispersion look ahead from this cell, or to it?
#[inline(always)]
fn touches(conductance: &[f64], cell: usize) -> bool {
    conductance[cell] > 0.0 || cell > 0 && conductance[cell - 1] > 0.0
}
