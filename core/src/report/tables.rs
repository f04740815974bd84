//! Tables of a finished run: arrays with their axes named.

use ndarray::{Array2, Array3, Array4};
use serde::Serialize;

use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::plan::steps::StopReason;
use crate::plan::tubes::Tube;
use crate::report::flow::{FlowDirection, Way};
use crate::report::wording::as_words::{step_in_words, steps_in_words};

/// Concentrations against throughput at the outlet of one or more steps.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Curve {
    /// Throughput since the start of the curve \[bed volumes\], rising from 0; shape (samples).
    pub bv: Vec<f64>,
    /// The ions of the columns.
    pub ions: Vec<Ion>,
    /// Concentration of the liquid that leaves \[eq/L\]; shape (samples, ions).
    pub eq_per_l: Array2<f64>,
    /// Name of the step each sample belongs to; shape (samples).
    #[serde(serialize_with = "steps_in_words")]
    pub step: Vec<StepName>,
}

impl Curve {
    /// Concentration of the ion in a column at a throughput, on the line through the samples \[eq/L\]; before the first and
    /// after the last sample that sample's.
    ///
    /// # Panics
    /// For a column that the curve does not have.
    pub fn at(&self, bv: f64, column: usize) -> f64 {
        let after = self.bv.partition_point(|x| *x < bv);
        let value = |row: usize| self.eq_per_l[(row, column)];
        match (after.checked_sub(1), after < self.bv.len()) {
            (Some(before), true) => {
                let width = self.bv[after] - self.bv[before];
                let share = if width > 0.0 { (bv - self.bv[before]) / width } else { 0.0 };
                value(before) + share * (value(after) - value(before))
            }
            (Some(before), false) => value(before),
            (None, true) => value(0),
            (None, false) => 0.0,
        }
    }
}

/// Loading along the bed after each step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Profiles {
    /// The step after which each profile was taken; shape (steps).
    #[serde(serialize_with = "steps_in_words")]
    pub steps: Vec<StepName>,
    /// Depth of the cell centres from the service inlet \[m\]; shape (cells).
    pub depth_m: Vec<f64>,
    /// Height of the cells \[m\], which need not be equal: means along the bed are weighted by it; shape (cells).
    pub height_m: Vec<f64>,
    /// The ions.
    pub ions: Vec<Ion>,
    /// Loading q \[eq per litre of bed\]; shape (steps, cells, ions).
    pub loading_eq_per_l: Array3<f64>,
    /// Liquid C \[eq per litre of liquid\]; shape (steps, cells, ions).
    pub liquid_eq_per_l: Array3<f64>,
    /// The stream tubes by themselves, where the flow is uneven; the tables above are then their means by area.
    pub tubes: Option<TubeProfiles>,
}

/// Loading along each stream tube after each step.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct TubeProfiles {
    /// Area and velocities of each; shape (tubes).
    pub tubes: Vec<Tube>,
    /// Loading q \[eq per litre of bed\]; shape (steps, tubes, cells, ions).
    pub loading_eq_per_l: Array4<f64>,
}

/// One step as it was run.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct StepRow {
    /// Its name.
    #[serde(serialize_with = "step_in_words")]
    pub step: StepName,
    /// Where it flows.
    pub direction: FlowDirection,
    /// Volume passed \[bed volumes\].
    pub volume_bv: f64,
    /// Volume passed \[L\].
    pub volume_l: f64,
    /// Duration \[min\].
    pub minutes: f64,
    /// Flow \[bed volumes per hour\].
    pub flow_bv_per_h: f64,
    /// Its way through the vessel.
    pub way: Way,
    /// Superficial velocity \[m/h\].
    pub velocity_m_per_h: f64,
    /// Pressure lost over the settled bed (Ergun), the liquid's weight apart \[kPa\]; none where the flow lifts it.
    pub pressure_drop_kpa: Option<f64>,
    /// Velocity from which an upflow of the step's liquid lifts a bed that nothing holds (Wen and Yu) \[m/h\]; none for a
    /// downflow.
    pub lifts_from_m_per_h: Option<f64>,
    /// Rise of the bed over its settled depth (Richardson and Zaki) \[%\]; none where the flow does not lift it or carries it
    /// away, which a note then says.
    pub bed_expansion_percent: Option<f64>,
    /// Normality of the liquid that entered \[eq/L\]; 0 without flow.
    pub inlet_normality_eq_per_l: f64,
    /// Why it ended.
    pub ended: StopReason,
}

/// The waste of one regeneration: everything that left between two service runs.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct Waste {
    /// Volume \[bed volumes\].
    pub volume_bv: f64,
    /// Volume \[L\].
    pub volume_l: f64,
    /// Composite concentration of each ion, cations and anions \[mg of the ion per L\].
    pub composite_mg_per_l: Vec<(Ion, f64)>,
    /// Mass of each ion in one regeneration \[g\].
    pub mass_g: Vec<(Ion, f64)>,
    /// Highest chloride in the waste \[mg/L\].
    pub peak_chloride_mg_per_l: f64,
}
