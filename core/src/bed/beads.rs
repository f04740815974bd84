//! Inside the beads: Nernst-Planck diffusion between shells, condensed cell by cell to what the surface feels.
//!
//! With q \[eq per litre of bed\], charges z, diffusivities D and no net current, the flux of an ion is (F. Helfferich 1962,
//! *Ion Exchange*, ch. 6, from memory)
//!
//! ```text
//! J_i = -D_i (dq_i/dr + z_i q_i F),    F = -sum(D_j dq_j/dr)/sum(z_j D_j q_j)
//! J_i = -D_i dq_i/dr + w_i sum(D_j dq_j/dr),    w_i = z_i D_i q_i/sum(z_j D_j q_j)
//! ```
//!
//! Fluxes sum to 0, so the sum of q stays Q in every shell. That must survive the linearisation. So at each face one
//! diffusivity D^ is taken for all ions, implicitly, and the rest from the last look at the profile:
//!
//! ```text
//! J_i = -D^ dq_i/dr - r_i,    r_i = (D_i - D^) dq_i/dr - w_i sum(D_j dq_j/dr)
//! ```
//!
//! The sum of the r is 0 as they stand, the sum of the first terms by the equation itself. D^ is the one that leaves least
//! in r: for two ions it is their interdiffusion coefficient and r vanishes, for equal diffusivities it is Fick's law. It is
//! kept above half of the largest eigenvalue that the face can have, so that looking again (two sweeps, and step after
//! step) converges.
//!
//! What is left in r is explicit, so that it could ask for more of an ion than a shell or the liquid has. Then just as much
//! of it is left out in that cell, for all ions alike, as keeps each of them positive; what stays is still exact in its sums.
//!
//! One D^ for all ions makes one tridiagonal elimination serve them all, from the centre outwards, for a stretch of cells
//! at a time. What is left at the surface has the form of the linear driving force: q* the surface's loading, the mean
//! gains kappa (q* - drive). Beads of several sizes lie behind one film, at one surface loading: their kappa add up.

use crate::bed::model::{Inside, Model, OfSize};
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::{LANES, Lanes, widest};
use crate::numerics::rows::Rows;

use super::faces::Stretch;

/// D^ is at least this share of the face's largest eigenvalue: below a half, looking again would not converge.
const LEAST_SHARE: f64 = 0.55;
/// Squares of gradients below this count as none.
const FLAT: f64 = 1e-24;
/// Of the share that would leave nothing.
const ALL_BUT_ROUNDING: f64 = 1.0 - 1e-9;

/// The beads along the bed.
#[derive(Debug, Clone)]
pub(super) struct Beads<const N: usize> {
    sizes: Vec<Size<N>>,
}

/// Shells of the beads of one size.
#[derive(Debug, Clone)]
struct Size<const N: usize> {
    /// Share of the resin that is of this size.
    share: f64,
    volume: Vec<f64>,
    conductance: Vec<f64>,
    /// D/R^2 \[1/s\].
    diffusivity: [f64; N],
    charged: [f64; N],
    /// Are all the same?
    fick: bool,
    largest: f64,
    /// Sum of the two largest.
    largest_two: f64,
    flat: f64,
    /// Loadings by shell, from the centre outwards, the surface last: now and at the ends of the two steps before.
    now: Vec<Rows<N>>,
    before: [Vec<Rows<N>>; 2],
    trial: Vec<Rows<N>>,
}

/// Which look at the profile the rest r is taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Look {
    /// Where it goes if it goes on as it did.
    Ahead,
    /// What the last sweep found.
    Trial,
}

/// What the surface of the beads of a stretch of cells feels.
#[derive(Debug, Clone)]
pub(super) struct Condensed<const N: usize> {
    sizes: Vec<Eliminated<N>>,
    /// Share of q* - drive that the mean loading gains over the step.
    pub kappa: Lanes,
    /// Loading that drives the exchange.
    pub drive: Stretch<N>,
    /// What the rest r has in drive.
    pub rest_drive: Stretch<N>,
}

impl<const N: usize> Default for Condensed<N> {
    fn default() -> Self {
        let none = Lanes::default();
        Self { sizes: Vec::new(), kappa: none, drive: [none; N], rest_drive: [none; N] }
    }
}

/// The shells of beads of one size, eliminated from the centre outwards: q_s = alpha + gamma q_(s+1).
#[derive(Debug, Clone)]
struct Eliminated<const N: usize> {
    alpha: Vec<Stretch<N>>,
    gamma: Vec<Lanes>,
    kappa: Lanes,
    drive: Stretch<N>,
    /// What the rest r has in alpha and in drive.
    rest: Vec<Stretch<N>>,
    rest_drive: Stretch<N>,
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

/// How a step weighs the history of the cells of a stretch.
#[derive(Debug, Clone, Copy)]
pub(super) struct StepWeights {
    pub weights: Weights,
    /// Weight of the new rate and share of the history that is remembered; `None` where that is all of it.
    pub blended: Option<(Lanes, Lanes)>,
}

impl<const N: usize> Condensed<N> {
    /// Keep this share of the rest in cell `k`, no more.
    pub fn keep(&mut self, k: usize, share: f64) {
        for i in 0..N {
            self.drive[i].0[k] -= (1.0 - share) * self.rest_drive[i].0[k];
        }
        self.sizes.iter_mut().for_each(|size| size.keep(k, share));
    }
}

impl<const N: usize> Eliminated<N> {
    /// Keep just as much of the rest as leaves no shell negative; alpha is still without it.
    #[cold]
    #[inline(never)]
    fn keep_positive(&mut self) {
        for (alpha, rest) in self.alpha.iter().zip(&self.rest) {
            for i in 0..N {
                for k in 0..LANES {
                    let (without, more) = (alpha[i].0[k], rest[i].0[k]);
                    if without + more < 0.0 {
                        self.kept.0[k] = self.kept.0[k].min(ALL_BUT_ROUNDING * (without / -more).max(0.0));
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

impl<const N: usize> Beads<N> {
    /// The beads of a model whose kinetics are radial; `inside` by size and shell, shape (sizes x (shells + 1), cells).
    pub fn new(model: &Model, inside: &[Vec<[f64; N]>]) -> Option<Self> {
        let found = model.inside.as_ref()?;
        let rows = inside.chunks_exact(found.sphere.volume.len() + 1);
        let sizes = found.sizes.iter().zip(rows);
        let capacity = model.capacity;
        Some(Self { sizes: sizes.map(|(size, rows)| Size::new(found, size, &model.valence, capacity, rows)).collect() })
    }

    /// Lowest loading that the history of any shell extrapolates to.
    #[inline(always)]
    pub fn lowest_history(&self, weights: &Weights) -> f64 {
        self.sizes.iter().map(|size| size.lowest_history(weights)).fold(0.0, f64::min)
    }

    /// Share of its history that a cell may remember so that no shell of it turns negative.
    pub fn share_remembered(&self, weights: &Weights, j: usize) -> f64 {
        self.sizes.iter().map(|size| size.share_remembered(weights, j)).fold(1.0, f64::min)
    }

    /// Eliminate the shells of the cells from `start`.
    #[inline(never)]
    pub fn condense(&self, step: &StepWeights, look: Look, start: usize, out: &mut Condensed<N>) {
        out.sizes.resize(self.sizes.len(), Eliminated::default());
        widest(
            #[inline(always)]
            || {
                for (size, eliminated) in self.sizes.iter().zip(&mut out.sizes) {
                    size.eliminate(step, look, start, eliminated);
                }
            },
        );
        if let [only] = &out.sizes[..] {
            (out.kappa, out.drive, out.rest_drive) = (only.kappa, only.drive, only.rest_drive);
            return;
        }
        let none = Lanes::default();
        (out.kappa, out.drive, out.rest_drive) = (none, [none; N], [none; N]);
        for (size, eliminated) in self.sizes.iter().zip(&out.sizes) {
            let kappa = eliminated.kappa * size.share;
            out.kappa = out.kappa + kappa;
            for i in 0..N {
                out.drive[i] = out.drive[i] + kappa * eliminated.drive[i];
                out.rest_drive[i] = out.rest_drive[i] + kappa * eliminated.rest_drive[i];
            }
        }
        let per_kappa = Lanes::all(1.0) / out.kappa;
        for i in 0..N {
            out.drive[i] = out.drive[i] * per_kappa;
            out.rest_drive[i] = out.rest_drive[i] * per_kappa;
        }
    }

    /// Write down what the shells of the cells from `start` hold, from what was found at their surface, and into `mean`
    /// what they hold together: summed from positive parts, where a running sum would keep the rounding of what has left.
    #[inline(never)]
    pub fn store(
        &mut self,
        condensed: &Condensed<N>,
        surface: &Stretch<N>,
        start: usize,
        cells: usize,
        mean: &mut Rows<N>,
    ) {
        let mut sum = [Lanes::default(); N];
        widest(
            #[inline(always)]
            || {
                for (size, eliminated) in self.sizes.iter_mut().zip(&condensed.sizes) {
                    size.store(eliminated, surface, start, cells, &mut sum);
                }
                write(mean, &sum, start, cells);
            },
        );
    }

    /// Take the trial.
    pub fn accept(&mut self) {
        for size in &mut self.sizes {
            let [last, earlier] = &mut size.before;
            std::mem::swap(last, earlier);
            std::mem::swap(&mut size.now, last);
            std::mem::swap(&mut size.now, &mut size.trial);
        }
    }

    /// Loading at the surface of the beads of cell `j`, now.
    pub fn surface_at(&self, j: usize) -> [f64; N] {
        self.sizes[0].now[self.sizes[0].shells()].at(j)
    }

    /// Loadings now, by size and shell; shape (sizes x (shells + 1), cells).
    pub fn inside(&self) -> Vec<Vec<[f64; N]>> {
        self.sizes.iter().flat_map(|size| &size.now).map(Rows::to_columns).collect()
    }
}

impl<const N: usize> Size<N> {
    fn new(found: &Inside, size: &OfSize, valence: &[u32], capacity: f64, rows: &[Vec<[f64; N]>]) -> Self {
        let now: Vec<Rows<N>> = rows.iter().map(|shell| Rows::from_columns(shell)).collect();
        let diffusivity: [f64; N] = std::array::from_fn(|i| size.per_s[i]);
        let mut sorted = diffusivity;
        sorted.sort_by(f64::total_cmp);
        Self {
            share: size.share,
            volume: found.sphere.volume.clone(),
            conductance: found.sphere.conductance.clone(),
            diffusivity,
            charged: std::array::from_fn(|i| f64::from(valence[i]) * diffusivity[i]),
            fick: sorted[N - 1] <= sorted[0] * (1.0 + 1e-12),
            largest: sorted[N - 1],
            largest_two: sorted[N - 1] + if N > 1 { sorted[N - 2] } else { 0.0 },
            flat: FLAT * capacity * capacity,
            before: [now.clone(), now.clone()],
            trial: now.clone(),
            now,
        }
    }

    /// Shells, without the surface.
    fn shells(&self) -> usize {
        self.volume.len()
    }

    #[inline(always)]
    fn lowest_history(&self, weights: &Weights) -> f64 {
        let [last, earlier] = &self.before;
        let cells = self.now[0].length();
        let mut lowest = 0.0_f64;
        for s in 0..self.shells() {
            for i in 0..N {
                let (q, q1, q2) = (self.now[s].row(i), &last[s].row(i)[..cells], &earlier[s].row(i)[..cells]);
                let most = crate::numerics::lanes::largest(cells, -lowest, |j| {
                    -(q[j] + weights.remembered(q[j] - q1[j], q1[j] - q2[j]))
                });
                lowest = -most;
            }
        }
        lowest
    }

    fn share_remembered(&self, weights: &Weights, j: usize) -> f64 {
        let [last, earlier] = &self.before;
        let mut share = 1.0_f64;
        for s in 0..self.shells() {
            for i in 0..N {
                let (q, q1, q2) = (self.now[s].row(i)[j], last[s].row(i)[j], earlier[s].row(i)[j]);
                let more = weights.remembered(q - q1, q1 - q2);
                if q + more < 0.0 {
                    share = share.min((-q / more).max(0.0));
                }
            }
        }
        share
    }

    #[inline(always)]
    fn look(&self, look: Look, linear: f64, s: usize, i: usize, start: usize) -> Lanes {
        match look {
            Look::Trial => self.trial[s].lanes(i, start),
            Look::Ahead => {
                let (q, before) = (self.now[s].lanes(i, start), self.before[0][s].lanes(i, start));
                (q + (q - before) * linear).at_least(q * 0.25).at_most(q * 4.0)
            }
        }
    }

    #[inline(always)]
    fn eliminate(&self, step: &StepWeights, look: Look, start: usize, out: &mut Eliminated<N>) {
        let shells = self.shells();
        out.alpha.resize(shells, [Lanes::default(); N]);
        out.gamma.resize(shells, Lanes::default());
        out.rest.resize(if self.fick { 0 } else { shells }, [Lanes::default(); N]);
        out.kept = Lanes::all(1.0);
        let weights = &step.weights;
        let (zero, one) = (Lanes::default(), Lanes::all(1.0));
        let (theta, memory) = step.blended.unwrap_or((Lanes::all(weights.theta), one));
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
        if !self.fick {
            for i in 0..N {
                here[i] = self.look(look, weights.linear, 0, i, start);
            }
        }
        for s in 0..shells {
            let k = theta * self.conductance[s];
            let (mut outward, mut rest) = (k * self.diffusivity[0], [zero; N]);
            if !self.fick {
                let mut ahead = [zero; N];
                for i in 0..N {
                    ahead[i] = self.look(look, weights.linear, s + 1, i, start);
                }
                let (common, flux) = self.face(&here, &ahead);
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
                let history = if step.blended.is_some() { (q + memory * more).at_least(zero) } else { q + more };
                alpha[i] = (volume * history + within * before[i]) * per;
            }
            if !self.fick {
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
        if self.fick {
            return;
        }
        if lowest.any_below(zero) {
            out.keep_positive();
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

    /// The diffusivity that all ions share at a face, and what each has beside it: fluxes inwards per conductance.
    #[inline(always)]
    fn face(&self, here: &Stretch<N>, ahead: &Stretch<N>) -> (Lanes, Stretch<N>) {
        let zero = Lanes::default();
        let (mut charge, mut drift, mut weighted) = (zero, zero, zero);
        let (mut steps, mut drifts) = ([zero; N], [zero; N]);
        for i in 0..N {
            let step = ahead[i] - here[i];
            let charged = (ahead[i] + here[i]).at_least(zero) * self.charged[i];
            charge = charge + charged;
            drift = drift + step * self.diffusivity[i];
            weighted = weighted + charged * self.diffusivity[i];
            (steps[i], drifts[i]) = (step, charged);
        }
        let per_charge = Lanes::all(1.0) / charge;
        let field = drift * per_charge;
        let (mut along, mut squares, mut gained) = (zero, Lanes::all(self.flat), zero);
        let mut flux = [zero; N];
        for i in 0..N {
            flux[i] = steps[i] * self.diffusivity[i] - drifts[i] * field;
            along = along + flux[i] * steps[i];
            squares = squares + steps[i] * steps[i];
            gained = gained + steps[i];
        }
        // Eigenvalues lie between the diffusivities, one between each neighbouring two; their sum is sum D - sum w D.
        let largest = (Lanes::all(self.largest_two) - weighted * per_charge).at_most(Lanes::all(self.largest));
        let common = (along / squares).at_least(largest * LEAST_SHARE).at_most(Lanes::all(self.largest));
        for i in 0..N {
            // Where a profile that was carried on has not kept its sum, the fluxes' must still be 0.
            flux[i] = flux[i] - common * (steps[i] - drifts[i] * per_charge * gained);
        }
        (common, flux)
    }

    #[inline(always)]
    fn store(
        &mut self,
        eliminated: &Eliminated<N>,
        surface: &Stretch<N>,
        start: usize,
        cells: usize,
        sum: &mut Stretch<N>,
    ) {
        let mut outside = *surface;
        let shells = self.shells();
        write(&mut self.trial[shells], &outside, start, cells);
        for s in (0..shells).rev() {
            for i in 0..N {
                outside[i] = eliminated.alpha[s][i] + eliminated.gamma[s] * outside[i];
                sum[i] = sum[i] + outside[i] * (self.volume[s] * self.share);
            }
            write(&mut self.trial[s], &outside, start, cells);
        }
    }
}

#[inline(always)]
fn write<const N: usize>(rows: &mut Rows<N>, values: &Stretch<N>, start: usize, cells: usize) {
    for i in 0..N {
        let row = &mut rows.row_mut(i)[start..start + cells];
        if cells == LANES {
            row.copy_from_slice(&values[i].0);
        } else {
            row.copy_from_slice(&values[i].0[..cells]);
        }
    }
}
