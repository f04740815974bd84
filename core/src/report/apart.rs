//! How far two cycles or runs of one case are apart: figures, curves and profiles, each in a measure of its own.

/// How far two cycles of one case are apart.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[non_exhaustive]
pub struct Apart {
    /// Their run lengths, as a share of the first.
    pub run_length: f64,
    /// Their capacities.
    pub capacity: f64,
    /// Their mean leakages, or their leakages in the mean over equal shares of their runs if that is more; of a leakage
    /// below 0.01 mg/L as CaCO3, as this and the next ones, as a share of that much.
    pub leakage_mean: f64,
    /// Their leakages at half run, or anywhere from 40 to 60 % of it, each as a share of the leakage there.
    pub leakage_half_run: f64,
    /// Their mean leakages over the first bed volume, or anywhere in it.
    pub leakage_initial: f64,
    /// Their lowest leakages, or those around half run.
    pub leakage_minimum: f64,
    /// Their highest leakages, or those in the first bed volume.
    pub leakage_maximum: f64,
    /// Their leakages as service ends.
    pub leakage_end: f64,
    /// Hardness in what leaves between two service runs, in the mean over equal shares of its volume, as a share of its mean.
    pub waste_curve: f64,
    /// Hardness on the resin after the step where they are farthest apart, in the mean over the bed, as a share of capacity.
    pub profiles: f64,
}

impl Apart {
    /// The measures of two, put together one by one.
    #[must_use]
    pub fn with(&self, other: &Self, mut put: impl FnMut(f64, f64) -> f64) -> Self {
        Self {
            run_length: put(self.run_length, other.run_length),
            capacity: put(self.capacity, other.capacity),
            leakage_mean: put(self.leakage_mean, other.leakage_mean),
            leakage_half_run: put(self.leakage_half_run, other.leakage_half_run),
            leakage_initial: put(self.leakage_initial, other.leakage_initial),
            leakage_minimum: put(self.leakage_minimum, other.leakage_minimum),
            leakage_maximum: put(self.leakage_maximum, other.leakage_maximum),
            leakage_end: put(self.leakage_end, other.leakage_end),
            waste_curve: put(self.waste_curve, other.waste_curve),
            profiles: put(self.profiles, other.profiles),
        }
    }
}

/// How far two single runs are apart.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[non_exhaustive]
pub struct RunApart {
    /// Their effluents, in the mean over the run and of the worst ion, as a share of what left of it.
    pub effluent: f64,
    /// Where an ion peaks, the middle of what lies above 98 % of its highest concentration, of the worst ion, as a share
    /// of that throughput.
    pub peak: f64,
    /// Their loadings at the end, in the mean over the bed and of the worst ion, as a share of capacity.
    pub loading: f64,
}
