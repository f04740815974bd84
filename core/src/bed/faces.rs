//! Second-order fluxes out of a stretch of cells, from a lagged profile, as (speed on the new concentration, part known
//! beforehand).
//!
//! Each ion is limited by itself, and so is their sum, the normality; what the ions' limited increments miss of the
//! normality's is shared out in proportion to composition. The normality is then an inert tracer under its own limiter:
//! uniform it stays uniform, and ions meet at a front without making salt.
//!
//! A correction is a known part, so that the sum over the ions is exact whatever the new concentrations. A steep one of
//! an ion too scarce to be felt in that sum is a factor on the new concentration: it keeps the operator positive at any
//! step. Ions that count must not go by factors, however steep they are, and on a coarse grid, where a front is a cell or
//! two wide, all of its ions are steep. By factors, which multiply what the lagged liquid did not know, their sum was off
//! by up to 2 % on 20 cells, and many short and refused steps followed.
//!
//! A stretch of cells is worked on at a time. What is rare, a trace that has vanished or a flux that dispersion carries
//! back, is put right cell by cell afterwards.

use crate::numerics::lanes::{LANES, Lanes};
use crate::numerics::limiter::{limited_increments, outlet_factor};
use crate::numerics::rows::Rows;

/// Values by ion, along a stretch of cells.
pub(super) type Stretch<const N: usize> = [Lanes; N];

/// A concentration whose reciprocal could overflow \[eq/L\].
const NEGLIGIBLE: f64 = 1e-150;
/// Corrections of scarce ions up to this share of the upwind flux are taken as known, ...
const MODERATE: f64 = 0.1;
/// ... and beyond this share as a factor.
const STEEP: f64 = 0.4;
/// An ion of this share of the normality counts, one of less is scarce in proportion. Factors can put the sum wrong by
/// about that much, which is less than the error allowed in a time step by default.
const COUNTS: f64 = 1e-4;
/// Ions below this share of the normality are traces: what they miss of the sum does not count.
const TRACE: f64 = 1e-6;
/// Ions below this share of the normality are all but gone: a known part of their flux could exceed what is left of them.
const VANISHED: f64 = 1e-20;
/// Corrections that take this share of the upwind flux are dispersion's, which would carry it back: it is then taken from
/// the next cell instead, ...
const BACKWARD: f64 = 0.8;
/// ... from this share on all of it.
const ALL_BACKWARD: f64 = 1.1;

/// Velocity and dispersive conductance \[m/s\], and the liquid that enters.
#[derive(Debug, Clone, Copy)]
pub(super) struct Transport<const N: usize> {
    pub u: f64,
    pub d: f64,
    pub inlet: [f64; N],
    /// Nothing is taken as known: every correction is a factor between 0 and its own, so that no balance can turn
    /// negative whatever the lagged liquid was.
    pub plain: bool,
    /// Speed \[m/s\] that would take as much out of the next cell as dispersion may take against the flow.
    pub back_at_most: f64,
}

/// Flux out of the cells of a stretch.
#[derive(Debug, Clone, Copy)]
pub(super) struct Outflow<const N: usize> {
    /// Speed on the new concentration \[m/s\].
    pub speed: Stretch<N>,
    /// Known part \[eq/L m/s\].
    pub known: Stretch<N>,
}

impl<const N: usize> Default for Outflow<N> {
    fn default() -> Self {
        Self { speed: [Lanes::default(); N], known: [Lanes::default(); N] }
    }
}

/// The lagged liquid of a stretch: of the cells before, of its own, of those ahead.
struct Liquid<const N: usize> {
    before: Stretch<N>,
    here: Stretch<N>,
    ahead: Stretch<N>,
}

/// What the ions share: limited increments, what they miss of the normality's per concentration, 1/normality.
struct Increments<const N: usize> {
    by_ion: Stretch<N>,
    missing: Lanes,
    per_normality: Lanes,
}

impl<const N: usize> Liquid<N> {
    #[inline(always)]
    fn of(lagged: &Rows<N>, inlet: &[f64; N], start: usize) -> Self {
        let mut liquid =
            Self { before: [Lanes::default(); N], here: [Lanes::default(); N], ahead: [Lanes::default(); N] };
        for i in 0..N {
            liquid.before[i] = lagged.lanes_before(i, start);
            liquid.here[i] = lagged.lanes(i, start);
            liquid.ahead[i] = lagged.lanes(i, start + 1);
            if start == 0 {
                // The inlet is half a cell upstream of the first cell's centre.
                liquid.before[i].0[0] = 2.0 * inlet[i] - liquid.here[i].0[0];
            }
        }
        liquid
    }

    #[inline(always)]
    fn increments(&self) -> Increments<N> {
        let zero = Lanes::default();
        let (mut before, mut here, mut ahead, mut sum) = (zero, zero, zero, zero);
        let mut by_ion = [zero; N];
        for i in 0..N {
            let c = self.here[i];
            by_ion[i] = limited_increments(c - self.before[i], self.ahead[i] - c);
            before = before + self.before[i];
            here = here + c;
            ahead = ahead + self.ahead[i];
            sum = sum + by_ion[i];
        }
        let per_normality = Lanes::all(1.0) / here.at_least(Lanes::all(NEGLIGIBLE));
        let missing = (limited_increments(here - before, ahead - here) - sum) * per_normality;
        Increments { by_ion, missing, per_normality }
    }
}

impl<const N: usize> Transport<N> {
    /// Fluxes out of the cells from `start`, from the lagged liquid of the whole bed; `old` is the liquid at the
    /// beginning of the step. Cells beyond the last repeat it.
    #[inline(always)]
    pub fn out_of(&self, lagged: &Rows<N>, old: &Rows<N>, start: usize, out: &mut Outflow<N>) {
        let liquid = Liquid::of(lagged, &self.inlet, start);
        let increments = liquid.increments();
        if self.plain {
            self.factors(&liquid, &increments, out);
        } else {
            self.known_and_factors(&liquid, &increments, old, start, out);
        }
        let cells = lagged.length();
        if start + LANES >= cells {
            self.out_of_last(&liquid, cells - 1 - start, out);
        }
    }

    #[inline(always)]
    fn correction(&self, i: usize, liquid: &Liquid<N>, increments: &Increments<N>) -> Lanes {
        let c = liquid.here[i];
        (increments.by_ion[i] + c * increments.missing) * (0.5 * self.u) - (liquid.ahead[i] - c) * self.d
    }

    #[inline(always)]
    fn known_and_factors(
        &self,
        liquid: &Liquid<N>,
        increments: &Increments<N>,
        old: &Rows<N>,
        start: usize,
        out: &mut Outflow<N>,
    ) {
        let (zero, one) = (Lanes::default(), Lanes::all(1.0));
        let per_speed = 1.0 / self.u.max(NEGLIGIBLE);
        for i in 0..N {
            let c = liquid.here[i];
            let correction = self.correction(i, liquid, increments);
            let factor = correction / c.at_least(Lanes::all(NEGLIGIBLE));
            let relative = factor * per_speed;
            // From moderate to steep the correction goes over smoothly: a switch would be felt by a search for steadiness.
            let steep = share((relative.abs() - Lanes::all(MODERATE)) * (1.0 / (STEEP - MODERATE)));
            let of_normality = c * increments.per_normality;
            let scarce = one - of_normality.at_most(Lanes::all(COUNTS)) * (1.0 / COUNTS);
            let there = share((of_normality - Lanes::all(VANISHED)) * (1.0 / TRACE));
            let known_share = (one - steep * scarce) * there;
            out.known[i] = known_share * correction;
            out.speed[i] = (Lanes::all(self.u) + (one - known_share) * factor).at_least(zero);
            if c.any_below(Lanes::all(NEGLIGIBLE)) || relative.any_below(Lanes::all(-BACKWARD)) {
                let next_before = old.lanes(i, start + 1);
                self.put_right((c, liquid.ahead[i], next_before), factor, &mut out.speed[i], &mut out.known[i]);
            }
        }
    }

    /// The cells of which nothing is left, and those whose flux dispersion would carry back: that takes from the next
    /// cell, no more than is there.
    #[inline(never)]
    fn put_right(
        &self,
        (here, ahead, next_before): (Lanes, Lanes, Lanes),
        factor: Lanes,
        speed: &mut Lanes,
        known: &mut Lanes,
    ) {
        for k in 0..LANES {
            let (c, next) = (here.0[k], ahead.0[k]);
            let after = next - c;
            let at_most = self.back_at_most * next_before.0[k];
            if c < NEGLIGIBLE {
                (speed.0[k], known.0[k]) = (self.u, -at_most.min(self.d * after.max(0.0)));
            } else if after > 0.0 {
                // Gradually: a switch would be felt by a search for steadiness.
                let relative = -factor.0[k] / self.u.max(NEGLIGIBLE);
                let share = ((relative - BACKWARD) * (1.0 / (ALL_BACKWARD - BACKWARD))).clamp(0.0, 1.0);
                let advected = self.u + factor.0[k] + self.d * after / c;
                speed.0[k] += share * (advected.max(0.0) + self.d - speed.0[k]);
                known.0[k] += share * (-at_most.min(self.d * next) - known.0[k]);
            }
        }
    }

    #[inline(always)]
    fn factors(&self, liquid: &Liquid<N>, increments: &Increments<N>, out: &mut Outflow<N>) {
        for i in 0..N {
            let factor = self.correction(i, liquid, increments) / liquid.here[i].at_least(Lanes::all(NEGLIGIBLE));
            let speed = (Lanes::all(self.u) + factor).at_least(Lanes::default());
            out.speed[i] = speed.at_most(Lanes::all(2.0 * (self.u + self.d)));
            out.known[i] = Lanes::default();
        }
    }

    /// Flux out of the last cell, which stands at `k`: extrapolated to the outlet, no gradient beyond it.
    #[inline(never)]
    fn out_of_last(&self, liquid: &Liquid<N>, k: usize, out: &mut Outflow<N>) {
        let here = liquid.here.map(|c| c.0[k]);
        let factors = outlet_factors(&liquid.before.map(|c| c.0[k]), &here);
        let at_least_counts = COUNTS * here.iter().sum::<f64>().max(NEGLIGIBLE);
        for i in 0..N {
            // As inside the bed: a factor on what is scarce, known for what counts in the sum.
            let known_share = if self.plain { 0.0 } else { (here[i] / at_least_counts).min(1.0) };
            let factor = self.u * (factors[i] - 1.0);
            out.speed[i].0[k] = self.u + (1.0 - known_share) * factor;
            out.known[i].0[k] = known_share * factor * here[i];
        }
    }
}

/// Factors on the last cell's concentrations that give the liquid at the outlet: each ion extrapolated by itself, what
/// that misses of the normality shared out by composition.
fn outlet_factors<const N: usize>(before: &[f64; N], here: &[f64; N]) -> [f64; N] {
    let (n_before, n_here) = (before.iter().sum(), here.iter().sum::<f64>());
    let factors: [f64; N] = std::array::from_fn(|i| outlet_factor(before[i], here[i]));
    let sum: f64 = (0..N).map(|i| here[i] * factors[i]).sum();
    let missing = outlet_factor(n_before, n_here) - sum / n_here.max(NEGLIGIBLE);
    std::array::from_fn(|i| if here[i] >= NEGLIGIBLE { (factors[i] + missing).max(0.0) } else { 1.0 })
}

/// The liquid that leaves a bed \[eq/L\]: the concentration of the flux through its outlet.
pub(super) fn outlet<const N: usize>(liquid: &Rows<N>) -> [f64; N] {
    let last = liquid.length() - 1;
    let (before, here) = (liquid.at(last - 1), liquid.at(last));
    let factors = outlet_factors(&before, &here);
    std::array::from_fn(|i| here[i] * factors[i])
}

/// Numbers cut to 0 to 1.
#[inline(always)]
fn share(value: Lanes) -> Lanes {
    value.at_least(Lanes::default()).at_most(Lanes::all(1.0))
}
