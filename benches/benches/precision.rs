//! Error against time: four beds on grids from coarse to fine, and on the grid that the accuracy asks for.
//!
//! ```sh
//! cargo bench -p brinefront-benches --bench precision                       # some minutes
//! cargo bench -p brinefront-benches --bench precision -- --quick            # fewer and coarser grids
//! cargo bench -p brinefront-benches --bench precision -- --json FILE        # every number
//! ```
//!
//! Errors are against the same bed on the finest grid with a tenth of the error allowed in a time step: the larger of the true
//! ones of run length and capacity, and of mean and half-run leakage. Times are the best of a few runs on one core.
#![allow(clippy::print_stdout, reason = "the figures are the output")]

use std::time::Instant;

use brinefront::Case;
use brinefront::inputs::cells::Cells;
use brinefront::inputs::maldistribution::Maldistribution;
use brinefront::inputs::regeneration::BrineWater;
use brinefront::inputs::salt::Salt;
use brinefront::report::CycleReport;
use serde::Serialize;

type Failure = Box<dyn std::error::Error>;

/// Share of the error allowed in a time step that the reference is held to.
const OF_TOLERANCE: f64 = 0.1;

/// How much is run.
struct Size {
    cells: &'static [usize],
    reference: usize,
    best_of: usize,
}

const FULL: Size = Size { cells: &[25, 50, 75, 100, 150, 200, 300, 400], reference: 1200, best_of: 3 };
const QUICK: Size = Size { cells: &[25, 50, 100], reference: 300, best_of: 1 };

/// One bed on one grid.
#[derive(Debug, Serialize)]
struct Point {
    case: &'static str,
    cells: String,
    took_s: f64,
    steps: u64,
    run_length_bv: f64,
    run_length_error: f64,
    capacity_error: f64,
    leakage_mean_error: f64,
    leakage_half_run_error: f64,
    stated_leakage_error: f64,
    stated_run_length_error: f64,
}

/// The built-in bed to its limit, counter-current, with one thing each that decides how hard it is to compute.
fn cases() -> Vec<(&'static str, Case)> {
    let mut plain = brinefront::default_case();
    plain.service.volume_bv = None;
    plain.site = None;
    let with = |change: &dyn Fn(&mut Case)| {
        let mut case = plain.clone();
        change(&mut case);
        case
    };
    vec![
        ("soft rinse", with(&|case| case.regeneration.slow_rinse_water = Some(BrineWater::Soft))),
        ("hard rinse", with(&|case| case.regeneration.slow_rinse_water = Some(BrineWater::Feed))),
        (
            "spaces, tubes",
            with(&|case| {
                let volume_l = case.bed.volume_l();
                case.bed.freeboard_l = 0.5 * volume_l;
                case.bed.under_bed_l = 0.08 * volume_l;
                case.maldistribution = Some(Maldistribution { tubes: 3, ..Maldistribution::with_spread(0.2) });
            }),
        ),
        ("potassium", with(&|case| case.regeneration.salt = Salt::PotassiumChloride)),
    ]
}

/// The best time of a few runs, and what one of them gave.
fn best(of: usize, case: &Case) -> brinefront::Result<(f64, CycleReport)> {
    let mut best: Option<(f64, CycleReport)> = None;
    for _ in 0..of {
        let begun = Instant::now();
        let found = case.cycle()?;
        let took = begun.elapsed().as_secs_f64();
        if best.as_ref().is_none_or(|(least, _)| took < *least) {
            best = Some((took, found));
        }
    }
    best.ok_or_else(|| unreachable!("no run was asked for"))
}

fn point(name: &'static str, cells: Cells, (took_s, found): &(f64, CycleReport), exact: &CycleReport) -> Point {
    let (a, b) = (&found.figures, &exact.figures);
    let off = |a: f64, b: f64| (a / b - 1.0).abs();
    let stated = [a.leakage_mean_error_fraction, a.leakage_half_run_error_fraction];
    Point {
        case: name,
        cells: match cells {
            Cells::Number(number) => number.to_string(),
            Cells::Auto => format!("auto: {}", a.cells),
        },
        took_s: *took_s,
        steps: found.effort.steps,
        run_length_bv: a.run_length_bv,
        run_length_error: off(a.run_length_bv, b.run_length_bv),
        capacity_error: off(a.capacity_eq_per_l, b.capacity_eq_per_l),
        leakage_mean_error: off(a.leakage_mean_mg_per_l_caco3, b.leakage_mean_mg_per_l_caco3),
        leakage_half_run_error: off(a.leakage_half_run_mg_per_l_caco3, b.leakage_half_run_mg_per_l_caco3),
        stated_leakage_error: stated.into_iter().flatten().fold(0.0, f64::max),
        stated_run_length_error: a.run_length_error_fraction.unwrap_or(f64::NAN),
    }
}

fn main() -> Result<(), Failure> {
    let given: Vec<String> = std::env::args().skip(1).collect();
    let size = if given.iter().any(|word| word == "--quick") { QUICK } else { FULL };
    let file = given.iter().position(|word| word == "--json").and_then(|place| given.get(place + 1));
    let mut points = Vec::new();
    for (name, case) in cases() {
        let exact =
            Case { cells: size.reference.into(), tolerance: OF_TOLERANCE * case.tolerance, ..case.clone() }.cycle()?;
        println!("\n{name}: {:.3} BV", exact.figures.run_length_bv);
        println!(
            "{:>10} {:>8} {:>8}  {:>9} {:>9} {:>9} {:>9}  stated: {:>8} {:>8}",
            "cells", "ms", "steps", "run", "capacity", "mean", "half run", "run", "leakages"
        );
        for cells in size.cells.iter().map(|cells| Cells::Number(*cells)).chain([Cells::Auto]) {
            let found = best(size.best_of, &Case { cells, ..case.clone() })?;
            let at = point(name, cells, &found, &exact);
            println!(
                "{:>10} {:8.1} {:8}  {:8.4}% {:8.4}% {:8.3}% {:8.3}%          {:7.3}% {:7.2}%",
                at.cells,
                1e3 * at.took_s,
                at.steps,
                100.0 * at.run_length_error,
                100.0 * at.capacity_error,
                100.0 * at.leakage_mean_error,
                100.0 * at.leakage_half_run_error,
                100.0 * at.stated_run_length_error,
                100.0 * at.stated_leakage_error,
            );
            points.push(at);
        }
    }
    if let Some(file) = file {
        std::fs::write(file, serde_json::to_string_pretty(&points)?)?;
    }
    Ok(())
}
