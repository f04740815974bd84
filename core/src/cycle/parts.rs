//! A step marched in parts, where something has to be done or counted at given times, and the parts told as one again.
//!
//! Each part starts its own history of time steps. Steps of a neighbouring cycle are followed part by part.

use crate::bed::model::Model;
use crate::bed::vessel::VesselState;
use crate::cycle::Onlookers;
use crate::cycle::history::{StepHistory, StopReason};
use crate::cycle::recorder::Recorder;
use crate::cycle::step::{End, Plan, march_step};
use crate::error::Result;
use crate::numerics::effort::Effort;

/// Two times are one if they differ by less than this share of the later.
const ONE_TIME: f64 = 1e-9;

/// The end of the part from `from_s` to `to_s` \[s\] of a step that ends so.
fn part_of(end: End, from_s: f64, to_s: f64) -> End {
    let most = to_s - from_s;
    match end {
        End::After(_, reason) => End::After(most, reason),
        End::Rise { level, armed_s, .. } => End::Rise { level, armed_s: (armed_s - from_s).max(0.0), at_most_s: most },
        End::Fall { level, armed_s, .. } => End::Fall { level, armed_s: (armed_s - from_s).max(0.0), at_most_s: most },
    }
}

/// Did what leaves end a step, before its time?
pub(super) fn ended_early(history: &StepHistory) -> bool {
    matches!(history.stop, StopReason::LeakageLimit | StopReason::NeverSoft | StopReason::Rinsed)
}

/// Time steps of a neighbouring cycle, shared out to parts of these lengths \[s\]; the last gets what is left.
pub(super) fn shared_out<'a>(mut guide: &'a [f64], lengths_s: &[f64]) -> Vec<&'a [f64]> {
    let mut shares = Vec::with_capacity(lengths_s.len());
    for (k, length) in lengths_s.iter().enumerate() {
        let mut passed = 0.0;
        let whole = k + 1 == lengths_s.len();
        let taken = guide.iter().take_while(|step| {
            let more = whole || passed < length * (1.0 - ONE_TIME);
            passed += **step;
            more
        });
        let (share, rest) = guide.split_at(taken.count());
        shares.push(share);
        guide = rest;
    }
    shares
}

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
    plan: &Plan<N>,
    cuts_s: &[f64],
    guide: &[f64],
    onlookers: &mut Onlookers<'_>,
    mut each: impl FnMut(&mut VesselState<N>, Between),
) -> Result<(VesselState<N>, Vec<StepHistory>)> {
    let latest = plan.end.latest_s();
    let mut edges = vec![0.0];
    for cut in cuts_s.iter().copied().chain([latest]) {
        let before = edges.last().copied().unwrap_or(0.0);
        if cut - before > ONE_TIME * latest && (latest - cut > ONE_TIME * latest || cut == latest) {
            edges.push(cut);
        }
    }
    let lengths: Vec<f64> = edges.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let guides = shared_out(guide, &lengths);
    let mut parts: Vec<StepHistory> = Vec::with_capacity(lengths.len());
    if !lengths.is_empty() {
        onlookers.tell(model, &state, Recorder::begins);
    }
    let mut passed = 0.0;
    for (pair, guide) in edges.windows(2).zip(guides) {
        each(&mut state, Between { passed_s: passed, coming_s: pair[1] - pair[0] });
        let part = Plan { end: part_of(plan.end, pair[0], pair[1]), ..plan.clone() };
        let (next, history) = march_step(model, state, &part, guide, onlookers)?;
        state = next;
        passed = history.duration_s;
        let early = ended_early(&history);
        parts.push(history);
        if early {
            break;
        }
    }
    each(&mut state, Between { passed_s: passed, coming_s: 0.0 });
    if let Some(last) = parts.last_mut() {
        last.loading = state.loading(model);
        last.tube_loading = state.tube_loading();
        onlookers.tell(model, &state, Recorder::ends);
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

/// Parts told as one step. Where the liquid that leaves does not jump, the first sample of a part is the last one of the
/// part before and is left out; `None` for no parts.
pub(super) fn joined(parts: Vec<StepHistory>) -> Option<StepHistory> {
    let mut parts = parts.into_iter();
    let mut whole = parts.next()?;
    for part in parts {
        append(&mut whole, part, true);
    }
    Some(whole)
}

/// Append a part to a step; `smooth` where what leaves goes on as it did.
pub(super) fn append(whole: &mut StepHistory, part: StepHistory, smooth: bool) {
    let ions = part.left.len();
    let skip = usize::from(smooth && !whole.sample_bv.is_empty() && !part.sample_bv.is_empty());
    let passed = whole.volume_bv;
    whole.sample_bv.extend(part.sample_bv.iter().skip(skip).map(|bv| passed + bv));
    whole.sample_eq_per_l.extend_from_slice(part.sample_eq_per_l.get(skip * ions..).unwrap_or(&[]));
    whole.time_steps_s.extend_from_slice(&part.time_steps_s);
    whole.duration_s += part.duration_s;
    whole.volume_bv += part.volume_bv;
    whole.stop = part.stop;
    let add = |sums: &mut Vec<f64>, more: &[f64]| sums.iter_mut().zip(more).for_each(|(sum, more)| *sum += more);
    add(&mut whole.entered, &part.entered);
    add(&mut whole.left, &part.left);
    whole.loading = part.loading;
    whole.liquid = part.liquid;
    whole.tube_loading = part.tube_loading;
    let mut effort = Effort::default();
    effort.add(&whole.effort);
    effort.add(&part.effort);
    whole.effort = effort;
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_guide_is_shared_out_by_time() {
        let guide = [1.0, 1.0, 2.0, 3.0, 1.0];
        assert_eq!(shared_out(&guide, &[2.0, 5.0, 1.0]), [&guide[..2], &guide[2..4], &guide[4..]]);
        assert_eq!(shared_out(&guide, &[8.0]), [&guide[..]]);
        assert_eq!(shared_out(&guide, &[100.0, 1.0]), [&guide[..], &[]]);
    }
}
