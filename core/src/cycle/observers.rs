//! Who looks on while cycles run: a watcher that may stop them, and a recorder of the bed.

use std::ops::ControlFlow;

use crate::bed::vessel::VesselState;
use crate::cycle::recorder::Recorder;
use crate::plan::model::Model;

/// How far a long call has come.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
#[non_exhaustive]
pub struct Progress {
    /// Cycle that is running, from 1; 0 outside a cycle.
    pub cycle: usize,
    /// Change of the loading over the last cycle, relative to capacity.
    pub residual: f64,
    /// Cases finished.
    pub done: usize,
    /// Cases in all.
    pub total: usize,
}

/// A watcher: called every few hundred time steps and after each cycle; `Break` stops the run with
/// [`Error::Interrupted`](crate::Error::Interrupted).
pub type Watch<'a> = dyn Fn(Progress) -> ControlFlow<()> + Sync + 'a;

/// The watcher that never stops a run.
pub fn unwatched(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

/// Who looks on while steps are run.
pub(super) struct Observers<'a> {
    pub watch: &'a Watch<'a>,
    pub progress: Progress,
    /// Records the bed, if that was asked for.
    pub recorder: Option<&'a mut Recorder>,
}

impl<'a> Observers<'a> {
    /// A watcher alone.
    pub fn watcher(watch: &'a Watch<'a>, progress: Progress) -> Self {
        Self { watch, progress, recorder: None }
    }

    /// Show the recorder, if there is one, what the bed holds.
    pub fn show<const N: usize>(
        &mut self,
        model: &Model,
        state: &VesselState<N>,
        record: impl FnOnce(&mut Recorder, Vec<f64>, Vec<f64>),
    ) {
        if let Some(recorder) = &mut self.recorder {
            record(recorder, state.loading(model), state.liquid(model));
        }
    }
}
