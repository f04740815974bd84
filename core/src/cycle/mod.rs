//! Cycle: the clock. A step, a recipe, the cyclic steady state, and the history they record.
//!
//! [`step`] runs one step under error control, [`recipe`] resolves and runs the steps between two service runs,
//! [`steady`] finds the cycle that repeats itself, [`mod@repeat`] runs cycles from new resin, [`history`] holds what was
//! recorded, [`recorder`] the bed through a cycle that is run once more for it. Nothing is interpreted here.

use std::ops::ControlFlow;

use crate::bed::model::Model;
use crate::bed::vessel::VesselState;
use crate::cycle::recorder::Recorder;

pub mod history;
pub mod lifting;
mod parts;
pub mod recipe;
pub mod reclaim;
pub mod recorder;
pub mod repeat;
mod replay;
pub mod rest;
pub mod run;
pub mod steady;
pub mod step;

/// How far a long call has come.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
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
/// [`crate::Error::Interrupted`].
pub type Watch<'a> = dyn Fn(Progress) -> ControlFlow<()> + Sync + 'a;

/// The watcher that never stops a run.
pub fn unwatched(_: Progress) -> ControlFlow<()> {
    ControlFlow::Continue(())
}

/// Who looks on while steps are run.
struct Onlookers<'a> {
    watch: &'a Watch<'a>,
    progress: Progress,
    /// Records the bed, if that was asked for.
    recorder: Option<&'a mut Recorder>,
}

impl<'a> Onlookers<'a> {
    /// A watcher alone.
    fn watcher(watch: &'a Watch<'a>, progress: Progress) -> Self {
        Self { watch, progress, recorder: None }
    }

    /// Tell the recorder, if there is one, what the bed holds.
    fn tell<const N: usize>(
        &mut self,
        model: &Model,
        state: &VesselState<N>,
        what: impl FnOnce(&mut Recorder, Vec<f64>, Vec<f64>),
    ) {
        if let Some(recorder) = &mut self.recorder {
            what(recorder, state.loading(model), state.liquid(model));
        }
    }
}

/// Call `$function::<N>(...)` with N the number of ions of a model, 1 to 10.
macro_rules! for_ion_count {
    ($count:expr, $function:ident, $($argument:expr),*) => {
        match $count {
            1 => $function::<1>($($argument),*),
            2 => $function::<2>($($argument),*),
            3 => $function::<3>($($argument),*),
            4 => $function::<4>($($argument),*),
            5 => $function::<5>($($argument),*),
            6 => $function::<6>($($argument),*),
            7 => $function::<7>($($argument),*),
            8 => $function::<8>($($argument),*),
            9 => $function::<9>($($argument),*),
            10 => $function::<10>($($argument),*),
            count => Err($crate::Error::value("water.ions", count, "at most 10 cations")),
        }
    };
}
pub(crate) use for_ion_count;
