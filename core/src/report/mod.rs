//! Report: what is read off a finished run. Leakage, capacity, salt efficiency, waste, profiles; no integration in time.
//!
//! [`figures`] are single numbers, [`figure`] is what is said of one; [`tables`] are arrays, [`read`] takes both from a
//! history; [`note`] has what they should be read with, [`design_rule`] and [`site_target`] what they are held against. [`hydraulics`] is a table that needs no run, [`gypsum`] follows
//! saturation along what leaves, [`mod@through_time`] the bed through a recorded cycle, [`comparison`] sets cycles side by
//! side, [`apart`] says how far two are apart. All of it is values; [`wording`] has the words.

pub mod apart;
pub mod comparison;
mod delivered;
pub mod design_rule;
pub mod figure;
pub mod figures;
pub mod flow;
pub mod gypsum;
pub mod hydraulics;
pub mod note;
pub mod read;
mod reclaimed;
mod service_run;
pub mod site_target;
pub mod tables;
pub mod through_time;
pub mod wording;

use serde::Serialize;

use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::report::design_rule::DesignRule;
use crate::report::figures::Figures;
use crate::report::gypsum::Gypsum;
use crate::report::hydraulics::HydraulicsRow;
use crate::report::note::Note;
use crate::report::site_target::SiteTarget;
use crate::report::tables::{Curve, Profiles, StepRow, Waste};

/// Everything about one cycle.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct CycleReport {
    /// The case that was run.
    pub case: Case,
    /// Its figures.
    pub figures: Figures,
    /// Effluent of the service run.
    pub leakage: Curve,
    /// Effluent of everything between two service runs.
    pub waste_curve: Curve,
    /// How near to saturation with gypsum that effluent is; none if an ion has no activity law.
    pub gypsum: Option<Gypsum>,
    /// Loading and liquid after each step.
    pub profiles: Profiles,
    /// The steps as they were run.
    pub steps: Vec<StepRow>,
    /// What the flow of each step does to the bed.
    pub hydraulics: Vec<HydraulicsRow>,
    /// What reached the drain.
    pub waste: Waste,
    /// What the figures should be read with: assumptions made, correlations used outside their range.
    pub notes: Vec<Note>,
    /// Rules of design, each with what the cycle came to.
    pub design_rules: Vec<DesignRule>,
    /// What the site asks, each with what the cycle came to; none without a site.
    pub site_targets: Vec<SiteTarget>,
    /// The cycle metered at the longest run that settles below the limit, where the one asked for does not.
    pub longest_metered: Option<Box<CycleReport>>,
    /// What it cost.
    pub effort: Effort,
}

/// Everything about one single run.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[non_exhaustive]
pub struct RunReport {
    /// Effluent.
    pub effluent: Curve,
    /// Loading and liquid when it ended.
    pub loading: Profiles,
    /// Cells along the bed.
    pub cells: usize,
    /// Estimated numerical error of the effluent, in the mean over the run and of the worst ion, as a share of what left of
    /// it; from runs on half the cells and on a quarter. None if no other grid can be run.
    pub effluent_error_fraction: Option<f64>,
    /// The same of the loading when the run ended, as a share of capacity.
    pub loading_error_fraction: Option<f64>,
    /// Worst ion: |entered - left - gained| relative to what entered.
    pub ledger_error: f64,
    /// What the figures should be read with: assumptions made, correlations used outside their range.
    pub notes: Vec<Note>,
    /// What it cost.
    pub effort: Effort,
}
