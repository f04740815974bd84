//! A cycle run once more, with a recorder looking on.

use crate::bed::model::Model;
use crate::bed::vessel::VesselState;
use crate::cycle::history::CycleHistory;
use crate::cycle::recipe::run_cycle;
use crate::cycle::recorder::{Recorder, Recording};
use crate::cycle::{Onlookers, Progress, Watch};
use crate::error::Result;
use crate::inputs::case::Case;

/// What a cycle began from, so that it can be run again to the last bit.
pub(super) struct Start<const N: usize> {
    pub state: VesselState<N>,
    pub tank: Option<[f64; N]>,
    pub new_resin: bool,
    /// The neighbouring cycle whose time steps it followed.
    pub guide: Option<CycleHistory>,
}

impl<const N: usize> Start<N> {
    /// The cycle once more, recorded.
    pub fn recorded(
        self,
        case: &Case,
        model: &Model,
        history: &CycleHistory,
        moments: usize,
        (watch, progress): (&Watch<'_>, Progress),
    ) -> Result<Recording> {
        let Self { state, tank, new_resin, guide } = self;
        let mut recorder = Recorder::new(history, moments)?;
        let mut onlookers = Onlookers { watch, progress, recorder: Some(&mut recorder) };
        run_cycle(case, model, state, tank, new_resin, guide.as_ref(), &mut onlookers)?;
        Ok(recorder.recording())
    }
}
