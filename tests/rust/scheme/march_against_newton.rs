//! Two solvers, one answer: the march along the flow against Newton over the whole column.
//!
//! A cell Peclet number u dz/(eps D) decides which of them solves a step. Just above and just below that number the
//! physics is the same to nine digits, so that whatever differs is the solver's.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::cycle::run::Loading;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::report::RunReport;
use brinefront_tests::cases::{loaded, softener};
use brinefront_tests::curves::{ion_of, rises_through, value_at};

/// The cell Peclet number at which solvers change over.
const CHANGE_OVER: f64 = 4.0;

/// The softener with the dispersion that gives its cells this Peclet number at `flow_bv_per_h`.
fn at_peclet(direction: Direction, cells: usize, flow_bv_per_h: f64, peclet: f64) -> Case {
    let mut case = softener(direction, 96.0);
    case.cells = cells.into();
    let velocity = flow_bv_per_h * case.bed.depth_m() / 3600.0;
    let cell_m = case.bed.depth_m() / cells as f64;
    case.rates.dispersion_m2_per_s = Some(velocity * cell_m / (case.resin.void_fraction * peclet));
    case
}

fn load(case: &Case) -> RunReport {
    case.load(&loaded(&[(Ion::NA, 1.0)]), 600.0).unwrap()
}

/// Volumes at which magnesium and calcium reach 5, 50 and 95 % of the feed.
fn breakthroughs(case: &Case, run: &RunReport) -> Vec<f64> {
    let feed = case.water.composition().unwrap();
    [Ion::MG, Ion::CA]
        .into_iter()
        .flat_map(|ion| {
            let effluent = ion_of(&run.effluent, ion);
            let full = feed.of(ion);
            [0.05, 0.5, 0.95].map(|share| rises_through(&run.effluent.bv, &effluent, share * full))
        })
        .collect()
}

fn assert_near(name: &str, a: &[f64], b: &[f64], allowed: f64) {
    let worst = a.iter().zip(b).map(|(a, b)| (a / b - 1.0).abs()).fold(0.0, f64::max);
    println!("{name}: {worst:.1e} apart: {a:.3?} against {b:.3?}");
    assert!(worst < allowed, "{name}: {a:?} against {b:?}");
}

#[test]
fn a_loading_run_is_the_same_on_both_sides_of_the_change_over() {
    let run = |share: f64| {
        let case = at_peclet(Direction::CoCurrent, 100, 20.0, CHANGE_OVER * share);
        let run = load(&case);
        (breakthroughs(&case, &run), run.effort.factorisations)
    };
    let (marched, by_march) = run(1.0 + 1e-9);
    let (solved, by_newton) = run(1.0 - 1e-9);
    assert!(by_march == 0 && by_newton > 0, "{by_march}, {by_newton} factorisations: the change-over has moved");
    assert_near("loading", &marched, &solved, 1e-3);
}

#[test]
fn an_elution_is_the_same_on_both_sides_of_the_change_over() {
    let run = |share: f64| {
        let case = at_peclet(Direction::CounterCurrent, 100, 3.0, CHANGE_OVER * share);
        let bed = Loading::Feed;
        let run = case.elute(&bed, 2.5, 1.2).unwrap();
        let calcium = ion_of(&run.effluent, Ion::CA);
        let volumes = [0.35, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.4];
        (volumes.map(|bv| value_at(&run.effluent.bv, &calcium, bv)), run.effort.factorisations)
    };
    let (marched, by_march) = run(1.0 + 1e-9);
    let (solved, by_newton) = run(1.0 - 1e-9);
    assert!(by_march == 0 && by_newton > 0, "{by_march}, {by_newton} factorisations: the change-over has moved");
    for (a, b) in marched.iter().zip(&solved) {
        println!("elution: {a:.5} marched, {b:.5} by Newton");
        assert!((a - b).abs() < 3e-4, "{marched:?} against {solved:?}");
    }
}

#[test]
fn a_steady_cycle_is_the_same_on_both_sides_of_the_change_over() {
    for direction in [Direction::CoCurrent, Direction::CounterCurrent] {
        let figures = |share: f64| {
            let case = at_peclet(direction, 60, 20.0, CHANGE_OVER * share);
            let cycle = case.cycle().unwrap();
            assert!(cycle.figures.settled, "{}", cycle.figures.search_end);
            [cycle.figures.run_length_bv, cycle.figures.capacity_eq_per_l]
        };
        let (marched, solved) = (figures(1.0 + 1e-9), figures(1.0 - 1e-9));
        assert_near(&format!("{direction:?}"), &marched, &solved, 1e-3);
    }
}

/// One dispersion, many cells by Newton and few by the march.
#[test]
fn fine_cells_by_newton_agree_with_coarse_cells_by_the_march() {
    let coarse = at_peclet(Direction::CoCurrent, 100, 20.0, 1.1 * CHANGE_OVER);
    let mut fine = coarse.clone();
    fine.cells = 400.into();
    let (by_march, by_newton) = (load(&coarse), load(&fine));
    assert!(by_march.effort.factorisations == 0 && by_newton.effort.factorisations > 0);
    assert_near("100 cells and 400", &breakthroughs(&coarse, &by_march), &breakthroughs(&fine, &by_newton), 1e-3);
}
