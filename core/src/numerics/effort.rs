//! Counts of what a run cost, and why.

use serde::Serialize;

/// Effort of a run; every count is exact and repeatable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[non_exhaustive]
pub struct Effort {
    /// Time steps taken.
    pub steps: u64,
    /// Steps tried and refused because their error was too large.
    pub rejected_error: u64,
    /// Steps refused because a value would have turned negative.
    pub rejected_negative: u64,
    /// Steps refused because the nonlinear iteration did not converge.
    pub rejected_nonlinear: u64,
    /// Steps redone to land on an event.
    pub event_steps: u64,
    /// Passes over all cells.
    pub sweeps: u64,
    /// Local equilibria solved.
    pub equilibria: u64,
    /// Iterations spent in them.
    pub equilibrium_iterations: u64,
    /// Block-tridiagonal factorisations.
    pub factorisations: u64,
    /// Cells where a step fell back to backward Euler to stay positive.
    pub blended_cells: u64,
    /// Cycles run on the grid asked for.
    pub cycles: u64,
    /// Cycles run on a coarser grid to begin from.
    pub coarse_cycles: u64,
    /// Searches on a coarser grid that failed, so that the one asked for began without it.
    pub coarse_failures: u64,
}

impl Effort {
    /// Add another run's counts.
    pub fn add(&mut self, other: &Self) {
        self.steps += other.steps;
        self.rejected_error += other.rejected_error;
        self.rejected_negative += other.rejected_negative;
        self.rejected_nonlinear += other.rejected_nonlinear;
        self.event_steps += other.event_steps;
        self.sweeps += other.sweeps;
        self.equilibria += other.equilibria;
        self.equilibrium_iterations += other.equilibrium_iterations;
        self.factorisations += other.factorisations;
        self.blended_cells += other.blended_cells;
        self.cycles += other.cycles;
        self.coarse_cycles += other.coarse_cycles;
        self.coarse_failures += other.coarse_failures;
    }
}

impl<'a> std::iter::Sum<&'a Self> for Effort {
    fn sum<I: Iterator<Item = &'a Self>>(runs: I) -> Self {
        let mut total = Self::default();
        runs.for_each(|run| total.add(run));
        total
    }
}
