//! Histories read into reports. Sums come from the ledgers, shapes from the samples.

use ndarray::{Array2, Array3, Array4};

use crate::bed::hydraulics::StepHydraulics;
use crate::cycle::history::{CycleHistory, Settling, StepHistory};
use crate::cycle::run::RunHistory;
use crate::inputs::ion::Ion;
use crate::inputs::recipe_steps::StepName;
use crate::numerics::curve::densified;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::model::Model;
use crate::plan::resolved_steps::{StepDirection, StepWater};
use crate::plan::run_plan::RunPlan;
use crate::plan::solid_mixing::SolidMixing;
use crate::plan::steps::StopReason;
use crate::report::apart::{Apart, RunApart};
use crate::report::delivered;
use crate::report::design_rule::{Design, DesignRule, rules};
use crate::report::figures::{Figures, GridErrors};
use crate::report::flow::{FlowDirection, Way};
use crate::report::gypsum::{self, Gypsum};
use crate::report::hydraulics::{self, Flow, HydraulicsRow};
use crate::report::note::Note;
use crate::report::service_run::{ServiceRun, slug_of};
use crate::report::site_target::{SiteTarget, targets};
use crate::report::tables::{Curve, Profiles, StepRow, TubeProfiles, Waste};
use crate::report::{RunReport, reclaimed};
use crate::units::constants::CACO3_G_PER_EQ;
use crate::units::convert::{
    eq_per_g_to_gr_per_lb, eq_per_l_to_kgr_per_ft3, eq_per_l_to_mg_per_l, eq_per_l_to_mg_per_l_caco3,
    fraction_to_percent, kilo, m3_per_day_to_runs_per_week, milli, s_to_min,
};

/// A finished cycle, with all that a report of it is read off.
pub struct Cycle<'a> {
    plan: &'a CyclePlan,
    history: &'a CycleHistory,
    settling: &'a Settling,
    service: Option<ServiceRun<'a>>,
}

/// The figures of a cycle that its grid is judged by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KeyFigures {
    /// Cells along the bed.
    pub cells: usize,
    /// Throughput of the service run \[bed volumes\].
    pub run_length_bv: f64,
    /// Hardness removed in service \[eq/L of bed\].
    pub capacity_eq_per_l: f64,
    /// Mean leakage.
    pub leakage_mean_mg_per_l_caco3: f64,
    /// Leakage at half the run.
    pub leakage_half_run_mg_per_l_caco3: f64,
    /// Leakage as service ends.
    pub leakage_end_mg_per_l_caco3: f64,
    /// Highest leakage.
    pub leakage_maximum_mg_per_l_caco3: f64,
    /// Lowest leakage.
    pub leakage_minimum_mg_per_l_caco3: f64,
    /// Mean leakage of the first bed volume.
    pub leakage_initial_mg_per_l_caco3: f64,
    /// Why service ended.
    pub stop_reason: StopReason,
    /// Did service deliver no soft water at all?
    pub never_soft: bool,
}

impl KeyFigures {
    /// Those among the figures of a cycle.
    pub fn of(figures: &Figures) -> Self {
        Self {
            cells: figures.cells,
            run_length_bv: figures.run_length_bv,
            capacity_eq_per_l: figures.capacity_eq_per_l,
            leakage_mean_mg_per_l_caco3: figures.leakage_mean_mg_per_l_caco3,
            leakage_half_run_mg_per_l_caco3: figures.leakage_half_run_mg_per_l_caco3,
            leakage_end_mg_per_l_caco3: figures.leakage_end_mg_per_l_caco3,
            leakage_maximum_mg_per_l_caco3: figures.leakage_maximum_mg_per_l_caco3,
            leakage_minimum_mg_per_l_caco3: figures.leakage_minimum_mg_per_l_caco3,
            leakage_initial_mg_per_l_caco3: figures.leakage_initial_mg_per_l_caco3,
            stop_reason: figures.stop_reason,
            never_soft: figures.run_length_bv == 0.0,
        }
    }
}

impl<'a> Cycle<'a> {
    /// A cycle of a plan, and what the search that it ended did.
    pub fn new(plan: &'a CyclePlan, history: &'a CycleHistory, settling: &'a Settling) -> Self {
        Self { plan, history, settling, service: ServiceRun::of(history) }
    }

    /// The steps between two service runs.
    fn between(&self) -> &'a [StepHistory] {
        &self.history.regeneration
    }

    /// The service run as one step.
    fn service(&self) -> Option<&StepHistory> {
        self.service.as_ref().map(|run| &*run.whole)
    }

    /// The steps in their order, service last and as one.
    fn steps(&self) -> Vec<&StepHistory> {
        self.between().iter().chain(self.service()).collect()
    }

    /// The ions that count as hardness.
    pub fn hardness_ions(&self) -> Vec<Ion> {
        let model = &self.plan.model;
        model.ions.iter().zip(&model.hardness).filter(|(_, counts)| **counts > 0.0).map(|(ion, _)| *ion).collect()
    }

    /// Effluent of the service run.
    pub fn leakage(&self) -> Curve {
        let model = &self.plan.model;
        let run = self.service.iter().map(|run| (&*run.whole, run.dense(model.ions.len())));
        curve(model, run)
    }

    /// Effluent of everything between two service runs.
    pub fn waste_curve(&self) -> Curve {
        let model = &self.plan.model;
        curve(model, self.between().iter().map(|step| (step, dense(model, step))))
    }

    /// How near to saturation with gypsum that effluent is; none if an ion has no activity law.
    pub fn gypsum(&self) -> Option<Gypsum> {
        gypsum::along(&self.plan.model, self.between()).ok()
    }

    /// Loading and liquid after each step.
    pub fn profiles(&self) -> Profiles {
        profiles(&self.plan.model, &self.steps())
    }

    /// The steps as they were run.
    pub fn step_rows(&self) -> Vec<StepRow> {
        found_by(&self.steps()).map(|(step, finds)| step_row(&self.plan.model, step, finds)).collect()
    }

    /// What the flow of each step did to the bed.
    pub fn hydraulics(&self) -> Vec<HydraulicsRow> {
        hydraulics::rows(&self.plan.model, self.steps().into_iter().map(flow))
    }

    /// Rules of design, each against what the cycle came to; `figures` are those of [`Cycle::figures`].
    pub fn design_rules(&self, figures: &Figures) -> Vec<DesignRule> {
        let (plan, model) = (self.plan, &self.plan.model);
        let design = Design {
            depth_m: model.depth_m,
            dose_g_per_l: figures.dose_g_per_l,
            strength_percent: fraction_to_percent(model.waters.salt_weight_fraction),
            regenerations_a_day: plan
                .site
                .as_ref()
                .filter(|_| figures.regenerations_per_week.is_some())
                .map(|site| kilo(site.water_use_m3_per_day) / figures.soft_water_l),
        };
        rules(&design, &self.step_rows())
    }

    /// Targets of the site, each against the figures of [`Cycle::figures`].
    pub fn site_targets(&self, figures: &Figures) -> Vec<SiteTarget> {
        self.plan.site.as_ref().map_or_else(Vec::new, |site| targets(site, figures))
    }

    /// What the figures should be read with: assumptions made, correlations used outside their range, where the salt is
    /// not the dose.
    pub fn notes(&self, gypsum: Option<&Gypsum>, errors: GridErrors) -> Vec<Note> {
        let (plan, model) = (self.plan, &self.plan.model);
        let mut notes = notes(model, &self.steps());
        if let Some(rest) = self.service.as_ref().and_then(|run| run.rest) {
            notes.extend(note_at_rest(model, StepName::Standby, StepWater::Feed, rest.seconds));
        }
        if plan.mixing_prevented {
            notes.push(Note::MixingPrevented);
        }
        if let Some(SolidMixing::Dispersion(dispersion_m2_per_s)) = model.lifted_mixing {
            notes.push(Note::MixingCoefficient { dispersion_m2_per_s });
        }
        notes.extend(self.not_soft());
        notes.extend(self.first_water_hard());
        if errors.stated.is_none() && errors.judged {
            notes.push(Note::ErrorUnknown { cells: model.cells() });
        }
        let (salt_g_per_l, dose_g_per_l) = (self.salt_g_per_l(), plan.dose_g_per_l);
        if self.between().is_empty() {
            notes.push(Note::NoRegenerationBefore);
        } else if salt_g_per_l != dose_g_per_l {
            notes.push(Note::SaltIsNotTheDose { salt_g_per_l, dose_g_per_l });
        }
        notes.extend(gypsum.and_then(|gypsum| gypsum.highest?.note()));
        notes.extend(errors.missed_accuracy.map(|accuracy| Note::AccuracyMissed { cells: model.cells(), accuracy }));
        notes
    }

    /// Everything that left between two service runs, less what was kept of it.
    pub fn waste(&self) -> Waste {
        let (model, steps, history) = (&self.plan.model, self.between(), self.history);
        let kept = |i: usize| reclaimed::kept_eq_per_l(history, i);
        let volume_bv = steps.iter().map(|step| step.volume_bv).sum::<f64>() - reclaimed::kept_bv(steps, history);
        let volume_l = volume_bv * model.volume_l;
        let mut left_eq: Vec<(Ion, f64)> = model
            .ions
            .iter()
            .enumerate()
            .map(|(i, ion)| (*ion, (steps.iter().map(|step| step.left[i]).sum::<f64>() - kept(i)) * model.volume_l))
            .collect();
        let normality_eq: f64 = left_eq.iter().map(|(_, eq)| eq).sum();
        // Every water of a recipe holds the feed's anions; the brine adds chloride to them.
        let mut others = 0.0;
        for (ion, c) in model.waters.feed.eq_per_l.iter().filter(|(ion, _)| !ion.is_cation() && **ion != Ion::CL) {
            others += c * volume_l;
            left_eq.push((*ion, c * volume_l));
        }
        left_eq.push((Ion::CL, normality_eq - others));
        left_eq.sort_by_key(|(ion, _)| *ion);
        let mass_g: Vec<_> = left_eq.iter().map(|(ion, eq)| (*ion, eq * ion.g_per_eq())).collect();
        let peak = steps
            .iter()
            .flat_map(|step| step.sample_eq_per_l.chunks_exact(model.ions.len()))
            .map(|c| model.waters.chloride_eq_per_l(c.iter().sum()))
            .fold(0.0, f64::max);
        Waste {
            volume_bv,
            volume_l,
            composite_mg_per_l: mass_g
                .iter()
                .map(|(ion, g)| (*ion, if volume_l > 0.0 { kilo(g / volume_l) } else { 0.0 }))
                .collect(),
            mass_g,
            peak_chloride_mg_per_l: eq_per_l_to_mg_per_l(peak, Ion::CL.g_per_eq()),
        }
    }

    fn shape(&self) -> Option<LeakageShape> {
        let run = self.service.as_ref()?;
        let (leakage, volume_bv) = (run.leakage(&self.plan.model), run.whole.volume_bv);
        let values = leakage.values();
        let first = volume_bv.min(1.0);
        Some(LeakageShape {
            half_run: leakage.at(0.5 * volume_bv),
            initial: leakage.integral_to(first) / first.max(f64::MIN_POSITIVE),
            minimum: values.iter().copied().fold(f64::INFINITY, f64::min),
            maximum: values.iter().copied().fold(0.0, f64::max),
            end: values.last().copied().unwrap_or(0.0),
        })
    }

    /// Salt of the regeneration, as it entered with the brine \[g per litre of bed\]; 0 where there was none.
    fn salt_g_per_l(&self) -> f64 {
        let (plan, waters) = (self.plan, &self.plan.model.waters);
        if self.between().is_empty() {
            return 0.0;
        }
        // Brine that the dose made holds the dose, without the rounding of its parts.
        if (plan.brine_bv / waters.brine_bv - 1.0).abs() < 1e-9 {
            return plan.dose_g_per_l;
        }
        plan.brine_bv * waters.salt_normality * waters.salt.g_per_eq()
    }

    /// Soft water that the regeneration took \[bed volumes\]; what was kept of an earlier brine is no new one.
    fn soft_water_used_bv(&self) -> f64 {
        let takes_it = |step: &&StepHistory| match (step.name, step.water) {
            (StepName::Brine, _) => self.plan.brine_takes_soft_water,
            (_, water) => water == StepWater::Soft,
        };
        self.between().iter().filter(takes_it).map(|step| step.volume_bv).sum()
    }

    /// Potassium in what was delivered \[mg/L\]; none where there is none in the bed.
    fn mean_potassium_mg_per_l(&self) -> Option<f64> {
        let place = self.plan.model.ions.iter().position(|ion| *ion == Ion::K)?;
        let left = self.service().map_or(0.0, |step| step.left[place]);
        Some(eq_per_l_to_mg_per_l(left / self.passed_bv(), Ion::K.g_per_eq()))
    }

    fn never_soft(&self) -> bool {
        self.service().is_none_or(|step| step.stop == StopReason::NeverSoft)
    }

    /// A note on a run whose water is not soft, though no limit says so.
    fn not_soft(&self) -> Option<Note> {
        let mean = eq_per_l_to_mg_per_l_caco3(self.mean_leakage());
        delivered::not_soft(self.plan, mean).filter(|_| !self.never_soft())
    }

    /// A note on a run that begins harder than what ends one.
    fn first_water_hard(&self) -> Option<Note> {
        let plan = self.plan;
        let accepted = || plan.site.as_ref().and_then(|site| site.accepted_leakage_mg_per_l_caco3);
        let most_mg_per_l_caco3 = plan.service.limit_eq_per_l.map(eq_per_l_to_mg_per_l_caco3).or_else(accepted)?;
        let shape = self.shape().filter(|_| !self.never_soft())?;
        let [initial, maximum] = [shape.initial, shape.maximum].map(eq_per_l_to_mg_per_l_caco3);
        (initial > most_mg_per_l_caco3).then_some(Note::FirstWaterHard {
            leakage_initial_mg_per_l_caco3: initial,
            leakage_maximum_mg_per_l_caco3: maximum,
            most_mg_per_l_caco3,
        })
    }

    /// What was delivered \[bed volumes\]: nothing, if it was never soft.
    fn run_bv(&self) -> f64 {
        self.service().filter(|_| !self.never_soft()).map_or(0.0, |step| step.volume_bv)
    }

    /// What went through in service \[bed volumes\], soft or not; above 0.
    fn passed_bv(&self) -> f64 {
        self.service().map_or(0.0, |step| step.volume_bv).max(f64::MIN_POSITIVE)
    }

    /// Hardness that a step left in the bed \[eq per litre of bed\].
    fn balance(&self, step: &StepHistory) -> f64 {
        let model = &self.plan.model;
        hardness(model, &step.entered) - hardness(model, &step.left)
    }

    /// Hardness removed in service \[eq per litre of bed\].
    fn capacity(&self) -> f64 {
        if self.never_soft() { 0.0 } else { self.service().map_or(0.0, |step| self.balance(step)) }
    }

    /// Mean leakage over what went through \[eq/L\], by the ledger. Where the first water falls steeply to next to nothing its
    /// steps can sum to less than nothing: but no mean is below the lowest.
    fn mean_leakage(&self) -> f64 {
        let left = self.service().map_or(0.0, |step| hardness(&self.plan.model, &step.left));
        let lowest = self.shape().map_or(0.0, |shape| shape.minimum);
        (left / self.passed_bv()).max(lowest)
    }

    /// The figures that the grid is judged by.
    pub fn key_figures(&self) -> KeyFigures {
        let shape = self.shape();
        let caco3 = |pick: fn(&LeakageShape) -> f64| {
            shape.as_ref().map_or(0.0, |shape| eq_per_l_to_mg_per_l_caco3(pick(shape)))
        };
        KeyFigures {
            cells: self.plan.model.cells(),
            run_length_bv: self.run_bv(),
            capacity_eq_per_l: self.capacity(),
            leakage_mean_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(self.mean_leakage()),
            leakage_half_run_mg_per_l_caco3: caco3(|shape| shape.half_run),
            leakage_end_mg_per_l_caco3: caco3(|shape| shape.end),
            leakage_maximum_mg_per_l_caco3: caco3(|shape| shape.maximum),
            leakage_minimum_mg_per_l_caco3: caco3(|shape| shape.minimum),
            leakage_initial_mg_per_l_caco3: caco3(|shape| shape.initial),
            stop_reason: self.service().map_or(StopReason::NeverSoft, |step| step.stop),
            never_soft: self.run_bv() == 0.0,
        }
    }

    /// The figures; `waste` is that of [`Cycle::waste`], `errors` what other grids tell of this one.
    pub fn figures(&self, waste: &Waste, errors: GridErrors) -> Figures {
        let (plan, model, history, settling) = (self.plan, &self.plan.model, self.history, self.settling);
        let (service, between) = (self.service(), self.between());
        let stated = |pick: fn(&Apart) -> f64| errors.stated.as_ref().map(pick);
        let dose = self.salt_g_per_l();
        let salt_kg = milli(dose * model.volume_l);
        let (run_bv, passed_bv, capacity) = (self.run_bv(), self.passed_bv(), self.capacity());
        let shape = self.shape();
        let caco3 = |pick: fn(&LeakageShape) -> f64| {
            shape.as_ref().map_or(0.0, |shape| eq_per_l_to_mg_per_l_caco3(pick(shape)))
        };
        let mean = self.mean_leakage();
        let sodium_mg = |eq: f64| eq_per_l_to_mg_per_l(eq, Ion::NA.g_per_eq());
        let sodium = service.map_or(0.0, |step| step.left[0]) / passed_bv;
        let run_l = run_bv * model.volume_l;
        let mass = |ion: Ion| waste.mass_g.iter().find(|(i, _)| *i == ion).map_or(0.0, |(_, g)| *g);
        let waste_hardness_eq: f64 = (between.iter().map(|step| hardness(model, &step.left)).sum::<f64>()
            - reclaimed::kept_hardness(model, history))
            * model.volume_l;
        let rinse = |step: &&StepHistory| step.name == StepName::FastRinse;
        let purity = plan.salt_purity_fraction;
        let soft_water_used_bv = self.soft_water_used_bv();
        let delivers_soft_water = !self.never_soft() && self.not_soft().is_none();
        let soft_run_l = if delivers_soft_water { run_l } else { 0.0 };
        let soft_water_l = soft_run_l - soft_water_used_bv * model.volume_l;
        let slug = self.service.as_ref().filter(|_| !self.never_soft()).and_then(|run| slug_of(model, between, run));
        let tank = reclaimed::of(plan, history);
        let regenerates = soft_water_l > 0.0 && !between.is_empty();
        let weekly = plan.site.as_ref().filter(|_| regenerates).map(|site| {
            let use_m3_per_day = site.water_use_m3_per_day * (site.use_days as f64 / 7.0);
            m3_per_day_to_runs_per_week(use_m3_per_day, soft_water_l)
        });
        Figures {
            direction: plan.direction,
            dose_g_per_l: dose,
            feed_hardness_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(model.waters.feed_hardness),
            feed_normality_eq_per_l: model.waters.feed.normality(),
            brine_normality_eq_per_l: model.waters.brine.normality(),
            brine_volume_bv: plan.brine_bv,
            run_length_bv: run_bv,
            run_length_l: run_l,
            delivers_soft_water,
            soft_water_used_bv,
            soft_water_l,
            run_hours: run_bv / plan.service.flow_bv_per_h,
            stop_reason: service.map_or(StopReason::NeverSoft, |step| step.stop),
            capacity_eq_per_l: capacity,
            capacity_kgr_per_ft3: eq_per_l_to_kgr_per_ft3(capacity),
            salt_efficiency_gr_per_lb: eq_per_g_to_gr_per_lb(capacity / dose),
            salt_efficiency_fraction: capacity * model.waters.salt.g_per_eq() / dose,
            rinse_loss_eq_per_l: between.iter().filter(rinse).map(|step| self.balance(step)).sum(),
            loading_change_eq_per_l: hardness(model, &history.loading_after)
                - hardness(model, &history.loading_at_service),
            leakage_mean_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(mean),
            leakage_half_run_mg_per_l_caco3: caco3(|shape| shape.half_run),
            leakage_initial_mg_per_l_caco3: caco3(|shape| shape.initial),
            leakage_minimum_mg_per_l_caco3: caco3(|shape| shape.minimum),
            leakage_maximum_mg_per_l_caco3: caco3(|shape| shape.maximum),
            leakage_end_mg_per_l_caco3: caco3(|shape| shape.end),
            sodium_product_mg_per_l: sodium_mg(sodium),
            potassium_product_mg_per_l: self.mean_potassium_mg_per_l(),
            sodium_added_mg_per_l: sodium_mg(sodium - model.waters.feed.of(Ion::NA)),
            waste_volume_bv: waste.volume_bv,
            waste_volume_l: waste.volume_l,
            waste_chloride_g: mass(Ion::CL),
            waste_chloride_mg_per_l: kilo(mass(Ion::CL) / waste.volume_l.max(f64::MIN_POSITIVE)),
            waste_hardness_g_caco3: waste_hardness_eq * CACO3_G_PER_EQ,
            waste_sodium_g: mass(Ion::NA),
            salt_kg,
            salt_kg_per_m3: (soft_water_l > 0.0).then(|| salt_kg / milli(soft_water_l)),
            regeneration_min: s_to_min(between.iter().map(|step| step.duration_s).sum()),
            regenerations_per_week: weekly,
            salt_kg_per_week: weekly.map(|n| n * salt_kg),
            salt_as_sold_kg_per_week: weekly.zip(purity).map(|(n, purity)| n * salt_kg / purity),
            chloride_kg_per_week: weekly.map(|n| n * milli(mass(Ion::CL))),
            waste_m3_per_week: weekly.map(|n| n * milli(waste.volume_l)),
            dose_as_sold_g_per_l: purity.map(|purity| dose / purity),
            salt_as_sold_kg: purity.map(|purity| salt_kg / purity),
            salt_efficiency_as_sold_gr_per_lb: purity.map(|purity| eq_per_g_to_gr_per_lb(capacity * purity / dose)),
            restart_before_mg_per_l_caco3: slug.map(|slug| eq_per_l_to_mg_per_l_caco3(slug.before)),
            restart_first_bv_mg_per_l_caco3: slug.map(|slug| eq_per_l_to_mg_per_l_caco3(slug.first_bv)),
            restart_peak_mg_per_l_caco3: slug.map(|slug| eq_per_l_to_mg_per_l_caco3(slug.peak)),
            reclaimed_volume_bv: tank.map(|tank| tank.volume_bv),
            reclaimed_normality_eq_per_l: tank.map(|tank| tank.normality_eq_per_l),
            reclaimed_hardness_fraction: tank.map(|tank| tank.hardness_fraction),
            reclaimed_salt_g_per_l: tank.map(|tank| tank.salt_g_per_l),
            cells: model.cells(),
            run_length_error_fraction: stated(|error| error.run_length),
            capacity_error_fraction: stated(|error| error.capacity),
            leakage_mean_error_fraction: stated(|error| error.leakage_mean),
            leakage_half_run_error_fraction: stated(|error| error.leakage_half_run),
            leakage_initial_error_fraction: stated(|error| error.leakage_initial),
            leakage_minimum_error_fraction: stated(|error| error.leakage_minimum),
            leakage_maximum_error_fraction: stated(|error| error.leakage_maximum),
            leakage_end_error_fraction: stated(|error| error.leakage_end),
            waste_curve_error_fraction: stated(|error| error.waste_curve),
            profiles_error_fraction: stated(|error| error.profiles),
            ledger_error: history.ledger_error,
            residual: settling.residual,
            distance: settling.distance,
            cycles_run: settling.cycles,
            settled: settling.settled,
            outcome: settling.search_end.outcome(),
            search_end: settling.search_end,
            longest_metered_bv: settling.search_end.longest_metered_bv(),
            soft_from_dose_g_per_l: settling.search_end.soft_from_dose_g_per_l(),
        }
    }
}

/// What a single run is known to be off by, and what that took.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct RunErrors {
    /// Estimated errors of effluent and loading, as [`RunReport::effluent_error_fraction`] has them.
    pub stated: Option<RunApart>,
    /// The accuracy that was asked for, where even the finest grid missed it.
    pub missed_accuracy: Option<f64>,
}

/// Effluent of a single run.
pub fn effluent(plan: &RunPlan, history: &RunHistory) -> Curve {
    let step = &history.step;
    curve(&plan.model, std::iter::once((step, dense(&plan.model, step))))
}

/// The bed as a single run left it.
pub fn loading(plan: &RunPlan, history: &RunHistory) -> Profiles {
    profiles(&plan.model, &[&history.step])
}

/// Read a single run; `effort` is what it cost with the runs on other grids.
pub fn run(plan: &RunPlan, history: &RunHistory, errors: RunErrors, effort: Effort) -> RunReport {
    let model = &plan.model;
    let step = &history.step;
    let mut notes = notes(model, &[step]);
    notes.extend(errors.missed_accuracy.map(|accuracy| Note::AccuracyMissed { cells: model.cells(), accuracy }));
    RunReport {
        cells: model.cells(),
        effluent_error_fraction: errors.stated.map(|stated| stated.effluent),
        loading_error_fraction: errors.stated.map(|stated| stated.loading),
        effluent: effluent(plan, history),
        loading: loading(plan, history),
        ledger_error: history.ledger_error,
        notes,
        effort,
    }
}

/// Assumptions and correlations outside their range.
fn notes(model: &Model, steps: &[&StepHistory]) -> Vec<Note> {
    let mut notes = Vec::new();
    if model.waters.chloride_assumed {
        notes.push(Note::ChlorideAssumed);
    }
    notes.extend(model.activities.as_ref().and_then(|activities| {
        let (parameters_c, water_c) = activities.temperatures_c()?;
        Some(Note::ActivityTemperature { law: activities.law(), parameters_c, water_c })
    }));
    let (feed, hardness) = (&model.waters.feed, model.waters.feed_hardness);
    notes.extend([Ion::FE, Ion::MN].into_iter().filter_map(|ion| Note::fouling(ion, feed.of(ion), hardness)));
    for (step, finds) in found_by(steps) {
        notes.extend(hydraulics(model, step, finds).1.notes.into_iter().map(|note| Note::hydraulic(step.name, note)));
        if step.name == StepName::Backwash {
            continue;
        }
        if step.flow_bv_per_h == 0.0 {
            notes.extend(note_at_rest(model, step.name, step.water, step.duration_s));
        }
        let outside = model.outside_range(step.water, step.flow_bv_per_h);
        notes.extend(outside.into_iter().map(|found| Note::correlation(step.name, found)));
    }
    notes
}

/// What dispersion does to a bed at rest, if it was given.
fn note_at_rest(model: &Model, step: StepName, water: StepWater, seconds: f64) -> Option<Note> {
    let dispersion_m2_per_s = model.step_rates(water, 0.0).dispersion;
    // Root of 2 D t, the spread of a sharp layer.
    let spread_m = (2.0 * dispersion_m2_per_s * seconds).sqrt();
    (dispersion_m2_per_s > 0.0).then_some(Note::DispersionAtRest { step, dispersion_m2_per_s, spread_m })
}

/// Hardness of ions in the order of a model \[eq/L\].
fn hardness(model: &Model, eq_per_l: &[f64]) -> f64 {
    eq_per_l.iter().zip(&model.hardness).map(|(c, weight)| c * weight).sum()
}

/// Samples of a step made dense: a backwash is recorded as the two plugs it is; what was marched is smooth.
fn dense(model: &Model, step: &StepHistory) -> (Vec<f64>, Vec<f64>) {
    if step.name == StepName::Backwash {
        return (step.sample_bv.clone(), step.sample_eq_per_l.clone());
    }
    densified(&step.sample_bv, &step.sample_eq_per_l, model.ions.len())
}

/// Steps in a row with their samples made dense as one curve, throughput running on.
fn curve<'s>(model: &Model, steps: impl Iterator<Item = (&'s StepHistory, (Vec<f64>, Vec<f64>))>) -> Curve {
    let ions = model.ions.len();
    let (mut bv, mut values, mut names) = (Vec::new(), Vec::new(), Vec::new());
    let mut passed = 0.0;
    for (step, (dense_bv, dense)) in steps {
        bv.extend(dense_bv.iter().map(|at| passed + at));
        values.extend_from_slice(&dense);
        names.extend(std::iter::repeat_n(step.name, dense_bv.len()));
        passed += step.volume_bv;
    }
    let shape = (bv.len(), ions);
    let eq_per_l = Array2::from_shape_fn(shape, |(row, column)| values[row * ions + column]);
    Curve { bv, ions: model.ions.clone(), eq_per_l, step: names }
}

/// Depth of the cell centres from the service inlet \[m\].
pub(super) fn depth_m(model: &Model) -> Vec<f64> {
    model.grid.centres().iter().map(|place| place * model.depth_m).collect()
}

/// Height of the cells \[m\].
pub(super) fn height_m(model: &Model) -> Vec<f64> {
    model.grid.shares().map(|share| share * model.depth_m).collect()
}

fn profiles(model: &Model, steps: &[&StepHistory]) -> Profiles {
    let ions = model.ions.len();
    let shape = (steps.len(), model.cells(), ions);
    let table = |pick: fn(&StepHistory) -> &[f64]| {
        Array3::from_shape_fn(shape, |(step, cell, ion)| pick(steps[step])[cell * ions + ion])
    };
    Profiles {
        steps: steps.iter().map(|step| step.name).collect(),
        depth_m: depth_m(model),
        height_m: height_m(model),
        ions: model.ions.clone(),
        loading_eq_per_l: table(|step| &step.loading),
        liquid_eq_per_l: table(|step| &step.liquid),
        tubes: (model.tubes.len() > 1).then(|| TubeProfiles {
            tubes: model.tubes.clone(),
            loading_eq_per_l: Array4::from_shape_fn(
                (steps.len(), model.tubes.len(), model.cells(), ions),
                |(step, tube, cell, ion)| steps[step].tube_loading[(tube * model.cells() + cell) * ions + ion],
            ),
        }),
    }
}

/// What a step's flow does to the bed; `finds` is the liquid that stands in it.
fn hydraulics(model: &Model, step: &StepHistory, finds: StepWater) -> (bool, StepHydraulics) {
    let flow = flow(step).through(model, finds);
    (flow.upward, model.hydraulics(flow))
}

fn flow(step: &StepHistory) -> Flow {
    Flow { name: step.name, water: step.water, direction: step.direction, flow_bv_per_h: step.flow_bv_per_h }
}

/// The liquid that each step finds in the bed: that of the step before, in the end of service the feed.
fn found_by<'s>(steps: &[&'s StepHistory]) -> impl Iterator<Item = (&'s StepHistory, StepWater)> {
    steps.iter().scan(StepWater::Feed, |in_bed, step| {
        let finds = std::mem::replace(in_bed, if step.volume_bv > 0.0 { step.water } else { *in_bed });
        Some((*step, finds))
    })
}

fn step_row(model: &Model, step: &StepHistory, finds: StepWater) -> StepRow {
    let (upward, hydraulics) = hydraulics(model, step, finds);
    let direction = match step.direction {
        _ if step.flow_bv_per_h == 0.0 => FlowDirection::NoFlow,
        StepDirection::WithService => FlowDirection::WithService,
        StepDirection::AgainstService => FlowDirection::AgainstService,
    };
    StepRow {
        step: step.name,
        // A backwash always rises, whichever way service runs.
        direction: if step.name == StepName::Backwash { FlowDirection::Upward } else { direction },
        volume_bv: step.volume_bv,
        volume_l: step.volume_bv * model.volume_l,
        minutes: s_to_min(step.duration_s),
        flow_bv_per_h: step.flow_bv_per_h,
        way: if step.flow_bv_per_h == 0.0 {
            Way::None
        } else if upward {
            Way::Up
        } else {
            Way::Down
        },
        velocity_m_per_h: hydraulics.velocity_m_per_h,
        pressure_drop_kpa: hydraulics.pressure_drop_kpa,
        lifts_from_m_per_h: hydraulics.lifts_from_m_per_h,
        bed_expansion_percent: hydraulics.expansion_percent,
        inlet_normality_eq_per_l: if step.flow_bv_per_h == 0.0 { 0.0 } else { step.inlet_normality },
        ended: step.stop,
    }
}

/// Shape of the leakage through a run \[eq/L\].
struct LeakageShape {
    half_run: f64,
    initial: f64,
    minimum: f64,
    maximum: f64,
    end: f64,
}
