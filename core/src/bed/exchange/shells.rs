//! Inside the beads: Nernst-Planck diffusion between shells, condensed cell by cell to what the surface feels.
//!
//! The fluxes between shells are those of [`crate::bed::exchange::nernst_planck`]: one diffusivity D^ for all ions, implicitly, and
//! a rest r from the last look at the profile.
//!
//! What is left in r is explicit, so that it could ask for more of an ion than a shell or the liquid has. Then just as much
//! of it is left out in that cell, for all ions alike, as keeps each of them positive; what stays is still exact in its sums.
//!
//! One D^ for all ions makes one tridiagonal elimination serve them all, from the centre outwards, for a block of cells
//! at a time. What is left at the surface has the form of the linear driving force: q* the surface's loading, the mean
//! gains kappa (q* - d). Beads of several sizes lie behind one film, at one surface loading: their kappa add up.

use crate::bed::cell_block::{CellBlock, Place, write};
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::exchange::nernst_planck::NernstPlanck;
use crate::bed::exchange::store::{Beginning, Store};
use crate::bed::state::State;
use crate::bed::time_step::BlockWeights;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::{LANES, Lanes, largest, widest};
use crate::numerics::rows::Rows;
use crate::plan::beads::{Inside, OfSize};
use crate::plan::model::Model;

/// The beads along the bed, cut into shells.
#[derive(Debug, Clone)]
pub(super) struct Shells<const N: usize> {
    sizes: Vec<Size<N>>,
    /// Of each block, by size.
    eliminated: Vec<Vec<Eliminated<N>>>,
}

/// Shells of the beads of one size.
#[derive(Debug, Clone)]
struct Size<const N: usize> {
    /// Share of the resin that is of this size.
    share: f64,
    volume: Vec<f64>,
    conductance: Vec<f64>,
    diffusion: NernstPlanck<N>,
    /// Share of what is there that rounding does not carry below zero.
    all_but_rounding: f64,
    lagged_range: [f64; 2],
    /// Loadings by shell, from the centre outwards, the surface last: now and at the ends of the two steps before.
    now: Vec<Rows<N>>,
    before: [Vec<Rows<N>>; 2],
    trial: Vec<Rows<N>>,
    /// How far each cell of a history lies below zero.
    below: Vec<f64>,
}

/// The shells of beads of one size, eliminated from the centre outwards: q_s = alpha + gamma q_(s+1).
#[derive(Debug, Clone)]
struct Eliminated<const N: usize> {
    alpha: Vec<CellBlock<N>>,
    gamma: Vec<Lanes>,
    kappa: Lanes,
    drive: CellBlock<N>,
    /// What the rest r has in alpha and in drive.
    rest: Vec<CellBlock<N>>,
    rest_drive: CellBlock<N>,
    /// Share of the rest that is kept.
    kept: Lanes,
}

impl<const N: usize> Default for Eliminated<N> {
    fn default() -> Self {
        let none = Lanes::default();
        Self {
            alpha: Vec::new(),
            gamma: Vec::new(),
            kappa: none,
            drive: [none; N],
            rest: Vec::new(),
            rest_drive: [none; N],
            kept: Lanes::all(1.0),
        }
    }
}

impl<const N: usize> Eliminated<N> {
    /// Keep just as much of the rest as leaves no shell negative; alpha is still without it.
    #[cold]
    #[inline(never)]
    fn keep_positive(&mut self, all_but_rounding: f64) {
        for (alpha, rest) in self.alpha.iter().zip(&self.rest) {
            for i in 0..N {
                for k in 0..LANES {
                    let (without, more) = (alpha[i].0[k], rest[i].0[k]);
                    if without + more < 0.0 {
                        self.kept.0[k] = self.kept.0[k].min(all_but_rounding * (without / -more).max(0.0));
                    }
                }
            }
        }
    }

    fn keep(&mut self, k: usize, share: f64) {
        for (alpha, rest) in self.alpha.iter_mut().zip(&self.rest) {
            for i in 0..N {
                alpha[i].0[k] -= (1.0 - share) * rest[i].0[k];
            }
        }
    }
}

impl<const N: usize> Shells<N> {
    /// The beads of a model whose kinetics are radial.
    pub fn store(begins: &Beginning<'_, N>) -> Option<Box<dyn Store<N>>> {
        let Beginning { model, state, .. } = begins;
        let inside = model.inside.as_ref().filter(|inside| inside.sphere.at_surface == 0.0)?;
        let rows = state.inside.chunks_exact(inside.sphere.volume.len() + 1);
        let sizes = inside.sizes.iter().zip(rows).map(|(size, rows)| Size::new(model, inside, size, rows));
        Some(Box::new(Self { sizes: sizes.collect(), eliminated: Vec::new() }))
    }
}

impl<const N: usize> Store<N> for Shells<N> {
    fn make_room(&mut self, slots: usize) {
        self.eliminated = vec![vec![Eliminated::default(); self.sizes.len()]; slots];
    }

    fn prepare(&mut self, weights: &Weights) -> f64 {
        widest(
            #[inline(always)]
            || self.sizes.iter_mut().map(|size| size.lowest_history(weights)).fold(0.0, f64::min),
        )
    }

    fn most_history(&self, weights: &Weights, j: usize) -> f64 {
        self.sizes.iter().map(|size| size.most_history(weights, j)).fold(1.0, f64::min)
    }

    /// The explicit rest is taken from the profile that the first sweep found.
    fn follows_first_sweep(&self) -> bool {
        true
    }

    /// Eliminate the shells.
    fn condense(
        &mut self,
        weights: &BlockWeights,
        _liquid: &Rows<N>,
        lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        let eliminated = &mut self.eliminated[place.slot];
        widest(
            #[inline(always)]
            || {
                for (size, eliminated) in self.sizes.iter().zip(eliminated.iter_mut()) {
                    size.eliminate(weights, lagged_from, place.start, eliminated);
                }
            },
        );
        out.drive_may_be_negative = true;
        if let [only] = &eliminated[..] {
            (out.kappa, out.drive, out.explicit_drive) = (only.kappa, only.drive, only.rest_drive);
            return;
        }
        let none = Lanes::default();
        (out.kappa, out.drive, out.explicit_drive) = (none, [none; N], [none; N]);
        for (size, eliminated) in self.sizes.iter().zip(eliminated.iter()) {
            let kappa = eliminated.kappa * size.share;
            out.kappa = out.kappa + kappa;
            for i in 0..N {
                out.drive[i] = out.drive[i] + kappa * eliminated.drive[i];
                out.explicit_drive[i] = out.explicit_drive[i] + kappa * eliminated.rest_drive[i];
            }
        }
        let per_kappa = Lanes::all(1.0) / out.kappa;
        for i in 0..N {
            out.drive[i] = out.drive[i] * per_kappa;
            out.explicit_drive[i] = out.explicit_drive[i] * per_kappa;
        }
    }

    /// What the shells hold, from what was found at their surface, and into `loading` what they hold together: summed from
    /// positive parts, where a running sum would keep the rounding of what has left.
    fn keep(&mut self, place: Place, condensed: &Condensed<N>, found: &Found<'_, N>, loading: &mut Rows<N>) {
        if place.cells == 0 {
            return;
        }
        let eliminated = &mut self.eliminated[place.slot];
        for (k, share) in condensed.kept.0.iter().enumerate().filter(|(_, share)| **share < 1.0) {
            eliminated.iter_mut().for_each(|size| size.keep(k, *share));
        }
        let mut sum = [Lanes::default(); N];
        widest(
            #[inline(always)]
            || {
                for (size, eliminated) in self.sizes.iter_mut().zip(eliminated.iter()) {
                    size.store(eliminated, found.surface, place, &mut sum);
                }
                write(loading, &sum, place);
            },
        );
    }

    fn accept(&mut self) {
        for size in &mut self.sizes {
            let [last, earlier] = &mut size.before;
            std::mem::swap(last, earlier);
            std::mem::swap(&mut size.now, last);
            std::mem::swap(&mut size.now, &mut size.trial);
        }
    }

    fn surface(&self, j: usize) -> Option<[f64; N]> {
        let size = self.sizes.first()?;
        Some(size.now[size.shells()].at(j))
    }

    /// By size and shell; shape (sizes x (shells + 1), cells).
    fn write(&self, state: &mut State<N>) {
        state.inside = self.sizes.iter().flat_map(|size| &size.now).map(Rows::to_columns).collect();
    }
}

impl<const N: usize> Size<N> {
    fn new(model: &Model, inside: &Inside, size: &OfSize, rows: &[Vec<[f64; N]>]) -> Self {
        let scheme = &model.scheme;
        let now: Vec<Rows<N>> = rows.iter().map(|shell| Rows::from_columns(shell)).collect();
        Self {
            share: size.share,
            volume: inside.sphere.volume.clone(),
            conductance: inside.sphere.conductance.clone(),
            diffusion: NernstPlanck::new(model, &size.per_s, scheme.shells_least_share),
            all_but_rounding: 1.0 - scheme.rounding,
            lagged_range: scheme.lagged_range,
            before: [now.clone(), now.clone()],
            trial: now.clone(),
            below: vec![0.0; now[0].length()],
            now,
        }
    }

    /// Shells, without the surface.
    fn shells(&self) -> usize {
        self.volume.len()
    }

    #[inline(always)]
    fn lowest_history(&mut self, weights: &Weights) -> f64 {
        let shells = self.shells();
        let Self { now, before: [last, earlier], below, .. } = self;
        let mut most_below = 0.0_f64;
        for s in 0..shells {
            for i in 0..N {
                let q = now[s].row(i);
                let (q1, q2) = (&last[s].row(i)[..q.len()], &earlier[s].row(i)[..q.len()]);
                let below = &mut below[..q.len()];
                for j in 0..q.len() {
                    below[j] = -(q[j] + weights.of_history(q[j] - q1[j], q1[j] - q2[j]));
                }
                most_below = largest(below, most_below);
            }
        }
        -most_below
    }

    fn most_history(&self, weights: &Weights, j: usize) -> f64 {
        let [last, earlier] = &self.before;
        let mut share = 1.0_f64;
        for s in 0..self.shells() {
            for i in 0..N {
                let (q, q1, q2) = (self.now[s].row(i)[j], last[s].row(i)[j], earlier[s].row(i)[j]);
                let more = weights.of_history(q - q1, q1 - q2);
                if q + more < 0.0 {
                    share = share.min((-q / more).max(0.0));
                }
            }
        }
        share
    }

    #[inline(always)]
    fn lagged(&self, from: LaggedFrom, linear: f64, s: usize, i: usize, start: usize) -> Lanes {
        match from {
            LaggedFrom::LastSweep => self.trial[s].lanes(i, start),
            LaggedFrom::History => {
                let (q, before) = (self.now[s].lanes(i, start), self.before[0][s].lanes(i, start));
                let [low, high] = self.lagged_range;
                (q + (q - before) * linear).at_least(q * low).at_most(q * high)
            }
        }
    }

    #[inline(always)]
    fn eliminate(&self, step: &BlockWeights, lagged_from: LaggedFrom, start: usize, out: &mut Eliminated<N>) {
        let shells = self.shells();
        out.alpha.resize(shells, [Lanes::default(); N]);
        out.gamma.resize(shells, Lanes::default());
        out.rest.resize(if self.diffusion.fick { 0 } else { shells }, [Lanes::default(); N]);
        out.kept = Lanes::all(1.0);
        let weights = &step.weights;
        let (zero, one) = (Lanes::default(), Lanes::all(1.0));
        let (theta, history_weight) = step.blended.unwrap_or((Lanes::all(weights.theta), one));
        let [last, earlier] = &self.before;
        // Of the face within: implicit weight, and what the rest carries through it.
        let mut within = zero;
        let mut rest_within = [zero; N];
        let mut before = [zero; N];
        let mut rest_before = [zero; N];
        let mut lowest = zero;
        let mut here = [zero; N];
        // 1 - gamma of the shell within, by itself: the difference would lose it.
        let mut bound = zero;
        if !self.diffusion.fick {
            for i in 0..N {
                here[i] = self.lagged(lagged_from, weights.linear, 0, i, start);
            }
        }
        for s in 0..shells {
            let k = theta * self.conductance[s];
            let (mut outward, mut rest) = (k * self.diffusion.diffusivity[0], [zero; N]);
            if !self.diffusion.fick {
                let mut ahead = [zero; N];
                for i in 0..N {
                    ahead[i] = self.lagged(lagged_from, weights.linear, s + 1, i, start);
                }
                let (common, flux) = self.diffusion.face(&here, &ahead);
                outward = k * common;
                for i in 0..N {
                    rest[i] = k * flux[i];
                }
                here = ahead;
            }
            let volume = Lanes::all(self.volume[s]);
            let held = volume + within * bound;
            let per = one / (held + outward);
            let alpha = &mut out.alpha[s];
            for i in 0..N {
                let (q, q1, q2) = (self.now[s].lanes(i, start), last[s].lanes(i, start), earlier[s].lanes(i, start));
                let more = (q - q1) * weights.p[0] + (q1 - q2) * weights.p[1];
                let history =
                    if step.blended.is_some() { (q + history_weight * more).at_least(zero) } else { q + more };
                alpha[i] = (volume * history + within * before[i]) * per;
            }
            if !self.diffusion.fick {
                let carried = &mut out.rest[s];
                for i in 0..N {
                    carried[i] = (rest[i] - rest_within[i] + within * rest_before[i]) * per;
                    lowest = lowest.at_most(alpha[i] + carried[i]);
                }
                rest_before = *carried;
            }
            out.gamma[s] = outward * per;
            bound = held * per;
            (within, rest_within, before) = (outward, rest, *alpha);
        }
        out.kappa = within * bound;
        let per_kappa = one / out.kappa;
        for i in 0..N {
            out.drive[i] = within * before[i] * per_kappa;
        }
        if self.diffusion.fick {
            return;
        }
        if lowest.any_below(zero) {
            out.keep_positive(self.all_but_rounding);
        }
        for i in 0..N {
            out.rest_drive[i] = (within * rest_before[i] - rest_within[i]) * per_kappa * out.kept;
            out.drive[i] = out.drive[i] + out.rest_drive[i];
        }
        for (alpha, rest) in out.alpha.iter_mut().zip(&mut out.rest) {
            for i in 0..N {
                rest[i] = rest[i] * out.kept;
                alpha[i] = alpha[i] + rest[i];
            }
        }
        out.kept = one;
    }

    #[inline(always)]
    fn store(&mut self, eliminated: &Eliminated<N>, surface: &CellBlock<N>, place: Place, sum: &mut CellBlock<N>) {
        let mut outside = *surface;
        let shells = self.shells();
        write(&mut self.trial[shells], &outside, place);
        for s in (0..shells).rev() {
            for i in 0..N {
                outside[i] = eliminated.alpha[s][i] + eliminated.gamma[s] * outside[i];
                sum[i] = sum[i] + outside[i] * (self.volume[s] * self.share);
            }
            write(&mut self.trial[s], &outside, place);
        }
    }
}
