//! Beads as a core in a layer, between which every ion moves at its own diffusivity: what shells say, at little more than
//! the price of a lumped bead.
//!
//! The layer is as the surface is, q*, and holds the share b of the bead; the core holds c. Both shares, and the conductance
//! k between them in units of D/R^2, follow from the sphere ([`crate::numerics::sphere::Sphere::layered`]); the fluxes are
//! those of [`crate::bed::exchange::nernst_planck`] at the composition half way:
//!
//! ```text
//! q = b q* + (1 - b) c,    (1 - b) dc/dt = k [D] (q* - c)/R^2 = k [D^ (q* - c) + r]/R^2
//! ```
//!
//! Why half way: with Theta the integral of D, dq/dt = div grad Theta inside a sphere; so after its surface has changed for
//! good, Theta* less the mean of Theta over the sphere adds up over time to R^2/15 times what is exchanged, however D varies
//! (algebra). Core and layer keep that where their flux is k (Theta* - Theta(c))/R^2, which is q* - c times the mean of D between
//! the two compositions: D half way, to second order.
//!
//! Over a step with the weight theta of new rates, g = theta k D^/((1 - b) R^2), rho = theta k r/((1 - b) R^2),
//!
//! ```text
//! c = alpha + gamma q*,    alpha = (c^ + rho)/(1 + g),    gamma = g/(1 + g)
//! kappa = b + (1 - b) gamma,    kappa d = b q*^ + (1 - b) (gamma c^ - rho/(1 + g))
//! ```
//!
//! D^ and rho are looked at once a step, where the last steps lead to. What rho asks for beyond what the core has is left
//! out, for all ions alike.

use crate::bed::cell_block::{CellBlock, Place, write};
use crate::bed::exchange::condensed::{Condensed, Found, LaggedFrom};
use crate::bed::exchange::nernst_planck::NernstPlanck;
use crate::bed::exchange::store::{Beginning, Store};
use crate::bed::state::State;
use crate::bed::time_step::BlockWeights;
use crate::numerics::bdf::Weights;
use crate::numerics::lanes::{LANES, Lanes, widest};
use crate::numerics::rows::Rows;

/// The beads along the bed.
#[derive(Debug, Clone)]
pub(super) struct Interdiffusion<const N: usize> {
    diffusion: NernstPlanck<N>,
    /// Share of the layer, b, and of the core.
    layer: f64,
    core: f64,
    /// Conductance over the core's share, k/(1 - b).
    pace: f64,
    /// Share of what is there that rounding does not carry below zero.
    all_but_rounding: f64,
    lagged_range: [f64; 2],
    of_core: Past<N>,
    of_layer: Past<N>,
    looked: Looked<N>,
}

/// Loadings now, at the ends of the two steps before, and at the end of the trial step.
#[derive(Debug, Clone)]
struct Past<const N: usize> {
    now: Rows<N>,
    before: [Rows<N>; 2],
    trial: Rows<N>,
}

/// What was found when a step was looked at, cell by cell.
#[derive(Debug, Clone)]
struct Looked<const N: usize> {
    alpha: Rows<N>,
    gamma: Rows<1>,
    drive: Rows<N>,
    /// What rho has in the drive.
    explicit_drive: Rows<N>,
}

impl<const N: usize> Interdiffusion<N> {
    /// The beads of a model whose kinetics are by interdiffusion.
    pub fn store(begins: &Beginning<'_, N>) -> Option<Box<dyn Store<N>>> {
        let Beginning { model, state, .. } = begins;
        let inside = model.inside.as_ref().filter(|inside| inside.sphere.at_surface > 0.0)?;
        let ([size], [core], [conductance], [of_core, of_layer]) =
            (&inside.sizes[..], &inside.sphere.volume[..], &inside.sphere.conductance[..], &state.inside[..])
        else {
            return None;
        };
        let (scheme, cells) = (&model.scheme, of_core.len());
        Some(Box::new(Self {
            diffusion: NernstPlanck::new(model, &size.per_s, scheme.interdiffusion_least_share),
            layer: inside.sphere.at_surface,
            core: *core,
            pace: conductance / core,
            all_but_rounding: 1.0 - scheme.rounding,
            lagged_range: scheme.lagged_range,
            of_core: Past::new(of_core),
            of_layer: Past::new(of_layer),
            looked: Looked {
                alpha: Rows::filled(cells, 0.0),
                gamma: Rows::filled(cells, 0.0),
                drive: Rows::filled(cells, 0.0),
                explicit_drive: Rows::filled(cells, 0.0),
            },
        }))
    }

    /// Find what the cells of a block exchange over a step.
    #[inline(always)]
    fn look(&mut self, step: &BlockWeights, place: Place, out: &mut Condensed<N>) {
        let start = place.start;
        let (zero, one) = (Lanes::default(), Lanes::all(1.0));
        let theta = step.blended.map_or(Lanes::all(step.weights.theta), |(theta, _)| theta);
        let pace = theta * self.pace;
        let (mut common, mut flux) = (Lanes::all(self.diffusion.diffusivity[0]), [zero; N]);
        if !self.diffusion.fick {
            let (mut here, mut ahead) = ([zero; N], [zero; N]);
            for i in 0..N {
                here[i] = self.of_core.carried_on(step.weights.linear, self.lagged_range, i, start);
                ahead[i] = self.of_layer.carried_on(step.weights.linear, self.lagged_range, i, start);
            }
            (common, flux) = self.diffusion.face(&here, &ahead);
        }
        let g = pace * common;
        let per = one / (one + g);
        let gamma = g * per;
        let kappa = Lanes::all(self.layer) + gamma * self.core;
        let per_kappa = one / kappa;
        let (mut alpha, mut rest, mut without) = ([zero; N], [zero; N], [zero; N]);
        let mut lowest = zero;
        for i in 0..N {
            let (core, layer) = (self.of_core.history(step, i, start), self.of_layer.history(step, i, start));
            alpha[i] = core * per;
            without[i] = (layer * self.layer + gamma * core * self.core) * per_kappa;
            rest[i] = pace * flux[i] * per;
            lowest = lowest.at_most(alpha[i] + rest[i]);
        }
        if lowest.any_below(zero) {
            self.keep_positive(&alpha, &mut rest);
        }
        for i in 0..N {
            out.explicit_drive[i] = -(rest[i] * self.core * per_kappa);
            out.drive[i] = without[i] + out.explicit_drive[i];
            alpha[i] = alpha[i] + rest[i];
        }
        out.kappa = kappa;
        write(&mut self.looked.alpha, &alpha, place);
        write(&mut self.looked.gamma, &[gamma], place);
        write(&mut self.looked.drive, &out.drive, place);
        write(&mut self.looked.explicit_drive, &out.explicit_drive, place);
    }

    /// What was found when the step was looked at.
    #[inline(always)]
    fn look_back(&self, start: usize, out: &mut Condensed<N>) {
        out.kappa = Lanes::all(self.layer) + self.looked.gamma.lanes(0, start) * self.core;
        for i in 0..N {
            out.drive[i] = self.looked.drive.lanes(i, start);
            out.explicit_drive[i] = self.looked.explicit_drive.lanes(i, start);
        }
    }

    /// Keep just as much of the rest as leaves no core negative; alpha is still without it.
    #[cold]
    #[inline(never)]
    fn keep_positive(&self, alpha: &CellBlock<N>, rest: &mut CellBlock<N>) {
        for k in 0..LANES {
            let mut kept = 1.0_f64;
            for i in 0..N {
                let (without, more) = (alpha[i].0[k], rest[i].0[k]);
                if without + more < 0.0 {
                    kept = kept.min(self.all_but_rounding * (without / -more).max(0.0));
                }
            }
            rest.iter_mut().for_each(|of_ion| of_ion.0[k] *= kept);
        }
    }

    #[inline(always)]
    fn store_found(&mut self, place: Place, condensed: &Condensed<N>, surface: &CellBlock<N>, loading: &mut Rows<N>) {
        let gamma = self.looked.gamma.lanes(0, place.start);
        let (mut core, mut sum) = ([Lanes::default(); N], [Lanes::default(); N]);
        let left_out = (Lanes::all(1.0) - condensed.kept) * condensed.kappa * (1.0 / self.core);
        for i in 0..N {
            core[i] =
                self.looked.alpha.lanes(i, place.start) + left_out * condensed.explicit_drive[i] + gamma * surface[i];
            sum[i] = core[i] * self.core + surface[i] * self.layer;
        }
        write(&mut self.of_core.trial, &core, place);
        write(&mut self.of_layer.trial, surface, place);
        write(loading, &sum, place);
    }
}

impl<const N: usize> Store<N> for Interdiffusion<N> {
    fn prepare(&mut self, weights: &Weights) -> f64 {
        widest(
            #[inline(always)]
            || self.of_core.lowest_history(weights).min(self.of_layer.lowest_history(weights)),
        )
    }

    fn most_history(&self, weights: &Weights, j: usize) -> f64 {
        self.of_core.most_history(weights, j).min(self.of_layer.most_history(weights, j))
    }

    /// The first look at a step holds for all that follow.
    fn condense(
        &mut self,
        weights: &BlockWeights,
        _liquid: &Rows<N>,
        lagged_from: LaggedFrom,
        place: Place,
        out: &mut Condensed<N>,
    ) {
        widest(
            #[inline(always)]
            || match lagged_from {
                LaggedFrom::History => self.look(weights, place, out),
                LaggedFrom::LastSweep => self.look_back(place.start, out),
            },
        );
        out.drive_may_be_negative = !self.diffusion.fick;
    }

    fn keep(&mut self, place: Place, condensed: &Condensed<N>, found: &Found<'_, N>, loading: &mut Rows<N>) {
        if place.cells > 0 {
            widest(
                #[inline(always)]
                || self.store_found(place, condensed, found.surface, loading),
            );
        }
    }

    fn accept(&mut self) {
        self.of_core.accept();
        self.of_layer.accept();
    }

    fn surface(&self, j: usize) -> Option<[f64; N]> {
        Some(self.of_layer.now.at(j))
    }

    /// Core and layer; shape (2, cells).
    fn write(&self, state: &mut State<N>) {
        state.inside = [&self.of_core, &self.of_layer].map(|past| past.now.to_columns()).to_vec();
    }
}

impl<const N: usize> Past<N> {
    fn new(columns: &[[f64; N]]) -> Self {
        let now = Rows::from_columns(columns);
        Self { before: [now.clone(), now.clone()], trial: now.clone(), now }
    }

    #[inline(always)]
    fn lowest_history(&self, weights: &Weights) -> f64 {
        let [last, earlier] = &self.before;
        let cells = self.now.length();
        let whole = cells - cells % LANES;
        let mut lowest = Lanes::default();
        for i in 0..N {
            for start in (0..whole).step_by(LANES) {
                let (q, q1, q2) = (self.now.lanes(i, start), last.lanes(i, start), earlier.lanes(i, start));
                lowest = lowest.at_most(q + (q - q1) * weights.p[0] + (q1 - q2) * weights.p[1]);
            }
            for j in whole..cells {
                let (q, q1, q2) = (self.now.row(i)[j], last.row(i)[j], earlier.row(i)[j]);
                lowest.0[0] = lowest.0[0].min(q + weights.of_history(q - q1, q1 - q2));
            }
        }
        -(-lowest).largest()
    }

    fn most_history(&self, weights: &Weights, j: usize) -> f64 {
        let [last, earlier] = &self.before;
        let mut share = 1.0_f64;
        for i in 0..N {
            let (q, q1, q2) = (self.now.row(i)[j], last.row(i)[j], earlier.row(i)[j]);
            let more = weights.of_history(q - q1, q1 - q2);
            if q + more < 0.0 {
                share = share.min((-q / more).max(0.0));
            }
        }
        share
    }

    /// Where a line through the last two ends leads to, within a range of what is there now.
    #[inline(always)]
    fn carried_on(&self, linear: f64, [low, high]: [f64; 2], i: usize, start: usize) -> Lanes {
        let (q, before) = (self.now.lanes(i, start), self.before[0].lanes(i, start));
        (q + (q - before) * linear).at_least(q * low).at_most(q * high)
    }

    /// Explicit part of the loading at the end of the step.
    #[inline(always)]
    fn history(&self, step: &BlockWeights, i: usize, start: usize) -> Lanes {
        let ([last, earlier], p) = (&self.before, step.weights.p);
        let (q, q1, q2) = (self.now.lanes(i, start), last.lanes(i, start), earlier.lanes(i, start));
        let more = (q - q1) * p[0] + (q1 - q2) * p[1];
        match step.blended {
            Some((_, share)) => (q + share * more).at_least(Lanes::default()),
            None => q + more,
        }
    }

    fn accept(&mut self) {
        let [last, earlier] = &mut self.before;
        std::mem::swap(last, earlier);
        std::mem::swap(&mut self.now, last);
        std::mem::swap(&mut self.now, &mut self.trial);
    }
}
