//! The bed through one cycle, read off its recording; what leaves comes from the samples that every run keeps.

use ndarray::{Array2, Array3};
use serde::Serialize;

use crate::cycle::history::{CycleHistory, StepHistory};
use crate::cycle::recorder::{Moment, Recording, Segment};
use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::numerics::curve::densified;
use crate::plan::model::Model;
use crate::report::read::{depth_m, height_m};
use crate::report::wording::as_words::steps_in_words;
use crate::units::convert::s_to_min;

/// Loading and liquid along the bed at moments of one cycle, and what leaves then.
///
/// Each step has moments from its start to its end, evenly spread over its throughput, or over its time where nothing
/// flows; so the end of a step and the start of the next are two moments at one time.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct ThroughTime {
    /// Name of the step; a rest within service is a standby. Shape (moments).
    #[serde(serialize_with = "steps_in_words")]
    pub step: Vec<StepName>,
    /// Volume since the cycle's first step began \[bed volumes\]; shape (moments).
    pub bv: Vec<f64>,
    /// Time since then \[min\]; shape (moments).
    pub minutes: Vec<f64>,
    /// Depth of the cell centres from the service inlet \[m\]; shape (cells).
    pub depth_m: Vec<f64>,
    /// Height of the cells \[m\], which need not be equal: means along the bed are weighted by it; shape (cells).
    pub height_m: Vec<f64>,
    /// The ions.
    pub ions: Vec<Ion>,
    /// Loading q, mean of stream tubes by area \[eq per litre of bed\]; shape (moments, cells, ions).
    pub loading_eq_per_l: Array3<f64>,
    /// Liquid C, likewise \[eq per litre of liquid\]; shape (moments, cells, ions).
    pub liquid_eq_per_l: Array3<f64>,
    /// What leaves the vessel \[eq/L\], on the curve that [`CycleReport`](crate::CycleReport) has of it; not a number
    /// where nothing flows. Shape (moments, ions).
    pub effluent_eq_per_l: Array2<f64>,
}

/// Read a recording of a cycle.
pub fn through_time(model: &Model, history: &CycleHistory, recording: &Recording) -> ThroughTime {
    let ions = model.ions.len();
    let Recording { segments, moments } = recording;
    let table = |pick: fn(&Moment) -> &[f64]| {
        let shape = (moments.len(), model.cells(), ions);
        Array3::from_shape_fn(shape, |(moment, cell, ion)| pick(&moments[moment])[cell * ions + ion])
    };
    let left: Vec<Left> = history.steps().map(|step| Left::of(model, step)).collect();
    // Of each moment, and of all segments before its own.
    let along = |of: fn(&Segment) -> f64| -> Vec<f64> {
        let begins: Vec<f64> = segments
            .iter()
            .scan(0.0, |passed, segment| {
                let begins = *passed;
                *passed += of(segment);
                Some(begins)
            })
            .collect();
        moments.iter().map(|m| begins[m.segment] + m.share * of(&segments[m.segment])).collect()
    };
    ThroughTime {
        step: moments.iter().map(|moment| segments[moment.segment].name).collect(),
        bv: along(|segment| segment.volume_bv),
        minutes: along(|segment| s_to_min(segment.duration_s)),
        depth_m: depth_m(model),
        height_m: height_m(model),
        ions: model.ions.clone(),
        loading_eq_per_l: table(|moment| &moment.loading),
        liquid_eq_per_l: table(|moment| &moment.liquid),
        effluent_eq_per_l: Array2::from_shape_fn((moments.len(), ions), |(moment, ion)| {
            left[moments[moment].segment].at(moments[moment].share, ion)
        }),
    }
}

/// What left during a step, joined by straight lines.
struct Left {
    /// Throughput since the step began \[bed volumes\].
    bv: Vec<f64>,
    /// \[eq/L\]; shape (samples x ions), row by row.
    values: Vec<f64>,
    ions: usize,
}

impl Left {
    fn of(model: &Model, step: &StepHistory) -> Self {
        let ions = model.ions.len();
        let (bv, values) = match step.name {
            // Two plugs, which no curve joins.
            StepName::Backwash => (step.sample_bv.clone(), step.sample_eq_per_l.clone()),
            _ => densified(&step.sample_bv, &step.sample_eq_per_l, ions),
        };
        Self { bv, values, ions }
    }

    /// Concentration of an ion at a share of the step \[eq/L\].
    fn at(&self, share: f64, ion: usize) -> f64 {
        let value = |row: usize| self.values[row * self.ions + ion];
        let Some(end) = self.bv.last() else { return f64::NAN };
        let at = share * end;
        let after = self.bv.partition_point(|bv| *bv < at).min(self.bv.len() - 1);
        let Some(before) = after.checked_sub(1) else { return value(0) };
        let width = self.bv[after] - self.bv[before];
        let part = if width > 0.0 { ((at - self.bv[before]) / width).min(1.0) } else { 1.0 };
        value(before) + part * (value(after) - value(before))
    }
}
