//! Observed order of accuracy, in space, in time, and at a front.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a run that fails is a test that fails; figures are printed"
)]

use brinefront::bed::state::State;
use brinefront::bed::vessel::VesselState;
use brinefront::cycle::history::StepHistory;
use brinefront::cycle::step::run_step;
use brinefront::cycle::{Progress, unwatched};
use brinefront::inputs::case::Kinetics;
use brinefront::inputs::ion::Ion;
use brinefront::plan::cycle_plan::CyclePlan;
use brinefront::plan::model::Model;
use brinefront::plan::steps::{End, StopReason};
use brinefront_tests::cases::{
    COLUMN_CAPACITY, COLUMN_SERVICE_S_PER_BV, COLUMN_VOID, loaded, rates, sodium_calcium_column,
    sodium_potassium_column,
};
use brinefront_tests::curves::loading_of;

/// Normality of the feed \[eq/L\].
const NORMALITY: f64 = 0.010;
/// The profile, in shares of the depth: a logistic step of this width, and how far it is carried.
const WIDTH: f64 = 0.03;
const START: f64 = 0.4;
const CARRIED: f64 = 0.25;
/// Potassium's share ahead of the step and behind it.
const AHEAD: f64 = 0.2;
const BEHIND: f64 = 0.8;

/// The loosest tolerance there is, for steps that are given and not to be refused.
const LOOSEST: f64 = 0.1;

/// Mean over each of `cells` cells of the step at `place`.
fn step_profile(cells: usize, place: f64) -> Vec<f64> {
    // Integral of 1/(1 + exp(s)) is s - ln(1 + exp(s)).
    let integral = |z: f64| {
        let s = (z - place) / WIDTH;
        WIDTH * (s - s.max(0.0) - (-s.abs()).exp().ln_1p())
    };
    let cell = 1.0 / cells as f64;
    (0..cells)
        .map(|j| {
            let mean = (integral((j + 1) as f64 * cell) - integral(j as f64 * cell)) / cell;
            AHEAD + (BEHIND - AHEAD) * mean
        })
        .collect()
}

fn mean_distance(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).sum::<f64>() / a.len() as f64
}

/// How long the step is carried \[s\].
fn carried_s() -> f64 {
    CARRIED * (COLUMN_VOID + COLUMN_CAPACITY / NORMALITY) * COLUMN_SERVICE_S_PER_BV
}

/// `count` equal time steps over the time of [`carry`], after a start from steps that each grow by 1.4: the first two have no
/// history and are of order 1 and 2, so they have to be short for order 3 to show.
fn even_steps(count: usize) -> Vec<f64> {
    let growing: Vec<f64> = (1..=30).rev().map(|k| 1.4_f64.powi(-k)).collect();
    let step_s = carried_s() / (count as f64 + growing.iter().sum::<f64>());
    // The last one is cut to what is left, whatever rounding made of the sum.
    growing.into_iter().chain(vec![1.0; count - 1]).chain([1.0 + 1e-6]).map(|share| share * step_s).collect()
}

/// Carry the smooth step down a bed in equilibrium, where with K = 1 it keeps its shape and moves a depth in
/// eps + Q/N bed volumes (equilibrium theory). Gives potassium's share of the loading, and the history. Time steps are
/// `given` \[s\] for the tolerance to judge, or chosen by it where there are none.
fn carry(cells: usize, tolerance: f64, given: &[f64]) -> (Vec<f64>, StepHistory) {
    let meq = 1e3 * NORMALITY;
    let mut case = sodium_potassium_column((1.0 - BEHIND) * meq, BEHIND * meq, 1.0, rates(1.0, 1.0, 0.0));
    case.kinetics = Kinetics::Equilibrium;
    case.cells = cells.into();
    case.tolerance = tolerance;
    let model = Model::new(&case, &[]).unwrap();
    let mut state = State::<2>::uniform(&model, [1.0 - AHEAD, AHEAD], NORMALITY).unwrap();
    for (j, y) in step_profile(cells, START).into_iter().enumerate() {
        state.loading[j] = [(1.0 - y) * COLUMN_CAPACITY, y * COLUMN_CAPACITY];
        state.liquid[j] = [(1.0 - y) * NORMALITY, y * NORMALITY];
    }
    let mut service = CyclePlan::of_recipe(&case).unwrap().service.steps.swap_remove(0);
    let volume_bv = CARRIED * (COLUMN_VOID + COLUMN_CAPACITY / NORMALITY);
    service.end = End::After(volume_bv * COLUMN_SERVICE_S_PER_BV, StopReason::Throughput);
    let vessel = VesselState::uniform(&model, state);
    let (vessel, history) = run_step(&model, vessel, &service, given, &unwatched, Progress::default()).unwrap();
    (vessel.tubes[0].loading.iter().map(|q| q[1] / COLUMN_CAPACITY).collect(), history)
}

/// What the limiter gives where a profile is smooth and monotone.
#[test]
fn third_order_in_space_on_a_smooth_profile() {
    let grids = [50, 100, 200, 400];
    let errors = grids.map(|cells| mean_distance(&carry(cells, 1e-7, &[]).0, &step_profile(cells, START + CARRIED)));
    let orders: Vec<f64> = errors.windows(2).map(|e| (e[0] / e[1]).log2()).collect();
    println!("mean error of y on {grids:?} cells: {errors:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| *order > 2.8), "{errors:?}: {orders:?}");
}

/// With steps that are given, alone what time steps do to the error is seen: against many more of them on the same cells.
#[test]
fn third_order_in_time_on_a_smooth_profile() {
    let counts = [100, 200, 400, 800, 1600];
    let march = |count: usize| {
        let given = even_steps(count);
        let (found, history) = carry(100, LOOSEST, &given);
        assert_eq!(history.effort.steps, given.len() as u64, "a given step was refused");
        found
    };
    let exact = march(12_800);
    let errors = counts.map(|count| mean_distance(&march(count), &exact));
    let orders: Vec<f64> = errors.windows(2).map(|e| (e[0] / e[1]).log2()).collect();
    println!("in {counts:?} steps, mean error of y {errors:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| (2.9..3.1).contains(order)), "{errors:?}: {orders:?}");
}

/// Steps that a tolerance chooses start small, by about as many whatever the tolerance; so by their number the error falls faster
/// than with the third power.
#[test]
fn third_order_or_better_in_steps_that_a_tolerance_chooses() {
    let cells = 100;
    let (exact, _) = carry(cells, 1e-7, &[]);
    let tolerances = [1e-2, 1e-3, 1e-4, 1e-5];
    let runs = tolerances.map(|tolerance| {
        let (found, history) = carry(cells, tolerance, &[]);
        (history.effort.steps as f64, mean_distance(&found, &exact))
    });
    let orders: Vec<f64> = runs.windows(2).map(|r| (r[0].1 / r[1].1).ln() / (r[1].0 / r[0].0).ln()).collect();
    println!("tolerances {tolerances:?}: (steps, mean error of y) {runs:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| *order > 3.0), "{runs:?}: {orders:?}");
}

/// A step that nothing sharpens or spreads, an ion with K = 1 in equilibrium: any limited second-order scheme smears it
/// and meets it at about order 2/3 (common experience with limited schemes, no source).
#[test]
fn a_step_that_nothing_sharpens_is_met_below_first_order() {
    let grids = [50, 100, 200, 400];
    let errors = grids.map(|cells| {
        let mut case = sodium_potassium_column(4.0, 6.0, 1.0, rates(1.0, 1.0, 0.0));
        case.kinetics = Kinetics::Equilibrium;
        case.cells = cells.into();
        case.tolerance = 1e-4;
        let volume_bv = 0.5 * (COLUMN_VOID + COLUMN_CAPACITY / NORMALITY);
        let run = case.load(&loaded(&[(Ion::NA, 1.0)]), volume_bv).unwrap();
        let found: Vec<f64> = loading_of(&run.loading, Ion::K).iter().map(|q| q / COLUMN_CAPACITY).collect();
        let exact: Vec<f64> = (0..cells).map(|j| if j < cells / 2 { 0.6 } else { 0.0 }).collect();
        mean_distance(&found, &exact)
    });
    let orders: Vec<f64> = errors.windows(2).map(|e| (e[0] / e[1]).log2()).collect();
    println!("at a step, mean error of y on {grids:?} cells: {errors:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| *order > 0.6), "{errors:?}: {orders:?}");
}

/// Mean error of calcium's share where a shock stands at `place`, which moves a depth in eps + 387.80 BV (equilibrium
/// theory; K = 2.606, Q = 2.0 eq/L, N = 0.01 eq/L, X = 0.5, so Y = 0.96950: computed apart from this code).
fn error_at_a_shock(cells: usize, place: f64) -> f64 {
    let mut case = sodium_calcium_column(5.0, 5.0, 2.606, rates(1.0, 1.0, 0.0));
    case.kinetics = Kinetics::Equilibrium;
    case.cells = cells.into();
    case.tolerance = 1e-4;
    let volume_bv = place * (COLUMN_VOID + 387.80);
    let run = case.load(&loaded(&[(Ion::NA, 1.0)]), volume_bv).unwrap();
    let found: Vec<f64> = loading_of(&run.loading, Ion::CA).iter().map(|q| q / COLUMN_CAPACITY).collect();
    let exact: Vec<f64> = (0..cells).map(|j| 0.96950 * (place * cells as f64 - j as f64).clamp(0.0, 1.0)).collect();
    mean_distance(&found, &exact)
}

#[test]
fn a_front_is_met_at_first_order() {
    let grids = [25, 50, 100, 200];
    // How well a front is met depends on where in a cell it stands: the mean over places spread evenly over two of the
    // largest cells, by a number of them that divides no grid, counts.
    let places: Vec<f64> = (0..23).map(|k| 0.44 + 0.08 * (f64::from(k) + 0.5) / 23.0).collect();
    let errors =
        grids.map(|cells| places.iter().map(|at| error_at_a_shock(cells, *at)).sum::<f64>() / places.len() as f64);
    let orders: Vec<f64> = errors.windows(2).map(|e| (e[0] / e[1]).log2()).collect();
    println!("at a front, mean error of y on {grids:?} cells: {errors:?}, orders {orders:.2?}");
    assert!(orders.iter().all(|order| *order > 0.8), "{errors:?}: {orders:?}");
}
