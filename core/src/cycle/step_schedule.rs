//! The time steps that a cycle takes over from the one before.
//!
//! They are taken again as long as their errors allow, so that the map from one cycle to the next is smooth: steps chosen
//! afresh would shift a little every time, and the fixed-point search would hunt after that noise.

use crate::cycle::history::CycleHistory;

/// The time steps of a whole cycle, by the place of a step in it.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct StepSchedule {
    steps_s: Vec<Vec<f64>>,
}

impl StepSchedule {
    /// Those of a cycle that was run.
    pub fn of(history: &CycleHistory) -> Self {
        Self { steps_s: history.steps().map(|step| step.time_steps_s.clone()).collect() }
    }

    /// Those of the step in a place \[s\]; none where nothing is scheduled.
    pub fn of_step(&self, place: usize) -> &[f64] {
        self.steps_s.get(place).map_or(&[], Vec::as_slice)
    }
}

/// Time steps shared out to parts of these lengths \[s\], which differ by less than `one_time` of themselves where they are
/// the same; the last part gets what is left.
pub(super) fn shared_out<'a>(mut schedule_s: &'a [f64], lengths_s: &[f64], one_time: f64) -> Vec<&'a [f64]> {
    let mut shares = Vec::with_capacity(lengths_s.len());
    for (k, length) in lengths_s.iter().enumerate() {
        let mut passed = 0.0;
        let whole = k + 1 == lengths_s.len();
        let taken = schedule_s.iter().take_while(|step| {
            let more = whole || passed < length * (1.0 - one_time);
            passed += **step;
            more
        });
        let (share, rest) = schedule_s.split_at(taken.count());
        shares.push(share);
        schedule_s = rest;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_schedule_is_shared_out_by_time() {
        let schedule = [1.0, 1.0, 2.0, 3.0, 1.0];
        let shared = |lengths: &[f64]| shared_out(&schedule, lengths, 1e-9);
        assert_eq!(shared(&[2.0, 5.0, 1.0]), [&schedule[..2], &schedule[2..4], &schedule[4..]]);
        assert_eq!(shared(&[8.0]), [&schedule[..]]);
        assert_eq!(shared(&[100.0, 1.0]), [&schedule[..], &[]]);
    }
}
