//! The tank of reclaimed brine through one regeneration; [`crate::plan::reclaim`] has what is kept of it.

use crate::cycle::history::StepHistory;
use crate::inputs::recipe_steps::StepName;
use crate::plan::reclaim::Reclaim;
use crate::plan::steps::PlannedStep;
use crate::units::convert::bv_at_bv_per_h_to_s;

/// What is kept of a regeneration, and how far it has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ReclaimTank<const N: usize> {
    reclaim: Reclaim,
    /// Throughput since the first brine; none before it.
    passed_bv: Option<f64>,
    /// Kept so far \[eq per litre of bed\].
    kept: [f64; N],
}

impl<const N: usize> ReclaimTank<N> {
    /// An empty tank.
    pub fn new(reclaim: Reclaim) -> Self {
        Self { reclaim, passed_bv: None, kept: [0.0; N] }
    }

    /// Times at which a step has to be cut \[s since it begins\].
    pub fn cuts_s(&mut self, step: &PlannedStep) -> Vec<f64> {
        if matches!(step.name, StepName::Brine | StepName::ReclaimedBrine) {
            self.passed_bv.get_or_insert(0.0);
        }
        let Some(passed) = self.passed_bv.filter(|_| step.flow_bv_per_h > 0.0) else {
            return Vec::new();
        };
        let cuts = [self.reclaim.from_bv, self.reclaim.to_bv].into_iter().filter(|at| *at > passed);
        cuts.map(|at| bv_at_bv_per_h_to_s(at - passed, step.flow_bv_per_h)).collect()
    }

    /// Count what left in the parts of a step.
    pub fn count(&mut self, parts: &[StepHistory]) {
        let Some(mut passed) = self.passed_bv else { return };
        for part in parts {
            let middle = passed + 0.5 * part.volume_bv;
            if part.volume_bv > 0.0 && self.reclaim.from_bv < middle && middle < self.reclaim.to_bv {
                for (kept, left) in self.kept.iter_mut().zip(&part.left) {
                    *kept += left;
                }
            }
            passed += part.volume_bv;
        }
        self.passed_bv = Some(passed);
    }

    /// Everything kept \[eq per litre of bed\].
    pub fn kept(&self) -> [f64; N] {
        self.kept
    }
}
