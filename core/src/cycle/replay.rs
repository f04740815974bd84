//! A cycle run once more, with a recorder looking on.

use crate::cycle::cycle_state::CycleState;
use crate::cycle::history::CycleHistory;
use crate::cycle::observers::{Observers, Progress, Watch};
use crate::cycle::recorder::{Recorder, Recording};
use crate::cycle::run_cycle::run_cycle;
use crate::cycle::step_schedule::StepSchedule;
use crate::error::Result;
use crate::plan::cycle_plan::CyclePlan;

/// What a cycle began from, so that it can be run again to the last bit.
pub(super) struct Start<const N: usize> {
    pub state: CycleState<N>,
    pub new_resin: bool,
    /// The time steps that it followed.
    pub schedule: StepSchedule,
}

impl<const N: usize> Start<N> {
    /// The cycle once more, recorded.
    pub fn recorded(
        self,
        plan: &CyclePlan,
        history: &CycleHistory,
        moments: usize,
        (watch, progress): (&Watch<'_>, Progress),
    ) -> Result<Recording> {
        let Self { state, new_resin, schedule } = self;
        let mut recorder = Recorder::new(history, moments)?;
        let mut observers = Observers { watch, progress, recorder: Some(&mut recorder) };
        run_cycle(plan, state, new_resin, &schedule, &mut observers)?;
        Ok(recorder.recording())
    }
}
