//! The ledger: what entered and what left, by ion, summed from the very fluxes that moved the bed.

/// Equivalents per litre of bed that passed the ends of the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ledger<const N: usize> {
    /// Entered.
    pub entered: [f64; N],
    /// Left.
    pub left: [f64; N],
}

impl<const N: usize> Default for Ledger<N> {
    fn default() -> Self {
        Self { entered: [0.0; N], left: [0.0; N] }
    }
}

impl<const N: usize> Ledger<N> {
    /// Count a step's fluxes through the inlet and the outlet.
    pub fn count(&mut self, entered: &[f64; N], left: &[f64; N]) {
        for i in 0..N {
            self.entered[i] += entered[i];
            self.left[i] += left[i];
        }
    }

    /// Add another ledger.
    pub fn add(&mut self, other: &Self) {
        self.count(&other.entered, &other.left);
    }

    /// Worst ion: |entered - left - gained|, relative to the equivalents of all ions that entered.
    pub fn error(&self, held_before: &[f64; N], held_after: &[f64; N]) -> f64 {
        let total: f64 = self.entered.iter().sum();
        (0..N).map(|i| (self.entered[i] - self.left[i] - (held_after[i] - held_before[i])).abs()).fold(0.0, f64::max)
            / total.max(f64::MIN_POSITIVE)
    }
}
