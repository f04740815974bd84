//! The figures of one cycle, each with its unit in its name.

use brinefront_derive::Figures;
use serde::Serialize;

use crate::cycle::outcome::{Outcome, SearchEnd};
use crate::inputs::regeneration::Direction;
use crate::plan::steps::StopReason;
use crate::report::apart::Apart;

/// Below this a leakage is no number that anybody can check \[mg/L as CaCO3\]: channelling sets a floor in practice, and
/// routine titration reads to about 1 mg/L (common practice, no source). Shares of it are reckoned from this.
pub const LEAST_LEAKAGE_MG_PER_L_CACO3: f64 = 0.01;

/// The results of a cycle that are one value each. Concentrations "as CaCO3" are hardness; volumes are of packed bed.
///
/// `#[figure(...)]` beside a field says what it is called, its unit in reports, and which tables show it.
#[derive(Debug, Clone, PartialEq, Serialize, Figures)]
#[non_exhaustive]
pub struct Figures {
    /// Direction of the brine.
    #[figure(words = "direction of the brine")]
    pub direction: Direction,
    /// Pure salt per litre of resin that the regeneration used \[g/L\]: the dose, or what a recipe's brine steps hold; 0 for
    /// the first run on new resin, which has no regeneration before it.
    #[figure(words = "salt dose", unit = "g/L of resin", tables(key))]
    pub dose_g_per_l: f64,
    /// Hardness of the feed.
    #[figure(words = "hardness of the feed", unit = "mg/L as CaCO3")]
    pub feed_hardness_mg_per_l_caco3: f64,
    /// Normality of the feed \[eq/L\].
    #[figure(words = "normality of the feed", unit = "eq/L")]
    pub feed_normality_eq_per_l: f64,
    /// Normality of the brine at the bed's inlet \[eq/L\].
    #[figure(words = "normality of the brine", unit = "eq/L")]
    pub brine_normality_eq_per_l: f64,
    /// Volume of brine \[bed volumes\].
    #[figure(words = "volume of brine", unit = "BV")]
    pub brine_volume_bv: f64,
    /// Throughput of the service run \[bed volumes\].
    #[figure(words = "run length", unit = "BV", tables(key, sweep))]
    pub run_length_bv: f64,
    /// Throughput of the service run \[L\].
    #[figure(words = "soft water of one run", unit = "L", tables(key))]
    pub run_length_l: f64,
    /// Is what the service run delivers soft water? Not where it is above its leakage limit from the start; without a limit,
    /// not where the mean leakage is above what the site accepts, and if that is not known above half of the feed's hardness.
    #[figure(words = "delivers soft water")]
    pub delivers_soft_water: bool,
    /// Soft water that the regeneration takes of it, for brine and rinses \[bed volumes\]; brine counts as its own volume.
    #[figure(words = "soft water that the regeneration takes", unit = "BV")]
    pub soft_water_used_bv: f64,
    /// Soft water of the service run that is left for use \[L\], below 0 where the regeneration takes more than the run, or
    /// the run delivers none.
    #[figure(words = "soft water of one run left for use", unit = "L", tables(key(after = run_length_l)))]
    pub soft_water_l: f64,
    /// Duration of the service run \[h\].
    #[figure(words = "duration of the run", unit = "h")]
    pub run_hours: f64,
    /// Why service ended.
    #[figure(words = "why service ended", tables(key))]
    pub stop_reason: StopReason,
    /// Hardness removed in service per litre of bed \[eq/L\].
    #[figure(words = "operating capacity", unit = "eq/L of bed", tables(key, sweep))]
    pub capacity_eq_per_l: f64,
    /// The same in thousands of grains as CaCO3 per cubic foot.
    #[figure(words = "operating capacity", unit = "kgr/ft3", tables(key))]
    pub capacity_kgr_per_ft3: f64,
    /// Grains of hardness as CaCO3 removed per pound of salt.
    #[figure(words = "salt efficiency", unit = "gr/lb", tables(key, sweep))]
    pub salt_efficiency_gr_per_lb: f64,
    /// Equivalents of hardness removed per equivalent of salt.
    #[figure(words = "salt efficiency", unit = "of stoichiometric", tables(key))]
    pub salt_efficiency_fraction: f64,
    /// Hardness that the rinses before service put on the bed \[eq per litre of bed\].
    #[figure(words = "hardness put on by rinses", unit = "eq/L of bed")]
    pub rinse_loss_eq_per_l: f64,
    /// Rise of the hardness on the resin over the service run \[eq per litre of bed\].
    #[figure(words = "rise of loading in service", unit = "eq/L of bed")]
    pub loading_change_eq_per_l: f64,
    /// Mean leakage, weighted by volume over delivered water.
    #[figure(words = "leakage, mean", unit = "mg/L as CaCO3")]
    #[figure(tables(key(after = leakage_half_run_mg_per_l_caco3), sweep(after = leakage_half_run_mg_per_l_caco3)))]
    pub leakage_mean_mg_per_l_caco3: f64,
    /// Leakage at half the run.
    #[figure(words = "leakage, half run", unit = "mg/L as CaCO3", tables(key, sweep))]
    pub leakage_half_run_mg_per_l_caco3: f64,
    /// Mean leakage of the first bed volume delivered.
    #[figure(words = "leakage, first bed volume", unit = "mg/L as CaCO3")]
    #[figure(tables(key(after = leakage_mean_mg_per_l_caco3)))]
    pub leakage_initial_mg_per_l_caco3: f64,
    /// Lowest leakage.
    #[figure(words = "leakage, lowest", unit = "mg/L as CaCO3")]
    pub leakage_minimum_mg_per_l_caco3: f64,
    /// Highest leakage.
    #[figure(words = "leakage, highest", unit = "mg/L as CaCO3")]
    pub leakage_maximum_mg_per_l_caco3: f64,
    /// Leakage as service ends.
    #[figure(words = "leakage, end of run", unit = "mg/L as CaCO3", tables(key))]
    pub leakage_end_mg_per_l_caco3: f64,
    /// Sodium in the product, mean over delivered water \[mg/L\].
    #[figure(words = "sodium in the soft water", unit = "mg/L", tables(key))]
    pub sodium_product_mg_per_l: f64,
    /// Potassium in the product, mean over delivered water \[mg/L\]; none where no water or salt holds any.
    #[figure(words = "potassium in the soft water", unit = "mg/L", tables(key))]
    pub potassium_product_mg_per_l: Option<f64>,
    /// Sodium that softening added to the feed's \[mg/L\].
    #[figure(words = "sodium added by softening", unit = "mg/L")]
    pub sodium_added_mg_per_l: f64,
    /// Waste of one regeneration \[bed volumes\].
    #[figure(words = "spent brine and rinse", unit = "BV", tables(key, sweep))]
    pub waste_volume_bv: f64,
    /// Waste of one regeneration \[L\].
    #[figure(words = "spent brine and rinse", unit = "L", tables(key))]
    pub waste_volume_l: f64,
    /// Chloride in the waste of one regeneration \[g\].
    #[figure(words = "chloride in the spent brine and rinse", unit = "g")]
    pub waste_chloride_g: f64,
    /// Mean chloride of the waste \[mg/L\].
    #[figure(words = "mean chloride of the spent brine and rinse", unit = "mg/L", tables(key))]
    pub waste_chloride_mg_per_l: f64,
    /// Hardness in the waste of one regeneration \[g as CaCO3\].
    #[figure(words = "hardness in the spent brine and rinse", unit = "g as CaCO3")]
    pub waste_hardness_g_caco3: f64,
    /// Sodium in the waste of one regeneration \[g\].
    #[figure(words = "sodium in the spent brine and rinse", unit = "g")]
    pub waste_sodium_g: f64,
    /// Salt of one regeneration \[kg\].
    #[figure(words = "salt of one regeneration", unit = "kg", tables(key(after = dose_g_per_l)))]
    pub salt_kg: f64,
    /// Salt for each cubic metre of soft water left for use \[kg/m3\]; none if there is none.
    #[figure(words = "salt for soft water left for use", unit = "kg/m3", tables(key))]
    pub salt_kg_per_m3: Option<f64>,
    /// Duration of the regeneration \[min\].
    #[figure(words = "duration of the regeneration", unit = "min", tables(key))]
    pub regeneration_min: f64,
    /// Regenerations a week, if the site has a use of water: what is used comes out of the soft water left for use.
    #[figure(words = "regenerations a week", unit = "1/week", tables(key))]
    pub regenerations_per_week: Option<f64>,
    /// Salt a week \[kg\].
    #[figure(words = "salt a week", unit = "kg", tables(key))]
    pub salt_kg_per_week: Option<f64>,
    /// Salt as sold a week \[kg\], if its purity is known: what is bought.
    #[figure(words = "salt as sold a week", unit = "kg", tables(key))]
    pub salt_as_sold_kg_per_week: Option<f64>,
    /// Chloride to the drain a week \[kg\].
    #[figure(words = "chloride to the drain a week", unit = "kg", tables(key))]
    pub chloride_kg_per_week: Option<f64>,
    /// Waste a week \[m3\].
    #[figure(words = "spent brine and rinse a week", unit = "m3", tables(key))]
    pub waste_m3_per_week: Option<f64>,
    /// Salt as sold per litre of resin \[g/L\], if its purity is known.
    #[figure(words = "salt dose as sold", unit = "g/L of resin")]
    pub dose_as_sold_g_per_l: Option<f64>,
    /// Salt as sold of one regeneration \[kg\].
    #[figure(words = "salt as sold of one regeneration", unit = "kg")]
    #[figure(tables(key(after = salt_efficiency_fraction)))]
    pub salt_as_sold_kg: Option<f64>,
    /// Grains of hardness as CaCO3 removed per pound of salt as sold: what thresholds of salt efficiency are quoted for.
    #[figure(words = "salt efficiency, salt as sold", unit = "gr/lb", tables(key(after = salt_as_sold_kg)))]
    pub salt_efficiency_as_sold_gr_per_lb: Option<f64>,
    /// Leakage as the flow stopped for a rest, in the run or just before it, if there is one.
    #[figure(words = "leakage before the rest", unit = "mg/L as CaCO3")]
    #[figure(tables(key(after = leakage_end_mg_per_l_caco3)))]
    pub restart_before_mg_per_l_caco3: Option<f64>,
    /// Mean leakage over the first bed volume after the rest.
    #[figure(words = "leakage, first bed volume after the rest", unit = "mg/L as CaCO3")]
    #[figure(tables(key(after = restart_before_mg_per_l_caco3)))]
    pub restart_first_bv_mg_per_l_caco3: Option<f64>,
    /// Highest leakage in that bed volume.
    #[figure(words = "leakage, highest in that bed volume", unit = "mg/L as CaCO3")]
    pub restart_peak_mg_per_l_caco3: Option<f64>,
    /// Reclaimed brine that the regeneration began with \[bed volumes\], if any is kept.
    #[figure(words = "reclaimed brine", unit = "BV", tables(key(after = salt_efficiency_as_sold_gr_per_lb)))]
    pub reclaimed_volume_bv: Option<f64>,
    /// Its normality \[eq/L\].
    #[figure(words = "normality of the reclaimed brine", unit = "eq/L")]
    pub reclaimed_normality_eq_per_l: Option<f64>,
    /// Hardness in it, as a fraction of its equivalents.
    #[figure(words = "hardness of the reclaimed brine", unit = "of its equivalents")]
    #[figure(tables(key(after = reclaimed_salt_g_per_l)))]
    pub reclaimed_hardness_fraction: Option<f64>,
    /// The salt's cation in it, as salt \[g per litre of resin\]: not in the dose, and not sent to the drain.
    #[figure(words = "salt in the reclaimed brine", unit = "g/L of resin")]
    #[figure(tables(key(after = reclaimed_volume_bv)))]
    pub reclaimed_salt_g_per_l: Option<f64>,
    /// Cells along the bed.
    #[figure(words = "cells along the bed")]
    pub cells: usize,
    /// Estimated numerical error of the run length, as a share of it, grid and time steps together; none if no other grid
    /// could be run, or the bed is never soft. The same cycle is run on half the cells, and on a quarter: one and a half times
    /// the difference from the first, half of that from the second, whichever is more. Of a hundred beds drawn at random, on 24
    /// cells, the true error is within it in 92 or more.
    #[figure(words = "numerical error of the run length", unit = "of it", error_of = run_length_bv)]
    pub run_length_error_fraction: Option<f64>,
    /// The same for the operating capacity.
    #[figure(words = "numerical error of the capacity", unit = "of it", error_of = capacity_eq_per_l)]
    pub capacity_error_fraction: Option<f64>,
    /// The same for the mean leakage; leakages below 0.01 mg/L as CaCO3 count as that much, here and in the next ones.
    #[figure(words = "numerical error of the mean leakage", unit = "of it", error_of = leakage_mean_mg_per_l_caco3)]
    pub leakage_mean_error_fraction: Option<f64>,
    /// The same for the half-run leakage.
    #[figure(words = "numerical error of the half-run leakage", unit = "of it", error_of = leakage_half_run_mg_per_l_caco3)]
    pub leakage_half_run_error_fraction: Option<f64>,
    /// The same for the leakage of the first bed volume.
    #[figure(words = "numerical error of the first leakage", unit = "of it", error_of = leakage_initial_mg_per_l_caco3)]
    pub leakage_initial_error_fraction: Option<f64>,
    /// The same for the lowest leakage.
    #[figure(words = "numerical error of the lowest leakage", unit = "of it", error_of = leakage_minimum_mg_per_l_caco3)]
    pub leakage_minimum_error_fraction: Option<f64>,
    /// The same for the highest leakage.
    #[figure(words = "numerical error of the highest leakage", unit = "of it", error_of = leakage_maximum_mg_per_l_caco3)]
    pub leakage_maximum_error_fraction: Option<f64>,
    /// The same for the leakage as service ends.
    #[figure(words = "numerical error of the last leakage", unit = "of it", error_of = leakage_end_mg_per_l_caco3)]
    pub leakage_end_error_fraction: Option<f64>,
    /// The same for the hardness of what leaves between two service runs, in the mean over equal shares of its volume.
    #[figure(words = "numerical error of the waste curve", unit = "of its mean hardness")]
    pub waste_curve_error_fraction: Option<f64>,
    /// The same for the hardness on the resin, in the mean over the bed, after the step where it is largest.
    #[figure(words = "numerical error of the profiles", unit = "of capacity")]
    pub profiles_error_fraction: Option<f64>,
    /// Worst ion: |entered - left - gained| relative to the equivalents that entered over the cycle.
    #[figure(words = "mass balance error, worst ion", unit = "of what entered", tables(search))]
    pub ledger_error: f64,
    /// Largest change of loading over the cycle, relative to capacity.
    #[figure(words = "residual of the steady cycle", unit = "of capacity", tables(search))]
    pub residual: f64,
    /// Estimated distance of the loading from the steady one, relative to capacity.
    #[figure(words = "distance from the steady cycle", unit = "of capacity", tables(search))]
    pub distance: f64,
    /// Cycles run.
    #[figure(words = "cycles run", tables(search))]
    pub cycles_run: usize,
    /// Is this the cyclic steady state?
    #[figure(words = "cyclic steady state reached", tables(search))]
    pub settled: bool,
    /// What the cycle came to.
    #[figure(words = "outcome of the search for it")]
    pub outcome: Outcome,
    /// How the search for the steady state ended, with its numbers.
    #[figure(words = "what the search for it did")]
    pub search_end: SearchEnd,
    /// The longest metered run that settles below the limit \[bed volumes\], where the cycle as asked for does not.
    #[figure(words = "longest metered run below the limit", unit = "BV", tables(key(after = stop_reason)))]
    pub longest_metered_bv: Option<f64>,
    /// The least dose with which the cycle would settle below its limit \[g/L\], where it does not; sought by
    /// `Case::cycle` alone, up to the highest dose that is tried where one is sought.
    #[figure(words = "soft from a salt dose of", unit = "g/L of resin", tables(key(after = longest_metered_bv)))]
    pub soft_from_dose_g_per_l: Option<f64>,
}

impl Figures {
    /// Did service deliver no soft water at all?
    pub fn never_soft(&self) -> bool {
        self.stop_reason == StopReason::NeverSoft
    }
}

/// What is known of the numerical error of a cycle.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct GridErrors {
    /// Estimated error of each figure and shape; none where no other grid was run.
    pub stated: Option<Apart>,
    /// Was an estimate sought? Not where there is nothing to judge, nor in cycles from new resin.
    pub judged: bool,
    /// The accuracy that was asked for, where even the finest grid missed it.
    pub missed_accuracy: Option<f64>,
}
