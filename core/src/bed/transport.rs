//! Transport along the bed: second-order fluxes out of a block of cells, linear in the new concentration.
//!
//! The flux of an ion out of cell j, per area of the bed, is
//!
//! ```text
//! f_j = u C_face - eps D (C_(j+1) - C_j)/dz = u C_j + correction,    correction = u (C_face - C_j) - eps D (C_(j+1) - C_j)/dz
//! ```
//!
//! Upwind it is implicit, and the correction is deferred: it is computed from a lagged liquid and enters the new balance
//! either as an explicit part e \[eq/L m/s\] or as a factor on the new concentration, in the implicit part s \[m/s\],
//!
//! ```text
//! f_j = s C_j + e
//! ```
//!
//! Each ion is limited by itself, and so is their sum, the normality; what the ions' limited increments miss of the
//! normality's is shared out in proportion to composition. The normality is then an inert tracer under its own limiter:
//! uniform it stays uniform, and ions meet at a front without making salt.
//!
//! A correction is explicit, so that the sum over the ions is exact whatever the new concentrations. A steep one of an ion
//! too scarce to be felt in that sum is a factor on the new concentration: it keeps the operator positive at any step.
//! Ions that count must not go by factors, however steep they are, and on a coarse grid, where a front is a cell or two
//! wide, all of its ions are steep. By factors, which multiply what the lagged liquid did not know, their sum was off by up
//! to 2 % on 20 cells, and many short and refused steps followed.
//!
//! A block of cells is worked on at a time. What is rare, a trace that has vanished or a flux that dispersion carries back,
//! is put right cell by cell afterwards.

use crate::bed::cell_block::CellBlock;
use crate::bed::spacing::Spacing;
use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::limiter::{limited_increments, outlet_factor};
use crate::numerics::rows::Rows;
use crate::plan::scheme::Scheme;

/// A concentration whose reciprocal could overflow \[eq/L\].
const NEGLIGIBLE: f64 = 1e-150;

/// What moves the liquid along the bed.
#[derive(Debug, Clone)]
pub(super) struct Transport<const N: usize> {
    /// Superficial velocity u \[m/s\].
    pub velocity: f64,
    /// Dispersive conductances to the next cell \[m/s\].
    pub conductances: Conductances,
    /// The liquid that enters \[eq/L\].
    pub inlet: [f64; N],
    /// Mean height of a cell \[m\].
    pub cell_m: f64,
    /// How the cells differ from it.
    pub spacing: Spacing,
    pub void_fraction: f64,
}

/// Dispersive conductances eps D/dz from each cell to the next \[m/s\], shared out by how they are solved.
#[derive(Debug, Clone)]
pub(super) struct Conductances {
    /// Deferred to the lagged liquid, where advection rules.
    pub deferred: Rows<1>,
    /// Implicit, where the cell Peclet number u dz/(eps D) is low.
    pub implicit: Rows<1>,
    /// Their sum.
    pub whole: Rows<1>,
    none: Rows<1>,
}

impl Conductances {
    /// Of cells at these distances, over the mean height, with a conductance over that height.
    pub fn new(scheme: &Scheme, velocity: f64, over_mean_height: f64, spacing: &Spacing) -> Self {
        let cells = spacing.heights().len();
        let none = Rows::filled(cells, 0.0);
        let (mut deferred, mut implicit, mut whole) = (none.clone(), none.clone(), none.clone());
        // No gradient beyond the outlet.
        for j in 0..cells - 1 {
            let conductance = over_mean_height * spacing.nearness(j);
            whole.row_mut(0)[j] = conductance;
            let rules = velocity < scheme.march_peclet * conductance;
            (if rules { &mut implicit } else { &mut deferred }).row_mut(0)[j] = conductance;
        }
        Self { deferred, implicit, whole, none }
    }

    /// Is any of them implicit?
    pub fn look_ahead(&self) -> bool {
        self.implicit.row(0).iter().any(|conductance| *conductance > 0.0)
    }
}

impl<const N: usize> Transport<N> {
    /// Time in which the liquid crosses the lowest cell \[s\]; infinite without flow.
    pub fn cell_transit_s(&self) -> f64 {
        self.void_fraction * self.cell_m * self.spacing.lowest() / self.velocity
    }

    /// Fluxes for a march with steps of `h` seconds, dispersion and all.
    #[inline(always)]
    pub fn faces(&self, scheme: &Scheme, h: f64, all_implicit: bool) -> Faces<'_, N> {
        let back_at_most = scheme.most_backward * self.void_fraction * self.cell_m / h;
        Faces::new(scheme, self, &self.conductances.deferred, all_implicit, back_at_most)
    }

    /// Fluxes without their dispersion, for a solver that has all of it as an implicit part of its own.
    pub fn advective_faces(&self, scheme: &Scheme) -> Faces<'_, N> {
        Faces::new(scheme, self, &self.conductances.none, false, 0.0)
    }
}

/// How fluxes out of cells follow from a lagged liquid.
#[derive(Debug, Clone, Copy)]
pub(super) struct Faces<'a, const N: usize> {
    /// Velocity \[m/s\].
    u: f64,
    /// Dispersive conductances to the next cell that are a part of these fluxes \[m/s\].
    conductance: &'a Rows<1>,
    inlet: [f64; N],
    spacing: &'a Spacing,
    /// Nothing is explicit: every correction is a factor between 0 and its own, so that no balance can turn negative
    /// whatever the lagged liquid was.
    all_implicit: bool,
    /// Speed \[m/s\] that would take as much out of a next cell of mean height as dispersion may take against the flow.
    back_at_most: f64,
    // Of the scheme, with reciprocals of its spans.
    moderate: f64,
    per_steepening: f64,
    counts: f64,
    per_counts: f64,
    vanished: f64,
    per_trace: f64,
    backward: f64,
    per_backward: f64,
}

/// Flux out of the cells of a block: s C + e.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outflow<const N: usize> {
    /// Implicit part s: speed on the new concentration \[m/s\].
    pub implicit: CellBlock<N>,
    /// Explicit part e \[eq/L m/s\].
    pub explicit: CellBlock<N>,
}

impl<const N: usize> Default for Outflow<N> {
    fn default() -> Self {
        Self { implicit: [Lanes::default(); N], explicit: [Lanes::default(); N] }
    }
}

/// The lagged liquid of a block: of the cells before, of its own, of those ahead; how they lie.
struct Stencil<const N: usize> {
    before: CellBlock<N>,
    here: CellBlock<N>,
    ahead: CellBlock<N>,
    /// What of the differences to both neighbours falls within the cell.
    of_before: Lanes,
    of_ahead: Lanes,
    /// Dispersive conductance to the cell ahead \[m/s\].
    conductance: Lanes,
}

/// What the ions share: limited increments, what they miss of the normality's per concentration, 1/normality.
struct Increments<const N: usize> {
    by_ion: CellBlock<N>,
    missing: Lanes,
    per_normality: Lanes,
}

impl<const N: usize> Stencil<N> {
    #[inline(always)]
    fn of(lagged: &Rows<N>, faces: &Faces<'_, N>, start: usize) -> Self {
        let (spacing, inlet) = (faces.spacing, &faces.inlet);
        let mut stencil = Self {
            before: [Lanes::default(); N],
            here: [Lanes::default(); N],
            ahead: [Lanes::default(); N],
            of_before: spacing.of_difference_before(start),
            of_ahead: spacing.of_difference_ahead(start),
            conductance: faces.conductance.lanes(0, start),
        };
        for i in 0..N {
            stencil.before[i] = lagged.lanes_before(i, start);
            stencil.here[i] = lagged.lanes(i, start);
            stencil.ahead[i] = lagged.lanes(i, start + 1);
            if start == 0 {
                // The inlet is half a cell upstream of the first cell's centre.
                stencil.before[i].0[0] = 2.0 * inlet[i] - stencil.here[i].0[0];
            }
        }
        stencil
    }

    #[inline(always)]
    fn increments(&self) -> Increments<N> {
        let zero = Lanes::default();
        let (mut before, mut here, mut ahead, mut sum) = (zero, zero, zero, zero);
        let mut by_ion = [zero; N];
        for i in 0..N {
            let c = self.here[i];
            by_ion[i] = limited_increments((c - self.before[i]) * self.of_before, (self.ahead[i] - c) * self.of_ahead);
            before = before + self.before[i];
            here = here + c;
            ahead = ahead + self.ahead[i];
            sum = sum + by_ion[i];
        }
        let per_normality = Lanes::all(1.0) / here.at_least(Lanes::all(NEGLIGIBLE));
        let of_sum = limited_increments((here - before) * self.of_before, (ahead - here) * self.of_ahead);
        let missing = (of_sum - sum) * per_normality;
        Increments { by_ion, missing, per_normality }
    }
}

impl<'a, const N: usize> Faces<'a, N> {
    #[inline(always)]
    fn new(
        scheme: &Scheme,
        transport: &'a Transport<N>,
        conductance: &'a Rows<1>,
        all_implicit: bool,
        back_at_most: f64,
    ) -> Self {
        Self {
            u: transport.velocity,
            conductance,
            inlet: transport.inlet,
            spacing: &transport.spacing,
            all_implicit,
            back_at_most,
            moderate: scheme.moderate,
            per_steepening: 1.0 / (scheme.steep - scheme.moderate),
            counts: scheme.counts,
            per_counts: 1.0 / scheme.counts,
            vanished: scheme.vanished,
            per_trace: 1.0 / scheme.trace,
            backward: scheme.backward,
            per_backward: 1.0 / (scheme.all_backward - scheme.backward),
        }
    }

    /// Fluxes out of the cells from `start`, from the lagged liquid of the whole bed; `old` is the liquid at the
    /// beginning of the step. Cells beyond the last repeat it.
    #[inline(always)]
    pub fn out_of(&self, lagged: &Rows<N>, old: &Rows<N>, start: usize, out: &mut Outflow<N>) {
        let stencil = Stencil::of(lagged, self, start);
        let increments = stencil.increments();
        if self.all_implicit {
            self.implicit_only(&stencil, &increments, out);
        } else {
            self.explicit_and_implicit(&stencil, &increments, old, start, out);
        }
        let cells = lagged.length();
        if start + LANES >= cells {
            self.out_of_last(&stencil, cells - 1 - start, out);
        }
    }

    #[inline(always)]
    fn correction(&self, i: usize, stencil: &Stencil<N>, increments: &Increments<N>) -> Lanes {
        let c = stencil.here[i];
        (increments.by_ion[i] + c * increments.missing) * (0.5 * self.u) - (stencil.ahead[i] - c) * stencil.conductance
    }

    #[inline(always)]
    fn explicit_and_implicit(
        &self,
        stencil: &Stencil<N>,
        increments: &Increments<N>,
        old: &Rows<N>,
        start: usize,
        out: &mut Outflow<N>,
    ) {
        let (zero, one) = (Lanes::default(), Lanes::all(1.0));
        let per_speed = 1.0 / self.u.max(NEGLIGIBLE);
        for i in 0..N {
            let c = stencil.here[i];
            let correction = self.correction(i, stencil, increments);
            let factor = correction / c.at_least(Lanes::all(NEGLIGIBLE));
            let relative = factor * per_speed;
            let steep = share((relative.abs() - Lanes::all(self.moderate)) * self.per_steepening);
            let of_normality = c * increments.per_normality;
            let scarce = one - of_normality.at_most(Lanes::all(self.counts)) * self.per_counts;
            let there = share((of_normality - Lanes::all(self.vanished)) * self.per_trace);
            let explicit_share = (one - steep * scarce) * there;
            out.explicit[i] = explicit_share * correction;
            out.implicit[i] = (Lanes::all(self.u) + (one - explicit_share) * factor).at_least(zero);
            if c.any_below(Lanes::all(NEGLIGIBLE)) || relative.any_below(Lanes::all(-self.backward)) {
                let at_most = old.lanes(i, start + 1) * self.spacing.height(start + 1) * self.back_at_most;
                let found = (&mut out.implicit[i], &mut out.explicit[i]);
                self.put_right((c, stencil.ahead[i], at_most), (factor, stencil.conductance), found);
            }
        }
    }

    /// The cells that are left empty, and those whose flux dispersion would carry back: that takes from the next
    /// cell, no more than is there.
    #[inline(never)]
    fn put_right(
        &self,
        (here, ahead, at_most): (Lanes, Lanes, Lanes),
        (factor, conductance): (Lanes, Lanes),
        (implicit, explicit): (&mut Lanes, &mut Lanes),
    ) {
        for k in 0..LANES {
            let (c, next) = (here.0[k], ahead.0[k]);
            let after = next - c;
            let (at_most, d) = (at_most.0[k], conductance.0[k]);
            if c < NEGLIGIBLE {
                (implicit.0[k], explicit.0[k]) = (self.u, -at_most.min(d * after.max(0.0)));
            } else if after > 0.0 {
                // Gradually: a switch would be felt by a search for steadiness.
                let relative = -factor.0[k] / self.u.max(NEGLIGIBLE);
                let share = ((relative - self.backward) * self.per_backward).clamp(0.0, 1.0);
                let advected = self.u + factor.0[k] + d * after / c;
                implicit.0[k] += share * (advected.max(0.0) + d - implicit.0[k]);
                explicit.0[k] += share * (-at_most.min(d * next) - explicit.0[k]);
            }
        }
    }

    #[inline(always)]
    fn implicit_only(&self, stencil: &Stencil<N>, increments: &Increments<N>, out: &mut Outflow<N>) {
        for i in 0..N {
            let factor = self.correction(i, stencil, increments) / stencil.here[i].at_least(Lanes::all(NEGLIGIBLE));
            let speed = (Lanes::all(self.u) + factor).at_least(Lanes::default());
            out.implicit[i] = speed.at_most((Lanes::all(self.u) + stencil.conductance) * 2.0);
            out.explicit[i] = Lanes::default();
        }
    }

    /// Flux out of the last cell, which lies at lane `k`: extrapolated to the outlet, no gradient beyond it.
    #[inline(never)]
    fn out_of_last(&self, stencil: &Stencil<N>, k: usize, out: &mut Outflow<N>) {
        let here = stencil.here.map(|c| c.0[k]);
        let factors = outlet_factors(&stencil.before.map(|c| c.0[k]), &here, self.spacing.beyond_last());
        let at_least_counts = self.counts * here.iter().sum::<f64>().max(NEGLIGIBLE);
        for i in 0..N {
            // As inside the bed: a factor on what is scarce, explicit for what counts in the sum.
            let explicit_share = if self.all_implicit { 0.0 } else { (here[i] / at_least_counts).min(1.0) };
            let factor = self.u * (factors[i] - 1.0);
            out.implicit[i].0[k] = self.u + (1.0 - explicit_share) * factor;
            out.explicit[i].0[k] = explicit_share * factor * here[i];
        }
    }
}

/// Factors on the last cell's concentrations that give the liquid at the outlet: each ion extrapolated by itself, what
/// that misses of the normality shared out by composition.
fn outlet_factors<const N: usize>(before: &[f64; N], here: &[f64; N], beyond: f64) -> [f64; N] {
    let (n_before, n_here) = (before.iter().sum(), here.iter().sum::<f64>());
    let factors: [f64; N] = std::array::from_fn(|i| outlet_factor(before[i], here[i], beyond));
    let sum: f64 = (0..N).map(|i| here[i] * factors[i]).sum();
    let missing = outlet_factor(n_before, n_here, beyond) - sum / n_here.max(NEGLIGIBLE);
    std::array::from_fn(|i| if here[i] >= NEGLIGIBLE { (factors[i] + missing).max(0.0) } else { 1.0 })
}

/// The liquid that leaves a bed \[eq/L\]: the concentration of the flux through its outlet.
pub(super) fn outlet<const N: usize>(liquid: &Rows<N>, spacing: &Spacing) -> [f64; N] {
    let last = liquid.length() - 1;
    let (before, here) = (liquid.at(last - 1), liquid.at(last));
    let factors = outlet_factors(&before, &here, spacing.beyond_last());
    std::array::from_fn(|i| here[i] * factors[i])
}

/// Numbers cut to 0 to 1.
#[inline(always)]
fn share(value: Lanes) -> Lanes {
    value.at_least(Lanes::default()).at_most(Lanes::all(1.0))
}
