//! A step marched in parts, where something has to be done or counted at given times, and the parts joined to one again.
//!
//! Each part starts its own history of time steps. The schedule of a neighbouring cycle is followed part by part.

use crate::bed::vessel::VesselState;
use crate::cycle::history::StepHistory;
use crate::cycle::observers::Observers;
use crate::cycle::recorder::Recorder;
use crate::cycle::step::march_step;
use crate::cycle::step_schedule::shared_out;
use crate::error::Result;
use crate::plan::model::Model;
use crate::plan::steps::PlannedStep;

/// Two times are one if they differ by less than this share of the later.
const ONE_TIME: f64 = 1e-9;

/// Run a step in parts, cut at `cuts_s` \[s since it began\]; `each` sees the bed before each part and after the last one,
/// the recorder as the step finds it and as it leaves it.
///
/// Cuts outside the step, and those that fall together, are left out. Without a cut this is
/// [`march_step`].
///
/// # Errors
/// As [`crate::cycle::step::run_step`].
pub(super) fn run_in_parts<const N: usize>(
    model: &Model,
    mut state: VesselState<N>,
    step: &PlannedStep,
    cuts_s: &[f64],
    schedule_s: &[f64],
    observers: &mut Observers<'_>,
    mut each: impl FnMut(&mut VesselState<N>, Between),
) -> Result<(VesselState<N>, Vec<StepHistory>)> {
    let latest = step.end.latest_s();
    let mut edges = vec![0.0];
    for cut in cuts_s.iter().copied().chain([latest]) {
        let before = edges.last().copied().unwrap_or(0.0);
        if cut - before > ONE_TIME * latest && (latest - cut > ONE_TIME * latest || cut == latest) {
            edges.push(cut);
        }
    }
    let lengths: Vec<f64> = edges.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let schedules = shared_out(schedule_s, &lengths, ONE_TIME);
    let mut parts: Vec<StepHistory> = Vec::with_capacity(lengths.len());
    if !lengths.is_empty() {
        observers.show(model, &state, Recorder::begins);
    }
    let mut passed = 0.0;
    for (pair, schedule_s) in edges.windows(2).zip(schedules) {
        each(&mut state, Between { passed_s: passed, coming_s: pair[1] - pair[0] });
        let part = PlannedStep { end: step.end.of_part(pair[0], pair[1]), ..step.clone() };
        let (next, history) = march_step(model, state, &part, schedule_s, observers)?;
        state = next;
        passed = history.duration_s;
        let early = history.ended_early();
        parts.push(history);
        if early {
            break;
        }
    }
    each(&mut state, Between { passed_s: passed, coming_s: 0.0 });
    if let Some(last) = parts.last_mut() {
        last.loading = state.loading(model);
        last.tube_loading = state.tube_loading();
        observers.show(model, &state, Recorder::ends);
    }
    Ok((state, parts))
}

/// The moment between two parts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Between {
    /// Duration of the part before, 0 at the start \[s\].
    pub passed_s: f64,
    /// Duration of the part to come, 0 at the end \[s\].
    pub coming_s: f64,
}

/// Parts joined to one step. Where the liquid that leaves does not jump, the first sample of a part is the last one of the
/// part before and is left out; `None` for no parts.
pub(super) fn joined(parts: Vec<StepHistory>) -> Option<StepHistory> {
    let mut parts = parts.into_iter();
    let mut whole = parts.next()?;
    for part in parts {
        whole.append(part, true);
    }
    Some(whole)
}
