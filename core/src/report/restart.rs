//! Leakage around a rest: before it, and in the slug that comes first after it.

use crate::bed::model::Model;
use crate::cycle::history::{CycleHistory, StepHistory};
use crate::inputs::recipe::{StepDirection, StepName};
use crate::numerics::curve::{densified, integral_to, value_at};

/// Leakage of a service run \[eq/L\], in two pieces where a rest lets it jump.
pub(super) struct Run<'a> {
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

impl<'a> Run<'a> {
    pub fn new(model: &Model, service: &'a StepHistory, history: &CycleHistory) -> Self {
        let jump = history.restart.map(|restart| restart.sample);
        Self { bv: &service.sample_bv, values: hardness_of(model, service), jump: jump.filter(|at| *at > 0) }
    }

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

/// What samples say of their first bed volume.
fn slug(bv: &[f64], values: &[f64]) -> Slug {
    let start = bv.first().copied().unwrap_or(0.0);
    let end = bv.last().map_or(start, |last| last.min(start + 1.0));
    let peak = bv.iter().zip(values).filter(|(at, _)| **at <= end).map(|(_, value)| *value).fold(0.0, f64::max);
    Slug { before: 0.0, first_bv: integral_to(bv, values, end) / (end - start).max(f64::MIN_POSITIVE), peak }
}

/// Leakage around the rest in a run; else around a standby that ends the regeneration, if what left before it went the way
/// of service.
pub(super) fn of(model: &Model, history: &CycleHistory) -> Option<Slug> {
    let (service, between) = history.steps.split_last()?;
    if history.restart.is_some() {
        return Run::new(model, service, history).slug();
    }
    let (standby, before) = between.split_last().filter(|(last, _)| last.name == StepName::Standby)?;
    let before = before.last().filter(|step| step.direction == StepDirection::WithService && step.volume_bv > 0.0)?;
    debug_assert!(standby.volume_bv == 0.0);
    let last = hardness_of(model, before).last().copied()?;
    Some(Slug { before: last, ..slug(&service.sample_bv, &hardness_of(model, service)) })
}

/// Samples of a run made dense, each side of its rest by itself.
pub(super) fn dense(service: &StepHistory, ions: usize, history: &CycleHistory) -> (Vec<f64>, Vec<f64>) {
    let Some(restart) = history.restart else {
        return densified(&service.sample_bv, &service.sample_eq_per_l, ions);
    };
    let at = restart.sample;
    let (mut bv, mut values) = densified(&service.sample_bv[..at], &service.sample_eq_per_l[..at * ions], ions);
    let after = densified(&service.sample_bv[at..], &service.sample_eq_per_l[at * ions..], ions);
    bv.extend(after.0);
    values.extend(after.1);
    (bv, values)
}
