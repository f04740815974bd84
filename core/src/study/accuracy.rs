//! How far figures still are from those of infinitely many cells, and grids fine enough for what is asked.
//!
//! Two grids tell: with an error that falls as the p-th power of the cell, the finer of two figures is off by
//! |fine - coarse|/(r^p - 1), r the ratio of their cells. L. F. Richardson (1911), Phil. Trans. R. Soc. A 210, 307 (from
//! memory). p is taken as 1, or as what three grids show, between 1 and 2.

use crate::cycle::Watch;
use crate::cycle::run::RunHistory;
use crate::cycle::steady::{self, Settled};
use crate::cycle::warm_start::WarmStart;
use crate::error::Result;
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::run_plan::RunPlan;
use crate::report::figures::{GridErrors, LEAST_LEAKAGE_MG_PER_L_CACO3};
use crate::report::read::{self, KeyFigures, RunErrors};
use crate::report::tables::Curve;
use crate::report::{CycleReport, RunReport};
use crate::study::recovery::{self, AboveLimit};
use crate::study::reports;

/// Grids that are tried where the cells are to be found.
const GRIDS: [usize; 6] = [25, 50, 100, 200, 400, 800];
/// Share of the accuracy that run length and capacity are held to.
const OF_CAPACITY: f64 = 0.1;
/// Places at which two effluents are compared.
const PLACES: usize = 1000;
/// An ion of which less than this share of the whole has left does not count.
const LEAST_SHARE: f64 = 1e-3;

/// The four figures that errors are given for; leakages with their floor.
type Watched = [f64; 4];

fn watched(figures: &KeyFigures) -> Watched {
    [
        figures.run_length_bv,
        figures.capacity_eq_per_l,
        figures.leakage_mean_mg_per_l_caco3,
        figures.leakage_half_run_mg_per_l_caco3,
    ]
}

/// Differences of two sets of figures, relative to the first.
fn differences(fine: &KeyFigures, coarse: &KeyFigures) -> Watched {
    let (a, b) = (watched(fine), watched(coarse));
    let floors = [0.0, 0.0, LEAST_LEAKAGE_MG_PER_L_CACO3, LEAST_LEAKAGE_MG_PER_L_CACO3];
    std::array::from_fn(|k| (a[k] - b[k]).abs() / a[k].abs().max(floors[k]).max(f64::MIN_POSITIVE))
}

/// Errors of the finer of two figures; `before` are the differences of the coarser one from one coarser still.
fn errors(fine: &KeyFigures, coarse: &KeyFigures, before: Option<Watched>) -> Watched {
    let ratio = fine.cells as f64 / coarse.cells as f64;
    let differences = differences(fine, coarse);
    std::array::from_fn(|k| {
        let seen = before.map_or(1.0, |before| (before[k] / differences[k].max(f64::MIN_POSITIVE)).ln() / ratio.ln());
        differences[k] / (ratio.powf(seen.clamp(1.0, 2.0)) - 1.0)
    })
}

fn as_errors(errors: Watched) -> GridErrors {
    let [run_length, capacity, leakage_mean, leakage_half_run] = errors.map(Some);
    GridErrors { run_length, capacity, leakage_mean, leakage_half_run, missed_accuracy: None }
}

fn reader(found: &Settled) -> read::Cycle<'_> {
    read::Cycle::new(&found.plan, &found.history, &found.settling)
}

/// The report of what a search on the last grid came to; `effort` is what led to it.
fn report(
    case: &Case,
    found: &Settled,
    errors: GridErrors,
    mut effort: Effort,
    (asked, watch): (AboveLimit, &Watch<'_>),
) -> Result<CycleReport> {
    let (settling, sought) = recovery::settling(case, found, asked, watch)?;
    effort.add(&sought);
    let longest_metered = match settling.search_end.longest_metered_bv() {
        Some(run_bv) if asked == AboveLimit::RunsAndDose => {
            let mut metered = Case { cells: found.plan.model.cells().into(), ..case.clone() };
            metered.service.volume_bv = Some(run_bv);
            let metered = cycle_on_grid(&metered, AboveLimit::Leave, watch)?;
            effort.add(&metered.effort);
            Some(Box::new(metered))
        }
        _ => None,
    };
    let read = read::Cycle::new(&found.plan, &found.history, &settling);
    Ok(reports::cycle(case, &read, errors, longest_metered, effort))
}

/// A cycle on the grid that is given; its errors from the coarser grid that its search began on, if it did.
pub(super) fn cycle_on_grid(case: &Case, asked: AboveLimit, watch: &Watch<'_>) -> Result<CycleReport> {
    let found = steady::settle(&CyclePlan::new(case)?, None, watch)?;
    let fine = reader(&found).key_figures();
    let errors = found
        .coarser
        .as_deref()
        .filter(|_| !fine.never_soft)
        .map_or_else(GridErrors::default, |coarser| as_errors(errors(&fine, &reader(coarser).key_figures(), None)));
    report(case, &found, errors, found.settling.effort, (asked, watch))
}

/// A cycle on the coarsest grid whose errors are within the accuracy of the case; each grid begins from the one before.
pub(super) fn cycle(case: &Case, asked: AboveLimit, watch: &Watch<'_>) -> Result<CycleReport> {
    on_finer_grids(case, (asked, watch), |plan, from| steady::settle(plan, from, watch))
}

/// The same, whichever way each grid is settled.
pub(super) fn on_finer_grids(
    case: &Case,
    (asked, watch): (AboveLimit, &Watch<'_>),
    mut settle: impl FnMut(&CyclePlan, Option<&WarmStart>) -> Result<Settled>,
) -> Result<CycleReport> {
    let [first, finer @ ..] = GRIDS;
    let plan = CyclePlan::new(&Case { cells: first.into(), ..case.clone() })?;
    let mut found = settle(&plan, None)?;
    let mut effort = found.settling.effort;
    let mut coarse = reader(&found).key_figures();
    let mut before: Option<Watched> = None;
    let mut seen = GridErrors::default();
    for cells in finer {
        found = settle(&plan.on_grid(cells, plan.model.tolerance), Some(&found.warm_start))?;
        effort.add(&found.settling.effort);
        let fine = reader(&found).key_figures();
        // Two grids that agree on it leave no doubt.
        if fine.never_soft && coarse.never_soft {
            return report(case, &found, GridErrors::default(), effort, (asked, watch));
        }
        let errors = errors(&fine, &coarse, before);
        seen = as_errors(errors);
        let [run_length, capacity, mean, half_run] = errors;
        if run_length.max(capacity) <= OF_CAPACITY * case.accuracy && mean.max(half_run) <= case.accuracy {
            return report(case, &found, seen, effort, (asked, watch));
        }
        before = Some(differences(&fine, &coarse));
        coarse = fine;
    }
    let missed = GridErrors { missed_accuracy: Some(case.accuracy), ..seen };
    report(case, &found, missed, effort, (asked, watch))
}

/// A single run on the coarsest grid whose effluent is within the accuracy of the case.
pub(super) fn run(case: &Case, mut on: impl FnMut(&Case) -> Result<(RunPlan, RunHistory)>) -> Result<RunReport> {
    let [first, finer @ ..] = GRIDS;
    let (mut plan, mut history) = on(&Case { cells: first.into(), ..case.clone() })?;
    let mut effort = history.step.effort;
    let mut errors = RunErrors { effluent: None, missed_accuracy: Some(case.accuracy) };
    for cells in finer {
        let coarse = read::effluent(&plan, &history);
        (plan, history) = on(&Case { cells: cells.into(), ..case.clone() })?;
        effort.add(&history.step.effort);
        let error = distance(&read::effluent(&plan, &history), &coarse);
        errors.effluent = Some(error);
        if error <= case.accuracy {
            errors.missed_accuracy = None;
            break;
        }
    }
    Ok(read::run(&plan, &history, errors, effort))
}

/// The worst ion's mean distance between two effluents, as a share of what left of it.
fn distance(fine: &Curve, coarse: &Curve) -> f64 {
    let end = fine.bv.last().copied().unwrap_or(0.0);
    let ions = fine.ions.len();
    let (mut apart, mut passed) = (vec![0.0; ions], vec![0.0; ions]);
    for k in 0..PLACES {
        let bv = end * (k as f64 + 0.5) / PLACES as f64;
        for ion in 0..ions {
            let (a, b) = (fine.at(bv, ion), coarse.at(bv, ion));
            apart[ion] += (a - b).abs();
            passed[ion] += a;
        }
    }
    let most: f64 = passed.iter().sum();
    apart.iter().zip(&passed).map(|(apart, passed)| apart / passed.max(LEAST_SHARE * most)).fold(0.0, f64::max)
}
