//! Histories read into reports. Sums come from the ledgers, shapes from the samples.

use ndarray::{Array2, Array3, Array4};

use crate::bed::hydraulics::StepHydraulics;
use crate::bed::model::Model;
use crate::bed::solid_mixing::SolidMixing;
use crate::cycle::history::{CycleHistory, Settling, StepHistory, StopReason};
use crate::cycle::run::RunHistory;
use crate::inputs::case::Case;
use crate::inputs::ion::Ion;
use crate::inputs::recipe::{StepDirection, StepName, StepWater};
use crate::numerics::curve::densified;
use crate::report::figures::Figures;
use crate::report::gypsum;
use crate::report::hydraulics::{self, Flow};
use crate::report::tables::{Curve, Profiles, StepRow, TubeProfiles, Waste};
use crate::report::{CycleReport, RunReport, reclaimed, restart};
use crate::units::constants::CACO3_G_PER_EQ;
use crate::units::convert::{
    eq_per_g_to_gr_per_lb, eq_per_l_to_kgr_per_ft3, eq_per_l_to_mg_per_l, eq_per_l_to_mg_per_l_caco3, kilo,
    m3_per_day_to_runs_per_week, milli, s_to_min,
};

/// Read the figures of a cycle alone.
pub fn cycle_figures(case: &Case, model: &Model, history: &CycleHistory, settling: &Settling) -> Figures {
    let between = history.steps.split_last().map_or(&[][..], |(_, between)| between);
    figures(case, model, history, settling, &waste(model, between, history))
}

/// Read a cycle.
pub fn cycle(case: &Case, model: &Model, history: &CycleHistory, settling: &Settling) -> CycleReport {
    let (between, service) = match history.steps.split_last() {
        Some((service, between)) => (between, std::slice::from_ref(service)),
        None => (&[][..], &[][..]),
    };
    let waste = waste(model, between, history);
    let gypsum = gypsum::along(model, between).ok();
    let mut notes = cycle_notes(case, model, history);
    notes.extend(gypsum.as_ref().and_then(|gypsum| gypsum.highest?.note()));
    CycleReport {
        case: case.clone(),
        figures: figures(case, model, history, settling, &waste),
        leakage: curve(model, service, |step| restart::dense(step, model.ions.len(), history)),
        waste_curve: curve(model, between, |step| dense(model, step)),
        gypsum,
        profiles: profiles(model, &history.steps),
        steps: found_by(&history.steps).map(|(step, finds)| step_row(model, step, finds)).collect(),
        hydraulics: hydraulics::rows(model, history.steps.iter().map(flow)),
        waste,
        notes,
        effort: settling.effort,
    }
}

/// Read a single run.
pub fn run(case: &Case, model: &Model, history: &RunHistory) -> RunReport {
    let steps = std::slice::from_ref(&history.step);
    RunReport {
        cells: model.cells,
        effluent_error_fraction: None,
        effluent: curve(model, steps, |step| dense(model, step)),
        loading: profiles(model, steps),
        ledger_error: history.ledger_error,
        notes: notes(case, model, steps),
        effort: history.step.effort,
    }
}

/// The same of a cycle, and where its salt is not the dose.
fn cycle_notes(case: &Case, model: &Model, history: &CycleHistory) -> Vec<String> {
    let mut notes = notes(case, model, &history.steps);
    if let Some(restart) = history.restart {
        notes.extend(note_at_rest(model, StepName::Standby, StepWater::Feed, restart.rest_s));
    }
    if case.bed.held_down && !case.bed.lifted_mixing.is_none() {
        notes.push("bed: it is held down, so that nothing lifts it and lifted_mixing mixes nothing".to_string());
    }
    if let Some(SolidMixing::Dispersion(coefficient)) = model.lifted_mixing {
        notes.push(format!(
            "bed: beads wander with {coefficient:.1e} m2/s where an upflow lifts them; the number is yours, no source is known for one"
        ));
    }
    let (salt, dose) = (salt_g_per_l(case, model, history), case.regeneration.dose_g_per_l);
    if salt != dose {
        notes.push(format!(
            "recipe: its brine steps use {salt:.1} g of salt per litre of resin, regeneration.dose_g_per_l says {dose}"
        ));
    }
    notes
}

/// Assumptions and correlations outside their range.
fn notes(case: &Case, model: &Model, steps: &[StepHistory]) -> Vec<String> {
    let mut notes = Vec::new();
    if case.water.chloride_assumed() {
        notes.push("water: no anion was given, chloride is taken to balance the cations".to_string());
    }
    notes.extend(model.activities.as_ref().and_then(|activities| activities.note()));
    for (step, finds) in found_by(steps) {
        notes.extend(hydraulics(model, step, finds).1.notes);
        if step.name == StepName::Backwash {
            continue;
        }
        if step.flow_bv_per_h == 0.0 {
            notes.extend(note_at_rest(model, step.name, step.water, step.duration_s));
        }
        notes.extend(model.correlation_notes(step.name.words(), step.water, step.flow_bv_per_h));
    }
    notes
}

/// What dispersion does to a bed at rest, if it was given.
fn note_at_rest(model: &Model, step: StepName, water: StepWater, seconds: f64) -> Option<String> {
    let dispersion = model.step_rates(water, 0.0).dispersion;
    // Root of 2 D t, the spread of a sharp layer.
    let spread_m = (2.0 * dispersion * seconds).sqrt();
    (dispersion > 0.0).then(|| {
        format!(
            "{}: the dispersion given, {dispersion:.1e} m2/s, acts at rest too and spreads the liquid by {spread_m:.2} m; a correlated one is 0 there",
            step.words()
        )
    })
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

/// Steps in a row as one curve, throughput running on.
fn curve(model: &Model, steps: &[StepHistory], dense: impl Fn(&StepHistory) -> (Vec<f64>, Vec<f64>)) -> Curve {
    let ions = model.ions.len();
    let (mut bv, mut values, mut names) = (Vec::new(), Vec::new(), Vec::new());
    let mut passed = 0.0;
    for step in steps {
        let (dense_bv, dense) = dense(step);
        bv.extend(dense_bv.iter().map(|at| passed + at));
        values.extend_from_slice(&dense);
        names.extend(std::iter::repeat_n(step.name.words(), dense_bv.len()));
        passed += step.volume_bv;
    }
    let shape = (bv.len(), ions);
    let eq_per_l = Array2::from_shape_fn(shape, |(row, column)| values[row * ions + column]);
    Curve { bv, ions: model.ions.clone(), eq_per_l, step: names }
}

/// Depth of the cell centres from the service inlet \[m\].
pub(super) fn depth_m(model: &Model) -> Vec<f64> {
    (0..model.cells).map(|cell| (cell as f64 + 0.5) * model.cell_m()).collect()
}

fn profiles(model: &Model, steps: &[StepHistory]) -> Profiles {
    let ions = model.ions.len();
    let shape = (steps.len(), model.cells, ions);
    let table = |pick: fn(&StepHistory) -> &[f64]| {
        Array3::from_shape_fn(shape, |(step, cell, ion)| pick(&steps[step])[cell * ions + ion])
    };
    Profiles {
        steps: steps.iter().map(|step| step.name.words()).collect(),
        depth_m: depth_m(model),
        ions: model.ions.clone(),
        loading_eq_per_l: table(|step| &step.loading),
        liquid_eq_per_l: table(|step| &step.liquid),
        tubes: (model.tubes.len() > 1).then(|| TubeProfiles {
            tubes: model.tubes.clone(),
            loading_eq_per_l: Array4::from_shape_fn(
                (steps.len(), model.tubes.len(), model.cells, ions),
                |(step, tube, cell, ion)| steps[step].tube_loading[(tube * model.cells + cell) * ions + ion],
            ),
        }),
    }
}

/// What a step's flow does to the bed; `finds` is the liquid that stands in it.
fn hydraulics(model: &Model, step: &StepHistory, finds: StepWater) -> (bool, StepHydraulics) {
    let flow = flow(step).through(model, finds);
    (flow.upward, model.hydraulics(step.name.words(), flow))
}

fn flow(step: &StepHistory) -> Flow {
    Flow { name: step.name, water: step.water, direction: step.direction, flow_bv_per_h: step.flow_bv_per_h }
}

/// The liquid that each step finds in the bed: that of the step before, in the end of service the feed.
fn found_by(steps: &[StepHistory]) -> impl Iterator<Item = (&StepHistory, StepWater)> {
    steps.iter().scan(StepWater::Feed, |in_bed, step| {
        let finds = std::mem::replace(in_bed, if step.volume_bv > 0.0 { step.water } else { *in_bed });
        Some((step, finds))
    })
}

fn step_row(model: &Model, step: &StepHistory, finds: StepWater) -> StepRow {
    let (upward, hydraulics) = hydraulics(model, step, finds);
    let direction = match step.direction {
        _ if step.flow_bv_per_h == 0.0 => "no flow",
        StepDirection::WithService => "with service",
        StepDirection::AgainstService => "against service",
    };
    StepRow {
        step: step.name.words(),
        // A backwash always rises, whichever way service runs.
        direction: if step.name == StepName::Backwash { "upward" } else { direction },
        volume_bv: step.volume_bv,
        volume_l: step.volume_bv * model.volume_l,
        minutes: s_to_min(step.duration_s),
        flow_bv_per_h: step.flow_bv_per_h,
        way: if step.flow_bv_per_h == 0.0 {
            "none"
        } else if upward {
            "up"
        } else {
            "down"
        },
        velocity_m_per_h: hydraulics.velocity_m_per_h,
        pressure_drop_kpa: hydraulics.pressure_drop_kpa,
        lifts_from_m_per_h: hydraulics.lifts_from_m_per_h,
        bed_expansion_percent: hydraulics.expansion_percent,
        inlet_normality_eq_per_l: if step.flow_bv_per_h == 0.0 { 0.0 } else { step.inlet_normality },
        ended: step.stop.words(),
    }
}

/// Everything that left between two service runs, less what was kept of it.
fn waste(model: &Model, steps: &[StepHistory], history: &CycleHistory) -> Waste {
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
    for (ion, c) in model.feed.eq_per_l.iter().filter(|(ion, _)| !ion.is_cation() && **ion != Ion::CL) {
        others += c * volume_l;
        left_eq.push((*ion, c * volume_l));
    }
    left_eq.push((Ion::CL, normality_eq - others));
    left_eq.sort_by_key(|(ion, _)| *ion);
    let mass_g: Vec<_> = left_eq.iter().map(|(ion, eq)| (*ion, eq * ion.g_per_eq())).collect();
    let peak = steps
        .iter()
        .flat_map(|step| step.sample_eq_per_l.chunks_exact(model.ions.len()))
        .map(|c| model.chloride_eq_per_l(c.iter().sum()))
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

/// Shape of the leakage through a run \[eq/L\].
struct Leakage {
    half_run: f64,
    initial: f64,
    minimum: f64,
    maximum: f64,
    end: f64,
}

fn leakage(model: &Model, service: &StepHistory, history: &CycleHistory) -> Leakage {
    let run = restart::Run::new(model, service, history);
    let values = run.values();
    let first = service.volume_bv.min(1.0);
    Leakage {
        half_run: run.at(0.5 * service.volume_bv),
        initial: run.integral_to(first) / first.max(f64::MIN_POSITIVE),
        minimum: values.iter().copied().fold(f64::INFINITY, f64::min),
        maximum: values.iter().copied().fold(0.0, f64::max),
        end: values.last().copied().unwrap_or(0.0),
    }
}

/// Salt of one regeneration, as it entered with the brine \[g per litre of bed\].
fn salt_g_per_l(case: &Case, model: &Model, history: &CycleHistory) -> f64 {
    let dose = case.regeneration.dose_g_per_l;
    // Brine that the dose made holds the dose, without the rounding of its parts.
    if (history.brine_bv / model.brine_bv - 1.0).abs() < 1e-9 {
        return dose;
    }
    history.brine_bv * model.salt_normality * case.regeneration.salt.g_per_eq()
}

fn figures(case: &Case, model: &Model, history: &CycleHistory, settling: &Settling, waste: &Waste) -> Figures {
    let dose = salt_g_per_l(case, model, history);
    let salt_kg = milli(dose * model.volume_l);
    let (service, between) = match history.steps.split_last() {
        Some((service, between)) => (Some(service), between),
        None => (None, &[][..]),
    };
    let never_soft = service.is_none_or(|step| step.stop == StopReason::NeverSoft);
    // What was delivered: nothing, if it was never soft.
    let run_bv = service.filter(|_| !never_soft).map_or(0.0, |step| step.volume_bv);
    let passed_bv = service.map_or(0.0, |step| step.volume_bv).max(f64::MIN_POSITIVE);
    let balance = |step: &StepHistory| hardness(model, &step.entered) - hardness(model, &step.left);
    let capacity = if never_soft { 0.0 } else { service.map_or(0.0, balance) };
    let shape = service.map(|step| leakage(model, step, history));
    let caco3 = |pick: fn(&Leakage) -> f64| shape.as_ref().map_or(0.0, |shape| eq_per_l_to_mg_per_l_caco3(pick(shape)));
    let mean = service.map_or(0.0, |step| hardness(model, &step.left)) / passed_bv;
    let sodium_mg = |eq: f64| eq_per_l_to_mg_per_l(eq, Ion::NA.g_per_eq());
    let sodium = service.map_or(0.0, |step| step.left[0]) / passed_bv;
    let run_l = run_bv * model.volume_l;
    let mass = |ion: Ion| waste.mass_g.iter().find(|(i, _)| *i == ion).map_or(0.0, |(_, g)| *g);
    let waste_hardness_eq: f64 = (between.iter().map(|step| hardness(model, &step.left)).sum::<f64>()
        - reclaimed::kept_hardness(model, history))
        * model.volume_l;
    let rinse = |step: &&StepHistory| step.name == StepName::FastRinse;
    let purity = case.regeneration.salt_purity_fraction();
    let slug = restart::of(model, history).filter(|_| !never_soft);
    let tank = reclaimed::of(case, model, history);
    let weekly = case
        .site
        .as_ref()
        .filter(|_| run_l > 0.0)
        .map(|site| m3_per_day_to_runs_per_week(site.water_use_m3_per_day, run_l));
    Figures {
        direction: case.regeneration.direction.name(),
        dose_g_per_l: dose,
        feed_hardness_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(model.feed.sum_of(&case.hardness_ions)),
        feed_normality_eq_per_l: model.feed.normality(),
        brine_normality_eq_per_l: model.brine.normality(),
        brine_volume_bv: history.brine_bv,
        run_length_bv: run_bv,
        run_length_l: run_l,
        run_hours: run_bv / case.service.flow_bv_per_h,
        stop_reason: service.map_or("never soft", |step| step.stop.words()),
        capacity_eq_per_l: capacity,
        capacity_kgr_per_ft3: eq_per_l_to_kgr_per_ft3(capacity),
        salt_efficiency_gr_per_lb: eq_per_g_to_gr_per_lb(capacity / dose),
        salt_efficiency_fraction: capacity * case.regeneration.salt.g_per_eq() / dose,
        rinse_loss_eq_per_l: between.iter().filter(rinse).map(balance).sum(),
        loading_change_eq_per_l: hardness(model, &history.loading_after) - hardness(model, &history.loading_at_service),
        leakage_mean_mg_per_l_caco3: eq_per_l_to_mg_per_l_caco3(mean),
        leakage_half_run_mg_per_l_caco3: caco3(|shape| shape.half_run),
        leakage_initial_mg_per_l_caco3: caco3(|shape| shape.initial),
        leakage_minimum_mg_per_l_caco3: caco3(|shape| shape.minimum),
        leakage_maximum_mg_per_l_caco3: caco3(|shape| shape.maximum),
        leakage_end_mg_per_l_caco3: caco3(|shape| shape.end),
        sodium_product_mg_per_l: sodium_mg(sodium),
        sodium_added_mg_per_l: sodium_mg(sodium - model.feed.of(Ion::NA)),
        waste_volume_bv: waste.volume_bv,
        waste_volume_l: waste.volume_l,
        waste_chloride_g: mass(Ion::CL),
        waste_chloride_mg_per_l: kilo(mass(Ion::CL) / waste.volume_l.max(f64::MIN_POSITIVE)),
        waste_hardness_g_caco3: waste_hardness_eq * CACO3_G_PER_EQ,
        waste_sodium_g: mass(Ion::NA),
        salt_kg,
        regeneration_min: s_to_min(between.iter().map(|step| step.duration_s).sum()),
        regenerations_per_week: weekly,
        salt_kg_per_week: weekly.map(|n| n * salt_kg),
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
        cells: model.cells,
        run_length_error_fraction: None,
        capacity_error_fraction: None,
        leakage_mean_error_fraction: None,
        leakage_half_run_error_fraction: None,
        ledger_error: history.ledger_error,
        residual: settling.residual,
        distance: settling.distance,
        cycles_run: settling.cycles,
        settled: settling.settled,
        outcome: settling.outcome.clone(),
    }
}
