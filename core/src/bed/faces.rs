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
/// Share of u below which dispersion would carry a cell's flux back: it is then taken from the next cell instead.
const LEAST_FACTOR: f64 = 0.05;

/// Velocity and dispersive conductance \[m/s\], and the liquid that enters.
#[derive(Debug, Clone, Copy)]
pub(super) struct Transport<const N: usize> {
    pub u: f64,
    pub d: f64,
    pub inlet: [f64; N],
}

impl<const N: usize> Transport<N> {
    /// Flux out of cell `j`: speeds on its new concentrations and known parts. `ahead_at_most` bounds what dispersion may
    /// take out of the next cell against the flow \[eq/L m/s\].
    #[inline(always)]
    pub fn out_of(&self, lagged: &[[f64; N]], j: usize, ahead_at_most: &[f64; N]) -> ([f64; N], [f64; N]) {
        let here = &lagged[j];
        let last = j + 1 == lagged.len();
        let (mut increment, mut after) = ([0.0; N], [0.0; N]);
        let (mut n_here, mut n_before, mut n_after, mut sum) = (0.0, 0.0, 0.0, 0.0);
        for i in 0..N {
            let c = here[i];
            let before = if j == 0 { 2.0 * (c - self.inlet[i]) } else { c - lagged[j - 1][i] };
            after[i] = if last { 0.0 } else { lagged[j + 1][i] - c };
            increment[i] =
                if last { 2.0 * c * (outlet_factor(c - before, c) - 1.0) } else { limited_increment(before, after[i]) };
            n_here += c;
            n_before += before;
            n_after += after[i];
            sum += increment[i];
        }
        let whole = if last {
            2.0 * n_here * (outlet_factor(n_here - n_before, n_here) - 1.0)
        } else {
            limited_increment(n_before, n_after)
        };
        let missing = (whole - sum) / n_here.max(NEGLIGIBLE);
        let (mut speed, mut known) = ([self.u; N], [0.0; N]);
        for i in 0..N {
            let c = here[i];
            let correction = 0.5 * self.u * (increment[i] + c * missing) - self.d * after[i];
            if c < NEGLIGIBLE {
                known[i] = -ahead_at_most[i].min(self.d * after[i].max(0.0));
                continue;
            }
            let relative = correction / (self.u * c).max(NEGLIGIBLE);
            if relative < LEAST_FACTOR - 1.0 && after[i] > 0.0 {
                let advected = self.u + correction / c + self.d * after[i] / c;
                speed[i] = advected.max(0.0) + self.d;
                known[i] = -ahead_at_most[i].min(self.d * (c + after[i]));
                continue;
            }
            // From moderate to steep the correction goes over smoothly: a switch would be felt by a search for steadiness.
            let steep = ((relative.abs() - MODERATE) * (1.0 / (STEEP - MODERATE))).clamp(0.0, 1.0);
            let known_share = (1.0 - steep) * c / (c + TRACE * n_here);
            known[i] = known_share * correction;
            speed[i] = (self.u + (1.0 - known_share) * correction / c).max(0.0);
        }
        (speed, known)
    }
}
