//! How far figures still are from those of infinitely many cells, and grids fine enough for what is asked.
//!
//! Two grids tell: with an error that falls as the p-th power of the cell, the finer of two figures is off by
//! |fine - coarse|/(r^p - 1), r the ratio of their cells. L. F. Richardson (1911), Phil. Trans. R. Soc. A 210, 307 (from
//! memory). p is taken as 1, or as what three grids show, between 1 and 2.

use crate::cycle::Watch;
use crate::cycle::steady::{self, Bed, Settled};
use crate::error::Result;
use crate::inputs::case::Case;
use crate::numerics::effort::Effort;
use crate::report::figures::Figures;
use crate::report::tables::Curve;
use crate::report::{CycleReport, RunReport, read};

/// Grids that are tried where the cells are to be found.
const GRIDS: [usize; 6] = [25, 50, 100, 200, 400, 800];
/// Share of the accuracy that run length and capacity are held to.
const OF_CAPACITY: f64 = 0.1;
/// Leakages below this count as this much \[mg/L as CaCO3\]: no titration reads it (common practice, no source).
const LEAST_LEAKAGE: f64 = 0.01;
/// Places at which two effluents are compared.
const PLACES: usize = 1000;
/// An ion of which less than this share of the whole has left does not count.
const LEAST_SHARE: f64 = 1e-3;

/// The four figures that errors are given for; leakages with their floor.
type Watched = [f64; 4];

fn watched(figures: &Figures) -> Watched {
    [
        figures.run_length_bv,
        figures.capacity_eq_per_l,
        figures.leakage_mean_mg_per_l_caco3,
        figures.leakage_half_run_mg_per_l_caco3,
    ]
}

/// Differences of two sets of figures, relative to the first.
fn differences(fine: &Figures, coarse: &Figures) -> Watched {
    let (a, b) = (watched(fine), watched(coarse));
    let floors = [0.0, 0.0, LEAST_LEAKAGE, LEAST_LEAKAGE];
    std::array::from_fn(|k| (a[k] - b[k]).abs() / a[k].abs().max(floors[k]).max(f64::MIN_POSITIVE))
}

/// Errors of the finer of two figures; `before` are the differences of the coarser one from one coarser still.
fn errors(fine: &Figures, coarse: &Figures, before: Option<Watched>) -> Watched {
    let ratio = fine.cells as f64 / coarse.cells as f64;
    let differences = differences(fine, coarse);
    std::array::from_fn(|k| {
        let seen = before.map_or(1.0, |before| (before[k] / differences[k].max(f64::MIN_POSITIVE)).ln() / ratio.ln());
        differences[k] / (ratio.powf(seen.clamp(1.0, 2.0)) - 1.0)
    })
}

fn tell(figures: &mut Figures, errors: Watched) {
    let [run_length, capacity, mean, half_run] = errors.map(Some);
    figures.run_length_error_fraction = run_length;
    figures.capacity_error_fraction = capacity;
    figures.leakage_mean_error_fraction = mean;
    figures.leakage_half_run_error_fraction = half_run;
}

fn never_soft(figures: &Figures) -> bool {
    figures.run_length_bv == 0.0
}

/// A cycle on the grid that is given; its errors from the coarser grid that its search began on, if it did.
pub(super) fn cycle_on_grid(case: &Case, watch: &Watch<'_>) -> Result<CycleReport> {
    let Settled { model, history, settling, coarser, .. } = steady::settle(case, None, watch)?;
    let mut report = read::cycle(case, &model, &history, &settling);
    if let Some(coarser) = coarser.filter(|_| !never_soft(&report.figures)) {
        let coarse = read::cycle_figures(case, &coarser.model, &coarser.history, &coarser.settling);
        let errors = errors(&report.figures, &coarse, None);
        tell(&mut report.figures, errors);
    }
    Ok(report)
}

/// A cycle on the coarsest grid whose errors are within the accuracy of the case; each grid begins from the one before.
pub(super) fn cycle(case: &Case, watch: &Watch<'_>) -> Result<CycleReport> {
    on_finer_grids(case, |here, from| steady::settle(here, from, watch))
}

/// The same, whichever way each grid is settled.
pub(super) fn on_finer_grids(
    case: &Case,
    mut settle: impl FnMut(&Case, Option<&Bed>) -> Result<Settled>,
) -> Result<CycleReport> {
    let mut effort = Effort::default();
    let mut on_grid = |cells: usize, from: Option<&Bed>| -> Result<(CycleReport, Bed)> {
        let here = Case { cells: cells.into(), ..case.clone() };
        let found = settle(&here, from)?;
        effort.add(&found.settling.effort);
        let mut report = read::cycle(case, &found.model, &found.history, &found.settling);
        report.effort = effort;
        Ok((report, found.bed))
    };
    let [first, finer @ ..] = GRIDS;
    let (mut report, mut bed) = on_grid(first, None)?;
    let mut before: Option<Watched> = None;
    for cells in finer {
        let (fine, fine_bed) = on_grid(cells, Some(&bed))?;
        let coarse = std::mem::replace(&mut report, fine);
        bed = fine_bed;
        // Two grids that agree on it leave no doubt.
        if never_soft(&report.figures) && never_soft(&coarse.figures) {
            return Ok(report);
        }
        let errors = errors(&report.figures, &coarse.figures, before);
        tell(&mut report.figures, errors);
        let [run_length, capacity, mean, half_run] = errors;
        if run_length.max(capacity) <= OF_CAPACITY * case.accuracy && mean.max(half_run) <= case.accuracy {
            return Ok(report);
        }
        before = Some(differences(&report.figures, &coarse.figures));
    }
    report.notes.push(not_reached(report.figures.cells, case));
    Ok(report)
}

fn not_reached(cells: usize, case: &Case) -> String {
    format!("numerical error: with {cells} cells it is still above the accuracy asked for, {}", case.accuracy)
}

/// A single run on the coarsest grid whose effluent is within the accuracy of the case.
pub(super) fn run(case: &Case, mut on: impl FnMut(&Case) -> Result<RunReport>) -> Result<RunReport> {
    let [first, finer @ ..] = GRIDS;
    let mut report = on(&Case { cells: first.into(), ..case.clone() })?;
    for cells in finer {
        let mut fine = on(&Case { cells: cells.into(), ..case.clone() })?;
        fine.effort.add(&report.effort);
        let error = distance(&fine.effluent, &report.effluent);
        fine.effluent_error_fraction = Some(error);
        report = fine;
        if error <= case.accuracy {
            return Ok(report);
        }
    }
    report.notes.push(not_reached(report.cells, case));
    Ok(report)
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
