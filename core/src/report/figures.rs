//! The figures of one cycle, each with its unit in its name.

use serde::Serialize;

use crate::cycle::outcome::Outcome;
use crate::inputs::regeneration::Direction;
use crate::plan::steps::StopReason;

/// Everything one number says about a cycle. Concentrations "as CaCO3" are hardness; volumes are of packed bed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Figures {
    /// Direction of the brine.
    pub direction: Direction,
    /// Pure salt per litre of resin that a regeneration uses \[g/L\]: the dose, or what a recipe's brine steps hold.
    pub dose_g_per_l: f64,
    /// Hardness of the feed.
    pub feed_hardness_mg_per_l_caco3: f64,
    /// Normality of the feed \[eq/L\].
    pub feed_normality_eq_per_l: f64,
    /// Normality of the brine at the bed's inlet \[eq/L\].
    pub brine_normality_eq_per_l: f64,
    /// Volume of brine \[bed volumes\].
    pub brine_volume_bv: f64,
    /// Throughput of the service run \[bed volumes\].
    pub run_length_bv: f64,
    /// Throughput of the service run \[L\].
    pub run_length_l: f64,
    /// Duration of the service run \[h\].
    pub run_hours: f64,
    /// Why service ended.
    pub stop_reason: StopReason,
    /// Hardness removed in service per litre of bed \[eq/L\].
    pub capacity_eq_per_l: f64,
    /// The same in thousands of grains as CaCO3 per cubic foot.
    pub capacity_kgr_per_ft3: f64,
    /// Grains of hardness as CaCO3 removed per pound of salt.
    pub salt_efficiency_gr_per_lb: f64,
    /// Equivalents of hardness removed per equivalent of salt.
    pub salt_efficiency_fraction: f64,
    /// Hardness that the rinses before service put on the bed \[eq per litre of bed\].
    pub rinse_loss_eq_per_l: f64,
    /// Rise of the hardness on the resin over the service run \[eq per litre of bed\].
    pub loading_change_eq_per_l: f64,
    /// Mean leakage, weighted by volume over delivered water.
    pub leakage_mean_mg_per_l_caco3: f64,
    /// Leakage at half the run.
    pub leakage_half_run_mg_per_l_caco3: f64,
    /// Mean leakage of the first bed volume delivered.
    pub leakage_initial_mg_per_l_caco3: f64,
    /// Lowest leakage.
    pub leakage_minimum_mg_per_l_caco3: f64,
    /// Highest leakage.
    pub leakage_maximum_mg_per_l_caco3: f64,
    /// Leakage as service ends.
    pub leakage_end_mg_per_l_caco3: f64,
    /// Sodium in the product, mean over delivered water \[mg/L\].
    pub sodium_product_mg_per_l: f64,
    /// Sodium that softening added to the feed's \[mg/L\].
    pub sodium_added_mg_per_l: f64,
    /// Waste of one regeneration \[bed volumes\].
    pub waste_volume_bv: f64,
    /// Waste of one regeneration \[L\].
    pub waste_volume_l: f64,
    /// Chloride in the waste of one regeneration \[g\].
    pub waste_chloride_g: f64,
    /// Mean chloride of the waste \[mg/L\].
    pub waste_chloride_mg_per_l: f64,
    /// Hardness in the waste of one regeneration \[g as CaCO3\].
    pub waste_hardness_g_caco3: f64,
    /// Sodium in the waste of one regeneration \[g\].
    pub waste_sodium_g: f64,
    /// Salt of one regeneration \[kg\].
    pub salt_kg: f64,
    /// Duration of the regeneration \[min\].
    pub regeneration_min: f64,
    /// Regenerations a week, if the site says how much water it uses.
    pub regenerations_per_week: Option<f64>,
    /// Salt a week \[kg\].
    pub salt_kg_per_week: Option<f64>,
    /// Chloride to the drain a week \[kg\].
    pub chloride_kg_per_week: Option<f64>,
    /// Waste a week \[m3\].
    pub waste_m3_per_week: Option<f64>,
    /// Salt as sold per litre of resin \[g/L\], if its purity is known.
    pub dose_as_sold_g_per_l: Option<f64>,
    /// Salt as sold of one regeneration \[kg\].
    pub salt_as_sold_kg: Option<f64>,
    /// Grains of hardness as CaCO3 removed per pound of salt as sold: what thresholds of salt efficiency are quoted for.
    pub salt_efficiency_as_sold_gr_per_lb: Option<f64>,
    /// Leakage as the flow stopped for a rest, in the run or just before it, if there is one.
    pub restart_before_mg_per_l_caco3: Option<f64>,
    /// Mean leakage over the first bed volume after the rest.
    pub restart_first_bv_mg_per_l_caco3: Option<f64>,
    /// Highest leakage in that bed volume.
    pub restart_peak_mg_per_l_caco3: Option<f64>,
    /// Reclaimed brine that the regeneration began with \[bed volumes\], if any is kept.
    pub reclaimed_volume_bv: Option<f64>,
    /// Its normality \[eq/L\].
    pub reclaimed_normality_eq_per_l: Option<f64>,
    /// Hardness in it, as a fraction of its equivalents.
    pub reclaimed_hardness_fraction: Option<f64>,
    /// The salt's cation in it, as salt \[g per litre of resin\]: not in the dose, and not sent to the drain.
    pub reclaimed_salt_g_per_l: Option<f64>,
    /// Cells along the bed.
    pub cells: usize,
    /// Estimated numerical error of the run length, as a share of it; none if no other grid was run. The estimate takes
    /// a coarser grid's figures and first-order convergence, or the order seen on three grids: fronts converge at first
    /// order, all else faster, so the error is rarely larger. Two grids can agree by chance: judge leakages by the larger
    /// of their two.
    pub run_length_error_fraction: Option<f64>,
    /// The same for the operating capacity.
    pub capacity_error_fraction: Option<f64>,
    /// The same for the mean leakage; leakages below 0.01 mg/L as CaCO3 count as that much.
    pub leakage_mean_error_fraction: Option<f64>,
    /// The same for the half-run leakage.
    pub leakage_half_run_error_fraction: Option<f64>,
    /// Worst ion: |entered - left - gained| relative to the equivalents that entered over the cycle.
    pub ledger_error: f64,
    /// Largest change of loading over the cycle, relative to capacity.
    pub residual: f64,
    /// Estimated distance of the loading from the steady one, relative to capacity.
    pub distance: f64,
    /// Cycles run.
    pub cycles_run: usize,
    /// Is this the cyclic steady state?
    pub settled: bool,
    /// How the search for the steady state ended.
    pub outcome: Outcome,
}

impl Figures {
    /// Did service deliver no soft water at all?
    pub fn never_soft(&self) -> bool {
        self.stop_reason == StopReason::NeverSoft
    }
}

/// Estimated numerical errors of the figures that are judged by, each as a share of it; none where no other grid was run.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GridErrors {
    /// Of the run length.
    pub run_length: Option<f64>,
    /// Of the operating capacity.
    pub capacity: Option<f64>,
    /// Of the mean leakage.
    pub leakage_mean: Option<f64>,
    /// Of the half-run leakage.
    pub leakage_half_run: Option<f64>,
    /// The accuracy that was asked for, where even the finest grid missed it.
    pub missed_accuracy: Option<f64>,
}
