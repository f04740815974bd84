//! Three solvers, one answer: the march along the flow, the march that looks ahead, and Newton over the whole column.
//!
//! A cell Peclet number u dz/(eps D) decides which of the first two solves a step. Just above and just below that number the
//! physics is the same to nine digits, so that whatever differs is the solver's; Newton solves any of them where it is told
//! to.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::Case;
use brinefront::cycle::run::{self, Loading, RunHistory};
use brinefront::cycle::unwatched;
use brinefront::inputs::ion::Ion;
use brinefront::inputs::regeneration::Direction;
use brinefront::plan::run_plan::RunPlan;
use brinefront::plan::scheme::Scheme;
use brinefront::report::read;
use brinefront::report::tables::Curve;
use brinefront_tests::cases::{loaded, softener};
use brinefront_tests::curves::{ion_of, rises_through, value_at};

/// The cell Peclet number at which the march begins to look ahead.
const CHANGE_OVER: f64 = Scheme::DEFAULT.march_peclet;

/// The softener with the dispersion that gives its cells this Peclet number at `flow_bv_per_h`.
fn at_peclet(direction: Direction, cells: usize, flow_bv_per_h: f64, peclet: f64) -> Case {
    let mut case = softener(direction, 96.0);
    case.cells = cells.into();
    let velocity = flow_bv_per_h * case.bed.depth_m() / 3600.0;
    let cell_m = case.bed.depth_m() / cells as f64;
    case.rates.dispersion_m2_per_s = Some(velocity * cell_m / (case.resin.void_fraction * peclet));
    case
}

/// A planned run by Newton or not, from a loading.
fn solved(mut plan: RunPlan, newton: bool, from: &Loading) -> (Curve, RunHistory) {
    plan.model.scheme.newton = newton;
    let history = run::run(&plan, from, &unwatched).unwrap();
    assert_eq!(history.step.effort.factorisations > 0, newton);
    (read::effluent(&plan, &history), history)
}

fn load(case: &Case, newton: bool) -> Curve {
    let sodium = loaded(&[(Ion::NA, 1.0)]);
    solved(RunPlan::loading(case, &[], 600.0).unwrap(), newton, &sodium).0
}

fn elute(case: &Case, newton: bool) -> [f64; 8] {
    let effluent = solved(RunPlan::elution(case, &[], 2.5, 1.2).unwrap(), newton, &Loading::Feed).0;
    let calcium = ion_of(&effluent, Ion::CA);
    [0.35, 0.4, 0.5, 0.6, 0.8, 1.0, 1.5, 2.4].map(|bv| value_at(&effluent.bv, &calcium, bv))
}

/// Volumes at which magnesium and calcium reach 5, 50 and 95 % of the feed.
fn breakthroughs(case: &Case, effluent: &Curve) -> Vec<f64> {
    let feed = case.water.composition().unwrap();
    [Ion::MG, Ion::CA]
        .into_iter()
        .flat_map(|ion| {
            let of_ion = ion_of(effluent, ion);
            let full = feed.of(ion);
            [0.05, 0.5, 0.95].map(|share| rises_through(&effluent.bv, &of_ion, share * full))
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
    let (above, below) = (1.0 + 1e-9, 1.0 - 1e-9);
    let run = |share: f64, newton: bool| {
        let case = at_peclet(Direction::CoCurrent, 100, 20.0, CHANGE_OVER * share);
        breakthroughs(&case, &load(&case, newton))
    };
    let (marched, ahead, newton) = (run(above, false), run(below, false), run(below, true));
    assert!(marched != ahead, "the change-over has moved");
    assert_near("loading, lagged dispersion", &marched, &newton, 1e-3);
    assert_near("loading, looking ahead", &ahead, &newton, 3e-4);
}

#[test]
fn an_elution_is_the_same_on_both_sides_of_the_change_over() {
    let run =
        |share: f64, newton: bool| elute(&at_peclet(Direction::CounterCurrent, 100, 3.0, CHANGE_OVER * share), newton);
    let (marched, ahead, newton) = (run(1.0 + 1e-9, false), run(1.0 - 1e-9, false), run(1.0 - 1e-9, true));
    assert!(marched != ahead, "the change-over has moved");
    for ((a, b), c) in marched.iter().zip(&ahead).zip(&newton) {
        println!("elution: {a:.5} marched, {b:.5} looking ahead, {c:.5} by Newton");
        assert!((a - c).abs() < 3e-4 && (b - c).abs() < 3e-4, "{marched:?}, {ahead:?} against {newton:?}");
    }
}

/// Where dispersion rules outright, and with none of the flow's help: at cell Peclet numbers of 2, a half and a tenth.
#[test]
fn looking_ahead_is_newton_however_strong_dispersion_is() {
    for peclet in [2.0, 0.5, 0.1] {
        let case = at_peclet(Direction::CoCurrent, 50, 20.0, peclet);
        let [ahead, newton] = [false, true].map(|newton| breakthroughs(&case, &load(&case, newton)));
        assert_near(&format!("loading at {peclet}"), &ahead, &newton, 1e-3);
        let case = at_peclet(Direction::CounterCurrent, 50, 3.0, peclet);
        for (a, b) in elute(&case, false).iter().zip(elute(&case, true)) {
            println!("elution at {peclet}: {a:.5} looking ahead, {b:.5} by Newton");
            assert!((a - b).abs() < 3e-4, "{peclet}: {a} against {b}");
        }
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
        let (marched, ahead) = (figures(1.0 + 1e-9), figures(1.0 - 1e-9));
        assert_near(&format!("{direction:?}"), &marched, &ahead, 1e-3);
    }
}

/// One dispersion: many cells that look ahead, and few with lagged dispersion.
#[test]
fn fine_cells_that_look_ahead_agree_with_coarse_cells_that_do_not() {
    let coarse = at_peclet(Direction::CoCurrent, 100, 20.0, 1.1 * CHANGE_OVER);
    let mut fine = coarse.clone();
    fine.cells = 400.into();
    let runs = [&coarse, &fine].map(|case| breakthroughs(case, &load(case, false)));
    assert_near("100 cells and 400", &runs[0], &runs[1], 1e-3);
}
