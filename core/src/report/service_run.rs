//! The service run of a cycle, its parts joined, and the leakage around a rest: before it, and in the slug after it.

use std::borrow::Cow;

use crate::cycle::history::{CycleHistory, StepHistory};
use crate::inputs::recipe_steps::StepName;
use crate::numerics::curve::{densified, integral_to, value_at};
use crate::plan::model::Model;
use crate::plan::resolved_steps::StepDirection;

/// A service run as one step.
pub(super) struct ServiceRun<'a> {
    /// All of it; a rest counts in its duration.
    pub whole: Cow<'a, StepHistory>,
    /// The rest in its middle, if it had one.
    pub rest: Option<Rest>,
}

/// A rest in the middle of a run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rest {
    /// Duration \[s\].
    pub seconds: f64,
    /// The first of the run's samples after it: what leaves jumps there.
    first_sample: usize,
}

impl<'a> ServiceRun<'a> {
    /// The run of a cycle; none if it has none.
    pub fn of(history: &'a CycleHistory) -> Option<Self> {
        let [first, later @ ..] = history.service.as_slice() else { return None };
        let [standby, after @ ..] = later else { return Some(Self { whole: Cow::Borrowed(first), rest: None }) };
        let mut whole = first.clone();
        whole.append(standby.clone(), true);
        let rest = Rest { seconds: standby.duration_s, first_sample: whole.sample_bv.len() };
        for part in after {
            whole.append(part.clone(), false);
        }
        Some(Self { whole: Cow::Owned(whole), rest: Some(rest) })
    }

    /// Its leakage.
    pub fn leakage(&self, model: &Model) -> Leakage<'_> {
        let jump = self.rest.map(|rest| rest.first_sample);
        let values = hardness_of(model, &self.whole);
        Leakage { bv: &self.whole.sample_bv, values, jump: jump.filter(|at| *at > 0) }
    }

    /// Its samples made dense, each side of its rest by itself.
    pub fn dense(&self, ions: usize) -> (Vec<f64>, Vec<f64>) {
        let whole = &self.whole;
        let Some(rest) = self.rest else {
            return densified(&whole.sample_bv, &whole.sample_eq_per_l, ions);
        };
        let at = rest.first_sample;
        let (mut bv, mut values) = densified(&whole.sample_bv[..at], &whole.sample_eq_per_l[..at * ions], ions);
        let after = densified(&whole.sample_bv[at..], &whole.sample_eq_per_l[at * ions..], ions);
        bv.extend(after.0);
        values.extend(after.1);
        (bv, values)
    }
}

/// Leakage of a service run \[eq/L\], in two pieces where a rest lets it jump.
pub(super) struct Leakage<'a> {
    bv: &'a [f64],
    values: Vec<f64>,
    /// The first sample after the rest.
    jump: Option<usize>,
}

/// Leakage around a rest \[eq/L\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slug {
    /// As the flow stopped.
    pub before: f64,
    /// Mean over the first bed volume after it.
    pub first_bv: f64,
    /// Highest in that bed volume.
    pub peak: f64,
}

impl Leakage<'_> {
    /// At each sample.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// Leakage at a throughput; at the rest itself, that before it.
    pub fn at(&self, bv: f64) -> f64 {
        match self.jump {
            Some(jump) if bv > self.bv[jump - 1] => value_at(&self.bv[jump..], &self.values[jump..], bv),
            Some(jump) => value_at(&self.bv[..jump], &self.values[..jump], bv),
            None => value_at(self.bv, &self.values, bv),
        }
    }

    /// Integral of the leakage from the start \[eq per litre of bed\].
    pub fn integral_to(&self, bv: f64) -> f64 {
        match self.jump {
            Some(jump) => {
                integral_to(&self.bv[..jump], &self.values[..jump], bv)
                    + integral_to(&self.bv[jump..], &self.values[jump..], bv)
            }
            None => integral_to(self.bv, &self.values, bv),
        }
    }

    /// The slug after the rest, if the run had one.
    fn slug(&self) -> Option<Slug> {
        let jump = self.jump?;
        Some(Slug { before: self.values[jump - 1], ..slug(&self.bv[jump..], &self.values[jump..]) })
    }
}

fn hardness_of(model: &Model, step: &StepHistory) -> Vec<f64> {
    let of = |eq_per_l: &[f64]| eq_per_l.iter().zip(&model.hardness).map(|(c, weight)| c * weight).sum();
    step.sample_eq_per_l.chunks_exact(model.ions.len()).map(of).collect()
}

/// The first bed volume of some samples.
fn slug(bv: &[f64], values: &[f64]) -> Slug {
    let start = bv.first().copied().unwrap_or(0.0);
    let end = bv.last().map_or(start, |last| last.min(start + 1.0));
    let peak = bv.iter().zip(values).filter(|(at, _)| **at <= end).map(|(_, value)| *value).fold(0.0, f64::max);
    Slug { before: 0.0, first_bv: integral_to(bv, values, end) / (end - start).max(f64::MIN_POSITIVE), peak }
}

/// Leakage around the rest in a run; else around a standby that ends the regeneration, if what left before it went the way
/// of service.
pub(super) fn slug_of(model: &Model, between: &[StepHistory], service: &ServiceRun<'_>) -> Option<Slug> {
    if service.rest.is_some() {
        return service.leakage(model).slug();
    }
    let (standby, before) = between.split_last().filter(|(last, _)| last.name == StepName::Standby)?;
    let before = before.last().filter(|step| step.direction == StepDirection::WithService && step.volume_bv > 0.0)?;
    debug_assert!(standby.volume_bv == 0.0);
    let last = hardness_of(model, before).last().copied()?;
    Some(Slug { before: last, ..slug(&service.whole.sample_bv, &hardness_of(model, &service.whole)) })
}
