//! How far figures still are from those of infinitely many cells, and grids fine enough for what is asked.
//!
//! Grids tell of each other: with an error that falls as the p-th power of the cell, the finer of two figures is off by
//! |fine - coarse|/(r^p - 1), r the ratio of their cells. L. F. Richardson (1911), Phil. Trans. R. Soc. A 210, 307 (from
//! memory). Fronts that a cell cannot resolve have no order, and two grids can agree by chance: so a third is asked, curves
//! are compared and not only what is read off them, and what is stated is a multiple that was tried on many beds.

use crate::cycle::Watch;
use crate::cycle::run::RunHistory;
use crate::cycle::steady::{self, COARSE_STEPS, COARSE_TOLERANCE, FEWEST_CELLS, NEAR, Settled};
use crate::cycle::warm_start::WarmStart;
use crate::error::{Error, Result};
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::plan::cycle_plan::CyclePlan;
use crate::plan::run_plan::RunPlan;
use crate::report::apart::{Apart, RunApart};
use crate::report::figures::GridErrors;
use crate::report::read::{self, RunErrors};
use crate::report::{CycleReport, RunReport};
use crate::study::recovery::{self, AboveLimit};
use crate::study::reports;
use crate::study::seen::{RunSeen, Seen};

/// Grids that steady cycles are tried on where the cells are to be found, the first of them first: each finer by the root of
/// two, so that one whose inputs move a little keeps its grid, and in multiples of what is computed at a time.
const GRIDS: [usize; 8] = [72, 104, 144, 208, 288, 408, 576, 800];
/// The next grid is the coarsest that keeps the accuracy if the error falls with this power of the cell, ...
const FALLS_AS: f64 = 2.0;
/// ... finer by no more than this factor.
const MOST_FINER: f64 = 4.0;
/// What decides is this many times the difference from the grid with half the cells: what is likely, where what is stated is
/// what nearly all beds keep.
///
/// Of drawn beds nine in ten have true errors within the accuracy then: see `core/src/cycle/findings.md`.
const LIKELY: f64 = 0.5;
/// Differences from grids with another share of the cells are taken as if errors fell with this power of the cell.
const ORDER: f64 = 1.5;
/// Grids that single runs are tried on.
const RUN_GRIDS: [usize; 6] = [25, 50, 100, 200, 400, 800];
/// Share of the accuracy that the throughputs at which ions peak are held to in a single run; ...
const OF_PEAKS: f64 = 0.5;
/// ... two grids differ in them by so many times the error that is left, or less: it falls to a little less than half of
/// itself from one to the next, on the coarse ones.
const PEAKS_APART: f64 = 1.3;
/// Share of the accuracy that run length and capacity are held to.
const OF_CAPACITY: f64 = 0.1;
/// Errors of a figure are stated as this many times the difference from the grid with half the cells, ...
///
/// Were the error to fall as the cell, it would be that difference; as its square, a third of it. Measured with
/// `tests/src/bin/coverage.rs` on 24 cells: see `core/src/cycle/findings.md`.
const OF_HALF: f64 = 1.5;
/// ... or this many times that of it from the grid with a quarter, if that is more.
const OF_QUARTER: f64 = 0.5;
/// ..., but where curves are compared, which two grids do not share by chance, no more than so many times the first.
const MOST_OF_QUARTER: f64 = 4.0;
/// The same where there is no third grid.
const OF_HALF_ALONE: f64 = 2.0;
/// The same for the coarser of two grids.
const OF_DOUBLE: f64 = 2.0;
/// The first water changes so fast that few cells tell less of it: its error is stated as so many times that.
const OF_FIRST_WATER: f64 = 3.0;
/// No error is stated below this share of the one allowed in a time step.
const OF_TOLERANCE: f64 = 0.3;
/// A bed with no coarser grid to judge it by is run on twice the cells, if it has no more than this.
const MOST_DOUBLED: usize = 128;

/// Errors of a cycle that is so far from one with half the cells; `before` says how far that one is from one with a quarter.
fn errors(apart: &Apart, before: Option<&Apart>, tolerance: f64) -> Apart {
    let least = OF_TOLERANCE * tolerance;
    let told = |half: f64, quarter: f64| (OF_HALF * half).max(OF_QUARTER * quarter).max(least);
    let mut stated = match before {
        Some(before) => Apart {
            run_length: told(apart.run_length, before.run_length),
            capacity: told(apart.capacity, before.capacity),
            leakage_maximum: told(apart.leakage_maximum, before.leakage_maximum),
            leakage_end: told(apart.leakage_end, before.leakage_end),
            ..apart.with(before, |half, quarter| told(half, quarter.min(MOST_OF_QUARTER / OF_QUARTER * half)))
        },
        None => apart.with(apart, |half, _| (OF_HALF_ALONE * half).max(least)),
    };
    stated.leakage_initial *= OF_FIRST_WATER;
    stated
}

/// What a difference between grids would be between others, if errors fall with the power [`ORDER`] of the cell: from the
/// cells of a coarse and a fine grid to those of two more.
fn between_grids(from: [usize; 2], to: [usize; 2]) -> f64 {
    let errors = |[coarse, fine]: [usize; 2]| (coarse as f64).powf(-ORDER) - (fine as f64).powf(-ORDER);
    errors(to) / errors(from)
}

fn seen(found: &Settled) -> Seen {
    Seen::of(&reader(found))
}

/// What the grids that a search began on tell of the one that it ended on.
fn told_by_coarser(found: &Settled) -> Option<Apart> {
    let (fine, half) = (seen(found), found.coarser.as_deref()?);
    let coarse = seen(half);
    let before = half.coarser.as_deref().map(|quarter| coarse.apart_from(&seen(quarter)));
    Some(errors(&fine.apart_from(&coarse), before.as_ref(), found.plan.model.tolerance))
}

/// What twice the cells tell; their cost is added to an effort.
fn told_by_finer(found: &Settled, effort: &mut Effort, watch: &Watch<'_>) -> Result<Option<Apart>> {
    let model = &found.plan.model;
    if model.cells() > MOST_DOUBLED {
        return Ok(None);
    }
    let plan = found.plan.on_grid(2 * model.cells(), model.tolerance);
    match steady::settle_nearly(&plan, Some(&found.warm_start), watch) {
        Err(Error::Interrupted) => Err(Error::Interrupted),
        Ok(finer) if finer.settling.residual <= NEAR => {
            effort.add(&finer.settling.effort);
            let apart = seen(found).apart_from(&seen(&finer));
            let least = OF_TOLERANCE * model.tolerance;
            Ok(Some(apart.with(&apart, |double, _| (OF_DOUBLE * double).max(least))))
        }
        // A finer bed that fails, or does not settle, says nothing.
        Ok(hunting) => {
            effort.add(&hunting.settling.effort);
            Ok(None)
        }
        Err(_) => Ok(None),
    }
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

/// A cycle on the grid that is given, with its errors.
pub(super) fn cycle_on_grid(case: &Case, asked: AboveLimit, watch: &Watch<'_>) -> Result<CycleReport> {
    let found = steady::settle(&CyclePlan::new(case)?, None, watch)?;
    let mut effort = found.settling.effort;
    let judged = !reader(&found).key_figures().never_soft;
    let stated = match told_by_coarser(&found) {
        _ if !judged => None,
        None => told_by_finer(&found, &mut effort, watch)?,
        stated => stated,
    };
    report(case, &found, GridErrors { stated, judged, missed_accuracy: None }, effort, (asked, watch))
}

/// A cycle on a grid whose errors are likely to be within the accuracy of the case; each grid begins from the one before.
pub(super) fn cycle(case: &Case, asked: AboveLimit, watch: &Watch<'_>) -> Result<CycleReport> {
    on_finer_grids(case, (asked, watch), |plan, from| steady::settle(plan, from, watch))
}

/// The same, whichever way each grid is settled.
pub(super) fn on_finer_grids(
    case: &Case,
    (asked, watch): (AboveLimit, &Watch<'_>),
    mut settle: impl FnMut(&CyclePlan, Option<&WarmStart>) -> Result<Settled>,
) -> Result<CycleReport> {
    let [first, .., most] = GRIDS;
    let plan = CyclePlan::new(&Case { cells: first.into(), ..case.clone() })?;
    let mut found = settle(&plan, None)?;
    let mut effort = found.settling.effort;
    let mut fine = seen(&found);
    // How far the cycle is from one with half the cells, and that one from one with a quarter, found or thought of.
    let half = found.coarser.as_deref();
    let quarter = half.and_then(|half| half.coarser.as_deref());
    let mut before = half.zip(quarter).map(|(half, quarter)| seen(half).apart_from(&seen(quarter)));
    let mut apart = half.map(|half| fine.apart_from(&seen(half)));
    loop {
        let cells = found.plan.model.cells();
        // The case's own: a search that began anew has taken a smaller one for itself.
        let tolerance = plan.model.tolerance;
        let stated = apart.map(|apart| errors(&apart, before.as_ref(), tolerance));
        let missed = apart.as_ref().map_or(f64::INFINITY, |apart| LIKELY * decisive(apart) / case.accuracy);
        let judged = !fine.key.never_soft;
        if judged && missed <= 1.0 || cells >= most {
            let missed_accuracy = (missed > 1.0).then_some(case.accuracy);
            return report(case, &found, GridErrors { stated, judged, missed_accuracy }, effort, (asked, watch));
        }
        let finer = if judged { missed.powf(1.0 / FALLS_AS).min(MOST_FINER) } else { 1.0 };
        let wanted = cells as f64 * finer;
        let next = GRIDS.into_iter().find(|grid| *grid > cells && *grid as f64 >= wanted).unwrap_or(most);
        found = settle(&plan.on_grid(next, tolerance), Some(&found.warm_start))?;
        effort.add(&found.settling.effort);
        let coarse = std::mem::replace(&mut fine, seen(&found));
        // Two grids that agree on it leave no doubt.
        if fine.key.never_soft && coarse.key.never_soft {
            return report(case, &found, GridErrors::default(), effort, (asked, watch));
        }
        let as_before = between_grids([cells / 2, cells], [next / 4, next / 2]);
        before = apart.map(|apart| apart.with(&apart, |share, _| as_before * share));
        let as_half = between_grids([cells, next], [next / 2, next]);
        let found_apart = fine.apart_from(&coarse);
        apart = Some(found_apart.with(&found_apart, |share, _| as_half * share));
    }
}

/// What decides of a difference whether the accuracy is met: the leakages that are asked for first, and run length and
/// capacity, which are held to a share of it.
fn decisive(apart: &Apart) -> f64 {
    let leakages = apart.leakage_mean.max(apart.leakage_half_run).max(apart.leakage_initial);
    leakages.max(apart.run_length.max(apart.capacity) / OF_CAPACITY)
}

/// Stated errors of the finer of two runs; `before` says how far the coarser one is from one coarser still.
fn run_errors(fine: &RunSeen, coarse: &RunSeen, before: Option<RunApart>, tolerance: f64) -> RunApart {
    let stated = |pick: fn(&RunApart) -> f64, half: f64| {
        let told =
            before.as_ref().map_or(OF_HALF_ALONE * half, |before| (OF_HALF * half).max(OF_QUARTER * pick(before)));
        told.max(OF_TOLERANCE * tolerance)
    };
    let apart = fine.apart_from(coarse);
    RunApart {
        effluent: stated(|apart| apart.effluent, apart.effluent),
        peak: stated(|apart| apart.peak, apart.peak),
        loading: stated(|apart| apart.loading, apart.loading),
    }
}

/// A single run on the grid that is given; its errors from runs on half the cells and on a quarter.
pub(super) fn run_on_grid(
    case: &Case,
    cells: usize,
    mut on: impl FnMut(&Case) -> Result<(RunPlan, RunHistory)>,
) -> Result<RunReport> {
    let (plan, history) = on(case)?;
    let mut effort = history.step.effort;
    let mut told: Option<RunApart> = None;
    let mut fine = RunSeen::of(&plan, &history);
    let mut differences = Vec::new();
    for coarser in [cells / 2, cells / 4].into_iter().filter(|coarser| *coarser >= FEWEST_CELLS) {
        let tolerance = case.tolerance.max((COARSE_STEPS * case.tolerance).min(COARSE_TOLERANCE));
        match on(&Case { cells: coarser.into(), tolerance, ..case.clone() }) {
            Err(Error::Interrupted) => return Err(Error::Interrupted),
            // A coarse bed that fails says nothing.
            Err(_) => break,
            Ok((plan, history)) => {
                effort.add(&history.step.effort);
                let coarse = RunSeen::of(&plan, &history);
                differences.push((fine.clone(), coarse.clone()));
                fine = coarse;
            }
        }
    }
    if let [(fine, half), further @ ..] = differences.as_slice() {
        let before = further.first().map(|(half, quarter)| half.apart_from(quarter));
        told = Some(run_errors(fine, half, before, case.tolerance));
    }
    let errors = RunErrors { stated: told, missed_accuracy: None };
    Ok(read::run(&plan, &history, errors, effort))
}

/// A single run on the coarsest grid whose effluent is within the accuracy of the case, and whose peaks lie within half of it.
pub(super) fn run(case: &Case, mut on: impl FnMut(&Case) -> Result<(RunPlan, RunHistory)>) -> Result<RunReport> {
    let [first, finer @ ..] = RUN_GRIDS;
    let (mut plan, mut history) = on(&Case { cells: first.into(), ..case.clone() })?;
    let mut effort = history.step.effort;
    let mut errors = RunErrors { stated: None, missed_accuracy: Some(case.accuracy) };
    let mut coarse = RunSeen::of(&plan, &history);
    let mut before = None;
    for cells in finer {
        (plan, history) = on(&Case { cells: cells.into(), ..case.clone() })?;
        effort.add(&history.step.effort);
        let fine = RunSeen::of(&plan, &history);
        let stated = run_errors(&fine, &coarse, before, case.tolerance);
        errors.stated = Some(stated);
        let apart = fine.apart_from(&coarse);
        if stated.effluent <= case.accuracy && apart.peak <= PEAKS_APART * OF_PEAKS * case.accuracy {
            errors.missed_accuracy = None;
            break;
        }
        before = Some(apart);
        coarse = fine;
    }
    Ok(read::run(&plan, &history, errors, effort))
}
