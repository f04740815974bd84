//! Are stated errors true, and is the accuracy met? Beds drawn at random, each against itself on more cells.

use brinefront::cycle::outcome::Outcome;
use brinefront::inputs::cells::Cells;
use brinefront::report::figures::{Figures, LEAST_LEAKAGE_MG_PER_L_CACO3};
use brinefront::{Case, CycleReport};

use crate::drawn::{each, ordinary};

/// The reference has so many times the cells, ...
const FINER: usize = 4;
/// ... or so many times those that were found for the accuracy, but no fewer than the next, ...
const FINER_THAN_FOUND: usize = 2;
const FEWEST_OF_REFERENCE: usize = 400;
/// ... and this share of the error allowed in a time step.
const OF_TOLERANCE: f64 = 0.2;

/// Cells on which a bed is tried first.
const FEW: usize = 16;

/// A figure or shape: its name, its true error and the one that was stated.
pub type Judged = (&'static str, f64, f64);

/// What one bed came to.
#[derive(Debug, Clone)]
pub struct Bed {
    /// The seed it was drawn with.
    pub seed: u64,
    /// The cells it was run on.
    pub cells: usize,
    /// Each figure and shape that has an error.
    pub judged: Vec<Judged>,
    /// The error that decides of the accuracy: of the leakages that are asked for first, and ten times that of run length and
    /// capacity.
    pub decisive: f64,
}

/// Beds drawn with the seeds of a range, on so many cells; those that have no steady cycle on one of the grids are left out.
/// None tells of an error that was not stated.
pub fn beds(seeds: std::ops::Range<u64>, cells: Cells) -> Vec<Option<Bed>> {
    each(seeds, |seed| bed(seed, cells))
}

fn bed(seed: u64, cells: Cells) -> Option<Option<Bed>> {
    let mut case = ordinary(seed)?;
    // Tubes are beds of their own: one of them tells as much, in a fraction of the time.
    case.maldistribution = None;
    case.cells = cells;
    let settled = |case: &Case| case.cycle().ok().filter(|cycle| cycle.figures.outcome == Outcome::Settled);
    // What is never soft is searched for runs that are, which takes long on many cells: a few tell.
    let few = cells.number().map_or(FEW, |cells| FEW.min(cells));
    settled(&Case { cells: few.into(), ..case.clone() })?;
    let given = settled(&case)?;
    let found = given.figures.cells;
    let finer = match cells {
        Cells::Number(cells) => FINER * cells,
        Cells::Auto => (FINER_THAN_FOUND * found).max(FEWEST_OF_REFERENCE),
    };
    let fine = settled(&Case { cells: finer.into(), tolerance: OF_TOLERANCE * case.tolerance, ..case.clone() })?;
    Some(judged(&given, &fine).map(|judged| {
        let [run_length, capacity, mean, half_run, first] = std::array::from_fn(|place| judged[place].1);
        let decisive = mean.max(half_run).max(first).max(10.0 * run_length.max(capacity));
        Bed { seed, cells: found, judged, decisive }
    }))
}

fn judged(given: &CycleReport, fine: &CycleReport) -> Option<Vec<Judged>> {
    let (a, b) = (&given.figures, &fine.figures);
    let share = |pick: fn(&Figures) -> f64, least: f64| (pick(a) - pick(b)).abs() / pick(a).abs().max(least);
    let leakage = |pick: fn(&Figures) -> f64| share(pick, LEAST_LEAKAGE_MG_PER_L_CACO3);
    let shapes = fine.apart_from(given);
    Some(vec![
        ("run length", share(|f| f.run_length_bv, 0.0), a.run_length_error_fraction?),
        ("capacity", share(|f| f.capacity_eq_per_l, 0.0), a.capacity_error_fraction?),
        ("mean leakage", leakage(|f| f.leakage_mean_mg_per_l_caco3), a.leakage_mean_error_fraction?),
        ("half-run leakage", leakage(|f| f.leakage_half_run_mg_per_l_caco3), a.leakage_half_run_error_fraction?),
        ("first leakage", leakage(|f| f.leakage_initial_mg_per_l_caco3), a.leakage_initial_error_fraction?),
        ("lowest leakage", leakage(|f| f.leakage_minimum_mg_per_l_caco3), a.leakage_minimum_error_fraction?),
        ("highest leakage", leakage(|f| f.leakage_maximum_mg_per_l_caco3), a.leakage_maximum_error_fraction?),
        ("last leakage", leakage(|f| f.leakage_end_mg_per_l_caco3), a.leakage_end_error_fraction?),
        ("leakage curve", shapes.leakage_mean, a.leakage_mean_error_fraction?),
        ("waste curve", shapes.waste_curve, a.waste_curve_error_fraction?),
        ("profiles", shapes.profiles, a.profiles_error_fraction?),
    ])
}

/// How often the true error of a figure is inside the stated one, and how much smaller it is in the median.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// The figure.
    pub name: &'static str,
    /// Share of the beds.
    pub inside: f64,
    /// Stated error over true error, in the median of the beds.
    pub median_ratio: f64,
    /// The same of the bed where it is least, and its seed.
    pub least_ratio: (f64, u64),
    /// True errors, in the median and of the worst but a tenth.
    pub true_error: (f64, f64),
    /// Stated error in the median.
    pub stated: f64,
}

/// One row for each figure.
///
/// # Panics
/// Without a bed.
pub fn table(beds: &[Bed]) -> Vec<Row> {
    let sorted = |mut values: Vec<f64>| {
        values.sort_by(f64::total_cmp);
        values
    };
    let row = |place: usize| {
        let all: Vec<(u64, f64, f64)> =
            beds.iter().map(|bed| (bed.seed, bed.judged[place].1, bed.judged[place].2)).collect();
        let ratios = sorted(all.iter().map(|(_, is, stated)| stated / is.max(f64::MIN_POSITIVE)).collect());
        let errors = sorted(all.iter().map(|(_, is, _)| *is).collect());
        let stated = sorted(all.iter().map(|(_, _, stated)| *stated).collect());
        let least = all.iter().min_by(|a, b| (a.2 / a.1).total_cmp(&(b.2 / b.1))).map_or(0, |bed| bed.0);
        Row {
            name: beds[0].judged[place].0,
            inside: all.iter().filter(|(_, is, stated)| is <= stated).count() as f64 / all.len() as f64,
            median_ratio: ratios[ratios.len() / 2],
            least_ratio: (ratios[0], least),
            true_error: (errors[errors.len() / 2], errors[errors.len() * 9 / 10]),
            stated: stated[stated.len() / 2],
        }
    };
    (0..beds[0].judged.len()).map(row).collect()
}
