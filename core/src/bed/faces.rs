//! Second-order fluxes out of a cell, from a lagged profile, as (speed on the new concentration, part known beforehand).
//!
//! Each ion is limited by itself, and so is their sum, the normality; what the ions' limited increments miss of the
//! normality's is shared out in proportion to composition. The normality is then an inert tracer under its own limiter:
//! uniform it stays uniform, and ions meet at a front without making salt.
//!
//! A moderate correction is a known part, so that the sum over the ions is exact whatever the new concentrations. A steep
//! one, which only a trace at the foot of a front can have, is a factor on the new concentration: it keeps the operator
//! positive at any step.

use crate::numerics::limiter::{limited_increment, outlet_factor};

/// A concentration whose reciprocal could overflow \[eq/L\].
const NEGLIGIBLE: f64 = 1e-150;
/// Corrections up to this share of the upwind flux are taken as known, ...
const MODERATE: f64 = 0.1;
/// ... and beyond this share as a factor.
const STEEP: f64 = 0.4;
/// Ions below this share of the normality are traces: what they miss of the sum does not count.
const TRACE: f64 = 1e-6;
/// Ions below this share of the normality are all but gone: a known part of their flux could exceed what is left of them.
const VANISHED: f64 = 1e-20;
/// Share of u below which dispersion would carry a cell's flux back: it is then taken from the next cell instead.
const LEAST_FACTOR: f64 = 0.05;

/// Velocity and dispersive conductance \[m/s\], and the liquid that enters.
#[derive(Debug, Clone, Copy)]
pub(super) struct Transport<const N: usize> {
    pub u: f64,
    pub d: f64,
    pub inlet: [f64; N],
    /// Nothing is taken as known: every correction is a factor between 0 and its own, so that no balance can turn
    /// negative whatever the lagged liquid was.
    pub plain: bool,
}

impl<const N: usize> Transport<N> {
    /// Flux out of cell `j` whose upstream, own and downstream liquids are given: speeds on its new concentrations and
    /// known parts. `ahead_at_most` bounds what dispersion may take out of the next cell against the flow \[eq/L m/s\].
    #[inline(always)]
    pub fn out_of(
        &self,
        before: &[f64; N],
        here: &[f64; N],
        ahead: &[f64; N],
        ahead_at_most: &[f64; N],
    ) -> ([f64; N], [f64; N]) {
        let (mut increment, mut after) = ([0.0; N], [0.0; N]);
        let (mut n_here, mut n_before, mut n_after, mut sum) = (0.0, 0.0, 0.0, 0.0);
        for i in 0..N {
            let rise = here[i] - before[i];
            after[i] = ahead[i] - here[i];
            increment[i] = limited_increment(rise, after[i]);
            n_here += here[i];
            n_before += rise;
            n_after += after[i];
            sum += increment[i];
        }
        let per_normality = 1.0 / n_here.max(NEGLIGIBLE);
        let missing = (limited_increment(n_before, n_after) - sum) * per_normality;
        let per_speed = 1.0 / self.u.max(NEGLIGIBLE);
        let (mut speed, mut known) = ([self.u; N], [0.0; N]);
        for i in 0..N {
            let c = here[i];
            if self.plain {
                let correction = 0.5 * self.u * (increment[i] + c * missing) - self.d * after[i];
                speed[i] = (self.u + correction / c.max(NEGLIGIBLE)).clamp(0.0, 2.0 * (self.u + self.d));
                continue;
            }
            if c < NEGLIGIBLE {
                known[i] = -ahead_at_most[i].min(self.d * after[i].max(0.0));
                continue;
            }
            let correction = 0.5 * self.u * (increment[i] + c * missing) - self.d * after[i];
            let factor = correction / c;
            let relative = factor * per_speed;
            if relative < LEAST_FACTOR - 1.0 && after[i] > 0.0 {
                let advected = self.u + factor + self.d * after[i] / c;
                speed[i] = advected.max(0.0) + self.d;
                known[i] = -ahead_at_most[i].min(self.d * (c + after[i]));
                continue;
            }
            // From moderate to steep the correction goes over smoothly: a switch would be felt by a search for steadiness.
            let steep = ((relative.abs() - MODERATE) * (1.0 / (STEEP - MODERATE))).clamp(0.0, 1.0);
            let known_share = (1.0 - steep) * ((c * per_normality - VANISHED) * (1.0 / TRACE)).clamp(0.0, 1.0);
            known[i] = known_share * correction;
            speed[i] = (self.u + (1.0 - known_share) * factor).max(0.0);
        }
        (speed, known)
    }

    /// Flux out of the last cell: extrapolated to the outlet, no gradient beyond it.
    #[inline(always)]
    pub fn out_of_last(&self, before: &[f64; N], here: &[f64; N]) -> ([f64; N], [f64; N]) {
        let (mut increment, mut sum) = ([0.0; N], 0.0);
        for i in 0..N {
            increment[i] = 2.0 * here[i] * (outlet_factor(before[i], here[i]) - 1.0);
            sum += increment[i];
        }
        let (n_before, n_here) = (before.iter().sum(), here.iter().sum::<f64>());
        let missing = (2.0 * n_here * (outlet_factor(n_before, n_here) - 1.0) - sum) / n_here.max(NEGLIGIBLE);
        let mut speed = [self.u; N];
        for i in 0..N {
            if here[i] >= NEGLIGIBLE {
                speed[i] = self.u * (1.0 + 0.5 * (increment[i] / here[i] + missing)).max(0.0);
            }
        }
        (speed, [0.0; N])
    }

    /// The liquid that stands upstream of the first cell for its gradient: the inlet is half a cell away.
    #[inline(always)]
    pub fn before_first(&self, first: &[f64; N]) -> [f64; N] {
        std::array::from_fn(|i| 2.0 * self.inlet[i] - first[i])
    }
}
